"""How a calculator is declared: its inputs, and the result it works out.

A calculator is one function with declared inputs. The form, the command line,
the link, the worked steps, the worksheets and many of the tests are derived from
the declaration; none of them is written twice.

    GROOVE = Calculator(
        id="groove", title="Groove size", ..., inputs=(Quantity("thickness", ...), ...), work=work_groove)

The function gets a `Working` and the parsed inputs, in base units and exact. It
writes its steps with `Working.let`, its judgements with `Working.check`, its
warnings with `Working.caution`.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction
from functools import cached_property
from typing import Any

from calc.core.formula import Formula, Symbol, as_formula, unit_factor
from calc.core.sources import GEOMETRY, Citation, Fact
from calc.core.units import (
    SYSTEMS,
    Kind,
    Number,
    System,
    Unit,
    UnitError,
    is_shop_fraction,
    listed,
    parse,
    shop_fraction,
    show,
    show_as_written,
    significant,
    split,
)


class InputError(ValueError):
    """An input that cannot be used. Names the field by name and label, and says the limit with its unit."""

    def __init__(self, field_name: str, label: str, message: str) -> None:
        super().__init__(f"{label}: {message}")
        self.field = field_name
        self.label = label
        self.message = message


# --- inputs ------------------------------------------------------------------


@dataclass(frozen=True)
class Slide:
    """From where to where a slider goes, and in what steps, written as a reader would.

    Without `si` both systems share one.
    """

    us: tuple[str, str, str]
    si: tuple[str, str, str] | None = None

    def ends(self, kind: Kind, system: System) -> tuple[Fraction, Fraction, Fraction]:
        """Its lowest and highest value and its step, in base units."""
        low, high, step = (parse(text, kind) for text in (self.si if system == "si" and self.si else self.us))
        return low, high, step

    def stops(self, kind: Kind, system: System) -> tuple[Fraction, ...]:
        """The values the slider stops at, in base units.

        >>> from calc.core.units import LENGTH, show_as_written
        >>> [show_as_written(stop, LENGTH, "us") for stop in Slide(("1/8 in", "1/4 in", "1/16 in")).stops(LENGTH, "us")]
        ['1/8 in', '3/16 in', '1/4 in']
        """
        low, high, step = self.ends(kind, system)
        return tuple(low + count * step for count in range(int((high - low) / step) + 1))


@dataclass(frozen=True)
class Quantity:
    """A number with a unit. Limits and default are written as a reader would write them.

    `low` and `high` are allowed themselves unless `above_low` is set. A field with an
    empty default, or with `may_be_blank`, may be left blank; it is then None. `limit_of` names the checks for which it
    is the reader's own limit, by the start of their ids.
    """

    name: str
    label: str
    kind: Kind
    default: str
    low: str
    high: str
    help: str
    symbol: str = ""
    above_low: bool = False
    common: tuple[str, ...] = ()
    may_be_blank: bool = False
    slide: Slide | None = None
    takes: str | None = ""
    limit_of: tuple[str, ...] = ()

    @property
    def optional(self) -> bool:
        """Whether the field may be left blank."""
        return self.may_be_blank or self.default == ""

    @cached_property
    def limits(self) -> tuple[Fraction, Fraction]:
        """The lowest and highest value, in base units. Read once: a drawing that follows a slider asks often."""
        return parse(self.low, self.kind), parse(self.high, self.kind)

    def read(self, text: str, system: System) -> Fraction | None:
        """The value in base units. Raises `InputError`."""
        if self.optional and not text.strip():
            return None
        try:
            value = parse(text, self.kind, system)
        except UnitError as trouble:
            raise InputError(self.name, self.label, str(trouble)) from None
        low, high = self.limits
        if value < low or value > high or (self.above_low and value == low):
            shown = show_as_written(value, self.kind, system)
            raise InputError(self.name, self.label, f"{shown} is outside the range; write {self.range_text()}")
        return value

    def range_text(self) -> str:
        """The allowed range in words, both systems where they differ."""
        us, si = (self.range_in(system) for system in SYSTEMS)
        return us if us == si else f"{us} ({si})"

    def range_in(self, system: System) -> str:
        """The allowed range in words, in one system."""
        low, high = (show_as_written(parse(limit, self.kind), self.kind, system) for limit in (self.low, self.high))
        return f"above {low} up to {high}" if self.above_low else f"from {low} to {high}"

    def read_back(self, text: str, system: System) -> dict[System, str]:
        """What the guide understood, in both systems; empty where blank."""
        value = self.read(text, system)
        return {} if value is None else {s: show_as_written(value, self.kind, s) for s in SYSTEMS}

    def with_unit(self, text: str, system: System) -> str:
        """The same text with its unit written out, so that it means the same in a link or after a switch of units."""
        try:
            _, unit = split(text, self.kind)
        except UnitError:
            return text
        shown = self.kind.unit(system)
        return text if unit or not shown.symbol else f"{text.strip()} {shown.symbol}"


@dataclass(frozen=True)
class Whole:
    """A count: a whole number without a unit."""

    name: str
    label: str
    default: str
    low: int
    high: int
    help: str
    symbol: str = ""
    common: tuple[str, ...] = ()
    takes: str | None = ""

    @property
    def optional(self) -> bool:
        """Whether the field may be left blank."""
        return self.default == ""

    def read(self, text: str, system: System) -> int | None:
        """The count. Raises `InputError`."""
        plain = text.strip()
        if self.optional and not plain:
            return None
        if not re.fullmatch(r"[0-9]{1,7}", plain):
            raise InputError(self.name, self.label, f"write a whole number {self.range_text()}")
        if not self.low <= int(plain) <= self.high:
            raise InputError(
                self.name, self.label, f"{int(plain)} is outside the range; write a whole number {self.range_text()}",
            )
        return int(plain)

    def range_text(self) -> str:
        """The allowed counts in words."""
        return f"from {self.low} to {self.high}"


@dataclass(frozen=True)
class Option:
    """One choice: the word on the command line and in links, and what the reader sees.

    `size` also matches by length.
    """

    value: str
    label: str
    sizes: tuple[str, ...] = ()


NOT_LOOKED_AT = Option("not-looked", "Not inspected yet")
"""For what nobody has seen yet: unseen is not clean."""


@dataclass(frozen=True)
class Choice:
    """One of a list. Options with `sizes` are also found by a length in any unit (`3.2 mm` finds 1/8 in)."""

    name: str
    label: str
    options: tuple[Option, ...]
    default: str
    help: str
    symbol: str = ""
    takes: str | None = ""

    optional = False

    def read(self, text: str, system: System) -> str:
        """The option's value. Raises `InputError` that lists the options."""
        wanted = " ".join(text.split()).lower()
        for option in self.options:
            if wanted in (option.value.lower(), option.label.lower()):
                return option.value
        if any(option.sizes for option in self.options):
            return self._read_size(text, system)
        raise InputError(self.name, self.label, f"“{text[:40]}” is not in the list; choose {self.range_text()}")

    def _read_size(self, text: str, system: System) -> str:
        from calc.core.units import LENGTH

        try:
            value = parse(text, LENGTH, system)
        except UnitError as trouble:
            raise InputError(self.name, self.label, str(trouble)) from None
        for option in self.options:
            if value in [parse(size, LENGTH) for size in option.sizes]:
                return option.value
        shown = show_as_written(value, LENGTH, system)
        raise InputError(self.name, self.label, f"there is no row for {shown}; choose {self.range_text()}")

    def range_text(self) -> str:
        """The words that may be written, as a list that ends in “or”."""
        return listed(option.value for option in self.options)

    def label_of(self, value: str) -> str:
        """What the reader sees for a value of this choice. Raises `StopIteration` for a value that it does not have."""
        return next(option.label for option in self.options if option.value == value)


