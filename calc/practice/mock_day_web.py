"""What the page of the mock test day asks. Everything that comes in is untrusted, and comes back escaped."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any

from calc.core.declare import InputError
from calc.core.units import split, asked_system, with_unit
from calc.practice import marking, memory, progress
from calc.practice.mock_day import Day, draw_day
from calc.practice.mock_day_sheet import (
    day_html,
    decision_html,
    line_of_command,
    mark_day,
    objectives_of,
    read_answer,
    result_html,
)
from calc.practice.web import PART, plain_place, today_of
from calc.practice.worksheet import UNITS
from calc.record.shape import RecordError, from_data

Request = Mapping[str, Any]
Answer = dict[str, Any]


@lru_cache(maxsize=4)
def _drawn(seed: str, test: str) -> Day:
    return draw_day(seed, from_data(json.loads(test)) if test else None)


def _day(request: Request) -> Day:
    """The day asked for. Raises `ValueError` or `RecordError` with the reason in words."""
    test = request.get("test")
    return _drawn(str(request.get("seed", "")).strip(), json.dumps(test, sort_keys=True) if test else "")


def _day_page(request: Request) -> Answer:
    """The whole day without its keys: each decision as a form."""
    day, place = _day(request), plain_place(request)
    return {
        "seed": day.seed, "notes": list(day.notes) if day.own else [],
        "decisions": [
            {"id": each.id, "html": decision_html(day, number, f"{place}-{each.id}")}
            for number, each in enumerate(day.decisions)
        ],
    }


def _day_read(request: Request) -> Answer:
    """The answer with its unit written out, as it is kept: units may be switched before the end. Where it can't be
    read, why; nothing of whether it is right.
    """
    text, system = str(request.get("answer", "")), asked_system(request.get("system"))
    wanted = str(request["decision"])
    decision = next(each for each in _day(request).decisions if each.id == wanted)
    try:
        read_answer(decision, text, system)
    except InputError as trouble:
        return {"error": f"{trouble.message[0].upper()}{trouble.message[1:]}."}
    if decision.value is None or decision.value.kind is None:
        return {"text": text}
    unit = split(text, decision.value.kind)[1]
    return {"text": text if unit else with_unit(text, decision.value.kind.unit(system))}


def _day_mark(request: Request) -> Answer:
    """The day marked, and what is remembered of its objectives from now on."""
    day, system = _day(request), asked_system(request.get("system"))
    answers = {str(name): str(text) for name, text in request.get("answers", {}).items()}
    marked = mark_day(day, answers, system)
    html = result_html(day, marked, plain_place(request), system)
    told = {"html": html, "right": sum(each.right for each in marked), "total": len(marked)}
    before, today = progress.read_memories(request.get("memory", {})), today_of(request)
    try:
        after = {}
        for name, right in objectives_of(marked).items():
            grade = marking.RIGHT_AND_SURE if right else marking.WRONG
            after[name] = progress.memory_data(memory.model().after(before.get(name), grade, today))
        return told | {"memory": after}
    except memory.Missing:
        return {"needs": PART} | told


def _day_print(request: Request) -> Answer:
    """The day to print, the same that the command line prints."""
    day, units, examiner = _day(request), str(request.get("units", "us")), request.get("examiner") is True
    units = units if units in UNITS else "us"
    return {"html": day_html(day, examiner, units), "line": line_of_command(day, examiner, units)}


def _told(do: Callable[[Request], Answer]) -> Callable[[Request], Answer]:
    """What cannot be drawn is told in words."""

    def answer(request: Request) -> Answer:
        try:
            return do(request)
        except RecordError as trouble:
            return {"refused": trouble.message}
        except ValueError as trouble:
            return {"refused": str(trouble)}

    return answer


DO: dict[str, Callable[[Request], Answer]] = {
    f"mock-day{name}": _told(do)
    for name, do in {"": _day_page, "-read": _day_read, "-mark": _day_mark, "-print": _day_print}.items()
}
