"""Live axle on three links, two low and one high, and a Panhard rod."""

from kinematics.car.suspension_type import Point, SuspensionType
from kinematics.car.suspensions.live_axle_parts import (
    LOWER_LINK,
    LOWER_LINK_POINTS,
    ON_AXLE,
    ON_CHASSIS,
    PANHARD_DRAWING,
    PANHARD_POINTS,
    PANHARD_ROD,
    WHEEL,
)

UPPER_LINK = ("upper_link_axle", "upper_link_chassis")
UPPER_LINK_POINTS = (
    Point(UPPER_LINK[0], "axle", ON_AXLE, (-10, 40, 450), single=True),
    Point(UPPER_LINK[1], "chassis", ON_CHASSIS, (330, 40, 425), single=True),
)

LIVE_AXLE_THREE_LINKS = SuspensionType(
    name="live axle with three links",
    title="live axle on two lower links, one upper link and a Panhard rod",
    points=(WHEEL, *LOWER_LINK_POINTS, *UPPER_LINK_POINTS, *PANHARD_POINTS),
    links=(LOWER_LINK, UPPER_LINK, PANHARD_ROD),
    whole_axle=True,
    drawing=PANHARD_DRAWING,
)
