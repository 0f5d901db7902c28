"""The guided bend: how hard a specimen of this thickness is bent on this plunger, and what the rule intends.

Stage: bending. The outer-fibre elongation follows from the bent arc; the jig
figures come from tables. Rules of different documents are data, chosen by name.
The load of the bend and the spring-back follow from plastic bending of a plain
rectangular bar; both are marked as estimates.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import Amount, Calculator, Choice, InputError, Option, Quantity, Working
from calc.core.formula import PI, Symbol, cos, sin
from calc.core.sources import ASME_IX, AWS_D11, COMMON, ENTERED, ISO_5173, OD1651, PHYSICS, Citation, Fact, Standing
from calc.core.units import (
    ANGLE,
    FORCE,
    LENGTH,
    MOMENT,
    NUMBER,
    PERCENTAGE,
    PRESSURE,
    STRESS,
    SYSTEMS,
    parse,
    show,
    show_as_written,
)
from calc.later import Module
from calc.show import scales
from calc.show.sliders import BEND_ANGLE as ANGLE_SLIDE, PLUNGER, SPECIMEN
from calc.stages.steels import STEELS, YIELD_MEANT, Steel, SteelChoice

drawings = Module("calc.stages.bend_drawings")

JIG_FIGURE = Citation(ASME_IX, "Figure QW-466.1", Standing.READ)
JIG_BY_YIELD = Citation(
    AWS_D11, "Figure 4.13", Standing.FROM_MEMORY,
    "The figure number differs between editions. Its first and last rows have the sizes of ASME IX, Figure QW-466.1, "
    "which we read.",
)

ELONGATION_RULE = Fact(
    "bend-elongation-formula", "Specimen thickness from plunger diameter and elongation", None, None, JIG_FIGURE,
    "t = A × elongation ÷ (100 − elongation)",
)
STANDARD_THICKNESS = Fact(
    "bend-specimen-thickness", "Specimen thickness that the jig is made for", parse("3/8 in", LENGTH), LENGTH,
    JIG_FIGURE,
)
PLATE_UNDER = Fact(
    "plate-under", "How far a mill may deliver plate under its size", parse("0.01 in", LENGTH), LENGTH,
    Citation(None, "ASTM A6, thickness of plate", Standing.FROM_MEMORY),
)
PLUNGER_RATIO = Fact(
    "bend-plunger-ratio", "Plunger diameter, in specimen thicknesses, for mild steel", Fraction(4), NUMBER, JIG_FIGURE,
)
OPENING_CLEARANCE = Fact(
    "bend-opening-clearance", "Clearance of the shoulders: jig opening less plunger less two thicknesses",
    parse("1/8 in", LENGTH), LENGTH, JIG_FIGURE,
)
ROLLER = Fact(
    "bend-roller", "Rollers that may stand in for the shoulders, diameter", parse("1-1/2 in", LENGTH), LENGTH,
    JIG_FIGURE,
)
OPENING_WIDEST = Citation(ISO_5173, "plunger and rollers", Standing.FROM_MEMORY, "Between d + 2t and d + 3t.")
JACK_PRESSURE = Fact(
    "jack-pressure", "Oil pressure that hand jacks and small presses are commonly rated to",
    parse("10000 psi", PRESSURE), PRESSURE, COMMON,
)
BEND_ANGLE = Fact(
    "bend-angle", "How far a guided-bend specimen is bent", None, None, Citation(OD1651, "page 94", Standing.READ),
    "180°, to a U",
)

PLASTIC_BENDING = Citation(PHYSICS, "plastic bending of a rectangular bar", Standing.FROM_MEMORY)
ELASTIC_RECOVERY = Citation(PHYSICS, "elastic recovery of a bent bar that does not harden", Standing.FROM_MEMORY)
BAND_ASSUMED = Citation(
    None, "Band assumed by this guide: friction, the shortening lever and hardening of the metal are not worked out",
    Standing.COMMON_PRACTICE,
)
A36 = Citation(None, "Secondary tables of ASTM A36", Standing.SECONDARY)
A36_TENSILE_LOW = Fact("a36-tensile-low", "Minimum tensile strength of A36 plate", parse("58 ksi", STRESS), STRESS, A36)
A36_TENSILE_HIGH = Fact(
    "a36-tensile-high", "Maximum tensile strength of A36 plate", parse("80 ksi", STRESS), STRESS, A36,
)
ELASTIC_MODULUS = Fact(
    "steel-elastic-modulus", "Elastic modulus of steel", parse("29000 ksi", STRESS), STRESS,
    Citation(None, "Handbook figure for carbon steel", Standing.FROM_MEMORY),
)
LOAD_BAND_LOW = Fact(
    "bend-load-band-low", "Low end of the band around the bending load", Fraction(7, 10), NUMBER, BAND_ASSUMED,
)
LOAD_BAND_HIGH = Fact(
    "bend-load-band-high", "High end of the band around the bending load", Fraction(3, 2), NUMBER, BAND_ASSUMED,
)
TOO_HARD, TOO_WIDE = 2, 2
"""Bent to more than twice what the rule intends, or over more than twice the jig opening: no longer that test. Our
judgement, no source.
"""
HALF_TURN = Fraction(180)
ELASTIC_LIMIT = Fraction(1, 2)
"""Above this elastic ratio the bar has not begun to yield, and the recovery formula says nothing."""


@dataclass(frozen=True)
class JigRow:
    """A row of the jig table by yield strength: which plunger for a base metal up to this yield."""

    label: str
    plunger: str
    opening: str

    def fact(self) -> Fact:
        """The plunger of the row, as an entry of the register."""
        return Fact(
            f"bend-plunger-{self.plunger.replace(' in', '').replace('/', '-')}", f"Plunger, {self.label}",
            parse(self.plunger, LENGTH), LENGTH, JIG_BY_YIELD,
        )


JIG_ROWS: tuple[JigRow, ...] = (
    JigRow("yield strength 50 ksi (345 MPa) or less", "1-1/2 in", "2-3/8 in"),
    JigRow("yield strength over 50 and under 90 ksi (345 to 620 MPa)", "2 in", "2-7/8 in"),
    JigRow("yield strength 90 ksi (620 MPa) or more", "2-1/2 in", "3-3/8 in"),
)
FACTS = (
    ELONGATION_RULE, STANDARD_THICKNESS, PLATE_UNDER, PLUNGER_RATIO, OPENING_CLEARANCE, ROLLER, BEND_ANGLE,
    JACK_PRESSURE, *(row.fact() for row in JIG_ROWS),
    A36_TENSILE_LOW, A36_TENSILE_HIGH, ELASTIC_MODULUS, LOAD_BAND_LOW, LOAD_BAND_HIGH,
)


def is_plate_of(size: Fact, thickness: Fraction) -> bool:
    """Whether a plate measured so thick (m) is the plate of that size, or that much under it as a mill may deliver.

    ASTM A6 (from memory) permits plate 0.01 in under the size ordered.

    >>> sizes = ("0.364 in", "0.365 in", "3/8 in", "0.376 in")
    >>> [is_plate_of(STANDARD_THICKNESS, parse(each, LENGTH)) for each in sizes]
    [False, True, True, False]
    """
    return size.amount - PLATE_UNDER.amount <= thickness <= size.amount


def jig_row(yield_strength: Fraction) -> JigRow:
    """The row for a yield strength (Pa): 50 ksi belongs to the first, 90 ksi to the last.

    The table prints 345 MPa beside 50 ksi, which is 344.7 MPa: steel ordered by either figure is in the first row,
    whose smaller plunger makes the more severe bend.

    >>> jig_row(parse("345 MPa", STRESS)).plunger, jig_row(parse("90 ksi", STRESS)).plunger
    ('1-1/2 in', '2-1/2 in')
    """
    if yield_strength <= parse("345 MPa", STRESS):
        return JIG_ROWS[0]
    return JIG_ROWS[1] if yield_strength < parse("90 ksi", STRESS) else JIG_ROWS[2]


NO_STEEL = "not-named"


def work_bend_ratio(
    w: Working, *, thickness: Fraction, plunger_diameter: Fraction | None, elongation: Fraction | None,
    yield_strength: Fraction | None, rule: str, yield_of: str, steel: str,
) -> None:
    """How severely a specimen is bent on a plunger, and whether that is what the rule intends.

    Elongation of the outer fiber e = 100 t / (A + t) in %, t the specimen's thickness and A the plunger's diameter in
    m.
    The rule asks for A_rule: by yield strength from the jig table (which intends e at 3/8 in), four thicknesses 4 t, or
    t (100 − e_req) / e_req. Less severe than intended proves too little and stops; more severe asks for a check, and
    over twice the elongation stops. Valid for a plain rectangular specimen with its neutral layer in the middle, 1/16
    to 2 in thick.

    The yield strength of the specification is a minimum, that of the mill certificate was measured. Which one the
    table means is not known here; where the two lie in different rows the answer says so.

    Raises `InputError` where the rule chosen goes by a figure that is blank. Source: ASME IX, Figure QW-466.1 (read),
    whose jig for 3/8 in has a plunger of 1-1/2 in and intends 20 %; AWS D1.1, Figure 4.13 (from memory).

    >>> BEND_RATIO.answer(thickness="3/8 in", plunger_diameter="1-1/2 in")["elongation"].text("us").replace("\xa0", " ")
    '20 %'
    """
    t = w.given("thickness", "t", thickness, LENGTH)
    named = next((each for each in STEELS if each.value == steel), None)
    taken = _yield_taken(yield_strength, yield_of, named)
    chosen = _chosen_rule(rule, elongation, taken)
    asked, intended, source = _asked_by(w, chosen, t, elongation, taken)
    if plunger_diameter is None:
        plunger = w.let("plunger_diameter", "Plunger, taken as the rule asks", "A", LENGTH, asked, source=source)
    else:
        plunger = w.given("plunger_diameter", "A", plunger_diameter, LENGTH)
    w.let("ratio", "Plunger diameter in specimen thicknesses", "A/t", NUMBER, plunger / t, main=True)
    actual = w.let(
        "elongation", "Elongation of the outer fiber", "e", PERCENTAGE, 100 * t / (plunger + t), source=JIG_FIGURE,
        main=True,
    )
    clearance = w.given("clearance", "c", OPENING_CLEARANCE.amount, LENGTH)
    w.let(
        "die_opening", "Jig opening between shoulders or rollers, this plunger and specimen", "C", LENGTH,
        plunger + 2 * t + clearance,
        source=OPENING_CLEARANCE.source, as_fraction=True,
    )
    w.let(
        "right_thickness", "Specimen thickness that gives this plunger the intended elongation", "t_right", LENGTH,
        plunger * intended / (100 - intended), source=JIG_FIGURE, as_fraction=True, main=True,
    )
    w.draw(drawings.jig(w))
    w.draw(drawings.bent(w))
    _judge_severity(w, chosen, actual.amount, intended.amount, source)
    _check_thickness(w, chosen, thickness)
    if chosen == "yield":
        _check_yield(w, yield_strength, yield_of, named)
    w.say(
        "On a plunger of {plunger_diameter}, a specimen {thickness} thick stretches {elongation} on its convex "
        "surface. The rule asks for a plunger of {rule_plunger} and intends {rule_elongation}."
    )
    w.warn(
        "A specimen can break and fly. Stand behind the guard, keep hands clear, and let a qualified person run the "
        "jig.",
    )
    w.warn(
        "This is study help. The jig, its plunger and the verdict belong to the code in force and a qualified "
        "inspector.",
    )


def _yield_taken(written: Fraction | None, yield_of: str, steel: Steel | None) -> Fraction | None:
    """The yield strength that the table is entered with: the specification's minimum where the steel is named."""
    return written if steel is None else steel.yield_fact.amount


