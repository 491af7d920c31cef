"""Physical nonsense in measured points: what no car can have, named by key before anything is solved."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from kinematics.car.car import LEFT, SIDE_NAMES, SIDES, Axle
from kinematics.car.lengths import LengthUnit
from kinematics.car.misplaced import Told, joint_within_pivots, misplaced, missized, within_pivots
from kinematics.car.suspension_type import RodAcross, SuspensionType
from kinematics.inputs.reading.faults import Fault, other_unit
from kinematics.motion.corners import trace_corners
from kinematics.motion.linkage import axle_linkage
from solvers.equations import equations, start_pose
from solvers.vectors import Array

_SHORTEST_LINK = 10.0  # mm
_RADIUS_TO = 15.0  # mm between the wheel centre's height and the loaded radius as written
_SHORTEST_LEVER = 20.0  # mm from the steering axis to the tie rod's line; steering arms are several times as long
_MOVES = 1.0  # mm of travel that a linkage must have, one way at least
_NEAR_SINGULAR = 1e6  # condition of the equations with lengths in units of a typical arm


def implausible(axle: Axle, unit: LengthUnit, radii: tuple[float | None, float | None]) -> list[Fault]:
    """All physical faults of an axle as measured; each once if both sides share it.

    radii: loaded radii as written, left and right [mm], None where none was.
    """
    faults: list[Fault] = []
    for side, name in enumerate(SIDE_NAMES):
        for fault in _side_faults(axle, side, unit, radii[side]):
            common, own = (replace(fault, key=f"{of}.{fault.key}") for of in (axle.name, f"{axle.name}.{name}"))
            if side == LEFT or common not in faults:
                faults.append(common if side == LEFT else own)
    if not faults:
        faults += _locked(axle)
    return faults


def _side_faults(axle: Axle, side: int, unit: LengthUnit, radius: float | None) -> Iterator[Fault]:
    # Back to what the owner wrote: ahead, out, up in his unit.
    single = axle.suspension.single
    points = {
        key: point[side] if key in single else point[side] * [1.0, SIDES[side], 1.0]
        for key, point in axle.points.items()
    }

    told = _teller(unit)
    wheel = points["wheel_centre"]
    missized = list(_missized(wheel, unit, told))
    yield from missized
    if len(missized) == 2:
        # The whole file is then in another unit, and each further fault would follow from that.
        return
    yield from _misplaced(axle.suspension, points, told)
    if radius is not None and abs(radius - axle.radius[side]) > _RADIUS_TO:
        text = f"the wheel centre's height {told(wheel[2])} and camber make it {told(float(axle.radius[side]))}"
        yield Fault("wheel.radius", f"read {told(radius)}, but {text}; they may differ by {told(_RADIUS_TO)}")
    for arm in axle.suspension.arms:
        joint, pivots = points[arm.joint], (points[arm.pivot_front], points[arm.pivot_rear])
        if within_pivots(joint, pivots):
            yield Fault(f"points.{arm.joint}.out", f"read {told(joint[1])}; {joint_within_pivots(pivots, told)}")
        apart = float(np.linalg.norm(pivots[0] - pivots[1]))
        if apart < _SHORTEST_LINK:
            text = f"lies {told(apart)} from {arm.pivot_front}; at least {told(_SHORTEST_LINK)} is allowed"
            yield Fault(f"points.{arm.pivot_rear}", text)
    for hinge in axle.suspension.hinges:
        apart = float(np.linalg.norm(points[hinge.first] - points[hinge.second]))
        if apart < _SHORTEST_LINK:
            text = f"lies {told(apart)} from {hinge.first}; at least {told(_SHORTEST_LINK)} is allowed"
            yield Fault(f"points.{hinge.second}", text)
    for on, at in axle.suspension.all_links:
        length = float(np.linalg.norm(points[on] - points[at]))
        if length < _SHORTEST_LINK:
            text = f"the link to {at} is only {told(length)} long; at least {told(_SHORTEST_LINK)} is allowed"
            yield Fault(f"points.{on}", text)
    yield from _end_for_end(axle.suspension, points, told)
    yield from _upside_down(axle, points, told)
    yield from _unsteered(axle, points, told)


def _teller(unit: LengthUnit) -> Told:
    """Return what writes a length in mm in the owner's unit."""
    decimals = 1 if unit.symbol == "mm" else 3
    return lambda value: f"{round(unit.from_mm(value), decimals):g} {unit.symbol}"


def _missized(wheel: Array, unit: LengthUnit, told: Told) -> Iterator[Fault]:
    for one in missized(wheel, told):
        if one.wrong:
            text = f"read {told(wheel[one.way])}; {one.why}"
            yield Fault(f"points.wheel_centre.{one.way_name}", text, other_unit(unit.symbol))


