"""Bending load and spring-back against the stress integrated over the section (scipy) and pint's units."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import assume, given, settings, strategies as st
from scipy.integrate import quad, solve_ivp

from calc.core.declare import InputError, Level, phrase_text
from calc.core.units import INCH
from calc.stages.bend import BEND_FORCE, SPRING_BACK, kept_curvature, plastic_bending_load

UNITS = pint.UnitRegistry()
PLAIN = {"flow_stress": "47 ksi", "ram_diameter": "2 in"}


def plain(text: str) -> str:
    """Text with ordinary spaces."""
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def test_the_load_is_the_stress_integrated_over_the_section() -> None:
    # Independent derivation: moment of a fully yielded section by quadrature, statics of a simple beam, units by pint.
    width, thickness, span = 1.5 * UNITS.inch, 0.375 * UNITS.inch, 2.375 * UNITS.inch
    flow = 47 * UNITS.kip / UNITS.inch**2
    half = thickness.magnitude / 2
    area_moment = 2 * quad(lambda y: y, 0, half)[0] * UNITS.inch**2
    load = (4 * flow * width * area_moment / span).to("newton").magnitude
    result = BEND_FORCE.answer(PLAIN)
    assert float(result["load"].amount) == pytest.approx(load, rel=1e-9)
    assert float(result["pressure"].amount) == pytest.approx(
        (load * UNITS.newton / (math.pi * (2 * UNITS.inch) ** 2 / 4)).to("pascal").magnitude, rel=1e-9,
    )


def test_the_mean_of_yield_and_tensile_is_the_default_flow_stress() -> None:
    # (36 + 80) / 2 ksi: the ends of the A36 figures, secondary tables.
    assert BEND_FORCE.answer()["flow_stress"].text("us") == "58\u00a0ksi"


def test_the_band_is_shown_and_labelled_an_order_of_magnitude() -> None:
    result = BEND_FORCE.answer(PLAIN)
    load = result["load"].amount
    assert float(result["load_low"].amount / load) == pytest.approx(0.7)
    assert float(result["load_high"].amount / load) == pytest.approx(1.5)
    assert "order of magnitude" in phrase_text(result.headline, "us")
    assert result["load"].text("us") == "4200\u00a0lbf"  # two digits: no more is known


def test_a_rating_at_the_top_of_the_band_covers_it_and_one_under_does_not() -> None:
    most = float(BEND_FORCE.answer(PLAIN)["load_high"].amount)
    assert BEND_FORCE.answer(PLAIN, capacity=f"{most + 0.01:.3f} N").check("capacity").level is Level.OK
    assert BEND_FORCE.answer(PLAIN, capacity=f"{most - 0.01:.3f} N").check("capacity").level is Level.STOP


def test_without_a_ram_there_is_no_pressure() -> None:
    assert "pressure" not in [value.name for value in BEND_FORCE.answer(ram_diameter="").values]


@settings(max_examples=40, deadline=None)
@given(
    width=st.floats(0.01, 0.1), thickness=st.floats(0.003, 0.02), flow=st.floats(1e8, 1e9), span=st.floats(0.05, 0.3),
)
def test_load_goes_with_width_strength_thickness_squared_and_falls_with_span(width, thickness, flow, span) -> None:
    load = plastic_bending_load(width=width, thickness=thickness, flow_stress=flow, span=span)
    assert plastic_bending_load(
        width=2 * width, thickness=thickness, flow_stress=flow, span=span,
    ) == pytest.approx(2 * load)
    assert plastic_bending_load(
        width=width, thickness=2 * thickness, flow_stress=flow, span=span,
    ) == pytest.approx(4 * load)
    assert plastic_bending_load(
        width=width, thickness=thickness, flow_stress=flow, span=2 * span,
    ) == pytest.approx(load / 2)


@pytest.mark.parametrize(
    ("given_texts", "field", "words"),
    [
        ({"opening": "2.24 in"}, "opening", "write at least 2-1/4 in (57.15 mm)"),
        ({"yield_strength": "81 ksi"}, "tensile_strength", "write at least 81 ksi (558.48 MPa)"),
        ({"thickness": "0 in"}, "thickness", "from 1/16 in to 2 in"),
        ({"capacity": "5 kg"}, "capacity", "lbf, kN or N"),
    ],
)
def test_what_cannot_be_used_is_named_with_its_limit(given_texts, field: str, words: str) -> None:
    with pytest.raises(InputError) as trouble:
        BEND_FORCE.answer(given_texts)
    assert trouble.value.field == field
    assert words in plain(trouble.value.message)


def test_the_narrowest_opening_that_passes_is_taken() -> None:
    assert BEND_FORCE.answer(opening="2-1/4 in")["load"].amount > 0


def _recovered(radius: float, thickness: float, flow: float, modulus: float) -> float:
    """Kept part of the curvature: moment of an elastic, perfectly plastic section by quadrature, taken off
    elastically.
    """
    stress = lambda y: min(flow, modulus * y / radius)  # noqa: E731
    edge = min(flow * radius / modulus, thickness / 2)
    moment = 2 * sum(quad(lambda y: stress(y) * y, low, high)[0] for low, high in ((0, edge), (edge, thickness / 2)))
    return 1 - moment / (modulus * thickness**3 / 12) * radius


@settings(max_examples=40, deadline=None)
@given(radius=st.floats(0.3, 6), thickness=st.floats(0.0625, 1), flow=st.floats(20, 150))
def test_kept_curvature_is_the_elastic_unloading_of_the_section(radius: float, thickness: float, flow: float) -> None:
    modulus = 29000.0
    ratio = radius * flow / (modulus * thickness)
    assume(ratio < 0.49)
    assert float(kept_curvature(ratio)) == pytest.approx(_recovered(radius, thickness, flow, modulus), abs=1e-7)


def test_the_limits_of_the_recovery_formula() -> None:
    assert float(kept_curvature(1e-9)) == pytest.approx(1, abs=1e-8)  # a very tight bend keeps all of it
    assert float(kept_curvature(0.5 - 1e-6)) == pytest.approx(0, abs=1e-9)  # at first yield all of it comes back
    for outside in (0, 0.5, 0.6, -0.1):
        with pytest.raises(ValueError, match="above 0 and below 1/2"):
            kept_curvature(outside)


def test_the_coupon_opens_as_the_integrated_section_says() -> None:
    result = SPRING_BACK.answer()
    kept = _recovered(0.9375, 0.375, 36, 29000)
    assert float(result["angle_free"].amount) == pytest.approx(180 * kept, abs=1e-6)
    assert float(result["opens"].amount) == pytest.approx(180 * (1 - kept), abs=1e-6)


@pytest.mark.parametrize("angle", ["180 deg", "120 deg", "90 deg"])
def test_the_tips_are_where_a_traced_coupon_ends(angle: str) -> None:
    # Independent: the coupon traced as a curve from its middle to one tip, heading integrated along it.
    result = SPRING_BACK.answer(angle=angle)
    in_inch = lambda name: float(result[name].amount) / float(INCH.factor)  # noqa: E731
    arc, radius, leg = in_inch("bent_arc"), in_inch("radius_free"), in_inch("leg")
    trace = solve_ivp(
        lambda s, p: [math.cos(min(s, arc / 2) / radius), math.sin(min(s, arc / 2) / radius)], (0, arc / 2 + leg),
        [0, 0],
        rtol=1e-10, atol=1e-12, max_step=0.01,
    )
    assert in_inch("tips_free") == pytest.approx(2 * trace.y[0][-1], abs=1e-5)
    assert result["tips_open"].amount > 0


def test_stronger_metal_and_thinner_coupons_spring_back_more() -> None:
    opens = [SPRING_BACK.answer(yield_strength=f"{stress} ksi")["opens"].amount for stress in (36, 50, 80)]
    assert opens == sorted(opens)
    assert SPRING_BACK.answer(
        thickness="1/8 in"
    )["opens"].amount > SPRING_BACK.answer(thickness="3/8 in")["opens"].amount


def test_the_springiest_coupon_of_the_ranges_still_keeps_some_bend_and_is_flagged() -> None:
    # First yield of the surface: (A + t) / 2 = E t / (2 F), so A = 29000 / 16 / 150 - 1/16 = 12.02 in, just past the range of 12 in.
    result = SPRING_BACK.answer(
        thickness="1/16 in", yield_strength="150 ksi", plunger_diameter="12 in", coupon_length="48 in",
    )
    assert 0 < result["angle_free"].amount < 1
    assert result.check("elastic-part").level is Level.CAUTION
    assert SPRING_BACK.answer().check("elastic-part").level is Level.NOTE


def test_a_coupon_shorter_than_its_bend_is_refused_with_the_limit() -> None:
    with pytest.raises(InputError) as trouble:
        SPRING_BACK.answer(coupon_length="2.9 in")
    assert trouble.value.field == "coupon_length"
    assert "write more than 2.945 in (74.81 mm)" in plain(trouble.value.message)


@pytest.mark.parametrize(
    ("name", "texts", "id", "level"),
    [
        # Hand jacks are commonly rated to 10 000 psi: 5150 lbf on a 1/4 in ram is 105 000 psi, on 2 in 1640 psi (7725 lbf: 2460).
        ("bend-force", {"ram_diameter": "1/4 in"}, "pressure", Level.STOP),
        ("bend-force", {"ram_diameter": "2 in"}, "pressure", Level.OK),
        # 5150 lbf on 9/10 in is 8100 psi, 7725 lbf is 12 100 psi.
        ("bend-force", {"ram_diameter": "9/10 in"}, "pressure", Level.CAUTION),
        # ISO 5173 (from memory): rollers apart d + 2t to d + 3t, 2-1/4 to 2-5/8 in here.
        ("bend-force", {"opening": "2-5/8 in"}, "opening", Level.OK),
        ("bend-force", {"opening": "2.63 in"}, "opening", Level.CAUTION),
        ("bend-force", {"opening": "4.76 in"}, "opening", Level.STOP),
        ("bend-force", {"flow_stress": "35 ksi"}, "flow-stress", Level.CAUTION),
        ("bend-force", {"flow_stress": "80 ksi"}, "flow-stress", Level.OK),
        # OD1651 page 94: bent 180 degrees.
        ("spring-back", {"angle": "179 deg"}, "bend-angle", Level.INCOMPLETE),
        ("spring-back", {"angle": "180 deg"}, "bend-angle", Level.OK),
    ],
)
def test_what_is_entered_beside_the_load_is_judged(name, texts, id, level) -> None:
    calc = {each.id: each for each in (BEND_FORCE, SPRING_BACK)}[name]
    assert calc.answer(texts).check(id).level is level
