"""Preheat, carbon equivalent, heat input, cooling time."""

import math
from fractions import Fraction

import pint
import pytest
import sympy
from hypothesis import given, settings, strategies as st
from scipy.optimize import brentq

from calc.core.declare import InputError, Level, phrase_text
from calc.stages import heat

UREG = pint.UnitRegistry()


def value(calculator, name, **inputs):
    return float(calculator.answer(inputs)[name].amount)


def level(result, id):
    """The level of a check, None where the answer has none of that id."""
    check = result.check(id)
    return check and check.level


def fahrenheit(celsius):
    return UREG.Quantity(float(celsius), "degC").to("degF").magnitude


# --- preheat: AWS D1.1:2015 Table 3.3 (read), A36 -------------------------------

TABLE_3_3 = [
    # thickness, low-hydrogen °F, not low-hydrogen °F: each limit at, and just over
    ("1/8 in", 32, 32), ("0.75 in", 32, 32), ("0.751 in", 50, 150), ("1 in", 50, 150), ("1.5 in", 50, 150),
    ("1.501 in", 150, 225),
    ("2.5 in", 150, 225), ("2.501 in", 225, 300), ("8 in", 225, 300),
]


@pytest.mark.parametrize(("thickness", "low_hydrogen", "other"), TABLE_3_3)
def test_preheat_rows_and_their_limits(thickness, low_hydrogen, other):
    for electrode, least in (("low-hydrogen", low_hydrogen), ("other", other)):
        assert fahrenheit(value(heat.PREHEAT, "least", thickness=thickness,
            electrode=electrode)) == pytest.approx(least, abs=1e-9)


@pytest.mark.parametrize("row", heat.PREHEAT_ROWS, ids=lambda row: row.fact.id)
def test_the_printed_celsius_is_the_fahrenheit_to_the_nearest_five_degrees(row):
    # The table prints both; pint converts. It rounds to 5 °C, which for 225 °F is up by 3 °C.
    celsius = float(row.printed.split("(")[1].split(" ")[0])
    assert UREG.Quantity(float(row.printed.split(" ")[0]), "degF").to("degC").magnitude == pytest.approx(celsius, abs=3)


@given(st.fractions(Fraction(1, 8), 8))
@settings(max_examples=60, deadline=None)
def test_low_hydrogen_never_asks_for_more_and_thicker_never_for_less(inches):
    thickness, thicker = f"{float(inches):.6f} in", f"{min(float(inches) * 1.3, 8):.6f} in"
    low = value(heat.PREHEAT, "least", thickness=thickness)
    assert low <= value(heat.PREHEAT, "least", thickness=thickness, electrode="other")
    assert low <= value(heat.PREHEAT, "least", thickness=thicker)


@pytest.mark.parametrize(("metal", "least"), [("33 degF", 32), ("32 degF", 32), ("31 degF", 70)])
def test_freezing_metal_goes_to_seventy(metal, least):
    # Table 3.3 note a (from memory): below 32 °F, preheat to 70 °F.
    result = heat.PREHEAT.answer(thickness="3/8 in", metal=metal)
    assert fahrenheit(result["least"].amount) == pytest.approx(least)
    assert level(result, "preheat") is (Level.STOP if least == 70 else Level.OK)
    assert level(result, "cold-metal") is (Level.CAUTION if least == 70 else None)
    if least == 70:
        assert result["rise"].amount == pytest.approx((70 - 31) * 5 / 9)
        assert result["rise"].text("us") == "39\u00a0°F" and result["rise"].text("si") == "21.7\u00a0°C"


def test_freezing_thick_metal_keeps_the_higher_figure():
    assert fahrenheit(value(heat.PREHEAT, "least", thickness="3 in", metal="10 degF")) == pytest.approx(225)


def test_the_mix_up_of_the_two_rows_is_named():
    result = heat.PREHEAT.answer(thickness="1 in")
    told = phrase_text(result.check("other-category").phrase, "us")
    assert "150\u00a0°F is for electrodes that are not low-hydrogen" in told
    assert heat.PREHEAT.answer(thickness="3/8 in").check("other-category") is None


@pytest.mark.parametrize(("thickness", "warned"),
    [("19 mm", False), ("19.1 mm", True), ("20 mm", True), ("20.1 mm", False)])
