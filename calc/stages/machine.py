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

from calc.core.declare import Calculator, Choice, InputError, Option, Quantity, Working
from calc.core.formula import PI, Symbol, as_formula, sqrt
from calc.core.sources import (
    COMMON,
    GEOMETRY,
    MICHIGAN_R408,
    OD1651,
    PHYSICS,
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
    VOLTAGE,
    WATT,
    Number,
    parse,
    show_as_written,
)
from calc.show.scales import duty as draw_duty
from calc.show.sliders import CURRENT_SET
from calc.stages.current import ELECTRODES, SIZES

WATTS = POWER.shown_in(us=WATT, si=WATT)

# --- duty cycle --------------------------------------------------------------

SQUARE_LAW = Citation(
    PHYSICS, "heat in a winding goes by the current squared", Standing.FROM_MEMORY,
    "The maker's plate and manual come first: fans, electronics and a high setting can allow less.",
)
PERIOD = Fact("duty-period", "Period that a duty cycle is counted over", parse("10 min", TIME), TIME, COMMON)
DUTY_LAW = Fact(
    "duty-square-law", "Duty cycle at another current", None, None, SQUARE_LAW,
    "duty = rated duty × (rated current ÷ current)²",
)

# --- open circuit and leads --------------------------------------------------

_OPEN_CIRCUIT = Citation(WAC_296_24, "296-24-68503(2)", Standing.READ)
OPEN_CIRCUIT_AC = Fact("ocv-ac-manual", "Most open-circuit voltage, AC, manual welding", parse("80 V", VOLTAGE), VOLTAGE, _OPEN_CIRCUIT)
OPEN_CIRCUIT_DC = Fact("ocv-dc-manual", "Most open-circuit voltage, DC, manual welding", parse("100 V", VOLTAGE), VOLTAGE, _OPEN_CIRCUIT)
OPEN_CIRCUIT_RIPPLE = Fact(
    "ocv-dc-ripple", "Most open-circuit voltage, DC with more than 10 % ripple, manual welding", parse("80 V", VOLTAGE), VOLTAGE,
    Citation(MICHIGAN_R408, "R 408.11272", Standing.READ),
)
SPLICE = Fact(
    "cable-splice", "Length next to the holder that must be free of splices", parse("10 ft", DISTANCE), DISTANCE,
    Citation(WAC_296_155, "296-155-405", Standing.READ),
)

# --- copper ------------------------------------------------------------------

_COPPER = Citation(None, "International Annealed Copper Standard, at 20 °C", Standing.FROM_MEMORY)
RESISTIVITY_20 = Fact(
    "copper-resistivity", "Resistivity of annealed copper at 68 °F (20 °C)", Fraction(1, 58) / 10**6, RESISTIVITY, _COPPER,
)
TEMPERATURE_COEFFICIENT = Fact(
    "copper-temperature-coefficient", "Rise of copper's resistance for each °C above 20 °C, as a share", Fraction("0.00393"), NUMBER, _COPPER,
)
_GAGE = Citation(None, "Definition of the American wire gage", Standing.FROM_MEMORY)
WIRE_GAGE = Fact(
    "wire-gage", "Diameter of an AWG size", None, None, _GAGE, "0.005 in × 92^((36 − n) ÷ 39), where 1/0 is n = 0 and 4/0 is n = −3",
)
_METRIC = Citation(None, "Nominal area, as the cable is marked", Standing.COMMON_PRACTICE)

# --- arc length --------------------------------------------------------------

LONGEST_ARC = Fact(
    "arc-longest", "Longest arc, in core diameters", Fraction(1), NUMBER, Citation(None, "Trade rule", Standing.FROM_MEMORY),
)
LOW_HYDROGEN_ARC = Fact(
    "arc-low-hydrogen", "Arc to aim for with a low-hydrogen rod, in core diameters", Fraction(1, 2), NUMBER, COMMON,
)
_ARC_VOLTS = Citation(OD1651, "Task 1, page 29", Standing.READ, "Heavy-coated electrodes. Only these two ends are given.")
ARC_VOLTS_SMALL = Fact("arc-volts-small", "Arc voltage of a 3/32 in electrode", parse("20 V", VOLTAGE), VOLTAGE, _ARC_VOLTS)
ARC_VOLTS_LARGE = Fact("arc-volts-large", "Arc voltage of a 3/8 in electrode", parse("30 V", VOLTAGE), VOLTAGE, _ARC_VOLTS)
OUR_LINE = Citation(
    None, "A straight line between the two read ends", Standing.WORKED_OUT, "Our reading; the document gives no figure between them.",
)

EVERYDAY = Fact("current-everyday", "Everyday setting of a 1/8 in E7018 in a vertical test", None, None, COMMON, "115 to 120 A")

