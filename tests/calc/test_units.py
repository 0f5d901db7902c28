"""Units: reading shop notation exactly, and conversions against pint, an independent units library."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given, settings, strategies as st

from calc.core import units
from calc.core.units import (
    ANGLE,
    LENGTH,
    PRESSURE,
    STRESS,
    TEMPERATURE,
    Kind,
    UnitError,
    parse,
    shop_fraction,
    show,
    significant,
)

PINT = pint.UnitRegistry()
PINT_NAMES = {
    "in": "inch", "ft": "foot", "mm": "millimeter", "cm": "centimeter", "m": "meter", "in²": "inch**2",
    "ft²": "foot**2", "mm²": "millimeter**2", "m²": "meter**2", "in³": "inch**3", "ft³": "foot**3",
    "cm³": "centimeter**3", "m³": "meter**3", "L": "liter", "lb": "pound", "oz": "ounce", "kg": "kilogram", "g": "gram",
    "lb/in³": "pound/inch**3", "kg/m³": "kilogram/meter**3", "g/cm³": "gram/centimeter**3", "lb/ft": "pound/foot",
    "kg/m": "kilogram/meter", "lb/h": "pound/hour", "kg/h": "kilogram/hour", "s": "second", "min": "minute",
    "h": "hour", "in/min": "inch/minute", "mm/s": "millimeter/second", "mm/min": "millimeter/minute",
    "ft/min": "foot/minute", "m/min": "meter/minute", "m/s": "meter/second", "A": "ampere", "V": "volt", "Ω": "ohm",
    "A/mm²": "ampere/millimeter**2", "A/in": "ampere/inch", "A/mm": "ampere/millimeter", "psi": "psi", "ksi": "ksi",
    "bar": "bar", "kPa": "kilopascal", "MPa": "megapascal", "lbf": "pound_force", "kN": "kilonewton", "N": "newton",
    "ft³/h": "foot**3/hour", "ft³/min": "foot**3/minute", "m³/h": "meter**3/hour", "m³/min": "meter**3/minute",
    "L/min": "liter/minute", "kJ/in": "kilojoule/inch", "kJ/mm": "kilojoule/millimeter", "kW": "kilowatt", "W": "watt",
    "mg/m³": "milligram/meter**3", "µg/m³": "microgram/meter**3",
}
BASE_NAMES = {
    "m": "meter", "m2": "meter**2", "m3": "meter**3", "kg": "kilogram", "kg/m3": "kilogram/meter**3",
    "kg/m": "kilogram/meter", "kg/s": "kilogram/second", "s": "second", "m/s": "meter/second", "A": "ampere",
    "V": "volt", "ohm": "ohm", "A/m2": "ampere/meter**2", "A/m": "ampere/meter", "Pa": "pascal", "N": "newton",
    "m3/s": "meter**3/second", "J/m": "joule/meter", "W": "watt",
}
KINDS = [each for each in vars(units).values() if isinstance(each, Kind)]


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind.base in BASE_NAMES], ids=lambda kind: kind.name)
def test_every_factor_agrees_with_pint(kind):
    for unit in kind.units:
        if unit.symbol not in PINT_NAMES:
            continue
        theirs = (1 * PINT(PINT_NAMES[unit.symbol])).to(BASE_NAMES[kind.base]).magnitude
        assert float(unit.to_base(1)) == pytest.approx(theirs, rel=1e-9), unit.symbol


def test_no_unit_of_a_dimensional_kind_goes_unchecked():
    unchecked = {
        unit.symbol for kind in KINDS if kind.base in BASE_NAMES for unit in kind.units if unit.symbol
        and unit.symbol not in PINT_NAMES
    }
    assert unchecked <= {"kg/m³", "in²"} | {unit for unit in unchecked if "/" in unit}, unchecked


@pytest.mark.parametrize(
    "written, inches",
    [
        ("3/8", Fraction(3, 8)), ("1-1/2", Fraction(3, 2)), ("1 1/2 in", Fraction(3, 2)), ("0.375 in", Fraction(3, 8)),
        (".5 in", Fraction(1, 2)), ('3/8"', Fraction(3, 8)), ("⅜ in", Fraction(3, 8)), ("1½ in", Fraction(3, 2)),
        ("1 – 1/2 inches", Fraction(3, 2)), ("25.4 mm", Fraction(1)), ("2 ft", Fraction(24)), ("2.54cm", Fraction(1)),
        ("−1/4 in", Fraction(-1, 4)), ("3 ⁄ 8 IN", Fraction(3, 8)), ("12\u202f000 in", Fraction(12000)),
        ("1 250.5 in", Fraction("1250.5")),
    ],
)
def test_shop_notation_is_read_exactly(written, inches):
    assert parse(written, LENGTH) == inches * Fraction("0.0254")


@pytest.mark.parametrize(
    "written, part_of_message",
    [
        ("", "nothing is written"), ("abc", "does not start with a number"), ("3/0 in", "0 below the line"),
        ("9,5 mm", "comma"), ("1e3 mm", "not a unit of length"), ("nan", "does not start"),
        ("inf in", "does not start"), ("3/8 psi", "not a unit of length"), ("9" * 41, "longer than 40"),
        ("1/2/3 in", "not a unit"), ("--3 in", "does not start"), ("٣ in", "does not start"),
    ],
)
def test_what_cannot_be_read_is_refused_with_a_reason(written, part_of_message):
    with pytest.raises(UnitError, match=part_of_message):
        parse(written, LENGTH)


def test_a_bare_number_takes_the_unit_of_the_system():
    assert parse("9.525", LENGTH, "si") == parse("3/8", LENGTH, "us")
    assert parse("100", TEMPERATURE, "si") == parse("212", TEMPERATURE, "us")


def test_fixed_points_of_temperature_and_pressure():
    """Freezing and boiling point by definition; 15 psi = 103 kPa as 29 CFR 1910.253(a)(2) prints it."""
    assert parse("32 °F", TEMPERATURE) == 0
    assert parse("-40 F", TEMPERATURE) == parse("-40 C", TEMPERATURE)
    assert round(float(units.KILOPASCAL.from_base(parse("15 psi", PRESSURE)))) == 103
    assert round(float(units.MEGAPASCAL.from_base(parse("50 ksi", STRESS)))) == 345


@given(st.integers(0, 4000), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
@settings(max_examples=60)
def test_a_shop_fraction_reads_back_to_itself(count, finest):
    metres = Fraction(count, finest) * Fraction("0.0254")
    assert parse(shop_fraction(metres), LENGTH) == metres


@given(st.floats(1e-9, 1e12), st.integers(1, 8))
@settings(max_examples=100)
def test_shown_digits_are_within_half_a_unit_of_the_last(value, digits):
    shown = float(significant(value, digits).replace("\u202f", ""))
    assert abs(shown - value) <= 0.5000001 * 10 ** (
        __import__("math").floor(__import__("math").log10(value)) + 1 - digits
    )


def test_degrees_stand_close_and_other_units_apart():
    assert show(Fraction(45), ANGLE, "us") == "45°"
    assert show(parse("3/8 in", LENGTH), LENGTH, "us") == "0.375\u00a0in"