def test_between_the_inch_and_the_metric_limit_it_takes_the_higher(thickness, warned):
    # The table prints 3/4 in and 20 mm for one limit.
    result = heat.PREHEAT.answer(thickness=thickness)
    assert (result.check("metric-column") is not None) is warned
    assert fahrenheit(result["least"].amount) == pytest.approx(32 if thickness == "19 mm" else 50)


@pytest.mark.parametrize(("air", "stopped"), [("1 degF", False), ("0 degF", False), ("-1 degF", True)])
def test_no_welding_in_air_below_zero(air, stopped):
    # D1.1:2015 clause 5.11 (read): 0 °F near the weld.
    assert (level(heat.PREHEAT.answer(air=air), "air") is Level.STOP) is stopped


@pytest.mark.parametrize(("metal", "most", "id"), [
    ("300 degF", "300 degF", None), ("301 degF", "300 degF", "interpass"), ("65 degF", "50 degF", "interpass"),
])
def test_highest_interpass_of_the_procedure(metal, most, id):
    result = heat.PREHEAT.answer(thickness="1 in", metal=metal, interpass=most)
    assert [check.id for check in result.checks if check.level is Level.STOP] == ([id] if id else [])


def test_a_maximum_under_the_minimum_is_refused():
    # Table 3.3 (read): 1 in, low-hydrogen, 50 °F.
    with pytest.raises(InputError, match=r"no temperature meets it and the minimum preheat; write 50.°F \(10.°C\) or "
        r"more") as trouble:
        heat.PREHEAT.answer(thickness="1 in", interpass="49 degF")
    assert trouble.value.field == "interpass"


@pytest.mark.parametrize(("metal", "thickness", "expected"), [
    # No document gives a maximum: 250 °F is under every common one, 550 °F over every (common practice).
    ("250 degF", "1 in", Level.NOTE), ("251 degF", "1 in", Level.NOT_KNOWN), ("550 degF", "1 in", Level.NOT_KNOWN),
    ("551 degF", "1 in", Level.STOP),
])
def test_without_a_maximum_a_hot_plate_is_not_called_in_order(metal, thickness, expected):
    assert level(heat.PREHEAT.answer(thickness=thickness, metal=metal), "interpass") is expected


# Categories by steel and thickness: A572 grades 42 and 50 in B, 60 and 65 in C (secondary); A514 from memory. °F of the
# four rows.
STEELS = {
    "A572 Gr 50": (32, 50, 150, 225), "a572-42": (32, 50, 150, 225), "A572-60": (50, 150, 225, 300),
    "A572 grade 65": (50, 150, 225, 300),
    "A514": (50, 125, 175, 225), "A992": (32, 50, 150, 225),
}


@pytest.mark.parametrize("steel", STEELS)
def test_the_row_of_each_steel(steel):
    for thickness, least in zip(("3/4 in", "1-1/2 in", "2-1/2 in", "4 in"), STEELS[steel], strict=True):
        result = heat.PREHEAT.answer(steel=steel, thickness=thickness, metal="400 degF", interpass="500 degF")
        assert fahrenheit(result["least"].amount) == pytest.approx(least)


@pytest.mark.parametrize(("steel", "expected"),
    [("A36", None), ("A572-50", Level.NOTE), ("A572-65", Level.NOTE), ("A992", Level.CAUTION), ("A514", Level.CAUTION)])
def test_how_sure_the_category_is(steel, expected):
    assert level(heat.PREHEAT.answer(steel=steel), "steel") is expected


@pytest.mark.parametrize(("steel", "stopped"),
    [("A36", False), ("A516-70", False), ("A572-50", True), ("A572-65", True), ("A992", True), ("A514", True)])
def test_rods_that_are_not_low_hydrogen_on_stronger_steel(steel, stopped):
    result = heat.PREHEAT.answer(steel=steel, electrode="other", metal="300 degF", interpass="500 degF")
    assert (level(result, "rod-for-steel") is Level.STOP) is stopped


@pytest.mark.parametrize(("steel", "words"),
    [("4140", "ask for the minimum preheat of your WPS"), ("A572", "A572 grade 42 or A572 grade 50"),
        ("", "is not among")])
def test_a_steel_without_a_row_is_refused_by_name(steel, words):
    with pytest.raises(InputError, match=words) as trouble:
        heat.PREHEAT.answer(steel=steel)
    assert trouble.value.field == "steel" and f"“{steel}”" in trouble.value.message


