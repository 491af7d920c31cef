"""Reach many driver values in two strides, for who can tell afterwards that all went well."""

from dataclasses import dataclass

import numpy as np

from solvers.elimination import PivotOrder, shared_order, solve_many
from solvers.equations import Equations
from solvers.moving import twist_of
from solvers.newton import moved
from solvers.vectors import Array

_FIRST_LEAP = 0.25  # part of the way
# Newton's error is about the square of its last correction over the size of the linkage: this leaves less than
# rounding in the poses.
_LAST_CORRECTION = 1e-8
_MOST_CORRECTIONS = 6


def leap(rows: Equations, position: Array, quaternion: Array, driven: Array) -> tuple[Array, Array] | None:
    """Poses at the N asked driver values, or None where one was not reached.

    Flattened like `follow`. Two strides only, the second along a cubic, whatever their lengths: that all poses
    lie on one path from the start is for the caller to tell, from how smoothly they follow each other.
    """
    _, jacobian = rows.evaluate(position, quaternion, np.zeros_like(driven))
    order = shared_order(jacobian)
    tangent, sign = twist_of(rows, jacobian, driven, order)
    first, rest = _FIRST_LEAP, 1.0 - _FIRST_LEAP
    stride = first * tangent
    halt = _corrected(rows, moved(position, quaternion, stride), first * driven, driven, order, most=1)
    # The cubic through start and halt with the tangents at both.
    mean = (stride + halt.correction) / first
    bend = (halt.twist - mean) / first
    change = (bend - (mean - tangent) / first) / first
    stride = rest * (halt.twist + rest * (bend + change))
    found = _corrected(rows, moved(halt.position, halt.quaternion, stride), driven, driven, order)
    if not (found.last < _LAST_CORRECTION).all() or (found.sign != sign).any():
        return None
    return found.position, found.quaternion


@dataclass(frozen=True)
class _Corrected:
    """Poses after Newton's corrections, these in all (6 * bodies, N), and the twist per part of the way there.

    last: largest component of the last correction (N,); sign: of the determinant before it.
    """

    position: Array
    quaternion: Array
    correction: Array
    twist: Array
    last: Array
    sign: Array


def _corrected(
    rows: Equations,
    guess: tuple[Array, Array],
    target: Array,
    driven: Array,
    order: PivotOrder | None,
    most: int = _MOST_CORRECTIONS,
) -> _Corrected:
    """Newton with correction and twist from one elimination."""
    position, quaternion = guess
    right = np.zeros((rows.rows, 2, target.shape[-1]))
    right[rows.guide_rows :, 1] = driven
    correction = np.zeros((rows.rows, target.shape[-1]))
    for _ in range(most):
        residual, jacobian = rows.evaluate(position, quaternion, target)
        np.negative(residual, out=right[:, 0])
        solved = solve_many(jacobian, right, order)
        step = solved.solution[:, 0]
        position, quaternion = moved(position, quaternion, step)
        correction += step
        last = np.abs(step).max(axis=0)
        if not last.max() >= _LAST_CORRECTION:
            break
    return _Corrected(position, quaternion, correction, solved.solution[:, 1], last, solved.sign)
