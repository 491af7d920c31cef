"""What no fault forbids but hardly a car has: what the owner should look at once more, one oddity for each cause.

An entry that is clearly the one mistyped is named (`mistyped`); what is odd besides is told as it is. What is usual
stands in `usual_cars`; the bounds here are common practice, no source. They are wide: beyond them a slip is likelier.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES, Axle
from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.uncertainty import WAYS
from kinematics.judging.mistyped import Found, Mistyped, Slip, mistyped
from kinematics.judging.usual_cars import (
    ASLANT,
    BEYOND,
    HIGH_ROLL_CENTRE,
    MADE,
    TEXTBOOK_APART,
    Entries,
    Usual,
    apart,
    numbers,
    seen,
    tailed,
    usual_of,
)
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.body import Sweep, sweep_bump
from solvers.vectors import Array, length

_PIVOTS_APART = 50.0  # mm
_KNOWN_TO = 25.0  # mm
_MOST_SLIPS = 3  # in one axle, each named once those before it are put right
_TELLING = 3.0  # spreads that a derived number lies off, to be told as what follows from a slip
_NEAR_THE_MIDDLE = 100.0  # mm
_SWINGS_ACROSS = 200.0  # mm from the centre plane: a hinge so near it makes a swing axle
_FEW = 2.0  # spreads: few cars lie beyond them


class Odd(Enum):
    """What is odd."""

    NUMBER_UNUSUAL = "number unusual"
    PIVOTS_CLOSE = "pivots of an arm close together"
    PIVOTS_EXCHANGED = "the front pivot of an arm behind the rear one"
    TIE_ROD_ASLANT = "tie rod aslant in plan view"
    PLACE_UNUSUAL = "a point far from where it lies beside another"
    SIDES_APART = "a point far from where it lies on the other side"
    TEXTBOOK_APART = "the drawing board's roll centre far from that by motion"
    DOUBT_OF_OTHERS = "doubt that was told of other points"
    READINGS_DISAGREE = "points fitted to readings that do not agree"
    POINT_HARDLY_KNOWN = "point hardly known"


@dataclass(frozen=True)
class Oddity:
    """One thing to look at again: a value [mm, rad] beyond a bound, of a number (its key) or of points.

    side: "" where it is of the whole axle. way: of a point, and then the bound is what is usual. slips: the entry from
    which it follows, or the two of which it is one; none where that is open. hardly: whether hardly a car, or few, have
    it so.
    """

    code: Odd
    axle: str
    side: str
    value: float
    bound: float
    number: str = ""
    points: tuple[str, ...] = ()
    way: str = ""
    slips: tuple[Mistyped, ...] = ()
    hardly: bool = True


def suspicious(rest: Sweep, unit: LengthUnit = MM) -> list[Oddity]:
    """What is odd about an axle as measured; empty for most cars.

    rest: its one state at ride height; unit: what its entries are written in.
    """
    as_read = odd = list(_as_it_is(rest))
    found: list[Oddity] = []
    for _ in range(_MOST_SLIPS):
        before = Entries.of(rest.axle)
        told = mistyped(before, unit)
        if told is None or not (told.sure or odd):
            break
        mended = sweep_bump(told.corrected.on(rest.axle), np.zeros(1))
        left = list(_as_it_is(mended))
        if not told.sure and len(left) >= len(odd):
            break
        gone = next((one for one in odd if not _among(one, left)), None)
        fact = gone or _follows(rest.axle.name, told.slip, before, told.corrected)
        slips = _apart(told, unit)
        open_side = fact.code is Odd.SIDES_APART and len({slip.side for slip in slips}) > 1
        found = _with(found, replace(fact, side="" if open_side else told.slip.side, slips=slips))
        rest, odd = mended, left
    return [*found, *(one for one in as_read if _among(one, odd)), *_odd_doubts(rest.axle)]


def _among(one: Oddity, others: list[Oddity]) -> bool:
    """Whether the same is odd among others, and the same way."""
    return any(
        (one.code, one.side, one.number, one.points) == (each.code, each.side, each.number, each.points)
        and (one.value > one.bound) == (each.value > each.bound)
        for each in others
    )


def _apart(told: Found, unit: LengthUnit) -> tuple[Mistyped, ...]:
    """Of two entries that may be wrong the first alone, where the second is wrong besides it."""
    again = mistyped(told.corrected, unit) if len(told.named) == 2 else None
    besides = again is not None and again.slip.place == told.named[1].place
    return told.named[:1] if besides else told.named


def _with(found: list[Oddity], new: Oddity) -> list[Oddity]:
    """What was found, and what is new; a second slip in an entry that was put right already joins the first."""
    for place, old in enumerate(found):
        if len(old.slips) == len(new.slips) == 1 and old.slips[0].place == new.slips[0].place:
            first, second = old.slips[0], new.slips[0]
            slip = first.slip if second.slip is Slip.SIGN else second.slip  # a sign is seen from both values
            joined = replace(second, read=first.read, slip=slip)
            return [*found[:place], replace(old, slips=(joined,)), *found[place + 1 :]]
    return [*found, new]


def _as_it_is(rest: Sweep) -> Iterator[Oddity]:
    """What is odd, whatever the cause."""
    yield from _odd_numbers(rest)
    yield from _odd_points(rest.axle)
    yield from _odd_roll_centre(rest)


def _follows(axle: str, slip: Mistyped, before: Entries, after: Entries) -> Oddity:
    """What follows from an entry as it was read: the number that its correction brings nearest to what is usual."""
    side = RIGHT if slip.side == SIDE_NAMES[RIGHT] else LEFT
    off, mended = (
        {key: (float(value[side]), usual) for key, (value, usual) in numbers(one).items()} for one in (before, after)
    )
    gains = {
        key: float(tailed(usual.spreads(np.array(value))) - tailed(usual.spreads(np.array(mended[key][0]))))
        for key, (value, usual) in off.items()
        if key != "radius" and (key == slip.entry or abs(float(usual.spreads(np.array(value)))) > _TELLING)
    }
    most = max(gains, key=lambda key: gains[key], default="")
    if slip.entry in gains or gains.get(most, 0.0) > 1.0:
        return _number(axle, slip.side, most, *off[most])
    return _out_of_place(axle, slip, before, after, side)


def _number(axle: str, side: str, key: str, value: float, usual: Usual) -> Oddity:
    low, high = usual.ends
    hardly = not low <= value <= high
    away = BEYOND if hardly else _FEW
    bound = usual.mean - away * usual.below if value < usual.mean else usual.mean + away * usual.above
    if key == "aslant":
        return Oddity(Odd.TIE_ROD_ASLANT, axle, side, abs(float(np.radians(value))), float(np.radians(abs(bound))))
    value, bound = (_inside(key, one) for one in (value, bound))
    return Oddity(Odd.NUMBER_UNUSUAL, axle, side, value, bound, number=key, hardly=hardly)


def _inside(key: str, value: float) -> float:
    return value if QUANTITIES[key].dimension is Dimension.LENGTH else float(np.radians(value))


def _out_of_place(axle: str, slip: Mistyped, before: Entries, after: Entries, side: int) -> Oddity:
    """The point that a slip puts out of place, as seen from another or from its fellow on the other side."""
    was, now = seen(before), seen(after)
    column = WAYS.index(slip.way) if slip.way else 0
    away = (tailed(was.spreads) - tailed(now.spreads))[:, side, column]
    key = slip.entry
    differs = 0.0
    if slip.side and key in before.kind.keys:
        row = before.kind.keys.index(key)
        differs = float((tailed(apart(before)) - tailed(apart(after)))[row, column])
    if not len(away) or differs > float(away.max()):
        value = float(before.at(key)[LEFT, column] - before.at(key)[RIGHT, column])
        return Oddity(Odd.SIDES_APART, axle, slip.side, abs(value), 0.0, points=(key,), way=slip.way)
    pair = int(away.argmax())
    points = (was.pairs[pair].of, was.pairs[pair].seen_from)
    value, usual = (float(one[pair, side, column]) for one in (was.away, was.usual))
    return Oddity(Odd.PLACE_UNUSUAL, axle, slip.side, value, usual, points=points, way=slip.way)


def _odd_numbers(rest: Sweep) -> Iterator[Oddity]:
    for key, usual in (usual_of(rest.axle.suspension) | {"bump_steer": MADE["bump_steer"]}).items():
        if key not in rest.values:
            continue
        scale = 1.0 if QUANTITIES[key].dimension is Dimension.LENGTH else float(np.degrees(1.0))
        for side, value in zip(SIDE_NAMES, (scale * rest[key].reshape(2)).tolist(), strict=True):
            told = _number(rest.axle.name, side, key, value, usual)
            if np.isfinite(value) and told.hardly:
                yield told


def _odd_roll_centre(rest: Sweep) -> Iterator[Oddity]:
    """Of an axle whose sides are nearly alike: elsewhere a roll centre may run far off, and no entry be wrong."""
    height, offset = (float(rest[f"roll_centre_{what}"].reshape(-1)[0]) for what in ("height", "offset"))
    if not abs(offset) < _NEAR_THE_MIDDLE:
        return
    kind = rest.axle.suspension
    hinge = kind.wheel_hinge
    high = kind.whole_axle or (hinge is not None and rest.axle.points[hinge.first][LEFT, 1] < _SWINGS_ACROSS)
    told = _number(
        rest.axle.name, "", "roll_centre_height", height, HIGH_ROLL_CENTRE if high else MADE["roll_centre_height"]
    )
    if told.hardly:
        yield told
    textbook = rest.values.get("textbook_roll_centre_height")
    if textbook is not None:
        apart = abs(float(textbook.reshape(-1)[0]) - height)
        if apart > TEXTBOOK_APART.ends[1]:
            yield Oddity(Odd.TEXTBOOK_APART, rest.axle.name, "", apart, TEXTBOOK_APART.ends[1])


def _odd_points(axle: Axle) -> Iterator[Oddity]:
    kind, points = axle.suspension, axle.points
    for arm in kind.arms:
        pivots = (arm.pivot_front, arm.pivot_rear)
        apart = length(points[arm.pivot_front] - points[arm.pivot_rear])
        ahead = (points[arm.pivot_front] - points[arm.pivot_rear])[..., 0]
        for side, value in zip(SIDE_NAMES, ahead.tolist(), strict=True):
            if value < 0.0:
                yield Oddity(Odd.PIVOTS_EXCHANGED, axle.name, side, -value, 0.0, points=pivots)
        for side, value in zip(SIDE_NAMES, apart.tolist(), strict=True):
            if value < _PIVOTS_APART:
                yield Oddity(Odd.PIVOTS_CLOSE, axle.name, side, value, _PIVOTS_APART, points=pivots)
    if kind.rack and kind.toe_link is not None:
        most = float(np.radians(ASLANT.ends[1]))
        along, across, _ = np.abs(points[kind.toe_link[0]] - points[kind.toe_link[1]]).T
        for side, value in zip(SIDE_NAMES, np.arctan2(along, across).tolist(), strict=True):
            if value > most:
                yield Oddity(Odd.TIE_ROD_ASLANT, axle.name, side, value, most, points=kind.toe_link)


def disagreeing(axle: Axle) -> Iterator[Oddity]:
    """That an axle's points were fitted to readings that do not agree, where they do not."""
    if axle.doubt is not None and axle.readings_disagree:
        yield Oddity(Odd.READINGS_DISAGREE, axle.name, "", axle.doubt.scatter, 1.0)


def _odd_doubts(axle: Axle) -> Iterator[Oddity]:
    if axle.doubt is None:
        return
    if axle.doubt.of_others:
        yield Oddity(Odd.DOUBT_OF_OTHERS, "", "", 0.0, 0.0, points=(axle.doubt.of_others,))
    yield from disagreeing(axle)
    lengths = [one.way != "" for one in axle.doubt.coordinates]
    worst: Array = axle.doubt.standard_deviation[np.array(lengths, dtype=bool)].max(initial=0.0)
    if worst > _KNOWN_TO:
        yield Oddity(Odd.POINT_HARDLY_KNOWN, axle.name, "", float(worst), _KNOWN_TO)
