"""Where the bend specimens come from on the welded plate, and what size they end up.

Stage: specimens. The layout is addition along the weld. How many specimens of which
kind, their widths and their edges come from the documents, chosen by name. The
length that reaches over the jig follows from the jig figure of ASME Section IX.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import Calculator, Choice, InputError, Level, Option, Quantity, Whole, Working
from calc.core.formula import PI, Symbol
from calc.core.sources import (
    API_1104,
    ASME_IX,
    ASME_IX_2017,
    AWS_D11,
    AWS_D11_2010,
    CFR_49_192,
    COMMON,
    GEOMETRY,
    ISO_5173,
    LLOYDS_MATERIALS,
    Citation,
    Fact,
    Standing,
    length_fact,
)
from calc.core.units import LENGTH, NUMBER, listed, parse, show, show_as_written
from calc.show.sliders import PLATE_END, PLATE_LENGTH
from calc.stages import widths
from calc.stages.bend import JIG_FIGURE, OPENING_CLEARANCE, PLATE_UNDER, STANDARD_THICKNESS, is_plate_of
from calc.stages.coupons_drawings import layout as draw_layout

SIDE_FIGURE = Citation(ASME_IX_2017, "Figure QW-462.2", Standing.READ)
FACE_FIGURE = Citation(
    ASME_IX_2017, "Figure QW-462.3(a)", Standing.READ,
    "Read in a reproduction of the page. The 2020 figure of D1.1 is reported with the same width.",
)
WIDE_RULE = Citation(ASME_IX, "QW-162.1", Standing.READ)
AWS_KINDS = Citation(AWS_D11, "Table 4.11", Standing.FROM_MEMORY)
ASME_KINDS = Citation(ASME_IX, "QW-452.1(a)", Standing.FROM_MEMORY)
CFR_KINDS = Citation(CFR_49_192, "Section I", Standing.READ)
AWS_SIDE_FOR_FACE = Citation(
    AWS_D11_2010, "Table 4.11, notes", Standing.SECONDARY, "Seen in a reproduction whose text came through badly.",
)
DRAWN = Citation(None, "The kind that you chose from your drawing", Standing.WORKED_OUT)


FACE_ROOT_WIDTH = length_fact(
    "coupon-face-root-width", "Width of a face or root specimen", "1-1/2 in", FACE_FIGURE,
)
SIDE_WIDTH = length_fact("coupon-side-width", "Finished thickness of a side bend specimen", "3/8 in", SIDE_FIGURE)
LONG = length_fact("coupon-length", "Length of a specimen, or as the jig needs", "6 in", SIDE_FIGURE)
EDGE_RADIUS = length_fact("coupon-edge-radius", "Maximum radius on the edges of a specimen", "1/8 in", SIDE_FIGURE)
EDGE_RADIUS_SHIP = Fact(
    "coupon-edge-radius-ship", "Radius on the edges in tension, ship class rules", None, None,
    Citation(LLOYDS_MATERIALS, "7.1.4", Standing.READ), "1 to 2 mm (about 1/32 to 5/64 in)",
)
STRIP_FROM = length_fact(
    "coupon-strip-from", "Plate from which side bend specimens may be cut into strips", "1-1/2 in", SIDE_FIGURE,
)
STRIP_LEAST = length_fact("coupon-strip-least", "Minimum width of a strip of a side bend specimen", "3/4 in", SIDE_FIGURE)
STRIP_MOST = length_fact("coupon-strip-most", "Maximum width of a strip of a side bend specimen", "1-1/2 in", SIDE_FIGURE)
WIDE_OVER = length_fact(
    "coupon-wide-over", "Specimen width above which the plunger must be wider than usual", "1-1/2 in", WIDE_RULE,
)
PLUNGER_EXTRA = length_fact(
    "coupon-plunger-extra", "How much wider than such a specimen the plunger must be", "1/4 in", WIDE_RULE,
)
AWS_FACE_ROOT = length_fact(
    "coupon-aws-face-root", "Test plate that gives one face and one root specimen", "3/8 in", AWS_KINDS,
)
AWS_FACE_ROOT_MM = length_fact(
    "coupon-aws-face-root-mm", "The same plate in the millimeter figures", "10 mm",
    Citation(AWS_D11, "Table 4.11", Standing.FROM_MEMORY, "The millimeter figure is rounded, not converted."),
)
AWS_SIDE_MAY = Fact(
    "coupon-aws-side-may", "Side bend specimens from plate 3/8 in (10 mm), AWS D1.1", None, None, AWS_SIDE_FOR_FACE,
    "a side bend specimen may replace each face and root specimen",
)
ASME_SIDE_MAY = length_fact(
    "coupon-asme-side-may", "Plate from which two side bend specimens may replace face and root", "3/8 in", ASME_KINDS,
)
ASME_SIDE_MUST = length_fact(
    "coupon-asme-side-must", "Plate from which two side bend specimens are asked for", "3/4 in", ASME_KINDS,
)
CFR_COUNT = Fact(
    "coupon-cfr-count", "Root bend specimens that the pipeline rule asks for", Fraction(4), NUMBER, CFR_KINDS,
)
DISCARD = length_fact("coupon-discard", "Usual discard at each end of the weld", "1 in", COMMON)
FLUSH_LIMIT = length_fact(
    "coupon-flush-limit", "How much thinner than the plate a flush-ground weld may be", "1/32 in",
    Citation(
        AWS_D11_2010, "5.24.3.1", Standing.READ, "The clause is about flush welds in structures, used here as a guide.",
    ),
)
API_SIZE = Fact(
    "coupon-api-size", "Bend specimen of the pipeline standard", None, None,
    Citation(API_1104, "5.6.4", Standing.READ), "about 9 in (230 mm) long and 1 in (25 mm) wide",
)
SHIP_SIZE = length_fact(
    "coupon-ship-width", "Face or root specimen width, ship class rules", "30 mm",
    Citation(LLOYDS_MATERIALS, "7.1.4", Standing.READ),
)
ISO_SIDE = length_fact(
    "coupon-iso-side", "Thickness of a side bend specimen, ISO", "10 mm",
    Citation(ISO_5173, "side bend specimen", Standing.FROM_MEMORY),
)
FACTS = (
    FACE_ROOT_WIDTH, SIDE_WIDTH, LONG, EDGE_RADIUS, EDGE_RADIUS_SHIP, STRIP_FROM, STRIP_LEAST, STRIP_MOST, WIDE_OVER,
    PLUNGER_EXTRA,
    AWS_FACE_ROOT, AWS_FACE_ROOT_MM, AWS_SIDE_MAY, ASME_SIDE_MAY, ASME_SIDE_MUST, CFR_COUNT, DISCARD, FLUSH_LIMIT,
    API_SIZE, SHIP_SIZE, ISO_SIDE,
)

KIND_SOURCE = {"aws": AWS_KINDS, "asme": ASME_KINDS, "cfr": CFR_KINDS}
"""The rules whose kinds and number of specimens we hold, by the key of the rule."""
_SOURCE_OF_CHOICE = {**KIND_SOURCE, "face-root": DRAWN, "side": DRAWN}
AS_MEASURED = parse("1/32 in", LENGTH)
"""How far a measured width may lie from its figure and still be that figure: reading and file, no source."""
FAR_OFF = parse("1/8 in", LENGTH)
"""How far off a width or a side bend specimen's thickness is no longer the specimen of the figure: our own judgment,
no source.
"""


def is_thinner_than_table(thickness: Fraction) -> bool:
    """Whether a plate (m) lies below the rows of AWS D1.1 Table 4.11, even as a mill may deliver its thinnest.

    >>> is_thinner_than_table(parse("0.360 in", LENGTH)), is_thinner_than_table(parse("0.370 in", LENGTH))
    (True, False)
    """
    return thickness < AWS_FACE_ROOT.amount - PLATE_UNDER.amount


def is_between_sizes(thickness: Fraction) -> bool:
    """Whether a plate (m) is thicker than 3/8 in and thinner than the 10 mm printed beside it: the table can be read
    either way.

    >>> is_between_sizes(parse("0.385 in", LENGTH)), is_between_sizes(parse("10 mm", LENGTH))
    (True, False)
    """
    return AWS_FACE_ROOT.amount < thickness < AWS_FACE_ROOT_MM.amount


def is_side_bent(rule: str, thickness: Fraction) -> bool:
    """Whether a rule asks for side bends of a plate of this thickness (m). Rules: aws, asme, cfr, face-root, side.

    By AWS D1.1 Table 4.11 (from memory) a plate over 3/8 in gives side bend specimens; 10 mm is the
    same plate in millimeters. By ASME IX QW-452.1(a) (from memory) side bend specimens start at 3/4 in.

    >>> [is_side_bent("aws", parse(each, LENGTH)) for each in ("3/8 in", "10 mm", "1/2 in")]
    [False, False, True]
    """
    if rule == "aws":
        return thickness > max(AWS_FACE_ROOT.amount, AWS_FACE_ROOT_MM.amount)
    if rule == "asme":
        return thickness >= ASME_SIDE_MUST.amount
    return rule == "side"


def coupon_kinds(rule: str, thickness: Fraction, number: int | None = None) -> tuple[str, ...]:
    """The kind of each specimen in order along the weld: face, root or side. Two, or four by 49 CFR 192, unless
    `number` says.

    >>> coupon_kinds("aws", parse("3/8 in", LENGTH)), coupon_kinds("aws", parse("1 in", LENGTH))
    (('face', 'root'), ('side', 'side'))
    """
    count = number or (int(CFR_COUNT.amount) if rule == "cfr" else 2)
    if is_side_bent(rule, thickness):
        return ("side",) * count
    if rule == "cfr":
        return ("root",) * count
    return tuple("face" if place % 2 == 0 else "root" for place in range(count))


def kinds_in_words(kinds: Sequence[str]) -> str:
    """Kinds of specimens, counted.

    >>> kinds_in_words(("face", "root")), kinds_in_words(("side", "side"))
    ('1 face bend and 1 root bend', '2 side bends')
    """
    counted = Counter(kinds)
    return listed([f"{count} {kind} bend{'s' if count > 1 else ''}" for kind, count in counted.items()], "and")


@dataclass(frozen=True)
class KindsFound:
    """Whether specimens are those that a rule asks of a plate: how it stands, what is asked, and who says so."""

    level: Level
    asked: str
    source: Citation

    def said(self, have: str) -> str:
        """One sentence or two. `have` says which specimens there are, as in “2 root bends were bent”."""
        if self.level is Level.NOT_KNOWN:
            return f"Whether these are the specimens of the rule is not known: {self.asked}"
        if self.level is Level.INCOMPLETE:
            return f"Not complete: {have}, and of this plate the rule asks for {self.asked}."
        told = f"These are the specimens that the rule asks for: {self.asked}."
        if self.level is Level.CAUTION:
            told += " The plate lies between 3/8 in and 10 mm: ask whether side bends are wanted."
        return told


def kinds_found(rule: str, thickness: Fraction | None, have: Sequence[str]) -> KindsFound:
    """Whether specimens of the kinds `have` (face, root, side) make the test of a rule for a plate this thick (m).

    More specimens than asked for are no fault; another kind, or fewer, is not complete. Not known where we hold no row:
    another rule than aws, asme and cfr, AWS D1.1 under 3/8 in, and a plate whose thickness is not given (None).
    Source: `KIND_SOURCE`; that side bends may stand in at 3/8 in, `AWS_SIDE_MAY` and QW-452.1(a).

    >>> half = parse("1/2 in", LENGTH)
    >>> kinds_found("aws", half, ("face", "root")).level.value, kinds_found("aws", half, ("side", "side")).level.value
    ('incomplete', 'ok')
    >>> kinds_found("cfr", None, ("root",) * 3).level.value
    'incomplete'
    """
    if rule not in KIND_SOURCE:
        return KindsFound(Level.NOT_KNOWN, "we do not hold which specimens it asks for. Ask the inspector.", COMMON)
    source = KIND_SOURCE[rule]
    if thickness is None and rule != "cfr":
        return KindsFound(Level.NOT_KNOWN, "the kind goes by the plate. Write how thick it is.", source)
    plate = thickness if thickness is not None else Fraction(0)
    if rule == "aws" and is_thinner_than_table(plate):
        first = show_as_written(AWS_FACE_ROOT.amount, LENGTH, "us")
        return KindsFound(
            Level.NOT_KNOWN, f"the rows we hold start at {first} plate. Ask which test applies to a thinner one.",
            source,
        )
    sets = [coupon_kinds(rule, plate)]
    if _side_may_replace(rule, plate):
        sets.append(("side", "side"))
    asked = ", or ".join(kinds_in_words(each) for each in sets)
    if not any(Counter(have) >= Counter(each) for each in sets):
        return KindsFound(Level.INCOMPLETE, asked, source)
    unsure = rule == "aws" and is_between_sizes(plate) and "side" not in have
    return KindsFound(Level.CAUTION if unsure else Level.OK, asked, source)


def _side_may_replace(rule: str, thickness: Fraction) -> bool:
    if rule == "aws":
        return not is_side_bent(rule, thickness)
    return rule == "asme" and ASME_SIDE_MAY.amount <= thickness < ASME_SIDE_MUST.amount


def work_coupon_layout(
    w: Working, *, thickness: Fraction, rule: str, number: int | None, plate_length: Fraction, plate_width: Fraction,
    discard: Fraction, width: Fraction | None, allowance: Fraction, saw_cut: Fraction, gap: Fraction, ground: Fraction,
    plunger_diameter: Fraction, coupon_length: Fraction, radius: Fraction | None,
) -> None:
    """Where each specimen is marked along the weld, what length of plate that takes, and whether the specimens are
    those of the rule.

    Blank b = w + 2a; specimen i starts at x_1 = d + k, x_i = y_(i-1) + c and ends at y_i = x_i + b, where c = k for
    neighbors that share a saw cut and G + 2k with a strip between; the layout needs L_need = y_n + k + d. The specimen
    must lie across both shoulders: l ≥ 2C, C = A + 2t + 1/8 in. Symbols in m: finished width w, dressing a, saw cut k,
    discard d, strip G, plate T, plunger A, specimen thickness t and length l. Valid for 1 to 8 specimens, plate up to
    6 in.

    Raises `InputError` where grinding leaves nothing of the plate. Source: addition along the weld; kinds and sizes
    by the citations of this module.

    1 + 1/8 + 1-5/8 + 1/8 + 1-5/8 + 1/8 + 1 = 5-5/8 in, by hand:

    >>> COUPON_LAYOUT.answer()["needed"].text("us").partition(" (")[0]
    '5-5/8 in'
    """
    if ground >= thickness:
        raise InputError(
            "ground", "Plate metal ground off with the weld",
            f"{show_as_written(ground, LENGTH, 'us')} leaves nothing of the plate; write less than "
            f"{show_as_written(thickness, LENGTH, 'us')} ({show_as_written(thickness, LENGTH, 'si')})",
        )
    kinds = coupon_kinds(rule, thickness, number)
    side = kinds[0] == "side"
    T = w.given("thickness", "T", thickness, LENGTH)
    told = ", ".join(f"{kind} bend" for kind in kinds)
    w.words("kinds", "Specimens, in order along the weld", told, source=_SOURCE_OF_CHOICE[rule], main=True)
    finished = _finished_width(w, width, side)
    _lay_out(w, kinds, plate_length, discard, finished, allowance, saw_cut, gap)
    off = w.given("ground", "g", ground, LENGTH)
    left = w.let(
        "ground_thickness", "Plate thickness left after grinding flush", "T_g", LENGTH, T - off, as_fraction=True,
    )
    bent, across = (finished, left) if side else (left, finished)
    t = w.value(
        "coupon_thickness", "Specimen thickness in the jig", bent.amount, LENGTH, source=GEOMETRY, symbol="t",
        main=True,
        as_fraction=True,
    )
    w.value(
        "coupon_width", "Specimen width, along the plunger", across.amount, LENGTH, source=GEOMETRY, symbol="w_c",
        as_fraction=True,
    )
    _reach(w, t, plunger_diameter, coupon_length)
    w.value("edge_radius", EDGE_RADIUS.label, EDGE_RADIUS.amount, LENGTH, source=EDGE_RADIUS.source, as_fraction=True)
    w.words("edge_radius_ship", EDGE_RADIUS_SHIP.label, EDGE_RADIUS_SHIP.wording, source=EDGE_RADIUS_SHIP.source)

    w.given("plate_width", "B", plate_width, LENGTH)
    w.draw(draw_layout(w, kinds))
    _check_plate(w, plate_length, plate_width, coupon_length)
    _check_kinds(w, rule, thickness, number, kinds)
    _check_cuts(w, discard, saw_cut)
    _check_thickness(w, ground, bent.amount, side)
    _check_width(w, rule, width, side)
    _check_wide(w, side, across.amount, thickness, saw_cut)
    if radius is not None:
        judge_edge_radius(w, radius)
    w.warn(
        "Clamp the plate before you saw or cut. Specimens are sharp, and hot after a torch or a grinder: gloves, eye "
        "and "
        "face protection.",
    )
    w.warn("Let specimens cool slowly in air. Do not quench them: water can harden the weld and spoil the test.")
    w.warn(
        "Where the specimens lie, how many there are and how they are made belongs to the code in force and the WPS.",
    )


def judge_edge_radius(w: Working, radius: Fraction) -> None:
    """The radius (m) on the long edges of a specimen against the largest of the specimen figure. Check `edge-radius`.

    Source: ASME IX, Figures QW-462.2 and QW-462.3(a) (read): 1/8 in at most.
    """
    w.given("radius", "R", radius, LENGTH)
    w.mention("radius_most", EDGE_RADIUS)
    if radius > EDGE_RADIUS.amount:
        text = (
            "An edge radius of {radius} is over the maximum of {radius_most}: too much is taken off the corners, which "
            "stretch most. Ask before it is bent."
        )
        w.stop("edge-radius", text, source=EDGE_RADIUS.source)
    elif radius == 0:
        w.caution(
            "edge-radius", "Sharp edges start cracks. Round the long edges, lengthwise, by at most {radius_most}.",
            source=EDGE_RADIUS.source,
        )
    else:
        w.ok(
            "edge-radius", "An edge radius of {radius} is not over the maximum of {radius_most}.",
            source=EDGE_RADIUS.source,
        )


def _finished_width(w: Working, width: Fraction | None, side: bool) -> Symbol:
    """How wide each specimen is along the weld when it is finished."""
    if width is not None:
        return w.given("finished_width", "w", width, LENGTH)
    fact = SIDE_WIDTH if side else FACE_ROOT_WIDTH
    return w.value("finished_width", fact.label, fact.amount, LENGTH, source=fact.source, symbol="w", as_fraction=True)


def _lay_out(w: Working, kinds, plate_length, discard, finished, allowance, saw_cut, gap) -> None:
    """The marks along the weld, from one end, and the length that the whole row needs."""
    L = w.given("plate_length", "L", plate_length, LENGTH)
    d = w.given("discard", "d", discard, LENGTH)
    a = w.given("allowance", "a", allowance, LENGTH)
    k = w.given("saw_cut", "k", saw_cut, LENGTH)
    G = w.given("gap", "G", gap, LENGTH)
    blank = w.let(
        "blank_width", "Width to saw each specimen, with metal to dress both edges", "b", LENGTH, finished + 2 * a,
        as_fraction=True,
    )
    # Two specimens side by side share one saw cut; a strip left between them takes two.
    between = w.let(
        "between", "From the end of one specimen to the start of the next", "c", LENGTH, G + 2 * k if gap else k + G,
        as_fraction=True,
    )
    end = None
    for place, kind in enumerate(kinds, 1):
        name = f"specimen {place} ({kind} bend)"
        start = w.let(
            f"start_{place}", f"Start of {name}, from the end of the plate", f"x_{place}", LENGTH,
            d + k if end is None else end + between, main=True, as_fraction=True,
        )
        end = w.let(
            f"end_{place}", f"End of {name}, from the same end", f"y_{place}", LENGTH, start + blank, main=True,
            as_fraction=True,
        )
    needed = w.let(
        "needed", "Length of plate that this layout needs", "L_need", LENGTH, end + k + d, main=True, as_fraction=True,
    )
    spare = w.let("spare", "Length left over", "L_spare", LENGTH, L - needed, main=True, as_fraction=True)
    w.let("far_discard", "Discard that is left at the far end", "d_far", LENGTH, L - end - k, as_fraction=True)
    w.given("short", "L_short", -spare.amount, LENGTH)
    count = f"{len(kinds)} specimen{'s' if len(kinds) > 1 else ''}"
    w.say(
        f"{count} with discards and saw cuts need {{needed}} of weld. "
        + ("The plate has {plate_length}: enough, with {spare} left over." if spare.amount >= 0
           else "The plate has {plate_length}: too short by {short}.")
        + " Specimen 1 starts {start_1} from the end."
    )


def _reach(w: Working, t: Symbol, plunger_diameter: Fraction, coupon_length: Fraction) -> None:
    """Whether the specimen lies across both shoulders before the bend, and what is left straight after it."""
    A = w.given("plunger_diameter", "A", plunger_diameter, LENGTH)
    length = w.given("coupon_length", "l", coupon_length, LENGTH)
    clearance = w.given("clearance", "c_j", OPENING_CLEARANCE.amount, LENGTH)
    opening = w.let(
        "jig_opening", "Jig opening for this specimen", "C", LENGTH, A + 2 * t + clearance, source=JIG_FIGURE,
        as_fraction=True,
    )
    shoulder = w.let(
        "shoulder_radius", "Shoulder radius of that jig", "D", LENGTH, opening / 2, source=JIG_FIGURE, as_fraction=True,
    )
    least = w.let(
        "least_length", "Length that lies across both shoulders", "l_least", LENGTH, opening + 2 * shoulder, main=True,
        as_fraction=True,
        note="From the top of one shoulder to the top of the other. A shorter specimen tips in.",
    )
    arc = w.let("bent_arc", "Length that goes around the bend, at mid-thickness", "l_arc", LENGTH, PI * (A + t) / 2)
    if coupon_length > arc.amount:
        w.let("leg", "Straight leg left on each side", "l_leg", LENGTH, (length - arc) / 2)
    if coupon_length < least.amount:
        w.stop(
            "span",
            "A specimen {coupon_length} long does not lie across both shoulders: this jig needs {least_length}.",
            source=GEOMETRY,
        )
    else:
        w.ok(
            "span",
            "A specimen {coupon_length} long lies across both shoulders of the jig, which takes {least_length}.",
            source=GEOMETRY,
        )


def _check_plate(w: Working, plate_length: Fraction, plate_width: Fraction, coupon_length: Fraction) -> None:
    if w.known["needed"].amount > plate_length:
        text = (
            "The plate is too short by {short}. Use a longer plate, a thinner saw cut or no strip between. Do not make "
            "the discard shorter."
        )
        w.stop("plate-length", text, source=GEOMETRY)
    else:
        w.ok("plate-length", "The plate is long enough, with {spare} left over.", source=GEOMETRY)
    if plate_width < coupon_length:
        w.stop(
            "plate-width", "The plate is {plate_width} across, less than the specimen's length of {coupon_length}.",
            source=GEOMETRY,
        )
    else:
        w.ok(
            "plate-width", "The plate is {plate_width} across: a specimen {coupon_length} long can be cut from it.",
            source=GEOMETRY,
        )
    widths.judge_joint_width(w, plate_width, LONG)
    w.mention("usual_length", LONG)
    if w.known["least_length"].amount <= coupon_length < LONG.amount:
        text = (
            "A specimen {coupon_length} long is shorter than the {usual_length} of the figure. The figure allows the "
            "length that the jig needs. Ask first."
        )
        w.caution("coupon-length", text, source=LONG.source)


def _check_kinds(w: Working, rule: str, thickness: Fraction, number: int | None, kinds: tuple[str, ...]) -> None:
    """Number and kind against the rule; for a choice by drawing, what the documents would have of this plate."""
    w.mention("face_root_plate", AWS_FACE_ROOT)
    w.mention("face_root_metric", AWS_FACE_ROOT_MM)
    source = _SOURCE_OF_CHOICE[rule]
    usual = len(coupon_kinds(rule, thickness))
    few = number is not None and number < usual
    if few:
        w.incomplete("kinds", f"The rule asks for {usual} specimens. Fewer do not make a whole test.", source=source)
    if rule == "aws":
        _check_aws_plate(w, thickness)
    if rule in KIND_SOURCE and not few and not (rule == "aws" and is_thinner_than_table(thickness)):
        w.ok("kinds", "Number and kind follow the rule that you chose: {kinds}.", source=source)
    if rule == "asme" and _side_may_replace(rule, thickness):
        w.note(
            "side-may",
            "From this thickness two side bend specimens may replace the face and root specimens. Your drawing "
            "decides.",
            source=ASME_KINDS,
        )
    if rule == "side" and thickness < AWS_FACE_ROOT.amount - PLATE_UNDER.amount:
        text = (
            "Side bend specimens of a plate under {face_root_plate} stand in no document that we hold. Ask whether "
            "your WPS means them."
        )
        w.caution("side-thin", text, source=ASME_KINDS)
    if rule == "face-root" and thickness > AWS_FACE_ROOT_MM.amount:
        text = (
            "Over {face_root_plate} the structural code takes side bend specimens. Ask whether your WPS means face and "
            "root."
        )
        w.caution("face-root-thick", text, source=AWS_KINDS)


def _check_aws_plate(w: Working, thickness: Fraction) -> None:
    """The measured plate beside the sizes of the structural code's table."""
    if is_thinner_than_table(thickness):
        w.not_known(
            "thin-plate", "The rows we hold start at {face_root_plate}. For a thinner plate ask which test applies.",
            source=AWS_KINDS,
        )
    elif is_between_sizes(thickness):
        text = (
            "{thickness} is over {face_root_plate} and under {face_root_metric}, the same plate in millimeters. It is "
            "taken as the face "
            "and root plate; ask your inspector."
        )
        w.caution("nominal", text, source=AWS_FACE_ROOT_MM.source)
    elif thickness < AWS_FACE_ROOT.amount:
        w.mention("plate_under", PLATE_UNDER)
        text = "{thickness} is taken as {face_root_plate} plate: a mill may deliver it {plate_under} under its size."
        w.note("nominal", text, source=PLATE_UNDER.source)


