"""The forms in a real browser, as a reader meets them."""

from __future__ import annotations

import json
import re
import subprocess
import sys

import pytest

from calc.catalogue import CALCULATORS
from tests.browser.conftest import PATIENCE, WIDE, Watch, settled
from tools.common import ROOT

GROOVE = "#groove"
THICK = "#groove-thickness"
ONE_INCH = "1.078 in"
"""Face width of the groove for plate 1 in thick: 0.25 + 2 × tan 22.5° = 1.0784 in."""


def headline(page, place: str = "groove"):
    return page.locator(f"#{place} [data-headline]")


def wait_for_answer(page, text: str, place: str = "groove") -> None:
    page.wait_for_function(
        "([place, text]) => document.querySelector(`#${place} [data-headline]`).innerText.replace(/\\u00a0/g, ' "
        "').includes(text)", arg=[place, text],
    )


@pytest.fixture(scope="module")
def started(browser_with, served):
    """The page of the groove with its engine up, once for the tests that change nothing but its form; and what
    happens in it.
    """
    watch = Watch()
    context = browser_with(WIDE).new_context(service_workers="block")
    context.set_default_timeout(PATIENCE)
    watch.follow(context)
    page = context.new_page()
    page.goto(served + "groove.html")
    page.evaluate("GuideEngine.start()")
    page.wait_for_function("() => GuideEngine.state === 'ready'")
    yield page, watch
    context.close()


@pytest.fixture
def form(started):
    """That page as a reader finds it: the printed numbers, everything folded."""
    page, watch = started
    page.click(f"{GROOVE} [data-reset]")
    wait_for_answer(page, "0.5607 in")
    settled(page)
    page.wait_for_function("() => !document.querySelector('#groove [data-spoken]').textContent.includes('1.078')")
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = false; })")
    yield page
    assert (watch.outside, watch.unexpected()) == ([], [])


def test_a_removed_row_is_put_back(page, file_site):
    """One tap must not lose what stood in a row."""
    page.goto((file_site / "judging.html").as_uri())
    rows = page.locator("#bend-judge [data-field=openings] [data-row]")
    sizes = [rows.nth(number).locator("input").nth(1).input_value() for number in range(rows.count())]
    assert len(set(sizes)) == 3
    rows.nth(1).locator("[data-remove-row]").click()
    assert rows.count() == 2
    page.locator("#bend-judge [data-back-row]").click()
    assert [rows.nth(number).locator("input").nth(1).input_value() for number in range(rows.count())] == sizes


def test_a_changed_number_answers_with_steps_and_sources(form):
    form.fill(THICK, "1 in")
    wait_for_answer(form, ONE_INCH)
    answer = form.locator(f"{GROOVE} [data-answer]")
    assert answer.locator(".steps > li").count() >= 10
    assert "read" in form.content() and answer.locator(".sources li").count() >= 3
    assert answer.locator("tr[data-value]").count() == answer.locator("tr[data-value] .source-mark").count()
    form.wait_for_function("() => document.querySelector('#groove [data-spoken]').textContent.includes('1.078')")


def test_the_same_from_a_folder(page, file_site):
    page.goto((file_site / "groove.html").as_uri())
    assert page.evaluate("GuideEngine.state") == "idle", "in a folder the engine waits until it is wanted"
    page.fill(THICK, "1 in")
    wait_for_answer(page, ONE_INCH)


def test_printed_answers_are_right_with_scripts_off(new_context, served):
    page = new_context(java_script_enabled=False).new_page()
    page.goto(served + "groove.html")
    assert "0.5607" in headline(page).inner_text() and "14.24" in headline(page).inner_text()
    assert page.locator(f"{GROOVE} noscript").count() == 1
    assert "Changing numbers needs scripts" in page.locator(GROOVE).inner_text()


def test_an_error_stands_at_its_field_and_the_last_good_answer_stays(form):
    form.fill(THICK, "1 in")
    wait_for_answer(form, ONE_INCH)
    form.fill("#groove-bevel_angle", "90 deg")
    form.wait_for_selector("#groove-bevel_angle[aria-invalid]")
    assert "from 0° to 60°" in form.inner_text("#groove-bevel_angle-error")
    assert form.input_value("#groove-bevel_angle") == "90 deg", "nothing typed is lost"
    assert ONE_INCH in headline(form).inner_text().replace("\u00a0", " ")
    assert form.locator(f"{GROOVE}.stale").count() == 1
    form.fill("#groove-bevel_angle", "22.5")
    form.wait_for_selector(f"{GROOVE}:not(.stale)")
    assert form.inner_text("#groove-bevel_angle-error") == ""


