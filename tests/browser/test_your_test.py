"""The reader's own test in a browser: said once, kept, answered within one screen, and passed on by a link that asks."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest
from playwright.sync_api import Error, Page, expect

from calc.plate_test.fields import FIELDS
from calc.record.demo import PLATE, TEST
from calc.record.files import read_record, write_record
from calc.record.shape import as_data
from tests.browser.conftest import answered
from tests.browser.test_record import kept, lean, put_file, stored

PHONE = {"width": 390, "height": 844}
SAID = {
    "steel": "A572-50", "thickness": "1/2 in", "position": "3G", "progression": "up", "electrode": "E7018",
    "diameter": "1/8 in", "amps_low": "115", "amps_high": "135", "root_opening": "1/4", "opening_over": "1/8",
    "opening_under": "1/16",
}
"""A WPS as a reader has it in hand, each line typed as short as it can be."""
LINE = "3G up · 1/2 in A572-50 · E7018 1/8 in · 115–135 A · root opening 1/4 in"


def open_page(context, served: str, fragment: str = "") -> Page:
    page = context.new_page()
    page.goto(served + "your-test.html" + fragment)
    page.wait_for_selector("#record-app[data-ready]", state="attached")
    return page


def start(page: Page) -> None:
    before = page.evaluate("GuideRecord.app.current && GuideRecord.app.current.id")
    page.click("[data-new=plate-test]")
    page.wait_for_function(
        "(before) => GuideRecord.app.current && GuideRecord.app.current.id !== before", arg=before)


def say(page: Page, **facts: str) -> None:
    for name, text in facts.items():
        control = page.locator(f"#record-{name}")
        if control.evaluate("(control) => control.tagName") == "SELECT":
            control.select_option(text)
        else:
            control.fill(text)
    kept(page)


def mine(page: Page) -> dict | None:
    return page.evaluate("Guide.mine.get()")


def worked_out(page: Page, **values: str) -> None:
    """Wait until every page has these facts."""
    page.wait_for_function("""(values) => {
      const mine = Guide.mine.get();
      return mine && Object.entries(values).every(([name, text]) => (mine.values[name] || "") === text);
    }""", arg=values)


def link_of(page: Page) -> str:
    """What “Copy link” copies."""
    page.evaluate("() => { navigator.clipboard.writeText = async (text) => { window.copied = text; }; }")
    page.click("[data-copy-test]")
    page.wait_for_function("() => window.copied")
    return page.evaluate("window.copied")


# --- the job: a WPS in hand, a phone ---------------------------------------------------------------


def test_a_wps_on_a_phone(new_context, served):
    """At most 15 facts are typed, none twice; the first answer stands within one screen of the open test."""
    page = open_page(new_context(viewport=PHONE), served)
    assert page.locator("[data-record]").count() == 0, "no list before there is a test"
    start(page)
    assert len(SAID) <= 15
    say(page, **SAID)
    worked_out(page, opening_under="1/16 in")
    answer = page.locator(".test-answer").inner_text()
    assert "125 A; your WPS: 115 A to 135 A" in answer.replace("\u00a0", " ")
    assert mine(page)["line"] == LINE
    assert mine(page)["fills"]["groove"]["thickness"] == "1/2 in"
    assert page.locator("[data-verdict] [data-level]").first.get_attribute("data-level") == "incomplete"

    page.reload()
    page.wait_for_selector(".test-first")
    page.evaluate("() => scrollTo(0, 0)")
    first, last = (page.locator(".test-first > div").nth(place).bounding_box() for place in (0, -1))
    bar = page.locator("[data-record-headline]").bounding_box()
    assert first["y"] > 0 and last["y"] + last["height"] <= bar["y"], "the whole first answer in one screen"
    assert page.locator("#record-thickness").input_value() == "1/2 in"
    assert page.locator(".record-section[open] [data-field]").count() == len(SAID), "the other parts are folded"


def test_one_tap_from_the_opened_guide_to_the_rods_and_the_amperage(new_context, served):
    """With a test that is kept: no scrolling, and at most two taps."""
    page = open_page(new_context(viewport=PHONE), served)
    start(page)
    say(page, **SAID)
    worked_out(page, opening_under="1/16 in")
    page.goto(served + "index.html")
    page.click("[data-mine-line]")
    for told in ("have 18 at hand", "125 A; your WPS"):
        expect(page.locator(".test-first", has_text=told)).to_be_in_viewport()


def test_each_fact_is_asked_once_and_says_what_stands_in(new_context, served):
    page = open_page(new_context(), served)
    start(page)
    names = page.eval_on_selector_all(".record-form [data-field]", "(fields) => fields.map((f) => f.dataset.field)")
    assert names == list(FIELDS)
    assert page.get_attribute("#record-thickness", "placeholder") == FIELDS["thickness"].stand_in
    assert page.locator("#record-steel option").first.inner_text() == "A36, not said"


def test_help_and_limits_show_at_the_field_at_hand(new_context, served):
    """They stay until another field is at hand: a button does not move away under the finger."""
    page = open_page(new_context(), served)
    start(page)
    shown = page.locator(".record-form .help:visible")
    expect(shown).to_have_count(0)
    page.focus("#record-thickness")
    expect(shown).to_have_count(1)
    page.fill("#record-thickness", "9 in")
    expect(page.locator("[data-said=thickness]")).to_contain_text("outside the range")
    assert page.get_attribute("#record-thickness", "aria-invalid") == "true"
    page.focus("[data-copy-test]")
    expect(shown).to_have_count(1)
    page.focus("#record-root_opening")
    expect(shown).to_have_count(1)


def test_what_a_change_changes_is_told_beside_the_verdict(new_context, served):
    page = open_page(new_context(), served)
    start(page)
    say(page, thickness="3/8 in")
    worked_out(page, thickness="3/8 in")
    expect(page.locator(".test-changes")).to_have_count(0)
    say(page, thickness="3/4 in")
    expect(page.locator(".test-changes")).to_contain_text("Rods for the joint: 9 → ")


def test_a_setting_outside_the_wps_is_stop(new_context, served):
    page = open_page(new_context(), served)
    start(page)
    page.evaluate("() => document.querySelectorAll('.record-form details').forEach((fold) => { fold.open = true; })")
    say(page, **SAID, amps="150 A")
    worked_out(page, amps="150 A")
    assert page.locator("[data-verdict] [data-level]").first.get_attribute("data-level") == "stop"
    expect(page.locator("[data-record-headline]")).to_contain_text("Do not start like this")


# --- kept -------------------------------------------------------------------------------------------


def test_ten_kills_lose_at_most_the_key_under_way(new_context, site, served):
    """The page is crashed ten times at a random moment of typing; the open test comes back by itself."""
    chance = random.Random(7)
    context = new_context()
    lean(context, site, "your-test.html")
    page = open_page(context, served)
    start(page)
    kept(page)
    page.close()
    typed = [0]
    context.on("console", lambda message: typed.append(int(message.text[6:])) if message.text[:6] == "typed " else None)
    for number in range(10):
        page = open_page(context, served)
        before = page.locator("#record-wps").input_value()
        assert number == 0 or before.startswith(f"{number - 1}:")
        letters = before.partition(":")[2]
        assert ("abcdefghij" * 8).startswith(letters) and len(letters) >= typed[-1], "a finished key was lost"
        typed.append(0)
        page.evaluate("""(round) => {
          const control = document.querySelector("#record-wps");
          let count = 0;
          const step = () => {
            count += 1;
            control.value = `${round}:` + "abcdefghij".repeat(8).slice(0, count);
            control.dispatchEvent(new Event("input", { bubbles: true }));
            console.debug(`typed ${count}`);
            window.keys = count;
            if (count < 78) setTimeout(step, Math.random() * 4);
          };
          step();
        }""", number)
        page.wait_for_function("(count) => window.keys >= count", arg=chance.randint(1, 60), polling=1)
        with pytest.raises(Error):
            page.goto("chrome://crash")
        page.close()
    page = open_page(context, served)
    assert page.locator("#record-wps").input_value().startswith("9:")
    assert len(stored(page)) == 1, "a kill made or lost a test"


def test_a_change_that_was_not_worked_out_is_on_the_next_page(new_context, served):
    """Closed before the calculators answered: the next page of the guide works it out."""
    context = new_context()
    page = open_page(context, served)
    start(page)
    say(page, thickness="1/2 in")
    worked_out(page, thickness="1/2 in")
    page.evaluate("() => { GuideEngine.call = () => new Promise(() => {}); }")
    say(page, thickness="3/4 in")
    page.close()
    other = context.new_page()
    other.goto(served + "groove.html")
    worked_out(other, thickness="3/4 in")


def test_two_tests_by_name_and_the_opened_one_is_active(new_context, served):
    page = open_page(new_context(), served)
    start(page)
    say(page, thickness="1/2 in", name="Plate for Monday")
    start(page)
    say(page, thickness="1 in", name="Plate for Friday")
    worked_out(page, thickness="1 in")
    page.click("[data-back]")
    page.locator("[data-open]", has_text="Monday").click()
    worked_out(page, thickness="1/2 in")
    assert mine(page)["name"] == "Plate for Monday"
    page.reload()
    page.wait_for_selector(".record-form")
    assert page.locator("#record-name").input_value() == "Plate for Monday"
    page.get_by_role("button", name="Delete").click()
    page.wait_for_function("() => Guide.mine.get() === null")
    page.click("[data-undo]")
    expect(page.locator("[data-record]")).to_have_count(2)


def test_tests_and_records_have_each_their_own_list(new_context, served):
    context = new_context()
    page = open_page(context, served)
    start(page)
    kept(page)
    record = context.new_page()
    record.goto(served + "record.html")
    record.wait_for_selector("#record-app[data-ready]")
    assert record.locator("[data-record]").count() == 0
    put_file(record, "test.json", write_record(TEST).encode())
    expect(record.locator(".record-told")).to_contain_text("“Your test”: 1")
    put_file(record, "day.json", write_record(PLATE).encode())
    expect(record.locator("[data-record]")).to_have_count(1)
    page.click("[data-back]")
    expect(page.locator("[data-record]")).to_have_count(2)


def test_another_tab_sees_the_change(new_context, served):
    context = new_context()
    one = open_page(context, served)
    start(one)
    say(one, thickness="1/2 in")
    worked_out(one, thickness="1/2 in")
    two = open_page(context, served)
    other = context.new_page()
    other.goto(served + "groove.html")
    other.evaluate("() => document.addEventListener('guide-mine', (event) => { window.told = event.detail.values; })")
    say(one, thickness="3/4 in")
    two.wait_for_function("() => document.querySelector('#record-thickness').value === '3/4 in'")
    other.wait_for_function("() => window.told && window.told.thickness === '3/4 in'")


def test_a_fact_made_mine_on_another_page(new_context, served):
    """Written into the kept test, with the unit that the page meant; a text that cannot be used changes nothing."""
    context = new_context()
    page = open_page(context, served)
    start(page)
    say(page, thickness="1/2 in")
    worked_out(page, thickness="1/2 in")
    other = context.new_page()
    other.goto(served + "groove.html")
    assert other.evaluate("Guide.mine.set('thickness', '5/8')") == ""
    worked_out(other, thickness="5/8 in")
    assert "outside the range" in other.evaluate("Guide.mine.set('thickness', '90 in')")
    page.wait_for_function("() => document.querySelector('#record-thickness').value === '5/8 in'")
    assert stored(page)[0]["record"]["values"]["thickness"] == "5/8 in"
    assert page.evaluate("Guide.mine.set('root_opening', '3/16 in')") == "", "where the test is open itself"
    assert page.locator("#record-root_opening").input_value() == "3/16 in"
    other.evaluate("Guide.mine.use(null)")
    assert other.evaluate("Guide.mine.set('thickness', '1 in')") == "There is no test of yours yet."


# --- passed on -----------------------------------------------------------------------------------------


def test_a_link_carries_the_whole_test_and_asks(new_context, served):
    page = open_page(new_context(), served)
    start(page)
    say(page, **SAID, name="Plate of the link")
    worked_out(page, opening_under="1/16 in")
    link = link_of(page)
    assert "this device only" in page.locator(".said", has_text="Link copied").inner_text()
    fragment = "#" + link.partition("#")[2]
    values = mine(page)["values"]

    fresh = open_page(new_context(), served, fragment)
    fresh.wait_for_selector("[data-keep-link]")
    assert mine(fresh) is None and fresh.locator("[data-replace-link]").count() == 0
    assert LINE in fresh.locator(".test-offer").inner_text()
    fresh.click("[data-keep-link]")
    worked_out(fresh, **values)
    assert fresh.locator("#record-name").input_value() == "Plate of the link"
    assert "#test" not in fresh.url
    assert link_of(fresh).partition("#")[2] == fragment[1:]


def test_a_link_replaces_nothing_before_it_is_told_to(new_context, served):
    context = new_context()
    page = open_page(context, served)
    start(page)
    say(page, thickness="3/8 in", root_opening="1/4 in")
    worked_out(page, thickness="3/8 in")
    page.close()
    page = open_page(context, served, "#test=1&thickness=1%2F2+in&kerf=2&stub=3+in")
    page.wait_for_selector("[data-replace-link]")
    rows = [row.split("\t") for row in page.locator(".test-differences tbody").inner_text().split("\n")]
    assert ["Plate thickness", "3/8 in", "1/2 in"] in rows and ["Root opening", "1/4 in", "not said"] in rows
    assert "has no unit" in page.locator("[data-refused]").inner_text()
    page.click("[data-leave]")
    assert page.locator("#record-thickness").input_value() == "3/8 in" and "#" not in page.url

    page.evaluate("() => { location.hash = '#test=1&thickness=1%2F2+in'; }")
    page.click("[data-replace-link]")
    worked_out(page, thickness="1/2 in", root_opening="")
    assert len(stored(page)) == 1
    page.click("[data-undo]")
    worked_out(page, thickness="3/8 in", root_opening="1/4 in")


@pytest.mark.parametrize("fragment, words", [
    ("#test=%", "damaged"), ("#test=7&steel=A36", "later version"), ("#test=", "damaged"),
    ("#test=1&wps=<img src=x onerror=alert(1)>", "onerror"),
])
def test_a_damaged_or_hostile_link_is_told_and_changes_nothing(new_context, served, fragment, words):
    page = open_page(new_context(), served, fragment)
    expect(page.locator(".test-offer")).to_contain_text(words)
    assert page.locator(".test-offer img").count() == 0
    page.click("[data-leave]")
    expect(page.locator(".test-offer")).to_have_count(0)
    assert stored(page) == []


def test_a_file_out_and_in(new_context, served):
    page = open_page(new_context(), served)
    start(page)
    say(page, **SAID)
    with page.expect_download() as got:
        page.click("[data-export]")
    text = Path(got.value.path()).read_text(encoding="utf-8")
    assert dict(read_record(text).values) == SAID
    fresh = open_page(new_context(), served)
    put_file(fresh, "my-test.json", text.encode())
    expect(fresh.locator("[data-record]")).to_have_count(1)
    fresh.click("[data-open]")
    worked_out(fresh, steel="A572-50", amps_high="135 A")


def test_the_invented_example_is_said_to_be_invented(new_context, served):
    page = open_page(new_context(), served)
    page.click("[data-demo]")
    page.wait_for_selector(".test-first")
    assert "invented" in page.locator(".record-told").inner_text()
    worked_out(page, **{name: text for name, text in as_data(TEST)["values"].items()})


def test_from_a_folder(new_context, file_site):
    context = new_context(viewport=PHONE)
    address = (file_site / "index.html").as_uri().removesuffix("index.html")
    page = open_page(context, address)
    start(page)
    say(page, **SAID)
    worked_out(page, opening_under="1/16 in")
    link = link_of(page)
    page.close()
    page = context.new_page()
    page.goto(link)
    page.wait_for_selector("[data-replace-link]")
    assert "the same" in page.locator(".test-offer").inner_text()
    page.click("[data-leave]")
    assert page.locator("#record-thickness").input_value() == "1/2 in"


def test_the_field_at_hand_is_not_under_the_bar(new_context, served):
    """Tab through the open part on a phone: what has the focus is in sight."""
    page = open_page(new_context(viewport=PHONE), served)
    start(page)
    page.wait_for_selector(".test-first")
    answered(page)
    page.focus("#record-steel")
    for _ in range(len(SAID) - 1):
        page.keyboard.press("Tab")
        page.evaluate("() => new Promise(requestAnimationFrame)")
        box = page.evaluate("""() => {
          const { top, bottom } = document.activeElement.getBoundingClientRect();
          const { top: bar } = document.querySelector("[data-record-headline]").getBoundingClientRect();
          return { top, bottom, bar, id: document.activeElement.id || document.activeElement.textContent };
        }""")
        assert 0 <= box["top"] and box["bottom"] <= box["bar"] + 1, json.dumps(box)
