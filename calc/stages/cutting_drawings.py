"""The torch at the plate: the speed on its band, and the tilted cut in section."""

from __future__ import annotations

import math

from calc.core.declare import Working
from calc.core.units import TRAVEL_SPEED
from calc.show.drawing import (
    Dimension,
    Drawing,
    Handle,
    Note,
    Path,
    Point,
    Polygon,
    Row,
    Scale,
    arc,
    metres,
    on_scale,
    words,
    zigzag,
)


def speed_band(w: Working, own: bool, timed: bool) -> Drawing:
    """The band to start in and, where a mark was timed, the reader's speed on it."""
    slow, fast = metres(w, "speed_low", "speed_high")
    rows = [
        Row(("start between ", w.known["speed_low"], " and ", w.known["speed_high"]), slow, fast, "allowed", "band")
    ]
    if own:
        table = metres(w, "table_speed_low", "table_speed_high")
        rows.append(Row(words("band of our table"), *table, "plain", "table"))
    if timed:
        speed, = metres(w, "your_speed")
        side = "slower than the band" if speed < slow else "faster than the band" if speed > fast else "inside the band"
        rows.insert(0, Row(("you: ", w.known["your_speed"], f", {side}"), speed, None, "tool", "you"))
    low, high = min(float(row.low) for row in rows), max(float(row.high or row.low) for row in rows)
    scale = Scale(max(0.0, low - 0.3 * (high - low)), high + 0.3 * (high - low) + 1e-6, TRAVEL_SPEED, "travel speed")
    text = "A scale of travel speed. The band to start in runs from {speed_low} to {speed_high}."
    text += " Your speed, {your_speed}, is " + side + "." if timed else ""
    return Drawing("speed", "The speed band", w.phrase(text), on_scale(scale, rows), lengths=False)


def bevel_cut(w: Working) -> Drawing:
    """The tilted torch, the jet's path through the plate, the kerf and the drop, in section.

    The line of the cut is at zero: the plate that is kept lies to its left, the drop to its right.
    """
    t, beta, kerf, run, f, margin, stand_off, shift = metres(
        w, "thickness", "bevel_angle", "surface_kerf", "bevel_run", "root_face", "drop_margin", "stand_off",
        "tip_shift",
    )
    tan = math.tan(math.radians(beta))
    most = 2.5 * (t + run + kerf)
    broken = margin > most
    old = kerf + run + min(margin, most)
    reach = -max(1.6 * t, 0.8 * (run + kerf))
    kept: tuple[Point, ...] = ((reach, 0.0), (run, 0.0), (0.0, t), (reach, t))
    drop = ((kerf, t), (old, t), (old, 0.0), (kerf + run, 0.0))
    tip = (kerf / 2 - shift, t + stand_off * math.cos(math.radians(beta)))
    shapes = [
        Polygon(kept, "plate", "kept"), Polygon(drop, "waste", "drop"),
        Polygon(((0.0, t), (kerf, t), (kerf + run, 0.0), (run, 0.0)), "gap", "kerf"),
        Polygon(_torch(tip, beta, max(0.8 * t, 1.5 * stand_off)), "tool", "torch"),
        Path((tip, (kerf / 2 + run, 0.0), (kerf / 2 + run + 0.35 * t * tan, -0.35 * t)), "center", "jet"),
        Dimension((0.0, t), (run, 0.0), (w.known["path"],), -20, "path"),
        Dimension((reach, 0.0), (reach, t), (w.known["thickness"],), 10, "thickness", "thickness"),
        Dimension((0.0, t), (old, t), (w.known["line_from_edge"],), 18, "line"),
        Note((reach * 0.62, t / 2), words("keep"), up=-4),
        Note(((kerf + run / 2 + old) / 2, t / 2), words("drop"), up=-4),
        Note((0.0, t), words("line"), right=-26, up=14, lead=True),
        Note((kerf / 2 + run, 0.0), words("kerf"), right=-44, up=-26, lead=True),
        *_angle(w, tip, (kerf / 2, t), beta, stand_off + 0.8 * t),
    ]
    grip, far = stand_off + 0.6 * t, math.radians(beta)
    shapes.append(Handle(
        (tip[0] - grip * math.sin(far), tip[1] + grip * math.cos(far)),
        (-grip * math.cos(far) * math.radians(1), -grip * math.sin(far) * math.radians(1)), "bevel_angle",
    ))
    if margin > 0:
        shapes.append(Dimension((kerf + run, 0.0), (old, 0.0), (w.known["drop_margin"],), -16, "margin",
            "drop_margin"))
    if f > 0:
        shapes.append(Path(((run - f * tan, 0.0), (run - f * tan, f)), "hidden", "root-face"))
    if broken:
        shapes += [zigzag((old - part * t, t / 2), t / 2) for part in (0.3, 0.5)]
    text = (
        "Section through the plate, {thickness} thick, cut with the torch tilted {bevel_angle} over the part that is "
        "kept. The jet goes through {path}. The line lies {line_from_edge} from the old edge; the kerf shows "
        "{surface_kerf} wide on the surface. The drop weighs {drop_mass}."
    )
    return Drawing("cut", "The tilted cut in section", w.phrase(text), tuple(shapes), left=66, right=12, broken=broken)


def _torch(tip: Point, beta: float, long: float) -> tuple[Point, ...]:
    """A plain nozzle: narrow at the tip, its axis tilted."""
    angle = math.radians(beta)
    along, across = (-math.sin(angle), math.cos(angle)), (math.cos(angle), math.sin(angle))
    narrow, wide = 0.1 * long, 0.22 * long

    def point(up: float, side: float) -> Point:
        return tip[0] + up * along[0] + side * across[0], tip[1] + up * along[1] + side * across[1]

    return (
        point(0, -narrow), point(0, narrow), point(0.35 * long, wide), point(long, wide), point(long, -wide),
        point(0.35 * long, -wide),
    )


def _angle(w: Working, tip: Point, foot: Point, beta: float, radius: float) -> list:
    """The tilt from square, drawn from the point where the jet enters."""
    upright = Path((foot, (foot[0], foot[1] + radius * 1.05)), "hidden")
    note = Note((foot[0], foot[1] + radius * 1.05), (w.known["bevel_angle"], " from square"), "start", right=6, up=0)
    if beta == 0:
        return [upright, note]
    return [upright, Path(arc(foot, radius, 90, 90 + beta, 12), "thin"), note]
