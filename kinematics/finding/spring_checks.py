"""The room that springs have under many plans at once: coil bind, looseness and bump stops at rest, as `compare` asks.

A plan of geometry is packed to stand as high as it says (`planning.settling`), and its springs must then work within
the working travel (`planning.spring_room`, which says the same of one plan at a time).
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.limits import WorkingRange
from kinematics.car.springs_and_bars import BumpStop
from kinematics.finding.check import Check, CheckKind
from kinematics.finding.variants import Variants
from kinematics.loads.movements import length_of
from kinematics.loads.readiness import NotReadyError, refuse_unready
from kinematics.loads.setup import AxleSetup, stop_force, wheel_loads_along_travel
from kinematics.motion.moving_axle import MovingAxle
from kinematics.planning.carried_ends import loads_after
from kinematics.planning.settling import MeasuredSprings
from kinematics.planning.weights import weights_after
from solvers.vectors import Array

SPRING_CHECKS = (CheckKind.SPRING_SOLID, CheckKind.SPRING_LOOSE, CheckKind.ON_STOP)
_SAMPLES = 41  # of the droop travel
_FIRM = 1.0  # N; a stop that is just touched carries nobody


def springs_of(car: Car) -> Mapping[str, AxleSetup]:
    """The springs of a car as measured, by axle; none where the car does not tell its springs and weights."""
    try:
        refuse_unready(car)
        return {one.axle.name: one for one in MeasuredSprings(car).setups}
    except NotReadyError:
        return {}


def weight_parts(car: Car, springs: Mapping[str, AxleSetup], done: Mapping[str, Variants]) -> dict[str, Array]:
    """What each axle carries under plans as a part (N,) of what it did, by name; one that is not done is as it was."""
    if len(springs) < len(car.axles):
        return {}
    own = next(iter(done.values()))
    still = [_Still(axle, own.pitch) for axle in car.axles]
    moved = [done.get(axle.name, as_was) for axle, as_was in zip(car.axles, still, strict=True)]
    return dict(zip(springs, weights_after(car, list(springs.values()), moved), strict=True))


@dataclass(frozen=True)
class _Still:
    """An axle that no plan of a batch touches, under a body that pitches (N,) [rad]."""

    axle: Axle
    pitch: Array
    rotation: Array = field(default_factory=lambda: np.broadcast_to(np.eye(3), (2, 3, 3)))
    raised: float = 0.0


def spring_numbers(
    setup: AxleSetup, done: Variants, corners: MovingAxle, working: WorkingRange, part: Array
) -> Iterator[tuple[Check, Array]]:
    """Checks of an axle's springs and their numbers (N, 2) [mm]; done, corners: the axle under plans, ready to move.

    part: of its weight that it still carries (N,).
    """
    name, spring = setup.axle.name, setup.loads.spring
    whole = working.travel_high - working.travel_low
    loads = loads_after(setup.loads, setup.axle, done)
    loads = replace(loads, corner_mass=loads.corner_mass * part[..., None])
    line, shape = loads.spring.line, (*corners.axle.batch_shape, 2, 1)
    at_rest = corners.at(np.zeros(shape))
    rest = length_of(line, at_rest)
    length = now = rest.value[..., 0]
    # With a ratio alone a spring's length is known as a change only: the body's rise is what its wheel's travel was.
    if line.ratio is not None:
        now = now + line.ratio * done.raised[..., None]
    gap = setup.stop_gap + (now - setup.measured).mean(axis=-1)
    needed = -wheel_loads_along_travel(loads, at_rest)[..., 0]
    carrying = np.linalg.solve(np.swapaxes(rest.slope[..., 0], -1, -2), needed[..., None])[..., 0]
    preload = carrying - _stop_force(spring.bump_stop, gap)[..., None]
    if spring.block_length is not None and spring.free_length is not None:
        packing = length + preload / setup.rate - spring.free_length
        shortest = length_of(line, corners.at(np.full(shape, working.travel_high))).value[..., 0]
        coils = Check(CheckKind.SPRING_SOLID, name, "coil bind", 0.0, np.inf, whole=whole)
        yield coils, shortest - packing - spring.block_length
    droop = np.broadcast_to(np.linspace(0.0, working.travel_low, _SAMPLES), (*shape[:-1], _SAMPLES))
    left = preload / setup.rate + length - length_of(line, corners.at(droop)).value.max(axis=-1)
    yield Check(CheckKind.SPRING_LOOSE, name, "loose spring", 0.0, np.inf, whole=whole), left
    if spring.bump_stop is not None:
        touched = Check(CheckKind.ON_STOP, name, "bump stop at rest", -_firm(spring.bump_stop), np.inf, whole=whole)
        yield touched, gap[..., None] * np.ones(2)


def _stop_force(stop: BumpStop | None, gap: Array) -> Array:
    """Force of a bump stop at rest (N,) [N], where the gap to it is so much [mm]."""
    into = np.maximum(-gap, 0.0)
    if stop is None or not into.any():
        return np.zeros_like(gap)
    return stop_force(stop, into, 0.0)


def _firm(stop: BumpStop) -> float:
    """How far a stop is pressed [mm] where it carries a force that counts."""
    from scipy.interpolate import PchipInterpolator

    found = PchipInterpolator(stop.compression, np.array(stop.force) - _FIRM).roots(extrapolate=False)
    return float(found[0]) if len(found) else float(stop.compression[-1])
