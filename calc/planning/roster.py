"""Who takes which tests: the roster of a class, read from its rows.

A row names one trainee or several, apart by commas; two numbers with a hyphen stand for all numbers from one to the
other. A name that stands in two rows is one trainee with the tests of both. What a row leaves open comes from the
class: its tests and its thickness.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import Choice, InputError, Option, Quantity, Rows, Whole, Words
from calc.core.units import LENGTH

POSITIONS = ("1G", "2G", "3G", "4G")
MOST_TRAINEES, MOST_WELDS = 100, 240
USUAL = "usual"


def _sets() -> tuple[Option, ...]:
    """Every choice of positions, the single ones first."""
    found = [Option(USUAL, "As the class")]
    for size in range(1, len(POSITIONS) + 1):
        for some in itertools.combinations(POSITIONS, size):
            words = some[0] if size == 1 else f"{', '.join(some[:-1])} and {some[-1]}"
            found.append(Option(" ".join(some), words))
    return tuple(found)


ROSTER = Rows(
    "roster", "Roster",
    (
        Words("who", "Who", "", "Name or number. More than one apart by commas; 1-6 is six numbers.", 120),
        Choice("tests", "Tests", _sets(), USUAL, "Positions of the test welds."),
        Quantity("thickness", "Plate", LENGTH, "", "1/4 in", "1 in", "Blank: as the class."),
        Whole("attempts", "Plates each", "1", 1, 6, "Test welds to plan for each position: 2 where a retest is likely."),
    ),
    "1-10 | 3G 4G |  | 1\n11-12 | 3G |  | 1\n13-14 | 4G |  | 1",
    "One row for all who take the same tests: names, or numbers as in 1-6.", "Row", fewest=0, most=40,
)


@dataclass(frozen=True)
class Entry:
    """A test weld that is planned: whose, by number, in which position, on which plate, and which try."""

    trainee: int
    position: str
    thickness: Fraction
    attempt: int


@dataclass(frozen=True)
class Roster:
    """The names, in the order of the rows, and every test weld to be planned."""

    names: tuple[str, ...]
    entries: tuple[Entry, ...]

    def first(self, thickness: Fraction) -> int:
        """How many welds are planned on plates of a thickness."""
        return sum(entry.thickness == thickness for entry in self.entries)

    @property
    def thicknesses(self) -> tuple[Fraction, ...]:
        """The thicknesses of plate, the one of most welds first."""
        found = sorted({entry.thickness for entry in self.entries})
        return tuple(sorted(found, key=lambda each: (-self.first(each), each)))

    @property
    def positions(self) -> tuple[str, ...]:
        """The positions of the tests, in the order of the list."""
        return tuple(each for each in POSITIONS if any(entry.position == each for entry in self.entries))

    def title(self, number: int) -> str:
        """A test weld in a few words.

        >>> read_roster((("Ada", "3G", None, 2),), (), Fraction(1, 100)).title(1)
        'Ada, 3G, plate 2'
        """
        entry = self.entries[number]
        again = f", plate {entry.attempt}" if entry.attempt > 1 else ""
        return f"{self.names[entry.trainee]}, {entry.position}{again}"


def read_roster(
    rows: Sequence[tuple[str, str, Fraction | None, int]], usual: Sequence[tuple[str, int]], thickness: Fraction,
) -> Roster:
    """The roster of these rows; `usual` are the tests of those whose row names none, `thickness` that of their plates.

    Raises `InputError` for a row that cannot be, and where more is to be planned than this guide does at once.

    >>> roster = read_roster((("1-2, Ada", "3G 4G", None, 1), ("Ada", "usual", None, 1)), (("2G", 1),), Fraction(1, 100))
    >>> roster.names, [roster.title(each) for each in (4, 5, 6)]
    (('1', '2', 'Ada'), ['Ada, 3G', 'Ada, 4G', 'Ada, 2G'])
    """
    names: list[str] = []
    entries: list[Entry] = []
    counted: dict[tuple[int, str, Fraction], int] = {}
    for number, (who, tests, own, attempts) in enumerate(rows, 1):
        wanted = [(each, 1) for each in tests.split()] if tests != USUAL else list(usual)
        for name in _names(who, number, len(names)):
            if name not in names:
                names.append(name)
            if len(names) > MOST_TRAINEES:
                raise _wrong(number, f"more than {MOST_TRAINEES} trainees; plan two classes")
            trainee, plate = names.index(name), own or thickness
            for position, count in wanted:
                for _ in range(count * attempts):
                    key = trainee, position, plate
                    counted[key] = counted.get(key, 0) + 1
                    entries.append(Entry(trainee, position, plate, counted[key]))
    if len(entries) > MOST_WELDS:
        raise InputError(
            "roster", ROSTER.label, f"{len(entries)} test welds in all; plan from 1 to {MOST_WELDS} at once",
        )
    return Roster(tuple(names), tuple(entries))


def _names(who: str, row: int, before: int) -> list[str]:
    found: list[str] = []
    for part in (each.strip() for each in who.split(",")):
        span = re.fullmatch(r"([0-9]{1,4}) ?[-\u2013] ?([0-9]{1,4})", part, re.ASCII)
        if span:
            first, last = int(span[1]), int(span[2])
            if last < first:
                raise _wrong(row, f"“{part}” has its numbers the wrong way round; write the lower one first")
            if last - first >= MOST_TRAINEES:
                raise _wrong(row, f"“{part}” is more than {MOST_TRAINEES} trainees; plan two classes")
            found += [str(number) for number in range(first, last + 1)]
        elif part:
            found.append(part)
    return found or [str(before + 1)]


def _wrong(row: int, message: str) -> InputError:
    return InputError("roster", ROSTER.label, f"{ROSTER.row_name} {row}, who: {message}")
