"""The figures of the test day before the weld is looked at: plate, joint, machine, rods and heat.

Each figure is judged by the calculator of its stage. A calculator's defaults are used only where they cannot touch the
checks that are kept.
"""

from __future__ import annotations

import datetime

from calc.core.declare import Amount, InputError, Level
from calc.core.sources import COMMON, ENTERED
from calc.core.units import LENGTH, parse
from calc.record.bench import BLANK, Bench
from calc.stages import coupons as layout
from calc.stages.current import CURRENT_SETTING
from calc.stages.fitup import FIT_UP
from calc.stages.groove import GROOVE
from calc.stages.heat import PREHEAT
from calc.stages.passes import PASSES
from calc.stages.qualification import ASME, D11, ISO, TEST_PLAN
from calc.stages.rods import ROD_EXPOSURE
from calc.stages.steels import OTHER

_PLAN_RULE = {"aws": D11, "asme": ASME, "iso": ISO}


DECIDING = (
    "date", "welder", "procedure", "bend_rule", "figures", "visual_rule", "fit_up_rule", "steel", "heat_number",
    "plate_mark", "thickness", "plate_length", "position", "direction", "electrode", "diameter", "lot", "rods_out",
    "rods_last", "required", "readings", "bevel_angle", "root_face", "mismatch", "backing_gap", "polarity", "amps",
    "air", "plate_temperature", "passes", "root", "plunger_diameter", "coupons",
)
"""What a complete sheet of the day has. Without one of these something that the rules go by was not seen."""
GIVEN_BY_THE_WPS = ("amps_low", "amps_high", "preheat_minimum", "interpass")
"""What only the WPS says: while it is blank, nothing is judged by it, and that is not known to us."""
_ASKED_IF = {
    "direction": lambda texts: texts.get("position") == "3G",
    "rods_out": lambda texts: texts.get("electrode") == "E7018",
    "rods_last": lambda texts: texts.get("electrode") == "E7018",
}
_IN_EACH = {
    "readings": ("place", "opening"), "passes": ("rods", "temperature"), "coupons": ("kind", "thickness", "bent"),
    "findings": ("coupon", "size", "place", "flaw"),
}
"""What each row of a list must have."""


def written_down(bench: Bench, today: datetime.date | None) -> None:
    """What is not written down was not seen; and a day that has not come is no day of a test."""
    for name in DECIDING:
        asked = _ASKED_IF.get(name, lambda texts: True)(bench.texts)
        there = bench.cells[name] if name in bench.cells else bench.record.text(name).strip()
        if asked and not there:
            bench.say(name, Level.INCOMPLETE, BLANK, "Not written down.", ENTERED)
    for name in GIVEN_BY_THE_WPS:
        if not bench.record.text(name).strip():
            label = bench.record.form.field(name).label.removesuffix(" of your WPS")
            bench.say(
                name, Level.NOT_KNOWN, BLANK, f"The {label.lower()} is given by the WPS. Ask for it.", ENTERED,
            )
    for name, columns in _IN_EACH.items():
        for number, row in enumerate(bench.record.rows.get(name, ()), 1):
            for column, text in zip(bench.record.form.field(name).columns, row, strict=True):
                if column.name in columns and not text.strip():
                    bench.say(f"{name}/{number}/{column.name}", Level.INCOMPLETE, BLANK, "Not written down.", ENTERED)
    if today and bench.has("date") and bench.record.form.field("date").read(bench.texts["date"], "us") > today:
        bench.say(
            "date", Level.INCOMPLETE, "date", f"This day has not come: today is {today}. Write the day of the test, or "
            "set the clock.", ENTERED,
        )


def plate(bench: Bench) -> None:
    """The kind of specimens that the rule's table gives for this plate, and whether it has a row for it."""
    rule = _PLAN_RULE.get(bench.texts.get("bend_rule", ""))
    if not rule or not bench.has("thickness"):
        return
    # The position changes nothing that is kept here; the thickness of work is not asked on the day.
    plan = bench.ask(TEST_PLAN, {"rule": rule, **bench.some("thickness", "position")}, "thickness")
    if plan:
        value = plan["coupons"]
        bench.say(
            "thickness", Level.NOTE, "coupons", f"The table of the rule gives for this plate: {value.wording}.",
            value.source, TEST_PLAN,
        )
        bench.keep("thickness", plan, "nominal", "thin-plate")


