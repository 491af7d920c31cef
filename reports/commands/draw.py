"""The command draw: one axle in front view, to scale, at one position."""

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError, did_you_mean, shown
from reports.commands.car_and_limits import WITHIN, read_with_limits
from reports.voice import say, say_written

if TYPE_CHECKING:
    from collections.abc import Iterator

    from matplotlib.figure import Figure

    from kinematics.car.car import Axle, Car
    from kinematics.car.lengths import LengthUnit
    from kinematics.numbers.stance import Stance
    from solvers.vectors import Array


def draw(options: argparse.Namespace) -> int:
    """Draw one axle's front view at one position."""
    import numpy as np

    from kinematics.motion.reasons import UnreachedError
    from kinematics.sweeps.body import stances
    from kinematics.sweeps.rack import steered
    from reports.outputs.output import drawn
    from reports.outputs.safe_write import refuse_existing, write_whole
    from reports.tables.terminal import working
    from reports.words.gaps import gap_words

    car, limits = read_with_limits(options)
    path = Path(options.file)
    ending = path.suffix.lstrip(".").lower()
    if ending not in ("png", "svg", "pdf"):
        raise InputFaultError("cornersweep draw", [Fault(options.file, "the file must end in .png, .svg or .pdf")])
    axle = _axle(car, options.axle)
    if options.plan is not None:
        axle = _planned(car, axle, *options.plan)
    refuse_existing([path], replace=options.replace)
    if options.rack and not axle.suspension.rack:
        text = f"the {axle.name} axle, a {axle.suspension.name}, has no steering rack"
        raise InputFaultError("cornersweep draw", [Fault("--rack", text)])
    try:
        if options.rack:
            axle = steered(axle, np.array([car.unit.to_mm(options.rack)])).variant(0)
        bump = np.array([car.unit.to_mm(options.bump)])
        stance = stances(axle, bump, np.radians([options.roll]), float(np.radians(options.pitch)))
    except UnreachedError as error:
        text = f"this position cannot be reached: {gap_words(error.reason)}"
        raise InputFaultError("cornersweep draw", [Fault("", text)]) from None
    from reports.figures.front_view import front_view
    from reports.figures.style import Sheet
    from reports.words.figure_titles import position_title
    from reports.words.pitch import pitch_words

    bumped = f"{options.bump:g} {car.unit.symbol}"
    after = f"{options.plan[1]}: " if options.plan is not None else ""
    turned = f", rack {options.rack:g} {car.unit.symbol} to the left" if options.rack else ""
    turned += f", {pitch_words(float(np.radians(options.pitch)), car.unit)}" if options.pitch else ""
    found = position_title(stance, (), car.unit)
    at = f"{after}{'bump' if after else 'Bump'} {bumped}, roll {options.roll:g} deg{turned}"
    sheet = Sheet(f"{at}: {found}", car.name)

    def draw_stance(stance: "Stance") -> "Figure":
        return front_view(stance, car.unit, sheet, limits.of(axle))

    fill = drawn(draw_stance, ending)
    with working("drawing"):
        write_whole(path, lambda file: fill(stance, file), replace=options.replace)
    say_written(path)
    for text in _beyond_stops(axle, stance.states.travel[:, 0], car.unit):
        say(f"note: {text}")
    return WITHIN


def _planned(car: "Car", axle: "Axle", plans: str, name: str) -> "Axle":
    """An axle after the plan of that name, its stops as far away as they then are."""
    from kinematics.inputs.plans.plan_file import read_plans
    from kinematics.planning.plans import carry_out
    from kinematics.planning.stops import travel_left
    from reports.words.plans import refusal_words

    read = {one.name: one for one in read_plans([plans], car).plans}
    if name not in read:
        raise InputFaultError(plans, [Fault("--plan", f"there is no plan {shown(name)}{did_you_mean(name, read)}")])
    (done,) = carry_out(car, [read[name]])
    refusals = [refusal for one in done.values() for refusal in one.refusals]
    if refusals:
        faults = [Fault(f'"{name}"', f"cannot be built: {text}") for text in refusal_words(refusals, car.unit)]
        raise InputFaultError(plans, faults)
    changed = done[axle.name]
    left, fittings = travel_left(axle, changed), axle.fittings
    bump = None if fittings.bump_stop is None else float(left.bump.min())
    droop = None if fittings.droop_stop is None else float(left.droop.min())
    return replace(changed.axle, fittings=replace(fittings, bump_stop=bump, droop_stop=droop))


def _beyond_stops(axle: "Axle", travel: "Array", unit: "LengthUnit") -> "Iterator[str]":
    """Which wheels are drawn where a stop would not let them go."""
    from kinematics.car.car import SIDE_NAMES
    from kinematics.numbers.quantity import Dimension
    from reports.words.numbers import told

    for name, at in zip(SIDE_NAMES, travel.tolist(), strict=True):
        stop, what = (axle.fittings.bump_stop, "bump") if at > 0.0 else (axle.fittings.droop_stop, "droop")
        if stop is not None and abs(at) > stop + 1e-6:
            drawn_at, allowed = told(at, Dimension.LENGTH, unit), told(stop, Dimension.LENGTH, unit, sign=False)
            yield f"the {name} wheel is drawn at {drawn_at} of travel, beyond its {what} stop at {allowed}"


def _axle(car: "Car", name: str | None) -> "Axle":
    names = [axle.name for axle in car.axles]
    if name is None:
        return car.axles[0]
    if name not in names:
        text = f"the car file has no {name} axle; it has: {', '.join(names)}"
        raise InputFaultError("cornersweep draw", [Fault("--axle", text)])
    return car.axle(name)
