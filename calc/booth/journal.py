"""The journal of a day at the booth: events with the instant at which they were pressed, never changed or removed.

An event carries its instant in milliseconds since 1970 (UTC) and the minutes that the wall clock was ahead of UTC then.
Elapsed time goes by instants, so another time zone changes nothing. Taking back is an event too (`undo`), so journals
of two tabs are put together by uniting their events. A clock of the device that was set is an event (`jump`): what it
jumped by is left out of every elapsed time.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from calc.core.declare import InputError, Quantity
from calc.record.shape import FORBIDDEN, RecordError, pointer, version_of
from calc.stages.current import CURRENT_SETTING
from calc.stages.heat import HEAT_INPUT_CALCULATOR, PREHEAT

FORMAT = "plate-test-booth"
VERSION = 1
MOST_EVENTS = 4000
LONGEST = 60
LAST_INSTANT = 253_402_300_799_000
"""The last second of the year 9999, in milliseconds."""
MOST_OFFSET = 14 * 60 + 59
"""Minutes that a wall clock may be ahead of UTC or behind it."""

OUT, IN, SPARK, WATCHED, ARC, STOP, DONE, AGAIN = "out", "in", "spark", "watched", "arc", "stop", "done", "again"
TEMPERATURE, AMPS, VOLTS, SAME_ROD, RULE, MORE = "temperature", "amps", "volts", "same-rod", "rule", "more"
SEEN, UNDO, JUMP = "seen", "undo", "jump"
DOES: dict[str, str] = {
    OUT: "batch", IN: "batch", SPARK: "", WATCHED: "", ARC: "pass", SAME_ROD: "pass", STOP: "pass", DONE: "pass",
    AGAIN: "pass", TEMPERATURE: "pass", AMPS: "pass", VOLTS: "pass", RULE: "", MORE: "", SEEN: "", UNDO: "", JUMP: "",
}
"""Each event, and what its number counts.

`out`, `in`: a batch of rods leaves the oven, goes back. `arc`: an arc is struck on a new rod; `same-rod`: on the rod
before. `stop`: it ends. `done`, `again`: a pass is complete, is opened again. `temperature`, `amps`, `volts`: a
reading. `more`: one pass more than planned. `spark`: the last spark fell; `watched`: the watch is over. `rule`: the
rule of the fire watch. `seen`: what a clock said when it ran out was read. `undo`: takes the event `of` back. `jump`:
the device's clock was set by `value` milliseconds.
"""
READINGS: dict[str, Quantity] = {
    TEMPERATURE: PREHEAT.input("metal"), AMPS: CURRENT_SETTING.input("amps"),
    VOLTS: HEAT_INPUT_CALCULATOR.input("volts"),
}
"""The input that each reading is one of; a reading carries its unit."""
_NUMBERED = {name for name, counts in DOES.items() if counts}
MOST_NUMBER = 60
_ID = re.compile(r"[a-z0-9][a-z0-9.-]{0,59}")
_DAY_ID = re.compile(r"[a-z0-9][a-z0-9-]{7,39}")
_JUMP = re.compile(r"-?[0-9]{1,15}\??")


@dataclass(frozen=True)
class Event:
    """One press. `order` counts the events of a day; `number` is a pass or a batch, 0 where the event has none."""

    id: str
    order: int
    at: int
    offset: int
    do: str
    number: int = 0
    value: str = ""
    of: str = ""

    @property
    def wall(self) -> str:
        """The wall clock when it was pressed, to the minute.

        >>> Event("t.1", 1, 1_772_436_600_000, -480, "arc", 1).wall
        '23:30'
        """
        return self.local.strftime("%H:%M")

    @property
    def local(self) -> datetime.datetime:
        """The local date and time when it was pressed."""
        return datetime.datetime(1970, 1, 1) + datetime.timedelta(milliseconds=self.at, minutes=self.offset)


@dataclass(frozen=True)
class Day:
    """The journal of one day: whose test, and what was pressed, in order."""

    id: str
    test: str
    events: tuple[Event, ...] = ()

    @cached_property
    def live(self) -> tuple[Event, ...]:
        """What was pressed and not taken back. An undo that was itself taken back takes nothing back.

        >>> day = Day("day-00001", "", tuple(
        ...     Event(f"t.{n}", n, n, 0, do, of=of) for n, (do, of) in enumerate(
        ...         [("spark", ""), ("undo", "t.0"), ("undo", "t.1")])))
        >>> [each.do for each in day.live]
        ['spark']
        """
        back: set[str] = set()
        kept = []
        for each in reversed(self.events):
            if each.id in back:
                continue
            if each.do == UNDO:
                back.add(each.of)
            else:
                kept.append(each)
        return tuple(reversed(kept))

    @cached_property
    def jumps(self) -> tuple[Event, ...]:
        """The times that the device's clock was set."""
        return tuple(each for each in self.live if each.do == JUMP)

    def taken(self, event: Event) -> float:
        """The instant of an event in seconds, without the jumps of the clock before it."""
        return self.seconds(event.at, event.order)

    def seconds(self, at: int, order: int | None = None) -> float:
        """An instant in seconds with every jump of the clock left out that came before it; all of them for now.

        >>> day = Day("day-00001", "", (Event("t.1", 1, 1000, 0, "jump", value="-3600000"),))
        >>> day.seconds(5000)
        3605.0
        """
        before = (each for each in self.jumps if order is None or each.order < order)
        return (at - sum(jump_of(each) for each in before)) / 1000

    def unsure_since(self, seconds: float) -> bool:
        """Whether the clock was set by an amount that nobody knows since that instant."""
        unsure = (each for each in self.jumps if each.value.endswith("?"))
        return any(self.seconds(each.at, each.order + 1) >= seconds for each in unsure)

    def of(self, *does: str, number: int | None = None) -> Iterator[Event]:
        """The live events of these kinds, in order; of one pass or batch where `number` says which."""
        return (each for each in self.live if each.do in does and number in (None, each.number))


