"""A car's record on the terminal: its states, and what changed from one to the next."""

from collections.abc import Iterator, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.registry import QUANTITIES
from kinematics.record.between import Between, Difference
from kinematics.record.state import State
from reports.words.numbers import shown
from reports.words.record import (
    HOW_SURE,
    between_title,
    change_words,
    dimension_of,
    is_shown,
    notes_words,
    parts_words,
    shared_words,
    state_words,
    sure_words,
    title_of,
    warnings_of,
)
from reports.words.wrapped import wrapped

_HEIGHT = "roll_centre_height"
_MOST = (6, 12)  # points and numbers on the first screen


def show_record(
    out: Console, states: Sequence[State], compared: Sequence[Between], unit: LengthUnit, *, everything: bool
) -> None:
    """Print states, notes, and the last comparison, what changed by more than its doubt; or everything of all."""
    for text in warnings_of(states):
        for line in wrapped(text):
            out.print(Text(line, style="yellow"))
    if len(states) > 2:
        _show_states(out, compared, unit)
    told = compared if everything else compared[-1:]
    for found in told:
        _show(out, found, unit, everything=everything)
    if len(told) < len(compared):
        out.print(Text("  --all prints the changes before that too; two states that are named are compared directly"))
    for state in states:
        for line in notes_words(state, everything=everything):
            out.print(Text(line))
    if compared:
        for line in wrapped(HOW_SURE):
            out.print(Text(line))


def _show_states(out: Console, compared: Sequence[Between], unit: LengthUnit) -> None:
    """Print a row for each state: where the roll centre of each axle was, and how far it had moved since."""
    kind = QUANTITIES[_HEIGHT].dimension
    heights = [{one.axle: one for one in found.numbers if one.key == _HEIGHT} for found in compared]
    axles = list(dict.fromkeys(axle for own in heights for axle in own))
    table = Table()
    table.add_column("state")
    for axle in axles:
        table.add_column(f"{axle} roll centre [{kind.unit(unit)}]", justify="right")
    first = [shown(heights[0][axle].before, kind, unit) if axle in heights[0] else "" for axle in axles]
    table.add_row(state_words(compared[0].before), *first)
    for found, own in zip(compared, heights, strict=True):
        table.add_row(state_words(found.after), *(_moved(own.get(axle), unit) for axle in axles))
    out.print(table)


def _moved(one: Difference | None, unit: LengthUnit) -> str:
    """Where a roll centre is now, and its change since the state before; empty where an axle is not in both."""
    if one is None:
        return ""
    kind = dimension_of(one)
    return f"{shown(one.after, kind, unit)} ({change_words(one, unit).removesuffix(f' {kind.unit(unit)}')})"


def _show(out: Console, found: Between, unit: LengthUnit, *, everything: bool) -> None:
    out.print(Text(between_title(found), style="bold"))
    told = [[one for one in rows if everything or _counts(one, unit)] for rows in (found.points, found.numbers)]
    changed = [one for rows in told for one in rows]
    kept = [one for rows, most in zip(told, _MOST, strict=True) for one in (rows if everything else rows[:most])]
    for line in (words for text in parts_words(found.parts, unit) for words in wrapped(text)):
        out.print(Text(f"  {line}"))
    if not changed and not found.parts:
        out.print(Text("  nothing changed that the files tell"))
    elif kept:
        out.print(_table(kept, unit))
    if len(kept) < len(changed):
        out.print(Text(f"  and {len(changed) - len(kept)} more; --all prints them"))
    shared = shared_words(found)
    if shared:
        out.print(Text(f"  {shared}"))


def _counts(one: Difference, unit: LengthUnit) -> bool:
    """Whether a change belongs on the first screen: every point, and a number that is not within its doubt."""
    return is_shown(one, unit) and bool(one.point or one.is_sure is not False)


def _table(rows: Sequence[Difference], unit: LengthUnit) -> Table:
    table = Table()
    for title in ("what", "before", "after", "change", "more than doubt"):
        table.add_column(title, justify="left" if title == "what" else "right")
    for one, side in _once(rows):
        kind = dimension_of(one)
        what = " ".join(filter(None, (one.axle, side, title_of(one))))
        values = (shown(value, kind, unit) for value in (one.before, one.after))
        table.add_row(what, *values, change_words(one, unit), sure_words(one, unit))
    return table


def _once(rows: Sequence[Difference]) -> Iterator[tuple[Difference, str]]:
    """Each row with its side; left and right together, without one, where they are the same number."""
    place = 0
    while place < len(rows):
        one = rows[place]
        other = rows[place + 1] if place + 1 < len(rows) else None
        if other is not None and _alike(one, other):
            yield one, ""
            place += 2
        else:
            yield one, one.side
            place += 1


def _alike(one: Difference, other: Difference) -> bool:
    named = (one.axle, one.key, one.point) == (other.axle, other.key, other.point)
    same = abs(one.before - other.before) < 1e-9 and abs(one.after - other.after) < 1e-9
    return named and same and one.side != other.side
