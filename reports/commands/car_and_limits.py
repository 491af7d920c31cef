"""The car and the limits that a command is given, and what its exit status says."""

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kinematics.car.car import Car
    from kinematics.car.limits import Limits

WITHIN, OUTSIDE, AT_FAULT = 0, 1, 2


def read_with_limits(options: argparse.Namespace) -> "tuple[Car, Limits]":
    """Read the car file that a command names, and the limits that count."""
    from kinematics.inputs.car.car_file import read_car, read_limits

    car = read_car(options.car)
    return car, car.limits if options.limits is None else read_limits(options.limits)
