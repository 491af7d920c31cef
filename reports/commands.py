"""What each command does. Slow libraries are imported where a command needs them."""

import argparse
import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.files.faults import Fault, InputFaultError
from reports.car_and_limits import OUTSIDE, WITHIN, read_with_limits

if TYPE_CHECKING:
    from kinematics.car import Axle, Car
    from kinematics.limits import Limits
    from kinematics.planning.plans import Plan
    from kinematics.planning.rules import Rule
    from kinematics.sweeps import Sweep
    from kinematics.verdict import Finding
    from reports.sweep_files import SweepJob

_DEMO_DRAWS = 200


def demo(options: argparse.Namespace) -> int:
    """Write the demo car's file and sweep it; 0 if that worked, whatever the verdict."""
    from kinematics.cars import DEMO_CARS, DEMO_PLANS, DEMO_SHELVES, DEMO_SURVEYS, demo_car, demo_plans, demo_text
    from reports.doubt_command import ABOUT, assess_car, doubt_targets, write_doubt
    from reports.safe_write import make_folder, refuse_existing, write_content
    from reports.terminal import console, show_caution

    folder = Path(options.folder)
    car = demo_car(DEMO_CARS[options.car])
    plans, shelf_name = DEMO_PLANS.get(options.car), DEMO_SHELVES.get(options.car)
    job = _job(options, car)
    names = (DEMO_CARS[options.car], plans, shelf_name, DEMO_SURVEYS.get(options.car))
    sources = {folder / name: demo_text(name) for name in names if name is not None}
    targets = [*sources, *_targets(folder, car, job)]
    if shelf_name is not None:
        targets += _lean_targets(folder, job.drawing)
    if plans is not None:
        targets += _plan_targets(folder, car.axles, job)
    targets += doubt_targets(folder, car, job.drawing)
    refuse_existing(targets, replace=options.replace)
    swept = _swept(car, job)
    make_folder(folder)
    for path, text in sources.items():
        write_content(path, text, replace=options.replace)
        print(f"wrote {path}")
    _write_sweeps(car, car.limits, (job, swept), folder, replace=options.replace)
    if shelf_name is not None:
        _demo_lean(car, shelf_name, folder, job.drawing, replace=options.replace)
    if plans is None:
        _judge(car, car.limits)
    else:
        read = demo_plans(plans)
        _compare_plans(car, car.limits, read.plans, read.rules, (job, folder), replace=options.replace)
    assessed = assess_car(car, car.limits, _DEMO_DRAWS, seed=1)
    write_doubt(car, assessed, car.limits, ABOUT, (folder, job.drawing), replace=options.replace)
    show_caution(console())
    return WITHIN


def _lean_targets(folder: Path, drawing: str) -> list[Path]:
    from reports.lean_files import targets

    return [*targets(folder, drawing), folder / "shelf.csv"]


def _demo_lean(car: "Car", shelf_name: str, folder: Path, drawing: str, *, replace: bool) -> None:
    """Lean and shelf of a demo car that tells its springs."""
    import tomllib

    from kinematics.cars import demo_text
    from kinematics.files.shelf_file import shelf_from
    from kinematics.loads.report import lean_sheet, whole_car
    from kinematics.loads.shelf import rank
    from reports.lean_files import lean_outputs
    from reports.lean_table import show_lean
    from reports.safe_write import write_whole
    from reports.shelf_table import show_ranking, write_ranking
    from reports.sweep_files import write_outputs
    from reports.terminal import console

    out = console()
    sheet = lean_sheet(car, car.limits.working)
    show_lean(out, car, sheet)
    for path in write_outputs(folder, lean_outputs(car, sheet, drawing), replace=replace):
        out.print(f"wrote {path}", soft_wrap=True)
    choices = shelf_from(tomllib.loads(demo_text(shelf_name)), f"built-in {shelf_name}", car)
    ranking = rank(whole_car(car), choices, car.limits)
    show_ranking(out, car, ranking, in_file=True)
    path = folder / "shelf.csv"
    write_whole(path, lambda file: write_ranking(ranking, car, file), replace=replace)
    out.print(f"wrote {path}", soft_wrap=True)


def new(options: argparse.Namespace) -> int:
    """Write or print a blank car file."""
    from kinematics.files.blank_file import blank_car_file
    from kinematics.lengths import UNITS
    from reports.safe_write import write_content
    from reports.suspension_names import suspension_named

    kind = suspension_named(options.suspension, "cornersweep new")
    axle = options.axle or ("front" if kind.rack else "rear")
    text = blank_car_file(kind, UNITS[options.units], axle)
    if options.file is None:
        print(text, end="")
        return WITHIN
    write_content(Path(options.file), text, replace=options.replace)
    print(f'wrote {options.file}: fill in every "?", then run: cornersweep show {options.file}')
    return WITHIN


