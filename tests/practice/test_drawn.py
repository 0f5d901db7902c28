"""Drawings of questions: what is measured on them is the number of the question, and what they show is not named."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest

from calc.core.units import ANGLE, LENGTH, parse
from calc.practice.drawn import DRAWN, svg
from calc.practice.forms import Looks, all_forms
from calc.practice.looks import LOOKS, look_svg, seen
from calc.practice.measured import MEASURED, measured_svg
from calc.practice.questions import draw, line_texts
from calc.practice.pages import drawn_html, question_html
from calc.practice.pictures import PICTURES

INCH = 0.0254
MEASURING = [form for form in all_forms() if form.picture in MEASURED]


def points(markup: str, part: str) -> list[tuple[float, float]]:
    """The corners of a part of a drawing, in meters."""
    scale = float(re.search(r'data-scale="([0-9.]+)"', markup)[1])
    way = re.search(rf'<path d="([^"]+)"[^>]*data-part="{part}"', markup)[1]
    numbers = [float(each) for each in re.findall(r"-?[0-9.]+", way)]
    return [(x / scale, y / scale) for x, y in zip(numbers[::2], numbers[1::2])]


def longest(corners: list[tuple[float, float]]) -> float:
    return max(math.dist(one, other) for one in corners for other in corners)


@pytest.mark.parametrize("size", ["1/32 in", "3/32 in", "1/8 in", "3/16 in", "3/8 in"])
@pytest.mark.parametrize("place", ["face", "corner"])
def test_an_open_discontinuity_measures_what_the_question_counts(size, place):
    for seed in range(30):
        drawn = measured_svg("measure-bent", {"openings": f"1 | {size} | {place} | no"}, str(seed), "q")
        # A tenth of a sheet unit is lost in writing the points down.
        assert longest(points(drawn, "opening-1")) == pytest.approx(float(parse(size, LENGTH)), abs=0.0016 * INCH)


def test_a_corner_crack_starts_at_the_edge_and_what_lies_on_the_face_does_not():
    for seed in range(40):
        drawn = measured_svg("measure-bent", {"openings": "1 | 5/16 in | corner | no; 1 | 1/8 in | face | no"}, str(seed), "q")
        scale = float(re.search(r'data-scale="([0-9.]+)"', drawn)[1])
        edges = (4 / scale, 4 / scale + 1.5 * INCH)
        corner, face = points(drawn, "opening-1"), points(drawn, "opening-2")
        assert min(abs(y - edge) for _, y in corner for edge in edges) < 1e-5
        assert all(edges[0] + 1e-4 < y < edges[1] - 1e-4 for _, y in face)
        assert max(x for x, _ in face) < min(x for x, _ in corner) or longest(face + corner) > 0.3 * INCH


@pytest.mark.parametrize(("thickness", "angle", "opening"), [("3/8 in", "22.5 deg", "1/4 in"), ("1/2 in", "30 deg", "1/8 in"), ("1-1/2 in", "10 deg", "3/8 in")])
@pytest.mark.parametrize("name", ["measure-groove", "measure-bevel", "measure-opening"])
def test_a_groove_has_the_opening_and_the_bevel_of_its_question(name, thickness, angle, opening):
    inputs = {"thickness": thickness, "bevel_angle": angle, "root_opening": opening, "openings": f"0 in | {opening}"}
    drawn = measured_svg(name, inputs, "1", "q")
    left, right = points(drawn, "left"), points(drawn, "right")
    (_, foot), (face, root) = left[0], (left[1], left[2])
    assert right[2][0] - root[0] == pytest.approx(float(parse(opening, LENGTH)), abs=0.002 * INCH)
    turn = math.degrees(math.atan2(root[0] - face[0], root[1] - face[1]))
    assert turn == pytest.approx(float(parse(angle, ANGLE)), abs=0.15)
    assert root[1] - foot == pytest.approx(float(parse(thickness, LENGTH)), abs=0.002 * INCH)


def test_a_weld_stands_as_high_and_its_plates_as_far_apart_as_the_question_says():
    drawn = measured_svg("measure-weld", {"reinforcement": "5/32 in", "mismatch": "1/16 in"}, "3", "q")
    upper, lower, weld = (points(drawn, part) for part in ("upper", "lower", "weld"))
    assert lower[0][1] - upper[0][1] == pytest.approx(INCH / 16, abs=0.002 * INCH)
    assert upper[0][1] - min(y for _, y in weld) == pytest.approx(5 / 32 * INCH, abs=0.002 * INCH)


@pytest.mark.parametrize("name", MEASURED)
def test_the_rule_is_to_the_scale_of_its_drawing(name):
    inputs = {"openings": "1 | 1/8 in | face | no"} if name == "measure-bent" else {"openings": "0 in | 1/4 in", "reinforcement": "1/16 in"}
    drawn = measured_svg(name, inputs, "1", "q")
    scale, inch = (float(re.search(rf'data-{each}="([0-9.]+)"', drawn)[1]) for each in ("scale", "inch"))
    assert inch / scale == pytest.approx(INCH, rel=1e-4)
    marks = re.search(r'class="line thin" d="([^"]+)"/><text', drawn)[1]
    upper = [float(each) for each in re.findall(r"M([0-9.]+) 0v", marks)]
    assert len(upper) in (17, 33) and upper[4] / scale == pytest.approx(INCH / 8, abs=0.001 * INCH)
    lower = [float(each) for each in re.findall(r"M([0-9.]+) 54", marks)]
    assert len(lower) == 13 + 13 * (len(upper) == 33) and lower[10] / scale == pytest.approx(0.010, abs=2e-5)


@pytest.mark.parametrize("form", MEASURING, ids=lambda form: form.id)
def test_a_reader_who_measures_to_the_nearest_mark_is_marked_right(form):
    """What the drawing shows is not told, and half a mark of the rule either way is allowed."""
    from calc.practice.marking import mark

    for seed in range(20):
        question = draw(form, seed)
        assert drawn_html(question, "q").count("data-scale") == 1
        if form.kind == "number" and question.asked.kind is LENGTH:
            for off in (-1, 1):
                assert mark(question, [f"{float(question.asked.amount) / INCH + off / 64:.5f} in"]).right
        elif form.kind == "number":
            assert mark(question, [f"{float(question.asked.amount) + 1:.1f} deg"]).right


# --- as they look -----------------------------------------------------------------------------


@pytest.mark.parametrize("name", LOOKS)
def test_a_look_is_another_for_each_seed_and_the_same_for_the_same(name):
    drawn = {look_svg(name, str(seed), "q") for seed in range(30)}
    assert len(drawn) == 30
    assert all(len(each.encode()) < 30_000 for each in drawn)
    for each in drawn:
        ElementTree.fromstring(each)
        assert "http" not in each and "<image" not in each and "<script" not in each
        names = re.findall(r'id="([^"]+)"', each)
        assert len(names) == len(set(names)) and all(one.startswith("q-") for one in names)
        assert set(re.findall(r"#(q-[a-z]+)", each)) <= set(names)


NAMES = re.compile(
    r"undercut|overlap|porosity|pores?\b|slag|crack|fusion|underfill|reinforcement|spatter|strike|misalign|penetration|sound\b", re.I)


@pytest.mark.parametrize("name", LOOKS)
def test_the_words_beside_a_look_do_not_name_it(name):
    markup = look_svg(name, "7", "q")
    words = " ".join("".join(each.itertext()) for each in ElementTree.fromstring(markup).iter() if each.tag in ("title", "desc"))
    assert seen(name) in words and not NAMES.search(words)


@pytest.mark.parametrize("name", PICTURES)
def test_nothing_points_to_what_a_question_asks_for(name):
    assert ">here<" not in svg(name, "1", "q", {})


def test_every_look_is_asked_for():
    asked = {each.picture for form in all_forms() if isinstance(form.body, Looks) for each in form.body.looks}
    assert asked >= set(LOOKS) - {form.picture for form in all_forms()} and set(DRAWN) >= asked


@pytest.mark.parametrize("form", [form for form in all_forms() if isinstance(form.body, Looks)], ids=lambda form: form.id)
def test_look_alikes_stand_side_by_side_each_with_a_choice_of_every_name(form):
    question = draw(form, 3)
    page = question_html(question, "q")
    count = len(question.pictured)
    assert page.count('class="look"') == page.count("<select") == count >= 2
    assert all(page.count(f">{name}</option>") == count for name in line_texts(form))
