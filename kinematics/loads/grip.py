"""Which end gives up first: a simple tyre whose grip coefficient falls with load. Relative statements only.

Coefficient of a tyre under a load N: grip * (1 - loss * (N / mean - 1)), with the mean load of all four at rest.
A straight line, for want of tyre data (common practice, no source); it predicts no lap time.
"""

from dataclasses import dataclass

import numpy as np

from kinematics.car.springs_and_bars import GRAVITY
from kinematics.loads.equilibrium import Balance
from solvers.vectors import Array

DEFAULT_GRIP, DEFAULT_LOSS = 1.1, 0.12  # round figures, common practice, no source


@dataclass(frozen=True)
class Tyre:
    """Grip coefficient at the mean load, and the part of it lost per further mean load."""

    grip: float = DEFAULT_GRIP
    loss: float = DEFAULT_LOSS


@dataclass(frozen=True)
class GripLeft:
    """How much an axle's tyres could hold.

    held: by axle, the lateral acceleration that its tyres could hold as loaded in each of N states (2, N) [m/s^2].
    limit: by axle, where that equals the car's own acceleration (2,) [m/s^2]; NaN beyond the accelerations tried.
    """

    held: Array
    limit: Array

    @property
    def first(self) -> int:
        """The axle that gives up first: 0 front, 1 rear."""
        return int(np.nanargmin(np.where(np.isfinite(self.limit), self.limit, np.inf)))


def grip_left(found: Balance, tyre: Tyre) -> GripLeft:
    """Compare the loads in a balance, over accelerations rising from zero, with what the simple tyre can hold."""
    # Loads in balance add up to what stands on an axle, ballast included.
    weight = found.load.sum(axis=1)
    mean = weight.sum(axis=0) / 4.0
    coefficient = tyre.grip * (1.0 - tyre.loss * (found.load / mean - 1.0))
    held = (coefficient * found.load).sum(axis=1) / weight * GRAVITY
    spare = held - np.abs(found.acceleration)
    limit = np.full(2, np.nan)
    for axle in range(2):
        below = np.flatnonzero((spare[axle, :-1] > 0.0) & (spare[axle, 1:] <= 0.0) & found.solved[1:])
        if below.size:
            i = int(below[0])
            part = spare[axle, i] / (spare[axle, i] - spare[axle, i + 1])
            limit[axle] = abs(found.acceleration[i]) * (1.0 - part) + abs(found.acceleration[i + 1]) * part
    return GripLeft(held, limit)
