"""Many small linear systems of one structure at once, by Gaussian elimination along the batch.

LAPACK solves one 6 x 6 system at a time and spends most of that time on bookkeeping. Here each elimination step
is one NumPy call over all N systems, in a pivot order chosen once, by complete pivoting, on one of them.
Systems that this order does not suit (a small pivot) are solved again by LAPACK with its own pivoting; so are all
systems where there are too few to be worth NumPy's calls.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from solvers.vectors import Array, Index

# A pivot smaller than its counterpart in the pivoted sample by this factor is not trusted.
_SMALL = 1e-5
# Pivots of the sample below this part of its first say nothing: the sample is singular, or as good as that.
_FLAT = 1e-7
_FEW = 100
_HUGE = 1e8  # no regular matrix of lengths and unit vectors gives a solution as large as this


@dataclass(frozen=True)
class Eliminated:
    """Solutions (n, k, N) of N systems, NaN where a matrix is singular."""

    solution: Array
    find_sign: Callable[[], Array]

    @cached_property
    def sign(self) -> Array:
        """Sign of each determinant (N,): 0 where a matrix is singular."""
        return self.find_sign()


@dataclass(frozen=True)
class PivotOrder:
    """Rows and columns (n,) in the order of elimination, the sample's pivots (n,), and the order's parity."""

    rows: Index
    columns: Index
    pivots: Array
    odd: bool


def pivot_order(matrix: Array) -> PivotOrder:
    """Complete pivoting of one matrix (n, n)."""
    work = matrix.copy()
    n = len(work)
    rows, columns = np.arange(n), np.arange(n)
    swaps = 0
    for k in range(n):
        row, column = divmod(int(np.argmax(np.abs(work[k:, k:]))), n - k)
        row, column = row + k, column + k
        swaps += (row != k) + (column != k)
        work[[k, row]], rows[[k, row]] = work[[row, k]], rows[[row, k]]
        work[:, [k, column]], columns[[k, column]] = work[:, [column, k]], columns[[column, k]]
        if work[k, k] == 0.0:
            break
        work[k + 1 :, k:] -= np.outer(work[k + 1 :, k] / work[k, k], work[k, k:])
    return PivotOrder(rows, columns, np.abs(np.diag(work)), swaps % 2 == 1)


def shared_order(matrices: Array, count: int | None = None) -> PivotOrder | None:
    """One pivot order for `count` matrices similar to these (n, n, N), or for these.

    None where there are so few that LAPACK will solve them.
    """
    return None if (count or matrices.shape[-1]) <= _FEW else pivot_order(matrices[:, :, 0])


def solve_many(matrices: Array, right: Array, order: PivotOrder | None = None) -> Eliminated:
    """Solve N systems: matrices (n, n, N), right-hand sides (n, k, N).

    order: from one of these matrices or a similar one; from the middle one if left out.
    """
    n, count = matrices.shape[0], matrices.shape[-1]
    if count <= _FEW:
        return _solve_few(matrices, right)
    order = order or pivot_order(matrices[:, :, count // 2])
    numbers = np.result_type(matrices, right)
    work = np.empty((n, n + right.shape[1], count), numbers)
    work[:, :n] = matrices[order.rows[:, None], order.columns]
    work[:, n:] = right[order.rows]
    pivots = np.empty((n, count), numbers)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for k in range(n):
            pivots[k] = work[k, k]
            work[k, k + 1 :] /= pivots[k]
            if k < n - 1:
                work[k + 1 :, k + 1 :] -= work[k + 1 :, k, None] * work[k, None, k + 1 :]
        for k in range(n - 1, 0, -1):
            work[:k, n:] -= work[:k, k, None] * work[k, None, n:]
    solution = np.empty((n, right.shape[1], count), numbers)
    solution[order.columns] = work[:, n:]
    sign = np.where(((pivots.real < 0.0).sum(axis=0) % 2 == 1) != order.odd, -1.0, 1.0)
    usual = np.maximum(order.pivots, _FLAT * order.pivots[0])
    doubtful = ~(np.abs(pivots) > _SMALL * usual[:, None]).all(axis=0)
    if doubtful.any():
        solved = _solve_few(matrices[..., doubtful], right[..., doubtful])
        solution[..., doubtful], sign[doubtful] = solved.solution, solved.sign
    return Eliminated(solution, lambda: sign)


def _solve_few(matrices: Array, right: Array) -> Eliminated:
    """Solve each system by LAPACK."""
    stacked, columns = np.ascontiguousarray(matrices.transpose(2, 0, 1)), right.transpose(2, 0, 1)
    try:
        solution = np.linalg.solve(stacked, columns)
    except np.linalg.LinAlgError:
        regular = _signs(stacked) != 0.0
        solution = np.full(columns.shape, np.nan, np.result_type(stacked, columns))
        solution[regular] = np.linalg.solve(stacked[regular], columns[regular])
    if not np.abs(solution).max(initial=0.0) < _HUGE:
        # LAPACK calls a matrix singular only if a pivot is exactly zero.
        solution[_signs(stacked) == 0.0] = np.nan
    return Eliminated(np.asarray(solution.transpose(1, 2, 0)), lambda: _signs(stacked))


def _signs(stacked: Array) -> Array:
    """Signs of the determinants of matrices (N, n, n), 0 where singular."""
    stacked = stacked.real
    determinant = np.linalg.det(stacked)
    sign = np.sign(determinant)
    # A determinant is at most the product of the rows' lengths; where it is far less, a closer look is needed.
    most = np.sqrt((stacked * stacked).sum(axis=-1)).prod(axis=-1)
    flat = ~(np.abs(determinant) > 1e-10 * most)
    unknown = flat & ~np.isfinite(most)
    sign[unknown] = 0.0
    flat &= ~unknown
    if flat.any():
        # The rows' and columns' scales are those of unit vectors and arms in lengths: a reciprocal condition at
        # rounding level is a singular matrix whatever the unit.
        sign[flat] *= np.linalg.cond(stacked[flat]) < 1e14
    return np.asarray(sign)
