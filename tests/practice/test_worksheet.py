"""Worksheets: the same from the site and the command line, thirty that differ, each with its answer key."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from html import unescape
from pathlib import Path

import pytest

from calc.practice.forms import all_forms
from calc.practice.marking import mark
from calc.practice.looks import LOOKS, seen
from calc.practice.pictures import PICTURES, picture
from calc.practice.worksheet import (
    LETTERS, NONE, Settings, WorksheetError, as_document, as_html, as_text, papers, printed, settings_of,
)
from calc.show.drawing import described
from calc.web import respond

ROOT = Path(__file__).resolve().parents[2]
CLASS = Settings("7", 30, 12, ("cutting",), "us", True)
ARGUMENTS = ["--seed", "7", "--papers", "30", "--questions", "12", "--chapter", "cutting", "--key"]


def command(*arguments: str, hash_seed: str = "0") -> subprocess.CompletedProcess:
    environment = {**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONUTF8": "1"}
    return subprocess.run([sys.executable, "-m", "calc", "worksheet", *arguments], cwd=ROOT, env=environment, capture_output=True, text=True, check=False)


def site(settings: dict) -> dict:
    """What the page gets for its fields."""
    return json.loads(respond(json.dumps({"do": "worksheet", "settings": settings})))


def words(html: str) -> str:
    """The text of a page, its drawings left out."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", re.sub(r"<svg.*?</svg>", " ", html, flags=re.DOTALL))).split())


def test_the_site_prints_what_the_command_line_prints():
    page = site({"seed": "7", "papers": "30", "questions": "12", "chapters": ["cutting"], "units": "us", "key": True})
    document = command(*ARGUMENTS, "--html", hash_seed="1").stdout
    assert page["html"] in document
    assert page["line"] == "python -m calc worksheet " + " ".join(["--seed 7", "--papers 30", "--questions 12", "--chapter cutting", "--key"])
    text = " ".join(command(*ARGUMENTS, hash_seed="2").stdout.split())
    assert text == " ".join(as_text(CLASS).split())
    shown = words(page["html"])
    for paper in papers(CLASS):
        for each in (printed(question, "us") for question in paper.questions):
            for line in (*each.ask, *each.lines, *each.key):
                line = " ".join(line.split())
                assert line in text and line in shown, line


def test_thirty_papers_differ_and_hold_no_question_twice():
    made = papers(CLASS)
    asked = [tuple(str(each.text) + str(each.lines) for each in paper.questions) for paper in made]
    assert len(made) == len(set(asked)) == len({frozenset(each) for each in asked}) == 30
    for paper in made:
        assert len({question.form.id for question in paper.questions}) == 12


def test_a_paper_does_not_depend_on_how_many_are_printed():
    assert papers(Settings("7", 2, 12, ("cutting",)))[1] == papers(CLASS)[1]


@pytest.mark.parametrize("units", ["us", "si"])
def test_every_key_is_what_the_guide_marks_right(units):
    for paper in papers(Settings("31", 3, 30, (), units, True)):
        for question in paper.questions:
            first = printed(question, units).key[0]
            if question.form.kind == "number":
                answer = first.removeprefix(f"{question.asked.label}: ").partition(" (about")[0]
                answers = [answer.replace("\u202f", "") if question.asked.kind else answer.split()[0]]
            else:
                answers = [] if first == NONE else [str(LETTERS.index(letter)) for letter in first.split()]
            assert mark(question, answers, units).right, (question.form.id, first)


def test_what_is_not_set_is_as_the_help_says():
    told = command("--help").stdout
    assert settings_of({}) == Settings() and settings_of({}).line() == "python -m calc worksheet --seed 1 --papers 1 --questions 12"
    assert "worksheets (default 1)" in told and "each (default 12)" in told


def test_si_papers_show_no_inches_where_numbers_are_drawn():
    text = as_text(Settings("3", 1, len(all_forms(["groove"])), ("groove",), "si"))
    assert "\u00a0mm" in text and not re.search(r"\d\sin\b", text)


@pytest.mark.parametrize(("given", "message"), [
    ({"seed": "<b>"}, "seed"), ({"papers": "0"}, "papers"), ({"papers": "61"}, "from 1 to 60"), ({"papers": "many"}, "worksheets (--papers): write a whole number"),
    ({"questions": "41"}, "questions"), ({"chapters": ["welding"]}, "“welding” is not a chapter"), ({"units": "feet"}, "units"),
    ({"chapters": "groove"}, "write a list"),
])
def test_settings_that_cannot_be_are_refused_alike(given, message):
    with pytest.raises(WorksheetError, match=re.escape(message)):
        settings_of(given)
    assert message in site(given)["refused"]


def test_the_command_line_refuses_in_one_line():
    for arguments, message in ((["--papers", "0"], "papers"), (["--colour"], "not an option"), (["--seed"], "needs a value")):
        done = command(*arguments)
        assert done.returncode == 2 and message in done.stderr and done.stderr.count("\n") == 1


def test_the_text_does_not_tell_what_a_drawing_shows():
    """What stands in words beside a drawing would be the answer."""
    text = as_text(Settings("3", 1, len(all_forms(["flaws"])), ("flaws",), "us"))
    told = [described(picture(name).description).partition(". ")[2] for name in PICTURES]
    assert "--html" in text and not any(each in text for each in [*told, *map(seen, LOOKS)])


def test_every_key_begins_a_sheet():
    made = Settings("7", 2, 5, (), "us", True)
    assert as_text(made).count("\fWorksheet") == as_text(made).count("answer key") == 2
    assert as_html(made).count('class="paper key"') == 2 and ".key{break-before:recto}" in as_document(made)
    assert ".paper.key { break-before: recto; }" in (ROOT / "docs/assets/practice.css").read_text(encoding="utf-8")


def test_papers_hold_no_markup_of_their_own():
    html = as_html(Settings("5", 1, 20, (), "both", True))
    assert "<script" not in html and " onclick" not in html
