"""How the heat moves: the pattern of temperatures around the arc, and how long a hot plate takes to cool.

Stage: heat. `plate-heat` draws the classical moving-source solution (Rosenthal 1946, from memory;
`calc.stages.moving_arc` solves it). `interpass-wait` lets the whole plate cool by air and radiation, as one lump. Both
are study help: no figure here stands in for a measurement on the plate.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from calc.core.declare import Amount, Calculator, Choice, InputError, Option, Phrase, Quantity, Working
from calc.core.formula import PI, Formula, Symbol, ln, sqrt
from calc.core.sources import (
    EN_1011_2,
    ENTERED,
    GEOMETRY,
    MATH_TABLES,
    PHYSICS,
    ROSENTHAL_1946,
    Citation,
    Fact,
    Standing,
)
from calc.core.units import (
    ABSOLUTE_TEMPERATURE,
    AMOUNT_OF_HEAT,
    AREA,
    CELSIUS,
    CONDUCTIVITY,
    CURRENT,
    DIFFUSIVITY,
    HEAT_INPUT,
    HEAT_TRANSFER,
    INCH,
    LENGTH,
    MASS,
    NUMBER,
    POWER,
    RADIATION,
    SECOND,
    SPECIFIC_HEAT,
    SYSTEMS,
    TEMPERATURE,
    TEMPERATURE_STEP,
    TIME,
    TRAVEL_SPEED,
    VOLTAGE,
    VOLUME,
    VOLUME_HEAT,
    WATT,
    Kind,
    Number,
    parse,
    show_as_written,
)
from calc.later import Module
from calc.show.plot import Axis, Column, Curve, Film, Frame, Mark, Plot, Table, round_numbers
from calc.stages import heat
from calc.stages.groove import STEEL_DENSITY
from calc.stages.machine import judge_stick
from calc.stages.own import AMPS_BAND, TRAVEL_BAND, VOLTS_BAND, judge_arc

moving_arc = Module("calc.stages.moving_arc")

SECONDS = TIME.shown_in(us=SECOND, si=SECOND)
WATTS = POWER.shown_in(us=WATT, si=WATT)
CELSIUS_FALL = TEMPERATURE_STEP.shown_in(us=TEMPERATURE_STEP.si)

_STEEL = Citation(None, "Handbook figure for mild steel at room temperature", Standing.FROM_MEMORY)
_POINT = Citation(ROSENTHAL_1946, "point source on thick plate", Standing.FROM_MEMORY)
_LINE = Citation(ROSENTHAL_1946, "line source through thin plate", Standing.FROM_MEMORY)
_IMAGES = Citation(
    ROSENTHAL_1946, "point source with mirror images in both faces", Standing.FROM_MEMORY,
    "Terms below a ten-millionth of the first are left out of the sum.",
)
_IMPLIED = Citation(EN_1011_2, "Annex D, worked back", Standing.FROM_MEMORY,
    "The guide works out which steel figures its cooling times imply.")
_COOLING_LAW = Citation(PHYSICS, "heat balance of a body of one temperature", Standing.FROM_MEMORY)
_EVENING = Citation(PHYSICS, "conduction across a plate with insulated edges, slowest wave", Standing.FROM_MEMORY)
_BIOT = Citation(PHYSICS, "Biot number", Standing.FROM_MEMORY)
_KELVIN = Citation(PHYSICS, "kelvin from degrees Celsius, by definition", Standing.FROM_MEMORY)

CONDUCTIVITY_OF_STEEL = Fact("steel-conductivity", "Thermal conductivity of mild steel", Fraction(50), CONDUCTIVITY,
    _STEEL)
SPECIFIC_HEAT_OF_STEEL = Fact("steel-specific-heat", "Specific heat of mild steel", Fraction(480), SPECIFIC_HEAT,
    _STEEL)
_STEEL_BAND = Citation(None, "Handbook figures for carbon steel, cold to hot", Standing.FROM_MEMORY)
CONDUCTIVITY_LOW = Fact("steel-conductivity-low", "Thermal conductivity of carbon steel, minimum, when hot",
    Fraction(20), CONDUCTIVITY, _STEEL_BAND)
CONDUCTIVITY_HIGH = Fact("steel-conductivity-high", "Thermal conductivity of carbon steel, maximum, when cold",
    Fraction(65), CONDUCTIVITY, _STEEL_BAND)
SPECIFIC_HEAT_LOW = Fact("steel-specific-heat-low", "Specific heat of carbon steel, minimum, when cold", Fraction(420),
    SPECIFIC_HEAT, _STEEL_BAND)
SPECIFIC_HEAT_HIGH = Fact("steel-specific-heat-high", "Specific heat of carbon steel, maximum, when hot", Fraction(900),
    SPECIFIC_HEAT, _STEEL_BAND)
MELTING = Fact(
    "steel-melts", "Mild steel begins to melt at about", parse("1425 degC", TEMPERATURE), TEMPERATURE,
    Citation(None, "Handbook figure for mild steel", Standing.FROM_MEMORY,
        "The melting range is 1425 to 1510 °C (2600 to 2750 °F)."),
)
POINT_LAW = Fact("moving-point", "Moving point of heat on a thick plate", None, None, _POINT,
    "T − T0 = q ÷ (2π·λ·r) × exp(−v·(ξ + r) ÷ (2a))")
LINE_LAW = Fact("moving-line", "Moving line of heat through a thin plate", None, None, _LINE,
    "T − T0 = q ÷ (2π·λ·d) × exp(−v·ξ ÷ (2a)) × K0(v·r ÷ (2a))")
BESSEL = Fact(
    "bessel-k0", "How the Bessel function K0 of the line source is worked out", None, None,
    Citation(MATH_TABLES, "9.7 and 9.8", Standing.FROM_MEMORY), "by polynomials and Hankel's series, relative error "
    "under one part in a million",
)
STILL_AIR = Fact(
    "still-air-heat-transfer", "Heat that still air takes from a hot plate", Fraction(10), HEAT_TRANSFER,
    Citation(PHYSICS, "free convection in air, usual band 5 to 25 W/(m²·K)", Standing.FROM_MEMORY,
        "A fan takes several times as much."),
)
EMISSIVITY = Fact(
    "scaled-steel-emissivity", "Emissivity of steel with mill scale or rust", Fraction(4, 5), NUMBER,
    Citation(PHYSICS, "emissivity of oxidized steel, usual band 0.7 to 0.9", Standing.FROM_MEMORY,
        "Bright ground steel radiates far less."),
)
STEFAN_BOLTZMANN = Fact(
    "stefan-boltzmann", "Stefan-Boltzmann constant", Fraction("0.00000005670374"), RADIATION,
    Citation(PHYSICS, "radiation constant, fixed by the SI since 2019", Standing.FROM_MEMORY),
)
BIOT_LIMIT = Fact("biot-limit", "Biot number up to which a body cools as one piece", Fraction(1, 10), NUMBER, _BIOT)
FACTS: tuple[Fact, ...] = (
    CONDUCTIVITY_OF_STEEL, SPECIFIC_HEAT_OF_STEEL, CONDUCTIVITY_LOW, CONDUCTIVITY_HIGH, SPECIFIC_HEAT_LOW,
    SPECIFIC_HEAT_HIGH, MELTING, POINT_LAW, LINE_LAW, BESSEL, STILL_AIR, EMISSIVITY, STEFAN_BOLTZMANN, BIOT_LIMIT,
)

UPPER, LOWER = 800, 500
"""The range of t8/5, in °C."""


def _declared(w: Working, name: str, symbol: str, amount: Number, fact: Fact) -> Symbol:
    """A figure that the reader may change: cited as long as it is the register's, else the reader's own."""
    assert fact.kind
    source = fact.source if amount == fact.amount else ENTERED
    return w.value(name, fact.label, amount, fact.kind, source=source, symbol=symbol)


def _celsius(degrees: int) -> Symbol:
    return Symbol(str(degrees), degrees, TEMPERATURE, CELSIUS, CELSIUS)


# Nearer than this to the temperature that the plate has everywhere, the line of a temperature lies past any plate.
ONE_DEGREE = Fraction(5, 9)


# --- the heat around the arc ---------------------------------------------------------


def work_plate_heat(
    w: Working, *, volts: Fraction, amps: Fraction, process: str, speed: Fraction, thickness: Fraction, start: Fraction,
    chosen: Fraction,
    point: Fraction, shape: str, steel: str, conductivity: Fraction, specific_heat: Fraction,
    volts_low: Fraction | None, volts_high: Fraction | None, amps_low: Fraction | None, amps_high: Fraction | None,
    travel_low: Fraction | None, travel_high: Fraction | None,
) -> None:
    """How hot a plate gets round a moving arc, how far from the weld, and for how long.

    q = k·U·I: heat into the plate, W; Q = q / v, J/m; a = λ / ρc: diffusivity, m²/s. A point at distance r from the
    arc, ξ ahead of it, is at T − T_0 = q / (2π·λ·r) × exp(−v·(ξ + r) / (2a)) on thick plate; `calc.stages.moving_arc`
    adds the faces of this one. U: volts, V; I: current, A; k: arc efficiency; v: travel speed, m/s; λ: conductivity,
    W/(m·K); ρc: heat of a volume, J/(m³·K).

    Valid outside the puddle, on a plate without ends, for steel whose figures do not change with heat. Raises
    `InputError` where the temperature asked for is that of the whole plate already, or where a band of the WPS is
    upside down. Source: Rosenthal 1946, from
    memory.

    >>> answer = PLATE_HEAT.answer(volts="24 V", amps="125 A", speed="6 in/min", process="smaw")
    >>> answer["power"].text("si"), answer["heat"].text("us")  # 0.8 of 24 V x 125 A, and of 30 kJ/in
    ('2400\xa0W', '24\xa0kJ/in')
    """
    if chosen - start < ONE_DEGREE:
        us, si = (show_as_written(start + ONE_DEGREE, TEMPERATURE, system) for system in SYSTEMS)
        raise InputError("chosen", "Your temperature", f"the whole plate is that warm before the arc comes, or nearly; "
            f"write {us} ({si}) or more")
    v = w.given("speed", "v", speed, TRAVEL_SPEED)
    d = w.given("thickness", "d", thickness, LENGTH)
    t0 = w.given("start", "T_0", start, TEMPERATURE, us=CELSIUS, si=CELSIUS)
    w.given("chosen", "T", chosen, TEMPERATURE)
    w.mention("melting", MELTING)
    q, per_length = _power(w, process, volts, amps, v)
    relations = _relations(per_length.amount, start, thickness)
    lam, rho_c = _steel(w, steel, conductivity, specific_heat, per_length, t0, d, relations)
    a = w.let("diffusivity", "How fast heat evens out in the steel", "a", DIFFUSIVITY, lam / rho_c)
    w.let("lead", "How far the heat runs ahead of the arc", "s", LENGTH, 2 * a / v, source=_POINT, digits=3)
    transition = _limits(w, per_length, lam, rho_c, d, t0)
    arc = moving_arc.MovingArc(
        power=float(q.amount), speed=float(speed), thickness=float(thickness), conductivity=float(lam.amount),
        diffusivity=float(a.amount),
        start=float(start), shape=shape,
    )
    source = {"plate": _IMAGES, "thick": _POINT, "thin": _LINE}[shape]
    seen = _See(arc, float(chosen), float(point))
    _arc_figures(w, seen, source)
    _arc_checks(w, seen, source, relations)
    _check_shape(w, shape, thickness < transition.amount, source)
    judge_arc(w, volts=(volts_low, volts_high), amps=(amps_low, amps_high), speed=(travel_low, travel_high))
    if process == "smaw":
        judge_stick(w, volts, amps, speed)
    _check_start(w, start)
    if steel == "own":
        _check_figures(w, lam, specific_heat)
    for plot in (seen.plan(), seen.crests(), seen.cooling()):
        w.draw(plot)
    w.warn(heat.HOT)
    w.warn("Measure the plate. A drawing of heat is for understanding; the WPS asks for a thermometer or a temperature "
        "crayon.")
    w.warn(heat.HELP_ONLY)


def _power(w: Working, process: str, volts: Fraction, amps: Fraction, v: Symbol) -> tuple[Symbol, Symbol]:
    """The heat that the arc puts into the plate, and that of each length of weld."""
    efficiency = next(each.fact for each in heat.PROCESSES if each.value == process)
    k = w.fact(efficiency, "k")
    q = w.let(
        "power", "Heat that the arc puts into the plate", "q", WATTS,
        k * w.given("volts", "U", volts, VOLTAGE) * w.given("amps", "I", amps, CURRENT), source=efficiency.source,
    )
    return q, w.let("heat", "Heat input Q, with arc efficiency", "Q", HEAT_INPUT, q / v, source=efficiency.source)


def _relations(per_length: Number, start: Fraction, thickness: Fraction) -> dict[str, Number]:
    """The cooling times (s) of EN 1011-2 for a bead on flat plate: "thick" and "thin", by the guide's own
    calculator."""
    sheet = Working()
    heat.COOLING_TIME.work(
        sheet, heat=per_length, start=start, thickness=thickness, joint="plate", factor_thick=None, factor_thin=None,
    )
    return {value.name: value.amount for value in sheet.values
        if value.name in ("thick", "thin") and value.amount is not None}


def _steel(
    w: Working, steel: str, conductivity: Fraction, specific_heat: Fraction, per_length: Symbol, t0: Symbol, d: Symbol,
    relations: dict[str, Number],
) -> tuple[Symbol, Symbol]:
    """Conductivity and heat per volume: as declared, or as the cooling times of EN 1011-2 imply them."""
    if steel == "own":
        lam = _declared(w, "conductivity", "λ", conductivity, CONDUCTIVITY_OF_STEEL)
        c = _declared(w, "specific_heat", "c", specific_heat, SPECIFIC_HEAT_OF_STEEL)
        rho = w.fact(STEEL_DENSITY, "ρ")
        # Density in kg/m³ in both systems: an answer in lb/in³ would mix with J/(kg·K).
        rho = Symbol("ρ", rho.amount, STEEL_DENSITY.kind, STEEL_DENSITY.kind.si,
            STEEL_DENSITY.kind.si)  # type: ignore[union-attr]
        return lam, w.let("volume_heat", "Heat that a volume of steel holds", "ρc", VOLUME_HEAT, rho * c)
    lower, upper = 1 / (_celsius(LOWER) - t0), 1 / (_celsius(UPPER) - t0)
    thick, thin = Symbol("t_3D", relations["thick"], SECONDS), Symbol("t_2D", relations["thin"], SECONDS)
    lam = w.let(
        "conductivity", "Conductivity that the thick-plate cooling time implies", "λ", CONDUCTIVITY,
        per_length / (2 * PI * thick) * (lower - upper), source=_IMPLIED,
    )
    volume_heat = w.let(
        "volume_heat", "Heat of a volume of steel that the thin-plate cooling time implies", "ρc", VOLUME_HEAT,
        per_length**2 / (4 * PI * lam * d**2 * thin) * (lower**2 - upper**2), source=_IMPLIED,
    )
    return lam, volume_heat


def _limits(w: Working, per_length: Symbol, lam: Symbol, rho_c: Symbol, d: Symbol, t0: Symbol) -> Symbol:
    """The two limits that can be worked out by hand, cooling times of a very thick and of a thin plate, on the weld
    line; and the thickness at which they agree, which it returns."""
    lower, upper = 1 / (_celsius(LOWER) - t0), 1 / (_celsius(UPPER) - t0)
    w.let(
        "thick", "t8/5 if the plate were very thick", "t_3D", SECONDS, per_length / (2 * PI * lam) * (lower - upper),
        source=_POINT, digits=3,
        note="Exact on the weld line, behind the arc.",
    )
    w.let(
        "thin", "t8/5 if the heat flowed only sideways", "t_2D", SECONDS,
        per_length**2 / (4 * PI * lam * rho_c * d**2) * (lower**2 - upper**2), source=_LINE, digits=3,
        note="For points far behind the arc, where K0 has its simple form.",
    )
    return w.let(
        "transition", "Thickness at which the two agree", "d_t", LENGTH,
        sqrt(per_length / (2 * rho_c) * (lower + upper)), source=_LINE, digits=3,
        as_fraction=True,
    )


def _arc_figures(w: Working, seen: _See, source: Citation) -> None:
    arc, chosen = seen.arc, seen.chosen
    w.value("heat_width", "Width heated above your temperature", 2 * arc.half_width(chosen), LENGTH, source=source,
        main=True, digits=3)
    w.value("cooling_time", "t8/5 on the weld line", seen.center_time, SECONDS, source=source, symbol="t_8/5",
        main=True, digits=3)
    w.value("peak", "Peak temperature at your point", seen.peak, TEMPERATURE, source=source, symbol="T_max",
        main=True, digits=3)
    if seen.point_time is not None:
        w.value("point_cooling_time", "t8/5 at your point", seen.point_time, SECONDS, source=source, main=True,
            digits=3)
    else:
        w.words("point_cooling_time", "t8/5 at your point", "never as hot as 800 °C", source=source, main=True)
    w.value("melt_width", "Width melted, roughly", 2 * arc.half_width(seen.melting), LENGTH, source=source, digits=2)
    w.value("peak_after", "Your point is hottest after the arc has passed by", seen.peak_after, SECONDS, source=source,
        digits=3)
    for name, words, temperature in (
        ("melt_length", "Melted length behind the arc, roughly", seen.melting),
        ("length_800", "800 °C reaches behind the arc", UPPER),
        ("length_500", "500 °C reaches behind the arc", LOWER), ("length_chosen", "Your temperature reaches behind the "
            "arc", chosen),
    ):
        w.value(name, words, arc.behind(temperature), LENGTH, source=source, digits=3)
    w.say(
        "A zone about {heat_width} wide gets hotter than {chosen}. The weld line cools from 800 to 500 °C in about "
        "{cooling_time}."
    )


def _arc_checks(w: Working, seen: _See, source: Citation, relations: dict[str, Number]) -> None:
    standard = max(float(time) for time in relations.values())
    w.value("standard_time", "t8/5 by EN 1011-2, bead on flat plate", standard, SECONDS, source=_IMPLIED, digits=3)
    ratio = seen.center_time / standard
    if 0.8 <= ratio <= 1.25:
        w.note("standard", "EN 1011-2 gives {standard_time} for the same heat; this picture gives {cooling_time}. They "
            "agree within a quarter.", source=_IMPLIED)
    else:
        w.note("standard", "EN 1011-2 gives {standard_time} for the same heat; this picture gives {cooling_time}. Go "
            "by the shorter one for the risk of hardening, by the longer one for the risk of overheating. The page "
            "says where the difference comes from.",
            source=_IMPLIED,
        )
    if seen.peak > seen.melting:
        w.caution("point-melted", "Your point lies in the puddle: the solution leaves melting out, so read nothing "
            "from it above {melting}.", source=source)
    if not seen.arc.behind(seen.melting):
        w.caution("no-melting", "In this solution so little heat melts nothing. It makes no weld.", source=source)
    w.note("no-edges", "The solution takes a plate without ends and edges, and steel whose figures do not change with "
        "heat. Near an edge, on a short plate and after several passes the real plate is hotter.", source=source,
    )


def _check_shape(w: Working, shape: str, thin: bool, source: Citation) -> None:
    """Whether a limiting formula is asked on the side of the transition thickness that it is made for."""
    if shape == "plate":
        w.note("shape", "Very thick plate would give {thick}, heat that flows only sideways {thin}. This plate is "
            "worked out at its own thickness.", source=source)
    elif (shape == "thin") is thin:
        w.note("shape", f"You asked for the limit of a {shape} plate, and this one lies on that side of "
            f"{{transition}}.", source=source)
    else:
        side = "thinner than" if thin else "not thinner than"
        w.caution("shape", f"You asked for the limit of a {shape} plate, but this one is {side} {{transition}}. Choose "
            f"“this thickness” for your plate.",
            source=source,
        )


def _check_start(w: Working, start: Fraction) -> None:
    """Metal under freezing is not welded; a plate over every common maximum is looked at again."""
    if start < heat.COLD_METAL.amount:
        w.mention("freezing", heat.COLD_METAL)
        w.stop("start", "The plate is at {start}, below {freezing}: preheat it before any arc. See the preheat "
            "calculator.", source=heat.COLD_METAL.source)
    else:
        heat.judge_start(w, "start", start)


def _check_figures(w: Working, lam: Symbol, specific_heat: Fraction) -> None:
    for id, name, amount, low, high in (
        ("conductivity", "conductivity", lam.amount, CONDUCTIVITY_LOW, CONDUCTIVITY_HIGH),
        ("specific-heat", "specific_heat", specific_heat, SPECIFIC_HEAT_LOW, SPECIFIC_HEAT_HIGH),
    ):
        w.mention("figure_low", low)
        w.mention("figure_high", high)
        if not low.amount <= amount <= high.amount:
            w.caution(id, f"{{{name}}} is outside the {{figure_low}} to {{figure_high}} of carbon steel, cold to hot.",
                source=low.source)


@dataclass(frozen=True)
class _Level:
    """One isotherm: its temperature, what it means, its line from above (`look`) and across the other plots."""

    temperature: float
    words: str
    look: str
    across: str
    fill: str = ""

    @property
    def label(self) -> Phrase:
        return (Amount(self.temperature, TEMPERATURE), self.words)


FRAMES = 45
"""Moments of the film. The script slides between them."""


class _See:
    """One answer made visible: what the three plots share is worked out once."""

    def __init__(self, arc: moving_arc.MovingArc, chosen: float, point: float) -> None:
        self.arc, self.chosen, self.point = arc, chosen, point
        self.melting = float(MELTING.amount)
        self.peak, self.peak_after = arc.peak(point)
        self.center_time = arc.cooling_time(UPPER, LOWER) or 0.0
        self.point_time = arc.cooling_time(UPPER, LOWER, point)
        levels = [
            _Level(self.melting, ": melting begins", "edge", "center", "fired"), _Level(UPPER, "", "edge", "thin"),
            _Level(LOWER, "", "hidden", "hidden"), _Level(chosen, ": your temperature", "cut", "cut"),
        ]
        # A temperature that is drawn already gets no second line.
        self.levels = [one for n, one in enumerate(levels)
            if one.temperature not in [other.temperature for other in levels[:n]]]
        self.lines = {one: arc.isotherm(one.temperature) for one in self.levels}
        self.tail = self._tail()
        self.lead = max([0.0] + [points[0][0] for points in self.lines.values() if points]) + 0.04 * self.tail
        # The film ends with the picture as drawn: the arc has gone almost the whole tail past the point.
        self.end = 0.92 * self.tail / arc.speed
        self.begin = self.end - (self.tail + self.lead) / arc.speed
        self.times = [self.begin + (self.end - self.begin) * step / (FRAMES - 1) for step in range(FRAMES)]

    def _tail(self) -> float:
        """How much is shown behind the arc: all that is over 500 °C with room, and no more of a long cool tail than
        that allows."""
        to_500, to_chosen = self.arc.behind(LOWER), self.arc.behind(self.chosen)
        return max(1.3 * to_500, min(1.05 * to_chosen, 2.5 * to_500), 1.5 * self.point,
            1.5 * self.arc.speed * self.peak_after)

    def at(self, seconds: float) -> float:
        """Temperature of the point, so long after the arc passed by."""
        return self.arc.temperature(-self.arc.speed * seconds, self.point)

    # -- from above --

    def plan(self) -> Plot:
        """The top face from above, to scale, the arc at 0 and moving to the right."""
        shapes: list[Curve | Mark] = [Curve(((-1e3, 0.0), (1e3, 0.0)), ("weld line",), "center")]
        for level in sorted(self.levels, key=lambda one: one.temperature):
            half = self.lines[level]
            if half:
                shapes.append(Curve(half + tuple((x, -y) for x, y in reversed(half[1:-1])) + half[:1], level.label,
                    level.look, level.fill, "arc"))
        shapes += [
            Mark((0.0, 0.0), ("arc, moving to the right",), "dot", "arc"),
            Mark((-self.arc.speed * self.end, self.point),
                ("your point, ", Amount(self.point, LENGTH), " from the weld line"), "ring"),
        ]
        high = 1.15 * max([1.1 * self.point] + [y for half in self.lines.values() for x, y in half if x > -self.tail])
        high = max(high, 0.16 * (self.tail + self.lead))
        return Plot(
            "isotherms", "The top face from above, to scale", self._plan_words(),
            Axis("Along the weld, arc at 0", LENGTH, -self.tail, self.lead),
            Axis("Across", LENGTH, -high, high), tuple(shapes), self._plan_table(), equal=True, tallest=260.0,
            film=self._plan_film(),
        )

    def _plan_words(self) -> Phrase:
        said: list[str | Amount] = ["Isotherms, lines of one temperature, around an arc that moves to the right."]
        for level in self.levels:
            if half := self.lines[level]:
                said += [
                    " ", Amount(level.temperature, TEMPERATURE), f"{level.words} reaches ",
                    Amount(half[0][0], LENGTH, 3), " ahead of the arc, ",
                    Amount(-half[-1][0], LENGTH, 3), " behind it, and is ",
                    Amount(2 * self.arc.half_width(level.temperature), LENGTH, 3), " wide.",
                ]
        return tuple(said)

    def _plan_table(self) -> Table:
        rows = tuple(
            (level.temperature, half[0][0], -half[-1][0], 2 * self.arc.half_width(level.temperature)) if half
            else (level.temperature, None, None, None)
            for level, half in self.lines.items()
        )
        columns = (Column("Temperature", TEMPERATURE), Column("Ahead of the arc", LENGTH), Column("Behind it", LENGTH),
            Column("Full width", LENGTH))
        return Table(columns, rows)

    def _plan_film(self) -> Film:
        frames = tuple(Frame(((self.arc.speed * (time - self.end), 0.0),), self._told(time)) for time in self.times)
        return Film(
            ("arc",), frames, "See the arc pass your point",
            ("It takes ", Amount(round(self.end - self.begin, 1), SECONDS, 3),
                " in the shop. The dot on the cooling curve below moves along."), 9.0, FRAMES - 1,
        )

    def _told(self, seconds: float) -> Phrase:
        rounded = round(abs(seconds), 1)
        when = (" after the arc passed: " if seconds >= 0 else " before the arc comes by: ")
        temperature = self.at(seconds)
        state: tuple[str | Amount, ...] = ("melted",
            ) if temperature >= self.melting else (Amount(temperature, TEMPERATURE, 3),)
        return (Amount(rounded, SECONDS, 3), when, "your point is ", *(() if state == ("melted",) else ("at ",)),
            *state)

    # -- highest temperature across the plate --

    def crests(self) -> Plot:
        """The highest temperature that each distance from the weld line ever sees."""
        arc = self.arc
        far = max(min(1.3 * arc.half_width(self.chosen), 6 * arc.half_width(LOWER)), 1.3 * self.point)
        top = 1.1 * self.melting
        outer, inner = math.log(arc.crest_radius(far)), math.log(max(arc.half_width(top), far / 500))
        crests = [arc.crest(math.exp(inner + (outer - inner) * step / 40)) for step in range(41)]
        curve = tuple((aside, temperature) for _, aside, temperature in crests)
        shapes: list[Curve | Mark] = [
            *self._levels_across(0.0, far, (self.melting, UPPER, LOWER, self.chosen)),
            Curve(curve, ("peak temperature",), "edge"),
            Mark((self.point, self.peak), ("your point",), "ring"),
        ]
        asides = [float(INCH.to_base(number)) for number in round_numbers(0.0, far, INCH, 8) if number > 0]
        rows = tuple((aside, *self._crest_cells(aside)) for aside in asides)
        columns = (Column("From the weld line", LENGTH), Column("Peak temperature", TEMPERATURE),
            Column("After the arc passed", SECONDS))
        return Plot(
            "peaks", "The hottest each place gets", (
                "Peak temperature against distance from the weld line. It falls from melting beside the weld to ",
                Amount(curve[-1][1], TEMPERATURE, 3), " at ", Amount(far, LENGTH, 3), "; your point gets to ",
                Amount(self.peak, TEMPERATURE, 3), ".",
            ), Axis("Distance from the weld line", LENGTH, 0.0, far),
            Axis("Peak temperature", TEMPERATURE, arc.start, top), tuple(shapes),
            Table(columns, rows),
        )

    def _crest_cells(self, aside: float) -> tuple[float | str, float | str]:
        temperature, after = self.arc.peak(aside)
        return ("melted", after) if temperature >= self.melting else (temperature, after)

    def _levels_across(self, left: float, right: float, temperatures: tuple[float, ...]) -> list[Curve]:
        """Level lines through a plot, for the temperatures that lie in it."""
        return [
            Curve(((left, level.temperature), (right, level.temperature)), level.label, level.across)
            for level in self.levels if level.temperature in temperatures
        ]

    # -- one point, as time passes --

    def cooling(self) -> Plot:
        """The temperature of the point as time passes, from before the arc to the end of the film."""
        top = max(min(1.1 * self.melting, 1.12 * self.peak), self.arc.start + 1.0)
        last = self.end + 0.02 * (self.end - self.begin)
        rise = [self.begin + (self.peak_after - self.begin) * (1 - (1 - step / 24) ** 2) for step in range(24)]
        fall = [self.peak_after + (self.end - self.peak_after) * (step / 40) ** 1.6 for step in range(41)]
        curve = tuple((time, self.at(time)) for time in rise + fall)
        shapes: list[Curve | Mark] = [
            *(line for line in self._levels_across(self.begin, last, (self.melting, UPPER, LOWER, self.chosen))
                if line.points[0][1] < top),
            Curve(curve, ("your point, ", Amount(self.point, LENGTH), " from the weld line"), "edge"),
            Mark(curve[-1], (), "dot", "now"),
        ]
        asked = [self.begin + (self.end - self.begin) * step / 9 for step in range(10)]
        cells = tuple((time, min(self.at(time), self.melting)) for time in sorted([*asked, self.peak_after]))
        rows = tuple((time, "melted" if temperature >= self.melting else temperature) for time, temperature in cells)
        shifts = tuple(Frame(((time - curve[-1][0], self.at(time) - curve[-1][1]),)) for time in self.times)
        said: tuple[str | Amount, ...] = (
            ("It takes ", Amount(self.point_time, SECONDS, 3), " from 800 to 500 °C.") if self.point_time is not None
            else ("It never reaches 800 °C.",)
        )
        return Plot(
            "cooling", "Your point as time passes", (
                "Temperature of your point against the time since the arc passed. It is hottest, at ",
                Amount(self.peak, TEMPERATURE, 3), ", ",
                Amount(self.peak_after, SECONDS, 3), " after the arc. ", *said,
            ), Axis("Time since the arc passed", SECONDS, self.begin, last),
            Axis("Temperature", TEMPERATURE, self.arc.start, top), tuple(shapes),
            Table((Column("Since the arc passed", SECONDS), Column("Temperature", TEMPERATURE)), rows),
            film=Film(("now",), shifts, follows="isotherms"),
        )


PLATE_HEAT = Calculator(
    id="plate-heat",
    title="The heat around the arc",
    question="How hot does the plate get, how far from the weld, and for how long?",
    page="heat-flow.md",
    work=work_plate_heat,
    main=("amps", "speed", "thickness", "start"),
    inputs=(
        Quantity("volts", "Arc voltage", VOLTAGE, "24 V", "5 V", "100 V", "With the arc burning.", "U",
            common=("22 V", "24 V", "26 V"), takes="volts_middle"),
        Quantity("amps", "Amperage", CURRENT, "125 A", "10 A", "2000 A", "With the arc burning.", "I",
            common=("90 A", "125 A", "140 A")),
        Choice("process", "Process", tuple(Option(each.value, each.label) for each in heat.PROCESSES), "smaw",
            "Decides the arc efficiency k."),
        Quantity("speed", "Travel speed", TRAVEL_SPEED, "6 in/min", "0.5 in/min", "200 in/min",
            "Bead length divided by arc time.", "v", common=("4 in/min", "6 in/min", "10 in/min"),
            takes="travel_middle"),
        Quantity("thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "8 in", "Measured.", "d",
            common=("1/4 in", "3/8 in", "1/2 in", "1 in")),
        Quantity("start", "Temperature of the plate before the pass", TEMPERATURE, "70 degF", "-40 degF", "600 degF",
            "Preheat, or interpass.", "T_0", common=("70 degF", "150 degF", "300 degF"), takes="preheat.least"),
        Quantity("chosen", "Your temperature", TEMPERATURE, "500 degF", "-30 degF", "2600 degF",
            "A line of this temperature is drawn, and its width worked out.", "T",
            common=("300 degF", "500 degF", "1300 degF")),
        Quantity("point", "Your point, distance from the weld line", LENGTH, "1/4 in", "1/32 in", "6 in",
            "On the top face. Its cooling is drawn.", "y", common=("1/4 in", "1/2 in", "1 in")),
        Choice(
            "shape", "How the heat can flow", (
                Option("plate", "This thickness, faces that keep their heat"),
                Option("thick", "As in a very thick plate"),
                Option("thin", "Only sideways, as in a thin plate"),
            ), "plate", "The first is your plate. The others are the two limits the formulas of the trade are made "
            "from.",
        ),
        Choice(
            "steel", "Figures of the steel", (
                Option("own", "The two figures below"), Option("standard", "What the cooling times of EN 1011-2 imply"),
            ), "own", "Hot steel conducts less than cold steel. The second choice takes that into account.",
            takes=None,
        ),
        Quantity("conductivity", "Thermal conductivity", CONDUCTIVITY, "50 W/mK", "10 W/mK", "100 W/mK",
            "Of the steel. Hot steel has about half the figure of cold steel.", "λ"),
        Quantity("specific_heat", "Specific heat", SPECIFIC_HEAT, "480 J/kgK", "300 J/kgK", "1200 J/kgK",
            "Of the steel. Hot steel takes up more.", "c"),
        *VOLTS_BAND, *AMPS_BAND, *TRAVEL_BAND,
    ),
)

# --- the whole plate cools -------------------------------------------------------------

STRIPS = 64
"""Strips of Simpson's rule. The integrand is so smooth that doubling them changes nothing a reader sees."""


