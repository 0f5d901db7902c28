"""Common slips: what a wrong answer looks like it came from.

Each candidate is what a reader would get by one slip. It is worked out, never guessed: by the calculator again with a
changed input, by the worked steps again with mixed-up functions, or from the right figure by a factor or a unit. A
candidate counts only where it lies clear of the right answer, and it is named only where the answer fits it tighter
than it fits anything else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

from calc.core.declare import Calculator, InputError, Quantity, Result, Value
from calc.core.units import ANGLE, LENGTH, PERCENTAGE, SYSTEMS, significant, with_unit
from calc.practice.forms import Slip
from calc.practice.solution import replay, steps_to

NEAR = 0.005
"""How near an answer must come to a slip's figure to be named after it, as a share: readers round."""
CLEAR = 2.0
"""How many tolerances a slip's figure must lie from the right answer."""
TIGHTER = 2.0
"""How many times as near as anything else a slip's figure must lie to the answer."""
SAME = 1e-6
"""Two slips whose figures are closer than this share cannot be told apart; the likelier one is named."""


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
    if answer == 0:
        # Nothing fits every share; only a slip that the form itself names may lead to nothing.
        to_nothing = (each for each in declared if declared_amount(each, calc, result, value) == 0)
        return next((each.says for each in to_nothing if abs(right) > CLEAR * within), "")
    # The sort keeps the likelier of two equal distances first.
    clear = [each for each in candidates(calc, result, value, declared) if abs(each.amount - right) > CLEAR * within]
    ranked = sorted(clear, key=lambda each: abs(each.amount - answer))
    if not ranked or abs(ranked[0].amount - answer) > NEAR * abs(ranked[0].amount):
        return ""
    distance = abs(ranked[0].amount - answer)
    same = [each for each in ranked if abs(each.amount - ranked[0].amount) <= SAME * abs(ranked[0].amount)]
    others = [abs(each.amount - answer) for each in ranked if each not in same]
    nearest = min([abs(right - answer), *others])
    return min(same, key=clear.index).says if TIGHTER * distance < nearest else ""


def candidates(calc: Calculator, result: Result, value: Value, declared: tuple[Slip, ...] = ()) -> Iterator[Candidate]:
    """Every slip that gives a figure of its own, the likeliest first."""
    for slip in declared:
        amount = declared_amount(slip, calc, result, value)
        if amount is not None:
            yield Candidate(slip.says, amount)
    general = chain(
        _changed_inputs(calc, result, value), _mixed_functions(result, value), _other_figures(result, value),
        _units(value), _factors(value),
    )
    # Nothing is too common an answer to tell where it came from.
    yield from (each for each in general if each.amount)


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
    if value.kind.us.offset or not right:
        return
    shares = (
        (100.0, "your answer is a hundred times the right one; was a percentage taken as a plain number?"),
        (0.01, "your answer is a hundredth of the right one; was a percentage taken as a plain number?"),
    ) if value.kind is PERCENTAGE else ()
    for factor, says in (
        *shares,
        (2.0, "your answer is twice the right one: something was counted twice"),
        (0.5, "your answer is half the right one: something that counts twice was counted once"),
        (10.0, "the decimal point slipped: your answer is ten times the right one"),
        (0.1, "the decimal point slipped: your answer is a tenth of the right one"),
        (-1.0, "the sign is the wrong way around"),
    ):
        yield Candidate(says, right * factor)
