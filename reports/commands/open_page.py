"""The command open: a page on this machine at which the car is looked at and changed."""

import argparse
import contextlib
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import STAND_IN, Fault, InputFaultError
from reports.commands.car_and_limits import WITHIN
from reports.option_values import whole

if TYPE_CHECKING:
    from reports.page.bench import Bench


def add_open(add: Callable[[str, Callable[[argparse.Namespace], int], str], argparse.ArgumentParser]) -> None:
    """Add the command to a menu; `add` makes a parser of a name, what runs, and what it is about."""
    parser = add("open", open_page, "open a page in the browser: see the car move, and try changes on it")
    parser.add_argument(
        "car_file",
        metavar="car",
        nargs="?",
        help="the car file (TOML) (default: the page offers a blank of each suspension type, or a demo car)",
    )
    parser.add_argument(
        "--limits", dest="limits_file", metavar="FILE", help="take the limits from this file instead of the car file"
    )
    parser.add_argument(
        "--plans",
        dest="plan_file",
        metavar="FILE",
        help="where plans are kept, and class rules read (default: beside the car file, named after it and _plans)",
    )
    parser.add_argument(
        "--means",
        dest="means_file",
        metavar="FILE",
        help="what may be done, for the search (default: beside the car file, named after it and _means)",
    )
    parser.add_argument(
        "--no-browser", action="store_true", help="open no browser; the first line printed is the page's address"
    )
    parser.add_argument(
        "--port",
        type=whole(0, 65535),
        default=0,
        metavar="N",
        help="the port of this machine to listen at (default: %(default)s, any that is free)",
    )


def open_page(options: argparse.Namespace) -> int:
    """Serve the page until it is stopped (Ctrl+C)."""
    others = [options.limits_file, options.plan_file, options.means_file]
    if STAND_IN in (options.car_file, *others):
        raise InputFaultError(STAND_IN, [Fault("", "the page reads its files again and again: name them")])
    from reports.page.bench import Bench
    from reports.page.desk import Desk
    from reports.page.server import serve, taken_place

    beside = tuple(None if one is None else Path(one) for one in others)
    bench = None if options.car_file is None else Bench(Path(options.car_file), *beside)
    if bench is not None:
        _refuse_what_cannot_be_shown(bench)
    place = taken_place(options.port)
    # Whoever has read the address may stop it at once: that is no fault.
    with contextlib.suppress(KeyboardInterrupt):
        sys.stdout.write(f"{place.address}\n")
        if not options.quiet:
            opened = "A new car can be begun" if bench is None else f"{options.car_file} is open"
            sys.stdout.write(f"{opened} at this address, on this machine alone. Ctrl+C ends it.\n")
        sys.stdout.flush()
        serve(place, Desk(bench, Path(), beside), browser=not options.no_browser)
    return WITHIN


def _refuse_what_cannot_be_shown(bench: "Bench") -> None:
    """What can be read of a file with faults stands in the form, its faults beside the fields."""
    from reports.page.measuring import can_be_shown
    from reports.page.surveying import survey_beside

    if not bench.path.exists() and survey_beside(bench.path).exists():
        return  # its readings are filled in first
    try:
        bench.opened()
    except InputFaultError as found:
        if not can_be_shown(bench.path):
            raise
        sys.stderr.write(f"{found}\nThe page opens with these faults, to be mended there or in the file.\n")
