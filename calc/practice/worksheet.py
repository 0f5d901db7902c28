"""Worksheets drawn from a seed, each with its answer key. The site and the command line print the same text.

A worksheet is decided by seed, its number, chapters and count of questions, and by nothing else. The questions of one
worksheet are different forms; thirty worksheets differ in their numbers, their order and their choice of forms.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from calc.core.declare import Phrase, phrase_text
from calc.core.units import SYSTEMS
from calc.practice.chance import Chance
from calc.practice.forms import CHAPTERS, Form, Hazard, Looks, Number, Order, all_forms
from calc.practice.pages import citations, drawn_html, of_shop, shop_word
from calc.practice.questions import Question, draw, phrase, worked_steps
from calc.practice.schedule import interleaved

MOST_PAPERS, MOST_QUESTIONS = 60, 40
UNITS = ("us", "si", "both")
LETTERS, NONE = "ABCDEFGHIJKLMNOPQRST", "none"


class WorksheetError(ValueError):
    """A worksheet that cannot be made; the message says which setting and what it may be."""


@dataclass(frozen=True)
class Settings:
    """What decides a set of worksheets."""

    seed: str = "1"
    papers: int = 1
    questions: int = 12
    chapters: tuple[str, ...] = ()
    units: str = "us"
    key: bool = False

    def check(self) -> None:
        """Raises `WorksheetError` for a setting that cannot be used."""
        if not re.fullmatch(r"[A-Za-z0-9._-]{1,40}", self.seed):
            raise WorksheetError("seed: write 1 to 40 letters, digits, dots, hyphens or underscores")
        if not 1 <= self.papers <= MOST_PAPERS:
            raise WorksheetError(f"worksheets (--papers): write a whole number from 1 to {MOST_PAPERS}")
        if self.units not in UNITS:
            raise WorksheetError(f"units: write {', '.join(UNITS)}")
        for chapter in self.chapters:
            if chapter not in CHAPTERS:
                raise WorksheetError(f"chapter: “{chapter[:40]}” is not a chapter; there are {', '.join(CHAPTERS)}")
        most = min(MOST_QUESTIONS, len(all_forms(self.chapters)))
        if not 1 <= self.questions <= most:
            raise WorksheetError(f"questions: write a whole number from 1 to {most}; these chapters hold no more")

    def line(self) -> str:
        """The command that prints the same worksheets."""
        parts = ["python -m calc worksheet", f"--seed {self.seed}", f"--papers {self.papers}", f"--questions {self.questions}"]
        parts += [f"--chapter {chapter}" for chapter in self.chapters]
        parts += [f"--units {self.units}"] if self.units != "us" else []
        parts += ["--folder local/questions"] if any(form.shop for form in all_forms(self.chapters)) else []
        return " ".join(parts + (["--key"] if self.key else []))


def settings_of(given: Mapping[str, Any]) -> Settings:
    """The settings from plain data, such as the fields of a page. Raises `WorksheetError`.

    >>> settings_of({"seed": "7", "papers": "30", "chapters": ["groove"], "questions": 3, "key": True}).line()
    'python -m calc worksheet --seed 7 --papers 30 --questions 3 --chapter groove --key'
    """
    chapters = given.get("chapters", ())
    if not isinstance(chapters, (list, tuple)):
        raise WorksheetError("chapter: write a list")
    settings = Settings(
        str(given.get("seed", Settings.seed)).strip(), _count(given.get("papers", Settings.papers), "worksheets (--papers)"),
        _count(given.get("questions", Settings.questions), "questions"), tuple(str(each) for each in chapters),
        str(given.get("units", Settings.units)), given.get("key") is True,
    )
    settings.check()
    return settings


def _count(value: Any, name: str) -> int:
    text = str(value).strip()
    if not re.fullmatch(r"[0-9]{1,4}", text):
        raise WorksheetError(f"{name}: write a whole number")
    return int(text)


@dataclass(frozen=True)
class Paper:
    """One worksheet: its number and its questions."""

    number: int
    questions: tuple[Question, ...]


def papers(settings: Settings) -> list[Paper]:
    """The worksheets."""
    forms = all_forms(settings.chapters)
    return [Paper(number, _questions(settings, number, forms)) for number in range(1, settings.papers + 1)]


def _questions(settings: Settings, number: int, forms: Sequence[Form]) -> tuple[Question, ...]:
    seed = f"{settings.seed}/paper {number}"
    chosen = Chance(seed).shuffled(forms)[: settings.questions]
    return tuple(draw(form, seed) for form in interleaved(chosen))


# --- as lines: what the text and the page both show -----------------------------------------


@dataclass(frozen=True)
class Printed:
    """One question on paper: the lines asked, a picture, and the lines of its key."""

    ask: tuple[str, ...]
    lines: tuple[str, ...]
    blank: str
    key: tuple[str, ...]
    question: Question


def say(each: Phrase, units: str) -> str:
    """A phrase for paper, in one system or both."""
    if units != "both":
        return phrase_text(each, "si" if units == "si" else "us")
    return "".join(part if isinstance(part, str) else _pair(part.text("us"), part.text("si")) for part in each)


def _pair(us: str, si: str) -> str:
    return us if us == si else f"{us} ({si})"


def printed(question: Question, units: str) -> Printed:
    """A question and its key as lines."""
    body = question.form.body
    ask = [*([f"{of_shop(question.form)}."] if question.form.shop else []), say(question.text, units)]
    if isinstance(body, Hazard):
        ask.append(say(phrase(body.scene), units))
    lines = tuple(f"{LETTERS[place]}. {say(line, units)}" for place, line in enumerate(question.lines))
    blank = "Answer:"
    if isinstance(body, Order | Hazard):
        blank = "Order (letters):" if isinstance(body, Order) else "Wrong (letters, or none):"
    if isinstance(body, Looks):
        blank = f"Letter of each drawing, 1 to {len(question.pictured)}:"
    return Printed(tuple(ask), lines, blank, tuple(_key(question, units)), question)


def _key(question: Question, units: str) -> list[str]:
    body, form = question.form.body, question.form
    lines: list[str] = []
    if isinstance(body, Number):
        value = question.asked
        systems = SYSTEMS if units == "both" else (units,)
        lines.append(f"{value.label}: {_pair(value.text('us'), value.text('si')) if units == 'both' else value.text(units)}")
        for step in worked_steps(question):
            lines.append(f"{step.label}: {step.letters()}")
            lines += list(dict.fromkeys(step.numbers(system) for system in systems))
        lines.append(f"Within {body.within} counts as right." if body.within != "0" else "Only the exact figure counts as right.")
    else:
        lines.append(" ".join(LETTERS[place] for place in question.right) or NONE)
    if isinstance(body, Looks):
        named = enumerate((body.looks[index].why for index in question.pictured), 1)
        lines += [f"{number}: {say(phrase(why), units)}" for number, why in named]
    lines += [say(phrase(why), units) for why in (form.why, question.case.why if question.case else "") if why]
    if form.kind in ("choice", "flaw"):
        lines += [say(phrase(body.options[question.shown[place]].why), units) for place in question.right]
    if isinstance(body, Hazard):
        lines += [f"{LETTERS[place]}: {say(phrase(body.things[question.shown[place]].why), units)}" for place in question.right]
    if form.kind == "judge" and question.result is not None:
        lines += [say(each.phrase, units) for each in question.result.checks if each.level.value == "stop"]
    told = [each.text for each in citations(question)] + ([shop_word(form)] if form.shop else [])
    lines.append("Source: " + " ".join(each if each.endswith(".") else f"{each}." for each in told))
    return lines


def heading(settings: Settings, paper: Paper, key: bool) -> str:
    """The line at the head of a worksheet."""
    return f"Worksheet {paper.number} of {settings.papers}, seed {settings.seed}{', answer key' if key else ''}"


LOOK = "(Look at the drawing of this question, on the sheet that --html prints.)"
NEW_SHEET = "\f"
"""Printers begin a sheet at this character."""
NAME_LINE = "Name: ______________________   Date: ______________"
ADVICE = "Study help, not a certification. The WPS, the code in force and a qualified inspector decide."


def as_text(settings: Settings) -> str:
    """The worksheets as plain text."""
    parts: list[str] = []
    for paper in papers(settings):
        shown = [printed(each, settings.units) for each in paper.questions]
        heads = (heading(settings, paper, False), heading(settings, paper, True))
        parts += [*sheets_text(*heads, shown, settings.key), "=" * 60, ""]
    parts.append(f"Made by: {settings.line()}")
    return "\n".join(parts)


def sheets_text(head: str, key_head: str, shown: Sequence[Printed], key: bool) -> list[str]:
    """The lines of one paper; its key begins on a new sheet."""
    parts = [head, NAME_LINE, ""]
    for number, each in enumerate(shown, 1):
        parts.append(f"{number}. {each.ask[0]}")
        parts += [f"   {line}" for line in (*each.ask[1:], *each.lines)]
        parts += [f"   {LOOK}"] if each.question.drawings else []
        parts += [f"   {each.blank} ______________", ""]
    if key:
        parts += [NEW_SHEET + key_head, ""]
        for number, each in enumerate(shown, 1):
            parts.append(f"{number}. {each.key[0]}")
            parts += [*(f"   {line}" for line in each.key[1:]), ""]
    return [*parts, ADVICE, ""]


def as_html(settings: Settings) -> str:
    """The worksheets as HTML, one section for each and one for its answer key; the text of each line is that of
    `as_text`.
    """
    made = "".join(_paper_html(settings, paper) for paper in papers(settings))
    return f'<div class="papers">{made}<p class="made-by">Made by: <code>{escape(settings.line())}</code></p></div>'


def _paper_html(settings: Settings, paper: Paper) -> str:
    shown = [printed(each, settings.units) for each in paper.questions]
    heads = (heading(settings, paper, False), heading(settings, paper, True))
    return sheets_html(*heads, shown, f"paper-{paper.number}", settings.key)


def sheets_html(head: str, key_head: str, shown: Sequence[Printed], place: str, key: bool) -> str:
    """One paper as HTML, its key in a section of its own. `place` makes the ids of its drawings unique."""
    asked = "".join(_asked_html(each, f"{place}-{number}") for number, each in enumerate(shown, 1))
    sheets = f'<section class="paper"><h3>{escape(head)}</h3><p class="name-line">{NAME_LINE}</p><ol>{asked}</ol>'
    sheets += f'<p class="advice">{ADVICE}</p></section>'
    if key:
        keys = "".join(f"<li>{'<br>'.join(escape(line) for line in each.key)}</li>" for each in shown)
        sheets += f'<section class="paper key"><h3>{escape(key_head)}</h3><ol>{keys}</ol></section>'
    return sheets


def _asked_html(each: Printed, place: str) -> str:
    drawn = drawn_html(each.question, place, paper=True)
    lines = "".join(f"<li>{escape(line)}</li>" for line in each.lines)
    options = f'<ul class="lettered">{lines}</ul>' if lines else ""
    return f"<li>{'<br>'.join(escape(line) for line in each.ask)}{drawn}{options}<p class=\"blank\">{each.blank} ______________</p></li>"


_STYLE = (
    "body{font:12pt/1.4 serif;max-width:46em;margin:2em auto;padding:0 1em}h3{font-size:1.1em}li{margin:.6em 0}.lettered{list-style:none;"
    "padding-left:0}.lettered li{margin:.1em 0}svg{max-width:24em;height:auto}.side-by-side{display:flex;flex-wrap:wrap;gap:1em}.side-by-side figure{flex:1 1 14em;max-width:19em;margin:0}text{font:14px sans-serif}.area{fill:#fff;stroke:#000}"
    ".line{fill:none;stroke:#000}.line.thin{stroke-width:.8}.gap,.found{fill:#000}.rule-turn{display:none}.hidden,.limit{stroke-dasharray:6 4}.hatch{stroke:#000;stroke-width:.6;fill:none}.plate{fill:#e8e8e8}.weld{fill:#d0d0d0}"
    "table{border-collapse:collapse;margin:.4em 0}th,td{border:1px solid #888;padding:.15em .5em;text-align:left}"
    "@media print{.paper{break-after:page}.key{break-before:recto}li{break-inside:avoid}}"
)


def as_document(settings: Settings) -> str:
    """The worksheets as a document of their own, for the command line."""
    return document(f"Worksheets, seed {settings.seed}", as_html(settings))


def document(title: str, inside: str) -> str:
    """Papers as a document of their own."""
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title><style>{_STYLE}</style></head>'
        f"<body>{inside}</body></html>"
    )
