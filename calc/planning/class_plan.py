"""A class's tests planned: plates, backing, weight, rods, gas, time at every station, and money.

Stage: before the class. Every estimate is worked out once, in steps, and then again
with each uncertain input moved to both ends of its band (`bands`). The weld metal
and the rods are the mass balance of `passes`, the oxygen is held against the
chemistry of `cutting`, the acetylene against the drawing rules of `safety`. The
day is simulated (`day`).
"""

from __future__ import annotations

import functools
import math
import random
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calc.core.declare import Amount, Calculator, Choice, InputError, Option, Quantity, Rows, Whole, Working
from calc.core.formula import Formula, Symbol, cos, tan
from calc.core.sources import COMMON, ENTERED, Citation, Fact, Standing
from calc.core.units import (
    ANGLE,
    AREA,
    FLOW,
    GAS_VOLUME,
    HOUR,
    LENGTH,
    MASS,
    MINUTE,
    NUMBER,
    PERCENTAGE,
    SECOND,
    SYSTEMS,
    TIME,
    TRAVEL_SPEED,
    Kind,
    Number,
    Unit,
    parse,
    show,
    show_as_written,
)
from calc.planning.bands import Band, Model, Swing, banded, swings, tornado
from calc.planning.day import Day, Station, simulate
from calc.show.plot import Axis, Column, Curve, Plot, Table
from calc.stages import widths
from calc.stages.coupons import COUPON_LAYOUT, KIND_SOURCE, LONG, coupon_kinds, is_thinner_than_table
from calc.stages.current import ELECTRODES, SIZES, largest_rod
from calc.stages.cutting import BURNING, FLOWS, FUEL_FLOW, OXYGEN_FLOW, REFERENCES, TABLE, oxygen_per_iron, row_for
from calc.stages.fitup import BACKING_BAR, judge_backing_thickness
from calc.stages.groove import CAP_SHAPE, STEEL_DENSITY, cap_area
from calc.stages.joint import DROP_MARGIN, judge_cap, judge_joint, require_backing_reach
from calc.stages.passes import SHORT_STUB, STUB
from calc.stages.rods import ROD_MASS, core_mass, rod_mass, rod_row
from calc.stages.safety import DRAW_RULES

HOURS = TIME.shown_in(us=HOUR, si=HOUR)
MINUTES = TIME.shown_in(us=MINUTE, si=MINUTE)
SECONDS = TIME.shown_in(us=SECOND, si=SECOND)
PRICE_PER_MASS = Kind("price per mass", "1/kg", Unit("per lb", 1 / Fraction("0.45359237")), Unit("per kg", Fraction(1)))
PER_HOUR = Unit("per h", Fraction(1, 3600))
PRICE_PER_HOUR = Kind("price per hour", "1/s", PER_HOUR, PER_HOUR)

SIMULATED = Citation(
    None, "Simulated days of the shop, seeded", Standing.WORKED_OUT,
    "First come first served; no breaks, no breakdowns.",
)
SPREAD = Citation(
    None, "Each input moved to both ends of its band; swings added as the root of their squares", Standing.WORKED_OUT,
)
OPERATING = Fact(
    "operating-factor", "Part of the time in a booth that the arc burns, hand welding", Fraction(25), PERCENTAGE,
    COMMON,
)
COUPONS = Fact("plan-coupons", "Bend specimens from a test weld", Fraction(2), NUMBER, COMMON)
SEVENTH, TENTH = DRAW_RULES[0], DRAW_RULES[1]
FACTOR_HIGH = Fact(
    "operating-factor-high", "Operating factor of hand welding that is hard to believe", Fraction(50), PERCENTAGE,
    COMMON,
)
FACTS = (OPERATING, COUPONS, FACTOR_HIGH)


@dataclass(frozen=True)
class Uncertain:
    """An uncertain input: its key, what a reader calls it, and how far it may lie below and above the likely figure,
    %.
    """

    key: str
    label: str
    below: int
    above: int


# Assumed bands: common practice, for a reader to replace by the shop's own.
UNCERTAIN: tuple[Uncertain, ...] = (
    Uncertain("retest", "Retest share", 75, 100),
    Uncertain("root_opening", "Root opening", 25, 50),
    Uncertain("cap_height", "Reinforcement", 50, 100),
    Uncertain("efficiency", "Deposition efficiency", 8, 5),
    Uncertain("stub", "Stub", 25, 75),
    Uncertain("rod_mass", "Mass of a rod", 10, 10),
    Uncertain("burn_time", "Arc time of a rod", 15, 25),
    Uncertain("factor", "Operating factor", 40, 40),
    Uncertain("speed", "Cutting speed", 25, 25),
    Uncertain("start_time", "Time to start a cut", 50, 100),
    Uncertain("oxygen_flow", "Oxygen flow", 40, 40),
    Uncertain("fuel_flow", "Acetylene flow", 35, 35),
    Uncertain("fit_time", "Fit-up and tacking", 35, 60),
    Uncertain("coupon_time", "Making the specimens", 35, 60),
    Uncertain("bend_time", "Bending and judging", 30, 60),
)
_LABELS = {each.key: each.label for each in UNCERTAIN}


@dataclass(frozen=True)
class Estimate:
    """An estimate of the plan that carries a band: its key, label and kind; whole ones are counts."""

    key: str
    label: str
    kind: Kind
    whole: bool = False
    digits: int = 3


