"""The band of bright metal beside the groove: how wide it has to be, and how much surface that is.

Stage: cleaning. The structural code gives no width. A Navy document gives 1 in from the edge of the weld; shops
also know 1/2 in. Beside them stands a width worked out from the weld itself: where its toe will lie, and a margin
past it. The larger of the two governs. The surface to clean is plane geometry.
"""

from __future__ import annotations

from fractions import Fraction

from calc.core.declare import Calculator, Choice, InputError, Option, Quantity, Working
from calc.core.formula import Symbol, cos, tan
from calc.core.sources import (
    AWS_D11,
    AWS_D11_2000,
    CFR_46_56,
    COMMON,
    ENTERED,
    GEOMETRY,
    NAVSEA_278,
    Citation,
    Fact,
    Standing,
)
from calc.core.units import ANGLE, AREA, LENGTH, parse
from calc.show.sliders import BEVEL, MARGIN, OPENING, THICKNESS
from calc.stages.fitup_drawings import clean_band as draw_band
from calc.stages.joint import judge_joint, require_backing_reach

NAVY = Citation(NAVSEA_278, "7.2", Standing.READ)
BAND_HALF = Fact(
    "clean-band-half", "Clean band beside the groove, narrow shop rule", parse("1/2 in", LENGTH), LENGTH, COMMON,
)
BAND_ONE = Fact(
    "clean-band-one", "Clean band beside the groove, wide rule", parse("1 in", LENGTH), LENGTH,
    Citation(NAVSEA_278, "7.2", Standing.READ, "Measured there from the toe of the weld. AWS D1.1 gives no width."),
)
BAND_NAVY = Fact(
    "clean-navy-scale", "Where the Navy document has scale and oxides taken off", None, None, NAVY,
    "where weld metal will be deposited",
)
SURFACE_RULE = Fact(
    "clean-surface-rule", "What surfaces to be welded must be free from", None, None,
    Citation(CFR_46_56, "paragraph (a)(2)", Standing.READ, "A rule for ships' piping: it names no width."),
    "“free from paint, oil, rust, scale”",
)
CUT_RULE = Fact(
    "clean-cut-rule", "How an oxygen cut must be left", None, None,
    Citation(CFR_46_56, "paragraph (a)(1)(i)", Standing.READ),
    "“reasonably smooth and true, and all slag is cleaned”",
)
FOREIGN_MATERIAL = Fact(
    "clean-foreign-material", "Foreign material that the structural code names", None, None,
    Citation(
        AWS_D11, "clauses 5.14.4.1 and 5.14.4.2", Standing.READ,
        "Read in a reproduction of the page. It names no width.",
    ),
    "excess water, oil, grease and other hydrocarbons",
)
TIGHT_SCALE = Fact(
    "clean-tight-scale", "What the structural code lets stay", None, None,
    Citation(
        AWS_D11_2000, "clause 5.15 of 2004, quoted in a discussion", Standing.SECONDARY,
        "By 2015 numbering clause 5.14; read it in your edition.",
    ),
    "mill scale that withstands vigorous wire brushing, except on girders of cyclic structures",
)
RUN_OFF = Fact("fit-run-off", "Backing past each end of the joint", parse("1 in", LENGTH), LENGTH, COMMON)
FACTS = (BAND_HALF, BAND_ONE, BAND_NAVY, SURFACE_RULE, CUT_RULE, FOREIGN_MATERIAL, TIGHT_SCALE, RUN_OFF)

_RULES = {"half": BAND_HALF, "one": BAND_ONE}


