"""A mock test day marked, and as HTML, text and paper. The page and the command line print the same."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from html import escape

from calc.core.declare import InputError
from calc.core.units import SYSTEMS, System
from calc.practice.marking import mark_figure
from calc.practice.mock_day import Day, draw_day
from calc.practice.looks import look_svg
from calc.practice.mock_day_bench import Decision, Told
from calc.practice.pages import number_field
from calc.practice.worksheet import ADVICE, LETTERS, NAME_LINE, NEW_SHEET, document, say
from calc.record.shape import Record
from calc.show.drawing import drawing_svg
from calc.show.html import both, citation_html, phrase_html, solution_html

STUDY_HELP = (
    "Study help, never a certification. On the day your WPS, the code in force and a qualified inspector decide."
)
_LOOK = "(The drawing of this decision stands on the sheet that --html prints.)"


@dataclass(frozen=True)
class Marked:
    """A decision and what became of it; `answer` is what the reader gave, in words."""

    decision: Decision
    answer: str
    right: bool


def read_answer(decision: Decision, text: str, system: System) -> bool:
    """Whether an answer is right. Raises `InputError` for one that cannot be read.

    >>> decision = draw_day("7").decisions[0]
    >>> read_answer(decision, str(decision.right), "us")
    True
    """
    if decision.value is not None and decision.result is not None:
        return mark_figure(decision.result, decision.value, text, system, decision.within).right
    if text not in {str(place) for place in range(len(decision.options))}:
        raise InputError("answer", "Your answer", "choose one answer")
    return int(text) == decision.right


def mark_day(day: Day, answers: Mapping[str, str], system: System) -> tuple[Marked, ...]:
    """The whole day marked. What was not answered, or can't be read, is not right."""
    found = []
    for each in day.decisions:
        text = answers.get(each.id, "")
        try:
            right = read_answer(each, text, system)
            said = text if each.value is not None else say(each.options[int(text)], system)
        except InputError:
            right, said = False, "not answered"
        found.append(Marked(each, said, right))
    return tuple(found)


def objectives_of(marked: tuple[Marked, ...]) -> dict[str, bool]:
    """Every objective of the day, and whether all of its decisions were right."""
    found: dict[str, bool] = {}
    for each in marked:
        found[each.decision.objective] = each.right and found.get(each.decision.objective, True)
    return found


# --- on the page ---------------------------------------------------------------------------------


def table_html(told: Told, caption: str = "") -> str:
    """What is told, as a table."""
    if not told:
        return ""
    rows = "".join(f'<tr><th scope="row">{escape(label)}</th><td>{phrase_html(said)}</td></tr>' for label, said in told)
    head = f"<caption>{escape(caption)}</caption>" if caption else ""
    return f'<table class="told">{head}<tbody>{rows}</tbody></table>'


def decision_html(day: Day, number: int, place: str) -> str:
    """One decision as a form, with the WPS that holds at that hour. Nothing in it tells the key."""
    decision = day.decisions[number]
    first = decision.id == "wps"
    issue = 1 if first else 2
    wps = day.wps if first else day.issue_2
    intro = "" if first else "<p>Issue 2 is what you weld to. What was to be asked about in issue 1 is settled.</p>"
    sheet = (
        f'<details class="mock-wps"{" open" if first else ""}><summary>The WPS, issue {issue}</summary>{intro}'
        f"{table_html(wps)}</details>"
    )
    if decision.value is not None:
        field = number_field(decision.value, place, "Your answer")
    else:
        field = '<div class="options">' + "".join(
            f'<label class="option"><input type="radio" name="answer" value="{index}" aria-describedby="{place}-error"> '
            f"<span>{phrase_html(option)}</span></label>" for index, option in enumerate(decision.options)
        ) + "</div>"
    last = number + 1 == len(day.decisions)
    return (
        f'<form class="question" data-decision="{decision.id}" novalidate>'
        f'<p class="question-head" tabindex="-1">Decision {number + 1} of {len(day.decisions)}. {escape(decision.stage)}</p>{sheet}'
        f"{table_html(decision.told)}{_drawn(decision, place)}"
        f'<fieldset><legend id="{place}-text">{escape(decision.ask)}</legend>{field}</fieldset>'
        f'<p class="error" id="{place}-error" role="alert" data-error></p>'
        f'<div class="question-foot"><button type="submit" class="main-button">{"Finish the day" if last else "Decide"}</button></div></form>'
    )


