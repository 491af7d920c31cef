"""Elimination along a batch against LAPACK, one system at a time."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from numpy.typing import NDArray

from solvers.elimination import pivot_order, solve_many

Array = NDArray[np.float64]
EPS = np.finfo(float).eps
MANY = 120  # systems: fewer than a hundred are left to LAPACK


def assert_solves(matrices: Array, right: Array, solution: Array, sign: Array) -> None:
    """Against `numpy.linalg.solve`, as well as the condition of each system allows; signs of determinants too."""
    for i in range(matrices.shape[-1]):
        one, expected = matrices[..., i], np.linalg.solve(matrices[..., i], right[..., i])
        # Both errors are of the order n * cond * eps; pivots down to 1e-5 of their sample's may cost five digits more
        # of growth in the worst case, random matrices stay within two.
        scale = 100.0 * len(one) * np.linalg.cond(one) * EPS * np.abs(expected).max()
        assert_allclose(solution[..., i], expected, rtol=0.0, atol=scale)
        assert sign[i] == np.sign(np.linalg.det(one))


@pytest.mark.parametrize("size", [1, 2, 6, 12])
@pytest.mark.parametrize("columns", [1, 3])
@pytest.mark.parametrize("count", [60, MANY])
def test_random_systems(size: int, columns: int, count: int) -> None:
    rng = np.random.default_rng(size)
    matrices, right = rng.normal(size=(size, size, count)), rng.normal(size=(size, columns, count))
    found = solve_many(matrices, right)
    assert_solves(matrices, right, found.solution, found.sign)


def test_systems_that_need_another_order_of_pivots() -> None:
    """The sample is the unit matrix; the others are its rows in every other order, and signed: all pivots are zero."""
    rng = np.random.default_rng(1)
    size = 6
    permuted = [np.eye(size)[rng.permutation(size)] * rng.choice([-1.0, 1.0], size) for _ in range(MANY)]
    matrices = np.stack([np.eye(size), *permuted], axis=-1)
    right = rng.normal(size=(size, 2, matrices.shape[-1]))
    found = solve_many(matrices, right, pivot_order(np.eye(size)))
    assert_solves(matrices, right, found.solution, found.sign)


def test_pivots_that_are_small_but_not_zero() -> None:
    """Elimination in the sample's order would divide by 1e-9 and lose nine digits."""
    rng = np.random.default_rng(2)
    matrices = rng.normal(size=(6, 6, MANY))
    order = pivot_order(np.diag(np.arange(6.0, 0.0, -1.0)))
    matrices[0, 0] = 1e-9
    right = rng.normal(size=(6, 1, MANY))
    found = solve_many(matrices, right, order)
    assert_solves(matrices, right, found.solution, found.sign)


def test_order_is_by_the_largest_left() -> None:
    """Complete pivoting by hand: 5 first; then of the rest 4 - 1 * 2 / 5 = 3.6 against 3; then what is left."""
    matrix = np.array([[0.0, 3.0, 0.0], [1.0, 0.0, 4.0], [5.0, 0.0, 2.0]])
    order = pivot_order(matrix)
    assert order.rows.tolist() == [2, 1, 0]
    assert order.columns.tolist() == [0, 2, 1]
    assert_allclose(order.pivots, [5.0, 3.6, 3.0])
    # One exchange of rows and one of columns that is: 0 and 2, then 1 and 2.
    assert not order.odd
    assert np.prod(order.pivots) == pytest.approx(np.linalg.det(matrix))


def test_singular_systems_are_marked_and_leave_the_others_alone() -> None:
    rng = np.random.default_rng(5)
    matrices, right = rng.normal(size=(6, 6, MANY)), rng.normal(size=(6, 1, MANY))
    matrices[:, 2, 3] = matrices[:, 4, 3]  # two columns alike
    matrices[1, :, 6] = 0.0
    matrices[5, :, 8] = 2.0 * matrices[0, :, 8] - matrices[3, :, 8]  # singular but for rounding
    found = solve_many(matrices, right)
    singular = np.isin(np.arange(MANY), [3, 6, 8])
    assert (found.sign[singular] == 0.0).all()
    assert np.isnan(found.solution[..., singular]).all()
    regular = ~singular
    assert_solves(matrices[..., regular], right[..., regular], found.solution[..., regular], found.sign[regular])


def test_order_from_a_singular_sample() -> None:
    """The sample's last pivots say nothing; a system with a pivot of 1e-13 there must come out right all the same."""
    rng = np.random.default_rng(6)
    sample, matrix = rng.normal(size=(2, 6, 6))
    sample[3:] = 0.0
    order = pivot_order(sample)
    # The pivot in fourth place is what elimination of the first three leaves there: the Schur complement.
    done, row, column = np.ix_(order.rows[:3], order.columns[:3]), order.rows[3], order.columns[3]
    left, top = matrix[row, order.columns[:3]], matrix[order.rows[:3], column]
    matrix[row, column] = left @ np.linalg.solve(matrix[done], top) + 1e-13
    matrices, right = np.repeat(matrix[..., None], MANY, axis=-1), rng.normal(size=(6, 1, MANY))
    found = solve_many(matrices, right, order)
    assert_solves(matrices, right, found.solution, found.sign)


def test_scaled_rows_are_no_singular_systems() -> None:
    """Twelve decades between a row of lengths and a row of unit vectors would be no lock."""
    rng = np.random.default_rng(8)
    matrices, right = rng.normal(size=(6, 6, MANY)), rng.normal(size=(6, 1, MANY))
    matrices[4] *= 1e-6
    right[4] *= 1e-6
    found = solve_many(matrices, right)
    assert_solves(matrices, right, found.solution, found.sign)
