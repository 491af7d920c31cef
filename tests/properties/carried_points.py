"""Points that a live axle's beam carries along, without its rotation: as weighted means of its joints."""

from collections.abc import Mapping

import numpy as np

from kinematics import Axle
from solvers.vectors import Array

# Two points of the beam as measured, one ahead of the other and one to the left of the other.
APART = 1000.0  # mm
ALONG = np.array([APART, 0.0, 0.0])
ACROSS = np.array([0.0, APART, 0.0])


def carried(axle: Axle, now: Mapping[str, Array], apart: Array) -> Array:
    """From one to the other of two points that were measured so far apart (3,), the joints being at (2, ..., 3) now."""
    kind = axle.suspension
    keys = [key for key in kind.keys if kind.carriers[key] == kind.bodies[0]]
    measured = np.concatenate([axle.points[key] for key in keys])
    # Weights whose sum is zero: a difference of two means, wherever the joints are.
    weights = np.linalg.lstsq((measured - measured.mean(axis=0)).T, apart)[0]
    weights -= weights.mean()
    return np.asarray(np.tensordot(weights, np.concatenate([now[key] for key in keys]), axes=1))
