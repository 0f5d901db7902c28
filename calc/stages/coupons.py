"""Where the bend coupons come from on the welded plate, and what size they end up.

Stage: coupons. The layout is addition along the weld. How many coupons of which
kind, their widths and their edges come from the documents, chosen by name. The
length that reaches over the jig follows from the jig figure of ASME Section IX.
"""

from __future__ import annotations

from fractions import Fraction

from calc.core.declare import Calculator, Choice, InputError, Option, Quantity, Whole, Working
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
    SECONDARY_2009,
    Citation,
    Fact,
    Standing,
)
from calc.core.units import LENGTH, NUMBER, parse, show, show_as_written
from calc.show.sliders import MARGIN, PLATE_LENGTH
from calc.stages.bend import JIG_FIGURE, OPENING_CLEARANCE, STANDARD_THICKNESS
from calc.stages.coupons_drawings import layout as draw_layout

SIDE_FIGURE = Citation(ASME_IX_2017, "Figure QW-462.2", Standing.READ)
WIDE_RULE = Citation(ASME_IX, "QW-162.1", Standing.READ)
AWS_KINDS = Citation(AWS_D11, "Table 4.11", Standing.FROM_MEMORY)
ASME_KINDS = Citation(ASME_IX, "QW-452.1(a)", Standing.FROM_MEMORY)
CFR_KINDS = Citation(CFR_49_192, "Section I", Standing.READ)
DRAWN = Citation(None, "The kind that you chose from your drawing", Standing.WORKED_OUT)


def _length(identifier: str, label: str, text: str, source: Citation) -> Fact:
    return Fact(identifier, label, parse(text, LENGTH), LENGTH, source)


FACE_ROOT_WIDTH = _length(
    "coupon-face-root-width", "Width of a face or root coupon", "1-1/2 in",
    Citation(SECONDARY_2009, "on the bend specimens of AWS D1.1", Standing.SECONDARY),
)
SIDE_WIDTH = _length("coupon-side-width", "Finished thickness of a side coupon", "3/8 in", SIDE_FIGURE)
LONG = _length("coupon-length", "Length of a coupon, or as the jig needs", "6 in", SIDE_FIGURE)
EDGE_RADIUS = _length("coupon-edge-radius", "Largest radius on the edges of a coupon", "1/8 in", SIDE_FIGURE)
EDGE_RADIUS_SHIP = Fact(
    "coupon-edge-radius-ship", "Radius on the edges in tension, ship class rules", None, None,
    Citation(LLOYDS_MATERIALS, "7.1.4", Standing.READ), "1 to 2 mm (about 1/32 to 5/64 in)",
)
STRIP_FROM = _length("coupon-strip-from", "Plate from which side coupons may be cut into strips", "1-1/2 in", SIDE_FIGURE)
STRIP_LEAST = _length("coupon-strip-least", "Narrowest strip of a side coupon", "3/4 in", SIDE_FIGURE)
STRIP_MOST = _length("coupon-strip-most", "Widest strip of a side coupon", "1-1/2 in", SIDE_FIGURE)
WIDE_OVER = _length("coupon-wide-over", "Coupon width above which the plunger must be wider than usual", "1-1/2 in", WIDE_RULE)
PLUNGER_EXTRA = _length("coupon-plunger-extra", "How much wider than such a coupon the plunger must be", "1/4 in", WIDE_RULE)
AWS_FACE_ROOT = _length("coupon-aws-face-root", "Test plate that gives one face and one root coupon", "3/8 in", AWS_KINDS)
AWS_FACE_ROOT_MM = _length(
    "coupon-aws-face-root-mm", "The same plate in the millimeter figures", "10 mm",
    Citation(AWS_D11, "Table 4.11", Standing.FROM_MEMORY, "The millimeter figure is rounded, not converted."),
)
ASME_SIDE_MAY = _length("coupon-asme-side-may", "Plate from which two side coupons may replace face and root", "3/8 in", ASME_KINDS)
ASME_SIDE_MUST = _length("coupon-asme-side-must", "Plate from which two side coupons are asked for", "3/4 in", ASME_KINDS)
CFR_COUNT = Fact("coupon-cfr-count", "Root coupons that the pipeline rule asks for", Fraction(4), NUMBER, CFR_KINDS)
DISCARD = _length("coupon-discard", "Usual discard at each end of the weld", "1 in", COMMON)
FLUSH_LIMIT = _length(
    "coupon-flush-limit", "How much thinner than the plate a flush-ground weld may be", "1/32 in",
    Citation(AWS_D11_2010, "5.24.3.1", Standing.READ, "The clause is about flush welds in work, used here as a guide."),
)
API_SIZE = Fact(
    "coupon-api-size", "Bend coupon of the pipeline standard", None, None,
    Citation(API_1104, "5.6.4", Standing.READ), "about 9 in (230 mm) long and 1 in (25 mm) wide",
)
SHIP_SIZE = _length(
    "coupon-ship-width", "Face or root coupon width, ship class rules", "30 mm", Citation(LLOYDS_MATERIALS, "7.1.4", Standing.READ),
)
ISO_SIDE = _length(
    "coupon-iso-side", "Thickness of a side coupon, ISO", "10 mm", Citation(ISO_5173, "side bend specimen", Standing.FROM_MEMORY),
)
FACTS = (
    FACE_ROOT_WIDTH, SIDE_WIDTH, LONG, EDGE_RADIUS, EDGE_RADIUS_SHIP, STRIP_FROM, STRIP_LEAST, STRIP_MOST, WIDE_OVER, PLUNGER_EXTRA,
    AWS_FACE_ROOT, AWS_FACE_ROOT_MM, ASME_SIDE_MAY, ASME_SIDE_MUST, CFR_COUNT, DISCARD, FLUSH_LIMIT, API_SIZE, SHIP_SIZE, ISO_SIDE,
)

