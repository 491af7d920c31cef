"""The commands, their options and their help."""

import argparse
import textwrap
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

from reports.command_help import ABOUT, EXAMPLES, EXIT, OF_COMMAND, OF_TYPES, TYPES
from reports.command_parser import CommandParser, Version
from reports.commands import compare, demo, doubt, draw, find, influence, lean, new, survey, sweep
from reports.commands.complete import add_completion
from reports.commands.import_points import add_import
from reports.commands.next_readings import add_next
from reports.commands.open_page import add_open
from reports.commands.record import add_record
from reports.commands.report import add_report
from reports.commands.schema import add_schema
from reports.commands.setup import add_setup
from reports.commands.sheet import add_sheet
from reports.commands.travel import add_travel
from reports.commands.weigh import add_weigh
from reports.option_values import between, length
from reports.shared_options import (
    add_all,
    add_car,
    add_drawing_and_replace,
    add_draws,
    add_jobs,
    add_replace,
    add_sweep_options,
    add_write_car,
)

_Commands: TypeAlias = "argparse._SubParsersAction[CommandParser]"


PRINT_NUMBERS = (
    "survey", "show", "sweep", "compare", "find", "influence", "travel", "setup", "weigh", "record", "doubt", "lean",
    "shelf",
)  # fmt: skip


@dataclass(frozen=True)
class Menu:
    """The parser of all commands, and each command's own; `run` is what carries one out."""

    parser: argparse.ArgumentParser
    commands: Mapping[str, CommandParser]


