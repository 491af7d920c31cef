"""The files of a car's lean: roll and wheel loads over lateral acceleration, rates over travel."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, BinaryIO

import numpy as np

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.units import Units
from kinematics.loads.report import LeanSheet, in_g
from reports.outputs.csv_files import write_columns
from reports.outputs.output import Output, drawn
from solvers.vectors import Array

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_PLACES = [(axle, side) for axle in ("front", "rear") for side in SIDE_NAMES]


def lean_outputs(car: Car, drawing: str) -> list[Output[LeanSheet]]:
    """Every file of a car's lean; drawing: the figures' ending."""
    units = Units(car.unit)

    def draw(sheet: LeanSheet) -> "Figure":
        from reports.figures.lean_curves import lean_curves
        from reports.figures.style import Sheet

        return lean_curves(sheet, car, Sheet("Lean and wheel loads", car.name))

    def draw_rates(sheet: LeanSheet) -> "Figure":
        from reports.figures.lean_curves import rate_curves
        from reports.figures.style import Sheet

        return rate_curves(sheet, car, Sheet("Wheel rates over travel", car.name))

    def write(sheet: LeanSheet, file: BinaryIO) -> None:
        write_columns(_lean_columns(sheet, units), _notes(sheet), file)

    def write_rates(sheet: LeanSheet, file: BinaryIO) -> None:
        write_columns(_rate_columns(sheet, units), [""] * sheet.front.rates.travel.size, file)

    return [
        Output("lean.csv", write),
        Output("wheel_rates.csv", write_rates),
        Output(f"lean.{drawing}", drawn(draw, drawing)),
        Output(f"wheel_rates.{drawing}", drawn(draw_rates, drawing)),
    ]


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
        notes.append(
            text
            if found.solved[state]
            else "no balance was found here: what is left on the ground cannot hold the roll, or a linkage ends"
        )
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
