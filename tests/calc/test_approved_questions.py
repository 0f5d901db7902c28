"""Questions as approved: each form drawn from two seeds with its key, marked answers, slips, sets, the schedule, worksheets."""

from __future__ import annotations

import datetime
import json
import re

import pytest

from calc.catalogue import CALCULATORS
from calc.core.declare import InputError, phrase_text
from calc.practice import marking, pages, progress, schedule, slips, worksheet
from calc.practice.cli import questions_command, worksheet_command
from calc.practice.forms import CHAPTERS, all_forms
from calc.practice.questions import draw, in_order, tolerance_of
from calc.practice.schedule import Card, review
from calc.record.cli import judge_command
from calc.web import respond
from tests import approval

SEEDS = ("1", "7")
TODAY = "2026-03-02"
FORMS = {form.id: form for form in all_forms()}
SLOW = ("class-plan", "sheet-plan", "cut-list")
KINDS = {form.kind: form for form in reversed(all_forms())}


def asked(do: str, **request: object) -> dict:
    return json.loads(respond(json.dumps({"do": do, "today": TODAY, **request})))


@pytest.mark.parametrize("name", FORMS)
def test_each_question_and_its_key_are_as_approved(name):
    form, lines = FORMS[name], []
    for seed in SEEDS:
        question = draw(form, seed)
        shown = worksheet.printed(question, "both")
        lines += [f"seed {seed}, right {question.right}", *shown.ask, *(f"  {line}" for line in shown.lines), f"blank {shown.blank}"]
        lines += [f"key: {line}" for line in shown.key]
        lines.append(f"right: {phrase_text(marking.right_text(question), 'us')} || {phrase_text(marking.right_text(question), 'si')}")
        if form.kind == "number":
            lines.append(f"within {tolerance_of(question.asked, question.form.body.within):.5g}" if question.asked.kind else "in words")
        if form.kind == "number" and question.asked.kind:
            found = slips.candidates(question.result.calculator, question.result, question.asked, form.body.slips)
            lines += [f"  slip {each.amount:.5g}: {each.says}" for each in list(found)[:60]]
    if form.kind == "order":
        steps = list(range(len(form.body.steps)))
        for place in steps[:-1]:
            swapped = [*steps[:place], place + 1, place, *steps[place + 2 :]]
            lines.append(f"order {swapped}: {in_order(form.body, swapped)}")
    approval.check(f"questions/{form.chapter}.txt", name, lines)


@pytest.mark.parametrize("kind", KINDS)
def test_a_question_of_each_kind_on_the_page_is_as_approved(kind):
    question = draw(KINDS[kind], "3")
    lines = approval.markup_lines(pages.question_html(question, "q", "Question 1"))
    tries = [["1"], ["0"], ["0", "1"], ["2", "1", "0"], ["5 mm"], [question.asked.text("us")] if kind == "number" else ["1", "0", "2", "3"]]
    for answers in tries:
        try:
            marked = marking.mark(question, answers)
        except InputError as trouble:
            lines.append(f"{answers} refused: {trouble}")
            continue
        lines += [f"{answers}: {marked}, grade {marked.grade(True)} {marked.grade(False)}", *approval.markup_lines(pages.marked_html(question, marked, "q"))]
    approval.check("questions/pages.txt", kind, lines)


@pytest.mark.parametrize("calc", [each for each in CALCULATORS if each.id not in SLOW], ids=lambda calc: calc.id)
def test_trying_a_figure_first_is_as_approved(calc):
    opened = asked("try-open", calculator=calc.id, inputs={}, place="t")
    lines = approval.markup_lines(opened.pop("html", "")) if calc.id in ("groove", "current") else []
    lines.append(str({name: value for name, value in opened.items() if name != "html"}))
    for name in opened.get("names", [])[:3]:
        value = calc.answer()[name]
        lines.append(f"{name} within {marking.try_within(value)}")
        found = list(slips.candidates(calc, calc.answer(), value))[:25]
        lines += [f"  slip {each.amount:.5g}: {each.says}" for each in found]
        marked = asked("try-mark", calculator=calc.id, inputs={}, what=name, answer=value.text("us"), place="t")
        lines.append(f"  {value.text('us')}: {marked.get('spoken', marked.get('error'))}")
        lines.append(f"  {re.sub('<[^>]*>', ' ', marked.get('html', ''))[:260]}")
    approval.check("questions/tries.txt", calc.id, lines)


