"""What the page of the test is told: the first answer, the verdicts, what a change changes, what other pages take."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from html import unescape

import pytest

from calc.catalogue import CALCULATORS, calculator
from calc.core.declare import InputError, Level, taken
from calc.plate_test.fields import FIELDS
from calc.plate_test.page import one_line
from calc.plate_test.work import work
from calc.record.demo import PLATE, TEST
from calc.record.shape import as_data, blank
from calc.web import respond

BLANK = blank("plate-test", "blank-test-1", "2026-03-02T07:30:00Z", "Your test")


def asked(do: str, record=TEST, **more):
    return json.loads(respond(json.dumps({"do": do, "record": as_data(record), **more})))


def plain(html: str) -> str:
    """What a reader of US units sees."""
    html = re.sub(r'<span class="(si|visually-hidden)">.*?</span>', "", html)
    return unescape(re.sub(r"<[^>]+>", " ", html)).replace("\u00a0", " ")


def with_values(record=TEST, **values):
    return replace(record, values={**record.values, **values})


def test_the_first_answer_holds_the_figures_of_the_calculators():
    worked, said = work(TEST), plain(asked("test-work")["first"])
    for identifier, name in (("passes", "rods"), ("passes", "rods_most"), ("groove", "plate_width"),
            ("preheat", "least"), ("passes", "arc_time")):
        assert worked.result(identifier)[name].text("us").replace("\u00a0", " ") in said, name
    assert "120 A; your WPS: 115 A to 135 A" in said


def test_a_blank_amperage_is_the_middle_of_the_wps():
    assert "125 A; your WPS: 115 A to 135 A" in plain(asked("test-work", with_values(amps=""))["first"])


@pytest.mark.parametrize("values, words", [
    ({"amps_low": ""}, "at most 135 A"), ({"amps_high": ""}, "at least 115 A"),
    ({"amps_low": "", "amps_high": ""}, "the guide's window: 115 A to 165 A"),
])
def test_a_wps_that_leaves_an_end_open_is_said_as_it_is(values, words):
    assert words in plain(asked("test-work", with_values(amps="120 A", **values))["first"])


def test_the_verdicts_come_worst_first_each_with_source_and_link():
    told = asked("test-work", with_values(BLANK, amps="200 A", amps_high="135 A"))
    levels = [Level(level) for level in re.findall(r'data-level="([^"]+)"', told["verdict"])]
    assert levels[0] is Level.STOP and told["level"] == "stop"
    assert [each.severity for each in levels] == sorted((each.severity for each in levels), reverse=True)
    assert len(levels) == told["verdict"].count("record-source") == told["verdict"].count('<a href="')


def test_nothing_said_is_never_told_as_in_order():
    told = asked("test-work", BLANK)
    assert told["level"] == "incomplete" and told["headline"].startswith("Not complete yet")
    assert told["mine"]["values"] == told["mine"]["prose"] == {}
    assert told["mine"]["line"] == "Your test"


def test_what_cannot_be_read_is_told_at_its_field_and_nothing_is_worked_out():
    told = asked("test-work", with_values(thickness="thick"))
    assert "data-unreadable" in told["said"]["thickness"]
    assert (told["first"], told["mine"]["fills"]) == ("", {})
    assert "thickness" not in told["mine"]["values"]


def test_a_change_is_told_with_the_figures_of_the_first_answer_first():
    told = asked("test-work", with_values(thickness="1/2 in"), before=as_data(TEST))
    lines = [plain(line) for line in told["changes"]]
    assert re.fullmatch(r"Rods for the joint: 9 → \d+, \d more", lines[0])
    assert asked("test-work", before=as_data(TEST))["changes"] == []


def test_the_test_in_one_row():
    assert one_line(with_values(BLANK, steel="A572-50", thickness="1/2")) == "1/2 in A572-50"
    assert one_line(with_values(BLANK, amps_low="115")) == "115 A"


def test_each_input_that_can_be_made_the_tests_takes_its_own_field():
    own = asked("test-work")["mine"]["own"]
    assert own["groove"]["thickness"] == "thickness" and own["current"]["wps_low"] == "amps_low"
    for calc in CALCULATORS:
        for each in calc.inputs:
            assert own.get(calc.id, {}).get(each.name) == (taken(each) if taken(each) in FIELDS else None)


def test_what_other_pages_take_can_be_read_there():
    for identifier, texts in asked("test-work")["mine"]["fills"].items():
        for name, text in texts.items():
            try:
                calculator(identifier).input(name).read(text, "us")
            except InputError as trouble:
                pytest.fail(f"{identifier}.{name}: {trouble}")


@pytest.mark.parametrize("field, text, system, kept", [
    ("thickness", "1/2", "us", "1/2 in"), ("thickness", "12", "si", "12 mm"), ("thickness", "", "us", ""),
    ("position", "3g, vertical", "us", "3G"), ("wps", " FL 9 ", "us", "FL 9"),
])
def test_one_fact_said_otherwise_means_what_the_page_meant(field, text, system, kept):
    told = asked("test-set", field=field, text=text, system=system)
    assert told["record"]["values"].get(field, "") == kept
    assert told["mine"]["values"].get(field, "") == kept


@pytest.mark.parametrize("field, text, system, words", [
    ("thickness", "thick", "us", "thickness"), ("depth", "1 in", "us", "no such fact"),
    ("hold_points", "a", "us", "no such fact"), ("thickness", "1 in", "x", "no such fact"),
    ("wps", "a\u202eb", "us", "wps"),
])
def test_a_fact_that_cannot_be_used_changes_nothing(field, text, system, words):
    told = asked("test-set", field=field, text=text, system=system)
    assert words in told["refused"] and "record" not in told


def test_a_record_of_another_kind_is_refused():
    for do in ("test-work", "test-link", "test-set"):
        assert "not a test" in asked(do, PLATE, field="steel", text="A36", system="us")["refused"]


def test_a_link_tells_what_it_would_change():
    text = asked("test-link", with_values(thickness="1/2 in", kerf="0.1 in"))["text"]
    new = {"id": "of-a-link-1", "moment": "2026-03-02T07:30:00Z"}
    told = asked("test-open", text=text + "&x=1", current=as_data(TEST), **new)
    assert [(each["field"], plain(each["before"]), plain(each["after"])) for each in told["changes"]] == [
        ("thickness", " 3/8 in ", " 1/2 in "), ("kerf", "", " 0.1 in "),
    ]
    assert told["refused"] == ["x: there is no such fact in a test"]
    without = asked("test-open", text=text, current=None, **new)
    assert len(without["changes"]) == len(told["record"]["values"]) + len(told["record"]["rows"])


def test_a_hold_point_may_hold_any_mark():
    points = (("fit-up; before the root | wait", ),)
    told = asked("test-work", replace(TEST, rows={"hold_points": points}))
    assert told["said"] == {} and told["first"]
