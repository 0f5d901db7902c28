"""Drawings to measure on: a bent specimen, a groove and a weld in section, to scale, with a rule to lay on.

Each is drawn from the numbers of its question, which the text does not tell: the reader measures them. `data-scale`
is the sheet units for each meter, so that what is measured back from the SVG is the number itself. The rule carries
inches to 1/32 at its upper edge and millimeters at its lower one; the page lets it be moved and turned, and on paper
a strip of paper carries a length to it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from html import escape

from calc.catalogue import calculator
from calc.practice.looks import Dice, Spot, line

WIDE, EDGE = 360.0, 14.0
INCH, MM = 0.0254, 0.001
RULE_HIGH = 54.0
SHORT, LONG = 16, 32
"""How many thirty-seconds of an inch a rule has. A short one turns within the drawing."""
NUMBERED = {0: "0", 8: "1/4", 16: "1/2", 24: "3/4", 32: "1"}
HOW = (
    "The rule: drag it where you measure, and drag its round end to turn it. Keys: arrows move it, Page Up and Page Down "
    "turn it."
)
ON_PAPER = "On paper, mark the length on the edge of a strip and hold the strip to the rule."

Numbers = Mapping[str, str]


def _read(identifier: str, inputs: Numbers, name: str) -> float:
    """An input of a calculator in base units."""
    each = calculator(identifier).input(name)
    return float(each.read(inputs.get(name, each.default), "us"))


# --- the rule -----------------------------------------------------------------------------


def _rule(scale: float, y: float, count: int) -> str:
    """So many thirty-seconds of an inch and a little, lying at the left below the drawing."""
    end = count / 32 * INCH * scale
    marks = ""
    for number in range(count + 1):
        long = 5 if number % 2 else 8 if number % 4 else 11 if number % 8 else 15
        marks += f"M{number * end / count:.2f} 0v{long}"
    for number in range(int(count / 32 * INCH / MM) + 1):
        marks += f"M{number * MM * scale:.2f} {RULE_HIGH}v{-(4 if number % 5 else 7 if number % 10 else 11)}"
    words = "".join(
        _text(max(2, number * end / count), 27, text + " in" * (number == count), "middle" if number else "start")
        for number, text in NUMBERED.items() if number <= count
    )
    last = 10 if count == SHORT else 20
    words += "".join(
        _text(number * MM * scale, 42, f"{number}{' mm' * (number == last)}") for number in range(10, last + 1, 10)
    )
    return (
        f'<g class="rule" tabindex="0" role="group" aria-label="{escape(HOW)}" data-at="{EDGE:g} {y:g} 0" '
        f'data-inch="{INCH * scale:.3f}" transform="translate({EDGE:g} {y:g})">'
        f'<path class="area rule-body" d="M0 0H{end + 32:.1f}V{RULE_HIGH}H0Z"/>'
        f'<path class="line thin" d="{marks}"/>{words}'
        f'<g class="rule-turn"><circle class="reach" cx="{end + 32:.1f}" cy="{RULE_HIGH / 2}" r="22"/>'
        f'<circle class="dot" cx="{end + 32:.1f}" cy="{RULE_HIGH / 2}" r="8"/></g></g>'
    )


def _poly(points: list[Spot], look: str, part: str = "") -> str:
    named = f' data-part="{part}"' if part else ""
    return line(points, f'class="area {look}"{named}', closed=True)


def _text(x: float, y: float, words: str, anchor: str = "middle") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'


# --- a bent specimen ------------------------------------------------------------------------


SPECIMEN = 1.5 * INCH


def _bent(inputs: Numbers, dice: Dice) -> tuple[str, float, float, str]:
    """The convex surface of the first specimen, rolled flat, with what opened on it."""
    rows = calculator("bend-judge").input("openings").read(inputs["openings"], "us")
    scale = 170 / INCH
    high, left, right = SPECIMEN * scale, EDGE, WIDE - EDGE
    band = 50.0
    made = _poly([(left, 4), (right, 4), (right, 4 + high), (left, 4 + high)], "plate")
    made += _poly([(180 - band, 4), (180 + band, 4), (180 + band, 4 + high), (180 - band, 4 + high)], "weld")
    for _ in range(22):
        y, x = dice.between(8, high), dice.between(left + 4, right - 90)
        made += line([(x, y), (x + dice.between(40, 86), y + dice.between(-1, 1))], 'class="line thin" opacity=".3"')
    own = [(float(size) * scale, place) for coupon, size, place, *_ in rows if int(coupon) == 1]
    on_face = sum(place == "face" for _, place in own)
    slot, number = high / (on_face + 0.0001), 0
    for count, (long, place) in enumerate(own, 1):
        if place == "corner":
            made += _poly(_torn(dice, long, 4.0 if dice.below(2) else 4 + high), "gap", f"opening-{count}")
            continue
        # A crack at the edge has the right half of the weld for itself.
        middle = (
            180 + dice.between(-0.6, 0.55 if on_face == len(own) else -0.1) * band,
            4 + slot * (number + 0.5) + dice.between(-0.12, 0.12) * slot,
        )
        made += _poly(_lens(dice, middle, long), "gap", f"opening-{count}")
        number += 1
    made += _text(180, 4 + high + 16, "weld") + _text(60, 4 + high + 16, "plate")
    return (
        made,
        scale,
        4 + high + 22,
        (
            "The convex surface of a bent specimen, rolled flat and drawn to scale. The weld is a band across it, with "
            f"{len(own)} dark shapes on the surface."
        ),
    )


def _lens(dice: Dice, middle: Spot, long: float) -> list[Spot]:
    """An open place, as long as it is between its two ends and narrower everywhere else."""
    turn, fat = dice.between(0, math.pi), dice.between(0.10, 0.22)
    half = [
        (math.cos(math.pi * part / 6), math.sin(math.pi * part / 6) * 2 * fat * dice.between(0.8, 1.1))
        for part in range(7)
    ]
    ring = [*half, *((-x, -y * dice.between(0.6, 1.0)) for x, y in half[1:-1])]
    return [
        (
            middle[0] + long / 2 * (x * math.cos(turn) - y * math.sin(turn)),
            middle[1] + long / 2 * (x * math.sin(turn) + y * math.cos(turn)),
        )
        for x, y in ring
    ]


def _torn(dice: Dice, long: float, edge: float) -> list[Spot]:
    """A crack that starts at a long edge of the specimen; its end lies farthest from the first corner of its mouth."""
    inward = 1 if edge < 20 else -1
    x, mouth, tilt = 180 + dice.between(8, 28), 0.16 * long, dice.between(0.12, 0.5)
    tip = (x + long * math.sin(tilt), edge + inward * long * math.cos(tilt))
    return [
        (x, edge),
        (x + 0.45 * (tip[0] - x), edge + 0.55 * (tip[1] - edge)),
        tip,
        (x + mouth + 0.5 * (tip[0] - x - mouth), edge + 0.42 * (tip[1] - edge)),
        (x + mouth, edge),
    ]


# --- a groove before it is welded -----------------------------------------------------------------


def _groove(
    identifier: str, opening: Callable[[Numbers], float], protractor: bool
) -> Callable[[Numbers, Dice], tuple[str, float, float, str]]:
    def drawn(inputs: Numbers, dice: Dice) -> tuple[str, float, float, str]:
        thick, gap = _read(identifier, inputs, "thickness"), opening(inputs)
        angle = math.radians(_read(identifier, inputs, "bevel_angle"))
        face = gap + 2 * thick * math.tan(angle)
        scale = min(270 / INCH, 0.8 * WIDE / face, 190 / thick)
        top = 46.0 if protractor else 8.0
        t, half, out = thick * scale, gap / 2 * scale, face / 2 * scale
        made = _poly([(40, top + t), (320, top + t), (320, top + t + 44), (40, top + t + 44)], "backing")
        for side, part in ((-1, "left"), (1, "right")):
            far = 180 + side * (WIDE / 2 - 4)
            made += _poly(
                [(far, top), (180 + side * out, top), (180 + side * half, top + t), (far, top + t)], "plate", part
            )
        made += _text(180, top + t + 28, "backing")
        if protractor:
            made += _degrees(180 - half, top + t, min(t + 24, 150))
        return made, scale, top + t + 52, "Two beveled plates on a backing bar, in section and to scale."

    return drawn


def _degrees(x: float, y: float, radius: float) -> str:
    """A bevel protractor at the corner where the bevel of the left plate ends: 0 stands square on the plate."""
    marks, words = "", ""
    for degree in range(46):
        turn = math.radians(degree)
        long = 12 if degree % 10 == 0 else 9 if degree % 5 == 0 else 5
        marks += (
            f"M{x - radius * math.sin(turn):.1f} {y - radius * math.cos(turn):.1f}"
            f"L{x - (radius - long) * math.sin(turn):.1f} {y - (radius - long) * math.cos(turn):.1f}"
        )
        if degree % 10 == 0:
            words += _text(x - (radius + 9) * math.sin(turn), y - (radius + 5) * math.cos(turn), f"{degree}°")
    return f'<path class="line thin" d="{marks}"/><circle cx="{x:.1f}" cy="{y:.1f}" r="2.5" class="area found"/>{words}'


def _first_opening(inputs: Numbers) -> float:
    return float(calculator("fit-up").input("openings").read(inputs["openings"], "us")[0][1])


# --- a weld in section ----------------------------------------------------------------------------


def _weld(inputs: Numbers, dice: Dice) -> tuple[str, float, float, str]:
    """A finished weld: how far its face stands over the plates, how far one plate stands over the other, and how deep
    the plate is melted away beside it.
    """
    scale = 230 / INCH
    high, step, cut = (
        (_read("visual-check", inputs, name) if inputs.get(name) else 0.0) * scale
        for name in ("reinforcement", "mismatch", "undercut_depth")
    )
    t = 3 / 8 * INCH * scale
    side = 1 - 2 * dice.below(2)
    top = 12 + max(high, 0) + step
    low, face, root = top + step, dice.between(64, 82), dice.between(24, 34)
    levels = {side: top, -side: low}
    made = _poly([(96, low + t), (264, low + t), (264, low + t + 40), (96, low + t + 40)], "backing")
    for each, y in levels.items():
        far = 180 + each * (WIDE / 2 - 4)
        toe = [(180 + each * face, y)]
        if cut and each == side:
            toe = [
                (180 + each * (face + 16), y),
                (180 + each * (face + 9), y + cut * 0.75),
                (180 + each * (face + 3), y + cut),
                (180 + each * (face - 1), y + 1),
            ]
        made += _poly(
            [(far, y), *toe, (180 + each * root, y + t), (far, y + t)], "plate", "upper" if each == side else "lower"
        )
    left, right = levels[-1], levels[1]
    crown = []
    for part in range(17):
        share = part / 8 - 1
        base = left + (right - left) * (share + 1) / 2
        crown.append((180 + share * face, base - (high + (base - top)) * (1 - share**4) if high else base))
    made += _poly(
        [*crown, (180 + root, right + t), (180 + root, low + t), (180 - root, low + t), (180 - root, left + t)],
        "weld",
        "weld",
    )
    return made, scale, low + t + 48, "A weld and its plates on a backing bar, in section and to scale."


_MEASURED: dict[str, tuple[str, frozenset[str], Callable[[Numbers, Dice], tuple[str, float, float, str]], int]] = {
    "measure-bent": ("A bent specimen to measure", frozenset({"openings"}), _bent, SHORT),
    "measure-groove": (
        "A groove to measure",
        frozenset({"thickness", "bevel_angle", "root_opening"}),
        _groove("groove", lambda inputs: _read("groove", inputs, "root_opening"), protractor=False),
        LONG,
    ),
    "measure-bevel": (
        "A groove to measure",
        frozenset({"thickness", "bevel_angle", "root_opening"}),
        _groove("groove", lambda inputs: _read("groove", inputs, "root_opening"), protractor=True),
        LONG,
    ),
    "measure-opening": (
        "A groove to measure",
        frozenset({"thickness", "bevel_angle", "openings"}),
        _groove("fit-up", _first_opening, protractor=False),
        SHORT,
    ),
    "measure-weld": ("A weld to measure", frozenset({"reinforcement", "mismatch", "undercut_depth"}), _weld, SHORT),
}
MEASURED = tuple(_MEASURED)
"""The names of the drawings to measure on."""


def shows(name: str) -> frozenset[str]:
    """The inputs that a drawing shows in place of the text; none for a drawing that is not to measure on.

    >>> sorted(shows("measure-bent")), sorted(shows("undercut"))
    (['openings'], [])
    """
    return _MEASURED[name][1] if name in _MEASURED else frozenset()


def measured_svg(name: str, inputs: Numbers, seed: str, place: str) -> str:
    """The drawing of that name with these numbers, as an SVG element with its rule. Raises `KeyError`."""
    title, _, draw, count = _MEASURED[name]
    made, scale, high, words = draw(inputs, Dice(f"{name}/{seed}"))
    tall = high + RULE_HIGH + 6
    return (
        f'<svg class="drawing measured" role="group" aria-labelledby="{place}-{name}-t {place}-{name}-d" viewBox="0 0 '
        f'{WIDE:g} {tall:.0f}" data-scale="{scale:.6f}"><title id="{place}-{name}-t">{title}</title>'
        f'<desc id="{place}-{name}-d">{escape(words)} Below it lies a rule.</desc>{made}{_rule(scale, high, count)}</svg>'
    )
