"""What follows from the facts of a test without any calculation of a stage: the words that calculators ask for in their
own way, and the middle of a band.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

from calc.core.units import CURRENT, LENGTH, STRESS, TRAVEL_SPEED, VOLTAGE, Kind, parse, show_as_written
from calc.stages.current import windows_for
from calc.stages.heat import covering_of
from calc.stages.steels import find_steel

Texts = Mapping[str, str]


def _written(amount: Fraction, kind: Kind) -> str:
    return show_as_written(amount, kind, "us").replace("\u00a0", " ")


def middle(low: str, high: str, kind: Kind) -> str:
    """The middle of a band, or the one end that is given; nothing where neither is.

    >>> middle("115 A", "135 A", CURRENT), middle("", "135 A", CURRENT), middle("", "", CURRENT)
    ('125 A', '135 A', '')
    """
    ends = [parse(text, kind) for text in (low, high) if text]
    return _written(sum(ends, Fraction(0)) / len(ends), kind) if ends else ""


def _amps(test: Texts) -> str:
    """What is set: as said, else the middle of the WPS, else the middle of the first table that has the rod."""
    if test["amps"]:
        return test["amps"]
    if own := middle(test["amps_low"], test["amps_high"], CURRENT):
        return own
    held = windows_for(test["electrode"], test["diameter"])
    return _written((Fraction(held[0].low) + Fraction(held[0].high)) / 2, CURRENT) if held else ""


def _yield_strength(test: Texts) -> str:
    steel = find_steel(test["steel"])
    return _written(steel.yield_fact.amount, STRESS) if steel else ""


def _by(field: str, words: Mapping[str, str]) -> Callable[[Texts], str]:
    return lambda test: words.get(test[field], "")


DERIVED: dict[str, Callable[[Texts], str]] = {
    "amps": _amps,
    "volts_middle": lambda test: middle(test["volts_low"], test["volts_high"], VOLTAGE),
    "travel_middle": lambda test: middle(test["travel_low"], test["travel_high"], TRAVEL_SPEED),
    "covering": lambda test: covering_of(test["electrode"]),
    "low_hydrogen_rod": _by("electrode", {"E7018": "E7018"}),
    "exposure_rule": lambda test: "own" if test["exposure_most"] else "shorter",
    "opening_rule": lambda test: "own" if test["opening_over"] or test["opening_under"] else "as-detailed",
    "yield_strength": _yield_strength,
    "jig_rule": _by("rule_document", {"d1.1": "yield", "asme-ix": "four-thicknesses"}),
    "specimen_rule": _by("rule_document", {"d1.1": "aws", "asme-ix": "asme"}),
    "visual_rule": _by("rule_document", {"d1.1": "test-plate"}),
    "bend_rule": _by("rule_document", {"d1.1": "aws", "asme-ix": "asme", "iso-9606-1": "iso"}),
    "work_position": _by("position", {"1G": "F", "2G": "H", "3G": "V", "4G": "OH"}),
    "work_thickness": lambda test: test["thickness"],
    "half_width": lambda test: _written(parse(test["finished_width"], LENGTH) / 2, LENGTH),
    "pieces_of_plates": lambda test: f"{test['plate_length']} | 2 | test plate",
    "tests_of_each": lambda test: f"{test['position']} | 1",
    "rods_used": lambda test: f"{test['electrode']} | {test['diameter'].removesuffix(' in')} | 100 %",
}
"""Each by the id that an input takes. The texts of the test come with their units written out; "" where it says
nothing."""
