"""The mock test day in a real browser: a whole day by keyboard alone with a reload in between, the same day on paper."""

from __future__ import annotations

import json
import re

from playwright.sync_api import Page, expect

from calc.practice.mock_day import draw_day
from calc.practice.mock_day_sheet import day_html
from tests.browser.test_practice import focused, kept, tab_to

PANEL = "[data-practice=mock-day]"
QUESTION = f"{PANEL} form.question"


def decide_by_keyboard(page: Page, place: int, right: bool) -> None:
    """Answer the decision that stands there with nothing but keys; right, by the key of the day."""
    decision = draw_day("7").decisions[place]
    expect(page.locator(f'{QUESTION}[data-decision="{decision.id}"]')).to_be_visible()
    assert focused(page, ".question-head"), "the focus follows to the decision"
    tab_to(page, f"{QUESTION} [name=answer]", 12)
    if decision.value is not None:
        page.keyboard.type(decision.value.text("us").partition(" (")[0].replace("\u00a0", " ") if right else "99")
    else:
        wanted = decision.right if right else (decision.right + 1) % len(decision.options)
        page.keyboard.press("Space")
        for _ in range(wanted):
            page.keyboard.press("ArrowDown")
        assert page.locator(f"{QUESTION} [name=answer]:checked").get_attribute("value") == str(wanted)
    tab_to(page, f"{QUESTION} button[type=submit]", 12)
    page.keyboard.press("Enter")


def test_a_whole_day_by_keyboard_with_a_reload_in_between(page: Page, served: str) -> None:
    day = draw_day("7")
    page.goto(f"{served}mock-day.html#seed=7")
    for place in range(4):
        decide_by_keyboard(page, place, right=place != 1)
    expect(page.locator(".question-head")).to_contain_text(f"Decision 5 of {len(day.decisions)}")
    assert not re.search(r"\bright\b", page.locator(PANEL).inner_text(), re.IGNORECASE), "nothing is told during the day"
    page.reload()
    go_on = page.get_by_role("button", name="Go on with it")
    expect(page.locator(PANEL)).to_contain_text("You are in the middle of the day of seed 7: 4 decided.")
    go_on.focus()
    page.keyboard.press("Enter")
    for place in range(4, len(day.decisions)):
        decide_by_keyboard(page, place, right=True)
    head = page.locator(f"{PANEL} h3")
    expect(head).to_have_text(f"The day is over: {len(day.decisions) - 1} of {len(day.decisions)} decisions right")
    assert focused(page, f"{PANEL} h3")
    wrong = page.locator(".mock-marked [data-right=false]")
    expect(wrong).to_have_count(1)
    expect(wrong).to_have_attribute("data-decision", day.decisions[1].id)
    memory = kept(page)["profiles"][0]["memory"]
    assert set(memory) == {each.objective for each in day.decisions}
    page.reload()
    page.get_by_role("button", name="Go on with it").click()
    expect(head).to_contain_text("The day is over")
    assert kept(page)["profiles"][0]["memory"] == memory, "a look back counts nothing twice"


def test_an_answer_that_cannot_be_read_is_told_and_kept(page: Page, served: str) -> None:
    day = draw_day("7")
    page.goto(f"{served}mock-day.html#seed=7")
    page.locator(f"{QUESTION} button[type=submit]").click()
    error = page.locator(f"{QUESTION} [data-error]")
    expect(error).to_have_text("Choose one answer.")
    figure = next(place for place, each in enumerate(day.decisions) if each.value is not None)
    for each in day.decisions[:figure]:
        page.locator(f'{QUESTION}[data-decision="{each.id}"] [name=answer]').first.check()
        page.locator(f"{QUESTION} button[type=submit]").click()
    field = page.locator(f'{QUESTION}[data-decision="{day.decisions[figure].id}"] input[name=answer]')
    field.fill("about an inch")
    page.locator(f"{QUESTION} button[type=submit]").click()
    expect(error).to_contain_text("does not start with a number")
    expect(field).to_have_value("about an inch")
    page.reload()
    page.get_by_role("button", name="Go on with it").click()
    expect(field).to_have_value("about an inch")


