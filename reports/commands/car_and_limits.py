"""The car and the limits that a command is given, and what its exit status says."""

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kinematics.car.car import Car
    from kinematics.car.limits import Limits

WITHIN, OUTSIDE, AT_FAULT = 0, 1, 2


def read_with_limits(options: argparse.Namespace) -> "tuple[Car, Limits]":
    """Read the car file that a command names, and the limits that count."""
    from kinematics.inputs.car.car_file import limits_not_there, read_car, read_limits
    from kinematics.inputs.reading.faults import InputFaultError

    car = read_car(options.car)
    limits = car.limits if options.limits is None else read_limits(options.limits)
    faults = limits_not_there(limits, car.axles)
    if faults:
        raise InputFaultError(options.limits, faults)
    return car, with_outer_share(limits, car, options)


def with_outer_share(limits: "Limits", car: "Car", options: argparse.Namespace) -> "Limits":
    """The limits with the outer wheel's share that a command line states, or else that the car's own balance makes."""
    from kinematics.loads.balanced_share import with_balanced_shares

    stated: float | None = getattr(options, "outer_share", None)
    return with_balanced_shares(limits, car) if stated is None else replace(limits, outer_share=stated)