def _drawn(decision: Decision, place: str) -> str:
    svg = drawing_svg(decision.drawing, place) if decision.drawing else ""
    svg = look_svg(*decision.look, place, cut=False) if decision.look else svg
    return f'<figure class="drawn">{svg}</figure>' if svg else ""


def result_html(day: Day, marked: tuple[Marked, ...], place: str, system: System) -> str:
    """The day at its end: scored by stage, then each decision with its reason and source."""
    right = sum(each.right for each in marked)
    stages = "".join(
        f'<tr><th scope="row">{escape(stage)}</th><td>{sum(each.right for each in own)} of {len(own)}</td></tr>'
        for stage, own in by_stage(marked).items()
    )
    weak = [name for name, good in objectives_of(marked).items() if not good]
    practice = (
        f'<p><a class="main-link" href="practice.html?objectives={",".join(weak)}">Practice what was not right</a>: '
        f"{len(weak)} {'objective' if len(weak) == 1 else 'objectives'}.</p>" if weak else ""
    )
    items = "".join(_marked_html(each, f"{place}-{each.decision.id}", system) for each in marked)
    return (
        f'<h3 tabindex="-1">The day is over: {right} of {len(marked)} decisions right</h3>'
        f'<p class="note">{STUDY_HELP}</p><table class="told"><caption>By step of the work</caption><tbody>{stages}</tbody></table>'
        f'{practice}<ol class="mock-marked">{items}</ol>'
    )


def by_stage(marked: tuple[Marked, ...]) -> dict[str, list[Marked]]:
    """The decisions by stage, in the order of the day."""
    found: dict[str, list[Marked]] = {}
    for each in marked:
        found.setdefault(each.decision.stage, []).append(each)
    return found


def _marked_html(marked: Marked, place: str, system: System) -> str:
    each = marked.decision
    yours = "" if marked.right else f"<p>Your answer: {escape(marked.answer)}</p>"
    key = both(each.right_text("us"), each.right_text("si"))
    reasons = "".join(f"<li>{phrase_html(why)}</li>" for why in each.reasons)
    sources = "".join(f"<li>{citation_html(source)}</li>" for source in each.sources)
    steps = f"<h4>Worked steps</h4>{solution_html(each.steps, place)}" if each.steps and not marked.right else ""
    return (
        f'<li class="marked" data-right="{str(marked.right).lower()}" data-decision="{each.id}"><details><summary>'
        f'{"Right" if marked.right else "Not right"}: {escape(each.stage)}</summary><p>{escape(each.ask)}</p>{table_html(each.told)}{_drawn(each, place)}{yours}'
        f'<p class="right-answer">Right answer: <strong>{key}</strong></p><ul class="reasons">{reasons}</ul>{steps}'
        f'<p>Sources:</p><ul class="reasons">{sources}</ul><p>Read: <a href="{each.where}">{escape(each.stage)}</a></p></details></li>'
    )


# --- on paper --------------------------------------------------------------------------------------


def line_of_command(day: Day, examiner: bool, units: str) -> str:
    """The command that prints the same day."""
    parts = ["python -m calc mock-day", f"--seed {day.seed}", *(["--test my-test.json"] if day.own else [])]
    parts += [f"--system {units}"] if units != "us" else []
    return " ".join(parts + (["--examiner"] if examiner else []))


def _heading(day: Day, what: str) -> str:
    return f"{what}, seed {day.seed}"


def _asked_lines(decision: Decision, units: str) -> list[str]:
    told = [f"{label}: {say(said, units)}" for label, said in decision.told]
    options = [f"{LETTERS[place]}. {say(option, units)}" for place, option in enumerate(decision.options)]
    return [*told, decision.ask, *options]


def key_lines(decision: Decision, units: str) -> list[str]:
    """The key of a decision: the right answer, the reasons, the worked steps and the source."""
    systems = SYSTEMS if units == "both" else (units,)
    if decision.value is not None:
        key = " / ".join(dict.fromkeys(decision.right_text(system) for system in systems))
        steps = [line for step in decision.steps for system in systems
            for line in (f"{step.label}: {step.letters()}", step.numbers(system))]
        right = [key, *dict.fromkeys(steps), f"Within {decision.within} counts as right."
            if decision.within != "0" else "Only the exact figure counts as right."]
    else:
        right = [f"{LETTERS[decision.right]}. {say(decision.options[decision.right], units)}"]
        right += [say(why, units) for why in decision.reasons]
    sources = " ".join(each.text if each.text.endswith(".") else f"{each.text}." for each in decision.sources)
    return [*right, f"Source: {sources}", "Points: 1"]


