"""Which entry of a car file is most likely mistyped: the one whose correction makes the car likelier, by far."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES
from kinematics.car.lengths import INCH, LengthUnit
from kinematics.car.uncertainty import WAYS
from kinematics.judging.usual_cars import Entries, unlikeliness
from solvers.vectors import Array


class Slip(Enum):
    """How an entry may come to be wrong."""

    SIGN = "sign"
    DIGITS = "digits exchanged"
    POINT = "decimal point"
    UNIT = "inches and mm"
    LENGTH = "a length for an angle"


# How often an axle's file has a slip, and which it is (common practice, no source). A camber without its minus is the
# commonest of all, and counts apart; a length for an angle is of toe alone.
_HOW_OFTEN = 0.05
_SHARES = {Slip.SIGN: 0.4, Slip.DIGITS: 0.25, Slip.POINT: 0.25, Slip.UNIT: 0.1, Slip.LENGTH: 0.5}
_CAMBER_SIGN = 0.02
_SURE, _AHEAD = 0.98, 0.9  # that there is a slip, and that of all entries it is this one
_GAINS = 20.0  # times as likely a car must be once put right, where something odd is to be told anyhow
_RIM = 1.3  # of the loaded radius: what toe is read over as a length
_DIGITS = 6  # that an entry is read with


@dataclass(frozen=True)
class Mistyped:
    """An entry that is most likely wrong: a point's key and way, or "camber" or "toe"; as read and likely [mm, rad]."""

    entry: str
    way: str
    side: str
    slip: Slip
    read: float
    likely: float

    @property
    def place(self) -> tuple[str, str, str]:
        """Which entry it is."""
        return self.entry, self.way, self.side


@dataclass(frozen=True)
class _Idea:
    what: Mistyped
    corrected: Entries
    chance: float  # beforehand


@dataclass(frozen=True)
class Found:
    """The entry that is most likely wrong, the entries with it put right, and whether it is sure that one is wrong.

    named: what is clearly ahead of all else, the likeliest first: that entry, or one of two; none where it is neither.
    """

    slip: Mistyped
    named: tuple[Mistyped, ...]
    corrected: Entries
    sure: bool


def mistyped(entries: Entries, unit: LengthUnit) -> Found | None:
    """The entry that is most likely wrong, None where none need be. unit: what lengths are written in.

    Where it is not sure, the car is merely much likelier with it put right: that counts where something is odd anyhow.
    """
    ideas = list(_ideas(entries, unit))
    stacked = replace(
        entries,
        points=np.stack([entries.points, *(one.corrected.points for one in ideas)]),
        camber=np.stack([entries.camber, *(one.corrected.camber for one in ideas)]),
        toe=np.stack([entries.toe, *(one.corrected.toe for one in ideas)]),
    )
    told = unlikeliness(stacked)
    times = np.exp(np.clip(told[0] - told[1:], -600.0, 600.0))
    weight = times * np.array([one.chance for one in ideas])
    total, most = float(weight.sum()), int(weight.argmax())
    sure = total > _SURE * (1.0 + total)
    if not sure and times[most] < _GAINS:
        return None
    best = ideas[most]
    named = _ahead(ideas, weight / total)
    if not sure and len(named) != 1:
        return None
    return Found(best.what, named, best.corrected, sure)


def _ahead(ideas: list[_Idea], shares: Array) -> tuple[Mistyped, ...]:
    """The entry, or the two, that all but surely hold what is wrong, each with its likeliest slip."""
    by_entry: dict[tuple[str, str, str], float] = {}
    likeliest: dict[tuple[str, str, str], Mistyped] = {}
    for place in np.argsort(-shares).tolist():
        one = ideas[place].what
        likeliest.setdefault(one.place, one)
        by_entry[one.place] = by_entry.get(one.place, 0.0) + float(shares[place])
    order = sorted(by_entry, key=lambda entry: -by_entry[entry])
    for count in (1, 2):
        if sum(by_entry[entry] for entry in order[:count]) > _AHEAD:
            return tuple(likeliest[entry] for entry in order[:count])
    return ()


