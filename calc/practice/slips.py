"""Common slips: what a wrong answer looks like it came from.

Each candidate is what a reader would get by one slip. It is worked out, never guessed: by the calculator again with a
changed input, by the worked steps again with mixed-up functions, or from the right figure by a factor or a unit. A
candidate counts only where it lies clear of the right answer.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from calc.core.declare import Calculator, InputError, Quantity, Result, Value
from calc.core.units import ANGLE, LENGTH, SYSTEMS, significant, with_unit
from calc.practice.forms import Slip
from calc.practice.solution import replay, steps_to

NEAR = 0.005
"""How near an answer must come to a slip's figure to be named after it, as a share: readers round."""
CLEAR = 2.0
"""How many tolerances a slip's figure must lie from the right answer."""


@dataclass(frozen=True)
class Candidate:
    """A slip and the figure it gives, in base units. `says` completes “It looks as if …”."""

    says: str
    amount: float


def recognised(
    calc: Calculator, result: Result, value: Value, answer: float, within: float, declared: tuple[Slip, ...] = (),
) -> str:
    """Which slip a wrong answer looks like, in words that complete “It looks as if …”; empty where none fits.

    >>> from calc.catalogue import calculator
    >>> groove = calculator("groove"); answer = groove.answer()
    >>> recognised(groove, answer, answer["included_angle"], 22.5, 0.5)
    'half the angle was taken for the whole (bevel angle, each plate was halved)'
    """
    right = float(value.amount)
    for candidate in candidates(calc, result, value, declared):
        near = max(within, NEAR * abs(candidate.amount))
        if abs(candidate.amount - right) > CLEAR * within and abs(candidate.amount - answer) <= near:
            return candidate.says
    return ""


def candidates(calc: Calculator, result: Result, value: Value, declared: tuple[Slip, ...] = ()) -> Iterator[Candidate]:
    """Every slip that gives a figure of its own, the likeliest first."""
    for slip in declared:
        amount = declared_amount(slip, calc, result, value)
        if amount is not None:
            yield Candidate(slip.says, amount)
    yield from _changed_inputs(calc, result, value)
    yield from _mixed_functions(result, value)
    yield from _other_figures(result, value)
    yield from _units(value)
    yield from _factors(value)


def declared_amount(slip: Slip, calc: Calculator, result: Result, value: Value) -> float | None:
    """The figure that a slip of the form gives, in base units. None where the calculator refuses the changed input.

    >>> from calc.catalogue import calculator
    >>> groove = calculator("groove"); answer = groove.answer(); width = answer["face_width"]
    >>> declared_amount(Slip("it was halved", times="1/2"), groove, answer, width) == float(width.amount) / 2
    True
    >>> declared_amount(Slip("the plate was 99 in", change={"thickness": "99 in"}), groove, answer, width) is None
    True
    """
    if slip.times:
        top, _, bottom = slip.times.partition("/")
        return float(value.amount) * float(top) / float(bottom or 1)
    if slip.value:
        return float(result[slip.value].amount)
    texts = dict(result.inputs)
    for name, change in slip.change.items():
        each = calc.input(name)
        texts[name] = _changed(each, texts[name], change) if isinstance(each, Quantity) else change
    return _again(calc, texts, value.name)


def _changed(each: Quantity, text: str, change: str) -> str:
    factor = {"half": 0.5, "double": 2.0, "zero": 0.0}.get(change)
    value = each.read(text, "us")
    if factor is None or value is None:
        return change
    unit = each.kind.us
    number = float(unit.from_base(value)) * factor
    return f"{number:.9f} {unit.symbol}".strip()


def _again(calc: Calculator, texts: dict[str, str], name: str) -> float | None:
    try:
        again = calc.answer(texts)
    except (InputError, ArithmeticError):
        return None
    return next(
        (float(value.amount) for value in again.values if value.name == name and value.amount is not None), None,
    )


def _changed_inputs(calc: Calculator, result: Result, value: Value) -> Iterator[Candidate]:
    for each in calc.inputs:
        # Half of nothing is nothing: no slip of a number that is left blank or 0.
        if not isinstance(each, Quantity) or not each.read(result.inputs[each.name], "us"):
            continue
        for change, says in _ways(each, each.label.lower()):
            amount = _again(
                calc, {**result.inputs, each.name: _changed(each, result.inputs[each.name], change)}, value.name,
            )
            if amount is not None:
                yield Candidate(says, amount)


def _ways(each: Quantity, plain: str) -> Iterator[tuple[str, str]]:
    if each.kind is ANGLE:
        yield "half", f"half the angle was taken for the whole ({plain} was halved)"
        yield "double", f"the whole angle was taken for the half ({plain} was doubled)"
    if each.kind is LENGTH and "diameter" in plain:
        yield "half", f"you took the radius where the {plain} is meant"
    if each.kind is LENGTH and "radius" in plain:
        yield "double", f"you took the diameter where the {plain} is meant"
    # A part that can be nothing is one that can be forgotten.
    if each.limits[0] == 0 and not each.kind.us.offset and each.kind is not ANGLE:
        yield "zero", f"you left something out: {plain}"


_MIXED = (
    ({"tan": math.sin, "cos": math.sin}, "you took a sine where the steps take another function of the angle"),
    ({"tan": math.cos, "sin": math.cos}, "you took a cosine where the steps take another function of the angle"),
    ({"sin": math.tan, "cos": math.tan}, "you took a tangent where the steps take another function of the angle"),
    ({"tan": lambda turn: 1 / math.tan(turn)}, "you turned the tangent upside down"),
)


def _mixed_functions(result: Result, value: Value) -> Iterator[Candidate]:
    steps = steps_to(result, value)
    for functions, says in _MIXED:
        in_degrees = {
            name: lambda degrees, apply=apply: apply(math.radians(degrees)) for name, apply in functions.items()
        }
        amount = replay(steps, in_degrees)
        if amount is not None:
            yield Candidate(says, float(amount))
    as_radians = {"tan": math.tan, "sin": math.sin, "cos": math.cos}
    amount = replay(steps, as_radians)
    if amount is not None:
        yield Candidate("your pocket calculator was set to radians; the guide works in degrees", float(amount))


def _other_figures(result: Result, value: Value) -> Iterator[Candidate]:
    for other in result.values:
        if other.name != value.name and other.amount is not None and other.kind.base == value.kind.base:
            yield Candidate(f"you gave another figure of the same answer: {other.label.lower()}", float(other.amount))


def _units(value: Value) -> Iterator[Candidate]:
    """The right number with the wrong unit behind it."""
    for system in SYSTEMS:
        shown = value.kind.unit(system)
        number = shown.from_base(value.amount)
        for other in value.kind.units:
            if other is not shown:
                says = (
                    f"the number is right and the unit is not: {with_unit(significant(number), shown)}, not "
                    f"{other.symbol}"
                )
                yield Candidate(says, float(other.to_base(number)))


def _factors(value: Value) -> Iterator[Candidate]:
    right = float(value.amount)
    if value.kind.us.offset:
        return
    for factor, says in (
        (2.0, "your answer is twice the right one: something was counted twice"),
        (0.5, "your answer is half the right one: something that counts twice was counted once"),
        (10.0, "the decimal point slipped: your answer is ten times the right one"),
        (0.1, "the decimal point slipped: your answer is a tenth of the right one"),
        (100.0, "your answer is a hundred times the right one; was a percentage taken as a plain number?"),
        (0.01, "your answer is a hundredth of the right one; was a percentage taken as a plain number?"),
        (-1.0, "the sign is the wrong way around"),
    ):
        yield Candidate(says, right * factor)
