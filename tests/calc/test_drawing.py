"""The drawing layer: what is measured back from the SVG is the value; words stay on the sheet and apart."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, strategies as st

from calc.core.declare import Amount
from calc.core.units import CURRENT, INCH, LENGTH, MILLIMETRE, TRAVEL_SPEED, parse
from calc.show.drawing import (
    LETTER,
    SHEET_WIDTH,
    TEXT_SIZE,
    Axis,
    Circle,
    Dimension,
    Drawing,
    Note,
    Path,
    Polygon,
    Row,
    Scale,
    box,
    on_scale,
    stretch_for,
    drawing_svg,
    ticks,
    words,
)

SVG = "{http://www.w3.org/2000/svg}"


def read(drawing: Drawing) -> ET.Element:
    return ET.fromstring(drawing_svg(drawing, alone=True))


def inch(number: float) -> float:
    return number * 0.0254


SQUARE = Drawing(
    "square", "A square", ("A square of ", Amount(parse("1 in", LENGTH), LENGTH)),
    (
        Polygon(box(0, 0, inch(1), inch(1)), "plate", "square"),
        Circle((inch(0.5), inch(0.5)), inch(0.25), "tool", "hole"),
        Dimension((0, inch(1)), (inch(1), inch(1)), (Amount(parse("1 in", LENGTH), LENGTH),), 16, "width"),
    ),
)


def test_lengths_measured_back_from_the_sheet_are_the_values():
    root = read(SQUARE)
    scale = float(root.get("data-scale"))
    points = [
        tuple(map(float, pair.split(",")))
        for pair in root.find(f".//{SVG}polygon[@data-part='square']").get("points").split()
    ]
    assert math.dist(points[0], points[1]) / scale == pytest.approx(0.0254, abs=1e-6)
    assert float(root.find(f".//{SVG}circle").get("r")) / scale == pytest.approx(0.00635, abs=1e-6)
    line = root.find(f".//{SVG}line[@data-part='width']")
    assert (float(line.get("x2")) - float(line.get("x1"))) / scale == pytest.approx(0.0254, abs=1e-6)


def test_up_is_up_and_both_axes_share_one_scale():
    root = read(SQUARE)
    points = [
        tuple(map(float, pair.split(",")))
        for pair in root.find(f".//{SVG}polygon[@data-part='square']").get("points").split()
    ]
    assert points[2][1] < points[1][1], "what is higher in the drawing stands higher on the sheet"
    assert math.dist(points[0], points[1]) == pytest.approx(math.dist(points[1], points[2]), abs=0.01)


def test_title_and_description_name_the_numbers_in_both_systems_and_label_the_picture():
    root = read(SQUARE)
    title, told = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title.text == "A square" and "1\u00a0in" in told.text and "25.4\u00a0mm" in told.text
    assert root.get("aria-labelledby").split() == [title.get("id"), told.get("id")]


def boxes(root: ET.Element) -> list[tuple[float, float, float, float]]:
    """The room each label takes, by the layer's own measure of a letter."""
    found = []
    for text in root.iter(f"{SVG}text"):
        wide = len("".join(text.itertext())) * LETTER
        start = float(text.get("x")) - {"start": 0, "middle": wide / 2, "end": wide}[text.get("text-anchor")]
        foot = float(text.get("y"))
        found.append((start, foot - TEXT_SIZE * 0.8, start + wide, foot))
    return found


@given(
    st.lists(
        st.tuples(st.floats(0, 1), st.floats(0, 0.3), st.sampled_from(["start", "middle", "end"])), min_size=1,
        max_size=4,
    )
)
def test_words_stay_on_the_sheet_and_off_each_other(places):
    """Each of three labels hides at most two of the seven places of a fourth."""
    notes = tuple(Note((x, y), words(f"label number {number}"), anchor) for number, (x, y, anchor) in enumerate(places))
    root = read(Drawing("d", "t", words("d"), (Polygon(box(0, 0, 1, 0.3)), *notes)))
    _, top, wide, high = map(float, root.get("viewBox").split())
    found = boxes(root)
    for left, upper, right, lower in found:
        assert left >= 0 and right <= wide and upper >= top - 0.2 and lower <= top + high
    for number, a in enumerate(found):
        for b in found[number + 1:]:
            assert not (a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]), "one label covers another"


