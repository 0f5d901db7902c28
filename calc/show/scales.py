"""Answers that are no lengths, as bars and marks on a scale: current, shade, minutes, hours, dates, thickness
covered."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from calc.core.declare import Working
from calc.core.units import CURRENT, HOUR, LENGTH, TIME
from calc.show.drawing import Drawing, Row, Scale, metres, on_scale, words


def current(w: Working) -> Drawing:
    """The window of the rod, the current set, and what the other rules say."""
    low, high, amps, thumb = metres(w, "window_low", "window_high", "amps", "thumb_rule")
    side = "below" if amps < low else "above" if amps > high else "inside"
    rows = [
        Row(("set: ", w.known["amps"], f", {side} the window"), amps, None, "tool", "set"),
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
    scale = Scale(max(0.0, min(values) - pad), max(values) + pad, CURRENT, "welding current")
    return Drawing("window", "The current window", w.phrase(text), on_scale(scale, rows), lengths=False)


SHADES = tuple((float(shade), str(shade)) for shade in range(2, 15, 2))


def shades(w: Working, lens: int | None) -> Drawing:
    """The shades from light to dark: the least, where to start, and the lens in hand."""
    least, start = metres(w, "least_shade", "start_shade")
    rows = [
        Row(("allowed: ", w.known["least_shade"], " or darker"), least, 15, "allowed", "allowed", endless=True),
        Row(("start: ", w.known["start_shade"], " or darker"), start, None, "tool", "start"),
    ]
    text = "A scale of lens shades, darker to the right. The least shade is {least_shade}."
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
        Row(("longest allowed: ", w.known["limit"]), 0, limit, "allowed", "limit"),
    ]
    text = "Two bars of hours. The rods have been in the air {exposure}; the longest allowed is {limit}."
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
        Row(("test plate ", w.known["thickness"]), plate, None, "tool", "plate"),
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
