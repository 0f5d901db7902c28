"""More answers in short, as approved: figures in both systems, the level and first words of each check, drawings as sums.

`approved/more.txt` holds inputs by machine: all of them drawn at once, and at, just under and just over the places where a check
changes; `approved/chosen.txt` those chosen by a person, at published limits among them. A drawing is told by its looks, its words and sums of all its places.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from itertools import groupby

import pytest

from calc.catalogue import CALCULATORS, calculator
from calc.core.declare import InputError, phrase_text
from calc.core.units import SYSTEMS
from calc.show.drawing import Drawing
from calc.show.plot import svg
from tests import approval

LINES = [line for file in ("more.txt", "chosen.txt") for line in (approval.FOLDER / file).read_text(encoding="utf-8").splitlines()]
LINES.sort(key=lambda line: [each.id for each in CALCULATORS].index(line.split()[0].removeprefix("*")))
CASES = [(name.removeprefix("*"), texts, name.startswith("*")) for name, _, texts in (line.partition(" ") for line in LINES)]
BLOCK = 6
BLOCKS: list[tuple[str, int, list]] = []
for _name, _group in groupby(CASES, key=lambda case: case[0]):
    _all = [case[1:] for case in _group]
    _size = 1 if _name == "class-plan" else BLOCK
    BLOCKS += [(_name, at // _size, _all[at : at + _size]) for at in range(0, len(_all), _size)]


def told(name: str, texts: str, drawn: bool) -> list[str]:
    try:
        result = calculator(name).answer(json.loads(texts))
    except InputError as trouble:
        return [f"refused: {trouble.field}: {trouble}"]
    lines = [phrase_text(result.headline, "us")]
    lines.append("; ".join(f"{value.name} {' | '.join(dict.fromkeys(value.text(system) for system in SYSTEMS))}" for value in result.values))
    lines += ["; ".join(f"{each.level.value} {phrase_text(each.phrase, 'si')[:48]}" for each in result.checks)] if result.checks else []
    lines.append(f"{len(result.steps)} steps, {len(result.cautions)} cautions, {len(result.sources)} sources")
    for drawing in result.drawings if drawn else ():
        lines += drawn_lines(drawing)
    return lines


def drawn_lines(drawing) -> list[str]:
    text = svg(drawing)
    looks = Counter(re.findall(r'<\w+ class="([^"]*)"', text))
    # One unit of the sheet is about a third of a millimeter on a phone.
    numbers = [float(each) for part in re.findall(r' (?:points|d|x|y|x1|x2|y1|y2|cx|cy|r)="([^"]*)"', text) for each in re.findall(r"-?\d+\.?\d*", part)]
    spread = sum(abs(a - b) for a, b in zip(numbers, numbers[1:]))
    weighed = sum(number * (place % 7) for place, number in enumerate(numbers))
    words = " / ".join(re.sub(r"<[^>]*>", "", each) for each in re.findall(r"<text[^>]*>(.*?)</text>", text))
    # The many points of a plot end in hundredths that lie on the edge of rounding here and there: no sum of them is kept.
    sign = "drawing" if isinstance(drawing, Drawing) else "plot"
    sums = f", {' '.join(f'{each + 0.0:.0f}' for each in (sum(numbers), spread, weighed))}" if sign == "drawing" else ""
    return [
        f"{sign} {drawing.name}: {', '.join(f'{count} {look}' for look, count in sorted(looks.items()))}",
        f"  {len(numbers)} numbers{sums}: {words}",
    ]


SLOW = ("class-plan", "sheet-plan", "cut-list", "plate-heat")  # left to --long


@pytest.mark.parametrize("name, number, cases", [pytest.param(*block, marks=pytest.mark.long if block[0] in SLOW else ()) for block in BLOCKS], ids=[f"{name}-{number}" for name, number, _ in BLOCKS])
def test_more_answers_are_as_approved(name, number, cases):
    lines = []
    for texts, drawn in cases:
        lines += [f"- {texts}", *told(name, texts, drawn)]
    approval.check(f"more/{name}.txt", f"block {number}", lines)


@pytest.mark.parametrize("name", sorted({name for name, _, _ in CASES}))
def test_no_block_is_left_over(name):
    approval.check_complete(f"more/{name}.txt", [f"block {number}" for each, number, _ in BLOCKS if each == name])
