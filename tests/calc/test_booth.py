"""What the clocks and the log of a day mean, against hand computations and brute force.

The table in `decisions/booth` is written from the documents that its rows name, not from the code.
"""

from __future__ import annotations

import json
import random
import tomllib
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from calc.booth import journal
from calc.booth.board import Board, wait_for
from calc.booth.clocks import arc_between, arc_left, busiest, cool_again, time_in_air
from calc.booth.into_record import measured, put_into
from calc.booth.journal import Day, Event, as_data, read_day, united
from calc.booth.log import Facts, names_of
from calc.booth.pads import PADS, kept, pads_of
from calc.booth.page import Page
from calc.core.declare import Level, worst
from calc.plate_test.fields import FIELDS
from calc.plate_test.take_over import record_of
from calc.plate_test.work import with_facts
from calc.record.demo import TEST
from calc.record.judge import judge
from calc.record.shape import RecordError, blank
from calc.record.shape import as_data as record_data
from calc.stages.thermal import INTERPASS_WAIT
from calc.web import respond

ROWS = tomllib.loads((Path(__file__).parent / "decisions" / "booth" / "board.toml").read_text(encoding="utf-8"))["row"]
MORNING = 1_772_465_400_000
"""2026-03-02, 15:30 UTC: 07:30 in a shop eight hours behind."""
SHOP = -480
MINUTE = 60_000


def day_of(*pressed: tuple[float, str, int, str], offset: int = SHOP) -> Day:
    """A day from (minute, event, number, value)."""
    return Day("day-00001", TEST.id, tuple(
        Event(f"t.{order}", order, MORNING + round(minute * MINUTE), offset, do, number, value)
        for order, (minute, do, number, value) in enumerate(pressed, 1)
    ))


def board_of(day: Day, minute: float, test=TEST) -> Board:
    """The board of a day at a minute of it."""
    return Board(Facts.of(test), day, MORNING + round(minute * MINUTE))


def clock(board: Board, name: str):
    return next(each for each in board.clocks if each.id == name)


# --- decisions ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", [pytest.param(row, id=row["case"]) for row in ROWS])
def test_the_board_judges_as_the_table_of_decisions_says(row: dict[str, Any]):
    test = with_facts(TEST, {**row.get("test", {}), **dict.fromkeys(row.get("blank", ()), "")})
    board = board_of(day_of(*map(tuple, row["day"])), row["at"], test)
    if isinstance(row["of"], int):
        judged = tuple(board.passes[row["of"] - 1].judged())
    else:
        judged = clock(board, row["of"]).judged
    if "id" in row:
        judged = tuple(each for each in judged if each.id == row["id"])
    assert worst(each.level for each in judged).value == row["expect"], [each.id for each in judged]
    assert row["source"]


def test_every_judgment_of_the_booth_itself_has_its_row():
    """The ids that the booth gives of its own, beside those of the calculators, each reached by a row."""
    reached = set()
    for row in ROWS:
        test = with_facts(TEST, {**row.get("test", {}), **dict.fromkeys(row.get("blank", ()), "")})
        board = board_of(day_of(*map(tuple, row["day"])), row["at"], test)
        reached |= {each.id for clock in board.clocks for each in clock.judged}
        reached |= {flag.id for each in board.passes for flag in each.judged()}
    own = {
        "rods.limit", "watch.runs", "watch.kept", "watch.early", "watch.again", "watch.rule", "wait.limit",
        "wait.measure", "duty.rating", "duty.over", "duty.within", "log.temperature", "log.amps", "log.volts",
        "log.speed", "log.arc", "rods-1.clock-set",
    }
    assert own <= reached


def test_nothing_is_ok_on_a_day_without_a_test():
    """A blank test gives no limit: whatever is read, nothing of the board is in order by it."""
    bare = blank("plate-test", "demo-0002", "2026-03-02T07:30:00Z")
    day = day_of((0, "out", 1, ""), (0, "temperature", 1, "62 degF"), (0, "amps", 1, "120 A"), (1, "arc", 1, ""),
        (3, "stop", 1, ""), (4, "volts", 1, "23 V"), (5, "done", 1, ""))
    board = board_of(day, 6, bare)
    levels = [each.level for clock in board.clocks for each in clock.judged]
    levels += [flag.level for flag in board.passes[0].judged()]
    assert levels and Level.OK not in levels


