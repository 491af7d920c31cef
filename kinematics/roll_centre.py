"""Roll centre, jacking and instant centres from how the contact points move, and by the drawing board.

Ground frame throughout: y to the left from the body's centre-plane point, z over the ground [mm].
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from kinematics.suspension import Arm, SuspensionType
from solvers import planar
from solvers.vectors import Array, cross, vector

_PARALLEL = 1e-9  # difference of two slopes below which the lines count as parallel


@dataclass(frozen=True)
class ContactLines:
    """The line through each contact point at right angles to its y-z velocity: points and slopes.

    contact: (..., 2, S, 3); slope dz/dy (..., 2, S): vertical force on the body per lateral force there.
    """

    contact: Array
    slope: Array

    @property
    def height_at_centre(self) -> Array:
        """Height of each line over the centre-plane point (..., 2, S)."""
        return np.asarray(self.contact[..., 2] - self.slope * self.contact[..., 1])


def contact_velocity(contact: Array, centre: Array, centre_rate: Array, turn_rate: Array) -> Array:
    """Velocity, per mm of travel, of the wheel's material point at the contact; wheel locked to the upright."""
    return np.asarray(centre_rate + cross(turn_rate, contact - centre))


def contact_lines(contact: Array, velocity: Array) -> ContactLines:
    """Lines square to the contact points' y-z velocities (..., 2, S, 3)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return ContactLines(contact, -velocity[..., 1] / velocity[..., 2])


def meeting(lines: ContactLines) -> Array:
    """Roll centre (y, z) where left and right lines meet (..., S, 2); NaN where they are parallel.

    Two lines that are one and the same leave y open (NaN) but not z where the line is level.
    """
    left, right = lines.slope[..., 0, :], lines.slope[..., 1, :]
    at_left, at_right = lines.height_at_centre[..., 0, :], lines.height_at_centre[..., 1, :]
    apart = np.abs(left - right) > _PARALLEL
    with np.errstate(divide="ignore", invalid="ignore"):
        lateral = np.where(apart, (at_right - at_left) / (left - right), np.nan)
    one_level_line = ~apart & (np.abs(left) <= _PARALLEL) & (np.abs(at_left - at_right) <= 1e-6)
    height = np.where(one_level_line, at_left, at_left + left * lateral)
    return vector(lateral, height)


def force_weighted_height(lines: ContactLines, roll: Array, outer_share: float) -> Array:
    """Height at the centre plane of the resultant of both wheels' lateral forces (..., S) [mm].

    outer_share: part of the lateral force that the outer wheel carries, 0.5 to 1. In positive roll the
    right wheel is the outer one; without roll both carry half.
    """
    more = (outer_share - 0.5) * np.sign(roll)
    height = lines.height_at_centre
    return np.asarray((0.5 - more) * height[..., 0, :] + (0.5 + more) * height[..., 1, :])


def instant_centre(contact: Array, velocity: Array, turn_rate: Array) -> Array:
    """Front-view instant centre (y, z) in each contact point's transverse plane (..., 2, S, 2).

    Infinite where the upright moves without turning in front view.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        turn = turn_rate[..., 0]
        return vector(contact[..., 1] - velocity[..., 2] / turn, contact[..., 2] + velocity[..., 1] / turn)


def arm_in_front_view(arm: Arm, points: Mapping[str, Array]) -> tuple[Array, Array]:
    """Inner and outer end (y, z) of an arm in front view (..., 2, S, 2).

    The inner end is where the pivot axis passes the ball joint's transverse plane; for an axis along x that
    is the pivot itself. NaN for an axis that lies across the car and never passes it.
    """
    front, rear, joint = points[arm.pivot_front], points[arm.pivot_rear], points[arm.joint]
    along = rear - front
    passes = np.abs(along[..., 0]) > 1e-3 * np.abs(along).sum(axis=-1)
    part = (joint[..., 0] - front[..., 0]) / np.where(passes, along[..., 0], np.nan)
    return vector(front[..., 1] + part * along[..., 1], front[..., 2] + part * along[..., 2]), joint[..., 1:]


def textbook_slopes(kind: SuspensionType, points: Mapping[str, Array], contact: Array) -> Array | None:
    """Slopes of the contact lines by the drawing board (..., 2, S), or None where there is no construction.

    points: the moved points, contact: the contact points, in body axes or in the ground frame; the slopes are
    against the y axis of the same. Arm lines, and for a strut its normal at the top mount, are drawn in the
    front-view plane as published for planar linkages.
    """
    lower_inner, lower_outer = arm_in_front_view(kind.arms[0], points)
    if kind.strut is not None:
        top = points[kind.strut.top_mount][..., 1:]
        direction = top - points[kind.strut.low][..., 1:]
        return planar.strut_line_slope(lower_inner, lower_outer, direction, top, contact[..., 1:])
    if len(kind.arms) == 2:
        upper_inner, upper_outer = arm_in_front_view(kind.arms[1], points)
        return planar.wishbone_line_slope(lower_inner, lower_outer, upper_inner, upper_outer, contact[..., 1:])
    return None
