"""What the page and the command line show, as approved: what inputs read and refuse, a form, an answer, commands."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import pytest

from calc.__main__ import main
from calc.catalogue import CALCULATORS, calculator
from calc.core.declare import InputError, Quantity, Whole, Words
from calc.show.html import answer_html, form_html
from calc.show.report import as_text, usage
from calc.core.units import SYSTEMS, parse
from tests import approval

WRONG = (
    "",
    "x" * 100,
    "-1",
    "0",
    "1",
    "1e999",
    "7 in",
    "7 mm",
    "70 degF",
    "3.2 mm",
    "2026-02-30",
    "2026-03-31",
    "1989-12-31",
    "2100-12-31",
    "24:00",
    "7:05",
    "1 | 2 | 3 | 4 | 5 | 6 | 7 | 8",
    "; ".join(["1 | 1"] * 130),
    "a\tb\x07c",
    "9999999",
    "99999999",
    "1/64 in",
    "0.00001 in",
)


# One input of each kind; the calculators do not matter here.
READ = {
    "lens-shade": "process amps thickness lens",
    "hot-work": "combustibles finished",
    "ventilation": "fan",
    "acetylene-draw": "content flow pressure",
    "noise-dose": "exposures",
    "cut-speed": "own_low mark_time",
    "cut-oxygen": "share",
    "bevel-cut": "bevel_angle",
    "duty-cycle": "air",
    "cable-drop": "most_drop",
    "preheat": "steel",
    "heat-input": "most",
    "cooling-time": "factor_thick",
    "plate-heat": "conductivity specific_heat",
    "interpass-wait": "transfer",
    "passes": "rod_mass bead_area",
    "bend-ratio": "yield_strength",
    "bend-force": "capacity",
    "retest": "failed_on",
    "class-plan": "steel_price hour_price",
    "cut-list": "pieces",
}


def read_pairs(each: object, texts: list[str]) -> Iterator[tuple[str, str]]:
    """What an input makes of texts that mostly do not suit it, with the limits themselves and what lies beyond them."""
    if isinstance(each, Quantity):
        for limit in (each.low, each.high):
            amount = float(each.kind.us.from_base(parse(limit, each.kind)))
            texts += [limit, *(f"{amount + step:.6f} {each.kind.us.symbol}".strip() for step in (-0.0001, 0.0001))]
    if isinstance(each, Whole):
        texts += [str(limit + step) for limit in (each.low, each.high) for step in (-1, 0, 1)]
    if isinstance(each, Words):
        texts += ["b" * each.longest, "b" * (each.longest + 1)]
    for text in dict.fromkeys(texts):
        told = []
        for system in SYSTEMS:
            try:
                read = each.read(text, system)
                told.append(f"{float(read):.9g}" if isinstance(read, Fraction) else repr(read)[:100])
            except InputError as trouble:
                told.append(f"refused: {trouble.message[:200]}")
        outcome, short = " | ".join(dict.fromkeys(told)), f"{text[:30]!r}"
        yield (short, outcome) if outcome.startswith("refused") else (f"{short} as {outcome}", "reads")


def test_what_inputs_read_and_refuse_is_as_approved():
    """One input of each kind; of quantities one with all texts, the others with a few."""
    told, seen = {}, set()
    for calc, names in READ.items():
        for name in names.split():
            each = calculator(calc).input(name)
            texts = list(WRONG) if type(each) not in seen else ["", "-1", "7 in", "70 degF", "24:00"]
            seen.add(type(each))
            told[f"{calc}.{name}"] = approval.grouped(read_pairs(each, texts))
    approval.check("forms/reading.txt", approval.parts(told))


@pytest.mark.parametrize("name", ("hot-work", "coupon-layout", "continuity"))
def test_the_form_is_as_approved(name):
    fields, _, _ = form_html(calculator(name)).partition('<p class="headline"')
    approval.check(f"forms/form-of-{name}.txt", approval.markup_lines(fields))


@pytest.mark.parametrize("name", ("rod-exposure", "continuity"))
def test_the_whole_answer_on_the_page_is_as_approved(name):
    approval.check(f"forms/answer-of-{name}.txt", approval.markup_lines(answer_html(calculator(name).answer())))


IDS = [calc.id for calc in CALCULATORS]
COMMANDS = (
    [],
    ["--help"],
    ["groove", "--json"],
    ["bend-ratio", "--svg"],
    ["preheat", "-h"],
    ["groove", "thickness"],
    ["groove", "thickness=1 in", "thickness=2 in"],
    ["groove", "bevel_angle=90 deg"],
    ["groove", "sheep=1"],
    ["no-such"],
    ["bend-force", "--svg"],
    ["plate-heat", "--svg"],
    ["judge", "--help"],
    ["worksheet", "--help"],
)


def test_the_command_line_is_as_approved(capsys):
    told = {}
    for arguments in COMMANDS:
        code = main(arguments)
        out = capsys.readouterr()
        # The list of calculators is that of the catalogue.
        listed = [f"  {each} " for each in IDS]
        text = "\n".join(line for line in out.out.split("\n") if not line.startswith(tuple(listed)))
        err = out.err.replace(", ".join(IDS), "(the calculators)")
        drawn = "--svg" in arguments and not code
        lines = approval.drawn_by_look(text) if drawn else approval.table_lines(text, 30, "\n")
        told[" ".join(arguments) or "nothing"] = [f"exit code {code}", *lines, *err.split("\n")]
    one = calculator("rod-exposure")
    told["an answer and its help"] = [as_text(one.answer()), "", usage(one)]
    approval.check("forms/command-line.txt", approval.parts(told))
