"""The command report: everything about a car in one file, to print, to hand on, to keep."""

import argparse
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError, did_you_mean, shown
from reports.commands.car_and_limits import OUTSIDE, WITHIN, files_named, read_with_limits, written_so
from reports.shared_options import USUAL_SWEEP, add_car, add_jobs, add_paper, add_replace
from reports.voice import say_written

if TYPE_CHECKING:
    from kinematics.car.car import Car
    from kinematics.car.lengths import LengthUnit
    from kinematics.car.limits import Limits
    from kinematics.planning.plans import Plan
    from kinematics.planning.rules import Rule
    from reports.paper.blocks import Document
    from reports.paper.solved import Asked, ReportSolved
    from reports.sheet.paper import Paper

_NAME = "cornersweep report"
_FOUND = ", found"  # what tells a plan that was found from one of that name
_ENDINGS = (".html", ".htm", ".pdf")


def add_report(add: Callable[[str, Callable[[argparse.Namespace], int], str], argparse.ArgumentParser]) -> None:
    """Add the command to a menu; `add` makes a parser of a name, what runs, and what it is about."""
    parser = add("report", report, "write everything about a car into one file, to print or to hand on")
    add_car(parser)
    parser.add_argument("file", help="the report to write: .html, one page that opens anywhere; .pdf, to print")
    parser.add_argument("plans", nargs="*", help="plan files (TOML): the best plan beside the car as measured")
    parser.add_argument(
        "--plan",
        nargs=2,
        metavar=("PLANS", "NAME"),
        help="tell of the plan of this name in a plan file, whether it is the best or not",
    )
    parser.add_argument("--means", metavar="FILE", help="find the plan with what this means file says may be done")
    parser.add_argument("--date", metavar="TEXT", help="write this date on the report (default: none)")
    add_paper(parser)
    add_jobs(parser)
    add_replace(parser)
    parser.set_defaults(**USUAL_SWEEP)


def report(options: argparse.Namespace) -> int:
    """Write the report; within limits if the car, or a plan in it that can be built, holds them all."""
    from reports.commands.sweep import sweep_job
    from reports.outputs.safe_write import refuse_existing, write_content
    from reports.paper.contents import contents, report_headline
    from reports.paper.solved import solve_report
    from reports.tables.terminal import console, show_caution, show_headline, working
    from reports.words.headline import means_of

    path = Path(options.file)
    if path.suffix.lower() not in _ENDINGS:
        allowed = "a name that ends in .html or .pdf is allowed"
        raise InputFaultError(_NAME, [Fault("file", f"read {options.file}; {allowed}")])
    car, limits = read_with_limits(options)
    refuse_existing([path], replace=options.replace)
    _refuse_without_looks(path)
    car, asked = _asked(options, car, limits)
    means = options.means or means_of(options.car)
    with working("solving"):
        solved = solve_report(car, limits, sweep_job(options, car, limits), asked, files_named(options), means)
    document = contents(solved, options.date or "")
    with working("drawing"):
        written = written_report(document, path.suffix.lower(), options.paper, car.unit)
    show_headline(report_headline(solved))
    write_content(path, written, replace=options.replace)
    say_written(path)
    show_caution(console())
    return WITHIN if _holds(solved) else OUTSIDE


def _refuse_without_looks(path: Path) -> None:
    """Raise InputFaultError where what the report is written with is missing, before anything is solved."""
    from reports.paper.fonts import with_fonts
    from reports.paper.html import looks

    if path.suffix.lower() == ".pdf":
        with_fonts()
    else:
        looks()


def written_report(document: "Document", ending: str, paper: "Paper | None", unit: "LengthUnit") -> bytes:
    """A report's file: .pdf or .html by its ending; paper: where one is named, else a PDF's is as the unit has it."""
    if ending == ".pdf":
        from reports.paper.pdf import pdf
        from reports.sheet.paper import paper_of

        return pdf(document, paper_of(paper, unit))
    from reports.paper.html import html

    return html(document, paper or "")


def _holds(solved: "ReportSolved") -> bool:
    from reports.words.compared import holds_all

    tried = solved.tried
    plans = [] if tried is None else tried.compared.outcomes[1:]
    return all(one.holds for one in solved.measured.findings) or any(holds_all(one) for one in plans)


def _asked(options: argparse.Namespace, car: "Car", limits: "Limits") -> "tuple[Car, Asked]":
    """The plans that the command line names, or has found, and which of them is chosen."""
    from kinematics.inputs.plans.plan_file import read_plans
    from kinematics.planning.plans import AS_MEASURED
    from reports.outputs.find_names import are_found
    from reports.paper.solved import Asked

    files = list(dict.fromkeys([*options.plans, *(options.plan or ())[:1]]))
    read = read_plans(files, car) if files else None
    plans: list[Plan] = [] if read is None else list(read.plans)
    rules: list[Rule] = [] if read is None else list(read.rules)
    fractions = read is not None and read.fractions
    taking = taken_up(plans, files)
    chosen, wanted = "", []
    if options.plan is not None:
        chosen = options.plan[1]
        _refuse_unknown(chosen, plans, options.plan[0])
    if options.means is not None:
        found, allowed, told = _found(options, car, limits)
        for name, one in found.items():
            if not one.changes:
                wanted.append(AS_MEASURED.name)
                continue
            own = f"{name}{_FOUND}" if name in taking else name
            plans.append(replace(one, name=own))
            wanted.append(own)
            taking[own] = ["find", options.means, "--write-car", name, "after.toml"]
        rules, fractions = [*rules, *allowed], fractions or told
    return written_so(car, fractions=fractions), Asked(plans, rules, chosen, taking, wanted, found=are_found(files))


def taken_up(plans: "Sequence[Plan]", files: Sequence[str]) -> dict[str, list[str]]:
    """By a plan's name the words of the command that takes it up; files: where plans stand."""
    from reports.words.compared import taking

    return {one.name: taking(one, files) for one in plans}


def _refuse_unknown(name: str, plans: "Sequence[Plan]", source: str) -> None:
    names = [one.name for one in plans]
    if name not in names:
        raise InputFaultError(source, [Fault("--plan", f"there is no plan {shown(name)}{did_you_mean(name, names)}")])


def _found(
    options: argparse.Namespace, car: "Car", limits: "Limits"
) -> "tuple[Mapping[str, Plan], Sequence[Rule], bool]":
    """The best plan of a means file and its alternatives, as `find` calls them; the rules; whether with fractions."""
    from kinematics.inputs.plans.means_file import read_means
    from reports.commands.find import refuse_no_means, refuse_nothing_to_hold, searched
    from reports.jobs import sharing
    from reports.words.finding import plan_names

    refuse_no_means(options.means, car.unit)
    means = read_means(options.means, car)
    refuse_nothing_to_hold(options, car, limits)
    with sharing(options.jobs) as executor:
        search = searched(car, means, limits, options.means, executor)
    every = zip(plan_names(search), [search.best, *search.alternatives], strict=True)
    return {name: one.plan for name, one in every}, means.rules, means.fractions
