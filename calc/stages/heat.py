"""Heat in the plate: preheat, carbon equivalent, heat input, and how fast the weld cools.

Stage: heat. Preheat is a table by steel, electrode and thickness; the steels stand in `calc.stages.steels`. The carbon
equivalents, the heat input and the cooling time are formulas of standards; the empirical ones fix their units (kJ/mm,
mm, °C), and so their steps show the same numbers in both unit systems.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from calc.core.declare import Amount, Calculator, Choice, InputError, Option, Quantity, Working
from calc.core.formula import Formula, Symbol, sqrt
from calc.core.sources import (
    ASME_IX,
    AWS_D11,
    COMMON,
    EN_1011_1,
    EN_1011_2,
    ENTERED,
    IIW_CE,
    SECONDARY_STEELS,
    WELDING_HANDBOOK,
    YOUR_WPS,
    Citation,
    Fact,
    Standing,
)
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
    listed,
    parse,
    show_as_written,
)
from calc.show import scales
from calc.stages.machine import judge_stick
from calc.stages.own import AMPS_BAND, TRAVEL_BAND, VOLTS_BAND, judge_arc, judge_band
from calc.stages.steels import ASK_FOR, LOW_HYDROGEN_ONLY, QUENCHED, STEEL_OPTIONS, Steel, SteelChoice, find_steel

SECONDS = TIME.shown_in(us=SECOND, si=SECOND)
HELP_ONLY = "This is study help. The WPS sets the preheat and the interpass limits; the inspector has the last word."
HOT = "Preheated plate looks cold. Chalk HOT on it, wear dry gloves, and warn the others."

# --- preheat -----------------------------------------------------------------


def _table_3_3(printed: str) -> Citation:
    return Citation(AWS_D11, "Table 3.3", Standing.READ, f"The table prints {printed}. UFC 3-320-01A, Table 3-1, has "
        f"the same.")


CATEGORY_WORDS = {
    "A": "A36, electrode not low-hydrogen", "B": "A36, electrode low-hydrogen",
    "C": "A572 grades 60 and 65, electrode low-hydrogen",
    QUENCHED: "A514, electrode low-hydrogen",
}
"""A steel and the electrodes that stand for each category."""
_ROW_SOURCES = {
    "C": Citation(SECONDARY_STEELS, "category C of D1.1, Table 3.3", Standing.SECONDARY),
    QUENCHED: Citation(AWS_D11, "row for quenched and tempered steel of older editions", Standing.FROM_MEMORY,
        "Go by the WPS and the mill."),
}


@dataclass(frozen=True)
class PreheatRow:
    """A row of the preheat table: up to which thickness, the minimum temperature, and how the table prints it.

    Category A is for electrodes that are not low-hydrogen, B and C for low-hydrogen ones, Q for quenched and tempered
    steel. `most` is the largest thickness of the row, blank for no limit; `over` the largest of the row before.
    """

    category: str
    over: str
    most: str
    least: str
    printed: str

    @property
    def source(self) -> Citation:
        """Where the table has this row."""
        return _ROW_SOURCES.get(self.category) or _table_3_3(self.printed)

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
        return Fact(
            f"preheat-{self.category.lower()}-{size}", f"Minimum preheat, {CATEGORY_WORDS[self.category]}, "
            f"{self.thickness}", None, None, self.source,
            self.printed,
        )

    @property
    def temperature(self) -> Number:
        """The minimum temperature in °C, exactly that of the printed °F; the printed °C is rounded."""
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
    *_rows("C", ("50 °F (10 °C)", "150 °F (65 °C)", "225 °F (110 °C)", "300 °F (150 °C)")),
    *_rows(QUENCHED, ("50 °F (10 °C)", "125 °F (50 °C)", "175 °F (80 °C)", "225 °F (110 °C)")),
)
COLD_METAL = Fact(
    "preheat-cold-metal", "Metal colder than this is preheated in any thickness", parse("32 °F", TEMPERATURE),
    TEMPERATURE,
    Citation(AWS_D11, "Table 3.3, note a", Standing.FROM_MEMORY),
)
COLD_PREHEAT = Fact(
    "preheat-cold-least", "Minimum preheat of metal that was below freezing", parse("70 °F", TEMPERATURE), TEMPERATURE,
    Citation(AWS_D11, "Table 3.3, note a", Standing.FROM_MEMORY, "Prints 70 °F (20 °C)."),
)
COLDEST_AIR = Fact(
    "coldest-air", "Minimum air temperature near the weld", parse("0 °F", TEMPERATURE), TEMPERATURE,
    Citation(AWS_D11, "clause 5.11", Standing.READ, "Prints 0 °F (−20 °C)."),
)
METRIC_LIMIT = Fact(
    "preheat-metric-limit", "Thickness to which the metric column of the first preheat row runs",
    parse("20 mm", LENGTH), LENGTH, _table_3_3("3 to 20 mm"),
)
PREHEAT_ZONE = Fact(
    "preheat-zone", "How far around the weld the preheat must reach", None, None,
    Citation(AWS_D11, "clause 5.6", Standing.FROM_MEMORY), "the thickness of the thickest part, and no less than 3 in "
    "(75 mm), in every direction",
)


LOW_MAXIMUM = Fact(
    "interpass-low-maximum", "Plate temperature that no common maximum interpass temperature forbids",
    parse("250 °F", TEMPERATURE), TEMPERATURE, COMMON,
)
USUAL_MAXIMUM = Fact(
    "interpass-usual-maximum", "Usual upper end of the maximum interpass temperature in WPSs for carbon steel",
    parse("550 °F", TEMPERATURE),
    TEMPERATURE, COMMON,
)


def preheat_row(category: str, thickness: Number) -> PreheatRow:
    """The row of the preheat table for a category ("A", "B", "C" or "Q") and a thickness in m.

    A thickness on a limit belongs to the thinner row. Raises `KeyError` for another category.
    Source: AWS D1.1:2015, Table 3.3 (A and B read, C secondary); Q from memory.

    >>> preheat_row("B", parse("1 in", LENGTH)).printed, preheat_row("A", parse("1 in", LENGTH)).printed
    ('50 °F (10 °C)', '150 °F (65 °C)')
    """
    rows = [row for row in PREHEAT_ROWS if row.category == category]
    if not rows:
        raise KeyError(category)
    return next(row for row in rows if not row.most or thickness <= parse(row.most, LENGTH))


def work_preheat(
    w: Working, *, electrode: str, thickness: Fraction, metal: Fraction, air: Fraction, interpass: Fraction | None,
    steel: str,
    wps_minimum: Fraction | None,
) -> None:
    """How warm the plate must be before welding and before each pass.

    T_least = the higher of the table's row for steel, electrode and thickness and the minimum of the WPS, °C; metal
    under freezing is heated to 70 °F (20 °C) at least. ΔT = T_least − T_now: heat the plate by, °C. The WPS is judged
    by first: a plate under its minimum is a stop, one between it and a higher row of the table a caution on the WPS.

    Valid for the steels of `calc.stages.steels`, 1/8 to 8 in. A steel that is not listed is refused by name; with the
    choice “another steel” the WPS's own minimum decides. Raises `InputError` where that minimum is missing, or where
    the maximum interpass temperature lies under the minimum preheat. Source: AWS D1.1:2015, Table 3.3 (read) and clause
    5.11 (read).

    >>> PREHEAT.answer(thickness="1 in")["as_printed"].wording  # UFC 3-320-01A, Table 3-1, prints the same
    '50 °F (10 °C)'
    """
    now = w.given("metal", "T_now", metal, TEMPERATURE)
    w.given("air", "T_air", air, TEMPERATURE)
    w.mention("freezing", COLD_METAL)
    source, least = _minimum(w, electrode, find_steel(steel), thickness, wps_minimum)
    cold = metal < COLD_METAL.amount and COLD_PREHEAT.amount > least
    if cold:
        source, least = COLD_PREHEAT.source, COLD_PREHEAT.amount
    asked = w.value("least", "Minimum preheat and interpass temperature", least, TEMPERATURE, source=source,
        symbol="T_least", main=True)
    _refuse_interpass(interpass, least)
    if cold:
        w.caution("cold-metal", "The metal is at {metal}, below {freezing}: it is heated to at least {least} and kept "
            "there, whatever the thickness.",
            source=source,
        )
    if metal < least:
        w.let("rise", "Heat the plate by at least", "ΔT", TEMPERATURE_STEP, asked - now, main=True, digits=3)
        w.say("Heat the plate to at least {least} before you strike an arc. It is at {metal} now.")
    else:
        only = "" if _rod_fits(electrode, find_steel(steel)) else " But this steel takes low-hydrogen rods only."
        w.say("The minimum preheat is {least}. The plate is at {metal}: warm enough." + only)
    _check_plate(w, metal, wps_minimum, source, least)
    _check_air(w, air)
    _check_interpass(w, metal, interpass, least)
    w.draw(scales.warm_enough(w))
    w.warn(HOT + " Heating with a torch is hot work: clear the area and set the fire watch first.")
    w.warn("Do not weld on wet metal. Dry it with heat first, and stop for rain or snow on the joint.")
    w.warn(HELP_ONLY)


def _check_plate(w: Working, metal: Fraction, own: Fraction | None, source: Citation, least: Number) -> None:
    """The plate by the WPS's own minimum, then by the table where that asks for more."""
    by_own = source is YOUR_WPS
    judge_band(w, "preheat" if by_own else "preheat-wps", "metal", own, None, figure="The plate, at {metal},",
        limit="preheat", under="Heat it before you strike an arc.")
    if by_own:
        return
    if metal >= least:
        w.ok("preheat", "The plate is at {metal}, at or over the minimum preheat of {least}.", source=source)
    elif own is not None and metal >= own:
        w.caution("preheat", "The plate is at {metal}, under the {least} of the table. Your WPS would allow it: heat "
            "the plate to {least} until who wrote the WPS has told you why it may be colder.", source=source)
    else:
        w.stop("preheat", "The plate is at {metal}, under the minimum preheat of {least}.", source=source)