def test_another_steel_goes_by_the_wps_alone():
    with pytest.raises(InputError,
        match="we hold no row for your steel; ask for the minimum preheat of your WPS") as trouble:
        heat.PREHEAT.answer(steel="other")
    assert trouble.value.field == "wps_minimum"
    result = heat.PREHEAT.answer(steel="other", wps_minimum="200 degF", metal="210 degF")
    assert level(result, "steel") is Level.NOT_KNOWN and level(result, "preheat") is Level.OK
    assert level(heat.PREHEAT.answer(steel="other", wps_minimum="200 degF", metal="199 degF"), "preheat") is Level.STOP


@pytest.mark.parametrize(("own", "least"), [("32 degF", 50), ("50 degF", 50), ("51 degF", 51), ("150 degF", 150)])
def test_the_higher_of_wps_and_table_counts(own, least):
    assert fahrenheit(heat.PREHEAT.answer(thickness="1 in", wps_minimum=own)["least"].amount) == pytest.approx(least)


def test_thickness_under_the_table_is_refused():
    with pytest.raises(InputError, match="from 1/8 in to 8 in") as trouble:
        heat.PREHEAT.answer(thickness="0.1 in")
    assert trouble.value.field == "thickness"
    with pytest.raises(KeyError):
        heat.preheat_row("D", Fraction(1, 100))


# --- carbon equivalent ---------------------------------------------------------

COMPOSITION = {
    "carbon": ".20 %", "manganese": ".90 %", "silicon": ".20 %", "chromium": ".15 %", "molybdenum": ".05 %",
    "vanadium": "0 %", "nickel": ".15 %",
    "copper": ".20 %",
}


def test_carbon_equivalent_by_hand():
    # C .20 Mn .90 Cr .15 Mo .05 Ni .15 Cu .20: .20 + .15 + .04 + .02333 = 0.41333.
    result = heat.CARBON_EQUIVALENT.answer(COMPOSITION)
    assert float(result["ce_iiw"].amount) == pytest.approx(0.41333, abs=5e-6)
    assert float(result["ce_silicon"].amount) == pytest.approx(0.41333 + 0.20 / 6, abs=5e-6)
    assert float(result["cet"].amount) == pytest.approx(0.20 + 0.095 + 0.0175 + 0.00375, abs=1e-12)


@given(*(st.integers(0, 90) for _ in range(8)))
@settings(max_examples=60, deadline=None)
def test_carbon_equivalents_against_sympy(c, mn, si, cr, mo, v, ni, cu):
    # Independent: the three formulas parsed from their printed form.
    texts_in = {name: f"{n / 100:.2f} %" for name, n in zip(COMPOSITION, (c, mn, si, cr, mo, v, ni, cu), strict=True)}
    result = heat.CARBON_EQUIVALENT.answer(texts_in)
    at = dict(zip(sympy.symbols("C Mn Si Cr Mo V Ni Cu"),
        (sympy.Rational(n, 100) for n in (c, mn, si, cr, mo, v, ni, cu)), strict=True))
    printed = {
        "ce_iiw": "C + Mn/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15", "ce_silicon": "C + (Mn + Si)/6 + (Cr + Mo + V)/5 + (Ni "
        "+ Cu)/15",
        "cet": "C + (Mn + Mo)/10 + (Cr + Cu)/20 + Ni/40",
    }
    names = {str(symbol): symbol for symbol in at}
    for name, text in printed.items():
        exact = sympy.sympify(text, locals=names).subs(at)
        assert result[name].amount == Fraction(int(exact.p), int(exact.q))
    assert result["cet"].amount <= result["ce_iiw"].amount <= result["ce_silicon"].amount


@pytest.mark.parametrize(("carbon", "expected"),
    [("0.44 %", Level.CAUTION), ("0.60 %", Level.CAUTION), ("0.601 %", Level.STOP)])
def test_over_sixty_hundredths_a_steel_needs_its_own_wps(carbon, expected):
    assert level(heat.CARBON_EQUIVALENT.answer({**dict.fromkeys(COMPOSITION, "0 %"), "carbon": carbon}),
        "hardening") is expected


