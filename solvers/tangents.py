"""Exact first derivatives by the complex step: an imaginary part far below rounding is carried along as a tangent.

f(x + i h) = f(x) + i h f'(x) apart from terms in h squared, which are lost in rounding, and nothing is subtracted:
W. Squire and G. Trapp, "Using complex variables to estimate derivatives of real functions", SIAM Review 40 (1998).
Functions that NumPy does not define for complex numbers, or defines by their modulus, are here; all of them take real
arrays too.
"""

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np

from solvers.vectors import Array, Flags

_T = TypeVar("_T")
_NEAR_ZERO = 1e-30  # dividing by less might overflow
STEP = 1e-40  # of the imaginary part; beside anything, its square is zero


def seeded(values: Array) -> Array:
    """Return n copies (n, n) of values (n,), copy i with a tangent of one in value i."""
    seeds: Any = values + 1j * STEP * np.eye(values.size)
    return np.asarray(seeds)


def tangent(values: Array) -> Array:
    """The derivative that complex values carry; zero for real ones."""
    return np.asarray(np.imag(values) / STEP)


def has_tangents(*values: Array) -> bool:
    """Whether any of the arrays carries tangents."""
    return any(np.iscomplexobj(one) for one in values)


def without_tangents(value: _T) -> _T:
    """The same array, or dataclass, mapping or tuple of arrays, with its real parts only."""
    changed: Any
    if isinstance(value, np.ndarray):
        changed = np.ascontiguousarray(value.real)
    elif isinstance(value, Mapping):
        changed = {key: without_tangents(part) for key, part in value.items()}
    elif isinstance(value, tuple):
        changed = tuple(without_tangents(part) for part in value)
    elif is_dataclass(value) and not isinstance(value, type):
        parts = {one.name: getattr(value, one.name) for one in fields(value) if one.init}
        changed = replace(value, **{name: without_tangents(part) for name, part in parts.items()})
    else:
        changed = value
    return changed  # type: ignore[no-any-return]


def derivatives(function: Callable[[Array], Array], at: Array) -> Array:
    """Jacobian (k, n) at a place (n,) of a function that takes (..., n) and returns (..., k)."""
    return tangent(function(seeded(np.asarray(at, dtype=float)))).T


def arctan2(y: Array, x: Array) -> Array:
    """Angle of (x, y) [rad], in the shape that both broadcast to, with its tangent."""
    if not has_tangents(np.asarray(y), np.asarray(x)):
        # Where all point forwards, the one-argument function gives the same in half the time.
        forwards = (np.asarray(x) > _NEAR_ZERO).all()
        return np.asarray(np.arctan(y / x) if forwards else np.arctan2(y, x))
    a, b = np.real(y), np.real(x)
    with np.errstate(divide="ignore", invalid="ignore"):
        turn = (b * np.imag(y) - a * np.imag(x)) / (a * a + b * b)
    return np.asarray(np.arctan2(a, b) + 1j * turn)


def magnitude(values: Array) -> Array:
    """Absolute value, with its tangent."""
    return np.asarray(values * np.sign(np.real(values)) if has_tangents(values) else np.abs(values))


def larger_than(values: Array, tolerance: float) -> Flags:
    """Where a value, or the tangent that it carries, is larger than a tolerance."""
    large = np.abs(np.real(values)) > tolerance
    if has_tangents(values):
        large |= np.abs(tangent(values)) > tolerance
    return np.asarray(large)
