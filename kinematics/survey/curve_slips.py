"""What may have gone wrong with a curve that does not agree with the readings, and what may be wrong with the points.

What the readings alone make of a curve is known as well as they know the points. A curve that lies farther off than
that was read with a sign turned, in another unit or of both wheels together, with a gauge that jumped, or tells of a
point that lies elsewhere than it was read. Each is tried with the covariance of both, gauge and points alike: by how
likely the curve is then (chi-square and determinant of a normal likelihood), less a price for each free amount.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise

import numpy as np
from scipy.stats import chi2

from kinematics.car.uncertainty import Coordinate
from kinematics.numbers.quantity import Dimension
from kinematics.survey.curve_agreement import CurvesModel, CurvesOff, curves_off
from kinematics.survey.curves import Curve
from solvers.least_squares import Fit

AGREES = 0.01  # chance below which curves do not agree with the readings
_CAN_BE = 0.001  # chance below which they do not agree with a slip put right either
_EXPLAINED = 10.0  # of chi-square that a slip must take away
_FREE = 10.0  # of chi-square that a free amount costs, as it could have been otherwise and elsewhere
_AS_GOOD = 4.0  # of chi-square within which another slip would do as well
_ELSEWHERE = 10.0  # mm, one standard deviation of how far a point may lie from where it was read (a guess, no source)
_POINTS = 3  # told at most
_ANGLE_FACTORS = (60.0, 1.0 / 60.0)  # minutes for degrees, and back
_UNIT_FACTORS = (25.4, 1.0 / 25.4)
# From a length, in mm or inches, to an angle in degrees: its ends 150 to 1000 mm apart (common practice, no source).
_LENGTHS = np.degrees(1.0) / np.geomspace(150.0, 1000.0, 100)
_FACTORS = np.concatenate([_LENGTHS, 25.4 * _LENGTHS])


class CurveCause(Enum):
    """What may be wrong with a curve."""

    TURNED = "turned"  # what was read counts the other way
    TRAVEL_TURNED = "travel turned"  # the travel counts the other way
    BOTH_WHEELS = "both wheels"  # toe of both wheels together
    OTHER_UNIT = "other unit"  # factor: how many times larger what is true is
    TRAVEL_UNIT = "travel unit"
    LENGTH = "length"  # at the gauge's plates or the rim, where an angle was wanted; factor: to the angle
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
class CurveSlip:
    """What would make curves and readings agree.

    factor: of what was read or its travels. between, jump: the two travels [mm] between which the gauge moved, and how
    far. moved: the point (MOVED).
    """

    cause: CurveCause
    factor: float = 1.0
    between: tuple[float, float] = (0.0, 0.0)
    jump: float = 0.0
    moved: MovedPoint | None = None


@dataclass(frozen=True)
class TriedSlip:
    """A slip that was tried: how much likelier it makes the curve (-2 log), less its cost; and what it leaves."""

    gain: float
    taken: float
    chance: float
    slip: CurveSlip

    @property
    def explains(self) -> bool:
        """Whether all agrees with it put right."""
        return self.taken > _EXPLAINED and self.chance >= _CAN_BE


def gauge_slips(model: CurvesModel, solved: Fit, asked: CurvesOff) -> Iterator[TriedSlip]:
    """Each that may have happened when the one curve of a model was read. asked: how far it is off."""
    (curve,) = model.curves

    def told(after: CurvesOff, slip: CurveSlip, cost: float) -> TriedSlip:
        taken = asked.chi_square - after.chi_square
        return TriedSlip(asked.score - after.score - cost, taken, after.chance, slip)

    def resized(factor: float, doubt: float, slip: CurveSlip, cost: float) -> TriedSlip:
        # Made smaller, readings lie closer together, and closer to anything.
        closer = 2.0 * asked.off.size * np.log(doubt / factor)
        return told(asked.multiplied(factor, doubt), slip, cost + closer)

    yield told(asked.multiplied(-1.0, 1.0), CurveSlip(CurveCause.TURNED), 0.0)
    yield from _of_travel(model, solved, told)
    for factor in _ANGLE_FACTORS if curve.dimension is Dimension.ANGLE else _UNIT_FACTORS:
        yield resized(factor, 1.0, CurveSlip(CurveCause.OTHER_UNIT, factor), 0.0)
    if curve.of == "toe":
        # Errors of two wheels add up as their squares do.
        yield resized(0.5, np.sqrt(0.5), CurveSlip(CurveCause.BOTH_WHEELS, 0.5), 0.0)
        # A length has the doubt that was typed with it, but is not known better than an angle.
        every = [resized(one, max(1.0, one), CurveSlip(CurveCause.LENGTH, one), _FREE) for one in _FACTORS.tolist()]
        best = max(every, key=lambda one: one.gain)
        # That readings lie closer together if they are divided is no proof beside a point, which moves them as freely.
        yield replace(best, gain=min(best.gain, best.taken - _FREE))
    yield from _jumps(curve, asked)


def _of_travel(
    model: CurvesModel, solved: Fit, told: Callable[[CurvesOff, CurveSlip, float], TriedSlip]
) -> Iterator[TriedSlip]:
    (curve,) = model.curves
    others = [(-1.0, CurveSlip(CurveCause.TRAVEL_TURNED))]
    others += [(factor, CurveSlip(CurveCause.TRAVEL_UNIT, factor)) for factor in _UNIT_FACTORS]
    for factor, slip in others:
        changed = replace(model, curves=(replace(curve, at=curve.at * factor),))
        if np.isfinite(changed.centred(solved.parameters)).all():
            yield told(curves_off(changed, solved.parameters, solved.covariance), slip, 0.0)


def _jumps(curve: Curve, asked: CurvesOff) -> Iterator[TriedSlip]:
    order = np.argsort(curve.at)
    for last, first in pairwise(order.tolist()):
        step = asked.basis.T @ np.where(curve.at >= curve.at[first], 1.0, 0.0)
        between = (float(curve.at[last]), float(curve.at[first]))
        taken, jump, _ = asked.gained(step)
        yield _with_one_more(asked, CurveSlip(CurveCause.JUMP, between=between, jump=jump), taken)


def moved_points(model: CurvesModel, asked: CurvesOff) -> Iterator[TriedSlip]:
    """Each coordinate that may be another than the readings make it."""
    ways = model.unknown.hardpoint_rows
    for coordinate, way in zip(model.unknown.coordinates[: len(ways)], ways, strict=True):
        taken, by, known_to = asked.gained(asked.slopes @ way, _ELSEWHERE)
        slip = CurveSlip(CurveCause.MOVED, moved=MovedPoint(coordinate, by, known_to))
        yield _with_one_more(asked, slip, taken)


def _with_one_more(asked: CurvesOff, slip: CurveSlip, taken: float) -> TriedSlip:
    chance = float(chi2.sf(asked.chi_square - taken, asked.off.size))
    return TriedSlip(taken - _FREE, taken, chance, slip)


def as_likely(slips: Iterable[TriedSlip]) -> tuple[CurveSlip, ...]:
    """Those that explain all, the likeliest first, and those nearly as likely; of each cause one, of points three.

    A point is told wherever it takes as much away, though it costs more: that a gauge's slip is simpler is no proof
    that the readings are right.
    """
    order = sorted((one for one in slips if one.explains), key=lambda one: -one.gain)
    told: list[CurveSlip] = []
    for one in order:
        cause = one.slip.cause
        near = (one.taken if cause is CurveCause.MOVED else one.gain) > order[0].gain - _AS_GOOD
        alike = sum(other.cause is cause for other in told)
        if near and alike < (_POINTS if cause is CurveCause.MOVED else 1):
            told.append(one.slip)
    return tuple(told)
