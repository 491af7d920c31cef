"""What the terminal shows: the static numbers, the verdict, and progress on anything slow."""

import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TypeVar

import numpy as np
from rich.console import Console
from rich.padding import Padding
from rich.progress import Progress
from rich.table import Table
from rich.text import Text

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.lengths import LengthUnit
from kinematics.doubt.solved_car import MeasuredAxle
from kinematics.judging.suspicious import suspicious
from kinematics.judging.verdict import Finding
from kinematics.numbers.quantity import Where
from kinematics.numbers.registry import QUANTITIES, keys_shown
from kinematics.sweeps.roll_axis import RollAxis
from reports.cautions import CAUTION
from reports.voice import in_headline, is_said
from reports.words.numbers import HOW_HALF_WIDTH_95, PLUS_MINUS, shown
from reports.words.roll_axis import roll_axis_words
from reports.words.side_view import side_view_terms
from reports.words.suspicious import LOOK_AGAIN, oddity_words
from reports.words.verdict import combined_words, sentence, summary
from reports.words.wrapped import wrapped
from solvers.spread import BLOCK, Track

STATIC = keys_shown(Where.AT_RIDE_HEIGHT)
_SIDE_VIEW = keys_shown(Where.UNDER_SIDE_VIEW)
_T = TypeVar("_T")


def console(*, headline: bool = False) -> Console:
    """Return a console on standard output; plain text where that is no terminal. headline: for a headline alone."""
    # A car's or a file's name may hold what would be read as markup.
    return Console(highlight=False, markup=False, emoji=False, quiet=not is_said(headline=headline))


def show_headline(lines: Iterable[str]) -> None:
    """Print what is to be said first, also where nothing else is."""
    out = console(headline=True)
    for line in in_headline(lines):
        out.print(Text(line, style="bold"), soft_wrap=True)


def show_static(out: Console, car: Car, measured: MeasuredAxle) -> None:
    """Print an axle's numbers as measured, at ride height, and how well they are known where the car file says so."""
    axle, sweep, around = measured.axle, measured.rest, measured.half_width
    keys = [key for key in STATIC if key in sweep.values]
    table = Table(title=f"{car.name}: {axle.name} axle at ride height", title_justify="left")
    table.add_column("number")
    sides_differ = any(
        QUANTITIES[key].per_side and not np.isclose(sweep[key][0, 0], sweep[key][1, 0], rtol=0.0, atol=1e-9)
        for key in keys
    )
    for name in SIDE_NAMES if sides_differ else ("each side",):
        table.add_column(name, justify="right")
    table.add_column("unit")
    for key in keys:
        quantity = QUANTITIES[key]
        values = np.broadcast_to(sweep[key].reshape(-1), 2) if quantity.per_side else sweep[key].reshape(-1)
        cells = [shown(value, quantity.dimension, car.unit) for value in values[: 2 if sides_differ else 1]]
        if around:
            ways = np.broadcast_to(around[key].reshape(-1), 2)
            both = zip(cells, ways, strict=False)
            cells = [
                f"{one} {PLUS_MINUS} {shown(way, quantity.dimension, car.unit)}" if np.isfinite(way) else one
                for one, way in both
            ]
        if sides_differ and not quantity.per_side:
            cells = [cells[0], ""]
        table.add_row(quantity.title, *cells, quantity.dimension.unit(car.unit))
    out.print(table)
    if around:
        out.print(Text(HOW_HALF_WIDTH_95))
    used = side_view_terms(axle, car.unit)
    if used and any(key in sweep.values for key in _SIDE_VIEW):
        out.print(Text(used))
    for text in oddity_words(suspicious(sweep, car.unit), car.unit):
        out.print(Text(f"{LOOK_AGAIN}  {text}", style="yellow"))


def show_roll_axis(out: Console, car: Car, axis: RollAxis | None) -> None:
    """Print the roll axis at ride height, where enough is known of the car."""
    if axis is not None:
        out.print(Text(roll_axis_words(axis, car.unit)))


def show_verdict(out: Console, findings: Sequence[Finding], unit: LengthUnit, combined: Sequence[Finding] = ()) -> None:
    """Print each finding in plain words, then all together; combined: told besides, of travel and roll at once."""
    for finding in findings:
        mark = Text("  ok    " if finding.holds else "OUTSIDE ", style="green" if finding.holds else "bold red")
        grid = Table.grid()
        grid.add_row(mark, Text(f"{sentence(finding, unit)} ({finding.limit.source})"))
        out.print(grid)
    for finding in combined:
        out.print(Text(combined_words(finding, unit)))
    out.print(Text(f"Verdict: {summary(findings)}", style="bold"))


def show_caution(out: Console) -> None:
    """Print the caution."""
    out.print(Padding(Text(CAUTION), (1, 0, 0, 0)))


def show_lines(out: Console, lines: Iterable[str]) -> None:
    """Print lines as they are."""
    for line in lines:
        out.print(Text(line), soft_wrap=True)


def show_written(out: Console, folder: Path, paths: Sequence[Path]) -> None:
    """Print which files stand in a folder, many to a line."""
    for line in wrapped(f"Written into {folder}: {', '.join(path.name for path in paths)}."):
        out.print(Text(line), soft_wrap=True)


def tracked(what: str, draws: int) -> Track:
    """Return a progress bar for the blocks of a Monte Carlo."""
    return lambda blocks: progress(blocks, what, -(-draws // BLOCK))


def progress(steps: Iterable[_T], what: str, count: int) -> Iterator[_T]:
    """Go through `count` steps with a progress bar on standard error, only if that is a terminal."""
    if not sys.stderr.isatty():
        yield from steps
        return
    with Progress(console=Console(stderr=True), transient=True) as bar:
        yield from bar.track(steps, total=count, description=what)


def working(what: str) -> AbstractContextManager[object]:
    """Return what shows on standard error, only if that is a terminal, that a work without counted steps goes on."""
    return Console(stderr=True).status(what) if sys.stderr.isatty() else nullcontext()
