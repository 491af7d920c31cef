"""Numbers that callers hand over: read as arrays in mm and radians, or told in plain words what is wrong with them."""

from numbers import Integral
from typing import Any

import numpy as np

from solvers.vectors import Array

MOST_ROLL = 0.6  # rad: some 34 degrees, more than any car leans
_MOST_LENGTH = 127_000.0  # mm: what the command line takes, 5000 in


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
    return _numbers(values, name, MOST_ROLL, f"{name} is in radians, up to {MOST_ROLL}: np.radians(...) makes them")


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
