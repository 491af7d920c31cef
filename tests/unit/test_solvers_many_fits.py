"""Many fits at once: each is what it would be by itself, by closed form and by SciPy."""

import numpy as np
from scipy.optimize import least_squares

from solvers.many_fits import fit_many
from solvers.vectors import Array

HOLD = 1e6


def test_weighted_means() -> None:
    """Formula: sum(w^2 r) / sum(w^2), known to 1 / sqrt(sum(w^2))."""
    rng = np.random.default_rng(0)
    reads, weights = rng.normal(size=(5, 4)), rng.uniform(0.5, 2.0, (5, 4))
    weights[2, 1] = 0.0
    found = fit_many(lambda at: np.repeat(at, 4, axis=-1), reads, weights, np.zeros((5, 1)), HOLD)
    total = (weights**2).sum(axis=1)
    mean = (weights**2 * reads).sum(axis=1) / total
    np.testing.assert_allclose(found.parameters[:, 0], mean, rtol=1e-9)
    np.testing.assert_allclose(found.covariance[:, 0, 0], 1.0 / total, rtol=1e-9)
    np.testing.assert_allclose(found.log_det, np.log(total), rtol=1e-9)
    np.testing.assert_allclose(found.chi_square, (weights**2 * (reads - mean[:, None]) ** 2).sum(axis=1), rtol=1e-9)


def distances(at: Array) -> Array:
    """From a place (..., 2) to five marks."""
    away = at[..., None, :] - np.array([[0.0, 0.0], [9.0, 1.0], [2.0, 8.0], [7.0, 7.0], [-3.0, 4.0]])
    return np.asarray(np.sqrt((away * away).sum(axis=-1)))


def test_places_by_tapes_against_scipy() -> None:
    rng = np.random.default_rng(1)
    places = rng.uniform(2.0, 6.0, (6, 2))
    reads = distances(places) + 0.05 * rng.normal(size=(6, 5))
    weights = np.full((6, 5), 20.0)
    weights[np.arange(5), np.arange(5)] = 0.0
    found = fit_many(distances, reads, weights, places + 1.5, HOLD)
    for at in range(6):
        alone = least_squares(lambda p, at=at: weights[at] * (reads[at] - distances(p)), places[at], xtol=1e-14)
        np.testing.assert_allclose(found.parameters[at], alone.x, atol=1e-6)
        np.testing.assert_allclose(found.chi_square[at], 2.0 * alone.cost, rtol=1e-9)
        np.testing.assert_allclose(found.covariance[at], np.linalg.inv(alone.jac.T @ alone.jac), rtol=1e-4)


def test_what_no_row_tells_stays_known_to_what_holds_it() -> None:
    """Formula: without rows the normal equations are one over the square of the hold."""
    found = fit_many(lambda at: at[..., :1], np.ones((1, 1)), np.ones((1, 1)), np.array([[0.0, 3.0]]), 100.0)
    np.testing.assert_allclose(found.parameters, [[1.0 / (1.0 + 1e-4), 3.0]], atol=1e-4)
    np.testing.assert_allclose(found.covariance[0, 1, 1], 1e4, rtol=1e-9)
