"""Records that cannot be written to: frozen dataclasses whose arrays and mappings, however deep, are read-only too."""

from dataclasses import fields, is_dataclass
from typing import Any, ClassVar, TypeVar

import numpy as np

from solvers.read_only_mapping import ReadOnlyMapping

_Record = TypeVar("_Record")


class ReadOnly:
    """A frozen dataclass that is read-only as soon as it is made: its own arrays, its mappings, and arrays in these.

    copies: whether it keeps copies of what could be written to, as is right where callers hand over their arrays.
    """

    copies: ClassVar[bool] = True

    def __post_init__(self) -> None:
        for name, value in list(vars(self).items()):
            if isinstance(value, np.ndarray):
                own: Any = self._kept_of(value)
            elif isinstance(value, dict):
                viewed = {key: self._kept_of(one) if isinstance(one, np.ndarray) else one for key, one in value.items()}
                own = _kept(value, viewed)
            else:
                continue
            if own is not value:
                object.__setattr__(self, name, own)

    def _kept_of(self, array: Any) -> Any:
        return _view(array.copy() if self.copies and array.flags.writeable else array)


def read_only(record: _Record) -> _Record:
    """The same record; each array and mapping in it, in what it is made of, and in their lists becomes read-only.

    They are exchanged for views and copies that cannot be written to: whoever made one can go on writing to his own.
    """
    return _read_only(record, set())  # type: ignore[no-any-return]


def _read_only(value: Any, done: set[int]) -> Any:
    if isinstance(value, np.ndarray):
        return _view(value)
    if is_dataclass(value) and not isinstance(value, type):
        if id(value) not in done:
            done.add(id(value))
            for one in fields(value):
                _exchange(value, one.name, done)
        return value
    if isinstance(value, dict):
        return _kept(value, {key: _read_only(one, done) for key, one in value.items()})
    if type(value) in (list, tuple):
        return _kept(value, type(value)(_read_only(one, done) for one in value))
    return value


def _exchange(record: Any, name: str, done: set[int]) -> None:
    old = getattr(record, name)
    new = _read_only(old, done)
    if new is not old:
        object.__setattr__(record, name, new)


def _kept(old: Any, new: Any) -> Any:
    """The old list or mapping where nothing in it was exchanged, and it cannot be written to itself."""
    if not isinstance(old, dict):
        return old if all(before is after for before, after in zip(old, new, strict=True)) else new
    if not isinstance(old, ReadOnlyMapping):
        return ReadOnlyMapping(new)
    same = all(before is after for before, after in zip(old.values(), new.values(), strict=True))
    return old if same else type(old)(new)


def _view(array: Any) -> Any:
    if not array.flags.writeable:
        return array
    view = array.view()
    view.flags.writeable = False
    return view
