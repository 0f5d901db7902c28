"""Each calculator judges as its decision table says, and never more kindly as an input gets worse.

A table, `decisions/<calculator>.toml`, is written from the documents that its rows name, not from the code. In it:

* `[[row]]`: what is typed (the rest stays at its default) and the worst level that the answer has to show, or
  `refused` with the field at fault. A row with `needs` waits for an input or option that is not there yet.
* `[worse]`: which way an input is worse: `up`, `down`, or `both from 70 degF`, away from a value that is in order.
* `[[walk]]`: the same for one input with others typed too (`inputs`), or for one figure in the rows of a list (`text`).
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from calc.catalogue import calculator
from calc.core.declare import Calculator, Choice, InputError, Level, Quantity, Result, Rows, Whole
from calc.core.units import SYSTEMS, Kind, parse

FOLDER = Path(__file__).parent / "decisions"
TABLES = {path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted(FOLDER.glob("*.toml"))}

WORSE_AND_WORSE = ("ok", "caution", "not known", "incomplete", "stop", "refused")
STEPS = 200
STEPS_OF_SLOW = {"class-plan": 20}
"""An answer of these simulates days: fewer steps from end to end."""


def worst(result: Result) -> str:
    """The worst level of an answer; what only informs does not count."""
    return "ok" if result.level is Level.NOTE else result.level.value


def told(calc: Calculator, inputs: dict[str, str]) -> str:
    """The worst level for these inputs, or `refused`."""
    try:
        return worst(calc.answer(inputs))
    except InputError:
        return "refused"


# --- rows --------------------------------------------------------------------


def is_there(calc: Calculator, row: dict[str, Any]) -> bool:
    """Whether the calculator has every input of a row, and every option that it chooses but the one to be refused."""
    asked = {each.name: each for each in calc.inputs}
    for name, text in row["inputs"].items():
        if name not in asked:
            return False
        if isinstance(asked[name], Choice) and name != row.get("field"):
            try:
                asked[name].read(text, "us")
            except InputError:
                return False
    return True


def row_cases() -> Iterator[Any]:
    for identifier, table in TABLES.items():
        for row in table["row"]:
            waits = "needs" in row and not is_there(calculator(identifier), row)
            marks = [pytest.mark.xfail(reason=row["needs"], strict=True)] if waits else []
            yield pytest.param(identifier, row, id=f"{identifier}: {row['case']}", marks=marks)


@pytest.mark.parametrize("identifier, row", list(row_cases()))
def test_a_row_of_a_table(identifier, row):
    calc = calculator(identifier)
    missing = row["inputs"].keys() - {each.name for each in calc.inputs}
    assert not missing, f"{identifier} has no input {', '.join(sorted(missing))}"
    if row["expect"] == "refused":
        with pytest.raises(InputError) as trouble:
            calc.answer(row["inputs"])
        assert trouble.value.field == row["field"]
        return
    result = calc.answer(row["inputs"])
    ids = [check.id for check in result.checks]
    assert len(set(ids)) == len(ids) and all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", each) for each in ids), ids
    assert worst(result) == row["expect"], (row["about"], row["source"], [check.level.value for check in result.checks])


@pytest.mark.parametrize("identifier", TABLES)
def test_a_table_is_whole(identifier):
    table = TABLES[identifier]
    calc = calculator(identifier)
    cases = [row["case"] for row in table["row"]]
    assert len(set(cases)) == len(cases), "two rows of one name"
    assert any(row["expect"] == "ok" for row in table["row"]) and any(row["expect"] != "ok" for row in table["row"])
    for row in table["row"]:
        assert row["expect"] in WORSE_AND_WORSE and row["about"] and row["source"], row["case"]
        assert (row["expect"] == "refused") == ("field" in row), row["case"]
        assert "needs" in row or is_there(calc, row), f"{row['case']}: no such input or option"
    for name in [*table.get("worse", {}), *(walk["input"] for walk in table.get("walk", ()))]:
        calc.input(name)


# --- worse is never told kinder ----------------------------------------------


@dataclass(frozen=True)
class Walk:
    """A way through the range of one input. The other inputs stay as they are."""

    identifier: str
    name: str
    worse: str
    inputs: dict[str, str] = field(default_factory=dict)
    text: str = "{}"
    low: float | None = None
    high: float | None = None
    unit: str = ""

    @property
    def title(self) -> str:
        text = self.text if self.text != "{}" else ""
        beside = ", ".join(f"{name} {typed}" for name, typed in self.inputs.items())
        return " ".join(filter(None, (f"{self.identifier}:", self.name, text, self.worse, beside)))


def walks() -> Iterator[Walk]:
    for identifier, table in TABLES.items():
        for name, worse in table.get("worse", {}).items():
            yield Walk(identifier, name, worse)
        for walk in table.get("walk", ()):
            yield Walk(identifier, walk["input"], walk["worse"], walk.get("inputs", {}), *(
                walk.get(key, usual) for key, usual in (("text", "{}"), ("low", None), ("high", None), ("unit", ""))
            ))


def spread(low: Fraction, high: Fraction, steps: int, near: Iterable[Fraction] = ()) -> list[Fraction]:
    """Even steps from end to end, and just beside each value that a row names."""
    step = (high - low) / steps
    hair = (high - low) / 10**6
    values = {low + step * number for number in range(steps + 1)}
    values |= {value + way * hair for value in near for way in (-1, 0, 1)}
    return sorted(value for value in values if low <= value <= high)


def written(value: Fraction, kind: Kind, turn: int) -> str:
    """One value, by turns in US units and in SI."""
    unit = kind.unit(SYSTEMS[turn % 2])
    return f"{float(unit.from_base(value)):.9f} {unit.symbol}".strip()


def places(walk: Walk) -> list[tuple[Fraction, str]]:
    """Where the walk stops, from low to high: the value to compare by, and what is typed."""
    each = calculator(walk.identifier).input(walk.name)
    steps = STEPS_OF_SLOW.get(walk.identifier, STEPS)
    if isinstance(each, Whole):
        return [(Fraction(number), str(number)) for number in range(each.low, each.high + 1)]
    if isinstance(each, Rows):
        ends = Fraction(str(walk.low)), Fraction(str(walk.high))
        return [(value, walk.text.format(f"{float(value):.9f}")) for value in spread(*ends, steps)]
    assert isinstance(each, Quantity), f"{walk.name} has no low and no high"
    first, last = (each.low, each.high) if walk.low is None else (f"{end} {walk.unit}" for end in (walk.low, walk.high))
    low, high = (parse(end, each.kind) for end in (first, last))
    typed = [row["inputs"][walk.name] for row in TABLES[walk.identifier]["row"] if walk.name in row["inputs"]]
    near = [parse(text, each.kind) for text in typed if text]
    stops = [(value, written(value, each.kind, turn)) for turn, value in enumerate(spread(low, high, steps, near))]
    return [*([] if each.above_low else [(low, first)]), *stops[1:-1], (high, last)]


def ways(walk: Walk) -> list[list[str]]:
    """What is typed, from good to bad: one row of texts, or two where both ways are worse."""
    stops = places(walk)
    if walk.worse in ("up", "down"):
        texts = [text for _, text in stops]
        return [texts if walk.worse == "up" else texts[::-1]]
    good = walk.worse.removeprefix("both from ")
    each = calculator(walk.identifier).input(walk.name)
    middle = parse(good, each.kind) if isinstance(each, Quantity) else Fraction(good)
    below = [text for value, text in stops if value < middle]
    above = [text for value, text in stops if value > middle]
    return [[good, *below[::-1]], [good, *above]]


@pytest.mark.parametrize("walk", [pytest.param(walk, id=walk.title) for walk in walks()])
def test_worse_is_never_told_kinder(walk):
    calc = calculator(walk.identifier)
    for texts in ways(walk):
        assert len(texts) > 1
        levels = [(text, told(calc, {**walk.inputs, walk.name: text})) for text in texts]
        for (text, level), (next_text, next_level) in pairwise(levels):
            kinder = WORSE_AND_WORSE.index(next_level) < WORSE_AND_WORSE.index(level)
            assert not kinder, f"{walk.name} {text}: {level}; {next_text}, which is worse: {next_level}"
