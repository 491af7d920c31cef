"""What can be read on a garage floor, and what each reading would show if the points lay at given places.

Every reading stands on coordinates, on differences of two places, or on the contact points, all of them linear in the
unknowns; readings of one form are worked out together. Millimetres, radians.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Literal

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.uncertainty import WAYS, Coordinate
from kinematics.survey.curves import Curve
from kinematics.survey.unknowns import WHEEL, Unknowns, unknowns
from kinematics.survey.usual_doubts import USUAL
from solvers.tangents import arctan2
from solvers.vectors import Array, Index

ReadingKind = Literal["up", "out", "ahead", "tape", "plumb", "angle", "level", "in_line", "offset", "track"]
View = Literal["front", "side"]

_ORDINALS = {2: "2nd", 3: "3rd"}
_STEEP = 0.8  # of a line's direction along up: above, what is square to it is told from `ahead`


@dataclass(frozen=True)
class Reading:
    """One reading: what kind, of which names, what was read [mm, rad] and one standard deviation of it.

    reads: None for a plumb line whose drop was not read, zero where nothing is read (level, in_line). For an offset
    it is how far the second lies from the first along a way or a pair of names. drop_doubt: of a plumb line's drop.
    key: where it stands in the file. written: `reads` in its owner's own digits, "13 5/8"; "" where that is not known.
    """

    kind: ReadingKind
    of: tuple[str, ...]
    reads: float | None
    doubt: float
    drop_doubt: float = 0.0
    seen_from: View | None = None
    along: str | tuple[str, str] | None = None
    key: str = ""
    written: str = ""

    def __str__(self) -> str:
        """In words, like `tape lower_ball_joint to lower_pivot_front`."""
        match self.kind:
            case "up" | "out" | "ahead":
                return f"{self.kind} {' over '.join(self.of) if self.kind == 'up' else ' from '.join(self.of)}"
            case "level":
                return f"level {' with '.join(self.of)}"
            case "in_line":
                return f"in line {', '.join(self.of)}"
            case "track":
                return "track"
        text = f"{self.kind} {' to '.join(self.of)}"
        return text if self.seen_from is None else f"{text} seen from {self.seen_from}"


def written_of(reading: Reading, read: float) -> str:
    """What its owner wrote for a row of a reading that reads so [mm, rad]; "" for rows that he did not write."""
    return reading.written if read == reading.reads else ""


@dataclass(frozen=True, repr=False)
class Survey:
    """The survey of one axle.

    axle: all that is not surveyed; its points are placeholders. apart: each side by itself, or mirror images.
    angle_doubts: the wheel angles whose doubt is known, each with one standard deviation [rad]. curves: read with a
    gauge over travel. good_for: one standard deviation of what each kind of reading is good for [mm, rad].
    """

    axle: Axle
    apart: bool
    helpers: tuple[str, ...]
    readings: tuple[Reading, ...]
    angle_doubts: tuple[tuple[Coordinate, float], ...] = ()
    curves: tuple[Curve, ...] = ()
    good_for: Mapping[str, float] = field(default_factory=lambda: dict(USUAL))

    def __repr__(self) -> str:
        return f"<survey of a {self.axle.name} {self.axle.suspension.name}: {len(self.readings)} readings>"

    @cached_property
    def unknowns(self) -> Unknowns:
        """What is to be found."""
        return unknowns(self.axle.suspension, self.helpers, apart=self.apart)


@dataclass(frozen=True)
class ReadingRows:
    """All scalar rows of some readings, m of them, ready for parameters (..., n).

    reads, doubts: (m,). of: which reading each row belongs to (m,). The forms, each with the rows that it gives:
    linear (k, n); length: differences (k, 3, n); slope: differences and which of their level parts count (k, 2);
    line: two differences from the line's first end, to the middle point and to the other end, and an axis (k, 3) that
    says which way is sideways; along: a difference, the direction's difference, and how far.
    """

    names: tuple[str, ...]
    reads: Array
    doubts: Array
    of: Array
    order: Index
    linear: Array
    length: Array
    slope: Array
    slope_seen: Array
    line_middle: Array
    line_end: Array
    line_axis: Array
    along: Array
    along_direction: Array
    along_by: Array

    def predicted(self, parameters: Array) -> Array:
        """What the readings would show (..., m), parameters (..., n) real or with tangents."""
        parts = [parameters @ self.linear.T]
        if len(self.length):
            parts.append(_long(_differences(self.length, parameters)))
        if len(self.slope):
            level_and_up = _differences(self.slope, parameters)
            parts.append(arctan2(level_and_up[..., 2], _long(level_and_up[..., :2] * self.slope_seen)))
        if len(self.line_middle):
            middle, end = (_differences(one, parameters) for one in (self.line_middle, self.line_end))
            sideways = np.cross(self.line_axis, end)
            sideways = sideways / _long(sideways)[..., None]
            square = np.cross(end, sideways) / _long(end)[..., None]
            parts += [(middle * sideways).sum(axis=-1), (middle * square).sum(axis=-1)]
        if len(self.along):
            away, direction = (_differences(one, parameters) for one in (self.along, self.along_direction))
            away = away - direction * (self.along_by / _long(direction))[..., None]
            parts.append(away.reshape(*away.shape[:-2], -1))
        return np.asarray(np.concatenate(parts, axis=-1)[..., self.order])

    def residuals(self, parameters: Array) -> Array:
        """Reading less prediction (..., m)."""
        return self.reads - self.predicted(parameters)

    def from_start(self, parameters: Array) -> "ReadingRows":
        """The same, with the axis of each line chosen well off the line as it lies at the start."""
        if not len(self.line_end):
            return self
        end = _differences(self.line_end, parameters)
        steep = np.abs(end[:, 2]) > _STEEP * _long(end)
        return replace(self, line_axis=np.where(steep[:, None], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]))


def _differences(linear: Array, parameters: Array) -> Array:
    """(k, 3, n) on (..., n) as (..., k, 3)."""
    flat = parameters @ linear.reshape(-1, linear.shape[-1]).T
    return np.asarray(flat.reshape(*parameters.shape[:-1], *linear.shape[:2]))


def _long(vectors: Array) -> Array:
    return np.asarray(np.sqrt((vectors * vectors).sum(axis=-1)))


@dataclass(frozen=True)
class _Row:
    """One scalar row, or for a line or a direction several: its form and what that form needs."""

    form: str
    names: tuple[str, ...]
    reads: tuple[float, ...]
    doubt: float
    data: tuple[Any, ...]


def rows(survey: Survey) -> ReadingRows:
    """The rows of a survey's readings."""
    return rows_of(survey.readings, survey.unknowns, survey.axle.camber, survey.axle.toe)


