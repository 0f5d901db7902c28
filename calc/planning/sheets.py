"""Cutting pieces from sheets by straight cuts right across: strips first, then pieces from the strips.

The two-stage guillotine problem of Gilmore and Gomory (Multistage cutting stock
problems of two and more dimensions, 1965): the first cuts run right across the
sheet and part it into strips, the second run right across a strip. A piece that is
narrower than its strip gets a third cut along it. Sheets may be parted along
their length or across it; pieces keep the direction they are entered in, since
their length lies along the strip.

Lengths are exact fractions of a metre. Areas add up to the last bit: sheet =
pieces + kerf + trim + remnant.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calc.planning.bars import PlanError, common_measure
from calc.planning.columns import Column, Found, Pattern, Progress, Task, improve, next_payable
from calc.planning.knapsack import full_fillings, fullest, most_valuable

MOST_KINDS, MOST_STOCKS, MOST_PIECES = 30, 6, 5_000
BUDGET = 4_000_000


@dataclass(frozen=True)
class SheetPiece:
    """A kind of piece: its length lies along the strip, its width across it, both in m; how many are wanted."""

    name: str
    length: Fraction
    width: Fraction
    count: int


@dataclass(frozen=True)
class Sheet:
    """A kind of sheet: length and width in m, how many there are (None: any number), the price of one (None: not
    told).
    """

    name: str
    length: Fraction
    width: Fraction
    count: int | None = None
    price: Fraction | None = None


class TooFew(PlanError):
    """Less sheet than the pieces take. `needed` and `given` are areas with the kerfs of each piece, m2."""

    def __init__(self, needed: Fraction, given: Fraction) -> None:
        super().__init__("stock", 0, "less sheet than the pieces take")
        self.needed, self.given = needed, given


class TooLarge(PlanError):
    """A piece that no sheet can give, either way round."""

    def __init__(self, row: int) -> None:
        super().__init__("pieces", row, "larger than any sheet")


@dataclass(frozen=True)
class SheetJob:
    """What to cut from which sheets; lengths in m. `aim` spares `area`, number of `sheets`, or `price`.

    Raises `PlanError` (`TooLarge`, `TooFew`) for a job that cannot be.
    """

    pieces: tuple[SheetPiece, ...]
    sheets: tuple[Sheet, ...]
    kerf: Fraction = Fraction(0)
    trim: Fraction = Fraction(0)
    least_remnant: Fraction = Fraction(0)
    aim: str = "area"

    def __post_init__(self) -> None:
        if not 1 <= len(self.pieces) <= MOST_KINDS:
            raise PlanError("pieces", 0, f"{len(self.pieces)} kinds of pieces; give from 1 to {MOST_KINDS}")
        if not 1 <= len(self.sheets) <= MOST_STOCKS:
            raise PlanError("stock", 0, f"{len(self.sheets)} kinds of sheet; give from 1 to {MOST_STOCKS}")
        if not 1 <= sum(piece.count for piece in self.pieces) <= MOST_PIECES:
            raise PlanError(
                "pieces", 0,
                f"the counts add up to {sum(p.count for p in self.pieces)}; plan from 1 to {MOST_PIECES} pieces at "
                f"once",
            )
        if any(min(piece.length, piece.width) <= 0 or piece.count < 0 for piece in self.pieces):
            raise PlanError("pieces", 0, "a length must be above 0 and a count not below 0")
        if any(min(sheet.length, sheet.width) <= 0 or (sheet.count or 0) < 0 for sheet in self.sheets):
            raise PlanError("stock", 0, "a length must be above 0 and a count not below 0")
        if all(sheet.count == 0 for sheet in self.sheets):
            raise PlanError("stock", 0, "there is no sheet; give at least one, or leave its count blank")
        for row, sheet in enumerate(self.sheets, 1):
            if self.aim == "price" and not sheet.price:
                raise PlanError("stock", row, "has no price; give every sheet a price, or plan for minimum area")
        usable = [way for way in self.ways() if self.sheets[way[0]].count != 0]
        for row, piece in enumerate(self.pieces, 1):
            if piece.count and not any(piece.length <= along and piece.width <= across for _, along, across in usable):
                raise TooLarge(row)
        if all(sheet.count is not None for sheet in self.sheets):
            needed = sum(piece.count * (piece.length + self.kerf) * (piece.width + self.kerf) for piece in self.pieces)
            given = sum(
                sheet.count * (sheet.length - 2 * self.trim + self.kerf) * (sheet.width - 2 * self.trim + self.kerf)
                for sheet in self.sheets if min(sheet.length, sheet.width) > 2 * self.trim
            )
            if needed > given:
                raise TooFew(needed, given)

    def ways(self) -> list[tuple[int, Fraction, Fraction]]:
        """The ways to lay strips: (sheet, usable length along the strips, usable width across them), trims taken
        off.
        """
        found = []
        for place, sheet in enumerate(self.sheets):
            sides = sheet.length - 2 * self.trim, sheet.width - 2 * self.trim
            found.append((place, *sides))
            if sides[0] != sides[1]:
                found.append((place, *sides[::-1]))
        return found


@dataclass(frozen=True)
class Strip:
    """A strip: its width in m, and the kinds of pieces along it."""

    width: Fraction
    pieces: tuple[int, ...]


@dataclass(frozen=True)
class SheetLayout:
    """One sheet cut up, `times` times over. `lengthwise`: its strips run along the sheet's length."""

    sheet: int
    lengthwise: bool
    strips: tuple[Strip, ...]
    times: int


