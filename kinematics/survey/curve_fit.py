"""One adjustment of tapes, heights, angles and the curves that agree with them: the points that fit them best."""

from dataclasses import dataclass, replace

import numpy as np

from kinematics.survey.curve_agreement import CurvesModel
from kinematics.survey.curve_misfit import CurveMisfit, judged_curves
from kinematics.survey.curves import Curve
from kinematics.survey.joint_fit import joint_fit
from kinematics.survey.readings import ReadingRows
from solvers.least_squares import Fit
from solvers.vectors import Array


@dataclass(frozen=True)
class CurvesFit:
    """A survey fitted together with those of its curves that agree with the readings.

    solved: rows of readings first, those of curves that count behind. before, after: each curve as the readings alone
    make it, and as `solved` does (K,), moved by its zero to where it was read. counts: whether each curve is fitted;
    one that does not agree is left out. names: of the readings of those that count. misfits: what does not agree.
    """

    model: CurvesModel
    solved: Fit
    before: tuple[Array, ...]
    after: tuple[Array, ...]
    counts: tuple[bool, ...]
    chances: tuple[float, ...]
    misfits: tuple[CurveMisfit, ...]

    @property
    def counted(self) -> tuple[Curve, ...]:
        """The curves that are fitted."""
        return tuple(one for one, counts in zip(self.model.curves, self.counts, strict=True) if counts)

    @property
    def names(self) -> tuple[str, ...]:
        """Of each reading of a curve that counts."""
        return tuple(f"{curve} at {at:g} mm" for curve in self.counted for at in curve.at.tolist())

    @property
    def doubts(self) -> Array:
        """One standard deviation of each reading of a curve that counts."""
        return replace(self.model, curves=self.counted).doubts if self.counted else np.zeros(0)

    @property
    def apart(self) -> float:
        """How many times their doubts curves and readings lie apart, where it is not known which is wrong; else 1."""
        return max((one.apart for one in self.misfits if one.disputed), default=1.0)


def fit_with_curves(every_row: ReadingRows, model: CurvesModel, alone: Fit) -> CurvesFit:
    """The least squares of readings and the curves that agree with them, from where the readings alone lie."""
    told = judged_curves(every_row, model, alone)
    # Where nothing but a curve tells where a point lies, it is wanted all the same.
    counts = tuple(bool(alone.null_space.size) or not told.accused(one) for one in model.curves)
    counted = tuple(one for one, counting in zip(model.curves, counts, strict=True) if counting)
    solved = joint_fit(every_row, replace(model, curves=counted), alone.parameters) if counted else alone
    before, after = (_at_zero(model, one.parameters) for one in (alone, solved))
    return CurvesFit(model, solved, before, after, counts, told.chances, told.misfits)


def _at_zero(model: CurvesModel, parameters: Array) -> tuple[Array, ...]:
    shown = model.shown(parameters)
    return tuple(one + (curve.reads - one).mean() for curve, one in zip(model.curves, shown, strict=True))
