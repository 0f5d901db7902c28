"""Photographs of known geometry: a pinhole camera with a lens, a tilt and shaky marks, over a plane or a bent cylinder.

Written with numpy from the camera's own equations, apart from calc: points in space are turned, divided by their depth,
distorted and shaken.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.photo import measure

INCH = 0.0254
SIZE = (1600.0, 1200.0)
LIMITS = measure.Limits(
    focal_least=0.65, focal_most=1.2, lens=0.01, tilt_most=45, turned_most=30, apex_off=5, radius_off=0.1,
    smallest_reference=0.05, farthest=1.5,
)


@dataclass(frozen=True)
class Camera:
    """Looks at the origin from `far` meters, tilted by `tilt` about an axis at `turn`, rolled by `roll` (radians)."""

    far: float
    tilt: float = 0.0
    turn: float = 0.0
    roll: float = 0.0
    focal: float = 1300.0
    lens: float = 0.0
    aim: tuple[float, float] = (0.0, 0.0)

    def pixels(self, points: np.ndarray) -> np.ndarray:
        """Pixels of points (n × 3) in meters; z points toward the camera."""
        axis = np.array([np.cos(self.turn), np.sin(self.turn), 0.0])
        cross = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
        tilted = np.eye(3) + np.sin(self.tilt) * cross + (1 - np.cos(self.tilt)) * cross @ cross
        c, s = np.cos(self.roll), np.sin(self.roll)
        rolled = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
        seen = (points - np.array([*self.aim, 0.0])) @ (rolled @ tilted).T
        plane = self.focal * np.stack([seen[:, 0], -seen[:, 1]], axis=1) / (self.far - seen[:, 2])[:, None]
        far = np.linalg.norm(plane, axis=1, keepdims=True) / np.hypot(*SIZE) * 2
        return plane * (1 + self.lens * far**2) + np.array(SIZE) / 2


def shaken(pixels: np.ndarray, by: float, random: np.random.Generator) -> tuple[tuple[float, float], ...]:
    """Marks set beside where they should be, by a normal error of `by` pixels along each axis."""
    return tuple(map(tuple, (pixels + random.normal(0, by, pixels.shape)).tolist()))


def scene(view: str, kind: str, reference, marks, *, length: float, width: float = 0.0, radius: float = 0.0):
    """The scene that calc is given."""
    return measure.Scene(
        SIZE, view, kind, reference, marks, length, width, LIMITS.focal * max(SIZE), radius,
    )
