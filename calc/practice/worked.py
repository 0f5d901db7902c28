"""Worked examples that fade: the steps of a figure shown first, then with the last left blank, then with more, then
none, by how the reader stands with the objective.

The steps are those of the calculator for the numbers that are told. A blank is marked as any figure is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from html import escape

from calc.core.declare import Step, Value, phrase_text
from calc.core.units import SYSTEMS, System
from calc.practice.forms import Number
from calc.practice.marking import Marking, mark_figure, try_within
from calc.practice.progress import Progress
from calc.practice.questions import Question, draw, worked_steps
from calc.show.html import both, phrase_html, solution_html

FULL, LAST_BLANK, MORE_BLANK, NONE = range(4)
OFFERS = {
    FULL: "See one worked first", LAST_BLANK: "Show the steps up to the last one", MORE_BLANK: "Go step by step",
}
"""What a reader may ask for, by level. At the last level nothing is offered: the question is worked alone."""
_OTHER_NUMBERS = 40
TOLD = "With the steps in sight, a right answer counts as right but not sure."


def level_of(standing: Progress | None) -> int:
    """How much is still shown: all where the objective was never tried, nothing where it is known.

    >>> level_of(None), level_of(Progress(True, 3, 0, 0, False)), level_of(Progress(True, 3, 2, 0, False))
    (0, 0, 1)
    >>> level_of(Progress(True, 3, 2, 1, False)), level_of(Progress(True, 3, 2, 2, True))
    (2, 3)
    """
    if standing is None or not standing.tried:
        return FULL
    if standing.known:
        return NONE
    return MORE_BLANK if standing.right else LAST_BLANK


@dataclass(frozen=True)
class Worked:
    """The steps of a question, and which of them are blank (from 0). At the first level the question is another one of
    its form; at the others it is the question that is asked.
    """

    level: int
    question: Question
    steps: tuple[Step, ...]
    blanks: tuple[int, ...]


def worked(question: Question, level: int) -> Worked | None:
    """What is shown at a level; None where nothing is: the figure has no steps, the level is the last one, or the form
    has no other numbers to be worked with.
    """
    steps = worked_steps(question) if isinstance(question.form.body, Number) else ()
    if not steps or level not in OFFERS:
        return None
    if level == FULL:
        other = _sibling(question)
        return Worked(level, other, worked_steps(other), ()) if other else None
    first = len(steps) - 1 if level == LAST_BLANK else min(len(steps) // 2, max(0, len(steps) - 2))
    return Worked(level, question, steps, tuple(range(first, len(steps))))


def _sibling(question: Question) -> Question | None:
    """The same form with other numbers and another answer."""
    for turn in range(_OTHER_NUMBERS):
        other = draw(question.form, f"{question.seed}.worked{turn}")
        differs = phrase_text(other.text, "us") != phrase_text(question.text, "us")
        if differs and other.asked.amount != question.asked.amount and worked_steps(other):
            return other
    return None


def value_of(shown: Worked, place: int) -> Value:
    """The figure of a step, as its calculator holds it."""
    step = shown.steps[place]
    assert shown.question.result is not None
    return next(
        (value for value in shown.question.result.values if (value.symbol, value.label) == (step.symbol, step.label)),
        Value(f"step_{place}", step.label, step.symbol, step.kind, step.formula.value, step.source, step.digits),
    )


def mark_blank(shown: Worked, place: int, text: str, system: System) -> Marking:
    """Mark what was typed into a blank. Raises `InputError`; `KeyError` for a step that is not blank."""
    if place not in shown.blanks:
        raise KeyError(place)
    value = value_of(shown, place)
    body = shown.question.form.body
    assert shown.question.result is not None and isinstance(body, Number)
    within = body.within if place == len(shown.steps) - 1 else try_within(value)
    return mark_figure(shown.question.result, value, text, system, within)


# --- as HTML ---------------------------------------------------------------------------------------


def worked_html(shown: Worked, place: str) -> str:
    """The steps, with a field for each blank before the last: the last one is the answer itself."""
    if shown.level == FULL:
        value = shown.question.asked
        return (
            f'<h4 tabindex="-1">One like it, worked</h4><p>{phrase_html(shown.question.text)}</p>'
            f'{solution_html(shown.steps, place)}<p class="right-answer">{escape(value.label)}: '
            f'<strong>{both(value.text("us"), value.text("si"))}</strong></p><p class="help">Now yours, with its own numbers. {TOLD}</p>'
        )
    steps = "".join(_step_html(shown, number, place) for number in range(len(shown.steps)))
    return f'<h4 tabindex="-1">The steps of this question</h4><ol class="steps">{steps}</ol><p class="help">{TOLD}</p>'


def _step_html(shown: Worked, number: int, place: str) -> str:
    step = shown.steps[number]
    head = f"<p>{escape(step.label)}</p>"
    if number not in shown.blanks:
        return f"<li>{head}<p>{escape(step.letters())}</p><p>{_numbers(step, '')}</p></li>"
    inside = f"<p>{escape(step.letters())}</p>"
    if shown.level == LAST_BLANK:
        inside += f"<p>{_numbers(step, ' = ?')}</p>"
    if number == len(shown.steps) - 1:
        return f'<li data-blank="{number}">{head}{inside}<p class="help">This is your answer: write it below.</p></li>'
    ident = f"{place}-step-{number}"
    return (
        f'<li data-blank="{number}">{head}{inside}<div class="reply"><label for="{ident}">{escape(step.symbol)} =</label>'
        f'<input id="{ident}" name="worked" data-step="{number}" type="text" autocomplete="off" spellcheck="false" maxlength="40" '
        f'aria-describedby="{ident}-said"><button type="button" data-check="{number}">Check this step</button>'
        f'<p class="said" id="{ident}-said" role="status"></p></div></li>'
    )


def _numbers(step: Step, blank: str) -> str:
    """The step with its numbers; with `blank` in the place of what it comes to."""
    texts = {
        system: step.numbers(system).rpartition(" = ")[0] + blank if blank else step.numbers(system) for system in SYSTEMS
    }
    return both(texts["us"], texts["si"])


def blank_said(shown: Worked, place: int, marking: Marking) -> str:
    """What became of a blank, as HTML: right, or the step with its result."""
    slip = f" It looks as if {escape(marking.slip)}." if marking.slip else ""
    return "Right." if marking.right else f"Not right.{slip} {_numbers(shown.steps[place], '')}"


def offers(standings: Mapping[str, Progress], question: Question) -> tuple[int, str]:
    """The level of a question for a reader, and the words of what is offered; "" where nothing is."""
    level = level_of(standings.get(question.form.objective))
    return level, OFFERS.get(level, "") if worked(question, level) else ""
