"""Live axle on four links that lie along the car, and a Panhard rod.

In roll the four links together would hold the axle once too often; what does not fit goes into their bushes, in equal
and opposite parts. Bushes of equal stiffness give nearly that where the links are nearly parallel: over 70 mm of travel
the wheel centres differ by 0.2 mm.
"""

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

_UPPER_LINK = ("upper_link_axle", "upper_link_chassis")

LIVE_AXLE_FOUR_LINKS = SuspensionType(
    name="live axle with four links",
    title="live axle on four parallel links and a Panhard rod",
    points=(
        WHEEL,
        *LOWER_LINK_POINTS,
        Point(_UPPER_LINK[0], "axle", ON_AXLE, (0, 470, 420)),
        Point(_UPPER_LINK[1], "chassis", ON_CHASSIS, (430, 470, 412)),
        *PANHARD_POINTS,
    ),
    links=(_UPPER_LINK, LOWER_LINK, PANHARD_ROD),
    bushed=(_UPPER_LINK, LOWER_LINK),
    whole_axle=True,
    drawing=PANHARD_DRAWING,
)
