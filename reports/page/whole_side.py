"""The other axle in the view from the left, on the same body, and the roll axis from one to the other."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import LEFT, Axle, Car
from kinematics.motion.moving_axle import MovingAxle
from kinematics.motion.reasons import UnreachedError
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.stance import Stance
from kinematics.sweeps.body import stances_of_a_move
from reports.figures.far_away import is_far
from reports.page.bench import OpenCar
from reports.page.shapes import Shapes
from reports.page.views import links_of, seen_from_left
from reports.words.gaps import gap_words
from reports.words.numbers import told


@dataclass(frozen=True)
class OtherAxle:
    """Where the other axle is: so far ahead of the one that is moved [mm], behind it negative."""

    axle: Axle
    ahead: float


def other_axle(car: Car, axles: Mapping[str, Axle], name: str) -> OtherAxle | None:
    """The other axle of a car whose wheelbase is known."""
    found = next((one for one in axles.values() if one.name != name), None)
    if found is None or not car.body.wheelbase:
        return None
    return OtherAxle(found, car.body.wheelbase if found.name == "front" else -car.body.wheelbase)


def add_other(shapes: Shapes, stance: Stance, other: OtherAxle, ready: MovingAxle, opened: OpenCar) -> str:
    """Draw it as it stands when this axle stands so on a rigid body; where it cannot, the words for it."""
    attitude = stance.attitude
    pitch = 0.0 if attitude.pitch is None else float(np.ravel(attitude.pitch)[0])
    roll = float(np.ravel(attitude.roll)[0])
    heave = float(np.ravel(attitude.heave)[0]) - other.ahead * math.tan(pitch)
    if abs(heave) > opened.reach.heave:
        way = "raised" if heave > 0.0 else "lowered"
        amount = told(abs(heave), Dimension.LENGTH, opened.car.unit, sign=False)
        return f"the body is {way} by {amount} at the {other.axle.name} axle, farther than the sliders go"
    try:
        there = stances_of_a_move(ready, [-heave], [roll], pitch)
    except UnreachedError as error:
        return f"the {other.axle.name} axle cannot stand so: {gap_words(error.reason)}"
    moved = np.array([-other.ahead, 0.0])
    shapes.circle("tyre", seen_from_left(there.wheel_centre[LEFT, 0]) + moved, float(there.states.axle.radius[LEFT]))
    for look, line in links_of(other.axle, there.points, (LEFT,)):
        shapes.line(look, seen_from_left(line) + moved)
    for key, at in there.points.items():
        words = f"{other.axle.name} axle, left {key.replace('_', ' ')}"
        shapes.mark("far-joint", seen_from_left(at[LEFT, 0]) + moved, words=words)
    ends = [float(one.roll_centre[0, 1]) for one in (stance, there)]
    if not any(is_far(one) for one in ends):
        shapes.line("axis", np.array([[0.0, ends[0]], [-other.ahead, ends[1]]]))
    return ""