def test_the_page_prints_what_the_command_line_prints(page: Page, served: str) -> None:
    page.goto(f"{served}mock-day.html")
    form = page.locator(f"{PANEL} form")
    form.get_by_label("Seed").fill("Fennick-7")
    form.locator("summary").click()
    form.get_by_role("button", name="Make the sheets").click()
    papers = page.locator(".papers")
    expect(papers).to_contain_text("Examiner's sheet, seed Fennick-7")
    wanted = page.evaluate(
        "html => new DOMParser().parseFromString(html, 'text/html').body.textContent", day_html(draw_day("Fennick-7"), True, "us"),
    )
    assert papers.evaluate("each => each.textContent") == wanted
    page.emulate_media(media="print")
    sheets = page.locator(".paper")
    assert sheets.last.evaluate("each => getComputedStyle(each).breakBefore") == "recto"
    assert not page.locator(f"{PANEL} form").is_visible()


def test_worked_steps_are_offered_by_standing_and_count_as_not_sure(page: Page, served: str) -> None:
    page.goto(f"{served}practice.html?questions=groove-face-width&seed=7")
    page.locator("[data-practice=review] .main-button").first.click()
    page.get_by_role("button", name="See one worked first").click()
    worked = page.locator(".worked-first")
    expect(worked).to_contain_text("One like it, worked")
    expect(worked.locator("h4").first).to_be_focused()
    page.locator("form.question input[name=answer]").fill("99 in")
    page.locator("form.question button[type=submit]").click()
    expect(page.locator(".marked")).to_be_visible()
    card = kept(page)["profiles"][0]["cards"]["groove-face-width"]
    assert card["last"] < 3
    page.goto(f"{served}practice.html?questions=groove-face-width&seed=8")
    page.locator("[data-practice=review] .main-button").first.click()
    page.get_by_role("button", name="Show the steps up to the last one").click()
    expect(page.locator(".worked-first [data-blank]")).to_have_count(1)


def test_the_mock_oral_opens_by_its_seed(page: Page, served: str) -> None:
    page.goto(f"{served}practice.html#oral=7")
    oral = page.locator("[data-practice=oral]")
    expect(oral.get_by_label("Seed")).to_have_value("7")
    oral.get_by_label("Time for each answer").select_option("0")
    oral.get_by_role("button", name="Start the mock oral").click()
    expect(oral).to_contain_text("Seed 7.")
    first = oral.locator(".oral-text").inner_text()
    page.reload()
    oral.get_by_role("button", name="Go on with it").click()
    expect(oral.locator(".oral-text")).to_have_text(first)
    assert json.loads(page.evaluate("JSON.stringify(location.hash)")) == "#oral=7"
    # A grade counts once, and only where it was taken.
    oral.get_by_role("button", name="Show the answer").click()
    oral.get_by_role("button", name="Right", exact=True).evaluate("button => { button.click(); button.click(); }")
    expect(oral.get_by_role("heading", name=re.compile("^2 of "))).to_be_focused()
    oral.get_by_role("button", name="Show the answer").click()
    page.evaluate("""() => {
      const call = GuideEngine.call;
      GuideEngine.call = (request) => request.do === "practice-grade"
        ? Promise.resolve({ ok: false, reason: "no answer in this test" }) : call(request);
    }""")
    oral.get_by_role("button", name="Right", exact=True).click()
    expect(oral.get_by_role("alert")).to_contain_text("no answer in this test")
    expect(oral.get_by_role("heading", name=re.compile("^2 of "))).to_be_visible()
    (counts,) = page.evaluate("""() => Object.values(sessionStorage).map((text) => {
      try { return JSON.parse(text).counts; } catch { return null; }
    }).filter(Boolean)""")
    assert counts == {"had": 1, "partly": 0, "missed": 0}