def _check_cuts(w: Working, discard: Fraction, saw_cut: Fraction) -> None:
    w.mention("usual_discard", DISCARD)
    if discard < DISCARD.amount / 2:
        text = (
            "A discard of {discard} is less than half the usual {usual_discard}: starts, stops and craters lie in the "
            "specimens."
        )
        w.stop("discard", text, source=COMMON)
    elif discard < DISCARD.amount:
        text = (
            "A discard of {discard} is less than the usual {usual_discard}: starts and stops at the ends may lie in a "
            "specimen."
        )
        w.caution("discard", text, source=COMMON)
    else:
        w.ok("discard", "A discard of {discard} is not under the usual {usual_discard}.", source=COMMON)
    if not saw_cut:
        w.caution(
            "saw-cut", "Every cut takes metal. Measure your saw cut on scrap, and lay out the specimens with it.",
            source=COMMON,
        )


def _check_thickness(w: Working, ground: Fraction, bent: Fraction, side: bool) -> None:
    w.mention("flush_limit", FLUSH_LIMIT)
    w.mention("standard_thickness", STANDARD_THICKNESS)
    if ground > FLUSH_LIMIT.amount:
        text = (
            "{ground} ground off the plate is more than {flush_limit}: the specimen no longer stands for this "
            "weld."
        )
        w.stop("flush", text, source=FLUSH_LIMIT.source)
    off = bent - STANDARD_THICKNESS.amount
    if bent in (STANDARD_THICKNESS.amount, AWS_FACE_ROOT_MM.amount) or (
        not ground and is_plate_of(STANDARD_THICKNESS, bent)
    ):
        w.ok(
            "coupon-thickness", "A specimen {coupon_thickness} thick is that of the jig figure, {standard_thickness}.",
            source=JIG_FIGURE,
        )
        return
    severe = "more severe" if off > 0 else "less severe"
    text = (
        f"A specimen {{coupon_thickness}} thick has a {severe} test on the same plunger than one of "
        "{standard_thickness}. "
        "Enter this thickness in the bend ratio form."
    )
    level = Level.STOP if side and abs(off) > FAR_OFF else Level.CAUTION
    w.check(level, "coupon-thickness", text, source=JIG_FIGURE)


