"""Invented axles to time: the suspension types' typical points, and cars that differ from them at random."""

import numpy as np

from kinematics import Axle
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.uncertainty import WAYS, Coordinate, Doubt, independent
from solvers.vectors import Array

_MEASURED_TO = 2.0  # mm, one standard deviation of each coordinate
_SPREAD = 8.0  # mm, one standard deviation of each coordinate from car to car
_MIRROR: Array = np.array([[1.0, 1.0, 1.0], [1.0, -1.0, 1.0]])  # left, right


def typical_axle(kind: SuspensionType) -> Axle:
    """One car, its points as in the blank car file."""
    return _axle(kind, {point.key: np.array(point.typical, dtype=float) for point in kind.points})


def varied_axle(kind: SuspensionType, count: int, seed: int) -> Axle:
    """Cars whose points lie elsewhere, each by its own random amounts, the same on both sides: batch (count,)."""
    random = np.random.default_rng(seed)
    points = {point.key: point.typical + random.normal(0.0, _SPREAD, (count, 3)) for point in kind.points}
    return _axle(kind, points)


def some_cars(axle: Axle, which: int | slice) -> Axle:
    """One or some of a batch of cars."""
    points = {key: point[which] for key, point in axle.points.items()}
    return Axle(axle.name, axle.suspension, points, axle.camber, axle.toe)


def doubtful_axle(kind: SuspensionType) -> tuple[Axle, Doubt]:
    """One car, and the doubt of every coordinate of its points."""
    coordinates = [Coordinate(key, way) for key in kind.keys for way in WAYS]
    return typical_axle(kind), independent(coordinates, [_MEASURED_TO] * len(coordinates))


def _axle(kind: SuspensionType, points: dict[str, Array]) -> Axle:
    both = {key: point[..., None, :] * _MIRROR for key, point in points.items()}
    return Axle("front", kind, both, np.radians([-1.5, -1.5]), np.radians([0.1, 0.1]))
