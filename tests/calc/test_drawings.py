"""Every drawing of every calculator: measured back from its SVG by shapely it shows the numbers of its answer."""

from __future__ import annotations

import datetime
import json
import math
import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

from calc import web
from calc.catalogue import CALCULATORS, calculator
from calc.core.declare import InputError, Quantity
from calc.core.units import LENGTH, SYSTEMS, parse
from calc.show import scales
from calc.show.drawing import LETTER, LIST, TEXT_SIZE, Drawing, drawing_svg
from calc.show.sliders import places, texts
from tests.calc.test_every_calculator import inputs_of

SVG = "{http://www.w3.org/2000/svg}"
DRAWN = [calc for calc in CALCULATORS if any(isinstance(each, Drawing) for each in calc.answer().drawings)]
EACH = pytest.mark.parametrize("calc", DRAWN, ids=lambda calc: calc.id)
FEW = settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
EXPECTED = {
    "groove", "passes", "bevel-cut", "cut-speed", "fit-up", "preset", "clean-band", "coupon-layout", "bend-ratio",
    "spring-back", "bend-judge", "visual-check", "current", "lens-shade", "hot-work", "ventilation", "test-plan",
    "duty-cycle", "rod-exposure", "continuity",
}


@dataclass
class Sheet:
    """A drawing read back: its shapes in metres, by the names they carry."""

    root: ET.Element
    result: object

    def __post_init__(self) -> None:
        self.scale = float(self.root.get("data-scale", "nan"))
        self.stretch = int(self.root.get("data-stretch", "1"))

    def points(self, part: str) -> list[tuple[float, float]]:
        found = self.root.find(f".//*[@data-part='{part}']")
        assert found is not None, f"{part} is not drawn"
        return [
            (float(x) / self.scale, -float(y) / self.scale)
            for x, y in (pair.split(",") for pair in found.get("points").split())
        ]

    def area(self, part: str) -> Polygon:
        return Polygon(self.points(part))

    def line(self, part: str) -> LineString:
        found = self.root.find(f".//{SVG}line[@data-part='{part}']")
        if found is None:
            return LineString(self.points(part))
        return LineString(
            [(float(found.get(f"x{end}")) / self.scale, float(found.get(f"y{end}")) / self.scale) for end in "12"]
        )

    def parts(self, start: str) -> list[str]:
        names = dict.fromkeys(each.get("data-part", "") for each in self.root.iter())
        return [name for name in names if re.fullmatch(rf"{start}\d+", name)]

    def at(self, part: str) -> list[float]:
        """Where a bar or a mark stands on its scale, in base units: its lowest and highest."""
        axis = self.root.find(f".//{SVG}g[@data-low]")
        low, high, start, end = (float(axis.get(f"data-{name}")) for name in ("low", "high", "from", "to"))
        xs = [float(pair.split(",")[0]) for pair in self.root.find(f".//*[@data-part='{part}']").get("points").split()]
        return [low + (x - start) / (end - start) * (high - low) for x in (min(xs), max(xs))]

    def value(self, name: str) -> float:
        return float(self.result[name].amount)


def draw(calc_id: str, name: str = "", **given: str) -> Sheet:
    result = calculator(calc_id).answer(given)
    drawing = next(each for each in result.drawings if not name or each.name == name)
    return Sheet(ET.fromstring(drawing_svg(drawing, alone=True)), result)


def near(value: float):
    """To a hundredth of a millimeter on the drawing's own numbers: the SVG is written to a thousandth of a sheet
    unit.
    """
    return pytest.approx(value, rel=2e-4, abs=2e-5)


def inch(number: float) -> float:
    return number * 0.0254


# --- what must hold for every drawing ---------------------------------------------


def test_every_calculator_whose_answer_has_a_shape_is_drawn():
    assert {calc.id for calc in DRAWN} >= EXPECTED


def check_sheet(drawing: Drawing) -> None:
    """Well formed, named, finite, and every label inside the sheet."""
    root = ET.fromstring(drawing_svg(drawing, alone=True))
    left, top, wide, high = map(float, root.get("viewBox").split())
    assert root.find(f"{SVG}title").text and root.find(f"{SVG}desc").text
    assert high < 1200, "taller than three screens"
    for pair in " ".join(each.get("points", "") for each in root.iter()).split():
        x, y = map(float, pair.split(","))
        assert left - 5 <= x <= wide + 5 and top - 5 <= y <= top + high + 5, f"{drawing.name} runs off its sheet"
    for text in root.iter(f"{SVG}text"):
        words = len("".join(text.itertext())) * LETTER
        start = float(text.get("x")) - {"start": 0, "middle": words / 2, "end": words}[text.get("text-anchor")]
        assert start >= left - 1 and start + words <= wide + 1, "".join(text.itertext())
        assert top - 0.2 <= float(text.get("y")) - TEXT_SIZE * 0.8 and float(text.get("y")) <= top + high + 0.2
    assert not re.search(r'"[^"]*\b(nan|inf)\b', ET.tostring(root, "unicode"))


