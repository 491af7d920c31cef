"""Invented axles of every suspension type, for the engines to check."""

import numpy as np
import pytest

from kinematics import Axle
from kinematics.car.suspension_type import CHASSIS
from kinematics.car.suspensions import SUSPENSIONS

SIDES = np.array([1.0, -1.0])  # left, right: outwards along y

_ALL_TYPES = ("typical", "lowered", *(f"uneven {number}" for number in range(1, 6)))


def cars(kind: str) -> tuple[str, ...]:
    """Names of the cars to invent with a suspension of that type."""
    has_arms = any(point.key.endswith("pivot_front") for point in SUSPENSIONS[kind].points)
    return (*_ALL_TYPES, "anti-dive") if has_arms else _ALL_TYPES


def checked(car: str) -> tuple[pytest.MarkDecorator, ...]:
    """A short run has one car of each type, whose sides differ; the whole run has all."""
    return () if car == "uneven 1" else (pytest.mark.campaign,)


def invented(kind: str, car: str) -> Axle:
    """An invented axle: the type's typical points, or these changed as the car's name says."""
    suspension = SUSPENSIONS[kind]
    rng = np.random.default_rng(list(f"{kind}, {car}".encode()))
    points = {}
    for point in suspension.points:
        both = np.array([point.typical, point.other_side or point.typical], dtype=float)
        if car == "lowered" and point.carrier == CHASSIS:
            both[:, 2] -= 45.0
        if car == "anti-dive":
            both[:, 2] += 20.0 * (point.key.endswith("pivot_front") - point.key.endswith("pivot_rear"))
        if car.startswith("uneven"):
            # Each side by itself: 12 mm either way is far more than two corners of one car differ.
            both += rng.uniform(-12.0, 12.0, (2, 3))
        if point.single:
            both[1] = both[0]
        else:
            both[:, 1] *= SIDES
        points[point.key] = both
    camber, toe = rng.uniform(-3.0, 0.5, 2), rng.uniform(-0.4, 0.4, 2)
    if suspension.whole_axle:
        camber, toe = rng.uniform(-0.5, 0.5, 2), rng.uniform(-0.1, 0.1, 2)
    return Axle("front", suspension, points, np.radians(camber), np.radians(toe))
