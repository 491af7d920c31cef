"""Every slip that could have happened to a reading or a pair of them, and how often slips of its kind do."""

from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.car.uncertainty import WAYS
from kinematics.survey.explanations import Cause, Slip
from kinematics.survey.readings import Reading, ReadingKind
from kinematics.survey.snooping import State
from kinematics.survey.unknowns import WHEEL, Unknowns

# How often each slip happens among slips, before a survey is looked at (common practice, no source).
_SHARES: dict[Cause, float] = {
    Cause.MISREAD: 0.25,
    Cause.UNKNOWN: 0.18,
    Cause.DIGITS: 0.05,
    Cause.OTHER_HOLE: 0.05,
    Cause.SWAPPED: 0.15,
    Cause.OTHER_POINT: 0.10,
    Cause.EXCHANGED: 0.10,
    Cause.OTHER_UNIT: 0.05,
    Cause.HALF_OR_DOUBLE: 0.02,
    Cause.WRONG_SIGN: 0.05,
}
_STEPS = {"mm": tuple(10.0 * step for step in range(1, 11)), "in": (0.25, 0.5, *(float(step) for step in range(1, 13)))}
_ANGLE_STEPS = (1.0, 5.0, 10.0)  # degrees
_ANYWHERE, _ANY_ANGLE = 200.0, np.radians(20.0)  # mm, rad: an error of unknown cause lies within these
_BOTH_SIDES = 0.3  # of lost signs: what was read alike on both sides lost it twice
_ALIKE = 3.0  # doubts within which two readings read the same
_HOLES_APART = 25.0  # mm, one standard deviation of each coordinate: a hole that is taken for another lies so near
_EXCHANGED_IN: tuple[tuple[ReadingKind, ...], ...] = (
    ("up",),
    ("out",),
    ("ahead",),
    ("tape",),
    ("angle",),
    ("ahead", "out"),
    ("up", "out"),
    ("up", "out", "ahead"),
)


@dataclass(frozen=True)
class Idea:
    """A slip that may have happened: what should have been read, or of which names, or which rows say less.

    extra: of -2 log of its chance beforehand. rows: which say less, and doubts (k,): how well they are known instead,
    infinite where they say nothing.
    """

    slip: Slip
    extra: float
    reads: tuple[float, ...] = ()
    new: tuple[Reading, ...] = ()
    rows: tuple[int, ...] = ()
    doubts: tuple[float, ...] = ()

    @property
    def of(self) -> tuple[int, ...]:
        """Indices of the readings that it is about."""
        return self.slip.of


def read_row(state: State, of: int) -> int:
    """The row that shows what a reading read, -1 where nothing was read or several rows stand for it."""
    reading = state.survey.readings[of]
    if reading.reads is None or reading.kind in ("level", "in_line") or isinstance(reading.along, tuple):
        return -1
    own = np.flatnonzero(state.rows.of == of)
    return int(own[WAYS.index(reading.along)] if reading.along is not None else own[-1])


def _extra(cause: Cause, share: float) -> float:
    return -2.0 * float(np.log(_SHARES[cause] * share))


def misread_values(state: State, row_of: Mapping[int, int], unit: LengthUnit) -> Iterator[Idea]:
    """Ideas in which another value was meant in one reading."""
    readings = state.survey.readings
    count = len(row_of)
    across = [index for index in row_of if _may_be_halved(readings[index])]
    lengths = _weights(unit.to_mm(step) for step in _STEPS[unit.symbol])
    angles = _weights(np.radians(step) for step in _ANGLE_STEPS)
    for index in row_of:
        reading = readings[index]
        value = _value(reading)
        for step, weight in (angles if reading.kind == "angle" else lengths).items():
            for off in (step, -step):
                slip = Slip(Cause.MISREAD, (index,), off=off)
                yield Idea(slip, _extra(slip.cause, weight / 2.0 / count), (value - off,))
        if reading.kind != "angle":
            # A fraction is of an inch: it was not written in mm.
            for factor in (25.4,) if "/" in reading.written else (25.4, 1.0 / 25.4):
                slip = Slip(Cause.OTHER_UNIT, (index,), factor=factor)
                yield Idea(slip, _extra(slip.cause, 0.5 / count), (value * factor,))
            yield from _other_digits(index, value, unit, count)
        if index in across:
            for factor in (2.0, 0.5):
                slip = Slip(Cause.HALF_OR_DOUBLE, (index,), factor=factor)
                yield Idea(slip, _extra(slip.cause, 0.5 / len(across)), (value * factor,))
        if _has_a_sign(reading):
            slip = Slip(Cause.WRONG_SIGN, (index,), off=2.0 * value)
            yield Idea(slip, _extra(slip.cause, (1.0 - _BOTH_SIDES) / count), (-value,))


