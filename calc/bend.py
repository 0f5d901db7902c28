"""The guided bend: how hard a specimen of this thickness is bent on this plunger, and what the rule intends.

Stage: bending. The outer-fibre elongation follows from the bent arc; the jig
figures come from tables. Rules of different documents are data, chosen by name.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calc.declare import Calculator, Choice, InputError, Option, Quantity, Working
from calc.sources import ASME_IX, AWS_D11, COMMON, Citation, Fact, Standing
from calc.units import LENGTH, NUMBER, PERCENTAGE, STRESS, parse, show_as_written

JIG_FIGURE = Citation(ASME_IX, "Figure QW-466.1", Standing.READ)
JIG_BY_YIELD = Citation(AWS_D11, "Figure 4.13", Standing.FROM_MEMORY, "The figure number differs between editions.")

ELONGATION_RULE = Fact(
    "bend-elongation-formula", "Specimen thickness from plunger diameter and elongation", None, None, JIG_FIGURE,
    "t = A × elongation ÷ (100 − elongation)",
)
STANDARD_THICKNESS = Fact("bend-specimen-thickness", "Specimen thickness that the jig is made for", parse("3/8 in", LENGTH), LENGTH, JIG_FIGURE)
PLUNGER_RATIO = Fact("bend-plunger-ratio", "Plunger diameter, in specimen thicknesses, for mild steel", Fraction(4), NUMBER, JIG_FIGURE)
OPENING_CLEARANCE = Fact(
    "bend-opening-clearance", "Clearance of the shoulders: opening less plunger less two thicknesses",
    parse("1/8 in", LENGTH), LENGTH, JIG_FIGURE,
)
ROLLER = Fact("bend-roller", "Rollers that may stand in for the shoulders, diameter", parse("1-1/2 in", LENGTH), LENGTH, JIG_FIGURE)
BEND_ANGLE = Fact("bend-angle", "How far a guided-bend specimen is bent", None, None, COMMON, "180°, to a U")


@dataclass(frozen=True)
class JigRow:
    """A row of the jig table by yield strength: which plunger for a base metal up to this yield."""

    label: str
    above: str
    below: str
    plunger: str
    opening: str

    def fact(self) -> Fact:
        return Fact(
            f"bend-plunger-{self.plunger.replace(' in', '').replace('/', '-')}", f"Plunger, {self.label}",
            parse(self.plunger, LENGTH), LENGTH, JIG_BY_YIELD,
        )


JIG_ROWS: tuple[JigRow, ...] = (
    JigRow("yield strength 50 ksi (345 MPa) or less", "0 ksi", "50 ksi", "1-1/2 in", "2-3/8 in"),
    JigRow("yield strength over 50 and under 90 ksi (345 to 620 MPa)", "50 ksi", "90 ksi", "2 in", "2-7/8 in"),
    JigRow("yield strength 90 ksi (620 MPa) or more", "90 ksi", "1000 ksi", "2-1/2 in", "3-3/8 in"),
)
FACTS = (
    ELONGATION_RULE, STANDARD_THICKNESS, PLUNGER_RATIO, OPENING_CLEARANCE, ROLLER, BEND_ANGLE, *(row.fact() for row in JIG_ROWS),
)


def jig_row(yield_strength: Fraction) -> JigRow:
    """The row for a yield strength (Pa): 50 ksi belongs to the first, 90 ksi to the last.

    >>> jig_row(parse("50 ksi", STRESS)).plunger, jig_row(parse("90 ksi", STRESS)).plunger
    ('1-1/2 in', '2-1/2 in')
    """
    if yield_strength <= parse("50 ksi", STRESS):
        return JIG_ROWS[0]
    return JIG_ROWS[1] if yield_strength < parse("90 ksi", STRESS) else JIG_ROWS[2]


def _work(
    w: Working, *, thickness: Fraction, plunger_diameter: Fraction | None, elongation: Fraction | None,
    yield_strength: Fraction | None, rule: str,
) -> None:
    t = w.given("thickness", "t", thickness, LENGTH)
    chosen = _chosen_rule(rule, elongation, yield_strength)
    asked, intended, source = _asked_by(w, chosen, t, elongation, yield_strength)
    if plunger_diameter is None:
        plunger = w.let("plunger_diameter", "Plunger, taken as the rule asks", "A", LENGTH, asked, source=source)
    else:
        plunger = w.given("plunger_diameter", "A", plunger_diameter, LENGTH)
    w.let("ratio", "Plunger diameter in specimen thicknesses", "A/t", NUMBER, plunger / t, main=True)
    actual = w.let("elongation", "Elongation of the outer fiber", "e", PERCENTAGE, 100 * t / (plunger + t), source=JIG_FIGURE, main=True)
    clearance = w.given("clearance", "c", OPENING_CLEARANCE.amount, LENGTH)
    w.let(
        "die_opening", "Opening between shoulders or rollers, this plunger and specimen", "C", LENGTH, plunger + 2 * t + clearance,
        source=OPENING_CLEARANCE.source, as_fraction=True,
    )
    w.let(
        "right_thickness", "Specimen thickness that gives this plunger the intended elongation", "t_right", LENGTH,
        plunger * intended / (100 - intended), source=JIG_FIGURE, as_fraction=True, main=True,
    )
    _judge(w, actual.amount, intended.amount, source)
    _check_thickness(w, chosen, thickness)
    w.say(
        "Bent over {plunger_diameter}, a specimen {thickness} thick stretches {elongation} on the outside. "
        "The rule asks for a plunger of {rule_plunger} and intends {rule_elongation}."
    )
    w.caution("A specimen can break and fly. Stand behind the guard, keep hands clear, and let a qualified person run the jig.")
    w.caution("This is study help. The jig, its plunger and the verdict belong to the code in force and a qualified inspector.")


def _chosen_rule(rule: str, elongation: Fraction | None, yield_strength: Fraction | None) -> str:
    if rule == "given":
        return "elongation" if elongation is not None else "yield" if yield_strength is not None else "four-thicknesses"
    if rule == "yield" and yield_strength is None:
        raise InputError("yield_strength", "Yield strength of the base metal", "this rule goes by it; write it in ksi or MPa, as in 36 ksi")
    if rule == "elongation" and elongation is None:
        raise InputError("elongation", "Elongation required", "this rule goes by it; write it in %, as in 20 %")
    return rule


def _asked_by(w: Working, chosen, t, elongation, yield_strength):
    """The plunger that the rule asks for, the elongation it intends, and the citation for both."""
    if chosen == "elongation":
        e = w.given("required", "e_req", elongation, PERCENTAGE)
        asked = w.let("rule_plunger", "Plunger for the required elongation", "A_rule", LENGTH, t * (100 - e) / e, source=JIG_FIGURE, main=True, as_fraction=True)
        return asked, w.let("rule_elongation", "Elongation that the rule intends", "e_rule", PERCENTAGE, e, source=JIG_FIGURE), JIG_FIGURE
    if chosen == "yield":
        row = jig_row(yield_strength)
        asked = w.value("rule_plunger", f"Plunger for {row.label}", parse(row.plunger, LENGTH), LENGTH, source=JIG_BY_YIELD, symbol="A_rule", main=True, as_fraction=True)
        w.value("rule_opening", "Opening of that jig for a specimen 3/8 in (9.5 mm) thick", parse(row.opening, LENGTH), LENGTH, source=JIG_BY_YIELD, as_fraction=True)
        standard = w.given("standard_thickness", "t_std", STANDARD_THICKNESS.amount, LENGTH)
        intended = w.let("rule_elongation", "Elongation that the rule intends", "e_rule", PERCENTAGE, 100 * standard / (asked + standard), source=JIG_FIGURE)
        return asked, intended, JIG_BY_YIELD
    ratio = w.given("plunger_ratio", "n", PLUNGER_RATIO.amount, NUMBER)
    asked = w.let("rule_plunger", "Plunger of four thicknesses", "A_rule", LENGTH, ratio * t, source=PLUNGER_RATIO.source, main=True, as_fraction=True)
    return asked, w.let("rule_elongation", "Elongation that the rule intends", "e_rule", PERCENTAGE, 100 * t / (asked + t), source=JIG_FIGURE), JIG_FIGURE


def _judge(w: Working, actual: Fraction, intended: Fraction, source: Citation) -> None:
    if actual == intended:
        w.words("severity", "How hard this bend is", "as hard as the rule intends", source=source)
        w.ok("This specimen on this plunger is bent as hard as the rule intends: {elongation}.", source=source)
    elif actual > intended:
        w.words("severity", "How hard this bend is", "harder than the rule intends", source=source)
        w.watch("Bent harder than the rule intends: {elongation} where {rule_elongation} is meant. A sound weld may open.", source=source)
    else:
        w.words("severity", "How hard this bend is", "softer than the rule intends", source=source)
        w.stop("Bent softer than the rule intends: {elongation} where {rule_elongation} is meant. A pass on this jig would prove too little.", source=source)


def _check_thickness(w: Working, chosen: str, thickness: Fraction) -> None:
    if chosen == "four-thicknesses" and thickness > STANDARD_THICKNESS.amount:
        most = show_as_written(STANDARD_THICKNESS.amount, LENGTH, "us"), show_as_written(STANDARD_THICKNESS.amount, LENGTH, "si")
        w.watch(
            f"The rows of the table that ask for four thicknesses stop at {most[0]} ({most[1]}). "
            "For {thickness} the same ratio is carried on; ask your inspector.", source=JIG_FIGURE,
        )


BEND_RATIO = Calculator(
    id="bend-ratio",
    title="Bend ratio and elongation",
    question="How hard does this jig bend my specimen, and is that what the rule intends?",
    page="bending.md",
    work=_work,
    inputs=(
        Quantity(
            "thickness", "Specimen thickness", LENGTH, "3/8 in", "1/16 in", "2 in",
            "Of the ground specimen at the weld, measured with a caliper.", "t", common=("1/4 in", "3/8 in", "1/2 in"),
        ),
        Quantity(
            "plunger_diameter", "Plunger diameter", LENGTH, "1-1/2 in", "1/4 in", "12 in",
            "Twice the plunger radius.", "A", common=("1-1/2 in", "2 in", "2-1/2 in"),
        ),
        Quantity("elongation", "Elongation required", PERCENTAGE, "", "3 %", "50 %", "If your procedure states one. May stay blank.", "e"),
        Quantity(
            "yield_strength", "Yield strength of the base metal", STRESS, "36 ksi", "15 ksi", "150 ksi",
            "From the mill certificate or the steel's standard. May be left blank.", "F_y", common=("36 ksi", "50 ksi", "90 ksi"),
        ),
        Choice(
            "rule", "Rule that asks", (
                Option("given", "By what is filled in: elongation first, then yield strength"),
                Option("yield", "Jig by yield strength (AWS D1.1)"),
                Option("four-thicknesses", "Four thicknesses (ASME IX, mild steel)"),
                Option("elongation", "By the required elongation"),
            ), "given", "Which document decides the plunger.",
        ),
    ),
)
