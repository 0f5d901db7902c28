"""What the page asks of the bench sheet."""

from __future__ import annotations

from typing import Any

from calc.plate_test.fields import FORM
from calc.plate_test.qr import Missing, TooLong
from calc.plate_test.sheet import sheet_html
from calc.plate_test.work import work
from calc.record.shape import RecordError, from_data

Request = dict[str, Any]


def _sheet(request: Request) -> dict[str, Any]:
    """The bench sheet of a test as HTML; with a `link`, its QR code, or without it and why. `needs` names the part of
    the engine that is not there yet: the worker fetches it and asks once more.
    """
    try:
        record = from_data(request["record"])
    except RecordError as trouble:
        return {"refused": str(trouble), "place": trouble.place}
    if record.kind != FORM.kind:
        return {"refused": f"this is a {record.form.title.lower()}, not a test", "place": "/kind"}
    worked = work(record)
    try:
        return {"html": sheet_html(worked, str(request.get("link", "")))}
    except Missing as trouble:
        return {"needs": "qr", "html": sheet_html(worked), "told": str(trouble)}
    except TooLong as trouble:
        return {"html": sheet_html(worked), "told": str(trouble)}


DO = {"test-sheet": _sheet}
