"""Planar closed forms of the front view: instant centres, line slopes and positions.

The plane has coordinates (y, z), y to the left and z up, in any one length unit. A point is an array
(..., 2); leading axes broadcast. Left (y > 0) and right (y < 0) corners go through the same formulas.

Each formula is stated as equations, solved by SymPy at first use and turned into a NumPy function.
SymPy is imported inside the derivations only: starting the program must not wait for it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from solvers.vectors import Array


@dataclass(frozen=True)
class PlanarPosition:
    """Where a planar linkage has moved its upright; nan where the linkage cannot be assembled.

    measured_lower_joint, lower_joint: (..., 2), unit of the given points.
    upright_turn: (...) [rad] from the measured position, counter-clockwise positive, in (-pi, pi].
    """

    measured_lower_joint: Array
    lower_joint: Array
    upright_turn: Array

    def carry(self, point: ArrayLike) -> Array:
        """Where a point of the upright (..., 2), given as measured, has moved: (..., 2).

        The upper joint of two wishbones is such a point too. Raises ValueError if it is no (y, z) pair.
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
    instant centre is straight above or below the contact point; nan where it coincides with it or where both
    arms lie on one line. Raises ValueError if a point is no (y, z) pair.

    Source: M. Blundell, D. Harty, The Multibody Systems Approach to Vehicle Dynamics, eqs 4.33-4.43, p. 168.
    """
    return _slope_to_meeting(_arm(lower_pivot, lower_joint), _arm(upper_pivot, upper_joint), contact)


def wishbone_instant_centre(
    lower_pivot: ArrayLike, lower_joint: ArrayLike, upper_pivot: ArrayLike, upper_joint: ArrayLike
) -> Array:
    """Meeting (..., 2) of the two arm lines; inf or nan where the arms are parallel.

    All points (..., 2). Raises ValueError if a point is no (y, z) pair.
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
    pass through the lower joint. Finite for an arm square to the strut, where it is the slope of the
    arm; infinite and nan as for `wishbone_line_slope`. Raises ValueError if a point is no (y, z) pair.

    Source: M. Blundell, D. Harty, The Multibody Systems Approach to Vehicle Dynamics, fig. 4.30.
    """
    return _slope_to_meeting(_arm(lower_pivot, lower_joint), _normal(top_mount, strut_direction), contact)


def strut_instant_centre(
    lower_pivot: ArrayLike, lower_joint: ArrayLike, strut_direction: ArrayLike, top_mount: ArrayLike
) -> Array:
    """Meeting (..., 2) of the lower arm's line with the normal to the strut axis at the top mount.

    Arguments as for `strut_line_slope`; inf or nan where the arm is square to the strut.
    Raises ValueError if a point is no (y, z) pair.
    """
    return _meeting(_arm(lower_pivot, lower_joint), _normal(top_mount, strut_direction))


def lines_meeting(
    contact_left: ArrayLike, slope_left: ArrayLike, contact_right: ArrayLike, slope_right: ArrayLike
) -> Array:
    """Meeting (..., 2) of two lines, each through a point (..., 2) with a slope dz/dy (...).

    With both contact points and their line slopes this is the textbook roll centre (y, z); inf or nan where
    the lines are parallel or a slope is infinite. Raises ValueError if a point is no (y, z) pair.
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

    Points (..., 2) as measured; lower_arm_turn (...) [rad] from the measured position, counter-clockwise
    positive. The upper joint stays on that side of the line from lower joint to upper pivot on which it was
    measured. nan where the circles of upright and upper arm do not meet, and everywhere if the linkage was
    measured with upright and upper arm in one line, where the side is unknown.
    Raises ValueError if a point is no (y, z) pair.
    """
    points = (lower_pivot, lower_joint, upper_pivot, upper_joint)
    return _positions(_wishbone_function(), points, lower_arm_turn)


def strut_positions(
    lower_pivot: ArrayLike,
    lower_joint: ArrayLike,
    strut_direction: ArrayLike,
    top_mount: ArrayLike,
    lower_arm_turn: ArrayLike,
) -> PlanarPosition:
    """Move arm, strut and upright, an inverted slider-crank, by turning the lower arm.

    The strut axis is fixed in the upright and keeps passing through the fixed top mount. Points and
    lower_arm_turn as for `wishbone_positions`; strut_direction (..., 2) is a vector of any length along
    the axis. Along the axis, the lower joint stays on that side of the top mount on which it was measured.
    nan where the lower joint comes closer to the top mount than its distance from the strut axis, and
    everywhere if it was measured just there, where the side is unknown.
    Raises ValueError if a point is no (y, z) pair.
    """
    points = (lower_pivot, lower_joint, strut_direction, top_mount)
    return _positions(_strut_function(), points, lower_arm_turn)


# Lines in arrays: a point (..., 2) of the line and a vector (..., 2) along it.

_Line = tuple[Array, Array]


def _arm(pivot: ArrayLike, joint: ArrayLike) -> _Line:
    return _pairs(joint), _pairs(joint) - _pairs(pivot)


def _normal(foot: ArrayLike, axis: ArrayLike) -> _Line:
    """The line through foot at right angles to axis."""
    return _pairs(foot), _pairs(axis)[..., ::-1] * (-1.0, 1.0)


def _sloping(point: ArrayLike, slope: ArrayLike) -> _Line:
    rise = np.asarray(slope, dtype=float)
    return _pairs(point), np.stack([np.ones_like(rise), rise], axis=-1)


def _meeting(first: _Line, second: _Line) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        y, z = _meeting_function()(*map(_components, (*first, *second)))
    return np.stack([y, z], axis=-1)


def _slope_to_meeting(first: _Line, second: _Line, start: ArrayLike) -> Array:
    """Slope (...) of the line from start to the meeting of two lines, finite where these are parallel."""
    origin = _pairs(start)
    seen_from_start = (first[0] - origin, first[1], second[0] - origin, second[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(_slope_function()(*map(_components, seen_from_start)))


def _positions(solved: Callable[..., Any], points: tuple[ArrayLike, ...], turn: ArrayLike) -> PlanarPosition:
    measured = [_pairs(point) for point in points]
    with np.errstate(divide="ignore", invalid="ignore"):
        y, z, upright_turn = solved(*map(_components, measured), np.asarray(turn, dtype=float))
    # The lower joint reaches its own circle always, but it is a position only if the upright follows.
    reached = np.where(np.isnan(upright_turn), np.nan, 1.0)
    return PlanarPosition(measured[1], np.stack([y * reached, z * reached], axis=-1), np.asarray(upright_turn))


def _pairs(points: ArrayLike) -> Array:
    array = np.asarray(points, dtype=float)
    if array.ndim == 0 or array.shape[-1] != 2:
        message = f"a point of the front view is a pair (y, z), (..., 2); got an array of shape {array.shape}"
        raise ValueError(message)
    return array


def _components(pairs: Array) -> Array:
    """Coordinates first, (2, ...): the generated functions unpack each point into y and z."""
    return np.moveaxis(pairs, -1, 0)


# Derivations in SymPy: a point is a Matrix of two symbols.


@cache
def _meeting_function() -> Callable[..., Any]:
    symbols, meeting = _meeting_of_two_lines()
    return _numpy_function(symbols, tuple(meeting))


@cache
def _slope_function() -> Callable[..., Any]:
    """Slope of the line from the origin to the meeting of two lines.

    Both coordinates of the meeting are divided by the same determinant, which is zero for parallel
    lines; written as one fraction, their ratio no longer contains it.
    """
    import sympy

    symbols, (y, z) = _meeting_of_two_lines()
    return _numpy_function(symbols, sympy.cancel(sympy.together(z / y)))


def _meeting_of_two_lines() -> tuple[list[Any], Any]:
    """Symbols (point, direction, point, direction) and, in them, the point that lies on both lines."""
    import sympy

    point_1, direction_1, point_2, direction_2, meeting = _symbols("point_1 along_1 point_2 along_2 meeting")
    on_first = _cross(direction_1, meeting - point_1)
    on_second = _cross(direction_2, meeting - point_2)
    solution = sympy.solve([on_first, on_second], list(meeting))
    return [point_1, direction_1, point_2, direction_2], meeting.subs(solution)


@cache
def _wishbone_function() -> Callable[..., Any]:
    """Lower joint and upright turn of the four-bar.

    The moved upper joint is sought as along * base + across * (base turned by a quarter), seen from the moved
    lower joint, with base the vector from there to the upper pivot. In y and z, the elimination would divide
    by a coordinate of base, which may be zero; so taken, the difference of the two circle equations is
    linear in along, and they hold the square of across only: its sign is the assembly.
    """
    import sympy

    lower_pivot, lower_joint, upper_pivot, upper_joint = points = _symbols(
        "lower_pivot lower_joint upper_pivot upper_joint"
    )
    turn = sympy.Symbol("lower_arm_turn")
    moved_joint = lower_pivot + _turned(lower_joint - lower_pivot, turn)
    upright, upper_arm = upper_joint - lower_joint, upper_joint - upper_pivot
    base = upper_pivot - moved_joint

    along, across_sq, base_sq, upright_sq, arm_sq = sympy.symbols("along across_sq base_sq upright_sq arm_sq")
    on_upright_circle = (along**2 + across_sq) * base_sq - upright_sq
    on_upper_arm_circle = ((along - 1) ** 2 + across_sq) * base_sq - arm_sq
    solution = _only_solution([on_upright_circle, on_upper_arm_circle], [along, across_sq])
    squares = {base_sq: base.dot(base), upright_sq: upright.dot(upright), arm_sq: upper_arm.dot(upper_arm)}

    side = _cross(upper_pivot - lower_joint, upright)
    across = _sign(side) * sympy.sqrt(solution[across_sq].subs(squares))
    moved_upright = solution[along].subs(squares) * base + across * _quarter_turned(base)
    return _numpy_function([*points, turn], (*moved_joint, _turn_from(upright, moved_upright)))


@cache
def _strut_function() -> Callable[..., Any]:
    """Lower joint and upright turn of the inverted slider-crank.

    The turned strut direction is sought as along * base + across * (base turned by a quarter), with base the
    vector from the moved lower joint to the top mount. It keeps its length and, since the axis passes the
    lower joint at a fixed distance, its cross product with base. Both equations hold the square of
    along only: its sign is the assembly.
    """
    import sympy

    lower_pivot, lower_joint, direction, top_mount = points = _symbols(
        "lower_pivot lower_joint strut_direction top_mount"
    )
    turn = sympy.Symbol("lower_arm_turn")
    moved_joint = lower_pivot + _turned(lower_joint - lower_pivot, turn)
    measured_base, base = top_mount - lower_joint, top_mount - moved_joint

    along_sq, across, base_sq, direction_sq, offset = sympy.symbols("along_sq across base_sq direction_sq offset")
    keeps_length = (along_sq + across**2) * base_sq - direction_sq
    keeps_distance = across * base_sq - offset
    solution = _only_solution([keeps_length, keeps_distance], [along_sq, across])
    measured = {
        base_sq: base.dot(base),
        direction_sq: direction.dot(direction),
        offset: _cross(measured_base, direction),
    }

    along = _sign(measured_base.dot(direction)) * sympy.sqrt(solution[along_sq].subs(measured))
    moved_direction = along * base + solution[across].subs(measured) * _quarter_turned(base)
    return _numpy_function([*points, turn], (*moved_joint, _turn_from(direction, moved_direction)))


def _numpy_function(arguments: list[Any], result: Any) -> Callable[..., Any]:
    """NumPy function of points (each unpacked to y, z) and scalars.

    The printer is given, and no name space, because lambdify would otherwise import all that NumPy exports,
    rarely used sub-packages included, which takes longer than the derivation.
    """
    import sympy
    from sympy.printing.numpy import NumPyPrinter

    unpacked = [tuple(item) if isinstance(item, sympy.MatrixBase) else item for item in arguments]
    printer = NumPyPrinter({"fully_qualified_modules": False, "inline": True})
    function: Callable[..., Any] = sympy.lambdify(unpacked, result, modules=[{}], printer=printer, cse=True)
    return function


def _only_solution(equations: list[Any], unknowns: list[Any]) -> Any:
    import sympy

    # SymPy's own check of the solution imports its physical units; the tests check it.
    (solution,) = sympy.solve(equations, unknowns, dict=True, check=False)
    return solution


def _symbols(names: str) -> list[Any]:
    import sympy

    return [sympy.Matrix(sympy.symbols(f"{name}_y {name}_z")) for name in names.split()]


def _cross(u: Any, v: Any) -> Any:
    return u[0] * v[1] - u[1] * v[0]


def _quarter_turned(vector: Any) -> Any:
    import sympy

    return sympy.Matrix([-vector[1], vector[0]])


def _turned(vector: Any, angle: Any) -> Any:
    import sympy

    return sympy.cos(angle) * vector + sympy.sin(angle) * _quarter_turned(vector)


def _turn_from(before: Any, after: Any) -> Any:
    """Angle from one vector to another, accurate for small angles as well, unlike an arc cosine."""
    import sympy

    return sympy.atan2(_cross(before, after), before.dot(after))


def _sign(side: Any) -> Any:
    """Sign as side / |side|, so that a measured position that tells no side gives nan and not zero."""
    import sympy

    return side / sympy.Abs(side)
