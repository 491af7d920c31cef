"""What every result has in common: names to look it up by, a short form, columns, and a table.

A result of numbers (`named_values`) lists its keys, a result of rows (`rows`) its rows; both are looked up by name.
"""

from typing import TYPE_CHECKING, Any

from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.nearest_names import unknown
from kinematics.numbers.quantity import ReportedNumber
from kinematics.numbers.registry import QUANTITIES
from kinematics.numbers.tables import Columns, as_html, as_table

if TYPE_CHECKING:
    import pandas


class Result:
    """A result: looked up by name, with what is known of each number, and as columns or a pandas table."""

    def keys(self) -> list[Any]:
        """All names that it can be looked up by."""
        raise NotImplementedError

    def about(self, key: str) -> ReportedNumber:
        """What is known of a number: title, meaning, dimension, and which way is positive."""
        return number_of(key, QUANTITIES)

    def columns(self, unit: LengthUnit = MM) -> Columns:
        """All that it tells as columns of one length, in degrees and the given unit, which stands in their names."""
        raise NotImplementedError

    def table(self, unit: LengthUnit = MM) -> "pandas.DataFrame":
        """The columns as a pandas table, in degrees and the given unit; ImportError says how if pandas is missing."""
        return as_table(self.columns(unit), self._index(unit))

    def _ipython_key_completions_(self) -> list[Any]:
        """What a notebook offers behind an opening bracket."""
        return self.keys()

    def _index(self, unit: LengthUnit) -> Columns:
        """What a table's rows are named by; numbered where it is empty."""
        del unit
        return {}

    def _repr_html_(self) -> str:
        told = {**self._index(MM), **self.columns(MM)}
        return as_html(repr(self), list(told), zip(*told.values(), strict=True))


def number_of(key: Any, known: Any) -> ReportedNumber:
    """The number of that key among those known; KeyError names the nearest."""
    try:
        found: ReportedNumber = known[key]
    except (KeyError, TypeError):
        raise unknown(key, known, "number") from None
    return found
