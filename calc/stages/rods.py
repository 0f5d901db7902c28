"""Rods: what one weighs and yields, and how long a low-hydrogen rod may be out of the oven.

Stage: rods. A rod is a core wire with a covering; its mass and what it leaves in the weld are a mass balance. The
limits of exposure are those of the structural code: hours in the air by class, holding temperature, one rebake, none
after water. The electrode maker's instructions and the WPS come first where they are stricter.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import Calculator, Choice, Clock, InputError, Option, Quantity, Whole, Working
from calc.core.formula import PI, Formula, Symbol
from calc.core.sources import AWS_A51, AWS_A55, AWS_D11, COMMON, GEOMETRY, Citation, Fact, Standing
from calc.core.units import GRAM, HOUR, MASS, NUMBER, OUNCE, PERCENTAGE, STRESS, TEMPERATURE, TIME, Number, parse
from calc.show.scales import exposure as draw_exposure

HOURS = TIME.shown_in(us=HOUR, si=HOUR)
ROD_MASS = MASS.shown_in(us=OUNCE, si=GRAM)

# --- what a rod weighs and yields ------------------------------------------------

_TABLES = "Handbook tables of deposition efficiency, stub not counted"


@dataclass(frozen=True)
class RodRow:
    """What a class of rod yields: metal left in the weld, of the mass melted; and how heavy a rod is against its
    core."""

    electrode: str
    efficiency: str
    covering: str
    note: str = ""

    @property
    def efficiency_fact(self) -> Fact:
        """The deposition efficiency of the rod, as an entry of the register."""
        return Fact(
            f"efficiency-{self.electrode.lower()}", f"Deposition efficiency, {self.electrode}",
            parse(self.efficiency, PERCENTAGE),
            PERCENTAGE, Citation(None, _TABLES, Standing.FROM_MEMORY, self.note),
        )

    @property
    def covering_fact(self) -> Fact:
        """The mass of a rod against that of its core wire, as an entry of the register."""
        return Fact(
            f"rod-to-core-{self.electrode.lower()}", f"A rod with its covering, against its core wire, "
            f"{self.electrode}",
            Fraction(self.covering), NUMBER,
            Citation(None, "Rough trade figure, no source", Standing.COMMON_PRACTICE, "Weigh ten rods to know yours."),
        )


ROD_ROWS: tuple[RodRow, ...] = (
    RodRow("E7018", "71 %", "1.4", "Tables print 71 to 72 %."),
    RodRow("E6010", "63 %", "1.2"),
    RodRow("E6011", "68 %", "1.2"),
    RodRow("E6013", "67 %", "1.3"),
)


def rod_row(electrode: str) -> RodRow:
    """What a rod of this class yields. Raises `InputError` for a class without a row.

    >>> rod_row("E7018").efficiency
    '71 %'
    """
    for row in ROD_ROWS:
        if row.electrode == electrode:
            return row
    raise InputError("electrode", "Electrode class", f"no row for {electrode}; choose "
        f"{', '.join(row.electrode for row in ROD_ROWS)}")


def core_mass(diameter: Symbol, length: Symbol, density: Symbol) -> Formula:
    """Mass of the core wire of one rod: m_core = π/4 × d² × ℓ × ρ, in kg.

    d: core diameter, m; ℓ: length of the rod, m; ρ: density of steel, kg/m³; all above 0. Source: volume of a cylinder.

    An example of core wires weighed for ISO 2401: five of 4.0 × 380 mm weigh 188 g.

    >>> from calc.core.units import LENGTH
    >>> from calc.stages.groove import STEEL_DENSITY
    >>> d, l = Symbol("d", parse("4 mm", LENGTH), LENGTH), Symbol("ℓ", parse("380 mm", LENGTH), LENGTH)
    >>> round(5000 * float(core_mass(d, l, Symbol("ρ", STEEL_DENSITY.amount, STEEL_DENSITY.kind)).value))
    187
    """
    return PI * diameter**2 / 4 * length * density


def rod_mass(core: Formula, covering: Symbol) -> Formula:
    """Mass of one rod with its covering: m_rod = k × m_core, in kg.

    m_core: mass of its core wire, kg; k: rod against core wire, 1 or more. Source: k is a rough trade figure; weigh ten
    rods.

    >>> rod_mass(Symbol("m_core", Fraction(2), ROD_MASS), Symbol("k", Fraction(3, 2), NUMBER)).value
    Fraction(3, 1)
    """
    return covering * core


def net_yield(efficiency: Symbol, melted_share: Symbol) -> Formula:
    """Share of a rod that ends in the weld: y = E × p / 100, in %.

    E: deposition efficiency of the rod, stub not counted, %; p: share of the rod that is melted, %; both above 0 up to
    100. Source: mass balance. A handbook's table of stub loss prints 55.7 % for 65 %, a 14 in rod and a stub of 2 in:

    >>> round(float(net_yield(Symbol("E", 65, PERCENTAGE), Symbol("p", Fraction(1200, 14), PERCENTAGE)).value), 1)
    55.7
    """
    return efficiency * melted_share / 100


# --- out of the oven ----------------------------------------------------------------

_TABLE = Citation(AWS_D11, "Table 5.1, column A", Standing.FROM_MEMORY,
    "The electrode maker's limit comes first where it is shorter.")
_TABLE_R = Citation(AWS_D11, "Table 5.1, column A", Standing.SECONDARY,
    "A practice page for an examination says it. The maker's limit comes first.")
_BY_TEST = Citation(AWS_D11, "clause 5.3.2.3", Standing.READ)
_CLAUSE_OPEN = Citation(AWS_D11, "clause 5.3.2.1", Standing.READ, "Prints 250 °F (120 °C).")
_CLAUSE_USE = Citation(AWS_D11, "clauses 5.3.2.1 to 5.3.2.2", Standing.READ)
_REBAKE_A51 = Citation(AWS_D11, "rebaking of AWS A5.1 electrodes", Standing.FROM_MEMORY,
    "Go by the electrode maker's instructions.")
_REBAKE_A55 = Citation(AWS_A55, "rebaking", Standing.READ)

EXPOSURE_E70 = Fact("exposure-e70", "Maximum time out of the oven, E70XX low-hydrogen", parse("4 h", TIME), HOURS,
    _TABLE)
EXPOSURE_E70R = Fact("exposure-e70r", "Maximum time out of the oven, E70XX with the suffix R", parse("9 h", TIME),
    HOURS, _TABLE_R)
HOLDING = Fact("oven-holding", "Minimum temperature of the holding oven", parse("250 °F", TEMPERATURE), TEMPERATURE,
    _CLAUSE_OPEN)
HOLDING_METRIC = Fact(
    "oven-holding-metric", "Minimum temperature of the holding oven, as printed in °C", parse("120 degC", TEMPERATURE),
    TEMPERATURE, _CLAUSE_OPEN,
)
HOLDING_USUAL = Fact("oven-holding-usual-most", "Usual maximum of a holding oven",
    parse("300 °F", TEMPERATURE), TEMPERATURE, COMMON)
LONGER_BY_TEST = Fact("exposure-by-test", "A longer time in the air than the table gives", None, None, _BY_TEST,
    "only by test, column B of the table")
LITTLE_LEFT = Fact("exposure-little-left", "Time left at which you take fresh rods for the next pass",
    parse("30 min", TIME), TIME, COMMON)
RETURN_HOLD = Fact("oven-return-hold", "Minimum time back in the oven before rods are given out again",
    parse("4 h", TIME), HOURS, _CLAUSE_USE)
REBAKES = Fact("rebake-count", "How often a rod may be rebaked", None, None, _CLAUSE_USE, "no more than once")
WET = Fact("wet-rods", "Rods that have been wet", None, None, _CLAUSE_USE, "shall not be used")
REBAKE_TIME = Fact("rebake-time", "Minimum rebake time, AWS A5.1 low-hydrogen rods", parse("2 h", TIME), HOURS,
    _REBAKE_A51)
REBAKE_LOW = Fact("rebake-low", "Minimum rebaking temperature, AWS A5.1", parse("500 °F", TEMPERATURE), TEMPERATURE,
    _REBAKE_A51)
REBAKE_HIGH = Fact("rebake-high", "Maximum rebaking temperature, AWS A5.1", parse("800 °F", TEMPERATURE), TEMPERATURE,
    _REBAKE_A51)
REBAKE_A55 = Fact("rebake-a55", "Rebake, AWS A5.5 low-alloy rods", None, None, _REBAKE_A55,
    "1 h at 700 to 800 °F (370 to 430 °C)")
REBAKE_CHARGE = Fact(
    "rebake-charge", "Before the final rebaking temperature", None, None, _REBAKE_A55,
    "at least 1/2 h at no more than half the final temperature",
)
_CLASSES = Citation(AWS_A51, "classification system", Standing.SECONDARY, "A catalog's page of 2013 reports it.")
TENSILE_E70 = Fact("tensile-e70", "Minimum tensile strength of E70XX weld metal", parse("70 ksi", STRESS), STRESS,
    _CLASSES)
TENSILE_E60 = Fact("tensile-e60", "Minimum tensile strength of E60XX weld metal", parse("60 ksi", STRESS), STRESS,
    _CLASSES)
HYDROGEN_H4 = Fact("hydrogen-h4", "Maximum diffusible hydrogen, suffix H4", None, None, _CLASSES,
    "4 mL in 100 g of weld metal")
HYDROGEN_H8 = Fact("hydrogen-h8", "Maximum diffusible hydrogen, suffix H8", None, None, _CLASSES,
    "8 mL in 100 g of weld metal")

FACTS: tuple[Fact, ...] = (
    EXPOSURE_E70, EXPOSURE_E70R, HOLDING, HOLDING_METRIC, RETURN_HOLD, REBAKES, WET, REBAKE_TIME, REBAKE_LOW,
    REBAKE_HIGH, REBAKE_A55, REBAKE_CHARGE,
    TENSILE_E70, TENSILE_E60, HYDROGEN_H4, HYDROGEN_H8, HOLDING_USUAL, LONGER_BY_TEST, LITTLE_LEFT,
    *(row.efficiency_fact for row in ROD_ROWS), *(row.covering_fact for row in ROD_ROWS),
)

LIMITS: dict[str, Fact] = {"E7018": EXPOSURE_E70, "E7018R": EXPOSURE_E70R}
OWN = Citation(None, "Your WPS or the electrode box", Standing.WORKED_OUT)
DAY = 24 * 3600
MINUTE = 60


@dataclass(frozen=True)
class Limit:
    """The exposure limit in force: seconds, and where it comes from."""

    seconds: Number
    source: Citation


def limit_for(rod: str, rule: str, own_limit: Fraction | None) -> Limit:
    """The limit by the chosen rule: `table`, `own`, or `shorter` of the two.

    `own_limit` is in seconds. Raises `InputError` where the rule needs a figure that is not given.

    >>> limit_for("E7018R", "table", None).seconds / 3600, limit_for("E7018R", "shorter", Fraction(7200)).seconds / 3600
    (Fraction(9, 1), Fraction(2, 1))
    """
    table = Limit(LIMITS[rod].amount, LIMITS[rod].source)
    if rule == "table":
        return table
    if own_limit is None:
        if rule == "own":
            raise InputError("own_limit", "Limit of your WPS or box", "this rule goes by it; write it in h, as in 4 h")
        return table
    own = Limit(own_limit, OWN)
    return own if rule == "own" else min(table, own, key=lambda limit: limit.seconds)


def clock_text(seconds: Number) -> str:
    """A count of seconds from midnight as a time of day, to the last full minute, so that it never promises too much.

    >>> clock_text(12 * 3600), clock_text(25.51 * 3600)
    ('12:00', '01:30 the next day')
    """
    days, minutes = divmod(int(seconds // MINUTE), DAY // MINUTE)
    hour, minute = divmod(minutes, 60)
    text = f"{hour:02d}:{minute:02d}"
    return text if days == 0 else f"{text} the next day" if days == 1 else f"{text} {days} days later"


def _seconds(time: datetime.time) -> int:
    return time.hour * 3600 + time.minute * MINUTE


def work_rod_exposure(
    w: Working, *, rod: str, out_at: datetime.time, now: datetime.time, earlier: Fraction, wet: str, rebaked: int,
    rule: str, own_limit: Fraction | None, oven: Fraction,
) -> None:
    """How long low-hydrogen rods have been out, how long they may still be, and what to do with them.

    t_air = t_now − t_out + t_before: time in the air, h; trips add up until a full hold. t_left = t_max − t_air: time
    left, h.

    Valid for AWS A5.1 low-hydrogen rods. A time that is earlier on the clock is read as the next day. By the rule
    `own` the reader's own limit decides alone, and one over the table's is a caution on the WPS, since longer times
    need the test of column B. By the two others the shorter decides. Raises `InputError` where the own limit is chosen
    and not given.
    Source: AWS D1.1:2015, clauses 5.3.2.1 to 5.3.2.4 (read) and Table 5.1 (from memory; R secondary).

    >>> ROD_EXPOSURE.answer(out_at="08:00", now="10:30")["until"].wording  # 4 h from 08:00
    '12:00'
    """
    limit = limit_for(rod, rule, own_limit)
    strictest = limit_for(rod, "own" if rule == "own" else "shorter", own_limit)
    over_midnight = _seconds(now) < _seconds(out_at)
    start = w.given("out_at", "t_out", _seconds(out_at), HOURS)
    end = w.given("now", "t_now", _seconds(now) + (DAY if over_midnight else 0), HOURS)
    before = w.given("earlier", "t_before", earlier, HOURS)
    exposure = w.let("exposure", "Time in the air so far", "t_air", HOURS, end - start + before, main=True)
    most = w.value("limit", "Maximum time in the air", limit.seconds, HOURS, source=limit.source, symbol="t_max",
        main=True)
    w.let("time_left", "Time left (below zero: over the limit)", "t_left", HOURS, most - exposure, source=limit.source,
        main=True)
    w.given("strictest", "t_s", strictest.seconds, HOURS)
    for name, fact in (("holding", HOLDING), ("hold", RETURN_HOLD), ("bake_time", REBAKE_TIME),
        ("bake_low", REBAKE_LOW), ("bake_high", REBAKE_HIGH)):
        w.mention(name, fact)
    w.draw(draw_exposure(w))
    if over_midnight:
        w.caution("next-day", "The time now is earlier on the clock than the time taken out, so it was read as the "
            "next day.", source=GEOMETRY)
    _judge_rods(w, rod, exposure.amount, limit, strictest, wet == "yes", rebaked, _seconds(out_at) - earlier)
    _check_own_limit(w, rod, rule, own_limit, exposure.amount)
    _check_oven(w, oven)
    w.warn("Rods and ovens burn. Use dry gloves, and never put a wet rod into a holding oven with good ones.")
    w.warn("This is study help. The electrode maker's instructions, your WPS and the inspector decide on your rods.")


def _judge_rods(
    w: Working, rod: str, exposure: Number, limit: Limit, strictest: Limit, wet: bool, rebaked: int, start: Number,
) -> None:
    """What to do, the worst first: wet, rebaked too often, over the time, over it and rebaked, in time."""
    if wet:
        _discard(w, "These rods have been wet. Discard them, however short the time was.")
        w.stop("wet", "A rod that has been wet is not used. No baking makes it right again.", source=_CLAUSE_USE)
    elif rebaked > 1:
        _discard(w, "These rods were rebaked more than once. Discard them.")
        w.stop("rebaked", "A rod may be rebaked no more than once; more harms the covering.", source=_CLAUSE_USE)
    elif exposure < strictest.seconds:
        _in_time(w, rod, exposure, strictest, start + strictest.seconds)
    elif rebaked == 0:
        _rebake(w, exposure, limit)
    else:
        _discard(w, "These rods have been out {exposure}, the limit is {strictest}, and they were rebaked before. "
            "Discard them.")
        w.stop("rebaked", "Over the limit and rebaked already: a rod may be rebaked no more than once.",
            source=_CLAUSE_USE)


def _do(w: Working, wording: str, source: Citation) -> None:
    w.words("what_to_do", "What to do", wording, source=source, main=True)


def _in_time(w: Working, rod: str, exposure: Number, strictest: Limit, until: Number) -> None:
    text = clock_text(until)
    w.words("until", "Use them or put them back before", text, source=strictest.source, main=True)
    _do(w, "use them now, or put them back in the holding oven in time", _CLAUSE_USE)
    w.say(f"These rods have been out {{exposure}} of {{strictest}}. Use them or put them back before {text}.")
    if rod == "E7018R" and exposure > EXPOSURE_E70.amount:
        w.mention("plain_limit", EXPOSURE_E70)
        w.caution("exposure", "{exposure} is within {strictest}, but over the {plain_limit} of rods without R, and the "
            "longer figure was not seen in the code. Look for the R on the rod and ask for the "
            "page.", source=strictest.source,
        )
    else:
        w.ok("exposure", "{exposure} is within the limit of {strictest}. Put back in time and held for at least {hold} "
            "at {holding} or more, they may be given out again.", source=_CLAUSE_USE,
        )
    if strictest.seconds - exposure <= LITTLE_LEFT.amount:
        w.mention("little", LITTLE_LEFT)
        w.caution("little-left", "No more than {little} is left. Take fresh rods for the next pass.",
            source=LITTLE_LEFT.source)


def _rebake(w: Working, exposure: Number, limit: Limit) -> None:
    _do(w, "do not weld with them; rebake once by the maker's instructions, or discard", _REBAKE_A51)
    w.say("These rods have been out {exposure}, and the limit is {strictest}. Do not weld with them: rebake them once, "
        "or discard them.")
    if exposure >= limit.seconds:
        w.stop("exposure", "{exposure} reaches or passes the limit of {limit}: the covering may hold too much water.",
            source=limit.source)
    w.note("rebake", "A holding oven does not correct this. The rebake of an AWS A5.1 rod takes at least {bake_time} "
        "at {bake_low} to {bake_high}, in a baking oven, once.", source=_REBAKE_A51,
    )


def _discard(w: Working, headline: str) -> None:
    _do(w, "discard them", _CLAUSE_USE)
    w.say(headline)


def _check_own_limit(w: Working, rod: str, rule: str, own: Fraction | None, exposure: Number) -> None:
    """The reader's own limit beside the table's: the one that was not chosen, where it is the shorter."""
    if own is None:
        return
    w.given("own_limit", "t_own", own, HOURS)
    table = LIMITS[rod]
    w.mention("table_limit", table)
    if rule == "table" and own <= exposure < table.amount:
        w.stop("own-limit", "{exposure} reaches or passes the {own_limit} of your WPS or box, which give a shorter "
            "time than the table.", source=OWN)
    else:
        judge_exposure_limit(w, "own_limit", rod)


def judge_exposure_limit(w: Working, name: str, rod: str, *, bad_only: bool = True) -> None:
    """Judge a time out of the oven that a WPS allows, known to the sheet as `name`: over the table's is a caution.

    Source: AWS D1.1:2015, clause 5.3.2.3 (read) and Table 5.1 (from memory; R secondary).
    """
    table = LIMITS[rod]
    w.mention("table_limit", table)
    if w.known[name].amount > table.amount:  # type: ignore[union-attr]
        w.caution("own-limit", f"Your limit of {{{name}}} is over the {{table_limit}} of the table: longer times are "
            "for rods that passed the test of column B. Ask to see it.", source=_BY_TEST,
        )
    elif not bad_only:
        w.ok("own-limit", f"Your limit of {{{name}}} is not over the {{table_limit}} of the table.",
            source=table.source)


def _check_oven(w: Working, oven: Fraction) -> None:
    """The holding oven against its minimum, and against the heat that bakes instead of holding."""
    w.given("oven", "T_oven", oven, TEMPERATURE)
    w.mention("usual", HOLDING_USUAL)
    if oven >= REBAKE_LOW.amount:
        w.stop("oven", "The oven reads {oven}: from {bake_low} on it bakes. A rod may be baked again no more than "
            "once, and over {bake_high} its covering is harmed.", source=_REBAKE_A51,
        )
    elif oven > HOLDING_USUAL.amount:
        w.caution("oven", "The holding oven reads {oven}, over the {usual} that is usual. Ask the electrode maker "
            "whether the covering can take it.",
            source=HOLDING_USUAL.source,
        )
    elif oven >= HOLDING.amount:
        w.ok("oven", "The holding oven reads {oven}, not under its minimum of {holding}.", source=_CLAUSE_OPEN)
    elif oven >= HOLDING_METRIC.amount:
        w.caution("oven", "The holding oven reads {oven}. That is enough by the 120 °C that the code prints, and a "
            "little under the 250 °F that it prints beside it: turn it up.", source=_CLAUSE_OPEN,
        )
    else:
        w.stop("oven", "The holding oven reads {oven}, under its minimum of {holding}: time in it does not count.",
            source=_CLAUSE_OPEN)


ROD_EXPOSURE = Calculator(
    id="rod-exposure",
    title="Rods out of the oven",
    question="How long may these low-hydrogen rods still be out, and what do I do with them?",
    page="rods.md",
    work=work_rod_exposure,
    main=("rod", "out_at", "now"),
    inputs=(
        Choice(
            "rod", "Electrode class", (
                Option("E7018", "E7018 and other E70XX low-hydrogen, no R"),
                Option("E7018R", "E7018 with the suffix R, such as H4R"),
            ), "E7018", "Printed on the rod near the bare end. Look for the R at the very end.",
            takes="low_hydrogen_rod",
        ),
        Clock("out_at", "Taken out of the oven or the fresh box at", "08:00", "On the 24-hour clock."),
        Clock("now", "Time now", "10:30", "On the 24-hour clock. Earlier than the first time is read as the next day."),
        Quantity(
            "earlier", "Time out before that, without the full time in the oven since", HOURS, "0 h", "0 h", "240 h",
            "Times out of the oven add up until the rods have been back in it for the full time.", "t_before",
        ),
        Choice("wet", "Have they been wet?", (Option("no", "No"), Option("yes", "Yes: rain, a puddle, a wet glove")),
            "no", "If you are not sure, answer yes."),
        Whole("rebaked", "Times rebaked", "0", 0, 9, "Rebaked, not just held in the oven."),
        Choice(
            "rule", "Limit to go by", (
                Option("shorter", "The shorter of the table and your own"),
                Option("table", "The table (AWS D1.1)"),
                Option("own", "Your WPS or box alone"),
            ), "shorter", "Your WPS or the maker may give a shorter time.",
            takes="exposure_rule",
        ),
        Quantity("own_limit", "Limit of your WPS or box", HOURS, "", "0.25 h", "240 h",
            "Leave blank if it states none.", common=("2 h", "4 h", "8 h", "9 h"), takes="exposure_most",
            limit_of=("exposure", "own-limit")),
        Quantity(
            "oven", "Holding oven reads", TEMPERATURE, "250 °F", "-40 °F", "1000 °F",
            "From a thermometer that you put in the oven, not from its dial.",
            "T_oven", common=("250 °F", "300 °F"),
        ),
    ),
)
