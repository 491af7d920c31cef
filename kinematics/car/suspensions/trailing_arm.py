"""Trailing arms: one arm carries the wheel and turns about a single axis, straight across the car or swept."""

from kinematics.car.suspension_type import CHASSIS, Hinge, Point, SuspensionType

_HUB = "centre of the hub, in the wheel's centre plane"
_BUSH = "centre of the bush on the pivot axis"
_AXIS = (Hinge("arm", CHASSIS, "pivot_outer", "pivot_inner"),)

SEMI_TRAILING_ARM = SuspensionType(
    name="semi-trailing arm",
    title="one arm on a pivot axis swept in plan view",
    points=(
        Point("wheel_centre", "arm", _HUB, (0, 730, 300)),
        Point("pivot_outer", "chassis", f"outer pivot: {_BUSH}", (420, 620, 252)),
        Point("pivot_inner", "chassis", f"inner pivot: {_BUSH}", (340, 260, 242)),
    ),
    hinges=_AXIS,
)

TRAILING_ARM = SuspensionType(
    name="trailing arm",
    title="one arm on a pivot axis square to the car",
    points=(
        Point("wheel_centre", "arm", _HUB, (0, 720, 300)),
        Point("pivot_outer", "chassis", f"outer pivot: {_BUSH}", (430, 650, 262)),
        Point("pivot_inner", "chassis", f"inner pivot: {_BUSH}", (430, 400, 262)),
    ),
    hinges=_AXIS,
)
