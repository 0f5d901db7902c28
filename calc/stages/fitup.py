"""Fit-up: the root opening along the joint, flush faces, spacer strips, and the preset against pull.

Stage: fit-up and tacks. What the joint is judged by stands in `joint`. What a wider opening costs is plane geometry.
The shrinkage rules are rules of thumb that disagree by a factor of about two, so they are given as a band and never as
a figure to rely on.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import cache, lru_cache
from itertools import combinations_with_replacement, pairwise

from calc.core.declare import Amount, Calculator, Choice, InputError, Option, Quantity, Rows, Working
from calc.core.formula import Formula, Symbol, sin, tan
from calc.core.sources import (
    AWS_D11,
    AWS_D11_2004_2010,
    COMMON,
    ENTERED,
    GEOMETRY,
    YOUR_WPS,
    Citation,
    Fact,
    Standing,
    length_fact,
)
from calc.core.units import ANGLE, AREA, LENGTH, MASS, NUMBER, PERCENTAGE, Number, parse, show, show_both
from calc.show.sliders import BEVEL, CAP, OPENING, THICKNESS
from calc.stages.fitup_drawings import fit_up_plan, fit_up_section, preset_tilt, shrinkage
from calc.stages.groove import CAP_SHAPE, STEEL_DENSITY, cap_area
from calc.stages.joint import (
    REPRODUCED,
    TOLERANCES,
    Tolerance,
    detail_of,
    judge_angle_by,
    judge_bevel,
    judge_cap,
    judge_joint,
    judge_opening,
    judge_own_tolerance,
    require_backing_reach,
)

_ALIGNMENT = Citation(
    AWS_D11, "clause 5.21.3", Standing.FROM_MEMORY, "A rule for production joints. Your test may ask for less.",
)
MISMATCH_SHARE = Fact(
    "fit-mismatch-share", "Maximum misalignment, share of the thinner plate", Fraction(10), PERCENTAGE, _ALIGNMENT,
)
MISMATCH_MOST = length_fact("fit-mismatch-most", "Maximum misalignment in any thickness", "1/8 in", _ALIGNMENT)
BACKING_GAP = length_fact(
    "fit-backing-gap", "Maximum gap between plate and backing", "1/16 in",
    Citation(AWS_D11, "clause 5.21.1", Standing.FROM_MEMORY),
)
BACKING_THICKNESS = length_fact(
    "fit-backing-thickness", "Minimum backing thickness for stick welding, as recommended", "3/16 in",
    Citation(
        AWS_D11_2004_2010, "clause 5.10.3", Standing.READ, f"{REPRODUCED} The clause recommends it, so that the root "
        "does not melt through.",
    ),
)
END_REACH = length_fact("fit-end-reach", "Maximum distance from its end at which a joint is measured", "1 in", COMMON)
TACK_LENGTH = length_fact("fit-tack-length", "Length of a tack on a test plate, about", "1/2 in", COMMON)
UNEVEN = length_fact("fit-uneven", "Difference along the joint that you can see and feel", "1/32 in", COMMON)

_SHRINK_HIGH = Citation(
    None, "Rule of thumb for a butt joint: 0.2 of the weld area over the thickness, and 0.05 of the root opening",
    Standing.FROM_MEMORY,
)
_SHRINK_LOW = Citation(
    None, "Rule of thumb for a butt joint: 0.1 of the weld area over the thickness", Standing.SECONDARY,
)
AREA_SHARE_HIGH = Fact(
    "shrink-area-high", "Share of weld area over thickness, rule with root opening", Fraction("0.2"), NUMBER,
    _SHRINK_HIGH,
)
OPENING_SHARE = Fact("shrink-opening", "Share of the root opening, same rule", Fraction("0.05"), NUMBER, _SHRINK_HIGH)
AREA_SHARE_LOW = Fact(
    "shrink-area-low", "Share of weld area over thickness, short rule", Fraction("0.1"), NUMBER, _SHRINK_LOW,
)
_PULL = Citation(
    None, "Preset rule for a single V", Standing.FROM_MEMORY, "Low confidence: a starting point, not a value.",
)
PULL_LOW = Fact("preset-angle-low", "Angle that a single V pulls, low end", Fraction(1), ANGLE, _PULL)
PULL_HIGH = Fact("preset-angle-high", "Angle that a single V pulls, high end", Fraction(3), ANGLE, _PULL)

INCH_STRIPS = ("1/16 in", "3/32 in", "1/8 in", "3/16 in", "1/4 in", "5/16 in", "3/8 in", "1/2 in")
METRIC_STRIPS = ("1.5 mm", "2 mm", "2.5 mm", "3 mm", "4 mm", "5 mm", "6 mm", "8 mm", "10 mm", "12 mm")
_STOCKS = {"inch": INCH_STRIPS, "metric": METRIC_STRIPS}
STRIP_FACTS = (
    Fact("fit-strips-inch", "Strips to make spacers from, inch sizes", None, None, COMMON, ", ".join(INCH_STRIPS)),
    Fact(
        "fit-strips-metric", "Strips to make spacers from, metric sizes", None, None, COMMON, ", ".join(METRIC_STRIPS),
    ),
)
FACTS = (
    MISMATCH_SHARE, MISMATCH_MOST, BACKING_GAP, BACKING_THICKNESS, END_REACH, TACK_LENGTH, UNEVEN, AREA_SHARE_HIGH,
    OPENING_SHARE, AREA_SHARE_LOW, PULL_LOW, PULL_HIGH, *STRIP_FACTS,
)

_STRIPS_IN_A_STACK = 3
STUDY_HELP = (
    "This judges figures, not your joint. It is study help, not a certification; the verdict belongs to a qualified "
    "inspector."
)


@lru_cache(maxsize=64)
def strips_for(opening: Fraction, tolerance: Tolerance, required: Fraction, stock: str) -> tuple[str, ...]:
    """The fewest strips that stack nearest to an opening (metres), those within the tolerance first; none for no
    opening.

    `stock` is "inch" or "metric". At most three strips to a stack.

    >>> strips_for(parse("7/16 in", LENGTH), TOLERANCES["fit-up"], parse("7/16 in", LENGTH), "inch")
    ('1/16 in', '3/8 in')
    """
    if opening == 0:
        return ()

    def unfit(stack: tuple[str, ...]) -> tuple[bool, Fraction, int]:
        thickness = _stacked(stack)
        return not tolerance.holds(required, thickness), abs(thickness - opening), len(stack)

    stacks = (
        stack for count in range(1, _STRIPS_IN_A_STACK + 1)
        for stack in combinations_with_replacement(_STOCKS[stock], count)
    )
    return min(stacks, key=unfit)


def _stacked(strips: tuple[str, ...]) -> Fraction:
    return sum(map(_strip_thickness, strips), Fraction(0))


@cache
def _strip_thickness(strip: str) -> Fraction:
    return parse(strip, LENGTH)


def _strip_text(strip: str) -> str:
    """A strip as it is sold, and its size in the other system."""
    other = "us" if strip.endswith("mm") else "si"
    return f"{strip} ({show(parse(strip, LENGTH), LENGTH, other, 3)})"


# --- root opening, mismatch, spacers -------------------------------------------

Readings = list[tuple[Symbol, Symbol]]


def work_fit_up(
    w: Working, *, openings: tuple[tuple[Fraction, Fraction], ...], required: Fraction, rule: str,
    over: Fraction | None, under: Fraction | None, thickness: Fraction, bevel_angle: Fraction, length: Fraction,
    mismatch: Fraction | None, mismatch_limit: Fraction | None, backing_gap: Fraction | None, spacer_reach: Fraction,
    strips: str,
) -> None:
    """Whether the root opening is right from end to end, the plates flush and the backing tight; what a wide opening
    costs.

        R_low = R − q    R_high = R + p    R_mean = Σ (x₂ − x₁)·(R₁ + R₂)/2 / (x_last − x_first)    ΔA = (R_mean − R)·t
        A_req = R·t + t²·tan β    Δm = ρ·ΔA·L    e_share = n·t / 100    a = L / (n − 1)

    R opening required, x and R₁, R₂ places and openings, t thickness, L length, e mismatch: m; p and q tolerance over
    and under, m; β degrees; ρ kg/m³. No root face. Between two readings the opening is taken straight.

    `InputError` where there is no groove, where a reading lies past the joint, where two lie at one place, and on an
    own rule without its figures. Source: `joint` for the tolerances; AWS D1.1 clauses 5.21.1 and 5.21.3 from memory for
    backing and mismatch.

    By hand, openings of 1/4 in and 5/16 in at the ends of a 7 in joint: 9/32 in in the mean.

    >>> result = FIT_UP.answer(openings="0 in | 1/4 in; 7 in | 5/16 in")
    >>> result["mean"].amount == parse("9/32 in", LENGTH)
    True
    """
    if required == 0 and bevel_angle == 0:
        raise InputError(
            "required", "Root opening required",
            "square edges with no root opening leave no groove; write a root opening "
            "or a bevel angle above 0",
        )
    _check_positions(openings, length)
    tolerance = tolerance_of(rule, over, under)
    t = w.given("thickness", "t", thickness, LENGTH)
    opening = w.given("required", "R", required, LENGTH)
    joint = w.given("length", "L", length, LENGTH)
    beta = w.given("bevel_angle", "β", bevel_angle, ANGLE)
    _limits(w, tolerance, opening)
    readings = [
        (w.given(f"place_{n}", f"x_{n}", place, LENGTH), w.given(f"opening_{n}", f"R_{n}", gap, LENGTH))
        for n, (place, gap) in enumerate(sorted(openings), 1)
    ]
    _verdict(w, readings, required, tolerance)
    area = _cost(w, t=t, beta=beta, opening=opening, joint=joint)
    if readings:
        _measured(w, readings, required, tolerance, area, t=t, opening=opening, joint=joint)
    else:
        w.incomplete(
            "readings", "No root opening was measured yet. Measure at both ends and in the middle; allowed is "
            "{lowest_allowed} to {highest_allowed}.", source=tolerance.source,
        )
        w.say("No root opening was measured yet. The tolerance {rule_name} allows {lowest_allowed} to "
            "{highest_allowed}.")
    _judge_figures(w, rule, tolerance, required, 2 * bevel_angle)
    _flush(w, t, mismatch, mismatch_limit)
    _backing(w, backing_gap, mismatch)
    _spacers(w, opening, joint, tolerance, spacer_reach, strips)
    if readings:
        w.draw(fit_up_plan(w, [(float(place.amount), float(gap.amount)) for place, gap in readings]))
    if mismatch is not None and backing_gap is not None:
        w.draw(fit_up_section(w))
    w.warn(STUDY_HELP)
    w.warn(
        "Tacking is welding: welding helmet down, gloves on, and call out before you strike. Tacked plates are hot and "
        "clamps pinch."
    )
    w.warn(
        "The root opening and its tolerance belong to your WPS (welding procedure specification). Where its figures "
        "differ from these, use its figures."
    )


def _measured(
    w: Working, readings: Readings, required: Fraction, tolerance: Tolerance, area: Symbol, *, t: Symbol,
    opening: Symbol, joint: Symbol,
) -> None:
    """What the readings say: their spread and shape, what the mean costs, and each by the tolerance."""
    mean = _spread(w, readings)
    _shape(w, readings)
    _cost_of_mean(w, area, mean, t=t, opening=opening, joint=joint)
    _check_readings(w, readings, joint.amount)
    _judge_openings(w, readings, required, tolerance)
    _compare_rules(w, readings, required)
    w.say(
        "Root opening {smallest} to {largest}; the tolerance {rule_name} allows {lowest_allowed} to "
        "{highest_allowed}. {verdict}."
        + (" The wider mean takes {extra_mass} more weld metal."
           if mean.amount > required else "")
    )


def _check_positions(openings: tuple[tuple[Fraction, Fraction], ...], length: Fraction) -> None:
    """Each reading lies on the joint and has a place of its own. Raises `InputError` that names the reading."""
    seen: set[Fraction] = set()
    for number, (place, _) in enumerate(openings, 1):
        if place > length:
            raise InputError(
                "openings", "Root openings", f"Reading {number}, position: {show_both(place, LENGTH)} is past the end "
                f"of the joint; write at most {show_both(length, LENGTH)}",
            )
        if place in seen:
            raise InputError(
                "openings", "Root openings", f"Reading {number}, position: there is already a reading at "
                f"{show_both(place, LENGTH)}; give each reading its own place",
            )
        seen.add(place)


def tolerance_of(rule: str, over: Fraction | None, under: Fraction | None) -> Tolerance:
    """The tolerance of a root opening by the rule's name, or the reader's own of `over` and `under` (m).

    Raises `InputError` for an own rule without its figures.

    >>> tolerance_of("as-detailed", None, None).name, tolerance_of("own", Fraction(0), Fraction(0)).name
    ('as detailed', 'of your own')
    """
    if rule in TOLERANCES:
        return TOLERANCES[rule]
    for name, label, value in (("over", "Your tolerance over", over), ("under", "Your tolerance under", under)):
        if value is None:
            raise InputError(
                name, label, "your own rule goes by it; write it in inches or millimeters, as in 1/16 in or 0 in",
            )
    return Tolerance("of your own", over, under, YOUR_WPS)


def _limits(w: Working, tolerance: Tolerance, opening: Symbol) -> None:
    w.words("rule_name", "Rule", tolerance.name, source=tolerance.source)
    over = w.given("over", "p", tolerance.over, LENGTH)
    under = w.given("under", "q", tolerance.under, LENGTH)
    if tolerance.under > opening.amount:
        w.value(
            "lowest_allowed", "Tightest root opening allowed", Fraction(0), LENGTH, source=tolerance.source,
            symbol="R_low", as_fraction=True,
        )
    else:
        w.let(
            "lowest_allowed", "Tightest root opening allowed", "R_low", LENGTH, opening - under,
            source=tolerance.source, as_fraction=True,
        )
    w.let(
        "highest_allowed", "Widest root opening allowed", "R_high", LENGTH, opening + over, source=tolerance.source,
        as_fraction=True,
    )


def _verdict(w: Working, readings: Readings, required: Fraction, tolerance: Tolerance) -> None:
    """How many readings lie outside the tolerance, and on which side, in words."""
    count = len(readings)
    tight = sum(gap.amount < tolerance.lowest(required) for _, gap in readings)
    wide = sum(gap.amount > tolerance.highest(required) for _, gap in readings)
    outside = tight + wide
    if not readings:
        wording = "Not measured yet"
    elif not outside:
        wording = "Your one reading is inside" if count == 1 else f"All {count} readings are inside"
    else:
        sides = " and ".join(side for side, some in (("too tight", tight), ("too wide", wide)) if some)
        wording = f"Readings outside: {outside} of {count}, {sides}"
    w.words("verdict", "Root opening against the rule", wording, source=GEOMETRY, main=True)


def _check_readings(w: Working, readings: Readings, length: Fraction) -> None:
    """Whether the joint was measured at both ends and between them.

    Near an end is within 1 in of it, on a short joint a quarter.
    """
    near = min(END_REACH.amount, length / 4)
    places = [place.amount for place, _ in readings]
    missing = [
        where for where, seen in (
            ("one end", places[0] <= near), ("the middle", any(near < place < length - near for place in places)),
            ("the other end", places[-1] >= length - near),
        ) if not seen
    ]
    if missing:
        w.incomplete(
            "readings", f"Nothing was measured at {' and '.join(missing)} of the joint. Measure at both ends and in "
            "the middle.", source=COMMON,
        )
    else:
        w.ok("readings", "The joint was measured at both ends and between them.", source=COMMON)


def _judge_figures(w: Working, rule: str, tolerance: Tolerance, required: Fraction, angle: Fraction) -> None:
    """The required opening, the included angle, and a tolerance of the reader's own, against the prequalified joint."""
    judge_opening(w, required, detail_of(angle, required), bad_only=True)
    if rule in TOLERANCES:
        judge_angle_by(w, angle, tolerance)
        return
    judge_bevel(w, angle)
    judge_own_tolerance(w, tolerance.over, tolerance.under, bad_only=True)


