"""The test judged as a kind of record: what cannot be read, a line for each calculator, and the whole."""

from __future__ import annotations

from calc.core.declare import Level, phrase_text, worst
from calc.core.sources import ENTERED
from calc.plate_test.work import Worked, work
from calc.record.bench import UNREADABLE, Flag, Judgement, Line
from calc.record.shape import Record

_WHOLE = {
    Level.NOTE: "Nothing judged yet", Level.OK: "Nothing speaks against this plan",
    Level.CAUTION: "Look again before you start", Level.NOT_KNOWN: "Not all of it is known to us: ask",
    Level.INCOMPLETE: "Not complete yet", Level.STOP: "Do not start like this",
}


def headline(worked: Worked) -> str:
    """How the whole stands, in a sentence, with what decides it."""
    level = worked.level
    decides = dict.fromkeys(each.title for each in worked.verdicts if each.level is level and level.severity)
    return f"{_WHOLE[level]}{': ' + ', '.join(decides) if decides else ''}."


def judge_test(record: Record) -> Judgement:
    """Everything said of a test, as of any record.

    >>> from calc.record.shape import blank
    >>> judge_test(blank("plate-test", "demo-0001", "2026-03-02T07:30:00Z")).line("test").level
    <Level.INCOMPLETE: 'incomplete'>
    """
    return judgement_of(work(record))


def judgement_of(worked: Worked) -> Judgement:
    """The same of a test that is worked out already."""
    record = worked.record
    flags = tuple(
        Flag(refusal.field, Level.INCOMPLETE, (refusal.message,), ENTERED, refusal.calculator, UNREADABLE)
        for refusal in worked.refusals if not refusal.calculator
    )
    lines = [
        Line(
            answer.result.calculator.id, answer.title, worst(each.level for each in answer.verdicts),
            phrase_text(answer.result.headline, record.bare), "", ENTERED,
        )
        for answer in worked.answers
    ]
    said = headline(worked)
    missing = tuple(record.form.field(name).label for name in worked.missing)
    lines.append(Line("test", "The test", worked.level, said.removesuffix("."), "", ENTERED))
    return Judgement(record, flags, tuple(lines), said, missing)
