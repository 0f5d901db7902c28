"""The figures of a test as they stand in a sentence of the guide: `[mine: root_opening]`, `[mine: passes.rods]`.

The build prints the invented shop's. Where the reader's own test says or gives the figure, the page puts that one in.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from html import escape

from calc.core.declare import Choice, Input, Quantity, Rows, Value
from calc.plate_test.fields import FIELDS, FORM
from calc.plate_test.work import Answer, Worked, work
from calc.record.shape import blank
from calc.show.html import both
from calc.stages.current import UNSTATED

_NO_DAY = "2026-01-01T00:00:00Z"


def prose(worked: Worked) -> dict[str, str]:
    """What a sentence may say of a test that is worked out: each fact that it states, and each main figure that follows from it.

    Keys are the id of the fact, or `calculator.value`. A fact left blank has none, and neither has a figure that could
    not be worked out, or that rests on nothing that was said: the invented shop's must not pass for the reader's.

    >>> prose(work(blank(FORM.kind, "demo-0001", _NO_DAY)))
    {}
    """
    said = {name: worked.texts[name] for name in FIELDS if worked.record.text(name).strip()}
    if any(not each.calculator for each in worked.refusals):
        return {}
    return dict(_facts(said)) | _figures(answer for answer in worked.answers if answer.own)


def _figures(answers: Iterable[Answer]) -> dict[str, str]:
    """The main figures of the answers for the main rod."""
    return {
        f"{answer.result.calculator.id}.{value.name}": _figure(value)
        for answer in answers if not answer.layer for value in answer.result.values if value.main
    }


@cache
def printed() -> dict[str, str]:
    """The same of the invented shop's test, with what stands in for each fact: what the pages print.

    >>> printed()["root_opening"]
    '<span class="us">1/4 in</span><span class="si">6.35\\xa0mm</span>'
    """
    stand_ins = {name: each.stand_in for name, each in FIELDS.items() if each.stand_in}
    return dict(_facts(stand_ins)) | _figures(work(blank(FORM.kind, "printed-0001", _NO_DAY)).answers)


def _facts(texts: dict[str, str]) -> Iterator[tuple[str, str]]:
    for name, text in texts.items():
        each = FIELDS[name].input
        if text and not isinstance(each, Rows) and (shown := _fact(each, text)):
            yield name, shown


def _fact(each: Input, text: str) -> str:
    """One fact in both systems. A choice says its name without what explains it; what is not stated says nothing."""
    if isinstance(each, Quantity):
        back = each.read_back(text, "us")
        return both(back["us"], back["si"])
    if not isinstance(each, Choice):
        return escape(text)
    label = next((option.label for option in each.options if option.value == text), text)
    return "" if text == UNSTATED else escape(label.partition(",")[0])


def _figure(value: Value) -> str:
    """A figure as its calculator shows it, without the shop fraction that it is near to."""
    return both(value.text("us").partition(" (about ")[0], value.text("si"))
