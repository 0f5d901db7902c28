"""Line drawings of our own for the chapters: flames, bead faces by setting, grinding marks, what to wear.

Drawn from plain shapes, traced from nothing. They show a look, not a size to measure. Flaws, bends and cut faces, which
the questions ask about too, stand in `calc.practice.pictures`.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from calc.show.drawing import Drawing, Note, Path, Point, Polygon, Shape, words


def _area(look: str, *points: Point) -> Polygon:
    return Polygon(tuple((x / 1000, y / 1000) for x, y in points), look)


def _line(look: str, *points: Point) -> Path:
    return Path(tuple((x / 1000, y / 1000) for x, y in points), look)


def _note(x: float, y: float, text: str, anchor: str = "middle") -> Note:
    return Note((x / 1000, y / 1000), words(text), anchor)


def _pointer(text: str, x: float, y: float, to_x: float, to_y: float, anchor: str = "middle") -> tuple[Shape, ...]:
    """Words with a line to what they name."""
    return (_line("thin", (x, y), (to_x, to_y)), _note(x, y + (1.2 if y > to_y else -4), text, anchor))


# --- flames, tip on the left -----------------------------------------------------------


def _leaf(start: float, long: float, half: float, blunt: float = 0.5) -> tuple[Point, ...]:
    """A flame outline from the tip: widest near the start, pointed or (blunt) rounded at the end."""
    steps = 24
    upper = []
    for step in range(steps + 1):
        share = step / steps
        upper.append((start + long * share, half * math.sin(math.pi * (0.35 + 0.65 * share)) ** blunt))
    return tuple(upper) + tuple((x, -y) for x, y in reversed(upper))


def _tip() -> Polygon:
    return _area("tool", (-16, -4), (0, -2.6), (0, 2.6), (-16, 4))


def _neutral() -> tuple[Shape, ...]:
    return (
        _tip(), _area("plain", *_leaf(0, 46, 6)), _area("fired", *_leaf(0, 11, 2.2, 0.35)),
        *_pointer("bright inner cone, smooth, rounded end", 14, 12, 8, 1.2), *_pointer("outer flame", 36, -11, 30, -3),
    )


def _carburizing() -> tuple[Shape, ...]:
    feather = (
        (0, 2.6), (8, 3.3), (14, 2.8), (18, 3.1), (22, 1.6), (27, 1.2), (24, 0.2), (29, -0.6), (21, -1.6), (18, -3.0),
        (13, -2.7), (7, -3.2), (0, -2.6),
    )
    return (
        _tip(), _area("plain", *_leaf(0, 56, 6.5)), _area("zone", *feather), _area("fired", *_leaf(0, 10, 2.0, 0.35)),
        *_pointer("inner cone", 4, 12, 6, 1.0), *_pointer("pale, ragged feather beyond the cone", 30, 17, 21, 1.8),
        *_pointer("long outer flame", 44, -12, 38, -3),
    )


def _oxidizing() -> tuple[Shape, ...]:
    return (
        _tip(), _area("plain", *_leaf(0, 27, 4.6)), _area("fired", *_leaf(0, 6.5, 1.6, 0.9)),
        *_pointer("short, sharp inner cone", 10, 11, 4, 0.8), *_pointer("short outer flame, hisses", 20, -10, 18, -2.6),
    )


# --- beads by setting, in section and from above ------------------------------------------


def _bead_section(half: float, height: float, depth: float, *more: Shape) -> tuple[Shape, ...]:
    """A bead on plate, cut across: how wide, how high, how deep it melted in."""
    top = tuple((half * math.cos(math.pi * step / 20), height * math.sin(math.pi * step / 20)) for step in range(21))
    under = tuple((-half * math.cos(math.pi * step / 20), -depth * math.sin(math.pi * step / 20)) for step in range(21))
    return (
        _area("plate", (-24, -9), (24, -9), (24, 0), (-24, 0)), _area("weld", *top, *under), _note(-18, -7.5, "plate"),
        *more,
    )


def _current_right() -> tuple[Shape, ...]:
    return _bead_section(
        6, 2.2, 2.6, *_pointer("runs smoothly into the plate", 12, 7, 6, 0.3),
        *_pointer("melted in", -10, -13, -1, -1.8),
    )


def _current_low() -> tuple[Shape, ...]:
    return _bead_section(
        3.4, 4.2, 0.6, *_pointer("tall and narrow, steep sides", 10, 9, 2.6, 3),
        *_pointer("hardly melted in", -10, -13, -1, -0.3),
    )


def _current_high() -> tuple[Shape, ...]:
    cut = (_area("plain", (7.4, 0), (8.8, 0), (7.9, -1.2)), _area("plain", (-7.4, 0), (-8.8, 0), (-7.9, -1.2)))
    drops = tuple(
        _area("weld", *((x + r * math.cos(a), r * math.sin(a)) for a in (0, 0.8, 1.6, 2.4, 3.14)))
        for x, r in ((13, 0.9), (17, 0.6), (-14, 0.8), (-19, 0.6))
    )
    return _bead_section(
        7.4, 1.4, 4.2, *cut, *drops, *_pointer("toe melted away", 14, 7, 8.2, -0.4),
        *_pointer("spatter", -16, 7, -14, 0.9),
    )


def _arc_long() -> tuple[Shape, ...]:
    pores = tuple(
        _area("plain", *((x + 0.5 * math.cos(a * 0.6), y + 0.5 * math.sin(a * 0.6)) for a in range(11)))
        for x, y in ((-2, 0.6), (1.5, -0.2), (3.4, 0.7))
    )
    drops = tuple(
        _area("weld", *((x + r * math.cos(a), r * math.sin(a)) for a in (0, 0.8, 1.6, 2.4, 3.14)))
        for x, r in ((9, 1.0), (12, 0.7), (16, 0.9), (-10, 0.9), (-13, 0.6), (-18, 0.8))
    )
    return _bead_section(
        6.6, 1.5, 1.2, *pores, *drops, *_pointer("pores", 4, 8, 1.5, 0.2),
        *_pointer("spatter all around", 17, 8, 16, 1.0),
    )


# --- grinding marks on a specimen --------------------------------------------------------------


def _coupon(*more: Shape) -> tuple[Shape, ...]:
    return (
        _area("plate", (-40, -9), (40, -9), (40, 9), (-40, 9)), _area("weld", (-8, -9), (8, -9), (8, 9), (-8, 9)),
        *more, _line("hidden", (0, -12), (0, 12)), _note(0, 13, "bends here"),
    )


def _grind_along() -> tuple[Shape, ...]:
    marks = tuple(
        _line("thin", (-30 + 3 * (row % 3), y), (30 - 2 * (row % 4), y)) for row, y in enumerate(range(-7, 8, 2))
    )
    return _coupon(*marks, _line("arrow", (-14, -14), (14, -14)), _note(0, -20, "marks run the length of the specimen"))


def _grind_across() -> tuple[Shape, ...]:
    marks = tuple(_line("thin", (x, -8 + (x % 3)), (x, 8 - (x % 2))) for x in range(-14, 15, 2))
    return _coupon(*marks, _line("arrow", (22, -8), (22, 8)), _note(0, -16, "a crack can start at each mark"))


# --- what to wear ------------------------------------------------------------------------------


def _person() -> tuple[Shape, ...]:
    head = tuple((8 * math.cos(math.pi * step / 12), 84 + 9 * math.sin(math.pi * step / 12)) for step in range(25))
    return (
        _area("plain", *head), _area("tool", (-7, 78), (7, 78), (8.5, 92), (-8.5, 92)),
        _area("fired", (-5, 84), (5, 84), (5, 88), (-5, 88)), _area("plate", (-15, 74), (15, 74), (13, 38), (-13, 38)),
        _area("plate", (15, 74), (21, 68), (25, 46), (19, 44), (15, 60)),
        _area("plate", (-15, 74), (-21, 68), (-25, 46), (-19, 44), (-15, 60)),
        _area("backing", (25.5, 47), (27, 36), (18, 34), (18, 45)),
        _area("backing", (-25.5, 47), (-27, 36), (-18, 34), (-18, 45)),
        _area("plain", (-13, 38), (0, 38), (-2, 6), (-12, 6)), _area("plain", (0, 38), (13, 38), (12, 6), (2, 6)),
        _area("backing", (-12, 9), (-2, 9), (-2, 0), (-17, 0), (-16, 4), (-12, 6)),
        _area("backing", (2, 9), (12, 9), (12, 6), (16, 4), (17, 0), (2, 0)),
        *(
            shape
            for text, side, y, to_x, to_y in (
                ("helmet, right shade", 1, 90, 6, 87), ("safety glasses", 1, 80, 5, 85),
                ("closed collar", 1, 70, 4, 74), ("dry gauntlets", 1, 42, 26, 41), ("cuffless pants", 1, 16, 12, 10),
                ("high boots", 1, 4, 15, 3), ("head cover, ear plugs", -1, 92, -5, 92),
                ("leather jacket", -1, 64, -14, 62), ("closed pockets", -1, 50, -10, 50),
                ("wool or cotton", -1, 26, -9, 24), ("legs over boots", -1, 12, -9, 8),
            )
            for shape in (
                _line("thin", (side * 30, y), (to_x, to_y)),
                _note(side * 31, y - 1.2, text, "start" if side > 0 else "end"),
            )
        ),
    )


_TIP = "A torch tip on the left, its flame to the right. "
_CUT = "A bead on a plate, cut across. "
_COUPON = "A bend specimen seen on the side that will be stretched. The weld is a band across its middle. "
_PICTURES: dict[str, tuple[str, str, Callable[[], tuple[Shape, ...]]]] = {
    "flame-neutral": (
        "Neutral flame", _TIP + "The inner cone is bright and smooth with a rounded end. There is no feather.",
        _neutral,
    ),
    "flame-carburizing": (
        "Carburizing flame", _TIP + "A ragged feather reaches out past the inner cone. The outer flame is long.",
        _carburizing,
    ),
    "flame-oxidizing": (
        "Oxidizing flame", _TIP + "The inner cone is short and sharp. The outer flame is short.", _oxidizing,
    ),
    "current-right": (
        "Amperage right", _CUT + "The bead is flat, runs smoothly into the plate and has melted in.", _current_right,
    ),
    "current-too-low": (
        "Amperage too low", _CUT + "The bead is tall and narrow with steep sides and has hardly melted in.",
        _current_low,
    ),
    "current-too-high": (
        "Amperage too high",
        _CUT + "The bead is wide and flat, the plate beside it is melted away, and spatter lies around.", _current_high,
    ),
    "arc-too-long": (
        "Arc too long", _CUT + "The bead is uneven with pores in it, hardly melted in, and spatter lies all around.",
        _arc_long,
    ),
    "grinding-along": (
        "Right: marks along the specimen", _COUPON + "Grinding marks run along the specimen, across the weld.",
        _grind_along,
    ),
    "grinding-across": (
        "Wrong: marks across the specimen", _COUPON + "Grinding marks run across the specimen, in line with the bend.",
        _grind_across,
    ),
    "what-to-wear": (
        "What to wear", "A welder from the front. Welding helmet with lens and safety glasses under it, head cover and "
        "ear plugs, closed collar, flame-resistant jacket, dry leather gauntlets, cuffless pants over high leather "
        "boots.", _person,
    ),
}
PICTURES = tuple(_PICTURES)
"""The names of the drawings."""


def picture(name: str) -> Drawing:
    """The drawing of that name. Raises `KeyError`.

    >>> picture("flame-neutral").title
    'Neutral flame'
    """
    title, description, shapes = _PICTURES[name]
    wide = ((-0.066, 0.0), (0.066, 0.0)) if name == "what-to-wear" else ()
    return Drawing(name, title, words(description), shapes(), margin=26, extra=wide)
