"""An axle's corners as a mechanism: what the solver needs to know of a car, and no more."""

import numpy as np

from kinematics.car import Axle
from solvers.mechanism import GROUND, Links, Mechanism, Planes, Pose, held_along, slide
from solvers.rotations import IDENTITY
from solvers.vectors import Array, length, unit

UPRIGHT = 0
_UP: Array = np.array([0.0, 0.0, 1.0])


def corner_linkage(axle: Axle) -> Mechanism:
    """Both corners of an axle, batch shape (..., 2); its one driver is wheel travel [mm], bump positive."""
    kind = axle.suspension
    centre = np.broadcast_to(axle.points["wheel_centre"], (*axle.batch_shape, 2, 3))
    outer = np.stack(np.broadcast_arrays(*(axle.points[on] for on, _ in kind.all_links)), axis=-2)
    inner = np.stack(np.broadcast_arrays(*(axle.points[at] for _, at in kind.all_links)), axis=-2)
    names = tuple(f"{_words(on)} to {_words(at)}" for on, at in kind.all_links)
    links = Links(UPRIGHT, outer - centre[..., None, :], GROUND, inner, length(outer - inner), names)
    return Mechanism(
        bodies=("upright",),
        start=Pose(centre[..., None, :], np.broadcast_to(IDENTITY, (*centre.shape[:-1], 1, 4))),
        links=(links,),
        planes=_strut(axle),
        drivers=(held_along(UPRIGHT, np.zeros(3), _UP, "wheel travel"),),
    )


def _strut(axle: Axle) -> tuple[Planes, ...]:
    strut = axle.suspension.strut
    if strut is None:
        return ()
    top, low = axle.points[strut.top_mount], axle.points[strut.low]
    on_upright = low - axle.points["wheel_centre"]
    return (slide(UPRIGHT, on_upright, unit(top - low), GROUND, top, "strut through its top mount"),)


def _words(key: str) -> str:
    return key.replace("_", " ")
