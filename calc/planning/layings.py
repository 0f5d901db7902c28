"""Layings: what strips to cut from each sheet of a choice of stock.

A laying gives a pattern of strips for each sheet. Its strips must meet the needs as
the stock must, so most layings are ruled out before anything is cut from a strip.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence

from calc.planning.knapsack import full_fillings
from calc.planning.task import Column, Mix, Need, Task

MOST_PATTERNS = 6000
"""Where a sheet has more full patterns, only those that the search has met are gone through, and prove nothing."""
TURN = 4000
"""So much work is done before others get a turn."""


def full_patterns(task: Task, row: int) -> list[Column] | None:
    """The patterns of a stock row in which no strip can be added or be wider; None where they are too many."""
    found: list[Column] = []
    left = MOST_PATTERNS
    for place, blank in enumerate(task.blanks):
        if not blank.cost or blank.takes != row or not blank.parts:
            continue
        rows, sizes = zip(*blank.parts)
        wider = [None, *(size - own for own, size in zip(sizes[1:], sizes))]
        for counts in full_fillings(sizes, [blank.room // size for size in sizes], blank.room):
            left -= 1
            if not left:
                return None
            rest = blank.room - sum(size * count for size, count in zip(sizes, counts))
            if any(counts) and all(not count or more is None or more > rest for more, count in zip(wider, counts)):
                found.append(Column(place, tuple((row, count) for row, count in zip(rows, counts) if count)))
    return found


class Layings:
    """Every laying for a choice of stock that meets all needs, one after another; the needs may grow meanwhile.

    `going` gives a laying, or now and then None, so that others can work. `work` is what it took since it was last
    reset. `sure`: each laying so far was ruled out.
    """

    def __init__(self, mix: Mix, needs: Sequence[Need], patterns: dict[int, list[Column]], sure: bool) -> None:
        self.needs, self.work, self.sure = needs, 0, sure
        self.order = [row for row, count in mix.items() for _ in range(count)]
        # Those that come to most of what the latest need asks for come first.
        self.patterns = {
            row: sorted(patterns[row], key=lambda column: -needs[-1].worth(column.pattern))
            for row, count in mix.items() if count
        }
        self.worths: list[dict[int, list[int]]] = []
        self.going = self._go([])

    def _go(self, chosen: list[int]) -> Generator[list[Column] | None, None, None]:
        """The layings that begin with these patterns, given by their places."""
        if len(chosen) == len(self.order):
            yield [self.patterns[row][place] for row, place in zip(self.order, chosen)]
            return
        row, *others = self.order[len(chosen) :]
        # Sheets of one stock are alike, so their patterns may come in the order of their places.
        first = chosen[-1] if chosen and self.order[len(chosen) - 1] == row else 0
        places, held = list(range(first, len(self.patterns[row]))), 0
        while places:
            for need in self.needs[len(self.worths) :]:
                self.worths.append({
                    each: [need.worth(column.pattern) for column in found] for each, found in self.patterns.items()
                })
            for need, worths in zip(self.needs[held:], self.worths[held:]):
                self.work += 60 + 2 * len(places)
                ask = need.load - sum(need.tops[each] for each in others) - sum(
                    worths[each][place] for each, place in zip(self.order, chosen)
                )
                worth = worths[row]
                places = [place for place in places if worth[place] >= ask]
            held = len(self.worths)
            if self.work > TURN:
                yield None
            if places:
                yield from self._go([*chosen, places.pop(0)])
