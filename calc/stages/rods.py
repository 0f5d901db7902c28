"""Low-hydrogen electrodes out of the oven: how long they have been out, how long they may stay out, what to do with them.

Stage: rods. The limits are those of the structural code: hours in the air by class,
holding temperature, one rebake, none after water. The electrode maker's instructions
and the written procedure come first where they are stricter.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import Calculator, Choice, Clock, InputError, Option, Quantity, Whole, Working
from calc.core.sources import AWS_A51, AWS_A55, AWS_D11, COMMON, GEOMETRY, Citation, Fact, Standing
from calc.core.units import HOUR, STRESS, TEMPERATURE, TIME, Number, parse
from calc.show.scales import exposure as draw_exposure

HOURS = TIME.shown_in(us=HOUR, si=HOUR)

_TABLE = Citation(AWS_D11, "Table 5.1, column A", Standing.FROM_MEMORY, "The electrode maker's limit comes first where it is shorter.")
_CLAUSE_OPEN = Citation(AWS_D11, "clause 5.3.2.1", Standing.READ, "Prints 250 °F (120 °C).")
_CLAUSE_USE = Citation(AWS_D11, "clauses 5.3.2.1 to 5.3.2.2", Standing.READ)
_REBAKE_A51 = Citation(AWS_D11, "rebaking of AWS A5.1 electrodes", Standing.FROM_MEMORY, "Go by the electrode maker's instructions.")
_REBAKE_A55 = Citation(AWS_A55, "rebaking", Standing.READ)

EXPOSURE_E70 = Fact("exposure-e70", "Longest time out of the oven, E70XX low-hydrogen", parse("4 h", TIME), HOURS, _TABLE)
EXPOSURE_E70R = Fact("exposure-e70r", "Longest time out of the oven, E70XX with the suffix R", parse("9 h", TIME), HOURS, _TABLE)
HOLDING = Fact("oven-holding", "Lowest temperature of the holding oven", parse("250 °F", TEMPERATURE), TEMPERATURE, _CLAUSE_OPEN)
HOLDING_METRIC = Fact(
    "oven-holding-metric", "Lowest temperature of the holding oven, as printed in °C", parse("120 degC", TEMPERATURE), TEMPERATURE, _CLAUSE_OPEN,
)
RETURN_HOLD = Fact("oven-return-hold", "Shortest time back in the oven before reissue", parse("4 h", TIME), HOURS, _CLAUSE_USE)
REBAKES = Fact("rebake-count", "How often a rod may be rebaked", None, None, _CLAUSE_USE, "no more than once")
WET = Fact("wet-rods", "Rods that have been wet", None, None, _CLAUSE_USE, "shall not be used")
REBAKE_TIME = Fact("rebake-time", "Shortest rebake, AWS A5.1 low-hydrogen rods", parse("2 h", TIME), HOURS, _REBAKE_A51)
REBAKE_LOW = Fact("rebake-low", "Lowest rebaking temperature, AWS A5.1", parse("500 °F", TEMPERATURE), TEMPERATURE, _REBAKE_A51)
REBAKE_HIGH = Fact("rebake-high", "Highest rebaking temperature, AWS A5.1", parse("800 °F", TEMPERATURE), TEMPERATURE, _REBAKE_A51)
REBAKE_A55 = Fact("rebake-a55", "Rebake, AWS A5.5 low-alloy rods", None, None, _REBAKE_A55, "1 h at 700 to 800 °F (370 to 430 °C)")
REBAKE_CHARGE = Fact(
    "rebake-charge", "Before the final rebaking temperature", None, None, _REBAKE_A55,
    "at least 1/2 h at no more than half the final temperature",
)
_CLASSES = Citation(AWS_A51, "classification system", Standing.FROM_MEMORY)
TENSILE_E70 = Fact("tensile-e70", "Least tensile strength of E70XX weld metal", parse("70 ksi", STRESS), STRESS, _CLASSES)
TENSILE_E60 = Fact("tensile-e60", "Least tensile strength of E60XX weld metal", parse("60 ksi", STRESS), STRESS, _CLASSES)
HYDROGEN_H4 = Fact("hydrogen-h4", "Most diffusible hydrogen, suffix H4", None, None, _CLASSES, "4 mL in 100 g of weld metal")
HYDROGEN_H8 = Fact("hydrogen-h8", "Most diffusible hydrogen, suffix H8", None, None, _CLASSES, "8 mL in 100 g of weld metal")

FACTS: tuple[Fact, ...] = (
    EXPOSURE_E70, EXPOSURE_E70R, HOLDING, HOLDING_METRIC, RETURN_HOLD, REBAKES, WET, REBAKE_TIME, REBAKE_LOW, REBAKE_HIGH, REBAKE_A55, REBAKE_CHARGE,
    TENSILE_E70, TENSILE_E60, HYDROGEN_H4, HYDROGEN_H8,
)

LIMITS: dict[str, Fact] = {"E7018": EXPOSURE_E70, "E7018R": EXPOSURE_E70R}
OWN = Citation(None, "Your procedure or the electrode box", Standing.WORKED_OUT)
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
            raise InputError("own_limit", "Limit of your procedure or box", "this rule goes by it; write it in h, as in 4 h")
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


def _work(
    w: Working, *, rod: str, out_at: datetime.time, now: datetime.time, earlier: Fraction, wet: str, rebaked: int,
    rule: str, own_limit: Fraction | None, oven: Fraction,
) -> None:
    limit = limit_for(rod, rule, own_limit)
    over_midnight = _seconds(now) < _seconds(out_at)
    start = w.given("out_at", "t_out", _seconds(out_at), HOURS)
    end = w.given("now", "t_now", _seconds(now) + (DAY if over_midnight else 0), HOURS)
    before = w.given("earlier", "t_before", earlier, HOURS)
    exposure = w.let("exposure", "Time in the air so far", "t_air", HOURS, end - start + before, main=True)
    most = w.value("limit", "Longest time in the air", limit.seconds, HOURS, source=limit.source, symbol="t_max", main=True)
    left = w.let("time_left", "Time left (below zero: over the limit)", "t_left", HOURS, most - exposure, source=limit.source, main=True)
    for name, fact in (("holding", HOLDING), ("hold", RETURN_HOLD), ("bake_time", REBAKE_TIME), ("bake_low", REBAKE_LOW), ("bake_high", REBAKE_HIGH)):
        w.mention(name, fact)
    w.draw(draw_exposure(w))
    if over_midnight:
        w.caution("next-day", "The time now is earlier on the clock than the time taken out, so it was read as the next day.", source=GEOMETRY)
    if wet == "yes":
        _discard_wet(w)
    elif left.amount > 0:
        _in_time(w, _seconds(out_at) + limit.seconds - earlier, left.amount, limit.source)
    elif rebaked == 0:
        _rebake(w, limit.source)
    else:
        _discard_baked(w)
    _check_oven(w, oven)
    w.warn("Rods and ovens burn. Use dry gloves, and never put a wet rod into a holding oven with good ones.")
    w.warn("This is study help. The electrode maker's instructions, your written procedure and the inspector decide on your rods.")


def _do(w: Working, wording: str, source: Citation) -> None:
    w.words("what_to_do", "What to do", wording, source=source, main=True)


def _in_time(w: Working, until: Number, left: Number, source: Citation) -> None:
    text = clock_text(until)
    w.words("until", "Use them or put them back before", text, source=source, main=True)
    _do(w, "use them now, or put them back in the holding oven in time", _CLAUSE_USE)
    w.say(f"These rods have been out {{exposure}} of {{limit}}. Use them or put them back before {text}.")
    w.ok("exposure", "{exposure} is within the limit of {limit}. Put back in time and held for at least {hold} at {holding} or more, "
        "they may be given out again.", source=_CLAUSE_USE,
    )
    if left <= parse("30 min", TIME):
        w.caution("little-left", "Only {time_left} is left. Take fresh rods for the next pass.", source=COMMON)


def _rebake(w: Working, source: Citation) -> None:
    _do(w, "do not weld with them; rebake once by the maker's instructions, or discard", _REBAKE_A51)
    w.say("These rods have been out {exposure}, and the limit is {limit}. Do not weld with them: rebake them once, or discard them.")
    w.stop("exposure", "{exposure} reaches or passes the limit of {limit}: the coating may hold too much water.", source=source)
    w.note("rebake", "A holding oven does not put this right. The rebake of an AWS A5.1 rod takes at least {bake_time} at {bake_low} to {bake_high}, "
        "in a baking oven, once.", source=_REBAKE_A51,
    )


def _discard_baked(w: Working) -> None:
    _do(w, "discard them", _CLAUSE_USE)
    w.say("These rods have been out {exposure}, the limit is {limit}, and they were rebaked before. Discard them.")
    w.stop("rebaked", "Over the limit and rebaked already: a rod may be rebaked no more than once.", source=_CLAUSE_USE)


def _discard_wet(w: Working) -> None:
    _do(w, "discard them", _CLAUSE_USE)
    w.say("These rods have been wet. Discard them, however short the time was.")
    w.stop("wet", "A rod that has been wet is not used. No baking brings it back.", source=_CLAUSE_USE)


def _check_oven(w: Working, oven: Fraction) -> None:
    w.given("oven", "T_oven", oven, TEMPERATURE)
    if oven >= HOLDING.amount:
        w.ok("oven", "The holding oven reads {oven}, at or over the {holding} it must hold.", source=_CLAUSE_OPEN)
    elif oven >= HOLDING_METRIC.amount:
        w.caution("oven", "The holding oven reads {oven}. That is enough by the 120 °C the code prints, and a little under the 250 °F it prints beside it: "
            "turn it up.", source=_CLAUSE_OPEN,
        )
    else:
        w.stop("oven", "The holding oven reads {oven}, under the {holding} it must hold: time in it does not count.", source=_CLAUSE_OPEN)


ROD_EXPOSURE = Calculator(
    id="rod-exposure",
    title="Rods out of the oven",
    question="How long may these low-hydrogen rods still be out, and what do I do with them?",
    page="rods.md",
    work=_work,
    inputs=(
        Choice(
            "rod", "Electrode class", (
                Option("E7018", "E7018 and other E70XX low-hydrogen, no R"), Option("E7018R", "E7018 with the suffix R, such as H4R"),
            ), "E7018", "Printed on the rod near the bare end. Look for the R at the very end.",
        ),
        Clock("out_at", "Taken out of the oven or the fresh box at", "08:00", "On the 24-hour clock."),
        Clock("now", "Time now", "10:30", "On the 24-hour clock. Earlier than the first time is read as the next day."),
        Quantity(
            "earlier", "Time out before that, without a full hold since", HOURS, "0 h", "0 h", "240 h",
            "Short trips out of the oven add up until the rods have had their full hold.", "t_before",
        ),
        Choice("wet", "Have they been wet?", (Option("no", "No"), Option("yes", "Yes: rain, a puddle, a wet glove")), "no", "If you are not sure, answer yes."),
        Whole("rebaked", "Times rebaked", "0", 0, 9, "Rebaked, not just held in the oven."),
        Choice(
            "rule", "Limit to go by", (
                Option("shorter", "The shorter of the table and your own"),
                Option("table", "The table (AWS D1.1)"),
                Option("own", "Your procedure or box alone"),
            ), "shorter", "Your procedure or the maker may ask for less.",
        ),
        Quantity("own_limit", "Limit of your procedure or box", HOURS, "", "0.25 h", "240 h", "Leave blank if it states none.", common=("2 h", "4 h", "8 h", "9 h")),
        Quantity(
            "oven", "Holding oven reads", TEMPERATURE, "250 °F", "-40 °F", "1000 °F", "From a thermometer that you put in the oven, not from its dial.",
            "T_oven", common=("250 °F", "300 °F"),
        ),
    ),
)
