"""The WPS against what the guide holds: each end is told with our figure and its source, and no stage is softer."""

from dataclasses import replace

import pytest
from hypothesis import given, settings, strategies as st

from calc.core.declare import Level, phrase_text
from calc.core.sources import Standing
from calc.plate_test.work import with_facts, work
from calc.record.demo import TEST
from calc.stages.wps import WPS_CHECK

WHOLE = {name: text for name, text in TEST.values.items() if name in {each.name for each in WPS_CHECK.inputs}}


def answer(**changed):
    return WPS_CHECK.answer({**WHOLE, **changed})


def test_the_invented_shops_wps_stays_inside_everything():
    result = answer()
    assert result.level is Level.OK
    assert int(result["inside"].amount) == [each.level for each in result.checks].count(Level.OK)
    assert int(result["to_ask"].amount) == int(result["not_stated"].amount) == 0


@pytest.mark.parametrize(("changed", "id", "held"), [
    # Each figure typed in again from the document that it names.
    ({"amps_high": "170 A"}, "amps-high", "160\xa0A"),  # Machinery's Handbook p. 1594 (secondary): 110 to 160 A
    ({"amps_low": "100 A"}, "amps-low", "115\xa0A"),  # AWS A5.1 annex (from memory): 115 to 165 A
    ({"volts_high": "32 V"}, "volts-high", "30\xa0V"),  # OD1651 p. 29 (read)
    ({"layer_most": "1/4 in"}, "layer-high", "3/16 in"),  # D1.1:2020 Table 5.1 (read)
    ({"exposure_most": "9 h"}, "own-limit", "4\xa0h"),  # D1.1 Table 5.1 (from memory)
    ({"opening_over": "3/8 in"}, "own-tolerance", "1/4 in"),  # B-U2a as fit-up (secondary)
    ({"bevel_under": "3 deg"}, "bevel-under", "5°"),  # as fit-up, groove angle (secondary)
    ({"thickness": "1 in", "preheat_minimum": "40 degF"}, "wps-minimum", "50\xa0°F"),  # D1.1 Table 3.3, B (read)
    ({"interpass_maximum": "600 degF"}, "interpass-limit", "550\xa0°F"),  # common practice
])
def test_a_wider_wps_is_a_caution_with_the_end_and_our_figure(changed, id, held):
    check = answer(**changed).check(id)
    assert check.level is Level.CAUTION and held in phrase_text(check.phrase, "us")
    assert check.source.standing is not Standing.WORKED_OUT


@pytest.mark.parametrize("name", ["amps_low", "amps_high", "preheat_minimum", "interpass_maximum"])
def test_a_blank_that_decides_is_incomplete(name):
    assert answer(**{name: ""}).level is Level.INCOMPLETE


def test_what_is_not_held_is_not_known():
    assert answer(steel="other").check("steel").level is Level.NOT_KNOWN
    assert answer(rule_document="iso-9606-1").check("rule-document").level is Level.NOT_KNOWN
    assert answer(heat_most="60 kJ/in").check("heat").level is Level.NOTE
    rod = answer(other_rods="Root | E7018 | 3/32 in | 75 A | 95 A")
    assert rod.check("amps-2").level is Level.OK and phrase_text(rod.check("amps-2").phrase, "us").startswith("Root: ")


def test_what_is_from_memory_is_named_and_the_wps_decides():
    told = phrase_text(answer().check("from-memory").phrase, "us")
    assert "typical amperage ranges" in told or "Table 5.1, column A" in told
    assert "The figure of your WPS decides" in told


def test_the_heat_that_the_bands_allow():
    # By hand: 60 x 25 V x 135 A / (1000 x 3 in/min) = 67.5 kJ/in
    result = answer(heat_most="60 kJ/in")
    assert result["heat_top"].text("us") == "67.5\xa0kJ/in" and result.check("heat-top").level is Level.CAUTION
    assert answer(heat_most="67.5 kJ/in").check("heat-top") is None


@given(low=st.integers(20, 590), span=st.integers(0, 60))
@settings(max_examples=60, deadline=None)
def test_a_band_is_in_order_only_where_both_its_ends_are(low, span):
    high = min(low + span, 600)
    result = answer(amps_low=f"{low} A", amps_high=f"{high} A")
    assert (result.check("amps") is not None) == (low >= 115 and high <= 160)
    assert result.level is (Level.OK if low >= 115 and high <= 160 else Level.CAUTION)


def test_it_is_part_of_the_test_and_takes_its_facts():
    worked = work(with_facts(TEST, {"amps_low": "110 A", "amps_high": "130 A", "amps": "112 A"}))
    told = {each.id: each.level for each in worked.verdicts}
    assert told["wps-check.amps-low"] is Level.CAUTION and told["current.wps"] is Level.OK
    assert worked.level is Level.CAUTION
    broken = work(with_facts(TEST, {"amps": "140 A"}))
    verdict = next(each for each in broken.verdicts if each.id == "current.wps")
    assert verdict.level is broken.level is Level.STOP and verdict.source.text.startswith("Your WPS")


def test_a_blank_test_leaves_its_wps_incomplete():
    told = {each.id: each.level for each in work(replace(TEST, values={}, rows={})).verdicts}
    assert told["wps-check.amps-unstated"] is told["wps-check.preheat-unstated"] is Level.INCOMPLETE
