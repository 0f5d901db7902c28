"""Filling the groove: rods, passes, layers and arc time, and the travel speed read back from a finished bead.

Stage: welding the passes. The groove and its layers are plane geometry. What one rod leaves in the groove is the mass
balance of `calc.stages.rods`: rod mass, less the stub, times the deposition efficiency. That efficiency is a figure for
the whole rod, covering included. Many shop sums put it on the bare core wire, which counts too little metal; the guide
shows that count too, as the most rods to have at hand. The joint is judged by `calc.stages.joint`, the arc by
`calc.stages.machine`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import Amount, Calculator, Choice, InputError, Quantity, Working
from calc.core.formula import Symbol, tan
from calc.core.sources import ASME_IX, AWS_D11_2020, COMMON, ENTERED, Citation, Fact, Standing
from calc.core.units import (
    ANGLE,
    AREA,
    CURRENT,
    HEAT_INPUT,
    LENGTH,
    LINEAR_MASS,
    MASS,
    MASS_RATE,
    NUMBER,
    PERCENTAGE,
    SECOND,
    TIME,
    TRAVEL_SPEED,
    VOLTAGE,
    VOLUME,
    Number,
    parse,
    show,
    show_both,
)
from calc.show import scales
from calc.show.sliders import BEVEL, OPENING, THICKNESS
from calc.stages import joint
from calc.stages.current import ELECTRODES, LARGEST_LOW_HYDROGEN, LARGEST_ROOT, SIZES, judge_window
from calc.stages.groove import CAP_SHAPE, STEEL_DENSITY, cap_area
from calc.stages.heat import judge_heat_limit
from calc.stages.machine import judge_hand_speed, judge_rod_volts
from calc.stages.own import AMPS_BAND, IF_STATED, UNSTATED, VOLTS_BAND, judge_arc, judge_band, require_order
from calc.stages.passes_drawings import passes as draw_passes
from calc.stages.rods import ROD_MASS, RodRow, core_mass, net_yield, rod_mass as mass_of_rod, rod_row

BURN_TIME = TIME.shown_in(us=SECOND, si=SECOND)

HEAT_INPUT_FORMULA = Citation(ASME_IX, "QW-409.1", Standing.FROM_MEMORY, "No arc efficiency in it.")


@dataclass(frozen=True)
class RateRow:
    """How fast a class and size lays metal: the lowest and highest rate, and the currents they belong to."""

    electrode: str
    diameter: str
    low: str
    high: str
    amps: str

    source = Citation(None, "Handbook deposition rates", Standing.FROM_MEMORY, "We are not sure of this row.")

    @property
    def fact(self) -> Fact:
        """The row as an entry of the register."""
        size = self.diameter.replace(" in", "").replace("/", "-")
        low, high = (show(parse(rate, MASS_RATE), MASS_RATE, "si", 2).replace("\u00a0", " ")
            for rate in (self.low, self.high))
        return Fact(
            f"rate-{self.electrode.lower()}-{size}", f"Deposition rate, {self.electrode}, {self.diameter}", None, None,
            self.source,
            f"{self.low.replace(' lb/h', '')} to {self.high} ({low.replace(' kg/h', '')} to {high}) at {self.amps}",
        )


RATE_ROWS: tuple[RateRow, ...] = (
    RateRow("E7018", "1/8 in", "2.6 lb/h", "3.0 lb/h", "120 to 160 A"),
    RateRow("E7018", "5/32 in", "3.1 lb/h", "4.2 lb/h", "140 to 190 A"),
)

_TABLE_5_1 = Citation(AWS_D11_2020, "Table 5.1", Standing.READ, "Read in a reproduction. For prequalified WPSs.")
_TABLE_5_1_ROOT = Citation(
    AWS_D11_2020, "Table 5.1", Standing.READ, "Read in a reproduction; the order of the columns was lost in the text. "
    "For prequalified WPSs.",
)
ROOT_PASSES: tuple[Fact, ...] = tuple(
    Fact(f"root-pass-most-{position}", f"Maximum thickness of a root pass, {position}", parse(size, LENGTH), LENGTH,
        _TABLE_5_1_ROOT)
    for position, size in (("flat", "3/8 in"), ("horizontal", "5/16 in"), ("vertical", "1/2 in"),
        ("overhead", "5/16 in"))
)
SHORT_STUB = Fact("stub-least", "Stub under which the holder burns", parse("1 in", LENGTH), LENGTH, COMMON)
EFFICIENCY_LOW = Fact("efficiency-least", "Deposition efficiency under which a figure is doubted",
    parse("50 %", PERCENTAGE), PERCENTAGE, COMMON)
EFFICIENCY_HIGH = Fact("efficiency-most", "Deposition efficiency that no covered rod reaches",
    parse("90 %", PERCENTAGE), PERCENTAGE, COMMON)
HEAVIEST = Fact("rod-to-core-most", "A rod with its covering, against its core wire, maximum", Fraction(3), NUMBER,
    COMMON)
BURNS_SLOW = Fact("burn-off-least", "Rod melted in a minute, usual minimum", parse("6 in/min", TRAVEL_SPEED),
    TRAVEL_SPEED, COMMON)
BURNS_FAST = Fact("burn-off-most", "Rod melted in a minute, usual maximum", parse("20 in/min", TRAVEL_SPEED),
    TRAVEL_SPEED, COMMON)
STUB = Fact("stub-length", "Stub that is usually left in the holder", parse("2 in", LENGTH), LENGTH, COMMON)
FEW_RODS = Fact("rods-per-pass-low", "Rods to a pass on a test plate, usual minimum", Fraction(2), NUMBER,
    COMMON)
MANY_RODS = Fact("rods-per-pass-high", "Rods to a pass on a test plate, usual maximum", Fraction(3), NUMBER,
    COMMON)
LAYER = Fact("layer-thickness-most", "Maximum thickness of a fill pass with stick, all positions",
    parse("3/16 in", LENGTH), LENGTH, _TABLE_5_1)
THIN_BEAD = Fact("run-out-most", "Bead length for each length of rod melted, above which a bead is thin", Fraction(1),
    NUMBER, COMMON)
FAT_BEAD = Fact("run-out-least", "Bead length for each length of rod melted, below which a bead is heavy",
    Fraction(1, 4), NUMBER, COMMON)
TRAVEL_ANGLE = Fact("travel-angle-flat", "How far the rod leans back over the finished bead, flat, horizontal and "
    "overhead", None, None, COMMON, "5° to 15°")
TRAVEL_ANGLE_UP = Fact("travel-angle-up", "How far the rod points upward, vertical up", None, None, COMMON, "0° to 10°")
WORK_ANGLE_2G = Fact("work-angle-horizontal", "How far the rod points up at the upper plate in a horizontal groove",
    None, None, COMMON, "5° to 10°")
WEAVE = Fact("weave-most", "Maximum width of a weave, in core diameters", Fraction("2.5"), NUMBER, COMMON)
RESTART_LEAD = Fact("restart-lead", "How far ahead of the crater to strike for a restart", parse("1/2 in", LENGTH),
    LENGTH, COMMON)
FILL_BELOW = Fact("fill-below", "How far below the plate to leave the last fill layer", parse("1/16 in", LENGTH),
    LENGTH, COMMON)
COVER_OVER = Fact("cover-over-edge", "How far the cover pass melts over each edge of the groove",
    parse("1/16 in", LENGTH), LENGTH, COMMON)

FACTS = (
    TRAVEL_ANGLE, TRAVEL_ANGLE_UP, WORK_ANGLE_2G, WEAVE, RESTART_LEAD, FILL_BELOW, COVER_OVER,
    *(row.fact for row in RATE_ROWS),
    *ROOT_PASSES, SHORT_STUB, EFFICIENCY_LOW, EFFICIENCY_HIGH, HEAVIEST, BURNS_SLOW, BURNS_FAST, STUB, FEW_RODS,
    MANY_RODS, LAYER, THIN_BEAD, FAT_BEAD,
)


def rate_row(electrode: str, diameter: str) -> RateRow | None:
    """The band of deposition rates (mass a time) for a class and core diameter, or None where we hold none.

    >>> rate_row("E7018", "1/8 in").amps, rate_row("E6010", "1/8 in")
    ('120 to 160 A', None)
    """
    return next((row for row in RATE_ROWS if (row.electrode, row.diameter) == (electrode, diameter)), None)


# --- what one rod leaves ------------------------------------------------------


@dataclass(frozen=True)
class _Rod:
    """The symbols of one rod that both calculators build on; `weighed` says whether the reader gave its mass."""

    diameter: Symbol
    core: Symbol
    melted: Symbol
    deposit: Symbol
    volume: Symbol
    net_yield: Symbol
    yield_source: Citation
    density: Symbol
    mass: Symbol
    weighed: bool


def _one_rod(
    w: Working, *, electrode: str, diameter: str, rod_length: Fraction, stub: Fraction, efficiency: Fraction | None,
    rod_mass: Fraction | None,
) -> _Rod:
    """Mass balance of one rod: what of it melts, and what of that stays in the weld."""
    if stub >= rod_length:
        raise InputError("stub", "Stub", f"nothing of the rod is melted; write less than the rod's "
            f"{show_both(rod_length, LENGTH)}")
    row = rod_row(electrode)
    yield_source = row.efficiency_fact.source if efficiency is None else ENTERED
    d = w.given("diameter", "d", parse(diameter, LENGTH), LENGTH)
    whole = w.given("rod_length", "ℓ", rod_length, LENGTH)
    left = w.given("stub", "s", stub, LENGTH)
    rho = w.fact(STEEL_DENSITY, "ρ")
    if efficiency is None:
        eff = w.value("efficiency", "Deposition efficiency", row.efficiency_fact.amount, PERCENTAGE,
            source=row.efficiency_fact.source, symbol="E")
    else:
        eff = w.given("efficiency", "E", efficiency, PERCENTAGE)
    melted = w.let("melted", "Rod melted", "ℓ_m", LENGTH, whole - left)
    share = w.let("melted_share", "Share of the rod melted", "p", PERCENTAGE, melted / whole * 100)
    net = w.let("net_yield", "Share of a rod that ends in the weld", "y", PERCENTAGE, net_yield(eff, share),
        source=yield_source)
    core = w.let("core_mass", "Core wire of one rod, mass", "m_core", ROD_MASS, core_mass(d, whole, rho),
        source=STEEL_DENSITY.source)
    mass = _rod_mass(w, row, core, rod_mass)
    deposit = w.let("deposit", "Weld metal from one rod", "m_dep", ROD_MASS, mass * net / 100, source=_rod_source(w))
    volume = w.let("deposit_volume", "Weld metal from one rod, volume", "V_dep", VOLUME, deposit / rho,
        source=_rod_source(w))
    return _Rod(d, core, melted, deposit, volume, net, yield_source, rho, mass, rod_mass is not None)


def _rod_mass(w: Working, row: RodRow, core: Symbol, rod_mass: Fraction | None) -> Symbol:
    if rod_mass is None:
        covering = w.value(
            "covering", "Rod with covering against its core wire", row.covering_fact.amount, NUMBER,
            source=row.covering_fact.source, symbol="k",
        )
        return w.let("rod_mass", "One rod with its covering, mass", "m_rod", ROD_MASS, mass_of_rod(core, covering),
            source=row.covering_fact.source)
    if rod_mass < core.amount:
        raise InputError(
            "rod_mass", "Mass of one rod",
            f"{show_both(rod_mass, ROD_MASS)} is less than its core wire alone weighs; write at least "
            f"{show_both(core.amount, ROD_MASS)}",
        )
    return w.given("rod_mass", "m_rod", rod_mass, ROD_MASS)


# --- the passes -----------------------------------------------------------------


def work_passes(
    w: Working, *, thickness: Fraction, bevel_angle: Fraction, root_opening: Fraction, root_face: Fraction,
    cap_height: Fraction,
    length: Fraction, electrode: str, diameter: str, rod_length: Fraction, stub: Fraction, efficiency: Fraction | None,
    rod_mass: Fraction | None, run_out: Fraction, bead_area: Fraction | None, layer_thickness: Fraction,
    burn_time: Fraction, layer_most: Fraction | None,
) -> None:
    """How many rods, passes and layers a groove takes, and how long the arc burns.

    A = R·t + (t − f)²·tan β + 2/3·w·h: weld cross-section, m²; m = ρ·A·L: weld metal, kg; n = m / m_dep: rods;
    N = A / a: passes, a = V_dep / r the cross-section of one bead; n_z = t / z: layers; T_arc = n × T: arc time, s.
    t: thickness, R: root opening, f: root face, h: cap height, w: face width, L: length, r: bead length from one rod,
    z: layer, all in m; β: bevel angle of one plate; m_dep, V_dep: what one rod leaves, kg and m³; T: arc time of one
    rod, s.

    Valid for a V on backing and the classes of `calc.stages.rods`. Raises `InputError` for a root face over the
    thickness, no groove at all, a stub as long as the rod, or a rod lighter than its core. Source: plane geometry and a
    mass balance; limits of AWS D1.1:2020, Table 5.1 (read).

    >>> answer = PASSES.answer(thickness="3/8 in", root_opening="1/4 in", bevel_angle="22.5 deg", cap_height="0 in")
    >>> answer["weld_area"].text("us")  # by hand: 0.25 x 0.375 + 0.375² x tan 22.5°
    '0.152\xa0in²'
    """
    area = _groove(w, thickness, bevel_angle, root_opening, root_face, cap_height)
    run_length = w.given("length", "L", length, LENGTH)
    rod = _one_rod(
        w, electrode=electrode, diameter=diameter, rod_length=rod_length, stub=stub, efficiency=efficiency,
        rod_mass=rod_mass,
    )
    exact = _rods(w, rod, area, run_length)
    bead, run = _bead(w, rod, run_out, bead_area)
    beads = w.let("passes_exact", "Passes before rounding up", "N", NUMBER, area / bead)
    w.value("passes", "Passes", math.ceil(beads.amount), NUMBER, source=ENTERED, main=True)
    each = w.let("rods_per_pass", "Rods to a pass", "n_p", NUMBER, run_length / run, source=ENTERED, main=True,
        digits=3)
    _layers(w, thickness, layer_thickness, bead)
    burn = w.given("burn_time", "T", burn_time, BURN_TIME)
    w.let("arc_time", "Arc time for the joint", "T_arc", TIME, exact * burn, source=_rod_source(w), main=True, digits=3)
    rate = w.let("deposition_rate", "Weld metal deposited while the arc burns", "D", MASS_RATE, rod.deposit / burn,
        source=_rod_source(w), digits=3)
    ratio = w.let("run_out_ratio", "Bead length for each length of rod melted", "q", NUMBER, run / rod.melted,
        source=ENTERED, digits=3)
    w.draw(draw_passes(w))
    spare = "" if rod.weighed else "; have {rods_most} at hand"
    w.say(
        "Rods for this joint: about {rods}" + spare + ". With one rod to {run_out} of bead: passes {passes}, "
        "rods to a pass {rods_per_pass}, layers {layers}, arc time {arc_time}."
    )
    joint.judge_joint(w, 2 * bevel_angle, root_opening)
    joint.judge_root_face(w, root_face)
    joint.judge_cap(w, cap_height)
    _check_layer(w, layer_thickness, layer_most)
    _check_bead(w, bead.amount, area.amount)
    _check_whole_joint(w, electrode, parse(diameter, LENGTH))
    _note_rods_per_pass(w, each.amount)
    _check_run_out(w, ratio.amount)
    _check_rod(w, rod, stub, efficiency)
    _check_burn_off(w, rod.melted.amount / burn_time)
    _check_rate(w, electrode, diameter, rate.amount)
    w.warn("Slag flies hot and sharp when you chip and brush. Keep safety glasses on under the welding helmet, and "
        "keep people away from your side.")
    w.warn("The plate stays hot between passes and the rod stub is hotter: wear gloves, use a stub can, and keep wet "
        "gloves and bare hands out of the circuit.")
    w.warn("The order, size and width of your passes belong to the WPS. Where its limits differ from these, use its "
        "limits.")


def _rods(w: Working, rod: _Rod, area: Symbol, run_length: Symbol) -> Symbol:
    """The weld metal of the joint and the rods for it; returns the rods before rounding up."""
    weld = w.let("weld_mass", "Weld metal for the joint, mass", "m", MASS, rod.density * area * run_length,
        source=STEEL_DENSITY.source)
    w.let("rods_mass", "Rods to buy for the joint, mass", "m_buy", MASS, weld / (rod.net_yield / 100),
        source=rod.yield_source)
    exact = w.let("rods_exact", "Rods before rounding up", "n", NUMBER, weld / rod.deposit, source=_rod_source(w))
    w.value("rods", "Rods for the joint", math.ceil(exact.amount), NUMBER, source=_rod_source(w), main=True)
    if not rod.weighed:
        _most_rods(w, rod, weld)
    return exact


def _most_rods(w: Working, rod: _Rod, weld: Symbol) -> None:
    """The cautious count for a rod nobody has weighed: as if the covering brought no metal at all."""
    bare = w.let(
        "bare_deposit", "Weld metal from one rod, were the efficiency on the bare core", "m_bare", ROD_MASS,
        rod.core * rod.net_yield / 100,
        source=rod.yield_source, note="Too little: the efficiency is a figure for the rod with its covering.",
    )
    most = w.let("rods_bare", "Rods, counted on the bare core", "n_bare", NUMBER, weld / bare, source=rod.yield_source)
    w.value("rods_most", "Rods to have at hand", math.ceil(most.amount), NUMBER, source=rod.yield_source, main=True)


def _rod_source(w: Working) -> Citation:
    """The weakest figure that a count of rods rests on: the rod mass where it was not weighed, else the efficiency."""
    sources = {value.name: value.source for value in w.values}
    return sources.get("covering") or sources.get("efficiency") or ENTERED


def _groove(
    w: Working, thickness: Fraction, bevel_angle: Fraction, root_opening: Fraction, root_face: Fraction,
    cap_height: Fraction,
) -> Symbol:
    """The cross-section to fill, cap over the face width included."""
    if root_face > thickness:
        raise InputError(
            "root_face", "Root face",
            f"{show_both(root_face, LENGTH)} is more than the plate thickness; write at most {show_both(thickness, LENGTH)}",
        )
    t = w.given("thickness", "t", thickness, LENGTH)
    beta = w.given("bevel_angle", "β", bevel_angle, ANGLE)
    opening = w.given("root_opening", "R", root_opening, LENGTH)
    f = w.given("root_face", "f", root_face, LENGTH)
    h = w.given("cap_height", "h", cap_height, LENGTH)
    face = w.let("face_width", "Face width of the groove", "w", LENGTH, opening + 2 * (t - f) * tan(beta),
        as_fraction=True)
    groove = w.let("groove_area", "Area of the groove, no reinforcement", "A_g", AREA,
        opening * t + (t - f) ** 2 * tan(beta))
    if not groove.amount:
        raise InputError(
            "root_opening", "Root opening",
            "with no root opening and no bevel there is no groove to fill; write more than 0 in (0 mm) or set a bevel "
            "angle above 0°",
        )
    cap = w.let("cap_area", "Area of the reinforcement", "A_cap", AREA, cap_area(face, h), source=CAP_SHAPE)
    return w.let("weld_area", "Weld cross-section", "A", AREA, groove + cap)


def _bead(w: Working, rod: _Rod, run_out: Fraction, bead_area: Fraction | None) -> tuple[Symbol, Symbol]:
    """The cross-section of one bead and the bead length of one rod: either gives the other."""
    if bead_area is None:
        run = w.given("run_out", "r", run_out, LENGTH)
        return w.let("bead_area", "Cross-section of one bead", "a", AREA, rod.volume / run, source=_rod_source(w)), run
    bead = w.given("bead_area", "a", bead_area, AREA)
    return bead, w.let("run_out", "Bead length from one rod", "r", LENGTH, rod.volume / bead, source=_rod_source(w))


def _layers(w: Working, thickness: Fraction, layer_thickness: Fraction, bead: Symbol) -> None:
    """Equal layers of the groove, and what the first and the last of them take."""
    known = {name: w.known[name] for name in ("bevel_angle", "root_opening", "root_face")}
    beta, opening, f = (Symbol(letter, known[name].amount, known[name].kind) for name, letter in zip(known, "βRf"))
    t = Symbol("t", thickness, LENGTH)
    z = w.given("layer_thickness", "z", layer_thickness, LENGTH)
    w.let("layers_exact", "Layers before rounding up", "N_z", NUMBER, t / z, answer=False)
    count = w.value("layers", "Layers under the reinforcement", math.ceil(thickness / layer_thickness), NUMBER,
        source=ENTERED, symbol="n_z", main=True)
    depth = w.let("layer_depth", "Each layer, made equal", "z_1", LENGTH, t / count, as_fraction=True)
    first = opening * depth
    if depth.amount > f.amount:
        first = first + (depth - f) ** 2 * tan(beta)
    first_area = w.let("first_layer_area", "First layer, cross-section", "A_1", AREA, first)
    below = opening * (t - depth)
    if thickness - depth.amount > f.amount:
        below = below + (t - depth - f) ** 2 * tan(beta)
    below_area = w.let("below_area", "All layers but the last, cross-section", "A_b", AREA, below, answer=False)
    groove = Symbol("A_g", w.known["groove_area"].amount, AREA)
    last_area = w.let("last_layer_area", "Last layer under the reinforcement, cross-section", "A_n", AREA,
        groove - below_area)
    rho, run_length = Symbol("ρ", STEEL_DENSITY.amount, STEEL_DENSITY.kind), Symbol("L", w.known["length"].amount,
        LENGTH)
    for which, label, layer in (
        ("first", "First layer", first_area), ("last", "Last layer under the reinforcement", last_area),
    ):
        mark = "1" if which == "first" else "n"
        w.let(f"{which}_layer_mass", f"{label}, weld metal", f"m_{mark}", ROD_MASS, rho * layer * run_length,
            source=STEEL_DENSITY.source)
        w.let(f"{which}_layer_beads", f"{label}, in beads of this size", f"b_{mark}", NUMBER, layer / bead,
            source=_rod_source(w), digits=2)


def _check_bead(w: Working, bead: Number, area: Number) -> None:
    if bead > area:
        w.stop("bead-size", "One bead of {bead_area} is larger than the whole weld of {weld_area}: no pass fills a "
            "groove and its reinforcement. Measure a bead.",
            source=ENTERED,
        )


def _check_whole_joint(w: Working, electrode: str, core: Fraction) -> None:
    """The rod for every pass of the joint, the root with it; the position is not asked, so low-hydrogen over 5/32 in is
    a caution."""
    w.mention("largest_root", LARGEST_ROOT)
    w.mention("largest_low_hydrogen", LARGEST_LOW_HYDROGEN)
    if core > LARGEST_ROOT.amount:
        w.stop("rod-size", "{diameter} is too large for the root pass: the maximum is {largest_root}. Plan the root "
            "with a smaller rod.",
            source=LARGEST_ROOT.source,
        )
    elif electrode == "E7018" and core > LARGEST_LOW_HYDROGEN.amount:
        w.caution("rod-size", "{diameter} of a low-hydrogen rod is too large for vertical and overhead, where the "
            "maximum is {largest_low_hydrogen}.",
            source=LARGEST_LOW_HYDROGEN.source,
        )
    else:
        w.ok("rod-size", "{diameter} is not too large for the root pass: the maximum is {largest_root}.",
            source=LARGEST_ROOT.source)


def _check_rod(w: Working, rod: _Rod, stub: Fraction, efficiency: Fraction | None) -> None:
    """What was said of the rod: weighed or not, its stub, its yield."""
    if not rod.weighed:
        w.note("rod-mass", "The rod mass of {rod_mass} is a rough figure. Weigh ten rods and put in a tenth. Until "
            "then have {rods_most} rods at hand: that count takes no metal from the covering.", source=_rod_source(w),
        )
    else:
        _check_mass(w, rod)
    _check_stub(w, stub)
    _check_efficiency(w, efficiency)


def _check_mass(w: Working, rod: _Rod) -> None:
    w.mention("heaviest", HEAVIEST)
    if rod.mass.amount > HEAVIEST.amount * rod.core.amount:
        w.caution("rod-mass", "{rod_mass} is more than {heaviest} times the core wire of {core_mass}: no covering "
            "weighs so much. Weigh ten and divide.",
            source=HEAVIEST.source,
        )
    else:
        w.note("rod-mass", "The count goes by a rod that you weighed: {rod_mass} each.", source=ENTERED)


def _check_efficiency(w: Working, efficiency: Fraction | None) -> None:
    if efficiency is None:
        return
    w.mention("efficiency_low", EFFICIENCY_LOW)
    w.mention("efficiency_high", EFFICIENCY_HIGH)
    if not EFFICIENCY_LOW.amount <= efficiency <= EFFICIENCY_HIGH.amount:
        w.caution("efficiency", "{efficiency} is outside {efficiency_low} to {efficiency_high}: the covering becomes "
            "slag, and no covered rod yields so much or so little.", source=EFFICIENCY_HIGH.source,
        )


def _check_burn_off(w: Working, rate: Number) -> None:
    """How fast the rod melts, by whatever gave its time."""
    w.known["burned"] = Amount(rate, TRAVEL_SPEED, 3)
    w.mention("burns_slow", BURNS_SLOW)
    w.mention("burns_fast", BURNS_FAST)
    if not BURNS_SLOW.amount <= rate <= BURNS_FAST.amount:
        side = "under" if rate < BURNS_SLOW.amount else "over"
        w.caution("burn-off", f"{{burned}} of rod melted is {side} the {{burns_slow}} to {{burns_fast}} that are "
            f"usual. Time a rod again.", source=COMMON)


def _note_rods_per_pass(w: Working, rods: Fraction | float) -> None:
    w.mention("few", FEW_RODS)
    w.mention("many", MANY_RODS)
    if rods < FEW_RODS.amount:
        w.note("rods-per-pass", "{rods_per_pass} rods to a pass is under the {few} to {many} that are usual on a "
            "test plate. Long thin beads suit stringers; they make more passes, and more slag to "
            "clean.", source=FEW_RODS.source,
        )
    elif rods > MANY_RODS.amount:
        w.note("rods-per-pass", "{rods_per_pass} rods to a pass is over the {few} to {many} that are usual on a "
            "test plate. Each change of rod is a restart to tie in: a long joint needs them, a short plate does "
            "not.", source=MANY_RODS.source,
        )
    else:
        w.note("rods-per-pass", "{rods_per_pass} rods to a pass is within the {few} to {many} that are usual on a "
            "test plate.", source=FEW_RODS.source)


def _check_run_out(w: Working, ratio: Fraction | float) -> None:
    w.mention("thin", THIN_BEAD)
    w.mention("fat", FAT_BEAD)
    if ratio > THIN_BEAD.amount:
        w.caution("run-out-thin", "The bead is longer than the rod melted for it: thin and fast. Look for a ropy bead "
            "that has not melted into the sides.", source=THIN_BEAD.source)
    elif ratio < FAT_BEAD.amount:
        w.caution("run-out-heavy", "Each length of rod gives only {run_out_ratio} of its length in bead: heavy and "
            "slow. Slag can run ahead of the arc and stay under the metal.", source=FAT_BEAD.source,
        )
    else:
        w.ok("run-out", "{run_out_ratio} of bead for each length of rod melted is neither thin (over {thin}) nor heavy "
            "(under {fat}).", source=THIN_BEAD.source)


def _check_layer(w: Working, layer_thickness: Fraction, own: Fraction | None) -> None:
    """One layer by the WPS's own maximum, then by that of a prequalified WPS: what only the second is under is a
    caution on the WPS."""
    judge_band(w, "layer-wps", "layer_thickness", None, own, figure="A layer of {layer_thickness}",
        over="Plan thinner layers.")
    w.mention("layer_most", LAYER)
    if own is not None and LAYER.amount < layer_thickness <= own:
        w.caution("layer", "A layer of {layer_thickness} is thicker than {layer_most}, the maximum of a fill pass in a "
            "prequalified WPS. Ask whether your WPS was qualified with its own. Thick layers trap slag.",
            source=LAYER.source)
    elif layer_thickness > LAYER.amount:
        w.stop("layer", "A layer of {layer_thickness} is thicker than {layer_most}, the maximum of a fill pass. Thick "
            "layers trap slag.", source=LAYER.source)
    else:
        w.ok("layer", "A layer of {layer_thickness} is not over {layer_most}, the maximum of a fill pass.",
            source=LAYER.source)


def _check_stub(w: Working, stub: Fraction) -> None:
    w.mention("stub_usual", STUB)
    w.mention("stub_short", SHORT_STUB)
    if stub > STUB.amount:
        w.caution("stub", "A stub of {stub} is longer than the usual {stub_usual}: you throw metal away, and make more "
            "restarts.", source=STUB.source)
    elif stub < SHORT_STUB.amount:
        w.caution("stub", "A stub of {stub} is under {stub_short}: the holder grips the bare end, and its jaws burn.",
            source=SHORT_STUB.source)
    else:
        w.ok("stub", "A stub of {stub} is not longer than the usual {stub_usual}. Stop before the holder or the "
            "stamped class burns.", source=STUB.source)


def _check_rate(w: Working, electrode: str, diameter: str, rate: Fraction | float) -> None:
    row = rate_row(electrode, diameter)
    if row is None:
        return
    low, high = parse(row.low, MASS_RATE), parse(row.high, MASS_RATE)
    w.value("rate_low", f"Usual deposition rate at {row.amps}, minimum", low, MASS_RATE, source=row.source)
    w.value("rate_high", f"Usual deposition rate at {row.amps}, maximum", high, MASS_RATE, source=row.source)
    band = f"the {{rate_low}} to {{rate_high}} of {electrode}, {diameter}, at {row.amps}"
    if low <= rate <= high:
        w.ok("deposition-rate", f"{{deposition_rate}} is within {band}.", source=row.source)
    else:
        side = "under" if rate < low else "over"
        w.caution("deposition-rate", f"{{deposition_rate}} is {side} {band}. Time a rod again, and check the amperage.",
            source=row.source)


_ROD_INPUTS = (
    Choice("electrode", "Electrode class", ELECTRODES, "E7018", "Printed on the rod near the bare end."),
    Choice("diameter", "Core diameter", SIZES, "1/8 in", "The bare wire, not the covering.", "d"),
    Quantity("rod_length", "Rod length", LENGTH, "14 in", "6 in", "24 in", "A new rod, end to end.", "ℓ",
        common=("12 in", "14 in", "18 in")),
)
_YIELD_INPUTS = (
    Quantity(
        "efficiency", "Deposition efficiency", PERCENTAGE, "", "30 %", "100 %",
        "Metal left in the weld, of the rod mass melted, stub not counted. Leave blank for the figure of the class.",
        "E",
    ),
    Quantity(
        "rod_mass", "Mass of one rod", ROD_MASS, "", "0.1 oz", "2 lb",
        "With its covering. Weigh ten dry rods and put in a tenth. Leave blank for a rough figure.", "m_rod",
    ),
)

PASSES = Calculator(
    id="passes",
    title="Rods, passes and layers",
    question="How many rods, passes and layers does my groove take, and how long does the arc burn?",
    page="passes.md",
    work=work_passes,
    main=("thickness", "root_opening", "electrode", "diameter"),
    inputs=(
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "3 in",
            "Measure it; do not trust the tag.", "t", common=("1/4 in", "3/8 in", "1/2 in", "3/4 in", "1 in"),
            slide=THICKNESS,
        ),
        Quantity("bevel_angle", "Bevel angle, each plate", ANGLE, "22.5 deg", "0 deg", "60 deg",
            "From square, one plate.", "β", common=("22.5 deg", "30 deg"), slide=BEVEL),
        Quantity(
            "root_opening", "Root opening", LENGTH, "1/4 in", "0 in", "1 in",
            "The gap between the plates at the backing.", "R", common=("3/16 in", "1/4 in", "3/8 in"), slide=OPENING,
        ),
        Quantity("root_face", "Root face", LENGTH, "0 in", "0 in", "3 in",
            "The flat left at the root edge. None on most backed tests.", "f"),
        Quantity("cap_height", "Height of the reinforcement", LENGTH, "1/16 in", "0 in", "1/2 in",
            "How far the finished weld face stands above the plate.", "h"),
        Quantity("length", "Length of the weld", LENGTH, "7 in", "1/2 in", "120 in", "Along the joint, end to end.",
            "L", takes="plate_length"),
        *_ROD_INPUTS,
        Quantity("stub", "Stub", LENGTH, "2 in", "0 in", "20 in", "What is left when you change the rod.", "s"),
        *_YIELD_INPUTS,
        Quantity(
            "run_out", "Bead length from one rod", LENGTH, "3 in", "1/2 in", "48 in",
            "Lay one rod on scrap and measure. Short for a weave, long for stringers.", "r",
            common=("3 in", "6 in", "8 in"),
        ),
        Quantity(
            "bead_area", "Cross-section of one bead", AREA, "", "0.005 in2", "1 in2",
            "If you know it. Leave blank to take it from the bead length; filled in, it is used instead.", "a",
        ),
        Quantity("layer_thickness", "Thickness of a layer", LENGTH, "1/8 in", "1/16 in", "1/2 in",
            "How much one layer raises the weld.", "z"),
        Quantity("burn_time", "Arc time of one rod", BURN_TIME, "55 s", "10 s", "600 s",
            "From striking to the stub. Time a few and take the middle one.", "T"),
        Quantity("layer_most", "Maximum thickness of a layer in your WPS", LENGTH, "", "1/16 in", "1/2 in", IF_STATED,
            limit_of=("layer",)),
    ),
)


# --- the speed ------------------------------------------------------------------


def work_travel_speed(
    w: Working, *, electrode: str, diameter: str, rod_length: Fraction, stub: Fraction, bead_length: Fraction,
    time: Fraction,
    burn_rate: Fraction | None, efficiency: Fraction | None, rod_mass: Fraction | None, slowest: Fraction | None,
    fastest: Fraction | None, volts: Fraction | None, amps: Fraction | None, most_heat: Fraction | None,
    volts_low: Fraction | None, volts_high: Fraction | None, amps_low: Fraction | None, amps_high: Fraction | None,
) -> None:
    """How fast the arc traveled over a finished bead, how much bead a rod made, and how large that bead is.

    S = L / T: travel speed, m/s; B = ℓ_m / T: rod melted in a time, m/s; q = L / ℓ_m: bead for each length of rod
    melted; a = V_dep / L: cross-section of the bead, m²; H = V·I / S: heat input, J/m, which US codes write 60·V·A /
    (1000·in/min) in kJ/in. L: bead length, m; T: arc time, s; ℓ_m: rod melted, m; V_dep: weld metal of one rod, m³; V:
    volts; I: current, A.

    Valid for one rod of the classes of `calc.stages.rods`. Raises `InputError` for speeds that contradict each other,
    for half of what heat input needs, and as `work_passes` does for the rod. Source: a mass balance; ASME IX, QW-409.1,
    from memory.

    >>> answer = TRAVEL.answer(bead_length="6 in", time="60 s", volts="24 V", amps="125 A")
    >>> answer["heat_input"].text("us")  # 60·24·125/6000
    '30\xa0kJ/in'
    """
    require_order(slowest, fastest, TRAVEL.input("slowest"))
    _refuse_half(volts, amps, most_heat)
    rod = _one_rod(
        w, electrode=electrode, diameter=diameter, rod_length=rod_length, stub=stub, efficiency=efficiency,
        rod_mass=rod_mass,
    )
    bead = w.given("bead_length", "L", bead_length, LENGTH)
    took = _time(w, rod, time, burn_rate)
    speed = w.let("travel_speed", "Travel speed", "S", TRAVEL_SPEED, bead / took, source=ENTERED, main=True)
    ratio = w.let("run_out_ratio", "Bead length for each length of rod melted", "q", NUMBER, bead / rod.melted,
        source=ENTERED, main=True, digits=3)
    area = w.let("bead_area", "Cross-section of the bead", "a", AREA, rod.volume / bead, source=_rod_source(w),
        main=True)
    w.let("deposition_rate", "Weld metal deposited while the arc burns", "D", MASS_RATE, rod.deposit / took,
        source=_rod_source(w), digits=3)
    w.let("bead_mass", "Weld metal for each length of bead", "m_L", LINEAR_MASS, rod.density * area,
        source=_rod_source(w), digits=3)
    heat = _heat(w, speed, volts, amps)
    told = " The heat input is {heat_input}." if heat else ""
    w.say("Your travel speed was {travel_speed}: {bead_length} of bead from {melted} of rod, a bead of "
        "{bead_area}." + told)
    _check_run_out(w, ratio.amount)
    judge_band(w, "speed-slowest", "travel_speed", slowest, None)
    judge_band(w, "speed-fastest", "travel_speed", None, fastest)
    w.draw(scales.travel(w))
    judge_hand_speed(w, "travel_speed", speed.amount)
    _check_burn_off(w, rod.melted.amount / took.amount)
    if heat:
        own_amps = amps_low, amps_high
        judge_arc(w, volts=(volts_low, volts_high), amps=own_amps)
        judge_rod_volts(w, "volts", volts, electrode, rod.diameter)
        judge_window(w, electrode, diameter, amps, own=own_amps != UNSTATED)
        if most_heat is not None:
            judge_heat_limit(w, "heat_input", most_heat)
    if rod.weighed:
        _check_mass(w, rod)
    else:
        w.note("rod-mass", "The bead's size goes by a rough rod mass of {rod_mass}. Weigh ten rods and put in a "
            "tenth.", source=_rod_source(w))
    _check_efficiency(w, efficiency)
    w.warn("The person who times you needs a welding shade too, or must look away. Measure the bead with gloves on: it "
        "is hot.")
    w.warn("Travel speed, amperage, voltage and heat input have limits in your WPS. Those count, not these.")


def _time(w: Working, rod: _Rod, time: Fraction, burn_rate: Fraction | None) -> Symbol:
    """The arc time, as measured or from the burn-off rate; either gives the other."""
    if burn_rate is None:
        took = w.given("time", "T", time, BURN_TIME)
        w.let("burn_rate", "Rod melted in a minute", "B", TRAVEL_SPEED, rod.melted / took, source=ENTERED)
        return took
    rate = w.given("burn_rate", "B", burn_rate, TRAVEL_SPEED)
    return w.let("time", "Time, from the burn-off rate", "T", BURN_TIME, rod.melted / rate, source=ENTERED)


def _heat(w: Working, speed: Symbol, volts: Fraction | None, amps: Fraction | None) -> Symbol | None:
    """The heat input H, where both voltage and current were measured."""
    if volts is None or amps is None:
        return None
    u, i = w.given("volts", "V", volts, VOLTAGE), w.given("amps", "I", amps, CURRENT)
    return w.let("heat_input", "Heat input", "H", HEAT_INPUT, u * i / speed, source=HEAT_INPUT_FORMULA, main=True)


def _refuse_half(volts: Fraction | None, amps: Fraction | None, most_heat: Fraction | None) -> None:
    """Heat input needs voltage and amperage. Raises `InputError` on the one that is missing."""
    for name, label, value, other, example in (
        ("volts", "Arc voltage", volts, amps, "in V, as in 22 V"),
        ("amps", "Amperage", amps, volts, "in A, as in 120 A"),
    ):
        if value is None and (other is not None or most_heat is not None):
            raise InputError(name, label, f"heat input needs both voltage and amperage; write it {example}")


TRAVEL = Calculator(
    id="travel-speed",
    title="Travel speed from a finished bead",
    question="What was my travel speed, how much bead did a rod make, and how large is that bead?",
    page="technique.md",
    work=work_travel_speed,
    main=("bead_length", "time", "stub"),
    inputs=(
        *_ROD_INPUTS,
        Quantity("stub", "Stub after this bead", LENGTH, "2 in", "0 in", "20 in",
            "What is left of the rod when you stop.", "s"),
        Quantity("bead_length", "Bead length", LENGTH, "6 in", "1/4 in", "48 in", "From start to crater, one rod.",
            "L"),
        Quantity("time", "Arc time", BURN_TIME, "60 s", "2 s", "600 s", "From striking to the crater.", "T"),
        Quantity(
            "burn_rate", "Burn-off rate", TRAVEL_SPEED, "", "1 in/min", "60 in/min",
            "Rod melted in a minute. Filled in, the time is worked out from it; the arc time above is then not used.",
            "B",
        ),
        *_YIELD_INPUTS,
        Quantity("slowest", "Minimum travel speed", TRAVEL_SPEED, "", "0.5 in/min", "60 in/min",
            "If your WPS states one.", "S_low", takes="travel_low"),
        Quantity("fastest", "Maximum travel speed", TRAVEL_SPEED, "", "0.5 in/min", "60 in/min",
            "If your WPS states one.", "S_high", takes="travel_high"),
        Quantity("volts", "Arc voltage", VOLTAGE, "", "10 V", "50 V", "Measured while welding. For the heat input.",
            "V"),
        Quantity("amps", "Amperage", CURRENT, "", "10 A", "600 A", "Measured while welding. For the heat input.", "I"),
        Quantity("most_heat", "Maximum heat input", HEAT_INPUT, "", "1 kJ/in", "200 kJ/in", "If your WPS states one.",
            "H_max", takes="heat_most"),
        *VOLTS_BAND, *AMPS_BAND,
    ),
)
