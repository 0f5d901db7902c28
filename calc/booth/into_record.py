"""From bench to paper: what the clocks and the log measured, as fields of the test-day record.

Nothing that a person wrote is overwritten: a field takes a figure of the day where it is blank, or where it still holds
the figure that the day gave it before.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from calc.booth import journal
from calc.booth.board import Board, batches, exposure, last_spark
from calc.booth.clocks import time_in_air
from calc.booth.journal import Event
from calc.booth.log import duration
from calc.record.fields import TEST_DAY
from calc.record.shape import LONGEST, Record, Row
from calc.stages.rods import RETURN_HOLD

PASSES = "passes"
COLUMNS = tuple(column.name for column in TEST_DAY.field(PASSES).columns)
_NOTE = TEST_DAY.field("passes_note").longest


def measured(board: Board) -> dict[str, str]:
    """What the day measured, by the place in the record: a field, or passes/row/column with rows from 1.

    >>> from calc.record.demo import TEST
    >>> from calc.booth.journal import Day, Event
    >>> from calc.booth.log import Facts
    >>> press = Event("t.1", 1, 1_772_436_600_000, -480, "temperature", 1, "64 degF")
    >>> measured(Board(Facts.of(TEST), Day("day-00001", "", (press,)), 1_772_436_600_000))
    {'date': '2026-03-01', 'plate_temperature': '64 degF', 'passes/1/name': 'root', 'passes/1/temperature': '64 degF'}
    """
    return {place: text[:LONGEST] for place, text in _measured(board) if text}


def _measured(board: Board) -> Iterator[tuple[str, str]]:
    day = board.day
    if not day.live:
        return
    yield "date", day.live[0].local.date().isoformat()
    yield from _rods(board)
    first = board.passes[0]
    yield "amps", first.reading(journal.AMPS)
    yield "plate_temperature", first.temperature_before
    for each in board.passes:
        if not any(day.of(*(do for do, counts in journal.DOES.items() if counts == "pass"), number=each.number)):
            continue
        at = f"{PASSES}/{each.number}"
        yield f"{at}/name", each.name
        yield f"{at}/rods", str(each.rods) if each.arcs else ""
        yield f"{at}/temperature", each.temperature_before
        yield f"{at}/amps", each.reading(journal.AMPS)
    yield "passes_note", _note(board)
    yield "note_2", _watch(board)


def _rods(board: Board) -> Iterator[tuple[str, str]]:
    """The longest that rods had been out of the oven when an arc was struck: when they left it for the last time, how
    long they had been out before that, and when the arc was struck. Nothing where the device's clock was set between:
    the times of day would not say how long it was.
    """
    day, limit = board.day, exposure(board.facts, 0)[0]
    longest: tuple[float, float, Event, Event] | None = None
    for arc in day.of(journal.ARC):
        at = day.taken(arc)
        until_then = replace(day, events=tuple(each for each in day.live if each.order < arc.order))
        for trips, out in batches(until_then).values():
            if trips[-1][1] is None:
                before, last = time_in_air(trips, at, float(RETURN_HOLD.amount), limit)
                if longest is None or before + last >= longest[0]:
                    longest = before + last, before, out, arc
    if longest is None:
        return
    _, before, out, arc = longest
    if any(out.order < each.order < arc.order for each in day.jumps):
        return
    yield "rods_out", out.wall
    yield "rods_last", arc.wall
    yield "rods_earlier", f"{before / 60:.0f} min" if before else ""


def _note(board: Board) -> str:
    """Arc time, travel speed and heat input of each complete pass; the arc times alone where there is no room."""
    system = board.facts.system
    full, short = [], []
    for each in board.passes:
        if not each.arcs or each.burns:
            continue
        time = f"{each.name} {duration(each.arc_time)}"
        figures = [value.text(system) for value in (each.speed, each.heat_input) if value and each.done]
        full.append(", ".join([time, *figures]).replace("\u00a0", " "))
        short.append(time)
    for parts in (full, short):
        note = "Arc time: " + "; ".join(parts)
        if parts and len(note) <= _NOTE:
            return note
    return ""


def _watch(board: Board) -> str:
    spark = last_spark(board.day)
    ended = next((each for each in board.day.of(journal.WATCHED) if spark and each.order > spark.order), None)
    return f"Fire watch from {spark.wall} to {ended.wall}" if ended else ""


# --- into the record --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Put:
    """A record with the day in it; `given` is what the day gave by place, `differs` where a person wrote otherwise."""

    record: Record
    given: Mapping[str, str]
    differs: tuple[str, ...]


def text_at(record: Record, place: str) -> str:
    """What a record holds at a place; "" where it holds nothing."""
    name, *rest = place.split("/")
    if not rest:
        return record.text(name)
    rows, number = record.rows.get(name, ()), int(rest[0])
    return rows[number - 1][COLUMNS.index(rest[1])] if number <= len(rows) else ""


def put_into(record: Record, wanted: Mapping[str, str], before: Mapping[str, str]) -> Put:
    """Put what a day measured into a record. `before` is what it was given last: a field that still holds that follows
    the day, also to blank; any other text stays.

    >>> from calc.record.shape import blank
    >>> new = blank("test-day", "your-day-1", "2026-03-02T07:30:00Z")
    >>> once = put_into(new, {"amps": "120 A"}, {})
    >>> once.record.text("amps"), put_into(once.record, {"amps": "125 A"}, once.given).record.text("amps")
    ('120 A', '125 A')
    >>> put_into(once.record, {"amps": "125 A"}, {}).differs
    ('amps',)
    """
    values, rows = dict(record.values), [list(row) for row in record.rows.get(PASSES, ())]
    given, differs = {}, []
    places = [*wanted, *(place for place in before if place not in wanted)]
    for place in places:
        new, old = wanted.get(place, ""), text_at(record, place)
        if old and old not in (new, before.get(place, "")):
            differs += [place] if new else []
            continue
        if new:
            given[place] = new
        name, *rest = place.split("/")
        if not rest:
            values[name] = new
            continue
        number = int(rest[0])
        while len(rows) < number:
            rows.append([""] * len(COLUMNS))
        rows[number - 1][COLUMNS.index(rest[1])] = new
    while rows and not any(rows[-1]):
        rows.pop()
    kept: dict[str, tuple[Row, ...]] = {**record.rows, PASSES: tuple(tuple(row) for row in rows)}
    put = replace(record, values={name: text for name, text in values.items() if text},
        rows={name: each for name, each in kept.items() if each})
    return Put(put, given, tuple(differs))
