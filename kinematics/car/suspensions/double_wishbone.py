"""Double wishbone: two arms and a tie rod to the steering rack."""

from kinematics.car.suspension_type import Arm, Point, SuspensionType

DOUBLE_WISHBONE = SuspensionType(
    name="double wishbone",
    title="two wishbones and a tie rod",
    points=(
        Point("wheel_centre", "upright", "centre of the hub, in the wheel's centre plane", (0, 730, 300)),
        Point("lower_ball_joint", "upright", "centre of the ball", (6, 684, 176)),
        Point("lower_pivot_front", "chassis", "centre of the front bush on the pivot axis", (130, 350, 190)),
        Point("lower_pivot_rear", "chassis", "centre of the rear bush on the pivot axis", (-150, 350, 186)),
        Point("upper_ball_joint", "upright", "centre of the ball", (-14, 652, 436)),
        Point("upper_pivot_front", "chassis", "centre of the front bush on the pivot axis", (96, 420, 416)),
        Point("upper_pivot_rear", "chassis", "centre of the rear bush on the pivot axis", (-104, 420, 408)),
        Point("tie_rod_outer", "upright", "centre of the tie-rod end's ball", (-124, 676, 214)),
        Point("tie_rod_inner", "chassis", "centre of the inner joint, wheels straight ahead", (-120, 344, 224)),
    ),
    arms=(
        Arm("lower arm", "lower_pivot_front", "lower_pivot_rear", "lower_ball_joint"),
        Arm("upper arm", "upper_pivot_front", "upper_pivot_rear", "upper_ball_joint"),
    ),
    links=(("tie_rod_outer", "tie_rod_inner"),),
    steering_axis=("lower_ball_joint", "upper_ball_joint"),
    toe_link=("tie_rod_outer", "tie_rod_inner"),
    rack=("tie_rod_inner",),
)