# --- the arithmetic -----------------------------------------------------------------------------------


def some_arcs(chance: random.Random) -> tuple[list[tuple[float, float | None]], int]:
    """Arcs on whole seconds, none overlapping, and a now at or after the last of them."""
    at, arcs = 0, []
    for _ in range(chance.randint(1, 12)):
        start = at + chance.randint(1, 300)
        at = start + chance.randint(1, 240)
        arcs.append((start, at))
    now = at + chance.randint(0, 700)
    if chance.random() < 0.3:
        arcs[-1] = (arcs[-1][0], None)
        now = at
    return arcs, now


def burning(arcs, now: int) -> list[int]:
    """One figure a second: whether an arc burned in it."""
    ended = [(start, now if end is None else end) for start, end in arcs]
    return [int(any(start <= second < end for start, end in ended)) for second in range(now)]


@pytest.mark.parametrize("seed", range(40))
def test_the_busiest_period_is_that_of_a_window_slid_second_by_second(seed):
    arcs, now = some_arcs(random.Random(seed))
    period = 600
    burned = burning(arcs, now)
    slid = max(sum(burned[max(0, end - period):end]) for end in range(now + 1))
    assert busiest(arcs, now, period) == slid


@pytest.mark.parametrize("seed", range(40))
def test_the_arc_that_is_left_is_that_of_burning_on_second_by_second(seed):
    chance = random.Random(seed)
    arcs, now = some_arcs(chance)
    period, allowed = 600, chance.randint(60, 500)
    burned = burning(arcs, now)
    left = 0
    while left < period and sum(([*burned, *[1] * (left + 1)])[max(0, now + left + 1 - period):]) <= allowed:
        left += 1
    if sum(burned[max(0, now - period):]) > allowed:
        left = 0
    assert arc_left(arcs, now, period, allowed) == pytest.approx(left)


@pytest.mark.parametrize("seed", range(20))
def test_the_rest_of_the_machine_is_the_shortest_after_which_a_rod_fits(seed):
    chance = random.Random(seed)
    arcs, now = some_arcs(chance)
    arcs = [(start, now if end is None else end) for start, end in arcs]
    period, allowed, rod = 600, chance.randint(60, 500), 60
    rest = cool_again(arcs, now, period, allowed, rod)
    tried = next(wait for wait in range(period + 2) if arc_left(arcs, now + wait, period, allowed) >= min(rod, allowed))
    assert rest == tried


def test_arc_time_between_two_instants_is_cut_at_both():
    assert arc_between([(0, 100), (200, 300)], 50, 250) == 100


@pytest.mark.parametrize(("trips", "now", "expected"), [
    ([(0, None)], 3600, 3600),
    ([(0, 3600), (7200, None)], 7200 + 1800, 5400),
    ([(0, 3600), (3600 + 14400, None)], 3600 + 14400 + 600, 600),
    ([(0, 3600), (3600 + 14399, None)], 3600 + 14399 + 600, 4200),
    ([(0, 3600)], 3600 + 14400, 0),
    ([(0, 3600)], 3600 + 14399, 3600),
    ([(0, 100), (200, 300), (400, None)], 500, 300),
])
def test_trips_out_of_the_oven_add_up_until_a_full_hold(trips, now, expected):
    assert sum(time_in_air(trips, now, 4 * 3600)) == expected


def test_speed_and_heat_input_of_a_pass_by_hand():
    """7 in in 105 s is 4 in/min; 60 x 23 x 125 / 4000 = 43.1 kJ/in, as ASME IX, QW-409.1, has it."""
    day = day_of((0, "temperature", 1, "64 degF"), (0, "amps", 1, "125 A"), (1, "arc", 1, ""),
        (1 + 55 / 60, "stop", 1, ""), (3, "same-rod", 1, ""), (3 + 50 / 60, "stop", 1, ""), (4, "volts", 1, "23 V"), (5, "done", 1, ""))
    each = board_of(day, 6).passes[0]
    assert each.arc_time == pytest.approx(105) and each.rods == 1
    assert each.speed.text("us") == "4\u00a0in/min"
    assert float(each.heat_input.amount) * 0.0254 / 1000 == pytest.approx(43.125)


