"""Heat in the plate: preheat, carbon equivalent, heat input, and how fast the weld cools.

Stage: heat. Preheat is a table by steel, electrode and thickness. The carbon
equivalents, the heat input and the cooling time are formulas of standards; the
empirical ones fix their units (kJ/mm, mm, °C), and so their steps show the same
numbers in both unit systems.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from calc.core.declare import Calculator, Choice, InputError, Option, Quantity, Working
from calc.core.formula import Formula, Symbol, sqrt
from calc.core.sources import ASME_IX, AWS_D11, COMMON, EN_1011_1, EN_1011_2, ENTERED, IIW_CE, Citation, Fact, Standing
from calc.core.units import (
    CELSIUS,
    CURRENT,
    HEAT_INPUT,
    KILOJOULE_PER_MILLIMETRE,
    LENGTH,
    MILLIMETRE,
    NUMBER,
    PERCENTAGE,
    SECOND,
    TEMPERATURE,
    TEMPERATURE_STEP,
    TIME,
    TRAVEL_SPEED,
    VOLTAGE,
    Kind,
    Number,
    Unit,
    parse,
)

SECONDS = TIME.shown_in(us=SECOND, si=SECOND)
HELP_ONLY = "This is study help. The written procedure sets the preheat and the interpass limits; the inspector has the last word."
HOT = "Preheated plate looks cold. Chalk HOT on it, wear dry gloves, and warn the others."

# --- preheat -----------------------------------------------------------------


def _table_3_3(printed: str) -> Citation:
    return Citation(AWS_D11, "Table 3.3", Standing.READ, f"The table prints {printed}. UFC 3-320-01A, Table 3-1, has the same.")


@dataclass(frozen=True)
class PreheatRow:
    """A row of the preheat table: up to which thickness, the least temperature, and how the table prints it.

    Category A is for electrodes that are not low-hydrogen, B for low-hydrogen ones. `most` is the
    largest thickness of the row, blank for no limit; `over` the largest of the row before.
    """

    category: str
    over: str
    most: str
    least: str
    printed: str

    @property
    def source(self) -> Citation:
        """Where the table has this row."""
        return _table_3_3(self.printed)

    @property
    def thickness(self) -> str:
        """The row's thickness in words."""
        if not self.most:
            return f"over {self.over}"
        return f"over {self.over} to {self.most}" if self.over != "1/8 in" else f"{self.over} to {self.most}"

    @property
    def fact(self) -> Fact:
        """The row as an entry of the register."""
        size = (self.most or "over-2-1/2 in").replace(" in", "").replace("/", "-")
        kind = "low-hydrogen" if self.category == "B" else "not low-hydrogen"
        return Fact(
            f"preheat-{self.category.lower()}-{size}", f"Least preheat, A36, electrode {kind}, {self.thickness}", None, None, self.source,
            self.printed,
        )

    @property
    def temperature(self) -> Number:
        """The least temperature in °C, exactly that of the printed °F; the printed °C is rounded."""
        return parse(self.least, TEMPERATURE)


def _rows(category: str, printed: tuple[str, ...]) -> tuple[PreheatRow, ...]:
    sizes = ("1/8 in", "3/4 in", "1-1/2 in", "2-1/2 in", "")
    return tuple(
        PreheatRow(category, over, most, text.split(" (")[0], text)
        for (over, most), text in zip(pairwise(sizes), printed)
    )


