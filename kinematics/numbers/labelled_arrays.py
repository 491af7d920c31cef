"""Numbers over named states as a labelled dataset, each with its unit and meaning; xarray is loaded where it is wanted.

A number is (cars, [side], states); the states' axes are named by what was asked for, where each drives one of its own.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from kinematics.car.lengths import LengthUnit
from kinematics.car.sides import SIDE_NAMES
from kinematics.numbers.quantity import Dimension, ReportedNumber
from solvers.vectors import Array

if TYPE_CHECKING:
    import xarray


@dataclass(frozen=True)
class Driver:
    """What was asked of each state: name, title, values (*shape) [mm, rad], dimension, and which way is positive."""

    name: str
    title: str
    values: Array
    dimension: Dimension
    sign: str


_DRIVERS = {
    "travel": ("wheel travel as asked", Dimension.LENGTH, "bump positive"),
    "bump": ("body lowered, as asked", Dimension.LENGTH, "down positive"),
    "roll": ("roll of the body as asked", Dimension.ANGLE, "left side up positive"),
    "rack": ("rack travel as asked", Dimension.LENGTH, "to the left positive"),
}


def driver(name: str, values: Array) -> Driver:
    """What is known of a travel, bump, roll or rack travel that was asked for."""
    title, dimension, sign = _DRIVERS[name]
    return Driver(name, title, values, dimension, sign)


def drivers_of(asked: Mapping[str, Array]) -> list[Driver]:
    """The same of all that was asked for."""
    return [driver(name, values) for name, values in asked.items()]


@dataclass(frozen=True)
class States:
    """What all numbers are told over: shape of the cars and of the states, and what was asked of these.

    numbers: of the cars along the only axis of them, None where they are counted from 0.
    """

    cars: tuple[int, ...]
    shape: tuple[int, ...]
    drivers: list[Driver]
    numbers: NDArray[np.intp] | None = None

    def car_numbers(self, axis: int) -> NDArray[np.intp]:
        """Numbers of the cars along one axis of them."""
        return np.arange(self.cars[axis]) if self.numbers is None else self.numbers

    @property
    def car_axes(self) -> list[str]:
        """Names of the axes of the cars: none, `car`, or `car_1` and so on."""
        return ["car"] if len(self.cars) == 1 else [f"car_{i + 1}" for i in range(len(self.cars))]

    @property
    def state_axes(self) -> list[str]:
        """Names of the axes of the states: their drivers' where each drives one of its own, else `state`."""
        if len(self.drivers) == len(self.shape) and all(map(self._drives_alone, range(len(self.shape)))):
            return [one.name for one in self.drivers]
        return ["state"] if len(self.shape) == 1 else [f"state_{i + 1}" for i in range(len(self.shape))]

    def _drives_alone(self, axis: int) -> bool:
        others = tuple(other for other in range(len(self.shape)) if other != axis)
        return bool((np.ptp(self.drivers[axis].values, axis=others) == 0.0).all())


def labelled(
    numbers: Mapping[str, tuple[ReportedNumber, Array]],
    states: States,
    besides: Mapping[str, NDArray[Any]],
    unit: LengthUnit,
    about: Mapping[str, str],
) -> "xarray.Dataset":
    """Numbers [mm, rad] as a dataset in degrees and the given unit, with what else is known of each state (*shape).

    A number that is named as what was asked is told as `..._of_body` or `..._of_wheel` beside it. about: the whole.
    """
    try:
        import xarray
    except ImportError as missing:
        said = (
            "a labelled array needs xarray (pip install 'cornersweep[tables]'); `table()` and `columns()` work without"
        )
        raise ImportError(said) from missing
    axes, cars, taken = states.state_axes, states.car_axes, [one.name for one in states.drivers]
    found = {}
    for key, (number, values) in numbers.items():
        sided = values.ndim > len(states.cars) + len(states.shape)
        name = key if key not in taken else f"{key}_of_{'wheel' if sided else 'body'}"
        scaled = values * number.dimension.scale(unit)
        found[name] = ([*cars, *(["side"] if sided else []), *axes], scaled, _facts(number, unit))
    for name, told in besides.items():
        found[name] = ([*cars, *axes], np.broadcast_to(told, (*states.cars, *states.shape)), {})
    return xarray.Dataset(found, coords=_coordinates(states, unit), attrs=dict(about))


def _coordinates(states: States, unit: LengthUnit) -> dict[str, Any]:
    axes = states.state_axes
    found: dict[str, Any] = {"side": list(SIDE_NAMES)}
    found |= {name: states.car_numbers(axis) for axis, name in enumerate(states.car_axes)}
    for one in states.drivers:
        values = one.values * one.dimension.scale(unit)
        facts = {"long_name": one.title, "units": one.dimension.unit(unit), "sign": one.sign}
        if one.name in axes:
            axis = axes.index(one.name)
            values = np.moveaxis(values, axis, 0).reshape(states.shape[axis], -1)[:, 0]
        found[one.name] = ([one.name] if one.name in axes else axes, values, facts)
    return found


def _facts(number: ReportedNumber, unit: LengthUnit) -> dict[str, str]:
    facts = {"long_name": number.title, "units": number.dimension.unit(unit), "meaning": number.meaning}
    return {**facts, "sign": number.sign}
