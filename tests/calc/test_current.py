"""Welding current: the table's windows, the thumb rule beside it, and what is refused."""

import math
from fractions import Fraction

import pint
import pytest
from hypothesis import given, settings, strategies as st

from calc.core.declare import InputError, Level, phrase_text
from calc.stages import current

UREG = pint.UnitRegistry()

# AWS A5.1 annex, typical amperage ranges, as the project's notes hold them (from memory), typed in again here.
ANNEX = {
    "E6010": [(40, 80), (75, 125), (110, 170), (140, 215), (170, 250), (210, 320)],
    "E6011": [(40, 80), (75, 125), (110, 170), (140, 215), (170, 250), (210, 320)],
    "E6013": [(45, 90), (80, 130), (105, 180), (150, 230), (210, 300), (250, 350)],
    "E7018": [(70, 100), (115, 165), (150, 220), (200, 275), (260, 340), (315, 400)],
}
SIZES = ("3/32 in", "1/8 in", "5/32 in", "3/16 in", "7/32 in", "1/4 in")


def texts(result, level):
    return [phrase_text(check.phrase, "us") for check in result.checks if check.level is level]


@pytest.mark.parametrize("electrode", ANNEX)
def test_every_window_is_the_row_of_the_table(electrode):
    for size, (low, high) in zip(SIZES, ANNEX[electrode], strict=True):
        result = current.CURRENT_SETTING.answer(electrode=electrode, diameter=size)
        assert (result["window_low"].amount, result["window_high"].amount) == (low, high)


@pytest.mark.parametrize("amps", ["115 A", "120 A"])
def test_ordinary_settings_of_an_eighth_low_hydrogen_rod_are_inside(amps):
    # Common practice, no source: 115 to 120 A is an everyday setting for 1/8 in E7018 in a vertical test.
    result = current.CURRENT_SETTING.answer(electrode="E7018", diameter="1/8 in", position="3G", amps=amps)
    assert not texts(result, Level.STOP)
    assert 0 <= float(result["place_in_window"].amount) <= 25


@pytest.mark.parametrize(("amps", "level"), [
    ("114.9 A", Level.STOP), ("115 A", Level.OK), ("115.1 A", Level.OK), ("164.9 A", Level.OK), ("165 A", Level.OK), ("165.1 A", Level.STOP),
])
def test_the_edges_of_the_window(amps, level):
    result = current.CURRENT_SETTING.answer(electrode="E7018", diameter="1/8 in", position="1G", amps=amps)
    assert any("window" in text and amps.split()[0] in text for text in texts(result, level))


def test_thumb_rule_gives_the_trade_figures():
    # Trade rule, 1 A for each 0.001 in of core: 94, 125, 156, 188, 250 A in whole amperes.
    got = [
        math.floor(float(current.CURRENT_SETTING.answer(electrode="E7018", diameter=size)["thumb_rule"].amount) + 0.5)
        for size in ("3/32 in", "1/8 in", "5/32 in", "3/16 in", "1/4 in")
    ]
    assert got == [94, 125, 156, 188, 250]


@pytest.mark.parametrize(("electrode", "size", "side"), [
    ("E7018", "3/16 in", "below"), ("E7018", "1/4 in", "below"),
    ("E6010", "3/32 in", "above"), ("E6011", "3/32 in", "above"), ("E6013", "3/32 in", "above"),
])
def test_where_rule_and_table_disagree_both_are_shown(electrode, size, side):
    # By arithmetic: 188 < 200, 250 < 315, 94 > 80, 94 > 90.
    result = current.CURRENT_SETTING.answer(electrode=electrode, diameter=size)
    assert any(f"{side} the window" in text and "go by the window" in text for text in texts(result, Level.WATCH))


@pytest.mark.parametrize("size", ["3/32 in", "1/8 in", "5/32 in"])
def test_where_rule_and_table_agree_it_says_so(size):
    # 94 in 70-100, 125 in 115-165, 156 in 150-220.
    result = current.CURRENT_SETTING.answer(electrode="E7018", diameter=size)
    assert any("thumb rule" in text and "inside" in text for text in texts(result, Level.OK))


@given(st.sampled_from(SIZES), st.integers(10, 600))
@settings(max_examples=60, deadline=None)
def test_current_density_against_pint(size, amps):
    diameter = UREG.Quantity(float(Fraction(size.split()[0])), "inch")
    expected = (UREG.Quantity(amps, "A") / (math.pi * diameter**2 / 4)).to("A/m**2").magnitude
    result = current.CURRENT_SETTING.answer(diameter=size, amps=f"{amps} A")
    assert float(result["current_density"].amount) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("text", "size"), [("3.2 mm", "1/8 in"), ("2.4 mm", "3/32 in"), ("2.5 mm", "3/32 in"), ("4 mm", "5/32 in"), (".125 in", "1/8 in")])
def test_a_size_is_found_by_its_metric_name(text, size):
    low = dict(zip(SIZES, ANNEX["E7018"], strict=True))[size][0]
    assert current.CURRENT_SETTING.answer(electrode="E7018", diameter=text)["window_low"].amount == low


def test_a_size_or_class_without_a_row_is_refused_by_name():
    with pytest.raises(InputError, match=r"there is no row for 3\smm") as trouble:
        current.CURRENT_SETTING.answer({"diameter": "3 mm"}, "si")
    assert trouble.value.field == "diameter"
    with pytest.raises(InputError, match="E7018, E6010, E6011 or E6013") as trouble:
        current.CURRENT_SETTING.answer(electrode="E9999")
    assert trouble.value.field == "electrode"
    with pytest.raises(InputError, match="no row for E7018 of 5/16 in; it holds 3/32 in, 1/8 in") as trouble:
        current.window_for("E7018", "5/16 in")
    assert trouble.value.field == "diameter"


@pytest.mark.parametrize(("electrode", "size", "position", "stopped"), [
    ("E6010", "3/16 in", "4G", False), ("E6010", "7/32 in", "4G", True), ("E7018", "5/32 in", "3G", False), ("E7018", "3/16 in", "3G", True),
    ("E7018", "3/16 in", "1G", False),
])
def test_rods_too_large_for_vertical_and_overhead(electrode, size, position, stopped):
    # OD1651 p. 29: 3/16 in is the largest for vertical and overhead; AWS A5.1 (from memory): 5/32 in for low-hydrogen.
    result = current.CURRENT_SETTING.answer(electrode=electrode, diameter=size, position=position)
    assert any("too large for" in text for text in texts(result, Level.STOP)) is stopped
