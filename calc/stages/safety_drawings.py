"""Plans of the place: the circle that must be clear of what burns, and the room with its welders."""

from __future__ import annotations

import math

from calc.core.declare import Working
from calc.show.drawing import Circle, Dimension, Drawing, Note, Path, Polygon, Shape, box, metres, words, zigzag


def clear_circle(w: Working) -> Drawing:
    """The work in the middle, the circle that must be clear, and what burns at its distance."""
    near, radius = metres(w, "combustibles", "clear_radius")
    most = 1.6 * radius
    broken = near > most
    x = min(near, most)
    side = "inside the circle" if near < radius else "not inside the circle"
    size = 0.07 * radius
    shapes: list[Shape] = [
        Circle((0.0, 0.0), radius, "zone", "clear"), Path(((-size, -size), (size, size)), "mark", "work"),
        Path(((-size, size), (size, -size)), "mark"), Polygon(box(x, -size, x + 2 * size, size), "fired", "burns"),
        Dimension(
            (0.0, 0.0), (-radius * math.cos(0.6), radius * math.sin(0.6)), ("clear ", w.known["clear_radius"]), 0,
            "radius",
        ),
        Note((0.0, -size), words("work"), up=-14), Note((x + 2 * size, size), words("burns"), "end", up=6),
        Note((0.0, -radius), words(f"what burns: {side}"), up=-16),
    ]
    if near > 0:
        shapes.append(Dimension((0.0, 0.0), (x, 0.0), (w.known["combustibles"],), -30, "distance",
            "combustibles"))
    if broken:
        shapes += [
            Path(((0.0, 0.0), (x, 0.0)), "thin"), *(zigzag((part * radius, 0.0), 1.5 * size) for part in (1.28, 1.36)),
        ]
    text = (
        "Plan of the place. Around the work a circle of {clear_radius} must be clear. What burns is "
        f"{{combustibles}} away, {side}."
    )
    return Drawing("circle", "The place from above", w.phrase(text), tuple(shapes), broken=broken, tallest=260)


def room(w: Working, welders: int) -> Drawing:
    """The room from above with its welders, evenly placed: where they stand was not asked."""
    length, wide = metres(w, "length", "width")
    shown = min(welders, 40)
    across = max(1, min(shown, round(math.sqrt(shown * length / wide))))
    down = math.ceil(shown / across)
    size = 0.022 * max(length, wide)
    marks: list[Shape] = []
    for number in range(shown):
        x, y = (number % across + 0.5) * length / across, wide - (number // across + 0.5) * wide / down
        marks.append(
            Circle((x, y), min(size, 0.3 * min(length / across, wide / down)), "found", f"welder-{number + 1}")
        )
    shapes = (
        Polygon(box(0.0, 0.0, length, wide), "plain", "room"), *marks,
        Dimension((length, 0.0), (0.0, 0.0), (w.known["length"],), 12, "length"),
        Dimension((length, wide), (length, 0.0), (w.known["width"],), 10, "width"),
        Note((length / 2, wide), ("each welder has ", w.known["volume_per_welder"]), up=8),
    )
    text = (
        f"Plan of the room, {{length}} by {{width}}, {{height}} high, with {welders} at work. Each has "
        "{volume_per_welder} of air."
    )
    legend = ("Dots: welders, evenly placed.",) if shown == welders else (
        f"Dots: {shown} of {welders} welders, evenly placed.",
    )
    return Drawing("room", "The room from above", w.phrase(text), shapes, right=60, tallest=260, legend=legend)