@cache
def menu() -> Menu:
    """All commands, made once."""
    parser = argparse.ArgumentParser(
        prog="cornersweep", description=ABOUT, epilog=EXIT, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--version", action=Version)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True, parser_class=CommandParser)
    _add_commands(commands)
    return Menu(parser, commands.choices)


def _add_commands(menu: "_Commands") -> None:

    demo_options = _command(menu, "demo", demo.demo, "run everything on a built-in invented car")
    demo_options.add_argument(
        "--car",
        choices=("hill-climb-hatchback", "lowered-coupe", "rear-drive-saloon", "five-link-tourer"),
        default="hill-climb-hatchback",
        metavar="NAME",
        help="which of the invented cars: %(choices)s (default: %(default)s, whose owner asks how far "
        "it may be lowered)",
    )
    demo_options.add_argument(
        "--all", action="store_true", help="also print every number, each check in full, and what the tables hold"
    )
    demo_options.add_argument(
        "folder", nargs="?", default="cornersweep-demo", help="where its files go (default: %(default)s)"
    )
    add_sweep_options(demo_options)

    new_options = _command(menu, "new", new.new, "write a commented blank car file, or a means or plan file")
    new_options.add_argument(
        "suspension",
        help="suspension type, such as strut or five-link, `means` for a means file (find), `plans` for a plan file "
        "(compare) or `scales` for a scales file (weigh)",
    )
    new_options.add_argument("file", nargs="?", help="the file to write (default: print it)")
    new_options.add_argument(
        "--units", choices=("mm", "in"), default="mm", help="unit of length (default: %(default)s)"
    )
    new_options.add_argument(
        "--axle", choices=("front", "rear"), help="which axle (default: front if the type is steered)"
    )
    add_replace(new_options)

    survey_options = _command(menu, "survey", survey.survey, "turn tape readings, heights and angles into a car file")
    survey_options.add_argument("survey", help="the survey file (TOML): what was read, of which points")
    survey_options.add_argument(
        "car",
        nargs="?",
        help="the car file to write; its doubt and readings go beside it (CSV) (default: nothing is written)",
    )
    survey_options.add_argument(
        "--all", action="store_true", help="also print every table, and how well the readings agree in exact terms"
    )
    add_next(survey_options)
    add_replace(survey_options)

    add_sheet(lambda name, run, about: _command(menu, name, run, about))

    add_import(lambda name, run, about: _command(menu, name, run, about))

    show_options = _command(menu, "show", sweep.show, "print where the roll centre is, and the checks that matter")
    add_car(show_options)
    add_all(show_options)

    sweep_options = _command(
        menu, "sweep", sweep.sweep, "sweep in bump and roll: CSV tables, figures, numbers and verdict"
    )
    add_car(sweep_options)
    sweep_options.add_argument("folder", help="where the files go; made if it is not there")
    add_all(sweep_options)
    add_sweep_options(sweep_options)
    sweep_options.add_argument(
        "--pitch",
        type=between(-15.0, 15.0, "degrees"),
        help="pitch of the body in all sweeps, degrees, nose down positive; it turns about each axle's own place on "
        "the ground (default: 0). What is told at ride height, and the verdict, are of the car as measured",
    )

    add_open(lambda name, run, about: _command(menu, name, run, about))

    compare_options = _command(
        menu, "compare", compare.compare, "try plans on paper and set them beside the car as measured"
    )
    add_car(compare_options)
    compare_options.add_argument("plans", nargs="*", help="plan files (TOML); class rules may stand in them")
    compare_options.add_argument(
        "--change",
        nargs=2,
        action="append",
        metavar=("WHAT", "HOW_FAR"),
        help="try a change without a plan file, such as 'longer ball joint' 20 or 'inner pivots' up=10,out=-5; "
        "the plan is called 'this change'",
    )
    compare_options.add_argument(
        "--axle",
        choices=("front", "rear"),
        default="front",
        help="the axle that --change is about (default: %(default)s)",
    )
    compare_options.add_argument(
        "--into",
        metavar="FOLDER",
        help="write the numbers and overlaid figures into this folder; how far they sweep, --travel and the like say",
    )
    compare_options.add_argument(
        "--doubt", action="store_true", help="also tell how sure the numbers and the changes are"
    )
    compare_options.add_argument(
        "--all", action="store_true", help="also print every number of each plan, and what each change does"
    )
    add_write_car(compare_options)
    add_draws(compare_options, 300)
    add_jobs(compare_options)
    add_sweep_options(compare_options)

    find_options = _command(menu, "find", find.find, "find the plan that holds all limits, with what may be done")
    add_car(find_options)
    find_options.add_argument(
        "means", help="the means file (TOML): what may be changed, how far, in which steps or sizes"
    )
    find_options.add_argument(
        "--into", metavar="FOLDER", help="write plans, trade-off and the best plan's car file into this folder"
    )
    add_write_car(find_options)
    add_jobs(find_options)
    add_drawing_and_replace(find_options)

    influence_options = _command(
        menu, "influence", influence.influence, "tell how the numbers that matter change as each point moves"
    )
    influence_options.add_argument("car", help="the car file (TOML); - is standard input")
    influence_options.add_argument("--axle", choices=("front", "rear"), help="which axle (default: all in the file)")
    influence_options.add_argument(
        "--rules", metavar="FILE", help="mark what class rules forbid: those in this plan, means or rules file"
    )
    influence_options.add_argument(
        "--all", action="store_true", help="also print the points that no kind of change but `point` moves"
    )
    influence_options.add_argument("--into", metavar="FOLDER", help="write the table and the figure into this folder")
    add_drawing_and_replace(influence_options)

    add_travel(lambda name, run, about: _command(menu, name, run, about))

    add_setup(lambda name, run, about: _command(menu, name, run, about))

    add_weigh(lambda name, run, about: _command(menu, name, run, about))

    add_record(lambda name, run, about: _command(menu, name, run, about))

    doubt_options = _command(menu, "doubt", doubt.doubt, "tell how far to trust the numbers, and what to measure again")
    add_car(doubt_options)
    doubt_options.add_argument(
        "--into", metavar="FOLDER", help="write tables, curves with bands and shares into this folder"
    )
    doubt_options.add_argument(
        "--about",
        action="append",
        metavar="NUMBER",
        help="rank what this number's doubt comes from, such as bump_steer; as often as needed (default: roll-centre "
        "height, camber gain, bump steer)",
    )
    doubt_options.add_argument(
        "--all", action="store_true", help="also print every number, each limit in full, and more of what to measure"
    )
    add_draws(doubt_options, 1000)
    add_jobs(doubt_options)
    add_drawing_and_replace(doubt_options)

    lean_options = _command(
        menu, "lean", lean.lean, "tell what springs and bars do: wheel rates, ride, roll, load transfer, wheel lift"
    )
    add_car(lean_options)
    lean_options.add_argument("--all", action="store_true", help="also print how far to trust each number")
    lean_options.add_argument("--into", metavar="FOLDER", help="write tables and curves into this folder")
    lean_options.add_argument(
        "--grip",
        type=between(0.1, 5.0, "as a coefficient"),
        default=1.1,
        help="the simple tyre's grip coefficient under the mean wheel load (default: %(default)s)",
    )
    lean_options.add_argument(
        "--grip-loss",
        type=between(0.0, 1.0, "as a part of it"),
        default=0.12,
        help="the part of it lost for each mean wheel load more (default: %(default)s)",
    )
    for manoeuvre, what in (
        ("braking", "also tell dive, rise, pitch and wheel loads at this braking [g]"),
        ("driving", "the same at this acceleration forwards [g]"),
        ("cornering", "the same in a left-hand corner [g], by itself and with braking and driving"),
    ):
        lean_options.add_argument(f"--{manoeuvre}", type=between(0.01, 3.0, "g"), metavar="G", help=what)
    add_drawing_and_replace(lean_options)

    shelf_options = _command(
        menu, "shelf", lean.shelf, "rank every combination of springs and bars that lie on a shelf"
    )
    add_car(shelf_options)
    shelf_options.add_argument("shelf", help="the shelf file (TOML): springs, bars, and what is wanted")
    shelf_options.add_argument("table", nargs="?", help="write all combinations into this file (CSV)")
    add_jobs(shelf_options)
    add_replace(shelf_options)

    add_report(lambda name, run, about: _command(menu, name, run, about))

    add_schema(lambda name, run, about: _command(menu, name, run, about))

    add_completion(lambda name, run, about: _command(menu, name, run, about), menu.choices)

    draw_options = _command(menu, "draw", draw.draw, "draw the axle's front view to scale at a bump and a roll")
    add_car(draw_options)
    draw_options.add_argument("file", help="the drawing to write: .png, .svg or .pdf")
    draw_options.add_argument("--axle", choices=("front", "rear"), help="which axle (default: the first in the file)")
    draw_options.add_argument(
        "--plan", nargs=2, metavar=("PLANS", "NAME"), help="draw it after the plan of this name in a plan file"
    )
    draw_options.add_argument("--bump", type=length, default=0.0, help="body lowered, in the car's unit (default: 0)")
    degrees = between(-15.0, 15.0, "degrees")
    draw_options.add_argument("--roll", type=degrees, default=0.0, help="degrees, left side up positive (default: 0)")
    draw_options.add_argument(
        "--rack",
        type=length,
        default=0.0,
        help="rack travel in the car's unit, to the car's left positive (default: 0)",
    )
    draw_options.add_argument(
        "--pitch",
        type=between(-15.0, 15.0, "degrees"),
        default=0.0,
        help="degrees, nose down positive; the body turns about this axle's own place on the ground (default: 0)",
    )
    add_replace(draw_options)


def _command(
    menu: "_Commands",
    name: str,
    run: Callable[[argparse.Namespace], int],
    about: str,
) -> CommandParser:
    examples = "\n".join(f"  cornersweep {example}" for example in EXAMPLES[name])
    types = f"suspension types: {', '.join(TYPES)}" if name in OF_TYPES else ""
    below = (textwrap.fill(text, 79, break_on_hyphens=False) for text in (types, f"exit status: {OF_COMMAND[name]}"))
    parser = menu.add_parser(
        name,
        help=about,
        description=textwrap.fill(about[0].upper() + about[1:] + ".", 79),
        epilog="\n\n".join([f"for example:\n{examples}", *filter(None, below)]),
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    parser.add_argument("--quiet", action="store_true", help="print the headline alone, or nothing where there is none")
    if name in PRINT_NUMBERS:
        parser.add_argument("--json", action="store_true", help="print one JSON document, and nothing else")
    return parser
