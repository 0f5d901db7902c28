"""A shop's own pages and limits, from a folder that no update of the guide touches.

The folder `local/` beside docs/ (or the one that GUIDE_LOCAL names) is not part of the guide: git ignores it, and
nothing of it is needed. `*.md` are pages, `limits.toml` the limits of the shop's written procedure, pictures go
along. What stands there is the shop's own word: the guide shows it as that, gives it no standing, and judges by none of
it on its own. Limits that name a fact of a plate test make up the shop's test, which a reader may start a test from.

`questions/` holds the shop's own questions (calc/practice/own.py).

docs/local-page.md tells an instructor the form.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from html import escape
from pathlib import Path
from typing import Any

from calc.catalogue import fact
from calc.core.texts import NotText, text_of
from calc.core.declare import Amount, InputError, Rows
from calc.core.sources import Fact
from calc.core.units import UnitError
from calc.plate_test.fields import FIELDS, FORM
from calc.plate_test.work import plain_text, read_facts
from calc.practice import own
from calc.practice.cli import folder_files
from calc.practice.forms import line_map, written_amount
from calc.record.files import write_record
from calc.record.shape import Record, blank
from calc.show.html import both
from tools.build.lists import amount_html
from tools.common import LOCAL, Trouble

LIMITS = "limits.toml"
QUESTIONS = "questions"
PACKED = f"calc/questions/{own.PACKED}"
"""Where the engine looks for the shop's questions."""
SHOP_TEST = "assets/shop-test.json"
PICTURES = {".png", ".jpg", ".jpeg", ".gif", ".webp", ".svg", ".pdf"}
PLAIN_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*\.[A-Za-z0-9]+")
PAGE_NAME = re.compile(r"[a-z0-9][a-z0-9-]*\.md")
TOP_FIELDS = {"procedure": "the name of the WPS, with its revision", "kept": "where the signed WPS is kept"}
LIMIT_FIELDS = {
    "name": "what is limited", "least": "the minimum, with its unit",
    "most": "the maximum, with its unit", "words": "the limit in words, where it is no figure",
    "guide": "the id of the guide's value to show beside it",
    "fact": "the fact of a plate test that it sets", "place": "the place in the WPS",
    "note": "anything else",
}


_FACTS = {name: each.input for name, each in FIELDS.items() if not isinstance(each.input, Rows)}
_ENDS = {
    "least": ("_low", "_minimum"), "most": ("_high", "_maximum", "_most", "_over", "_under"),
}
"""Which end a fact is that ends in one of these; any other is said in words."""
_MOMENT = "2026-01-01T00:00:00Z"


class LocalError(Trouble):
    """Something in the shop's folder that can't be used: every problem on a line, with file and line."""


@dataclass(frozen=True)
class Limit:
    """One limit of the shop's procedure. `least` and `most` are as written there; `beside` is the guide's own value."""

    name: str
    least: Amount | None
    most: Amount | None
    words: str
    place: str
    note: str
    beside: Fact | None


@dataclass(frozen=True)
class Limits:
    """The limits of one written procedure."""

    procedure: str
    kept: str
    limits: tuple[Limit, ...]
    facts: Mapping[str, str] = field(default_factory=dict)
    """What the limits say of the facts of a plate test, by fact."""

    @property
    def test(self) -> Record | None:
        """The shop's test: what a reader's own may start from. None where no limit names a fact."""
        return _shop_test(self.procedure, self.facts) if self.facts else None


def read_text(path: Path) -> str:
    """The text of a file of the shop's. Raises LocalError when it is not saved as UTF-8."""
    try:
        return text_of(path.read_bytes())
    except NotText as trouble:
        raise LocalError(
            f"local/{path.name}, line {trouble.line}: a character that can't be read; save the file as UTF-8"
        ) from None


def local_files(folder: Path = LOCAL) -> tuple[list[Path], list[Path]]:
    """(pages, pictures) of the folder, by name. Raises LocalError for what has no place there."""
    if not folder.is_dir():
        return [], []
    pages, pictures, wrong = [], [], []
    for path in sorted(folder.iterdir()):
        if path.name.startswith(".") or path.name.lower() in {LIMITS, "thumbs.db", "desktop.ini"}:
            continue
        if path.is_dir() and path.name == QUESTIONS:
            continue
        if path.is_dir():
            wrong.append(
                f"local/{path.name}: folders inside are not read, but for {QUESTIONS}/; put the files into local/ itself"
            )
        elif path.suffix.lower() == ".md":
            if PAGE_NAME.fullmatch(path.name):
                pages.append(path)
            else:
                wrong.append(
                    f"local/{path.name}: name a page with small letters, digits and hyphens, such as our-shop.md"
                )
        elif path.suffix.lower() not in PICTURES:
            wrong.append(
                f"local/{path.name}: pages end in .md, pictures in {', '.join(sorted(PICTURES))}; the limits are "
                f"{LIMITS}, questions lie in {QUESTIONS}/"
            )
        elif PLAIN_NAME.fullmatch(path.name):
            pictures.append(path)
        else:
            wrong.append(f"local/{path.name}: name a picture with letters, digits, hyphens and underscores only")
    if wrong:
        raise LocalError("\n".join(wrong))
    return pages, pictures


