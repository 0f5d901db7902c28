"""The command line of records and of a class.

    python -m calc judge record.json            the verdict, the same as on the page
    python -m calc judge record.json --json     the same as data
    python -m calc judge log.json --today 2026-03-31
    python -m calc judge FILES…                 a class: records, logs and progress, folders and zips of them too
    python -m calc judge FILES… --csv           a table of it; --json as data, --calendar the dates of all logs
    python -m calc judge FILES… --test 2026-04-20   the day for which progress says who is ready

Exit code 0 for files that were judged, 1 where a class has files that were not taken (each is named with its reason),
2 with one clear line for a file that cannot be read, or where none can.
"""

from __future__ import annotations

import datetime
import json
import sys
import textwrap
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path

from calc.classroom.brought import LONGEST, TOO_LONG, Refused, read_file, read_files
from calc.classroom.classfile import class_link, read_class, write_script
from calc.classroom.classfile_page import class_text
from calc.classroom.glance import glance
from calc.classroom.glance_files import glance_csv, glance_data, glance_text
from calc.cli import refuse
from calc.practice.memory import Missing, model
from calc.practice.own import read_own
from calc.record.files import due_date_calendar
from calc.record.judge import judge
from calc.record.report import as_data, as_text
from calc.record.shape import Record, RecordError

MOST_IN_ZIP = 2000
_CLASS_HELP = """    python -m calc class my-class.json          what it holds, and what is wrong with its questions
    python -m calc class my-class.json --script   the same class as class.js, for a guide in a folder
    python -m calc class my-class.json --link     the text of its link: index.html#class= and this text

Exit code 0 for a class file, 1 where questions of it have problems (each is named), 2 with one clear line for a file
that cannot be read."""


def judge_command(arguments: list[str]) -> int:
    """Judge one record file, or a class of files. The files are read here; calc itself opens nothing."""
    dates = {"--today": datetime.date.today(), "--test": None}
    names, wanted = [], set()
    rest = list(arguments)
    while rest:
        word = rest.pop(0)
        if word in ("-h", "--help"):
            print(textwrap.dedent(__doc__.partition("\n\n")[2]).strip())
            return 0
        if word in ("--json", "--csv", "--calendar"):
            wanted.add(word)
        elif word in dates:
            try:
                dates[word] = datetime.date.fromisoformat(rest.pop(0) if rest else "")
            except ValueError:
                return refuse(f"{word} wants a date, as in 2026-03-31")
        elif word.startswith("--"):
            return refuse(f"“{word}” is not an option here; see python -m calc judge --help")
        else:
            names.append(word)
    if not names:
        return refuse("name a record file, or the files of a class; see python -m calc judge --help")
    if len(wanted) > 1:
        return refuse("choose one of --json, --csv and --calendar")
    alone = len(names) == 1 and not wanted & {"--csv", "--calendar"} and dates["--test"] is None
    if alone and not Path(names[0]).is_dir() and not zipfile.is_zipfile(names[0]):
        return _judge_one(names[0], dates["--today"], "--json" in wanted)
    return _judge_class(names, dates["--today"], dates["--test"], "".join(wanted))


def _judge_one(name: str, today: datetime.date, json_wanted: bool) -> int:
    try:
        content = read_file(name, bytes_of(Path(name))).content
    except ValueError as trouble:
        return refuse(f"{name}: {trouble}")
    if not isinstance(content, Record):
        return _judge_class([name], today, None, "--json" if json_wanted else "")
    judgement = judge(content, today)
    print(json.dumps(as_data(judgement), indent=2, ensure_ascii=False) if json_wanted else as_text(judgement))
    return 0


