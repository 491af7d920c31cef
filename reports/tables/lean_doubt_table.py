"""How far to trust a car's lean, in the terminal."""

from collections.abc import Iterator

import numpy as np
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import Car
from kinematics.car.units import Units
from kinematics.doubt.lean_doubt import LeanDoubt
from kinematics.loads.axle_numbers import AT_RIDE_HEIGHT, AxleNumber
from reports.tables.lean_table import TRANSFERS
from reports.words.lean_doubt import (
    NOTHING_TOLD,
    counted_words,
    lean_doubt_words,
    not_counted_words,
    under_load_words,
    way_shown,
    with_way,
)
from reports.words.numbers import HOW_HALF_WIDTH_95, shown
from reports.words.wrapped import wrapped
from solvers.vectors import Array

_FEWEST = ("wheel_rate", "roll_stiffness", "ride_frequency", "roll_centre_height")  # beside what `lean` tells of all


def show_lean_doubt(out: Console, car: Car, doubt: LeanDoubt | None) -> None:
    """Print numbers of lean with how far either way 95 % lie, what is counted in that and what is not."""
    if doubt is None:
        out.print(Text(f"\n{NOTHING_TOLD}"))
        return
    table = Table(title="How far to trust it", title_justify="left")
    table.add_column("number")
    for name in ("front", "rear"):
        table.add_column(name, justify="right")
    table.add_column("unit")
    for row in trusted_rows(doubt, car):
        table.add_row(*row)
    out.print()
    out.print(table)
    for text in trusted_words(doubt, car):
        out.print(Text("\n".join(wrapped(text))))


def trusted_rows(doubt: LeanDoubt, car: Car) -> Iterator[list[str]]:
    """A number, front and rear with how far either way, and the unit."""
    for number in AT_RIDE_HEIGHT:
        if number.key in _FEWEST:
            yield [number.title, *_cells(doubt, number, car), number.dimension.unit(car.unit)]
    units = Units(car.unit)
    for key, title in TRANSFERS:
        if key in ("geometric", "in balance"):
            at = f"moved_{key.replace(' ', '_')}"
            value, way = doubt.first["car", at].value / units.force, doubt.half_width_95("car", at) / units.force
            cells = (with_way(float(one), float(its), 0) for one, its in zip(value, way, strict=True))
            yield [f"load moved at 1 g: {title}", *cells, units.force_symbol]


def trusted_words(doubt: LeanDoubt, car: Car) -> Iterator[str]:
    """What stands below: the car's own numbers, how it was reckoned, and what is counted and what is not."""
    yield from lean_doubt_words(doubt, car.unit)
    yield from under_load_words(doubt, car.unit)
    yield from (HOW_HALF_WIDTH_95, counted_words(doubt.counted), not_counted_words(doubt.counted))


def _cells(doubt: LeanDoubt, number: AxleNumber, car: Car) -> list[str]:
    value: Array = doubt.first["springs", number.key].value[:, 0]
    way = doubt.half_width_95("springs", number.key)[:, 0]
    return [
        f"{shown(float(one), number.dimension, car.unit, decimals=number.decimals)} "
        f"{way_shown(float(its), number.dimension, car.unit, number.decimals)}"
        if np.isfinite(one)
        else "not known"
        for one, its in zip(value, way, strict=True)
    ]
