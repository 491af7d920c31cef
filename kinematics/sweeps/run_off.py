"""Where numbers of a sweep run off to infinity between two of its states, although they are there at both."""

from collections.abc import Mapping

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.numbers.roll_centre import through_infinity
from kinematics.sweeps.body import Sweep
from solvers.vectors import Array, Flags

RunOff = tuple[str, str]  # a number's key, and "left", "right" or ""


def run_off_before(sweep: Sweep) -> Mapping[RunOff, Flags]:
    """Lengths of one car that leave at one end and come back at the other on the way to a state from the one before it.

    By number and side, each of the sweep's shape; of a grid the state before lies at the same bump. None for a sweep
    that reaches nothing.
    """
    if not sweep.reached.any():
        return {}
    found = {}
    for key, values in sweep.values.items():
        number = QUANTITIES[key]
        if number.dimension is not Dimension.LENGTH:
            continue
        for place, side in enumerate(SIDE_NAMES if number.per_side else ("",)):
            before = through_before(values[place] if number.per_side else values, sweep.track)
            if before.any():
                found[key, side] = before
    return found


def through_before(values: Array, track: float) -> Flags:
    """Before which states (..., S) values [mm] run through infinity, compared with the track [mm]."""
    out = np.zeros(values.shape, dtype=bool)
    with np.errstate(invalid="ignore"):
        out[..., 1:] = np.moveaxis(through_infinity(np.moveaxis(values, -1, 0), track), 0, -1)
    return out