def test_the_higher_carbon_equivalent_is_judged():
    # 0.18 C, 0.90 Mn and the rest: 0.393 without silicon, 0.427 with 0.20 % of it.
    result = heat.CARBON_EQUIVALENT.answer({**COMPOSITION, "carbon": "0.18 %"})
    assert result["ce_iiw"].amount < 0.40 < result["ce_silicon"].amount
    assert level(result, "hardening") is Level.CAUTION


@pytest.mark.parametrize(("carbon", "expected", "words"), [
    ("0.40 %", Level.OK, "not over 0.4"), ("0.401 %", Level.CAUTION, "over 0.4"), ("0.45 %", Level.CAUTION, "over 0.4"),
    ("0.451 %", Level.CAUTION, "over 0.45"),
])
def test_the_usual_marks_of_the_trade(carbon, expected, words):
    plain = dict.fromkeys(COMPOSITION, "0 %")
    result = heat.CARBON_EQUIVALENT.answer({**plain, "carbon": carbon})
    assert level(result, "manganese") is Level.INCOMPLETE
    assert level(result, "hardening") is expected and words in phrase_text(result.check("hardening").phrase, "us")
    assert level(result, "a36-carbon") is Level.CAUTION


def test_outside_the_composition_it_is_meant_for_it_warns():
    at = heat.CARBON_EQUIVALENT.answer({**COMPOSITION, "manganese": "1.7 %"})
    over = heat.CARBON_EQUIVALENT.answer({**COMPOSITION, "manganese": "1.71 %"})
    assert at.check("fit-manganese") is None
    assert level(over, "fit-manganese") is Level.CAUTION


def test_an_unstated_element_is_said():
    assert heat.CARBON_EQUIVALENT.answer().check("unstated")
    full = heat.CARBON_EQUIVALENT.answer({**COMPOSITION, "vanadium": "0.01 %"})
    assert full.check("unstated") is None


# --- heat input ----------------------------------------------------------------


def test_heat_input_without_efficiency():
    # 60·24·125/(1000·6) = 30.000 kJ/in = 1.18110 kJ/mm.
    h = heat.HEAT_INPUT_CALCULATOR.answer(volts="24 V", amps="125 A", speed="6 in/min")["plain"]
    assert h.text("us") == "30\u00a0kJ/in"
    assert float(h.amount) / 1e6 == pytest.approx(1.18110, abs=5e-6)


def test_heat_input_with_efficiency():
    # k 0.8, 23 V, 120 A, 150 mm/min: 0.88320 kJ/mm.
    q = value(heat.HEAT_INPUT_CALCULATOR, "with_k", volts="23 V", amps="120 A", speed="150 mm/min")
    assert q / 1e6 == pytest.approx(0.88320, abs=5e-6)


@given(st.integers(10, 40), st.integers(40, 400), st.integers(2, 30), st.sampled_from(["smaw", "saw", "gtaw"]))
@settings(max_examples=60, deadline=None)
def test_heat_input_against_pint(volts, amps, speed, process):
    power = UREG.Quantity(volts, "V") * UREG.Quantity(amps, "A")
    expected = (power / UREG.Quantity(speed, "inch/minute")).to("J/m").magnitude
    result = heat.HEAT_INPUT_CALCULATOR.answer(volts=f"{volts} V", amps=f"{amps} A", speed=f"{speed} in/min",
        process=process)
    assert float(result["plain"].amount) == pytest.approx(expected, rel=1e-9)
    k = {"smaw": 0.8, "saw": 1.0, "gtaw": 0.6}[process]  # EN 1011-1 (from memory)
    assert float(result["with_k"].amount) == pytest.approx(k * expected, rel=1e-9)


def test_the_two_heat_inputs_are_labelled_and_h_is_what_is_limited():
    at = heat.HEAT_INPUT_CALCULATOR.answer(most="30 kJ/in")
    under = heat.HEAT_INPUT_CALCULATOR.answer(most="29.9 kJ/in")
    assert level(at, "heat-limit") is Level.OK
    assert level(under, "heat-limit") is Level.STOP
    assert "without" in at["plain"].label and "with arc" in at["with_k"].label


def test_no_travel_is_refused():
    with pytest.raises(InputError, match=r"from 0.5\sin/min to 200\sin/min") as trouble:
        heat.HEAT_INPUT_CALCULATOR.answer(speed="0 in/min")
    assert trouble.value.field == "speed"


