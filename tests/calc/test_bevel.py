"""Bevelling: the tilted cut as a drawn shape, the torch setting, and the limits of the table."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, box

from calc.core.declare import InputError, Level, Result, phrase_text
from calc.core.units import LENGTH, parse
from calc.stages.bevel import BEVEL_CUT
from calc.stages.coupons import COUPON_LAYOUT
from calc.stages.cutting import CUT_OXYGEN, CUT_SPEED
from calc.stages.groove import GROOVE

FEW = settings(max_examples=60, deadline=None)
STEEL = 7850


def amount(result: Result, name: str) -> float:
    return float(result[name].amount)


def inches(result: Result, name: str) -> float:
    return amount(result, name) / 0.0254


def levels(result: Result, *ids: str) -> list[Level]:
    """The levels of the checks of these ids, in the order of the answer."""
    return [check.level for check in result.checks if check.id in ids]


@pytest.mark.parametrize(("thickness", "printed"), [("3/8 in", 0.406), ("1 in", 1.082)])
def test_path_of_the_usual_bevel(thickness, printed):
    # The project's list of values, section on oxygen cutting: path = 1.0824 t at 22.5 degrees, printed to three
    # decimals.
    assert inches(BEVEL_CUT.answer(thickness=thickness), "path") == pytest.approx(printed, abs=0.0005)


sizes = st.fixed_dictionaries(
    {
        "t": st.integers(8, 192), "angle": st.integers(1, 60), "k": st.integers(1, 24), "m": st.integers(0, 64),
        "f": st.integers(0, 8),
    }
)


@FEW
@given(sizes)
def test_cut_drawn_with_a_geometry_library(size):
    # Draw it: the plate a box on its lower face, the kerf a slot tilted about the root edge, then let shapely measure
    # the parts.
    t, k, m, f = (size[name] / 64 for name in ("t", "k", "m", "f"))
    result = BEVEL_CUT.answer(
        thickness=f"{size['t']}/64 in", bevel_angle=f"{size['angle']} deg", kerf=f"{size['k']}/64 in",
        drop_margin=f"{size['m']}/64 in", root_face=f"{size['f']}/64 in", length="10 in",
    )
    slot = rotate(box(-k, -400, 0, 400), -size["angle"], origin=(0, 0))
    surface_kerf = LineString([(-50, 0), (50, 0)]).intersection(slot).length
    plate = box(-m - surface_kerf, 0, 50, t)
    upright = LineString([(0, -400), (0, 400)])
    face = rotate(upright, -size["angle"], origin=(0, 0)).intersection(plate)
    parts = sorted(plate.difference(slot).geoms, key=lambda part: part.bounds[0]) if m else None

    assert inches(result, "path") == pytest.approx(face.length)
    assert inches(result, "bevel_run") == pytest.approx(face.bounds[2] - face.bounds[0])
    assert inches(result, "surface_kerf") == pytest.approx(surface_kerf)
    assert inches(result, "line_from_edge") == pytest.approx(face.bounds[2] - plate.bounds[0])
    if parts:
        drop = parts[0]
        assert amount(result, "drop_area") / 0.0254**2 == pytest.approx(drop.area)
        assert inches(result, "drop_top_width") == pytest.approx(drop.bounds[2] - drop.bounds[0])
        assert amount(result, "drop_mass") == pytest.approx(drop.area * 10 * 0.0254**3 * STEEL)
    kerf_area = plate.intersection(slot).area
    assert amount(result, "kerf_mass") == pytest.approx(kerf_area * 10 * 0.0254**3 * STEEL)
    above_root_face = face.intersection(box(-50, f, 50, t)) if f < t else None
    if above_root_face:
        assert inches(result, "sloped_face") == pytest.approx(above_root_face.length)
        assert inches(result, "line_from_root") == pytest.approx(above_root_face.bounds[2] - above_root_face.bounds[0])


@FEW
@given(st.integers(1, 16), st.integers(0, 60), st.integers(0, 12))
def test_tip_by_turning_a_torch(sixteenths, angle, kerf):
    # Turn an upright torch, its end one stand-off above the point where the jet enters; the kept plate lies toward plus
    # x.
    h = sixteenths / 16
    tip = rotate(LineString([(0, 0), (0, h)]), -angle, origin=(0, 0))
    result = BEVEL_CUT.answer(stand_off=f"{sixteenths}/16 in", bevel_angle=f"{angle} deg", kerf=f"{kerf}/32 in")
    (_, _), (x, y) = tip.coords
    assert (inches(result, "tip_shift"), inches(result, "tip_height")) == pytest.approx((x, y), abs=1e-12)
    middle_of_kerf = translate(tip, xoff=-inches(result, "surface_kerf") / 2)
    assert inches(result, "tip_from_line") == pytest.approx(middle_of_kerf.coords[1][0], abs=1e-12)


@FEW
@given(sizes, st.integers(5, 12))
def test_a_blank_cut_to_the_groove_page_makes_the_joint_that_the_coupons_need(size, across):
    """The chain of widths, closed: groove says how wide to cut, the bevel cut takes its share, two plates make the
    joint again.
    """
    shared = {
        name: f"{size[letter]}/64 in"
        for name, letter in (("thickness", "t"), ("kerf", "k"), ("drop_margin", "m"), ("root_face", "f"))
    }
    shared["bevel_angle"] = f"{size['angle']} deg"
    groove = GROOVE.answer(shared, finished_width=f"{across + 12} in", root_opening="1/4 in")
    cut = BEVEL_CUT.answer(shared, blank_width=f"{inches(groove, 'plate_width'):.12f} in")
    assert 2 * inches(cut, "plate_at_root") + 0.25 == pytest.approx(across + 12, abs=1e-9)
    assert inches(cut, "plate_at_root") == pytest.approx(inches(groove, "plate_at_root"), abs=1e-9)


def test_the_shops_joint_is_as_wide_as_its_coupons():
    # The class of our shop: 6 in across, coupons 6 in long (ASME IX QW-462.3(a): 6 in or as required). Everything at
    # its default.
    cut = BEVEL_CUT.answer(blank_width=f"{inches(GROOVE.answer(), 'plate_width'):.12f} in")
    across = 2 * inches(cut, "plate_at_root") + 0.25
    layout = COUPON_LAYOUT.answer(plate_width=f"{across:.9f} in")
    assert across == pytest.approx(6, abs=1e-9)
    assert not [check for check in layout.checks if check.id == "plate-width" and check.level.severity]
    assert GROOVE.answer().check("joint-width").level is Level.OK


def test_a_blank_of_which_nothing_is_left_is_refused():
    with pytest.raises(InputError) as refused:
        BEVEL_CUT.answer(blank_width="1/2 in", drop_margin="1/2 in")
    assert refused.value.field == "blank_width" and "write more than 0.5676 in" in refused.value.message.replace(
        "\xa0", " ",
    )


def test_a_square_cut_is_the_plain_case():
    square = BEVEL_CUT.answer(bevel_angle="0 deg", drop_margin="1/2 in")
    assert inches(square, "path") == pytest.approx(0.375) and amount(
        square, "bevel_run",
    ) == 0 and amount(square, "tip_shift") == 0
    assert inches(square, "line_from_edge") == pytest.approx(0.5 + 0.0625)


@FEW
@given(st.integers(0, 59))
def test_more_tilt_is_more_of_everything_that_the_jet_meets(angle):
    less, more = (BEVEL_CUT.answer(bevel_angle=f"{each} deg") for each in (angle, angle + 1))
    for name in ("path", "bevel_run", "surface_kerf", "line_from_edge", "tip_shift", "drop_mass", "kerf_mass"):
        assert amount(more, name) > amount(less, name)
    assert amount(more, "tip_height") < amount(less, "tip_height")


def test_longest_run_is_the_run_at_the_widest_angle_allowed():
    # B-U2a as detailed: 45 degrees, 10 over (from memory). Shared by two plates that is a bevel of 27.5 degrees.
    assert BEVEL_CUT.answer()["bevel_run_most"].amount == pytest.approx(
        BEVEL_CUT.answer(bevel_angle="27.5 deg")["bevel_run"].amount
    )


def test_grind_back_only_where_there_is_a_root_face():
    faced = BEVEL_CUT.answer(root_face="1/8 in")
    assert amount(faced, "line_from_root") + amount(faced, "grind_back") == pytest.approx(amount(faced, "bevel_run"))
    assert "grind_back" not in [value.name for value in BEVEL_CUT.answer().values]


# --- speed for the path ------------------------------------------------------------


@pytest.mark.parametrize(
    ("thickness", "row"), [("3/8 in", "1/2 in"), ("1/2 in", "3/4 in"), ("3/4 in", "1 in"), ("0.91 in", "1 in")],
)
def test_speed_is_that_of_the_path_not_of_the_plate(thickness, row):
    bevel, cutting = BEVEL_CUT.answer(thickness=thickness), CUT_SPEED.answer(thickness=row)
    for name in ("speed_low", "speed_high", "time_least", "time_most"):
        assert bevel[name].amount == cutting[name].amount


# cos 22.5 = 0.92388: the last row, 1 in, ends at a plate of 0.92388 in; the first, 1/4 in, begins at 0.23097 in.
@pytest.mark.parametrize(
    ("thickness", "held"),
    [("0.9238 in", True), ("0.9239 in", False), ("0.231 in", True), ("0.2309 in", False), ("1 in", False)],
)
def test_a_path_outside_the_table_gets_geometry_but_no_speed(thickness, held):
    result = BEVEL_CUT.answer(thickness=thickness)
    assert ("speed_low" in [value.name for value in result.values]) is held
    assert (levels(result, "table-row") == [Level.NOT_KNOWN]) is not held
    assert amount(result, "path") > 0 and amount(result, "drop_mass") > 0
    if not held:
        assert "no row for that path" in phrase_text(result.headline, "us")


def test_a_path_in_a_thicker_row_than_the_plate_is_pointed_out():
    assert "the next thicker one" in phrase_text(BEVEL_CUT.answer(thickness="3/8 in").check("table-row").phrase, "us")
    assert "next thicker" not in phrase_text(BEVEL_CUT.answer(thickness="0.3 in").check("table-row").phrase, "us")


# --- checks and limits ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("angle", "level"),
    # 45° together, +10 -0 as detailed, -5 as fit-up; the narrowest detail is 20°, so 15° as fit-up (D1.1 Fig. 5.1).
    [
        ("7.4 deg", Level.STOP), ("7.5 deg", Level.CAUTION), ("22.4 deg", Level.CAUTION), ("22.5 deg", Level.OK),
        ("27.5 deg", Level.OK),
        ("27.6 deg", Level.STOP),
    ],
)
def test_bevel_is_set_against_the_usual_groove_at_both_limits(angle, level):
    assert levels(
        BEVEL_CUT.answer(bevel_angle=angle), "included-angle", "included-angle-low", "included-angle-high",
    ) == [level]


@pytest.mark.parametrize(("angle", "said"), [("45 deg", False), ("45.1 deg", True)])
def test_a_steep_tilt_is_pointed_out(angle, said):
    assert bool(levels(BEVEL_CUT.answer(bevel_angle=angle), "steep-bevel")) is said


@pytest.mark.parametrize(
    ("margin", "level"), [("0 in", Level.CAUTION), ("0.2499 in", Level.CAUTION), ("1/4 in", Level.OK)],
)
def test_the_margin_is_judged_against_the_start_figure(margin, level):
    assert levels(BEVEL_CUT.answer(drop_margin=margin), "drop-margin") == [level]


@pytest.mark.parametrize(
    ("stand_off", "level"),
    [("0.2499 in", Level.CAUTION), ("1/4 in", Level.OK), ("3/8 in", Level.OK), ("0.3751 in", Level.CAUTION)],
)
def test_the_stand_off_has_two_sides(stand_off, level):
    found = [check.level for check in BEVEL_CUT.answer(stand_off=stand_off).checks if check.id.startswith("stand-off")]
    assert found == [level]


@pytest.mark.parametrize(
    ("kerf", "judged"),
    [("0 in", True), ("0.0299 in", True), ("0.030 in", False), ("1/8 in", False), ("0.1251 in", True)],
)
def test_no_jet_leaves_such_a_kerf(kerf, judged):
    """Orifices of the cutting table, from memory: 0.030 in at least; twice the largest, 0.060 in, is about 1/8 in."""
    for calculator in (BEVEL_CUT, GROOVE, CUT_OXYGEN):
        if calculator is not CUT_OXYGEN or kerf != "0 in":
            assert levels(calculator.answer(kerf=kerf), "kerf") == ([Level.CAUTION] if judged else [])


def test_a_root_face_up_to_the_plate_is_taken_and_more_is_refused_with_the_limit():
    assert amount(BEVEL_CUT.answer(root_face="3/8 in"), "sloped_face") == 0
    with pytest.raises(InputError) as refused:
        BEVEL_CUT.answer(root_face="0.376 in")
    assert refused.value.field == "root_face"
    assert "write at most 3/8 in (9.525 mm)" in refused.value.message.replace("\xa0", " ")


@pytest.mark.parametrize(
    ("field", "text", "limit"),
    [("bevel_angle", "60.1 deg", "0° to 60°"), ("thickness", "3.01 in", "3 in"), ("stand_off", "1/32 in", "1/16 in")],
)
def test_figures_outside_the_range_are_refused_with_the_limit(field, text, limit):
    with pytest.raises(InputError) as refused:
        BEVEL_CUT.answer({field: text})
    assert refused.value.field == field and limit in refused.value.message


def test_shares_are_exact_where_no_angle_comes_in():
    assert BEVEL_CUT.answer()["included_angle"].amount == Fraction(45)


@pytest.mark.parametrize("plate", ["1/4 in", "3/8 in", "1/2 in", "3/4 in", "1 in"])
def test_an_upright_torch_takes_the_row_of_the_plate_itself(plate):
    """At 0° the path is the plate, to the last bit: no rounding may push it into the next row."""
    answer = BEVEL_CUT.answer(thickness=plate, bevel_angle="0 deg")
    assert answer["path"].amount == parse(plate, LENGTH)
    assert answer["row_plate"].amount == parse(plate, LENGTH)
