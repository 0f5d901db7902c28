"""The perspective of a flat surface in a photograph, from four or more points of known place.

A homography is the 3 × 3 matrix H that takes a place on the plane to its pixel: (u, v, 1) ~ H·(x, y, 1). It is fitted
by the normalized direct linear transformation and then, with more than four points, by Gauss-Newton steps on the
distances in the picture. Method: multiple view geometry, from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

Point = tuple[float, float]
Matrix = tuple[tuple[float, float, float], tuple[float, float, float], tuple[float, float, float]]

SMALLEST_PIVOT = 1e-9
"""A pivot below this share of the largest figure: the equations say the same twice. Our judgement."""
ROUNDS = 12


class NotFound(ValueError):
    """The points do not fix a perspective: too few, or nearly in line."""


def solve(rows: Sequence[Sequence[float]], right: Sequence[float]) -> list[float]:
    """The solution x of A·x = b by Gauss elimination with the largest pivot of each column.

    Raises `NotFound` where A has no inverse. Source: textbook linear algebra.

    >>> solve([[2, 1], [1, 3]], [5, 10])
    [1.0, 3.0]
    """
    size = len(right)
    table = [[*map(float, row), float(value)] for row, value in zip(rows, right, strict=True)]
    largest = max((abs(cell) for row in table for cell in row[:size]), default=0.0)
    for column in range(size):
        pivot = max(range(column, size), key=lambda row: abs(table[row][column]))
        if abs(table[pivot][column]) <= SMALLEST_PIVOT * largest:
            raise NotFound("the points lie nearly in line")
        table[column], table[pivot] = table[pivot], table[column]
        for row in range(column + 1, size):
            share = table[row][column] / table[column][column]
            if share:
                table[row] = [cell - share * above for cell, above in zip(table[row], table[column], strict=True)]
    found = [0.0] * size
    for row in reversed(range(size)):
        known = sum(table[row][column] * found[column] for column in range(row + 1, size))
        found[row] = (table[row][size] - known) / table[row][row]
    return found


def least_squares(rows: Sequence[Sequence[float]], right: Sequence[float]) -> list[float]:
    """The x that makes |A·x − b|² least; for as many equations as unknowns, the solution itself.

    By the normal equations AᵀA·x = Aᵀb. Raises `NotFound`. Source: textbook linear algebra.

    >>> [round(each, 9) for each in least_squares([[1, 0], [1, 1], [1, 2]], [1, 3, 5])]
    [1.0, 2.0]
    """
    size = len(rows[0])
    if len(rows) == size:
        return solve(rows, right)
    square = [[sum(row[i] * row[j] for row in rows) for j in range(size)] for i in range(size)]
    return solve(square, [sum(row[i] * value for row, value in zip(rows, right, strict=True)) for i in range(size)])


def product(one: Matrix, other: Matrix) -> Matrix:
    """The matrix product of two 3 × 3 matrices.

    >>> product(((1, 0, 2), (0, 1, 3), (0, 0, 1)), ((2, 0, 0), (0, 2, 0), (0, 0, 1)))
    ((2, 0, 2), (0, 2, 3), (0, 0, 1))
    """
    columns = tuple(zip(*other, strict=True))
    return tuple(
        tuple(sum(a * b for a, b in zip(row, column, strict=True)) for column in columns) for row in one
    )  # type: ignore[return-value]


def inverse(matrix: Matrix) -> Matrix:
    """The inverse of a 3 × 3 matrix. Raises `NotFound` where there is none.

    >>> inverse(((2.0, 0.0, 0.0), (0.0, 4.0, 0.0), (0.0, 0.0, 1.0)))
    ((0.5, 0.0, 0.0), (0.0, 0.25, 0.0), (0.0, 0.0, 1.0))
    """
    columns = [solve(matrix, [float(row == place) for row in range(3)]) for place in range(3)]
    return tuple(zip(*columns, strict=True))  # type: ignore[return-value]


def apply(matrix: Matrix, point: Point) -> Point:
    """Where a homography takes a point. Raises `NotFound` for a point on the horizon.

    >>> apply(((1.0, 0.0, 5.0), (0.0, 1.0, 0.0), (0.0, 0.0, 2.0)), (1.0, 4.0))
    (3.0, 2.0)
    """
    x, y = point
    u, v, w = (row[0] * x + row[1] * y + row[2] for row in matrix)
    if abs(w) < 1e-12 * (abs(u) + abs(v) + 1e-300):
        raise NotFound("a mark lies on the horizon of the surface")
    return u / w, v / w


def depth(matrix: Matrix, point: Point) -> float:
    """The third coordinate before the division: two points on the same side of the horizon have the same sign.

    >>> depth(((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.5, 0.0, 1.0)), (-4.0, 0.0))
    -1.0
    """
    a, b, c = matrix[2]
    return a * point[0] + b * point[1] + c


def _normal(points: Sequence[Point]) -> Matrix:
    """What moves points to their middle and scales them to a mean distance of √2 from it."""
    middle = tuple(sum(each[axis] for each in points) / len(points) for axis in (0, 1))
    spread = sum(math.dist(each, middle) for each in points) / len(points)
    if not spread > 0:
        raise NotFound("the points lie on one spot")
    scale = math.sqrt(2) / spread
    return (scale, 0.0, -scale * middle[0]), (0.0, scale, -scale * middle[1]), (0.0, 0.0, 1.0)


def _in_line(points: Sequence[Point], least: float) -> bool:
    """Whether three of four corners span less than `least` of the square of the longest distance: nearly one line."""
    longest = max(math.dist(one, other) for one in points for other in points)
    return any(
        abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) < least * longest**2
        for i, a in enumerate(points) for j, b in enumerate(points[:i]) for c in points[:j]
    )


def fit(places: Sequence[Point], pixels: Sequence[Point], in_line: float = 0.0) -> Matrix:
    """The homography from places on a plane to pixels, by least squares on the distances in the picture.

        minimize Σ |m_i − H(X_i)|²,  H with eight free figures

    Start: normalized direct linear transformation, h₃₃ = 1 in normalized points. With more than four points, Gauss-
    Newton steps until the sum no longer falls. Four points have an exact solution. `in_line`: four points, of which
    three span less than this share of the square of the longest distance, are refused.

    Raises `NotFound` for fewer than four points, or nearly in line. Method: normalized DLT, from memory.

    >>> square = [(0, 0), (2, 0), (2, 1), (0, 1)]
    >>> seen = fit(square, [(10, 10), (30, 10), (30, 20), (10, 20)])
    >>> [round(each, 9) for each in apply(seen, (1, 0.5))]
    [20.0, 15.0]
    """
    if len(places) < 4 or len(places) != len(pixels):
        raise NotFound("four points or more are needed, each with its place")
    if len(places) == 4 and (_in_line(pixels, in_line) or _in_line(places, in_line)):
        raise NotFound("the points lie nearly in line")
    plane, picture = _normal(places), _normal(pixels)
    near, seen = [apply(plane, each) for each in places], [apply(picture, each) for each in pixels]
    rows, right = [], []
    for (x, y), (u, v) in zip(near, seen, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    found = least_squares(rows, right)
    if len(places) > 4:
        found = _refined(found, near, seen)
    return product(inverse(picture), product(_square(found), plane))


def _square(figures: Sequence[float]) -> Matrix:
    a, b, c, d, e, f, g, h = figures
    return (a, b, c), (d, e, f), (g, h, 1.0)


def _sum_of_squares(figures: Sequence[float], near: Sequence[Point], seen: Sequence[Point]) -> float:
    matrix = _square(figures)
    return sum(math.dist(apply(matrix, place), pixel) ** 2 for place, pixel in zip(near, seen, strict=True))


def _refined(start: list[float], near: Sequence[Point], seen: Sequence[Point]) -> list[float]:
    """Gauss-Newton on the distances in the picture: each step solves the equations made straight at the last."""
    best, least = start, _sum_of_squares(start, near, seen)
    for _ in range(ROUNDS):
        rows, right = [], []
        for (x, y), pixel in zip(near, seen, strict=True):
            matrix = _square(best)
            w = depth(matrix, (x, y))
            u, v = apply(matrix, (x, y))
            rows += [
                [x / w, y / w, 1 / w, 0, 0, 0, -u * x / w, -u * y / w],
                [0, 0, 0, x / w, y / w, 1 / w, -v * x / w, -v * y / w],
            ]
            right += [pixel[0] - u, pixel[1] - v]
        step = least_squares(rows, right)
        tried = [figure + change for figure, change in zip(best, step, strict=True)]
        total = _sum_of_squares(tried, near, seen)
        if not total < least:
            break
        best, least = tried, total
    return best


def scales(matrix: Matrix, place: Point) -> tuple[float, float]:
    """The greatest and the least scale of the picture at a place, in pixels for each unit of the plane.

    The singular values of the Jacobian of H there: σ² = (T ± √(T² − 4D²)) / 2, T the sum of the squares of its four
    figures and D its determinant. Seen square they are equal; at a tilt τ the least is cos τ of the greatest, near the
    middle of the picture. Source: textbook linear algebra.

    >>> scales(((3.0, 0.0, 0.0), (0.0, 2.0, 0.0), (0.0, 0.0, 1.0)), (1.0, 1.0))
    (3.0, 2.0)
    """
    u, v = apply(matrix, place)
    w = depth(matrix, place)
    (a, b, _), (c, d, _), (g, h, _) = matrix
    a, b, c, d = (a - u * g) / w, (b - u * h) / w, (c - v * g) / w, (d - v * h) / w
    total, determinant = a * a + b * b + c * c + d * d, a * d - b * c
    root = math.sqrt(max(total * total - 4 * determinant * determinant, 0.0))
    return math.sqrt((total + root) / 2), math.sqrt(max((total - root) / 2, 0.0))