_EXAMINER = "Examiner's sheet"
_HANDED = "The WPS, issue 1, as it is handed to you"
_ISSUE_2 = "The WPS, issue 2: what was to be asked about in issue 1 is settled. You weld to this one."


def day_text(day: Day, examiner: bool, units: str) -> str:
    """The day as plain text; the examiner's sheet begins on a new sheet."""
    lines = [_heading(day, "Mock test day"), NAME_LINE, "", STUDY_HELP, "", *_sheet_lines(_HANDED, day.wps, units)]
    for number, each in enumerate(day.decisions, 1):
        if each.id != "wps" and _ISSUE_2 not in "".join(lines):
            lines += _sheet_lines(NEW_SHEET + _ISSUE_2, day.issue_2, units)
        head, *rest = _asked_lines(each, units)
        lines += [f"{number}. {each.stage}", f"   {head}", *(f"   {line}" for line in rest)]
        lines += [f"   {_LOOK}"] if each.drawing or each.look else []
        lines += ["   Answer: ______________", ""]
    lines += list(day.notes) if day.own else []
    if examiner:
        lines += [NEW_SHEET + _heading(day, _EXAMINER), ""]
        for number, each in enumerate(day.decisions, 1):
            lines += [f"{number}. {each.stage}", *(f"   {line}" for line in key_lines(each, units)), ""]
        lines += [f"Points in all: {len(day.decisions)}", ""]
    return "\n".join([*lines, ADVICE, f"Made by: {line_of_command(day, examiner, units)}"])


def _sheet_lines(head: str, told: Told, units: str) -> list[str]:
    return [head, *(f"   {label}: {say(said, units)}" for label, said in told), ""]


def day_html(day: Day, examiner: bool, units: str) -> str:
    """The day as HTML to print, the examiner's sheet in a section of its own."""
    first, rest = "", []
    for each in day.decisions:
        options = "".join(f"<li>{LETTERS[place]}. {escape(say(option, units))}</li>" for place, option in enumerate(each.options))
        asked = (
            f"<li><strong>{escape(each.stage)}</strong>{_table('', each.told, units)}{_drawn(each, f'paper-{each.id}')}"
            f'<p>{escape(each.ask)}</p>{f"<ul class=lettered>{options}</ul>" if options else ""}<p class="blank">Answer: ______________</p></li>'
        )
        first, rest = (asked, rest) if each.id == "wps" else (first, [*rest, asked])
    notes = "".join(f"<p>{escape(each)}</p>" for each in day.notes if day.own)
    begins = 2 if first else 1
    sheets = (
        f'<section class="paper"><h3>{escape(_heading(day, "Mock test day"))}</h3><p class="name-line">{NAME_LINE}</p>'
        f'<p class="advice">{STUDY_HELP}</p>{_table(_HANDED, day.wps, units)}<ol>{first}</ol></section>'
        f'<section class="paper"><h3>{escape(_heading(day, "Mock test day"))}</h3>{_table(_ISSUE_2, day.issue_2, units)}'
        f'<ol start="{begins}">{"".join(rest)}</ol>{notes}</section>'
    )
    if examiner:
        keys = "".join(
            f"<li><strong>{escape(each.stage)}</strong><br>{'<br>'.join(escape(line) for line in key_lines(each, units))}</li>"
            for each in day.decisions
        )
        sheets += (
            f'<section class="paper key"><h3>{escape(_heading(day, _EXAMINER))}</h3><p class="name-line">{NAME_LINE}</p>'
            f"<ol>{keys}</ol><p>Points in all: {len(day.decisions)}</p></section>"
        )
    made = escape(line_of_command(day, examiner, units))
    return f'<div class="papers">{sheets}<p class="made-by">Made by: <code>{made}</code></p></div>'


def _table(caption: str, told: Told, units: str) -> str:
    rows = "".join(f'<tr><th scope="row">{escape(label)}</th><td>{escape(say(said, units))}</td></tr>' for label, said in told)
    head = f"<caption>{escape(caption)}</caption>" if caption else ""
    return f'<table class="told">{head}<tbody>{rows}</tbody></table>' if told else ""


def day_document(day: Day, examiner: bool, units: str) -> str:
    """The day as a document of its own, for the command line."""
    return document(f"Mock test day, seed {day.seed}", day_html(day, examiner, units))


def day_of(seed: str, test: Record | None = None) -> Day:
    """The day of a seed. Raises `ValueError` with the reason in words."""
    return draw_day(seed.strip(), test)
