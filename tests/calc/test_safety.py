"""Safety, checked against the printed rows and worked examples of the rules, pint, and plain date arithmetic."""

from __future__ import annotations

import datetime
import math
from fractions import Fraction

import pint
import pytest
from hypothesis import given, settings, strategies as st

from calc.catalogue import fact
from calc.core.declare import InputError, Level, phrase_text
from calc.core.sources import Standing
from calc.core.units import FLOW, GAS_VOLUME, LENGTH, parse
from calc.stages import safety

ureg = pint.UnitRegistry()


def levels(result, *ids: str) -> list[Level]:
    """The levels of the checks of these ids, in the order of the answer."""
    return [check.level for check in result.checks if check.id in ids]


def stops(result) -> list[str]:
    """The ids of what says stop."""
    return [check.id for check in result.checks if check.level is Level.STOP]


def words(result, id: str) -> str:
    """The sentence of a check, with plain spaces."""
    return phrase_text(result.check(id).phrase, "us").replace("\u00a0", " ")


def refused(calculator, **inputs: str) -> InputError:
    with pytest.raises(InputError) as trouble:
        calculator.answer(inputs)
    return trouble.value


def said(error: InputError) -> str:
    return error.message.replace("\u00a0", " ")


# --- lens shade ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("electrode", "amps", "least"),
    # 29 CFR 1910.133(a)(5), shielded metal arc welding: one case inside each row, then the rows' ends.
    [
        ("1/16 in", "40 A", 7), ("1/8 in", "120 A", 8), ("5/32 in", "120 A", 8), ("3/32 in", "60 A", 8),
        ("3/16 in", "200 A", 10),
        ("1/4 in", "250 A", 10), ("5/16 in", "300 A", 11), ("3/8 in", "550 A", 11),
    ],
)
def test_least_shade_is_the_row_of_the_rule(electrode, amps, least):
    assert safety.LENS_SHADE.answer(electrode=electrode, amps=amps)["least_shade"].amount == least


@pytest.mark.parametrize(
    ("electrode", "guide"),
    # Older guide list (Mich. R 408.40624a, Table 2): 1/16 to 5/32 in 10, 3/16 to 1/4 in 12, 5/16 to 3/8 in 14.
    [("1/16 in", 10), ("5/32 in", 10), ("3/16 in", 12), ("1/4 in", 12), ("5/16 in", 14), ("3/8 in", 14)],
)
def test_guide_shade_is_the_row_of_the_older_list(electrode, guide):
    assert safety.LENS_SHADE.answer(electrode=electrode)["guide_shade"].amount == guide


@pytest.mark.parametrize(
    ("thickness", "least", "guide"),
    # 1910.133(a)(5) oxygen cutting: under 1 in 3, 1 to 6 in 4, over 6 in 5; the older list gives 3 or 4, 4 or 5, 5 or
    # 6.
    [
        ("3/8 in", 3, "3 or 4"), ("0.999 in", 3, "3 or 4"), ("1 in", 4, "4 or 5"), ("6 in", 4, "4 or 5"),
        ("6.001 in", 5, "5 or 6"),
    ],
)
def test_cutting_shade_by_thickness(thickness, least, guide):
    result = safety.LENS_SHADE.answer(process="cutting", thickness=thickness)
    assert (result["least_shade"].amount, result["guide_shade"].wording) == (least, guide)


def test_rod_and_current_of_different_rows_take_the_darker_and_say_so():
    # A 1/8 in rod stands in the row of shade 8 and 200 A in the row of shade 10 (1910.133(a)(5)).
    result = safety.LENS_SHADE.answer(electrode="1/8 in", amps="200 A")
    assert result["least_shade"].amount == 10
    assert levels(result, "table-row") == [Level.CAUTION]


def test_where_two_rows_meet_the_darker_one_counts():
    assert safety.LENS_SHADE.answer(electrode="5/32 in", amps="160 A")["least_shade"].amount == 10


@pytest.mark.parametrize(
    ("lens", "level"),
    [
        ("7", Level.STOP), ("8", Level.CAUTION), ("9", Level.CAUTION), ("10", Level.OK), ("12", Level.OK),
        ("13", Level.CAUTION),
    ],
)
def test_lens_in_hand_against_least_and_guide(lens, level):
    assert safety.LENS_SHADE.answer(electrode="1/8 in", amps="120 A", lens=lens).check("lens").level is level


