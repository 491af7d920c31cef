"""What to measure next in the terminal: the readings in order, each with the number's doubt before and after it."""

from collections.abc import Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.lengths import LengthUnit
from kinematics.survey.dispensable import Dispensable
from kinematics.survey.further_readings import FurtherReading
from kinematics.survey.next_readings import NextReadings
from reports.words.next_readings import (
    HOW_SPARED,
    NONE_TO_SPARE,
    doubt_shown,
    gauge_alone_does,
    gauge_lines,
    good_to,
    how_to_read,
    reading_words,
    spared_words,
)
from reports.words.numbers import PLUS_MINUS
from reports.words.wrapped import wrapped


def show_next_readings(out: Console, lists: Sequence[NextReadings], unit: LengthUnit) -> None:
    """Print the list of each axle with what a gauge would do, and how they are to be read."""
    listed: list[FurtherReading] = []
    for found in lists:
        # Readings that do not get there are no advice where a gauge does.
        if found.readings and not gauge_alone_does(found):
            out.print(_table(found, unit))
            listed += [one.what for one in found]
        _show(out, gauge_lines(found, unit))
    _show(out, how_to_read(listed))


def show_dispensable(
    out: Console, lists: Sequence[tuple[NextReadings, Sequence[Dispensable]]], unit: LengthUnit
) -> None:
    """Print what of the sheet could be left out, with the number's doubt without it and those before it."""
    for found, own in lists:
        if not own:
            _show(out, [NONE_TO_SPARE.format(axle=found.found.axle.name, number=found.number.title)])
            continue
        _show(out, [spared_words(found, own, unit)])
        table = Table(box=SIMPLE_HEAD, show_edge=False, pad_edge=False)
        table.add_column("no.", justify="right", no_wrap=True)
        table.add_column("could be left out")
        table.add_column("then", justify="right", no_wrap=True)
        for one in own:
            doubt = f"{PLUS_MINUS} {doubt_shown(one.without, found, unit)}"
            table.add_row(str(one.what.number), reading_words(one.what), doubt)
        out.print(table)
    if any(own for _, own in lists):
        _show(out, [HOW_SPARED])


def _show(out: Console, lines: Sequence[str]) -> None:
    for line in lines:
        out.print(Text("\n".join(wrapped(line))))


def _table(found: NextReadings, unit: LengthUnit) -> Table:
    symbol = found.number.dimension.unit(unit)
    title = f"{found.found.axle.name} {found.number.title}{f' [{symbol}]' if symbol else ''}, 95 % of such surveys"
    table = Table(title=title, title_justify="left", box=SIMPLE_HEAD)
    table.add_column("", justify="right")
    table.add_column("no.", justify="right")
    table.add_column("read next")
    for head in ("good to", "before", "after"):
        table.add_column(head, justify="right", no_wrap=True)
    for place, one in enumerate(found, start=1):
        number = "" if one.what.number is None else str(one.what.number)
        doubts = (f"{PLUS_MINUS} {doubt_shown(value, found, unit)}" for value in (one.before, one.after))
        table.add_row(str(place), number, reading_words(one.what), good_to(one.what, unit), *doubts)
    return table
