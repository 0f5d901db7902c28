"""The V-groove on a backing bar: its size, its weld metal and the plate to cut for it.

Stage: bevel and fit-up. The shape is plane geometry. The fixed values are the
density of steel, the cap taken as a flat curve two thirds full, and the 45° groove
that plate tests commonly use.
"""

from __future__ import annotations

from fractions import Fraction

from calc.core.declare import Calculator, InputError, Quantity, Working
from calc.core.formula import cos, tan
from calc.core.sources import AWS_D11, COMMON, GEOMETRY, Citation, Fact, Standing
from calc.core.units import ANGLE, AREA, DENSITY, LENGTH, LINEAR_MASS, MASS, VOLUME, parse, show, show_as_written
from calc.show.drawing import Dimension, Drawing, Note, Path, Polygon, words
from calc.show.sliders import BEVEL, CAP, OPENING, THICKNESS

STEEL_DENSITY = Fact(
    "steel-density", "Density of steel", Fraction(7850), DENSITY,
    Citation(None, "Handbook figure for carbon steel", Standing.SECONDARY, "Other tables print 0.2833 to 0.2836 lb/in³."),
)
CAP_LIMIT = Fact(
    "cap-limit", "Most cap height (reinforcement) on a test plate", parse("1/8 in", LENGTH), LENGTH,
    Citation(AWS_D11, "clause 4.9.1", Standing.FROM_MEMORY),
)
GROOVE_ANGLE = Fact(
    "groove-angle", "Included angle of the usual test groove on backing", Fraction(45), ANGLE, COMMON,
)
GROOVE_ANGLE_OVER = Fact(
    "groove-angle-over", "How far the included angle may go over the drawing", Fraction(10), ANGLE,
    Citation(AWS_D11, "prequalified joint B-U2a, as detailed", Standing.FROM_MEMORY, "Under the drawing: 0°."),
)
ROOT_OPENING = Fact(
    "groove-root-opening", "Root opening of the usual test groove on backing", parse("1/4 in", LENGTH), LENGTH, COMMON,
)
FACTS = (STEEL_DENSITY, CAP_LIMIT, GROOVE_ANGLE, GROOVE_ANGLE_OVER, ROOT_OPENING)

CAP_SHAPE = Citation(
    None, "Cap taken as a flat curve that fills two thirds of its height times width", Standing.COMMON_PRACTICE,
)