ESTIMATES: tuple[Estimate, ...] = (
    Estimate("welds", "Test welds", NUMBER, True),
    Estimate("steel_mass", "Steel to lift", MASS),
    Estimate("weld_metal", "Weld metal", MASS),
    Estimate("rods", "Rods", NUMBER, True),
    Estimate("oxygen", "Oxygen", GAS_VOLUME),
    Estimate("acetylene", "Acetylene", GAS_VOLUME),
    Estimate("cut_time", "Time at the torches", HOURS),
    Estimate("arc_time", "Arc time", HOURS),
    Estimate("booth_time", "Time in the booths", HOURS),
    Estimate("hands_on", "Work at all stations", HOURS),
)
COST = Estimate("cost", "Cost, in your money", NUMBER)


# --- one estimate, in steps ------------------------------------------------------


def _estimate(w: Working, given: Mapping[str, Any], x: Mapping[str, Number]) -> dict[str, Number]:
    """Work the plan out on a sheet, each uncertain input times its factor in `x`; returns the figures that carry
    bands.
    """
    welds = _welds(w, given, x)
    steel, cut_run, kerf_mass, cuts = _material(w, given, welds)
    metal, rods, rods_mass, arc = _rods(w, given, x, welds)
    gas = _gas(w, given, x, cut_run, cuts, kerf_mass)
    factor = w.given("factor", "f", min(Fraction(100), given["factor"] * x["factor"]), PERCENTAGE)
    booth = w.let("booth_time", "Time in the booths", "T_booth", HOURS, arc / (factor / 100), source=ENTERED, digits=3)
    minutes = {name: w.given(name, letter, given[name] * x[name], MINUTES) for name, letter in (
        ("fit_time", "T_f"), ("coupon_time", "T_c"), ("bend_time", "T_b"),
    )}
    n_bends = w.given("coupons", "n_b", given["coupons"], NUMBER)
    fit = w.let(
        "fit_total", "Fit-up and tacking, all", "T_fit", HOURS, welds * minutes["fit_time"], source=ENTERED, digits=3,
    )
    prepare = w.let(
        "coupon_total", "Cutting and grinding specimens, all", "T_coupon", HOURS, welds * minutes["coupon_time"],
        source=ENTERED, digits=3,
    )
    bend = w.let(
        "bend_total", "Bending and judging, all", "T_bend", HOURS, welds * n_bends * minutes["bend_time"],
        source=ENTERED, digits=3,
    )
    hands = w.let(
        "hands_on", "Work at all stations", "T", HOURS, gas["time"] + fit + booth + prepare + bend, source=ENTERED,
        digits=3,
    )
    figures = {
        "welds": welds.amount, "steel_mass": steel.amount, "weld_metal": metal.amount, "rods": rods,
        "oxygen": gas["oxygen"].amount,
        "acetylene": gas["acetylene"].amount, "cut_time": gas["time"].amount, "arc_time": arc.amount,
        "booth_time": booth.amount,
        "hands_on": hands.amount,
        "cut_each": gas["time"].amount / welds.amount, "fit_each": minutes["fit_time"].amount,
        "weld_each": booth.amount / welds.amount,
        "coupon_each": minutes["coupon_time"].amount, "bend_each": minutes["bend_time"].amount * n_bends.amount,
    }
    cost = _cost(w, given, steel, rods_mass, gas, hands)
    return figures if cost is None else {**figures, "cost": cost}


def _up(amount: Number) -> int:
    """The next whole number up. A float is let off its own rounding: 11.000000000000002 is 11."""
    return math.ceil(amount - 1e-9 * max(1.0, amount) if isinstance(amount, float) else amount)


def _welds(w: Working, given: Mapping[str, Any], x: Mapping[str, Number]) -> Symbol:
    trainees = w.given("trainees", "n", given["trainees"], NUMBER)
    each = w.given("welds_each", "p", sum(count for _, count in given["tests"]), NUMBER)
    retest = w.given("retest", "r", given["retest"] * x["retest"], PERCENTAGE)
    exact = w.let(
        "welds_exact", "Test welds with retests, before rounding up", "N_0", NUMBER,
        trainees * each * (1 + retest / 100), source=ENTERED, answer=False,
    )
    return w.value(
        "welds", "Test welds, retests included", _up(exact.amount), NUMBER, source=ENTERED, symbol="N", main=True,
    )


