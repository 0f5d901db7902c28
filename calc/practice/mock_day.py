"""A mock test day, drawn from a seed: a WPS, a plate, a machine, readings, temperatures, bent specimens, and one
decision after another in the order of the day.

No limit stands here, and no answer. What is drawn goes to the calculator of its stage; its verdict, figure, reason and
source are the key. Whether the right answer shall be to go on is drawn first, evenly, and numbers are drawn until the
calculator says so. Each decision has its own stream of chance, so that one does not move the others.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache, cached_property
from typing import Any

from calc.catalogue import calculator
from calc.core.declare import (
    CELLS_APART,
    ROWS_APART,
    Amount,
    Check,
    Choice,
    InputError,
    Level,
    Phrase,
    Quantity,
    Result,
    Step,
    Value,
    phrase_text,
)
from calc.core.forms import lowered
from calc.core.sources import ENTERED, Citation
from calc.core.units import CURRENT, LENGTH, TEMPERATURE, TIME, VOLTAGE, Kind, parse, show_as_written
from calc.plate_test.fields import FIELDS
from calc.plate_test.work import Sheet, Waits, asked_for, link, read_facts, said_of
from calc.practice.chance import Chance
from calc.practice.mock_day_wps import NONE_OF_THEM, WPS_LINES, draw_wps, line_asked_about, line_of, spoiled
from calc.practice.solution import steps_to
from calc.record.bench import Judgement
from calc.record.demo import PLATE
from calc.record.judge import judge
from calc.record.shape import Record, blank
from calc.show.drawing import Drawing, Note, Path, Polygon, box, words

TRIES = 200
EXTRAS = 2
"""How many of the decisions that are not asked every day."""
SEED = re.compile(r"[A-Za-z0-9._-]{1,40}")
SEED_WORDS = "seed: write 1 to 40 letters, digits, dots, hyphens or underscores"
_MOMENT = "2026-01-01T00:00:00Z"
Told = tuple[tuple[str, Phrase], ...]
Texts = Mapping[str, str]


class CannotDraw(Exception):
    """A stage that this test gives no decision for; the message says why."""


@dataclass(frozen=True)
class Decision:
    """One decision: what is told, what is asked, and the key with its reason and source.

    Where a figure is asked for, `value` is the calculator's and the answer may be off by `within`; otherwise `right` is
    the place of the right option. `go` says whether the right answer is to go on; None where none is a stop.
    """

    id: str
    stage: str
    page: str
    where: str
    objective: str
    told: Told
    ask: str
    reasons: tuple[Phrase, ...]
    sources: tuple[Citation, ...]
    result: Result | None = None
    options: tuple[Phrase, ...] = ()
    right: int = -1
    go: bool | None = None
    value: Value | None = None
    within: str = ""
    drawing: Drawing | None = None

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """The worked steps of the figure asked for."""
        return steps_to(self.result, self.value) if self.value and self.result else ()

    def right_text(self, system: str) -> str:
        """The right answer in words."""
        if self.value is not None:
            return f"{self.value.label}: {self.value.text(system)}"
        return phrase_text(self.options[self.right], system)


@dataclass(frozen=True)
class Day:
    """A mock test day. `wps` is the sheet as it is handed out first, `issue_2` the one that is welded to; `left_out`
    says which stage the reader's own test gives no decision for, and why.
    """

    seed: str
    test: Record
    wps: Told
    issue_2: Told
    decisions: tuple[Decision, ...]
    drawn_facts: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    own: bool = False


# --- the test of the day -----------------------------------------------------------------------------


@dataclass
class Bench:
    """What the decisions are drawn from: the seed and the facts of the test, with the chance of one decision."""

    seed: str
    record: Record
    texts: Texts
    sheet: Sheet
    chance: Chance = field(default_factory=lambda: Chance(""))

    def answer(self, identifier: str, **drawn: str) -> Result:
        """A calculator with the facts of the test, and over them what was drawn."""
        return calculator(identifier).answer({**self.sheet.fill(calculator(identifier)), **drawn})

    def pick(self, *choices: Any) -> Any:
        """One of the choices."""
        return self.chance.choose(choices)

    def by_coin(self, draw: Callable[[bool], Result], go: Callable[[Result], bool | None]) -> Result:
        """Draw until the calculator gives the verdict that a coin asks for. `draw` is told which, as a hint where to
        look; `go` is None for an answer that is no clear verdict. Raises `CannotDraw`.
        """
        wanted = self.chance.below(2) == 0
        for turn in range(TRIES):
            result = draw(wanted if turn < TRIES // 2 else not wanted)
            if go(result) is (wanted if turn < TRIES // 2 else not wanted):
                return result
        raise CannotDraw("no verdict can be drawn with these limits")

    def fact(self, name: str, kind: Kind) -> Fraction | None:
        """A fact of the test in base units; None where it is not said."""
        return parse(self.texts[name], kind) if self.texts[name] else None

    def needed(self, name: str, kind: Kind) -> Fraction:
        """The same of a fact without which there is nothing to decide. Raises `CannotDraw`."""
        found = self.fact(name, kind)
        if found is None:
            raise CannotDraw(f"your test does not say: {lowered(FIELDS[name].input.label)}")
        return found


def written(amount: Fraction, kind: Kind) -> str:
    """An amount as a text that a calculator reads.

    >>> written(parse("9/32 in", LENGTH), LENGTH)
    '9/32 in'
    """
    return show_as_written(amount, kind, "us").replace("\u00a0", " ").replace("\u202f", "")


def inches(text: str | int | Fraction) -> Fraction:
    """So many inches, in meters."""
    return Fraction(text) * Fraction(254, 10000)


def told_of(result: Result, *names: str) -> Told:
    """Inputs of an answer as the reader is told them, each with its label."""
    return tuple((result.calculator.input(name).label, input_phrase(result, name)) for name in names)


def input_phrase(result: Result, name: str) -> Phrase:
    """An input of an answer, in either system."""
    each = result.calculator.input(name)
    value = each.read(result.inputs[name], "us")
    if isinstance(each, Quantity):
        return (Amount(value, each.kind, as_written=True),) if value is not None else ("not stated",)
    return (each.label_of(value) if isinstance(each, Choice) else str(result.inputs[name]),)


def fact_phrase(name: str, texts: Texts) -> Phrase:
    """A fact of the test, in either system."""
    each = FIELDS[name].input
    if not texts[name]:
        return ("not stated",)
    if isinstance(each, Quantity):
        return (Amount(each.read(texts[name], "us"), each.kind, as_written=True),)
    return (each.label_of(texts[name]) if isinstance(each, Choice) else texts[name],)


def amount_phrase(text: str, kind: Kind) -> Phrase:
    """A written amount, in either system."""
    return (Amount(parse(text, kind), kind, as_written=True),)


def wps_table(texts: Texts) -> Told:
    """The WPS as a sheet: each line with its label."""
    found: list[tuple[str, Phrase]] = []
    for label, names in WPS_LINES.values():
        given = [name for name in names if texts[name] and asked_for(name, texts)]
        parts: list[str | Amount] = []
        for name in given:
            parts += [" to "] if parts and name.endswith("_high") else ["; "] if parts else []
            parts += ["tolerance over "] if name == "opening_over" else []
            parts += ["under "] if name == "opening_under" else []
            parts += fact_phrase(name, texts)
        if parts:
            found.append((label, tuple(parts)))
    return tuple(found)


def _stopped(result: Result, *ids: str) -> list[Check]:
    """The checks of these names that are a stop, or all; a name may be the start of an id."""
    return [each for each in result.checks if each.level is Level.STOP and (not ids or each.id.startswith(ids))]


def _go(result: Result, *ids: str) -> bool:
    return not _stopped(result, *ids)


def _because(checks: Iterable[Check]) -> dict[str, Any]:
    """Reasons and sources as a decision takes them, each once."""
    checks = list(checks)
    return {"reasons": tuple(dict.fromkeys(each.phrase for each in checks)),
        "sources": tuple(dict.fromkeys(each.source for each in checks))}


def _of(result: Result, *ids: str) -> list[Check]:
    """The checks of these names that decide: those against, else those in order."""
    found = [each for each in result.checks if (not ids or each.id.startswith(ids)) and each.level is not Level.NOTE]
    against = [each for each in found if each.level is not Level.OK]
    return against or found


def _options(*texts: str) -> tuple[Phrase, ...]:
    return tuple((text,) for text in texts)


def _decide(result: Result, id: str, **more: Any) -> Decision:
    calc = result.calculator
    return Decision(id, calc.title, calc.page, link(calc), result=result, **more)


# --- the decisions, in the order of the day ------------------------------------------------------------


def _ask_wps(bench: Bench, handed: Texts) -> Decision:
    """The WPS as handed out: is there a line to ask about?"""
    result = calculator("wps-check").answer(Sheet(handed, "us", bench.sheet.said).fill(calculator("wps-check")))
    line = line_asked_about(result)
    if line is None:
        raise CannotDraw("more than one line of your WPS is to be asked about; its own page names them")
    there = [name for name, (_, names) in WPS_LINES.items()
        if any(handed[each] and asked_for(each, handed) for each in names)]
    others = bench.chance.shuffled([name for name in there if name != line])[: 4 if line == NONE_OF_THEM else 3]
    asked = sorted([*others, *([line] if line != NONE_OF_THEM else [])], key=list(WPS_LINES).index)
    labels = [WPS_LINES[name][0] for name in asked]
    bad = [each for each in result.checks if each.level.severity]
    looked_at = bad or [each for each in result.checks if each.level is Level.OK and line_of(each.id) in asked]
    because = _because(looked_at or [each for each in result.checks if each.level is Level.OK])
    because |= {} if bad else {"reasons": (result.headline,)}
    return _decide(
        result, "wps", objective="start-procedure", told=(),
        ask="Read the WPS, issue 1, as it was handed to you. Which line do you ask about before you strike an arc?",
        options=_options(*labels, "No line of it: go on"),
        right=asked.index(line) if line in asked else len(asked), go=line == NONE_OF_THEM, **because,
    )


def _ask_scope(bench: Bench) -> Decision:
    decides = "thickness", "position"

    def draw(_: bool) -> Result:
        return bench.answer("test-plan", work_thickness=bench.pick("1/4 in", "3/8 in", "1/2 in", "5/8 in", "3/4 in", "7/8 in",
            "1 in", "1-1/4 in", "1-1/2 in", "2 in"), work_position=bench.pick("F", "H", "V", "OH"))

    def go(result: Result) -> bool | None:
        bad = [each for each in result.checks if each.level.severity]
        return None if len(bad) > 1 or len(bad) > len(_stopped(result, *decides)) else not bad

    result = bench.by_coin(draw, go)
    bad = [name for name in decides if _stopped(result, name)]
    return _decide(
        result, "scope", objective="start-plan", told=told_of(result, "work_thickness", "work_position"),
        ask="You are to weld this groove weld after the test. Does this test plate, once it passes, cover the work?",
        options=_options("It covers the work", "It does not: the thickness", "It does not: the position"),
        right=1 + decides.index(bad[0]) if bad else 0, go=not bad, **_because(_of(result, *decides)),
    )


_FIT_UP = {"reading": "Stop: the root opening", "mismatch": "Stop: the misalignment",
    "backing-gap": "Stop: the gap at the backing"}


def _ask_fit_up(bench: Bench) -> Decision:
    step = inches("1/32")
    length = bench.needed("plate_length", LENGTH)

    def draw(go: bool) -> Result:
        limits = bench.answer("fit-up", openings="")
        low, high = (limits[name].amount for name in ("lowest_allowed", "highest_allowed"))
        readings = [low + step * bench.chance.below(int((high - low) / step) + 1) for _ in range(3)]
        mismatch, gap = (step / 2 * bench.chance.below(3) for _ in range(2))
        fault = "" if go else bench.pick("reading", "reading", *_FIT_UP)
        if fault == "reading":
            off = step * (1 + bench.chance.below(3))
            readings[bench.chance.below(3)] = bench.pick(high + off, max(low - off, Fraction(0)))
        mismatch = inches(bench.pick("3/32", "1/8", "5/32")) if fault == "mismatch" else mismatch
        gap = inches(bench.pick("3/32", "1/8")) if fault == "backing-gap" else gap
        rows = ROWS_APART.join(f"{written(place, LENGTH)} {CELLS_APART} {written(each, LENGTH)}"
            for place, each in zip((Fraction(0), length / 2, length), readings))
        return bench.answer("fit-up", openings=rows, mismatch=written(mismatch, LENGTH), backing_gap=written(gap, LENGTH))

    def go(result: Result) -> bool | None:
        stopped = {each.id.rstrip("-0123456789") for each in _stopped(result)}
        return None if len(stopped) > 1 or not stopped <= set(_FIT_UP) else not stopped

    result = bench.by_coin(draw, go)
    stopped = [name for name in _FIT_UP if _stopped(result, name)]
    places = calculator("fit-up").input("openings").read(result.inputs["openings"], "us")
    told = tuple((f"Root opening at {where}", (Amount(gap, LENGTH, as_written=True),))
        for where, (_, gap) in zip(("one end", "the middle", "the other end"), places))
    return _decide(
        result, "fit-up", objective="fit-up-opening", told=(*told, *told_of(result, "mismatch", "backing_gap")),
        ask="The joint is tacked and measured. What now?",
        options=_options("Go on: weld the root pass", *_FIT_UP.values()),
        right=1 + list(_FIT_UP).index(stopped[0]) if stopped else 0, go=not stopped, **_because(_of(result, *_FIT_UP)),
    )


_TEMPERATURE = _options("Weld", "Heat the plate first", "Let the plate cool first")
_DEGREES = Fraction(5, 9)


def _fahrenheit(bench: Bench, low: Fraction, high: Fraction) -> str:
    """A temperature between two, in steps of 5 °F, both ends allowed."""
    least, most = (int(round(TEMPERATURE.us.from_base(each))) for each in (low, high))
    return f"{least + 5 * bench.chance.below(max(0, (most - least) // 5) + 1)} degF"


def _ask_temperature(bench: Bench, id: str, ask: str, between: bool) -> Decision:
    """The plate before a pass: warm enough by the minimum preheat, and between passes not over the maximum interpass
    temperature.
    """
    least, most = bench.needed("preheat_minimum", TEMPERATURE), bench.needed("interpass_maximum", TEMPERATURE)

    def draw(go: bool) -> Result:
        cold = not between or bench.chance.below(3) == 0
        if go:
            metal = _fahrenheit(bench, least, most if between else least + 60 * _DEGREES)
        elif cold:
            metal = _fahrenheit(bench, max(least - 40 * _DEGREES, parse("33 degF", TEMPERATURE)), least - 5 * _DEGREES)
        else:
            metal = _fahrenheit(bench, most + 5 * _DEGREES, most + 150 * _DEGREES)
        return bench.answer("preheat", metal=metal)

    decides = ("preheat", "interpass")

    def go(result: Result) -> bool | None:
        clear = all(each.level in (Level.OK, Level.NOTE, Level.STOP) for each in result.checks
            if each.id.startswith(decides))
        return _go(result, *decides) if clear and not _stopped(result, "air", "rod") else None

    result = bench.by_coin(draw, go)
    right = 1 if _stopped(result, "preheat") else 2 if _stopped(result, "interpass") else 0
    return _decide(
        result, id, objective="heat-interpass" if between else "heat-preheat", told=told_of(result, "metal", "air"),
        ask=ask, options=_TEMPERATURE, right=right, go=right == 0, **_because(_of(result, *decides)),
    )


def _ask_preheat(bench: Bench) -> Decision:
    return _ask_temperature(bench, "preheat", "The plate lies in the booth, ready for the root pass. What now?", False)


def _ask_interpass(bench: Bench) -> Decision:
    return _ask_temperature(bench, "interpass", "The root pass is clean. You measure the plate beside the joint. What now?", True)


def _ask_interpass_2(bench: Bench) -> Decision:
    return _ask_temperature(bench, "interpass-2", "Two fill passes are in. You measure the plate once more. What now?", True)


def _ask_rods(bench: Bench) -> Decision:
    if bench.texts["electrode"] != "E7018":
        raise CannotDraw("your rod is not kept in an oven by the limits that the guide holds")

    def draw(_: bool) -> Result:
        out = 7 * 60 + 5 * bench.chance.below(12)
        now = out + 10 * (3 + bench.chance.below(40))
        return bench.answer("rod-exposure", out_at=_clock(out), now=_clock(now), earlier="0 h", wet="no", rebaked="0", oven="275 degF")

    decides = ("exposure", "own-limit")
    result = bench.by_coin(draw, lambda found: None if any(
        each.level is Level.CAUTION and each.id.startswith(decides) for each in found.checks) else _go(found, *decides))
    return _decide(
        result, "rods", objective="rods-exposure", told=told_of(result, "out_at", "now", "oven"),
        ask="These low-hydrogen rods have lain in the open since they left the oven. What now?",
        options=_options("Use them for the next pass", "Do not use them"),
        right=0 if _go(result, *decides) else 1, go=_go(result, *decides), **_because(_of(result, *decides)),
    )


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def _ask_amps(bench: Bench) -> Decision:
    ends = [bench.texts[name] for name in ("amps_low", "amps_high")]
    if not all(ends):
        raise CannotDraw("your test does not say both ends of the amperage")
    low, high = (int(each.removesuffix(" A").split(".")[0]) for each in ends)
    below = bench.chance.below(4)
    settings = sorted({
        *(max(low - 5 - 10 * each, 10) for each in range(below)), low + 5 * bench.chance.below((high - low) // 5 + 1),
        *(high + 5 + 10 * each for each in range(3 - below)),
    })
    results = [bench.answer("current", amps=f"{each} A") for each in settings]
    inside = [place for place, each in enumerate(results) if not _stopped(each, "wps", "amps", "window")]
    if len(inside) != 1 or len(settings) != 4:
        raise CannotDraw("no single setting can be drawn inside your amperage")
    others = [check for place, each in enumerate(results) if place not in inside for check in _stopped(each, "wps", "amps")]
    result = results[inside[0]]
    return _decide(
        result, "amps", objective="machine-window", told=(),
        ask="Which of these settings of the machine do you take for your rod?",
        options=_options(*(f"{each} A" for each in settings)), right=inside[0],
        **_because([*_of(result, "wps", "amps", "window"), *others]),
    )


_MACHINES = (("200 A", "20 %"), ("200 A", "30 %"), ("250 A", "30 %"), ("225 A", "20 %"), ("180 A", "25 %"))


def _ask_duty(bench: Bench) -> Decision:
    plates = bench.chance.shuffled(_MACHINES)
    results = [bench.answer("duty-cycle", rated_current=rated, rated_duty=share, air="") for rated, share in plates]
    result = next((each for each in results if each["minutes_off"].amount and not _stopped(each)), None)
    if result is None:
        raise CannotDraw("every machine drawn runs your amperage without a pause")
    return _figure(
        result, "duty", "minutes_on", "3 %", "machine-duty", told_of(result, "rated_current", "rated_duty", "amps"),
        "By the plate of the machine and the square law: how long may the arc burn in each 10 minutes?",
    )


def _figure(result: Result, id: str, name: str, within: str, objective: str, told: Told, ask: str) -> Decision:
    """A decision that asks for a figure of a calculator."""
    value = result[name]
    steps = steps_to(result, value)
    return _decide(
        result, id, objective=objective, told=told, ask=ask, value=value, within=within,
        reasons=((f"{value.label}: ", _shown(value)),) if value.amount is not None else (),
        sources=tuple(dict.fromkeys(each.source for each in (*steps, value))),
    )


def _shown(value: Value) -> Amount:
    return Amount(value.amount, value.kind, value.digits)


def _ask_wait(bench: Bench) -> Decision:
    most = bench.needed("interpass_maximum", TEMPERATURE)
    result = bench.answer("interpass-wait", now=_fahrenheit(bench, most + 40 * _DEGREES, most + 180 * _DEGREES),
        length=bench.texts["plate_length"], width=bench.texts["finished_width"])
    wait = result["wait"]
    times = bench.pick((Fraction(1, 16), Fraction(1, 4), 1), (Fraction(1, 4), 1, 4), (1, 4, 16))
    options = tuple((("about ", Amount(wait.amount * each, TIME, 2)) for each in times))
    return _decide(
        result, "wait", objective="heat-flow-wait", told=told_of(result, "now", "length", "width", "thickness", "air"),
        ask="The plate is over the maximum interpass temperature and cools in still air. For about how long?",
        options=options, right=times.index(1),
        reasons=(result.headline, *(each.phrase for each in _of(result, "interpass"))), sources=(wait.source,),
    )


def _ask_layer(bench: Bench) -> Decision:
    def draw(_: bool) -> Result:
        return bench.answer("passes", layer_thickness=written(inches(Fraction(2 + bench.chance.below(9), 32)), LENGTH))

    decides = ("layer",)
    result = bench.by_coin(draw, lambda found: None if any(
        each.level is Level.CAUTION and each.id.startswith(decides) for each in found.checks) else _go(found, *decides))
    return _decide(
        result, "layer", objective="passes-plan", told=told_of(result, "layer_thickness"),
        ask="You measure the depth of the groove before and after a fill layer, and so the layer. What now?",
        options=_options("Go on with layers like this", "Stop: this layer is too thick"),
        right=0 if _go(result, *decides) else 1, go=_go(result, *decides), **_because(_of(result, *decides)),
    )


def _ask_heat(bench: Bench) -> Decision:
    decides = ("heat-limit", "speed-wps", "amps-wps", "volts-wps")
    if not (bench.texts["heat_most"] or bench.texts["travel_low"] or bench.texts["travel_high"]):
        raise CannotDraw("your test states neither a heat input nor a travel speed")

    amps, volts = (bench.needed(name, kind) for name, kind in (("amps_low", CURRENT), ("volts_low", VOLTAGE)))

    def draw(_: bool) -> Result:
        return bench.answer("heat-input", speed=f"{Fraction(4 + bench.chance.below(20), 2)} in/min",
            amps=f"{amps + 5 * bench.chance.below(3)} A", volts=f"{volts + bench.chance.below(4)} V")

    result = bench.by_coin(draw, lambda found: _go(found, *decides))
    return _decide(
        result, "heat", objective="heat-input", told=told_of(result, "volts", "amps", "speed"),
        ask="This is what was measured on a fill pass. Was it welded inside the WPS?",
        options=_options("Inside: go on", "Outside: stop and report it"),
        right=0 if _go(result, *decides) else 1, go=_go(result, *decides),
        reasons=((f"{result['plain'].label}: ", _shown(result["plain"])),
            *(each.phrase for each in _of(result, *decides))),
        sources=tuple(dict.fromkeys([result["plain"].source, *(each.source for each in _of(result, *decides))])),
    )


_VISUAL = _options("Accept it: cut the specimens", "Stop: the rule is broken", "No verdict yet: something was not inspected",
    "No verdict here: the inspector decides on it")
_LEVELS = {Level.OK: 0, Level.NOTE: 0, Level.STOP: 1, Level.INCOMPLETE: 2, Level.CAUTION: 3, Level.NOT_KNOWN: 3}


def _ask_visual(bench: Bench) -> Decision:
    def draw(go: bool) -> Result:
        found = {"cracks": "no", "craters": "yes", "fusion": "no", "porosity": "no", "root_flaw": "no", "underfill": "0 in",
            "melt_through": "0 in", "undercut_depth": bench.pick("0 in", "1/64 in", "1/32 in"),
            "reinforcement": bench.pick("1/32 in", "1/16 in", "3/32 in", "1/8 in"),
            "mismatch": bench.pick("0 in", "1/64 in", "1/32 in")}
        if not go:
            found |= bench.pick(
                {"undercut_depth": bench.pick("3/64 in", "1/16 in")}, {"reinforcement": bench.pick("5/32 in", "3/16 in")},
                {"underfill": bench.pick("1/64 in", "1/32 in")}, {"craters": "no"}, {"cracks": "yes"}, {"fusion": "yes"},
                {"mismatch": "5/32 in"}, {"porosity": "yes"}, {"undercut_depth": ""}, {"porosity": "not-looked"},
                {"reinforcement": ""},
            )
        return bench.answer("visual-check", **found)

    result = bench.by_coin(draw, lambda found: found.level in (Level.OK, Level.NOTE))
    right = _LEVELS[result.level]
    names = ("cracks", "craters", "fusion", "porosity", "undercut_depth", "underfill", "reinforcement", "mismatch", "root_flaw")
    told = tuple((label, ("not measured",) if said == ("not stated",) else said) for label, said in told_of(result, *names))
    decisive = [each for each in result.checks if each.level is result.level] if right else _of(result)
    return _decide(
        result, "visual", objective="visual-next", told=told,
        ask="The plate is cold and clean. You inspect it before anything is cut. What do you say?",
        options=_VISUAL, right=right, go=right == 0, **_because(decisive),
    )


def _ask_kinds(bench: Bench) -> Decision:
    result = bench.answer("test-plan")
    value = result["coupons"]
    others = {bench.answer("test-plan", thickness=thick, rule=rule)["coupons"].wording
        for thick in ("3/8 in", "1/2 in", "3/4 in", "1 in") for rule in ("d1.1", "asme-ix")}
    made = {"2 face bends and 2 root bends", "4 side bends", "2 side bends", "1 face bend and 1 root bend"}
    plain = [each for each in sorted(others | made) if each != value.wording and each.count("bend") <= 2]
    options = sorted([value.wording, *bench.chance.shuffled(plain)[:3]])
    return _decide(
        result, "kinds", objective="coupons-kinds", told=told_of(result, "thickness", "rule"),
        ask="The plate was accepted. Which specimens do you cut from it?",
        options=_options(*options), right=options.index(value.wording),
        reasons=((f"{value.label}: {value.wording}.",),), sources=(value.source,),
    )


def _ask_layout(bench: Bench) -> Decision:
    result = bench.answer("coupon-layout", discard=bench.pick("3/4 in", "7/8 in", "1 in"), saw_cut=bench.pick("1/16 in", "3/32 in", "1/8 in"),
        plate_length=bench.texts["plate_length"])
    if _stopped(result) or not any(each.name == "start_2" for each in result.values):
        raise CannotDraw("your plate gives no layout of two specimens")
    told = (*told_of(result, "discard", "saw_cut"), (result["blank_width"].label, (_shown(result["blank_width"]),)))
    return _figure(result, "layout", "start_2", "1/32 in", "coupons-layout", told,
        "You mark the specimens one behind the other from one end, a saw cut before the first and between them. "
        "How far from that end does the second one start?")


_OPENING = _options("Accept it", "It fails the specimen", "No verdict: bend a replacement specimen")
_CLEAR_SIZES = ("1/32", "1/16", "3/32", "5/32", "3/16", "7/32", "5/16", "3/8")
"""What is measured with the rule: none so near a limit that a hair decides."""
_SIZES = ("1/32", "3/64", "1/16", "5/64", "3/32", "1/8", "9/64", "5/32", "3/16", "7/32", "1/4", "9/32", "5/16")


def _openings(rows: Iterable[tuple[int, str, str, str]]) -> str:
    return ROWS_APART.join(f"{specimen} {CELLS_APART} {size} in {CELLS_APART} {place} {CELLS_APART} {seen}"
        for specimen, size, place, seen in rows)


def _specimens(bench: Bench) -> dict[str, str]:
    """Number and kind of the specimens that the rule asks of this plate."""
    kinds = [each.strip() for each in bench.answer("coupon-layout")["kinds"].wording.split(",")]
    return {"coupons": str(len(kinds)), "kinds": "side" if kinds[0].startswith("side") else "face-root"}


def _same_by_both(result: Result) -> bool:
    """Whether inch and millimeter figures of the rule come to the same: a reader in either system sees one verdict."""
    return not any(each.id.startswith("figures") for each in result.checks)


def _opening_told(result: Result, with_size: bool = True) -> Told:
    """What opened, row by row. One away from the edges is what it usually is, and only the other kind is described."""
    rows = result.calculator.input("openings").read(result.inputs["openings"], "us")
    seen = {"no": "no slag or fusion discontinuity seen in it", "yes": "slag seen in it"}
    found = []
    for number, (specimen, size, place, flaw) in enumerate(rows, 1):
        where = f"at a corner, {seen[flaw]}" if place == "corner" else "on the convex surface"
        said: Phrase = (Amount(size, LENGTH, as_written=True), f", {where}") if with_size else (where,)
        found.append((f"Open discontinuity {number}, specimen {specimen}", said))
    return tuple(found)


def _ask_opening(bench: Bench) -> Decision:
    def draw(_: bool) -> Result:
        place = bench.pick("face", "face", "corner")
        row = (1, bench.pick(*_CLEAR_SIZES), place, bench.pick("no", "yes") if place == "corner" else "no")
        return bench.answer("bend-judge", openings=_openings([row]), looked="yes", **_specimens(bench))

    def go(result: Result) -> bool | None:
        check = result.check("opening-1")
        return None if check is None or not _same_by_both(result) else check.level in (Level.OK, Level.NOTE)

    result = bench.by_coin(draw, go)
    check = result.check("opening-1")
    assert check is not None
    right = {Level.OK: 0, Level.NOTE: 0, Level.STOP: 1, Level.CAUTION: 1}.get(check.level, 2)
    return _decide(
        result, "opening", objective="judging-corner", told=_opening_told(result, False),
        ask="Specimen 1 is bent, and this opened on it. Measure it with the rule. What do you say?", options=_OPENING,
        right=right, go=right == 0, drawing=_surface(result), **_because([check]),
    )


def _ask_specimen(bench: Bench) -> Decision:
    result = bench.by_coin(lambda go: _several(bench, go, {2}), lambda found: _clear(found, "coupon_2"))
    passes = result["coupon_2"].wording == "passes"
    rows = [each for each in result.checks if each.level is not Level.NOTE and each.id.startswith(("opening", "total-2", "coupon-2"))]
    against = [each for each in rows if each.level is not Level.OK]
    return _decide(
        result, "specimen", objective="judging-sum", told=_opening_told(result),
        ask="These are all the open discontinuities of specimen 2. What becomes of it?",
        options=_options("Specimen 2 passes", "Specimen 2 fails"), right=0 if passes else 1, go=passes,
        **_because(against or rows),
    )


def _ask_sum(bench: Bench) -> Decision:
    result = bench.by_coin(lambda go: _several(bench, go, {2}), lambda found: _clear(found, "coupon_2"))
    if not any(each.name == "sum_2" for each in result.values):
        raise CannotDraw("your rule, as the guide holds it, has no sum of open discontinuities")
    return _figure(result, "sum", "sum_2", "1/64 in", "judging-sum", _opening_told(result),
        "Another specimen 2, from the next booth. What do the open discontinuities that count add up to?")


def _several(bench: Bench, go: bool, specimens: set[int]) -> Result:
    """A few open discontinuities on some specimens, each small where the answer shall be to go on."""
    rows = []
    for specimen in sorted(specimens):
        for _ in range(2 + bench.chance.below(3)):
            rows.append((specimen, bench.pick(*(_SIZES[:6] if go or bench.chance.below(4) else _SIZES[:8])), "face", "no"))
    return bench.answer("bend-judge", openings=_openings(rows), looked="yes", **_specimens(bench))


def _clear(result: Result, name: str) -> bool | None:
    """Passes or fails, by inch and millimeter figures alike; None for anything between."""
    said = result[name].wording.partition(" (")[0]
    return {"passes": True, "fails": False}.get(said) if _same_by_both(result) else None


def _ask_plate(bench: Bench) -> Decision:
    count = int(_specimens(bench)["coupons"])
    chosen = {1 + bench.chance.below(count) for _ in range(2)}
    result = bench.by_coin(lambda go: _several(bench, go, chosen), lambda found: _clear(found, "verdict"))
    passes = _clear(result, "verdict") is True
    rows = [each for each in result.checks if each.id.startswith(("test", "opening", "total", "coupon"))]
    against = [each for each in rows if each.level.severity]
    return _decide(
        result, "plate", objective="judging-test",
        told=(("Specimens bent and inspected", (f"{count}: all that the rule asks for",)), *_opening_told(result),
            ("The other specimens", ("nothing opened",))),
        ask="The plate from the next booth, welded to the same WPS, is bent too. What is the verdict on its test?",
        options=_options("It passes", "It fails"), right=0 if passes else 1, go=passes,
        **_because(against or _of(result, "test", "total", "coupon")),
    )


_SIXTEENTH, _MILLIMETER = float(inches("1/16")), 0.001


def _surface(result: Result) -> Drawing:
    """The convex surface of a specimen to scale with one open discontinuity, and a rule beside it: sixteenths of an
    inch below, millimeters above. It tells no size and judges nothing.
    """
    _, size, place, _ = result.calculator.input("openings").read(result.inputs["openings"], "us")[0]
    wide, tall, start = 12 * _SIXTEENTH, 6 * _SIXTEENTH, 2 * _SIXTEENTH
    end, fat = start + float(size), max(float(size) * 0.16, 0.0004)
    y = 0.0 if place == "corner" else tall * 0.45
    lens = ((start, y), ((start + end) / 2, y + fat * (2 if place == "corner" else 1)), (end, y))
    shapes: list[Any] = [Polygon(box(0.0, 0.0, wide, tall), "plain"), Note((0.0, tall), words("convex surface"), "start", up=6),
        Polygon(lens if place == "corner" else (*lens, ((start + end) / 2, y - fat)), "found")]
    high, low = -2.2 * _SIXTEENTH, -4.2 * _SIXTEENTH
    shapes.append(Polygon(box(0.0, low - _SIXTEENTH, wide, high + _SIXTEENTH), "tool"))
    shapes += [Path(((tick * _MILLIMETER, high + _SIXTEENTH), (tick * _MILLIMETER, high + (0.2 if tick % 5 else -0.3) * _SIXTEENTH)), "thin")
        for tick in range(int(wide / _MILLIMETER) + 1)]
    shapes += [Path(((tick * _SIXTEENTH, low - _SIXTEENTH), (tick * _SIXTEENTH, low + (0 if tick % 4 else 0.6) * _SIXTEENTH)), "thin")
        for tick in range(13)]
    shapes += [Note((0.0, high + _SIXTEENTH), words("mm"), "end", up=-12), Note((0.0, low - _SIXTEENTH), words("in/16"), "end", up=4)]
    corner = "It starts at the long edge of the specimen" if place == "corner" else "It lies away from the edges"
    return Drawing(
        "surface", "Convex surface of specimen 1, and a rule", (f"The convex surface of specimen 1 with one open discontinuity. {corner}. "
            "It reaches from the mark for ", Amount(inches("1/8"), LENGTH), " to the place of ",
            Amount(size + inches("1/8"), LENGTH, 3), " on a rule that lies beside it."), tuple(shapes), margin=60,
        legend=("The rule: millimeters above, sixteenths of an inch below.",),
    )


def _ask_retest(bench: Bench) -> Decision:
    result = bench.answer("retest", route=bench.pick("immediate", "training"), failed=bench.pick("1", "2"))
    if not any(each.name == "plates" for each in result.values):
        raise CannotDraw("the rule of your test, as the guide holds it, names no such retest")
    decision = _figure(result, "retest", "plates", "0", "after-retest", told_of(result, "rule", "route", "failed"),
        "A test was failed, and the inspector allows a retest. How many test plates does the rule ask for?")
    asks = result["rule_in_words"]
    return replace(decision, reasons=((f"{asks.label}: {asks.wording}.",),),
        sources=tuple(dict.fromkeys((asks.source, *decision.sources))))


_MAY_BE_BLANK = ("welder", "procedure", "plate_mark", "heat_number", "lot", "machine", "rod_storage", "visual_note",
    "bends_note", "shop", "steel", "thickness", "position", "amps", "preheat_minimum", "plate_temperature",
    "undercut_depth", "reinforcement", "electrode", "date")


def _without(names: Iterable[str]) -> Judgement:
    """The record of the invented shop's day, judged with these lines blank."""
    values = {name: text for name, text in PLATE.values.items() if name not in names}
    return judge(replace(PLATE, values=values))