def _check_width(w: Working, rule: str, width: Fraction | None, side: bool) -> None:
    """A width of the reader's own, face or root, against the specimen figure. A side bend specimen's width is the plate
    itself.
    """
    if side or width is None:
        return
    w.mention("figure_width", FACE_ROOT_WIDTH)
    off = abs(width - FACE_ROOT_WIDTH.amount)
    if rule == "cfr":
        w.not_known(
            "coupon-width",
            "We hold no width of a specimen for this rule. Ask the inspector whether {finished_width} is right.",
            source=CFR_KINDS,
        )
    elif off <= AS_MEASURED:
        w.ok(
            "coupon-width", "A specimen {finished_width} wide is that of the specimen figure, {figure_width}.",
            source=FACE_ROOT_WIDTH.source,
        )
    elif off <= FAR_OFF:
        text = (
            "A specimen {finished_width} wide is not quite the {figure_width} of the specimen figure, and we hold no "
            "tolerance. Ask first."
        )
        w.caution("coupon-width", text, source=FACE_ROOT_WIDTH.source)
    else:
        text = (
            "A face or root specimen is {figure_width} wide. One of {finished_width} is not the specimen of the "
            "figure."
        )
        w.stop("coupon-width", text, source=FACE_ROOT_WIDTH.source)


