"""What curves would show of a car whose points lie elsewhere, and how far those read are off what others make them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.stats import chi2

from kinematics.car.car import Axle
from kinematics.doubt.perturbed import perturbed
from kinematics.survey.curves import Curve
from kinematics.survey.unknowns import Unknowns
from solvers.many_fits import inverse
from solvers.tangents import derivatives
from solvers.vectors import Array


@dataclass(frozen=True)
class CurvesModel:
    """What curves would show if the parameters of a survey were others: an axle with its points at `about` (n,)."""

    axle: Axle
    unknown: Unknowns
    about: Array
    curves: tuple[Curve, ...]

    def axle_at(self, parameters: Array) -> Axle:
        """The axle with its points at parameters (..., n), real or with tangents."""
        to_points = self.unknown.hardpoint_rows
        coordinates = self.unknown.coordinates[: len(to_points)]
        return perturbed(self.axle, coordinates, (parameters - self.about) @ to_points.T)

    def shown(self, parameters: Array) -> list[Array]:
        """Each curve (..., K), without its zero."""
        axle = self.axle_at(parameters)
        return [curve.shown(axle) for curve in self.curves]

    def centred(self, parameters: Array) -> Array:
        """All curves less their means, one behind the other (..., all K)."""
        parts = [curve.centred(one) for curve, one in zip(self.curves, self.shown(parameters), strict=True)]
        return np.asarray(np.concatenate(parts, axis=-1))

    @property
    def reads(self) -> Array:
        """What was read, less each curve's mean (all K,)."""
        return np.concatenate([curve.centred(curve.reads) for curve in self.curves])

    @property
    def doubts(self) -> Array:
        """One standard deviation of each reading (all K,)."""
        return np.concatenate([np.full(curve.at.size, curve.doubt) for curve in self.curves])


def reaches(model: CurvesModel, parameters: Array) -> list[Array]:
    """Where each curve was read but the car does not reach, by the parameters (n,): travels [mm], of each curve."""
    shown = model.shown(parameters)
    return [curve.at[~np.isfinite(one)] for curve, one in zip(model.curves, shown, strict=True)]


@dataclass(frozen=True)
class CurvesOff:
    """How far curves are off what the readings make of them, in units of their doubts and less their zeros.

    read, off: what was read and how far that is off (k,). slopes: by the parameters (k, n). spread: covariance (k, k)
    that the points add to that of reading. basis: what makes readings of curves to such (all K, k).
    """

    read: Array
    off: Array
    slopes: Array
    spread: Array
    basis: Array

    @cached_property
    def weights(self) -> Array:
        """Of `off`, with what is known of the points (k, k)."""
        return inverse(self.spread + np.eye(self.off.size))

    @property
    def chi_square(self) -> float:
        """Of the curves, with what is known of the points."""
        return float(self.off @ self.weights @ self.off)

    @property
    def score(self) -> float:
        """-2 log of how likely the curves are, but for a constant."""
        return self.chi_square - float(np.linalg.slogdet(self.weights)[1])

    @property
    def chance(self) -> float:
        """How likely curves are so far off, or farther."""
        return float(chi2.sf(self.chi_square, self.off.size))

    def gained(self, change: Array, within: float = np.inf) -> tuple[float, float, float]:
        """What a change (k,) takes from chi-square, its size, and one standard deviation of that.

        within: one standard deviation of how large it may be.
        """
        strength = float(change @ self.weights @ change) + 1.0 / within**2
        if strength <= 0.0:
            return 0.0, 0.0, np.inf
        pull = float(change @ self.weights @ self.off)
        return pull**2 / strength, pull / strength, strength**-0.5

    def multiplied(self, factor: float, doubt: float) -> "CurvesOff":
        """With all readings so many times as large, and their doubts `doubt` times."""
        off = factor * self.read - (self.read - self.off)
        return replace(
            self,
            read=factor * self.read / doubt,
            off=off / doubt,
            slopes=self.slopes / doubt,
            spread=self.spread / doubt**2,
        )


def curves_off(model: CurvesModel, at: Array, covariance: Array) -> CurvesOff:
    """How far curves are off what readings alone make of them, which give the parameters (n,) and how well known."""
    slopes = derivatives(model.centred, at)
    basis = _without_zeros(model.curves)
    own = basis.T @ (slopes / model.doubts[:, None])
    read, shown = (basis.T @ (one / model.doubts) for one in (model.reads, model.centred(at)))
    return CurvesOff(read, read - shown, own, own @ covariance @ own.T, basis / model.doubts[:, None])


def _without_zeros(curves: Sequence[Curve]) -> Array:
    """Orthonormal ways (all K, k) in which curves may differ apart from their zeros."""
    count = sum(curve.at.size for curve in curves)
    zeros, at = np.zeros((count, len(curves))), 0
    for number, curve in enumerate(curves):
        zeros[at : at + curve.at.size, number] = 1.0
        at += curve.at.size
    return np.asarray(np.linalg.svd(zeros)[0][:, len(curves) :])
