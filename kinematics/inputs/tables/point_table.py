"""A table of named points (CSV), from a drawing program or a scanner, turned and shifted into the car's axes.

The table's axes are whatever its maker chose: its owner says which of them point forward, left and up. The axes are
right-handed, so two of the three tell the third.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES
from kinematics.car.suspension_type import Point, SuspensionType
from kinematics.inputs.reading.faults import Fault, InputFaultError, did_you_mean, shown
from kinematics.inputs.tables.point_rows import TABLE_UNITS, Row, TableRows, read_rows
from kinematics.survey.unknowns import WHEEL
from solvers.vectors import Array

GROUND, CENTRE = "ground", "centre_plane"  # points by which a table may say where these lie

_MOST_TOLD = 40  # faults, before the rest are counted
_AXIS = re.compile(r"([+-]?)([xyz])", re.IGNORECASE)
_MIRROR = np.array([1.0, -1.0, 1.0])
_NO_NAMES: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True)
class Convention:
    """How a table is to be read: its axes, its unit, and where the ground and the centre plane lie.

    axes: rows are the table's directions that point forward, left and up (3, 3); None where its columns are ahead, out
    and up. unit: one of TABLE_UNITS, None if its titles tell. ground: the ground's place along up, centre: the centre
    plane's along left, in the table's unit; None: the table's own point of that name tells, or else the ground is a
    fault and the centre plane at zero.
    """

    axes: Array | None
    unit: str | None = None
    ground: float | None = None
    centre: float | None = None


@dataclass(frozen=True)
class _Named:
    """A row that names a point, and the side where it says one; place: along forward, left and up [mm]."""

    point: Point
    side: int | None
    row: Row
    place: Array

    @property
    def side_by_sign(self) -> int:
        return LEFT if self.place[1] > 0.0 else RIGHT


def axes_from(forward: str | None, left: str | None, up: str | None) -> Array:
    """Rows are the directions that point forward, left and up (3, 3), from words like "-x"; two tell the third.

    InputFaultError where they are no axes, too few, the same axis twice, or a left-handed set.
    """
    words = {"forward": forward, "left": left, "up": up}
    faults = []
    told: dict[str, Array] = {}
    for way, word in words.items():
        read = None if word is None else _AXIS.fullmatch(word.strip())
        if word is not None and read is None:
            faults.append(Fault(way, f"read {shown(word)}; one of +x, -x, +y, -y, +z, -z is allowed"))
        elif read is not None:
            told[way] = np.eye(3)["xyz".index(read[2].lower())] * (-1.0 if read[1] == "-" else 1.0)
    ways = list(told)
    for number, way in enumerate(ways):
        same = next((other for other in ways[:number] if told[other] @ told[way] != 0.0), None)
        if same is not None:
            faults.append(
                Fault(way, f"read {shown(words[way])}, the same axis as {same}; three different ones are needed")
            )
    if sum(word is not None for word in words.values()) < 2:
        faults.append(Fault("", "say of two of the table's axes which way they point: forward, left or up"))
    if faults:
        raise InputFaultError("the table's axes", faults)
    cycle = ("forward", "left", "up", "forward", "left")
    rows = [
        told[way] if way in told else np.cross(told[cycle[place + 1]], told[cycle[place + 2]])
        for place, way in enumerate(words)
    ]
    axes = np.array(rows) + 0.0
    if np.linalg.det(axes) < 0.0:
        text = f"forward {forward}, left {left} and up {up} are a left-handed set, as in a mirror: one of them is wrong"
        raise InputFaultError("the table's axes", [Fault("", f"{text}; state two, and the third follows")])
    return axes


def read_points(
    path: Path, kind: SuspensionType, convention: Convention, names: Mapping[str, str] = _NO_NAMES
) -> tuple[dict[str, Array], str]:
    """Read every point of a suspension type from a table: key to (2, 3) [mm], as in `Axle`; and the table's unit.

    names: what the table calls a point, to its key, either with or without a side. InputFaultError tells all that is
    wrong, with lines.
    """
    table = read_rows(path)
    unit, faults = _unit(table, convention)
    faults = [*table.faults, *faults, *_axes_faults(table, convention)]
    axes = np.eye(3) if convention.axes is None else convention.axes
    turned = {row.line: TABLE_UNITS[unit] * axes @ np.array(row.place) for row in table.rows}
    shift, more = _shift(table.rows, turned, convention, TABLE_UNITS[unit], names)
    faults += more
    named, more = _named(table.rows, {line: place - shift for line, place in turned.items()}, kind, names)
    faults += more
    found, more = _sided([one for one in named if one.row.read], by_sign=not table.own_axes)
    faults += more
    there = {one.point.key for one in named}
    faults += [Fault("", f"{one.key} is missing ({one.where})") for one in kind.points if one.key not in there]
    if not faults:
        faults += _missing_on_a_side(kind, found)
    if faults:
        rest = [Fault("", f"and {len(faults) - _MOST_TOLD} faults more")] if len(faults) > _MOST_TOLD else []
        raise InputFaultError(str(path), faults[:_MOST_TOLD] + rest)
    points = {key: np.array([found[key, LEFT], found[key, RIGHT]]) for key in kind.keys}
    middle = points[WHEEL][:, 0].mean()
    return {key: both - [middle, 0.0, 0.0] for key, both in points.items()}, unit


def _unit(table: TableRows, convention: Convention) -> tuple[str, list[Fault]]:
    """The table's unit, stated or told by its titles."""
    allowed = f"{', '.join(TABLE_UNITS)} are allowed"
    told = set(table.units) | ({convention.unit} - {None})
    if not told:
        return "mm", [Fault("", f"in which unit is it? State one; {allowed}")]
    if len(told) > 1:
        stated = "" if convention.unit is None else f", and {convention.unit} is stated"
        return "mm", [Fault("", f"its header says {' and '.join(table.units)}{stated}; one unit is allowed")]
    (unit,) = told
    if unit not in TABLE_UNITS:
        return "mm", [Fault("", f"its header says {unit}; {allowed}")]
    return str(unit), []


