"""What is measured on a photograph, and how far off it can be.

Three views hold. *Corners*: a flat surface with four corners of known length and width, at a tilt; the homography takes
the perspective out. *Ends*: a flat surface seen square, with one known length on it. *Bend*: the convex surface of a
bent specimen seen square on its apex, whose width is known; the surface is a cylinder, and lengths run along it.

The band is worked out by propagation of uncertainty (JCGM 100, from memory): each cause changes the answer by so much,
these changes are added as squares, and the root is doubled. Lengths in m, angles in degrees, marks in pixels with the
origin in the upper left corner of the picture.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from calc.core.units import Number
from calc.photo import homography
from calc.photo.homography import NotFound, Point
from calc.photo.views import ANGLE_OF, BEND, CORNERS, ENDS, GAP, LENGTH_OF, MARKS_OF, REFERENCE_MARKS

IN_LINE = 0.03
"""Three corners that span less than this share of the square of the longest distance are nearly in line. Ours."""
NOT_A_GAP = 20.0
"""Two lines that part by more degrees are no gap. Ours."""


class Refused(ValueError):
    """A view or marks that this method does not hold for: an id that stays, and the reason in a sentence."""

    def __init__(self, id: str, words: str) -> None:
        super().__init__(words)
        self.id, self.words = id, words


@dataclass(frozen=True)
class Limits:
    """What the method assumes of a camera, and where it ends. Shares are of the picture's longest side."""

    focal_least: float
    focal_most: float
    lens: float
    tilt_most: float
    turned_most: float
    apex_off: float
    radius_off: float
    smallest_reference: float
    farthest: float

    @property
    def focal(self) -> float:
        """The focal length that an answer is worked out for: the middle of the assumed ones, by their product."""
        return math.sqrt(self.focal_least * self.focal_most)


@dataclass(frozen=True)
class Errors:
    """How far off what was entered can be: the marks (95 % of them) and the blur in px, the reference and the relief in
    m, the view in degrees off square.
    """

    mark: float
    blur: float
    reference: float
    relief: float
    off_square: float

    @property
    def pixel(self) -> float:
        """The standard uncertainty of one mark, along each axis: √((mark/2)² + blur²/12).

        Half of what holds 95 % of the marks, and an edge that is spread evenly over its blur.

        >>> Errors(2, 0, 0, 0, 0).pixel
        1.0
        """
        return math.hypot(self.mark / 2, self.blur / math.sqrt(12))