def _material(w: Working, given: Mapping[str, Any], welds: Symbol) -> tuple[Symbol, Symbol, Symbol, Symbol]:
    """Plates and backing: how many, how heavy; the length to cut, the metal in the kerfs, the cuts to start."""
    w.let("plates", "Test plates", "N_p", NUMBER, 2 * welds, source=ENTERED, main=True)
    w.value("backing_bars", "Backing bars", welds.amount, NUMBER, source=ENTERED, main=True)
    rho = w.fact(STEEL_DENSITY, "ρ")
    long, wide, t = (
        w.given(name, letter, given[name], LENGTH)
        for name, letter in (("plate_length", "L"), ("plate_width", "b"), ("thickness", "t"))
    )
    back_wide, back_t, over = (
        w.given(name, letter, given[name], LENGTH) for name,
        letter in (("backing_width", "b_b"), ("backing_thickness", "t_b"), ("run_off", "o"))
    )
    kerf = w.given("kerf", "k", given["kerf"], LENGTH)
    backing = w.let(
        "backing_length", "One backing bar, run-off at both ends", "L_b", LENGTH, long + 2 * over, source=ENTERED,
        as_fraction=True,
    )
    w.let(
        "plate_stock", "Flat bar for the plates, with a kerf each", "S_p", LENGTH, 2 * welds * (long + kerf),
        source=ENTERED, main=True, digits=6, as_fraction=True,
    )
    w.let(
        "backing_stock", "Flat bar for the backing, with a kerf each", "S_b", LENGTH, welds * (backing + kerf),
        source=ENTERED, main=True, digits=6, as_fraction=True,
    )
    plate = w.let(
        "plate_mass", "One plate, mass", "m_1", MASS, rho * long * wide * t, source=STEEL_DENSITY.source, digits=3,
    )
    bar = w.let(
        "backing_mass", "One backing bar, mass", "m_2", MASS, rho * backing * back_wide * back_t,
        source=STEEL_DENSITY.source, digits=3,
    )
    steel = w.let(
        "steel_mass", "Plates and backing, mass to lift", "m", MASS, 2 * welds * plate + welds * bar,
        source=STEEL_DENSITY.source, digits=3,
    )
    beta = w.given("bevel_angle", "β", given["bevel_angle"], ANGLE)
    run = w.let(
        "cut_length", "Length to cut: every plate off and beveled, every backing bar off", "C", LENGTH,
        welds * (2 * (wide + long) + back_wide), source=ENTERED, digits=4,
    )
    section = w.let(
        "kerf_area", "Cut faces of one weld", "A_c", AREA, 2 * (wide * t + long * t / cos(beta)) + back_wide * back_t,
        answer=False,
    )
    removed = w.let(
        "kerf_mass", "Metal in all kerfs", "m_k", MASS, rho * kerf * section * welds, source=STEEL_DENSITY.source,
        digits=3,
    )
    starts = w.let("cuts", "Cuts to start, five for each weld", "n_c", NUMBER, 5 * welds, source=ENTERED)
    return steel, run, removed, starts


def _rods(
    w: Working, given: Mapping[str, Any], x: Mapping[str, Number], welds: Symbol,
) -> tuple[Symbol, Number, Symbol, Symbol]:
    """Weld metal, rods by class and size, their mass, and the arc time."""
    t, beta, long = (
        Symbol(letter, given[name], kind)
        for name, letter, kind in (
            ("thickness", "t", LENGTH), ("bevel_angle", "β", ANGLE), ("plate_length", "L", LENGTH),
        )
    )
    opening = w.given("root_opening", "R", given["root_opening"] * x["root_opening"], LENGTH)
    cap = w.given("cap_height", "h", given["cap_height"] * x["cap_height"], LENGTH)
    rho = Symbol("ρ", STEEL_DENSITY.amount, STEEL_DENSITY.kind)
    area = w.let(
        "weld_area", "Weld cross-section, reinforcement included", "A", AREA,
        opening * t + t**2 * tan(beta) + cap_area(opening + 2 * t * tan(beta), cap), source=CAP_SHAPE,
    )
    metal = w.let(
        "weld_metal", "Weld metal for all welds", "m_w", MASS, welds * rho * area * long, source=STEEL_DENSITY.source,
        digits=3,
    )
    whole, stub = w.given(
        "rod_length", "ℓ", given["rod_length"], LENGTH,
    ), w.given("stub", "s", given["stub"] * x["stub"], LENGTH)
    if stub.amount >= given["rod_length"]:
        raise InputError(
            "stub", "Stub",
            f"with its band it reaches the rod's {show_as_written(given['rod_length'], LENGTH, 'us')}; write a shorter "
            f"stub or a narrower band",
        )
    burn = w.given("burn_time", "T_r", given["burn_time"] * x["burn_time"], SECONDS)
    total: Number = 0
    masses, times = [], []
    for number, (electrode, size, share) in enumerate(given["rods"], 1):
        count, rod = _one_class(w, number, electrode, size, share, metal, whole, stub, rho, x)
        total += count.amount
        masses.append(count * rod)
        times.append(count * burn)
    w.value("rods", "Rods in all", total, NUMBER, source=ENTERED)
    mass = w.let("rods_mass", "Rods to buy, mass", "m_r", MASS, _sum(masses), source=ENTERED, digits=3)
    arc = w.let("arc_time", "Arc time", "T_arc", HOURS, _sum(times), source=ENTERED, digits=3)
    return metal, total, mass, arc


@functools.cache
def _rod_facts(electrode: str) -> tuple[Fact, Fact]:
    row = rod_row(electrode)
    return row.covering_fact, row.efficiency_fact


def _one_class(
    w: Working, number: int, electrode: str, size: str, share: Fraction, metal: Symbol, whole: Symbol, stub: Symbol,
    rho: Symbol, x,
) -> tuple[Symbol, Symbol]:
    """Rods of one class and size for their share of the weld metal, rounded up; and the mass of one."""
    (covering_fact, efficiency_fact), mark = _rod_facts(electrode), f"{number}"
    d = Symbol(f"d_{mark}", parse(size, LENGTH), LENGTH)
    covering = Symbol(f"k_{mark}", covering_fact.amount * x["rod_mass"], NUMBER)
    yields = Symbol(f"E_{mark}", min(Fraction(100), efficiency_fact.amount * x["efficiency"]), PERCENTAGE)
    part = Symbol(f"s_{mark}", share, PERCENTAGE)
    name = f"{electrode} {size} in"
    rod = w.let(
        f"rod_mass_{mark}", f"{name}: one rod with its covering", f"m_rod,{mark}", ROD_MASS,
        rod_mass(core_mass(d, whole, rho), covering),
        source=covering_fact.source, digits=3,
    )
    left = w.let(
        f"deposit_{mark}", f"{name}: weld metal from one rod, stub taken off", f"m_dep,{mark}", ROD_MASS,
        rod * yields / 100 * (whole - stub) / whole,
        source=efficiency_fact.source, digits=3,
    )
    exact = w.let(
        f"rods_exact_{mark}", f"{name}: rods before rounding up", f"n_{mark}", NUMBER, metal * part / 100 / left,
        source=efficiency_fact.source, answer=False,
    )
    return w.value(
        f"rods_{mark}", f"Rods, {name}", _up(exact.amount), NUMBER, source=covering_fact.source, symbol=f"N_{mark}",
        main=True,
    ), rod


