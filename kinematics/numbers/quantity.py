"""What a reported number is: one record of its key, title, unit, sign, how a mirror shows it, and where it is shown."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from enum import Enum
from functools import cache
from textwrap import wrap
from typing import TypedDict, TypeVar, Unpack

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.given_numbers import told
from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.sides import SIDE_NAMES
from kinematics.car.units import Units
from kinematics.numbers.stance import Stance
from solvers.vectors import Array

_SIDE = 'side is "left" or "right", or "" for a number of the whole axle'


class Dimension(Enum):
    """What a quantity is measured in."""

    LENGTH = "length"
    ANGLE = "angle"
    ANGLE_PER_LENGTH = "angle per length"
    RATIO = "ratio"
    PER_CENT = "per cent"
    RATE = "rate"
    FORCE = "force"
    MASS = "mass"
    FREQUENCY = "frequency"
    ACCELERATION = "acceleration"
    MOMENT_PER_ANGLE = "moment per angle"

    def unit(self, length: LengthUnit) -> str:
        """Symbol of the unit at the edge ("" for a ratio)."""
        return _symbols(length).get(self, "")

    def scale(self, length: LengthUnit) -> float:
        """Factor from mm, radians, N/mm, N, kg, Hz, g, N mm/rad and parts of one to the unit at the edge."""
        return _scales(length).get(self, 1.0)

    def decimals(self, length: LengthUnit) -> int:
        """Digits after the point where a person reads it, in the unit at the edge."""
        return _digits(length).get(self, 0)


@cache
def _symbols(length: LengthUnit) -> dict[Dimension, str]:
    units = Units(length)
    return {
        Dimension.LENGTH: length.symbol,
        Dimension.ANGLE: "deg",
        Dimension.ANGLE_PER_LENGTH: f"deg/{length.symbol}",
        Dimension.PER_CENT: "%",
        Dimension.RATE: units.rate_symbol,
        Dimension.FORCE: units.force_symbol,
        Dimension.MASS: units.mass_symbol,
        Dimension.FREQUENCY: "Hz",
        Dimension.ACCELERATION: "g",
        Dimension.MOMENT_PER_ANGLE: units.moment_per_angle_symbol,
    }


@cache
def _scales(length: LengthUnit) -> dict[Dimension, float]:
    degrees, units = 180.0 / np.pi, Units(length)
    return {
        Dimension.LENGTH: 1.0 / length.in_mm,
        Dimension.ANGLE: degrees,
        Dimension.ANGLE_PER_LENGTH: degrees * length.in_mm,
        Dimension.PER_CENT: 100.0,
        Dimension.RATE: 1.0 / units.rate,
        Dimension.FORCE: 1.0 / units.force,
        Dimension.MASS: 1.0 / units.mass,
        Dimension.MOMENT_PER_ANGLE: 1.0 / (degrees * units.moment),
    }


@cache
def _digits(length: LengthUnit) -> dict[Dimension, int]:
    metric = Units(length).length.symbol == "mm"
    return {
        Dimension.LENGTH: 1 if metric else 2,
        Dimension.ANGLE: 2,
        Dimension.ANGLE_PER_LENGTH: 4 if metric else 3,
        Dimension.RATIO: 3,
        Dimension.PER_CENT: 1,
        Dimension.RATE: 2 if metric else 0,
        Dimension.FREQUENCY: 2,
        Dimension.ACCELERATION: 2,
    }


class Mirror(Enum):
    """What a mirror on the centre plane does to a number, after left and right have changed places."""

    KEEPS = "keeps its sign"
    TURNS = "changes its sign"


class Where(Enum):
    """Where a choice of the numbers is shown; files of sweeps have them all."""

    AT_RIDE_HEIGHT = "tables of an axle at ride height, with or without doubt"
    IN_PLANS = "plans side by side"
    IN_PLAN_DOUBT = "how sure plans are"
    WITH_BAND = "curves in bump and roll, with a band where doubt is known: of the roll centre, and of each wheel"
    SIDE_VIEW_PANELS = "curves of the side view in bump"
    STEERING_PANELS = "curves over rack travel"
    BESIDE_DRAWING = "the table under a view from the front"
    UNDER_SIDE_VIEW = "the words under the side view; where it is shown, what it is reckoned with is told"
    SOURCES_RANKED = "whose doubt is traced to its measurements, where no others are asked for"


@dataclass(frozen=True, kw_only=True, repr=False)
class ReportedNumber:
    """What is known of a number before it has a value.

    dimension: gives unit, scale and rounding. meaning: what it is. sign: which way is positive, or how its scale reads,
    in the few words that a figure's label has room for. mirror: whether its sign turns there. shown: where, and its
    place in that order; places go by tens, to leave room. short: a title for narrow columns. decimals: digits after the
    point, where they are not its dimension's.
    """

    key: str
    title: str
    dimension: Dimension
    meaning: str = ""
    sign: str = ""
    mirror: Mirror = Mirror.KEEPS
    shown: Mapping[Where, int] = field(default_factory=dict, hash=False)
    short: str = ""
    decimals: int | None = None

    def __repr__(self) -> str:
        told = "; ".join(filter(None, (self.label(MM), self.meaning, self.sign)))
        return f"<{self.key}: {told}>"

    def label(self, length: LengthUnit) -> str:
        """Title with unit, for an axis or a table head."""
        unit = self.dimension.unit(length)
        return f"{self.title} [{unit}]" if unit else self.title

    def axis_label(self, length: LengthUnit, width: int | None = None) -> str:
        """Title with unit and sign, for an axis of a figure; in lines of at most width letters."""
        text = f"{self.label(length)} ({self.sign})" if self.sign else self.label(length)
        return text if width is None else "\n".join(wrap(text, width, break_long_words=False))

    def column(self, length: LengthUnit, side: str = "") -> str:
        """Column name with side and unit, for a CSV file. side: "left", "right", or where else it is told."""
        if not isinstance(side, str):
            raise TypeError(f"{_SIDE}; read {told(side)}")
        unit = self.dimension.unit(length).replace("/", "_per_").replace("%", "percent")
        return "_".join(part for part in (self.key, side, unit) if part)


_Number = TypeVar("_Number", bound=ReportedNumber)


def in_order(numbers: Iterable[_Number], where: Where) -> list[_Number]:
    """Those of the numbers that are shown somewhere, in that place's order."""
    return sorted((number for number in numbers if where in number.shown), key=lambda number: number.shown[where])