def rows_of(readings: Sequence[Reading], unknown: Unknowns, camber: Array, toe: Array) -> ReadingRows:
    """Rows of any readings of these unknowns; camber and toe (2,) [rad] say where the contact points are."""
    made: list[tuple[int, _Row]] = []
    for index, reading in enumerate(readings):
        rows_here = (
            _track(reading, unknown, camber, toe) if reading.kind == "track" else _FORMS[reading.kind](reading, unknown)
        )
        made += [(index, row) for row in rows_here]
    return _together(made, unknown.count)


def _height(reading: Reading, unknown: Unknowns) -> list[_Row]:
    return _coordinate(reading, unknown, 2)


def _coordinate(reading: Reading, unknown: Unknowns, way: int) -> list[_Row]:
    places = [unknown.places[name] for name in reading.of]
    outward = next((place.outward for place in places if place.outward is not None), 1)
    signs = [place.outward or outward if way == 1 else 1 for place in places]
    linear = signs[0] * places[0].linear[way]
    if len(places) > 1:
        linear = linear - signs[1] * places[1].linear[way]
    return [_Row("linear", (str(reading),), (_read(reading),), reading.doubt, (linear,))]


def _level(reading: Reading, unknown: Unknowns) -> list[_Row]:
    away = _between(unknown, reading.of)
    return [_Row("linear", (str(reading),), (0.0,), reading.doubt, (away[2],))]


def _tape(reading: Reading, unknown: Unknowns) -> list[_Row]:
    return [_Row("length", (str(reading),), (_read(reading),), reading.doubt, (_between(unknown, reading.of),))]


def _plumb(reading: Reading, unknown: Unknowns) -> list[_Row]:
    """A mark lies under its point, ahead and sideways, and if the drop was read, so far below."""
    away = _between(unknown, reading.of)
    outward = _outward(unknown, reading.of)
    made = [
        _Row("linear", (f"{reading} ({way})",), (0.0,), reading.doubt, (sign * linear,))
        for way, linear, sign in zip(WAYS, away[:2], (1, outward), strict=False)
    ]
    if reading.reads is not None:
        made.append(_Row("linear", (f"{reading} (up)",), (reading.reads,), reading.drop_doubt, (-away[2],)))
    return made


def _angle(reading: Reading, unknown: Unknowns) -> list[_Row]:
    seen = {None: (1.0, 1.0), "front": (0.0, 1.0), "side": (1.0, 0.0)}[reading.seen_from]
    away = _between(unknown, reading.of)
    return [_Row("slope", (str(reading),), (_read(reading),), reading.doubt, (away, seen))]


def _in_line(reading: Reading, unknown: Unknowns) -> list[_Row]:
    first, middle, last = reading.of
    data = (_between(unknown, (first, middle)), _between(unknown, (first, last)))
    names = (f"{reading} (sideways)", f"{reading} (square to that)")
    return [_Row("line", names, (0.0, 0.0), reading.doubt, data)]