@dataclass(frozen=True)
class SheetAreas:
    """Where the area of one sheet goes, m2. `kept` is the part of the remnant that is worth keeping."""

    sheet: Fraction
    pieces: Fraction
    kerf: Fraction
    trim: Fraction
    remnant: Fraction
    kept: Fraction


@dataclass(frozen=True)
class SheetPlan:
    """What to cut from which sheet. `cost` is in m2, sheets or money by the aim; no plan of this kind costs less than
    `least`.
    """

    job: SheetJob
    layouts: tuple[SheetLayout, ...]
    cost: Fraction
    least: Fraction

    @property
    def sheets(self) -> int:
        """How many sheets are taken."""
        return sum(layout.times for layout in self.layouts)

    @property
    def proven(self) -> bool:
        """Whether no plan of this kind costs less."""
        return self.cost <= self.least

    @property
    def gap(self) -> Fraction:
        """How far this plan is over the best one at most, as a share of the best: cost / least − 1. Every plan costs
        something.
        """
        return self.cost / self.least - 1

    def total(self, what: str) -> Fraction:
        """The sum over all sheets of one of the fields of `SheetAreas`, m2."""
        return sum((getattr(areas_of(self.job, each), what) * each.times for each in self.layouts), Fraction(0))


def areas_of(job: SheetJob, layout: SheetLayout) -> SheetAreas:
    """Where the area of one sheet goes, every rectangle counted by itself.

    A piece 2 by 1 in the corner of a sheet 4 by 3, cut without a kerf: 2 of 12 become the piece.

    >>> job = SheetJob((SheetPiece("plate", Fraction(2), Fraction(1), 1),), (Sheet("sheet", Fraction(4), Fraction(3)),))
    >>> areas = areas_of(job, SheetLayout(0, True, (Strip(Fraction(1), (0,)),), 1))
    >>> areas.sheet, areas.pieces, areas.remnant
    (Fraction(12, 1), Fraction(2, 1), Fraction(10, 1))
    """
    sheet = job.sheets[layout.sheet]
    sides = sheet.length - 2 * job.trim, sheet.width - 2 * job.trim
    along, across = sides if layout.lengthwise else sides[::-1]
    rest = across - sum(strip.width for strip in layout.strips) - (len(layout.strips) - 1) * job.kerf
    last = min(rest, job.kerf)
    kerf = ((len(layout.strips) - 1) * job.kerf + last) * along
    rests = [(rest - last, along)]
    pieces = Fraction(0)
    for strip in layout.strips:
        kinds = [job.pieces[kind] for kind in strip.pieces]
        end = along - sum(kind.length for kind in kinds) - (len(kinds) - 1) * job.kerf
        end_cut = min(end, job.kerf)
        kerf += ((len(kinds) - 1) * job.kerf + end_cut) * strip.width
        rests.append((end - end_cut, strip.width))
        for kind in kinds:
            beside = strip.width - kind.width
            cut = min(beside, job.kerf)
            kerf += cut * kind.length
            rests.append((beside - cut, kind.length))
            pieces += kind.length * kind.width
    remnant = sum((a * b for a, b in rests), Fraction(0))
    kept = sum((a * b for a, b in rests if min(a, b) >= job.least_remnant), Fraction(0))
    whole = sheet.length * sheet.width
    return SheetAreas(whole, pieces, kerf, whole - along * across, remnant, kept)


