"""Questions as approved: right answers, keys, marked answers, slips, sets, the schedule, worksheets, faulty files.

The questions' own words stand in their files and are not repeated here.
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Iterator

from calc.catalogue import CALCULATORS
from calc.core.declare import InputError, phrase_text
from calc.practice import marking, pages, progress, schedule, slips, worksheet
from calc.practice.cli import questions_command, worksheet_command
from calc.practice.forms import CHAPTERS, QuestionError, all_forms, check, file_text, read, stepped, written_amount
from calc.practice.questions import draw, in_order, tolerance_of
from calc.practice.schedule import Card, review
from calc.classroom.cli import judge_command
from calc.web import respond
from tests import approval

TODAY = "2026-03-02"
FORMS = {form.id: form for form in all_forms()}
KINDS = {form.kind: form for form in reversed(all_forms())}
TRIED = ("hot-work", "groove", "current", "bend-ratio", "retest", "continuity", "heat-input")


def asked(do: str, **request: object) -> dict:
    return json.loads(respond(json.dumps({"do": do, "today": TODAY, **request})))


def drawn(form: object, seed: str) -> list[str]:
    """A question's right answer, in words and by place, and how far off it may be."""
    question = draw(form, seed)
    right = " | ".join(dict.fromkeys(phrase_text(marking.right_text(question), system) for system in ("us", "si")))
    lines = [f"seed {seed}: right {question.right}, {right[:150]}"]
    if form.kind == "number" and question.asked.kind:
        found = list(slips.candidates(question.result.calculator, question.result, question.asked, form.body.slips))
        lines.append(
            f"  within {tolerance_of(question.asked, form.body.within):.5g}; {len(found)} slips: "
            f"{', '.join(f'{each.amount:.5g}' for each in found[:8])}"
        )
    if form.kind == "order":
        steps = list(range(len(form.body.steps)))
        swaps = [
            place
            for place in steps[:-1]
            if in_order(form.body, [*steps[:place], place + 1, place, *steps[place + 2 :]])
        ]
        lines.append(f"  steps that may change places with the next: {swaps}")
    return lines


def test_the_right_answers_are_as_approved():
    """Of each form two seeds; of the first form of each kind the whole question as it is printed, with its key."""
    told = {
        name: [line for seed in ("1", "7")[form.kind != "number" :] for line in drawn(form, seed)]
        for name, form in FORMS.items()
    }
    for form in KINDS.values():
        for seed in ("1", "7"):
            shown = worksheet.printed(draw(form, seed), "both")
            told[form.id] += [
                *shown.ask,
                *(f"  {line}" for line in shown.lines),
                f"blank {shown.blank}",
                *(f"key: {line}" for line in shown.key),
            ]
    approval.check("questions/answers.txt", approval.parts(told))


def test_questions_of_each_kind_on_the_page_are_as_approved():
    told = {}
    for kind, form in KINDS.items():
        question = draw(form, "3")
        told[kind] = approval.page_lines(pages.question_html(question, "q", "Question 1"))
        right = [question.asked.text("us")] if kind == "number" else ["1", "0", "2", "3"]
        for answers in (["1"], ["0"], ["0", "1"], ["2", "1", "0"], ["5 mm"], right):
            try:
                marked = marking.mark(question, answers)
            except InputError as trouble:
                told[kind].append(f"{answers} refused: {trouble}")
                continue
            told[kind].append(f"{answers}: {marked.right}, grade {marked.grade(True)} {marked.grade(False)}")
            told[kind] += approval.page_lines(pages.marked_html(question, marked, "q"))
    approval.check("questions/pages.txt", approval.parts(told))


def test_trying_a_figure_first_is_as_approved():
    told = {}
    for calc in CALCULATORS:
        if calc.id not in TRIED:
            continue
        opened = asked("try-open", calculator=calc.id, inputs={}, place="t")
        lines = approval.page_lines(opened.pop("html", "")) if calc.id == "groove" else []
        lines.append(str({name: value for name, value in opened.items() if name != "html"}))
        for name in opened.get("names", [])[:2]:
            value = calc.answer()[name]
            lines.append(f"{name} within {marking.try_within(value)}")
            lines += [
                f"  slip {each.amount:.5g}: {each.says}"
                for each in list(slips.candidates(calc, calc.answer(), value))[:20]
            ]
            marked = asked("try-mark", calculator=calc.id, inputs={}, what=name, answer=value.text("us"), place="t")
            lines.append(f"  {value.text('us')}: {marked.get('spoken', marked.get('error'))}")
            lines += [f"  {line}" for line in approval.page_lines(marked.get("html", ""))[:6]]
        told[calc.id] = lines
    approval.check("questions/tries.txt", approval.parts(told))


