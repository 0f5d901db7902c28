"""The answers of every calculator, as approved: figures, steps, checks, cautions and sources, in both systems, and refusals.

`approved/cases.txt` holds the inputs: the defaults, the ends of ranges, each choice, and inputs at, just under and just over
the places where a check changes. `tools/guide.py approve --cases NAME` proposes them for a new calculator.
"""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest

from calc.catalogue import CALCULATORS, calculator
from calc.declare import InputError, Rows
from calc.html import answer_html, form_html
from calc.report import as_text, usage
from tests import approval

CASES = [
    (name.removeprefix("*"), texts)
    for name, _, texts in (line.partition(" ") for line in (approval.FOLDER / "cases.txt").read_text(encoding="utf-8").splitlines())
]
EACH = pytest.mark.parametrize("name", [each.id for each in CALCULATORS])
FORMS = ("hot-work", "groove", "rod-exposure", "coupon-layout", "bend-judge", "continuity", "cut-list", "class-plan")
WHOLE = ("groove", "rod-exposure", "bend-judge", "continuity", "interpass-wait")


def lines_of(name: str, texts: str) -> Iterator[str]:
    try:
        yield from approval.answer_lines(calculator(name).answer(json.loads(texts)))
    except InputError as trouble:
        yield f"refused: {trouble.field}: {trouble}"


@pytest.mark.parametrize("name, texts", CASES, ids=[f"{name}-{number}" for number, (name, _) in enumerate(CASES)])
def test_the_answer_is_as_approved(name, texts):
    approval.check(f"answers/{name}.txt", texts, lines_of(name, texts))


@EACH
def test_every_calculator_has_its_cases(name):
    cases = [texts for each, texts in CASES if each == name]
    assert cases[0] == "{}", "the defaults stand first"
    approval.check_complete(f"answers/{name}.txt", cases)


@pytest.mark.parametrize("name", FORMS)
def test_the_form_is_as_approved(name):
    fields, _, _ = form_html(calculator(name)).partition('<p class="headline"')
    approval.check("answers/forms.txt", name, approval.markup_lines(fields))


@EACH
def test_what_the_form_offers_is_as_approved(name):
    one = calculator(name)
    lines = [f"{one.title}: {one.question} {one.page}"]
    for each in one.inputs:
        columns = each.columns if isinstance(each, Rows) else ()
        for part in (each, *columns):
            offered = [option.label for option in getattr(part, "options", ())] + list(getattr(part, "common", ()))
            lines.append(f"{part.name}: {part.label}, {part.symbol or '-'}, {part.default!r}, {part.range_text()}. {part.help} {' / '.join(offered)}")
    approval.check("answers/inputs.txt", name, lines)


@pytest.mark.parametrize("name", WHOLE)
def test_the_whole_answer_on_the_page_is_as_approved(name):
    approval.check("answers/pages.txt", name, approval.markup_lines(answer_html(calculator(name).answer())))


@pytest.mark.parametrize("name", WHOLE)
def test_the_answer_and_the_help_of_the_command_line_are_as_approved(name):
    one = calculator(name)
    approval.check("answers/command-line.txt", name, [as_text(one.answer()), "", usage(one)])
