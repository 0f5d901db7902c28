"""The guided bend: the jig before, the bent specimen with its stretched outside, and what springs back."""

from __future__ import annotations

import math

from calc.core.declare import Working
from calc.show.drawing import (
    Dimension,
    Drawing,
    Handle,
    Note,
    Path,
    Point,
    Polygon,
    Shape,
    arc,
    box,
    metres,
    words,
    zigzag,
)


def jig(w: Working) -> Drawing:
    """Plunger, specimen and shoulders before the bend. The shoulders are rounded to half the jig opening."""
    t, plunger, opening = metres(w, "thickness", "plunger_diameter", "die_opening")
    a, c = plunger / 2, opening / 2
    shoulder = c
    floor = -1.1 * shoulder
    outer = c + shoulder
    left: tuple[Point, ...] = (
        (-outer, floor), (-c, floor), *arc((-outer, -shoulder), shoulder, 0, 90, 16), (-outer, 0.0),
    )
    right = tuple((-x, y) for x, y in left)
    nose = (*arc((0.0, t + a), a, 180, 360, 24), (a, t + a + 0.9 * plunger), (-a, t + a + 0.9 * plunger))
    shapes = (
        Polygon(left, "tool", "shoulder"), Polygon(right, "tool"),
        Polygon(box(-outer, 0.0, outer, t), "plate", "specimen"),
        Polygon(nose, "tool", "plunger"),
        Path(((0.0, t + a + 0.8 * plunger), (0.0, t + a + 0.1 * plunger)), "arrow"),
        Dimension(
            (-a, t + a + 0.9 * plunger), (a, t + a + 0.9 * plunger), ("plunger ", w.known["plunger_diameter"]), 12,
            "plunger", "plunger_diameter", 0.5,
        ),
        Dimension((c, floor), (-c, floor), ("jig opening ", w.known["die_opening"]), 14, "opening"),
        Dimension((-outer, 0.0), (-outer, t), (w.known["thickness"],), 8, "thickness", "thickness"),
        Note((-outer * 0.62, floor * 0.75), words("shoulder"), up=-4),
        Note((outer * 0.62, floor * 0.75), words("shoulder"), up=-4),
        Note((outer * 0.75, t), words("specimen"), up=8),
    )
    text = (
        "The jig before the bend: a plunger {plunger_diameter} across over a specimen {thickness} thick, on shoulders "
        "{die_opening} apart."
    )
    return Drawing("jig", "Before the bend", w.phrase(text), shapes, left=62, tallest=260)


def bent(w: Working) -> Drawing:
    """The specimen wrapped around the plunger: what is stretched outside and compressed inside, the neutral axis
    between.
    """
    t, plunger = metres(w, "thickness", "plunger_diameter")
    inner, middle, outer = plunger / 2, plunger / 2 + t / 2, plunger / 2 + t
    leg = max(0.7 * plunger, 1.2 * t)
    depth, way = inner + t / 4, math.radians(305)

    def band(small: float, large: float) -> tuple[Point, ...]:
        return (*arc((0.0, 0.0), large, 180, 360, 40), *reversed(arc((0.0, 0.0), small, 180, 360, 40)))

    shapes = (
        *(Polygon(box(x, 0.0, x + t, leg), "plate") for x in (-outer, inner)),
        Polygon(band(middle, outer), "stretched", "stretched"), Polygon(band(inner, middle), "pressed", "pressed"),
        Polygon((*arc((0.0, 0.0), inner, 180, 360, 40), (inner, leg * 0.8), (-inner, leg * 0.8)), "tool", "plunger"),
        Path(
            ((-middle, leg), (-middle, 0.0), *arc((0.0, 0.0), middle, 180, 360, 40), (middle, 0.0), (middle, leg)),
            "center", "neutral",
        ),
        Dimension((-inner, leg * 0.8), (inner, leg * 0.8), (w.known["plunger_diameter"],), -14, "plunger",
            "plunger_diameter", 0.5),
        Dimension((-outer, leg), (-inner, leg), (w.known["thickness"],), 10, "thickness"),
        Note((0.0, -outer), ("outside: stretched ", w.known["elongation"]), up=-16),
        Note(
            (depth * math.cos(way), depth * math.sin(way)), words("inside: compressed"), "start", right=66, up=-14,
            lead=True,
        ),
        Note((middle, leg), words("neutral axis"), "start", right=12, up=8, lead=True),
    )
    text = (
        "The specimen after the bend, {thickness} thick around a plunger {plunger_diameter} across. Outside the "
        "neutral "
        "axis it is stretched, "
        "at the surface by {elongation}; inside it is compressed."
    )
    return Drawing("bent", "After the bend", w.phrase(text), shapes, left=30, right=92, tallest=260)


