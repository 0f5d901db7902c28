"""The band of a measure on a scale: the measure as a mark, the band as a bar."""

from __future__ import annotations

from calc.core.declare import Working
from calc.core.units import Kind
from calc.show.drawing import Drawing, Row, Scale, metres, on_scale


def band(w: Working, kind: Kind) -> Drawing:
    """The measured size in its band, from zero."""
    low, high, middle = metres(w, "low", "high", "measured")
    rows = (
        Row(w.phrase("band: {low} to {high}"), low, high, "allowed", "band"),
        Row(w.phrase("measured: {measured}"), middle, None, "tool", "measured"),
    )
    text = "A scale: the measured size {measured}, and its band from {low} to {high}."
    return Drawing(
        "band", "The measure and its band", w.phrase(text),
        on_scale(Scale(0.0, high * 1.3 or 1.0, kind, "size"), rows), lengths=False,
    )
