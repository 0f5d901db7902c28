"""Covering by patterns: the cheapest stock that yields all pieces, with a proven least.

A pattern says what is cut from one piece of stock. The plan picks patterns. The
method is the column generation of Gilmore and Gomory (1961, 1963): a linear
program over the patterns known so far, whose prices tell whether a better pattern
exists; the finished program gives a bound that no plan can beat. Plans in whole
numbers are then dug out of it by fixing patterns one after another. What a pattern
is, the two users of this module say: `bars` (lengths) and `sheets` (strips).

The bound is worked out once more in whole numbers, so that rounding in the linear
program cannot make it wrong. Everything is counted in work, never in time: the
same input gives the same plan on every machine.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

SCALE = 1 << 30
"""Prices are rounded down to a part of this for the exact bound."""
NARROW, MIDDLE, WIDE = 200, 1000, 8000
"""How many partial patterns a search may keep. Narrow is quick and finds a useful pattern most of the time; only a wide
search may say that there is none, or give a bound."""

SLACK = 1e-7
"""Numbers of the linear program that differ by less are taken as equal. Rounding makes less of a difference."""

Pattern = tuple[tuple[int, int], ...]
"""What is cut from one piece of stock: (kind, count) pairs."""


@dataclass(frozen=True)
class Column:
    """One way to cut one piece of a stock. `made` is what the user of this module keeps with it."""

    stock: int
    pattern: Pattern
    made: object = None


@dataclass(frozen=True)
class Found:
    """The most valuable pattern of a stock at some prices, then others worth having; none is worth more than `above`.

    `work` is what it took to find them.
    """

    columns: tuple[Column, ...]
    value: float
    above: float
    work: int


@dataclass(frozen=True)
class Task:
    """What is wanted and what there is. The costs are whole numbers without a common divisor.

    `counts` limits groups of stocks (None: no limit), `group` names the group of each stock: two ways to cut the same
    sheet are two stocks of one group. `price(stock, values, bounds, floor, widest)` finds the most valuable pattern of
    a stock, worth more than `floor`; `fill(wanted, left)` makes a plan
    at once for what is still wanted with what is left of each group, as a list of (column, times), or
    None where it finds none. `every(wanted, left)` goes through all full patterns with the first kind that is still
    wanted,
    or is None where there is no such way to go through them. `sizes` is how much of a stock a kind takes up at least,
    `rooms` how much each stock holds.
    """

    wanted: tuple[int, ...]
    costs: tuple[int, ...]
    group: tuple[int, ...]
    counts: tuple[int | None, ...]
    sizes: tuple[int, ...]
    rooms: tuple[int, ...]
    price: Callable[[int, Sequence[float], Sequence[int], float, int], Found]
    fill: Callable[[Sequence[int], Sequence[int | None]], list[tuple[Column, int]] | None]
    every: Callable[[Sequence[int], Sequence[int | None]], Iterator[Column]] | None = None

    def cost(self, uses: Sequence[tuple[Column, int]]) -> int:
        """What the stock costs that these uses take."""
        return sum(self.costs[column.stock] * times for column, times in uses)


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


def _total(amounts: Iterable[float]) -> float:
    """The sum, added one after another. From Python 3.12 on sum() rounds floats in another way, and the search would
    go another way.
    """
    total = 0.0
    for amount in amounts:
        total += amount
    return total


class _Program:
    """The linear program over the known patterns, solved by the revised simplex method with an explicit inverse.

    Rows: a demand row a kind (pieces made >= wanted), then a row for each counted group (used <= count).
    A shortage column in each demand row, dear beyond reason, makes every program solvable.
    """

    def __init__(self, task: Task) -> None:
        self.kinds = len(task.wanted)
        self.limited = [group for group, count in enumerate(task.counts) if count is not None]
        rows = {group: self.kinds + place for place, group in enumerate(self.limited)}
        self.row_of = {stock: rows[group] for stock, group in enumerate(task.group) if group in rows}
        self.size = self.kinds + len(self.limited)
        self.dear = 1000.0 * max(task.costs)
        self.unit_costs = task.costs
        self.entries: list[tuple[tuple[int, float], ...]] = []
        self.cost: list[float] = []
        self.columns: list[Column | None] = []
        self.known: set[tuple[int, Pattern]] = set()
        self.work = 0
        for kind in range(self.kinds):
            self._add(((kind, 1.0),), self.dear, None)
        for row in range(self.kinds, self.size):
            self._add(((row, 1.0),), 0.0, None)
        for kind in range(self.kinds):
            self._add(((kind, -1.0),), 0.0, None)
        self.basis = list(range(self.size))
        self.inverse = [[1.0 if row == place else 0.0 for place in range(self.size)] for row in range(self.size)]
        self.right = [float(each) for each in task.wanted] + [float(task.counts[group]) for group in self.limited]
        self.values = list(self.right)
        self.duals = [self.cost[each] for each in self.basis]
        self.pivots = 0

    def _add(self, entries, cost, column) -> None:
        self.entries.append(entries)
        self.cost.append(cost)
        self.columns.append(column)

    def add(self, column: Column) -> bool:
        """Take a pattern in; False where it is known already."""
        key = (column.stock, column.pattern)
        if key in self.known:
            return False
        self.known.add(key)
        entries = tuple((kind, float(count)) for kind, count in column.pattern)
        if column.stock in self.row_of:
            entries += ((self.row_of[column.stock], 1.0),)
        self._add(entries, float(self.unit_costs[column.stock]), column)
        return True

    def copy(self) -> _Program:
        """The same program to go on with; the patterns themselves are shared."""
        other = object.__new__(_Program)
        other.__dict__.update(self.__dict__)
        for name in ("entries", "cost", "columns", "basis", "right", "values", "duals"):
            setattr(other, name, list(getattr(self, name)))
        other.known = set(self.known)
        other.inverse = [list(row) for row in self.inverse]
        return other

    def _reduced(self, each: int) -> float:
        duals = self.duals
        return self.cost[each] - _total(duals[row] * entry for row, entry in self.entries[each])

    def settle(self) -> None:
        """Solve for the known patterns: first make the plan fit the demand again, then make it cheap."""
        self._dual()
        while True:
            duals, entries, cost = self.duals, self.entries, self.cost
            least, entering = -SLACK * max(self.unit_costs), -1
            for each in range(len(cost)):
                reduced = cost[each]
                for row, entry in entries[each]:
                    reduced -= duals[row] * entry
                if reduced < least:
                    least, entering = reduced, each
            self.work += 4 * len(cost)
            direction = self._direction(entering) if entering >= 0 else []
            leaving = self._leaving(direction)
            if leaving < 0:
                return
            self._pivot(leaving, entering, direction)

    def _dual(self) -> None:
        """Dual simplex: where a smaller demand has made a count negative, move to the nearest plan that has none.

        As many moves as there are columns are enough; a program that goes in circles is left as it is.
        """
        most = self.pivots + len(self.cost)
        while self.pivots < most and (leaving := self._negative()) >= 0 and (entering := self._lifting(leaving)) >= 0:
            self._pivot(leaving, entering, self._direction(entering))

    def _negative(self) -> int:
        """The row with the most negative count; -1 where no count is negative."""
        least = min(range(self.size), key=self.values.__getitem__)
        return least if self.values[least] < -SLACK else -1

    def _lifting(self, leaving: int) -> int:
        """The column that lifts the count of a row at the least cost; -1 where rounding has left none that does."""
        row_of_inverse = self.inverse[leaving]
        best, entering = math.inf, -1
        for each in range(len(self.cost)):
            alpha = _total(row_of_inverse[row] * entry for row, entry in self.entries[each])
            if alpha < -SLACK:
                ratio = max(self._reduced(each), 0.0) / -alpha
                if ratio < best:
                    best, entering = ratio, each
        self.work += 8 * len(self.cost)
        return entering

    def _direction(self, each: int) -> list[float]:
        entries = self.entries[each]
        return [_total([row[place] * entry for place, entry in entries]) for row in self.inverse]

    def _leaving(self, direction: list[float]) -> int:
        """The row whose count comes to 0 first on the way in a direction; -1 where rounding has left none that does."""
        leaving, step = -1, math.inf
        for row, slope in enumerate(direction):
            if slope > SLACK:
                ratio = self.values[row] / slope
                # Among equals the larger pivot: steadier numbers.
                if ratio < step - SLACK or (ratio <= step + SLACK and slope > direction[leaving]):
                    leaving, step = row, min(step, ratio)
        return leaving

    def _pivot(self, leaving: int, entering: int, direction: list[float]) -> None:
        reduced, pivot = self._reduced(entering), direction[leaving]
        pivot_row = [each / pivot for each in self.inverse[leaving]]
        step = self.values[leaving] / pivot
        for row in range(self.size):
            factor = direction[row]
            if row != leaving and abs(factor) > SLACK:
                self.inverse[row] = [a - factor * b for a, b in zip(self.inverse[row], pivot_row)]
                self.values[row] -= factor * step
        self.inverse[leaving] = pivot_row
        self.values[leaving] = step
        self.duals = [dual + reduced * each for dual, each in zip(self.duals, pivot_row)]
        self.basis[leaving] = entering
        self.pivots += 1
        self.work += self.size * self.size // 2
        if self.pivots % 80 == 0:
            self._refresh()

    def _refresh(self) -> None:
        """Take the slips of many pivots out of counts and prices."""
        self.values = [_total(map(float.__mul__, row, self.right)) for row in self.inverse]
        costs = [self.cost[each] for each in self.basis]
        self.duals = [_total(map(float.__mul__, costs, column)) for column in zip(*self.inverse)]

    def demand(self, wanted: Sequence[int], left: Sequence[int | None]) -> None:
        """Ask for other numbers, with the stock that is left."""
        self.right = [float(each) for each in wanted] + [float(left[group]) for group in self.limited]
        self._refresh()

    @property
    def objective(self) -> float:
        return _total(self.cost[each] * value for each, value in zip(self.basis, self.values))

    def prices(self) -> list[float]:
        return self.duals[: self.kinds]

    def toll(self, stock: int) -> float:
        """What the scarcity of a stock adds to its cost."""
        return -self.duals[self.row_of[stock]] if stock in self.row_of else 0.0

    def parts(self) -> list[tuple[Column, float]]:
        """The patterns of the fractional plan and how often it uses each."""
        return [
            (self.columns[each], value) for each,
            value in zip(self.basis, self.values) if self.columns[each] is not None and value > SLACK
        ]


def _generate(
    task: Task, program: _Program, wanted: Sequence[int], rounds: int, widths: tuple[int, ...],
) -> Generator[int, None, None]:
    """Add patterns while any would make the plan cheaper, at most so many rounds. Yields the work done."""
    for _ in range(rounds):
        before = program.work
        program.settle()
        yield program.work - before
        prices, fresh = program.prices(), False
        for widest in widths:
            for stock, cost in enumerate(task.costs):
                dear = (cost + program.toll(stock)) * (1 + SLACK)
                found = task.price(stock, prices, wanted, dear, widest)
                for column in found.columns if found.value > dear else ():
                    fresh |= program.add(column)
                yield found.work
            if fresh:
                break
        if not fresh:
            return
    program.settle()


@dataclass(frozen=True)
class Bound:
    """Whole prices that no pattern is worth more than its stock: what is still wanted costs at least their sum.

    `prices` of the kinds and `back` of the groups are in parts of 1/`parts` of a cost; `back` is paid for each piece
    of a
    counted group.
    """

    prices: tuple[int, ...]
    back: tuple[int, ...]
    parts: int

    def least(self, wanted: Sequence[int], left: Sequence[int | None]) -> Fraction:
        """What the pieces still wanted cost at least, with what is left of each group."""
        paid = sum(count * back for count, back in zip(left, self.back) if count is not None)
        return Fraction(sum(price * count for price, count in zip(self.prices, wanted)) - paid, self.parts)


def exact_bound(task: Task, prices: Sequence[float]) -> Bound:
    """The best bound, in whole numbers, that the prices of the pieces give.

    For any prices: no pattern of a stock without a count may be worth more than the stock costs, so the
    prices are scaled down to that; where a group has a count, the part above the cost is paid back once for each of it.
    """
    scaled = [math.floor(price * SCALE) for price in prices]
    tops = [math.ceil(task.price(stock, scaled, task.wanted, 0, WIDE).above) for stock in range(len(task.costs))]
    # Scales to try: 1 and every scale at which some stock comes out even; without a count it must not be passed.
    even = {stock: Fraction(cost * SCALE, top) for stock, (cost, top) in enumerate(zip(task.costs, tops)) if top > 0}
    limit = min((scale for stock, scale in even.items() if task.counts[task.group[stock]] is None), default=None)
    bounds = []
    for scale in {*even.values(), Fraction(1)}:
        if limit is not None and scale > limit:
            continue
        over = [0] * len(task.counts)
        for group, top, cost in zip(task.group, tops, task.costs):
            over[group] = max(over[group], scale.numerator * top - cost * SCALE * scale.denominator)
        bounds.append(Bound(tuple(scale.numerator * price for price in scaled), tuple(over), SCALE * scale.denominator))
    return max(bounds, key=lambda bound: bound.least(task.wanted, task.counts))


LONGEST_TABLE = 20_000


def next_payable(task: Task, least: Fraction | int) -> int:
    """The least cost from `least` up that some choice of stock comes to which could hold all pieces by size.

    Bars of 240 and 92 never cost 456 together. Where the costs are too fine for a table, the next whole cost.
    """
    start = math.ceil(least)
    limit = start + 2 * max(task.costs)
    if limit > LONGEST_TABLE:
        return start
    most_room = [0] + [-1] * limit
    for group, count in enumerate(task.counts):
        cost, room = max((task.costs[stock], task.rooms[stock]) for stock, own in enumerate(task.group) if own == group)
        left = limit // cost if count is None else min(count, limit // cost)
        while left:
            # Half of what is left, then half of the rest: sums of these come to every number of bars.
            take = (left + 1) // 2
            for total in range(limit, take * cost - 1, -1):
                before = most_room[total - take * cost]
                if before >= 0:
                    most_room[total] = max(most_room[total], before + take * room)
            left -= take
    load = sum(size * want for size, want in zip(task.sizes, task.wanted))
    return next((total for total in range(start, limit + 1) if most_room[total] >= load), start)


FEW_KINDS = 12
"""Up to so many kinds of pieces all plans are gone through."""


def _as_uses(trail: tuple) -> list[tuple[Column, int]]:
    """A chain of columns, last first, as a list with counts."""
    counts: dict[tuple[int, Pattern], list] = {}
    while trail:
        column, trail = trail
        counts.setdefault((column.stock, column.pattern), [column, 0])[1] += 1
    return [(column, times) for column, times in counts.values()]


def _lessened(wanted: Sequence[int], column: Column, times: int) -> list[int]:
    left = list(wanted)
    for kind, count in column.pattern:
        left[kind] = max(0, left[kind] - count * times)
    return left


def improve(
    task: Task, first: Sequence[tuple[Column, int]] | None, budget: int, least: int,
) -> Generator[Progress, None, None]:
    """Better plans, one after another, until the best is proven or the work is done.

    Args:
        task: what is wanted.
        first: a plan to start from, as (column, times), or None.
        budget: how much work to do; about a million to a second on a slow machine.
        least: a bound that is known already.

    Yields how far the search is, often. The last of these, with a share of 1, is the end: its plan may be better than
    the one
    before, and its bound higher. Without a plan its `uses` are empty.
    """
    search = _Search(task, first, budget, least)
    yield from search.run(random.Random("plan"))
    yield search.progress("Done")


class _Search:
    """The best plan and the bound so far, while the search goes on."""

    def __init__(self, task: Task, best: Sequence[tuple[Column, int]] | None, budget: int, least: int) -> None:
        self.task, self.best, self.budget, self.least = task, best, budget, least
        self.cost = task.cost(best) if best else math.inf
        self.done = 0

    def progress(self, words: str) -> Progress:
        share = 1.0 if words == "Done" else min(0.99, self.done / self.budget)
        return Progress(tuple(self.best or ()), self.cost, self.least, share, words)

    @property
    def over(self) -> bool:
        return self.done >= self.budget or self.cost <= self.least

    def offer(self, uses: list[tuple[Column, int]]) -> None:
        cost = self.task.cost(uses)
        if cost < self.cost:
            self.best, self.cost = uses, cost

    def run(self, chance: random.Random) -> Generator[Progress, None, None]:
        task = self.task
        program = _Program(task)
        for column, _ in self.best or ():
            program.add(column)
        if self.over:
            return
        steps = _generate(task, program, task.wanted, self.budget, (NARROW, WIDE))
        yield from self._spend(steps, "Looking for patterns", self.budget * 0.6)
        bound = exact_bound(task, program.prices())
        self.least = max(self.least, next_payable(task, bound.least(task.wanted, task.counts)))
        self.done += 200_000
        yield self.progress("Bound found")
        turn = 0
        while not self.over:
            yield from self._dive(program.copy(), chance, turn)
            turn += 1
            if turn == 1 and task.every is not None and len(task.wanted) <= FEW_KINDS and not self.over:
                yield from self._go_through(bound)

    def _go_through(self, bound: Bound) -> Generator[Progress, None, None]:
        """Every plan there is, bar after bar, without those that the bound rules out; proves the best where it ends in
        time.

        Some bar yields the first kind that is still wanted, so each of the full patterns with it is tried in turn.
        """
        task, seen, met = self.task, {}, 0
        stack = [(0, tuple(task.wanted), tuple(task.counts), ())]
        while stack:
            spent, wanted, left, trail = stack.pop()
            if spent + math.ceil(bound.least(wanted, left)) >= self.cost or seen.get((wanted, left), math.inf) <= spent:
                continue
            seen[wanted, left] = spent
            ahead = []
            for column in task.every(wanted, left):
                met += 1
                rest, group = tuple(_lessened(wanted, column, 1)), task.group[column.stock]
                more = spent + task.costs[column.stock]
                if not any(rest):
                    self.offer(_as_uses((column, trail)))
                    continue
                stock = left if left[group] is None else (*left[:group], left[group] - 1, *left[group + 1 :])
                ahead.append((more + bound.least(rest, stock), (more, rest, stock, (column, trail))))
            ahead.sort(key=lambda each: -each[0])
            stack += [state for _, state in ahead]
            self.done += 30 + 40 * len(ahead)
            if met > 400:
                met = 0
                yield self.progress("Going through all plans")
                if self.over or self.done > self.budget * 0.7:
                    return
        if self.best:
            self.least = self.cost

    def _spend(self, steps: Generator[int, None, None], words: str, limit: float) -> Generator[Progress, None, None]:
        """Let a generator work until it ends or the work is done."""
        for work in steps:
            self.done += work
            yield self.progress(words)
            if self.done >= limit:
                return

    def _dive(self, program: _Program, chance: random.Random, turn: int) -> Generator[Progress, None, None]:
        """Fix patterns of the fractional plan one after another, and fill up what is left at every depth."""
        task = self.task
        wanted, left, fixed, spent = list(task.wanted), list(task.counts), [], 0
        while True:
            # Counted first: a dive that finds nothing to fix is work too, or the search would never end.
            self.done += 3000 + 60 * len(wanted)
            chosen = self._choose(program.parts(), chance, turn, wanted, left)
            if not chosen:
                return
            for column, times in chosen:
                wanted = _lessened(wanted, column, times)
                if left[task.group[column.stock]] is not None:
                    left[task.group[column.stock]] -= times
                fixed.append((column, times))
                spent += task.costs[column.stock] * times
            rest = task.fill(wanted, left) if any(wanted) else []
            if rest is not None:
                self.offer(fixed + rest)
            yield self.progress("Rounding the plan")
            if not any(wanted) or self.over:
                return
            program.demand(wanted, left)
            yield from self._spend(
                _generate(task, program, wanted, 12, (NARROW, MIDDLE)), "Rounding the plan", self.budget,
            )
            ahead = spent + math.ceil(program.objective - SLACK)
            if self.over or ahead >= self.cost:
                return

    def _choose(self, parts, chance, turn, wanted, left) -> list[tuple[Column, int]]:
        """What to fix next: every whole use; without one, the pattern that is nearest to a whole use, varied by
        turn.
        """
        whole = [(column, int(value + SLACK)) for column, value in parts if value >= 1 - SLACK]
        if whole and turn % 4 != 3:
            return self._usable(whole, wanted, left)
        blur = 0.6 if turn else 0.0
        ranked = sorted(parts, key=lambda part: -min(part[1], 1.0) * (1 - blur * chance.random()))
        sure = [part for part in ranked[1:] if part[1] > 0.9]
        return self._usable(
            [(column, max(1, int(value + SLACK))) for column, value in (*ranked[:1], *sure)], wanted, left,
        )

    def _usable(self, chosen, wanted, left) -> list[tuple[Column, int]]:
        """The choice without uses that would only make pieces nobody wants, or take stock that is not there."""
        wanted, left, kept = list(wanted), list(left), []
        for column, times in chosen:
            most = max(-(-wanted[kind] // count) for kind, count in column.pattern)
            group = self.task.group[column.stock]
            times = min(times, most if left[group] is None else min(most, left[group]))
            kept.append((column, times))
            wanted = _lessened(wanted, column, times)
            if left[group] is not None:
                left[group] -= times
        return [(column, times) for column, times in kept if times > 0]
