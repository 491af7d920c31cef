"""The command influence: which way to move which point."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.car_and_limits import WITHIN
from reports.voice import say_written

if TYPE_CHECKING:
    from kinematics.car.car import Axle, Car


def influence(options: argparse.Namespace) -> int:
    """Tell how the numbers that decide change as each point moves."""
    from kinematics.finding import influence as finding
    from kinematics.inputs.car.car_file import read_car
    from kinematics.inputs.plans.plan_file import read_rules
    from reports.documents.document import put_document
    from reports.documents.influence import influence_document
    from reports.outputs.influence_files import influence_outputs
    from reports.outputs.output import paths, write_outputs
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.tables.influence_table import show_influence
    from reports.tables.terminal import console, progress, show_caution, working
    from reports.words.headline import means_of, next_line

    car = read_car(options.car)
    axles = _axles(car, options.axle, options.car)
    rules = [] if options.rules is None else read_rules(options.rules, car)
    folder = None if options.into is None else Path(options.into)
    outputs = [influence_outputs(car, axle, options.drawing) for axle in axles]
    if folder is not None:
        refuse_existing([path for own in outputs for path in paths(folder, own)], replace=options.replace)
    with working("moving each point"):
        found = [finding.influence(axle, rules) for axle in axles]
    out = console()
    then = next_line("find", [options.car, means_of(options.car)]).removeprefix("Next: ")
    show_influence(out, found, car.unit, then, all_points=options.all)
    if folder is not None:
        make_folder(folder)
        for own, one in zip(outputs, found, strict=True):
            written = write_outputs(folder, own, one, replace=options.replace)
            for path in progress(written, one.axle.name, len(own)):
                say_written(path)
    show_caution(out)
    put_document("influence", car, lambda: influence_document(found, car.unit))
    return WITHIN


def _axles(car: "Car", name: str | None, source: str) -> "list[Axle]":
    axles = [axle for axle in car.axles if name in (None, axle.name)]
    if not axles:
        there = ", ".join(axle.name for axle in car.axles)
        raise InputFaultError(source, [Fault("--axle", f"read {name!r}; the car has: {there}")])
    return axles
