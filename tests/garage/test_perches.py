"""How far to move the perches of a car for a cross-weight, and what its wheels then carry.

Weights at rest have one freedom: what the front right wheel takes from the left one, the rear left one takes from the
right, so that the moment in roll stays: a at the front times its track is b at the rear times its track, and a and b
together are the car's mass times the change of cross-weight (formula: vertical force and both moments).
"""

from dataclasses import replace

import numpy as np
import pytest

from kinematics.car.car import Car
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.inputs.demo_cars import DEMO_CARS, demo_car
from kinematics.loads.equilibrium import balance
from kinematics.loads.setup import calibrated
from kinematics.loads.whole_car import WholeCar
from kinematics.planning.changes import Change
from kinematics.planning.plans import AS_MEASURED, Plan, carry_out
from kinematics.planning.settling import rigged
from kinematics.setting.perches import NotReachedError, Perches, cross_weight, set_on_perches

SALOON = demo_car(DEMO_CARS["rear-drive-saloon"])
LOWER = Plan("lower", (Change("front", "ride height", -15.0), Change("rear", "ride height", -10.0)))
BOTH = (True, True)


def on_rigid_tyres(car: Car) -> Car:
    """The same car on tyres that are not squashed, so that perches move neither wheels nor contact points."""
    axles = [replace(one, loads=replace(one.loads, tyre_rate=None)) for one in car.axles if one.loads is not None]
    return replace(car, axles=tuple(axles))


def equal_tracks() -> Car:
    """The saloon with contact points of the rear wheels as far out as those in front."""
    front = float(SALOON.front.contact[0, 1])
    rear = SALOON.rear.points["wheel_centre"].copy()
    rear[:, 1] = np.array([1.0, -1.0]) * front
    return replace(SALOON, axles=(SALOON.front, SALOON.rear.with_points(wheel_centre=rear)))


def perches(car: Car, plan: Plan, cross: float | None, movable: tuple[bool, bool] = BOTH) -> Perches:
    (axles,) = carry_out(car, [plan])
    return set_on_perches(rigged(car, axles, plan.changes), cross, movable)


def test_loads_by_the_closed_form_on_equal_tracks() -> None:
    car, cross = on_rigid_tyres(equal_tracks()), 0.52
    found = perches(car, AS_MEASURED, cross)
    scales = np.array([car.front.loads.corner_mass, car.rear.loads.corner_mass])  # type: ignore[union-attr]
    moved = 0.5 * scales.sum() * (cross - cross_weight(scales))
    expected = scales + moved * np.array([[-1.0, 1.0], [1.0, -1.0]])
    np.testing.assert_allclose(found.load, expected, rtol=0.0, atol=1e-6)


# Unlike squash of soft tyres leans the live axle, whose contact points go some 0.1 mm aside under 550 kg.
@pytest.mark.parametrize(
    ("car", "plan", "within"),
    [(on_rigid_tyres(SALOON), AS_MEASURED, 1e-6), (SALOON, AS_MEASURED, 0.05), (SALOON, LOWER, 0.05)],
    ids=["rigid tyres", "soft tyres", "lower"],
)
def test_loads_by_the_closed_form_on_unlike_tracks(car: Car, plan: Plan, within: float) -> None:
    before, after = perches(car, plan, None), perches(car, plan, 0.48)
    moved = after.load - before.load
    tracks = [float(np.ptp(axle.contact[:, 1])) for axle in SALOON.axles]
    front = before.load.sum() * (0.48 - before.cross) / (1.0 + tracks[0] / tracks[1])
    expected = front * np.array([[-1.0, 1.0], [tracks[0] / tracks[1], -tracks[0] / tracks[1]]])
    np.testing.assert_allclose(moved, expected, rtol=0.0, atol=within)
    assert after.cross == pytest.approx(0.48, abs=1e-9)
    assert abs(after.roll) < 1e-9
    np.testing.assert_allclose(after.heave, 0.0, atol=1e-6)


def on_packing(packing: np.ndarray) -> WholeCar:
    """The saloon as measured with its springs packed so far, its bar unhooked."""
    front, rear = (
        setup.with_springs(setup.rate, None, by).with_bar(np.zeros(()))
        for setup, by in zip(map(calibrated, SALOON.axles), packing, strict=True)
    )
    body = SALOON.body
    assert body.centre_of_gravity is not None
    assert body.wheelbase is not None
    return WholeCar(front, rear, float(body.centre_of_gravity), body.wheelbase)


def test_perches_moved_in_the_balance_give_the_loads_and_keep_the_height() -> None:
    found = perches(SALOON, AS_MEASURED, 0.51)
    rest = balance(on_packing(found.crossed), np.zeros(1))
    np.testing.assert_allclose(rest.load[..., 0] / GRAVITY, found.load, rtol=1e-9)
    np.testing.assert_allclose([*rest.heave[:, 0], rest.roll[0]], 0.0, atol=1e-7)


def test_packing_of_a_lower_car_lets_it_down_so_far() -> None:
    """Found on the linkage as it stands lowered; here the car as measured is let down by the same packing."""
    found = perches(SALOON, LOWER, 0.51)
    rest = balance(on_packing(found.packed + found.crossed), np.zeros(1))
    np.testing.assert_allclose(rest.heave[:, 0], [-15.0, -10.0], atol=0.02)
    # The body's pitch moves what its axles carry by some 0.1 kg, and its linkages stand pitched in one way only.
    np.testing.assert_allclose(rest.load[..., 0] / GRAVITY, found.load, atol=0.5)


@pytest.mark.parametrize("movable", [(True, False), (False, True)], ids=["front", "rear"])
def test_perches_of_one_axle_alone(movable: tuple[bool, bool]) -> None:
    """That axle keeps its height, the cross-weight comes, and the other axle's perches stay."""
    found = perches(SALOON, AS_MEASURED, 0.51, movable)
    own = movable.index(True)
    assert found.cross == pytest.approx(0.51, abs=1e-9)
    assert found.heave[own] == pytest.approx(0.0, abs=1e-6)
    assert (found.crossed[1 - own] == 0.0).all()
    rest = balance(on_packing(found.crossed), np.zeros(1))
    assert cross_weight(rest.load[..., 0]) == pytest.approx(0.51, abs=1e-9)


def test_what_no_perch_can_bring() -> None:
    with pytest.raises(NotReachedError):
        perches(SALOON, AS_MEASURED, 0.9)


def test_what_came_out_is_undone() -> None:
    """Perches left wrong by known amounts: heights and loads from the balance say, to first order, by how much."""
    found, wrong = perches(SALOON, AS_MEASURED, None), np.array([[1.0, -0.5], [0.4, 0.8]])
    rest = balance(on_packing(wrong), np.zeros(1))
    half = float(np.ptp(SALOON.front.contact[:, 1])) / 2.0
    cross = cross_weight(rest.load[..., 0]) - found.cross
    undone = found.to_undo(list(rest.heave[:, 0]), float(rest.roll[0]) * half, cross)
    assert undone is not None
    np.testing.assert_allclose(undone, -wrong, atol=0.02)
    assert found.to_undo([0.0, None], 0.0, 0.0) is None
