"""The worked solution of one figure: only the steps that lead to it, in their order."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping

from calc.core.declare import Result, Step, Value
from calc.core.formula import Constant, Formula, Function, Operation, Symbol
from calc.core.units import Number


def symbols(formula: Formula) -> Iterator[Symbol]:
    """Every symbol of a formula, left to right; one that stands there twice comes twice.

    >>> from calc.core.formula import PI, sqrt
    >>> [symbol.name for symbol in symbols(2 * PI + sqrt(PI))]
    ['π', 'π']
    """
    match formula:
        case Symbol():
            yield formula
        case Operation(left=left, right=right):
            yield from symbols(left)
            yield from symbols(right)
        case Function(part=part):
            yield from symbols(part)


def steps_to(result: Result, value: Value, given: Collection[str] = ()) -> tuple[Step, ...]:
    """The steps that a figure rests on, itself last; none where it comes from a table. What leads to a figure named in
    `given` is left out: a question that tells that figure starts from it.

    >>> from calc.catalogue import calculator
    >>> groove = calculator("groove").answer()
    >>> [step.symbol for step in steps_to(groove, groove["face_width"])]
    ['b', 'w']
    >>> [step.symbol for step in steps_to(groove, groove["face_width"], given=["bevel_run"])]
    ['w']
    """
    last = next(
        (place for place, step in enumerate(result.steps) if (step.symbol, step.label) == (value.symbol, value.label)),
        None,
    )
    if last is None:
        return ()
    wanted, needed = {result.steps[last].symbol}, []
    told = {each.symbol for each in result.values if each.name in given}
    for step in reversed(result.steps[: last + 1]):
        if step.symbol in wanted - told:
            needed.append(step)
            wanted.discard(step.symbol)
            wanted |= {symbol.name for symbol in symbols(step.formula)}
    return tuple(reversed(needed))


def replay(steps: tuple[Step, ...], functions: Mapping[str, Callable[[Number], Number]]) -> Number | None:
    """What the last of the steps gives when functions are mixed up, such as a sine for a tangent, in base units.

    None where it has no value.

    >>> from calc.catalogue import calculator
    >>> groove = calculator("groove").answer({"bevel_angle": "45 deg", "root_opening": "0 in", "thickness": "1 in"})
    >>> round(replay(steps_to(groove, groove["face_width"]), {"tan": lambda degrees: 0.5}) / 0.0254, 9)
    1.0
    """
    found: dict[str, Number] = {}
    try:
        for step in steps:
            found[step.symbol] = _run(step.formula, found, functions)
    except (ArithmeticError, ValueError):
        return None
    return found[steps[-1].symbol] if steps else None


def _run(formula: Formula, found: Mapping[str, Number], functions: Mapping[str, Callable[[Number], Number]]) -> Number:
    match formula:
        case Symbol():
            return found.get(formula.name, formula.amount)
        case Constant():
            return formula.number
        case Function(name=name, apply=apply, part=part):
            return functions.get(name, apply)(_run(part, found, functions))
    assert isinstance(formula, Operation)
    parts = Constant(_run(formula.left, found, functions)), Constant(_run(formula.right, found, functions))
    return Operation(formula.sign, *parts).value
