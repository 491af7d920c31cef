"""The files of a car's lean: roll and wheel loads over lateral acceleration, rates over travel."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.loads.report import LeanSheet
from kinematics.loads.sheet_numbers import lean_columns, rate_columns
from reports.outputs.csv_files import write_columns
from reports.outputs.sweep_files import Output, drawn
from reports.words.lean import NO_BALANCE, WHY_NO_BALANCE

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_PLACES = [(axle, side) for axle in ("front", "rear") for side in SIDE_NAMES]


def lean_names(drawing: str) -> list[str]:
    """Names of all files of a car's lean."""
    return ["lean.csv", "wheel_rates.csv", f"lean.{drawing}", f"wheel_rates.{drawing}"]


def lean_outputs(car: Car, sheet: LeanSheet, drawing: str) -> Sequence[Output]:
    """Every file of a car's lean, in the order of `lean_names`."""
    names = lean_names(drawing)

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
        Output(names[0], lambda file: write_columns(lean_columns(sheet, car.unit), _notes(sheet), file)),
        Output(
            names[1],
            lambda file: write_columns(rate_columns(sheet, car.unit), no_notes, file),
        ),
        Output(names[2], drawn(make, drawing)),
        Output(names[3], drawn(make_rates, drawing)),
    ]


def targets(folder: Path, drawing: str) -> list[Path]:
    """Paths of all files of a car's lean."""
    return [folder / name for name in lean_names(drawing)]


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
