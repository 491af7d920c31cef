"""The numbers of an axle as its springs stand at ride height."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from kinematics.loads.axle_sheet import AxleSheet
from kinematics.loads.rates import Rates
from kinematics.numbers.quantity import Dimension, ReportedNumber
from solvers.vectors import Array


@dataclass(frozen=True, kw_only=True, repr=False)
class AxleNumber(ReportedNumber):
    """A number of one axle as its springs stand; read gives one value, two where it is a range, none if not known."""

    read: Callable[[AxleSheet], tuple[float, ...]]


def _at_rest(read: Callable[[Rates], Array]) -> Callable[[AxleSheet], tuple[float]]:
    """Mean of both sides at ride height."""
    return lambda one: (float(read(one.rates)[:, int(np.argmin(np.abs(one.rates.travel)))].mean()),)


AT_RIDE_HEIGHT = (
    AxleNumber(
        key="weight",
        title="weight on the axle",
        dimension=Dimension.MASS,
        read=lambda one: (float(one.setup.loads.corner_mass.sum()),),
    ),
    AxleNumber(
        key="spring_force",
        title="spring force at rest",
        dimension=Dimension.FORCE,
        read=lambda one: (float(one.setup.preload.mean()),),
    ),
    AxleNumber(
        key="motion_ratio",
        title="spring travel per wheel travel, in bump",
        dimension=Dimension.RATIO,
        read=_at_rest(lambda rates: rates.motion_ratio),
    ),
    AxleNumber(
        key="motion_ratio_in_roll",
        title="the same in roll",
        dimension=Dimension.RATIO,
        read=_at_rest(lambda rates: rates.motion_ratio_in_roll),
    ),
    AxleNumber(
        key="wheel_rate",
        title="wheel rate",
        dimension=Dimension.RATE,
        decimals=2,
        read=_at_rest(lambda rates: rates.wheel_rate),
    ),
    AxleNumber(
        key="wheel_rate_over_travel",
        title="wheel rate, working droop to bump",
        dimension=Dimension.RATE,
        decimals=1,
        read=lambda one: (float(one.rates.wheel_rate[:, 0].mean()), float(one.rates.wheel_rate[:, -1].mean())),
    ),
    AxleNumber(
        key="bar_in_roll",
        title="bar at the wheel, in roll",
        dimension=Dimension.RATE,
        decimals=2,
        read=_at_rest(lambda rates: rates.bar_in_roll),
    ),
    AxleNumber(
        key="roll_stiffness_of_springs",
        title="roll stiffness of the springs",
        dimension=Dimension.MOMENT_PER_ANGLE,
        read=lambda one: (one.roll.springs,),
    ),
    AxleNumber(
        key="roll_stiffness_of_bar",
        title="roll stiffness of the bar",
        dimension=Dimension.MOMENT_PER_ANGLE,
        read=lambda one: (one.roll.bar,),
    ),
    AxleNumber(
        key="roll_stiffness",
        title="roll stiffness with the tyres in series",
        dimension=Dimension.MOMENT_PER_ANGLE,
        read=lambda one: (one.roll.stiffness,),
    ),
    AxleNumber(
        key="ride_frequency",
        title="ride frequency",
        dimension=Dimension.FREQUENCY,
        read=lambda one: (one.ride.frequency,),
    ),
    AxleNumber(
        key="damping_ratio",
        title="damping ratio",
        dimension=Dimension.RATIO,
        decimals=2,
        read=lambda one: () if one.ride.damping is None else (one.ride.damping,),
    ),
    AxleNumber(
        key="roll_centre_height",
        title="roll centre",
        dimension=Dimension.LENGTH,
        sign="ground at 0, up positive",
        decimals=1,
        read=lambda one: (one.roll_centre,),
    ),
)
