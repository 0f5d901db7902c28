"""Cutting pieces from bars: which piece from which bar, with kerf, trimmed ends and remnants worth keeping.

The one-dimensional cutting-stock problem. Lengths come in as exact fractions of a
metre and are counted in whole numbers of the largest unit that fits them all, so a
plan adds up to the last bit: stock = pieces + kerf + trim + remnant.

Between two pieces the torch or saw takes one kerf, and one more where a remnant
is parted from the last piece. A rest no wider than the kerf is cut away whole.
"""

from __future__ import annotations

import math
from collections.abc import Generator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from calc.planning.knapsack import fullest, greedy
from calc.planning.search import Progress, improve
from calc.planning.task import Blank, Column, Pattern, Task, Uses, least_by_size, pattern_of

MOST_KINDS, MOST_STOCKS, MOST_PIECES = 100, 12, 20_000
BUDGET = 14_000_000
"""Work of an improvement, in the measure of `columns.improve`; some two seconds of a desk computer."""


class PlanError(ValueError):
    """A job that cannot be planned. `part` is pieces or stock; `row` counts from 1, 0 for the whole list."""

    def __init__(self, part: str, row: int, message: str) -> None:
        super().__init__(message)
        self.part, self.row = part, row


class TooLong(PlanError):
    """A piece longer than any bar. `length` is the piece's, `most` the longest piece that the stock can give, m."""

    def __init__(self, row: int, length: Fraction, most: Fraction) -> None:
        super().__init__("pieces", row, "longer than any stock")
        self.length, self.most = length, most


class TooLittle(PlanError):
    """Less stock than the pieces take. `needed` and `given` are lengths with a kerf a piece, m."""

    def __init__(self, needed: Fraction, given: Fraction) -> None:
        super().__init__("stock", 0, "less stock than the pieces take")
        self.needed, self.given = needed, given


@dataclass(frozen=True)
class Piece:
    """A kind of piece: its name, its length in m, how many are wanted."""

    name: str
    length: Fraction
    count: int


@dataclass(frozen=True)
class Stock:
    """A kind of bar: its length in m, how many there are (None: any number), the price of one (None: not told)."""

    name: str
    length: Fraction
    count: int | None = None
    price: Fraction | None = None


@dataclass(frozen=True)
class Job:
    """What to cut from what. All lengths in m, exact.

    `kerf` is the width of a cut, `trim` what each end of a bar loses before the first piece (its cut included),
    `least_remnant` the shortest rest worth keeping. `aim` is what the plan spares: `length` of stock taken, number of
    `bars`, or `price`.

    Raises `PlanError` (`TooLong`, `TooLittle`) for a job that cannot be: a count or length below what makes sense, a
    piece longer than any bar, more kinds than `MOST_KINDS`, a price missing where the aim is the price.
    """

    pieces: tuple[Piece, ...]
    stocks: tuple[Stock, ...]
    kerf: Fraction = Fraction(0)
    trim: Fraction = Fraction(0)
    least_remnant: Fraction = Fraction(0)
    aim: str = "length"

    def __post_init__(self) -> None:
        self._check_numbers()
        longest = max(stock.length - 2 * self.trim for stock in self.stocks if stock.count != 0)
        for row, piece in enumerate(self.pieces, 1):
            if piece.count and piece.length > longest:
                raise TooLong(row, piece.length, longest)
        if all(stock.count is not None for stock in self.stocks):
            needed = sum(piece.count * (piece.length + self.kerf) for piece in self.pieces)
            given = sum(
                stock.count * max(Fraction(0), stock.length - 2 * self.trim + self.kerf) for stock in self.stocks
            )
            if needed > given:
                raise TooLittle(needed, given)

    def _check_numbers(self) -> None:
        if not self.pieces or len(self.pieces) > MOST_KINDS:
            raise PlanError("pieces", 0, f"{len(self.pieces)} kinds of pieces; give from 1 to {MOST_KINDS}")
        if not self.stocks or len(self.stocks) > MOST_STOCKS:
            raise PlanError("stock", 0, f"{len(self.stocks)} kinds of stock; give from 1 to {MOST_STOCKS}")
        for row, piece in enumerate(self.pieces, 1):
            if piece.length <= 0 or piece.count < 0:
                raise PlanError("pieces", row, "a length must be above 0 and a count not below 0")
        for row, stock in enumerate(self.stocks, 1):
            if stock.length <= 0 or (stock.count is not None and stock.count < 0):
                raise PlanError("stock", row, "a length must be above 0 and a count not below 0")
            if self.aim == "price" and (stock.price is None or stock.price <= 0):
                raise PlanError("stock", row, "has no price; give every stock a price, or plan for minimum length")
        if not 1 <= sum(piece.count for piece in self.pieces) <= MOST_PIECES:
            raise PlanError(
                "pieces", 0,
                f"the counts add up to {sum(p.count for p in self.pieces)}; plan from 1 to {MOST_PIECES} pieces at "
                f"once",
            )
        if all(stock.count == 0 for stock in self.stocks):
            raise PlanError("stock", 0, "there is no bar; give at least one, or leave its count blank")
        if min(self.kerf, self.trim, self.least_remnant) < 0:
            raise PlanError("stock", 0, "kerf, trim and minimum remnant must not be below 0")
        if self.aim not in ("length", "bars", "price"):
            raise PlanError("stock", 0, f"no such aim: {self.aim}")

    @cached_property
    def unit(self) -> Fraction:
        """The largest length of which all lengths of the job are whole multiples, m."""
        lengths = [*(p.length for p in self.pieces), *(
            s.length for s in self.stocks
        ), self.kerf, self.trim, self.least_remnant]
        return common_measure(lengths)

    def count_of(self, length: Fraction) -> int:
        """How many units of the job a length is; whole for the lengths of the job."""
        return int(length / self.unit)


