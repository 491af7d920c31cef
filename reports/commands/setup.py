"""The command setup: what to fit, turn and measure for a plan, as a printed sheet, and what came out."""

import argparse
import shlex
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError, did_you_mean, shown
from reports.commands.car_and_limits import (
    OUTSIDE,
    WITHIN,
    files_named,
    read_with_limits,
    say_where_readings_disagree,
    written_so,
)
from reports.option_values import between
from reports.shared_options import add_car, add_paper, add_replace
from reports.voice import say, say_written

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from kinematics.car.car import Car
    from kinematics.car.limits import Limits
    from kinematics.inputs.garage.set_up_readings import WrittenDown
    from kinematics.inputs.plans.plan_file import PlanFile
    from kinematics.judging.verdict import Finding
    from kinematics.planning.changed_axle import ChangedAxle
    from kinematics.planning.plans import Plan
    from kinematics.setting.set_up import SetUp

_NAME = "cornersweep setup"
_PDF, _TOML = ".pdf", ".toml"
_LEAST_CROSS, _MOST_CROSS = 30.0, 70.0


def add_setup(add: Callable[[str, Callable[[argparse.Namespace], int], str], argparse.ArgumentParser]) -> None:
    """Add the command to a menu; `add` makes a parser of a name, what runs, and what it is about."""
    parser = add("setup", setup, "what to fit, turn and measure for a plan, as a sheet to print, and what came out")
    add_car(parser)
    parser.add_argument("plans", nargs="*", help="plan files (TOML); none: the car is set as it was measured")
    parser.add_argument("--plan", dest="chosen", metavar="NAME", help="which plan of theirs, where there are several")
    parser.add_argument(
        "--change",
        nargs=2,
        action="append",
        metavar=("WHAT", "HOW_FAR"),
        help="a change without a plan file, as `compare` takes it; the plan is called 'this change'",
    )
    parser.add_argument(
        "--axle",
        choices=("front", "rear"),
        default="front",
        help="the axle that --change is about (default: %(default)s)",
    )
    parser.add_argument(
        "--cross",
        type=between(_LEAST_CROSS, _MOST_CROSS, "per cent"),
        metavar="PER_CENT",
        help="cross-weight to set: what front right and rear left carry of all (default: as it comes)",
    )
    parser.add_argument(
        "--write",
        nargs="+",
        metavar="FILE",
        help="write the sheet (.pdf) to print, or the file that goes with it (.toml), or both",
    )
    add_paper(parser)
    parser.add_argument(
        "--measured",
        metavar="FILE",
        help="read what was written down on the sheet (.pdf, filled in on a screen) or in the file (.toml)",
    )
    add_replace(parser)


def setup(options: argparse.Namespace) -> int:
    """Tell what to do for a plan and write its sheet, or hold what was measured after against it."""
    from reports.outputs.safe_write import refuse_existing
    from reports.tables.terminal import working

    targets = _targets(options)
    car, limits = read_with_limits(options)
    say_where_readings_disagree(car)
    read = _plans(options, car)
    car = written_so(car, fractions=read.fractions)
    written = _written_down(options)
    cross = options.cross if written is None else written.cross
    plan = _chosen(options, read.plans, written)
    refuse_existing(targets, replace=options.replace)
    with working("carrying out the plan"):
        planned = _set_up(options, car, limits, read, plan, cross)
    if written is not None:
        return _came_out(options, planned, written)
    return _told(options, planned, targets)


def _targets(options: argparse.Namespace) -> list[Path]:
    """The files to write, with what speaks against them."""
    paths = [Path(one) for one in options.write or ()]
    faults = [
        Fault("--write", f"read {shown(str(path))}; a name that ends in {_PDF} or {_TOML} is allowed")
        for path in paths
        if path.suffix.lower() not in (_PDF, _TOML)
    ]
    if options.measured is not None:
        beside = {"--write": options.write, "--cross": options.cross, "--paper": options.paper}
        given = [name for name, value in beside.items() if value is not None]
        faults += [Fault(name, "means nothing beside --measured; leave it out") for name in given]
    if faults:
        raise InputFaultError(_NAME, faults)
    return paths


def _plans(options: argparse.Namespace, car: "Car") -> "PlanFile":
    from kinematics.inputs.plans.plan_file import PlanFile, quick_plan, read_plans

    read = read_plans(options.plans, car)
    if not options.change:
        return read
    quick = quick_plan(options.change, options.axle, car)
    return PlanFile((*read.plans, *quick.plans), read.rules, read.fractions or quick.fractions)


def _written_down(options: argparse.Namespace) -> "WrittenDown | None":
    from reports.sheet.set_up_reader import read_written_down

    return None if options.measured is None else read_written_down(Path(options.measured))


