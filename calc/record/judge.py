"""The record judged: each figure by the calculator of its stage, at once, and a verdict by coupon and by test.

No limit stands here. A figure that is blank is not judged, and what depends on it is said to be missing, never assumed. A
calculator's defaults are used only where they cannot touch the checks that are kept.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Any

from calc.core.declare import Amount, Calculator, Check, Choice, InputError, Level, Phrase, Result, Rows, phrase_text
from calc.core.sources import ENTERED, Citation
from calc.core.units import LENGTH, parse
from calc.record.fields import CONTINUITY_LOG
from calc.record.shape import Record
from calc.stages import coupons as layout
from calc.stages.bend import BEND_RATIO, JIG_FIGURE
from calc.stages.coupons import COUPON_LAYOUT
from calc.stages.current import (
    CURRENT_SETTING,
    CURRENT_TYPES,
    LARGEST_LOW_HYDROGEN,
    LARGEST_OUT_OF_POSITION,
    POLARITIES,
    RULE as THUMB_RULE,
)
from calc.stages.fitup import BACKING_GAP, FIT_UP, MISMATCH_SHARE
from calc.stages.groove import GROOVE, GROOVE_ANGLE, GROOVE_ANGLE_OVER, ROOT_OPENING
from calc.stages.heat import COLD_PREHEAT, COLDEST_AIR, METRIC_LIMIT, PREHEAT
from calc.stages.judging import BEND_JUDGE, RULES, Verdict
from calc.stages.passes import PASSES
from calc.stages.qualification import ASME, CONTINUITY, D11, ISO, NOMINAL, TEST_PLAN
from calc.stages.rods import HOLDING, ROD_EXPOSURE
from calc.stages.visual import RULES as VISUAL_RULES, VISUAL_CHECK

STUDY_AID = (
    "Study aid, not a certificate. The verdict belongs to the qualified inspector under the code in force."
)


class Mark(Enum):
    """How a figure comes out."""

    FITS = "ok"
    WATCH = "watch"
    STOP = "stop"
    UNUSED = "error"


_MARKS = {Level.OK: Mark.FITS, Level.WATCH: Mark.WATCH, Level.STOP: Mark.STOP}


@dataclass(frozen=True)
class Flag:
    """What a calculator says of one figure. `place` is a field, or list/row/column with rows counted from 1."""

    place: str
    mark: Mark
    phrase: Phrase
    source: Citation | None = None
    by: str = ""


class Standing(Enum):
    """How a coupon, a look or the whole test stands by what is written."""

    WITHIN = "within"
    BROKEN = "broken"
    WAITS = "waits"
    OPEN = "open"


@dataclass(frozen=True)
class Line:
    """One line of the verdict: what it is about, how it stands, in words, and by which rule."""

    name: str
    label: str
    standing: Standing
    wording: str
    rule: str
    source: Citation


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
        order = [Mark.UNUSED, Mark.STOP, Mark.WATCH, Mark.FITS]
        return tuple(sorted((flag for flag in self.flags if flag.place == place), key=lambda flag: order.index(flag.mark)))

    def line(self, name: str) -> Line:
        """The verdict line of that name. Raises `StopIteration` where there is none."""
        return next(line for line in self.lines if line.name == name)


def judge(record: Record, today: datetime.date | None = None) -> Judgement:
    """Judge a record. `today` counts for a continuity log only; without it the log has no verdict.

    >>> from calc.record.shape import blank
    >>> judge(blank("test-day", "demo-0001", "2026-03-02T07:30:00Z")).line("test").standing.name
    'OPEN'
    """
    if record.kind == CONTINUITY_LOG.kind:
        return _judge_log(record, today)
    return _judge_day(record)


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
            self.flags.append(Flag(place, Mark.UNUSED, (trouble.message,)))
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
                text = text.strip() or (column.default if isinstance(column, Choice) else "")
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
            flag = Flag(place, Mark.WATCH, (trouble.message,), ENTERED, calculator.id)
            if flag not in self.flags:
                self.flags.append(flag)
            return None

    def keep(self, place: str, checks: Iterable[Check], calculator: Calculator) -> None:
        for check in checks:
            flag = Flag(place, _MARKS[check.level], check.phrase, check.source, calculator.id)
            if flag not in self.flags:
                self.flags.append(flag)

    def say(self, place: str, mark: Mark, words: str | Phrase, source: Citation, by: Calculator) -> None:
        self.flags.append(Flag(place, mark, (words,) if isinstance(words, str) else words, source, by.id))


def _by(result: Result | None, *sources: Citation) -> list[Check]:
    """The checks that rest on one of these sources."""
    return [check for check in result.checks if check.source in sources] if result else []


def _starting(result: Result | None, *openings: str) -> list[Check]:
    return [check for check in result.checks if phrase_text(check.phrase, "us").startswith(openings)] if result else []


# --- the test day --------------------------------------------------------------------

_PLAN_RULE = {"aws": D11, "asme": ASME, "iso": ISO}
_LAYOUT_RULES = ("aws", "asme", "cfr")


def _judge_day(record: Record) -> Judgement:
    bench = _Bench(record)
    _plate(bench)
    _joint(bench)
    _exposure(bench)
    _machine(bench)
    _heat(bench)
    _count_rods(bench)
    looked = _look_over(bench)
    marked = _coupon_sizes(bench)
    bent = _bends(bench)
    missing = _missing(bench)
    test = _whole(bench, looked, bent, missing)
    lines = (looked, *bent, test)
    return Judgement(record, tuple(bench.flags), lines, f"{test.wording}.{_count_flagged(bench)}", missing, marked)


def _count_flagged(bench: _Bench) -> str:
    """How many figures stand flagged, so that a verdict within the rules never hides a wrong current or a cold plate."""
    places = {flag.place for flag in bench.flags if flag.mark in (Mark.STOP, Mark.UNUSED)}
    if not places:
        return ""
    return f" {len(places)} figures are flagged: look at each." if len(places) > 1 else " 1 figure is flagged: look at it."


def _plate(bench: _Bench) -> None:
    """The kind of coupons that the rule's table gives for this plate, and whether it has a row for it."""
    rule = _PLAN_RULE.get(bench.texts.get("bend_rule", ""))
    if not rule or not bench.has("thickness"):
        return
    # The position changes nothing that is kept here; the thickness of work is not asked on the day.
    plan = bench.ask(TEST_PLAN, {"rule": rule, **bench.some("thickness", "position")}, "thickness")
    if plan:
        value = plan["coupons"]
        bench.say("thickness", Mark.FITS, f"The table of the rule gives for this plate: {value.wording}.", value.source, TEST_PLAN)
        bench.keep("thickness", _by(plan, NOMINAL.source), TEST_PLAN)