@dataclass(frozen=True)
class Layout:
    """One bar cut up, `times` times over. Lengths in m; stock = pieces + kerf + trim + remnant, exactly."""

    stock: int
    cuts: tuple[int, ...]
    times: int
    length: Fraction
    pieces: Fraction
    kerf: Fraction
    trim: Fraction
    remnant: Fraction


@dataclass(frozen=True)
class Plan:
    """What to cut from which bar, and how good that is.

    `cost` is counted in the unit of the aim (m, bars or money); no plan costs less than `least`. `bars` is the number
    of bars taken. `proven`: the plan is as good as any.
    """

    job: Job
    layouts: tuple[Layout, ...]
    cost: Fraction
    least: Fraction

    @property
    def bars(self) -> int:
        """How many bars are taken."""
        return sum(layout.times for layout in self.layouts)

    @property
    def proven(self) -> bool:
        """Whether no plan costs less."""
        return self.cost <= self.least

    @property
    def gap(self) -> Fraction:
        """How far this plan is over the best one at most, as a share of the best: cost / least − 1. Every plan costs
        something.
        """
        return self.cost / self.least - 1

    def total(self, what: str) -> Fraction:
        """The sum over all bars of `length`, `pieces`, `kerf`, `trim` or `remnant`, m."""
        return sum((getattr(layout, what) * layout.times for layout in self.layouts), Fraction(0))

    @property
    def kept(self) -> Fraction:
        """The remnants that are worth keeping, m."""
        return sum((each.remnant * each.times for each in self.layouts if self.is_kept(each)), Fraction(0))

    def is_kept(self, layout: Layout) -> bool:
        """Whether a rest is long enough to go back on the rack."""
        return layout.remnant > 0 and layout.remnant >= self.job.least_remnant


