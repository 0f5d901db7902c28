"""Plots as SVG: axes with ticks in both systems, curves, isolines, marks; a table of the numbers; frames to play.

The looks are those of `calc.show.drawing`. A plot is held in base units. Each axis is ticked in the US and in the SI
unit at round numbers of each: where both systems are shown, US stands below and left, SI above and right. What is
measured back from the SVG by its `data-x` and `data-y` (sheet place of zero, sheet units per base unit) is the value
itself. Curves are told apart by line kind and by words in the key, never by color.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from html import escape
from typing import Any

from calc.core.declare import Amount, Phrase, phrase_text
from calc.core.units import SYSTEMS, Kind, Number, System, Unit, show, significant
from calc.show.drawing import SHEET_WIDTH, Drawing, Point, counts, described, drawing_svg
from calc.show.table import csv_table

LEFT, RIGHT, TOP, BELOW = 62.0, 62.0, 44.0, 46.0
"""Room around the field of a plot for ticks and names, in sheet units."""

KEY_ROW = 19.0
TAG_LETTER = 7.2
"""Width of an average letter of a tag."""


@dataclass(frozen=True)
class Axis:
    """What runs along one side: its name, kind, and the range shown in base units. `marks` are ticks of its own, each a
    place and its words, in place of round numbers.
    """

    label: str
    kind: Kind
    low: float
    high: float
    marks: tuple[tuple[float, str], ...] = ()


@dataclass(frozen=True)
class Curve:
    """A line through points in base units.

    `look` as in `drawing.Path`; a `fill` (a look of `drawing.Polygon`) closes it.

    Without a label it is left out of the key. `part` names what moves together when the plot is played.
    """

    points: tuple[Point, ...]
    label: Phrase = ()
    look: str = "edge"
    fill: str = ""
    part: str = ""


@dataclass(frozen=True)
class Mark:
    """A point with a sign: dot or ring."""

    at: Point
    label: Phrase = ()
    sign: str = "dot"
    part: str = ""


@dataclass(frozen=True)
class Tag:
    """Words in the field, in the middle of a box, left out where they don't fit into its width."""

    at: Point
    text: str
    width: float
    label: Phrase = ()
    part: str = ""


@dataclass(frozen=True)
class Column:
    """A column of the table; None as kind for words."""

    label: str
    kind: Kind | None


