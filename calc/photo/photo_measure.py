"""The calculator of the page *Measure on a photo*: marks in pixels, what the reference is, the answer with its band.

Stage: all that is measured by eye. A measured length is judged by the rules of its own stage (`calc.stages.judging`,
`calc.stages.fitup`), at both ends of its band. Where these come to different verdicts the photo is no gauge, and the
answer says so. The page's script moves marks; nothing about a picture is worked out there.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from calc.core.declare import Calculator, Choice, InputError, Level, Option, Quantity, Rows, Whole, Working
from calc.core.formula import Formula, Symbol, sqrt
from calc.core.sources import COMMON, ENTERED, GEOMETRY, JCGM_100, VIEW_GEOMETRY, Citation, Fact, Standing
from calc.core.units import ANGLE, INCH, LENGTH, NUMBER, PERCENTAGE, Kind, Number, show_both
from calc.later import Module
from calc.photo.drawing import band
from calc.photo.views import ANGLE_OF, BEND, CORNERS, ENDS, GAP, LENGTH_OF, MARKS_OF, REFERENCE_MARKS
from calc.stages.bend import BEND_RATIO
from calc.stages.fitup import FIT_UP, MISMATCH_SHARE, most_misalignment, tolerance_of
from calc.stages.judging import BEND_JUDGE, RULES, Opening, Outcome, judge_opening

measure = Module("calc.photo.measure")

PROPAGATION = Citation(JCGM_100, "5.1.2, law of propagation of uncertainty", Standing.FROM_MEMORY)
EVEN = Citation(JCGM_100, "4.3.7, limits without more knowledge", Standing.FROM_MEMORY)
COVERAGE_FACTOR = Citation(JCGM_100, "6.2, expanded uncertainty", Standing.FROM_MEMORY)
NORMALIZED_DLT = Citation(VIEW_GEOMETRY, "normalized direct linear transformation", Standing.FROM_MEMORY)
OURS = Citation(
    None, "Assumed by this guide for a phone's main camera, and checked on photographs that its tests make",
    Standing.COMMON_PRACTICE,
)
CYLINDER = Citation(None, "Ray of the camera cut with the cylinder of the bend", Standing.WORKED_OUT)


def _assumed(id: str, label: str, amount: Number, kind: Kind) -> Fact:
    return Fact(id, label, amount, kind, OURS)


FOCAL_LEAST = _assumed(
    "photo-focal-least", "Minimum focal length, in lengths of the picture's longer side", Fraction("0.65"), NUMBER,
)
FOCAL_MOST = _assumed(
    "photo-focal-most", "Maximum focal length, in lengths of the picture's longer side", Fraction("1.2"), NUMBER,
)
LENS = _assumed("photo-lens", "Distortion of the lens at the corner of the picture, at most", Fraction(1), PERCENTAGE)
TILT_CAUTION = _assumed("photo-tilt-caution", "Tilt from which the view asks for a better picture", Fraction(30), ANGLE)
TILT_MOST = _assumed("photo-tilt-most", "Tilt over which nothing is measured", Fraction(45), ANGLE)
TURNED_MOST = _assumed(
    "photo-turned-most", "How far from its apex a bent surface is measured, as an angle of the arc", Fraction(30),
    ANGLE,
)
APEX_OFF = _assumed(
    "photo-apex-off", "How far off the marked apex is, at most, as an angle of the arc", Fraction(5), ANGLE,
)
RADIUS_OFF = _assumed(
    "photo-radius-off", "How far the bent surface is from the plunger's radius and one thickness", Fraction(10),
    PERCENTAGE,
)
SMALLEST_REFERENCE = _assumed(
    "photo-reference-least", "Smallest reference in the picture, share of the picture's longer side", Fraction(5),
    PERCENTAGE,
)
FARTHEST = _assumed(
    "photo-farthest", "How far from the middle of the reference a mark may lie, in references", Fraction("1.5"), NUMBER,
)
WIDE_BAND = _assumed(
    "photo-wide-band", "Band from which a closer picture is asked for, share of the measure", Fraction(25), PERCENTAGE,
)
COVERAGE = Fact(
    "photo-coverage", "Standard uncertainties in the band, which holds about 95 % of repeated measurements",
    Fraction(2), NUMBER, COVERAGE_FACTOR,
)
FACTS = (
    FOCAL_LEAST, FOCAL_MOST, LENS, TILT_CAUTION, TILT_MOST, TURNED_MOST, APEX_OFF, RADIUS_OFF, SMALLEST_REFERENCE,
    FARTHEST, WIDE_BAND, COVERAGE,
)


def _plain(fact: Fact) -> float:
    return float(fact.amount) / (100 if fact.kind is PERCENTAGE else 1)


def limits() -> measure.Limits:
    """Where the views hold, from the register."""
    return measure.Limits(
        focal_least=_plain(FOCAL_LEAST), focal_most=_plain(FOCAL_MOST), lens=_plain(LENS), tilt_most=_plain(TILT_MOST),
        turned_most=_plain(TURNED_MOST), apex_off=_plain(APEX_OFF), radius_off=_plain(RADIUS_OFF),
        smallest_reference=_plain(SMALLEST_REFERENCE), farthest=_plain(FARTHEST),
    )


THOUSANDTH = INCH.factor / 1000
"""Ends of a band are rounded outward to thousandths of an inch: what is judged is what is shown and handed on."""

ALONE, MISMATCH = "alone", "misalignment"
_SUBJECTS = {LENGTH_OF: "length", GAP: "gap", ANGLE_OF: "angle"}


# --- the verdict ---------------------------------------------------------------


@dataclass(frozen=True)
class Judged:
    """How one size comes out by a rule: a level, the words, and who says so."""

    level: Level
    by: str
    words: str
    source: Citation


Judge = Callable[[Fraction], Judged]

_OUTCOMES = {
    Outcome.WITHIN: Level.OK, Outcome.NOT_COUNTED: Level.NOTE, Outcome.OVER: Level.STOP,
    Outcome.REPLACE: Level.INCOMPLETE,
}


def _judge_of(purpose: str, inputs: dict[str, Any]) -> Judge | None:
    """The judging function of the stage that the size goes to; None where it goes nowhere."""
    if purpose == BEND_JUDGE.id:
        rule = next(each for each in RULES if each.key == inputs["rule"])
        if inputs["wall"] is None and rule.half_wall:
            raise InputError("wall", BEND_JUDGE.input("wall").label, "this rule goes by it; write it, as in 3/8 in")
        wall = inputs["wall"] or BEND_JUDGE.input("wall").limits[1]
        figures = rule.figures(inputs["figures"])

        def opening(size: Fraction) -> Judged:
            found = Opening(1, size, inputs["place"] == "corner", inputs["flaw"] == "yes")
            outcome = judge_opening(rule, figures, found, wall)
            return Judged(_OUTCOMES[outcome], f"By {rule.name}", outcome.value, rule.source)

        return opening
    if purpose == FIT_UP.id:
        tolerance = tolerance_of(inputs["tolerance"], inputs["over"], inputs["under"])
        required, by = inputs["required"], f"By the tolerance {tolerance.name}"

        def root(size: Fraction) -> Judged:
            if tolerance.holds(required, size):
                return Judged(Level.OK, by, "inside", tolerance.source)
            side = "wide" if size > required else "tight"
            return Judged(Level.STOP, by, f"too {side}", tolerance.source)

        return root
    if purpose == MISMATCH:
        own = inputs["mismatch_limit"]
        limit = most_misalignment(inputs["thickness"]) if own is None else own
        source = MISMATCH_SHARE.source if own is None else ENTERED

        def step(size: Fraction) -> Judged:
            over = size > limit
            words = f"{'over' if over else 'within'} {show_both(limit, LENGTH)}"
            return Judged(Level.STOP if over else Level.OK, "For a misalignment", words, source)

        return step
    return None


def _judge(w: Working, judge: Judge, low: Fraction, high: Fraction) -> bool:
    """Both ends of the band by the same rule: one verdict, or too close to tell. Returns whether there is a verdict."""
    one, other = judge(low), judge(high)
    if one == other:
        w.check(
            one.level, "size", f"{one.by}, all of the band, {{low}} to {{high}}: {one.words}.", source=one.source,
        )
        return True
    w.not_known(
        "size", f"Too close: measure with a gauge. The limit lies inside the band. {one.by}, {{low}}: {one.words}; "
        f"{{high}}: {other.words}.", source=one.source,
    )
    return False


# --- the work ------------------------------------------------------------------


def work_photo_measure(
    w: Working, *, purpose: str, what: str, reference: str, ref_length: Fraction, ref_width: Fraction | None,
    ref_error: Fraction, reference_marks: tuple[tuple[Fraction, Fraction], ...],
    marks: tuple[tuple[Fraction, Fraction], ...], picture_width: int, picture_height: int, mark_error: Fraction,
    blur: Fraction, relief: Fraction, off_square: Fraction, plunger_diameter: Fraction, specimen_thickness: Fraction,
    placed: str, **judged_by: Any,
) -> None:
    """What marks on a photograph measure, its band, and whether the whole band is on one side of the limit.

        corners: (u, v, 1) ~ H·(x, y, 1)    ends: x = L·m / p    bend: arc = R·α, R = A/2 + t
        a = √((x₂ − x₁)² + (y₂ − y₁)²)    u_m = √((e/2)² + b²/12)    U = 2·√Σ u²

    H from the four corners of the reference (normalized DLT), L and W its length and width, R the radius of the convex
    surface, A the plunger's diameter and t the specimen's thickness, all in m; marks, e and b in pixels; each u the
    change of the answer by one cause, worked out by measuring anew. The band is U to both sides, rounded outward to
    0.001 in; it holds about 95 %.

    Holds for flat views (groove end, weld face, plate) and for the convex surface of a specimen near its apex. Refused
    as not known: marks in line or outside the picture, a tilt over 45°, a reference that is small or far, a bent
    surface over 30° from its apex, a gap between lines that part. Raises `InputError` for a wrong count of marks and
    for what the rule chosen goes by and is blank. Sources: JCGM 100 and the normalized DLT, from memory; the camera's
    figures are assumed.

    >>> told = PHOTO_MEASURE.answer()
    >>> told["measured"].text("us").replace("\\xa0", " "), told.check("size").level.value
    ('0.0626 in (about 1/16 in)', 'ok')
    """
    _require_counts(reference, what, reference_marks, marks)
    if reference == CORNERS and ref_width is None:
        raise InputError(
            "ref_width", PHOTO_MEASURE.input("ref_width").label, "four corners need it; write it in inches or "
            "millimeters",
        )
    judge = _judge_of(purpose, judged_by)
    size = float(picture_width), float(picture_height)
    radius = float(plunger_diameter) / 2 + float(specimen_thickness) if reference == BEND else 0.0
    scene = measure.Scene(
        size, reference, what, measure.as_points(reference_marks), measure.as_points(marks), float(ref_length),
        float(ref_width or 0), limits().focal * max(size), radius,
    )
    errors = measure.Errors(float(mark_error), float(blur), float(ref_error), float(relief), float(off_square))
    _cautions(w, purpose)
    if placed == "no":
        w.words("verdict", "Measured", "not yet", source=ENTERED, main=True)
        text = "Nothing is measured yet. Drag every mark to its place."
        w.incomplete("placed", text, source=ENTERED)
        w.say(text)
        return
    try:
        _require_view(purpose, what, reference)
        found = measure.measured(scene, errors, limits())
    except measure.Refused as why:
        w.words("verdict", "Measured", "nothing: see why below", source=OURS, main=True)
        w.not_known(why.id, why.words, source=OURS)
        w.say("Nothing is measured on this photo. " + why.words.replace("{", "").replace("}", ""))
        return
    _given(w, reference, ref_length, ref_width, plunger_diameter, specimen_thickness, mark_error, blur)
    value = _measured(w, found, what, reference)
    low, high = _band(w, found, value, what)
    _check_view(w, found, reference)
    _check_band(w, found, judge is None)
    told = judge is not None and _judge(w, judge, low, high)
    if told:
        _hand_on(w, purpose, value.amount, high)
    if purpose == BEND_JUDGE.id:
        w.note(
            "sum", "One open discontinuity is judged here by itself. The sum on a specimen, and the test, are judged "
            "on the page Judging.", source=COMMON,
        )
    verdict = f" {_verdict(w)}" if judge is not None else ""
    w.say(f"The {_SUBJECTS[what]} measures {{measured}}, give or take {{band}}: {{low}} to {{high}}.{verdict}")
    w.draw(band(w, ANGLE if what == ANGLE_OF else LENGTH))


def _verdict(w: Working) -> str:
    """The verdict in few words, for the sentence that is spoken."""
    level = next(check.level for check in w.checks if check.id == "size")
    return {
        Level.OK: "That is inside the limit.", Level.STOP: "That is outside the limit.",
        Level.NOT_KNOWN: "Too close: measure with a gauge.",
    }.get(level, "See below what the rule says.")


def _cautions(w: Working, purpose: str) -> None:
    w.warn(
        "This is study help, never a certification. A photo shows what its light shows: the verdict belongs to a "
        "qualified inspector with the piece in hand and a gauge."
    )
    if purpose == BEND_JUDGE.id:
        w.warn("Bent specimens have sharp edges and may be hot. Gloves and eye protection on, also for the picture.")


def _require_counts(reference: str, what: str, reference_marks: tuple, marks: tuple) -> None:
    for name, rows, wanted in (
        ("reference_marks", reference_marks, REFERENCE_MARKS[reference]), ("marks", marks, MARKS_OF[what]),
    ):
        if len(rows) != wanted:
            raise InputError(
                name, PHOTO_MEASURE.input(name).label, f"{len(rows)} marks; this takes {wanted}",
            )


def _require_view(purpose: str, what: str, reference: str) -> None:
    """Which measures hold in which view. Raises `Refused`."""
    if reference == BEND and what != LENGTH_OF:
        raise measure.Refused(
            "view", "On a bent surface only lengths are measured: a line or an angle on it is bent as well."
        )
    if purpose == BEND_JUDGE.id and (reference != BEND or what != LENGTH_OF):
        raise measure.Refused(
            "view", "An open discontinuity lies on a bent surface. Choose a length, and for the reference the "
            "specimen's width at the apex.",
        )
    if purpose in (FIT_UP.id, MISMATCH) and (reference == BEND or what == ANGLE_OF):
        raise measure.Refused(
            "view", "A joint is measured on a flat view. Choose a gap or a length, and for the reference something "
            "flat.",
        )


def _given(
    w: Working, reference: str, ref_length: Fraction, ref_width: Fraction | None, plunger_diameter: Fraction,
    specimen_thickness: Fraction, mark_error: Fraction, blur: Fraction,
) -> None:
    w.given("ref_length", "L", ref_length, LENGTH)
    if reference == CORNERS:
        w.given("ref_width", "W", ref_width, LENGTH)
    if reference == BEND:
        plunger = w.given("plunger_diameter", "A", plunger_diameter, LENGTH)
        thickness = w.given("specimen_thickness", "t", specimen_thickness, LENGTH)
        w.let("radius", "Radius of the convex surface", "R", LENGTH, plunger / 2 + thickness)
    error, blurred = w.given("mark_error", "e", mark_error, NUMBER), w.given("blur", "b", blur, NUMBER)
    w.let(
        "pixel", "Standard uncertainty of a mark, in pixels", "u_m", NUMBER, sqrt((error / 2)**2 + blurred**2 / 12),
        source=EVEN,
    )


_LINES = ((0, 1), (2, 3))


def _measured(w: Working, found: measure.Measured, what: str, reference: str) -> Symbol:
    """The places of the marks on the surface, and the measure from them as a worked step."""
    source = {CORNERS: NORMALIZED_DLT, ENDS: GEOMETRY, BEND: CYLINDER}[reference]
    along, across = ("along the axis", "along the arc") if reference == BEND else ("along the reference", "across it")
    places = [
        (
            w.value(f"along_{number}", f"Mark {number}, {along}", x, LENGTH, source=source, symbol=f"x_{number}",
                digits=5),
            w.value(f"across_{number}", f"Mark {number}, {across}", y, LENGTH, source=source, symbol=f"y_{number}",
                digits=5),
        )
        for number, (x, y) in enumerate(found.places, 1)
    ]
    if what == LENGTH_OF:
        return w.let(
            "measured", "Length", "a", LENGTH, _apart(*places), main=True, digits=3, as_fraction=True,
        )
    if what == GAP:
        first, second = (
            w.value(
                f"off_{number}", f"Middle of line {number} from the other line", abs(measure.off_line(
                    tuple((a + b) / 2 for a, b in zip(*(found.places[place] for place in own), strict=True)),
                    *(found.places[place] for place in other),
                )), LENGTH, source=GEOMETRY, symbol=f"d_{number}", digits=5,
            )
            for number, (own, other) in enumerate((_LINES, _LINES[::-1]), 1)
        )
        return w.let(
            "measured", "Gap between the lines", "a", LENGTH, (first + second) / 2, main=True, digits=3,
            as_fraction=True,
        )
    return w.value(
        "measured", "Angle at the second mark", found.value, ANGLE, source=GEOMETRY, symbol="a", main=True, digits=3,
    )


def _apart(one: tuple[Symbol, Symbol], other: tuple[Symbol, Symbol]) -> Formula:
    return sqrt((other[0] - one[0])**2 + (other[1] - one[1])**2)


def _band(w: Working, found: measure.Measured, value: Symbol, what: str) -> tuple[Fraction, Fraction]:
    """The parts of the band, the band, and its ends, rounded outward."""
    kind = ANGLE if what == ANGLE_OF else LENGTH
    total: Formula | None = None
    for number, part in enumerate(found.parts, 1):
        source = PROPAGATION if "marks" in part.name else EVEN
        one = w.value(part.name, f"{part.label}, standard uncertainty", part.size, kind, source=source,
            symbol=f"u_{number}", digits=3)
        total = one**2 if total is None else total + one**2
    factor = w.given("coverage", "k", COVERAGE.amount, NUMBER)
    half = w.let(
        "band", "Band to each side, for about 95 %", "U", kind, factor * sqrt(total), source=COVERAGE_FACTOR, main=True,
        digits=2,
    )
    step = Fraction(1, 10) if kind is ANGLE else THOUSANDTH
    middle, wide = Fraction(value.amount), Fraction(half.amount)
    low = max(math.floor((middle - wide) / step) * step, Fraction(0))
    high = math.ceil((middle + wide) / step) * step
    for name, end in (("low", low), ("high", high)):
        w.value(
            name, f"{name.title()} end of the band", end, kind, source=PROPAGATION, symbol=f"a_{name}", digits=4,
        )
    return low, high


def _check_view(w: Working, found: measure.Measured, reference: str) -> None:
    w.mention("tilt_caution", TILT_CAUTION)
    if reference == CORNERS:
        w.value(
            "tilt", "Tilt of the surface to the picture", found.tilt, ANGLE, source=NORMALIZED_DLT, symbol="τ",
            digits=2,
        )
        if found.tilt > TILT_CAUTION.amount:
            w.caution(
                "tilt", "The picture was taken at {tilt} off square. A squarer one, under {tilt_caution}, has a "
                "narrower band.", source=OURS,
            )
        else:
            w.ok(
                "tilt", "The picture was taken at {tilt} off square, and the perspective is taken out.",
                source=NORMALIZED_DLT,
            )
    elif reference == ENDS:
        w.note(
            "tilt", "Two ends do not show how square the picture is. What you entered for it is in the band. Four "
            "corners of something flat would show it.", source=OURS,
        )
    else:
        w.value("turned", "Farthest mark from the apex, angle of the arc", found.turned, ANGLE, source=CYLINDER,
            symbol="α", digits=2)
        w.note(
            "apex", "The farthest mark lies {turned} of arc from the marked apex. This holds only if the reference "
            "lies across the apex, halfway between the two legs.", source=OURS,
        )


def _check_band(w: Working, found: measure.Measured, alone: bool) -> None:
    """What widens the band. How wide it may be, a limit says where there is one; a size alone is set beside it."""
    if alone and COVERAGE.amount * found.standard > _plain(WIDE_BAND) * found.value:
        w.caution(
            "band", "The band is wide beside the measure. Go closer, hold the camera square, mark at a higher zoom, "
            "or use a gauge.", source=OURS,
        )
    widest = max(found.parts, key=lambda part: part.size)
    w.words("widest", "Largest cause of the band", widest.label.lower(), source=PROPAGATION)
    w.note("widest", "The largest part of the band comes from: {widest}.", source=PROPAGATION)


def _hand_on(w: Working, purpose: str, value: Number, high: Fraction) -> None:
    """The size that goes on: of an open discontinuity the high end, so that no sum is taken too kindly."""
    cautious = purpose == BEND_JUDGE.id
    amount = high if cautious else round(Fraction(value) / THOUSANDTH) * THOUSANDTH
    label = "Goes on to Judging, the high end of the band" if cautious else "Goes on to Fit-up"
    w.value("handed_on", label, amount, LENGTH, source=PROPAGATION, digits=4)


# --- the declaration -----------------------------------------------------------


_X = Quantity("x", "From the left, px", NUMBER, "0", "0", "20000", "Pixels of the picture from its left edge.")
_Y = Quantity("y", "From the top, px", NUMBER, "0", "0", "20000", "Pixels of the picture from its top edge.")

PHOTO_MEASURE = Calculator(
    id="photo-measure",
    title="Measure on a photo",
    question="What does my photo measure, and how sure is that?",
    page="photo.md",
    work=work_photo_measure,
    main=("purpose", "what", "reference", "ref_length"),
    inputs=(
        Choice(
            "purpose", "What it is for", (
                Option(BEND_JUDGE.id, "An open discontinuity, for Judging"), Option(FIT_UP.id, "A root opening, for "
                "Fit-up"),
                Option(MISMATCH, "Misalignment, for Fit-up"), Option(ALONE, "Only to know"),
            ), BEND_JUDGE.id, "It says which limit the size is compared with.", takes=None,
        ),
        Choice(
            "what", "What to measure", (
                Option(LENGTH_OF, "A length: two ends"), Option(GAP, "A gap: two marks on each of two lines"),
                Option(ANGLE_OF, "An angle: three marks, the corner second"),
            ), LENGTH_OF, "Each end, line or corner gets its marks.", takes=None,
        ),
        Choice(
            "reference", "Reference in the picture", (
                Option(BEND, "Width of a bent specimen, at its apex"),
                Option(CORNERS, "Four corners of something flat"),
                Option(ENDS, "Two ends of a known length, seen square"),
            ), BEND, "Something whose size you know, in the same picture and at the same height.", takes=None,
        ),
        Quantity(
            "ref_length", "Length of the reference", LENGTH, "1-1/2 in", "1/8 in", "60 in",
            "Between its first two marks. At the apex: the specimen's width there. Measure it with a caliper.", "L",
            takes=None,
        ),
        Quantity(
            "ref_width", "Width of the reference", LENGTH, "1-1/2 in", "1/8 in", "60 in",
            "Only for four corners: between the second mark and the third.", "W", may_be_blank=True, takes=None,
        ),
        Quantity(
            "ref_error", "How far off that size may be", LENGTH, "1/64 in", "0 in", "1/4 in",
            "To both sides. With a caliper 0.005 in, with a rule 1/64 in.", takes=None,
        ),
        Rows(
            "reference_marks", "Marks of the reference", (_X, _Y), "500 | 600\n1100 | 600",
            "Two ends, or four corners in turn around it.", row_name="Reference mark", fewest=2, most=4, takes=None,
        ),
        Rows(
            "marks", "Marks of what is measured", (_X, _Y), "800 | 640\n825 | 640",
            "Two for a length, three for an angle, four for a gap: two on one line, two on the other.", row_name="Mark",
            fewest=2, most=4, takes=None,
        ),
        Choice(
            "placed", "Marks at their places", (Option("yes", "Yes, every one"), Option("no", "Not yet")), "yes",
            "The marks of a new picture lie anywhere until they are dragged.", takes=None,
        ),
        Whole("picture_width", "Width of the picture, px", "1600", 100, 20000, "In pixels.", takes=None),
        Whole("picture_height", "Height of the picture, px", "1200", 100, 20000, "In pixels.", takes=None),
        Quantity(
            "mark_error", "How far off a mark may be, px", NUMBER, "2", "0", "50",
            "Pixels of the picture, to both sides. About 2 with the loupe, more with a shaky hand.", "e", takes=None,
        ),
        Quantity(
            "blur", "Blur of an edge, px", NUMBER, "3", "0", "100",
            "Over how many pixels a sharp edge is spread, seen in the loupe.", "b", takes=None,
        ),
        Quantity(
            "relief", "Height over or under the reference", LENGTH, "0.01 in", "0 in", "2 in",
            "How far above or below the reference's surface the marks may lie.", "h", takes=None,
        ),
        Quantity(
            "off_square", "How far off square the camera was", ANGLE, "10 deg", "0 deg", "25 deg",
            "Not used for four corners, which show it themselves.", takes=None,
        ),
        replace(
            BEND_RATIO.input("plunger_diameter"), may_be_blank=False, slide=None,
            help="Twice the plunger radius. Only for a bent specimen.",
        ),
        replace(
            BEND_RATIO.input("thickness"), name="specimen_thickness", slide=None, help="Only for a bent specimen.",
        ),
        BEND_JUDGE.input("rule"), BEND_JUDGE.input("figures"),
        *(replace(column, takes=None) for column in BEND_JUDGE.input("openings").columns if column.name != "size"),
        BEND_JUDGE.input("wall"),
        replace(FIT_UP.input("required"), slide=None),
        replace(FIT_UP.input("rule"), name="tolerance", label="Tolerance of the root opening"),
        *(replace(FIT_UP.input(name), limit_of=("size",)) for name in ("over", "under")),
        replace(FIT_UP.input("openings").columns[0], name="along", label="Position along the joint", takes=None),
        replace(FIT_UP.input("thickness"), slide=None), replace(FIT_UP.input("mismatch_limit"), limit_of=("size",)),
    ),
)