def _sum(parts: list[Formula]) -> Formula:
    total = parts[0]
    for part in parts[1:]:
        total = total + part
    return total


def _gas(
    w: Working, given: Mapping[str, Any], x: Mapping[str, Number], run: Symbol, cuts: Symbol, kerf_mass: Symbol,
) -> dict[str, Symbol]:
    """Time at the torches, oxygen and acetylene, and how many cylinders that is."""
    own = given["speed"] is not None
    likely = given["speed"] if own else given["table_speed"]
    speed_source = ENTERED if own else TABLE
    v = w.given("speed", "v", likely * x["speed"], TRAVEL_SPEED)
    start = w.given("start_time", "T_s", given["start_time"] * x["start_time"], SECONDS)
    cutting = w.let("cutting_time", "Torches cutting", "T_v", HOURS, run / v, source=speed_source, digits=3)
    heating = w.let("heating_time", "Torches heating the starts", "T_h", HOURS, cuts * start, source=ENTERED, digits=3)
    time = w.let("cut_time", "Time at the torches", "T_cut", HOURS, cutting + heating, source=speed_source, digits=3)
    oxygen_flow = w.given("oxygen_flow", "q_O", given["oxygen_flow"] * x["oxygen_flow"], FLOW)
    fuel_flow = w.given("fuel_flow", "q_F", given["fuel_flow"] * x["fuel_flow"], FLOW)
    through = w.let(
        "oxygen_flowed", "Oxygen by flow and time", "V_q", GAS_VOLUME, oxygen_flow * cutting + fuel_flow * heating,
        source=FLOWS, digits=3, note="A neutral flame takes as much oxygen from the torch as acetylene.",
    )
    per_iron, _ = oxygen_per_iron(w, REFERENCES["70F"])
    least = w.let(
        "oxygen_least", "Minimum oxygen that the kerfs burn", "V_least", GAS_VOLUME, per_iron * kerf_mass,
        source=BURNING, digits=3,
    )
    amount, source = max((through.amount, FLOWS), (least.amount, BURNING), key=lambda each: each[0])
    oxygen = w.value("oxygen", "Oxygen", amount, GAS_VOLUME, source=source, symbol="V_O", digits=3)
    acetylene = w.let("acetylene", "Acetylene", "V_F", GAS_VOLUME, fuel_flow * time, source=FLOWS, digits=3)
    held = w.given("oxygen_cylinder", "V_1", given["oxygen_cylinder"], GAS_VOLUME)
    fuel_held = w.given("acetylene_cylinder", "V_2", given["acetylene_cylinder"], GAS_VOLUME)
    w.let(
        "oxygen_exact", "Oxygen cylinders before rounding up", "n_O", NUMBER, oxygen / held, source=ENTERED,
        answer=False,
    )
    w.value("oxygen_cylinders", "Oxygen cylinders", _up(oxygen.amount / held.amount), NUMBER, source=ENTERED, main=True)
    torches = w.given("torches", "n_T", given["torches"], NUMBER)
    hours = w.given("draw_hours", "T_10", TENTH.hours * 3600, HOURS)
    draw = w.let("draw", "Acetylene drawn with all torches lit", "q", FLOW, torches * fuel_flow, source=FLOWS, digits=3)
    w.let(
        "draw_each", "One cylinder may give, one tenth an hour", "q_1", FLOW, fuel_held / hours, source=TENTH.source,
        digits=3,
    )
    at_once = _up(draw.amount / (fuel_held.amount / hours.amount))
    w.value("manifold", "Acetylene cylinders joined, by the draw", at_once, NUMBER, source=TENTH.source)
    by_content = _up(acetylene.amount / fuel_held.amount)
    w.value(
        "acetylene_cylinders", "Acetylene cylinders", max(by_content, at_once), NUMBER,
        source=TENTH.source if at_once > by_content else ENTERED, main=True,
    )
    return {
        "time": time, "oxygen": oxygen, "acetylene": acetylene,
        "oxygen_cylinders": Symbol("N_O", w.known["oxygen_cylinders"].amount, NUMBER),
        "acetylene_cylinders": Symbol("N_F", w.known["acetylene_cylinders"].amount, NUMBER),
    }


def _cost(
    w: Working, given: Mapping[str, Any], steel: Symbol, rods: Symbol, gas: Mapping[str, Symbol], hands: Symbol,
) -> Number | None:
    """What the priced parts cost; None where nothing is priced."""
    priced = (
        ("steel_price", "Steel", "c_s", PRICE_PER_MASS, steel), ("rods_price", "Rods", "c_r", PRICE_PER_MASS, rods),
        ("oxygen_price", "Oxygen", "c_O", NUMBER, gas["oxygen_cylinders"]),
        ("acetylene_price", "Acetylene", "c_F", NUMBER, gas["acetylene_cylinders"]),
        ("hour_price", "Work at the stations", "c_h", PRICE_PER_HOUR, hands),
    )
    parts = [
        w.let(
            f"{name}_total", f"{label}, cost", letter.upper(), NUMBER,
            w.given(name, letter, given[name], kind) * amount, source=ENTERED,
        )
        for name, label, letter, kind, amount in priced if given[name] is not None
    ]
    if not parts:
        return None
    return w.let(
        "cost", "Cost of what you priced, in your money", "C_all", NUMBER, _sum(parts), source=ENTERED, main=True,
        digits=5,
    ).amount