@dataclass(frozen=True)
class Day:
    """A calendar date, written year-month-day."""

    name: str
    label: str
    default: str
    help: str
    low: str = "1990-01-01"
    high: str = "2100-12-31"
    symbol: str = ""
    takes: str | None = ""

    @property
    def optional(self) -> bool:
        """Whether the field may be left blank."""
        return self.default == ""

    def read(self, text: str, system: System) -> datetime.date | None:
        """The date. Raises `InputError`."""
        plain = text.strip()
        if self.optional and not plain:
            return None
        try:
            if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", plain):
                raise ValueError
            day = datetime.date.fromisoformat(plain)
        except ValueError:
            raise InputError(
                self.name, self.label, f"“{plain[:40]}” is not a date; write year-month-day, as in 2026-03-31",
            ) from None
        if not self.low <= plain <= self.high:
            raise InputError(self.name, self.label, f"{plain} is outside the range; write a date {self.range_text()}")
        return day

    def range_text(self) -> str:
        """The allowed dates in words, year-month-day."""
        return f"from {self.low} to {self.high}"


@dataclass(frozen=True)
class Clock:
    """A time of day on the 24-hour clock. One that `may_be_blank` is then None."""

    name: str
    label: str
    default: str
    help: str
    symbol: str = ""
    takes: str | None = ""
    may_be_blank: bool = False

    @property
    def optional(self) -> bool:
        """Whether the field may be left blank."""
        return self.may_be_blank

    def read(self, text: str, system: System) -> datetime.time | None:
        """The time of day. Raises `InputError`."""
        if self.optional and not text.strip():
            return None
        match = re.fullmatch(r"([01]?[0-9]|2[0-3]):([0-5][0-9])", text.strip(), re.ASCII)
        if not match:
            raise InputError(
                self.name, self.label, f"“{text[:40]}” is not a time; write hours and minutes {self.range_text()}",
            )
        return datetime.time(int(match[1]), int(match[2]))

    def range_text(self) -> str:
        """The allowed times in words."""
        return "from 00:00 to 23:59"


