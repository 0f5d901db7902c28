"""A class's tests planned: who is where and when, what to order, and how sure that is.

Stage: before the class. What the tests take is worked out in steps (`class_estimate`) and again with each uncertain
input at both ends of its band (`bands`); the timetable is `timetable`, its words and charts `class_day`; the order
`orders`; what speaks against the plan `class_checks`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from calc.core.declare import (
    Calculator,
    Choice,
    Clock,
    InputError,
    Option,
    Quantity,
    Replaced,
    Rows,
    Whole,
    Words,
    Working,
)
from calc.core.sources import ENTERED, Citation, Standing
from calc.core.units import (
    ANGLE,
    DISTANCE,
    FLOW,
    GAS_VOLUME,
    LENGTH,
    MASS,
    NUMBER,
    PERCENTAGE,
    SYSTEMS,
    TRAVEL_SPEED,
    Number,
    counted,
    show,
)
from calc.later import Module
from calc.planning.bands import Band, Model, Swing, banded, swings, tornado
from calc.planning.class_estimate import (
    COUPONS,
    FACTOR_HIGH,
    HOURS,
    LABELS,
    MINUTES,
    OPERATING,
    PRICE_PER_HOUR,
    PRICE_PER_MASS,
    SECONDS,
    SPREAD,
    UNCERTAIN,
    COST,
    ESTIMATES,
    Estimate,
    estimate,
    up,
)
from calc.planning.cut_list import Planner, best_known
from calc.planning.roster import POSITIONS, ROSTER, USUAL, Roster, read_roster
from calc.stages.current import ELECTRODES, SIZES
from calc.stages.cutting import row_for
from calc.stages.fitup import BACKING_BAR
from calc.stages.joint import require_backing_reach

class_checks, class_day = Module("calc.planning.class_checks"), Module("calc.planning.class_day")
orders, timetable = Module("calc.planning.orders"), Module("calc.planning.timetable")

FACTS = (OPERATING, COUPONS, FACTOR_HIGH)
SCHEDULED = Citation(
    None, "Timetable by list scheduling and local search; bound by the work of each station and trainee",
    Standing.WORKED_OUT, "No breakdowns, no retests, no waiting for an instructor.",
)
_SLOW_AND_QUICK = 2
"""Rankings that are tried for the days at the ends of the bands."""
_FIRST = ("narrowest", "steel_mass", "cost")
"""The figures in sight beside those of the headline; what is ordered stands in the order list."""


# --- what is asked -------------------------------------------------------------------


@dataclass(frozen=True)
class Outline:
    """What a form asks for, worked out: its inputs, roster, likely figures, their bands and swings, the order, and the
    shop for a timetable where the day has an end.
    """

    given: dict[str, Any]
    roster: Roster
    figures: dict[str, Number]
    ranges: dict[str, Band]
    found: dict[str, list[Swing]]
    order: orders.Order
    shop: timetable.Shop | None

    def shop_at(self, end: str) -> timetable.Shop | None:
        """The shop with the time of each step at an end of its band: low or high."""
        return class_day.shop_of(self.given, self.roster, lambda key: getattr(self.ranges[key], end))


def outlined(values: Mapping[str, Any]) -> Outline | None:
    """What these inputs ask for; None where the roster is empty. Raises `InputError` for inputs that cannot be."""
    require_backing_reach(values["backing_width"], values["root_opening"])
    shares = sum(share for *_, share in values["rods"])
    if shares != 100:
        raise InputError(
            "rods", "Rods used", f"the shares add up to {show(shares, PERCENTAGE, 'us')}; they must make 100 %",
        )
    asks_usual = any(tests == USUAL for _, tests, *_ in values["roster"])
    if asks_usual and not sum(count for _, count in values["tests"]):
        raise InputError("tests", "Tests of the class", "there is no test for those whose row says: as the class")
    roster = read_roster(values["roster"], values["tests"], values["thickness"])
    bands = _bands(values["bands"])
    class_day.hours_of(values)
    if not roster.entries:
        return None
    given = {**values, "groups": [(each, roster.first(each), _usual_speed(each)) for each in roster.thicknesses]}
    model = _quick_model(given)
    found = swings(model, bands)
    ranges, figures = banded(model, bands, found), dict(model({name: Fraction(1) for name in bands}))
    order = orders.order_list(given, figures, ranges)
    return Outline(
        given, roster, figures, ranges, found, order, class_day.shop_of(given, roster, figures.__getitem__),
    )


def _usual_speed(thickness: Fraction) -> Fraction:
    row = row_for(thickness)
    assert row is not None, "the range of the field is the range of the table"
    return (row.speed.low + row.speed.high) / 2


def _bands(rows: tuple[tuple[str, Fraction, Fraction], ...]) -> dict[str, Band]:
    """The factor band of every uncertain input; one without a row is taken as certain."""
    keys = [key for key, *_ in rows]
    for key in keys:
        if keys.count(key) > 1:
            raise InputError("bands", "Bands", f"{LABELS[key]} stands twice; give each input one row")
    given = {key: Band(1 - below / 100, Fraction(1), 1 + above / 100) for key, below, above in rows}
    return {each.key: given.get(each.key, Band(Fraction(1), Fraction(1), Fraction(1))) for each in UNCERTAIN}


def _quick_model(given: Mapping[str, Any]) -> Model:
    """The estimate as plain floats on a sheet nobody reads: it is worked out some fifty times for the bands."""
    plain = {name: float(value) if isinstance(value, Fraction) else value for name, value in given.items()}
    plain["groups"] = [(float(thickness), count, float(speed)) for thickness, count, speed in given["groups"]]
    return lambda x: estimate(Working(), plain, {name: float(factor) for name, factor in x.items()})


# --- the answer --------------------------------------------------------------------


def work_class_plan(w: Working, **values: Any) -> None:
    """What the tests of a class take, what to order, and who is where and when.

    Welds N = n (1 + r), rounded up for each thickness: n planned by the roster, r retest share; plates 2 N. Weld metal
    N ρ A L and rods by P = W / E with the stub taken off; oxygen the larger of flow times time and what the kerfs
    burn; acetylene cylinders by content and by one tenth an hour. Each estimate is worked out again with every
    uncertain input at both ends of its band; swings are added as the root of their squares. The timetable is made by
    list scheduling; no timetable ends before the bound.

    The plates, the joint and the rods are judged too: a plan for a plate that is no test plate is no plan. Valid for 1
    to 240 planned tests. Raises `InputError` for shares that do not make 100 %, no test at all, an input with two
    bands, hours that cannot be, and a backing that does not reach under both plates. Source: as cited beside each
    figure.

    24 planned welds, 20 % retests: 28.8, so 29 welds and 58 plates.

    >>> result = CLASS_PLAN.answer()
    >>> int(result["welds"].amount), int(result["plates"].amount)
    (29, 58)
    """
    outline = outlined(values)
    if outline is None:
        _nobody(w)
        return
    _write(w, outline, *plan_of(outline))


def plan_of(outline: Outline) -> tuple[timetable.Timetable | None, str]:
    """The best timetable that is known; without one, what stands in its way."""
    if outline.shop is None:
        return None, ""
    try:
        return best_known(outline.shop) or timetable.first_plan(outline.shop), ""
    except timetable.TooLong as trouble:
        return None, class_day.too_long(trouble)


def _nobody(w: Working) -> None:
    w.value("welds", "Test welds, retests included", 0, NUMBER, source=ENTERED, symbol="N", main=True)
    w.incomplete(
        "roster", "Nobody is on the roster. Add a row for each trainee, or one for all who take the same tests.",
        source=ENTERED,
    )
    w.say("Nobody is on the roster yet, so there is nothing to plan.")


def _write(w: Working, outline: Outline, plan: timetable.Timetable | None, trouble: str = "") -> None:
    given, roster = outline.given, outline.roster
    likely = {each.key: Fraction(1) for each in UNCERTAIN}
    w.value("trainees", "Trainees", len(roster.names), NUMBER, source=ENTERED)
    w.value("first_tests", "Test welds on the roster", len(roster.entries), NUMBER, source=ENTERED)
    figures = estimate(w, given, likely)
    shown = [each for each in (*ESTIMATES, COST) if each.key in figures]
    for each in shown:
        _write_band(w, each, outline.ranges[each.key], outline.found[each.key])
    for number, position in enumerate(roster.positions, 1):
        count = sum(entry.position == position for entry in roster.entries)
        w.value(f"position_{number}", f"Planned tests in {position}", count, NUMBER, source=ENTERED)
    for listing in orders.listings(outline.order):
        w.tabulate(listing)
    roster_words = (
        f"{counted(len(roster.entries), 'test weld')} of {counted(len(roster.names), 'trainee')}"
    )
    order = _order_words(outline.order)
    if plan is None:
        w.say(f"{roster_words}, without a timetable. {order}")
    else:
        _write_timetable(w, outline, plan)
        w.say(
            f"{roster_words}: done at {{end}}; no timetable ends before {{bound}}. {order}"
        )
    if given["day_end"] is None:
        w.incomplete("day", "The day has no end, so there is no timetable. Say when it ends.", source=ENTERED)
    elif plan is None:
        w.stop("day", f"There is no timetable. {trouble}.", source=SCHEDULED)
    _check_order(w, outline)
    class_checks.judge_class(w, given, roster)
    _say_what_is_left_out(w, outline, plan)
    w.values[:] = [replace(value, main=value.name in _FIRST) for value in w.values]
    chosen = next((each for each in shown if each.key == given["drive"]), shown[-1])
    w.draw(tornado(
        "tornado", chosen.label.lower(), outline.found[chosen.key], float(figures[chosen.key]), LABELS, chosen.kind,
    ))


def _order_words(order: orders.Order) -> str:
    """What is ordered, in one sentence: the same counts as in the order list."""
    plates = sum(bar.pieces for bar in order.bars[:-1])
    oxygen, acetylene = (gas.cylinders for gas in order.gases)
    return (
        f"{'Safe' if order.safe else 'Likely'} order with retests: {plates} plates, "
        f"{counted(order.bars[-1].pieces, 'backing bar')}, {counted(sum(each.rods for each in order.rods), 'rod')}, "
        f"{oxygen} oxygen and {acetylene} acetylene cylinders."
    )


def _write_band(w: Working, each: Estimate, band: Band, found: list[Swing]) -> None:
    low, high = (math.floor(band.low), up(band.high)) if each.whole else (band.low, band.high)
    w.value(f"{each.key}_low", f"{each.label}, low", low, each.kind, source=SPREAD, digits=each.digits)
    w.value(f"{each.key}_high", f"{each.label}, high", high, each.kind, source=SPREAD, digits=each.digits)
    first = next((swing for swing in found if swing.width > 0), None)
    driver = LABELS[first.name].lower() if first else "nothing that has a band"
    w.words(f"{each.key}_driver", f"{each.label}: moved most by", driver, source=SPREAD)
    w.words(
        f"{each.key}_band", f"{each.label}: low, likely, high",
        f"{_three(each, (low, band.likely, high))}; moved most by {driver}", source=SPREAD,
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


def _write_timetable(w: Working, outline: Outline, plan: timetable.Timetable) -> None:
    days, roster = plan.days, outline.roster
    w.words("end", "Last plate done", class_day.clock(plan.end, days), source=SCHEDULED, main=True)
    w.words("bound", "No timetable ends before", class_day.clock(plan.bound.end, days), source=SCHEDULED, main=True)
    w.value("days", "Days", days, NUMBER, source=SCHEDULED)
    w.value("day_middle", "Hours in the shop, breaks left out", 60 * plan.work, HOURS, source=SCHEDULED, digits=3)
    for name, words, end in (("day_low", "low", "low"), ("day_high", "high", "high")):
        hours = _hours_at(outline, end)
        if hours is not None:
            w.value(
                name, f"Hours in the shop with each time at the {words} end of its band", hours, HOURS,
                source=SCHEDULED, digits=3,
            )
    busy = [plan.busy(number) for number in range(len(class_day.ROOMS))]
    for room, share in zip(class_day.ROOMS, busy):
        w.value(f"busy_{room.key}", f"{room.all}: busy", share * 100, PERCENTAGE, source=SCHEDULED, digits=2)
    narrowest = class_day.ROOMS[max(range(len(busy)), key=busy.__getitem__)]
    w.words("narrowest", "Station that is busy most", narrowest.all, source=SCHEDULED, main=True)
    why = class_day.why(plan, roster)
    if plan.proven:
        text = f"No timetable ends earlier than this one: {why}."
    else:
        text = f"No timetable ends before {{bound}}: {why}. This one ends at {{end}}; the page can look for a better one."
    w.note("bound", text, source=SCHEDULED)
    words = w.phrase("The last plate is done at {end}.")
    w.draw(class_day.stations_drawing(plan, words))
    w.draw(class_day.chart(plan, roster, w.phrase(
        "A line for each place, a box for each plate with the trainee and the test. The last is done at {end}.",
    )))


def _hours_at(outline: Outline, end: str) -> int | None:
    """Work hours of the whole class, in s, with each time at an end of its band; None where no day holds it."""
    shop = outline.shop_at(end)
    assert shop
    try:
        return 60 * timetable.first_plan(shop, _SLOW_AND_QUICK).work
    except timetable.TooLong:
        return None


def _check_order(w: Working, outline: Outline) -> None:
    short = [each for each in outline.order.bars if each.bars is None]
    if short:
        w.stop(
            "bar-length", f"A piece for the {listed_uses(short)} is longer than a bar as sold. No bar of that length "
            "can give it: a shorter piece or a longer bar.", source=ENTERED,
        )


def listed_uses(bars: list[Any]) -> str:
    """What bars are for, each once."""
    return " and the ".join(dict.fromkeys(each.use for each in bars))


def _say_what_is_left_out(w: Working, outline: Outline, plan: timetable.Timetable | None) -> None:
    more = int(w.known["welds"].amount) - len(outline.roster.entries)
    if more > 0:
        each = outline.figures["booth_time"] / outline.figures["welds"]
        w.note(
            "retests", f"{counted(more, 'more weld')} ordered for as retests. Retests stand in no timetable, since nobody "
            f"knows yet whose they are: leave about {class_day.span(up(more * float(each) / 60))} of booth time.",
            source=ENTERED,
        )
    if plan:
        w.note(
            "day", "Every plate is cut, fitted, welded, inspected, sawn and bent in that order. Nothing runs in a break; "
            "a weld under way pauses between two passes and ends on its day. The times are likely ones, in whole "
            "minutes; breakdowns and waiting for an instructor are left out.", source=SCHEDULED,
        )
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


# --- the search ------------------------------------------------------------------------


def _shop(**values: Any) -> timetable.Shop:
    """The shop that a form asks a timetable for. Raises `InputError` where there is none to make."""
    outline = outlined(values)
    if outline is None:
        raise InputError("roster", ROSTER.label, "nobody is on it yet")
    if outline.shop is None:
        raise InputError("day_end", "End of a day", "a timetable needs it")
    plan, trouble = plan_of(outline)
    if plan is None:
        raise InputError("day_end", "End of a day", trouble)
    return outline.shop


def _write_plan(w: Working, shop: timetable.Shop, plan: timetable.Timetable, values: Mapping[str, Any]) -> None:
    outline = outlined(values)
    assert outline
    _write(w, outline, plan)


# --- the form -------------------------------------------------------------------------

_POSITIONS = tuple(Option(name, name) for name in POSITIONS)
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
    question="Who is where, and what do I order?",
    page="planning.md",
    work=work_class_plan,
    main=("roster", "day_start", "day_end"),
    replaced=(
        Replaced(
            "trainees", "Trainees", "roster",
            lambda text: f"1-{text.strip()} | usual |  | 1" if text.strip().isdecimal() else f"1 | {text} trainees",
            "They are on the roster now, by number, each with the tests of the class.",
        ),
    ),
    inputs=(
        ROSTER,
        Clock("day_start", "Start of a day", "07:00", "When the first torch is lit."),
        Clock("day_end", "End of a day", "15:30", "Nothing runs past it.", may_be_blank=True),
        Rows(
            "breaks", "Breaks",
            (Clock("start", "From", "12:00", "Begins."), Clock("end", "To", "12:30", "Ends.")),
            "09:30 | 09:45\n12:00 | 12:30",
            "Nothing runs in a break. A weld under way pauses between two passes.", "Break", fewest=0, most=6,
        ),
        Clock(
            "inspector_start", "Inspector from", "08:00", "Blank: from the start of the day.", may_be_blank=True,
        ),
        Clock("inspector_end", "Inspector until", "15:30", "Blank: to the end of the day.", may_be_blank=True),
        _places("torches", "Torches", "2"), _places("tables", "Fit-up tables", "4"), _places("booths", "Booths", "6"),
        _places("grinders", "Saws and grinders", "3"), _places("jigs", "Bending jigs", "1"),
        Choice(
            "quantity", "Order", (Option("likely", "Likely quantity"), Option("safe", "Safe quantity")), "likely",
            "Safe: the upper end of the band of each estimate.",
        ),
        Rows(
            "tests", "Tests of the class",
            (Choice("position", "Position", _POSITIONS, "3G", "Of the test weld."), Whole(
                "count", "Welds", "1", 0, 20, "In this position.",
            )),
            "3G | 1\n4G | 1", "For those whose row of the roster says: as the class. One row for each position.",
            "Position", most=4, takes="tests_of_each",
        ),
        Quantity(
            "retest", "Expected retest share", PERCENTAGE, "20 %", "0 %", "100 %",
            "Ordered for on top of the roster; nobody knows yet whose they are.", "r", common=("10 %", "20 %", "30 %"),
        ),
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/4 in", "1 in",
            "Of those whose row of the roster names none.", "t",
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
        _minutes("visual_time", "Visual inspection of one weld", "5 min", "Before it goes to the saw."),
        Whole("passes", "Passes of one weld", "6", 1, 60, "A weld may pause between two.", takes="passes.passes"),
        Whole("inspectors", "Inspectors", "1", 1, 20, "One is at the jig while specimens are bent and judged."),
        Words("steel", "Steel, standard and grade", "", "For the order. Blank: as the WPS says.", 60),
        Quantity("bar_length", "Length of a flat bar as sold", DISTANCE, "20 ft", "1 ft", "60 ft", "Ask your dealer."),
        Quantity("package", "Weight of a package of rods", MASS, "10 lb", "1 lb", "100 lb", "Printed on it."),
        Whole("seed", "Seed of the search", "1", 0, 9999, "Another number looks for timetables in another order."),
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


PLANNER = Planner(
    CLASS_PLAN, _shop, lambda shop: timetable.first_plan(shop), lambda shop: timetable.better_plans(shop), _write_plan,
)
"""The timetable of a class, for the search that goes on in slices."""