def simpson(function: Callable[[float], float], low: float, high: float, strips: int = STRIPS) -> float:
    """The integral of a smooth function, by Simpson's rule. `strips` even.

    >>> round(simpson(lambda x: x**3, 0.0, 2.0), 12)
    4.0
    """
    step = (high - low) / strips
    inside = sum((4 if n % 2 else 2) * function(low + n * step) for n in range(1, strips))
    return (function(low) + inside + function(high)) * step / 3


@dataclass(frozen=True, kw_only=True)
class CoolingPlate:
    """A plate of one temperature that air and radiation cool. SI base units, temperatures in °C.

    With u = ln(T - T_air) the balance m·c·dT/dt = -A·(h + h_r)·(T - T_air) turns into an integral over temperature:
    t = (m·c/A) ∫ du / (h + h_r), where h_r = ε·σ·(T + T_air)·(T² + T_air²) in kelvin. So nothing is stepped through
    time.
    """

    capacity: float
    area: float
    air: float
    transfer: float
    emissivity: float

    def radiation(self, temperature: float) -> float:
        """h_r in W/(m²·K): what radiation takes for each degree over the air."""
        hot, cold = temperature + 273.15, self.air + 273.15
        return self.emissivity * float(STEFAN_BOLTZMANN.amount) * (hot + cold) * (hot * hot + cold * cold)

    def seconds(self, hot: float, cool: float) -> float:
        """Time from one temperature to a lower one, both above the air.

        >>> plate = CoolingPlate(capacity=1000, area=0.1, air=20, transfer=10, emissivity=0)
        >>> round(plate.seconds(120, 70) / 1000, 9) == round(math.log(2), 9)
        True
        """
        def slowness(u: float) -> float:
            return 1 / (self.transfer + self.radiation(self.air + math.exp(u)))

        return self.capacity / self.area * simpson(slowness, math.log(cool - self.air), math.log(hot - self.air))

    def given_to_air(self, hot: float, cool: float) -> float:
        """Heat (J) that the air takes on the way down; radiation takes the rest."""
        return self.capacity * simpson(lambda t: self.transfer / (self.transfer + self.radiation(t)), cool, hot)

    def radiated(self, hot: float, cool: float) -> float:
        """Heat (J) that leaves as radiation on the way down."""
        return self.capacity * simpson(lambda t: self.radiation(t) / (self.transfer + self.radiation(t)), cool, hot)

    def curve(self, hot: float, cool: float, parts: int = 40) -> tuple[moving_arc.Point, ...]:
        """(seconds, temperature) from hot to cool, at even steps of ln(T - T_air)."""
        low, high = math.log(cool - self.air), math.log(hot - self.air)
        stops = [self.air + math.exp(high + (low - high) * step / parts) for step in range(parts + 1)]
        points, time = [(0.0, hot)], 0.0
        for before, after in pairwise(stops):
            middle = self.air + math.sqrt((before - self.air) * (after - self.air))
            mean = sum(weight / (self.transfer + self.radiation(t)) for weight,
                t in ((1 / 6, before), (2 / 3, middle), (1 / 6, after)))
            time += self.capacity / self.area * mean * (high - low) / parts
            points.append((time, after))
        return tuple(points)