def _check_yield(w: Working, written: Fraction | None, yield_of: str, steel: Steel | None) -> None:
    """Whose yield strength the row was chosen by, and whether the other one would choose another row."""
    if written is not None:
        w.given("yield_strength", "F_y", written, STRESS)
    if steel is not None:
        w.mention("least_yield", steel.yield_fact)
        _check_named_yield(w, written, yield_of, steel)
    elif yield_of == "specification":
        text = (
            "The yield strength of the specification was taken, {yield_strength}. That of the mill certificate is "
            "higher; where it lies in "
        )
        w.note("yield-meant", text + "another row of the table, ask which one counts.", source=YIELD_MEANT.source)
    elif jig_row(written) is JIG_ROWS[0]:
        text = (
            "The mill certificate's {yield_strength} lies in the first row of the table, and the minimum of the steel "
            "cannot lie above it."
        )
        w.ok("yield-meant", text, source=YIELD_MEANT.source)
    else:
        text = (
            "The mill certificate's {yield_strength} may lie in another row than the minimum of the steel's "
            "specification, and we do not hold "
            "which one the table means. Name the steel, and ask the inspector."
        )
        w.not_known("yield-meant", text, source=YIELD_MEANT.source)


def _check_named_yield(w: Working, written: Fraction | None, yield_of: str, steel: Steel) -> None:
    least, source = steel.yield_fact.amount, steel.yield_fact.source
    if written is None or written == least:
        text = (
            f"The minimum yield strength of {steel.label}, {{least_yield}}, was taken. Where the mill certificate's "
            f"lies in another row, ask."
        )
        w.note("yield-meant", text, source=YIELD_MEANT.source)
    elif yield_of == "specification":
        text = (
            f"{{yield_strength}} is not the minimum yield strength of {steel.label}. {{least_yield}} was taken; check "
            f"which steel you have."
        )
        w.caution("yield-differs", text, source=source)
    elif written < least:
        text = (
            f"The mill certificate's {{yield_strength}} is under the {{least_yield}} that {steel.label} must have. Ask "
            f"before you go on."
        )
        w.stop("yield-differs", text, source=source)
    elif jig_row(written) is jig_row(least):
        text = (
            f"The minimum of {steel.label}, {{least_yield}}, and the mill certificate's {{yield_strength}} lie in one "
            f"row of the table."
        )
        w.ok("yield-meant", text, source=YIELD_MEANT.source)
    else:
        text = (
            f"The minimum of {steel.label}, {{least_yield}}, and the mill certificate's {{yield_strength}} lie in "
            f"different rows of the table, and "
            "we do not hold which one it means. The minimum was taken, which makes the more severe bend. Ask the "
            "inspector."
        )
        w.not_known("yield-meant", text, source=YIELD_MEANT.source)


