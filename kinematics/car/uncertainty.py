"""What is uncertain about an axle: coordinates and wheel angles, and how far each source of doubt shifts them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.car.sides import SIDE_NAMES
from solvers.read_only import ReadOnly
from solvers.vectors import Array

WAYS = ("ahead", "out", "up")
ANGLES = ("camber", "toe")
GRAVITY_HEIGHT, WHEELBASE, OUTER_SHARE = "centre_of_gravity", "wheelbase", "outer_share"  # of the whole car


@dataclass(frozen=True)
class Coordinate:
    """One doubtful number: a point's key and way, or an angle ("camber", "toe") with an empty way.

    sides: the sides that share it, 0 left, 1 right. A point on both sides is mirrored, `out` being positive on each;
    for a single point in the middle, `out` counts to the left.
    """

    of: str
    way: str
    sides: tuple[int, ...] = (0, 1)

    def __str__(self) -> str:
        """In words: `left lower_ball_joint up`, without the side where both share it."""
        side = SIDE_NAMES[self.sides[0]] if len(self.sides) == 1 else ""
        return " ".join(part for part in (side, self.of, self.way) if part)


@dataclass(frozen=True, repr=False)
class Doubt(ReadOnly):
    """Doubt of an axle's coordinates [mm, rad], all of it from independent sources.

    influence: (n, m), how far one standard deviation of each of m sources shifts each of n coordinates; sources: their
    names. The covariance is influence times its transpose. of_others: the file that tells it, where that was written
    for other points than these. scatter: how many times their doubts the readings behind it scatter, where they do not
    agree; it is counted in already.
    """

    coordinates: tuple[Coordinate, ...]
    influence: Array
    sources: tuple[str, ...]
    of_others: str = ""
    scatter: float = 1.0

    def __repr__(self) -> str:
        return f"<doubt of {len(self.coordinates)} coordinates from {len(self.sources)} sources>"

    @property
    def readings_disagree(self) -> bool:
        """Whether the readings behind it do not agree."""
        return self.scatter > 1.0

    @property
    def covariance(self) -> Array:
        """Covariance of the coordinates (n, n) [mm^2, rad^2, mm rad]."""
        return np.asarray(self.influence @ self.influence.T)

    @property
    def standard_deviation(self) -> Array:
        """One standard deviation of each coordinate (n,) [mm, rad]."""
        return np.asarray(np.sqrt((self.influence**2).sum(axis=1)))


def independent(coordinates: Sequence[Coordinate], standard_deviations: Sequence[float]) -> Doubt:
    """Doubt of coordinates that were each measured separately, standard deviations [mm, rad]."""
    return Doubt(tuple(coordinates), np.diag(standard_deviations), tuple(str(one) for one in coordinates))