@dataclass(frozen=True)
class Words:
    """A short text of the reader's own, such as the name of a piece. Kept as written, never read as markup."""

    name: str
    label: str
    default: str
    help: str
    longest: int = 60
    symbol: str = ""
    takes: str | None = ""

    optional = True

    def read(self, text: str, system: System) -> str:
        """The text, spaces tidied. Raises `InputError` where it is too long or holds control characters."""
        plain = " ".join(text.split())
        if len(plain) > self.longest or not plain.isprintable():
            raise InputError(self.name, self.label, f"write at most {self.range_text()}")
        return plain

    def range_text(self) -> str:
        """How long the text may be, in words."""
        return f"{self.longest} plain characters"


Cell = Quantity | Whole | Choice | Day | Clock | Words
CELLS_APART, ROWS_APART = "|", "\n"


@dataclass(frozen=True)
class Rows:
    """A list with the same columns in every row, such as the open discontinuities found on a bent specimen.

    As text: a row a line (`;` serves too), cells apart by `|`.
    """

    name: str
    label: str
    columns: tuple[Cell, ...]
    default: str
    help: str
    row_name: str = "Row"
    fewest: int = 1
    most: int = 20
    symbol: str = ""
    takes: str | None = ""

    @property
    def optional(self) -> bool:
        """Whether the list may be left empty."""
        return self.fewest == 0

    @property
    def add_words(self) -> str:
        """The words of the button that adds a row.

        >>> [Rows("list", "List", (), "", "", row_name=name).add_words for name in ("Pass", "Open discontinuity", "Use")]
        ['Add a pass', 'Add an open discontinuity', 'Add a use']
        """
        name = self.row_name.lower()
        return f"Add {'an' if name[0] in 'aeiou' and name != 'use' else 'a'} {name}"

    def cells(self, text: str) -> list[list[str]]:
        """The rows as texts, blank rows dropped."""
        rows = [
            line.split(CELLS_APART) for line in text.replace(";", ROWS_APART).split(ROWS_APART)
            if line.replace(CELLS_APART, " ").strip()
        ]
        return [[cell.strip() for cell in row] for row in rows]

    def read(self, text: str, system: System) -> tuple[tuple[Any, ...], ...]:
        """A tuple of values a row. Raises `InputError` that names the row and the column."""
        rows = self.cells(text)
        if not self.fewest <= len(rows) <= self.most:
            raise InputError(self.name, self.label, f"{len(rows)} rows; give {self.range_text()}")
        return tuple(self._read_row(number, row, system) for number, row in enumerate(rows, 1))

    def _read_row(self, number: int, row: list[str], system: System) -> tuple[Any, ...]:
        if len(row) > len(self.columns):
            raise InputError(
                self.name, self.label, f"{self.row_name} {number} has {len(row)} cells; at most {len(self.columns)}",
            )
        values = []
        for position, column in enumerate(self.columns):
            text = row[position] if position < len(row) and row[position] else column.default
            try:
                values.append(column.read(text, system))
            except InputError as trouble:
                raise InputError(
                    self.name, self.label, f"{self.row_name} {number}, {column.label.lower()}: {trouble.message}",
                ) from None
        return tuple(values)

    def range_text(self) -> str:
        """How many rows there may be, in words."""
        return f"from {self.fewest} to {self.most} rows"

    def with_unit(self, text: str, system: System) -> str:
        """The same rows with every unit written out, as `Quantity.with_unit` does for one field."""
        return ROWS_APART.join(
            f" {CELLS_APART} ".join(
                column.with_unit(cell, system) if isinstance(column, Quantity) else cell
                for column, cell in zip(self.columns, row)
            )
            for row in self.cells(text)
        )


