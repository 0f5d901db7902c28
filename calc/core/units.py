"""Units at the edge: reading what a person wrote, showing what was worked out.

Every formula of the guide works in one base unit per kind of quantity, SI
wherever SI has one. This module holds the units as data, each with its exact
factor, and the two jobs at the edge: `parse` (text to base unit) and `show`
(base unit to text).

Conversions are exact by definition: 1 in = 25.4 mm and 1 lb = 0.45359237 kg
(international yard and pound agreement, 1959), 1 psi = 1 lbf/in2 with standard
gravity 9.80665 m/s2. All factors are `fractions.Fraction`, so 3/8 in stays 3/8.
Angles are kept in degrees, since a degree is what the trade sets and the factor
to the radian is not a fraction. Temperatures are kept in degrees Celsius.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import Literal

System = Literal["us", "si"]
SYSTEMS: tuple[System, System] = ("us", "si")
Number = Fraction | float | int

LONGEST_TEXT = 40
"""No number on a shop drawing is longer; a longer text is refused before it is read."""

# A key pressed changes one field: the others are read and shown as before.
_remember = lru_cache(maxsize=2048)


@dataclass(frozen=True, eq=False)
class Unit:
    """One unit: how it is shown, what else people write for it, its exact factor and offset to the base unit."""

    symbol: str
    factor: Fraction
    also: tuple[str, ...] = ()
    offset: Fraction = Fraction(0)

    def to_base(self, number: Number) -> Number:
        """The number in the base unit.

        >>> INCH.to_base(Fraction(3, 8))
        Fraction(381, 40000)
        """
        return number * self.factor + self.offset

    def from_base(self, value: Number) -> Number:
        """The number in this unit.

        >>> FAHRENHEIT.from_base(Fraction(100))
        Fraction(212, 1)
        """
        if isinstance(value, float):
            # The same numbers as the line below, without the slow road through Fraction: plots show hundreds of them.
            return (value - float(self.offset)) / float(self.factor)
        return (value - self.offset) / self.factor


@dataclass(frozen=True, eq=False)
class Kind:
    """A kind of quantity: its base unit, the unit shown in each system, and every unit it is read in."""

    name: str
    base: str
    us: Unit
    si: Unit
    others: tuple[Unit, ...] = ()

    @cached_property
    def units(self) -> tuple[Unit, ...]:
        """Every unit that this kind is read in, those that it is shown in first."""
        return tuple(dict.fromkeys((self.us, self.si, *self.others)))

    def unit(self, system: System) -> Unit:
        """The unit that this kind is shown in, in one system."""
        return self.us if system == "us" else self.si

    def shown_in(self, us: Unit | None = None, si: Unit | None = None) -> Kind:
        """The same kind, shown in other units (minutes in place of hours, say)."""
        return replace(self, us=us or self.us, si=si or self.si, others=self.units)


def _f(text: str) -> Fraction:
    return Fraction(text)


_IN = _f("0.0254")
_LB = _f("0.45359237")
_LBF = _LB * _f("9.80665")
_FT = 12 * _IN

INCH = Unit("in", _IN, ("inch", "inches", '"', "″", "''", "in."))
FOOT = Unit("ft", _FT, ("foot", "feet", "'", "′"))
MILLIMETRE = Unit("mm", _f("0.001"), ("millimetre", "millimetres", "millimeter", "millimeters"))
CENTIMETRE = Unit("cm", _f("0.01"))
METRE = Unit("m", _f("1"), ("metre", "metres", "meter", "meters"))
DEGREE = Unit("°", _f("1"), ("deg", "degree", "degrees", "º"))
SQUARE_INCH = Unit("in²", _IN**2, ("in2", "in^2", "sq in"))
SQUARE_FOOT = Unit("ft²", _FT**2, ("ft2", "ft^2", "sq ft"))
SQUARE_MILLIMETRE = Unit("mm²", _f("0.000001"), ("mm2", "mm^2"))
SQUARE_METRE = Unit("m²", _f("1"), ("m2", "m^2"))
CUBIC_INCH = Unit("in³", _IN**3, ("in3", "in^3"))
CUBIC_FOOT = Unit("ft³", _FT**3, ("ft3", "ft^3", "cu ft", "cf"))
CUBIC_CENTIMETRE = Unit("cm³", _f("0.000001"), ("cm3", "cm^3", "cc"))
CUBIC_METRE = Unit("m³", _f("1"), ("m3", "m^3"))
LITRE = Unit("L", _f("0.001"), ("l", "litre", "litres", "liter", "liters"))
POUND = Unit("lb", _LB, ("lbs", "pound", "pounds"))
OUNCE = Unit("oz", _LB / 16, ("ounce", "ounces"))
KILOGRAM = Unit("kg", _f("1"))
GRAM = Unit("g", _f("0.001"))
POUND_PER_CUBIC_INCH = Unit("lb/in³", _LB / _IN**3, ("lb/in3",))
KILOGRAM_PER_CUBIC_METRE = Unit("kg/m³", _f("1"), ("kg/m3",))
GRAM_PER_CUBIC_CENTIMETRE = Unit("g/cm³", _f("1000"), ("g/cm3",))
POUND_PER_FOOT = Unit("lb/ft", _LB / _FT)
KILOGRAM_PER_METRE = Unit("kg/m", _f("1"))
POUND_PER_HOUR = Unit("lb/h", _LB / 3600, ("lb/hr",))
KILOGRAM_PER_HOUR = Unit("kg/h", _f("1") / 3600, ("kg/hr",))
SECOND = Unit("s", _f("1"), ("sec", "second", "seconds"))
MINUTE = Unit("min", _f("60"), ("minute", "minutes", "mins"))
HOUR = Unit("h", _f("3600"), ("hr", "hrs", "hour", "hours"))
INCH_PER_MINUTE = Unit("in/min", _IN / 60, ("ipm",))
MILLIMETRE_PER_SECOND = Unit("mm/s", _f("0.001"))
MILLIMETRE_PER_MINUTE = Unit("mm/min", _f("0.001") / 60)
FOOT_PER_MINUTE = Unit("ft/min", _FT / 60, ("fpm",))
METRE_PER_MINUTE = Unit("m/min", _f("1") / 60)
METRE_PER_SECOND = Unit("m/s", _f("1"))
AMPERE = Unit("A", _f("1"), ("amp", "amps", "ampere", "amperes"))
VOLT = Unit("V", _f("1"), ("volt", "volts"))
OHM = Unit("Ω", _f("1"), ("ohm", "ohms"))
OHM_SQUARE_MILLIMETRE_PER_METRE = Unit("Ω·mm²/m", _f("0.000001"))
AMPERE_PER_SQUARE_MILLIMETRE = Unit("A/mm²", _f("1000000"), ("A/mm2",))
AMPERE_PER_INCH = Unit("A/in", 1 / _IN)
AMPERE_PER_MILLIMETRE = Unit("A/mm", _f("1000"))
PSI = Unit("psi", _LBF / _IN**2, ("psig", "lb/in2", "lb/in²"))
KSI = Unit("ksi", 1000 * _LBF / _IN**2)
BAR = Unit("bar", _f("100000"))
KILOPASCAL = Unit("kPa", _f("1000"))
MEGAPASCAL = Unit("MPa", _f("1000000"), ("N/mm2", "N/mm²"))
POUND_FORCE = Unit("lbf", _LBF)
KILONEWTON = Unit("kN", _f("1000"))
NEWTON = Unit("N", _f("1"))
POUND_FORCE_INCH = Unit("lbf·in", _LBF * _IN, ("lbf in", "lbf-in"))
NEWTON_METRE = Unit("N·m", _f("1"), ("N m", "Nm"))
CELSIUS = Unit("°C", _f("1"), ("C", "degC", "deg C"))
FAHRENHEIT = Unit("°F", _f("5/9"), ("F", "degF", "deg F"), offset=_f("-160/9"))
CELSIUS_STEP = Unit("°C", _f("1"), ("C", "degC", "K"))
FAHRENHEIT_STEP = Unit("°F", _f("5/9"), ("F", "degF"))
PERCENT = Unit("%", _f("1"), ("percent", "pct"))
ONE = Unit("", _f("1"))
CUBIC_FOOT_PER_HOUR = Unit("ft³/h", _FT**3 / 3600, ("ft3/h", "cfh"))
CUBIC_FOOT_PER_MINUTE = Unit("ft³/min", _FT**3 / 60, ("ft3/min", "cfm"))
CUBIC_METRE_PER_HOUR = Unit("m³/h", _f("1") / 3600, ("m3/h",))
CUBIC_METRE_PER_MINUTE = Unit("m³/min", _f("1") / 60, ("m3/min",))
LITRE_PER_MINUTE = Unit("L/min", _f("0.001") / 60, ("l/min",))
KILOJOULE_PER_INCH = Unit("kJ/in", 1000 / _IN)
KILOJOULE_PER_MILLIMETRE = Unit("kJ/mm", _f("1000000"))
KILOJOULE = Unit("kJ", _f("1000"))
KILOJOULE_PER_KILOGRAM = Unit("kJ/kg", _f("1000"))
KILOJOULE_PER_MOLE = Unit("kJ/mol", _f("1000"))
GRAM_PER_MOLE = Unit("g/mol", _f("0.001"))
LITRE_PER_MOLE = Unit("L/mol", _f("0.001"))
JOULE_PER_MOLE_KELVIN = Unit("J/(mol·K)", _f("1"))
KELVIN = Unit("K", _f("1"))
CUBIC_FOOT_PER_POUND = Unit("ft³/lb", _FT**3 / _LB, ("ft3/lb",))
CUBIC_METRE_PER_KILOGRAM = Unit("m³/kg", _f("1"), ("m3/kg",))
KILOWATT = Unit("kW", _f("1000"))
WATT = Unit("W", _f("1"))
DECIBEL = Unit("dB", _f("1"))
DECIBEL_A = Unit("dBA", _f("1"), ("dB(A)", "dB"))
MILLIGRAM_PER_CUBIC_METRE = Unit("mg/m³", _f("0.000001"), ("mg/m3",))
MICROGRAM_PER_CUBIC_METRE = Unit("µg/m³", _f("0.000000001"), ("ug/m3", "µg/m3"))
WATT_PER_METRE_KELVIN = Unit("W/(m·K)", _f("1"), ("W/mK", "W/m K", "W/m·K", "W/(m K)"))
JOULE_PER_KILOGRAM_KELVIN = Unit("J/(kg·K)", _f("1"), ("J/kgK", "J/kg K", "J/kg·K", "J/(kg K)"))
MEGAJOULE_PER_CUBIC_METRE_KELVIN = Unit("MJ/(m³·K)", _f("1000000"))
SQUARE_MILLIMETRE_PER_SECOND = Unit("mm²/s", _f("0.000001"), ("mm2/s",))
WATT_PER_SQUARE_METRE_KELVIN = Unit("W/(m²·K)", _f("1"), ("W/m2K", "W/m²K", "W/m2 K", "W/(m2 K)"))
RADIATION_UNIT = Unit("W/(m²·K⁴)", _f("1"))

LENGTH = Kind("length", "m", INCH, MILLIMETRE, (FOOT, CENTIMETRE, METRE))
DISTANCE = Kind("distance", "m", FOOT, METRE, (INCH, MILLIMETRE, CENTIMETRE))
ANGLE = Kind("angle", "deg", DEGREE, DEGREE)
AREA = Kind("area", "m2", SQUARE_INCH, SQUARE_MILLIMETRE, (SQUARE_FOOT, SQUARE_METRE))
VOLUME = Kind("volume", "m3", CUBIC_INCH, CUBIC_CENTIMETRE)
GAS_VOLUME = Kind("gas volume", "m3", CUBIC_FOOT, CUBIC_METRE, (LITRE,))
MASS = Kind("mass", "kg", POUND, KILOGRAM, (OUNCE, GRAM))
DENSITY = Kind("density", "kg/m3", POUND_PER_CUBIC_INCH, KILOGRAM_PER_CUBIC_METRE, (GRAM_PER_CUBIC_CENTIMETRE,))
LINEAR_MASS = Kind("mass per length", "kg/m", POUND_PER_FOOT, KILOGRAM_PER_METRE)
MASS_RATE = Kind("mass rate", "kg/s", POUND_PER_HOUR, KILOGRAM_PER_HOUR)
TIME = Kind("time", "s", MINUTE, MINUTE, (SECOND, HOUR))
TRAVEL_SPEED = Kind(
    "travel speed", "m/s", INCH_PER_MINUTE, MILLIMETRE_PER_SECOND, (MILLIMETRE_PER_MINUTE, METRE_PER_SECOND),
)
AIR_SPEED = Kind("air speed", "m/s", FOOT_PER_MINUTE, METRE_PER_MINUTE, (METRE_PER_SECOND,))
CURRENT = Kind("current", "A", AMPERE, AMPERE)
VOLTAGE = Kind("voltage", "V", VOLT, VOLT)
CURRENT_PER_LENGTH = Kind("current per length", "A/m", AMPERE_PER_INCH, AMPERE_PER_MILLIMETRE)
RESISTANCE = Kind("resistance", "ohm", OHM, OHM)
RESISTIVITY = Kind("resistivity", "ohm m", OHM_SQUARE_MILLIMETRE_PER_METRE, OHM_SQUARE_MILLIMETRE_PER_METRE)
CURRENT_DENSITY = Kind("current density", "A/m2", AMPERE_PER_SQUARE_MILLIMETRE, AMPERE_PER_SQUARE_MILLIMETRE)
PRESSURE = Kind("pressure", "Pa", PSI, BAR, (KILOPASCAL, MEGAPASCAL))
STRESS = Kind("stress", "Pa", KSI, MEGAPASCAL, (PSI,))
FORCE = Kind("force", "N", POUND_FORCE, KILONEWTON, (NEWTON,))
MOMENT = Kind("moment", "N m", POUND_FORCE_INCH, NEWTON_METRE)
TEMPERATURE = Kind("temperature", "degC", FAHRENHEIT, CELSIUS)
TEMPERATURE_STEP = Kind("temperature difference", "K", FAHRENHEIT_STEP, CELSIUS_STEP)
PERCENTAGE = Kind("percentage", "%", PERCENT, PERCENT)
NUMBER = Kind("number", "1", ONE, ONE)
FLOW = Kind("gas flow", "m3/s", CUBIC_FOOT_PER_HOUR, CUBIC_METRE_PER_HOUR, (LITRE_PER_MINUTE, CUBIC_FOOT_PER_MINUTE))
AIR_FLOW = Kind("air flow", "m3/s", CUBIC_FOOT_PER_MINUTE, CUBIC_METRE_PER_MINUTE)
HEAT_INPUT = Kind("heat input", "J/m", KILOJOULE_PER_INCH, KILOJOULE_PER_MILLIMETRE)
AMOUNT_OF_HEAT = Kind("heat", "J", KILOJOULE, KILOJOULE)
HEAT_PER_MASS = Kind("heat per mass", "J/kg", KILOJOULE_PER_KILOGRAM, KILOJOULE_PER_KILOGRAM)
HEAT_PER_MOLE = Kind("heat per mole", "J/mol", KILOJOULE_PER_MOLE, KILOJOULE_PER_MOLE)
MOLAR_MASS = Kind("molar mass", "kg/mol", GRAM_PER_MOLE, GRAM_PER_MOLE)
MOLAR_VOLUME = Kind("molar volume", "m3/mol", LITRE_PER_MOLE, LITRE_PER_MOLE)
GAS_CONSTANT = Kind("gas constant", "J/(mol K)", JOULE_PER_MOLE_KELVIN, JOULE_PER_MOLE_KELVIN)
ABSOLUTE_TEMPERATURE = Kind("absolute temperature", "K", KELVIN, KELVIN)
GAS_PER_MASS = Kind("gas volume per mass", "m3/kg", CUBIC_FOOT_PER_POUND, CUBIC_METRE_PER_KILOGRAM)
CONDUCTIVITY = Kind("thermal conductivity", "W/(m K)", WATT_PER_METRE_KELVIN, WATT_PER_METRE_KELVIN)
SPECIFIC_HEAT = Kind("specific heat", "J/(kg K)", JOULE_PER_KILOGRAM_KELVIN, JOULE_PER_KILOGRAM_KELVIN)
VOLUME_HEAT = Kind("heat per volume", "J/(m3 K)", MEGAJOULE_PER_CUBIC_METRE_KELVIN, MEGAJOULE_PER_CUBIC_METRE_KELVIN)
DIFFUSIVITY = Kind("thermal diffusivity", "m2/s", SQUARE_MILLIMETRE_PER_SECOND, SQUARE_MILLIMETRE_PER_SECOND)
HEAT_TRANSFER = Kind("heat transfer", "W/(m2 K)", WATT_PER_SQUARE_METRE_KELVIN, WATT_PER_SQUARE_METRE_KELVIN)
RADIATION = Kind("radiation constant", "W/(m2 K4)", RADIATION_UNIT, RADIATION_UNIT)
POWER = Kind("power", "W", KILOWATT, KILOWATT, (WATT,))
SOUND_LEVEL = Kind("sound level", "dBA", DECIBEL_A, DECIBEL_A)
SOUND_STEP = Kind("sound level step", "dB", DECIBEL, DECIBEL)
CONCENTRATION = Kind(
    "concentration", "kg/m3", MILLIGRAM_PER_CUBIC_METRE, MILLIGRAM_PER_CUBIC_METRE, (MICROGRAM_PER_CUBIC_METRE,),
)

_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4",
    "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}
_NUMBER = re.compile(
    r"""(?P<sign>[+-])?\s*
        (?: (?P<whole>\d+)(?:\s*-\s*|\s+)(?P<mixed_top>\d+)\s*/\s*(?P<mixed_bottom>\d+)
          | (?P<top>\d+)\s*/\s*(?P<bottom>\d+)
          | (?P<grouped>\d{1,3}(?:[ ]\d{3})+(?:\.\d+)?)(?!\d|\s*/)
          | (?P<decimal>\d+\.\d*|\.\d+|\d+) )""",
    re.VERBOSE | re.ASCII,
)


class UnitError(ValueError):
    """What was written is not a number with a unit of this kind. The message says what was expected."""


def _plain(text: str) -> str:
    """The text with vulgar fractions, typographic dashes and minus signs as a keyboard writes them."""
    if text.isascii():
        return text.strip()
    for mark, plain in _VULGAR.items():
        text = re.sub(rf"(?<=\d)\s*{mark}", f"-{plain}", text).replace(mark, plain)
    for dash in "‐‑‒–−":
        text = text.replace(dash, "-")
    return text.replace("⁄", "/").replace("\u00a0", " ").replace("\u202f", " ").strip()


@_remember
def parse(text: str, kind: Kind, system: System = "us") -> Fraction:
    """What a person wrote, in the base unit of its kind, exactly.

    Reads whole numbers, decimals, fractions (`3/8`), mixed numbers (`1-1/2` or
    `1 1/2`), each with or without a unit. A bare number is in the unit that
    `system` shows for this kind. Raises `UnitError` with a message that says
    what was expected; a comma, an exponent, a unit of another kind and a zero
    under a fraction are refused, never guessed.

    >>> parse('1-1/2 in', LENGTH)
    Fraction(381, 10000)
    >>> parse('9.5', LENGTH, 'si')
    Fraction(19, 2000)
    >>> parse('50 ksi', LENGTH)
    Traceback (most recent call last):
    ...
    calc.core.units.UnitError: “ksi” is not a unit of length; write in, mm, ft, cm or m
    """
    number, unit = split(text, kind)
    return Fraction((unit or kind.unit(system)).to_base(number))


def split(text: str, kind: Kind) -> tuple[Fraction, Unit | None]:
    """The number as written and its unit, or None for the unit where none was written.

    Raises `UnitError` for what is no number, for a unit that the kind does not have, and for a text too long to be
    either.

    >>> split("1-1/2 in", LENGTH)[0], split("1-1/2 in", LENGTH)[1] is INCH, split("9.5", LENGTH)
    (Fraction(3, 2), True, (Fraction(19, 2), None))
    """
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"longer than {LONGEST_TEXT} characters; write a number and a unit")
    plain = _plain(text)
    if not plain:
        raise UnitError("nothing is written here; write a number")
    if "," in plain:
        raise UnitError("a comma can mean two things; write a decimal point, as in 9.5")
    match = _NUMBER.match(plain)
    if not match:
        raise UnitError(f"“{text.strip()}” does not start with a number; write one as {_example(kind)}")
    part = match.groupdict()
    if part["whole"] is not None:
        over, under = int(part["mixed_top"]), int(part["mixed_bottom"])
        number = int(part["whole"]) + _fraction(over, under)
    elif part["top"] is not None:
        number = _fraction(int(part["top"]), int(part["bottom"]))
    else:
        number = Fraction((part["grouped"] or part["decimal"]).replace(" ", ""))
    if part["sign"] == "-":
        number = -number
    rest = plain[match.end():].strip()
    return number, (_unit_named(rest, kind) if rest else None)


def _fraction(top: int, bottom: int) -> Fraction:
    if bottom == 0:
        raise UnitError("a fraction cannot have 0 below the line")
    return Fraction(top, bottom)


def _example(kind: Kind) -> str:
    if kind.us is INCH:
        return "3/8 in or 9.5 mm"
    return " or ".join(dict.fromkeys(with_unit("12", unit) for unit in (kind.us, kind.si)))


def _unit_named(name: str, kind: Kind) -> Unit:
    for unit in kind.units:
        if name == unit.symbol or name in unit.also:
            return unit
    for unit in kind.units:
        if name.lower() in (unit.symbol.lower(), *(other.lower() for other in unit.also)):
            return unit
    known = [unit.symbol for unit in kind.units if unit.symbol]
    if not known:
        raise UnitError(f"“{name}” after the number; this is a plain {kind.name} without a unit")
    raise UnitError(f"“{name}” is not a unit of {kind.name}; write {listed(known)}")


def listed(parts: Iterable[str], last: str = "or") -> str:
    """One part or more as a list in words.

    >>> listed(["in"]), listed(["in", "mm", "ft"])
    ('in', 'in, mm or ft')
    """
    *first, end = parts
    return f"{', '.join(first)} {last} {end}" if first else end


def counted(number: int, one: str, several: str = "") -> str:
    """A count in words; `several` where that is not `one` with an s.

    >>> counted(1, "trainee"), counted(2, "trainee"), counted(2, "entry", "entries")
    ('1 trainee', '2 trainees', '2 entries')
    """
    return f"{number} {one if number == 1 else several or one + 's'}"


def asked_system(asked: object) -> System:
    """The system that is asked for; US where none is named.

    >>> asked_system("si"), asked_system(None)
    ('si', 'us')
    """
    return next((each for each in SYSTEMS if each == asked), "us")


def significant(value: Number, digits: int = 4) -> str:
    """The number with so many significant digits, no exponent, no needless zeros.

    Raises `ValueError` unless it is finite.

    >>> significant(0.15199864), significant(38.1), significant(1234567.0)
    ('0.152', '38.1', '1\\u202f235\\u202f000')
    """
    number = float(value)
    if not math.isfinite(number):
        raise ValueError("only a finite number can be shown")
    if number == 0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(number)))
    rounded = round(number, places)
    text = f"{rounded:.{max(places, 0)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    whole, dot, rest = text.partition(".")
    if len(whole.lstrip("-")) > 4:
        whole = f"{int(whole):,}".replace(",", "\u202f")
    return whole + dot + rest


def fixed(value: Number, places: int) -> str:
    """The number with a fixed count of decimals.

    >>> fixed(22.5, 1), fixed(Fraction(20), 0)
    ('22.5', '20')
    """
    text = f"{float(value):.{places}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


@_remember
def shop_fraction(metres: Number, finest: int = 64) -> str:
    """A length as the shop fraction nearest to it, in inches.

    >>> shop_fraction(parse('9.525 mm', LENGTH)), shop_fraction(parse('1.078 in', LENGTH), 16)
    ('3/8 in', '1-1/16 in')
    """
    parts = Fraction(round(Fraction(metres) / _IN * finest), finest)
    whole, rest = divmod(abs(parts), 1)
    sign = "-" if parts < 0 else ""
    if rest == 0:
        return f"{sign}{whole} in"
    return f"{sign}{whole}-{rest} in" if whole else f"{sign}{rest} in"


def is_shop_fraction(metres: Number, finest: int = 64) -> bool:
    """Whether a length (m) is a whole count of 1/64 in (or of 1/`finest`), to the last bit; never for a rounded number.

    >>> is_shop_fraction(parse("3/8 in", LENGTH)), is_shop_fraction(parse("10 mm", LENGTH)), is_shop_fraction(0.009525)
    (True, False, False)
    """
    return isinstance(metres, (Fraction, int)) and (Fraction(metres) / _IN * finest).denominator == 1


def with_unit(number: str, unit: Unit) -> str:
    """Number and unit as they are written together: the sign of degrees at the number, any other after a space that
    does not break.

    >>> with_unit("45", DEGREE), with_unit("3/8", INCH)
    ('45°', '3/8\\xa0in')
    """
    if not unit.symbol:
        return number
    return f"{number}{unit.symbol}" if unit is DEGREE else f"{number}\u00a0{unit.symbol}"


@_remember
def show(value: Number, kind: Kind, system: System, digits: int = 4) -> str:
    """A base-unit value as text in one system.

    >>> show(parse('3/8 in', LENGTH), LENGTH, 'si'), show(Fraction(45), ANGLE, 'us')
    ('9.525\\xa0mm', '45°')
    """
    unit = kind.unit(system)
    return with_unit(significant(unit.from_base(value), digits), unit)


def show_as_written(value: Number, kind: Kind, system: System) -> str:
    """An input read back: an exact shop fraction where it is one, else decimals.

    >>> show_as_written(parse('1.5 in', LENGTH), LENGTH, 'us')
    '1-1/2 in'
    """
    if system == "us" and kind.us is INCH and is_shop_fraction(value):
        return shop_fraction(value)
    return show(value, kind, system, 5)


def show_both(value: Number, kind: Kind) -> str:
    """A quantity as written, with the other system behind it where the two differ.

    >>> show_both(parse("7 in", LENGTH), LENGTH), show_both(parse("5 min", TIME), TIME)
    ('7 in (177.8\\xa0mm)', '5\\xa0min')
    """
    us, si = show_as_written(value, kind, "us"), show_as_written(value, kind, "si")
    return us if us == si else f"{us} ({si})"


def show_printed(value: Number, kind: Kind, system: System) -> str:
    """A value of a document, as a reader would look it up: one printed in millimeters keeps them in front in both
    systems.

    >>> show_printed(parse('3 mm', LENGTH), LENGTH, 'us'), show_printed(parse('1/8 in', LENGTH), LENGTH, 'us')
    ('3\xa0mm (0.1181\xa0in)', '1/8 in')
    """
    if system == "us" and kind.us is INCH:
        if is_shop_fraction(value):
            return shop_fraction(value)
        if isinstance(value, Fraction) and (value * 10000).denominator == 1:
            return f"{show(value, kind, 'si')} ({show(value, kind, 'us')})"
    return show(value, kind, system)
