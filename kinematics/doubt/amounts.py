"""The doubt of a plan's own amounts: parts that come out otherwise than planned, and the ride height that follows."""

from collections.abc import Iterator
from dataclasses import replace

from kinematics.car.car import Car
from kinematics.planning.changes import CHANGES, LOAD_CHANGES, Change
from kinematics.planning.plan import Plan
from kinematics.planning.plans import Off, settled
from kinematics.planning.settling import MeasuredSprings
from solvers.vectors import Array

# Of each independent source: what one standard deviation of it changes on the car, in changes as a plan has them.
AmountSources = tuple[tuple[Change, ...], ...]


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


def made_off(amounts: AmountSources, sources: Array) -> Off:
    """What is changed besides, for sources (..., k) [standard deviations]."""
    return [(change, sources[..., i]) for i, changes in enumerate(amounts) for change in changes]


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
        yield from (Change(axle, "ride height", (ends[0][axle] - ends[1][axle]) / 2.0) for axle in ends[0])


def _settled_heights(
    car: Car, plan: Plan, place: int, one: Change, sign: float, springs: MeasuredSprings
) -> dict[str, float]:
    """Height [mm] of each axle with an amount off by a standard deviation; nothing where it then stands nowhere."""
    named = plan.changes[place]
    ahead, out, up = (was + sign * more for was, more in zip(named.shift, one.shift, strict=True))
    otherwise = replace(named, by=named.by + sign * one.by, shift=(ahead, out, up))
    changes = (*plan.changes[:place], otherwise, *plan.changes[place + 1 :])
    after = settled(car, replace(plan, changes=changes), springs)
    added = after.changes[len(changes) :]
    return {change.axle: change.by for change in added}