def _chosen(options: argparse.Namespace, plans: "Sequence[Plan]", written: "WrittenDown | None") -> "Plan":
    """The plan that is asked for: by name, by the sheet, or the only one; without any, the car as it was measured."""
    from kinematics.planning.plans import AS_MEASURED

    names = {one.name: one for one in (*plans, AS_MEASURED)}
    asked: str | None = options.chosen
    if written is not None:
        if asked not in (None, written.plan):
            text = f"read {shown(asked)}, but the sheet is for {shown(written.plan)}; leave the option out"
            raise InputFaultError(_NAME, [Fault("--plan", text)])
        if written.plan not in names:
            text = f"it is for the plan {shown(written.plan)}, which none of the plan files named here holds"
            raise InputFaultError(written.source, [Fault("plan", f"{text}{did_you_mean(written.plan, names)}")])
        return names[written.plan]
    if asked is not None and asked not in names:
        raise InputFaultError(_NAME, [Fault("--plan", f"there is no plan {shown(asked)}{did_you_mean(asked, names)}")])
    if asked is None and len(plans) > 1:
        text = f"is missing: say which of {len(plans)} plans; allowed: {', '.join(shown(one.name) for one in plans)}"
        raise InputFaultError(_NAME, [Fault("--plan", text)])
    return names[asked] if asked is not None else next(iter(plans), AS_MEASURED)


def _set_up(
    options: argparse.Namespace, car: "Car", limits: "Limits", read: "PlanFile", plan: "Plan", cross: float | None
) -> "SetUp":
    from kinematics.loads.readiness import NotReadyError
    from kinematics.setting.perches import NotReachedError
    from kinematics.setting.set_up import set_up
    from reports.words.lean import NO_BALANCE, lack_words

    axles, outside = _carried_out(car, limits, read, plan)
    try:
        planned = set_up(car, plan, axles, None if cross is None else cross / 100.0, limits.working)
    except NotReadyError as found:
        raise InputFaultError(options.car, [Fault("--cross", lack_words(found.lacks, "a cross-weight"))]) from None
    except NotReachedError:
        text = NO_BALANCE if cross is None else f"no perches bring {cross:g} %: springs come loose, or {NO_BALANCE}"
        raise InputFaultError(options.car, [Fault("" if cross is None else "--cross", text)]) from None
    return replace(planned, outside=outside)


def _carried_out(
    car: "Car", limits: "Limits", read: "PlanFile", plan: "Plan"
) -> "tuple[Mapping[str, ChangedAxle], tuple[Finding, ...]]":
    """The axles after a plan, and what of the limits does not hold then; InputFaultError where it cannot be built."""
    from kinematics.planning.comparison import compare
    from kinematics.planning.plans import AS_MEASURED, carry_out
    from reports.words.plans import breach_words, refusal_words

    if plan is AS_MEASURED:
        return carry_out(car, [plan])[0], ()
    outcome = compare(car, [plan], limits, read.rules).outcomes[1]
    broken = [breach_words(one, car.unit) for one in outcome.breaches if not one.allowed]
    why = [*refusal_words(outcome.troubles, car.unit), *broken]
    if why:
        raise InputFaultError(_NAME, [Fault(f'"{plan.name}"', f"cannot be built: {one}") for one in why])
    return outcome.axles, tuple(one for one in outcome.findings if not one.holds)


def _told(options: argparse.Namespace, planned: "SetUp", targets: "Sequence[Path]") -> int:
    from reports.documents.document import put_document
    from reports.documents.set_up import set_up_document
    from reports.tables.set_up_table import show_set_up
    from reports.tables.terminal import console, show_caution, show_headline
    from reports.words.set_up import headline_words, keys_for_turns, outside_words
    from reports.words.wrapped import wrapped

    show_headline(headline_words(planned))
    out = console()
    if not targets:
        show_set_up(out, planned)
    for line in [*wrapped(outside_words(planned)), *wrapped(keys_for_turns(planned))]:
        say(line)
    _write(options, planned, targets)
    show_caution(out)
    put_document("setup", planned.car, lambda: set_up_document(planned, None))
    return WITHIN


def _write(options: argparse.Namespace, planned: "SetUp", targets: "Sequence[Path]") -> None:
    from reports.outputs.safe_write import write_content
    from reports.sheet.paper import paper_of
    from reports.sheet.set_up_file import set_up_file
    from reports.sheet.set_up_sheet import set_up_sheet

    paper = paper_of(options.paper, planned.car.unit)
    for path in targets:
        if path.suffix.lower() == _PDF:
            write_content(path, set_up_sheet(planned, options.cross, paper), replace=options.replace)
        else:
            write_content(path, set_up_file(planned, options.cross), replace=options.replace)
        say_written(path)
    if targets:
        change = [word for pair in options.change or () for word in ("--change", *pair)]
        words = [*files_named(options), *options.plans, *change, *(("--axle", options.axle) if change else ())]
        say(f"then: cornersweep setup {shlex.join(words)} --measured {shlex.quote(str(targets[-1]))}")


def _came_out(options: argparse.Namespace, planned: "SetUp", written: "WrittenDown") -> int:
    from kinematics.inputs.garage.set_up_readings import readings_of
    from kinematics.setting.came_out import came_out
    from reports.documents.document import put_document
    from reports.documents.set_up import set_up_document
    from reports.sheet.set_up_reader import as_files_have_it, refuse_other_sheet
    from reports.tables.set_up_table import show_came_out
    from reports.tables.terminal import console, show_caution, show_headline
    from reports.words.came_out import came_headline, kept_words
    from reports.words.wrapped import wrapped

    refuse_other_sheet(written, planned, Path(options.measured))
    found = came_out(planned, readings_of(as_files_have_it(written, planned.entries), planned.entries))
    show_headline(came_headline(found))
    out = console()
    show_came_out(out, found)
    for line in wrapped(kept_words(options.measured)):
        say(line)
    show_caution(out)
    put_document("setup", planned.car, lambda: set_up_document(planned, found))
    return WITHIN if found.as_planned else OUTSIDE
