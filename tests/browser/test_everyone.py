"""The guide for everyone: judged by axe-core and the Nu HTML checker, and by what no such tool sees.

WCAG 2.2, levels A and AA. The numbers in brackets are its success criteria.
"""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.conftest import WIDE, frames, in_every_font, scrolls_sideways, settled
from tests.browser.test_mine import declare, declared
from tools.check import browser as browsers
from tools.check import test_parts

DOCS = Path(__file__).resolve().parents[2] / "docs"
NAMES = sorted([*(f"{path.stem}.html" for path in DOCS.glob("*.md")), "404.html"])
# Shared out so that two test processes do about the same work.
GROUPS = [NAMES[start::4] for start in range(4)]

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
# What can change with the look alone: the rest is judged once, with both systems of units shown.
FONT_RULES = ["scrollable-region-focusable", "target-size"]
LOOK_RULES = ["color-contrast", "link-in-text-block", *FONT_RULES]
# Without `preload`: axe would ask for every style sheet once more, which a folder refuses.
JUDGE = """async ([within, only]) => {
  const found = await axe.run(within, { runOnly: only, resultTypes: ["violations"], preload: false });
  return found.violations.flatMap((each) => each.nodes.map((node) => `${each.id} at ${node.target.join(" ")}: ${node.html.slice(0, 120)}`));
}"""
LOOKS = (("light", "us", None), ("dark", "si", LOOK_RULES))

NARROW = {"width": 320, "height": 640}
"""400 % on a screen 1280 wide (1.4.10)."""


@pytest.fixture(scope="session")
def axe() -> Path:
    """The source of axe-core."""
    test_parts.fetch()
    return test_parts.AXE


@pytest.fixture
def judged(new_context: Callable[..., BrowserContext], axe: Path) -> Page:
    """A page that carries axe-core.

    Only here may more run than the policy allows: axe is a guest, no part of the guide.
    """
    context = new_context(bypass_csp=True, reduced_motion="reduce")
    context.add_init_script(path=axe)
    return context.new_page()


def show(page: Page, scheme: str, units: str) -> None:
    """Set the look and the units as the switches do."""
    page.evaluate(
        """([scheme, units]) => { document.body.setAttribute("data-md-color-scheme", scheme === "dark" ? "slate" : "default");
        document.documentElement.dataset.units = units; }""", [scheme, units])


def faults(page: Page, within: str, rules: list[str] | None = None) -> list[str]:
    """What axe-core finds, by all rules or by these."""
    return page.evaluate(
        JUDGE, [within, {"type": "rule", "values": rules} if rules else {"type": "tag", "values": RULES}],
    )


def judge(page: Page, where: str, within: str = "html") -> list[str]:
    """The violations, light with US units and, by the rules of looks, dark with SI units."""
    found = []
    for scheme, units, rules in LOOKS:
        show(page, scheme, units)
        found += [f"{where}, {scheme}, {units}: {each}" for each in faults(page, within, rules)]
    return found


def open_folds(page: Page) -> None:
    page.evaluate("() => document.querySelectorAll('details').forEach((each) => { each.open = true; })")


# --- axe-core ---------------------------------------------------------------------------


@pytest.mark.parametrize("fonts", [WIDE, pytest.param("narrow", marks=pytest.mark.long)], indirect=True)
@pytest.mark.parametrize("names", GROUPS, ids=lambda names: names[0])
def test_every_page_fits_and_axe_finds_no_violation(
    judged: Page, fonts: str, file_site: Path, names: list[str],
) -> None:
    """Every page with everything folded open, wide and narrow.

    From a folder, where no engine starts before it is wanted.

    Nothing scrolls sideways but tables, formulas and code (1.4.10). Every control is large enough on its own, without
    leaning on the space around it; links in a sentence are exempt (2.5.8). In narrow fonts axe-core is asked what fonts
    can change.
    """
    found: list[str] = []
    for name in names:
        judged.goto((file_site / name).as_uri())
        open_folds(judged)
        for width in (1920, NARROW["width"], 1280):
            judged.set_viewport_size({"width": width, "height": 720})
            found += [f"{name} scrolls sideways at {width}"] * scrolls_sideways(judged)
            found += [
                f"{name} at {width}, {each}" for script in (WIDE_PARTS, SMALL_TARGETS)
                for each in judged.evaluate(script)
            ]
        if fonts == WIDE:
            found += judge(judged, name)
        else:
            found += [f"{name}: {each}" for each in faults(judged, "html", FONT_RULES)]
    assert found == []


