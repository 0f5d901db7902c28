"""What the record page asks for. Each handler takes the request and returns plain data; `calc/web.py` lists them."""

from __future__ import annotations

import base64
import binascii
import datetime
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from calc.core.texts import NotText, text_of
from calc.core.units import SYSTEMS
from calc.record.bench import Judgement
from calc.record.demo import DEMOS
from calc.record.files import due_date_calendar, file_name, read_record, records_csv, write_record
from calc.record.form import readings_html, said_html, summary, verdict_html, written_out
from calc.record.judge import judge
from calc.record.shape import Record, RecordError, as_data, from_data
from calc.record.sheet import sheet_html

Request = dict[str, Any]


def told(do: Callable[[Request], dict[str, Any]]) -> Callable[[Request], dict[str, Any]]:
    """A file or record that cannot be read is told with its place; it is never an exception."""

    def answer(request: Request) -> dict[str, Any]:
        try:
            return do(request)
        except RecordError as trouble:
            return {"refused": str(trouble), "place": trouble.place}

    return answer


def record_of(request: Request) -> Record:
    """The record of a request, checked in full. Raises `RecordError`."""
    return from_data(request["record"])


def day_of(request: Request, name: str = "today") -> datetime.date | None:
    """A day of a request; None where it is left out or is none."""
    try:
        return datetime.date.fromisoformat(str(request.get(name, ""))[:10])
    except ValueError:
        return None


def bytes_in(request: Request) -> bytes:
    """The bytes of a file, which come as base64. Raises `RecordError`."""
    try:
        return base64.b64decode(str(request["data"]), validate=True)
    except binascii.Error:
        raise RecordError("", "this is not a file that can be read") from None


def judged(judgement: Judgement) -> dict[str, Any]:
    """Everything said of a record: beside each figure, how it was read, and the verdict."""
    return {
        "said": said_html(judgement), "read": readings_html(judgement.record), "verdict": verdict_html(judgement),
        "headline": judgement.headline, "summary": summary(judgement.record),
        "due": judgement.due.isoformat() if judgement.due else "",
    }


def _judge(request: Request) -> dict[str, Any]:
    return judged(judge(record_of(request), day_of(request)))


def _read(request: Request) -> dict[str, Any]:
    """The record in a file that somebody brings."""
    try:
        text = text_of(bytes_in(request))
    except NotText as trouble:
        raise RecordError("", str(trouble)) from None
    record = read_record(text)
    return {"record": as_data(record), "name": record.name, "summary": summary(record)}


def _write(request: Request) -> dict[str, Any]:
    record = record_of(request)
    return {"text": write_record(record), "file": file_name(record, "json")}


def _csv(request: Request) -> dict[str, Any]:
    records = [from_data(each) for each in request["records"]]
    name = file_name(*records, "csv") if len(records) == 1 else "records.csv"
    return {"text": records_csv(records, day_of(request)), "file": name}


def _calendar(request: Request) -> dict[str, Any]:
    record, today = record_of(request), day_of(request)
    if today is None:
        raise RecordError("", "the date of today is missing")
    return {"text": due_date_calendar([record], today, str(request["moment"])), "file": file_name(record, "ics")}


def _sheet(request: Request) -> dict[str, Any]:
    return {"html": sheet_html(judge(record_of(request), day_of(request)))}


def _bare(request: Request) -> dict[str, Any]:
    """The record with its units written out, and bare numbers read in the other system from now on."""
    wanted = request["bare"]
    if wanted not in SYSTEMS:
        raise RecordError("/bare_numbers", "write us or si")
    return {"record": as_data(written_out(record_of(request), wanted))}


def _demo(request: Request) -> dict[str, Any]:
    """The invented records, each with an id of the page's own."""
    ids = list(request["ids"])
    return {"records": [as_data(replace(record, id=str(identifier))) for record, identifier in zip(DEMOS, ids)]}


DO: dict[str, Callable[[Request], dict[str, Any]]] = {
    f"record-{name}": told(do)
    for name, do in {
        "judge": _judge, "read": _read, "write": _write, "csv": _csv, "calendar": _calendar, "sheet": _sheet,
        "bare": _bare, "demo": _demo,
    }.items()
}
