"""Questions about the reader's own test: its figures are in the question and in the answer, and without a test nothing
changes."""

from __future__ import annotations

import json

import pytest

from calc.catalogue import calculator
from calc.core.declare import InputError, phrase_text, taken
from calc.core.units import LENGTH, parse
from calc.plate_test.fields import FIELDS
from calc.plate_test.work import fills
from calc.practice.forms import Judge, all_forms, form_named
from calc.practice.marking import mark
from calc.practice.questions import draw, right_verdicts
from calc.record.demo import TEST
from calc.web import respond

SEEDS = range(24)
OTHER = {"thickness": "13/16 in", "bevel_angle": "31 deg", "root_opening": "11/32 in"}
"""Figures that no form draws by itself."""


def said(test) -> dict[str, dict[str, str]]:
    """What the page passes: the fills that take a plain fact which the reader said."""
    return {
        identifier: {
            name: text for name, text in inputs.items()
            if taken(calculator(identifier).input(name)) in FIELDS
            and test.text(taken(calculator(identifier).input(name)))
        }
        for identifier, inputs in fills(test).items()
    }


OF_THE_DEMO = said(TEST)
DRAWN = [form for form in all_forms() if form.drawn]
ABOUT_THE_DEMO = [
    form for form in DRAWN if any(draw(form, seed, OF_THE_DEMO[form.drawn.calculator]).own for seed in SEEDS)
]


def asked(do: str, **request):
    return json.loads(respond(json.dumps({"do": do, **request})))


def test_many_forms_ask_about_the_reader_s_own_test():
    assert len(ABOUT_THE_DEMO) >= 25


def test_about_half_of_the_seeds_do():
    drawn = [draw(form_named("groove-face-width"), seed, OTHER).own for seed in range(400)]
    assert 160 < sum(map(bool, drawn)) < 240
    assert {own for own in drawn if own} == {("thickness", "bevel_angle", "root_opening")}


def test_the_figures_are_in_the_question_and_decide_the_answer():
    """By hand: w = 11/32 + 2 x 13/16 x tan 31 deg = 0.34375 + 1.625 x 0.600861 = 1.32015 in."""
    seed = next(seed for seed in SEEDS if draw(form_named("groove-face-width"), seed, OTHER).own)
    question = draw(form_named("groove-face-width"), seed, OTHER)
    text = phrase_text(question.text, "us")
    assert all(figure in text for figure in ("13/16", "31°", "11/32"))
    assert float(question.asked.amount) == pytest.approx(float(parse("1.32015 in", LENGTH)), abs=1e-6)
    assert mark(question, ["1.32 in"]).right and not mark(question, ["1.50 in"]).right


@pytest.mark.parametrize("form", DRAWN, ids=lambda form: form.id)
def test_without_a_test_a_seed_draws_what_it_always_drew(form):
    """Neither with nothing of a test nor with what the form does not draw, and in the other half of the seeds."""
    for seed in SEEDS:
        plain = draw(form, seed)
        assert plain.own == () and draw(form, seed, {"nothing_of_it": "1 in"}) == plain
        with_test = draw(form, seed, OF_THE_DEMO[form.drawn.calculator])
        assert with_test.shown == plain.shown and (with_test.own or with_test == plain)


@pytest.mark.parametrize("form", ABOUT_THE_DEMO, ids=lambda form: form.id)
def test_a_question_about_the_test_is_sound(form):
    mine = OF_THE_DEMO[form.drawn.calculator]
    calc = calculator(form.drawn.calculator)
    for seed in SEEDS:
        question = draw(form, seed, mine)
        if not question.own:
            continue
        if isinstance(form.body, Judge):
            assert len(right_verdicts(question)) == 1
        else:
            unit = question.asked.kind.us
            assert mark(question, [f"{float(unit.from_base(question.asked.amount)):.9f} {unit.symbol}"]).right
        for name, text in question.inputs.items():
            if name in mine:
                assert calc.input(name).read(text, "us") == calc.input(name).read(mine[name], "us"), "another test"


def test_a_form_whose_fixed_numbers_are_of_another_test_is_left_alone():
    """The form says that there is no root face; the test has one."""
    mine = {**OTHER, "root_face": "1/16 in"}
    assert not any(draw(form_named("groove-face-width"), seed, mine).own for seed in SEEDS)


@pytest.mark.parametrize("text", ["", "thick", "99 m", "\u202e1 in", "1e999 in"])
def test_a_figure_that_cannot_be_used_leaves_the_question_as_it_was(text):
    form = form_named("groove-face-width")
    with pytest.raises(InputError):
        calculator("groove").input("thickness").read(text, "us")
    for seed in SEEDS:
        assert draw(form, seed, {"thickness": text}) == draw(form, seed)


def test_the_page_is_told_whose_figures_they_are_and_they_are_marked_by_them():
    name = "groove-face-width"
    seed = next(str(seed) for seed in SEEDS if draw(form_named(name), seed, OTHER).own)
    mine = {"groove": OTHER}
    told = asked("practice-question", form=name, seed=seed, mine=mine)["html"]
    assert "From your own test: plate thickness; bevel angle, each plate; root opening." in told
    assert "own test" not in asked("practice-question", form=name, seed=seed)["html"]
    request = {"form": name, "seed": seed, "answers": ["1.32 in"], "today": "2026-03-02"}
    assert asked("practice-mark", **request, mine=mine)["right"]
    assert not asked("practice-mark", **request)["right"]


@pytest.mark.parametrize("mine", [None, [], "x", {"groove": None}, {"groove": [1]}, {"groove": {"thickness": [1]}}])
def test_a_request_of_another_form_is_as_if_there_were_no_test(mine):
    plain = asked("practice-question", form="groove-face-width", seed="1")
    assert asked("practice-question", form="groove-face-width", seed="1", mine=mine) == plain
