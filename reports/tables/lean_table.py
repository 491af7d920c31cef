"""Springs, ride, roll and lean of a car in the terminal."""

import numpy as np
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.car.units import Units
from kinematics.loads.lean import Transfer
from kinematics.loads.report import AxleSheet, LeanSheet, in_g
from reports.words.lean import lean_words, note_words


def show_lean(out: Console, car: Car, sheet: LeanSheet) -> None:
    """Print what springs and bars do: rates, ride, roll stiffness, lean and load transfer, and what to know of them."""
    units = Units(car.unit)
    axles = Table(title=f"{car.name}: springs at ride height", title_justify="left")
    axles.add_column("number")
    for name in ("front", "rear"):
        axles.add_column(name, justify="right")
    axles.add_column("unit")
    for row in zip(*(_axle_rows(one, units, car.unit) for one in (sheet.front, sheet.rear)), strict=True):
        (title, front, unit), (_, rear, _) = row
        axles.add_row(title, front, rear, unit)
    out.print(axles)
    out.print(_transfers(sheet, units))
    for text in lean_words(sheet, units):
        out.print(Text(text))
    for note in sheet.notes:
        out.print(Text(f"note: {note_words(note)}"))


def _axle_rows(one: AxleSheet, units: Units, unit: LengthUnit) -> list[tuple[str, str, str]]:
    loads, here = one.setup.loads, int(np.argmin(np.abs(one.rates.travel)))
    rate, symbol = units.rate, units.rate_symbol
    metric = unit.symbol == "mm"
    # N mm/rad to N m/deg, or to lb ft/deg.
    per_degree = np.radians(1.0) * (1e-3 if metric else 1.0 / (units.force * 12.0 * unit.in_mm))
    moment = "N m/deg" if metric else "lb ft/deg"
    ends = [one.rates.wheel_rate[:, index].mean() / rate for index in (0, here, -1)]
    return [
        ("weight on the axle", f"{loads.corner_mass.sum() / units.mass:.0f}", units.mass_symbol),
        ("spring force at rest", f"{one.setup.preload.mean() / units.force:.0f}", units.force_symbol),
        ("spring travel per wheel travel, in bump", f"{one.rates.motion_ratio[:, here].mean():.3f}", ""),
        ("the same in roll", f"{one.rates.motion_ratio_in_roll[:, here].mean():.3f}", ""),
        ("wheel rate", f"{ends[1]:.2f}", symbol),
        ("wheel rate, working droop to bump", f"{ends[0]:.1f} to {ends[2]:.1f}", symbol),
        ("bar at the wheel, in roll", f"{one.rates.bar_in_roll[:, here].mean() / rate:.2f}", symbol),
        ("roll stiffness of the springs", f"{one.roll.springs * per_degree:.0f}", moment),
        ("roll stiffness of the bar", f"{one.roll.bar * per_degree:.0f}", moment),
        ("roll stiffness with the tyres in series", f"{one.roll.stiffness * per_degree:.0f}", moment),
        ("ride frequency", f"{one.ride.frequency:.2f}", "Hz"),
        ("damping ratio", "not known" if one.ride.damping is None else f"{one.ride.damping:.2f}", ""),
        ("roll centre", f"{unit.from_mm(one.roll_centre):.1f}", unit.symbol),
    ]


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