def _chosen_rule(rule: str, elongation: Fraction | None, yield_strength: Fraction | None) -> str:
    if rule == "given":
        return "elongation" if elongation is not None else "yield" if yield_strength is not None else "four-thicknesses"
    if rule == "yield" and yield_strength is None:
        raise InputError(
            "yield_strength", "Yield strength of the base metal",
            "this rule goes by it; write it in ksi or MPa, as in 36 ksi, or name the steel",
        )
    if rule == "elongation" and elongation is None:
        raise InputError("elongation", "Elongation required", "this rule goes by it; write it in %, as in 20 %")
    return rule


def _asked_by(w: Working, chosen, t, elongation, yield_strength):
    """The plunger that the rule asks for, the elongation it intends, and the citation for both."""
    if chosen == "elongation":
        e = w.given("required", "e_req", elongation, PERCENTAGE)
        asked = w.let(
            "rule_plunger", "Plunger for the required elongation", "A_rule", LENGTH, t * (100 - e) / e,
            source=JIG_FIGURE, main=True, as_fraction=True,
        )
        return asked, w.let(
            "rule_elongation", "Elongation that the rule intends", "e_rule", PERCENTAGE, e, source=JIG_FIGURE,
        ), JIG_FIGURE
    if chosen == "yield":
        row = jig_row(yield_strength)
        asked = w.value(
            "rule_plunger", f"Plunger for {row.label}", parse(row.plunger, LENGTH), LENGTH, source=JIG_BY_YIELD,
            symbol="A_rule", main=True, as_fraction=True,
        )
        w.value(
            "rule_opening", "Jig opening for a specimen 3/8 in (9.5 mm) thick", parse(row.opening, LENGTH),
            LENGTH, source=JIG_BY_YIELD, as_fraction=True,
        )
        standard = w.given("standard_thickness", "t_std", STANDARD_THICKNESS.amount, LENGTH)
        intended = w.let(
            "rule_elongation", "Elongation that the rule intends", "e_rule", PERCENTAGE,
            100 * standard / (asked + standard), source=JIG_FIGURE,
        )
        return asked, intended, JIG_BY_YIELD
    ratio = w.given("plunger_ratio", "n", PLUNGER_RATIO.amount, NUMBER)
    asked = w.let(
        "rule_plunger", "Plunger of four thicknesses", "A_rule", LENGTH, ratio * t, source=PLUNGER_RATIO.source,
        main=True, as_fraction=True,
    )
    return asked, w.let(
        "rule_elongation", "Elongation that the rule intends", "e_rule", PERCENTAGE, 100 * t / (asked + t),
        source=JIG_FIGURE,
    ), JIG_FIGURE