def _check_wide(w: Working, side: bool, across: Fraction, thickness: Fraction, saw_cut: Fraction) -> None:
    w.mention("wide_over", WIDE_OVER)
    w.mention("strip_from", STRIP_FROM)
    w.mention("strip_least", STRIP_LEAST)
    w.mention("strip_most", STRIP_MOST)
    if across > WIDE_OVER.amount:
        extra = w.given("extra", "e", PLUNGER_EXTRA.amount, LENGTH)
        wide = w.given("coupon_width", "w_c", across, LENGTH)
        w.let(
            "plunger_width", "Minimum plunger width for this specimen", "w_p", LENGTH, wide + extra, source=WIDE_RULE,
            as_fraction=True,
        )
        w.caution(
            "wide-plunger",
            "The specimen is {coupon_width} wide, over {wide_over}. Bent whole, it needs a plunger at least "
            "{plunger_width} wide.",
            source=WIDE_RULE,
        )
    if side and thickness >= STRIP_FROM.amount:
        _strips(w, across, saw_cut)


def _strips(w: Working, across: Fraction, saw_cut: Fraction) -> None:
    """The fewest equal strips that are not too wide, and whether the saw cuts leave them wide enough."""
    count = 1
    while (across - (count - 1) * saw_cut) / count > STRIP_MOST.amount:
        count += 1
    strip = (across - (count - 1) * saw_cut) / count
    width = show(strip, LENGTH, "us"), show(strip, LENGTH, "si")
    how = f"{count} strip{'s' if count > 1 else ''} of {width[0]} ({width[1]})"
    if strip < STRIP_LEAST.amount:
        w.caution(
            "strips",
            f"Cut into strips this specimen gives {how}, under {{strip_least}}. Bend it whole, if the jig allows.",
            source=SIDE_FIGURE,
        )
    else:
        w.ok(
            "strips",
            f"From {{strip_from}} of plate a side bend specimen is bent whole or in strips of {{strip_least}} to "
            f"{{strip_most}}: here {how}.",
            source=SIDE_FIGURE,
        )