def test_only_a_stick_arc_is_judged_as_one():
    for process, expected in (("smaw", Level.STOP), ("saw", None)):
        result = heat.HEAT_INPUT_CALCULATOR.answer(process=process, amps="900 A", volts="34 V")
        assert level(result, "arc-amps") is expected
        assert level(result, "arc-volts") is (Level.CAUTION if process == "smaw" else None)


@pytest.mark.parametrize(("heat_in", "expected"),
    [("16.4 kJ/in", Level.CAUTION), ("24 kJ/in", Level.OK), ("44 kJ/in", Level.CAUTION)])
def test_far_too_fast_and_far_too_slow_cooling(heat_in, expected):
    # About 5 and 30 s (from memory) at 3/8 in: the time goes by Q².
    assert level(heat.COOLING_TIME.answer(heat=heat_in), "cooling-time") is expected


@pytest.mark.parametrize(("inputs", "told"), [
    # Figure 3.9 of the welding handbook: Q 0.5 to 5 kJ/mm, plate up to 250 °C.
    ({"heat": "0.5 kJ/mm"}, False), ({"heat": "0.49 kJ/mm"}, True), ({"heat": "5 kJ/mm"}, False),
    ({"heat": "5.01 kJ/mm"}, True),
    ({"start": "250 degC"}, False), ({"start": "251 degC"}, True),
])
def test_outside_the_chart_of_the_formula_is_told(inputs, told):
    assert (level(heat.COOLING_TIME.answer(inputs), "chart") is Level.CAUTION) is told


def test_a_preheat_over_every_common_maximum_is_looked_at_again():
    assert level(heat.PREHEAT.answer(wps_minimum="551 degF", metal="560 degF", interpass="600 degF"),
        "wps-minimum") is Level.CAUTION
    assert heat.PREHEAT.answer(wps_minimum="550 degF", metal="560 degF",
        interpass="600 degF").check("wps-minimum") is None


# --- cooling time ----------------------------------------------------------------


@pytest.mark.parametrize(("q", "t0", "d", "joint", "name", "expected", "digits"), [
    # Arithmetic on the formula of EN 1011-2 Annex D (no published worked example is known).
    ("1", "20", "25.4", "plate", "thick", 5.288, 3), ("1", "20", "9.525", "plate", "thin", 12.525, 3),
    ("0.8832", "20", "9.525", "butt", "cooling_time", 8.793, 3),
    ("0.8832", "20", "25.4", "butt", "cooling_time", 4.204, 3),
    ("1.5", "100", "25.4", "butt", "cooling_time", 8.968, 3),
])
def test_cooling_time_vectors(q, t0, d, joint, name, expected, digits):
    got = value(heat.COOLING_TIME, name, heat=f"{q} kJ/mm", start=f"{t0} degC", thickness=f"{d} mm", joint=joint)
    assert got == pytest.approx(expected, abs=0.5 * 10**-digits)


def test_transition_thickness_vector():
    assert value(heat.COOLING_TIME, "transition", heat="1 kJ/mm", start="20 degC") * 1000 == pytest.approx(14.66,
        abs=0.005)


def _seconds_by_root_finding(excess, start):
    """Seconds from 800 to 500 °C of a falling cycle T(t) = start + excess(t), times found by bracketing."""
    when = {t: brentq(lambda s, t=t: start + excess(s) - t, 1e-9, 1e9, xtol=1e-12, rtol=1e-14) for t in (800, 500)}
    return when[500] - when[800]


@given(st.floats(0.3, 5), st.floats(-20, 250), st.floats(4, 60))
@settings(max_examples=40, deadline=None)
def test_both_formulas_are_the_cooling_of_a_moving_point_and_line_source(q, t0, d):
    # Independent derivation (Rosenthal 1946): on the center line behind a point source T - T0 = Q/(2·pi·k·t), behind a
    # line
    # source T - T0 = (Q/d)/sqrt(4·pi·k·rho·c·t). The conductivities are those that the coefficients of the standard
    # stand for.
    q, t0, d = round(q, 4), round(t0, 3), round(d, 3)
    result = heat.COOLING_TIME.answer(heat=f"{q} kJ/mm", start=f"{t0} degC", thickness=f"{d} mm", joint="plate")
    two_pi_k = 1 / (6700 - 5 * t0)
    four_pi_k_rho_c = 1 / ((4300 - 4.3 * t0) * 1e5)
    thick = _seconds_by_root_finding(lambda s: q / (two_pi_k * s), t0)
    thin = _seconds_by_root_finding(lambda s: q / d / math.sqrt(four_pi_k_rho_c * s), t0)
    assert float(result["thick"].amount) == pytest.approx(thick, rel=1e-6)
    assert float(result["thin"].amount) == pytest.approx(thin, rel=1e-6)
    assert float(result["cooling_time"].amount) == pytest.approx(max(thick, thin), rel=1e-6)


