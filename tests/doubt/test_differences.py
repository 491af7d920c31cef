"""The doubt of what a plan changes: against plans carried out on one car after another, and by hand.

carry_out(Car) tries plans on one car as its owner measured it; the doubt tries one plan on many cars at once. Slopes
are held against Richardson's central difference of fourth order of cars measured anew (formula).
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle, Car, sweep_bump
from kinematics.car.limits import Limit, Limits
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.car.uncertainty import Coordinate, Doubt, independent
from kinematics.doubt.assessment import ALL_LIMITS, Judged, perturbed_axles
from kinematics.doubt.differences import COMPARED, PlanDoubt, plan_doubts
from kinematics.inputs.demo_cars import demo_car, demo_plans
from kinematics.judging.verdict import judge
from kinematics.planning.plans import AS_MEASURED, Plan, axle_after, carry_out
from kinematics.planning.rake import rake_base
from solvers.spread import drawn
from solvers.vectors import Array
from tests.plans.garage import change, plan
from tests.properties.plausible_cars import typical_axle
from tests.short_run import at_places

CAR = demo_car()
PLANS = demo_plans().plans
NOTHING = plan(change("ride height", by=0.0), name="nothing")
# Where a rack is raised, or a tie rod shimmed, only tie rods move, and setting toe back leaves the upright where it
# stood: arm and steering axis are as measured on whatever car, to the 1e-10 rad that alignment ends within.
STAYS = dict.fromkeys(("tie-rod ends down", "rack up"), ("scrub_radius", "lower_arm_angle"))
SIGMA = 2.0
_DRAWS = 300
_DEFAULT = Limits()


def _doubt(axle: Axle) -> Doubt:
    assert axle.doubt is not None
    return axle.doubt


def _drawn(count: int, seed: int = 1) -> Axle:
    doubt = _doubt(CAR.front)
    return perturbed_axles(CAR.front, doubt, drawn(["normal"] * len(doubt.sources), count, seed, 0))


def _tried(
    car: Car, plans: Sequence[Plan], draws: int = 2, seed: int = 1, limits: Limits | None = None
) -> list[PlanDoubt]:
    return plan_doubts(car, car.axles[0], plans, limits or Limits(), draws=draws, seed=seed)


@cache
def _demo() -> list[PlanDoubt]:
    return _tried(CAR, PLANS, _DRAWS, limits=CAR.limits)


@pytest.mark.parametrize("index", at_places(range(len(PLANS)), 2), ids=[one.name for one in PLANS])
def test_many_cars_at_once_are_each_car_by_itself(index: int) -> None:
    cars = _drawn(6)
    together, fits = axle_after(cars, PLANS[index], rake_base(CAR))
    assert fits.all()
    for number in range(6):
        one = carry_out(replace(CAR, axles=(cars.variant(number),)), [PLANS[index]])[0]["front"].axle
        for key, point in one.points.items():
            assert_allclose(together.points[key][number], point, rtol=0.0, atol=1e-8, err_msg=key)
        assert_allclose(together.camber[number], one.camber, rtol=0.0, atol=1e-9)
        assert_allclose(together.toe[number], one.toe, rtol=0.0, atol=1e-9)


def test_a_plan_that_changes_nothing_has_no_doubt_in_its_change() -> None:
    """Camber and toe are set back to what each car had: the errors cancel, all of them."""
    before, nothing = _tried(CAR, [NOTHING], 20)
    assert before.plan == AS_MEASURED
    assert before.change == {}
    assert before.spread == {}
    assert set(nothing.change) == set(before.value) >= {"roll_centre_height", "bump_steer", "anti_dive"}
    for key, changed in nothing.change.items():
        own = before.value[key]
        size = own.standard_deviation.max()
        assert size > 0.0
        assert_allclose(changed.value / size, 0.0, atol=1e-7, err_msg=key)
        assert_allclose(changed.slopes / size, 0.0, atol=1e-7, err_msg=key)
        assert_allclose(nothing.value[key].slopes / size, own.slopes / size, atol=1e-7, err_msg=key)
        assert_allclose(nothing.spread[key].standard_deviation / size, 0.0, atol=1e-6, err_msg=key)
        assert nothing.surer(key) > 1e6
    assert nothing.possible == 1.0
    assert nothing.holding == before.holding


def _changes(sources: Array, tried: Plan, keys: Sequence[str]) -> dict[str, Array]:
    """What a plan changes in cars measured anew (n, m), one by one as an owner would have them, (n, [2,] 1)."""
    cars = perturbed_axles(CAR.front, _doubt(CAR.front), sources)
    found: dict[str, list[Array]] = {key: [] for key in keys}
    for number in range(len(sources)):
        before = cars.variant(number)
        after = carry_out(replace(CAR, axles=(before,)), [tried])[0]["front"].axle
        ends = [sweep_bump(one, np.zeros(1)) for one in (replace(before, body=after.body), after)]
        for key in keys:
            found[key].append(ends[1][key] - ends[0][key])
    return {key: np.array(values) for key, values in found.items()}


@pytest.mark.campaign
@pytest.mark.parametrize("index", [1, 2, 3], ids=[one.name for one in PLANS[1:4]])
def test_slopes_of_a_change_are_differences_of_cars_measured_anew(index: int) -> None:
    keys = ("roll_centre_height", "camber_gain", "bump_steer", "scrub_radius", "lower_arm_angle", "roll_steer")
    found = _demo()[1 + index]
    sources = len(_doubt(CAR.front).sources)
    directions = np.random.default_rng(3).normal(size=(2, sources))
    for direction in directions:
        step = 0.02
        far_down, down, up, far_up = (
            _changes(step * many * direction[None], PLANS[index], keys) for many in (-2.0, -1.0, 1.0, 2.0)
        )
        for key in keys:
            slope = (8.0 * (up[key] - down[key]) - (far_up[key] - far_down[key])) / (12.0 * step)
            exact = np.tensordot(direction, found.change[key].slopes, axes=1)
            size = found.value[key].standard_deviation.max()
            # Alignment ends within 1e-10 rad, of a car's own doubt 1e-7 or less; over the step some 1e-5.
            assert_allclose(exact / size, slope[0] / size, rtol=0.0, atol=2e-5, err_msg=key)
            moved = np.abs(exact).max() / size
            assert moved < 1e-7 if key in STAYS.get(PLANS[index].name, ()) else moved > 1e-4, key


@pytest.mark.campaign
def test_monte_carlo_of_a_change_is_its_first_order() -> None:
    """A standard deviation from n draws is good to 1 in sqrt(2 n); four times that, and a tenth for what is bent."""
    for found in _demo()[1:]:
        for key in ("roll_centre_height", "lower_arm_angle", "camber_gain", "bump_steer"):
            sigma = found.change[key].standard_deviation
            spread = found.spread[key]
            if key in STAYS.get(found.plan.name, ()):
                size = found.value[key].standard_deviation
                assert_allclose([sigma / size, spread.standard_deviation / size], 0.0, atol=1e-7, err_msg=key)
                continue
            assert_allclose(spread.known, _DRAWS)
            assert_allclose(
                spread.standard_deviation / sigma, 1.0, atol=4.0 / math.sqrt(2.0 * _DRAWS) + 0.1, err_msg=key
            )
            most = 4.0 / math.sqrt(_DRAWS) + 0.1
            assert_allclose((spread.mean - found.change[key].value) / sigma, 0.0, atol=most, err_msg=key)


@pytest.mark.campaign
def test_values_are_those_of_the_plans_on_the_car_as_measured() -> None:
    done = carry_out(CAR, PLANS)
    before = sweep_bump(CAR.front, np.zeros(1))
    for found, axles in zip(_demo()[1:], done, strict=True):
        after = sweep_bump(axles["front"].axle, np.zeros(1))
        for key in ("roll_centre_height", "lower_arm_angle", "scrub_radius", "camber_gain"):
            assert_allclose(found.value[key].value, after[key], rtol=1e-6, atol=1e-9, err_msg=key)
            assert_allclose(found.change[key].value, after[key] - before[key], rtol=1e-6, atol=1e-7, err_msg=key)


@pytest.mark.campaign
def test_a_change_is_surer_than_the_number_itself() -> None:
    """What plans are compared for: most of the doubt is the same before and after."""
    for found in _demo()[1:]:
        assert found.surer("roll_centre_height") > 3.0
        value, changed = found.half_width_95("roll_centre_height")
        assert_allclose(value / changed, found.surer("roll_centre_height"), rtol=1e-12)
        assert_allclose(value, 1.959963985 * found.value["roll_centre_height"].standard_deviation, rtol=1e-6)


@pytest.mark.campaign
def test_chances_are_what_the_verdict_says_of_the_plans_on_each_car() -> None:
    draws = 15
    cars = _drawn(draws, seed=4)
    tried = [PLANS[2]]
    found = _tried(CAR, tried, draws, 4, CAR.limits)
    counted: list[dict[Judged, int]] = [{}, {}]
    for number in range(draws):
        car = replace(CAR, axles=(cars.variant(number),))
        axles = [car.front, *(one["front"].axle for one in carry_out(car, tried))]
        for counts, axle in zip(counted, axles, strict=True):
            holds: dict[Judged, bool] = {}
            for one in judge(axle, CAR.limits):
                key = (one.limit.key, one.over)
                holds[key] = holds.get(key, True) and one.holds
            holds[ALL_LIMITS] = all(holds.values())
            for key, held in holds.items():
                counts[key] = counts.get(key, 0) + held
    for doubted, counts in zip(found, counted, strict=True):
        assert doubted.possible == 1.0
        assert set(doubted.holding) == set(counts)
        for key, part in doubted.holding.items():
            assert part == pytest.approx(counts[key] / draws, abs=1e-12), key
    assert 0.0 < found[1].holding[ALL_LIMITS] < 1.0


def test_all_limits_hold_no_more_often_than_any_one() -> None:
    for found in _demo():
        single = [part for key, part in found.holding.items() if key != ALL_LIMITS]
        assert found.holding[ALL_LIMITS] <= min(single)
        assert found.holding[ALL_LIMITS] <= found.possible


@pytest.mark.campaign
def test_the_same_seed_gives_the_same() -> None:
    once, again, other = (_tried(CAR, [PLANS[1]], 20, seed, CAR.limits)[1] for seed in (5, 5, 6))
    assert once.holding == again.holding
    for key, spread in once.spread.items():
        np.testing.assert_array_equal(spread.mean, again.spread[key].mean)
        assert (spread.mean != other.spread[key].mean).all(), key


def _straight() -> Axle:
    """A strut axle whose wheels stand upright and point straight ahead."""
    measured = typical_axle(SUSPENSIONS["strut"])
    return replace(measured, camber=np.zeros(2), toe=np.zeros(2))


def _car(axle: Axle, coordinates: Sequence[Coordinate], sizes: Sequence[float]) -> Car:
    return Car("invented", axles=(replace(axle, doubt=independent(coordinates, sizes)),))


_AXIS = [Coordinate(key, way) for key in ("lower_ball_joint", "strut_top") for way in ("out", "up")]


def test_another_tyre_moves_the_scrub_radius_as_sure_as_the_kingpin_inclination() -> None:
    """Body and hub rise by d, the suspension stays: where the axis passes the ground moves d tan(inclination) out.

    A leaning wheel's contact point moves in by d times its camber. Formula: tan = dy/dz, both ends in doubt.
    """
    by, of_camber = 12.0, 3e-3
    axle = _straight()
    low, top = (axle.points[key][0] for key in ("lower_ball_joint", "strut_top"))
    tangent = (low[1] - top[1]) / (top[2] - low[2])
    of_tangent = math.sqrt(2.0 * (1.0 + tangent**2)) * SIGMA / (top[2] - low[2])
    car = _car(axle, [*_AXIS, Coordinate("camber", "")], [SIGMA] * 4 + [of_camber])
    found = _tried(car, [plan(change("tyre radius", by=by))])[1].change["scrub_radius"]
    assert_allclose(found.value[:, 0], -by * tangent, rtol=1e-7)
    expected = by * math.hypot(of_tangent, of_camber)
    assert_allclose(found.standard_deviation[:, 0], expected, rtol=1e-6)


def test_a_wheel_spacer_moves_the_scrub_radius_by_itself() -> None:
    car = _car(_straight(), _AXIS, [SIGMA] * 4)
    found = _tried(car, [plan(change("wheel spacer", by=15.0))])[1]
    assert_allclose(found.change["scrub_radius"].value, 15.0, rtol=1e-9)
    assert_allclose(found.change["scrub_radius"].standard_deviation, 0.0, atol=1e-9)
    assert found.value["scrub_radius"].standard_deviation.min() > 1.0


@pytest.mark.campaign
def test_what_cannot_be_put_together_is_not_counted_as_holding() -> None:
    """Ball joints that reach far below the ground."""
    long = plan(change("longer ball joint", by=400.0), name="too long")
    heights = ("roll_centre_height", "force_weighted_height")
    anywhere = Limits(by_axle={"front": tuple(Limit(key, -1e9, 1e9, ("ride height",)) for key in heights)})
    front = replace(CAR.front, doubt=independent([Coordinate("strut_top", "out")], [SIGMA]))
    before, far = _tried(replace(CAR, axles=(front,)), [long], limits=anywhere)
    assert before.possible == before.holding[ALL_LIMITS] == 1.0
    assert far.possible == 0.0
    assert far.holding[ALL_LIMITS] == 0.0
    for spread in far.spread.values():
        assert (spread.known == 0.0).all()


@pytest.mark.parametrize("name", ["five link", "live axle with three links"])
def test_other_types(name: str) -> None:
    measured = replace(typical_axle(SUSPENSIONS[name]), name="front")
    coordinates = [Coordinate(key, way) for key in measured.points for way in ("ahead", "out", "up")]
    car = _car(measured, coordinates, [1.0] * len(coordinates))
    draws = 100
    _, lowered, nothing = _tried(car, [plan(change("ride height", by=-15.0)), NOTHING], draws)
    assert set(lowered.change) <= set(COMPARED)
    one, spread = lowered.change["roll_centre_height"], lowered.spread["roll_centre_height"]
    most = 4.0 / math.sqrt(2.0 * draws) + 0.1
    assert_allclose(spread.standard_deviation / one.standard_deviation, 1.0, atol=most)
    assert lowered.surer("roll_centre_height") > 1.5
    assert nothing.surer("roll_centre_height") > 1e5


def test_an_axle_that_states_no_doubt() -> None:
    bare = replace(CAR, axles=(replace(CAR.front, doubt=None),))
    with pytest.raises(ValueError, match="the front axle states no doubt"):
        plan_doubts(bare, bare.front, [NOTHING], Limits(), draws=1, seed=1)
