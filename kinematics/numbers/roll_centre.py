"""Roll centre, jacking and instant centres from how the contact points move.

Ground frame throughout: y to the left from the body's centre-plane point, z over the ground [mm].
"""

from dataclasses import dataclass

import numpy as np

from solvers.vectors import Array, Flags, vector

_FAR_OFF = 0.125  # of the track
# rad/mm, and part of the whole turn: a part that turns less does not turn in that view but for rounding.
_STILL = 1e-12, 1e-10
_PARALLEL = 1e-9  # difference of two slopes below which the lines count as parallel


@dataclass(frozen=True)
class ContactLines:
    """The line through each contact point at right angles to its y-z velocity.

    contact: (..., 2, S, 3) [mm]; slope: dz/dy (..., 2, S), the vertical force on the body per lateral force there.
    """

    contact: Array
    slope: Array

    @property
    def height_at_centre(self) -> Array:
        """Height of each line at the centre-plane point (..., 2, S) [mm]."""
        return np.asarray(self.contact[..., 2] - self.slope * self.contact[..., 1])


def contact_lines(contact: Array, velocity: Array) -> ContactLines:
    """Lines through contact points [mm], at right angles to their velocities' y-z parts; both (..., 2, S, 3)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return ContactLines(contact, -velocity[..., 1] / velocity[..., 2])


def meeting(lines: ContactLines) -> Array:
    """Roll centre (y, z) where left and right lines meet (..., S, 2) [mm]; NaN where they are parallel.

    If both are one and the same level line, z is its height and y is open (NaN).
    """
    left, right = lines.slope[..., 0, :], lines.slope[..., 1, :]
    at_left, at_right = lines.height_at_centre[..., 0, :], lines.height_at_centre[..., 1, :]
    apart = np.abs(left - right) > _PARALLEL
    with np.errstate(divide="ignore", invalid="ignore"):
        lateral = np.where(apart, (at_right - at_left) / (left - right), np.nan)
    one_level_line = ~apart & (np.abs(left) <= _PARALLEL) & (np.abs(at_left - at_right) <= 1e-6)
    height = np.where(one_level_line, at_left, at_left + left * lateral)
    return vector(lateral, height)


def through_infinity(offset: Array, track: float) -> Flags:
    """Between which neighbouring states (S-1,) a roll centre leaves on one side and comes back on the other.

    offset: (S,) [mm]; track: [mm]. The offset then changes sign between two values that both lie far off, compared with
    the track; where the roll centre merely crosses the centre plane, both are near it.
    """
    return np.asarray(offset[:-1] * offset[1:] < -((_FAR_OFF * track) ** 2))


def force_weighted_height(lines: ContactLines, of_right: Array) -> Array:
    """Height at the centre plane of the resultant of both wheels' lateral forces (..., S) [mm].

    of_right: part of the lateral force that the right wheel carries (..., S), 0 to 1.
    """
    height = lines.height_at_centre
    return np.asarray((1.0 - of_right) * height[..., 0, :] + of_right * height[..., 1, :])


def rigid_axle_height(roll_centre: Array, together: ContactLines) -> Array:
    """The same height (..., S) [mm] for a live axle, where it does not matter how the wheels share the force.

    The resultant passes through the roll centre, because rolling the beam about it does no work, at right angles to
    the motion with both wheels together. roll_centre: (..., S, 2) [mm].
    """
    return np.asarray(roll_centre[..., 1] - together.slope.mean(axis=-2) * roll_centre[..., 0])


def instant_centre(contact: Array, velocity: Array, turn_rate: Array) -> Array:
    """Front-view instant centre (y, z) in each contact point's transverse plane (..., 2, S, 2) [mm].

    NaN where the upright moves without turning in front view: it is at infinity. contact, velocity, turn_rate:
    (..., 2, S, 3).
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        turn = _turning(turn_rate, 0)
        return vector(contact[..., 1] - velocity[..., 2] / turn, contact[..., 2] + velocity[..., 1] / turn)


def side_view_instant_centre(contact: Array, velocity: Array, turn_rate: Array) -> Array:
    """Side-view instant centre (x, z) in each contact point's longitudinal plane (..., 2, S, 2) [mm].

    NaN where the wheel's part moves without turning in side view: it is at infinity. contact, velocity (of its point at
    the contact), turn_rate: (..., 2, S, 3).
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        turn = _turning(turn_rate, 1)
        return vector(contact[..., 0] + velocity[..., 2] / turn, contact[..., 2] - velocity[..., 0] / turn)


def _turning(turn_rate: Array, axis: int) -> Array:
    """Turn about one axis (...) of rates (..., 3) [rad/mm]; NaN where that is nothing but rounding."""
    x, y, z = (turn_rate[..., i].real for i in range(3))
    turn = turn_rate[..., axis]
    least, part = _STILL
    return np.where(np.abs(turn.real) > least + part * np.sqrt(x * x + y * y + z * z), turn, np.nan)
