"""The command line. Exit status: 0 within limits, 1 outside, 2 the input was at fault."""

import argparse
import io
import math
import re
import sys
from collections.abc import Callable, Sequence

from kinematics.files.faults import InputFaultError
from reports import (
    compare_command,
    demo_command,
    doubt_command,
    draw_command,
    lean_command,
    new_command,
    survey_command,
    sweep_command,
)
from reports.car_and_limits import AT_FAULT, WITHIN
from reports.import_command import add_import, plain_axis
from reports.sheet_command import add_sheet

_ABOUT = """\
Where is the roll centre of this car, how does it move in bump, droop and roll, and what do camber and toe
do meanwhile? Measure the suspension's points, write them into a car file, and sweep it.

  cornersweep demo                      run everything on a built-in, invented car
  cornersweep new strut my_car.toml     write a blank car file to fill in
  cornersweep sheet strut sheet.pdf     a measuring sheet, where there are no coordinates yet
  cornersweep survey my_survey.toml my_car.toml
                                        fit the points to tape readings, heights and angles
  cornersweep show my_car.toml          numbers at ride height, and the verdict
  cornersweep sweep my_car.toml out     curves and tables into the folder `out`
  cornersweep draw my_car.toml a.png    front view to scale, at any bump and roll
  cornersweep compare my_car.toml plans.toml --into out
                                        try changes on paper: plans side by side
  cornersweep doubt my_car.toml         how far to trust all this, and what to measure again
"""
_EXIT = """\
exit status: 0 within the limits, 1 outside them, 2 the input was at fault (nothing is overwritten unasked).
`demo` ends with 0 when it ran, although its car is outside the limits.
"""
_EMPTY = re.compile(r"--[\w-]+=--")
_NEGATIVE_TAPE = re.compile(r"-(\d{1,9}\s+)?\d{1,9}/[1-9]\d{0,8}")
_FARTHEST = 5000.0  # in the car's unit
_SHORTEST_STEP = 0.001  # in the car's unit; finer than anything that can be measured


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    for stream in (sys.stdout, sys.stderr):
        # Not every terminal can show every name: better a question mark in it than no verdict.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    words = arguments or sys.argv[1:]
    empty = next((word for word in words if _EMPTY.fullmatch(word)), None)
    if empty is not None:
        # The parser would take what stands behind the "=" for the end of all options.
        print(f"cornersweep: {empty}: a value is needed behind the =", file=sys.stderr)
        return AT_FAULT
    options = parsed(words)
    run: Callable[[argparse.Namespace], int] = options.run
    try:
        status = run(options)
        sys.stdout.flush()
        return status
    except InputFaultError as fault:
        print(fault, file=sys.stderr)
        return AT_FAULT
    except BrokenPipeError:
        # The reader of our output has gone, as `| head` does; nothing is left to say.
        sys.stderr.close()
        return WITHIN
    except KeyboardInterrupt:
        print("stopped; files already named are whole", file=sys.stderr)
        return AT_FAULT
    except OSError as error:
        print(f"this cannot be printed where it should go: {error.strerror}", file=sys.stderr)
        return AT_FAULT