def _joint(bench: _Bench) -> None:
    """Angle and opening by the groove, each reading by the tolerance chosen, step and backing gap on their own."""
    if bench.has("thickness", "bevel_angle"):
        inputs = bench.some("thickness", "bevel_angle")
        # The width across both plates touches no check kept here; its largest figure never gets in the way.
        groove = bench.ask(GROOVE, {**inputs, "root_face": "0 in", "finished_width": "48 in"}, "bevel_angle")
        angle = _by(groove, GROOVE_ANGLE.source, GROOVE_ANGLE_OVER.source)
        bench.keep("bevel_angle", [check for check in angle if not _about_opening(check)], GROOVE)
    if bench.has("required"):
        groove = bench.ask(GROOVE, {"root_opening": bench.texts["required"], "finished_width": "48 in"}, "required", root_opening="required")
        bench.keep("required", [check for check in _by(groove, ROOT_OPENING.source) if _about_opening(check)], GROOVE)
    _readings(bench)
    quiet = {"openings": "0 in | 1/4 in", "required": "1/4 in"}
    if bench.has("mismatch", "thickness"):
        fit = bench.ask(FIT_UP, {**quiet, **bench.some("mismatch", "thickness")}, "mismatch")
        bench.keep("mismatch", [check for check in _by(fit, MISMATCH_SHARE.source) if "mismatch" in phrase_text(check.phrase, "us")], FIT_UP)
    if bench.has("backing_gap"):
        fit = bench.ask(FIT_UP, {**quiet, **bench.some("backing_gap")}, "backing_gap")
        bench.keep("backing_gap", _by(fit, BACKING_GAP.source) or _starting(fit, "The backing lies tight"), FIT_UP)


