"""Rows by name: a result that is a list of records, each of which has a name of its own."""

from collections.abc import Iterator, Sequence
from typing import ClassVar, Generic, TypeVar, overload

from kinematics.car.nearest_names import unknown
from kinematics.numbers.result import Result

_Row = TypeVar("_Row")


class Rows(Result, Sequence[_Row], Generic[_Row]):
    """A list of records, looked up by place or by name; `in` takes a record or a name. what: one of them is called."""

    what: ClassVar[str] = "row"

    def _records(self) -> tuple[_Row, ...]:
        raise NotImplementedError

    def keys(self) -> list[str]:
        """Names of all records, in order."""
        raise NotImplementedError

    def __iter__(self) -> Iterator[_Row]:
        return iter(self._records())

    def __len__(self) -> int:
        return len(self._records())

    def __contains__(self, wanted: object) -> bool:
        return wanted in self.keys() if isinstance(wanted, str) else any(wanted is row for row in self._records())

    @overload
    def __getitem__(self, wanted: int | str) -> _Row: ...

    @overload
    def __getitem__(self, wanted: slice) -> Sequence[_Row]: ...

    def __getitem__(self, wanted: int | str | slice) -> _Row | Sequence[_Row]:
        if isinstance(wanted, str):
            return self._named(wanted)
        return self._records()[wanted]

    def _named(self, wanted: str) -> _Row:
        names = self.keys()
        if wanted not in names:
            raise unknown(wanted, names, self.what)
        return self._records()[names.index(wanted)]