Input = Quantity | Whole | Choice | Day | Clock | Words | Rows


def taken(each: Input) -> str | None:
    """Which fact of the reader's own test an input takes (calc/plate_test), or which figure of another calculator.

    `takes` names it: a field or a derived fact by its id, a figure as `calculator.value`. Left out, the input takes
    the fact of its own name; `takes=None` says that it takes none, though one has that name.

    >>> taken(Words("shop", "Shop", "", "")), taken(Words("length", "Length", "", "", takes="plate_length"))
    ('shop', 'plate_length')
    """
    return each.name if each.takes == "" else each.takes


# --- results -----------------------------------------------------------------


@dataclass(frozen=True)
class Amount:
    """A quantity inside a sentence."""

    amount: Number
    kind: Kind
    digits: int = 4
    as_written: bool = False

    def text(self, system: System) -> str:
        """The quantity with its unit, in one system.

        >>> from calc.core.units import LENGTH, parse
        >>> Amount(parse("1/4 in", LENGTH), LENGTH, as_written=True).text("us"), Amount(parse("1/4 in", LENGTH), LENGTH, 3).text("si")
        ('1/4 in', '6.35\\xa0mm')
        """
        if self.as_written:
            return show_as_written(self.amount, self.kind, system)
        return show(self.amount, self.kind, system, self.digits)

    def text_both(self) -> str:
        """The quantity in one text for both systems, the second behind in brackets where they differ."""
        us, si = self.text("us"), self.text("si")
        return us if us == si else f"{us} ({si})"


Phrase = tuple[str | Amount, ...]
"""A sentence whose quantities are shown in either system."""


def phrase_text(phrase: Phrase, system: System) -> str:
    """The sentence as plain text in one system.

    >>> from calc.core.units import LENGTH, parse
    >>> phrase_text(("Cut it ", Amount(parse("7 in", LENGTH), LENGTH), " long."), "si")
    'Cut it 177.8\\xa0mm long.'
    """
    return "".join(part if isinstance(part, str) else part.text(system) for part in phrase)


@dataclass(frozen=True)
class Value:
    """One figure of an answer, with where it comes from. `wording` stands in where the answer is words."""

    name: str
    label: str
    symbol: str
    kind: Kind | None
    amount: Number | None
    source: Citation
    digits: int = 4
    wording: str = ""
    main: bool = False
    as_fraction: bool = False

    def text(self, system: System) -> str:
        """The figure with its unit, as shown."""
        if self.amount is None:
            return self.wording
        text = show(self.amount, self.kind, system, self.digits)
        if system == "si" or not self.as_fraction:
            return text
        if is_shop_fraction(self.amount):
            return shop_fraction(self.amount)
        nearest = shop_fraction(self.amount, 32)
        return text if nearest == "0 in" else f"{text} (about {nearest})"


