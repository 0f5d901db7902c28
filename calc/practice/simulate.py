"""Simulated learners, to see what the plan is worth: they forget by a model whose parameters the plan does not know.

    python -m calc practice-plan --simulate                     7, 21 and 42 days; 15 and 30 minutes a day
    python -m calc practice-plan --simulate --seeds 20 --days 21 --minutes 15

Each learner has parameters of its own: those published for the model, each turned up or down at random, a forgetting
that is faster or slower, and for each objective its own chance to be known before it was ever asked. Whether an answer
is right is drawn from what the learner truly remembers. A miss is read and asked once more the same day, and that costs
a question. Three choose what is asked: the plan, the older rule of single questions, and an ideal that sees the
learner's true memory and parameters (the best of four ways to use them, learner by learner).
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from calc.practice import plan, schedule
from calc.practice.chance import Chance
from calc.practice.forms import Form, all_forms
from calc.practice.memory import Checked, Memory, Model, model, published
from calc.practice.schedule import Card

FIRST_DAY = "2026-03-02"
DAYS, MINUTES, SEEDS = (7, 21, 42), (15, 30), 10
RIGHT, MISSED = 5, 1
SPREAD = 0.3
"""How far the parameters of a learner lie from the published ones: the standard deviation of their logarithm."""


def even(chance: Chance) -> float:
    """A number from 0 to 1."""
    return chance.next() / 2**64


def bell(chance: Chance) -> float:
    """A number of the standard normal distribution, by the sum of twelve even ones less six."""
    return sum(even(chance) for _ in range(12)) - 6


@dataclass
class Learner:
    """One simulated learner: what it truly remembers of each objective, and what the guide saw of it."""

    truth: Model
    before: dict[str, float]
    chance: Chance
    memories: dict[str, Memory] = field(default_factory=dict)
    """The true ones."""
    seen: dict[str, Memory] = field(default_factory=dict)
    """What the guide believes."""
    cards: dict[str, Card] = field(default_factory=dict)
    checked: Checked = Checked()

    def known(self, objective: str, day: str) -> float:
        """The true chance that an objective is known on a day."""
        if objective not in self.memories:
            return self.before[objective]
        return self.truth.known(self.memories[objective], day)

    def share(self, day: str) -> float:
        """The true expected share of the objectives known on a day."""
        return sum(self.known(each, day) for each in self.before) / len(self.before)

    def ask(self, form: Form, day: str) -> bool:
        """Ask a question; whether it was right."""
        objective = form.objective
        fresh = objective in self.memories and self.memories[objective].last == day
        right = even(self.chance) < (0.95 if fresh else self.known(objective, day))
        grade = RIGHT if right else MISSED
        self.checked = model().checked(self.checked, self.seen.get(objective), grade, day)
        self.memories[objective] = self.truth.after(self.memories.get(objective), grade, day)
        self.seen[objective] = model().after(self.seen.get(objective), grade, day)
        self.cards[form.id] = schedule.review(self.cards.get(form.id, Card()), grade, day)
        return right


def learner(seed: int, objectives: Sequence[str]) -> Learner:
    """A learner drawn from a seed. Raises `Missing`."""
    chance = Chance(f"learner/{seed}")
    parameters = [
        min(high, max(low, usual * math.exp(SPREAD * bell(chance))))
        for usual, low, high in published()
    ]
    parameters[20] = 0.1 + 0.3 * even(chance)  # how fast all is forgotten
    return Learner(Model(parameters), {each: 0.05 + 0.45 * even(chance) for each in objectives}, chance)


Choose = Callable[[Learner, str, str, int], list[Form]]


@lru_cache(maxsize=1)
def _forms() -> dict[str, list[Form]]:
    found: dict[str, list[Form]] = {}
    for form in all_forms():
        found.setdefault(form.objective, []).append(form)
    return found


def by_plan(who: Learner, today: str, test: str, count: int) -> list[Form]:
    """What the plan asks."""
    return plan.plan_set(all_forms(), who.cards, who.seen, today, test, count, model())


def by_older_rule(who: Learner, today: str, test: str, count: int) -> list[Form]:
    """What the rule of single questions asks."""
    return schedule.daily_set(all_forms(), who.cards, today, count)


def _ideal(least_gap: float, new_first: bool) -> Choose:
    """One who sees the truth: of those that have rested so long, what truly gains most on the test day."""

    def choose(who: Learner, today: str, test: str, count: int) -> list[Form]:
        def gain(objective: str) -> float:
            memory = who.memories.get(objective)
            now = who.known(objective, today)
            right, wrong = (who.truth.known(who.truth.after(memory, grade, today), test) for grade in (RIGHT, MISSED))
            return now * right + (1 - now) * wrong - who.known(objective, test)

        def key(objective: str) -> tuple[bool, bool, float]:
            memory = who.memories.get(objective)
            rested = memory is None or plan.days_between(memory.last, today) >= max(
                1, round(least_gap * plan.days_between(memory.last, test)))
            return not (new_first and memory is None), not rested, -gain(objective)

        return [_forms()[each][0] for each in sorted(who.before, key=key)[:count]]

    return choose


IDEALS = tuple(_ideal(gap, first) for gap in (0.0, 0.15) for first in (True, False))


def run(choose: Choose, seed: int, days: int, minutes: int) -> Learner:
    """A learner after so many days of practice."""
    who = learner(seed, list(_forms()))
    first, test = datetime.date.fromisoformat(FIRST_DAY), test_day(days)
    for turn in range(days):
        today = datetime.date.fromordinal(first.toordinal() + turn).isoformat()
        left = plan.questions_of(minutes)
        for form in choose(who, today, test, left):
            if left <= 0:
                break
            left -= 1
            if not who.ask(form, today) and left > 0:
                left -= 1
                who.ask(form, today)
    return who


def test_day(days: int) -> str:
    """The day of the test, so many days after the first."""
    return datetime.date.fromordinal(datetime.date.fromisoformat(FIRST_DAY).toordinal() + days).isoformat()


@dataclass(frozen=True)
class Compared:
    """The expected share known on the test day, by who chose; means over the learners."""

    days: int
    minutes: int
    plan: float
    older: float
    ideal: float


def compare(seeds: int, days: int, minutes: int) -> Compared:
    """The three on the same learners. Raises `Missing`."""
    test = test_day(days)
    shares = [
        (run(by_plan, seed, days, minutes).share(test), run(by_older_rule, seed, days, minutes).share(test),
         max(run(each, seed, days, minutes).share(test) for each in IDEALS))
        for seed in range(seeds)
    ]
    return Compared(days, minutes, *(sum(column) / seeds for column in zip(*shares, strict=True)))