def _rod_fits(electrode: str, steel: Steel | None) -> bool:
    """Whether the table has a row for this kind of electrode on this steel; of a steel without rows nothing is
    known."""
    return electrode == "low-hydrogen" or steel is None or bool(steel.other)


def _minimum(
    w: Working, electrode: str, steel: Steel | None, thickness: Fraction, wps_minimum: Fraction | None,
) -> tuple[Citation, Number]:
    """The higher of the table's row and the WPS's own minimum, and where it comes from."""
    if wps_minimum is not None:
        w.given("wps_minimum", "T_WPS", wps_minimum, TEMPERATURE)
    if steel is None:
        if wps_minimum is None:
            raise InputError("wps_minimum", "Minimum preheat of your WPS",
                f"we hold no row for your steel; {ASK_FOR}, then write it here")
        w.not_known("steel", "We hold no row for your steel, so only the minimum of your WPS, {wps_minimum}, is "
            "judged. Ask the inspector which category it is in, and for the mill certificate.", source=YOUR_WPS,
        )
        judge_minimum(w, "wps_minimum", None)
        return YOUR_WPS, wps_minimum
    judge_rod_for_steel(w, electrode, steel)
    row = row_for(electrode, steel, thickness)
    by_table = w.value("by_table", f"Table, {row.thickness}", row.temperature, TEMPERATURE, source=row.source,
        symbol="T_table")
    w.words("as_printed", "As the table prints it", row.printed, source=row.source)
    say_steel(w, steel, wps_minimum)
    _other_row(w, steel, row, thickness)
    if wps_minimum is not None:
        judge_minimum(w, "wps_minimum", row)
        if wps_minimum > by_table.amount:
            return YOUR_WPS, wps_minimum
    return row.source, by_table.amount


def covering_of(electrode: str) -> str:
    """Which rows of the preheat table a class of rod goes by: "low-hydrogen" or "other".

    >>> covering_of("E7018"), covering_of("E6010")
    ('low-hydrogen', 'other')
    """
    return "low-hydrogen" if electrode == "E7018" else "other"


