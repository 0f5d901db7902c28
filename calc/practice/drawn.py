"""Every drawing that a question may show: line drawings, welds as they look, and drawings to measure on."""

from __future__ import annotations

from calc.practice.looks import LOOKS, look_svg
from calc.practice.measured import MEASURED, Numbers, measured_svg
from calc.practice.pictures import PICTURES, picture
from calc.show.drawing import drawing_svg

DRAWN = (*PICTURES, *LOOKS, *MEASURED)
"""The names of all drawings."""


def svg(name: str, seed: str, place: str, inputs: Numbers) -> str:
    """The drawing of that name; `seed` decides a look, `inputs` what can be measured. Raises `KeyError`."""
    if name in LOOKS:
        return look_svg(name, seed, place)
    if name in MEASURED:
        return measured_svg(name, inputs, seed, place)
    # An arrow to the place would give a question away.
    return drawing_svg(picture(name, pointed=False), place)
