"""The command travel: how far each corner can go, and what ends it."""

import argparse
from pathlib import Path

from reports.commands.car_and_limits import OUTSIDE, WITHIN, files_named, read_with_limits


def travel(options: argparse.Namespace) -> int:
    """Print what ends each corner's travel, as measured and after plans; within limits if all have what is used."""
    from kinematics.inputs.plans.plan_file import read_plans
    from kinematics.planning.travel_budget import travel_budgets
    from reports.outputs.output import paths, write_outputs
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.outputs.travel_files import travel_outputs
    from reports.tables.terminal import console, show_caution, working
    from reports.tables.travel_table import show_travel
    from reports.words.headline import next_line
    from reports.words.plan_cautions import before_it_is_driven

    car, limits = read_with_limits(options)
    plans = read_plans(options.plans, car).plans if options.plans else ()
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
    if folder is not None:
        make_folder(folder)
        for path in write_outputs(folder, outputs, budgets, replace=options.replace):
            out.print(f"wrote {path}", soft_wrap=True)
    for line in before_it_is_driven(*plans):
        out.print(line)
    show_caution(out)
    return OUTSIDE if any(one.short(limits.working) for one in budgets) else WITHIN