def _as_delivered(thickness: Fraction, plunger: Fraction, asked: Fraction) -> bool:
    """Whether the specimen is 3/8 in plate as a mill may deliver it, on the plunger that the rule has for 3/8 in."""
    table = max(asked, PLUNGER_RATIO.amount * STANDARD_THICKNESS.amount)
    return is_plate_of(STANDARD_THICKNESS, thickness) and plunger <= table


def _judge_severity(w: Working, chosen: str, actual: Fraction, intended: Fraction, source: Citation) -> None:
    if actual == intended:
        w.words("severity", "How severe this bend is", "as severe as the rule intends", source=source)
        w.ok(
            "severity", "This specimen on this plunger is bent as severely as the rule intends: {elongation}.",
            source=source,
        )
    elif actual > intended:
        w.words("severity", "How severe this bend is", "more severe than the rule intends", source=source)
        head = "More severe than the rule intends: {elongation} where {rule_elongation} is meant. "
        if actual > TOO_HARD * intended:
            w.stop(
                "severity", head + "The plate itself may tear, and then the bend says nothing of the weld.",
                source=source,
            )
        else:
            w.caution("severity", head + "A sound weld may open.", source=source)
    elif chosen != "elongation" and _as_delivered(
        w.known["thickness"].amount, w.known["plunger_diameter"].amount, w.known["rule_plunger"].amount,
    ):
        w.words(
            "severity", "How severe this bend is", "a little less severe, by what the plate is under its size",
            source=source,
        )
        w.mention("standard_thickness", STANDARD_THICKNESS)
        w.mention("plate_under", PLATE_UNDER)
        text = (
            "{thickness} is within the {plate_under} that a mill may deliver {standard_thickness} plate under its "
            "size, and the plunger is that of "
            "the table: {elongation} where {rule_elongation} is meant. Tell your inspector."
        )
        w.caution("severity", text, source=PLATE_UNDER.source)
    else:
        w.words("severity", "How severe this bend is", "less severe than the rule intends", source=source)
        w.stop(
            "severity",
            "Less severe than the rule intends: {elongation} where {rule_elongation} is meant. A pass on this jig "
            "would prove too little.",
            source=source,
        )


def _check_thickness(w: Working, chosen: str, thickness: Fraction) -> None:
    if chosen == "four-thicknesses" and thickness > STANDARD_THICKNESS.amount:
        most = show_as_written(
            STANDARD_THICKNESS.amount, LENGTH, "us",
        ), show_as_written(STANDARD_THICKNESS.amount, LENGTH, "si")
        w.caution("table-range", f"The rows of the table that ask for four thicknesses stop at {most[0]} ({most[1]}). "
            "For {thickness} the same ratio was taken; ask your inspector.", source=JIG_FIGURE,
        )


