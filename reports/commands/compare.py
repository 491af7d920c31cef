"""The command compare: plans beside the car as measured."""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.car_and_limits import OUTSIDE, WITHIN, read_with_limits
from reports.commands.sweep import sweep_job

if TYPE_CHECKING:
    from kinematics.car.car import Axle, Car
    from kinematics.car.limits import Limits
    from kinematics.planning.plans import Plan
    from kinematics.planning.rules import Rule
    from reports.outputs.sweep_files import SweepJob


def compare(options: argparse.Namespace) -> int:
    """Set plans beside the car as measured; within limits if one of them can be built and holds them all."""
    from kinematics.inputs.plans.plan_file import quick_plan, read_plans
    from reports.commands.doubt import doubt_of_plans, plan_doubt_targets, refuse_without_doubt
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.tables.terminal import console, show_caution

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
        job, folder = sweep_job(options, car), Path(options.into)
        targets = plan_targets(folder, car.axles, job) + (plan_doubt_targets(folder, car) if options.doubt else [])
        refuse_existing(targets, replace=options.replace)
        make_folder(folder)
        files = (job, folder)
    good = compare_plans(car, limits, plans, read.rules, files, replace=options.replace)
    if options.doubt:
        doubt_of_plans(car, limits, plans, (options.draws, options.seed), options.into, replace=options.replace)
    show_caution(console())
    return WITHIN if good else OUTSIDE


def compare_plans(
    car: "Car",
    limits: "Limits",
    plans: "Sequence[Plan]",
    rules: "Sequence[Rule]",
    files: "tuple[SweepJob, Path] | None",
    *,
    replace: bool,
) -> bool:
    """Compare plans, write the comparison's files if there are to be some; whether one plan is good all round."""
    from kinematics.planning import comparison
    from reports.outputs.compare_files import comparison_outputs
    from reports.outputs.sweep_files import write_outputs
    from reports.tables.compare_table import show_comparison
    from reports.tables.terminal import console, progress, working

    out = console()
    with working(f"trying {len(plans)} plan{'s' if len(plans) > 1 else ''}"):
        compared = comparison.compare(car, plans, limits, rules)
    show_comparison(out, compared)
    if files is not None:
        job, folder = files
        outputs = [one for axle in car.axles for one in comparison_outputs(compared, axle, job, limits)]
        for path in progress(write_outputs(folder, outputs, replace=replace), "plans", len(outputs)):
            out.print(f"wrote {path}", soft_wrap=True)
    done = compared.outcomes[1:]
    return any(one.buildable and one.findings and one.holding == len(one.findings) for one in done)


def plan_targets(folder: Path, axles: "Sequence[Axle]", job: "SweepJob") -> list[Path]:
    """The files that a comparison writes into a folder."""
    from reports.outputs.compare_files import comparison_names

    return [folder / name for axle in axles for name in comparison_names(axle, job.drawing)]
