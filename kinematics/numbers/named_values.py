"""Numbers by name: a result that is looked up, listed and shown in a notebook like a mapping of its keys."""

import html
from collections.abc import Iterator, Mapping

import numpy as np

from kinematics.car.lengths import MM, LengthUnit
from kinematics.numbers.quantity import Quantity
from kinematics.numbers.registry import QUANTITIES
from solvers.vectors import Array

_FEW = 4  # keys named in a short form
_CLOSE = 0.5


class NamedValues:
    """What has `values` by key: lookup with a hint at the nearest key, and a table for notebooks."""

    values: Mapping[str, Array]

    def __getitem__(self, key: str) -> Array:
        try:
            return self.values[key]
        except KeyError:
            raise KeyError(f"{key!r} is no number of this result{_nearest(key, self.values)}") from None

    def __contains__(self, key: object) -> bool:
        return key in self.values

    def __iter__(self) -> Iterator[str]:
        return iter(self.values)

    def __len__(self) -> int:
        return len(self.values)

    def keys(self) -> list[str]:
        """Keys of all numbers that are there."""
        return list(self.values)

    def about(self, key: str) -> Quantity:
        """What is known of a number: title, meaning, dimension, and which way is positive."""
        self[key]  # the same hint where there is none
        return QUANTITIES[key]

    def in_unit(self, key: str, unit: LengthUnit = MM) -> Array:
        """A number as a person reads it: angles in degrees, lengths in the given unit."""
        return np.asarray(self[key] * QUANTITIES[key].dimension.scale(unit))

    def named(self) -> str:
        """How many numbers there are, and the first of them."""
        first = ", ".join(list(self.values)[:_FEW])
        return f"{len(self.values)} numbers: {first}{', ...' if len(self.values) > _FEW else ''}"

    def _repr_html_(self) -> str:
        rows = "".join(self._row(key) for key in self.values)
        head = "<tr><th>key</th><th>number</th><th>unit</th><th>lowest</th><th>highest</th></tr>"
        return f"<p>{html.escape(repr(self))}</p><table>{head}{rows}</table>"

    def _row(self, key: str) -> str:
        number, read = QUANTITIES[key], np.real(self.in_unit(key))
        there = read[np.isfinite(read)]
        ends = (f"{there.min():.4g}", f"{there.max():.4g}") if there.size else ("", "")
        cells = [key, number.title, number.dimension.unit(MM), *ends]
        return f"<tr>{''.join(f'<td>{html.escape(cell)}</td>' for cell in cells)}</tr>"


def _nearest(key: object, known: Mapping[str, Array]) -> str:
    import difflib

    close = difflib.get_close_matches(str(key), known, n=1, cutoff=_CLOSE)
    return f"; did you mean {close[0]!r}?" if close else f"; there are {', '.join(known)}"
