"""What the side view's numbers are reckoned with, in words."""

from kinematics.car.car import Axle
from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from reports.words.numbers import told


def side_view_terms(axle: Axle, unit: LengthUnit) -> str:
    """What an axle's anti-dive, anti-lift and anti-squat are reckoned with, in one sentence; empty where not known."""
    body = axle.body
    if body.wheelbase is None or body.centre_of_gravity is None:
        return ""
    height = told(float(body.centre_of_gravity), Dimension.LENGTH, unit, sign=False)
    said = [f"wheelbase {told(body.wheelbase, Dimension.LENGTH, unit, sign=False)}", f"centre of gravity {height} up"]
    for share, what in ((body.front_brakes, "braking"), (body.front_drive, "driving force")):
        part = _share(share, axle)
        if part > 0.0:
            said.append(f"{100.0 * part:.0f} % of the {what} on this axle")
    said.append("brakes inboard" if axle.fittings.inboard_brakes else "brakes outboard")
    if _share(body.front_drive, axle) > 0.0:
        said.append("driven as a live axle" if axle.suspension.whole_axle else "driven by half-shafts")
    if axle.body.final_drive is not None and axle.name == "rear" and axle.suspension.whole_axle:
        said.append(f"final drive {axle.body.final_drive:g}, whose shaft loads the left wheel more")
    return f"Side view with {', '.join(said)}."


def _share(front: float | None, axle: Axle) -> float:
    """An axle's share of what the front axle has so much of; none where that is not known."""
    if front is None:
        return 0.0
    return front if axle.name == "front" else 1.0 - front
