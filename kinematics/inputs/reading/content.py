"""What any TOML file is held against before its tables are known: sizes, and no control characters."""

from collections.abc import Iterator, Mapping
from itertools import islice
from typing import Any

from kinematics.inputs.reading.faults import Fault, InputFaultError, key_of, shown
from kinematics.inputs.reading.plain_text import control_in, named
from kinematics.inputs.reading.sizes import (
    LISTS,
    MOST_DIGITS,
    MOST_ENTRIES,
    MOST_IN_A_NAME,
    MOST_IN_A_TEXT,
    MOST_KEYS,
)

Place = tuple[str | int, ...]

_REMARKS = ("why", "note", "words")  # may run over several lines
_LONG = (*_REMARKS, "doubt")  # the last is the path of a file
_LARGEST = 10**MOST_DIGITS
_MOST_FOUND = 100  # faults, more than are told


def refuse_unfit(written: Mapping[str, Any], source: str) -> None:
    """Raise InputFaultError where a file's content is larger than allowed anywhere, or holds control characters."""
    faults = list(islice(_unfit(written, ()), _MOST_FOUND))
    if faults:
        raise InputFaultError(source, faults)


def _unfit(value: Any, place: Place) -> Iterator[Fault]:
    if isinstance(value, Mapping):
        yield from _unfit_table(value, place)
    elif isinstance(value, (list, tuple)):
        yield from _unfit_list(value, place)
    elif isinstance(value, str):
        yield from _unfit_text(value, place)
    elif isinstance(value, int) and not -_LARGEST < value < _LARGEST:
        yield Fault(key_of(place), f"read {shown(value)}; at most {MOST_DIGITS} digits are allowed")


def _unfit_table(table: Mapping[str, Any], place: Place) -> Iterator[Fault]:
    if len(table) > MOST_KEYS:
        yield Fault(key_of(place), f"read {len(table)} keys; at most {MOST_KEYS} are allowed")
        return
    for key, value in table.items():
        within = (*place, key)
        hidden = control_in(key)
        if hidden:
            yield Fault(key_of(within), f"this key holds the control character {named(hidden)}; plain text is allowed")
        elif len(key) > MOST_IN_A_NAME:
            text = f"this key has {len(key)} characters; at most {MOST_IN_A_NAME} are allowed"
            yield Fault(key_of(within), text)
        else:
            yield from _unfit(value, within)


def _unfit_list(entries: Any, place: Place) -> Iterator[Fault]:
    most, what = LISTS.get(str(place[-1]), (MOST_ENTRIES, "entries"))
    if len(entries) > most:
        yield Fault(key_of(place), f"read {len(entries)} {what}; at most {most} are allowed")
        return
    for number, entry in enumerate(entries):
        yield from _unfit(entry, (*place, number))


def _unfit_text(text: str, place: Place) -> Iterator[Fault]:
    key = next((part for part in reversed(place) if isinstance(part, str)), "")
    most = MOST_IN_A_TEXT if key in _LONG else MOST_IN_A_NAME
    hidden = control_in(text, lines=key in _REMARKS)
    if len(text) > most:
        yield Fault(key_of(place), f"read {shown(text)}, {len(text)} characters; at most {most} are allowed")
    elif hidden:
        yield Fault(key_of(place), f"read {shown(text)}; without the control character {named(hidden)} it is allowed")