def _may_be_halved(reading: Reading) -> bool:
    """Whether it goes across the car, or from its middle: what is told to be halved, or not, may be the other."""
    if reading.kind == "tape":
        sides, keys = zip(*map(_side_and_key, reading.of), strict=True)
        return len(set(keys)) == 1 and len(set(sides)) == 2
    return reading.kind == "track" or (reading.kind == "out" and len(reading.of) == 1)


def _has_a_sign(reading: Reading) -> bool:
    above_ground = reading.kind == "up" and len(reading.of) == 1
    return not above_ground and reading.kind not in ("tape", "track", "plumb")


def signs_of_both_sides(state: State, row_of: Mapping[int, int]) -> list[Idea]:
    """Ideas in which the sign of what was read alike on both sides is wrong on both."""
    readings = state.survey.readings
    signed = [index for index in row_of if _has_a_sign(readings[index])]
    pairs = [pair for pair in combinations(signed, 2) if _mirrored(*(readings[index] for index in pair))]
    values = [tuple(_value(readings[index]) for index in pair) for pair in pairs]
    extra = _extra(Cause.WRONG_SIGN, _BOTH_SIDES / max(len(pairs), 1))
    return [
        Idea(Slip(Cause.WRONG_SIGN, pair, off=2.0 * one), extra, (-one, -other))
        for pair, (one, other) in zip(pairs, values, strict=True)
    ]


def _mirrored(one: Reading, other: Reading) -> bool:
    """Whether two are the same reading, of one side and the other."""
    alike = (one.kind, one.seen_from, one.along) == (other.kind, other.seen_from, other.along)
    if not alike or one.of == other.of or len(one.of) != len(other.of):
        return False
    sides = zip(map(_side_and_key, one.of), map(_side_and_key, other.of), strict=True)
    return all(key == other_key for (_, key), (_, other_key) in sides)


def _other_digits(index: int, value: float, unit: LengthUnit, count: int) -> Iterator[Idea]:
    """Ideas in which two neighbouring digits of the whole number were exchanged."""
    written = unit.from_mm(abs(value))
    digits = str(int(written))
    whole = [digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :] for at in range(len(digits) - 1)]
    meant = [unit.to_mm(int(one) + written % 1.0) * np.sign(value) for one in whole if one != digits]
    for one in meant:
        slip = Slip(Cause.DIGITS, (index,), off=value - one)
        yield Idea(slip, _extra(slip.cause, 1.0 / len(meant) / count), (one,))


def swapped_values(state: State, row_of: Mapping[int, int]) -> Iterator[Idea]:
    """Ideas in which two values stand each in the other's line."""
    readings = state.survey.readings
    pairs = [
        (one, other)
        for one, other in combinations(row_of, 2)
        if readings[one].kind == readings[other].kind
        or (other - one == 1 and "angle" not in (readings[one].kind, readings[other].kind))
    ]
    for one, other in pairs:
        crossed = (_value(readings[other]), _value(readings[one]))
        slip = Slip(Cause.SWAPPED, (one, other))
        yield Idea(slip, _extra(slip.cause, 1.0 / len(pairs)), crossed)


