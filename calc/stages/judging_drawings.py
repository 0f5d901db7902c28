"""The convex surfaces of the bent specimens: every open discontinuity to scale beside the limit it is judged by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calc.core.declare import Working
from calc.show.drawing import Drawing, Note, Path, Polygon, Shape, box, metres, words

IN_A_ROW = 4


@dataclass(frozen=True)
class Found:
    """An open discontinuity to draw: its number in the list, specimen, size (m), place, the limit beside it (m) and how
    it came out.
    """

    number: int
    coupon: int
    size: float
    at_corner: bool
    limit: float
    outcome: str


def faces(w: Working, names: Sequence[str], found: Sequence[Found]) -> Drawing:
    """A strip for each specimen with its open discontinuities; under each the limit, dotted, at the same scale."""
    single, = metres(w, "single_limit")
    slot = 1.7 * max([single, *(max(each.size, each.limit) for each in found)])
    gap, high = 0.3 * slot, 1.1 * slot
    shapes: list[Shape] = []
    top = 0.0
    for coupon, name in enumerate(names, 1):
        own = [each for each in found if each.coupon == coupon]
        shapes.append(Note((0.0, top), words(name if own else f"{name}: nothing open"), "start", up=6))
        for first in range(0, max(len(own), 1), IN_A_ROW):
            shapes.append(Polygon(box(0.0, top - high, IN_A_ROW * slot, top), "plain"))
            for place, each in enumerate(own[first : first + IN_A_ROW]):
                shapes += _opening(w, each, (place + 0.5) * slot, top, high)
            top -= high + (gap * 0.3 if first + IN_A_ROW < len(own) else gap)
    listed = "; ".join(
        f"open discontinuity {each.number} on {names[each.coupon - 1]}, "
        f"{{opening_{each.number}}}{', at a corner' if each.at_corner else ''}: {each.outcome}"
        for each in found
    )
    text = f"Convex surfaces of {len(names)} specimens. The limit for one open discontinuity is {{single_limit}}. " + (
        f"{listed[0].upper()}{listed[1:]}." if listed else "Nothing opened."
    )
    legend = ("Filled: the open discontinuity. Dotted: its limit.",) if found else ()
    title = "Open discontinuities beside their limit"
    return Drawing("faces", title, w.phrase(text), tuple(shapes), tallest=900, legend=legend)


def _opening(w: Working, each: Found, x: float, top: float, high: float) -> list[Shape]:
    """One open discontinuity, a lens as long as it is; at a corner it starts at the specimen's edge."""
    half, y = each.size / 2, top - (0.0 if each.at_corner else 0.16 * high)
    fat = 0.12 * each.size
    lens = (
        (x - half, y), (x, y + (0 if each.at_corner else fat)), (x + half, y),
        (x, y - fat * (2 if each.at_corner else 1)),
    )
    line = y - fat * 2 - 0.08 * high
    return [
        Polygon(lens, "found", f"opening-{each.number}"),
        Path(((x - each.limit / 2, line), (x + each.limit / 2, line)), "limit", f"limit-{each.number}"),
        Note((x, line), (w.known[f"opening_{each.number}"],), up=-14, narrow=True),
        Note((x, top - high), words(each.outcome), up=6),
    ]
