"""The car and the limits that a command is given, and what its exit status says."""

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from kinematics.car.car import Car
    from kinematics.car.limits import Limits
    from kinematics.inputs.reading.faults import Fault
    from kinematics.loads.readiness import Lack

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
    return written_so(car, fractions=limits.fractions), as_the_car_moves(limits, car, options)


def say_where_readings_disagree(car: "Car") -> None:
    """Say before any answer that points were fitted to readings that do not agree."""
    if not any(axle.readings_disagree for axle in car.axles):
        return
    from reports.tables.terminal import show_headline
    from reports.words.suspicious import disagreement_words
    from reports.words.wrapped import wrapped

    show_headline(line for text in disagreement_words(car) for line in wrapped(text))


def written_so(car: "Car", *, fractions: bool) -> "Car":
    """A car whose owner's amounts are told as fractions of an inch too, where another file of his writes such."""
    told = fractions and car.unit.symbol == "in" and not car.unit.fractions
    return replace(car, unit=replace(car.unit, fractions=True)) if told else car


def files_named(options: argparse.Namespace) -> list[str]:
    """The words of a command line that name its car and its limits, for the next one."""
    return [options.car, *(["--limits", options.limits] if options.limits is not None else [])]


def as_the_car_moves(limits: "Limits", car: "Car", options: argparse.Namespace) -> "Limits":
    """The limits over the working range of the accelerations that they name, and with the outer wheel's share.

    That is the one a command line states, or else the one that the car's own balance makes.
    """
    from kinematics.inputs.reading.faults import InputFaultError
    from kinematics.loads.balanced_share import with_balanced_shares
    from kinematics.loads.readiness import NotReadyError
    from kinematics.loads.working_states import with_working_states

    try:
        limits = with_working_states(limits, car)
    except NotReadyError as found:
        source: str = getattr(options, "limits", None) or options.car
        raise InputFaultError(source, _no_range(found.lacks, limits, options.car)) from None
    stated: float | None = getattr(options, "outer_share", None)
    return with_balanced_shares(limits, car) if stated is None else replace(limits, outer_share=stated)


def _no_range(lacks: "Sequence[Lack]", limits: "Limits", car: str) -> "list[Fault]":
    """Why a car gives no working range at the accelerations that its limits name."""
    from kinematics.inputs.reading.faults import Fault
    from kinematics.loads.readiness import Need
    from reports.words.lean import lack_words, told_of

    named = {Need.FRONT_BRAKES: "braking", Need.FRONT_DRIVE: "driving"}
    own = [named[one.need] for one in lacks if one.need in named] or limits.accelerations.said
    where = f" in {car}" if any(told_of(one) for one in lacks) else ""
    text = f"{lack_words(lacks, 'the working range in balance')}{where}; or else leave this out"
    return [Fault(", ".join(f"limits.{name}" for name in own), text)]
