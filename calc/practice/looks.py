"""Welds as they look: a weld from above, lit from the upper left, and below it the same weld cut across and etched.

A seed decides every look: where the ripples lie, how many pores there are, which toe is melted away. Shades of gray
say how high each place stands; the light on them is worked out by the filter that the SVG carries, so a look is small
and needs nothing from outside. Drawn from the usual signs of each discontinuity, traced from nothing. Nothing points
to the discontinuity and no words name it: that is the question. `seen` tells a reader who cannot see the drawing its
shapes, in words that are no name.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from html import escape

from calc.practice.chance import Chance

WIDE, TOP, BELOW = 360, 150, 92
"""The sheet: its width, the height of the view from above, and that of the section."""
PLATE, GLOW = 96, 235
"""How high the plate and the highest weld metal stand, as shades from 0 to 255."""
MIDDLE = TOP / 2
STEP = 6.0

Spot = tuple[float, float]


class Dice:
    """Numbers between two ends, from a seed."""

    def __init__(self, seed: str) -> None:
        self._chance = Chance(seed)

    def between(self, low: float, high: float) -> float:
        """A number from `low` to `high`."""
        return low + (high - low) * self._chance.below(10_000) / 9_999

    def below(self, count: int) -> int:
        """A whole number from 0 up to, not including, `count`."""
        return self._chance.below(count)

    def side(self) -> int:
        """Which of the two plates: -1 for the upper one, 1 for the lower one."""
        return 1 - 2 * self._chance.below(2)


@dataclass
class Look:
    """A weld being drawn: what stands high and low, what is dark or bright on it, and its section."""

    dice: Dice
    half: float = 30.0
    """Half the width of the weld."""
    start: float = -8.0
    end: float = WIDE + 8.0
    rise: float = 0.55
    """How high the weld stands, as a share of the way from `PLATE` to `GLOW`; below 0 it lies under the plate."""
    heights: list[str] = field(default_factory=list)
    shades: list[str] = field(default_factory=list)
    metal: list[str] = field(default_factory=list)
    """What is drawn on the section."""
    cap: float = 7.0
    """How far the weld stands over the plates in the section."""
    notch: dict[int, float] = field(default_factory=dict)
    """The depth melted out of the plate at a toe, by side."""
    lip: dict[int, float] = field(default_factory=dict)
    """How far weld metal lies over the plate, by side."""
    lobes: tuple[tuple[float, float, float], ...] = ()
    """Where the outline swells on the sides of `lip`: place along the weld, how far out, how long."""


def gray(shade: float) -> str:
    """A shade as the SVG writes it."""
    return f"#{max(0, min(255, round(shade))):02x}" * 1 + f"{max(0, min(255, round(shade))):02x}" * 2


def line(points: Sequence[Spot], more: str, closed: bool = False) -> str:
    """A line through points."""
    way = "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
    return f'<path d="M{way}{"Z" if closed else ""}" {more}/>'


def jagged(dice: Dice, start: Spot, end: Spot, off: float, parts: int) -> list[Spot]:
    """A crooked way between two points."""
    (x0, y0), (x1, y1) = start, end
    long = math.hypot(x1 - x0, y1 - y0) or 1.0
    across = (-(y1 - y0) / long, (x1 - x0) / long)
    made = []
    for part in range(parts + 1):
        share = part / parts
        aside = 0.0 if part in (0, parts) else dice.between(-off, off)
        made.append((x0 + (x1 - x0) * share + across[0] * aside, y0 + (y1 - y0) * share + across[1] * aside))
    return made


def blob(dice: Dice, x: float, y: float, long: float, high: float, parts: int = 11) -> list[Spot]:
    """A round thing with an uneven edge."""
    return [
        (
            x + long * dice.between(0.7, 1.15) * math.cos(2 * math.pi * part / parts),
            y + high * dice.between(0.7, 1.15) * math.sin(2 * math.pi * part / parts),
        )
        for part in range(parts)
    ]


# --- the weld itself ----------------------------------------------------------------------


def out(look: Look, side: int, x: float) -> float:
    """How far a toe lies from the middle of the weld at a place along it."""
    swell = sum(far * math.exp(-(((x - at) / wide) ** 2)) for at, far, wide in look.lobes) if side in look.lip else 0.0
    return look.half + swell


def edge(look: Look, side: int) -> list[Spot]:
    """One toe of the weld from its start to its end."""
    made, x = [], max(look.start, -8.0)
    while x <= look.end:
        made.append((x, MIDDLE + side * (out(look, side, x) + look.dice.between(-1.1, 1.1))))
        x += STEP
    return made


def bead(look: Look, ripple: float = 6.0, bulge: float = 13.0, deep: float = 0.22, strings: int = 1) -> None:
    """Weld metal between its toes, with ripples; `strings` beads lie side by side."""
    look.heights.append(line([*edge(look, -1), *reversed(edge(look, 1))], 'fill="url(#@up)"', closed=True))
    ways: list[list[str]] = [[], [], []]
    for string in range(strings):
        top, bottom = string / strings, (string + 1) / strings
        x = look.start
        while x < look.end:
            high, low = MIDDLE - out(look, -1, x), MIDDLE + out(look, 1, x)
            first, last = high + (low - high) * top + 1, high + (low - high) * bottom - 1
            reach = bulge + look.dice.between(-2, 2)
            ways[look.dice.below(3)].append(
                f"M{x:.0f} {first:.0f}q{2 * reach:.0f} {(last - first) / 2:.0f} 0 {last - first:.0f}"
            )
            x += ripple * look.dice.between(0.75, 1.25)
        if string:
            y = MIDDLE - look.half + 2 * look.half * top
            valley = [(x, y + look.dice.between(-1.5, 1.5)) for x in range(-8, round(look.end), 12)]
            look.heights.append(line(valley, 'fill="none" stroke="#000" stroke-width="5" stroke-opacity=".28"'))
    for number, each in enumerate(ways):
        look.heights.append(
            f'<path d="{"".join(each)}" fill="none" stroke="#000" stroke-opacity="{deep * (0.7 + 0.3 * number):.2f}" '
            f'stroke-width="{1.5 + 0.6 * number:.1f}"/>'
        )


def crater(look: Look) -> None:
    """The rounded, dished end of a weld."""
    x, half = look.end, look.half
    look.heights.append(
        f'<ellipse cx="{x:.1f}" cy="{MIDDLE:g}" rx="{half:.1f}" ry="{half:.1f}" fill="url(#@dome)"/>'
        f'<circle cx="{x:.1f}" cy="{MIDDLE:g}" r="{half * 0.8:.1f}" fill="url(#@pit)"/>'
    )


def pore(look: Look, x: float, y: float, radius: float) -> None:
    """A round hole that reaches the surface."""
    look.heights.append(
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius + 1.4:.1f}" fill="#fff" opacity=".18"/>'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="#000"/>'
    )
    look.shades.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius * 0.8:.1f}" fill="#0b0b0c" opacity=".8"/>')


def drop(look: Look, x: float, y: float, radius: float) -> None:
    """A ball of metal that sticks to the plate."""
    look.heights.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius * 1.25:.1f}" fill="url(#@ball)"/>')
    look.shades.append(
        f'<ellipse cx="{x + radius * 0.5:.1f}" cy="{y + radius * 0.6:.1f}" rx="{radius:.1f}" ry="{radius * 0.8:.1f}" '
        'fill="#000" opacity=".16"/>'
    )


def crack(look: Look, way: Sequence[Spot], wide: float = 1.5) -> None:
    """A crack along a way."""
    look.heights.append(
        line(
            way,
            f'fill="none" stroke="#000" stroke-width="{wide + 0.8:.1f}" stroke-opacity=".5" stroke-linejoin="round"',
        )
    )
    look.shades.append(line(way, f'fill="none" stroke="#070708" stroke-width="{wide:.1f}" stroke-linejoin="round"'))


def slag(look: Look, x: float, y: float, long: float, high: float) -> None:
    """A piece of glassy crust."""
    outline = blob(look.dice, x, y, long, high)
    look.heights.append(line(outline, f'fill="{gray(70)}" stroke="#000" stroke-opacity=".6"', closed=True))
    look.shades.append(line(outline, 'fill="#1f1a15" opacity=".88"', closed=True))
    for _ in range(max(1, round(long / 5))):
        at = x + look.dice.between(-0.6, 0.6) * long
        look.shades.append(
            f'<ellipse cx="{at:.1f}" cy="{y - high * 0.25:.1f}" rx="{look.dice.between(0.8, 2.2):.1f}" ry=".7" '
            'fill="#b9ab98" '
            'opacity=".75"/>'
        )


# --- what each look shows ---------------------------------------------------------------------


_FISSURE = 'fill="none" stroke="#000" stroke-width="1.5"'


def _plain(look: Look) -> None:
    """A weld with nothing wrong, in one of three hands: stringer, weave, three beads side by side."""
    way = look.dice.below(3)
    if way == 0:
        look.half = look.dice.between(24, 29)
        bead(look)
    elif way == 1:
        look.half = look.dice.between(33, 38)
        bead(look, 8.5, 8.0, 0.27)
    else:
        look.half = look.dice.between(36, 40)
        bead(look, 5.0, 7.0, 0.2, 3)


def _sound(look: Look) -> None:
    _plain(look)


def _porosity(look: Look) -> None:
    _plain(look)
    dice, way = look.dice, look.dice.below(3)
    middle = dice.between(90, 270)
    for number in range((13, 10, 9)[way]):
        if way == 0:
            x, y = middle + dice.between(-34, 34), MIDDLE + dice.between(-0.75, 0.75) * look.half
        elif way == 1:
            x, y = dice.between(15, 345), MIDDLE + dice.between(-0.7, 0.7) * look.half
        else:
            x, y = middle - 70 + 17 * number + dice.between(-3, 3), MIDDLE + dice.between(-4, 4)
        pore(look, x, y, dice.between(1.8, 4.2))
    for _ in range(4 + dice.below(3)):
        x, y = 180 + dice.between(-20, 20), dice.between(-2, 34)
        look.metal.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{dice.between(1.5, 3):.1f}" fill="#17181a"/>')


def _hollow(look: Look, side: int, first: float, last: float, half: float) -> list[Spot]:
    """The outline of a groove along a toe, thin at its ends."""
    count = max(4, round((last - first) / 8))
    upper, lower = [], []
    for part in range(count + 1):
        wide = half * min(1.0, 1.5 * math.sin(math.pi * part / count)) * look.dice.between(0.9, 1.06)
        x, y = first + (last - first) * part / count, MIDDLE + side * (look.half + 3.2 + look.dice.between(-0.7, 0.7))
        upper.append((x, y - wide))
        lower.append((x, y + wide))
    return [*upper, *reversed(lower)]


def _undercut(look: Look) -> None:
    _plain(look)
    dice, way, side = look.dice, look.dice.below(3), look.dice.side()
    for each in (side,) if way != 1 else (-1, 1):
        runs = (
            ((-8, 368),)
            if way == 0
            else (
                tuple(
                    (at, at + dice.between(45, 85))
                    for at in (dice.between(5, 50), dice.between(140, 180), dice.between(255, 285))
                )
                if way == 1
                else ((first := dice.between(40, 120), first + dice.between(110, 190)),)
            )
        )
        for first, last in runs:
            for share in (1.0, 0.8, 0.6, 0.42, 0.24):
                look.heights.append(
                    line(_hollow(look, each, first, last, 6.0 * share), 'fill="#000" opacity=".24"', closed=True)
                )
            look.shades.append(line(_hollow(look, each, first, last, 2.2), 'fill="#000" opacity=".22"', closed=True))
        look.notch[each] = dice.between(5, 8)


def _overlap(look: Look) -> None:
    """Weld metal that rolled out over the plate: tongues of it, one long roll, or one lump."""
    dice, way, side = look.dice, look.dice.below(3), look.dice.side()
    look.half = dice.between(26, 30)
    count = (3, 5, 1)[way]
    look.lobes = tuple(
        (
            dice.between(25, 70) + number * (300 / count) + (110 if way == 2 else 0),
            dice.between(13, 21),
            dice.between(17, 26) + 30 * (way == 2),
        )
        for number in range(count)
    )
    if way == 1:
        look.lobes = tuple((at + dice.between(-3, 3), dice.between(7, 12), 19) for at in range(-10, 390, 24))
    look.lip[side] = dice.between(15, 21)
    bead(look)
    rim = [(x, MIDDLE + side * (out(look, side, x) + dice.between(-0.6, 0.6))) for x in range(-8, 370, 5)]
    roll = [(x, y - side * 4.5) for x, y in rim]
    look.heights.append(
        line(roll, f'fill="none" stroke="{gray(196)}" stroke-width="7" stroke-linejoin="round" stroke-opacity=".42"')
    )
    look.heights.append(
        line([(x, y + side * 1.2) for x, y in rim], 'fill="none" stroke="#000" stroke-width="1.4" stroke-opacity=".5"')
    )
    for wide, dark in ((1.2, 0.6), (4.5, 0.2)):
        look.shades.append(
            line(
                [(x + 0.8, y + side * (0.4 + wide / 2)) for x, y in rim],
                f'fill="none" stroke="#000" stroke-width="{wide}" opacity="{dark}"',
            )
        )


def _slag(look: Look) -> None:
    _plain(look)
    dice, way, side = look.dice, look.dice.below(3), look.dice.side()
    if way == 0:
        x = dice.between(10, 60)
        while x < 330:
            slag(look, x, MIDDLE + side * (look.half - 3), dice.between(9, 20), dice.between(2, 3.6))
            x += dice.between(22, 46)
    elif way == 1:
        x = dice.between(60, 110)
        for _ in range(3):
            slag(look, x, MIDDLE + dice.between(-0.4, 0.4) * look.half, dice.between(9, 17), dice.between(4, 8))
            x += dice.between(50, 85)
    else:
        slag(
            look, dice.between(100, 250), MIDDLE + side * look.half * 0.35, dice.between(44, 66), dice.between(2.6, 4.2)
        )
    outline = blob(dice, 180 + side * dice.between(14, 20), dice.between(10, 18), 7, 3)
    look.metal.append(line(outline, 'fill="#1f1a15" stroke="#000" stroke-width=".6"', closed=True))


def _crater_crack(look: Look) -> None:
    """Fine cracks like a star in the dished end of a weld."""
    dice = look.dice
    look.end, look.half = dice.between(205, 290), dice.between(26, 33)
    bead(look, dice.between(5.5, 8.5))
    crater(look)
    turn, rays = dice.between(0, 1), 3 + dice.below(3)
    for ray in range(rays):
        angle = turn + ray * 2 * math.pi / rays + dice.between(-0.25, 0.25)
        long = look.half * dice.between(0.45, 0.85)
        end = (look.end + long * math.cos(angle), MIDDLE + long * math.sin(angle))
        crack(look, jagged(dice, (look.end + dice.between(-1, 1), MIDDLE + dice.between(-1, 1)), end, 1.6, 6), 0.9)
    look.metal.append(line(jagged(dice, (181, -4), (178, 14), 2, 5), _FISSURE))


def _middle_crack(look: Look) -> None:
    """A crack along the middle of the weld."""
    dice = look.dice
    _plain(look)
    first, y = dice.between(-10, 90), MIDDLE + dice.between(-3, 3)
    crack(look, jagged(dice, (first, y), (first + dice.between(150, 290), y + dice.between(-3, 3)), 2.4, 44), 1.0)
    look.metal.append(line(jagged(dice, (180, -6), (181, dice.between(14, 34)), 2, 8), _FISSURE))


def _toe_crack(look: Look) -> None:
    """A crack along the line where weld and plate meet."""
    dice, side = look.dice, look.dice.side()
    _plain(look)
    first, y = dice.between(10, 120), MIDDLE + side * (look.half + 1.4)
    for _ in range(1 + dice.below(2)):
        last = first + dice.between(80, 180)
        crack(look, jagged(dice, (first, y), (last, y + side * dice.between(-1, 2)), 1.7, 30), 1.0)
        first = last + dice.between(15, 40)
    foot = (180 + side * 43, 0)
    look.metal.append(
        line(jagged(dice, foot, (foot[0] + side * dice.between(3, 8), dice.between(16, 30)), 2, 6), _FISSURE)
    )


def _cross_crack(look: Look) -> None:
    """Cracks straight across the weld."""
    dice = look.dice
    _plain(look)
    x = dice.between(50, 120)
    for _ in range(1 + dice.below(3)):
        far = look.half * dice.between(0.8, 1.15)
        crack(look, jagged(dice, (x, MIDDLE - far), (x + dice.between(-8, 8), MIDDLE + far), 2.2, 17), 1.0)
        x += dice.between(55, 95)


def _underfill(look: Look) -> None:
    dice, way = look.dice, look.dice.below(3)
    look.half, look.rise, look.cap = 34.0, -0.42, -(9 + dice.below(5))
    look.heights.append(
        f'<rect x="-8" y="{MIDDLE - look.half - 3:.1f}" width="376" height="{2 * look.half + 6:.1f}" '
        f'fill="{gray(44)}"/>'
    )
    look.half -= 4 if way else 6
    bead(look, 6.5, 9.0 if way != 2 else 6.0, 0.18, (1, 2, 3)[way])
    look.half = 36.0
    for side in (-1, 1):
        look.shades.append(
            f'<rect x="-8" y="{MIDDLE + side * look.half - (0 if side < 0 else 5):.1f}" width="376" height="5" '
            'fill="#000" '
            f'opacity="{0.42 if side < 0 else 0.12}"/>'
        )


def _fusion(look: Look) -> None:
    """Weld metal against a side of the groove that was not melted."""
    dice, way, side = look.dice, look.dice.below(3), look.dice.side()
    look.half = dice.between(25, 29)
    bead(look)
    first, last = ((-30, 390), (dice.between(10, 60), dice.between(240, 330)), (dice.between(90, 150), 390))[way]
    look.heights.append(line(_hollow(look, side, first, last, 4.6), 'fill="#000" opacity=".5"', closed=True))
    seam = [
        (x, MIDDLE + side * (look.half + dice.between(-0.4, 0.9))) for x in range(round(first) + 8, round(last) - 8, 7)
    ]
    look.heights.append(line(seam, 'fill="none" stroke="#000" stroke-width="2.6" stroke-opacity=".9"'))
    look.shades.append(line(seam, 'fill="none" stroke="#020202" stroke-width="1.8" opacity=".8"'))
    wall = [(180 + side * (40 - 0.62 * y), y) for y in (3, 10, 17, 24, 31)]
    look.metal.append(line(wall, 'fill="none" stroke="#000" stroke-width="2.4" stroke-linecap="round"'))


def _reinforcement(look: Look) -> None:
    dice, way = look.dice, look.dice.below(3)
    look.rise, look.cap = 1.25, 17 + dice.below(8)
    look.half = (dice.between(20, 24), dice.between(31, 35), dice.between(25, 29))[way]
    bead(look, (5.0, 9.0, 6.0)[way], (8.0, 9.0, 16.0)[way], 0.26)
    for side in (-1, 1):
        y = MIDDLE + side * (look.half - 1)
        look.heights.append(f'<rect x="-8" y="{y - 2:.1f}" width="376" height="4" fill="#000" opacity=".25"/>')
    look.shades.append(f'<rect x="-8" y="{MIDDLE + look.half:.1f}" width="376" height="13" fill="url(#@fall)"/>')


def _strike(look: Look) -> None:
    _plain(look)
    dice, way = look.dice, look.dice.below(3)
    for number in range((1, 1, 3)[way]):
        side = dice.side()
        x, y = dice.between(60, 300), MIDDLE + side * dice.between(look.half + 18, 66)
        if way == 2:
            x = 60 + number * 105 + dice.between(-20, 20)
        long = dice.between(7, 10) if way != 1 else dice.between(19, 30)
        high = dice.between(5, 7) if way != 1 else 4.5
        look.shades.append(
            f'<ellipse cx="{x:.1f}" cy="{y:.1f}" rx="{long * 1.9:.1f}" ry="{high * 2:.1f}" fill="url(#@burn)"/>'
        )
        look.heights.append(line(blob(dice, x, y, long + 2, high + 2), f'fill="{gray(168)}"', closed=True))
        look.heights.append(line(blob(dice, x + 1, y, long * 0.62, high * 0.6), f'fill="{gray(38)}"', closed=True))
        look.shades.append(
            line(blob(dice, x + 1, y, long * 0.4, high * 0.36), 'fill="#000" opacity=".35"', closed=True)
        )
        for _ in range(3):
            drop(look, x + dice.between(-2, 2) * long, y + dice.between(-1.6, 1.6) * high, dice.between(0.8, 1.5))


def _spatter(look: Look) -> None:
    _plain(look)
    dice, way, side = look.dice, look.dice.below(3), look.dice.side()
    for _ in range((62, 26, 40)[way]):
        where = side if way == 2 and dice.below(5) else dice.side()
        y = MIDDLE + where * (look.half + 5 + 34 * dice.between(0, 1) ** 1.6)
        drop(look, dice.between(4, 356), y, dice.between(1.1, 2.4) if way == 0 else dice.between(2, 4.4))
    for x in (dice.between(70, 115), dice.between(245, 262), dice.between(270, 290)):
        look.metal.append(
            f'<circle cx="{x:.1f}" cy="-1.6" r="{dice.between(1.6, 2.8):.1f}" fill="#8e9196" stroke="#222" '
            'stroke-width=".6"/>'
        )


# --- the section --------------------------------------------------------------------------------


def _section(look: Look) -> str:
    """The weld cut across: 0 is the surface of the plates, down is positive; the groove opens upward."""
    root, face, thick = 16.0, 42.0, 44.0
    level = max(0.0, -look.cap)
    reach = face - (face - root) * level / thick
    rise = max(0.0, look.cap)
    crown = [
        (
            (180 + reach * share, level - rise * (1 - share**2) ** (0.5 if look.cap > 15 else 1.0))
            if look.cap >= 0
            else (180 + reach * share, level + 2.5 * (1 - share**2))
        )
        for share in (part / 8 - 1 for part in range(17))
    ]
    ripples = "".join(
        line(
            [
                (180 + (root + (face - root) * share) * each, thick * (1 - share) - 5 * (1 - each**2))
                for each in (part / 6 - 1 for part in range(13))
            ],
            'fill="none" stroke="#5d6166" stroke-width=".7" opacity=".7"',
        )
        for share in (0.25, 0.52, 0.8)
        if thick * (1 - share) > level + 6
    )
    plates = [(0, 0), (180 - face, 0), (180 - root, thick), (0, thick)]
    mirrored = [(360 - x, y) for x, y in plates]
    weld = [*crown, (180 + root, thick + 2), (180 - root, thick + 2)]
    made = line(plates, 'fill="#a9adb2"', closed=True) + line(mirrored, 'fill="#a9adb2"', closed=True)
    made += line(
        [(118, thick), (242, thick), (242, thick + 16), (118, thick + 16)],
        'fill="#96999e" stroke="#333" stroke-width=".8"',
        closed=True,
    )
    for side in (-1, 1):
        zone = [
            (180 + side * (face + 7), max(0, level - 3)),
            (180 + side * (root + 7), thick),
            (180 + side * root, thick),
            (180 + side * face, 0),
        ]
        made += line(zone, 'fill="#7f8389" opacity=".6"', closed=True)
    made += line(weld, 'fill="#c9ccd0" stroke="#4a4d52" stroke-width="1"', closed=True) + ripples
    for side, deep in look.notch.items():
        foot = 180 + side * face
        made += line(
            [(foot - side * 2, -1.2), (foot + side * 1, deep), (foot + side * 5, deep * 0.7), (foot + side * 9, -1.2)],
            'fill="url(#@dark)" stroke="none"',
            closed=True,
        )
        made += line(
            [(foot - side * 2, 0), (foot + side * 1, deep), (foot + side * 5, deep * 0.7), (foot + side * 9, 0)],
            'fill="none" stroke="#222" stroke-width="1"',
        )
    for side, out in look.lip.items():
        foot = 180 + side * face
        made += line(
            [
                (foot - side * 16, -5.5),
                (foot + side * out * 0.6, -5),
                (foot + side * out, -2.4),
                (foot + side * (out - 2), -0.7),
                (foot, -0.2),
                (foot - side * 10, 1),
            ],
            'fill="#c9ccd0"',
            closed=True,
        )
        made += line(
            [
                (foot - side * 18, -5.8),
                (foot + side * out * 0.6, -5),
                (foot + side * out, -2.4),
                (foot + side * (out - 2), -0.7),
                (foot - side * 2, 0.2),
            ],
            'fill="none" stroke="#222" stroke-width="1.1"',
        )
    for side in (-1, 1):
        made += (
            line(
                [(180 + side * (face + (look.lip.get(side, 0) and 2)), 0), (180 + side * 190, 0)],
                'fill="none" stroke="#33363a" stroke-width="1"',
            )
            if side not in look.notch
            else line(
                [(180 + side * (face + 9), 0), (180 + side * 190, 0)], 'fill="none" stroke="#33363a" stroke-width="1"'
            )
        )
    made += line([(-2, thick), (118, thick)], 'stroke="#33363a"') + line(
        [(242, thick), (362, thick)], 'stroke="#33363a"'
    )
    return made + "".join(look.metal)


# --- the sheet ------------------------------------------------------------------------------------


def _up(look: Look) -> str:
    """Across the weld, toe to toe: how high it stands."""
    span = (GLOW - PLATE) * look.rise
    stops = ""
    for part in range(9):
        share = abs(part / 4 - 1)
        high = (1 - share**2) if look.rise < 1 else (1 - share**4)
        shade = PLATE + span * high if look.rise > 0 else 46 - span * high * 0.45
        stops += f'<stop offset="{part / 8:g}" stop-color="{gray(shade)}"/>'
    return f'<linearGradient id="@up" x2="0" y2="1">{stops}</linearGradient>'


def _round(name: str, *stops: tuple[float, str, float]) -> str:
    made = "".join(f'<stop offset="{at:g}" stop-color="{color}" stop-opacity="{seen:g}"/>' for at, color, seen in stops)
    return f'<radialGradient id="@{name}">{made}</radialGradient>'


def _defs(look: Look, seed: int) -> str:
    return (
        f'<filter id="@lit" x="0" y="0" width="{WIDE}" height="{TOP}" filterUnits="userSpaceOnUse" '
        'color-interpolation-filters="sRGB">'
        '<feColorMatrix values="0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 1 0 0 0 0" result="h"/>'
        f'<feTurbulence type="fractalNoise" baseFrequency=".4 .55" numOctaves="3" seed="{seed}"/>'
        '<feColorMatrix values="0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 1 0 0 0 0" result="n"/>'
        '<feComposite in="h" in2="n" operator="arithmetic" k2=".96" k3=".035" result="r"/>'
        '<feGaussianBlur in="r" stdDeviation=".75" result="s"/>'
        '<feDiffuseLighting in="s" surfaceScale="44" diffuseConstant="1.05" lighting-color="#c3c8ce" result="d">'
        '<feDistantLight azimuth="236" elevation="50"/></feDiffuseLighting>'
        '<feSpecularLighting in="s" surfaceScale="44" specularConstant=".34" specularExponent="14" '
        'lighting-color="#fff" result="g">'
        '<feDistantLight azimuth="236" elevation="50"/></feSpecularLighting>'
        '<feComposite in="d" in2="g" operator="arithmetic" k2=".82" k3=".5"/></filter>'
        + _up(look)
        + '<linearGradient id="@string" x2="0" y2="1"><stop stop-color="#000" stop-opacity=".3"/><stop offset=".3" '
          'stop-color="#fff" '
        'stop-opacity=".05"/><stop offset=".7" stop-color="#fff" stop-opacity=".05"/><stop offset="1" '
        'stop-color="#000" stop-opacity=".3"/></linearGradient>'
        + _round("ball", (0, "#fff", 0.5), (0.5, "#fff", 0.4), (0.85, "#fff", 0.12), (1, "#fff", 0))
        + _round("dome", (0, gray(172), 1), (0.35, gray(166), 1), (0.68, gray(140), 1), (1, gray(PLATE), 1))
        + _round("pit", (0, "#000", 0.5), (0.5, "#000", 0.32), (1, "#000", 0))
        + _round("burn", (0, "#2b2522", 0.75), (0.55, "#3c3330", 0.5), (1, "#4a5568", 0))
        + '<linearGradient id="@fall" x2="0" y2="1"><stop stop-color="#000" stop-opacity=".5"/><stop offset="1" '
          'stop-color="#000" stop-opacity="0"/></linearGradient>'
        + '<linearGradient id="@tint" x2="0" y2="1"><stop offset="0" stop-color="#3d4046" stop-opacity=".5"/><stop '
          'offset=".22" '
        'stop-color="#31384c" stop-opacity=".42"/><stop offset=".32" stop-color="#6b5a49" '
        'stop-opacity=".32"/><stop offset=".42" '
        'stop-color="#fff" stop-opacity="0"/><stop offset=".58" stop-color="#fff" stop-opacity="0"/><stop '
        'offset=".68" stop-color="#6b5a49" '
        'stop-opacity=".32"/><stop offset=".78" stop-color="#31384c" stop-opacity=".42"/><stop offset="1" '
        'stop-color="#3d4046" '
        'stop-opacity=".5"/></linearGradient>'
        '<linearGradient id="@dark"><stop stop-color="#eceded"/><stop offset="1" '
        'stop-color="#eceded"/></linearGradient>'
    )


def _beyond(look: Look) -> str:
    """The plate past the end of a weld: as dull as the rest."""
    x = look.end + look.half + 2
    return f'<rect x="{x:.0f}" width="{WIDE - x:.0f}" height="{TOP}" fill="#3d4046" opacity=".5"/>' if x < WIDE else ""


_LOOKS: dict[str, tuple[Callable[[Look], None], str]] = {
    "look-sound": (_sound, "The ripples are even, and both edges run smoothly into the plates."),
    "look-porosity": (_porosity, "Small round dark spots lie in the ripples."),
    "look-undercut": (_undercut, "Beside the band, along part of an edge, the plate is lower than the rest of it."),
    "look-overlap": (_overlap, "At one edge the band spreads out in rounded tongues with a dark line under their rim."),
    "look-slag": (_slag, "Dark, ragged, glassy patches lie in the band."),
    "look-crater-crack": (_crater_crack, "The band ends in a hollow with thin crooked dark lines in it."),
    "look-middle-crack": (_middle_crack, "A thin crooked dark line runs along the middle of the band."),
    "look-toe-crack": (_toe_crack, "A thin crooked dark line runs along one edge of the band."),
    "look-cross-crack": (_cross_crack, "One thin crooked dark line or more run across the band."),
    "look-underfill": (_underfill, "The band lies lower than the plates; two straight steps stand beside it."),
    "look-fusion": (_fusion, "Along one edge of the band runs a straight dark seam with a flat slope beyond it."),
    "look-reinforcement": (_reinforcement, "The band is high, its sides are steep, and it throws a shadow."),
    "look-strike": (_strike, "On a plate, away from the band, is a small bright pit with a dark ring, or several."),
    "look-spatter": (_spatter, "Many small round balls sit on the plates beside the band."),
}
LOOKS = tuple(_LOOKS)
"""The names of the looks."""
_TITLE, _TITLE_ABOVE = "A weld from above and in section", "A weld from above"
_SCENE = "A weld between two plates: from above, light from the upper left, and below it cut across and etched."
_SCENE_ABOVE = "A weld between two plates, from above, light from the upper left."


def seen(name: str) -> str:
    """What a look shows, as shapes, without the name of it.

    >>> seen("look-spatter")
    'Many small round balls sit on the plates beside the band.'
    """
    return _LOOKS[name][1]


def look_svg(name: str, seed: str, place: str, cut: bool = True) -> str:
    """The look of that name for a seed, as an SVG element; without `cut` only from above. Raises `KeyError`.

    >>> look_svg("look-slag", "7", "q") == look_svg("look-slag", "7", "q") != look_svg("look-slag", "8", "q")
    True
    """
    show, words = _LOOKS[name]
    look = Look(Dice(f"{name}/{seed}"))
    show(look)
    scratches = "".join(
        line(
            [
                (x := look.dice.between(-20, 340), y := look.dice.between(2, TOP - 2)),
                (x + look.dice.between(20, 90), y + look.dice.between(-3, 3)),
            ],
            f'fill="none" stroke="{gray(look.dice.between(60, 130))}" stroke-width=".8" opacity=".22"',
        )
        for _ in range(14)
    )
    noise = 1 + look.dice.below(99)
    section = (
        f'<svg y="{TOP}" width="{WIDE}" height="{BELOW}" viewBox="0 -30 {WIDE} {BELOW}"><rect y="-30" '
        f'width="{WIDE}" height="{BELOW}" fill="#eceded"/>'
        f"{_section(look)}</svg>"
    ) if cut else ""
    title, scene, high = (_TITLE, _SCENE, TOP + BELOW) if cut else (_TITLE_ABOVE, _SCENE_ABOVE, TOP)
    body = (
        f"<title>{title}</title><desc>{escape(f'{scene} {words}')}</desc>"
        f"<defs>{_defs(look, noise)}</defs>"
        f'<g filter="url(#@lit)"><rect width="{WIDE}" height="{TOP}" '
        f'fill="{gray(PLATE)}"/>{scratches}{"".join(look.heights)}</g>'
        f'<rect width="{min(look.end + look.half + 2, WIDE):.0f}" height="{TOP}" '
        f'fill="url(#@tint)"/>{_beyond(look)}{"".join(look.shades)}{section}'
    )
    return (
        f'<svg class="look" role="img" viewBox="0 0 {WIDE} {high}" aria-labelledby="{place}-{name}-t '
        f'{place}-{name}-d">'
        + body.replace("<title>", f'<title id="{place}-{name}-t">')
        .replace("<desc>", f'<desc id="{place}-{name}-d">')
        .replace("#@", f"#{place}-")
        .replace('id="@', f'id="{place}-')
        + "</svg>"
    )
