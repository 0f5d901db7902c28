"""What is asked next, so that as many objectives as can be are known on the test day.

Three rules, in this order:

- Coverage: what was never asked comes first, spread over the chapters.
- Spacing: an objective comes back after a tenth to a fifth of the days that lay between its last answer and the test
  ("Spacing effects in learning", Psychological Science, 2008: the best gap is about that share of the time to the
  test); among those, first the one that gains most by a question today.
- Variety: each time another question of the objective; discontinuities that look alike come in one set, apart from each
  other, so that telling them apart is what is practiced.

What a question gains is what `calc.practice.memory` expects of it on the test day.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence

from calc.practice.chance import Chance
from calc.practice.forms import Form
from calc.practice.memory import Memory, Model
from calc.practice.schedule import Card, interleaved, spread

LEAST_GAP, MOST_GAP = 0.1, 0.2
"""The share of the days from an answer to the test after which it is asked again."""
SECONDS = 45
"""What a question takes on average with its answer read: a guess of ours, from the length of the questions."""
LEAST_MINUTES, USUAL_MINUTES, MOST_MINUTES = 5, 15, 240
LONGEST_WAIT = 730
"""Days to the test that a plan looks ahead."""
LOOK_ALIKE = (
    ("undercut", "overlap", "underfill", "excess-reinforcement", "mismatch", "sound-weld"),
    ("porosity", "slag-inclusion", "incomplete-fusion", "incomplete-penetration"),
    ("toe-crack", "underbead-crack", "longitudinal-crack", "crater-crack"), ("spatter", "arc-strike"),
    ("cut-right", "cut-too-fast", "cut-too-slow"), ("bead-right", "bead-too-fast", "bead-too-slow"),
    ("bend-passed", "bend-face-openings", "bend-root-opening", "bend-corner-crack"),
)
"""Pictures that are taken for each other."""


def days_between(first: str, last: str) -> int:
    """Days from one day to another.

    >>> days_between("2026-03-02", "2026-03-20")
    18
    """
    return (datetime.date.fromisoformat(last) - datetime.date.fromisoformat(first)).days


def questions_of(minutes: int) -> int:
    """How many questions fit into so many minutes a day.

    >>> questions_of(15), questions_of(30)
    (20, 40)
    """
    return max(1, minutes * 60 // SECONDS)


def is_ready(memory: Memory, today: str, test: str) -> bool:
    """Whether an objective has rested long enough, a tenth of the days from its last answer to the test.

    >>> memory = Memory(2.3, 5.0, "2026-03-01")
    >>> [is_ready(memory, day, "2026-03-31") for day in ("2026-03-03", "2026-03-04")]
    [False, True]
    """
    return days_between(memory.last, today) >= max(1, round(LEAST_GAP * days_between(memory.last, test)))


def objectives_for(
    objectives: Sequence[str], memories: Mapping[str, Memory], today: str, test: str, count: int, model: Model,
) -> list[str]:
    """The objectives to ask on a day, most wanted first; `objectives` in the order in which new ones come."""
    new = [each for each in objectives if each not in memories]
    seen = [each for each in objectives if each in memories]
    gain = {each: model.gain(memories[each], today, test) for each in seen}
    ready = sorted((each for each in seen if is_ready(memories[each], today, test)), key=lambda each: -_wanted(
        gain[each], memories[each], today, test))
    rested = [each for each in seen if each not in ready and memories[each].last < today]
    return [*new, *ready, *sorted(rested, key=lambda each: -gain[each])][:count]


def _wanted(gain: float, memory: Memory, today: str, test: str) -> float:
    """The gain, and twice that for what has rested longer than a fifth of its days: it is late."""
    late = days_between(memory.last, today) > max(1, MOST_GAP * days_between(memory.last, test))
    return gain * (2 if late else 1)


def plan_set(
    forms: Sequence[Form], cards: Mapping[str, Card], memories: Mapping[str, Memory], today: str, test: str, count: int,
    model: Model,
) -> list[Form]:
    """The questions of a day: one of each objective that is wanted most, and look-alikes beside their pictures."""
    of_objective: dict[str, list[Form]] = {}
    for form in spread(Chance(f"plan/{today}").shuffled(forms)):
        of_objective.setdefault(form.objective, []).append(form)
    chosen: list[Form] = []
    for objective in objectives_for(list(of_objective), memories, today, test, count, model):
        chosen += _with_look_alike(_freshest(of_objective[objective], cards), of_objective[objective], cards)
    return _apart(interleaved(chosen[:count]))


def _group(form: Form) -> tuple[str, ...]:
    """The pictures that the picture of a question is taken for, its own included."""
    return next((each for each in LOOK_ALIKE if form.picture in each), ())


def _apart(forms: Sequence[Form]) -> list[Form]:
    """The questions with one of another kind between two that look alike, as far as that can be."""
    left, mixed = list(forms), []
    while left:
        before = _group(mixed[-1]) if mixed else ()
        chosen = next((form for form in left if not before or _group(form) != before), left[0])
        left.remove(chosen)
        mixed.append(chosen)
    return mixed


def _freshest(forms: Sequence[Form], cards: Mapping[str, Card]) -> Form:
    """The question that was asked least often, and of those the one that was asked longest ago."""
    unasked = Card()
    return min(forms, key=lambda form: (cards.get(form.id, unasked).seen, cards.get(form.id, unasked).due))


def _with_look_alike(form: Form, forms: Sequence[Form], cards: Mapping[str, Card]) -> list[Form]:
    """A question, and with a picture a second one whose picture is taken for it."""
    others = [each for each in forms if each.picture in _group(form) and each.picture != form.picture]
    return [form, _freshest(others, cards)] if others else [form]