def test_the_wait_is_that_of_the_calculator_and_follows_the_readings():
    """A plate that takes twice the time from 600 to 550 °F is given twice the time from there to its limit."""
    facts = Facts.of(TEST)
    given = {"length": "7 in", "width": "6 in", "thickness": "3/8 in", "air": "62 degF"}
    part = float(INTERPASS_WAIT.answer(now="600 degF", limit="550 degF", **given)["wait"].amount)
    rest = float(INTERPASS_WAIT.answer(now="550 degF", limit="500 degF", **given)["wait"].amount)
    assert wait_for(facts, [(0, "550 degF")]) == (pytest.approx(rest), 1)
    wait, pace = wait_for(facts, [(0, "600 degF"), (2 * part, "550 degF")])
    assert (wait, pace) == (pytest.approx(2 * rest), pytest.approx(2))
    assert wait_for(facts, [(0, "520 degF"), (30, "550 degF")])[1] == 1, "a rise says nothing of how it cools"
    assert wait_for(facts, [(0, "480 degF")])[0] == 0


# --- the journal --------------------------------------------------------------------------------------


def test_a_journal_comes_back_as_it_was_written():
    day = day_of((0, "out", 1, ""), (1, "temperature", 1, "64 degF"), (2, "undo", 0, ""))
    assert read_day(json.loads(json.dumps(as_data(day)))) == day


@pytest.mark.parametrize(("change", "told"), [
    ({"do": "fly"}, "/events/0/do"), ({"at": -1}, "/events/0/at"), ({"at": 1.5}, "/events/0/at"),
    ({"offset": 5000}, "/events/0/offset"), ({"number": 0}, "/events/0/number"), ({"value": "x" * 61}, "/value"),
    ({"value": "a\u202eb"}, "/value"), ({"id": "<b>"}, "/events/0/id"), ({"order": True}, "/events/0/order"),
    ({"do": "jump", "value": "soon"}, "/value"), ({"do": "volts", "value": "lots"}, "/value"),
    ({"do": "temperature", "value": "9999 degF"}, "/value"), ({"do": "amps", "value": ""}, "/value"),
])
def test_a_damaged_event_is_refused_with_its_place(change, told):
    data = as_data(day_of((0, "out", 1, "")))
    data["events"][0] |= change
    with pytest.raises(RecordError, match=told):
        read_day(data)


def test_two_tabs_are_put_together_without_loss_in_any_order():
    chance = random.Random(3)
    day = day_of(*((minute, "temperature", 1, f"{minute} degF") for minute in range(60, 90)))
    for _ in range(20):
        parts = [tuple(each for each in day.events if chance.random() < 0.6) for _ in range(3)]
        parts.append(tuple(each for each in day.events if each not in {one for part in parts for one in part}))
        chance.shuffle(parts)
        whole = Day(day.id, day.test)
        for part in parts:
            whole = united(whole, replace(day, events=part))
        assert whole == day


def test_taking_back_and_taking_that_back_again():
    pressed = [Event("t.1", 1, MORNING, 0, "spark"), Event("t.2", 2, MORNING, 0, "undo", of="t.1")]
    assert Day("day-00001", "", tuple(pressed)).live == ()
    again = (*pressed, Event("t.3", 3, MORNING, 0, "undo", of="t.2"))
    assert Day("day-00001", "", again).live == (pressed[0],)


def test_another_time_zone_changes_no_elapsed_time():
    day = day_of((0, "out", 1, ""))
    moved = Day(day.id, day.test, (*day.events, Event("t.9", 9, MORNING + 30 * MINUTE, 60, "spark")))
    assert clock(board_of(moved, 45), "rods-1").since == clock(board_of(day, 45), "rods-1").since
    assert clock(board_of(moved, 45), "watch").until == MORNING / 1000 + 90 * 60


@pytest.mark.parametrize("by", [-3_600_000, 3_600_000])
def test_a_clock_that_was_set_by_a_known_step_is_put_right(by):
    """The device's clock is set at minute 10: an hour of it is no hour, ten more minutes are ten."""
    before = day_of((0, "out", 1, ""))
    set_at = Event("t.2", 2, MORNING + 10 * MINUTE + by, SHOP, "jump", value=str(by))
    day = Day(before.id, before.test, (*before.events, set_at))
    board = Board(Facts.of(TEST), day, MORNING + 20 * MINUTE + by)
    assert board.now - clock(board, "rods-1").since == pytest.approx(20 * 60)
    assert worst(each.level for each in clock(board, "rods-1").judged) is Level.OK


