"""The test worked out as one: each calculator of a stage with the facts that it takes, in the order of what they hand
on, and the verdicts gathered.

A fact is said once; an input takes it by its name (`calc.core.declare.taken`), or the figure of another calculator.
Nothing here has a limit of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache

from calc.catalogue import CALCULATORS, calculator
from calc.core.declare import (
    CELLS_APART,
    ROWS_APART,
    Amount,
    Calculator,
    Choice,
    Input,
    InputError,
    Level,
    Phrase,
    Quantity,
    Result,
    Rows,
    Value,
    taken,
    worst,
)
from calc.core.forms import lowered
from calc.core.sources import ENTERED, Citation
from calc.core.units import SYSTEMS, System, show
from calc.plate_test.facts import DERIVED
from calc.plate_test.fields import BANDS, FIELDS, FORM, deciding
from calc.record.shape import Record

STAGES = (
    "test-plan", "wps-check", "groove", "cut-speed", "cut-oxygen", "bevel-cut", "clean-band",
    "preset", "current", "arc-length", "duty-cycle", "cable-drop", "lens-shade", "preheat", "heat-input",
    "cooling-time", "passes", "coupon-layout", "bend-ratio", "bend-force", "spring-back",
)
"""The calculators that a test is worked out by, in the order of the job. The others judge what is seen or measured on
the day, or plan for a class: they take its facts too, where they are opened."""
PER_ROD = ("current", "arc-length", "preheat")
"""Answered once more for each pass with another rod."""
_HANDED_ON_DIGITS = 6
MISSING = "test.missing"
"""Id of the verdict on facts that are not said yet."""


class Waits(Exception):
    """A figure that another calculator hands on is not there, since that one could not be worked out."""


@dataclass(frozen=True)
class Answer:
    """One calculator's answer; `layer` names the pass where it is about another rod than the main one.

    `stands_in` are the facts in it that nobody said, so that a figure of the invented shop or of the form stands for
    them.
    """

    result: Result
    layer: str = ""
    stands_in: tuple[str, ...] = ()
    own: bool = False
    """Whether a fact that the reader said is behind it."""

    @property
    def title(self) -> str:
        """The calculator's title, with the pass where there are several."""
        title = self.result.calculator.title
        return f"{title}, {self.layer}" if self.layer else title

    @cached_property
    def verdicts(self) -> tuple[Verdict, ...]:
        """Its checks. What is in order for a figure that nobody said is no more than a note."""
        calc = self.result.calculator
        found = []
        for check in self.result.checks:
            level, phrase = check.level, check.phrase
            if level is Level.OK and self.stands_in:
                level = Level.NOTE
                phrase = (f"Not said or not held: {_named(self.stands_in)}. With the guide's own: ", *phrase)
            found.append(Verdict(f"{calc.id}.{check.id}", level, phrase, check.source, link(calc), self.title))
        return tuple(found)


@dataclass(frozen=True)
class Verdict:
    """A check of the test: its calculator and id, how it stands, in words, by which source, and where it is read."""

    id: str
    level: Level
    phrase: Phrase
    source: Citation
    where: str
    title: str


@dataclass(frozen=True)
class Refusal:
    """What could not be worked out: a fact that cannot be read (`field`), or a calculator that refuses or waits."""

    calculator: str
    field: str
    message: str


@dataclass(frozen=True)
class Worked:
    """All that follows from a test."""

    record: Record
    texts: Mapping[str, str]
    answers: tuple[Answer, ...]
    refusals: tuple[Refusal, ...]
    missing: tuple[str, ...]

    def result(self, identifier: str) -> Result | None:
        """The answer of a calculator for the main rod; None where it could not be worked out."""
        return next(
            (each.result for each in self.answers if each.result.calculator.id == identifier and not each.layer), None,
        )

    @cached_property
    def verdicts(self) -> tuple[Verdict, ...]:
        """Every check of every answer, in the order of the job; what is missing comes first."""
        return (*self._incomplete(), *(each for answer in self.answers for each in answer.verdicts))

    @cached_property
    def level(self) -> Level:
        """The whole is as bad as its worst part."""
        return worst(each.level for each in self.verdicts)

    def _incomplete(self) -> Iterator[Verdict]:
        if self.missing:
            names = ", ".join(lowered(FIELDS[name].input.label) for name in self.missing)
            blanks = "1 fact is blank" if len(self.missing) == 1 else f"{len(self.missing)} facts are blank"
            yield Verdict(MISSING, Level.INCOMPLETE, (f"{names}. Where a figure is needed, the invented shop's stands "
                "in.",), ENTERED, "your-test.html", blanks)
        for refusal in self.refusals:
            about = f"{refusal.calculator or 'test'}.refused-{(refusal.field or 'whole').replace('_', '-')}"
            where = link(calculator(refusal.calculator)) if refusal.calculator else "your-test.html"
            title = calculator(refusal.calculator).title if refusal.calculator else FORM.title
            yield Verdict(about, Level.INCOMPLETE, (refusal.message,), ENTERED, where, title)


