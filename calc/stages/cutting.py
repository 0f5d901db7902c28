"""Oxygen cutting: the speed band to start from, and the minimum oxygen that the chemistry of the kerf allows.

Stage: marking and cutting. The cutting table is held from memory and is a start
point only; the maker's tip chart takes its place. A plate outside the table
is refused; a plate between two rows takes the row of the next thicker plate, and
the answer says so. The chemistry is the burning of iron to Fe3O4 and the law of
ideal gases.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import Amount, Calculator, Choice, InputError, Option, Quantity, Working
from calc.core.formula import Symbol
from calc.core.sources import (
    CFR_46_56,
    CFR_1910_253,
    COMMON,
    ENTERED,
    NAVEDTRA_14250,
    PHYSICS,
    Citation,
    Fact,
    Standing,
)
from calc.core.units import (
    ABSOLUTE_TEMPERATURE,
    AMOUNT_OF_HEAT,
    FLOW,
    GAS_CONSTANT,
    GAS_PER_MASS,
    GAS_VOLUME,
    HEAT_PER_MASS,
    HEAT_PER_MOLE,
    KILOPASCAL,
    LENGTH,
    MASS,
    MOLAR_MASS,
    MOLAR_VOLUME,
    PERCENTAGE,
    PRESSURE,
    SECOND,
    SYSTEMS,
    TIME,
    TRAVEL_SPEED,
    Kind,
    Number,
    parse,
    show,
    show_as_written,
    show_both,
)
from calc.show import scales
from calc.stages.cutting_drawings import speed_band
from calc.stages.groove import STEEL_DENSITY
from calc.stages.joint import judge_kerf

SECONDS = TIME.shown_in(SECOND, SECOND)
"""A cut on a test plate lasts seconds, so a bare number in a time field means seconds."""

TABLE = Citation(
    None, "Typical band for oxyacetylene cutting by hand", Standing.FROM_MEMORY,
    "Medium to low confidence. A start point only: use the maker's tip chart.",
)
FLOWS = Citation(
    None, "Typical gas flow for oxyacetylene cutting, one band for the whole table", Standing.FROM_MEMORY,
    "Medium to low confidence. Use the maker's tip chart.",
)


@dataclass(frozen=True)
class Band:
    """A lowest and a highest figure of one kind, written as a reader would write them."""

    lowest: str
    highest: str
    kind: Kind

    @property
    def low(self) -> Fraction:
        """The lowest value of the band, in base units, exact."""
        return parse(self.lowest, self.kind)

    @property
    def high(self) -> Fraction:
        """The highest value of the band, in base units, exact."""
        return parse(self.highest, self.kind)

    @property
    def wording(self) -> str:
        """The band in both systems, as the register prints it."""
        us_low, si_low = show(self.low, self.kind, "us", 3), show(self.low, self.kind, "si", 2)
        us_high, si_high = show(self.high, self.kind, "us", 3), show(self.high, self.kind, "si", 2)
        return f"{_bare(us_low)} to {us_high} ({_bare(si_low)} to {si_high})"


def _bare(shown: str) -> str:
    """The number alone, its unit left to the other end of the band."""
    return shown.split("\u00a0")[0]


@dataclass(frozen=True)
class CuttingRow:
    """A row of the cutting table. `plate` names it; `at_most` is the thickest plate that it serves itself."""

    plate: str
    at_most: str
    orifice: Band
    oxygen_pressure: Band
    fuel_pressure: Band
    speed: Band
    source: Citation = TABLE

    @property
    def facts(self) -> tuple[Fact, ...]:
        """The row as entries of the register."""
        size = self.plate.replace(" in", "").replace("/", "-")
        bands = (
            ("speed", "Cutting speed", self.speed), ("orifice", "Cutting orifice of the tip", self.orifice),
            ("oxygen-pressure", "Cutting oxygen pressure", self.oxygen_pressure),
            ("acetylene-pressure", "Acetylene pressure", self.fuel_pressure),
        )
        return tuple(
            Fact(f"cut-{name}-{size}", f"{label}, plate {self.plate}", None, None, self.source, band.wording)
            for name, label, band in bands
        )


def _row(
    plate: str, at_most: str, orifice: tuple[str, str], oxygen: tuple[int, int], fuel: tuple[int, int],
    speed: tuple[int, int],
) -> CuttingRow:
    return CuttingRow(
        plate, at_most, Band(f"{orifice[0]} in", f"{orifice[1]} in", LENGTH),
        Band(f"{oxygen[0]} psi", f"{oxygen[1]} psi", PRESSURE), Band(f"{fuel[0]} psi", f"{fuel[1]} psi", PRESSURE),
        Band(f"{speed[0]} in/min", f"{speed[1]} in/min", TRAVEL_SPEED),
    )


# 6.4 mm is the name that metric shops give to 1/4 in; it belongs to that row although it is 0.05 mm thicker.
CUTTING_ROWS: tuple[CuttingRow, ...] = (
    _row("1/4 in", "6.4 mm", (".030", ".060"), (20, 35), (3, 5), (16, 26)),
    _row("3/8 in", "3/8 in", (".030", ".060"), (25, 40), (3, 5), (15, 24)),
    _row("1/2 in", "1/2 in", (".040", ".060"), (30, 45), (3, 5), (12, 23)),
    _row("3/4 in", "3/4 in", (".045", ".060"), (30, 50), (3, 5), (12, 20)),
    _row("1 in", "1 in", (".045", ".060"), (35, 55), (3, 6), (9, 18)),
)
OXYGEN_FLOW = Band("50 ft3/h", "130 ft3/h", FLOW)
FUEL_FLOW = Band("7 ft3/h", "16 ft3/h", FLOW)
PROPANE_PRESSURE = Band("3 psi", "10 psi", PRESSURE)

ACETYLENE_PRESSURE = Fact(
    "acetylene-pressure-limit", "Maximum acetylene pressure at the regulator, by the gauge", parse("15 psi", PRESSURE),
    PRESSURE, Citation(CFR_1910_253, "(a)(2)", Standing.READ, "15 psig, 103 kPa gauge; 30 psi absolute."),
)
KINDLING = Fact(
    "kindling-temperature", "Temperature at which steel begins to burn in oxygen", None, None,
    Citation(NAVEDTRA_14250, "Chapter 4", Standing.READ), "1400 to 1600 °F (760 to 870 °C)",
)
EDGE_QUALITY = Fact(
    "cut-edge-quality", "What an oxygen-cut edge must be before welding", None, None,
    Citation(
        CFR_46_56, "paragraph (a)(1)(i)", Standing.READ, "A rule for ship piping; a fair measure for any cut edge.",
    ),
    "reasonably smooth and true, with all slag cleaned off",
)
CONE_DISTANCE = Fact(
    "cut-cone-distance", "Distance from the ends of the preheat cones to the plate", None, None, COMMON,
    "1/16 to 1/8 in (1.6 to 3 mm)",
)
FUEL_PRESSURE_PROPANE = Fact(
    "cut-propane-pressure", "Fuel pressure when the fuel is propane", None, None,
    Citation(
        None, "Typical band for oxypropane cutting by hand", Standing.FROM_MEMORY,
        "Low confidence. Use the maker's tip chart.",
    ),
    PROPANE_PRESSURE.wording,
)
OXYGEN_FLOW_FACT = Fact(
    "cut-oxygen-flow", "Oxygen flow of a hand cutting torch", None, None, FLOWS, OXYGEN_FLOW.wording,
)
FUEL_FLOW_FACT = Fact(
    "cut-acetylene-flow", "Acetylene flow of a hand cutting torch", None, None, FLOWS, FUEL_FLOW.wording,
)

BY_DEFINITION = Citation(PHYSICS, "molar gas constant, exact in the SI since 2019", Standing.FROM_MEMORY)
IRON_MOLAR_MASS = Fact(
    "iron-molar-mass", "Mass of one mole of iron", parse("55.845 g/mol", MOLAR_MASS), MOLAR_MASS,
    Citation(PHYSICS, "standard atomic weight of iron", Standing.FROM_MEMORY),
)
MOLAR_GAS_CONSTANT = Fact(
    "molar-gas-constant", "Molar gas constant", parse("8.31446261815324", GAS_CONSTANT), GAS_CONSTANT, BY_DEFINITION,
)
ATMOSPHERE = Fact(
    "standard-atmosphere", "Pressure at which gas volumes are counted, one atmosphere", parse("101.325 kPa", PRESSURE),
    PRESSURE, Citation(PHYSICS, "standard atmosphere, by definition", Standing.FROM_MEMORY),
)
BURNING = Citation(PHYSICS, "3 Fe + 2 O₂ gives Fe₃O₄; ideal gas", Standing.WORKED_OUT)
BURNING_TO_FEO = Citation(PHYSICS, "2 Fe + O₂ gives 2 FeO; ideal gas", Standing.WORKED_OUT)
HEAT_OF_BURNING = Fact(
    "iron-burning-heat", "Heat of burning three moles of iron to Fe₃O₄", parse("1118.4 kJ/mol", HEAT_PER_MOLE),
    HEAT_PER_MOLE, Citation(PHYSICS, "enthalpy of formation of Fe₃O₄", Standing.FROM_MEMORY),
)
_PURITY = Citation(None, "Reported in a secondary text on oxygen cutting", Standing.SECONDARY)
PURITY = Fact(
    "cut-oxygen-purity", "Minimum purity of oxygen for cutting", parse("99.5 %", PERCENTAGE), PERCENTAGE, _PURITY,
)
PURITY_LEAST = Fact(
    "cut-oxygen-purity-least", "Purity under which oxygen does not cut steel", parse("95 %", PERCENTAGE), PERCENTAGE,
    _PURITY,
)
PURITY_LOSS = Fact(
    "cut-oxygen-purity-loss", "What oxygen of 98.5 % does to the cut", None, None, _PURITY,
    "At 98.5 % the cut is 15 % slower and takes 25 % more oxygen",
)
SHARE_LEAST = Fact(
    "cut-share-least", "Minimum part of the kerf that has to burn to feed the cut", parse("50 %", PERCENTAGE),
    PERCENTAGE, COMMON,
)
FACTS = (
    PURITY, PURITY_LEAST, PURITY_LOSS, SHARE_LEAST, KINDLING, EDGE_QUALITY, CONE_DISTANCE, FUEL_PRESSURE_PROPANE,
    OXYGEN_FLOW_FACT, FUEL_FLOW_FACT, IRON_MOLAR_MASS, MOLAR_GAS_CONSTANT, ATMOSPHERE, HEAT_OF_BURNING,
    *(fact for row in CUTTING_ROWS for fact in row.facts),
)

REFERENCES = {"70F": Fraction("294.15") + Fraction(1, 9), "15C": Fraction("288.15")}
"""Kelvin at which a volume of gas is counted: 70 °F is 21 1/9 °C."""


def row_for(thickness: Number) -> CuttingRow | None:
    """The row of the cutting table for a plate or for a slanted path through one.

    Args:
        thickness: metal that the jet goes through, m.

    Returns:
        The row of that thickness; between two rows the one of the next thicker
        plate; None outside the table, which runs from 1/4 in to 1 in. Nothing is
        interpolated.

    Source: `TABLE`, from memory.

    >>> row_for(parse("10 mm", LENGTH)).plate, row_for(parse("1-1/16 in", LENGTH))
    ('1/2 in', None)
    """
    if thickness < parse(CUTTING_ROWS[0].plate, LENGTH):
        return None
    return next((row for row in CUTTING_ROWS if thickness <= parse(row.at_most, LENGTH)), None)


def is_own_row(row: CuttingRow, thickness: Number) -> bool:
    """Whether the row is the plate's own, not the one of the next thicker plate. `thickness` in m.

    >>> is_own_row(CUTTING_ROWS[0], parse("6.4 mm", LENGTH)), is_own_row(CUTTING_ROWS[1], parse("9 mm", LENGTH))
    (True, False)
    """
    # A plate is sold by its nominal size: 9.5 mm is 3/8 in. A tenth of a millimetre under is still that plate.
    return thickness >= parse(row.plate, LENGTH) - parse("0.1 mm", LENGTH)


def require_both(first: tuple[str, str, object], second: tuple[str, str, object], example: str) -> bool:
    """Whether two fields that belong together are filled in. Each is (name, label, value or None).

    Raises `InputError` on the blank one where only one is filled in.

    >>> require_both(("a", "A", None), ("b", "B", None), "3 in")
    False
    """
    for (name, label, value), (_, other_label, other) in ((first, second), (second, first)):
        if value is None and other is not None:
            raise InputError(
                name, label, f"{other_label.lower()} is filled in, so this is needed too; write it as {example}, or "
                "clear both",
            )
    return first[2] is not None


def work_cut_speed(
    w: Working, *, thickness: Fraction, length: Fraction, own_low: Fraction | None, own_high: Fraction | None,
    mark_distance: Fraction | None, mark_time: Fraction | None, oxygen_pressure: Fraction | None,
    fuel_pressure: Fraction | None,
) -> None:
    """The band of cutting speeds to start from, the time and gas of the cut, and where your mark and pressures stand to
    it.

        T = L / v    V = q·T    v = d / T

    L length of the cut and d distance timed, m; v speed, m/s; T time, s; q gas flow and V volume of gas, m³/s and m³.

    Plate from 1/4 in to 1 in, which the field holds to. `InputError` where one of two fields that belong together is
    blank, where the tip chart's minimum speed is over its maximum, and for a timed speed that no torch has. Source: the
    cutting table, from memory; the reader's own tip chart goes before it.

    5 in in 20 s is 15 in/min:

    >>> speed = CUT_SPEED.answer(mark_distance="5 in", mark_time="20 s")["your_speed"].amount
    >>> round(speed * 60 / Fraction("0.0254"), 9)
    Fraction(15, 1)
    """
    row = row_for(thickness)
    assert row is not None, "the range of the field is the range of the table"
    own, timed = _pairs(own_low, own_high, mark_distance, mark_time)
    w.given("thickness", "t", thickness, LENGTH)
    w.given("row_plate", "t_row", parse(row.plate, LENGTH), LENGTH)
    run = w.given("length", "L", length, LENGTH)
    slow, fast = _speed_band(w, row, own_low, own_high)
    shortest, longest = _times(w, run, slow, fast, band_source(own))
    _table_settings(w, row)
    _gas_used(w, shortest, longest)

    saying = (
        "Plate {thickness}: start between {speed_low} and {speed_high}. A cut {length} long then takes {time_least} to "
        "{time_most}."
    )
    if timed:
        saying += _timed_mark(w, mark_distance, mark_time, fast.amount, slow.amount)
    w.draw(speed_band(w, own, timed))
    w.say(saying)
    _check_row(w, row, thickness)
    _check_band(w, row, own, fast.amount, slow.amount)
    if timed:
        _check_mark(w, mark_distance / mark_time, fast.amount, slow.amount, band_source(own))
    _check_pressures(w, row, oxygen_pressure, fuel_pressure)
    w.warn(
        "Tip, pressures and the order of lighting and shutting down come from the maker's instructions for your torch, "
        "tip and regulators. Set them with an instructor until you have been cleared to do it alone."
    )
    w.warn(
        "Cutting throws sparks and hot slag far and drops hot metal. Clear the area and name a fire watch before you "
        "light."
    )


def _pairs(
    own_low: Fraction | None, own_high: Fraction | None, distance: Fraction | None, time: Fraction | None,
) -> tuple[bool, bool]:
    """Whether the reader's tip chart and a timed mark are filled in.

    Raises `InputError` on half a pair and on a band that runs backward.
    """
    own = require_both(("own_low", OWN_LOW, own_low), ("own_high", OWN_HIGH, own_high), "15 in/min or 6 mm/s")
    timed = require_both(("mark_distance", MARK_DISTANCE, distance), ("mark_time", MARK_TIME, time), "5 in or 15 s")
    if own and own_low > own_high:
        raise InputError(
            "own_low", OWN_LOW, "more than the maximum speed of the tip chart; write at most "
            f"{show_both(own_high, TRAVEL_SPEED)}",
        )
    return own, timed


def _times(w: Working, run: Symbol, slow: Symbol, fast: Symbol, source: Citation) -> tuple[Symbol, Symbol]:
    """Shortest and longest time of the cut, and the pace from inch mark to inch mark."""
    shortest = w.let(
        "time_least", "Minimum time for the cut", "T_least", SECONDS, run / fast, main=True, digits=3, source=source,
    )
    longest = w.let(
        "time_most", "Maximum time for the cut", "T_most", SECONDS, run / slow, main=True, digits=3, source=source,
    )
    inch = w.given("pace_mark", "a", parse("1 in", LENGTH), LENGTH)
    w.let(
        "pace_fast", "Time from one inch mark to the next, at maximum speed", "T_inch,fast", SECONDS, inch / fast,
        digits=2, source=source,
    )
    w.let(
        "pace_slow", "Time from one inch mark to the next, at minimum speed", "T_inch,slow", SECONDS, inch / slow,
        digits=2, source=source,
    )
    return shortest, longest


def band_source(own: bool) -> Citation:
    """Where the speed band of an answer comes from: the reader's tip chart, or our table.

    >>> band_source(True).text
    'Your own figure (worked out here)'
    """
    return ENTERED if own else TABLE


def _speed_band(
    w: Working, row: CuttingRow, own_low: Fraction | None, own_high: Fraction | None,
) -> tuple[Symbol, Symbol]:
    """The slowest and fastest speed that the answer goes by; the table's band stands beside a reader's own, both
    ends or neither.
    """
    if own_low is None:
        slow = w.value(
            "speed_low", "Minimum speed of the start-point band", row.speed.low, TRAVEL_SPEED, source=row.source,
            symbol="v_slow", main=True,
        )
        return slow, w.value(
            "speed_high", "Maximum speed of the start-point band", row.speed.high, TRAVEL_SPEED, source=row.source,
            symbol="v_fast", main=True,
        )
    slow = w.value(
        "speed_low", "Minimum speed, from your tip chart", own_low, TRAVEL_SPEED, source=ENTERED, symbol="v_slow",
        main=True,
    )
    fast = w.value(
        "speed_high", "Maximum speed, from your tip chart", own_high, TRAVEL_SPEED, source=ENTERED, symbol="v_fast",
        main=True,
    )
    w.value(
        "table_speed_low", "Minimum speed of our table, for comparison", row.speed.low, TRAVEL_SPEED, source=row.source,
    )
    w.value(
        "table_speed_high", "Maximum speed of our table, for comparison", row.speed.high, TRAVEL_SPEED,
        source=row.source,
    )
    return slow, fast


def _table_settings(w: Working, row: CuttingRow) -> None:
    w.value("orifice_low", "Cutting orifice of the tip, minimum", row.orifice.low, LENGTH, source=row.source, digits=3)
    w.value(
        "orifice_high", "Cutting orifice of the tip, maximum", row.orifice.high, LENGTH, source=row.source, digits=3,
    )
    w.value(
        "oxygen_pressure_low", "Cutting oxygen pressure, minimum", row.oxygen_pressure.low, PRESSURE, source=row.source,
        digits=3,
    )
    w.value(
        "oxygen_pressure_high", "Cutting oxygen pressure, maximum", row.oxygen_pressure.high, PRESSURE,
        source=row.source, digits=3,
    )
    w.value(
        "fuel_pressure_low", "Acetylene pressure, minimum", row.fuel_pressure.low, PRESSURE, source=row.source,
        digits=3,
    )
    w.value(
        "fuel_pressure_high", "Acetylene pressure, maximum", row.fuel_pressure.high, PRESSURE, source=row.source,
        digits=3,
    )


def _gas_used(w: Working, shortest: Symbol, longest: Symbol) -> None:
    """Oxygen and fuel through the torch while it travels; heating the start of the cut comes on top."""
    for name, label, letter, band in (
        ("oxygen", "Oxygen", "q_O", OXYGEN_FLOW), ("fuel", "Acetylene", "q_F", FUEL_FLOW),
    ):
        low = w.value(
            f"{name}_flow_low", f"{label} flow, minimum", band.low, FLOW, source=FLOWS, symbol=f"{letter},low",
            digits=3,
        )
        high = w.value(
            f"{name}_flow_high", f"{label} flow, maximum", band.high, FLOW, source=FLOWS, symbol=f"{letter},high",
            digits=3,
        )
        volume = letter.replace("q", "V")
        w.let(
            f"{name}_least", f"{label} used while cutting, minimum", f"{volume},least", GAS_VOLUME, low * shortest,
            source=FLOWS, digits=2,
        )
        w.let(
            f"{name}_most", f"{label} used while cutting, maximum", f"{volume},most", GAS_VOLUME, high * longest,
            source=FLOWS, digits=2, note="Heating the start of the cut, and every restart, comes on top.",
        )


def _timed_mark(w: Working, distance: Fraction, seconds: Fraction, fast: Fraction, slow: Fraction) -> str:
    """Works out the reader's own speed; returns the sentence that says where it stands.

    Raises `InputError` for a speed that no torch has, which is a slip of the watch or of a unit.
    """
    least, most = (parse(end, TRAVEL_SPEED) for end in (SLOWEST_CARD, FASTEST_CARD))
    if not least <= distance / seconds <= most:
        speed = " / ".join(show(distance / seconds, TRAVEL_SPEED, system, 3) for system in SYSTEMS)
        ends = " to ".join(show_as_written(end, TRAVEL_SPEED, "us") for end in (least, most))
        raise InputError(
            "mark_time", MARK_TIME, f"makes a speed of {speed}, and no torch cuts at that; check watch and units: "
            f"{ends} is possible",
        )
    d = w.given("mark_distance", "d", distance, LENGTH)
    time = w.given("mark_time", "T", seconds, SECONDS)
    speed = w.let(
        "your_speed", "Your speed over the mark", "v", TRAVEL_SPEED, d / time, source=ENTERED, main=True, digits=3,
    )
    if speed.amount < slow:
        return " You went {your_speed}: slower than the band."
    if speed.amount > fast:
        return " You went {your_speed}: faster than the band."
    return " You went {your_speed}: inside the band."


def _check_row(w: Working, row: CuttingRow, thickness: Fraction) -> None:
    if is_own_row(row, thickness):
        w.note("table-row", "The table has a row for this plate: {row_plate}.", source=row.source)
    else:
        w.note(
            "table-row", "The table has no row for {thickness}. The row of the next thicker plate, {row_plate}, is "
            "used as it stands; nothing is interpolated. Plate thinner than the row may take a little more speed.",
            source=row.source,
        )


def _check_band(w: Working, row: CuttingRow, own: bool, fast: Fraction, slow: Fraction) -> None:
    if not own:
        w.note(
            "band", "Our table is from memory. Use it to start on scrap, and enter the speeds of your own tip "
            "chart in the fields above.", source=TABLE,
        )
    elif fast < row.speed.low or slow > row.speed.high:
        w.caution(
            "band", "Your tip chart and our table do not overlap: {table_speed_low} to {table_speed_high} in the "
            "table. Go by the tip chart, and make sure that its row is for your tip, fuel and thickness.",
            source=TABLE,
        )
    else:
        w.note(
            "band", "The band of your tip chart replaces the one of our table. The other settings below are still from "
            "our table.", source=ENTERED,
        )


def _check_mark(w: Working, speed: Fraction, fast: Fraction, slow: Fraction, source: Citation) -> None:
    if speed < slow:
        w.caution(
            "speed-low", "{your_speed} is slower than {speed_low}. Look for a melted top edge, a wide kerf and slag "
            "that clings. What you see on the cut decides, not the figure.", source=source,
        )
    elif speed > fast:
        w.caution(
            "speed-high", "{your_speed} is faster than {speed_high}. Look for drag lines that lean far back, a rough "
            "bottom edge, and places that are not cut through. What you see on the cut decides, not the figure.",
            source=source,
        )
    else:
        w.ok(
            "speed", "{your_speed} is within {speed_low} to {speed_high}. Check the drag lines and the bottom edge all "
            "the same.", source=source,
        )


def _check_pressures(w: Working, row: CuttingRow, oxygen: Fraction | None, fuel: Fraction | None) -> None:
    """Pressures set at the regulators, by the row of the table; acetylene over its limit stops the work."""
    for id, name, label, pressure, band in (
        ("oxygen-pressure", "oxygen_pressure", "Cutting oxygen", oxygen, row.oxygen_pressure),
        ("fuel-pressure", "fuel_pressure", "Acetylene", fuel, row.fuel_pressure),
    ):
        if pressure is None:
            continue
        w.given(name, "p", pressure, PRESSURE)
        w.known.update(band_low=Amount(band.low, PRESSURE), band_high=Amount(band.high, PRESSURE))
        told, chart = f"{label} at {{{name}}} is", "Go by the maker's tip chart."
        if name == "fuel_pressure" and pressure > ACETYLENE_PRESSURE.amount:
            w.mention("most_pressure", ACETYLENE_PRESSURE)
            w.stop(
                id, f"{told} over {{most_pressure}}. Free acetylene can explode above it without air or flame. Turn it "
                "down now.", source=ACETYLENE_PRESSURE.source,
            )
        elif pressure < band.low:
            w.caution(
                f"{id}-low", f"{told} less than the {{band_low}} where our row begins: you lose the cut easily. {chart}",
                source=row.source,
            )
        elif pressure > band.high:
            w.caution(
                f"{id}-high", f"{told} more than the {{band_high}} where our row ends: a wide, scalloped kerf. {chart}",
                source=row.source,
            )
        else:
            w.ok(id, f"{told} within {{band_low}} to {{band_high}} of our row. {chart}", source=row.source)


OWN_LOW, OWN_HIGH = "Minimum speed on your tip chart", "Maximum speed on your tip chart"
SLOWEST_CARD, FASTEST_CARD = "1 in/min", "60 in/min"
MARK_DISTANCE, MARK_TIME = "Distance you timed", "Time for that distance"
_FIRST, _LAST = CUTTING_ROWS[0].plate, CUTTING_ROWS[-1].plate

CUT_SPEED = Calculator(
    id="cut-speed",
    title="Cutting speed and gas",
    question="How fast do I cut this plate, how long does it take, and how fast did I go?",
    page="cutting.md",
    work=work_cut_speed,
    main=("thickness", "length"),
    inputs=(
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", _FIRST, _LAST, "The table holds no other plate. For "
            "thinner or thicker plate go to the tip chart.", "t",
            common=("1/4 in", "3/8 in", "1/2 in", "3/4 in", "1 in"),
        ),
        Quantity(
            "length", "Length of the cut", LENGTH, "7 in", "1/2 in", "240 in",
            "All cuts of the job end to end, if you like.", "L",
            takes="plate_length",
        ),
        Quantity(
            "own_low", OWN_LOW, TRAVEL_SPEED, "", SLOWEST_CARD, FASTEST_CARD, "From the maker's tip chart. With the "
            "next field it replaces our band.",
            takes="cut_speed_low",
        ),
        Quantity(
            "own_high", OWN_HIGH, TRAVEL_SPEED, "", SLOWEST_CARD, FASTEST_CARD, "From the same row of the tip chart.",
            takes="cut_speed_high",
        ),
        Quantity(
            "mark_distance", MARK_DISTANCE, LENGTH, "", "1/2 in", "120 in",
            "Between two marks beside the cut. A partner holds the watch.", "d", common=("3 in", "5 in", "6 in"),
        ),
        Quantity(
            "mark_time", MARK_TIME, SECONDS, "", "1 s", "60 min", "From the first mark to the second, in seconds.", "T",
        ),
        Quantity(
            "oxygen_pressure", "Cutting oxygen pressure set", PRESSURE, "", "0 psi", "200 psi",
            "At the regulator, lever down. May stay blank.", "p",
        ),
        Quantity(
            "fuel_pressure", "Acetylene pressure set", PRESSURE, "", "0 psi", "40 psi",
            "At the regulator, torch lit. May stay blank.", "p",
        ),
    ),
)


def work_cut_oxygen(
    w: Working, *, thickness: Fraction, kerf: Fraction, length: Fraction, share: Fraction, reference: str,
    flow: Fraction | None, time: Fraction | None, purity: Fraction | None,
) -> None:
    """The least oxygen that the kerf of a cut can burn, and whether an entered flow and time bring it.

        m = ρ·t·k·L    v = 2·V_m / (3·M_Fe)    V = v·m·s    V_in = q·T

    t thickness, k kerf, L length, m; ρ density of steel, kg/m³; V_m volume of one mole of gas at one atmosphere,
    m³/mol; M_Fe molar mass of iron, kg/mol; s part of the kerf that burns; q flow, m³/s; T time, s. 3 Fe + 2 O₂ gives
    Fe₃O₄.

    Raises nothing of its own: the fields hold the ranges. Source: chemistry and the law of ideal gases; the band of the
    flow from memory; the purity secondary.

    Textbooks print 4.6 ft³ of oxygen for each pound of iron, counted at 70 °F:

    >>> from calc.core.units import show
    >>> show(CUT_OXYGEN.answer()["oxygen_per_iron"].amount, GAS_PER_MASS, "us", 2)
    '4.6\xa0ft³/lb'
    """
    t = w.given("thickness", "t", thickness, LENGTH)
    k = w.given("kerf", "k", kerf, LENGTH)
    run = w.given("length", "L", length, LENGTH)
    s = w.given("share", "s", share, PERCENTAGE)
    per_iron, per_iron_feo = oxygen_per_iron(w, REFERENCES[reference])
    rho = w.fact(STEEL_DENSITY, "ρ")
    metal = w.let(
        "kerf_mass", "Metal in the kerf, taken as pure iron", "m", MASS, rho * t * k * run, source=STEEL_DENSITY.source,
        main=True, digits=3,
    )
    need = w.let(
        "least_oxygen", "Minimum oxygen that the kerf burns", "V", GAS_VOLUME, per_iron * metal * s / 100,
        source=BURNING, main=True, digits=3,
    )
    need_feo = w.let(
        "least_oxygen_feo", "The same if it all burned to FeO", "V_FeO", GAS_VOLUME, per_iron_feo * metal * s / 100,
        source=BURNING_TO_FEO, digits=3,
    )
    _heat(w, metal, s)
    saying = (
        "A kerf {kerf} wide and {length} long in {thickness} holds {kerf_mass} of iron. Burning {share} of it to Fe₃O₄ "
        "takes at least {least_oxygen} of oxygen."
    )
    w.say(saying + _compare(w, need, need_feo, run, flow, time))
    w.draw(scales.burned(w))
    judge_kerf(w, kerf, thickness)
    _check_share(w, share)
    _check_flow(w, thickness, flow)
    if time is not None:
        _check_travel(w, thickness, length / time)
    _check_purity(w, purity)
    w.warn(
        "Never use oxygen in place of air: not to blow off dust, to cool a person or to ventilate a space. Oil, grease "
        "and clothing burn fiercely in it."
    )
    w.warn("This minimum checks a figure. It does not set a torch: pressures and tip come from the maker's tip chart.")


def _check_share(w: Working, share: Fraction) -> None:
    w.mention("share_least", SHARE_LEAST)
    if share < SHARE_LEAST.amount:
        w.caution(
            "share", "A part of {share} is less than {share_least}: the burning heats the cut, and so little gives too "
            "little heat.", source=SHARE_LEAST.source,
        )


def _check_flow(w: Working, thickness: Fraction, flow: Fraction | None) -> None:
    """The flow against the band of a hand torch, which is held for the plates of the cutting table."""
    if flow is None:
        return
    w.given("flow_low", "q_low", OXYGEN_FLOW.low, FLOW)
    w.given("flow_high", "q_high", OXYGEN_FLOW.high, FLOW)
    if thickness > parse(CUTTING_ROWS[-1].at_most, LENGTH):
        w.not_known(
            "flow", "We hold no flow for plate over 1 in. Take it from the maker's tip chart.", source=FLOWS,
        )
    elif flow < OXYGEN_FLOW.low:
        w.caution(
            "flow-low", "A flow of {flow} is less than {flow_low}, the minimum of a hand cutting torch. Read the meter "
            "and its unit again.", source=FLOWS,
        )
    elif flow > OXYGEN_FLOW.high:
        w.caution(
            "flow-high", "A flow of {flow} is more than {flow_high}, the maximum of a hand cutting torch. Read the "
            "meter and its unit again.", source=FLOWS,
        )
    else:
        w.ok(
            "flow", "A flow of {flow} is within {flow_low} to {flow_high}, the band of a hand cutting torch.",
            source=FLOWS,
        )


def _check_travel(w: Working, thickness: Fraction, speed: Fraction) -> None:
    """The travel that length and time make, against the cutting table; nothing where the table holds no such plate."""
    row = row_for(thickness)
    if row is None:
        return
    w.known.update(
        travel=Amount(speed, TRAVEL_SPEED, 3), row_slow=Amount(row.speed.low, TRAVEL_SPEED),
        row_fast=Amount(row.speed.high, TRAVEL_SPEED),
    )
    if speed < row.speed.low:
        w.caution(
            "travel-low", "Length and time make {travel}, slower than {row_slow} of the cutting table. Check both "
            "figures.", source=TABLE,
        )
    elif speed > row.speed.high:
        w.caution(
            "travel-high", "Length and time make {travel}, faster than {row_fast} of the cutting table. Check both "
            "figures.", source=TABLE,
        )


def _check_purity(w: Working, purity: Fraction | None) -> None:
    if purity is None:
        return
    w.given("purity", "p", purity, PERCENTAGE)
    w.mention("pure", PURITY)
    w.mention("least_pure", PURITY_LEAST)
    if purity < PURITY_LEAST.amount:
        w.stop("purity", "Oxygen of {purity} is under {least_pure}: it does not cut steel.", source=PURITY_LEAST.source)
    elif purity < PURITY.amount:
        w.caution(
            "purity", f"Oxygen of {{purity}} is under {{pure}}. {PURITY_LOSS.wording}.", source=PURITY_LOSS.source,
        )
    else:
        w.ok("purity", "Oxygen of {purity} is not under {pure}.", source=PURITY.source)


def oxygen_per_iron(w: Working, kelvin: Fraction) -> tuple[Symbol, Symbol]:
    """Volume of oxygen for each mass of iron, to Fe₃O₄ and to FeO, m³/kg, counted at `kelvin` and one atmosphere.

        V_m = R·T / p    v = 2·V_m / (3·M_Fe)    v_FeO = V_m / (2·M_Fe)

    Source: chemistry and the law of ideal gases. At 15 °C: 0.2823 m³/kg, worked by hand.

    >>> round(float(oxygen_per_iron(Working(), REFERENCES["15C"])[0].amount), 4)
    0.2823
    """
    gas = w.given("gas_constant", "R", MOLAR_GAS_CONSTANT.amount, GAS_CONSTANT)
    temperature = w.given("reference_temperature", "T₀", kelvin, ABSOLUTE_TEMPERATURE)
    pressure = w.given("atmosphere", "p₀", ATMOSPHERE.amount, PRESSURE, us=KILOPASCAL, si=KILOPASCAL)
    iron = w.given("iron_molar_mass", "M_Fe", IRON_MOLAR_MASS.amount, MOLAR_MASS)
    mole = w.let(
        "molar_volume", "Volume of one mole of gas", "V_m", MOLAR_VOLUME, gas * temperature / pressure,
        source=BY_DEFINITION,
    )
    to_magnetite = w.let(
        "oxygen_per_iron", "Oxygen for each mass of iron burned to Fe₃O₄", "v", GAS_PER_MASS, 2 * mole / (3 * iron),
        source=BURNING, main=True, note="Three moles of iron take two moles of oxygen gas.",
    )
    to_feo = w.let(
        "oxygen_per_iron_feo", "Oxygen for each mass of iron burned to FeO", "v_FeO", GAS_PER_MASS, mole / (2 * iron),
        source=BURNING_TO_FEO, note="Two moles of iron take one mole of oxygen gas.",
    )
    return to_magnetite, to_feo


def _heat(w: Working, metal: Symbol, share: Symbol) -> None:
    burning = w.given("burning_heat", "ΔH", HEAT_OF_BURNING.amount, HEAT_PER_MOLE)
    iron = w.given("iron_molar_mass", "M_Fe", IRON_MOLAR_MASS.amount, MOLAR_MASS)
    each = w.let(
        "heat_per_iron", "Heat from each mass of iron burned", "h", HEAT_PER_MASS, burning / (3 * iron),
        source=HEAT_OF_BURNING.source,
    )
    w.let(
        "heat", "Heat that the burning kerf gives", "Q", AMOUNT_OF_HEAT, each * metal * share / 100,
        source=HEAT_OF_BURNING.source, digits=3,
    )


def _compare(
    w: Working, need: Symbol, need_feo: Symbol, run: Symbol, flow: Fraction | None, time: Fraction | None,
) -> str:
    """Sets an entered flow, time or both against the bound; returns the sentence that says how it came out."""
    if flow is not None:
        q = w.given("flow", "q", flow, FLOW)
        shortest = w.let(
            "shortest_time", "Minimum time in which this flow can bring it", "T_min", SECONDS, need / q,
            source=BURNING, digits=3,
        )
        w.let(
            "fastest_speed", "Maximum travel speed that this flow can feed", "v_max", TRAVEL_SPEED, run / shortest,
            source=BURNING, digits=3,
        )
    if time is not None:
        given_time = w.given("time", "T", time, SECONDS)
        w.let(
            "least_flow", "Minimum flow that brings it in your time", "q_min", FLOW, need / given_time, source=BURNING,
            digits=3,
        )
    if flow is None and time is None:
        return ""
    if time is None:
        return " A flow of {flow} can feed no faster travel than {fastest_speed}."
    if flow is None:
        return " In {time} the flow must be at least {least_flow}."
    delivered = w.let(
        "delivered", "Oxygen that your flow brings in your time", "V_in", GAS_VOLUME, q * given_time, source=ENTERED,
        digits=3,
    )
    w.let(
        "share_used", "Part of it that the kerf would burn", "u", PERCENTAGE, need / delivered * 100, source=BURNING,
        main=True, digits=3,
    )
    if need_feo.amount > delivered.amount:
        w.stop(
            "oxygen-supply", "{delivered} is less than this kerf burns even to FeO, {least_oxygen_feo}. One of the "
            "figures is wrong: flow, time, kerf, or the part that burns. Measure again.", source=BURNING_TO_FEO,
        )
        return " Your flow brings only {delivered}: the figures cannot all be right."
    if need.amount > delivered.amount:
        w.caution(
            "oxygen-supply", "{delivered} covers burning to FeO, {least_oxygen_feo}, but not to Fe₃O₄, {least_oxygen}. "
            "Much of the kerf must leave less burned than you entered. Check the flow, the time and the kerf.",
            source=BURNING,
        )
        return " Your flow brings {delivered}, which does not cover it."
    w.ok(
        "oxygen-supply", "{delivered} covers the minimum of {least_oxygen}. What does not burn blows the slag out of "
        "the kerf.", source=BURNING,
    )
    return " Your flow brings {delivered}, of which the kerf burns {share_used}."


CUT_OXYGEN = Calculator(
    id="cut-oxygen",
    title="Oxygen that the kerf burns",
    question="What is the minimum of oxygen for this cut, and does my flow bring it?",
    page="cutting.md",
    work=work_cut_oxygen,
    main=("thickness", "kerf", "length", "flow"),
    inputs=(
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "12 in", "The metal that the jet goes through.",
            "t", common=("3/8 in", "1/2 in", "1 in"),
        ),
        Quantity(
            "kerf", "Kerf", LENGTH, "1/16 in", "1/64 in", "1/2 in", "Width of the slot, measured on a practice cut.",
            "k",
        ),
        Quantity("length", "Length of the cut", LENGTH, "7 in", "1/2 in", "240 in", "From edge to edge.", "L",
            takes="plate_length"),
        Quantity(
            "share", "Part of the kerf that burns", PERCENTAGE, "100 %", "1 %", "100 %", "The rest is melted and blown "
            "out unburned. Nobody measures it in the shop: try a lower figure and see.", "s",
        ),
        Choice(
            "reference", "Gas counted at", (Option("70F", "70 °F (21.1 °C)"), Option("15C", "15 °C (59 °F)")), "70F",
            "One atmosphere in both. A warm cubic foot holds less gas, so it takes more of them.",
        ),
        Quantity(
            "flow", "Flow of cutting oxygen", FLOW, "", "1 ft3/h", "2000 ft3/h", "From a flow meter or the tip chart, "
            "without the preheat oxygen.", "q",
        ),
        Quantity(
            "time", "Time of the cut", SECONDS, "", "1 s", "120 min", "With the cutting lever held down, in seconds.",
            "T",
        ),
        Quantity(
            "purity", "Purity of the oxygen", PERCENTAGE, "", "50 %", "100 %",
            "From the supplier's certificate. May stay blank.", "p", common=("99.5 %",),
        ),
    ),
)