def _spread(w: Working, readings: Readings) -> Symbol:
    """Largest, smallest, their difference, and the mean along the joint; returns the mean."""
    ordered = sorted((gap for _, gap in readings), key=lambda gap: gap.amount)
    largest, smallest = (
        w.value(
            name, f"{name.title()} root opening", gap.amount, LENGTH, source=ENTERED, symbol=letter, main=True,
            as_fraction=True,
        )
        for name, letter, gap in (("largest", "R_max", ordered[-1]), ("smallest", "R_min", ordered[0]))
    )
    w.let("spread", "Largest less smallest", "d", LENGTH, largest - smallest, as_fraction=True)
    return w.let(
        "mean", "Mean root opening along the joint", "R_mean", LENGTH, _mean(readings), as_fraction=True,
        note="Each stretch between two readings counts by its length." if len(readings) > 1 else "",
    )


def _mean(readings: Readings) -> Formula:
    if len(readings) == 1:
        return readings[0][1]
    stretches = [
        (right - left) * (gap_left + gap_right) / 2 for (left, gap_left), (right, gap_right) in pairwise(readings)
    ]
    total = stretches[0]
    for stretch in stretches[1:]:
        total = total + stretch
    return total / (readings[-1][0] - readings[0][0])


def _shape(w: Working, readings: Readings) -> None:
    """How the opening changes from end to end: even, tapered, bowed; and which mend that asks for."""
    w.mention("uneven", UNEVEN)
    if len(readings) < 2:
        return
    (_, gap_first), (_, gap_last) = readings[0], readings[-1]
    taper = w.let(
        "taper", "Change from the first reading to the last", "d_taper", LENGTH, gap_last - gap_first, as_fraction=True,
    )
    bow = Fraction(0)
    if len(readings) > 2:
        furthest = max(readings[1:-1], key=lambda reading: abs(_off_line(reading, readings[0], readings[-1]).value))
        bow = w.let(
            "bow", "Furthest reading off the straight line between the end readings", "d_bow", LENGTH,
            _off_line(furthest, readings[0], readings[-1]), as_fraction=True,
            note="Plus is wider than the line, minus is tighter.",
        ).amount
    tapered, bowed = abs(taper.amount) >= UNEVEN.amount, abs(bow) >= UNEVEN.amount
    wording = {
        (False, False): "even", (True, False): "tapered", (False, True): "bowed", (True, True): "tapered and bowed",
    }[tapered, bowed]
    w.words("shape", "Shape of the root opening along the joint", wording, source=COMMON)
    if tapered:
        w.note(
            "taper", "The root opening changes by {taper} from end to end. Swing one plate until both ends agree, then "
            "tack.",
            source=COMMON,
        )
    if bowed:
        w.note(
            "bow", "A reading between the ends is {bow} off their straight line. An edge is not straight: swinging a "
            "plate cannot correct that, dressing the edge can.", source=COMMON,
        )
    if not tapered and not bowed:
        w.ok("evenness", "The root opening is even: along the joint it changes by less than {uneven}.", source=COMMON)


