"""Strut: a lower arm, a tie rod, and a strut whose axis, fixed in the upright, slides through its top mount."""

from kinematics.car.suspension_type import Arm, Point, StrutAxis, SuspensionType

STRUT = SuspensionType(
    name="strut",
    title="strut and lower arm",
    points=(
        Point("wheel_centre", "upright", "centre of the hub, in the wheel's centre plane", (0, 742, 298)),
        Point("lower_ball_joint", "upright", "centre of the ball", (4, 690, 182)),
        Point("lower_pivot_front", "chassis", "centre of the front bush on the pivot axis", (118, 352, 181)),
        Point("lower_pivot_rear", "chassis", "centre of the rear bush on the pivot axis", (-196, 352, 185)),
        Point("strut_top", "chassis", "centre of the top mount's bearing", (-22, 566, 826)),
        Point("strut_low", "upright", "centre of the damper tube just above the clamp", (2, 626, 420)),
        Point("tie_rod_outer", "upright", "centre of the tie-rod end's ball", (-128, 676, 216)),
        Point("tie_rod_inner", "chassis", "centre of the inner joint, wheels straight ahead", (-128, 330, 217)),
    ),
    arms=(Arm("lower arm", "lower_pivot_front", "lower_pivot_rear", "lower_ball_joint"),),
    links=(("tie_rod_outer", "tie_rod_inner"),),
    strut=StrutAxis("strut_low", "strut_top"),
    steering_axis=("lower_ball_joint", "strut_top"),
    toe_link=("tie_rod_outer", "tie_rod_inner"),
    rack=("tie_rod_inner",),
)
