"""The door of the page: whatever is asked, an answer in JSON that a browser reads, never an exception.

Found by the fuzzers.
"""

from __future__ import annotations

import importlib
import json
import re

import pytest

from calc import classroom, practice
from calc.booth import BOOTH_DO
from calc.photo import PHOTO_DO
from calc.plate_test import TEST_DO
from calc.record import RECORD_DO
from calc.web import respond


def asked(text: str) -> dict:
    """The answer, read as strictly as a browser reads JSON."""
    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is not JSON")

    return json.loads(respond(text), parse_constant=refuse)


@pytest.mark.parametrize(
    "text",
    [
        "", "[" * 100_000, '{"do": ' + '{"a": ' * 50_000, "7", "null", '{"do": ["answer"]}', '{"do": {}}',
        '{"do": "fly"}', '{"do": 1e999}',
    ],
)
def test_what_is_no_request_is_told(text):
    assert asked(text) == {"trouble": "The page asked for something the guide does not know."}


@pytest.mark.parametrize("request_text", [
    '{"do": "answer"}',
    '{"do": "answer", "calculator": "no-such"}',
    '{"do": "answer", "calculator": "groove", "inputs": [1]}',
    '{"do": "practice-mark", "form": "no-such", "answers": []}',
    '{"do": "practice-grade", "form": "groove-face-width", "grade": "had", "today": "31 March"}',
    '{"do": "record-csv", "records": 3}',
])
def test_a_request_in_another_form_is_told(request_text):
    assert asked(request_text)["trouble"].startswith("The page asked in a form the guide does not know")


def test_a_search_asked_for_endless_steps_takes_one():
    start = asked('{"do": "plan-start", "calculator": "cut-list", "inputs": {}}')
    step = asked(f'{{"do": "plan-step", "search": {start["search"]}, "steps": 1e999}}')
    assert "trouble" not in step and 0 <= step["share"] <= 1


def test_a_clock_set_to_the_last_day_still_marks():
    told = asked('{"do": "practice-grade", "form": "groove-face-width", "grade": "had", "today": "9999-12-31"}')
    assert told["card"]["due"] == "9999-12-31"


@pytest.mark.parametrize("answers", [["9" * 5000], ["0000"], ["٣" * 4]])
def test_a_line_number_without_end_is_refused_in_words(answers):
    told = asked(
        json.dumps(
            {"do": "practice-mark", "form": "cutting-layout-diagonals", "answers": answers, "today": "2026-03-02"}
        )
    )
    assert re.fullmatch(r"Name lines by their numbers, from 0 to \d\.", told["error"])


@pytest.mark.parametrize("count", ["00109999", "0", "61", "-1", "1.5", "9" * 3000, "ten"])
def test_a_linked_set_counts_from_1_to_60(count):
    told = asked(json.dumps({"do": "practice-link", "fields": {"chapters": "groove", "count": count}}))
    assert told["refused"] == ["count: write a whole number from 1 to 60"]


def test_a_whole_answer_after_a_quick_one_is_about_its_own_numbers():
    def asked_of(do, **inputs):
        return asked(json.dumps({"do": do, "calculator": "groove", "inputs": inputs}))

    alone = asked_of("answer", thickness="1/2 in")
    for before in ({"thickness": "1/2 in"}, {"thickness": "3/4 in"}, {"thickness": "wide"}):
        asked_of("quick", **before)
        assert asked_of("answer", thickness="1/2 in") == alone


@pytest.mark.parametrize("blank", [" ", "\u00a0", "\t|\u2003|", " ; \u00a0"])
def test_a_list_of_blank_rows_is_an_empty_list(blank):
    """A row of blanks of any kind is no row: not one made of default values."""
    asked = {"do": "answer", "calculator": "class-plan", "inputs": {"rods": blank}}
    assert "0 rows" in json.loads(respond(json.dumps(asked)))["errors"]["rods"]


LATER = {
    "calc.booth.web": BOOTH_DO, "calc.classroom.web": dict.fromkeys(classroom.DOES),
    "calc.classroom.classfile_web": dict.fromkeys(classroom.CLASS_FILE_DOES), "calc.photo.web": PHOTO_DO,
    "calc.plate_test.web": TEST_DO, "calc.practice.web": dict.fromkeys(practice.DOES),
    "calc.practice.mock_day_web": dict.fromkeys(practice.MOCK_DOES), "calc.record.web": RECORD_DO,
}


@pytest.mark.parametrize("module", LATER)
def test_each_door_that_opens_later_leads_somewhere(module):
    assert set(LATER[module]) == set(importlib.import_module(module).DO)


def test_which_inputs_mean_what_the_readers_test_says_though_written_otherwise():
    inputs = {"thickness": "12.7 mm", "root_opening": "0.25", "bevel_angle": "much"}
    own = {"thickness": "1/2 in", "root_opening": "3/8 in", "bevel_angle": "22.5 deg", "no_such": "1"}
    request = {"do": "quick", "calculator": "groove", "inputs": inputs, "own": own}
    assert asked(json.dumps(request))["same"] == ["thickness"]


def test_a_bare_number_of_a_link_keeps_the_unit_it_was_read_in():
    told = asked(json.dumps({"do": "open", "calculator": "groove", "inputs": {"thickness": "1", "kerf": "2 mm"}}))
    assert told["inputs"] == {"thickness": "1 in", "kerf": "2 mm"}