REQUESTS = [
    ("menu", {"do": "practice-menu"}),
    ("daily", {"do": "practice-daily", "cards": {}, "size": 12}),
    (
        "daily, some known",
        {
            "do": "practice-daily",
            "size": 6,
            "chapters": ["groove", "cutting"],
            "cards": {
                form.id: {"ease": 2.5, "interval": 6, "in_a_row": 2, "due": day, "again": False, "seen": 3, "last": 5}
                for form, day in zip(
                    [form for form in all_forms() if form.chapter == "groove"],
                    ("2026-03-01", "2026-03-02", "2026-03-09", "2026-06-09"),
                )
            },
        },
    ),
    ("mixed", {"do": "practice-mixed", "seed": "5", "size": 15}),
    ("oral without a seed", {"do": "practice-oral"}),
    ("linked, as many as may be", {"do": "practice-link", "fields": {"chapters": "groove", "count": "60"}}),
    ("linked without a seed", {"do": "practice-link", "fields": {"chapters": "groove", "count": "3"}}),
    (
        "daily with a clock that is off",
        {
            "do": "practice-daily",
            "size": 2,
            "cards": {
                name: {
                    "ease": 2.5,
                    "interval": 6,
                    "in_a_row": 2,
                    "due": "2027-03-01",
                    "again": False,
                    "seen": 3,
                    "last": 5,
                }
                for name in list(FORMS)[:2]
            },
        },
    ),
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
    (
        "a try that slips",
        {"do": "try-mark", "calculator": "groove", "inputs": {}, "what": "included_angle", "answer": "22.5"},
    ),
    ("a try in words", {"do": "try-open", "calculator": "retest", "inputs": {}}),
    ("linked", {"do": "practice-link", "fields": {"chapters": "groove,bending", "count": "9", "seed": "4"}}),
    ("oral", {"do": "practice-oral", "seed": "2"}),
    ("no profile", {"do": "progress-standing", "profile": {"name": "Reader", "cards": {}, "read": {}}}),
    (
        "a profile",
        {
            "do": "progress-standing",
            "profile": {
                "name": "Reader",
                "read": {all_forms()[0].objective: "2026-02-01"},
                "cards": {
                    form.id: {
                        "ease": 2.5,
                        "interval": interval,
                        "in_a_row": 2,
                        "due": "2026-03-09",
                        "again": False,
                        "seen": 3,
                        "last": last,
                    }
                    for form, interval, last in zip(all_forms(), (1, 6, 5, 0, 9, 6, 12), (5, 3, 1, 4, 5, 2, 3))
                },
            },
        },
    ),
    (
        "papers",
        {"do": "worksheet", "settings": {"seed": "8", "questions": 6, "papers": 1, "units": "both", "key": True}},
    ),
]


def test_sets_and_standings_are_as_approved():
    parts = {}
    for name, request in REQUESTS:
        lines = parts.setdefault(name, [])
        for key, value in asked(**request).items():
            if key in ("html", "card"):
                lines += approval.page_lines(str(value))
            elif isinstance(value, list):
                lines += [f"{key}: {json.dumps(each, ensure_ascii=False)[:100]}" for each in value[:12]]
                lines += [f"{key}: {len(value)} in all"]
            elif isinstance(value, dict):
                lines += [f"{key}.{part}: {json.dumps(each, ensure_ascii=False)[:200]}" for part, each in value.items()]
            else:
                lines.append(f"{key}: {value}")
    approval.check("questions/sets.txt", approval.parts(parts))


