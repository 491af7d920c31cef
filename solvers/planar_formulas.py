# made by python -m solvers.planar_derivation; do not edit
# SymPy 1.14.0
"""Planar closed forms as derived by planar_derivation.

A point or vector of the plane is an array (2, ...), y and z first; a scalar is (...); trailing axes broadcast.
"""

from numpy import arctan2, cos, sin, sqrt

from solvers.vectors import Array


def meeting_of_two_lines(
    point_1: Array,
    along_1: Array,
    point_2: Array,
    along_2: Array,
) -> tuple[Array, Array]:
    """Point (y, z) on both lines, each given by a point and a vector along it."""
    point_1_y, point_1_z = point_1
    along_1_y, along_1_z = along_1
    point_2_y, point_2_z = point_2
    along_2_y, along_2_z = along_2
    x0 = along_1_y * along_2_z
    x1 = along_1_z * along_2_y
    x2 = (x0 - x1) ** (-1.0)
    x3 = along_1_y * along_2_y
    x4 = along_1_z * along_2_z
    y = x2 * (-point_1_y * x1 + point_1_z * x3 + point_2_y * x0 - point_2_z * x3)
    z = x2 * (-point_1_y * x4 + point_1_z * x0 + point_2_y * x4 - point_2_z * x1)
    return y, z


def slope_to_meeting(
    point_1: Array,
    along_1: Array,
    point_2: Array,
    along_2: Array,
) -> Array:
    """Slope dz/dy of the line from the origin to the meeting of two lines."""
    point_1_y, point_1_z = point_1
    along_1_y, along_1_z = along_1
    point_2_y, point_2_z = point_2
    along_2_y, along_2_z = along_2
    x0 = along_1_y * along_2_z
    x1 = along_1_z * along_2_z
    x2 = along_1_z * along_2_y
    x3 = along_1_y * along_2_y
    x4 = -point_1_y * x2 + point_1_z * x3 + point_2_y * x0 - point_2_z * x3
    x5 = -point_1_y * x1 + point_1_z * x0 + point_2_y * x1 - point_2_z * x2
    slope: Array = x5 / x4
    return slope


def wishbone_position(
    lower_pivot: Array,
    lower_joint: Array,
    upper_pivot: Array,
    upper_joint: Array,
    lower_arm_turn: Array,
) -> tuple[Array, Array, Array]:
    """Moved lower joint (y, z) and turn of the upright [rad] of two wishbones."""
    lower_pivot_y, lower_pivot_z = lower_pivot
    lower_joint_y, lower_joint_z = lower_joint
    upper_pivot_y, upper_pivot_z = upper_pivot
    upper_joint_y, upper_joint_z = upper_joint
    x0 = cos(lower_arm_turn)
    x1 = lower_joint_y - lower_pivot_y
    x2 = sin(lower_arm_turn)
    x3 = lower_joint_z - lower_pivot_z
    x4 = lower_pivot_y + x0 * x1 - x2 * x3
    x5 = lower_pivot_z + x0 * x3 + x1 * x2
    x6 = lower_joint_z - upper_joint_z
    x7 = -x6
    x8 = -upper_pivot_y
    x9 = -x4 - x8
    x10 = -upper_pivot_z
    x11 = x10 + x5
    x12 = -x11
    x13 = x12**2 + x9**2
    x14 = (upper_joint_y + x8) ** 2
    x15 = (upper_joint_z + x10) ** 2
    x16 = lower_joint_y - upper_joint_y
    x17 = -x16
    x18 = x17**2 + x7**2
    x19 = (1 / 2) * (-x13 + x14 + x15 - x18) / x13
    x20 = x13**2
    x21 = x14 + x15
    x22 = 2 * x18
    x23 = lower_joint_z + x10
    x24 = lower_joint_y + x8
    x25 = sqrt(-(-2 * x13 * x21 - x13 * x22 + x18**2 + x20 + x21**2 - x21 * x22) / x20)
    x26 = (1 / 2) * x25 * (x17 * x23 - x24 * x7) / abs(x16 * x23 - x24 * x6)
    x27 = x11 * x26 - x19 * x9
    x28 = -x12 * x19 + x26 * x9
    moved_joint_y = x4
    moved_joint_z = x5
    upright_turn = arctan2(x17 * x28 - x27 * x7, x17 * x27 + x28 * x7)
    return moved_joint_y, moved_joint_z, upright_turn


def strut_position(
    lower_pivot: Array,
    lower_joint: Array,
    strut_direction: Array,
    top_mount: Array,
    lower_arm_turn: Array,
) -> tuple[Array, Array, Array]:
    """Moved lower joint (y, z) and turn of the upright [rad] of arm and strut."""
    lower_pivot_y, lower_pivot_z = lower_pivot
    lower_joint_y, lower_joint_z = lower_joint
    strut_direction_y, strut_direction_z = strut_direction
    top_mount_y, top_mount_z = top_mount
    x0 = cos(lower_arm_turn)
    x1 = lower_joint_y - lower_pivot_y
    x2 = sin(lower_arm_turn)
    x3 = lower_joint_z - lower_pivot_z
    x4 = lower_pivot_y + x0 * x1 - x2 * x3
    x5 = lower_pivot_z + x0 * x3 + x1 * x2
    x6 = -top_mount_z
    x7 = x5 + x6
    x8 = -top_mount_y
    x9 = -x4 - x8
    x10 = -x7
    x11 = x10**2 + x9**2
    x12 = lower_joint_z + x6
    x13 = -x12
    x14 = lower_joint_y + x8
    x15 = -x14
    x16 = -strut_direction_y * x13 + strut_direction_z * x15
    x17 = x16 / x11
    x18 = sqrt((x11 * (strut_direction_y**2 + strut_direction_z**2) - x16**2) / x11**2)
    x19 = abs(strut_direction_y * x14 + strut_direction_z * x12)
    x20 = strut_direction_y * x15 + strut_direction_z * x13
    x21 = x18 * x20 / x19
    x22 = x17 * x7 + x21 * x9
    x23 = x10 * x21 + x17 * x9
    moved_joint_y = x4
    moved_joint_z = x5
    x24 = strut_direction_y * x23 - strut_direction_z * x22
    x25 = strut_direction_y * x22 + strut_direction_z * x23
    upright_turn = arctan2(x24, x25)
    return moved_joint_y, moved_joint_z, upright_turn
