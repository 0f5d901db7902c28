"""The arithmetic of the clocks: rods in the air, arc time in a period, the wait between passes.

All times are seconds on one line of time; a limit comes in from the calculator of its stage.
"""

from __future__ import annotations

from collections.abc import Sequence

_HAIR = 1e-6
"""Seconds by which sums of instants may be off."""
Span = tuple[float, float | None]
"""From when to when, in seconds; None for one that still runs."""


def lengths(spans: Sequence[Span], now: float) -> list[float]:
    """How long each span took, or has taken so far.

    >>> lengths([(0, 60), (100, None)], 130)
    [60, 30]
    """
    return [(now if end is None else end) - start for start, end in spans]


def time_in_air(trips: Sequence[Span], now: float, hold: float, limit: float | None = None) -> tuple[float, float]:
    """How long rods have been out of the oven since they last had a full hold in it: (before the last trip, in it), s.

    Trips out add up. Back in the oven for `hold` seconds or more, they start anew, unless they had been out for `limit`
    seconds by then: no hold mends that. Source of the rule: AWS D1.1, clauses 5.3.2.1 to 5.3.2.2
    (`calc.stages.rods.RETURN_HOLD`).

    >>> time_in_air([(0, 3600), (7200, None)], 9000, 4 * 3600)  # an hour, and half an hour so far
    (3600, 1800)
    >>> time_in_air([(0, 3600), (3600 + 4 * 3600, None)], 19000, 4 * 3600)  # a full hold between
    (0, 1000)
    >>> time_in_air([(0, 18000), (18000 + 4 * 3600, None)], 33000, 4 * 3600, 4 * 3600)  # five hours stay five hours
    (18000, 600)
    """
    before, last, back = 0.0, 0.0, None

    def anew(at: float) -> bool:
        return back is not None and at - back >= hold and (limit is None or before + last < limit)

    for (out, end), length in zip(trips, lengths(trips, now), strict=True):
        before = 0 if back is None or anew(out) else before + last
        last, back = length, end
    return (0, 0) if anew(now) else (before, last)


def arc_between(arcs: Sequence[Span], start: float, end: float) -> float:
    """Arc time between two instants, s. An arc that still burns counts up to `end`.

    >>> arc_between([(0, 50), (100, None)], 40, 130)
    40
    """
    return sum(max(0, min(end, end if stop is None else stop) - max(start, strike)) for strike, stop in arcs)


def busiest(arcs: Sequence[Span], now: float, period: float) -> float:
    """The most arc time in any stretch of one period up to now, s.

    The arc time in a stretch that slides along changes at one rate between the instants at which one of its ends meets
    an end of an arc, so the most of it lies at one of those.

    >>> busiest([(0, 60), (120, 180), (700, 760)], 800, 600)  # the first two lie in one period, the third does not
    120
    """
    ends = {min(now, end if end is not None else now) for _, end in arcs} | {start + period for start, _ in arcs}
    return max((arc_between(arcs, end - period, end) for end in ends if end <= now), default=0) or arc_between(
        arcs, now - period, now)


def arc_left(arcs: Sequence[Span], now: float, period: float, allowed: float) -> float:
    """How long an arc may burn from now on until the period behind it holds more than `allowed` seconds of arc, s.

    The last d with d + A(now + d - period, now) ≤ allowed, where A is the arc time behind; the left side never falls
    with d.

    >>> arc_left([(0, 60)], 100, 600, 200)
    140.0
    >>> arc_left([(0, 60)], 590, 600, 200)  # the first arc leaves the period while this one burns
    200.0
    """
    if allowed >= period:
        return float("inf")
    past = [(start, min(now, now if end is None else end)) for start, end in arcs]

    def burned(d: float) -> float:
        return d + arc_between(past, now + d - period, now)

    if burned(0) > allowed + _HAIR:
        return 0.0
    turns = sorted({end + period - now for arc in past for end in arc if 0 < end + period - now < period} | {period})
    low = 0.0
    for high in turns:
        if burned(high) > allowed + _HAIR:
            # Between two turns the left side is a straight line.
            return float(low + (high - low) * (allowed - burned(low)) / (burned(high) - burned(low)))
        low = high
    return float(low)


def cool_again(arcs: Sequence[Span], now: float, period: float, allowed: float, wanted: float) -> float:
    """How long to rest from now on until an arc of `wanted` seconds fits into the duty cycle, s; 0 where it fits now.

    `wanted` over `allowed` never fits: the rest is then until all of `allowed` is free. Bisection on whole seconds,
    since the time that is left never falls while nothing burns.

    >>> cool_again([(0, 200)], 200, 600, 200, 60)  # 60 s of the first arc must have left the period at its end
    400
    """
    wanted = min(wanted, allowed)
    low, high = -1, int(period) + 1
    while high - low > 1:
        middle = (low + high) // 2
        if arc_left(arcs, now + middle, period, allowed) >= wanted:
            high = middle
        else:
            low = middle
    return max(0, high)


def cooling_pace(readings: Sequence[tuple[float, float]], seconds_for: Sequence[float]) -> float:
    """How many times as long the plate takes to cool as was worked out: the time between the readings after the last
    arc over the sum of `seconds_for` between them; 1 while there is none.

    `readings` are (instant, temperature); `seconds_for` the times worked out from each to the next.

    >>> cooling_pace([(0, 300), (90, 250)], [60])
    1.5
    """
    worked = sum(seconds_for)
    return (readings[-1][0] - readings[0][0]) / worked if worked > 0 else 1
