"""What may have gone wrong with a curve that does not agree with the readings, and what may be wrong with the points.

What the readings alone make of a curve is known as well as they know the points. A curve that lies farther off than
that was read with a sign turned, in another unit or of both wheels together, with a gauge that jumped, or tells of a
point that lies elsewhere than it was read. Each is tried with the covariance of both, and gauge and points are weighed
alike: by how likely the curve is then, where a free amount costs as much as it could have been otherwise (formula: the
integral over it of a normal likelihood).
"""

from collections.abc import Callable, Iterator
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
_AS_GOOD = 6.0  # of -2 log likelihood within which another slip would do as well: one twentieth as likely
_ELSEWHERE = 10.0  # mm, one standard deviation of how far a point may lie from where it was read (a guess, no source)
_JUMPED = {Dimension.ANGLE: np.radians(0.5), Dimension.LENGTH: 5.0}  # of how far a gauge jumps (a guess, no source)
_POINTS, _SLIPS = 3, 4  # told at most
_ANGLE_FACTORS = (60.0, 1.0 / 60.0)  # minutes for degrees, and back
_UNIT_FACTORS = (25.4, 1.0 / 25.4)
_FACTORS = np.geomspace(0.02, 50.0, 400)


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
        yield resized(factor, 1.0, CurveSlip(CurveCause.OTHER_UNIT, factor), _one_of(2))
    if curve.of == "toe":
        # Errors of two wheels add up as their squares do.
        yield resized(0.5, np.sqrt(0.5), CurveSlip(CurveCause.BOTH_WHEELS, 0.5), 0.0)
        # A length has the doubt that was typed with it, but is not known better than an angle.
        every = [resized(one, max(1.0, one), CurveSlip(CurveCause.LENGTH, one), 0.0) for one in _FACTORS.tolist()]
        gains = np.array([one.gain for one in every])
        best = int(np.argmax(gains))
        # Of all factors alike likely by their logarithms: the mean over them, for the likeliest.
        cost = -2.0 * float(np.log(np.exp(0.5 * (gains - gains[best])).mean()))
        # That readings lie closer together if they are divided is no proof beside a point, which moves them as freely.
        yield replace(every[best], gain=min(every[best].gain - cost, every[best].taken - _EXPLAINED))
    yield from _jumps(curve, asked)


def _of_travel(
    model: CurvesModel, solved: Fit, told: Callable[[CurvesOff, CurveSlip, float], TriedSlip]
) -> Iterator[TriedSlip]:
    (curve,) = model.curves
    others = [(-1.0, CurveSlip(CurveCause.TRAVEL_TURNED), 0.0)]
    others += [(factor, CurveSlip(CurveCause.TRAVEL_UNIT, factor), _one_of(2)) for factor in _UNIT_FACTORS]
    for factor, slip, cost in others:
        changed = replace(model, curves=(replace(curve, at=curve.at * factor),))
        if np.isfinite(changed.centred(solved.parameters)).all():
            yield told(curves_off(changed, solved.parameters, solved.covariance), slip, cost)


def _jumps(curve: Curve, asked: CurvesOff) -> Iterator[TriedSlip]:
    order = np.argsort(curve.at)
    for last, first in pairwise(order.tolist()):
        step = asked.basis.T @ np.where(curve.at >= curve.at[first], 1.0, 0.0)
        between = (float(curve.at[last]), float(curve.at[first]))
        within = float(_JUMPED[curve.dimension])
        taken, jump, known_to = asked.gained(step, within)
        slip = CurveSlip(CurveCause.JUMP, between=between, jump=jump)
        yield _with_one_more(asked, slip, taken, within / known_to, curve.at.size - 1)


def moved_points(model: CurvesModel, asked: CurvesOff) -> Iterator[TriedSlip]:
    """Each coordinate that may be another than the readings make it."""
    ways = model.unknown.hardpoint_rows
    for coordinate, way in zip(model.unknown.coordinates[: len(ways)], ways, strict=True):
        taken, by, known_to = asked.gained(asked.slopes @ way, _ELSEWHERE)
        slip = CurveSlip(CurveCause.MOVED, moved=MovedPoint(coordinate, by, known_to))
        yield _with_one_more(asked, slip, taken, _ELSEWHERE / known_to, len(ways))


def _with_one_more(asked: CurvesOff, slip: CurveSlip, taken: float, sharper: float, places: int) -> TriedSlip:
    """sharper: how many times better a free amount is known than before. places: where it could be as well."""
    chance = float(chi2.sf(asked.chi_square - taken, asked.off.size))
    return TriedSlip(taken - 2.0 * float(np.log(sharper)) - _one_of(places), taken, chance, slip)


def _one_of(several: int) -> float:
    """What it costs that it could have been any of several."""
    return 2.0 * float(np.log(several))


def as_likely(slips: Iterator[TriedSlip] | list[TriedSlip]) -> tuple[CurveSlip, ...]:
    """Those that explain all, the likeliest first, and those nearly as likely; of each cause one, of points three."""
    order = sorted((one for one in slips if one.explains), key=lambda one: -one.gain)
    told: list[CurveSlip] = []
    for one in order:
        alike = sum(other.cause is one.slip.cause for other in told)
        if one.gain < order[0].gain - _AS_GOOD or len(told) == _SLIPS:
            break
        if alike < (_POINTS if one.slip.cause is CurveCause.MOVED else 1) and not _says_the_same(one.slip, told):
            told.append(one.slip)
    return tuple(told)


def _says_the_same(slip: CurveSlip, told: list[CurveSlip]) -> bool:
    """Any factor says nothing beside one that has a reason."""
    factors = (CurveCause.BOTH_WHEELS, CurveCause.OTHER_UNIT)
    return slip.cause is CurveCause.LENGTH and any(one.cause in factors for one in told)