def parsed(words: Sequence[str]) -> argparse.Namespace:
    """What a command line asks for; `run` is what carries it out, and raises the faults of its inputs."""
    return _parser().parse_args([_plain_number(plain_axis(word)) for word in words])


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="cornersweep", description=_ABOUT, epilog=_EXIT, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    menu = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)

    demo = _command(menu, "demo", demo_command.demo, "run everything on a built-in invented car")
    demo.add_argument(
        "--car",
        choices=("lowered-coupe", "rear-drive-saloon", "five-link-tourer"),
        default="lowered-coupe",
        help="which of the invented cars (default: %(default)s, on struts, with plans)",
    )
    demo.add_argument("folder", nargs="?", default="cornersweep-demo", help="where its files go (default: %(default)s)")
    _add_sweep_options(demo)

    new = _command(menu, "new", new_command.new, "write a commented blank car file for a suspension type")
    new.add_argument("suspension", help="suspension type, such as strut or five-link; a wrong one lists them all")
    new.add_argument("file", nargs="?", help="the file to write (default: print it)")
    new.add_argument("--units", choices=("mm", "in"), default="mm", help="unit of length (default: %(default)s)")
    new.add_argument("--axle", choices=("front", "rear"), help="which axle (default: front if the type is steered)")
    _add_replace(new)

    survey = _command(menu, "survey", survey_command.survey, "turn tape readings, heights and angles into a car file")
    survey.add_argument("survey", help="the survey file (TOML): what was read, of which points")
    survey.add_argument("car", nargs="?", help="the car file to write; its doubt and readings go beside it (CSV)")
    _add_replace(survey)

    add_sheet(lambda name, run, about: _command(menu, name, run, about))

    add_import(lambda name, run, about: _command(menu, name, run, about))

    show = _command(menu, "show", sweep_command.show, "print the numbers at ride height and the verdict")
    _add_car(show)

    sweep = _command(
        menu, "sweep", sweep_command.sweep, "sweep in bump and roll: CSV tables, figures, numbers and verdict"
    )
    _add_car(sweep)
    sweep.add_argument("folder", help="where the files go; made if it is not there")
    _add_sweep_options(sweep)

    compare = _command(
        menu, "compare", compare_command.compare, "try plans on paper and set them beside the car as measured"
    )
    _add_car(compare)
    compare.add_argument("plans", nargs="*", help="plan files (TOML); class rules may stand in them")
    compare.add_argument(
        "--change",
        nargs=2,
        action="append",
        metavar=("WHAT", "HOW_FAR"),
        help="try a change without a plan file, such as 'longer ball joint' 20 or 'inner pivots' up=10,out=-5",
    )
    compare.add_argument("--axle", choices=("front", "rear"), default="front", help="the axle of --change")
    compare.add_argument("--into", metavar="FOLDER", help="write the numbers and overlaid figures into this folder")
    compare.add_argument("--doubt", action="store_true", help="also tell how sure the numbers and the changes are")
    _add_draws(compare, 300)
    _add_sweep_options(compare)

    doubt = _command(menu, "doubt", doubt_command.doubt, "how far to trust the numbers, and what to measure again")
    _add_car(doubt)
    doubt.add_argument("--into", metavar="FOLDER", help="write tables, curves with bands and shares into this folder")
    doubt.add_argument(
        "--about",
        action="append",
        metavar="NUMBER",
        help="rank what this number's doubt comes from (default: roll-centre height, camber gain, bump steer)",
    )
    _add_draws(doubt, 1000)
    doubt.add_argument("--drawing", choices=("png", "svg", "pdf"), default="png", help="kind of figure files")
    _add_replace(doubt)

    lean = _command(
        menu, "lean", lean_command.lean, "springs and bars: wheel rates, ride, roll, load transfer, wheel lift"
    )
    _add_car(lean)
    lean.add_argument("--into", metavar="FOLDER", help="write tables and curves into this folder")
    lean.add_argument(
        "--grip",
        type=_between(0.1, 5.0, "as a coefficient"),
        default=1.1,
        help="the simple tyre's grip coefficient under the mean wheel load (default: %(default)s)",
    )
    lean.add_argument(
        "--grip-loss",
        type=_between(0.0, 1.0, "as a part of it"),
        default=0.12,
        help="the part of it lost for each mean wheel load more (default: %(default)s)",
    )
    lean.add_argument("--drawing", choices=("png", "svg", "pdf"), default="png", help="kind of figure file")
    _add_replace(lean)

    shelf = _command(
        menu, "shelf", lean_command.shelf, "rank every combination of springs and bars that lie on a shelf"
    )
    _add_car(shelf)
    shelf.add_argument("shelf", help="the shelf file (TOML): springs, bars, and what is wanted")
    shelf.add_argument("table", nargs="?", help="write all combinations into this file (CSV)")
    _add_replace(shelf)

    draw = _command(menu, "draw", draw_command.draw, "draw the axle's front view to scale at a bump and a roll")
    _add_car(draw)
    draw.add_argument("file", help="the drawing to write: .png, .svg or .pdf")
    draw.add_argument("--axle", choices=("front", "rear"), help="which axle (default: the first in the file)")
    draw.add_argument("--bump", type=_length, default=0.0, help="body lowered, in the car's unit (default: 0)")
    degrees = _between(-15.0, 15.0, "degrees")
    draw.add_argument("--roll", type=degrees, default=0.0, help="degrees, left side up positive (default: 0)")
    draw.add_argument("--rack", type=_length, default=0.0, help="rack travel, to the car's left positive (default: 0)")
    _add_replace(draw)
    return parser


