"""Springs, ride, roll and lean of a car in the terminal."""

import numpy as np
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.car.units import Units
from kinematics.loads.lean import Transfer, degrees_per_g
from kinematics.loads.report import AxleSheet, LeanSheet, in_g
from kinematics.loads.sheet_numbers import AT_RIDE_HEIGHT, AxleNumber
from reports.words.numbers import shown

_TOGETHER = 0.003  # g; ends that give up this close do so together


def show_lean(out: Console, car: Car, sheet: LeanSheet) -> None:
    """Print what springs and bars do: rates, ride, roll stiffness, lean and load transfer, and what to know of them."""
    units = Units(car.unit)
    axles = Table(title=f"{car.name}: springs at ride height", title_justify="left")
    axles.add_column("number")
    for name in ("front", "rear"):
        axles.add_column(name, justify="right")
    axles.add_column("unit")
    for number in AT_RIDE_HEIGHT:
        cells = (_cell(number, one, car.unit) for one in (sheet.front, sheet.rear))
        axles.add_row(number.title, *cells, number.dimension.unit(car.unit))
    out.print(axles)
    out.print(_transfers(sheet, units))
    for text in lean_words(sheet, units):
        out.print(Text(text))
    for note in sheet.notes:
        out.print(Text(f"note: {note}"))


def _cell(number: AxleNumber, one: AxleSheet, unit: LengthUnit) -> str:
    told = [shown(value, number.dimension, unit, decimals=number.decimals) for value in number.read(one)]
    return " to ".join(told) if told else "not known"


def _transfers(sheet: LeanSheet, units: Units) -> Table:
    table = Table(title="Load moved to the outer wheel at 1 g", title_justify="left")
    table.add_column("part")
    for name in ("front", "rear"):
        table.add_column(name, justify="right")
    table.add_column("unit")
    rows = (("geometric", "geometric"), ("elastic", "elastic"), ("unsprung", "unsprung"), ("total", "total, textbook"))
    for key, title in rows:
        values = [_part(transfer, key) / units.force for transfer in (sheet.textbook.front, sheet.textbook.rear)]
        table.add_row(title, *(f"{value:.0f}" for value in values), units.force_symbol)
    moved = at_one_g(sheet)
    table.add_row("total, in balance", *(f"{value / units.force:.0f}" for value in moved), units.force_symbol)
    return table


def _part(transfer: Transfer, key: str) -> float:
    return float(getattr(transfer, key))


def at_one_g(sheet: LeanSheet) -> tuple[float, float]:
    """Load moved at each axle by going from rest to 1 g, in balance [N]."""
    found = sheet.balance
    state = int(abs(in_g(found.acceleration) - 1.0).argmin())
    moved = found.transfer[:, state] - found.transfer[:, 0]
    return float(moved[0]), float(moved[1])


def lean_words(sheet: LeanSheet, units: Units) -> list[str]:
    """The lean in sentences: gradients, which end takes what, wheel lift, which end gives up first."""
    textbook = degrees_per_g(sheet.textbook.gradient, GRAVITY)
    said = [
        f"Roll gradient: {sheet.gradient:.2f} deg per g in balance, from rest; {textbook:.2f} by the textbook. They "
        "part where the unsprung masses' pull goes through the links and the tyres squash under all of the load moved.",
        f"Front share of the load moved: {100.0 * sheet.front_share:.1f} % in balance, from rest; "
        f"{100.0 * sheet.textbook.front_share:.1f} % by the textbook.",
    ]
    found = sheet.balance
    state = int(abs(in_g(found.acceleration) - 1.0).argmin())
    if found.solved[state]:
        rise = [f"{name} {units.length.from_mm(float(found.heave[i, state])):+.1f} {units.length.symbol}"
                for i, name in enumerate(("front", "rear"))]  # fmt: skip
        roll = np.degrees(found.roll[state])
        said.append(f"At 1 g the body rolls {roll:.2f} deg and rises at the {', at the '.join(rise)}.")
    if sheet.lift is None:
        last = float(in_g(sheet.balance.acceleration[sheet.balance.solved][-1]))
        beyond = "" if sheet.balance.solved.all() else "; beyond it no balance was found"
        said.append(f"No wheel leaves the ground up to {last:.2f} g{beyond}.")
    else:
        at, wheel = sheet.lift
        said.append(f"The {wheel} wheel leaves the ground at about {float(in_g(at)):.2f} g (left-hand corner).")
    limit = sheet.grip.limit
    ends = [f"{name} at {float(in_g(at)):.2f} g" for name, at in zip(("front", "rear"), limit, strict=True) if at == at]
    if len(ends) == 2 and abs(float(in_g(limit[0] - limit[1]))) < _TOGETHER:
        said.append(f"With the simple tyre both ends give up together ({', '.join(ends)}).")
    elif ends:
        first = ("front", "rear")[sheet.grip.first]
        said.append(
            f"With the simple tyre the {first} gives up first ({', '.join(ends)}). Compare cars by this, not with a "
            "clock: it is no prediction of a lap time."
        )
    return said
