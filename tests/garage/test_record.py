"""What changed between two states of a car, and how sure that is.

Errors of readings that both states go back to cancel, those of readings taken anew do not: held against cars drawn at
random with errors in common where they should be (JCGM 101, the method), against the doubt of a plan's change, which is
found by another way (`kinematics.doubt.differences`), and in closed forms for single coordinates (formula).
"""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kinematics.car.car import Axle, Car
from kinematics.doubt.assessment import perturbed_axles
from kinematics.doubt.differences import plan_doubts
from kinematics.inputs.demo_cars import DEMO_CARS, demo_car, demo_text
from kinematics.inputs.plans.plan_file import PlanFile, plans_from
from kinematics.inputs.reading.toml_file import parsed_toml
from kinematics.planning.plans import carry_out
from kinematics.record.between import Between, between, solved_state
from kinematics.record.state import State
from kinematics.sweeps.body import sweep_bump

COUPE = demo_car(DEMO_CARS["lowered-coupe"])
SALOON = demo_car(DEMO_CARS["rear-drive-saloon"])
KEYS = ("roll_centre_height", "bump_steer", "camber_gain", "caster", "scrub_radius")


def compared(before: Car, after: Car, *, readings: tuple[dict, dict] = ({}, {})) -> Between:
    states = [
        State(f"2026-0{i}-01_x", f"2026-0{i}-01", "x", car, own)
        for i, (car, own) in enumerate(zip((before, after), readings, strict=True), start=1)
    ]
    return between(states[0], states[1], *map(solved_state, states))


def with_front(car: Car, front: Axle, *, on_paper: bool = False) -> Car:
    return replace(car, axles=(front, *car.axles[1:]), on_paper=on_paper)


def moved(car: Car, key: str, by: tuple[float, float, float]) -> Car:
    """The car with a point of both sides elsewhere, `out` on each."""
    shift = np.array([[by[0], by[1], by[2]], [by[0], -by[1], by[2]]])
    return with_front(car, car.front.with_points(**{key: car.front.points[key] + shift}))


def change(found: Between, key: str, axle: str = "front") -> tuple[float, float]:
    one = next(one for one in found.numbers if (one.axle, one.key) == (axle, key))
    assert one.either_way_95 is not None
    return one.change, one.either_way_95


def test_nothing_changed() -> None:
    found = compared(SALOON, SALOON)
    assert found.points == ()
    assert found.parts == ()
    assert {one.change for one in found.numbers} == {0.0}
    assert {one.either_way_95 for one in found.numbers} <= {0.0, None}
    assert found.shared == {"front": (26, 26), "rear": (20, 20)}
    # The saloon's file does not say how well toe and camber were read, so they are not exact either.
    assert {one.key for one in found.numbers if one.either_way_95 is None} >= {"toe", "camber"}


def test_a_point_read_anew() -> None:
    """Read twice with 2.5 mm each: 2.5 sqrt(2) for the change, all else in common."""
    found = compared(SALOON, moved(SALOON, "tie_rod_outer", (0.0, 0.0, -6.0)))
    (point,) = found.points
    assert (point.point, point.key, point.side) == ("tie_rod_outer", "up", "")
    assert point.change == pytest.approx(-6.0)
    assert point.either_way_95 == pytest.approx(1.96 * 2.5 * math.sqrt(2.0), rel=1e-4)
    assert point.is_sure is False
    assert found.shared["front"] == (25, 26)


def drawn_change(before: Axle, after: Axle, shared: list[bool], draws: int = 4000) -> dict[str, float]:
    """Half of 95 % of changes over cars drawn at random, with errors in common where said."""
    random = np.random.default_rng(11)
    assert before.doubt is not None
    assert after.doubt is not None
    one, other = random.normal(size=(2, draws, len(shared)))
    other = np.where(shared, one, other)
    axles = perturbed_axles(before, before.doubt, one), perturbed_axles(after, after.doubt, other)
    values = [sweep_bump(axle, np.zeros(1)) for axle in axles]
    return {key: 1.96 * float(np.std((values[1][key] - values[0][key]).reshape(draws, -1)[:, 0])) for key in KEYS}