def shown_in(root: ET.Element, system: str) -> list[tuple[str, float, float, float, float]]:
    """The words that a page shows in one system, each with the room it takes by the layer's own measure of a letter."""
    other = {"us": "si", "si": "us"}[system]
    found = []

    def visit(element: ET.Element) -> None:
        looks = (element.get("class") or "").split()
        if other in looks or {"grip", "sep"} & set(looks):
            return
        if element.tag == f"{SVG}text":
            words = "".join(element.itertext()) if not len(element) else "".join(
                [element.text or "", *(
                    (part.text or "") * (part.get("class") not in (other, "sep")) + (part.tail or "")
                    for part in element
                )]
            )
            wide = len(words) * LETTER
            start = float(element.get("x")) - {"start": 0, "middle": wide / 2, "end": wide}[element.get("text-anchor")]
            foot = float(element.get("y"))
            found.append((words, start, foot - TEXT_SIZE * 0.75, start + wide, foot))
        for child in element:
            visit(child)

    visit(root)
    return found


@EACH
@pytest.mark.parametrize("system", ["us", "si"])
def test_no_words_of_a_drawing_cover_others(calc, system):
    for drawing in calc.answer().drawings:
        if not isinstance(drawing, Drawing):
            continue
        found = shown_in(ET.fromstring(drawing_svg(drawing, alone=True)), system)
        for number, (words, *a) in enumerate(found):
            for other, *b in found[number + 1:]:
                across = min(a[2], b[2]) - max(a[0], b[0])
                down = min(a[3], b[3]) - max(a[1], b[1])
                assert across <= 0.5 or down <= 0.5, f"{drawing.name}: {words!r} and {other!r} overlap"


@EACH
def test_the_words_of_a_drawing_are_large_enough_in_the_room_that_a_phone_gives_it(calc):
    for drawing in calc.answer().drawings:
        if isinstance(drawing, Drawing) and drawing.tallest < LIST:
            root = ET.fromstring(drawing_svg(drawing, alone=True))
            assert float(root.get("viewBox").split()[3]) <= 280, f"{drawing.name}: words under 12 px in 240 px"


@EACH
def test_drawings_hold_together_for_any_input(calc):
    for drawing in calc.answer().drawings:
        if isinstance(drawing, Drawing):
            check_sheet(drawing)

    @given(inputs_of(calc))
    @FEW
    def check(given_texts):
        try:
            result = calc.answer(given_texts)
        except InputError:
            return
        for drawing in result.drawings:
            if isinstance(drawing, Drawing):
                check_sheet(drawing)

    check()


@EACH
def test_descriptions_state_numbers_and_names_are_unique(calc):
    drawings = [each for each in calc.answer().drawings if isinstance(each, Drawing)]
    assert len({each.name for each in drawings}) == len(drawings)
    for drawing in drawings:
        told = ET.fromstring(drawing_svg(drawing, alone=True)).find(f"{SVG}desc").text
        assert re.search(r"\d", told) and "{" not in told and "Amount" not in told


# --- the joint -----------------------------------------------------------------------


@given(
    st.integers(2, 24), st.integers(0, 90), st.integers(0, 8), st.integers(0, 8), st.integers(0, 4), st.integers(2, 12),
    st.integers(1, 9),
)
@settings(max_examples=25, deadline=None)
def test_the_passes_fill_groove_and_cap_by_area(t, angle, opening, face, cap, bead, layer):
    """Shapely adds the beads up: together the weld's cross-section, alike one by one, and none over another."""
    given_texts = dict(
        thickness=f"{t}/16 in", bevel_angle=f"{angle / 2} deg", root_opening=f"{opening}/16 in",
        root_face=f"{min(face, t)}/16 in", cap_height=f"{cap}/32 in", bead_area=f"{bead / 100} in2",
        layer_thickness=f"{layer}/32 in",
    )
    try:
        sheet = draw("passes", **given_texts)
    except InputError:
        return
    beads = [sheet.area(part) for part in sheet.parts("bead-") or sheet.parts("layer-")]
    total = sheet.value("weld_area")
    # The cap is a curve, drawn with straight sides: a little under its area.
    assert sum(bead.area for bead in beads) == pytest.approx(total, rel=0.012)
    assert unary_union([bead.buffer(0) for bead in beads]).area == pytest.approx(total, rel=0.012)
    if sheet.parts("bead-"):
        assert len(beads) == sheet.value("passes")
        assert [bead.area for bead in beads] == pytest.approx([total / len(beads)] * len(beads), rel=0.04)