def joint(bench: Bench) -> None:
    """Angle, opening and root face by the groove, each reading by the tolerance chosen, step and backing gap on
    their own.
    """
    # The width across both plates touches no check kept here; its largest figure never gets in the way.
    wide = {"finished_width": "48 in"}
    asked = {**bench.some("thickness", "bevel_angle"), **wide}
    required = {"root_opening": bench.texts["required"]} if bench.has("required") else {}
    # An opening and an angle go together; where one of them cannot be used, the other is judged with the usual one.
    pair = None
    if required and bench.has("thickness", "bevel_angle"):
        pair = bench.ask(GROOVE, {**asked, **required}, "bevel_angle", root_opening="required")
    if bench.has("thickness", "bevel_angle"):
        bench.keep("bevel_angle", pair or bench.ask(GROOVE, asked, "bevel_angle"), "included-angle*")
    if required:
        groove = pair or bench.ask(GROOVE, {**required, **wide}, "required", root_opening="required")
        bench.keep("required", groove, "opening*")
    if bench.has("root_face", "thickness") and _lies_in(bench, "root_face", "thickness"):
        groove = bench.ask(GROOVE, {**bench.some("thickness", "root_face"), **wide}, "root_face")
        bench.keep("root_face", groove, "root-face*")
    _readings(bench)
    quiet = {"openings": "0 in | 1/4 in", "required": "1/4 in"}
    if bench.has("mismatch", "thickness"):
        bench.keep(
            "mismatch", bench.ask(FIT_UP, {**quiet, **bench.some("mismatch", "thickness")}, "mismatch"), "mismatch",
        )
    if bench.has("backing_gap"):
        bench.keep(
            "backing_gap", bench.ask(FIT_UP, {**quiet, **bench.some("backing_gap")}, "backing_gap"), "backing-gap",
        )


def _lies_in(bench: Bench, name: str, within: str) -> bool:
    """Whether one length is not more than another; says so where it is, since one of the two must be measured wrong."""
    length, most = (parse(bench.texts[each], LENGTH, bench.record.bare) for each in (name, within))
    if length > most:
        words = (
            "More than the plate thickness of ", Amount(most, LENGTH, as_written=True),
            ": one of the two is measured wrong.",
        )
        bench.say(name, Level.STOP, name.replace("_", "-"), words, ENTERED, GROOVE)
    return length <= most


def _readings(bench: Bench) -> None:
    if not bench.has("required", "fit_up_rule"):
        return
    lacking = [name for name in ("over", "under") if bench.texts["fit_up_rule"] == "own" and name not in bench.texts]
    for name in lacking:
        bench.say(
            name, Level.NOT_KNOWN, "tolerance", "You judge by a tolerance of your own. Take its figure from the WPS "
            "and write it.", ENTERED, FIT_UP,
        )
    if lacking:
        return
    rule = {
        "required": bench.texts["required"], "rule": bench.texts["fit_up_rule"],
        **bench.some("over", "under", "thickness"),
    }
    whole = []
    for number, row in enumerate(bench.cells["readings"], 1):
        if "opening" not in row:
            continue
        place = f"readings/{number}/opening"
        fit = bench.ask(
            FIT_UP, {**rule, "openings": f"{row.get('place', '0 in')} | {row['opening']}"}, place, required="required",
            openings=place,
        )
        bench.keep(place, fit, "reading-*")
        if "place" in row:
            whole.append(f"{row['place']} | {row['opening']}")
    if whole:
        fit = bench.ask(FIT_UP, {**rule, "openings": "\n".join(whole)}, "readings", openings="readings")
        bench.keep("readings", fit, "evenness", "taper", "bow")
    if bench.has("plate_length"):
        _reach(bench)


def _reach(bench: Bench) -> None:
    """The readings lie on the plate and come to both its ends."""
    length = parse(bench.texts["plate_length"], LENGTH, bench.record.bare)
    places = {
        number: parse(row["place"], LENGTH, bench.record.bare) for number, row in enumerate(bench.cells["readings"], 1)
        if "place" in row
    }
    for number, place in places.items():
        if place > length:
            words = "This place lies past the end of the plate. Look at the place and at the length of the plate."
            bench.say(f"readings/{number}/place", Level.STOP, "place", words, ENTERED, FIT_UP)
    near = layout.DISCARD.amount
    if places and (min(places.values()) > near or max(places.values()) < length - near):
        words = (
            "The readings do not come within ", Amount(near, LENGTH, as_written=True),
            " of both ends. Measure there too.",
        )
        bench.say("readings", Level.INCOMPLETE, "ends", words, COMMON, FIT_UP)


_BAND = {"amps_low": "wps_low", "amps_high": "wps_high"}


def machine(bench: Bench) -> None:
    """Polarity; the current seen, on the machine and in each pass, by the WPS first; a rod too large for the position.
    """
    if not bench.has("electrode", "diameter"):
        return
    band = {wps: bench.texts[name] for name, wps in _BAND.items() if name in bench.texts}
    base = {**bench.some("electrode", "diameter"), **_position(bench), **bench.some("polarity")}
    if bench.has("polarity"):
        bench.keep("polarity", bench.ask(CURRENT_SETTING, base, "diameter"), "polarity")
    if bench.has("direction"):
        bench.keep("direction", bench.ask(CURRENT_SETTING, base, "diameter"), "progression")
    figures = [("amps", bench.texts.get("amps"))]
    figures += [(f"passes/{number}/amps", row.get("amps")) for number, row in enumerate(bench.cells["passes"], 1)]
    for place, amps in figures:
        if amps:
            answer = bench.ask(CURRENT_SETTING, {**base, **band, "amps": amps}, "diameter", wps_low="amps_low")
            bench.keep(place, answer, "wps", "window*")
    if bench.has("position"):
        bench.keep("diameter", bench.ask(CURRENT_SETTING, base, "diameter"), "rod-size")


