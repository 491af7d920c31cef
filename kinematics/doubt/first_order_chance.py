"""How likely an axle's limits hold, quickly: to first order in the doubt of its points."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from kinematics.car.limits import Limits, Over
from kinematics.judging.verdict import working_sweeps
from kinematics.motion.moving_axle import MovingAxle
from solvers.spread import slopes

_STEPS = 8  # of travel and of roll, and of either where both are combined
_DRAWS = 4000


@dataclass(frozen=True)
class LimitChances:
    """Chances that an axle's limits hold: all of them together, and each by its number and where it is judged."""

    together: float
    each: Mapping[tuple[str, Over], float]


def first_order_chance(cars: MovingAxle, limits: Limits, seed: int = 1) -> LimitChances:
    """Parts of the cars that an axle might be in which its limits hold, each number following its points linearly.

    cars: `doubt.assessment.doubtful_cars`, ready to move over the working range. The Monte Carlo of `assess` is
    slower and takes the numbers as they are.
    """
    asked = limits.of(cars.axle)
    sweeps = working_sweeps(cars, limits, asked, _STEPS, (_STEPS, _STEPS))
    (count,) = cars.axle.batch_shape
    drawn = np.random.default_rng(seed).standard_normal((_DRAWS, count))
    held = np.ones(_DRAWS, dtype=bool)
    each = {}
    for limit in asked:
        for over in limit.over:
            found = slopes({limit.key: sweeps[over][limit.key]})[limit.key]
            numbers = found.value.reshape(1, -1) + drawn @ found.slopes.reshape(count, -1)
            own = limit.margin(numbers).min(axis=1) >= 0.0
            each[limit.key, over] = float(own.mean())
            held &= own
    return LimitChances(float(held.mean()), each)