@dataclass(frozen=True)
class Scene:
    """The marks of one photograph, what is known of the reference, and what of the camera is taken for given.

    `length` and `width` of the reference and the `radius` of the convex surface in m; `lens` the distortion at the
    corner of the picture as a share; `tilt` of the surface to the picture, the slope along u and v; `apex` how far the
    marked apex lies from the true one, in radians; `focal` in px.
    """

    size: tuple[float, float]
    view: str
    measure: str
    reference: tuple[Point, ...]
    marks: tuple[Point, ...]
    length: float
    width: float
    focal: float
    radius: float = 0.0
    lens: float = 0.0
    tilt: Point = (0.0, 0.0)
    apex: float = 0.0

    @property
    def middle(self) -> Point:
        """The middle of the picture, where the optical axis is taken to be."""
        return self.size[0] / 2, self.size[1] / 2

    def straight(self, pixel: Point) -> Point:
        """A mark without the lens's distortion: m₀ + (m − m₀)·(1 + k·r²), r in half diagonals of the picture."""
        if not self.lens:
            return pixel
        (u, v), (a, b) = pixel, self.middle
        far = math.dist(pixel, self.middle) / math.dist((0, 0), self.middle)
        grown = 1 + self.lens * far * far
        return a + (u - a) * grown, b + (v - b) * grown

    def places(self) -> tuple[Point, ...]:
        """Where the marks lie on the surface, in m. Raises `Refused` and `NotFound`."""
        marks = [self.straight(each) for each in self.marks]
        if self.view == CORNERS:
            return self._by_corners(marks)
        return self._by_ends(marks)

    @cached_property
    def seen(self) -> homography.Matrix:
        """The homography from the reference's plane to the picture. Raises `NotFound`."""
        corners = [self.straight(each) for each in self.reference]
        known = [(0.0, 0.0), (self.length, 0.0), (self.length, self.width), (0.0, self.width)]
        return homography.fit(known, corners, IN_LINE)

    def _by_corners(self, marks: Sequence[Point]) -> tuple[Point, ...]:
        back = homography.inverse(self.seen)
        sides = [homography.depth(back, self.straight(each)) for each in self.reference]
        sides += [homography.depth(back, each) for each in marks]
        if min(sides) * max(sides) <= 0:
            raise Refused(
                "corners", "The four corners do not go around one flat surface. Mark them in turn, one after the other "
                "around it.",
            )
        return tuple(homography.apply(back, each) for each in marks)

    def _by_ends(self, marks: Sequence[Point]) -> tuple[Point, ...]:
        """Rays of the marks cut with the surface: a plane at the tilt, or the cylinder behind it."""
        normal = (*self.tilt, 1.0)
        first, second = (self._on_plane(self.straight(each), normal) for each in self.reference)
        span = math.dist(first, second)
        if not span > 0:
            raise Refused("reference", "The two marks of the reference lie on one spot.")
        scale = self.length / span
        along = tuple((b - a) / span for a, b in zip(first, second, strict=True))
        upright = tuple(each / math.hypot(*normal) for each in normal)
        across = _cross(upright, along)

        def flat(pixel: Point) -> Point:
            off = [b - a for a, b in zip(first, self._on_plane(pixel, normal), strict=True)]
            return scale * _dot(off, along), scale * _dot(off, across)

        if self.view == ENDS:
            return tuple(flat(each) for each in marks)
        eye = [-scale * each for each in first]
        stands = _dot(eye, along), _dot(eye, across), abs(_dot(eye, upright))
        return tuple(self._on_cylinder(flat(each), stands) for each in marks)

    def _on_plane(self, pixel: Point, normal: Sequence[float]) -> tuple[float, float, float]:
        """The ray of a pixel cut with the plane normal·X = 1, the camera at the origin, the picture one ahead."""
        ray = ((pixel[0] - self.middle[0]) / self.focal, (pixel[1] - self.middle[1]) / self.focal, 1.0)
        part = _dot(normal, ray)
        if part <= 0:
            raise Refused("tilt", "The surface is seen from too flat an angle.")
        return ray[0] / part, ray[1] / part, ray[2] / part

    def _on_cylinder(self, place: Point, eye: Sequence[float]) -> Point:
        """Where the ray through a place of the apex's plane meets the convex surface: along its axis, and along the arc
        from the marked apex.

        The middle of the arc lies a radius R below the apex, turned by the error of the apex. Of the ray
        C + s·(Q − C) the first point at the distance R from it counts; the arc is R times the angle there.
        """
        middle = -self.radius * math.sin(self.apex), -self.radius * math.cos(self.apex)
        way = place[1] - eye[1], -eye[2]
        off = eye[1] - middle[0], eye[2] - middle[1]
        a, b, c = _dot(way, way), _dot(way, off), _dot(off, off) - self.radius**2
        root = b * b - a * c
        if root < 0 or c <= 0:
            raise Refused("turned-away", "A mark lies where the bent surface has turned out of sight.")
        share = (-b - math.sqrt(root)) / a
        y, z = off[0] + share * way[0], off[1] + share * way[1]
        return eye[0] + share * (place[0] - eye[0]), self.radius * (math.atan2(y, z) - self.apex)

    def answer(self) -> float:
        """What is measured, by the places of its marks: m, or degrees. Raises `Refused` and `NotFound`."""
        return _MEASURES[self.measure](self.places())


def _dot(one: Sequence[float], other: Sequence[float]) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))


def _cross(one: Sequence[float], other: Sequence[float]) -> tuple[float, float, float]:
    (a, b, c), (d, e, f) = one, other
    return b * f - c * e, c * d - a * f, a * e - b * d


def length(places: Sequence[Point]) -> float:
    """The distance of two places, in m: √((x₂ − x₁)² + (y₂ − y₁)²).

    >>> length([(0.0, 0.0), (3.0, 4.0)])
    5.0
    """
    return math.dist(places[0], places[1])


def off_line(place: Point, first: Point, second: Point) -> float:
    """How far a place lies from the line through two others, in m, to one side or the other.

    >>> off_line((0.0, 2.0), (0.0, 0.0), (5.0, 0.0))
    2.0
    """
    (x, y), (a, b), (c, d) = place, first, second
    long = math.dist(first, second)
    if not long > 0:
        raise Refused("line", "The two marks of a line lie on one spot.")
    return ((c - a) * (y - b) - (d - b) * (x - a)) / long


def gap(places: Sequence[Point]) -> float:
    """The gap between two lines, in m: the middle of each pair of marks from the other line, and of both the mean.

    Raises `Refused` where the lines part by over 20°.

    >>> gap([(0.0, 0.0), (4.0, 0.0), (1.0, 0.5), (5.0, 0.5)])
    0.5
    """
    first, second, third, fourth = places
    parted = line_angle(places)
    if parted > NOT_A_GAP:
        raise Refused("line", "The two lines part by over 20°. A gap is measured between lines that run side by side.")
    one = off_line(_between(third, fourth), first, second)
    other = off_line(_between(first, second), third, fourth)
    return (abs(one) + abs(other)) / 2