PREHEAT_ROWS: tuple[PreheatRow, ...] = (
    *_rows("A", ("32 °F (0 °C)", "150 °F (65 °C)", "225 °F (110 °C)", "300 °F (150 °C)")),
    *_rows("B", ("32 °F (0 °C)", "50 °F (10 °C)", "150 °F (65 °C)", "225 °F (110 °C)")),
)
COLD_METAL = Fact(
    "preheat-cold-metal", "Metal colder than this is preheated in any thickness", parse("32 °F", TEMPERATURE), TEMPERATURE,
    Citation(AWS_D11, "Table 3.3, note a", Standing.FROM_MEMORY),
)
COLD_PREHEAT = Fact(
    "preheat-cold-least", "Least preheat of metal that was below freezing", parse("70 °F", TEMPERATURE), TEMPERATURE,
    Citation(AWS_D11, "Table 3.3, note a", Standing.FROM_MEMORY, "Prints 70 °F (20 °C)."),
)
COLDEST_AIR = Fact(
    "coldest-air", "Coldest air near the weld in which welding is done", parse("0 °F", TEMPERATURE), TEMPERATURE,
    Citation(AWS_D11, "clause 5.11", Standing.READ, "Prints 0 °F (−20 °C)."),
)
METRIC_LIMIT = Fact(
    "preheat-metric-limit", "Thickness to which the metric column of the first preheat row runs", parse("20 mm", LENGTH), LENGTH, _table_3_3("3 to 20 mm"),
)
PREHEAT_ZONE = Fact(
    "preheat-zone", "How far around the weld the preheat must reach", None, None,
    Citation(AWS_D11, "clause 5.6", Standing.FROM_MEMORY), "the thickness of the thickest part, and no less than 3 in (75 mm), in every direction",
)


def preheat_row(category: str, thickness: Number) -> PreheatRow:
    """The row of the preheat table for a category ("A" or "B") and a thickness in m.

    A thickness on a limit belongs to the thinner row. Raises `KeyError` for another category.
    Source: AWS D1.1:2015, Table 3.3.

    >>> preheat_row("B", parse("1 in", LENGTH)).printed, preheat_row("A", parse("1 in", LENGTH)).printed
    ('50 °F (10 °C)', '150 °F (65 °C)')
    """
    rows = [row for row in PREHEAT_ROWS if row.category == category]
    if not rows:
        raise KeyError(category)
    return next(row for row in rows if not row.most or thickness <= parse(row.most, LENGTH))


def _preheat_work(
    w: Working, *, electrode: str, thickness: Fraction, metal: Fraction, air: Fraction, interpass: Fraction | None,
) -> None:
    row = preheat_row("B" if electrode == "low-hydrogen" else "A", thickness)
    now = w.given("metal", "T_now", metal, TEMPERATURE)
    w.given("air", "T_air", air, TEMPERATURE)
    w.mention("freezing", COLD_METAL)
    by_table = w.value("by_table", f"Table, {row.thickness}", row.temperature, TEMPERATURE, source=row.source, symbol="T_table")
    w.words("as_printed", "As the table prints it", row.printed, source=row.source)
    cold = metal < COLD_METAL.amount and COLD_PREHEAT.amount > by_table.amount
    source = COLD_PREHEAT.source if cold else row.source
    least = w.value(
        "least", "Least preheat and interpass temperature", COLD_PREHEAT.amount if cold else by_table.amount, TEMPERATURE, source=source,
        symbol="T_least", main=True,
    )
    if cold:
        w.caution("cold-metal", "The metal is at {metal}, below {freezing}: it is heated to at least {least} and kept there, whatever the thickness.", source=source)
    if metal < least.amount:
        w.let("rise", "Heat the plate by at least", "ΔT", TEMPERATURE_STEP, least - now, main=True, digits=3)
        w.say("Heat the plate to at least {least} before you strike an arc. It is at {metal} now.")
        w.stop("preheat", "The plate is at {metal}, under the least preheat of {least}.", source=source)
    else:
        w.say("The least preheat is {least}. The plate is at {metal}: warm enough.")
        w.ok("preheat", "The plate is at {metal}, at or over the least preheat of {least}.", source=source)
    _other_row(w, row, thickness)
    _air_and_interpass(w, metal, air, interpass, least.amount)
    w.warn(HOT + " Heating with a torch is hot work: clear the area and set the fire watch first.")
    w.warn("Do not weld on wet metal. Drive the water off first, and stop for rain or snow on the joint.")
    w.warn(HELP_ONLY)


