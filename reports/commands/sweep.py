"""The commands show and sweep: numbers at ride height, curves and tables, and the verdict."""

import argparse
import math
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.car_and_limits import OUTSIDE, WITHIN, read_with_limits

if TYPE_CHECKING:
    from kinematics.car.car import Axle, Car
    from kinematics.car.limits import Limits
    from kinematics.judging.verdict import Finding
    from kinematics.sweeps.body import Sweep
    from reports.outputs.sweep_files import SweepJob


def show(options: argparse.Namespace) -> int:
    """Print numbers at ride height and the verdict."""
    car, limits = read_with_limits(options)
    from reports.tables.terminal import console, show_caution, show_roll_axis, show_static

    out = console()
    for axle in car.axles:
        show_static(out, car, axle)
    show_roll_axis(out, car)
    status = judge_car(car, limits)
    show_caution(out)
    return status


def sweep(options: argparse.Namespace) -> int:
    """Sweep every axle into a folder of files; print numbers and the verdict."""
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.tables.terminal import console, show_caution

    car, limits = read_with_limits(options)
    job = sweep_job(options, car)
    folder = Path(options.folder)
    refuse_existing(sweep_targets(folder, car, job), replace=options.replace)
    swept = swept_axles(car, job)
    make_folder(folder)
    write_sweeps(car, limits, (job, swept), folder, replace=options.replace)
    status = judge_car(car, limits)
    show_caution(console())
    return status


def swept_axles(car: "Car", job: "SweepJob") -> "list[tuple[Axle, dict[str, Sweep]]]":
    """Sweep every axle before anything is written, so that a refusal leaves nothing behind."""
    from reports.outputs.sweep_files import run_sweeps
    from reports.tables.terminal import working

    with working("sweeping"):
        return [(axle, run_sweeps(axle, job)) for axle in car.axles]


def write_sweeps(
    car: "Car",
    limits: "Limits",
    done: "tuple[SweepJob, list[tuple[Axle, dict[str, Sweep]]]]",
    folder: Path,
    *,
    replace: bool,
) -> None:
    """Print every axle's numbers and write its files, then those of the whole car."""
    from reports.outputs.sweep_files import car_outputs, outputs, write_outputs
    from reports.tables.terminal import console, progress, show_static

    out = console()
    job, swept = done
    for axle, sweeps in swept:
        show_static(out, car, axle)
        for problem in dict.fromkeys(problem for sweep in sweeps.values() for problem in sweep.problems):
            out.print(f"note: {problem}; states beyond are left blank in the CSV files")
        files = outputs(car, axle, job, limits, sweeps)
        for path in progress(write_outputs(folder, files, replace=replace), f"{axle.name} axle", len(files)):
            out.print(f"wrote {path}", soft_wrap=True)
    whole = car_outputs(car, job)
    for path in progress(write_outputs(folder, whole, replace=replace), "the car", len(whole)):
        out.print(f"wrote {path}", soft_wrap=True)


def judge_car(car: "Car", limits: "Limits") -> int:
    """Print the verdict on every axle; the exit status it asks for."""
    from kinematics.judging.verdict import judge
    from reports.tables.terminal import console, show_verdict

    findings: list[Finding] = [finding for axle in car.axles for finding in judge(axle, limits)]
    show_verdict(console(), findings, car.unit)
    return WITHIN if all(finding.holds for finding in findings) else OUTSIDE


def sweep_job(options: argparse.Namespace, car: "Car") -> "SweepJob":
    """What is to be swept, as asked for or as far as a car usually moves."""
    from reports.outputs.sweep_files import Span, SweepJob

    unit = car.unit
    inches = unit.symbol == "in"
    low, high = (unit.to_mm(value) for value in options.travel) if options.travel else (-60.0, 60.0)
    step = unit.to_mm(options.step) if options.step else (unit.to_mm(0.125) if inches else 3.0)
    if not options.travel and inches:
        low, high = unit.to_mm(-2.5), unit.to_mm(2.5)
    if low >= high:
        read = f"read {unit.from_mm(low):g} to {unit.from_mm(high):g} {unit.symbol}"
        raise InputFaultError(
            "the sweep", [Fault("--travel", f"{read}; the lower end first, then the upper, is allowed")]
        )
    roll, roll_step = math.radians(options.roll), math.radians(options.roll_step)
    return SweepJob(
        Span(low, high, step),
        Span(-roll, roll, roll_step),
        unit.to_mm(options.heave),
        options.wheels,
        options.outer_share,
        options.drawing,
        None if options.rack is None else unit.to_mm(options.rack),
    )


def sweep_targets(folder: Path, car: "Car", job: "SweepJob") -> list[Path]:
    """The files that a sweep writes into a folder."""
    own = [folder / name for axle in car.axles for name in job.file_names(axle)]
    return own + [folder / name for name in job.car_file_names(car)]
