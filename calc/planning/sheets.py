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

from collections import Counter
from collections.abc import Generator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calc.planning.bars import PlanError, common_measure
from calc.planning.knapsack import full_fillings, fullest
from calc.planning.search import Progress, improve
from calc.planning.task import Blank, Column, Task, Uses, least_by_size, pattern_of

MOST_KINDS, MOST_STOCKS, MOST_PIECES = 30, 6, 5_000
BUDGET = 24_000_000


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
    """A job in whole numbers. A strip is as long as a sheet gives it, and as wide as one of its pieces.

    The blanks are the strips, then each way to lay strips in a kind of sheet.
    """

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
        self.ways = job.ways()
        self.rooms = [(max(0, whole(along) + kerf), max(0, whole(across) + kerf)) for _, along, across in self.ways]
        self.strips = sorted({
            (along, width) for along, _ in self.rooms for length, width in zip(self.lengths, self.widths)
            if length <= along
        }, reverse=True)
        amounts = {"sheets": lambda s: Fraction(1), "price": lambda s: s.price, "area": lambda s: s.length * s.width}
        costs = [amounts[job.aim](sheet) for sheet in job.sheets]
        self.cost_unit = common_measure(costs)
        counts = [job.pieces[row].count for row in self.kinds]
        many = len(counts)
        strips = [
            Blank(0, many + place, along, tuple(
                (kind, length) for kind, length in enumerate(self.lengths) if self.widths[kind] <= width
            ))
            for place, (along, width) in enumerate(self.strips)
        ]
        sheets = [
            Blank(int(costs[sheet] / self.cost_unit), many + len(strips) + sheet, across, tuple(
                (many + place, width) for place, (long, width) in enumerate(self.strips) if long == along
            ))
            for (sheet, _, _), (along, across) in zip(self.ways, self.rooms)
        ]
        self.task = Task(
            many, (
                *counts, *(0 for _ in strips),
                *(-(sum(counts) if sheet.count is None else sheet.count) for sheet in job.sheets),
            ),
            (*strips, *sheets), tuple(a * b for a, b in zip(self.lengths, self.widths)),
            tuple(a * b for a, b in (*self.strips, *self.rooms)), self._fill,
        )

    def _fill(self, wanted: Sequence[int]) -> Uses | None:
        """Pieces into the strips that are left over, then sheet after sheet, each way tried: the one whose area is used
        best for its cost, and at the end the cheapest that holds all.
        """
        uses: Uses = []

        def use(column: Column, times: int) -> None:
            nonlocal wanted
            wanted = self.task.lessened(wanted, column, times)
            uses.append((column, times))

        many = len(self.kinds)
        for place, (along, width) in enumerate(self.strips):
            while wanted[many + place] < 0:
                counts = self._strip(wanted, width, along)
                if not any(counts):
                    break
                use(Column(place, pattern_of(counts)), 1)
        while not self.task.done(wanted):
            tried = [self._one(way, wanted) for way in range(len(self.ways)) if self._left(way, wanted)]
            tried = [each for each in tried if each[1]]
            if not tried:
                return None
            whole = [each for each in tried if self.task.done(each[3])]
            cost = lambda each: self.task.blanks[each[0].blank].cost  # noqa: E731
            sheet, strips, used, _ = min(whole, key=cost) if whole else max(
                tried, key=lambda each: Fraction(each[2], cost(each))
            )
            times = self._left(sheet.blank - len(self.strips), wanted)
            made = Counter()
            for column in strips:
                for row, count in column.pattern:
                    made[row] += count
            times = min([times, *(wanted[row] // count for row, count in made.items())]) if made else 1
            times = max(1, times)
            for column in strips:
                use(column, times)
            use(sheet, times)
        return uses

    def _left(self, way: int, wanted: Sequence[int]) -> int:
        """How many sheets there are still to lay strips in this way."""
        return -wanted[len(self.kinds) + len(self.strips) + self.ways[way][0]]

    def _one(self, way: int, wanted: Sequence[int]) -> tuple[Column, list[Column], int, list[int]]:
        """One sheet: strips for the widest pieces first, gaps filled with narrower ones; then the strips that fill it
        best, those that are wanted already among them. With what is cut from the strips, the area that the sheet is
        used for, and what is wanted then.
        """
        along, across = self.rooms[way]
        many, rest = len(self.kinds), list(wanted)
        ready: dict[int, list[Column | None]] = {}
        for place, (long, width) in enumerate(self.strips):
            if long != along or width > across:
                continue
            found = ready.setdefault(place, [None] * min(max(0, wanted[many + place]), across // width))
            while len(found) < across // width:
                counts = self._strip(rest, width, along, own=True)
                if not any(counts):
                    break
                for kind, count in enumerate(counts):
                    rest[kind] -= count
                found.append(Column(place, pattern_of(counts)))
        order = [place for place, found in ready.items() if found]
        if not order:
            return Column(len(self.strips) + way, ()), [], 0, list(wanted)
        first = order[0]
        limits = [len(ready[place]) - (place == first) for place in order]
        widths = [self.strips[place][1] for place in order]
        taken = fullest(widths, limits, across - widths[0])
        taken[0] += 1
        pattern = tuple((many + place, count) for place, count in zip(order, taken) if count)
        strips = [column for place, count in zip(order, taken) for column in ready[place][:count] if column]
        used = sum(
            self.lengths[kind] * self.widths[kind] * count for column in strips for kind, count in column.pattern
        ) + sum(
            along * width for place, width, count in zip(order, widths, taken) for column in ready[place][:count]
            if column is None
        )
        sheet = Column(len(self.strips) + way, pattern)
        after = list(wanted)
        for column in (*strips, sheet):
            after = self.task.lessened(after, column, 1)
        return sheet, strips, used, after

    def _strip(self, wanted: Sequence[int], width: int, along: int, own: bool = False) -> list[int]:
        """The pieces of a strip: the longest of those that are as wide as any, then what fills it best. `own`: a piece
        as wide as the strip comes first.
        """
        fit = [
            kind for kind, length in enumerate(self.lengths)
            if wanted[kind] > 0 and self.widths[kind] <= width and length <= along
        ]
        counts = [0] * len(self.kinds)
        if not fit or own and self.widths[fit[0]] != width:
            return counts
        first = fit[0]
        order = sorted(fit, key=lambda kind: (self.widths[kind] != self.widths[first], -self.lengths[kind]))
        filled = fullest(
            [self.lengths[kind] for kind in order], [wanted[kind] - (kind == first) for kind in order],
            along - self.lengths[first],
        )
        for kind, count in zip(order, filled):
            counts[kind] = count
        counts[first] += 1
        return counts

    def bound(self) -> int:
        """The least cost by area alone, each piece with its kerfs; or two sheets, where one cannot do."""
        least = least_by_size(self.task)
        if least <= self.task.most and not any(
            self._one_sheet(way) for way in range(len(self.ways))
        ):
            least = max(least, self._cheapest_two())
        return least

    def _cheapest_two(self) -> int:
        """The least cost of two sheets."""
        costs = sorted(
            self._cost_of(sheet) for sheet, kind in enumerate(self.job.sheets)
            for _ in range(2 if kind.count is None else kind.count)
        )
        return sum(costs[:2])

    def _cost_of(self, sheet: int) -> int:
        way = next(way for way, each in enumerate(self.ways) if each[0] == sheet)
        return self.task.blanks[len(self.strips) + way].cost

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
            return holds(self.task.wanted[: len(self.kinds)], across)
        except (_TooLong, RecursionError):
            return True

    def plan(self, uses: Uses, least: int) -> SheetPlan:
        over = [-want for want in self.task.wanted[: len(self.kinds)]]
        for column, times in uses:
            if column.blank < len(self.strips):
                for kind, count in column.pattern:
                    over[kind] += count * times
        ready = self._ready(uses, over)
        merged: dict[tuple, int] = {}
        kept: Uses = []
        for column, times in uses:
            while column.blank >= len(self.strips) and times:
                strips = self._laid(column, ready)
                # A sheet that yields nothing but what nobody wants is not taken.
                if not strips:
                    break
                alike = min(
                    times, 1 + min(ready[row][strip] // count for (row, strip), count in Counter(strips).items())
                )
                for row, strip in strips:
                    ready[row][strip] -= alike - 1
                way = column.blank - len(self.strips)
                made = tuple(sorted((strip for _, strip in strips), key=lambda strip: (-strip.width, strip.pieces)))
                key = (self.ways[way][0], self._lengthwise(way), made)
                merged[key] = merged.get(key, 0) + alike
                kept.append((column, alike))
                times -= alike
        layouts = sorted(
            (SheetLayout(*key, times) for key, times in merged.items()),
            key=lambda each: (each.sheet, -each.times, each.strips[0].pieces),
        )
        return SheetPlan(self.job, tuple(layouts), self.task.cost(kept) * self.cost_unit, least * self.cost_unit)

    def _ready(self, uses: Uses, over: list[int]) -> dict[int, Counter]:
        """The strips of each row, without the pieces that nobody wants."""
        ready: dict[int, Counter] = {}
        for column, times in uses:
            if column.blank >= len(self.strips):
                continue
            found = ready.setdefault(len(self.kinds) + column.blank, Counter())
            for _ in range(times):
                pieces: list[int] = []
                for kind, count in column.pattern:
                    drop = min(count, over[kind])
                    over[kind] -= drop
                    pieces += [self.kinds[kind]] * (count - drop)
                if pieces:
                    found[Strip(max(self.job.pieces[row].width for row in pieces), tuple(pieces))] += 1
        return ready

    def _laid(self, column: Column, ready: dict[int, Counter]) -> list[tuple[int, Strip]]:
        """The strips that one sheet is cut into, taken from those that are ready: of each row the most frequent."""
        laid = []
        for row, count in column.pattern:
            found = ready.get(row, Counter())
            for _ in range(count):
                strip = max(found, key=found.__getitem__, default=None)
                if strip is not None and found[strip]:
                    found[strip] -= 1
                    laid.append((row, strip))
        return laid

    def _lengthwise(self, way: int) -> bool:
        sheet, along, _ = self.ways[way]
        return along == self.job.sheets[sheet].length - 2 * self.job.trim


def quick_sheets(job: SheetJob) -> SheetPlan | None:
    """A plan at once, with a bound by area; None where the counted sheets did not suffice.

    >>> job = SheetJob((SheetPiece("strip", Fraction(2), Fraction(1), 6),), (Sheet("sheet", Fraction(4), Fraction(3)),))
    >>> plan = quick_sheets(job)
    >>> plan.sheets, plan.proven
    (1, True)
    """
    sheets = _Sheets(job)
    uses = sheets.task.fill(sheets.task.wanted)
    return None if uses is None else sheets.plan(uses, sheets.bound())


def improved_sheets(job: SheetJob, budget: int = BUDGET) -> Generator[tuple[Progress, SheetPlan | None], None, None]:
    """Better and better plans, as `bars.improved_plans` gives them."""
    sheets = _Sheets(job)
    task, shown = sheets.task, None
    for progress in improve(task, task.fill(task.wanted), budget, sheets.bound()):
        fresh = bool(progress.uses) and (progress.cost != shown or progress.share == 1)
        shown = progress.cost
        yield progress, sheets.plan(progress.uses, progress.least) if fresh else None


def best_sheets(job: SheetJob, budget: int = BUDGET) -> SheetPlan | None:
    """The plan at the end of the improvement, or None where the counted sheets never sufficed."""
    *_, (_, plan) = improved_sheets(job, budget)
    return plan
