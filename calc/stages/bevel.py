"""Beveling with a tilted torch: what the plate looks like to the jet, where the line goes, and what drops off.

Stage: beveling on a track torch. Plane geometry of a straight cut, tilted from
square, on a plate that lies face up with the torch leaning over the part that is
kept. The root edge of the finished plate is the corner at the bottom. The speed
comes from the cutting table, taken for the slanted path and not for the plate.
"""

from __future__ import annotations

from fractions import Fraction

from calc.core.declare import Calculator, InputError, Quantity, Working
from calc.core.formula import Symbol, cos, sin, tan
from calc.core.sources import COMMON, Fact
from calc.core.units import ANGLE, AREA, LENGTH, MASS, TRAVEL_SPEED, Number, parse, show, show_both
from calc.show.sliders import BEVEL, MARGIN, THICKNESS
from calc.stages import widths
from calc.stages.cutting import CUTTING_ROWS, SECONDS, TABLE, CuttingRow, row_for
from calc.stages.cutting_drawings import bevel_cut as draw_cut
from calc.stages.groove import STEEL_DENSITY
from calc.stages.joint import GROOVE_ANGLE_OVER, judge_bevel, judge_drop_margin, judge_kerf, judge_root_face

STAND_OFF_LEAST, STAND_OFF_MOST = parse("1/4 in", LENGTH), parse("3/8 in", LENGTH)
STAND_OFF = Fact(
    "bevel-stand-off", "Stand-off of the tip on a bevel cut, along the torch", None, None, COMMON,
    "1/4 to 3/8 in (6 to 10 mm)",
)
STEEPEST_USUAL = Fact(
    "bevel-steepest", "Maximum bevel angle for a plain cutting tip", Fraction(45), ANGLE, COMMON,
)
FACTS = (STAND_OFF, STEEPEST_USUAL)


def work_bevel_cut(
    w: Working, *, thickness: Fraction, bevel_angle: Fraction, kerf: Fraction, length: Fraction, root_face: Fraction,
    drop_margin: Fraction, stand_off: Fraction, blank_width: Fraction | None,
) -> None:
    """What the tilted jet goes through, where the line is marked, what drops off, and what plate is left.

        p = t / cos β    b = t·tan β    k_s = k / cos β    x_edge = m + k_s + b    x_root = (t − f)·tan β
        a = h·sin β      m_drop = ρ·(m·t + b·t/2)·L       P = B − m − k_s − f·tan β

    t thickness, k kerf square to the cut, m margin on the drop, f root face, h stand-off along the torch, L length,
    B width of the blank, all in m; β tilt from square, degrees. The cut is straight and goes to a sharp root edge.

    `InputError` on `root_face` over the thickness and on a `blank_width` of which nothing is left. Source: plane
    geometry; the speed is the cutting table's for the path p, from memory; `joint` for the judgements.

    The secant of 22.5° in mathematical tables is 1.08239, its tangent 0.41421:

    >>> answer = BEVEL_CUT.answer(thickness="1 in")
    >>> round(answer["path"].amount / 0.0254, 5), round(answer["bevel_run"].amount / 0.0254, 5)
    (1.08239, 0.41421)
    """
    if root_face > thickness:
        raise InputError(
            "root_face", "Root face", f"more than the plate is thick; write at most {show_both(thickness, LENGTH)}",
        )
    t = w.given("thickness", "t", thickness, LENGTH)
    beta = w.given("bevel_angle", "β", bevel_angle, ANGLE)
    k = w.given("kerf", "k", kerf, LENGTH)
    run_length = w.given("length", "L", length, LENGTH)
    f = w.given("root_face", "f", root_face, LENGTH)
    margin = w.given("drop_margin", "m", drop_margin, LENGTH)

    path = w.let(
        "path", "Path through the plate: set the torch for this thickness", "p", LENGTH, t / cos(beta), main=True,
        as_fraction=True,
    )
    run, angle = _lines(w, t, beta, k, f, margin)
    _tip(w, stand_off, beta, k)
    _drop(w, t, run, margin, run_length, path, k)
    _plate_left(w, blank_width, beta, k, margin, f)
    row = _speed(w, path, run_length)

    w.draw(draw_cut(w))
    saying = (
        "Cutting {thickness} at {bevel_angle}, the jet goes through {path}. The line lies {line_from_edge} from the "
        "old edge. The drop weighs {drop_mass}."
    )
    w.say(
        saying
        + (" Start between {speed_low} and {speed_high}." if row else " The cutting table has no row for that path.")
    )
    judge_bevel(w, angle.amount)
    _check_steep(w, bevel_angle)
    _check_row(w, row, thickness, path.amount)
    judge_root_face(w, root_face)
    judge_drop_margin(w, drop_margin)
    judge_kerf(w, kerf, thickness)
    _check_stand_off(w, stand_off)
    w.warn(
        "The drop falls or clings, and stays hot enough to burn through a glove. Stand clear of where it lands, "
        "support the plate, and lift the drop off only with tongs or pliers, with gloves on, and after your instructor "
        "has shown you."
    )
    w.warn(
        "A tilted torch throws sparks and slag to one side, toward the drop. Keep hoses, leads and people out of that "
        "side."
    )
    w.warn(
        "Test the angle on scrap of the same thickness before you cut the test plates. The drawing and the WPS decide."
    )


