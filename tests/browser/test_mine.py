"""The reader's own test on every page: forms filled from it, the line above the title, figures in sentences, links."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from calc.catalogue import CALCULATORS, calculator
from calc.core.declare import taken
from calc.plate_test.fields import FIELDS
from calc.plate_test.prose import prose
from calc.plate_test.work import fills, with_facts, work
from calc.record.demo import TEST
from tests.browser.conftest import scrolls_sideways
from tests.browser.test_calculators import headline, wait_for_answer

THICK = "#groove-thickness"
FIELD = "#groove [data-field=thickness]"
DIFFERS = f"{FIELD} [data-differs]"
KEPT = "guide.inputs.groove.html#groove"
NAME = "Half inch <b>3G</b>"
LINE = "3G up · 1/2 in A572-50 · E7018 1/8 in · 115–135 A · opening 1/4 in"
HALF_INCH = "0.6642 in"
"""Face width of the groove for plate 1/2 in thick: 0.25 + 2 × 1/2 × tan 22.5° = 0.6642 in."""
PRINTED = "0.5607 in"


def declared(**facts: str) -> dict:
    """What the browser keeps of a test: the invented shop's, with some facts said otherwise."""
    record = replace(with_facts(TEST, {"thickness": "1/2 in", **facts}), name=NAME)
    own = {
        each.id: {one.name: taken(one) for one in each.inputs if taken(one) in FIELDS} for each in CALCULATORS
    }
    return {
        "id": record.id, "name": NAME, "line": LINE, "fills": fills(record), "own": own, "prose": prose(work(record)),
        "values": {},
    }


def declare(page, mine: dict | None, told: bool = False) -> None:
    """Put a test into the browser; `told`, and tell the open page, as its script does after a change."""
    page.evaluate(
        """([text, told]) => {
          if (text) localStorage.setItem("guide.mine", text);
          else localStorage.removeItem("guide.mine");
          if (told) document.dispatchEvent(new CustomEvent("guide-mine"));
        }""", [mine and json.dumps(mine), told],
    )


@pytest.fixture
def open_with(page, served):
    """Opens a page of the guide in a browser that has a test."""
    def opened(name: str = "groove.html", mine: dict | None = None):
        page.goto(served + "404.html")
        declare(page, mine or declared())
        page.goto(served + name)
        return page

    return opened


def test_a_form_is_filled_from_the_test_and_answers_it(open_with):
    page = open_with()
    assert page.input_value(THICK) == "1/2 in"
    assert page.inner_text("#groove [data-from-test]") == f"Filled from your test {NAME}."
    assert page.get_attribute("#groove [data-from-test] a", "href").endswith("/your-test.html")
    wait_for_answer(page, HALF_INCH)
    assert page.locator("#groove.stale").count() == 0 and page.locator(DIFFERS).count() == 0
    assert page.evaluate("(key) => localStorage.getItem(key)", KEPT) is None, "nothing was typed here"


def test_rows_and_choices_are_filled_too(open_with):
    page = open_with("cut-plans.html")
    assert page.input_value("#cut-list [data-row] >> nth=0 >> input >> nth=0") == "7 in"
    assert page.locator("#cut-list [data-field=pieces] [data-row]").count() == 1
    page = open_with("machine.html")
    assert page.input_value("#current-progression") == "up"


def test_until_it_is_worked_out_the_answer_says_that_it_is_of_other_numbers(page, served):
    page.goto(served + "404.html")
    declare(page, declared())
    page.route("**/assets/engine/worker-*", lambda route: None)
    page.goto(served + "groove.html")
    assert "numbers of your test" in page.inner_text("#groove [data-stale]")
    assert PRINTED in headline(page).inner_text().replace("\u00a0", " ")


def test_a_form_printed_with_other_numbers_keeps_to_them(open_with):
    page = open_with()
    assert page.input_value("#groove-thick-thickness") == "1 in"
    assert page.locator("#groove-thick [data-from-test]").count() == 0


