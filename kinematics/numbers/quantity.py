"""What a reported number is: its key, title, kind of unit, sign, where it exists, and how it is read from a stance."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.lengths import LengthUnit
from kinematics.car.units import Units
from kinematics.numbers.stance import Stance
from solvers.vectors import Array


class Dimension(Enum):
    """What a quantity is measured in."""

    LENGTH = "length"
    ANGLE = "angle"
    ANGLE_PER_LENGTH = "angle per length"
    RATIO = "ratio"
    PER_CENT = "per cent"
    RATE = "rate"
    FORCE = "force"

    def unit(self, length: LengthUnit) -> str:
        """Symbol of the unit at the edge ("" for a ratio)."""
        per = f"deg/{length.symbol}"
        units = {
            Dimension.LENGTH: length.symbol,
            Dimension.ANGLE: "deg",
            Dimension.ANGLE_PER_LENGTH: per,
            Dimension.PER_CENT: "%",
            Dimension.RATE: Units(length).rate_symbol,
            Dimension.FORCE: Units(length).force_symbol,
        }
        return units.get(self, "")

    def scale(self, length: LengthUnit) -> float:
        """Factor from mm, radians, N/mm and parts of one to the unit at the edge."""
        degrees = 180.0 / np.pi
        scales = {
            Dimension.LENGTH: 1.0 / length.in_mm,
            Dimension.ANGLE: degrees,
            Dimension.RATIO: 1.0,
            Dimension.PER_CENT: 100.0,
            Dimension.RATE: 1.0 / Units(length).rate,
            Dimension.FORCE: 1.0 / Units(length).force,
        }
        return scales.get(self, degrees * length.in_mm)


@dataclass(frozen=True)
class Presence:
    """Which axles have a number: those that have `what`."""

    what: str
    on: Callable[[Axle], bool]


ANYWHERE = Presence("", lambda _: True)


@dataclass(frozen=True)
class Quantity:
    """One reported number. per_side: read gives (..., 2, S), otherwise (..., S); inside units.

    only: which axles have it; its read is asked for nothing on others.
    """

    key: str
    title: str
    dimension: Dimension
    per_side: bool
    meaning: str
    read: Callable[[Stance], Array]
    only: Presence = ANYWHERE

    def label(self, length: LengthUnit) -> str:
        """Title with unit, for an axis or a table head."""
        unit = self.dimension.unit(length)
        return f"{self.title} [{unit}]" if unit else self.title

    def column(self, length: LengthUnit, side: str = "") -> str:
        """Column name with side and unit, for a CSV file."""
        unit = self.dimension.unit(length).replace("/", "_per_").replace("%", "percent")
        return "_".join(part for part in (self.key, side, unit) if part)


_Read = Callable[[Stance], Array]


def per_side(
    key: str, title: str, dimension: Dimension, meaning: str, read: _Read, only: Presence = ANYWHERE
) -> Quantity:
    """Return a number that each corner has of its own."""
    return Quantity(key, title, dimension, True, meaning, read, only)


def per_axle(
    key: str, title: str, dimension: Dimension, meaning: str, read: _Read, only: Presence = ANYWHERE
) -> Quantity:
    """Return a number that both corners share."""
    return Quantity(key, title, dimension, False, meaning, read, only)