def _other_row(w: Working, row: PreheatRow, thickness: Fraction) -> None:
    """The row of the other category, since the two are mixed up so often, and the two thickness columns."""
    other = preheat_row("A" if row.category == "B" else "B", thickness)
    names = {"A": "electrodes that are not low-hydrogen", "B": "low-hydrogen electrodes"}
    w.value("other_row", f"For comparison: {names[other.category]}", other.temperature, TEMPERATURE, source=other.source)
    if row.least != other.least:
        w.note("other-category", f"Do not mix up the rows: {{other_row}} is for {names[other.category]}, {{by_table}} for {names[row.category]}, both at this thickness.",
            source=row.source,
        )
    if parse("3/4 in", LENGTH) < thickness <= METRIC_LIMIT.amount:
        w.mention("metric_limit", METRIC_LIMIT)
        w.note("metric-column", "The metric column of the first row runs to {metric_limit}, the inch column only to 3/4 in. The answer takes the inch column, "
            "which asks for more.", source=METRIC_LIMIT.source,
        )


def _air_and_interpass(w: Working, metal: Fraction, air: Fraction, interpass: Fraction | None, least: Number) -> None:
    w.mention("coldest", COLDEST_AIR)
    if air < COLDEST_AIR.amount:
        w.stop("air", "The air near the weld is at {air}, below {coldest}. Do not weld there; shelter and warm the place first.", source=COLDEST_AIR.source)
    if interpass is None:
        return
    w.given("interpass", "T_max", interpass, TEMPERATURE)
    if interpass < least:
        w.stop("interpass-limit", "A highest interpass temperature of {interpass} leaves no room over the least preheat of {least}. Read your procedure again.", source=ENTERED)
    elif metal > interpass:
        w.stop("interpass", "The plate is at {metal}, over the highest interpass temperature of {interpass}. Wait before the next pass.", source=ENTERED)
    else:
        w.ok("interpass", "The plate is not over the highest interpass temperature of {interpass}.", source=ENTERED)


PREHEAT = Calculator(
    id="preheat",
    title="Preheat and interpass temperature",
    question="How warm must my plate be before I weld, and before each pass?",
    page="heat.md",
    work=_preheat_work,
    inputs=(
        Choice(
            "electrode", "Electrode, on A36 steel", (
                Option("low-hydrogen", "Low-hydrogen, such as E7018 (category B)"),
                Option("other", "Not low-hydrogen, such as E6010, E6011 or E6013 (category A)"),
            ), "low-hydrogen", "The table sorts steels into categories; these two hold A36. Ask for the row of any other steel.",
        ),
        Quantity(
            "thickness", "Thickness of the thickest part at the weld", LENGTH, "1 in", "1/8 in", "8 in", "Plate or backing, whichever is thicker.",
            "t", common=("3/8 in", "3/4 in", "1 in", "2 in"),
        ),
        Quantity("metal", "Temperature of the plate now", TEMPERATURE, "65 °F", "-60 °F", "1200 °F", "Measured on the plate, not in the air.", "T_now", common=("20 °F", "65 °F", "150 °F")),
        Quantity("air", "Temperature of the air near the weld", TEMPERATURE, "65 °F", "-60 °F", "150 °F", "Right at the joint, inside any shelter.", "T_air"),
        Quantity("interpass", "Highest interpass temperature", TEMPERATURE, "", "32 °F", "1200 °F", "From your written procedure.", "T_max"),
    ),
)

# --- carbon equivalent -------------------------------------------------------

