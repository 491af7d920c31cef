"""Whether curves agree with what the readings alone make of the car, and if not, what would make them agree.

A curve that does not is set against the slips of a gauge and against points that lie elsewhere (`curve_slips`). Where a
slip of the gauge alone explains it, the readings disprove the curve; else it is not known which of the two is wrong.
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy.stats import chi2

from kinematics.survey.curve_agreement import CurvesModel, CurvesOff, curves_off
from kinematics.survey.curve_slips import (
    AGREES,
    CurveCause,
    CurveSlip,
    TriedSlip,
    as_likely,
    gauge_slips,
    moved_points,
)
from kinematics.survey.curves import Curve
from kinematics.survey.joint_fit import joint_fit
from kinematics.survey.readings import ReadingRows
from solvers.least_squares import Fit

_CLEARLY = 4.0  # standard deviations by which a point must seem to lie elsewhere, of some twenty coordinates
_UNEXPLAINED = (CurveSlip(CurveCause.UNKNOWN),)


@dataclass(frozen=True)
class CurveMisfit:
    """Curves that do not agree with the readings: which, the chance of that, and what would make them agree.

    slips: the likeliest first, and those nearly as likely. apart: how many times their doubts curves and readings lie
    apart, the square root of chi-square over its freedoms (R. T. Birge, 1932, from memory): of one point, one.
    """

    curves: tuple[Curve, ...]
    chance: float
    slips: tuple[CurveSlip, ...]
    apart: float

    @property
    def disputed(self) -> bool:
        """Whether it is not known which is wrong, curves or readings."""
        return any(one.cause in (CurveCause.MOVED, CurveCause.UNKNOWN) for one in self.slips)


@dataclass(frozen=True)
class JudgedCurves:
    """chances: how likely each curve is so far off what the readings alone make of it, or farther."""

    chances: tuple[float, ...]
    misfits: tuple[CurveMisfit, ...]

    def accused(self, curve: Curve) -> bool:
        """Whether a curve does not agree."""
        return any(curve is one for misfit in self.misfits for one in misfit.curves)


def judged_curves(every_row: ReadingRows, model: CurvesModel, alone: Fit) -> JudgedCurves:
    """What does not agree with the readings, which alone give a fit, and what would make it."""
    if alone.null_space.size:
        return _all_at_once(every_row, model, alone)
    singly = [replace(model, curves=(curve,)) for curve in model.curves]
    chances = tuple(_chance(every_row, one, alone) for one in singly)
    told: list[CurveMisfit] = []
    left: list[Curve] = []
    off: list[Curve] = []
    tried: list[TriedSlip] = []
    for one, chance in zip(singly, chances, strict=True):
        if chance < AGREES:
            asked = _off(one, alone)
            slips = list(gauge_slips(one, alone, asked))
            misfit = _misfit(one.curves, chance, [*slips, *moved_points(one, asked)], asked)
            if not misfit.disputed:
                told.append(misfit)
                continue
            tried += slips
            off += one.curves
        left += one.curves
    if left:
        together = replace(model, curves=tuple(left))
        chance = chances[0] if len(chances) == 1 else _chance(every_row, together, alone)
        told += _of_points(together, alone, chance, tuple(off), tried)
    return JudgedCurves(chances, tuple(told))


def _of_points(
    model: CurvesModel, alone: Fit, chance: float, off: tuple[Curve, ...], tried: list[TriedSlip]
) -> list[CurveMisfit]:
    """What is wrong with points, of all curves together that may tell of them.

    off: those that do not agree. tried: slips of the gauge that read them.
    """
    asked = _off(model, alone)
    points = list(moved_points(model, asked))
    clearly = any(_clear(one) for one in points if one.explains)
    if not (off or chance < AGREES or clearly):
        return []
    accused = off or model.curves
    if not off and len(accused) == 1:
        tried = list(gauge_slips(model, alone, asked))
    return [_misfit(accused, chance, [*(tried if len(accused) == 1 else []), *points], asked)]


def _clear(one: TriedSlip) -> bool:
    moved = one.slip.moved
    return moved is not None and abs(moved.by) > _CLEARLY * moved.known_to


def _misfit(curves: tuple[Curve, ...], chance: float, tried: list[TriedSlip], asked: CurvesOff) -> CurveMisfit:
    # What one point explains has one freedom, else as many as there are readings beyond the zeros.
    of_points = (one.taken for one in tried if one.explains and one.slip.cause is CurveCause.MOVED)
    apart = max(1.0, asked.chi_square / asked.off.size, *of_points)
    return CurveMisfit(curves, chance, as_likely(tried) or _UNEXPLAINED, float(np.sqrt(apart)))


def _off(model: CurvesModel, alone: Fit) -> CurvesOff:
    return curves_off(model, alone.parameters, alone.covariance)


def _chance(every_row: ReadingRows, model: CurvesModel, alone: Fit) -> float:
    """How likely curves are so far off. Where points are known so badly that no straight law holds, a fit tells."""
    straight = _off(model, alone).chance
    return straight if straight >= AGREES else max(straight, _chance_by_fit(every_row, model, alone)[0])


def _chance_by_fit(every_row: ReadingRows, model: CurvesModel, alone: Fit) -> tuple[float, float]:
    """The chance of what fitting curves as well adds to chi-square, and that over its freedoms."""
    more = max(0.0, joint_fit(every_row, model, alone.parameters).chi_square - alone.chi_square)
    freedoms = sum(curve.at.size - 1 for curve in model.curves) - alone.null_space.shape[-1]
    return (float(chi2.sf(more, freedoms)), more / freedoms) if freedoms > 0 else (1.0, 0.0)


def _all_at_once(every_row: ReadingRows, model: CurvesModel, alone: Fit) -> JudgedCurves:
    """Of curves without which points stay open, by what fitting them adds to chi-square."""
    chance, over = _chance_by_fit(every_row, model, alone)
    chances = (chance,) * len(model.curves)
    if chance >= AGREES:
        return JudgedCurves(chances, ())
    return JudgedCurves(chances, (CurveMisfit(model.curves, chance, _UNEXPLAINED, float(np.sqrt(over))),))
