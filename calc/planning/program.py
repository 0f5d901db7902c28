"""The linear program over cutting patterns, and the search for patterns that make it cheaper.

The column generation of Gilmore and Gomory (1961, 1963, 1965): the prices of the
program over the patterns known so far tell whether a better pattern exists. Sums of
floats are added one after another, so that the same input gives the same plan on
every machine.
"""

from __future__ import annotations

import math
from collections.abc import Generator, Iterable, Sequence

from calc.planning.task import SLACK, Column, Task

NARROW, MIDDLE = 200, 1000
"""How many partial patterns a search may keep. Narrow is quick and finds a useful pattern most of the time; only a wide
search may say that there is none."""

TRIFLE = 1e-7
"""How much of each strip, times its place in the rows, is given away."""
DRIFT = 1e-5
"""Where the counts make up what is wanted only to this, the inverse is worked out anew."""
WHOLE = 1e-3
"""A use that is so near to a whole number is taken as whole."""


def _total(amounts: Iterable[float]) -> float:
    """The sum, added one after another. From Python 3.12 on sum() rounds floats in another way, and the search would
    go another way.
    """
    total = 0.0
    for amount in amounts:
        total += amount
    return total


class Program:
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
        self.pivots = 0
        self._start()
        self.demand(task.wanted)

    def _start(self) -> None:
        """The plan of nothing but shortages."""
        signs = [1.0 if row < self.task.kinds else -1.0 for row in range(self.size)]
        self.basis = list(range(self.size))
        self.inverse = [[sign if row == place else 0.0 for place in range(self.size)] for row, sign in enumerate(signs)]
        self.duals = [self.cost[row] * sign for row, sign in enumerate(signs)]
        self.values = [0.0] * self.size

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

    def known_of(self, row: int) -> list[Column]:
        """The known patterns of the blanks that take of a row."""
        return [column for column in self.columns if column and self.task.blanks[column.blank].takes == row]

    def copy(self) -> Program:
        """The same program to go on with; the patterns themselves are shared."""
        other = object.__new__(Program)
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
        best, entering, steepest = math.inf, -1, 0.0
        for each, entries in enumerate(self.entries):
            alpha, reduced = 0.0, cost[each]
            for row, entry in entries:
                alpha += line[row] * entry
                reduced -= duals[row] * entry
            if alpha < -SLACK:
                ratio = max(reduced, 0.0) / -alpha
                # Among equals the larger pivot: steadier numbers.
                if ratio < best - SLACK or (ratio <= best + SLACK and alpha < steepest):
                    best, entering, steepest = min(best, ratio), each, alpha
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

    def _exchange(self, leaving: int, entering: int, direction: list[float]) -> None:
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
        self.work += self.size * self.size // 2

    def _pivot(self, leaving: int, entering: int, direction: list[float]) -> None:
        self._exchange(leaving, entering, direction)
        self.pivots += 1
        if self.pivots % 80 == 0:
            self._refresh()

    def _refresh(self) -> None:
        """Take the slips of many pivots out of counts and prices, and out of the inverse where they have grown."""
        self._recount()
        made = [-each for each in self.right]
        for each, value in zip(self.basis, self.values):
            for row, entry in self.entries[each]:
                made[row] += entry * value
        if not max(map(abs, made)) <= DRIFT:
            self._invert()
            self._recount()

    def _recount(self) -> None:
        self.values = [_total(map(float.__mul__, row, self.right)) for row in self.inverse]
        costs = [self.cost[each] for each in self.basis]
        self.duals = [_total(map(float.__mul__, costs, column)) for column in zip(*self.inverse)]

    def _invert(self) -> None:
        """The inverse from nothing: the columns of the plan enter one by one, each where its pivot is largest."""
        kept = set(self.basis)
        free = [row for row in range(self.size) if row not in kept]
        self._start()
        for each in sorted(kept - set(self.basis)):
            direction = self._direction(each)
            row = max(free, key=lambda row: abs(direction[row]))
            if abs(direction[row]) > SLACK:
                free.remove(row)
                self._exchange(row, each, direction)

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


def generate(
    task: Task, program: Program, wanted: Sequence[int], rounds: int, widths: tuple[int, ...],
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
