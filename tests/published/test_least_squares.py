"""Least squares against certified and standardised values.

Misra1a: NIST/ITL Statistical Reference Datasets, nonlinear regression, itl.nist.gov/div898/strd/nls, Misra1a.dat. Data
and starts: seen in a public repository's copy; certified values: from memory, reproduced to 9 digits elsewhere.
Line: JCGM 100:2008 Annex H.3, Table H.6 and clause H.3.3 to H.3.5; data and results seen in the documentation of
another implementation.
"""

import numpy as np
import pytest

from solvers.least_squares import fit

MISRA_X = np.array([77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0])
MISRA_Y = np.array([10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78])
MISRA_B = np.array([2.3894212918e02, 5.5015643181e-04])
MISRA_SD = np.array([2.7070075241e00, 7.2668688436e-06])
MISRA_SUM, MISRA_RESIDUAL_SD = 1.2455138894e-01, 1.0187876330e-01

THERMOMETER = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511])
CORRECTION = np.array([-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160])


def misra(b: np.ndarray) -> np.ndarray:
    return MISRA_Y - b[..., :1] * (1.0 - np.exp(-b[..., 1:] * MISRA_X))


def line(y: np.ndarray) -> np.ndarray:
    return CORRECTION - y[..., :1] - y[..., 1:] * (THERMOMETER - 20.0)


@pytest.mark.parametrize("start", [[500.0, 0.0001], [250.0, 0.0005]])
def test_misra1a(start: list[float]) -> None:
    """Certified to 11 digits; 8 are asked for, of the standard deviations too."""
    found = fit(misra, np.array(start))

    assert found.converged
    assert found.freedoms == 12
    np.testing.assert_allclose(found.parameters, MISRA_B, rtol=1e-8)
    np.testing.assert_allclose(found.standard_deviation, MISRA_SD, rtol=1e-8)
    np.testing.assert_allclose(found.chi_square, MISRA_SUM, rtol=1e-9)
    np.testing.assert_allclose(np.sqrt(found.chi_square / found.freedoms), MISRA_RESIDUAL_SD, rtol=1e-9)


def test_line_of_the_guide() -> None:
    """Tolerances: half a unit of the last digit printed."""
    found = fit(line, np.zeros(2))
    (intercept, slope), (u_intercept, u_slope) = found.parameters, found.standard_deviation
    at_30 = np.array([1.0, 10.0])

    assert abs(intercept - -0.1712) < 0.5e-4
    assert abs(u_intercept - 0.0029) < 0.5e-4
    assert abs(slope - 0.00218) < 0.5e-5
    assert abs(u_slope - 0.00067) < 0.5e-5
    assert abs(found.covariance[0, 1] / (u_intercept * u_slope) - -0.930) < 0.5e-3
    assert abs(np.sqrt(found.chi_square / found.freedoms) - 0.0035) < 0.5e-4
    assert abs(found.chi_square - 0.000110096583109) < 1e-15
    assert abs(at_30 @ found.parameters - -0.1494) < 0.5e-4
    assert abs(np.sqrt(at_30 @ found.covariance @ at_30) - 0.0041) < 0.5e-4


def test_gain_is_what_a_shifted_reading_does() -> None:
    """Formula for a line: the gain is (X'X)^-1 X', and the leverages are those of simple regression and add to 2."""
    found = fit(line, np.zeros(2))
    t = THERMOMETER - 20.0
    design = np.column_stack([np.ones(11), t])

    np.testing.assert_allclose(found.gain, np.linalg.inv(design.T @ design) @ design.T, rtol=1e-10)
    np.testing.assert_allclose(found.leverage, 1 / 11 + (t - t.mean()) ** 2 / ((t - t.mean()) ** 2).sum(), rtol=1e-12)
    assert abs(found.leverage.sum() - 2.0) < 1e-12


def test_known_doubts_are_not_scaled() -> None:
    """Formula: n readings of one value, each with its own doubt: weights 1/s^2, variance one over their sum."""
    reads, doubts = np.array([10.0, 12.0, 11.0]), np.array([1.0, 2.0, 0.5])
    found = fit(lambda at: reads - at, np.zeros(1), doubts)
    weights = doubts**-2

    np.testing.assert_allclose(found.parameters, [(weights * reads).sum() / weights.sum()], rtol=1e-14)
    np.testing.assert_allclose(found.covariance, [[1.0 / weights.sum()]], rtol=1e-14)
    np.testing.assert_allclose(found.gain[0], weights / weights.sum(), rtol=1e-14)


def test_what_no_reading_tells_is_the_null_space() -> None:
    """Two readings of a + b, one of c, none of d: a - b and d are free, and the rest is as without them."""
    design = np.array([[1.0, 1.0, 0.0, 0.0], [1.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0]])
    reads = np.array([3.0, 5.0, 7.0])
    found = fit(lambda at: reads - at @ design.T, np.array([1.0, 0.0, 0.0, 9.0]), np.ones(3), useless=1e4)
    free = np.array([[1.0, -1.0, 0.0, 0.0], [0.0, 0.0, 0.0, np.sqrt(2.0)]]) / np.sqrt(2.0)

    assert found.null_space.shape == (4, 2)
    np.testing.assert_allclose(found.null_space @ found.null_space.T, free.T @ free, atol=1e-14)
    assert found.freedoms == 1
    np.testing.assert_allclose(found.parameters[:2].sum(), 4.0, rtol=1e-12)
    np.testing.assert_allclose(found.parameters[2:], [7.0, 9.0], rtol=1e-12)
    np.testing.assert_allclose(np.array([1.0, 1.0]) @ found.covariance[:2, :2] @ [1.0, 1.0], 0.5, rtol=1e-12)


def test_a_direction_too_weakly_told_counts_as_free() -> None:
    """A reading with slope 1e-3 and doubt 2 leaves its parameter at 2000: free if 1000 is useless, told if 1e4 is."""
    reads = np.array([0.0, 0.0])
    design = np.array([[1.0, 0.0], [0.0, 1e-3]])
    for useless, free in ((1000.0, 1), (1e4, 0)):
        found = fit(lambda at: reads - at @ design.T, np.zeros(2), np.array([2.0, 2.0]), useless=useless)
        assert found.null_space.shape == (2, free)
        np.testing.assert_allclose(found.standard_deviation, [2.0, 0.0 if free else 2000.0], rtol=1e-12)
