"""Five link: an upright on five single links, however they lie."""

from kinematics.car.suspension_type import Point, SuspensionType

_OUTER, _INNER = "centre of the joint on the upright", "centre of the joint on the chassis"

FIVE_LINK = SuspensionType(
    name="five link",
    title="an upright on five single links",
    points=(
        Point("wheel_centre", "upright", "centre of the hub, in the wheel's centre plane", (0, 740, 300)),
        Point("upper_front_link_outer", "upright", _OUTER, (40, 640, 420)),
        Point("upper_front_link_inner", "chassis", _INNER, (120, 420, 398)),
        Point("upper_rear_link_outer", "upright", _OUTER, (-60, 650, 412)),
        Point("upper_rear_link_inner", "chassis", _INNER, (-80, 410, 392)),
        Point("lower_front_link_outer", "upright", _OUTER, (60, 690, 205)),
        Point("lower_front_link_inner", "chassis", _INNER, (220, 380, 210)),
        Point("lower_rear_link_outer", "upright", _OUTER, (-30, 700, 182)),
        Point("lower_rear_link_inner", "chassis", _INNER, (-60, 320, 192)),
        Point("toe_link_outer", "upright", _OUTER, (-130, 690, 232)),
        Point("toe_link_inner", "chassis", _INNER, (-150, 370, 236)),
    ),
    links=tuple(
        (f"{link}_link_outer", f"{link}_link_inner")
        for link in ("upper_front", "upper_rear", "lower_front", "lower_rear", "toe")
    ),
    toe_link=("toe_link_outer", "toe_link_inner"),
)
