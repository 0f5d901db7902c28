"""What to order for a class, by section, grade, class and size, rounded up to what is sold.

Quantities are likely or safe: safe takes the upper end of the band of each estimate. Bars hold whole pieces only;
electrodes come in packages, gas in cylinders, which are counted once for the whole class.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from calc.core.declare import Amount
from calc.core.formula import as_formula
from calc.core.units import DISTANCE, GAS_VOLUME, LENGTH, MASS, NUMBER, Kind, Number, parse
from calc.planning.bands import Band
from calc.planning.class_estimate import up
from calc.show.plot import Column, Listing, Table
from calc.show.table import csv_table
from calc.stages.groove import STEEL_DENSITY
from calc.stages.rods import core_mass, rod_mass, rod_row
from calc.stages.safety import DRAW_RULES

AS_THE_WPS_SAYS = "as the WPS says"


@dataclass(frozen=True)
class FlatBar:
    """Bars of one section. `bars` is None where no bar is as long as a piece."""

    use: str
    steel: str
    width: Fraction
    thickness: Fraction
    pieces: int
    length: Fraction
    bar: Fraction
    bars: int | None

    @property
    def mass(self) -> Fraction | None:
        """What the bars weigh as bought."""
        if self.bars is None:
            return None
        return self.bars * self.bar * self.width * self.thickness * Fraction(STEEL_DENSITY.amount)


@dataclass(frozen=True)
class Electrodes:
    """Rods of one class and size: how many, what they weigh, and packages of what weight."""

    electrode: str
    diameter: Fraction
    rods: int
    mass: Number
    package: Fraction

    @property
    def packages(self) -> int:
        """Whole packages."""
        return up(self.mass / self.package)


@dataclass(frozen=True)
class Gas:
    """One gas: what is used, what a cylinder holds, how many cylinders, and why so many."""

    gas: str
    volume: Number
    cylinder: Fraction
    at_least: int = 1

    @property
    def cylinders(self) -> int:
        """By contents, or as many as the draw takes."""
        return max(self.at_least, up(self.volume / self.cylinder))


@dataclass(frozen=True)
class Order:
    """The whole order list."""

    safe: bool
    bars: tuple[FlatBar, ...]
    rods: tuple[Electrodes, ...]
    gases: tuple[Gas, ...]


def bars_for(pieces: int, length: Fraction, kerf: Fraction, bar: Fraction) -> int | None:
    """How many bars hold so many pieces of one length, a kerf between two; None where a piece is longer than a bar.

    >>> bars_for(58, Fraction(7), Fraction(1, 16), Fraction(240)), bars_for(1, Fraction(241), Fraction(0), Fraction(240))
    (2, None)
    """
    of_one = math.floor((bar + kerf) / (length + kerf))
    return -(-pieces // of_one) if of_one else None


def order_list(given: Mapping[str, Any], figures: Mapping[str, Number], bands: Mapping[str, Band]) -> Order:
    """The order for a plan: what is needed by its figures, or by the upper ends of their bands."""
    safe = given["quantity"] == "safe"
    need: Callable[[str], Number] = lambda key: bands[key].high if safe else figures[key]  # noqa: E731
    count: Callable[[str], int] = lambda key: up(need(key))  # noqa: E731
    steel, kerf = given["steel"] or AS_THE_WPS_SAYS, given["kerf"]

    def flat(use: str, wide: Fraction, thick: Fraction, pieces: int, length: Fraction) -> FlatBar:
        bar = given["bar_length"]
        return FlatBar(use, steel, wide, thick, pieces, length, bar, bars_for(pieces, length, kerf, bar))

    groups = list(enumerate(given["groups"], 1))
    welds = {number: count(f"welds_{number}") for number, _ in groups}
    bars = [
        flat("plates", given["plate_width"], thickness, 2 * welds[number], given["plate_length"])
        for number, (thickness, *_) in groups
    ]
    bars.append(flat(
        "backing", given["backing_width"], given["backing_thickness"], sum(welds.values()),
        given["plate_length"] + 2 * given["run_off"],
    ))
    rods = []
    for number, (electrode, size, share) in enumerate(given["rods"], 1):
        if share:
            diameter, rods_needed = parse(size, LENGTH), count(f"rods_{number}")
            one = as_formula(rod_mass(
                core_mass(diameter, given["rod_length"], Fraction(STEEL_DENSITY.amount)),
                rod_row(electrode).covering_fact.amount,
            )).value
            rods.append(Electrodes(electrode, diameter, rods_needed, rods_needed * one, given["package"]))
    above = next((above for key, _, above in given["bands"] if key == "fuel_flow"), 0) if safe else 0
    flow = given["fuel_flow"] * (1 + Fraction(above) / 100)
    draw = given["torches"] * flow * DRAW_RULES[1].hours * 3600 / given["acetylene_cylinder"]
    gases = (
        Gas("oxygen", need("oxygen"), given["oxygen_cylinder"]),
        Gas("acetylene", need("acetylene"), given["acetylene_cylinder"], up(draw)),
    )
    return Order(safe, tuple(bars), tuple(rods), gases)


# --- as tables ------------------------------------------------------------------------


def _long(length: Number) -> Amount:
    return Amount(length, LENGTH, as_written=True)


def listings(order: Order) -> tuple[Listing, ...]:
    """The order as three tables: flat bar, electrodes, gas."""
    surely = "safe quantity" if order.safe else "likely quantity"
    bars = Table(
        tuple(Column(label, kind) for label, kind in (
            ("Flat bar for", None), ("Width", LENGTH), ("Thickness", LENGTH), ("Steel", None), ("Pieces", NUMBER),
            ("Length of one", LENGTH), ("Bars to buy", NUMBER), ("Length of a bar", DISTANCE), ("Weight", MASS),
        )),
        tuple(
            (
                each.use, _long(each.width), _long(each.thickness), each.steel, each.pieces, _long(each.length),
                "none is long enough" if each.bars is None else each.bars, Amount(each.bar, DISTANCE, as_written=True),
                each.mass,
            ) for each in order.bars
        ),
    )
    rods = Table(
        tuple(Column(label, kind) for label, kind in (
            ("Rods", None), ("Diameter", LENGTH), ("Count", NUMBER), ("Weight", MASS), ("Packages to buy", NUMBER),
            ("Weight of one", MASS),
        )),
        tuple(
            (
                each.electrode, _long(each.diameter), each.rods, each.mass, each.packages,
                Amount(each.package, MASS, as_written=True),
            ) for each in order.rods
        ),
    )
    gases = Table(
        tuple(Column(label, kind) for label, kind in (
            ("Gas, for the whole class", None), ("Used", GAS_VOLUME), ("Cylinders to fetch", NUMBER),
            ("In one cylinder", GAS_VOLUME),
        )),
        tuple(
            (each.gas, each.volume, each.cylinders, Amount(each.cylinder, GAS_VOLUME, as_written=True))
            for each in order.gases
        ),
    )
    return (
        Listing("order-bars", f"Order: flat bar, {surely}", bars),
        Listing("order-rods", f"Order: rods, {surely}", rods), Listing("order-gas", f"Order: gas, {surely}", gases),
    )


_MEASURES: tuple[tuple[str, Kind], ...] = (
    ("width", LENGTH), ("thickness", LENGTH), ("diameter", LENGTH), ("length of one", LENGTH), ("used volume", GAS_VOLUME),
    ("used weight", MASS), ("sold length", LENGTH), ("sold weight", MASS), ("sold volume", GAS_VOLUME),
    ("weight in all", MASS),
)


def _lines(order: Order) -> Iterator[tuple[str, str, int | str, int | str, str, Mapping[str, Number | None]]]:
    """What, of which kind, how many needed, how many to buy, of what, and its measures by name."""
    for bar in order.bars:
        yield f"flat bar, {bar.use}", bar.steel, bar.pieces, "" if bar.bars is None else bar.bars, "bar", {
            "width": bar.width, "thickness": bar.thickness, "length of one": bar.length, "sold length": bar.bar,
            "weight in all": bar.mass,
        }
    for rod in order.rods:
        yield "rods", rod.electrode, rod.rods, rod.packages, "package", {
            "diameter": rod.diameter, "used weight": rod.mass, "sold weight": rod.package,
            "weight in all": rod.packages * rod.package,
        }
    for gas in order.gases:
        yield "gas", gas.gas, "", gas.cylinders, "cylinder", {"used volume": gas.volume, "sold volume": gas.cylinder}


def order_csv(order: Order) -> str:
    """The order as comma-separated values: bare numbers, their units in the head."""
    head = ["what", "steel, class or gas", "quantity", "needed", "buy", "sold as"]
    for name, kind in _MEASURES:
        head += [f"{name}, {unit.symbol}" for unit in (kind.us, kind.si)]
    rows = []
    for what, spec, needed, buy, sold, measures in _lines(order):
        row: list[Any] = [what, spec, "safe" if order.safe else "likely", needed, buy, sold]
        for name, kind in _MEASURES:
            amount = measures.get(name)
            row += ["" if amount is None else _bare(unit.from_base(amount)) for unit in (kind.us, kind.si)]
        rows.append(row)
    return csv_table([head, *rows])


def _bare(value: Number) -> Decimal:
    """A number to six digits without grouping or exponent.

    >>> str(_bare(0.25)), str(_bare(6096))
    ('0.25', '6096')
    """
    return Decimal(f"{float(value):.6g}").normalize() + 0 if abs(value) < 1e5 else Decimal(round(value))
