"""A shop's own pages and limits, from a folder that no update of the guide touches.

The folder `local/` beside docs/ (or the one that GUIDE_LOCAL names) is not part of the guide: git ignores it, and
nothing of it is needed. `*.md` are pages, `limits.toml` the limits of the shop's written procedure, pictures go
along. What stands there is the shop's own word: the guide shows it as that, gives it no standing, and calculates
nothing from it.

docs/local-page.md tells an instructor the form.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from html import escape
from pathlib import Path

from calc.catalogue import fact
from calc.core.declare import Amount
from calc.core.sources import Fact
from calc.core.units import UnitError
from calc.practice.forms import line_map, written_amount
from calc.show.html import both
from tools.build.lists import amount_html
from tools.common import LOCAL, Trouble

LIMITS = "limits.toml"
PICTURES = {".png", ".jpg", ".jpeg", ".gif", ".webp", ".svg", ".pdf"}
PLAIN_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*\.[A-Za-z0-9]+")
PAGE_NAME = re.compile(r"[a-z0-9][a-z0-9-]*\.md")
TOP_FIELDS = {"procedure": "the name of the WPS, with its revision", "kept": "where the signed WPS is kept"}
LIMIT_FIELDS = {
    "name": "what is limited", "least": "the minimum, with its unit",
    "most": "the maximum, with its unit", "words": "the limit in words, where it is no figure",
    "guide": "the id of the guide's value to show beside it", "place": "the place in the WPS",
    "note": "anything else",
}


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


def read_text(path: Path) -> str:
    """The text of a file of the shop's. Raises LocalError when it is not saved as UTF-8."""
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = path.read_bytes()[:error.start].count(b"\n") + 1
        raise LocalError(
            f"local/{path.name}, line {line}: a character that can't be read; save the file as UTF-8"
        ) from None


def local_files(folder: Path = LOCAL) -> tuple[list[Path], list[Path]]:
    """(pages, pictures) of the folder, by name. Raises LocalError for what has no place there."""
    if not folder.is_dir():
        return [], []
    pages, pictures, wrong = [], [], []
    for path in sorted(folder.iterdir()):
        if path.name.startswith(".") or path.name.lower() in {LIMITS, "thumbs.db", "desktop.ini"}:
            continue
        if path.is_dir():
            wrong.append(f"local/{path.name}: folders inside are not read; put the files into local/ itself")
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
                f"{LIMITS}"
            )
        elif PLAIN_NAME.fullmatch(path.name):
            pictures.append(path)
        else:
            wrong.append(f"local/{path.name}: name a picture with letters, digits, hyphens and underscores only")
    if wrong:
        raise LocalError("\n".join(wrong))
    return pages, pictures


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
    made = []
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
    if problems:
        raise LocalError(
            "\n".join(
                f"local/{LIMITS}, line {line}{', ' if said.startswith('field') else ': '}{said}"
                for line, said in sorted(problems)
            )
        )
    return Limits(procedure, kept, tuple(made))


def limits_table() -> str:
    """The table of the shop's limits; nothing where there are none. Raises LocalError."""
    table = LOCAL / LIMITS
    return limits_html(read_limits(read_text(table))) if table.is_file() else ""


def limits_html(limits: Limits) -> str:
    """The limits as a table, the guide's own values beside them where they were asked for."""
    kept = f" It is kept {escape(limits.kept)}." if limits.kept else ""
    with_guide = any(each.beside for each in limits.limits)
    head = "".join(
        f'<th scope="col">{words}</th>'
        for words in ("Limit", "Your shop's figure", "Where", *(("What the guide holds",) if with_guide else ()))
    )
    rows = "".join(_row(each, with_guide) for each in limits.limits)
    return (
        '<div class="shop-limits"><p>From your shop\'s WPS: <strong>'
        f'{escape(limits.procedure)}</strong>.{kept} The guide '
        "did not check these figures. The signed WPS decides.</p>"
        '<div class="wide" tabindex="0" role="region" aria-label="Limits of your shop"><table><thead><tr>'
        f'{head}</tr></thead><tbody>{rows}</tbody></table></div></div>'
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