@pytest.mark.parametrize(("lens", "level"), [("2", Level.STOP), ("3", Level.OK), ("6", Level.OK), ("7", Level.CAUTION)])
def test_lens_in_hand_for_cutting(lens, level):
    # Under 1 in: 3 by rule, 3 or 4 by the older list; two shades darker still let the work be seen (common practice).
    assert safety.LENS_SHADE.answer(process="cutting", lens=lens).check("lens").level is level


@given(amps=st.integers(1, 550), size=st.sampled_from([option.value for option in safety.ROD_SIZES]))
@settings(max_examples=60, deadline=None)
def test_never_start_lighter_than_the_rule_allows(amps, size):
    result = safety.LENS_SHADE.answer(electrode=size, amps=f"{amps} A")
    assert result["start_shade"].amount >= result["least_shade"].amount
    if amps > 1:
        fewer = safety.LENS_SHADE.answer(electrode=size, amps=f"{amps - 1} A")
        assert fewer["least_shade"].amount <= result["least_shade"].amount


def test_current_past_the_end_of_the_table_is_refused():
    error = refused(safety.LENS_SHADE, amps="551 A")
    assert (error.field, said(error)) == ("amps", "551 A is outside the range; write from 1 A to 550 A")
    assert safety.LENS_SHADE.answer(amps="550 A")["least_shade"].amount == 11


# --- hot work -------------------------------------------------------------------


@given(hour=st.integers(0, 23), minute=st.integers(0, 59), rule=st.sampled_from([("osha", 30), ("nfpa", 60)]))
@settings(max_examples=60, deadline=None)
def test_watch_end_agrees_with_the_calendar(hour, minute, rule):
    # Independent arithmetic: the standard library's datetime.
    start = datetime.datetime(2026, 3, 31, hour, minute)
    end = start + datetime.timedelta(minutes=rule[1])
    words = safety.HOT_WORK_CHECK.answer(finished=f"{hour:02}:{minute:02}", rule=rule[0])["watch_end"].wording
    assert words == f"{end:%H:%M}" + (" the next day" if end.date() > start.date() else "")


def test_both_watches_are_shown_whatever_is_chosen():
    result = safety.HOT_WORK_CHECK.answer(finished="15:45", rule="osha")
    assert (
        result["end_osha"].wording, result["end_nfpa"].wording, result["watch_end"].wording,
    ) == ("16:15", "16:45", "16:15")
    assert result.check("watch").level is Level.CAUTION and "16:45" in words(result, "watch")


def test_the_longer_watch_is_the_default():
    assert safety.HOT_WORK_CHECK.answer(finished="15:45")["watch_end"].wording == "16:45"


@pytest.mark.parametrize(
    ("distance", "ids"),
    [("34.99 ft", ["distance"]), ("35 ft", []), ("35.01 ft", []), ("10.66 m", ["distance"]), ("10.67 m", [])],
)
def test_clear_distance_at_its_limit(distance, ids):
    # WAC 296-307-49503 and 29 CFR 1915.504: "closer than 35 feet" (10.7 m).
    assert stops(safety.HOT_WORK_CHECK.answer(combustibles=distance)) == ids


@pytest.mark.parametrize(
    ("typed", "level"),
    # 29 CFR 1910.252(a)(2)(vii), from memory: what cannot be moved is shielded; what can be moved is moved.
    [
        ({"combustibles": "20 ft", "movable": "no", "shielded": "yes"}, Level.CAUTION),
        ({"combustibles": "20 ft", "shielded": "yes"}, Level.STOP),
        ({"openings": "yes", "covered": "yes"}, Level.CAUTION), ({"openings": "yes"}, Level.STOP),
        ({"openings": "unseen"}, Level.INCOMPLETE),
        ({"metal_walls": "unseen"}, Level.INCOMPLETE), ({}, Level.OK),
    ],
)
def test_shields_covers_and_what_nobody_has_looked_at(typed, level):
    result = safety.HOT_WORK_CHECK.answer({"combustibles": "40 ft"} | typed)
    assert result.level is level
    assert phrase_text(result.headline, "us").startswith("Nothing that you entered forbids it") is (level is Level.OK)


