"""The record judged: each figure by the calculator of its stage, at once, and a verdict by specimen and by test.

No limit stands here. A figure that is blank is not judged, and what depends on it is said to be missing, never assumed.
The verdict of the test is as bad as the worst that is said of any figure, and it is in order only when everything that
the rules go by was seen.
"""

from __future__ import annotations

import datetime

from calc.core.declare import Level, worst
from calc.core.forms import lowered
from calc.plate_test.judge import judge_test
from calc.record.bench import BLANK, Bench, Judgement, Line, place_in_words
from calc.record.bends import bends, coupon_sizes
from calc.record.day import count_rods, exposure, heat, joint, machine, plate, written_down
from calc.record.fields import CONTINUITY_LOG, PLATE_TEST
from calc.record.log import judge_log
from calc.record.look import look_over
from calc.record.shape import Record

def judge(record: Record, today: datetime.date | None = None) -> Judgement:
    """Judge a record. Without `today` a continuity log has no verdict, and the date of a test is not held against it.

    >>> from calc.record.shape import blank
    >>> judge(blank("test-day", "demo-0001", "2026-03-02T07:30:00Z")).line("test").level
    <Level.INCOMPLETE: 'incomplete'>
    """
    if record.kind == CONTINUITY_LOG.kind:
        return judge_log(record, today)
    if record.kind == PLATE_TEST.kind:
        return judge_test(record)
    return _judge_day(record, today)


def _judge_day(record: Record, today: datetime.date | None) -> Judgement:
    bench = Bench(record)
    written_down(bench, today)
    plate(bench)
    joint(bench)
    exposure(bench)
    machine(bench)
    heat(bench)
    count_rods(bench)
    looked = look_over(bench)
    marked = coupon_sizes(bench)
    bent = bends(bench)
    test = _whole(bench, looked, bent)
    missing = _missing(bench)
    return Judgement(record, tuple(bench.flags), (looked, *bent, test), f"{test.wording}.", missing, marked)


def _missing(bench: Bench) -> tuple[str, ...]:
    """What of a complete sheet is not written down, in words."""
    return tuple(dict.fromkeys(place_in_words(flag.place, bench.record) for flag in bench.flags if flag.id == BLANK))


def _whole(bench: Bench, looked: Line, bent: tuple[Line, ...]) -> Line:
    """The whole is as bad as the worst that is said of any part of it."""
    parts = (looked, bent[-1])
    rule = " and ".join(dict.fromkeys(part.rule for part in parts if part.rule))
    level = worst([part.level for part in parts] + [flag.level for flag in bench.flags])
    # Where nothing speaks against it, nothing decides.
    deciding = [part for part in parts if part.level is level and level.severity]
    flags = [flag for flag in bench.flags if flag.level is level and level.severity]
    places = tuple(
        dict.fromkeys([*(flag.place for flag in flags), *(place for part in deciding for place in part.places)])
    )
    named = [part.label[0].lower() + part.label[1:] for part in deciding]
    own = {place for part in deciding for place in part.places}
    named += dict.fromkeys(lowered(place_in_words(flag.place, bench.record)) for flag in flags if flag.place not in own)
    decides = [each.source for each in (*deciding, *flags) if each.source]
    source = decides[0] if decides else bent[-1].source
    told = [_WHOLE[level], *([_some(named)] if named else [])]
    return Line("test", "The test", level, ": ".join(told), rule, source, places)


MOST_NAMED = 6


def _some(names: list[str]) -> str:
    """The first of many names; the rest are counted."""
    shown = ", ".join(names[:MOST_NAMED])
    return shown if len(names) <= MOST_NAMED else f"{shown} and {len(names) - MOST_NAMED} more"


_WHOLE = {
    Level.OK: "In order: nothing we hold of the rules is broken", Level.NOTE: "Nothing judged yet",
    Level.CAUTION: "No rule that we hold is broken, but look again at",
    Level.NOT_KNOWN: "No verdict: this is not known to us, ask the inspector", Level.INCOMPLETE: "Not complete yet",
    Level.STOP: "Not in order",
}
