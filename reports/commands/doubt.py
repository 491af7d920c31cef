"""The command `doubt`: how far to trust a car's numbers, and which measurement to do again."""

import argparse
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.car_and_limits import OUTSIDE, WITHIN, files_named, read_with_limits, say_where_readings_disagree
from reports.commands.number_named import number_named
from reports.jobs import sharing
from reports.voice import say_written

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from rich.console import Console

    from kinematics.car.car import Axle, Car
    from kinematics.car.limits import Limits
    from kinematics.doubt.assessment import Assessment
    from kinematics.doubt.differences import PlanDoubt
    from kinematics.doubt.lean_doubt import LeanDoubt
    from kinematics.doubt.question import Question
    from kinematics.motion.moving_axle import MovingAxle
    from kinematics.planning.plans import Plan
    from reports.outputs.doubt_files import AssessedAxle
    from reports.outputs.output import Output

    Ready = Mapping[str, MovingAxle]

_TRAVEL, _TRAVELS = 60.0, 41  # mm either way
_ROLL, _ROLLS = math.radians(3.0), 25
_RACKS = 9
_NO_DOUBT = (
    "says nothing of how well it was measured; give measured_to (one standard deviation of a measured coordinate, such "
    "as 2 mm), known_to for single points, or make the car file from a survey"
)


def doubtful_axles(car: "Car") -> "list[Axle]":
    """The axles whose doubt is known."""
    return [axle for axle in car.axles if axle.doubt is not None]


def refuse_without_doubt(car: "Car", file: str) -> None:
    """Raise InputFaultError for a car that says nothing of how well it was measured."""
    if not doubtful_axles(car):
        raise InputFaultError(file, [Fault("measured_to", _NO_DOUBT)])


def assess_car(
    car: "Car",
    limits: "Limits",
    draws: int,
    seed: int,
    ready: "Ready",
    cars: "Ready | None" = None,
    executor: "Executor | None" = None,
) -> "list[Assessment]":
    """Assess every axle that states a doubt, with a progress bar.

    ready: the axles by name, and cars: those that they might be, ready for all that is asked.
    """
    from kinematics.doubt.assessment import assess
    from reports.tables.terminal import tracked

    found = []
    for axle in doubtful_axles(car):
        track = tracked(f"{axle.name} axle, {draws} cars", draws)
        own, might_be = ready[axle.name], (cars or {}).get(axle.name)
        one = assess(
            axle,
            question_of(axle, limits),
            limits,
            draws=draws,
            seed=seed,
            track=track,
            executor=executor,
            ready=own,
            cars=might_be,
        )
        assert one is not None  # only axles with a doubt are asked
        found.append(one)
    return found


def question_of(axle: "Axle", limits: "Limits") -> "Question":
    """What is asked of an axle whose doubt is known."""
    import numpy as np

    from kinematics.doubt.question import Question
    from kinematics.numbers.outer_share import within
    from kinematics.sweeps.sweep_job import is_steered, rack_samples

    travel, roll = np.linspace(-_TRAVEL, _TRAVEL, _TRAVELS), np.linspace(-_ROLL, _ROLL, _ROLLS)
    most = float(rack_samples(axle).max()) if is_steered(axle) else 0.0
    return Question(
        travel, roll, np.linspace(-most, most, _RACKS) if most else np.zeros(0), within(limits).of(axle.name)
    )


@dataclass(frozen=True)
class DoubtFiles:
    """The files that the doubt of a car is going to write, of each axle that states one."""

    folder: Path
    axles: "Sequence[Sequence[Output[AssessedAxle]]]"

    @classmethod
    def of(cls, car: "Car", limits: "Limits", folder: Path, drawing: str) -> "DoubtFiles":
        """Those of a car; drawing: the figures' ending."""
        from reports.outputs.doubt_files import doubt_outputs

        return cls(folder, [doubt_outputs(car, axle, limits, drawing) for axle in doubtful_axles(car)])

    @property
    def paths(self) -> list[Path]:
        """Where all of them go."""
        return [self.folder / one.name for own in self.axles for one in own]


def show_asked(out: "Console", car: "Car", assessments: "Sequence[Assessment]", about: Sequence[str]) -> None:
    """Print what the doubt of numbers comes from, axle by axle."""
    from reports.tables.doubt_table import show_sources

    for one in assessments:
        for key in traced(one, about):
            show_sources(out, car.unit, one, key)


def traced(assessment: "Assessment", about: Sequence[str]) -> list[str]:
    """Those of the numbers that have a doubt to trace back: what the measurements do not touch has none."""
    from kinematics.doubt.assessment import EXACT

    known = {key: assessment.first["ride height", key] for key in about if ("ride height", key) in assessment.first}
    return [key for key, first in known.items() if float(first.standard_deviation.max()) > EXACT]


def write_doubt(
    assessments: "Sequence[Assessment]",
    about: Sequence[str],
    files: DoubtFiles | None,
    *,
    replace: bool,
    quiet: bool = False,
) -> None:
    """Write the files of all assessments, where there are to be some, and print their names unless quiet."""
    from reports.outputs.doubt_files import AssessedAxle
    from reports.outputs.output import write_outputs
    from reports.tables.terminal import progress

    for one, outputs in zip(assessments, files.axles if files is not None else (), strict=False):
        assert files is not None  # without files there are no outputs
        written = write_outputs(files.folder, outputs, AssessedAxle(one, traced(one, about)), replace=replace)
        for path in progress(written, f"{one.axle.name} doubt", len(outputs)):
            say_written(path, untold=quiet)