_IIW = Citation(IIW_CE, "", Standing.SECONDARY)
_WITH_SILICON = Citation(AWS_D11, "annex on preheat", Standing.SECONDARY, "That the annex adds silicon was seen in another text.")
_CET = Citation(EN_1011_2, "CET formula", Standing.FROM_MEMORY)
CE_IIW = Fact("ce-iiw", "Carbon equivalent CE (IIW)", None, None, _IIW, "C + Mn/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15")
CE_SILICON = Fact("ce-silicon", "Carbon equivalent with silicon", None, None, _WITH_SILICON, "C + (Mn + Si)/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15")
CE_CET = Fact("ce-cet", "Carbon equivalent CET", None, None, _CET, "C + (Mn + Mo)/10 + (Cr + Cu)/20 + Ni/40")
CE_EASY = Fact("ce-easy", "CE (IIW) up to which plain steel seldom hardens much", parse("0.40 %", PERCENTAGE), PERCENTAGE, COMMON)
CE_HARD = Fact("ce-hard", "CE (IIW) over which hardening must be expected", parse("0.45 %", PERCENTAGE), PERCENTAGE, COMMON)
A36_CARBON = Fact(
    "a36-carbon", "Most carbon in A36", parse("0.26 %", PERCENTAGE), PERCENTAGE,
    Citation(None, "ASTM A36, as another text reports it", Standing.SECONDARY, "The limit differs by thickness and shape."),
)
_FIT = Citation(EN_1011_2, "ranges of the carbon equivalent methods", Standing.FROM_MEMORY)
FIT_LIMITS: dict[str, Fact] = {
    name: Fact(f"ce-fit-{name}", f"Most {word} for which CE (IIW) is meant", parse(most, PERCENTAGE), PERCENTAGE, _FIT)
    for name, word, most in (
        ("carbon", "carbon", "0.25 %"), ("manganese", "manganese", "1.7 %"), ("chromium", "chromium", "0.9 %"),
        ("molybdenum", "molybdenum", "0.75 %"), ("vanadium", "vanadium", "0.20 %"), ("nickel", "nickel", "2.5 %"), ("copper", "copper", "1.0 %"),
    )
}


def _carbon_work(
    w: Working, *, carbon: Fraction, manganese: Fraction, silicon: Fraction, chromium: Fraction, molybdenum: Fraction, vanadium: Fraction,
    nickel: Fraction, copper: Fraction,
) -> None:
    amounts = {
        "carbon": carbon, "manganese": manganese, "chromium": chromium, "molybdenum": molybdenum, "vanadium": vanadium, "nickel": nickel, "copper": copper,
    }
    letters = ("C", "Mn", "Cr", "Mo", "V", "Ni", "Cu")
    c, mn, cr, mo, v, ni, cu = (
        w.given(name, letter, amount, PERCENTAGE) for letter, (name, amount) in zip(letters, amounts.items(), strict=True)
    )
    si = w.given("silicon", "Si", silicon, PERCENTAGE)
    hardeners = w.let("hardeners", "Share of chromium, molybdenum and vanadium", "K_5", PERCENTAGE, (cr + mo + v) / 5, source=_IIW, answer=False)
    toughness = w.let("nickel_copper", "Share of nickel and copper", "K_15", PERCENTAGE, (ni + cu) / 15, source=_IIW, answer=False)
    ce = w.let("ce_iiw", "CE (IIW)", "CE", PERCENTAGE, c + mn / 6 + hardeners + toughness, source=_IIW, main=True)
    w.let("ce_silicon", "CE with silicon", "CE_Si", PERCENTAGE, c + (mn + si) / 6 + hardeners + toughness, source=_WITH_SILICON, main=True)
    w.let("cet", "CET", "CET", PERCENTAGE, c + (mn + mo) / 10 + (cr + cu) / 20 + ni / 40, source=_CET, main=True)
    w.say("CE (IIW) is {ce_iiw}, {ce_silicon} with silicon counted, and CET is {cet}. Compare each only with limits of its own kind.")
    _judge_carbon(w, ce.amount, carbon)
    for name, fact in FIT_LIMITS.items():
        if amounts[name] > fact.amount:
            w.mention(f"fit_{name}", fact)
            w.caution(f"fit-{name}", f"{{{name}}} {name} is over the {{fit_{name}}} for which CE (IIW) is meant: the figure may mislead.", source=fact.source)
    if not all((chromium, molybdenum, vanadium, nickel, copper)):
        w.caution("unstated", "A 0 stands for at least one element. If the certificate does not state it, the true figure can be higher.", source=ENTERED)
    w.warn(HELP_ONLY)


