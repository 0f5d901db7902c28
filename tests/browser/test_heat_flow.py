"""The heat plots in the browser: the player, what it does for those who asked for less motion, saving, a new answer."""

from __future__ import annotations


from calc.drawing_files import figure_file

from tests.browser.conftest import frames

PLAYER = "#plate-heat .player"
ARC = "#plate-heat [data-part=arc]"
DOT = "#plate-heat [data-part=now]"


def shift(page, selector: str) -> float:
    """How far a part stands from its drawn place, sideways, in sheet units."""
    return page.locator(selector).first.evaluate("(part) => part.transform.baseVal.consolidate().matrix.e")


def open_heat(page, served: str) -> None:
    page.goto(served + "heat-flow.html")
    page.click("#plate-heat .with-picture > summary")
    page.wait_for_selector(PLAYER)


def test_the_arc_plays_pauses_and_takes_the_cooling_curve_along(page, served):
    open_heat(page, served)
    assert shift(page, ARC) == 0
    button = page.locator(f"{PLAYER} [data-play]")
    button.click()
    page.wait_for_function("() => document.querySelector('#plate-heat [data-moment]').value > 4")
    button.click()
    assert button.inner_text() == "Play"
    place, said = shift(page, ARC), page.locator(f"{PLAYER} [data-told]").inner_text()
    assert place < 0 and shift(page, DOT) < 0
    frames(page)
    assert shift(page, ARC) == place, "it goes on after the pause"
    assert "arc" in said and "°F" in said


def test_the_keyboard_steps_through_the_moments(page, served):
    open_heat(page, served)
    slider = page.locator(f"{PLAYER} [data-moment]")
    slider.focus()
    page.keyboard.press("Home")
    first = shift(page, ARC)
    assert "before the arc comes by" in slider.get_attribute("aria-valuetext")
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    assert slider.input_value() == "3" and shift(page, ARC) > first
    page.locator(f"{PLAYER} [data-step='-1']").focus()
    page.keyboard.press("Enter")
    assert slider.input_value() == "2"
    page.locator(f"{PLAYER} [data-play]").focus()
    page.keyboard.press("Space")
    page.wait_for_function("() => document.querySelector('#plate-heat [data-moment]').value > 4")


def test_less_motion_means_steps_and_no_play(new_context, served):
    page = new_context(reduced_motion="reduce").new_page()
    open_heat(page, served)
    assert page.locator(f"{PLAYER} [data-play]").is_hidden()
    page.locator(f"{PLAYER} [data-step='-1']").click()
    assert shift(page, ARC) < 0
    page.emulate_media(reduced_motion="no-preference")
    page.locator(f"{PLAYER} [data-play]").wait_for(state="visible")


def test_plots_are_saved_as_python_writes_them(page, served):
    open_heat(page, served)
    page.click("#plate-heat [data-fold=figure-peaks] > summary")
    for kind in ("csv", "svg"):
        with page.expect_download() as waiting:
            page.locator(f"#plate-heat [data-figure=peaks] [data-save={kind}]").click()
        expected = figure_file({"calculator": "plate-heat", "inputs": {}, "figure": "peaks", "as": kind})
        assert waiting.value.suggested_filename == expected["name"]
        assert waiting.value.path().read_bytes().decode("utf-8") == expected["text"]


def test_a_new_answer_gets_its_own_player_and_plots(page, served):
    open_heat(page, served)
    page.fill("#plate-heat-amps", "90")
    page.wait_for_function(
        "() => document.querySelector('#plate-heat [data-value=power]').textContent.includes('1728')"
    )
    assert page.locator(PLAYER).count() == 1
    assert page.locator("#plate-heat .figure-tools").count() == 3
    page.locator(f"{PLAYER} [data-step='-1']").click()
    page.wait_for_function(
        "() => document.querySelector('#plate-heat [data-part=arc]').transform.baseVal.consolidate().matrix.e < 0"
    )
