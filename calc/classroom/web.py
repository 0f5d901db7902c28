"""What the page of the class asks for. Each handler takes the request and returns plain data; `calc/web.py` lists them.

The files come in as base64 and stay in the browser. Reading is asked for a few at a time, so that the page can tell how
far it is; a file that was read once is not read again.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any

from calc.classroom.brought import Brought, Refused, read_file, read_files
from calc.classroom.glance import Glance, glance, judged
from calc.classroom.glance_files import glance_csv
from calc.classroom.glance_page import glance_html
from calc.practice.memory import Missing, model
from calc.practice.web import PART
from calc.record.files import due_date_calendar
from calc.record.shape import Record, RecordError
from calc.record.web import bytes_in, day_of, told

Request = dict[str, Any]


def _files(request: Request) -> list[tuple[str, bytes]]:
    """The files of a request by name. What is no base64 is no file of the guide's, and is read as nothing."""
    found = []
    for each in request["files"]:
        try:
            data = bytes_in(each)
        except RecordError:
            data = b""
        found.append((str(each["name"])[:300], data))
    return found


_read = lru_cache(maxsize=4096)(read_file)


def _look(request: Request) -> tuple[Glance, dict[str, Any]]:
    """The class of a request, and what an answer about it begins with: without the model of memory, which the engine
    fetches when it is asked for, nothing is said of who is ready. Raises `RecordError`."""
    today = day_of(request)
    if today is None:
        raise RecordError("", "the date of today is missing")
    brought, refused = read_files(_files(request), _read)
    refused += [Refused(str(each["name"])[:300], str(each["reason"])[:300]) for each in request.get("refused", ())]
    try:
        known = model()
    except Missing:
        known = None
    asks = known is None and any(not isinstance(each.content, Record) for each in brought)
    return glance(brought, refused, today, known, day_of(request, "test")), {"needs": PART} if asks else {}


def _taken(request: Request) -> dict[str, Any]:
    """How many files of these can be used. They are judged here, so that the whole class is there at once later."""
    brought, refused = read_files(_files(request), _read)
    today = day_of(request)
    for each in brought:
        if today and isinstance(each.content, Record):
            judged(each, today)
    return {"taken": len(brought), "refused": len(refused)}


def _glance(request: Request) -> dict[str, Any]:
    found, first = _look(request)
    return first | {"html": glance_html(found), "logs": len(found.logs), "people": len(found.people)}


def _csv(request: Request) -> dict[str, Any]:
    found, first = _look(request)
    return first | {"text": glance_csv(found), "file": "class.csv"}


def _calendar(request: Request) -> dict[str, Any]:
    found, _ = _look(request)
    text = due_date_calendar(found.logs, day_of(request), str(request["moment"]))
    return {"text": text, "file": "class.ics"}


DO: dict[str, Callable[[Request], dict[str, Any]]] = {
    "class-read": told(_taken), "class-glance": told(_glance), "class-csv": told(_csv),
    "class-calendar": told(_calendar),
}