def _off_line(reading: tuple[Symbol, Symbol], first: tuple[Symbol, Symbol], last: tuple[Symbol, Symbol]) -> Formula:
    (place, gap), (start, gap_start), (end, gap_end) = reading, first, last
    return gap - (gap_start + (gap_end - gap_start) * (place - start) / (end - start))


def _cost(w: Working, *, t: Symbol, beta: Symbol, opening: Symbol, joint: Symbol) -> Symbol:
    """What 1/32 in of root opening adds to the groove; returns the area of the groove as required."""
    area = w.let(
        "groove_area", "Groove at the required root opening, no reinforcement", "A_req", AREA,
        opening * t + t**2 * tan(beta), note="No root face.",
    )
    rho = w.fact(STEEL_DENSITY, "ρ")
    step = w.given("step", "δ", UNEVEN.amount, LENGTH)
    per_step = w.let("step_area", "Groove area for each 1/32 in (0.79 mm) of root opening", "ΔA_δ", AREA, step * t)
    w.let(
        "step_mass", "Weld metal for each 1/32 in (0.79 mm) of root opening", "Δm_δ", MASS, rho * per_step * joint,
        source=STEEL_DENSITY.source, main=True,
    )
    return area


def _cost_of_mean(w: Working, area: Symbol, mean: Symbol, *, t: Symbol, opening: Symbol, joint: Symbol) -> None:
    """What the mean root opening adds to the groove as required."""
    rho = Symbol("ρ", STEEL_DENSITY.amount, STEEL_DENSITY.kind)
    extra = w.let("extra_area", "Groove area, mean root opening against required", "ΔA", AREA, (mean - opening) * t)
    w.let("extra_share", "The same as a share of the groove", "ΔA/A", PERCENTAGE, 100 * extra / area, digits=3)
    w.let(
        "extra_mass", "Weld metal, mean root opening against required", "Δm", MASS, rho * extra * joint,
        source=STEEL_DENSITY.source, main=True, note="Minus is less metal: the joint is tighter than required. A wider "
        "cover pass is not counted.",
    )