def _axes_faults(table: TableRows, convention: Convention) -> list[Fault]:
    if table.own_axes and convention.axes is not None:
        return [Fault("", "its columns are ahead, out and up; leave out which of its axes point where")]
    if not table.own_axes and convention.axes is None:
        return [Fault("", "its columns are x, y and z: say which way two of them point, forward, left or up")]
    return []


def _shift(
    rows: Sequence[Row], turned: Mapping[int, Array], convention: Convention, in_mm: float, names: Mapping[str, str]
) -> tuple[Array, list[Fault]]:
    """Where the centre plane and the ground lie along left and up [mm], as (3,)."""
    shift, faults = np.zeros(3), []
    called = {_plain(theirs): _plain(key) for theirs, key in names.items()}
    for mark, stated, way in ((CENTRE, convention.centre, 1), (GROUND, convention.ground, 2)):
        lines = [row.line for row in rows if called.get(_plain(row.name), _plain(row.name)) == _plain(mark)]
        if len(lines) > 1:
            faults.append(Fault(_lines(lines), f"{mark} stands there more than once"))
        elif lines and stated is not None:
            faults.append(Fault(_lines(lines), f"{mark} stands in the table and is stated besides; leave one out"))
        elif lines:
            shift[way] = turned[lines[0]][way]
        elif stated is not None:
            shift[way] = stated * in_mm
        elif mark == GROUND:
            faults.append(Fault("", f"where is the ground? State its height, or give the table a point {GROUND}"))
    return shift, faults


def _named(
    rows: Sequence[Row], places: Mapping[int, Array], kind: SuspensionType, names: Mapping[str, str]
) -> tuple[list[_Named], list[Fault]]:
    """Which point each row is, and on which side if it says so."""
    known = {_plain(point.key): point for point in kind.points}
    called = {_plain(theirs): _plain(key) for theirs, key in names.items()}
    named, faults = [], []
    for row in rows:
        whole = called.get(_plain(row.name), _plain(row.name))
        if whole in (_plain(GROUND), _plain(CENTRE)):
            continue
        side, bare = _side(whole)
        point = known.get(called.get(bare, bare))
        if point is None:
            hint = did_you_mean(bare.replace(" ", "_"), kind.keys)
            faults.append(Fault(f"line {row.line}", f"{shown(row.name)} is no point of a {kind.name}{hint}"))
        elif point.single and side is not None:
            text = f"{shown(row.name)}: there is one for both sides; write it without {SIDE_NAMES[side]}"
            faults.append(Fault(f"line {row.line}", text))
        else:
            named.append(_Named(point, side, row, places[row.line]))
    return named, faults


def _sided(named: Sequence[_Named], *, by_sign: bool) -> tuple[dict[tuple[str, int], Array], list[Fault]]:
    """Points by key and side. A table of one side only tells of both.

    by_sign: a name without a side lies where its coordinate says; or else `out` is positive on both sides, and such a
    name stands for both.
    """
    paired = [one for one in named if not one.point.single]
    sides = {
        one.side if one.side is not None else one.side_by_sign for one in paired if by_sign or one.side is not None
    }
    found: dict[tuple[str, int], Array] = {}
    lines: dict[tuple[str, int], list[int]] = {}
    faults = []
    for one in named:
        own, place = one.side, one.place
        if by_sign and own is None and not one.point.single:
            if place[1] == 0.0:
                text = f"{shown(one.row.name)} lies on the centre plane; write left or right before its name"
                faults.append(Fault(f"line {one.row.line}", text))
                continue
            own = one.side_by_sign
        both = len(sides) < 2 or own is None
        own = LEFT if own is None else own
        if not by_sign and own == RIGHT:
            place = place * _MIRROR
        alike = both and one.point.other_side is None
        for side in (LEFT, RIGHT) if alike or one.point.single else (own,):
            mirrored = side != own and not one.point.single
            found[one.point.key, side] = place * _MIRROR if mirrored else place
            lines.setdefault((one.point.key, side), []).append(one.row.line)
    doubled = {(tuple(at), key) for (key, _), at in lines.items() if len(at) > 1}
    faults += [Fault(_lines(at), f"{key} stands there more than once for one side") for at, key in sorted(doubled)]
    return found, faults


def _missing_on_a_side(kind: SuspensionType, found: Mapping[tuple[str, int], Array]) -> list[Fault]:
    return [
        Fault("", f"{SIDE_NAMES[side]} {point.key} is missing ({point.where}); the other side's is there")
        for point in kind.points
        for side in (LEFT, RIGHT)
        if (point.key, side) not in found
    ]


def _lines(numbers: Sequence[int]) -> str:
    return f"line {numbers[0]}" if len(numbers) == 1 else f"lines {' and '.join(map(str, numbers))}"


def _plain(name: str) -> str:
    """A name without what one need not remember of it: capitals, underlines, hyphens, further blanks."""
    return " ".join(name.lower().replace("_", " ").replace("-", " ").split())


def _side(plain: str) -> tuple[int | None, str]:
    """The side before or after a name, and the name."""
    for side, word in enumerate(SIDE_NAMES):
        if plain.startswith(f"{word} "):
            return side, plain.removeprefix(f"{word} ")
        if plain.endswith(f" {word}"):
            return side, plain.removesuffix(f" {word}")
    return None, plain
