"""A sweep's states as columns, as a pandas table, and as a labelled dataset, each state named by what was asked for."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.lengths import MM, LengthUnit
from kinematics.numbers.labelled_arrays import States, drivers_of, labelled
from kinematics.numbers.named_values import NamedValues
from kinematics.numbers.registry import QUANTITIES
from kinematics.numbers.tables import as_table
from kinematics.sweeps.gaps import Gaps
from solvers.vectors import Array, Column, Flags

if TYPE_CHECKING:
    import pandas
    import xarray


class TabledStates(NamedValues[str]):
    """Numbers over states of an axle, or of several cars: what `Sweep` is made from, which says what its fields are."""

    axle: Axle
    kind: str
    shape: tuple[int, ...]
    values: Mapping[str, Array]
    reached: Flags
    gaps: Gaps
    asked: Mapping[str, Array]

    def columns(self, unit: LengthUnit = MM) -> dict[str, Column]:
        """Every number as a flat column, in degrees and the given unit, named with side and unit.

        Of several cars one behind the other.
        """
        out: dict[str, Column] = {}
        for key in self.values:
            quantity, scaled = QUANTITIES[key], self.in_unit(key, unit)
            if not quantity.per_side:
                out[quantity.column(unit)] = scaled.reshape(-1)
                continue
            for side, name in enumerate(SIDE_NAMES):
                own = scaled.take(side, axis=-1 - len(self.shape))
                out[quantity.column(unit, name)] = own.reshape(-1)
        return out

    def table(self, unit: LengthUnit = MM) -> "pandas.DataFrame":
        """The columns as a pandas table, with what is missing in `gap`; ImportError says how if pandas is not there.

        Its rows are named by what was asked for: wheel travel, roll, bump and roll of a grid, rack travel; of several
        cars by the car too.
        """
        gap = self.gaps.each(lambda reason: reason.gap.value).reshape(-1)
        return as_table({**self.columns(unit), "gap": gap}, self._index(unit))

    def to_xarray(self, unit: LengthUnit = MM) -> "xarray.Dataset":
        """Every number over named axes, in degrees and the given unit; ImportError says how if xarray is not there.

        Coordinates: side, and what was asked for, such as bump and roll of a grid; of several cars the car.
        """
        numbers = {key: (QUANTITIES[key], values) for key, values in self.values.items()}
        besides = {"reached": self.reached, "gap": self.gaps.each(lambda reason: reason.gap.value).astype(str)}
        about = {"axle": self.axle.name, "suspension": self.axle.suspension.name, "sweep": self.kind}
        return labelled(numbers, self._states, besides, unit, about)

    def _index(self, unit: LengthUnit) -> dict[str, Column]:
        states = self._states
        cars = np.indices(self.reached.shape)[: len(states.cars)]
        index = {name: states.car_numbers(i)[cars[i]].reshape(-1) for i, name in enumerate(states.car_axes)}
        for one in states.drivers:
            scaled = np.broadcast_to(one.values * one.dimension.scale(unit), self.reached.shape)
            index[f"{one.name}_{one.dimension.unit(unit)}"] = scaled.reshape(-1)
        return index

    @property
    def _states(self) -> States:
        cars = self.axle.batch_shape
        numbers = self.axle.car_numbers if len(cars) == 1 else None
        return States(cars, self.shape, drivers_of(self.asked), numbers)