BEND_RATIO = Calculator(
    id="bend-ratio",
    title="Bend ratio and elongation",
    question="How severely does this jig bend my specimen, and is that what the rule intends?",
    page="bending.md",
    work=work_bend_ratio,
    main=("thickness", "plunger_diameter", "steel"),
    inputs=(
        Quantity(
            "thickness", "Specimen thickness", LENGTH, "3/8 in", "1/16 in", "2 in",
            "Of the ground specimen at the weld, measured with a caliper.", "t", common=("1/4 in", "3/8 in", "1/2 in"),
            slide=SPECIMEN,
            takes="coupon-layout.coupon_thickness",
        ),
        Quantity(
            "plunger_diameter", "Plunger diameter", LENGTH, "1-1/2 in", "1/4 in", "12 in",
            "Twice the plunger radius. Blank: the one the rule asks for.", "A", common=("1-1/2 in", "2 in", "2-1/2 in"),
            may_be_blank=True,
            slide=PLUNGER,
        ),
        Quantity(
            "elongation", "Elongation required", PERCENTAGE, "", "3 %", "50 %",
            "If your WPS states one. May stay blank.", "e",
        ),
        Quantity(
            "yield_strength", "Yield strength of the base metal", STRESS, "36 ksi", "15 ksi", "150 ksi",
            "From the mill certificate or the steel's standard.", "F_y", common=("36 ksi", "50 ksi", "90 ksi"),
            may_be_blank=True,
            takes="yield_strength",
        ),
        Choice(
            "rule", "Rule for the plunger", (
                Option("given", "By what is filled in: elongation first, then yield strength"),
                Option("yield", "Jig by yield strength (AWS D1.1)"),
                Option("four-thicknesses", "Four thicknesses (ASME IX, mild steel)"),
                Option("elongation", "By the required elongation"),
            ), "given", "Which document decides the plunger.",
            takes="jig_rule",
        ),
        Choice(
            "yield_of", "Whose yield strength that is", (
                Option("specification", "The minimum of the steel's specification"),
                Option("certificate", "Measured, from the mill certificate"),
            ), "specification", "They are two figures; the table does not say plainly which it means.",
        ),
        SteelChoice(
            "steel", "Steel",
            (Option(NO_STEEL, "Not named here"), *(Option(each.value, each.label) for each in STEELS)), NO_STEEL,
            "If you name it, its minimum yield strength is taken and compared with the mill certificate's.",
        ),
    ),
)


# --- the load of the bend ------------------------------------------------------


def plastic_bending_load(*, width: Fraction, thickness: Fraction, flow_stress: Fraction, span: Fraction) -> Fraction:
    """Load at mid-span (N) that bends a rectangular bar plastically on two supports.

    `width` b, `thickness` t and `span` C in m, `flow_stress` in Pa, all above zero: the plastic
    moment is b t² / 4 times the flow stress, and the load 4 M / C. Friction and the
    wrap around the plunger are left out. Textbook plastic bending, from memory.

    >>> span = parse("2-3/8 in", LENGTH)
    >>> wide, thick, flow = parse("1-1/2 in", LENGTH), parse("3/8 in", LENGTH), parse("47 ksi", STRESS)
    >>> load = plastic_bending_load(width=wide, thickness=thick, flow_stress=flow, span=span)
    >>> show(load, FORCE, "us", 3)
    '4170\xa0lbf'
    """
    return 4 * (width * thickness**2 * flow_stress / 4) / span


def work_bend_force(
    w: Working, *, width: Fraction, thickness: Fraction, plunger_diameter: Fraction, opening: Fraction | None,
    yield_strength: Fraction, tensile_strength: Fraction, flow_stress: Fraction | None, ram_diameter: Fraction | None,
    capacity: Fraction | None,
) -> None:
    """About how much force it takes to bend a specimen, as an order of magnitude with a band around it.

    Plastic moment M = f b t² / 4, load at mid-span F = 4 M / C, oil pressure p = F / (π d² / 4): flow stress f in Pa,
    width b, thickness t, jig opening C and ram d in m. The jig opening is A + 2 t + 1/8 in where blank. Friction, the
    wrap around the plunger and hardening are left out, which the band 0.7 to 1.5 stands for.

    Raises `InputError` for a jig opening that the bent specimen cannot pass and for a tensile strength under the yield.
    Source: textbook plastic bending (from memory); the jig figure of ASME IX (read).

    b 1-1/2 in, t 3/8 in, f (36 + 80) / 2 = 58 ksi, C 2-3/8 in: M = 58 000 · 1.5 · 0.375² / 4 = 3059 lbf·in, F = 5150
    lbf.

    >>> BEND_FORCE.answer()["load"].text("us").replace("\xa0", " ")
    '5200 lbf'
    """
    b = w.given("width", "b", width, LENGTH)
    t = w.given("thickness", "t", thickness, LENGTH)
    A = w.given("plunger_diameter", "A", plunger_diameter, LENGTH)
    span = _span(w, A, t, opening)
    flow = _flow_stress(w, yield_strength, tensile_strength, flow_stress)
    moment = w.let(
        "plastic_moment", "Plastic moment of the specimen", "M", MOMENT, b * t**2 * flow / 4, source=PLASTIC_BENDING,
        digits=2,
    )
    load = w.let(
        "load", "Bending load at mid-span, order of magnitude", "F", FORCE, 4 * moment / span, source=PLASTIC_BENDING,
        main=True, digits=2,
    )
    low = w.given("band_low", "n_low", LOAD_BAND_LOW.amount, NUMBER)
    high = w.given("band_high", "n_high", LOAD_BAND_HIGH.amount, NUMBER)
    w.let("load_low", "Load, low end of the band", "F_low", FORCE, low * load, source=BAND_ASSUMED, main=True, digits=2)
    most = w.let(
        "load_high", "Load, high end of the band", "F_high", FORCE, high * load, source=BAND_ASSUMED, main=True,
        digits=2,
    )
    w.say(
        "To bend this specimen takes about {load}, as an order of magnitude: the load may lie anywhere between "
        "{load_low} and {load_high}."
    )
    _check_force(w, load, most, ram_diameter, capacity)
    w.draw(scales.load(w))
    if opening is not None:
        _judge_span(w, A.amount, t.amount, opening)
    if flow_stress is not None:
        _judge_flow_stress(w, yield_strength, tensile_strength, flow_stress)
    w.note(
        "estimate",
        "An estimate. Use it to see what force your jack must give, never to set, rate or build a jig or a guard.",
        source=BAND_ASSUMED,
    )
    w.warn(
        "A jig under load holds a force of thousands of pounds. A specimen that breaks flies out. Keep the guard "
        "closed, "
        "hands and face away, and one operator at the jack.",
    )
    w.warn(
        "Never go past the rating of the jack, the frame or the pins. The maker's rating plate and a qualified "
        "person decide, "
        "not this figure.",
    )


