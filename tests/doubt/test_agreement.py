"""Where first order and Monte Carlo part, told for what is known to be bent, flat or lost, and for nothing else.

The sum of two squares at zero: JCGM 101:2008, 9.4, from memory. The tolerance: half a unit of the standard deviation's
first significant digit, JCGM 101:2008, 8.1 and 7.9.2, from memory.
"""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from kinematics import Axle
from kinematics.car.limits import Limits
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.car.uncertainty import Coordinate, Doubt, independent
from kinematics.doubt.agreement import Parting, part, parted_states, partings
from kinematics.doubt.assessment import Assessment, assess
from kinematics.doubt.question import AT_RIDE_HEIGHT, Question
from kinematics.inputs.demo_cars import DEMO_CARS, LOWERED_COUPE, demo_car
from solvers.spread import first_order, monte_carlo
from solvers.vectors import Array
from tests.properties.plausible_cars import typical_axle
from tests.published.test_roll_centre_of_planar_cars import WISHBONES, FrontView, axle
from tests.short_run import at_places

_DRAWS = 200_000
_CAR_DRAWS = 600


def _parts(study: Callable[[Array], Array], seed: int = 1, draws: int = _DRAWS) -> bool:
    def named(sources: Array) -> dict[str, Array]:
        return {"y": study(sources)}

    first, spread = first_order(named, 2)["y"], monte_carlo(named, ["normal"] * 2, draws, seed, block=20_000)["y"]
    return bool(part(first, spread))


def _two_squares(at: float) -> Callable[[Array], Array]:
    return lambda sources: (at + 0.005 * sources[..., 0]) ** 2 + (0.005 * sources[..., 1]) ** 2


def test_two_squares_part_at_zero_and_agree_far_away() -> None:
    assert _parts(_two_squares(0.0))
    assert _parts(_two_squares(0.010))
    assert not _parts(_two_squares(5.0))


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("draws", [300, 5000])
def test_a_linear_sum_never_parts(seed: int, draws: int) -> None:
    assert not _parts(lambda sources: 7.0 + 9.0 * sources[..., 0] - 4.0 * sources[..., 1], seed, draws)


@pytest.mark.parametrize(("sigma", "tolerance"), [(9.9, 0.5 / 9.9), (1.05, 0.5 / 1.05)])
def test_a_bent_number_parts_where_the_guide_says(sigma: float, tolerance: float) -> None:
    """Both ends of the interval of x + b (x^2) move by b times 1.96^2."""

    def bent(share: float) -> Callable[[Array], Array]:
        bend = share * tolerance / 1.959964**2
        return lambda sources: sigma * (sources[..., 0] + bend * sources[..., 0] ** 2)

    assert not _parts(bent(0.75))
    assert _parts(bent(1.3))


def test_an_interval_that_is_too_wide_is_told_as_is_one_too_narrow() -> None:
    # Both ends move by 0.05 times 1.96^3 times five, 1.9; half a digit of a standard deviation near five is 0.5.
    assert _parts(lambda sources: 5.0 * (sources[..., 0] - 0.05 * sources[..., 0] ** 3))
    assert _parts(lambda sources: 5.0 * (sources[..., 0] + 0.05 * sources[..., 0] ** 3))


def test_a_number_that_is_lost_in_some_draws() -> None:
    """One in 4300 draws, too few to move the interval."""
    assert _parts(lambda sources: np.where(sources[..., 0].real > -3.5, sources[..., 0], np.nan))
    assert not _parts(lambda sources: np.where(sources[..., 0].real > -9.0, sources[..., 0], np.nan))


def test_what_has_no_doubt_agrees() -> None:
    assert not _parts(lambda sources: 741.0 + 0.0 * sources[..., 0])


def _assessed(measured: Axle, doubt: Doubt | None = None, question: Question = AT_RIDE_HEIGHT) -> Assessment:
    measured = measured if doubt is None else replace(measured, doubt=doubt)
    found = assess(measured, question, Limits(), draws=_CAR_DRAWS)
    assert found is not None
    return found


def _told(assessment: Assessment) -> dict[tuple[str, int | None], Parting]:
    return {(one.key, one.side): one for one in partings(assessment)}


@pytest.mark.campaign
@pytest.mark.parametrize("name", at_places(DEMO_CARS.values(), 0, 3), ids=DEMO_CARS)
def test_the_usual_numbers_of_demo_cars_agree(name: str) -> None:
    for measured in demo_car(name).axles:
        if measured.doubt is not None:
            told = {key for key, _ in _told(_assessed(measured))}
            assert told.isdisjoint({"roll_centre_height", "bump_steer", "camber_gain", "camber", "toe"})