def test_by_keyboard_alone(form):
    form.focus(THICK)
    form.keyboard.press("Control+A")
    form.keyboard.type("1 in")
    wait_for_answer(form, ONE_INCH)
    assert form.evaluate("document.activeElement.id") == "groove-thickness", "focus stays in the field"
    form.focus(f"{GROOVE} details.more > summary")
    form.keyboard.press("Enter")
    reached = set()
    for _ in range(60):
        form.keyboard.press("Tab")
        reached.add(
            form.evaluate("document.activeElement.textContent.trim().slice(0, 20) || document.activeElement.id")
        )
    assert {"Copy link", "groove-kerf"} <= reached
    assert any(text.startswith("Worked steps") for text in reached)
    form.focus(f"{GROOVE} details[data-fold=steps] summary")
    form.keyboard.press("Enter")
    assert form.locator(f"{GROOVE} details[data-fold=steps][open]").count() == 1


def test_worked_steps_stay_open_while_you_type(form):
    form.click(f"{GROOVE} details[data-fold=steps] summary")
    form.fill(THICK, "1 in")
    wait_for_answer(form, ONE_INCH)
    assert form.locator(f"{GROOVE} details[data-fold=steps][open]").count() == 1


def test_a_link_carries_the_numbers(page, served, new_context):
    page.goto(served + "groove.html")
    page.fill(THICK, "1 in")
    wait_for_answer(page, ONE_INCH)
    page.click(f"{GROOVE} [data-copy]")
    page.wait_for_function("() => location.search.includes('groove.thickness')")
    other = new_context().new_page()
    other.goto(page.url)
    wait_for_answer(other, ONE_INCH)
    assert other.input_value(THICK) == "1 in"


def test_a_hostile_link_shows_defaults_and_says_what_it_could_not_use(page, served):
    page.goto(
        served + "groove.html?groove.thickness=%3Cimg%20src%3Dx%20onerror%3D%22window.bad%3D1%22%3E&groove.root_opening=3/8%20in"
        "&groove.color=red&x.y=1#groove"
    )
    wait_for_answer(page, "0.6857 in")
    told = " ".join(page.locator("[data-not-used]").all_inner_texts())
    assert "Plate thickness" in told and "color" in told and "x.y" in told
    assert page.input_value(THICK) == "3/8 in"
    assert page.evaluate("window.bad") is None and page.locator("main img[src=x]").count() == 0


def test_units_switch_for_the_whole_site_and_keep_the_meaning_of_a_bare_number(page, served):
    page.goto(served + "groove.html")
    page.fill(THICK, "1")
    wait_for_answer(page, ONE_INCH)
    page.click("label[for=units-si]")
    wait_for_answer(page, "27.39 mm")
    assert page.input_value(THICK) == "1 in"
    page.fill(THICK, "25.4")
    wait_for_answer(page, "27.39 mm")
    page.goto(served + "bending.html")
    assert "38.1" in headline(
        page, "bend-ratio",
    ).inner_text() and "1-1/2 in" not in headline(page, "bend-ratio").inner_text()


def test_what_you_typed_is_there_after_a_reload(page, served):
    page.goto(served + "groove.html")
    page.fill(THICK, "1 in")
    wait_for_answer(page, ONE_INCH)
    page.reload()
    assert page.input_value(THICK) == "1 in"
    wait_for_answer(page, ONE_INCH)
    page.click(f"{GROOVE} [data-reset]")
    wait_for_answer(page, "0.5607 in")
    page.reload()
    assert page.input_value(THICK) == "3/8 in"


def test_the_engine_lives_on_from_page_to_page(page, served):
    """The theme's instant navigation swaps the page; the worker stays, and the new page's forms mount."""
    page.goto(served + "groove.html")
    page.evaluate("GuideEngine.start()")
    page.evaluate("window.sameDocument = true")
    page.locator(".md-nav__link", has_text="Bending").first.click()
    page.wait_for_selector("#bend-ratio .tools")
    assert page.evaluate("window.sameDocument === true && GuideEngine.state === 'ready'")
    page.fill("#bend-ratio-thickness", "1/4 in")
    wait_for_answer(page, "14.29 %", "bend-ratio")


