"""Weighted nonlinear least squares, and how well readings determine each parameter: covariance, gain, leverage.

Derivatives are exact (complex step); SciPy finds the minimum; one singular value decomposition of the weighted
Jacobian gives the rest. Formulas: JCGM 100:2008 Annex H.3 for a line; P. C. Hansen, V. Pereyra, G. Scherer, "Least
Squares Data Fitting with Applications" (2012), for leverage and truncated decompositions (from memory).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares as minimised

from solvers.tangents import derivatives
from solvers.vectors import Array

Residuals = Callable[[Array], Array]

_TOLERANCE = 1e-14  # of SciPy: of the sum of squares, of the parameters and of the gradient, relative
_MOST_EVALUATIONS = 500


@dataclass(frozen=True)
class Fit:
    """A minimum: n parameters from m readings.

    parameters: (n,). residuals: reading less prediction (m,). weighted_jacobian: of the predictions, each divided by
    its doubt (m, n). covariance: (n, n). gain: shift of each parameter for each reading's shift (n, m). leverage: how
    far each fitted value follows its own reading, 0 to 1 (m,). null_space: orthonormal directions (n, k) that no
    reading determines; covariance and gain leave them out. converged: SciPy reports success, with finite derivatives.
    """

    parameters: Array
    residuals: Array
    weighted_jacobian: Array
    covariance: Array
    gain: Array
    leverage: Array
    null_space: Array
    chi_square: float
    freedoms: int
    converged: bool

    @property
    def standard_deviation(self) -> Array:
        """One standard deviation of each parameter (n,)."""
        return np.sqrt(np.diag(self.covariance))


def fit(residuals: Residuals, start: Array, doubts: Array | None = None, *, useless: float | None = None) -> Fit:
    """Find the parameters (n,) that minimise the sum of (residual / doubt)^2, from a start (n,).

    residuals: takes (..., n), real or with tangents, and returns (..., m), reading less prediction. doubts: one
    standard deviation of each reading (m,), in the readings' units; None where they are only known to be alike, and
    are estimated from the scatter: chi-square over the degrees of freedom. useless: a standard deviation, in the
    parameters' unit, beyond which a direction counts as undetermined; None: only what is lost in rounding counts so.
    """
    start = np.asarray(start, dtype=float)
    weights = 1.0 if doubts is None else 1.0 / np.asarray(doubts, dtype=float)

    # MINPACK wants at least as many readings as parameters: rows of zeros make up the number.
    lacking = max(0, start.size - residuals(start).size)

    def weighted(at: Array) -> Array:
        rows = residuals(at) * weights
        return np.concatenate([rows, np.zeros((*rows.shape[:-1], lacking))], axis=-1) if lacking else rows

    def jacobian(at: Array) -> Array:
        return derivatives(weighted, at)

    found = minimised(
        weighted,
        start,
        jac=jacobian,
        method="lm",
        x_scale="jac" if useless is None else 1.0,
        ftol=_TOLERANCE,
        xtol=_TOLERANCE,
        gtol=_TOLERANCE,
        max_nfev=_MOST_EVALUATIONS,
    )
    slopes = -jacobian(found.x)[: -lacking or None]
    smooth = bool(np.isfinite(slopes).all())
    slopes = np.nan_to_num(slopes, nan=0.0, posinf=0.0, neginf=0.0)
    return _told(found.x, residuals(found.x), slopes, doubts, useless, converged=bool(found.success) and smooth)


def _told(
    parameters: Array,
    residuals: Array,
    jacobian: Array,
    doubts: Array | None,
    useless: float | None,
    *,
    converged: bool,
) -> Fit:
    """Read the decomposition of the weighted Jacobian (m, n).

    A singular value is one over the standard deviation along its direction, with parameters in units of `useless`:
    below 1 the readings leave that direction more open than is of any use, and a linear law cannot say how open.
    Without `useless`, columns are scaled to length one first: the rank must not depend on the parameters' units.
    """
    count, size = jacobian.shape
    if useless is None:
        norms = np.sqrt((jacobian**2).sum(axis=0))
        scale = 1.0 / np.where(norms > 0.0, norms, 1.0)
    else:
        scale = np.full(size, useless)
    left, values, right = np.linalg.svd(jacobian * scale)
    rounding = np.finfo(float).eps * max(count, size) * values.max(initial=0.0)
    kept = values > (rounding if useless is None else max(1.0, rounding))
    rank = int(kept.sum())
    left, directions = left[:, :rank], right[:rank].T * scale[:, None]
    chi_square = float(((residuals if doubts is None else residuals / doubts) ** 2).sum())
    freedoms = count - rank
    spread = directions / values[:rank]
    covariance = spread @ spread.T
    if doubts is None:
        covariance = covariance * (chi_square / freedoms if freedoms else np.nan)
    free, _ = np.linalg.qr(right[rank:].T * scale[:, None])
    return Fit(
        parameters=parameters,
        residuals=residuals,
        weighted_jacobian=jacobian,
        covariance=covariance,
        gain=spread @ left.T / (1.0 if doubts is None else doubts),
        leverage=(left**2).sum(axis=1),
        null_space=free,
        chi_square=chi_square,
        freedoms=freedoms,
        converged=converged,
    )
