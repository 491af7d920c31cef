"""H-arm: a lower arm on two bushes at each end, which also keeps the wheel's direction, and one upper link."""

from kinematics.car.suspension_type import CHASSIS, Hinge, Point, SuspensionType

H_ARM = SuspensionType(
    name="H-arm",
    title="a lower arm hinged at both ends, and one upper link",
    points=(
        Point("wheel_centre", "upright", "centre of the hub, in the wheel's centre plane", (0, 735, 300)),
        Point("lower_pivot_front", "chassis", "centre of the front inner bush", (150, 350, 196)),
        Point("lower_pivot_rear", "chassis", "centre of the rear inner bush", (-150, 350, 190)),
        Point("lower_outer_front", "upright", "centre of the front outer bush", (110, 690, 188)),
        Point("lower_outer_rear", "upright", "centre of the rear outer bush", (-110, 690, 184)),
        Point("upper_link_outer", "upright", "centre of the joint on the upright", (-10, 650, 425)),
        Point("upper_link_inner", "chassis", "centre of the joint on the chassis", (-20, 400, 405)),
    ),
    links=(("upper_link_outer", "upper_link_inner"),),
    hinges=(
        Hinge("lower arm", CHASSIS, "lower_pivot_front", "lower_pivot_rear"),
        Hinge("lower arm", "upright", "lower_outer_front", "lower_outer_rear"),
    ),
)
