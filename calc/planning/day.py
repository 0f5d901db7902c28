"""The day in the shop: how long a class takes through its stations, by simulation.

A flow shop. Every test weld goes through the stations in the same order; at each
it waits for a free place, first come first served. A trainee tests one weld after
another: the next waits until the trainee has left the booth. Several days are
simulated; a day may be quick or slow as a whole, and within it the time of each
weld is drawn between low and high, most often near the likely one (a triangular
distribution). All draws come from a seed, so the same seed gives the same days
everywhere.

What it leaves out: breaks, breakdowns, waiting for an instructor, and plates that
are cut for several welds in one go.
"""

from __future__ import annotations

import heapq
import random
from collections.abc import Callable
from dataclasses import dataclass

from calc.planning.bands import Band

MOST_STEPS = 6000
"""Weld-station steps that are simulated for one answer; large classes get fewer runs."""
MOST_RUNS = 15


@dataclass(frozen=True)
class Station:
    """A kind of place: how many there are, the time that a weld takes there, s; `own`: the trainee is held there."""

    name: str
    places: int
    time: Band
    own: bool = False


@dataclass(frozen=True)
class Visit:
    """One weld at one place of a station, from when to when, s. All are counted from 0."""

    weld: int
    station: int
    place: int
    start: float
    done: float


@dataclass(frozen=True)
class Day:
    """How the simulated days came out. Times in s. `busy`: share of the time that a station's places were in use.

    `visits` is the timetable of the day whose length is the middle one.
    """

    shortest: float
    middle: float
    longest: float
    busy: tuple[float, ...]
    waits: tuple[float, ...]
    runs: int
    visits: tuple[Visit, ...]

    @property
    def narrowest(self) -> int:
        """The station that is busy most."""
        return max(range(len(self.busy)), key=self.busy.__getitem__)


@dataclass(frozen=True)
class _Run:
    end: float
    busy: tuple[float, ...]
    waits: tuple[float, ...]
    visits: tuple[Visit, ...]


DrawDay = Callable[[random.Random], tuple[tuple[Station, ...], int]]
"""Makes one day: its stations in the order of the work, and its number of test welds."""


def simulate(draw: DrawDay, trainees: int, seed: str) -> Day:
    """Simulate several days.

    Args:
        draw: makes the stations and the welds of one day.
        trainees: how many share the welds.
        seed: any text.

    Raises `ValueError` for no trainee, no weld or a station without a place.

    >>> booth = Station("weld", 1, Band(60, 60, 60), own=True)
    >>> simulate(lambda chance: ((booth,), 4), 2, "a").middle
    240.0
    """
    runs, steps = [], 0
    while len(runs) < MOST_RUNS and steps * (len(runs) + 1) <= MOST_STEPS * len(runs):
        chance = random.Random(f"{seed}/{len(runs)}")
        stations, welds = draw(chance)
        if trainees < 1 or welds < 1 or any(station.places < 1 for station in stations):
            raise ValueError("a day needs a trainee, a weld and a place at every station")
        runs.append(_run(stations, trainees, welds, chance))
        steps += welds * len(stations)
    count, ordered = len(runs), sorted(runs, key=lambda run: run.end)
    middle = ordered[count // 2]
    average = lambda rows: tuple(sum(column) / count for column in zip(*rows))  # noqa: E731
    busy, waits = (average(getattr(run, what) for run in runs) for what in ("busy", "waits"))
    return Day(ordered[0].end, middle.end, ordered[-1].end, busy, waits, count, middle.visits)


def _run(stations: tuple[Station, ...], trainees: int, welds: int, chance: random.Random) -> _Run:
    """One day. Events in order of time: a weld arrives at a station, takes the place that is free first, moves on."""
    drawn = [[chance.triangular(
        float(s.time.low), float(s.time.high), float(s.time.likely),
    ) for s in stations] for _ in range(welds)]
    places = [[(0.0, number) for number in range(station.places)] for station in stations]
    free_from = [0.0] * trainees
    worked, waited = [0.0] * len(stations), [0.0] * len(stations)
    arrivals = [(0.0, weld, 0) for weld in range(welds)]
    heapq.heapify(arrivals)
    visits: list[Visit] = []
    while arrivals:
        now, weld, here = heapq.heappop(arrivals)
        station, trainee = stations[here], weld % trainees
        if station.own and free_from[trainee] > now:
            heapq.heappush(arrivals, (free_from[trainee], weld, here))
            continue
        free, number = heapq.heappop(places[here])
        start = max(now, free)
        done = start + drawn[weld][here]
        heapq.heappush(places[here], (done, number))
        if station.own:
            free_from[trainee] = done
        worked[here] += done - start
        waited[here] += start - now
        visits.append(Visit(weld, here, number, start, done))
        if here + 1 < len(stations):
            heapq.heappush(arrivals, (done, weld, here + 1))
    end = max(visit.done for visit in visits)
    busy = tuple(work / (end * station.places) if end else 0.0 for work, station in zip(worked, stations))
    return _Run(end, busy, tuple(wait / welds for wait in waited), tuple(visits))
