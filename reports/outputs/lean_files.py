"""The files of a car's lean: roll and wheel loads over lateral acceleration, rates over travel."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.units import Units
from kinematics.loads.report import LeanSheet, in_g
from reports.outputs.csv_files import write_columns
from reports.outputs.sweep_files import Output, drawn
from reports.words.lean import NO_BALANCE, WHY_NO_BALANCE
from solvers.vectors import Array

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_PLACES = [(axle, side) for axle in ("front", "rear") for side in SIDE_NAMES]


def lean_names(drawing: str) -> list[str]:
    """Names of all files of a car's lean."""
    return ["lean.csv", "wheel_rates.csv", f"lean.{drawing}", f"wheel_rates.{drawing}"]


def lean_outputs(car: Car, sheet: LeanSheet, drawing: str) -> Sequence[Output]:
    """Every file of a car's lean, in the order of `lean_names`."""
    names = lean_names(drawing)
    units = Units(car.unit)

    def make() -> "Figure":
        from reports.figures.lean_curves import lean_curves
        from reports.figures.style import Sheet

        return lean_curves(sheet, car, Sheet("Lean and wheel loads", car.name))

    def make_rates() -> "Figure":
        from reports.figures.lean_curves import rate_curves
        from reports.figures.style import Sheet

        return rate_curves(sheet, car, Sheet("Wheel rates over travel", car.name))

    no_notes = [""] * sheet.front.rates.travel.size
    return [
        Output(names[0], lambda file: write_columns(_lean_columns(sheet, units), _notes(sheet), file)),
        Output(
            names[1],
            lambda file: write_columns(_rate_columns(sheet, units), no_notes, file),
        ),
        Output(names[2], drawn(make, drawing)),
        Output(names[3], drawn(make_rates, drawing)),
    ]


def targets(folder: Path, drawing: str) -> list[Path]:
    """Paths of all files of a car's lean."""
    return [folder / name for name in lean_names(drawing)]


def _lean_columns(sheet: LeanSheet, units: Units) -> Mapping[str, Array]:
    found, length = sheet.balance, units.length
    columns = {"lateral_acceleration_g": in_g(found.acceleration), "roll_deg": np.degrees(found.roll)}
    for axle, name in enumerate(("front", "rear")):
        columns[f"heave_{name}_{length.symbol}"] = found.heave[axle] / length.in_mm
    for place, (axle_name, side_name) in enumerate(_PLACES):
        axle, side = divmod(place, 2)
        tail = f"{axle_name}_{side_name}"
        columns[f"travel_{tail}_{length.symbol}"] = found.travel[axle, side] / length.in_mm
        columns[f"wheel_load_{tail}_{units.force_symbol}"] = found.load[axle, side] / units.force
        columns[f"bump_stop_force_{tail}_{units.force_symbol}"] = found.stop_force[axle, side] / units.force
    for axle, name in enumerate(("front", "rear")):
        columns[f"load_moved_{name}_{units.force_symbol}"] = (
            found.transfer[axle] - found.transfer[axle, 0]
        ) / units.force
        columns[f"lateral_acceleration_held_{name}_g"] = in_g(sheet.grip.held[axle])
    return {key: np.where(found.solved, values, np.nan) for key, values in columns.items()}


def _notes(sheet: LeanSheet) -> list[str]:
    found = sheet.balance
    notes = []
    for state in range(found.acceleration.size):
        lifted = [
            f"{axle} {side}" for place, (axle, side) in enumerate(_PLACES) if found.lifted[divmod(place, 2)][state]
        ]
        text = f"off the ground: {', '.join(lifted)}" if lifted else ""
        notes.append(text if found.solved[state] else f"{NO_BALANCE} here: {WHY_NO_BALANCE}")
    return notes


def _rate_columns(sheet: LeanSheet, units: Units) -> Mapping[str, Array]:
    length, rate = units.length, units.rate
    per = units.rate_symbol.replace("/", "_per_")
    columns = {f"travel_{length.symbol}": sheet.front.rates.travel / length.in_mm}
    for name, one in (("front", sheet.front), ("rear", sheet.rear)):
        for side, side_name in enumerate(SIDE_NAMES):
            tail = f"{name}_{side_name}"
            columns[f"motion_ratio_{tail}"] = one.rates.motion_ratio[side]
            columns[f"motion_ratio_in_roll_{tail}"] = one.rates.motion_ratio_in_roll[side]
            columns[f"spring_force_{tail}_{units.force_symbol}"] = one.rates.spring_force[side] / units.force
            columns[f"wheel_rate_{tail}_{per}"] = one.rates.wheel_rate[side] / rate
            columns[f"wheel_rate_in_roll_{tail}_{per}"] = one.rates.wheel_rate_in_roll[side] / rate
            columns[f"bar_in_roll_{tail}_{per}"] = one.rates.bar_in_roll[side] / rate
    return columns
