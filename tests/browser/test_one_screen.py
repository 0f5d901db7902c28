"""Every calculator as one view: on a phone its sentence, its picture and its main inputs stand in one screen; beside each
other on a wide one.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from calc.catalogue import CALCULATORS

MORE_THAN_A_SCREEN = {
    "bend-judge": "a list of openings, three of them in the example", "cut-list": "two lists", "sheet-plan": "two lists",
    "class-plan": "a list", "fit-up": "a list of readings", "plate-heat": "four inputs that a plot needs",
}
"""Those whose main inputs may reach past the first screen of a phone, and why."""
PAGES = sorted({each.page.removesuffix(".md") for each in CALCULATORS})

SIZES = """() => [...document.querySelectorAll("[data-calculator]")].map((each) => {
  const top = each.getBoundingClientRect().top;
  const end = (selector) => each.querySelector(selector).getBoundingClientRect().bottom - top;
  return [each.dataset.calculator, each.querySelector(".view").offsetHeight / innerHeight,
    Math.max(end(".fields.main"), end(".view")) / innerHeight];
})"""


@pytest.mark.parametrize("name", PAGES)
def test_a_calculator_stands_in_one_screen(new_context, file_site: Path, name: str):
    for width, height, most_view in ((390, 844, 0.46), (1280, 720, 0.8)):
        page = new_context(viewport={"width": width, "height": height}).new_page()
        page.goto((file_site / f"{name}.html").as_uri())
        for calc, view, whole in page.evaluate(SIZES):
            if calc in MORE_THAN_A_SCREEN:
                continue
            assert view <= most_view, f"{calc}: sentence and picture take {view:.0%} of {width} x {height}"
            assert whole <= 1.0, f"{calc}: its main inputs end at {whole:.2f} screens of {width} x {height}"


def test_words_of_a_drawing_are_12_pixels_tall_on_a_narrow_phone(new_context, file_site: Path):
    page = new_context(viewport={"width": 320, "height": 640}).new_page()
    page.goto((file_site / "groove.html").as_uri())
    sizes = page.evaluate("""() => [...document.querySelectorAll("#groove .view svg text")].map((each) =>
      parseFloat(getComputedStyle(each).fontSize) * each.getScreenCTM().a)""")
    assert sizes and min(sizes) >= 12
