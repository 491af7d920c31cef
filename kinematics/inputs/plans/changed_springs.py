"""Springs and bars that a plan fits by their rate, written into the tables of a car file."""

from collections.abc import Sequence
from typing import Any

from kinematics.car.lengths import LengthUnit
from kinematics.car.units import Units
from kinematics.planning.changes import Change

# What a file tells of the spring or the bar that was there, and that another need not have.
_OF_THE_SPRING = (
    "free_length", "block_length", "wire", "mean_diameter", "active_coils", "total_coils", "shear_modulus",
)  # fmt: skip
_OF_THE_BAR = ("diameter", "inner_diameter", "length", "arm", "arm_length")
_DIGITS = 9

NEW_SPRINGS = "Other springs: how long they are when free and coil bound is not told; packing follows from the weights."


def fits_springs(changes: Sequence[Change]) -> bool:
    """Whether a plan fits springs of another rate."""
    return any(one.what == "spring rate" for one in changes)


def fit_by_rate(table: dict[str, Any], axle: str, changes: Sequence[Change], unit: LengthUnit) -> None:
    """Put the rates that a plan fits to an axle in its tables; sizes of what was there go. A bar of no rate goes whole.

    Packing needs no entry: springs carry the weights at the height that the file tells.
    """
    for change in changes:
        if change.axle != axle:
            continue
        rate = float(f"{change.by / Units(unit).rate:.{_DIGITS}g}")
        if change.what == "spring rate":
            _refit(table["spring"], rate, _OF_THE_SPRING)
        elif change.what == "bar rate" and rate > 0.0:
            _refit(table["bar"], rate, _OF_THE_BAR)
        elif change.what == "bar rate":
            del table["bar"]


def _refit(table: dict[str, Any], rate: float, gone: Sequence[str]) -> None:
    for key in gone:
        table.pop(key, None)
    table["rate"] = rate
