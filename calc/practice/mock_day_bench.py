"""What the decisions of a mock test day are made of: a decision, the bench they are drawn at, and how a calculator's
answer becomes the key.

No limit stands here. Whether the right answer shall be to go on is drawn first, evenly, and numbers are drawn until the
calculator says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from typing import Any

from calc.catalogue import calculator
from calc.core.declare import Amount, Check, Choice, Level, Phrase, Quantity, Result, Step, Value, phrase_text
from calc.core.forms import lowered
from calc.core.sources import Citation
from calc.core.units import LENGTH, Kind, parse, show_as_written
from calc.plate_test.fields import FIELDS
from calc.plate_test.work import Sheet, asked_for, link
from calc.practice.chance import Chance
from calc.practice.mock_day_wps import WPS_LINES
from calc.practice.solution import steps_to
from calc.record.shape import Record
from calc.show.drawing import Drawing

TRIES = 200
Told = tuple[tuple[str, Phrase], ...]
Texts = Mapping[str, str]


class CannotDraw(Exception):
    """A stage that this test gives no decision for; the message says why."""


@dataclass(frozen=True)
class Decision:
    """One decision: what is told, what is asked, and the key with its reason and source.

    Where a figure is asked for, `value` is the calculator's and the answer may be off by `within`; otherwise `right` is
    the place of the right option. `go` says whether the right answer is to go on; None where none is a stop.
    """

    id: str
    stage: str
    page: str
    where: str
    objective: str
    told: Told
    ask: str
    reasons: tuple[Phrase, ...]
    sources: tuple[Citation, ...]
    result: Result | None = None
    options: tuple[Phrase, ...] = ()
    right: int = -1
    go: bool | None = None
    value: Value | None = None
    within: str = ""
    drawing: Drawing | None = None
    look: tuple[str, str] | None = None
    """The weld as it looks: the name of a look, and its seed."""

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """The worked steps of the figure asked for."""
        return steps_to(self.result, self.value) if self.value and self.result else ()

    def right_text(self, system: str) -> str:
        """The right answer in words."""
        if self.value is not None:
            return f"{self.value.label}: {self.value.text(system)}"
        return phrase_text(self.options[self.right], system)


@dataclass
class Bench:
    """What the decisions are drawn from: the seed and the facts of the test, with the chance of one decision."""

    seed: str
    record: Record
    texts: Texts
    sheet: Sheet
    chance: Chance = field(default_factory=lambda: Chance(""))

    def answer(self, identifier: str, **drawn: str) -> Result:
        """A calculator with the facts of the test, and over them what was drawn."""
        return calculator(identifier).answer({**self.sheet.fill(calculator(identifier)), **drawn})

    def pick(self, *choices: Any) -> Any:
        """One of the choices."""
        return self.chance.choose(choices)

    def by_coin(self, draw: Callable[[bool], Result], go: Callable[[Result], bool | None]) -> Result:
        """Draw until the calculator gives the verdict that a coin asks for. `draw` is told which, as a hint where to
        look; `go` is None for an answer that is no clear verdict. Raises `CannotDraw`.
        """
        wanted = self.chance.below(2) == 0
        for turn in range(TRIES):
            result = draw(wanted if turn < TRIES // 2 else not wanted)
            if go(result) is (wanted if turn < TRIES // 2 else not wanted):
                return result
        raise CannotDraw("no verdict can be drawn with these limits")

    def fact(self, name: str, kind: Kind) -> Fraction | None:
        """A fact of the test in base units; None where it is not said."""
        return parse(self.texts[name], kind) if self.texts[name] else None

    def needed(self, name: str, kind: Kind) -> Fraction:
        """The same of a fact without which there is nothing to decide. Raises `CannotDraw`."""
        found = self.fact(name, kind)
        if found is None:
            raise CannotDraw(f"your test does not say: {lowered(FIELDS[name].input.label)}")
        return found


def written(amount: Fraction, kind: Kind) -> str:
    """An amount as a text that a calculator reads.

    >>> written(parse("9/32 in", LENGTH), LENGTH)
    '9/32 in'
    """
    return show_as_written(amount, kind, "us").replace("\u00a0", " ").replace("\u202f", "")


def inches(text: str | int | Fraction) -> Fraction:
    """So many inches, in meters."""
    return Fraction(text) * Fraction(254, 10000)


def told_of(result: Result, *names: str) -> Told:
    """Inputs of an answer as the reader is told them, each with its label."""
    return tuple((result.calculator.input(name).label, input_phrase(result, name)) for name in names)


def input_phrase(result: Result, name: str) -> Phrase:
    """An input of an answer, in either system."""
    each = result.calculator.input(name)
    value = each.read(result.inputs[name], "us")
    if isinstance(each, Quantity):
        return (Amount(value, each.kind, as_written=True),) if value is not None else ("not stated",)
    return (each.label_of(value) if isinstance(each, Choice) else str(result.inputs[name]),)


def fact_phrase(name: str, texts: Texts) -> Phrase:
    """A fact of the test, in either system."""
    each = FIELDS[name].input
    if not texts[name]:
        return ("not stated",)
    if isinstance(each, Quantity):
        return (Amount(each.read(texts[name], "us"), each.kind, as_written=True),)
    return (each.label_of(texts[name]) if isinstance(each, Choice) else texts[name],)


def wps_table(texts: Texts) -> Told:
    """The WPS as a sheet: each line with its label."""
    found: list[tuple[str, Phrase]] = []
    for label, names in WPS_LINES.values():
        given = [name for name in names if texts[name] and asked_for(name, texts)]
        parts: list[str | Amount] = []
        for name in given:
            parts += [" to "] if parts and name.endswith("_high") else ["; "] if parts else []
            parts += ["tolerance over "] if name == "opening_over" else []
            parts += ["under "] if name == "opening_under" else []
            parts += fact_phrase(name, texts)
        if parts:
            found.append((label, tuple(parts)))
    return tuple(found)


def stops_of(result: Result, *ids: str) -> list[Check]:
    """The checks of these names that are a stop, or all; a name may be the start of an id."""
    return [each for each in result.checks if each.level is Level.STOP and (not ids or each.id.startswith(ids))]


def goes_on(result: Result, *ids: str) -> bool:
    """Whether none of these checks is a stop."""
    return not stops_of(result, *ids)


def because_of(checks: Iterable[Check]) -> dict[str, Any]:
    """Reasons and sources as a decision takes them, each once."""
    checks = list(checks)
    return {"reasons": tuple(dict.fromkeys(each.phrase for each in checks)),
        "sources": tuple(dict.fromkeys(each.source for each in checks))}


def checks_of(result: Result, *ids: str) -> list[Check]:
    """The checks of these names that decide: those against, else those in order."""
    found = [each for each in result.checks if (not ids or each.id.startswith(ids)) and each.level is not Level.NOTE]
    against = [each for each in found if each.level is not Level.OK]
    return against or found


def options_of(*texts: str) -> tuple[Phrase, ...]:
    """Options in plain words."""
    return tuple((text,) for text in texts)


def decide(result: Result, id: str, **more: Any) -> Decision:
    """A decision that a calculator answers."""
    calc = result.calculator
    return Decision(id, calc.title, calc.page, link(calc), result=result, **more)


def figure(result: Result, id: str, name: str, within: str, objective: str, told: Told, ask: str) -> Decision:
    """A decision that asks for a figure of a calculator."""
    value = result[name]
    steps = steps_to(result, value)
    return decide(
        result, id, objective=objective, told=told, ask=ask, value=value, within=within,
        reasons=((f"{value.label}: ", shown(value)),) if value.amount is not None else (),
        sources=tuple(dict.fromkeys(each.source for each in (*steps, value))),
    )


def shown(value: Value) -> Amount:
    """A figure inside a sentence."""
    return Amount(value.amount, value.kind, value.digits)
