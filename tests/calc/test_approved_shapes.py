"""Drawings and plots of no calculator, as approved: every kind of shape, label, scale and axis, far apart and close.

What the drawings of the calculators do not reach today is reached by the next one: labels that push each other,
dimensions in every direction, scales of every size.
"""

from __future__ import annotations

import datetime
import math
import random
from fractions import Fraction

from calc.core.declare import Amount
from calc.core.units import INCH, LENGTH, MILLIMETRE, NUMBER, TEMPERATURE
from calc.practice import pictures
from calc.show import drawing, plot, scales
from calc.show import pictures as shop_pictures
from calc.show.drawing import Axis, Circle, Dimension, Drawing, Note, Path, Polygon, Row, Scale, box, on_scale
from calc.show.plot import svg
from tests import approval


def test_helpers_are_as_approved():
    lines = [
        f"stretch {size}: {[drawing.stretch_for(size, wanted) for wanted in (0.3, 1, 3, 10)]}"
        for size in (-1, 0, 0.0049, 0.005, 0.006, 0.01, 0.0199, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2.9, 3, 3.1)
    ]
    for low, high in (
        (0, 1),
        (0, 0.0254),
        (0.001, 0.003),
        (-0.02, 0.05),
        (0, 3),
        (0.1, 0.10001),
        (5, 900),
        (0, 0.1524),
    ):
        for most in (4, 6, 9):
            told = [[text for _, text in drawing.ticks(low, high, unit, most)] for unit in (INCH, MILLIMETRE)]
            lines.append(f"ticks {low} {high} {most}: {told[0]} {told[1]}")
            told = [plot.round_numbers(low, high, unit, most) for unit in (INCH, MILLIMETRE)]
            lines.append(f"  plot: {told[0]} {told[1]}")
    for points in (
        drawing.arc((1, 2), 3, 10, 200, 5),
        drawing.mirrored(((1, 2), (3, 4)), 0.5),
        drawing.mirrored(((1, 2),)),
        drawing.zigzag((1, 2), 3, 30).points,
        box(1, 2, 3, 4),
    ):
        lines.append(" ".join(f"{x:.3f},{y:.3f}" for x, y in points))
    lines += [
        " | ".join(drawing._wrapped(text, 12))
        for text in (
            "",
            "one",
            "one two three four",
            "a" * 12,
            f"{'a' * 12} b",
            "aaaaaa bbbbb",
            "aaaaaa bbbbbb",
            "a" * 30,
        )
    ]
    for months in (
        0,
        1,
        3,
        4,
        5,
        8,
        9,
        12,
        13,
        24,
        25,
        48,
        49,
        96,
        97,
        144,
        145,
        240,
        241,
        480,
        481,
        960,
        961,
        1500,
        1920,
        1921,
        2900,
    ):
        first, number = datetime.date(2025, 3, 17), 2025 * 12 + 2 + months
        end = datetime.date(number // 12, number % 12 + 1, 9)
        lines.append(f"{months} months: {' '.join(f'{day:g} {text}' for day, text in scales._months(first, end))}")
    approval.check("shapes/helpers.txt", lines)


def scattered(seed: int) -> Drawing:
    """Shapes, dimensions and words thrown on a sheet."""
    chance = random.Random(seed)

    def point() -> tuple[float, float]:
        return chance.uniform(0, 0.2), chance.uniform(0, 0.12)

    def label() -> tuple:
        return chance.choice(
            (
                ("plain",),
                (Amount(Fraction(chance.randint(1, 40), 1600), LENGTH, 3),),
                ("about ", Amount(0.0123, LENGTH, 3), " of a long label with many words"),
                ("7",),
                (Amount(chance.uniform(20, 200), TEMPERATURE, 3),),
            )
        )

    shapes: list = [
        Polygon(
            tuple(point() for _ in range(4)), chance.choice(("plate", "weld", "tool", "waste", "fired")), "part & one"
        )
    ]
    for _ in range(chance.randint(3, 9)):
        kind = chance.randrange(5)
        if kind == 0:
            shapes.append(
                Dimension(point(), point(), label(), chance.choice((0, 10, -14, 16, 30)), chance.choice(("", "width")))
            )
        elif kind == 1:
            shapes.append(Path((point(), point(), point()), chance.choice(("edge", "arrow", "hidden"))))
        elif kind == 2:
            shapes.append(Circle(point(), chance.uniform(0.001, 0.04), "zone", chance.choice(("", "ring"))))
        else:
            shapes.append(
                Note(
                    point(),
                    label(),
                    chance.choice(("start", "middle", "end")),
                    chance.choice((0, 12, -20)),
                    chance.choice((0, 8, -13)),
                    chance.random() < 0.4,
                    chance.random() < 0.2,
                    chance.random() < 0.3,
                )
            )
    start = point()
    shapes.append(Dimension(start, (start[0] + chance.uniform(0, 0.02), start[1]), label(), 12))
    shapes.append(Dimension(start, start, ("nothing",), chance.choice((0, 9, -9))))
    return Drawing(
        "d",
        "A drawing <of shapes>",
        ("It shows ", Amount(Fraction(1, 40), LENGTH, 3), "."),
        tuple(shapes),
        margin=chance.choice((18, 26)),
        left=chance.choice((0, 40)),
        right=chance.choice((0, 60)),
        tallest=chance.choice((160, 420)),
        extra=(point(),) if seed % 2 else (),
        stretch=1 + seed % 3,
        stretched="heights",
        broken=seed % 4 == 1,
        lengths=seed % 5 != 2,
        legend=("A line under the drawing that is long enough to be broken where the sheet ends.",) if seed % 3 else (),
    )


def test_scattered_shapes_are_as_approved():
    told = {f"seed {seed}": approval.drawn_by_look(svg(scattered(seed), "p", alone=seed == 0)) for seed in range(24)}
    told["seed 0"] = approval.picture_lines(svg(scattered(0), "p", alone=True))
    approval.check("shapes/scattered.txt", approval.parts(told))


SHEET = Polygon(box(0, 0, 324, 120))
"""Fills its sheet at one unit to the meter."""


def labels_of(*shapes) -> list[str]:
    told = svg(Drawing("d", "A drawing", ("Of words.",), (SHEET, *shapes)))
    return [line for line in approval.picture_lines(told, 2) if line.startswith(("text", "line"))]


def test_words_in_a_crowd_are_as_approved():
    lines = labels_of(*(Note((160, 60), (f"label {number}",)) for number in range(12)))
    length = Amount(0.0123, LENGTH, 3)
    lines += labels_of(
        *(Note((160, 60), ("one of many ", length, " with long words"), up=up, narrow=True) for up in (8, 8, -8, -8))
    )
    for right, up in ((0, 30), (0, -40), (50, 3), (-50, 3), (50, 9), (-50, -4), (-20, 20)):
        lines += labels_of(Note((160, 60), ("led",), right=right, up=up, lead=True))
    lines += labels_of(Dimension((100, 50), (160, 50), ("a",), -1), Dimension((100, 80), (100, 20), ("b",), -1))
    marks = ((0.0, "a long first mark"), (1.0, "a long last mark"))
    lines += [
        line
        for line in approval.picture_lines(
            svg(Drawing("s", "A scale", ("On it.",), (Axis(Scale(0.0, 1.0, None, "what", marks), 0.0),), lengths=False))
        )
        if line.startswith("text")
    ]
    approval.check("shapes/crowd.txt", lines)


def rows_on_a_scale(seed: int) -> list[str]:
    chance = random.Random(seed)
    kind = (LENGTH, NUMBER, TEMPERATURE, None)[seed % 4]
    marks = ((0.0, "first"), (0.5, "a longer mark"), (1.0, "last")) if kind is None else ()
    scale = Scale(0.0, 1.0 if kind is None else chance.choice((0.03, 2.0, 700.0)), kind, "what it is", marks)
    rows = [
        Row(
            ("row ", Amount(chance.uniform(0, scale.high), kind or NUMBER, 3)),
            low,
            chance.choice((None, low + chance.uniform(0, scale.high - low))),
            chance.choice(("allowed", "waste")),
            chance.choice(("", "row")),
            chance.random() < 0.3,
        )
        for low in (chance.uniform(0, scale.high) for _ in range(chance.randint(1, 5)))
    ]
    more = (Axis(scale, 0.5),) if seed == 3 else ()
    drawn = Drawing("s", "A scale", ("On a scale.",), (*on_scale(scale, rows), *more), lengths=False)
    return approval.drawn_by_look(svg(drawn))


def test_rows_on_a_scale_are_as_approved():
    approval.check("shapes/scales.txt", approval.parts({f"seed {seed}": rows_on_a_scale(seed) for seed in range(8)}))


def plot_of_anything(seed: int) -> list[str]:
    chance = random.Random(seed)
    wide, high = chance.choice((0.02, 3.0, 400.0)), chance.choice((0.05, 7.0, 1500.0))
    x = plot.Axis("along", (LENGTH, NUMBER)[seed % 2], -wide / 3, wide)
    y = plot.Axis("up", (TEMPERATURE, LENGTH)[seed % 2], 0.0, high)
    curve = tuple((x.low + (x.high - x.low) * n / 9, high * (0.5 + 0.6 * math.sin(n))) for n in range(10))
    shapes = (
        plot.Curve(curve, ("a curve ", Amount(0.01, LENGTH, 3)), "hidden", "", "moved"),
        plot.Curve(curve[:4], ("filled",), "edge", "weld"),
        plot.Curve(((-1e6, 0.0), (1e6, high)), (), "thin"),
        plot.Mark(curve[2], ("a mark",), "ring", "moved"),
        plot.Mark(curve[3], (), "dot", "moved"),
    )
    table = plot.Table(
        (plot.Column("Length", LENGTH), plot.Column("Words", None), plot.Column("Number", NUMBER)),
        ((0.01, 'a "word"', 3.0), (0.02, "none", 1e-5)),
    )
    frames = tuple(
        plot.Frame(((wide * n / 7, high * n / 9),), ("at ", Amount(n * 0.001, LENGTH, 3), " é")) for n in range(4)
    )
    film = plot.Film(
        ("moved",), frames, "Play", ("What ", Amount(1.0, LENGTH, 3)), 7.0, 2, "other" if seed == 5 else ""
    )
    drawn = plot.Plot(
        "p",
        "A plot",
        ("Of anything.",),
        x,
        y,
        shapes,
        table,
        equal=seed % 4 == 3,
        tallest=(150.0, 160.0, 230.0)[seed % 3],
        film=film,
        saves_table=seed % 3 == 1,
    )
    lines = (
        approval.picture_lines(plot.svg(drawn, "q", alone=True))
        if seed == 0
        else approval.drawn_by_look(plot.svg(drawn, "q"))
    )
    lines += [*plot.csv_text(drawn).split("\r\n"), plot.film_json(drawn)]
    lines += [
        plot.cell_text(cell, column, system)
        for cell, column in zip((0.01, "w", None), table.columns)
        for system in ("us", "si")
    ]
    return lines


def test_plots_of_anything_are_as_approved():
    approval.check("shapes/plots.txt", approval.parts({f"seed {seed}": plot_of_anything(seed) for seed in range(6)}))


def test_a_plot_of_what_lies_far_outside_is_as_approved():
    far = ((-1e9, 1e9), (0.1, 400.0), (1e9, -1e9))
    shapes = (plot.Curve(far, ("a curve",)), plot.Mark(far[0]), plot.Mark(far[2]))
    drawn = plot.Plot(
        "p",
        "A plot",
        ("Of little.",),
        plot.Axis("along", LENGTH, 0.0, 0.2),
        plot.Axis("up", TEMPERATURE, 0.0, 700.0),
        shapes,
        plot.Table((), ()),
    )
    approval.check(
        "shapes/plot-far.txt",
        [line for line in approval.picture_lines(plot.svg(drawn, "q")) if line.startswith(("circle", "polyline"))],
    )


def test_the_pictures_of_the_pages_and_questions_are_as_approved():
    told = {f"page {name}": shop_pictures.picture(name) for name in shop_pictures.PICTURES}
    told |= {f"question {name}": pictures.picture(name) for name in pictures.PICTURES}
    approval.check(
        "shapes/pictures.txt",
        approval.parts(
            {
                name: [f"{each.title}. {drawing.described(each.description)}", *approval.drawn_by_look(svg(each))]
                for name, each in told.items()
            }
        ),
    )