def _judge_carbon(w: Working, ce: Number, carbon: Fraction) -> None:
    w.mention("easy", CE_EASY)
    w.mention("hard", CE_HARD)
    w.mention("a36", A36_CARBON)
    if ce <= CE_EASY.amount:
        w.ok("hardening", "CE (IIW) is not over {easy}: such plate seldom hardens much beside the weld. The preheat table still holds.", source=CE_EASY.source)
    elif ce <= CE_HARD.amount:
        w.caution("hardening", "CE (IIW) is over {easy}: thick or cold plate may harden beside the weld. Keep strictly to low-hydrogen rods and preheat.", source=CE_EASY.source)
    else:
        w.caution("hardening", "CE (IIW) is over {hard}: expect hardening beside the weld. Ask which preheat your procedure gives.", source=CE_HARD.source)
    if carbon > A36_CARBON.amount:
        w.caution("a36-carbon", "{carbon} carbon is over the {a36} of A36. Check which steel you have.", source=A36_CARBON.source)


def _element(name: str, letter: str, default: str, high: str, most: tuple[str, ...] = ()) -> Quantity:
    label = f"{name.capitalize()}, {letter}"
    hint = "From the mill certificate." if name in ("carbon", "manganese") else "From the mill certificate; 0 where it is not stated."
    return Quantity(name, label, PERCENTAGE, default, "0 %", high, hint, letter, common=most)


CARBON_EQUIVALENT = Calculator(
    id="carbon-equivalent",
    title="Carbon equivalent",
    question="How easily does this steel harden beside the weld?",
    page="heat.md",
    work=_carbon_work,
    inputs=(
        _element("carbon", "C", "0.20 %", "1.2 %", ("0.15 %", "0.20 %", "0.25 %")),
        _element("manganese", "Mn", "0.90 %", "3 %"),
        _element("silicon", "Si", "0.20 %", "2 %"),
        _element("chromium", "Cr", "0.15 %", "5 %"),
        _element("molybdenum", "Mo", "0.05 %", "2 %"),
        _element("vanadium", "V", "0 %", "1 %"),
        _element("nickel", "Ni", "0.15 %", "5 %"),
        _element("copper", "Cu", "0.20 %", "2 %"),
    ),
)

# --- heat input --------------------------------------------------------------

_PLAIN = Citation(ASME_IX, "QW-409.1", Standing.FROM_MEMORY, "AWS D1.1 uses the same. The expression was also seen in another text.")
_WITH_K = Citation(EN_1011_1, "heat input", Standing.FROM_MEMORY)
HEAT_PLAIN = Fact("heat-input-plain", "Heat input without arc efficiency", None, None, _PLAIN, "H = 60 × V × A ÷ (1000 × in/min), in kJ/in")
HEAT_WITH_K = Fact("heat-input-with-k", "Heat input with arc efficiency", None, None, _WITH_K, "Q = k × V × A ÷ (1000 × mm/s), in kJ/mm")


@dataclass(frozen=True)
class Process:
    """A welding process and its arc efficiency k."""

    value: str
    label: str
    k: str

    @property
    def fact(self) -> Fact:
        """The arc efficiency of the process, as an entry of the register."""
        return Fact(f"arc-efficiency-{self.value}", f"Arc efficiency k, {self.label}", Fraction(self.k), NUMBER, _WITH_K)