_KIND_SOURCE = {"aws": AWS_KINDS, "asme": ASME_KINDS, "cfr": CFR_KINDS, "face-root": DRAWN, "side": DRAWN}


def is_side_bent(rule: str, thickness: Fraction) -> bool:
    """Whether a rule asks for side bends of a plate of this thickness (m). Rules: aws, asme, cfr, face-root, side.

    By AWS D1.1 Table 4.11 (from memory) a plate over 3/8 in gives side coupons; 10 mm is the
    same plate in millimeters. By ASME IX QW-452.1(a) (from memory) side coupons start at 3/4 in.

    >>> [is_side_bent("aws", parse(each, LENGTH)) for each in ("3/8 in", "10 mm", "1/2 in")]
    [False, False, True]
    """
    if rule == "aws":
        return thickness > max(AWS_FACE_ROOT.amount, AWS_FACE_ROOT_MM.amount)
    if rule == "asme":
        return thickness >= ASME_SIDE_MUST.amount
    return rule == "side"


def coupon_kinds(rule: str, thickness: Fraction, number: int | None = None) -> tuple[str, ...]:
    """The kind of each coupon in order along the weld: face, root or side. Two, or four by 49 CFR 192, unless `number` says.

    >>> coupon_kinds("aws", parse("3/8 in", LENGTH)), coupon_kinds("aws", parse("1 in", LENGTH))
    (('face', 'root'), ('side', 'side'))
    """
    count = number or (int(CFR_COUNT.amount) if rule == "cfr" else 2)
    if is_side_bent(rule, thickness):
        return ("side",) * count
    if rule == "cfr":
        return ("root",) * count
    return tuple("face" if place % 2 == 0 else "root" for place in range(count))