def test_the_schedule_is_as_approved():
    lines = []
    for grades in (
        (5, 5, 5, 5, 5),
        (3, 4, 5, 3, 5),
        (4, 4, 4, 4, 4),
        (5, 2, 3, 5, 1),
        (0, 5, 5, 5, 2),
        (3, 3, 3, 5, 5),
    ):
        card, today = Card(), TODAY
        for grade in grades:
            card = review(card, grade, today)
            lines.append(
                f"{grade} on {today}: {progress.card_data(card)}, off {schedule.clock_is_off(card, '2026-01-01')}"
            )
            today = max(card.due, today)
    for days in (1, 31, 32, 33, 37, 38, 39, 3650):
        card = Card(interval=6, due=str(datetime.date(2026, 3, 2) + datetime.timedelta(days)))
        due, until = schedule.is_due(card, TODAY), schedule.days_until_next({"a": card}, TODAY)
        lines.append(f"{days} days ahead: {schedule.clock_is_off(card, TODAY)}, due {due}, next {until}")
    approval.check("questions/schedule.txt", lines)


WORKSHEETS = (
    ["--seed", "3", "--questions", "4", "--chapter", "groove", "--key"],
    ["--chapter", "heat", "--questions", "0"],
    ["--help"],
    ["--units"],
    ["--units", "feet"],
    ["--papers", "0"],
    ["--papers", "61"],
    ["--seed", "a b"],
    ["--html", "--questions", "1", "--units", "si"],
    ["what"],
    ["--papers", "2", "--questions", "1"],
    ["--questions", "41"],
    ["--chapter", "x" * 60],
    ["--seed", "a" * 40, "--questions", "1"],
    ["--seed", "a" * 41],
    ["--papers", "10000"],
    ["--key", "--units", "both", "--questions", "3", "--seed", "4"],
    ["--chapter", "groove,heat", "--questions", "2"],
)
QUESTIONS = (["groove", "--show", "1"], ["--show"], ["--show", "0"], ["--show", "51"], ["--show", "x"], ["nowhere"], [])
RECORDS = (["--help"], [], ["a", "b"], ["--today"], ["--today", "soon"], ["no-such-file.json"])


def test_what_the_commands_say_is_as_approved(capsys):
    told = {}
    for name, command, many in (
        ("worksheet", worksheet_command, WORKSHEETS),
        ("questions", questions_command, QUESTIONS),
        ("judge", judge_command, RECORDS),
    ):
        for arguments in many:
            code = command(arguments)
            out = capsys.readouterr()
            lines = approval.page_lines(out.out) if "--html" in arguments else out.out.split("\n")
            lines = [*lines[:70], f"({len(lines) - 70} lines more)"] if len(lines) > 70 else lines
            told[f"{name} {' '.join(arguments)}"] = [f"exit code {code}", *lines, *out.err.split("\n")]
    approval.check("questions/commands.txt", approval.parts(told))


# --- files that somebody got wrong ---------------------------------------------------------


def question_text(form) -> str:
    """The text of one question in its file."""
    blocks = re.split(r"(?m)^(?=\[\[question\]\])", file_text(form.chapter))
    return f'chapter = "{form.chapter}"\n\n' + next(block for block in blocks if f'id = "{form.id}"' in block)


def problems_of(text: str, chapter: str) -> list[str]:
    try:
        found = [str(problem) for form in read(text, f"{chapter}.toml") for problem in check(form)]
    except QuestionError as trouble:
        found = [str(problem) for problem in trouble.problems]
    # The reader of TOML has its own words in each version of Python.
    return [re.sub(r"(this is not TOML: ).*", r"\1(why)", each)[:220] for each in found] or ["no problem"]