def link(calc: Calculator) -> str:
    """Where the form of a calculator stands, relative to the site.

    >>> link(calculator("groove"))
    'groove.html#groove'
    """
    return f"{calc.page.removesuffix('.md')}.html#{calc.id}"


_MOST_NAMED = 3


def _named(names: tuple[str, ...]) -> str:
    """Some facts in words; the rest of many are counted."""
    shown = ", ".join(lowered(FIELDS[name].input.label) for name in names[:_MOST_NAMED])
    more = len(names) - _MOST_NAMED
    return f"{shown} and {more} more" if more > 0 else shown


# --- reading ---------------------------------------------------------------------------------------


def plain_text(each: Input, text: str, bare: System) -> str:
    """A text that means the same everywhere: units written out, a choice by its own word. Raises `InputError`."""
    value = each.read(text, bare)
    if isinstance(each, Choice):
        return value
    return each.with_unit(text, bare).strip() if isinstance(each, (Quantity, Rows)) else text.strip()


def _cell(text: str) -> str:
    """What is written in a cell, without the marks that keep cells and rows apart: in a note they are a comma."""
    return text.replace(CELLS_APART, ",").replace(";", ",")


def read_facts(record: Record) -> tuple[dict[str, str], tuple[Refusal, ...]]:
    """The facts with what stands in for the blank ones, and what cannot be read of them."""
    texts: dict[str, str] = {}
    refused: list[Refusal] = []
    for name, each in FIELDS.items():
        texts[name] = each.stand_in
        if isinstance(each.input, Rows):
            given = ROWS_APART.join(f" {CELLS_APART} ".join(map(_cell, row)) for row in record.rows.get(name, ()))
        else:
            given = record.text(name).strip()
        if not given:
            continue
        try:
            texts[name] = plain_text(each.input, given, record.bare)
        except InputError as trouble:
            refused.append(Refusal("", name, str(trouble)))
    for low, high in BANDS:
        if texts[low] and texts[high]:
            ends = [FIELDS[name].input.read(texts[name], record.bare) for name in (low, high)]
            if ends[0] > ends[1]:
                shown = FIELDS[high].input.read_back(texts[high], record.bare)[record.bare]
                label = FIELDS[low].input.label
                refused.append(Refusal("", low, f"{label}: it is over its maximum; write at most {shown}"))
    return texts, tuple(refused)


def asked_for(name: str, texts: Mapping[str, str]) -> bool:
    """Whether a fact is asked for in this test: the progression is in a vertical one only."""
    return name != "progression" or texts["position"] == "3G"


def missing_of(record: Record, texts: Mapping[str, str]) -> tuple[str, ...]:
    """The facts that decide a verdict and are blank: voltage and travel speed too, where the WPS limits the heat
    input.
    """
    wanted = [*deciding()]
    if texts["heat_most"]:
        wanted += [low for low, high in BANDS if low in ("volts_low", "travel_low") and not texts[low] + texts[high]]
    return tuple(name for name in wanted if not record.text(name).strip() and asked_for(name, texts))


# --- working out -----------------------------------------------------------------------------------


@lru_cache(maxsize=512)
def _answered(identifier: str, texts: tuple[tuple[str, str], ...], system: System) -> Result | InputError:
    """One answer, kept: after a change of the test only what takes the changed fact is worked out again."""
    try:
        return calculator(identifier).answer(dict(texts), system)
    except InputError as trouble:
        return trouble


