"""Springs, ride, roll and lean of a car in the terminal."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.car.units import Units
from kinematics.loads.axle_numbers import AT_RIDE_HEIGHT, AxleNumber
from kinematics.loads.axle_sheet import AxleSheet
from kinematics.loads.lean import in_g
from kinematics.loads.report import LeanSheet
from reports.words.lean import lean_words, note_words
from reports.words.numbers import shown

_IN_BALANCE = "in balance"
TRANSFERS = (
    ("geometric", "geometric"),
    ("elastic", "elastic"),
    ("unsprung", "unsprung"),
    ("total", "total, textbook"),
    (_IN_BALANCE, "total, in balance"),
)


def show_lean(out: Console, car: Car, sheet: LeanSheet) -> None:
    """Print what springs and bars do: rates, ride, roll stiffness, lean and load transfer, and what to know of them."""
    units = Units(car.unit)
    axles = Table(title=f"{car.name}: springs at ride height", title_justify="left")
    axles.add_column("number")
    for name in ("front", "rear"):
        axles.add_column(name, justify="right")
    axles.add_column("unit")
    for number in AT_RIDE_HEIGHT:
        cells = (cell(number, one, car.unit) for one in (sheet.front, sheet.rear))
        axles.add_row(number.title, *cells, number.dimension.unit(car.unit))
    out.print(axles)
    out.print(_transfers(sheet, units))
    for text in lean_words(sheet, units):
        out.print(Text(text))
    for note in sheet.notes:
        out.print(Text(f"note: {note_words(note, car.unit)}"))


def cell(number: AxleNumber, one: AxleSheet, unit: LengthUnit) -> str:
    """A number of an axle's springs without its unit, from and to where it is a range."""
    told = [shown(value, number.dimension, unit, decimals=number.decimals) for value in number.read(one)]
    return " to ".join(told) if told else "not known"


def _transfers(sheet: LeanSheet, units: Units) -> Table:
    table = Table(title="Load moved to the outer wheel at 1 g", title_justify="left")
    table.add_column("part")
    for name in ("front", "rear"):
        table.add_column(name, justify="right")
    table.add_column("unit")
    for key, title in TRANSFERS:
        table.add_row(title, *(f"{value / units.force:.0f}" for value in transferred(sheet, key)), units.force_symbol)
    return table


def transferred(sheet: LeanSheet, key: str) -> tuple[float, float]:
    """A part of the load moved at each axle at 1 g [N], one of `TRANSFERS`."""
    if key == _IN_BALANCE:
        return at_one_g(sheet)
    front, rear = (float(getattr(one, key)) for one in (sheet.textbook.front, sheet.textbook.rear))
    return front, rear


def at_one_g(sheet: LeanSheet) -> tuple[float, float]:
    """Load moved at each axle by going from rest to 1 g, in balance [N]."""
    found = sheet.balance
    state = int(abs(in_g(found.acceleration) - 1.0).argmin())
    moved = found.transfer[:, state] - found.transfer[:, 0]
    return float(moved[0]), float(moved[1])
