"""The command `doubt`: how far to trust a car's numbers, and which measurement to do again."""

import argparse
import math
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError, did_you_mean

if TYPE_CHECKING:
    from kinematics.car.car import Axle, Car
    from kinematics.car.limits import Limits
    from kinematics.doubt.assessment import Assessment
    from kinematics.doubt.question import Question
    from kinematics.planning.plans import Plan

_TRAVEL, _TRAVELS = 60.0, 41  # mm either way
_ROLL, _ROLLS = math.radians(3.0), 25
_RACKS = 9
_EXACT = 1e-9  # mm, rad, rad/mm
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


def assess_car(car: "Car", limits: "Limits", draws: int, seed: int) -> "list[Assessment]":
    """Assess every axle that states a doubt, with a progress bar."""
    from kinematics.doubt.assessment import assess
    from reports.tables.terminal import tracked

    found = []
    for axle in doubtful_axles(car):
        track = tracked(f"{axle.name} axle, {draws} cars", draws)
        one = assess(axle, _question(axle), limits, draws=draws, seed=seed, track=track)
        assert one is not None  # only axles with a doubt are asked
        found.append(one)
    return found


def _question(axle: "Axle") -> "Question":
    import numpy as np

    from kinematics.doubt.question import Question
    from reports.outputs.sweep_files import is_steered, rack_samples

    travel, roll = np.linspace(-_TRAVEL, _TRAVEL, _TRAVELS), np.linspace(-_ROLL, _ROLL, _ROLLS)
    most = float(rack_samples(axle).max()) if is_steered(axle) else 0.0
    return Question(travel, roll, np.linspace(-most, most, _RACKS) if most else np.zeros(0))


def write_doubt(
    car: "Car",
    assessments: "Sequence[Assessment]",
    limits: "Limits",
    about: Sequence[str],
    files: "tuple[Path, str] | None",
    *,
    replace: bool,
) -> None:
    """Print every assessment, and write its files where a folder and a kind of drawing are given."""
    from reports.outputs.doubt_files import doubt_outputs
    from reports.outputs.sweep_files import write_outputs
    from reports.tables.doubt_table import show_doubt
    from reports.tables.terminal import console, progress

    out = console()
    for one in assessments:
        # What the measurements do not touch has no doubt to trace back.
        known = {key: one.first["ride height", key] for key in about if ("ride height", key) in one.first}
        asked = [key for key, first in known.items() if float(first.standard_deviation.max()) > _EXACT]
        show_doubt(out, car, one, limits, asked)
        if files is not None:
            folder, drawing = files
            outputs = doubt_outputs(car, one, limits, asked, drawing)
            written = write_outputs(folder, outputs, replace=replace)
            for path in progress(written, f"{one.axle.name} doubt", len(outputs)):
                out.print(f"wrote {path}", soft_wrap=True)


def doubt_targets(folder: Path, car: "Car", drawing: str) -> list[Path]:
    """Paths of all files that the doubt of a car's axles makes."""
    from reports.outputs.doubt_files import doubt_names
    from reports.outputs.sweep_files import is_steered

    axles = doubtful_axles(car)
    return [
        folder / name for axle in axles for name in doubt_names(axle.name, steered=is_steered(axle), drawing=drawing)
    ]


def plan_doubt_targets(folder: Path, car: "Car") -> list[Path]:
    """Paths of the files on the doubt of plans."""
    return [folder / f"{axle.name}_plans_doubt.csv" for axle in doubtful_axles(car)]


def doubt_of_plans(
    car: "Car",
    limits: "Limits",
    plans: "Sequence[Plan]",
    drawing: tuple[int, int],
    into: str | None,
    *,
    replace: bool,
) -> None:
    """Print how sure plans' numbers and changes are, drawing cars with a seed; write them where a folder is given."""
    from kinematics.doubt.differences import plan_doubts
    from reports.outputs.plan_doubt_files import write_plan_doubts
    from reports.outputs.safe_write import write_whole
    from reports.tables.plan_doubt_table import show_plan_doubts
    from reports.tables.terminal import console, tracked

    out = console()
    draws, seed = drawing
    paths = plan_doubt_targets(Path(into or ""), car)
    for axle, path in zip(doubtful_axles(car), paths, strict=True):
        track = tracked(f"plans on {draws} cars", draws)
        found = plan_doubts(car, axle, plans, limits, draws=draws, seed=seed, track=track)
        show_plan_doubts(out, car, axle, found, draws)
        if into is not None:
            write_whole(path, partial(write_plan_doubts, car, found), replace=replace)
            out.print(f"wrote {path}", soft_wrap=True)


def doubt(options: argparse.Namespace) -> int:
    """Print how far a car's numbers can be trusted; exit status as for `show`."""
    from reports.commands.car_and_limits import read_with_limits, within_limits
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.tables.terminal import console, show_caution

    car, limits = read_with_limits(options)
    refuse_without_doubt(car, options.car)
    about = _asked_about(options.about, car)
    files = None
    if options.into is not None:
        files = Path(options.into), options.drawing
        refuse_existing(doubt_targets(files[0], car, options.drawing), replace=options.replace)
    assessments = assess_car(car, limits, options.draws, options.seed)
    if files is not None:
        make_folder(files[0])
    write_doubt(car, assessments, limits, about, files, replace=options.replace)
    show_caution(console())
    return within_limits(car, limits)


def usually_asked_about() -> Sequence[str]:
    """The numbers whose sources are ranked where no others are named."""
    from kinematics.numbers.quantity import Where
    from kinematics.numbers.registry import keys_shown

    return keys_shown(Where.SOURCES_RANKED)


def _asked_about(words: Sequence[str] | None, car: "Car") -> Sequence[str]:
    """The numbers whose sources are ranked, by key or title, spaces or underscores."""
    from kinematics.numbers.registry import QUANTITIES, quantities_of

    if not words:
        return usually_asked_about()
    known = {key for axle in doubtful_axles(car) for key in quantities_of(axle)}
    by_words = {key: key for key in known} | {QUANTITIES[key].title: key for key in known}
    faults, found = [], []
    for word in words:
        key = by_words.get(word) or by_words.get(word.replace(" ", "_").replace("-", "_"))
        if key is None:
            faults.append(Fault("--about", f"this car has no number {word!r}{did_you_mean(word, sorted(known))}"))
        else:
            found.append(key)
    if faults:
        raise InputFaultError("cornersweep doubt", faults)
    return found