@dataclass(frozen=True)
class Table:
    """The numbers of a plot for those who do not see it. Cells are in base units, or words, or quantities that are
    shown as they were written, or None for none.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[Number | str | Amount | None, ...], ...]


@dataclass(frozen=True)
class Listing:
    """A table of an answer that stands open, such as what to order."""

    name: str
    title: str
    table: Table


@dataclass(frozen=True)
class Frame:
    """One moment: how far each part stands from its drawn place, in base units, and what is said of it."""

    shifts: tuple[Point, ...]
    says: Phrase = ()


@dataclass(frozen=True)
class Film:
    """Moments at even steps of time that a script shows one after the other; it works out nothing itself.

    `follows` names the plot whose film drives this one; else the plot gets the controls, under `label`. `rest` is the
    frame as drawn, where nothing is shifted.
    """

    parts: tuple[str, ...]
    frames: tuple[Frame, ...]
    label: str = ""
    hint: Phrase = ()
    seconds: float = 10.0
    rest: int = 0
    follows: str = ""


@dataclass(frozen=True)
class Plot:
    """A plot with its title and a description that states the numbers. `equal` gives both axes one scale.

    Saved as numbers it is the points of its curves; `saves_table` saves the table instead.
    """

    name: str
    title: str
    description: Phrase
    x: Axis
    y: Axis
    shapes: tuple[Curve | Mark | Tag, ...]
    table: Table
    equal: bool = False
    tallest: float = 230.0
    film: Film | None = None
    saves_table: bool = False
    left: float = LEFT
    """Room for the words of the upright axis, in sheet units."""
    wide: float = SHEET_WIDTH
    """Width of the sheet; a wider one scrolls where there is no room for it."""


def round_numbers(low: float, high: float, unit: Unit, about: int = 5) -> tuple[float, ...]:
    """Round numbers of a unit within a range of base units, about so many: steps of 1, 2 or 5 times a power of ten.

    >>> from calc.core.units import INCH, MILLIMETRE
    >>> round_numbers(0, 0.1, INCH), round_numbers(0, 0.1, MILLIMETRE)
    ((0.0, 1.0, 2.0, 3.0), (0.0, 20.0, 40.0, 60.0, 80.0, 100.0))
    """
    first, last = sorted(float(unit.from_base(value)) for value in (low, high))
    rough = (last - first) / about
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * size for size in (1, 2, 5, 10) if power * size >= 0.7 * rough)
    return tuple(round(number * step, 12) for number in counts(first, last, step))


class _Field:
    """Where base units land on the sheet."""

    def __init__(self, plot: Plot) -> None:
        self.x_low, self.x_high, self.y_low, self.y_high = plot.x.low, plot.x.high, plot.y.low, plot.y.high
        self.left, self.width, self.sheet = plot.left, plot.wide - plot.left - RIGHT, plot.wide
        self.x_scale = self.width / (self.x_high - self.x_low)
        if plot.equal:
            # One scale: the side with room to spare shows more of the plate.
            self.x_scale = min(self.x_scale, plot.tallest / (self.y_high - self.y_low))
            spare = self.width / self.x_scale - (self.x_high - self.x_low)
            self.x_low, self.x_high = self.x_low - spare / 2, self.x_high + spare / 2
            self.y_scale = self.x_scale
        else:
            self.y_scale = plot.tallest / (self.y_high - self.y_low)
        self.high = (self.y_high - self.y_low) * self.y_scale
        self.bottom = TOP + self.high

    @property
    def zero(self) -> Point:
        """The sheet place of (0, 0), shown or not."""
        return self.left - self.x_low * self.x_scale, self.bottom + self.y_low * self.y_scale

    def x(self, value: float) -> float:
        return _near(self.left + (float(value) - self.x_low) * self.x_scale)

    def y(self, value: float) -> float:
        return _near(self.bottom - (float(value) - self.y_low) * self.y_scale)

    def place(self, point: Point) -> Point:
        return self.x(point[0]), self.y(point[1])

    def points(self, points: Iterable[Point]) -> str:
        return " ".join(f"{x:.2f},{y:.2f}" for x, y in map(self.place, points))


def _near(place: float) -> float:
    # Far outside the field a coordinate only lengthens the file; the clip hides it all the same.
    return min(max(place, -2000.0), 2000.0)


def svg(figure: Drawing | Plot, place: str = "drawing", alone: bool = False) -> str:
    """A drawing or a plot as an SVG element; `alone` adds what a file of its own needs."""
    if isinstance(figure, Drawing):
        return drawing_svg(figure, place, alone)
    field = _Field(figure)
    ident = f"{place}-{figure.name}"
    keyed = [shape for shape in figure.shapes if shape.label]
    height = field.bottom + BELOW + KEY_ROW * len(keyed)
    head = ' xmlns="http://www.w3.org/2000/svg"' if alone else ""
    style = f"<style>{_ALONE_STYLE}</style>" if alone else ""
    zero_x, zero_y = field.zero
    return (
        f'<svg{head} class="drawing plot{_widths(field.sheet)}" role="img" aria-labelledby="{ident}-title {ident}-desc" '
        f'viewBox="0 0 {field.sheet:g} {height:.1f}" data-x="{zero_x!r} {field.x_scale!r}" data-y="{zero_y!r} {-field.y_scale!r}">'
        f'<title id="{ident}-title">{escape(figure.title)}</title><desc id="{ident}-desc">{escape(described(figure.description))}</desc>'
        f'{style}<defs><clipPath id="{ident}-field">{_frame(field)}</clipPath></defs>'
        f"{_axes(figure, field)}"
        f'<g clip-path="url(#{ident}-field)">{_grouped(figure.shapes, field)}</g>'
        f'<g class="frame">{_frame(field)}</g>{_key(keyed, field)}</svg>'
    )


def _widths(sheet: float) -> str:
    """The class of a sheet that needs more than the width of a page: how many times a thousand units it is wide."""
    return f" wide-{math.ceil(sheet / 1000)}" if sheet > SHEET_WIDTH else ""


def _frame(field: _Field) -> str:
    return f'<rect x="{field.left:g}" y="{TOP:g}" width="{field.width:g}" height="{field.high:.2f}"/>'


def _grouped(shapes: Sequence[Curve | Mark | Tag], field: _Field) -> str:
    """The shapes in order, those of one part in a group that a script can shift."""
    groups: list[tuple[str, list[str]]] = []
    for shape in shapes:
        if not groups or groups[-1][0] != shape.part:
            groups.append((shape.part, []))
        groups[-1][1].append(_shape(shape, field))
    return "".join(
        f'<g data-part="{escape(part)}">{"".join(inside)}</g>' if part else "".join(inside) for part, inside in groups
    )


def _shape(shape: Curve | Mark | Tag, field: _Field) -> str:
    match shape:
        case Curve():
            return _curve(shape, field)
        case Mark():
            return _sign(*field.place(shape.at), shape.sign)
    text = _fitted(shape.text, shape.width * field.x_scale)
    x, y = field.place(shape.at)
    return f'<text class="tag" x="{x:.2f}" y="{y + 4:.2f}" text-anchor="middle">{escape(text)}</text>' if text else ""


def _fitted(text: str, width: float) -> str:
    """As much of a few words as fits into a width, whole words only.

    >>> _fitted("Ada, 3G", 70), _fitted("Ada, 3G", 40), _fitted("Ada, 3G", 10)
    ('Ada, 3G', 'Ada', '')
    """
    words = text.split()
    while words and len(" ".join(words)) * TAG_LETTER > width:
        words.pop()
    return " ".join(words).rstrip(",")


def _curve(curve: Curve, field: _Field) -> str:
    points = field.points(curve.points)
    if curve.fill:
        return f'<polygon class="area {curve.fill} {curve.look}" points="{points}"/>'
    return f'<polyline class="line {curve.look}" points="{points}"/>'


def _sign(x: float, y: float, sign: str) -> str:
    return f'<circle class="sign {sign}" cx="{x:.2f}" cy="{y:.2f}" r="{4.5 if sign == "dot" else 6}"/>'


# --- axes -------------------------------------------------------------------------


def _axes(plot: Plot, field: _Field) -> str:
    return _x_axis(plot.x, field) + _y_axis(plot.y, field)


def _scales(axis: Axis) -> tuple[tuple[str, System, bool], ...]:
    """The scales of an axis: (class, system, on the second side). SI alone takes the place of US."""
    if axis.kind.us == axis.kind.si:
        return (("", "us", False),)
    return ("us", "us", False), ("si beside", "si", True), ("only-si", "si", False)


def _x_axis(axis: Axis, field: _Field) -> str:
    parts = []
    for name, system, second in _scales(axis):
        unit = axis.kind.unit(system)
        marks, numbers = [], []
        for place, words in _ticks(axis, field.x_low, field.x_high, unit):
            x = field.x(place)
            marks.append(f"M{x:.2f} {TOP:g} v-5" if second else f"M{x:.2f} {TOP:g} V{field.bottom + 5:.2f}")
            y = TOP - 9 if second else field.bottom + 18
            numbers.append(f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="middle">{escape(words)}</text>')
        title = (
            f'<text x="{field.left - 12:g}" y="{TOP - 9:.2f}" text-anchor="end">{escape(unit.symbol)}</text>' if second else
            f'<text x="{field.left + field.width / 2:g}" y="{field.bottom + 36:.2f}" text-anchor="middle">{escape(_named(axis, unit))}</text>'
        )
        parts.append(_scale(name, marks, numbers, title, second))
    return "".join(parts)


def _y_axis(axis: Axis, field: _Field) -> str:
    parts = []
    for name, system, second in _scales(axis):
        unit = axis.kind.unit(system)
        marks, numbers = [], []
        for place, words in _ticks(axis, field.y_low, field.y_high, unit, 4 if field.high < 160 else 6):
            y = field.y(place)
            x = field.left + field.width
            marks.append(f"M{x:g} {y:.2f} h5" if second else f"M{x:g} {y:.2f} H{field.left - 5:g}")
            numbers.append(
                f'<text x="{x + 9 if second else field.left - 9:g}" y="{y + 4.5:.2f}" text-anchor="{"start" if second else "end"}">'
                f"{escape(words)}</text>"
            )
        named = unit.symbol if second else _named(axis, unit)
        at, anchor = (field.sheet - 6, "end") if second else (6, "start")
        title = f'<text x="{at:g}" y="15" text-anchor="{anchor}">{escape(named)}</text>'
        parts.append(_scale(name, marks, numbers, title, second))
    return "".join(parts)


def _ticks(axis: Axis, low: float, high: float, unit: Unit, about: int = 5) -> list[tuple[float, str]]:
    """Places of ticks in base units, with their words."""
    if axis.marks:
        return list(axis.marks)
    return [(float(unit.to_base(number)), _tick(number)) for number in round_numbers(low, high, unit, about)]


def _tick(number: float) -> str:
    return significant(number, 6).replace("-", "−")


def _named(axis: Axis, unit: Unit) -> str:
    return f"{axis.label}, {unit.symbol}" if unit.symbol else axis.label


def _scale(name: str, marks: list[str], numbers: list[str], title: str, second: bool) -> str:
    look = "tick" if second else "grid"
    return f'<g class="scale {name}"><path class="{look}" d="{"".join(marks)}"/>{"".join(numbers)}{title}</g>'


# --- key --------------------------------------------------------------------------


def _key(shapes: Sequence[Curve | Mark | Tag], field: _Field) -> str:
    rows = []
    for number, shape in enumerate(shapes):
        y = field.bottom + BELOW + KEY_ROW * (number + 0.5)
        if isinstance(shape, Mark):
            sample = _sign(LEFT - 30, y, shape.sign)
        elif shape.fill:
            sample = f'<rect class="area {shape.fill} {shape.look}" x="{LEFT - 48:g}" y="{y - 5.5:.2f}" width="36" height="11"/>'
        else:
            sample = f'<path class="line {shape.look}" d="M{LEFT - 48:g} {y:.2f} h36"/>'
        rows.append(f'{sample}<text x="{LEFT - 4:g}" y="{y + 4.5:.2f}">{_label(shape.label)}</text>')
    return f'<g class="key">{"".join(rows)}</g>'


def _label(phrase: Phrase) -> str:
    parts = []
    for part in phrase:
        us, si = (part, part) if isinstance(part, str) else (part.text("us"), part.text("si"))
        parts.append(
            escape(us) if us == si else
            f'<tspan class="us">{escape(us)}</tspan><tspan class="sep"> / </tspan><tspan class="si">{escape(si)}</tspan>'
        )
    return "".join(parts)


# --- what goes with a plot ------------------------------------------------------------


def film_json(plot: Plot) -> str:
    """The frames as JSON, shifts in sheet units: what the script that plays them gets."""
    assert plot.film
    film, field = plot.film, _Field(plot)
    moves = {
        part: [
            [round(frame.shifts[n][0] * field.x_scale, 1), round(-frame.shifts[n][1] * field.y_scale, 1)]
            for frame in film.frames
        ]
        for n, part in enumerate(film.parts)
    }
    told: dict[str, object] = {"moves": moves, "follows": film.follows}
    if not film.follows:
        told |= {
            "label": film.label, "hint": described(film.hint), "seconds": film.seconds, "rest": film.rest,
            "says": {
                **{system: [phrase_text(frame.says, system) for frame in film.frames] for system in SYSTEMS},
                "both": [described(frame.says) for frame in film.frames],
            },
        }
    return json.dumps(told, ensure_ascii=False, separators=(",", ":"))


def cell_text(cell: float | str | None, column: Column, system: System) -> str:
    """A cell of the table as shown; a dash where there is none.

    >>> from calc.core.units import LENGTH
    >>> cell_text(0.0254, Column("Length", LENGTH), "si"), cell_text("cold", Column("State", None), "si"), cell_text(None, Column("Length", LENGTH), "us")
    ('25.4\\xa0mm', 'cold', '–')
    """
    if cell is None:
        return "–"
    if isinstance(cell, Amount):
        return cell.text(system)
    return cell if isinstance(cell, str) or column.kind is None else show(cell, column.kind, system, 3)


def csv_text(plot: Plot) -> str:
    """The points of every curve and mark as comma-separated values, a row a point, each axis in both units; or the
    table.

    Numbers stand with a decimal point and without grouping.
    """
    return csv_table(_table_rows(plot.table) if plot.saves_table else _point_rows(plot))


def _point_rows(plot: Plot) -> Iterator[list[Any]]:
    axes = (plot.x, plot.y)
    units = [tuple(dict.fromkeys((axis.kind.us, axis.kind.si))) for axis in axes]
    yield ["Curve", *(_named(axis, unit) for axis, own in zip(axes, units, strict=True) for unit in own)]
    for number, shape in enumerate(plot.shapes, 1):
        name = described(shape.label) or f"line {number}"
        for point in shape.points if isinstance(shape, Curve) else (shape.at,):
            yield [
                name, *(_six(unit.from_base(value)) for value, own in zip(point, units, strict=True) for unit in own),
            ]


def _table_rows(table: Table) -> Iterator[list[Any]]:
    yield [
        column.label + (f", {column.kind.us.symbol}" if column.kind and column.kind.us.symbol else "")
        for column in table.columns
    ]
    for row in table.rows:
        cells = zip(row, table.columns, strict=True)
        yield [
            _six(column.kind.us.from_base(cell)) if column.kind and not isinstance(cell, str) else str(cell)
            for cell, column in cells
        ]


def _six(value: Number) -> Decimal:
    """A figure to six digits, as a number that a table writes without an apostrophe before its sign."""
    return Decimal(f"{float(value):.6g}")


_ALONE_STYLE = (
    "text{font:14px sans-serif;fill:#000}.line{fill:none;stroke:#000;stroke-width:1.6}.line.thin{stroke-width:.8}"
    ".hidden{stroke-dasharray:6 4}.limit{stroke-dasharray:2 4}.center{stroke-dasharray:12 3 3 3}.cut{stroke-width:2.6}"
    ".area{fill:#fff;stroke:#000;stroke-width:1.4}.fired{fill:#ddd}.grid{fill:none;stroke:#bbb;stroke-width:.6}"
    ".tick{fill:none;stroke:#000;stroke-width:1}.frame rect{fill:none;stroke:#000;stroke-width:1}"
    ".sign{stroke:#000;stroke-width:1.6;fill:#fff}.sign.dot{fill:#000}.only-si{display:none}"
)
