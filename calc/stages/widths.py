"""The chain of widths: from the stock to the bend specimen, worked out in one place for every calculator that needs a
link of it.

Stage: layout, beveling and fit-up. Across the weld, from the old edge of a blank to the middle of the joint:

    old edge | margin on the drop | kerf on the surface | run of the bevel | line | the plate that is kept ... far edge

The blank is cut square. The torch, tilted β from square, leans over the plate that is kept, so the line marks the upper
edge of that plate and its root edge lies t·tan β nearer the old edge. A root face f is ground on the sharp root edge,
which takes f·tan β off the plate. Two plates and the root opening make the joint; the specimens lie across it, so its
width is their length.

All lengths are `Formula`s or `Symbol`s in metres, angles in degrees; a result is a `Formula`, so that a calculator can
show it as a step. Plane geometry; no value of any document.
"""

from __future__ import annotations

from calc.core.declare import Amount, Working
from calc.core.formula import Formula, Symbol, cos, tan
from calc.core.sources import GEOMETRY, Fact
from calc.core.units import LENGTH, Number
from calc.stages.bend import JIG_FIGURE, OPENING_CLEARANCE, PLUNGER_RATIO, STANDARD_THICKNESS

DIE_OPENING = (PLUNGER_RATIO.amount + 2) * STANDARD_THICKNESS.amount + OPENING_CLEARANCE.amount
"""Between the shoulders of the usual jig for mild steel, m: a specimen shorter than this falls through."""


def surface_kerf(kerf: Symbol, bevel: Symbol) -> Formula:
    """The kerf as it shows on the surface, k / cos β, m: it is measured square to the cut. `bevel` from 0° to 60°.

    >>> from fractions import Fraction
    >>> from calc.core.units import ANGLE, LENGTH, parse
    >>> kerf = Symbol("k", parse("1/16 in", LENGTH), LENGTH)
    >>> round(surface_kerf(kerf, Symbol("β", Fraction(60), ANGLE)).value / 0.0254, 6)
    0.125
    """
    return kerf / cos(bevel)


def line_from_edge(thickness: Symbol, bevel: Symbol, kerf: Symbol, margin: Symbol) -> Formula:
    """From the old edge of the blank to the line, m + k / cos β + t·tan β, m: drop, kerf and bevel lie between.

    >>> from fractions import Fraction
    >>> from calc.core.units import ANGLE, LENGTH, parse
    >>> sizes = {"t": "3/8 in", "k": "1/16 in", "m": "1/4 in"}
    >>> t, k, m = (Symbol(letter, parse(size, LENGTH), LENGTH) for letter, size in sizes.items())
    >>> round(line_from_edge(t, Symbol("β", Fraction(45), ANGLE), k, m).value / 0.0254, 4)  # 1/4 + 1/16·√2 + 3/8
    0.7134
    """
    return margin + surface_kerf(kerf, bevel) + thickness * tan(bevel)


def plate_of_joint(joint: Symbol, opening: Symbol) -> Formula:
    """The width of one plate at its root edge, (W − R) / 2, m: what is left of its blank."""
    return (joint - opening) / 2


def blank_of_joint(
    joint: Symbol, opening: Symbol, bevel: Symbol, kerf: Symbol, margin: Symbol, root_face: Symbol,
) -> Formula:
    """The width to cut each blank, (W − R) / 2 + m + k / cos β + f·tan β, m.

    The runs of the bevel cancel: what the line gives up at the top, the plate keeps at the root. `joint` is the
    finished width across both plates; `margin` is the stock left on the drop.

    >>> from fractions import Fraction
    >>> from calc.core.units import ANGLE, LENGTH, parse
    >>> def inches(symbol, size): return Symbol(symbol, parse(size, LENGTH), LENGTH)
    >>> blank = blank_of_joint(
    ...     inches("W", "6 in"), inches("R", "1/4 in"), Symbol("β", Fraction(0), ANGLE), inches("k", "1/16 in"),
    ...     inches("m", "1/4 in"), inches("f", "0 in"))
    >>> round(blank.value / 0.0254, 6)  # 2-7/8 + 1/4 + 1/16
    3.1875
    """
    return plate_of_joint(joint, opening) + margin + surface_kerf(kerf, bevel) + root_face * tan(bevel)


def plate_of_blank(blank: Symbol, bevel: Symbol, kerf: Symbol, margin: Symbol, root_face: Symbol) -> Formula:
    """The width that a blank leaves at the root edge, B − m − k / cos β − f·tan β, m: the way back of
    `blank_of_joint`.
    """
    return blank - margin - surface_kerf(kerf, bevel) - root_face * tan(bevel)


def joint_of_plates(plate: Symbol | Formula, opening: Symbol) -> Formula:
    """The width across the joint that two such plates make, 2·P + R, m. It is the maximum length of a specimen.

    >>> from calc.core.units import LENGTH, parse
    >>> plate, opening = (Symbol(s, parse(size, LENGTH), LENGTH) for s, size in (("P", "2-7/8 in"), ("R", "1/4 in")))
    >>> joint_of_plates(plate, opening).value == parse("6 in", LENGTH)
    True
    """
    return 2 * plate + opening


def judge_joint_width(w: Working, joint: Number, coupon: Fact) -> None:
    """Judges the width across the joint (metres) against the length of the specimens that are cut across it.

    Shorter than the figure of the documents asks for a look at the jig; no longer than the die is open, it stops.
    Check `joint-width`. Source: the documents of `coupon`; the jig figure of ASME Section IX for the die (read).
    """
    w.known["judged_joint"] = Amount(joint, LENGTH)
    w.mention("coupon_long", coupon)
    w.known["die"] = Amount(DIE_OPENING, LENGTH, as_written=True)
    if joint <= DIE_OPENING:
        w.stop(
            "joint-width", "A joint {judged_joint} across gives specimens that fall through the jig opening of {die}.",
            source=JIG_FIGURE,
        )
    elif joint < coupon.amount:
        w.caution(
            "joint-width", "A joint {judged_joint} across gives shorter specimens than the usual {coupon_long}. Ask "
            "whether the jig takes them.", source=coupon.source,
        )
    else:
        w.ok(
            "joint-width", "A joint {judged_joint} across is wide enough for specimens {coupon_long} long.",
            source=GEOMETRY,
        )
