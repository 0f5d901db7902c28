"""Units, the rest: kinds that test_units.py leaves out against pint, and the edges of reading and showing numbers."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest

from calc.core import units
from calc.core.units import (
    ANGLE,
    LENGTH,
    NUMBER,
    PERCENTAGE,
    TEMPERATURE,
    Kind,
    UnitError,
    fixed,
    is_shop_fraction,
    parse,
    shop_fraction,
    show_as_written,
    show_printed,
    significant,
    split,
)
from calc.planning.class_plan import PRICE_PER_HOUR

PINT = pint.UnitRegistry()
INCH = Fraction("0.0254")
# (kind, unit as the guide shows it, the same for pint, base unit for pint)
OTHERS = [
    ("RESISTIVITY", "Ω·mm²/m", "ohm*millimeter**2/meter", "ohm*meter"),
    ("MOMENT", "lbf·in", "pound_force*inch", "newton*meter"), ("MOMENT", "N·m", "newton*meter", "newton*meter"),
    ("AMOUNT_OF_HEAT", "kJ", "kilojoule", "joule"), ("HEAT_PER_MASS", "kJ/kg", "kilojoule/kilogram", "joule/kilogram"),
    ("HEAT_PER_MOLE", "kJ/mol", "kilojoule/mole", "joule/mole"), ("MOLAR_MASS", "g/mol", "gram/mole", "kilogram/mole"),
    ("MOLAR_VOLUME", "L/mol", "liter/mole", "meter**3/mole"),
    ("GAS_CONSTANT", "J/(mol·K)", "joule/mole/kelvin", "joule/mole/kelvin"),
    ("GAS_PER_MASS", "ft³/lb", "foot**3/pound", "meter**3/kilogram"),
    ("GAS_PER_MASS", "m³/kg", "meter**3/kilogram", "meter**3/kilogram"),
    ("CONDUCTIVITY", "W/(m·K)", "watt/meter/kelvin", "watt/meter/kelvin"),
    ("SPECIFIC_HEAT", "J/(kg·K)", "joule/kilogram/kelvin", "joule/kilogram/kelvin"),
    ("VOLUME_HEAT", "MJ/(m³·K)", "megajoule/meter**3/kelvin", "joule/meter**3/kelvin"),
    ("DIFFUSIVITY", "mm²/s", "millimeter**2/second", "meter**2/second"),
    ("HEAT_TRANSFER", "W/(m²·K)", "watt/meter**2/kelvin", "watt/meter**2/kelvin"),
    ("RADIATION", "W/(m²·K⁴)", "watt/meter**2/kelvin**4", "watt/meter**2/kelvin**4"),
    ("CONCENTRATION", "mg/m³", "milligram/meter**3", "kilogram/meter**3"),
    ("CONCENTRATION", "µg/m³", "microgram/meter**3", "kilogram/meter**3"),
    ("TEMPERATURE_STEP", "°F", "delta_degF", "kelvin"), ("TEMPERATURE_STEP", "°C", "delta_degC", "kelvin"),
    ("ABSOLUTE_TEMPERATURE", "K", "kelvin", "kelvin"),
]


@pytest.mark.parametrize(("kind", "symbol", "theirs", "base"), OTHERS)
def test_a_factor_agrees_with_pint(kind, symbol, theirs, base):
    unit = next(unit for unit in getattr(units, kind).units if unit.symbol == symbol)
    assert float(unit.to_base(Fraction(7))) == pytest.approx((7 * PINT(theirs)).to(base).magnitude, rel=1e-12)


def test_scales_without_a_factor_read_as_written():
    """A degree, a percent, a plain number and a decibel stand as they are."""
    for kind, text in (
        (ANGLE, "22.5 deg"), (PERCENTAGE, "22.5 %"), (NUMBER, "22.5"), (units.SOUND_LEVEL, "22.5 dBA"),
        (units.SOUND_STEP, "22.5 dB"),
    ):
        assert parse(text, kind) == Fraction(45, 2)


@pytest.mark.parametrize("degrees", [-459.67, -40, 0, 32, 72.5, 250, 2597])
def test_temperatures_agree_with_pint_both_ways(degrees):
    celsius = PINT.Quantity(degrees, "degF").to("degC").magnitude
    assert float(parse(f"{degrees} F", TEMPERATURE)) == pytest.approx(celsius, abs=1e-9)
    assert units.FAHRENHEIT.from_base(float(celsius)) == pytest.approx(degrees, abs=1e-9)  # the short road for floats
    assert float(units.FAHRENHEIT.from_base(Fraction(celsius))) == pytest.approx(degrees, abs=1e-9)


def test_forty_characters_are_read_and_one_more_is_refused():
    assert parse("0" * 37 + "3.5"[:3], NUMBER) == Fraction(7, 2)
    with pytest.raises(UnitError, match="longer than 40 characters"):
        parse("0" * 38 + "3.5", NUMBER)


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [
        (9.9996, 4, "10"), (0.00012345, 3, "0.000123"), (99950, 3, "100\u202f000"), (12345, 2, "12\u202f000"),
        (1234.5, 5, "1234.5"), (12345.6, 6, "12\u202f345.6"), (-1234567, 7, "-1\u202f234\u202f567"), (1000, 1, "1000"),
        (0, 4, "0"), (0.0, 1, "0"), (-0.5, 1, "-0.5"), (120, 4, "120"), (Fraction(1, 3), 2, "0.33"),
    ],
)
def test_significant_digits_as_a_reader_writes_them(value, digits, shown):
    """Four figures stand together, five are parted, by a thin space; zeros after the point that say nothing go."""
    assert significant(value, digits) == shown


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_only_finite_numbers_are_shown(value):
    with pytest.raises(ValueError, match="finite"):
        significant(value)


@pytest.mark.parametrize(
    ("value", "places", "shown"),
    [(-0.04, 1, "0.0"), (-0.06, 1, "-0.1"), (-0.4, 0, "0"), (2.5, 2, "2.50"), (-12.0, 1, "-12.0"), (-10, 0, "-10")],
)
def test_fixed_decimals_show_no_minus_before_nothing(value, places, shown):
    assert fixed(value, places) == shown


@pytest.mark.parametrize(
    ("inches", "finest", "shown"),
    [
        (Fraction(0), 64, "0 in"), (Fraction(-3, 8), 64, "-3/8 in"), (Fraction(-5, 2), 64, "-2-1/2 in"),
        (Fraction(3), 64, "3 in"), (Fraction(-1), 64, "-1 in"), (Fraction(1, 64), 64, "1/64 in"),
        (Fraction(1, 64), 8, "0 in"), (Fraction(17, 16), 16, "1-1/16 in"), (Fraction(9, 10), 8, "7/8 in"),
        (Fraction(99, 100), 8, "1 in"),
    ],
)
def test_the_nearest_shop_fraction(inches, finest, shown):
    assert shop_fraction(inches * INCH, finest) == shown


def test_a_shop_fraction_is_exact_to_the_last_bit():
    assert is_shop_fraction(Fraction(3, 64) * INCH) and not is_shop_fraction(Fraction(3, 128) * INCH)
    assert is_shop_fraction(Fraction(3, 8) * INCH, 8) and not is_shop_fraction(Fraction(3, 16) * INCH, 8)
    assert is_shop_fraction(0) and not is_shop_fraction(float(Fraction(3, 8) * INCH))


@pytest.mark.parametrize(
    ("text", "kind", "number", "symbol"),
    [
        ("-3/8 in", LENGTH, Fraction(-3, 8), "in"), ("-1-1/2", LENGTH, Fraction(-3, 2), None),
        ("+2", LENGTH, Fraction(2), None), ("1 250 mm", LENGTH, Fraction(1250), "mm"),
        ("12. mm", LENGTH, Fraction(12), "mm"), ("0/4 in", LENGTH, Fraction(0), "in"),
        ("90 DEG", ANGLE, Fraction(90), "°"), ("¾", LENGTH, Fraction(3, 4), None),
        ("2 ¾ in", LENGTH, Fraction(11, 4), "in"),
    ],
)
def test_number_and_unit_are_told_apart(text, kind, number, symbol):
    read, unit = split(text, kind)
    assert (read, unit and unit.symbol) == (number, symbol)


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("x", LENGTH, "“x” does not start with a number; write one as 3/8 in or 9.5 mm"),
        ("x", TEMPERATURE, "write one as 12\u00a0°F or 12\u00a0°C"), ("x", ANGLE, "write one as 12°$"),
        ("3 in", NUMBER, "“in” after the number; this is a plain number without a unit"),
        ("3 psi", ANGLE, "“psi” is not a unit of angle; write °$"),
        ("3 lb", TEMPERATURE, "“lb” is not a unit of temperature; write °F or °C$"),
        ("3 psi", LENGTH, "write in, mm, ft, cm or m$"),
        ("3 psi", PRICE_PER_HOUR, "“psi” is not a unit of price per hour; write per h$"),
        ("   ", LENGTH, "nothing is written here; write a number"),
    ],
)
def test_a_refusal_says_what_to_write(text, kind, message):
    with pytest.raises(UnitError, match=message.replace("(", r"\(")):
        parse(text, kind)


def test_letters_count_where_two_units_differ_only_by_them():
    """mm and MM are one unit; a unit that matches as written goes before one that matches in small letters."""
    pair = Kind(
        "pair", "x", units.Unit("Aa", Fraction(2)), units.Unit("aA", Fraction(3)),
        (units.Unit("b", Fraction(5), ("AA",)),),
    )
    assert parse(
        "1 aA", pair,
    ) == 3 and parse("1 Aa", pair) == 2 and parse("1 AA", pair) == 5 and parse("1 aa", pair) == 2


def test_inputs_and_printed_values_are_read_back_in_the_form_people_look_up():
    assert show_as_written(Fraction(3, 64) * INCH, LENGTH, "us") == "3/64 in"
    assert show_as_written(Fraction("0.0095"), LENGTH, "us") == "0.37402\u00a0in"  # five figures
    assert show_as_written(Fraction(3, 8) * INCH, LENGTH, "si") == "9.525\u00a0mm"
    assert show_printed(Fraction("0.0001"), LENGTH, "us") == "0.1\u00a0mm (0.003937\u00a0in)"  # a tenth of a millimeter is printed, finer is worked out
    assert show_printed(Fraction("0.00013"), LENGTH, "us") == "0.005118\u00a0in"
    assert show_printed(Fraction(3, 8) * INCH, LENGTH, "us") == "3/8 in"
    assert show_printed(Fraction(100), TEMPERATURE, "us") == "212\u00a0°F"
    assert show_printed(Fraction("0.003"), LENGTH, "si") == "3\u00a0mm"


def test_a_kind_shown_in_other_units_still_reads_the_old_ones():
    hours = units.TIME.shown_in(units.HOUR, units.HOUR)
    assert parse("2", hours) == 7200 and parse("2 min", hours) == 120 and parse("2 s", hours) == 2
    assert units.TIME.shown_in(si=units.SECOND).us is units.MINUTE