def _judge_openings(w: Working, readings: Readings, required: Fraction, tolerance: Tolerance) -> None:
    for n, (_, gap) in enumerate(readings, 1):
        if gap.amount < tolerance.lowest(required):
            w.stop(
                f"reading-{n}", f"At {{place_{n}}}: {{opening_{n}}} is tighter than {{lowest_allowed}}. The rod "
                "hardly reaches both corners and the backing.", source=tolerance.source,
            )
        elif gap.amount > tolerance.highest(required):
            w.stop(
                f"reading-{n}", f"At {{place_{n}}}: {{opening_{n}}} is wider than {{highest_allowed}}. More passes, "
                "more pull, and the root must be built from both sides.", source=tolerance.source,
            )
        else:
            w.ok(
                f"reading-{n}", f"At {{place_{n}}}: {{opening_{n}}} is within {{lowest_allowed}} to "
                "{highest_allowed}.", source=tolerance.source,
            )


def _compare_rules(w: Working, readings: Readings, required: Fraction) -> None:
    """How many readings each rule of the code lets through, side by side."""
    for name, tolerance in TOLERANCES.items():
        inside = sum(tolerance.holds(required, gap.amount) for _, gap in readings)
        w.words(
            f"inside_{name.replace('-', '_')}", f"Readings inside, {tolerance.name}", f"{inside} of {len(readings)}",
            source=tolerance.source,
        )


