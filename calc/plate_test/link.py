"""The whole test as the text of a link, and such a text read back.

The text holds what is said and nothing else, each fact once, with its unit written out, so that a link means the same
numbers on every device:

    1&name=Plate+7&steel=A36&thickness=1%2F2+in&hold_points=fit-up&hold_points=finished+weld

First the version; then a part a fact, `id=text`, in the form of a web form's query; a list has a part a row, its cells
apart by `|`. What comes in is untrusted: each part is taken or refused by itself, with the reason.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from urllib.parse import quote_plus, unquote_plus

from calc.core.declare import CELLS_APART, Cell, Choice, Input, InputError, Quantity, Rows
from calc.plate_test.fields import FIELDS, FORM
from calc.record.shape import FORBIDDEN, LONGEST, Record, Row, blank

VERSION = "1"
LARGEST = 16_000
"""Characters in the text of a link. A full test has about 2 000."""
NAME = "name"
LONGEST_NAME = 120


class LinkError(ValueError):
    """A text that is no link of a test, a part of one that cannot be taken, or a test that no link can carry."""


@dataclass(frozen=True)
class Refused:
    """A part of a link that was not taken: what it is about, and why."""

    label: str
    message: str


# --- out -------------------------------------------------------------------------------------------


def link_text(record: Record) -> str:
    """The text that carries the whole test. Raises `LinkError` where a fact cannot be read: it would mean nothing.

    >>> from calc.plate_test.work import with_facts
    >>> empty = blank("plate-test", "demo-0001", "2026-03-02T07:30:00Z")
    >>> link_text(with_facts(empty, {"thickness": "1/2", "kerf": "0.1 in"}))
    '1&thickness=1%2F2+in&kerf=0.1+in'
    """
    parts = [(NAME, record.name.strip()[:LONGEST_NAME])] if record.name.strip() else []
    for name, each in FIELDS.items():
        if isinstance(each.input, Rows):
            rows = (row for row in record.rows.get(name, ()) if any(cell.strip() for cell in row))
            parts += [(name, _row_text(each.input, row, record)) for row in rows]
        elif text := record.text(name).strip():
            parts.append((name, _plain(each.input, text, record)))
    text = "&".join([VERSION, *(f"{name}={quote_plus(text)}" for name, text in parts)])
    if len(text) > LARGEST:
        raise LinkError(f"The test is too long for a link: {len(text)} characters, at most {LARGEST}. Export its file.")
    return text


def _plain(each: Input | Cell, text: str, record: Record) -> str:
    try:
        value = each.read(text, record.bare)
    except InputError as trouble:
        raise LinkError(f"A link cannot carry this yet. {trouble}") from None
    if isinstance(each, Choice):
        return value
    return each.with_unit(text, record.bare).strip() if isinstance(each, Quantity) else text


def _row_text(rows: Rows, row: Row, record: Record) -> str:
    pairs = zip(rows.columns, row, strict=True)
    cells = (_plain(column, text, record) if text.strip() else "" for column, text in pairs)
    return CELLS_APART.join(cell.replace("%", "%25").replace(CELLS_APART, "%7C") for cell in cells)


# --- in --------------------------------------------------------------------------------------------


def read_link(text: str, identifier: str, moment: str) -> tuple[Record, tuple[Refused, ...]]:
    """The test that the text of a link carries, as a new record, and the parts that were not taken.

    Raises `LinkError` for a text that is no link of a test.

    >>> test, refused = read_link("1&thickness=1%2F2+in&kerf=2&depth=1", "demo-0001", "2026-03-02T07:30:00Z")
    >>> dict(test.values), [each.label for each in refused]
    ({'thickness': '1/2 in'}, ['Kerf of the bevel cut', 'depth'])
    """
    if len(text) > LARGEST:
        raise LinkError(f"This link is too long for a test: {len(text)} characters, at most {LARGEST}.")
    version, *parts = text.split("&")
    if version != VERSION:
        later = version.isdecimal() and version.isascii() and len(version) < 9 and int(version) > int(VERSION)
        raise LinkError("This link was made by a later version of the guide. Open it there." if later
            else "This link carries no test: it is damaged, or it was cut.")
    reader = _Reader()
    for part in parts:
        reader.take(part)
    record = blank(FORM.kind, identifier, moment, reader.name)
    return replace(record, values=reader.values, rows=reader.rows), tuple(reader.refused)


class _Reader:
    """Takes the parts of a link one by one."""

    def __init__(self) -> None:
        self.name = ""
        self.values: dict[str, str] = {}
        self.rows: dict[str, tuple[Row, ...]] = {}
        self.refused: list[Refused] = []

    def take(self, part: str) -> None:
        name, _, quoted = part.partition("=")
        each = FIELDS[name].input if name in FIELDS else None
        label = each.label if each else "Name of the test" if name == NAME else name[:40] or "A part without a name"
        try:
            self._take(name, each, unquote_plus(quoted, errors="strict"))
        except UnicodeDecodeError:
            self.refused.append(Refused(label, "the link is damaged here"))
        except InputError as trouble:
            self.refused.append(Refused(label, trouble.message))
        except LinkError as trouble:
            self.refused.append(Refused(label, str(trouble)))

    def _take(self, name: str, each: Input | None, text: str) -> None:
        if FORBIDDEN.search(text):
            raise LinkError("holds a control character, which no fact needs")
        if each is None and name != NAME:
            raise LinkError("there is no such fact in a test")
        if not text.strip():
            raise LinkError("nothing is said of it")
        if isinstance(each, Rows):
            self._take_row(name, each, text)
            return
        if name in self.values or (name == NAME and self.name):
            raise LinkError("said twice; the first stands")
        if each is None:
            self.name = _short(text, LONGEST_NAME)
        else:
            self.values[name] = _fact(each, text)

    def _take_row(self, name: str, rows: Rows, text: str) -> None:
        taken = self.rows.get(name, ())
        cells = text.split(CELLS_APART)
        if len(taken) >= rows.most:
            raise LinkError(f"more than {rows.most} rows; the first {rows.most} stand")
        if len(cells) > len(rows.columns):
            raise LinkError(f"{len(cells)} cells in a row; at most {len(rows.columns)}")
        texts = [cell.replace("%7C", CELLS_APART).replace("%25", "%") for cell in cells]
        texts += [""] * (len(rows.columns) - len(texts))
        pairs = zip(rows.columns, texts, strict=True)
        self.rows[name] = (*taken, tuple(_fact(column, cell) if cell.strip() else "" for column, cell in pairs))


def _fact(each: Input | Cell, text: str) -> str:
    """A fact of a link as a record holds it. A number without a unit that could mean two things is not taken."""
    text = _short(text, LONGEST)
    if isinstance(each, Quantity):
        us, si = (each.with_unit(text, system) for system in ("us", "si"))
        if us != si:
            raise InputError(each.name, each.label, "has no unit, and a link must say it")
        text = us
    value = each.read(text, "us")
    return value if isinstance(each, Choice) else text


def _short(text: str, longest: int) -> str:
    if len(text) > longest:
        raise LinkError(f"{len(text)} characters; at most {longest}")
    return text.strip()


# --- what a link would change ------------------------------------------------------------------------


def differences(before: Record, after: Record, shown: Callable[[Record, str], str]) -> tuple[Mapping[str, str], ...]:
    """The facts that differ, each with its id, its label and both texts as `shown` gives them."""
    return tuple(
        {"field": name, "label": each.input.label, "before": shown(before, name), "after": shown(after, name)}
        for name, each in FIELDS.items() if shown(before, name) != shown(after, name)
    )
