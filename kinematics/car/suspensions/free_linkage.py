"""Free linkage: parts and joints as the owner lists them; this one, for the blank file, has a pushrod and a rocker."""

from dataclasses import replace

from kinematics.car.suspension_type import CHASSIS, BallJoint, Hinge, Point, SuspensionType
from kinematics.car.suspensions.double_wishbone import DOUBLE_WISHBONE

FREE_LINKAGE = SuspensionType(
    name="free linkage",
    title="parts and joints listed in the file",
    points=(
        *(
            replace(point, carrier="lower arm") if point.key == "lower_ball_joint" else point
            for point in DOUBLE_WISHBONE.points
        ),
        Point("pushrod_outer", "lower arm", "centre of the joint on the arm", (10, 620, 200)),
        Point("pushrod_inner", "rocker", "centre of the joint on the rocker", (10, 400, 540)),
        Point("rocker_pivot_front", "chassis", "front end of the rocker's pivot bolt", (40, 330, 470)),
        Point("rocker_pivot_rear", "chassis", "rear end of the rocker's pivot bolt", (-20, 330, 470)),
    ),
    links=(
        ("upper_ball_joint", "upper_pivot_front"),
        ("upper_ball_joint", "upper_pivot_rear"),
        ("tie_rod_outer", "tie_rod_inner"),
        ("pushrod_outer", "pushrod_inner"),
    ),
    hinges=(
        Hinge("lower arm", CHASSIS, "lower_pivot_front", "lower_pivot_rear"),
        Hinge("rocker", CHASSIS, "rocker_pivot_front", "rocker_pivot_rear"),
    ),
    balls=(BallJoint("upright", "lower arm", "lower_ball_joint"),),
    steering_axis=DOUBLE_WISHBONE.steering_axis,
    toe_link=DOUBLE_WISHBONE.toe_link,
    rack=DOUBLE_WISHBONE.rack,
    listed=True,
)