def _between(one: Point, other: Point) -> Point:
    return (one[0] + other[0]) / 2, (one[1] + other[1]) / 2


def line_angle(places: Sequence[Point]) -> float:
    """The angle between two lines, in degrees, from 0 to 90.

    >>> round(line_angle([(0, 0), (1, 0), (0, 0), (1, 1)]), 9)
    45.0
    """
    one, other = (math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in ((places[0], places[1]), (places[2], places[3])))
    turned = abs(math.degrees(one - other)) % 180
    return min(turned, 180 - turned)


def angle(places: Sequence[Point]) -> float:
    """The angle at the second of three places, in degrees: arctan(|a × b| / a·b). Raises `Refused` on one spot.

    >>> angle([(1.0, 0.0), (0.0, 0.0), (0.0, 1.0)])
    90.0
    """
    (a, b), (x, y), (c, d) = places
    one, other = (a - x, b - y), (c - x, d - y)
    if not (math.hypot(*one) > 0 and math.hypot(*other) > 0):
        raise Refused("line", "Two marks of the angle lie on one spot.")
    return math.degrees(math.atan2(abs(one[0] * other[1] - one[1] * other[0]), _dot(one, other)))


_MEASURES: dict[str, Callable[[Sequence[Point]], float]] = {LENGTH_OF: length, GAP: gap, ANGLE_OF: angle}


@dataclass(frozen=True)
class Part:
    """One cause of the band: its name in the answer, its words, and the standard uncertainty that it brings."""

    name: str
    label: str
    size: float


@dataclass(frozen=True)
class Measured:
    """An answer and the parts of its band; the view that it was seen from, in degrees off square."""

    value: float
    parts: tuple[Part, ...]
    places: tuple[Point, ...]
    tilt: float
    turned: float

    @property
    def standard(self) -> float:
        """The combined standard uncertainty: √Σ u²."""
        return math.hypot(*(part.size for part in self.parts))


def measured(scene: Scene, errors: Errors, limits: Limits) -> Measured:
    """What the marks measure, and every cause of its band as a standard uncertainty.

    A cause within ± a, any place as likely as another, counts a / √3; of marks and blur, see `Errors.pixel`. How much
    the answer changes is worked out by changing the cause and measuring anew. Raises `Refused`.
    """
    try:
        return _measured(scene, errors, limits)
    except NotFound as trouble:
        raise Refused("corners", f"The marks do not fix the view: {trouble}.") from None


def _measured(scene: Scene, errors: Errors, limits: Limits) -> Measured:
    _require_marks(scene, limits)
    value = scene.answer()
    places = scene.places()
    _require_near(scene, places, limits)
    tilt, turned = _view(scene, places, errors, limits)

    def change(**what: object) -> float:
        return abs(replace(scene, **what).answer() - value)

    def even(changes: Sequence[float]) -> float:
        return max(changes) / math.sqrt(3)

    def marks(name: str) -> float:
        given = getattr(scene, name)
        moved = [
            change(**{name: (*given[:number], moved, *given[number + 1:])})
            for number, (u, v) in enumerate(given) for moved in ((u + errors.pixel, v), (u, v + errors.pixel))
        ]
        return math.hypot(*moved)

    parts = [Part("from_marks", "Marks of what is measured", marks("marks"))]
    parts.append(Part("from_reference_marks", "Marks of the reference", marks("reference")))
    sizes = [change(length=scene.length + errors.reference)]
    if scene.view == CORNERS:
        sizes.append(change(width=scene.width + errors.reference))
    parts.append(Part("from_reference", "Size of the reference", math.hypot(*sizes) / math.sqrt(3)))
    lens = even([change(lens=sign * limits.lens) for sign in (1, -1)])
    parts.append(Part("from_lens", "Distortion of the lens", lens))
    if scene.view != CORNERS:
        square = even([change(tilt=slope) for slope in _slopes(scene, errors.off_square)])
        parts.append(Part("from_square", "View not quite square", square))
    if scene.view == BEND:
        off = math.radians(limits.apex_off)
        parts.append(Part("from_apex", "Place of the apex", even([change(apex=sign * off) for sign in (1, -1)])))
        longest = max(scene.size)
        bent = [
            even([change(radius=scene.radius * (1 + sign * limits.radius_off)) for sign in (1, -1)]),
            even([change(focal=share * longest) for share in (limits.focal_least, limits.focal_most)]),
        ]
        parts.append(Part("from_bend", "Radius of the bend and distance of the camera", math.hypot(*bent)))
    relief = _relief(scene, value, places, errors, limits, tilt)
    parts.append(Part("from_relief", "Height over or under the reference", relief))
    return Measured(value, tuple(parts), places, tilt, turned)


