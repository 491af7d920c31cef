"""The least squares of readings and curves together.

The curves' derivatives by every point are exact: a sweep carries them (`solvers.tangents`). A curve's unknown zero is
the mean of what is left of it, so that fitting it comes to fitting curves less their means (formula).
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kinematics.survey.curve_agreement import CurvesModel
from kinematics.survey.curves import Curve
from kinematics.survey.readings import ReadingRows
from kinematics.survey.unknowns import USELESS
from solvers.least_squares import Fit, fit
from solvers.vectors import Array


def joint_fit(every_row: ReadingRows, model: CurvesModel, begin: Array) -> Fit:
    """The points that fit readings and curves best, from a start (n,); rows of curves stand behind."""
    reads = np.concatenate([every_row.reads, model.reads])
    doubts = np.concatenate([every_row.doubts, model.doubts])

    def residuals(parameters: Array) -> Array:
        shown = np.concatenate([every_row.predicted(parameters), model.centred(parameters)], axis=-1)
        return np.asarray(reads - shown)

    return _with_zeros(fit(residuals, begin, doubts, useless=USELESS), model.curves)


def _with_zeros(solved: Fit, curves: Sequence[Curve]) -> Fit:
    """With each curve's zero counted as one unknown more: of each reading's leverage, it has its part."""
    leverage = solved.leverage.copy()
    at = leverage.size - sum(curve.at.size for curve in curves)
    for curve in curves:
        leverage[at : at + curve.at.size] += 1.0 / curve.at.size
        at += curve.at.size
    return replace(solved, leverage=leverage, freedoms=solved.freedoms - len(curves))