def work_clean_band(
    w: Working, *, thickness: Fraction, bevel_angle: Fraction, root_opening: Fraction, rule: str,
    own_band: Fraction | None, lap: Fraction, margin: Fraction, length: Fraction, backing_width: Fraction,
    run_off: Fraction, surfaces: str,
) -> None:
    """How far from the groove to clean each plate, and how much surface that is.

        s = t / cos β    w = R + 2·t·tan β    b_foot = e + m    b = the larger of b_foot and the rule
        w_bright = w + 2·b
        A = 2·b·L + 2·s·L + 2·u·L + W·(L + 2·r)    u = the larger of b and (W − R)/2

    t thickness, R root opening, L length, W and r width and run-off of the backing, e lap, m margin: m; β degrees; A
    m².

    `InputError` on a backing that does not reach under both plates, and on an own rule without its figure. Source:
    plane geometry; NAVSEA S9074-AR-GIB-010/278, 7.2 for 1 in; common practice for 1/2 in.

    By hand, 3/8 in, 45° in all, 1/4 in open: a face of 1/4 + 2 · 0.155330 in, and 1 in more each side.

    >>> round(float(CLEAN_BAND.answer()["bright_width"].amount) / 0.0254, 4)
    2.5607
    """
    require_backing_reach(backing_width, root_opening)
    t = w.given("thickness", "t", thickness, LENGTH)
    beta = w.given("bevel_angle", "β", bevel_angle, ANGLE)
    opening = w.given("root_opening", "R", root_opening, LENGTH)
    joint = w.given("length", "L", length, LENGTH)

    slope = w.let(
        "sloped_face", "Length of the sloped face, no root face", "s", LENGTH, t / cos(beta), as_fraction=True,
    )
    face = w.let("face_width", "Face width of the groove", "w", LENGTH, opening + 2 * t * tan(beta), as_fraction=True)
    footprint = _footprint(w, face, lap, margin)
    ruled = _ruled(w, rule, own_band)
    governing = footprint if footprint.amount > ruled.amount else ruled
    band = w.value(
        "band", "Band to clean on each plate, from the bevel edge: the larger of the two", governing.amount, LENGTH,
        source=ENTERED if governing is footprint else _source(rule), symbol="b", main=True, as_fraction=True,
    )
    w.let(
        "bright_width", "Bright width across the whole joint, top side", "w_bright", LENGTH, face + 2 * band, main=True,
        as_fraction=True,
    )
    _areas(
        w, surfaces, opening=opening, joint=joint, slope=slope, band=band, backing_width=backing_width, run_off=run_off,
    )
    w.words("free_from", "What has to be off inside the band", SURFACE_RULE.wording, source=SURFACE_RULE.source)

    w.draw(draw_band(w, surfaces))
    w.say(
        "Clean each plate bright for {band} from the bevel edge, {bright_width} across the joint: {area} of surface in "
        "all."
    )
    _check_band(w, rule, ruled, footprint, lap)
    _check_narrow(w, band.amount)
    _check_surfaces(w, surfaces)
    judge_joint(w, 2 * bevel_angle, root_opening, bad_only=True)
    _check_run_off(w, run_off)
    w.warn(
        "A grinding disc can burst, kick and throw sparks far. Guard on, safety glasses and a face shield, hearing "
        "protection, the work clamped, nothing that burns in the line of the sparks."
    )
    w.warn(
        "Paint, zinc, plating and oil give off harmful fume when heated. Take them off before any flame or arc, never "
        "with it."
    )
    w.warn(
        "The width and the state of the surface belong to your WPS (welding procedure specification). Where its "
        "figures differ from these, use its figures."
    )


def _footprint(w: Working, face: Symbol, lap: Fraction, margin: Fraction) -> Symbol:
    """The band by the weld itself: its lap past the bevel edge, and the margin past its toe."""
    toe = w.given("lap", "e", lap, LENGTH)
    w.let("footprint", "Footprint of the weld, toe to toe", "w_toe", LENGTH, face + 2 * toe, as_fraction=True)
    past = w.given("margin", "m", margin, LENGTH)
    return w.let(
        "footprint_band", "Band by the footprint, from the bevel edge", "b_foot", LENGTH, toe + past, source=ENTERED,
        as_fraction=True,
    )


def _source(rule: str) -> Citation:
    return _RULES[rule].source if rule in _RULES else ENTERED


def _ruled(w: Working, rule: str, own_band: Fraction | None) -> Symbol:
    """The band of the chosen rule; both known widths are shown beside it.

    Raises `InputError` where the own figure is missing.
    """
    shown = {name: w.fact(fact, f"b_{name}") for name, fact in _RULES.items()}
    if rule not in shown and own_band is None:
        raise InputError(
            "own_band", "Your own band", "this rule goes by it; write it in inches or millimeters, as in 3/4 in or 20 "
            "mm",
        )
    chosen = shown[rule] if rule in shown else Symbol("b_own", own_band, LENGTH)
    w.value(
        "rule_band", "Band by the chosen rule", chosen.amount, LENGTH, source=_source(rule), symbol=chosen.name,
        as_fraction=True,
    )
    return chosen


def _areas(
    w: Working, surfaces: str, *, opening: Symbol, joint: Symbol, slope: Symbol, band: Symbol,
    backing_width: Fraction, run_off: Fraction,
) -> None:
    """The surfaces one by one and their sum."""
    total = (
        w.let("top_area", "Top faces, both plates", "A_top", AREA, 2 * band * joint)
        + w.let("bevel_area", "Bevel faces, both plates", "A_bevel", AREA, 2 * slope * joint)
    )
    wide = w.given("backing_width", "W", backing_width, LENGTH)
    contact = w.let("contact", "Backing under each plate", "c", LENGTH, (wide - opening) / 2, as_fraction=True)
    if surfaces != "top":
        u = w.value(
            "under_band", "Band on the underside: as on top, and at least as far as the backing reaches",
            max(contact.amount, band.amount), LENGTH, source=GEOMETRY, symbol="u", as_fraction=True,
        )
        total = total + w.let("under_area", "Undersides, both plates", "A_under", AREA, 2 * u * joint)
    if surfaces == "all":
        r = w.given("run_off", "r", run_off, LENGTH)
        total = total + w.let(
            "backing_area", "Backing, the side that meets the plates", "A_back", AREA, wide * (joint + 2 * r),
        )
    w.let("area", "Surface to clean in all", "A", AREA, total, main=True)


