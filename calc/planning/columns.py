"""Covering by patterns: the cheapest stock that yields all pieces, with a proven least.

What is cut up is a blank: a bar, a sheet, or a strip that a sheet was cut into. A
pattern says what is cut from one blank, and a plan picks patterns. The method is
the column generation of Gilmore and Gomory (1961, 1963, 1965): a linear program
over the patterns known so far, whose prices tell whether a better pattern exists;
the finished program gives a bound that no plan can beat. Plans in whole numbers
are then dug out of it by fixing patterns one after another. What the blanks are,
the two users of this module say: `bars` and `sheets`.

Everything stands in rows: pieces, strips and stock. A plan must make more
of each row than it takes, by what is wanted: a number of pieces, none of a strip,
and of a stock minus what there is.

The bound is worked out once more in whole numbers, so that rounding in the linear
program cannot make it wrong. Everything is counted in work, never in time: the
same input gives the same plan on every machine.
"""

from __future__ import annotations

import heapq
import math
import random
from collections import Counter
from collections.abc import Callable, Generator, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calc.planning.knapsack import Filling, full_fillings, most_valuable

SCALE = 1 << 30
"""Prices are rounded down to a part of this for the exact bound."""
NARROW, MIDDLE, WIDE = 200, 1000, 8000
"""How many partial patterns a search may keep. Narrow is quick and finds a useful pattern most of the time; only a wide
search may say that there is none, or give a bound."""

SLACK = 1e-7
"""Numbers of the linear program that differ by less are taken as equal. Rounding makes less of a difference."""

