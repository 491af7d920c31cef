"""A roll axis in words."""

import numpy as np
from numpy.typing import NDArray

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.sweeps.roll_axis import RollAxis
from kinematics.sweeps.run_off import through_before
from reports.words.gaps import noted, told_once
from reports.words.numbers import told
from solvers.vectors import Flags


def roll_axis_words(axis: RollAxis, unit: LengthUnit) -> str:
    """A roll axis of one state in a sentence."""
    return f"Roll axis: {roll_axis_lies(axis, unit)}."


def roll_axis_lies(axis: RollAxis, unit: LengthUnit) -> str:
    """How a roll axis of one state lies, without saying what it is."""
    slope = float(axis.inclination.reshape(-1)[0])
    way = "up" if slope >= 0.0 else "down"
    text = f"{told(abs(slope), Dimension.ANGLE, unit, sign=False)} {way} towards the rear"
    if axis.under_gravity is not None:
        arm = float(axis.under_gravity.reshape(-1)[0])
        where = "under" if arm >= 0.0 else "over"
        text += f", {told(abs(arm), Dimension.LENGTH, unit, sign=False)} {where} the centre of gravity"
    return text


def roll_axis_run_off_notes(axis: RollAxis) -> NDArray[np.object_]:
    """Which axle's roll centre runs to infinity on the way to each state (B x R,), "" where none does."""
    offsets = (axis.front_offset, axis.rear_offset)
    both = (through_before(offset, track) for offset, track in zip(offsets, axis.tracks, strict=True))
    before = dict(zip(("front roll centre", "rear roll centre"), both, strict=True))
    return noted(before, axis.roll.shape).reshape(-1)


def roll_axis_notes(axis: RollAxis, finite: Flags) -> NDArray[np.object_]:
    """Why something is missing, state by state (B x R,), "" where nothing is; finite: where all numbers are there."""
    beyond = "; ".join(told_once(axis.problems)) or "cannot be reached"
    reached = axis.reached.reshape(-1)
    notes = np.where(reached, "", beyond).astype(object)
    notes[reached & ~finite] = "a roll centre is at infinity here"
    return notes