@pytest.mark.long
@pytest.mark.parametrize("names", GROUPS, ids=lambda names: names[0])
@pytest.mark.parametrize(("scheme", "units"), [("light", "si"), ("dark", "us"), ("dark", "si")])
def test_axe_finds_no_violation_of_any_rule_in_the_other_looks(
    judged: Page, file_site: Path, names: list[str], scheme: str, units: str,
) -> None:
    for name in names:
        judged.goto((file_site / name).as_uri())
        open_folds(judged)
        show(judged, scheme, units)
        assert faults(judged, "html") == [], name


def test_axe_finds_none_in_a_calculator_that_refuses_a_number(judged: Page, served: str) -> None:
    judged.goto(served + "groove.html")
    judged.fill("#groove-bevel_angle", "90 deg")
    judged.wait_for_selector("#groove-bevel_angle[aria-invalid]")
    assert judged.locator("#groove.stale").count() == 1
    assert judge(judged, "a refused number") == []


def test_axe_finds_none_in_a_form_that_differs_from_the_test_or_holds_a_link(judged: Page, served: str) -> None:
    judged.goto(served + "404.html")
    declare(judged, declared())
    judged.goto(served + "groove.html")
    judged.fill("#groove-thickness", "1 in")
    judged.fill("#groove-bevel_angle", "30 deg")
    judged.wait_for_selector("[data-differs]")
    settled(judged)
    found = judge(judged, "differs", "article")
    judged.goto(served + "groove.html?groove.thickness=3/4+in#groove")
    judged.wait_for_selector("[data-from-link]")
    settled(judged)
    assert found + judge(judged, "link", "article") == []


def test_axe_finds_none_in_practice(judged: Page, served: str) -> None:
    """The start of a set, a question of each kind asked, and marked."""
    judged.goto(
        served
        + "practice.html?questions=groove-angle-meaning,safety-shut-down-order,safety-hazards-bench,groove-included-angle,"
        + "flaws-name-at-the-toe,judging-measure-one&seed=7"
    )
    judged.get_by_role("button", name="Start the set of 6").click()
    form = judged.locator("form.question")
    for number in range(6):
        expect(form).to_be_visible()
        if form.locator("input[type=text]").count():
            form.get_by_role("button", name="Check my answer").click()
            expect(form.get_by_role("alert")).not_to_be_empty()
        assert judge(judged, f"question {number + 1}, asked") == []
        for place, step in enumerate(form.locator("select[name=step]").all(), 1):
            step.select_option(str(place))
        for name in form.locator("select[name=answer]").all():
            name.select_option("0")
        if form.locator("input[type=text]").count():
            form.locator("input[type=text]").fill("1")
        elif form.locator("input[name=answer]").count():
            form.locator("input[name=answer]").first.check()
        form.get_by_role("button", name="Check my answer").click()
        expect(judged.locator(".marked")).to_be_visible()
        open_folds(judged)
        assert judge(judged, f"question {number + 1}, marked") == []
        judged.locator("[data-practice=review] .main-button").last.click()
        if judged.locator(".finished").count():
            break
        judged.wait_for_selector("form.question:has(button[type=submit])")


def test_axe_finds_none_in_worksheets(judged: Page, served: str) -> None:
    judged.goto(served + "instructors.html")
    sheets = judged.locator("[data-practice=worksheets]")
    sheets.get_by_label("Worksheets", exact=True).fill("1")
    sheets.get_by_label("Questions on each").fill("8")
    sheets.get_by_role("button", name="Make the worksheets").click()
    expect(sheets.locator(".paper")).to_have_count(2)
    assert judge(judged, "worksheet and key") == []


