"""Many small linear systems of one structure at once, by Gaussian elimination along the batch.

LAPACK solves one 6 x 6 system at a time and spends most of it on bookkeeping. Here each elimination step
is one NumPy call over all N systems, in a pivot order chosen once, by complete pivoting, on one of them.
Systems that this order does not suit (a small pivot) are solved again by LAPACK with its own pivoting.
"""

from dataclasses import dataclass

import numpy as np

from solvers.vectors import Array, Index

# A pivot this much smaller than its counterpart in the pivoted sample is not trusted.
_SMALL = 1e-5


@dataclass(frozen=True)
class Eliminated:
    """Solutions (n, k, N) and the sign of each determinant (N,): 0 where a matrix is singular."""

    solution: Array
    sign: Array


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


def solve_many(matrices: Array, right: Array, order: PivotOrder | None = None) -> Eliminated:
    """Solve N systems: matrices (n, n, N), right-hand sides (n, k, N).

    order: from one of these matrices or of similar ones; taken from the middle one if left out.
    """
    n, count = matrices.shape[0], matrices.shape[-1]
    order = order or pivot_order(matrices[:, :, count // 2])
    work = np.empty((n, n + right.shape[1], count))
    work[:, :n] = matrices[order.rows[:, None], order.columns]
    work[:, n:] = right[order.rows]
    pivots = np.empty((n, count))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for k in range(n):
            pivots[k] = work[k, k]
            work[k, k + 1 :] /= pivots[k]
            if k < n - 1:
                work[k + 1 :, k + 1 :] -= work[k + 1 :, k, None] * work[k, None, k + 1 :]
        for k in range(n - 1, 0, -1):
            work[:k, n:] -= work[:k, k, None] * work[k, None, n:]
    solution = np.empty((n, right.shape[1], count))
    solution[order.columns] = work[:, n:]
    sign = np.where(((pivots < 0.0).sum(axis=0) % 2 == 1) != order.odd, -1.0, 1.0)
    doubtful = ~(np.abs(pivots) > _SMALL * order.pivots[:, None]).all(axis=0)
    if doubtful.any():
        solution[..., doubtful], sign[doubtful] = _by_lapack(matrices[..., doubtful], right[..., doubtful])
    return Eliminated(solution, sign)


def _by_lapack(matrices: Array, right: Array) -> tuple[Array, Array]:
    stacked = np.moveaxis(matrices, -1, 0)
    # The rows' and columns' scales are those of unit vectors and arms in lengths: a reciprocal condition at
    # rounding level is a singular matrix whatever the unit.
    sign = np.linalg.slogdet(stacked).sign
    sign[~(np.linalg.cond(stacked) < 1e14)] = 0.0
    solution = np.full(right.shape, np.nan)
    regular = sign != 0.0
    if regular.any():
        solved = np.linalg.solve(stacked[regular], np.moveaxis(right[..., regular], -1, 0))
        solution[..., regular] = np.moveaxis(solved, 0, -1)
    return solution, sign