def work_interpass_wait(
    w: Working, *, now: Fraction, limit: Fraction, length: Fraction, width: Fraction, thickness: Fraction,
    air: Fraction, transfer: Fraction,
    emissivity: Fraction, preheat: Fraction | None,
) -> None:
    """How long until the whole plate has cooled to the maximum interpass temperature.

    t = (m·c/A) ∫ dT / ((h + h_r)·(T − T_air)) from T_2 to T_1, h_r = ε·σ·(T + T_air)·(T² + T_air²), in kelvin: wait, s.
    m: mass, kg; c: specific heat, J/(kg·K); A: surface, m²; h: heat that the air takes, W/(m²·K); ε: emissivity; T_1:
    plate now, T_2: limit. Bi = (h + h_r)·(V/A)/λ; t_even = (b/2)²/(π²·a): time in which the width evens out, s.

    Valid for a Biot number up to 0.1 and a plate that is evenly warm. Raises `InputError` where the limit is not over
    the air, or the preheat is over the limit. Source: heat balance of a body of one temperature, from memory.

    >>> answer = INTERPASS_WAIT.answer(
    ...     now="500 degF", limit="350 degF", air="70 degF", emissivity="0", transfer="10 W/m2K",
    ... )
    >>> answer["wait"].text("us")  # by hand: 7850·480·0.00439 m / 10 · ln(430/280) = 710 s
    '11.8\xa0min'
    """
    _refuse_wait(limit, air, preheat)
    for name, letter, amount in (("now", "T_1", now), ("limit", "T_2", limit), ("air", "T_air", air)):
        w.given(name, letter, amount, TEMPERATURE, us=CELSIUS, si=CELSIUS)
    given, plate = _plate(w, length, width, thickness, air, transfer, emissivity)
    if now <= limit:
        w.value("wait", "Wait", 0, TIME, source=ENTERED, main=True)
        w.say("The plate is at {now}, not over the limit of {limit}. No wait is needed for it.")
    else:
        _wait(w, plate, now, limit, given)
    heat.judge_between_passes(w, "now", limit, "No pass before it has cooled.")
    heat.judge_interpass_limit(w, "limit", limit)
    _check_cold(w, now, air, preheat)
    w.warn("Measure before each pass, at the place your WPS names. The time only tells you when to measure again.")
    w.warn(heat.HOT)
    w.warn("Never quench a test plate in water or with wet rags to save time: it can harden the weld and crack it.")
    w.warn(heat.HELP_ONLY)