def test_axe_finds_none_in_a_record_with_findings(judged: Page, served: str) -> None:
    """The demo record: figures flagged, a verdict, the sheet for paper."""
    judged.goto(served + "record.html")
    judged.locator("[data-demo]").first.click()
    judged.locator("[data-open]", has_text="plate 7").click()
    judged.wait_for_selector(".record-flag", state="attached")
    open_folds(judged)
    assert judged.locator(".record-flag:visible").count() > 3
    assert judge(judged, "a record with findings") == []


def test_axe_finds_none_in_a_test_and_in_the_offer_of_a_link(judged: Page, served: str) -> None:
    """The invented shop's test with a fact that cannot be read, and a link that would change it."""
    judged.goto(served + "your-test.html")
    judged.locator("[data-demo]").click()
    judged.wait_for_selector(".test-first")
    settled(judged)
    open_folds(judged)
    assert judge(judged, "a test") == []
    judged.fill("#record-thickness", "9 in")
    judged.wait_for_selector("#record-thickness[aria-invalid]")
    judged.evaluate("() => { location.hash = '#test=1&thickness=1%2F2+in&kerf=2'; }")
    judged.wait_for_selector("[data-replace-link]")
    settled(judged)
    assert judge(judged, "a link beside a fact that cannot be read") == []


def test_axe_finds_none_in_the_papers_of_a_plan(judged: Page, served: str) -> None:
    """The paper as it stands for the print, told by the page's own button."""
    judged.goto(served + "cut-plans.html")
    judged.evaluate("() => { window.print = () => { window.printed = true; }; }")
    judged.locator("#cut-list [data-plan-print]").first.click()
    judged.wait_for_function("() => window.printed")
    judged.emulate_media(media="print")
    assert judged.locator(".plan-paper").is_visible()
    assert judge(judged, "a printed plan", ".plan-paper") == []


# --- the Nu checker -----------------------------------------------------------------------


# What the checker says and is no fault of ours: (its words, why).
ALLOWED = [
    ("Property “paint-order” doesn't exist", "CSS has it for the text of drawings (SVG 2); the checker's list does not"),
    ("Property “container” doesn't exist", "CSS has it (Containment, level 3); the checker's list does not"),
    ("Property “container-type” doesn't exist", "the same"),
    ("Unrecognized at-rule “@container”", "the same"),
]


def test_every_page_and_style_sheet_is_valid(site: Path, tmp_path: Path) -> None:
    """By the Nu HTML checker, warnings too: the pages, and our own style sheets; the theme's are as it ships them.

    One page with a known fault goes along: the silence of a checker that never looked would pass too.
    """
    test_parts.fetch()
    java = test_parts.JAVA.get()
    if not java:
        pytest.skip(test_parts.JAVA.missing)
    bad = tmp_path / "known-fault.html"
    bad.write_text("<!doctype html><html lang=en><title>x</title><p id=a><b id=a></b></p>", encoding="utf-8")
    files = [*sorted(site.rglob("*.html")), *sorted((site / "assets").glob("*.css")), bad]
    done = subprocess.run(
        [
            java, "-Xss8m", "-jar", str(test_parts.NU), "--also-check-css", "--format", "json", "--exit-zero-always",
            *map(str, files),
        ],
        capture_output=True, encoding="utf-8", check=True,
    )
    told = [
        f"{Path(each.get('url', '')).name}: {each['message']} {each.get('extract', '')[:100]}"
        for each in json.loads(done.stderr)["messages"]
    ]
    assert any(words.startswith(f"{bad.name}: Duplicate ID") for words in told)
    assert [
        words for words in told if not words.startswith(bad.name)
        and not any(allowed in words for allowed, _ in ALLOWED)
    ] == []


