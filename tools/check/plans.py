"""Holds the cutting plans against exact models of the same jobs, solved by OR-tools, and tells how far off they are.

    python3 tools/guide.py plans --jobs 200

The jobs are drawn: up to eight kinds and about a hundred pieces, up to four kinds of stock, some of them counted, with
kerf and trim, for each of the three aims. A model has a variable for every full pattern; jobs with too many patterns, and
those that the solver does not finish, are left out and counted.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

from calc.planning.bars import Job, Piece, PlanError, Stock, best_plan, quick_plan
from calc.planning.sheets import Sheet, SheetJob, SheetPiece, best_sheets, quick_sheets
from tools import guide
from tools.common import main_guard, say

MOST_PATTERNS = 20_000
KERFS = (Fraction(0), Fraction(1, 16), Fraction(3, 32), Fraction(1, 8))
TRIMS = (Fraction(0), Fraction(1, 4), Fraction(1, 2))


# --- jobs ------------------------------------------------------------------------------


def counts(chance: random.Random, kinds: int, pieces: int) -> list[int]:
    """So many pieces in all, about, shared out by chance."""
    shares = [chance.random() + 0.1 for _ in range(kinds)]
    return [max(1, round(share / sum(shares) * pieces)) for share in shares]


def bars_by_chance(chance: random.Random) -> Job:
    full = chance.choice((96, 120, 144, 240, 288))
    low, high = chance.choice(((0.02, 0.2), (0.03, 0.5), (0.2, 0.6), (0.1, 0.35)))
    step = chance.choice((1, 2, 4, 16))
    pieces = tuple(
        Piece("", Fraction(chance.randint(int(full * low * step) + 1, int(full * high * step)), step), count)
        for count in counts(chance, chance.randint(2, 8), chance.randint(10, 100))
    )
    stocks = [Stock("", Fraction(full), None, Fraction(chance.randint(60, 90)))]
    for _ in range(chance.choice((0, 0, 1, 2, 3))):
        length = chance.randint(full // 4, full - 1)
        price = Fraction(max(1, int(length / full * 75 * chance.uniform(0.6, 1.2))))
        stocks.append(Stock("", Fraction(length), chance.choice((None, 1, 2, 3, 6)), price))
    aim = chance.choice(("length", "bars", "price"))
    return Job(pieces, tuple(stocks), chance.choice(KERFS), chance.choice(TRIMS), Fraction(10), aim)


def sheets_by_chance(chance: random.Random) -> SheetJob:
    long, wide = chance.choice(((96, 48), (48, 48), (120, 60), (60, 36), (240, 72)))
    low, high = chance.choice(((0.06, 0.25), (0.1, 0.5), (0.15, 0.7)))
    step = chance.choice((1, 2, 4, 8))

    def side(most: int) -> Fraction:
        return Fraction(chance.randint(int(most * low * step) + 1, int(most * high * step)), step)

    pieces = tuple(
        SheetPiece("", side(chance.choice((long, wide))), side(wide), count)
        for count in counts(chance, chance.randint(2, 8), chance.randint(8, 100))
    )
    stocks = [Sheet("", Fraction(long), Fraction(wide), None, Fraction(chance.randint(60, 90)))]
    for _ in range(chance.choice((0, 0, 1, 2))):
        a, b = chance.randint(long // 3, long - 1), chance.randint(wide // 3, wide)
        price = Fraction(max(1, int(a * b / long / wide * 75 * chance.uniform(0.7, 1.2))))
        stocks.append(Sheet("", Fraction(a), Fraction(b), chance.choice((None, 1, 2, 3)), price))
    aim = chance.choice(("area", "sheets", "price"))
    return SheetJob(pieces, tuple(stocks), chance.choice(KERFS), chance.choice(TRIMS), Fraction(10), aim)


def drawn(make: Callable[[random.Random], Job | SheetJob], seed: int) -> Job | SheetJob:
    """The job of a seed: the first that can be."""
    attempt = 0
    while True:
        try:
            return make(random.Random(f"{make.__name__}/{seed}/{attempt}"))
        except PlanError:
            attempt += 1


# --- exact models ------------------------------------------------------------------------


def full_patterns(sizes: Sequence[int], most: Sequence[int], room: int) -> Iterator[tuple[int, ...]]:
    """Every way to fill a room so that no further piece fits."""
    if not sizes:
        yield ()
        return
    for count in range(min(most[0], max(0, room) // sizes[0]), -1, -1):
        left = room - count * sizes[0]
        for others in full_patterns(sizes[1:], most[1:], left):
            if count == most[0] or left - sum(map(int.__mul__, others, sizes[1:])) < sizes[0]:
                yield (count, *others)


class Model:
    """A model of a job in whole numbers."""

    def __init__(self, job: Job | SheetJob) -> None:
        from ortools.sat.python import cp_model

        self.cp, self.model, self.job, self.patterns = cp_model, cp_model.CpModel(), job, 0
        self.pieces = [piece for piece in job.pieces if piece.count]
        self.made: list[list] = [[] for _ in self.pieces]
        self.costs: list = []

    def units(self, length: Fraction) -> int:
        """A length with its kerf, in 32nds of a unit, a common measure of all jobs that are drawn here."""
        return int((length + self.job.kerf) * 32)

    def variable(self, most: int):
        self.patterns += 1
        if self.patterns > MOST_PATTERNS:
            raise OverflowError
        return self.model.NewIntVar(0, most, "")

    def solved(self, effort: float) -> Fraction | None:
        """The least cost; None where it takes the solver more effort, in its own measure, the same on every machine."""
        for piece, made in zip(self.pieces, self.made):
            self.model.Add(sum(made) >= piece.count)
        self.model.Minimize(sum(self.costs))
        solver = self.cp.CpSolver()
        solver.parameters.max_deterministic_time = effort
        solver.parameters.num_workers = 1
        return Fraction(round(solver.ObjectiveValue())) if solver.Solve(self.model) == self.cp.OPTIMAL else None


def least_bars(job: Job, effort: float) -> Fraction | None:
    """The least cost of a job of bars; None where it is too large."""
    model = Model(job)
    sizes, wanted = [model.units(piece.length) for piece in model.pieces], [piece.count for piece in model.pieces]
    try:
        for stock in job.stocks:
            cost = {"price": stock.price, "bars": 1, "length": stock.length}[job.aim]
            used = []
            for pattern in full_patterns(sizes, wanted, model.units(stock.length - 2 * job.trim)):
                if any(pattern):
                    used.append(model.variable(sum(wanted)))
                    model.costs.append(int(cost) * used[-1])
                    for made, count in zip(model.made, pattern):
                        made.append(count * used[-1])
            if stock.count is not None:
                model.model.Add(sum(used) <= stock.count)
    except OverflowError:
        return None
    return model.solved(effort)


def least_sheets(job: SheetJob, effort: float) -> Fraction | None:
    """The least cost of a job of sheets in two stages: no more strips of a length and width are cut up than the sheets
    give. None where it is too large.
    """
    model, pieces = Model(job), [piece for piece in job.pieces if piece.count]
    most = sum(piece.count for piece in pieces)
    given: dict[tuple[int, int], list] = {}
    widths = sorted({model.units(piece.width) for piece in pieces})
    try:
        for sheet in job.sheets:
            cost = {"price": sheet.price, "sheets": 1, "area": sheet.length * sheet.width}[job.aim]
            sides = model.units(sheet.length - 2 * job.trim), model.units(sheet.width - 2 * job.trim)
            used = []
            for along, across in {sides, sides[::-1]}:
                for pattern in full_patterns(widths, [most] * len(widths), across):
                    used.append(model.variable(most))
                    model.costs.append(int(cost) * used[-1])
                    for width, count in zip(widths, pattern):
                        if count:
                            given.setdefault((along, width), []).append(count * used[-1])
            if sheet.count is not None:
                model.model.Add(sum(used) <= sheet.count)
        for (along, width), strips in given.items():
            fit = [place for place, piece in enumerate(pieces) if model.units(piece.width) <= width]
            sizes, wanted = [model.units(pieces[place].length) for place in fit], [pieces[place].count for place in fit]
            used = []
            for pattern in full_patterns(sizes, wanted, along):
                used.append(model.variable(most))
                for place, count in zip(fit, pattern):
                    model.made[place].append(count * used[-1])
            model.model.Add(sum(used) <= sum(strips))
    except OverflowError:
        return None
    return model.solved(effort)


# --- told ------------------------------------------------------------------------------

KINDS = {
    "bars": (bars_by_chance, quick_plan, best_plan, least_bars),
    "sheets": (sheets_by_chance, quick_sheets, best_sheets, least_sheets),
}


def told(kind: str, jobs: int, effort: float) -> None:
    """Print how far the plans of so many jobs are over the least."""
    make, quick, best, exact = KINDS[kind]
    gaps: dict[str, list[Fraction]] = {"first plan": [], "end of the search": []}
    times: dict[str, list[float]] = {"first plan": [], "end of the search": []}
    proven = solved = 0
    for seed in range(jobs):
        job, plans = drawn(make, seed), {}
        for words, work in (("first plan", quick), ("end of the search", best)):
            start = time.process_time()
            plans[words] = work(job)
            times[words].append(time.process_time() - start)
        proven += plans["end of the search"].proven
        least = exact(job, effort)
        if least is None:
            continue
        solved += 1
        for words, plan in plans.items():
            if plan is not None:
                gaps[words].append(plan.cost / least - 1)
        if plans["end of the search"].least > least:
            say(f"  {kind} {seed}: the plan says that none is below {plans['end of the search'].least}, {least} is")
    say(f"{kind}: {jobs} jobs, {proven} proven by the search, {solved} solved by the model")
    for words, found in gaps.items():
        found.sort()
        over = [sum(gap > limit for gap in found) for limit in (Fraction(0), Fraction(1, 100), Fraction(10, 100))]
        say(
            f"  {words}: over the least {over[0]}, by more than 1 % {over[1]}, by more than 10 % {over[2]}, at most "
            f"{float(max(found, default=0)):.2%}; {sum(times[words]) / jobs:.3f} s, at most {max(times[words]):.2f} s"
        )


def main(arguments: list[str]) -> int:
    asked = guide.options("plans", arguments)
    for kind in KINDS:
        told(kind, asked.jobs, asked.effort)
    return 0


if __name__ == "__main__":
    main_guard(main)
