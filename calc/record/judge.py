"""The record judged: each figure by the calculator of its stage, at once, and a verdict by coupon and by test.

No limit stands here. A figure that is blank is not judged, and what depends on it is said to be missing, never assumed. A
calculator's defaults are used only where they cannot touch the checks that are kept. The verdict of the test is as bad as the
worst that is said of any figure, and it is in order only when everything that the rules go by was seen.
"""

from __future__ import annotations

import datetime
import fnmatch
import re
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from calc.core.declare import Amount, Calculator, Check, Choice, InputError, Level, Phrase, Result, Rows, phrase_text, worst
from calc.core.sources import COMMON, ENTERED, Citation
from calc.core.units import LENGTH, parse
from calc.record.fields import CONTINUITY_LOG
from calc.record.shape import Record
from calc.stages import coupons as layout
from calc.stages.bend import BEND_RATIO, JIG_FIGURE
from calc.stages.coupons import COUPON_LAYOUT
from calc.stages.current import CURRENT_SETTING
from calc.stages.fitup import FIT_UP
from calc.stages.groove import GROOVE
from calc.stages.heat import PREHEAT
from calc.stages.judging import BEND_JUDGE, RULES, Verdict
from calc.stages.passes import PASSES
from calc.stages.qualification import ASME, CONTINUITY, D11, ISO, TEST_PLAN
from calc.stages.rods import ROD_EXPOSURE
from calc.stages.visual import RULES as VISUAL_RULES, VISUAL_CHECK

STUDY_AID = (
    "Study aid, not a certificate. The verdict belongs to the qualified inspector under the code in force."
)


@dataclass(frozen=True)
class Flag:
    """What is said of one figure. `place` is a field, or list/row/column with rows counted from 1.

    `id` is the check's of the calculator `by`; `UNREADABLE` marks a text that cannot be used.
    """

    place: str
    level: Level
    phrase: Phrase
    source: Citation | None = None
    by: str = ""
    id: str = ""


UNREADABLE = "unreadable"


@dataclass(frozen=True)
class Line:
    """One line of the verdict: what it is about, how it stands, in words, by which rule, and the figures that decide it."""

    name: str
    label: str
    level: Level
    wording: str
    rule: str
    source: Citation
    places: tuple[str, ...] = ()


@dataclass(frozen=True)
class Judgement:
    """All that is said of a record."""

    record: Record
    flags: tuple[Flag, ...]
    lines: tuple[Line, ...]
    headline: str
    missing: tuple[str, ...] = ()
    layout: Result | None = None
    due: datetime.date | None = None

    def at(self, place: str) -> tuple[Flag, ...]:
        """The flags of one figure, worst first."""
        return tuple(sorted((flag for flag in self.flags if flag.place == place), key=lambda flag: -_ORDER.index(flag.level)))

    def line(self, name: str) -> Line:
        """The verdict line of that name. Raises `StopIteration` where there is none."""
        return next(line for line in self.lines if line.name == name)


_ORDER = list(Level)


def judge(record: Record, today: datetime.date | None = None) -> Judgement:
    """Judge a record. Without `today` a continuity log has no verdict, and the date of a test is not held against it.

    >>> from calc.record.shape import blank
    >>> judge(blank("test-day", "demo-0001", "2026-03-02T07:30:00Z")).line("test").level
    <Level.INCOMPLETE: 'incomplete'>
    """
    if record.kind == CONTINUITY_LOG.kind:
        return _judge_log(record, today)
    return _judge_day(record, today)


# --- reading the fields ------------------------------------------------------------