def _refuse_wait(limit: Fraction, air: Fraction, preheat: Fraction | None) -> None:
    if limit <= air:
        us, si = (show_as_written(air, TEMPERATURE, system) for system in SYSTEMS)
        raise InputError("limit", "Maximum interpass temperature",
            f"the plate never gets colder than the air; write more than {us} ({si})")
    if preheat is not None and preheat > limit:
        us, si = (show_as_written(limit, TEMPERATURE, system) for system in SYSTEMS)
        raise InputError("preheat", "Minimum preheat", f"no temperature meets it and the maximum; write at most {us} "
            f"({si}), and read your WPS again")


def _plate(
    w: Working, length: Fraction, width: Fraction, thickness: Fraction, air: Fraction, transfer: Fraction,
    emissivity: Fraction,
) -> tuple[_Given, CoolingPlate]:
    """The plate as symbols for the steps, and as numbers for the integral."""
    h = _declared(w, "transfer", "h", transfer, STILL_AIR)
    eps = _declared(w, "emissivity", "ε", emissivity, EMISSIVITY)
    l, b, t = (w.given(name, letter, amount, LENGTH) for name, letter,
        amount in (("length", "l", length), ("width", "b", width), ("thickness", "t", thickness)))
    volume = w.let("volume", "Steel in the plate", "V", VOLUME, l * b * t)
    area = w.let("area", "Surface that gives off heat, both faces and the edges", "A", AREA,
        2 * (l * b + l * t + b * t))
    mass = w.let("mass", "Mass of the plate", "m", MASS, w.fact(STEEL_DENSITY, "ρ") * volume,
        source=STEEL_DENSITY.source)
    c, lam = w.fact(SPECIFIC_HEAT_OF_STEEL, "c"), w.fact(CONDUCTIVITY_OF_STEEL, "λ")
    evens = w.let(
        "evens", "Time in which the plate evens out from the weld to its edges", "t_even", SECONDS,
        (b / 2) ** 2 / (PI**2 * _diffusivity(w, lam, c)), source=_EVENING, digits=2,
    )
    plate = CoolingPlate(
        capacity=float(STEEL_DENSITY.amount * volume.amount * c.amount), area=float(area.amount), air=float(air),
        transfer=float(transfer),  # type: ignore[operator]
        emissivity=float(emissivity),
    )
    return _Given(h, eps, volume, area, mass, c, lam, evens), plate


