"""Marking: whether an answer is right, which slip it looks like, and what it counts for in the spacing rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calc.catalogue import calculator
from calc.core.declare import InputError, Phrase, Result, Value
from calc.core.units import NUMBER, System
from calc.practice import slips
from calc.practice.forms import Choice, Judge, Looks, Number, Order
from calc.practice.questions import Question, in_order, is_printed, plain_time, read_reply, tolerance_of

RIGHT_AND_SURE, RIGHT_UNSURE, SLIPPED, WRONG = 5, 3, 2, 1
"""Grades of the spacing rule (0 to 5; below 3 is a miss). See `calc.practice.schedule`."""

TRY_WITHIN, TRY_WITHIN_TEMPERATURE = "2 %", "5 °F"


@dataclass(frozen=True)
class Marking:
    """What became of an answer. `slip` completes “It looks as if …”."""

    right: bool
    slip: str = ""
    missed: tuple[int, ...] = ()
    extra: tuple[int, ...] = ()

    def grade(self, sure: bool) -> int:
        """The grade for the spacing rule."""
        if self.right:
            return RIGHT_AND_SURE if sure else RIGHT_UNSURE
        return SLIPPED if self.slip else WRONG


def mark(question: Question, answers: Sequence[str], system: System = "us") -> Marking:
    """Mark an answer: one text for a number; positions of lines shown (from 0) for the rest, in order for order forms.

    Raises `InputError` where the answer cannot be read.

    >>> from calc.practice.forms import form_named
    >>> from calc.practice.questions import draw
    >>> question = draw(form_named("groove-included-angle"), 7)
    >>> mark(question, [question.asked.text("us")]).right
    True
    """
    body = question.form.body
    if isinstance(body, Number):
        return mark_figure(question.result, question.asked, next(iter(answers), ""), system, body.within, body.slips)
    if isinstance(body, Looks) and (len(answers) != len(question.pictured) or "" in answers):
        raise InputError("answer", "Your answer", "choose a name for each drawing")
    places = _places(answers, len(question.shown))
    if isinstance(body, Order):
        if sorted(places) != list(range(len(question.shown))):
            raise InputError("answer", "Your answer", "give each step its own number, each number once")
        return Marking(in_order(body, [question.shown[place] for place in places]))
    if isinstance(body, Looks):
        missed = tuple(number for number, (place, right) in enumerate(zip(places, question.right)) if place != right)
        return Marking(not missed, missed=missed)
    if question.form.kind == "hazard":
        missed = tuple(place for place in question.right if place not in places)
        extra = tuple(place for place in places if place not in question.right)
        return Marking(not missed and not extra, missed=missed, extra=extra)
    if len(places) != 1:
        raise InputError("answer", "Your answer", "choose one answer")
    return Marking(tuple(places) == question.right)


def _places(answers: Sequence[str], count: int) -> list[int]:
    if not set(answers) <= {str(place) for place in range(count)}:
        raise InputError("answer", "Your answer", f"name lines by their numbers, from 0 to {count - 1}")
    return [int(text) for text in answers]


def mark_figure(result: Result, value: Value, text: str, system: System, within: str, declared: tuple = ()) -> Marking:
    """Mark a figure typed by a reader. Raises `InputError` where it cannot be read."""
    reply = read_reply(value, text, system)
    if isinstance(reply, str):
        return Marking(reply == plain_time(value.wording))
    allowed = tolerance_of(value, within)
    if abs(reply - float(value.amount)) <= allowed or is_printed(value, reply):
        return Marking(True)
    return Marking(False, slips.recognised(result.calculator, result, value, reply, allowed, declared))


# --- try first: a calculator's own figure ------------------------------------------------


def figures_to_try(result: Result) -> tuple[Value, ...]:
    """The main figures of an answer that a reader can work out."""
    return tuple(value for value in result.values if value.main and value.amount is not None)


def try_within(value: Value) -> str:
    """The tolerance that a tried figure is marked with, as it is told to the reader: none for a count, degrees for a
    temperature, else a share.

    >>> try_within(calculator("groove").answer()["face_width"]), try_within(calculator("preheat").answer()["least"])
    ('2 %', '5 °F')
    """
    if value.kind is NUMBER and float(value.amount).is_integer():
        return "0"
    return TRY_WITHIN_TEMPERATURE if value.kind.us.offset else TRY_WITHIN


def mark_try(identifier: str, inputs: dict[str, str], name: str, text: str, system: System) -> tuple[Marking, Result]:
    """Mark a figure tried at a calculator. Raises `InputError`; `KeyError` for an unknown figure."""
    result = calculator(identifier).answer(inputs, system)
    value = next((each for each in figures_to_try(result) if each.name == name), None)
    if value is None:
        raise KeyError(name)
    return mark_figure(result, value, text, system, try_within(value)), result


def right_text(question: Question) -> Phrase:
    """The right answer as one phrase: the option or verdict; empty for the other kinds."""
    if not isinstance(question.form.body, (Judge, Choice)):
        return ()
    (place,) = question.right
    return question.lines[place]