def test_missing_distance_is_named():
    result = safety.HOT_WORK_CHECK.answer(combustibles="20 ft")
    assert "15 ft" in words(result, "distance")
    assert phrase_text(result.headline, "us").startswith("Do not start yet")


def test_openings_and_metal_walls_each_stop_the_work():
    clear = {"combustibles": "40 ft"}
    assert stops(safety.HOT_WORK_CHECK.answer(clear)) == []
    for way in ("openings", "metal_walls"):
        assert stops(safety.HOT_WORK_CHECK.answer(clear, **{way: "yes"})) == [way.replace("_", "-")]


def test_a_time_that_is_none_is_refused():
    error = refused(safety.HOT_WORK_CHECK, finished="24:10")
    assert error.field == "finished"
    assert "24:10" in said(error) and "from 00:00 to 23:59" in said(error)


# --- ventilation ---------------------------------------------------------------------


@given(
    length=st.integers(3, 300), width=st.integers(3, 300), height=st.integers(3, 60), welders=st.integers(1, 40),
)
@settings(max_examples=40, deadline=None)
def test_room_volume_and_flow_agree_with_pint(length, width, height, welders):
    result = safety.VENTILATION.answer(
        length=f"{length} ft", width=f"{width} ft", height=f"{height} ft", welders=str(welders),
    )
    room = (length * ureg.foot) * (width * ureg.foot) * (height * ureg.foot) / welders
    assert float(result["volume_per_welder"].amount) == pytest.approx(room.to("m^3").magnitude, rel=1e-9)
    flow = welders * 2000 * ureg.foot**3 / ureg.minute
    assert float(result["total_flow"].amount) == pytest.approx(flow.to("m^3/s").magnitude, rel=1e-9)


def test_limits_meet_the_metric_figures_printed_beside_them():
    # 29 CFR 1910.252(c)(2) prints 284 m3, 5 m and 57 m3/min; 0.944 m3/s is its 2,000 ft3/min.
    assert float(fact("ventilation-volume").amount) == pytest.approx(284, abs=1)
    assert float(fact("ventilation-ceiling").amount) == pytest.approx(5, abs=0.5)
    assert float(fact("ventilation-flow").amount) == pytest.approx(0.944, abs=0.0005)
    assert float(fact("ventilation-flow").amount) * 60 == pytest.approx(57, abs=0.5)


@pytest.mark.parametrize(
    ("room", "needed"),
    [
        # 1910.252(c)(2): less than 10,000 ft3 per welder, or a ceiling under 16 ft. 5 m and 284 m3 are the rounded
        # twins.
        ({"length": "50 ft", "width": "20 ft", "height": "17 ft", "welders": "1"}, False),
        ({"length": "50 ft", "width": "20 ft", "height": "15.9 ft", "welders": "1"}, True),
        ({"length": "100 ft", "width": "100 ft", "height": "16 ft", "welders": "1"}, True),
        ({"length": "100 ft", "width": "100 ft", "height": "5 m", "welders": "1"}, False),
        ({"length": "50 ft", "width": "10 ft", "height": "20 ft", "welders": "1"}, True),
        ({"length": "51 ft", "width": "10 ft", "height": "20 ft", "welders": "1"}, False),
        ({"length": "49 ft", "width": "10 ft", "height": "20 ft", "welders": "1"}, True),
        ({"length": "50 ft", "width": "20 ft", "height": "17 ft", "welders": "2"}, True),
        ({"length": "100 ft", "width": "100 ft", "height": "30 ft", "welders": "1", "confined": "yes"}, True),
    ],
)
def test_when_air_must_be_moved(room, needed):
    assert (safety.VENTILATION.answer(room)["needed"].wording == "needed") is needed


