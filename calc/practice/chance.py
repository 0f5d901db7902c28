"""Chance from a seed, the same on every machine and in every version of Python.

A worksheet must come out alike in the browser, on the command line and next year. So the stream of numbers is worked
out here: the 64-bit FNV-1a hash turns the seed's text into a start, SplitMix64 ("Fast splittable pseudorandom number
generators", OOPSLA 2014) gives the numbers. Neither is fit for secrets; none are kept here.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")

_MASK = (1 << 64) - 1


def fnv1a(text: str) -> int:
    """The 64-bit FNV-1a hash of a text.

    >>> hex(fnv1a("a"))
    '0xaf63dc4c8601ec8c'
    """
    value = 0xCBF29CE484222325
    for byte in text.encode("utf-8"):
        value = ((value ^ byte) * 0x100000001B3) & _MASK
    return value


class Chance:
    """A stream of numbers that a seed decides.

    >>> Chance("7/groove").choose("abc") == Chance("7/groove").choose("abc")
    True
    """

    def __init__(self, seed: str | int) -> None:
        self.state = seed & _MASK if isinstance(seed, int) else fnv1a(seed)

    def next(self) -> int:
        """The next 64-bit number."""
        self.state = (self.state + 0x9E3779B97F4A7C15) & _MASK
        value = self.state
        value = ((value ^ (value >> 30)) * 0xBF58476D1CE4E5B9) & _MASK
        value = ((value ^ (value >> 27)) * 0x94D049BB133111EB) & _MASK
        return value ^ (value >> 31)

    def below(self, count: int) -> int:
        """A whole number from 0 up to, not including, `count`; every one as likely as the next.

        Raises `ValueError` where `count` is not above 0.
        """
        if count <= 0:
            raise ValueError("there is nothing to choose from")
        # A remainder of 64 bits favors the small numbers by less than `count` in 2**64.
        return self.next() % count

    def choose(self, items: Sequence[T]) -> T:
        """One of the items."""
        return items[self.below(len(items))]

    def shuffled(self, items: Sequence[T]) -> list[T]:
        """The items in a new order (the Fisher-Yates shuffle)."""
        mixed = list(items)
        for last in range(len(mixed) - 1, 0, -1):
            other = self.below(last + 1)
            mixed[last], mixed[other] = mixed[other], mixed[last]
        return mixed