def most_misalignment(thickness: Number) -> Number:
    """The maximum misalignment (m) that the code's rule allows for a plate so thick (m): a share of it, and no more than
    a figure. Source: AWS D1.1, clause 5.21.3 (from memory).

    >>> most_misalignment(parse("1/2 in", LENGTH)) == parse("0.05 in", LENGTH)
    True
    """
    return min(MISMATCH_SHARE.amount * thickness / 100, MISMATCH_MOST.amount)


def _flush(w: Working, t: Symbol, mismatch: Fraction | None, own_limit: Fraction | None) -> None:
    """The step from face to face, by the rule of the code or by the reader's own limit; the code's stands beside it."""
    source = MISMATCH_SHARE.source
    share = w.given("mismatch_share", "n", MISMATCH_SHARE.amount, PERCENTAGE)
    by_code = most_misalignment(t.amount)
    if own_limit is not None:
        limit = w.value(
            "mismatch_limit", "Maximum misalignment, your own limit", own_limit, LENGTH, source=ENTERED,
            as_fraction=True,
        )
        w.known["mismatch_code"] = Amount(by_code, LENGTH, as_written=True)
    else:
        w.let(
            "mismatch_by_share", "Misalignment by share of the thickness", "e_share", LENGTH, share * t / 100,
            source=source, as_fraction=True,
        )
        w.fact(MISMATCH_MOST, "e_most")
        limit = w.value(
            "mismatch_limit", "Maximum misalignment, the smaller of the two", by_code, LENGTH, source=source,
            symbol="e_max", as_fraction=True,
        )
    if mismatch is None:
        w.incomplete(
            "mismatch", "The misalignment was not measured. Lay a straightedge across at both ends and in "
            "the middle; it may be at most {mismatch_limit}.", source=source if own_limit is None else ENTERED,
        )
        return
    w.given("mismatch", "e", mismatch, LENGTH)
    if mismatch > limit.amount:
        w.stop(
            "mismatch", "A misalignment of {mismatch} is more than {mismatch_limit}. Level the plates before you tack.",
            source=source if own_limit is None else ENTERED,
        )
    elif mismatch > by_code:
        w.caution(
            "mismatch", "A misalignment of {mismatch} is within your own limit of {mismatch_limit}, but more than the "
            "structural code allows in this plate, {mismatch_code}.", source=source,
        )
    else:
        w.ok(
            "mismatch", "A misalignment of {mismatch} is not more than {mismatch_limit}.",
            source=source if own_limit is None else ENTERED,
        )


def judge_backing_gap(w: Working, id: str, name: str, gap: Number, told: str, mend: str) -> None:
    """Judges a gap between plate and backing (metres) by the limit of the code; `name` is the gap's in the sheet,
    `told` begins the sentence.
    """
    w.mention("most_gap", BACKING_GAP)
    if gap > BACKING_GAP.amount:
        w.stop(
            id, f"{told} {{{name}}}, more than {{most_gap}}: slag runs in and stays. {mend}", source=BACKING_GAP.source,
        )
    elif gap > 0:
        w.ok(
            id, f"{told} {{{name}}}, not more than {{most_gap}}. Slag runs into any gap: clamp it down to nothing.",
            source=BACKING_GAP.source,
        )
    else:
        w.ok(id, "The backing lies tight to both plates.", source=BACKING_GAP.source)


def _backing(w: Working, gap: Fraction | None, mismatch: Fraction | None) -> None:
    if gap is None:
        w.mention("most_gap", BACKING_GAP)
        w.incomplete(
            "backing-gap", "The gap at the backing was not measured. Try a feeler gauge along both plates; it may be "
            "at most {most_gap}.", source=BACKING_GAP.source,
        )
        return
    w.given("backing_gap", "g", gap, LENGTH)
    judge_backing_gap(
        w, "backing-gap", "backing_gap", gap, "The gap at the backing is", "Clamp the backing up to the plates.",
    )
    if mismatch is not None and mismatch > gap:
        w.note(
            "mismatch-on-backing", "Plates of one thickness with a misalignment of {mismatch} cannot both lie on a "
            "flat backing: look for a gap of that size under the high one.", source=GEOMETRY,
        )