@pytest.mark.parametrize(
    ("typed", "level"),
    # 1910.252(c)(2): 2,000 ft3/min a welder; four of them weld here under a ceiling of 14 ft.
    [
        ({}, Level.INCOMPLETE), ({"hood": "5 in"}, Level.CAUTION), ({"fan": "8000 ft3/min"}, Level.OK),
        ({"fan": "7999 ft3/min"}, Level.STOP),
        ({"fan": "8000 ft3/min", "metal": "zinc-coated"}, Level.STOP),
        ({"fan": "8000 ft3/min", "metal": "other"}, Level.NOT_KNOWN),
        ({"fan": "8000 ft3/min", "confined": "yes"}, Level.STOP),
    ],
)
def test_moved_air_is_judged_by_what_was_told(typed, level):
    assert safety.VENTILATION.answer(typed).level is level


@pytest.mark.parametrize(
    ("height", "level"),
    [("15.99 ft", Level.INCOMPLETE), ("16 ft", Level.CAUTION), ("4.99 m", Level.CAUTION), ("5 m", Level.OK)],
)
def test_between_the_figures_in_feet_and_in_meters_a_closer_look_is_asked_for(height, level):
    assert safety.VENTILATION.answer(length="200 ft", width="100 ft", height=height).level is level


def test_a_confined_space_is_stopped_however_large():
    result = safety.VENTILATION.answer(length="500 ft", width="500 ft", height="50 ft", welders="1", confined="yes")
    assert stops(result) == ["confined"]
    assert phrase_text(result.headline, "us").startswith("Do not work here")


@pytest.mark.parametrize(
    ("distance", "flow", "duct"),
    # WAC 296-24-71505, hood table: 4-6 in 150 cfm 3 in; 6-8 275, 3-1/2; 8-10 425, 4-1/2; 10-12 600, 5-1/2.
    [
        ("5 in", 150, "3 in"), ("7 in", 275, "3-1/2 in"), ("9 in", 425, "4-1/2 in"), ("11 in", 600, "5-1/2 in"),
        ("8 in", 425, "4-1/2 in"),
    ],
)
def test_hood_table(distance, flow, duct):
    result = safety.VENTILATION.answer(hood=distance)
    assert float(result["hood_flow"].amount) == pytest.approx((flow * ureg.foot**3 / ureg.minute).to("m^3/s").magnitude)
    assert result["hood_duct"].amount == parse(duct, LENGTH)


def test_hood_past_the_table_is_refused_and_blank_is_no_hood():
    error = refused(safety.VENTILATION, hood="12-1/2 in")
    assert (error.field, said(error)) == (
        "hood", "12-1/2 in is outside the range; write from 1 in to 12 in (from 25.4 mm to 304.8 mm)",
    )
    assert "hood_flow" not in [value.name for value in safety.VENTILATION.answer().values]


# --- acetylene -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "seventh", "tenth", "fifteenth"),
    # The arithmetic of the three rules, worked by hand to one decimal: 300, 145 and 75 ft3 cylinders.
    [("300 ft3", 42.9, 30.0, 20.0), ("145 ft3", 20.7, 14.5, 9.7), ("75 ft3", 10.7, 7.5, 5.0)],
)
def test_rates_by_the_three_rules(content, seventh, tenth, fifteenth):
    result = safety.ACETYLENE_DRAW.answer(content=content)
    for name, rate in (("seventh", seventh), ("tenth", tenth), ("fifteenth", fifteenth)):
        assert float(FLOW.us.from_base(result[f"rate_{name}"].amount)) == pytest.approx(rate, abs=0.05)


@pytest.mark.parametrize(("use", "rate"), [("intermittent", "rate_tenth"), ("continuous", "rate_fifteenth")])
def test_the_more_cautious_rule_for_the_use_is_the_default(use, rate):
    result = safety.ACETYLENE_DRAW.answer(use=use)
    assert result["safe_rate"].amount == result[rate].amount


def test_a_looser_rule_than_the_use_asks_for_is_pointed_out():
    assert "continuous use" in words(
        safety.ACETYLENE_DRAW.answer(use="continuous", rule="tenth", flow="12 ft3/h"), "draw-rule",
    )
    assert levels(safety.ACETYLENE_DRAW.answer(rule="seventh"), "draw-rule") == [Level.CAUTION]
    assert levels(safety.ACETYLENE_DRAW.answer(rule="fifteenth"), "draw-rule") == []
    # A looser rule does no harm to a draw that the stricter one allows too: a tenth of 145 ft3 is 14.5 ft3/h.
    for flow, judged in (("14.5 ft3/h", []), ("14.6 ft3/h", [Level.CAUTION])):
        assert levels(safety.ACETYLENE_DRAW.answer(rule="seventh", flow=flow), "draw-rule") == judged