def test_pages_have_titles_of_their_own_and_a_language(site: Path) -> None:
    """(2.4.2, 3.1.1)"""
    texts = {path.name: path.read_text(encoding="utf-8") for path in site.rglob("*.html") if path.name != "404.html"}
    titles = [re.search(r"<title>(.*?)</title>", text)[1] for text in texts.values()]
    assert len(set(titles)) == len(titles) > 20
    assert all('<html lang="en"' in text for text in texts.values())


# --- what is measured on the page -----------------------------------------------------------

WIDE_PARTS = """() => [...document.querySelectorAll("main *")].filter((each) => {
  const box = each.getBoundingClientRect();
  return box.right > innerWidth + 1 && box.width > 0 && !each.closest(".wide, .steps, svg, .visually-hidden, pre, code, math");
}).slice(0, 5).map((each) => each.outerHTML.slice(0, 100))"""


SMALL_TARGETS = """() => {
  const inline = (each) => getComputedStyle(each).display.startsWith("inline") && each.closest("p, li, td, th, dd, dt, figcaption, h1, h2, h3, h4");
  const found = [];
  for (const each of document.querySelectorAll("main :is(button, input, select, summary, a, textarea), .md-header :is(button, a, label)")) {
    if (!each.checkVisibility({ visibilityProperty: true, opacityProperty: true })) continue;
    if (each.matches("a") && inline(each)) continue;
    const label = each.matches("input[type=checkbox], input[type=radio]") && each.closest("label");
    const box = (label || each).getBoundingClientRect();
    if (Math.min(box.width, box.height) < 23.9) found.push(`${Math.round(box.width)} x ${Math.round(box.height)}: ${each.outerHTML.slice(0, 110)}`);
  }
  return found;
}"""


HIDDEN_FOCUS = """() => {
  const each = document.activeElement;
  if (each === document.body) return "";
  const boxes = [each, ...(each.labels || []), ...(each.matches(".md-option") ? [each.nextElementSibling] : [])].map((one) => one.getBoundingClientRect()).filter((box) => box.width > 2 && box.height > 2);
  const seen = boxes.some((box) => [[.5, .5], [.1, .2], [.9, .8], [.1, .8], [.9, .2]].some(([x, y]) => {
    const top = document.elementFromPoint(box.left + box.width * x, box.top + box.height * y);
    return top && (top === each || each.contains(top) || top.contains(each) || top.closest("label"));
  }));
  return seen ? "" : each.outerHTML.slice(0, 140);
}"""
RING = """() => {
  const each = document.activeElement;
  const shown = [each, ...(each.labels || []), ...(each.nextElementSibling ? [each.nextElementSibling] : [])];
  const ringed = shown.some((one) => { const style = getComputedStyle(one); return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 1.9; });
  return each === document.body || ringed ? "" : each.outerHTML.slice(0, 140);
}"""
STEP = f"""() => {{
  const each = document.activeElement;
  const ended = each === document.body || walked.has(each);
  walked.add(each);
  return {{ ended, hidden: ended ? "" : ({HIDDEN_FOCUS})(), ringless: ended ? "" : ({RING})(), place: [...document.querySelectorAll("main *")].indexOf(each) }};
}}"""


def walk(page: Page, key: str, most: int = 400) -> Iterator[dict[str, Any]]:
    """Press a key until the focus has been everywhere once. What holds it for good fails the test."""
    page.evaluate("() => { document.activeElement.blur(); window.walked = new WeakSet(); }")
    for _ in range(most):
        page.keyboard.press(key)
        step = page.evaluate(STEP)
        if step["ended"]:
            return
        yield step
    pytest.fail(f"{key} does not come to an end")


