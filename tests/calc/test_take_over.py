"""A record of the day that starts from the reader's test: what is declared, never what stands in or is measured."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.catalogue import calculator
from calc.core.declare import Choice, Day, Level, Quantity, Rows
from calc.plate_test.fields import FIELDS, FORM
from calc.plate_test.take_over import TAKES, record_of, words_of
from calc.plate_test.work import fills
from calc.record.demo import PLATE, TEST
from calc.record.fields import TEST_DAY
from calc.record.judge import judge
from calc.record.shape import as_data, blank, from_data
from calc.web import respond

MOMENT = "2026-03-02T07:30:00Z"
EMPTY = blank(FORM.kind, "your-test-1", MOMENT)
ON_THE_DAY = {
    "date", "welder", "shop", "heat_number", "plate_mark", "lot", "rod_suffix", "rods_out", "rods_last", "mismatch",
    "backing_gap",
    "machine", "amps", "air", "plate_temperature", "thickness", "plate_length", "plate_width", "bevel_angle", "root_face",
    *(each.name for section in TEST_DAY.sections if section.id in ("passes", "visual", "bends", "after")
        for each in section.fields),
}
"""Fields of what is measured, seen or named on the day."""


def day_of(**facts):
    """The record that a test of these facts gives."""
    return record_of(replace(EMPTY, values=facts), "your-day-1", MOMENT)


def asked(**request):
    return json.loads(respond(json.dumps({"do": "test-record", "id": "your-day-1", "moment": MOMENT, **request})))


def test_the_declared_facts_of_the_demo_stand_in_its_record():
    """Typed from the demo's WPS; the record's own names on the left."""
    day = record_of(TEST, "your-day-1", MOMENT)
    assert dict(day.values) == {
        "procedure": "FL-TP-03, issue 2", "bend_rule": "aws", "visual_rule": "test-plate",
        "fit_up_rule": "own", "over": "1/16 in", "under": "0 in", "steel": "A36",
        "position": "3G", "direction": "up", "electrode": "E7018", "diameter": "1/8 in", "rods_limit": "4 h",
        "required": "1/4 in", "polarity": "dcep",
        "amps_low": "115 A", "amps_high": "135 A", "preheat_minimum": "50 degF", "interpass": "500 degF",
        "yield_strength": "36 ksi",
    }
    assert (day.kind, day.invented, day.rows, day.created) == ("test-day", True, {}, MOMENT)


def test_nothing_that_stands_in_is_taken():
    assert dict(day_of().values) == {}
    assert set(day_of(position="2G").values) == {"position"}
    assert set(day_of(electrode="E6010").values) == {"electrode"}, "no suffix of a low-hydrogen rod"


def test_what_only_the_day_can_tell_stays_blank():
    """Whatever a test says, in every field that it has."""
    facts = {}
    for name, field in FIELDS.items():
        one = field.input
        if isinstance(one, Choice):
            facts[name] = one.options[0].value
        elif isinstance(one, Day):
            facts[name] = "2026-03-02"
        elif isinstance(one, Quantity):
            facts[name] = field.stand_in or one.common and one.common[0] or ""
        elif not isinstance(one, Rows):
            facts[name] = "words"
    day = day_of(**facts)
    assert not {name for name in day.values if name in ON_THE_DAY} and len(day.values) == 16
    assert not day.rows


def test_a_bare_number_means_the_same_in_the_record():
    day = record_of(replace(EMPTY, bare="si", values={"root_opening": "6", "amps_low": "115"}), "your-day-1", MOMENT)
    assert (day.bare, day.text("required"), day.text("amps_low")) == ("si", "6 mm", "115 A")


def test_a_fact_that_cannot_be_read_is_left_blank_and_the_rest_is_taken():
    day = day_of(root_opening="wide", position="3G", amps_low="135 A", amps_high="115 A")
    assert not day.text("required") and day.text("position") == "3G"


def test_a_steel_that_is_another_one_has_no_name_yet():
    assert not day_of(steel="other").text("steel")


@pytest.mark.parametrize("name", TAKES)
def test_the_names_in_the_mapping_are_fields(name):
    assert TEST_DAY.field(name).name == name and (TAKES[name] is None or TAKES[name] in FIELDS)


def test_the_record_obeys_the_wps_of_the_test():
    """WPS 115 to 135 A: 140 A is Stop by it, though both tables hold 140 A for this rod."""
    day = record_of(TEST, "your-day-1", MOMENT)
    done = replace(day, values={**PLATE.values, **day.values, "amps": "140 A"}, rows=PLATE.rows)
    (stop, *_) = judge(done).at("amps")
    assert (stop.level, stop.id) == (Level.STOP, "wps")
    inside = judge(replace(done, values={**done.values, "amps": "120 A"}))
    assert inside.at("amps")[0].level is Level.OK


def test_what_is_left_is_told_as_missing_never_as_in_order():
    judgement = judge(record_of(TEST, "your-day-1", MOMENT))
    assert judgement.line("test").level is Level.INCOMPLETE
    assert {"Amperage seen", "Root openings", "Welder"} <= set(judgement.missing)


def test_the_words_name_what_a_record_does_not_know():
    assert "What only the day can tell is blank." in words_of(TEST)
    assert "other rods" not in words_of(TEST)
    rods = {"other_rods": (("root", "E6010", "1/8 in", "", "", "", ""),)}
    assert "it does not know your other rods" in words_of(replace(TEST, rows=rods))


def test_the_door_gives_a_record_that_reads_back():
    answer = asked(record=as_data(TEST))
    assert from_data(answer["record"]) == record_of(TEST, "your-day-1", MOMENT) and answer["words"] == words_of(TEST)


@pytest.mark.parametrize("request_, place", [
    ({"record": as_data(PLATE)}, "/kind"), ({"record": {}}, "/format"), ({"record": as_data(TEST), "id": "x"}, "/id"),
    ({"record": as_data(TEST), "moment": "now"}, "/created"),
])
def test_the_door_refuses_what_is_no_test(request_, place):
    assert asked(**request_)["place"] == place


def test_planning_takes_the_declared_plate_and_rod():
    """Two plates of 8 in for one 3G test; the width of the piece is what the groove of the test leaves."""
    taken_over = fills(replace(TEST, values={**TEST.values, "plate_length": "8 in", "thickness": "1/2 in"}))
    plan, pieces = taken_over["class-plan"], taken_over["cut-list"]
    assert (plan["thickness"], plan["plate_length"], plan["tests"], plan["rods"]) == (
        "1/2 in", "8 in", "3G | 1", "E7018 | 1/8 | 100 %",
    )
    assert (pieces["pieces"], pieces["bar_thickness"]) == ("8 in | 2 | test plate", "1/2 in")
    for identifier in ("class-plan", "cut-list", "sheet-plan"):
        assert calculator(identifier).answer(taken_over[identifier]).values


_PLAIN = st.text(st.characters(exclude_categories=("Cc", "Cf", "Cs")), max_size=500)
_NAMES = [name for name, each in FIELDS.items() if not isinstance(each.input, Rows)]
_WRITTEN = st.sampled_from(["3/8 in", "0.5", "12 mm", "3G", "E6010", "115 A", "9 A", "d1.1", "iso-9606-1", "other", "-1"])


@given(st.dictionaries(st.sampled_from(_NAMES), st.one_of(_WRITTEN, _PLAIN), max_size=20), st.sampled_from(["us", "si"]))
def test_whatever_a_test_says_the_record_is_sound(facts, bare):
    """It reads back, can be judged, and every text in it is one that its field can read."""
    answer = asked(record=as_data(replace(EMPTY, values=facts, bare=bare)))
    day = from_data(answer["record"])
    judge(day)
    for name, text in day.values.items():
        TEST_DAY.field(name).read(text, day.bare)