@dataclass
class _Bench:
    """The record on the bench: what can be read of it, and the flags so far."""

    record: Record
    flags: list[Flag] = field(default_factory=list)
    texts: dict[str, str] = field(default_factory=dict)
    cells: dict[str, list[dict[str, str]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for each in self.record.form.fields:
            if isinstance(each, Rows):
                self._read_rows(each)
            elif text := self.record.text(each.name).strip():
                if self._readable(each, text, each.name):
                    self.texts[each.name] = self._plain(each, text)

    def _readable(self, each: Any, text: str, place: str) -> bool:
        try:
            each.read(text, self.record.bare)
        except InputError as trouble:
            self.flags.append(Flag(place, Level.INCOMPLETE, (trouble.message,), id=UNREADABLE))
            return False
        return True

    def _plain(self, each: Any, text: str) -> str:
        """A choice by its own word, whatever case or label a file writes it in; any other text as it is."""
        return each.read(text, self.record.bare) if isinstance(each, Choice) else text

    def _read_rows(self, each: Rows) -> None:
        self.cells[each.name] = []
        for number, row in enumerate(self.record.rows.get(each.name, ()), 1):
            read = {}
            for column, text in zip(each.columns, row, strict=True):
                text = text.strip()
                if text and self._readable(column, text, f"{each.name}/{number}/{column.name}"):
                    read[column.name] = self._plain(column, text)
            self.cells[each.name].append(read)

    def has(self, *names: str) -> bool:
        return all(name in self.texts for name in names)

    def some(self, *names: str) -> dict[str, str]:
        """Those of the fields that are filled in and can be read."""
        return {name: self.texts[name] for name in names if name in self.texts}

    def ask(self, calculator: Calculator, inputs: dict[str, str], home: str, **places: str) -> Result | None:
        """The answer of a calculator; what it refuses becomes a flag at the field it names, or at `home`."""
        try:
            return calculator.answer(inputs, self.record.bare)
        except InputError as trouble:
            place = places.get(trouble.field, trouble.field if trouble.field in self.texts else home)
            flag = Flag(place, Level.INCOMPLETE, (trouble.message,), ENTERED, calculator.id, UNREADABLE)
            if flag not in self.flags:
                self.flags.append(flag)
            return None

    def keep(self, place: str, answer: Result | None, *ids: str) -> None:
        """The checks of these ids (`reading-*` any of a list) as flags of one figure."""
        for check in answer.checks if answer else ():
            if any(fnmatch.fnmatchcase(check.id, id) for id in ids):
                self.flag(place, check, answer.calculator)

    def flag(self, place: str, check: Check, calculator: Calculator) -> None:
        flag = Flag(place, check.level, check.phrase, check.source, calculator.id, check.id)
        if flag not in self.flags:
            self.flags.append(flag)

    def say(self, place: str, level: Level, id: str, words: str | Phrase, source: Citation, by: Calculator | None = None) -> None:
        phrase = (words,) if isinstance(words, str) else words
        self.flags.append(Flag(place, level, phrase, source, by.id if by else "", id))


# --- the test day --------------------------------------------------------------------

_PLAN_RULE = {"aws": D11, "asme": ASME, "iso": ISO}
_LAYOUT_RULES = ("aws", "asme", "cfr")


def _judge_day(record: Record, today: datetime.date | None) -> Judgement:
    bench = _Bench(record)
    _written_down(bench, today)
    _plate(bench)
    _joint(bench)
    _exposure(bench)
    _machine(bench)
    _heat(bench)
    _count_rods(bench)
    looked = _look_over(bench)
    marked = _coupon_sizes(bench)
    bent = _bends(bench)
    test = _whole(bench, looked, bent)
    missing = _missing(bench)
    return Judgement(record, tuple(bench.flags), (looked, *bent, test), f"{test.wording}.", missing, marked)


_DECIDING = (
    "date", "welder", "procedure", "bend_rule", "figures", "visual_rule", "fit_up_rule", "steel", "heat_number", "plate_mark", "thickness",
    "plate_length", "position", "direction", "electrode", "diameter", "lot", "rods_out", "rods_last", "required", "readings", "bevel_angle",
    "root_face", "mismatch", "backing_gap", "polarity", "amps", "air", "plate_temperature", "passes", "root", "plunger_diameter", "coupons",
)
"""What a complete sheet of the day has. Without one of these something that the rules go by was not seen."""
_ASKED_IF = {
    "direction": lambda texts: texts.get("position") == "3G",
    "rods_out": lambda texts: texts.get("electrode") == "E7018",
    "rods_last": lambda texts: texts.get("electrode") == "E7018",
}
_IN_EACH = {"passes": ("rods", "temperature"), "coupons": ("kind", "thickness", "bent"), "findings": ("coupon", "size", "place", "flaw")}
"""What each row of a list must have."""
BLANK = "blank"
"""Id of the flag of a figure that is not written down."""


def _written_down(bench: _Bench, today: datetime.date | None) -> None:
    """What is not written down was not seen; and a day that has not come is no day of a test."""
    for name in _DECIDING:
        asked = _ASKED_IF.get(name, lambda texts: True)(bench.texts)
        there = bench.cells[name] if name in bench.cells else bench.record.text(name).strip()
        if asked and not there:
            bench.say(name, Level.INCOMPLETE, BLANK, "Not written down.", ENTERED)
    if not bench.record.text("interpass").strip():
        bench.say("interpass", Level.NOT_KNOWN, BLANK, "The maximum interpass temperature is the WPS's own. Ask for it.", ENTERED)
    for name, columns in _IN_EACH.items():
        for number, row in enumerate(bench.record.rows.get(name, ()), 1):
            for column, text in zip(bench.record.form.field(name).columns, row, strict=True):
                if column.name in columns and not text.strip():
                    bench.say(f"{name}/{number}/{column.name}", Level.INCOMPLETE, BLANK, "Not written down.", ENTERED)
    if today and bench.has("date") and bench.record.form.field("date").read(bench.texts["date"], "us") > today:
        bench.say("date", Level.INCOMPLETE, "date", f"This day has not come: today is {today}. Write the day of the test, or set the clock.", ENTERED)


def _plate(bench: _Bench) -> None:
    """The kind of coupons that the rule's table gives for this plate, and whether it has a row for it."""
    rule = _PLAN_RULE.get(bench.texts.get("bend_rule", ""))
    if not rule or not bench.has("thickness"):
        return
    # The position changes nothing that is kept here; the thickness of work is not asked on the day.
    plan = bench.ask(TEST_PLAN, {"rule": rule, **bench.some("thickness", "position")}, "thickness")
    if plan:
        value = plan["coupons"]
        bench.say("thickness", Level.NOTE, "coupons", f"The table of the rule gives for this plate: {value.wording}.", value.source, TEST_PLAN)
        bench.keep("thickness", plan, "nominal")


def _joint(bench: _Bench) -> None:
    """Angle, opening and root face by the groove, each reading by the tolerance chosen, step and backing gap on their own."""
    # The width across both plates touches no check kept here; its largest figure never gets in the way.
    wide = {"finished_width": "48 in"}
    if bench.has("thickness", "bevel_angle"):
        groove = bench.ask(GROOVE, {**bench.some("thickness", "bevel_angle"), **wide}, "bevel_angle")
        bench.keep("bevel_angle", groove, "included-angle*")
    if bench.has("required"):
        groove = bench.ask(GROOVE, {"root_opening": bench.texts["required"], **wide}, "required", root_opening="required")
        bench.keep("required", groove, "opening*")
    if bench.has("root_face", "thickness"):
        groove = bench.ask(GROOVE, {**bench.some("thickness", "root_face"), **wide}, "root_face")
        bench.keep("root_face", groove, "root-face*")
    _readings(bench)
    quiet = {"openings": "0 in | 1/4 in", "required": "1/4 in"}
    if bench.has("mismatch", "thickness"):
        bench.keep("mismatch", bench.ask(FIT_UP, {**quiet, **bench.some("mismatch", "thickness")}, "mismatch"), "mismatch")
    if bench.has("backing_gap"):
        bench.keep("backing_gap", bench.ask(FIT_UP, {**quiet, **bench.some("backing_gap")}, "backing_gap"), "backing-gap")


def _readings(bench: _Bench) -> None:
    if not bench.has("required", "fit_up_rule"):
        return
    lacking = [name for name in ("over", "under") if bench.texts["fit_up_rule"] == "own" and name not in bench.texts]
    for name in lacking:
        bench.say(name, Level.NOT_KNOWN, "tolerance", "You judge by a tolerance of your own. Take its figure from the WPS and write it.", ENTERED, FIT_UP)
    if lacking:
        return
    rule = {"required": bench.texts["required"], "rule": bench.texts["fit_up_rule"], **bench.some("over", "under", "thickness")}
    whole = []
    for number, row in enumerate(bench.cells["readings"], 1):
        if "opening" not in row:
            continue
        place = f"readings/{number}/opening"
        fit = bench.ask(FIT_UP, {**rule, "openings": f"{row.get('place', '0 in')} | {row['opening']}"}, place, required="required", openings=place)
        bench.keep(place, fit, "reading-*")
        if "place" in row:
            whole.append(f"{row['place']} | {row['opening']}")
    if whole:
        fit = bench.ask(FIT_UP, {**rule, "openings": "\n".join(whole)}, "readings", openings="readings")
        bench.keep("readings", fit, "evenness", "taper", "bow")
    if bench.has("plate_length"):
        _reach(bench)


def _reach(bench: _Bench) -> None:
    """The readings lie on the plate and come to both its ends."""
    length = parse(bench.texts["plate_length"], LENGTH, bench.record.bare)
    places = {
        number: parse(row["place"], LENGTH, bench.record.bare) for number, row in enumerate(bench.cells["readings"], 1) if "place" in row
    }
    for number, place in places.items():
        if place > length:
            words = "This place lies past the end of the plate. Look at the place and at the length of the plate."
            bench.say(f"readings/{number}/place", Level.STOP, "place", words, ENTERED, FIT_UP)
    near = layout.DISCARD.amount
    if places and (min(places.values()) > near or max(places.values()) < length - near):
        words = ("The readings do not come within ", Amount(near, LENGTH, as_written=True), " of both ends. Measure there too.")
        bench.say("readings", Level.INCOMPLETE, "ends", words, COMMON, FIT_UP)


def _machine(bench: _Bench) -> None:
    """Polarity; the current seen, on the machine and in each pass; and a rod too large for the position."""
    if not bench.has("electrode", "diameter"):
        return
    base = {**bench.some("electrode", "diameter"), **_position(bench), **bench.some("polarity")}
    if bench.has("polarity"):
        bench.keep("polarity", bench.ask(CURRENT_SETTING, base, "diameter"), "polarity")
    if bench.has("direction"):
        bench.keep("direction", bench.ask(CURRENT_SETTING, base, "diameter"), "progression")
    figures = [("amps", bench.texts.get("amps"))]
    figures += [(f"passes/{number}/amps", row.get("amps")) for number, row in enumerate(bench.cells["passes"], 1)]
    for place, amps in figures:
        if amps:
            bench.keep(place, bench.ask(CURRENT_SETTING, {**base, "amps": amps}, "diameter"), "window*")
    if bench.has("position"):
        bench.keep("diameter", bench.ask(CURRENT_SETTING, base, "diameter"), "rod-size")


def _position(bench: _Bench) -> dict[str, str]:
    """Position and direction as the current calculator takes them. Without a position the flat one, which has no check of its own."""
    given = {"position": bench.texts.get("position", "1G")}
    return {**given, "progression": bench.texts["direction"]} if bench.has("direction") else given


def _exposure(bench: _Bench) -> None:
    """How long low-hydrogen rods had been out of the oven when the last one was lit."""
    if bench.texts.get("electrode") != "E7018" or not bench.has("rods_out", "rods_last"):
        return
    inputs = {"rod": bench.texts.get("rod_suffix", "E7018"), "out_at": bench.texts["rods_out"], "now": bench.texts["rods_last"]}
    inputs |= {"own_limit": bench.texts["rods_limit"]} if bench.has("rods_limit") else {}
    # The oven, wet rods and an earlier rebake are not on this sheet.
    answer = bench.ask(ROD_EXPOSURE, inputs, "rods_last", out_at="rods_out", own_limit="rods_limit")
    bench.keep("rods_last", answer, "exposure", "next-day")
    bench.keep("rods_limit", answer, "own-limit*")


def _heat(bench: _Bench) -> None:
    """The steel's row, the air, the limit between passes, and the plate before welding and before each pass."""
    if not bench.has("thickness", "electrode"):
        return
    base = {
        "electrode": "low-hydrogen" if bench.texts["electrode"].upper().startswith("E7018") else "other",
        **bench.some("thickness", "interpass"),
    }
    if bench.has("steel") and "steel" in PREHEAT.defaults:
        base["steel"] = bench.texts["steel"]
        if not bench.ask(PREHEAT, base, "steel", metal="plate_temperature"):
            return
    if bench.has("air"):
        bench.keep("air", bench.ask(PREHEAT, {**base, **bench.some("air")}, "air"), "air")
    figures = [("plate_temperature", bench.texts.get("plate_temperature"))]
    figures += [(f"passes/{number}/temperature", row.get("temperature")) for number, row in enumerate(bench.cells["passes"], 1)]
    for place, metal in figures:
        if metal:
            answer = bench.ask(PREHEAT, {**base, "metal": metal}, place, metal=place)
            bench.keep(place, answer, "preheat", "cold-metal", "interpass")
            bench.keep("interpass", answer, "interpass-limit")
            bench.keep("thickness", answer, "metric-column")


def _count_rods(bench: _Bench) -> None:
    """The rods used beside the rods that the groove takes, where every pass has its count."""
    rows = bench.cells["passes"]
    if not rows or any("rods" not in row for row in rows) or not bench.has("thickness", "bevel_angle", "required", "electrode", "diameter", "plate_length"):
        return
    inputs = {
        "root_opening": bench.texts["required"], "length": bench.texts["plate_length"],
        **bench.some("thickness", "bevel_angle", "electrode", "diameter", "root_face"),
    }
    answer = bench.ask(PASSES, inputs, "passes", root_opening="required", length="plate_length")
    if answer is None:
        return
    used, about = sum(int(row["rods"]) for row in rows), answer["rods"]
    words = f"Rods used: {used}. By the size of the groove about {about.text('us')}, whole 14 in rods with the usual stub; a rough figure."
    share = used / float(about.amount)
    empty = [str(number) for number, row in enumerate(rows, 1) if int(row["rods"]) == 0]
    if empty:
        bench.say("passes", Level.STOP, "rods", f"No rod is written for pass {', '.join(empty)}: without a rod there is no pass.", ENTERED, PASSES)
    elif share < FEWEST_RODS:
        bench.say("passes", Level.STOP, "rods", f"{words} So few cannot fill it: look at the count, the groove and the weld.", COMMON, PASSES)
    elif share > MOST_RODS:
        bench.say("passes", Level.CAUTION, "rods", f"{words} So many do not fit the groove: look at the count and the sizes.", COMMON, PASSES)
    else:
        bench.say("passes", Level.NOTE, "rods", words, about.source, PASSES)


FEWEST_RODS, MOST_RODS = 0.5, 2.0
"""Between which shares of the rods worked out a count is believed. Our own judgement, no source."""


# --- visual inspection -----------------------------------------------------------------

_POINTS = {
    "cracks": "cracks", "craters": "craters", "fusion": "fusion", "undercut": "undercut_depth", "underfill": "underfill",
    "reinforcement": "reinforcement", "porosity": "porosity", "undercut-length": "undercut_depth", "mismatch": "mismatch_after", "root": "root_flaw", "concavity": "concavity",
    "melt-through": "melt_through",
}
"""The points of the visual inspection, by the id of their check, and the field that each is about."""
_VISUAL = "Visual inspection"


def _look_over(bench: _Bench) -> Line:
    """Each point on its own; a blank one is not judged. The verdict by the rule chosen."""
    chosen = bench.texts.get("visual_rule")
    rule = next((each for each in VISUAL_RULES if each.id == chosen), None)
    open_root = bench.texts.get("root") == "open"
    wanted = [field for point, field in _POINTS.items() if point not in ("concavity", "melt-through") or open_root]
    wanted = ["thickness", *wanted, "root"]
    if rule is None:
        return Line("visual", _VISUAL, Level.INCOMPLETE, "not judged: no rule chosen", "", ENTERED, ("visual_rule",))
    if rule.id != "test-plate":
        words = "This is the rule for production welds. A test plate is judged by the test-plate rule unless the WPS or the inspector says otherwise."
        bench.say("visual_rule", Level.CAUTION, "rule", words, rule.crack.source, VISUAL_CHECK)
    answer, used = _ask_points(bench)
    levels: dict[str, Level] = {}
    for check in answer.checks if answer else ():
        place = _POINTS.get(check.id)
        if place in used:
            levels[place] = check.level
            bench.flag(place, check, VISUAL_CHECK)
    blank = [name for name in wanted if name not in used]
    for name in blank:
        if name not in bench.texts and name not in _DECIDING:
            bench.say(name, Level.INCOMPLETE, BLANK, "Not written down.", ENTERED, VISUAL_CHECK)
    return _visual_line(bench, rule, levels, blank)


_AT_ROOT = ("root_flaw", "concavity", "melt_through")


def _ask_points(bench: _Bench) -> tuple[Result | None, set[str]]:
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


def _visual_line(bench: _Bench, rule: Any, levels: dict[str, Level], blank: list[str]) -> Line:
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


# --- coupons -----------------------------------------------------------------------------


def _coupon_sizes(bench: _Bench) -> Result | None:
    """Kinds and number by the rule, each size by the layout and the bend ratio. Returns the layout on the plate, if it can be had."""
    rows = bench.cells["coupons"]
    for number, row in enumerate(rows, 1):
        # A file may hold words that are no kind: the coupon then has no name, and it counts as not bent.
        row.setdefault("kind", "unnamed")
        row.setdefault("bent", "no")
        _one_coupon(bench, row, number)
    if not bench.has("thickness"):
        return None
    _kinds(bench, [row["kind"] for row in rows])
    return _marked_out(bench, rows)


def _one_coupon(bench: _Bench, row: dict[str, str], number: int) -> None:
    place = f"coupons/{number}/thickness"
    if "thickness" in row and bench.has("plunger_diameter"):
        # A yield strength left blank stays blank: a default of the calculator would judge another steel.
        inputs = {"thickness": row["thickness"], "yield_strength": "", **bench.some("plunger_diameter", "yield_strength")}
        bench.keep(place, bench.ask(BEND_RATIO, inputs, place, thickness=place), "severity", "table-range", "yield*")
    elif "thickness" in row:
        words = "Write the plunger diameter above, and this thickness is judged."
        bench.say(place, Level.INCOMPLETE, "severity", words, JIG_FIGURE, BEND_RATIO)
    if {"thickness"} <= row.keys() and bench.has("thickness"):
        own, plate = (parse(text, LENGTH, bench.record.bare) for text in (row["thickness"], bench.texts["thickness"]))
        if own > plate:
            bench.say(place, Level.STOP, "thicker", "Thicker than the plate that it was cut from: one of the two is measured wrong.", ENTERED, COUPON_LAYOUT)
    if "radius" in row:
        judge_radius(bench, f"coupons/{number}/radius", parse(row["radius"], LENGTH, bench.record.bare))
    if row["kind"] != "side":
        at = f"coupons/{number}/width"
        if "width" in row:
            inputs = {"rule": "face-root", "width": row["width"], "number": "1", "plate_length": "60 in"}
            bench.keep(at, bench.ask(COUPON_LAYOUT, inputs, at, width=at), "wide-plunger", "coupon-width")
        else:
            bench.say(at, Level.INCOMPLETE, "coupon-width", "Measure the coupon, and write its width.", JIG_FIGURE, COUPON_LAYOUT)


def judge_radius(bench: _Bench, place: str, seen: Fraction) -> None:
    """The edge radius of a coupon against the largest of the specimen figure."""
    most = layout.EDGE_RADIUS
    limit = Amount(most.amount, LENGTH, as_written=True)
    if seen == 0:
        level, words = Level.CAUTION, ("Sharp edges. Round the long edges, lengthwise, by at most ", limit, ".")
    elif seen > most.amount:
        level, words = Level.STOP, ("Over the maximum edge radius of ", limit, ". Ask before it is bent.")
    else:
        level, words = Level.OK, ("Not over the maximum edge radius of ", limit, ".")
    bench.say(place, level, "edge-radius", words, most.source, COUPON_LAYOUT)


def _kinds(bench: _Bench, kinds: list[str]) -> None:
    """Whether the coupons noted are those of the rule, in kind and number."""
    rule = bench.texts.get("bend_rule")
    if not rule or not kinds:
        return
    if rule not in _LAYOUT_RULES:
        words = "We do not hold which coupons this rule asks for. Ask the inspector whether these are all."
        bench.say("bend_rule", Level.NOT_KNOWN, "kinds", words, COMMON, COUPON_LAYOUT)
        return
    expected = COUPON_LAYOUT.answer({"rule": rule, "plate_length": "60 in", **bench.some("thickness")}, bench.record.bare)
    bench.keep("coupons", expected, "thin-plate")
    value = expected["kinds"]
    wanted = sorted(part.removesuffix(" bend") for part in value.wording.split(", "))
    if sorted(kinds) == wanted:
        bench.say("coupons", Level.OK, "kinds", f"Number and kind are those of the rule: {value.wording}.", value.source, COUPON_LAYOUT)
        return
    if expected.check("side-may") and kinds == ["side", "side"]:
        bench.keep("coupons", expected, "side-may")
        return
    have = ", ".join(f"{kind} bend" for kind in kinds)
    bench.say(
        "coupons", Level.INCOMPLETE, "kinds", f"The rule asks for {value.wording}; noted are {have}. Without them the test is not complete.",
        value.source, COUPON_LAYOUT,
    )


def _marked_out(bench: _Bench, rows: list[dict[str, str]]) -> Result | None:
    if not bench.has("plate_length"):
        return None
    rule = bench.texts.get("bend_rule", "")
    kinds = [row["kind"] for row in rows]
    if kinds:
        rule = "side" if set(kinds) == {"side"} else "face-root"
    elif rule not in _LAYOUT_RULES:
        return None
    names = ("thickness", "plate_length", "plate_width", "discard", "saw_cut", "gap", "coupon_length", "plunger_diameter")
    inputs = {"rule": rule, "number": str(len(kinds)) if kinds else "", **bench.some(*names)}
    widths = {row.get("width" if rule == "face-root" else "thickness") for row in rows}
    if len(widths) == 1 and all(widths):
        inputs["width"] = widths.pop()
    answer = bench.ask(COUPON_LAYOUT, inputs, "plate_length", width="coupons")
    for place, ids in _MARKED.items():
        if place in bench.texts:
            bench.keep(place, answer, *ids)
    if kinds:
        bench.keep("coupons", answer, "plate-length")
    return answer


_MARKED = {
    "plate_length": ("plate-length",), "plate_width": ("plate-width",), "coupon_length": ("span",), "discard": ("discard",),
}
"""The checks of the layout, by the field that each is about."""


# --- the bends ---------------------------------------------------------------------------

_NAMED = re.compile(r"([Cc])oupon (\d+) \((?:face|root|side) bend\)")
_LEVELS = {
    Verdict.PASSES.value: Level.OK, Verdict.FAILS.value: Level.STOP, Verdict.REPLACE.value: Level.INCOMPLETE,
    Verdict.UNFINISHED.value: Level.INCOMPLETE,
}


def _bends(bench: _Bench) -> tuple[Line, ...]:
    """Every coupon noted, and all of them together, by the rule chosen. Coupons not bent yet wait."""
    rule = next((each for each in RULES if each.key == bench.texts.get("bend_rule")), None)
    rows = bench.cells["coupons"]
    if rule is None:
        return (Line("bends", "All coupons", Level.INCOMPLETE, "not judged: no rule chosen", "", ENTERED),)
    if not bench.has("figures"):
        return (Line("bends", "All coupons", Level.INCOMPLETE, "not judged: choose inch or millimeter figures", rule.name, rule.source),)
    bent = [number for number, row in enumerate(rows, 1) if row["bent"] == "yes"]
    answer, waiting = _ask_bends(bench, rule, bent)
    names = {number: f"Coupon {number}, {row['kind']} bend" for number, row in enumerate(rows, 1)}
    lines = []
    for number in range(1, len(rows) + 1):
        if number not in bent:
            if rows[number - 1]["bent"] == "no" and bench.record.rows["coupons"][number - 1][3].strip():
                bench.say(f"coupons/{number}/bent", Level.INCOMPLETE, "bent", "Not bent yet.", rule.source, BEND_JUDGE)
            lines.append(Line(f"coupon-{number}", names[number], Level.INCOMPLETE, "not bent yet", rule.name, rule.source))
        elif answer is None or number in waiting:
            lines.append(Line(f"coupon-{number}", names[number], Level.INCOMPLETE, "not judged: an opening on it has no size or none that can be used", rule.name, rule.source))
        else:
            value = answer[f"coupon_{bent.index(number) + 1}"]
            lines.append(Line(f"coupon-{number}", names[number], _LEVELS[value.wording], value.wording, rule.name, value.source))
    return (*lines, _all_coupons(rule, lines, answer))


def _past_the_end(bench: _Bench) -> None:
    """An opening noted farther along than its coupon is long."""
    if not bench.has("coupon_length"):
        return
    length = parse(bench.texts["coupon_length"], LENGTH, bench.record.bare)
    for position, row in enumerate(bench.cells["findings"], 1):
        if "along" in row and parse(row["along"], LENGTH, bench.record.bare) > length:
            words = ("Farther along than the coupon is long, ", Amount(length, LENGTH, as_written=True), ". Measure again from the left end.")
            bench.say(f"findings/{position}/along", Level.CAUTION, "along", words, ENTERED, BEND_JUDGE)


def _ask_bends(bench: _Bench, rule: Any, bent: list[int]) -> tuple[Result | None, set[int]]:
    """The judging calculator asked for the bent coupons, its sentences put where they belong; and coupons with an opening it cannot use."""
    findings, waiting = bench.cells["findings"], set()
    _past_the_end(bench)
    used: list[tuple[int, dict[str, str]]] = []
    for position, row in enumerate(findings, 1):
        place = f"findings/{position}"
        if "coupon" not in row:
            # An opening whose coupon is not known may be on any of them.
            waiting.update(bent)
            bench.say(f"{place}/coupon", Level.INCOMPLETE, "opening", "Write on which coupon it is; until then no coupon has a verdict.", ENTERED, BEND_JUDGE)
        elif int(row["coupon"]) not in bent:
            words = f"Coupon {int(row['coupon'])} is not noted as bent. Add it under Coupons, with “Bent” set to yes."
            bench.say(f"{place}/coupon", Level.INCOMPLETE, "opening", words, ENTERED, BEND_JUDGE)
        elif not {"size", "place", "flaw"} <= row.keys():
            waiting.add(int(row["coupon"]))
            if not bench.record.rows["findings"][position - 1][1].strip():
                bench.say(f"{place}/size", Level.INCOMPLETE, "opening", "Write its size; until then this coupon has no verdict.", ENTERED, BEND_JUDGE)
        else:
            used.append((position, row))
    if not bent:
        return None, waiting
    if rule.half_wall and not bench.has("thickness"):
        bench.say("bend_rule", Level.INCOMPLETE, "opening", "This rule goes by the wall. Write the plate thickness, and the coupons are judged.", rule.source, BEND_JUDGE)
        return None, waiting
    openings = "\n".join(f"{bent.index(int(row['coupon'])) + 1} | {row['size']} | {row['place']} | {row['flaw']}" for _, row in used)
    inputs = {"rule": rule.key, "coupons": str(len(bent)), "openings": openings, **bench.some("figures")}
    if rule.half_wall or _is_wall(bench):
        inputs["wall"] = bench.texts["thickness"]
    answer = bench.ask(BEND_JUDGE, inputs, "bend_rule", wall="thickness")
    if answer:
        _place_sentences(bench, answer, used, bent)
    return answer, waiting


def _is_wall(bench: _Bench) -> bool:
    """Whether the plate thickness is one that the judging form takes as a wall; only the comparison with other rules needs it."""
    try:
        return bench.has("thickness") and BEND_JUDGE.input("wall").read(bench.texts["thickness"], bench.record.bare) is not None
    except InputError:
        return False


def _place_sentences(bench: _Bench, answer: Result, used: list[tuple[int, dict[str, str]]], bent: list[int]) -> None:
    rows = bench.cells["coupons"]

    def named(match: re.Match[str]) -> str:
        number = bent[int(match[2]) - 1]
        return f"{match[1]}oupon {number} ({rows[number - 1]['kind']} bend)"

    def renumbered(part: Any) -> Any:
        if not isinstance(part, str):
            return part
        part = _NAMED.sub(named, part)
        return re.sub(r"^Opening (\d+)", lambda match: f"Opening {used[int(match[1]) - 1][0]}", part)

    for check in answer.checks:
        subject, _, number = check.id.rpartition("-")
        if check.level is Level.NOTE and subject not in ("opening", "coupon"):
            continue
        if subject in ("opening", "figures"):
            place = f"findings/{used[int(number) - 1][0]}/size"
        elif subject in ("coupon", "total", "corners"):
            place = f"coupons/{bent[int(number) - 1]}/bent"
        elif check.level is Level.OK:
            continue
        else:
            place = "findings"
        bench.flag(place, replace(check, phrase=tuple(renumbered(part) for part in check.phrase)), BEND_JUDGE)


def _all_coupons(rule: Any, lines: list[Line], answer: Result | None) -> Line:
    """The bent test: fails as soon as the rule says so; waits while a coupon is not bent, not judged or missing."""
    label = "All coupons"
    if answer is None:
        return Line("bends", label, Level.INCOMPLETE, "not complete: no coupon has been bent and judged", rule.name, rule.source)
    wording = answer["verdict"].wording.removesuffix(" (study help, not a certification)")
    level = _LEVELS[wording]
    waiting = [line for line in lines if line.level is Level.INCOMPLETE]
    if level is not Level.STOP and waiting:
        names = ", ".join(line.label.split(",")[0].lower() for line in waiting)
        return Line("bends", label, Level.INCOMPLETE, f"not complete: {names} not judged yet", rule.name, rule.source)
    if level is Level.INCOMPLETE:
        return Line("bends", label, level, f"not complete: this rule goes by {rule.coupons} coupons", rule.name, rule.source)
    return Line("bends", label, level, wording, rule.name, rule.source)


# --- the whole ------------------------------------------------------------------------------

def _missing(bench: _Bench) -> tuple[str, ...]:
    """What of a complete sheet is not written down, in words."""
    return tuple(dict.fromkeys(place_in_words(flag.place, bench.record) for flag in bench.flags if flag.id == BLANK))


def _whole(bench: _Bench, looked: Line, bent: tuple[Line, ...]) -> Line:
    """The whole is as bad as the worst that is said of any part of it."""
    parts = (looked, bent[-1])
    rule = " and ".join(dict.fromkeys(part.rule for part in parts if part.rule))
    level = worst([part.level for part in parts] + [flag.level for flag in bench.flags])
    deciding = [part for part in parts if part.level is level]
    flags = [flag for flag in bench.flags if flag.level is level]
    places = tuple(dict.fromkeys([*(flag.place for flag in flags), *(place for part in deciding for place in part.places)]))
    named = [part.label[0].lower() + part.label[1:] for part in deciding]
    own = {place for part in deciding for place in part.places}
    named += dict.fromkeys(_lowered(place_in_words(flag.place, bench.record)) for flag in flags if flag.place not in own)
    source = deciding[0].source if deciding else flags[0].source if flags else bent[-1].source
    told = [_WHOLE[level]] if level is Level.OK else [_WHOLE[level], _some(named)]
    return Line("test", "The test", level, ": ".join(told), rule, source, places)


def _lowered(words: str) -> str:
    return words[0].lower() + words[1:]


MOST_NAMED = 6


def _some(names: list[str]) -> str:
    """The first of many names; the rest are counted."""
    shown = ", ".join(names[:MOST_NAMED])
    return shown if len(names) <= MOST_NAMED else f"{shown} and {len(names) - MOST_NAMED} more"


_WHOLE = {
    Level.OK: "In order: nothing we hold of the rules is broken", Level.NOTE: "Nothing judged yet",
    Level.CAUTION: "No rule that we hold is broken, but look again at",
    Level.NOT_KNOWN: "No verdict: this is not known to us, ask the inspector", Level.INCOMPLETE: "Not complete yet",
    Level.STOP: "Not in order",
}


def place_in_words(place: str, record: Record) -> str:
    """The place of a flag in words.

    >>> from calc.record.shape import blank
    >>> place_in_words("passes/2/temperature", blank("test-day", "demo-0001", "2026-03-02T07:30:00Z"))
    'Pass 2, plate before the pass'
    """
    name, *rest = place.split("/")
    each = record.form.field(name)
    if not rest:
        return each.label
    column = next(column for column in each.columns if column.name == rest[1])
    return f"{each.row_name} {rest[0]}, {column.label.lower()}"


# --- continuity ------------------------------------------------------------------------------


def _judge_log(record: Record, today: datetime.date | None) -> Judgement:
    bench = _Bench(record)
    for each in ("welder", "process"):
        if not bench.has(each):
            bench.say(each, Level.INCOMPLETE, BLANK, "Not written down.", ENTERED)
    uses = []
    for number, row in enumerate(bench.cells["uses"], 1):
        place = f"uses/{number}/used_on"
        if "used_on" in row and "entry" in row:
            if trouble := _no_day_of_use(bench, row["used_on"], today):
                bench.say(place, Level.INCOMPLETE, "date", trouble, ENTERED, CONTINUITY)
            else:
                uses.append(f"{row['used_on']} | {row['entry']}")
        elif row.get("job") and not record.rows["uses"][number - 1][0].strip():
            bench.say(place, Level.INCOMPLETE, "date", "Write the date; until then this use does not count.", ENTERED, CONTINUITY)
    name, label = "continuity", "The qualification"
    if today is None or not bench.has("continuity_rule", "qualified_on"):
        what = "the date of today" if today is None else "the rule and the date the test was passed"
        line = Line(name, label, Level.INCOMPLETE, f"Not judged: write {what}", "", ENTERED)
        return Judgement(record, tuple(bench.flags), (line,), f"{line.wording}.")
    inputs = {"rule": bench.texts["continuity_rule"], "qualified_on": bench.texts["qualified_on"], "today": today.isoformat(), "uses": "\n".join(uses)}
    try:
        answer = _LONG_LOG.answer(inputs)
    except InputError as trouble:
        place = "uses" if trouble.field == "uses" else "qualified_on"
        bench.flags.append(Flag(place, Level.INCOMPLETE, (_clock(trouble),), id=UNREADABLE))
        line = Line(name, label, Level.INCOMPLETE, "Not judged: see the flagged dates", "", ENTERED)
        return Judgement(record, tuple(bench.flags), (line,), f"{line.wording}.")
    bench.keep("uses", answer, "*")
    rule = CONTINUITY.input("rule").label_of(bench.texts["continuity_rule"])
    value, words = answer["status"], phrase_text(answer.headline, "us")
    line = Line(name, label, worst([answer.level, *(flag.level for flag in bench.flags)]), words.removesuffix("."), rule, value.source)
    return Judgement(record, tuple(bench.flags), (line,), words, (), None, _due(answer))


_LONG_LOG = replace(CONTINUITY, inputs=tuple(
    replace(each, most=CONTINUITY_LOG.field("uses").most) if each.name == "uses" else each for each in CONTINUITY.inputs
))
"""The same calculator for a log longer than its form on the page."""


def _no_day_of_use(bench: _Bench, used_on: str, today: datetime.date | None) -> str:
    """Why a use on this day counts for nothing; empty where it may count."""
    if today and used_on > today.isoformat():
        return f"This day has not come: today is {today}. The use does not count. If the date is right, the clock of this device is wrong: set it."
    if used_on < bench.texts.get("qualified_on", ""):
        return "This day lies before the test was passed. The use does not count."
    return ""


def _clock(trouble: InputError) -> str:
    """A date of today before the test is more likely a wrong clock than a wrong date."""
    if trouble.field == "today":
        return f"The clock of this device says {trouble.message}. Set the clock, or mend the date of the test."
    if "is after today" in trouble.message:
        return f"{trouble.message}. If the date is right, the clock of this device is wrong: set it."
    return trouble.message


def _due(answer: Result) -> datetime.date | None:
    """The next date by which something must happen; none where the qualification has lapsed or the rule has no date."""
    for value in answer.values:
        if value.name == "due_date" and re.fullmatch(r"\d{4}-\d{2}-\d{2}", value.wording):
            return datetime.date.fromisoformat(value.wording)
    return None
