"""The pads: the values that a thumb chooses from, around what was read last, in place of a keyboard."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calc.booth import journal
from calc.booth.log import Facts, Pass
from calc.core.declare import Quantity
from calc.core.units import System, parse, show_as_written
from calc.plate_test.facts import DERIVED

KEYS = 9
"""Keys of a pad: three rows of three."""


@dataclass(frozen=True)
class Pad:
    """One kind of reading: the words of its key, and its steps in the units of each system.

    `fine` is the distance of neighboring values, `stride` how many of them lie between two keys.
    """

    do: str
    label: str
    ask: str
    fine: dict[System, str]
    stride: int
    ends: dict[System, tuple[str, str]]

    @property
    def input(self) -> Quantity:
        """The input that its readings are of."""
        return journal.READINGS[self.do]

    def values(self, system: System) -> list[Fraction]:
        """Every value that the pad offers, from the lowest on."""
        low, high = (parse(text, self.input.kind) for text in self.ends[system])
        unit = self.input.kind.unit(system)
        step = Fraction(self.fine[system])
        first, last = unit.from_base(low), unit.from_base(high)
        return [unit.to_base(first + step * place) for place in range(int((last - first) / step) + 1)]


PADS: tuple[Pad, ...] = (
    Pad(journal.TEMPERATURE, "Plate", "Temperature of the plate", {"us": "5", "si": "2"}, 5,
        {"us": ("0 degF", "1000 degF"), "si": ("-20 degC", "540 degC")}),
    Pad(journal.AMPS, "Amperage", "Amperage, with the arc burning",
        {"us": "1", "si": "1"}, 5, {"us": ("10 A", "600 A"), "si": ("10 A", "600 A")}),
    Pad(journal.VOLTS, "Voltage", "Arc voltage, with the arc burning",
        {"us": "0.5", "si": "0.5"}, 2, {"us": ("10 V", "50 V"), "si": ("10 V", "50 V")}),
)
"""The limits of a pad only say how far its keys go; what a reading may be, its input says."""


def start_of(pad: Pad, facts: Facts, passes: tuple[Pass, ...], number: int) -> str:
    """Around what a pad opens: the last reading of its kind up to this pass, else what the test says.

    >>> from calc.record.demo import TEST
    >>> [start_of(pad, Facts.of(TEST), (), 1) for pad in PADS]
    ['62 degF', '120 A', '23 V']
    """
    read = [text for each in passes if each.number <= number and (text := each.reading(pad.do))]
    if read:
        return read[-1]
    planned = {journal.TEMPERATURE: "air", journal.AMPS: "amps", journal.VOLTS: "volts_middle"}[pad.do]
    said = facts.texts[planned] if planned in facts.texts else ""
    return said or (DERIVED[planned](facts.texts) if planned in DERIVED else "") or pad.input.default


def pads_of(facts: Facts, passes: tuple[Pass, ...], number: int, system: System) -> Iterator[dict[str, Any]]:
    """The pads of a pass as data: each value as it is kept and as it is shown, and where the keys begin."""
    for pad in PADS:
        middle = pad.input.read(start_of(pad, facts, passes, number), facts.system)
        amounts = pad.values(system)
        nearest = min(range(len(amounts)), key=lambda place: abs(amounts[place] - middle))
        shown = [show_as_written(amount, pad.input.kind, system) for amount in amounts]
        yield {
            "do": pad.do, "number": number, "title": pad.ask, "stride": pad.stride, "keys": KEYS, "at": nearest,
            "values": [[kept(text), text] for text in shown],
        }


def kept(shown: str) -> str:
    """A shown value as the journal keeps it: with a unit that any system reads.

    >>> kept("210\\xa0°F")
    '210 degF'
    """
    return shown.replace("\u00a0", " ").replace("°F", "degF").replace("°C", "degC").replace("\u2212", "-")