def _about_opening(check: Check) -> bool:
    return phrase_text(check.phrase, "us").startswith("An opening")


def _readings(bench: _Bench) -> None:
    if not bench.has("required", "fit_up_rule"):
        return
    rule = {"required": bench.texts["required"], "rule": bench.texts["fit_up_rule"], **bench.some("over", "under", "thickness")}
    whole = []
    for number, row in enumerate(bench.cells["readings"], 1):
        if "opening" not in row:
            continue
        place = f"readings/{number}/opening"
        fit = bench.ask(FIT_UP, {**rule, "openings": f"{row.get('place', '0 in')} | {row['opening']}"}, place, required="required", openings=place)
        bench.keep(place, _starting(fit, "At "), FIT_UP)
        if "place" in row:
            whole.append(f"{row['place']} | {row['opening']}")
    if len(whole) > 1:
        fit = bench.ask(FIT_UP, {**rule, "openings": "\n".join(whole)}, "readings", openings="readings")
        bench.keep("readings", _starting(fit, "The opening ", "A reading between"), FIT_UP)


def _machine(bench: _Bench) -> None:
    """Polarity; the current seen, on the machine and in each pass; and a rod too large for the position."""
    if bench.has("electrode", "polarity"):
        electrode, polarity = bench.texts["electrode"], bench.texts["polarity"]
        fact = CURRENT_TYPES[electrode]
        if polarity in POLARITIES[electrode]:
            bench.say("polarity", Mark.FITS, f"{electrode} runs on {fact.wording}.", fact.source, CURRENT_SETTING)
        else:
            bench.say("polarity", Mark.WATCH, f"{electrode} is made for {fact.wording}. Look at the plugs, the box and your procedure.", fact.source, CURRENT_SETTING)
    if not bench.has("electrode", "diameter"):
        return
    rod = bench.some("electrode", "diameter")
    figures = [("amps", bench.texts.get("amps"))]
    figures += [(f"passes/{number}/amps", row.get("amps")) for number, row in enumerate(bench.cells["passes"], 1)]
    for place, amps in figures:
        if amps:
            # Without a position the flat one is asked, which has no check of its own.
            current = bench.ask(CURRENT_SETTING, {**rod, "position": bench.texts.get("position", "1G"), "amps": amps}, "diameter")
            wide = (THUMB_RULE.source, LARGEST_OUT_OF_POSITION.source, LARGEST_LOW_HYDROGEN.source)
            bench.keep(place, [check for check in current.checks if check.source not in wide] if current else (), CURRENT_SETTING)
    if bench.has("position"):
        current = bench.ask(CURRENT_SETTING, {**rod, **bench.some("position")}, "diameter")
        bench.keep("diameter", _by(current, LARGEST_OUT_OF_POSITION.source, LARGEST_LOW_HYDROGEN.source), CURRENT_SETTING)


def _exposure(bench: _Bench) -> None:
    """How long low-hydrogen rods had been out of the oven when the last one was lit."""
    if bench.texts.get("electrode") != "E7018" or not bench.has("rods_out", "rods_last"):
        return
    inputs = {"rod": bench.texts.get("rod_suffix", "E7018"), "out_at": bench.texts["rods_out"], "now": bench.texts["rods_last"]}
    inputs |= {"own_limit": bench.texts["rods_limit"]} if bench.has("rods_limit") else {}
    answer = bench.ask(ROD_EXPOSURE, inputs, "rods_last", out_at="rods_out", own_limit="rods_limit")
    # The oven, wet rods and an earlier rebake are not on this sheet: what rests on them is left out.
    bench.keep("rods_last", [check for check in answer.checks if check.source != HOLDING.source] if answer else (), ROD_EXPOSURE)


