"""When each plate of a class stands where: a timetable with clock times, and a bound that no timetable beats.

Every plate goes through the stations in the same order. A station has so many places, and they are shared by all
plates; a step may take places of two stations at once. A trainee is held by every step that is `own` and does one
thing at a time. Nothing runs in a break or after hours: a step is done in one go, or in pieces, such as the passes of
a weld, that all lie in one day, and its places are held between the pieces.

Times are whole minutes. First a plan by rules of thumb: at every moment the waiting plate of the highest rank begins
(list scheduling); several rankings are tried. Then ranks are changed one after another, and what is no worse is kept
(local search): first of whole plates, then of the steps of the chain that holds up the end. The same input gives the same timetable on every machine.
"""

from __future__ import annotations

import heapq
import random
from bisect import bisect_left, bisect_right, insort
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

DAY = 24 * 60
"""Minutes from one midnight to the next."""
MOST_DAYS = 90
"""So many days are looked ahead."""
AT_ONCE, IN_ALL = 12, 400
"""Rankings that are tried for the first plan and in a whole search, for a class of 60 plates; a larger one gets fewer,
a smaller one more."""
SAME_SIZE = 60
STUCK = 60
"""After so many orders that are no better the search goes on from elsewhere."""


@dataclass(frozen=True)
class Hours:
    """When work goes on in a day: stretches from minute to minute, in order, apart from each other."""

    stretches: tuple[tuple[int, int], ...]

    def within(self, start: int, end: int) -> Hours:
        """What of these hours lies between two times of the day.

        >>> Hours(((420, 540), (555, 720))).within(480, 600)
        Hours(stretches=((480, 540), (555, 600)))
        """
        cut = ((max(low, start), min(high, end)) for low, high in self.stretches)
        return Hours(tuple((low, high) for low, high in cut if low < high))

    @cached_property
    def a_day(self) -> int:
        """Minutes of work in a day."""
        return sum(high - low for low, high in self.stretches)

    @cached_property
    def _before(self) -> tuple[int, ...]:
        done, counts = 0, []
        for low, high in self.stretches:
            counts.append(done)
            done += high - low
        return tuple(counts)

    def worked(self, moment: int) -> int:
        """Minutes of work from the first midnight to a moment.

        >>> hours = Hours(((420, 540), (555, 720)))
        >>> [hours.worked(each) for each in (0, 430, 550, 560, 1440 + 421)]
        [0, 10, 120, 125, 286]
        """
        day, minute = divmod(moment, DAY)
        inside = sum(min(minute, high) - low for low, high in self.stretches if minute > low)
        return day * self.a_day + inside

    def soonest(self, work: int) -> int:
        """The first moment by which so much can be done: `worked` read backwards.

        >>> hours = Hours(((420, 540), (555, 720)))
        >>> [hours.soonest(each) for each in (0, 120, 121, 286)]
        [420, 540, 556, 1861]
        """
        if work <= 0:
            return self.stretches[0][0]
        day, rest = divmod(work - 1, self.a_day)
        place = bisect_right(self._before, rest) - 1
        return day * DAY + self.stretches[place][0] + rest - self._before[place] + 1

    def latest(self, work: int) -> int:
        """The last moment by which no more than so much is done."""
        day, rest = divmod(work, self.a_day)
        place = bisect_right(self._before, rest) - 1
        return day * DAY + self.stretches[place][0] + rest - self._before[place]

    def end(self, start: int, pieces: Sequence[int]) -> int | None:
        """When pieces end that begin at a moment, in one day, breaks kept; None where they cannot begin then.

        >>> hours = Hours(((420, 540), (555, 720)))
        >>> hours.end(500, (30,)), hours.end(520, (30,)), hours.end(520, (20, 10)), hours.end(700, (20, 10))
        (530, None, 565, None)
        """
        day, moment = divmod(start, DAY)
        moment, first = moment, True
        for piece in pieces:
            for low, high in self.stretches:
                begin = max(moment, low)
                if begin + piece <= high:
                    break
            else:
                return None
            if first and begin != moment:
                return None
            moment, first = begin + piece, False
        return day * DAY + moment


@dataclass(frozen=True)
class Station:
    """A kind of place, how many there are, and when they can be used."""

    name: str
    places: int
    hours: Hours


