"""The command line of practice: check the question files, print worksheets.

    python -m calc questions                          check every question file
    python -m calc questions groove --show 3          check one, and print three questions of each form
    python -m calc questions --folder local/questions  check the files of a shop; worksheet takes --folder too
    python -m calc worksheet --seed 7 --papers 30     thirty different worksheets; --key adds their answer keys
    python -m calc mock-day --seed 7 --examiner       a mock test day, with the examiner's sheet
    python -m calc practice-plan --simulate           what the plan is worth for simulated learners

Exit code 0 where all is well, 1 for question files with problems, 2 for a command that cannot be used.
"""

from __future__ import annotations

import sys
from pathlib import Path

from calc.cli import refuse
from calc.core.declare import InputError, phrase_text
from calc.practice import forms, oral, own as own_questions, questions, worksheet
from calc.practice.forms import CHAPTERS, Form


def questions_command(arguments: list[str]) -> int:
    """Check question files; `--show N` prints N drawn questions of every form."""
    show, own = 0, False
    chapters: list[str] = []
    rest = list(arguments)
    while rest:
        word = rest.pop(0)
        if word == "--folder":
            if (told := _take_folder(rest.pop(0) if rest else "")) is not None:
                return told
            own = True
        elif word == "--show":
            text = rest.pop(0) if rest else ""
            if not text.isdecimal() or not 1 <= int(text) <= 50:
                return refuse("--show needs a whole number from 1 to 50")
            show = int(text)
        elif word in CHAPTERS:
            chapters.append(word)
        else:
            return refuse(f"“{word}” is not a chapter; there are {', '.join(CHAPTERS)}")
    found = forms.problems(chapters)
    for problem in found:
        print(problem, file=sys.stderr)
    if found:
        return 1
    listed = [form for form in forms.all_forms(chapters) if form.shop or not own]
    for form in listed if show else ():
        _print_form(form, show)
    kinds = ", ".join(f"{sum(form.kind == kind for form in listed)} {kind}" for kind in forms.KINDS)
    print(f"{len(listed)} question forms, no problem found: {kinds}.")
    return 0


def _take_folder(name: str) -> int | None:
    """Take the questions in a folder of a shop; the exit code where they can't be used."""
    folder = Path(name)
    if not name or not folder.is_dir():
        return refuse(f"--folder needs a folder after it; “{name}” is none")
    found = own_questions.read_own(folder_files(folder))
    for problem in found.problems:
        print(problem, file=sys.stderr)
    if found.problems:
        return 1
    if not found.forms:
        return refuse(f"“{name}” holds no file of questions")
    own_questions.take(found)
    return None


def folder_files(folder: Path) -> dict[str, bytes]:
    """The files of a folder by name, those left out that computers put there themselves."""
    return {
        path.name: path.read_bytes() if path.is_file() else b"" for path in sorted(folder.iterdir())
        if not path.name.startswith(".") and path.name.lower() not in ("thumbs.db", "desktop.ini")
    }


def _print_form(form: Form, count: int) -> None:
    shop = f", question of {form.shop}" if form.shop else ""
    print(f"== {form.id} ({form.kind}, objective {form.objective}{shop})")
    for seed in range(count):
        question = questions.draw(form, seed)
        print(f"  {seed}. {phrase_text(question.text, 'us')}")
        if form.kind == "hazard":
            print(f"     {phrase_text(questions.phrase(form.body.scene), 'us')}")
        try:
            _print_answer(form, question)
        except InputError as trouble:
            print(f"     REFUSED by the calculator: {trouble}")
    print()


def _print_answer(form: Form, question: questions.Question) -> None:
    if form.kind == "number":
        value = question.asked
        print(f"     = {value.text('us')} / {value.text('si')}  ({value.label}; within {form.body.within})")
        for step in questions.worked_steps(question):
            print(f"       {step.letters()} ; {step.numbers('us')}")
        return
    for place, line in enumerate(question.lines):
        mark = question.right.index(place) + 1 if form.kind == "order" else ("*" if place in question.right else " ")
        print(f"     {mark} {phrase_text(line, 'us')}")


_WORKSHEET_HELP = """python -m calc worksheet --seed 7 --papers 30 --questions 12 --chapter cutting --key

  --seed TEXT       decides the worksheets; the same seed gives the same worksheets anywhere
  --papers N        how many different worksheets (default 1)
  --questions N     questions on each (default 12)
  --chapter NAME    only this chapter; may be given several times
  --units us|si|both
  --folder NAME     questions of a shop too, from its folder
  --key             add an answer key behind each worksheet
  --oral            a mock oral: a spoken question a chapter; --key adds the instructor's sheet
  --html            a document to print, not plain text"""


