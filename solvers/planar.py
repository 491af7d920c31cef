"""Planar closed forms of the front view: instant centres, line slopes and positions.

The plane has coordinates (y, z), y to the left and z up, in any one length unit. A point is an array (..., 2); leading
axes broadcast. Left (y > 0) and right (y < 0) corners use the same formulas.

Each formula is stated as equations and solved by SymPy in planar_derivation, which writes the solutions as the NumPy
functions of planar_formulas, so that running the program does not wait for SymPy.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from solvers import planar_formulas
from solvers.vectors import Array


@dataclass(frozen=True)
class PlanarPosition:
    """Where a planar linkage has moved its upright; nan where the linkage cannot be assembled.

    measured_lower_joint, lower_joint: (..., 2), unit of the given points.
    upright_turn: (...) [rad] from the measured position, anti-clockwise positive, in (-pi, pi].
    """

    measured_lower_joint: Array
    lower_joint: Array
    upright_turn: Array

    def carry(self, point: ArrayLike) -> Array:
        """Where a point of the upright (..., 2), given as measured, has moved: (..., 2).

        The upper joint of two wishbones is such a point too. Raises ValueError if the point is not a (y, z) pair.
        """
        arm = _pairs(point) - self.measured_lower_joint
        cos, sin = np.cos(self.upright_turn), np.sin(self.upright_turn)
        moved_y = cos * arm[..., 0] - sin * arm[..., 1]
        moved_z = sin * arm[..., 0] + cos * arm[..., 1]
        return self.lower_joint + np.stack([moved_y, moved_z], axis=-1)


def wishbone_line_slope(
    lower_pivot: ArrayLike,
    lower_joint: ArrayLike,
    upper_pivot: ArrayLike,
    upper_joint: ArrayLike,
    contact: ArrayLike,
) -> Array:
    """Slope dz/dy (...) of the line from the contact point to the instant centre of two wishbones.

    All points (..., 2). Finite for parallel arms, where it is the slope of the arms. Infinite where the
    instant centre is straight above or below the contact point; nan where the two coincide or where both
    arms lie on one line. Raises ValueError if a point is not a (y, z) pair.

    Source: M. Blundell, D. Harty, The Multibody Systems Approach to Vehicle Dynamics, eqs 4.33-4.43, p. 168.
    """
    return _slope_to_meeting(_arm(lower_pivot, lower_joint), _arm(upper_pivot, upper_joint), contact)


def wishbone_instant_centre(
    lower_pivot: ArrayLike, lower_joint: ArrayLike, upper_pivot: ArrayLike, upper_joint: ArrayLike
) -> Array:
    """Where the two arm lines meet (..., 2); inf or nan where the arms are parallel.

    All points (..., 2). Raises ValueError if a point is not a (y, z) pair.
    """
    return _meeting(_arm(lower_pivot, lower_joint), _arm(upper_pivot, upper_joint))


def strut_line_slope(
    lower_pivot: ArrayLike,
    lower_joint: ArrayLike,
    strut_direction: ArrayLike,
    top_mount: ArrayLike,
    contact: ArrayLike,
) -> Array:
    """Slope dz/dy (...) of the line from the contact point to the instant centre of a strut corner.

    Points (..., 2); strut_direction (..., 2) is a vector of any length along the strut axis, which need not
    pass through the lower joint. Finite for an arm at right angles to the strut, where it is the slope of the
    arm; infinite and nan as in `wishbone_line_slope`. Raises ValueError if a point is not a (y, z) pair.

    Source: M. Blundell, D. Harty, The Multibody Systems Approach to Vehicle Dynamics, fig. 4.30.
    """
    return _slope_to_meeting(_arm(lower_pivot, lower_joint), _normal(top_mount, strut_direction), contact)


def strut_instant_centre(
    lower_pivot: ArrayLike, lower_joint: ArrayLike, strut_direction: ArrayLike, top_mount: ArrayLike
) -> Array:
    """Where the lower arm's line meets the normal to the strut axis at the top mount (..., 2).

    Arguments as in `strut_line_slope`; inf or nan where the arm is at right angles to the strut.
    Raises ValueError if a point is not a (y, z) pair.
    """
    return _meeting(_arm(lower_pivot, lower_joint), _normal(top_mount, strut_direction))


def lines_meeting(
    contact_left: ArrayLike, slope_left: ArrayLike, contact_right: ArrayLike, slope_right: ArrayLike
) -> Array:
    """Where two lines meet (..., 2), each through a point (..., 2) with a slope dz/dy (...).

    With both contact points and their line slopes this is the textbook roll centre (y, z); inf or nan where
    the lines are parallel or a slope is infinite. Raises ValueError if a point is not a (y, z) pair.
    """
    return _meeting(_sloping(contact_left, slope_left), _sloping(contact_right, slope_right))


def wishbone_positions(
    lower_pivot: ArrayLike,
    lower_joint: ArrayLike,
    upper_pivot: ArrayLike,
    upper_joint: ArrayLike,
    lower_arm_turn: ArrayLike,
) -> PlanarPosition:
    """Move two wishbones and their upright, a four-bar, by turning the lower arm.

    Points (..., 2) as measured; lower_arm_turn (...) [rad] from the measured position, anti-clockwise
    positive. The upper joint stays on the side of the line from lower joint to upper pivot on which it was
    measured. nan where the circles of upright and upper arm do not meet, and everywhere if the linkage was
    measured with upright and upper arm in one line, where the side is unknown.
    Raises ValueError if a point is not a (y, z) pair.
    """
    points = (lower_pivot, lower_joint, upper_pivot, upper_joint)
    return _positions(planar_formulas.wishbone_position, points, lower_arm_turn)


def strut_positions(
    lower_pivot: ArrayLike,
    lower_joint: ArrayLike,
    strut_direction: ArrayLike,
    top_mount: ArrayLike,
    lower_arm_turn: ArrayLike,
) -> PlanarPosition:
    """Move arm, strut and upright, an inverted slider-crank, by turning the lower arm.

    The strut axis is fixed in the upright and keeps passing through the fixed top mount. Points and
    lower_arm_turn as in `wishbone_positions`; strut_direction (..., 2) is a vector of any length along
    the axis. Along the axis, the lower joint stays on the side of the top mount on which it was measured.
    nan where the lower joint comes closer to the top mount than its distance from the strut axis, and
    everywhere if it was measured exactly there, where the side is unknown.
    Raises ValueError if a point is not a (y, z) pair.
    """
    points = (lower_pivot, lower_joint, strut_direction, top_mount)
    return _positions(planar_formulas.strut_position, points, lower_arm_turn)


# Lines in arrays: a point (..., 2) of the line and a vector (..., 2) along it.

_Line = tuple[Array, Array]


def _arm(pivot: ArrayLike, joint: ArrayLike) -> _Line:
    return _pairs(joint), _pairs(joint) - _pairs(pivot)


def _normal(foot: ArrayLike, axis: ArrayLike) -> _Line:
    """The line through foot at right angles to axis."""
    return _pairs(foot), _pairs(axis)[..., ::-1] * (-1.0, 1.0)


def _sloping(point: ArrayLike, slope: ArrayLike) -> _Line:
    rise = np.asarray(slope)
    return _pairs(point), np.stack([np.ones_like(rise), rise], axis=-1)


def _meeting(first: _Line, second: _Line) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        y, z = planar_formulas.meeting_of_two_lines(*map(_components, (*first, *second)))
    return np.stack([y, z], axis=-1)


def _slope_to_meeting(first: _Line, second: _Line, start: ArrayLike) -> Array:
    """Slope (...) of the line from start to the meeting of two lines, finite where these are parallel."""
    origin = _pairs(start)
    seen_from_start = (first[0] - origin, first[1], second[0] - origin, second[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(planar_formulas.slope_to_meeting(*map(_components, seen_from_start)))


def _positions(
    solved: Callable[..., tuple[Array, Array, Array]], points: tuple[ArrayLike, ...], turn: ArrayLike
) -> PlanarPosition:
    measured = [_pairs(point) for point in points]
    with np.errstate(divide="ignore", invalid="ignore"):
        y, z, upright_turn = solved(*map(_components, measured), np.asarray(turn, dtype=float))
    # The lower joint always reaches its own circle, but that is a position only if the upright follows.
    reached = np.where(np.isnan(upright_turn), np.nan, 1.0)
    return PlanarPosition(measured[1], np.stack([y * reached, z * reached], axis=-1), np.asarray(upright_turn))


def _pairs(points: ArrayLike) -> Array:
    array = np.asarray(points)
    array = array.astype(np.result_type(array, float), copy=False)
    if array.ndim == 0 or array.shape[-1] != 2:
        message = f"a point of the front view is a pair (y, z), (..., 2); got an array of shape {array.shape}"
        raise ValueError(message)
    return array


def _components(pairs: Array) -> Array:
    """Coordinates first, (2, ...): the formulas unpack each point into y and z."""
    return np.moveaxis(pairs, -1, 0)