@pytest.mark.parametrize("right, up, stays", [
    (2, 0, True), (1.9, 0, False), (0, -0.1, True), (0, 0.1, False),
])
def test_words_stand_where_they_are_wished_if_there_is_just_room(right, up, stays):
    """Two units beside other words, or right under them."""
    wide, high = len("first") * LETTER, TEXT_SIZE * 1.05
    for anchor, way in (("start", 1), ("end", -1)):
        for below in (1, -1) if up else (0,):
            second = Note(
                (160, 60), words("other"), anchor, right=0 if up else way * (wide + right),
                up=-below * high + (up if below > 0 else -up),
            )
            shapes = (Polygon(box(0, 0, SHEET_WIDTH - 36, 120)), Note((160, 60), words("first"), anchor), second)
            texts = list(read(Drawing("d", "t", words("d"), shapes)).iter(f"{SVG}text"))
            wished = 18 + 120 - 60 - second.up
            assert (float(texts[1].get("y")) == pytest.approx(wished, abs=0.01)) == stays


def test_words_that_may_go_are_left_out_rather_than_overlap():
    shapes = (
        Polygon(box(0, 0, 1, 1)), Note((0.5, 0.5), words("first")), Note((0.5, 0.5), words("second"), may_go=True),
    )
    assert [text.text for text in read(Drawing("d", "t", words("d"), shapes)).iter(f"{SVG}text")] == ["first"]


def test_words_that_must_stand_are_drawn_even_where_no_place_is_free():
    """More labels at one spot than there are places to move to: a covered word can still be read out, a lost one
    cannot.
    """
    many = [f"label {number}" for number in range(20)]
    shapes = (Polygon(box(0, 0, 1, 1)), *(Note((0.5, 0.5), words(label)) for label in many))
    assert sorted(text.text for text in read(Drawing("d", "t", words("d"), shapes)).iter(f"{SVG}text")) == sorted(many)


def test_words_are_escaped():
    drawing = Drawing(
        "d", "<b>", words("<i>"), (Polygon(box(0, 0, 1, 1)), Note((0, 0), words("<script>&"))), legend=("<u>",),
    )
    assert "<script>" not in drawing_svg(drawing) and "<u>" not in drawing_svg(drawing)
    assert read(drawing).find(f"{SVG}title").text == "<b>"


def test_a_stretch_is_stated_in_words_and_data_and_a_break_too():
    drawing = Drawing("d", "t", words("d."), (Path(((0, 0), (1, 0))),), stretch=5, stretched="rise", broken=True)
    root = read(drawing)
    said = " ".join(text.text for text in root.iter(f"{SVG}text"))
    assert root.get("data-stretch") == "5" and "rise drawn 5 times as large" in said and "left out" in said
    assert "5 times" in root.find(f"{SVG}desc").text


@pytest.mark.parametrize("size, wanted, factor", [(1, 0.5, 1), (0.1, 1, 10), (0.09, 1, 10), (0.11, 1, 5), (0, 1, 1)])
def test_the_stretch_is_a_round_factor_that_never_overshoots(size, wanted, factor):
    assert stretch_for(size, wanted) == factor


def test_a_dimension_between_equal_points_is_still_drawn():
    root = read(
        Drawing("d", "t", words("d"), (Polygon(box(0, 0, 1, 1)), Dimension((0.5, 0), (0.5, 0), words("0 in"), 16)))
    )
    assert "0 in" in "".join(root.itertext())


