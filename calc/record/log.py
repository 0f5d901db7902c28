"""The continuity log: does the qualification still hold, and by when must the process be used again."""

from __future__ import annotations

import datetime
import re
from dataclasses import replace

from calc.core.declare import InputError, Level, Result, phrase_text, worst
from calc.core.sources import ENTERED
from calc.record.bench import BLANK, UNREADABLE, Bench, Flag, Judgement, Line
from calc.record.fields import CONTINUITY_LOG
from calc.record.shape import Record
from calc.stages.qualification import CONTINUITY

def judge_log(record: Record, today: datetime.date | None) -> Judgement:
    bench = Bench(record)
    for each in ("welder", "process"):
        if not bench.has(each):
            bench.say(each, Level.INCOMPLETE, BLANK, "Not written down.", ENTERED)
    uses = []
    for number, row in enumerate(bench.cells["uses"], 1):
        place = f"uses/{number}/used_on"
        if "used_on" in row and "entry" in row:
            if trouble := _no_day_of_use(bench, row["used_on"], today):
                bench.say(place, Level.INCOMPLETE, "date", trouble, ENTERED, CONTINUITY)
            else:
                uses.append(f"{row['used_on']} | {row['entry']}")
        elif row.get("job") and not record.rows["uses"][number - 1][0].strip():
            bench.say(
                place, Level.INCOMPLETE, "date", "Write the date; until then this use does not count.", ENTERED,
                CONTINUITY,
            )
    name, label = "continuity", "The qualification"
    if today is None or not bench.has("continuity_rule", "qualified_on"):
        what = "the date of today" if today is None else "the rule and the date the test was passed"
        line = Line(name, label, Level.INCOMPLETE, f"Not judged: write {what}", "", ENTERED)
        return Judgement(record, tuple(bench.flags), (line,), f"{line.wording}.")
    inputs = {
        "rule": bench.texts["continuity_rule"], "qualified_on": bench.texts["qualified_on"], "today": today.isoformat(),
        "uses": "\n".join(uses),
    }
    try:
        answer = _LONG_LOG.answer(inputs)
    except InputError as trouble:
        place = "uses" if trouble.field == "uses" else "qualified_on"
        bench.flags.append(Flag(place, Level.INCOMPLETE, (_clock(trouble),), id=UNREADABLE))
        line = Line(name, label, Level.INCOMPLETE, "Not judged: see the flagged dates", "", ENTERED)
        return Judgement(record, tuple(bench.flags), (line,), f"{line.wording}.")
    bench.keep("uses", answer, "*")
    rule = CONTINUITY.input("rule").label_of(bench.texts["continuity_rule"])
    value, words = answer["status"], phrase_text(answer.headline, "us")
    line = Line(
        name, label, worst([answer.level, *(flag.level for flag in bench.flags)]), words.removesuffix("."), rule,
        value.source,
    )
    return Judgement(record, tuple(bench.flags), (line,), words, (), None, _due(answer))


_LONG_LOG = replace(CONTINUITY, inputs=tuple(
    replace(each, most=CONTINUITY_LOG.field("uses").most) if each.name == "uses" else each for each in CONTINUITY.inputs
))
"""The same calculator for a log longer than its form on the page."""


def _no_day_of_use(bench: Bench, used_on: str, today: datetime.date | None) -> str:
    """Why a use on this day counts for nothing; empty where it may count."""
    if today and used_on > today.isoformat():
        return f"This day has not come: today is {today}. The use does not count. If the date is right, the clock of this device is wrong: set it."
    if used_on < bench.texts.get("qualified_on", ""):
        return "This day lies before the test was passed. The use does not count."
    return ""


def _clock(trouble: InputError) -> str:
    """A date of today before the test is more likely a wrong clock than a wrong date."""
    if trouble.field == "today":
        return f"The clock of this device says {trouble.message}. Set the clock, or correct the date of the test."
    if "is after today" in trouble.message:
        return f"{trouble.message}. If the date is right, the clock of this device is wrong: set it."
    return trouble.message


def _due(answer: Result) -> datetime.date | None:
    """The next date by which something must happen; none where the qualification has lapsed or the rule has no date."""
    for value in answer.values:
        if value.name == "due_date" and re.fullmatch(r"\d{4}-\d{2}-\d{2}", value.wording):
            return datetime.date.fromisoformat(value.wording)
    return None