# --- the answer --------------------------------------------------------------------


def work_class_plan(w: Working, **given: Any) -> None:
    """What the tests of a class take: plates, backing, rods, gas, time at every station, money, each with a band.

    Welds N = n p (1 + r), rounded up: n trainees, p welds each, r retest share; plates 2 N. Weld metal N ρ A L and
    rods by
    P = W / E with the stub taken off; oxygen the larger of flow times time and what the kerfs burn; acetylene
    cylinders by content and by one tenth an hour. Each estimate is worked out again with every uncertain input at both
    ends of its band; swings are added as the root of their squares. The day is simulated from a seed.

    The plates, the joint and the rods are judged too: a plan for a plate that is no test plate is no plan. Valid for 1
    to
    1000 first tests. Raises `InputError` for shares that do not make 100 %, no test at all, an input with two bands
    and a
    backing that does not reach under both plates. Source: as cited beside each figure.

    12 trainees, 2 welds each, 20 % retests: 28.8, so 29 welds and 58 plates.

    >>> result = CLASS_PLAN.answer()
    >>> int(result["welds"].amount), int(result["plates"].amount)
    (29, 58)
    """
    _check_inputs(given)
    row = row_for(given["thickness"])
    assert row is not None, "the range of the field is the range of the table"
    given["table_speed"] = (row.speed.low + row.speed.high) / 2
    bands = _bands(given["bands"])
    likely = {name: Fraction(1) for name in bands}
    figures = _estimate(w, given, likely)
    model = _quick_model(given)
    found = swings(model, bands)
    ranges = banded(model, bands, found)
    shown = [each for each in (*ESTIMATES, COST) if each.key in figures]
    for each in shown:
        _write_band(w, each, ranges[each.key], found[each.key])
    for number, (position, count) in enumerate(given["tests"], 1):
        w.value(f"position_{number}", f"First tests in {position}", count * given["trainees"], NUMBER, source=ENTERED)
    day = _write_day(w, given, bands, model)
    w.say(
        "Plan {welds} test welds: {plates} plates and {backing_bars} backing bars, {steel_mass} to lift "
        "({steel_mass_low} to {steel_mass_high}), "
        "{rods} rods ({rods_low} to {rods_high}), {oxygen_cylinders} oxygen and {acetylene_cylinders} acetylene "
        "cylinders, and about {day_middle} in the shop."
    )
    _check_supply(w, given)
    _check_test_plate(w, given)
    _check_rods(w, given)
    _check_guesses(w, given, row)
    _say_what_is_left_out(w, day)
    chosen = next((each for each in shown if each.key == given["drive"]), shown[-1])
    w.draw(tornado(
        "tornado", chosen.label.lower(), found[chosen.key], float(figures[chosen.key]), _LABELS, chosen.kind,
    ))
    w.draw(_timetable(w, given, day))


def _check_inputs(given: Mapping[str, Any]) -> None:
    require_backing_reach(given["backing_width"], given["root_opening"])
    shares = sum(share for *_, share in given["rods"])
    if shares != 100:
        raise InputError(
            "rods", "Rods used", f"the shares add up to {show(shares, PERCENTAGE, 'us')}; they must make 100 %",
        )
    welds = given["trainees"] * sum(count for _, count in given["tests"])
    if not 1 <= welds <= 1000:
        raise InputError("tests", "Tests of each trainee", f"{welds} first tests in all; plan from 1 to 1000 at once")
    keys = [key for key, *_ in given["bands"]]
    for key in keys:
        if keys.count(key) > 1:
            raise InputError("bands", "Bands", f"{_LABELS[key]} stands twice; give each input one row")


def _bands(rows: tuple[tuple[str, Fraction, Fraction], ...]) -> dict[str, Band]:
    """The factor band of every uncertain input; one without a row is taken as certain."""
    given = {key: Band(1 - below / 100, Fraction(1), 1 + above / 100) for key, below, above in rows}
    return {each.key: given.get(each.key, Band(Fraction(1), Fraction(1), Fraction(1))) for each in UNCERTAIN}


def _write_band(w: Working, each: Estimate, band: Band, found: list[Swing]) -> None:
    low, high = (math.floor(band.low), _up(band.high)) if each.whole else (band.low, band.high)
    w.value(f"{each.key}_low", f"{each.label}, low", low, each.kind, source=SPREAD, digits=each.digits)
    w.value(f"{each.key}_high", f"{each.label}, high", high, each.kind, source=SPREAD, digits=each.digits)
    first = next((swing for swing in found if swing.width > 0), None)
    driver = _LABELS[first.name].lower() if first else "nothing that has a band"
    w.words(f"{each.key}_driver", f"{each.label}: moved most by", driver, source=SPREAD)
    w.words(
        f"{each.key}_band", f"{each.label}: low, likely, high",
        f"{_three(each, (low, band.likely, high))}; moved most by {driver}", source=SPREAD, main=True,
    )


