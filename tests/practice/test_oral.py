"""The mock oral: from a seed, on the page and on paper alike, and never about a list that nobody sees."""

from __future__ import annotations

import json
import re
import subprocess
import sys

import pytest

from calc.core.declare import phrase_text
from calc.practice.forms import CHAPTERS
from calc.practice.oral import list_html, oral_questions, oral_text, spoken_forms
from calc.practice.questions import draw
from calc.practice.worksheet import NEW_SHEET, settings_of
from calc.web import respond
from tools.common import ROOT

SPOKEN = [form for chapter in CHAPTERS for form in spoken_forms(chapter)]
# Words by which a question points at something that has to lie before the reader.
POINTS = re.compile(r"\b(lists?|these (?!three things)|those|following|below|above)\b", re.IGNORECASE)
# "a minute above": not pointing. Named one by one, so that a new question is looked at.
SPEAKS_OF_ITSELF = {
    form: words for form, words in (
        ("bevelling-drop-hot", "above"),
    )
}


@pytest.mark.parametrize("form", SPOKEN, ids=lambda form: form.id)
def test_what_a_question_points_at_is_shown(form):
    for seed in range(5):
        question = draw(form, seed)
        text = phrase_text(question.text, "us")
        if form.kind == "order" or (POINTS.search(text) and form.id not in SPEAKS_OF_ITSELF):
            shown = list_html(question)
            assert all(f"{letter}. " in shown for letter in "ABCDEFGH"[: len(question.lines)]) and question.lines, text
        if "drawing" in text.lower() or "picture" in text.lower():
            assert form.picture or not re.search(r"\b(the|this) (drawing|picture) shows\b", text.lower()), text


def test_the_list_of_an_order_is_never_in_its_order():
    for form in SPOKEN:
        if form.kind == "order":
            for seed in range(20):
                question = draw(form, seed)
                assert question.right != tuple(range(len(question.shown))), form.id


def test_a_seed_gives_its_questions_and_another_gives_others():
    ids = [tuple(each.form.id for each in oral_questions(str(seed))) for seed in range(30)]
    assert ids[7] == tuple(each.form.id for each in oral_questions("7")) and len(set(ids)) == 30


@pytest.mark.parametrize("units", ["us", "si", "both"])
def test_the_command_line_prints_what_the_page_prints(units):
    settings = {"seed": "7", "units": units, "key": True, "oral": True}
    page = json.loads(respond(json.dumps({"do": "worksheet", "settings": settings})))
    words = page["line"].split()[2:]
    printed = subprocess.run([sys.executable, "-m", *words, "--html"], cwd=ROOT, capture_output=True, text=True).stdout
    assert page["html"] in printed
    for each in oral_questions("7"):
        assert CHAPTERS[each.form.chapter] in printed


def test_the_instructors_sheet_begins_on_a_new_sheet_and_only_when_asked():
    with_key, without = (oral_text(settings_of({"seed": "7", "key": key})) for key in (True, False))
    assert NEW_SHEET not in without and "Source:" not in without
    assert f"{NEW_SHEET}Mock oral, seed 7, instructor's sheet with answers" in with_key
    assert with_key.count("Source:") == len(oral_questions("7"))
