"""What the page of the test asks for. Each handler takes the request and returns plain data; `calc/web.py` lists
them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from html import escape
from typing import Any

from calc.catalogue import CALCULATORS
from calc.core.declare import Choice, InputError, Quantity, Rows, taken
from calc.core.units import SYSTEMS
from calc.plate_test.fields import FIELDS, FORM
from calc.plate_test.judge import headline, judgement_of
from calc.plate_test.link import LinkError, differences, link_text, read_link
from calc.plate_test.page import changes_html, fact_html, first_html, mine_data, one_line, verdicts_html
from calc.plate_test.qr import Missing, TooLong
from calc.plate_test.sheet import sheet_html
from calc.plate_test.take_over import record_of, words_of
from calc.plate_test.work import changes, fills, with_facts, work
from calc.record.demo import TEST
from calc.record.shape import Record, RecordError, as_data, blank, from_data
from calc.record.web import judged, told

Request = dict[str, Any]


@cache
def own() -> dict[str, dict[str, str]]:
    """The inputs that take a plain fact of the test, by calculator: what is said there can be made the test's.

    >>> own()["groove"]["thickness"]
    'thickness'
    """
    found = {
        calc.id: {each.name: name for each in calc.inputs if (name := taken(each)) in FIELDS} for calc in CALCULATORS
    }
    return {identifier: names for identifier, names in found.items() if names}


def _test(request: Request, part: str = "record") -> Record:
    record = from_data(request[part])
    if record.kind != FORM.kind:
        raise RecordError("/kind", f"this is a {record.form.title.lower()}, not a test")
    return record


def _work(request: Request) -> dict[str, Any]:
    """All that follows from a test: beside its facts, the first useful answer, the verdicts, what a change of `before`
    changes, and what the other pages take.
    """
    return _worked(_test(request), _test(request, "before") if request.get("before") else None)


def _worked(record: Record, before: Record | None = None) -> dict[str, Any]:
    worked = work(record)
    return judged(judgement_of(worked)) | {
        "first": first_html(worked) if worked.answers else "", "verdict": verdicts_html(worked),
        "level": worked.level.value, "headline": escape(headline(worked)), "summary": one_line(record),
        "changes": changes_html(changes(work(before), worked)) if before else [],
        "mine": mine_data(worked, fills(record), own()),
    }


def _set(request: Request) -> dict[str, Any]:
    """The test with one fact said otherwise, and all that follows. A bare number is read in `system`."""
    record, name = _test(request), str(request["field"])
    text, system = str(request["text"]).strip(), request.get("system")
    each = FIELDS[name].input if name in FIELDS else None
    if each is None or isinstance(each, Rows) or system not in SYSTEMS:
        raise RecordError(f"/values/{name[:40]}", "there is no such fact in a test")
    if text:
        try:
            value = each.read(text, system)
        except InputError as trouble:
            raise RecordError(f"/values/{name}", trouble.message) from None
        if isinstance(each, Choice):
            text = value
        elif isinstance(each, Quantity):
            text = each.with_unit(text, system)
    changed = from_data(as_data(with_facts(record, {name: text})))
    return _worked(changed, record) | {"record": as_data(changed)}


def _link(request: Request) -> dict[str, Any]:
    """The text that carries the whole test."""
    return {"text": link_text(_test(request))}


def _open(request: Request) -> dict[str, Any]:
    """The test of a link, what it would change of the `current` one, fact by fact, and what was not taken of it."""
    identifier, moment = str(request["id"]), str(request["moment"])
    found, refused = read_link(str(request["text"]), identifier, moment)
    found = from_data(as_data(found))
    current = _test(request, "current") if request.get("current") else blank(FORM.kind, identifier, moment)
    return {
        "record": as_data(found), "line": one_line(found),
        "changes": list(differences(current, found, fact_html)),
        "refused": [f"{each.label}: {each.message}" for each in refused],
    }


def _sheet(request: Request) -> dict[str, Any]:
    """The bench sheet of a test as HTML; with a `link`, its QR code, or without it and why. `needs` names the part of
    the engine that is not there yet: the worker fetches it and asks once more.
    """
    worked = work(_test(request))
    try:
        return {"html": sheet_html(worked, str(request.get("link", "")))}
    except Missing as trouble:
        return {"needs": "qr", "html": sheet_html(worked), "told": str(trouble)}
    except TooLong as trouble:
        return {"html": sheet_html(worked), "told": str(trouble)}


def _record(request: dict[str, Any]) -> dict[str, Any]:
    """A new record of the day from the test, and what to say of it."""
    test = _test(request)
    made = from_data(as_data(record_of(test, str(request["id"]), str(request["moment"]))))
    return {"record": as_data(made), "words": words_of(test)}


def _demo(request: Request) -> dict[str, Any]:
    """The invented shop's test, with an id of the page's own."""
    return {"record": as_data(replace(TEST, id=str(request["id"])))}


def _link_told(do: Callable[[Request], dict[str, Any]]) -> Callable[[Request], dict[str, Any]]:
    """A link that cannot be made or read is told; it is never an exception."""

    def answer(request: Request) -> dict[str, Any]:
        try:
            return do(request)
        except LinkError as trouble:
            return {"refused": str(trouble)}

    return answer


DO: dict[str, Callable[[Request], dict[str, Any]]] = {
    f"test-{name}": told(_link_told(do))
    for name, do in {"work": _work, "set": _set, "link": _link, "open": _open, "demo": _demo,
        "sheet": _sheet, "record": _record}.items()
}