def _work(
    w: Working, *, thickness: Fraction, bevel_angle: Fraction, root_opening: Fraction, root_face: Fraction,
    cap_height: Fraction, cap_width: Fraction | None, length: Fraction, finished_width: Fraction, kerf: Fraction,
) -> None:
    if root_face > thickness:
        raise InputError(
            "root_face", "Root face",
            f"{show_as_written(root_face, LENGTH, 'us')} is more than the plate thickness; write at most "
            f"{show_as_written(thickness, LENGTH, 'us')} ({show_as_written(thickness, LENGTH, 'si')})",
        )
    t = w.given("thickness", "t", thickness, LENGTH)
    beta = w.given("bevel_angle", "β", bevel_angle, ANGLE)
    opening = w.given("root_opening", "R", root_opening, LENGTH)
    f = w.given("root_face", "f", root_face, LENGTH)
    h = w.given("cap_height", "h", cap_height, LENGTH)
    run_length = w.given("length", "L", length, LENGTH)
    finished = w.given("finished_width", "W", finished_width, LENGTH)
    k = w.given("kerf", "k", kerf, LENGTH)

    angle = w.let("included_angle", "Included angle", "α", ANGLE, 2 * beta, main=True)
    b = w.let("bevel_run", "Bevel run along the surface, each plate", "b", LENGTH, (t - f) * tan(beta), as_fraction=True)
    w.let("sloped_face", "Length of the sloped face", "s", LENGTH, (t - f) / cos(beta), as_fraction=True)
    face = w.let("face_width", "Face width of the groove", "w", LENGTH, opening + 2 * b, main=True, as_fraction=True)
    if cap_width is None:
        c = w.value("cap_width", "Cap width, taken as the face width", face.amount, LENGTH, source=GEOMETRY, symbol="c")
    else:
        c = w.given("cap_width", "c", cap_width, LENGTH)
    gap = w.let("gap_area", "Area of the gap", "A_gap", AREA, opening * t)
    bevels = w.let("bevel_area", "Area of both bevels", "A_bevels", AREA, (t - f) ** 2 * tan(beta))
    cap = w.let("cap_area", "Area of the cap", "A_cap", AREA, c * h * Fraction(2, 3), source=CAP_SHAPE)
    area = w.let("weld_area", "Weld cross-section", "A", AREA, gap + bevels + cap, main=True)
    volume = w.let("weld_volume", "Weld metal, volume", "V", VOLUME, area * run_length)
    rho = w.fact(STEEL_DENSITY, "ρ")
    w.let("weld_mass", "Weld metal, mass", "m", MASS, rho * volume, source=STEEL_DENSITY.source, main=True)
    w.let("weld_mass_per_length", "Weld metal, mass per length", "m_L", LINEAR_MASS, rho * area, source=STEEL_DENSITY.source)
    wedge = w.let("wedge_area", "Wedge cut off each plate, area", "A_wedge", AREA, (t - f) ** 2 * tan(beta) / 2)
    w.let("wedge_mass", "Wedge cut off each plate, mass", "m_wedge", MASS, rho * wedge * run_length, source=STEEL_DENSITY.source)
    if finished_width <= face.amount:
        least = show(face.amount, LENGTH, "us"), show(face.amount, LENGTH, "si")
        raise InputError(
            "finished_width", "Finished width",
            f"nothing of the plates is left beside the groove; write more than {least[0]} ({least[1]})",
        )
    w.let(
        "plate_width", "Width to cut each plate", "B", LENGTH, (finished - opening) / 2 + k / cos(beta), as_fraction=True,
        note="The kerf is measured square to the cut, so it takes more along the surface. Zero drop edge is assumed.",
    )

    w.draw(_section(w, thickness, root_face, root_opening, b.amount, cap_height, c.amount))
    w.say(
        "Each plate bevelled {bevel_angle} makes an included angle of {included_angle}. The groove is {face_width} wide "
        "at the face and takes {weld_mass} of weld metal over {length}."
    )
    _check_angle(w, angle.amount)
    _check_opening(w, root_opening)
    if root_face > 0:
        w.watch(
            "A root face of {root_face} on backing makes the corner of the root harder to melt. "
            "Test grooves on backing usually have none; see your written procedure.", source=COMMON,
        )
    w.mention("cap_limit", CAP_LIMIT)
    if cap_height > CAP_LIMIT.amount:
        w.stop("A cap of {cap_height} is higher than the {cap_limit} allowed on a test plate.", source=CAP_LIMIT.source)
    else:
        w.ok("A cap of {cap_height} is within the {cap_limit} allowed on a test plate.", source=CAP_LIMIT.source)
    if cap_width is not None and cap_width < face.amount:
        w.stop("A cap {cap_width} wide does not cover the groove, which is {face_width} wide: the edges stay unfilled.", source=GEOMETRY)
    w.caution(
        "Bevels are cut with flame or ground with a disc: hot metal, sparks and sharp edges. Wear eye and face protection, "
        "gloves and leathers, and let an instructor watch your first cuts."
    )
    w.caution("The angle, the opening and their tolerances belong to your written procedure. Use its figures, not these, where they differ.")


