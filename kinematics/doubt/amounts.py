"""The doubt of a plan's own amounts: parts that come out otherwise than planned, and the ride height that follows.

That height follows from springs and weights as measured besides, which have doubts of their own.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from kinematics.car.car import Car
from kinematics.car.parts_known import parts_told, shifted
from kinematics.planning.changes import CHANGES, LOAD_CHANGES, Change
from kinematics.planning.plan import Plan
from kinematics.planning.plans import settled
from kinematics.planning.settling import MeasuredSprings
from solvers.vectors import Array

# Of each independent source: what one standard deviation of it changes on the car, in changes as a plan has them.
AmountSources = tuple[tuple[Change, ...], ...]
PartHeights = Mapping[str, tuple[Change, ...]]  # the same by what of the car's springs, weights and body it is


def amount_sources(car: Car, plan: Plan, after: Plan, springs: MeasuredSprings) -> AmountSources:
    """The sources of doubt in a plan's amounts; each way of a shift is one. after: the plan once settled."""
    found = (
        (place, one) for place, change in enumerate(plan.changes) if change.known_to > 0.0 for one in _each(change)
    )
    set_by_springs = len(after.changes) > len(plan.changes)
    return tuple(
        (
            *((one,) if one.what not in LOAD_CHANGES else ()),
            *(_heights(car, plan, place, one, springs) if set_by_springs else ()),
        )
        for place, one in found
    )


def part_heights(car: Car, plan: Plan, after: Plan) -> PartHeights:
    """By how much a plan's springs let each axle sit otherwise for a standard deviation of what the owner says it of.

    Half of what the plan comes to on the car with it more and less differ by. Nothing where the height is no matter of
    the springs, or one of both cars stands nowhere. after: the plan once settled.
    """
    if len(after.changes) == len(plan.changes):
        return {}
    found = {}
    for part, known_to in parts_told(car):
        ends = [_settled_on(shifted(car, part, sign * known_to), plan) for sign in (1.0, -1.0)]
        if all(ends):
            found[str(part)] = _apart(*ends)
    return found


def made_off(amounts: Sequence[tuple[Change, ...]], sources: Array) -> list[tuple[Change, Array]]:
    """What is changed besides, for sources (..., k) [standard deviations]."""
    return [(change, sources[..., i]) for i, changes in enumerate(amounts) for change in changes]


def heights_off(heights: PartHeights, names: Sequence[str], sources: Array) -> list[tuple[Change, Array]]:
    """The heights that follow from parts, for sources (..., k) of these names [standard deviations]."""
    return made_off([heights.get(name, ()) for name in names], sources)


def _each(change: Change) -> Iterator[Change]:
    """One standard deviation of an amount as a change of its own; of a shift, of each way that it goes."""
    own = replace(change, by=0.0, shift=(0.0, 0.0, 0.0), known_to=0.0)
    if CHANGES[change.what].takes != "shift":
        yield replace(own, by=change.known_to)
        return
    for way, moved in enumerate(change.shift):
        if moved:
            ahead, out, up = (change.known_to * (axis == way) for axis in range(3))
            yield replace(own, shift=(ahead, out, up))


def _heights(car: Car, plan: Plan, place: int, one: Change, springs: MeasuredSprings) -> Iterator[Change]:
    """By how much the springs let each axle sit higher for it: half of what both ends differ by; none without both."""
    ends = [_settled_heights(car, plan, place, one, sign, springs) for sign in (1.0, -1.0)]
    if all(ends):
        yield from _apart(*ends)


def _apart(more: Mapping[str, float], less: Mapping[str, float]) -> tuple[Change, ...]:
    """Half of what two settled heights of each axle differ by."""
    return tuple(Change(axle, "ride height", (more[axle] - less[axle]) / 2.0) for axle in more)


def _settled_heights(
    car: Car, plan: Plan, place: int, one: Change, sign: float, springs: MeasuredSprings
) -> dict[str, float]:
    """Height [mm] of each axle with an amount off by a standard deviation; nothing where it then stands nowhere."""
    named = plan.changes[place]
    ahead, out, up = (was + sign * more for was, more in zip(named.shift, one.shift, strict=True))
    otherwise = replace(named, by=named.by + sign * one.by, shift=(ahead, out, up))
    changes = (*plan.changes[:place], otherwise, *plan.changes[place + 1 :])
    return _settled_on(car, replace(plan, changes=changes), springs)


def _settled_on(car: Car, plan: Plan, springs: MeasuredSprings | None = None) -> dict[str, float]:
    added = settled(car, plan, springs).changes[len(plan.changes) :]
    return {change.axle: change.by for change in added}
