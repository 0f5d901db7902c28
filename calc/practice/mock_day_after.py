"""The decisions of a mock test day after the last pass: inspected, cut, bent, judged, and written down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from calc.catalogue import calculator
from calc.core.declare import CELLS_APART, ROWS_APART, Amount, Level, Phrase, Result
from calc.core.sources import ENTERED
from calc.core.units import LENGTH, parse
from calc.practice.mock_day_bench import (
    Bench, CannotDraw, Decision, Told, because_of, checks_of, decide, figure, inches, options_of, shown, stops_of, told_of,
)
from calc.record.bench import Judgement
from calc.record.demo import PLATE
from calc.record.judge import judge
from calc.show.drawing import Drawing, Note, Path, Polygon, box, words

_VISUAL = options_of("Accept it: cut the specimens", "Stop: the rule is broken", "No verdict yet: something was not inspected",
    "No verdict here: the inspector decides on it")
_LEVELS = {Level.OK: 0, Level.NOTE: 0, Level.STOP: 1, Level.INCOMPLETE: 2, Level.CAUTION: 3, Level.NOT_KNOWN: 3}


def ask_visual(bench: Bench) -> Decision:
    if bench.texts["rule_document"] != "d1.1":
        raise CannotDraw("the guide holds no list for visual inspection of the rule of your test")

    def draw(go: bool) -> Result:
        found = {"cracks": "no", "craters": "yes", "fusion": "no", "porosity": "no", "root_flaw": "no", "underfill": "0 in",
            "melt_through": "0 in", "undercut_depth": bench.pick("0 in", "1/64 in", "1/32 in"),
            "reinforcement": bench.pick("1/32 in", "1/16 in", "3/32 in", "1/8 in"),
            "mismatch": bench.pick("0 in", "1/64 in", "1/32 in")}
        if not go:
            found |= bench.pick(
                {"undercut_depth": bench.pick("3/64 in", "1/16 in")}, {"reinforcement": bench.pick("5/32 in", "3/16 in")},
                {"underfill": bench.pick("1/64 in", "1/32 in")}, {"craters": "no"}, {"cracks": "yes"}, {"cracks": "yes"},
                {"fusion": "yes"}, {"mismatch": "5/32 in"}, {"porosity": "yes"}, {"undercut_depth": ""},
                {"reinforcement": ""},
            )
        return bench.answer("visual-check", **found)

    result = bench.by_coin(draw, lambda found: found.level in (Level.OK, Level.NOTE))
    right = _LEVELS[result.level]
    names = ("craters", "undercut_depth", "underfill", "reinforcement", "mismatch", "root_flaw")
    told = tuple((label, ("not measured",) if said == ("not stated",) else said) for label, said in told_of(result, *names))
    decisive = [each for each in result.checks if each.level is result.level] if right else checks_of(result)
    return decide(
        result, "visual", objective="visual-next", told=told,
        look=(_look_of(bench, result.inputs), bench.seed),
        ask="The plate is cold and clean, and you inspect it before anything is cut. The drawing shows the weld at its worst "
        "place, the table what you measured. What do you say?",
        options=_VISUAL, right=right, go=right == 0, **because_of(decisive),
    )


def _look_of(bench: Bench, found: Mapping[str, str]) -> str:
    """What the weld looks like at its worst place. Cracks, fusion and pores are told by the drawing alone; undercut is
    to be seen whether or not it is deeper than the rule allows.
    """
    measured = {name: found[name] and parse(found[name], LENGTH) for name in ("undercut_depth", "underfill", "reinforcement")}
    if found["cracks"] == "yes":
        return bench.pick("look-middle-crack", "look-toe-crack", "look-cross-crack", "look-crater-crack")
    for name, look in (("fusion", "look-fusion"), ("porosity", "look-porosity")):
        if found[name] == "yes":
            return look
    for name, look, least in (("underfill", "look-underfill", 0), ("undercut_depth", "look-undercut", 0),
            ("reinforcement", "look-reinforcement", inches("1/8"))):
        if measured[name] and measured[name] > least:
            return look
    return "look-sound"


_FACE_AND_ROOT, _SIDE_INSTEAD = "1 face bend and 1 root bend", "2 side bends"


def ask_kinds(bench: Bench) -> Decision:
    result = bench.answer("test-plan")
    value = result["coupons"]
    others = {bench.answer("test-plan", thickness=thick, rule=rule)["coupons"].wording
        for thick in ("3/8 in", "1/2 in", "3/4 in", "1 in") for rule in ("d1.1", "asme-ix")}
    made = {"2 face bends and 2 root bends", "4 side bends", _SIDE_INSTEAD, _FACE_AND_ROOT}
    if value.wording == _FACE_AND_ROOT and bench.texts["rule_document"] == "d1.1":
        made -= {_SIDE_INSTEAD}  # side bends may replace both (D1.1 Table 4.11, note on 3/8 in)
        others -= {_SIDE_INSTEAD}
    plain = [each for each in sorted(others | made) if each != value.wording and each.count("bend") <= 2]
    options = sorted([value.wording, *bench.chance.shuffled(plain)[:3]])
    return decide(
        result, "kinds", objective="coupons-kinds", told=told_of(result, "thickness", "rule"),
        ask="The plate was accepted. Which specimens do you cut from it?",
        options=options_of(*options), right=options.index(value.wording),
        reasons=((f"{value.label}: {value.wording}.",),), sources=(value.source,),
    )


def ask_layout(bench: Bench) -> Decision:
    result = bench.answer("coupon-layout", discard=bench.pick("3/4 in", "7/8 in", "1 in"), saw_cut=bench.pick("1/16 in", "3/32 in", "1/8 in"),
        plate_length=bench.texts["plate_length"])
    if stops_of(result) or not any(each.name == "start_2" for each in result.values):
        raise CannotDraw("your plate gives no layout of two specimens")
    told = (*told_of(result, "discard", "saw_cut"), (result["blank_width"].label, (shown(result["blank_width"]),)))
    return figure(result, "layout", "start_2", "1/32 in", "coupons-layout", told,
        "You mark the specimens one behind the other from one end, a saw cut before the first and between them. "
        "How far from that end does the second one start?")


_OPENING = options_of("Accept it", "It fails the specimen", "No verdict: bend a replacement specimen")
_CLEAR_SIZES = ("1/32", "1/16", "3/32", "5/32", "3/16", "7/32", "5/16", "3/8")
"""What is measured with the rule: none so near a limit that a hair decides."""
_HAIR = inches("1/128")
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


def ask_opening(bench: Bench) -> Decision:
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
    return decide(
        result, "opening", objective="judging-corner", told=_opening_told(result, False),
        ask="Specimen 1 is bent, and this opened on it. Measure it with the rule. What do you say?", options=_OPENING,
        right=right, go=right == 0, drawing=_surface(result), **because_of([check]),
    )


def ask_specimen(bench: Bench) -> Decision:
    result = bench.by_coin(lambda go: _several(bench, go, {2}), lambda found: _clear(found, "coupon_2"))
    passes = result["coupon_2"].wording == "passes"
    rows = [each for each in result.checks if each.level is not Level.NOTE and each.id.startswith(("opening", "total-2", "coupon-2"))]
    against = [each for each in rows if each.level is not Level.OK]
    return decide(
        result, "specimen", objective="judging-sum", told=_opening_told(result),
        ask="These are all the open discontinuities of specimen 2. What becomes of it?",
        options=options_of("Specimen 2 passes", "Specimen 2 fails"), right=0 if passes else 1, go=passes,
        **because_of(against or rows),
    )


def ask_sum(bench: Bench) -> Decision:
    result = bench.by_coin(lambda go: _several(bench, go, {2}), lambda found: _clear(found, "coupon_2"))
    if not any(each.name == "sum_2" for each in result.values):
        raise CannotDraw("your rule, as the guide holds it, has no sum of open discontinuities")
    return figure(result, "sum", "sum_2", "1/64 in", "judging-sum", _opening_told(result),
        "Another specimen 2, from the next booth. What do the open discontinuities that count add up to?")


def _several(bench: Bench, go: bool, specimens: set[int]) -> Result:
    """A few open discontinuities on some specimens, each small where the answer shall be to go on."""
    rows = []
    for specimen in sorted(specimens):
        for _ in range(2 + bench.chance.below(3)):
            rows.append((specimen, bench.pick(*(_SIZES[:6] if go or bench.chance.below(4) else _SIZES[:8])), "face", "no"))
    return bench.answer("bend-judge", openings=_openings(rows), looked="yes", **_specimens(bench))


def _clear(result: Result, name: str) -> bool | None:
    """Passes or fails, by inch and millimeter figures alike; None for anything between, and for a sum so near its limit
    that rounding decides.
    """
    figures = {value.name: value.amount for value in result.values}
    limit = figures.get("total_limit")
    near = limit and any(abs(amount - limit) < _HAIR for at, amount in figures.items() if at.startswith("sum_"))
    said = result[name].wording.partition(" (")[0]
    return None if near or not _same_by_both(result) else {"passes": True, "fails": False}.get(said)


def ask_plate(bench: Bench) -> Decision:
    if "ask the examiner" in bench.answer("test-plan")["coupons"].wording:
        raise CannotDraw("the rule of your test, as the guide holds it, does not say how many specimens there are")
    count = int(_specimens(bench)["coupons"])
    chosen = {1 + bench.chance.below(count) for _ in range(2)}
    result = bench.by_coin(lambda go: _several(bench, go, chosen), lambda found: _clear(found, "verdict"))
    passes = _clear(result, "verdict") is True
    rows = [each for each in result.checks if each.id.startswith(("test", "opening", "total", "coupon"))]
    against = [each for each in rows if each.level.severity]
    return decide(
        result, "plate", objective="judging-test",
        told=(("Specimens bent and inspected", (f"{count}: all that the rule asks for",)), *_opening_told(result),
            ("The other specimens", ("nothing opened",))),
        ask="The plate from the next booth, welded to the same WPS, is bent too. What is the verdict on its test?",
        options=options_of("It passes", "It fails"), right=0 if passes else 1, go=passes,
        **because_of(against or checks_of(result, "test", "total", "coupon")),
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
    shapes += [Note((-_MILLIMETER, high + _SIXTEENTH), words("mm"), "end", up=-12),
        Note((-_MILLIMETER, low - _SIXTEENTH), words("1/16 in"), "end", up=4)]
    corner = "It starts at the long edge of the specimen" if place == "corner" else "It lies away from the edges"
    return Drawing(
        "surface", "Convex surface of specimen 1, and a rule", (f"The convex surface of specimen 1 with one open discontinuity. {corner}. "
            "It reaches from the mark for ", Amount(inches("1/8"), LENGTH), " to the place of ",
            Amount(size + inches("1/8"), LENGTH, 3), " on a rule that lies beside it."), tuple(shapes), margin=60,
        legend=("The rule: millimeters above, sixteenths of an inch below.",),
    )


def ask_retest(bench: Bench) -> Decision:
    if bench.texts["rule_document"] not in {each.value for each in calculator("retest").input("rule").options}:
        raise CannotDraw("the rule of your test, as the guide holds it, names no retest")
    result = bench.answer("retest", route=bench.pick("immediate", "training"), failed=bench.pick("1", "2"))
    if not any(each.name == "plates" for each in result.values):
        raise CannotDraw("the rule of your test, as the guide holds it, names no such retest")
    decision = figure(result, "retest", "plates", "0", "after-retest", told_of(result, "rule", "route", "failed"),
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


def ask_record(bench: Bench) -> Decision:
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
        ((f"{missing[0]}: ", *flag.phrase), (judged.headline,)), (flag.source or ENTERED,), options=options_of(*labels),
        right=labels.index(missing[0]),
    )