@pytest.mark.parametrize("name, request_", [
    ("menu", {"do": "practice-menu"}),
    ("daily", {"do": "practice-daily", "cards": {}, "size": 12}),
    ("daily, some known", {"do": "practice-daily", "size": 6, "chapters": ["groove", "cutting"], "cards": {
        form.id: {"ease": 2.5, "interval": 6, "in_a_row": 2, "due": day, "again": False, "seen": 3, "last": 5}
        for form, day in zip([form for form in all_forms() if form.chapter == "groove"], ("2026-03-01", "2026-03-02", "2026-03-09", "2026-06-09"))}}),
    ("mixed", {"do": "practice-mixed", "seed": "5", "size": 15}),
    ("oral without a seed", {"do": "practice-oral"}),
    ("linked, as many as may be", {"do": "practice-link", "fields": {"chapters": "groove", "count": "60"}}),
    ("linked without a seed", {"do": "practice-link", "fields": {"chapters": "groove", "count": "3"}}),
    ("daily with a clock that is off", {"do": "practice-daily", "size": 2, "cards": {
        name: {"ease": 2.5, "interval": 6, "in_a_row": 2, "due": "2027-03-01", "again": False, "seen": 3, "last": 5} for name in list(FORMS)[:2]}}),
    ("a long heading", {"do": "practice-question", "form": "groove-included-angle", "heading": "h" * 70}),
    ("a question without a seed", {"do": "practice-question", "form": "groove-included-angle"}),
    ("a place that is none", {"do": "practice-question", "form": "groove-included-angle", "place": "a b"}),
    ("a place of 80", {"do": "practice-question", "form": "groove-included-angle", "place": "a" * 80}),
    ("a place of 81", {"do": "practice-question", "form": "groove-included-angle", "place": "a" * 81}),
    ("mixed without a seed", {"do": "practice-mixed", "size": 2}),
    ("a slip", {"do": "practice-mark", "form": "groove-included-angle", "seed": "7", "answers": ["22.5"]}),
    ("right", {"do": "practice-mark", "form": "groove-included-angle", "seed": "7", "answers": ["45"], "unsure": True}),
    ("a seed that is none", {"do": "practice-mark", "form": "groove-included-angle", "seed": "a b", "answers": ["x"]}),
    ("had", {"do": "practice-grade", "form": "groove-included-angle", "grade": "had"}),
    ("missed", {"do": "practice-grade", "form": "groove-included-angle", "grade": "missed"}),
    ("a try that slips", {"do": "try-mark", "calculator": "groove", "inputs": {}, "what": "included_angle", "answer": "22.5"}),
    ("a try in words", {"do": "try-open", "calculator": "retest", "inputs": {}}),
    ("linked", {"do": "practice-link", "fields": {"chapters": "groove,bending", "count": "9", "seed": "4"}}),
    ("oral", {"do": "practice-oral", "seed": "2"}),
    ("no profile", {"do": "progress-standing", "profile": {"name": "Reader", "cards": {}, "read": {}}}),
    ("a profile", {"do": "progress-standing", "profile": {"name": "Reader", "read": {all_forms()[0].objective: "2026-02-01"}, "cards": {
        form.id: {"ease": 2.5, "interval": interval, "in_a_row": 2, "due": "2026-03-09", "again": False, "seen": 3, "last": last}
        for form, interval, last in zip(all_forms(), (1, 6, 5, 0, 9, 6, 12), (5, 3, 1, 4, 5, 2, 3))}}}),
    ("papers", {"do": "worksheet", "settings": {"seed": "8", "questions": 6, "papers": 1, "units": "both", "key": True}}),
], ids=lambda part: part if isinstance(part, str) else "")
def test_sets_and_standings_are_as_approved(name, request_):
    told = asked(**request_)
    lines = []
    for key, value in told.items():
        if key in ("html", "card"):
            value = value if key == "html" else str(value)
            lines += approval.markup_lines(value)
        elif isinstance(value, list):
            lines += [line for each in value for line in approval.wrapped([f"{key}: {json.dumps(each, ensure_ascii=False)[:600]}"], 300)]
        elif isinstance(value, dict):
            lines += [f"{key}.{part}: {json.dumps(each, ensure_ascii=False)}" for part, each in value.items()]
        else:
            lines.append(f"{key}: {value}")
    approval.check("questions/sets.txt", name, lines)