def _work(
    w: Working, *, thickness: Fraction, rule: str, number: int | None, plate_length: Fraction, plate_width: Fraction,
    discard: Fraction, width: Fraction | None, allowance: Fraction, saw_cut: Fraction, gap: Fraction, ground: Fraction,
    plunger_diameter: Fraction, coupon_length: Fraction,
) -> None:
    if ground >= thickness:
        raise InputError(
            "ground", "Plate metal ground off with the flushing",
            f"{show_as_written(ground, LENGTH, 'us')} leaves nothing of the plate; write less than "
            f"{show_as_written(thickness, LENGTH, 'us')} ({show_as_written(thickness, LENGTH, 'si')})",
        )
    kinds = coupon_kinds(rule, thickness, number)
    side = kinds[0] == "side"
    source = _KIND_SOURCE[rule]
    T = w.given("thickness", "T", thickness, LENGTH)
    w.words("kinds", "Coupons, in order along the weld", ", ".join(f"{kind} bend" for kind in kinds), source=source, main=True)
    finished = _finished_width(w, width, side)
    _lay_out(w, kinds, plate_length, discard, finished, allowance, saw_cut, gap)
    left = w.let("ground_thickness", "Plate thickness left after flushing", "T_g", LENGTH, T - w.given("ground", "g", ground, LENGTH), as_fraction=True)
    bent, across = (finished, left) if side else (left, finished)
    t = w.value("coupon_thickness", "Coupon thickness in the jig", bent.amount, LENGTH, source=GEOMETRY, symbol="t", main=True, as_fraction=True)
    w.value("coupon_width", "Coupon width, along the plunger", across.amount, LENGTH, source=GEOMETRY, symbol="w_c", as_fraction=True)
    _reach(w, t, plunger_diameter, coupon_length)
    w.value("edge_radius", EDGE_RADIUS.label, EDGE_RADIUS.amount, LENGTH, source=EDGE_RADIUS.source, as_fraction=True)
    w.words("edge_radius_ship", EDGE_RADIUS_SHIP.label, EDGE_RADIUS_SHIP.wording, source=EDGE_RADIUS_SHIP.source)

    w.given("plate_width", "B", plate_width, LENGTH)
    w.draw(draw_layout(w, kinds))
    _check_plate(w, plate_length, plate_width, coupon_length)
    _check_kinds(w, rule, thickness, number)
    _check_discard(w, discard)
    _check_thickness(w, ground, bent.amount)
    _check_wide(w, side, across.amount, thickness, saw_cut)
    w.warn("Clamp the plate before you saw or cut. Coupons are sharp, and hot after a torch or a grinder: gloves, eye and face protection.")
    w.warn("Let coupons cool slowly in air. Do not quench them in water: that can harden the weld and spoil the test.")
    w.warn("Where the coupons lie, how many there are and how they are made belongs to the code in force and the written procedure.")


def _finished_width(w: Working, width: Fraction | None, side: bool) -> Symbol:
    """How wide each coupon is along the weld when it is finished."""
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
    blank = w.let("blank_width", "Width to saw each coupon, with metal to dress both edges", "b", LENGTH, finished + 2 * a, as_fraction=True)
    # Two coupons side by side share one saw cut; a strip left between them takes two.
    between = w.let("between", "From the end of one coupon to the start of the next", "c", LENGTH, G + 2 * k if gap else k + G, as_fraction=True)
    end = None
    for place, kind in enumerate(kinds, 1):
        name = f"coupon {place} ({kind} bend)"
        start = w.let(
            f"start_{place}", f"Start of {name}, from the end of the plate", f"x_{place}", LENGTH,
            d + k if end is None else end + between, main=True, as_fraction=True,
        )
        end = w.let(f"end_{place}", f"End of {name}, from the same end", f"y_{place}", LENGTH, start + blank, main=True, as_fraction=True)
    needed = w.let("needed", "Length of plate that this layout needs", "L_need", LENGTH, end + k + d, main=True, as_fraction=True)
    spare = w.let("spare", "Length left over", "L_spare", LENGTH, L - needed, main=True, as_fraction=True)
    w.let("far_discard", "Discard that is left at the far end", "d_far", LENGTH, L - end - k, as_fraction=True)
    w.given("short", "L_short", -spare.amount, LENGTH)
    count = f"{len(kinds)} coupon{'s' if len(kinds) > 1 else ''}"
    w.say(
        f"{count} with discards and saw cuts need {{needed}} of weld. "
        + ("The plate has {plate_length}: enough, with {spare} left over." if spare.amount >= 0
           else "The plate has {plate_length}: too short by {short}.")
        + " Coupon 1 starts {start_1} from the end."
    )


