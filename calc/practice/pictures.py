"""Drawings of our own for questions: flaws in section and on the bend, faces of a cut, beads from above.

Each is drawn from plain shapes here and traced from nothing. Lengths are in millimeters of an invented plate; the
drawings show a look, not a size to measure. No word on a drawing names the flaw: that is the question. The description
tells a reader who cannot see the drawing what it looks like.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from calc.show.drawing import Circle, Drawing, Note, Path, Point, Polygon, Shape, words

PLATE, HALF_ROOT, HALF_FACE, REACH = 10.0, 3.0, 7.2, 24.0
"""The invented joint: thickness, half the root opening, half the groove at the face, half the drawing."""


HERE = "here"


def _mm(*points: Point) -> tuple[Point, ...]:
    return tuple((x / 1000, y / 1000) for x, y in points)


def _poly(look: str, *points: Point) -> Polygon:
    return Polygon(_mm(*points), look)


def _line(look: str, *points: Point) -> Path:
    return Path(_mm(*points), look)


def _dot(x: float, y: float, radius: float, look: str = "plain") -> Circle:
    return Circle((x / 1000, y / 1000), radius / 1000, look)


def _say(x: float, y: float, text: str, up: float = 0.0) -> Note:
    return Note((x / 1000, y / 1000), words(text), up=up)


def _here(x: float, y: float, from_x: float, from_y: float) -> tuple[Shape, ...]:
    """An arrow to the place that is meant."""
    return (Path(_mm((from_x, from_y), (x, y)), "arrow", HERE), _say(from_x, from_y, HERE, up=4 if from_y > y else -13))


# --- a joint in section -------------------------------------------------------------------


def _left(lift: float = 0.0) -> tuple[Point, ...]:
    return ((-REACH, lift), (-HALF_ROOT, lift), (-HALF_FACE, PLATE + lift), (-REACH, PLATE + lift))


def _mirrored(points: tuple[Point, ...]) -> tuple[Point, ...]:
    return tuple((-x, y) for x, y in points)


def _cap(half: float, height: float) -> tuple[Point, ...]:
    """The top of the weld from right to left: a flat curve."""
    return tuple((half * (1 - step / 8), PLATE + height * (1 - (1 - step / 8) ** 2)) for step in range(17))


def _weld(height: float = 1.5) -> Polygon:
    return _poly(
        "weld", (-HALF_ROOT, 0), (HALF_ROOT, 0), (HALF_FACE, PLATE), *_cap(HALF_FACE, height), (-HALF_FACE, PLATE),
    )


def _joint(
    *more: Shape, weld: Polygon | None = None, left: tuple[Point, ...] = (), right: tuple[Point, ...] = (),
) -> tuple[Shape, ...]:
    return (
        _poly("backing", (-18, -5), (18, -5), (18, 0), (-18, 0)),
        _poly("plate", *(left or _left())), _poly("plate", *(right or _mirrored(_left()))), weld or _weld(),
        _say(-17, 3, "plate"), _say(17, 3, "plate"), _say(-12, -4, "backing"), *more,
    )


def _sound() -> tuple[Shape, ...]:
    return _joint()


def _porosity() -> tuple[Shape, ...]:
    holes = ((-2.5, 6.4, 0.6), (0.4, 8.2, 0.8), (2.2, 5.2, 0.5), (-0.8, 3.6, 0.6), (3.1, 8.6, 0.45), (1.0, 1.8, 0.4))
    return _joint(*(_dot(*each) for each in holes), *_here(0.4, 8.9, 4, 16))


def _slag() -> tuple[Shape, ...]:
    lump = ((-4.9, 5.4), (-4.4, 6.3), (-3.2, 6.6), (-1.9, 6.1), (-2.4, 5.7), (-3.6, 5.8), (-4.3, 5.1))
    seam = _line("thin", *((x, 6.1 + 0.35 * math.cos(x)) for x in [step / 2 - 5 for step in range(22)]))
    return _joint(seam, _poly("pressed", *lump), *_here(-3.4, 6.6, -5, 16))


def _fusion() -> tuple[Shape, ...]:
    slant = (HALF_FACE - HALF_ROOT) / PLATE
    wall = tuple((HALF_ROOT + slant * y, y) for y in (2.5, 4.5, 6.5, 8.0))
    gap = (*wall, *((x - 0.45, y) for x, y in reversed(wall)))
    return _joint(_poly("plain", *gap), _line("cut", *wall), *_here(wall[2][0], 6.5, 13, 16))


def _penetration() -> tuple[Shape, ...]:
    void = _poly("plain", (-HALF_ROOT, 0), (HALF_ROOT, 0), (HALF_ROOT + 1.1, 2.6), (0, 3.2), (-HALF_ROOT - 1.1, 2.6))
    return _joint(void, *_here(0, 1.2, 9, -9))


def _undercut() -> tuple[Shape, ...]:
    toe = (HALF_FACE - 0.6, 8.6)
    right = (
        (REACH, 0), (HALF_ROOT, 0), toe, (HALF_FACE + 0.6, 8.4), (HALF_FACE + 1.5, 9.1), (HALF_FACE + 1.9, PLATE),
        (REACH, PLATE),
    )
    weld = _poly("weld", (-HALF_ROOT, 0), (HALF_ROOT, 0), toe, *_cap(HALF_FACE - 0.4, 1.5), (-HALF_FACE, PLATE))
    return _joint(weld=weld, right=right) + _here(HALF_FACE + 0.6, 8.8, 13, 16)


def _overlap() -> tuple[Shape, ...]:
    flap = _poly(
        "weld", (HALF_FACE, PLATE + 0.35), (11.5, PLATE + 0.35), (11.2, PLATE + 1.2), (5, PLATE + 2.2),
        (4, PLATE + 0.8),
    )
    return _joint(_line("cut", (HALF_FACE, PLATE + 0.1), (11.6, PLATE + 0.1)), flap, *_here(11.0, 10.3, 17, 16))


def _underfill() -> tuple[Shape, ...]:
    slant = (HALF_FACE - HALF_ROOT) / PLATE
    top = 7.6
    edge = HALF_ROOT + slant * top
    sag = tuple((edge * (1 - step / 8), top + 0.7 * (1 - (1 - step / 8) ** 2)) for step in range(17))
    return _joint(weld=_poly("weld", (-HALF_ROOT, 0), (HALF_ROOT, 0), *sag)) + _here(0, 8.4, 4, 16)


def _reinforcement() -> tuple[Shape, ...]:
    return _joint(weld=_weld(5.0)) + _here(0, 15, 7, 19)


def _mismatch() -> tuple[Shape, ...]:
    weld = _poly(
        "weld", (-HALF_ROOT, 0), (HALF_ROOT, 0), (HALF_ROOT, 2.5), (HALF_FACE, PLATE + 2.5), (0, PLATE + 2.6),
        (-HALF_FACE, PLATE),
    )
    return _joint(weld=weld, right=_mirrored(_left(lift=2.5))) + _here(12, 1.2, 19, -8)


def _spatter() -> tuple[Shape, ...]:
    drops = ((-10, 0.5), (-12.5, 0.35), (-15.2, 0.6), (9.5, 0.4), (11.4, 0.6), (14.6, 0.35), (17.5, 0.45))
    return _joint(*(_dot(x, PLATE + size, size, "weld") for x, size in drops), *_here(11.4, PLATE + 1.2, 14, 16))


def _strike() -> tuple[Shape, ...]:
    right = (
        (24, 0), (3, 0), (HALF_FACE, PLATE), (14.5, PLATE), (15.3, PLATE - 0.8), (16.6, PLATE - 0.7), (17.4, PLATE),
        (24, PLATE),
    )
    burnt = _poly(
        "fired", (13.4, PLATE), (14.5, PLATE), (15.3, PLATE - 0.8), (16.6, PLATE - 0.7), (17.4, PLATE), (18.4, PLATE),
        (17.5, 8), (14.4, 8),
    )
    return _joint(right=right) + (burnt, *_here(16, PLATE - 0.4, 18, 16))


def _toe_crack() -> tuple[Shape, ...]:
    return _joint(
        _line("cut", (HALF_FACE, PLATE), (7.7, 9.2), (7.5, 8.4), (8.2, 7.5), (8.1, 6.6), (8.7, 5.8)),
        *_here(HALF_FACE + 0.3, PLATE, 13, 16),
    )


def _underbead() -> tuple[Shape, ...]:
    slant = (HALF_FACE - HALF_ROOT) / PLATE
    run = tuple(
        (-(HALF_ROOT + slant * y + (1.75, 1.25)[step % 2]), y) for step, y in enumerate((2.5, 3.6, 4.7, 5.8, 6.9, 7.8))
    )
    return _joint(_line("cut", *run), *_here(run[3][0], run[3][1], -14, 16))


# --- from above -----------------------------------------------------------------------------


def _bead(half: float, step: float, reach: float, *more: Shape, end: bool = False) -> tuple[Shape, ...]:
    """A bead from above with its ripples; `half` its half width, `step` between ripples, `reach` how far each is
    drawn out.
    """
    long = 20.0
    ripples = []
    x = -long + reach
    while x < long - (4 if end else 0):
        ripples.append(
            _line(
                "thin",
                *(
                    (x + reach * math.cos(turn) - reach, half * math.sin(turn))
                    for turn in [math.pi * each / 16 - math.pi / 2 for each in range(17)]
                ),
            )
        )
        x += step
    outline = ((-long, -half), (long, -half), (long, half), (-long, half))
    return (
        _poly("plate", (-26, -11), (26, -11), (26, 11), (-26, 11)), _poly("weld", *outline), *ripples,
        _say(-22, -9.5, "plate"), *more,
    )


def _bead_right() -> tuple[Shape, ...]:
    return _bead(4.0, 1.6, 2.6)


def _bead_fast() -> tuple[Shape, ...]:
    return _bead(1.9, 3.0, 6.5)


def _bead_slow() -> tuple[Shape, ...]:
    return _bead(7.4, 0.8, 1.2)


def _along() -> tuple[Shape, ...]:
    crack = _line("cut", *((x, (0.5, -0.5)[step % 2]) for step, x in enumerate(range(-16, 17, 2))))
    return _bead(5.0, 1.8, 3.0, crack, *_here(4, 0.6, 8, 14))


def _crater() -> tuple[Shape, ...]:
    rays = [
        _line(
            "cut", (16 + 0.4 * math.cos(turn), 0.4 * math.sin(turn)),
            (16 + 1.6 * math.cos(turn + 0.25), 1.6 * math.sin(turn + 0.25)),
            (16 + 2.7 * math.cos(turn), 2.7 * math.sin(turn)),
        )
        for turn in (0.4, 1.7, 2.9, 4.1, 5.4)
    ]
    return _bead(
        5.0, 1.8, 3.0, _dot(16, 0, 3.7), *rays, _say(-12, 7, "the weld runs this way"),
        _line("arrow", (-4, 8.2), (6, 8.2)), *_here(17, 1, 21, 14), end=True,
    )


# --- the outside of a bent coupon, rolled flat ----------------------------------------------


def _bent(*more: Shape) -> tuple[Shape, ...]:
    return (
        _poly("plate", (-30, -9), (30, -9), (30, 9), (-30, 9)), _poly("weld", (-7, -9), (7, -9), (7, 9), (-7, 9)),
        *more, _say(0, -9, "weld", up=-16), _say(-20, -9, "plate", up=-16), _say(20, -9, "plate", up=-16),
        _line("arrow", (6, 14), (28, 14)), _line("arrow", (-6, 14), (-28, 14)), _say(0, 13.3, "stretch"),
    )


def _lens(x: float, y: float, long: float, wide: float) -> Polygon:
    """An opening that gapes: `long` up the sheet, `wide` along the stretch."""
    half = [
        (wide / 2 * math.cos(math.pi * step / 8), y + long / 2 * math.sin(math.pi * step / 8)) for step in range(-4, 5)
    ]
    return _poly("plain", *((x + dx, at) for dx, at in half), *((x - dx, at) for dx, at in reversed(half)))


def _bend_passed() -> tuple[Shape, ...]:
    return _bent(_lens(2.5, 3, 0.9, 0.5))


def _bend_openings() -> tuple[Shape, ...]:
    return _bent(_lens(-3, 4, 2.6, 1.4), _lens(2, -2, 3.0, 1.6), _lens(4.5, 5.5, 1.8, 1.0), _lens(-1, -6, 2.2, 1.2))


def _bend_root() -> tuple[Shape, ...]:
    return _bent(_lens(-6.6, 0, 14, 3.2), *_here(-6.6, 2, -15, 11))


def _bend_corner() -> tuple[Shape, ...]:
    return _bent(_poly("plain", (3.2, 9), (5.4, 9), (4.4, 4.6)), *_here(4.4, 7.6, 12, 3))


# --- the face of a flame cut -----------------------------------------------------------------


def _cut(
    drag: float, *more: Shape, first: int = -24, top: tuple[Point, ...] = ((-26, 9), (26, 9)),
) -> tuple[Shape, ...]:
    """The cut face from the side, torch moving to the right; `drag` is how far a line trails at the bottom, `first`
    where the first one starts.
    """
    lines = []
    for start in range(first, 25, 3):
        lines.append(_line("thin", *((start - drag * (1 - y / 9) ** 2, y) for y in (9, 7, 5, 3, 1.5, 0))))
    return (
        _poly("plain", (-26, 0), (26, 0), *reversed(top)), *lines, *more, _say(-13, 9, "torch moves this way", up=26),
        _line("arrow", (0, 14.5), (14, 14.5)), _say(0, 0, "face of the cut", up=-30),
    )


def _cut_right() -> tuple[Shape, ...]:
    return _cut(1.2)


def _cut_fast() -> tuple[Shape, ...]:
    slag = [_dot(x, -0.9 - 0.3 * (x % 3), 0.9, "waste") for x in range(-22, 23, 4)]
    return _cut(11.0, *slag, first=-12)


def _cut_slow() -> tuple[Shape, ...]:
    rounded = (
        (-26, 7), (-25, 8.3), (-23, 8.8), *((x, 8.8 + 0.4 * math.sin(x)) for x in range(-22, 23, 2)), (25, 8.3),
        (26, 7),
    )
    gouges = [_poly("pressed", (x, 0), (x + 0.9, 4.5), (x + 2, 5.5), (x + 2.6, 0)) for x in (-18, -6, 4, 16)]
    beads = [_dot(x, 9.6, 0.5, "waste") for x in range(-20, 21, 5)]
    return _cut(0.3, *gouges, *beads, top=rounded)


_SECTION = "Two plates on a backing bar with the weld between them, in section. "
_ABOVE = "A bead on a plate, from above. "
_BENT = (
    "The convex surface of a bent specimen, rolled flat: the weld is a band across it, and the stretch runs from side "
    "to side. "
)
_FACE = "The face of a flame cut from the side; the torch moved to the right. "

_PICTURES: dict[str, tuple[str, str, Callable[[], tuple[Shape, ...]]]] = {
    "sound-weld": (
        "A weld in section",
        _SECTION + "The weld fills the groove, joins both plates and the backing bar, and stands a little above the plates.",
        _sound,
    ),
    "porosity": ("A weld in section", _SECTION + "Several small round holes are scattered in the weld.", _porosity),
    "slag-inclusion": (
        "A weld in section",
        _SECTION + "A drawn-out, ragged lump that is not metal lies where two beads meet, near the left wall of the groove.",
        _slag,
    ),
    "incomplete-fusion": (
        "A weld in section",
        _SECTION + "A thin straight gap runs along the right wall of the groove, between weld and plate.", _fusion,
    ),
    "incomplete-penetration": (
        "A weld in section",
        _SECTION + "At the bottom a hollow is left: the weld does not reach the lower corners of the plates or the backing bar.",
        _penetration,
    ),
    "undercut": (
        "A weld in section",
        _SECTION + "At the right toe a small groove is melted into the upper surface of the plate and left open.",
        _undercut,
    ),
    "overlap": (
        "A weld in section",
        _SECTION + "At the right toe weld metal has flowed out over the plate and lies on it without being joined to it.",
        _overlap,
    ),
    "underfill": (
        "A weld in section", _SECTION + "The whole weld face stays below the surfaces of the plates.", _underfill,
    ),
    "excess-reinforcement": (
        "A weld in section", _SECTION + "The weld face stands far above the plates and meets them at a steep angle.",
        _reinforcement,
    ),
    "mismatch": (
        "A weld in section",
        _SECTION + "The right plate stands higher than the left one, with a gap between it and the backing bar.",
        _mismatch,
    ),
    "spatter": (
        "A weld in section", _SECTION + "Small round drops of metal sit on the plate surfaces beside the weld.",
        _spatter,
    ),
    "arc-strike": (
        "A weld in section",
        _SECTION + "Away from the weld, on the right plate, is a small melted pit with a burned rim.", _strike,
    ),
    "toe-crack": (
        "A weld in section",
        _SECTION + "A jagged line runs down into the right plate from the place where the weld face meets it.",
        _toe_crack,
    ),
    "underbead-crack": (
        "A weld in section",
        _SECTION + "A jagged line runs inside the left plate, a little beside the weld and along it, and reaches no surface.",
        _underbead,
    ),
    "longitudinal-crack": ("A weld from above", _ABOVE + "A jagged line runs along the middle of the bead.", _along),
    "crater-crack": (
        "The end of a weld from above",
        _ABOVE + "At the end of the bead is a hollow, and jagged lines run out from its middle like a star.", _crater,
    ),
    "bead-right": (
        "A bead from above", _ABOVE + "The bead is about as wide all along, its ripples are close, even and rounded.",
        _bead_right,
    ),
    "bead-too-fast": (
        "A bead from above", _ABOVE + "The bead is thin, its ripples are far apart and drawn out to long points.",
        _bead_fast,
    ),
    "bead-too-slow": (
        "A bead from above", _ABOVE + "The bead is very wide, its ripples are crowded and nearly straight across.",
        _bead_slow,
    ),
    "bend-passed": (
        "The convex surface of a bent specimen",
        _BENT + "One tiny open discontinuity, no larger than a pinhead, is in the weld.", _bend_passed,
    ),
    "bend-face-openings": (
        "The convex surface of a bent specimen",
        _BENT + "Four open discontinuities of middle size are scattered over the weld.", _bend_openings,
    ),
    "bend-root-opening": (
        "The convex surface of a bent specimen",
        _BENT + "One long, wide open discontinuity runs along the left toe of the weld, most of the way across the specimen.",
        _bend_root,
    ),
    "bend-corner-crack": (
        "The convex surface of a bent specimen",
        _BENT + "One wedge-shaped open discontinuity starts at the upper long edge of the specimen and ends in the weld.",
        _bend_corner,
    ),
    "cut-right": (
        "The face of a flame cut",
        _FACE + "Fine lines run nearly straight down, the upper corner is sharp, the bottom is clean.", _cut_right,
    ),
    "cut-too-fast": (
        "The face of a flame cut",
        _FACE + "The lines sweep far back toward the bottom, and lumps cling to the lower edge.", _cut_fast,
    ),
    "cut-too-slow": (
        "The face of a flame cut",
        _FACE + "The upper corner is melted and rounded, with beads on it, and rough hollows are eaten into the lower half.",
        _cut_slow,
    ),
}
PICTURES = tuple(_PICTURES)
"""The names of the drawings."""


def picture(name: str, pointed: bool = True) -> Drawing:
    """The drawing of that name; not `pointed`, without the arrow to the place that is meant. Raises `KeyError`.

    >>> picture("undercut").title
    'A weld in section'
    >>> len(picture("undercut").shapes) - len(picture("undercut", pointed=False).shapes)
    2
    """
    title, description, shapes = _PICTURES[name]
    shown = tuple(each for each in shapes() if pointed or not _points(each))
    return Drawing(name, title, words(description), shown, margin=26)


def _points(shape: Shape) -> bool:
    return isinstance(shape, Path) and shape.name == HERE or isinstance(shape, Note) and shape.label == words(HERE)
