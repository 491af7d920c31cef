"""What moving a point does, in words: which numbers decide, a step in the owner's unit, and the largest effects."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.finding.influence import Influence, Reach
from kinematics.numbers.registry import QUANTITIES
from reports.words.wrapped import wrapped
from solvers.vectors import Array

DECIDING = ("roll_centre_height", "force_weighted_height", "camber_gain", "bump_steer")
_AGAINST = {"ahead": "back", "out": "in", "up": "down"}
_FIGURES = 3  # that count, of the largest


@dataclass(frozen=True)
class Step:
    """How far a point is moved: a millimetre, or a sixteenth of an inch. size: [mm]."""

    size: float
    words: str


def step_of(unit: LengthUnit) -> Step:
    """The step that goes with an owner's unit."""
    return Step(1.0, "mm") if unit.symbol == "mm" else Step(unit.in_mm / 16.0, "1/16 in")


@dataclass(frozen=True)
class Effect:
    """One effect in words: the point and way, what the number changes by for a step, and what reaches the point."""

    place: str
    change: str
    reached_by: str


def deciding(found: Influence) -> list[str]:
    """Keys of the numbers that decide, those that the axle has; what does as another one does is told once."""
    told_already: list[str] = []
    for key in DECIDING:
        slopes = found.slopes.get(key)
        if slopes is not None and not any(_alike(slopes, found.slopes[other]) for other in told_already):
            told_already.append(key)
    return told_already


def _alike(slopes: Array, others: Array) -> bool:
    return slopes.shape == others.shape and np.allclose(slopes, others, rtol=1e-6, atol=1e-9, equal_nan=True)


def effects(
    found: Influence, key: str, unit: LengthUnit, most: int | None = None, *, all_points: bool = False
) -> Sequence[Effect]:
    """The largest effects on a number, signed, the largest first; all_points: as in `Influence.ranked`."""
    ranked = found.ranked(key, all_points=all_points)[:most]
    kind, step = QUANTITIES[key].dimension, step_of(unit)
    scale = kind.scale(unit) * step.size
    largest = max((abs(slope) for _, _, slope in ranked), default=0.0)
    if largest == 0.0:
        return []
    decimals = max(_FIGURES - 1 - math.floor(math.log10(largest * scale)), 0)
    told = [
        Effect(place_words(point, way), f"{slope * scale:+z.{decimals}f}", reached_words(found, point, way))
        for point, way, slope in ranked
    ]
    return [one for one in told if float(one.change) != 0.0]


def reached_words(found: Influence, point: str, way: str) -> str:
    """Which kinds of change move a point this way or against it, and which of them a class rule forbids."""
    return ", ".join(_reach_words(one, way) for one in found.reached_by[point, way]) or "point only"


def _reach_words(one: Reach, way: str) -> str:
    said = [_AGAINST[way]] if one.sign < 0 else []
    said += ["forbidden"] if one.forbidden else []
    return f"{one.what} ({', '.join(said)})" if said else one.what


def place_words(point: str, way: str) -> str:
    """A point and the way it goes."""
    return f"{point.replace('_', ' ')} {way}"


def unit_words(key: str, unit: LengthUnit) -> str:
    """What an effect on a number is told in."""
    return f"{QUANTITIES[key].dimension.unit(unit)} per {step_of(unit).words}"


def influence_headline(found: Sequence[Influence], unit: LengthUnit, then: str) -> list[str]:
    """What moves each axle's roll centre most, and the next command."""
    return [*(line for one in found for line in wrapped(f"{answer_words(one, unit)}.")), f"Next: {then}"]


def answer_words(found: Influence, unit: LengthUnit) -> str:
    """What moves the first of the deciding numbers most, of what may be moved; without a full stop."""
    key = next(iter(deciding(found)), None)
    largest = effects(found, key, unit) if key else []
    name = found.axle.name.capitalize()
    if not key or not largest:
        return f"{name}: moving a point changes none of the numbers that matter"
    places = {place_words(point, way): reached for (point, way), reached in found.reached_by.items()}
    allowed = (one for one in largest if not places[one.place] or not all(by.forbidden for by in places[one.place]))
    first = next(allowed, None)
    if first is None:
        return f"{name} {QUANTITIES[key].title}: class rules forbid every change that reaches it"
    symbol = QUANTITIES[key].dimension.unit(unit)
    return (
        f"{name} {QUANTITIES[key].title} is most sensitive to moving the {first.place}: {first.change} {symbol} per "
        f"{step_of(unit).words}"
    )


def step_note(unit: LengthUnit, *, all_points: bool) -> str:
    """What was held while a point moved, and what is not shown."""
    hidden = "" if all_points else " Ways that no kind of change moves a point are left out; --all shows them."
    return (
        f"Change for each {step_of(unit).words} that a point goes the way named, one at a time, both sides alike: "
        "a pivot on the body, a ball joint on its upright. Links keep their lengths, the car its ride height, toe and "
        "camber. A change marked (down) moves the point down: turn the sign round. `point`: the mount itself is "
        f"moved.{hidden}"
    )
