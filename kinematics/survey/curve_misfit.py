"""Whether curves agree with what the readings alone make of the car, and if not, what would make them agree.

What the readings alone make of a curve is known as well as they know the points. A curve that lies farther off than
that was read with a sign turned, in another unit, with a gauge that jumped, or tells of a point that lies elsewhere
than it was read: each is tried, and the one that leaves least is told (chi-square with the covariance of both).
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise

import numpy as np
from scipy.stats import chi2

from kinematics.car.uncertainty import Coordinate
from kinematics.numbers.quantity import Dimension
from kinematics.survey.curve_agreement import CurvesModel, CurvesOff, curves_off
from kinematics.survey.curves import Curve
from kinematics.survey.fit import SurveyFit, curves_model
from solvers.vectors import Array

AGREES = 0.01  # chance below which curves do not agree with the readings
_EXPLAINED = 10.0  # of chi-square that a cause must take away
_AS_GOOD = 4.0  # of chi-square within which a second point would do as well
_ELSEWHERE = 10.0  # mm, one standard deviation of how far a point may lie from where it was read (a guess, no source)
_TOLD = 3  # points at most
_CLEARLY = 4.0  # standard deviations by which a point must seem to lie elsewhere, of some twenty coordinates
_ANGLE_FACTORS = (60.0, 1.0 / 60.0)  # minutes for degrees, and back
_UNIT_FACTORS = (25.4, 1.0 / 25.4)


class CurveCause(Enum):
    """What may be wrong with a curve."""

    TURNED = "turned"  # what was read counts the other way
    TRAVEL_TURNED = "travel turned"  # the travel counts the other way
    OTHER_UNIT = "other unit"  # factor: how many times larger what is true is
    TRAVEL_UNIT = "travel unit"
    JUMP = "jump"  # the gauge moved between two readings
    MOVED = "moved"  # a point lies elsewhere than the readings make it
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class MovedPoint:
    """A point that would have to lie elsewhere: by how far [mm] one way, and one standard deviation of that."""

    coordinate: Coordinate
    by: float
    known_to: float


@dataclass(frozen=True)
class CurveMisfit:
    """Curves that do not agree with the readings: which, the chance of that, and what would make them agree.

    curves: all of the survey's where a point would have to lie elsewhere (`moved`, the likeliest first). factor: of
    what was read or its travels. between, jump: the two travels [mm] between which the gauge moved, and how far.
    """

    curves: tuple[Curve, ...]
    chance: float
    cause: CurveCause
    factor: float = 1.0
    between: tuple[float, float] = (0.0, 0.0)
    jump: float = 0.0
    moved: tuple[MovedPoint, ...] = ()


def curve_chances(found: SurveyFit) -> tuple[float, ...]:
    """How likely each curve is so far off what the readings alone make of it, or farther."""
    model = curves_model(found.survey, found.solved.parameters)
    return tuple(_off(found, replace(model, curves=(curve,))).chance for curve in model.curves)


def curve_misfits(found: SurveyFit) -> tuple[CurveMisfit, ...]:
    """What does not agree, and what would make it; nothing for curves that do, or that were not fitted."""
    if found.curved is None:
        return ()
    model = curves_model(found.survey, found.solved.parameters)
    together = _off(found, model)
    told = tuple(one for curve in model.curves for one in _of_curve(found, replace(model, curves=(curve,))))
    if told:
        return told
    moved = _moved(found, together)
    alarm = together.chance < AGREES or (moved and abs(moved[0].by) > _CLEARLY * moved[0].known_to)
    if not alarm:
        return ()
    cause = CurveCause.MOVED if moved else CurveCause.UNKNOWN
    return (CurveMisfit(model.curves, together.chance, cause, moved=moved),)


def _off(found: SurveyFit, model: CurvesModel) -> CurvesOff:
    return curves_off(model, found.solved.parameters, found.solved.covariance)


def _of_curve(found: SurveyFit, model: CurvesModel) -> Iterator[CurveMisfit]:
    """What is wrong with one curve by itself, if it is clearly so."""
    asked = _off(found, model)
    if asked.chance >= AGREES:
        return
    score, left, told = min(_mistakes(found, model, asked), key=lambda one: one[0])
    # What a point elsewhere explains as well is no mistake of the gauge.
    moved = max((asked.gained(asked.slopes @ way, _ELSEWHERE)[0] for way in _ways(found)), default=0.0)
    gain = asked.score - score
    if gain > _EXPLAINED and gain > moved + _AS_GOOD and chi2.sf(left, asked.off.size) >= AGREES:
        yield replace(told, chance=asked.chance)


def _mistakes(found: SurveyFit, model: CurvesModel, asked: CurvesOff) -> Iterator[tuple[float, float, CurveMisfit]]:
    """Score and chi-square that would be left with each mistake put right."""
    (curve,) = model.curves
    at = found.solved.parameters

    def tried(other: Curve, told: CurveMisfit) -> Iterator[tuple[float, float, CurveMisfit]]:
        changed = replace(model, curves=(other,))
        if np.isfinite(changed.centred(at)).all():
            off = _off(found, changed)
            # Made smaller, readings lie closer together, and closer to anything.
            closer = 2.0 * off.off.size * np.log(told.factor) if told.cause is CurveCause.OTHER_UNIT else 0.0
            yield off.score - closer, off.chi_square, told

    def named(cause: CurveCause, factor: float = 1.0) -> CurveMisfit:
        return CurveMisfit((curve,), asked.chance, cause, factor)

    yield from tried(replace(curve, reads=-curve.reads), named(CurveCause.TURNED))
    yield from tried(replace(curve, at=-curve.at), named(CurveCause.TRAVEL_TURNED))
    for factor in _ANGLE_FACTORS if curve.dimension is Dimension.ANGLE else _UNIT_FACTORS:
        yield from tried(replace(curve, reads=curve.reads * factor), named(CurveCause.OTHER_UNIT, factor))
    for factor in _UNIT_FACTORS:
        yield from tried(replace(curve, at=curve.at * factor), named(CurveCause.TRAVEL_UNIT, factor))
    order = np.argsort(curve.at)
    for last, first in pairwise(order.tolist()):
        step = asked.basis.T @ np.where(curve.at >= curve.at[first], 1.0, 0.0)
        gain, jump, _ = asked.gained(step)
        between = (float(curve.at[last]), float(curve.at[first]))
        yield asked.score - gain, asked.chi_square - gain, replace(named(CurveCause.JUMP), between=between, jump=jump)


def _ways(found: SurveyFit) -> Array:
    """Of each hardpoint's coordinates, how the parameters follow (coordinates, n)."""
    return found.survey.unknowns.hardpoint_rows


def _moved(found: SurveyFit, off: CurvesOff) -> tuple[MovedPoint, ...]:
    """Coordinates that would have to be others, the likeliest first, and those that would do nearly as well."""
    coordinates = found.survey.unknowns.coordinates
    gains = [off.gained(off.slopes @ way, _ELSEWHERE) for way in _ways(found)]
    order = sorted(range(len(gains)), key=lambda one: -gains[one][0])
    best = gains[order[0]][0] if order else 0.0
    if best < _EXPLAINED:
        return ()
    near = [one for one in order if gains[one][0] > best - _AS_GOOD]
    return tuple(MovedPoint(coordinates[one], *gains[one][1:]) for one in near[:_TOLD])