def test_the_passes_are_numbered_in_order_from_the_root_up():
    sheet = draw("passes", thickness="3/4 in")
    heights = [sheet.area(part).centroid.y for part in sheet.parts("bead-")]
    assert heights[0] == min(heights) and heights[-1] > heights[0]
    numbers = [int(text.text) for text in sheet.root.iter(f"{SVG}text") if (text.text or "").isdigit()]
    assert sorted(numbers) == list(range(1, int(sheet.value("passes")) + 1))


def test_too_many_passes_are_drawn_as_their_layers():
    sheet = draw("passes", thickness="3 in", layer_thickness="1/16 in")
    assert not sheet.parts("bead-") and len(sheet.parts("layer-")) == sheet.value("layers") == 48


def test_a_groove_without_cap_is_filled_to_the_last_square_of_area():
    """No curve, so no allowance: the beads add up to the groove area exactly."""
    sheet = draw("passes", cap_height="0 in")
    assert sum(
        sheet.area(part).area for part in sheet.parts("bead-")
    ) == pytest.approx(sheet.value("groove_area"), rel=3e-4)


def test_the_groove_section_is_the_groove():
    sheet = draw("groove", root_face="1/16 in", bevel_angle="30 deg", cap_height="0 in")
    left, right, weld = (sheet.area(part) for part in ("left", "right", "weld"))
    assert weld.area == near(sheet.value("weld_area"))
    assert right.bounds[0] - left.bounds[2] == near(inch(1 / 4)), "the root opening"
    assert sheet.line("face").length == near(sheet.value("face_width"))
    assert weld.intersection(left).area < 1e-9


def test_the_bevel_cut_is_the_cut():
    sheet = draw("bevel-cut", thickness="1/2 in", bevel_angle="30 deg", drop_margin="3/8 in", kerf="3/32 in")
    kerf, drop, kept = (sheet.area(part) for part in ("kerf", "drop", "kept"))
    assert drop.area == near(sheet.value("drop_area"))
    assert kerf.area == near(sheet.value("surface_kerf") * inch(0.5)), "a slanting slot as wide on top as it shows"
    assert kerf.intersection(drop).area < 1e-9 and kerf.intersection(kept).area < 1e-9
    assert sheet.line("path").length == near(sheet.value("path"))
    (x0, y0), _, (x1, y1) = sheet.points("jet")
    assert abs(
        sheet.points("jet")[0][0] - sheet.points("jet")[1][0]
    ) / abs(y0 - sheet.points("jet")[1][1]) == near(math.tan(math.radians(30)))
    assert sheet.line("line").length == near(sheet.value("line_from_edge"))
    assert sheet.line("margin").length == near(inch(3 / 8))
    assert x1 > x0 and y1 < y0, "the jet leans away from the plate that is kept"


def test_a_long_drop_is_broken_and_says_so():
    sheet = draw("bevel-cut", drop_margin="6 in")
    assert sheet.root.get("data-broken") is not None and "left out" in "".join(sheet.root.itertext())


def test_the_fit_up_shows_each_opening_by_its_factor():
    sheet = draw("fit-up", "fit-plan")
    assert sheet.stretch > 1
    for part, opening in zip(sheet.parts("reading-"), (1 / 4, 9 / 32, 5 / 16), strict=True):
        assert sheet.line(part).length / sheet.stretch == near(inch(opening))
    low, high = (sheet.line(part).centroid.y for part in ("lowest", "highest"))
    assert (high - low) / sheet.stretch == near(inch(1 / 16)), "as detailed: nothing under, 1/16 in over"
    assert sheet.line("length").length == near(inch(7))


def test_the_mismatch_lifts_one_plate_by_itself():
    sheet = draw("fit-up", "fit-section", mismatch="1/8 in", backing_gap="1/16 in")
    assert sheet.area("high-plate").bounds[1] - sheet.area("low-plate").bounds[1] == near(inch(1 / 8))
    assert sheet.area("low-plate").bounds[1] - sheet.area("backing").bounds[3] == near(inch(1 / 16))
    assert sheet.line("opening").length == near(inch(1 / 4))


