"""Questions of a shop: files of its own, read beside the guide's and shown as the shop's.

A file looks like one of the guide's, with `shop`, the name that stands over its questions. The ids of its questions
and of its own objectives begin with `own-`, which no id of the guide does; a question may also practice an objective of
the guide. `source` may be left out: then the question stands on the shop's word. docs/own-questions.md tells the form.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from calc.core.texts import NotText, WideText, text_of
from calc.practice import forms
from calc.practice.forms import Form, Problem, QuestionError

PACKED = "own.json"
"""Where the build puts the files of a shop, beside the guide's questions: the texts by their names."""
MOST_FILES, LONGEST = 60, 400_000
SAVE_AS = "open it in a text editor, choose Save as, and there the encoding UTF-8"


@dataclass(frozen=True)
class Own:
    """What the files of a shop hold, and what is wrong in them."""

    forms: tuple[Form, ...] = ()
    objectives: Mapping[str, str] = field(default_factory=dict)
    """The shop's own objectives: what a reader can do, by id."""
    problems: tuple[Problem, ...] = ()


def read_own(files: Mapping[str, str | bytes]) -> Own:
    """The questions in the files of a shop, given by name as text or as bytes, and every problem of all of them.

    Nothing is raised and nothing is left out without a word; a file with a problem gives no questions.

    >>> read_own({"rods.toml": b"\\xff\\xfec\\x00"}).problems[0].message.partition(";")[0]
    'the file is saved as UTF-16'
    """
    problems: list[Problem] = []
    read: list[Form] = []
    objectives: dict[str, str] = {}
    if len(files) > MOST_FILES:
        problems.append(Problem("questions", 1, "", f"there are {len(files)} files; at most {MOST_FILES} are read"))
    for name in sorted(files)[:MOST_FILES]:
        text, wrong = _text(name, files[name])
        problems += wrong
        if wrong:
            continue
        try:
            found, own = forms.read_shop(text, name)
        except QuestionError as trouble:
            problems += trouble.problems
            continue
        if not found:
            problems.append(Problem(name, 1, "", "there is no question; write each as [[question]]"))
        read += found
        for identifier, words in own.items():
            if identifier in objectives:
                problems.append(Problem(name, 1, "objective", f"“{identifier}” stands in two files; keep one"))
            objectives[identifier] = words
    problems += _across(read, objectives)
    bad = {each.file for each in problems}
    return Own(
        tuple(each for each in read if each.place.file not in bad),
        objectives,
        tuple(sorted(problems, key=lambda each: (each.file, each.line))),
    )


def _across(read: Iterable[Form], objectives: Mapping[str, str]) -> Iterable[Problem]:
    """What only shows with all files at hand: ids used twice, objectives that nobody has."""
    of_guide = {each.objective for each in forms.guide_forms()}
    seen: dict[str, str] = {}
    used: set[str] = set()
    for form in read:
        if form.id in seen:
            yield form.place.problem("id", f"“{form.id}” is used in {seen[form.id]} too")
        seen[form.id] = form.place.file
        used.add(form.objective)
        if form.objective not in of_guide and form.objective not in objectives:
            yield form.place.problem(
                "objective",
                f"there is no objective “{form.objective}”; name one of the guide's, or "
                "write one of your own as [[objective]]",
            )
        yield from forms.check(form)


def _text(name: str, data: str | bytes) -> tuple[str, list[Problem]]:
    """A file's text with plain line ends; or why it can't be read."""

    def wrong(line: int, message: str) -> tuple[str, list[Problem]]:
        return "", [Problem(name, line, "", message)]

    if not name.lower().endswith(".toml"):
        return wrong(1, "only files ending in .toml hold questions; rename it or take it out of the folder")
    if len(data) > LONGEST:
        return wrong(1, f"the file is longer than {LONGEST // 1000} kB; share its questions among several files")
    if isinstance(data, bytes):
        try:
            data = text_of(data)
        except NotText as trouble:
            old = "a character here can't be read: the file is saved as ANSI or in another old encoding"
            told = "the file is saved as UTF-16" if b"\0" in data or isinstance(trouble, WideText) else old
            return wrong(trouble.line, f"{told}; {SAVE_AS}")
    text = data.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    for mark, told in (
        ("\0", "the file is saved as UTF-16"),
        ("\ufffd", "a character here can't be read: the file is not saved as UTF-8"),
    ):
        if mark in text:
            return wrong(text[: text.index(mark)].count("\n") + 1, f"{told}; {SAVE_AS}")
    return text, []


def take(own: Own) -> None:
    """Practice these questions along with the guide's, in place of any taken before."""
    forms.take(own.forms, own.objectives)


def packed(files: Mapping[str, str | bytes]) -> str:
    """The files of a shop, sound ones, as one text for the engine of its site."""
    texts = {name: _text(name, data)[0] for name, data in files.items()}
    return json.dumps({"files": texts}, ensure_ascii=False, sort_keys=True, indent=1)


def packed_own() -> Own:
    """The questions that the build packed with the guide; none where it packed none."""
    text = forms.packed_text(PACKED)
    return read_own(json.loads(text)["files"]) if text else Own()


def take_packed() -> None:
    """Take the questions that the build packed with the guide, where there are any."""
    if (found := packed_own()).forms:
        take(found)


def take_beside(files: Mapping[str, str | bytes]) -> Own:
    """Take the questions of a class beside those packed with the guide, and give them back. A question whose id is
    taken already is left out.
    """
    with_guide, found = packed_own(), read_own(files)
    known = {form.id for form in with_guide.forms}
    added = (form for form in found.forms if form.id not in known)
    take(Own((*with_guide.forms, *added), {**found.objectives, **with_guide.objectives}))
    return found
