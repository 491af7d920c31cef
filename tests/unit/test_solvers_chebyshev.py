"""Polynomials on Chebyshev nodes against NumPy's own and against functions known in closed form."""

import numpy as np
from numpy.polynomial import Chebyshev
from numpy.testing import assert_allclose

from solvers.chebyshev import fit, nodes

LOW, HIGH = np.array([-60.0, -3.0]), np.array([40.0, 5.0])  # two ranges at once
RNG = np.random.default_rng(0)


def test_polynomials_are_met_exactly_with_their_slopes() -> None:
    """Degree 11 through 12 nodes, three functions on each range, at 50 places."""
    polynomials = [
        [Chebyshev(RNG.normal(size=12), domain=(low, high)) for _ in range(3)]
        for low, high in zip(LOW, HIGH, strict=True)
    ]
    at = nodes(LOW, HIGH, 12)
    assert at.shape == (2, 12)
    assert ((at > LOW[:, None]) & (at < HIGH[:, None])).all()
    series = fit(LOW, HIGH, np.array([[p(at[i]) for p in row] for i, row in enumerate(polynomials)]))

    where = RNG.uniform(LOW[:, None], HIGH[:, None], (2, 50))
    values, slopes = series.with_slopes(where)

    for i, row in enumerate(polynomials):
        for k, polynomial in enumerate(row):
            # Coefficients of size one; a dozen terms, and slopes of up to 121 / half range at the ends.
            assert_allclose(values[i, k], polynomial(where[i]), rtol=0.0, atol=1e-13)
            assert_allclose(slopes[i, k], polynomial.deriv()(where[i]), rtol=0.0, atol=1e-11)
    assert_allclose(series.at(where), values, rtol=0.0, atol=1e-14)


def test_ends_and_nodes() -> None:
    """An exponential of up to 4, of which 24 nodes miss nothing but the rounding of 24 terms: 24 * 4 * 2e-16."""
    at = nodes(LOW, HIGH, 24)
    series = fit(LOW, HIGH, np.exp(at / 30.0)[:, None])
    assert_allclose(series.at(at)[:, 0], np.exp(at / 30.0), rtol=0.0, atol=5e-14)
    ends = np.stack([LOW, HIGH], axis=-1)
    assert_allclose(series.at(ends)[:, 0], np.exp(ends / 30.0), rtol=0.0, atol=5e-14)


def test_tail_tells_what_is_missed() -> None:
    """1 / (1 + 25 x^2), Runge's function: its coefficients fall by 0.82 a degree, so 24 nodes are not enough."""
    low, high = np.array(-1.0), np.array(1.0)
    where = np.linspace(-1.0, 1.0, 501)
    for count, good in ((24, False), (200, True)):
        at = nodes(low, high, count)
        series = fit(low, high, 1.0 / (1.0 + 25.0 * at**2)[None])
        missed = np.abs(series.at(where)[0] - 1.0 / (1.0 + 25.0 * where**2)).max()
        assert (series.tail < 1e-12) == good
        assert (missed < 1e-12) == good
        assert missed < 30.0 * series.tail + 1e-14


def test_shortened_misses_no_more_than_is_allowed() -> None:
    """Two exponentials on two ranges: what is left out is the sum of coefficients no larger than the allowance."""
    at = nodes(LOW, HIGH, 24)
    series = fit(LOW, HIGH, np.stack([np.exp(at / 30.0), np.exp(-at / 50.0)], axis=1))
    where = np.linspace(LOW, HIGH, 501, axis=-1)
    whole = series.at(where)
    for allowed in (1e-3, 1e-6, 1e-12):
        short = series.shortened(np.full(2, allowed))
        missed = np.abs(short.at(where) - whole).max()
        assert missed <= allowed
        # One coefficient fewer would miss more than is allowed.
        count = short.coefficients.shape[-1]
        assert np.abs(series.coefficients[..., count - 1 :]).sum(axis=-1).max() > allowed
        assert count < 24
    assert series.shortened(np.zeros(2)).coefficients.shape[-1] == 24