def _heat(bench: _Bench) -> None:
    """Air, plate before welding, and plate before each pass."""
    if not bench.has("thickness", "electrode"):
        return
    base = {
        "electrode": "low-hydrogen" if bench.texts["electrode"].upper().startswith("E7018") else "other",
        **bench.some("thickness", "interpass"),
    }
    plate = bench.texts.get("plate_temperature")
    if bench.has("air"):
        answer = bench.ask(PREHEAT, {**base, **bench.some("air")}, "air")
        bench.keep("air", _by(answer, COLDEST_AIR.source), PREHEAT)
    figures = [("plate_temperature", plate)]
    figures += [(f"passes/{number}/temperature", row.get("temperature")) for number, row in enumerate(bench.cells["passes"], 1)]
    for place, metal in figures:
        if metal:
            answer = bench.ask(PREHEAT, {**base, "metal": metal}, place, metal=place)
            kept = [
                check for check in (answer.checks if answer else ())
                if check.source not in (COLDEST_AIR.source, METRIC_LIMIT.source) and (check.level is not Level.WATCH or check.source == COLD_PREHEAT.source)
            ]
            bench.keep(place, kept, PREHEAT)
            bench.keep("thickness", _by(answer, METRIC_LIMIT.source), PREHEAT)


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
    if answer:
        used, about = sum(int(row["rods"]) for row in rows), answer["rods"]
        words = f"Rods used: {used}. By the size of the groove about {about.text('us')}, whole 14 in rods with the usual stub; a rough figure."
        bench.say("passes", Mark.FITS, words, about.source, PASSES)


# --- looking it over -------------------------------------------------------------------

_POINTS = {
    "cracks": "cracks", "craters": "craters", "fusion": "fusion", "undercut": "undercut_depth", "underfill": "underfill",
    "reinforcement": "reinforcement", "porosity": "porosity", "mismatch": "mismatch_after", "root": "root_flaw", "concavity": "concavity",
    "melt_through": "melt_through",
}
"""The points of the visual check, by the name of their verdict, and the field that each is about."""


def _look_over(bench: _Bench) -> Line:
    """Each point on its own; a blank one is not judged. The verdict by the rule chosen."""
    chosen = bench.texts.get("visual_rule")
    rule = next((each for each in VISUAL_RULES if each.id == chosen), None)
    open_root = bench.texts.get("root") == "open"
    wanted = [field for point, field in _POINTS.items() if point not in ("concavity", "melt_through") or open_root]
    wanted = ["thickness", *wanted, "root"]
    if rule is None:
        return Line("visual", "Looking it over", Standing.OPEN, "not judged: no rule chosen", "", ENTERED)
    answer, used = _ask_points(bench)
    levels: dict[str, Level] = {}
    if answer:
        verdicts = [value.name.removesuffix("_verdict") for value in answer.values if value.name.endswith("_verdict")]
        for point, check in zip(verdicts, answer.checks, strict=True):
            place = _POINTS[point]
            if place in used:
                levels[place] = check.level
                bench.keep(place, [check], VISUAL_CHECK)
    return _visual_line(bench, rule, levels, [name for name in wanted if name not in used])


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
            bench.flags.append(Flag(place, Mark.WATCH, (trouble.message,), ENTERED, VISUAL_CHECK.id))
            dropped = "undercut_depth" if place == "undercut_length" else place
            del used[dropped]
    return None, set()