def test_an_instant_centre_on_its_way_to_infinity() -> None:
    """A lower arm that rises 20 mm, known to 3 mm, below a level one: where their lines meet, exactly (formula)."""
    sigma, low, high, rise = 3.0, 200.0, 480.0, 20.0
    tilted: FrontView = {key: (x, y, high if "upper" in key else low) for key, (x, y, _) in WISHBONES.items()}
    for key in ("lower_pivot_front", "lower_pivot_rear", "tie_rod_inner"):
        tilted[key] = (*tilted[key][:2], low + rise)
    outer = WISHBONES["lower_ball_joint"][1]
    arm = outer - WISHBONES["lower_pivot_front"][1]

    def centre(ball_joint_up: float) -> float:
        return outer - (high - ball_joint_up) * arm / (low + rise - ball_joint_up)

    # The tie rod lies like the lower arm, so that the upright stays in its plane.
    ends = (Coordinate("lower_ball_joint", "up"), Coordinate("tie_rod_outer", "up"))
    found = _assessed(axle("double wishbone", tilted), Doubt(ends, np.full((2, 1), sigma), ("outer end",)))
    told = _told(found)
    left = told["instant_centre_y", 0]
    assert ("instant_centre_y", 1) in told
    assert not left.flat
    assert left.lost == 0.0
    slope = (centre(low + 1e-4) - centre(low - 1e-4)) / 2e-4
    middle = centre(low)
    assert left.first == pytest.approx(
        (middle - 1.959964 * sigma * -slope, middle + 1.959964 * sigma * -slope), rel=1e-6
    )
    # The centre goes one way with the ball joint's height, so its quantiles are those of the height: each is good to
    # 2.67 standard deviations over the root of the draws, four times that is asked for.
    open_to = 4.0 * 2.67 / math.sqrt(_CAR_DRAWS)
    for end, at in zip(left.drawn, (1.959964, -1.959964), strict=True):
        assert centre(low + sigma * (at + open_to)) < end < centre(low + sigma * (at - open_to))
    assert ("lower_arm_angle", None) not in told


def test_a_number_at_an_extremum() -> None:
    """A straight wheel's contact point moves ahead by radius times camber times toe: nothing to first order."""
    of_camber, of_toe = 0.02, 0.01
    measured = replace(typical_axle(SUSPENSIONS["strut"]), camber=np.zeros(2), toe=np.zeros(2))
    found = _assessed(measured, independent([Coordinate("camber", ""), Coordinate("toe", "")], [of_camber, of_toe]))
    told = _told(found)["contact_x", None]
    assert told.flat
    assert told.first == pytest.approx((0.0, 0.0), abs=1e-12)
    # A product of two independent normals: standard deviation the product of theirs (formula); its fourth moment is
    # nine, so that the standard deviation is found to sqrt((9 - 1)/(4 n)).
    radius = measured.points["wheel_centre"][0, 2]
    assert found.chances is not None
    drawn = found.chances.spread["ride height", "contact_x"].standard_deviation
    assert drawn == pytest.approx(np.full((2, 1), radius * of_camber * of_toe), rel=4.0 * np.sqrt(2.0 / _CAR_DRAWS))


def test_sides_alike_are_told_once_and_others_each() -> None:
    measured = replace(typical_axle(SUSPENSIONS["strut"]), camber=np.zeros(2), toe=np.zeros(2))
    left = [Coordinate("camber", "", (0,)), Coordinate("toe", "", (0,))]
    told = _told(_assessed(measured, independent(left, [0.02, 0.01])))
    assert ("contact_x", 0) in told
    assert ("contact_x", 1) not in told
    assert ("contact_x", None) not in told


def test_states_of_a_sweep_at_which_a_number_parts() -> None:
    """What is told at ride height is told of the same state in a sweep."""
    measured = demo_car(LOWERED_COUPE).front
    question = Question(np.array([-20.0, 0.0, 20.0]), np.zeros(0), np.zeros(0))
    found = _assessed(measured, question=question)
    height = parted_states(found, ("bump", "roll_centre_height"))
    assert height.shape == (3,)
    assert not height.any()
    at_ride_height = _told(found)
    for key in ("instant_centre_y", "camber"):
        told = parted_states(found, ("bump", key))
        assert told.shape == (2, 3)
        assert told[0, 1] == any(one == key for one, _ in at_ride_height)


@pytest.mark.parametrize("seed", range(5))
def test_a_ratio_on_its_way_to_infinity_parts_although_its_standard_deviation_is_huge(seed: int) -> None:
    """A quotient of normal numbers has no standard deviation (formula); a few far draws must not hide that."""
    assert _parts(lambda sources: (1.0 + 2.0 * sources[..., 0]) / (1.0 + 2.0 * sources[..., 1]), seed, 2000)
