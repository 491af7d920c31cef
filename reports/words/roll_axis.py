"""A roll axis in words."""

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.sweeps.roll_axis import RollAxis
from reports.words.numbers import told


def roll_axis_words(axis: RollAxis, unit: LengthUnit) -> str:
    """A roll axis of one state in a sentence."""
    slope = float(axis.inclination.reshape(-1)[0])
    way = "up" if slope >= 0.0 else "down"
    text = f"Roll axis: {told(abs(slope), Dimension.ANGLE, unit, sign=False)} {way} towards the rear"
    if axis.under_gravity is not None:
        arm = float(axis.under_gravity.reshape(-1)[0])
        where = "under" if arm >= 0.0 else "over"
        text += f", {told(abs(arm), Dimension.LENGTH, unit, sign=False)} {where} the centre of gravity"
    return f"{text}."
