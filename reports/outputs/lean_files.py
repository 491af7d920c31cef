"""The files of a car's lean: roll and wheel loads over lateral acceleration, rates over travel."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.limits import WorkingRange
from kinematics.doubt.lean_doubt import LeanDoubt, lean_doubt
from kinematics.loads.report import LeanSheet, lean_sheet
from reports.outputs.csv_files import write_columns
from reports.outputs.output import Output, drawn
from reports.result_figures import lean_figure, wheel_rates_figure
from reports.words.lean import NO_BALANCE, WHY_NO_BALANCE

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_PLACES = [(axle, side) for axle in ("front", "rear") for side in SIDE_NAMES]


@dataclass(frozen=True)
class LeanFound:
    """A car's lean, and how far to trust it; None where its file says of nothing how well it is known."""

    sheet: LeanSheet
    doubt: LeanDoubt | None

    @classmethod
    def of(cls, car: Car, working: WorkingRange) -> "LeanFound":
        """That of a car over a working range. NotReadyError says what it lacks."""
        sheet = lean_sheet(car, working)
        return cls(sheet, lean_doubt(car, sheet, working))


def lean_outputs(car: Car, drawing: str) -> list[Output[LeanFound]]:
    """Every file of a car's lean; drawing: the figures' ending."""

    def write(found: LeanFound, file: BinaryIO) -> None:
        write_columns(found.sheet.columns(car.unit), _notes(found.sheet), file)

    def write_rates(found: LeanFound, file: BinaryIO) -> None:
        sheet = found.sheet
        write_columns(sheet.wheel_rates.columns(car.unit), [""] * sheet.front.rates.travel.size, file)

    def lean(found: LeanFound) -> "Figure":
        return lean_figure(found.sheet, car, found.doubt)

    def rates(found: LeanFound) -> "Figure":
        return wheel_rates_figure(found.sheet, car, found.doubt)

    return [
        Output("lean.csv", write),
        Output("wheel_rates.csv", write_rates),
        Output(f"lean.{drawing}", drawn(lean, drawing)),
        Output(f"wheel_rates.{drawing}", drawn(rates, drawing)),
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