def changes(text: str) -> Iterator[tuple[str, str]]:
    """What an instructor may do to a file: (what was done, the text)."""
    lines = text.split("\n")
    for number, line in enumerate(lines):
        before, after = lines[:number], lines[number + 1 :]
        shown = f"line {number + 1}, {line[:40]}"
        yield f"without {shown}", "\n".join([*before, *after])
        if "=" in line and '"""' not in line:
            key = line.partition("=")[0].rstrip()
            for value in ("7", '""', "true", '["x"]', '"x"', '{ a = "b" }', '"<b>"', "[1]", "[]", '"{"'):
                yield f"{key} = {value} in {shown}", "\n".join([*before, f"{key} = {value}", *after])
            yield f"{shown} misspelled", "\n".join([*before, f"{key}z = 1", line, *after])
        elif line.startswith("[["):
            yield f"{shown} twice", "\n".join([*before, line, *after, line])
            block = re.split(r"(?m)^(?=\[)", "\n".join(lines[number:]))[0]
            if line != "[[question]]":
                for times in (1, 2, 3, 4, 6):
                    more = "\n".join(re.sub(r'text = "', f'text = "{each} ', block) for each in range(times))
                    yield f"{shown} {times} times more", f"{text}\n{more}"
                yield f"{shown} with the same text", f"{text}\n{block}"
                parts = re.split(r"(?m)^(?=\[\[)", text)
                first = next(place for place, part in enumerate(parts) if part.startswith(line))
                for kept in range(1, len(parts) - first):
                    yield f"the first {kept} of {line}", "".join(parts[: first + kept])
                short = [part for part in re.split(r"(?m)^(?=\[)", text)]
                yield f"all {line} after the second left out", "".join(
                    part for place, part in enumerate(short) if not part.startswith(line) or place < 4
                )


def test_what_is_said_of_wrong_questions_is_as_approved():
    """Each line of a sound file left out, doubled or given another kind.

    `tests/practice/test_forms.py` checks the usual slips.
    """
    pairs = []
    for kind, form in KINDS.items():
        pairs += [
            (f"{kind}: {what}", each)
            for what, text in changes(question_text(form))
            for each in problems_of(text, form.chapter)
        ]
    # One case of each kind of question tells enough of an outcome.
    first = {
        (re.sub("[0-9]+", "#", outcome), what.partition(":")[0]): (what, outcome) for what, outcome in reversed(pairs)
    }
    approval.check("questions/wrong.txt", approval.grouped(reversed(first.values())))


def test_what_is_said_of_wrong_files_is_as_approved():
    texts = {
        "nothing": "",
        "no TOML": "a = = 1",
        "a chapter alone": 'chapter = "groove"',
        "deep": f'chapter = "groove"\na = {"[" * 2000}\nb = [',
        "many digits": f"a = 1\nb = {'9' * 5000}",
        "another chapter": 'chapter = "cutting"',
        "no list": 'chapter = "groove"\nquestion = 3',
        "an empty one": 'chapter = "groove"\n[[question]]',
    }
    told = {name: problems_of(text, "groove") for name, text in texts.items()}
    for chapter in list(CHAPTERS)[:2]:
        text = file_text(chapter)
        twice = text + "\n" + "\n".join(re.split(r"(?m)^(?=\[\[question\]\])", text)[1:3])
        wrong = text.replace('calculator = "', 'calculator = "x', 2).replace('objective = "', 'objective = "x', 1)
        told |= {
            f"{chapter}, two questions twice": problems_of(twice, chapter),
            f"{chapter}, wrong names": problems_of(wrong, chapter),
        }
    form = KINDS["order"]
    for groups in (
        "[]",
        "[[1, 2]]",
        "[[1]]",
        "[[2, 1]]",
        "[[1, 3]]",
        "[[0, 1]]",
        "[[1, 2], [3, 4]]",
        "[[1, 2], [2, 3]]",
        "[[1, 9]]",
        "[[1, 1]]",
        "3",
        '[["1", "2"]]',
        "[[]]",
        "[[1, 2, 3]]",
    ):
        text = re.sub(r"(?m)^any_order.*\n", "", question_text(form)).replace(
            "steps = [", f"any_order = {groups}\nsteps = ["
        )
        told[f"any order {groups}"] = problems_of(text, form.chapter)
    approval.check("questions/wrong-files.txt", approval.parts(told))


