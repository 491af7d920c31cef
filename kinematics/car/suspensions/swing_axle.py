"""Swing axle: half-shaft and wheel turn together about an axis through the inner joint."""

from kinematics.car.suspension_type import CHASSIS, Hinge, Point, SuspensionType

SWING_AXLE = SuspensionType(
    name="swing axle",
    title="half-shaft and wheel in one piece, turning about an axis beside the final drive",
    points=(
        Point("wheel_centre", "half-shaft", "centre of the hub, in the wheel's centre plane", (0, 690, 300)),
        Point("pivot_rear", "chassis", "centre of the joint beside the final drive", (0, 130, 310)),
        Point("pivot_front", "chassis", "another point of the axis: centre of the radius arm's pivot", (480, 170, 290)),
    ),
    hinges=(Hinge("half-shaft", CHASSIS, "pivot_rear", "pivot_front"),),
)
