"""The one visible list of calculators, and of the facts they and the pages use."""

from __future__ import annotations

from calc import bend, current, groove
from calc.declare import Calculator
from calc.sources import Fact

CALCULATORS: tuple[Calculator, ...] = (
    groove.GROOVE,
    current.CURRENT_SETTING,
    bend.BEND_RATIO,
)
FACTS: tuple[Fact, ...] = (
    *groove.FACTS,
    *current.FACTS,
    *bend.FACTS,
)


def calculator(identifier: str) -> Calculator:
    """The calculator of that id. Raises `KeyError` that lists the ids there are.

    >>> calculator("groove").title
    'Groove size and weld metal'
    """
    for each in CALCULATORS:
        if each.id == identifier:
            return each
    raise KeyError(f"there is no calculator “{identifier}”; there are {', '.join(each.id for each in CALCULATORS)}")


def fact(identifier: str) -> Fact:
    """The fact of that id. Raises `KeyError`."""
    for each in FACTS:
        if each.id == identifier:
            return each
    raise KeyError(f"there is no fact “{identifier}” in the register")