@cache
def _keep_it_open() -> frozenset[str]:
    """Those lines of the record that keep it from being complete while they are blank."""
    missing = _without(_MAY_BE_BLANK).missing
    return frozenset(name for name in _MAY_BE_BLANK if PLATE.form.field(name).label in missing)


def _ask_record(bench: Bench) -> Decision:
    mixed = bench.chance.shuffled(_MAY_BE_BLANK)
    one = next(name for name in mixed if name in _keep_it_open())
    names = bench.chance.shuffled([one, *[name for name in mixed if name not in _keep_it_open()][:3]])
    judged = _without(names)
    labels = [PLATE.form.field(name).label for name in names]
    missing = [label for label in labels if label in judged.missing]
    if not len(missing) == len(judged.missing) == 1:
        raise CannotDraw("no single line of the record decides")
    flag = next(each for each in judged.flags if each.place in names and each.level in (Level.INCOMPLETE, Level.NOT_KNOWN))
    return Decision(
        "record", PLATE.form.title, "record.md", "record.html", "after-record", (),
        "Four lines of the record of the day are still blank. Which one keeps the record from being complete?",
        ((f"{missing[0]}: ", *flag.phrase), (judged.headline,)), (flag.source or ENTERED,), options=_options(*labels),
        right=labels.index(missing[0]),
    )