def _lines(w: Working, t: Symbol, beta: Symbol, k: Symbol, f: Symbol, margin: Symbol) -> tuple[Symbol, Symbol]:
    """Run, line and included angle; returns the run and the angle."""
    run = w.let("bevel_run", "Bevel run along the surface", "b", LENGTH, t * tan(beta), as_fraction=True)
    w.let(
        "surface_kerf", "Kerf as it shows on the surface", "k_s", LENGTH, widths.surface_kerf(k, beta),
        as_fraction=True,
    )
    w.let(
        "line_from_edge", "From the old edge of the plate to the line", "x_edge", LENGTH,
        widths.line_from_edge(t, beta, k, margin), main=True, as_fraction=True, note="The line is the upper edge of "
        "the plate you keep; the kerf and the drop lie between it and the old edge.",
    )
    w.let(
        "line_from_root", "From the line to the finished root edge, along the surface", "x_root", LENGTH,
        (t - f) * tan(beta), as_fraction=True,
    )
    if f.amount > 0:
        w.let(
            "grind_back", "Sharp edge to grind back for the root face, along the surface", "g", LENGTH, f * tan(beta),
            as_fraction=True,
        )
    w.let(
        "sloped_face", "Sloped face that is left above the root face", "s", LENGTH, (t - f) / cos(beta),
        as_fraction=True,
    )
    angle = w.let("included_angle", "Groove angle of two such plates", "α", ANGLE, 2 * beta)
    over = w.given("angle_over", "δ", GROOVE_ANGLE_OVER.amount, ANGLE)
    w.let(
        "bevel_run_most", "Maximum run that the angle tolerance leaves, shared by two plates", "b_most", LENGTH,
        t * tan(beta + over / 2), source=GROOVE_ANGLE_OVER.source, as_fraction=True, note="Holds where your angle is "
        "the drawing's. The minimum run is then the run itself.",
    )
    return run, angle


def _plate_left(w: Working, blank_width: Fraction | None, beta: Symbol, k: Symbol, margin: Symbol, f: Symbol) -> None:
    """What a blank leaves at the root edge. Raises `InputError` where nothing of it is left."""
    if blank_width is None:
        return
    blank = w.given("blank_width", "B", blank_width, LENGTH)
    left = widths.plate_of_blank(blank, beta, k, margin, f)
    if left.value <= 0:
        taken = blank_width - left.value
        raise InputError(
            "blank_width", "Width of the blank", "margin and kerf take all of it; write more than "
            f"{show(taken, LENGTH, 'us')} ({show(taken, LENGTH, 'si')})",
        )
    w.let("plate_at_root", "Width of the plate at its root edge", "P", LENGTH, left, main=True, as_fraction=True)


def _tip(w: Working, stand_off: Fraction, beta: Symbol, kerf: Symbol) -> None:
    """How far the tip has moved sideways and down, for a distance along the torch that stays the same."""
    h = w.given("stand_off", "h", stand_off, LENGTH)
    shift = w.let(
        "tip_shift", "Shift of the tip from the point where the jet enters", "a", LENGTH, h * sin(beta),
        as_fraction=True, main=True,
    )
    w.let("tip_height", "Height of the tip center above the surface", "h_v", LENGTH, h * cos(beta), as_fraction=True)
    w.let(
        "tip_from_line", "Tip center from the line, over the plate you keep (minus: over the drop)", "a_line", LENGTH,
        shift - kerf / (2 * cos(beta)), as_fraction=True, note="The jet enters in the middle of the kerf, half a kerf "
        "outside the line.",
    )


def _drop(w: Working, t: Symbol, run: Symbol, margin: Symbol, length: Symbol, path: Symbol, kerf: Symbol) -> None:
    w.let("drop_top_width", "Width of the drop at the top", "w_top", LENGTH, margin + run, as_fraction=True)
    area = w.let("drop_area", "Area of the drop, seen from its end", "A_drop", AREA, margin * t + run * t / 2)
    rho = w.fact(STEEL_DENSITY, "ρ")
    w.let(
        "drop_mass", "Weight of the drop", "m_drop", MASS, rho * area * length, source=STEEL_DENSITY.source, main=True,
        digits=3,
    )
    w.let(
        "kerf_mass", "Metal that the kerf turns into slag", "m_kerf", MASS, rho * path * kerf * length,
        source=STEEL_DENSITY.source, digits=3,
    )