@given(content=st.integers(5, 1000), flow=st.integers(1, 2000), rule=st.sampled_from(["seventh", "tenth", "fifteenth"]))
@settings(max_examples=60, deadline=None)
def test_the_cylinders_are_just_enough(content, flow, rule):
    result = safety.ACETYLENE_DRAW.answer(content=f"{content} ft3", flow=f"{flow} ft3/h", rule=rule)
    count, rate, wanted = result["cylinders"].amount, result["safe_rate"].amount, parse(f"{flow} ft3/h", FLOW)
    assert count * rate >= wanted > (count - 1) * rate


@pytest.mark.parametrize(("flow", "count"), [("14.5 ft3/h", 1), ("14.51 ft3/h", 2), ("29 ft3/h", 2), ("29.1 ft3/h", 3)])
def test_cylinder_count_at_the_edge(flow, count):
    result = safety.ACETYLENE_DRAW.answer(content="145 ft3", flow=flow, rule="tenth")
    assert result["cylinders"].amount == count
    assert stops(result) == ([] if count == 1 else ["cylinders"])


@pytest.mark.parametrize(
    ("pressure", "level"),
    [("0 psi", Level.CAUTION), ("2.99 psi", Level.CAUTION), ("3 psi", Level.OK), ("15 psi", Level.OK)],
)
def test_too_little_pressure_is_a_fault_too(pressure, level):
    # The tip bands of the cutting table begin at 3 psi (from memory).
    assert levels(safety.ACETYLENE_DRAW.answer(pressure=pressure, flow="5 ft3/h"), "pressure") == [level]


def test_army_figure_for_one_cylinder():
    # OD0017 p. 107: not more than 50 ft3/h, which is 1.42 m3/h.
    assert float(fact("acetylene-draw-most").amount) * 3600 == pytest.approx(1.42, abs=0.005)
    assert levels(
        safety.ACETYLENE_DRAW.answer(content="400 ft3", flow="55 ft3/h", rule="seventh"), "continuous-draw",
    ) == [Level.CAUTION]
    assert levels(
        safety.ACETYLENE_DRAW.answer(content="400 ft3", flow="50 ft3/h", rule="seventh"), "continuous-draw",
    ) == []


@pytest.mark.parametrize(
    ("pressure", "stopped"), [("14.9 psi", False), ("15 psi", False), ("15.01 psi", True), ("1.04 bar", True)],
)
def test_pressure_stop(pressure, stopped):
    # 29 CFR 1910.253(a)(2): not "in excess of 15 psig (103 kPa gauge pressure)".
    result = safety.ACETYLENE_DRAW.answer(pressure=pressure, flow="5 ft3/h")
    assert stops(result) == (["pressure"] if stopped else [])
    assert phrase_text(result.headline, "us").startswith("Turn the acetylene down") is stopped
    assert float(fact("acetylene-pressure-limit").amount) == pytest.approx(103_000, abs=500)


# --- noise ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("level", "hours", "tolerance"),
    # 29 CFR 1910.95 Table G-16. Half a unit of the last printed digit; the halves and quarters are exact rows.
    [
        (90, 8, 0.5), (92, 6, 0.5), (95, 4, 0.5), (97, 3, 0.5), (100, 2, 0.5), (102, 1.5, 0.05), (105, 1, 0.5),
        (110, 0.5, 0.05), (115, 0.25, 0.005),
    ],
)
def test_allowed_time_meets_the_osha_table(level, hours, tolerance):
    result = safety.NOISE_DOSE.answer(exposures=f"{level} dBA | 0.1 h")
    assert float(result["osha_time_1"].amount) / 3600 == pytest.approx(hours, abs=tolerance)


