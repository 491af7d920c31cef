"""Boxes that stand for parts of one list: what was typed into some of them makes the list anew."""

from collections.abc import Mapping
from typing import Any

from kinematics.car.lengths import STILL_BLANK
from reports.page.typed_value import typed_value

_Parts = dict[tuple[int, ...], str]


def lists_made(typed: Mapping[str, str], values: Mapping[str, str]) -> dict[str, Any]:
    """What was typed, by key, parts of a list (`of.0.1`) replaced by the list (`of`).

    values: what all fields that may be parts of lists show now. Blank ones at the end leave the list; an empty list is
    one that leaves the file.
    """
    parts = [key for key in typed if key in values and list_of(key) != key]
    made: dict[str, Any] = {key: value for key, value in typed.items() if key not in parts}
    for of in dict.fromkeys(map(list_of, parts)):
        own = {key: typed.get(key, value) for key, value in values.items() if list_of(key) == of}
        made[of] = _list({tuple(map(int, key.removeprefix(f"{of}.").split("."))): own[key] for key in own})
    return made


def list_of(key: str) -> str:
    """The key of the list that a field is a part of; its own where it is of none."""
    names = key.split(".")
    return ".".join(names[: next((i for i, name in enumerate(names) if name.isdigit()), len(names))])


def _list(parts: _Parts) -> list[Any]:
    filled = [place[0] for place, value in parts.items() if value.strip()]
    count = 1 + max(filled, default=-1)
    if parts and len(next(iter(parts))) == 1:
        most = len(parts) if filled else 0  # a list of so many and no fewer
        return [_value(parts[one,]) for one in range(most)]
    return [[_value(parts[place]) for place in sorted(parts) if place[0] == one] for one in range(count)]


def _value(typed: str) -> float | int | str:
    return typed_value(typed.strip()) if typed.strip() else STILL_BLANK
