"""All that is going to be asked of an axle, so that its path is traced once, over the union of it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.limits import WorkingRange
from kinematics.motion.ground import Attitude, attitude_at, expected_travel
from kinematics.motion.moving_axle import MovingAxle, moving
from solvers.vectors import Array


@dataclass(frozen=True)
class Asked:
    """Wheel travels (T,) [mm] and attitudes (S,) that an axle is to be moved to; the ends of a range will do."""

    travel: Array
    attitude: Attitude


def over_travel(*travel: float) -> Asked:
    """The wheels moved to travels [mm] with the body level."""
    return Asked(np.array(travel), Attitude(np.zeros(0), np.zeros(0)))


def over_attitudes(heave: Array, roll: Array, pitch: float = 0.0) -> Asked:
    """The body standing at all heaves (H,) [mm] with all rolls (R,) [rad], at one pitch [rad]."""
    raised, rolled = np.meshgrid(heave, roll, indexing="ij")
    return Asked(np.zeros(0), attitude_at(raised.reshape(-1), rolled.reshape(-1), pitch))


def over_working(working: WorkingRange) -> tuple[Asked, Asked]:
    """What a verdict asks: the working travel, and the working roll at ride height and with the body at its ends."""
    roll = np.array([-working.roll, working.roll])
    heave = np.array([-working.travel_high, 0.0, -working.travel_low])
    return over_travel(working.travel_low, working.travel_high), over_attitudes(heave, roll)


def made_ready(axle: Axle, *asked: Asked) -> MovingAxle:
    """The axle, or a batch of axles, ready to stand at ride height and to move over all that is asked."""
    heave = np.concatenate([np.zeros(1), *(one.attitude.heave for one in asked)])
    roll = np.concatenate([np.zeros(1), *(one.attitude.roll for one in asked)])
    low, high = expected_travel(axle, Attitude(heave, roll, _pitches([one.attitude for one in asked])))
    travel = np.concatenate([np.zeros(1), *(one.travel for one in asked)])
    return moving(axle, min(low, float(travel.min())), max(high, float(travel.max())))


def _pitches(attitudes: Sequence[Attitude]) -> Array | None:
    """Pitch at ride height and then of all attitudes (S,); None where none of them pitches."""
    if all(one.pitch is None for one in attitudes):
        return None
    own = (np.zeros_like(one.heave) if one.pitch is None else one.pitch for one in attitudes)
    return np.concatenate([np.zeros(1), *own])
