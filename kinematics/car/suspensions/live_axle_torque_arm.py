"""Live axle with a torque arm: a long arm bolted to the axle whose front end slides in a bush on the chassis."""

from kinematics.car.suspension_type import HeightSupport, Point, SuspensionType
from kinematics.car.suspensions.live_axle_parts import (
    LOWER_LINK,
    LOWER_LINK_POINTS,
    PANHARD_DRAWING,
    PANHARD_POINTS,
    PANHARD_ROD,
    WHEEL,
)

_FRONT_END = Point("torque_arm_front", "axle", "centre of the bush at the arm's front end", (960, 20, 330), single=True)

LIVE_AXLE_TORQUE_ARM = SuspensionType(
    name="live axle with torque arm",
    title="live axle on two lower links, a torque arm and a Panhard rod",
    points=(WHEEL, *LOWER_LINK_POINTS, _FRONT_END, *PANHARD_POINTS),
    links=(LOWER_LINK, PANHARD_ROD),
    height_supports=(HeightSupport(_FRONT_END.key),),
    whole_axle=True,
    drawing=PANHARD_DRAWING,
)