@dataclass(frozen=True)
class Step:
    """One worked step: what it gives, the formula, and the result."""

    label: str
    symbol: str
    formula: Formula
    kind: Kind
    source: Citation
    digits: int = 4
    note: str = ""

    def result_text(self, system: System) -> str:
        """What the step comes to, with its unit, in one system."""
        return show(self.formula.value, self.kind, system, self.digits)

    def factor(self, system: System) -> str:
        """The unit factor as text, or nothing where the units already fit."""
        factor = unit_factor(self.formula, self.kind, system)
        return "" if factor == 1.0 else significant(factor, 6)

    def letters(self) -> str:
        """The step in letters, as in w = 2·b + R."""
        return f"{self.symbol} = {self.formula.letters()}"

    def numbers(self, system: System) -> str:
        """The step with the numbers of one system put in, its unit factor if there is one, and what it comes to."""
        factor = self.factor(system)
        times = f" × {factor}" if factor else ""
        inside = self.formula.numbers(system)
        if factor and (" + " in inside or " − " in inside):
            inside = f"({inside})"
        return f"{self.symbol} = {inside}{times} = {self.result_text(system)}"


class Level(Enum):
    """How a check came out, from good to bad; a note only informs and judges nothing."""

    NOTE = "note"
    OK = "ok"
    CAUTION = "caution"
    NOT_KNOWN = "not known"
    INCOMPLETE = "incomplete"
    STOP = "stop"

    @property
    def label(self) -> str:
        """The word that stands before the sentence: OK, Caution, Not known."""
        return "OK" if self is Level.OK else self.value.capitalize()

    @property
    def severity(self) -> int:
        """0 where nothing speaks against it; higher is worse.

        >>> [level.severity for level in Level]
        [0, 0, 1, 2, 3, 4]
        """
        return max(0, list(Level).index(self) - 1)


def worst(levels: Iterable[Level]) -> Level:
    """The whole is as bad as its worst part. Notes judge nothing: of notes alone, and of nothing, comes a note.

    >>> worst([Level.OK, Level.STOP, Level.CAUTION]), worst([Level.NOTE, Level.OK]), worst([])
    (<Level.STOP: 'stop'>, <Level.OK: 'ok'>, <Level.NOTE: 'note'>)
    """
    return max(levels, key=list(Level).index, default=Level.NOTE)


@dataclass(frozen=True)
class Check:
    """A judgement with its reason. `id` names what is judged, once in an answer; it stays when the words change."""

    id: str
    level: Level
    phrase: Phrase
    source: Citation


@dataclass(frozen=True)
class Result:
    """All that a calculator answers."""

    calculator: Calculator
    inputs: Mapping[str, str]
    headline: Phrase
    values: tuple[Value, ...]
    steps: tuple[Step, ...]
    checks: tuple[Check, ...]
    cautions: tuple[str, ...]
    drawings: tuple[Any, ...] = ()
    tables: tuple[Any, ...] = ()

    def __getitem__(self, name: str) -> Value:
        return next(value for value in self.values if value.name == name)

    @property
    def level(self) -> Level:
        """How the whole answer stands: as bad as its worst check."""
        return worst(check.level for check in self.checks)

    def check(self, id: str) -> Check | None:
        """The check of that id; None where this answer has none."""
        return next((check for check in self.checks if check.id == id), None)

    @property
    def sources(self) -> tuple[Citation, ...]:
        """Every citation of the answer, each once, in order of appearance."""
        parts = (*self.values, *self.steps, *self.checks)
        return tuple(dict.fromkeys(part.source for part in parts))


_HOLE = re.compile(r"\{(\w+)\}")