def shop_questions(folder: Path = LOCAL) -> own.Own:
    """The shop's own questions; none where there is no folder. Raises LocalError with every problem of every file."""
    inside = folder / QUESTIONS
    if not inside.exists():
        return own.Own()
    if not inside.is_dir():
        raise LocalError(f"local/{QUESTIONS}: make it a folder, with files of questions in it")
    found = own.read_own(folder_files(inside))
    if found.problems:
        raise LocalError("\n".join(f"local/{QUESTIONS}/{each}" for each in found.problems))
    return found


def packed_questions(folder: Path = LOCAL) -> str:
    """The shop's questions as one text for the engine; empty where there are none. Raises LocalError."""
    return own.packed(folder_files(folder / QUESTIONS)) if shop_questions(folder).forms else ""


def read_limits(text: str) -> Limits:
    """The limits of a procedure. Raises LocalError with every problem and its line.

    >>> made = read_limits('procedure = "P-1"\\n[[limit]]\\nname = "Root opening"\\nmost = "3/8 in"')
    >>> made.limits[0].most.text("si")
    '9.525\\xa0mm'
    >>> read_limits('procedure = "P-1"\\n[[limit]]\\nname = "Root opening"\\nmost = "3/8 inn"')
    Traceback (most recent call last):
    ...
    tools.build.local_pages.LocalError: local/limits.toml, line 4, field “most”: “3/8 inn” is not a number ...
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        found = re.fullmatch(r"(.*) \(at line (\d+), column \d+\)", str(error))
        line, said = (
            (int(found[2]), found[1])
            if found
            else (text.count("\n") + 1, str(error).removesuffix(" (at end of document)"))
        )
        raise LocalError(f"local/{LIMITS}, line {line}: {said[0].lower()}{said[1:]}") from None
    lines, problems = line_map(text), []

    def wrong(path: tuple[str | int, ...], message: str) -> None:
        field = path[-1] if isinstance(path[-1], str) else ""
        at = path
        while at and at not in lines:
            at = at[:-1]
        problems.append((lines.get(at, 1), f"field “{field}”: {message}" if field else message))

    def words(table: dict, path: tuple[str | int, ...], name: str, needed: bool = False) -> str:
        value = table.get(name)
        if value is None:
            if needed:
                wrong((*path, name), "is missing")
            return ""
        if not isinstance(value, str) or not value.strip():
            wrong((*path, name), "write words in quotes")
            return ""
        return " ".join(value.split())

    def amount(table: dict, path: tuple[str | int, ...], name: str) -> Amount | None:
        if not (said := words(table, path, name)):
            return None
        try:
            return written_amount(said)
        except UnitError as trouble:
            wrong((*path, name), str(trouble))
            return None

    for name in data:
        if name not in {*TOP_FIELDS, "limit"}:
            wrong((name,), f"is not a field here; there are {', '.join([*TOP_FIELDS, '[[limit]]'])}")
    procedure, kept = words(data, (), "procedure", needed=True), words(data, (), "kept")
    tables = data.get("limit", [])
    if not isinstance(tables, list) or not all(isinstance(each, dict) for each in tables):
        wrong(("limit",), "write each limit as a table of its own, [[limit]]")
        tables = []
    elif not tables:
        problems.append((1, "there is no limit; write each as [[limit]]"))
    made, facts, places = [], {}, {}
    for number, table in enumerate(tables):
        path = ("limit", number)
        for name in table:
            if name not in LIMIT_FIELDS:
                wrong((*path, name), f"is not a field here; there are {', '.join(LIMIT_FIELDS)}")
        least, most, said = amount(table, path, "least"), amount(table, path, "most"), words(table, path, "words")
        if not {"least", "most", "words"} & set(table):
            wrong(path, "the limit has neither least, most nor words")
        if least and most and least.kind != most.kind:
            wrong((*path, "most"), f"is a {most.kind.name} and least is a {least.kind.name}")
        elif least and most and least.amount > most.amount:
            wrong((*path, "most"), "is smaller than least")
        beside = None
        if identifier := words(table, path, "guide"):
            try:
                beside = fact(identifier)
            except KeyError:
                wrong((*path, "guide"), f"the register has no value “{identifier}”")
        for name, end in ends_of(words(table, path, "fact"), table, lambda said: wrong((*path, "fact"), said)).items():
            if name in facts:
                wrong((*path, "fact"), f"“{name}” is set by an earlier limit too; a test has one")
            try:
                facts[name] = plain_text(_FACTS[name], words(table, path, end), "us")
            except InputError as trouble:
                wrong((*path, end), trouble.message)
            places[name] = (*path, "fact")
        made.append(
            Limit(
                words(table, path, "name", needed=True),
                least,
                most,
                said,
                words(table, path, "place"),
                words(table, path, "note"),
                beside,
            )
        )
    if facts and not problems:
        for refusal in read_facts(_shop_test(procedure, facts))[1]:
            wrong(places.get(refusal.field, ("procedure",)), refusal.message)
    if problems:
        raise LocalError(
            "\n".join(
                f"local/{LIMITS}, line {line}{', ' if said.startswith('field') else ': '}{said}"
                for line, said in sorted(problems)
            )
        )
    return Limits(procedure, kept, tuple(made), facts)


def ends_of(name: str, table: Mapping[str, Any], wrong: Callable[[str], None]) -> dict[str, str]:
    """Which of least, most and words of a limit sets which fact; what can't be is told to `wrong`.

    >>> ends_of("amps", {"least": "115 A", "most": "135 A"}, print)
    {'amps_low': 'least', 'amps_high': 'most'}
    >>> ends_of("electrode", {"words": "E7018"}, print)
    {'electrode': 'words'}
    >>> ends_of("interpass_maximum", {"least": "500 °F"}, print)
    “interpass_maximum” is set by most, which is missing
    {}
    """
    if not name:
        return {}
    band = {f"{name}_low": "least", f"{name}_high": "most"}
    if band.keys() <= _FACTS.keys() and {"least", "most"} & table.keys():
        return {fact: end for fact, end in band.items() if end in table}
    if name not in _FACTS:
        wrong(f"a test has no fact “{name}”; the command “calc test --help” lists them")
        return {}
    end = next((end for end, tails in _ENDS.items() if name.endswith(tails)), "words")
    if end not in table:
        wrong(f"“{name}” is set by {end}, which is missing")
        return {}
    return {name: end}


def _shop_test(procedure: str, facts: Mapping[str, str]) -> Record:
    return replace(blank(FORM.kind, "shop-test", _MOMENT, procedure), values={"wps": procedure, **facts})


def shop_limits() -> Limits | None:
    """The limits of the shop; None where there are none. Raises LocalError."""
    table = LOCAL / LIMITS
    return read_limits(read_text(table)) if table.is_file() else None


def limits_table() -> str:
    """The table of the shop's limits; nothing where there are none. Raises LocalError."""
    limits = shop_limits()
    return limits_html(limits) if limits else ""


