"""Every calculator as one view: on a phone its sentence, its picture and its main inputs stand in one screen, the
whole form in two, before anything folded is opened; beside each other on a wide one. What moves its drawing leaves it
in sight.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page

from calc.catalogue import CALCULATORS
from tests.browser.conftest import frames

PAGES = sorted({each.page.removesuffix(".md") for each in CALCULATORS})
SIZES = ((390, 844), (1280, 720), (1920, 1080))
PHONE = SIZES[0]
MOST_OF_A_PHONE, MOST_OF_A_WIDE_SCREEN = 0.45, 0.8
"""So much of the height sentence and picture may take: under them stand the inputs of a phone."""
MOST_SCREENS, MAIN_SCREENS = 2, 1
"""A whole form, and its main inputs."""

# From the top of the page: what is pinned stands where it belongs.
MEASURED = """() => {
  scrollTo({ top: 0, behavior: "instant" });
  return [...document.querySelectorAll("[data-calculator]")].map((each) => {
    const top = each.getBoundingClientRect().top;
    const end = (selector) => each.querySelector(selector).getBoundingClientRect().bottom - top;
    const name = `${each.id} (${document.documentElement.dataset.units})`;
    return [name, each.querySelector(".view").offsetHeight / innerHeight,
      Math.max(end(".fields.main"), end(".view")) / innerHeight, each.offsetHeight / innerHeight];
  });
}"""
# The two systems are a switch of the page, the two schemes another.
SWITCHED = """([units, scheme]) => {
  document.documentElement.dataset.units = units;
  document.body.dataset.mdColorScheme = scheme;
}"""
# Each slider is moved by a stop and each grip of a drawing pulled, wherever it stands, once it is scrolled to; the share
# of the drawing that is in sight then is told.
IN_SIGHT = """async () => {
  const told = [];
  const header = document.querySelector(".md-header").getBoundingClientRect().bottom;
  const look = async (section, name) => {
    await new Promise(requestAnimationFrame);
    const box = section.querySelector(".view svg").getBoundingClientRect();
    const seen = Math.min(box.bottom, innerHeight) - Math.max(box.top, header);
    told.push([`${section.id} ${name}`, seen / box.height]);
  };
  for (const fold of document.querySelectorAll("[data-calculator] details.more")) fold.open = true;
  for (const slider of document.querySelectorAll("[data-calculator] .slide")) {
    const section = slider.closest("[data-calculator]");
    slider.focus();
    slider.value = Number(slider.value) + (slider.value === slider.max ? -1 : 1);
    slider.dispatchEvent(new Event("input", { bubbles: true }));
    await look(section, slider.closest("[data-field]").dataset.field);
    slider.dispatchEvent(new Event("change", { bubbles: true }));
    slider.blur();
  }
  for (const grip of document.querySelectorAll("[data-calculator] .view .grip")) {
    grip.scrollIntoView({ block: "nearest", behavior: "instant" });
    const at = { bubbles: true, pointerId: 1, clientX: 0, clientY: 0 };
    grip.dispatchEvent(new PointerEvent("pointerdown", at));
    await look(grip.closest("[data-calculator]"), `grip of ${grip.dataset.sets}`);
    grip.dispatchEvent(new PointerEvent("pointerup", at));
  }
  return told;
}"""


# What is too small: a chip for a glove, a word for an eye. Letters below others are small by nature.
SMALL = """(gloves) => {
  for (const fold of document.querySelectorAll("details")) fold.open = true;
  const seen = (each) => each.checkVisibility({ visibilityProperty: true }) && each.getBoundingClientRect().height > 1;
  const chips = [...(gloves ? document.querySelectorAll(".md-content .chips") : [])].flatMap((all) => {
    all.closest(".field")?.querySelector("input, select")?.focus({ preventScroll: true });
    return [...all.querySelectorAll("button")].filter((each) => seen(each) && each.offsetHeight < 44);
  });
  const words = [...document.querySelectorAll(".md-content *:not(option, sub, sup, math *, svg *)")].filter((each) =>
    [...each.childNodes].some((node) => node.nodeType === 3 && node.data.trim())
    && !each.closest("sub, sup, math, svg") && seen(each) && parseFloat(getComputedStyle(each).fontSize) < 11.95);
  return [...chips, ...words].map((each) => `${each.tagName}.${each.className} ${each.textContent.trim().slice(0, 40)}`);
}"""


@pytest.fixture
def opened(new_context: Callable[..., BrowserContext], file_site: Path) -> Callable[..., Page]:
    page = new_context().new_page()

    def open_page(name: str, size: tuple[int, int]) -> Page:
        page.set_viewport_size({"width": size[0], "height": size[1]})
        address = (file_site / f"{name}.html").as_uri()
        if page.url != address:
            page.goto(address)
        return page

    return open_page


@pytest.mark.parametrize("name", PAGES)
def test_a_calculator_stands_in_one_screen_and_its_form_in_two(opened, name: str):
    for size in SIZES:
        page = opened(name, size)
        frames(page)
        most_view = MOST_OF_A_PHONE if size == PHONE else MOST_OF_A_WIDE_SCREEN
        found = {}
        for units in ("us", "si"):
            for scheme in ("default", "slate"):
                page.evaluate(SWITCHED, [units, scheme])
                found[units, scheme] = page.evaluate(MEASURED)
            assert found[units, "default"] == found[units, "slate"], "dark takes other room than light"
            for calc, view, main, whole in found[units, "default"]:
                assert view <= most_view, f"{calc}: sentence and picture take {view:.0%} of {size}"
                assert main <= MAIN_SCREENS, f"{calc}: its main inputs end at {main:.2f} screens of {size}"
                assert size != PHONE or whole <= MOST_SCREENS, f"{calc}: its form is {whole:.2f} screens of {size}"



@pytest.mark.parametrize("name", PAGES)
def test_a_drawing_is_in_sight_while_a_slider_or_one_of_its_grips_moves(opened, name: str):
    for size in SIZES:
        page = opened(name, size)
        frames(page)
        for moved, seen in page.evaluate(IN_SIGHT):
            assert seen >= 0.8, f"{moved}: {seen:.0%} of the drawing is in sight at {size} while it moves"


def test_words_of_a_drawing_are_12_pixels_tall_on_a_narrow_phone_and_on_a_projector(opened):
    for name in PAGES:
        for size in ((320, 640), (1920, 1080)):
            small = opened(name, size).evaluate("""() => [...document.querySelectorAll(".md-content svg.drawing text")]
              .filter((each) => each.checkVisibility())
              .map((each) => [each.textContent, parseFloat(getComputedStyle(each).fontSize) * each.getScreenCTM().a])
              .filter(([, tall]) => tall < 11.9)""")
            assert not small, f"{name} at {size}: {small[:5]}"


def test_chips_are_for_gloves_and_running_words_can_be_read(opened):
    """Chips at least 44 px high on a phone, words at least 12 px tall on a narrow phone and on a laptop."""
    for name in PAGES:
        for size in ((320, 640), SIZES[1]):
            page = opened(name, size)
            frames(page)
            small = page.evaluate(SMALL, size[0] == 320)
            assert not small, f"{name} at {size}: {small[:5]}"


def test_the_view_does_not_cover_the_field_when_the_keyboard_of_a_phone_is_open(opened):
    """An open keyboard leaves about half of a phone's height."""
    page = opened("groove", (390, 420))
    for field in ("thickness", "bevel_angle", "cap_height"):
        page.focus(f"#groove-{field}")
        frames(page)
        assert page.evaluate("""(id) => {
          const box = document.getElementById(id).getBoundingClientRect();
          return document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2).id === id
            && box.top >= 0 && box.bottom <= innerHeight;
        }""", f"groove-{field}"), f"{field} is covered or out of sight"
