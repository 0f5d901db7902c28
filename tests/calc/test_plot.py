"""Plots: coordinates measured back from the SVG, round_numbers, the table, the file, and the frames that a script
plays.
"""

from __future__ import annotations

import csv
import io
import json
import math
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, settings, strategies as st
from shapely.geometry import Polygon

from calc import web
from calc.core.units import CELSIUS, FAHRENHEIT, INCH, LENGTH, MILLIMETRE, SECOND, TEMPERATURE, TIME
from calc.show.html import answer_html
from calc.show.plot import Axis, Column, Curve, Film, Frame, Mark, Plot, Table, csv_text, film_json, svg, round_numbers
from calc.stages.moving_arc import MovingArc
from calc.stages.thermal import INTERPASS_WAIT, PLATE_HEAT

SECONDS = TIME.shown_in(us=SECOND, si=SECOND)


def drawn(plot: Plot) -> ET.Element:
    return ET.fromstring(svg(plot, "here", alone=True))


def measured(root: ET.Element, tag: str, look: str) -> list[list[tuple[float, float]]]:
    """The points of all shapes of a tag and a class, in base units, by the scale the SVG states."""
    (x0, dx), (y0, dy) = ([float(part) for part in root.get(name, "").split()] for name in ("data-x", "data-y"))
    found = []
    for each in root.iter("{http://www.w3.org/2000/svg}" + tag):
        if look in each.get("class", "").split():
            pairs = [pair.split(",") for pair in each.get("points", "").split()] or [[each.get("cx", "0"), each.get("cy", "0")]]
            found.append([((float(x) - x0) / dx, (float(y) - y0) / dy) for x, y in pairs])
    return found


def plain(**more) -> Plot:
    return Plot(**{
        "name": "p", "title": "A < plot", "description": ("What it shows.",), "x": Axis("Across", LENGTH, -0.02, 0.08),
        "y": Axis("Temperature", TEMPERATURE, 0.0, 900.0),
        "shapes": (Curve(((-0.01, 100.0), (0.0, 850.0), (0.05, 300.0)), ("a & b",)), Mark((0.02, 500.0), ("there",))),
        "table": Table((Column("Across", LENGTH), Column("Temperature", TEMPERATURE)), ((0.0, 850.0), (0.05, None))), **more,
    })


@given(
    st.lists(st.tuples(st.floats(-0.02, 0.08), st.floats(0, 900)), min_size=2, max_size=8), st.booleans(),
)
@settings(max_examples=40, deadline=None)
def test_points_are_measured_back_from_the_svg(points, equal):
    axis = Axis("Up", LENGTH, -0.03, 0.05) if equal else Axis("Up", TEMPERATURE, 0.0, 900.0)
    scaled = tuple((x, y / 900 * 0.05) if equal else (x, y) for x, y in points)
    root = drawn(plain(shapes=(Curve(scaled),), y=axis, equal=equal))
    (back,) = measured(root, "polyline", "edge")
    # Coordinates are written to a hundredth of a sheet unit; the field is about 300 wide and 230 high.
    for (x, y), (wanted_x, wanted_y) in zip(back, scaled, strict=True):
        assert x == pytest.approx(wanted_x, abs=0.1 * 1e-4 * 2)
        assert y == pytest.approx(wanted_y, abs=(0.1 * 1e-4 * 2 if equal else 0.04))


def test_an_equal_plot_has_one_scale_for_both_axes_and_keeps_its_range_in_sight():
    root = drawn(plain(y=Axis("Up", LENGTH, -0.5, 0.5), equal=True, tallest=200.0, shapes=(Curve(((0, -0.5), (0, 0.5))),)))
    (_, dx), (_, dy) = ([float(part) for part in root.get(name, "").split()] for name in ("data-x", "data-y"))
    assert dx == -dy
    assert dy * -1.0 == pytest.approx(200.0)


@pytest.mark.parametrize("low, high, unit, expected", [
    # 0 to 4 in and 0 to 100 mm; freezing and boiling water, in both scales.
    (0.0, 0.1016, INCH, (0, 1, 2, 3, 4)), (0.0, 0.1, MILLIMETRE, (0, 20, 40, 60, 80, 100)),
    (0.0, 100.0, CELSIUS, (0, 20, 40, 60, 80, 100)), (0.0, 100.0, FAHRENHEIT, (50, 100, 150, 200)),
    (-0.0051, 0.0051, MILLIMETRE, (-4, -2, 0, 2, 4)),
])
def test_ticks_stand_at_round_numbers_of_their_unit(low, high, unit, expected):
    assert round_numbers(low, high, unit) == pytest.approx(expected)


