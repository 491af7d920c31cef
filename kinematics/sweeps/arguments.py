"""What callers hand over, held against what a function takes: told in plain words before anything is solved."""

import difflib
from collections.abc import Collection
from numbers import Integral
from typing import Any

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.limits import Limits, WorkingRange
from kinematics.numbers.registry import QUANTITIES
from solvers.vectors import Array

_MOST_ROLL = 0.6  # rad: some 34 degrees, more than any car leans
_MOST_LENGTH = 127_000.0  # mm: what the command line takes, 5000 in
_CLOSE = 0.5


def refuse_no_axle(axle: object, what: str) -> None:
    """Raise TypeError unless it is an axle, or one made ready to move; what: who asks."""
    if isinstance(axle, Axle) or hasattr(axle, "stand"):
        return
    if isinstance(axle, Car):
        names = " or ".join(f"car.{one.name}" for one in axle.axles)
        raise TypeError(f"{what} takes one axle, not a car: {names}")
    raise TypeError(f"{what} takes an axle, such as car.front; read {told(axle)}")


def refuse_no_car(car: object, what: str) -> None:
    """Raise TypeError unless it is a car; what: who asks."""
    if isinstance(car, Axle):
        raise TypeError(f"{what} takes a car, not one axle of it: the car whose {car.name} axle this is")
    if not isinstance(car, Car):
        raise TypeError(f"{what} takes a car, such as read_car(...) gives; read {told(car)}")


def refuse_other(value: object, kind: type | tuple[type, ...], takes: str) -> None:
    """Raise TypeError unless it is of a kind; takes: who takes what, in words."""
    if not isinstance(value, kind):
        raise TypeError(f"{takes}; read {told(value)}")


def refuse_no_list(values: object, kind: type, takes: str) -> None:
    """Raise TypeError unless it is a list, tuple or result of such; takes: who takes a list of what, in words."""
    if isinstance(values, kind):
        raise TypeError(f"{takes}: put it into brackets, [...]")
    if isinstance(values, str | bytes | dict) or not isinstance(values, Collection):
        raise TypeError(f"{takes}; read {told(values)}")
    for one in values:
        if not isinstance(one, kind):
            raise TypeError(f"{takes}; one of them is {told(one)}")


def refuse_no_limits(limits: object, what: str) -> None:
    """Raise TypeError unless they are limits, ValueError where they ask of no known number, or have no range."""
    refuse_other(limits, Limits, f"{what} takes limits, such as car.limits")
    assert isinstance(limits, Limits)
    refuse_no_working(limits.working, what)
    for one in (limit for own in limits.by_axle.values() for limit in own):
        if one.key not in QUANTITIES:
            raise ValueError(f"{one.key!r} is no number that can be limited{nearest(one.key, QUANTITIES)}")
        if not one.low <= one.high:
            raise ValueError(f"the limit on {one.key} goes from {one.low:g} to {one.high:g}: the first must be lower")


def refuse_no_working(working: object, what: str) -> None:
    """Raise TypeError unless it is a working range, ValueError where it is none that a car can use."""
    refuse_other(working, WorkingRange, f"{what} takes a working range, such as car.limits.working")
    assert isinstance(working, WorkingRange)
    lengths([working.travel_low, working.travel_high], "the working travel")
    angles(working.roll, "the working roll")
    low, high = working.travel_low, working.travel_high
    if not low <= 0.0 <= high:
        raise ValueError(f"a working range has droop, zero and bump: travel {low:g} to {high:g} mm does not")
    if working.roll <= 0.0:
        raise ValueError(f"a working range has some roll either way, above zero; read {working.roll:g} rad")


def refuse_other_numbers(only: object) -> None:
    """Raise unless it is a list of keys of numbers, or None for all: ValueError names the nearest."""
    if only is None:
        return
    refuse_no_list(only, str, "only takes a list of keys of numbers")
    for key in only:  # type: ignore[attr-defined]
        if key not in QUANTITIES:
            raise ValueError(f"{key!r} is no number of an axle{nearest(key, QUANTITIES)}")


def refuse_no_executor(executor: object) -> None:
    """Raise TypeError unless work can be handed to it, or it is None."""
    if executor is not None and not hasattr(executor, "submit"):
        raise TypeError(f"executor takes a pool, such as ProcessPoolExecutor(2); read {told(executor)}")


def count(value: Any, name: str) -> int:
    """A whole number from zero up; TypeError or ValueError where it is none."""
    if not isinstance(value, Integral) or isinstance(value, bool):
        raise TypeError(f"{name} is a whole number; read {told(value)}")
    if value < 0:
        raise ValueError(f"{name} is zero or more; read {value}")
    return int(value)


def lengths(values: Any, name: str) -> Array:
    """Lengths [mm] as an array; ValueError where one is no number, or longer than any car."""
    return _numbers(values, name, _MOST_LENGTH, f"{name} is in mm, up to {_MOST_LENGTH:g} either way")


def length(value: Any, name: str) -> float:
    """One length [mm]; ValueError where it is none."""
    return _single(lengths(value, name), name, "one length")


def angles(values: Any, name: str) -> Array:
    """Angles [rad] as an array; ValueError where one is no number, or so large that it must be in degrees."""
    return _numbers(values, name, _MOST_ROLL, f"{name} is in radians, up to {_MOST_ROLL}: np.radians(...) makes them")


def angle(value: Any, name: str) -> float:
    """One angle [rad]; ValueError where it is none, or so large that it must be in degrees."""
    return _single(angles(value, name), name, "one angle")


def in_a_row(values: Array, name: str) -> Array:
    """A list of values (S,), one alone as a list of one; ValueError where it is a table."""
    if values.ndim > 1:
        shape = " x ".join(map(str, values.shape))
        raise ValueError(f"{name} is one list of values; read a table of {shape}: values.ravel() makes a list of it")
    return np.atleast_1d(values)


def shared_shape(*values: Array) -> list[Array]:
    """Values that broadcast like NumPy's, each with their common shape; ValueError where they have none."""
    try:
        return list(map(np.array, np.broadcast_arrays(*values)))
    except ValueError:
        shapes = ", ".join(" x ".join(map(str, one.shape)) or "one" for one in values)
        raise ValueError(f"these go together like NumPy's arrays, and have no common shape; read {shapes}") from None


def told(value: object) -> str:
    """What was handed over, in words."""
    known = {"NoneType": "nothing (None)", "str": f"the text {value!r}", "Axle": "an axle", "Car": "a car"}
    kind = type(value).__name__
    return known.get(kind, f"{'an' if kind[0] in 'aeiouAEIOU' else 'a'} {kind}")


def nearest(name: str, known: Collection[str]) -> str:
    """A hint at the nearest of the known names, or else at all of them."""
    close = difflib.get_close_matches(str(name), known, n=1, cutoff=_CLOSE)
    return f"; did you mean {close[0]!r}?" if close else f"; there are {', '.join(known)}"


def _single(read: Array, name: str, what: str) -> float:
    if read.ndim:
        raise ValueError(f"{name} is {what} for all states; read {read.size} of them")
    return float(read)


def _numbers(values: Any, name: str, most: float, allowed: str) -> Array:
    try:
        read = np.asarray(values, dtype=float)
    except (TypeError, ValueError):
        raise TypeError(f"{name} is an array of numbers; read {told(values)}") from None
    if not np.isfinite(read).all():
        raise ValueError(f"{name} has a value that is not a finite number")
    if read.size and np.abs(read).max() > most:
        raise ValueError(f"{allowed}; read {read.flat[np.abs(read).argmax()]:g}")
    return read