def test_allowed_time_by_niosh():
    # 8 / 2^((95 - 85) / 3) = 0.794 h, and 8 h at 85 dBA.
    assert float(
        safety.NOISE_DOSE.answer(exposures="95 dBA | 1 h")["niosh_time_1"].amount
    ) / 3600 == pytest.approx(0.794, abs=0.0005)
    assert float(safety.NOISE_DOSE.answer(exposures="85 dBA | 1 h")["niosh_dose"].amount) == pytest.approx(12.5)


@given(rows=st.lists(st.tuples(st.integers(60, 140), st.integers(1, 8)), min_size=1, max_size=3))
@settings(max_examples=50, deadline=None)
def test_average_agrees_with_the_formula_printed_in_the_rule(rows):
    # 29 CFR 1910.95 Appendix A: TWA = 16.61 log10(D / 100) + 90, its 16.61 rounded from 5 / log10 2.
    result = safety.NOISE_DOSE.answer(exposures=";".join(f"{level} dBA | {hours} h" for level, hours in rows))
    dose = 100 * sum(hours / (8 / 2 ** ((level - 90) / 5)) for level, hours in rows)
    assert float(result["osha_dose"].amount) == pytest.approx(dose, rel=1e-9)
    printed = 16.61 * math.log10(dose / 100) + 90
    assert float(result["osha_average"].amount) == pytest.approx(printed, abs=0.005)


@given(level=st.integers(60, 140), halves=st.integers(2, 24))
@settings(max_examples=30, deadline=None)
def test_a_job_told_in_two_rows_is_the_same_dose_and_niosh_is_never_below_osha(level, halves):
    whole = safety.NOISE_DOSE.answer(exposures=f"{level} dBA | {halves} h")
    split = safety.NOISE_DOSE.answer(exposures=f"{level} dBA | {halves - 1} h; {level} dBA | 1 h")
    for name in ("osha_dose", "niosh_dose"):
        assert float(split[name].amount) == pytest.approx(float(whole[name].amount), rel=1e-9)
    # From 78 dBA up NIOSH allows less time than OSHA; lower down the wider step of OSHA is the stricter one.
    if level >= 78:
        assert whole["niosh_dose"].amount > whole["osha_dose"].amount


def test_more_than_a_day_is_refused_and_a_day_is_not():
    assert safety.NOISE_DOSE.answer(exposures="80 dBA | 12 h; 80 dBA | 12 h")["osha_dose"].amount
    error = refused(safety.NOISE_DOSE, exposures="80 dBA | 12 h; 80 dBA | 12.1 h")
    assert error.field == "exposures"
    assert "add up to 24.1 h; a day has 24 h" in said(error)


@pytest.mark.parametrize(("level", "stopped"), [("115 dBA", False), ("115.1 dBA", True)])
def test_end_of_the_osha_table(level, stopped):
    # Table G-16 ends at 115 dBA. A minute there is well inside the dose.
    result = safety.NOISE_DOSE.answer(exposures=f"{level} | 0.01 h")
    assert ("loudest" in stops(result)) is stopped


def test_dose_at_and_over_its_limit():
    at = safety.NOISE_DOSE.answer(exposures="90 dBA | 8 h")
    over = safety.NOISE_DOSE.answer(exposures="90 dBA | 8.01 h")
    assert levels(at, "osha-dose") == [Level.OK]
    assert levels(over, "osha-dose") == [Level.STOP]


# --- fume ---------------------------------------------------------------------------------------


def test_time_weighting_meets_the_worked_example_of_the_rule():
    # 29 CFR 1910.1000(d)(1)(ii), repeated in 1915.1000: 2 h at 150, 2 h at 75, 4 h at 50 average to 81.25 of a limit of
    # 100.
    # The rule counts in ppm; the sum is the same in any unit. Example quoted from memory.
    rows = "other | 150 mg/m3 | 2 h | 100 mg/m3; other | 75 mg/m3 | 2 h | 100 mg/m3; other | 50 mg/m3 | 4 h | 100 mg/m3"
    result = safety.FUME_LIMIT.answer(exposures=rows, rule="own")
    assert float(result["mixture"].amount) == pytest.approx(0.8125, abs=0.00005)


