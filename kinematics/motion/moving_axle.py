"""An axle ready to be moved, whatever its suspension: independent corners, or a live axle."""

from collections.abc import Iterator
from typing import Protocol

from kinematics.car.car import Axle
from kinematics.motion.corners import trace_corners
from kinematics.motion.ground import Attitude, Standing
from kinematics.motion.live_axle import LiveAxle
from kinematics.motion.reasons import Reason
from kinematics.motion.states import CornerStates
from solvers.vectors import Array, Flags


class MovingAxle(Protocol):
    """What moves an axle to wheel travels, or stands it on the ground."""

    @property
    def axle(self) -> Axle:
        """The axle as measured."""

    @property
    def reach(self) -> tuple[Array, Array]:
        """Lowest and highest travel (..., 2) [mm] within the range asked for, both wheels moved together."""

    def at(self, travel: Array) -> CornerStates:
        """States at wheel travel (..., 2, S) [mm], bump positive."""

    def stand(self, attitude: Attitude) -> Standing:
        """Find the travel of both wheels at which their contact points lie on level ground."""

    def why_short(self, states: CornerStates, side: int, *, low: bool) -> Reason:
        """Why some of these states could not be reached, in droop (low) or in bump."""

    def told_apart(self, states: CornerStates, lost: Flags) -> Iterator[tuple[Flags, Reason]]:
        """States (S,) of those lost that have a reason of their own, with it; for one axle."""


def moving(axle: Axle, low: float, high: float) -> MovingAxle:
    """Make an axle ready to move over wheel travel low..high [mm], as far as its linkage goes."""
    return LiveAxle(axle, low, high) if axle.suspension.whole_axle else trace_corners(axle, low, high)
