"""Numbers that no fault forbids but hardly a car has: what the owner should look at once more.

All bounds here are common practice, no source; they are wide, and beyond them a slip is likelier than a car.
"""

from collections.abc import Iterator

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.lengths import LengthUnit
from kinematics.judging.wording import once_for_both_sides, told
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.body import Sweep
from solvers.vectors import Array, length

# mm and degrees, either way
_MOST = {"camber": 8.0, "toe": 3.0, "caster": 15.0, "kingpin_inclination": 20.0, "scrub_radius": 120.0}
_PIVOTS_APART = 50.0  # mm
_TIE_ROD_ASLANT = 35.0  # degrees in plan view
_KNOWN_TO = 25.0  # mm


def suspicious(rest: Sweep, unit: LengthUnit) -> list[str]:
    """What is odd about an axle as measured, in sentences; empty for most cars. rest: its one state at ride height."""
    axle = rest.axle
    said = [f"{axle.name} {text}" for text in (*_odd_numbers(rest, unit), *_odd_points(axle, unit))]
    return once_for_both_sides(said) + _odd_doubts(axle, unit)


def _odd_numbers(rest: Sweep, unit: LengthUnit) -> Iterator[str]:
    for key, most in _MOST.items():
        if key not in rest.values:
            continue
        quantity = QUANTITIES[key]
        bound = most if quantity.dimension is Dimension.LENGTH else float(np.radians(most))
        for side, value in zip(SIDE_NAMES, rest[key].reshape(2), strict=True):
            if np.isfinite(value) and abs(value) > bound:
                read, usual = (
                    told(float(value), quantity.dimension, unit),
                    told(bound, quantity.dimension, unit, sign=False),
                )
                yield f"{side}: {quantity.title} {read}, and hardly a car has over {usual}; is a sign or digit wrong?"


def _odd_points(axle: Axle, unit: LengthUnit) -> Iterator[str]:
    kind, points = axle.suspension, axle.points
    for arm in kind.arms:
        apart = length(points[arm.pivot_front] - points[arm.pivot_rear])
        for side, value in zip(SIDE_NAMES, apart, strict=True):
            if value < _PIVOTS_APART:
                text = told(float(value), Dimension.LENGTH, unit, sign=False)
                yield f"{side}: {arm.pivot_front} and {arm.pivot_rear} lie {text} apart: is a sign of `ahead` wrong?"
    if kind.rack and kind.toe_link is not None:
        along, across, _ = np.abs(points[kind.toe_link[0]] - points[kind.toe_link[1]]).T
        for side, value in zip(SIDE_NAMES, np.degrees(np.arctan2(along, across)), strict=True):
            if value > _TIE_ROD_ASLANT:
                yield f"{side}: in plan view the tie rod runs {value:.0f} deg aslant: is a sign of `ahead` wrong?"


def _odd_doubts(axle: Axle, unit: LengthUnit) -> list[str]:
    if axle.doubt is None:
        return []
    lengths = [one.way != "" for one in axle.doubt.coordinates]
    worst: Array = axle.doubt.standard_deviation[np.array(lengths, dtype=bool)].max(initial=0.0)
    if not worst > _KNOWN_TO:
        return []
    text = told(float(worst), Dimension.LENGTH, unit, sign=False)
    return [f"{axle.name}: a point is known to {text} only; `measured_to` and `known_to` are in the file's unit"]
