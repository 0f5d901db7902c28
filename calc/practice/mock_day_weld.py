"""The decisions of a mock test day from the WPS to the last pass, in their order."""

from __future__ import annotations

from fractions import Fraction

from calc.catalogue import calculator
from calc.core.declare import CELLS_APART, ROWS_APART, Amount, Level, Result
from calc.core.units import CURRENT, LENGTH, TEMPERATURE, TIME, VOLTAGE, parse
from calc.plate_test.work import Sheet, asked_for
from calc.practice.mock_day_bench import (
    Bench, CannotDraw, Decision, Texts, because_of, checks_of, decide, figure, goes_on, inches, options_of, shown,
    stops_of, told_of, written,
)
from calc.practice.mock_day_wps import NONE_OF_THEM, WPS_LINES, line_asked_about, line_of

def ask_wps(bench: Bench, handed: Texts) -> Decision:
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
    because = because_of(looked_at or [each for each in result.checks if each.level is Level.OK])
    because |= {} if bad else {"reasons": (result.headline,)}
    return decide(
        result, "wps", objective="start-procedure", told=(),
        ask="Read the WPS, issue 1, as it was handed to you. Which line do you ask about before you strike an arc?",
        options=options_of(*labels, "No line of it: go on"),
        right=asked.index(line) if line in asked else len(asked), go=line == NONE_OF_THEM, **because,
    )


def ask_scope(bench: Bench) -> Decision:
    decides = "thickness", "position"

    def draw(_: bool) -> Result:
        return bench.answer("test-plan", work_thickness=bench.pick("1/4 in", "3/8 in", "1/2 in", "5/8 in", "3/4 in", "7/8 in",
            "1 in", "1-1/4 in", "1-1/2 in", "2 in"), work_position=bench.pick("F", "H", "V", "OH"))

    def go(result: Result) -> bool | None:
        bad = [each for each in result.checks if each.level.severity]
        return None if len(bad) > 1 or len(bad) > len(stops_of(result, *decides)) else not bad

    result = bench.by_coin(draw, go)
    bad = [name for name in decides if stops_of(result, name)]
    return decide(
        result, "scope", objective="start-plan", told=told_of(result, "work_thickness", "work_position"),
        ask="You are to weld this groove weld after the test. Does this test plate, once it passes, cover the work?",
        options=options_of("It covers the work", "It does not: the thickness", "It does not: the position"),
        right=1 + decides.index(bad[0]) if bad else 0, go=not bad, **because_of(checks_of(result, *decides)),
    )


_FIT_UP = {"reading": "Stop: the root opening", "mismatch": "Stop: the misalignment",
    "backing-gap": "Stop: the gap at the backing"}


def ask_fit_up(bench: Bench) -> Decision:
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
        stopped = {each.id.rstrip("-0123456789") for each in stops_of(result)}
        return None if len(stopped) > 1 or not stopped <= set(_FIT_UP) else not stopped

    result = bench.by_coin(draw, go)
    stopped = [name for name in _FIT_UP if stops_of(result, name)]
    places = calculator("fit-up").input("openings").read(result.inputs["openings"], "us")
    told = tuple((f"Root opening at {where}", (Amount(gap, LENGTH, as_written=True),))
        for where, (_, gap) in zip(("one end", "the middle", "the other end"), places))
    return decide(
        result, "fit-up", objective="fit-up-opening", told=(*told, *told_of(result, "mismatch", "backing_gap")),
        ask="The joint is tacked and measured. What now?",
        options=options_of("Go on: weld the root pass", *_FIT_UP.values()),
        right=1 + list(_FIT_UP).index(stopped[0]) if stopped else 0, go=not stopped, **because_of(checks_of(result, *_FIT_UP)),
    )


_TEMPERATURE = options_of("Weld", "Heat the plate first", "Let the plate cool first")
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
        return goes_on(result, *decides) if clear and not stops_of(result, "air", "rod") else None

    result = bench.by_coin(draw, go)
    right = 1 if stops_of(result, "preheat") else 2 if stops_of(result, "interpass") else 0
    return decide(
        result, id, objective="heat-interpass" if between else "heat-preheat", told=told_of(result, "metal", "air"),
        ask=ask, options=_TEMPERATURE, right=right, go=right == 0, **because_of(checks_of(result, *decides)),
    )


def ask_preheat(bench: Bench) -> Decision:
    return _ask_temperature(bench, "preheat", "The plate lies in the booth, ready for the root pass. What now?", False)


def ask_interpass(bench: Bench) -> Decision:
    return _ask_temperature(bench, "interpass", "The root pass is clean. You measure the plate beside the joint. What now?", True)


def ask_interpass_2(bench: Bench) -> Decision:
    return _ask_temperature(bench, "interpass-2", "Two fill passes are in. You measure the plate once more. What now?", True)


