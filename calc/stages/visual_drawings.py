"""The face of the weld in section: reinforcement, undercut, underfill and misalignment beside their limits."""

from __future__ import annotations

import math

from calc.core.declare import Working
from calc.show.drawing import (
    Dimension,
    Drawing,
    Handle,
    Note,
    Path,
    Point,
    Polygon,
    Shape,
    metres,
    stretch_for,
    words,
)
from calc.stages.joint import GROOVE_ANGLE, ROOT_OPENING


def face(w: Working) -> Drawing:
    """The upper side of the joint. Heights and depths are drawn larger where they would be too small to see.

    The weld's width was not asked for: it is the face of the usual test groove in this plate.
    """
    t, cap_limit, cut_limit = metres(w, "thickness", "reinforcement_limit", "undercut_limit")
    # What was not measured yet is not drawn.
    cut, low, cap, step = (
        metres(w, name)[0] if name in w.known else 0.0 for name in (
            "undercut_depth", "underfill", "reinforcement", "mismatch",
        )
    )
    half = float(ROOT_OPENING.amount) / 2 + t * math.tan(math.radians(float(GROOVE_ANGLE.amount) / 2))
    reach = 1.9 * half
    factor = stretch_for(max(cut_limit, cut), 0.22 * half)
    h, d, u, e, top, deep = (factor * each for each in (cap, low, cut, step, cap_limit, cut_limit))
    depth = max(0.8 * half, u, deep, d) + 0.35 * half
    weld = _profile(half, h, d, e)
    toe = 0.22 * half
    right: tuple[Point, ...] = (
        (half, -depth), (reach, -depth), (reach, e), (half + toe, e), *(((half + toe / 3, e - u),) if u else ()),
        (half, e),
    )
    shapes: list[Shape] = [
        Polygon(((-reach, -depth), (-half, -depth), (-half, 0.0), (-reach, 0.0)), "plate"),
        Polygon(right, "plate", "right-plate"),
        Polygon((*weld, (half, -depth), (-half, -depth)), "weld", "weld"),
        Note((-reach * 0.78, -depth / 2), words("plate"), up=-4), Note((0.0, -depth / 2), words("weld"), up=-4),
        Path(((half, e - deep), (reach, e - deep)), "limit", "undercut-limit"),
        Dimension((reach, e), (reach, e - deep), (w.known["undercut_limit"],), 6, "undercut-limit"),
    ]
    if cut:
        shapes += [
            Dimension((half + toe / 3, e), (half + toe / 3, e - u), (w.known["undercut_depth"],), 0, "undercut"),
        ]
    shapes += [
        Path(((-half, top), (half, top)), "limit", "cap-limit"),
        Note((-half, top), ("reinforcement limit ", w.known["reinforcement_limit"]), "start", up=6),
    ]
    shapes.append(Handle((0.0, h), (0.0, float(factor)), "reinforcement"))
    if cap:
        peak = half / 2 if d else 0.0
        shapes.append(
            Dimension(
                (peak, h + (e / 2 if not d else e)), (peak, e / 2 if not d else e), (w.known["reinforcement"],), 0,
                "cap",
            ),
        )
    if low:
        shapes.append(
            Dimension(
                (-half / 2 if h else 0.0, -d), (-half / 2 if h else 0.0, 0.0), (w.known["underfill"],), 0, "underfill",
            ),
        )
    if step:
        shapes.append(
            Dimension(
                (half + 0.55 * (reach - half), 0.0), (half + 0.55 * (reach - half), e), (w.known["mismatch"],), 0,
                "mismatch",
            ),
        )
        shapes.append(Path(((half, 0.0), (reach, 0.0)), "hidden"))
    measured = (
        ("reinforcement", "reinforcement_limit"), ("underfill", ""), ("undercut_depth", "undercut_limit"),
        ("mismatch", ""),
    )
    told = [
        f"{'misalignment' if name == 'mismatch' else name.removesuffix('_depth')} " + (
            f"{{{name}}}" if name in w.known else "not measured yet"
        ) + (f", limit {{{limit}}}" if limit else "")
        for name, limit in measured
    ]
    text = f"Section through the upper side of the weld: {'; '.join(told)}."
    return Drawing(
        "face", "The weld face and its limits", w.phrase(text), tuple(shapes), right=100, stretch=factor,
        stretched="heights and depths",
        legend=("Dotted: limits for reinforcement and undercut.", "Width of the weld: the usual test groove."),
    )


def _profile(half: float, h: float, d: float, e: float) -> tuple[Point, ...]:
    """The weld face from toe to toe: raised, hollow, or hollow at one side and raised at the other."""
    steps = 32
    points = []
    for number in range(steps + 1):
        s = number / steps
        if d and h:
            bulge = -(d if s < 0.5 else h) * math.sin(2 * math.pi * s)
            base = e * min(1.0, max(0.0, (s - 0.45) / 0.1))
        else:
            bulge = 4 * s * (1 - s) * (h or -d)
            base = e * s
        points.append(((2 * s - 1) * half, base + bulge))
    return tuple(points)