@given(st.floats(-1e4, 1e4), st.floats(1e-6, 1e5), st.sampled_from([INCH, MILLIMETRE, CELSIUS, FAHRENHEIT]))
@settings(max_examples=60, deadline=None)
def test_ticks_are_few_even_and_inside(low, span, unit):
    span = max(span, abs(low) * 1e-6)
    first, last = float(unit.from_base(low)), float(unit.from_base(low + span))
    found = round_numbers(low, low + span, unit)
    assert 2 <= len(found) <= 9
    assert all(first - 1e-6 * (last - first) <= one <= last + 1e-6 * (last - first) for one in found)
    steps = [after - before for before, after in zip(found, found[1:])]
    assert max(steps) == pytest.approx(min(steps), rel=1e-3)


@pytest.mark.parametrize("system, unit", [("us", FAHRENHEIT), ("only-si", CELSIUS), ("si", CELSIUS)])
def test_a_tick_stands_at_the_value_it_names(system, unit):
    """The grid line or tick mark beside each number lies where the number says, for the scale of each system."""
    root = drawn(plain())
    y0, dy = (float(part) for part in root.get("data-y", "").split())
    groups = [each for each in root.iter("{http://www.w3.org/2000/svg}g") if system in each.get("class", "").split()]
    scale = groups[-1]
    texts = [each.text for each in scale if each.tag.endswith("text")][:-1]
    marks = [float(part.split()[1]) for part in scale[0].get("d", "").split("M")[1:]]
    assert len(texts) == len(marks) >= 3
    for text, y in zip(texts, marks, strict=True):
        assert float(unit.from_base((y - y0) / dy)) == pytest.approx(float((text or "").replace("−", "-")), abs=0.5)


def test_what_has_no_second_system_has_one_scale():
    root = drawn(plain(x=Axis("Time", SECONDS, 0.0, 40.0)))
    scales = [each.get("class") for each in root.iter("{http://www.w3.org/2000/svg}g") if "scale" in each.get("class", "")]
    assert scales == ["scale ", "scale us", "scale si beside", "scale only-si"]


def test_a_plot_tells_its_numbers_to_a_screen_reader_and_escapes_them():
    text = svg(plain())
    assert "<title id=\"drawing-p-title\">A &lt; plot</title>" in text and "a &amp; b" in text
    root = drawn(plain())
    labels = root.get("aria-labelledby", "").split()
    assert {each.get("id") for each in root.iter() if each.get("id")} >= set(labels)


def test_the_file_of_numbers_reads_back_in_both_systems():
    """By the csv module of Python's library."""
    rows = list(csv.reader(io.StringIO(csv_text(plain()), newline="")))
    assert rows[0] == ["Curve", "Across, in", "Across, mm", "Temperature, °F", "Temperature, °C"]
    assert len(rows) == 1 + 3 + 1
    for name, inches, millimetres, fahrenheit, celsius in rows[1:]:
        assert name in ("a & b", "there")
        assert float(millimetres) == pytest.approx(float(inches) * 25.4, rel=1e-5, abs=1e-9)
        assert float(fahrenheit) == pytest.approx(float(celsius) * 1.8 + 32, rel=1e-5)


def test_a_quote_in_a_name_stays_inside_its_cell():
    rows = list(csv.reader(io.StringIO(csv_text(plain(shapes=(Mark((0, 0), ('1" plate, hot',)),))), newline="")))
    assert rows[1][0] == '1" plate, hot'


def test_frames_are_shifts_on_the_sheet():
    film = Film(("arc",), (Frame(((0.0, 0.0),), ("start",)), Frame(((0.01, 90.0),), ("end",))), label="Play", seconds=3)
    plot = plain(film=film)
    told = json.loads(film_json(plot))
    root = drawn(plot)
    dx, dy = (float(root.get(name, "").split()[1]) for name in ("data-x", "data-y"))
    assert told["moves"]["arc"][0] == [0, 0]
    assert told["moves"]["arc"][1] == pytest.approx([0.01 * dx, 90 * dy], abs=0.06)
    assert told["says"]["us"] == ["start", "end"]


# --- the plots of the calculators -----------------------------------------------------------------


def _plots(calculator, **inputs) -> dict[str, Plot]:
    return {plot.name: plot for plot in calculator.answer(inputs).drawings}


def test_the_isotherms_are_drawn_where_they_are():
    """The widest place of a line that closes inside the picture, measured from the SVG by shapely, is the width of
    the answer's table.
    """
    plot = _plots(PLATE_HEAT)["isotherms"]
    root = drawn(plot)
    widths = {row[0]: row[3] for row in plot.table.rows}
    for tag, look, level in (("polygon", "fired", 1425.0), ("polyline", "hidden", 500.0)):
        outline = Polygon(measured(root, tag, look)[0])
        _, low, _, high = outline.bounds
        assert high - low == pytest.approx(widths[level], rel=0.01)
        assert outline.bounds[0] == pytest.approx(-plot.table.rows[[row[0] for row in plot.table.rows].index(level)][2], rel=0.01)