def test_storage_that_throws_breaks_nothing(new_context, served, watch):
    watch.expect("denied")  # the theme's own script asks for storage without a guard
    context = new_context()
    context.add_init_script(
        "Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('denied'); }});"
    )
    page = context.new_page()
    page.goto(served + "groove.html")
    page.fill(THICK, "1 in")
    wait_for_answer(page, ONE_INCH)


def test_a_withheld_engine_leaves_the_printed_answer_and_says_so(page, served, watch):
    watch.expect("Failed to load resource|ERR_FAILED|dynamically imported module|could not be fetched")
    page.route(re.compile(r"\.wasm"), lambda route: route.abort())
    page.goto(served + "groove.html")
    page.fill(THICK, "1 in")
    page.wait_for_selector(f"{GROOVE} .engine[data-state=failed] button")
    assert "could not start" in page.inner_text(f"{GROOVE} .engine")
    assert "belongs to other numbers" in page.inner_text(f"{GROOVE} [data-stale]")
    assert "0.5607" in headline(page).inner_text() and page.input_value(THICK) == "1 in"


def test_build_browser_and_command_line_give_identical_numbers(form, site):
    """Every calculator, its defaults, to the last bit; the printed page against the browser's own HTML as well."""
    browser = form.evaluate(
        "async (ids) => { const told = {}; for (const id of ids) told[id] = await GuideEngine.call({do: 'numbers', calculator: id, inputs: {}});"
        " return told; }", [each.id for each in CALCULATORS],
    )
    code = (
        "import json, calc.catalogue as c, calc.show.report as r; "
        "print(json.dumps({e.id: r.as_json(e.answer()) for e in c.CALCULATORS}))"
    )
    here = json.loads(
        subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, encoding="utf-8", check=True).stdout
    )
    for each in CALCULATORS:
        assert browser[each.id] == here[each.id], each.id
    fresh = form.evaluate("GuideEngine.call({do: 'answer', calculator: 'groove', place: 'groove', inputs: {}})")
    printed, picture = (site / "groove.html").read_text(encoding="utf-8"), fresh["pieces"].pop("picture")
    assert picture in printed and "".join(fresh["pieces"].values()) in printed


def test_paper_shows_the_answer_without_the_furniture(page, served):
    page.goto(served + "groove.html")
    page.emulate_media(media="print")
    assert page.locator(".md-header").is_hidden() and page.locator(f"{GROOVE} [data-copy]").is_hidden()
    assert page.locator(f"{GROOVE} [data-headline]").is_visible()


WATCHED = """
(() => {
  localStorage.setItem("guide.inputs.groove.html#groove", window.keptText);
  window.pictures = { all: 0, wrong: 0 };
  const look = () => {
    const section = document.querySelector("#groove");
    const headline = section && section.querySelector("[data-headline]");
    const field = headline && section.querySelector("#groove-thickness");
    if (field) {
      window.printed = window.printed || headline.innerHTML;
      const other = field.value !== "3/8 in";
      pictures.all += other;
      pictures.wrong += other && headline.innerHTML === printed && !section.matches(".stale");
    }
    requestAnimationFrame(look);
  };
  look();
})();
"""
"""Looks at every picture that the page draws, from the first on."""


@pytest.mark.parametrize("thickness, system", [("10", "si"), ("1 in", "us")])
def test_a_form_that_is_returned_to_never_shows_its_numbers_with_another_answer_unmarked(
    page, served, thickness, system,
):
    """Numbers that were typed in the other system and in this one."""
    kept = json.dumps({"changed": {"thickness": thickness}, "system": system})
    page.add_init_script(f"window.keptText = {json.dumps(kept)};" + WATCHED)
    page.goto(served + "groove.html")
    page.wait_for_function("() => GuideEngine.state === 'ready' && !document.querySelector('#groove.stale')")
    pictures = page.evaluate("pictures")
    assert pictures["all"] > 0 and pictures["wrong"] == 0
    assert headline(page).inner_html() != page.evaluate("printed")