@dataclass
class Working:
    """The sheet a calculator works on: steps, values, checks and cautions in the order they are written."""

    values: list[Value] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)
    checks: list[Check] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    drawings: list[Any] = field(default_factory=list)
    tables: list[Any] = field(default_factory=list)
    headline: Phrase = ()
    known: dict[str, Amount | str] = field(default_factory=dict)

    def given(
        self, name: str, symbol: str, amount: Number, kind: Kind, *, us: Unit | None = None, si: Unit | None = None,
    ) -> Symbol:
        """An input (or a table figure) under its letter, for use in formulas and sentences."""
        self.known[name] = Amount(amount, kind, as_written=True)
        return Symbol(symbol, amount, kind, us, si)

    def let(
        self, name: str, label: str, symbol: str, kind: Kind, formula: Formula | Number, *, source: Citation = GEOMETRY,
        main: bool = False, digits: int = 4, as_fraction: bool = False, note: str = "", answer: bool = True,
    ) -> Symbol:
        """One worked step. Its result becomes a value of the answer unless `answer` is False; returns it as a symbol.

        Raises `ArithmeticError` or `ValueError` where the formula has no finite value: a calculator
        checks its inputs before it comes to that.
        """
        tree = as_formula(formula)
        amount = tree.value
        float(amount)
        self.steps.append(Step(label, symbol, tree, kind, source, digits, note))
        self.known[name] = Amount(amount, kind, digits, as_fraction and is_shop_fraction(amount))
        if answer:
            self.values.append(Value(name, label, symbol, kind, amount, source, digits, "", main, as_fraction))
        return Symbol(symbol, amount, kind)

    def value(
        self, name: str, label: str, amount: Number, kind: Kind, *, source: Citation, symbol: str = "",
        main: bool = False, digits: int = 4, as_fraction: bool = False,
    ) -> Symbol:
        """A figure that needs no step, such as one read from a table."""
        self.known[name] = Amount(amount, kind, digits, as_fraction and is_shop_fraction(amount))
        self.values.append(Value(name, label, symbol, kind, amount, source, digits, "", main, as_fraction))
        return Symbol(symbol or name, amount, kind)

    def fact(self, fact: Fact, symbol: str = "") -> Symbol:
        """A value of the register, taken into the answer with its source."""
        assert fact.amount is not None, fact.id
        return self.value(
            fact.id.replace("-", "_"), fact.label, fact.amount, fact.kind, source=fact.source, symbol=symbol,
        )

    def words(self, name: str, label: str, wording: str, *, source: Citation, main: bool = False) -> None:
        """An answer in words: a verdict, a date, a name from a table."""
        self.known[name] = wording
        self.values.append(Value(name, label, "", None, None, source, wording=wording, main=main))

    def phrase(self, text: str) -> Phrase:
        """A sentence with the known quantities put in at `{name}`."""
        parts: list[str | Amount] = []
        end = 0
        for hole in _HOLE.finditer(text):
            parts += [text[end : hole.start()], self.known[hole[1]]]
            end = hole.end()
        parts.append(text[end:])
        return tuple(part for part in parts if part != "")

    def mention(self, name: str, fact: Fact) -> None:
        """A value of the register, for use in sentences without a row of its own; the sentence cites it."""
        assert fact.amount is not None, fact.id
        self.known[name] = Amount(fact.amount, fact.kind, as_written=True)

    def say(self, text: str) -> None:
        """The answer in one sentence; it is what a screen reader speaks when numbers change."""
        self.headline = self.phrase(text)

    def check(self, level: Level, id: str, text: str, *, source: Citation) -> None:
        """Judge the inputs or the answer: how it stands, what is judged, and one sentence with the values of the sheet
        in braces.

        The id is lower-case words with hyphens; each stands once in an answer.
        """
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", id), id
        self.checks.append(Check(id, level, self.phrase(text), source))

    def ok(self, id: str, text: str, *, source: Citation) -> None:
        """A check that nothing speaks against."""
        self.check(Level.OK, id, text, source=source)

    def note(self, id: str, text: str, *, source: Citation) -> None:
        """What the reader should know of this answer; it judges nothing."""
        self.check(Level.NOTE, id, text, source=source)

    def caution(self, id: str, text: str, *, source: Citation) -> None:
        """A check that asks for a closer look."""
        self.check(Level.CAUTION, id, text, source=source)

    def not_known(self, id: str, text: str, *, source: Citation) -> None:
        """A check that cannot be made with what is held: says what is missing and whom to ask."""
        self.check(Level.NOT_KNOWN, id, text, source=source)

    def incomplete(self, id: str, text: str, *, source: Citation) -> None:
        """A check that waits for something not yet seen, measured or done: says what."""
        self.check(Level.INCOMPLETE, id, text, source=source)

    def stop(self, id: str, text: str, *, source: Citation) -> None:
        """A check that says not to go on like this."""
        self.check(Level.STOP, id, text, source=source)

    def warn(self, text: str) -> None:
        """What can hurt someone at this work, in a sentence."""
        self.cautions.append(text)

    def draw(self, drawing: Any) -> None:
        """A `calc.show.drawing.Drawing` made from the numbers of this answer."""
        self.drawings.append(drawing)

    def tabulate(self, listing: Any) -> None:
        """A `calc.show.plot.Listing` that belongs to this answer."""
        self.tables.append(listing)

    def result(self, calculator: Calculator, texts: Mapping[str, str]) -> Result:
        """What stands on the sheet, as the answer of a calculator to inputs written as text."""
        written = {each.name: texts.get(each.name, each.default) for each in calculator.inputs}
        return Result(
            calculator, written, self.headline, tuple(self.values), tuple(self.steps), tuple(self.checks),
            tuple(self.cautions), tuple(self.drawings), tuple(self.tables),
        )


