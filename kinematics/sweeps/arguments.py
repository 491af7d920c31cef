"""What callers hand over to a sweep, held against what it takes: told in plain words before anything is solved."""

from typing import Any

import numpy as np

from kinematics.car.car import Axle, Car
from solvers.vectors import Array

_MOST_ROLL = np.radians(45.0)
_MOST_LENGTH = 5000.0  # mm


def refuse_no_axle(axle: object, what: str) -> None:
    """Raise TypeError unless it is an axle, or one made ready to move; what: who asks."""
    if isinstance(axle, Axle) or hasattr(axle, "stand"):
        return
    if isinstance(axle, Car):
        names = " or ".join(f"car.{one.name}" for one in axle.axles)
        raise TypeError(f"{what} takes one axle, not a car: {names}")
    raise TypeError(f"{what} takes an axle, such as car.front; read {type(axle).__name__}")


def lengths(values: Any, name: str) -> Array:
    """Lengths [mm] as an array; ValueError where one is no number, or longer than any car."""
    return _numbers(values, name, _MOST_LENGTH, f"{name} is in mm, up to {_MOST_LENGTH:g} either way")


def angles(values: Any, name: str) -> Array:
    """Angles [rad] as an array; ValueError where one is no number, or so large that it must be in degrees."""
    return _numbers(values, name, float(_MOST_ROLL), f"{name} is in radians, up to 0.785: np.radians(...) makes them")


def angle(value: Any, name: str) -> float:
    """One angle [rad]; ValueError where it is none, or so large that it must be in degrees."""
    read = angles(value, name)
    if read.ndim:
        raise ValueError(f"{name} is one angle for all states; read {read.size} of them")
    return float(read)


def _numbers(values: Any, name: str, most: float, allowed: str) -> Array:
    try:
        read = np.asarray(values, dtype=float)
    except (TypeError, ValueError):
        raise TypeError(f"{name} is an array of numbers; read {type(values).__name__}") from None
    if not np.isfinite(read).all():
        raise ValueError(f"{name} has a value that is not a finite number")
    if read.size and np.abs(read).max() > most:
        raise ValueError(f"{allowed}; read {read.flat[np.abs(read).argmax()]:g}")
    return read
