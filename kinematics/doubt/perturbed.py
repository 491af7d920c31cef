"""An axle as it might be: its uncertain coordinates shifted."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from kinematics.car.car import SIDES, Axle
from kinematics.car.uncertainty import WAYS, Coordinate
from solvers.vectors import Array


def perturbed(axle: Axle, coordinates: Sequence[Coordinate], shifts: Array) -> Axle:
    """The axle with n coordinates shifted by (..., n) [mm, rad], real or with tangents; the leading axes are batch."""
    points: dict[str, Array] = dict(axle.points)
    angles: dict[str, Array] = {"camber": axle.camber, "toe": axle.toe}
    lead = shifts.shape[:-1]
    for index, one in enumerate(coordinates):
        shift: Any = shifts[..., index]
        chosen = np.zeros(2)
        chosen[list(one.sides)] = 1.0
        if one.of in angles:
            angles[one.of] = angles[one.of] + shift[..., None] * chosen
            continue
        if one.way == "out" and one.of not in axle.suspension.single:
            chosen = chosen * SIDES
        step = np.zeros((*lead, 2, 3), dtype=shifts.dtype)
        step[..., WAYS.index(one.way)] = shift[..., None] * chosen
        points[one.of] = points[one.of] + step
    return replace(axle, points=points, camber=angles["camber"], toe=angles["toe"])