def _reach(w: Working, t: Symbol, plunger_diameter: Fraction, coupon_length: Fraction) -> None:
    """Whether the coupon lies across both shoulders before the bend, and what is left straight after it."""
    A = w.given("plunger_diameter", "A", plunger_diameter, LENGTH)
    length = w.given("coupon_length", "l", coupon_length, LENGTH)
    clearance = w.given("clearance", "c_j", OPENING_CLEARANCE.amount, LENGTH)
    opening = w.let("jig_opening", "Jig opening for this coupon", "C", LENGTH, A + 2 * t + clearance, source=JIG_FIGURE, as_fraction=True)
    shoulder = w.let("shoulder_radius", "Shoulder radius of that jig", "D", LENGTH, opening / 2, source=JIG_FIGURE, as_fraction=True)
    least = w.let(
        "least_length", "Length that lies across both shoulders", "l_least", LENGTH, opening + 2 * shoulder, main=True, as_fraction=True,
        note="From the top of one shoulder to the top of the other. Shorter, and the coupon tips in.",
    )
    arc = w.let("bent_arc", "Length that goes round the bend, at mid-thickness", "l_arc", LENGTH, PI * (A + t) / 2)
    if coupon_length > arc.amount:
        w.let("leg", "Straight leg left on each side", "l_leg", LENGTH, (length - arc) / 2)
    if coupon_length < least.amount:
        w.stop("span", "A coupon {coupon_length} long does not lie across both shoulders: this jig needs {least_length}.", source=GEOMETRY)
    else:
        w.ok("span", "A coupon {coupon_length} long lies across both shoulders of the jig, which takes {least_length}.", source=GEOMETRY)


def _check_plate(w: Working, plate_length: Fraction, plate_width: Fraction, coupon_length: Fraction) -> None:
    if w.known["needed"].amount > plate_length:
        w.stop("plate-length", "The plate is too short by {short}. A longer plate, a thinner saw cut or no gap helps. A smaller discard does not help you pass.", source=GEOMETRY)
    else:
        w.ok("plate-length", "The plate is long enough, with {spare} left over.", source=GEOMETRY)
    if plate_width < coupon_length:
        w.stop("plate-width", "The plate is {plate_width} across, less than the coupon's length of {coupon_length}.", source=GEOMETRY)


def _check_kinds(w: Working, rule: str, thickness: Fraction, number: int | None) -> None:
    w.mention("face_root_plate", AWS_FACE_ROOT)
    usual = len(coupon_kinds(rule, thickness))
    if rule == "aws" and thickness < AWS_FACE_ROOT.amount:
        w.not_known("thin-plate", "The rows we hold start at {face_root_plate}. For a thinner plate ask which test applies.", source=AWS_KINDS)
    if rule == "aws" and AWS_FACE_ROOT.amount < thickness <= AWS_FACE_ROOT_MM.amount:
        w.caution("nominal", f"{{thickness}} is a little over {{face_root_plate}} and within {show_as_written(AWS_FACE_ROOT_MM.amount, LENGTH, 'si')}, "
            "the same plate in millimeters. It is taken as the face and root plate; ask your inspector.", source=AWS_FACE_ROOT_MM.source,
        )
    if rule == "asme" and ASME_SIDE_MAY.amount <= thickness < ASME_SIDE_MUST.amount:
        w.note("side-may", "From this thickness two side coupons may replace the face and root coupons. Your drawing decides.", source=ASME_KINDS)
    if number is not None and number < usual:
        w.incomplete("kinds", f"The rule asks for {usual} coupons. Fewer do not make a whole test.", source=_KIND_SOURCE[rule])
    if rule in ("aws", "asme", "cfr") and (number is None or number >= usual):
        w.ok("kinds", "Number and kind follow the rule that you chose: {kinds}.", source=_KIND_SOURCE[rule])


def _check_discard(w: Working, discard: Fraction) -> None:
    w.mention("usual_discard", DISCARD)
    if discard < DISCARD.amount:
        w.caution("discard", "A discard of {discard} is less than the usual {usual_discard}: starts and stops at the ends may fall in a coupon.", source=COMMON)


def _check_thickness(w: Working, ground: Fraction, bent: Fraction) -> None:
    w.mention("flush_limit", FLUSH_LIMIT)
    w.mention("standard_thickness", STANDARD_THICKNESS)
    if ground > FLUSH_LIMIT.amount:
        w.caution("flush", "{ground} ground off the plate is more than {flush_limit}: the coupon is no longer a fair piece of this weld.", source=FLUSH_LIMIT.source)
    if bent != STANDARD_THICKNESS.amount:
        harder = "harder" if bent > STANDARD_THICKNESS.amount else "softer"
        w.caution("coupon-thickness", f"A coupon {{coupon_thickness}} thick bends {harder} on the same plunger than one of {{standard_thickness}}. "
            "Put this thickness into the bend ratio.", source=JIG_FIGURE,
        )


