"""The commands show and sweep: numbers at ride height, curves and tables, and the verdict."""

import argparse
import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.car_and_limits import OUTSIDE, WITHIN, files_named, read_with_limits
from reports.voice import say_written

if TYPE_CHECKING:
    from collections.abc import Sequence

    from kinematics.car.car import Car
    from kinematics.car.limits import Limits
    from kinematics.doubt.solved_car import MeasuredAxle, SolvedAxle, SolvedCar
    from kinematics.sweeps.asked import Asked
    from kinematics.sweeps.roll_axis import RollAxis
    from kinematics.sweeps.sweep_job import SweepJob
    from reports.outputs.output import Output

_MOST_STATES = 250_000  # of one grid: some 500 MB of CSV, and as much memory


def show(options: argparse.Namespace) -> int:
    """Print where the car stands and the checks that matter; with `--all` all numbers, each check in full."""
    car, limits = read_with_limits(options)
    from kinematics.doubt.solved_car import measure
    from reports.documents.document import put_document
    from reports.documents.measured import measured_document
    from reports.tables.decisive import show_decisive
    from reports.tables.terminal import console, show_caution, working

    with working("solving"):
        solved = measure(car, limits)
    out = console()
    show_decisive(out, solved, limits, files_named(options), everything=options.all)
    if options.all:
        show_all(car, solved.axles, solved.roll_axis)
    show_caution(out)
    put_document("show", car, lambda: measured_document(solved))
    return WITHIN if all(finding.holds for finding in solved.findings) else OUTSIDE


def show_all(car: "Car", axles: "Sequence[MeasuredAxle]", axis: "RollAxis | None") -> None:
    """Print every number at ride height, the roll axis, and each check in full."""
    from reports.tables.terminal import console, show_roll_axis, show_static, show_verdict

    out = console()
    for one in axles:
        show_static(out, car, one)
    show_roll_axis(out, car, axis)
    combined = [one.combined for one in axles if one.combined is not None]
    show_verdict(out, [finding for one in axles for finding in one.findings], car.unit, combined)


def sweep(options: argparse.Namespace) -> int:
    """Sweep every axle into a folder of files; print numbers and the verdict."""
    from reports.documents.document import put_document
    from reports.documents.measured import swept_document
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.tables.decisive import show_decisive
    from reports.tables.terminal import console, show_caution, working

    car, limits = read_with_limits(options)
    files = SweepFiles.of(car, sweep_job(options, car, limits), limits, options.drawing)
    folder = Path(options.folder)
    refuse_existing(files.paths(folder), replace=options.replace)
    with working("sweeping"):
        solved = solve_car(car, files.job, limits)
    make_folder(folder)
    out = console()
    if files.job.pitch:
        from reports.words.pitch import PITCHED

        out.print(f"note: {PITCHED}")
    measured = solved.as_measured(limits)
    show_decisive(out, measured, limits, files_named(options), everything=options.all, swept=True)
    if options.all:
        show_all(car, solved.measured, solved.roll_axis.at_rest if solved.roll_axis else None)
    write_sweeps(solved, files, folder, replace=options.replace)
    show_caution(out)
    put_document("sweep", car, lambda: swept_document(solved, measured))
    return WITHIN if all(finding.holds for finding in solved.findings) else OUTSIDE


@dataclass(frozen=True)
class SweepFiles:
    """The files that a sweep is going to write: of each axle, in their order, and of the car as a whole."""

    job: "SweepJob"
    axles: "Sequence[Sequence[Output[SolvedAxle]]]"
    car: "Sequence[Output[SolvedCar]]"

    @classmethod
    def of(cls, car: "Car", job: "SweepJob", limits: "Limits", drawing: str) -> "SweepFiles":
        """Those of a car; drawing: the figures' ending."""
        from reports.outputs.sweep_files import axle_outputs, car_outputs

        own = [axle_outputs(car, axle, job, limits, drawing) for axle in car.axles]
        return cls(job, own, car_outputs(car, drawing))

    def paths(self, folder: Path) -> list[Path]:
        """Where all of them go."""
        from reports.outputs.output import paths

        own = [one for outputs in self.axles for one in paths(folder, outputs)]
        return own + paths(folder, self.car)


def solve_car(car: "Car", job: "SweepJob", limits: "Limits", *also: "Asked") -> "SolvedCar":
    """Solve a car before anything is written, so that a refusal leaves nothing behind.

    Raises InputFaultError where a sweep asks for nothing that the linkage can reach.
    """
    from kinematics.doubt.solved_car import solve
    from kinematics.sweeps.sweep_job import REACHING
    from reports.words.gaps import gap_words

    solved = solve(car, job, limits, *also)
    for one in solved.axles:
        faults = [
            Fault(
                "--heave" if kind == "roll" else "--travel",
                f"nothing of this can be reached: {gap_words(sweep.problems[0])}",
            )
            for kind, sweep in one.sweeps.items()
            if kind in REACHING and not sweep.reached.any()
        ]
        if faults:
            raise InputFaultError("the sweep", list(dict.fromkeys(faults)))
    return solved


def write_sweeps(solved: "SolvedCar", files: SweepFiles, folder: Path, *, replace: bool, quiet: bool = False) -> None:
    """Write every axle's files, then those of the whole car; print what they lack and, unless quiet, their names."""
    from reports.outputs.output import write_outputs
    from reports.tables.terminal import console, progress
    from reports.words.gaps import told_once

    out = console()
    for one, outputs in zip(solved.axles, files.axles, strict=True):
        for problem in told_once(reason for sweep in one.sweeps.values() for reason in sweep.problems):
            out.print(f"note: {problem}; states beyond are left blank in the CSV files")
        written = write_outputs(folder, outputs, one, replace=replace)
        for path in progress(written, f"{one.axle.name} axle", len(outputs)):
            say_written(path, untold=quiet)
    written = write_outputs(folder, files.car, solved, replace=replace)
    for path in progress(written, "the car", len(files.car)):
        say_written(path, untold=quiet)


def sweep_job(options: argparse.Namespace, car: "Car", limits: "Limits | None" = None) -> "SweepJob":
    """What is to be swept, as asked for or as far as a car usually moves; limits: where not those of the car."""
    from kinematics.numbers.outer_share import within
    from kinematics.sweeps.sweep_job import Span, SweepJob

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
    roll, roll_step, pitch = (math.radians(one) for one in (options.roll, options.roll_step, options.pitch))
    job = SweepJob(
        Span(low, high, step),
        Span(-roll, roll, roll_step),
        unit.to_mm(options.heave),
        options.wheels,
        within(limits or car.limits),
        None if options.rack is None else unit.to_mm(options.rack),
        pitch,
    )
    if job.states > _MOST_STATES:
        text = f"travel and roll together ask for {job.states} states; at most {_MOST_STATES} are allowed"
        raise InputFaultError("the sweep", [Fault("", f"{text}; take longer steps with --step or --roll-step")])
    return job
