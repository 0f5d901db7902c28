"""The moving arc as a source of heat: the classical solution for a plate that goes on far along and beside the weld.

Stage: how the heat moves. After a short run-in the pattern of temperatures travels with the arc and no longer changes
(quasi-steady). For an arc of net power q on the top face, moving at speed v over steel of conductivity k and
diffusivity a, with λ = v / (2a), ξ the distance ahead of the arc and r the distance from it:

    thick plate     T - T0 = q / (2πk)  · exp(-λξ) · exp(-λr) / r            a point on a very thick plate
    thin plate      T - T0 = q / (2πkd) · exp(-λξ) · K0(λr)                  a line through the thickness d
    this thickness  T - T0 = q / (2πk)  · exp(-λξ) · Σ exp(-λR) / R          R = √(r² + (2nd)²), n from -∞ to ∞

The sum mirrors the arc in both faces, so that no heat leaves through them. Source: Rosenthal 1946, from memory.

All three are exp(-λξ)·G(r), and that is what makes them quick: on a circle of radius r round the arc, the point of an
isotherm and the hottest moment follow from G(r) and its slope directly, without a search.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

Point = tuple[float, float]

PITCH = 0.1
"""Step of ln r between the knots at which a sum is worked out. Between them a cubic goes through value and slope."""

SMALLEST = 1e-6
"""Nearer to the arc than this (m) nothing is worked out; the solution is a point without size there."""

LEFT_OUT = 16.0
"""Terms of a sum that fall below exp(-16), about one part in ten million, of the first are left out."""

# Polynomials of the Handbook of Mathematical Functions, 9.8.1, 9.8.3 and 9.8.5 to 9.8.8, from memory; tested against
# another library. Each row runs from the constant upwards.
_I0 = (1.0, 3.5156229, 3.0899424, 1.2067492, 0.2659732, 0.0360768, 0.0045813)
_I1 = (0.5, 0.87890594, 0.51498869, 0.15084934, 0.02658733, 0.00301532, 0.00032411)
_K0_NEAR = (-0.57721566, 0.42278420, 0.23069756, 0.03488590, 0.00262698, 0.00010750, 0.00000740)
_K1_NEAR = (1.0, 0.15443144, -0.67278579, -0.18156897, -0.01919402, -0.00110404, -0.00004686)
_K0_FAR = (1.25331414, -0.07832358, 0.02189568, -0.01062446, 0.00587872, -0.00251540, 0.00053208)
_K1_FAR = (1.25331414, 0.23498619, -0.03655620, 0.01504268, -0.00780353, 0.00325614, -0.00068245)
_HALF_PI_ROOT = math.sqrt(math.pi / 2)


def _polynomial(row: tuple[float, ...], x: float) -> float:
    a, b, c, d, e, f, g = row
    return a + x * (b + x * (c + x * (d + x * (e + x * (f + x * g)))))


def _asymptotic(rows: tuple[float, ...], x: float) -> float:
    """Hankel's series for large x, eight terms; the ninth is under 2e-9 from x = 16 on."""
    term = total = 1.0
    for step, factor in enumerate(rows, 1):
        term *= factor / (8 * x * step)
        total += term
    return _HALF_PI_ROOT / math.sqrt(x) * total


_K0_SERIES = tuple(float(-((2 * j - 1) ** 2)) for j in range(1, 8))
_K1_SERIES = tuple(float(4 - (2 * j - 1) ** 2) for j in range(1, 8))