def test_the_transition_is_where_both_formulas_agree_by_sympy():
    q, d, t = sympy.symbols("Q d T", positive=True)
    lower, upper = 1 / (500 - t), 1 / (800 - t)
    thick = (6700 - 5 * t) * q * (lower - upper)
    thin = (4300 - sympy.Rational(43, 10) * t) * 10**5 * q**2 / d**2 * (lower**2 - upper**2)
    square = sympy.simplify(d**2 * thin / thick)  # the d² at which thin equals thick
    for heat_in, start in ((1, 20), (Fraction(3, 2), 150)):
        expected = math.sqrt(float(square.subs({q: sympy.Rational(heat_in), t: start})))
        got = value(heat.COOLING_TIME, "transition", heat=f"{float(heat_in)} kJ/mm", start=f"{start} degC") * 1000
        assert got == pytest.approx(expected, rel=1e-9)


@given(st.floats(0.2, 6), st.floats(0, 300), st.sampled_from(["butt", "plate"]))
@settings(max_examples=40, deadline=None)
def test_at_the_transition_both_times_agree_and_around_it_the_right_one_governs(q, t0, joint):
    inputs = {"heat": f"{q:.4f} kJ/mm", "start": f"{t0:.2f} degC", "joint": joint}
    edge = value(heat.COOLING_TIME, "transition", **inputs) * 1000
    at = heat.COOLING_TIME.answer(inputs, "us", thickness=f"{edge:.9f} mm")
    assert float(at["thick"].amount) == pytest.approx(float(at["thin"].amount), rel=1e-6)
    assert heat.COOLING_TIME.answer(inputs, "us", thickness=f"{edge * 0.99:.9f} mm")["governs"].wording == "thin plate"
    assert heat.COOLING_TIME.answer(inputs, "us", thickness=f"{edge * 1.01:.9f} mm")["governs"].wording == "thick plate"


@given(st.floats(0.3, 4), st.floats(0, 250))
@settings(max_examples=40, deadline=None)
def test_more_heat_and_warmer_plate_cool_slower(q, t0):
    base = value(heat.COOLING_TIME, "cooling_time", heat=f"{q:.4f} kJ/mm", start=f"{t0:.2f} degC")
    assert value(heat.COOLING_TIME, "cooling_time", heat=f"{q * 1.1:.4f} kJ/mm", start=f"{t0:.2f} degC") > base
    assert value(heat.COOLING_TIME, "cooling_time", heat=f"{q:.4f} kJ/mm", start=f"{t0 + 20:.2f} degC") > base


def test_own_factors():
    one = value(heat.COOLING_TIME, "thick", joint="own", factor_thick="1", factor_thin="1")
    assert value(heat.COOLING_TIME, "thick", joint="own", factor_thick="0.67",
        factor_thin="1") == pytest.approx(0.67 * one)
    with pytest.raises(InputError, match="write a number") as trouble:
        heat.COOLING_TIME.answer(joint="own", factor_thick="1")
    assert trouble.value.field == "factor_thin"
    # A 1/2 in plate lies under the transition (0.56 in), yet these factors make the thick-plate time the longer one.
    mixed = heat.COOLING_TIME.answer(joint="own", factor_thick="1.5", factor_thin="0.3", thickness="1/2 in")
    assert mixed["governs"].wording == "thick plate"
    assert level(mixed, "unequal-factors") is Level.CAUTION
    assert heat.COOLING_TIME.answer(thickness="1/2 in").check("unequal-factors") is None


def test_the_steps_show_the_formulas_own_units_in_both_systems():
    steps = {step.label: step for step in heat.COOLING_TIME.answer().steps}
    thick = steps["Thick plate: heat flows in three directions"]
    assert thick.numbers("us") == thick.numbers("si")
    assert "kJ/mm" in thick.numbers("us") and "°C" in thick.numbers("us")
