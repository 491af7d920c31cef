"""The command compare: plans beside the car as measured."""

import argparse
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.car_and_limits import (
    OUTSIDE,
    WITHIN,
    files_named,
    read_with_limits,
    say_where_readings_disagree,
    written_so,
)
from reports.commands.sweep import sweep_job
from reports.commands.write_car import CarToWrite
from reports.jobs import sharing
from reports.voice import say_written

if TYPE_CHECKING:
    from kinematics.car.car import Car
    from kinematics.car.limits import Limits
    from kinematics.doubt.differences import PlanDoubt
    from kinematics.doubt.planned import PlanSureness
    from kinematics.inputs.plans.plan_file import PlanFile
    from kinematics.planning.comparison import Comparison
    from kinematics.planning.plans import Plan
    from kinematics.sweeps.sweep_job import SweepJob
    from reports.outputs.compare_files import ComparedAxle
    from reports.outputs.output import Output


def compare(options: argparse.Namespace) -> int:
    """Set plans beside the car as measured; within limits if one of them can be built and holds them all."""
    from kinematics.planning import comparison
    from reports.commands.doubt import plan_doubt_targets, refuse_without_doubt, show_doubt_of_plans, solve_plan_doubts
    from reports.documents.document import put_document
    from reports.documents.plans import compared_document
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.tables.terminal import console, show_caution, working

    car, limits = read_with_limits(options)
    say_where_readings_disagree(car)
    read = _plans(options, car)
    car = written_so(car, fractions=read.fractions)
    if options.doubt:
        refuse_without_doubt(car, options.car)
    files, targets = None, []
    if options.into is not None:
        files = CompareFiles.of(car, sweep_job(options, car, limits), limits, options.drawing)
        folder = Path(options.into)
        targets = files.paths(folder) + (plan_doubt_targets(folder, car) if options.doubt else [])
    chosen = _car_to_write(options, read.plans)
    refuse_existing([*targets, *(chosen.paths if chosen else [])], replace=options.replace)
    with working(f"trying {len(read.plans)} plan{'s' if len(read.plans) > 1 else ''}"):
        compared = comparison.compare(car, read.plans, limits, read.rules, *(files.job.along_curves if files else ()))
    text = _chosen_text(chosen, compared) if chosen else ""
    with working("sweeping plans"):
        solved = swept_comparison(compared, files.job) if files else []
    doubts: list[list[PlanDoubt]] = []
    if options.doubt:
        with sharing(options.jobs) as executor:
            doubts = solve_plan_doubts(car, limits, read.plans, (options.draws, options.seed), executor)
    if files is not None:
        make_folder(folder)
    with working("telling how sure plans are"):
        sure = sure_of_plans(compared, limits, doubts)
    _show(options, compared, limits, sure)
    if files is not None:
        write_comparison(solved, files, folder, replace=options.replace)
    best = None if options.all else [one.plan.name for one in compared.ranked]
    show_doubt_of_plans(car, doubts, options.draws, options.into, replace=options.replace, best=best)
    if chosen is not None:
        chosen.write(text, car, replace=options.replace)
    show_caution(console())
    put_document("compare", car, lambda: compared_document(compared, sure, doubts))
    return WITHIN if _is_one_good(compared) else OUTSIDE


def _plans(options: argparse.Namespace, car: "Car") -> "PlanFile":
    """All plans that a command line names or tells."""
    from kinematics.inputs.plans.plan_file import PlanFile, quick_plan, read_plans

    read = read_plans(options.plans, car)
    if options.change:
        quick = quick_plan(options.change, options.axle, car)
        read = PlanFile((*read.plans, *quick.plans), read.rules, read.fractions or quick.fractions)
    if not read.plans:
        text = "is missing: name a plan file, or try a change with --change, such as --change 'ride height' -10"
        raise InputFaultError("cornersweep compare", [Fault("plan", text)])
    return read


def _plans_named(options: argparse.Namespace) -> list[str]:
    """The words of a command line that name or tell its plans, for the next one."""
    changes = chain.from_iterable(("--change", *change) for change in options.change or ())
    return [*options.plans, *changes, *(["--axle", options.axle] if options.change and options.axle != "front" else [])]


def _car_to_write(options: argparse.Namespace, plans: "Sequence[Plan]") -> "CarToWrite | None":
    chosen = CarToWrite.of(options.write_car, options.car)
    if chosen is not None:
        chosen.refuse_unknown([one.name for one in plans])
        chosen.refuse_loads(next(one for one in plans if one.name == chosen.plan))
    return chosen


def _chosen_text(chosen: CarToWrite, compared: "Comparison") -> str:
    """The car file of the plan that was chosen."""
    from reports.words.plans import breach_words, changes_words, refusal_words

    car = compared.car
    outcome = next(one for one in compared.outcomes if one.plan.name == chosen.plan)
    broken = [breach_words(one, car.unit) for one in outcome.breaches if not one.allowed]
    chosen.refuse_unbuildable([*refusal_words(outcome.troubles, car.unit), *broken])
    return chosen.text(car, outcome.plan, changes_words(outcome.plan, car.unit) or "alignment alone")


def _show(
    options: argparse.Namespace, compared: "Comparison", limits: "Limits", sure: "Mapping[str, PlanSureness]"
) -> None:
    """Print which plan does best, and with `--all` everything about each."""
    from reports.outputs.find_names import are_found
    from reports.tables.compare_decisive import show_compared_decisive
    from reports.tables.terminal import console
    from reports.words.compared import next_after
    from reports.words.headline import means_of

    found = are_found(options.plans)
    then = next_after(compared, files_named(options), means_of(options.car), _plans_named(options), found=found)
    show_compared_decisive(console(), compared, limits, sure, then, everything=options.all)
    if options.all:
        show_compared(compared)


def sure_of_plans(
    compared: "Comparison", limits: "Limits", doubts: "Sequence[Sequence[PlanDoubt]]" = ()
) -> "dict[str, PlanSureness]":
    """How sure plans that hold all are, and the best one: to first order, or by cars drawn where that was asked."""
    import math
    from dataclasses import replace

    from kinematics.doubt.assessment import ALL_LIMITS
    from kinematics.doubt.planned import plan_sureness
    from reports.words.compared import best_plan, holds_all

    best = best_plan(compared)
    asked = [one for one in compared.outcomes if holds_all(one) or one is best]
    found = {one.plan.name: plan_sureness(compared.car, one.plan, limits) for one in asked}
    for place, one in enumerate(compared.outcomes):
        drawn = [axle[place].holding[ALL_LIMITS] for axle in doubts if ALL_LIMITS in axle[place].holding]
        sure = found.get(one.plan.name)
        if drawn and sure is not None and sure.chance is not None:
            found[one.plan.name] = replace(sure, chance=math.prod(drawn))
    return found


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


def write_comparison(
    solved: "Sequence[ComparedAxle]", files: CompareFiles, folder: Path, *, replace: bool, quiet: bool = False
) -> None:
    """Write a comparison's files, and print their names unless quiet."""
    from reports.outputs.output import write_outputs
    from reports.tables.terminal import progress

    written = [
        write_outputs(folder, outputs, one, replace=replace) for one, outputs in zip(solved, files.axles, strict=True)
    ]
    count = sum(len(outputs) for outputs in files.axles)
    for path in progress(chain.from_iterable(written), "plans", count):
        say_written(path, untold=quiet)


def _is_one_good(compared: "Comparison") -> bool:
    """Whether one plan is good all round."""
    done = compared.outcomes[1:]
    return any(one.buildable and one.findings and one.holding == len(one.findings) for one in done)