def _three(each: Estimate, figures: tuple[Number, Number, Number]) -> str:
    """Low, likely and high in one line, both systems where they differ."""
    lines = []
    for system in SYSTEMS:
        shown = [show(figure, each.kind, system, each.digits) for figure in figures]
        *bare, last = shown
        unit = each.kind.unit(system).symbol
        lines.append(
            ", ".join(text.removesuffix(unit).rstrip("\u00a0") if unit else text for text in bare) + f", {last}"
        )
    return lines[0] if lines[0] == lines[1] else f"{lines[0]} ({lines[1]})"


_STATIONS = (
    ("cut", "Torches", "torches", False), ("fit", "Fit-up tables", "tables", False),
    ("weld", "Booths", "booths", True),
    ("coupon", "Saws and grinders", "grinders", False), ("bend", "Bending jigs", "jigs", False),
)


_SCATTER = Band(0.75, 1.0, 1.5)
"""How the time of one weld at a station lies round the day's own: common practice, assumed."""


def _quick_model(given: Mapping[str, Any]) -> Model:
    """The estimate as plain floats on a sheet nobody reads: it is worked out some fifty times for the bands."""
    plain = {name: float(value) if isinstance(value, Fraction) else value for name, value in given.items()}
    return lambda x: _estimate(Working(), plain, {name: float(factor) for name, factor in x.items()})


def _write_day(w: Working, given: Mapping[str, Any], bands: Mapping[str, Band], model: Model) -> Day:
    def draw(chance: random.Random) -> tuple[tuple[Station, ...], int]:
        x = {name: chance.triangular(
            float(band.low), float(band.high), float(band.likely),
        ) for name, band in bands.items()}
        figures = model(x)
        stations = tuple(
            Station(
                name, given[places],
                Band(*(figures[f"{key}_each"] * part for part in (_SCATTER.low, _SCATTER.likely, _SCATTER.high))), own,
            )
            for key, name, places, own in _STATIONS
        )
        return stations, int(figures["welds"])

    day = simulate(draw, given["trainees"], f"{given['seed']}")
    for name, label, time in (
        ("day_low", "shortest", day.shortest), ("day_middle", "middle", day.middle),
        ("day_high", "longest", day.longest),
    ):
        w.value(
            name, f"Time in the shop, {label} of {day.runs} simulated", time, HOURS, source=SIMULATED,
            main=name == "day_middle", digits=3,
        )
    for (key, name, _, _), busy, wait in zip(_STATIONS, day.busy, day.waits):
        w.value(f"busy_{key}", f"{name}: busy", busy * 100, PERCENTAGE, source=SIMULATED, digits=2)
        w.value(f"wait_{key}", f"{name}: wait of one weld", wait, MINUTES, source=SIMULATED, digits=2)
    w.words("narrowest", "Station that holds up the day most", _STATIONS[day.narrowest][1], source=SIMULATED, main=True)
    return day


MOST_DRAWN = 400
"""Bars on the drawing of the day; a fuller day stands in its table alone."""


def _timetable(w: Working, given: Mapping[str, Any], day: Day) -> Plot:
    """Which weld is where and when, in the day of middle length: a line for each place, and a table with a row for
    each weld.
    """
    counts = [given[places] for _, _, places, _ in _STATIONS]
    lines, rooms = sum(counts), []
    for number, (_, name, _, _) in enumerate(_STATIONS):
        above = sum(counts[:number])
        last = above + counts[number]
        rooms.append(
            (
                name, lines - above,
                f"{name}: line {lines - above}" if counts[
                    number
                ] == 1 else f"{name}: lines {lines - above} to {lines - last + 1}",
            )
        )
    shapes: list[Curve] = []
    if len(day.visits) <= MOST_DRAWN:
        named: set[int] = set()
        for visit in day.visits:
            name, top, label = rooms[visit.station]
            line = top - visit.place
            low, high = line - 0.4, line + 0.4
            corners = ((visit.start, low), (visit.done, low), (visit.done, high), (visit.start, high))
            looks = ("waste", "plate", "weld", "backing", "tool")
            shapes.append(Curve(corners, () if visit.station in named else (label,), "edge", looks[visit.station]))
            named.add(visit.station)
    at: dict[int, list[float]] = {}
    for visit in day.visits:
        at.setdefault(visit.weld, [0.0] * 2 * len(_STATIONS))[
            2 * visit.station:2 * visit.station + 2
        ] = visit.start, visit.done
    columns = [Column("Weld", NUMBER), Column("Trainee", NUMBER)]
    for _, name, _, _ in _STATIONS:
        columns += [Column(f"{name}: from", MINUTES), Column("to", MINUTES)]
    rows = tuple(
        (float(weld + 1), float(weld % given["trainees"] + 1), *(60.0 * round(time / 60) for time in times)) for weld,
        times in sorted(at.items())
    )
    full = "" if shapes else " The day is too full to draw; the table below has every weld."
    return Plot(
        "timetable", f"The day as simulated, seed {given['seed']}: which places are in use when",
        w.phrase(
            "A line for each place, from top to bottom: " + "; ".join(label for _, _, label in rooms)
            + ". Each box is one weld. The last leaves after {day_middle}." + full
        ),
        Axis("time from the start of the day", HOURS, 0.0, 1.02 * day.middle), Axis("line", NUMBER, 0.0, lines + 1.0),
        tuple(shapes), Table(tuple(columns), rows),
        saves_table=True,
    )


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