@in_every_font
@pytest.mark.parametrize(
    ("name", "viewport"), [("groove.html", {"width": 1280, "height": 720}), ("fit-up.html", NARROW)],
    ids=["wide", "narrow"],
)
def test_the_focus_is_seen_and_goes_in_reading_order(
    new_context, file_site: Path, name: str, viewport: dict[str, int],
) -> None:
    """(2.1.1, 2.1.2, 2.4.3, 2.4.7, 2.4.11) Through a whole page by Tab, and back by Shift+Tab.

    The narrow one has the tallest view above its inputs.
    """
    page = new_context(viewport=viewport, reduced_motion="reduce").new_page()
    page.goto((file_site / name).as_uri())
    forth, back = ([*walk(page, key)] for key in ("Tab", "Shift+Tab"))
    assert [each["hidden"] for each in (*forth, *back) if each["hidden"]] == []
    assert [each["ringless"] for each in (*forth, *back) if each["ringless"]] == []
    inside = [each["place"] for each in forth if each["place"] >= 0]
    assert len(inside) > 40, "the walk reached the page's content"
    assert inside == sorted(inside), "the focus jumps back"


def test_the_list_of_pages_opens_and_shuts_by_keys_on_a_narrow_screen(new_context, file_site: Path) -> None:
    """(2.1.1, 4.1.2)"""
    page = new_context(viewport=NARROW, reduced_motion="reduce").new_page()
    page.goto((file_site / "groove.html").as_uri())
    button = page.get_by_role("button", name="Pages of the guide")
    expect(button).to_have_attribute("aria-expanded", "false")
    button.focus()
    page.keyboard.press("Enter")
    expect(button).to_have_attribute("aria-expanded", "true")
    assert page.evaluate(
        "() => !!document.activeElement.closest('.md-sidebar--primary')"
    ), "the focus goes into the list"
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.matches('.md-nav__toggle:not(#__toc)')"):
            break
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(page.locator(":focus")).to_contain_text("Practice")
    expect(page.locator(":focus")).to_be_in_viewport()
    page.keyboard.press("Escape")
    expect(button).to_be_focused()
    expect(button).to_have_attribute("aria-expanded", "false")
    page.get_by_role("button", name="Search").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("textbox", name="Search")).to_be_focused()
    page.set_viewport_size({"width": 1280, "height": 800})
    expect(page.locator("[data-opens]:visible")).to_have_count(0)


NAMELESS = """() => [...document.querySelectorAll("input, select, textarea")].filter((each) => each.checkVisibility({ visibilityProperty: true })
  && !(each.getAttribute("aria-label") || "").trim() && !each.getAttribute("aria-labelledby")
  && ![...(each.labels || [])].some((label) => label.textContent.trim())).map((each) => each.outerHTML.slice(0, 120))"""


@pytest.mark.long
def test_every_input_has_a_name_and_every_slider_a_field_beside_it(new_context, file_site: Path) -> None:
    """(1.3.1, 2.5.7, 4.1.2) What a slider does, the field it belongs to does by typing."""
    page = new_context().new_page()
    sliders = 0
    for path in sorted(file_site.glob("*.html")):
        page.goto(path.as_uri())
        open_folds(page)
        assert page.evaluate(NAMELESS) == [], path.name
        sliders += page.locator("input.slide").count()
        assert page.evaluate(
            "() => [...document.querySelectorAll('input.slide')].every((each) => "
            "each.previousElementSibling.matches('input[type=text]'))"
        )
    assert sliders > 10


def test_ten_letters_typed_fast_are_told_once(page: Page, served: str) -> None:
    """(4.1.3) What a screen reader is told of, counted at every live region that is not hidden from it.

    The page's clock stands still while the letters are typed, so that they are fast on a busy machine too; then ten
    seconds pass.
    """
    page.clock.install()
    page.goto(served + "groove.html")
    page.evaluate("GuideEngine.start()")
    page.wait_for_function("() => GuideEngine.state === 'ready'")
    page.evaluate("""() => {
      window.told = [];
      for (const region of document.querySelectorAll("[role=status], [role=alert], [aria-live]")) {
        const told = () => { if (region.checkVisibility({ visibilityProperty: true })) window.told.push(region.textContent); };
        new MutationObserver(told).observe(region, { childList: true, characterData: true, subtree: true });
      }
    }""")
    page.focus("#groove-thickness")
    page.keyboard.press("Control+A")
    page.clock.pause_at(page.evaluate("Date.now() / 1000 + 1"))  # seconds: a leap ends every wait of the page
    page.keyboard.type("1.00000 in")
    expect(page.locator("#groove [data-headline]")).to_contain_text("1.078")
    assert page.evaluate("told") == []
    page.clock.run_for(10_000)
    page.wait_for_function("() => !document.querySelector('#groove .behind')")
    page.clock.run_for(10_000)
    (told,) = page.evaluate("told")
    assert "1.078" in told


