"""What lean is doubtful by: readings of points, and all else of a car whose owner says how well he knows it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.parts_known import KnownPart, parts_of, shifted
from kinematics.doubt.assessment import perturbed_axles


@dataclass(frozen=True)
class LeanSource:
    """One independent source of doubt.

    axle: on which; empty for the whole car's. reading: of a point or an angle, as its doubt names it; or part: what
    else is known so well.
    """

    axle: str
    reading: str = ""
    part: KnownPart | None = None


@dataclass(frozen=True)
class Counted:
    """What is counted in a car's doubt of lean, and what is not since nobody says how well it is known.

    points: axles whose points are counted; without: axles that say nothing of theirs.
    """

    sources: tuple[LeanSource, ...]
    untold: tuple[KnownPart, ...]
    points: tuple[str, ...]
    without: tuple[str, ...]


def counted(car: Car) -> Counted:
    """What a car tells of its doubts, and what it does not."""
    parts = parts_of(car)
    points = [axle.name for axle in car.axles if axle.doubt is not None]
    readings = [LeanSource(axle.name, one) for axle in car.axles if axle.doubt for one in axle.doubt.sources]
    told = [LeanSource(one.axle, part=one) for one in parts if one.known_to is not None]
    return Counted(
        (*readings, *told),
        tuple(one for one in parts if one.known_to is None),
        tuple(points),
        tuple(axle.name for axle in car.axles if axle.name not in points),
    )


def both_ways(car: Car) -> Iterator[tuple[Car, Car]]:
    """The car with each source of `counted` a standard deviation more, and less, in the same order."""
    for i, axle in enumerate(car.axles):
        if axle.doubt is not None:
            many = {sign: _readings_off(axle, sign) for sign in (1.0, -1.0)}
            for k in range(len(axle.doubt.sources)):
                more, less = (_with_axle(car, i, many[sign].variant(k)) for sign in (1.0, -1.0))
                yield more, less
    for part in parts_of(car):
        if part.known_to is not None:
            yield shifted(car, part, part.known_to), shifted(car, part, -part.known_to)


def _readings_off(axle: Axle, sign: float) -> Axle:
    assert axle.doubt is not None  # asked only of axles that state one
    return perturbed_axles(axle, axle.doubt, sign * np.eye(len(axle.doubt.sources)))


def _with_axle(car: Car, index: int, axle: Axle) -> Car:
    axles = list(car.axles)
    axles[index] = axle
    return replace(car, axles=tuple(axles))
