"""The drawings of a record measured in metres, and small promises of its files and its command line."""

from __future__ import annotations

import datetime
import json
import re
from dataclasses import replace
from fractions import Fraction

import pytest

from calc.core.declare import phrase_text
from calc.core.units import LENGTH, parse
from calc.classroom.cli import judge_command
from calc.record.demo import LOG, PLATE
from calc.record.files import read_record, write_record
from calc.record.judge import judge
from calc.record.shape import RecordError
from calc.record.sheet import findings_drawing, layout_drawing, sheet_html
from calc.show.drawing import Note, Path, Polygon
from calc.stages.groove import GROOVE
from calc.web import respond

INCH = 0.0254


def day(rows=None, **values):
    """The demonstration with other values; a blank one goes."""
    kept = {key: text for key, text in {**PLATE.values, **values}.items() if text}
    return judge(replace(PLATE, values=kept, rows={**PLATE.rows, **(rows or {})}))


def polygons(drawing, look: str) -> list[tuple[float, ...]]:
    """Left, bottom, right and top of each rectangle of a look, in inches to a millionth."""
    found = [shape.points for shape in drawing.shapes if isinstance(shape, Polygon) and shape.look == look]
    return [tuple(near(float(each) / INCH) for each in (*points[0], *points[2])) for points in found]


def near(number: float) -> float:
    return round(number, 6)


def face_width(**inputs: str) -> float:
    """Of the demonstration's groove, by its own calculator, in."""
    answer = GROOVE.answer(
        {
            "thickness": "3/8 in", "bevel_angle": "22.5 deg", "root_opening": "1/4 in", "finished_width": "48 in",
            **inputs,
        }
    )
    return float(answer["face_width"].amount) / INCH


def words_of(drawing) -> list[str]:
    return [
        "".join(part if isinstance(part, str) else part.text("us") for part in shape.label) for shape in drawing.shapes
        if isinstance(shape, Note)
    ]


# --- where the coupons lie ---------------------------------------------------------------------------


def test_the_layout_shows_plate_coupons_and_weld_where_they_are():
    """7 x 6 in; two coupons as long as the plate is wide, where the layout puts them; the weld as wide as the
    groove's face, halved by the middle of the plate.
    """
    judgement = day()
    drawing, values = layout_drawing(judgement), {value.name: value for value in judgement.layout.values}
    assert polygons(drawing, "plain") == [(0, 0, 7, 6)]
    ends = [[float(values[f"{end}_{number}"].amount) / INCH for end in ("start", "end")] for number in (1, 2)]
    assert polygons(drawing, "plate") == [(near(start), 0, near(end), 6) for start, end in ends]
    half = face_width() / 2
    assert polygons(drawing, "weld") == [(0, near(3 - half), 7, near(3 + half))]
    starts = [shape for shape in drawing.shapes if isinstance(shape, Note) and shape.at[1] == 0]
    assert [shape.at[0] / INCH for shape in starts] == pytest.approx([start for start, _ in ends])
    assert [shape.up for shape in starts] == [-16, -31], "on two lines by turns, so that they keep off each other"


def test_coupons_shorter_than_the_plate_is_wide_lie_in_its_middle():
    for long, ends in (("4 in", (1, 5)), ("6 in", (0, 6)), ("7 in", (0, 6)), ("", (0, 6))):
        boxes = polygons(layout_drawing(day(coupon_length=long)), "plate")
        assert len(boxes) == 2 and {(bottom, top) for _, bottom, _, top in boxes} == {ends}


@pytest.mark.parametrize("blank", ["bevel_angle", "required", "thickness"])
def test_without_the_groove_a_line_stands_for_the_weld(blank):
    """Its width is not known then, so none is drawn."""
    judgement = day(**{blank: ""})
    drawing, faces = layout_drawing(judgement), findings_drawing(judgement)
    assert not polygons(faces, "weld")
    if drawing is not None:
        (line,) = [shape for shape in drawing.shapes if isinstance(shape, Path) and shape.look == "center"]
        assert line.points == (
            (0, pytest.approx(3 * INCH)), (pytest.approx(7 * INCH), pytest.approx(3 * INCH)),
        ) and not polygons(drawing, "weld")


def test_a_weld_never_covers_more_than_half_of_what_it_is_drawn_on():
    """A groove of 3 in plate is wider than a plate of 6 in and than a coupon of 6 in."""
    assert face_width(thickness="3 in", bevel_angle="45 deg") > 6
    sides = {"coupons": (("side", "3/8 in", "", "yes", ""),) * 2}
    judgement = day(
        sides, thickness="3 in", bevel_angle="45 deg", plate_width="6 in", coupon_length="6 in", plate_length="60 in",
    )
    assert polygons(layout_drawing(judgement), "weld") == [(0, 1.5, 60, 4.5)]
    assert {(left, right) for left, _, right, _ in polygons(findings_drawing(judgement), "weld")} == {(1.5, 4.5)}