LONGEST_LOOK = 20_000
"""Steps of the search whether one sheet holds all pieces; a longer one is given up, and the bound stays as it was."""


class _TooLong(Exception):
    """The search was given up."""


class _Sheets:
    """A job in whole numbers. Each way to lay strips in a kind of sheet is a stock of its own."""

    def __init__(self, job: SheetJob) -> None:
        self.job = job
        self.kinds = sorted(
            (row for row, piece in enumerate(job.pieces) if piece.count),
            key=lambda row: (-job.pieces[row].width, -job.pieces[row].length),
        )
        unit = common_measure([
            job.kerf, job.trim, *(p.length for p in job.pieces), *(p.width for p in job.pieces),
            *(s.length for s in job.sheets), *(s.width for s in job.sheets),
        ])
        whole = lambda length: int(length / unit)  # noqa: E731
        kerf = whole(job.kerf)
        self.lengths = [whole(job.pieces[row].length) + kerf for row in self.kinds]
        self.widths = [whole(job.pieces[row].width) + kerf for row in self.kinds]
        self.classes = sorted(set(self.widths), reverse=True)
        self.ways = job.ways()
        self.rooms = [(whole(along) + kerf, whole(across) + kerf) for _, along, across in self.ways]
        amounts = {"sheets": lambda s: Fraction(1), "price": lambda s: s.price, "area": lambda s: s.length * s.width}
        costs = [amounts[job.aim](sheet) for sheet in job.sheets]
        self.cost_unit = common_measure(costs)
        self.task = Task(
            tuple(job.pieces[row].count for row in self.kinds),
            tuple(int(costs[way[0]] / self.cost_unit) for way in self.ways),
            tuple(way[0] for way in self.ways), tuple(sheet.count for sheet in job.sheets),
            tuple(a * b for a, b in zip(self.lengths, self.widths)), tuple(a * b for a, b in self.rooms), self._price,
            self._fill,
        )

    def _price(self, way: int, values: Sequence[float], bounds: Sequence[int], floor: float, widest: int) -> Found:
        """The best strip of every width, then the best strips for the sheet."""
        along, across = self.rooms[way]
        strips, worths, above, work = [], [], [], 0
        for width in self.classes:
            fitting = [bound * (self.widths[kind] <= width) for kind, bound in enumerate(bounds)]
            filling = most_valuable(self.lengths, values, fitting, along, widest=min(widest, 2000))
            work += filling.visited
            strips.append(filling.counts)
            worths.append(filling.value)
            above.append(filling.above)
        most = [across // width for width in self.classes]
        sheet = most_valuable(self.classes, worths, most, across, floor, widest)
        top = sheet.above
        if above != worths:
            # A strip search that was cut short: the bound takes the strips at their best.
            top = max(top, most_valuable(self.classes, above, most, across, widest=widest).above)
        column = self._column(way, [(self.classes[place], strips[place], count) for place, count in sheet.counts])
        return Found((column,) if sheet.counts else (), sheet.value, top, 3 * (work + sheet.visited))

    def _column(self, way: int, strips: Sequence[tuple[int, Pattern, int]]) -> Column:
        totals: dict[int, int] = {}
        for _, pattern, times in strips:
            for kind, count in pattern:
                totals[kind] = totals.get(kind, 0) + count * times
        return Column(way, tuple(sorted(totals.items())), tuple(strips))

    def _fill(self, wanted: Sequence[int], left: Sequence[int | None]) -> list[tuple[Column, int]] | None:
        """Sheet after sheet, each way tried: the one whose area is used best for its cost."""
        wanted, left, uses = list(wanted), list(left), []
        while any(wanted):
            best = None
            for way in range(len(self.ways)):
                if left[self.ways[way][0]] == 0:
                    continue
                column = self._one(way, wanted)
                used = sum(self.lengths[kind] * self.widths[kind] * count for kind, count in column.pattern)
                if used and (best is None or used * self.task.costs[best[0].stock] > best[1] * self.task.costs[way]):
                    best = (column, used)
            if best is None:
                return None
            column = best[0]
            times = min(wanted[kind] // count for kind, count in column.pattern)
            sheet = self.ways[column.stock][0]
            if left[sheet] is not None:
                times = min(times, left[sheet])
                left[sheet] -= times
            for kind, count in column.pattern:
                wanted[kind] -= count * times
            uses.append((column, times))
        return uses

    def _one(self, way: int, wanted: Sequence[int]) -> Column:
        """One sheet: strips for the widest pieces first, gaps filled with narrower ones; then the strips that fill it
        best.
        """
        along, across = self.rooms[way]
        rest, strips = list(wanted), []
        for width in self.classes:
            for _ in range(across // width):
                first = next(
                    (
                        kind for kind, want in enumerate(rest) if want and self.widths[kind] == width
                        and self.lengths[kind] <= along
                    ),
                    None,
                )
                if first is not None:
                    counts = self._strip(rest, width, first, along)
                    rest = [want - count for want, count in zip(rest, counts)]
                    strips.append((width, tuple((kind, count) for kind, count in enumerate(counts) if count)))
        if not strips:
            return Column(way, ())
        others = sorted({strip[0] for strip in strips[1:]}, reverse=True)
        counts = fullest(
            others, [sum(strip[0] == width for strip in strips[1:]) for width in others], across - strips[0][0],
        )
        chosen = [strips[0]]
        for width, count in zip(others, counts):
            chosen += [strip for strip in strips[1:] if strip[0] == width][:count]
        return self._column(way, [(width, pattern, 1) for width, pattern in chosen])

    def _strip(self, wanted: Sequence[int], width: int, first: int, along: int) -> list[int]:
        order = sorted(range(len(wanted)), key=lambda kind: (self.widths[kind] != width, -self.lengths[kind]))
        bounds = [
            0 if self.widths[kind] > width else wanted[kind] - (kind == first) for kind in order
        ]
        filled = fullest([self.lengths[kind] for kind in order], bounds, along - self.lengths[first])
        counts = [0] * len(wanted)
        for kind, count in zip(order, filled):
            counts[kind] = count
        counts[first] += 1
        return counts

    def bound(self) -> int:
        """The least cost by area alone, each piece with its kerfs; or two sheets, where one cannot do."""
        load = sum(a * b * want for a, b, want in zip(self.lengths, self.widths, self.task.wanted))
        per_cost = max(
            Fraction(a * b, cost)
            for (a, b), cost, count in zip(self.rooms, self.task.costs, (self.task.counts[way[0]] for way in self.ways))
            if count != 0
        )
        least = next_payable(self.task, load / per_cost)
        if least <= max(self.task.costs) and not any(self._one_sheet(way) for way in range(len(self.ways))):
            least = max(least, self._cheapest_two())
        return least

    def _cheapest_two(self) -> int:
        """The least cost of two sheets."""
        many = sum(self.task.wanted)
        costs = sorted(
            self._cost_of(sheet) for sheet, count in enumerate(self.task.counts)
            for _ in range(many if count is None else count)
        )
        return sum(costs[:2])

    def _cost_of(self, sheet: int) -> int:
        return next(cost for cost, way in zip(self.task.costs, self.ways) if way[0] == sheet)

    def _one_sheet(self, way: int) -> bool:
        """Whether one sheet, parted this way, may hold all pieces; it may where the search would be too long.

        The widest piece that is left lies in some strip, and no piece of that strip is wider: so strip after strip
        begins
        with it, and every way to fill the strip up is tried.
        """
        along, across = self.rooms[way]
        looked, found = 0, {}

        def look() -> None:
            nonlocal looked
            looked += 1
            if looked > LONGEST_LOOK:
                raise _TooLong

        def holds(wanted: tuple[int, ...], room: int) -> bool:
            first = next((kind for kind, want in enumerate(wanted) if want), None)
            if first is None:
                return True
            if (wanted, room) not in found:
                load = sum(a * b * want for a, b, want in zip(self.lengths, self.widths, wanted))
                rest = tuple(want - (kind == first) for kind, want in enumerate(wanted))
                found[wanted, room] = self.widths[first] <= room and load <= room * along and any(
                    holds(tuple(want - count for want, count in zip(rest, counts)), room - self.widths[first])
                    for counts in full_fillings(self.lengths, rest, along - self.lengths[first], look)
                )
            return found[wanted, room]

        try:
            return holds(self.task.wanted, across)
        except (_TooLong, RecursionError):
            return True

    def plan(self, uses: Sequence[tuple[Column, int]], least: int) -> SheetPlan:
        over = [-want for want in self.task.wanted]
        for column, times in uses:
            for kind, count in column.pattern:
                over[kind] += count * times
        merged: dict[tuple, int] = {}
        kept = []
        for column, times in [(column, 1) for column, times in uses for _ in range(times)] if any(over) else uses:
            strips = self._strips(column, over)
            # A sheet that yields nothing but what nobody wants is not taken.
            if strips:
                key = (self.ways[column.stock][0], self._lengthwise(column.stock), strips)
                merged[key] = merged.get(key, 0) + times
                kept.append((column, times))
        layouts = sorted(
            (SheetLayout(*key, times) for key, times in merged.items()),
            key=lambda each: (each.sheet, -each.times, each.strips[0].pieces),
        )
        return SheetPlan(self.job, tuple(layouts), self.task.cost(kept) * self.cost_unit, least * self.cost_unit)

    def _lengthwise(self, way: int) -> bool:
        sheet, along, _ = self.ways[way]
        return along == self.job.sheets[sheet].length - 2 * self.job.trim

    def _strips(self, column: Column, over: list[int]) -> tuple[Strip, ...]:
        """The strips of a sheet, widest first, without the pieces that nobody wants."""
        made = []
        for _, pattern, times in column.made:
            for _ in range(times):
                pieces: list[int] = []
                for kind, count in pattern:
                    drop = min(count, over[kind])
                    over[kind] -= drop
                    pieces += [self.kinds[kind]] * (count - drop)
                if pieces:
                    made.append(Strip(max(self.job.pieces[row].width for row in pieces), tuple(pieces)))
        return tuple(sorted(made, key=lambda strip: (-strip.width, strip.pieces)))


def quick_sheets(job: SheetJob) -> SheetPlan | None:
    """A plan at once, with a bound by area; None where the counted sheets did not suffice.

    >>> job = SheetJob((SheetPiece("strip", Fraction(2), Fraction(1), 6),), (Sheet("sheet", Fraction(4), Fraction(3)),))
    >>> plan = quick_sheets(job)
    >>> plan.sheets, plan.proven
    (1, True)
    """
    sheets = _Sheets(job)
    uses = sheets.task.fill(sheets.task.wanted, sheets.task.counts)
    return None if uses is None else sheets.plan(uses, sheets.bound())


def improved_sheets(job: SheetJob, budget: int = BUDGET) -> Generator[tuple[Progress, SheetPlan | None], None, None]:
    """Better and better plans, as `bars.improved_plans` gives them."""
    sheets = _Sheets(job)
    task, shown = sheets.task, None
    for progress in improve(task, task.fill(task.wanted, task.counts), budget, sheets.bound()):
        fresh = bool(progress.uses) and (progress.cost != shown or progress.share == 1)
        shown = progress.cost
        yield progress, sheets.plan(progress.uses, progress.least) if fresh else None


def best_sheets(job: SheetJob, budget: int = BUDGET) -> SheetPlan | None:
    """The plan at the end of the improvement, or None where the counted sheets never sufficed."""
    *_, (_, plan) = improved_sheets(job, budget)
    return plan
