"""Many weighted least-squares fits of the same rows at once: each with its own weights, readings and start.

Gauss-Newton steps, damped where a step makes the sum of squares larger (K. Levenberg, 1944; D. Marquardt, 1963, from
memory), with exact derivatives by the complex step.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from solvers.tangents import STEP, tangent
from solvers.vectors import Array, Index

_STEPS = 40
_STILL = 1e-7  # of a step, in the parameters' unit, relative to their size
_LEAST, _FIRST, _MOST = 1e-12, 1e-4, 1e12  # damping, relative to the normal equations' diagonal
_EASIER, _HARDER = 0.1, 10.0
_AT_ONCE = 512  # fits solved together, so that their derivatives stay in the cache


@dataclass(frozen=True)
class ManyFits:
    """Minima of B fits: n parameters from m rows each.

    parameters: (B, n). residuals: reading less prediction (B, m). slopes: of the predictions (B, m, n). covariance:
    (B, n, n), of the rows that weigh. log_det: of the normal equations (B,). chi_square: (B,).
    """

    parameters: Array
    residuals: Array
    slopes: Array
    covariance: Array
    log_det: Array
    chi_square: Array


def fit_many(predicted: Callable[[Array], Array], reads: Array, weights: Array, starts: Array, hold: float) -> ManyFits:
    """Minimise the sums of (weight x (reads - predicted))^2 for reads, weights (B, m) from starts (B, n).

    hold: counts in every step, and in the covariance, as if each parameter were known to so much where it stands. So
    long that it hardly counts, it keeps what no row tells where it is, and draws nothing back to its start.
    """
    parts = [
        _fitted(predicted, reads[at], weights[at], starts[at], hold)
        for at in np.array_split(np.arange(len(starts)), max(1, -(-len(starts) // _AT_ONCE)))
    ]
    joined = (np.concatenate(each) for each in zip(*parts, strict=True))
    return ManyFits(*joined)


def _fitted(
    predicted: Callable[[Array], Array], reads: Array, weights: Array, starts: Array, hold: float
) -> tuple[Array, ...]:
    at = np.array(starts, dtype=float)
    damping = np.full(len(at), _FIRST)
    cost = _cost(predicted, at, reads, weights)
    going: Index = np.arange(len(at))
    for _ in range(_STEPS):
        if not len(going):
            break
        going = _stepped(predicted, (at, damping, cost), going, reads, weights, hold)
    slopes = _slopes(predicted, at)
    residuals = reads - predicted(at)
    normal = _normal(slopes * weights[..., None], hold)
    return (
        at,
        residuals,
        slopes,
        inverse(normal),
        np.linalg.slogdet(normal)[1],
        ((weights * residuals) ** 2).sum(axis=-1),
    )


def _stepped(
    predicted: Callable[[Array], Array],
    state: tuple[Array, Array, Array],
    going: Index,
    reads: Array,
    weights: Array,
    hold: float,
) -> Index:
    """One damped step of the fits still going; those that go on."""
    at, damping, cost = state
    here, weight = at[going], weights[going]
    slopes = _slopes(predicted, here) * weight[..., None]
    off = weight * (reads[going] - predicted(here))
    normal = _normal(slopes, hold)
    diagonal = np.einsum("bii->bi", normal)
    damped = normal + (damping[going, None] * diagonal)[:, :, None] * np.eye(here.shape[1])
    step = (inverse(damped) @ (slopes.mT @ off[..., None]))[..., 0]
    there = here + step
    new = _cost(predicted, there, reads[going], weight)
    better = new <= cost[going]
    at[going[better]] = there[better]
    cost[going[better]] = new[better]
    damping[going] = np.clip(damping[going] * np.where(better, _EASIER, _HARDER), _LEAST, _MOST)
    still = np.abs(step).max(axis=1) <= _STILL * (1.0 + np.abs(here).max(axis=1))
    return np.asarray(going[~still & (damping[going] < _MOST)])


def inverse(normal: Array) -> Array:
    """Of normal equations (..., n, n), by eigenvalues: rounding then makes no variance negative, nor any infinite."""
    values, ways = np.linalg.eigh(normal)
    least = np.finfo(float).eps * values[..., -1:]
    return np.asarray((ways / np.maximum(values, least)[..., None, :]) @ ways.mT)


def _cost(predicted: Callable[[Array], Array], at: Array, reads: Array, weights: Array) -> Array:
    return np.asarray(((weights * (reads - predicted(at))) ** 2).sum(axis=-1))


def _normal(slopes: Array, hold: float) -> Array:
    return np.asarray(slopes.mT @ slopes + np.eye(slopes.shape[-1]) / hold**2)


def _slopes(predicted: Callable[[Array], Array], at: Array) -> Array:
    """(B, m, n); what has no derivative counts as constant."""
    seeds = at[:, None, :] + 1j * STEP * np.eye(at.shape[1])
    return np.nan_to_num(tangent(predicted(seeds)).mT, nan=0.0, posinf=0.0, neginf=0.0)