def _check_wide(w: Working, side: bool, across: Fraction, thickness: Fraction, saw_cut: Fraction) -> None:
    w.mention("wide_over", WIDE_OVER)
    w.mention("strip_from", STRIP_FROM)
    w.mention("strip_least", STRIP_LEAST)
    w.mention("strip_most", STRIP_MOST)
    if across > WIDE_OVER.amount:
        extra = w.given("extra", "e", PLUNGER_EXTRA.amount, LENGTH)
        wide = w.given("coupon_width", "w_c", across, LENGTH)
        w.let("plunger_width", "Least plunger width for this coupon", "w_p", LENGTH, wide + extra, source=WIDE_RULE, as_fraction=True)
        w.caution("wide-plunger", "The coupon is {coupon_width} wide, over {wide_over}. Bent whole, it needs a plunger at least {plunger_width} wide.", source=WIDE_RULE)
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
        w.caution("strips", f"Cut into strips this coupon gives {how}, under {{strip_least}}. Bend it whole, if the jig allows.", source=SIDE_FIGURE)
    else:
        w.ok("strips", f"From {{strip_from}} of plate a side coupon is bent whole or in strips of {{strip_least}} to {{strip_most}}: here {how}.", source=SIDE_FIGURE)


COUPON_LAYOUT = Calculator(
    id="coupon-layout",
    title="Coupon layout",
    question="Where do I mark each coupon, and is my plate long enough?",
    page="coupons.md",
    work=_work,
    inputs=(
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "6 in", "Measured, of the plate beside the weld.", "T",
            common=("3/8 in", "1/2 in", "3/4 in", "1 in"),
        ),
        Choice(
            "rule", "Rule that names the coupons", (
                Option("aws", "AWS D1.1: face and root at 3/8 in (10 mm), side above"),
                Option("asme", "ASME IX: side from 3/4 in (19 mm)"),
                Option("cfr", "49 CFR 192: four root bends"),
                Option("face-root", "Face and root, as my drawing says"),
                Option("side", "Side, as my drawing says"),
            ), "aws", "Your written procedure names it.",
        ),
        Whole("number", "Number of coupons", "", 1, 8, "Leave blank for the number of the rule."),
        Quantity("plate_length", "Plate length along the weld", LENGTH, "7 in", "1 in", "60 in", "From end to end of the joint.", "L", common=("5 in", "7 in", "8 in"), slide=PLATE_LENGTH),
        Quantity("plate_width", "Plate width across the weld", LENGTH, "6 in", "1 in", "48 in", "Both plates together. The coupons lie this way.", "B"),
        Quantity("discard", "Discard at each end", LENGTH, "1 in", "0 in", "6 in", "From your drawing. It takes the starts, stops and craters.", "d", slide=MARGIN),
        Quantity("width", "Coupon width along the weld", LENGTH, "", "1/8 in", "6 in", "Finished. Leave blank for the figure of the documents.", "w", common=("3/8 in", "1-1/2 in")),
        Quantity(
            "allowance", "Metal left to dress each edge", LENGTH, "1/16 in", "0 in", "1/2 in",
            "A sawn edge wants little, a torch-cut edge more: enough to grind away all the cut surface.", "a", common=("1/32 in", "1/16 in", "1/8 in"),
        ),
        Quantity("saw_cut", "Width of the saw cut", LENGTH, "1/8 in", "0 in", "3/8 in", "Or the kerf of the torch. Try it on scrap.", "k", common=("1/16 in", "1/8 in")),
        Quantity("gap", "Strip left between coupons", LENGTH, "0 in", "0 in", "6 in", "0 where neighbors share one cut.", "G"),
        Quantity("ground", "Plate metal ground off with the flushing", LENGTH, "0 in", "0 in", "1 in", "Both faces together, below the plate surface. Best is none.", "g"),
        Quantity("plunger_diameter", "Plunger diameter of the jig", LENGTH, "1-1/2 in", "1/4 in", "12 in", "Twice the plunger radius.", "A", common=("1-1/2 in", "2 in")),
        Quantity("coupon_length", "Coupon length", LENGTH, "6 in", "1 in", "48 in", "Across the weld, from your drawing.", "l", common=("6 in", "9 in")),
    ),
)