@dataclass(frozen=True)
class Step:
    """What is done at the stations named by number, in pieces of whole minutes. `own`: it takes the trainee too."""

    stations: tuple[int, ...]
    pieces: tuple[int, ...]
    own: bool = True

    @cached_property
    def minutes(self) -> int:
        """All pieces together."""
        return sum(self.pieces)


@dataclass(frozen=True)
class Plate:
    """A test weld: whose it is, by number, and its steps in their order."""

    trainee: int
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Shop:
    """What is to be put in order: hours, stations, plates."""

    hours: Hours
    stations: tuple[Station, ...]
    plates: tuple[Plate, ...]
    seed: int = 1


@dataclass(frozen=True)
class Visit:
    """One step of one plate: where and when, in minutes from the first midnight. `place` counts from 0, a station a
    place.
    """

    plate: int
    step: int
    places: tuple[int, ...]
    start: int
    end: int


@dataclass(frozen=True)
class Bound:
    """No timetable ends before `end`. `station` holds it up, or nothing does but a trainee's own work (`trainee`)."""

    end: int
    station: int | None = None
    trainee: int | None = None


class TooLong(ValueError):
    """A step that no day holds, by number."""

    def __init__(self, step: int, minutes: int) -> None:
        super().__init__(f"step {step} of {minutes} min fits into no day")
        self.step, self.minutes = step, minutes


@dataclass(frozen=True)
class Timetable:
    """When each step of each plate begins, in the order of the plates, and the bound for the shop."""

    shop: Shop
    starts: tuple[tuple[int, ...], ...]
    ends: tuple[tuple[int, ...], ...]
    bound: Bound

    @cached_property
    def end(self) -> int:
        """When the last plate is done."""
        return max(ends[-1] for ends in self.ends)

    @property
    def proven(self) -> bool:
        """Whether no timetable can end earlier."""
        return self.end <= self.bound.end

    @property
    def work(self) -> int:
        """Minutes of work from the start of the first day to the end."""
        return self.shop.hours.worked(self.end)

    @property
    def days(self) -> int:
        """On how many days there is work."""
        return self.end // DAY + 1

    def busy(self, station: int) -> float:
        """Which part of the time from start to end the places of a station work."""
        at = self.shop.stations[station]
        used = sum(step.minutes for plate in self.shop.plates for step in plate.steps if station in step.stations)
        return used / (at.places * max(1, at.hours.worked(self.end)))

    @cached_property
    def visits(self) -> tuple[Visit, ...]:
        """Every step with the places that it takes, in order of time."""
        free = [list(range(station.places)) for station in self.shop.stations]
        found, leaving = [], []
        spans = sorted(
            (start, end, plate, step) for plate, (starts, ends) in enumerate(zip(self.starts, self.ends))
            for step, (start, end) in enumerate(zip(starts, ends))
        )
        for start, end, plate, step in spans:
            while leaving and leaving[0][0] <= start:
                for station, place in heapq.heappop(leaving)[1]:
                    heapq.heappush(free[station], place)
            taken = [(station, heapq.heappop(free[station])) for station in self.shop.plates[plate].steps[step].stations]
            heapq.heappush(leaving, (end, taken))
            found.append(Visit(plate, step, tuple(place for _, place in taken), start, end))
        return tuple(found)


# --- a plan by ranks ----------------------------------------------------------------


Spans = tuple[list[list[int]], list[list[int]]]
"""Starts and ends of the steps of each plate."""


