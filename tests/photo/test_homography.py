"""The homography against the closed four-point solution in exact fractions, numpy's SVD and numpy's least squares."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest

from calc.photo import homography

SQUARE = ((0, 0), (1, 0), (1, 1), (0, 1))
CORNERS = [
    ((100, 120), (900, 90), (950, 700), (60, 640)), ((10, 10), (20, 12), (19, 25), (8, 22)),
    ((0, 0), (400, 0), (400, 300), (0, 300)), ((812, 301), (1490, 512), (1204, 1103), (420, 780)),
]


def square_to_quad(corners):
    """The closed solution for the unit square, in exact fractions: textbook projective mapping of a square."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = [tuple(map(Fraction, corner)) for corner in corners]
    sx, sy = x0 - x1 + x2 - x3, y0 - y1 + y2 - y3
    dx1, dy1, dx2, dy2 = x1 - x2, y1 - y2, x3 - x2, y3 - y2
    det = dx1 * dy2 - dx2 * dy1
    g, h = (sx * dy2 - dx2 * sy) / det, (dx1 * sy - sx * dy1) / det
    return (x1 - x0 + g * x1, x3 - x0 + h * x3, x0), (y1 - y0 + g * y1, y3 - y0 + h * y3, y0), (g, h, Fraction(1))


def through(matrix, point):
    u, v, w = (row[0] * point[0] + row[1] * point[1] + row[2] for row in matrix)
    return float(u / w), float(v / w)


@pytest.mark.parametrize("corners", CORNERS)
def test_four_points_agree_with_the_exact_solution(corners):
    exact, found = square_to_quad(corners), homography.fit(SQUARE, corners)
    for point in [(0.5, 0.5), (0.25, 0.9), (0.01, 0.99), (1, 0)]:
        assert homography.apply(found, point) == pytest.approx(through(exact, point), abs=1e-6)
        back = homography.apply(homography.inverse(found), homography.apply(found, point))
        assert back == pytest.approx(point, abs=1e-9)


def by_svd(places, pixels):
    rows = []
    for (x, y), (u, v) in zip(places, pixels, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y, -u], [0, 0, 0, x, y, 1, -v * x, -v * y, -v]]
    return np.linalg.svd(np.array(rows, float))[2][-1].reshape(3, 3)


@pytest.mark.parametrize("seed", range(8))
def test_points_without_error_agree_with_the_null_space_by_numpy(seed):
    random = np.random.default_rng(seed)
    true = np.array([[900, 40, 300], [-30, 800, 200], [0.1, -0.08, 1]]) + random.normal(0, 0.02, (3, 3))
    places = random.uniform(0, 1, (9, 2))
    pixels = [through(true, place) for place in places]
    theirs = by_svd(places, pixels)
    ours = homography.fit([tuple(each) for each in places], pixels)
    for place in random.uniform(0, 1, (5, 2)):
        assert homography.apply(ours, tuple(place)) == pytest.approx(through(theirs, place), abs=1e-4)


@pytest.mark.parametrize("seed", range(8))
def test_more_points_come_to_the_least_sum_of_squares_in_the_picture(seed):
    """No small change of any of the eight figures makes the sum smaller; Gauss-Newton has gone to the bottom."""
    random = np.random.default_rng(seed)
    true = np.array([[900, 40, 300], [-30, 800, 200], [0.1, -0.08, 1]])
    places = random.uniform(0, 1, (12, 2))
    pixels = np.array([through(true, place) for place in places]) + random.normal(0, 2, (12, 2))

    def total(matrix):
        return sum(math.dist(through(matrix, place), pixel) ** 2 for place, pixel in zip(places, pixels, strict=True))

    found = np.array(homography.fit([tuple(each) for each in places], [tuple(each) for each in pixels]))
    found /= found[2, 2]
    least = total(found)
    assert least < total(by_svd(places, pixels)) + 1e-6
    for row, column in [(row, column) for row in range(3) for column in range(3) if (row, column) != (2, 2)]:
        for way in (1, -1):
            other = found.copy()
            other[row, column] += way * 1e-4 * max(abs(other[row, column]), 1e-2)
            assert total(other) >= least * (1 - 1e-7)


def test_scales_are_numpys_singular_values():
    matrix = ((900.0, 40.0, 300.0), (-30.0, 800.0, 200.0), (0.1, -0.08, 1.0))
    place, step = (0.4, 0.7), 1e-6

    def beside(axis, way):
        return np.array(homography.apply(matrix, tuple(np.array(place) + way * step * np.eye(2)[axis])))

    jacobian = np.column_stack([(beside(axis, 1) - beside(axis, -1)) / (2 * step) for axis in (0, 1)])
    assert homography.scales(matrix, place) == pytest.approx(tuple(np.linalg.svd(jacobian)[1]), rel=1e-6)


@pytest.mark.parametrize("places, pixels, words", [
    (SQUARE[:3], CORNERS[0][:3], "four points"),
    (SQUARE, ((0, 0), (100, 0), (200, 1), (300, 100)), "in line"),
    (SQUARE, ((5, 5), (5, 5), (5, 5), (5, 5)), "one spot"),
    (((0, 0), (1, 0), (2, 0), (3, 0), (4, 0)), ((0, 0), (1, 0), (2, 0), (3, 0), (4, 0)), "in line"),
    (((1, 1),) * 5, tuple((each, each * each) for each in range(5)), "one spot"),
])
def test_points_that_fix_nothing_are_refused(places, pixels, words):
    with pytest.raises(homography.NotFound, match=words):
        homography.fit(places, pixels, 0.03)


def test_the_horizon_is_nowhere():
    with pytest.raises(homography.NotFound, match="horizon"):
        homography.apply(((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)), (0.0, 1.0))
