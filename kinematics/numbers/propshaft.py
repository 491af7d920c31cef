"""How the propshaft twists a driven live axle.

Its torque is the driving force times the wheels' radius over the final drive. The shaft lies along the body and turns
as with most engines, clockwise seen from ahead: it presses the left wheel down and lifts the right one, by torque over
track (T. D. Gillespie, Fundamentals of Vehicle Dynamics, ch. 2, from memory).
"""

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDES, Axle
from kinematics.numbers.stance import Stance
from solvers.vectors import Array


def twisted_by_propshaft(axle: Axle) -> float:
    """Torque of a live rear axle's propshaft per driving force of the axle [mm]; zero where the final drive is unknown.

    Clockwise seen from ahead, as most engines turn.
    """
    ratio = axle.body.final_drive
    if ratio is None or axle.name != "rear" or not axle.suspension.whole_axle:
        return 0.0
    return float(axle.radius.real.mean()) / ratio


def loads_by_twist(stance: Stance) -> Array:
    """Load on each wheel per torque of the propshaft of a live axle (..., 2, S) [1/mm], which the links hold.

    Virtual work of loads and torque in both of the axle's motions, springs left as they are.
    """
    same, apart = stance.contact_velocity_together[..., 2], SIDES[:, None] * stance.contact_velocity[..., 2]
    (a, b), (c, d) = ((way[..., LEFT, :], way[..., RIGHT, :]) for way in (same, apart))
    e, f = (way.turn[..., LEFT, :, 0] for way in (stance.states.together, stance.states.in_roll))
    return np.stack([d * e - b * f, a * f - c * e], axis=-2) / (a * d - b * c)[..., None, :]


def turns_of_both_wheels(stance: Stance) -> Array:
    """Turn of a live axle about the body's axis ahead per mm of the left and of the right wheel's travel (2, S)."""
    same, apart = (way.turn[LEFT, :, 0] for way in (stance.states.together, stance.states.in_roll))
    return np.stack([same + apart, same - apart]) / 2.0
