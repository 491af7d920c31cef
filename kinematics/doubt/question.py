"""Which numbers are asked for when doubt is carried through: those of an axle at ride height and over its sweeps."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.limits import WorkingRange
from kinematics.motion.moving_axle import MovingAxle
from kinematics.numbers.stance import DEFAULT_OUTER_SHARE
from kinematics.sweeps.asked import Asked, made_ready, over_attitudes, over_travel, over_working
from kinematics.sweeps.body import Sweep, sweep_bump, sweep_roll
from kinematics.sweeps.rack import sweep_steer
from solvers.vectors import Array

Place = Literal["ride height", "bump", "roll", "steer"]
NumberAt = tuple[Place, str]


@dataclass(frozen=True)
class Question:
    """Where an axle's numbers are wanted: over travel [mm] and roll [rad], both with zero among them, and rack [mm].

    rack is empty for an axle that is not steered.
    """

    travel: Array
    roll: Array
    rack: Array
    outer_share: float = DEFAULT_OUTER_SHARE

    @property
    def asked(self) -> tuple[Asked, Asked]:
        """What it asks of an axle."""
        return over_travel(*self.travel), over_attitudes(np.zeros(1), self.roll)

    def ready(self, axle: Axle, working: WorkingRange | None = None) -> MovingAxle:
        """The axle ready to move over all that is asked, and over a working range: its path is traced once."""
        return made_ready(axle, *self.asked, *(over_working(working) if working else ()))

    def sweeps(self, corners: MovingAxle) -> dict[Place, Sweep]:
        """Sweeps of an axle that is ready, or of a batch of axles, real or with tangents."""
        share = self.outer_share
        found: dict[Place, Sweep] = {"ride height": sweep_bump(corners, np.zeros(1), outer_share=share)}
        if self.travel.size:
            found["bump"] = sweep_bump(corners, self.travel, outer_share=share)
        if self.roll.size:
            found["roll"] = sweep_roll(corners, self.roll, outer_share=share)
        if self.rack.size:
            found["steer"] = sweep_steer(corners, self.rack, outer_share=share)
        return found


DRAWN = ("roll_centre_height", "camber", "toe")  # curves that are drawn with a band
AT_RIDE_HEIGHT = Question(np.zeros(0), np.zeros(0), np.zeros(0))


def by_place(sweeps: Mapping[Place, Sweep]) -> dict[NumberAt, Array]:
    """Sweeps' values by where they are and what they are."""
    return {(place, key): values for place, sweep in sweeps.items() for key, values in sweep.values.items()}
