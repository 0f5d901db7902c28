"""What a class plan is judged by: the gas drawn, the plate and its joint, the rods, and figures that are hard to
believe.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from calc.core.declare import Amount, Working
from calc.core.formula import Symbol
from calc.core.sources import ENTERED
from calc.core.units import ANGLE, FLOW, LENGTH, parse
from calc.planning.class_estimate import FACTOR_HIGH, OPERATING, SEVENTH, TENTH
from calc.planning.roster import Roster
from calc.stages import widths
from calc.stages.coupons import COUPON_LAYOUT, KIND_SOURCE, LONG, coupon_kinds, is_thinner_than_table
from calc.stages.current import largest_rod
from calc.stages.cutting import BURNING, FLOWS, FUEL_FLOW, OXYGEN_FLOW, TABLE, row_for
from calc.stages.fitup import judge_backing_thickness
from calc.stages.joint import DROP_MARGIN, judge_cap, judge_joint
from calc.stages.passes import SHORT_STUB, STUB


def judge_class(w: Working, given: Mapping[str, Any], roster: Roster) -> None:
    """Every check of a plan but those of its timetable."""
    _check_supply(w, given)
    judge_joint(w, 2 * given["bevel_angle"], given["root_opening"])
    judge_cap(w, given["cap_height"])
    for number, thickness in enumerate(roster.thicknesses, 1):
        _check_coupons(w, given, thickness, "" if number == 1 else f"-t{number}")
    _check_joint_width(w, given)
    judge_backing_thickness(w, given["backing_thickness"])
    _check_rods(w, given, roster.positions)
    _check_guesses(w, given, roster)


def _check_supply(w: Working, given: Mapping[str, Any]) -> None:
    """Gas: what the kerfs burn, and what one torch draws from one cylinder. The plan joins cylinders for all
    torches.
    """
    if w.known["oxygen_flowed"].amount < w.known["oxygen_least"].amount:
        text = (
            "Flow and time bring less oxygen than the kerfs burn, {oxygen_least}. That figure is taken; check flow and "
            "speed."
        )
        w.caution("oxygen", text, source=BURNING)
    else:
        w.ok(
            "oxygen", "{oxygen_flowed} by flow and time covers {oxygen_least}, the minimum that the kerfs burn.",
            source=BURNING,
        )
    flow, held = given["fuel_flow"], given["acetylene_cylinder"]
    w.known["seventh"] = Amount(held / (SEVENTH.hours * 3600), FLOW, 3)
    head = "One torch draws {fuel_flow} of acetylene; "
    if flow > held / (SEVENTH.hours * 3600):
        w.stop(
            "acetylene", head + "one cylinder may give only {seventh}, even by the rule of one seventh. The solvent "
            "comes out with the gas.", source=SEVENTH.source,
        )
    elif flow > held / (TENTH.hours * 3600):
        w.caution(
            "acetylene", head + "by the rule of one tenth one cylinder may give {draw_each}.", source=TENTH.source,
        )
    else:
        w.ok("acetylene", head + "one cylinder may give {draw_each}, by the rule of one tenth.", source=TENTH.source)
    if w.known["manifold"].amount > 1:
        text = (
            "All torches together draw {draw}. By the rule of one tenth that takes {manifold} cylinders joined on a "
            "manifold, which the plan counts."
        )
        w.note("manifold", text, source=TENTH.source)
    if not OXYGEN_FLOW.low <= given["oxygen_flow"] <= OXYGEN_FLOW.high:
        text = (
            f"{{oxygen_flow}} of oxygen lies outside the band of a hand torch, {OXYGEN_FLOW.wording}. Check it on the "
            f"tip chart."
        )
        w.caution("oxygen-flow", text, source=FLOWS)
    if flow > FUEL_FLOW.high:
        text = (
            f"{{fuel_flow}} of acetylene lies over the band of a hand torch, {FUEL_FLOW.wording}. Check it on the tip "
            f"chart."
        )
        w.caution("fuel-flow", text, source=FLOWS)


def _check_coupons(w: Working, given: Mapping[str, Any], thickness: Fraction, mark: str) -> None:
    """The plate long enough for the coupons of a plate test, and as many coupons as the structural code asks for."""
    source = KIND_SOURCE["aws"]
    w.known["plate_here"] = Amount(thickness, LENGTH, as_written=True)
    if is_thinner_than_table(thickness):
        text = (
            "The structural code's table as we hold it has no test plate as thin as {plate_here}. Ask which test the "
            "class takes."
        )
        w.not_known(f"thin-plate{mark}", text, source=source)
    usual = len(coupon_kinds("aws", thickness))
    if given["coupons"] < usual:
        w.incomplete(
            f"coupons{mark}", f"A plate test takes {usual} bend specimens from each weld. Fewer are not a whole test.",
            source=source,
        )
    else:
        w.ok(
            f"coupons{mark}", f"The number of bend specimens from each weld, {given['coupons']}, is not under the {usual} of "
            "a plate test.", source=source,
        )
    laid = COUPON_LAYOUT.answer({"thickness": _exact(thickness), "number": str(usual), "plate_length": "60 in"})
    w.known["coupons_need"] = Amount(laid["needed"].amount, LENGTH, as_written=True)
    if given["plate_length"] < laid["needed"].amount:
        w.stop(
            f"plate-length{mark}",
            "Plates {plate_length} long are too short: the specimens with discards and saw cuts need {coupons_need}.",
            source=source,
        )
    else:
        w.ok(
            f"plate-length{mark}",
            "Plates {plate_length} long hold the specimens, which need {coupons_need} with discards and saw cuts.",
            source=source,
        )


def _exact(length: Fraction) -> str:
    """A length as text that reads back to the last bit."""
    millimetres = length * 1000
    return f"{millimetres.numerator}/{millimetres.denominator} mm"


def _check_joint_width(w: Working, given: Mapping[str, Any]) -> None:
    """The joint that two such plates make once the bevel is cut off them, against the length of the coupons."""
    blank, beta, kerf, opening = (
        Symbol(letter, given[name], kind)
        for name, letter,
        kind in (
            ("plate_width", "b", LENGTH), ("bevel_angle", "β", ANGLE), ("kerf", "k", LENGTH),
            ("root_opening", "R", LENGTH),
        )
    )
    margin = Symbol("m_d", DROP_MARGIN.amount, LENGTH)
    plate = widths.plate_of_blank(blank, beta, kerf, margin, Symbol("f", Fraction(0), LENGTH))
    w.mention("drop", DROP_MARGIN)
    w.mention("coupon_long", LONG)
    joint = w.let(
        "joint_width", "Width across one joint, bevels cut with a margin on the drop", "W", LENGTH,
        widths.joint_of_plates(plate, opening), source=ENTERED,
    )
    if joint.amount < LONG.amount:
        text = (
            "Plates {plate_width} wide, beveled with a margin of {drop} on the drop, make a joint {joint_width} "
            "across: too narrow for specimens {coupon_long} long."
        )
        w.stop("joint-width", text, source=LONG.source)
    else:
        text = (
            "Plates {plate_width} wide, beveled with a margin of {drop} on the drop, make a joint {joint_width} "
            "across: wide enough for specimens {coupon_long} long."
        )
        w.ok("joint-width", text, source=LONG.source)


def _check_rods(w: Working, given: Mapping[str, Any], positions: tuple[str, ...]) -> None:
    """Each rod against the largest for the positions of the tests."""
    for number, (electrode, size, share) in enumerate(given["rods"], 1):
        if not share:
            continue
        limits = [(largest_rod(electrode, position), position) for position in positions]
        limit, position = min(limits, key=lambda each: each[0].amount)
        w.mention("largest", limit)
        name = f"{electrode} {size} in"
        if parse(size, LENGTH) > limit.amount:
            w.stop(
                f"rod-size-{number}", f"{name} is too large for {position}: the maximum is {{largest}}.",
                source=limit.source,
            )
        else:
            w.ok(
                f"rod-size-{number}", f"{name} is not over the maximum for {position}, {{largest}}.",
                source=limit.source,
            )


def _check_guesses(w: Working, given: Mapping[str, Any], roster: Roster) -> None:
    """Figures that are hard to believe; they move the plan, and nothing else shows them."""
    w.mention("stub_usual", STUB)
    w.mention("stub_least", SHORT_STUB)
    if given["stub"] > STUB.amount:
        w.caution(
            "stub", "A stub of {stub} is longer than the usual {stub_usual}: that wastes rods.", source=STUB.source,
        )
    elif given["stub"] < SHORT_STUB.amount:
        w.caution(
            "stub",
            "A stub of {stub} is hard to believe: the electrode holder alone takes about {stub_least}. You will need "
            "more rods.",
            source=SHORT_STUB.source,
        )
    w.mention("factor_high", FACTOR_HIGH)
    w.mention("factor_usual", OPERATING)
    if given["factor"] > FACTOR_HIGH.amount:
        text = (
            "An operating factor of {factor} is over {factor_high}; hand welding has about {factor_usual}. The booths "
            "will be busy longer."
        )
        w.caution("factor", text, source=FACTOR_HIGH.source)
    for number, thickness in enumerate(roster.thicknesses, 1):
        band = row_for(thickness).speed
        if given["speed"] is not None and not band.low <= given["speed"] <= band.high:
            w.caution(
                "speed" if number == 1 else f"speed-t{number}",
                f"{{speed}} lies outside the band for this plate, {band.wording}. Check it on the tip chart.",
                source=TABLE,
            )
