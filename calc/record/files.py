"""The files of a record: JSON out and in, CSV for a spreadsheet, and the due date for a calendar.

What comes in is untrusted: it is measured before it is read, read without being run, and refused whole with the place
that is wrong. CSV follows RFC 4180, the calendar file RFC 5545.
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Iterable, Sequence
from typing import Any

from calc.core.declare import Choice, Day, InputError, Quantity, Rows, phrase_text
from calc.record.bench import STUDY_AID, Flag, Judgement
from calc.record.fields import CONTINUITY_LOG
from calc.record.judge import judge
from calc.record.shape import LARGEST, Record, RecordError, as_data, from_data
from calc.show.table import UTF_8_MARK, csv_table

_DEEPEST = 12
_STRING = re.compile(r'"(?:[^"\\]|\\.)*"', re.DOTALL)


# --- JSON -----------------------------------------------------------------------


def write_record(record: Record) -> str:
    """The record as the text of its file, which `read_record` reads back.

    >>> from calc.record.demo import PLATE
    >>> read_record(write_record(PLATE)) == PLATE
    True
    """
    return json.dumps(as_data(record), ensure_ascii=False, indent=2) + "\n"


def read_record(text: str) -> Record:
    """The record in a file. Raises `RecordError` that names the place by a JSON Pointer.

    >>> read_record("[]")
    Traceback (most recent call last):
    ...
    calc.record.shape.RecordError: the whole file: this is not a record; a record is a JSON object
    """
    return from_data(parsed(text, LARGEST, "a record"))


def parsed(text: str, longest: int, what: str) -> Any:
    """The JSON data in a text from outside: measured, not nested deep, no part twice. Raises `RecordError`.

    >>> parsed('{"a": 1, "a": 2}', 100, "a record")
    Traceback (most recent call last):
    ...
    calc.record.shape.RecordError: the whole file: the part “a” stands twice in one object
    """
    if len(text) > longest:
        raise RecordError("", f"{len(text)} characters; {what} has at most {longest}")
    text = text.removeprefix("\ufeff")
    _refuse_deep(text, what)
    try:
        return json.loads(text, object_pairs_hook=_each_once, parse_constant=_no_constant)
    except RecordError:
        raise
    except json.JSONDecodeError as trouble:
        raise RecordError("", f"damaged at line {trouble.lineno}, column {trouble.colno}: {trouble.msg}") from None
    except (ValueError, RecursionError):
        raise RecordError("", "damaged: it holds a number that cannot be read") from None


def _refuse_deep(text: str, what: str) -> None:
    depth = 0
    for mark in re.findall(r"[\[\]{}]", _STRING.sub("", text)):
        depth += 1 if mark in "[{" else -1
        if depth > _DEEPEST:
            raise RecordError("", f"it is nested deeper than {what} is")


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise RecordError("", f"the part “{twice[:60]}” stands twice in one object")
    return found


def _no_constant(word: str) -> None:
    raise RecordError("", f"{word} is not a number that a file may hold")


def file_name(record: Record, ending: str) -> str:
    """A file name that every system takes: the record's name in plain letters, and part of its id.

    >>> from calc.record.shape import blank
    >>> file_name(blank("test-day", "demo-0001", "2026-03-02T07:30:00Z", "Plate 4 / Ö"), "json")
    'plate-4-demo-0001.json'
    """
    plain = re.sub(r"[^a-z0-9]+", "-", record.name.lower()).strip("-")[:40].strip("-")
    return f"{plain or record.kind}-{record.id[:12].strip('-')}.{ending}"


# --- CSV ------------------------------------------------------------------------

_COLUMNS = (
    "Record", "Id", "Kind", "Section", "Row", "Field", "As written", "US", "SI", "Mark", "What is said", "Source",
)


def records_csv(records: Iterable[Record], today: datetime.date | None = None) -> str:
    """Every figure of the records, one to a line, with what is said of it; then each line of the verdict."""
    lines: list[tuple[str, ...]] = [_COLUMNS]
    for record in records:
        judgement = judge(record, today)
        head = (record.name + (" (invented)" if record.invented else ""), record.id, record.form.title)
        for section in record.form.sections:
            for each in section.fields:
                lines += [(*head, section.title, *cells) for cells in _figures(record, each, judgement)]
        for verdict in judgement.lines:
            source = verdict.source.text
            lines.append(
                (
                    *head, "Verdict", "", verdict.label, "", "", "", verdict.level.value,
                    f"{verdict.wording}. {STUDY_AID}", source,
                )
            )
    return UTF_8_MARK + csv_table(lines)


def _figures(record: Record, each: Any, judgement: Judgement) -> list[tuple[str, ...]]:
    if not isinstance(each, Rows):
        text = record.text(each.name)
        return [("", each.label, text, *_both(each, text, record), *_said(judgement.at(each.name)))] if text else []
    cells = [("", each.label, "", "", "", *_said(judgement.at(each.name)))] if judgement.at(each.name) else []
    for number, row in enumerate(record.rows.get(each.name, ()), 1):
        for column, text in zip(each.columns, row, strict=True):
            flags = judgement.at(f"{each.name}/{number}/{column.name}")
            if text or flags:
                cells.append(
                    (f"{each.row_name} {number}", column.label, text, *_both(column, text, record), *_said(flags))
                )
    return cells


def _said(flags: tuple[Flag, ...]) -> tuple[str, str, str]:
    if not flags:
        return "", "", ""
    sources = dict.fromkeys(flag.source.text for flag in flags if flag.source)
    return flags[0].level.value, " ".join(phrase_text(flag.phrase, "us") for flag in flags), " ".join(sources)


def _both(each: Any, text: str, record: Record) -> tuple[str, str]:
    """A quantity as read, in both systems; nothing for what is no quantity or cannot be read."""
    if isinstance(each, Quantity) and text.strip():
        try:
            back = each.read_back(text, record.bare)
        except InputError:
            return "", ""
        return back.get("us", "").replace("\u00a0", " "), back.get("si", "").replace("\u00a0", " ")
    if isinstance(each, Choice) and text.strip():
        try:
            label = each.label_of(each.read(text, record.bare))
        except InputError:
            return "", ""
        return label, label
    if isinstance(each, Day):
        return text, text
    return "", ""


# --- the calendar file -------------------------------------------------------------

_WARN_DAYS = 30


def due_date_calendar(records: Sequence[Record], today: datetime.date, moment: str) -> str:
    """The next due dates of continuity logs as one calendar file. `moment` is now, as in 2026-03-02T07:30:00Z.

    Raises `RecordError` where no log has a due date.
    """
    judged = [judge(record, today) for record in records if record.kind == CONTINUITY_LOG.kind]
    if not any(each.due for each in judged):
        raise RecordError("", " ".join(["there is no date to put into a calendar.", *(each.headline for each in judged)]))
    stamp = moment.replace("-", "").replace(":", "")
    lines = [
        "BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Plate Test Study Guide//Continuity log//EN", "CALSCALE:GREGORIAN",
    ]
    for judgement in judged:
        lines += _event(judgement, judgement.due, stamp) if judgement.due else []
    return "".join(_folded(line) for line in [*lines, "END:VCALENDAR"])


def _event(judgement: Judgement, due: datetime.date, stamp: str) -> list[str]:
    record = judgement.record
    parts = [part for part in (record.text("welder"), record.text("process")) if part]
    who = (", ".join(parts) or record.name or "this welder") + (" (invented)" if record.invented else "")
    return [
        "BEGIN:VEVENT", f"UID:{record.id}-{due:%Y%m%d}@continuity-log.invalid", f"DTSTAMP:{stamp}",
        f"DTSTART;VALUE=DATE:{due:%Y%m%d}", f"DTEND;VALUE=DATE:{due + datetime.timedelta(days=1):%Y%m%d}",
        f"SUMMARY:{_escaped(f'Last day to act on the qualification: {who}')}",
        f"DESCRIPTION:{_escaped(judgement.headline + chr(10) + STUDY_AID)}", "TRANSP:TRANSPARENT", "BEGIN:VALARM",
        "ACTION:DISPLAY", f"TRIGGER:-P{_WARN_DAYS}D", f"DESCRIPTION:{_escaped(f'{_WARN_DAYS} days left: {who}')}",
        "END:VALARM", "END:VEVENT",
    ]


def _escaped(text: str) -> str:
    """Text as RFC 5545, 3.3.11 wants it.

    >>> _escaped("a;b,c" + chr(10) + chr(92))
    'a\\\\;b\\\\,c\\\\n\\\\\\\\'
    """
    for mark, written in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        text = text.replace(mark, written)
    return text


def _folded(line: str) -> str:
    """A content line cut to 75 octets, never inside a character (RFC 5545, 3.1)."""
    pieces, current, size = [], "", 0
    for letter in line:
        weight = len(letter.encode())
        if size + weight > 75:
            pieces.append(current)
            current, size = " ", 1
        current += letter
        size += weight
    return "\r\n".join([*pieces, current]) + "\r\n"
