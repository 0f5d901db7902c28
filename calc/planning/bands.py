"""Estimates as bands: low, likely and high, and which input moves an estimate most.

Every uncertain input has a likely figure and how far it may lie below and above
it. An estimate is worked out with all inputs at their likely figures, then with
each moved alone to both ends: that is its swing. Inputs are taken as independent,
so the swings add up as the root of the sum of their squares.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import Amount
from calc.core.units import Kind
from calc.show.drawing import Drawing, Row, Scale, on_scale

Number = Fraction | float


@dataclass(frozen=True)
class Band:
    """A figure from low over likely to high. Raises `ValueError` where they are out of order.

    >>> Band(Fraction(1), Fraction(2), Fraction(4)).high
    Fraction(4, 1)
    """

    low: Number
    likely: Number
    high: Number

    def __post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:
            raise ValueError(
                f"a band must run from low over likely to high, not {self.low}, {self.likely}, {self.high}",
            )


@dataclass(frozen=True)
class Swing:
    """How far one input alone moves an estimate, from its low end to its high end."""

    name: str
    at_low: float
    at_high: float

    @property
    def width(self) -> float:
        """How far the estimate moves from one end to the other, without its sign."""
        return abs(self.at_high - self.at_low)


Estimates = Mapping[str, Number]
Model = Callable[[Mapping[str, Number]], Estimates]


def swings(model: Model, inputs: Mapping[str, Band]) -> dict[str, list[Swing]]:
    """For every estimate of the model: what each input alone does to it, the widest first.

    >>> found = swings(lambda x: {"area": x["a"] * x["b"]}, {"a": Band(1, 2, 3), "b": Band(9, 10, 11)})
    >>> [(swing.name, swing.at_low, swing.at_high) for swing in found["area"]]
    [('a', 10.0, 30.0), ('b', 18.0, 22.0)]
    """
    likely = {name: band.likely for name, band in inputs.items()}
    moved = {
        name: (model({**likely, name: band.low}), model({**likely, name: band.high}))
        for name, band in inputs.items() if band.low < band.high
    }
    return {
        what: sorted(
            (Swing(name, float(low[what]), float(high[what])) for name, (low, high) in moved.items()),
            key=lambda each: (-each.width, each.name),
        )
        for what in model(likely)
    }


def banded(model: Model, inputs: Mapping[str, Band], found: Mapping[str, list[Swing]]) -> dict[str, Band]:
    """Every estimate as a band: the swings of its inputs, taken as independent, add up as the root of their squares.

    No end lies further out than all inputs together can move the estimate; the model must rise or fall with each input
    throughout, as products and quotients do.

    >>> model = lambda x: {"sum": x["a"] + x["b"]}
    >>> inputs = {"a": Band(7, 10, 13), "b": Band(16, 20, 24)}
    >>> band = banded(model, inputs, swings(model, inputs))["sum"]
    >>> band.low, band.likely, band.high
    (25.0, 30, 35.0)
    """
    likely = {name: band.likely for name, band in inputs.items()}
    middle, known, bands = model(likely), {}, {}
    for what, each in found.items():
        center = float(middle[what])
        below = math.sqrt(sum(min(swing.at_low - center, swing.at_high - center) ** 2 for swing in each))
        above = math.sqrt(sum(max(swing.at_low - center, swing.at_high - center) ** 2 for swing in each))
        bottom, top = (float(end[what]) for end in _corners(model, inputs, likely, each, known))
        bands[what] = Band(
            min(middle[what], max(bottom, center - below)), middle[what], max(middle[what], min(top, center + above)),
        )
    return bands


def _corners(
    model: Model, inputs: Mapping[str, Band], likely: Mapping[str, Number], found: list[Swing], known: dict,
) -> tuple[Estimates, Estimates]:
    """All inputs at the ends that lower an estimate, and all at the ends that raise it. `known` keeps what was worked
    out.
    """
    rising = frozenset(swing.name for swing in found if swing.at_high > swing.at_low)
    falling = frozenset(swing.name for swing in found if swing.at_high < swing.at_low)
    ends = []
    for bottom, top in ((rising, falling), (falling, rising)):
        if (bottom, top) not in known:
            moved = {**{name: inputs[name].low for name in bottom}, **{name: inputs[name].high for name in top}}
            known[bottom, top] = model({**likely, **moved})
        ends.append(known[bottom, top])
    return ends[0], ends[1]


def tornado(
    name: str, title: str, found: list[Swing], likely: float, labels: Mapping[str, str], kind: Kind, most: int = 8,
) -> Drawing:
    """The swings of one estimate as bars round its likely figure, the widest on top.

    Args:
        name: of the drawing.
        title: what is estimated, in words.
        found: the swings, widest first; those that do nothing are left out.
        likely: the estimate with every input at its likely figure.
        labels: words for each input.
        kind: of the estimate, for showing its figures.
        most: how many bars are drawn.
    """
    kept = [swing for swing in found if swing.width > 0][:most]
    rows = [Row(("all likely: ", Amount(likely, kind, 3)), likely, None, "tool", "likely")]
    told: list[str | Amount] = []
    for swing in kept:
        low, high = sorted((swing.at_low, swing.at_high))
        label = (f"{labels[swing.name]}: ", Amount(low, kind, 3), " to ", Amount(high, kind, 3))
        rows.append(Row(label, low, high, "allowed", swing.name))
        told += [*label, "; "]
    ends = [float(end) for row in rows for end in (row.low, row.low if row.high is None else row.high)]
    pad = 0.08 * (max(ends) - min(ends)) or abs(likely) * 0.1 or 1.0
    scale = Scale(min(ends) - pad, max(ends) + pad, kind, title)
    return Drawing(
        name, f"What moves {title} most",
        ("The estimate as each input alone goes from end to end of its band. ", *(told or ("No input has a band.",))),
        on_scale(scale, rows), lengths=False,
    )
