"""Sliders beside the fields that shape a drawing: what they write and where they stand.

The page makes a slider from what stands here and invents no limit, step or text: it hands back one of the texts.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from html import escape

from calc.core.declare import Calculator, Input, Quantity, Slide
from calc.core.units import SYSTEMS, Kind, System, UnitError, parse, show_as_written

APART = "|"

# Stretches that suit a finger on a phone; the limits of the fields themselves are wider.
THICKNESS = Slide(("1/8 in", "2 in", "1/32 in"), ("3.5 mm", "50 mm", "0.5 mm"))
BEVEL = Slide(("0 deg", "60 deg", "0.5 deg"))
OPENING = Slide(("0 in", "1/2 in", "1/64 in"), ("0 mm", "12 mm", "0.25 mm"))
CAP = Slide(("0 in", "1/4 in", "1/64 in"), ("0 mm", "6 mm", "0.25 mm"))
MARGIN = Slide(("0 in", "1 in", "1/16 in"), ("0 mm", "25 mm", "1 mm"))
PLATE_END = Slide(("0 in", "2 in", "1/16 in"), ("0 mm", "50 mm", "1 mm"))
SPECIMEN = Slide(("1/8 in", "1 in", "1/32 in"), ("3 mm", "25 mm", "0.5 mm"))
PLUNGER = Slide(("1/2 in", "4 in", "1/8 in"), ("12 mm", "100 mm", "2 mm"))
BEND_ANGLE = Slide(("10 deg", "180 deg", "5 deg"))
PLATE_LENGTH = Slide(("3 in", "12 in", "1/4 in"), ("75 mm", "300 mm", "5 mm"))
CURRENT_SET = Slide(("20 A", "400 A", "5 A"))
AWAY = Slide(("0 ft", "60 ft", "1 ft"), ("0 m", "18 m", "0.5 m"))


@cache
def texts(slide: Slide, kind: Kind, system: System) -> tuple[str, ...]:
    """What the slider writes into the field at each of its stops.

    >>> from calc.core.units import LENGTH
    >>> texts(Slide(("1/8 in", "1/4 in", "1/16 in"), ("3 mm", "4 mm", "0.5 mm")), LENGTH, "si")
    ('3 mm', '3.5 mm', '4 mm')
    """
    return tuple(show_as_written(stop, kind, system).replace("\u00a0", " ") for stop in slide.stops(kind, system))


def place(each: Quantity, text: str, system: System) -> int | None:
    """The stop nearest to what a field holds; None where it has no slider, is blank or cannot be read.

    >>> from calc.core.units import LENGTH
    >>> t = Quantity("t", "t", LENGTH, "3/8 in", "0 in", "1 in", "", slide=Slide(("1/8 in", "1 in", "1/8 in")))
    >>> place(t, "0.4 in", "us"), place(t, "0 in", "us"), place(t, "9 in", "us"), place(t, "", "us")
    (2, 0, 7, None)
    """
    if each.slide is None:
        return None
    try:
        value = parse(text, each.kind, system)
    except UnitError:
        return None
    low, high, step = each.slide.ends(each.kind, system)
    return min(max(round((value - low) / step), 0), int((high - low) / step))


def places(calc: Calculator, given: Mapping[str, str], system: System) -> dict[str, int]:
    """Where every slider of a calculator stands for these texts."""
    found = {
        each.name: place(each, given.get(each.name, each.default), system) for each in calc.inputs
        if isinstance(each, Quantity)
    }
    return {name: stop for name, stop in found.items() if stop is not None}


def slide_data(each: Input, text: str) -> str:
    """The attributes of a field that the page makes its slider from; nothing where it has none.

    >>> from calc.core.units import LENGTH
    >>> slide_data(Quantity("t", "t", LENGTH, "", "0 in", "1 in", "", slide=Slide(("1/8 in", "1/4 in", "1/8 in"))), "")
    ' data-stops="1/8 in|1/4 in" data-stops-si="3.175 mm|6.35 mm" data-steps="0.003175 0.003175" data-stop="0"'
    """
    if not isinstance(each, Quantity) or each.slide is None:
        return ""
    kept = {system: APART.join(texts(each.slide, each.kind, system)) for system in SYSTEMS}
    data = f' data-stops="{escape(kept["us"])}"'
    if kept["si"] != kept["us"]:
        data += f' data-stops-si="{escape(kept["si"])}"'
    steps = " ".join(f"{float(each.slide.ends(each.kind, system)[2]):.9g}" for system in SYSTEMS)
    return f'{data} data-steps="{steps}" data-stop="{place(each, text, "us") or 0}"'

