"""Files that people hand in: records of a test day, continuity logs, tests and progress, told apart and read.

Each file stands for itself. One that cannot be read is refused by name and reason, and the others come in.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from calc.core.texts import NotText, text_of
from calc.practice import progress
from calc.practice.progress import State, StateError, read_state
from calc.record.files import read_record
from calc.record.shape import FORMAT, LARGEST, Record, RecordError

LONGEST = max(4 * LARGEST, progress.LONGEST_TEXT)
"""Bytes that a file of the guide can have."""
TOO_LONG = f"the file is larger than a file of this guide can be, {LONGEST} bytes"


@dataclass(frozen=True, eq=False)
class Brought:
    """A file that was read: a record of some kind, or the progress of one or more readers. Each stands for itself."""

    file: str
    content: Record | State


@dataclass(frozen=True)
class Refused:
    """A file that was not taken, and why."""

    file: str
    reason: str


def read_file(file: str, data: bytes) -> Brought:
    """What is in a file. Raises `ValueError` that says why it cannot be used.

    >>> from calc.record.demo import PLATE
    >>> from calc.record.files import write_record
    >>> read_file("plate.json", write_record(PLATE).encode()).content.kind
    'test-day'
    >>> read_file("notes.txt", b"Buy rods.")
    Traceback (most recent call last):
    ...
    ValueError: this is not a file of this guide: it is not JSON
    """
    if len(data) > LONGEST:
        raise ValueError(TOO_LONG)
    try:
        text = text_of(data)
        if not text.lstrip().startswith("{"):
            raise ValueError("this is not a file of this guide: it is not JSON")
        kind = _format(text)
        if kind == FORMAT:
            return Brought(file, read_record(text))
        if kind == progress.FORMAT:
            return Brought(file, read_state(text))
    except RecordError as trouble:
        raise ValueError(str(trouble)) from None
    except (NotText, StateError) as trouble:
        raise ValueError(str(trouble)) from None
    raise ValueError("this is not a record, a log, a test or progress of this guide")


def _format(text: str) -> object:
    """What a file says that it is; a damaged one goes to the reader of records, which names the place."""
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        return FORMAT
    return data.get("format") if isinstance(data, dict) else None


def read_files(
    files: Iterable[tuple[str, bytes]], read_one: Callable[[str, bytes], Brought] = read_file,
) -> tuple[list[Brought], list[Refused]]:
    """Every file that can be read, and every other with its reason. A file that holds what another holds to the last
    byte is refused as its double."""
    read: list[Brought] = []
    refused: list[Refused] = []
    seen: dict[bytes, str] = {}
    for file, data in files:
        if data in seen:
            refused.append(Refused(file, f"the same as {seen[data]}"))
            continue
        try:
            read.append(read_one(file, data))
            seen[data] = file
        except ValueError as trouble:
            refused.append(Refused(file, str(trouble)))
    return read, refused