def test_what_was_changed_away_stays_and_says_what_the_test_says(open_with, served):
    page = open_with()
    page.fill(THICK, "1 in")
    wait_for_answer(page, "1.078 in")
    assert page.inner_text(f"{DIFFERS} span") == "Your test: 1/2 in"
    assert json.loads(page.evaluate("(key) => localStorage.getItem(key)", KEPT)) == {
        "changed": {"thickness": "1 in"}, "system": "us",
    }
    page.reload()
    assert page.input_value(THICK) == "1 in" and page.locator(DIFFERS).count() == 1
    declare(page, declared(thickness="3/4 in", root_opening="3/8 in"), told=True)
    assert page.input_value(THICK) == "1 in", "changed away"
    assert page.input_value("#groove-root_opening") == "3/8 in", "follows the test"
    assert page.inner_text(f"{DIFFERS} span") == "Your test: 3/4 in"
    page.click(f"{DIFFERS} [data-use-mine]")
    assert page.input_value(THICK) == "3/4 in" and page.locator(DIFFERS).count() == 0
    assert page.evaluate("document.activeElement.id") == "groove-thickness"
    assert page.evaluate("(key) => localStorage.getItem(key)", KEPT) is None


def test_the_same_in_other_words_does_not_differ(open_with):
    page = open_with()
    page.fill(THICK, "12.7 mm")
    page.wait_for_selector(DIFFERS, state="detached")
    page.fill(THICK, "12.8 mm")
    page.wait_for_selector(DIFFERS)


def test_make_it_mine_writes_the_fact_into_the_test(open_with):
    page = open_with()
    page.evaluate(
        """(after) => { Guide.mine.set = async (field, text) => {
          window.wrote = [field, text];
          localStorage.setItem("guide.mine", after);
          document.dispatchEvent(new CustomEvent("guide-mine"));
          return "";
        }; }""", json.dumps(declared(thickness="3/4 in")),
    )
    page.fill(THICK, "3/4")
    page.click(f"{DIFFERS} [data-make-mine]")
    page.wait_for_function("() => document.querySelector('#groove-thickness').value === '3/4 in'")
    assert page.evaluate("window.wrote") == ["thickness", "3/4"]
    page.wait_for_selector(DIFFERS, state="detached")
    assert page.evaluate("(key) => localStorage.getItem(key)", KEPT) is None


def test_a_refused_fact_is_told_and_nothing_typed_is_lost(open_with):
    page = open_with()
    page.evaluate("Guide.mine.set = async () => 'Plate thickness: too thick.'")
    page.fill(THICK, "99 in")
    page.click(f"{DIFFERS} [data-make-mine]")
    page.wait_for_function("() => document.querySelector('#groove .tools > .said').textContent.includes('too thick')")
    assert page.input_value(THICK) == "99 in"


def test_a_figure_that_follows_from_others_cannot_be_made_mine(open_with):
    page = open_with("bending.html")
    page.fill("#bend-ratio-thickness", "1/4 in")
    page.wait_for_selector("#bend-ratio [data-field=thickness] [data-use-mine]")
    assert page.locator("#bend-ratio [data-field=thickness] [data-make-mine]").is_hidden()


def test_back_to_the_test_and_back_to_the_printed_numbers(open_with):
    page = open_with()
    page.click("#groove [data-reset]")
    assert page.input_value(THICK) == "3/8 in"
    assert page.inner_text(f"{DIFFERS} span") == "Your test: 1/2 in"
    page.reload()
    assert page.input_value(THICK) == "3/8 in", "the printed number was chosen"
    page.click("#groove [data-mine-reset]")
    assert page.input_value(THICK) == "1/2 in"
    declare(page, None, told=True)
    assert page.input_value(THICK) == "3/8 in" and page.locator("#groove [data-from-test]").count() == 0
    assert page.locator("#groove [data-mine-reset]").is_hidden()