ASKS: tuple[tuple[str, Callable[[Bench], Decision]], ...] = (
    ("scope", _ask_scope), ("fit-up", _ask_fit_up), ("rods", _ask_rods), ("amps", _ask_amps), ("duty", _ask_duty),
    ("preheat", _ask_preheat), ("interpass", _ask_interpass), ("wait", _ask_wait), ("layer", _ask_layer),
    ("heat", _ask_heat), ("interpass-2", _ask_interpass_2), ("visual", _ask_visual), ("kinds", _ask_kinds),
    ("layout", _ask_layout), ("opening", _ask_opening), ("specimen", _ask_specimen), ("sum", _ask_sum),
    ("plate", _ask_plate), ("retest", _ask_retest), ("record", _ask_record),
)
"""The decisions after the WPS, in the order of the day."""
SOMETIMES = ("duty", "wait", "interpass-2", "layout", "sum")
"""Those of which a day asks two."""


def draw_day(seed: str, own: Record | None = None) -> Day:
    """The day of a seed: with the reader's own test where one is given, what it leaves blank drawn.

    Raises `ValueError` for a seed that cannot be used, or for an own test with a fact that cannot be read.

    >>> day = draw_day("7")
    >>> day == draw_day("7"), [each.id for each in day.decisions][:3]
    (True, ['wps', 'scope', 'fit-up'])
    """
    if not SEED.fullmatch(seed):
        raise ValueError(SEED_WORDS)
    given = {name: text for name, text in own.values.items() if text.strip() and name in FIELDS} if own else {}
    if own is not None and (refused := read_facts(own)[1]):
        raise ValueError(f"your test: {refused[0].message}")
    drawn = draw_wps(Chance(f"mock-day/{seed}/wps"), given)
    record = Record("mock-day", "plate-test", f"Mock test day {seed}", _MOMENT, _MOMENT, own.bare if own else "us", invented=True,
        values={**drawn, **given}, rows=own.rows) if own else blank_of(seed, drawn)
    texts, refused = read_facts(record)
    if refused:
        raise ValueError(f"your test: {refused[0].message}")
    handed = texts if own else spoiled(Chance(f"mock-day/{seed}/trap"), texts)
    extras = Chance(f"mock-day/{seed}/extras").shuffled(SOMETIMES)[:EXTRAS]
    bench = Bench(seed, record, texts, Sheet(texts, "us", said_of(record)))
    decisions, left_out = [], []
    for name, ask in (("wps", lambda each: _ask_wps(each, handed)), *ASKS):
        if name in SOMETIMES and name not in extras:
            continue
        bench.chance = Chance(f"mock-day/{seed}/{name}")
        try:
            decisions.append(ask(bench))
        except (CannotDraw, InputError, Waits) as trouble:
            left_out.append(f"{name}: {trouble}")
    blank_facts = tuple(name for name in drawn if name not in given) if own else ()
    return Day(seed, record, wps_table(handed), wps_table(texts), tuple(decisions), blank_facts, tuple(left_out), own is not None)


def blank_of(seed: str, drawn: Texts) -> Record:
    """A test that holds nothing but what was drawn."""
    empty = blank("plate-test", "mock-day", _MOMENT, f"Mock test day {seed}")
    return Record(empty.id, empty.kind, empty.name, empty.created, empty.changed, invented=True, values=dict(drawn))
