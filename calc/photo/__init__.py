"""Measuring on a photograph: a length, a gap or an angle with its band of uncertainty.

`homography` takes the perspective out of a flat surface, `measure` measures on it and says how far off the figure can
be, `photo_measure` is the calculator over both, `web` what the page asks beside it. Nothing here sees a picture: the
marks come as pixels.
"""

from __future__ import annotations

from calc.later import later

PHOTO_DO = later("calc.photo.web", ["photo-marks", "photo-target", "photo-hand-on", "photo-into-record"])