def _command(
    menu: "argparse._SubParsersAction[argparse.ArgumentParser]",
    name: str,
    run: Callable[[argparse.Namespace], int],
    about: str,
) -> argparse.ArgumentParser:
    parser = menu.add_parser(name, help=about, description=about[0].upper() + about[1:] + ".", epilog=_EXIT)
    parser.set_defaults(run=run)
    return parser


def _add_car(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("car", help="the car file (TOML)")
    parser.add_argument("--limits", metavar="FILE", help="take the limits from this file instead of the car file")


def _add_draws(parser: argparse.ArgumentParser, usual: int) -> None:
    parser.add_argument(
        "--draws", type=_whole(100, 1_000_000), default=usual, help="cars drawn at random (default: %(default)s)"
    )
    parser.add_argument("--seed", type=_whole(0, 2**31), default=1, help="of the random numbers (default: %(default)s)")


def _add_replace(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--replace", action="store_true", help="write over files that are there already")


def _add_sweep_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--travel",
        nargs=2,
        type=_length,
        metavar=("LOW", "HIGH"),
        help="wheel travel, droop then bump, in the car's unit (default: -60 60 mm, or -2.5 2.5 in)",
    )
    parser.add_argument("--step", type=_step, help="of travel, in the car's unit (default: 3 mm, or 1/8 in)")
    degrees = _between(0.01, 15.0, "degrees")
    parser.add_argument("--roll", type=degrees, default=3.0, help="roll to either side, degrees (default: %(default)s)")
    parser.add_argument("--roll-step", type=degrees, default=0.25, help="of roll, degrees (default: %(default)s)")
    parser.add_argument(
        "--heave",
        type=_length,
        default=0.0,
        help="body raised in the roll sweep, in the car's unit (default: 0)",
    )
    parser.add_argument(
        "--rack",
        type=_step,
        metavar="MOST",
        help="rack travel to either side, in the car's unit (default: the car file's, or 50 mm)",
    )
    parser.add_argument(
        "--wheels", choices=("both", "left", "right"), default="both", help="which wheels the bump sweep moves"
    )
    parser.add_argument(
        "--outer-share",
        type=_between(0.5, 1.0, "of the lateral force"),
        default=0.7,
        help="part of the lateral force on the outer wheel, for the force-weighted height (default: %(default)s)",
    )
    parser.add_argument(
        "--drawing",
        choices=("png", "svg", "pdf"),
        default="png",
        help="kind of figure files (default: %(default)s)",
    )
    _add_replace(parser)


def _plain_number(word: str) -> str:
    """Write a negative tape reading as a decimal: argparse takes "-3/4" for an option."""
    if _NEGATIVE_TAPE.fullmatch(word) is None:
        return word
    from kinematics.lengths import read_length

    return str(read_length(word))


def _length(written: str) -> float:
    from kinematics.lengths import read_length

    try:
        value = read_length(written)
    except ValueError as error:
        raise argparse.ArgumentTypeError(str(error)) from None
    except OverflowError:
        value = math.inf
    if not abs(value) <= _FARTHEST:
        raise argparse.ArgumentTypeError(f"{written!r} is beyond any car; at most {_FARTHEST:g} is allowed")
    return value


def _step(written: str) -> float:
    value = _length(written)
    if value < _SHORTEST_STEP:
        raise argparse.ArgumentTypeError(f"{written!r} is too short; at least {_SHORTEST_STEP:g} is allowed")
    return value


def _whole(low: int, high: int) -> Callable[[str], int]:
    def read(written: str) -> int:
        if not written.isdecimal() or len(written) > len(str(high)) or not low <= int(written) <= high:
            raise argparse.ArgumentTypeError(f"{written!r}: a whole number from {low} to {high} is allowed")
        return int(written)

    return read


def _between(low: float, high: float, what: str) -> Callable[[str], float]:
    def read(written: str) -> float:
        try:
            value = float(written)
        except ValueError:
            raise argparse.ArgumentTypeError(f"{written!r} is not a number") from None
        if not low <= value <= high:
            raise argparse.ArgumentTypeError(f"{written!r}: {low:g} to {high:g} {what} is allowed")
        return value

    return read