def ask_rods(bench: Bench) -> Decision:
    if bench.texts["electrode"] != "E7018":
        raise CannotDraw("your rod is not kept in an oven by the limits that the guide holds")

    def draw(_: bool) -> Result:
        out = 7 * 60 + 5 * bench.chance.below(12)
        now = out + 10 * (3 + bench.chance.below(40))
        return bench.answer("rod-exposure", out_at=_clock(out), now=_clock(now), earlier="0 h", wet="no", rebaked="0", oven="275 degF")

    decides = ("exposure", "own-limit")
    result = bench.by_coin(draw, lambda found: None if any(
        each.level is Level.CAUTION and each.id.startswith((*decides, "little-left")) for each in found.checks) else goes_on(found, *decides))
    return decide(
        result, "rods", objective="rods-exposure", told=told_of(result, "out_at", "now", "oven"),
        ask="These low-hydrogen rods have lain in the open since they left the oven. What now?",
        options=options_of("Use them for the next pass", "Do not use them"),
        right=0 if goes_on(result, *decides) else 1, go=goes_on(result, *decides), **because_of(checks_of(result, *decides)),
    )


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def ask_amps(bench: Bench) -> Decision:
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
    inside = [place for place, each in enumerate(results) if not stops_of(each, "wps", "amps", "window")]
    if len(inside) != 1 or len(settings) != 4:
        raise CannotDraw("no single setting can be drawn inside your amperage")
    others = [check for place, each in enumerate(results) if place not in inside for check in stops_of(each, "wps", "amps")]
    result = results[inside[0]]
    return decide(
        result, "amps", objective="machine-window", told=(),
        ask="Which of these settings of the machine do you take for your rod?",
        options=options_of(*(f"{each} A" for each in settings)), right=inside[0],
        **because_of([*checks_of(result, "wps", "amps", "window"), *others]),
    )


_MACHINES = (("200 A", "20 %"), ("200 A", "30 %"), ("250 A", "30 %"), ("225 A", "20 %"), ("180 A", "25 %"))


def ask_duty(bench: Bench) -> Decision:
    plates = bench.chance.shuffled(_MACHINES)
    results = [bench.answer("duty-cycle", rated_current=rated, rated_duty=share, air="") for rated, share in plates]
    result = next((each for each in results if each["minutes_off"].amount and not stops_of(each)), None)
    if result is None:
        raise CannotDraw("every machine drawn runs your amperage without a pause")
    return figure(
        result, "duty", "minutes_on", "3 %", "machine-duty", told_of(result, "rated_current", "rated_duty", "amps"),
        "By the plate of the machine and the square law: how long may the arc burn in each 10 minutes?",
    )


def ask_wait(bench: Bench) -> Decision:
    most = bench.needed("interpass_maximum", TEMPERATURE)
    result = bench.answer("interpass-wait", now=_fahrenheit(bench, most + 40 * _DEGREES, most + 180 * _DEGREES),
        length=bench.texts["plate_length"], width=bench.texts["finished_width"])
    wait = result["wait"]
    times = bench.pick((Fraction(1, 16), Fraction(1, 4), 1), (Fraction(1, 4), 1, 4), (1, 4, 16))
    options = tuple((("about ", Amount(wait.amount * each, TIME, 2)) for each in times))
    return decide(
        result, "wait", objective="heat-flow-wait", told=told_of(result, "now", "length", "width", "thickness", "air"),
        ask="The plate is over the maximum interpass temperature and cools in still air. For about how long?",
        options=options, right=times.index(1),
        reasons=(result.headline, *(each.phrase for each in checks_of(result, "interpass"))), sources=(wait.source,),
    )


def ask_layer(bench: Bench) -> Decision:
    def draw(_: bool) -> Result:
        return bench.answer("passes", layer_thickness=written(inches(Fraction(2 + bench.chance.below(9), 32)), LENGTH))

    decides = ("layer",)
    result = bench.by_coin(draw, lambda found: None if any(
        each.level is Level.CAUTION and each.id.startswith(decides) for each in found.checks) else goes_on(found, *decides))
    return decide(
        result, "layer", objective="passes-plan", told=told_of(result, "layer_thickness"),
        ask="You measure the depth of the groove before and after a fill layer, and so the layer. What now?",
        options=options_of("Go on with layers like this", "Stop: this layer is too thick"),
        right=0 if goes_on(result, *decides) else 1, go=goes_on(result, *decides), **because_of(checks_of(result, *decides)),
    )


def ask_heat(bench: Bench) -> Decision:
    decides = ("heat-limit", "speed-wps", "amps-wps", "volts-wps")
    if not (bench.texts["heat_most"] or bench.texts["travel_low"] or bench.texts["travel_high"]):
        raise CannotDraw("your test states neither a heat input nor a travel speed")

    amps, volts = (bench.needed(name, kind) for name, kind in (("amps_low", CURRENT), ("volts_low", VOLTAGE)))

    def draw(_: bool) -> Result:
        return bench.answer("heat-input", speed=f"{Fraction(4 + bench.chance.below(20), 2)} in/min",
            amps=f"{amps + 5 * bench.chance.below(3)} A", volts=f"{volts + bench.chance.below(4)} V")

    result = bench.by_coin(draw, lambda found: goes_on(found, *decides))
    return decide(
        result, "heat", objective="heat-input", told=told_of(result, "volts", "amps", "speed"),
        ask="This is what was measured on a fill pass. Was it welded inside the WPS?",
        options=options_of("Inside: go on", "Outside: stop and report it"),
        right=0 if goes_on(result, *decides) else 1, go=goes_on(result, *decides),
        reasons=((f"{result['plain'].label}: ", shown(result["plain"])),
            *(each.phrase for each in checks_of(result, *decides))),
        sources=tuple(dict.fromkeys([result["plain"].source, *(each.source for each in checks_of(result, *decides))])),
    )
