"""What live axles share: the wheels' points, the lower links, and a rod across (Panhard rod)."""

from kinematics.car.suspension_type import Point, RodAcross

ON_AXLE, ON_CHASSIS = "centre of the joint on the axle", "centre of the joint on the chassis"

WHEEL = Point("wheel_centre", "axle", "centre of the hub, in the wheel's centre plane", (0, 715, 305))

LOWER_LINK = ("lower_link_axle", "lower_link_chassis")
LOWER_LINK_POINTS = (
    Point(LOWER_LINK[0], "axle", ON_AXLE, (15, 500, 235)),
    Point(LOWER_LINK[1], "chassis", ON_CHASSIS, (510, 470, 262)),
)

PANHARD_ROD = ("panhard_axle", "panhard_chassis")
PANHARD_POINTS = (
    Point(PANHARD_ROD[0], "axle", ON_AXLE, (-130, 540, 285), single=True),
    Point(PANHARD_ROD[1], "chassis", ON_CHASSIS, (-130, -530, 300), single=True),
)
PANHARD_DRAWING = RodAcross(*PANHARD_ROD)