@pytest.mark.parametrize("tilt", ["both", "one"])
def test_the_preset_rises_by_the_shim_times_its_factor(tilt):
    sheet = draw("preset", "preset", tilt=tilt)
    assert sheet.line("shim").length / sheet.stretch == near(sheet.value("shim_high"))
    _, low, _, high = unary_union([sheet.area("left"), sheet.area("right")]).bounds
    thick = sheet.area("left").area / inch(3)
    assert (high - low - thick) / sheet.stretch == near(sheet.value("shim_high"))


def test_the_shrinkage_draws_both_outer_edges_in_by_half():
    sheet = draw("preset", "shrinkage")
    after, before = sheet.area("after").bounds, sheet.line("before").bounds
    assert before[2] - before[0] == near(inch(6))
    assert ((before[2] - before[0]) - (after[2] - after[0])) / sheet.stretch == near(sheet.value("shrink_high"))


def test_the_clean_band_is_as_wide_as_its_answer():
    sheet = draw("clean-band")
    left, right = sheet.area("band-left").bounds, sheet.area("band-right").bounds
    assert left[2] - left[0] == near(sheet.value("band"))
    assert right[2] - left[0] == near(sheet.value("bright_width"))
    assert sheet.line("bright-0").length == near(sheet.value("band") + sheet.value("sloped_face"))
    assert "bright-backing" not in drawing_svg(calculator("clean-band").answer(surfaces="plates").drawings[0])


def test_the_face_shows_cap_undercut_and_limits_by_one_factor():
    sheet = draw(
        "visual-check", reinforcement="3/32 in", undercut_depth="1/64 in", mismatch="1/16 in", thickness="3/8 in",
    )
    assert sheet.line("undercut").length / sheet.stretch == near(inch(1 / 64))
    assert sheet.line("cap").length / sheet.stretch == near(inch(3 / 32))
    assert sheet.line("mismatch").length / sheet.stretch == near(inch(1 / 16))
    level = sheet.line("cap-limit").centroid.y - sheet.area("weld").bounds[1]
    assert level > 0


@pytest.mark.parametrize("surfaces", ["top", "plates", "all"])
@pytest.mark.parametrize("wide", ["1 in", "12 in"])
def test_the_plates_to_clean_reach_past_the_backing(wide, surfaces):
    sheet = draw("clean-band", backing_width=wide, surfaces=surfaces)

    def across(look: str) -> list[float]:
        found = (each.get("points") for each in sheet.root.iter(f"{SVG}polygon") if each.get("class") == f"area {look}")
        return [float(pair.split(",")[0]) for points in found for pair in points.split()]

    assert min(across("plate")) < min(across("backing")) and max(across("backing")) < max(across("plate"))


# --- coupons and the bend --------------------------------------------------------------


@pytest.mark.parametrize(
    "given_texts", [{}, {"thickness": "1 in", "number": "3"}, {"gap": "1/2 in", "plate_length": "9 in"}],
)
def test_the_coupons_lie_where_the_marks_are(given_texts):
    sheet = draw("coupon-layout", **given_texts)
    plate = sheet.area("plate").bounds
    assert plate[2] - plate[0] == near(float(parse(given_texts.get("plate_length", "7 in"), LENGTH)))
    cut = [sheet.area(part) for part in sheet.parts("coupon-")]
    for number, coupon in enumerate(cut, 1):
        assert coupon.bounds[0] - plate[0] == near(sheet.value(f"start_{number}"))
        assert coupon.bounds[2] - plate[0] == near(sheet.value(f"end_{number}"))
        assert all(
            coupon.intersection(other).area < 1e-9 for other in cut if other is not coupon
        ), "two coupons from one piece"
    assert all(coupon.intersection(sheet.area("discard-start")).area < 1e-9 for coupon in cut)


def test_a_plate_as_long_as_its_layout_lacks_nothing():
    short, fits = (draw("coupon-layout", plate_length=text) for text in ("5-9/16 in", "5-5/8 in"))
    assert fits.value("needed") == near(inch(5.625)) and fits.area("discard-end").area == near(inch(1) * inch(6))
    assert ["plate ends here" in "".join(sheet.root.itertext()) for sheet in (short, fits)] == [True, False]
    bare = draw("coupon-layout", discard="0 in", plate_length="3-5/8 in")
    assert bare.value("needed") == near(inch(3.625)) and bare.root.find(".//*[@data-part='discard-end']") is None