def worksheet_command(arguments: list[str]) -> int:
    """Print worksheets and, with `--key`, the answer key of each."""
    given: dict[str, object] = {"chapters": []}
    html = spoken = False
    rest = list(arguments)
    while rest:
        word = rest.pop(0)
        if word in ("--help", "-h"):
            print(_WORKSHEET_HELP)
            return 0
        if word == "--key":
            given["key"] = True
        elif word == "--oral":
            spoken = True
        elif word == "--html":
            html = True
        elif word == "--folder":
            if (told := _take_folder(rest.pop(0) if rest else "")) is not None:
                return told
        elif word in ("--seed", "--papers", "--questions", "--chapter", "--units"):
            if not rest:
                return refuse(f"{word} needs a value after it")
            text = rest.pop(0)
            if word == "--chapter":
                given["chapters"] += text.split(",")
            else:
                given[word[2:]] = text
        else:
            return refuse(f"“{word}” is not an option here; see python -m calc worksheet --help")
    try:
        settings = worksheet.settings_of(given)
    except worksheet.WorksheetError as trouble:
        return refuse(str(trouble))
    if spoken:
        print(oral.oral_document(settings) if html else oral.oral_text(settings))
    else:
        print(worksheet.as_document(settings) if html else worksheet.as_text(settings))
    return 0


_DAY_HELP = """python -m calc mock-day --seed 7 --examiner --system si --test my-test.json

  --seed TEXT       decides the day; the same seed gives the same day anywhere
  --examiner        add the examiner's sheet: the key, the reasons and the points
  --system us|si|both
  --test FILE       the day of your own test, not a drawn one
  --html            a document to print, not plain text"""


def mock_day_command(arguments: list[str]) -> int:
    """Print a mock test day."""
    from calc.classroom.cli import bytes_of
    from calc.core.texts import text_of
    from calc.practice import mock_day_sheet
    from calc.record.files import read_record

    given, rest = {"--seed": "1", "--system": "us", "--test": ""}, list(arguments)
    flags: set[str] = set()
    while rest:
        word = rest.pop(0)
        if word in ("--help", "-h"):
            print(_DAY_HELP)
            return 0
        if word in ("--examiner", "--html"):
            flags.add(word)
        elif word in given and rest:
            given[word] = rest.pop(0)
        else:
            return refuse(f"{word} needs a value after it" if word in given else
                f"“{word}” is not an option here; see python -m calc mock-day --help")
    if given["--system"] not in worksheet.UNITS:
        return refuse(f"system: write {', '.join(worksheet.UNITS)}")
    try:
        test = read_record(text_of(bytes_of(Path(given["--test"])))) if given["--test"] else None
        if test is not None and test.kind != "plate-test":
            return refuse(f"{given['--test']}: this is a {test.form.title.lower()}, not a test")
        day = mock_day_sheet.day_of(given["--seed"], test)
    except ValueError as trouble:
        return refuse(str(trouble))
    printed = mock_day_sheet.day_document if "--html" in flags else mock_day_sheet.day_text
    print(printed(day, "--examiner" in flags, given["--system"]))
    return 0


_PLAN_HELP = """python -m calc practice-plan --simulate --seeds 10 --days 21 --minutes 15

  --simulate        simulated learners who forget by a model that the plan does not know
  --seeds N         how many learners (default 10)
  --days N          days to the test; may be given several times (default 7, 21 and 42)
  --minutes N       minutes a day; may be given several times (default 15 and 30)"""


def plan_command(arguments: list[str]) -> int:
    """Print what simulated learners know on the test day, by the plan, by the older rule and by an ideal."""
    from calc.practice import memory, simulate

    given: dict[str, list[int]] = {"--seeds": [], "--days": [], "--minutes": []}
    rest, wanted = list(arguments), False
    while rest:
        word = rest.pop(0)
        if word == "--simulate":
            wanted = True
            continue
        if word not in given:
            print(_PLAN_HELP)
            return 0 if word in ("--help", "-h") else 2
        text = rest.pop(0) if rest else ""
        most = {"--seeds": 1000, "--days": 365, "--minutes": 240}[word]
        if not text.isdecimal() or not 1 <= int(text) <= most:
            return refuse(f"{word} needs a whole number from 1 to {most}")
        given[word].append(int(text))
    if not wanted:
        print(_PLAN_HELP)
        return 2
    seeds = (given["--seeds"] or [simulate.SEEDS])[-1]
    print("Expected share of the objectives known on the test day, mean of", seeds, "simulated learners")
    print("days  minutes    plan  older rule   ideal  plan of ideal")
    for days in given["--days"] or simulate.DAYS:
        for minutes in given["--minutes"] or simulate.MINUTES:
            try:
                found = simulate.compare(seeds, days, minutes)
            except memory.Missing as trouble:
                return refuse(str(trouble))
            print(
                f"{days:>4}  {minutes:>7}  {found.plan:>6.1%}  {found.older:>10.1%}  {found.ideal:>6.1%}  "
                f"{found.plan / found.ideal:>13.1%}", flush=True,
            )
    return 0
