"""Strut at the rear: joints as at the front, with a toe link to the chassis in place of the tie rod."""

from kinematics.car.suspension_type import Arm, Point, StrutAxis, SuspensionType

STRUT_WITH_TOE_LINK = SuspensionType(
    name="strut with toe link",
    title="strut, lower arm and toe link, not steered",
    points=(
        Point("wheel_centre", "upright", "centre of the hub, in the wheel's centre plane", (0, 735, 300)),
        Point("lower_ball_joint", "upright", "centre of the outer bush or ball", (10, 690, 190)),
        Point("lower_pivot_front", "chassis", "centre of the front bush on the pivot axis", (200, 370, 205)),
        Point("lower_pivot_rear", "chassis", "centre of the rear bush on the pivot axis", (-40, 340, 200)),
        Point("strut_top", "chassis", "centre of the top mount's bearing", (-10, 570, 790)),
        Point("strut_low", "upright", "centre of the damper tube just above the clamp", (0, 640, 420)),
        Point("toe_link_outer", "upright", "centre of the outer joint", (-140, 690, 215)),
        Point("toe_link_inner", "chassis", "centre of the inner joint", (-150, 350, 222)),
    ),
    arms=(Arm("lower arm", "lower_pivot_front", "lower_pivot_rear", "lower_ball_joint"),),
    links=(("toe_link_outer", "toe_link_inner"),),
    strut=StrutAxis("strut_low", "strut_top"),
    steering_axis=("lower_ball_joint", "strut_top"),
    toe_link=("toe_link_outer", "toe_link_inner"),
)