def test_the_cooling_curve_is_the_temperature_of_the_point():
    plot = _plots(PLATE_HEAT)["cooling"]
    arc = MovingArc(power=2400, speed=2.54e-3, thickness=9.525e-3, conductivity=50, diffusivity=50 / (7850 * 480), start=190 / 9)
    (curve,) = measured(drawn(plot), "polyline", "edge")
    for time, temperature in curve:
        assert temperature == pytest.approx(arc.temperature(-2.54e-3 * time, 6.35e-3), abs=8)


@pytest.mark.parametrize("calculator", [PLATE_HEAT, INTERPASS_WAIT], ids=lambda one: one.id)
def test_every_plot_has_axes_with_units_a_table_and_a_description_with_numbers(calculator):
    result = calculator.answer()
    html = answer_html(result)
    assert result.drawings
    for plot in result.drawings:
        assert plot.table.rows and all(len(row) == len(plot.table.columns) for row in plot.table.rows)
        assert f'data-figure="{plot.name}"' in html
        assert any(not isinstance(part, str) for part in plot.description)
    assert html.count('<details data-fold="numbers-') == len(result.drawings)


def test_frames_stand_on_the_curve_that_is_drawn():
    """The dot that plays along a curve never leaves it by more than two of the plot's sheet units."""
    for plot, part in ((_plots(INTERPASS_WAIT)["waiting"], "now"), (_plots(PLATE_HEAT)["cooling"], "now")):
        root = drawn(plot)
        told = json.loads(film_json(plot))
        x0, dx = (float(one) for one in root.get("data-x", "").split())
        y0, dy = (float(one) for one in root.get("data-y", "").split())
        (curve,) = measured(root, "polyline", "edge")
        sheet = [(x0 + x * dx, y0 + y * dy) for x, y in curve]
        dot = next(shape for shape in plot.shapes if isinstance(shape, Mark) and shape.part == part)
        for shift_x, shift_y in told["moves"][part]:
            x, y = x0 + dot.at[0] * dx + shift_x, y0 + dot.at[1] * dy + shift_y
            nearest = min(_distance((x, y), one, two) for one, two in zip(sheet, sheet[1:]))
            assert nearest < 2


def _distance(point, one, two) -> float:
    (px, py), (ax, ay), (bx, by) = point, one, two
    long = (bx - ax) ** 2 + (by - ay) ** 2
    share = max(0.0, min(1.0, ((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / long)) if long else 0.0
    return math.hypot(px - ax - share * (bx - ax), py - ay - share * (by - ay))


def test_the_film_of_the_plan_ends_as_drawn_and_drives_the_cooling_curve():
    plots = _plots(PLATE_HEAT)
    plan, cooling = (json.loads(film_json(plots[name])) for name in ("isotherms", "cooling"))
    assert cooling["follows"] == "isotherms" and len(cooling["moves"]["now"]) == len(plan["moves"]["arc"]) == plan["rest"] + 1
    assert plan["moves"]["arc"][plan["rest"]] == [0, 0] == cooling["moves"]["now"][plan["rest"]]
    assert len(plan["says"]["us"]) == len(plan["says"]["si"]) == plan["rest"] + 1
    assert "before the arc comes by" in plan["says"]["us"][0] and "°F" in plan["says"]["us"][-1] and "°C" in plan["says"]["si"][-1]


# --- files for the page -----------------------------------------------------------------------------


def _file(**more) -> dict:
    request = {"do": "figure", "calculator": "plate-heat", "inputs": {}, "system": "us", "figure": "cooling", "as": "csv"}
    return json.loads(web.respond(json.dumps({**request, **more})))


def test_the_page_gets_a_plot_as_svg_and_as_numbers():
    numbers = _file()
    assert numbers["name"] == "plate-heat-cooling.csv" and numbers["text"].startswith("\ufeff\"Curve\"")
    picture = _file(**{"as": "svg", "inputs": {"amps": "100 A"}})
    assert picture["name"].endswith(".svg") and ET.fromstring(picture["text"]).tag.endswith("svg")
    assert picture["text"] != _file(**{"as": "svg"})["text"]


@pytest.mark.parametrize("more, words", [
    ({"figure": "none"}, "no such drawing"), ({"as": "pdf"}, "no such drawing"), ({"inputs": {"amps": "9 A"}}, "Amperage"),
    ({"inputs": {"amps": "<b>"}}, "Amperage"), ({"figure": ["x"]}, "no such drawing"),
])
def test_what_cannot_be_saved_is_said_in_words(more, words):
    assert words in _file(**more)["trouble"]


def test_a_drawing_without_numbers_is_saved_as_svg_only():
    request = {"calculator": "groove", "figure": "section"}
    assert _file(**request, **{"as": "svg"})["name"] == "groove-section.svg"
    assert "trouble" in _file(**request, **{"as": "csv"})
