"""Numbers by name: a result that is looked up, listed and shown in a notebook like a mapping of its keys."""

from collections.abc import Iterator, Mapping
from typing import Generic, TypeVar

import numpy as np

from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.nearest_names import unknown
from kinematics.numbers.quantity import ReportedNumber
from kinematics.numbers.result import Result
from kinematics.numbers.tables import as_html
from solvers.vectors import Array

_FEW = 4  # keys named in a short form
_Key = TypeVar("_Key")


class NamedValues(Result, Generic[_Key]):
    """Arrays by key, in mm and radians, that are looked up and listed like a mapping's."""

    def _by_key(self) -> Mapping[_Key, Array]:
        raise NotImplementedError

    def __getitem__(self, key: _Key) -> Array:
        try:
            return self._by_key()[key]
        except KeyError:
            raise unknown(key, self._by_key(), "number") from None

    def __contains__(self, key: object) -> bool:
        return key in self._by_key()

    def __iter__(self) -> Iterator[_Key]:
        return iter(self._by_key())

    def __len__(self) -> int:
        return len(self._by_key())

    def keys(self) -> list[_Key]:
        """Keys of all numbers that are there."""
        return list(self._by_key())

    def in_unit(self, key: _Key, unit: LengthUnit = MM) -> Array:
        """A number as a person reads it: angles in degrees, lengths in the given unit."""
        return np.asarray(self[key] * self._scale(key, unit))

    def named(self) -> str:
        """How many numbers there are, and the first of them."""
        first = ", ".join(map(str, self.keys()[:_FEW]))
        return f"{len(self)} numbers: {first}{', ...' if len(self) > _FEW else ''}"

    def _number(self, key: _Key) -> ReportedNumber:
        return self.about(str(key))

    def _scale(self, key: _Key, unit: LengthUnit) -> float:
        return self._number(key).dimension.scale(unit)

    def _unit(self, key: _Key, unit: LengthUnit) -> str:
        return self._number(key).dimension.unit(unit)

    def _repr_html_(self) -> str:
        return as_html(repr(self), ("key", "number", "unit", "lowest", "highest"), map(self._row, self.keys()))

    def _row(self, key: _Key) -> tuple[object, ...]:
        read = np.real(self.in_unit(key))
        there = read[np.isfinite(read)]
        ends = (there.min(), there.max()) if there.size else ("", "")
        named = ", ".join(key) if isinstance(key, tuple) else key
        return named, self._number(key).title, self._unit(key, MM), *ends
