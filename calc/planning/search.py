"""The search for the cheapest plan, with a proven least.

First the linear program over patterns gives a need (`program`, `task`). Then the
choices of stock that meet all needs are tried, the cheapest first. For each the
linear program either rules it out by a further need, or is rounded to a plan by
fixing patterns one after another. Where stock is cut into strips first, the layings
of strips are gone through as well: the strips of a laying must meet the needs, too.
The plan is proven where no cheaper choice of stock is left.

Everything is counted in work, never in time: the same input gives the same plan on
every machine.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Generator, Mapping, Sequence
from dataclasses import dataclass

from calc.planning.layings import MOST_PATTERNS, Layings, full_patterns
from calc.planning.program import MIDDLE, NARROW, WHOLE, Program, generate
from calc.planning.task import WIDE, Column, Mix, Task, Uses, mixes, need_at, need_by_size

OPEN = 6
"""So many choices of stock are tried in turn, and one more in each round."""
MOST_ROUNDS = 50
"""After so many rounds of new patterns a choice of stock is taken as one that may suffice."""
DIVES = 3
"""So many plans are tried for a laying that may suffice."""
AT_ONCE = 8
"""Of the patterns of a plan in parts one in so many is fixed at once."""


@dataclass(frozen=True)
class Progress:
    """How far the search is: the best plan, what it costs, the least that any plan costs, the share of the work
    done.
    """

    uses: tuple[tuple[Column, int], ...]
    cost: float
    least: int
    share: float
    words: str


def improve(
    task: Task, first: Uses | None, budget: int, least: int,
) -> Generator[Progress, None, None]:
    """Better plans, one after another, until the best is proven or the work is done.

    Args:
        task: what is wanted.
        first: a plan to start from, as (column, times), or None.
        budget: how much work to do; about a million to a second on a slow machine.
        least: a bound that is known already.

    Yields how far the search is, often. The last of these, with a share of 1, is the end: its plan may be better than
    the one before, and its bound higher. Without a plan its `uses` are empty.
    """
    search = _Search(task, first, budget, least)
    yield from search.run()
    yield search.progress("Done")


class _Search:
    """The best plan and the bound so far, while the search goes on."""

    def __init__(self, task: Task, best: Uses | None, budget: int, least: int) -> None:
        self.task, self.best, self.budget, self.least = task, best, budget, least
        self.cost = task.cost(best) if best else math.inf
        self.done, self.chance = 0, random.Random("plan")
        self.costs = {blank.takes: blank.cost for blank in task.blanks if blank.cost}
        self.needs = [need_by_size(task)]
        self.mixes, self.ahead = mixes(task, self.needs), 0
        self.open: list[Mix] = []
        self.in_strips = any(not blank.cost for blank in task.blanks)
        self.full: dict[int, list[Column] | None] = {}
        self.layings: dict[tuple[tuple[int, int], ...], Layings] = {}

    def progress(self, words: str) -> Progress:
        share = 1.0 if words == "Done" else min(0.99, self.done / self.budget)
        return Progress(tuple(self.best or ()), self.cost, self.least, share, words)

    @property
    def over(self) -> bool:
        return self.done >= self.budget or self.cost <= self.least

    def offer(self, uses: Uses) -> None:
        cost = self.task.cost(uses)
        if cost < self.cost:
            self.best, self.cost = uses, cost

    def run(self) -> Generator[Progress, None, None]:
        if self.over:
            return
        task, program, turn = self.task, Program(self.task), 0
        for column, _ in self.best or ():
            program.add(column)
        steps = generate(task, program, task.wanted, self.budget, (NARROW, WIDE))
        yield from self._spend(steps, "Looking for patterns", self.budget * 0.6)
        self._keep_need(program)
        self._look_ahead(OPEN)
        yield self.progress("Bound found")
        while not self.over:
            yield from self._dive(program.copy(), turn, task.wanted)
            for mix in list(self.open):
                if not self.over and self._price(mix) < self.cost:
                    yield from self._try(program, mix, turn)
            turn += 1
            self._look_ahead(OPEN + turn)

    def _keep_need(self, program: Program) -> None:
        """Keep what the prices of the program tell of the stock and of strips."""
        need, work = need_at(self.task, program.prices())
        self.done += 3 * work
        self.needs.append(need)

    def _look_ahead(self, most: int) -> None:
        """Open the cheapest choices of stock that may suffice; no plan costs less than the first of them."""
        self.open = [
            mix for mix in self.open if self._price(mix) < self.cost and all(need.met(mix) for need in self.needs)
        ]
        while self.ahead < self.cost and len(self.open) < most:
            self.ahead, mix = next(self.mixes, (math.inf, None))
            if mix is None:
                break
            if self.ahead < self.cost:
                self.open.append(mix)
        self.least = max(self.least, min([self.cost, self.ahead, *map(self._price, self.open)]))

    def _price(self, mix: Mix) -> int:
        return sum(self.costs[row] * count for row, count in mix.items())

    def _try(self, program: Program, mix: Mix, turn: int) -> Generator[Progress, None, None]:
        """Look for a plan with this choice of stock, or for a proof that it does not suffice."""
        wanted = [-mix[row] if row in mix else want for row, want in enumerate(self.task.wanted)]
        own = program.copy()
        if (yield from self._suffices(own, wanted, mix)):
            yield from self._dive(own, turn, wanted)
            if self.in_strips and not self.over:
                yield from self._lay(program, mix)

    def _suffices(
        self, program: Program, wanted: Sequence[int], counts: Mapping[int, int],
    ) -> Generator[Progress, None, bool]:
        """Whether so many of some rows may suffice, by the linear program; a need keeps the proof where they do not."""
        program.demand(wanted)
        steps = generate(self.task, program, wanted, MOST_ROUNDS, (NARROW, WIDE))
        yield from self._spend(steps, "Trying a choice of stock", self.budget)
        if program.short <= WHOLE:
            return True
        self._keep_need(program)
        return self.needs[-1].met(counts)

    def _lay(self, program: Program, mix: Mix) -> Generator[Progress, None, None]:
        """Go through the layings of a choice of stock for a while. Where each is ruled out, so is the choice."""
        task, end, key = self.task, self.done + self.budget // 50, tuple(mix.items())
        if key not in self.layings:
            self.layings[key] = self._layings(program, mix)
        layings = self.layings[key]
        for laid in layings.going:
            self.done += layings.work
            layings.work = 0
            yield self.progress("Trying layings of strips")
            if laid is not None:
                fixed = list(Counter(laid).items())
                wanted = list(task.wanted)
                for column, times in fixed:
                    wanted = task.lessened(wanted, column, times)
                wanted = [0 if row in mix else want for row, want in enumerate(wanted)]
                strips = {row: -want for row, want in enumerate(wanted) if row >= task.kinds and row not in mix}
                own = program.copy()
                if (yield from self._suffices(own, wanted, strips)):
                    layings.sure = False
                    for turn in range(DIVES):
                        yield from self._dive(own.copy(), turn, wanted, fixed)
            if self.over or self.done > end:
                return
        if layings.sure:
            self.open.remove(mix)

    def _layings(self, program: Program, mix: Mix) -> Layings:
        """The layings of a choice of stock: all of them, or those of the known patterns where all are too many."""
        for row, count in mix.items():
            if count and row not in self.full:
                self.full[row] = full_patterns(self.task, row)
                self.done += 100 * len(self.full[row] or range(MOST_PATTERNS))
        patterns = {
            row: self.full[row] or program.known_of(row) for row, count in mix.items() if count
        }
        return Layings(mix, self.needs, patterns, all(self.full[row] is not None for row in patterns))

    def _spend(self, steps: Generator[int, None, None], words: str, limit: float) -> Generator[Progress, None, None]:
        """Let a generator work until it ends or the work is done."""
        for work in steps:
            self.done += work
            yield self.progress(words)
            if self.done >= limit:
                return

    def _dive(
        self, program: Program, turn: int, wanted: Sequence[int], given: Uses = (),
    ) -> Generator[Progress, None, None]:
        """Fix patterns of the fractional plan one after another, and fill up what is left at every depth."""
        task, fixed = self.task, list(given)
        spent = task.cost(fixed)
        while True:
            # Counted first: a dive that finds nothing to fix is work too, or the search would never end.
            self.done += 3000 + 60 * len(wanted)
            chosen = self._choose(program.parts(), turn, wanted)
            if not chosen:
                return
            for column, times in chosen:
                wanted = task.lessened(wanted, column, times)
                fixed.append((column, times))
                spent += task.blanks[column.blank].cost * times
            rest = [] if task.done(wanted) else task.fill(wanted)
            if rest is not None:
                self.offer(fixed + rest)
            yield self.progress("Rounding the plan")
            if task.done(wanted) or self.over:
                return
            program.demand(wanted)
            yield from self._spend(
                generate(task, program, wanted, 12, (NARROW, MIDDLE)), "Rounding the plan", self.budget,
            )
            ahead = spent + math.ceil(program.objective - WHOLE * task.most)
            if self.over or ahead >= self.cost:
                return

    def _choose(self, parts: Sequence[tuple[Column, float]], turn: int, wanted: Sequence[int]) -> Uses:
        """What to fix next: every whole use; without one, the pattern that is nearest to a whole use, varied by
        turn. Stock comes before strips: what is cut from a strip can wait until all strips are there.
        """
        parts = [part for part in parts if self.task.blanks[part[0].blank].cost] or parts
        whole = [(column, int(value + WHOLE)) for column, value in parts if value >= 1 - WHOLE]
        if whole and turn % 4 != 3:
            return self._usable(whole, wanted)
        blur = 0.6 if turn else 0.0
        ranked = sorted(parts, key=lambda part: -min(part[1], 1.0) * (1 - blur * self.chance.random()))
        most = max(1, len(ranked) // AT_ONCE)
        sure = [part for part in ranked[most:] if part[1] > 0.9]
        return self._usable([(column, max(1, int(value + WHOLE))) for column, value in (*ranked[:most], *sure)], wanted)

    def _usable(self, chosen: Uses, wanted: Sequence[int]) -> Uses:
        """The choice without uses that would only make what nobody wants, or take stock that is not there."""
        task, kept = self.task, []
        for column, times in chosen:
            blank = task.blanks[column.blank]
            if blank.cost:
                times = min(times, -wanted[blank.takes])
            if column.pattern[0][0] < task.kinds:
                times = min(times, max(-(-wanted[row] // count) for row, count in column.pattern))
            if times > 0:
                kept.append((column, times))
                wanted = task.lessened(wanted, column, times)
        return kept