def test_colors_of_the_readers_own_keep_everything_in_sight(new_context, file_site: Path) -> None:
    """Forced colors: lines, words and borders take the reader's ink, on the reader's paper, dark or light."""
    for scheme in ("light", "dark"):
        page = new_context(forced_colors="active", color_scheme=scheme).new_page()
        page.goto((file_site / "groove.html").as_uri())
        ink, paper = (page.evaluate(
            """(name) => { const each = document.createElement("i"); each.style.color = name; document.body.append(each);
            const found = getComputedStyle(each).color; each.remove(); return found; }""", name) for name in ("CanvasText", "Canvas"))
        assert ink != paper
        style = "([selector, name]) => getComputedStyle(document.querySelector(selector))[name]"
        assert page.evaluate(style, ["#groove .drawing .line", "stroke"]) == ink
        assert page.evaluate(style, ["#groove .drawing .area", "stroke"]) == ink
        assert page.evaluate(style, ["#groove .drawing text", "fill"]) == ink
        assert page.evaluate(style, ["#groove svg.drawing", "backgroundColor"]) == paper
        assert page.evaluate(style, ["#groove .drawing .plate", "fill"]) == paper
        assert page.evaluate(style, ["#groove-thickness", "borderTopStyle"]) == "solid"
        assert page.evaluate(style, ["#groove .checks .check", "borderLeftStyle"]) != "none"
        # A browser lays the paper's color behind words; on the chosen unit they would be the same as their ground.
        assert page.evaluate(style, [".units input:checked + label", "forcedColorAdjust"]) == "none"


def test_nothing_moves_for_who_asked_for_less_motion(new_context, served: str) -> None:
    """(2.2.2) No player starts, no part of the page is set to move by its style."""
    page = new_context(reduced_motion="reduce").new_page()
    page.goto(served + "heat-flow.html")
    page.wait_for_selector("[data-play]", state="attached")
    open_folds(page)
    assert page.locator("[data-play]:visible").count() == 0
    assert page.locator("[data-moment]:visible").count() > 0, "the moments can still be stepped through"
    before = page.evaluate(
        "() => [...document.querySelectorAll('[data-part][transform]')].map((each) => each.getAttribute('transform'))"
    )
    frames(page, 40)
    assert page.evaluate(
        "() => [...document.querySelectorAll('[data-part][transform]')].map((each) => each.getAttribute('transform'))"
    ) == before
    assert page.evaluate("() => document.getAnimations().length") == 0
    page.click("label[for=units-si]")
    assert page.evaluate("() => document.getAnimations().length") == 0


# --- fonts -----------------------------------------------------------------------------------


@in_every_font
def test_the_page_is_set_in_the_fonts_that_the_test_names(new_context, fonts: str, file_site: Path) -> None:
    """Asked of the browser: else two sets of fonts would be one, and a fault of layout would hang on the machine."""
    page = new_context().new_page()
    page.goto((file_site / "groove.html").as_uri())
    devtools = page.context.new_cdp_session(page)
    devtools.send("DOM.enable")
    devtools.send("CSS.enable")
    root = devtools.send("DOM.getDocument")["root"]["nodeId"]
    for selector in ("main h1", "main p:not([class])", "#groove label", "#groove-thickness"):
        node = devtools.send("DOM.querySelector", {"nodeId": root, "selector": selector})["nodeId"]
        used = {each["familyName"] for each in devtools.send("CSS.getPlatformFontsForNode", {"nodeId": node})["fonts"]}
        assert used == {browsers.FONTS[fonts].families[0]}, selector
