"""The passes in the groove: every bead as large as the metal it brings."""

from __future__ import annotations

import math
from dataclasses import dataclass

from calc.core.declare import Working
from calc.show.drawing import Dimension, Drawing, Note, Point, Polygon, Shape, metres, mirrored, words
from calc.stages.groove import cap_area

MOST_BEADS = 60
"""More would be too small to tell apart; then only the layers are drawn."""


@dataclass(frozen=True)
class Groove:
    """A V-groove by its numbers: thickness, root face and opening (m), tangent of the bevel angle, cap height (m)."""

    t: float
    f: float
    opening: float
    slope: float
    cap: float

    def half(self, y: float) -> float:
        """Half its width at a height."""
        return self.opening / 2 + max(0.0, y - self.f) * self.slope

    def below(self, y: float) -> float:
        """Its area up to a height."""
        return self.opening * y + max(0.0, y - self.f) ** 2 * self.slope

    @property
    def cap_area(self) -> float:
        """Area of the cap over the plates, m2."""
        return cap_area(2 * self.half(self.t), self.cap)

    def level(self, area: float) -> float:
        """The height up to which the groove holds that area."""
        square = self.opening * self.f
        if area <= square:
            return area / self.opening
        rest = area - square
        # The root of slope·u² + opening·u = rest, in the form that holds for a slope of nothing too.
        return self.f + 2 * rest / (self.opening + math.sqrt(self.opening**2 + 4 * self.slope * rest))


def rows_of(groove: Groove, beads: int, layers: int) -> list[int]:
    """How many of the equal beads end with each layer: whole beads, as near to layers of equal depth as they come.

    >>> rows_of(Groove(0.01, 0, 0.006, 0.4, 0.0016), 6, 3)
    [1, 3, 6]
    """
    area = (groove.below(groove.t) + groove.cap_area) / beads
    room = math.floor(groove.below(groove.t) / area - 1e-9)
    ends: list[int] = []
    for layer in range(1, layers):
        end = min(round(groove.below(groove.t * layer / layers) / area), room, beads - 1)
        if end > (ends[-1] if ends else 0):
            ends.append(end)
    return [*ends, beads]


def beads_of(groove: Groove, beads: int, layers: int) -> list[tuple[Point, ...]]:
    """The beads as polygons of equal area that fill groove and cap, from the root up and from left to right."""
    area = (groove.below(groove.t) + groove.cap_area) / beads
    shapes: list[tuple[Point, ...]] = []
    done = 0
    low = 0.0
    for end in rows_of(groove, beads, layers):
        last = end == beads
        high = groove.t if last else groove.level(end * area)
        cap = groove.cap_area if last else 0.0
        plain = groove.below(high) - groove.below(low)
        cuts = [_share(number / (end - done), plain, cap) for number in range(end - done + 1)]
        shapes += [_bead(groove, low, high, left, right, last) for left, right in zip(cuts, cuts[1:])]
        done, low = end, high
    return shapes


def _share(part: float, plain: float, cap: float) -> float:
    """How far across a layer its left part holds that share of its area. The cap bulges, so it is found by halving."""
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2
        if plain * middle + cap * (3 * middle**2 - 2 * middle**3) < part * (plain + cap):
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _bead(groove: Groove, low: float, high: float, left: float, right: float, capped: bool) -> tuple[Point, ...]:
    """A bead between two shares of the width: at every height it takes the same part of it."""
    heights = [low, *([groove.f] if low < groove.f < high else []), high]

    def side(share: float, y: float) -> Point:
        return (2 * share - 1) * groove.half(y), y

    up, down = [side(right, y) for y in heights], [side(left, y) for y in reversed(heights)]
    steps = 12 if capped and groove.cap > 0 else 0
    shares = (right + (left - right) * step / steps for step in range(1, steps)) if steps else ()
    width = groove.half(high)
    bulge = groove.cap * 4
    top = [((2 * share - 1) * width, high + bulge * share * (1 - share))
        for share in (right, *shares, left)] if steps else []
    return (*up, *top, *down)


def passes(w: Working) -> Drawing:
    """The section with its beads, numbered in the order they are laid."""
    t, f, opening, cap, face, beads, layers = metres(
        w, "thickness", "root_face", "root_opening", "cap_height", "face_width", "passes", "layers",
    )
    slope = (face - opening) / 2 / (t - f) if t > f else 0.0
    groove = Groove(t, f, opening, slope, cap)
    many = beads > MOST_BEADS
    shapes = _beads(groove, int(beads), int(layers), many)
    half = face / 2
    reach = half + max(0.5 * t, 0.2 * face)
    plate = ((-reach, 0.0), (-opening / 2, 0.0), (-opening / 2, f), (-half, t), (-reach, t))
    bar = max(0.35 * t, 0.004)
    text = (
        "Section through the joint with its beads drawn by area. Cross-section {weld_area}, shared by {passes} equal "
        "passes in about {layers} "
        "layers. The face is {face_width} wide, the plate {thickness} thick. "
    )
    order = "The beads are numbered in order, from the root up and from left to right in each layer."
    text += "There are too many passes to draw: each field is a layer." if many else order
    return Drawing(
        "passes", "The passes in the groove, by area", w.phrase(text), (
            Polygon(plate, "plate"), Polygon(mirrored(plate), "plate"),
            Polygon(((-reach * 0.9, -bar), (reach * 0.9, -bar), (reach * 0.9, 0.0), (-reach * 0.9, 0.0)), "backing"),
            *shapes,
            Dimension((-half, t + cap), (half, t + cap), (w.known["face_width"],), 16, "face"),
            Dimension((reach, 0.0), (reach, t), (w.known["thickness"],), -10, "thickness", "thickness"),
            Dimension((opening / 2, -bar), (-opening / 2, -bar), (w.known["root_opening"],), 12, "opening",
                "root_opening", 0.5),
            Note((-reach * 0.9, -bar), words("backing"), "start", right=6, up=5),
        ),
        left=8, right=66,
        legend=("Too many passes to draw one by one: each field is a layer.",) if many
        else ("Numbers: order of the passes.",),
    )


def _beads(groove: Groove, beads: int, layers: int, many: bool) -> list[Shape]:
    if many:
        fields = []
        for number in range(layers):
            low, high = groove.t * number / layers, groove.t * (number + 1) / layers
            fields.append(_bead(groove, low, high, 0.0, 1.0, number == layers - 1))
        return [Polygon(field, "bead", f"layer-{number}") for number, field in enumerate(fields, 1)]
    made: list[Shape] = []
    for number, bead in enumerate(beads_of(groove, beads, layers), 1):
        made.append(Polygon(bead, "bead", f"bead-{number}"))
        middle = sum(x for x, _ in bead) / len(bead), sum(y for _, y in bead) / len(bead)
        made.append(Note(middle, words(str(number)), up=-5, may_go=True))
    return made
