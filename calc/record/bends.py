"""The bend specimens of a record: their kinds, sizes and places on the plate, and what opened on them."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from calc.core.declare import Amount, InputError, Level, Result
from calc.core.sources import ENTERED
from calc.core.units import INCH, LENGTH, parse
from calc.record.bench import Bench, Line
from calc.stages import coupons as layout
from calc.stages.bend import BEND_RATIO, JIG_FIGURE
from calc.stages.coupons import COUPON_LAYOUT
from calc.stages.judging import BEND_JUDGE, RULES, Verdict
from calc.stages.steels import find_steel

_LAYOUT_RULES = ("aws", "asme", "cfr")
_ONE_ALONE = {"rule": "face-root", "number": "1", "plate_length": "60 in"}
"""The layout asked about one specimen by itself, on a plate that is long enough for any."""


def coupon_sizes(bench: Bench) -> Result | None:
    """Kinds and number by the rule, each size by the layout and the bend ratio.

    Returns the layout on the plate, if it can be had.
    """
    rows = bench.cells["coupons"]
    _jig(bench)
    for number, row in enumerate(rows, 1):
        # A file may hold words that are no kind: the specimen then has no name, and it counts as not bent.
        row.setdefault("kind", "unnamed")
        row.setdefault("bent", "no")
        _one_coupon(bench, row, number)
    if not bench.has("thickness"):
        return None
    _kinds(bench, [row["kind"] for row in rows])
    return _marked_out(bench, rows)


def _jig_inputs(bench: Bench) -> dict[str, str]:
    """Plunger, steel and measured yield strength.

    What is blank stays blank: a default of the calculator would judge another steel.
    """
    inputs = {"yield_strength": "", "yield_of": "certificate", **bench.some("plunger_diameter", "yield_strength")}
    steel = find_steel(bench.texts.get("steel", ""))
    return {**inputs, "steel": steel.value} if steel else inputs


def _jig(bench: Bench) -> None:
    """The plunger for a specimen of the usual thickness, and whose yield strength it goes by."""
    if bench.has("plunger_diameter"):
        answer = bench.ask(BEND_RATIO, _jig_inputs(bench), "plunger_diameter")
        bench.keep("plunger_diameter", answer, "severity")
        bench.keep("yield_strength", answer, "yield*")


def _one_coupon(bench: Bench, row: dict[str, str], number: int) -> None:
    place = f"coupons/{number}/thickness"
    if "thickness" in row and bench.has("plunger_diameter"):
        answer = bench.ask(BEND_RATIO, {**_jig_inputs(bench), "thickness": row["thickness"]}, place, thickness=place)
        bench.keep(place, answer, "severity", "table-range")
    elif "thickness" in row:
        words = "Write the plunger diameter above, and this thickness is judged."
        bench.say(place, Level.INCOMPLETE, "severity", words, JIG_FIGURE, BEND_RATIO)
    if {"thickness"} <= row.keys() and bench.has("thickness"):
        own, plate = (parse(text, LENGTH, bench.record.bare) for text in (row["thickness"], bench.texts["thickness"]))
        if own > plate:
            bench.say(
                place, Level.STOP, "thicker", "Thicker than the plate that it was cut from: one of the two was "
                "measured wrong.", ENTERED, COUPON_LAYOUT,
            )
    if "radius" in row:
        at = f"coupons/{number}/radius"
        bench.keep(at, bench.ask(COUPON_LAYOUT, {**_ONE_ALONE, "radius": row["radius"]}, at, radius=at), "edge-radius")
    if row["kind"] != "side":
        at = f"coupons/{number}/width"
        if "width" in row:
            answer = bench.ask(COUPON_LAYOUT, {**_ONE_ALONE, "width": row["width"]}, at, width=at)
            bench.keep(at, answer, "wide-plunger", "coupon-width")
        else:
            bench.say(
                at, Level.INCOMPLETE, "coupon-width", "Measure the specimen, and write its width.", JIG_FIGURE,
                COUPON_LAYOUT,
            )


def _kinds(bench: Bench, kinds: list[str]) -> None:
    """Whether the specimens noted are those of the rule, in kind and number."""
    rule = bench.texts.get("bend_rule")
    if not rule or not kinds:
        return
    found = layout.kinds_found(rule, parse(bench.texts["thickness"], LENGTH, bench.record.bare), tuple(kinds))
    have = f"noted are {layout.kinds_in_words(tuple(kinds))}"
    place = "coupons" if rule in layout.KIND_SOURCE else "bend_rule"
    bench.say(place, found.level, "kinds", found.said(have), found.source, COUPON_LAYOUT)


def _marked_out(bench: Bench, rows: list[dict[str, str]]) -> Result | None:
    if not bench.has("plate_length"):
        return None
    rule = bench.texts.get("bend_rule", "")
    kinds = [row["kind"] for row in rows]
    if kinds:
        rule = "side" if set(kinds) == {"side"} else "face-root"
    elif rule not in _LAYOUT_RULES:
        return None
    names = (
        "thickness", "plate_length", "plate_width", "discard", "saw_cut", "gap", "coupon_length", "plunger_diameter",
    )
    inputs = {"rule": rule, "number": str(len(kinds)) if kinds else "", **bench.some(*names)}
    widths = {row.get("width" if rule == "face-root" else "thickness") for row in rows}
    if len(widths) == 1 and all(widths):
        inputs["width"] = widths.pop()
    if rule == "face-root" and (ground := _ground_off(bench, rows)):
        inputs["ground"] = ground
    answer = bench.ask(COUPON_LAYOUT, inputs, "plate_length", width="coupons")
    for place, ids in _MARKED.items():
        if place in bench.texts:
            bench.keep(place, answer, *ids)
    if bench.has("plate_width", "coupon_length"):
        bench.keep("coupon_length", answer, "plate-width")
    if kinds:
        bench.keep("coupons", answer, "plate-length")
    return answer


def _ground_off(bench: Bench, rows: list[dict[str, str]]) -> str:
    """How much thinner than the plate its face and root specimens are, where all are alike; the jig must span what
    is bent.
    """
    thicknesses = {row.get("thickness") for row in rows}
    if len(thicknesses) != 1 or None in thicknesses:
        return ""
    left = parse(thicknesses.pop(), LENGTH, bench.record.bare)
    ground = parse(bench.texts["thickness"], LENGTH, bench.record.bare) - left
    return f"{float(ground / INCH.factor):.6f} in" if ground > 0 else ""


_MARKED = {
    "plate_length": ("plate-length",), "plate_width": ("plate-width",), "coupon_length": ("span",),
    "discard": ("discard",),
}
"""The checks of the layout, by the field that each is about."""


_NAMED = re.compile(r"([Ss])pecimen (\d+) \((?:face|root|side) bend\)")
_LEVELS = {
    Verdict.PASSES.value: Level.OK, Verdict.FAILS.value: Level.STOP, Verdict.REPLACE.value: Level.INCOMPLETE,
    Verdict.UNFINISHED.value: Level.INCOMPLETE,
}


def bends(bench: Bench) -> tuple[Line, ...]:
    """Every specimen noted, and all of them together, by the rule chosen. Specimens not bent yet wait."""
    rule = next((each for each in RULES if each.key == bench.texts.get("bend_rule")), None)
    rows = bench.cells["coupons"]
    if rule is None:
        return (Line("bends", "All specimens", Level.INCOMPLETE, "not judged: no rule chosen", "", ENTERED),)
    if not bench.has("figures"):
        return (
            Line(
                "bends", "All specimens", Level.INCOMPLETE, "not judged: choose inch or millimeter figures", rule.name,
                rule.source,
            ),
        )
    bent = [number for number, row in enumerate(rows, 1) if row["bent"] == "yes"]
    answer, waiting = _ask_bends(bench, rule, bent)
    names = {number: f"Specimen {number}, {row['kind']} bend" for number, row in enumerate(rows, 1)}
    lines = []
    for number in range(1, len(rows) + 1):
        if number not in bent:
            if rows[number - 1]["bent"] == "no" and bench.record.rows["coupons"][number - 1][3].strip():
                bench.say(f"coupons/{number}/bent", Level.INCOMPLETE, "bent", "Not bent yet.", rule.source, BEND_JUDGE)
            lines.append(
                Line(f"coupon-{number}", names[number], Level.INCOMPLETE, "not bent yet", rule.name, rule.source)
            )
        elif answer is None or number in waiting:
            lines.append(
                Line(
                    f"coupon-{number}", names[number], Level.INCOMPLETE, "not judged: an open discontinuity on it has "
                    "no size or none that can be used", rule.name, rule.source,
                )
            )
        else:
            value = answer[f"coupon_{bent.index(number) + 1}"]
            lines.append(
                Line(f"coupon-{number}", names[number], _LEVELS[value.wording], value.wording, rule.name, value.source)
            )
    return (*lines, _all_coupons(rule, lines, answer))


def _past_the_end(bench: Bench) -> None:
    """An open discontinuity noted farther along than its specimen is long."""
    if not bench.has("coupon_length"):
        return
    length = parse(bench.texts["coupon_length"], LENGTH, bench.record.bare)
    for position, row in enumerate(bench.cells["findings"], 1):
        if "along" in row and parse(row["along"], LENGTH, bench.record.bare) > length:
            words = (
                "Farther along than the specimen is long, ", Amount(length, LENGTH, as_written=True),
                ". Measure again from the left end.",
            )
            bench.say(f"findings/{position}/along", Level.CAUTION, "along", words, ENTERED, BEND_JUDGE)


def _ask_bends(bench: Bench, rule: Any, bent: list[int]) -> tuple[Result | None, set[int]]:
    """The judging calculator asked for the bent specimens, its sentences put where they belong; and specimens with
    an open discontinuity it cannot use.
    """
    findings, waiting = bench.cells["findings"], set()
    _past_the_end(bench)
    used: list[tuple[int, dict[str, str]]] = []
    for position, row in enumerate(findings, 1):
        place = f"findings/{position}"
        if "coupon" not in row:
            # An open discontinuity whose specimen is not known may be on any of them.
            waiting.update(bent)
            bench.say(
                f"{place}/coupon", Level.INCOMPLETE, "opening", "Write on which specimen it is; until then no specimen "
                "has a verdict.", ENTERED, BEND_JUDGE,
            )
        elif int(row["coupon"]) not in bent:
            words = (
                f"Specimen {int(row['coupon'])} is not noted as bent. Add it under Bend specimens, with “Bent” set to "
                "yes."
            )
            bench.say(f"{place}/coupon", Level.INCOMPLETE, "opening", words, ENTERED, BEND_JUDGE)
        elif not {"size", "place", "flaw"} <= row.keys():
            waiting.add(int(row["coupon"]))
            if not bench.record.rows["findings"][position - 1][1].strip():
                bench.say(
                    f"{place}/size", Level.INCOMPLETE, "opening",
                    "Write its size; until then this specimen has no verdict.", ENTERED, BEND_JUDGE,
                )
        else:
            used.append((position, row))
    if not bent:
        return None, waiting
    if rule.half_wall and not bench.has("thickness"):
        bench.say(
            "bend_rule", Level.INCOMPLETE, "opening", "This rule goes by the wall. Write the plate thickness; until "
            "then no specimen has a verdict.", rule.source, BEND_JUDGE,
        )
        return None, waiting
    openings = "\n".join(
        f"{bent.index(int(row['coupon'])) + 1} | {row['size']} | {row['place']} | {row['flaw']}" for _, row in used
    )
    kinds = {bench.cells["coupons"][number - 1]["kind"] for number in bent}
    kind = kinds.pop() if len(kinds) == 1 else ""
    inputs = {
        "rule": rule.key, "coupons": str(len(bent)), "openings": openings, **bench.some("figures"),
        "kinds": kind if kind in ("side", "root") else "face-root",
    }
    if rule.half_wall or _is_wall(bench):
        inputs["wall"] = bench.texts["thickness"]
    answer = bench.ask(BEND_JUDGE, inputs, "bend_rule", wall="thickness")
    if answer:
        _place_sentences(bench, answer, used, bent)
    return answer, waiting


def _is_wall(bench: Bench) -> bool:
    """Whether the plate thickness is one that the judging form takes as a wall; only the comparison with other rules
    needs it.
    """
    try:
        return bench.has("thickness") and BEND_JUDGE.input("wall").read(
            bench.texts["thickness"], bench.record.bare,
        ) is not None
    except InputError:
        return False


def _place_sentences(bench: Bench, answer: Result, used: list[tuple[int, dict[str, str]]], bent: list[int]) -> None:
    rows = bench.cells["coupons"]

    def named(match: re.Match[str]) -> str:
        number = bent[int(match[2]) - 1]
        return f"{match[1]}pecimen {number} ({rows[number - 1]['kind']} bend)"

    def renumbered(part: Any) -> Any:
        if not isinstance(part, str):
            return part
        part = _NAMED.sub(named, part)
        return re.sub(
            r"^Open discontinuity (\d+)", lambda match: f"Open discontinuity {used[int(match[1]) - 1][0]}", part,
        )

    for check in answer.checks:
        subject, _, number = check.id.rpartition("-")
        if check.id in ("kinds", "count") or (check.id == "test" and check.level is not Level.STOP) or (
            check.level is Level.NOTE and subject not in ("opening", "coupon")
        ):
            # Kinds and number are judged for all specimens noted, bent or not; the verdict of the test is a line of its own.
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
    """The bent test: fails as soon as the rule says so; waits while a specimen is not bent, not judged or missing."""
    label = "All specimens"
    if answer is None:
        return Line(
            "bends", label, Level.INCOMPLETE, "not complete: no specimen has been bent and judged", rule.name,
            rule.source,
        )
    wording = answer["verdict"].wording.removesuffix(" (study help, not a certification)")
    level = _LEVELS[wording]
    waiting = [line for line in lines if line.level is Level.INCOMPLETE]
    if level is not Level.STOP and waiting:
        names = ", ".join(line.label.split(",")[0].lower() for line in waiting)
        return Line("bends", label, Level.INCOMPLETE, f"not complete: {names} not judged yet", rule.name, rule.source)
    if level is Level.INCOMPLETE:
        return Line(
            "bends", label, level, f"not complete: this rule goes by {rule.coupons} specimens", rule.name, rule.source,
        )
    return Line("bends", label, level, wording, rule.name, rule.source)