FACTS: tuple[Fact, ...] = (
    EVERYDAY, PERIOD, DUTY_LAW, OPEN_CIRCUIT_AC, OPEN_CIRCUIT_DC, OPEN_CIRCUIT_RIPPLE, SPLICE, RESISTIVITY_20, TEMPERATURE_COEFFICIENT,
    WIRE_GAGE, LONGEST_ARC, LOW_HYDROGEN_ARC, ARC_VOLTS_SMALL, ARC_VOLTS_LARGE,
)

SHOCK = "The holder is live whenever the machine is on. Keep dry, wear dry gloves, and switch off before you touch a lead or its connection."


def _duty_work(w: Working, *, rated_current: Fraction, rated_duty: Fraction, amps: Fraction) -> None:
    rated = w.given("rated_current", "I_r", rated_current, CURRENT)
    duty_r = w.given("rated_duty", "D_r", rated_duty, PERCENTAGE)
    current = w.given("amps", "I", amps, CURRENT)
    by_law = w.let(
        "duty_by_law", "Duty cycle by the square law", "D_law", PERCENTAGE, duty_r * (rated / current) ** 2, source=SQUARE_LAW, digits=3,
    )
    capped = by_law.amount >= 100
    duty = w.value(
        "duty", "Duty cycle allowed at your current", 100 if capped else by_law.amount, PERCENTAGE, source=SQUARE_LAW, symbol="D",
        main=True, digits=3,
    )
    period = w.fact(PERIOD, "t_p")
    on = w.let("minutes_on", "Arc time in each period", "t_on", TIME, period * duty / 100, source=SQUARE_LAW, main=True, digits=3)
    w.let("minutes_off", "Pause in each period", "t_off", TIME, period - on, source=SQUARE_LAW, main=True, digits=3)
    w.let(
        "steady_current", "Largest current without a pause", "I_100", CURRENT, rated * sqrt(duty_r / 100), source=SQUARE_LAW, main=True, digits=3,
    )
    w.draw(draw_duty(w))
    if capped:
        w.say("At {amps} the machine may weld without a pause. It may do so up to {steady_current}.")
        if by_law.amount > 100:
            w.ok(
                "The square law gives {duty_by_law}. There is no more than 100 % of the time, so the answer stops there: no pause is asked.",
                source=SQUARE_LAW,
            )
        else:
            w.ok("{amps} is the largest current that asks for no pause.", source=SQUARE_LAW)
    else:
        w.say("At {amps} the duty cycle is {duty}: weld {minutes_on}, then pause {minutes_off}, in each {duty_period}.")
        w.watch(
            "{amps} is more than {steady_current}: after {minutes_on} of arc in a period of {duty_period} the machine must cool for {minutes_off}.",
            source=SQUARE_LAW,
        )
    if amps > rated_current:
        w.watch(
            "{amps} is above the rated {rated_current}. The law still gives a figure, but the machine may not be built to give that "
            "current at all. See its plate.", source=SQUARE_LAW,
        )
    w.caution(
        "Leave the fan running through the pause. If the machine cuts out on heat, wait; never bridge a thermal switch or block a vent."
    )
    w.caution(SHOCK)


DUTY_CYCLE = Calculator(
    id="duty-cycle",
    title="Duty cycle",
    question="How long may the machine run at my current before it must cool?",
    page="machine.md",
    work=_duty_work,
    inputs=(
        Quantity("rated_current", "Rated current", CURRENT, "200 A", "20 A", "2000 A", "From the machine's plate.", "I_r", common=("160 A", "200 A", "250 A")),
        Quantity(
            "rated_duty", "Duty cycle at the rated current", PERCENTAGE, "20 %", "5 %", "100 %",
            "From the same line of the plate.", "D_r", common=("20 %", "35 %", "60 %", "100 %"),
        ),
        Quantity("amps", "Current you want", CURRENT, "120 A", "10 A", "2000 A", "What you mean to weld with.", "I", common=("90 A", "120 A", "140 A", "200 A"), slide=CURRENT_SET),
    ),
)


# --- cable drop --------------------------------------------------------------


@dataclass(frozen=True)
class Cable:
    """A copper conductor as it is sold: by wire gage number `gage`, or by a marked area in mm²."""

    value: str
    label: str
    gage: int | None = None
    marked: int | None = None

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
    Cable("AWG 4", "AWG 4 (21.2 mm²)", 4), Cable("AWG 2", "AWG 2 (33.6 mm²)", 2), Cable("AWG 1", "AWG 1 (42.4 mm²)", 1),
    Cable("AWG 1/0", "AWG 1/0 (53.5 mm²)", 0), Cable("AWG 2/0", "AWG 2/0 (67.4 mm²)", -1),
    Cable("AWG 3/0", "AWG 3/0 (85.0 mm²)", -2), Cable("AWG 4/0", "AWG 4/0 (107 mm²)", -3),
    Cable("16 mm2", "16 mm²", marked=16), Cable("25 mm2", "25 mm²", marked=25), Cable("35 mm2", "35 mm²", marked=35),
    Cable("50 mm2", "50 mm²", marked=50), Cable("70 mm2", "70 mm²", marked=70), Cable("95 mm2", "95 mm²", marked=95),
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
        "wire_diameter", "Diameter of one round wire of this gage", "d", LENGTH, finest * as_formula(92) ** ((36 - n) / 39), source=_GAGE,
        note="A stranded cable is thicker outside: there is air between its strands.",
    )
    return w.let("area", "Copper area", "A", AREA, PI * d**2 / 4)


