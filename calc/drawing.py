"""Drawings to scale, as SVG, made from the very numbers of an answer.

A drawing is a list of shapes in metres (y points up). It is placed on the sheet
with one scale for both axes, so what is measured back from the SVG, divided by
`data-scale` (sheet units per metre), is the value itself. Meaning is carried by
words, hatching and line kinds; color only helps. The looks stand in the site's
style sheet; a drawing on its own (`--svg`) carries a plain one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from html import escape

from calc.declare import Amount, Phrase, phrase_text

Point = tuple[float, float]

SHEET_WIDTH = 420.0
TALLEST = 460.0
TEXT_SIZE = 13.0
TEXT_WIDTH = 0.56
"""Width of an average letter in text sizes; labels are kept on the sheet by it."""


@dataclass(frozen=True)
class Polygon:
    """A closed area. `look`: plate, weld, backing, waste, tool, fired, stretched, pressed, zone or plain."""

    points: tuple[Point, ...]
    look: str = "plain"


@dataclass(frozen=True)
class Path:
    """An open line. `look`: edge, thin, hidden (dashed), center (chain), cut, limit, arrow."""

    points: tuple[Point, ...]
    look: str = "edge"


@dataclass(frozen=True)
class Circle:
    """A circle, to scale."""

    center: Point
    radius: float
    look: str = "plain"


@dataclass(frozen=True)
class Dimension:
    """A dimension line between two points, set off to the left of the way from `start` to `end` by `away` sheet units."""

    start: Point
    end: Point
    label: Phrase
    away: float = 16.0


@dataclass(frozen=True)
class Note:
    """Words at a point. `anchor`: start, middle or end; `right` and `up` shift it on the sheet."""

    at: Point
    label: Phrase
    anchor: str = "middle"
    right: float = 0.0
    up: float = 0.0


Shape = Polygon | Path | Circle | Dimension | Note


@dataclass(frozen=True)
class Drawing:
    """A drawing with its title and a description that states the numbers in words. `stretch` is told where it is not 1."""

    name: str
    title: str
    description: Phrase
    shapes: tuple[Shape, ...]
    margin: float = 44.0
    tallest: float = TALLEST
    extra: tuple[Point, ...] = field(default=())
    """Points that must be on the sheet although no shape has them."""


def arc(center: Point, radius: float, start_deg: float, end_deg: float, parts: int = 24) -> tuple[Point, ...]:
    """Points along an arc, angles in degrees, counterclockwise from the right.

    >>> [(round(x, 6), round(y, 6)) for x, y in arc((0, 0), 1, 0, 90, 1)]
    [(1.0, 0.0), (0.0, 1.0)]
    """
    turn = (math.radians(start_deg + (end_deg - start_deg) * step / parts) for step in range(parts + 1))
    return tuple((center[0] + radius * math.cos(angle), center[1] + radius * math.sin(angle)) for angle in turn)


def words(text: str) -> Phrase:
    """Plain words as a label."""
    return (text,)


class _Sheet:
    """Where metres land on the sheet."""

    def __init__(self, drawing: Drawing) -> None:
        points = list(drawing.extra)
        for shape in drawing.shapes:
            match shape:
                case Polygon(points=given) | Path(points=given):
                    points += given
                case Circle(center=(x, y), radius=r):
                    points += [(x - r, y - r), (x + r, y + r)]
                case Dimension(start=a, end=b):
                    points += [a, b]
                case Note(at=at):
                    points.append(at)
        xs, ys = [float(x) for x, _ in points], [float(y) for _, y in points]
        self.left, self.top = min(xs), max(ys)
        wide, high = max(max(xs) - self.left, 1e-9), max(self.top - min(ys), 1e-9)
        self.margin = drawing.margin
        self.scale = min((SHEET_WIDTH - 2 * self.margin) / wide, (drawing.tallest - 2 * self.margin) / high)
        self.shift = (SHEET_WIDTH - wide * self.scale) / 2
        self.height = high * self.scale + 2 * self.margin

    def x(self, value: float) -> float:
        return self.shift + (float(value) - self.left) * self.scale

    def y(self, value: float) -> float:
        return self.margin + (self.top - float(value)) * self.scale

    def points(self, points: Iterable[Point]) -> str:
        return " ".join(f"{self.x(x):.3f},{self.y(y):.3f}" for x, y in points)


def svg(drawing: Drawing, place: str = "drawing", alone: bool = False) -> str:
    """The drawing as an SVG element; `alone` adds what a file of its own needs."""
    sheet = _Sheet(drawing)
    ident = f"{place}-{drawing.name}"
    inside = "".join(_shape(shape, sheet, ident) for shape in drawing.shapes)
    head = ' xmlns="http://www.w3.org/2000/svg"' if alone else ""
    style = f"<style>{_ALONE_STYLE}</style>" if alone else ""
    return (
        f'<svg{head} class="drawing" role="img" aria-labelledby="{ident}-title {ident}-desc" '
        f'viewBox="0 0 {SHEET_WIDTH:g} {sheet.height:.1f}" data-scale="{sheet.scale!r}">'
        f'<title id="{ident}-title">{escape(drawing.title)}</title><desc id="{ident}-desc">{escape(described(drawing.description))}</desc>'
        f"{style}<defs>{_patterns(ident)}</defs>{inside}</svg>"
    )


def described(phrase: Phrase) -> str:
    """A description with both systems in one text, since what is spoken cannot be switched."""
    return "".join(part if isinstance(part, str) else _both(part) for part in phrase)


def _both(amount: Amount) -> str:
    us, si = amount.text("us"), amount.text("si")
    return us if us == si else f"{us} ({si})"


def _patterns(ident: str) -> str:
    lines = {
        "plate": ("M0 8 L8 0", 8), "backing": ("M0 0 L8 8", 8), "weld": ("M2 2 h1 M6 6 h1", 8), "waste": ("M0 5 L5 0 M0 0 L5 5", 5),
        "fired": ("M0 3 h6", 6), "stretched": ("M3 0 v6", 6), "pressed": ("M0 3 h6 M3 0 v6", 6),
    }
    return "".join(
        f'<pattern id="{ident}-{look}" width="{size}" height="{size}" patternUnits="userSpaceOnUse">'
        f'<path class="hatch" d="{path}"/></pattern>'
        for look, (path, size) in lines.items()
    )


_HATCHED = ("plate", "backing", "weld", "waste", "fired", "stretched", "pressed")


def _shape(shape: Shape, sheet: _Sheet, ident: str) -> str:
    match shape:
        case Polygon(points=points, look=look):
            place = sheet.points(points)
            base = f'<polygon class="area {look}" points="{place}"/>'
            over = f'<polygon class="hatched" fill="url(#{ident}-{look})" points="{place}"/>' if look in _HATCHED else ""
            return base + over
        case Path(points=points, look=look):
            return f'<polyline class="line {look}" points="{sheet.points(points)}"/>' + (_head(points, sheet) if look == "arrow" else "")
        case Circle(center=(x, y), radius=r, look=look):
            return f'<circle class="area {look}" cx="{sheet.x(x):.3f}" cy="{sheet.y(y):.3f}" r="{float(r) * sheet.scale:.3f}"/>'
        case Dimension():
            return _dimension(shape, sheet)
        case Note(at=(x, y)):
            return _text(sheet.x(x) + shape.right, sheet.y(y) - shape.up, shape.label, shape.anchor)


def _head(points: Sequence[Point], sheet: _Sheet) -> str:
    """An arrow head at the end of a line."""
    (x0, y0), (x1, y1) = ((sheet.x(x), sheet.y(y)) for x, y in points[-2:])
    return _arrow(x1, y1, math.atan2(y1 - y0, x1 - x0))


def _arrow(x: float, y: float, angle: float, long: float = 8.0) -> str:
    corners = [(x, y)] + [(x - long * math.cos(angle + turn), y - long * math.sin(angle + turn)) for turn in (0.35, -0.35)]
    return '<polygon class="head" points="' + " ".join(f"{a:.2f},{b:.2f}" for a, b in corners) + '"/>'


def _dimension(shape: Dimension, sheet: _Sheet) -> str:
    (x0, y0), (x1, y1) = (sheet.x(shape.start[0]), sheet.y(shape.start[1])), (sheet.x(shape.end[0]), sheet.y(shape.end[1]))
    length = math.hypot(x1 - x0, y1 - y0) or 1.0
    across_x, across_y = (y1 - y0) / length, -(x1 - x0) / length
    ax, ay, bx, by = (
        x0 + across_x * shape.away, y0 + across_y * shape.away, x1 + across_x * shape.away, y1 + across_y * shape.away,
    )
    over = math.copysign(4, shape.away) if shape.away else 0
    angle = math.atan2(by - ay, bx - ax)
    if length >= 26:
        heads = _arrow(bx, by, angle) + _arrow(ax, ay, angle + math.pi)
        line = f'<line class="line thin" x1="{ax:.3f}" y1="{ay:.3f}" x2="{bx:.3f}" y2="{by:.3f}"/>'
    else:
        # Too short for arrows between: they point in from outside.
        heads = _arrow(bx, by, angle + math.pi) + _arrow(ax, ay, angle)
        run_x, run_y = 14 * math.cos(angle), 14 * math.sin(angle)
        line = (
            f'<line class="line thin" x1="{ax - run_x:.2f}" y1="{ay - run_y:.2f}" x2="{bx + run_x:.2f}" y2="{by + run_y:.2f}"/>'
        )
    stays = "".join(
        f'<line class="line thin" x1="{x:.2f}" y1="{y:.2f}" x2="{x + across_x * (shape.away + over):.2f}" y2="{y + across_y * (shape.away + over):.2f}"/>'
        for x, y in ((x0, y0), (x1, y1))
    ) if shape.away else ""
    side = math.copysign(1, shape.away or 1)
    flat = abs(across_y) > 0.5
    mid_x, mid_y = (ax + bx) / 2 + across_x * side * 5, (ay + by) / 2 + across_y * side * 5
    if flat:
        anchor = "middle"
        mid_y += 0 if across_y * side < 0 else TEXT_SIZE * 0.75
    else:
        anchor = "start" if across_x * side > 0 else "end"
        mid_y += TEXT_SIZE * 0.35
    if flat or all(isinstance(part, str) for part in shape.label):
        return stays + line + heads + _text(mid_x, mid_y, shape.label, anchor)
    return stays + line + heads + _stacked(mid_x, mid_y, shape.label, anchor)


def _text(x: float, y: float, label: Phrase, anchor: str, look: str = "") -> str:
    """Words on the sheet, moved sideways where they would run off it."""
    wide = max(len(phrase_text(label, system)) for system in ("us", "si")) * TEXT_SIZE * TEXT_WIDTH
    start = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
    x += max(0.0, 3 - start) - max(0.0, start + wide - (SHEET_WIDTH - 3))
    marked = f' class="{look}"' if look else ""
    return f'<text{marked} x="{x:.2f}" y="{y:.2f}" text-anchor="{anchor}">{"".join(_part(part) for part in label)}</text>'


def _stacked(x: float, y: float, label: Phrase, anchor: str) -> str:
    """Words beside an upright line: one system under the other, since there is little room sideways."""
    us, si = (tuple(part if isinstance(part, str) else part.text(system) for part in label) for system in ("us", "si"))
    if us == si:
        return _text(x, y, us, anchor)
    return _text(x, y, us, anchor, "us") + _text(x, y, si, anchor, "si below")


def _part(part: str | Amount) -> str:
    if isinstance(part, str):
        return escape(part)
    us, si = part.text("us"), part.text("si")
    if us == si:
        return escape(us)
    return f'<tspan class="us">{escape(us)}</tspan><tspan class="sep"> / </tspan><tspan class="si">{escape(si)}</tspan>'


_ALONE_STYLE = (
    "text{font:13px sans-serif;fill:#000;stroke:#fff;stroke-width:3px;paint-order:stroke}"
    ".below{transform:translateY(14px)}.area{fill:#fff;stroke:#000;stroke-width:1.4}.line{fill:none;stroke:#000;stroke-width:1.6}.line.thin{stroke-width:.8}"
    ".line.hidden,.line.limit{stroke-dasharray:6 4}.line.center{stroke-dasharray:12 3 3 3}.line.cut{stroke-width:2.6}"
    ".hatch{stroke:#000;stroke-width:.6;fill:none}.hatched{stroke:none}.head{fill:#000}.plate{fill:#e8e8e8}.weld{fill:#d0d0d0}"
)
