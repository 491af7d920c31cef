"""A car under load in the terminal: one column for each manoeuvre."""

import numpy as np
from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import Car
from kinematics.loads.load_numbers import UNDER_LOAD
from kinematics.loads.under_load import UnderLoad
from kinematics.numbers.quantity import Dimension
from reports.words.numbers import shown
from reports.words.under_load import HOW_UNDER_LOAD, manoeuvre_words, under_load_words

_NONE = "-"


def show_under_load(out: Console, car: Car, found: UnderLoad) -> None:
    """Print every number at the end of each manoeuvre, or at the last balance before it, and what came on the way."""
    title = f"{car.name}: under load"
    table = Table(title=title, title_justify="left", pad_edge=False, box=SIMPLE_HEAD, padding=(0, 1, 0, 0))
    table.add_column("number", no_wrap=True)
    table.add_column("where", no_wrap=True)
    for one in found.manoeuvres:
        # What is done above how hard, so that three columns fit.
        parts = (part.partition(" ") for part in manoeuvre_words(one).split(", "))
        table.add_column("\n".join(f"{what}\n{amount}" for what, _, amount in parts), justify="right")
    table.add_column("unit")
    for number in UNDER_LOAD:
        if not number.in_table:
            continue
        for place, values in number.by_place(found).items():
            ends = [float(values[i, last]) for i, last in enumerate(found.last)]
            cells = [_cell(value, number.dimension, car) for value in ends]
            first = place in ("", "front", "front left")
            table.add_row(number.title if first else "", place, *cells, number.dimension.unit(car.unit))
    out.print(table)
    for text in (*under_load_words(found), HOW_UNDER_LOAD):
        out.print(Text(text))


def _cell(value: float, dimension: Dimension, car: Car) -> str:
    return shown(value, dimension, car.unit) if np.isfinite(value) else _NONE