def row_for(covering: str, steel: Steel, thickness: Number) -> PreheatRow:
    """The row of the preheat table for a steel, a kind of covering and a thickness in m. Of a steel without rows for
    rods that are not low-hydrogen it is the one for low-hydrogen."""
    other = steel.other if covering == "other" else ""
    return preheat_row(other or steel.category, thickness)


def judge_rod_for_steel(w: Working, covering: str, steel: Steel) -> None:
    """A steel that takes low-hydrogen rods only stops any other. Source: AWS D1.1, Tables 3.1 and 3.3 (from memory)."""
    if not _rod_fits(covering, steel):
        w.stop("rod-for-steel", f"{steel.label} is welded with low-hydrogen rods only; the table holds no preheat for "
            f"others.", source=LOW_HYDROGEN_ONLY.source)


def judge_minimum(w: Working, name: str, row: PreheatRow | None, *, bad_only: bool = True) -> None:
    """Judge the minimum preheat of a WPS itself, known to the sheet as `name`, by the row of the table: a lower one is
    a caution on the WPS, and so is one over any usual maximum. `row` is None for a steel that is not held.

    Source: AWS D1.1:2015, Table 3.3 (read; some steels secondary or from memory).
    """
    minimum = w.known[name].amount  # type: ignore[union-attr]
    if minimum > USUAL_MAXIMUM.amount:
        w.mention("usual_most", USUAL_MAXIMUM)
        w.caution(
            "wps-minimum", f"A minimum preheat of {{{name}}} is over the {{usual_most}} that WPSs commonly name as "
            "the maximum. Read your WPS again.", source=USUAL_MAXIMUM.source,
        )
    elif row is None:
        return
    elif minimum < row.temperature:
        w.known["row_least"] = Amount(row.temperature, TEMPERATURE)
        w.caution(
            "wps-minimum", f"The {{{name}}} of your WPS is less preheat than the {{row_least}} of the table, "
            f"{row.thickness}. Ask who wrote the WPS by what test or clause it may be lower.", source=row.source,
        )
    elif not bad_only:
        w.known["row_least"] = Amount(row.temperature, TEMPERATURE)
        w.ok("wps-minimum", f"The minimum preheat of {{{name}}} is not under the {{row_least}} of the table, "
            f"{row.thickness}.", source=row.source)


def say_steel(w: Working, steel: Steel, wps_minimum: Fraction | None) -> None:
    """How sure the steel's category is. Held from memory and without the WPS's own figure beside it, it is a
    caution."""
    source = steel.standing
    if source.standing is Standing.FROM_MEMORY and wps_minimum is None:
        w.caution("steel", f"That {steel.label} belongs in this row is from memory. Ask for the minimum preheat "
            f"of your WPS.", source=source)
    elif source.standing is not Standing.READ:
        held = {Standing.SECONDARY: "from a secondary text"}.get(source.standing, "from memory")
        w.note("steel", f"That {steel.label} belongs in this row is held {held}.", source=source)


def _other_row(w: Working, steel: Steel, row: PreheatRow, thickness: Fraction) -> None:
    """The row of the other category, since the two are mixed up so often, and the two thickness columns."""
    if steel.other:
        other = preheat_row(steel.other if row.category == steel.category else steel.category, thickness)
        names = {steel.other: "electrodes that are not low-hydrogen", steel.category: "low-hydrogen electrodes"}
        w.value("other_row", f"For comparison: {names[other.category]}", other.temperature, TEMPERATURE,
            source=other.source)
        if row.least != other.least:
            w.note("other-category", f"Do not mix up the rows: {{other_row}} is for {names[other.category]}, "
                f"{{by_table}} for {names[row.category]}, both "
                "at this thickness.", source=row.source,
            )
    if parse("3/4 in", LENGTH) < thickness <= METRIC_LIMIT.amount:
        w.mention("metric_limit", METRIC_LIMIT)
        w.note("metric-column", "The metric column of the first row goes up to {metric_limit}, the inch column only to "
            "3/4 in. The answer takes the inch column, which asks for more.", source=METRIC_LIMIT.source,
        )


def _refuse_interpass(interpass: Fraction | None, least: Number) -> None:
    if interpass is not None and interpass < least:
        us, si = (show_as_written(least, TEMPERATURE, system) for system in ("us", "si"))
        raise InputError(
            "interpass", "Maximum interpass temperature", f"no temperature meets it and the minimum preheat; write "
            f"{us} ({si}) or more, and read your WPS again",
        )


def _check_air(w: Working, air: Fraction) -> None:
    w.mention("coldest", COLDEST_AIR)
    if air < COLDEST_AIR.amount:
        w.stop("air", "The air near the weld is at {air}, below {coldest}. Do not weld there; shelter and warm the "
            "place first.", source=COLDEST_AIR.source)
    else:
        w.ok("air", "The air near the weld is at {air}, not below {coldest}.", source=COLDEST_AIR.source)


def _check_interpass(w: Working, metal: Fraction, interpass: Fraction | None, least: Number) -> None:
    w.mention("usual_most", USUAL_MAXIMUM)
    if interpass is not None:
        w.given("interpass", "T_max", interpass, TEMPERATURE)
        judge_interpass_limit(w, "interpass", interpass)
        judge_between_passes(w, "metal", interpass, "Wait before the next pass.")
    elif metal > USUAL_MAXIMUM.amount:
        w.stop("interpass", "The plate is at {metal}, over every common maximum interpass temperature, up to "
            "{usual_most}. Wait, and read your WPS.",
            source=USUAL_MAXIMUM.source,
        )
    elif metal > max(LOW_MAXIMUM.amount, least):
        w.not_known("interpass", "The plate is at {metal} and no maximum interpass temperature is given. No document "
            "that we hold states one: the WPS does. Ask who wrote it.", source=USUAL_MAXIMUM.source,
        )
    else:
        w.note("interpass", "You gave no maximum interpass temperature. {metal} is below all common ones; read yours "
            "before the next pass.",
            source=LOW_MAXIMUM.source,
        )


