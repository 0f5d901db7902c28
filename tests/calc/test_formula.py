"""Formulas that compute and write themselves: the value against sympy, the writing as a reader would want it."""

import math
from fractions import Fraction

import pytest
import sympy

from calc.core.formula import Symbol, cos, ln, sqrt, tan, unit_factor
from calc.core.units import ANGLE, CURRENT, HEAT_INPUT, LENGTH, TRAVEL_SPEED, VOLTAGE, parse

T = Symbol("t", parse("3/8 in", LENGTH), LENGTH)
R = Symbol("R", parse("1/4 in", LENGTH), LENGTH)
BETA = Symbol("β", Fraction(45, 2), ANGLE)


def test_value_against_sympy():
    area = R * T + T**2 * tan(BETA)
    r, t, b = sympy.symbols("r t b")
    exact = (r * t + t**2 * sympy.tan(b)).subs(
        {r: sympy.Rational(127, 20000), t: sympy.Rational(381, 40000), b: sympy.pi / 8}
    )
    assert area.value == pytest.approx(float(exact), rel=1e-14)
    mixed = sqrt(T / R) - ln(1 + cos(BETA)) / 3
    exact = (sympy.sqrt(t / r) - sympy.log(1 + sympy.cos(b)) / 3).subs({r: 2, t: 3, b: sympy.pi / 8})
    assert mixed.value == pytest.approx(float(exact), rel=1e-14)


def test_rational_parts_stay_exact():
    assert (100 * T / (4 * T + T)).value == Fraction(20)


@pytest.mark.parametrize(
    "formula, written",
    [
        (R - (T - R), "R − (t − R)"), (R - T + R, "R − t + R"), (T / (R * T), "t / (R·t)"), (T / R * T, "t / R·t"),
        ((R + T) * T, "(R + t)·t"), ((R + T) ** 2, "(R + t)²"), (tan(BETA / 2), "tan(β / 2)"),
        (sqrt(R + T), "√(R + t)"), (Fraction(2, 3) * T, "2/3·t"), (T ** Fraction(1, 2), "t^0.5"),
    ],
)
def test_brackets_stand_where_they_must(formula, written):
    assert formula.letters() == written


def test_numbers_are_put_in_with_their_units():
    assert (R * T).numbers("si") == "6.35\u00a0mm × 9.525\u00a0mm"
    assert (T**2).numbers("us") == "(0.375\u00a0in)²"


def test_mathml_is_well_formed_and_escaped():
    from xml.etree import ElementTree

    odd = Symbol("<b>_&", Fraction(1), LENGTH)
    for text in ((R - (T - R) * tan(BETA) / odd).letters_mathml(), ((R + odd) ** 2).numbers_mathml("us")):
        ElementTree.fromstring(f"<math>{text}</math>")


def test_unit_factor_of_heat_input():
    """24 V, 125 A, 6 in/min: 24 × 125 / 6 = 500 on a pocket calculator, and 60 V I / (1000 S) = 30 kJ/in (ASME IX
    QW-409.1).
    """
    volts, amps = Symbol("V", Fraction(24), VOLTAGE), Symbol("I", Fraction(125), CURRENT)
    speed = Symbol("S", parse("6 in/min", TRAVEL_SPEED), TRAVEL_SPEED)
    formula = volts * amps / speed
    assert unit_factor(formula, HEAT_INPUT, "us") == pytest.approx(0.06)
    assert HEAT_INPUT.us.from_base(formula.value) == 30
    assert unit_factor(R + T, LENGTH, "si") == 1.0


def test_outside_its_domain_a_formula_raises():
    with pytest.raises(ValueError):
        _ = sqrt(R - T).value
    with pytest.raises(ValueError):
        _ = ((R - T) ** 0.5).value
    with pytest.raises(ZeroDivisionError):
        _ = (T / (R - R)).value
    assert math.isfinite(tan(BETA).value)
