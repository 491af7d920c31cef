"""Coil springs as parts: rate and solid length from wire and coils, and what is left when coils are cut off.

Source: R. G. Budynas, J. K. Nisbett, Shigley's Mechanical Engineering Design, ch. 10 (from memory): for round wire
k = G d^4 / (8 D^3 N); for ends squared and ground two coils more than the active ones, a solid length of all coils
times d, and a free length of N p + 2 d, with p the pitch.
"""

from dataclasses import replace

import numpy as np

from kinematics.car.springs_and_bars import STEEL_SHEAR, Spring
from solvers.vectors import Array

_SQUARED_ENDS = 2.0  # coils that lie flat, one at each end


def coil_rate(wire: float, mean_diameter: float, active: float, shear: float = STEEL_SHEAR) -> float:
    """Rate [N/mm] of a coil spring of round wire; wire, mean_diameter: d and D [mm], shear: G [N/mm^2]."""
    return shear * wire**4 / (8.0 * mean_diameter**3 * active)


def solid_length(wire: float, active: float, total: float | None = None) -> float:
    """Length when coil bound [mm]; total: of all coils, where it is not the two of squared and ground ends more."""
    return wire * (active + _SQUARED_ENDS if total is None else total)


def cut_coils(spring: Spring, cut: Array) -> Spring:
    """A spring with so many active coils fewer (2,): stiffer, and shorter by their pitch when free, by d when solid.

    Its coils and free length must be known; the pitch is the same all along it. ValueError where none would be left.
    """
    if not (cut < spring.active_coils).all() or spring.free_length is None:
        raise ValueError(f"{cut.max():g} coils cannot be cut off a spring of {spring.active_coils:g}")
    left = spring.active_coils - cut
    pitch = (np.asarray(spring.free_length) - _SQUARED_ENDS * spring.wire) / spring.active_coils
    block = None if spring.block_length is None else spring.block_length - cut * spring.wire
    return replace(
        spring,
        rate=spring.rate * spring.active_coils / left,
        free_length=spring.free_length - cut * pitch,
        block_length=block,
    )


def can_be_cut(spring: Spring) -> bool:
    """Whether what cutting needs is known: wire, active coils, and how long the spring by itself is when free.

    Between seats that are told as its line's ends that follows from the weights; a strut's points are no seats.
    """
    between_seats = spring.line.moving is not None
    return spring.wire > 0.0 and spring.active_coils > 0.0 and (spring.free_length is not None or between_seats)
