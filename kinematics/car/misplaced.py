"""Where no car has its points: on the wrong side, under the ground, out of reach. Of one car or of many at once.

Places are (ahead, out, up) (..., 3) [mm], as their owner measures them: `out` from the centre plane, positive on both
sides, of a point that both sides share to the left.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from kinematics.car.suspension_type import Point, SuspensionType
from kinematics.car.uncertainty import WAYS
from solvers.vectors import Array, Flags

Told = Callable[[float], str]

_WHEEL_HEIGHTS = (120.0, 600.0)  # mm: from a kart's wheel to a truck's
_HALF_TRACKS = (250.0, 1500.0)  # mm
_FARTHEST_AHEAD = 900.0  # mm from the axle line
_FARTHEST_OUT, _HIGHEST = 2000.0, 2500.0  # mm from the centre plane, over the ground
_FARTHEST_LISTED = 2000.0  # mm; a free linkage may reach farther
_IN_THE_MIDDLE = 100.0  # mm from the centre plane
_AHEAD, _OUT, _UP = range(3)


@dataclass(frozen=True)
class Misplaced:
    """A coordinate that no car has: its way (0 ahead, 1 out, 2 up), in which cars (...), and what is the matter.

    why: the words behind "read so much".
    """

    way: int
    wrong: Flags
    why: str

    @property
    def way_name(self) -> str:
        """Its way in words."""
        return WAYS[self.way]


def missized(wheel: Array, told: Told) -> Iterator[Misplaced]:
    """Wheel centres (..., 3) that are no car's; told: writes a length [mm]."""
    for way, (low, high) in ((_OUT, _HALF_TRACKS), (_UP, _WHEEL_HEIGHTS)):
        size = np.abs(wheel[..., way])
        yield Misplaced(way, ~((size >= low) & (size <= high)), f"{told(low)} to {told(high)} is allowed")


def misplaced(kind: SuspensionType, point: Point, place: Array, told: Told) -> Iterator[Misplaced]:
    """What is wrong with a point's places (..., 3); told: writes a length [mm]."""
    # Parts in the middle of the car may well reach over the centre plane.
    if not point.single and abs(point.typical[_OUT]) > _IN_THE_MIDDLE:
        why = "the point is on the wrong side: `out` is positive on both sides"
        yield Misplaced(_OUT, place[..., _OUT] < 0.0, why)
    for way, most in ((_OUT, _FARTHEST_OUT), (_UP, _HIGHEST)):
        if point.key != "wheel_centre":
            yield Misplaced(way, np.abs(place[..., way]) > most, f"at most {told(most)} is allowed")
    yield Misplaced(_UP, place[..., _UP] < 0.0, "the point is under the ground")
    farthest = _FARTHEST_LISTED if kind.listed else max(_FARTHEST_AHEAD, 2.0 * abs(point.typical[_AHEAD]))
    why = f"at most {told(farthest)} from this axle's wheel centres is allowed"
    yield Misplaced(_AHEAD, np.abs(place[..., _AHEAD]) > farthest, why)


def within_pivots(joint: Array, pivots: tuple[Array, Array]) -> Flags:
    """Where a ball joint (..., 3) does not lie outboard of its arm's pivots (..., 3)."""
    out = joint[..., _OUT]
    return (out >= 0.0) & (out <= np.maximum(*(pivot[..., _OUT] for pivot in pivots)))


def joint_within_pivots(pivots: tuple[Array, Array], told: Told) -> str:
    """What is the matter with such a ball joint of one car, the words behind "read so much"."""
    innermost = max(float(pivot[_OUT]) for pivot in pivots)
    return f"the ball joint must lie outboard of its arm's pivots (out {told(innermost)})"
