"""Smooth functions of one driver, known at Chebyshev nodes and read anywhere between."""

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from solvers.vectors import Array

_ONE_CORE = 200_000  # multiplications; OpenBLAS shares out larger products, then waits for the slowest core


@dataclass(frozen=True)
class Series:
    """k functions of a driver on low..high: coefficients (..., k, nodes), low and high (...)."""

    low: Array
    high: Array
    coefficients: Array

    @property
    def tail(self) -> Array:
        """Size of the last coefficients (..., k): roughly the error of the polynomials."""
        return np.asarray(np.abs(self.coefficients[..., -3:]).max(axis=-1))

    def shortened(self, allowed: Array) -> "Series":
        """The same functions without those last coefficients that together come to no more than `allowed` (k,)."""
        left_out = np.cumsum(np.abs(self.coefficients[..., ::-1]), axis=-1) > allowed[:, None]
        spare = int(np.argmax(left_out.reshape(-1, left_out.shape[-1]).any(axis=0)))
        return replace(self, coefficients=self.coefficients[..., : self.coefficients.shape[-1] - spare])

    def at(self, driver: Array) -> Array:
        """Values (..., k, S) at drivers (..., S) inside the range."""
        return _product(self.coefficients, self._basis(driver))

    def with_slopes(self, driver: Array) -> tuple[Array, Array]:
        """Values and derivatives with respect to the driver, (..., k, S) each."""
        both = _product(self._with_slopes, self._basis(driver))
        count = self.coefficients.shape[-2]
        return both[..., :count, :], both[..., count:, :]

    @cached_property
    def _with_slopes(self) -> Array:
        """Coefficients of the functions and, behind them, of their derivatives (..., 2 k, nodes)."""
        slopes = np.zeros_like(self.coefficients)
        slopes[..., :-1] = np.polynomial.chebyshev.chebder(self.coefficients, axis=-1)
        slopes /= (0.5 * (self.high - self.low))[..., None, None]
        return np.concatenate([self.coefficients, slopes], axis=-2)

    def _basis(self, driver: Array) -> Array:
        middle, half = 0.5 * (self.low + self.high), 0.5 * (self.high - self.low)
        return _polynomials((driver - middle[..., None]) / half[..., None], self.coefficients.shape[-1])


def nodes(low: Array, high: Array, count: int) -> Array:
    """Chebyshev points of the first kind on low..high (...): (..., count)."""
    middle, half = 0.5 * (low + high), 0.5 * (high - low)
    return np.asarray(middle[..., None] + half[..., None] * _unit_nodes(count))


def midway(low: Array, high: Array, count: int) -> Array:
    """Points halfway between neighbouring nodes, by angle, and the ends (..., count + 1); low, high: (...)."""
    middle, half = 0.5 * (low + high), 0.5 * (high - low)
    return np.asarray(middle[..., None] + half[..., None] * np.cos(np.pi * np.arange(count + 1) / count))


def fit(low: Array, high: Array, values: Array) -> Series:
    """Polynomials through values (..., k, count) at `nodes(low, high, count)`; low, high: (...)."""
    return Series(low, high, values @ _fit_matrix(values.shape[-1]))


def _unit_nodes(count: int) -> Array:
    return np.cos(np.pi * (np.arange(count) + 0.5) / count)


@lru_cache(maxsize=8)
def _fit_matrix(count: int) -> Array:
    basis = np.polynomial.chebyshev.chebvander(_unit_nodes(count), count - 1)
    basis[:, 0] *= 0.5
    return np.asarray(basis * (2.0 / count))


def _product(coefficients: Array, basis: Array) -> Array:
    """Matrix product (..., k, S), in pieces small enough that BLAS does not wake other cores for them."""
    count = basis.shape[-1]
    piece = max(1, _ONE_CORE // coefficients.shape[-1] // coefficients.shape[-2])
    if count <= piece:
        return np.asarray(coefficients @ basis)
    out = np.empty((*np.broadcast_shapes(coefficients.shape[:-2], basis.shape[:-2]), coefficients.shape[-2], count))
    for first in range(0, count, piece):
        which = slice(first, first + piece)
        np.matmul(coefficients, basis[..., which], out=out[..., which])
    return out


def _polynomials(x: Array, count: int) -> Array:
    """T_0..T_(count-1) at x (..., S): (..., count, S)."""
    out = np.empty((count, *x.shape))
    out[0], out[1] = 1.0, x
    twice = x + x
    for k in range(2, count):
        np.multiply(twice, out[k - 1], out=out[k])
        out[k] -= out[k - 2]
    return np.moveaxis(out, 0, -2)
