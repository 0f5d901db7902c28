"""The WPS itself against what the guide holds from the code: where it is wider, where nothing is held, what it leaves
open.

Stage: before all others, with the WPS in hand. Each limit is judged by the functions and facts of its stage; none is
copied. What a stage would stop by is a caution here, on the WPS: one that was qualified by test may go further than a
prequalified one, and the record of its test says so. The figure of the WPS decides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from calc.core.declare import Amount, Calculator, Input, Level, Quantity, Rows, Working
from calc.core.forms import words
from calc.core.sources import GEOMETRY, YOUR_WPS, Citation, Fact, Standing
from calc.core.units import ANGLE, CURRENT, HEAT_INPUT, LENGTH, NUMBER, TEMPERATURE, VOLTAGE, Kind, listed, parse
from calc.show import scales
from calc.stages import current, heat, joint, machine, passes, rods
from calc.stages.cleaning import CLEAN_BAND
from calc.stages.fitup import BACKING_BAR, FIT_UP, judge_backing_thickness
from calc.stages.groove import GROOVE
from calc.stages.own import AMPS_BAND, IF_STATED, TRAVEL_BAND, VOLTS_BAND, Ends, require_order
from calc.stages.qualification import D11, TEST_PLAN
from calc.stages.steels import ASK_FOR, find_steel

ASK = " See that your WPS was qualified for it."


@dataclass(frozen=True)
class Rod:
    """A rod of the WPS with its bands. `layer` names the pass where it is not the main rod."""

    layer: str
    electrode: str
    diameter: str
    amps: Ends
    volts: Ends

    @property
    def covering(self) -> str:
        """Which rows of the preheat table it goes by."""
        return heat.covering_of(self.electrode)


def _softened(w: Working, suffix: str, layer: str, judge: Callable[..., None], *given: Any, **named: Any) -> None:
    """The checks of a stage as checks of the WPS: a stop becomes a caution, and the id and the words name the pass."""
    before = len(w.checks)
    judge(w, *given, **named)
    for place, check in enumerate(w.checks[before:], before):
        phrase = (f"{layer}: ", *check.phrase) if layer else check.phrase
        stop = check.level is Level.STOP
        w.checks[place] = replace(
            check, id=check.id + suffix, level=Level.CAUTION if stop else check.level,
            phrase=(*phrase, ASK) if stop else phrase,
        )


def work_wps_check(
    w: Working, *, position: str, progression: str, electrode: str, diameter: str, polarity: str, thickness: Fraction,
    steel: str, amps_low: Fraction | None, amps_high: Fraction | None, volts_low: Fraction | None,
    volts_high: Fraction | None, travel_low: Fraction | None, travel_high: Fraction | None, heat_most: Fraction | None,
    preheat_minimum: Fraction | None, interpass_maximum: Fraction | None, layer_most: Fraction | None,
    exposure_most: Fraction | None, root_opening: Fraction, opening_over: Fraction | None,
    opening_under: Fraction | None, bevel_angle: Fraction, bevel_over: Fraction | None, bevel_under: Fraction | None,
    root_face: Fraction, root_face_over: Fraction | None, backing_width: Fraction, backing_thickness: Fraction,
    rule_document: str, other_rods: tuple[tuple[Any, ...], ...],
) -> None:
    """Whether the limits of a WPS stay inside what the guide holds from the code.

    Each band is in order inside what is held, a caution on the WPS where it is wider, not known where nothing is held,
    incomplete where a limit that decides is blank. H_top = U_max × I_max / v_min, J/m: the largest heat input that the
    bands allow; U: volts, V; I: current, A; v: travel speed, m/s.

    Valid for a V on backing in structural steel, stick. Raises `InputError` for a band that is upside down. Source: the
    documents of each stage; the limits of AWS D1.1 are those of a prequalified WPS.

    >>> answer = WPS_CHECK.answer(amps_low="115 A", amps_high="170 A")
    >>> answer.check("amps-high").level.value, answer.check("amps") is None  # 165 A and 160 A are held
    ('caution', True)
    """
    for low, high, name in (
        (amps_low, amps_high, "amps_low"), (volts_low, volts_high, "volts_low"),
        (travel_low, travel_high, "travel_low"), (preheat_minimum, interpass_maximum, "preheat_minimum"),
    ):
        require_order(low, high, WPS_CHECK.input(name))
    main = Rod("", electrode, diameter, (amps_low, amps_high), (volts_low, volts_high))
    all_rods = (main, *_others(other_rods))
    _judge_document(w, rule_document)
    for number, rod in enumerate(all_rods, 1):
        _judge_rod(w, f"-{number}" if number > 1 else "", rod, position)
    _judge_direction(w, electrode, position, progression, polarity)
    _judge_arc(w, main, (travel_low, travel_high), heat_most)
    _judge_joint(w, root_opening, bevel_angle, root_face + (root_face_over or 0))
    _judge_backing(w, backing_width, backing_thickness, root_opening + (opening_over or 0))
    _judge_tolerances(w, opening_over, opening_under, bevel_over, bevel_under)
    _judge_preheat(w, all_rods, steel, thickness, preheat_minimum)
    _judge_interpass(w, interpass_maximum)
    if layer_most is not None:
        w.given("layer_most", "z_max", layer_most, LENGTH)
        _judge_band(w, "layer", "layer thickness", (None, layer_most), (None, passes.LAYER))
    _judge_exposure(w, all_rods, exposure_most)
    _tell_unstated(w, {
        "arc voltage": main.volts, "travel speed": (travel_low, travel_high), "heat input": (heat_most,),
        "layer thickness": (layer_most,), "time out of the oven": (exposure_most,),
        "root opening tolerance": (opening_over, opening_under), "bevel angle tolerance": (bevel_over, bevel_under),
    })
    _tell_memory(w)
    _count(w)
    if held := current.windows_for(electrode, diameter):
        w.draw(scales.wps_amps(w, (amps_low, amps_high), [(each.low, each.high) for each in held]))
    w.warn("A WPS is changed by those who answer for it, never at the bench. Where it and this page differ, stop and "
        "ask who wrote it, your instructor or the inspector.")
    w.warn("This is study help. It compares figures; it approves no WPS.")


def _others(rows: tuple[tuple[Any, ...], ...]) -> Iterator[Rod]:
    for number, (layer, electrode, diameter, amps_low, amps_high, volts_low, volts_high) in enumerate(rows, 1):
        require_order(amps_low, amps_high, replace(AMPS_BAND[0], name="other_rods"))
        require_order(volts_low, volts_high, replace(VOLTS_BAND[0], name="other_rods"))
        yield Rod(layer or f"Other rod {number}", electrode, diameter, (amps_low, amps_high), (volts_low, volts_high))


def _judge_document(w: Working, rule: str) -> None:
    source = passes.LAYER.source
    if rule == D11:
        w.note("rule-document", "What we hold from AWS D1.1 are the limits of a prequalified WPS. One that was "
            "qualified by test may go further; its test record says so.", source=source)
    else:
        label = TEST_PLAN.input("rule").label_of(rule)
        w.not_known("rule-document", f"We hold no limits of a WPS by {label}. The figures beside yours are those of "
            "AWS D1.1: a comparison, not the rule of your test. Ask the inspector.", source=source)


# --- one band ------------------------------------------------------------------------------------------------


def _judge_band(
    w: Working, id: str, what: str, own: Ends, held: tuple[Fact | None, Fact | None], layer: str = "",
) -> None:
    """A band of the WPS against the least and the most that are held. An end that is wider is a caution of its own."""
    ends = [each for each in own if each is not None]
    if not ends:
        return
    known = [each for each in held if each is not None]
    kind = known[0].kind
    assert kind is not None
    subject = f"{layer}: the {what} of your WPS" if layer else f"The {what} of your WPS"
    wide = False
    for side, fact, end in (("low", held[0], min(ends)), ("high", held[1], max(ends))):
        if fact is None:
            continue
        w.mention(f"held_{side}", fact)
        w.known[f"own_{side}"] = Amount(end, kind, as_written=True)
        assert fact.amount is not None
        if end < fact.amount if side == "low" else end > fact.amount:
            wide = True
            goes, as_end = ("goes down to {own_low}, under", "minimum") if side == "low" else (
                "goes up to {own_high}, over", "maximum")
            w.caution(f"{id}-{side}", f"{subject} {goes} the {{held_{side}}} that we hold as the {as_end}.{ASK}",
                source=fact.source)
    if not wide:
        bounds = "within the {held_low} to" if len(known) == 2 else "not over the"
        w.ok(id, f"{subject} is {bounds} {{held_high}} that we hold.", source=known[-1].source)


def _judge_rod(w: Working, suffix: str, rod: Rod, position: str) -> None:
    """A rod of the WPS: its size for the position, its amperage and its voltage."""
    core = parse(rod.diameter, LENGTH)
    w.given("diameter", "d", core, LENGTH)
    _softened(w, suffix, rod.layer, current.judge_rod_size, rod.electrode, core, position)
    held = current.windows_for(rod.electrode, rod.diameter)
    if not held:
        w.not_known(f"amps{suffix}", f"{rod.layer or 'Your rod'}: no table that we hold has {rod.electrode} of "
            f"{rod.diameter}. The amperage of your WPS decides; ask for the range on the box.",
            source=current.FIRM)
    else:
        low, high = max(held, key=lambda each: each.low), min(held, key=lambda each: each.high)
        _judge_band(w, f"amps{suffix}", "amperage", rod.amps, (_end(low, low.low), _end(high, high.high)), rod.layer)
    if None in rod.amps:
        w.incomplete(f"amps-unstated{suffix}", f"{rod.layer + ': the' if rod.layer else 'The'} amperage of your WPS is "
            "not stated at both ends. Without it no setting can be judged by the WPS.", source=YOUR_WPS)
    _judge_band(w, f"volts{suffix}", "arc voltage", rod.volts,
        (machine.ARC_VOLTS_SMALL, machine.ARC_VOLTS_LARGE), rod.layer)


def _end(window: current.Window, amps: int) -> Fact:
    return replace(window.fact, amount=Fraction(amps), kind=CURRENT, wording="")


def _judge_direction(w: Working, electrode: str, position: str, progression: str, polarity: str) -> None:
    for name, value, asked, judge, given in (
        ("progression", progression, position == "3G", current.judge_progression, (electrode, position, progression)),
        ("polarity", polarity, True, current.judge_polarity, (electrode, polarity)),
    ):
        if not asked:
            continue
        if value == current.UNSTATED:
            w.incomplete(name, f"The {name} of your WPS is not stated. You qualify only with the one that you weld.",
                source=YOUR_WPS)
        else:
            _softened(w, "", "", judge, *given)


def _judge_arc(w: Working, rod: Rod, travel: Ends, heat_most: Fraction | None) -> None:
    """Travel speed, and heat input: no limit of the code is held for it, only what the bands come to."""
    _judge_band(w, "travel", "travel speed", travel, (machine.SLOWEST_BY_HAND, machine.FASTEST_BY_HAND))
    volts, amps, slowest = rod.volts[1], rod.amps[1], travel[0]
    top = None
    if volts is not None and amps is not None and slowest is not None:
        formula = w.given("volts_high", "U_max", volts, VOLTAGE) * w.given("amps_high", "I_max", amps, CURRENT)
        top = w.let(
            "heat_top", "Largest heat input H inside the bands of your WPS", "H_top", HEAT_INPUT,
            formula / w.given("travel_low", "v_min", slowest, TRAVEL_BAND[0].kind), source=heat.HEAT_PLAIN.source,
        )
    if heat_most is None:
        return
    w.given("heat_most", "H_max", heat_most, HEAT_INPUT)
    w.note("heat", "We hold no maximum heat input from the code, so the {heat_most} of your WPS is not compared. "
        "It decides.", source=YOUR_WPS)
    if top is not None and top.amount > heat_most:
        w.caution("heat-top", "At the maximum amperage and voltage and the minimum travel speed of your WPS, H comes to "
            "{heat_top}, over its {heat_most}: not every setting inside its bands keeps to it.", source=YOUR_WPS)


# --- the joint ---------------------------------------------------------------------------------------------


def _judge_joint(w: Working, opening: Fraction, bevel: Fraction, root_face: Fraction) -> None:
    _softened(w, "", "", joint.judge_joint, 2 * bevel, opening)
    if root_face == 0:
        w.ok("root-face", "No root face: the joint on backing has none.", source=joint.NO_ROOT_FACE)
    else:
        _softened(w, "", "", joint.judge_root_face, root_face)


def _judge_backing(w: Working, width: Fraction, thickness: Fraction, widest: Fraction) -> None:
    """The bar under the widest opening that the WPS allows, and its thickness."""
    w.given("backing_width", "W_b", width, LENGTH)
    w.given("backing_thickness", "t_b", thickness, LENGTH)
    w.given("opening_widest", "R_max", widest, LENGTH)
    if width <= widest:
        w.stop("backing-width", "A backing {backing_width} wide does not reach under both plates where the root opening "
            "is {opening_widest}, as your WPS allows.", source=GEOMETRY)
    else:
        w.ok("backing-width", "A backing {backing_width} wide reaches under both plates at a root opening of "
            "{opening_widest} too.", source=GEOMETRY)
    judge_backing_thickness(w, thickness)


def _judge_tolerances(
    w: Working, over: Fraction | None, under: Fraction | None, bevel_over: Fraction | None,
    bevel_under: Fraction | None,
) -> None:
    """Tolerances by the joint as fit-up. Those of the bevel are of one plate; the groove angle takes them twice."""
    if over is not None and under is not None:
        joint.judge_own_tolerance(w, over, under)
    elif over is not None or under is not None:
        w.incomplete("own-tolerance", "Your WPS gives the root opening a tolerance on one side only. Ask for the "
            "other: none is a figure too, 0.", source=YOUR_WPS)
    for side, own, fact in (("over", bevel_over, joint.FIT_ANGLE_OVER), ("under", bevel_under, joint.FIT_ANGLE_UNDER)):
        if own is None:
            continue
        w.known["bevel_own"], w.known["groove_own"] = (Amount(each, ANGLE, as_written=True) for each in (own, 2 * own))
        w.mention("groove_held", fact)
        said = f"{{bevel_own}} {side} on each plate is {{groove_own}} {side} on the groove angle,"
        if 2 * own > fact.amount:  # type: ignore[operator]
            w.caution(f"bevel-{side}", f"{said} more than the {{groove_held}} of the joint as fit-up.{ASK}",
                source=fact.source)
        else:
            w.ok(f"bevel-{side}", f"{said} not more than the {{groove_held}} of the joint as fit-up.",
                source=fact.source)


# --- heat and rods -----------------------------------------------------------------------------------------


def _judge_preheat(w: Working, all_rods: tuple[Rod, ...], name: str, thickness: Fraction,
    minimum: Fraction | None) -> None:
    """The minimum preheat by the row of the table, once for each kind of covering that the WPS names."""
    if minimum is None:
        w.incomplete("preheat-unstated", "The minimum preheat of your WPS is not stated. Ask for it before any arc.",
            source=YOUR_WPS)
    else:
        w.given("preheat_minimum", "T_WPS", minimum, TEMPERATURE)
    steel = find_steel(name)
    if steel is None:
        w.not_known("steel", f"We hold no row for your steel, so its preheat is not compared: {ASK_FOR}.",
            source=YOUR_WPS)
        if minimum is not None:
            heat.judge_minimum(w, "preheat_minimum", None)
        return
    heat.say_steel(w, steel, minimum)
    coverings: dict[str, tuple[str, str]] = {}
    for number, rod in enumerate(all_rods, 1):
        coverings.setdefault(rod.covering, (f"-{number}" if number > 1 else "", rod.layer))
    for covering, (suffix, layer) in coverings.items():
        _softened(w, suffix, layer, heat.judge_rod_for_steel, covering, steel)
        if minimum is not None:
            _softened(w, suffix, layer, heat.judge_minimum, "preheat_minimum",
                heat.row_for(covering, steel, thickness), bad_only=False)


def _judge_interpass(w: Working, maximum: Fraction | None) -> None:
    if maximum is None:
        w.incomplete("interpass-unstated", "The maximum interpass temperature of your WPS is not stated. No document "
            "that we hold states one: ask who wrote the WPS.", source=YOUR_WPS)
        return
    w.given("interpass_maximum", "T_max", maximum, TEMPERATURE)
    heat.judge_interpass_limit(w, "interpass_maximum", maximum)
    if w.checks[-1].id != "interpass-limit":
        w.mention("usual_most", heat.USUAL_MAXIMUM)
        w.ok("interpass-limit", "A maximum interpass temperature of {interpass_maximum} is not over the {usual_most} "
            "that WPSs for carbon steel commonly name. No document that we hold states one.",
            source=heat.USUAL_MAXIMUM.source)


def _judge_exposure(w: Working, all_rods: tuple[Rod, ...], most: Fraction | None) -> None:
    if most is None:
        return
    w.given("exposure_most", "t_max", most, rods.HOURS)
    low_hydrogen = [rod.electrode for rod in all_rods if rod.electrode in rods.LIMITS]
    if low_hydrogen:
        rods.judge_exposure_limit(w, "exposure_most", low_hydrogen[0], bad_only=False)
    else:
        w.note("own-limit", "Your WPS names no low-hydrogen rod, so its time out of the oven is not compared.",
            source=YOUR_WPS)


# --- the whole ---------------------------------------------------------------------------------------------


def _tell_unstated(w: Working, limits: dict[str, tuple[Fraction | None, ...]]) -> None:
    """The limits that decide no verdict by themselves and are blank, in one note."""
    blank = [name for name, ends in limits.items() if all(end is None for end in ends)]
    if blank:
        w.note("unstated", f"Not stated here, so not compared: {listed(blank, 'and')}. Look whether your WPS has them.",
            source=YOUR_WPS)


def _tell_memory(w: Working) -> None:
    """What is compared with a figure that is held from memory only."""
    judged = [each for each in w.checks if each.level in (Level.OK, Level.CAUTION)
        and each.source.standing is Standing.FROM_MEMORY]
    if judged:
        places = dict.fromkeys(_place(each.source) for each in judged)
        w.note("from-memory", f"Held from memory only: {'; '.join(places)}. The figure of your WPS decides there; "
            "check ours in the edition in force.", source=judged[0].source)


def _place(source: Citation) -> str:
    name = source.document.title.partition(",")[0] + ", " if source.document else ""
    return name + source.place


def _count(w: Working) -> None:
    counted = [each.level for each in w.checks]
    for name, label, level in (
        ("inside", "Limits inside what we hold", Level.OK), ("to_ask", "To ask about", Level.CAUTION),
        ("not_known", "Not known to us", Level.NOT_KNOWN), ("not_stated", "Not stated yet", Level.INCOMPLETE),
    ):
        w.value(name, label, counted.count(level), NUMBER, source=YOUR_WPS, main=True)
    w.say("Your WPS against what we hold from the code: inside {inside}, to ask about {to_ask}, not known to us "
        "{not_known}, not stated yet {not_stated}.")


# --- the inputs ------------------------------------------------------------------------------------------------


def _of(calculator: Calculator, source: str, **changes: Any) -> Input:
    """The same input as another calculator's, which takes the fact of its own name."""
    each = calculator.input(source)
    if isinstance(each, Quantity):
        changes["slide"] = None
    return replace(each, takes="", **changes)


