"""Ballast: how much of it each wheel carries, and how high it puts the sprung mass's centre of gravity."""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from kinematics.car.car import LEFT, RIGHT, Car
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import Change
from solvers.vectors import Array

_AXLES = ("front", "rear")


def ballast_on_wheels(car: Car, changes: Sequence[Change]) -> Array:
    """What the wheels' scales show more, by axle and side (2, 2) [kg].

    Mass with a place is shared by the levers of a rigid beam over wheelbase and track; mass without one lies over its
    own axle, evenly on the sides that are named.
    """
    return np.asarray(sum((change.by * _shares(car, change) for change in _of(changes)), np.zeros((2, 2))))


def laden_height(car: Car, axles: Mapping[str, ChangedAxle], changes: Sequence[Change], height: float) -> float:
    """Height of the centre of gravity of sprung mass and ballast [mm], as the plan's axles stand.

    height: that of the sprung mass alone [mm]. Mass without a place lies as high.
    """
    sprung = sum(axle.loads.sprung_mass for axle in car.axles if axle.loads is not None)
    mass, moment = sprung, sprung * height
    for change in _of(changes):
        mass += change.by
        moment += change.by * (height if change.place is None else change.place[2] + _raised(car, axles, change))
    return moment / mass


def _of(changes: Sequence[Change]) -> Iterator[Change]:
    return (change for change in changes if change.what == "ballast")


def _shares(car: Car, change: Change) -> Array:
    """The part of a mass that each wheel carries, by axle and side (2, 2); all four are 1."""
    if change.place is None:
        own = np.zeros((2, 2))
        sides = np.asarray(change.sides)
        own[_AXLES.index(change.axle)] = sides / max(float(sides.sum()), 1.0)
        return own
    behind = _behind(car, change)
    tracks = np.array([float(np.ptp(axle.contact[:, 1])) for axle in (car.front, car.rear)])
    aside = change.place[1] * (change.sides[LEFT] - change.sides[RIGHT]) / tracks
    halves = np.stack([0.5 + aside, 0.5 - aside], axis=-1)
    return np.asarray(np.array([1.0 - behind, behind])[:, None] * halves)


def _behind(car: Car, change: Change) -> float:
    """How far behind the front wheels a mass lies, as a part of the wheelbase."""
    assert change.place is not None
    assert car.body.wheelbase is not None  # a car that is ready for its loads tells it
    return float(change.axle == "rear") - change.place[0] / car.body.wheelbase


def _raised(car: Car, axles: Mapping[str, ChangedAxle], change: Change) -> float:
    front, rear = (axles[name].raised for name in _AXLES)
    return front + (rear - front) * _behind(car, change)
