"""Ride heights of a set-up in words: where each side of the body goes at an axle, and how far its perches for that."""

from collections.abc import Iterator, Sequence

from kinematics.car.lengths import LengthUnit
from kinematics.planning.settling import is_held
from kinematics.setting.set_up import Entry, Measure, SetUp
from reports.words.set_up_numbers import both_words, is_turned, number_words, plain_tolerance, target_words


def heights_by(planned: SetUp, axle: str) -> list[str]:
    """How far each side of the body goes at an axle, with its sign, in words; nothing where that does not show."""
    unit = planned.car.unit
    far = [
        number_words(one.planned - one.as_measured, Measure.HEIGHT, unit) for one in planned.of(Measure.HEIGHT, axle)
    ]
    return [words if words.strip("-0.") else "" for words in far]


def _each_side_goes(by: Sequence[str], pair: Sequence[Entry], unit: LengthUnit) -> str:
    """Where each side goes, as the sides differ: up, down or nowhere, to which number."""
    said = []
    for far, one in zip(by, pair, strict=True):
        to = f"{number_words(one.planned, one.measure, unit)} {unit.symbol} (no. {one.number})"
        way = "down" if far.startswith("-") else "up"
        said.append(f"{one.side} {way} {far.lstrip('-')} {unit.symbol} to {to}" if far else f"{one.side} stays at {to}")
    return ", ".join(said)


def height_line(planned: SetUp, axle: str) -> str:
    """How far the body goes up or down at an axle, and to which numbers."""
    left, right = planned.of(Measure.HEIGHT, axle)
    by, unit = heights_by(planned, axle), planned.car.unit
    target = target_words(left, right, unit)
    if not any(by):
        return f"{axle.capitalize()} ride height stays as measured: check {target}."
    near = f"{plain_tolerance(Measure.HEIGHT, unit)} {unit.symbol}"
    level = number_words(left.planned, left.measure, unit) == number_words(right.planned, right.measure, unit)
    apart = f"no more than {near} apart" if level else f"their difference no more than {near} from that"
    if by[0] != by[1]:
        goes = _each_side_goes(by, (left, right), unit)
        return f"{axle.capitalize()} ride height: {goes}, within {near.removesuffix(f' {unit.symbol}')}; {apart}."
    way = "lower" if by[0].startswith("-") else "raise"
    far = f"{by[0].lstrip('-')} {unit.symbol}"
    below = " of the table below" if level else ""
    return f"{axle.capitalize()} ride height: {way} the body {far}, to {target}{below}; {apart}."


def perch_line(planned: SetUp, axle: str) -> Iterator[str]:
    """How far an axle's perches go for its height; not where the plan's own packing is what does it."""
    left, right = planned.of(Measure.HEIGHT, axle)
    assert left.adjuster is not None
    assert right.adjuster is not None
    unit = planned.car.unit
    if not is_turned(left.adjuster, unit) and not is_turned(right.adjuster, unit):
        return
    if left.adjuster.a_turn is None and not is_held(planned.plan.changes):
        return
    what = "perches" if left.adjuster.a_turn else "perches, or packing"
    yield f"To begin with, {axle} {what}: {both_words(left.adjuster, right.adjuster, unit)}."