def test_what_older_versions_kept_is_read(page, served):
    page.goto(served + "404.html")
    texts = {**calculator("groove").defaults, "root_opening": "3/8 in"}
    page.evaluate("([key, kept]) => localStorage.setItem(key, kept)", [KEPT, json.dumps(texts)])
    declare(page, declared())
    page.goto(served + "groove.html")
    assert page.input_value("#groove-root_opening") == "3/8 in", "typed then"
    assert page.input_value(THICK) == "1/2 in", "as printed then: the test's now"


def test_a_bare_number_that_was_kept_means_the_same_after_a_switch_of_units_elsewhere(page, served):
    page.goto(served + "groove.html")
    page.fill(THICK, "1")
    page.goto(served + "bending.html")
    page.click("label[for=units-si]")
    page.goto(served + "groove.html")
    wait_for_answer(page, "27.39 mm")
    assert page.input_value(THICK) == "1 in"


# --- links ---------------------------------------------------------------------------------------


def copied_link(page) -> str:
    page.click("#groove [data-copy]")
    page.wait_for_function("() => location.search.includes('groove.')")
    page.wait_for_function("() => document.querySelector('#groove .tools > .said').textContent")
    return page.url


def test_a_link_means_the_same_numbers_for_whoever_opens_it(open_with, new_context):
    page = open_with()
    link = copied_link(page)
    assert "on this device only" in page.inner_text("#groove .tools > .said")
    assert "groove.thickness=1%2F2+in" in link, "though it is as the test says"
    page.reload()
    page.wait_for_function("() => GuideEngine.state === 'ready' && !document.querySelector('#groove.stale')")
    assert page.locator("[data-from-link]").count() == 0, "these are the reader's own"
    other = new_context().new_page()
    other.goto(link)
    other.wait_for_selector("[data-from-link]")
    assert other.input_value(THICK) == "1/2 in"
    wait_for_answer(other, HALF_INCH)


def test_a_link_with_the_printed_numbers_means_those(page, served, open_with):
    page.goto(served + "groove.html")
    link = copied_link(page)
    page.goto(served + "404.html")
    declare(page, declared())
    page.goto(link)
    page.wait_for_selector("[data-from-link]")
    assert page.input_value(THICK) == "3/8 in"
    wait_for_answer(page, PRINTED)


def test_a_link_touches_neither_what_was_kept_nor_the_test(open_with, served):
    page = open_with()
    page.fill("#groove-root_opening", "5/16 in")
    kept = page.evaluate("(key) => localStorage.getItem(key)", KEPT)
    page.goto(served + "groove.html?groove.thickness=1#groove")
    page.wait_for_selector("[data-from-link]")
    assert (page.input_value(THICK), page.input_value("#groove-root_opening")) == ("1 in", "1/4 in")
    page.click("label[for=units-si]")
    wait_for_answer(page, "27.39 mm")
    page.click("label[for=units-us]")
    assert page.evaluate("(key) => localStorage.getItem(key)", KEPT) == kept
    page.click("[data-back-to-mine]")
    assert (page.input_value(THICK), page.input_value("#groove-root_opening")) == ("1/2 in", "5/16 in")
    assert page.locator("[data-from-link]").count() == 0 and "thickness" not in page.url
    assert page.evaluate("(key) => localStorage.getItem(key)", KEPT) == kept


@pytest.mark.parametrize("how", ["button", "edit"])
def test_a_links_numbers_are_kept_where_the_reader_says_so_or_works_on_with_them(open_with, served, how):
    page = open_with()
    page.goto(served + "groove.html?groove.thickness=1+in#groove")
    page.wait_for_selector("[data-from-link]")
    if how == "button":
        page.click("[data-keep-link]")
    else:
        page.click("#groove details.more > summary")
        page.fill("#groove-kerf", "1/8 in")
    page.wait_for_selector("[data-from-link]", state="detached")
    page.goto(served + "groove.html")
    assert page.input_value(THICK) == "1 in" and page.locator(DIFFERS).count() == 1