def _visual_line(bench: _Bench, rule: Any, levels: dict[str, Level], blank: list[str]) -> Line:
    label = {each.name: each.label.lower() for each in bench.record.form.fields}
    broken = [label[name] for name, level in levels.items() if level is Level.STOP]
    asks = [label[name] for name, level in levels.items() if level is Level.WATCH]
    source = rule.crack.source
    if broken:
        return Line("visual", "Looking it over", Standing.BROKEN, f"breaks the rule at: {', '.join(broken)}", rule.name, source)
    if blank:
        return Line("visual", "Looking it over", Standing.OPEN, f"not complete; blank or not used: {', '.join(label[name] for name in blank)}", rule.name, source)
    if asks:
        return Line("visual", "Looking it over", Standing.WAITS, f"nothing we hold of the rule is broken; ask the inspector about: {', '.join(asks)}", rule.name, source)
    return Line("visual", "Looking it over", Standing.WITHIN, "nothing we hold of the rule is broken", rule.name, source)


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
        inputs = {"thickness": row["thickness"], "yield_strength": "", **bench.some("plunger_diameter", "yield_strength")}
        answer = bench.ask(BEND_RATIO, inputs, place, thickness=place)
        bench.keep(place, answer.checks if answer else (), BEND_RATIO)
    elif "thickness" in row:
        bench.say(place, Mark.WATCH, "Write the plunger diameter above, and this thickness is judged.", JIG_FIGURE, BEND_RATIO)
    radius = row.get("radius")
    if radius:
        seen, most = parse(radius, LENGTH, bench.record.bare), layout.EDGE_RADIUS
        if seen == 0:
            mark, words = Mark.WATCH, ("Sharp edges. Round the long edges, lengthwise, by at most ", Amount(most.amount, LENGTH, as_written=True), ".")
        elif seen > most.amount:
            mark, words = Mark.WATCH, ("Over the largest edge radius of ", Amount(most.amount, LENGTH, as_written=True), ". Ask before it is bent.")
        else:
            mark, words = Mark.FITS, ("Not over the largest edge radius of ", Amount(most.amount, LENGTH, as_written=True), ".")
        bench.say(f"coupons/{number}/radius", mark, words, most.source, COUPON_LAYOUT)
    across = row.get("width")
    if across and row["kind"] != "side":
        at = f"coupons/{number}/width"
        answer = bench.ask(COUPON_LAYOUT, {"rule": "face-root", "width": across, "number": "1", "plate_length": "60 in"}, at, width=at)
        bench.keep(at, _by(answer, layout.WIDE_RULE), COUPON_LAYOUT)


def _kinds(bench: _Bench, kinds: list[str]) -> None:
    """Whether the coupons noted are those of the rule."""
    rule = bench.texts.get("bend_rule")
    if rule not in _LAYOUT_RULES or not kinds:
        return
    expected = COUPON_LAYOUT.answer({"rule": rule, "plate_length": "60 in", **bench.some("thickness")}, bench.record.bare)
    value = expected["kinds"]
    wanted = sorted(part.removesuffix(" bend") for part in value.wording.split(", "))
    if sorted(kinds) == wanted:
        bench.say("coupons", Mark.FITS, f"Number and kind are those of the rule: {value.wording}.", value.source, COUPON_LAYOUT)
        return
    may = _starting(expected, "From this thickness two side coupons")
    if may and kinds == ["side", "side"]:
        bench.keep("coupons", may, COUPON_LAYOUT)
        return
    have = ", ".join(f"{kind} bend" for kind in kinds)
    bench.say("coupons", Mark.WATCH, f"The rule asks for {value.wording}; noted are {have}. Your drawing decides.", value.source, COUPON_LAYOUT)


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
    stops = [check for check in answer.checks if check.level is Level.STOP] if answer else []
    for check in stops:
        words = phrase_text(check.phrase, "us")
        across = "coupon_length" if words.startswith("A coupon ") else "plate_width" if " across" in words else "plate_length"
        if across in bench.texts:
            bench.keep(across, [check], COUPON_LAYOUT)
    if bench.has("discard"):
        bench.keep("discard", _starting(answer, "A discard of"), COUPON_LAYOUT)
    return answer


# --- the bends ---------------------------------------------------------------------------

_NAMED = re.compile(r"([Cc])oupon (\d+) \((?:face|root|side) bend\)")
_STANDINGS = {
    Verdict.PASSES.value: Standing.WITHIN, Verdict.FAILS.value: Standing.BROKEN, Verdict.REPLACE.value: Standing.WAITS,
    Verdict.UNFINISHED.value: Standing.OPEN,
}


