"""What each command does. Slow libraries are imported where a command needs them."""

import argparse
import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from kinematics.faults import Fault, InputFaultError

if TYPE_CHECKING:
    from kinematics.car import Axle, Car
    from kinematics.limits import Limits
    from kinematics.verdict import Finding
    from reports.sweep_files import SweepJob

WITHIN, OUTSIDE, AT_FAULT = 0, 1, 2


def demo(options: argparse.Namespace) -> int:
    """Write the demo car's file and sweep it; 0 if that worked, whatever the verdict."""
    from kinematics.cars import demo_car, demo_text
    from reports.safe_write import make_folder, refuse_existing, write_whole

    folder = Path(options.folder)
    car = demo_car()
    job = _job(options, car)
    car_file = folder / "lowered_coupe.toml"
    refuse_existing([*_targets(folder, car.axles, job), car_file], replace=options.replace)
    make_folder(folder)
    write_whole(car_file, lambda file: _write_text(file, demo_text()), replace=options.replace)
    _sweep_car(car, car.limits, job, folder, replace=options.replace)
    return WITHIN


def new(options: argparse.Namespace) -> int:
    """Write or print a blank car file."""
    from kinematics.blank_file import blank_car_file
    from kinematics.faults import did_you_mean
    from kinematics.lengths import UNITS
    from kinematics.suspensions import SUSPENSIONS
    from reports.safe_write import write_whole

    name = options.suspension.replace("-", " ").replace("_", " ")
    if name not in SUSPENSIONS:
        text = f"read {options.suspension!r}{did_you_mean(name, SUSPENSIONS)}"
        raise InputFaultError("cornersweep new", [Fault("suspension", text)])
    text = blank_car_file(SUSPENSIONS[name], UNITS[options.units], options.axle)
    if options.file is None:
        print(text, end="")
        return WITHIN
    write_whole(Path(options.file), lambda file: _write_text(file, text), replace=options.replace)
    print(f'wrote {options.file}: fill in every "?", then run: cornersweep show {options.file}')
    return WITHIN


def show(options: argparse.Namespace) -> int:
    """Print numbers at ride height and the verdict."""
    from reports.terminal import console, show_caution, show_static

    car, limits = _read(options)
    out = console()
    for axle in car.axles:
        show_static(out, car, axle)
    status = _judge(car, limits)
    show_caution(out)
    return status


def sweep(options: argparse.Namespace) -> int:
    """Sweep every axle into a folder of files; print numbers and the verdict."""
    from reports.safe_write import make_folder, refuse_existing

    car, limits = _read(options)
    job = _job(options, car)
    folder = Path(options.folder)
    refuse_existing(_targets(folder, car.axles, job), replace=options.replace)
    make_folder(folder)
    return _sweep_car(car, limits, job, folder, replace=options.replace)


def draw(options: argparse.Namespace) -> int:
    """Draw one axle's front view at one position."""
    import numpy as np

    from kinematics.sweeps import stances
    from reports.safe_write import refuse_existing, write_whole
    from reports.sweep_files import drawn

    car, _ = _read(options)
    path = Path(options.file)
    ending = path.suffix.lstrip(".").lower()
    if ending not in ("png", "svg", "pdf"):
        raise InputFaultError("cornersweep draw", [Fault(options.file, "the file must end in .png, .svg or .pdf")])
    axle = _axle(car, options.axle)
    refuse_existing([path], replace=options.replace)
    try:
        bump = np.array([car.unit.to_mm(options.bump)])
        stance = stances(axle, bump, np.radians([options.roll]))
    except ValueError as reason:
        raise InputFaultError("cornersweep draw", [Fault("", f"this position cannot be reached: {reason}")]) from None
    from reports.front_view import front_view

    figure = front_view(stance, car.unit, f"{car.name}, {axle.name} axle")
    write_whole(path, drawn(lambda: figure, ending), replace=options.replace)
    print(f"wrote {path}")
    return WITHIN


def _sweep_car(car: "Car", limits: "Limits", job: "SweepJob", folder: Path, *, replace: bool) -> int:
    """Sweep every axle, write its files, print its numbers and the verdict."""
    from reports.sweep_files import outputs, run_sweeps, write_outputs
    from reports.terminal import console, progress, show_caution, show_static

    out = console()
    for axle in car.axles:
        sweeps = run_sweeps(axle, job)
        show_static(out, car, axle)
        for problem in dict.fromkeys(problem for sweep in sweeps.values() for problem in sweep.problems):
            out.print(f"note: {problem}; states beyond are left blank in the CSV files", markup=False)
        files = outputs(car, axle, job, limits, sweeps)
        for path in progress(write_outputs(folder, files, replace=replace), f"{axle.name} axle", len(files)):
            out.print(f"wrote {path}", markup=False)
    status = _judge(car, limits)
    show_caution(out)
    return status


def _judge(car: "Car", limits: "Limits") -> int:
    from kinematics.verdict import judge
    from reports.terminal import console, show_verdict

    findings: list[Finding] = [finding for axle in car.axles for finding in judge(axle, limits)]
    show_verdict(console(), findings, car.unit)
    return WITHIN if all(finding.holds for finding in findings) else OUTSIDE


def _read(options: argparse.Namespace) -> "tuple[Car, Limits]":
    from kinematics.car_file import read_car, read_limits

    car = read_car(options.car)
    return car, car.limits if options.limits is None else read_limits(options.limits)


def _axle(car: "Car", name: str | None) -> "Axle":
    names = [axle.name for axle in car.axles]
    if name is None:
        return car.axles[0]
    if name not in names:
        text = f"the car file has no {name} axle; it has: {', '.join(names)}"
        raise InputFaultError("cornersweep draw", [Fault("--axle", text)])
    return car.axle(name)


def _job(options: argparse.Namespace, car: "Car") -> "SweepJob":
    from reports.sweep_files import Span, SweepJob

    unit = car.unit
    inches = unit.symbol == "in"
    low, high = (unit.to_mm(value) for value in options.travel) if options.travel else (-60.0, 60.0)
    step = unit.to_mm(options.step) if options.step else (unit.to_mm(0.125) if inches else 3.0)
    if not options.travel and inches:
        low, high = unit.to_mm(-2.5), unit.to_mm(2.5)
    if low >= high:
        raise InputFaultError("the sweep", [Fault("--travel", "give the lower end first, then the upper")])
    roll, roll_step = math.radians(options.roll), math.radians(options.roll_step)
    return SweepJob(
        Span(low, high, step),
        Span(-roll, roll, roll_step),
        unit.to_mm(options.heave),
        options.wheels,
        options.outer_share,
        options.drawing,
    )


def _targets(folder: Path, axles: "Sequence[Axle]", job: "SweepJob") -> list[Path]:
    return [folder / name for axle in axles for name in job.file_names(axle)]


def _write_text(file: BinaryIO, text: str) -> None:
    file.write(text.encode("utf-8"))