def _judge_class(names: list[str], today: datetime.date, test: datetime.date | None, wanted: str) -> int:
    files: list[tuple[str, bytes]] = []
    refused: list[Refused] = []
    for name in names:
        for found in _files_at(Path(name)):
            (refused if isinstance(found, Refused) else files).append(found)
    brought, more = read_files(files)
    try:
        known = model()
    except Missing:
        known = None
    found = glance(brought, [*refused, *more], today, known, test)
    for each in found.refused:
        print(f"{each.file}: {each.reason}", file=sys.stderr)
    if not brought:
        return refuse("none of these files can be used")
    if known is None and any(person.profile for person in found.people):
        print("who is ready is not known: the package fsrs is not installed", file=sys.stderr)
    if wanted == "--calendar":
        try:
            moment = f"{datetime.datetime.now(datetime.UTC):%Y-%m-%dT%H:%M:%SZ}"
            print(due_date_calendar(found.logs, today, moment), end="")
        except RecordError as trouble:
            return refuse(str(trouble))
    elif wanted == "--csv":
        print(glance_csv(found), end="")
    elif wanted == "--json":
        print(json.dumps(glance_data(found), indent=2, ensure_ascii=False))
    else:
        print(glance_text(found))
    return 1 if found.refused else 0


def _files_at(path: Path) -> Iterator[tuple[str, bytes] | Refused]:
    """A file; or every file of a folder or a zip, hidden ones left out, each under its own name."""
    try:
        if path.is_dir():
            inside = sorted(each for each in path.rglob("*") if each.is_file() and not _hidden(each.relative_to(path)))
            for each in inside:
                yield from _files_at(each)
            if not inside:
                yield Refused(str(path), "the folder holds no file")
        elif zipfile.is_zipfile(path):
            yield from _files_in(path)
        else:
            yield str(path), bytes_of(path)
    except ValueError as trouble:
        yield Refused(str(path), str(trouble))
    except OSError as trouble:
        yield Refused(str(path), f"cannot be opened ({trouble.strerror})")


def _files_in(path: Path) -> Iterator[tuple[str, bytes] | Refused]:
    try:
        with zipfile.ZipFile(path) as archive:
            members = archive.infolist()
            if len(members) > MOST_IN_ZIP:
                yield Refused(str(path), f"only the first {MOST_IN_ZIP} of its {len(members)} files were read")
            for member in members[:MOST_IN_ZIP]:
                name = f"{path}/{member.filename}"
                if member.is_dir() or _hidden(Path(member.filename)) or member.filename.startswith("photos/"):
                    continue
                if member.file_size > LONGEST:
                    yield Refused(name, TOO_LONG)
                else:
                    with archive.open(member) as opened:
                        yield name, opened.read(LONGEST + 1)
    except (zipfile.BadZipFile, zlib.error, RuntimeError, NotImplementedError, EOFError):
        yield Refused(str(path), "the zip is damaged, or locked with a password")


def _hidden(path: Path) -> bool:
    return any(part.startswith((".", "__MACOSX")) for part in path.parts)


def bytes_of(path: Path) -> bytes:
    """The bytes of a file, never more than a file of the guide can have. Raises `ValueError`."""
    try:
        with path.open("rb") as opened:
            data = opened.read(LONGEST + 1)
    except OSError as trouble:
        raise ValueError(f"cannot be opened ({trouble.strerror})") from None
    if len(data) > LONGEST:
        raise ValueError(TOO_LONG)
    return data


def class_command(arguments: list[str]) -> int:
    """Tell what a class file holds. The file is read here; calc itself opens nothing."""
    if set(arguments) & {"-h", "--help"}:
        print(_CLASS_HELP)
        return 0
    options = [word for word in arguments if word.startswith("-")]
    names = [word for word in arguments if word not in options]
    if len(names) != 1 or len(options) > 1 or set(options) - {"--script", "--link"}:
        return refuse("name one class file, and --script or --link; see python -m calc class --help")
    try:
        found = read_class(bytes_of(Path(names[0])))
        if options:
            print(write_script(found).rstrip() if options == ["--script"] else class_link(found))
            return 0
    except ValueError as trouble:
        return refuse(f"{names[0]}: {trouble}")
    own = read_own(found.questions)
    print(class_text(found, own))
    for problem in own.problems:
        print(problem, file=sys.stderr)
    return 1 if own.problems else 0