def bessel_k(x: float) -> tuple[float, float]:
    """exp(x)·K0(x) and exp(x)·K1(x), the modified Bessel functions that a line source in a plate needs.

    `x` above 0. Relative error under 1e-6 for K0 and K1 alike: polynomials up to 2 and from 2 to 16, Hankel's series
    from there. Raises `ValueError` at or below 0. Source: Handbook of Mathematical Functions, 9.7 and 9.8.

    >>> k0, k1 = bessel_k(1.0)
    >>> round(k0 / math.e, 6), round(k1 / math.e, 6)
    (0.421024, 0.601907)
    """
    if x <= 0:
        raise ValueError("K0 and K1 are for numbers above 0")
    if x >= 16:
        return _asymptotic(_K0_SERIES, x), _asymptotic(_K1_SERIES, x)
    if x > 2:
        root = math.sqrt(x)
        return _polynomial(_K0_FAR, 2 / x) / root, _polynomial(_K1_FAR, 2 / x) / root
    square, small, log = (x / 2) ** 2, (x / 3.75) ** 2, math.log(x / 2)
    grown = math.exp(x)
    k0 = _polynomial(_K0_NEAR, square) - log * _polynomial(_I0, small)
    k1 = _polynomial(_K1_NEAR, square) / x + log * x * _polynomial(_I1, small)
    return grown * k0, grown * k1


