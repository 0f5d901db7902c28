"""Planning in the browser: a plan at once, better ones while the page stays awake, a stop that stops, papers and
files.
"""

from __future__ import annotations

import json
import random
import re
from itertools import product
from urllib.parse import quote

import pytest

from calc.planning.cut_list import CUT_LIST
from tests.browser.conftest import settled

# A list whose first plan is a bar over the best: 56 pieces, lengths of 20 to 35 % of a bar (Scholl, Klein and Jürgens 1997, class 3).
_CHANCE = random.Random("browser3")
HARD = {
    "pieces": "\n".join(f"{_CHANCE.randint(2000, 3500) / 10:g} in | 1 | " for _ in range(56)),
    "stock": "1000 in | | | bar", "kerf": "0 in", "trim": "0 in",
}
SECTION = "#cut-list"


@pytest.fixture
def ready(page, served):
    """The page of cutting plans with the engine up."""
    page.goto(served + "cut-plans.html")
    page.evaluate("GuideEngine.start()")
    page.wait_for_function("() => GuideEngine.state === 'ready'")
    return page


@pytest.fixture
def hard(page, served):
    """The page of cutting plans with the hard list, put in by its link as a reader does, and the engine up."""
    page.goto(served + "cut-plans.html?" + "&".join(f"cut-list.{name}={quote(text)}" for name, text in HARD.items()))
    page.evaluate("GuideEngine.start()")
    page.wait_for_function("() => GuideEngine.state === 'ready'")
    page.wait_for_function(f"() => !document.querySelector('{SECTION} [data-stale]')")
    return page


def headline(page) -> str:
    return page.locator(f"{SECTION} [data-headline]").inner_text()


def bars(page) -> int:
    return int(re.search(r"Take (\d+) bar", headline(page))[1])


def test_first_plan_at_once_then_a_better_one_with_the_page_awake(hard):
    """60-row list: the search shows how far it is while the page goes on living. How fast it is, `bench` says."""
    hard.evaluate("() => { window.beats = 0; setInterval(() => { window.beats += 1; }, 50); }")
    first = bars(hard)
    hard.click(f"{SECTION} [data-plan-look]")
    hard.wait_for_function(f"() => document.querySelector('{SECTION} progress').value > 0")
    assert hard.locator(f"{SECTION} [data-plan-stop]").is_visible()
    beats = hard.evaluate("window.beats")
    # The better plan is shown as soon as it is found; the search may go on until its work is done.
    hard.wait_for_function(
        f"first => !document.querySelector('{SECTION} [data-headline]').textContent.startsWith('Take ' + first)",
        arg=first,
    )
    assert bars(hard) < first
    hard.wait_for_function(f"() => !document.querySelector('{SECTION} [data-plan-look]').hidden")
    assert hard.locator(f"{SECTION} .plan-said").inner_text() == headline(hard)
    assert hard.evaluate("window.beats") > beats + 3, "the page stood still while it searched"
    # The better plan stays when the form is answered anew, as after a switch of units.
    better = bars(hard)
    hard.locator("label[for=units-si]").click()
    hard.wait_for_function(f"() => document.querySelector('{SECTION} [data-headline] .si')")
    settled(hard)
    assert bars(hard) == better


def test_stop_ends_the_search_and_the_form_goes_on(hard):
    """After a stop no better plan comes in, the engine still runs, and other numbers are answered at once."""
    hard.click(f"{SECTION} [data-plan-look]")
    hard.wait_for_selector(f"{SECTION} [data-plan-stop]:visible")
    hard.focus(f"{SECTION} [data-plan-stop]")
    hard.keyboard.press("Enter")
    assert hard.locator(f"{SECTION} .plan-said").inner_text().startswith("Stopped")
    assert hard.evaluate("document.activeElement.hasAttribute('data-plan-look')"), "the focus is lost"
    assert hard.evaluate("GuideEngine.state") == "ready"
    before = headline(hard)
    settled(hard)
    assert headline(hard) == before
    hard.fill(f"{SECTION} [data-rows=stock] input[name=length]", "500 in")
    hard.wait_for_function(
        f"before => document.querySelector('{SECTION} [data-headline]').innerText !== before", arg=before,
    )


def test_typing_while_it_searches_is_answered_and_ends_the_search(hard):
    hard.click(f"{SECTION} [data-plan-look]")
    hard.wait_for_selector(f"{SECTION} [data-plan-stop]:visible")
    told = "#cut-list-backing [data-headline]"
    before = hard.locator(told).inner_text()
    hard.fill("#cut-list-backing [data-rows=pieces] input[name=count]", "90")
    hard.wait_for_function("([told, before]) => document.querySelector(told).innerText !== before", arg=[told, before])
    hard.click(f"{SECTION} details.more > summary")
    hard.fill(f"{SECTION}-trim", "1/2 in")
    assert hard.locator(f"{SECTION} [data-plan-look]").is_visible()


