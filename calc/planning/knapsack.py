"""The best filling of one length: how many of each piece, for given values of the pieces.

Two jobs. `fullest` fills a length with as little waste as can be, by the set of all
sums that can be reached, kept as the bits of one whole number. `most_valuable`
looks for the filling of greatest value; it goes through the pieces from the
densest down and drops every partial filling that cannot catch up any more
(dynamic programming over lists with an upper bound, as Gilmore and Gomory's
cutting-stock method of 1961 and 1963 needs it). Both count in whole numbers of
one small unit, so nothing is rounded.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass
from itertools import accumulate

OTHERS = 4
WIDEST_SET = 1 << 21
"""Above this many units of length the set of sums would grow too long; `fullest` then fills largest first."""


def greedy(sizes: Sequence[int], bounds: Sequence[int], capacity: int) -> list[int]:
    """How many of each piece when the first that fits is always taken, in the order given.

    >>> greedy([5, 4, 3], [1, 2, 9], 12)
    [1, 1, 1]
    """
    taken = []
    for size, bound in zip(sizes, bounds):
        count = min(bound, capacity // size)
        capacity -= count * size
        taken.append(count)
    return taken


def fullest(sizes: Sequence[int], bounds: Sequence[int], capacity: int) -> list[int]:
    """How many of each piece leave the least waste; among equals the one with the fewest of the smallest pieces.

    Args:
        sizes: whole lengths above 0, largest first.
        bounds: the most of each piece.
        capacity: the length to fill.

    >>> fullest([6, 5, 4], [2, 2, 2], 10)
    [0, 2, 0]
    """
    if capacity > WIDEST_SET:
        return greedy(sizes, bounds, capacity)
    mask = (1 << (capacity + 1)) - 1
    reached = [1]
    for size, bound in zip(sizes, bounds):
        sums, left = reached[-1], min(bound, capacity // size)
        while left:
            # Half of what is left, then half of the rest: sums of these come to every number of pieces.
            take = (left + 1) // 2
            sums |= (sums << (take * size)) & mask
            left -= take
        reached.append(sums)
    target, taken = reached[-1].bit_length() - 1, [0] * len(sizes)
    for place in range(len(sizes) - 1, -1, -1):
        while not reached[place] >> target & 1:
            target -= sizes[place]
            taken[place] += 1
    return taken


def full_fillings(
    sizes: Sequence[int], bounds: Sequence[int], capacity: int, look: Callable[[], None] = lambda: None, place: int = 0,
) -> Generator[tuple[int, ...], None, None]:
    """Every way to fill a length with the pieces from a place on so that no further one of them fits; most of the
    first pieces first.

    `look` is called before each look at a piece, so that a search that grows too long can be given up.

    >>> list(full_fillings([5, 3], [1, 3], 10))
    [(1, 1), (0, 3)]
    """
    look()
    if place == len(sizes):
        yield ()
        return
    for count in range(min(bounds[place], capacity // sizes[place]), -1, -1):
        left = capacity - count * sizes[place]
        for others in full_fillings(sizes, bounds, left, look, place + 1):
            used = sum(own * size for own, size in zip(others, sizes[place + 1 :]))
            if count == bounds[place] or left - used < sizes[place]:
                yield (count, *others)


@dataclass(frozen=True)
class Filling:
    """The most valuable filling found. No filling is worth more than `above`; the two agree where the search was
    complete.
    """

    value: float
    counts: tuple[tuple[int, int], ...]
    above: float
    visited: int
    others: tuple[tuple[tuple[int, int], ...], ...] = ()
    """Fillings met on the way that are worth more than the floor too."""


def most_valuable(
    sizes: Sequence[int], values: Sequence[float], bounds: Sequence[int], capacity: int, floor: float = 0,
    widest: int = 4000,
) -> Filling:
    """The filling of greatest value that is worth more than `floor`, as (piece, count) pairs; none where there is none.

    Args:
        sizes, values, bounds: length (whole, above 0), value and greatest count of each piece.
        capacity: the length to fill.
        floor: fillings worth no more than this are of no interest.
        widest: how many partial fillings are kept at once; above it the least promising are dropped,
            and `above` tells how good they could have been.

    >>> most_valuable([4, 3, 2], [5, 4, 1], [9, 9, 9], 10).counts
    ((0, 1), (1, 2))
    """
    order = sorted(
        (each for each in range(len(sizes)) if values[each] > 0 and sizes[each] <= capacity and bounds[each] > 0),
        key=lambda each: (-values[each] / sizes[each], sizes[each]),
    )
    best, best_trail, dropped, visited = floor, None, floor, 0
    met: list[tuple] = []
    rest_value, rest_size = _rest(order, values, sizes)
    states: dict[int, tuple[float, tuple | None]] = {0: (0, None)}
    for place, item in enumerate(order, 1):
        size, value, bound = sizes[item], values[item], bounds[item]
        new = dict(states)
        for weight, (worth, trail) in states.items():
            for count in range(1, min(bound, (capacity - weight) // size) + 1):
                heavier, richer = weight + count * size, worth + count * value
                seen = new.get(heavier)
                if seen is None or seen[0] < richer:
                    new[heavier] = (richer, (item, count, trail))
                    if richer > best:
                        best, best_trail = richer, (item, count, trail)
                        met.append(best_trail)
        visited += len(new)
        if place == len(order):
            break
        value, size = values[order[place]], sizes[order[place]]
        states = _promising(new, best, capacity, value, size, rest_value[place], rest_size[place])
        states, lost = _widest(states, capacity, value, size, widest)
        dropped = max(dropped, lost)
    return Filling(
        best, _counts(best_trail), max(best, dropped), visited,
        tuple(_counts(trail) for trail in met[-OTHERS - 1 : -1]),
    )


def _rest(order: Sequence[int], values: Sequence[float], sizes: Sequence[int]) -> tuple[list[float], list[int]]:
    """For every place in the order: the greatest value and the smallest size from there on."""
    greatest = accumulate((values[each] for each in reversed(order)), max)
    smallest = accumulate((sizes[each] for each in reversed(order)), min)
    return list(greatest)[::-1], list(smallest)[::-1]


def _promising(new, best, capacity, value, size, greatest, smallest):
    """The partial fillings that may still beat the best: by room times density, and by how many pieces still fit.

    Written without division, so that it is exact where the values are whole numbers.
    """
    kept = {}
    for weight, state in new.items():
        room, wanted = capacity - weight, best - state[0]
        if wanted * size < room * value and wanted < room // smallest * greatest:
            kept[weight] = state
    return kept


def _widest(states, capacity, value, size, widest):
    """The most promising of the partial fillings, and what the best of those dropped could have reached."""
    if len(states) <= widest:
        return states, 0
    ranked = sorted(states.items(), key=lambda each: -(each[1][0] * size + (capacity - each[0]) * value))
    weight, state = ranked[widest]
    lost = -((-(state[0] * size + (capacity - weight) * value)) // size)
    return dict(ranked[:widest]), lost


def _counts(trail) -> tuple[tuple[int, int], ...]:
    pairs = []
    while trail is not None:
        item, count, trail = trail
        pairs.append((item, count))
    return tuple(sorted(pairs))
