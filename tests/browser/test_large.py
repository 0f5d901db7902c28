"""A calculator shown large: its sentence, its picture and its main inputs alone, at an address of its own."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

LEAST_PIXELS = 28
SMALL = """() => [...document.querySelectorAll(".calculator.large *")].filter((each) =>
  each.checkVisibility({ visibilityProperty: true }) && [...each.childNodes].some((node) => node.nodeType === 3 && node.data.trim())
  && !each.closest(".letter, .visually-hidden, option")
  && (each.ownerSVGElement ? each.getScreenCTM().a : 1) * parseFloat(getComputedStyle(each).fontSize) < 27.9)
  .filter((each) => getComputedStyle(each.closest("figcaption, .fields, .view, legend") || each).clipPath === "none"
    && getComputedStyle(each).clipPath === "none").map((each) => `${each.tagName} ${each.textContent.slice(0, 40)}`)"""


def opened(page: Page, address: str) -> Page:
    page.set_viewport_size({"width": 1280, "height": 720})
    page.goto(address)
    page.wait_for_selector(".calculator.large")
    return page


def test_its_words_are_large_and_nothing_else_is_in_sight(page: Page, file_site: Path):
    opened(page, (file_site / "groove.html").as_uri() + "#show-groove")
    assert page.evaluate(SMALL) == []
    for part in (".question", ".answer", ".tools", ".more"):
        assert not page.locator(f"#groove {part}").first.is_visible()
    for part in ("[data-headline]", ".view svg", "#groove-thickness", "#groove-cap_height"):
        expect(page.locator(f"#groove {part}" if not part.startswith("#") else part)).to_be_in_viewport()


def test_keys_go_through_the_calculators_of_the_page_and_escape_leaves(page: Page, served: str):
    opened(page, served + "machine.html#show-current")
    all_ids = page.evaluate("[...document.querySelectorAll('[data-calculator]')].map((each) => each.id)")
    at = all_ids.index("current")
    page.keyboard.press("ArrowRight")
    following = all_ids[(at + 1) % len(all_ids)]
    expect(page.locator(".calculator.large")).to_have_attribute("id", following)
    assert page.evaluate("location.hash") == f"#show-{following}"
    page.keyboard.press("ArrowLeft")
    expect(page.locator(".calculator.large")).to_have_attribute("id", "current")
    page.keyboard.press("Escape")
    expect(page.locator(".calculator.large")).to_have_count(0)
    assert page.evaluate("location.hash") == "#current"
    expect(page.locator("#current [data-large]")).to_be_focused()


@pytest.mark.parametrize(("name", "place"), [
    ("visual", "visual-check"), ("fit-up", "fit-up-bowed"), ("cut-plans", "cut-list"),
    ("planning", "class-plan"), ("heat-flow", "plate-heat"), ("coupons", "coupon-layout"), ("safety", "noise-dose"),
])
def test_a_calculator_that_is_shown_large_is_printed_alone_on_one_page(page: Page, file_site: Path, name, place):
    opened(page, (file_site / f"{name}.html").as_uri() + f"#show-{place}")
    for paper in ("Letter", "A4"):
        assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper))) == 1, paper
    page.emulate_media(media="print")
    for part in ("legend", "[data-headline]", ".view svg", ".fields.main", ".answer .cautions"):
        assert page.locator(f"#{place} {part}").first.is_visible(), part
    assert page.locator("[data-calculator]:visible").count() == 1