def test_the_stretched_and_pressed_halves_show_the_elongation():
    """By Pappus: half a ring holds its arc at mid-depth times its depth; outer over middle arc less one is the
    elongation.
    """
    sheet = draw("bend-ratio", "bent")
    t, plunger = inch(3 / 8), inch(1.5)
    outside, inside = sheet.area("stretched"), sheet.area("pressed")
    assert outside.area == pytest.approx(math.pi * (plunger / 2 + 0.75 * t) * t / 2, rel=2e-3)
    assert inside.area == pytest.approx(math.pi * (plunger / 2 + 0.25 * t) * t / 2, rel=2e-3)
    width = outside.bounds[2] - outside.bounds[0]
    middle = sheet.line("neutral").bounds[2] - sheet.line("neutral").bounds[0]
    assert 100 * (width / middle - 1) == pytest.approx(sheet.value("elongation"), rel=1e-3)


def test_the_jig_opens_as_wide_as_its_answer_and_the_plunger_fits():
    sheet = draw("bend-ratio", "jig")
    assert sheet.line("opening").length == near(sheet.value("die_opening"))
    assert sheet.line("plunger").length == near(inch(1.5))
    assert sheet.area("plunger").bounds[1] == near(
        sheet.area("specimen").bounds[3]
    ), "the plunger rests on the specimen"


def test_the_coupon_springs_open_by_its_angle():
    sheet = draw("spring-back", angle="90 deg", coupon_length="9 in", plunger_diameter="3 in", yield_strength="90 ksi")
    line = sheet.points("free-middle")
    (x0, y0), (x1, y1) = line[-2:]
    assert 2 * math.degrees(math.atan2(y1 - y0, x1 - x0)) == pytest.approx(sheet.value("angle_free"), abs=0.1)
    assert line[-1][0] - line[0][0] == near(sheet.value("tips_free"))
    assert sheet.area("free").area == pytest.approx(
        inch(9) * inch(3 / 8), rel=0.01,
    ), "the coupon keeps its length and thickness"


def test_openings_are_drawn_to_scale_beside_their_limit():
    sheet = draw("bend-judge")
    for number, (size, limit) in enumerate(((1 / 16, 1 / 8), (3 / 32, 1 / 8), (3 / 16, 1 / 4)), 1):
        left, _, right, _ = sheet.area(f"opening-{number}").bounds
        assert right - left == near(inch(size))
        assert sheet.line(f"limit-{number}").length == near(inch(limit)), "a clean corner crack goes by its own limit"


# --- scales and plans ---------------------------------------------------------------------


def test_bars_and_marks_stand_at_their_values():
    window = draw("current")
    assert window.at("window") == pytest.approx([115, 165], abs=0.05)
    assert sum(window.at("set")) / 2 == pytest.approx(120, abs=0.05) and sum(
        window.at("thumb")
    ) / 2 == pytest.approx(125, abs=0.05)
    speed = draw("cut-speed", mark_distance="5 in", mark_time="25 s")
    assert speed.at("band") == pytest.approx([speed.value("speed_low"), speed.value("speed_high")], rel=1e-3)
    assert sum(speed.at("you")) / 2 == pytest.approx(inch(12) / 60, rel=1e-3)
    shades = draw("lens-shade", lens="9")
    assert sum(
        shades.at("lens")
    ) / 2 == pytest.approx(9, abs=0.01) and shades.at("allowed")[0] == pytest.approx(8, abs=0.01)
    duty = draw("duty-cycle")
    assert duty.at("weld") == pytest.approx(
        [0, duty.value("minutes_on")], abs=1,
    ) and duty.at("pause")[1] == pytest.approx(600, abs=1)
    rods = draw("rod-exposure")
    assert rods.at("out") == pytest.approx(
        [0, 2.5 * 3600], abs=20,
    ) and rods.at("limit")[1] == pytest.approx(4 * 3600, abs=20)
    plan = draw("test-plan")
    assert plan.at("covered") == pytest.approx([inch(1 / 8), inch(3 / 4)], abs=2e-5)
    assert sum(plan.at("work")) / 2 == pytest.approx(inch(1 / 2), abs=2e-5)


def test_the_time_line_runs_to_the_last_day_in_time():
    """2025-08-31 and six months is 2026-02-28, 181 days by the calendar of Python's datetime."""
    sheet = draw("continuity")
    assert sheet.at("use-1") == pytest.approx([0, 181], abs=0.2)