def test_mixture_meets_the_worked_example_of_the_rule():
    # 29 CFR 1910.1000(d)(2)(ii): 500/1000 + 45/200 + 40/200 = 0.925, over 8 h. Example quoted from memory.
    rows = (
        "other | 500 mg/m3 | 8 h | 1000 mg/m3; other | 45 mg/m3 | 8 h | 200 mg/m3; other | 40 mg/m3 | 8 h | 200 mg/m3"
    )
    result = safety.FUME_LIMIT.answer(exposures=rows, rule="own")
    assert float(result["mixture"].amount) == pytest.approx(0.925, abs=0.0005)
    assert stops(result) == []


@pytest.mark.parametrize(
    ("substance", "rule", "limit"),
    # In mg/m3. Manganese: OSHA sampling page. Iron oxide: RTECS (OSHA). Chromium (VI): 1910.1026, 5 and 0.2 microgram.
    [
        ("manganese", "osha", 5), ("manganese", "niosh", 1), ("iron-oxide", "osha", 10), ("iron-oxide", "niosh", 5),
        ("chromium-6", "osha", 0.005), ("chromium-6", "niosh", 0.0002),
    ],
)
def test_at_and_over_each_limit(substance, rule, limit):
    at = safety.FUME_LIMIT.answer(exposures=f"{substance} | {limit} mg/m3 | 8 h", rule=rule)
    over = safety.FUME_LIMIT.answer(exposures=f"{substance} | {limit * 1.01:.6f} mg/m3 | 8 h", rule=rule)
    assert float(at["mixture"].amount) == pytest.approx(1)
    assert "not over 1" in phrase_text(at.headline, "us")
    assert "mixture" in stops(over)


def test_a_ceiling_is_not_thinned_by_time():
    # OSHA's 5 mg/m3 of manganese is a ceiling: ten minutes above it is above it.
    short = safety.FUME_LIMIT.answer(exposures="manganese | 6 mg/m3 | 0.1 h", rule="osha")
    assert float(short["mixture"].amount) == pytest.approx(1.2)
    twice = safety.FUME_LIMIT.answer(exposures="manganese | 4 mg/m3 | 1 h; manganese | 3 mg/m3 | 1 h", rule="osha")
    assert float(twice["mixture"].amount) == pytest.approx(0.8)


def test_a_small_sum_does_not_hide_a_short_peak():
    # NIOSH short-term manganese 3 mg/m3 (OSHA sampling page); the 8 h sum of this is only 0.1.
    peak = safety.FUME_LIMIT.answer(exposures="manganese | 3.2 mg/m3 | 0.25 h", rule="niosh")
    assert peak["mixture"].amount < 1
    assert phrase_text(peak.headline, "us").startswith("Stop")
    assert stops(safety.FUME_LIMIT.answer(exposures="manganese | 3 mg/m3 | 0.25 h", rule="niosh")) == []


@pytest.mark.parametrize(("measured", "stopped"), [("2.4 ug/m3", False), ("2.5 ug/m3", True)])
def test_chromium_action_level(measured, stopped):
    result = safety.FUME_LIMIT.answer(exposures=f"chromium-6 | {measured} | 8 h", rule="osha")
    assert levels(result, "chromium-action") == ([Level.CAUTION] if stopped else [])


def test_own_rule_wants_an_own_limit_and_names_the_row():
    error = refused(
        safety.FUME_LIMIT, exposures="other | 1 mg/m3 | 8 h | 5 mg/m3; iron-oxide | 1 mg/m3 | 8 h", rule="own",
    )
    assert error.field == "exposures"
    assert "Row 2: write your own limit in mg/m³" in said(error)


def test_a_part_without_a_limit_is_not_known_and_not_summed():
    alone = safety.FUME_LIMIT.answer(exposures="other | 1 mg/m3 | 8 h", rule="osha")
    assert alone.level is Level.NOT_KNOWN and alone["mixture"].wording == "not known"
    beside = safety.FUME_LIMIT.answer(exposures="other | 1 mg/m3 | 8 h; iron-oxide | 1 mg/m3 | 8 h", rule="osha")
    assert float(beside["mixture"].amount) == pytest.approx(0.1) and levels(
        beside, "limit-1", "mixture",
    ) == [Level.OK, Level.NOT_KNOWN]
    assert "left out" in phrase_text(beside.headline, "us")


