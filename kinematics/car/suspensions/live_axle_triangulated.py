"""Live axle on four links, two or all of which converge and so also hold it sideways."""

from kinematics.car.suspension_type import MeetingLinks, Point, SuspensionType
from kinematics.car.suspensions.live_axle_parts import LOWER_LINK, LOWER_LINK_POINTS, ON_AXLE, ON_CHASSIS, WHEEL

_UPPER_LINK = ("upper_link_axle", "upper_link_chassis")

LIVE_AXLE_TRIANGULATED = SuspensionType(
    name="live axle with triangulated links",
    title="live axle on two lower links and two upper links that converge",
    points=(
        WHEEL,
        *LOWER_LINK_POINTS,
        Point(_UPPER_LINK[0], "axle", ON_AXLE, (-10, 110, 430)),
        Point(_UPPER_LINK[1], "chassis", ON_CHASSIS, (310, 420, 412)),
    ),
    links=(LOWER_LINK, _UPPER_LINK),
    whole_axle=True,
    drawing=MeetingLinks((_UPPER_LINK, LOWER_LINK)),
)