def _position(bench: Bench) -> dict[str, str]:
    """Position and direction as the current calculator takes them.

    Without a position the flat one, which has no check of its own.
    """
    given = {"position": bench.texts.get("position", "1G")}
    return {**given, "progression": bench.texts["direction"]} if bench.has("direction") else given


def exposure(bench: Bench) -> None:
    """How long low-hydrogen rods had been out of the oven when the last one was lit."""
    if bench.texts.get("electrode") != "E7018" or not bench.has("rods_out", "rods_last"):
        return
    inputs = {
        "rod": bench.texts.get("rod_suffix", "E7018"), "out_at": bench.texts["rods_out"],
        "now": bench.texts["rods_last"],
    }
    inputs |= {"earlier": bench.texts["rods_earlier"]} if bench.has("rods_earlier") else {}
    inputs |= {"own_limit": bench.texts["rods_limit"], "rule": "shorter"} if bench.has("rods_limit") else {}
    # The oven, wet rods and an earlier rebake are not on this sheet.
    answer = bench.ask(ROD_EXPOSURE, inputs, "rods_last", out_at="rods_out", earlier="rods_earlier",
        own_limit="rods_limit")
    bench.keep("rods_last", answer, "exposure", "next-day")
    bench.keep("rods_limit", answer, "own-limit")


def heat(bench: Bench) -> None:
    """The steel's row, the air, the limit between passes, and the plate before welding and before each pass."""
    if not bench.has("thickness", "electrode"):
        return
    base = {
        "electrode": "low-hydrogen" if bench.texts["electrode"].upper().startswith("E7018") else "other",
        **bench.some("thickness", "interpass"),
    }
    if bench.has("preheat_minimum"):
        base["wps_minimum"] = bench.texts["preheat_minimum"]
    if bench.has("steel"):
        try:
            base["steel"] = PREHEAT.input("steel").read(bench.texts["steel"], bench.record.bare)
        except InputError as trouble:
            bench.say("steel", Level.NOT_KNOWN, "steel", trouble.message, ENTERED, PREHEAT)
            if "wps_minimum" not in base:
                return
            base["steel"] = OTHER  # what is left to judge by is the WPS
        else:
            bench.keep("steel", bench.ask(PREHEAT, base, "steel"), "steel", "rod-for-steel")
    if bench.has("air"):
        bench.keep("air", bench.ask(PREHEAT, {**base, **bench.some("air")}, "air"), "air")
    figures = [("plate_temperature", bench.texts.get("plate_temperature"))]
    figures += [
        (f"passes/{number}/temperature", row.get("temperature")) for number, row in enumerate(bench.cells["passes"], 1)
    ]
    for place, metal in figures:
        if metal:
            answer = bench.ask(PREHEAT, {**base, "metal": metal}, place, metal=place, wps_minimum="preheat_minimum")
            bench.keep(place, answer, "preheat", "cold-metal", "interpass")
            bench.keep("preheat_minimum", answer, "wps-minimum")
            bench.keep("interpass", answer, "interpass-limit")
            bench.keep("thickness", answer, "metric-column")


def count_rods(bench: Bench) -> None:
    """The rods used beside the rods that the groove takes, where every pass has its count."""
    rows = bench.cells["passes"]
    if not rows or any("rods" not in row for row in rows) or not bench.has(
        "thickness", "bevel_angle", "required", "electrode", "diameter", "plate_length",
    ):
        return
    inputs = {
        "root_opening": bench.texts["required"], "length": bench.texts["plate_length"],
        **bench.some("thickness", "bevel_angle", "electrode", "diameter", "root_face"),
    }
    answer = bench.ask(PASSES, inputs, "passes", root_opening="required", length="plate_length")
    if answer is None:
        return
    used, about = sum(int(row["rods"]) for row in rows), answer["rods"]
    words = (
        f"Rods used: {used}. By the size of the groove about {about.text('us')}, whole 14 in rods with the usual stub; "
        "a rough figure."
    )
    share = used / float(about.amount)
    empty = [str(number) for number, row in enumerate(rows, 1) if int(row["rods"]) == 0]
    if empty:
        bench.say(
            "passes", Level.STOP, "rods", f"No rod is written for pass {', '.join(empty)}: without a rod there is no "
            "pass.", ENTERED, PASSES,
        )
    elif share < FEWEST_RODS:
        bench.say(
            "passes", Level.STOP, "rods", f"{words} So few cannot fill it: look at the count, the groove and the weld.",
            COMMON, PASSES,
        )
    elif share > MOST_RODS:
        bench.say(
            "passes", Level.CAUTION, "rods", f"{words} So many do not fit the groove: look at the count and the sizes.",
            COMMON, PASSES,
        )
    else:
        bench.say("passes", Level.NOTE, "rods", words, about.source, PASSES)


FEWEST_RODS, MOST_RODS = 0.5, 2.0
"""Between which shares of the rods worked out a count is believed. Our own judgement, no source."""
