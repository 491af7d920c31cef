"""Whether a plan's springs have room: coil bound, loose or relieved by a bump stop within the working travel."""

from collections.abc import Iterator

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.limits import WorkingRange
from kinematics.loads.setup import AxleSetup
from kinematics.planning.refusal import Cause, Refusal
from kinematics.planning.settling import Rigged

_SAMPLES = 41  # of the droop travel; between them the spring's force is as good as straight
_FIRM = 1.0  # N; a stop that is just touched carries nobody


def spring_refusals(found: Rigged, working: WorkingRange) -> Iterator[Refusal]:
    """Springs of a car on its wheels that run out within the working travel, each corner and cause once."""
    for setup in found.car.axles:
        for side, name in enumerate(SIDE_NAMES):
            for cause, amount, allowed in _of_corner(setup, side, working):
                yield Refusal(cause, setup.axle.name, name, amount=amount, allowed=allowed)


def _of_corner(
    setup: AxleSetup, side: int, working: WorkingRange
) -> Iterator[tuple[Cause, float, tuple[float, float]]]:
    travel = np.concatenate([[working.travel_high], np.linspace(0.0, working.travel_low, _SAMPLES)])
    states = setup.moving.at(np.ones((2, 1)) * travel)
    spring, stop = setup.loads.spring, float(setup.forces(states).stop[side, 1])
    pressed = setup.pressed(states)[side]
    if spring.free_length is not None and spring.block_length is not None:
        free, block = (float(np.broadcast_to(length, 2)[side]) for length in (spring.free_length, spring.block_length))
        if free - pressed[0] <= block:
            yield Cause.SPRING_SOLID, float(free - pressed[0]), (block, np.inf)
    loose = np.flatnonzero(pressed[1:] <= 0.0)
    if loose.size:
        yield Cause.SPRING_LOOSE, float(travel[1:][loose[0]]), (working.travel_low, 0.0)
    if stop > _FIRM:
        yield Cause.CARRIED_BY_STOP, stop, (0.0, 0.0)