def _check_cold(w: Working, now: Fraction, air: Fraction, preheat: Fraction | None) -> None:
    """The other side: a plate that has cooled too far, and air that is too cold to weld in."""
    w.mention("freezing", heat.COLD_METAL)
    w.mention("coldest", heat.COLDEST_AIR)
    if preheat is not None:
        w.given("preheat", "T_min", preheat, TEMPERATURE)
        if now < preheat:
            w.stop("preheat", "The plate is at {now}, under the minimum preheat of {preheat}: warm it again before the "
                "next arc.", source=ENTERED)
        else:
            w.ok("preheat", "The plate is at {now}, not under the minimum preheat of {preheat}.", source=ENTERED)
    if now < heat.COLD_METAL.amount:
        w.stop("cold-metal", "The plate is at {now}, below {freezing}: preheat it before any arc.",
            source=heat.COLD_METAL.source)
    if air < heat.COLDEST_AIR.amount:
        w.stop("air", "The air is at {air}, below {coldest}: no welding there. Shelter and warm the place first.",
            source=heat.COLDEST_AIR.source)


@dataclass(frozen=True)
class _Given:
    """The symbols that the steps of the wait share."""

    h: Symbol
    eps: Symbol
    volume: Symbol
    area: Symbol
    mass: Symbol
    c: Symbol
    lam: Symbol
    evens: Symbol


