"""Drawings to scale, as SVG, made from the very numbers of an answer.

A drawing is a list of shapes in metres (y points up). It is placed on the sheet
with one scale for both axes, so what is measured back from the SVG, divided by
`data-scale` (sheet units per metre), is the value itself. What is drawn larger
than the rest carries its factor in `data-stretch` and says so in words; what is
too long for the sheet is shown broken, with `data-broken`, and its dimension keeps
the true figure. A measure that is not a length stands on a `Scale` instead.

Meaning is carried by words, hatching and line kinds; color only helps. The looks
stand in the site's style sheet; a drawing on its own (`--svg`) carries a plain one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from html import escape

from calc.core.declare import Amount, Phrase, Working
from calc.core.units import INCH, SYSTEMS, Kind, Number, Unit, shop_fraction, significant

Point = tuple[float, float]

SHEET_WIDTH = 360.0
TALLEST = 260.0
TEXT_SIZE = 14.0
LINE = 16.0
"""From one line of words to the next."""
LETTER = TEXT_SIZE * 0.56
"""Width of an average letter; labels are kept on the sheet and off each other by it."""
EDGE = 3.0


def metres(w: Working, *names: str) -> tuple[float, ...]:
    """The known quantities of those names, in base units, as plain numbers."""
    return tuple(float(amount.amount) for amount in (w.known[name] for name in names) if isinstance(amount, Amount))


@dataclass(frozen=True)
class Polygon:
    """A closed area. `look` names its hatch: see `HATCHES`; tool, gap, bead, zone and plain carry none."""

    points: tuple[Point, ...]
    look: str = "plain"
    name: str = ""


@dataclass(frozen=True)
class Path:
    """An open line. `look`: edge, thin, hidden (dashed), center (chain), cut, mark (heavy), limit (dotted), arrow."""

    points: tuple[Point, ...]
    look: str = "edge"
    name: str = ""


@dataclass(frozen=True)
class Circle:
    """A circle, to scale."""

    center: Point
    radius: float
    look: str = "plain"
    name: str = ""


@dataclass(frozen=True)
class Dimension:
    """A dimension line between two points, set off to the left of the way from `start` to `end` by `away` sheet
    units.

    One that `sets` an input of the calculator can be pulled at its end; `pulls` is how far the end moves for each metre
    of the input: a half where both ends move.
    """

    start: Point
    end: Point
    label: Phrase
    away: float
    name: str = ""
    sets: str = ""
    pulls: float = 1.0


@dataclass(frozen=True)
class Handle:
    """A place to grip that sets an input which no dimension line shows. `way` is how the place moves, in drawing units,
    for each base unit of the input.
    """

    at: Point
    way: Point
    sets: str


@dataclass(frozen=True)
class Note:
    """Words at a point. `anchor`: start, middle or end; `right` and `up` shift them on the sheet.

    With `lead` a thin line runs from the words to the point. Words that `may_go` are left out where other words stand;
    `narrow` ones show one system under the other.
    """

    at: Point
    label: Phrase
    anchor: str = "middle"
    right: float = 0.0
    up: float = 0.0
    lead: bool = False
    may_go: bool = False
    narrow: bool = False


@dataclass(frozen=True)
class Scale:
    """A measure that is not a length, laid along the sheet. Values are in base units; the sheet is one unit wide."""

    low: float
    high: float
    kind: Kind | None
    title: str
    marks: tuple[tuple[float, str], ...] = ()
    """Ticks of one's own, such as dates; else they are worked out in both systems."""

    def at(self, value: Number) -> float:
        """Where a value stands, as a share of the width."""
        return (float(value) - self.low) / (self.high - self.low)


@dataclass(frozen=True)
class Axis:
    """A scale drawn with its ticks, numbers and unit, at a height."""

    scale: Scale
    y: float


@dataclass(frozen=True)
class Row:
    """One line on a scale: a mark, or a bar where there is a `high`. `endless` has an arrow in place of its end."""

    label: Phrase
    low: Number
    high: Number | None = None
    look: str = "allowed"
    name: str = ""
    endless: bool = False
    sets: str = ""
    """The input that a mark sets where it can be pulled along the scale."""


Shape = Polygon | Path | Circle | Dimension | Handle | Note | Axis