def plan_doubt_targets(folder: Path, car: "Car") -> list[Path]:
    """Paths of the files on the doubt of plans."""
    return [folder / f"{axle.name}_plans_doubt.csv" for axle in doubtful_axles(car)]


def solve_plan_doubts(
    car: "Car",
    limits: "Limits",
    plans: "Sequence[Plan]",
    drawing: tuple[int, int],
    executor: "Executor | None" = None,
) -> "list[list[PlanDoubt]]":
    """How sure plans' numbers and changes are, for each axle that states a doubt, drawing so many cars with a seed."""
    from kinematics.doubt.differences import plan_doubts
    from reports.tables.terminal import tracked

    draws, seed = drawing
    track = tracked(f"plans on {draws} cars", draws)
    return [
        plan_doubts(car, axle, plans, limits, draws=draws, seed=seed, track=track, executor=executor)
        for axle in doubtful_axles(car)
    ]


def show_doubt_of_plans(
    car: "Car",
    doubts: "Sequence[Sequence[PlanDoubt]]",
    draws: int,
    into: str | None,
    *,
    replace: bool,
    best: Sequence[str] | None,
) -> None:
    """Print how sure plans and changes are, everything or of the best plans; write it where a folder is given."""
    from reports.outputs.plan_doubt_files import write_plan_doubts
    from reports.outputs.safe_write import write_whole
    from reports.tables.plan_doubt_table import show_plan_doubts, show_sure_changes
    from reports.tables.terminal import console
    from reports.words.lean_doubt import in_chances_words

    out = console()
    paths = plan_doubt_targets(Path(into or ""), car)
    for axle, found, path in zip(doubtful_axles(car), doubts, paths, strict=False):
        if best is None:
            show_plan_doubts(out, car, axle, found, draws)
        else:
            show_sure_changes(out, car, axle, found, best)
        if into is not None:
            write_whole(path, partial(write_plan_doubts, car, found), replace=replace)
            say_written(path)
    if counted := in_chances_words(car):
        out.print(counted, highlight=False)


def doubt(options: argparse.Namespace) -> int:
    """Print how far a car's numbers can be trusted; exit status as for `show`."""
    from kinematics.judging.verdict import judge
    from kinematics.sweeps.asked import made_ready, over_working
    from reports.documents.document import put_document
    from reports.documents.doubt import doubt_document
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.tables.doubt_decisive import show_doubt_decisive
    from reports.tables.doubt_table import show_doubt
    from reports.tables.lean_doubt_table import show_lean_doubt
    from reports.tables.terminal import console, show_caution, working
    from reports.words.headline import means_of
    from reports.words.lean_doubt import in_chances_words

    car, limits = read_with_limits(options)
    say_where_readings_disagree(car)
    refuse_without_doubt(car, options.car)
    about = _asked_about(options.about, car)
    files = None
    if options.into is not None:
        files = DoubtFiles.of(car, limits, Path(options.into), options.drawing)
        refuse_existing(files.paths, replace=options.replace)
    asked = over_working(limits.working)
    with working("solving"):
        ready = {axle.name: made_ready(axle, *asked, *question_of(axle, limits).asked) for axle in car.axles}
        findings = [one for axle in car.axles for one in judge(axle, limits, ready[axle.name])]
    with sharing(options.jobs) as executor:
        assessments = assess_car(car, limits, options.draws, options.seed, ready, executor=executor)
    if files is not None:
        make_folder(files.folder)
    out, named = console(), options.about is not None
    words = files_named(options), means_of(options.car)
    show_doubt_decisive(out, assessments, findings, limits, car, *words, everything=options.all or named)
    for one in assessments if options.all else ():
        show_doubt(out, car, one, limits)
    if counted := in_chances_words(car):
        out.print(counted, highlight=False)
    leaning = _leaning(car, limits) if options.all else None
    if leaning is not None:
        show_lean_doubt(out, car, leaning)
    if options.all or named:
        show_asked(out, car, assessments, about)
    write_doubt(assessments, about, files, replace=options.replace)
    show_caution(out)
    put_document("doubt", car, lambda: doubt_document(assessments, findings, car, leaning or _leaning(car, limits)))
    return WITHIN if all(one.holds for one in findings) else OUTSIDE


def _leaning(car: "Car", limits: "Limits") -> "LeanDoubt | None":
    """How far to trust the car's lean; None where its springs and weights are not told, or cannot be reckoned with."""
    from kinematics.doubt.lean_doubt import lean_doubt
    from kinematics.loads.readiness import NotReadyError, lacking
    from kinematics.loads.report import lean_sheet

    if lacking(car):
        return None
    try:
        return lean_doubt(car, lean_sheet(car, limits.working), limits.working)
    except NotReadyError:
        return None


def usually_asked_about() -> Sequence[str]:
    """The numbers whose sources are ranked where no others are named."""
    from kinematics.numbers.quantity import Where
    from kinematics.numbers.registry import keys_shown

    return keys_shown(Where.SOURCES_RANKED)


def _asked_about(words: Sequence[str] | None, car: "Car") -> Sequence[str]:
    """The numbers whose sources are ranked, by key or title, spaces or underscores."""
    from kinematics.numbers.registry import quantities_of

    if not words:
        return usually_asked_about()
    known = {key for axle in doubtful_axles(car) for key in quantities_of(axle)}
    told = [number_named(word, known, "--about") for word in words]
    faults = [one for one in told if isinstance(one, Fault)]
    if faults:
        raise InputFaultError("cornersweep doubt", faults)
    return [one for one in told if isinstance(one, str)]