@pytest.mark.parametrize(
    ("measured", "own", "level"),
    # OSHA 10 mg/m3 of iron oxide (RTECS), NIOSH 5 (from memory): an own limit lifts neither.
    [("1", "5", Level.OK), ("1", "5.1", Level.CAUTION), ("5.1", "20", Level.CAUTION), ("10.1", "20", Level.STOP)],
)
def test_an_own_limit_does_not_lift_the_law(measured, own, level):
    assert safety.FUME_LIMIT.answer(
        exposures=f"iron-oxide | {measured} mg/m3 | 8 h | {own} mg/m3", rule="own",
    ).level is level


def test_nothing_measured_is_not_clean():
    assert levels(safety.FUME_LIMIT.answer(exposures="iron-oxide | 0 mg/m3 | 8 h"), "measured-1") == [Level.CAUTION]


def test_more_than_a_day_of_one_substance_is_refused():
    error = refused(safety.FUME_LIMIT, exposures="iron-oxide | 1 mg/m3 | 20 h; iron-oxide | 1 mg/m3 | 5 h")
    assert "iron oxide add up to 25 h; a day has 24 h" in said(error)
    both = safety.FUME_LIMIT.answer(exposures="iron-oxide | 1 mg/m3 | 20 h; manganese | 0.01 mg/m3 | 20 h")
    assert both["mixture"].amount < 1


@given(
    measured=st.lists(st.integers(0, 400), min_size=1, max_size=4), minutes=st.integers(1, 300),
    rule=st.sampled_from(["osha", "niosh"]),
)
@settings(max_examples=40, deadline=None)
def test_another_row_of_fume_never_lowers_the_sum(measured, minutes, rule):
    hours = Fraction(minutes, 60)
    rows = [f"iron-oxide | {each / 100} mg/m3 | {float(hours):.4f} h" for each in measured]
    fewer = safety.FUME_LIMIT.answer(exposures=";".join(rows), rule=rule)
    more = safety.FUME_LIMIT.answer(exposures=";".join([*rows, "manganese | 0.01 mg/m3 | 1 h"]), rule=rule)
    assert more["mixture"].amount > fewer["mixture"].amount


# --- how the values are held ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ident", "standing"),
    # A reader leans on these marks: what was not seen in the text must not look as if it was.
    [
        ("fire-watch-osha", Standing.READ), ("fire-watch-nfpa", Standing.FROM_MEMORY),
        ("acetylene-draw-seventh", Standing.SECONDARY),
        ("acetylene-draw-fifteenth", Standing.FROM_MEMORY), ("acetylene-valve-turns", Standing.FROM_MEMORY),
        ("fume-chromium-osha", Standing.FROM_MEMORY), ("fume-iron-oxide-niosh", Standing.FROM_MEMORY),
        ("fume-manganese-guideline", Standing.SECONDARY), ("noise-niosh-level", Standing.FROM_MEMORY),
    ],
)
def test_standing_is_not_raised(ident, standing):
    assert fact(ident).source.standing is standing


def test_plate_weight_agrees_with_the_density_of_steel():
    # 7850 kg/m3 times one square foot times one inch, by pint: 40.84 lb.
    weight = 7850 * ureg.kilogram / ureg.meter**3 * ureg.foot**2 * ureg.inch
    assert float(fact("plate-weight-inch").amount) == pytest.approx(weight.to("kg").magnitude, rel=0.0005)


def test_volume_units_agree_with_pint():
    assert float(parse("10000 ft3", GAS_VOLUME)) == pytest.approx((10000 * ureg.foot**3).to("m^3").magnitude)


def test_other_substances_each_have_a_day_of_their_own():
    """Three rows of "another" may be three substances: only rows of one named substance must fit into a day."""
    rows = "; ".join(["other | 1 mg/m3 | 9 h | 5 mg/m3"] * 3)
    assert safety.FUME_LIMIT.answer(exposures=rows, rule="own")["mixture"].amount == pytest.approx(3 * 9 / 8 / 5)
    error = refused(safety.FUME_LIMIT, exposures="; ".join(["iron-oxide | 1 mg/m3 | 9 h"] * 3), rule="osha")
    assert "the rows of iron oxide add up to 27" in said(error) and "a day has 24 h" in said(error)