def _bends(bench: _Bench) -> tuple[Line, ...]:
    """Every coupon noted, and all of them together, by the rule chosen. Coupons not bent yet wait."""
    rule = next((each for each in RULES if each.key == bench.texts.get("bend_rule")), None)
    rows = bench.cells["coupons"]
    if rule is None:
        return (Line("bends", "All coupons", Standing.OPEN, "not judged: no rule chosen", "", ENTERED),)
    if not bench.has("figures"):
        return (Line("bends", "All coupons", Standing.OPEN, "not judged: choose inch or millimeter figures", rule.name, rule.source),)
    bent = [number for number, row in enumerate(rows, 1) if row["bent"] == "yes"]
    answer, waiting = _ask_bends(bench, rule, bent)
    names = {number: f"Coupon {number}, {row['kind']} bend" for number, row in enumerate(rows, 1)}
    lines = []
    for number in range(1, len(rows) + 1):
        if number not in bent:
            lines.append(Line(f"coupon-{number}", names[number], Standing.OPEN, "not bent yet", rule.name, rule.source))
        elif answer is None or number in waiting:
            lines.append(Line(f"coupon-{number}", names[number], Standing.OPEN, "not judged: an opening on it has no size or none that can be used", rule.name, rule.source))
        else:
            value = answer[f"coupon_{bent.index(number) + 1}"]
            lines.append(Line(f"coupon-{number}", names[number], _STANDINGS[value.wording], value.wording, rule.name, value.source))
    return (*lines, _all_coupons(rule, lines, answer))


def _ask_bends(bench: _Bench, rule: Any, bent: list[int]) -> tuple[Result | None, set[int]]:
    """The judging calculator asked for the bent coupons, its sentences put where they belong; and coupons with an opening it cannot use."""
    findings, waiting = bench.cells["findings"], set()
    used: list[tuple[int, dict[str, str]]] = []
    for position, row in enumerate(findings, 1):
        place = f"findings/{position}"
        if "coupon" not in row:
            # An opening whose coupon is not known may be on any of them.
            waiting.update(bent)
            bench.say(f"{place}/coupon", Mark.WATCH, "Write on which coupon it is; until then no coupon has a verdict.", ENTERED, BEND_JUDGE)
        elif int(row["coupon"]) not in bent:
            words = f"Coupon {int(row['coupon'])} is not noted as bent. Add it under Coupons, with “Bent” set to yes."
            bench.say(f"{place}/coupon", Mark.WATCH, words, ENTERED, BEND_JUDGE)
        elif not {"size", "place", "flaw"} <= row.keys():
            waiting.add(int(row["coupon"]))
            if not bench.record.rows["findings"][position - 1][1].strip():
                bench.say(f"{place}/size", Mark.WATCH, "Write its size; until then this coupon has no verdict.", ENTERED, BEND_JUDGE)
        else:
            used.append((position, row))
    if not bent:
        return None, waiting
    if rule.half_wall and not bench.has("thickness"):
        bench.say("bend_rule", Mark.WATCH, "This rule goes by the wall. Write the plate thickness, and the coupons are judged.", rule.source, BEND_JUDGE)
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
        words = phrase_text(check.phrase, "us")
        found = re.match(r"Opening (\d+)", words)
        about = _NAMED.search(words)
        if found:
            place = f"findings/{used[int(found[1]) - 1][0]}/size"
        elif about:
            place = f"coupons/{bent[int(about[2]) - 1]}/bent"
        else:
            place = "findings"
        if not found and not about and check.level is Level.OK:
            continue
        bench.keep(place, [replace(check, phrase=tuple(renumbered(part) for part in check.phrase))], BEND_JUDGE)


def _all_coupons(rule: Any, lines: list[Line], answer: Result | None) -> Line:
    """The bent test: fails as soon as the rule says so; waits while a coupon is not bent, not judged or missing."""
    label = "All coupons"
    if answer is None:
        return Line("bends", label, Standing.OPEN, "not complete: no coupon has been bent and judged", rule.name, rule.source)
    wording = answer["verdict"].wording.removesuffix(" (study help, not a certification)")
    standing = _STANDINGS[wording]
    waiting = [line for line in lines if line.standing is Standing.OPEN]
    if standing is not Standing.BROKEN and waiting:
        names = ", ".join(line.label.split(",")[0].lower() for line in waiting)
        return Line("bends", label, Standing.OPEN, f"not complete: {names} not judged yet", rule.name, rule.source)
    if standing is Standing.OPEN:
        return Line("bends", label, standing, f"not complete: this rule goes by {rule.coupons} coupons", rule.name, rule.source)
    return Line("bends", label, standing, wording, rule.name, rule.source)


# --- the whole ------------------------------------------------------------------------------