def handed_on(value: Value, system: System) -> str:
    """A figure of one calculator as another takes it: with its unit, to six digits.

    >>> handed_on(calculator("groove").answer()["plate_width"], "us")
    '3.19265 in'
    """
    if value.amount is None:
        return value.wording
    return show(value.amount, value.kind, system, _HANDED_ON_DIGITS).replace("\u00a0", " ").replace("\u202f", "")


class _Read(Mapping[str, str]):
    """The facts, and which of them were looked at."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        self.texts = texts
        self.seen: set[str] = set()

    def __getitem__(self, name: str) -> str:
        self.seen.add(name)
        return self.texts[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.texts)

    def __len__(self) -> int:
        return len(self.texts)


@dataclass
class Sheet:
    """One test on the way: what has been worked out so far, and of each calculator the facts behind it."""

    texts: Mapping[str, str]
    system: System
    said: frozenset[str]
    results: dict[str, Result | InputError] = field(default_factory=dict)
    behind: dict[str, set[str]] = field(default_factory=dict)
    stands_in: dict[str, set[str]] = field(default_factory=dict)

    def fill(self, calc: Calculator, only_said: bool = False) -> dict[str, str]:
        """What the inputs of a calculator take from the test, or only what rests on a fact that was said.

        Raises `Waits`.
        """
        texts = {}
        behind = self.behind.setdefault(calc.id, set())
        stands_in = self.stands_in.setdefault(calc.id, set())
        for each in calc.inputs:
            text, seen, lent = self.take(each)
            behind |= seen
            stands_in |= lent
            if not text and getattr(each, "default", ""):
                stands_in |= seen
            if text and (not only_said or seen & self.said):
                texts[each.name] = text
        return texts

    def take(self, each: Input) -> tuple[str, set[str], set[str]]:
        """The text that an input takes, the facts behind it, and those of them that nobody said; "" where the test says
        nothing of it, or in words that the input does not have.
        """
        name = taken(each)
        if name is None or not ("." in name or name in DERIVED or name in FIELDS):
            return "", set(), set()
        if "." in name:
            identifier, figure = name.split(".")
            text = self._figure(identifier, figure)
            seen, lent = self.behind[identifier], self.stands_in[identifier]
        else:
            read = _Read(self.texts)
            text = DERIVED[name](read) if name in DERIVED else read[name]
            seen = read.seen
            lent = {each for each in seen if each not in self.said and FIELDS[each].stands_in}
        if text and isinstance(each, Choice):
            try:
                return each.read(text, self.system), seen, lent
            except InputError:
                return "", seen, lent
        return each.default if text and self._means_default(each, text) else text, seen, lent

    def _means_default(self, each: Input, text: str) -> bool:
        """Whether a text is the default in another writing, as 0.375 in is 3/8 in."""
        try:
            return isinstance(each, Quantity) and each.read(text, self.system) == each.read(each.default, self.system)
        except InputError:
            return False

    def _figure(self, identifier: str, name: str) -> str:
        result = self.answer(identifier)
        if isinstance(result, InputError):
            raise Waits(f"waits for {calculator(identifier).title}")
        value = next((value for value in result.values if value.name == name), None)
        return handed_on(value, self.system) if value else ""

    def answer(self, identifier: str) -> Result | InputError:
        """The answer of a calculator for this test, worked out once. Raises `Waits`."""
        if identifier not in self.results:
            texts = tuple(self.fill(calculator(identifier)).items())
            self.results[identifier] = _answered(identifier, texts, self.system)
        return self.results[identifier]


def said_of(record: Record) -> frozenset[str]:
    """The facts that the test says."""
    return frozenset(name for name in FIELDS if record.text(name).strip() or record.rows.get(name))


def work(record: Record) -> Worked:
    """Work out a test. A fact that cannot be read is told; nothing is worked out with another in its place."""
    texts, unreadable = read_facts(record)
    missing = missing_of(record, texts)
    if unreadable:
        return Worked(record, texts, (), unreadable, missing)
    said = said_of(record)
    sheet = Sheet(texts, record.bare, said)
    answers: list[Answer] = []
    refusals: list[Refusal] = []
    for identifier in STAGES:
        _answer(sheet, identifier, "", answers, refusals)
        for layer, own in other_rods(record, texts) if identifier in PER_ROD else ():
            _answer(Sheet(own, record.bare, said), identifier, layer, answers, refusals)
    return Worked(record, texts, tuple(answers), tuple(refusals), missing)


def _answer(
    sheet: Sheet, identifier: str, layer: str, answers: list[Answer], refusals: list[Refusal],
) -> None:
    try:
        found = sheet.answer(identifier)
    except Waits as trouble:
        refusals.append(Refusal(identifier, "", f"{calculator(identifier).title}: {trouble}"))
        return
    if isinstance(found, InputError):
        refusals.append(Refusal(identifier, found.field, f"{calculator(identifier).title}: {found}"))
    else:
        stands_in = tuple(name for name in FIELDS if name in sheet.stands_in[identifier])
        answers.append(Answer(found, layer, stands_in, bool(sheet.behind[identifier] & sheet.said)))


def other_rods(record: Record, texts: Mapping[str, str]) -> Iterator[tuple[str, dict[str, str]]]:
    """The test once for each pass with another rod: its name, and the facts with that rod and its limits.

    What is set for the main rod is not set for this one: the middle of its own amperage is.
    """
    rows = FIELDS["other_rods"].input
    for number, cells in enumerate(rows.cells(texts["other_rods"]), 1):
        row = {
            column.name: plain_text(column, cell or column.default, record.bare) if cell or column.default else ""
            for column, cell in zip(rows.columns, [*cells, *[""] * len(rows.columns)])
        }
        layer = row.pop("layer") or f"pass {number}"
        yield layer, {**texts, **row, "amps": ""}


def fills(record: Record) -> dict[str, dict[str, str]]:
    """What every calculator of the guide takes from a test that can be read, by calculator and input.

    What nobody said is left to the forms.
    """
    texts, unreadable = read_facts(record)
    if unreadable:
        return {}
    sheet = Sheet(texts, record.bare, said_of(record))
    found = {}
    for calc in CALCULATORS:
        try:
            found[calc.id] = sheet.fill(calc, only_said=True)
        except Waits:
            continue
    return found


# --- a change ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Change:
    """A main figure that a change of the test changes."""

    label: str
    before: Value
    after: Value
    title: str

    @property
    def phrase(self) -> Phrase:
        """The change in words, with the difference where both are numbers."""
        if self.after.amount is None or self.before.amount is None or self.after.kind is not self.before.kind:
            return (f"{self.label}: {self.before.text('us')} → {self.after.text('us')}",)
        difference = self.after.amount - self.before.amount
        more = "more" if difference > 0 else "less"
        kind, digits = self.after.kind, self.after.digits
        return (
            f"{self.label}: ", Amount(self.before.amount, kind, digits), " → ",
            Amount(self.after.amount, kind, digits), ", ", Amount(abs(difference), kind, 3), f" {more}",
        )


def changes(before: Worked, after: Worked) -> tuple[Change, ...]:
    """What a change of the test changes downstream: each main figure that is another, in the order of the job."""
    found = []
    for answer in after.answers:
        old = next((each.result for each in before.answers if each.layer == answer.layer
            and each.result.calculator.id == answer.result.calculator.id), None)
        if old is None:
            continue
        known = {value.name: value for value in old.values if value.main}
        for value in answer.result.values:
            was = known.get(value.name)
            if value.main and was and any(was.text(system) != value.text(system) for system in SYSTEMS):
                found.append(Change(value.label, was, value, answer.result.calculator.title))
    return tuple(found)


def with_facts(record: Record, given: Mapping[str, str]) -> Record:
    """The same test with some facts said otherwise. Raises `KeyError` for one that is no fact of a test."""
    for name in given:
        if name not in FIELDS:
            raise KeyError(name)
    rows = {name: tuple(tuple(row) for row in FIELDS[name].input.cells(text)) for name, text in given.items()
        if isinstance(FIELDS[name].input, Rows)}
    values = {name: text for name, text in given.items() if name not in rows}
    return replace(record, values={**record.values, **values}, rows={**record.rows, **rows})
