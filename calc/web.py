"""The door through which the page calls calc: JSON text in, JSON text out, never an exception.

Requests are untrusted (they come from the address bar too): every text is read by
the inputs' own declarations and comes back escaped.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from calc.booth import BOOTH_DO
from calc.catalogue import calculator
from calc.classroom import CLASSROOM_DO
from calc.core.declare import Calculator, Choice, Input, InputError, Quantity, Result, Rows
from calc.core.units import System, asked_system
from calc.drawing_files import figure_file
from calc.photo import PHOTO_DO
from calc.planning import PLANNING_DO
from calc.plate_test import TEST_DO
from calc.practice import PRACTICE_DO
from calc.record import RECORD_DO
from calc.show.html import reading_html, shown
from calc.show.report import as_json
from calc.show.sliders import places

Request = dict[str, Any]


def respond(text: str) -> str:
    """Answer one request of the page.

    >>> import json
    >>> asked = {"do": "answer", "calculator": "groove", "inputs": {"bevel_angle": "90 deg"}}
    >>> json.loads(respond(json.dumps(asked)))["errors"]["bevel_angle"]
    '90° is outside the range; write from 0° to 60°'
    """
    try:
        request = json.loads(text)
        do = _DO[request["do"]]
    except (ValueError, KeyError, TypeError, RecursionError):
        return json.dumps({"trouble": "The page asked for something the guide does not know."})
    try:
        return json.dumps(do(request))
    except Exception as trouble:  # This is the door: whatever a request from outside brings about ends here, told by its kind.
        return json.dumps({"trouble": f"The page asked in a form the guide does not know ({type(trouble).__name__})."})


def _asked(request: Request) -> tuple[Calculator, dict[str, str], System]:
    texts = {str(name): str(text) for name, text in request.get("inputs", {}).items()}
    return calculator(str(request["calculator"])), texts, asked_system(request.get("system"))


# The result behind the last quick answer: the whole answer that follows it is about the same numbers.
_behind: dict[str, tuple[object, Result]] = {}


def _answer(request: Request, quick: bool = False) -> dict[str, Any]:
    """The answer as HTML and as a spoken sentence, or an error a field; and how each field was read."""
    calc, texts, system = _asked(request)
    readings = {
        each.name: reading_html(each, texts.get(each.name, each.default), system) for each in calc.inputs
        if isinstance(each, Quantity)
    }
    told = {"errors": {}, "read": readings, "slides": places(calc, texts, system)}
    if own := request.get("own"):
        told["same"] = _same(calc, texts, own, system)
    _, errors = calc.read(texts, system)
    if errors:
        return told | {"errors": {name: error.message for name, error in errors.items()}}
    asked = (calc.id, texts, system)
    known, result = _behind.pop("quick", (None, None))
    try:
        if known != asked:
            result = calc.answer(texts, system)
    except InputError as trouble:
        return told | {"errors": {trouble.field: trouble.message}}
    if quick:
        _behind["quick"] = asked, result
    return told | shown(result, str(request.get("place", calc.id)), quick)


def _same(calc: Calculator, texts: dict[str, str], own: dict[str, str], system: System) -> list[str]:
    """The inputs that mean what the reader's own test says (`own`), though they are written in another way."""
    (read, wrong), (mine, unusable) = (calc.read(each, system) for each in (texts, own))
    return [name for name in own if name not in wrong and name not in unusable and read[name] == mine[name]]


def _quick(request: Request) -> dict[str, Any]:
    """The answer without what is folded and without plots, for each key pressed and each move of a slider."""
    return _answer(request, quick=True)


def _numbers(request: Request) -> dict[str, Any]:
    """The answer as plain data, the same that the command line prints."""
    calc, texts, system = _asked(request)
    try:
        return as_json(calc.answer(texts, system))
    except InputError as trouble:
        return {"error": str(trouble)}


def _link(request: Request) -> dict[str, Any]:
    """The inputs with their units written out: for a link, and before a switch of units."""
    calc, texts, system = _asked(request)
    written = {each.name: _with_units(each, texts[each.name], system) for each in calc.inputs if each.name in texts}
    return {"inputs": written, "defaults": calc.defaults}


def _with_units(each: Input, text: str, system: System) -> str:
    return each.with_unit(text, system) if isinstance(each, (Quantity, Rows)) else text


def _open(request: Request) -> dict[str, Any]:
    """The inputs of a link, sorted into those that can be used and those that cannot, with the reason.

    An option goes back under its own name, whatever the link called it, and a bare number with the unit it was read in:
    on a page in the other system it means the same.
    """
    calc, texts, system = _asked(request)
    texts, renewed = calc.renewed(texts)
    values, errors = calc.read(texts, system)
    return {
        "renewed": renewed, "inputs": {
            name: values[name] if isinstance(calc.input(name), Choice) else _with_units(calc.input(name), text, system)
            for name, text in texts.items() if name not in errors
        },
        "refused": {name: f"{error.label}: {error.message}" for name, error in errors.items()},
    }


_DO: dict[str, Callable[[Request], dict[str, Any]]] = {
    "answer": _answer, "quick": _quick, "numbers": _numbers, "link": _link, "open": _open, "figure": figure_file,
    **RECORD_DO, **TEST_DO, **PRACTICE_DO, **PLANNING_DO, **CLASSROOM_DO, **PHOTO_DO, **BOOTH_DO,
}
