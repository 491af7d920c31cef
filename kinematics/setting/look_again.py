"""Readings after a set-up to be looked at again before anything is turned by them, and what may have slipped."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum

from kinematics.car.fittings import Adjusters
from kinematics.car.lengths import INCH, LengthUnit
from kinematics.car.units import Units
from kinematics.setting.set_up import Adjuster, Entry, Measure

# Farther off than a car that was just set comes out: common practice, no source.
FAR_OFF: Mapping[Measure, float] = {
    Measure.HEIGHT: 30.0,  # mm
    Measure.LOAD: 60.0,  # kg
    Measure.CAMBER: math.radians(1.5),
    Measure.TOE: math.radians(1.0),
    Measure.BUMP_STEER: math.radians(1.0),
}
_ROUNDING = 1e-9
_NEARER = 0.25  # of how far a reading is off: what a slip must leave at most, to be asked about


class Slip(Enum):
    """What may have happened to a number as it was written."""

    SIGN = "its sign is lost"
    A_LENGTH = "it is a length over the tyre, in the owner's unit, and no angle"
    OTHER_UNIT = "it is in the other system's unit"


@dataclass(frozen=True)
class LookAgain:
    """Why a reading is to be looked at again.

    off: read less planned [mm, kg, rad]. turned: what would be turned for it, None where nothing has its own adjuster.
    reach: of that adjuster, from where it was measured [mm, rad], None where it would stay within it. slip: None where
    no slip would bring the reading near.
    """

    off: float
    turned: Adjuster | None
    reach: tuple[float, float] | None
    slip: Slip | None


def look_again(
    entry: Entry, read: float, again: Adjuster | None, adjusters: Adjusters, unit: LengthUnit
) -> LookAgain | None:
    """Say why a reading [mm, kg, rad] that is off is to be looked at again; None where it is to be believed.

    again: what would be turned for it; adjusters: of its axle; unit: of the car's owner.
    """
    off = read - entry.planned
    reach = None if again is None else _left(entry, again, adjusters)
    if reach is None and abs(off) <= FAR_OFF[entry.measure]:
        return None
    tried = {abs(other - entry.planned): slip for slip, other in _as_meant(entry, read, unit)}
    nearest = min(tried, default=math.inf)
    return LookAgain(off, again, reach, tried[nearest] if nearest <= _NEARER * abs(off) else None)


def _left(entry: Entry, again: Adjuster, adjusters: Adjusters) -> tuple[float, float] | None:
    """The range of an adjuster that would leave it, None where it stays within."""
    low, high = adjusters.toe_link if entry.measure is Measure.TOE else adjusters.camber_range
    at = again.by + (0.0 if entry.adjuster is None else entry.adjuster.by)
    return None if low - _ROUNDING <= at <= high + _ROUNDING else (low, high)


def _as_meant(entry: Entry, read: float, unit: LengthUnit) -> Iterator[tuple[Slip, float]]:
    """What a reading would be, for each slip that its measure allows [mm, kg, rad]."""
    if entry.measure is Measure.HEIGHT:
        yield from ((Slip.OTHER_UNIT, read * factor) for factor in (INCH.in_mm, 1.0 / INCH.in_mm))
    elif entry.measure is Measure.LOAD:
        yield from ((Slip.OTHER_UNIT, read * factor) for factor in (Units(INCH).mass, 1.0 / Units(INCH).mass))
    else:
        yield Slip.SIGN, -read
        if entry.over is not None and abs(unit.to_mm(math.degrees(read))) < entry.over:
            yield Slip.A_LENGTH, math.asin(unit.to_mm(math.degrees(read)) / entry.over)