def _check_band(w: Working, rule: str, ruled: Symbol, footprint: Symbol, lap: Fraction) -> None:
    """The band of the rule against the weld's toe and the margin past it."""
    if ruled.amount <= lap:
        w.stop(
            "band", "The chosen rule gives {rule_band}, and the weld laps {lap} past the bevel edge: no bright metal "
            "is left beside it.", source=ENTERED,
        )
    elif footprint.amount > ruled.amount:
        w.caution(
            "band", "The chosen rule gives {rule_band}, but the weld and its margin reach {footprint_band} past the "
            "bevel edge. The footprint governs.", source=ENTERED,
        )
    else:
        w.ok(
            "band", "{rule_band} covers the toe of the weld and the margin past it, {footprint_band} from the bevel "
            "edge.", source=_source(rule),
        )


def _check_narrow(w: Working, band: Fraction) -> None:
    """The band that governs against the width that a document gives."""
    w.mention("wide", BAND_ONE)
    w.mention("narrow", BAND_HALF)
    if band < BAND_HALF.amount:
        w.caution(
            "band-narrow", "{band} is narrower than even the narrow shop rule of {narrow}. The one document that we "
            "know gives {wide}.", source=BAND_ONE.source,
        )
    elif band < BAND_ONE.amount:
        w.caution(
            "band-narrow", "{band} is narrower than {wide}, the one width that we know from a document. Your WPS "
            "decides.", source=BAND_ONE.source,
        )


def _check_surfaces(w: Working, surfaces: str) -> None:
    if surfaces == "all":
        w.ok(
            "surfaces", "Top faces, bevels, undersides and backing are all counted: the root pass melts into every one "
            "of them.", source=NAVY,
        )
    elif surfaces == "plates":
        w.caution(
            "surfaces", "The backing is left out. The root pass melts into it: see that it is bright too.", source=NAVY,
        )
    else:
        w.stop(
            "surfaces", "Undersides and backing are left out. Scale there holds the backing off the plates and feeds "
            "the root pass with gas and slag.", source=NAVY,
        )


def _check_run_off(w: Working, run_off: Fraction) -> None:
    w.given("run_off", "r", run_off, LENGTH)
    w.mention("usual_run_off", RUN_OFF)
    if run_off < RUN_OFF.amount:
        w.caution(
            "run-off", "The backing sticks out {run_off} past the plates, less than the usual {usual_run_off}: starts "
            "and stops belong out there.", source=RUN_OFF.source,
        )


CLEAN_BAND = Calculator(
    id="clean-band",
    title="Band to clean",
    question="How far from the groove do I clean, and how much surface is that?",
    page="cleaning.md",
    work=work_clean_band,
    main=("thickness", "root_opening", "rule"),
    inputs=(
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "3 in", "Measure it; do not trust the tag.",
            "t", common=("1/4 in", "3/8 in", "1/2 in", "3/4 in", "1 in"), slide=THICKNESS,
        ),
        Quantity(
            "bevel_angle", "Bevel angle, each plate", ANGLE, "22.5 deg", "0 deg", "60 deg",
            "From square, one plate. Both plates together make the groove angle.", "β", common=("22.5 deg", "30 deg"),
            slide=BEVEL,
        ),
        Quantity(
            "root_opening", "Root opening", LENGTH, "1/4 in", "0 in", "1 in",
            "The gap between the plates at the backing.", "R", common=("3/16 in", "1/4 in", "3/8 in"), slide=OPENING,
        ),
        Choice(
            "rule", "Rule for the band",
            (
                Option("one", "1 in (25 mm) from the bevel edge, a Navy document"),
                Option("half", "1/2 in (13 mm) from the bevel edge, shop practice"),
                Option("own", "Your own figure, from your WPS"),
            ),
            "one", "AWS D1.1 gives no width. Your WPS may.",
        ),
        Quantity(
            "own_band", "Your own band", LENGTH, "", "0 in", "12 in",
            "Only for your own rule. From the bevel edge, on each plate.", "b_own",
        ),
        Quantity(
            "lap", "Lap of the weld past the bevel edge", LENGTH, "1/16 in", "0 in", "1 in",
            "How far the toe of the cover pass lies past the edge of the groove, each side.", "e",
            common=("1/16 in", "1/8 in"),
        ),
        Quantity(
            "margin", "Bright metal past the toe", LENGTH, "1/2 in", "0 in", "6 in",
            "What you want clean beyond the weld itself, each side.", "m", slide=MARGIN,
        ),
        Quantity(
            "length", "Length of the joint", LENGTH, "7 in", "1/2 in", "120 in",
            "Plate edge to plate edge along the groove.", "L",
            takes="plate_length",
        ),
        Quantity(
            "backing_width", "Backing width", LENGTH, "1 in", "1/4 in", "12 in", "Across the joint.", "W",
            common=("1 in", "1-1/2 in", "2 in"),
        ),
        Quantity(
            "run_off", "Backing past each end", LENGTH, "1 in", "0 in", "12 in",
            "How far the backing sticks out past the plates, each end.", "r",
        ),
        Choice(
            "surfaces", "Surfaces to clean",
            (
                Option("all", "Top faces, bevels, undersides and backing"),
                Option("plates", "Plates only: top faces, bevels and undersides"),
                Option("top", "Top faces and bevels only"),
            ),
            "all", "Count all of them unless the backing comes to you bright.",
        ),
    ),
)
