"""The command demo: everything on a built-in, invented car."""

import argparse
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from reports.commands.car_and_limits import WITHIN, as_the_car_moves
from reports.commands.compare import CompareFiles, show_compared, swept_comparison, write_comparison
from reports.commands.doubt import (
    DoubtFiles,
    assess_car,
    doubtful_axles,
    question_of,
    show_asked,
    usually_asked_about,
    write_doubt,
)
from reports.commands.sweep import SweepFiles, show_all, solve_car, sweep_job, write_sweeps

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from kinematics.car.car import Car
    from kinematics.doubt.assessment import Assessment
    from kinematics.loads.shelf import Ranking
    from kinematics.motion.moving_axle import MovingAxle
    from kinematics.planning.comparison import Comparison
    from kinematics.planning.shelf_travel import ShelfTravel
    from reports.outputs.compare_files import ComparedAxle
    from reports.outputs.lean_files import LeanFound
    from reports.outputs.output import Output

    _Leaned = tuple[LeanFound, Ranking, Sequence[ShelfTravel]]

_DRAWS = 200
_SHELF_TABLE = "shelf.csv"


def demo(options: argparse.Namespace) -> int:
    """Write the demo car's file and sweep it; 0 if that worked, whatever the verdict."""
    from kinematics.inputs.demo_cars import (
        DEMO_CARS,
        DEMO_MEANS,
        DEMO_PLANS,
        DEMO_SHELVES,
        DEMO_SURVEYS,
        HATCHBACK,
        demo_car,
        demo_text,
    )
    from reports.commands.demo_story import tell_story
    from reports.outputs.safe_write import write_content
    from reports.outputs.staged import refuse_changed, staged
    from reports.tables.decisive import show_decisive
    from reports.tables.terminal import console, show_caution, show_written, working

    folder, drawing = Path(options.folder), options.drawing
    car = demo_car(DEMO_CARS[options.car])
    if options.car == HATCHBACK:
        names = (DEMO_CARS[HATCHBACK], DEMO_PLANS[HATCHBACK], DEMO_MEANS[HATCHBACK])
        return tell_story(options, {name: demo_text(name) for name in names}, car)
    car = replace(car, limits=as_the_car_moves(car.limits, car, options))
    plans, shelf = DEMO_PLANS.get(options.car), DEMO_SHELVES.get(options.car)
    built_in = (DEMO_CARS[options.car], plans, DEMO_MEANS.get(options.car), shelf, DEMO_SURVEYS.get(options.car))
    sources = {folder / name: demo_text(name) for name in built_in if name is not None}
    sweeps = SweepFiles.of(car, sweep_job(options, car), car.limits, drawing)
    leans = _LeanFiles.of(car, shelf, folder, drawing)
    compares = None if plans is None else CompareFiles.of(car, sweeps.job, car.limits, drawing)
    doubts = DoubtFiles.of(car, car.limits, folder, drawing)
    targets = [*sources, *sweeps.paths(folder), *leans.paths]
    targets += compares.paths(folder) if compares else []
    refuse_changed(sources, [*targets, *doubts.paths], replace=options.replace)

    asked = [one for axle in doubtful_axles(car) for one in question_of(axle, car.limits).asked]
    with working("sweeping"):
        solved = solve_car(car, sweeps.job, car.limits, *asked)
    with working("finding the balance"):
        leaned = _solve_lean(car, shelf)
    ready = {one.axle.name: one.measured.ready for one in solved.axles}
    cars = {one.axle.name: one.measured.cars for one in solved.axles if one.measured.cars is not None}
    with working("trying plans"):
        compared = None if plans is None else _solve_plans(car, plans, sweeps, ready)
    assessed = assess_car(car, car.limits, _DRAWS, 1, ready, cars)

    out, files = console(), [str(folder / DEMO_CARS[options.car])]
    means = DEMO_MEANS.get(options.car)
    beside = None if means is None else str(folder / means)
    told = solved.as_measured(car.limits)
    show_decisive(out, told, car.limits, files, everything=options.all, swept=True, means=beside)
    if options.all:
        show_all(car, solved.measured, solved.roll_axis.at_rest if solved.roll_axis else None)
        _show_more(car, leaned, compared, assessed)
    with staged(folder, replace=options.replace) as place:
        for path, text in sources.items():
            write_content(place / path.name, text)
        write_sweeps(solved, sweeps, place, replace=False, quiet=True)
        _write_lean(leaned, replace(leans, folder=place), car)
        if compared is not None and compares is not None:
            write_comparison(compared[1], compares, place, replace=False, quiet=True)
        write_doubt(assessed, usually_asked_about(), replace(doubts, folder=place), replace=False, quiet=True)
    show_written(out, folder, [*targets, *doubts.paths])
    show_caution(out)
    return WITHIN


