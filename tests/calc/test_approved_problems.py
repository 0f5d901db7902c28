"""What is said of question files that an instructor got wrong: each line of a sound file left out, doubled or given another kind.

`tests/practice/test_forms.py` checks the words for the usual slips; here every line of a question of each kind is touched.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from calc.practice.forms import CHAPTERS, QuestionError, all_forms, check, file_text, read, stepped, written_amount
from tests import approval

KINDS = {form.kind: form for form in reversed(all_forms())}


def question_text(form) -> str:
    """The text of one question in its file."""
    blocks = re.split(r"(?m)^(?=\[\[question\]\])", file_text(form.chapter))
    return f'chapter = "{form.chapter}"\n\n' + next(block for block in blocks if f'id = "{form.id}"' in block)


def told(text: str, chapter: str) -> list[str]:
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
                    part for place, part in enumerate(short) if not part.startswith(line) or place < 4)


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_said_of_a_wrong_question_is_as_approved(kind):
    form = KINDS[kind]
    text, lines = question_text(form), []
    for what, changed in changes(text):
        lines += [f"- {what}", *(f"  {each}" for each in told(changed, form.chapter))]
    approval.check("questions/problems.txt", kind, lines)


def test_what_is_said_of_a_file_that_is_no_question_file_is_as_approved():
    texts = {
        "nothing": "", "no TOML": "a = = 1", "a chapter alone": 'chapter = "groove"', "deep": f'chapter = "groove"\na = {"[" * 2000}\nb = [', "many digits": f"a = 1\nb = {'9' * 5000}",
        "another chapter": 'chapter = "cutting"', "no list": 'chapter = "groove"\nquestion = 3', "an empty one": 'chapter = "groove"\n[[question]]',
    }
    approval.check("questions/problems.txt", "files", [line for name, text in texts.items() for line in (f"- {name}", *told(text, "groove"))])


@pytest.mark.parametrize("chapter", CHAPTERS)
def test_a_chapter_whose_every_second_value_is_doubled_is_told_as_approved(chapter):
    """Ids and texts that stand twice, and a calculator's name that is wrong, in a whole file."""
    text = file_text(chapter)
    twice = text + "\n" + "\n".join(re.split(r"(?m)^(?=\[\[question\]\])", text)[1:3])
    wrong = text.replace('calculator = "', 'calculator = "x', 2).replace('objective = "', 'objective = "x', 1)
    lines = ["- twice", *told(twice, chapter), "- wrong names", *told(wrong, chapter)]
    approval.check("questions/problems.txt", chapter, lines)


@pytest.mark.parametrize("groups", ["[]", "[[1, 2]]", "[[1]]", "[[2, 1]]", "[[1, 3]]", "[[0, 1]]", "[[1, 2], [3, 4]]", "[[1, 2], [2, 3]]", "[[1, 9]]", "[[1, 1]]", "3", '[["1", "2"]]', "[[]]", "[[1, 2, 3]]"])
def test_steps_in_any_order_are_told_as_approved(groups):
    form = KINDS["order"]
    text = re.sub(r"(?m)^any_order.*\n", "", question_text(form)).replace("steps = [", f"any_order = {groups}\nsteps = [")
    approval.check("questions/problems.txt", f"any order {groups}", told(text, form.chapter))


def test_stepped_ranges_and_written_amounts_are_as_approved():
    lines = []
    for ends in (("1/4 in", "1 in", "1/4 in"), ("0 in", "2 in", "1/2 in"), ("1 in", "3-1/2 in", "1/2 in"), ("10 mm", "12 mm", "0.5 mm"), ("10", "30", "10"),
                 ("0 in", "1 in", "1/99 in"), ("0 in", "1 in", "1/100 in"), ("0.1 in", "0.3 in", "0.1 in"), ("1/64 in", "3/64 in", "1/64 in"), ("-10 degF", "10 degF", "10 degF"),
                 ("0 in", "1 in", "0 in"), ("0 in", "1 in", "-1 in"), ("1 in", "1 in", "1 in"), ("a", "b", "c")):
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
    approval.check("questions/problems.txt", "amounts", lines)
