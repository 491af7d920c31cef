"""What an engine makes of both wheels of an axle: where they are and how they move, in the body's own axes."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.spatial.transform import Rotation

from kinematics import Axle
from kinematics.car.suspension_type import CHASSIS
from tests.engines.corner_linkages import RACK, TRAVEL
from tests.engines.invented_axles import SIDES
from tests.engines.linkage import Array
from tests.engines.live_axle_linkages import TRAVELS
from tests.engines.mujoco_motion import Motion, Moved, MovingLinkage
from tests.engines.random_axles import RandomAxle


def spin_axes(axle: Axle) -> Array:
    """Of both wheels as measured (2, 3), outward: leaning by camber and then turned by toe, about the car's axes."""
    angles = zip(SIDES, axle.camber, axle.toe, strict=True)
    leant = [Rotation.from_euler("xz", [-side * camber, -side * toe]) for side, camber, toe in angles]
    return np.array([turn.apply([0.0, side, 0.0]) for turn, side in zip(leant, SIDES, strict=True)])


def lowest(axle: Axle, centre: Array, axis: Array) -> Array:
    """Lowest points of the rigid discs that touched the floor as measured, with centres and axes (2, ..., 3)."""
    radius = axle.points["wheel_centre"][:, 2] / np.cos(axle.camber)
    down = np.array([0.0, 0.0, -1.0])
    square = down - (axis @ down)[..., None] * axis
    square /= np.linalg.norm(square, axis=-1)[..., None]
    return np.asarray(centre + radius.reshape(2, *[1] * (axis.ndim - 1)) * square)


@dataclass(frozen=True)
class Wheels:
    """Both sides' points and vectors (2, S, 3); motions are about the wheel centre, per mm of travel [mm/mm, rad/mm].

    points: every measured point. turned: of the wheel's part since measured (2, S, 3, 3). by_wheel: motion of each
    side's part by each wheel's travel (2 sides, 2 wheels, S, 3). by_rack: per mm of the rack, the wheel centre's height
    held. open_by: the largest speed at which joints would part.
    """

    axle: Axle
    points: Mapping[str, Array]
    turned: Array
    by_wheel: Motion
    by_rack: Motion | None
    open_by: float

    @property
    def centre(self) -> Array:
        return self.points["wheel_centre"]

    @cached_property
    def spin_axis(self) -> Array:
        """Outward, as measured and then as its part turned."""
        return np.asarray((self.turned @ spin_axes(self.axle)[:, None, :, None])[..., 0])

    @cached_property
    def together(self) -> Motion:
        """Both wheels going the same way."""
        return Motion(self.by_wheel.velocity.sum(axis=1), self.by_wheel.spin.sum(axis=1))

    @cached_property
    def apart(self) -> Motion:
        """This wheel going its way and the other one the other."""
        return Motion(*(np.stack([part[0, 0] - part[0, 1], part[1, 1] - part[1, 0]]) for part in self._parts))

    @property
    def _parts(self) -> tuple[Array, Array]:
        return self.by_wheel.velocity, self.by_wheel.spin


def wheels(random: RandomAxle, axle: Axle, travel: Array, rack: Array | None = None) -> Wheels:
    """Both wheels at travels (2, S) and, where there is one, with the rack moved (S,) [mm]."""
    linkages, part = random.told(MovingLinkage, axle), axle.suspension.bodies[0]
    if random.whole:
        moved = [linkages[0].move(dict(zip(TRAVELS, travel, strict=True)))] * 2
    else:
        steered = {} if rack is None else {RACK: rack}
        moved = [one.move({TRAVEL: height, **steered}) for one, height in zip(linkages, travel, strict=True)]
    points = {key: np.stack([_point(axle, key, moved[side], side, rack) for side in (0, 1)]) for key in axle.points}
    turned = np.stack([one.poses[part].rotation for one in moved])

    def about_centre(side: int, driver: str) -> Motion:
        motion = moved[side].motion(part, driver)
        return Motion(motion.at(points["wheel_centre"][side] - moved[side].poses[part].position), motion.spin)

    velocity, spin = np.zeros((2, 2, 2, *travel.shape[1:], 3))
    for side, wheel in np.ndindex(2, 2):
        if random.whole or side == wheel:
            motion = about_centre(side, TRAVELS[wheel] if random.whole else TRAVEL)
            velocity[side, wheel], spin[side, wheel] = motion.velocity, motion.spin
    by_rack = None
    if RACK in moved[0].drivers:
        both = [about_centre(side, RACK) for side in (0, 1)]
        by_rack = Motion(np.stack([one.velocity for one in both]), np.stack([one.spin for one in both]))
    return Wheels(axle, points, turned, Motion(velocity, spin), by_rack, max(one.open_by for one in moved))


def _point(axle: Axle, key: str, moved: Moved, side: int, rack: Array | None) -> Array:
    start, part = axle.points[key][side], axle.suspension.carriers[key]
    if rack is not None and key in axle.suspension.rack:
        return moved.poses[RACK].point(start)
    if part == CHASSIS:
        count = len(next(iter(moved.poses.values())).position)
        return np.broadcast_to(start, (count, 3))
    return moved.poses[part].point(start)
