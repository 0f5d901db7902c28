"""The band of bright metal, against plane geometry by shapely and pint and the published groove widths."""

import math

import pint
import pytest
from hypothesis import given, settings, strategies as st
from shapely.geometry import LineString, box

from calc.core.declare import InputError, Level
from calc.core.sources import Standing
from calc.stages.cleaning import CLEAN_BAND

UNITS = pint.UnitRegistry()
INCH = 0.0254


def inches(result, name):
    return float(result[name].amount) / INCH


def levels(result, *ids):
    """The levels of the checks of these ids, in the order of the answer."""
    return [check.level for check in result.checks if check.id in ids]


@pytest.mark.parametrize(("thickness", "face_width"), [("3/8 in", 0.5607), ("1 in", 1.0784)])
def test_face_width_is_the_worked_groove(thickness, face_width):
    # V on backing, 45° and 1/4 in root: the worked tops 0.5607 in and 1.0784 in; 4 decimals given.
    assert inches(CLEAN_BAND.answer(thickness=thickness), "face_width") == pytest.approx(face_width, abs=0.00005)


def test_areas_are_those_of_the_unfolded_surfaces():
    # Independent: the section as lines in shapely, each line swept along the joint.
    result = CLEAN_BAND.answer(
        thickness="1/2 in", bevel_angle="30 deg", root_opening="1/4 in", rule="one", length="10 in",
        backing_width="3 in", run_off="1/2 in",
    )
    run = 0.5 * math.tan(math.radians(30))
    bevel = LineString([(0.125, 0), (0.125 + run, 0.5)])
    top = LineString([(0.125 + run, 0.5), (0.125 + run + 1, 0.5)])
    under = LineString([(0.125, 0), (1.5, 0)])  # the backing reaches past the band, so it decides
    swept = {"bevel_area": 2 * bevel.length * 10, "top_area": 2 * top.length * 10, "under_area": 2 * under.length * 10,
             "backing_area": box(-0.5, -1.5, 10.5, 1.5).area}
    for name, area in swept.items():
        assert float(result[name].amount) == pytest.approx(UNITS.Quantity(area, "inch**2").to("m**2").magnitude), name
    assert float(result["area"].amount) == pytest.approx(
        UNITS.Quantity(sum(swept.values()), "inch**2").to("m**2").magnitude
    )


@pytest.mark.parametrize(
    ("rule", "lap", "margin", "band", "governed_by_footprint"),
    [
        ("one", "1/16 in", "1/2 in", 1, False),
        ("half", "0 in", "1/2 in", 0.5, False),          # exactly the rule: the rule still governs
        ("half", "1/64 in", "1/2 in", 0.515625, True),   # just past it
        ("half", "0 in", "31/64 in", 0.5, False),        # just short of it
    ],
)
def test_larger_of_rule_and_footprint_governs(rule, lap, margin, band, governed_by_footprint):
    result = CLEAN_BAND.answer(rule=rule, lap=lap, margin=margin)
    assert inches(result, "band") == band
    assert levels(result, "band") == [Level.CAUTION if governed_by_footprint else Level.OK]


def test_both_widths_are_shown_together_and_how_they_are_held():
    # 1 in stands in NAVSEA S9074-AR-GIB-010/278, 7.2, which was read; 1/2 in is shop practice. AWS D1.1 gives no width.
    result = CLEAN_BAND.answer(rule="half")
    assert (inches(result, "clean_band_half"), inches(result, "clean_band_one")) == (0.5, 1)
    assert result["clean_band_half"].source.standing is Standing.COMMON_PRACTICE
    assert result["clean_band_one"].source.standing is Standing.READ


def test_surface_words_are_those_of_the_federal_rule():
    # 46 CFR 56.70-10(a)(2): surfaces "shall be free from paint, oil, rust, scale".
    value = CLEAN_BAND.answer()["free_from"]
    assert "paint, oil, rust, scale" in value.wording
    assert value.source.standing is Standing.READ


def test_own_rule_wants_its_figure_and_warns_when_narrow():
    with pytest.raises(InputError, match="write it in inches or millimetres") as trouble:
        CLEAN_BAND.answer(rule="own")
    assert trouble.value.field == "own_band"
    narrow = CLEAN_BAND.answer(rule="own", own_band="10 mm", lap="0 in", margin="0 in")
    assert float(narrow["band"].amount) == pytest.approx(0.010)
    assert levels(narrow, "band-narrow") == [Level.CAUTION]
    for band, judged in (("0.999 in", [Level.CAUTION]), ("1 in", [])):
        assert levels(CLEAN_BAND.answer(rule="own", own_band=band, lap="0 in", margin="0 in"), "band-narrow") == judged


@pytest.mark.parametrize(
    ("lap", "level"),
    [
        ("7/16 in", Level.OK), ("1/2 in", Level.OK), ("0.51 in", Level.CAUTION), ("0.99 in", Level.CAUTION),
        ("1 in", Level.STOP),
    ],
)
def test_the_band_reaches_past_the_weld(lap, level):
    """A band of 1 in, a margin of 1/2 in: at a lap of 1 in no bright metal is left beside the weld."""
    assert levels(CLEAN_BAND.answer(lap=lap), "band") == [level]


@pytest.mark.parametrize(("run_off", "judged"), [("0 in", [Level.CAUTION]), ("0.99 in", [Level.CAUTION]), ("1 in", [])])
def test_backing_sticks_out_at_the_ends(run_off, judged):
    assert levels(CLEAN_BAND.answer(run_off=run_off), "run-off") == judged


def test_leaving_surfaces_out_is_said():
    assert levels(CLEAN_BAND.answer(surfaces="top"), "surfaces") == [Level.STOP]
    assert levels(CLEAN_BAND.answer(surfaces="plates"), "surfaces") == [Level.CAUTION]
    areas = [inches(CLEAN_BAND.answer(surfaces=name), "area") for name in ("top", "plates", "all")]
    assert areas == sorted(areas) and len(set(areas)) == 3


@pytest.mark.parametrize("width", ["1/4 in", "6.35 mm"])
def test_backing_no_wider_than_the_opening_is_refused(width):
    with pytest.raises(InputError, match=r"more than the root opening of 1/4 in \(6\.35\smm\)") as trouble:
        CLEAN_BAND.answer(root_opening="1/4 in", backing_width=width)
    assert trouble.value.field == "backing_width"
    assert inches(CLEAN_BAND.answer(root_opening="1/4 in", backing_width="17/64 in"), "contact") > 0


@pytest.mark.parametrize(("text", "limit"), [("1/16 in", "1/8 in"), ("25 in", "3 in")])
def test_thickness_outside_the_range_names_the_limit(text, limit):
    with pytest.raises(InputError, match=limit) as trouble:
        CLEAN_BAND.answer(thickness=text)
    assert trouble.value.field == "thickness"


@settings(max_examples=40, deadline=None)
@given(st.integers(8, 191), st.integers(0, 59), st.integers(0, 63), st.integers(0, 63))
def test_more_thickness_angle_or_lap_never_means_less_to_clean(t, angle, lap, margin):
    def area(t, angle, lap):
        return CLEAN_BAND.answer(
            thickness=f"{t}/64 in", bevel_angle=f"{angle} deg", lap=f"{lap}/64 in", margin=f"{margin}/64 in",
            rule="half",
        )["area"].amount

    here = area(t, angle, lap)
    assert area(t + 1, angle, lap) > here
    assert area(t, angle + 1, lap) > here
    assert area(t, angle, lap + 1) >= here
