"""What the tests of a class take, worked out once, in steps: plates, backing, weight, rods, gas, time and money.

Stage: before the class. The weld metal and the rods are the mass balance of `passes`; the oxygen is held against the
chemistry of `cutting`, the acetylene against the drawing rules of `safety`. The same steps are worked out again with
each uncertain input at both ends of its band (`bands`). Plates of different thicknesses are worked out one after the
other; what the first of them comes to keeps the plain names.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calc.core.declare import InputError, Working
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
    TIME,
    TRAVEL_SPEED,
    Kind,
    Number,
    Unit,
    parse,
    show_as_written,
)
from calc.stages.cutting import BURNING, FLOWS, REFERENCES, TABLE, oxygen_per_iron
from calc.stages.groove import CAP_SHAPE, STEEL_DENSITY, cap_area
from calc.stages.rods import ROD_MASS, core_mass, rod_mass, rod_row
from calc.stages.safety import DRAW_RULES

HOURS = TIME.shown_in(us=HOUR, si=HOUR)
MINUTES = TIME.shown_in(us=MINUTE, si=MINUTE)
SECONDS = TIME.shown_in(us=SECOND, si=SECOND)
PRICE_PER_MASS = Kind("price per mass", "1/kg", Unit("per lb", 1 / Fraction("0.45359237")), Unit("per kg", Fraction(1)))
PER_HOUR = Unit("per h", Fraction(1, 3600))
PRICE_PER_HOUR = Kind("price per hour", "1/s", PER_HOUR, PER_HOUR)

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
LABELS = {each.key: each.label for each in UNCERTAIN}


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


def estimate(w: Working, given: Mapping[str, Any], x: Mapping[str, Number]) -> dict[str, Number]:
    """Work the plan out on a sheet, each uncertain input times its factor in `x`; returns the figures that carry
    bands. `given` holds the inputs, and `groups`: for each thickness of plate the welds planned and the usual speed of
    a cut.
    """
    counts, welds = _welds(w, given, x)
    material = _material(w, given, counts, welds)
    rods = _rods(w, given, x, counts)
    gas = _gas(w, given, x, material)
    factor = w.given("factor", "f", min(Fraction(100), given["factor"] * x["factor"]), PERCENTAGE)
    arc = rods["arc"]
    booth = w.let("booth_time", "Time in the booths", "T_booth", HOURS, arc / (factor / 100), source=ENTERED, digits=3)
    minutes = {name: w.given(name, letter, given[name] * x[name], MINUTES) for name, letter in (
        ("fit_time", "T_f"), ("coupon_time", "T_c"), ("bend_time", "T_b"),
    )}
    look = w.given("visual_time", "T_i", given["visual_time"], MINUTES)
    n_bends = w.given("coupons", "n_b", given["coupons"], NUMBER)
    fit, seen, prepare, bend = (
        w.let(name, label, letter, HOURS, welds * each, source=ENTERED, digits=3)
        for name, label, letter, each in (
            ("fit_total", "Fit-up and tacking, all", "T_fit", minutes["fit_time"]),
            ("visual_total", "Visual inspection, all", "T_visual", look),
            ("coupon_total", "Cutting and grinding specimens, all", "T_coupon", minutes["coupon_time"]),
            ("bend_total", "Bending and judging, all", "T_bend", n_bends * minutes["bend_time"]),
        )
    )
    hands = w.let(
        "hands_on", "Work at all stations", "T", HOURS, gas["time"] + fit + booth + seen + prepare + bend,
        source=ENTERED, digits=3,
    )
    figures = {
        "welds": welds.amount, "steel_mass": material["steel"].amount, "weld_metal": rods["metal"].amount,
        "rods": rods["count"], "oxygen": gas["oxygen"].amount, "acetylene": gas["acetylene"].amount,
        "cut_time": gas["time"].amount, "arc_time": arc.amount, "booth_time": booth.amount, "hands_on": hands.amount,
        "fit_each": minutes["fit_time"].amount, "visual_each": look.amount,
        "coupon_each": minutes["coupon_time"].amount, "bend_each": minutes["bend_time"].amount * n_bends.amount,
        **{f"rods_{number}": count for number, count in enumerate(rods["counts"], 1)},
    }
    for number, count in enumerate(counts, 1):
        share = rods["metals"][number - 1] / rods["metal"].amount
        figures |= {
            f"welds_{number}": count.amount, f"weld_each_{number}": booth.amount * share / count.amount,
            f"cut_each_{number}": gas["each"][number - 1],
        }
    cost = _cost(w, given, material["steel"], rods["mass"], gas, hands)
    return figures if cost is None else {**figures, "cost": cost}


def up(amount: Number) -> int:
    """The next whole number up. A float is let off its own rounding: 11.000000000000002 is 11.

    >>> up(11.000000000000002), up(Fraction(23, 2))
    (11, 12)
    """
    return math.ceil(amount - 1e-9 * max(1.0, amount) if isinstance(amount, float) else amount)


def of_size(length: Number) -> str:
    """A thickness inside a label, in both systems.

    >>> of_size(parse("3/8 in", LENGTH)).replace("\u00a0", " ")
    '3/8 in (9.525 mm)'
    """
    return f"{show_as_written(length, LENGTH, 'us')} ({show_as_written(length, LENGTH, 'si')})"


@dataclass(frozen=True)
class _Marks:
    """How names, letters and labels of one thickness are told from those of the others: not at all where it is alone,
    and the first keeps the plain name.
    """

    number: int
    of: int
    thickness: Number

    def name(self, plain: str) -> str:
        return plain if self.number == 1 else f"{plain}_t{self.number}"

    def letter(self, plain: str) -> str:
        if self.of == 1:
            return plain
        return f"{plain},t{self.number}" if "_" in plain else f"{plain}_t{self.number}"

    def label(self, plain: str) -> str:
        return plain if self.of == 1 else f"{plain}: plate {of_size(self.thickness)}"


def _marks(given: Mapping[str, Any]) -> list[_Marks]:
    groups = given["groups"]
    return [_Marks(number, len(groups), group[0]) for number, group in enumerate(groups, 1)]


def _welds(w: Working, given: Mapping[str, Any], x: Mapping[str, Number]) -> tuple[list[Symbol], Symbol]:
    """The test welds of each thickness with retests, rounded up, and all of them."""
    retest = w.given("retest", "r", given["retest"] * x["retest"], PERCENTAGE)
    counts = []
    for mark, (_, planned, _) in zip(_marks(given), given["groups"]):
        first = w.given(mark.name("planned"), mark.letter("n"), planned, NUMBER)
        exact = w.let(
            mark.name("welds_exact"), mark.label("Test welds with retests, before rounding up"), mark.letter("N_0"),
            NUMBER, first * (1 + retest / 100), source=ENTERED, answer=False,
        )
        counts.append(Symbol(mark.letter("N"), up(exact.amount), NUMBER))
    label = "Test welds, retests included"
    if len(counts) == 1:
        return counts, w.value("welds", label, counts[0].amount, NUMBER, source=ENTERED, symbol="N", main=True)
    for mark, count in zip(_marks(given), counts):
        w.value(
            f"welds_t{mark.number}", mark.label(label), count.amount, NUMBER, source=ENTERED, symbol=count.name,
        )
    return counts, w.let("welds", label, "N", NUMBER, total(counts), source=ENTERED, main=True)


def _material(
    w: Working, given: Mapping[str, Any], counts: Sequence[Symbol], welds: Symbol,
) -> dict[str, Any]:
    """Plates and backing: how many, how heavy; the length to cut, the metal in the kerfs, the cuts to start."""
    w.let("plates", "Test plates", "N_p", NUMBER, 2 * welds, source=ENTERED, main=True)
    w.value("backing_bars", "Backing bars", welds.amount, NUMBER, source=ENTERED, main=True)
    rho = w.fact(STEEL_DENSITY, "ρ")
    long, wide, back_wide, back_t, over, kerf = (
        w.given(name, letter, given[name], LENGTH) for name, letter in (
            ("plate_length", "L"), ("plate_width", "b"), ("backing_width", "b_b"), ("backing_thickness", "t_b"),
            ("run_off", "o"), ("kerf", "k"),
        )
    )
    beta = w.given("bevel_angle", "β", given["bevel_angle"], ANGLE)
    backing = w.let(
        "backing_length", "One backing bar, run-off at both ends", "L_b", LENGTH, long + 2 * over, source=ENTERED,
        as_fraction=True,
    )
    bar = w.let(
        "backing_mass", "One backing bar, mass", "m_2", MASS, rho * backing * back_wide * back_t,
        source=STEEL_DENSITY.source, digits=3,
    )
    w.let(
        "backing_stock", "Flat bar for the backing, with a kerf each", "S_b", LENGTH, welds * (backing + kerf),
        source=ENTERED, digits=6, as_fraction=True,
    )
    masses, runs, kerfs = [welds * bar], [], []
    for mark, count in zip(_marks(given), counts):
        t = w.given(mark.name("thickness"), mark.letter("t"), mark.thickness, LENGTH)
        w.let(
            mark.name("plate_stock"), mark.label("Flat bar for the plates, with a kerf each"), mark.letter("S_p"),
            LENGTH, 2 * count * (long + kerf), source=ENTERED, digits=6, as_fraction=True,
        )
        plate = w.let(
            mark.name("plate_mass"), mark.label("One plate, mass"), mark.letter("m_1"), MASS, rho * long * wide * t,
            source=STEEL_DENSITY.source, digits=3,
        )
        masses.insert(-1, 2 * count * plate)
        runs.append(w.let(
            mark.name("cut_length"),
            mark.label("Length to cut: every plate off and beveled, every backing bar off"), mark.letter("C"), LENGTH,
            count * (2 * (wide + long) + back_wide), source=ENTERED, digits=4,
        ))
        section = w.let(
            mark.name("kerf_area"), mark.label("Cut faces of one weld"), mark.letter("A_c"), AREA,
            2 * (wide * t + long * t / cos(beta)) + back_wide * back_t, answer=False,
        )
        kerfs.append(rho * kerf * section * count)
    steel = w.let(
        "steel_mass", "Plates and backing, mass to lift", "m", MASS, total(masses), source=STEEL_DENSITY.source,
        digits=3,
    )
    removed = w.let(
        "kerf_mass", "Metal in all kerfs", "m_k", MASS, total(kerfs), source=STEEL_DENSITY.source, digits=3,
    )
    starts = w.let("cuts", "Cuts to start, five for each weld", "n_c", NUMBER, 5 * welds, source=ENTERED)
    return {"steel": steel, "runs": runs, "kerf_mass": removed, "starts": starts, "counts": counts}


def _rods(w: Working, given: Mapping[str, Any], x: Mapping[str, Number], counts: Sequence[Symbol]) -> dict[str, Any]:
    """Weld metal, rods by class and size, their mass, and the arc time."""
    beta, long = (
        Symbol(letter, given[name], kind)
        for name, letter, kind in (("bevel_angle", "β", ANGLE), ("plate_length", "L", LENGTH))
    )
    opening = w.given("root_opening", "R", given["root_opening"] * x["root_opening"], LENGTH)
    cap = w.given("cap_height", "h", given["cap_height"] * x["cap_height"], LENGTH)
    rho = Symbol("ρ", STEEL_DENSITY.amount, STEEL_DENSITY.kind)
    metals = []
    for mark, count in zip(_marks(given), counts):
        t = Symbol(mark.letter("t"), mark.thickness, LENGTH)
        area = w.let(
            mark.name("weld_area"), mark.label("Weld cross-section, reinforcement included"), mark.letter("A"), AREA,
            opening * t + t**2 * tan(beta) + cap_area(opening + 2 * t * tan(beta), cap), source=CAP_SHAPE,
        )
        metals.append(count * rho * area * long)
    metal = w.let(
        "weld_metal", "Weld metal for all welds", "m_w", MASS, total(metals), source=STEEL_DENSITY.source, digits=3,
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
    number_of, masses, times = [], [], []
    for number, (electrode, size, share) in enumerate(given["rods"], 1):
        count, rod = _one_class(w, number, electrode, size, share, metal, whole, stub, rho, x)
        number_of.append(count.amount)
        masses.append(count * rod)
        times.append(count * burn)
    w.value("rods", "Rods in all", sum(number_of), NUMBER, source=ENTERED)
    mass = w.let("rods_mass", "Rods to buy, mass", "m_r", MASS, total(masses), source=ENTERED, digits=3)
    arc = w.let("arc_time", "Arc time", "T_arc", HOURS, total(times), source=ENTERED, digits=3)
    return {
        "metal": metal, "metals": [each.value for each in metals], "count": sum(number_of),
        "counts": number_of, "mass": mass, "arc": arc,
    }


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
        f"rods_{mark}", f"Rods, {name}", up(exact.amount), NUMBER, source=covering_fact.source, symbol=f"N_{mark}",
        main=True,
    ), rod


def total(parts: Sequence[Formula | Symbol]) -> Formula | Symbol:
    """The sum of formulas, as one."""
    found = parts[0]
    for part in parts[1:]:
        found = found + part
    return found


def _gas(
    w: Working, given: Mapping[str, Any], x: Mapping[str, Number], material: Mapping[str, Any],
) -> dict[str, Any]:
    """Time at the torches, oxygen and acetylene, and how many cylinders that is: once for the whole class."""
    own = given["speed"] is not None
    speed_source = ENTERED if own else TABLE
    start = w.given("start_time", "T_s", given["start_time"] * x["start_time"], SECONDS)
    parts, each = [], []
    for mark, run, count, (_, _, usual) in zip(_marks(given), material["runs"], material["counts"], given["groups"]):
        speed = (given["speed"] if own else usual) * x["speed"]
        v = w.given(mark.name("speed"), mark.letter("v"), speed, TRAVEL_SPEED)
        parts.append(run / v)
        each.append(run.amount / (speed * count.amount) + 5 * start.amount)
    cutting = w.let("cutting_time", "Torches cutting", "T_v", HOURS, total(parts), source=speed_source, digits=3)
    heating = w.let(
        "heating_time", "Torches heating the starts", "T_h", HOURS, material["starts"] * start, source=ENTERED, digits=3,
    )
    time = w.let("cut_time", "Time at the torches", "T_cut", HOURS, cutting + heating, source=speed_source, digits=3)
    oxygen_flow = w.given("oxygen_flow", "q_O", given["oxygen_flow"] * x["oxygen_flow"], FLOW)
    fuel_flow = w.given("fuel_flow", "q_F", given["fuel_flow"] * x["fuel_flow"], FLOW)
    through = w.let(
        "oxygen_flowed", "Oxygen by flow and time", "V_q", GAS_VOLUME, oxygen_flow * cutting + fuel_flow * heating,
        source=FLOWS, digits=3, note="A neutral flame takes as much oxygen from the torch as acetylene.",
    )
    per_iron, _ = oxygen_per_iron(w, REFERENCES["70F"])
    least = w.let(
        "oxygen_least", "Minimum oxygen that the kerfs burn", "V_least", GAS_VOLUME, per_iron * material["kerf_mass"],
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
    w.value("oxygen_cylinders", "Oxygen cylinders", up(oxygen.amount / held.amount), NUMBER, source=ENTERED, main=True)
    torches = w.given("torches", "n_T", given["torches"], NUMBER)
    hours = w.given("draw_hours", "T_10", TENTH.hours * 3600, HOURS)
    draw = w.let("draw", "Acetylene drawn with all torches lit", "q", FLOW, torches * fuel_flow, source=FLOWS, digits=3)
    w.let(
        "draw_each", "One cylinder may give, one tenth an hour", "q_1", FLOW, fuel_held / hours, source=TENTH.source,
        digits=3,
    )
    at_once = up(draw.amount / (fuel_held.amount / hours.amount))
    w.value("manifold", "Acetylene cylinders joined, by the draw", at_once, NUMBER, source=TENTH.source)
    by_content = up(acetylene.amount / fuel_held.amount)
    w.value(
        "acetylene_cylinders", "Acetylene cylinders", max(by_content, at_once), NUMBER,
        source=TENTH.source if at_once > by_content else ENTERED, main=True,
    )
    return {
        "time": time, "oxygen": oxygen, "acetylene": acetylene, "each": each,
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
        "cost", "Cost of what you priced, in your money", "C_all", NUMBER, total(parts), source=ENTERED, main=True,
        digits=5,
    ).amount
