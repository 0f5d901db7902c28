"""A class plan on paper and as files: the order list, the timetable, every figure as data."""

from __future__ import annotations

import json
from collections.abc import Callable
from html import escape
from typing import Any

from calc.core.declare import InputError, Result
from calc.core.units import asked_system
from calc.planning import class_day
from calc.planning.class_plan import CLASS_PLAN, Outline, outlined, plan_of
from calc.planning.orders import listings, order_csv
from calc.planning.timetable import Timetable
from calc.show.html import listings_html, phrase_html
from calc.show.report import as_json
from calc.show.table import UTF_8_MARK

Request = dict[str, Any]
_NOBODY = {"errors": {"roster": "Nobody is on the roster yet."}}
_NO_TIMETABLE = {"errors": {"day_end": "There is no timetable: see what the answer says."}}
_FOOT = '<p class="paper-note">Made by the study guide from the figures entered. The WPS and your instructor come first.</p>'


def _asked(request: Request, make: Callable[[Outline, Timetable | None, Result], dict[str, Any]]) -> dict[str, Any]:
    texts = {str(name): str(text) for name, text in request.get("inputs", {}).items()}
    system = asked_system(request.get("system"))
    try:
        result = CLASS_PLAN.answer(texts, system)
        outline = outlined(CLASS_PLAN.read(texts, system)[0])
    except InputError as trouble:
        return {"errors": {trouble.field: trouble.message}}
    if outline is None:
        return _NOBODY
    plan, _ = plan_of(outline)
    return {"errors": {}, **make(outline, plan, result)}


def paper(request: Request) -> dict[str, Any]:
    """The order list or the timetable, as HTML for a sheet of its own."""
    return _asked(request, _timetable if request.get("page") == "timetable" else _order)


def _order(outline: Outline, plan: Timetable | None, result: Result) -> dict[str, Any]:
    bands = "".join(
        f"<li>{escape(value.label)}: {escape(value.wording)}</li>"
        for value in result.values if value.name.endswith("_band")
    )
    return {"html": (
        f"<h2>Order list for the class</h2><p>{phrase_html(result.headline)}</p>{listings_html(listings(outline.order))}"
        f"<h3>How sure that is</h3><ul>{bands}</ul>{_FOOT}"
    )}


def _timetable(outline: Outline, plan: Timetable | None, result: Result) -> dict[str, Any]:
    if plan is None:
        return _NO_TIMETABLE
    return {"html": (
        f"<h2>Timetable of the class</h2><p>{phrase_html(result.headline)}</p>"
        f"{listings_html((class_day.listing(plan, outline.roster),))}{_FOOT}"
    )}


def file(request: Request) -> dict[str, Any]:
    """The order or the timetable as a table, or the whole answer as data: name, type and text of a file."""
    makers = {"json": _data, "timetable": _timetable_file}
    return _asked(request, makers.get(str(request.get("kind")), _order_file))


def _order_file(outline: Outline, plan: Timetable | None, result: Result) -> dict[str, Any]:
    return _table_file("order", order_csv(outline.order))


def _timetable_file(outline: Outline, plan: Timetable | None, result: Result) -> dict[str, Any]:
    return _NO_TIMETABLE if plan is None else _table_file("timetable", class_day.timetable_csv(plan, outline.roster))


def _table_file(what: str, text: str) -> dict[str, str]:
    # The mark at the start tells a spreadsheet that the text is UTF-8.
    return {"name": f"class-{what}.csv", "type": "text/csv;charset=utf-8", "text": UTF_8_MARK + text}


def _data(outline: Outline, plan: Timetable | None, result: Result) -> dict[str, Any]:
    data = {"format": "plate-test-guide class", "version": 1, "answer": as_json(result)}
    return {
        "name": "class-plan.json", "type": "application/json", "text": json.dumps(data, indent=1, ensure_ascii=False),
    }
