"""A certificate for each step along a path: that both its ends lie on one branch of the linkage's motion.

That all lengths hold says only that a pose is some assembly. These are held against each other, whatever way the second
pose was found from the first:

* the poses and their exact velocities. On one branch the pose changes by the mean of the velocities at both ends times
  the step, to third order; on the other branch of a fold the velocity has turned round.
* the Jacobians A and B. Where the norm of inv(B) A - 1 is less than one, no matrix on the straight line from A to B is
  singular: Newton's steps with B contract all along it, and there is no second solution beside the one followed
  (Kantorovich; L. B. Rall, SIAM Journal on Numerical Analysis 11 (1974), from memory). Between them a fold turns an
  eigenvalue of inv(B) A negative, and the norm is at least one. So it is with two folds at once, where both sides of a
  symmetric axle lock together and the determinant's sign stays as it was.
"""

import numpy as np

from solvers.elimination import PivotOrder, solve_many
from solvers.rotations import compose
from solvers.vectors import Array, Flags

_OFF = 0.1  # part of the motion by which it may differ from the mean velocity's: a third step towards a fold is less
_ROUNDING = 1e-7  # mm, of poses near a lock, where lengths to rounding leave them no better known


def reach_of(jacobian: Array) -> Array:
    """Typical arm [mm] of a mechanism's Jacobians (rows, 6 bodies, N): (N,), what a turn is multiplied by."""
    by_kind = jacobian.reshape(len(jacobian), len(jacobian) // 6, 2, 3, jacobian.shape[-1])
    along, around = (by_kind**2).sum(axis=(0, 1, 3))
    return np.asarray(np.sqrt(around / along))


def continuous(
    before: tuple[Array, Array], after: tuple[Array, Array], velocity: tuple[Array, Array], reach: Array
) -> Flags:
    """Whether poses (bodies, 3, N), (bodies, 4, N) follow each other as the velocities at both say (N,).

    velocity: motion of all bodies (6 bodies, N) in the whole step, at its beginning and at its end.
    """
    bodies, count = len(before[0]), before[0].shape[-1]
    inverse = before[1] * np.array([-1.0, -1.0, -1.0, 1.0])[:, None]
    turn = compose(after[1].swapaxes(0, 1), inverse.swapaxes(0, 1))
    turn = 2.0 * turn[:3] * np.sign(turn[3])
    change = np.concatenate([after[0] - before[0], turn.swapaxes(0, 1)], axis=1)
    by_body = [one.reshape(bodies, 2, 3, count) for one in (*velocity, change)]
    size = np.stack([np.ones(count), reach])[:, None]
    first, last, change = (one * size for one in by_body)
    off = _size(change - 0.5 * (first + last))
    allowed = _OFF * np.maximum(_size(first), _size(last)) + _ROUNDING
    return np.asarray(off <= allowed)


def _size(motion: Array) -> Array:
    return np.asarray(np.sqrt((motion * motion).sum(axis=(0, 1, 2))))


def no_fold_between(ratio: Array) -> Flags:
    """Whether no matrix between A and B is singular (N,); ratio: inv(B) A (6 bodies, 6 bodies, N).

    The norm is taken with turns told as shifts at that arm for which it is least, so that neither units nor very long
    links count.
    """
    rows, count = len(ratio), ratio.shape[-1]
    change = (ratio - np.eye(rows)[..., None]).reshape(rows // 6, 2, 3, rows // 6, 2, 3, count)
    with np.errstate(over="ignore", invalid="ignore"):
        squares = (change * change).sum(axis=(0, 2, 3, 5))
        norm = squares[0, 0] + squares[1, 1] + 2.0 * np.sqrt(squares[0, 1] * squares[1, 0])
    return np.asarray(norm < 1.0)


def same_branch(jacobian: Array, start: Array, sign: Array, order: PivotOrder | None) -> Flags:
    """Whether no fold lies between poses and where they were moved from (N,), by their Jacobians (rows, rows, N).

    sign: of the start's determinant (N,). order: to eliminate in.
    """
    solved = solve_many(jacobian, start, order)
    return np.asarray(no_fold_between(solved.solution) & (solved.sign == sign))


def chain_holds(jacobian: Array) -> bool:
    """Whether no fold lies between any two neighbours along paths, by their Jacobians (rows, rows, ..., S)."""
    size = len(jacobian)
    before, after = (jacobian[..., part].reshape(size, size, -1) for part in (slice(None, -1), slice(1, None)))
    return bool(no_fold_between(solve_many(after, before).solution).all())
