"""Numbers that no fault forbids but hardly a car has: what the owner should look at once more.

All bounds here are common practice, no source; they are wide, and beyond them a slip is likelier than a car.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.body import Sweep
from solvers.vectors import Array, length

# mm and degrees: wheels that lean out, or steering axes that lean forwards, are rare on a car that is raced
_USUAL = {
    "camber": (-8.0, 1.25),
    "toe": (-3.0, 3.0),
    "caster": (-1.0, 15.0),
    "kingpin_inclination": (-20.0, 20.0),
    "scrub_radius": (-120.0, 120.0),
}
_PIVOTS_APART = 50.0  # mm
_TIE_ROD_ASLANT = float(np.radians(25.0))  # in plan view
_KNOWN_TO = 25.0  # mm


class Odd(Enum):
    """What is odd."""

    NUMBER_UNUSUAL = "number unusual"
    PIVOTS_CLOSE = "pivots of an arm close together"
    PIVOTS_EXCHANGED = "the front pivot of an arm behind the rear one"
    TIE_ROD_ASLANT = "tie rod aslant in plan view"
    POINT_HARDLY_KNOWN = "point hardly known"


@dataclass(frozen=True)
class Oddity:
    """One thing to look at again: a value [mm, rad] beyond a bound, of a number (its key) or of points.

    side: "" where it is of the whole axle.
    """

    code: Odd
    axle: str
    side: str
    value: float
    bound: float
    number: str = ""
    points: tuple[str, ...] = ()


def suspicious(rest: Sweep) -> list[Oddity]:
    """What is odd about an axle as measured; empty for most cars. rest: its one state at ride height."""
    return [*_odd_numbers(rest), *_odd_points(rest.axle), *_odd_doubts(rest.axle)]


def _odd_numbers(rest: Sweep) -> Iterator[Oddity]:
    for key, ends in _USUAL.items():
        if key not in rest.values:
            continue
        low, high = ends if QUANTITIES[key].dimension is Dimension.LENGTH else np.radians(ends).tolist()
        for side, value in zip(SIDE_NAMES, rest[key].reshape(2).tolist(), strict=True):
            if np.isfinite(value) and not low <= value <= high:
                bound = low if value < low else high
                yield Oddity(Odd.NUMBER_UNUSUAL, rest.axle.name, side, value, bound, number=key)


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
        along, across, _ = np.abs(points[kind.toe_link[0]] - points[kind.toe_link[1]]).T
        for side, value in zip(SIDE_NAMES, np.arctan2(along, across).tolist(), strict=True):
            if value > _TIE_ROD_ASLANT:
                yield Oddity(Odd.TIE_ROD_ASLANT, axle.name, side, value, _TIE_ROD_ASLANT, points=kind.toe_link)


def _odd_doubts(axle: Axle) -> Iterator[Oddity]:
    if axle.doubt is None:
        return
    lengths = [one.way != "" for one in axle.doubt.coordinates]
    worst: Array = axle.doubt.standard_deviation[np.array(lengths, dtype=bool)].max(initial=0.0)
    if worst > _KNOWN_TO:
        yield Oddity(Odd.POINT_HARDLY_KNOWN, axle.name, "", float(worst), _KNOWN_TO)