def test_stepped_ranges_and_written_amounts_are_as_approved():
    lines = []
    for ends in (
        ("1/4 in", "1 in", "1/4 in"),
        ("0 in", "2 in", "1/2 in"),
        ("1 in", "3-1/2 in", "1/2 in"),
        ("10 mm", "12 mm", "0.5 mm"),
        ("10", "30", "10"),
        ("0 in", "1 in", "1/99 in"),
        ("0 in", "1 in", "1/100 in"),
        ("0.1 in", "0.3 in", "0.1 in"),
        ("1/64 in", "3/64 in", "1/64 in"),
        ("-10 degF", "10 degF", "10 degF"),
        ("0 in", "1 in", "0 in"),
        ("0 in", "1 in", "-1 in"),
        ("1 in", "1 in", "1 in"),
        ("a", "b", "c"),
    ):
        try:
            lines.append(f"{ends}: {' '.join(stepped(*ends))[:200]}")
        except ValueError as trouble:
            lines.append(f"{ends} refused: {trouble}")
    for text in ("3/8 in", "70 degF", "5", "5 stone", "x", "12 %", "1-1/2 in", "10 mm/s", "36 ksi", "3 min", "2 h"):
        try:
            amount = written_amount(text)
            lines.append(f"{text}: {amount.text('us')} || {amount.text('si')}")
        except ValueError as trouble:
            lines.append(f"{text} refused: {trouble}")
    approval.check("questions/amounts.txt", lines)


def test_what_is_said_of_a_damaged_progress_file_is_as_approved():
    card = {"ease": 2.5, "interval": 6, "in_a_row": 2, "due": "2026-03-09", "again": False, "seen": 3, "last": 5}
    profile = {"name": "Reader", "cards": {"groove-face-width": card}, "read": {"groove-width": "2026-03-01"}}
    whole = {"format": progress.FORMAT, "version": progress.VERSION, "profiles": [profile], "active": 0}
    files = {"whole": whole}
    for name in whole:
        files |= {
            f"without {name}": {key: each for key, each in whole.items() if key != name},
            **{f"{name} = {value!r:.30}": {**whole, name: value} for value in (None, -1, 1, "x" * 60, [], {}, True)},
        }
    for many in (60, 61):
        files[f"{many} profiles"] = {**whole, "profiles": [profile] * many, "active": many - 1}
    for long in (0, 40, 41):
        files[f"a name of {long}"] = {**whole, "profiles": [{**profile, "name": "n" * long}]}
    for name in profile:
        files |= {
            f"profile {name} = {value!r:.30}": {**whole, "profiles": [{**profile, name: value}]}
            for value in (
                None,
                3,
                "x",
                [],
                {},
                {"A b": card},
                {"a-b": "2026-02-30"},
                {"a" * 90: "2026-03-01"},
                {"a-b": "x" * 90},
            )
        }
        files[f"profile without {name}"] = {
            **whole,
            "profiles": [{key: each for key, each in profile.items() if key != name}],
        }
    for name, values in {
        "ease": (1.2, 1.29, 1.3, 5, 9, 10, 11, 100, "x", True),
        "interval": (-1, 0, 3650, 3651, 1.5),
        "in_a_row": (-1, 0, 10_000, 10_001, 100_000, 100_001, 1_000_001),
        "due": ("", "2026-3-1", "9999-12-31", 5),
        "again": (0, None, True),
        "seen": (-1, 0, 100_000, 100_001, 1_000_000, 1_000_001),
        "last": (-1, 0, 5, 6),
        "more": (1,),
    }.items():
        files |= {
            f"card {name} = {value!r}": {**whole, "profiles": [{**profile, "cards": {"a-b": {**card, name: value}}}]}
            for value in values
        }
    for many in (5000, 5001):
        files[f"{many} cards"] = {
            **whole,
            "profiles": [{**profile, "cards": {f"a-{number}": card for number in range(many)}}],
        }
    pairs = []
    for name, data in files.items():
        try:
            state = progress.read_state(json.dumps(data))
            card_of = [str(card)[:90] for one in state.profiles[:1] for card in list(one.cards.values())[:1]]
            pairs.append((name, f"read, {len(state.profiles)} {state.active} {card_of}"))
        except progress.StateError as trouble:
            pairs.append((name, str(trouble)))
    for text in ("", "[]", "{", "[" * 3000, " " * 4_000_001):
        try:
            pairs.append((f"{text[:5]!r}", str(progress.read_state(text))))
        except progress.StateError as trouble:
            pairs.append((f"{text[:5]!r}", str(trouble)))
    pairs += [(str(data)[:40], str(progress.read_card(data))) for data in (None, card, {"due": "2026-03-02"})]
    approval.check("questions/progress.txt", approval.grouped(pairs))