TRIFLE = 1e-7
"""How much of each strip, times its place in the rows, is given away."""
WHOLE = 1e-3
"""A use that is so near to a whole number is taken as whole."""

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

    @property
    def stock(self) -> list[Blank]:
        """A blank of each stock."""
        return list({blank.takes: blank for blank in self.blanks if blank.cost}.values())

    @property
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
                prices[blank.takes] = math.ceil(filling.above) if exact else filling.value


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

    Each row has a column for what is made beyond the wanted. The rows of pieces have one for a shortage too, dear
    beyond reason, which makes every program solvable. That no strip is wanted would keep the method on the spot for
    long, so a trifle of each strip is given away.
    """

    def __init__(self, task: Task) -> None:
        self.task, self.size = task, len(task.wanted)
        self.entries: list[tuple[tuple[int, float], ...]] = []
        self.cost: list[float] = []
        self.columns: list[Column | None] = []
        self.known: set[Column] = set()
        self.work = 0
        pieces = range(task.kinds)
        for row in range(self.size):
            short = row < task.kinds
            self._add(((row, 1.0 if short else -1.0),), 1000.0 * task.most if short else 0.0, None)
        for row in pieces:
            self._add(((row, -1.0),), 0.0, None)
        self.basis = list(range(self.size))
        self.inverse = [
            [0.0] * row + [1.0 if row < task.kinds else -1.0] + [0.0] * (self.size - row - 1) for row in range(self.size)
        ]
        self.pivots = 0
        self.demand(task.wanted)

    def _add(self, entries, cost, column) -> None:
        self.entries.append(entries)
        self.cost.append(cost)
        self.columns.append(column)

    def add(self, column: Column) -> bool:
        """Take a pattern in; False where it is known already."""
        if column in self.known:
            return False
        self.known.add(column)
        blank = self.task.blanks[column.blank]
        entries = ((row, float(count)) for row, count in column.pattern)
        self._add((*entries, (blank.takes, -1.0)), float(blank.cost), column)
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
            least, entering = -SLACK * self.task.most, -1
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
        line, duals, cost = self.inverse[leaving], self.duals, self.cost
        best, entering = math.inf, -1
        for each, entries in enumerate(self.entries):
            alpha, reduced = 0.0, cost[each]
            for row, entry in entries:
                alpha += line[row] * entry
                reduced -= duals[row] * entry
            if alpha < -SLACK:
                ratio = max(reduced, 0.0) / -alpha
                if ratio < best:
                    best, entering = ratio, each
        self.work += 8 * len(cost)
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

    def demand(self, wanted: Sequence[int]) -> None:
        """Ask for other numbers."""
        self.right = [
            want - (TRIFLE * (1 + row) if row >= self.task.kinds else 0.0) for row, want in enumerate(wanted)
        ]
        self._refresh()

    @property
    def objective(self) -> float:
        return _total(self.cost[each] * value for each, value in zip(self.basis, self.values))

    @property
    def short(self) -> float:
        """How many pieces the known patterns leave wanted."""
        return _total(value for each, value in zip(self.basis, self.values) if each < self.task.kinds)

    def prices(self) -> list[float]:
        """What one more of each row would cost."""
        return [max(0.0, dual) for dual in self.duals]

    def parts(self) -> list[tuple[Column, float]]:
        """The patterns of the fractional plan and how often it uses each."""
        return [
            (self.columns[each], value) for each, value in zip(self.basis, self.values)
            if self.columns[each] is not None and value > WHOLE
        ]


def _generate(
    task: Task, program: _Program, wanted: Sequence[int], rounds: int, widths: tuple[int, ...],
) -> Generator[int, None, None]:
    """Add patterns while any would make the plan cheaper, at most so many rounds. Yields the work done."""
    for _ in range(rounds):
        before = program.work
        program.settle()
        yield program.work - before
        fresh = False
        for widest in widths:
            for place, price, filling in task.found(program.prices(), wanted, widest):
                for counts in (filling.counts, *filling.others):
                    if counts:
                        parts = task.blanks[place].parts
                        fresh |= program.add(Column(place, tuple((parts[each][0], count) for each, count in counts)))
                yield 3 * filling.visited
            if fresh:
                break
        if not fresh:
            return
    program.settle()


@dataclass(frozen=True)
class Need:
    """What any choice of stock, or of strips, must come to: each of row r counts `tops[r]`, and together they must come
    to `load`. All in whole numbers.
    """

    load: int
    tops: dict[int, int]

    def met(self, mix: dict[int, int]) -> bool:
        """Whether so many of each stock come to the load."""
        return sum(self.tops[row] * count for row, count in mix.items()) >= self.load

    def worth(self, column: Column) -> int:
        """What the strips of a sheet pattern come to."""
        return sum(self.tops[row] * count for row, count in column.pattern)


def need_by_size(task: Task) -> Need:
    """The stock must hold all pieces by size."""
    tops = {blank.takes: room for blank, room in zip(task.blanks, task.holds)}
    return Need(sum(size * want for size, want in zip(task.sizes, task.wanted)), tops)


def least_by_size(task: Task) -> int:
    """The least cost of stock that holds all pieces by size."""
    return next(mixes(task, [need_by_size(task)]))[0]


def need_at(task: Task, prices: Sequence[float]) -> Need:
    """What the stock must come to at these prices of the pieces: a stock counts what its best pattern is worth.

    Exact: the prices are rounded to whole numbers first, and these are as good as any.
    """
    scaled = [math.floor(price * SCALE) for price in prices[: task.kinds]] + [0] * (len(task.wanted) - task.kinds)
    tops: dict[int, int] = {}
    for place, _, filling in task.found(scaled, task.wanted, WIDE, exact=True):
        blank = task.blanks[place]
        tops[blank.takes] = max(tops.get(blank.takes, 0), math.ceil(filling.above))
    return Need(sum(price * want for price, want in zip(scaled, task.wanted)), tops)


LONGEST_LOOK = 3000
"""Up to so many choices of stock are looked at before a cheaper one that will do is given up."""


def mixes(task: Task, needs: Sequence[Need]) -> Generator[tuple[int, dict[int, int] | None], None, None]:
    """Every choice of stock that meets all needs, the cheapest first: what it costs, and how many of each stock row.

    Bars of 240 and 92 never cost 456 together. The needs may grow meanwhile. Where it would take too long, the last is
    the least that any other choice costs, with None.
    """
    costs = {blank.takes: blank.cost for blank in task.stock}
    rows = sorted(costs, key=lambda row: -costs[row])
    heap: list[tuple[int, int, tuple[int, ...]]] = [(0, 0, ())]
    while heap:
        least, _, chosen = heapq.heappop(heap)
        mix = dict(zip(rows, chosen))
        if len(mix) == len(rows):
            if all(need.met(mix) for need in needs):
                yield least, mix
            continue
        if len(heap) > LONGEST_LOOK:
            yield least, None
            return
        row, *others = rows[len(mix) :]
        for count in range(-task.wanted[row] + 1):
            mix[row] = count
            cost = sum(costs[each] * many for each, many in mix.items())
            ahead, enough = 0, True
            for need in needs:
                lack = need.load - sum(need.tops[each] * many for each, many in mix.items())
                if lack > 0:
                    enough = False
                    ways = [-(-lack * costs[each] // need.tops[each]) for each in others if need.tops[each]]
                    ahead = max(ahead, min(ways, default=math.inf))
            if ahead < math.inf:
                heapq.heappush(heap, (cost + ahead, -sum(need.tops[each] * many for each, many in mix.items()) if needs else 0, (*chosen, count)))
            if enough:
                break


class Layings:
    """Every choice of sheet patterns for a choice of stock that meets all needs, one after another.

    `going` gives a laying, or now and then None, so that others can work. `work` is what it took since it was last
    reset. `sure`: each laying so far was ruled out.
    """

    def __init__(
        self, task: Task, needs: Sequence[Need], mix: dict[int, int], full: dict[int, list[Column]],
    ) -> None:
        self.task, self.needs, self.work = task, needs, 0
        self.order = [row for row, count in mix.items() for _ in range(count)]
        for row in mix:
            if mix[row] and row not in full:
                full[row] = self._full(row)
        self.patterns = {row: full[row] for row, count in mix.items() if count}
        self.sure = all(len(found) <= MOST_PATTERNS for found in self.patterns.values())
        self.worths: list[tuple[Need, dict[int, list[int]]]] = []
        self.going = self._go([], 0)

    def _full(self, row: int) -> list[Column]:
        """The patterns of a stock in which no strip can be added or be wider; those of the most worth first."""
        found = []
        for place, blank in enumerate(self.task.blanks):
            if blank.cost and blank.takes == row:
                rows, sizes = zip(*blank.parts)
                wider = [size - own for own, size in zip(sizes[1:], sizes)]
                for counts in full_fillings(sizes, [blank.room // size for size in sizes], blank.room):
                    self.work += 20
                    rest = blank.room - sum(size * count for size, count in zip(sizes, counts))
                    if not any(count and more <= rest for more, count in zip(wider, counts[1:])):
                        found.append(Column(place, tuple((row, count) for row, count in zip(rows, counts) if count)))
                    if len(found) > MOST_PATTERNS:
                        break
        return sorted(found, key=lambda column: -self.needs[-1].worth(column))

    def _go(self, chosen: list[int], known: int) -> Generator[list[Column] | None, None, None]:
        """The layings that begin with the chosen patterns, given by their places; so many needs hold for these."""
        if len(chosen) == len(self.order):
            yield [self.patterns[row][place] for row, place in zip(self.order, chosen)]
            return
        row, *others = self.order[len(chosen) :]
        place = chosen[-1] if chosen and self.order[len(chosen) - 1] == row else 0
        places: Sequence[int] = range(place, len(self.patterns[row]))
        known = 0
        while places:
            for need in self.needs[len(self.worths) :]:
                worth = {each: [need.worth(column) for column in found] for each, found in self.patterns.items()}
                self.worths.append((need, worth))
            for need, worth in self.worths[known:]:
                self.work += 60 + 2 * len(places)
                ask = need.load - sum(need.tops[each] for each in others) - sum(
                    worth[each][place] for each, place in zip(self.order, chosen)
                )
                worth = worth[row]
                places = [place for place in places if worth[place] >= ask]
            known = len(self.worths)
            if self.work > 4000:
                yield None
            if places:
                place, *places = places
                yield from self._go([*chosen, place], known)


MOST_PATTERNS = 3000


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
    yield from search.run(random.Random("plan"))
    yield search.progress("Done")


OPEN = 6
"""So many choices of stock are tried in turn."""


class _Search:
    """The best plan and the bound so far, while the search goes on."""

    def __init__(self, task: Task, best: Uses | None, budget: int, least: int) -> None:
        self.task, self.best, self.budget, self.least = task, best, budget, least
        self.cost = task.cost(best) if best else math.inf
        self.done = 0
        self.needs = [need_by_size(task)]
        self.mixes, self.ahead, self.open = mixes(task, self.needs), 0, []
        self.layings: dict[tuple, Layings] = {}
        self.full: dict[int, list[Column]] = {}

    def progress(self, words: str) -> Progress:
        share = 1.0 if words == "Done" else min(0.99, self.done / self.budget)
        return Progress(tuple(self.best or ()), self.cost, self.least, share, words)

    @property
    def over(self) -> bool:
        return self.done >= self.budget or self.cost <= self.least

    def _cost_of(self, mix: dict[int, int]) -> int:
        return sum(blank.cost * mix[blank.takes] for blank in self.task.stock)

    def offer(self, uses: Uses) -> None:
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
        self.needs.append(need_at(task, program.prices()))
        self._look_ahead()
        self.done += 200_000
        yield self.progress("Bound found")
        turn = 0
        while not self.over:
            yield from self._dive(program.copy(), chance, turn, task.wanted)
            for mix in list(self.open):
                if self.over:
                    break
                yield from self._try(program.copy(), mix, chance, turn)
                if any(not blank.cost for blank in task.blanks) and not self.over:
                    key = tuple(mix.items())
                    if key not in self.layings:
                        self.layings[key] = Layings(task, self.needs, mix, self.full)
                    yield from self._lay(program, mix, chance, self.layings[key])
            self._look_ahead()
            turn += 1

    def _try(self, program: _Program, mix: dict[int, int], chance: random.Random, turn: int):
        """A dive with this choice of stock, or the proof that it does not suffice."""
        task = self.task
        wanted = [-mix[row] if row in mix else want for row, want in enumerate(task.wanted)]
        if (yield from self._suffices(program, wanted, mix)):
            yield from self._dive(program, chance, turn, wanted)

    def _suffices(self, program: _Program, wanted: Sequence[int], made: Mapping[int, int]):
        """Whether so many of the rows may suffice, by the linear program; a need keeps the proof where they do not."""
        program.demand(wanted)
        steps = _generate(self.task, program, wanted, 50, (NARROW, WIDE))
        yield from self._spend(steps, "Trying a choice of stock", self.budget)
        if program.short > WHOLE:
            need = need_at(self.task, program.prices())
            self.done += 3000 * len(self.task.blanks)
            if not need.met(made):
                self.needs.append(need)
                return False
        return True

    def _lay(self, program: _Program, mix: dict[int, int], chance: random.Random, layings: Layings):
        """Go through layings of the sheets of a choice of stock for a while, each held against the strips that the
        pieces take.
        """
        task, end = self.task, self.done + self.budget // 50
        for laid in layings.going:
            self.done += layings.work
            layings.work = 0
            yield self.progress("Trying layings of strips")
            if laid is not None:
                wanted, fixed = list(task.wanted), [(column, times) for column, times in Counter(laid).items()]
                for column, times in fixed:
                    wanted = task.lessened(wanted, column, times)
                strips = {blank.takes: -wanted[blank.takes] for blank in task.blanks if not blank.cost}
                wanted = [0 if row in mix else want for row, want in enumerate(wanted)]
                own = program.copy()
                if (yield from self._suffices(own, wanted, strips)):
                    layings.sure = False
                    for turn in range(3):
                        yield from self._dive(own.copy(), chance, turn, wanted, fixed)
            if self.over or self.done > end:
                return
        if layings.sure:
            self.open.remove(mix)

    def _look_ahead(self) -> None:
        """The cheapest choices of stock that may suffice; the least is what the first of them costs."""
        self.open = [mix for mix in self.open if all(need.met(mix) for need in self.needs)]
        while self.ahead < self.cost and len(self.open) < OPEN:
            self.ahead, mix = next(self.mixes, (self.cost, None))
            if mix is None:
                break
            if all(need.met(mix) for need in self.needs):
                self.open.append(mix)
        cheapest = min((self._cost_of(mix) for mix in self.open), default=math.inf)
        self.least = max(self.least, min(self.cost, self.ahead, cheapest))

    def _spend(self, steps: Generator[int, None, None], words: str, limit: float) -> Generator[Progress, None, None]:
        """Let a generator work until it ends or the work is done."""
        for work in steps:
            self.done += work
            yield self.progress(words)
            if self.done >= limit:
                return

    def _dive(
        self, program: _Program, chance: random.Random, turn: int, wanted: Sequence[int], given: Uses = (),
    ) -> Generator[Progress, None, None]:
        """Fix patterns of the fractional plan one after another, and fill up what is left at every depth."""
        task, fixed = self.task, list(given)
        spent = task.cost(fixed)
        while True:
            # Counted first: a dive that finds nothing to fix is work too, or the search would never end.
            self.done += 3000 + 60 * len(wanted)
            chosen = self._choose(program.parts(), chance, turn, wanted)
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
                _generate(task, program, wanted, 12, (NARROW, MIDDLE)), "Rounding the plan", self.budget,
            )
            ahead = spent + math.ceil(program.objective - WHOLE * task.most)
            if self.over or ahead >= self.cost:
                return

    def _choose(self, parts, chance, turn, wanted) -> Uses:
        """What to fix next: every whole use; without one, the pattern that is nearest to a whole use, varied by
        turn.
        """
        parts = [part for part in parts if self.task.blanks[part[0].blank].cost] or parts
        whole = [(column, int(value + WHOLE)) for column, value in parts if value >= 1 - WHOLE]
        if whole and turn % 4 != 3:
            return self._usable(whole, wanted)
        blur = 0.6 if turn else 0.0
        ranked = sorted(parts, key=lambda part: -min(part[1], 1.0) * (1 - blur * chance.random()))
        sure = [part for part in ranked[1:] if part[1] > 0.9]
        return self._usable([(column, max(1, int(value + WHOLE))) for column, value in (*ranked[:1], *sure)], wanted)

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