def _diffusivity(w: Working, lam: Symbol, c: Symbol) -> Symbol:
    kind: Kind = STEEL_DENSITY.kind  # type: ignore[assignment]
    rho = Symbol("ρ", STEEL_DENSITY.amount, kind, kind.si, kind.si)
    return w.let("diffusivity", "How fast heat evens out in the steel", "a", DIFFUSIVITY, lam / (rho * c))


def _kelvin(w: Working, name: str, label: str, letter: str, part: Formula) -> Symbol:
    return w.let(name, label, letter, ABSOLUTE_TEMPERATURE,
        part + Symbol("273.15", Fraction("273.15"), ABSOLUTE_TEMPERATURE), source=_KELVIN, answer=False)


def _wait(w: Working, plate: CoolingPlate, now: Fraction, limit: Fraction, g: _Given) -> None:
    """The steps of the wait: by hand with radiation held fast, and by the integral; with what limits the picture."""
    hot, cool = float(now), float(limit)
    t1, t2, ta = (Symbol(letter, amount, TEMPERATURE, CELSIUS, CELSIUS) for letter,
        amount in (("T_1", now), ("T_2", limit), ("T_air", Fraction(plate.air))))
    # In °C for both systems, as the steps before; the answer is a difference, shown in the reader's own degrees.
    fall = w.let("fall", "The plate has to cool by", "ΔT", CELSIUS_FALL, t1 - t2, answer=False)
    w.let("lost", "Heat that has to leave", "E", AMOUNT_OF_HEAT, _si_mass(g.mass) * g.c * fall, source=_COOLING_LAW)
    sigma = w.fact(STEFAN_BOLTZMANN, "σ")
    ka = _kelvin(w, "air_kelvin", "Air, in kelvin", "K_air", ta)
    km = _kelvin(w, "mean_kelvin", "Halfway, in kelvin", "K_m", (t1 + t2) / 2)
    k1 = _kelvin(w, "hot_kelvin", "Plate now, in kelvin", "K_1", t1)
    hr = w.let("radiation", "Radiation, for each degree over the air, halfway", "h_r", HEAT_TRANSFER,
        g.eps * sigma * (km + ka) * (km**2 + ka**2), source=_COOLING_LAW)
    hot_hr = w.let("radiation_hot", "The same for the plate as it is now", "h_r1", HEAT_TRANSFER,
        g.eps * sigma * (k1 + ka) * (k1**2 + ka**2), source=_COOLING_LAW)
    w.let(
        "by_hand", "Wait by hand, radiation as it is halfway", "t_hand", TIME,
        _si_mass(g.mass) * g.c / (_si_area(g.area) * (g.h + hr)) * ln((t1 - ta) / (t2 - ta)), source=_COOLING_LAW,
        digits=3,
    )
    biot = w.let("biot", "Biot number, as hot as now", "Bi", NUMBER,
        (g.h + hot_hr) * _si_length(g.volume, g.area, w) / g.lam, source=_BIOT, digits=2)
    wait = plate.seconds(hot, cool)
    w.value("wait", "Wait", wait, TIME, source=_COOLING_LAW, symbol="t", main=True, digits=3)
    w.value("to_air", "Heat that the air takes", plate.given_to_air(hot, cool), AMOUNT_OF_HEAT, source=_COOLING_LAW,
        digits=3)
    w.value("radiated", "Heat that leaves as radiation", plate.radiated(hot, cool), AMOUNT_OF_HEAT, source=_COOLING_LAW,
        digits=3)
    w.mention("biot_limit", BIOT_LIMIT)
    w.say("The plate cools from {now} to {limit} in about {wait}, once it is evenly warm. Then measure again.")
    w.note("by-hand", "By hand, with radiation held as it is halfway, it comes to {by_hand}. The heat that has to "
        "leave is {lost}.", source=_COOLING_LAW)
    if biot.amount > BIOT_LIMIT.amount:
        w.caution("biot", "The Biot number {biot} is over {biot_limit}: the inside stays hotter than the surface, and "
            "the wait is longer than this.", source=_BIOT)
    else:
        w.note("biot", "The Biot number {biot} is not over {biot_limit}: through its thickness the plate has one "
            "temperature.", source=_BIOT)
    if wait < 3 * float(g.evens.amount):
        w.caution("uneven", "Heat needs time to spread from the weld to the edges: the unevenness falls to about a "
            "third in every {evens}. Within the first three of those the middle cools faster than this answer, since "
            "the cooler edges take its heat.",
            source=_EVENING,
        )
    w.note("contact", "Heat that goes into a bench, a clamp or a backing is left out. With good contact the plate is "
        "ready sooner.", source=_COOLING_LAW)
    w.draw(_wait_plot(plate, hot, cool, wait))


