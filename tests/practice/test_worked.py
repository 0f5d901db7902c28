"""Worked examples fade by standing: the steps belong to the numbers that are told, and each blank is its step."""

from __future__ import annotations

import json
import math

import pytest

from calc.core.declare import phrase_text
from calc.practice.forms import all_forms
from calc.practice.progress import Progress
from calc.practice.questions import draw, worked_steps
from calc.practice.worked import FULL, LAST_BLANK, MORE_BLANK, NONE, level_of, mark_blank, value_of, worked, worked_html
from calc.show.html import phrase_html
from calc.web import respond

STEPPED = [form for form in all_forms() if form.kind == "number" and worked_steps(draw(form, "1"))]
TODAY = "2026-03-02"


def asked(do: str, **fields):
    return json.loads(respond(json.dumps({"do": do, "today": TODAY, **fields})))


def card(last: int, interval: int = 1, in_a_row: int = 1) -> dict:
    return {"ease": 2.5, "interval": interval, "in_a_row": in_a_row, "due": TODAY, "again": False, "seen": 1, "last": last}


def profile(**cards) -> dict:
    return {"name": "Reader 7", "cards": cards, "read": {}}


def test_there_are_forms_to_try_this_on():
    assert len(STEPPED) > 30


@pytest.mark.parametrize("form", STEPPED, ids=lambda form: form.id)
def test_steps_belong_to_the_numbers_told_and_blanks_are_their_steps(form):
    for seed in ("1", "2", "3"):
        question = draw(form, seed)
        full = worked(question, FULL)
        if full is not None:
            assert full.question.form is form and full.blanks == ()
            assert phrase_text(full.question.text, "us") != phrase_text(question.text, "us")
            # The calculator anew, with the numbers of the example: the last step is what it answers to them.
            again = full.question.result.calculator.answer(full.question.result.inputs)
            value = next(each for each in again.values if each.name == form.body.ask)
            assert math.isclose(float(full.steps[-1].formula.value), float(value.amount), rel_tol=1e-9)
            assert phrase_html(full.question.text) in worked_html(full, "x")
        last, more = worked(question, LAST_BLANK), worked(question, MORE_BLANK)
        assert last.question is question and more.question is question and worked(question, NONE) is None
        assert last.blanks == (len(last.steps) - 1,)
        assert set(last.blanks) <= set(more.blanks) and (len(more.blanks) > 1 or len(more.steps) == 1)
        for place in more.blanks:
            value = value_of(more, place)
            assert math.isclose(float(value.amount), float(more.steps[place].formula.value), rel_tol=1e-9)
            for system in ("us", "si"):
                assert mark_blank(more, place, value.text(system).partition(" (")[0], system).right, (form.id, place)
            unit = value.kind.us.symbol
            assert not mark_blank(more, place, f"{float(value.kind.us.from_base(value.amount)) * 1.5 + 7} {unit}", "us").right


@pytest.mark.parametrize("form", STEPPED, ids=lambda form: form.id)
def test_a_blank_does_not_show_its_result(form):
    question = draw(form, "1")
    for level in (LAST_BLANK, MORE_BLANK):
        shown = worked(question, level)
        html = worked_html(shown, "x")
        for place in shown.blanks:
            item = html.split("<li")[place + 1]
            assert "data-blank" in item
            assert f"= {shown.steps[place].result_text('us')}<" not in item and f"= {shown.steps[place].result_text('si')}<" not in item
        assert html.count('name="worked"') == len(shown.blanks) - 1


def test_the_level_goes_by_the_standing():
    levels = [level_of(each) for each in (
        None, Progress(False, 3, 0, 0, False), Progress(True, 3, 1, 0, False), Progress(True, 3, 2, 1, False),
        Progress(True, 3, 1, 1, False), Progress(True, 3, 2, 2, True),
    )]
    assert levels == [FULL, FULL, LAST_BLANK, MORE_BLANK, MORE_BLANK, NONE]


def test_the_page_offers_by_the_readers_progress():
    form = "groove-face-width"
    offers = [asked("practice-question", form=form, seed="7", profile=profile(**cards)) for cards in (
        {}, {form: card(1)}, {form: card(5)}, {form: card(5, 6, 2)})]
    assert [each.get("level") for each in offers] == [FULL, LAST_BLANK, MORE_BLANK, None]
    assert [bool(each.get("offer")) for each in offers] == [True, True, True, False]
    assert "offer" not in asked("practice-question", form=form, seed="7")
    assert "offer" not in asked("practice-question", form="groove-angle-meaning", seed="7", profile=profile())


def test_a_right_answer_with_the_steps_in_sight_counts_as_not_sure():
    question = draw(next(form for form in STEPPED if form.id == "groove-face-width"), "7")
    answer = {"form": "groove-face-width", "seed": "7", "answers": [question.asked.text("us").partition(" (")[0]]}
    assert asked("practice-mark", **answer)["card"]["last"] == 5
    assert asked("practice-mark", **answer, worked=True)["card"]["last"] == 3


def test_a_blank_is_marked_on_the_page():
    fields = {"form": "groove-face-width", "seed": "7", "level": MORE_BLANK}
    shown = worked(draw(next(form for form in STEPPED if form.id == "groove-face-width"), "7"), MORE_BLANK)
    step = shown.blanks[0]
    right = value_of(shown, step).text("us").partition(" (")[0]
    assert asked("practice-worked-mark", **fields, step=step, answer=right) == {"right": True, "html": "Right."}
    wrong = asked("practice-worked-mark", **fields, step=step, answer="77 in")
    assert not wrong["right"] and shown.steps[step].result_text("us") in wrong["html"]
    assert "number" in asked("practice-worked-mark", **fields, step=step, answer="soon")["error"]
