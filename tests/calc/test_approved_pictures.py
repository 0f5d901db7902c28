"""The drawings and plots of every calculator and of the pages, as approved: every shape to a tenth of a unit of the sheet.

A few points stand for a long line, with its number of points and their middle. Whoever approves a change looks at the drawing.
"""

from __future__ import annotations

import json

import pytest

from calc.catalogue import calculator
from calc.practice import pictures
from calc.show import pictures as shop_pictures
from calc.show.plot import Plot, cell_text, csv_text, film_json, svg
from tests import approval

CASES = [
    (name.removeprefix("*"), texts)
    for name, _, texts in (line.partition(" ") for line in (approval.FOLDER / "cases.txt").read_text(encoding="utf-8").splitlines())
    if name.startswith("*")
]


def film_lines(plot: Plot) -> list[str]:
    """The film in short: for each part its shift in some of the frames, and what is said at some of them."""
    told = json.loads(film_json(plot))
    lines = [f"film: {len(plot.film.frames)} frames, follows {told['follows'] or 'none'}"]
    for part, moves in told["moves"].items():
        lines.append(f"  {part}: {' '.join(f'{x:.0f},{y:.0f}' for x, y in moves[:: max(1, len(moves) // 8)])}")
    lines += [f"  {name}: {told[name]}" for name in ("label", "hint", "seconds", "rest") if name in told]
    for system, says in told.get("says", {}).items():
        lines += [f"  {system}: {each}" for each in says[:: max(1, len(says) // 3)]]
    return lines


@pytest.mark.parametrize("name, texts", CASES, ids=[f"{name}-{number}" for number, (name, _) in enumerate(CASES)])
def test_the_drawings_are_as_approved(name, texts):
    lines = []
    for drawing in calculator(name).answer(json.loads(texts)).drawings:
        lines += [f"-- {drawing.name}", *approval.picture_lines(svg(drawing, name))]
        if isinstance(drawing, Plot):
            lines += approval.table_lines(csv_text(drawing), 4)
            lines += film_lines(drawing) if drawing.film else []
    approval.check(f"pictures/{name}.txt", texts, lines)


OTHERS = {
    "plate-heat": (
        {}, {"amps": "308.5 A", "process": "gtaw", "thickness": "1/4 in", "start": "-40 °C", "chosen": "968 °F", "point": "1/2 in", "shape": "thick"},
        {"volts": "48 V", "process": "saw", "speed": "3 in/min", "thickness": "3/4 in", "chosen": "330 °C", "point": "1/32 in", "shape": "thin"},
        {"amps": "60 A", "speed": "40 in/min", "point": "6 in"},
    ),
    "interpass-wait": ({}, {"now": "558.89 °C", "thickness": "1-1/4 in", "transfer": "2 W/(m²·K)", "emissivity": "0.08"}, {"limit": "97 °C", "width": "48 in"}),
}


@pytest.mark.parametrize("name, texts", [(name, texts) for name, cases in OTHERS.items() for texts in cases], ids=lambda part: part if isinstance(part, str) else str(len(part)))
def test_the_numbers_under_a_plot_are_as_approved(name, texts):
    lines = []
    for plot in calculator(name).answer(texts).drawings:
        columns = plot.table.columns
        lines.append(f"{plot.name}: {' | '.join(column.label for column in columns)}")
        lines += [" | ".join(cell_text(cell, column, "us") for cell, column in zip(row, columns)) for row in plot.table.rows]
    approval.check("pictures/numbers.txt", f"{name} {json.dumps(texts, ensure_ascii=False)}", lines)


@pytest.mark.parametrize("name", sorted({name for name, _ in CASES}))
def test_the_drawings_of_every_case_are_kept(name):
    approval.check_complete(f"pictures/{name}.txt", [texts for each, texts in CASES if each == name])


@pytest.mark.parametrize("name", pictures.PICTURES)
def test_the_pictures_of_the_questions_are_as_approved(name):
    approval.check("pictures/questions.txt", name, approval.picture_lines(svg(pictures.picture(name)), 2))


@pytest.mark.parametrize("name", shop_pictures.PICTURES)
def test_the_pictures_of_the_pages_are_as_approved(name):
    approval.check("pictures/pages.txt", name, approval.picture_lines(svg(shop_pictures.picture(name)), 2))


def test_a_drawing_as_a_file_of_its_own_is_as_approved():
    drawings = calculator("groove").answer().drawings
    approval.check("pictures/alone.txt", "groove", approval.picture_lines(svg(drawings[0], alone=True)))
    plots = calculator("interpass-wait").answer().drawings
    approval.check("pictures/alone.txt", "interpass-wait", approval.picture_lines(svg(plots[0], alone=True))[:4])