PROCESSES: tuple[Process, ...] = (
    Process("smaw", "shielded metal arc (stick), 111", "0.8"), Process("gmaw", "gas metal arc, 131 and 135", "0.8"),
    Process("fcaw", "flux-cored arc, 114 and 136", "0.8"), Process("saw", "submerged arc, 121", "1.0"),
    Process("gtaw", "gas tungsten arc, 141", "0.6"), Process("paw", "plasma arc, 15", "0.6"),
)


def _input_work(w: Working, *, volts: Fraction, amps: Fraction, speed: Fraction, process: str, most: Fraction | None) -> None:
    chosen = next(each for each in PROCESSES if each.value == process)
    v = w.given("volts", "U", volts, VOLTAGE)
    i = w.given("amps", "I", amps, CURRENT)
    s = w.given("speed", "v", speed, TRAVEL_SPEED)
    plain = w.let("plain", "Heat input H, without arc efficiency", "H", HEAT_INPUT, v * i / s, source=_PLAIN, main=True)
    k = w.fact(chosen.fact, "k")
    w.let("with_k", "Heat input Q, with arc efficiency", "Q", HEAT_INPUT, k * v * i / s, source=_WITH_K, main=True)
    w.say("The heat input is H = {plain} without arc efficiency, and Q = {with_k} with it. Say which one you mean when you write it down.")
    w.note("two-figures", "H and Q are not the same figure. US codes limit H; the cooling-time formula takes Q. Never compare one with a limit on the other.",
        source=_WITH_K,
    )
    if most is not None:
        w.given("most", "H_max", most, HEAT_INPUT)
        if plain.amount > most:
            w.stop("heat-limit", "H = {plain} is over the {most} of your procedure: travel faster or run less current.", source=ENTERED)
        else:
            w.ok("heat-limit", "H = {plain} is not over the {most} of your procedure.", source=ENTERED)
    w.warn("Read current and voltage with the arc burning, and let a second person read the meter. You watch the puddle.")
    w.warn(HELP_ONLY)


HEAT_INPUT_CALCULATOR = Calculator(
    id="heat-input",
    title="Heat input",
    question="How much heat does each length of weld take?",
    page="heat.md",
    work=_input_work,
    inputs=(
        Quantity("volts", "Arc voltage", VOLTAGE, "24 V", "5 V", "100 V", "With the arc burning.", "U", common=("22 V", "24 V", "26 V")),
        Quantity("amps", "Current", CURRENT, "125 A", "10 A", "2000 A", "With the arc burning.", "I", common=("90 A", "120 A", "125 A", "140 A")),
        Quantity("speed", "Travel speed", TRAVEL_SPEED, "6 in/min", "0.5 in/min", "200 in/min", "Bead length divided by arc time.", "v", common=("4 in/min", "6 in/min", "8 in/min")),
        Choice("process", "Process", tuple(Option(each.value, each.label) for each in PROCESSES), "smaw", "Decides the arc efficiency k."),
        Quantity("most", "Most heat input H in your procedure", HEAT_INPUT, "", "1 kJ/in", "500 kJ/in", "If it states one.", "H_max"),
    ),
)

# --- cooling time ------------------------------------------------------------

_ANNEX_D = Citation(EN_1011_2, "Annex D", Standing.FROM_MEMORY, "No published worked example was found.")
COOLING_THICK = Fact(
    "cooling-thick", "Cooling time from 800 to 500 °C, heat flow in three directions", None, None, _ANNEX_D,
    "(6700 − 5·T0)·Q·[1/(500 − T0) − 1/(800 − T0)]·F3",
)
COOLING_THIN = Fact(
    "cooling-thin", "Cooling time from 800 to 500 °C, heat flow in two directions", None, None, _ANNEX_D,
    "(4300 − 4.3·T0)·10⁵·(Q²/d²)·[1/(500 − T0)² − 1/(800 − T0)²]·F2",
)
COOLING_TRANSITION = Fact(
    "cooling-transition", "Thickness at which both cooling times agree, for equal factors", None, None, _ANNEX_D,
    "d = √{(4300 − 4.3·T0)·10⁵ / (6700 − 5·T0)·Q·[1/(500 − T0) + 1/(800 − T0)]}",
)
FACTOR_BUTT = Fact("cooling-factor-butt", "Joint factors F2 and F3, filling pass of a butt weld", Fraction("0.9"), NUMBER, _ANNEX_D)
FACTOR_PLATE = Fact("cooling-factor-plate", "Joint factors F2 and F3, bead on plate", Fraction(1), NUMBER, _ANNEX_D)

