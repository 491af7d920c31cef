"""The command travel: how far each corner can go, and what ends it."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.car_and_limits import OUTSIDE, WITHIN, files_named, read_with_limits, say_where_readings_disagree
from reports.shared_options import add_drawing_and_replace
from reports.voice import say_written

if TYPE_CHECKING:
    from kinematics.car.car import Car
    from kinematics.planning.plans import Plan


def add_travel(add: Callable[[str, Callable[[argparse.Namespace], int], str], argparse.ArgumentParser]) -> None:
    """Add the command to a menu; `add` makes a parser of a name, what runs, and what it is about."""
    parser = add("travel", travel, "tell how far each corner can go in bump and droop, and what ends it")
    parser.add_argument("car", help="the car file (TOML); - is standard input")
    parser.add_argument("plans", nargs="*", help="plan files (TOML): the same after each of their plans")
    parser.add_argument("--shelf", metavar="FILE", help="the same with each spring of this shelf file (TOML) by itself")
    parser.add_argument("--limits", metavar="FILE", help="take the working travel from this file, not the car file")
    parser.add_argument("--into", metavar="FOLDER", help="write the table and the picture into this folder")
    parser.add_argument(
        "--all", action="store_true", help="also print everything that could end it, in the order in which it comes"
    )
    add_drawing_and_replace(parser)


def travel(options: argparse.Namespace) -> int:
    """Print what ends each corner's travel, as measured and after plans; within limits if all have what is used."""
    from kinematics.inputs.plans.plan_file import read_plans
    from kinematics.planning.plans import Plan
    from kinematics.planning.travel_budget import travel_budgets
    from reports.documents.document import put_document
    from reports.documents.travel import travel_document
    from reports.outputs.output import paths, write_outputs
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.outputs.travel_files import travel_outputs
    from reports.tables.terminal import console, progress, show_caution, working
    from reports.tables.travel_table import show_travel
    from reports.words.headline import next_line
    from reports.words.plan_cautions import before_it_is_driven, full_cautions
    from reports.words.travel import SHELF_NOTE
    from reports.words.wrapped import wrapped

    car, limits = read_with_limits(options)
    say_where_readings_disagree(car)
    plans = (*(read_plans(options.plans, car).plans if options.plans else ()), *_of_shelf(options, car))
    outputs = travel_outputs(car, limits.working, options.drawing)
    folder = None if options.into is None else Path(options.into)
    if folder is not None:
        refuse_existing(paths(folder, outputs), replace=options.replace)
    with working("looking for the ends of the travel"):
        budgets = travel_budgets(car, plans, limits.working)
    out = console()
    named = files_named(options)
    then = next_line("compare", named, *(options.plans or ["my_plans.toml"])).removeprefix("Next: ")
    show_travel(out, budgets, car, limits.working, then, everything=options.all)
    for line in wrapped(SHELF_NOTE) if options.shelf is not None else ():
        out.print(line)
    if folder is not None:
        make_folder(folder)
        written = write_outputs(folder, outputs, budgets, replace=options.replace)
        for path in progress(written, "travel", len(outputs)):
            say_written(path)
    every = Plan("all of them", tuple(change for plan in plans for change in plan.changes if change.size))
    cautions = full_cautions(every) if options.all else before_it_is_driven(every)
    for line in (line for text in cautions for line in wrapped(text)):
        out.print(line)
    show_caution(out)
    put_document("travel", car, lambda: travel_document(budgets, car, limits.working))
    return OUTSIDE if any(one.short(limits.working) for one in budgets) else WITHIN


def _of_shelf(options: argparse.Namespace, car: "Car") -> "list[Plan]":
    """The springs of a shelf as plans, where one is named."""
    from kinematics.inputs.plans.shelf_file import read_shelf
    from kinematics.loads.readiness import NotReadyError, refuse_unready
    from kinematics.planning.shelf_plans import shelf_plans
    from reports.words.lean import lack_words

    if options.shelf is None:
        return []
    shelf = read_shelf(options.shelf, car)
    try:
        refuse_unready(car)
        return shelf_plans(car, shelf)
    except NotReadyError as found:
        raise InputFaultError(options.car, [Fault("", lack_words(found.lacks))]) from None
