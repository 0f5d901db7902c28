"""The joint before it is welded: the clean band, the root opening along it, the preset against its pull."""

from __future__ import annotations

import math
from collections.abc import Sequence

from calc.core.declare import Working
from calc.show.drawing import (
    Dimension,
    Drawing,
    Note,
    Path,
    Point,
    Polygon,
    Shape,
    box,
    metres,
    mirrored,
    stretch_for,
    words,
    zigzag,
)


def fit_up_section(w: Working) -> Drawing:
    """The joint in section, one plate higher by the mismatch, the backing lower by its gap."""
    t, beta, opening, step, gap = metres(w, "thickness", "bevel_angle", "required", "mismatch", "backing_gap")
    run = t * math.tan(math.radians(beta))
    half = opening / 2
    reach = half + run + max(0.9 * t, 0.4 * (half + run))
    bar = max(0.5 * t, 0.004)
    low = ((-reach, 0.0), (-half, 0.0), (-half - run, t), (-reach, t))
    high = tuple((x, y + step) for x, y in mirrored(low))
    shapes: list[Shape] = [
        Polygon(low, "plate", "low-plate"), Polygon(high, "plate", "high-plate"),
        Polygon(box(-reach * 0.8, -bar - gap, reach * 0.8, -gap), "backing", "backing"),
        Dimension((half, -bar - gap), (-half, -bar - gap), (w.known["required"],), 14, "opening", "required", 0.5),
        Dimension((-reach, 0.0), (-reach, t), (w.known["thickness"],), 10, "thickness"),
        Note((-reach * 0.8, -bar / 2 - gap), words("backing"), "start", right=6, up=-4),
    ]
    if step > 0:
        shapes += [
            Path(((-half - run, t), (reach, t)), "hidden"),
            Dimension((reach, t + step), (reach, t), (w.known["mismatch"],), 12, "mismatch", "mismatch"),
            Note((reach, t + step), words("misalignment"), "end", up=8),
        ]
    if gap > 0:
        shapes += [
            Dimension((-reach * 0.8, -gap), (-reach * 0.8, 0.0), (w.known["backing_gap"],), 12, "gap"),
            Note((-half, -gap / 2), words("gap"), right=-60, up=-22, lead=True),
        ]
    text = (
        "Section at the required root opening of {required}, plate {thickness} thick. The misalignment is {mismatch}; "
        "the gap at the backing is {backing_gap}."
    )
    return Drawing("fit-section", "The joint in section", w.phrase(text), tuple(shapes), left=62, right=62)


def fit_up_plan(w: Working, readings: Sequence[tuple[float, float]]) -> Drawing:
    """The opening along the joint, seen from above and drawn larger across it; the allowed band dashed.

    `readings` are places and openings in metres, in order.
    """
    length, low, high = metres(w, "length", "lowest_allowed", "highest_allowed")
    widest = max(high, *(gap for _, gap in readings))
    factor = stretch_for(widest, 0.4 * length)
    wide = max(0.16 * length, 0.4 * widest * factor)
    edge = [(0.0, readings[0][1]), *readings, (length, readings[-1][1])]
    line = tuple((x, gap * factor) for x, gap in edge)
    top = widest * factor + wide
    shapes: list[Shape] = [
        Polygon(((0.0, -wide), (length, -wide), (length, 0.0), (0.0, 0.0)), "plate"),
        Polygon((*line, (length, top), (0.0, top)), "plate", "edge"),
        Path(((0.0, low * factor), (length, low * factor)), "limit", "lowest"),
        Path(((0.0, high * factor), (length, high * factor)), "limit", "highest"),
        Dimension((length, -wide), (0.0, -wide), (w.known["length"],), 14, "length"),
        Note((length, high * factor), words("widest"), "start", right=4, up=2),
        Note((length, low * factor), words("tightest"), "start", right=4, up=-10),
    ]
    for number, (x, gap) in enumerate(readings, 1):
        side = "start" if x < length * 0.12 else "end" if x > length * 0.88 else "middle"
        shapes += [
            Path(((x, 0.0), (x, gap * factor)), "thin", f"reading-{number}"),
            Note(
                (x, gap * factor / 2), (w.known[f"opening_{number}"],), side,
                right={"start": 4, "end": -4}.get(side, 0), narrow=True,
            ),
        ]
    places = "; ".join(f"{{opening_{n}}} at {{place_{n}}}" for n in range(1, len(readings) + 1))
    text = (
        f"Plan of the joint, {{length}} long. Root opening: {places}. Dotted lines: allowed from {{lowest_allowed}} to "
        "{highest_allowed}."
    )
    return Drawing(
        "fit-plan", "The root opening along the joint", w.phrase(text), tuple(shapes), right=52, stretch=factor,
        stretched="opening", legend=("Dotted: tightest and widest allowed.",),
    )