# The coefficients of the formulas carry units: s·mm/kJ for heat flow in three directions, s·mm⁴/kJ² in two. As
# symbols with that factor they turn SI base units (J/m, m) straight into seconds and show the plain numbers.
_THICK_UNIT = Kind("coefficient", "s m/J", Unit("", Fraction(1, 10**6)), Unit("", Fraction(1, 10**6)))
_THIN_UNIT = Kind("coefficient", "s m4/J2", Unit("", Fraction(1, 10**18)), Unit("", Fraction(1, 10**18)))


def _coefficient(text: str, kind: Kind) -> Symbol:
    return Symbol(text, kind.us.to_base(Fraction(text)), kind)


def _celsius(degrees: int) -> Symbol:
    return Symbol(str(degrees), degrees, TEMPERATURE, CELSIUS, CELSIUS)


def _thick_coefficient(start: Symbol) -> Formula:
    return _coefficient("6700", _THICK_UNIT) - _coefficient("5", _THICK_UNIT) * start


def _thin_coefficient(start: Symbol) -> Formula:
    return (_coefficient("4300", _THIN_UNIT) - _coefficient("4.3", _THIN_UNIT) * start) * 10**5


def _cooling_work(
    w: Working, *, heat: Fraction, start: Fraction, thickness: Fraction, joint: str, factor_thick: Fraction | None, factor_thin: Fraction | None,
) -> None:
    f3, f2 = _factors(w, joint, factor_thick, factor_thin)
    q = w.given("heat", "Q", heat, HEAT_INPUT, us=KILOJOULE_PER_MILLIMETRE, si=KILOJOULE_PER_MILLIMETRE)
    t0 = w.given("start", "T_0", start, TEMPERATURE, us=CELSIUS, si=CELSIUS)
    d = w.given("thickness", "d", thickness, LENGTH, us=MILLIMETRE, si=MILLIMETRE)
    lower, upper = 1 / (_celsius(500) - t0), 1 / (_celsius(800) - t0)
    note = "Q goes in in kJ/mm, T in °C and d in mm, in both unit systems."
    thick = w.let(
        "thick", "Thick plate: heat flows in three directions", "t_3D", SECONDS, _thick_coefficient(t0) * q * (lower - upper) * f3,
        source=_ANNEX_D, digits=3, note=note,
    )
    thin = w.let(
        "thin", "Thin plate: heat flows in two directions", "t_2D", SECONDS,
        _thin_coefficient(t0) * (q**2 / d**2) * (lower**2 - upper**2) * f2, source=_ANNEX_D, digits=3, note=note,
    )
    transition = w.let(
        "transition", "Transition thickness, for equal factors", "d_t", LENGTH,
        sqrt(_thin_coefficient(t0) / _thick_coefficient(t0) * q * (lower + upper)), source=_ANNEX_D, as_fraction=True, main=True,
    )
    thin_governs = thin.amount > thick.amount
    w.value(
        "cooling_time", "Cooling time from 800 to 500 °C, t8/5", thin.amount if thin_governs else thick.amount, SECONDS, source=_ANNEX_D,
        symbol="t_8/5", main=True, digits=3,
    )
    w.words("governs", "Which governs (the longer time)", f"{'thin' if thin_governs else 'thick'} plate", source=_ANNEX_D, main=True)
    w.say(f"The weld cools from 800 to 500 °C in about {{cooling_time}}. The {'thin' if thin_governs else 'thick'}-plate formula governs.")
    w.note("governs", "Thick plate gives {thick}, thin plate {thin}. The longer one governs. Under {transition} a plate counts as thin, for equal factors.",
        source=_ANNEX_D,
    )
    if thin_governs != (thickness < transition.amount) and f2.amount != f3.amount:
        w.caution("unequal-factors", "With unequal factors the longer time and the transition thickness name different formulas. Look at both times.", source=_ANNEX_D)
    w.note("short-plate", "The formula is for a plate that goes on far in every direction. A short test plate warms as a whole: measure it before each pass and "
        "put that temperature in.", source=_ANNEX_D,
    )
    w.warn(HELP_ONLY)


