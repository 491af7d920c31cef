"""The command find: what to do about a car, within the means at hand."""

import argparse
import shlex
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import STAND_IN, Fault, InputFaultError
from reports.commands.car_and_limits import (
    OUTSIDE,
    WITHIN,
    files_named,
    read_with_limits,
    say_where_readings_disagree,
    written_so,
)
from reports.commands.write_car import CarToWrite
from reports.jobs import sharing
from reports.voice import say_written

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from kinematics.car.car import Car
    from kinematics.car.lengths import LengthUnit
    from kinematics.car.limits import Limits
    from kinematics.finding.found_plans import Search
    from kinematics.finding.means import Means
    from kinematics.finding.verified import Progress
    from reports.outputs.find_files import Found
    from reports.outputs.output import Output
    from reports.words.finding import Heights


def find(options: argparse.Namespace) -> int:
    """Find what to change; within limits if a plan of the means holds them all."""
    from kinematics.inputs.plans.means_file import read_means
    from reports.documents.document import put_document
    from reports.documents.search import search_document
    from reports.outputs.output import paths
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.tables.find_table import show_search
    from reports.tables.terminal import console, show_caution, working

    car, limits = read_with_limits(options)
    say_where_readings_disagree(car)
    refuse_no_means(options.means, car.unit)
    means = read_means(options.means, car)
    car = written_so(car, fractions=means.fractions)
    refuse_nothing_to_hold(options, car, limits)
    folder = None if options.into is None else Path(options.into)
    outputs = [] if folder is None else _outputs(options)
    chosen = CarToWrite.of(options.write_car, options.car)
    targets = [] if folder is None else paths(folder, outputs)
    refuse_existing([*targets, *(chosen.paths if chosen else [])], replace=options.replace)
    with sharing(options.jobs) as executor:
        search = searched(car, means, limits, options.means, executor)
    with working("solving what was found"):
        text = _chosen_text(chosen, car, search) if chosen is not None else ""
        heights = roll_centres(car, limits, search)
    show_search(console(), search, car, limits, heights, _next(options, search), options.car)
    if folder is not None:
        make_folder(folder)
        _write(_found(options, car, search), outputs, folder, replace=options.replace)
    if chosen is not None:
        chosen.write(text, car, replace=options.replace)
    show_caution(console())
    put_document("find", car, lambda: search_document(search, car))
    return WITHIN if search.found else OUTSIDE


def refuse_no_means(source: str, unit: "LengthUnit") -> None:
    """Raise InputFaultError where there is no such means file; it says how to make one in the car's unit."""
    if source != STAND_IN and not Path(source).exists():
        units = "" if unit.symbol == "mm" else f" --units {unit.symbol}"
        text = f"there is no such file; `cornersweep new means {source}{units}` writes one to change"
        raise InputFaultError(source, [Fault("", text)])


def refuse_nothing_to_hold(options: argparse.Namespace, car: "Car", limits: "Limits") -> None:
    """Raise InputFaultError where no limits are stated, for a search holds plans against them."""
    if not any(limits.of(axle) for axle in car.axles):
        text = "is missing: no limits are stated, so there is nothing to hold; add them to the car file, or --limits"
        raise InputFaultError(options.limits or options.car, [Fault("limits", text)])


def roll_centres(car: "Car", limits: "Limits", search: "Search") -> "Heights":
    """Where the first axle's roll centre is as measured and after the best plan."""
    import numpy as np

    from kinematics.car.limits import ROLL_CENTRE
    from kinematics.planning.plans import carry_out
    from kinematics.planning.refusal import Cause
    from kinematics.sweeps.body import sweep_bump
    from reports.words.finding import Heights
    from reports.words.not_judged import BUMP_STEER

    axle = car.axles[0]
    plans = [search.best.plan, *(one.plan for one in search.alternatives)]
    changed = [one[axle.name] for one in carry_out(car, plans)]
    apart = Cause.DO_NOT_FIT, Cause.NOT_ALIGNED
    there = [not any(refusal.cause in apart for refusal in one.refusals) for one in changed]
    swept = [
        sweep_bump(one, np.zeros(1)) if fits else None
        for one, fits in zip([axle, *(one.axle for one in changed)], [True, *there], strict=True)
    ]
    measured, after, *_ = (None if one is None else float(one[ROLL_CENTRE.key][0]) for one in swept)
    assert measured is not None  # the car as measured fits
    steer = tuple(
        () if one is None or BUMP_STEER not in one.values else tuple(one[BUMP_STEER][:, 0].tolist()) for one in swept
    )
    own = (one for one in limits.of(axle) if one.key == ROLL_CENTRE.key and "ride height" in one.over)
    return Heights(axle.name, measured, after, next(own, None), steer)


