"""What to measure next in the terminal: the readings in order, each with the number's doubt before and after it."""

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.lengths import LengthUnit
from kinematics.survey.next_readings import NextReadings
from reports.words.next_readings import doubt_shown, gauge_lines, good_to, reading_words
from reports.words.numbers import PLUS_MINUS
from reports.words.wrapped import wrapped

_HOW = (
    "No.: of the measuring sheet; where there is none, see first whether a tape runs straight. Good to: two readings "
    "in three lie within it."
)
_AGAIN = "Again: afresh, as if it had not been read; write it into the survey as a reading of its own."
_ANGLES = "A wheel's angle again: write the mean, and as known_to its doubt over the root of how often it was read."


def show_next_readings(out: Console, found: NextReadings, unit: LengthUnit) -> None:
    """Print the list, how it is to be read, and what a gauge would do."""
    if found.readings:
        out.print(_table(found, unit))
    for line in (*_notes(found), *gauge_lines(found, unit)):
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


def _notes(found: NextReadings) -> list[str]:
    told = [one.what for one in found]
    notes = [_HOW] if told else []
    if any(one.again and one.wheel_angle is None for one in told):
        notes.append(_AGAIN)
    if any(one.wheel_angle is not None for one in told):
        notes.append(_ANGLES)
    return notes
