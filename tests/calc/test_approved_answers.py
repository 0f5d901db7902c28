"""The answers of every calculator, as approved: figures, steps, checks, cautions and sources, in both systems, and refusals.

`approved/cases.txt` holds the inputs: the defaults, the ends of ranges, each choice, and inputs at, just under and just over
the places where a check changes. `tools/guide.py approve --cases NAME` proposes them for a new calculator.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from fractions import Fraction

import pytest

from calc.catalogue import CALCULATORS, calculator
from calc.core.declare import InputError, Quantity, Rows, Whole, Words
from calc.core.units import SYSTEMS, parse
from calc.show.html import answer_html, form_html
from calc.show.report import as_text, usage
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


# Left to --long, but for their first case: answers that take a tenth of a second.
SLOW = ("class-plan", "sheet-plan", "plate-heat", "interpass-wait", "cut-list", "fit-up", "passes")
MARKED = [pytest.param(name, texts, marks=pytest.mark.long if name in SLOW and texts != "{}" else ()) for name, texts in CASES]


@pytest.mark.parametrize("name, texts", MARKED, ids=[f"{name}-{number}" for number, (name, _) in enumerate(CASES)])
def test_the_answer_is_as_approved(name, texts):
    approval.check(f"answers/{name}.txt", texts, lines_of(name, texts))


@EACH
def test_every_calculator_has_its_cases(name):
    cases = [texts for each, texts in CASES if each == name]
    assert cases[0] == "{}", "the defaults stand first"
    approval.check_complete(f"answers/{name}.txt", cases)


WRONG = ("", "x" * 100, "-1", "0", "1", "1e999", "7 in", "7 mm", "70 degF", "3.2 mm", "2026-02-30", "2026-03-31", "1989-12-31", "2100-12-31", "24:00", "7:05",
         "1 | 2 | 3 | 4 | 5 | 6 | 7 | 8", "; ".join(["1 | 1"] * 130), "a\tb\x07c", "9999999", "99999999", "1/64 in", "0.00001 in")


def read_lines(each) -> Iterator[str]:
    """What an input makes of texts that mostly do not suit it, with the limits themselves and what lies beyond them."""
    texts = list(WRONG)
    if isinstance(each, Quantity):
        for limit in (each.low, each.high):
            amount = parse(limit, each.kind)
            texts += [limit, *(f"{float(each.kind.us.from_base(amount)) + step:.6f} {each.kind.us.symbol}".strip() for step in (-0.0001, 0.0001))]
    if isinstance(each, Whole):
        texts += [str(limit + step) for limit in (each.low, each.high) for step in (-1, 0, 1)]
    if isinstance(each, Words):
        texts += ["b" * each.longest, "b" * (each.longest + 1)]
    for text in texts:
        told = []
        for system in SYSTEMS:
            try:
                read = each.read(text, system)
                told.append(f"{float(read):.9g}" if isinstance(read, Fraction) else repr(read)[:200])
            except InputError as trouble:
                told.append(f"refused: {trouble.message[:200]}")
        yield f"{text[:30]!r}: {' || '.join(dict.fromkeys(told))}"


KINDS = {
    (type(each).__name__, getattr(each, "kind", each.name if not isinstance(each, (Quantity, Whole)) else "")): (calc.id, each)
    for calc in reversed(CALCULATORS) for each in reversed(calc.inputs)
}


@pytest.mark.parametrize("calc, each", KINDS.values(), ids=[f"{name}.{each.name}" for name, each in KINDS.values()])
def test_what_an_input_reads_and_refuses_is_as_approved(calc, each):
    approval.check("answers/reading.txt", f"{calc}.{each.name}", dict.fromkeys(read_lines(each)))


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