def _chosen_text(chosen: CarToWrite, car: "Car", search: "Search") -> str:
    """The car file of the plan that was chosen among those that were found."""
    from reports.words.finding import plan_names, plan_words, unbuildable_words

    plans = dict(zip(plan_names(search), [search.best, *search.alternatives], strict=True))
    chosen.refuse_unknown(list(plans))
    one = plans[chosen.plan]
    chosen.refuse_unbuildable(list(unbuildable_words(search, one, car.unit)))
    return chosen.text(car, replace(one.plan, name=chosen.plan), plan_words(search, one, car.unit) or "nothing")


def searched(car: "Car", means: "Means", limits: "Limits", source: str, executor: "Executor | None") -> "Search":
    """Search the means of a file for a plan; InputFaultError where they cannot be searched."""
    from kinematics.finding import search
    from kinematics.finding.fittings import NoneLeansSoError
    from kinematics.loads.readiness import NotReadyError
    from reports.words.fittings import none_leans_words
    from reports.words.lean import lack_words

    try:
        with _told() as tell:
            return search.find(car, means, limits, progress=tell, executor=executor)
    except NoneLeansSoError as error:
        raise InputFaultError(source, [Fault("lean", none_leans_words(error.nearest))]) from None
    except NotReadyError as error:
        raise InputFaultError(source, [Fault("", lack_words(error.lacks, "a choice of springs and bars"))]) from None
    except ValueError as error:
        raise InputFaultError(source, [Fault("may", f"{error}; take smaller amounts")]) from None


@contextmanager
def _told() -> "Iterator[Progress]":
    """What says on standard error, only if that is a terminal, what the search is doing."""
    from rich.status import Status

    from reports.tables.terminal import working

    with working("finding plans") as status:

        def tell(what: str, done: int, count: int) -> None:
            if isinstance(status, Status):
                status.update(f"{what} ({done} of {count})" if count > 1 else what)

        yield tell


def _next(options: argparse.Namespace, search: "Search") -> str:
    """The next command."""
    from reports.outputs.find_names import BEST_CAR, PLANS
    from reports.words.headline import NEXT
    from reports.words.wrapped import WIDTH

    if not search.best.parts:
        words = ["doubt", *files_named(options)] if search.found else ["influence", options.car]
    elif search.best.holds and not search.found:
        words = ["doubt", *files_named(options)]
    elif options.into is None:
        words = ["find", *files_named(options), options.means, "--into", "out"]
    elif search.found:
        words = ["setup", *files_named(options), str(Path(options.into) / PLANS), "--plan", "best"]
        if len(f"{NEXT}cornersweep {shlex.join(words)}") > WIDTH:
            words = ["sweep", str(Path(options.into) / BEST_CAR), "swept"]
    else:
        words = ["compare", *files_named(options), str(Path(options.into) / PLANS)]
    return shlex.join(["cornersweep", *words])


def _outputs(options: argparse.Namespace) -> "list[Output[Found]]":
    from kinematics.inputs.reading.toml_file import read_toml
    from reports.outputs.find_files import find_outputs

    return find_outputs(read_toml(Path(options.car)), options.drawing)


def _found(options: argparse.Namespace, car: "Car", search: "Search") -> "Found":
    from kinematics.inputs.reading.toml_file import read_toml
    from reports.outputs.find_files import Found

    car_file = Path(options.car)
    return Found(search, car, car_file, Path(options.means), read_toml(car_file))


def _write(found: "Found", outputs: "list[Output[Found]]", folder: Path, *, replace: bool) -> None:
    from reports.outputs.output import write_outputs
    from reports.tables.terminal import progress

    for path in progress(write_outputs(folder, outputs, found, replace=replace), "what was found", len(outputs)):
        say_written(path)
