"""The horizontal axis of curves: wheel travel or roll, with its unit, words and working range."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limit, WorkingRange
from reports.figures.plans import Sweeps, driver_of, moving_side
from reports.figures.style import span
from solvers.vectors import Array


@dataclass(frozen=True)
class DriverAxis:
    """The horizontal axis: its values for each sweep, unit and words."""

    values: tuple[Array, ...]
    part: Literal["travel", "roll"]
    symbol: str
    decimals: int
    label: str

    def working(self, working: WorkingRange, unit: LengthUnit) -> tuple[float, float]:
        """The working range on this axis."""
        if self.part == "roll":
            return -math.degrees(working.roll), math.degrees(working.roll)
        return unit.from_mm(working.travel_low), unit.from_mm(working.travel_high)

    def scaled(self, driver: Array, unit: LengthUnit) -> Array:
        """A driver in mm or radians on this axis."""
        return np.degrees(driver) if self.part == "roll" else np.asarray(driver / unit.in_mm)

    @property
    def span(self) -> tuple[float, float]:
        """From the smallest to the largest value."""
        return span(np.concatenate(self.values))

    def of(self, limits: Sequence[Limit], key: str) -> list[Limit]:
        """The limits of a quantity that hold somewhere on this axis."""
        return [one for one in limits if one.key == key and (one.along(self.part) or "ride height" in one.over)]


def driver_axis(sweeps: Sweeps, unit: LengthUnit) -> DriverAxis:
    """The axis of labelled sweeps, all in bump or all in roll."""
    values = [driver_of(sweep) for _, sweep in sweeps]
    if sweeps[0][1].kind == "roll":
        label = "roll of the body [deg] (positive: left side up, as in a left-hand corner)"
        return DriverAxis(tuple(np.degrees(roll) for roll in values), "roll", "deg", 1, label)
    travel = sweeps[0][1]["travel"]
    alike = np.allclose(travel[LEFT], travel[RIGHT], rtol=0.0, atol=1e-6, equal_nan=True)
    whose = "travel of both wheels" if alike else f"travel of the {SIDE_NAMES[moving_side(sweeps[0][1])]} wheel"
    label = f"{whose} [{unit.symbol}] (right: bump, wheel up; left: droop; 0: ride height)"
    decimals = 0 if unit.symbol == "mm" else 1
    return DriverAxis(tuple(one / unit.in_mm for one in values), "travel", unit.symbol, decimals, label)
