"""What each point does to the numbers that decide, in the terminal: the largest effects, ranked."""

from collections.abc import Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.lengths import LengthUnit
from kinematics.finding.influence import Influence
from kinematics.numbers.registry import QUANTITIES
from reports.tables.terminal import show_headline
from reports.words.influence import deciding, effects, influence_headline, step_note, step_of
from reports.words.wrapped import WIDTH

_ROWS = 24  # of all axles and numbers
_MOST = 6  # of one number


def show_influence(
    out: Console, found: Sequence[Influence], unit: LengthUnit, then: str, *, all_points: bool = False
) -> None:
    """Print what moves the deciding numbers of one or two axles most; then: the next command.

    all_points: every one, also those that no kind of change reaches.
    """
    show_headline(influence_headline(found, unit, then))
    numbers = sum(len(deciding(one)) for one in found)
    most = None if all_points else min(_MOST, max(_ROWS // max(numbers, 1), 2))
    for one in found:
        out.print(_table(one, unit, most, all_points=all_points))
    out.print(Text(step_note(unit, all_points=all_points)), width=min(WIDTH, out.width))


def _table(found: Influence, unit: LengthUnit, most: int | None, *, all_points: bool) -> Table:
    title = f"{found.axle.name} axle, {found.axle.suspension.name}"
    table = Table(title=title, title_justify="left", box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("number, point moved", no_wrap=True)
    table.add_column(f"per {step_of(unit).words}", justify="right", no_wrap=True)
    table.add_column("reached by")
    for key in deciding(found):
        table.add_row(Text(QUANTITIES[key].label(unit), style="bold"))
        moved = effects(found, key, unit, most, all_points=all_points)
        if not moved:
            table.add_row("  no point moves it", "", "")
        for one in moved:
            table.add_row(f"  {one.place}", one.change, one.reached_by)
    return table
