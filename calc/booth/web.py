"""What the page of the booth asks for. Each handler takes the request and returns plain data; `calc/web.py` lists
them. The journal and the record in a request are untrusted: both are checked in full.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable
from html import escape
from typing import Any

from calc.booth.board import Board
from calc.booth.into_record import measured, put_into, text_at
from calc.booth.journal import LAST_INSTANT, read_day
from calc.booth.log import Facts
from calc.booth.pads import pads_of
from calc.booth.page import Page, missing_html, test_line
from calc.core.units import asked_system
from calc.plate_test.fields import FORM
from calc.record.fields import TEST_DAY
from calc.record.judge import judge
from calc.record.shape import Record, RecordError, as_data, blank, from_data
from calc.record.web import told

Request = dict[str, Any]
_NO_TEST = "No test of yours is here: the clocks run, and what has a limit is not known."


def _board(request: Request) -> tuple[Board, Record | None]:
    day = read_day(request["day"])
    now = request["now"]
    if type(now) is not int or not 0 <= now <= LAST_INSTANT:
        raise RecordError("/now", f"write whole milliseconds from 0 to {LAST_INSTANT}")
    test = from_data(request["test"]) if request.get("test") else None
    if test and test.kind != FORM.kind:
        raise RecordError("/test/kind", "this is not a test")
    facts = Facts.of(test or blank(FORM.kind, "no-test-00", "2026-01-01T00:00:00Z"))
    return Board(facts, day, now), test


def _shown(request: Request) -> dict[str, Any]:
    """Everything that the page shows of a day now: its parts as HTML, the strip and the pads as data."""
    board, test = _board(request)
    page = Page(board, asked_system(request.get("system")))
    number = board.current.number if board.current else len(board.passes)
    return {
        "line": escape(test_line(test) if test else _NO_TEST), "now": page.under_way(), "clocks": page.clocks(),
        "passes": page.passes(), "events": page.events(), "undo": page.undo(), "spent": page.spent(),
        "strip": page.strip(), "pads": list(pads_of(board.facts, board.passes, number, page.system)),
    }


def _record(request: Request) -> dict[str, Any]:
    """The record with the day in it, what was given, and the list of what is missing. `before` is what was given last,
    `take` the places where the figure of the day is wanted in place of another.
    """
    board, _ = _board(request)
    record = from_data(request["record"])
    if record.kind != TEST_DAY.kind:
        raise RecordError("/record/kind", f"this is no {TEST_DAY.title.lower()}")
    wanted = measured(board)
    before = {str(place): str(text) for place, text in dict(request.get("before", {})).items() if place in wanted
        or place in {each.name for each in TEST_DAY.fields}}
    before |= {place: text_at(record, place) for place in map(str, request.get("take", ())) if place in wanted}
    put = put_into(record, wanted, before)
    checked = from_data(as_data(put.record))
    judgement = judge(checked, datetime.date.fromisoformat(str(request["today"])[:10]))
    return {
        "record": as_data(checked), "given": dict(put.given), "changed": checked != record,
        "missing": missing_html(judgement, put.differs, wanted), "headline": judgement.headline,
    }


DO: dict[str, Callable[[Request], dict[str, Any]]] = {
    f"booth-{name}": told(do) for name, do in {"board": _shown, "record": _record}.items()
}