def _si_mass(mass: Symbol) -> Symbol:
    """In kg in both systems, since the heat units are SI in both."""
    return Symbol(mass.name, mass.amount, MASS, MASS.si, MASS.si)


def _si_area(area: Symbol) -> Symbol:
    return Symbol(area.name, area.amount, AREA, AREA.si, AREA.si)


def _si_length(volume: Symbol, area: Symbol, w: Working) -> Symbol:
    depth = w.let("depth", "Steel behind each unit of surface, V ÷ A", "L", LENGTH, volume / area, source=GEOMETRY)
    return Symbol(depth.name, depth.amount, LENGTH, LENGTH.si, LENGTH.si)


def _wait_plot(plate: CoolingPlate, hot: float, cool: float, wait: float) -> Plot:
    """The plate's temperature against time, on past the limit, with a dot to play along it."""
    beyond = plate.air + (cool - plate.air) * 0.75
    curve = plate.curve(hot, beyond)
    end = curve[-1][0]
    times = [end * step / (FRAMES - 1) for step in range(FRAMES)]
    frames = tuple(
        Frame(((time, temperature - hot),),
            (Amount(round(time / 60, 1) * 60, TIME, 3), " on: the plate is at ", Amount(temperature, TEMPERATURE, 3)))
        for time, temperature in ((time, _between(curve, time)) for time in times)
    )
    rows = tuple((time, _between(curve, time)) for time in (end * step / 8 for step in range(9)))
    limit: Phrase = (Amount(cool, TEMPERATURE), ": maximum interpass temperature")
    return Plot(
        "waiting", "The plate as it cools", (
            "Temperature of the plate against time. It starts at ", Amount(hot, TEMPERATURE), " and reaches ",
            Amount(cool, TEMPERATURE), " after ",
            Amount(wait, TIME, 3), ".",
        ), Axis("Time", TIME, -0.02 * end, end),
        Axis("Temperature", TEMPERATURE, plate.air, hot + 0.06 * (hot - plate.air)), (
            Curve(((0.0, cool), (end, cool)), limit, "limit"), Curve(curve, ("the plate",), "edge"),
            Mark((wait, cool), ("ready to measure again",), "ring"),
            Mark((0.0, hot), (), "dot", "now"),
        ), Table((Column("Time", TIME), Column("Temperature", TEMPERATURE)), rows),
        film=Film(("now",), frames, "See the plate cool", ("It takes ", Amount(end, TIME, 2), " in the shop.",), 9.0),
        tallest=150.0,
    )


