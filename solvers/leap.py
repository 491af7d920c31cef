"""Reach many driver values in two strides, for who can tell afterwards that all went well."""

from dataclasses import dataclass

import numpy as np

from solvers.elimination import Eliminated, PivotOrder, shared_order, solve_many
from solvers.equations import Equations
from solvers.moving import twist_of
from solvers.newton import moved
from solvers.vectors import Array

_FIRST_LEAP = 0.25  # part of the way
# Newton's error is about the square of its last correction over the size of the linkage: this leaves less than
# rounding in the poses.
_LAST_CORRECTION = 1e-8
_MOST_CORRECTIONS = 6


@dataclass(frozen=True)
class Leapt:
    """Poses (bodies, 3, ..., S), (bodies, 4, ..., S) and their Jacobians (rows, 6 * bodies, ..., S).

    The Jacobians are taken before the last correction, which is less than 1e-8 mm or rad.
    """

    position: Array
    quaternion: Array
    jacobian: Array


def leap(rows: Equations, start: tuple[Array, Array], asked: Array) -> Leapt | None:
    """Poses at the asked values (..., S) of the only driver, or None where one was not reached.

    start: poses (bodies, 3, ..., 1), (bodies, 4, ..., 1). Two strides only, the second along a cubic, whatever their
    lengths: that all poses lie on one path from the start is for the caller to tell, from how smoothly they follow
    each other.
    """
    position, quaternion = (part.reshape(*part.shape[:2], -1) for part in start)
    still = rows.flattened((*asked.shape[:-1], 1))
    _, jacobian = still.evaluate(position, quaternion, np.zeros((1, position.shape[-1])))
    order = shared_order(jacobian, asked.size)
    # What a start's own equations give once, all values asked of it share.
    tangent, sign = twist_of(still, jacobian, np.ones((1, position.shape[-1])), order)
    driven = asked.reshape(1, -1)
    shared = position, quaternion, tangent, sign
    position, quaternion, tangent, sign = (np.repeat(one, asked.shape[-1], axis=-1) for one in shared)
    tangent *= driven
    rows = rows.flattened(asked.shape)
    first, rest = _FIRST_LEAP, 1.0 - _FIRST_LEAP
    stride = first * tangent
    halt = _corrected(rows, moved(position, quaternion, stride), first * driven, driven, order, most=1)
    # The cubic through start and halt with the tangents at both.
    mean = (stride + halt.correction) / first
    bend = (halt.twist - mean) / first
    change = (bend - (mean - tangent) / first) / first
    stride = rest * (halt.twist + rest * (bend + change))
    found = _corrected(rows, moved(halt.position, halt.quaternion, stride), driven, driven, order)
    if not (found.last < _LAST_CORRECTION).all() or (found.solved.sign != sign).any():
        return None
    parts = found.position, found.quaternion, found.jacobian
    return Leapt(*(one.reshape(*one.shape[:2], *asked.shape) for one in parts))


@dataclass(frozen=True)
class _Corrected:
    """Poses after Newton's corrections, these in all (6 * bodies, N), and the twist per part of the way there.

    last: largest component of the last correction (N,); jacobian (rows, 6 * bodies, N) and solved: before it.
    """

    position: Array
    quaternion: Array
    correction: Array
    twist: Array
    last: Array
    jacobian: Array
    solved: Eliminated


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
    return _Corrected(position, quaternion, correction, solved.solution[:, 1], last, jacobian, solved)