def _weights(steps: Iterable[float]) -> dict[float, float]:
    """Of each step: small ones happen more often."""
    known = list(steps)
    total = sum(1.0 / step for step in known)
    return {step: 1.0 / step / total for step in known}


def _value(reading: Reading) -> float:
    return 0.0 if reading.reads is None else reading.reads


def unknown_errors(state: State, chosen: Sequence[int]) -> Iterator[Idea]:
    """Ideas in which one of these rows says nothing."""
    for row in chosen:
        of = int(state.rows.of[row])
        anywhere = _ANY_ANGLE if state.survey.readings[of].kind == "angle" else _ANYWHERE
        narrow = 2.0 * float(np.log(2.0 * anywhere / (np.sqrt(2.0 * np.pi) * state.rows.doubts[row])))
        slip = Slip(Cause.UNKNOWN, (of,))
        yield Idea(slip, _extra(slip.cause, 1.0 / len(chosen)) + narrow, rows=(int(row),), doubts=(np.inf,))


def other_holes(state: State, row_of: Mapping[int, int]) -> Iterator[Idea]:
    """Ideas in which all that was read of a point by rule is of another hole nearby, and the tapes are right."""
    readings = state.survey.readings
    places: dict[str, list[int]] = {}
    for index in row_of:
        if readings[index].kind in WAYS and len(readings[index].of) == 1:
            places.setdefault(readings[index].of[0], []).append(index)
    # A wheel's centre lies in no hole.
    several = (of for of in places.values() if len({readings[index].kind for index in of}) > 1)
    found = [of for of in several if _side_and_key(readings[of[0]].of[0])[1] != WHEEL]
    for of in found:
        chosen = tuple(row_of[index] for index in of)
        doubts, narrow = _of_one_hole(state, chosen, [readings[index].kind for index in of])
        slip = Slip(Cause.OTHER_HOLE, tuple(of), points=readings[of[0]].of)
        extra = _extra(slip.cause, 1.0 / len(found)) + narrow
        yield Idea(slip, extra, rows=chosen, doubts=doubts)


def _of_one_hole(state: State, chosen: Sequence[int], kinds: Sequence[ReadingKind]) -> tuple[tuple[float, ...], float]:
    """How well rows say where a hole's neighbour lies, and what of -2 log it costs that they say it no better.

    A coordinate read again is off by as much again: it says no more of the neighbour, but must agree with the first.
    """
    known, reads = state.rows.doubts[list(chosen)], state.rows.reads[list(chosen)]
    doubts = np.hypot(known, _HOLES_APART)
    narrow = 2.0 * float(np.log(doubts / known).sum())
    for again, kind in enumerate(kinds):
        first = kinds.index(kind)
        if first != again:
            variance = known[first] ** 2 + known[again] ** 2
            apart = (reads[again] - reads[first]) ** 2 / variance + np.log(variance / known[again] ** 2)
            narrow += float(apart - 2.0 * np.log(doubts[again] / known[again]))
            doubts[again] = np.inf
    return tuple(doubts.tolist()), narrow


def other_points(state: State, row_of: Mapping[int, int]) -> Iterator[Idea]:
    """Ideas in which a reading was taken at another point."""
    unknown = state.survey.unknowns
    found: list[tuple[Slip, Reading]] = []
    for index in row_of:
        reading = state.survey.readings[index]
        if reading.kind not in ("up", "out", "ahead", "tape", "angle"):
            continue
        for at, name in enumerate(reading.of):
            others = [unknown.names[other][:2] for other in reading.of if other != name]
            for taken in _confused(name, unknown):
                new = replace(reading, of=(*reading.of[:at], taken, *reading.of[at + 1 :]))
                if unknown.names[taken][:2] not in others and _can_be_read(state, reading, new):
                    found.append((Slip(Cause.OTHER_POINT, (index,), points=(name, taken)), new))
    extra = _extra(Cause.OTHER_POINT, 1.0 / max(len(found), 1))
    for slip, new in found:
        yield Idea(slip, extra, new=(new,))