@pytest.mark.campaign
def test_errors_in_common_cancel_and_others_do_not() -> None:
    after = moved(COUPE, "tie_rod_inner", (0.0, 3.0, 5.0))
    found = compared(COUPE, after)
    assert COUPE.front.doubt is not None
    anew = ("tie_rod_inner out", "tie_rod_inner up")
    shared = [name not in anew for name in COUPE.front.doubt.sources]
    assert found.shared["front"] == (len(shared) - 2, len(shared))
    drawn = drawn_change(COUPE.front, after.front, shared)
    for key in KEYS:
        _, either_way = change(found, key)
        # Of 4,000 draws a standard deviation is uncertain by 1.1 % (formula); the rest is what first order leaves out.
        assert either_way == pytest.approx(drawn[key], rel=0.06, abs=1e-9), key


def test_a_car_measured_anew_adds_both_doubts() -> None:
    front, by = COUPE.front, 0.7 * np.array([[1.0, 1.0, 1.0], [1.0, -1.0, 1.0]])
    everything = front.with_points(**{key: place + by for key, place in front.points.items()})
    after = with_front(COUPE, replace(everything, camber=front.camber + 1e-3, toe=front.toe + 1e-3))
    found = compared(COUPE, after)
    assert found.shared["front"] == (0, len(front.doubt.sources))  # type: ignore[union-attr]
    own = [solved_state(State("", "", "", one))["front"] for one in (COUPE, after)]
    for key in KEYS:
        ways = [float(one.either_way_95(key).reshape(-1)[0]) for one in own]  # type: ignore[union-attr]
        assert change(found, key)[1] == pytest.approx(math.hypot(*ways), rel=1e-9)


def test_a_car_on_paper_is_as_sure_as_its_plan() -> None:
    (plan,) = [one for one in plans().plans if one.name == "rack up"]
    (axles,) = carry_out(COUPE, [plan])
    found = compared(COUPE, with_front(COUPE, axles["front"].axle, on_paper=True))
    (_, doubt) = plan_doubts(COUPE, COUPE.front, [plan], COUPE.limits, draws=100, seed=1)
    assert found.shared["front"] == (len(doubt_sources()), len(doubt_sources()))
    for key in ("roll_centre_height", "bump_steer", "camber_gain"):
        came, either_way = change(found, key)
        assert came == pytest.approx(float(doubt.change[key].value.reshape(-1)[0]), rel=1e-6, abs=1e-9)
        # Here points are shifted alike before and after; there the plan is carried out anew on each shifted car.
        planned = float(doubt.half_width_95(key)[1].reshape(-1)[0])
        assert either_way == pytest.approx(planned, rel=0.1, abs=1e-6), key


def plans() -> PlanFile:

    return plans_from(parsed_toml(demo_text("lowered_coupe_plans.toml"), Path("plans")), "plans", COUPE)


def doubt_sources() -> tuple[str, ...]:
    assert COUPE.front.doubt is not None
    return COUPE.front.doubt.sources


def test_readings_of_a_survey() -> None:
    """A reading that was taken anew is another source, though its name is the same; all coordinates shift a little."""
    names = doubt_sources()
    before = {("front", name): 1.0 for name in names}
    after = {**before, ("front", names[3]): 2.0}
    shifted = moved(COUPE, "strut_low", (0.01, 0.02, 0.03))
    found = compared(COUPE, shifted, readings=(before, after))
    assert found.shared["front"] == (len(names) - 1, len(names))


def test_springs_weights_and_the_body() -> None:
    loads = SALOON.front.loads
    assert loads is not None
    spring = replace(loads.spring, rate=np.full(2, 40.0))
    front = replace(
        SALOON.front,
        loads=replace(loads, spring=spring, bar=None, corner_mass=loads.corner_mass + np.array([3.0, 0.0])),
        body=replace(SALOON.front.body, centre_of_gravity=500.0),
    )
    found = compared(SALOON, with_front(SALOON, front))
    told = {(one.axle, one.side, one.what): (one.before, one.after) for one in found.parts}
    assert told.pop(("front", "", "anti-roll bar"))[1] is None
    assert told == {
        ("", "", "centre of gravity, up"): (520.0, 500.0),
        ("front", "left", "weight on the scale"): (290.0, 293.0),
        ("front", "left", "spring rate"): (34.0, 40.0),
        ("front", "right", "spring rate"): (34.0, 40.0),
    }
