"""The numbers of a car's springs and lean over travel and over lateral acceleration.

A number of a curve is read for the car (S,), its axles (2, S) or its wheels (2 axles, 2 sides, S).
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import MM, LengthUnit
from kinematics.loads.axle_sheet import AxleSheet
from kinematics.loads.equilibrium import Balance
from kinematics.loads.grip import GripLeft
from kinematics.loads.lean import in_g
from kinematics.loads.rates import Rates
from kinematics.numbers.named_values import NamedValues
from kinematics.numbers.quantity import Dimension, ReportedNumber
from kinematics.numbers.result import number_of
from solvers.vectors import Array

_AXLES = ("front", "rear")
_PLACES: dict[int, dict[str, tuple[int, ...]]] = {
    1: {"": ()},
    2: {name: (axle,) for axle, name in enumerate(_AXLES)},
    3: {f"{name}_{side}": (i, k) for i, name in enumerate(_AXLES) for k, side in enumerate(SIDE_NAMES)},
}


class Leaning(Protocol):
    """What the numbers are read from: both axles' springs, the car in balance, and what its tyres could hold."""

    @property
    def front(self) -> AxleSheet:
        """The front axle's springs."""

    @property
    def rear(self) -> AxleSheet:
        """The rear axle's."""

    @property
    def balance(self) -> Balance:
        """The car in balance over lateral accelerations."""

    @property
    def grip(self) -> GripLeft:
        """What its tyres could hold there."""


@dataclass(frozen=True, kw_only=True, repr=False)
class CurveNumber(ReportedNumber):
    """A number over lateral acceleration or travel."""

    read: Callable[[Leaning], Array]


Placed = tuple[CurveNumber, str, Array]  # a number, its place ("", "front" or "front_left") and its values (S,)


def _over_travel(read: Callable[[Rates], Array]) -> Callable[[Leaning], Array]:
    return lambda sheet: np.stack([read(one.rates) for one in (sheet.front, sheet.rear)])


LATERAL_ACCELERATION = CurveNumber(
    key="lateral_acceleration",
    title="lateral acceleration",
    dimension=Dimension.ACCELERATION,
    read=lambda sheet: in_g(sheet.balance.acceleration),
)
ROLL = CurveNumber(
    key="roll",
    title="roll of the body",
    dimension=Dimension.ANGLE,
    sign="leaning outwards",
    read=lambda sheet: sheet.balance.roll,
)
WHEEL_LOAD = CurveNumber(
    key="wheel_load",
    title="wheel loads",
    dimension=Dimension.FORCE,
    read=lambda sheet: sheet.balance.load,
)
HELD = CurveNumber(
    key="lateral_acceleration_held",
    title="lateral acceleration that each end's simple tyres could hold",
    dimension=Dimension.ACCELERATION,
    read=lambda sheet: in_g(sheet.grip.held),
)
# What stands in one group is written place by place: all of the front left wheel, then all of the front right.
_IN_LEAN: tuple[tuple[CurveNumber, ...], ...] = (
    (LATERAL_ACCELERATION,),
    (ROLL,),
    (
        CurveNumber(
            key="heave",
            title="heave of the body",
            dimension=Dimension.LENGTH,
            sign="up positive",
            read=lambda sheet: sheet.balance.heave,
        ),
    ),
    (
        CurveNumber(
            key="travel",
            title="wheel travel",
            dimension=Dimension.LENGTH,
            sign="bump positive",
            read=lambda sheet: sheet.balance.travel,
        ),
        WHEEL_LOAD,
        CurveNumber(
            key="bump_stop_force",
            title="bump-stop force",
            dimension=Dimension.FORCE,
            read=lambda sheet: sheet.balance.stop_force,
        ),
    ),
    (
        CurveNumber(
            key="load_moved",
            title="load moved to the outer wheel",
            dimension=Dimension.FORCE,
            meaning="since rest",
            read=lambda sheet: sheet.balance.transfer - sheet.balance.transfer[:, :1],
        ),
        HELD,
    ),
)

