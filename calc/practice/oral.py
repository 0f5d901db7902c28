"""The mock oral: one spoken question a chapter, in the order of the day, drawn from a seed; on the page and on paper.

A question that speaks of a list is asked with its list in sight.
"""

from __future__ import annotations

import re
from dataclasses import replace
from html import escape

from calc.practice import forms
from calc.practice.chance import Chance
from calc.practice.forms import CHAPTERS, Form
from calc.practice.questions import Question, draw
from calc.practice.worksheet import LETTERS, Printed, Settings, document, printed, sheets_html, sheets_text
from calc.show.html import phrase_html

_SPEAKS_OF_A_LIST = re.compile(
    r"\b(these|following|below|which (list|line|sentence|statement|entry|row|reading|answer)s?)\b", re.IGNORECASE,
)
_BLANK = "Judged right, in part, or not right:"


def spoken_forms(chapter: str) -> list[Form]:
    """The forms of a chapter that can be asked aloud."""
    return [form for form in forms.forms_of(chapter) if form.oral or form.kind == "order"]


def oral_questions(seed: str) -> list[Question]:
    """The questions of a mock oral. A chapter without one that can be asked aloud is left out.

    >>> [question.form.chapter for question in oral_questions("7")][:2]
    ['start', 'planning']
    """
    chance = Chance(f"oral/{seed}")
    return [draw(chance.choose(spoken), seed) for chapter in CHAPTERS if (spoken := spoken_forms(chapter))]


def list_shown(question: Question) -> bool:
    """Whether the question is asked with its lines in sight: steps to put in order, or a text that speaks of a list."""
    return question.form.kind == "order" or bool(_SPEAKS_OF_A_LIST.search(question.form.text)) and bool(question.lines)


def list_html(question: Question) -> str:
    """The lines of such a question, lettered; nothing for any other."""
    if not list_shown(question):
        return ""
    lines = "".join(f"<li>{LETTERS[place]}. {phrase_html(line)}</li>" for place, line in enumerate(question.lines))
    return f'<ul class="lettered">{lines}</ul>'


def _on_paper(seed: str, units: str) -> list[Printed]:
    return [
        replace(each, lines=each.lines if list_shown(question) else (), blank=_BLANK,
            ask=(f"{CHAPTERS[question.form.chapter]}: {each.ask[0]}", *each.ask[1:]))
        for question in oral_questions(seed) for each in [printed(question, units)]
    ]


def line_of_command(settings: Settings) -> str:
    """The command that prints the same oral."""
    units = f" --units {settings.units}" if settings.units != "us" else ""
    return f"python -m calc worksheet --oral --seed {settings.seed}{units}{' --key' if settings.key else ''}"


def _heads(settings: Settings) -> tuple[str, str]:
    return f"Mock oral, seed {settings.seed}", f"Mock oral, seed {settings.seed}, instructor's sheet with answers"


def oral_text(settings: Settings) -> str:
    """The oral as plain text; with a key, the instructor's sheet begins on a new sheet."""
    shown = _on_paper(settings.seed, settings.units)
    return "\n".join([*sheets_text(*_heads(settings), shown, settings.key), f"Made by: {line_of_command(settings)}"])


def oral_html(settings: Settings) -> str:
    """The oral as HTML to print."""
    shown = _on_paper(settings.seed, settings.units)
    made = f'<p class="made-by">Made by: <code>{escape(line_of_command(settings))}</code></p>'
    return f'<div class="papers">{sheets_html(*_heads(settings), shown, "oral", settings.key)}{made}</div>'


def oral_document(settings: Settings) -> str:
    """The oral as a document of its own, for the command line."""
    return document(f"Mock oral, seed {settings.seed}", oral_html(settings))
