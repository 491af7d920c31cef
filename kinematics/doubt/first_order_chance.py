"""How likely an axle's limits hold, quickly: to first order in the doubt of its points."""

import numpy as np

from kinematics.car.limits import Limits
from kinematics.judging.verdict import working_sweeps
from kinematics.motion.moving_axle import MovingAxle
from solvers.spread import slopes

_STEPS = 8  # of travel and of roll, and of either where both are combined
_DRAWS = 4000


def first_order_chance(cars: MovingAxle, limits: Limits, seed: int = 1) -> float:
    """Part of the cars that an axle might be in which all its limits hold, each number following its points linearly.

    cars: `doubt.assessment.doubtful_cars`, ready to move over the working range. The Monte Carlo of `assess` is
    slower and takes the numbers as they are.
    """
    asked = limits.of(cars.axle)
    sweeps = working_sweeps(cars, limits, asked, _STEPS, (_STEPS, _STEPS))
    (count,) = cars.axle.batch_shape
    drawn = np.random.default_rng(seed).standard_normal((_DRAWS, count))
    held = np.ones(_DRAWS, dtype=bool)
    for limit in asked:
        for over in limit.over:
            found = slopes({limit.key: sweeps[over][limit.key]})[limit.key]
            numbers = found.value.reshape(1, -1) + drawn @ found.slopes.reshape(count, -1)
            held &= limit.margin(numbers).min(axis=1) >= 0.0
    return float(held.mean())
