"""Tables as comma-separated values, safe to open in any spreadsheet."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from typing import Any

UTF_8_MARK = "\ufeff"
"""Tells a spreadsheet that the letters which follow are UTF-8."""

_SIGNS = r"=+\-@|%＝＋－＠"
_AT_THE_START = re.compile(rf"^(?=\s*[{_SIGNS}])|^(?=[\t\r])")
_INSIDE = re.compile(rf"([;\t]\s*)(?=[{_SIGNS}])")


def harmless(text: str) -> str:
    """The text as a cell that no spreadsheet takes for a formula: an apostrophe goes before it, and after semicolons
    inside.

    >>> harmless("=1+1"), harmless("-5 degF"), harmless("3/8 in"), harmless("a;=1+1")
    ("'=1+1", "'-5 degF", '3/8 in', "a;'=1+1")
    """
    # A spreadsheet that parts cells at semicolons sees a new cell after each.
    return _AT_THE_START.sub("'", _INSIDE.sub(r"\1'", text))


class _Lines(list[str]):
    """What the writer writes, kept as text."""

    write = list.append


def csv_table(rows: Iterable[Iterable[Any]]) -> str:
    r"""Rows as RFC 4180 writes them: texts made harmless and in quotes, numbers as they are.

    >>> csv_table([("name", "long"), ("=plate", 7)])
    '"name","long"\r\n"\'=plate",7\r\n'
    """
    lines = _Lines()
    writer = csv.writer(lines, quoting=csv.QUOTE_NONNUMERIC)
    writer.writerows([harmless(cell) if isinstance(cell, str) else cell for cell in row] for row in rows)
    return "".join(lines)
