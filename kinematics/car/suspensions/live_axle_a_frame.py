"""Live axle on two lower links and an A-frame, whose ball on the axle also holds it sideways."""

from kinematics.car.suspension_type import MeetingLinks, Point, SuspensionType
from kinematics.car.suspensions.live_axle_parts import LOWER_LINK, LOWER_LINK_POINTS, ON_CHASSIS, WHEEL

_FRAME = ("a_frame_ball", "a_frame_pivot")

LIVE_AXLE_A_FRAME = SuspensionType(
    name="live axle with A-frame",
    title="live axle on two lower links and an A-frame with its ball on the axle",
    points=(
        WHEEL,
        *LOWER_LINK_POINTS,
        Point(_FRAME[0], "axle", "centre of the A-frame's ball on top of the axle", (-20, 0, 425), single=True),
        Point(_FRAME[1], "chassis", ON_CHASSIS, (310, 300, 405)),
    ),
    links=(LOWER_LINK, _FRAME),
    whole_axle=True,
    drawing=MeetingLinks((_FRAME, LOWER_LINK)),
)