def _offset(reading: Reading, unknown: Unknowns) -> list[_Row]:
    away = _between(unknown, reading.of)
    outward = _outward(unknown, reading.of)
    names = tuple(f"{reading} ({way})" for way in WAYS)
    if isinstance(reading.along, tuple):
        data = (away, _between(unknown, reading.along), _read(reading))
        return [_Row("along", names, (0.0, 0.0, 0.0), reading.doubt, data)]
    return [
        _Row("linear", (name,), (_read(reading) if way == reading.along else 0.0,), reading.doubt, (sign * linear,))
        for name, way, linear, sign in zip(names, WAYS, away, (1, outward, 1), strict=True)
    ]


def _track(reading: Reading, unknown: Unknowns, camber: Array, toe: Array) -> list[_Row]:
    """Between the contact points: as in Axle.contact, with the radius that the wheel centre's height gives."""
    contacts = []
    for side, (name, sign) in enumerate((("left " + WHEEL, 1.0), ("right " + WHEEL, -1.0))):
        x, y, z = unknown.places[name].linear
        lean = np.tan(camber[side])
        contacts.append(np.stack([x - z * lean * np.sin(toe[side]), y - sign * z * lean * np.cos(toe[side]), 0.0 * z]))
    return [_Row("length", (str(reading),), (_read(reading),), reading.doubt, (contacts[1] - contacts[0],))]


_FORMS: dict[str, Callable[[Reading, Unknowns], list[_Row]]] = {
    "up": _height,
    "out": lambda reading, unknown: _coordinate(reading, unknown, 1),
    "ahead": lambda reading, unknown: _coordinate(reading, unknown, 0),
    "tape": _tape,
    "plumb": _plumb,
    "angle": _angle,
    "level": _level,
    "in_line": _in_line,
    "offset": _offset,
}


def _read(reading: Reading) -> float:
    return 0.0 if reading.reads is None else reading.reads


def _between(unknown: Unknowns, names: Sequence[str]) -> Array:
    first, second = (unknown.places[name].linear for name in names)
    return np.asarray(second - first)


def _outward(unknown: Unknowns, names: Sequence[str]) -> int:
    """The sign of y outwards for the two together: that of the first with a side."""
    outward = (unknown.places[name].outward for name in names)
    return next((sign for sign in outward if sign is not None), 1)


def _together(made: Sequence[tuple[int, _Row]], count: int) -> ReadingRows:
    forms: dict[str, list[tuple[int, _Row]]] = {"linear": [], "length": [], "slope": [], "line": [], "along": []}
    at = 0
    for _, row in made:
        forms[row.form].append((at, row))
        at += len(row.reads)

    def data(form: str, part: int, shape: tuple[int, ...]) -> Array:
        items = [row.data[part] for _, row in forms[form]]
        return np.array(items) if items else np.zeros((0, *shape))

    # Predictions come out form by form (a line's two rows apart from each other); `order` puts them back.
    came = [at for form in ("linear", "length", "slope") for at, _ in forms[form]]
    came += [at + way for way in range(2) for at, _ in forms["line"]]
    came += [at + way for at, _ in forms["along"] for way in range(3)]
    return ReadingRows(
        names=_unique([name for _, row in made for name in row.names]),
        reads=np.array([value for _, row in made for value in row.reads]),
        doubts=np.array([row.doubt for _, row in made for _ in row.reads]),
        of=np.array([index for index, row in made for _ in row.reads], dtype=int),
        order=np.argsort(came) if came else np.zeros(0, dtype=int),
        linear=data("linear", 0, (count,)),
        length=data("length", 0, (3, count)),
        slope=data("slope", 0, (3, count)),
        slope_seen=data("slope", 1, (2,)),
        line_middle=data("line", 0, (3, count)),
        line_end=data("line", 1, (3, count)),
        line_axis=np.tile([0.0, 0.0, 1.0], (len(forms["line"]), 1)),
        along=data("along", 0, (3, count)),
        along_direction=data("along", 1, (3, count)),
        along_by=data("along", 2, ()),
    )


def _unique(names: Sequence[str]) -> tuple[str, ...]:
    seen: dict[str, int] = {}
    out = []
    for name in names:
        seen[name] = seen.get(name, 0) + 1
        times = seen[name]
        out.append(name if times == 1 else f"{name} ({_ORDINALS.get(times, f'{times}th')})")
    return tuple(out)


def partners(readings: Sequence[Reading]) -> Mapping[str, list[str]]:
    """Each name, and the names that it is measured with."""
    together: dict[str, list[str]] = {}
    for reading in readings:
        for name in reading.of:
            together.setdefault(name, []).extend(other for other in reading.of if other != name)
    return together


def directly_read(all_rows: ReadingRows) -> tuple[Array, Array]:
    """The rows in which coordinates stand as they are: (k, n), and what they read (k,)."""
    # They come first among the predictions, in their own order.
    return all_rows.linear, all_rows.reads[np.argsort(all_rows.order)][: len(all_rows.linear)]