def _check_force(
    w: Working, load: Symbol, most: Symbol, ram_diameter: Fraction | None, capacity: Fraction | None,
) -> None:
    """The load against the jack: the pressure of its oil, and its rating, where they are entered."""
    if ram_diameter is not None:
        _judge_pressure(w, ram_diameter, load, most)
    if capacity is not None:
        w.given("capacity", "F_max", capacity, FORCE)
        if capacity < most.amount:
            w.stop(
                "capacity", "The jack or press is rated {capacity}, less than the {load_high} it may meet.",
                source=ENTERED,
            )
        else:
            w.ok(
                "capacity", "The rated {capacity} covers the {load_high} that the jack or press may meet.",
                source=ENTERED,
            )


def _judge_pressure(w: Working, ram_diameter: Fraction, load: Symbol, most: Symbol) -> None:
    """The oil pressure that the load asks of the jack, against what such jacks are commonly rated to."""
    d = w.given("ram_diameter", "d", ram_diameter, LENGTH)
    ram = PI * d**2 / 4
    pressure = w.let(
        "pressure", "Oil pressure in the jack at this load", "p", PRESSURE, load / ram, main=True, digits=2,
    )
    highest = w.let("pressure_high", "Oil pressure at the high end", "p_high", PRESSURE, most / ram, digits=2)
    w.mention("jack_pressure", JACK_PRESSURE)
    usual = JACK_PRESSURE.amount
    if pressure.amount > usual:
        text = (
            "This ram would take {pressure}, over the {jack_pressure} that hand jacks are commonly rated to. It can "
            "burst."
        )
        w.stop("pressure", text, source=JACK_PRESSURE.source)
    elif highest.amount > usual:
        text = (
            "At the high end of the band the oil pressure is {pressure_high}, over the {jack_pressure} of common "
            "jacks. "
            "Read the rating plate of yours."
        )
        w.caution("pressure", text, source=JACK_PRESSURE.source)
    else:
        text = (
            "{pressure_high} at the high end is not over the {jack_pressure} of common jacks. The rating plate of "
            "yours "
            "decides."
        )
        w.ok("pressure", text, source=JACK_PRESSURE.source)


def _judge_span(w: Working, plunger: Fraction, thickness: Fraction, opening: Fraction) -> None:
    """A jig opening of the reader's own against the jig figure and the widest that ISO 5173 gives."""
    figure = plunger + 2 * thickness + OPENING_CLEARANCE.amount
    w.known["figure_opening"] = Amount(figure, LENGTH, as_written=True)
    if opening > TOO_WIDE * figure:
        text = (
            "A jig opening of {opening} is more than twice the {figure_opening} of the jig figure: the specimen is not "
            "wrapped around the plunger."
        )
        w.stop("opening", text, source=JIG_FIGURE)
    elif opening > max(figure, plunger + 3 * thickness):
        w.caution(
            "opening", "A jig opening of {opening} is wide: by the jig figure it is {figure_opening}.",
            source=OPENING_WIDEST,
        )
    else:
        w.ok(
            "opening", "A jig opening of {opening} lets the bent specimen pass and holds it to the plunger.",
            source=OPENING_WIDEST,
        )


def _judge_flow_stress(w: Working, yield_strength: Fraction, tensile_strength: Fraction, flow_stress: Fraction) -> None:
    if yield_strength <= flow_stress <= tensile_strength:
        w.ok(
            "flow-stress", "The flow stress lies between yield and tensile strength, as it must.",
            source=PLASTIC_BENDING,
        )
    else:
        text = "A flow stress of {flow_stress} lies outside the yield and tensile strength you wrote. Check the three."
        w.caution("flow-stress", text, source=PLASTIC_BENDING)


def _span(w: Working, A: Symbol, t: Symbol, opening: Fraction | None) -> Symbol:
    """The jig opening: as entered, or as the jig figure makes it. Refuses one that the bent specimen cannot pass.
    """
    if opening is None:
        clearance = w.given("clearance", "c", OPENING_CLEARANCE.amount, LENGTH)
        return w.let(
            "opening", "Jig opening, taken as plunger, two thicknesses and clearance", "C", LENGTH,
            A + 2 * t + clearance, source=JIG_FIGURE, as_fraction=True,
        )
    least = A.amount + 2 * t.amount
    if opening < least:
        us, si = (show_as_written(least, LENGTH, system) for system in SYSTEMS)
        raise InputError(
            "opening", "Jig opening", f"plunger and two thicknesses do not pass; write at least {us} ({si})",
        )
    return w.given("opening", "C", opening, LENGTH)