@dataclass
class _Bench:
    """What all plans of a shop share: hours of each step, and when a step that begins at a minute would end."""

    shop: Shop
    ends: dict[tuple[int, int], int | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        kinds: dict[tuple[Hours, tuple[int, ...]], int] = {}
        self.kind = []
        for plate in self.shop.plates:
            row = []
            for number, step in enumerate(plate.steps):
                hours = self.shop.hours
                for station in step.stations:
                    own = self.shop.stations[station].hours
                    hours = Hours(tuple(
                        part for low, high in own.stretches for part in hours.within(low, high).stretches
                    ))
                key = hours, step.pieces
                if key not in kinds:
                    if not any(hours.end(low, step.pieces) is not None for low, _ in hours.stretches):
                        raise TooLong(number, step.minutes)
                    kinds[key] = len(kinds)
                row.append(kinds[key])
            self.kind.append(tuple(row))
        self.kinds = list(kinds)
        # By kind of step: for each minute of the day when it would end, or None; and the next minute it can begin.
        self.table = [[hours.end(minute, pieces) for minute in range(DAY)] for hours, pieces in self.kinds]
        self.next = []
        for ends in self.table:
            first = next(minute for minute, end in enumerate(ends) if end is not None)
            row, after = [0] * DAY, DAY + first
            for minute in reversed(range(DAY)):
                after = minute if ends[minute] is not None else after
                row[minute] = after
            self.next.append(row)

    def plan(self, ranks: Sequence[int], bias: int) -> tuple[list[list[int]], list[list[int]]]:
        """Starts and ends where at every moment the plate of the lowest rank goes first. With a bias steps near the
        end of the way (1) or near its beginning (-1) come before all others.
        """
        shop, size = self.shop, len(self.shop.plates)
        free = [station.places for station in shop.stations]
        held = [False] * (1 + max(plate.trainee for plate in shop.plates))
        starts: list[list[int]] = [[] for _ in range(size)]
        ends: list[list[int]] = [[] for _ in range(size)]
        waiting = sorted((ranks[plate], plate) for plate in range(size))
        running: list[tuple[int, int, int]] = []
        moment = shop.hours.stretches[0][0]
        while waiting or running:
            while running and running[0][0] <= moment:
                _, plate, step = heapq.heappop(running)
                done = shop.plates[plate].steps[step]
                for station in done.stations:
                    free[station] += 1
                if done.own:
                    held[shop.plates[plate].trainee] = False
                if step + 1 < len(shop.plates[plate].steps):
                    entry = ranks[plate] - bias * size * (step + 1), plate
                    waiting.insert(bisect_left(waiting, entry), entry)
            soon, left = DAY * MOST_DAYS * 2, []
            day, minute = divmod(moment, DAY)
            for entry in waiting:
                plate = entry[1]
                step = len(starts[plate])
                what, trainee = shop.plates[plate].steps[step], shop.plates[plate].trainee
                if (what.own and held[trainee]) or not all(free[station] for station in what.stations):
                    left.append(entry)
                    continue
                kind = self.kind[plate][step]
                end = self.table[kind][minute]
                if end is None:
                    soon = min(soon, day * DAY + self.next[kind][minute])
                    left.append(entry)
                    continue
                for station in what.stations:
                    free[station] -= 1
                if what.own:
                    held[trainee] = True
                starts[plate].append(moment)
                ends[plate].append(day * DAY + end)
                heapq.heappush(running, (day * DAY + end, plate, step))
            waiting = left
            moment = min(soon, running[0][0]) if running else soon
        return starts, ends

    def earliest(self, ranked: Sequence[tuple[int, int]]) -> tuple[list[list[int]], list[list[int]]]:
        """Starts and ends where steps are put in one after another, in this order, each as early as it goes, before
        others that stand already where there is room.
        """
        shop, begin = self.shop, self.shop.hours.stretches[0][0]
        places: list[list[list[tuple[int, int]]]] = [[[] for _ in range(each.places)] for each in shop.stations]
        persons: dict[int, list[tuple[int, int]]] = {plate.trainee: [] for plate in shop.plates}
        starts: list[list[int]] = [[] for _ in shop.plates]
        ends: list[list[int]] = [[] for _ in shop.plates]
        for number, step in ranked:
            plate = shop.plates[number]
            what, kind = plate.steps[step], self.kind[number][step]
            at = ends[number][-1] if ends[number] else begin
            needs = [places[station] for station in what.stations]
            if what.own:
                needs.append([persons[plate.trainee]])
            while True:
                at, end = self.opens(at, kind)
                latest = at
                chosen = []
                for lines in needs:
                    free, line = min(
                        ((self._gap(line, at, end, kind), index) for index, line in enumerate(lines)),
                        key=lambda each: each[0],
                    )
                    chosen.append(lines[line])
                    latest = max(latest, free)
                if latest == at:
                    break
                at = latest
            for line in chosen:
                insort(line, (at, end))
            starts[number].append(at)
            ends[number].append(end)
        return starts, ends

    def opens(self, moment: int, kind: int) -> tuple[int, int]:
        """The first moment from this one on when such a step can begin by its hours, and when it would end."""
        day, minute = divmod(moment, DAY)
        first = self.next[kind][minute]
        days, minute = divmod(day * DAY + first, DAY)
        return days * DAY + minute, days * DAY + (self.table[kind][minute] or 0)

    def _gap(self, line: Sequence[tuple[int, int]], at: int, end: int, kind: int) -> int:
        """The first moment from this one on when a place is free for such a step."""
        index = bisect_right(line, (at, DAY * MOST_DAYS))
        if index and line[index - 1][1] > at:
            at, end = self.opens(line[index - 1][1], kind)
        while index < len(line) and line[index][0] < end:
            at, end = self.opens(line[index][1], kind)
            index += 1
        return at


def _value(ends: Sequence[Sequence[int]]) -> tuple[int, int]:
    """What a plan is worth: when it ends, then how soon all plates are done."""
    return max(each[-1] for each in ends), sum(map(sum, ends))


def _rankings(shop: Shop) -> Generator[tuple[list[int], int], None, None]:
    """Orders of the plates by rules of thumb, each with every bias."""
    order = range(len(shop.plates))
    turn: dict[int, int] = {}
    round_of = []
    for plate in shop.plates:
        round_of.append(turn.get(plate.trainee, 0))
        turn[plate.trainee] = round_of[-1] + 1
    work = [sum(step.minutes for step in plate.steps) for plate in shop.plates]
    of_trainee: dict[int, int] = {}
    for plate, minutes in zip(shop.plates, work):
        of_trainee[plate.trainee] = of_trainee.get(plate.trainee, 0) + minutes
    rules = (
        lambda each: (-of_trainee[shop.plates[each].trainee] + sum(
            work[other] for other in order[:each] if shop.plates[other].trainee == shop.plates[each].trainee
        ), each),
        lambda each: (round_of[each], -of_trainee[shop.plates[each].trainee], each),
        lambda each: (-work[each], round_of[each], each),
        lambda each: (work[each], round_of[each], each),
    )
    for bias in (1, 0, -1):
        for rule in rules:
            ranks = [0] * len(order)
            for rank, plate in enumerate(sorted(order, key=rule)):
                ranks[plate] = rank
            yield ranks, bias


def _rounds(shop: Shop, most: int) -> int:
    return max(1, most * SAME_SIZE // max(10, len(shop.plates)))


@dataclass(frozen=True)
class Progress:
    """How far the search is, and what it does, in words."""

    share: float
    words: str


def first_plan(shop: Shop, most: int = AT_ONCE) -> Timetable:
    """A timetable at once, the best of so many rankings for a class of 60 plates. Raises `TooLong` where a step fits into no day, `ValueError` without a plate.

    >>> day = Hours(((480, 720),))
    >>> weld = Plate(0, (Step((0,), (60,)),))
    >>> told = first_plan(Shop(day, (Station("booth", 2, day),), (weld, weld)))
    >>> told.end, told.bound.end, told.bound.trainee
    (600, 600, 0)
    """
    *_, (_, plan) = _search(shop, _rounds(shop, most), only_rules=True)
    assert plan
    return plan


def better_plans(shop: Shop) -> Generator[tuple[Progress, Timetable | None], None, None]:
    """Timetables that end earlier and earlier, until one is proven or the work is done. The last item is the end."""
    yield from _search(shop, _rounds(shop, IN_ALL))


def _search(
    shop: Shop, most: int, only_rules: bool = False,
) -> Generator[tuple[Progress, Timetable | None], None, None]:
    if not shop.plates:
        raise ValueError("a timetable needs a plate")
    search = _Search(shop, most)
    yield from search.by_rules()
    if not only_rules:
        yield from search.by_ranks(most // 2)
        yield from search.by_pulling(most - most // 2)
    yield Progress(1.0, "Done"), search.best


class _Search:
    """The best timetable so far, while the search goes on."""

    def __init__(self, shop: Shop, most: int) -> None:
        self.shop, self.most, self.done = shop, most, 0
        self.bench, self.bound = _Bench(shop), lower_bound(shop)
        self.chance = random.Random(f"{shop.seed}")
        self.spans: Spans = [], []
        self.value = DAY * MOST_DAYS * 2, 0
        self.ranks: tuple[list[int], int] = [], 0

    @property
    def best(self) -> Timetable:
        starts, ends = (tuple(map(tuple, each)) for each in self.spans)
        return Timetable(self.shop, starts, ends, self.bound)

    @property
    def over(self) -> bool:
        return self.value[0] <= self.bound.end

    def offer(self, spans: Spans, value: tuple[int, int]) -> tuple[Progress, Timetable | None]:
        """Take a plan in; where it is better than all before, it is told."""
        fresh = value < self.value
        if fresh:
            self.spans, self.value = spans, value
        return Progress(min(0.99, self.done / self.most), "Trying orders"), self.best if fresh else None

    def by_rules(self) -> Generator[tuple[Progress, Timetable | None], None, None]:
        """Ranks by rules of thumb, as many as are asked for."""
        for number, (ranks, bias) in enumerate(_rankings(self.shop)):
            if number and number >= self.most or self.over:
                return
            spans = self.bench.plan(ranks, bias)
            value = _value(spans[1])
            if value < self.value:
                self.ranks = ranks, bias
            yield self.offer(spans, value)

    def by_ranks(self, most: int) -> Generator[tuple[Progress, Timetable | None], None, None]:
        """Ranks changed one after another; what is no worse is kept."""
        (ranks, bias), now = self.ranks, self.value
        for _ in range(most):
            if self.over:
                return
            self.done += 1
            moved = _moved(ranks, self.chance)
            leaning = bias if self.chance.random() > 0.05 else self.chance.choice((1, 0, -1))
            spans = self.bench.plan(moved, leaning)
            value = _value(spans[1])
            if value <= now:
                ranks, bias, now = moved, leaning, value
            yield self.offer(spans, value)

    def by_pulling(self, most: int) -> Generator[tuple[Progress, Timetable | None], None, None]:
        """A step that holds up the end goes before one that it waits for, again and again."""
        now, now_value, stuck = self.spans, self.value, 0
        for _ in range(most):
            if self.over:
                return
            self.done += 1
            spans = self.bench.earliest(_pulled(self.shop, now, self.chance))
            value = _value(spans[1])
            stuck = 0 if value < now_value else stuck + 1
            if value <= now_value:
                now, now_value = spans, value
            if stuck > STUCK:
                # A few steps away at random, to look from elsewhere.
                now, stuck = self.spans, 0
                for _ in range(3):
                    now = self.bench.earliest(_pulled(self.shop, now, self.chance))
                now_value = _value(now[1])
            yield self.offer(spans, value)


def _moved(ranks: Sequence[int], chance: random.Random) -> list[int]:
    """Another order of the plates: two of them changed, or one put elsewhere."""
    order = sorted(range(len(ranks)), key=ranks.__getitem__)
    one, other = chance.randrange(len(order)), chance.randrange(len(order))
    if chance.random() < 0.5:
        order[one], order[other] = order[other], order[one]
    else:
        order.insert(other, order.pop(one))
    moved = [0] * len(order)
    for rank, plate in enumerate(order):
        moved[plate] = rank
    return moved


def _pulled(shop: Shop, plan: Spans, chance: random.Random) -> list[tuple[int, int]]:
    """The steps in order of their starts, but one of the chain that holds up the end goes before one it waits for."""
    starts, ends = plan
    steps = [(plate, step) for plate, each in enumerate(starts) for step in range(len(each))]
    links = []
    last = max(range(len(ends)), key=lambda plate: (ends[plate][-1], chance.random()))
    here = (last, len(ends[last]) - 1)
    while True:
        plate, step = here
        start, what = starts[plate][step], shop.plates[plate].steps[step]
        blocking, latest = [], -1
        for other in steps:
            end = ends[other[0]][other[1]]
            if latest <= end <= start and other != here:
                theirs = shop.plates[other[0]].steps[other[1]]
                if (
                    other[0] == plate and other[1] + 1 == step
                    or what.own and theirs.own and shop.plates[other[0]].trainee == shop.plates[plate].trainee
                    or any(station in theirs.stations for station in what.stations)
                ):
                    blocking, latest = ([other] if end > latest else [*blocking, other]), end
        if not blocking:
            break
        links += [(here, other) for other in blocking if other[0] != plate]
        here = chance.choice(blocking)
    keys = {each: float(starts[each[0]][each[1]]) for each in steps}
    if links and chance.random() < 0.85:
        (plate, step), before = chance.choice(links)
    else:
        plate, step = chance.choice(steps)
        before = chance.choice(steps)
    key = keys[before] - 0.5
    for number in range(step, -1, -1):
        keys[plate, number] = min(keys[plate, number], key)
        key -= 0.01
    return sorted(steps, key=lambda each: (keys[each], each[1], each[0]))


# --- what no plan beats ---------------------------------------------------------------


def lower_bound(shop: Shop) -> Bound:
    """The latest of these: the work of each station shared by its places, which can begin only when the first plates
    come and must leave time for what follows; and the work of each trainee, one thing after another.

    >>> day = Hours(((480, 720),))
    >>> plates = tuple(Plate(each, (Step((0,), (10,)), Step((1,), (50,)))) for each in range(4))
    >>> told = lower_bound(Shop(day, (Station("torch", 1, day), Station("booth", 2, day)), plates))
    >>> told.end - 480, told.station
    (120, 1)
    """
    found = [_of_station(shop, number) for number in range(len(shop.stations))]
    found += [_of_trainee(shop, trainee) for trainee in sorted({plate.trainee for plate in shop.plates})]
    return max(found, key=lambda bound: bound.end)


def _of_trainee(shop: Shop, trainee: int) -> Bound:
    plates = [plate for plate in shop.plates if plate.trainee == trainee]
    # Between the steps of one plate alone the trainee waits for those that are not their own.
    work = sum(step.minutes for plate in plates for step in plate.steps if step.own or len(plates) == 1)
    return Bound(shop.hours.soonest(work), trainee=trainee)


def _of_station(shop: Shop, number: int) -> Bound:
    station, hours = shop.stations[number], shop.hours
    ways = [plate.steps for plate in shop.plates if any(number in step.stations for step in plate.steps)]
    work = sum(step.minutes for way in ways for step in way if number in step.stations)
    if not work:
        return Bound(0)
    heads = _earliest(shop, number, ways)
    tails = _earliest(shop, number, [way[::-1] for way in ways])
    begin = [hours.soonest(head) for head in heads]
    fits = _fillings(station.hours, {
        piece for way in ways for step in way if number in step.stations for piece in step.pieces
    })

    def suffices(end: int) -> bool:
        all_of_it, room = hours.worked(end), 0
        for first, tail in zip(begin, tails):
            if all_of_it > tail:
                room += _room(station.hours, first, min(end, hours.latest(all_of_it - tail)), fits)
        return room >= work

    low, high = 0, DAY
    while not suffices(high):
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if suffices(middle) else (middle, high)
    return Bound(high, station=number)


def _fillings(hours: Hours, pieces: set[int]) -> list[int]:
    """For each length of a stretch, how much of it pieces of these sizes can fill, none torn."""
    longest = max(high - low for low, high in hours.stretches)
    reached = [0] * (longest + 1)
    for length in range(1, longest + 1):
        reached[length] = max([reached[length - 1], *(
            reached[length - piece] + piece for piece in pieces if piece <= length
        )])
    return reached


def _room(hours: Hours, first: int, last: int, fits: Sequence[int]) -> int:
    """How much one place can do from a moment to another."""
    room = 0
    for day in range(first // DAY, last // DAY + 1):
        for low, high in hours.stretches:
            length = min(last, day * DAY + high) - max(first, day * DAY + low)
            room += fits[length] if length > 0 else 0
    return room


def _earliest(shop: Shop, number: int, ways: Sequence[tuple[Step, ...]]) -> list[int]:
    """How many minutes of work go by at least before the first place of a station begins, the second, and so on."""
    before = []
    for way in ways:
        first = next(place for place, step in enumerate(way) if number in step.stations)
        before.append(way[:first])
    places = shop.stations[number].places
    found = [min(sum(step.minutes for step in way) for way in before)] * places
    for depth in range(min(map(len, before))):
        # The step at this depth lets only so many through at once.
        steps = [way[depth] for way in before]
        first = steps[0].stations
        if any(step.stations != first for step in steps) or number in first:
            continue
        pass_at_once = min(shop.stations[each].places for each in first)
        head = min(sum(step.minutes for step in way[:depth]) for way in before)
        rest = min(sum(step.minutes for step in way[depth + 1:]) for way in before)
        least = min(step.minutes for step in steps)
        for place in range(places):
            found[place] = max(found[place], head + -(-(place + 1) // pass_at_once) * least + rest)
    return found
