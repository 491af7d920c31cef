"""Which numbers doubt is carried through to: those of an axle at ride height and over its sweeps."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.given_numbers import angles, in_a_row, lengths
from kinematics.car.limits import WorkingRange
from kinematics.motion.moving_axle import MovingAxle
from kinematics.numbers.outer_share import USUAL, OuterShare
from kinematics.numbers.quantity import Where
from kinematics.numbers.registry import keys_shown
from kinematics.sweeps.asked import Asked, made_ready, over_attitudes, over_travel, over_working
from kinematics.sweeps.body import Sweep, sweep_bump, sweep_roll
from kinematics.sweeps.rack import sweep_steer
from kinematics.sweeps.sweep_job import FINE, between
from solvers.read_only import ReadOnly
from solvers.vectors import Array

Place = Literal["ride height", "bump", "roll", "steer"]
NumberAt = tuple[Place, str]


def nothing() -> Array:
    """No states at all (0,)."""
    return np.zeros(0)


@dataclass(frozen=True, repr=False)
class Question(ReadOnly):
    """Where an axle's numbers are wanted.

    travel: (S,) [mm], roll: (S,) [rad], and rack: (S,) [mm], empty for an axle that is not steered. At ride height
    numbers are told besides, whatever is asked.
    """

    travel: Array = field(default_factory=nothing)
    roll: Array = field(default_factory=nothing)
    rack: Array = field(default_factory=nothing)
    outer_share: OuterShare = USUAL

    def __post_init__(self) -> None:
        for name, read in (("travel", lengths), ("roll", angles), ("rack", lengths)):
            object.__setattr__(self, name, in_a_row(read(getattr(self, name), name), name))
        super().__post_init__()

    def __repr__(self) -> str:
        return f"<question: {self.travel.size} travels, {self.roll.size} rolls, {self.rack.size} rack travels>"

    @property
    def asked(self) -> tuple[Asked, Asked]:
        """What it asks of an axle."""
        return over_travel(*self.travel), over_attitudes(np.zeros(1), self.roll)

    def ready(self, axle: Axle, working: WorkingRange | None = None) -> MovingAxle:
        """The axle ready to move over all that is asked, and over a working range: its path is traced once."""
        return made_ready(axle, *self.asked, *(over_working(working) if working else ()))

    def sweeps(self, corners: MovingAxle) -> dict[Place, Sweep]:
        """The sweeps asked for, of an axle that is ready or a batch of axles, real or with tangents."""
        share = self.outer_share
        found: dict[Place, Sweep] = {"ride height": sweep_bump(corners, np.zeros(1), outer_share=share)}
        if self.travel.size:
            found["bump"] = sweep_bump(corners, self.travel, outer_share=share)
        if self.roll.size:
            found["roll"] = sweep_roll(corners, self.roll, outer_share=share)
        if self.rack.size:
            found["steer"] = sweep_steer(corners, self.rack, outer_share=share)
        return found

    def curves(self, corners: MovingAxle) -> dict[Place, Sweep]:
        """An axle that is ready, in bump and in roll as finely as it is drawn."""
        fine = replace(self, travel=between(self.travel, FINE), roll=between(self.roll, FINE), rack=np.zeros(0))
        return fine.sweeps(corners)


DRAWN = keys_shown(Where.WITH_BAND)
AT_RIDE_HEIGHT = Question()


def by_place(sweeps: Mapping[Place, Sweep]) -> dict[NumberAt, Array]:
    """The values of sweeps by place and key."""
    return {(place, key): values for place, sweep in sweeps.items() for key, values in sweep.values.items()}
