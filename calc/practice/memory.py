"""What a reader still knows on a day: a model of memory for each objective.

The model is the open one of the package fsrs (MIT license), version 6 with its published parameters. It holds two
numbers for each thing learned: its stability, the days in which the chance to know it falls from 100 % to 90 %, and
its difficulty from 1 to 10. Only this module asks for the package. Where it is not at hand `Missing` is raised, and
practice goes by the older rule (`calc.practice.schedule`).

An objective is one thing here, whichever of its questions was asked: what is to be known on the test day is the
objective, and never one question.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from calc.practice.forms import Form
from calc.practice.schedule import FIRST_EASE, LEAST_EASE, NO_REPEAT, PASS, Card

EASIEST, HARDEST = 1.0, 10.0
SHORTEST, LONGEST = 0.001, 36500.0
"""Days of stability that the model may give."""
DOUBT = 15
"""As many answers that came out as guessed are added to a reader's own before they bend the guess."""
UNSEEN = 0.25
"""The chance that an objective is known that was never asked: a cautious guess of ours."""


NEEDED = "the plan needs the package fsrs; the older rule works without it"


class Missing(Exception):
    """The package of the model is not at hand."""


@dataclass(frozen=True)
class Memory:
    """What is known of a reader and an objective: stability in days, difficulty from 1 to 10, the day of the last
    answer, and how many answers there were.
    """

    stability: float
    difficulty: float
    last: str
    seen: int = 1


@dataclass(frozen=True)
class Checked:
    """How the model's guesses came out for one reader, over the answers given a day or more after the one before: the
    sum of the chances it gave, how many were right, and how many there were.
    """

    expected: float = 0.0
    right: int = 0
    count: int = 0

    def bend(self, known: float) -> float:
        """A chance as this reader's answers bend it; as it is where there were few.

        The power of it that would have made the guesses come out, with `DOUBT` answers as guessed added to those seen.

        >>> Checked().bend(0.8), round(Checked(80.0, 50, 100).bend(0.8), 2), round(Checked(80.0, 95, 100).bend(0.8), 2)
        (0.8, 0.54, 0.93)
        """
        if not self.count:
            return known
        mean = min(0.98, max(0.02, self.expected / self.count))
        found = min(0.98, max(0.02, (self.right + DOUBT * mean) / (self.count + DOUBT)))
        return known ** (math.log(found) / math.log(mean))


class Model:
    """The model with one set of parameters. Raises `Missing`.

    >>> model = Model()
    >>> first = model.after(None, 5, "2026-03-02"); round(first.stability, 2), model.known(first, "2026-03-02")
    (2.31, 1.0)
    >>> [round(model.known(first, day), 2) for day in ("2026-03-04", "2026-03-09", "2026-04-02")]
    [0.91, 0.81, 0.66]
    """

    def __init__(self, parameters: Sequence[float] = ()) -> None:
        try:
            from fsrs.scheduler import Scheduler
        except ImportError:
            raise Missing(NEEDED) from None
        given = {"parameters": tuple(parameters)} if parameters else {}
        self.rule = Scheduler(**given, learning_steps=(), relearning_steps=(), enable_fuzzing=False)

    def known(self, memory: Memory | None, day: str) -> float:
        """The chance that an objective is known on a day, from 0 to 1."""
        if memory is None:
            return UNSEEN
        return self.rule.get_card_retrievability(_card(memory), _noon(max(day, memory.last)))

    def after(self, memory: Memory | None, grade: int, day: str) -> Memory:
        """The memory after an answer of a grade (0 to 5, see `calc.practice.schedule`) on a day."""
        from fsrs.rating import Rating

        rating = Rating.Again if grade < PASS else Rating.Hard if grade < NO_REPEAT else Rating.Good
        day = max(day, memory.last) if memory else day
        card, _ = self.rule.review_card(_card(memory, day), rating, _noon(day))
        return Memory(
            round(min(LONGEST, max(SHORTEST, card.stability)), 4), round(card.difficulty, 4), day,
            memory.seen + 1 if memory else 1,
        )

    def checked(self, before: Checked, memory: Memory | None, grade: int, day: str) -> Checked:
        """The reader's record of guesses after an answer; unchanged by a first one and by one of the same day."""
        if memory is None or day <= memory.last:
            return before
        expected = round(before.expected + self.known(memory, day), 4)
        return Checked(expected, before.right + (grade >= PASS), before.count + 1)

    def gain(self, memory: Memory | None, today: str, test: str) -> float:
        """By how much a question today raises the chance to know an objective on the test day.

        >>> model = Model(); fresh = model.after(None, 5, "2026-03-02")
        >>> model.gain(None, "2026-03-03", "2026-03-20") > model.gain(fresh, "2026-03-03", "2026-03-20") > 0
        True
        """
        now = self.known(memory, today)
        right, wrong = (self.known(self.after(memory, grade, today), test) for grade in (5, 1))
        # One that is missed is told at once, and asked once more.
        return now * right + (1 - now) * wrong - self.known(memory, test)


