"""Answers that are no lengths, as bars and marks on a scale: current, shade, minutes, hours, dates, thickness
covered."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from fractions import Fraction

from calc.core.declare import Working
from calc.core.units import (
    CURRENT,
    FLOW,
    FORCE,
    GAS_VOLUME,
    HEAT_INPUT,
    HOUR,
    LENGTH,
    NUMBER,
    PERCENTAGE,
    SECOND,
    TEMPERATURE,
    TIME,
    TRAVEL_SPEED,
    VOLTAGE,
    Kind,
)
from calc.show.drawing import (
    Dimension,
    Drawing,
    Note,
    Path,
    Polygon,
    Row,
    Scale,
    Shape,
    box,
    metres,
    on_scale,
    words,
)


def _bar(w: Working, text: str, low: float, high: float, look: str = "allowed", name: str = "") -> Row:
    """A bar with its words; `{name}` in them is a quantity of the sheet."""
    return Row(w.phrase(text), low, high, look, name)


def _mark(w: Working, text: str, at: float, name: str = "") -> Row:
    return Row(w.phrase(text), at, None, "tool", name)


def _gauge(
    w: Working, name: str, title: str, along: str, kind: Kind | None, rows: Sequence[Row], *, from_zero: bool = True,
) -> Drawing:
    """Bars and marks along one scale; the description says the words of each row."""
    values = [float(value) for row in rows for value in (row.low, row.high) if value is not None]
    low, high = min(values), max(values)
    pad = 0.12 * ((high - min(low, 0.0 if from_zero else low)) or abs(high) or 1.0)
    said: list = [f"A scale of {along}: "]
    for number, row in enumerate(rows):
        said += [*(["; "] if number else []), *row.label]
    scale = Scale(min(low, 0.0) if from_zero else low - pad, high + pad, kind, along)
    return Drawing(name, title, (*said, "."), on_scale(scale, rows), lengths=False)


def acetylene(w: Working) -> Drawing:
    """The flow wanted beside what one cylinder may give."""
    safe, wanted = metres(w, "safe_rate", "flow")
    rows = (
        _bar(w, "one cylinder: up to {safe_rate}", 0.0, safe, name="safe"),
        _mark(w, f"wanted: {{flow}}, {'too much for one' if wanted > safe else 'one gives it'}", wanted, "wanted"),
    )
    return _gauge(w, "draw", "What one cylinder may give", "flow", FLOW, rows)


FULL_DOSE = 100.0


def noise(w: Working) -> Drawing:
    """The doses of the day beside the full one."""
    rows = [_bar(w, "full dose: 100 %", 0.0, FULL_DOSE, name="full")]
    for rule, name in (("osha", "OSHA"), ("niosh", "NIOSH")):
        dose, = metres(w, f"{rule}_dose")
        rows.append(_bar(w, f"{name}: {{{rule}_dose}}", 0.0, dose, "waste" if dose > FULL_DOSE else "fired", rule))
    return _gauge(w, "dose", "The noise dose of the day", "dose", PERCENTAGE, rows)


def fume(w: Working, shares: Sequence[str]) -> Drawing:
    """The shares of the fumes and their sum beside 1; `shares` are the names of the shares on the sheet."""
    total, = metres(w, "mixture")
    rows = [_bar(w, "limit of the sum: 1", 0.0, 1.0, name="limit")]
    for name in shares:
        rows.append(_bar(w, f"row {name.rpartition('_')[2]}: {{{name}}}", 0.0, *metres(w, name), "fired", name))
    rows.append(_bar(w, "sum: {mixture}", 0.0, total, "waste" if total > 1 else "fired", "sum"))
    return _gauge(w, "shares", "The shares of the fume limits", "share of the limit", NUMBER, rows)


def burned(w: Working) -> Drawing:
    """The oxygen that the kerf burns, to either oxide."""
    most, least = metres(w, "least_oxygen", "least_oxygen_feo")
    rows = (
        _bar(w, "burned to Fe₃O₄: {least_oxygen}", 0.0, most, "fired", "magnetite"),
        _bar(w, "burned to FeO: {least_oxygen_feo}", 0.0, least, "fired", "wustite"),
    )
    return _gauge(w, "oxygen", "Oxygen that the kerf burns", "oxygen", GAS_VOLUME, rows)


def lead_drop(w: Working) -> Drawing:
    """The voltage lost in the leads beside what you allow."""
    drop, most = metres(w, "drop", "most_drop")
    rows = (
        _bar(w, "lost in the leads: {drop}", 0.0, drop, "waste" if drop > most else "fired", "drop"),
        _bar(w, "allowed: {most_drop}", 0.0, most, name="allowed"),
    )
    return _gauge(w, "drop", "Voltage lost in the leads", "voltage", VOLTAGE, rows)


COVERED = 1.6
"""Outer diameter of a covered rod in core diameters, as drawn; no figure of the answer."""


def arc_gap(w: Working) -> Drawing:
    """The end of a rod over the plate, with the longest arc and the one to aim for."""
    core, longest = metres(w, "diameter", "longest")
    half, cover = core / 2, COVERED * core / 2
    tip = longest
    shapes: list[Shape] = [
        Polygon(box(-2.2 * core, -core, 2.2 * core, 0.0), "plate", "plate"),
        Polygon(box(-cover, tip, cover, tip + 2.2 * core), "backing", "covering"),
        Polygon(box(-half, tip, half, tip + 2.2 * core), "tool", "core"),
        Dimension((cover, 0.0), (cover, tip), w.phrase("at most {longest}"), -48, "longest"),
        Dimension((-half, tip + 2.2 * core), (half, tip + 2.2 * core), w.phrase("{diameter}"), 10, "core"),
    ]
    said = "The end of a rod of {diameter} over the plate. The arc is at most {longest} long"
    if "aim" in w.known:
        aim, = metres(w, "aim")
        shapes.append(Path(((-2.2 * core, aim), (cover, aim)), "center", "aim"))
        shapes.append(Note((-2.2 * core, aim), w.phrase("aim: {aim}"), "end", right=-4, narrow=True))
        said += ", better near {aim}"
    return Drawing("arc", "The length of the arc", w.phrase(said + "."), tuple(shapes), left=96, right=120, tallest=220)


def warm_enough(w: Working) -> Drawing:
    """The plate beside the minimum preheat and the maximum interpass temperature."""
    plate, least = metres(w, "metal", "least")
    most = metres(w, "interpass")[0] if "interpass" in w.known else None
    end = most if most is not None else max(plate, least) + 100.0
    label = "weld from {least}" + (" to {interpass}" if most is not None else " up; no maximum given")
    side = "too cold" if plate < least else "too hot" if most is not None and plate > most else "warm enough"
    rows = (
        Row(w.phrase(label), least, end, "allowed", "allowed", endless=most is None),
        _mark(w, f"plate: {{metal}}, {side}", plate, "plate"),
    )
    return _gauge(w, "warm", "How warm the plate must be", "temperature", TEMPERATURE, rows, from_zero=False)


def equivalents(w: Working) -> Drawing:
    """The carbon equivalents on one scale, each a figure of its own kind."""
    names = {"ce_iiw": "CE (IIW)", "ce_silicon": "CE with silicon", "cet": "CET"}
    rows = [_bar(w, f"{word}: {{{name}}}", 0.0, *metres(w, name), "fired", name) for name, word in names.items()]
    return _gauge(w, "equivalents", "The carbon equivalents", "carbon equivalent", PERCENTAGE, rows)


def both_heats(w: Working) -> Drawing:
    """Both heat inputs, and the limit on H where there is one."""
    plain, with_k = metres(w, "plain", "with_k")
    rows = [
        _bar(w, "H, what the arc gives: {plain}", 0.0, plain, "fired", "plain"),
        _bar(w, "Q, what reaches the plate: {with_k}", 0.0, with_k, "fired", "with-k"),
    ]
    if "most" in w.known:
        rows.append(_bar(w, "H allowed by your WPS: {most}", 0.0, *metres(w, "most"), "allowed", "most"))
    return _gauge(w, "heats", "Both heat inputs", "heat input", HEAT_INPUT, rows)


_SECONDS = TIME.shown_in(us=SECOND, si=SECOND)


def cooling(w: Working) -> Drawing:
    """The cooling time by both formulas; the longer one governs."""
    thick, thin = metres(w, "thick", "thin")
    rows = []
    for which, time in (("thick", thick), ("thin", thin)):
        governs = (which == "thin") == (thin > thick)
        said, look = (", governs", "fired") if governs else ("", "plain")
        rows.append(_bar(w, f"{which} plate: {{{which}}}{said}", 0.0, time, look, which))
    return _gauge(w, "cooling", "From 800 to 500 °C", "cooling time", _SECONDS, rows)


def travel(w: Working) -> Drawing:
    """The travel speed, and the limits of the WPS where they are given."""
    speed, = metres(w, "travel_speed")
    rows = [_mark(w, "you: {travel_speed}", speed, "speed")]
    given = [name for name in ("slowest", "fastest") if name in w.known]
    if len(given) == 2:
        rows.append(_bar(w, "your WPS: {slowest} to {fastest}", *metres(w, *given), name="allowed"))
    elif given:
        word = "at least" if given == ["slowest"] else "at most"
        rows.append(_mark(w, f"your WPS: {word} {{{given[0]}}}", *metres(w, *given), "limit"))
    return _gauge(w, "travel", "Your travel speed", "travel speed", TRAVEL_SPEED, rows)


def load(w: Working) -> Drawing:
    """The bending load as a band, and the rating of the jack where it is given."""
    low, middle, high = metres(w, "load_low", "load", "load_high")
    rows = [
        _mark(w, "about {load}", middle, "load"),
        _bar(w, "{load_low} to {load_high}", low, high, "fired", "band"),
    ]
    if "capacity" in w.known:
        rows.append(_bar(w, "the jack: up to {capacity}", 0.0, *metres(w, "capacity"), "allowed", "jack"))
    return _gauge(w, "load", "The bending load", "load", FORCE, rows)


def plates_again(plates: int, bends: int) -> Drawing:
    """The plates of a retest, each with its joint and its specimens."""
    shapes: list[Shape] = []
    each = bends // plates
    for number in range(plates):
        left = 1.3 * number
        shapes.append(Polygon(box(left, 0.0, left + 1.0, 0.8), "plate", f"plate-{number + 1}"))
        shapes.append(Polygon(box(left, 0.36, left + 1.0, 0.44), "weld"))
        for specimen in range(each):
            middle = left + (specimen + 1) / (each + 1)
            shapes.append(Polygon(box(middle - 0.07, 0.04, middle + 0.07, 0.76), "zone"))
    noun = "plate" if plates == 1 else "plates"
    said = words(f"{plates} {noun}, {bends} specimens: all must pass")
    shapes.append(Note((1.3 * (plates - 1) / 2 + 0.5, 0.0), said, up=-18))
    text = words(f"{plates} test {noun} with {bends} bend specimens in all.")
    return Drawing("again", "The plates of the retest", text, tuple(shapes), lengths=False, tallest=160)



def current(w: Working) -> Drawing:
    """The window of the rod, the current set, and what the other rules say."""
    low, high, amps, thumb = metres(w, "window_low", "window_high", "amps", "thumb_rule")
    side = "below" if amps < low else "above" if amps > high else "inside"
    rows = [
        Row(("set: ", w.known["amps"], f", {side} the window"), amps, None, "tool", "set", sets="amps"),
        Row(("window ", w.known["window_low"], " to ", w.known["window_high"]), low, high, "allowed", "window"),
        Row(("rule of thumb ", w.known["thumb_rule"]), thumb, None, "tool", "thumb"),
    ]
    text = f"A scale of amperes. The window runs from {{window_low}} to {{window_high}}; your {{amps}} is {side} it."
    text += " The rule of thumb gives {thumb_rule}."
    if "other_low" in w.known:
        rows.append(Row(("other table ", w.known["other_low"], " to ", w.known["other_high"]),
            *metres(w, "other_low", "other_high"), "allowed", "other"))
        text += " The other table gives {other_low} to {other_high}."
    if "second_opinion" in w.known:
        second, = metres(w, "second_opinion")
        rows.append(Row(("older table ", w.known["second_opinion"]), second, None, "tool", "second"))
        text += " An older table gives {second_opinion}."
    values = [value for row in rows for value in (float(row.low), float(row.high or row.low))]
    pad = 0.15 * (max(values) - min(values))
    scale = Scale(max(0.0, min(values) - pad), max(values) + pad, CURRENT, "amperage")
    return Drawing("window", "The amperage window", w.phrase(text), on_scale(scale, rows), lengths=False)


def wps_amps(w: Working, own: tuple[Fraction | None, Fraction | None], tables: Sequence[tuple[int, int]]) -> Drawing:
    """The amperage of the WPS beside the tables for the main rod."""
    low, high = own
    rows = [
        Row(words(f"a table that we hold: {least} to {most} A"), least, most, "allowed", f"table-{number}")
        for number, (least, most) in enumerate(tables, 1)
    ]
    if low is not None and high is not None:
        rows.insert(0, Row(words(f"your WPS: {float(low):g} to {float(high):g} A"), low, high, "fired", "wps"))
    elif low is not None or high is not None:
        end, word = (low, "minimum") if high is None else (high, "maximum")
        rows.insert(0, Row(words(f"your WPS, {word}: {float(end):g} A"), end, None, "tool", "wps"))
    return _gauge(w, "wps", "The amperage of the WPS", "amperage", CURRENT, rows, from_zero=False)


SHADES = tuple((float(shade), str(shade)) for shade in range(2, 15, 2))


def shades(w: Working, lens: int | None) -> Drawing:
    """The shades from light to dark: the least, where to start, and the lens in hand."""
    least, start = metres(w, "least_shade", "start_shade")
    rows = [
        Row(("allowed: ", w.known["least_shade"], " or darker"), least, 15, "allowed", "allowed", endless=True),
        Row(("start: ", w.known["start_shade"], " or darker"), start, None, "tool", "start"),
    ]
    text = "A scale of lens shades, darker to the right. The minimum shade is {least_shade}."
    text += " Start with {start_shade} or darker."
    if lens is not None:
        side = "too light" if lens < least else "lighter than the start" if lens < start else "dark enough"
        rows.append(Row(("your lens: ", w.known["lens"], f", {side}"), lens, None, "tool", "lens"))
        text += f" Your lens, {{lens}}, is {side}."
    scale = Scale(0.0, 16.0, None, "shade, darker to the right", SHADES)
    return Drawing("shades", "Lens shades", w.phrase(text), on_scale(scale, rows), lengths=False)


def duty(w: Working) -> Drawing:
    """One period of the duty cycle: arc time, then the pause."""
    period, on = metres(w, "duty_period", "minutes_on")
    rows = [Row(("weld ", w.known["minutes_on"]), 0, on, "fired", "weld")]
    if on < period:
        rows.append(Row(("pause ", w.known["minutes_off"]), on, period, "plain", "pause"))
    text = "One period of {duty_period} as a bar: weld {minutes_on}, then pause {minutes_off}."
    return Drawing("duty", "One period of the duty cycle", w.phrase(text),
        on_scale(Scale(0.0, period, TIME, "time from striking the arc"), rows), lengths=False)


HOURS = TIME.shown_in(us=HOUR, si=HOUR)


def exposure(w: Working) -> Drawing:
    """Time in the air against the time allowed."""
    out, limit = metres(w, "exposure", "limit")
    rows = [
        Row(("in the air: ", w.known["exposure"]), 0, out, "waste" if out >= limit else "fired", "out"),
        Row(("maximum: ", w.known["limit"]), 0, limit, "allowed", "limit"),
    ]
    text = "Two bars of hours. The rods have been in the air {exposure}; the maximum is {limit}."
    scale = Scale(0.0, 1.1 * max(out, limit), HOURS, "time out of the oven")
    return Drawing("hours", "Time out of the oven", w.phrase(text), on_scale(scale, rows), lengths=False)


def covered(w: Working, low: float | None, high: float | None) -> Drawing:
    """The thickness of work that a test plate covers; `low` and `high` are None where the rule sets no end."""
    plate, work = metres(w, "thickness", "work_thickness")
    most = 1.15 * max(plate, work, *(end for end in (low, high) if end is not None))
    side = "covered" if (low is None or low <= work) and (high is None or work <= high) else "not covered"
    reach = ("from ", w.known["qualified_low"]) if low is not None else ("no lower limit",)
    reach = (*reach, " to ", w.known["qualified_high"]) if high is not None else (*reach, ", no upper limit")
    rows = [
        Row(("test plate ", w.known["thickness"]), plate, None, "tool", "plate", sets="thickness"),
        Row(reach, low or 0.0, high or most * 0.93, "allowed", "covered", endless=high is None),
        Row(("your work ", w.known["work_thickness"], f": {side}"), work, None, "tool", "work"),
    ]
    text = "A scale of thickness. The test plate is {thickness} thick. It covers work " + (
        "from {qualified_low}" if low is not None else "without lower limit"
    ) + (" to {qualified_high}" if high is not None
    else " without upper limit") + f". Your work of {{work_thickness}} is {side}."
    return Drawing("covered", "Thickness covered", w.phrase(text),
        on_scale(Scale(0.0, most, LENGTH, "thickness"), rows), lengths=False)


def timeline(
    w: Working, dates: Sequence[datetime.date], dues: Sequence[datetime.date], today: datetime.date, alive: bool,
) -> Drawing:
    """Uses along the calendar, each with the stretch it keeps alive; `dues` are the last days in time after each
    date."""
    first, end = dates[0], max(today, dues[-1])
    days = (end - first).days

    def at(day: datetime.date) -> int:
        return (day - first).days

    shown = list(zip(dates, dues))[-6:]
    nexts = [day for day, _ in shown[1:]] + [today]
    rows = []
    late = 0
    for (day, due), following in zip(shown, nexts):
        over = following > due
        late += over
        words_ = f"{day}, in time to {due}" + (": too long" if over else "")
        rows.append(Row(words(words_), at(day), at(due), "waste" if over else "allowed", f"use-{len(rows) + 1}"))
    rows.append(Row(words(f"today {today}"), at(today), None, "tool", "today"))
    text = f"A time line from {first} to {end}. " + "; ".join(f"use on {day}, in time to {due}" for day, due in shown)
    text += f". Today is {today}. " + ("No stretch is too long." if alive and not late
        else "The qualification has lapsed.")
    legend = () if len(shown) == len(dates) else (f"The last {len(shown)} of {len(dates)} dates are drawn.",)
    scale = Scale(-0.02 * days, 1.02 * days, None, "date, year and month", _months(first, end))
    return Drawing("dates", "The stretches without the process", words(text), on_scale(scale, rows), lengths=False,
        legend=legend)


def _months(first: datetime.date, end: datetime.date) -> tuple[tuple[float, str], ...]:
    """First days of months, at most five of them, as days after the first date."""
    start = first.year * 12 + first.month
    count = end.year * 12 + end.month - start
    step = next((each for each in (1, 2, 3, 6, 12, 24, 36, 60, 120, 240, 480) if count <= 4 * each), 960)
    months = range(start + (-(start - 1)) % step if step <= 12 else start, start + count + 1, step)
    days = [datetime.date((month - 1) // 12, (month - 1) % 12 + 1, 1) for month in months]
    return tuple((float((day - first).days), f"{day:%Y-%m}") for day in days if day >= first)


def pass_chance(w: Working, band: str) -> Drawing:
    """The chance to pass the next plate and its band, from never to always."""
    chance, low, high = metres(w, "chance", "low", "high")
    rows = (
        _bar(w, f"{band} % band: {{low}} to {{high}}", low, high, "fired", "band"),
        _mark(w, "expected: {chance}", chance, "chance"),
        _bar(w, "from never to always", 0.0, 100.0, "plain", "whole"),
    )
    return _gauge(w, "chance", "The chance to pass the next plate", "plates passed of all", PERCENTAGE, rows)