def _spacers(w: Working, opening: Symbol, joint: Symbol, tolerance: Tolerance, reach: Fraction, stock: str) -> None:
    """Which strips hold the opening, at how many places."""
    strips = strips_for(opening.amount, tolerance, opening.amount, stock)
    if not strips:
        w.words("spacer", "Spacer at each place", "none, the plates touch", source=GEOMETRY)
        return
    w.words(
        "spacer", "Spacer at each place", " with ".join(_strip_text(strip) for strip in strips), source=COMMON,
        main=True,
    )
    w.value("spacer_thickness", "Thickness of the spacer", _stacked(strips), LENGTH, source=COMMON, as_fraction=True)
    count = math.ceil(joint.amount / reach) + 1
    n = w.value(
        "spacer_count", "Places for a spacer, ends included", Fraction(count), NUMBER, source=GEOMETRY, symbol="n",
        main=True,
    )
    w.let("spacer_pitch", "From one spacer to the next", "a", LENGTH, joint / (n - 1), as_fraction=True)
    if tolerance.holds(opening.amount, _stacked(strips)):
        w.note(
            "spacers", f"Spacers of {{spacer}} at {count} places, {{spacer_pitch}} apart, hold the root opening. Take "
            "them out once the tacks hold.", source=COMMON,
        )
    else:
        w.caution(
            "spacers", "No stack of these strips comes within the tolerance; {spacer} is the nearest. Grind a strip to "
            "size.", source=COMMON,
        )


def judge_backing_thickness(w: Working, thickness: Fraction) -> None:
    """Judge the thickness of the backing, known to the sheet as `backing_thickness`, by the recommended minimum."""
    w.mention("backing_least", BACKING_THICKNESS)
    if thickness < BACKING_THICKNESS.amount:
        text = (
            "A backing {backing_thickness} thick is under the recommended minimum of {backing_least}: the root may "
            "melt through."
        )
        w.caution("backing-thickness", text, source=BACKING_THICKNESS.source)
    else:
        text = "A backing {backing_thickness} thick is not under the recommended minimum of {backing_least}."
        w.ok("backing-thickness", text, source=BACKING_THICKNESS.source)


BACKING_BAR = Quantity("backing_thickness", "Thickness of the backing bar", LENGTH, "1/4 in", "1/8 in", "1 in", "", "t_b")

FIT_UP = Calculator(
    id="fit-up",
    title="Root opening along the joint",
    question="Is my root opening right end to end?",
    page="fit-up.md",
    work=work_fit_up,
    main=("openings", "required"),
    inputs=(
        Rows(
            "openings", "Root openings",
            (
                Quantity("place", "Position", LENGTH, "0 in", "0 in", "120 in", "From one end of the joint."),
                Quantity("opening", "Root opening", LENGTH, "1/4 in", "0 in", "2 in", "Measured at the backing."),
            ),
            "0 in | 1/4 in\n3-1/2 in | 9/32 in\n7 in | 5/16 in", "Measure at both ends, in the middle, and wherever it "
            "looks different. No reading yet: leave it empty.", row_name="Reading", fewest=0, most=10,
        ),
        Quantity(
            "required", "Root opening required", LENGTH, "1/4 in", "0 in", "1 in",
            "From your WPS or drawing.", "R", common=("3/16 in", "1/4 in", "3/8 in"), slide=OPENING,
            takes="root_opening",
        ),
        Choice(
            "rule", "Tolerance",
            (
                Option("as-detailed", "As detailed, the narrower (AWS D1.1, prequalified groove)"),
                Option("fit-up", "As fit-up, the wider (AWS D1.1, prequalified groove)"),
                Option("own", "Your own, from your WPS"),
            ),
            "as-detailed", "As detailed: how far the WPS may depart from the code. As fit-up: how far the joint may "
            "depart from the WPS. If you meet the first, you meet both.",
            takes="opening_rule",
        ),
        Quantity("over", "Your tolerance over", LENGTH, "", "0 in", "1 in", "From your WPS. Only for your own rule.",
            "p", takes="opening_over", limit_of=("reading", "own-tolerance")),
        Quantity("under", "Your tolerance under", LENGTH, "", "0 in", "1 in", "From your WPS. Only for your own rule.",
            "q", takes="opening_under", limit_of=("reading", "own-tolerance")),
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "3 in", "Measure it; do not trust the tag.",
            "t", common=("1/4 in", "3/8 in", "1/2 in", "3/4 in", "1 in"), slide=THICKNESS,
        ),
        Quantity(
            "bevel_angle", "Bevel angle, each plate", ANGLE, "22.5 deg", "0 deg", "60 deg",
            "From square, one plate. Both plates together make the groove angle.", "β", common=("22.5 deg", "30 deg"),
        ),
        Quantity(
            "length", "Length of the joint", LENGTH, "7 in", "1/2 in", "120 in",
            "Plate edge to plate edge along the groove.", "L",
            takes="plate_length",
        ),
        Quantity(
            "mismatch", "Misalignment measured", LENGTH, "0 in", "0 in", "1 in",
            "From face to face, where it is largest. In the shop: hi-lo. Blank: not measured yet.", "e",
            may_be_blank=True, slide=CAP,
        ),
        Quantity(
            "mismatch_limit", "Your misalignment limit", LENGTH, "", "0 in", "1 in",
            "Leave blank to go by the rule of the structural code.", "e_max", limit_of=("mismatch",),
        ),
        Quantity(
            "backing_gap", "Largest gap at the backing", LENGTH, "0 in", "0 in", "1 in",
            "Between backing and plate, with a feeler gauge. Blank: not measured yet.", "g", may_be_blank=True,
        ),
        Quantity(
            "spacer_reach", "Maximum distance between spacers", LENGTH, "6 in", "1 in", "24 in",
            "Your own choice. Short enough that the root opening cannot close.",
        ),
        Choice(
            "strips", "Strips at hand",
            (Option("inch", "Inch sizes, 1/16 to 1/2 in"), Option("metric", "Metric sizes, 1.5 to 12 mm")), "inch",
            "Flat bar or bare rod of a known thickness.",
        ),
    ),
)


