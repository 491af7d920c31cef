"""The command demo: everything on a built-in, invented car."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from reports.commands.car_and_limits import WITHIN
from reports.commands.compare import compare_plans, plan_targets
from reports.commands.sweep import judge_car, sweep_job, sweep_targets, swept_axles, write_sweeps

if TYPE_CHECKING:
    from kinematics.car.car import Car

_DRAWS = 200


def demo(options: argparse.Namespace) -> int:
    """Write the demo car's file and sweep it; 0 if that worked, whatever the verdict."""
    from kinematics.inputs.demo_cars import (
        DEMO_CARS,
        DEMO_PLANS,
        DEMO_SHELVES,
        DEMO_SURVEYS,
        demo_car,
        demo_plans,
        demo_text,
    )
    from reports.commands.doubt import assess_car, doubt_targets, usually_asked_about, write_doubt
    from reports.outputs.safe_write import make_folder, refuse_existing, write_content
    from reports.tables.terminal import console, show_caution

    folder = Path(options.folder)
    car = demo_car(DEMO_CARS[options.car])
    plans, shelf_name = DEMO_PLANS.get(options.car), DEMO_SHELVES.get(options.car)
    job = sweep_job(options, car)
    names = (DEMO_CARS[options.car], plans, shelf_name, DEMO_SURVEYS.get(options.car))
    sources = {folder / name: demo_text(name) for name in names if name is not None}
    targets = [*sources, *sweep_targets(folder, car, job)]
    if shelf_name is not None:
        targets += _lean_targets(folder, job.drawing)
    if plans is not None:
        targets += plan_targets(folder, car.axles, job)
    targets += doubt_targets(folder, car, job.drawing)
    refuse_existing(targets, replace=options.replace)
    swept = swept_axles(car, job)
    make_folder(folder)
    for path, text in sources.items():
        write_content(path, text, replace=options.replace)
        print(f"wrote {path}")
    write_sweeps(car, car.limits, (job, swept), folder, replace=options.replace)
    if shelf_name is not None:
        _demo_lean(car, shelf_name, folder, job.drawing, replace=options.replace)
    if plans is None:
        judge_car(car, car.limits)
    else:
        read = demo_plans(plans)
        compare_plans(car, car.limits, read.plans, read.rules, (job, folder), replace=options.replace)
    assessed = assess_car(car, car.limits, _DRAWS, seed=1)
    write_doubt(car, assessed, car.limits, usually_asked_about(), (folder, job.drawing), replace=options.replace)
    show_caution(console())
    return WITHIN


def _lean_targets(folder: Path, drawing: str) -> list[Path]:
    from reports.outputs.lean_files import targets

    return [*targets(folder, drawing), folder / "shelf.csv"]


def _demo_lean(car: "Car", shelf_name: str, folder: Path, drawing: str, *, replace: bool) -> None:
    """Lean and shelf of a demo car that tells its springs."""
    import tomllib

    from kinematics.inputs.demo_cars import demo_text
    from kinematics.inputs.plans.shelf_file import shelf_from
    from kinematics.loads.report import lean_sheet, whole_car
    from kinematics.loads.shelf import rank
    from reports.outputs.lean_files import lean_outputs
    from reports.outputs.safe_write import write_whole
    from reports.outputs.shelf_files import write_ranking
    from reports.outputs.sweep_files import write_outputs
    from reports.tables.lean_table import show_lean
    from reports.tables.shelf_table import show_ranking
    from reports.tables.terminal import console

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