class _Bars:
    """A job in whole numbers: the kinds with a count, largest first, each length with one kerf."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.kinds = sorted(
            (row for row, piece in enumerate(job.pieces) if piece.count), key=lambda row: -job.pieces[row].length,
        )
        kerf = job.count_of(job.kerf)
        sizes = [job.count_of(job.pieces[row].length) + kerf for row in self.kinds]
        rooms = [job.count_of(stock.length - 2 * job.trim) + kerf for stock in job.stocks]
        self.each = math.gcd(*sizes)
        self.sizes = [size // self.each for size in sizes]
        self.rooms = [max(0, room // self.each) for room in rooms]
        counts = [job.pieces[row].count for row in self.kinds]
        parts = tuple(enumerate(self.sizes))
        self.task = Task(
            len(counts), (*counts, *(-(sum(counts) if bar.count is None else bar.count) for bar in job.stocks)),
            tuple(
                Blank(cost, len(counts) + stock, room, parts)
                for stock, (cost, room) in enumerate(zip(self._costs(), self.rooms))
            ),
            tuple(self.sizes), tuple(self.rooms), self._fill,
        )

    def _costs(self) -> tuple[int, ...]:
        stocks = self.job.stocks
        match self.job.aim:
            case "bars":
                return (1,) * len(stocks)
            case "price":
                self.cost_unit = common_measure([stock.price for stock in stocks])
                return tuple(int(stock.price / self.cost_unit) for stock in stocks)
            case _:
                self.cost_unit = common_measure([stock.length for stock in stocks])
                return tuple(int(stock.length / self.cost_unit) for stock in stocks)

    cost_unit = Fraction(1)

    def _fill(self, wanted: Sequence[int]) -> Uses | None:
        """The best of several simple plans: each stock preferred in turn (with one stock, all are one), filled two
        ways.
        """
        preferred = [None] if len(self.rooms) == 1 else [None, *range(len(self.rooms))]
        plans = (self._filled(wanted, first, tight) for first in preferred for tight in (True, False))
        return min((plan for plan in plans if plan is not None), key=self.task.cost, default=None)

    def _filled(self, wanted: Sequence[int], preferred: int | None, tight: bool) -> Uses | None:
        """Bar after bar: the largest piece that is left goes in, the rest of the bar is filled as full as can be
        (`tight`) or with the largest that fits; of several stocks the one whose length is used best for its cost. What
        fits into one bar at the end goes into the cheapest that holds it.
        """
        uses: Uses = []
        while not self.task.done(wanted):
            pieces = wanted[: len(self.sizes)]
            chosen = self._last(pieces, wanted) or self._best(pieces, wanted, preferred, tight)
            if chosen is None:
                return None
            stock, counts = chosen
            times = min(
                self._left(stock, wanted), *(pieces[kind] // count for kind, count in enumerate(counts) if count),
            )
            column = Column(stock, pattern_of(counts))
            wanted = self.task.lessened(wanted, column, times)
            uses.append((column, times))
        return uses

    def _left(self, stock: int, wanted: Sequence[int]) -> int:
        """How many bars of a stock there are still."""
        return -wanted[len(self.sizes) + stock]

    def _last(self, pieces: Sequence[int], wanted: Sequence[int]) -> tuple[int, list[int]] | None:
        """The cheapest bar that holds all that is left, if one does."""
        load = sum(size * want for size, want in zip(self.sizes, pieces))
        holding = [stock for stock, room in enumerate(self.rooms) if room >= load and self._left(stock, wanted)]
        if not holding:
            return None
        return min(holding, key=lambda stock: (self.task.blanks[stock].cost, self.rooms[stock])), list(pieces)

    def _best(
        self, pieces: Sequence[int], wanted: Sequence[int], preferred: int | None, tight: bool,
    ) -> tuple[int, list[int]] | None:
        best = None
        for stock, blank in enumerate(self.task.blanks):
            if not self._left(stock, wanted):
                continue
            counts = self._one(pieces, blank.room, tight)
            used = sum(size * count for size, count in zip(self.sizes, counts))
            if used and stock == preferred:
                return stock, counts
            if used and (best is None or used * best[3] > best[2] * blank.cost):
                best = (stock, counts, used, blank.cost)
        return None if best is None else best[:2]

    def _one(self, wanted: Sequence[int], room: int, tight: bool) -> list[int]:
        first = next((kind for kind, want in enumerate(wanted) if want and self.sizes[kind] <= room), None)
        if first is None:
            return [0] * len(wanted)
        if not tight:
            return greedy(self.sizes, wanted, room)
        rest = list(wanted)
        rest[first] -= 1
        counts = fullest(self.sizes, rest, room - self.sizes[first])
        counts[first] += 1
        return counts

    def bound(self) -> int:
        """The least cost by length alone: all pieces with their kerfs, laid into the stock that gives most for its
        cost.
        """
        pieces, blanks = self.task.wanted[: len(self.sizes)], self.task.blanks
        least = least_by_size(self.task)
        if len({(blank.room, blank.cost) for blank in blanks}) == 1:
            least = max(least, pair_bound(self.sizes, pieces, blanks[0].room) * blanks[0].cost)
        return least

    def plan(self, uses: Uses, least: int) -> Plan:
        kept = self._trimmed(uses)
        merged: dict[tuple[int, Pattern], int] = {}
        for column, times in kept:
            merged[column.blank, column.pattern] = merged.get((column.blank, column.pattern), 0) + times
        layouts = [self._layout(stock, pattern, times) for (stock, pattern), times in merged.items()]
        layouts.sort(key=lambda each: (each.stock, -each.times, each.remnant, each.cuts))
        return Plan(self.job, tuple(layouts), self.task.cost(kept) * self.cost_unit, least * self.cost_unit)

    def _trimmed(self, uses: Uses) -> Uses:
        """The same bars without the pieces that nobody wants: taken out where they leave the longest remnant.
        A bar that yields none but those is not taken."""
        over = [-want for want in self.task.wanted[: len(self.sizes)]]
        for column, times in uses:
            for kind, count in column.pattern:
                over[kind] += count * times
        if not any(over):
            return list(uses)
        single = sorted(
            (column for column, times in uses for _ in range(times)),
            key=lambda column: sum(self.sizes[kind] * count for kind, count in column.pattern),
        )
        kept = []
        for column in single:
            pattern = []
            for kind, count in column.pattern:
                drop = min(count, over[kind])
                over[kind] -= drop
                if count > drop:
                    pattern.append((kind, count - drop))
            if pattern:
                kept.append((Column(column.blank, tuple(pattern)), 1))
        return kept

    def _layout(self, stock: int, pattern: Pattern, times: int) -> Layout:
        job = self.job
        cuts = tuple(self.kinds[kind] for kind, count in pattern for _ in range(count))
        length, pieces = job.stocks[stock].length, sum((job.pieces[row].length for row in cuts), Fraction(0))
        rest = length - 2 * job.trim - pieces - (len(cuts) - 1) * job.kerf
        last = min(rest, job.kerf)
        return Layout(stock, cuts, times, length, pieces, (len(cuts) - 1) * job.kerf + last, 2 * job.trim, rest - last)


def common_measure(numbers: Sequence[Fraction]) -> Fraction:
    """The largest number of which all are whole multiples; of nothing but zeros, 0.

    >>> common_measure([Fraction(1, 2), Fraction(3, 4)])
    Fraction(1, 4)
    """
    under = math.lcm(*(number.denominator for number in numbers))
    return Fraction(math.gcd(*(int(number * under) for number in numbers)), under)


def pair_bound(sizes: Sequence[int], counts: Sequence[int], room: int) -> int:
    """The least number of equal bars, by the pieces that cannot share a bar.

    Martello and Toth's bound L2 (Lower bounds and reduction procedures for the bin packing problem, 1990): for every
    limit K up to half a bar, pieces over room - K stand alone, those over half a bar take a bar each, and what does not
    fit beside them of the pieces from K up takes more bars. The bound only rises at the length of a piece.

    Args:
        sizes, counts: length of each kind (largest first) and how many of it.
        room: length of a bar.

    >>> pair_bound([6, 6, 6], [1, 1, 1], 10)
    3
    """
    best = sum(count for size, count in zip(sizes, counts) if 2 * size > room)
    for limit in {size for size in sizes if 2 * size <= room}:
        alone = sum(count for size, count in zip(sizes, counts) if size > room - limit)
        large = [(size, count) for size, count in zip(sizes, counts) if room - limit >= size and 2 * size > room]
        small = sum(size * count for size, count in zip(sizes, counts) if 2 * size <= room and size >= limit)
        number = sum(count for _, count in large)
        beside = number * room - sum(size * count for size, count in large)
        best = max(best, alone + number + max(0, -(-(small - beside) // room)))
    return best


def quick_plan(job: Job) -> Plan | None:
    """A plan at once, with a bound by length; None where the counted stock could not be filled so that all pieces fit.

    >>> job = Job((Piece("a", Fraction(6), 3), Piece("b", Fraction(4), 3)), (Stock("bar", Fraction(10)),))
    >>> plan = quick_plan(job)
    >>> plan.bars, plan.proven
    (3, True)
    """
    bars = _Bars(job)
    uses = bars.task.fill(bars.task.wanted)
    return None if uses is None else bars.plan(uses, bars.bound())


def improved_plans(job: Job, budget: int = BUDGET) -> Generator[tuple[Progress, Plan | None], None, None]:
    """Better and better plans: how far the search is, and the best plan yet where it is a new one, else None.

    The last item always carries the best plan, or None where the counted stock never sufficed. `budget` is work, not
    time, so the same job gives the same plan everywhere.

    >>> job = Job((Piece("a", Fraction(5), 3), Piece("b", Fraction(3), 3), Piece("c", Fraction(2), 3)), (Stock("bar", Fraction(10)),))
    >>> *_, (progress, plan) = improved_plans(job)
    >>> plan.bars, plan.proven
    (3, True)
    """
    bars = _Bars(job)
    task = bars.task
    shown = None
    for progress in improve(task, task.fill(task.wanted), budget, bars.bound()):
        fresh = bool(progress.uses) and (progress.cost != shown or progress.share == 1)
        shown = progress.cost
        yield progress, bars.plan(progress.uses, progress.least) if fresh else None


def best_plan(job: Job, budget: int = BUDGET) -> Plan | None:
    """The plan at the end of the improvement, or None where the counted stock never sufficed for all pieces.

    Two pieces of 4 and one of 3 leave 1 of a bar of 12.

    >>> best_plan(Job((Piece("a", Fraction(4), 2), Piece("b", Fraction(3), 1)), (Stock("bar", Fraction(12)),))).total("remnant")
    Fraction(1, 1)
    """
    *_, (_, plan) = improved_plans(job, budget)
    return plan