def show(options: argparse.Namespace) -> int:
    """Print numbers at ride height and the verdict."""
    car, limits = read_with_limits(options)
    from reports.terminal import console, show_caution, show_roll_axis, show_static

    out = console()
    for axle in car.axles:
        show_static(out, car, axle)
    show_roll_axis(out, car)
    status = _judge(car, limits)
    show_caution(out)
    return status


def sweep(options: argparse.Namespace) -> int:
    """Sweep every axle into a folder of files; print numbers and the verdict."""
    from reports.safe_write import make_folder, refuse_existing
    from reports.terminal import console, show_caution

    car, limits = read_with_limits(options)
    job = _job(options, car)
    folder = Path(options.folder)
    refuse_existing(_targets(folder, car, job), replace=options.replace)
    swept = _swept(car, job)
    make_folder(folder)
    _write_sweeps(car, limits, (job, swept), folder, replace=options.replace)
    status = _judge(car, limits)
    show_caution(console())
    return status


def compare(options: argparse.Namespace) -> int:
    """Set plans beside the car as measured; within limits if one of them can be built and holds them all."""
    from kinematics.files.plan_file import quick_plan, read_plans
    from reports.doubt_command import doubt_of_plans, plan_doubt_targets, refuse_without_doubt
    from reports.safe_write import make_folder, refuse_existing
    from reports.terminal import console, show_caution

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
        job, folder = _job(options, car), Path(options.into)
        targets = _plan_targets(folder, car.axles, job) + (plan_doubt_targets(folder, car) if options.doubt else [])
        refuse_existing(targets, replace=options.replace)
        make_folder(folder)
        files = (job, folder)
    good = _compare_plans(car, limits, plans, read.rules, files, replace=options.replace)
    if options.doubt:
        doubt_of_plans(car, limits, plans, (options.draws, options.seed), options.into, replace=options.replace)
    show_caution(console())
    return WITHIN if good else OUTSIDE


def lean(options: argparse.Namespace) -> int:
    """Print springs, ride, roll and lean; write their files if there are to be some."""
    from kinematics.loads.grip import Tyre
    from kinematics.loads.report import lean_sheet
    from reports.lean_files import lean_outputs, targets
    from reports.lean_table import show_lean
    from reports.safe_write import make_folder, refuse_existing
    from reports.sweep_files import write_outputs
    from reports.terminal import console, show_caution

    car, limits = read_with_limits(options)
    if options.into is not None:
        refuse_existing(targets(Path(options.into), options.drawing), replace=options.replace)
    try:
        sheet = lean_sheet(car, limits.working, Tyre(options.grip, options.grip_loss))
    except ValueError as lacking:
        raise InputFaultError(options.car, [Fault("", str(lacking))]) from None
    out = console()
    show_lean(out, car, sheet)
    if options.into is not None:
        folder = Path(options.into)
        make_folder(folder)
        for path in write_outputs(folder, lean_outputs(car, sheet, options.drawing), replace=options.replace):
            out.print(f"wrote {path}", soft_wrap=True)
    show_caution(out)
    return WITHIN


def shelf(options: argparse.Namespace) -> int:
    """Rank every combination of the springs and bars of a shelf file."""
    from kinematics.files.shelf_file import read_shelf
    from kinematics.loads.report import whole_car
    from kinematics.loads.shelf import rank
    from reports.safe_write import refuse_existing, write_whole
    from reports.shelf_table import show_ranking, write_ranking
    from reports.terminal import console, show_caution

    car, limits = read_with_limits(options)
    try:
        whole = whole_car(car)
    except ValueError as lacking:
        raise InputFaultError(options.car, [Fault("", str(lacking))]) from None
    read = read_shelf(options.shelf, car)
    if options.table is not None:
        refuse_existing([Path(options.table)], replace=options.replace)
    try:
        ranking = rank(whole, read, limits)
    except ValueError as lacking:
        raise InputFaultError(options.car, [Fault("", str(lacking))]) from None
    out = console()
    show_ranking(out, car, ranking, in_file=options.table is not None)
    if options.table is not None:
        write_whole(Path(options.table), lambda file: write_ranking(ranking, car, file), replace=options.replace)
        out.print(f"wrote {options.table}", soft_wrap=True)
    show_caution(out)
    return WITHIN if bool((ranking.outside <= 0.0).any()) else OUTSIDE


