"""Options that several commands share, each with one meaning and one default."""

import argparse
from collections.abc import Mapping
from typing import Any

from reports.jobs import MOST_JOBS
from reports.option_values import between, length, step, whole

# How far an axle is swept unasked: in the car's unit and degrees, None for what depends on the car.
USUAL_SWEEP: Mapping[str, Any] = {
    "travel": None,
    "step": None,
    "roll": 3.0,
    "roll_step": 0.25,
    "heave": 0.0,
    "rack": None,
    "wheels": "both",
    "pitch": 0.0,
}


def add_car(parser: argparse.ArgumentParser) -> None:
    """The car file, and limits from another file."""
    parser.add_argument("car", help="the car file (TOML); - is standard input")
    parser.add_argument("--limits", metavar="FILE", help="take the limits from this file instead of the car file")


def add_all(parser: argparse.ArgumentParser) -> None:
    """The option that prints everything."""
    parser.add_argument(
        "--all", action="store_true", help="also print every number at ride height, and each check in full"
    )


def add_write_car(parser: argparse.ArgumentParser) -> None:
    """The option that makes a car file of a plan."""
    parser.add_argument(
        "--write-car",
        nargs=2,
        metavar=("PLAN", "FILE"),
        help="write the car as this plan leaves it into a car file (.toml), with the doubt that remains",
    )


def add_draws(parser: argparse.ArgumentParser, usual: int) -> None:
    """How many cars are drawn at random, and their seed; usual: how many unless said."""
    parser.add_argument(
        "--draws",
        type=whole(100, 1_000_000),
        default=usual,
        help="how many cars are drawn at random (default: %(default)s)",
    )
    parser.add_argument(
        "--seed", type=whole(0, 2**31), default=1, help="seed of the random numbers (default: %(default)s)"
    )


def add_jobs(parser: argparse.ArgumentParser) -> None:
    """Among how many processes the work is shared."""
    parser.add_argument(
        "--jobs",
        type=whole(1, MOST_JOBS),
        default=1,
        metavar="N",
        help="share the work among so many processes; what comes out is the same (default: %(default)s)",
    )


def add_replace(parser: argparse.ArgumentParser) -> None:
    """The leave to write over files."""
    parser.add_argument("--replace", action="store_true", help="write over files that are there already")


def add_paper(parser: argparse.ArgumentParser) -> None:
    """On what size of paper a page is set; `reports.sheet.paper.paper_of` says which where none is named."""
    parser.add_argument("--paper", choices=("a4", "letter"), help="size of the paper (default: a4; letter for inches)")


def add_drawing_and_replace(parser: argparse.ArgumentParser) -> None:
    """The kind of figure files, and the leave to write over them."""
    parser.add_argument(
        "--drawing", choices=("png", "svg", "pdf"), default="png", help="kind of figure files (default: %(default)s)"
    )
    add_replace(parser)


def add_sweep_options(parser: argparse.ArgumentParser) -> None:
    """How far and how finely an axle is swept, and what is written; only `sweep` asks for pitch."""
    parser.set_defaults(**USUAL_SWEEP)
    parser.add_argument(
        "--travel",
        nargs=2,
        type=length,
        metavar=("LOW", "HIGH"),
        help="wheel travel, droop then bump, in the car's unit (default: -60 60 mm, or -2.5 2.5 in)",
    )
    parser.add_argument("--step", type=step, help="step of travel, in the car's unit (default: 3 mm, or 1/8 in)")
    degrees = between(0.01, 15.0, "degrees")
    parser.add_argument("--roll", type=degrees, help="roll to either side, degrees (default: %(default)s)")
    parser.add_argument("--roll-step", type=degrees, help="step of roll, degrees (default: %(default)s)")
    parser.add_argument(
        "--heave",
        type=length,
        help="body raised in the roll sweep, in the car's unit (default: 0)",
    )
    parser.add_argument(
        "--rack",
        type=step,
        metavar="MOST",
        help="rack travel to either side, in the car's unit (default: the car file's, or 50 mm)",
    )
    parser.add_argument(
        "--wheels",
        choices=("both", "left", "right"),
        help="which wheels the bump sweep moves (default: %(default)s)",
    )
    parser.add_argument(
        "--outer-share",
        type=between(0.5, 1.0, "of the lateral force"),
        help="part of the lateral force on the outer wheel at the end of the working roll, for the force-weighted "
        "height (default: as springs, bars and weights balance where the car file tells them, else 0.7)",
    )
    add_drawing_and_replace(parser)
