"""Control blade: a trailing blade fixed to the upright, on one ball at its front end, with an upper and a toe link."""

from kinematics.car.suspension_type import CHASSIS, BallJoint, Point, SuspensionType

_OUTER, _INNER = "centre of the joint on the upright", "centre of the joint on the chassis"

CONTROL_BLADE = SuspensionType(
    name="control blade",
    title="a trailing blade on one ball, an upper link and a toe link",
    points=(
        Point("wheel_centre", "upright", "centre of the hub, in the wheel's centre plane", (0, 735, 300)),
        Point("blade_front", "chassis", "centre of the bush at the blade's front end", (460, 600, 262)),
        Point("upper_link_outer", "upright", _OUTER, (-10, 660, 410)),
        Point("upper_link_inner", "chassis", _INNER, (-20, 400, 392)),
        Point("toe_link_outer", "upright", _OUTER, (-80, 690, 196)),
        Point("toe_link_inner", "chassis", _INNER, (-90, 330, 204)),
    ),
    balls=(BallJoint("upright", CHASSIS, "blade_front"),),
    links=(("upper_link_outer", "upper_link_inner"), ("toe_link_outer", "toe_link_inner")),
    toe_link=("toe_link_outer", "toe_link_inner"),
)