def _factors(w: Working, joint: str, thick: Fraction | None, thin: Fraction | None) -> tuple[Symbol, Symbol]:
    """The joint factors for heat flow in three and in two directions. Raises `InputError` where own ones are wanted and missing."""
    if joint == "own":
        for name, label, value in (("factor_thick", "Your factor F3, thick plate", thick), ("factor_thin", "Your factor F2, thin plate", thin)):
            if value is None:
                raise InputError(name, label, "this joint goes by it; write a number, as in 0.9")
        return w.given("factor_thick", "F_3", thick, NUMBER), w.given("factor_thin", "F_2", thin, NUMBER)
    fact = FACTOR_BUTT if joint == "butt" else FACTOR_PLATE
    w.value("factor", "Joint factors F2 and F3", fact.amount, NUMBER, source=fact.source)
    return w.given("factor_thick", "F_3", fact.amount, NUMBER), w.given("factor_thin", "F_2", fact.amount, NUMBER)


COOLING_TIME = Calculator(
    id="cooling-time",
    title="Cooling time",
    question="How fast does the weld cool through the range where steel hardens?",
    page="heat.md",
    work=_cooling_work,
    inputs=(
        Quantity("heat", "Heat input Q, with arc efficiency", HEAT_INPUT, "24 kJ/in", "1 kJ/in", "200 kJ/in", "Q of the heat input calculator, not H.", "Q", common=("20 kJ/in", "24 kJ/in", "30 kJ/in")),
        Quantity("start", "Temperature of the plate before the pass", TEMPERATURE, "70 °F", "-40 °F", "600 °F", "Preheat, or interpass.", "T_0", common=("70 °F", "150 °F", "250 °F")),
        Quantity("thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "8 in", "Measured.", "d", common=("3/8 in", "1/2 in", "1 in")),
        Choice(
            "joint", "What is welded", (
                Option("butt", "Filling pass in a butt joint"), Option("plate", "Bead on flat plate"), Option("own", "Another joint: my own factors"),
            ), "butt", "Decides the joint factors F2 and F3.",
        ),
        Quantity("factor_thick", "Your factor F3, thick plate", NUMBER, "", "0.3", "1.5", "Only for your own factors.", "F_3"),
        Quantity("factor_thin", "Your factor F2, thin plate", NUMBER, "", "0.3", "1.5", "Only for your own factors.", "F_2"),
    ),
)

FACTS: tuple[Fact, ...] = (
    *(row.fact for row in PREHEAT_ROWS), COLD_METAL, COLD_PREHEAT, COLDEST_AIR, METRIC_LIMIT, PREHEAT_ZONE,
    CE_IIW, CE_SILICON, CE_CET, CE_EASY, CE_HARD, A36_CARBON, *FIT_LIMITS.values(),
    HEAT_PLAIN, HEAT_WITH_K, *(each.fact for each in PROCESSES),
    COOLING_THICK, COOLING_THIN, COOLING_TRANSITION, FACTOR_BUTT, FACTOR_PLATE,
)