def _cable_work(
    w: Working, *, electrode_lead: Fraction, work_lead: Fraction, cable: str, amps: Fraction, temperature: Fraction, most_drop: Fraction,
) -> None:
    chosen = next(each for each in CABLES if each.value == cable)
    out = w.given("electrode_lead", "L_e", electrode_lead, DISTANCE)
    back = w.given("work_lead", "L_w", work_lead, DISTANCE)
    current = w.given("amps", "I", amps, CURRENT)
    warm = w.given("temperature", "T", temperature, TEMPERATURE, us=CELSIUS, si=CELSIUS)
    allowed = w.given("most_drop", "U_max", most_drop, VOLTAGE)
    area = _area_of(w, chosen)
    run = w.let("run", "Copper out and back", "L", DISTANCE, out + back)
    rho20 = w.fact(RESISTIVITY_20, "ρ_20")
    alpha = w.fact(TEMPERATURE_COEFFICIENT, "α")
    rho = w.let(
        "resistivity", "Resistivity at the temperature of the cable", "ρ", RESISTIVITY, rho20 * (1 + alpha * (warm - 20)),
        source=TEMPERATURE_COEFFICIENT.source, note="The temperature goes in in °C in both unit systems.",
    )
    resistance = w.let("resistance", "Resistance of the leads", "R", RESISTANCE, rho * run / area, source=RESISTIVITY_20.source, digits=3)
    drop = w.let("drop", "Voltage lost in the leads", "U", VOLTAGE, current * resistance, source=RESISTIVITY_20.source, main=True, digits=3)
    w.let("power", "Power lost as heat in the leads", "P", WATTS, current * drop, source=RESISTIVITY_20.source, main=True, digits=3)
    need = w.let(
        "area_needed", "Copper area that keeps to your chosen drop", "A_need", AREA, rho * run * current / allowed,
        source=RESISTIVITY_20.source, main=True,
    )
    w.let("density", "Current for each square millimeter of copper", "J", CURRENT_DENSITY, current / area, digits=3)
    enough = smallest_cable(need.amount)
    w.words(
        "smallest", "Smallest listed cable with that area",
        enough.label if enough else "none in the list is large enough; shorten the leads or run two side by side", source=GEOMETRY,
    )
    w.say(f"At {{amps}} the leads of {cable.replace('mm2', 'mm²')} lose {{drop}} and {{power}}.")
    if drop.amount <= most_drop:
        w.ok("{drop} is not more than the {most_drop} you chose.", source=GEOMETRY)
    else:
        w.watch("{drop} is more than the {most_drop} you chose: a thicker or a shorter cable is needed.", source=GEOMETRY)
    w.watch(
        "This counts the copper only. A loose clamp, a burnt lug or a rusty work surface can lose more than the whole cable.", source=COMMON,
    )
    w.caution("This is voltage drop, not the current that the cable may carry. Go by the cable maker's rating for current and duty cycle.")
    w.caution("A warm spot on a lead, lug or clamp is a bad joint. Switch off before you touch it. " + SHOCK)


CABLE_DROP = Calculator(
    id="cable-drop",
    title="Voltage drop in the leads",
    question="How much voltage do my leads lose, and would a thicker cable help?",
    page="machine.md",
    work=_cable_work,
    inputs=(
        Quantity("electrode_lead", "Length of the electrode lead", DISTANCE, "50 ft", "1 ft", "1000 ft", "Machine to holder.", "L_e", common=("25 ft", "50 ft", "100 ft")),
        Quantity("work_lead", "Length of the work lead", DISTANCE, "50 ft", "1 ft", "1000 ft", "Machine to clamp.", "L_w", common=("25 ft", "50 ft", "100 ft")),
        Choice(
            "cable", "Copper size of both leads", tuple(Option(each.value, each.label) for each in CABLES), "AWG 2",
            "Printed on the jacket. Copper only.", "A",
        ),
        Quantity("amps", "Current", CURRENT, "120 A", "10 A", "2000 A", "What you weld with.", "I", common=("90 A", "120 A", "140 A", "200 A")),
        Quantity(
            "temperature", "Temperature of the cable", TEMPERATURE, "104 °F", "-40 °F", "200 °F",
            "Warm after long welding. Warm copper resists more.", "T", common=("68 °F", "104 °F", "140 °F"),
        ),
        Quantity("most_drop", "Most drop you want", VOLTAGE, "4 V", "0.1 V", "50 V", "Your own choice; no code figure.", "U_max", common=("2 V", "4 V")),
    ),
)


