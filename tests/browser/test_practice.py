"""Practice in a real browser: by keyboard alone, told to a screen reader, with storage that is denied, full or
damaged.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable

from playwright.sync_api import BrowserContext, Locator, Page, expect

from tests.browser.conftest import Watch

KEY = "guide.practice"
SET = (
    "practice.html?questions=groove-angle-meaning,safety-shut-down-order,safety-hazards-bench,groove-included-angle&seed=7"
)
DENIED = "Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('no', 'SecurityError'); }});"
FULL = "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };"


def focused(page: Page, selector: str) -> bool:
    return page.evaluate("selector => document.activeElement.matches(selector)", selector)


def tab_to(page: Page, selector: str, most: int = 60) -> None:
    """Press Tab until the element has the focus: what cannot be reached so fails the test."""
    for _ in range(most):
        if focused(page, selector):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{selector} cannot be reached by Tab")


def kept(page: Page) -> dict:
    return json.loads(page.evaluate("key => localStorage.getItem(key)", KEY))


def start(page: Page, address: str) -> Locator:
    page.goto(address)
    review = page.locator("[data-practice=review]")
    expect(review.get_by_role("button").first).to_be_visible()
    return review


def answer_by_keyboard(page: Page) -> None:
    """Answer the question that stands there, whatever it is, with nothing but keys."""
    kind = page.locator(".question-kind").inner_text()
    if kind == "Put in order":
        for number in range(1, page.locator("select[name=step]").count() + 1):
            page.keyboard.press("Tab")
            page.keyboard.type(str(number))
    elif kind == "Name each":
        for number in range(page.locator("select[name=answer]").count()):
            tab_to(page, f"select[name=answer][id$=name-{number}]", 3)
            page.keyboard.press("ArrowDown")
    elif kind == "Work it out":
        tab_to(page, "input[name=answer]", 4)
        page.keyboard.type("45 deg")
    else:
        tab_to(page, "input[name=answer]", 4)
        page.keyboard.press("Space")
    tab_to(page, "form.question button[type=submit]", 20)
    page.keyboard.press("Enter")
    expect(page.locator(".marked")).to_be_visible()


def test_a_whole_set_by_keyboard_alone(page: Page, served: str) -> None:
    start(page, f"{served}{SET}")
    tab_to(page, "[data-practice=review] .main-button", 120)
    page.keyboard.press("Enter")
    asked = 0
    while not page.locator(".finished").is_visible():
        expect(page.locator("form.question:has(button[type=submit])")).to_be_visible()
        assert focused(page, ".question-head"), "the focus follows to the new question"
        answer_by_keyboard(page)
        assert focused(page, ".marked [tabindex]"), "the focus follows to the verdict"
        asked += 1
        before = page.locator(".question-head").inner_text()
        tab_to(page, "[data-practice=review] .marked ~ .main-button", 20)
        page.keyboard.press("Enter")
        page.wait_for_function(
            "before => document.querySelector('.finished') || document.querySelector('form.question "
            "button[type=submit]') && document.querySelector('.question-head').innerText !== null", arg=before,
        )
        assert asked <= 12, "a set ends"
    assert focused(page, ".finished h3")
    assert "of 4 right at the first try" in page.locator(".finished").inner_text()
    cards = kept(page)["profiles"][0]["cards"]
    assert set(cards) == {
        "groove-angle-meaning", "safety-shut-down-order", "safety-hazards-bench", "groove-included-angle",
    }


def test_the_day_of_the_test_is_kept_and_the_set_is_planned_for_it(page: Page, served: str) -> None:
    """The part with the model comes by itself; what an answer is worth on the day is kept with the reader."""
    review = start(page, f"{served}practice.html")
    day = page.evaluate("() => new Date(Date.now() + 21 * 864e5).toISOString().slice(0, 10)")
    review.get_by_label("Day of your test").fill(day)
    expect(review.locator("[data-plan]")).to_contain_text(re.compile(r"2[012] days to your test\. 20 questions now"))
    review.get_by_label("Minutes a day").select_option("10")
    expect(review.locator("[data-plan]")).to_contain_text("13 questions now, about 10 minutes")
    review.get_by_role("button", name="Start today's set").click()
    expect(page.locator(".question-head")).to_contain_text("Question 1 of 13")
    answer_by_keyboard(page)
    state = kept(page)
    (profile,) = state["profiles"]
    assert state["version"] == 3 and profile["test_date"] == day and profile["minutes"] == 10
    assert len(profile["memory"]) == len(profile["cards"]) == 1 and "checked" not in profile
    page.goto(f"{served}practice.html")
    page.get_by_role("button", name="End it").click()
    expect(review.get_by_label("Day of your test")).to_have_value(day)
    ready = page.locator("[data-practice=ready]")
    ready.get_by_role("button", name="Work it out").click()
    expect(ready).to_contain_text("Expected on the day of your test")
    expect(ready).to_contain_text("Tried so far: 1 of ")


def test_progress_of_version_1_goes_on_with_nothing_lost(page: Page, served: str) -> None:
    card = {"ease": 2.6, "interval": 6, "in_a_row": 2, "due": "2026-03-08", "again": False, "seen": 2, "last": 5}
    old = {"format": "plate-test-guide-progress", "version": 1, "active": 0,
           "profiles": [{"name": "7", "cards": {"groove-face-width": card}, "read": {"groove-width": "2026-03-01"}}]}
    page.goto(f"{served}practice.html")
    page.evaluate("([key, text]) => localStorage.setItem(key, text)", [KEY, json.dumps(old)])
    start(page, f"{served}practice.html")
    expect(page.locator(".reader").first).to_contain_text("Reader: 7.")
    state = kept(page)
    assert state["version"] == 3 and state["profiles"][0]["cards"] == old["profiles"][0]["cards"]
    assert state["profiles"][0]["read"] == old["profiles"][0]["read"]
    assert state["profiles"][0]["memory"]["groove-width"]["stability"] == 6


def test_what_a_screen_reader_is_told(page: Page, served: str) -> None:
    start(page, f"{served}{SET}").get_by_role("button", name="Start the set of 4").click()
    form = page.locator("form.question")
    expect(form).to_be_visible()
    seen = set()
    for _ in range(4):
        tree = form.aria_snapshot()
        assert re.search(r'group "[^"]{20,}', tree), "the question names its group"
        controls = form.locator("input:not([name=unsure]), select").all()
        for control in controls:
            assert control.evaluate(
                "each => [...each.labels].map(label => label.innerText.trim()).join('').length > 0"
            ), "a control without a label"
            assert control.get_attribute("aria-describedby")
        seen.add(form.locator(".question-kind").inner_text())
        if form.locator("select[name=step]").count():
            form.get_by_role("button", name="Check my answer").click()
            expect(form.get_by_role("alert")).to_contain_text("each number once")
            for number, step in enumerate(form.locator("select[name=step]").all(), 1):
                step.select_option(str(number))
        elif form.locator("input[type=text]").count():
            form.locator("input[type=text]").fill("1 lb")
            form.get_by_role("button", name="Check my answer").click()
            expect(form.get_by_role("alert")).to_contain_text("not a unit of angle")
            form.locator("input[type=text]").fill("1 deg")
        else:
            form.locator("input[name=answer]").first.check()
        form.get_by_role("button", name="Check my answer").click()
        expect(page.get_by_role("heading", name=re.compile("^(Right|Not right)$"))).to_be_focused()
        page.locator(
            "[data-practice=review] .marked ~ .main-button, [data-practice=review] div > .main-button"
        ).last.click()
        expect(page.locator("form.question button[type=submit]")).to_be_visible()
    assert len(seen) == 4


def test_try_first_hides_names_the_slip_and_shows_line_by_line(page: Page, served: str) -> None:
    page.goto(f"{served}groove.html")
    section = page.locator("#groove")
    headline = section.locator("[data-headline]")
    expect(headline).to_be_visible()
    section.get_by_role("button", name="Try it first").click()
    expect(section.get_by_label("What do you work out?")).to_be_focused()
    expect(headline).to_be_hidden()
    expect(section.locator("[data-answer]")).to_be_hidden()
    section.get_by_label("Your answer").fill("22.5")
    page.keyboard.press("Enter")
    tried = section.locator("[data-tried]")
    expect(tried).to_contain_text("half the angle was taken for the whole")
    expect(tried.locator("ol.steps > li")).to_be_hidden()
    tried.get_by_role("button", name="Show the first of 1 worked steps").click()
    expect(tried.locator("ol.steps > li")).to_be_visible()
    expect(tried).to_contain_text("Groove angle: 45°")
    # New numbers ask anew, and still give nothing away.
    section.locator("#groove-bevel_angle").fill("30 deg")
    expect(tried).to_have_count(0)
    expect(section.get_by_label("Your answer")).to_be_visible()
    expect(headline).to_be_hidden()
    section.get_by_label("Your answer").fill("60")
    page.keyboard.press("Enter")
    expect(tried.get_by_role("heading", name="Right", exact=True)).to_be_focused()
    section.get_by_role("button", name="Show the answer", exact=True).first.click()
    expect(headline).to_contain_text("60°")


def test_storage_denied_full_or_damaged_is_told_and_practice_goes_on(
        new_context: Callable[..., BrowserContext], watch: Watch, served: str) -> None:
    watch.expect("^no$")  # The theme's own scripts ask for the storage too.
    damaged = f"localStorage.getItem('{KEY}') === null && localStorage.setItem('{KEY}', '{{\"format\": \"plate-test');"
    for script, words in (
        (DENIED, "keeps nothing for this page"), (FULL, "no room left"), (damaged, "could not be read"),
    ):
        page = new_context().new_page()
        page.add_init_script(script)
        review = start(page, f"{served}practice.html?questions=groove-angle-meaning&seed=7")
        review.get_by_role("button", name="Start the set of 1").click()
        review.locator("input[name=answer]").first.check()
        review.get_by_role("button", name="Check my answer").click()
        expect(review.locator(".marked")).to_be_visible()
        expect(review.get_by_role("alert").filter(has_text=words)).to_be_visible()
        if script is damaged:
            assert page.evaluate(
                "key => localStorage.getItem(key)", KEY,
            ) == '{"format": "plate-test', "what was there is left alone"


def test_readers_export_reset_and_import(page: Page, served: str, tmp_path) -> None:
    start(
        page, f"{served}practice.html?questions=groove-angle-meaning&seed=7",
    ).get_by_role("button", name="Start the set").click()
    page.locator("input[name=answer]").first.check()
    page.get_by_role("button", name="Check my answer").click()
    expect(page.locator(".marked")).to_be_visible()
    page.goto(f"{served}progress.html")
    panel = page.locator("[data-practice=progress]")
    expect(panel.locator("[data-totals]")).to_contain_text("1 shaky")
    expect(page.locator('[data-standing="groove-angle"]')).to_contain_text("shaky")
    panel.get_by_text("Readers: add, rename, remove").click()
    panel.get_by_label("Name or number").fill("<b>7</b>")
    panel.get_by_role("button", name="Add this reader").click()
    expect(panel.locator("[data-totals]")).to_contain_text("<b>7</b>: of")
    expect(panel.locator("[data-totals]")).to_contain_text("0 shaky")
    with page.expect_download() as waiting:
        panel.get_by_role("button", name="Export to a file").click()
    file = tmp_path / "progress.json"
    waiting.value.save_as(file)
    assert [each["name"] for each in json.loads(file.read_text())["profiles"]] == ["Reader 1", "<b>7</b>"]
    panel.get_by_text("Readers: add, rename, remove").click()
    panel.get_by_role("button", name="Remove the present reader").click()
    panel.get_by_role("button", name="Yes, remove this reader").click()
    panel.get_by_text("Readers: add, rename, remove").click()
    panel.get_by_role("button", name="Reset the present reader").click()
    panel.get_by_role("button", name="Yes, delete").click()
    expect(panel.locator("[data-totals]")).to_contain_text("0 shaky")
    before = kept(page)
    broken = tmp_path / "broken.json"
    broken.write_text(file.read_text()[:-30])
    panel.get_by_label(re.compile("Import")).set_input_files(broken)
    expect(panel.locator(".said")).to_have_text("Nothing was changed: the file is damaged: it is not JSON.")
    assert kept(page) == before
    panel.get_by_label(re.compile("Import")).set_input_files(file)
    expect(panel.locator('[data-meeting="0"]')).to_have_text("Reader 1 adds: 1 answer.")
    panel.get_by_role("button", name="Import this").click()
    expect(panel.locator(".said")).to_have_text("Imported. Nothing that was here is lost.")
    expect(panel.locator("[data-totals]")).to_contain_text("1 shaky")
    assert kept(page)["profiles"] == json.loads(file.read_text())["profiles"]


def test_the_printed_worksheets_are_those_of_the_command_line(page: Page, served: str) -> None:
    from calc.practice.worksheet import Settings, as_html

    page.goto(f"{served}instructors.html")
    sheets = page.locator("[data-practice=worksheets]")
    sheets.get_by_label("Seed").fill("31")
    sheets.get_by_label("Worksheets", exact=True).fill("2")
    sheets.get_by_label("Questions on each").fill("6")
    sheets.get_by_role("button", name="Make the worksheets").click()
    expect(sheets.locator(".paper")).to_have_count(4)
    expected = page.evaluate(
        "html => "
        "{ const made = document.createElement('div'); made.innerHTML = guideHTML(html); return made.innerHTML; }",
        as_html(Settings("31", 2, 6, (), "us", True)),
    )
    assert sheets.locator(".sheets").inner_html() == expected
    expect(
        sheets.get_by_text("python -m calc worksheet --seed 31 --papers 2 --questions 6 --key").first
    ).to_be_visible()
    page.emulate_media(media="print")
    expect(sheets.locator(".paper").first).to_be_visible()
    expect(page.get_by_role("heading", name="Write your own questions")).to_be_hidden()


# --- drawings to measure on ---------------------------------------------------------------------


def rule_at(page: Page) -> list[float]:
    return [float(each) for each in page.locator(".measured .rule").get_attribute("data-at").split()]


def measure(page: Page, address: str) -> None:
    start(page, address)
    page.get_by_role("button", name="Start the set").click()
    expect(page.locator(".measured .rule")).to_be_visible()
    page.locator(".measured").evaluate("each => each.scrollIntoView({ block: 'center', behavior: 'instant' })")


def test_the_rule_is_moved_and_turned_by_keys(page: Page, served: str, watch: Watch) -> None:
    measure(page, f"{served}practice.html?questions=judging-measure-one&seed=7")
    tab_to(page, ".measured .rule", 10)
    x, y, turn = rule_at(page)
    for key in ("ArrowRight", "Shift+ArrowUp", "PageDown", "PageDown", "Shift+PageUp"):
        page.keyboard.press(key)
    assert rule_at(page) == [x + 1, y - 10, turn - 8]
    for _ in range(60):
        page.keyboard.press("Shift+ArrowUp")
    assert rule_at(page)[1] == 0, "the rule left the drawing"


def test_the_rule_is_dragged_to_an_open_discontinuity_and_reads_its_length(page: Page, served: str, watch: Watch) -> None:
    """Laid from end to end by the mouse, its upper edge spans what the question counts as right."""
    measure(page, f"{served}practice.html?questions=judging-measure-one&seed=7")
    ends = page.evaluate(
        """() => {
            const shape = document.querySelector('[data-part="opening-1"]');
            const at = [...shape.getAttribute("d").matchAll(/(-?[0-9.]+) (-?[0-9.]+)/g)].map((each) => [+each[1], +each[2]]);
            let best = [0];
            for (const one of at) for (const other of at) {
                const far = Math.hypot(one[0] - other[0], one[1] - other[1]);
                if (far > best[0]) best = [far, one, other];
            }
            const frame = shape.ownerSVGElement.getScreenCTM();
            const seen = ([x, y]) => [frame.a * x + frame.e, frame.d * y + frame.f];
            return { far: best[0], from: seen(best[1]), to: seen(best[2]), zero: seen([14, 0]), scale: frame.a };
        }"""
    )
    rule = page.locator(".measured .rule")
    box = page.locator(".measured .rule-body").bounding_box()
    corner = (box["x"], box["y"])
    page.mouse.move(corner[0] + 40, corner[1] + 20)
    page.mouse.down()
    page.mouse.move(ends["from"][0] + 40, ends["from"][1] + 20, steps=5)
    page.mouse.up()
    grip = page.locator(".measured .rule-turn .dot").bounding_box()
    middle = (grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2)
    from_x, from_y = ends["from"]
    wanted = math.atan2(ends["to"][1] - from_y, ends["to"][0] - from_x)
    now = math.atan2(middle[1] - from_y, middle[0] - from_x)
    reach, turned = math.dist(middle, ends["from"]), wanted
    page.mouse.move(*middle)
    page.mouse.down()
    page.mouse.move(from_x + reach * math.cos(now + turned), from_y + reach * math.sin(now + turned), steps=8)
    page.mouse.up()
    _, _, turn = rule_at(page)
    assert abs((turn - math.degrees(wanted) + 180) % 360 - 180) < 2
    inch = float(rule.get_attribute("data-inch"))
    reply = page.locator("input[name=answer]")
    reply.fill(f"{ends['far'] / inch:.3f} in")
    page.get_by_role("button", name="Check my answer").click()
    expect(page.locator(".marked")).to_have_attribute("data-right", "true")


def test_look_alikes_are_named_by_keyboard_alone(page: Page, served: str, watch: Watch) -> None:
    start(page, f"{served}practice.html?questions=flaws-name-at-the-toe&seed=7")
    page.get_by_role("button", name="Start the set").click()
    looks = page.locator("svg.look")
    expect(looks.first).to_be_visible()
    for number in range(looks.count()):
        tab_to(page, f"select[name=answer][id$=name-{number}]", 6)
        page.keyboard.press("U" if number else "O")
    tab_to(page, "form.question button[type=submit]", 6)
    page.keyboard.press("Enter")
    expect(page.locator(".marked .reasons li")).to_have_count(looks.count())
