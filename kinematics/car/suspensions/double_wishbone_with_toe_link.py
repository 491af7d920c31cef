"""Double wishbone at the rear: two arms, and a toe link to the chassis in place of the tie rod."""

from kinematics.car.suspension_type import Arm, Point, SuspensionType

DOUBLE_WISHBONE_WITH_TOE_LINK = SuspensionType(
    name="double wishbone with toe link",
    title="two wishbones and a toe link, not steered",
    points=(
        Point("wheel_centre", "upright", "centre of the hub, in the wheel's centre plane", (0, 725, 300)),
        Point("lower_ball_joint", "upright", "centre of the ball", (20, 680, 178)),
        Point("lower_pivot_front", "chassis", "centre of the front bush on the pivot axis", (210, 330, 196)),
        Point("lower_pivot_rear", "chassis", "centre of the rear bush on the pivot axis", (-90, 330, 190)),
        Point("upper_ball_joint", "upright", "centre of the ball", (0, 650, 430)),
        Point("upper_pivot_front", "chassis", "centre of the front bush on the pivot axis", (120, 410, 408)),
        Point("upper_pivot_rear", "chassis", "centre of the rear bush on the pivot axis", (-90, 410, 404)),
        Point("toe_link_outer", "upright", "centre of the outer joint", (-130, 690, 200)),
        Point("toe_link_inner", "chassis", "centre of the inner joint", (-140, 336, 212)),
    ),
    arms=(
        Arm("lower arm", "lower_pivot_front", "lower_pivot_rear", "lower_ball_joint"),
        Arm("upper arm", "upper_pivot_front", "upper_pivot_rear", "upper_ball_joint"),
    ),
    links=(("toe_link_outer", "toe_link_inner"),),
    steering_axis=("lower_ball_joint", "upper_ball_joint"),
    toe_link=("toe_link_outer", "toe_link_inner"),
)
