"""The files of a car's lean: roll and wheel loads over lateral acceleration, rates over travel."""

from typing import TYPE_CHECKING, BinaryIO

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.loads.report import LeanSheet
from reports.outputs.csv_files import write_columns
from reports.outputs.output import Output, drawn
from reports.words.lean import NO_BALANCE, WHY_NO_BALANCE

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_PLACES = [(axle, side) for axle in ("front", "rear") for side in SIDE_NAMES]


def lean_outputs(car: Car, drawing: str) -> list[Output[LeanSheet]]:
    """Every file of a car's lean; drawing: the figures' ending."""

    def draw(sheet: LeanSheet) -> "Figure":
        from reports.figures.lean_curves import lean_curves
        from reports.figures.style import Sheet
        from reports.words.figure_titles import lean_title

        return lean_curves(sheet, car, Sheet(lean_title(sheet), car.name))

    def draw_rates(sheet: LeanSheet) -> "Figure":
        from reports.figures.lean_curves import rate_curves
        from reports.figures.style import Sheet
        from reports.words.figure_titles import rates_title

        return rate_curves(sheet, car, Sheet(rates_title(sheet, car.unit), car.name))

    def write(sheet: LeanSheet, file: BinaryIO) -> None:
        write_columns(sheet.columns(car.unit), _notes(sheet), file)

    def write_rates(sheet: LeanSheet, file: BinaryIO) -> None:
        write_columns(sheet.wheel_rates.columns(car.unit), [""] * sheet.front.rates.travel.size, file)

    return [
        Output("lean.csv", write),
        Output("wheel_rates.csv", write_rates),
        Output(f"lean.{drawing}", drawn(draw, drawing)),
        Output(f"wheel_rates.{drawing}", drawn(draw_rates, drawing)),
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
