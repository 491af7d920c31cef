"""The files of a car's lean: roll and wheel loads over lateral acceleration, rates over travel."""

from typing import BinaryIO

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.loads.report import LeanSheet
from reports.outputs.csv_files import write_columns
from reports.outputs.output import Output, drawn
from reports.result_figures import lean_figure, wheel_rates_figure
from reports.words.lean import NO_BALANCE, WHY_NO_BALANCE

_PLACES = [(axle, side) for axle in ("front", "rear") for side in SIDE_NAMES]


def lean_outputs(car: Car, drawing: str) -> list[Output[LeanSheet]]:
    """Every file of a car's lean; drawing: the figures' ending."""

    def write(sheet: LeanSheet, file: BinaryIO) -> None:
        write_columns(sheet.columns(car.unit), _notes(sheet), file)

    def write_rates(sheet: LeanSheet, file: BinaryIO) -> None:
        write_columns(sheet.wheel_rates.columns(car.unit), [""] * sheet.front.rates.travel.size, file)

    return [
        Output("lean.csv", write),
        Output("wheel_rates.csv", write_rates),
        Output(f"lean.{drawing}", drawn(lambda sheet: lean_figure(sheet, car), drawing)),
        Output(f"wheel_rates.{drawing}", drawn(lambda sheet: wheel_rates_figure(sheet, car), drawing)),
    ]


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