def _can_be_read(state: State, reading: Reading, new: Reading) -> bool:
    """Whether a level that lay on a link, an arm or a strut could lie so, and not on the same the other way round."""
    if reading.kind != "angle":
        return True
    if set(new.of) == set(reading.of):
        return False
    kind = state.survey.axle.suspension
    parts = [*({arm.pivot_front, arm.pivot_rear, arm.joint} for arm in kind.arms), *map(set, kind.all_links)]
    if kind.strut is not None:
        parts.append({kind.strut.low, kind.strut.top_mount})
    return _on_one(new, parts) or not _on_one(reading, parts)


def _on_one(reading: Reading, parts: Iterable[Set[str]]) -> bool:
    sides, keys = zip(*map(_side_and_key, reading.of), strict=True)
    return len(set(sides)) == 1 and any(set(keys) <= part for part in parts)


def _confused(name: str, unknown: Unknowns) -> Iterator[str]:
    """Names of other points on the same side, and of the same point on the other."""
    side, key = _side_and_key(name)
    own = unknown.names[name][:2]
    told = set()
    for other in unknown.names:
        other_side, other_key = _side_and_key(other)
        place = unknown.names[other][:2]
        if place != own and place not in told and (other_side in (side, "") or other_key == key):
            told.add(place)
            yield other


def _side_and_key(name: str) -> tuple[str, str]:
    side, _, key = name.partition(" ")
    return (side, key) if side in SIDE_NAMES else ("", name)


def exchanged_points(state: State) -> Iterator[Idea]:
    """Ideas in which two points were taken for each other in all readings of a kind."""
    readings = state.survey.readings
    unknown = state.survey.unknowns
    hardpoints = [spot.name for spot in unknown.spots if not spot.helper]
    found: list[Idea] = []
    for one, other in combinations(hardpoints, 2):
        if _side_and_key(one)[0] != _side_and_key(other)[0] and _side_and_key(one)[1] != _side_and_key(other)[1]:
            continue
        names = {one: other, other: one}
        if not state.survey.apart:
            names |= {f"{side} {a}": f"{side} {b}" for side in SIDE_NAMES for a, b in ((one, other), (other, one))}
        renamed = {
            index: replace(reading, of=tuple(names.get(name, name) for name in reading.of))
            for index, reading in enumerate(readings)
            if index not in state.corrected and any(name in names for name in reading.of)
        }
        if not all(name in unknown.names for new in renamed.values() for name in new.of):
            continue
        seen = set()
        for kinds in _EXCHANGED_IN:
            chosen = {
                index: new
                for index, new in renamed.items()
                if new.kind in kinds
                and _same(new) != _same(readings[index])
                and _seen(readings, new)
                and _can_be_read(state, readings[index], new)
            }
            of = tuple(chosen)
            if of in seen or len(of) < 2 or _is_swap(readings, chosen):
                continue
            seen.add(of)
            slip = Slip(Cause.EXCHANGED, of, points=(one, other), kinds=kinds)
            found.append(Idea(slip, 0.0, new=tuple(chosen.values())))
    for idea in found:
        yield replace(idea, extra=_extra(Cause.EXCHANGED, 1.0 / len(found)))


def _same(reading: Reading) -> tuple[str, frozenset[str] | tuple[str, ...]]:
    return reading.kind, frozenset(reading.of) if reading.kind == "tape" else reading.of


def _seen(readings: Sequence[Reading], new: Reading) -> bool:
    """Whether a reading that is renamed changes anything: not if that of the other name reads the same."""
    others = [one for one in readings if _same(one) == _same(new)]
    return not any(abs(_value(one) - _value(new)) < _ALIKE * new.doubt for one in others)


def _is_swap(readings: Sequence[Reading], renamed: Mapping[int, Reading]) -> bool:
    """Whether it comes to two values written in each other's line."""
    if len(renamed) != 2:
        return False
    (one, new), (other, new_other) = renamed.items()
    return _same(new) == _same(readings[other]) and _same(new_other) == _same(readings[one])