_WANTED = ("date", "welder", "procedure", "heat_number", "plate_mark", "thickness", "position", "electrode", "diameter", "lot", "amps")


def _missing(bench: _Bench) -> tuple[str, ...]:
    """Labels of what a complete sheet of the day has and this one has not."""
    label = {each.name: each.label for each in bench.record.form.fields}
    blank = [label[name] for name in _WANTED if name not in bench.texts]
    blank += [label[name] for name in ("passes", "coupons") if not bench.cells[name]]
    return tuple(blank)


def _whole(bench: _Bench, looked: Line, bent: tuple[Line, ...], missing: tuple[str, ...]) -> Line:
    coupons = bent[-1]
    parts = (looked, coupons)
    rule = " and ".join(dict.fromkeys(part.rule for part in parts if part.rule))
    broken = [part for part in parts if part.standing is Standing.BROKEN]
    unfinished = [part for part in parts if part.standing is Standing.OPEN]
    waiting = [part for part in parts if part.standing is Standing.WAITS]
    source = (broken or unfinished or waiting or [coupons])[0].source
    name, label = "test", "The test, by what is written here"
    if broken:
        where = " and ".join(part.label[0].lower() + part.label[1:] for part in broken)
        return Line(name, label, Standing.BROKEN, f"By what is written here, the rule is broken ({where})", rule, source)
    if unfinished:
        where = " and ".join(part.label[0].lower() + part.label[1:] for part in unfinished)
        return Line(name, label, Standing.OPEN, f"Not complete yet: {where}", rule, source)
    if waiting:
        return Line(name, label, Standing.WAITS, "No verdict yet: ask the inspector, or bend a replacement", rule, source)
    blank = f"; still blank: {', '.join(missing)}" if missing else ""
    return Line(name, label, Standing.WITHIN, f"By what is written here, nothing we hold of the rules is broken{blank}", rule, source)


# --- continuity ------------------------------------------------------------------------------


def _judge_log(record: Record, today: datetime.date | None) -> Judgement:
    bench = _Bench(record)
    uses = []
    for number, row in enumerate(bench.cells["uses"], 1):
        if "used_on" in row and "entry" in row:
            uses.append(f"{row['used_on']} | {row['entry']}")
        elif row.get("job") and not record.rows["uses"][number - 1][0].strip():
            bench.say(f"uses/{number}/used_on", Mark.WATCH, "Write the date; until then this use does not count.", ENTERED, CONTINUITY)
    name, label = "continuity", "The qualification"
    if today is None or not bench.has("continuity_rule", "qualified_on"):
        what = "the date of today" if today is None else "the rule and the date the test was passed"
        line = Line(name, label, Standing.OPEN, f"Not judged: write {what}", "", ENTERED)
        return Judgement(record, tuple(bench.flags), (line,), f"{line.wording}.")
    inputs = {"rule": bench.texts["continuity_rule"], "qualified_on": bench.texts["qualified_on"], "today": today.isoformat(), "uses": "\n".join(uses)}
    try:
        answer = _LONG_LOG.answer(inputs)
    except InputError as trouble:
        bench.flags.append(Flag("uses" if trouble.field == "uses" else "qualified_on", Mark.UNUSED, (_clock(trouble),)))
        line = Line(name, label, Standing.OPEN, "Not judged: see the flagged dates", "", ENTERED)
        return Judgement(record, tuple(bench.flags), (line,), f"{line.wording}.")
    bench.keep("uses", answer.checks, CONTINUITY)
    rule = CONTINUITY.input("rule").label_of(bench.texts["continuity_rule"])
    value, words = answer["status"], phrase_text(answer.headline, "us")
    standing = Standing.BROKEN if value.wording == "lapsed" else Standing.WITHIN
    line = Line(name, label, standing, words.removesuffix("."), rule, value.source)
    return Judgement(record, tuple(bench.flags), (line,), words, (), None, _due(answer))


_LONG_LOG = replace(CONTINUITY, inputs=tuple(
    replace(each, most=CONTINUITY_LOG.field("uses").most) if each.name == "uses" else each for each in CONTINUITY.inputs
))
"""The same calculator for a log longer than its form on the page."""


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
