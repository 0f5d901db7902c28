"""Which figures an answer has, which of them stand first, and to how many digits they are shown.

`figures.txt` lists them for the defaults of each calculator and for each of its choices. Questions, worksheets and the files a
reader keeps name these figures, and too many digits claim what an estimate does not hold. Whoever changes one on purpose
changes its line too. The amounts are not listed: those are checked against outside sources, each in the test of its module.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from calc.catalogue import CALCULATORS
from calc.core.declare import Calculator, Choice, InputError

PUBLISHED = Path(__file__).parent / "figures.txt"


def figures_of(calculator: Calculator) -> Iterator[str]:
    """A line for each figure of any of these answers."""
    choices = [{each.name: option.value} for each in calculator.inputs if isinstance(each, Choice) for option in each.options]
    seen: dict[str, None] = {}
    for given in [{}, *choices]:
        try:
            answer = calculator.answer(given)
        except InputError:
            continue
        for value in answer.values:
            shown = "words" if value.kind is None else f"{value.kind.name}, {value.digits} digits"
            seen[f"{calculator.id}.{value.name}: {'first, ' if value.main else ''}{shown}{', as a fraction' if value.as_fraction else ''}"] = None
        seen[f"{calculator.id}: draws {', '.join(drawing.name for drawing in answer.drawings) or 'nothing'}"] = None
    yield from seen


def test_answers_have_the_figures_that_were_published():
    now = [line for calculator in CALCULATORS for line in figures_of(calculator)]
    assert sorted(now) == sorted(PUBLISHED.read_text(encoding="utf-8").splitlines())