def falling_root(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a falling function crosses zero between `low` and `high`, by false position with the held end halved.

    The search ends with a step no longer than a billionth. Raises `ValueError` unless the function is above 0 at `low`
    and below 0 at `high` (0 itself is taken as the answer).

    >>> round(falling_root(lambda x: 2 - x * x, 0.0, 2.0), 9)
    1.414213562
    """
    above, below = function(low), function(high)
    if above == 0:
        return low
    if below == 0:
        return high
    if not below < 0 < above:
        raise ValueError("the function does not fall through zero in this range")
    moved = ""
    while True:
        middle = (low * below - high * above) / (below - above)
        value = function(middle)
        # An end that stayed twice in a row has its weight halved, or the bracket would close from one side only.
        if value > 0:
            below = below / 2 if moved == "low" else below
            step, low, above, moved = middle - low, middle, value, "low"
        else:
            above = above / 2 if moved == "high" else above
            step, high, below, moved = high - middle, middle, value, "high"
        # A value of 0 ends it as well: the next step is none. Written so that no number ends it too.
        if not step > 1e-9:
            return middle


@dataclass(frozen=True, kw_only=True)
class MovingArc:
    """An arc that moves at a steady speed over a plate. All in SI base units, temperatures in °C.

    `power` in W, net of what the arc loses; `thickness` in m; `shape` is "plate" (this thickness, faces that keep
    their heat), "thick" (no end to the thickness) or "thin" (the same temperature through the thickness).
    """

    power: float
    speed: float
    thickness: float
    conductivity: float
    diffusivity: float
    start: float
    shape: str = "plate"
    _knots: dict[int, tuple[float, float]] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def decay(self) -> float:
        """λ = v / (2a), in 1/m: ahead of the arc the warmth falls by the factor e² in every 1/λ."""
        return self.speed / (2 * self.diffusivity)

    @property
    def scale(self) -> float:
        """q / (2πk), in K·m."""
        return self.power / (2 * math.pi * self.conductivity)

    def spread(self, r: float) -> tuple[float, float]:
        """exp(λr)·G(r), in 1/m, and the slope -G'(r)/G(r), in 1/m, always above λ. `r` in m, above 0.

        Read between knots of `summed` that are even in ln r and worked out once each; within one part in a hundred
        thousand of it. A picture asks for hundreds of radii, and a sum for each would keep the reader waiting.
        """
        if self.shape == "thick":
            return 1 / r, self.decay + 1 / r
        place = math.log(r) / PITCH
        number = math.floor(place)
        share = place - number
        (low, low_slope), (high, high_slope) = self._knot(number), self._knot(number + 1)
        rise = high - low
        square = 3 * rise - 2 * low_slope - high_slope
        cube = low_slope + high_slope - 2 * rise
        value = low + share * (low_slope + share * (square + share * cube))
        slope = low_slope + share * (2 * square + share * 3 * cube)
        return math.exp(value), self.decay - slope / (PITCH * r)

    def _knot(self, number: int) -> tuple[float, float]:
        """ln of exp(λr)·G(r) at a knot, and how much it changes in one pitch there."""
        known = self._knots.get(number)
        if known is None:
            r = math.exp(number * PITCH)
            spread, slope = self.summed(r)
            known = self._knots[number] = (math.log(spread), (self.decay - slope) * r * PITCH)
        return known

    def summed(self, r: float) -> tuple[float, float]:
        """What `spread` gives, worked out in full.

        For "plate" the mirror images are summed near the arc and the standing waves of the thickness (the same
        function, by Poisson's sum) far from it, whichever needs fewer terms.
        """
        decay = self.decay
        if self.shape == "thick":
            return 1 / r, decay + 1 / r
        d = self.thickness
        if self.shape == "thin":
            k0, k1 = bessel_k(decay * r)
            return k0 / d, decay * k1 / k0
        images, waves = self.terms(r)
        return self._by_images(r, images) if images <= waves else self._by_waves(r, waves)

    def terms(self, r: float) -> tuple[int, int]:
        """How many mirror images to each side, and how many standing waves, the two sums need at `r`."""
        decay, d = self.decay, self.thickness
        images = math.sqrt((LEFT_OUT / decay) ** 2 + 2 * r * LEFT_OUT / decay) / (2 * d)
        waves = math.sqrt((LEFT_OUT / r) ** 2 + 2 * decay * LEFT_OUT / r) * d / math.pi
        return math.ceil(images), math.ceil(waves)

    def _by_images(self, r: float, count: int) -> tuple[float, float]:
        decay, step, exp, sqrt = self.decay, 2 * self.thickness, math.exp, math.sqrt
        total, slope = 1 / r, (decay + 1 / r) / r
        for n in range(1, count + 1):
            far = sqrt(r * r + (n * step) ** 2)
            part = 2 * exp(-decay * (far - r)) / far
            total += part
            slope += part * (decay + 1 / far) * r / far
        return total, slope / total

    def _by_waves(self, r: float, count: int) -> tuple[float, float]:
        decay, pitch, exp, sqrt = self.decay, math.pi / self.thickness, math.exp, math.sqrt
        total, k1 = bessel_k(decay * r)
        slope = decay * k1
        for m in range(1, count + 1):
            sharp = sqrt(decay * decay + (m * pitch) ** 2)
            k0, k1 = bessel_k(sharp * r)
            part = 2 * exp(-(sharp - decay) * r)
            total += part * k0
            slope += part * sharp * k1
        return total / self.thickness, slope / total

    def temperature(self, ahead: float, aside: float) -> float:
        """Temperature (°C) on the top face, `ahead` of the arc (m, behind is negative) and `aside` of the weld line
        (m)."""
        r = max(math.hypot(ahead, aside), SMALLEST)
        return self.start + self.scale * self.spread(r)[0] * math.exp(-self.decay * (r + ahead))

    # --- isotherms -------------------------------------------------------------

    def _excess(self, temperature: float) -> Callable[[float], float]:
        """ln of how far the strip of radius r, straight behind the arc, is above the temperature. Takes ln r; falls."""
        wanted = math.log((temperature - self.start) / self.scale)
        return lambda u: math.log(self.spread(math.exp(u))[0]) - wanted

    def _falls_through(self, function: Callable[[float], float]) -> float | None:
        """exp(u) where a falling function of u = ln r crosses zero, or None where that is nearer than `SMALLEST`."""
        low = math.log(SMALLEST)
        if function(low) <= 0:
            return None
        high = -math.log(self.decay)
        while function(high) > 0:
            low, high = high, high + 2
        return math.exp(falling_root(function, low, high))

    def behind(self, temperature: float) -> float:
        """How far the isotherm reaches behind the arc on the weld line (m); 0 where under `SMALLEST`."""
        return self._falls_through(self._excess(temperature)) or 0.0

    def ahead(self, temperature: float) -> float:
        """How far the isotherm reaches ahead of the arc on the weld line (m); 0 where under `SMALLEST`."""
        excess, decay = self._excess(temperature), self.decay
        return self._falls_through(lambda u: excess(u) - 2 * decay * math.exp(u)) or 0.0

    def isotherm(self, temperature: float, parts: int = 36) -> tuple[Point, ...]:
        """The isotherm on the left of the weld line, from ahead of the arc to behind it, as (ahead, aside) in m.

        On the circle of radius r the temperature is met at ξ = ln(exp(λr)·G·q/(2πk)/(T - T0))/λ - r: no search. Empty
        where it lies nearer to the arc than `SMALLEST`.
        """
        front, rear = self.ahead(temperature), self.behind(temperature)
        if not front or not rear:
            return ()
        excess, decay = self._excess(temperature), self.decay
        low, high = math.log(front), math.log(rear)
        points = [(front, 0.0)]
        for step in range(1, parts):
            u = low + (high - low) * (1 - math.cos(math.pi * step / parts)) / 2
            r, over = math.exp(u), excess(u) / decay
            points.append((over - r, math.sqrt(max(0.0, over * (2 * r - over)))))
        return (*points, (-rear, 0.0))

    # --- the hottest moment ----------------------------------------------------

    def crest(self, r: float) -> tuple[float, float, float]:
        """Where the circle of radius `r` touches the crest of the heat: (behind, aside, temperature), m, m, °C.

        A point beside the weld is hottest when the crest reaches it, some time after the arc has passed.
        """
        spread, slope = self.spread(r)
        share = self.decay / slope
        temperature = self.start + self.scale * spread * math.exp(-self.decay * r * (1 - share))
        return r * share, r * math.sqrt((1 - share) * (1 + share)), temperature

    def half_width(self, temperature: float) -> float:
        """How far from the weld line the plate gets this hot at all (m); 0 where under `SMALLEST`."""
        rise = temperature - self.start
        r = self._falls_through(lambda u: math.log((self.crest(math.exp(u))[2] - self.start) / rise))
        return self.crest(r)[1] if r else 0.0

    def crest_radius(self, aside: float) -> float:
        """Distance from the arc (m) at the hottest moment of a point `aside` of the weld line (m, above 0)."""
        low = high = math.log(aside)
        while self.crest(math.exp(high))[1] < aside:
            low, high = high, high + 1
        return math.exp(falling_root(lambda u: aside - self.crest(math.exp(u))[1], low, high)) if high > low else aside

    def peak(self, aside: float) -> tuple[float, float]:
        """Highest temperature (°C) of a point `aside` of the weld line (m, above 0), and when, in s after the arc
        passed."""
        behind, _, temperature = self.crest(self.crest_radius(aside))
        return temperature, behind / self.speed

    # --- cooling ---------------------------------------------------------------

    def falls_to(self, temperature: float, aside: float) -> float | None:
        """Seconds after the arc passed at which a point `aside` of the weld line cools to a temperature.

        None where it never gets that hot. On the weld line itself it always does.
        """
        if not aside:
            return self.behind(temperature) / self.speed
        nearest = self.crest_radius(aside)
        if self.crest(nearest)[2] < temperature:
            return None
        excess, decay = self._excess(temperature), self.decay

        def over(u: float) -> float:
            r = math.exp(u)
            # r less its part along the weld, without the loss of digits of a plain subtraction.
            return excess(u) - decay * aside * aside / (r + math.sqrt(max(0.0, r * r - aside * aside)))

        low = math.log(nearest)
        high = low + 1
        while over(high) > 0:
            high += 2
        r = math.exp(falling_root(over, low, high)) if over(low) > 0 else nearest
        return math.sqrt(max(0.0, r * r - aside * aside)) / self.speed

    def cooling_time(self, upper: float, lower: float, aside: float = 0.0) -> float | None:
        """Seconds from `upper` to `lower` (°C) while a point cools; None where it never reaches `upper`.

        >>> arc = MovingArc(
        ...     power=2400, speed=2.54e-3, thickness=0.0254, conductivity=50, diffusivity=1.327e-5, start=20, shape="thick",
        ... )
        >>> round(arc.cooling_time(800, 500), 4)
        2.41
        """
        first = self.falls_to(upper, aside)
        last = self.falls_to(lower, aside)
        return None if first is None or last is None else last - first