@dataclass(frozen=True)
class Replaced:
    """An input that is no longer asked, since another one says the same: how its text is put in the other's way."""

    name: str
    label: str
    by: str
    make: Callable[[str], str]
    told: str


@dataclass(frozen=True, eq=False)
class Calculator:
    """A calculator: its id (stable, used in links), what it answers, its inputs and the function that works it out. There
    is one of each.

    `main` names the inputs that matter most: they stand beside the picture, the others fold under them. `replaced`
    are inputs of earlier days, which old links hold.
    """

    id: str
    title: str
    question: str
    inputs: tuple[Input, ...]
    work: Callable[..., None]
    page: str
    main: tuple[str, ...]
    replaced: tuple[Replaced, ...] = ()

    def renewed(self, texts: Mapping[str, str]) -> tuple[dict[str, str], dict[str, str]]:
        """The texts with inputs of old links put as the ones that took their place; and what was done with each."""
        given, told = dict(texts), {}
        for old in self.replaced:
            if old.name in given:
                text = given.pop(old.name)
                if old.by in given:
                    told[old.name] = f"{old.label} is not asked any more; {self.input(old.by).label} says it."
                else:
                    given[old.by] = old.make(text)
                    told[old.name] = f"{old.label} is not asked any more. {old.told}"
        return given, told

    def own_limits(self, check: str) -> tuple[Quantity, ...]:
        """The inputs where the reader's own limit for a check goes, by the id of the check."""
        return tuple(
            each for each in self.inputs
            if isinstance(each, Quantity) and any(f"{check}-".startswith(f"{judged}-") for judged in each.limit_of)
        )

    @property
    def defaults(self) -> dict[str, str]:
        """The default text of every input, by its name."""
        return {each.name: each.default for each in self.inputs}

    def input(self, name: str) -> Input:
        """The input of that name. Raises `InputError` that lists the names there are."""
        for each in self.inputs:
            if each.name == name:
                return each
        names = ", ".join(each.name for each in self.inputs)
        raise InputError(name, name[:40], f"{self.id} has no such input; it has {names}")

    def read(self, texts: Mapping[str, str], system: System = "us") -> tuple[dict[str, Any], dict[str, InputError]]:
        """The inputs in base units, and the error of each field that cannot be used."""
        values: dict[str, Any] = {}
        errors: dict[str, InputError] = {}
        texts, _ = self.renewed(texts)
        for name in texts:
            try:
                self.input(name)
            except InputError as trouble:
                errors[name] = trouble
        for each in self.inputs:
            try:
                values[each.name] = each.read(texts.get(each.name, each.default), system)
            except InputError as trouble:
                errors[each.name] = trouble
        return values, errors

    def answer(self, texts: Mapping[str, str] | None = None, system: System = "us", /, **more: str) -> Result:
        """The answer for inputs written as text; what is not given takes its default.

        Raises `InputError` for the first field that cannot be used.
        """
        given, _ = self.renewed({**(texts or {}), **more})
        values, errors = self.read(given, system)
        if errors:
            raise next(iter(errors.values()))
        sheet = Working()
        self.work(sheet, **values)
        return sheet.result(self, given)


