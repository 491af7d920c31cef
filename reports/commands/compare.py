"""The command compare: plans beside the car as measured."""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.car_and_limits import OUTSIDE, WITHIN, read_with_limits
from reports.commands.sweep import sweep_job

if TYPE_CHECKING:
    from kinematics.car.car import Car
    from kinematics.car.limits import Limits
    from kinematics.planning.comparison import Comparison
    from kinematics.sweeps.sweep_job import SweepJob
    from reports.outputs.compare_files import ComparedAxle
    from reports.outputs.output import Output


def compare(options: argparse.Namespace) -> int:
    """Set plans beside the car as measured; within limits if one of them can be built and holds them all."""
    from kinematics.inputs.plans.plan_file import quick_plan, read_plans
    from kinematics.planning import comparison
    from reports.commands.doubt import plan_doubt_targets, refuse_without_doubt, show_doubt_of_plans, solve_plan_doubts
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.tables.terminal import console, show_caution, working

    car, limits = read_with_limits(options)
    read = read_plans(options.plans, car)
    plans = [*read.plans, *([quick_plan(options.change, options.axle, car)] if options.change else [])]
    if not plans:
        text = "is missing: name a plan file, or try a change with --change, such as --change 'ride height' -10"
        raise InputFaultError("cornersweep compare", [Fault("plan", text)])
    if options.doubt:
        refuse_without_doubt(car, options.car)
    files = None
    if options.into is not None:
        files = CompareFiles.of(car, sweep_job(options, car, limits), limits, options.drawing)
        folder = Path(options.into)
        targets = files.paths(folder) + (plan_doubt_targets(folder, car) if options.doubt else [])
        refuse_existing(targets, replace=options.replace)
    with working(f"trying {len(plans)} plan{'s' if len(plans) > 1 else ''}"):
        compared = comparison.compare(car, plans, limits, read.rules, *(files.job.along_curves if files else ()))
    solved = swept_comparison(compared, files.job) if files else []
    drawing = options.draws, options.seed
    doubts = solve_plan_doubts(car, limits, plans, drawing) if options.doubt else []
    if files is not None:
        make_folder(folder)
    show_compared(compared)
    if files is not None:
        write_comparison(solved, files, folder, replace=options.replace)
    show_doubt_of_plans(car, doubts, options.draws, options.into, replace=options.replace)
    show_caution(console())
    return WITHIN if _is_one_good(compared) else OUTSIDE


@dataclass(frozen=True)
class CompareFiles:
    """The files that a comparison is going to write, of each axle; job: what is swept for them."""

    job: "SweepJob"
    axles: "Sequence[Sequence[Output[ComparedAxle]]]"

    @classmethod
    def of(cls, car: "Car", job: "SweepJob", limits: "Limits", drawing: str) -> "CompareFiles":
        """Those of a car; drawing: the figures' ending."""
        from reports.outputs.compare_files import comparison_outputs

        return cls(job, [comparison_outputs(axle, limits, drawing) for axle in car.axles])

    def paths(self, folder: Path) -> list[Path]:
        """Where all of them go."""
        return [folder / one.name for own in self.axles for one in own]


def swept_comparison(compared: "Comparison", job: "SweepJob") -> "list[ComparedAxle]":
    """Sweep the plans that are drawn, axle by axle, before anything is written."""
    from kinematics.planning.swept_plans import sweep_plans
    from reports.outputs.compare_files import ComparedAxle, drawable

    shown = drawable(compared)
    return [ComparedAxle(compared, sweep_plans(shown, axle.name, job)) for axle in compared.car.axles]


def show_compared(compared: "Comparison") -> None:
    """Print a comparison."""
    from reports.tables.compare_table import show_comparison
    from reports.tables.terminal import console

    show_comparison(console(), compared)


def write_comparison(solved: "Sequence[ComparedAxle]", files: CompareFiles, folder: Path, *, replace: bool) -> None:
    """Write a comparison's files."""
    from reports.outputs.output import write_outputs
    from reports.tables.terminal import console, progress

    out = console()
    written = [
        write_outputs(folder, outputs, one, replace=replace) for one, outputs in zip(solved, files.axles, strict=True)
    ]
    count = sum(len(outputs) for outputs in files.axles)
    for path in progress(chain.from_iterable(written), "plans", count):
        out.print(f"wrote {path}", soft_wrap=True)


def _is_one_good(compared: "Comparison") -> bool:
    """Whether one plan is good all round."""
    done = compared.outcomes[1:]
    return any(one.buildable and one.findings and one.holding == len(one.findings) for one in done)
