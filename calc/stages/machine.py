"""The welding machine: how long it may run, what the cables take away, and how long the arc should be.

Stage: setting the machine. The duty cycle goes by the heating of copper (current
squared times time). The cable drop goes by Ohm's law and the resistance of copper;
wire sizes go by the definition of the American wire gage. The arc figures are trade
rules and one read pair of voltages.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import Amount, Calculator, Choice, InputError, Option, Quantity, Working
from calc.core.formula import PI, Formula, Symbol, as_formula, sqrt
from calc.core.sources import (
    COMMON,
    EN_50525_2_81,
    ENTERED,
    GEOMETRY,
    MACHINERYS_HANDBOOK,
    MICHIGAN_R408,
    NFPA_70,
    OD1651,
    PHYSICS,
    TM_5_3431_217,
    WAC_296_24,
    WAC_296_155,
    Citation,
    Fact,
    Standing,
)
from calc.core.units import (
    AREA,
    CELSIUS,
    CURRENT,
    CURRENT_DENSITY,
    DISTANCE,
    LENGTH,
    NUMBER,
    PERCENTAGE,
    POWER,
    RESISTANCE,
    RESISTIVITY,
    TEMPERATURE,
    TIME,
    TRAVEL_SPEED,
    VOLTAGE,
    WATT,
    Number,
    parse,
    show_as_written,
)
from calc.show import scales
from calc.show.sliders import CURRENT_SET
from calc.stages.current import ELECTRODES, SIZES
from calc.stages.own import VOLTS_BAND, Ends, judge_band, require_order

WATTS = POWER.shown_in(us=WATT, si=WATT)

# --- duty cycle --------------------------------------------------------------

SQUARE_LAW = Citation(
    PHYSICS, "heat in a winding goes by the current squared", Standing.FROM_MEMORY,
    "The maker's plate and manual come first: fans, electronics and a high setting can allow less.",
)
PERIOD = Fact("duty-period", "Period that a duty cycle is counted over", parse("10 min", TIME), TIME, COMMON)
ONE_ROD = Fact("duty-one-rod", "Arc time of one rod, about", parse("1 min", TIME), TIME, COMMON)
FAR_OVER_RATING = Fact("duty-far-over", "Multiple of its rated current that no machine gives", Fraction(2), NUMBER,
    COMMON)
RATED_AIR = Fact(
    "duty-rated-air", "Air temperature that machines are rated at", parse("104 °F", TEMPERATURE), TEMPERATURE,
    Citation(None, "Rating of arc welding machines, 40 °C", Standing.FROM_MEMORY,
        "The machine's plate or manual states it."),
)
DUTY_LAW = Fact(
    "duty-square-law", "Duty cycle at another amperage", None, None, SQUARE_LAW,
    "duty = rated duty × (rated current ÷ current)²",
)

# --- open circuit and leads --------------------------------------------------

_OPEN_CIRCUIT = Citation(WAC_296_24, "296-24-68503(2)", Standing.READ)
OPEN_CIRCUIT_AC = Fact("ocv-ac-manual", "Maximum open-circuit voltage, AC, manual welding", parse("80 V", VOLTAGE),
    VOLTAGE, _OPEN_CIRCUIT)
OPEN_CIRCUIT_DC = Fact("ocv-dc-manual", "Maximum open-circuit voltage, DC, manual welding", parse("100 V", VOLTAGE),
    VOLTAGE, _OPEN_CIRCUIT)
OPEN_CIRCUIT_RIPPLE = Fact(
    "ocv-dc-ripple", "Maximum open-circuit voltage, DC with more than 10 % ripple, manual welding",
    parse("80 V", VOLTAGE), VOLTAGE,
    Citation(MICHIGAN_R408, "R 408.11272", Standing.READ),
)
SPLICE = Fact(
    "cable-splice", "Length next to the holder that must be free of splices", parse("10 ft", DISTANCE), DISTANCE,
    Citation(WAC_296_155, "296-155-405", Standing.READ),
)

# --- copper ------------------------------------------------------------------

_COPPER = Citation(None, "International Annealed Copper Standard, at 20 °C", Standing.FROM_MEMORY)
RESISTIVITY_20 = Fact(
    "copper-resistivity", "Resistivity of annealed copper at 68 °F (20 °C)", Fraction(1, 58) / 10**6, RESISTIVITY,
    _COPPER,
)
TEMPERATURE_COEFFICIENT = Fact(
    "copper-temperature-coefficient", "Rise of copper's resistance for each °C above 20 °C, as a share",
    Fraction("0.00393"), NUMBER, _COPPER,
)
_GAGE = Citation(None, "Definition of the American wire gage", Standing.FROM_MEMORY)
WIRE_GAGE = Fact(
    "wire-gage", "Diameter of an AWG size", None, None, _GAGE, "0.005 in × 92^((36 − n) ÷ 39), where 1/0 is n = 0 and "
    "4/0 is n = −3",
)
CABLE_DUTY = Fact("cable-duty", "Duty cycle above which stick welding by hand does not run for long",
    parse("60 %", PERCENTAGE), PERCENTAGE, COMMON)
_CARRIES_AWG = Citation(
    NFPA_70, "single copper conductors in free air, 90 °C", Standing.FROM_MEMORY,
    "Without a pause. The cable maker's own rating comes first.",
)
_CARRIES_METRIC = Citation(
    EN_50525_2_81, "current at 100 % duty", Standing.FROM_MEMORY, "Without a pause. The cable maker's own rating comes "
    "first.",
)
JACKET = Fact(
    "cable-jacket", "Maximum temperature of the jacket of a welding cable", parse("194 °F", TEMPERATURE), TEMPERATURE,
    Citation(None, "Jackets for 90 °C", Standing.FROM_MEMORY, "The jacket is marked."),
)
WARM_CABLE = Fact("cable-warm", "Temperature over which a cable is too hot to hold and a bad connection shows",
    parse("140 °F", TEMPERATURE), TEMPERATURE, COMMON)
WIDE_DROP = Fact("cable-drop-wide", "Voltage drop that is too much for any arc, whatever you allow",
    parse("10 V", VOLTAGE), VOLTAGE, COMMON)
_METRIC = Citation(None, "Nominal area, as the cable is marked", Standing.COMMON_PRACTICE)

# --- arc length --------------------------------------------------------------

LONGEST_ARC = Fact(
    "arc-longest", "Maximum arc length, in core diameters", Fraction(1), NUMBER,
    Citation(None, "Trade rule", Standing.FROM_MEMORY),
)
LOW_HYDROGEN_ARC = Fact(
    "arc-low-hydrogen", "Arc length to aim for with a low-hydrogen rod, in core diameters", Fraction(1, 2), NUMBER,
    COMMON,
)
_ARC_VOLTS = Citation(OD1651, "Task 1, page 29", Standing.READ, "Heavy-coated electrodes. Only these two ends are "
    "given.")
ARC_VOLTS_SMALL = Fact("arc-volts-small", "Arc voltage of a 3/32 in electrode", parse("20 V", VOLTAGE), VOLTAGE,
    _ARC_VOLTS)
ARC_VOLTS_LARGE = Fact("arc-volts-large", "Arc voltage of a 3/8 in electrode", parse("30 V", VOLTAGE), VOLTAGE,
    _ARC_VOLTS)
SMALL_END, LARGE_END = parse("3/32 in", LENGTH), parse("3/8 in", LENGTH)
"""The core diameters of the two read voltages."""
NO_ARC_LOW = Fact(
    "arc-volts-none-low", "Voltage under which no rod of any size burns", parse("15 V", VOLTAGE), VOLTAGE,
    Citation(OD1651, "Task 1, page 29", Standing.READ, "A bare rod of 1/16 in; covered rods need more."),
)
NO_ARC_HIGH = Fact("arc-volts-none-high", "Voltage over which no arc of a rod burns", parse("40 V", VOLTAGE), VOLTAGE,
    COMMON)
LONG_ARC_VOLTS = Fact("arc-volts-over-line", "Volts over the line at which an arc is too long", parse("5 V", VOLTAGE),
    VOLTAGE, COMMON)
LONG_ARC_VOLTS_CELLULOSIC = Fact(
    "arc-volts-over-line-cellulosic", "Volts over the line at which the arc of a cellulosic rod is too long",
    parse("8 V", VOLTAGE), VOLTAGE, COMMON,
)
LEAST_AMPS = Fact(
    "rod-amps-least", "Amperage under which no rod of any size burns", parse("20 A", CURRENT), CURRENT,
    Citation(MACHINERYS_HANDBOOK, "page 1594, E6013 of 1/16 in", Standing.SECONDARY, "Rebuilt from broken text."),
)
MOST_AMPS = Fact(
    "rod-amps-most", "Amperage over which no rod of any size is meant to run", parse("500 A", CURRENT), CURRENT,
    Citation(TM_5_3431_217, "Table 3, slag coating of 3/8 in", Standing.READ),
)
SLOWEST_BY_HAND = Fact("hand-speed-least", "Usual travel speed by hand, minimum", parse("3 in/min", TRAVEL_SPEED),
    TRAVEL_SPEED, COMMON)
FASTEST_BY_HAND = Fact("hand-speed-most", "Usual travel speed by hand, maximum", parse("15 in/min", TRAVEL_SPEED),
    TRAVEL_SPEED, COMMON)
OUR_LINE = Citation(
    None, "A straight line between the two read ends", Standing.WORKED_OUT,
    "Our reading; the document gives no figure between them.",
)

EVERYDAY = Fact("current-everyday", "Everyday setting of a 1/8 in E7018 in a vertical test", None, None, COMMON,
    "115 to 120 A")

SHOCK = (
    "The holder is live whenever the machine is on. Keep dry, wear dry gloves, and switch off before you touch a lead "
    "or its connection."
)


def work_duty_cycle(
    w: Working, *, rated_current: Fraction, rated_duty: Fraction, amps: Fraction, air: Fraction | None,
) -> None:
    """How long the machine may run at a current before it must cool.

    D = D_r × (I_r / I)²: duty cycle allowed, %, no more than 100 %; I_r and D_r the rated current, A, and its duty
    cycle, %; I the current, A. t_on = t_p × D / 100: arc time in a period t_p of 10 min, s. I_100 = I_r × √(D_r / 100):
    current without a pause, A.

    Valid up to the rated current: over it the figure is told and not known to hold; from twice it a stop.
    Source: heat in a winding goes by the current squared, from memory. The machine's plate and manual come first.

    >>> answer = DUTY_CYCLE.answer(rated_current="200 A", rated_duty="20 %", amps="120 A")
    >>> answer["duty"].text("us")  # by hand: 20 % x (200/120)²
    '55.6\xa0%'
    """
    rated = w.given("rated_current", "I_r", rated_current, CURRENT)
    duty_r = w.given("rated_duty", "D_r", rated_duty, PERCENTAGE)
    current = w.given("amps", "I", amps, CURRENT)
    by_law = w.let(
        "duty_by_law", "Duty cycle by the square law", "D_law", PERCENTAGE, duty_r * (rated / current) ** 2,
        source=SQUARE_LAW, digits=3,
    )
    capped = by_law.amount >= 100
    duty = w.value(
        "duty", "Duty cycle allowed at your amperage", 100 if capped else by_law.amount, PERCENTAGE, source=SQUARE_LAW,
        symbol="D",
        main=True, digits=3,
    )
    period = w.fact(PERIOD, "t_p")
    on = w.let("minutes_on", "Arc time in each period", "t_on", TIME, period * duty / 100, source=SQUARE_LAW, main=True,
        digits=3)
    w.let("minutes_off", "Pause in each period", "t_off", TIME, period - on, source=SQUARE_LAW, main=True, digits=3)
    w.let(
        "steady_current", "Maximum amperage without a pause", "I_100", CURRENT, rated * sqrt(duty_r / 100),
        source=SQUARE_LAW, main=True, digits=3,
    )
    w.draw(scales.duty(w))
    _tell_duty(w, by_law.amount)
    _check_rating(w, rated_current, amps)
    if on.amount < ONE_ROD.amount:
        w.mention("one_rod", ONE_ROD)
        w.caution("one-rod", "{minutes_on} is less than one rod burns, about {one_rod}: the machine stops you in the "
            "middle of a rod.", source=ONE_ROD.source)
    _check_air(w, air)
    w.warn(
        "Leave the fan running through the pause. If the machine shuts off because it is hot, wait; never bridge a "
        "thermal switch or block a vent."
    )
    w.warn(SHOCK)


def _tell_duty(w: Working, by_law: Number) -> None:
    if by_law >= 100:
        w.say("At {amps} the machine may weld without a pause. It may do so up to {steady_current}.")
        if by_law > 100:
            w.note("duty", "The square law gives {duty_by_law}. There is no more than 100 % of the time, so the answer "
                "stops there: no pause is needed.",
                source=SQUARE_LAW,
            )
        else:
            w.note("duty", "{amps} is the maximum amperage that needs no pause.", source=SQUARE_LAW)
    else:
        w.say("At {amps} the duty cycle is {duty}: weld {minutes_on}, then pause {minutes_off}, in each {duty_period}.")
        w.note("duty", "{amps} is more than {steady_current}: after {minutes_on} of arc in a period of {duty_period} "
            "the machine must cool for {minutes_off}.",
            source=SQUARE_LAW,
        )


def _check_rating(w: Working, rated: Fraction, amps: Fraction) -> None:
    w.mention("far_over", FAR_OVER_RATING)
    if amps >= rated * FAR_OVER_RATING.amount:
        w.stop("rated-current", "{amps} is {far_over} times the rated {rated_current} or more: no machine gives that. "
            "Read the rating plate and the dial again.",
            source=FAR_OVER_RATING.source,
        )
    elif amps > rated:
        w.not_known("rated-current", "{amps} is above the rated {rated_current}. The square law gives a figure, but it "
            "does not say whether the machine gives that amperage. Look for another line on the rating plate, or ask "
            "the maker.", source=SQUARE_LAW,
        )
    else:
        w.ok("rated-current", "{amps} is not over the rated {rated_current}.", source=SQUARE_LAW)


def _check_air(w: Working, air: Fraction | None) -> None:
    if air is None:
        return
    w.given("air", "T_air", air, TEMPERATURE)
    w.mention("rated_air", RATED_AIR)
    if air > RATED_AIR.amount:
        w.caution("air", "The air is at {air}, over the {rated_air} that machines are rated at: weld for less time "
            "than the answer allows.", source=RATED_AIR.source)
    else:
        w.ok("air", "The air is at {air}, not over the {rated_air} that machines are rated at.",
            source=RATED_AIR.source)


DUTY_CYCLE = Calculator(
    id="duty-cycle",
    title="Duty cycle",
    question="How long may the machine run at my amperage before it must cool?",
    page="circuit.md",
    work=work_duty_cycle,
    main=("rated_current", "rated_duty", "amps"),
    inputs=(
        Quantity("rated_current", "Rated current", CURRENT, "200 A", "20 A", "2000 A",
            "From the machine's rating plate.", "I_r", common=("160 A", "200 A", "250 A")),
        Quantity(
            "rated_duty", "Duty cycle at the rated current", PERCENTAGE, "20 %", "5 %", "100 %",
            "From the same line of the rating plate.", "D_r", common=("20 %", "35 %", "60 %", "100 %"),
        ),
        Quantity("amps", "Amperage you want", CURRENT, "120 A", "10 A", "2000 A", "What you mean to weld with.", "I",
            common=("90 A", "120 A", "140 A", "200 A"), slide=CURRENT_SET),
        Quantity("air", "Temperature of the air at the machine", TEMPERATURE, "", "-60 °F", "200 °F",
            "On a hot day. Leave blank if it is mild.", "T_air"),
    ),
)


# --- cable drop --------------------------------------------------------------


@dataclass(frozen=True)
class Cable:
    """A copper conductor as it is sold: by wire gage number `gage`, or by a marked area in mm².

    `carries` is the current (A) that it may carry without a pause.
    """

    value: str
    label: str
    carries: int
    gage: int | None = None
    marked: int | None = None

    @property
    def carries_fact(self) -> Fact:
        """What it may carry, as an entry of the register."""
        name = self.value.lower().replace(" ", "-").replace("/", "-")
        source = _CARRIES_METRIC if self.gage is None else _CARRIES_AWG
        return Fact(f"cable-carries-{name}", f"Current without a pause, {self.label}", Fraction(self.carries), CURRENT,
            source)

    @property
    def area(self) -> Number:
        """Copper area in m²."""
        return gage_area(self.gage) if self.gage is not None else Fraction(self.marked) / 10**6


def gage_area(number: int) -> float:
    """Copper area (m²) of a round wire of an AWG size, by the definition of the gage.

    `number` is the AWG number: 0 for 1/0, -1 for 2/0, -2 for 3/0, -3 for 4/0; from -3 to 36.
    Diameter = 0.005 in × 92^((36 − number) / 39). Raises `ValueError` outside that range.
    Source: definition of the American wire gage, from memory.

    >>> round(gage_area(-3) * 1e6, 1), round(gage_area(4) * 1e6, 2)
    (107.2, 21.15)
    """
    if not -3 <= number <= 36:
        raise ValueError(f"AWG number {number} is outside -3 (4/0) to 36")
    diameter = float(parse("0.005 in", LENGTH)) * 92 ** ((36 - number) / 39)
    return math.pi * diameter**2 / 4


CABLES: tuple[Cable, ...] = (
    Cable("AWG 4", "AWG 4 (21.2 mm²)", 140, 4), Cable("AWG 2", "AWG 2 (33.6 mm²)", 190, 2),
    Cable("AWG 1", "AWG 1 (42.4 mm²)", 220, 1),
    Cable("AWG 1/0", "AWG 1/0 (53.5 mm²)", 260, 0), Cable("AWG 2/0", "AWG 2/0 (67.4 mm²)", 300, -1),
    Cable("AWG 3/0", "AWG 3/0 (85.0 mm²)", 350, -2), Cable("AWG 4/0", "AWG 4/0 (107 mm²)", 405, -3),
    Cable("16 mm2", "16 mm²", 135, marked=16), Cable("25 mm2", "25 mm²", 180, marked=25),
    Cable("35 mm2", "35 mm²", 225, marked=35),
    Cable("50 mm2", "50 mm²", 285, marked=50), Cable("70 mm2", "70 mm²", 355, marked=70),
    Cable("95 mm2", "95 mm²", 430, marked=95),
)
FACTS: tuple[Fact, ...] = (
    EVERYDAY, PERIOD, DUTY_LAW, ONE_ROD, FAR_OVER_RATING, RATED_AIR, OPEN_CIRCUIT_AC, OPEN_CIRCUIT_DC,
    OPEN_CIRCUIT_RIPPLE, SPLICE, RESISTIVITY_20,
    TEMPERATURE_COEFFICIENT, WIRE_GAGE, CABLE_DUTY, JACKET, WARM_CABLE, WIDE_DROP,
    *(cable.carries_fact for cable in CABLES), LONGEST_ARC,
    LOW_HYDROGEN_ARC, ARC_VOLTS_SMALL, ARC_VOLTS_LARGE, NO_ARC_LOW, NO_ARC_HIGH, LONG_ARC_VOLTS,
    LONG_ARC_VOLTS_CELLULOSIC, LEAST_AMPS, MOST_AMPS,
    SLOWEST_BY_HAND, FASTEST_BY_HAND,
)


def smallest_cable(area: Number) -> Cable | None:
    """The smallest cable of the list with at least this copper area (m²); None where none is large enough.

    >>> smallest_cable(30e-6).value, smallest_cable(1)
    ('AWG 2', None)
    """
    enough = [cable for cable in CABLES if cable.area >= area]
    return min(enough, key=lambda cable: cable.area, default=None)


def _area_of(w: Working, cable: Cable) -> Symbol:
    if cable.gage is None:
        return w.value("area", "Copper area, as marked", cable.area, AREA, source=_METRIC, symbol="A")
    n = w.given("gage", "n", cable.gage, NUMBER)
    finest = w.given("finest", "d_36", parse("0.005 in", LENGTH), LENGTH)
    d = w.let(
        "wire_diameter", "Diameter of one round wire of this gage", "d", LENGTH,
        finest * as_formula(92) ** ((36 - n) / 39), source=_GAGE,
        note="A stranded cable is thicker outside: there is air between its strands.",
    )
    return w.let("area", "Copper area", "A", AREA, PI * d**2 / 4)


def work_cable_drop(
    w: Working, *, electrode_lead: Fraction, work_lead: Fraction, cable: str, amps: Fraction, temperature: Fraction,
    most_drop: Fraction,
    splice: Fraction | None,
) -> None:
    """What the leads take of the voltage, what they may carry, and whether a thicker cable would help.

    R = ρ × L / A, ρ = ρ_20 × (1 + α × (T − 20 °C)): resistance of both leads, ohm; L their length together, m; A the
    copper area, m²; ρ_20 the resistivity at 20 °C, ohm·m. U = I × R: drop, V. P = I × U: loss, W. A_need = ρ × L × I /
    U_max: area for the drop allowed.

    Valid for copper, leads of 1 to 1000 ft each. Over the current for a duty cycle of 60 %, I_100 / √0.6, it is a stop.
    Source: International Annealed Copper Standard and the definition of the gage, from memory; what a cable carries,
    from memory.

    >>> answer = CABLE_DROP.answer(cable="AWG 2", electrode_lead="500 ft", work_lead="500 ft", temperature="20 degC")
    >>> round(float(answer["resistance"].amount), 4)  # NBS Circular 31 prints 0.1563 ohm in 1000 ft
    0.1563
    """
    chosen = next(each for each in CABLES if each.value == cable)
    out = w.given("electrode_lead", "L_e", electrode_lead, DISTANCE)
    back = w.given("work_lead", "L_w", work_lead, DISTANCE)
    current = w.given("amps", "I", amps, CURRENT)
    warm = w.given("temperature", "T", temperature, TEMPERATURE, us=CELSIUS, si=CELSIUS)
    allowed = w.given("most_drop", "U_max", most_drop, VOLTAGE)
    area = _area_of(w, chosen)
    run = w.let("run", "Copper out and back", "L", DISTANCE, out + back)
    rho = _resistivity(w, warm)
    resistance = w.let("resistance", "Resistance of the leads", "R", RESISTANCE, rho * run / area,
        source=RESISTIVITY_20.source, digits=3)
    drop = w.let("drop", "Voltage lost in the leads", "U", VOLTAGE, current * resistance, source=RESISTIVITY_20.source,
        main=True, digits=3)
    w.let("power", "Power lost as heat in the leads", "P", WATTS, current * drop, source=RESISTIVITY_20.source,
        main=True, digits=3)
    need = w.let(
        "area_needed", "Copper area that keeps to the drop you chose", "A_need", AREA, rho * run * current / allowed,
        source=RESISTIVITY_20.source, main=True,
    )
    w.let("density", "Current for each square millimeter of copper", "J", CURRENT_DENSITY, current / area, digits=3)
    _name_cable(w, need.amount)
    w.say(f"At {{amps}} the leads of {cable.replace('mm2', 'mm²')} lose {{drop}} and {{power}}.")
    w.draw(scales.lead_drop(w))
    _check_drop(w, drop.amount, most_drop)
    _check_carries(w, chosen, amps)
    _check_cable(w, temperature, splice)
    w.note("connections", "This counts the copper only. A loose clamp, a burned lug or a rusty work surface can lose "
        "more than the whole cable.", source=COMMON)
    w.warn("Go by the cable maker's rating for current and duty cycle; the figures here are from memory.")
    w.warn("A warm spot on a lead, lug or clamp is a bad connection. Switch off before you touch it. " + SHOCK)


def _resistivity(w: Working, warm: Symbol) -> Symbol:
    """Resistivity of copper at the temperature of the cable."""
    rho20 = w.fact(RESISTIVITY_20, "ρ_20")
    alpha = w.fact(TEMPERATURE_COEFFICIENT, "α")
    return w.let(
        "resistivity", "Resistivity at the temperature of the cable", "ρ", RESISTIVITY,
        rho20 * (1 + alpha * (warm - 20)),
        source=TEMPERATURE_COEFFICIENT.source, note="The formula takes the temperature in °C in both unit systems.",
    )


def _name_cable(w: Working, need: Number) -> None:
    enough = smallest_cable(need)
    w.words(
        "smallest", "Smallest listed cable with that area",
        enough.label if enough else "none in the list is large enough; shorten the leads or run two side by side",
        source=GEOMETRY,
    )


def _check_drop(w: Working, drop: Number, most: Fraction) -> None:
    w.mention("arc_most", ARC_VOLTS_LARGE)
    w.mention("wide_drop", WIDE_DROP)
    if drop >= ARC_VOLTS_LARGE.amount:
        w.stop("drop", "{drop} is as much as the largest arc takes, {arc_most}, or more: nothing is left to weld with.",
            source=ARC_VOLTS_LARGE.source)
    elif drop > most:
        w.caution("drop", "{drop} is more than the {most_drop} you chose: a thicker or a shorter cable is needed.",
            source=ENTERED)
    elif drop > WIDE_DROP.amount:
        w.caution("drop", "{drop} is not more than the {most_drop} you chose, but over {wide_drop}: your own limit is "
            "too wide for an arc of 20 to 30 V.",
            source=WIDE_DROP.source,
        )
    else:
        w.ok("drop", "{drop} is not more than the {most_drop} you chose.", source=ENTERED)


def _check_carries(w: Working, cable: Cable, amps: Fraction) -> None:
    """Heat in a cable goes by the current squared: at a share D of the time it carries its continuous current divided
    by √D."""
    fact = cable.carries_fact
    steady = w.value("carries", "Current that this cable carries without a pause", fact.amount, CURRENT,
        source=fact.source, symbol="I_100")
    duty = w.given("cable_duty", "D", CABLE_DUTY.amount, PERCENTAGE)
    most = w.let("carries_by_hand", "The same at the duty cycle of stick welding", "I_60", CURRENT,
        steady / sqrt(duty / 100), source=fact.source, digits=3)
    if amps > most.amount:
        w.stop("carries", "{amps} is more than {carries_by_hand}, which this cable carries at a duty cycle of "
            "{cable_duty}: it overheats. Take a larger one.",
            source=fact.source,
        )
    elif amps > fact.amount:
        w.caution("carries", "{amps} is more than the {carries} that this cable carries without a pause. Read the "
            "cable maker's rating for your duty cycle.",
            source=fact.source,
        )
    else:
        w.ok("carries", "{amps} is not more than the {carries} that this cable carries without a pause.",
            source=fact.source)


def _check_cable(w: Working, temperature: Fraction, splice: Fraction | None) -> None:
    w.mention("jacket", JACKET)
    w.mention("warm_cable", WARM_CABLE)
    if temperature > JACKET.amount:
        w.stop("cable-temperature", "The cable is at {temperature}, over the maximum of {jacket} for its jacket. "
            "Switch off and let it cool.", source=JACKET.source)
    elif temperature > WARM_CABLE.amount:
        w.caution("cable-temperature", "The cable is at {temperature}, over {warm_cable}: too hot to hold. Look for a "
            "bad connection and a coil.", source=WARM_CABLE.source)
    if splice is not None:
        w.given("splice", "L_s", splice, DISTANCE)
        w.mention("splice_free", SPLICE)
        if splice < SPLICE.amount:
            w.stop("splice", "A splice {splice} from the holder: none may lie in the first {splice_free}.",
                source=SPLICE.source)
        else:
            w.ok("splice", "The nearest splice is {splice} from the holder: the first {splice_free} has none.",
                source=SPLICE.source)


CABLE_DROP = Calculator(
    id="cable-drop",
    title="Voltage drop in the leads",
    question="How much voltage do my leads lose, and would a thicker cable help?",
    page="circuit.md",
    work=work_cable_drop,
    main=("electrode_lead", "work_lead", "cable", "amps"),
    inputs=(
        Quantity("electrode_lead", "Length of the electrode lead", DISTANCE, "50 ft", "1 ft", "1000 ft",
            "Machine to holder.", "L_e", common=("25 ft", "50 ft", "100 ft")),
        Quantity("work_lead", "Length of the work lead", DISTANCE, "50 ft", "1 ft", "1000 ft", "Machine to clamp.",
            "L_w", common=("25 ft", "50 ft", "100 ft")),
        Choice(
            "cable", "Copper size of both leads", tuple(Option(each.value, each.label) for each in CABLES), "AWG 2",
            "Printed on the jacket. Copper only.", "A",
        ),
        Quantity("amps", "Amperage", CURRENT, "120 A", "10 A", "2000 A", "What you weld with.", "I",
            common=("90 A", "120 A", "140 A", "200 A")),
        Quantity(
            "temperature", "Temperature of the cable", TEMPERATURE, "104 °F", "-40 °F", "200 °F",
            "Warm after long welding. Warm copper resists more.", "T", common=("68 °F", "104 °F", "140 °F"),
        ),
        Quantity("most_drop", "Maximum voltage drop you want", VOLTAGE, "4 V", "0.1 V", "50 V",
            "Your own choice; no code figure.", "U_max", common=("2 V", "4 V")),
        Quantity("splice", "Nearest splice, distance from the holder", DISTANCE, "", "0 ft", "1000 ft",
            "Leave blank where the lead has none.", "L_s"),
    ),
)


# --- arc length --------------------------------------------------------------


def work_arc_length(
    w: Working, *, electrode: str, diameter: str, volts: Fraction | None, lead_drop: Fraction,
    volts_low: Fraction | None, volts_high: Fraction | None,
) -> None:
    """How long the arc may be, and what a voltmeter should say.

    a_max = n × d: longest arc, m; d the core diameter, m; n = 1 core diameter, half of one to aim for with
    low-hydrogen. U_line = U_1 + (U_2 − U_1) × (d − d_1) / (d_2 − d_1): volts on our straight line between the two read
    ends, 20 V at 3/32 in and 30 V at 3/8 in. U_arc = U_m − U_lead: voltage left for the arc, V.

    Valid for covered rods of 3/32 to 1/4 in. The band of the WPS is judged first, by the voltage left for the arc.
    Raises `InputError` where the leads take all that the meter shows, or where that band is upside down.
    Source: trade rule, from memory; US Army OD1651, page 29, read.

    >>> ARC_LENGTH.answer(diameter="3/32 in")["line_volts"].text("us")  # the course prints 20 V at 3/32 in
    '20\xa0V'
    """
    core = w.given("diameter", "d", parse(diameter, LENGTH), LENGTH)
    n = w.given("longest_ratio", "n", LONGEST_ARC.amount, NUMBER)
    w.let("longest", "Maximum arc length by the rule", "a_max", LENGTH, n * core, source=LONGEST_ARC.source, main=True,
        as_fraction=True)
    if electrode == "E7018":
        m = w.given("low_hydrogen_ratio", "m", LOW_HYDROGEN_ARC.amount, NUMBER)
        w.let("aim", "Arc length to aim for with this low-hydrogen rod", "a_aim", LENGTH, m * core,
            source=LOW_HYDROGEN_ARC.source, main=True, as_fraction=True)
        w.note("low-hydrogen-arc", "With a low-hydrogen rod stay well under one core diameter, near {aim}. A long arc "
            "lets air in. It leaves pores at the start and brittle weld metal.", source=LOW_HYDROGEN_ARC.source,
        )
    _volts_line(w, core)
    w.say(f"With {electrode}, {diameter}, hold the arc no longer than {{longest}}" + (", better near {aim}."
        if electrode == "E7018" else "."))
    w.draw(scales.arc_gap(w))
    if diameter != "3/32 in":
        w.note("between-ends", "The document gives {arc_volts_small} for {small_end} and {arc_volts_large} for "
            "{large_end}, nothing between. {line_volts} at {diameter} is our straight line: use it as a rough guide "
            "only.", source=OUR_LINE,
        )
    require_order(volts_low, volts_high, VOLTS_BAND[0])
    if volts is None:
        w.note("arc-volts", "You gave no voltage, so the arc is not judged by it.", source=ENTERED)
    else:
        _measured(w, volts, lead_drop, electrode, core, (volts_low, volts_high))
    w.warn("Look at the arc only through the right lens. An arc held long throws more spatter and glare; warn the "
        "people around you.")


def arc_volts_line(core: Symbol) -> Formula:
    """Arc voltage of a covered rod by a straight line between the two read ends.

    U_line = U_1 + (U_2 − U_1) × (d − d_1) / (d_2 − d_1), V; d: core diameter, m; U_1 = 20 V at d_1 = 3/32 in and
    U_2 = 30 V at d_2 = 3/8 in. Valid between those ends. Source: US Army OD1651, page 29 (read), gives the ends; the
    line is ours.

    >>> float(arc_volts_line(Symbol("d", parse("3/8 in", LENGTH), LENGTH)).value)
    30.0
    """
    small, large = Symbol("U_1", ARC_VOLTS_SMALL.amount, VOLTAGE), Symbol("U_2", ARC_VOLTS_LARGE.amount, VOLTAGE)
    d1, d2 = Symbol("d_1", SMALL_END, LENGTH), Symbol("d_2", LARGE_END, LENGTH)
    return small + (large - small) * (core - d1) / (d2 - d1)


def _volts_line(w: Working, core: Symbol) -> None:
    w.fact(ARC_VOLTS_SMALL, "U_1")
    w.fact(ARC_VOLTS_LARGE, "U_2")
    w.given("small_end", "d_1", SMALL_END, LENGTH)
    w.given("large_end", "d_2", LARGE_END, LENGTH)
    w.let(
        "line_volts", "Our straight line between those ends, at your core", "U_line", VOLTAGE, arc_volts_line(core),
        source=OUR_LINE, digits=3,
    )


def _measured(
    w: Working, volts: Fraction, lead_drop: Fraction, electrode: str, core: Symbol, own: Ends,
) -> None:
    """The voltage at the arc, by a reading at the machine."""
    if lead_drop >= volts:
        most = show_as_written(volts, VOLTAGE, "us")
        raise InputError(
            "lead_drop", "Voltage lost in the leads", f"nothing is left for the arc; write less than {most}",
        )
    meter = w.given("volts", "U_m", volts, VOLTAGE)
    lost = w.given("lead_drop", "U_lead", lead_drop, VOLTAGE)
    arc = w.let("arc_volts", "Voltage left for the arc", "U_arc", VOLTAGE, meter - lost, main=True, digits=3)
    judge_band(w, "volts-wps", "arc_volts", *own)
    judge_rod_volts(w, "arc_volts", arc.amount, electrode, core)


def judge_rod_volts(w: Working, name: str, volts: Number, electrode: str, core: Symbol) -> None:
    """Judge the arc voltage of a rod, known to the sheet as `name`: as for any size, and by the line for its core.

    Over the line by more than a long arc brings, it is a caution; a cellulosic rod runs a little higher.
    """
    line = arc_volts_line(core).value
    margin = LONG_ARC_VOLTS_CELLULOSIC if electrode in ("E6010", "E6011") else LONG_ARC_VOLTS
    if ARC_VOLTS_SMALL.amount <= volts <= ARC_VOLTS_LARGE.amount and volts > line + margin.amount:
        w.known["line_at_core"] = Amount(line, VOLTAGE, 3)
        w.mention("margin", margin)
        w.caution(
            "arc-volts", f"{{{name}}} is more than {{margin}} over the {{line_at_core}} of our line for this core: the "
            "arc is too long.", source=margin.source,
        )
    else:
        judge_arc_volts(w, name, volts)


def judge_arc_volts(w: Working, name: str, volts: Number) -> None:
    """Judge the voltage of a stick arc of any size, known to the sheet as `name`: outside 20 to 30 V a caution, far
    outside a stop.

    Source: US Army OD1651, page 29 (read): 20 V at 3/32 in to 30 V at 3/8 in covered, 15 V for the smallest bare rod.
    """
    for known, fact in (("volts_small", ARC_VOLTS_SMALL), ("volts_large", ARC_VOLTS_LARGE), ("none_low", NO_ARC_LOW),
        ("none_high", NO_ARC_HIGH)):
        w.mention(known, fact)
    if volts < NO_ARC_LOW.amount:
        w.stop("arc-volts", f"{{{name}}} is under {{none_low}}: no rod of any size burns at that. The rod touches the "
            f"plate, or the figure is wrong.",
            source=NO_ARC_LOW.source,
        )
    elif volts > NO_ARC_HIGH.amount:
        w.stop("arc-volts", f"{{{name}}} is over {{none_high}}: no rod of any size burns at that. This is open "
            f"circuit, or the figure is wrong.",
            source=NO_ARC_HIGH.source,
        )
    elif volts < ARC_VOLTS_SMALL.amount:
        w.caution("arc-volts", f"{{{name}}} is under the range of {{volts_small}} to {{volts_large}}. Either the arc "
            "is very short, or the meter reads in another place.", source=ARC_VOLTS_SMALL.source,
        )
    elif volts > ARC_VOLTS_LARGE.amount:
        w.caution("arc-volts", f"{{{name}}} is over the range of {{volts_small}} to {{volts_large}}: the arc is too "
            f"long.", source=ARC_VOLTS_LARGE.source)
    else:
        w.ok("arc-volts", f"{{{name}}} is in the range of {{volts_small}} to {{volts_large}}.",
            source=ARC_VOLTS_SMALL.source)


def judge_stick(w: Working, volts: Number, amps: Number, speed: Number) -> None:
    """Judge voltage, current and travel of a stick arc of unknown size, known to the sheet as `volts`, `amps` and
    `speed`."""
    judge_arc_volts(w, "volts", volts)
    w.mention("least_amps", LEAST_AMPS)
    w.mention("most_amps", MOST_AMPS)
    if amps < LEAST_AMPS.amount:
        w.stop("arc-amps", "{amps} is under {least_amps}, the minimum of the smallest rod.", source=LEAST_AMPS.source)
    elif amps > MOST_AMPS.amount:
        w.stop("arc-amps", "{amps} is over {most_amps}, the maximum of the largest rod.", source=MOST_AMPS.source)
    else:
        w.ok("arc-amps", "There are rods that run at {amps}. Whether yours does, the amperage calculator says.",
            source=MOST_AMPS.source)
    judge_hand_speed(w, "speed", speed)


def judge_hand_speed(w: Working, name: str, speed: Number) -> None:
    """Judge a travel speed by hand, known to the sheet as `name`."""
    w.mention("hand_least", SLOWEST_BY_HAND)
    w.mention("hand_most", FASTEST_BY_HAND)
    if SLOWEST_BY_HAND.amount <= speed <= FASTEST_BY_HAND.amount:
        w.ok("hand-speed", f"{{{name}}} is within the {{hand_least}} to {{hand_most}} that are usual by hand.",
            source=COMMON)
    else:
        side = "under" if speed < SLOWEST_BY_HAND.amount else "over"
        w.caution("hand-speed", f"{{{name}}} is {side} the {{hand_least}} to {{hand_most}} that are usual by hand. "
            f"Measure it again.", source=COMMON)


ARC_LENGTH = Calculator(
    id="arc-length",
    title="Arc length and arc voltage",
    question="How long may my arc be, and what should a voltmeter say?",
    page="machine.md",
    work=work_arc_length,
    main=("electrode", "diameter", "volts"),
    inputs=(
        Choice("electrode", "Electrode class", ELECTRODES, "E7018", "Printed on the rod near the bare end."),
        Choice("diameter", "Core diameter", SIZES, "1/8 in", "The bare wire, not the covering.", "d"),
        Quantity("volts", "Voltage while you weld", VOLTAGE, "", "5 V", "100 V",
            "From the machine's meter with the arc burning.", "U_m"),
        Quantity("lead_drop", "Voltage lost in the leads", VOLTAGE, "0 V", "0 V", "50 V",
            "From the cable calculator on this page.", "U_lead", takes="cable-drop.drop"),
        *VOLTS_BAND,
    ),
)