def _flow_stress(
    w: Working, yield_strength: Fraction, tensile_strength: Fraction, flow_stress: Fraction | None,
) -> Symbol:
    """The stress at which the whole section flows: as entered, or the mean of yield and tensile strength."""
    if tensile_strength < yield_strength:
        us, si = (show_as_written(yield_strength, STRESS, system) for system in SYSTEMS)
        raise InputError(
            "tensile_strength", "Tensile strength",
            f"it cannot be less than the yield strength; write at least {us} ({si})",
        )
    if flow_stress is not None:
        return w.given("flow_stress", "f", flow_stress, STRESS)
    Fy = w.given("yield_strength", "F_y", yield_strength, STRESS)
    Fu = w.given("tensile_strength", "F_u", tensile_strength, STRESS)
    return w.let(
        "flow_stress", "Flow stress, taken as the mean of yield and tensile strength", "f", STRESS, (Fy + Fu) / 2,
        source=COMMON,
    )


_COUPON_THICKNESS = Quantity(
    "thickness", "Specimen thickness", LENGTH, "3/8 in", "1/16 in", "2 in",
    "Of the ground specimen at the weld, measured with a caliper.", "t",
    common=("1/4 in", "3/8 in", "1/2 in"), slide=SPECIMEN, takes="coupon-layout.coupon_thickness",
)
_PLUNGER = Quantity(
    "plunger_diameter", "Plunger diameter", LENGTH, "1-1/2 in", "1/4 in", "12 in", "Twice the plunger radius.", "A",
    common=("1-1/2 in", "2 in", "2-1/2 in"), slide=PLUNGER,
)
_YIELD = Quantity(
    "yield_strength", "Yield strength", STRESS, "36 ksi", "15 ksi", "150 ksi",
    "From the mill certificate or the steel's standard.", "F_y", common=("36 ksi", "50 ksi"),
)

BEND_FORCE = Calculator(
    id="bend-force",
    title="Bending load, order of magnitude",
    question="About how much force does it take to bend this specimen?",
    page="bend-force.md",
    work=work_bend_force,
    main=("width", "thickness", "plunger_diameter"),
    inputs=(
        Quantity(
            "width", "Specimen width", LENGTH, "1-1/2 in", "1/8 in", "6 in", "Along the plunger.", "b",
            common=("3/8 in", "1 in", "1-1/2 in"),
            takes="coupon-layout.coupon_width",
        ),
        _COUPON_THICKNESS,
        _PLUNGER,
        Quantity(
            "opening", "Jig opening", LENGTH, "", "1/2 in", "24 in",
            "Between the shoulders. Leave blank for the figure of the jig.", "C",
        ),
        _YIELD,
        Quantity(
            "tensile_strength", "Tensile strength", STRESS, "80 ksi", "20 ksi", "200 ksi",
            "The maximum that your plate and weld may have. The default is the top of the A36 range.", "F_u",
            common=("58 ksi", "70 ksi", "80 ksi"),
        ),
        Quantity(
            "flow_stress", "Flow stress", STRESS, "", "15 ksi", "200 ksi",
            "Leave blank to take the mean of yield and tensile strength.", "f",
        ),
        Quantity(
            "ram_diameter", "Jack ram diameter", LENGTH, "", "1/4 in", "12 in", "Of the oil piston. May stay blank.",
            "d", common=("1-1/2 in", "2 in", "3 in"),
        ),
        Quantity(
            "capacity", "Rating of the jack or press", FORCE, "", "100 lbf", "1000000 lbf",
            "In lbf or kN. A US ton is 2000 lbf. May stay blank.", "F_max",
        ),
    ),
)


# --- spring-back -----------------------------------------------------------------


def kept_curvature(elastic_ratio: Fraction) -> Fraction:
    """The part of a bend that stays when the load is off, from 0 to 1.

    `elastic_ratio` x is R F / (E t): mid-thickness radius R (m), stress F at which the bar
    flows and elastic modulus E (Pa), thickness t (m). Valid above 0 and below 1/2; at 1/2 the
    bar has only just begun to yield and springs back fully. Raises `ValueError` outside.
    The formula 4x³ - 3x + 1 is of a bar that flows without hardening; from memory.

    >>> float(kept_curvature(Fraction(1, 10)))
    0.704
    """
    if not 0 < elastic_ratio < ELASTIC_LIMIT:
        raise ValueError("the elastic ratio must lie above 0 and below 1/2")
    return 4 * elastic_ratio**3 - 3 * elastic_ratio + 1


