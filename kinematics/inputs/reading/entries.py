"""The entries that a table of a file takes, read off the model that reads it: for forms, so that there is one list."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from kinematics.inputs.reading.entry_units import EntryUnit


@dataclass(frozen=True)
class Entry:
    """One entry. path: its keys, from the table on; within a list the place, from zero.

    unit: what it is measured in, None for a plain number or a word; words: those allowed, where they are listed.
    grows: a list that it stands in may be any number of such entries long.
    """

    path: tuple[str | int, ...]
    unit: EntryUnit | None
    words: tuple[str, ...] = ()
    grows: bool = False


def entries_of(table: type[BaseModel], at: tuple[str | int, ...] = ()) -> Iterator[Entry]:
    """All entries of a table and of the tables and lists in it, in the order of its fields.

    A list of any length is one of one part. Tables whose keys their owner chooses are not among them.
    """
    for name, field in table.model_fields.items():
        yield from _entries((*at, field.alias or name), field.annotation, field.metadata)


def _entries(at: tuple[str | int, ...], annotation: Any, marks: list[Any]) -> Iterator[Entry]:
    origin = get_origin(annotation)
    if origin in (Union, UnionType):
        (only,) = (one for one in get_args(annotation) if one is not NoneType)
        yield from _entries(at, only, marks)
    elif origin is Annotated:
        base, *own = get_args(annotation)
        yield from _entries(at, base, [*marks, *own])
    elif origin is Literal:
        yield Entry(at, None, tuple(map(str, get_args(annotation))))
    elif origin is tuple:
        parts = get_args(annotation)
        grows = parts[-1] is Ellipsis
        for place, part in enumerate(parts[:1] if grows else parts):
            for one in _entries((*at, place), part, []):
                yield Entry(one.path, one.unit, one.words, grows or one.grows)
    elif isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield from entries_of(annotation, at)
    elif origin is None or not issubclass(origin, Mapping):
        yield Entry(at, next((one for one in marks if isinstance(one, EntryUnit)), None))
