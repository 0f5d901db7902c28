"""The plate with its specimens, seen from above."""

from __future__ import annotations

from collections.abc import Sequence

from calc.core.declare import Working
from calc.show.drawing import Dimension, Drawing, Handle, Note, Path, Polygon, Shape, box, metres, words


def layout(w: Working, kinds: Sequence[str]) -> Drawing:
    """Specimens in order along the weld, saw cuts solid, discards cross-hatched. The weld runs from left to right."""
    length, wide, discard, cut, coupon = metres(w, "plate_length", "plate_width", "discard", "saw_cut", "coupon_length")
    places = [metres(w, f"start_{n}", f"end_{n}") for n in range(1, len(kinds) + 1)]
    half, reach = wide / 2, min(coupon, wide) / 2
    last = places[-1][1] + cut
    shapes: list[Shape] = [Polygon(box(0.0, -half, length, half), "plate", "plate")]
    if discard:
        shapes.append(Polygon(box(0.0, -half, discard, half), "waste", "discard-start"))
    if last < length:
        shapes.append(Polygon(box(last, -half, length, half), "waste", "discard-end"))
    for number, (start, end) in enumerate(places, 1):
        shapes += [
            Polygon(box(start, -coupon / 2, end, coupon / 2), "plain", f"coupon-{number}"),
            *(Polygon(box(left, -half, left + cut, half), "gap") for left in (start - cut, end) if cut),
            Note(((start + end) / 2, reach * 0.5), words(str(number)), up=-4),
            Note(((start + end) / 2, -reach * 0.5), words(kinds[number - 1]), up=-4, may_go=True),
        ]
    shapes += [
        Path(((0.0, 0.0), (max(length, last), 0.0)), "center"),
        Note((length, 0.0), words("weld"), "start", right=5, up=-4),
        Dimension((0.0, half), (places[0][0], half), (w.known["start_1"],), 30, "start"),
        Dimension((places[0][0], half), (places[0][1], half), (w.known["blank_width"],), 10, "blank"),
        Dimension((0.0, -half), (length, -half), (w.known["plate_length"],), -14, "length", "plate_length"),
    ]
    shapes.append(Handle((discard, 0.0), (1.0, 0.0), "discard"))
    needed, = metres(w, "needed")
    if needed > length:
        shapes.append(Polygon(box(length, -half, needed, half), "zone", "missing"))
        shapes.append(Note(((length + needed) / 2, half), words("plate ends here"), "end", up=8))
    order = ", ".join(f"{number} {kind}" for number, kind in enumerate(kinds, 1))
    text = (
        f"Plan of the plate, {{plate_length}} along the weld and {{plate_width}} across it. Specimens in order: "
        f"{order}; "
        f"each sawn {{blank_width}} wide, "
        "the first {start_1} from the end. Discard {discard} at each end, saw cuts {saw_cut}. The layout needs "
        "{needed}."
    )
    return Drawing(
        "layout", "Specimens on the plate", w.phrase(text), tuple(shapes), right=36,
        legend=(f"In order: {order}.", "Cross-hatched: discard. Solid: saw cut."),
    )