def work_spring_back(
    w: Working, *, thickness: Fraction, plunger_diameter: Fraction, yield_strength: Fraction, angle: Fraction,
    coupon_length: Fraction,
) -> None:
    """How far a bent specimen opens as the load comes off, and how far its tips move apart.

    R = (A + t) / 2, x = R F / (E t), the part that stays K = 4 x³ − 3 x + 1, θ_free = K θ, R_free = R / K; the legs are
    (l − R θ) / 2 each. Radius R, plunger A, thickness t and length l in m, stress F and modulus E in Pa, angle θ in
    degrees. Valid for a bar that flows without hardening, x under 1/2, which the ranges of the inputs keep.

    Raises `InputError` for a specimen shorter than the bend. Source: elastic recovery of a bent bar (from memory). A
    bend of
    less than 180° is not the bend of the test (OD1651, read).

    With A 1-1/2 in, t 3/8 in, F 36 ksi, E 29 000 ksi: x = 0.9375 · 36 / (29 000 · 0.375) = 0.0031034, so K = 0.99069
    and 180° opens by 1.676°.

    >>> SPRING_BACK.answer()["opens"].text("us")
    '1.7°'
    """
    t = w.given("thickness", "t", thickness, LENGTH)
    A = w.given("plunger_diameter", "A", plunger_diameter, LENGTH)
    F = w.given("yield_strength", "F_y", yield_strength, STRESS)
    theta = w.given("angle", "θ", angle, ANGLE)
    length = w.given("coupon_length", "l", coupon_length, LENGTH)
    E = w.fact(ELASTIC_MODULUS, "E")
    # The ranges of the inputs keep x under 1/2, where the bar would only just have begun to yield.
    radius = w.let("radius", "Radius under load, at mid-thickness", "R", LENGTH, (A + t) / 2)
    ratio = w.let("elastic_ratio", "Elastic ratio", "x", NUMBER, radius * F / (E * t), source=ELASTIC_RECOVERY)
    kept = w.let(
        "kept", "Part of the bend that stays", "K", NUMBER, 4 * ratio**3 - 3 * ratio + 1, source=ELASTIC_RECOVERY,
    )
    free = w.let(
        "angle_free", "Bend angle with the load off", "θ_free", ANGLE, theta * kept, source=ELASTIC_RECOVERY, main=True,
    )
    w.let("opens", "How far it springs open", "δ", ANGLE, theta - free, source=ELASTIC_RECOVERY, main=True, digits=2)
    radius_free = w.let(
        "radius_free", "Radius with the load off, at mid-thickness", "R_free", LENGTH, radius / kept,
        source=ELASTIC_RECOVERY,
    )
    arc = w.let("bent_arc", "Length that goes around the bend", "l_arc", LENGTH, PI * radius * theta / 180)
    if coupon_length < arc.amount:
        us, si = (show(arc.amount, LENGTH, system) for system in SYSTEMS)
        raise InputError("coupon_length", "Specimen length", f"the bend alone takes more; write more than {us} ({si})")
    leg = w.let("leg", "Straight leg on each side", "l_leg", LENGTH, (length - arc) / 2)
    before = w.let(
        "tips", "Distance between the tips under load", "s", LENGTH,
        2 * radius * sin(theta / 2) + 2 * leg * cos(theta / 2),
    )
    after = w.let(
        "tips_free", "Distance between the tips, load off", "s_free", LENGTH,
        2 * radius_free * sin(free / 2) + 2 * leg * cos(free / 2),
    )
    w.let("tips_open", "How much farther apart the tips stand", "Δs", LENGTH, after - before, main=True, digits=2)

    w.draw(drawings.spring_back(w))
    w.say(
        "Taken off the plunger, a bend of {angle} opens by about {opens}, to {angle_free}. The tips move apart by "
        "about {tips_open}.",
    )
    _check_spring_back(w, angle, ratio)
    w.warn(
        "A specimen can jump as it comes off the plunger, or jam on it and come off suddenly. Keep the guard closed "
        "until it is loose.",
    )
    w.warn(
        "Spring-back is no defect. Whether the bend went far enough is for the code in force and your inspector to say."
    )


def _check_spring_back(w: Working, angle: Fraction, ratio: Symbol) -> None:
    """Whether the bend is that of the test, and how far the formula can be trusted."""
    if angle < HALF_TURN:
        text = "Bent to {angle}, which is not yet the U of the guided bend. Bend it farther, and judge it then."
        w.incomplete("bend-angle", text, source=BEND_ANGLE.source)
    else:
        w.ok("bend-angle", "Bent to {angle}, the U of the guided bend.", source=BEND_ANGLE.source)
    if ratio.amount < Fraction(1, 20):
        w.note(
            "elastic-part", "The convex surface is stretched far past yield: nearly all of the bend stays.",
            source=ELASTIC_RECOVERY,
        )
    else:
        w.caution(
            "elastic-part",
            "With this radius and strength a large part of the bend springs back. The formula is less exact here.",
            source=ELASTIC_RECOVERY,
        )
    text = (
        "The formula takes a metal that does not get stronger as it bends. Steel does, so a real specimen opens "
        "somewhat "
        "farther. Enter the tensile strength to see how far."
    )
    w.note("hardening", text, source=ELASTIC_RECOVERY)


SPRING_BACK = Calculator(
    id="spring-back",
    title="Spring-back",
    question="How far does the bent specimen open when the load comes off?",
    page="bend-force.md",
    work=work_spring_back,
    main=("thickness", "plunger_diameter", "angle"),
    inputs=(
        _COUPON_THICKNESS,
        _PLUNGER,
        _YIELD,
        Quantity(
            "angle", "Bend angle under load", ANGLE, "180 deg", "10 deg", "180 deg", "180° is the full U.", "θ",
            common=("90 deg", "180 deg"), slide=ANGLE_SLIDE,
        ),
        Quantity(
            "coupon_length", "Specimen length", LENGTH, "6 in", "1 in", "48 in", "End to end before the bend.", "l",
            common=("6 in", "9 in"),
        ),
    ),
)
