"""What figures' titles tell, by other routes: states solved alone, finite differences for slopes, and a root finder.

Where a height leaves its range is found by SciPy's brentq on single solved states, and compared as it is rounded.
"""

import math
import re
from itertools import pairwise

import numpy as np
import pytest
from matplotlib.figure import Figure
from scipy.optimize import brentq

from kinematics import Axle, sweep_bump, sweep_roll
from kinematics.numbers.outer_share import OuterShare, within
from kinematics.sweeps.rack import sweep_steer
from tests.outputs.conftest import Garage
from tests.outputs.read_back import factor
from tests.outputs.test_figures import SHARE

LOW, HIGH = -25.4, 76.2  # mm: what the file allows of the front roll centre, over 25 mm of droop to 20 of bump
DROOP, BUMP, ROLL = -25.0, 20.0, math.radians(1.5)
HEAVE = 4.0  # mm, of the roll sweep


def title(figure: Figure) -> str:
    return " ".join(figure.texts[0].get_text().split())


def height_in_bump(axle: Axle, travel: float, key: str = "roll_centre_height") -> float:
    return float(sweep_bump(axle, np.array([travel]))[key][0])


def in_roll(axle: Axle, roll: float, key: str, heave: float = HEAVE, share: OuterShare = SHARE) -> float:
    return float(sweep_roll(axle, np.array([roll]), heave, outer_share=share)[key][0])


def slope(axle: Axle) -> float:
    """Of the roll centre's height in bump, mm per mm."""
    return (height_in_bump(axle, 0.05) - height_in_bump(axle, -0.05)) / 0.1


def told(value: float, unit: str) -> str:
    return f"{abs(value) * factor('length', unit):.{1 if unit == 'mm' else 2}f} {unit}"


def over_ground(value: float, unit: str) -> str:
    return f"{told(value, unit)} {'above' if value > 0.0 else 'below'} ground"


def moves(axle: Axle, unit: str) -> str:
    rate = slope(axle)
    return f"{'falls' if rate < 0 else 'rises'} {abs(rate):.1f} {unit} per {'inch' if unit == 'in' else unit} of bump"


def test_in_bump_slope_and_where_it_leaves_its_range(garage: Garage, unit: str) -> None:
    axle, found = garage.car().front, title(garage.ran("sweep", unit).figures["front_bump"])
    assert found.startswith(f"Roll centre {moves(axle, unit)}; ")
    margins = {at: min(height_in_bump(axle, at) - LOW, HIGH - height_in_bump(axle, at)) for at in (DROOP, 0.0, BUMP)}
    assert margins[0.0] > 0.0
    wanted = [end for end in (DROOP, BUMP) if margins[end] < 0.0]
    told_places = re.findall(r"from ([0-9.]+) (?:mm|in) of (bump|droop) (upwards|downwards)", found)
    assert len(told_places) == len(wanted) > 0
    for end, (value, way, on) in zip(wanted, told_places, strict=True):
        limit = HIGH if height_in_bump(axle, end) > HIGH else LOW
        crossing = brentq(lambda at, limit=limit: height_in_bump(axle, at) - limit, 0.0, end)
        assert (way, on) == (("droop", "downwards") if end < 0.0 else ("bump", "upwards"))
        half_a_digit = 0.5 if unit == "mm" else 0.005
        assert float(value) == pytest.approx(abs(crossing) * factor("length", unit), abs=1.05 * half_a_digit)


def test_in_roll_the_force_weighted_height_over_the_working_roll(garage: Garage, unit: str) -> None:
    axle, found = garage.car().front, title(garage.ran("sweep", unit).figures["front_roll"])
    key = "force_weighted_height"
    change = max((in_roll(axle, side * ROLL, key) - in_roll(axle, 0.0, key) for side in (-1.0, 1.0)), key=abs)
    assert (
        f"Force-weighted height {'falls' if change < 0 else 'rises'} {told(change, unit)} over 1.5 deg of roll" in found
    )
    assert f"(body raised by {told(HEAVE, unit)} in roll)" in found
    heights = [in_roll(axle, float(roll), key) for roll in np.linspace(-ROLL, ROLL, 31)]
    out = [not LOW <= one <= HIGH for one in heights]
    if not any(out):
        assert "in range over the working roll" in found
    elif all(out):
        assert "out of range throughout" in found
    elif not LOW <= in_roll(axle, 0.0, key) <= HIGH:
        assert "out of range about ride height" in found
    else:
        (value,) = re.findall(r"out of range from ([0-9.]+) deg outwards", found)
        limit = LOW if min(heights) < LOW else HIGH
        crossings = [
            brentq(lambda roll: in_roll(axle, roll, key) - limit, 0.0, end)
            for end in (-ROLL, ROLL)
            if (in_roll(axle, end, key) - limit) * (in_roll(axle, 0.0, key) - limit) < 0.0
        ]
        assert float(value) == pytest.approx(math.degrees(min(map(abs, crossings))), abs=0.0525)