def _misplaced(kind: SuspensionType, points: dict[str, Array], told: Told) -> Iterator[Fault]:
    for point in kind.points:
        place = points[point.key]
        for one in misplaced(kind, point, place, told):
            if one.wrong:
                yield Fault(f"points.{point.key}.{one.way_name}", f"read {told(place[one.way])}; {one.why}")


def _end_for_end(kind: SuspensionType, points: dict[str, Array], told: Told) -> Iterator[Fault]:
    """Links whose ends are swapped, and a rod across that does not lie across."""
    for on, at in kind.links:
        if kind.listed or float(np.linalg.norm(points[on] - points[at])) < _SHORTEST_LINK:
            continue
        if on.endswith("_outer") and points[on][1] <= points[at][1]:
            text = f"read {told(points[on][1])}; it must lie outboard of {at} (out {told(points[at][1])})"
            yield Fault(f"points.{on}.out", text)
        along = on.endswith("_link_axle") and at.endswith("_link_chassis")
        if along and abs(points[on][0]) >= abs(points[at][0]):
            text = f"read {told(points[on][0])}; the end on the axle must be nearer to it than {at}"
            yield Fault(f"points.{on}.ahead", f"{text} ({told(points[at][0])})")
    if isinstance(kind.drawing, RodAcross):
        on, at = kind.drawing.on_axle, kind.drawing.on_chassis
        if points[on][1] * points[at][1] > 0.0:
            text = f"read {told(points[at][1])}; the rod's ends must lie on either side of the car: `out` counts to the"
            yield Fault(
                f"points.{at}.out", f"{text} left, so one of them is negative ({on} is at {told(points[on][1])})"
            )


def _upside_down(axle: Axle, points: dict[str, Array], told: Told) -> Iterator[Fault]:
    pairs = [axle.suspension.steering_axis] if axle.suspension.steering_axis is not None else []
    if axle.suspension.strut is not None:
        pairs.append((axle.suspension.strut.low, axle.suspension.strut.top_mount))
    for lower, upper in pairs:
        if points[upper][2] - points[lower][2] < _SHORTEST_LINK:
            text = f"read {told(points[upper][2])}; it must lie above {lower} ({told(points[lower][2])})"
            yield Fault(f"points.{upper}.up", text)


def _unsteered(axle: Axle, points: dict[str, Array], told: Told) -> Iterator[Fault]:
    """A toe link that passes so near the steering axis that it cannot hold the wheel's toe."""
    if axle.suspension.steering_axis is None or axle.suspension.toe_link is None:
        return
    lower, upper = (points[key] for key in axle.suspension.steering_axis)
    outer, inner = (points[key] for key in axle.suspension.toe_link)
    axis, along = upper - lower, inner - outer
    lengths = float(np.linalg.norm(axis) * np.linalg.norm(along))
    if lengths < _SHORTEST_LINK**2:
        return
    lever = abs(float(np.dot(np.cross(outer - lower, along), axis))) / lengths
    if lever < _SHORTEST_LEVER:
        key = axle.suspension.toe_link[0]
        text = f"the link to {axle.suspension.toe_link[1]} has a lever of {told(lever)} about the steering axis"
        yield Fault(
            f"points.{key}", f"{text}, too short to hold the wheel's toe; at least {told(_SHORTEST_LEVER)} is allowed"
        )


def _locked(axle: Axle) -> list[Fault]:
    """A linkage that cannot move, or wobbles, as measured: its equations do not determine one motion."""
    mechanism = axle_linkage(axle)
    rows = equations(mechanism)
    position, quaternion = start_pose(mechanism, mechanism.batch_shape)
    _, jacobian = rows.evaluate(position, quaternion, np.zeros((mechanism.driver_count, *position.shape[2:])))
    per_body = np.tile([1.0, 1.0, 1.0, 0.01, 0.01, 0.01], rows.bodies)
    condition = np.linalg.cond(np.moveaxis(jacobian, (0, 1), (-2, -1)) * per_body)
    text = "as measured the linkage is locked or loose: nothing guides the wheel up and down; check every point"
    if axle.suspension.toe_link is not None:
        text = f"{text}, first {' and '.join(axle.suspension.toe_link)}"
    if axle.suspension.whole_axle:
        return [] if condition < _NEAR_SINGULAR else [Fault(f"{axle.name}.points", text)]
    faults = [
        Fault(f"{axle.name}.{SIDE_NAMES[side]}.points", text)
        for side in range(2)
        if not condition[side] < _NEAR_SINGULAR
    ]
    if faults:
        return faults
    low, high = trace_corners(axle, -_MOVES, _MOVES).reach
    stuck = "as measured the linkage locks at once, both in bump and in droop; check every point"
    return [
        Fault(f"{axle.name}.{SIDE_NAMES[side]}.points", stuck)
        for side in range(2)
        if max(-low[side], high[side]) < _MOVES
    ]