def spring_back(w: Working) -> Drawing:
    """The specimen under load, dashed, and with the load off. Long legs are drawn broken."""
    t, leg, radius, free, angle, angle_free = metres(
        w, "thickness", "leg", "radius", "radius_free", "angle", "angle_free",
    )
    most = 3 * radius + 4 * t
    broken = leg > most
    shown = min(leg, most)
    loaded, off = (_coupon(r, theta, shown, t) for r, theta in ((radius, angle), (free, angle_free)))
    shapes: list[Shape] = [
        Polygon(off, "plate", "free"), Polygon(loaded, "zone", "loaded"),
        Path(
            (*reversed(_middle(free, angle_free, shown, -1)), *_middle(free, angle_free, shown, 1)), "center",
            "free-middle",
        ),
        Note((0.0, -t / 2), ("load off: ", w.known["angle_free"]), up=-16),
        Note((0.0, radius), ("under load: ", w.known["angle"])),
        Note(_middle(free, angle_free, shown, 1)[-1], ("opens ", w.known["opens"]), "middle", up=20),
    ]
    tip, further = (_middle(radius, theta, shown, 1)[-1] for theta in (angle, angle + 1))
    shapes.append(Handle(tip, (further[0] - tip[0], further[1] - tip[1]), "angle"))
    if broken:
        half = angle_free / 2
        for sign in (-1, 1):
            *_, (x0, y0), (x1, y1) = _middle(free, angle_free, shown, sign)
            shapes += [zigzag(
                (x0 + part * (x1 - x0), y0 + part * (y1 - y0)), t, 90 + sign * half,
            ) for part in (0.8, 0.84)]
    text = (
        "The bent specimen from its edge. Dashed: under load, bent {angle}. Solid: with the load off, {angle_free}; it "
        "opens by {opens} and the tips "
        "move apart by {tips_open}."
    )
    return Drawing(
        "springs", "Under load and load off", w.phrase(text), tuple(shapes), left=24, right=24, broken=broken,
        legend=("Dashed: under load. Solid: load off.",),
    )


def _middle(radius: float, angle: float, leg: float, sign: int) -> list[Point]:
    """The middle line of one side, from the bottom of the bend to the tip."""
    half = math.radians(angle) / 2
    line = [(
        sign * radius * math.sin(half * step / 20), radius * (1 - math.cos(half * step / 20)),
    ) for step in range(21)]
    x, y = line[-1]
    return [*line, (x + sign * leg * math.cos(half), y + leg * math.sin(half))]


def _coupon(radius: float, angle: float, leg: float, t: float) -> tuple[Point, ...]:
    """The specimen's outline: half a thickness to either side of its middle line."""
    half = math.radians(angle) / 2
    turns = [half * step / 20 for step in range(21)] + [half]
    sides: dict[int, list[Point]] = {}
    for sign in (-1, 1):
        line = _middle(radius, angle, leg, sign)
        for way in (-1, 1):
            sides[sign * 2 + way] = [
                (x - sign * way * t / 2 * math.sin(turn), y + way * t / 2 * math.cos(turn)) for (x, y),
                turn in zip(line, turns)
            ]
    return (*reversed(sides[-3]), *sides[1], *reversed(sides[3]), *sides[-1])