def judge_between_passes(w: Working, name: str, most: Fraction, over: str) -> None:
    """Judge a plate between passes, known to the sheet as `name`, by the WPS's maximum interpass temperature; `over`
    says what to do where it is hotter."""
    judge_band(w, "interpass", name, None, most, figure=f"The plate, at {{{name}}},",
        limit="interpass temperature", over=over)


def judge_interpass_limit(w: Working, name: str, limit: Number) -> None:
    """Judge a maximum interpass temperature itself, known to the sheet as `name`: one over what WPSs name is looked at
    again."""
    if limit > USUAL_MAXIMUM.amount:
        w.mention("usual_most", USUAL_MAXIMUM)
        w.caution("interpass-limit", f"A maximum of {{{name}}} is over the {{usual_most}} that WPSs for carbon steel "
            f"commonly name. Read your WPS again.",
            source=USUAL_MAXIMUM.source,
        )


PREHEAT = Calculator(
    id="preheat",
    title="Preheat and interpass temperature",
    question="How warm must my plate be before I weld, and before each pass?",
    page="heat.md",
    work=work_preheat,
    main=("steel", "thickness", "metal"),
    inputs=(
        Choice(
            "electrode", "Electrode", (
                Option("low-hydrogen", "Low-hydrogen, such as E7018"),
                Option("other", "Not low-hydrogen, such as E6010, E6011 or E6013"),
            ), "low-hydrogen", "The table has a row of its own for each kind.",
            takes="covering",
        ),
        Quantity(
            "thickness", "Thickness of the thickest part at the weld", LENGTH, "1 in", "1/8 in", "8 in",
            "Plate or backing, whichever is thicker.",
            "t", common=("3/8 in", "3/4 in", "1 in", "2 in"),
        ),
        Quantity("metal", "Temperature of the plate now", TEMPERATURE, "65 °F", "-60 °F", "1200 °F",
            "Measured on the plate, not in the air.", "T_now", common=("20 °F", "65 °F", "150 °F"),
            takes="air"),
        Quantity("air", "Temperature of the air near the weld", TEMPERATURE, "65 °F", "-60 °F", "150 °F",
            "Right at the joint, inside any shelter.", "T_air"),
        Quantity("interpass", "Maximum interpass temperature", TEMPERATURE, "", "32 °F", "1200 °F", "From your WPS.",
            "T_max", takes="interpass_maximum", limit_of=("interpass",)),
        SteelChoice("steel", "Steel", STEEL_OPTIONS, "A36", "Specification and grade, from the mark or the mill "
            "certificate."),
        Quantity("wps_minimum", "Minimum preheat of your WPS", TEMPERATURE, "", "32 °F", "1200 °F",
            "The higher of it and the table counts.", "T_WPS", takes="preheat_minimum", limit_of=("preheat", "steel")),
    ),
)

# --- carbon equivalent -------------------------------------------------------

_IIW = Citation(IIW_CE, "", Standing.SECONDARY)
_WITH_SILICON = Citation(AWS_D11, "annex on preheat", Standing.SECONDARY,
    "That the annex adds silicon was seen in another text.")
_CET = Citation(EN_1011_2, "CET formula", Standing.FROM_MEMORY)
CE_IIW = Fact("ce-iiw", "Carbon equivalent CE (IIW)", None, None, _IIW, "C + Mn/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15")
CE_SILICON = Fact("ce-silicon", "Carbon equivalent with silicon", None, None, _WITH_SILICON,
    "C + (Mn + Si)/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15")
CE_CET = Fact("ce-cet", "Carbon equivalent CET", None, None, _CET, "C + (Mn + Mo)/10 + (Cr + Cu)/20 + Ni/40")
CE_EASY = Fact("ce-easy", "CE (IIW) up to which plain steel seldom hardens much", parse("0.40 %", PERCENTAGE),
    PERCENTAGE, COMMON)
CE_HARD = Fact("ce-hard", "CE (IIW) over which hardening must be expected", parse("0.45 %", PERCENTAGE), PERCENTAGE,
    COMMON)
CE_STOP = Fact(
    "ce-own-procedure", "Carbon equivalent over which a steel needs a WPS of its own", parse("0.60 %", PERCENTAGE),
    PERCENTAGE,
    Citation(None, "Trade figure for weldable structural steel", Standing.FROM_MEMORY),
)
A36_CARBON = Fact(
    "a36-carbon", "Maximum carbon in A36", parse("0.26 %", PERCENTAGE), PERCENTAGE,
    Citation(None, "ASTM A36, as another text reports it", Standing.SECONDARY,
        "The limit differs by thickness and shape."),
)
_FIT = Citation(EN_1011_2, "ranges of the carbon equivalent methods", Standing.FROM_MEMORY)
FIT_LIMITS: dict[str, Fact] = {
    name: Fact(f"ce-fit-{name}", f"Maximum {word} for which CE (IIW) is meant", parse(most, PERCENTAGE), PERCENTAGE,
        _FIT)
    for name, word, most in (
        ("carbon", "carbon", "0.25 %"), ("manganese", "manganese", "1.7 %"), ("chromium", "chromium", "0.9 %"),
        ("molybdenum", "molybdenum", "0.75 %"), ("vanadium", "vanadium", "0.20 %"), ("nickel", "nickel", "2.5 %"),
        ("copper", "copper", "1.0 %"),
    )
}