def published() -> tuple[tuple[float, float, float], ...]:
    """The published parameters of the model, each with the least and the most that it may be. Raises `Missing`."""
    try:
        from fsrs.scheduler import DEFAULT_PARAMETERS, LOWER_BOUNDS_PARAMETERS, UPPER_BOUNDS_PARAMETERS
    except ImportError:
        raise Missing(NEEDED) from None
    return tuple(zip(DEFAULT_PARAMETERS, LOWER_BOUNDS_PARAMETERS, UPPER_BOUNDS_PARAMETERS, strict=True))


@lru_cache(maxsize=1)
def model() -> Model:
    """The model with its published parameters, made once. Raises `Missing`."""
    return Model()


_LATEST = "9000-01-01"
"""The package counts a date a hundred years on: a clock set to the last day there is has no such date."""


def _noon(day: str) -> datetime.datetime:
    day = min(day, _LATEST)
    return datetime.datetime.combine(datetime.date.fromisoformat(day), datetime.time(12), datetime.timezone.utc)


def _card(memory: Memory | None, day: str = "") -> Any:
    from fsrs.card import Card as Kept
    from fsrs.state import State

    if memory is None:
        return Kept(card_id=1, due=_noon(day))
    last = _noon(memory.last)
    return Kept(1, State.Review, None, memory.stability, memory.difficulty, last, last)


def from_cards(forms: Sequence[Form], cards: Mapping[str, Card]) -> dict[str, Memory]:
    """The memories of a reader whose progress was kept by question alone: the best of each objective's questions.

    Its interval stands for the stability, its ease for the difficulty, and the day it was set on is the day before its
    due day by the interval.

    >>> from calc.practice.forms import form_named
    >>> form = form_named("groove-face-width")
    >>> from_cards([form], {form.id: Card(interval=6, due="2026-03-08", seen=2, last=5)})["groove-width"]
    Memory(stability=6.0, difficulty=5.0, last='2026-03-02', seen=2)
    """
    found: dict[str, Memory] = {}
    for form in forms:
        card = cards.get(form.id)
        if card is None or not card.due:
            continue
        due = datetime.date.fromisoformat(card.due)
        last = datetime.date.fromordinal(max(1, due.toordinal() - card.interval)).isoformat()
        seen = max(card.seen, 1) + (found[form.objective].seen if form.objective in found else 0)
        ease = max(LEAST_EASE, min(card.ease, 2 * FIRST_EASE - LEAST_EASE))
        difficulty = 5.0 + (FIRST_EASE - ease) * (HARDEST - 5.0) / (FIRST_EASE - LEAST_EASE)
        stability = max(float(card.interval), 0.5)
        best = found.get(form.objective)
        if best and (best.stability, best.last) >= (stability, last):
            found[form.objective] = Memory(best.stability, best.difficulty, best.last, seen)
        else:
            found[form.objective] = Memory(stability, round(max(EASIEST, min(HARDEST, difficulty)), 4), last, seen)
    return found