def _ideas(entries: Entries, unit: LengthUnit) -> Iterator[_Idea]:
    found = [*_of_points(entries, unit), *_of_wheels(entries, unit)]
    count = len({one.place for one, _ in found})
    several = Counter((one.place, one.slip) for one, _ in found)
    for one, corrected in found:
        chance = _HOW_OFTEN * _SHARES[one.slip] / count / several[one.place, one.slip]
        if one.entry == "camber" and one.slip is Slip.SIGN:
            chance = _CAMBER_SIGN
        yield _Idea(one, corrected, chance)


def _of_points(entries: Entries, unit: LengthUnit) -> Iterator[tuple[Mistyped, Entries]]:
    for number, key in enumerate(entries.kind.keys):
        single = key in entries.kind.single
        common = single or np.allclose(entries.points[number, LEFT], entries.points[number, RIGHT], rtol=0.0, atol=1e-6)
        for side in (LEFT,) if common else (LEFT, RIGHT):
            for column, way in enumerate(WAYS):
                read = float(entries.points[number, side, column])
                signed = column == 0 or (column == 1 and single)
                for slip, likely in _corrections(read, unit.in_mm, signed=signed):
                    points = entries.points.copy()
                    points[number, slice(None) if common else side, column] = likely
                    if single and column == 1:
                        points[number, RIGHT, column] = -likely
                    name = "" if common else SIDE_NAMES[side]
                    yield Mistyped(key, way, name, slip, read, likely), replace(entries, points=points)


def _of_wheels(entries: Entries, unit: LengthUnit) -> Iterator[tuple[Mistyped, Entries]]:
    for name in ("camber", "toe"):
        angles: Array = getattr(entries, name)
        common = bool(np.isclose(angles[LEFT], angles[RIGHT], rtol=0.0, atol=1e-9))
        for side in (LEFT,) if common else (LEFT, RIGHT):
            read = float(angles[side])
            found = list(_corrections(read, float(np.radians(1.0)), signed=name == "camber", angle=True))
            if name == "toe":
                rim = _RIM * float(entries.at("wheel_centre")[side, 2])
                found.append((Slip.LENGTH, float(np.arcsin(np.clip(np.degrees(read) * unit.in_mm / rim, -1.0, 1.0)))))
            for slip, likely in found:
                changed = angles.copy()
                changed[slice(None) if common else side] = likely
                corrected = replace(entries, camber=changed) if name == "camber" else replace(entries, toe=changed)
                yield Mistyped(name, "", "" if common else SIDE_NAMES[side], slip, read, likely), corrected


def _corrections(read: float, in_mm: float, *, signed: bool, angle: bool = False) -> Iterator[tuple[Slip, float]]:
    """What might have been meant by an entry [mm, rad], by each slip; in_mm: the size of what it is written in."""
    if read == 0.0:
        return
    if signed:
        yield Slip.SIGN, -read
    for factor in (10.0, 0.1):
        yield Slip.POINT, read * factor
    if not angle:
        for factor in (INCH.in_mm, 1.0 / INCH.in_mm):
            yield Slip.UNIT, read * factor
    for exchanged in sorted(_exchanged(f"{abs(read) / in_mm:.{_DIGITS}g}")):
        yield Slip.DIGITS, float(np.copysign(exchanged * in_mm, read))


def _exchanged(written: str) -> set[float]:
    """A number with two digits beside each other exchanged, each way; the decimal point stays."""
    if "e" in written:
        return set()
    leading = len(written) - len(written.lstrip("0."))
    digits = [place for place, sign in enumerate(written) if sign.isdigit() and place >= leading]
    found = set()
    for first, second in pairwise(digits):
        turned = list(written)
        turned[first], turned[second] = turned[second], turned[first]
        if turned[leading] != "0":
            found.add(float("".join(turned)))
    return found - {float(written)}