def work_carbon_equivalent(
    w: Working, *, carbon: Fraction, manganese: Fraction, silicon: Fraction, chromium: Fraction, molybdenum: Fraction,
    vanadium: Fraction,
    nickel: Fraction, copper: Fraction,
) -> None:
    """How easily a steel hardens beside the weld, by three formulas.

    CE = C + Mn/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15; CE_Si the same with (Mn + Si)/6; CET = C + (Mn + Mo)/10 + (Cr +
    Cu)/20 + Ni/40; all in % by mass.

    Valid inside the composition that the formulas are meant for; outside it the answer is worked out with a caution.
    The higher of CE and CE_Si is judged. Carbon or manganese of 0 means that it was not read. Raises nothing.
    Source: IIW formula and AWS D1.1 annex, secondary; CET of EN 1011-2, from memory; the limits common practice and
    from memory.

    >>> answer = CARBON_EQUIVALENT.answer(
    ...     carbon="0.20 %", manganese="0.90 %", chromium="0.15 %", molybdenum="0.05 %", nickel="0.15 %",
    ...     copper="0.20 %",
    ... )
    >>> round(float(answer["ce_iiw"].amount), 4)  # by hand: 0.20 + 0.15 + 0.04 + 0.0233
    0.4133
    """
    amounts = {
        "carbon": carbon, "manganese": manganese, "chromium": chromium, "molybdenum": molybdenum, "vanadium": vanadium,
        "nickel": nickel, "copper": copper,
    }
    letters = ("C", "Mn", "Cr", "Mo", "V", "Ni", "Cu")
    c, mn, cr, mo, v, ni, cu = (
        w.given(name, letter, amount, PERCENTAGE)
        for letter, (name, amount) in zip(letters, amounts.items(), strict=True)
    )
    si = w.given("silicon", "Si", silicon, PERCENTAGE)
    hardeners = w.let("hardeners", "Share of chromium, molybdenum and vanadium", "K_5", PERCENTAGE, (cr + mo + v) / 5,
        source=_IIW, answer=False)
    toughness = w.let("nickel_copper", "Share of nickel and copper", "K_15", PERCENTAGE, (ni + cu) / 15, source=_IIW,
        answer=False)
    ce = w.let("ce_iiw", "CE (IIW)", "CE", PERCENTAGE, c + mn / 6 + hardeners + toughness, source=_IIW, main=True)
    with_silicon = w.let("ce_silicon", "CE with silicon", "CE_Si", PERCENTAGE,
        c + (mn + si) / 6 + hardeners + toughness, source=_WITH_SILICON, main=True)
    w.let("cet", "CET", "CET", PERCENTAGE, c + (mn + mo) / 10 + (cr + cu) / 20 + ni / 40, source=_CET, main=True)
    w.say("CE (IIW) is {ce_iiw}, {ce_silicon} with silicon counted, and CET is {cet}. Compare each only with limits of "
        "its own kind.")
    w.draw(scales.equivalents(w))
    _judge_hardening(w, ce.amount, max(ce.amount, with_silicon.amount))
    _judge_certificate(w, {**amounts, "silicon": silicon})
    w.warn(HELP_ONLY)


def _judge_hardening(w: Working, ce: Number, worse: Number) -> None:
    """By the higher of the two carbon equivalents of one kind; CET has limits of its own that we do not hold."""
    for name, fact in (("easy", CE_EASY), ("hard", CE_HARD), ("own_wps", CE_STOP)):
        w.mention(name, fact)
    if worse <= CE_EASY.amount:
        w.ok("hardening", "CE is not over {easy}, with and without silicon: such plate seldom hardens much beside the "
            "weld. The preheat table still holds.",
            source=CE_EASY.source,
        )
    elif worse > CE_STOP.amount:
        w.stop("hardening", "CE is over {own_wps}: this is no ordinary structural steel. It needs a WPS of its own; "
            "ask for it before you strike an arc.",
            source=CE_STOP.source,
        )
    elif ce > CE_HARD.amount:
        w.caution("hardening", "CE (IIW) is over {hard}: expect hardening beside the weld. Ask which preheat your WPS "
            "gives.", source=CE_HARD.source)
    else:
        which = "CE (IIW)" if ce > CE_EASY.amount else "CE with silicon"
        w.caution("hardening", f"{which} is over {{easy}}: thick or cold plate may harden beside the weld. Keep "
            f"strictly to low-hydrogen rods and preheat.",
            source=CE_EASY.source,
        )


RESIDUALS = ("silicon", "chromium", "molybdenum", "vanadium", "nickel", "copper")


def _judge_certificate(w: Working, amounts: dict[str, Fraction]) -> None:
    """What the certificate states: carbon and manganese always, the residual elements mostly."""
    for name in ("carbon", "manganese"):
        if not amounts[name]:
            w.incomplete(name, f"The {name} is 0: every mill certificate states it. Read it and put it in; without it "
                f"the figure means nothing.", source=ENTERED)
    missing = [name for name in RESIDUALS if not amounts[name]]
    if missing:
        w.caution("unstated", f"A 0 stands for {listed(missing, 'and')}. What a certificate does not state is not "
            f"zero, so the true figure can be higher: "
            "ask for the full one.", source=COMMON,
        )
    w.mention("a36", A36_CARBON)
    if amounts["carbon"] > A36_CARBON.amount:
        w.caution("a36-carbon", "{carbon} carbon is over the {a36} of A36. Check which steel you have.",
            source=A36_CARBON.source)
    for name, fact in FIT_LIMITS.items():
        if amounts[name] > fact.amount:
            w.mention(f"fit_{name}", fact)
            w.caution(f"fit-{name}", f"{{{name}}} {name} is over the {{fit_{name}}} for which CE (IIW) is meant: the "
                f"figure may mislead.", source=fact.source)


def _element(name: str, letter: str, default: str, high: str, most: tuple[str, ...] = ()) -> Quantity:
    label = f"{name.capitalize()}, {letter}"
    hint = "From the mill certificate." if name in ("carbon",
        "manganese") else "From the mill certificate; 0 where it is not stated."
    return Quantity(name, label, PERCENTAGE, default, "0 %", high, hint, letter, common=most)