COUPON_LAYOUT = Calculator(
    id="coupon-layout",
    title="Specimen layout",
    question="Where do I mark each specimen, and is my plate long enough?",
    page="coupons.md",
    work=work_coupon_layout,
    main=("thickness", "plate_length", "discard", "saw_cut"),
    inputs=(
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "6 in",
            "Measured, of the plate beside the weld.", "T",
            common=("3/8 in", "1/2 in", "3/4 in", "1 in"),
        ),
        Choice(
            "rule", "Rule that names the specimens", (
                Option("aws", "AWS D1.1: face and root at 3/8 in (10 mm), side above"),
                Option("asme", "ASME IX: side from 3/4 in (19 mm)"),
                Option("cfr", "49 CFR 192: four root bends"),
                Option("face-root", "Face and root, as my drawing says"),
                Option("side", "Side, as my drawing says"),
            ), "aws", "Your WPS names it.",
            takes="specimen_rule",
        ),
        Whole("number", "Number of specimens", "", 1, 8, "Leave blank for the number of the rule."),
        Quantity(
            "plate_length", "Plate length along the weld", LENGTH, "7 in", "1 in", "60 in",
            "From end to end of the joint.", "L", common=("5 in", "7 in", "8 in"), slide=PLATE_LENGTH,
        ),
        Quantity(
            "plate_width", "Plate width across the weld", LENGTH, "6 in", "1 in", "48 in",
            "Both plates together. The specimens lie this way.", "B",
            takes="finished_width",
        ),
        Quantity(
            "discard", "Discard at each end", LENGTH, "1 in", "0 in", "6 in",
            "From your drawing. It takes the starts, stops and craters.", "d", slide=PLATE_END,
        ),
        Quantity(
            "width", "Specimen width along the weld", LENGTH, "", "1/8 in", "6 in",
            "Finished width. Leave blank for the figure of the documents.", "w", common=("3/8 in", "1-1/2 in"),
        ),
        Quantity(
            "allowance", "Metal left to dress each edge", LENGTH, "1/16 in", "0 in", "1/2 in",
            "A sawn edge needs little, a torch-cut edge more: enough to grind away all the cut surface.", "a",
            common=("1/32 in", "1/16 in", "1/8 in"),
        ),
        Quantity(
            "saw_cut", "Width of the saw cut", LENGTH, "1/8 in", "0 in", "3/8 in",
            "Or the kerf of the torch. Try it on scrap.", "k", common=("1/16 in", "1/8 in"),
        ),
        Quantity(
            "gap", "Strip left between specimens", LENGTH, "0 in", "0 in", "6 in", "0 where neighbors share one cut.",
            "G",
        ),
        Quantity(
            "ground", "Plate metal ground off with the weld", LENGTH, "0 in", "0 in", "1 in",
            "Both faces together, below the plate surface. It should be none.", "g",
        ),
        Quantity(
            "plunger_diameter", "Plunger diameter of the jig", LENGTH, "1-1/2 in", "1/4 in", "12 in",
            "Twice the plunger radius.", "A", common=("1-1/2 in", "2 in"),
        ),
        Quantity(
            "coupon_length", "Specimen length", LENGTH, "6 in", "1 in", "48 in", "Across the weld, from your drawing.",
            "l", common=("6 in", "9 in"),
        ),
        Quantity(
            "radius", "Radius on the long edges", LENGTH, "", "0 in", "1 in",
            "As rounded. Blank until the specimen is made.", "R",
            common=("1/16 in", "1/8 in"),
        ),
    ),
)