def preset_tilt(w: Working, both: bool) -> Drawing:
    """The plates preset at the high end of the band, heights drawn larger; flat, as they should end up, dashed."""
    t, far, shim = metres(w, "thickness", "half_width", "shim_high")
    factor = stretch_for(shim, 0.2 * far)
    rise = shim * factor
    thick = max(t, 0.02 * far)
    if both:
        left: tuple[Point, ...] = ((-far, 0.0), (0.0, rise), (0.0, rise + thick), (-far, thick))
        right = mirrored(left)
        # Face up, the joint stands higher by the shim; the far edges touch the bench.
        measure = Dimension((far, rise), (far, 0.0), (w.known["shim_high"],), 10, "shim")
        flat = (Path(((-far, thick), (far, thick)), "hidden"), Path(((0.0, rise), (far, rise)), "thin"))
    else:
        left = box(-far, 0.0, 0.0, thick)
        right = ((0.0, 0.0), (far, -rise), (far, thick - rise), (0.0, thick))
        measure = Dimension((far, 0.0), (far, -rise), (w.known["shim_high"],), 10, "shim")
        flat = (Path(((0.0, 0.0), (far, 0.0), (far, thick)), "hidden"),)
    bench = min(y for _, y in (*left, *right))
    shapes = (
        Polygon(left, "plate", "left"), Polygon(right, "plate", "right"), *flat,
        Path(((-far * 1.05, bench), (far * 1.05, bench)), "thin"), measure,
        Note((-far * 0.55, (rise if both else thick) * 0.5 + thick / 2), words("plate"), up=-4),
        Note(
            (0.0, max(y for _, y in (*left, *right))), ("shim ", w.known["shim_low"], " to ", w.known["shim_high"]),
            up=8,
        ),
    )
    text = (
        "The two plates from their end, groove up, preset for a pull of {angle_high}. The shim is {shim_low} to "
        "{shim_high} for a far edge {half_width} from the joint."
    )
    return Drawing(
        "preset", "The preset, groove up", w.phrase(text), shapes, right=66,
        stretch=factor, stretched="rise", legend=("Dashed: flat, as the plates should end.",),
    )


def shrinkage(w: Working) -> Drawing:
    """The outer edges before and after the joint has shrunk, the shrinkage drawn larger."""
    t, far, high = metres(w, "thickness", "half_width", "shrink_high")
    factor = stretch_for(high, 0.3 * far)
    in_by = high * factor / 2
    thick = max(0.12 * far, min(t, 0.4 * far))
    shapes = (
        Polygon(box(-far + in_by, 0.0, far - in_by, thick), "plate", "after"),
        Path(((-far, 0.0), (-far, thick), (far, thick), (far, 0.0)), "hidden", "before"),
        Path(((0.0, -0.1 * thick), (0.0, 1.1 * thick)), "center"),
        Path(((-far, thick / 2), (-far + in_by, thick / 2)), "arrow"),
        Path(((far, thick / 2), (far - in_by, thick / 2)), "arrow"),
        Note((0.0, thick), ("draws together ", w.known["shrink_low"], " to ", w.known["shrink_high"]), up=8),
        Note((0.0, thick / 2), words("joint"), right=20, up=-4),
    )
    text = (
        "Both plates from their end before (dashed) and after the joint has drawn together by {shrink_low} to "
        "{shrink_high}; the high end is drawn."
    )
    return Drawing(
        "shrinkage", "Shrinkage across the joint", w.phrase(text), shapes, stretch=factor, stretched="shrinkage",
        legend=("Dashed: before. Drawn: the high end.",),
    )


def clean_band(w: Working, surfaces: str) -> Drawing:
    """The joint in section with its bright surfaces heavy, and under it the plan with both bands."""
    t, opening, face, band, length, backing = metres(
        w, "thickness", "root_opening", "face_width", "band", "length", "backing_width",
    )
    half, root = face / 2, opening / 2
    under = metres(w, "under_band")[0] if "under_band" in w.known else 0.0
    reach = max(half + band, root + under, backing / 2) + max(0.6 * t, 0.25 * (half + band))
    bar = max(0.5 * t, 0.06 * reach)
    left = ((-reach, 0.0), (-root, 0.0), (-half, t), (-reach, t))
    shapes: list[Shape] = [
        Polygon(left, "plate"), Polygon(mirrored(left), "plate"),
        Polygon(box(-backing / 2, -bar, backing / 2, 0.0), "backing"),
    ]
    bright: list[tuple[Point, ...]] = [((-half - band, t), (-half, t), (-root, 0.0))]
    if surfaces != "top":
        bright.append(((-root, 0.0), (-root - under, 0.0)))
    shapes += [Path(line, "mark", f"bright-{n}") for n, line in enumerate(bright)]
    shapes += [Path(mirrored(line), "mark") for line in bright]
    if surfaces == "all":
        shapes.append(Path(((-backing / 2, 0.0), (backing / 2, 0.0)), "mark", "bright-backing"))
    # The plan hangs below the section, at the same scale and with the joint in the same place.
    most = 1.2 * reach
    long, broken = min(length, most), length > most
    top = -bar - 0.35 * reach
    low = top - long
    for side in (-1, 1):
        outer, inner, edge = side * reach, side * (half + band), side * half
        shapes += [
            Polygon(box(min(outer, inner), low, max(outer, inner), top), "plate"),
            Polygon(
                box(min(inner, edge), low, max(inner, edge), top), "clean", f"band-{'left' if side < 0 else 'right'}",
            ),
            Polygon(box(min(edge, side * root), low, max(edge, side * root), top), "clean"),
        ]
    shapes += [
        Dimension((-half - band, t), (-half, t), (w.known["band"],), 14, "band"),
        Dimension((-half - band, low), (half + band, low), (w.known["bright_width"],), -14, "bright"),
        Dimension((reach, top), (reach, low), (w.known["length"],), 10, "length"),
        Note((reach, t), words("heavy: bright"), "end", up=10),
        Note((-half - band / 2, (top + low) / 2), words("clean"), up=-4),
        Note((half + band / 2, (top + low) / 2), words("clean"), up=-4),
    ]
    if broken:
        shapes += [
            zigzag((side * (reach + root) / 2, low + part * long), (reach - root) / 2, 0) for side in (-1, 1)
            for part in (0.2, 0.26)
        ]
    text = (
        "Section above, plan below. Each plate is cleaned {band} from the bevel edge; the bright width is "
        "{bright_width}, over a joint {length} long. Heavy lines are the surfaces to clean, {area} in all."
    )
    return Drawing("clean", "The band to clean", w.phrase(text), tuple(shapes), right=58, tallest=340, broken=broken)