@pytest.mark.parametrize("name", ["front", "rear"])
def test_the_path_says_how_far_aside(garage: Garage, name: str, unit: str) -> None:
    axle, found = garage.car().axle(name), title(garage.ran("sweep", unit).figures[f"{name}_roll_centre_path"])
    assert moves(axle, unit) in found
    sides = [in_roll(axle, float(roll), "roll_centre_offset") for roll in np.linspace(-ROLL, ROLL, 61)]
    # Where it passes infinity its sign changes between two places far off.
    jumps = [one * other < -(200.0**2) for one, other in pairwise(sides)]
    if any(jumps):
        assert "runs sideways to infinity within 1.5 deg of roll" in found
    else:
        assert f"goes {told(max(sides[0], sides[-1], key=abs), unit)} aside over 1.5 deg of roll" in found


@pytest.mark.parametrize(("name", "low", "high"), [("front", LOW, HIGH), ("rear", 150.0, 300.0)])
def test_the_drawing_says_where_the_roll_centre_is(
    garage: Garage, name: str, low: float, high: float, unit: str
) -> None:
    height = height_in_bump(garage.car().axle(name), 0.0)
    found = title(garage.ran("sweep", unit).figures[f"{name}_drawing"])
    by = min(height - low, high - height)
    side = "under the lowest" if height < low else "over the highest"
    against = "in range" if by >= 0.0 else f"{told(by, unit)} {side} allowed"
    assert found == f"At ride height: roll centre {over_ground(height, unit)}, {against}"


def test_at_the_end_of_the_rack_each_wheels_turn(garage: Garage, unit: str) -> None:
    found = title(garage.ran("sweep", unit).figures["front_steer"])
    turned = np.degrees(sweep_steer(garage.car().front, np.array([62.0]))["steer_angle"][:, 0])
    inner, outer = turned if turned.sum() > 0.0 else turned[::-1]
    assert (
        f"At {told(62.0, unit)} of rack the inner wheel turns {abs(inner):.2f} deg, the outer {abs(outer):.2f}" in found
    )


def test_the_roll_axis_under_the_centre_of_gravity(garage: Garage, unit: str) -> None:
    """520 mm up, 1142 of 2560 behind; both heights by hand."""

    def arm(lowered: float) -> float:
        # The body lowered by so much, level: both wheels go up by nearly that, and the contact points by exactly that.
        front, rear = (in_roll(axle, 0.0, "force_weighted_height", -lowered) for axle in garage.car().axles)
        return 520.0 - lowered - front - (rear - front) * 1142.0 / 2560.0

    found = title(garage.ran("sweep", unit).figures["roll_axis"])
    more = (arm(0.05) - arm(-0.05)) / 0.1
    way = "more" if more > 0.0 else "less"
    wanted = f"{told(arm(0.0), unit)} under the centre of gravity, {abs(more):.1f} {unit} {way} per {unit}"
    assert wanted in found


@pytest.mark.parametrize("what", ["bump", "roll", "drawings"])
def test_the_best_plan_against_the_car_as_measured(garage: Garage, what: str, unit: str) -> None:
    """The plan that compare ranks first of those that are drawn, solved alone at ride height or in the working roll."""
    from tests.outputs.test_compared_plans import compared

    best = next(one for one in compared(garage).ranked if one.plan.name != "as measured" and one.numbers)
    axles = garage.car().front, best.axles["front"].axle
    if what == "roll":
        share = within(garage.car(unit).limits).of("front")
        values = [in_roll(axle, ROLL, "force_weighted_height", 0.0, share) for axle in axles]
        told_of = "force-weighted height at 1.5 deg of roll"
    else:
        values, told_of = [height_in_bump(axle, 0.0) for axle in axles], "roll centre"
    before, after = (over_ground(one, unit) for one in values)
    found = title(garage.ran("compare", unit).figures[f"front_plans_{what}"])
    measured = "as before" if before == after else f"as measured {before}"
    assert found.startswith(f"Best of these plans, {best.plan.name}: {told_of} {after}, {measured}")


@pytest.mark.campaign
def test_the_first_wheel_to_lift_is_where_its_drawn_load_ends(garage: Garage, unit: str) -> None:
    figure = garage.ran("lean", unit).figures["lean"]
    found = title(figure)
    roll = next(line for line in figure.axes[0].get_lines()).get_xydata()
    (gradient,) = re.findall(r"rolls ([0-9.]+) deg per g", found)
    # The roll at the first state that is drawn, a twentieth of a g from rest, over that acceleration.
    assert float(gradient) == pytest.approx((roll[1, 1] - roll[0, 1]) / (roll[1, 0] - roll[0, 0]), rel=0.02)
    lifts = re.findall(r"wheel lifts at ([0-9.]+) g", found)
    loads = [line.get_xydata() for line in figure.axes[1].get_lines()]
    ends = [load[np.isfinite(load[:, 1])] for load in loads]
    reached = max(float(one[-1, 0]) for one in ends)
    if lifts:
        assert float(lifts[0]) <= reached + 0.06
        assert min(float(np.interp(float(lifts[0]), *one.T)) for one in ends) < 0.06 * max(one[0, 1] for one in ends)
    else:
        assert min(float(one[:, 1].min()) for one in ends) > 0.0