@pytest.mark.parametrize("begin", range(1, 13))
def test_the_months_of_a_time_line_stand_on_their_first_days(begin):
    for months in (0, 3, 8, 11, 12, 30, 100, 500, 1920, 2500):
        first, number = datetime.date(1990, begin, 9), 1990 * 12 + begin - 1 + months
        marks = scales._months(first, datetime.date(number // 12, number % 12 + 1, 28))
        assert len(marks) <= 5
        for days, text in marks:
            assert first + datetime.timedelta(days=days) == datetime.date.fromisoformat(f"{text}-01")


@pytest.mark.parametrize(
    "calc, given_texts, words",
    [
        ("current", {"amps": "115 A"}, "inside the window"), ("current", {"amps": "165 A"}, "inside the window"),
        ("cut-speed", {"mark_distance": "5 in", "mark_time": "20 s"}, "inside the band"),
        ("cut-speed", {"mark_distance": "4 in", "mark_time": "10 s"}, "inside the band"),
        ("test-plan", {"work_thickness": "1/8 in"}, ": covered"),
        ("test-plan", {"work_thickness": "3/4 in"}, ": covered"),
    ],
)
def test_the_end_of_a_range_is_inside_it(calc, given_texts, words):
    assert words in "".join(draw(calc, **given_texts).root.itertext())


@pytest.mark.parametrize("away, broken", [("56 ft", False), ("56.1 ft", True)])
def test_a_plan_is_broken_only_where_a_piece_is_left_out(away, broken):
    sheet = draw("hot-work", combustibles=away)
    assert (sheet.root.get("data-broken") is not None) == broken
    true = sheet.area("burns").bounds[0] - sheet.line("work").centroid.x == near(float(parse(away, LENGTH)))
    assert true != broken


@pytest.mark.parametrize(
    "away, side",
    [("20 ft", "inside the circle"), ("35 ft", "not inside the circle"), ("300 ft", "not inside the circle")],
)
def test_what_burns_lies_at_its_distance_from_the_work(away, side):
    sheet = draw("hot-work", combustibles=away)
    radius = float(sheet.root.find(f".//{SVG}circle[@data-part='clear']").get("r")) / sheet.scale
    assert radius == near(inch(12 * 35))
    assert side in "".join(sheet.root.itertext())
    if sheet.root.get("data-broken") is None:
        work = sheet.line("work").centroid.x
        assert sheet.area("burns").bounds[0] - work == near(float(parse(away, LENGTH)))


# --- sliders --------------------------------------------------------------------------------


def test_sliders_write_only_what_their_field_reads():
    """Every stop is read back, in its system, as a value inside the range of the field, in rising order."""
    count = 0
    for calc in CALCULATORS:
        for each in calc.inputs:
            if not isinstance(each, Quantity) or each.slide is None:
                continue
            count += 1
            for system in SYSTEMS:
                written = texts(each.slide, each.kind, system)
                read = [each.read(text, system) for text in written]
                assert read == sorted(set(read)) and 2 <= len(read) <= 200, f"{calc.id} {each.name}"
                assert [
                    places(calc, {each.name: text}, system)[each.name] for text in written[:: 7]
                ] == list(range(0, len(written), 7))
    assert count >= 30


@EACH
def test_the_quick_answer_is_the_whole_answer_without_folds_and_plots(calc):
    """Asked one after the other, as the page does, and the whole answer on its own."""
    asked = {"calculator": calc.id, "inputs": calc.defaults, "place": "here"}
    alone, quick, after = (
        json.loads(web.respond(json.dumps({"do": do, **asked}))) for do in ("answer", "quick", "answer")
    )
    assert alone == after
    assert quick["headline"] == alone["headline"] and quick["spoken"] == alone["spoken"]
    assert list(quick["pieces"]) == [
        name for name in alone["pieces"] if name not in {"quiet", "others", "steps", "sources"}
        and "drawing plot" not in alone["pieces"][name]
    ]
    assert all(alone["pieces"][name] == piece for name, piece in quick["pieces"].items())


def test_a_slider_on_a_bad_number_gets_the_error_and_no_drawing():
    told = json.loads(
        web.respond(json.dumps({"do": "quick", "calculator": "groove", "inputs": {"bevel_angle": "90 deg"}}))
    )
    assert "bevel_angle" in told["errors"] and "pieces" not in told
