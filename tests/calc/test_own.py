"""A figure against the band of the reader's own WPS: outside is a stop, an end is in order, the source is the WPS."""

import re

import pytest
from hypothesis import given, settings, strategies as st

from calc.catalogue import calculator
from calc.core.declare import InputError, Level, Working, phrase_text
from calc.core.sources import YOUR_WPS
from calc.core.units import CURRENT
from calc.show.html import answer_html, form_html
from calc.stages.own import AMPS_BAND, judge_band, require_order

AMPS = st.fractions(10, 600, max_denominator=10)


def judged(figure, low, high):
    w = Working()
    w.given("amps", "I", figure, CURRENT)
    judge_band(w, "wps", "amps", low, high)
    return w.checks


@given(figure=AMPS, low=st.none() | AMPS, high=st.none() | AMPS)
@settings(max_examples=200, deadline=None)
def test_only_what_lies_past_an_end_is_a_stop(figure, low, high):
    checks = judged(figure, low, high)
    if low is None and high is None:
        assert not checks
        return
    outside = (low is not None and figure < low) or (high is not None and figure > high)
    assert [each.level for each in checks] == [Level.STOP if outside else Level.OK]
    assert checks[0].source is YOUR_WPS


@given(end=AMPS)
@settings(max_examples=50, deadline=None)
def test_an_end_itself_is_in_order(end):
    assert [each.level for each in (*judged(end, end, None), *judged(end, None, end), *judged(end, end, end))] == [
        Level.OK] * 3


@given(low=AMPS, high=AMPS)
@settings(max_examples=50, deadline=None)
def test_a_band_goes_upward(low, high):
    if low <= high:
        require_order(low, high, AMPS_BAND[0])
        return
    with pytest.raises(InputError, match="at most .*A") as trouble:
        require_order(low, high, AMPS_BAND[0])
    assert trouble.value.field == "amps_low"


@pytest.mark.parametrize(("amps", "low", "high", "level"), [
    ("140 A", "115 A", "135 A", Level.STOP), ("112 A", "115 A", "135 A", Level.STOP),
    ("135 A", "115 A", "135 A", Level.OK), ("112 A", "110 A", "130 A", Level.CAUTION),
])
def test_the_wps_decides_before_the_tables(amps, low, high, level):
    # AWS A5.1 annex 115 to 165 A (from memory), Machinery's Handbook 110 to 160 A (secondary), typed in again here.
    result = calculator("current").answer(amps=amps, wps_low=low, wps_high=high, position="1G")
    assert result.level is level
    assert phrase_text(result.check("wps").phrase, "us").endswith((low.replace(" ", "\xa0") + ".",
        high.replace(" ", "\xa0") + "."))


OWN = [
    ("arc-length", {"volts": "24 V"}, "volts_high", "24 V", "23 V", "volts-wps"),
    ("heat-input", {}, "amps_low", "125 A", "126 A", "amps-wps"),
    ("heat-input", {}, "travel_high", "6 in/min", "5 in/min", "speed-wps"),
    ("heat-input", {}, "most", "30 kJ/in", "29 kJ/in", "heat-limit"),
    ("plate-heat", {}, "volts_low", "24 V", "25 V", "volts-wps"),
    ("passes", {}, "layer_most", "1/8 in", "3/32 in", "layer-wps"),
    ("travel-speed", {"volts": "22 V", "amps": "125 A"}, "amps_high", "125 A", "120 A", "amps-wps"),
    ("travel-speed", {}, "slowest", "6 in/min", "7 in/min", "speed-slowest"),
    ("preheat", {}, "wps_minimum", "65 degF", "66 degF", "preheat"),
    ("preheat", {"metal": "300 degF"}, "interpass", "300 degF", "299 degF", "interpass"),
    ("interpass-wait", {"now": "350 degF"}, "limit", "350 degF", "349 degF", "interpass"),
]


@pytest.mark.parametrize(("identifier", "inputs", "limit", "met", "broken", "check"), OWN)
def test_each_calculator_stops_past_the_limit_of_the_wps_and_names_it(identifier, inputs, limit, met, broken, check):
    calc = calculator(identifier)
    told = [calc.answer({**inputs, limit: text}).check(check) for text in (met, broken)]
    assert [each.level for each in told] == [Level.OK, Level.STOP]
    assert all(each.source.text.startswith("Your WPS (") for each in told)


def test_us_and_si_are_judged_alike():
    calc = calculator("passes")
    for thickness, most in (("1/8 in", "3.175 mm"), ("3.175 mm", "1/8 in")):
        assert calc.answer(layer_thickness=thickness, layer_most=most).check("layer-wps").level is Level.OK
    assert calc.answer(layer_thickness="3.2 mm", layer_most="1/8 in").check("layer-wps").level is Level.STOP


def links(html):
    return re.findall(r'Put in your own: <a href="#([\w-]+)">', html)


def test_beside_a_check_from_memory_stands_the_field_for_the_readers_own_figure():
    calc = calculator("current")
    assert links(answer_html(calc.answer())) == ["current-wps_low"]
    assert 'id="current-wps_low"' in form_html(calc)
    assert links(answer_html(calc.answer(wps_low="110 A", wps_high="140 A"))) == []