def _speed(w: Working, path: Symbol, length: Symbol) -> CuttingRow | None:
    """The speed band for the path, where the cutting table has one; nothing where it has none."""
    row = row_for(path.amount)
    if row is None:
        return None
    w.value(
        "row_plate", "Row of the cutting table used", parse(row.plate, LENGTH), LENGTH, source=row.source,
        as_fraction=True,
    )
    slow = w.value(
        "speed_low", "Minimum speed of the start-point band", row.speed.low, TRAVEL_SPEED, source=row.source,
        symbol="v_slow", main=True,
    )
    fast = w.value(
        "speed_high", "Maximum speed of the start-point band", row.speed.high, TRAVEL_SPEED, source=row.source,
        symbol="v_fast", main=True,
    )
    w.let("time_least", "Minimum time for the cut", "T_least", SECONDS, length / fast, source=row.source, digits=3)
    w.let("time_most", "Maximum time for the cut", "T_most", SECONDS, length / slow, source=row.source, digits=3)
    return row


def _check_steep(w: Working, angle: Fraction) -> None:
    w.mention("steepest", STEEPEST_USUAL)
    if angle > STEEPEST_USUAL.amount:
        w.caution(
            "steep-bevel", "Over {steepest} much of the preheat flame is thrown off the plate, and one side of the tip "
            "comes near it. Ask the torch maker which tip to use.", source=STEEPEST_USUAL.source,
        )


def _check_row(w: Working, row: CuttingRow | None, thickness: Number, path: Number) -> None:
    first, last = (parse(CUTTING_ROWS[end].plate, LENGTH) for end in (0, -1))
    w.given("first_row", "t_first", first, LENGTH)
    w.given("last_row", "t_last", last, LENGTH)
    if row is None:
        side = "thinner than the first row, {first_row}" if path < first else "thicker than the last row, {last_row}"
        w.not_known(
            "table-row", f"The path of {{path}} is {side}. The table goes no further: take tip, pressures and speed "
            "from the maker's tip chart.", source=TABLE,
        )
        return
    own = row_for(thickness)
    if own is not row:
        w.note(
            "table-row", "Set the torch for the path, not for the plate: {path} takes the row for {row_plate}, the "
            "next thicker one. Speeds are from memory; use the maker's tip chart.", source=TABLE,
        )
    else:
        w.note(
            "table-row", "The path of {path} takes the row for {row_plate}. Speeds are from memory; use the maker's "
            "tip chart.", source=TABLE,
        )


def _check_stand_off(w: Working, stand_off: Fraction) -> None:
    w.given("stand_off_least", "h_least", STAND_OFF_LEAST, LENGTH)
    w.given("stand_off_most", "h_most", STAND_OFF_MOST, LENGTH)
    if stand_off < STAND_OFF_LEAST:
        w.caution(
            "stand-off-low", "A stand-off of {stand_off} is less than {stand_off_least}: spatter plugs the tip, and "
            "the low side of the torch touches. Go by the tip chart.", source=STAND_OFF.source,
        )
    elif stand_off > STAND_OFF_MOST:
        w.caution(
            "stand-off-high", "A stand-off of {stand_off} is more than {stand_off_most}: the preheat cones do not "
            "reach the plate. Go by the tip chart.", source=STAND_OFF.source,
        )
    else:
        w.ok(
            "stand-off", "A stand-off of {stand_off} is within the usual {stand_off_least} to {stand_off_most}.",
            source=STAND_OFF.source,
        )


BEVEL_CUT = Calculator(
    id="bevel-cut",
    title="Bevel cut with a tilted torch",
    question="What does the tilted torch cut through, where do I mark the line, and what drops off?",
    page="bevelling.md",
    work=work_bevel_cut,
    main=("thickness", "bevel_angle", "kerf"),
    inputs=(
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "3 in", "Measure it; do not trust the tag.",
            "t", common=("3/8 in", "1/2 in", "3/4 in", "1 in"), slide=THICKNESS,
        ),
        Quantity(
            "bevel_angle", "Bevel angle", ANGLE, "22.5 deg", "0 deg", "60 deg",
            "Tilt of the torch from square to the plate.", "β", common=("22.5 deg", "30 deg", "45 deg"), slide=BEVEL,
        ),
        Quantity(
            "kerf", "Kerf", LENGTH, "1/16 in", "0 in", "3/8 in", "Width of the slot, measured square to the cut on a "
            "practice cut.", "k",
        ),
        Quantity("length", "Length of the cut", LENGTH, "7 in", "1/2 in", "240 in", "From edge to edge.", "L",
            takes="plate_length"),
        Quantity(
            "root_face", "Root face", LENGTH, "0 in", "0 in", "3 in", "The flat you grind on the sharp edge after the "
            "cut. None on most backed tests.", "f",
        ),
        Quantity(
            "drop_margin", "Margin on the drop", LENGTH, "1/4 in", "0 in", "6 in", "Width of stock that the drop keeps "
            "at the bottom, outside the kerf.", "m", slide=MARGIN,
        ),
        Quantity(
            "stand_off", "Stand-off of the tip", LENGTH, "1/4 in", "1/16 in", "1 in",
            "From the tip to the plate, measured along the torch.", "h", common=("1/4 in", "3/8 in"),
        ),
        Quantity(
            "blank_width", "Width of the blank", LENGTH, "", "1/2 in", "240 in", "Of the plate before the bevel is "
            "cut, across the cut. May stay blank.", "B",
            takes="groove.plate_width",
        ),
    ),
)