# --- preset --------------------------------------------------------------------


def work_preset(
    w: Working, *, thickness: Fraction, bevel_angle: Fraction, root_opening: Fraction, cap_height: Fraction,
    half_width: Fraction, tilt: str, backing_width: Fraction, last_rise: Fraction | None,
) -> None:
    """How far the plates are likely to draw together and to pull, and the shim that goes against the pull: as bands.

        w = R + 2·t·tan β    A_w = R·t + t²·tan β + (2/3)·w·h    ΔW_low = 0.1·A_w / t    ΔW_high = 0.2·A_w / t + 0.05·R
        s = B·sin(θ/2) with both plates tilted, B·sin θ with one    g = c·tan(θ/2)    c = (W − R)/2

    t thickness, R root opening, h cap, B joint to far edge, W width of the backing, m; β bevel and θ pull, degrees. The
    coefficients of the shrinkage are plain numbers.

    `InputError` where there is no groove, where it takes all of the plate, on a backing too narrow, and for a rise as
    large as the plate is wide. Source: rules of thumb, one secondary and one from memory; the pull of 1° to 3° from
    memory, low confidence.

    The worked groove 3/8 in, 1/4 in open, 45°, no cap has 0.151999 in² and so draws 0.0405 to 0.0936 in:

    >>> answer = PRESET.answer(cap_height="0 in")
    >>> [round(float(answer[name].amount) / 0.0254, 4) for name in ("shrink_low", "shrink_high")]
    [0.0405, 0.0936]
    """
    _refuse_preset(thickness, bevel_angle, root_opening, cap_height, half_width, last_rise)
    require_backing_reach(backing_width, root_opening)
    t = w.given("thickness", "t", thickness, LENGTH)
    beta = w.given("bevel_angle", "β", bevel_angle, ANGLE)
    opening = w.given("root_opening", "R", root_opening, LENGTH)
    h = w.given("cap_height", "h", cap_height, LENGTH)
    far = w.given("half_width", "B", half_width, LENGTH)
    face = w.let("face_width", "Face width of the groove", "w", LENGTH, opening + 2 * t * tan(beta), as_fraction=True)
    area = w.let(
        "weld_area", "Weld cross-section with its reinforcement", "A_w", AREA,
        opening * t + t**2 * tan(beta) + cap_area(face, h), source=CAP_SHAPE,
    )
    _shrinkage(w, area, t, opening)
    _, high = _shims(w, far, tilt)
    _gap_at_backing(w, opening, w.given("backing_width", "W", backing_width, LENGTH))
    w.draw(preset_tilt(w, tilt == "both"))
    w.draw(shrinkage(w))
    w.say(
        "Expect the plates to draw together by {shrink_low} to {shrink_high} across the joint. For a pull of "
        "{angle_low} to {angle_high} the preset is a shim of {shim_low} to {shim_high}. Both are ranges: "
        "your instructor sets the figure."
    )
    w.note(
        "pull-angle", "The pull angle of {angle_low} to {angle_high} is held with low confidence. It changes with "
        "passes, heat, clamps and how the backing is tacked. Your instructor decides whether to preset at all, and by "
        "how much.", source=_PULL,
    )
    judge_joint(w, 2 * bevel_angle, root_opening, bad_only=True)
    judge_cap(w, cap_height, bad_only=True)
    if last_rise is not None:
        _compare_last(w, last_rise, high.amount)
    w.warn("Preset the wrong way and the pull doubles. Check the direction with your instructor before the first tack.")
    w.warn(
        "Never straighten a welded test plate by pressing, hammering or heating unless your WPS allows it."
    )


def _refuse_preset(
    thickness: Fraction, bevel_angle: Fraction, root_opening: Fraction, cap_height: Fraction, half_width: Fraction,
    last_rise: Fraction | None,
) -> None:
    """Raises `InputError` for plates that cannot be."""
    if root_opening == 0 and bevel_angle == 0 and cap_height == 0:
        raise InputError(
            "root_opening", "Root opening", "there is no groove to fill; write a root opening, a reinforcement or a "
            "bevel angle above 0",
        )
    half_face = float(root_opening) / 2 + float(thickness) * math.tan(math.radians(bevel_angle))
    if half_width <= half_face:
        raise InputError(
            "half_width", "Joint to far edge", "the groove alone takes all of it; write more than "
            f"{show(half_face, LENGTH, 'us')} ({show(half_face, LENGTH, 'si')})",
        )
    if last_rise is not None and last_rise >= half_width:
        raise InputError(
            "last_rise", "Rise of your last plate", "a plate cannot rise by its own width; write less than "
            f"{show_both(half_width, LENGTH)}",
        )