def test_a_coupon_that_ends_where_the_plate_ends_is_drawn():
    last = max(Fraction(value.amount) for value in day().layout.values if re.fullmatch(r"end_\d+", value.name))
    for short, drawn in ((Fraction(0), 2), (Fraction(1, 1000), 1)):
        length = float((last - short) / Fraction("0.0254"))
        assert len(polygons(layout_drawing(day(plate_length=f"{length:.4f} in", discard="1 in")), "plate")) == drawn


def test_no_layout_without_the_sizes_of_the_plate_and_none_of_a_log():
    for blank in ("plate_width", "plate_length"):
        assert layout_drawing(day(**{blank: ""})) is None and day(**{blank: ""}).line("test")
    log = judge(LOG, datetime.date(2026, 3, 10))
    assert layout_drawing(log) is None and findings_drawing(log) is None


# --- the openings ------------------------------------------------------------------------------------


def test_every_opening_lies_on_its_coupon_at_its_place_and_to_its_size():
    """Coupons of 1-1/2 and 2 in, one under the other; faces 6 in long.

    A corner crack runs in from the edge, another lies along the face; one without a place lies in the middle, one noted
    past the end at the end.
    """
    rows = {
        "coupons": (("face", "3/8 in", "1-1/2 in", "yes", ""), ("root", "3/8 in", "2 in", "no", "")),
        "findings": (
            ("1", "1/16 in", "face", "yes", "2 in"), ("2", "1/4 in", "corner", "no", "5 in"),
            ("2", "1/8 in", "face", "no", ""), ("1", "1/8 in", "face", "no", "9 in"),
            ("3", "1/8 in", "face", "no", "1 in"), ("1", "", "face", "no", "1 in"),
        ),
    }
    drawing = findings_drawing(day(rows))
    gap = 0.016 / INCH
    assert polygons(drawing, "plain") == [(0, -1.5, 6, 0), (0, near(-3.5 - gap), 6, near(-1.5 - gap))]
    half = face_width() / 2
    assert polygons(drawing, "weld") == [
        (near(3 - half), bottom, near(3 + half), top) for _, bottom, _, top in polygons(drawing, "plain")
    ]
    cuts = [
        [(x / INCH, y / INCH) for x, y in shape.points] for shape in drawing.shapes if isinstance(shape, Path)
        and shape.look == "cut"
    ]
    first, corner, middle, late = cuts
    assert first == [pytest.approx((2 - 1 / 32, first[0][1])), pytest.approx((2 + 1 / 32, first[0][1]))]
    assert corner == [pytest.approx((5, -1.5 - gap)), pytest.approx((5, -1.5 - gap - 1 / 4))]
    assert [x for x, _ in middle] == pytest.approx([3 - 1 / 16, 3 + 1 / 16]) and -3.5 - gap < middle[0][1] < -1.5 - gap
    assert [x for x, _ in late] == pytest.approx([6 - 1 / 16, 6 + 1 / 16]) and -1.5 < late[0][1] < 0
    assert words_of(drawing)[:2] == ["Specimen 1, face bend", "Specimen 2, root bend, not bent yet"]
    told = words_of(drawing)[2:]
    assert [each.split(":")[0] for each in told] == ["1", "2", "3", "4"]
    assert [", slag or fusion" in each for each in told] == [True, False, False, False]
    assert [", place not noted" in each for each in told] == [False, False, True, False]
    said = "".join(
        part if isinstance(part, str) else part.text("us") for part in drawing.description
    ).replace("\u00a0", " ")
    assert said == (
        "The convex surfaces of 2 specimens, laid flat, with 4 open discontinuities. Open discontinuity 1 on specimen "
        "1, 1/16 in, away from the corners. Open discontinuity 2 on specimen 2, 1/4 in, at a corner. Open "
        "discontinuity 3 on specimen 2, 1/8 in, away from the corners. Open discontinuity 4 on specimen 1, 1/8 in, "
        "away from the corners. "
    )


def test_an_opening_whose_coupon_nobody_wrote_is_on_none():
    drawing = findings_drawing(
        day({"findings": (("", "1/16 in", "face", "no", "2 in"), ("2", "1/8 in", "face", "no", "3 in"))})
    )
    assert "with 1 open discontinuity. Open discontinuity 1 on specimen 2" in phrase_text(drawing.description, "us")


def test_sizes_that_nobody_wrote_are_drawn_as_six_by_one_and_a_half_inches():
    drawing = findings_drawing(day({"coupons": (("no such", "", "", "", ""),), "findings": ()}, coupon_length=""))
    assert polygons(drawing, "plain") == [(0, -1.5, 6, 0)] and words_of(drawing) == [
        "Specimen 1, unnamed bend, not bent yet",
    ]


# --- the verdict's sources ---------------------------------------------------------------------------


