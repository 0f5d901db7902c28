"""Every page on a phone: how long it is, and where its doing begins. And old addresses lead to what they name."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.anchors import PAGES, forms, moved
from tests.browser.conftest import answered

PHONE = {"width": 390, "height": 844}
MOST_SCREENS = 20
AT_ONCE = ("practice.md", "record.md", "your-test.md", "planning.md")
"""The pages that are for doing: a control stands in the first screen."""
STAGES = (
    "start.md", "safety.md", "groove.md", "cutting.md", "bevelling.md", "cleaning.md", "fit-up.md", "machine.md",
    "rods.md", "heat.md", "heat-flow.md", "passes.md", "visual.md", "coupons.md", "bending.md", "judging.md", "after.md",
)
CONTROL = ".md-content article :is(input, select, button):visible"
DOING = ".md-content article :is([id$=-steps], ol > li, [data-calculator], #safety-emergency)"
TOP = "(each) => each.getBoundingClientRect().top + scrollY"


@pytest.fixture
def phone(new_context, file_site: Path):
    """Opens a page on a phone, with its scripts or without, and waits for what the scripts put into it."""
    def opened(name: str, scripts: bool = True):
        page = new_context(viewport=PHONE, java_script_enabled=scripts, reduced_motion="reduce").new_page()
        page.goto((file_site / f"{name.removesuffix('.md')}.html").as_uri())
        if scripts and page.locator("[data-practice], .record-page").count():
            page.locator(CONTROL).first.wait_for()
            answered(page)
        return page

    return opened


@pytest.mark.parametrize("scripts", [
    pytest.param(True, id="scripts"), pytest.param(False, id="no-scripts", marks=pytest.mark.long),
])
@pytest.mark.parametrize("name", PAGES)
def test_no_page_is_over_twenty_screens_of_a_phone(phone, name: str, scripts: bool):
    tall = phone(name, scripts).evaluate("document.documentElement.scrollHeight")
    assert tall / PHONE["height"] <= MOST_SCREENS


@pytest.mark.parametrize("name", AT_ONCE)
def test_the_first_thing_to_do_stands_in_the_first_screen(phone, name: str):
    assert phone(name).locator(CONTROL).first.evaluate(TOP) < PHONE["height"]


@pytest.mark.parametrize("name", STAGES)
def test_the_steps_or_the_calculator_of_a_chapter_begin_in_the_first_screen(phone, name: str):
    assert phone(name).locator(DOING).first.evaluate(TOP) < PHONE["height"]


@pytest.mark.parametrize("name", sorted({each for each in PAGES if forms(each)}))
def test_the_calculators_of_a_page_stand_in_its_list_of_contents(phone, name: str):
    """In the order of the page, among its headings."""
    page = phone(name)
    headings = page.locator("article h2:has(.headerlink)").evaluate_all("(all) => all.map((each) => each.id)")
    listed = page.locator(".md-sidebar--secondary .md-nav__link").evaluate_all("(all) => all.map((each) => each.hash)")
    assert {f"#{place}" for place in [*headings, *forms(name)]} <= set(listed)
    tops = page.evaluate(f"(all) => all.map((hash) => document.querySelector(hash)).map({TOP})", listed)
    assert tops == sorted(tops)


def test_an_old_address_leads_to_what_it_names_with_the_numbers_that_it_carries(phone, file_site: Path, served: str):
    """Served and from a folder; a calculator, its place in the large view, and a section."""
    page = phone("index.md")
    for base in (f"{file_site.as_uri()}/", served):
        page.goto(f"{base}heat.html?carbon-equivalent.carbon=0.21+%25#carbon-equivalent")
        page.wait_for_url("**/carbon.html?carbon-equivalent.carbon=0.21+%25#carbon-equivalent")
        page.wait_for_function("() => document.querySelector('#carbon-equivalent-carbon').value === '0.21 %'")
        for old, new in (
            ("machine.html#show-duty-cycle", "circuit.html#show-duty-cycle"),
            ("planning.html?cut-list.kerf=1%2F8+in", "cut-plans.html?cut-list.kerf=1%2F8+in#cut-list"),
            ("safety.html#fume-limit-title", "safety-body.html#fume-limit-title"),
        ):
            page.goto(base + old)
            page.wait_for_url(f"**/{new}")
    page.goto(f"{served}planning.html")
    page.evaluate("() => { location.hash = 'planning-bars'; }")
    page.wait_for_url("**/cut-plans.html#planning-bars")


@pytest.mark.parametrize("name", sorted({each.partition("#")[0] for each in moved()}))
def test_without_scripts_an_old_address_shows_a_link_to_the_place(phone, name: str):
    page = phone(name, scripts=False)
    for old, target in moved().items():
        if old.startswith(f"{name}#"):
            anchor = old.partition("#")[2]
            link = page.locator(f"a#{anchor}")
            assert link.is_visible() and link.get_attribute("href") == f"{target.removesuffix('.md')}.html#{anchor}"


def test_what_was_typed_on_the_old_page_still_stands_in_the_form(phone, served: str):
    page = phone("index.md")
    page.goto(f"{served}404.html")
    page.evaluate("""() => localStorage.setItem("guide.inputs.machine.html#duty-cycle", '{"changed": {"amps": "95 A"}}')""")
    page.goto(f"{served}circuit.html#duty-cycle")
    page.wait_for_function("() => document.querySelector('#duty-cycle-amps').value === '95 A'")
    page.fill("#duty-cycle-amps", "96 A")
    page.goto(f"{served}circuit.html")
    page.wait_for_function("() => document.querySelector('#duty-cycle-amps').value === '96 A'")