def _shrinkage(w: Working, area: Symbol, t: Symbol, opening: Symbol) -> None:
    """The two rules of thumb for shrinkage across the joint.

    Their coefficients are plain numbers: any unit of length serves.
    """
    short = w.given("short_rule", "k_1", AREA_SHARE_LOW.amount, NUMBER)
    long = w.given("long_rule", "k_2", AREA_SHARE_HIGH.amount, NUMBER)
    share = w.given("opening_share", "k_3", OPENING_SHARE.amount, NUMBER)
    w.let(
        "shrink_low", "Shrinkage across the joint, low end of the range", "ΔW_low", LENGTH, short * area / t,
        source=AREA_SHARE_LOW.source, main=True, digits=3,
    )
    w.let(
        "shrink_high", "Shrinkage across the joint, high end of the range", "ΔW_high", LENGTH,
        long * area / t + share * opening, source=AREA_SHARE_HIGH.source, main=True, digits=3,
    )


def _shims(w: Working, far: Symbol, tilt: str) -> tuple[Symbol, Symbol]:
    """The shim for each end of the angle band. `tilt` says whether both plates share the angle or one takes it all."""
    shims = []
    for end, fact in (("low", PULL_LOW), ("high", PULL_HIGH)):
        theta = w.value(f"angle_{end}", fact.label, fact.amount, ANGLE, source=fact.source, symbol=f"θ_{end}")
        shims.append(w.let(
            f"shim_{end}", f"Shim under the far edge, {end} end of the range", f"s_{end}", LENGTH,
            far * sin(theta / 2 if tilt == "both" else theta), source=_PULL, main=True, digits=3, as_fraction=True,
            note=(
                "Each plate takes half of the angle." if tilt == "both"
                else "One plate lies flat, the other takes the whole angle."
            ),
        ))
    where = (
        "Face down on the bench, as you tack: under both far edges. Face up: as much under the joint."
        if tilt == "both" else
        "Face down on the bench, as you tack: under the far edge of the plate that is not flat."
    )
    w.words("shim_place", "Where the shim goes", where, source=GEOMETRY)
    return shims[0], shims[1]


def _gap_at_backing(w: Working, opening: Symbol, backing: Symbol) -> None:
    """Tilted plates rest on a flat backing by its outer edges only; this is how far the root corners then stand off
    it.
    """
    contact = w.let("contact", "Backing under each plate", "c", LENGTH, (backing - opening) / 2, as_fraction=True)
    theta = Symbol("θ_high", PULL_HIGH.amount, ANGLE)
    w.let(
        "root_gap", "Gap that the tilt opens under the root corners, high end of the range", "g", LENGTH,
        contact * tan(theta / 2), source=_PULL, digits=3, note="The backing is taken as flat and touching both plates "
        "with its outer edges.",
    )
    told = (
        "Tilted plates touch a flat backing only at its outer edges; at {angle_high} the gap under the root corners is"
    )
    judge_backing_gap(
        w, "root-gap", "root_gap", w.known["root_gap"].amount, told, "Use a narrower backing or less preset.",
    )


def _compare_last(w: Working, rise: Fraction, high: float) -> None:
    """A measured rise against the band. Less than the band is no fault: the plate then wants less preset, or none."""
    w.given("last_rise", "r", rise, LENGTH)
    if rise > high:
        w.caution(
            "last-rise", "Your last plate rose {last_rise}, more than the range of {shim_low} to {shim_high}. Measure "
            "again, and show your instructor before you trust either.", source=ENTERED,
        )
    else:
        w.ok(
            "last-rise", "Your last plate rose {last_rise}, not more than the range of {shim_low} to {shim_high}. A "
            "measured rise on the same set-up is a better guide than the rule.", source=ENTERED,
        )


PRESET = Calculator(
    id="preset",
    title="Shrinkage and preset",
    question="How far will the plates pull, and how much shim is that, roughly?",
    page="preset.md",
    work=work_preset,
    main=("thickness", "root_opening", "half_width"),
    inputs=(
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "3 in", "Measure it; do not trust the tag.",
            "t", common=("1/4 in", "3/8 in", "1/2 in", "3/4 in", "1 in"), slide=THICKNESS,
        ),
        Quantity(
            "bevel_angle", "Bevel angle, each plate", ANGLE, "22.5 deg", "0 deg", "60 deg",
            "From square, one plate. Both plates together make the groove angle.", "β", common=("22.5 deg", "30 deg"),
            slide=BEVEL,
        ),
        Quantity(
            "root_opening", "Root opening", LENGTH, "1/4 in", "0 in", "1 in",
            "The gap between the plates at the backing.", "R", common=("3/16 in", "1/4 in", "3/8 in"), slide=OPENING,
        ),
        Quantity(
            "cap_height", "Height of the reinforcement", LENGTH, "1/16 in", "0 in", "1/2 in",
            "How far the finished weld face stands above the plate.", "h",
        ),
        Quantity(
            "half_width", "Joint to far edge", LENGTH, "3 in", "1/2 in", "48 in",
            "From the middle of the groove to the outer edge of one plate.", "B",
            takes="half_width",
        ),
        Choice(
            "tilt", "How the angle is set",
            (
                Option("both", "Both plates tilted alike, half the angle each"),
                Option("one", "One plate flat, the other tilted"),
            ),
            "both", "With the groove up, the joint stands higher than the far edges.",
        ),
        Quantity(
            "backing_width", "Backing width", LENGTH, "1 in", "1/4 in", "12 in", "Across the joint.", "W",
            common=("1 in", "1-1/2 in", "2 in"),
        ),
        Quantity(
            "last_rise", "Rise of your last plate", LENGTH, "", "0 in", "12 in", "How far a far edge rose on a plate "
            "welded without preset, measured the same way. May stay blank.", "r",
        ),
    ),
)