def test_a_second_strike_ends_the_arc_before():
    day = day_of((0, "arc", 1, ""), (1, "arc", 1, ""), (2, "stop", 1, ""), (3, "stop", 1, ""))
    assert [round(end - start) for start, end in board_of(day, 4).arcs] == [60, 60]


def test_passes_have_the_names_of_the_trade():
    assert names_of(2) == ("root", "cover") and names_of(3) == ("root", "fill 1", "cover")


# --- pads, page, record -------------------------------------------------------------------------------


@pytest.mark.parametrize("system", ["us", "si"])
@pytest.mark.parametrize("pad", PADS, ids=lambda pad: pad.do)
def test_every_value_of_a_pad_is_read_back_as_it_is_shown(pad, system):
    facts = Facts.of(TEST)
    data = next(each for each in pads_of(facts, board_of(day_of(), 0).passes, 1, system) if each["do"] == pad.do)
    amounts = [pad.input.read(text, "us") for text, _ in data["values"]]
    assert amounts == [pad.input.read(text, "si") for text, _ in data["values"]], "each carries its unit"
    steps = {after - before for before, after in pairwise(amounts)}
    assert len(steps) == 1 and len(str(data["values"][-1][0])) <= journal.LONGEST
    assert all(kept(shown) == text for text, shown in data["values"])


def full_day() -> Day:
    """The invented shop's plate: two passes with trips of the rods and a watch that was kept."""
    return day_of(
        (0, "out", 1, ""), (30, "in", 1, ""), (60, "out", 1, ""), (61, "temperature", 1, "64 degF"),
        (61, "amps", 1, "125 A"), (62, "arc", 1, ""), (63, "stop", 1, ""), (64, "arc", 1, ""), (65, "stop", 1, ""),
        (66, "volts", 1, "23 V"), (67, "done", 1, ""), (70, "temperature", 2, "210 degF"), (71, "arc", 2, ""),
        (73, "stop", 2, ""), (74, "done", 2, ""), (80, "spark", 0, ""), (141, "watched", 0, ""),
    )


def test_the_record_takes_what_was_measured_and_is_judged_by_it():
    board = board_of(full_day(), 150)
    wanted = measured(board)
    assert {name: wanted[name] for name in ("date", "rods_out", "rods_last", "rods_earlier", "plate_temperature")} == {
        "date": "2026-03-02", "rods_out": "08:30", "rods_last": "08:41", "rods_earlier": "30 min",
        "plate_temperature": "64 degF",
    }
    assert wanted["passes/1/rods"] == "2" and wanted["passes/2/temperature"] == "210 degF"
    assert "passes/2/amps" not in wanted, "what was not read is not written"
    assert wanted["note_2"] == "Fire watch from 08:50 to 09:51"
    put = put_into(record_of(TEST, "your-day-1", "2026-03-02T07:30:00Z"), wanted, {})
    flags = judge(put.record).at("rods_last")
    assert [flag.level for flag in flags] == [Level.OK]
    assert "0.6833" in flags[0].phrase[0].text("us"), "30 min before and 11 min since are 41 min"


@pytest.mark.parametrize("pressed, rods, level", [
    # Out from 07:30 on; the device's clock is put back two hours: the times of day would say 2 h 30 min.
    ([(0, "out", 1, ""), (30, "jump", 0, "-7200000"), (150, "arc", 1, "")], ("", "", ""), None),
    # Lit at 4 h 10 min; the hold after that mends nothing.
    ([(0, "out", 1, ""), (250, "arc", 1, ""), (251, "in", 1, ""), (600, "out", 1, ""), (610, "arc", 2, "")],
     ("17:30", "17:40", "251 min"), Level.STOP),
    # Lit at 3 h, then held for long enough: the longest that any rod was out when it was lit.
    ([(0, "out", 1, ""), (180, "arc", 1, ""), (181, "in", 1, ""), (600, "out", 1, ""), (610, "arc", 2, "")],
     ("07:30", "10:30", ""), Level.OK),
    # One batch is back in the oven, the arc is struck with the other.
    ([(0, "out", 1, ""), (30, "in", 1, ""), (240, "out", 2, ""), (250, "arc", 1, "")], ("11:30", "11:40", ""), Level.OK),
], ids=["clock set", "over before the hold", "held in time", "another batch"])
def test_the_record_takes_the_longest_that_rods_were_out(pressed, rods, level):
    """AWS D1.1, clauses 5.3.2.1 to 5.3.2.2 and Table 5.1 column A: 4 h; back for 4 h, they start anew if within it."""
    wanted = measured(board_of(day_of(*pressed), pressed[-1][0] + 1))
    assert tuple(wanted.get(name, "") for name in ("rods_out", "rods_last", "rods_earlier")) == rods
    if level:
        put = put_into(record_of(TEST, "your-day-1", "2026-03-02T07:30:00Z"), wanted, {})
        assert worst(flag.level for flag in judge(put.record).at("rods_last")) is level