def test_the_verdict_of_the_test_rests_on_what_decides_it():
    whole = day()
    assert whole.line("test").source == whole.line("bends").source
    broken = day({"findings": (("1", "1/4 in", "face", "no", "3 in"),)}, cracks="yes")
    assert broken.line("test").source == broken.line("visual").source != broken.line("bends").source


@pytest.mark.parametrize(
    "bare, text, shown",
    [("si", "10", "10 mm ("), ("us", "0.5", "1/2 in ("), ("us", "10 mm", "10 mm ("), ("si", "1/2 in", "1/2 in (")],
)
def test_the_sheet_shows_a_figure_first_as_it_was_written(bare, text, shown):
    """A bare number in the system of the record, any other by its unit; the other system in brackets."""
    html = sheet_html(judge(replace(PLATE, bare=bare, values={"thickness": text}, rows={})))
    (told,) = re.findall('<span class="sheet-value">([^<]*)<span class="sheet-si">', html)
    assert f"{told}(".replace("\u00a0", " ") == shown


# --- files and the command line ------------------------------------------------------------------------


def test_the_part_that_stands_twice_is_the_one_told():
    with pytest.raises(RecordError, match="the part “welder” stands twice"):
        read_record('{"format": "x", "welder": 1, "id": "y", "welder": 2}')
    long = "n" * 80
    with pytest.raises(RecordError, match=f"the part “{'n' * 60}” stands twice"):
        read_record(f'{{"{long}": 1, "{long}": 2}}')


@pytest.mark.parametrize(
    "records, name",
    [((PLATE,), "fennick-lock-plate-7-demo-plate-0.csv"), ((PLATE, LOG), "records.csv"), ((), "records.csv")],
)
def test_a_table_of_one_record_is_named_after_it(records, name):
    asked = {"do": "record-csv", "records": [json.loads(write_record(each)) for each in records], "today": "2026-03-10"}
    assert json.loads(respond(json.dumps(asked)))["file"] == name


def test_the_command_line_prints_the_data_for_people_and_ends_well(tmp_path, capsys):
    path = tmp_path / "plate.json"
    path.write_text(write_record(replace(PLATE, name="Blech 7, Prüfung")), encoding="utf-8")
    assert judge_command([str(path), "--json"]) == 0
    printed = capsys.readouterr().out
    data = json.loads(printed)
    assert printed == json.dumps(data, indent=2, ensure_ascii=False) + "\n" and data["lines"]
    assert judge_command([str(path)]) == 0
    assert "Blech 7, Prüfung (invented)" in capsys.readouterr().out.split("\n")[0]
    assert judge_command(["--help"]) == 0 and judge_command([]) == 2
    assert judge_command([str(path), str(path)]) == 1  # the double is told


def test_air_too_cold_to_weld_in_is_flagged_at_the_air():
    """The air near the weld is 0 °F at least."""
    assert not any(
        flag.level.value == "stop" for temperature in ("62 degF", "0 degF") for flag in day(air=temperature).at("air")
    )
    assert [flag.level.value for flag in day(air="-1 degF").at("air")] == ["stop"]


def test_a_wide_coupon_is_judged_unless_it_is_a_side_bend():
    """The edges of a side bend are the plate's faces; its width is the plate's thickness."""
    for kind, flagged in (("face", True), ("side", False)):
        judgement = day({"coupons": ((kind, "3/8 in", "2 in", "yes", ""),) * 2, "findings": ()})
        assert bool(judgement.at("coupons/1/width")) is flagged


def test_the_coupons_are_laid_out_with_their_own_width_where_all_have_one():
    """From cut to cut, half a cut of 1/8 in at either side."""
    def widths(judgement) -> list[float]:
        values = {
            value.name: float(value.amount) for value in judgement.layout.values
            if re.fullmatch(r"(start|end)_\d+", value.name)
        }
        return [round((values[f"end_{number}"] - values[f"start_{number}"]) / INCH, 6) for number in (1, 2)]

    def coupons(*each):
        return {"coupons": tuple((kind, thick, wide, "yes", "") for kind, thick, wide in each), "findings": ()}

    assert widths(
        day(coupons(("face", "3/8 in", "1-3/4 in"), ("root", "3/8 in", "1-3/4 in")), plate_length="9 in")
    ) == [1.875, 1.875]
    assert widths(day(coupons(("side", "1/2 in", ""), ("side", "1/2 in", "")), plate_length="9 in")) == [0.625, 0.625]
    mixed = widths(day(coupons(("face", "3/8 in", "1-3/4 in"), ("root", "3/8 in", "2 in")), plate_length="9 in"))
    assert mixed == widths(
        day(coupons(("face", "3/8 in", ""), ("root", "3/8 in", "1-3/4 in")), plate_length="9 in")
    ) == [1.625, 1.625]


def test_the_sheet_on_paper_holds_both_drawings():
    assert sheet_html(day()).count("<figure") == 2 and parse("1 in", LENGTH) == Fraction("0.0254")
