"""What ends the working travel: bump and droop stops, and joints that run out of angle there."""

import math
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.limits import WorkingRange
from kinematics.motion.moving_axle import MovingAxle, moving
from kinematics.motion.states import CornerStates
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.dismantled import pitched
from kinematics.planning.joint_turns import joint_angles
from kinematics.planning.refusal import Cause, Refusal
from solvers.vectors import Array, length

_UP: Array = np.array([0.0, 0.0, 1.0])
_LOOK = 160.0  # mm of travel either way in which stops are looked for
_SAMPLES = 41


@dataclass(frozen=True)
class TravelLeft:
    """Wheel travel from the present ride height to the bump and droop stops (2,) [mm]; NaN where not known."""

    bump: Array
    droop: Array


def look_for_stops(axle: Axle) -> MovingAxle | None:
    """An axle ready to move as far as stops are looked for; None where its owner measured none.

    That is farther than a car moves, often to where a linkage locks, so that it is a path of its own.
    """
    known = axle.fittings.bump_stop is not None or axle.fittings.droop_stop is not None
    return moving(axle, -_LOOK, _LOOK) if known else None


def travel_left(measured: Axle, changed: ChangedAxle, before: MovingAxle | None = None) -> TravelLeft:
    """Find how much travel a changed axle has left before the stops that its owner measured.

    A stop works on the strut's length or, on a corner without one, on the lower ball joint's or else the wheel
    centre's height against the chassis; either has the same value at the stop before and after a change.
    before: the measured axle from `look_for_stops`, where that is at hand.
    """
    fittings = measured.fittings
    unknown = np.full(2, np.nan)
    before = before or look_for_stops(measured)
    if before is None:
        return TravelLeft(unknown, unknown)
    after = before if changed.axle is measured else moving(changed.axle, -_LOOK, _LOOK)
    bump, droop = unknown, unknown
    if fittings.bump_stop is not None:
        bump = _travel_at(after, _gauge_at(before, np.full(2, fittings.bump_stop)), changed.raised, changed.pitch)
    if fittings.droop_stop is not None:
        droop = -_travel_at(after, _gauge_at(before, np.full(2, -fittings.droop_stop)), changed.raised, changed.pitch)
    return TravelLeft(bump, droop)


def stop_refusals(axle: Axle, left: TravelLeft, working: WorkingRange) -> list[Refusal]:
    """Corners that have less travel left to a stop than the car uses."""
    return [
        Refusal(Cause.TRAVEL_GONE, axle.name, name, (stop,), float(travel[side]), (used, math.inf))
        for stop, travel, used in (("bump", left.bump, working.travel_high), ("droop", left.droop, -working.travel_low))
        for side, name in enumerate(SIDE_NAMES)
        if travel[side] < used
    ]


def joint_refusals(
    measured: Axle, changed: ChangedAxle, travel: Array, ready: MovingAxle | None = None
) -> list[Refusal]:
    """Joints that turn farther over travel (S,) [mm] than the car's owner allows; ready: as for `joint_angles`."""
    allowed = measured.fittings.joint_angles
    angles = joint_angles(measured, changed, travel, ready) if allowed else {}
    return [
        Refusal(Cause.JOINT_TURNS_TOO_FAR, measured.name, name, (key,), float(angles[key][side]), (0.0, most))
        for key, most in allowed.items()
        for side, name in enumerate(SIDE_NAMES)
        if angles[key][side] > most
    ]


def felt(corners: MovingAxle, states: CornerStates, raised: float | Array = 0.0, pitch: float | Array = 0.0) -> Array:
    """What a stop feels (..., 2, S) [mm]: growing in bump.

    raised, pitch: of the body, whose points a plan may have moved, and to which the stops are fixed.
    """
    kind = corners.axle.suspension
    if kind.strut is not None:
        return -length(states.point(kind.strut.top_mount) - states.point(kind.strut.low))
    at = states.point(kind.arms[0].joint) if kind.arms else states.wheel_centre
    on_body = pitched(at - np.asarray(raised)[..., None] * _UP, -np.asarray(pitch))
    return np.asarray(on_body[..., 2])


def _gauge_at(corners: MovingAxle, travel: Array) -> Array:
    held = np.clip(travel, *corners.reach)
    return felt(corners, corners.at(held[..., None]))[..., 0]


def _travel_at(corners: MovingAxle, gauge: Array, raised: float, pitch: float) -> Array:
    """Travel (2,) at which the stop feels a value; NaN where the linkage never gets there."""
    low, high = corners.reach
    travel = np.linspace(low, high, _SAMPLES, axis=-1)
    values = felt(corners, corners.at(travel), raised, pitch)
    found = np.array([np.interp(gauge[i], values[i], travel[i], left=np.nan, right=np.nan) for i in range(2)])
    for _ in range(4):
        # Secant steps over a tenth of a millimetre: interpolation was right to some hundredths.
        pair = found[:, None] + [-0.05, 0.05]
        ends = felt(corners, corners.at(np.where(np.isfinite(pair), pair, 0.0)), raised, pitch)
        slope = (ends[:, 1] - ends[:, 0]) / 0.1
        found = found + (gauge - ends.mean(axis=1)) / slope
    return found


def felt_at_stops(measured: Axle) -> tuple[Array | None, Array | None]:
    """What an axle's (...) bump and droop stops feel where they are reached (..., 2) [mm]; None if not known."""
    fittings = measured.fittings
    if fittings.bump_stop is None and fittings.droop_stop is None:
        return None, None
    before = moving(measured, -(fittings.droop_stop or 0.0), fittings.bump_stop or 0.0)
    bump, droop = (
        None if stop is None else _gauge_at(before, np.full((*measured.batch_shape, 2), way * stop))
        for stop, way in ((fittings.bump_stop, 1.0), (fittings.droop_stop, -1.0))
    )
    return bump, droop


def stop_room(
    corners: MovingAxle,
    raised: Array,
    pitch: Array,
    working: WorkingRange,
    at_stops: tuple[Array | None, Array | None],
) -> tuple[Array | None, Array | None]:
    """What is left to the bump and droop stops at the ends of the working travel (..., 2) [mm]; None where not known.

    Told as the stop feels it: shortening of the strut, or height of the joint; negative where it is reached before.
    corners: variants (...) of the measured axle under way; raised, pitch: of their bodies since measured (...);
    at_stops: of the measured axle, by `felt_at_stops`.
    """
    bump, droop = (
        None if felt is None else way * (felt - _felt_at(corners, used, raised, pitch))
        for felt, used, way in ((at_stops[0], working.travel_high, 1.0), (at_stops[1], working.travel_low, -1.0))
    )
    return bump, droop


def _felt_at(corners: MovingAxle, travel: float, raised: Array, pitch: Array) -> Array:
    states = corners.at(np.full((*corners.axle.batch_shape, 2, 1), travel))
    return felt(corners, states, *(np.asarray(one)[..., None, None] for one in (raised, pitch)))[..., 0]
