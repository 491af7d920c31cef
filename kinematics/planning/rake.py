"""Rake: a body that is raised at one axle alone pitches, and takes both axles' points with it."""

from collections.abc import Iterable

import numpy as np

from kinematics.car.car import Car
from kinematics.planning.changes import Change
from solvers.vectors import Array

_STEEPEST = 0.9


def rake_base(car: Car) -> float | None:
    """The length [mm] over which a car's body pitches; None where it is to stay level.

    That is a car of which one axle only is known, for then a height can only be meant for the whole body, and one
    whose wheelbase is not known.
    """
    return car.body.wheelbase if len(car.axles) == 2 else None


def pitch_of(front: Array | float, rear: Array | float, base: float | None) -> Array:
    """Pitch [rad], nose down positive, of a body raised by front and rear (...) [mm] over its base [mm].

    sin(pitch) = (rear - front) / base. Without a base it stays level.
    """
    apart = np.asarray(rear) - np.asarray(front)
    if not base:
        return np.zeros_like(apart)
    sine = apart / base
    # A body on end is no car; its parts will not fit, and need a number to be told so.
    return np.asarray(np.arcsin(np.where(np.abs(sine) < _STEEPEST, sine, _STEEPEST)))


def pitch_after(changes: Iterable[Change], base: float | None, off: Iterable[tuple[Change, Array]] = ()) -> Array:
    """Pitch [rad] that changes to either axle leave; an axle that none of them raises stays as high as measured.

    off: further changes, each made to a share (...).
    """
    raised: dict[str, Array | float] = {"front": 0.0, "rear": 0.0}
    for change in changes:
        raised[change.axle] = raised[change.axle] + change.raises
    for change, share in off:
        raised[change.axle] = raised[change.axle] + share * change.raises
    return pitch_of(raised["front"], raised["rear"], base)
