"""Live axle on three links, held sideways by a Watt linkage whose crank sits on the axle or on the body."""

from kinematics.car.suspension_type import CHASSIS, Hinge, PivotInMiddle, Point, SuspensionType
from kinematics.car.suspensions.live_axle_parts import LOWER_LINK, LOWER_LINK_POINTS, ON_AXLE, ON_CHASSIS, WHEEL
from kinematics.car.suspensions.live_axle_three_links import UPPER_LINK, UPPER_LINK_POINTS

_BOLT = ("watt_pivot_front", "watt_pivot_rear")
_FRONT, _REAR = "front end of the crank's pivot bolt", "rear end of the crank's pivot bolt"
_CRANK_END = Point("watt_crank_end", "crank", "centre of the joint on the crank", (-125, 0, 375), (-125, 0, 235))

WATT_ON_AXLE = SuspensionType(
    name="live axle with Watt linkage on the axle",
    title="live axle on three links, the Watt linkage's crank on the axle",
    points=(
        WHEEL,
        *LOWER_LINK_POINTS,
        *UPPER_LINK_POINTS,
        Point(_BOLT[0], "axle", _FRONT, (-100, 0, 305), single=True),
        Point(_BOLT[1], "axle", _REAR, (-150, 0, 305), single=True),
        _CRANK_END,
        Point("watt_rod_chassis", "chassis", ON_CHASSIS, (-125, 520, 375), (-125, 520, 235)),
    ),
    links=(LOWER_LINK, UPPER_LINK, ("watt_crank_end", "watt_rod_chassis")),
    hinges=(Hinge("crank", "axle", *_BOLT),),
    whole_axle=True,
    drawing=PivotInMiddle(_BOLT[0]),
)

WATT_ON_BODY = SuspensionType(
    name="live axle with Watt linkage on the body",
    title="live axle on three links, the Watt linkage's crank on the body",
    points=(
        WHEEL,
        *LOWER_LINK_POINTS,
        *UPPER_LINK_POINTS,
        Point(_BOLT[0], "chassis", _FRONT, (-100, 0, 305), single=True),
        Point(_BOLT[1], "chassis", _REAR, (-150, 0, 305), single=True),
        _CRANK_END,
        Point("watt_rod_axle", "axle", ON_AXLE, (-125, 520, 375), (-125, 520, 235)),
    ),
    links=(LOWER_LINK, UPPER_LINK, ("watt_rod_axle", "watt_crank_end")),
    hinges=(Hinge("crank", CHASSIS, *_BOLT),),
    whole_axle=True,
    drawing=PivotInMiddle(_BOLT[0]),
)