def test_a_link_that_cannot_be_used_leaves_the_readers_own_numbers(open_with, served):
    page = open_with()
    page.goto(served + "groove.html?groove.thickness=much#groove")
    page.wait_for_selector("[data-not-used]")
    assert page.input_value(THICK) == "1/2 in" and page.locator("[data-from-link]").count() == 0
    assert "printed numbers" not in page.inner_text("[data-not-used]")


# --- the line and the sentences --------------------------------------------------------------------


def test_the_line_names_the_test_in_one_row_on_every_page(open_with):
    page = open_with("index.html")
    page.set_viewport_size({"width": 390, "height": 844})
    for name in ("index.html", "safety.html", "groove.html"):
        page.goto(page.url.rpartition("/")[0] + "/" + name)
        line = page.locator("[data-mine-line]")
        assert line.inner_text() == f"Your test: {LINE}"
        box, title = line.bounding_box(), page.locator("h1").bounding_box()
        assert box["height"] < 40 and box["y"] < title["y"]
        assert not scrolls_sideways(page)


def test_without_a_test_the_line_says_what_a_test_is_good_for(page, served):
    page.goto(served + "groove.html")
    assert page.inner_text("[data-mine-line]").startswith("Say your test once")
    assert page.locator(".yours, [data-from-test], [data-differs]").count() == 0
    page.emulate_media(media="print")
    assert page.locator("[data-mine-line]").is_visible()


def test_the_line_and_the_sentences_follow_the_test(open_with):
    page = open_with()
    place = page.locator("[data-mine=thickness]").first
    assert place.evaluate("(each) => each.querySelector('.us').textContent") == "1/2 in"
    assert "yours" in place.get_attribute("class")
    declare(page, declared(thickness="3/4 in"), told=True)
    assert place.evaluate("(each) => each.querySelector('.us').textContent") == "3/4 in"
    lost = declared()
    del lost["prose"]["groove.plate_width"], lost["prose"]["thickness"]
    declare(page, lost, told=True)
    assert place.inner_text() == "3/8 in", "the test does not say it"
    assert "not worked out" in page.locator("[data-mine='groove.plate_width']").inner_text()
    declare(page, None, told=True)
    assert place.inner_text() == "3/8 in" and place.get_attribute("class") == ""
    assert page.inner_text("[data-mine-line]").startswith("Say your test once")


def test_the_next_page_in_place_takes_the_test_too(open_with):
    page = open_with("safety.html")
    page.locator(".md-nav__link", has_text="The groove").first.click()
    page.wait_for_selector("#groove [data-from-test]")
    assert page.input_value(THICK) == "1/2 in" and page.inner_text("[data-mine-line]").startswith("Your test")


def test_the_same_from_a_folder(page, file_site):
    page.goto((file_site / "404.html").as_uri())
    declare(page, declared())
    page.goto((file_site / "groove.html").as_uri())
    assert page.input_value(THICK) == "1/2 in"
    wait_for_answer(page, HALF_INCH)
    page.click("#groove [data-copy]")
    page.wait_for_function(
        "() => document.querySelector('#groove .tools > .said').textContent.includes('on this device only')",
    )


def test_with_scripts_off_nothing_speaks_of_a_test(new_context, served):
    page = new_context(java_script_enabled=False).new_page()
    page.goto(served + "groove.html")
    assert page.locator("[data-from-test], [data-differs], [data-from-link]").count() == 0
    assert page.locator("[data-mine-line]").is_hidden()
    assert PRINTED in headline(page).inner_text().replace("\u00a0", " ")


def test_a_damaged_test_is_as_none(page, served):
    page.goto(served + "404.html")
    page.evaluate("localStorage.setItem('guide.mine', '{\"id\": 7')")
    page.goto(served + "groove.html")
    assert page.input_value(THICK) == "3/8 in" and page.inner_text("[data-mine-line]").startswith("Say your test once")
