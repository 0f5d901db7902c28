"""The WPS of a mock test day: drawn so that nothing in it is to be asked about, and then perhaps spoiled in one line.

The calculator that sets a WPS beside the code decides what is to be asked about; nothing here knows a limit.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from calc.catalogue import calculator
from calc.core.declare import Level, Result
from calc.core.units import CURRENT, parse
from calc.plate_test.work import Sheet, read_facts, said_of
from calc.practice.chance import Chance
from calc.record.shape import Record
from calc.stages.current import windows_for

Texts = Mapping[str, str]
NONE_OF_THEM = "none"
TRIES = 300
ASK = (Level.CAUTION, Level.STOP, Level.INCOMPLETE, Level.NOT_KNOWN)

WPS_LINES: dict[str, tuple[str, tuple[str, ...]]] = {
    "rule": ("Rule document", ("rule_document",)),
    "steel": ("Steel", ("steel",)),
    "thickness": ("Plate thickness", ("thickness",)),
    "position": ("Position", ("position",)),
    "progression": ("Progression", ("progression",)),
    "electrode": ("Electrode", ("electrode",)),
    "diameter": ("Electrode diameter", ("diameter",)),
    "polarity": ("Polarity", ("polarity",)),
    "amps": ("Amperage", ("amps_low", "amps_high")),
    "volts": ("Arc voltage", ("volts_low", "volts_high")),
    "travel": ("Travel speed", ("travel_low", "travel_high")),
    "heat": ("Maximum heat input", ("heat_most",)),
    "bevel": ("Bevel angle, each plate", ("bevel_angle",)),
    "opening": ("Root opening", ("root_opening", "opening_over", "opening_under")),
    "root-face": ("Root face", ("root_face",)),
    "backing": ("Backing", ("backing_width",)),
    "preheat": ("Minimum preheat", ("preheat_minimum",)),
    "interpass": ("Maximum interpass temperature", ("interpass_maximum",)),
    "layer": ("Maximum layer thickness", ("layer_most",)),
    "exposure": ("Maximum time of the electrodes out of the oven", ("exposure_most",)),
    "plate": ("Plate length", ("plate_length",)),
    "width": ("Width of the finished plate", ("finished_width",)),
}
"""The lines of the sheet: a name, its label, the facts in it."""

_LINE_OF = {
    "amps": "amps", "volts": "volts", "travel": "travel", "rod-size": "diameter", "polarity": "polarity",
    "progression": "progression", "opening": "opening", "own-tolerance": "opening", "included-angle": "bevel",
    "bevel": "bevel", "root-face": "root-face", "backing": "backing", "preheat": "preheat", "minimum": "preheat",
    "interpass": "interpass", "layer": "layer", "own-limit": "exposure", "heat-top": "heat", "tolerance": "opening",
    "rod-for-steel": "electrode",
}
"""Which line a check of the calculator is about, by the start of its id."""


def line_of(check_id: str) -> str:
    """The line of the sheet that a check is about; "" for one that is about none.

    >>> line_of("amps-high"), line_of("rod-for-steel"), line_of("rule-document")
    ('amps', 'electrode', '')
    """
    starts = [start for start in _LINE_OF if check_id == start or check_id.startswith(f"{start}-")]
    return _LINE_OF[max(starts, key=len)] if starts else ""


def line_asked_about(result: Result) -> str | None:
    """The one line that the calculator asks about, `NONE_OF_THEM`, or None where it is not exactly one."""
    lines = {line_of(each.id) for each in result.checks if each.level in ASK}
    if not lines:
        return NONE_OF_THEM
    return next(iter(lines)) if len(lines) == 1 and "" not in lines else None


def _checked(texts: Texts) -> Result:
    wps = calculator("wps-check")
    return wps.answer(Sheet(texts, "us", frozenset(texts)).fill(wps))


def _texts(values: Mapping[str, str]) -> dict[str, str]:
    record = Record("mock-day", "plate-test", "", "", "", values=values)
    texts, refused = read_facts(record)
    if refused:
        raise ValueError(refused[0].message)
    assert said_of(record)
    return texts


def draw_wps(chance: Chance, given: Texts) -> dict[str, str]:
    """The facts of a test whose WPS leaves nothing to ask about. Facts in `given` stay out of what is judged: they are
    the reader's own, and the rest is drawn around them as it comes.
    """
    for _ in range(TRIES):
        values = _draw(chance, given)
        line = line_asked_about(_checked(_texts({**values, **given})))
        if line == NONE_OF_THEM or given and line is not None and set(WPS_LINES[line][1]) & set(given):
            return values
    if given:
        return values
    raise AssertionError("no WPS was found that leaves nothing to ask about")


def _draw(chance: Chance, given: Texts) -> dict[str, str]:
    pick = chance.choose
    electrode = pick(("E7018", "E7018", "E7018", "E6010"))
    diameter = pick(("1/8 in", "1/8 in", "5/32 in"))
    window = windows_for(electrode, diameter)
    low = max(each.low for each in window) + 5 * chance.below(4)
    high = min(low + pick((15, 20, 25)), min(each.high for each in window))
    bevel, opening = pick((("22.5 deg", "1/4 in"), ("15 deg", "3/8 in")))
    volts = 20 + chance.below(3)
    slow = pick(("3", "4", "5"))
    fast = int(slow) + 3 + chance.below(3)
    most = Fraction((volts + 4) * high * 60, int(slow) * 1000)
    return {
        "rule_document": "d1.1", "steel": pick(("A36", "A36", "A572-50", "A992")),
        "thickness": pick(("3/8 in", "3/8 in", "3/8 in", "1/2 in", "3/4 in", "1 in")),
        "position": pick(("1G", "2G", "3G", "3G", "4G")), "progression": "up", "electrode": electrode, "diameter": diameter,
        "polarity": "dcep", "amps_low": f"{low} A", "amps_high": f"{high} A", "volts_low": f"{volts} V",
        "volts_high": f"{volts + 4} V", "travel_low": f"{slow} in/min", "travel_high": f"{fast} in/min",
        "heat_most": f"{5 * (most // 5 + 1)} kJ/in", "root_opening": opening, "opening_over": pick(("1/16 in", "1/8 in")),
        "opening_under": pick(("0 in", "1/16 in")), "bevel_angle": bevel, "root_face": "0 in",
        "preheat_minimum": f"{pick((50, 60, 70, 100, 150, 200))} degF",
        "interpass_maximum": f"{pick((350, 400, 450, 500))} degF", "layer_most": pick(("1/8 in", "5/32 in", "3/16 in")),
        "exposure_most": pick(("2 h", "3 h", "4 h")) if electrode == "E7018" else "",
        "plate_length": pick(("7 in", "8 in", "9 in")), "finished_width": pick(("6 in", "6-1/2 in", "7 in")),
        "backing_width": pick(("1 in", "1-1/4 in", "1-1/2 in")), "air": f"{pick((45, 50, 55, 60, 65, 70, 80))} degF",
    }



def _spoil(chance: Chance, texts: Texts) -> dict[str, str]:
    """One line changed, perhaps for the worse: the calculator says whether it is."""
    high = int(parse(texts["amps_high"], CURRENT))
    return chance.choose((
        {"amps_high": f"{high + 10 * (2 + chance.below(6))} A"},
        {"amps_low": f"{max(10, high - 10 * (6 + chance.below(5)))} A"},
        {"diameter": chance.choose(("3/16 in", "7/32 in", "1/4 in"))},
        {"polarity": chance.choose(("dcen", "ac"))},
        {"progression": "down"},
        {"travel_high": f"{16 + chance.below(8)} in/min"},
        {"opening_over": "", "opening_under": texts["opening_under"]},
        {"root_opening": chance.choose(("1/16 in", "1/8 in"))},
        {"preheat_minimum": f"{32 + chance.below(4)} degF"},
        {"interpass_maximum": f"{560 + 20 * chance.below(5)} degF"},
        {"layer_most": chance.choose(("7/32 in", "1/4 in", "5/16 in"))},
        {"exposure_most": chance.choose(("6 h", "8 h", "10 h"))} if texts["exposure_most"] else {"polarity": "dcen"},
        {"root_face": chance.choose(("1/8 in", "3/16 in"))},
        {"backing_width": chance.choose(("1/4 in", "3/8 in"))},
    ))


def spoiled(chance: Chance, texts: Texts) -> Texts:
    """The sheet as it is handed out: by a coin as it is, or with one line that the calculator asks about.

    """
    if chance.below(2) == 0:
        return texts
    for _ in range(TRIES):
        change = _spoil(chance, texts)
        changed = {**texts, **change}
        line = line_asked_about(_checked(changed))
        if line not in (None, NONE_OF_THEM) and set(change) <= set(WPS_LINES[line][1]):
            return changed
    raise AssertionError("no line was found to spoil")