# --- arc length --------------------------------------------------------------


def _arc_work(w: Working, *, electrode: str, diameter: str, volts: Fraction | None, lead_drop: Fraction) -> None:
    core = w.given("diameter", "d", parse(diameter, LENGTH), LENGTH)
    n = w.given("longest_ratio", "n", LONGEST_ARC.amount, NUMBER)
    w.let("longest", "Longest arc by the rule", "a_max", LENGTH, n * core, source=LONGEST_ARC.source, main=True, as_fraction=True)
    if electrode == "E7018":
        m = w.given("low_hydrogen_ratio", "m", LOW_HYDROGEN_ARC.amount, NUMBER)
        w.let("aim", "Arc to aim for with this low-hydrogen rod", "a_aim", LENGTH, m * core, source=LOW_HYDROGEN_ARC.source, main=True, as_fraction=True)
        w.watch(
            "With a low-hydrogen rod stay well under one core diameter, near {aim}. A long arc lets air in: pores at the start and brittle "
            "weld metal are the price.", source=LOW_HYDROGEN_ARC.source,
        )
    small = w.fact(ARC_VOLTS_SMALL, "U_1")
    large = w.fact(ARC_VOLTS_LARGE, "U_2")
    d1 = w.given("small_end", "d_1", parse("3/32 in", LENGTH), LENGTH)
    d2 = w.given("large_end", "d_2", parse("3/8 in", LENGTH), LENGTH)
    w.let(
        "line_volts", "Our straight line between those ends, at your core", "U_line", VOLTAGE,
        small + (large - small) * (core - d1) / (d2 - d1), source=OUR_LINE, digits=3,
    )
    w.say(f"With {electrode}, {diameter}, hold the arc no longer than {{longest}}" + (", better near {aim}." if electrode == "E7018" else "."))
    if diameter != "3/32 in":
        w.watch(
            "The document gives {arc_volts_small} for {small_end} and {arc_volts_large} for {large_end}, nothing between. {line_volts} at "
            "{diameter} is our straight line: use it as a rough guide only.", source=OUR_LINE,
        )
    if volts is not None:
        _judge_volts(w, volts, lead_drop)
    w.caution("Watch the arc only through the right lens. An arc held long throws more spatter and glare; warn the people around you.")


def _judge_volts(w: Working, volts: Fraction, lead_drop: Fraction) -> None:
    """The voltage at the arc, by a reading at the machine, against the two ends of the band."""
    if lead_drop >= volts:
        most = show_as_written(volts, VOLTAGE, "us")
        raise InputError("lead_drop", "Voltage lost in the leads", f"nothing is left for the arc; write less than {most}")
    meter = w.given("volts", "U_m", volts, VOLTAGE)
    lost = w.given("lead_drop", "U_lead", lead_drop, VOLTAGE)
    arc = w.let("arc_volts", "Voltage left for the arc", "U_arc", VOLTAGE, meter - lost, main=True, digits=3)
    if arc.amount < ARC_VOLTS_SMALL.amount:
        w.watch(
            "{arc_volts} is under the band of {arc_volts_small} to {arc_volts_large}. Either the arc is very short, or the meter reads in "
            "another place.", source=ARC_VOLTS_SMALL.source,
        )
    elif arc.amount > ARC_VOLTS_LARGE.amount:
        w.watch("{arc_volts} is over the band of {arc_volts_small} to {arc_volts_large}: the arc is held too long.", source=ARC_VOLTS_LARGE.source)
    else:
        w.ok("{arc_volts} lies in the band of {arc_volts_small} to {arc_volts_large}.", source=ARC_VOLTS_SMALL.source)


ARC_LENGTH = Calculator(
    id="arc-length",
    title="Arc length and arc voltage",
    question="How long may my arc be, and what should a voltmeter say?",
    page="machine.md",
    work=_arc_work,
    inputs=(
        Choice("electrode", "Electrode class", ELECTRODES, "E7018", "Printed on the rod near the bare end."),
        Choice("diameter", "Core diameter", SIZES, "1/8 in", "The bare wire, not the coating.", "d"),
        Quantity("volts", "Voltage while you weld", VOLTAGE, "", "5 V", "100 V", "From the machine's meter with the arc burning.", "U_m"),
        Quantity("lead_drop", "Voltage lost in the leads", VOLTAGE, "0 V", "0 V", "50 V", "From the cable calculator on this page.", "U_lead"),
    ),
)