def _check_test_plate(w: Working, given: Mapping[str, Any]) -> None:
    """Whether what is planned is a test plate: its thickness, its joint, its length and width for the coupons, its
    backing.
    """
    judge_joint(w, 2 * given["bevel_angle"], given["root_opening"])
    judge_cap(w, given["cap_height"])
    _check_coupons(w, given)
    _check_joint_width(w, given)
    judge_backing_thickness(w, given["backing_thickness"])


def _check_coupons(w: Working, given: Mapping[str, Any]) -> None:
    """The plate long enough for the coupons of a plate test, and as many coupons as the structural code asks for."""
    source, thickness = KIND_SOURCE["aws"], given["thickness"]
    if is_thinner_than_table(thickness):
        text = (
            "The structural code's table as we hold it has no test plate as thin as {thickness}. Ask which test the "
            "class takes."
        )
        w.not_known("thin-plate", text, source=source)
    usual = len(coupon_kinds("aws", thickness))
    if given["coupons"] < usual:
        w.incomplete(
            "coupons", f"A plate test takes {usual} bend specimens from each weld. Fewer are not a whole test.",
            source=source,
        )
    else:
        w.ok(
            "coupons", f"The number of bend specimens from each weld, {given['coupons']}, is not under the {usual} of "
            "a plate test.", source=source,
        )
    laid = COUPON_LAYOUT.answer({"thickness": _exact(thickness), "number": str(usual), "plate_length": "60 in"})
    w.known["coupons_need"] = Amount(laid["needed"].amount, LENGTH, as_written=True)
    if given["plate_length"] < laid["needed"].amount:
        w.stop(
            "plate-length",
            "Plates {plate_length} long are too short: the specimens with discards and saw cuts need {coupons_need}.",
            source=source,
        )
    else:
        w.ok(
            "plate-length",
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


def _check_rods(w: Working, given: Mapping[str, Any]) -> None:
    """Each rod against the largest for the positions of the tests."""
    positions = [position for position, count in given["tests"] if count]
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


def _check_guesses(w: Working, given: Mapping[str, Any], row: Any) -> None:
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
    if given["speed"] is not None and not row.speed.low <= given["speed"] <= row.speed.high:
        w.caution(
            "speed",
            f"{{speed}} lies outside the band for this plate, {row.speed.wording}. Check it on the tip chart.",
            source=TABLE,
        )


def _say_what_is_left_out(w: Working, day: Day) -> None:
    text = (
        f"The {_STATIONS[day.narrowest][1].lower()} are busy most. The day leaves out breaks, breakdowns and waiting "
        f"for an instructor; "
        "every weld is cut, fitted, welded, sawn and bent in that order, first come first served."
    )
    w.note("day", text, source=SIMULATED)
    w.warn(
        "Wear gloves and lift plates and bars with your legs; use two people or a hoist for what is heavy or long. "
        "Edges are sharp and may be hot."
    )
    w.warn(
        "Chain cylinders upright, keep valve caps on while they move, keep oxygen away from fuel and from oil. A "
        "qualified person builds the manifold.",
    )
    w.warn(
        "A plan is no permit. The hot work permit, ventilation, the fire watch and the WPS come first, whatever the "
        "timetable says.",
    )


# --- the form -------------------------------------------------------------------------

_POSITIONS = tuple(Option(name, name) for name in ("1G", "2G", "3G", "4G"))
# Named without the unit, so that a row of the list means the same in either system.
_SIZES = tuple(Option(each.value.removesuffix(" in"), each.label, (each.value,)) for each in SIZES)
_BAND_DEFAULT = "\n".join(f"{each.key} | {each.below} % | {each.above} %" for each in UNCERTAIN)


def _minutes(name: str, label: str, default: str, help_text: str) -> Quantity:
    return Quantity(name, label, MINUTES, default, "0.5 min", "480 min", help_text)


def _places(name: str, label: str, default: str) -> Whole:
    return Whole(name, label, default, 1, 60, "How many can be used at once.")


CLASS_PLAN = Calculator(
    id="class-plan",
    title="A class planned",
    question="What steel, rods, gas, time and money do the tests of a class take, and how sure is that?",
    page="planning.md",
    work=work_class_plan,
    main=("trainees", "tests", "thickness"),
    inputs=(
        Whole("trainees", "Trainees", "12", 1, 100, "Those who take the test.", "n"),
        Rows(
            "tests", "Tests of each trainee",
            (Choice("position", "Position", _POSITIONS, "3G", "Of the test weld."), Whole(
                "count", "Welds", "1", 0, 20, "In this position.",
            )),
            "3G | 1\n4G | 1", "One row for each position.", "Position", most=4, takes="tests_of_each",
        ),
        Quantity(
            "retest", "Expected retest share", PERCENTAGE, "20 %", "0 %", "100 %",
            "Welds made again, of all first welds.", "r", common=("10 %", "20 %", "30 %"),
        ),
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/4 in", "1 in", "Of the test plates.", "t",
            common=("3/8 in", "1/2 in", "1 in"),
        ),
        Quantity("plate_length", "Plate length, along the weld", LENGTH, "7 in", "2 in", "60 in", "", "L"),
        Quantity(
            "plate_width", "Width of one plate", LENGTH, "3-1/4 in", "1 in", "24 in",
            "As cut from the bar, before the bevel. Two plates make a weld.", "b", takes="groove.plate_width",
        ),
        Quantity("bevel_angle", "Bevel angle, each plate", ANGLE, "22.5 deg", "0 deg", "45 deg", "From square.", "β"),
        Quantity("root_opening", "Root opening", LENGTH, "1/4 in", "1/16 in", "1 in", "At the backing.", "R"),
        Quantity("cap_height", "Height of the reinforcement", LENGTH, "1/16 in", "0 in", "1/4 in", "", "h"),
        Quantity("backing_width", "Width of the backing bar", LENGTH, "1 in", "1/2 in", "6 in", "", "b_b"),
        BACKING_BAR,
        Quantity(
            "run_off", "Run-off at each end of the backing", LENGTH, "1 in", "0 in", "6 in",
            "How far the bar runs past the plates.", "o",
        ),
        Quantity("kerf", "Kerf", LENGTH, "1/16 in", "1/64 in", "1/2 in", "Width of one cut.", "k"),
        Rows(
            "rods", "Rods used",
            (
                Choice("electrode", "Class", ELECTRODES, "E7018", "Printed on the rod."),
                Choice("diameter", "Core diameter", _SIZES, "1/8", "The bare wire."),
                Quantity(
                    "share", "Share of the weld metal", PERCENTAGE, "100 %", "0 %", "100 %", "Together, 100 %.",
                ),
            ),
            "E7018 | 3/32 | 30 %\nE7018 | 1/8 | 70 %", "A row for each class and size.", "Rod", most=4, takes="rods_used",
        ),
        Quantity("rod_length", "Rod length", LENGTH, "14 in", "9 in", "24 in", "A new rod.", "ℓ"),
        Quantity("stub", "Stub", LENGTH, "2 in", "0 in", "4 in", "What is thrown away.", "s"),
        Quantity("burn_time", "Arc time of one rod", SECONDS, "55 s", "10 s", "600 s", "Time a few.", "T_r"),
        Quantity(
            "factor", "Operating factor", PERCENTAGE, "25 %", "5 %", "80 %",
            "Part of the time in the booth that the arc burns.", "f", common=("15 %", "25 %", "35 %"),
        ),
        Quantity(
            "speed", "Cutting speed", TRAVEL_SPEED, "", "2 in/min", "60 in/min",
            "From the tip chart. Blank: the middle of our band.", "v",
        ),
        Quantity(
            "start_time", "Time to start a cut", SECONDS, "20 s", "0 s", "600 s", "Heating the edge until it burns.",
            "T_s",
        ),
        Quantity(
            "oxygen_flow", "Oxygen flow of a torch", FLOW, "90 ft3/h", "10 ft3/h", "500 ft3/h",
            "While it cuts. Our band is 50 to 130 ft³/h (1.4 to 3.7 m³/h).", "q_O",
        ),
        Quantity(
            "fuel_flow", "Acetylene flow of a torch", FLOW, "11.5 ft3/h", "1 ft3/h", "100 ft3/h",
            "Our band is 7 to 16 ft³/h (0.2 to 0.45 m³/h).", "q_F",
        ),
        Quantity(
            "oxygen_cylinder", "Oxygen in a cylinder", GAS_VOLUME, "250 ft3", "20 ft3", "2000 ft3",
            "Printed on its tag.", "V_1",
        ),
        Quantity(
            "acetylene_cylinder", "Acetylene in a cylinder", GAS_VOLUME, "145 ft3", "10 ft3", "1000 ft3",
            "Printed on its tag.", "V_2",
        ),
        _minutes("fit_time", "Fit-up and tacking of one weld", "15 min", "Cleaning included."),
        _minutes(
            "coupon_time", "Sawing and grinding the specimens of one weld", "25 min", "Backing removed, edges rounded.",
        ),
        _minutes("bend_time", "Bending and judging one specimen", "5 min", "With the record."),
        Whole("coupons", "Bend specimens from one weld", "2", 0, 8, "Two on most plate tests."),
        _places("torches", "Torches", "2"), _places("tables", "Fit-up tables", "4"), _places("booths", "Booths", "6"),
        _places("grinders", "Saws and grinders", "3"), _places("jigs", "Bending jigs", "1"),
        Whole("seed", "Seed of the simulated days", "1", 0, 9999, "Another number gives other days of the same kind."),
        Rows(
            "bands", "Bands",
            (
                Choice(
                    "input", "Input", tuple(Option(each.key, each.label) for each in UNCERTAIN), "retest",
                    "What is uncertain.",
                ),
                Quantity("below", "May lie below by", PERCENTAGE, "0 %", "0 %", "95 %", "Of the likely figure."),
                Quantity("above", "May lie above by", PERCENTAGE, "0 %", "0 %", "300 %", "Of the likely figure."),
            ),
            _BAND_DEFAULT,
            "How far each likely figure may be off. Ours are guesses of common practice: enter your shop's own.",
            "Band", fewest=0, most=len(UNCERTAIN),
        ),
        Choice(
            "drive", "Show what moves", tuple(Option(each.key, each.label) for each in (*ESTIMATES, COST)), "hands_on",
            "For the bar chart.",
        ),
        Quantity("steel_price", "Price of steel", PRICE_PER_MASS, "", "0 per lb", "1000 per lb", "In your own money."),
        Quantity("rods_price", "Price of rods", PRICE_PER_MASS, "", "0 per lb", "1000 per lb", "In your own money."),
        Quantity("oxygen_price", "Price of an oxygen cylinder", NUMBER, "", "0", "100000", "Filled."),
        Quantity("acetylene_price", "Price of an acetylene cylinder", NUMBER, "", "0", "100000", "Filled."),
        Quantity(
            "hour_price", "Price of an hour of work", PRICE_PER_HOUR, "", "0 per h", "10000 per h",
            "In your own money.",
        ),
    ),
)