def jump_of(event: Event) -> int:
    """By how many milliseconds the clock was set; a question mark behind says that it is the least it can be."""
    return int(event.value.removesuffix("?"))


# --- to and from plain data ---------------------------------------------------------------------------


def read_day(data: Any) -> Day:
    """A journal as the page keeps it, checked in full. Raises `RecordError` with the place of what is wrong.

    >>> read_day({"format": "plate-test-booth", "version": 2})
    Traceback (most recent call last):
    calc.record.shape.RecordError: /version: written by a later guide (version 2); this one reads up to version 1
    """
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise RecordError("", f"this is not a day at the booth; it must say “{FORMAT}”")
    version_of(data, VERSION)
    events = data.get("events")
    if not isinstance(events, list) or len(events) > MOST_EVENTS:
        raise RecordError("/events", f"write a list of at most {MOST_EVENTS} events")
    read = sorted((_event(each, number) for number, each in enumerate(events)), key=lambda each: (each.order, each.id))
    ids = [each.id for each in read]
    if len(set(ids)) < len(ids):
        raise RecordError("/events", "two events have one id")
    return Day(_text(data.get("id"), _DAY_ID, "an id: 8 to 40 small letters, digits and hyphens", "id"),
        str(data.get("test", ""))[:LONGEST], tuple(read))


def _event(data: Any, place: int) -> Event:
    if not isinstance(data, dict):
        raise RecordError(pointer("events", place), "write an object between braces")
    do = data.get("do")
    if do not in DOES:
        raise RecordError(pointer("events", place, "do"), f"write one of {', '.join(DOES)}")
    event = Event(
        _text(data.get("id"), _ID, "an id of small letters, digits, dots and hyphens", "events", place, "id"),
        _whole(data.get("order"), 0, 10**9, "events", place, "order"),
        _whole(data.get("at"), 0, LAST_INSTANT, "events", place, "at"),
        _whole(data.get("offset"), -MOST_OFFSET, MOST_OFFSET, "events", place, "offset"), do,
        _whole(data.get("number", 0), 1 if do in _NUMBERED else 0, MOST_NUMBER, "events", place, "number"),
        _words(data.get("value", ""), "events", place, "value"), _words(data.get("of", ""), "events", place, "of"),
    )
    if do in READINGS:
        try:
            READINGS[do].read(event.value, "us")
        except InputError as trouble:
            raise RecordError(pointer("events", place, "value"), trouble.message) from None
    if do == JUMP and not _JUMP.fullmatch(event.value):
        raise RecordError(pointer("events", place, "value"), "write whole milliseconds")
    return event


def _whole(value: Any, low: int, high: int, *place: str | int) -> int:
    if type(value) is not int or not low <= value <= high:
        raise RecordError(pointer(*place), f"write a whole number from {low} to {high}")
    return value


def _text(value: Any, pattern: re.Pattern[str], what: str, *place: str | int) -> str:
    if not isinstance(value, str) or not pattern.fullmatch(value):
        raise RecordError(pointer(*place), f"is not {what}")
    return value


def _words(value: Any, *place: str | int) -> str:
    if not isinstance(value, str) or len(value) > LONGEST or FORBIDDEN.search(value):
        raise RecordError(pointer(*place), f"write a text of at most {LONGEST} plain characters")
    return value


def as_data(day: Day) -> dict[str, Any]:
    """The journal as JSON data, blank parts left out."""
    return {
        "format": FORMAT, "version": VERSION, "id": day.id, "test": day.test,
        "events": [
            {name: value for name, value in vars(each).items() if value or name in ("id", "order", "at", "offset")}
            for each in day.events
        ],
    }


def united(one: Day, other: Day) -> Day:
    """Two journals of one day as one: every event of either, in order. An event is never changed, so none is lost.

    >>> press = Event("a.1", 1, 5, 0, "spark")
    >>> united(Day("day-00001", ""), Day("day-00001", "", (press,))).events == (press,)
    True
    """
    events = {each.id: each for each in (*one.events, *other.events)}
    return replace(one, events=tuple(sorted(events.values(), key=lambda each: (each.order, each.id))))
