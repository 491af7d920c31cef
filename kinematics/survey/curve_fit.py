"""One adjustment of tapes, heights, angles and curves: the points that fit all of them best.

The curves' derivatives by every point are exact: a sweep carries them (`solvers.tangents`). A curve's unknown zero is
the mean of what is left of it, so that fitting it comes to fitting curves less their means (formula).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.survey.curve_agreement import CurvesModel, curves_off
from kinematics.survey.curves import Curve
from kinematics.survey.readings import ReadingRows
from kinematics.survey.unknowns import USELESS
from solvers.least_squares import Fit
from solvers.least_squares import fit as least_squares
from solvers.vectors import Array

HOPELESS = 1e-4  # chance below which curves are left out of the fit


@dataclass(frozen=True)
class CurvesFit:
    """A survey fitted together with its curves.

    solved: rows of readings first, those of curves behind. before, after: each curve as the readings alone make it,
    and as the joint fit does (K,), moved by its zero to where it was read. names: of the curves' readings. Curves that
    do not agree with the readings at all are left out: `solved` and `after` are then of the readings alone, and there
    are no names.
    """

    model: CurvesModel
    solved: Fit
    before: tuple[Array, ...]
    after: tuple[Array, ...]
    names: tuple[str, ...]

    @property
    def fitted(self) -> bool:
        """Whether the curves count."""
        return bool(self.names)

    @property
    def doubts(self) -> Array:
        """One standard deviation of each reading of a curve that counts."""
        return self.model.doubts if self.fitted else np.zeros(0)


def fit_with_curves(every_row: ReadingRows, model: CurvesModel, alone: Fit) -> CurvesFit:
    """The least squares of readings and curves together, from where the readings alone lie."""
    begin = alone.parameters
    if not alone.null_space.size and curves_off(model, begin, alone.covariance).chance < HOPELESS:
        before = _at_zero(model, begin)
        return CurvesFit(model, alone, before, before, ())
    reads = np.concatenate([every_row.reads, model.reads])
    doubts = np.concatenate([every_row.doubts, model.doubts])

    def residuals(parameters: Array) -> Array:
        shown = np.concatenate([every_row.predicted(parameters), model.centred(parameters)], axis=-1)
        return np.asarray(reads - shown)

    solved = least_squares(residuals, begin, doubts, useless=USELESS)
    return CurvesFit(
        model,
        _with_zeros(solved, model.curves),
        _at_zero(model, begin),
        _at_zero(model, solved.parameters),
        tuple(f"{curve} at {at:g} mm" for curve in model.curves for at in curve.at.tolist()),
    )


def _with_zeros(solved: Fit, curves: Sequence[Curve]) -> Fit:
    """With each curve's zero counted as one unknown more: of each reading's leverage, it has its part."""
    leverage = solved.leverage.copy()
    at = leverage.size - sum(curve.at.size for curve in curves)
    for curve in curves:
        leverage[at : at + curve.at.size] += 1.0 / curve.at.size
        at += curve.at.size
    return replace(solved, leverage=leverage, freedoms=solved.freedoms - len(curves))


def _at_zero(model: CurvesModel, parameters: Array) -> tuple[Array, ...]:
    shown = model.shown(parameters)
    return tuple(one + (curve.reads - one).mean() for curve, one in zip(model.curves, shown, strict=True))