@pytest.mark.parametrize("long, between", [(26, True), (25.9, False)])
def test_arrows_stand_between_the_points_where_they_have_room(long, between):
    """On a sheet at one unit to the meter: two lines for the stays and one between them, or one more at either end."""
    shapes = (Polygon(box(0, 0, SHEET_WIDTH - 36, 100)), Dimension((50, 50), (50 + long, 50), words(""), 16))
    root = read(Drawing("d", "t", words("d"), shapes))
    assert float(root.get("data-scale")) == 1
    assert len(list(root.iter(f"{SVG}line"))) == (3 if between else 5)
    tips = [
        tuple(map(float, head.get("points").split()[0].split(","))) for head in root.iter(f"{SVG}polygon")
        if head.get("class") == "head"
    ]
    backs = [
        float(head.get("points").split()[1].split(",")[0]) for head in root.iter(f"{SVG}polygon")
        if head.get("class") == "head"
    ]
    assert sorted(x for x, _ in tips) == pytest.approx([68, 68 + long])
    assert all((68 < back < 68 + long) == between for back in backs)


def test_words_keep_off_the_numbers_of_an_axis():
    scale = Scale(0.0, 200.0, CURRENT, "welding current")
    plain = read(Drawing("d", "t", words("d"), (Axis(scale, 0.0), Path(((0, 0), (1, 0.3)))), lengths=False))
    root = read(
        Drawing(
            "d", "t", words("d"),
            (Axis(scale, 0.0), Path(((0, 0), (1, 0.3))), Note((0.5, -0.05), words("loose words"))), lengths=False,
        )
    )
    *numbers, loose = boxes(root)
    assert numbers == boxes(plain) and loose[2] - loose[0] == pytest.approx(11 * LETTER)
    assert not any(loose[1] < lower and upper < loose[3] for _, upper, _, lower in numbers)


def test_values_stand_on_a_scale_where_they_belong():
    scale = Scale(0.0, 200.0, CURRENT, "welding current")
    root = read(
        Drawing("d", "t", words("d"), on_scale(scale, [Row(words("window"), 115, 165, name="window")]), lengths=False)
    )
    axis = root.find(f".//{SVG}g[@data-low]")
    start, end = float(axis.get("data-from")), float(axis.get("data-to"))
    xs = sorted(
        {float(pair.split(",")[0]) for pair in root.find(f".//{SVG}polygon[@data-part='window']").get("points").split()}
    )
    assert [200 * (x - start) / (end - start) for x in xs] == pytest.approx([115, 165], abs=0.01)
    assert root.get("data-scale") is None, "a bar of amperes is no length"


def test_a_scale_is_ticked_at_round_numbers_of_each_system():
    scale = Scale(0.0, float(parse("30 in/min", TRAVEL_SPEED)), TRAVEL_SPEED, "speed")
    root = read(Drawing("d", "t", words("d"), on_scale(scale, [Row(words("here"), scale.high / 2)]), lengths=False))
    groups = {group.get("class"): [text.text for text in group.iter(f"{SVG}text")] for group in root.iter(f"{SVG}g")}
    assert groups["axis us"] == ["0", "10", "20", "30", "speed, in/min"]
    assert groups["axis si lower"] == ["0", "5", "10", "speed, mm/s"]


@given(st.floats(0, 10), st.floats(0.001, 10), st.sampled_from([INCH, MILLIMETRE]))
def test_ticks_are_few_in_order_and_inside(low, span, unit):
    found = [value for value, _ in ticks(low, low + span, unit)]
    assert 1 <= len(found) <= 7 and found == sorted(set(found))
    assert low - span * 1e-6 <= found[0] and found[-1] <= low + span * (1 + 1e-6)


def test_hatches_used_are_the_hatches_defined():
    root = read(SQUARE)
    defined = {pattern.get("id") for pattern in root.iter(f"{SVG}pattern")}
    used = {
        shape.get("fill")[5:-1] for shape in root.iter(f"{SVG}polygon") if (shape.get("fill") or "").startswith("url")
    }
    assert used == defined == {"drawing-square-plate"}


def test_the_sheet_is_never_wider_than_a_phone_shows():
    assert read(SQUARE).get("viewBox").split()[2] == f"{SHEET_WIDTH:g}"
