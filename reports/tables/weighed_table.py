"""What the scales said, on the terminal."""

from collections.abc import Mapping, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.lengths import LengthUnit
from kinematics.car.units import Units
from kinematics.weighing.centre_of_gravity import HEIGHT, Weighed
from reports.words.weighed import HOW_SURE, NOT_RAISED, SHARED_BY_LEVERS, TITLES, known_words
from reports.words.wrapped import wrapped


def show_weighed(out: Console, columns: Mapping[str, Weighed], unit: LengthUnit) -> None:
    """Print each number as weighed and, where something was added, as the car races; then the wheels."""
    table = Table()
    table.add_column("")
    for title in columns:
        table.add_column(title, justify="right")
    first = next(iter(columns.values()))
    for key in first.values:
        table.add_row(TITLES[key][0], *(known_words(key, one.values[key], unit) for one in columns.values()))
    mass = Units(unit)
    for i, axle in enumerate(("front", "rear")):
        for j, side in enumerate(("left", "right")):
            loads = (f"{float(one.load[i, j]) / mass.mass:.1f} {mass.mass_symbol}" for one in columns.values())
            table.add_row(f"{axle} {side} wheel", *loads)
    out.print(table)
    notes = [HOW_SURE, *([SHARED_BY_LEVERS] if len(columns) > 1 else [])]
    notes += [] if HEIGHT in first.values else [NOT_RAISED]
    for line in (words for note in notes for words in wrapped(note)):
        out.print(Text(line))


def show_for_the_car(out: Console, lines: Sequence[str]) -> None:
    """Print what to write into the car file."""
    out.print(Text("For the car file:", style="bold"))
    for line in lines:
        out.print(Text(f"  {line}"), soft_wrap=True)
