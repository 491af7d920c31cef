"""Unit quaternions, scalar last (x, y, z, w) as in SciPy, components first: (4, ...).

Rotation matrices are (3, 3, ...), rotation vectors (3, ...) [rad].
"""

import numpy as np

from solvers.vectors import Array

IDENTITY: Array = np.array([0.0, 0.0, 0.0, 1.0])


def from_turn(turn: Array) -> Array:
    """Quaternion (4, ...) of a rotation vector (3, ...) [rad]."""
    half = 0.5 * np.sqrt((turn * turn).sum(axis=0))
    out = np.empty((4, *half.shape))
    # sin(a/2)/a through sinc, which is exact at a = 0.
    np.multiply(turn, 0.5 * np.sinc(half / np.pi), out=out[:3])
    np.cos(half, out=out[3])
    return out


def compose(second: Array, first: Array) -> Array:
    """Quaternion (4, ...) of the rotation `first` followed by `second`."""
    ax, ay, az, aw = second
    bx, by, bz, bw = first
    out = aw * first
    out[0] += ax * bw + ay * bz - az * by
    out[1] += ay * bw + az * bx - ax * bz
    out[2] += az * bw + ax * by - ay * bx
    out[3] -= ax * bx + ay * by + az * bz
    return np.asarray(out)


def normalised(quaternion: Array) -> Array:
    """The quaternion (4, ...) scaled to length one."""
    return np.asarray(quaternion / np.sqrt((quaternion * quaternion).sum(axis=0)))


def matrix(quaternion: Array) -> Array:
    """Rotation matrices (3, 3, ...) of unit quaternions (4, ...)."""
    double = quaternion + quaternion
    xx, xy, xz, wx = double[0] * quaternion
    yy, yz, wy = double[1] * quaternion[1:]
    zz, wz = double[2] * quaternion[2:]
    out = np.empty((3, 3, *quaternion.shape[1:]), quaternion.dtype)
    for place, square, other in ((out[0, 0, ...], yy, zz), (out[1, 1, ...], xx, zz), (out[2, 2, ...], xx, yy)):
        np.subtract(1.0, square, out=place)
        np.subtract(place, other, out=place)
    for row, column, even, odd in ((2, 1, yz, wx), (0, 2, xz, wy), (1, 0, xy, wz)):
        np.add(even, odd, out=out[row, column, ...])
        np.subtract(even, odd, out=out[column, row, ...])
    return out


def rotate(rotation: Array, points: Array) -> Array:
    """Rotation matrices (3, 3, ...) applied to vectors (3, ...) of a broadcast shape."""
    out = rotation[:, 0] * points[0]
    out += rotation[:, 1] * points[1]
    out += rotation[:, 2] * points[2]
    return np.asarray(out)


def rotate_points(rotation: Array, points: Array) -> Array:
    """Rotation matrices (3, 3, ..., S), each applied to the same n points (3, n, ...): (3, n, ..., S).

    One matrix product for all S: several times faster than `rotate` where S is large.
    """
    batch = range(2, points.ndim)
    turned = points.transpose(*batch, 1, 0) @ rotation.transpose(0, *batch, 1, rotation.ndim - 1)
    return turned.transpose(0, rotation.ndim - 2, *range(1, rotation.ndim - 2), rotation.ndim - 1)