def test_papers_fit_one_page_each(ready, served):
    """Both papers of the printed examples, as the browser prints them: one sheet, and nothing else of the page on
    it.
    """
    ready.add_init_script("window.print = () => {};")
    shown = ""
    papers = (("cutting", "Cutting plan"), ("shopping", "Shopping list"))
    class_papers = (("timetable", "Timetable of the class"), ("order", "Order list for the class"))
    for name, section, (page, words) in (
        *product(("cut-plans",), ("#cut-list", "#sheet-plan"), papers),
        *product(("planning",), ("#class-plan",), class_papers),
    ):
        if name != shown:
            ready.goto(f"{served}{name}.html")
            shown = name
        ready.click(f"{section} [data-plan-print={page}]")
        ready.wait_for_selector(f"[data-plan-paper={page}]", state="attached")
        ready.emulate_media(media="print")
        assert words in ready.locator(".plan-paper").inner_text() and not ready.locator(".md-content").is_visible()
        ready.emulate_media(media="null")
        # Printing to a file also tells the page that printing is over.
        pdf = ready.pdf(format="Letter")
        assert len(re.findall(rb"/Type\s*/Page[^s]", pdf)) == 1
        ready.wait_for_selector(".plan-paper", state="detached")
        assert ready.locator(".md-content").is_visible()


def test_files_hold_the_plan_and_no_formula(ready, tmp_path):
    """A name that a spreadsheet would run is kept as text; JSON reads back; both agree with calc."""
    ready.fill(f"{SECTION}-pieces-1-name", '=HYPERLINK("x")')
    for kind in ("csv", "json"):
        with ready.expect_download() as waiting:
            ready.click(f"{SECTION} [data-plan-save={kind}]")
        waiting.value.save_as(tmp_path / f"plan.{kind}")
    table = (tmp_path / "plan.csv").read_text(encoding="utf-8-sig")
    assert "\"'=HYPERLINK(\"\"x\"\")\"" in table and not re.search(r'(^|,)"?[=+@]', table, re.MULTILINE)
    told = json.loads((tmp_path / "plan.json").read_text(encoding="utf-8"))
    here = CUT_LIST.answer()
    assert {
        value["name"]: value["value"] for value in told["answer"]["values"]
    }["stock_length"] == pytest.approx(float(here["stock_length"].amount))
    assert sum(row["times"] for row in {row["layout"]: row for row in told["rows"]}.values()) == here["bars"].amount


def test_a_list_that_cannot_be_is_told_and_starts_nothing(ready):
    ready.fill(f"{SECTION}-pieces-1-length", "300 in")
    ready.click(f"{SECTION} [data-plan-look]")
    ready.wait_for_function(
        f"() => document.querySelector('{SECTION} .plan-said').textContent.includes('longer than any stock')"
    )
    assert ready.locator(f"{SECTION} [data-plan-look]").is_visible()


def test_from_a_folder_it_plans_too(page, file_site):
    """Opened by double-click: slices work there as well."""
    page.goto((file_site / "cut-plans.html").as_uri())
    page.click(f"{SECTION} [data-plan-look]")
    page.wait_for_function(
        f"() => document.querySelector('{SECTION} .plan-said').textContent.startsWith('Take 3 bars')"
    )


def test_a_class_gets_a_better_timetable_and_its_two_tables(ready, served, tmp_path):
    """The search ends no later than the first timetable, never before the bound; files agree with the page."""
    ready.goto(f"{served}planning.html")
    settled(ready)
    first = ready.locator("#class-plan [data-value=end] .amount").text_content()
    bound = ready.locator("#class-plan [data-value=bound] .amount").text_content()
    ready.click("#class-plan [data-plan-look]")
    ready.wait_for_selector("#class-plan [data-plan-look]:visible", timeout=120_000)
    settled(ready)
    assert "" < bound <= ready.locator("#class-plan [data-value=end] .amount").text_content() <= first
    for kind in ("timetable", "csv"):
        with ready.expect_download() as waiting:
            ready.click(f"#class-plan [data-plan-save={kind}]")
        waiting.value.save_as(tmp_path / f"{kind}.csv")
    last = max(
        line.split(",")[2].strip('"') for line in (tmp_path / "timetable.csv").read_text("utf-8-sig").splitlines()[1:]
    )
    assert last == ready.locator("#class-plan [data-value=end] .amount").text_content()


def test_an_old_link_to_the_class_opens_and_says_what_it_did(page, served):
    page.goto(served + "planning.html?class-plan.trainees=5&class-plan.booths=3#class-plan")
    page.wait_for_selector("[data-not-used]")
    assert "roster" in page.locator("[data-not-used]").inner_text()
    assert page.input_value("#class-plan-booths") == "3"
    assert page.locator("#class-plan [data-rows=roster] input[name=who]").input_value() == "1-5"