def _section(w: Working, t: float, f: float, opening: float, b: float, h: float, c: float) -> Drawing:
    """The joint in section: both plates on the backing, the weld as it will stand, dimension lines for what was asked."""
    t, f, b, h = (float(each) for each in (t, f, b, h))
    half, face, cap = float(opening) / 2, float(opening) / 2 + b, max(float(c) / 2, 1e-6)
    reach = face + max(1.3 * t, 0.5 * face)
    bar = max(t * 0.6, 0.006)
    left = ((-reach, 0.0), (-half, 0.0), (-half, f), (-face, t), (-reach, t))
    rounded = tuple((cap * (1 - 2 * step / 24), t + h * (1 - (1 - 2 * step / 24) ** 2)) for step in range(25))
    weld = ((-half, 0.0), (half, 0.0), (half, f), (face, t), *rounded, (-face, t), (-half, f))
    shapes = (
        Polygon(left, "plate", "left"), Polygon(tuple((-x, y) for x, y in left), "plate", "right"),
        Polygon(((-reach * 0.8, -bar), (reach * 0.8, -bar), (reach * 0.8, 0.0), (-reach * 0.8, 0.0)), "backing"),
        Polygon(weld, "weld", "weld"),
        Dimension((-face, t + h), (face, t + h), (w.known["face_width"],), 16, "face"),
        *(Path(((x, 0.0), (x, -bar)), "hidden") for x in (-half, half)),
        Dimension((half, -bar), (-half, -bar), (w.known["root_opening"],), 12, "opening"),
        Dimension((reach, t), (reach, 0.0), (w.known["thickness"],), 10),
        Note((-reach * 0.8, t / 2), words("plate"), up=-4), Note((0.0, t / 2), words("weld")), Note((-reach * 0.5, -bar / 2), words("backing"), up=-4),
        Note((0.0, t + h), ("both bevels: ", w.known["included_angle"]), up=40),
    )
    description = w.phrase(
        "Section through the joint. Two plates {thickness} thick, each bevelled {bevel_angle}, stand {root_opening} apart on a backing bar. "
        "The groove is {face_width} wide at the face."
    )
    return Drawing("section", "The joint in section, to scale", description, shapes, left=8, right=66)


def _check_angle(w: Working, angle: Fraction) -> None:
    w.mention("usual", GROOVE_ANGLE)
    w.mention("over", GROOVE_ANGLE_OVER)
    if angle < GROOVE_ANGLE.amount:
        w.watch("{included_angle} is narrower than the usual {usual}: the rod reaches the root corners badly.", source=GROOVE_ANGLE.source)
    elif angle > GROOVE_ANGLE.amount + GROOVE_ANGLE_OVER.amount:
        w.watch("{included_angle} is more than {over} over the usual {usual}: more weld metal and more pull.", source=GROOVE_ANGLE_OVER.source)
    else:
        w.ok("{included_angle} is at the usual {usual} or not more than {over} over it.", source=GROOVE_ANGLE_OVER.source)


def _check_opening(w: Working, opening: Fraction) -> None:
    w.mention("usual_opening", ROOT_OPENING)
    if opening < ROOT_OPENING.amount:
        w.watch(
            "An opening of {root_opening} is tighter than the usual {usual_opening}: melting both corners and the backing gets hard.",
            source=ROOT_OPENING.source,
        )
    else:
        w.ok("An opening of {root_opening} leaves room to melt both corners and the backing.", source=ROOT_OPENING.source)


GROOVE = Calculator(
    id="groove",
    title="Groove size and weld metal",
    question="How wide is my groove, what weld metal does it take, and how wide do I cut the plates?",
    page="groove.md",
    work=_work,
    inputs=(
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "3 in",
            "Measure it; do not trust the tag.", "t", common=("1/4 in", "3/8 in", "1/2 in", "3/4 in", "1 in"), slide=THICKNESS,
        ),
        Quantity(
            "bevel_angle", "Bevel angle, each plate", ANGLE, "22.5 deg", "0 deg", "60 deg",
            "From square, one plate. Both plates together make the included angle.", "β", common=("22.5 deg", "30 deg"), slide=BEVEL,
        ),
        Quantity(
            "root_opening", "Root opening", LENGTH, "1/4 in", "0 in", "1 in",
            "The gap between the plates at the backing.", "R", common=("3/16 in", "1/4 in", "3/8 in"), slide=OPENING,
        ),
        Quantity("root_face", "Root face", LENGTH, "0 in", "0 in", "3 in", "The flat left at the root edge. None on most backed tests.", "f"),
        Quantity("cap_height", "Cap height", LENGTH, "1/16 in", "0 in", "1/2 in", "How far the finished weld stands above the plate.", "h", slide=CAP),
        Quantity("cap_width", "Cap width", LENGTH, "", "1/16 in", "6 in", "Leave blank to take the face width of the groove.", "c"),
        Quantity("length", "Length of the weld", LENGTH, "7 in", "1/2 in", "120 in", "Along the joint, end to end.", "L"),
        Quantity(
            "finished_width", "Finished width across both plates", LENGTH, "6 in", "1 in", "48 in",
            "From your drawing: outer edge to outer edge after fit-up.", "W",
        ),
        Quantity("kerf", "Kerf of the bevel cut", LENGTH, "1/16 in", "0 in", "3/8 in", "Width of metal the cut removes, measured square to it.", "k"),
    ),
)
