"""The days of a class: its shop made from the form, its timetable as words, as a chart, as tables and as a file.

The steps of a plate: torch, fit-up, booth, visual inspection, saw, bend. The inspector looks at each weld, and stands
at the jig while its specimens are bent and judged. A trainee is held by every step but the visual inspection.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from calc.core.declare import InputError, Phrase
from calc.core.units import LENGTH, NUMBER, Number
from calc.planning import timetable
from calc.planning.class_estimate import up
from calc.planning.roster import Roster
from calc.planning.timetable import DAY, Hours, Plate, Shop, Station, Step, Timetable
from calc.show.drawing import SHEET_WIDTH, Drawing, Row, Scale, on_scale
from calc.show.plot import Axis, Column, Curve, Listing, Plot, Table, Tag
from calc.show.table import csv_table


@dataclass(frozen=True)
class Room:
    """A station of the class: its key in the figures, one of it and all of it in words, the input that counts it, and
    the look of its boxes.
    """

    key: str
    one: str
    all: str
    count: str
    look: str


ROOMS = (
    Room("cut", "Torch", "Torches", "torches", "waste"), Room("fit", "Table", "Fit-up tables", "tables", "plate"),
    Room("weld", "Booth", "Booths", "booths", "weld"), Room("visual", "Inspector", "Inspectors", "inspectors", "fired"),
    Room("coupon", "Saw", "Saws and grinders", "grinders", "backing"), Room("bend", "Jig", "Bending jigs", "jigs", "tool"),
)
_INSPECTOR, _JIG = 3, 5
WELDING = 2
"""The step that may pause between its passes."""
_STEPS = ((0,), (1,), (2,), (3,), (4,), (_JIG, _INSPECTOR))
STEP_WORDS = ("Cut", "Fit-up", "Weld", "Visual inspection", "Specimens", "Bends")


# --- the shop -------------------------------------------------------------------------


def _minute(time: datetime.time) -> int:
    return time.hour * 60 + time.minute


def hours_of(given: Mapping[str, Any]) -> Hours | None:
    """The working hours of a day; None where the day has no end. Raises `InputError` where they cannot be."""
    start, end = given["day_start"], given["day_end"]
    if end is None:
        return None
    if end <= start:
        raise InputError("day_end", "End of the day", f"it must come after {start:%H:%M}, the start of the day")
    stretches = [(_minute(start), _minute(end))]
    for number, (low, high) in enumerate(sorted(given["breaks"]), 1):
        if high <= low:
            raise InputError("breaks", "Breaks", f"a break from {low:%H:%M} to {high:%H:%M} has no length")
        cut = []
        for first, last in stretches:
            cut += [(first, min(last, _minute(low))), (max(first, _minute(high)), last)]
        stretches = [(first, last) for first, last in cut if first < last]
    if not stretches:
        raise InputError("breaks", "Breaks", "they take the whole day")
    return Hours(tuple(stretches))


def _inspection(given: Mapping[str, Any], hours: Hours) -> Hours:
    start, end = given["inspector_start"], given["inspector_end"]
    first, last = _minute(start) if start else 0, _minute(end) if end else DAY
    seen = hours.within(first, last)
    if not seen.stretches:
        raise InputError(
            "inspector_end" if last <= first else "inspector_start", "Inspector",
            "no hour of the inspector lies in the working day",
        )
    return seen


def shop_of(given: Mapping[str, Any], roster: Roster, seconds: Callable[[str], Number]) -> Shop | None:
    """The shop for a timetable; `seconds` gives the time of a step by its key. None where the day has no end."""
    hours = hours_of(given)
    if hours is None:
        return None
    inspection = _inspection(given, hours)
    stations = tuple(
        Station(room.one, given[room.count], inspection if number == _INSPECTOR else hours)
        for number, room in enumerate(ROOMS)
    )
    minutes: Callable[[str], int] = lambda key: max(1, up(float(seconds(key)) / 60))  # noqa: E731
    kinds = {}
    for number, thickness in enumerate(roster.thicknesses, 1):
        weld = minutes(f"weld_each_{number}")
        passes = min(given["passes"], weld)
        pieces = tuple(weld // passes + (each < weld % passes) for each in range(passes))
        times = (
            (minutes(f"cut_each_{number}"),), (minutes("fit_each"),), pieces, (minutes("visual_each"),),
            (minutes("coupon_each"),), (minutes("bend_each"),) if given["coupons"] else (),
        )
        kinds[thickness] = tuple(
            Step(where, time, own=where != (_INSPECTOR,)) for where, time in zip(_STEPS, times) if time
        )
    plates = tuple(Plate(entry.trainee, kinds[entry.thickness]) for entry in roster.entries)
    return Shop(hours, stations, plates, given["seed"])


# --- in words -------------------------------------------------------------------------


def clock(moment: int, days: int) -> str:
    """A moment in words; with its day where there are several.

    >>> clock(425, 1), clock(1440 + 425, 2)
    ('07:05', 'day 2, 07:05')
    """
    day, minute = divmod(moment, DAY)
    time = f"{minute // 60:02}:{minute % 60:02}"
    return time if days == 1 else f"day {day + 1}, {time}"


def span(minutes: int) -> str:
    """So many minutes in words.

    >>> span(45), span(120), span(125)
    ('45 min', '2 h', '2 h 5 min')
    """
    hours, rest = divmod(minutes, 60)
    return " ".join([*([f"{hours} h"] if hours else []), *([f"{rest} min"] if rest or not hours else [])])


def why(plan: Timetable, roster: Roster) -> str:
    """What makes it that no timetable ends earlier than the bound."""
    bound, shop = plan.bound, plan.shop
    if bound.station is None:
        work = sum(
            step.minutes for plate in shop.plates if plate.trainee == bound.trainee for step in plate.steps if step.own
        )
        return f"trainee {roster.names[bound.trainee or 0]} alone has {span(work)} of work, one thing after another"
    room, places = ROOMS[bound.station], shop.stations[bound.station].places
    work = sum(step.minutes for plate in shop.plates for step in plate.steps if bound.station in step.stations)
    if places == 1:
        return f"the {room.one.lower()} alone is busy for {span(work)}, beginning and end of the way added"
    return f"the {room.all.lower()} alone take {span(work)}, shared by {places}, beginning and end of the way added"


# --- drawn ------------------------------------------------------------------------------

MOST_BOXES = 700
"""Boxes on the chart; a fuller one stands in its table alone."""
HOUR_WIDE = 92.0
WIDEST = 4000.0


class _Line:
    """Days laid end to end, nights left out."""

    def __init__(self, plan: Timetable) -> None:
        self.start, self.end = plan.shop.hours.stretches[0][0], plan.shop.hours.stretches[-1][1]
        self.long, self.days = self.end - self.start, plan.days
        last = self.at(plan.end)
        self.last = min(self.days * self.long, 60 * math.ceil(last / 60 + 0.01))

    def at(self, moment: int) -> int:
        day, minute = divmod(moment, DAY)
        return day * self.long + min(self.long, max(0, minute - self.start))

    def ticks(self, every: int) -> tuple[tuple[float, str], ...]:
        """Ticks at full hours, so many apart; a new day names itself."""
        found = []
        for day in range(self.days):
            here = day * self.long
            if self.days > 1:
                found.append((float(here), f"Day {day + 1}"))
            for hour in range(-(-self.start // 60), self.end // 60 + 1):
                place = here + hour * 60 - self.start
                close = self.days > 1 and min(place - here, here + self.long - place) < 45 * every
                if hour % every == 0 and place <= self.last and not close:
                    found.append((float(place), f"{hour:02}:00"))
        return tuple(each for each in found if each[0] <= self.last)


def stations_drawing(plan: Timetable, words: Phrase) -> Drawing:
    """From when to when each station works, and how busy it is: a bar a station, the bound marked."""
    line = _Line(plan)
    hours = line.last / 60
    every = next(step for step in (1, 2, 3, 4, 6, 12, 24) if hours / step <= 6 or step == 24)
    ticks = line.ticks(every)
    if line.days > 3:
        by = -(-line.days // 6)
        ticks = tuple((float(day * line.long), f"Day {day + 1}") for day in range(0, line.days, by))
    rows, told = [], []
    for number, (room, station) in enumerate(zip(ROOMS, plan.shop.stations)):
        visits = [
            visit for visit in plan.visits if number in plan.shop.plates[visit.plate].steps[visit.step].stations
        ]
        if visits:
            first, last = min(visit.start for visit in visits), max(visit.end for visit in visits)
            name = room.one if station.places == 1 else f"{station.places} {room.all.lower()}"
            label = f"{name}: {clock(first, line.days)} to {clock(last, line.days)}, busy {plan.busy(number):.0%}"
            rows.append(Row((label,), line.at(first), line.at(last), "allowed", room.key))
            told.append(f"{label}.")
    bound = clock(plan.bound.end, line.days)
    rows.append(Row((f"no plan ends before {bound}",), line.at(plan.bound.end), None, "tool", "bound"))
    return Drawing(
        "stations", "From when to when each station works", (*words, " ", " ".join(told)),
        on_scale(Scale(0.0, float(line.last), NUMBER, "time of day", ticks), rows), lengths=False,
    )


def chart(plan: Timetable, roster: Roster, words: Phrase) -> Plot:
    """Which plate stands where and when: a line for each place; and a table with a row for each plate."""
    line, shop = _Line(plan), plan.shop
    counts = [station.places for station in shop.stations]
    lines = sum(counts)
    above = [sum(counts[:number]) for number in range(len(counts))]
    marks = tuple(
        (float(lines - above[number] - place), room.one if counts[number] == 1 else f"{room.one} {place + 1}")
        for number, room in enumerate(ROOMS) for place in range(counts[number])
    )
    shapes: list[Curve | Tag] = []
    boxes = [
        (visit, station, place) for visit in plan.visits
        for station, place in zip(shop.plates[visit.plate].steps[visit.step].stations, visit.places)
    ]
    drawn = len(boxes) <= MOST_BOXES
    if drawn:
        pauses = [
            (line.at(day * DAY + one[1]), line.at(day * DAY + other[0])) for day in range(line.days)
            for one, other in zip(shop.hours.stretches, shop.hours.stretches[1:])
        ]
        for number, (left, right) in enumerate(pauses):
            corners = ((left, 0.3), (right, 0.3), (right, lines + 0.7), (left, lines + 0.7))
            shapes.append(Curve(corners, () if number else ("break",), "hidden", "zone"))
        named: set[int] = set()
        for visit, station, place in boxes:
            low, high = line.at(visit.start), line.at(visit.end)
            middle = lines - above[station] - place
            corners = ((low, middle - 0.42), (high, middle - 0.42), (high, middle + 0.42), (low, middle + 0.42))
            shapes.append(Curve(corners, (), "thin", ROOMS[station].look))
            named.add(station)
            entry = roster.entries[visit.plate]
            text = f"{roster.names[entry.trainee]}, {entry.position}"
            shapes.append(Tag(((low + high) / 2, middle), text, high - low))
    full = () if drawn else (" There are too many to draw; the table has every plate.",)
    return Plot(
        "timetable", "Timetable: each plate, where and when", (*words, *full),
        Axis("time of day", NUMBER, 0.0, float(line.last), line.ticks(1)),
        Axis("place", NUMBER, 0.3, lines + 0.7, marks), tuple(shapes), table(plan, roster), tallest=20.0 * lines,
        saves_table=True, left=84.0, wide=max(SHEET_WIDTH, min(WIDEST, 150.0 + HOUR_WIDE * line.last / 60)),
    )


def table(plan: Timetable, roster: Roster) -> Table:
    """A row a plate: whose it is, and from when to when each step takes."""
    several = plan.days
    columns = [Column("Trainee", None), Column("Test", None)]
    columns += [Column(words, None) for words in STEP_WORDS[:len(plan.starts[0])]]
    rows = []
    for number in sorted(range(len(plan.starts)), key=lambda each: (roster.entries[each].trainee, plan.starts[each])):
        name = roster.names[roster.entries[number].trainee]
        cells = [
            f"{clock(start, several)} to {clock(end, 1)}"
            for start, end in zip(plan.starts[number], plan.ends[number])
        ]
        rows.append((name, roster.title(number).removeprefix(f"{name}, "), *cells))
    return Table(tuple(columns), tuple(rows))


def listing(plan: Timetable, roster: Roster) -> Listing:
    """The timetable for a sheet of paper."""
    return Listing("timetable", "Timetable", table(plan, roster))


def timetable_csv(plan: Timetable, roster: Roster) -> str:
    """The timetable as comma-separated values: a row a step, in order of time; minutes as bare numbers."""
    rows = [("day", "start", "end", "minutes", "trainee", "position", "plate", "thickness, in", "thickness, mm", "step",
        "place")]
    for visit in plan.visits:
        entry = roster.entries[visit.plate]
        step = plan.shop.plates[visit.plate].steps[visit.step]
        places = " and ".join(
            f"{ROOMS[station].one} {place + 1}" for station, place in zip(step.stations, visit.places)
        )
        size = [float(unit.from_base(entry.thickness)) for unit in (LENGTH.us, LENGTH.si)]
        rows.append((
            visit.start // DAY + 1, clock(visit.start, 1), clock(visit.end, 1), step.minutes,
            roster.names[entry.trainee], entry.position, entry.attempt, *size, STEP_WORDS[visit.step], places,
        ))
    return csv_table(rows)


def too_long(trouble: timetable.TooLong) -> str:
    """What step fits into no day, in words."""
    what = STEP_WORDS[trouble.step]
    torn = "a weld is done in one day, and a pass in one go" if trouble.step == WELDING else "it is done in one go"
    return f"{what} takes {span(trouble.minutes)} and {torn}: no working day has room for it"
