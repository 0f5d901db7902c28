"""The V-groove on a backing bar: its size, its weld metal and the plate to cut for it.

Stage: bevel and fit-up. The shape is plane geometry. The fixed values are the
density of steel and the reinforcement taken as a flat curve two thirds full; what the joint
is judged by stands in `joint`, the chain from blank to specimen in `widths`.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

from calc.core.declare import Calculator, InputError, Quantity, Working
from calc.core.formula import Symbol, cos, tan
from calc.core.sources import GEOMETRY, Citation, Fact, Standing
from calc.core.units import ANGLE, AREA, DENSITY, LENGTH, LINEAR_MASS, MASS, VOLUME, show, show_as_written, show_both
from calc.show.drawing import Dimension, Drawing, Handle, Note, Path, Polygon, words
from calc.show.sliders import BEVEL, CAP, MARGIN, OPENING, THICKNESS
from calc.stages import widths
from calc.stages.coupons import LONG
from calc.stages.joint import judge_cap, judge_cap_width, judge_drop_margin, judge_joint, judge_kerf, judge_root_face

STEEL_DENSITY = Fact(
    "steel-density", "Density of steel", Fraction(7850), DENSITY,
    Citation(
        None, "Handbook figure for carbon steel", Standing.SECONDARY, "Other tables print 0.2833 to 0.2836 lb/in³.",
    ),
)
FACTS = (STEEL_DENSITY,)

CAP_SHAPE = Citation(
    None, "Reinforcement taken as a flat curve that fills two thirds of its height times width",
    Standing.COMMON_PRACTICE,
)
CAP_FILL = Fraction(2, 3)
"""The share of its height times width that a cap fills: the area under a parabola is two thirds of its box."""


def cap_area(width: Any, height: Any) -> Any:
    """Area of the cap over a groove, taken as a flat parabola: A_cap = w·h·2/3.

    `width` and `height` of the cap as symbols of a worked step, which gives a formula, or as plain numbers in m, which
    gives m². Both 0 or more. Source: the parabola's area (Archimedes); that a cap has this shape is common practice.

    >>> cap_area(3, 4), cap_area(Fraction(1, 2), Fraction(1, 16))
    (Fraction(8, 1), Fraction(1, 48))
    """
    return width * height * CAP_FILL


def work_groove(
    w: Working, *, thickness: Fraction, bevel_angle: Fraction, root_opening: Fraction, root_face: Fraction,
    cap_height: Fraction, cap_width: Fraction | None, length: Fraction, finished_width: Fraction, kerf: Fraction,
    drop_margin: Fraction,
) -> None:
    """How wide each plate has to be cut, how wide the groove then is, and what weld metal it takes.

        α = 2·β    b = (t − f)·tan β    w = R + 2·b    A = R·t + (t − f)²·tan β + (2/3)·h·c    m = ρ·A·L
        B = (W − R)/2 + m_d + k / cos β + f·tan β

    t thickness, R root opening, f root face, h and c height and width of the cap, L length, W finished width, k kerf,
    m_d margin on the drop: m, all of them. β bevel angle from square, degrees. The cap is taken two thirds full.

    Valid where the root face is no more than the plate and the groove is narrower than both plates; else `InputError`
    on `root_face` or `finished_width`. Source: plane geometry; `joint` for the judgements.

    By hand, 3/8 in, 45° in all, 1/4 in open, no cap: 1/4 · 3/8 + (3/8)² · 0.414214 = 0.151999 in²; the face 1/4 + 2 ·
    0.155330 in.

    >>> answer = GROOVE.answer(cap_height="0 in")
    >>> round(answer["weld_area"].amount / 0.0254**2, 6), round(answer["face_width"].amount / 0.0254, 4)
    (0.151999, 0.5607)
    """
    if root_face > thickness:
        raise InputError(
            "root_face", "Root face", f"{show_as_written(root_face, LENGTH, 'us')} is more than the plate thickness; "
            f"write at most {show_both(thickness, LENGTH)}",
        )
    t = w.given("thickness", "t", thickness, LENGTH)
    beta = w.given("bevel_angle", "β", bevel_angle, ANGLE)
    opening = w.given("root_opening", "R", root_opening, LENGTH)
    f = w.given("root_face", "f", root_face, LENGTH)
    angle, b, face = _shape(w, t, beta, opening, f)
    if cap_width is None:
        c = w.value(
            "cap_width", "Width of the cover pass, taken as the face width", face.amount, LENGTH, source=GEOMETRY,
            symbol="c",
        )
    else:
        c = w.given("cap_width", "c", cap_width, LENGTH)
    _weld_metal(
        w, t, beta, opening, f, c, w.given("cap_height", "h", cap_height, LENGTH),
        w.given("length", "L", length, LENGTH),
    )
    if finished_width <= face.amount:
        least = show(face.amount, LENGTH, "us"), show(face.amount, LENGTH, "si")
        raise InputError(
            "finished_width", "Finished width",
            f"leaves nothing of the plates beside the groove; write more than {least[0]} ({least[1]})",
        )
    _blank(w, beta, opening, f, finished_width, kerf, drop_margin)

    w.draw(_section(w, thickness, root_face, root_opening, b.amount, cap_height, c.amount))
    w.say(
        "Cut each plate {plate_width} wide. Beveled {bevel_angle}, the two make a joint {finished_width} across with "
        "a groove angle of {included_angle}. The groove is {face_width} wide at the face and takes {weld_mass} of "
        "weld metal over {length}."
    )
    judge_joint(w, angle.amount, root_opening)
    judge_root_face(w, root_face)
    judge_cap(w, cap_height)
    if cap_width is not None:
        judge_cap_width(w, cap_width, face.amount)
    judge_drop_margin(w, drop_margin)
    judge_kerf(w, kerf, thickness)
    widths.judge_joint_width(w, finished_width, LONG)
    w.warn(
        "Bevels are cut with flame or ground with a disc: hot metal, sparks and sharp edges. Wear eye and face "
        "protection, gloves and leathers, and let an instructor watch your first cuts."
    )
    w.warn(
        "Your WPS gives the groove angle, the root opening and their tolerances. Where it differs from these figures, "
        "use the WPS."
    )


def _shape(w: Working, t: Symbol, beta: Symbol, opening: Symbol, f: Symbol) -> tuple[Symbol, Symbol, Symbol]:
    """Included angle, bevel run and face width."""
    angle = w.let("included_angle", "Groove angle", "α", ANGLE, 2 * beta, main=True)
    b = w.let(
        "bevel_run", "Bevel run along the surface, each plate", "b", LENGTH, (t - f) * tan(beta), as_fraction=True,
    )
    w.let("sloped_face", "Length of the sloped face", "s", LENGTH, (t - f) / cos(beta), as_fraction=True)
    return angle, b, w.let(
        "face_width", "Face width of the groove", "w", LENGTH, opening + 2 * b, main=True, as_fraction=True,
    )


def _weld_metal(
    w: Working, t: Symbol, beta: Symbol, opening: Symbol, f: Symbol, c: Symbol, h: Symbol, run_length: Symbol,
) -> None:
    """Cross-section, volume and mass of the weld, and the wedge that each bevel takes off."""
    gap = w.let("gap_area", "Area between the root edges", "A_gap", AREA, opening * t)
    bevels = w.let("bevel_area", "Area of both bevels", "A_bevels", AREA, (t - f) ** 2 * tan(beta))
    cap = w.let("cap_area", "Area of the reinforcement", "A_cap", AREA, cap_area(c, h), source=CAP_SHAPE)
    area = w.let("weld_area", "Weld cross-section", "A", AREA, gap + bevels + cap, main=True)
    volume = w.let("weld_volume", "Weld metal, volume", "V", VOLUME, area * run_length)
    rho = w.fact(STEEL_DENSITY, "ρ")
    w.let("weld_mass", "Weld metal, mass", "m", MASS, rho * volume, source=STEEL_DENSITY.source, main=True)
    w.let(
        "weld_mass_per_length", "Weld metal, mass per length", "m_L", LINEAR_MASS, rho * area,
        source=STEEL_DENSITY.source,
    )
    wedge = w.let("wedge_area", "Wedge cut off each plate, area", "A_wedge", AREA, (t - f) ** 2 * tan(beta) / 2)
    w.let(
        "wedge_mass", "Wedge cut off each plate, mass", "m_wedge", MASS, rho * wedge * run_length,
        source=STEEL_DENSITY.source,
    )


def _blank(
    w: Working, beta: Symbol, opening: Symbol, f: Symbol, finished_width: Fraction, kerf: Fraction,
    drop_margin: Fraction,
) -> None:
    """The width to cut each blank, by the chain of `widths`."""
    finished = w.given("finished_width", "W", finished_width, LENGTH)
    k = w.given("kerf", "k", kerf, LENGTH)
    margin = w.given("drop_margin", "m_d", drop_margin, LENGTH)
    w.let(
        "plate_at_root", "Width of each plate at its root edge, bevel finished", "P", LENGTH,
        widths.plate_of_joint(finished, opening), as_fraction=True,
    )
    w.let(
        "plate_width", "Width to cut each plate", "B", LENGTH,
        widths.blank_of_joint(finished, opening, beta, k, margin, f), main=True, as_fraction=True,
        note="Before the bevel is cut. The kerf is measured square to the cut, so it takes more along the surface; the "
        "margin goes with the drop.",
    )


def _section(w: Working, t: float, f: float, opening: float, b: float, h: float, c: float) -> Drawing:
    """The joint in section: both plates on the backing, the weld as it will stand, dimension lines for what was
    asked.
    """
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
        Polygon(weld, "weld", "weld"), Dimension((-face, t + h), (face, t + h), (w.known["face_width"],), 16, "face"),
        *(Path(((x, 0.0), (x, -bar)), "hidden") for x in (-half, half)),
        Dimension((half, -bar), (-half, -bar), (w.known["root_opening"],), 12, "opening",
            "root_opening", 0.5),
        Dimension((reach, 0.0), (reach, t), (w.known["thickness"],), -10, "", "thickness"),
        Handle((face, t), (math.radians(1) * ((t - f) + b**2 / (t - f)) if t > f else 0.0, 0.0), "bevel_angle"),
        Handle((0.0, t + h), (0.0, 1.0), "cap_height"),
        Note((-reach * 0.8, t / 2), words("plate"), up=-4), Note((0.0, t / 2), words("weld")),
        Note((-reach * 0.5, -bar / 2), words("backing"), up=-4),
        Note((0.0, t + h), ("both bevels: ", w.known["included_angle"]), up=40),
    )
    description = w.phrase(
        "Section through the joint. Two plates {thickness} thick, each beveled {bevel_angle}, stand {root_opening} "
        "apart on a backing bar. The groove is {face_width} wide at the face."
    )
    return Drawing("section", "The joint in section, to scale", description, shapes, left=8, right=66)


GROOVE = Calculator(
    id="groove",
    title="Groove size and weld metal",
    question="How wide is my groove, what weld metal does it take, and how wide do I cut the plates?",
    page="groove.md",
    work=work_groove,
    main=("thickness", "bevel_angle", "root_opening", "cap_height"),
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
            "The distance between the plates at the backing.", "R", common=("3/16 in", "1/4 in", "3/8 in"),
            slide=OPENING,
        ),
        Quantity(
            "root_face", "Root face", LENGTH, "0 in", "0 in", "3 in",
            "The flat left at the root edge. None on most backed tests.", "f",
        ),
        Quantity(
            "cap_height", "Height of the reinforcement", LENGTH, "1/16 in", "0 in", "1/2 in",
            "How far the finished weld stands above the plate.", "h", slide=CAP,
        ),
        Quantity(
            "cap_width", "Width of the cover pass", LENGTH, "", "1/16 in", "6 in",
            "Leave blank to take the face width of the groove.", "c",
        ),
        Quantity(
            "length", "Length of the weld", LENGTH, "7 in", "1/2 in", "120 in", "Along the joint, end to end.", "L",
            takes="plate_length",
        ),
        Quantity(
            "finished_width", "Finished width across both plates", LENGTH, "6 in", "1 in", "48 in",
            "From your drawing: outer edge to outer edge after fit-up.", "W",
        ),
        Quantity(
            "kerf", "Kerf of the bevel cut", LENGTH, "1/16 in", "0 in", "3/8 in",
            "Width of the slot that the cut leaves, measured square to the cut.", "k",
        ),
        Quantity(
            "drop_margin", "Margin on the drop", LENGTH, "1/4 in", "0 in", "6 in", "Stock that the drop keeps at the "
            "bottom, outside the kerf, as in the bevel cut.", "m_d", slide=MARGIN,
        ),
    ),
)