def draw(options: argparse.Namespace) -> int:
    """Draw one axle's front view at one position."""
    import numpy as np

    from kinematics.steering import steered
    from kinematics.sweeps import stances
    from reports.safe_write import refuse_existing, write_whole
    from reports.sweep_files import drawn

    car, limits = read_with_limits(options)
    path = Path(options.file)
    ending = path.suffix.lstrip(".").lower()
    if ending not in ("png", "svg", "pdf"):
        raise InputFaultError("cornersweep draw", [Fault(options.file, "the file must end in .png, .svg or .pdf")])
    axle = _axle(car, options.axle)
    refuse_existing([path], replace=options.replace)
    if options.rack and not axle.suspension.rack:
        text = f"the {axle.name} axle, a {axle.suspension.name}, has no steering rack"
        raise InputFaultError("cornersweep draw", [Fault("--rack", text)])
    try:
        if options.rack:
            axle = steered(axle, np.array([car.unit.to_mm(options.rack)])).variant(0)
        bump = np.array([car.unit.to_mm(options.bump)])
        stance = stances(axle, bump, np.radians([options.roll]))
    except ValueError as reason:
        raise InputFaultError("cornersweep draw", [Fault("", f"this position cannot be reached: {reason}")]) from None
    from reports.front_view import front_view
    from reports.style import Sheet

    bumped = f"{options.bump:g} {car.unit.symbol}"
    turned = f", rack {options.rack:g} {car.unit.symbol} to the left" if options.rack else ""
    sheet = Sheet(f"Bump {bumped}, roll {options.roll:g} deg{turned}", car.name)
    figure = front_view(stance, car.unit, sheet, limits.of(axle))
    write_whole(path, drawn(lambda: figure, ending), replace=options.replace)
    print(f"wrote {path}")
    return WITHIN


def _swept(car: "Car", job: "SweepJob") -> "list[tuple[Axle, dict[str, Sweep]]]":
    """Sweep every axle before anything is written, so that a refusal leaves nothing behind."""
    from reports.sweep_files import run_sweeps

    return [(axle, run_sweeps(axle, job)) for axle in car.axles]


def _write_sweeps(
    car: "Car",
    limits: "Limits",
    done: "tuple[SweepJob, list[tuple[Axle, dict[str, Sweep]]]]",
    folder: Path,
    *,
    replace: bool,
) -> None:
    """Print every axle's numbers and write its files, then those of the whole car."""
    from reports.sweep_files import car_outputs, outputs, write_outputs
    from reports.terminal import console, progress, show_static

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


def _compare_plans(
    car: "Car",
    limits: "Limits",
    plans: "Sequence[Plan]",
    rules: "Sequence[Rule]",
    files: "tuple[SweepJob, Path] | None",
    *,
    replace: bool,
) -> bool:
    """Compare plans, write the comparison's files if there are to be some; whether one plan is good all round."""
    from kinematics.planning.comparison import compare as compare_plans
    from reports.compare_files import comparison_outputs
    from reports.compare_table import show_comparison
    from reports.sweep_files import write_outputs
    from reports.terminal import console, progress

    out = console()
    comparison = compare_plans(car, plans, limits, rules)
    show_comparison(out, comparison)
    if files is not None:
        job, folder = files
        outputs = [one for axle in car.axles for one in comparison_outputs(comparison, axle, job, limits)]
        for path in progress(write_outputs(folder, outputs, replace=replace), "plans", len(outputs)):
            out.print(f"wrote {path}", soft_wrap=True)
    done = comparison.outcomes[1:]
    return any(one.buildable and one.findings and one.holding == len(one.findings) for one in done)


def _judge(car: "Car", limits: "Limits") -> int:
    from kinematics.verdict import judge
    from reports.terminal import console, show_verdict

    findings: list[Finding] = [finding for axle in car.axles for finding in judge(axle, limits)]
    show_verdict(console(), findings, car.unit)
    return WITHIN if all(finding.holds for finding in findings) else OUTSIDE


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


def _targets(folder: Path, car: "Car", job: "SweepJob") -> list[Path]:
    own = [folder / name for axle in car.axles for name in job.file_names(axle)]
    return own + [folder / name for name in job.car_file_names(car)]


def _plan_targets(folder: Path, axles: "Sequence[Axle]", job: "SweepJob") -> list[Path]:
    from reports.compare_files import comparison_names

    return [folder / name for axle in axles for name in comparison_names(axle, job.drawing)]