def test_a_low_hydrogen_rod_of_another_pass_is_timed():
    """A batch does not say which rod it is: E7018 of the fill passes beside E6010 of the root."""
    columns = [column.name for column in FIELDS["other_rods"].input.columns]
    own = {"layer": "fill 1", "electrode": "E7018", "diameter": "1/8 in"}
    test = replace(with_facts(TEST, {"electrode": "E6010", "exposure_most": ""}),
        rows={"other_rods": (tuple(own.get(name, "") for name in columns),)})
    board = board_of(day_of((0, "out", 1, "")), 300, test)
    assert clock(board, "rods-1").level is Level.STOP


def test_nothing_that_a_person_wrote_is_overwritten_unasked():
    record = replace(record_of(TEST, "your-day-1", "2026-03-02T07:30:00Z"),
        values={"amps": "118 A", "note_2": "mine"}, rows={"passes": (("first", "", "", ""),)})
    wanted = measured(board_of(full_day(), 150))
    put = put_into(record, wanted, {})
    assert put.record.text("amps") == "118 A" and put.record.text("note_2") == "mine"
    assert put.record.rows["passes"][0] == ("first", "2", "64 degF", "125 A")
    assert set(put.differs) == {"amps", "note_2", "passes/1/name"}
    asked = put_into(put.record, wanted, {**put.given, "amps": "118 A"})
    assert asked.record.text("amps") == "125 A" and set(asked.differs) == {"note_2", "passes/1/name"}


def test_what_was_taken_back_leaves_the_record_again():
    new = record_of(TEST, "your-day-1", "2026-03-02T07:30:00Z")
    put = put_into(new, measured(board_of(full_day(), 150)), {})
    back = put_into(put.record, {}, put.given)
    assert back.record.values == {**new.values} and not back.record.rows.get("passes")


def test_a_day_comes_through_the_door_and_a_damaged_one_is_told():
    asked = {"do": "booth-board", "day": as_data(full_day()), "now": MORNING, "test": record_data(TEST), "system": "si"}
    answer = json.loads(respond(json.dumps(asked)))
    assert "Pass 3 of 4" in answer["now"] and answer["pads"][0]["values"][0][0].endswith("degC")
    told = json.loads(respond(json.dumps({**asked, "day": {"format": "plate-test-booth", "version": 9}})))
    assert "later guide" in told["refused"]
    for now in ("soon", -1, 10**18, 1.5, True):
        assert "refused" in json.loads(respond(json.dumps({**asked, "now": now}))), now


@pytest.mark.parametrize("seed", range(6))
def test_any_order_of_presses_gives_a_board(seed):
    """Whatever a thumb presses, and in whatever order, the board is drawn, and markup in a value stays text."""
    chance = random.Random(seed)
    values = {"temperature": ["64 degF", "900 degF", "-5 degC"], "amps": ["120 A", "600 A"], "volts": ["23 V", "50 V"],
        "rule": ["osha", "nfpa", "<b>"], "seen": ["<b>"], "jump": ["-5000", "7200000", "-1?"]}
    pressed = []
    for minute in range(60):
        do = chance.choice(list(journal.DOES))
        number = chance.randint(1, 5) if journal.DOES[do] else 0
        pressed.append((minute * chance.random() * 3, do, number, chance.choice(values.get(do, [""]))))
    day = read_day(as_data(day_of(*pressed)))
    for test in (TEST, blank("plate-test", "demo-0002", "2026-03-02T07:30:00Z")):
        page = Page(board_of(day, 200, test), "us")
        html = page.under_way() + page.clocks() + page.passes() + page.events() + page.undo() + page.spent()
        assert "<b>" not in html and "nan" not in html.lower()
        measured(page.board)
