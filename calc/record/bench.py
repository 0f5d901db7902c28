"""What is said of a record, and the bench that it is judged on: the figures that can be read, and the flags so far."""

from __future__ import annotations

import datetime
import fnmatch
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from calc.core.declare import Calculator, Check, Choice, InputError, Level, Phrase, Result, Rows
from calc.core.sources import ENTERED, Citation
from calc.core.units import System
from calc.record.shape import Record

STUDY_AID = (
    "Study aid, not a certificate. The verdict belongs to the qualified inspector under the code in force."
)


@dataclass(frozen=True)
class Flag:
    """What is said of one figure. `place` is a field, or list/row/column with rows counted from 1.

    `id` is the check's of the calculator `by`; `UNREADABLE` marks a text that cannot be used.
    """

    place: str
    level: Level
    phrase: Phrase
    source: Citation | None = None
    by: str = ""
    id: str = ""


UNREADABLE, BLANK = "unreadable", "blank"
"""Ids of the flags of a figure that cannot be used, and of one that is not written down."""


@dataclass(frozen=True)
class Line:
    """One line of the verdict: what it is about, how it stands, in words, by which rule, and the figures that decide
    it.
    """

    name: str
    label: str
    level: Level
    wording: str
    rule: str
    source: Citation
    places: tuple[str, ...] = ()


@dataclass(frozen=True)
class Judgement:
    """All that is said of a record."""

    record: Record
    flags: tuple[Flag, ...]
    lines: tuple[Line, ...]
    headline: str
    missing: tuple[str, ...] = ()
    layout: Result | None = None
    due: datetime.date | None = None

    def at(self, place: str) -> tuple[Flag, ...]:
        """The flags of one figure, worst first."""
        return tuple(
            sorted((flag for flag in self.flags if flag.place == place), key=lambda flag: -_ORDER.index(flag.level))
        )

    def line(self, name: str) -> Line:
        """The verdict line of that name. Raises `StopIteration` where there is none."""
        return next(line for line in self.lines if line.name == name)


_ORDER = list(Level)


def place_in_words(place: str, record: Record) -> str:
    """The place of a flag in words.

    >>> from calc.record.shape import blank
    >>> place_in_words("passes/2/temperature", blank("test-day", "demo-0001", "2026-03-02T07:30:00Z"))
    'Pass 2, plate before the pass'
    """
    name, *rest = place.split("/")
    each = record.form.field(name)
    if not rest:
        return each.label
    column = next(column for column in each.columns if column.name == rest[1])
    return f"{each.row_name} {rest[0]}, {column.label.lower()}"


@lru_cache(maxsize=512)
def _answered(calculator: Calculator, inputs: tuple[tuple[str, str], ...], bare: System) -> Result:
    """An answer, worked out once: records of a class, and a record at the next key, ask much the same."""
    return calculator.answer(dict(inputs), bare)


@dataclass
class Bench:
    """The record on the bench: what can be read of it, and the flags so far."""

    record: Record
    flags: list[Flag] = field(default_factory=list)
    texts: dict[str, str] = field(default_factory=dict)
    cells: dict[str, list[dict[str, str]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for each in self.record.form.fields:
            if isinstance(each, Rows):
                self._read_rows(each)
            elif text := self.record.text(each.name).strip():
                if self._readable(each, text, each.name):
                    self.texts[each.name] = self._plain(each, text)

    def _readable(self, each: Any, text: str, place: str) -> bool:
        try:
            each.read(text, self.record.bare)
        except InputError as trouble:
            self.flags.append(Flag(place, Level.INCOMPLETE, (trouble.message,), id=UNREADABLE))
            return False
        return True

    def _plain(self, each: Any, text: str) -> str:
        """A choice by its own word, whatever case or label a file writes it in; any other text as it is."""
        return each.read(text, self.record.bare) if isinstance(each, Choice) else text

    def _read_rows(self, each: Rows) -> None:
        self.cells[each.name] = []
        for number, row in enumerate(self.record.rows.get(each.name, ()), 1):
            read = {}
            for column, text in zip(each.columns, row, strict=True):
                text = text.strip()
                if text and self._readable(column, text, f"{each.name}/{number}/{column.name}"):
                    read[column.name] = self._plain(column, text)
            self.cells[each.name].append(read)

    def has(self, *names: str) -> bool:
        return all(name in self.texts for name in names)

    def some(self, *names: str) -> dict[str, str]:
        """Those of the fields that are filled in and can be read."""
        return {name: self.texts[name] for name in names if name in self.texts}

    def ask(self, calculator: Calculator, inputs: dict[str, str], home: str, **places: str) -> Result | None:
        """The answer of a calculator; what it refuses becomes a flag at the field it names, or at `home`."""
        try:
            return _answered(calculator, tuple(sorted(inputs.items())), self.record.bare)
        except InputError as trouble:
            place = places.get(trouble.field, trouble.field if trouble.field in self.texts else home)
            flag = Flag(place, Level.INCOMPLETE, (trouble.message,), ENTERED, calculator.id, UNREADABLE)
            if flag not in self.flags:
                self.flags.append(flag)
            return None

    def keep(self, place: str, answer: Result | None, *ids: str) -> None:
        """The checks of these ids (`reading-*` any of a list) as flags of one figure."""
        for check in answer.checks if answer else ():
            if any(fnmatch.fnmatchcase(check.id, id) for id in ids):
                self.flag(place, check, answer.calculator)

    def flag(self, place: str, check: Check, calculator: Calculator) -> None:
        flag = Flag(place, check.level, check.phrase, check.source, calculator.id, check.id)
        if flag not in self.flags:
            self.flags.append(flag)

    def say(
        self, place: str, level: Level, id: str, words: str | Phrase, source: Citation, by: Calculator | None = None,
    ) -> None:
        phrase = (words,) if isinstance(words, str) else words
        self.flags.append(Flag(place, level, phrase, source, by.id if by else "", id))