@dataclass(frozen=True)
class Presence:
    """Which axles have a number: those that have `what`."""

    what: str
    on: Callable[[Axle], bool]


ANYWHERE = Presence("", lambda _: True)


@dataclass(frozen=True, kw_only=True, repr=False)
class Quantity(ReportedNumber):
    """A number read from a stance. per_side: read gives (..., 2, S), otherwise (..., S); inside units.

    only: which axles have it; its read is asked for nothing on others.
    """

    per_side: bool
    read: Callable[[Stance], Array]
    only: Presence = ANYWHERE

    def column(self, length: LengthUnit, side: str = "") -> str:
        """Column name with side and unit, for a CSV file; side: "left", "right", or "" for a number of the axle."""
        if side not in ("", *SIDE_NAMES) and isinstance(side, str):
            raise ValueError(f"{_SIDE}; read {side!r}")
        return super().column(length, side)


class _Facts(TypedDict, total=False):
    """What a number may state besides; see `ReportedNumber`."""

    sign: str
    mirror: Mirror
    shown: Mapping[Where, int]
    short: str


_Read = Callable[[Stance], Array]


def per_side(
    key: str,
    title: str,
    dimension: Dimension,
    meaning: str,
    read: _Read,
    only: Presence = ANYWHERE,
    **facts: Unpack[_Facts],
) -> Quantity:
    """Return a number that each corner has of its own."""
    return Quantity(
        key=key, title=title, dimension=dimension, meaning=meaning, read=read, only=only, per_side=True, **facts
    )


def per_axle(
    key: str,
    title: str,
    dimension: Dimension,
    meaning: str,
    read: _Read,
    only: Presence = ANYWHERE,
    **facts: Unpack[_Facts],
) -> Quantity:
    """Return a number that both corners share."""
    return Quantity(
        key=key, title=title, dimension=dimension, meaning=meaning, read=read, only=only, per_side=False, **facts
    )
