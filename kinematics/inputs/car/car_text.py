"""A car file's text, as a careful owner would write it, from its content and an axle's points."""

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any

import numpy as np
from tomlkit import item, key

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES
from kinematics.car.lengths import UNITS, LengthUnit
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.car.uncertainty import WAYS
from solvers.vectors import Array

_ALIKE = 1e-6  # mm
_DECIMALS = {"mm": 3, "in": 4}
_AXLES = ("front", "rear")
_IN_ONE_LINE = ("wheel",)  # of the tables of an axle or a side
_ROWS = ("points",)  # tables whose entries stand below each other in columns
_NONE: Mapping[str, Any] = MappingProxyType({})


def car_text(
    written: Mapping[str, Any],
    points: Mapping[str, Mapping[str, Array]],
    first: Mapping[str, Any] = _NONE,
    head: Sequence[str] = (),
) -> str:
    """Return a car file as TOML: its content without the points, and the points of each axle.

    written: as read from a file, with `units` and each axle's `suspension`; of a free linkage's points it keeps what
    carries them. points: axle to key to (2, 3) [mm], as in `Axle`; rounded to 0.001 mm or 0.0001 in. What is alike on
    both sides stands once. first: further keys at the top; head: lines of comment before all.
    """
    unit = UNITS[written["units"]]
    content = {**first, **written}
    lines = [*(f"# {line}".rstrip() for line in head), *([""] if head else [])]
    lines += [f"{name} = {_value(value)}" for name, value in content.items() if not isinstance(value, dict)]
    for name, table in content.items():
        if isinstance(table, dict):
            lines += _section((name,), _with_points(table, points[name], unit) if name in points else table)
    return "\n".join(lines) + "\n"


def _with_points(axle: Mapping[str, Any], points: Mapping[str, Array], unit: LengthUnit) -> dict[str, Any]:
    """An axle's table with its points, once where the sides are alike, and before all other sections."""
    kept: dict[str, Any] = {}
    for table in (axle.get("right", {}), axle.get("left", {}), axle):
        kept |= table.get("points", {})
    kind = SUSPENSIONS[axle["suspension"]]
    single = {one for one, table in kept.items() if table.get("single")} if kind.listed else kind.single
    places: dict[str, dict[str, Any]] = {"": {}, **{side: {} for side in SIDE_NAMES}}
    for name, both in points.items():
        besides = kept.get(name, {})
        left, right = both[LEFT], both[RIGHT] * [1.0, 1.0 if name in single else -1.0, 1.0]
        if np.abs(left - right).max() <= _ALIKE:
            places[""][name] = {**_place(left, unit), **besides}
        else:
            places["left"][name] = {**_place(left, unit), **besides}
            places["right"][name] = {**_place(right, unit), **besides}
    plain = {name: value for name, value in axle.items() if not isinstance(value, dict) or name in _IN_ONE_LINE}
    filled: dict[str, Any] = {**plain, **({"points": places[""]} if places[""] else {})}
    for side in SIDE_NAMES:
        own = {name: value for name, value in axle.get(side, {}).items() if name != "points"}
        own |= {"points": places[side]} if places[side] else {}
        filled |= {side: own} if own else {}
    return filled | {name: value for name, value in axle.items() if name not in (*filled, *SIDE_NAMES, "points")}


def _place(place: Array, unit: LengthUnit) -> dict[str, "_Length"]:
    return {way: _Length(unit.from_mm(float(value)), unit) for way, value in zip(WAYS, place, strict=True)}


class _Length(float):
    """A coordinate in the file's unit that is written with that unit's decimals."""

    def __new__(cls, value: float, unit: LengthUnit) -> "_Length":
        return super().__new__(cls, round(value, _DECIMALS[unit.symbol]) + 0.0)

    def __str__(self) -> str:
        return np.format_float_positional(self, trim="-")


def _section(path: tuple[str, ...], table: Mapping[str, Any]) -> Iterator[str]:
    """A section's heading and lines, then those of the sections in it."""
    within = {name for name, value in table.items() if isinstance(value, dict) and _is_section(path, name)}
    plain = {name: value for name, value in table.items() if name not in within}
    if plain or not within:
        yield ""
        yield f"[{'.'.join(map(_key, path))}]"
    yield from (
        _columns(plain) if path[-1] in _ROWS else (f"{_key(name)} = {_value(one)}" for name, one in plain.items())
    )
    for name in table:
        if name in within:
            yield from _section((*path, name), table[name])


def _is_section(path: tuple[str, ...], name: str) -> bool:
    if path[0] == "limits":
        return len(path) == 1
    of_a_corner = path[0] in _AXLES and (len(path) == 1 or (len(path) == 2 and path[1] in SIDE_NAMES))
    return of_a_corner and name not in _IN_ONE_LINE


def _columns(rows: Mapping[str, Mapping[str, Any]]) -> Iterator[str]:
    """Points below each other, each coordinate in a column."""
    names = {name: _key(name) for name in rows}
    widest = max(map(len, names.values()), default=0)
    wide = [max((len(f"{way} = {_value(row[way])},") for row in rows.values()), default=0) for way in WAYS[:-1]]
    for name, row in rows.items():
        fields = [f"{way} = {_value(row[way])}" for way in WAYS]
        fields[:-1] = [f"{field},".ljust(width) for field, width in zip(fields, wide, strict=False)]
        besides = "".join(f", {_key(one)} = {_value(value)}" for one, value in row.items() if one not in WAYS)
        yield f"{names[name].ljust(widest)} = {{ {' '.join(fields)}{besides} }}"


def _value(value: Any) -> str:
    if isinstance(value, _Length):
        return str(value)
    if isinstance(value, Mapping):
        return (
            "{ " + ", ".join(f"{_key(name)} = {_value(one)}" for name, one in value.items()) + " }" if value else "{}"
        )
    if isinstance(value, (list, tuple)):
        if value and all(isinstance(one, Mapping) for one in value):
            return "[\n" + "".join(f"  {_value(one)},\n" for one in value) + "]"
        return "[" + ", ".join(map(_value, value)) + "]"
    return str(item(value).as_string())


def _key(name: str) -> str:
    return str(key(name).as_string())
