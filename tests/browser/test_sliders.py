"""Sliders in a real browser: they write shop notation, the drawing follows, and they follow the field."""

from __future__ import annotations

from tests.browser.conftest import answered
from tests.browser.test_calculators import GROOVE, ONE_INCH, THICK, headline, wait_for_answer

SLIDER = f"{GROOVE} [data-field=thickness] input.slide"
# Moves the slider as a finger does: "input" at every step, "change" only when it is let go.
MOVE = "(slider, stop) => { slider.value = stop; slider.dispatchEvent(new Event('input', {bubbles: true})); }"
LET_GO = "(slider) => slider.dispatchEvent(new Event('change', {bubbles: true}))"


def ready(page, url: str) -> None:
    page.goto(url)
    page.evaluate("GuideEngine.start()")
    page.wait_for_function("() => GuideEngine.state === 'ready'")


def drawn_height(page) -> float:
    """The plate's thickness in the drawing over its opening: 1.5 for 3/8 in over 1/4 in."""
    return page.evaluate("""() => {
      const points = [...document.querySelector('#groove svg.drawing [data-part=left]').points];
      const ys = points.map((each) => each.y), opening = document.querySelector('#groove svg.drawing [data-part=opening]');
      return (Math.max(...ys) - Math.min(...ys)) / Math.abs(opening.x1.baseVal.value - opening.x2.baseVal.value);
    }""")


def test_the_drawing_follows_while_the_slider_moves_and_the_answer_when_it_is_let_go(page, served):
    page.clock.install()
    ready(page, served + "groove.html")
    assert abs(drawn_height(page) - 1.5) < 0.01
    steps = page.locator(f"{GROOVE} [data-piece=steps]")
    printed = steps.text_content()
    slider = page.locator(SLIDER)
    slider.evaluate(MOVE, 28)
    assert page.input_value(THICK) == "1 in", "the eighth and twenty-eight thirty-seconds"
    wait_for_answer(page, ONE_INCH)
    assert abs(drawn_height(page) - 4) < 0.01
    assert "1.078" in page.locator(f'{GROOVE} tr[data-value="face_width"] .amount').inner_text()
    page.clock.fast_forward(2000)  # longer than typing has to rest for the worked steps
    answered(page)
    assert steps.get_attribute("class") == "behind", "the rest is marked as not yet fresh"
    assert steps.text_content() == printed
    slider.evaluate(LET_GO)
    page.wait_for_function(f"() => document.querySelector('{GROOVE} [data-piece=steps]').textContent.includes('1.078')")
    assert page.locator(f"{GROOVE} .behind").count() == 0


def test_the_slider_works_by_keyboard_and_says_shop_notation(page, served):
    ready(page, served + "groove.html")
    slider = page.locator(SLIDER)
    assert slider.get_attribute(
        "aria-valuetext"
    ) == "3/8 in" and "Plate thickness" in slider.get_attribute("aria-label")
    slider.focus()
    page.keyboard.press("ArrowRight")
    assert page.input_value(THICK) == "13/32 in" and slider.get_attribute("aria-valuetext") == "13/32 in"
    wait_for_answer(page, "0.5865")
    page.keyboard.press("End")
    assert page.input_value(THICK) == "2 in"


def test_the_slider_follows_the_field_and_the_units(page, served):
    ready(page, served + "groove.html")
    page.fill(THICK, "1 in")
    wait_for_answer(page, ONE_INCH)
    assert page.input_value(SLIDER) == "28"
    page.locator('.units label[for="units-si"]').click()
    page.wait_for_function(f"() => document.querySelector('{SLIDER}').value !== '28'")
    page.locator(SLIDER).focus()
    page.keyboard.press("ArrowLeft")
    assert page.input_value(THICK).endswith(" mm")


def test_there_is_no_slider_without_scripts(new_context, served):
    page = new_context(java_script_enabled=False).new_page()
    page.goto(served + "groove.html")
    assert page.locator("input.slide").count() == 0 and headline(page).inner_text()
