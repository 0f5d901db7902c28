"""What is to be cut from what, in rows: the shape of a cutting job that bars and sheets share.

What is cut up is a blank: a bar, a sheet, or a strip that a sheet was cut into. A
pattern says what is cut from one blank, and a plan picks patterns. Everything
stands in rows: pieces, strips and stock. A plan must make more of each row than
it takes, by what is wanted: a number of pieces, none of a strip, and of a stock
minus what there is.

A need is what any choice of stock must come to. Prices of the pieces give one:
a stock counts what its best pattern is worth. Needs are worked out in whole
numbers, so what they rule out is ruled out.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Generator, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from calc.planning.knapsack import Filling, most_valuable

SCALE = 1 << 30
"""Prices are rounded down to a part of this for a need."""
WIDE = 8000
"""How many partial patterns a search may keep that says that there is none better, or gives a need."""
SLACK = 1e-7
"""Numbers of the linear program that differ by less are taken as equal. Rounding makes less of a difference."""
MOST_BEGUN = 10_000
"""With more beginnings of choices of stock to look at, the rest are not gone through."""

Pattern = tuple[tuple[int, int], ...]
"""What is cut from one blank: (row, count) pairs."""


def pattern_of(counts: Sequence[int]) -> Pattern:
    """The pattern with these counts of the first rows.

    >>> pattern_of([2, 0, 1])
    ((0, 2), (2, 1))
    """
    return tuple((row, count) for row, count in enumerate(counts) if count)


@dataclass(frozen=True)
class Blank:
    """What is cut up: a bar, a sheet with its strips one way, or a strip of one width.

    One costs `cost` and takes one of the row `takes`. Into its `room` go `parts`, (row, size) pairs.
    """

    cost: int
    takes: int
    room: int
    parts: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Column:
    """One way to cut one blank, given by its place in the task."""

    blank: int
    pattern: Pattern


Uses = list[tuple[Column, int]]
"""A plan or a part of one: each column with how often it is used."""


@dataclass(frozen=True)
class Task:
    """What is wanted and what there is. The costs are whole numbers without a common divisor.

    `wanted` has the rows: first the pieces, `kinds` of them, with their counts; then the strips, with 0; then the
    stocks, with minus the count of each. A blank whose parts are strips stands after the blanks of these strips.
    `fill(wanted)` makes a plan at once for other numbers of the rows, or gives None where it finds none.
    `sizes` is how much each kind takes up at least, `holds` how much each blank holds of that.
    """

    kinds: int
    wanted: tuple[int, ...]
    blanks: tuple[Blank, ...]
    sizes: tuple[int, ...]
    holds: tuple[int, ...]
    fill: Callable[[Sequence[int]], Uses | None]

    def cost(self, uses: Uses) -> int:
        """What the stock costs that these uses take."""
        return sum(self.blanks[column.blank].cost * times for column, times in uses)

    @cached_property
    def most(self) -> int:
        """The cost of the dearest blank."""
        return max(blank.cost for blank in self.blanks)

    def lessened(self, wanted: Sequence[int], column: Column, times: int) -> list[int]:
        """What is still wanted when a column is used so many times."""
        left = list(wanted)
        for row, count in column.pattern:
            left[row] -= count * times
            if row < self.kinds:
                left[row] = max(0, left[row])
        left[self.blanks[column.blank].takes] += times
        return left

    def done(self, wanted: Sequence[int]) -> bool:
        """Whether nothing is wanted any more."""
        return max(wanted) <= 0

    def found(
        self, prices: Sequence[float], wanted: Sequence[int], widest: int, exact: bool = False,
    ) -> Generator[tuple[int, float, Filling], None, None]:
        """For each blank what one comes to at these prices of the rows, and its most valuable filling.

        A strip is worth its best filling from then on. Fillings worth no more than their blank are of no interest,
        but where `exact` they are: then prices are whole numbers, and a strip is worth the most that it may be worth.
        """
        prices = list(prices)
        for place, blank in enumerate(self.blanks):
            if blank.cost and not exact and not wanted[blank.takes]:
                continue
            price = blank.cost + prices[blank.takes]
            filling = most_valuable(
                [size for _, size in blank.parts], [prices[row] for row, _ in blank.parts],
                [wanted[row] if row < self.kinds else blank.room // size for row, size in blank.parts],
                blank.room, 0 if exact else price + SLACK * self.most, widest,
            )
            yield place, price, filling
            if not blank.cost:
                prices[blank.takes] = filling.above if exact else filling.value


@dataclass(frozen=True)
class Need:
    """What any choice of stock, or of strips, must come to: one of row r counts `tops[r]`, and together they must come
    to `load`. All in whole numbers.
    """

    load: int
    tops: Mapping[int, int]

    def met(self, counts: Mapping[int, int]) -> bool:
        """Whether so many of each row come to the load."""
        return self.worth(counts.items()) >= self.load

    def worth(self, counts: Iterable[tuple[int, int]]) -> int:
        """What so many of each row come to."""
        return sum(self.tops[row] * count for row, count in counts)


def need_by_size(task: Task) -> Need:
    """The stock must hold all pieces by size."""
    tops = {blank.takes: room for blank, room in zip(task.blanks, task.holds)}
    return Need(sum(size * want for size, want in zip(task.sizes, task.wanted)), tops)


def need_at(task: Task, prices: Sequence[float]) -> tuple[Need, int]:
    """What the stock must come to at these prices of the pieces: a stock counts what its best pattern is worth. And how
    many partial patterns it took to find it.

    Exact for any prices, since they are rounded to whole numbers first.
    """
    whole = [math.floor(price * SCALE) for price in prices[: task.kinds]] + [0] * (len(task.wanted) - task.kinds)
    tops: dict[int, int] = {}
    work = 0
    for place, _, filling in task.found(whole, task.wanted, WIDE, exact=True):
        row = task.blanks[place].takes
        tops[row] = max(tops.get(row, 0), filling.above)
        work += filling.visited
    return Need(sum(price * want for price, want in zip(whole, task.wanted)), tops), work


Mix = dict[int, int]
"""A choice of stock: how many of each stock row."""


def mixes(task: Task, needs: Sequence[Need]) -> Generator[tuple[int, Mix | None], None, None]:
    """Every choice of stock that meets all needs, the cheapest first: what it costs, and the choice.

    Bars of 240 and 92 never cost 456 together. The needs may grow meanwhile. Where it would take too long, the rest is
    the least that any other choice costs, with None, again and again.
    """
    costs = {blank.takes: blank.cost for blank in task.blanks if blank.cost}
    rows = sorted(costs, key=lambda row: -costs[row])
    begun: list[tuple[int, int, tuple[int, ...]]] = []

    def more_for(need: Need, mix: Mix) -> float:
        """The least cost of what a need asks for beyond a mix, where the last piece of stock may be taken in part."""
        lack, spent = need.load - need.worth(mix.items()), 0
        for row in sorted(rows[len(mix) :], key=lambda row: -need.tops[row] / costs[row]):
            room = -task.wanted[row] * need.tops[row]
            if room >= lack:
                return spent - -lack * costs[row] // need.tops[row]
            lack, spent = lack - room, spent - task.wanted[row] * costs[row]
        return math.inf

    def begin(counts: tuple[int, ...]) -> bool:
        """Keep a beginning with the least that a choice comes to which begins so; of equals the one that holds most
        comes first. Whether there is more to come for the needs that are known.
        """
        mix = dict(zip(rows, counts))
        more = [more_for(need, mix) for need in needs if not need.met(mix)]
        least = sum(costs[row] * count for row, count in mix.items()) + max(more, default=0)
        if least < math.inf:
            heapq.heappush(begun, (least, -needs[0].worth(mix.items()), counts))
        return bool(more)

    begin(())
    enough: set[tuple[int, ...]] = set()
    while begun and len(begun) <= MOST_BEGUN:
        least, _, counts = heapq.heappop(begun)
        if counts in enough and counts[-1] < -task.wanted[rows[len(counts) - 1]]:
            # More than enough for the needs so far; a need that came since may ask for it.
            further = (*counts[:-1], counts[-1] + 1)
            enough.add(further)
            begin(further)
        if len(counts) == len(rows):
            mix = dict(zip(rows, counts))
            if all(need.met(mix) for need in needs):
                yield least, mix
            continue
        for count in range(1 - task.wanted[rows[len(counts)]]):
            if not begin((*counts, count)):
                enough.add((*counts, count))
                break
    while begun:
        yield begun[0][0], None


def least_by_size(task: Task) -> int:
    """The least cost of stock that holds all pieces by size; 0 where there is none."""
    return next(mixes(task, [need_by_size(task)]), (0, None))[0]