def _between(curve: tuple[moving_arc.Point, ...], time: float) -> float:
    """The curve at a time, straight between its points."""
    for (before, hot), (after, cool) in pairwise(curve):
        if time <= after:
            break
    return hot + (cool - hot) * (time - before) / (after - before)


INTERPASS_WAIT = Calculator(
    id="interpass-wait",
    title="Waiting for the interpass temperature",
    question="How long until the plate is cool enough for the next pass?",
    page="heat-flow.md",
    work=work_interpass_wait,
    main=("now", "limit", "thickness", "air"),
    inputs=(
        Quantity("now", "Temperature of the plate now", TEMPERATURE, "500 degF", "-40 degF", "1500 degF",
            "Measured on the plate, once it has evened out.", "T_1", common=("400 degF", "500 degF", "600 degF")),
        Quantity("limit", "Maximum interpass temperature", TEMPERATURE, "350 degF", "32 degF", "1200 degF",
            "From your WPS.", "T_2", common=("250 degF", "350 degF", "500 degF"), takes="interpass_maximum"),
        Quantity("length", "Plate length", LENGTH, "7 in", "1 in", "240 in", "Along the weld.", "l",
            common=("7 in", "12 in"), takes="plate_length"),
        Quantity("width", "Plate width, both plates together", LENGTH, "12 in", "1 in", "240 in", "Across the weld.",
            "b", common=("6 in", "12 in"), takes="finished_width"),
        Quantity("thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "8 in", "Measured.", "t",
            common=("3/8 in", "1/2 in", "1 in")),
        Quantity("air", "Temperature of the air", TEMPERATURE, "70 degF", "-60 degF", "150 degF",
            "Around the plate, out of the sun.", "T_air"),
        Quantity("transfer", "Heat taken by the air", HEAT_TRANSFER, "10 W/m2K", "2 W/m2K", "300 W/m2K",
            "Still air about 5 to 25; a fan several times as much.", "h"),
        Quantity("emissivity", "Emissivity of the surface", NUMBER, "0.8", "0", "1",
            "Scaled or rusty steel about 0.8; bright ground steel far less.", "ε"),
        Quantity("preheat", "Minimum preheat", TEMPERATURE, "", "32 degF", "1200 degF",
            "Of the table or your WPS. Leave blank to leave it out.", "T_min", takes="preheat.least"),
    ),
)
