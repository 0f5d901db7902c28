"""A drawing is pulled by its grips: the input that a grip sets follows, in the stops of its slider, and so does the
answer.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

READY = "() => window.GuideEngine && GuideEngine.state === 'ready'"


@pytest.fixture
def ready(page: Page, served: str):
    def open_page(name: str, place: str) -> Page:
        page.set_viewport_size({"width": 390, "height": 844})
        page.goto(f"{served}{name}.html#{place}")
        page.evaluate("GuideEngine.start()")
        page.wait_for_function(READY)
        return page

    return open_page


def pull(page: Page, place: str, sets: str, right: float, down: float) -> None:
    """Take hold of a grip and pull it some pixels, in steps."""
    grip = page.locator(f"#{place} .view .grip[data-sets={sets}] .dot")
    box = grip.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for part in range(1, 6):
        page.mouse.move(x + right * part / 5, y + down * part / 5)
    page.mouse.up()


@pytest.mark.parametrize(("name", "place", "sets", "right", "down", "more"), [
    ("groove", "groove", "thickness", 0, -20, True), ("groove", "groove", "root_opening", 12, 0, False),
    ("groove", "groove", "bevel_angle", 15, 0, True), ("groove", "groove", "cap_height", 0, -8, True),
    ("machine", "current", "amps", 40, 0, True), ("bending", "bend-ratio", "plunger_diameter", 20, 0, True),
    ("coupons", "coupon-layout", "discard", 15, 0, True), ("bend-force", "spring-back", "angle", 30, 0, False),
])
def test_pulling_a_grip_moves_its_input_and_the_answer(ready, name, place, sets, right, down, more):
    page = ready(name, place)
    field = page.locator(f"#{place}-{sets}")
    before, range_ = field.input_value(), page.locator(f"#{place} [data-field={sets}] input.slide")
    stood = int(range_.input_value())
    told = page.locator(f"#{place} [data-headline]").inner_html()
    grip = page.locator(f"#{place} .view .grip[data-sets={sets}]")
    grip.scroll_into_view_if_needed()
    pull(page, place, sets, right, down)
    assert field.input_value() != before
    assert (int(range_.input_value()) > stood) is more
    assert field.input_value() in field.get_attribute("data-stops").split("|")
    if told != page.locator(f"#{place} [data-headline]").inner_html():
        return
    expect(page.locator(f"#{place} [data-headline]")).not_to_have_js_property("innerHTML", told)


def test_the_drawing_stays_in_sight_while_a_slider_is_used(ready):
    page = ready("groove", "groove")
    page.locator("#groove-cap_height").scroll_into_view_if_needed()
    page.locator("#groove-cap_height").focus()
    seen = page.evaluate(
        "() => { const box = document.querySelector('#groove .view svg').getBoundingClientRect();"
        " const top = Math.max(box.top, document.querySelector('.md-header').getBoundingClientRect().bottom);"
        " return (Math.min(box.bottom, innerHeight) - top) / box.height; }"
    )
    assert seen >= 0.8