def shop_test() -> str:
    """The shop's test as the text of a record's file; nothing where no limit names a fact. Raises LocalError."""
    limits = shop_limits()
    return write_record(limits.test) if limits and limits.test else ""


def shop_test_html() -> str:
    """The same for the page of the reader's test, which opens it without fetching a file."""
    text = shop_test()
    return f'<template data-shop-test="{escape(text)}"></template>' if text else ""


def limits_html(limits: Limits) -> str:
    """The limits as a table, the guide's own values beside them where they were asked for."""
    kept = f" It is kept {escape(limits.kept)}." if limits.kept else ""
    with_guide = any(each.beside for each in limits.limits)
    head = "".join(
        f'<th scope="col">{words}</th>'
        for words in ("Limit", "Your shop's figure", "Where", *(("What the guide holds",) if with_guide else ()))
    )
    rows = "".join(_row(each, with_guide) for each in limits.limits)
    test = (
        f'<p>Some of them set facts of <a href="your-test.html">your test</a>, where you can start from them. The same '
        f'<a href="{SHOP_TEST}" download>as a file</a>.</p>'
    ) if limits.facts else ""
    return (
        '<div class="shop-limits"><p>From your shop\'s WPS: <strong>'
        f'{escape(limits.procedure)}</strong>.{kept} The guide '
        "did not check these figures. The signed WPS decides.</p>"
        '<div class="wide" tabindex="0" role="region" aria-label="Limits of your shop"><table><thead><tr>'
        f'{head}</tr></thead><tbody>{rows}</tbody></table></div>{test}</div>'
    )


def _row(limit: Limit, with_guide: bool) -> str:
    parts = [
        f"{words} {both(each.text('us'), each.text('si'))}"
        for words, each in (("at least", limit.least), ("at most", limit.most))
        if each
    ]
    figure = "; ".join([*parts, *([escape(limit.words)] if limit.words else [])])
    where = ". ".join(escape(part) for part in (limit.place, limit.note) if part)
    cells = f'<th scope="row">{escape(limit.name)}</th><td>{figure}</td><td>{where}</td>'
    return f"<tr>{cells}{f'<td>{_beside(limit.beside)}</td>' if with_guide else ''}</tr>"


def _beside(each: Fact | None) -> str:
    if each is None:
        return ""
    return (
        f'{escape(each.label)}: {amount_html(each)} <a class="source-mark" href="register.html#value-{each.id}">'
        f'{escape(each.source.standing.value)}</a>'
    )