CARBON_EQUIVALENT = Calculator(
    id="carbon-equivalent",
    title="Carbon equivalent",
    question="How easily does this steel harden beside the weld?",
    page="carbon.md",
    work=work_carbon_equivalent,
    main=("carbon", "manganese", "chromium"),
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

_PLAIN = Citation(ASME_IX, "QW-409.1", Standing.FROM_MEMORY, "AWS D1.1 uses the same. The expression was also seen in "
    "another text.")
_K_VALUES = Citation(EN_1011_1, "arc efficiency", Standing.FROM_MEMORY)
_WITH_K = Citation(EN_1011_1, "heat input", Standing.SECONDARY, "A steel mill's welding handbook gives the same "
    "expression.")
HEAT_PLAIN = Fact("heat-input-plain", "Heat input without arc efficiency", None, None, _PLAIN,
    "H = 60 × V × A ÷ (1000 × in/min), in kJ/in")
HEAT_WITH_K = Fact("heat-input-with-k", "Heat input with arc efficiency", None, None, _WITH_K,
    "Q = k × V × A ÷ (1000 × mm/s), in kJ/mm")


@dataclass(frozen=True)
class Process:
    """A welding process and its arc efficiency k."""

    value: str
    label: str
    k: str

    @property
    def fact(self) -> Fact:
        """The arc efficiency of the process, as an entry of the register."""
        return Fact(f"arc-efficiency-{self.value}", f"Arc efficiency k, {self.label}", Fraction(self.k), NUMBER,
            _K_VALUES)


PROCESSES: tuple[Process, ...] = (
    Process("smaw", "shielded metal arc (stick), 111", "0.8"), Process("gmaw", "gas metal arc, 131 and 135", "0.8"),
    Process("fcaw", "flux-cored arc, 114 and 136", "0.8"), Process("saw", "submerged arc, 121", "1.0"),
    Process("gtaw", "gas tungsten arc, 141", "0.6"), Process("paw", "plasma arc, 15", "0.6"),
)


def work_heat_input(
    w: Working, *, volts: Fraction, amps: Fraction, speed: Fraction, process: str, most: Fraction | None,
    volts_low: Fraction | None, volts_high: Fraction | None, amps_low: Fraction | None, amps_high: Fraction | None,
    travel_low: Fraction | None, travel_high: Fraction | None,
) -> None:
    """How much heat each length of weld takes, by both formulas that carry that name.

    H = U × I / v, in J/m: what the arc puts out; US codes write 60 × V × A / (1000 × in/min), in kJ/in, and limit it.
    Q = k × U × I / v: what reaches the plate; U: volts, V; I: current, A; v: travel speed, m/s; k: arc efficiency of
    the process.

    Valid for the processes listed. The limits of the WPS are judged first; a stick arc is then judged as such. Raises
    `InputError` where a band of the WPS is upside down.
    Source: ASME IX, QW-409.1, from memory; EN 1011-1, secondary, its k from memory.

    >>> HEAT_INPUT_CALCULATOR.answer(volts="24 V", amps="125 A", speed="6 in/min")["plain"].text("us")  # 60·24·125/6000
    '30\xa0kJ/in'
    """
    chosen = next(each for each in PROCESSES if each.value == process)
    v = w.given("volts", "U", volts, VOLTAGE)
    i = w.given("amps", "I", amps, CURRENT)
    s = w.given("speed", "v", speed, TRAVEL_SPEED)
    plain = w.let("plain", "Heat input H, without arc efficiency", "H", HEAT_INPUT, v * i / s, source=_PLAIN, main=True)
    k = w.fact(chosen.fact, "k")
    w.let("with_k", "Heat input Q, with arc efficiency", "Q", HEAT_INPUT, k * v * i / s, source=_WITH_K, main=True)
    w.say("The heat input is H = {plain} without arc efficiency, and Q = {with_k} with it. Say which one you mean when "
        "you write it down.")
    w.note("two-figures", "H and Q are not the same figure. US codes limit H; the cooling-time formula takes Q. Never "
        "compare one with a limit on the other.",
        source=_WITH_K,
    )
    if most is None:
        w.note("heat-limit", "No maximum is given, so H is not judged. Read your WPS for one.", source=ENTERED)
    else:
        judge_heat_limit(w, "plain", most)
    judge_arc(w, volts=(volts_low, volts_high), amps=(amps_low, amps_high), speed=(travel_low, travel_high))
    if process == "smaw":
        judge_stick(w, volts, amps, speed)
    w.draw(scales.both_heats(w))
    w.warn("Read amperage and voltage with the arc burning, and let a second person read the meter. You watch the "
        "puddle.")
    w.warn(HELP_ONLY)


def judge_heat_limit(w: Working, name: str, most: Fraction) -> None:
    """Judge a heat input H, known to the sheet as `name`, by the WPS's own maximum."""
    judge_band(w, "heat-limit", name, None, most, figure=f"H = {{{name}}}", over="Travel faster or lower the amperage.")


HEAT_INPUT_CALCULATOR = Calculator(
    id="heat-input",
    title="Heat input",
    question="How much heat goes into each length of weld?",
    page="heat.md",
    work=work_heat_input,
    main=("volts", "amps", "speed"),
    inputs=(
        Quantity("volts", "Arc voltage", VOLTAGE, "24 V", "5 V", "100 V", "With the arc burning.", "U",
            common=("22 V", "24 V", "26 V"), takes="volts_middle"),
        Quantity("amps", "Amperage", CURRENT, "125 A", "10 A", "2000 A", "With the arc burning.", "I",
            common=("90 A", "120 A", "125 A", "140 A")),
        Quantity("speed", "Travel speed", TRAVEL_SPEED, "6 in/min", "0.5 in/min", "200 in/min",
            "Bead length divided by arc time.", "v", common=("4 in/min", "6 in/min", "8 in/min"),
            takes="travel_middle"),
        Choice("process", "Process", tuple(Option(each.value, each.label) for each in PROCESSES), "smaw",
            "Decides the arc efficiency k."),
        Quantity("most", "Maximum heat input H of your WPS", HEAT_INPUT, "", "1 kJ/in", "500 kJ/in",
            "If it states one.", "H_max", takes="heat_most"),
        *VOLTS_BAND, *AMPS_BAND, *TRAVEL_BAND,
    ),
)

# --- cooling time ------------------------------------------------------------

_FORMULAS = Citation(
    EN_1011_2, "Annex D", Standing.SECONDARY, "A steel mill's welding handbook gives the same two formulas. No "
    "published worked example was found.",
)
_ANNEX_D = Citation(EN_1011_2, "Annex D", Standing.FROM_MEMORY)
COOLING_THICK = Fact(
    "cooling-thick", "Cooling time from 800 to 500 °C, heat flow in three directions", None, None, _FORMULAS,
    "(6700 − 5·T0)·Q·[1/(500 − T0) − 1/(800 − T0)]·F3",
)
COOLING_THIN = Fact(
    "cooling-thin", "Cooling time from 800 to 500 °C, heat flow in two directions", None, None, _FORMULAS,
    "(4300 − 4.3·T0)·10⁵·(Q²/d²)·[1/(500 − T0)² − 1/(800 − T0)²]·F2",
)
COOLING_TRANSITION = Fact(
    "cooling-transition", "Thickness at which both cooling times agree, for equal factors", None, None, _ANNEX_D,
    "d = √{(4300 − 4.3·T0)·10⁵ / (6700 − 5·T0)·Q·[1/(500 − T0) + 1/(800 − T0)]}",
)
COOLS_FAST = Fact(
    "cooling-fast", "Cooling time under which plain steel may harden beside the weld", parse("5 s", TIME), SECONDS,
    Citation(None, "Trade figure for plain structural steel", Standing.FROM_MEMORY),
)
COOLS_SLOW = Fact(
    "cooling-slow", "Cooling time over which the steel beside the weld may turn soft and coarse", parse("30 s", TIME),
    SECONDS,
    Citation(None, "Trade figure for plain structural steel", Standing.FROM_MEMORY),
)
_CHART = Citation(WELDING_HANDBOOK, "figure 3.9", Standing.SECONDARY,
    "A chart of the formula for thick plate; it has no printed numbers.")
CHART_HEAT_LOW = Fact("cooling-chart-heat-low", "Minimum heat input Q of the chart", parse("0.5 kJ/mm", HEAT_INPUT),
    HEAT_INPUT, _CHART)
CHART_HEAT_HIGH = Fact("cooling-chart-heat-high", "Maximum heat input Q of the chart", parse("5 kJ/mm", HEAT_INPUT),
    HEAT_INPUT, _CHART)
CHART_START = Fact(
    "cooling-chart-start", "Maximum plate temperature of the chart", parse("250 degC", TEMPERATURE), TEMPERATURE,
    _CHART,
)
FACTOR_BUTT = Fact("cooling-factor-butt", "Joint factors F2 and F3, fill pass of a groove weld", Fraction("0.9"),
    NUMBER, _ANNEX_D)
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


def work_cooling_time(
    w: Working, *, heat: Fraction, start: Fraction, thickness: Fraction, joint: str, factor_thick: Fraction | None,
    factor_thin: Fraction | None,
) -> None:
    """How long the weld takes from 800 to 500 °C, where steel hardens or stays soft.

    t_3D = (6700 − 5·T_0) · Q · [1/(500 − T_0) − 1/(800 − T_0)] · F_3: thick plate, s.
    t_2D = (4300 − 4.3·T_0) · 10⁵ · (Q²/d²) · [1/(500 − T_0)² − 1/(800 − T_0)²] · F_2: thin plate, s.
    d_t = √{(4300 − 4.3·T_0) · 10⁵ / (6700 − 5·T_0) · Q · [1/(500 − T_0) + 1/(800 − T_0)]}: thickness at which both
    agree, mm. Q: heat input with arc efficiency, kJ/mm; T_0: plate before the pass, °C; d: thickness, mm; F: joint
    factors.

    Valid for plain and low-alloy steel and a plate that goes on far; the longer time governs. Raises `InputError` where
    own factors are wanted and missing. Source: EN 1011-2, Annex D, secondary; factors from memory.

    >>> answer = COOLING_TIME.answer(heat="1 kJ/mm", start="20 degC", thickness="25.4 mm", joint="plate")
    >>> round(float(answer["thick"].amount), 2)  # by hand: 6600 · (1/480 - 1/780)
    5.29
    """
    f3, f2 = _factors(w, joint, factor_thick, factor_thin)
    thick, thin, transition = _cooling_formulas(w, heat, start, thickness, f3, f2)
    thin_governs = thin.amount > thick.amount
    longer = thin.amount if thin_governs else thick.amount
    w.value("cooling_time", "Cooling time from 800 to 500 °C, t8/5", longer, SECONDS, source=_FORMULAS, symbol="t_8/5",
        main=True, digits=3)
    w.words("governs", "Which governs (the longer time)", f"{'thin' if thin_governs else 'thick'} plate",
        source=_FORMULAS, main=True)
    w.say(f"The weld cools from 800 to 500 °C in about {{cooling_time}}. The "
        f"{'thin' if thin_governs else 'thick'}-plate formula governs.")
    w.draw(scales.cooling(w))
    _judge_cooling(w, longer)
    _check_chart(w, heat, start)
    judge_start(w, "start", start)
    w.note("governs", "Thick plate gives {thick}, thin plate {thin}. The longer one governs. Under {transition} a "
        "plate counts as thin, for equal factors.",
        source=_FORMULAS,
    )
    if thin_governs != (thickness < transition.amount) and f2.amount != f3.amount:
        w.caution("unequal-factors", "With unequal factors the longer time and the transition thickness name different "
            "formulas. Compare both times.", source=_ANNEX_D)
    w.note("short-plate", "The formula is for a plate that is large in every direction. A short test plate warms as "
        "a whole: measure it before each pass and put that temperature in.", source=_FORMULAS,
    )
    w.warn(HELP_ONLY)


def _cooling_formulas(
    w: Working, heat: Fraction, start: Fraction, thickness: Fraction, f3: Symbol, f2: Symbol,
) -> tuple[Symbol, Symbol, Symbol]:
    """The two cooling times and the thickness at which they agree."""
    q = w.given("heat", "Q", heat, HEAT_INPUT, us=KILOJOULE_PER_MILLIMETRE, si=KILOJOULE_PER_MILLIMETRE)
    t0 = w.given("start", "T_0", start, TEMPERATURE, us=CELSIUS, si=CELSIUS)
    d = w.given("thickness", "d", thickness, LENGTH, us=MILLIMETRE, si=MILLIMETRE)
    lower, upper = 1 / (_celsius(500) - t0), 1 / (_celsius(800) - t0)
    note = "The formula takes Q in kJ/mm, T in °C and d in mm, in both unit systems."
    thick = w.let(
        "thick", "Thick plate: heat flows in three directions", "t_3D", SECONDS,
        _thick_coefficient(t0) * q * (lower - upper) * f3,
        source=_FORMULAS, digits=3, note=note,
    )
    thin = w.let(
        "thin", "Thin plate: heat flows in two directions", "t_2D", SECONDS,
        _thin_coefficient(t0) * (q**2 / d**2) * (lower**2 - upper**2) * f2, source=_FORMULAS, digits=3, note=note,
    )
    transition = w.let(
        "transition", "Transition thickness, for equal factors", "d_t", LENGTH,
        sqrt(_thin_coefficient(t0) / _thick_coefficient(t0) * q * (lower + upper)), source=_ANNEX_D, as_fraction=True,
        main=True,
    )
    return thick, thin, transition


def _judge_cooling(w: Working, seconds: Number) -> None:
    w.mention("fast", COOLS_FAST)
    w.mention("slow", COOLS_SLOW)
    if seconds < COOLS_FAST.amount:
        w.caution("cooling-time", "{cooling_time} is under {fast}: the steel beside the weld may turn hard. More "
            "preheat or more heat input slows it.",
            source=COOLS_FAST.source,
        )
    elif seconds > COOLS_SLOW.amount:
        w.caution("cooling-time", "{cooling_time} is over {slow}: the steel beside the weld may turn soft and coarse, "
            "and the formula is used far outside its usual range.",
            source=COOLS_SLOW.source,
        )
    else:
        w.ok("cooling-time", "{cooling_time} is between {fast} and {slow}. Limits in your WPS come first.",
            source=COOLS_FAST.source)


def _check_chart(w: Working, heat: Fraction, start: Fraction) -> None:
    """Whether the formula is used where a handbook charts it; the plate colder than the chart is judged as a plate."""
    for name, fact in (("q_low", CHART_HEAT_LOW), ("q_high", CHART_HEAT_HIGH), ("t_high", CHART_START)):
        w.mention(name, fact)
    if not CHART_HEAT_LOW.amount <= heat <= CHART_HEAT_HIGH.amount or start > CHART_START.amount:
        w.caution(
            "chart", "A handbook charts this formula for {q_low} to {q_high} and plate up to {t_high}. You are "
            "outside: "
            "take the answer as a trend, not as a figure.", source=CHART_HEAT_LOW.source,
        )


def judge_start(w: Working, name: str, start: Number) -> None:
    """Judge the plate before a pass, known to the sheet as `name`, where neither steel nor WPS is asked: a caution
    outside the usual."""
    if start < COLD_METAL.amount:
        w.mention("freezing", COLD_METAL)
        w.caution("start", f"{{{name}}} is below {{freezing}}: no plate is welded so cold. See the preheat calculator.",
            source=COLD_METAL.source)
    elif start > USUAL_MAXIMUM.amount:
        w.mention("usual_most", USUAL_MAXIMUM)
        w.caution("start", f"{{{name}}} is over the {{usual_most}} that WPSs for carbon steel commonly name as the "
            f"maximum between passes.",
            source=USUAL_MAXIMUM.source,
        )


def _factors(w: Working, joint: str, thick: Fraction | None, thin: Fraction | None) -> tuple[Symbol, Symbol]:
    """The joint factors for heat flow in three and in two directions. Raises `InputError` where own ones are wanted and
    missing."""
    if joint == "own":
        for name, label, value in (("factor_thick", "Your factor F3, thick plate", thick),
            ("factor_thin", "Your factor F2, thin plate", thin)):
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
    page="carbon.md",
    work=work_cooling_time,
    main=("heat", "start", "thickness"),
    inputs=(
        Quantity("heat", "Heat input Q, with arc efficiency", HEAT_INPUT, "24 kJ/in", "1 kJ/in", "200 kJ/in",
            "Q of the heat input calculator, not H.", "Q", common=("20 kJ/in", "24 kJ/in", "30 kJ/in"),
            takes="heat-input.with_k"),
        Quantity("start", "Temperature of the plate before the pass", TEMPERATURE, "70 °F", "-40 °F", "600 °F",
            "Preheat, or interpass.", "T_0", common=("70 °F", "150 °F", "250 °F"), takes="preheat.least"),
        Quantity("thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "8 in", "Measured.", "d",
            common=("3/8 in", "1/2 in", "1 in")),
        Choice(
            "joint", "What is welded", (
                Option("butt", "Fill pass in a butt joint"), Option("plate", "Bead on flat plate"),
                Option("own", "Another joint: my own factors"),
            ), "butt", "Decides the joint factors F2 and F3.",
        ),
        Quantity("factor_thick", "Your factor F3, thick plate", NUMBER, "", "0.3", "1.5", "Only for your own factors.",
            "F_3"),
        Quantity("factor_thin", "Your factor F2, thin plate", NUMBER, "", "0.3", "1.5", "Only for your own factors.",
            "F_2"),
    ),
)

FACTS: tuple[Fact, ...] = (
    *(row.fact for row in PREHEAT_ROWS), LOW_MAXIMUM, USUAL_MAXIMUM, COLD_METAL, COLD_PREHEAT, COLDEST_AIR,
    METRIC_LIMIT, PREHEAT_ZONE,
    CE_IIW, CE_SILICON, CE_CET, CE_EASY, CE_HARD, CE_STOP, A36_CARBON, *FIT_LIMITS.values(),
    HEAT_PLAIN, HEAT_WITH_K, *(each.fact for each in PROCESSES),
    COOLING_THICK, COOLING_THIN, COOLING_TRANSITION, COOLS_FAST, COOLS_SLOW, CHART_HEAT_LOW, CHART_HEAT_HIGH,
    CHART_START, FACTOR_BUTT, FACTOR_PLATE,
)