def test_the_schedule_is_as_approved():
    lines = []
    for grades in ((5, 5, 5, 5, 5), (3, 4, 5, 3, 5), (4, 4, 4, 4, 4), (5, 2, 3, 5, 1), (0, 5, 5, 5, 2), (3, 3, 3, 5, 5)):
        card, today = Card(), TODAY
        for grade in grades:
            card = review(card, grade, today)
            lines.append(f"{grade} on {today}: {progress.card_data(card)}, off {schedule.clock_is_off(card, '2026-01-01')}")
            today = max(card.due, today)
    for days in (1, 31, 32, 33, 37, 38, 39, 3650):
        card = Card(interval=6, due=str(datetime.date(2026, 3, 2) + datetime.timedelta(days)))
        lines.append(f"{days} days ahead: {schedule.clock_is_off(card, TODAY)}, due {schedule.is_due(card, TODAY)}, next {schedule.days_until_next({'a': card}, TODAY)}")
    approval.check("questions/schedule.txt", "grades", lines)


@pytest.mark.parametrize("chapter", CHAPTERS)
def test_worksheets_and_the_command_line_are_as_approved(chapter, capsys):
    most = len(all_forms([chapter]))
    lines = []
    for arguments in (["--seed", "3", "--questions", str(min(4, most)), "--chapter", chapter, "--key"], ["--chapter", chapter, "--questions", "0"]):
        code = worksheet_command(arguments)
        out = capsys.readouterr()
        lines += [f"{arguments}: exit code {code}", *out.out.split("\n"), *out.err.split("\n")]
    code = questions_command([chapter, "--show", "1"])
    lines += [f"exit code {code}", *capsys.readouterr().out.split("\n")]
    approval.check("questions/worksheets.txt", chapter, lines)


@pytest.mark.parametrize("arguments", [["--help"], ["--units"], ["--units", "feet"], ["--papers", "0"], ["--papers", "61"], ["--seed", "a b"],
                                       ["--html", "--questions", "2", "--units", "si"], ["what"], ["--papers", "2", "--questions", "2"], ["--questions", "1"],
                                       ["--questions", "41"], ["--questions", "40"], ["--chapter", "x" * 60], ["--seed", "a" * 40, "--questions", "1"], ["--seed", "a" * 41],
                                       ["--papers", "60", "--questions", "1", "--chapter", "heat"], ["--papers", "10000"], ["--key", "--units", "both", "--questions", "9", "--seed", "4"],
                                       ["--chapter", "groove,heat", "--questions", "3"]], ids=lambda arguments: " ".join(arguments)[:40])
def test_what_the_command_for_worksheets_says_is_as_approved(arguments, capsys):
    code = worksheet_command(arguments)
    out = capsys.readouterr()
    approval.check("questions/command-line.txt", " ".join(arguments), [f"exit code {code}", *approval.wrapped(out.out.split("\n")), *out.err.split("\n")])


@pytest.mark.parametrize("arguments", [["--show"], ["--show", "0"], ["--show", "51"], ["--show", "x"], ["nowhere"], []], ids=lambda arguments: " ".join(arguments) or "none")
def test_what_the_command_for_questions_says_is_as_approved(arguments, capsys):
    code = questions_command(arguments)
    out = capsys.readouterr()
    approval.check("questions/command-line.txt", f"questions {' '.join(arguments)}", [f"exit code {code}", *out.out.split("\n"), *out.err.split("\n")])


@pytest.mark.parametrize("arguments", [["--help"], [], ["a", "b"], ["--today"], ["--today", "soon"], ["no-such-file.json"]], ids=lambda arguments: " ".join(arguments) or "none")
def test_what_the_command_for_records_says_is_as_approved(arguments, capsys):
    code = judge_command(arguments)
    out = capsys.readouterr()
    approval.check("questions/command-line.txt", f"judge {' '.join(arguments)}", [f"exit code {code}", *out.out.split("\n"), *out.err.split("\n")])
