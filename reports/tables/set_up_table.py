"""A set-up on the terminal: what to do, what to set, and what came out."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.setting.came_out import CameOut
from kinematics.setting.set_up import Measure, SetUp
from reports.words.came_out import again_words, came_words, mark_words, scales_words
from reports.words.numbers import PLUS_MINUS
from reports.words.set_up import (
    CROSS_MEANING,
    CROSS_NEAR,
    Steps,
    cross_words,
    steps_of,
)
from reports.words.set_up_numbers import (
    fine_words,
    number_words,
    row_words,
    tolerance_words,
    travel_words,
    was_words,
)
from reports.words.wrapped import wrapped


def show_set_up(out: Console, planned: SetUp) -> None:
    """Print what to do in order, and the numbers to set."""
    for part in steps_of(planned):
        out.print(Text(part.heading, style="bold"))
        _show_steps(out, part)
    unit = planned.car.unit
    table = Table()
    for title in ("no.", "what", "was", "set to: left", "right", "within"):
        table.add_column(title, justify="right" if title in ("set to: left", "right") else "left")
    for left, right in zip(planned.entries[::2], planned.entries[1::2], strict=True):
        values = (number_words(one.planned, one.measure, unit) for one in (left, right))
        numbers = f"{left.number}, {right.number}"
        table.add_row(
            numbers,
            row_words(left, right, planned),
            was_words(left, right, unit),
            *values,
            tolerance_words(left.measure, unit),
        )
    out.print(table)
    if planned.perches is not None:
        out.print(Text(f"Cross-weight {cross_words(planned.perches.cross)} {CROSS_NEAR} ({CROSS_MEANING})."))


def _show_steps(out: Console, part: Steps) -> None:
    for line in part.lines:
        for at, words in enumerate(wrapped(line, 76)):
            out.print(Text(f"{'    ' if at else '[ ] '}{words}"))


def show_came_out(out: Console, found: CameOut) -> None:
    """Print what was read against what was planned, and what to turn again."""
    unit = found.set_up.car.unit
    table = Table(title="Measured against planned", title_justify="left")
    for title in ("no.", "what", "planned", "measured", "off", "so it is"):
        table.add_column(title, justify="left" if title in ("what", "so it is") else "right")
    for one in found.outcomes:
        measure = one.entry.measure
        values = (fine_words(value, measure, unit) for value in (one.entry.planned, one.reading.value))
        travel = "" if one.entry.travel is None else f", {travel_words(one.entry.travel, unit)}"
        what = f"{one.entry.axle} {one.entry.side} {_SHORT.get(measure, measure.value)}{travel}"
        table.add_row(str(one.entry.number), what, *values, came_words(one, unit), mark_words(one))
    out.print(table)
    for line in scales_words(found.scales, unit) if found.scales is not None else ():
        for words in wrapped(line):
            out.print(Text(words))
    for line in (words for text in (*again_words(found), HOW_SURE) for words in wrapped(text)):
        out.print(Text(line))


_SHORT = {Measure.HEIGHT: "height", Measure.LOAD: "load"}
HOW_SURE = (
    f"{PLUS_MINUS}: 95 % of such readings, from the doubt that is written beside them or usual, and "
    "for heights and toe over travel from how well the car file says it was measured."
)
