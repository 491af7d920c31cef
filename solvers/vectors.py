"""Vector algebra on arrays of shape (..., 3).

Results keep their components apart in memory (x of every position, then y, then z) while the shape
stays (..., 3): each component is then one contiguous run and NumPy works on it at full speed.
An Array may carry tangents in its imaginary part (see `tangents`); all of this package's algebra carries them along.
"""

from typing import TYPE_CHECKING, Any, NewType

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    Array = NDArray[np.float64]
    Flags = NDArray[np.bool_]
    Column = NDArray[Any]
else:  # `help` then shows these names, which are a tenth as long
    Array = NewType("Array", np.ndarray)
    Flags = NewType("Flags", np.ndarray)
    Column = NewType("Column", np.ndarray)
Index = NDArray[np.intp] | Flags


def vector(*components: Array) -> Array:
    """Join n component arrays, broadcast to one shape (...), into (..., n)."""
    out = np.empty((len(components), *np.broadcast(*components).shape), np.result_type(*components))
    for place, component in zip(out, components, strict=True):
        place[...] = component
    return components_last(out)


def components_last(apart: Array) -> Array:
    """An array (n, ...) as (..., n), a view."""
    return apart.transpose(*range(1, apart.ndim), 0)


def dot(a: Array, b: Array) -> Array:
    """Scalar product over the last axis, shape (...)."""
    return a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1] + a[..., 2] * b[..., 2]


def cross(a: Array, b: Array) -> Array:
    """Vector product over the last axis, shape (..., 3)."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    out = np.empty((3, *np.broadcast(ax, bx).shape), np.result_type(ax, bx))
    np.subtract(ay * bz, az * by, out=out[0, ...])
    np.subtract(az * bx, ax * bz, out=out[1, ...])
    np.subtract(ax * by, ay * bx, out=out[2, ...])
    return components_last(out)


def length(a: Array) -> Array:
    """Euclidean length over the last axis, shape (...)."""
    return np.sqrt(dot(a, a))


def unit(a: Array) -> Array:
    """Vectors of length one along (..., 3); the caller makes sure that none is zero."""
    return a / length(a)[..., None]


def two_normals(direction: Array) -> tuple[Array, Array]:
    """Two unit vectors (..., 3) at right angles to each other and to a unit direction (..., 3)."""
    # Start from the coordinate axis least aligned with the direction, which is never close to parallel.
    helper = np.zeros(direction.shape)
    np.put_along_axis(helper, np.argmin(np.abs(direction), axis=-1)[..., None], 1.0, axis=-1)
    first = unit(cross(direction, helper))
    return first, cross(direction, first)