def _show_more(
    car: "Car",
    leaned: "_Leaned | None",
    compared: "tuple[Comparison, Sequence[ComparedAxle]] | None",
    assessed: "Sequence[Assessment]",
) -> None:
    """Print everything about lean and shelf, plans and doubt."""
    from reports.tables.doubt_table import show_doubt
    from reports.tables.lean_table import show_lean
    from reports.tables.shelf_table import show_ranking
    from reports.tables.terminal import console

    out = console()
    if leaned is not None:
        show_lean(out, car, leaned[0].sheet)
        show_ranking(out, car, leaned[1], leaned[2], car.limits.working, in_file=True)
    if compared is not None:
        show_compared(compared[0])
    for one in assessed:
        show_doubt(out, car, one, car.limits)
    show_asked(out, car, assessed, usually_asked_about())


def _solve_plans(
    car: "Car", plans: str, sweeps: SweepFiles, ready: "Mapping[str, MovingAxle]"
) -> "tuple[Comparison, Sequence[ComparedAxle]]":
    """Built-in plans compared, and those swept that are drawn."""
    from kinematics.inputs.demo_cars import demo_plans
    from kinematics.planning.comparison import compare

    read = demo_plans(plans, car)
    compared = compare(car, read.plans, car.limits, read.rules, *sweeps.job.along_curves, ready=ready)
    return compared, swept_comparison(compared, sweeps.job)


@dataclass(frozen=True)
class _LeanFiles:
    """The files on lean and shelf of a demo car: none for one that does not tell its springs."""

    folder: Path
    outputs: "Sequence[Output[LeanFound]]"

    @classmethod
    def of(cls, car: "Car", shelf: str | None, folder: Path, drawing: str) -> "_LeanFiles":
        from reports.outputs.lean_files import lean_outputs

        return cls(folder, [] if shelf is None else lean_outputs(car, drawing))

    @property
    def paths(self) -> list[Path]:
        return [*(self.folder / one.name for one in self.outputs), *([self.shelf_table] if self.outputs else [])]

    @property
    def shelf_table(self) -> Path:
        return self.folder / _SHELF_TABLE


def _solve_lean(car: "Car", shelf: str | None) -> "_Leaned | None":
    """Lean and shelf of a demo car that tells its springs."""
    import tomllib

    from kinematics.inputs.demo_cars import demo_text
    from kinematics.inputs.plans.shelf_file import shelf_from
    from kinematics.loads.shelf import rank
    from kinematics.planning.shelf_travel import shelf_travel
    from reports.outputs.lean_files import LeanFound

    if shelf is None:
        return None
    found = LeanFound.of(car, car.limits.working)
    choices = shelf_from(tomllib.loads(demo_text(shelf)), f"built-in {shelf}", car)
    ranking = rank(found.sheet.car, choices, car.limits)
    return found, ranking, shelf_travel(car, choices, ranking, car.limits.working)


def _write_lean(leaned: "_Leaned | None", files: _LeanFiles, car: "Car") -> None:
    from reports.outputs.output import write_outputs
    from reports.outputs.safe_write import write_whole
    from reports.outputs.shelf_files import write_ranking
    from reports.tables.terminal import progress

    if leaned is None:
        return
    found, ranking, travel = leaned
    for _ in progress(write_outputs(files.folder, files.outputs, found, replace=False), "lean", len(files.outputs)):
        pass
    write_whole(files.shelf_table, lambda file: write_ranking(ranking, travel, car, file))
