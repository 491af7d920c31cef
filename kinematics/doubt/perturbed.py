"""An axle as it might be: its uncertain coordinates shifted."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from kinematics.car.car import SIDES, Axle
from kinematics.car.uncertainty import GRAVITY_HEIGHT, OUTER_SHARE, WAYS, WHEELBASE, Coordinate
from solvers.vectors import Array


def perturbed(axle: Axle, coordinates: Sequence[Coordinate], shifts: Array) -> Axle:
    """The axle with n coordinates shifted by (..., n) [mm, rad], real or with tangents; the leading axes are batch."""
    points: dict[str, Array] = dict(axle.points)
    angles: dict[str, Array] = {"camber": axle.camber, "toe": axle.toe}
    body, share = axle.body, axle.outer_share_apart
    lead = shifts.shape[:-1]
    for index, one in enumerate(coordinates):
        shift: Any = shifts[..., index]
        chosen = np.zeros(2)
        chosen[list(one.sides)] = 1.0
        if one.of in angles:
            angles[one.of] = angles[one.of] + shift[..., None] * chosen
            continue
        if one.of == GRAVITY_HEIGHT:
            body = body.raised(shift)
            continue
        if one.of == WHEELBASE:
            body = replace(body, wheelbase_apart=body.wheelbase_apart + shift)
            continue
        if one.of == OUTER_SHARE:
            share = share + shift
            continue
        if one.way == "out" and one.of not in axle.suspension.single:
            chosen = chosen * SIDES
        step = np.zeros((*lead, 2, 3), dtype=shifts.dtype)
        step[..., WAYS.index(one.way)] = shift[..., None] * chosen
        points[one.of] = points[one.of] + step
    camber, toe = angles["camber"], angles["toe"]
    return replace(axle, points=points, camber=camber, toe=toe, body=body, outer_share_apart=share)