TRAVEL = CurveNumber(
    key="travel",
    title="wheel travel",
    dimension=Dimension.LENGTH,
    sign="right: bump, wheel up; left: droop; 0: ride height",
    read=lambda sheet: sheet.front.rates.travel,
)
MOTION_RATIO = CurveNumber(
    key="motion_ratio",
    title="spring travel per wheel travel, in bump",
    dimension=Dimension.RATIO,
    read=_over_travel(lambda rates: rates.motion_ratio),
)
SPRING_FORCE = CurveNumber(
    key="spring_force",
    title="spring force",
    dimension=Dimension.FORCE,
    read=_over_travel(lambda rates: rates.spring_force),
)
WHEEL_RATE = CurveNumber(
    key="wheel_rate",
    title="wheel rate",
    dimension=Dimension.RATE,
    read=_over_travel(lambda rates: rates.wheel_rate),
)
_OVER_TRAVEL: tuple[tuple[CurveNumber, ...], ...] = (
    (TRAVEL,),
    (
        MOTION_RATIO,
        CurveNumber(
            key="motion_ratio_in_roll",
            title="spring travel per wheel travel, in roll",
            dimension=Dimension.RATIO,
            read=_over_travel(lambda rates: rates.motion_ratio_in_roll),
        ),
        SPRING_FORCE,
        WHEEL_RATE,
        CurveNumber(
            key="wheel_rate_in_roll",
            title="wheel rate in roll, without the bar",
            dimension=Dimension.RATE,
            read=_over_travel(lambda rates: rates.wheel_rate_in_roll),
        ),
        CurveNumber(
            key="bar_in_roll",
            title="bar at the wheel, in roll",
            dimension=Dimension.RATE,
            read=_over_travel(lambda rates: rates.bar_in_roll),
        ),
    ),
)


class InLean(NamedValues[str]):
    """A car that leans: its numbers over lateral acceleration by key, NaN where no balance was found."""

    def _sheet(self) -> Leaning:
        raise NotImplementedError

    def about(self, key: str) -> ReportedNumber:
        """What is known of a number: title, meaning, dimension, and which way is positive."""
        return number_of(key, _LEAN_BY_KEY)

    def columns(self, unit: LengthUnit = MM) -> dict[str, Array]:
        """Every number as a column, in degrees, g and the given unit, named with its place and unit."""
        return _columns(self.placed(), unit)

    def placed(self) -> Iterator[Placed]:
        """Every number by place; NaN where no balance was found."""
        sheet = self._sheet()
        for number, place, values in _placed(_IN_LEAN, sheet):
            yield number, place, np.where(sheet.balance.solved, values, np.nan)

    def _by_key(self) -> dict[str, Array]:
        sheet = self._sheet()
        return {key: np.where(sheet.balance.solved, one.read(sheet), np.nan) for key, one in _LEAN_BY_KEY.items()}

    def _index(self, unit: LengthUnit) -> dict[str, Array]:
        return {LATERAL_ACCELERATION.column(unit): LATERAL_ACCELERATION.read(self._sheet())}


@dataclass(frozen=True, repr=False)
class WheelRates(NamedValues[str]):
    """Both axles' springs over travel: by key the travel (S,), and the rest by axle and side (2 axles, 2 sides, S)."""

    sheet: Leaning

    def __repr__(self) -> str:
        return f"<wheel rates of both axles: {self.sheet.front.rates.travel.size} travels; {self.named()}>"

    def about(self, key: str) -> ReportedNumber:
        """What is known of a number: title, meaning, dimension, and which way is positive."""
        return number_of(key, _RATES_BY_KEY)

    def columns(self, unit: LengthUnit = MM) -> dict[str, Array]:
        """Every number as a column, in the given unit, named with its place and unit."""
        return _columns(self.placed(), unit)

    def placed(self) -> Iterator[Placed]:
        """Every number by place."""
        return _placed(_OVER_TRAVEL, self.sheet)

    def _by_key(self) -> dict[str, Array]:
        return {key: number.read(self.sheet) for key, number in _RATES_BY_KEY.items()}

    def _index(self, unit: LengthUnit) -> dict[str, Array]:
        return {TRAVEL.column(unit): self.in_unit(TRAVEL.key, unit)}


def _placed(groups: Sequence[Sequence[CurveNumber]], sheet: Leaning) -> Iterator[Placed]:
    for group in groups:
        read = [(number, number.read(sheet)) for number in group]
        for place, index in _PLACES[read[0][1].ndim].items():
            for number, values in read:
                yield number, place, values[index]


def _columns(placed: Iterable[Placed], unit: LengthUnit) -> dict[str, Array]:
    return {number.column(unit, place): values * number.dimension.scale(unit) for number, place, values in placed}


_LEAN_BY_KEY = {number.key: number for group in _IN_LEAN for number in group}
_RATES_BY_KEY = {number.key: number for group in _OVER_TRAVEL for number in group}
