"""Smooth functions of a few amounts, learnt from some hundred exact values and read at millions of places.

Polynomials of a total degree in Chebyshev terms over a box, fitted by least squares at points spread evenly; how far
they are off is seen at points that took no part in the fit. They propose; whoever asks verifies.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations_with_replacement
from math import comb

import numpy as np

from solvers.vectors import Array

_MOST_TERMS = 130
_HIGHEST = 8
_SPARE = 1.6  # points for each term, beside those that only check
_CHECKING = 0.25  # of the points
_SAFETY = 3.0  # what was seen at points in between is not the worst there is


@dataclass(frozen=True)
class ResponseSurface:
    """Polynomials (terms, C) of C functions over the box low..high (k,); error (C,): seen beside the fit, with safety.

    powers: (terms, k). sampled: how many exact values it was made of, and lost: how many of them were not there.
    """

    low: Array
    high: Array
    powers: Array
    coefficients: Array
    error: Array
    sampled: int
    lost: int

    def at(self, amounts: Array) -> Array:
        """Values (N, C) at amounts (N, k)."""
        return np.asarray(_terms(self.low, self.high, self.powers, amounts) @ self.coefficients)


def learn(exact: Callable[[Array], Array], low: Array, high: Array) -> ResponseSurface:
    """Learn functions over a box from exact values: amounts (N, k) -> (N, C), NaN where there are none.

    Raises ValueError where too few of the points have values.
    """
    powers = _total_degree(len(low))
    count = int(np.ceil(_SPARE * len(powers) / (1.0 - _CHECKING))) + 4
    unit = _evenly(count, len(low))
    amounts = low + (high - low) * (0.5 - 0.5 * np.cos(np.pi * unit))  # denser at the edges, as the terms ask for
    values = exact(amounts)
    there = np.isfinite(values).all(axis=1)
    known, found = amounts[there], values[there]
    while len(powers) > 1 and len(known) * (1.0 - _CHECKING) < 1.2 * len(powers):
        powers = powers[powers.sum(axis=1) < powers.sum(axis=1).max()]
    if len(known) < 4:
        raise ValueError("hardly one of these combinations can be put together")
    beside = np.zeros(len(known), dtype=bool)
    beside[:: round(1.0 / _CHECKING)] = True
    first = _fitted(low, high, powers, known[~beside], found[~beside])
    off = np.abs(_terms(low, high, powers, known[beside]) @ first - found[beside]).max(axis=0)
    whole = _fitted(low, high, powers, known, found)
    return ResponseSurface(low, high, powers, whole, _SAFETY * off, len(amounts), int(len(amounts) - there.sum()))


def _evenly(count: int, dimensions: int) -> Array:
    """Points (count, dimensions) spread evenly over the unit box, the same ones every time.

    An additive recurrence by powers of the root of x ** (d + 1) = x + 1, the golden ratio where d is one (from memory:
    M. Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018).
    """
    root = 2.0
    for _ in range(60):
        root = (1.0 + root) ** (1.0 / (dimensions + 1))
    steps = root ** -np.arange(1.0, dimensions + 1)
    return np.asarray((0.5 + np.arange(1.0, count + 1)[:, None] * steps) % 1.0)


def _fitted(low: Array, high: Array, powers: Array, amounts: Array, values: Array) -> Array:
    return np.asarray(np.linalg.lstsq(_terms(low, high, powers, amounts), values, rcond=None)[0])


def _total_degree(count: int) -> Array:
    """Powers (terms, count) of all terms up to the highest total degree that stays within the number of terms."""
    degree = max((d for d in range(1, _HIGHEST + 1) if comb(count + d, d) <= _MOST_TERMS), default=1)
    rows = [
        np.bincount(chosen, minlength=count + 1)[:count]
        for chosen in combinations_with_replacement(range(count + 1), degree)
    ]
    return np.array(sorted({tuple(row) for row in rows}))


def _terms(low: Array, high: Array, powers: Array, amounts: Array) -> Array:
    """Products of Chebyshev polynomials (N, terms) at amounts (N, k); a side of no length counts as its middle."""
    width = np.where(high > low, high - low, 1.0)
    place = np.clip(2.0 * (amounts - low) / width - 1.0, -1.0, 1.0) * (high > low)
    most = int(powers.max(initial=0))
    each = np.empty((most + 1, *place.shape))
    each[0] = 1.0
    if most:
        each[1] = place
    for order in range(2, most + 1):
        each[order] = 2.0 * place * each[order - 1] - each[order - 2]
    out = np.ones((len(amounts), len(powers)))
    for axis in range(powers.shape[1]):
        out *= each[powers[:, axis], :, axis].T
    return out
