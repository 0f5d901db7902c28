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
class Day:
    """How the simulated days came out. Times in s. `busy`: share of the time that a station's places were in use."""

    shortest: float
    middle: float
    longest: float
    busy: tuple[float, ...]
    waits: tuple[float, ...]
    runs: int

    @property
    def narrowest(self) -> int:
        """The station that is busy most."""
        return max(range(len(self.busy)), key=self.busy.__getitem__)


@dataclass(frozen=True)
class _Run:
    end: float
    busy: tuple[float, ...]
    waits: tuple[float, ...]


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
    while len(runs) < MOST_RUNS and (not runs or steps * (len(runs) + 1) / len(runs) <= MOST_STEPS):
        chance = random.Random(f"{seed}/{len(runs)}")
        stations, welds = draw(chance)
        if trainees < 1 or welds < 1 or any(station.places < 1 for station in stations):
            raise ValueError("a day needs a trainee, a weld and a place at every station")
        runs.append(_run(stations, trainees, welds, chance))
        steps += welds * len(stations)
    count, ends = len(runs), sorted(run.end for run in runs)
    average = lambda rows: tuple(sum(column) / count for column in zip(*rows))  # noqa: E731
    return Day(ends[0], ends[count // 2], ends[-1], average(run.busy for run in runs), average(run.waits for run in runs), count)


def _run(stations: tuple[Station, ...], trainees: int, welds: int, chance: random.Random) -> _Run:
    """One day. Events in order of time: a weld arrives at a station, takes the place that is free first, moves on."""
    drawn = [[chance.triangular(float(s.time.low), float(s.time.high), float(s.time.likely)) for s in stations] for _ in range(welds)]
    places = [[0.0] * station.places for station in stations]
    free_from = [0.0] * trainees
    worked, waited = [0.0] * len(stations), [0.0] * len(stations)
    arrivals = [(0.0, weld, 0) for weld in range(welds)]
    heapq.heapify(arrivals)
    end = 0.0
    while arrivals:
        now, weld, place = heapq.heappop(arrivals)
        station, trainee = stations[place], weld % trainees
        if station.own and free_from[trainee] > now:
            heapq.heappush(arrivals, (free_from[trainee], weld, place))
            continue
        start = max(now, heapq.heappop(places[place]))
        done = start + drawn[weld][place]
        heapq.heappush(places[place], done)
        if station.own:
            free_from[trainee] = done
        worked[place] += done - start
        waited[place] += start - now
        end = max(end, done)
        if place + 1 < len(stations):
            heapq.heappush(arrivals, (done, weld, place + 1))
    busy = tuple(work / (end * station.places) if end else 0.0 for work, station in zip(worked, stations))
    return _Run(end, busy, tuple(wait / welds for wait in waited))