def _slopes(scene: Scene, off_square: float) -> list[Point]:
    """Tilts to try: eight ways for a flat surface, along the axis for a bent one; across it the apex counts."""
    slope = math.tan(math.radians(off_square))
    if scene.view == BEND:
        (a, b), (c, d) = scene.reference
        long = math.dist((a, b), (c, d))
        return [(sign * slope * (c - a) / long, sign * slope * (d - b) / long) for sign in (1, -1)]
    return [(slope * math.cos(turn * math.pi / 4), slope * math.sin(turn * math.pi / 4)) for turn in range(8)]


def _require_marks(scene: Scene, limits: Limits) -> None:
    for each in (*scene.reference, *scene.marks):
        if not (0 <= each[0] <= scene.size[0] and 0 <= each[1] <= scene.size[1]):
            raise Refused("outside", "A mark lies outside the picture.")
    shortest = min(math.dist(one, other) for one, other in pairwise(scene.reference))
    if shortest < limits.smallest_reference * max(scene.size):
        raise Refused(
            "reference", "The reference is too small in the picture. Go closer, or take something longer for the "
            "reference.",
        )
    spots = [math.dist(one, other) for place, one in enumerate(scene.marks) for other in scene.marks[:place]]
    if min(spots) == 0:
        raise Refused("marks", "Two marks lie on one spot. Drag each to its own end.")


def _require_near(scene: Scene, places: Sequence[Point], limits: Limits) -> None:
    """Nothing far from the reference: what it says of the view holds near it."""
    if scene.view == CORNERS:
        middle, long = (scene.length / 2, scene.width / 2), max(scene.length, scene.width)
    else:
        middle, long = (scene.length / 2, 0.0), scene.length
    if max(math.dist(each, middle) for each in places) > limits.farthest * long:
        raise Refused(
            "far", "What is measured lies too far from the reference, or is too long for it. Put the reference beside "
            "it, or take a longer one.",
        )


def _view(scene: Scene, places: Sequence[Point], errors: Errors, limits: Limits) -> tuple[float, float]:
    """The tilt of the surface and how far the bent surface has turned away at the marks, in degrees."""
    if scene.view == BEND:
        turned = max(abs(math.degrees(each[1] / scene.radius)) for each in places)
        if turned > limits.turned_most:
            raise Refused(
                "turned-away", "A mark lies where the bent surface turns away from the camera. Turn the specimen "
                "until that place is the apex, and take another picture.",
            )
        return errors.off_square, turned
    if scene.view == ENDS:
        return errors.off_square, 0.0
    middle = tuple(sum(each[axis] for each in places) / len(places) for axis in (0, 1))
    greatest, least = homography.scales(scene.seen, middle)
    tilt = math.degrees(math.acos(min(1.0, least / greatest)))
    if tilt > limits.tilt_most:
        raise Refused("tilt", "The picture was taken from too flat an angle. Hold the camera more squarely over the "
        "surface.")
    return tilt, 0.0


def _relief(
    scene: Scene, value: float, places: Sequence[Point], errors: Errors, limits: Limits, tilt: float,
) -> float:
    """What a height ± h over or under the reference's plane does, as a standard uncertainty.

    Nearer to the camera looks larger: a·h / D. Seen at a slant, a higher end is shifted: h·tan σ at each end. D is the
    distance of the camera for the least focal length assumed, σ the tilt of the surface and the slant of the ray
    together.
    """
    focal = limits.focal_least * max(scene.size)
    if scene.view == CORNERS:
        greatest, _ = homography.scales(scene.seen, places[0])
        far = focal / greatest
    else:
        far = focal * scene.length / math.dist(*scene.reference)
    rim = max(math.dist(each, scene.middle) for each in scene.marks)
    turned = max(abs(each[1] / scene.radius) for each in places) if scene.view == BEND else 0.0
    slant = math.hypot(math.radians(tilt), turned) + math.atan(rim / focal)
    shift = math.sqrt(2) * errors.relief * math.tan(min(slant, math.radians(80)))
    if scene.measure == ANGLE_OF:
        arm = min(math.dist(places[0], places[1]), math.dist(places[1], places[2]))
        return math.degrees(math.sqrt(2) * shift / arm) / math.sqrt(3)
    return math.hypot(value * errors.relief / far, shift) / math.sqrt(3)


def as_points(rows: Sequence[Sequence[Number]]) -> tuple[Point, ...]:
    """Rows of a form as plain points.

    >>> as_points([(1, 2)])
    ((1.0, 2.0),)
    """
    return tuple((float(row[0]), float(row[1])) for row in rows)