@dataclass(frozen=True)
class Drawing:
    """A drawing with its title and a description that states the numbers in words.

    `stretch` is the factor of whatever `stretched` names; `lengths` is False where the sheet shows no lengths.
    """

    name: str
    title: str
    description: Phrase
    shapes: tuple[Shape, ...]
    margin: float = 18.0
    left: float = 0.0
    right: float = 0.0
    """Room beside the drawing for words, on top of the margin."""
    tallest: float = TALLEST
    extra: tuple[Point, ...] = field(default=())
    """Points that must be on the sheet although no shape has them."""
    stretch: int = 1
    stretched: str = ""
    broken: bool = False
    lengths: bool = True
    legend: tuple[str, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """The sentences under the drawing."""
        larger = (f"Not to scale: {self.stretched} drawn {self.stretch} times as large.",) if self.stretch != 1 else ()
        return (*self.legend, *larger, *(("Zigzag lines: a piece is left out.",) if self.broken else ()))


# --- helpers for those who draw -------------------------------------------------


def arc(center: Point, radius: float, start_deg: float, end_deg: float, parts: int) -> tuple[Point, ...]:
    """Points along an arc, angles in degrees, counterclockwise from the right.

    >>> [(round(x, 6), round(y, 6)) for x, y in arc((0, 0), 1, 0, 90, 1)]
    [(1.0, 0.0), (0.0, 1.0)]
    """
    turn = (math.radians(start_deg + (end_deg - start_deg) * step / parts) for step in range(parts + 1))
    return tuple((center[0] + radius * math.cos(angle), center[1] + radius * math.sin(angle)) for angle in turn)


def box(left: float, bottom: float, right: float, top: float) -> tuple[Point, ...]:
    """The corners of an upright rectangle, counterclockwise from the lower left one.

    >>> box(0, 0, 2, 1)
    ((0, 0), (2, 0), (2, 1), (0, 1))
    """
    return ((left, bottom), (right, bottom), (right, top), (left, top))


def mirrored(points: Sequence[Point], about: float = 0.0) -> tuple[Point, ...]:
    """The same points, left and right changed, about an upright line.

    >>> mirrored(((1, 5), (3, 6)), about=2)
    ((3, 5), (1, 6))
    """
    return tuple((2 * about - x, y) for x, y in points)


def words(text: str) -> Phrase:
    """Plain words as a label.

    >>> words("plate")
    ('plate',)
    """
    return (text,)


def stretch_for(size: float, wanted: float) -> int:
    """The round factor that brings a small size near to a wanted one, never under 1.

    >>> stretch_for(0.5, 3), stretch_for(8, 3), stretch_for(0, 3)
    (5, 1, 1)
    """
    if size <= 0:
        return 1
    return max((factor for factor in (2, 5, 10, 20, 50, 100, 200, 500) if size * factor <= wanted), default=1)


def zigzag(middle: Point, half: float, angle: float = 90.0) -> Path:
    """A break line through a point, along an angle in degrees: what lies at either side of it is farther apart than
    drawn.
    """
    along = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    way = ((-1.2, 0.0), (-0.25, 0.0), (-0.08, 0.2), (0.08, -0.2), (0.25, 0.0), (1.2, 0.0))
    return Path(
        tuple(
            (middle[0] + half * (far * along[0] - off * along[1]), middle[1] + half * (far * along[1] + off * along[0]))
            for far, off in way
        ),
        "thin",
    )


ROW, TALL_ROW = 0.105, 0.15
_BAR = 0.036


def on_scale(scale: Scale, rows: Sequence[Row]) -> tuple[Shape, ...]:
    """Rows of bars and marks above one axis, each with its words, the first row on top."""
    shapes: list[Shape] = [Axis(scale, 0.0)]
    pitch = TALL_ROW if any(_stacks(row.label) for row in rows) else ROW
    for number, row in enumerate(rows):
        foot = 0.03 + pitch * (len(rows) - 1 - number)
        start = scale.at(row.low)
        end = start if row.high is None else scale.at(row.high)
        if row.high is None:
            half = _BAR * 0.55
            middle = foot + _BAR / 2
            shapes.append(Path(((start, foot), (start, 0.0)), "thin"))
            shapes.append(
                Polygon(
                    ((start - half, middle), (start, middle - half), (start + half, middle), (start, middle + half)),
                    "tool", row.name,
                )
            )
            if row.sets:
                shapes.append(Handle((start, middle), (1 / (scale.high - scale.low), 0.0), row.sets))
        else:
            shapes.append(Polygon(box(start, foot, end, foot + _BAR), row.look, row.name))
        if row.endless:
            shapes.append(Path(((end, foot + _BAR / 2), (end + 0.04, foot + _BAR / 2)), "arrow"))
        shapes.append(Note(((start + end) / 2, foot + _BAR), row.label, up=5))
    return tuple(shapes)


def ticks(low: float, high: float, unit: Unit, most: int = 6) -> tuple[tuple[float, str], ...]:
    """Round places on a scale, in base units, with their numbers in a unit.

    >>> [text for _, text in ticks(0.0, 0.0254, INCH)]
    ['0', '1/4', '1/2', '3/4', '1']
    """
    first, last = float(unit.from_base(low)), float(unit.from_base(high))
    step = _round_step((last - first) / (most - 1), unit)
    return tuple(
        (float(unit.to_base(count * step)), _tick_text(count * step, step, unit)) for count in counts(first, last, step)
    )


TINY = 1e-9
"""So much the last bits of a float may take from a whole number."""


def counts(first: float, last: float, step: float) -> range:
    """The whole numbers whose multiples of a step lie from first to last.

    >>> counts(0.3, 1.2, 0.1)
    range(3, 13)
    """
    return range(math.ceil(first / step - TINY), math.floor(last / step + TINY) + 1)


def _round_step(least: float, unit: Unit) -> float:
    if unit is INCH and least <= 1:
        return 2.0 ** math.ceil(math.log2(least) - TINY)
    size = 10.0 ** math.floor(math.log10(least))
    return next(size * step for step in (1, 2, 5, 10) if size * step >= least * (1 - TINY))


def _tick_text(number: float, step: float, unit: Unit) -> str:
    if unit is INCH and step < 1:
        return shop_fraction(Fraction(number) * INCH.factor).removesuffix(" in")
    return significant(number, 6)


# --- the sheet ------------------------------------------------------------------


class _Sheet:
    """Where metres land on the sheet."""

    def __init__(self, drawing: Drawing) -> None:
        points: list[Point] = list(drawing.extra)
        for shape in drawing.shapes:
            match shape:
                case Polygon(points=given) | Path(points=given):
                    points += given
                case Circle(center=(x, y), radius=r):
                    points += [(x - r, y - r), (x + r, y + r)]
                case Dimension(start=a, end=b):
                    points += [a, b]
                case Note(at=at) | Handle(at=at):
                    points.append(at)
                case _:
                    points += [(0.0, shape.y), (1.0, shape.y)]
        xs, ys = [float(x) for x, _ in points], [float(y) for _, y in points]
        self.left, self.top = min(xs), max(ys)
        wide, high = max(xs) - self.left, self.top - min(ys)
        self.margin = drawing.margin
        room = SHEET_WIDTH - 2 * self.margin - drawing.left - drawing.right
        self.scale = min(
            most / size for most, size in ((room, wide), (drawing.tallest - 2 * self.margin, high)) if size
        )
        self.shift = self.margin + drawing.left + (room - wide * self.scale) / 2
        self.height = high * self.scale + 2 * self.margin
        self.grips: list[str] = []
        """Drawn over everything else."""

    def x(self, value: float) -> float:
        return self.shift + (float(value) - self.left) * self.scale

    def y(self, value: float) -> float:
        return self.margin + (self.top - float(value)) * self.scale

    def points(self, points: Iterable[Point]) -> str:
        return " ".join(f"{self.x(x):.3f},{self.y(y):.3f}" for x, y in points)


@dataclass(frozen=True)
class _Words:
    """A label that waits for its place: where it would like to stand, and which way it may grow and move."""

    x: float
    y: float
    label: Phrase
    anchor: str
    rank: int
    grow_up: bool = False
    lead_to: Point | None = None
    upright: bool = False
    """Beside an upright line there is little room sideways: one system stands under the other."""


class _Labels:
    """Puts words on the sheet so that none runs off it and none covers another."""

    def __init__(self, bottom: float) -> None:
        self.waiting: list[_Words] = []
        self.taken: list[tuple[float, float, float, float]] = []
        self.top, self.bottom = 0.0, bottom

    def keep_free(self, top: float, bottom: float) -> None:
        """A band across the sheet where no loose words may stand."""
        self.taken.append((0.0, top, SHEET_WIDTH, bottom))
        self.bottom = max(self.bottom, bottom)

    def place(self, each: _Words) -> str:
        us, si = _in_both(each.label)
        texts = ["".join(us), "".join(si)]
        inline = _both_length(us, si) * LETTER
        alike = us == si
        stacked = not alike and (each.upright or _stacks(each.label))
        wide = max(map(len, texts)) * LETTER if stacked or alike else inline
        start = {"start": each.x, "middle": each.x - wide / 2, "end": each.x - wide}[each.anchor]
        shift = max(0.0, EDGE - start) - max(0.0, start + wide - (SHEET_WIDTH - EDGE))
        above, below = LINE * (stacked and each.grow_up), LINE * (stacked and not each.grow_up)
        y = each.y
        for move in (*_MOVES, 0.0):
            y = each.y + move
            # Numbers in a row of small fields may stand closer: they have no tails.
            tail = -1.0 if each.rank == MAY_GO else TEXT_SIZE * 0.25
            found = (start + shift, y - TEXT_SIZE * 0.8 - above, start + shift + wide, y + tail + below)
            free = not any(_overlap(found, other) for other in self.taken)
            if free or each.rank == MAY_GO:
                break
        if not free and each.rank == MAY_GO:
            return ""
        self.taken.append(found)
        self.top, self.bottom = min(self.top, found[1] - EDGE), max(self.bottom, found[3] + EDGE)
        line = ""
        if each.lead_to is not None:
            x, foot = max(
                found[0], min(each.lead_to[0], found[2]),
            ), found[1] if each.lead_to[1] < found[1] else found[3]
            if found[1] <= each.lead_to[1] <= found[3]:
                x, foot = (found[0] - 2 if each.lead_to[0] < found[0] else found[2] + 2), (found[1] + found[3]) / 2
            line = f'<line class="line thin" x1="{x:.2f}" y1="{foot:.2f}" x2="{each.lead_to[0]:.2f}" y2="{each.lead_to[1]:.2f}"/>'
        x = each.x + shift
        if not stacked:
            return line + _text(x, y, each.anchor, "".join(_part(a, b) for a, b in zip(us, si)))
        first, second = ("us above", "si") if each.grow_up else ("us", "si below")
        return line + _text(x, y, each.anchor, escape(texts[0]), first) + _text(
            x, y, each.anchor, escape(texts[1]), second,
        )


DIMENSION, NOTE, MAY_GO = range(3)
"""Who keeps a place first."""
_MOVES = (0.0, -LINE, LINE, -2 * LINE, 2 * LINE, -3 * LINE, 3 * LINE)


def _overlap(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] + 2 and b[0] < a[2] + 2 and a[1] < b[3] and b[1] < a[3]


def _in_both(label: Phrase) -> tuple[tuple[str, ...], tuple[str, ...]]:
    us, si = (tuple(part if isinstance(part, str) else part.text(system) for part in label) for system in SYSTEMS)
    return us, si


def _stacks(label: Phrase) -> bool:
    """Whether the two systems of a label are too long to stand on one line."""
    us, si = _in_both(label)
    return us != si and _both_length(us, si) * LETTER > SHEET_WIDTH * 0.5


def _both_length(us: Sequence[str], si: Sequence[str]) -> int:
    return sum(len(a) if a == b else len(a) + len(b) + 3 for a, b in zip(us, si))


def _text(x: float, y: float, anchor: str, inside: str, look: str = "") -> str:
    marked = f' class="{look}"' if look else ""
    return f'<text{marked} x="{x:.2f}" y="{y:.2f}" text-anchor="{anchor}">{inside}</text>'


def _part(us: str, si: str) -> str:
    if us == si:
        return escape(us)
    return f'<tspan class="us">{escape(us)}</tspan><tspan class="sep"> / </tspan><tspan class="si">{escape(si)}</tspan>'


WHOLE_SHEET = 279.0
"""A sheet with all its words is no taller, so that on a phone, where a picture gets 240 px of the height, they are
12 px tall: 12 / 14 x 279 = 239."""
LIST = 400.0
"""A drawing that may be taller than this is a list, which grows with its rows."""


def drawing_svg(drawing: Drawing, place: str = "drawing", alone: bool = False) -> str:
    """The drawing as an SVG element; `alone` adds what a file of its own needs."""
    ident = f"{place}-{drawing.name}"
    tallest = drawing.tallest
    sheet, labels, inside = _laid_out(drawing, ident)
    while drawing.tallest < LIST and labels.bottom - labels.top > WHOLE_SHEET and tallest > WHOLE_SHEET / 2:
        tallest = min(tallest, sheet.height) - max(1.0, labels.bottom - labels.top - WHOLE_SHEET)
        sheet, labels, inside = _laid_out(replace(drawing, tallest=tallest), ident)
    top, height = labels.top, labels.bottom - labels.top
    looks = {shape.look for shape in drawing.shapes if isinstance(shape, Polygon)}
    head = ' xmlns="http://www.w3.org/2000/svg"' if alone else ""
    style = f"<style>{_ALONE_STYLE}</style>" if alone else ""
    measure = f' data-scale="{sheet.scale!r}"' if drawing.lengths else ""
    measure += f' data-stretch="{drawing.stretch}"' if drawing.stretch != 1 else ""
    measure += " data-broken=\"\"" if drawing.broken else ""
    return (
        f'<svg{head} class="drawing" role="img" aria-labelledby="{ident}-title {ident}-desc" '
        f'viewBox="0 {top:.1f} {SHEET_WIDTH:g} {height:.1f}"{measure}>'
        f'<title id="{ident}-title">{escape(drawing.title)}</title>'
        f'<desc id="{ident}-desc">{escape(" ".join((described(drawing.description), *drawing.lines)))}</desc>'
        f"{style}<defs>{_patterns(ident, looks)}</defs>{inside}</svg>"
    )


def _laid_out(drawing: Drawing, ident: str) -> tuple[_Sheet, _Labels, str]:
    """The sheet, its words in their places, and all that is drawn on it."""
    sheet = _Sheet(drawing)
    labels = _Labels(sheet.height)
    inside = "".join(_shape(shape, sheet, ident, labels) for shape in drawing.shapes)
    inside += "".join(labels.place(each) for each in sorted(labels.waiting, key=lambda each: each.rank))
    return sheet, labels, inside + _under(drawing.lines, labels) + "".join(sheet.grips)


def _under(lines: Sequence[str], labels: _Labels) -> str:
    """Sentences below everything, broken where the sheet ends."""
    made = ""
    for line in lines:
        for piece in _wrapped(line, int((SHEET_WIDTH - 2 * EDGE) / LETTER)):
            labels.bottom += LINE
            made += _text(SHEET_WIDTH / 2, labels.bottom - 4, "middle", escape(piece))
    labels.bottom += 2 if lines else 0
    return made


def _wrapped(text: str, longest: int) -> list[str]:
    lines: list[str] = []
    for word in text.split():
        if lines and len(lines[-1]) + 1 + len(word) <= longest:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def described(phrase: Phrase) -> str:
    """A description with both systems in one text, since what is spoken cannot be switched."""
    return "".join(part if isinstance(part, str) else part.text_both() for part in phrase)




HATCHES = {
    "plate": ("M0 8 L8 0", 8), "backing": ("M0 0 L8 8", 8), "weld": ("M2 2 h1 M6 6 h1", 8),
    "waste": ("M0 5 L5 0 M0 0 L5 5", 5), "fired": ("M0 3 h6", 6), "stretched": ("M3 0 v6", 6),
    "pressed": ("M0 3 h6 M3 0 v6", 6), "allowed": ("M0 9 L9 0", 9), "clean": ("M2 2 h.8 M4.5 4.5 h.8", 5),
}
"""What each hatched look is filled with: a path in a square of so many sheet units."""


def _patterns(ident: str, looks: set[str]) -> str:
    return "".join(
        f'<pattern id="{ident}-{look}" width="{size}" height="{size}" patternUnits="userSpaceOnUse">'
        f'<path class="hatch" d="{path}"/></pattern>'
        for look, (path, size) in HATCHES.items() if look in looks
    )


def _named(name: str) -> str:
    return f' data-part="{escape(name)}"' if name else ""


def _shape(shape: Shape, sheet: _Sheet, ident: str, labels: _Labels) -> str:
    match shape:
        case Polygon(points=points, look=look, name=name):
            place = sheet.points(points)
            base = f'<polygon class="area {look}"{_named(name)} points="{place}"/>'
            over = f'<polygon class="hatched" fill="url(#{ident}-{look})" points="{place}"/>' if look in HATCHES else ""
            return base + over
        case Path(points=points, look=look, name=name):
            line = f'<polyline class="line {look}"{_named(name)} points="{sheet.points(points)}"/>'
            return line + (_head(points, sheet) if look == "arrow" else "")
        case Circle(center=(x, y), radius=r, look=look, name=name):
            return (
                f'<circle class="area {look}"{_named(name)} cx="{sheet.x(x):.3f}" cy="{sheet.y(y):.3f}" r="{float(r) * sheet.scale:.3f}"/>'
            )
        case Dimension():
            return _dimension(shape, sheet, labels)
        case Axis():
            return _axis(shape, sheet, labels)
        case Handle(at=(x, y), way=(along, up), sets=sets):
            sheet.grips.append(_grip(sheet.x(x), sheet.y(y), along * sheet.scale, -up * sheet.scale, sets))
            return ""
        case _:
            at = (sheet.x(shape.at[0]), sheet.y(shape.at[1]))
            labels.waiting.append(
                _Words(
                    at[0] + shape.right, at[1] - shape.up, shape.label, shape.anchor, MAY_GO if shape.may_go else NOTE,
                    shape.up > 0, at if shape.lead else None, shape.narrow,
                )
            )
            return ""


def _grip(x: float, y: float, along: float, down: float, sets: str) -> str:
    """What a finger takes hold of: a dot, and around it a target wide enough for a glove. `along` and `down` are sheet
    units for each base unit of the input that it sets.
    """
    return (
        f'<g class="grip" data-sets="{escape(sets)}" data-along="{along:.6g}" data-down="{down:.6g}">'
        f'<circle class="reach" cx="{x:.2f}" cy="{y:.2f}" r="22"/><circle class="dot" cx="{x:.2f}" cy="{y:.2f}" r="6"/></g>'
    )


def _head(points: Sequence[Point], sheet: _Sheet) -> str:
    """An arrow head at the end of a line."""
    (x0, y0), (x1, y1) = ((sheet.x(x), sheet.y(y)) for x, y in points[-2:])
    return _arrow(x1, y1, math.atan2(y1 - y0, x1 - x0), HEAD)


HEAD = 8.0
"""Length of an arrow head; a negative one points back."""


def _arrow(x: float, y: float, angle: float, long: float) -> str:
    corners = [(x, y)] + [
        (x - long * math.cos(angle + turn), y - long * math.sin(angle + turn)) for turn in (0.35, -0.35)
    ]
    return '<polygon class="head" points="' + " ".join(f"{a:.2f},{b:.2f}" for a, b in corners) + '"/>'


def _axis(shape: Axis, sheet: _Sheet, labels: _Labels) -> str:
    """The axis once for each system where the two differ: where both are shown, SI stands under US."""
    scale, x0, x1, y = shape.scale, sheet.x(0.0), sheet.x(1.0), sheet.y(shape.y)
    kind = scale.kind
    alike = kind is None or kind.us == kind.si
    made = ""
    for number, system in enumerate(("us",) if alike else SYSTEMS):
        look = "" if alike else system
        moved = " lower" if number else ""
        own = scale.marks or (ticks(scale.low, scale.high, kind.unit(system)) if kind else ())
        unit = kind.unit(system).symbol if kind else ""
        lines = f'<line class="line thin" x1="{x0:.2f}" y1="{y:.2f}" x2="{x1:.2f}" y2="{y:.2f}"/>'
        numbers = ""
        for value, text in own:
            x = x0 + scale.at(value) * (x1 - x0)
            lines += f'<line class="line thin" x1="{x:.2f}" y1="{y:.2f}" x2="{x:.2f}" y2="{y + 5:.2f}"/>'
            numbers += _text(
                min(max(x, EDGE + len(text) * LETTER / 2), SHEET_WIDTH - EDGE - len(text) * LETTER / 2), y + 17,
                "middle", escape(text),
            )
        title = f"{scale.title}, {unit}" if unit else scale.title
        numbers += _text((x0 + x1) / 2, y + 32, "middle", escape(title))
        measure = f' data-low="{scale.low!r}" data-high="{scale.high!r}" data-from="{x0:.3f}" data-to="{x1:.3f}"' if not number else ""
        made += f'<g class="axis {look}{moved}"{measure}>{lines}{numbers}</g>'
    labels.keep_free(y, y + AXIS_HEIGHT * (1 if alike else 2))
    return made


AXIS_HEIGHT = 38


def _dimension(shape: Dimension, sheet: _Sheet, labels: _Labels) -> str:
    (x0, y0), (x1, y1) = (
        sheet.x(shape.start[0]), sheet.y(shape.start[1]),
    ), (sheet.x(shape.end[0]), sheet.y(shape.end[1]))
    length = math.hypot(x1 - x0, y1 - y0)
    across_x, across_y = ((y1 - y0) / length, -(x1 - x0) / length) if length else (0.0, -1.0)
    ax, ay, bx, by = (
        x0 + across_x * shape.away, y0 + across_y * shape.away, x1 + across_x * shape.away, y1 + across_y * shape.away,
    )
    out_x, out_y = (-across_x, -across_y) if shape.away < 0 else (across_x, across_y)
    angle = math.atan2(by - ay, bx - ax)
    name = _named(shape.name)
    if length >= 26:
        heads = _arrow(bx, by, angle, HEAD) + _arrow(ax, ay, angle, -HEAD)
        line = f'<line class="line thin"{name} x1="{ax:.3f}" y1="{ay:.3f}" x2="{bx:.3f}" y2="{by:.3f}"/>'
    else:
        # Too short for arrows between: they point in from outside.
        heads = _arrow(bx, by, angle, -HEAD) + _arrow(ax, ay, angle, HEAD)
        run_x, run_y = 14 * math.cos(angle), 14 * math.sin(angle)
        line = "".join(
            f'<line class="line thin" x1="{x:.2f}" y1="{y:.2f}" x2="{x + sign * run_x:.2f}" y2="{y + sign * run_y:.2f}"/>'
            for x, y, sign in ((ax, ay, -1), (bx, by, 1))
        ) + f'<line class="line thin"{name} x1="{ax:.3f}" y1="{ay:.3f}" x2="{bx:.3f}" y2="{by:.3f}"/>'
    stays = "".join(
        f'<line class="line thin" x1="{x:.2f}" y1="{y:.2f}" x2="{far_x + 4 * out_x:.2f}" y2="{far_y + 4 * out_y:.2f}"/>'
        for x, y, far_x, far_y in ((x0, y0, ax, ay), (x1, y1, bx, by))
    ) if shape.away else ""
    mid_x, mid_y = (ax + bx) / 2 + out_x * 5, (ay + by) / 2 + out_y * 5
    if abs(out_y) > 0.5:
        up = out_y < 0
        # Beside a slanting line the words start where it leaves room for them.
        anchor = "middle" if abs(out_y) > 0.95 else "start" if out_x > 0 else "end"
        labels.waiting.append(
            _Words(mid_x, mid_y + (0 if up else TEXT_SIZE * 0.75), shape.label, anchor, DIMENSION, up)
        )
    else:
        anchor = "start" if out_x > 0 else "end"
        labels.waiting.append(_Words(mid_x, mid_y + TEXT_SIZE * 0.35, shape.label, anchor, DIMENSION, upright=True))
    if shape.sets:
        pull = shape.pulls * sheet.scale
        sheet.grips.append(_grip(bx, by, math.cos(angle) * pull, math.sin(angle) * pull, shape.sets))
    return stays + line + heads


_ALONE_STYLE = (
    "text{font:14px sans-serif;fill:#000;stroke:#fff;stroke-width:3px;paint-order:stroke}"
    ".below{transform:translateY(16px)}.above{transform:translateY(-16px)}.lower{transform:translateY(38px)}"
    ".area{fill:#fff;stroke:#000;stroke-width:1.4}.line{fill:none;stroke:#000;stroke-width:1.6}.line.thin{stroke-width:.8}"
    ".line.hidden{stroke-dasharray:6 4}.line.limit{stroke-width:2.2;stroke-dasharray:2 3}.line.center{stroke-dasharray:12 3 3 3}"
    ".line.cut{stroke-width:2.6}.line.mark{stroke-width:4}.zone{fill:none;stroke-dasharray:6 4}.gap,.found{fill:#000}"
    ".grip{display:none}.hatch{stroke:#000;stroke-width:.6;fill:none}.hatched{stroke:none}.head{fill:#000}.plate{fill:#e8e8e8}.weld,.bead{fill:#d8d8d8}"
)
