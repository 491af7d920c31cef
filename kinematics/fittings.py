"""What a car's owner knows of its fittings besides its points: adjusters, travel stops, joints, centre of gravity."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

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
    """

    adjusters: Adjusters = Adjusters()
    bump_stop: float | None = None
    droop_stop: float | None = None
    joint_angles: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Body:
    """The sprung mass: height of its centre of gravity over the ground as measured [mm], None if not known."""

    centre_of_gravity: float | None = None
