"""What the build adds for practice: the list of objectives by chapter, and the check of the question files."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from html import escape

from calc.practice.forms import CHAPTERS, KINDS, all_forms, problems

OBJECTIVE = re.compile(r"\[objective: ([^\]\n]+)\]\s*((?:.+\n?)(?:[ \t]+\S.*\n?)*)")


def question_faults() -> str:
    """Every problem of the question files, a line each; empty where they are sound."""
    return "\n".join(str(each) for each in problems())


def objectives_of(text: str) -> list[tuple[str, str]]:
    """The objectives of a page: id and text.

    >>> objectives_of("- [objective: groove-angle] tell the angles\\n  apart\\n")
    [('groove-angle', 'tell the angles apart')]
    """
    return [(name.strip(), " ".join(words.split())) for name, words in OBJECTIVE.findall(text)]


def objectives_html(pages: Mapping[str, str], plain: Callable[[str], str], standing: bool) -> str:
    """Every objective by chapter, with its questions, a link to its place and a link that practices it.

    `standing` adds the column that the glue of the progress page fills in. `plain` turns the marks inside a text into words.
    """
    return "".join(
        _chapter(chapter, title, objectives_of(pages.get(f"{chapter}.md", "")), plain, standing) for chapter, title in CHAPTERS.items()
    )


def _chapter(chapter: str, title: str, objectives: list[tuple[str, str]], plain: Callable[[str], str], standing: bool) -> str:
    if not objectives:
        return ""
    rows = "".join(_row(chapter, name, text, plain, standing) for name, text in objectives)
    last = '<th scope="col">Where you stand</th>' if standing else ""
    return (
        f'<section class="objectives"><h3><a href="{chapter}.html">{escape(title)}</a></h3>'
        f'<div class="wide" tabindex="0" role="group" aria-label="Objectives: {escape(title)}"><table><thead><tr><th scope="col">You can</th>'
        f'<th scope="col">Questions</th>{last}</tr></thead><tbody>{rows}</tbody></table></div></section>'
    )


def _row(chapter: str, name: str, text: str, plain: Callable[[str], str], standing: bool) -> str:
    kinds = [form.kind for form in all_forms() if form.objective == name]
    counted = ", ".join(f"{kinds.count(kind)} {kind}" for kind in KINDS if kind in kinds) or "none yet"
    practice = f'<a href="practice.html?objectives={escape(name)}">{counted}</a>' if kinds else counted
    last = f'<td><span data-standing="{escape(name)}"></span></td>' if standing else ""
    return f'<tr><th scope="row"><a href="{chapter}.html#objective-{escape(name)}">{plain(text)}</a></th><td>{practice}</td>{last}</tr>'
