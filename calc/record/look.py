"""The visual inspection of a record: each point by the rule chosen, and the line of the verdict."""

from __future__ import annotations

from typing import Any

from calc.core.declare import InputError, Level, Result
from calc.core.sources import ENTERED
from calc.record.bench import BLANK, UNREADABLE, Bench, Line
from calc.record.day import DECIDING
from calc.stages.visual import RULES as VISUAL_RULES, VISUAL_CHECK

_POINTS = {
    "cracks": "cracks", "craters": "craters", "fusion": "fusion", "undercut": "undercut_depth",
    "underfill": "underfill", "reinforcement": "reinforcement", "porosity": "porosity",
    "undercut-length": "undercut_depth", "mismatch": "mismatch_after", "root": "root_flaw", "concavity": "concavity",
    "melt-through": "melt_through",
}
"""The points of the visual inspection, by the id of their check, and the field that each is about."""
_VISUAL = "Visual inspection"


def look_over(bench: Bench) -> Line:
    """Each point on its own; a blank one is not judged. The verdict by the rule chosen."""
    chosen = bench.texts.get("visual_rule")
    rule = next((each for each in VISUAL_RULES if each.id == chosen), None)
    open_root = bench.texts.get("root") == "open"
    wanted = [field for point, field in _POINTS.items() if point not in ("concavity", "melt-through") or open_root]
    wanted = ["thickness", *wanted, "root"]
    if rule is None:
        return Line("visual", _VISUAL, Level.INCOMPLETE, "not judged: no rule chosen", "", ENTERED, ("visual_rule",))
    if rule.id != "test-plate":
        words = (
            "This is the rule for production welds. A test plate is judged by the test-plate rule unless the WPS or "
            "the inspector says otherwise."
        )
        bench.say("visual_rule", Level.CAUTION, "rule", words, rule.crack.source, VISUAL_CHECK)
    answer, used = _ask_points(bench)
    levels: dict[str, Level] = {}
    for check in answer.checks if answer else ():
        place = _POINTS.get(check.id)
        if place in used:
            levels[place] = check.level
            unmeasured = check.id == "undercut-length" and check.level is Level.INCOMPLETE
            bench.flag("undercut_length" if unmeasured else place, check, VISUAL_CHECK)
    blank = [name for name in wanted if name not in used]
    for name in blank:
        if name not in bench.texts and name not in DECIDING:
            bench.say(name, Level.INCOMPLETE, BLANK, "Not written down.", ENTERED, VISUAL_CHECK)
    return _visual_line(bench, rule, levels, blank)


_AT_ROOT = ("root_flaw", "concavity", "melt_through")


def _ask_points(bench: Bench) -> tuple[Result | None, set[str]]:
    """The visual check of the points that are written and can be used together; the fields that it used.

    A point that the check refuses is flagged and left out, so that it hides no other.
    """
    names = ["thickness", "undercut_length", "root", *_POINTS.values()]
    if not bench.has("root"):
        # Whether there is a backing changes what is said of the root; it is never assumed.
        names = [name for name in names if name not in _AT_ROOT]
    used = bench.some(*names)
    while "thickness" in used:
        inputs = {"rule": bench.texts["visual_rule"], **used}
        if "mismatch_after" in inputs:
            inputs["mismatch"] = inputs.pop("mismatch_after")
        try:
            return VISUAL_CHECK.answer(inputs, bench.record.bare), set(used)
        except InputError as trouble:
            place = "mismatch_after" if trouble.field == "mismatch" else trouble.field
            bench.say(place, Level.INCOMPLETE, UNREADABLE, trouble.message, ENTERED, VISUAL_CHECK)
            dropped = "undercut_depth" if place == "undercut_length" else place
            del used[dropped]
    return None, set()


def _visual_line(bench: Bench, rule: Any, levels: dict[str, Level], blank: list[str]) -> Line:
    label = {each.name: each.label.lower() for each in bench.record.form.fields}

    def line(level: Level, words: str, names: list[str]) -> Line:
        told = f"{words}: {', '.join(label[name] for name in names)}" if names else words
        return Line("visual", _VISUAL, level, told, rule.name, rule.crack.source, tuple(names))

    at = {level: [name for name, found in levels.items() if found is level] for level in Level}
    if at[Level.STOP]:
        return line(Level.STOP, "breaks the rule at", at[Level.STOP])
    if blank or at[Level.INCOMPLETE]:
        return line(Level.INCOMPLETE, "not complete; blank or not used", [*blank, *at[Level.INCOMPLETE]])
    for level in (Level.NOT_KNOWN, Level.CAUTION):
        if at[level]:
            return line(level, "nothing we hold of the rule is broken; ask the inspector about", at[level])
    return line(Level.OK, "nothing we hold of the rule is broken", [])
