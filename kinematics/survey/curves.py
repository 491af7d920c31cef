"""Curves read with a gauge: toe, camber or where the wheel's centre lies, over wheel travel or rack travel.

A gauge seldom shows zero where the car's number is zero, so each curve has an unknown zero: only how it changes counts.
Signs are those of the numbers in a sweep; `wheel_out` counts outwards.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.car.car import SIDE_NAMES, SIDES, Axle
from kinematics.numbers.quantity import Dimension
from kinematics.sweeps.body import sweep_bump
from kinematics.sweeps.rack import sweep_steer
from solvers.read_only import ReadOnly
from solvers.vectors import Array

CurveOf = Literal["toe", "camber", "wheel_out", "wheel_ahead"]
CurveOver = Literal["travel", "rack"]
_NUMBERS = {"toe": "toe", "camber": "camber", "wheel_out": "wheel_centre_y", "wheel_ahead": "wheel_centre_x"}


def is_angle(of: CurveOf) -> bool:
    """Whether a curve is of an angle, or else of a length."""
    return of in ("toe", "camber")


@dataclass(frozen=True)
class Curve(ReadOnly):
    """One curve: what was read, over what, on which side (0 left, 1 right).

    at: travel or rack travel (K,) [mm, bump and left positive]. reads: (K,) [mm, rad]. doubt: one standard deviation of
    each. key: where it stands in the file.
    """

    of: CurveOf
    over: CurveOver
    side: int
    at: Array
    reads: Array
    doubt: float
    key: str = ""

    def __str__(self) -> str:
        """In words, like `toe over travel, left`."""
        return f"{self.of.replace('_', ' ')} over {self.over}, {SIDE_NAMES[self.side]}"

    @property
    def dimension(self) -> Dimension:
        """What it is measured in."""
        return Dimension.ANGLE if is_angle(self.of) else Dimension.LENGTH

    def shown(self, axle: Axle) -> Array:
        """What a car's number is there (..., K), of an axle or a batch; not a number where the car does not reach."""
        number = _NUMBERS[self.of]
        if self.over == "rack":
            values = sweep_steer(axle, self.at)[number]
        else:
            # The travels need no order of their own, and zero need not be among them.
            values = sweep_bump(axle, self.at, only=[number])[number]
        outward = SIDES[self.side] if self.of == "wheel_out" else 1.0
        return np.asarray(values[..., self.side, :] * outward)

    def centred(self, values: Array) -> Array:
        """Values (..., K) less their mean: what is left where the zero is unknown."""
        return np.asarray(values - values.mean(axis=-1, keepdims=True))
