"""An axle as a plan leaves it."""

from dataclasses import dataclass

from kinematics.car.car import Axle
from kinematics.planning.refusal import Refusal
from solvers.vectors import Array


@dataclass(frozen=True, repr=False)
class ChangedAxle:
    """One axle after a plan: re-aligned, and how far the adjusters went (2,) [mm; rad for strut bolts].

    rotation: of each upright since measured (2, 3, 3). raised: by how much the body stands higher over the ground [mm];
    pitch: its turn about the lateral axis, nose down positive [rad]. Points on the chassis rise and turn with it,
    beside what a plan moves. refusals: why it cannot be built; empty if it can.
    """

    axle: Axle
    rotation: Array
    toe_link: Array
    camber: Array
    raised: float
    pitch: float
    refusals: tuple[Refusal, ...]

    def __repr__(self) -> str:
        built = f"cannot be built, {len(self.refusals)} reasons" if self.refusals else f"body {self.raised:+z.1f} mm"
        return f"<{self.axle.name} {self.axle.suspension.name} after a plan: {built}>"
