"""Textbook roll-centre constructions, for comparison with the roll centre that follows from how the wheels move.

Arms and strut normals are drawn in the front-view plane, as published for planar linkages; for a trailing arm, the
point where its axis passes through the wheel's transverse plane; for a live axle, what holds it sideways. The three for
live axles and the one for trailing arms: W. Matschinsky, Road Vehicle Suspensions, from memory.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from kinematics.car.car import LEFT, RIGHT
from kinematics.car.suspension_type import Arm, MeetingLinks, PivotInMiddle, RodAcross, SuspensionType
from solvers import planar
from solvers.vectors import Array, vector

_ACROSS = 1e-3  # an axis counts as lying across the car if less than this part of its length is along it


def arm_in_front_view(arm: Arm, points: Mapping[str, Array]) -> tuple[Array, Array]:
    """Inner and outer end (y, z) of an arm in front view (..., 2, S, 2) [mm]; points (..., 2, S, 3) [mm].

    The inner end is where the pivot axis passes through the ball joint's transverse plane; for an axis along x that
    is the pivot itself. NaN for an axis that lies across the car and never meets the plane.
    """
    front, rear, joint = points[arm.pivot_front], points[arm.pivot_rear], points[arm.joint]
    return _passes(front, rear, joint[..., 0]), joint[..., 1:]


def has_contact_lines(kind: SuspensionType) -> bool:
    """Whether a type of independent suspension has textbook contact lines."""
    return not kind.whole_axle and (
        len(kind.arms) == 2 or (bool(kind.arms) and kind.strut is not None) or kind.wheel_hinge is not None
    )


def has_roll_centre(kind: SuspensionType) -> bool:
    """Whether a suspension type has a textbook roll centre."""
    return has_contact_lines(kind) or kind.drawing is not None


def contact_line_slopes(
    kind: SuspensionType, points: Mapping[str, Array], arms: Sequence[tuple[Array, Array]], contact: Array
) -> Array:
    """Slopes dz/dy of the textbook contact lines (..., 2, S); only for types that have them.

    points: the moved points, arms: each of the type's arms by `arm_in_front_view`, contact: the contact points
    (..., 2, S, 3) [mm], all in body axes or all in the ground frame; the slopes are in the same axes.
    """
    if kind.wheel_hinge is not None:
        return _slope_by_hinge(points[kind.wheel_hinge.first], points[kind.wheel_hinge.second], contact)
    lower_inner, lower_outer = arms[0]
    if kind.strut is not None:
        top = points[kind.strut.top_mount][..., 1:]
        direction = top - points[kind.strut.low][..., 1:]
        return planar.strut_line_slope(lower_inner, lower_outer, direction, top, contact[..., 1:])
    upper_inner, upper_outer = arms[1]
    return planar.wishbone_line_slope(lower_inner, lower_outer, upper_inner, upper_outer, contact[..., 1:])


def live_axle_roll_centre(kind: SuspensionType, points: Mapping[str, Array]) -> Array:
    """Textbook roll centre of a live axle (..., S, 3), in the axes of the points (..., 2, S, 3) [mm].

    Raises ValueError if the type has no such construction.
    """
    drawing = kind.drawing
    if isinstance(drawing, RodAcross):
        on_axle, on_chassis = (points[key][..., LEFT, :, :] for key in (drawing.on_axle, drawing.on_chassis))
        return _where(on_axle, on_chassis, 1, np.zeros(1))
    if isinstance(drawing, PivotInMiddle):
        return np.asarray(points[drawing.at][..., LEFT, :, :])
    if isinstance(drawing, MeetingLinks):
        first, second = (_meeting_in_plan(points, *pair) for pair in drawing.pairs)
        return _where(first, second, 0, points["wheel_centre"][..., 0].mean(axis=-2))
    raise ValueError(f"a {kind.name} has no drawing")


def _passes(first: Array, second: Array, ahead: Array) -> Array:
    """Where a line through two points passes through the transverse plane at `ahead`: (y, z), or NaN."""
    along = second - first
    passes = np.abs(along[..., 0]) > _ACROSS * np.abs(along).sum(axis=-1)
    with np.errstate(invalid="ignore"):
        part = (ahead - first[..., 0]) / np.where(passes, along[..., 0], np.nan)
    return vector(first[..., 1] + part * along[..., 1], first[..., 2] + part * along[..., 2])


def _slope_by_hinge(first: Array, second: Array, contact: Array) -> Array:
    """Slope of the line from the contact point to where the axis passes its plane; the axis's own if it lies across."""
    centre = _passes(first, second, contact[..., 0])
    along = second - first
    with np.errstate(divide="ignore", invalid="ignore"):
        to_centre = (centre[..., 1] - contact[..., 2]) / (centre[..., 0] - contact[..., 1])
        of_axis = along[..., 2] / along[..., 1]
    return np.where(np.isfinite(centre[..., 0]), to_centre, of_axis)


def _where(first: Array, second: Array, axis: int, value: Array) -> Array:
    """The point of the line through two points where one coordinate has a value."""
    along = second - first
    with np.errstate(divide="ignore", invalid="ignore"):
        part = (value - first[..., axis]) / along[..., axis]
    return np.asarray(first + part[..., None] * along)


def _meeting_in_plan(points: Mapping[str, Array], on_axle: str, on_chassis: str) -> Array:
    """Where a pair of links, left and right, meets in plan view; at the mean of both lines' heights there.

    For parallel links it is a point so far along them that the line to it is parallel too.
    """
    starts = [points[on_axle][..., side, :, :] for side in (LEFT, RIGHT)]
    ways = [points[on_chassis][..., side, :, :] - points[on_axle][..., side, :, :] for side in (LEFT, RIGHT)]
    between = starts[1] - starts[0]
    turn = ways[0][..., 0] * ways[1][..., 1] - ways[0][..., 1] * ways[1][..., 0]
    sized = np.prod([np.hypot(way[..., 0].real, way[..., 1].real) for way in ways], axis=0)
    turn = np.where(np.abs(turn) < 1e-9 * sized, 1e-9 * sized, turn)
    parts = [(between[..., 0] * way[..., 1] - between[..., 1] * way[..., 0]) / turn for way in (ways[1], ways[0])]
    ends = [start + part[..., None] * way for start, part, way in zip(starts, parts, ways, strict=True)]
    return np.asarray((ends[0] + ends[1]) / 2.0)
