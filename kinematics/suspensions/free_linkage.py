"""Free linkage: parts and joints as the owner lists them; this one, for the blank file, has a pushrod and a rocker."""

from kinematics.suspension import CHASSIS, BallJoint, Hinge, Point, SuspensionType

FREE_LINKAGE = SuspensionType(
    name="free linkage",
    title="parts and joints listed in the file",
    points=(
        Point("wheel_centre", "upright", "centre of the hub, in the wheel's centre plane", (0, 730, 300)),
        Point("lower_ball_joint", "lower arm", "centre of the ball", (6, 684, 176)),
        Point("lower_pivot_front", "chassis", "centre of the front bush on the pivot axis", (130, 350, 190)),
        Point("lower_pivot_rear", "chassis", "centre of the rear bush on the pivot axis", (-150, 350, 186)),
        Point("upper_ball_joint", "upright", "centre of the ball", (-14, 652, 436)),
        Point("upper_pivot_front", "chassis", "centre of the front bush on the pivot axis", (96, 420, 416)),
        Point("upper_pivot_rear", "chassis", "centre of the rear bush on the pivot axis", (-104, 420, 408)),
        Point("tie_rod_outer", "upright", "centre of the tie-rod end's ball", (-124, 676, 214)),
        Point("tie_rod_inner", "chassis", "centre of the inner joint, wheels straight ahead", (-120, 344, 224)),
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
    steering_axis=("lower_ball_joint", "upper_ball_joint"),
    toe_link=("tie_rod_outer", "tie_rod_inner"),
    rack=("tie_rod_inner",),
    listed=True,
)
