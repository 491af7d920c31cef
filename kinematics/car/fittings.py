"""What a car's owner knows of its fittings besides its points: adjusters, travel stops, joints, centre of gravity."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from solvers.vectors import Array

CamberBy = Literal["none", "strut top", "strut bolts", "lower arm", "upper arm"]


@dataclass(frozen=True)
class Adjusters:
    """How the car is aligned, and how far each adjuster goes from where it was measured.

    toe_link: shortest and longest change of the tie rod [mm]. camber_by: what sets camber; camber_range: its
    range, outward or longer positive [mm], or for bolts [rad], the strut's top leaning out positive.
    """

    toe_link: tuple[float, float] = (-math.inf, math.inf)
    camber_by: CamberBy = "none"
    camber_range: tuple[float, float] = (-math.inf, math.inf)


@dataclass(frozen=True)
class Fittings:
    """Fittings of one axle.

    bump_stop, droop_stop: wheel travel from the measured ride height to each stop [mm], both positive, None
    where not known. joint_angles: largest angle a joint may turn from where it was measured [rad], by point.
    inboard_brakes: their torque goes to the body through half-shafts, not to the part that carries the wheel.
    rack_travel: from straight ahead to full lock [mm], None where not known.
    """

    adjusters: Adjusters = Adjusters()
    bump_stop: float | None = None
    droop_stop: float | None = None
    joint_angles: Mapping[str, float] = field(default_factory=dict)
    inboard_brakes: bool = False
    rack_travel: float | None = None


@dataclass(frozen=True)
class Body:
    """The car between its axles, as measured; None what is not known.

    centre_of_gravity: of the sprung mass, height over the ground [mm], a float or one for each variant
    (...); behind_front: how far it lies behind the
    front wheel centres [mm]. front_brakes, front_drive: the front axle's part of the braking and the driving force.
    """

    centre_of_gravity: float | Array | None = None
    behind_front: float | None = None
    wheelbase: float | None = None
    front_brakes: float | None = None
    front_drive: float | None = None

    def raised(self, by: float | Array) -> "Body":
        """The same body higher over the ground by an amount, or by one for each variant (...) [mm]."""
        height = self.centre_of_gravity
        return self if height is None else replace(self, centre_of_gravity=height + np.asarray(by))

    def variant(self, index: int) -> "Body":
        """The body of one variant."""
        height = np.asarray(self.centre_of_gravity)
        return replace(self, centre_of_gravity=float(height[index])) if height.ndim else self
