"""How closely an engine and the solver must agree, and what both are asked for: angles between poses, camber, toe."""

import numpy as np
from scipy.spatial.transform import Rotation

from tests.engines.linkage import Array

# Both sides solve lengths of a metre in double precision, 1e-13 mm and 1e-15 rad at best; a sweep between
# well-conditioned positions loses few digits of that. Asked for, far above rounding and far below any difference in
# what the joints mean:
POSITION_TO = 1e-6  # mm
ANGLE_TO = 1e-7  # deg


def degrees_between(first: Array, second: Array) -> Array:
    """Angle between rotations (..., 3, 3) [deg], exact for small ones, unlike an arc cosine."""
    distance = np.linalg.norm(first - second, axis=(-2, -1))
    return np.degrees(2.0 * np.arcsin(np.minimum(1.0, distance / np.sqrt(8.0))))


def camber_and_toe(rotation: Array, side: float, camber: float, toe: float) -> tuple[Array, Array]:
    """Camber, top leaning in negative, and toe-in (S,) [deg] of a wheel set up so [rad] once its upright turned."""
    mounted = Rotation.from_euler("xz", [-side * camber, -side * toe])  # about the car's axes: camber, then toe
    axis = rotation @ mounted.apply([0.0, side, 0.0])
    return np.degrees(-np.arcsin(axis[:, 2])), np.degrees(np.arctan2(axis[:, 0], side * axis[:, 1]))
