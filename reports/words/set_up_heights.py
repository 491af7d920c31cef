"""Ride heights of a set-up in words: where each side of the body goes at an axle, and how far its perches for that."""

from collections.abc import Iterator, Sequence

from kinematics.car.lengths import LengthUnit
from kinematics.planning.settling import is_held
from kinematics.setting.set_up import Entry, Measure, SetUp
from reports.words.set_up_numbers import both_words, is_turned, number_words, plain_tolerance, target_words


def moves_the_body(planned: SetUp, axle: str) -> bool:
    """Whether either side of the body goes up or down at an axle by as much as shows."""
    return any(far for _, far in _ways(planned, axle))


def _ways(planned: SetUp, axle: str) -> list[tuple[bool, str]]:
    """For each side whether the body goes up at an axle, and how far, in words; nothing where that does not show."""
    unit = planned.car.unit
    by = [one.planned - one.as_measured for one in planned.of(Measure.HEIGHT, axle)]
    nothing, *far = (number_words(abs(one), Measure.HEIGHT, unit) for one in (0.0, *by))
    return [(one > 0.0, words if words != nothing else "") for one, words in zip(by, far, strict=True)]


def _each_side_goes(ways: Sequence[tuple[bool, str]], pair: Sequence[Entry], unit: LengthUnit) -> str:
    """Where each side goes, as the sides differ: up, down or nowhere, to which number."""
    said = []
    for (up, far), one in zip(ways, pair, strict=True):
        to = f"{number_words(one.planned, one.measure, unit)} {unit.symbol} (no. {one.number})"
        goes = f"{'up' if up else 'down'} {far} {unit.symbol} to" if far else "stays at"
        said.append(f"{one.side} {goes} {to}")
    return ", ".join(said)


def height_line(planned: SetUp, axle: str) -> str:
    """How far the body goes up or down at an axle, and to which numbers."""
    pair, ways, unit = planned.of(Measure.HEIGHT, axle), _ways(planned, axle), planned.car.unit
    target = target_words(pair[0], pair[1], unit)
    (up, far), other = ways
    if not far and not other[1]:
        return f"{axle.capitalize()} ride height stays as measured: check {target}."
    near = plain_tolerance(Measure.HEIGHT, unit)
    left, right = (number_words(one.planned, one.measure, unit) for one in pair)
    level = left == right
    apart = f"{'no more than' if level else 'their difference no more than'} {near} {unit.symbol}"
    apart += " apart" if level else " from that"
    if ways[0] != other:
        return f"{axle.capitalize()} ride height: {_each_side_goes(ways, pair, unit)}, within {near}; {apart}."
    below = " of the table below" if level else ""
    way = "raise" if up else "lower"
    return f"{axle.capitalize()} ride height: {way} the body {far} {unit.symbol}, to {target}{below}; {apart}."


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