def _tolerance(name: str, label: str, kind: Kind, most: str, help: str) -> Quantity:
    zero = f"0 {most.split()[-1]}"
    return Quantity(name, label, kind, "", zero, most, help)


OTHER_RODS = Rows(
    "other_rods", "Passes with another rod",
    (
        words("layer", "Pass", "Root, fill or cover, as the WPS names it.", 20),
        *(replace(current.CURRENT_SETTING.input(name), takes=None) for name in ("electrode", "diameter")),
        *(replace(each, label=label, takes=None) for each, label in zip(
            (*AMPS_BAND, *VOLTS_BAND),
            ("Minimum amperage", "Maximum amperage", "Minimum voltage", "Maximum voltage"),
        )),
    ),
    "", "Only where the WPS names another class or size for some passes. Voltage may stay blank.", row_name="Pass",
    fewest=0, most=6,
)

WPS_CHECK = Calculator(
    id="wps-check",
    title="Your WPS against the code",
    question="Does my WPS stay inside what the guide holds from the code?",
    page="your-test.md",
    work=work_wps_check,
    main=("electrode", "diameter", "amps_low", "amps_high"),
    inputs=(
        _of(TEST_PLAN, "rule", name="rule_document", label="Rule document", help="Your WPS names it."),
        _of(heat.PREHEAT, "steel", label="Steel, standard and grade"),
        _of(GROOVE, "thickness"),
        _of(current.CURRENT_SETTING, "position"),
        _of(current.CURRENT_SETTING, "progression"),
        _of(current.CURRENT_SETTING, "electrode"),
        _of(current.CURRENT_SETTING, "diameter", label="Core diameter of the rod"),
        _of(current.CURRENT_SETTING, "polarity", help="As your WPS says."),
        *AMPS_BAND, *VOLTS_BAND, *TRAVEL_BAND,
        _of(heat.HEAT_INPUT_CALCULATOR, "most", name="heat_most"),
        _of(heat.PREHEAT, "wps_minimum", name="preheat_minimum", help="A lower one than the table's is to ask about."),
        _of(heat.PREHEAT, "interpass", name="interpass_maximum"),
        _of(passes.PASSES, "layer_most"),
        _of(rods.ROD_EXPOSURE, "own_limit", name="exposure_most", label="Maximum time of rods out of the oven"),
        _of(GROOVE, "root_opening"),
        _of(FIT_UP, "over", name="opening_over", label="Root opening, tolerance over",
            help=f"How much wider your WPS allows it. {IF_STATED}"),
        _of(FIT_UP, "under", name="opening_under", label="Root opening, tolerance under",
            help=f"How much tighter your WPS allows it. {IF_STATED}"),
        _of(GROOVE, "bevel_angle"),
        _tolerance("bevel_over", "Bevel angle, tolerance over", ANGLE, "30 deg", f"On one plate. {IF_STATED}"),
        _tolerance("bevel_under", "Bevel angle, tolerance under", ANGLE, "30 deg", f"On one plate. {IF_STATED}"),
        _of(GROOVE, "root_face"),
        _tolerance("root_face_over", "Root face, tolerance over", LENGTH, "1/4 in", IF_STATED),
        _of(CLEAN_BAND, "backing_width"), BACKING_BAR,
        OTHER_RODS,
    ),
)
