"""Chances by Monte Carlo: against exact normal probabilities, against first order, and against counting by hand.

A part p found from n draws is good to sqrt(p (1 - p) / n), a standard deviation to 1 in sqrt(2 n), a 95 % interval's
end to 2.67 standard deviations over sqrt(n) (formulas); four times that is asked for.
"""

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from statistics import NormalDist

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from kinematics import Axle
from kinematics.car.limits import Limit, Limits, Over
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.car.uncertainty import Coordinate, Doubt, independent
from kinematics.doubt.assessment import ALL_LIMITS, Assessment, Chances, Judged, assess, perturbed_axles
from kinematics.doubt.planned import plan_sureness
from kinematics.doubt.question import AT_RIDE_HEIGHT, Question
from kinematics.inputs.demo_cars import LOWERED_COUPE, demo_car
from kinematics.judging.verdict import judge
from kinematics.planning.plans import Plan
from solvers.spread import BLOCK, drawn
from solvers.vectors import Array
from tests.properties.plausible_cars import typical_axle

_NORMAL = NormalDist()
_DRAWS = 300
_COUPE = demo_car(LOWERED_COUPE)
_HERE: tuple[Over, ...] = ("ride height",)
# In the place of the default limit on the roll centre, one that always holds.
_ROLL_CENTRE = Limit("roll_centre_height", -1e6, 1e6, _HERE)


def _limits(*limits: Limit) -> Limits:
    return Limits(by_axle={"front": (_ROLL_CENTRE, *limits)})


def _here(key: str, low: float, high: float) -> Limit:
    return Limit(key, low, high, _HERE)


def _assessed(measured: Axle, doubt: Doubt, limits: Limits, draws: int = _DRAWS, seed: int = 1) -> Assessment:
    found = assess(replace(measured, doubt=doubt), AT_RIDE_HEIGHT, limits, draws=draws, seed=seed)
    assert found is not None
    return found


def _chances(measured: Axle, doubt: Doubt, limits: Limits, draws: int = _DRAWS, seed: int = 1) -> Chances:
    chances = _assessed(measured, doubt, limits, draws, seed).chances
    assert chances is not None
    return chances


def _left_to_chance(probability: float, draws: int = _DRAWS) -> float:
    return 4.0 * math.sqrt(probability * (1.0 - probability) / draws)


_CAMBER, _TOE = Coordinate("camber", ""), Coordinate("toe", "")
_OF_CAMBER, _OF_TOE = math.radians(0.2), math.radians(0.05)
STRUT = typical_axle(SUSPENSIONS["strut"])  # camber -1.8 degrees, toe-in 0.05 degrees


@pytest.mark.parametrize("sigmas", [-1.5, 0.0, 0.4, 2.0])
def test_a_limit_on_camber(sigmas: float) -> None:
    high = float(STRUT.camber[0]) + sigmas * _OF_CAMBER
    limits = _limits(_here("camber", -math.inf, high))
    found = _chances(STRUT, independent([_CAMBER], [_OF_CAMBER]), limits).holding
    expected = _NORMAL.cdf(sigmas)
    assert found["camber", "ride height"] == pytest.approx(expected, abs=_left_to_chance(expected))
    assert found[ALL_LIMITS] == found["camber", "ride height"]
    assert found["roll_centre_height", "ride height"] == 1.0


def test_a_limit_with_both_ends_and_both_sides_apart() -> None:
    """Each wheel's camber must lie in the range: the two chances multiply (formula)."""
    low, high = (float(STRUT.camber[0]) + sigmas * _OF_CAMBER for sigmas in (-0.7, 1.2))
    apart = independent([replace(_CAMBER, sides=(0,)), replace(_CAMBER, sides=(1,))], [_OF_CAMBER, _OF_CAMBER])
    limits = _limits(_here("camber", low, high))
    one = _NORMAL.cdf(1.2) - _NORMAL.cdf(-0.7)
    shared = _chances(STRUT, independent([_CAMBER], [_OF_CAMBER]), limits).holding["camber", "ride height"]
    assert shared == pytest.approx(one, abs=_left_to_chance(one))
    own = _chances(STRUT, apart, limits).holding["camber", "ride height"]
    assert own == pytest.approx(one**2, abs=_left_to_chance(one**2))


def test_limits_with_errors_of_their_own_and_with_the_same() -> None:
    limits = _limits(
        _here("camber", -math.inf, float(STRUT.camber[0]) + 0.5 * _OF_CAMBER),
        _here("toe", float(STRUT.toe[0]) - 0.3 * _OF_TOE, math.inf),
    )
    of_camber, of_toe = _NORMAL.cdf(0.5), _NORMAL.cdf(0.3)
    own = independent([_CAMBER, _TOE], [_OF_CAMBER, _OF_TOE])
    found = _chances(STRUT, own, limits).holding
    assert found["toe", "ride height"] == pytest.approx(of_toe, abs=_left_to_chance(of_toe))
    assert found[ALL_LIMITS] == pytest.approx(of_camber * of_toe, abs=_left_to_chance(of_camber * of_toe))
    # One error in both gauges, as if the floor was not level: camber too high when toe is too high.
    same = Doubt((_CAMBER, _TOE), np.array([[_OF_CAMBER], [_OF_TOE]]), ("floor",))
    both = of_camber - (1.0 - of_toe)
    found = _chances(STRUT, same, limits).holding
    assert found[ALL_LIMITS] == pytest.approx(both, abs=_left_to_chance(both))


@cache
def _coupe(draws: int = _DRAWS, seed: int = 1) -> Assessment:
    question = Question(np.array([-15.0, 15.0]), np.array([-0.02, 0.02]), np.array([-10.0, 10.0]))
    found = assess(_COUPE.front, question, _LIMITS, draws=draws, seed=seed)
    assert found is not None
    return found


# Some that mostly hold, mostly fail and are about even, over all parts of the range.
_LIMITS = replace(
    _COUPE.limits,
    by_axle={
        "front": (
            Limit("roll_centre_height", -60.0, 76.2),
            Limit("bump_steer", -1.5e-4, 2e-4),
            Limit("camber", -math.inf, math.radians(-1.6)),
            Limit("force_weighted_height", -57.0, 100.0, ("roll",)),
        )
    },
)


def _of(assessment: Assessment) -> Chances:
    assert assessment.chances is not None
    return assessment.chances


def test_all_limits_together_are_between_the_least_and_what_the_failures_add_up_to() -> None:
    """Formula: Boole's and Frechet's bounds; they hold of counts as well, exactly."""
    holding = _of(_coupe()).holding
    single = [part for key, part in holding.items() if key != ALL_LIMITS]
    assert len(single) == 10
    assert sum(0.05 < part < 0.95 for part in single) >= 4
    assert holding[ALL_LIMITS] <= min(single)
    assert holding[ALL_LIMITS] >= 1.0 - sum(1.0 - part for part in single) - 1e-12


@pytest.mark.campaign
def test_chances_are_what_the_verdict_says_of_the_cars_one_by_one() -> None:
    draws = 40
    counted = _judged_one_by_one(draws, seed=3)
    holding = _of(_coupe(draws, 3)).holding
    assert set(holding) == set(counted)
    for key, part in holding.items():
        assert part == pytest.approx(counted[key] / draws, abs=1e-12), key


def _judged_one_by_one(draws: int, seed: int) -> Mapping[Judged, int]:
    doubt = _COUPE.front.doubt
    assert doubt is not None
    cars = perturbed_axles(_COUPE.front, doubt, drawn(["normal"] * len(doubt.sources), draws, seed, 0))
    counted: dict[Judged, int] = {}
    for index in range(draws):
        findings = judge(cars.variant(index), _LIMITS)
        holds: dict[Judged, bool] = {}
        for one in findings:
            key = (one.limit.key, one.over)
            holds[key] = holds.get(key, True) and one.holds
        holds[ALL_LIMITS] = all(holds.values())
        for key, held in holds.items():
            counted[key] = counted.get(key, 0) + held
    return counted


def test_draws_in_blocks_are_all_counted_once() -> None:
    draws = 2 * BLOCK + 37
    sizes = [BLOCK, BLOCK, 37]
    sources = np.concatenate([drawn(["normal"], count, 5, index) for index, count in enumerate(sizes)])[:, 0]
    limits = _limits(_here("camber", -math.inf, float(STRUT.camber[0]) + 0.4 * _OF_CAMBER))
    found = _chances(STRUT, independent([_CAMBER], [_OF_CAMBER]), limits, draws, 5)
    assert found.holding["camber", "ride height"] == pytest.approx((sources <= 0.4).sum() / draws, abs=1e-12)
    camber = found.spread["ride height", "camber"]
    assert camber.count == draws
    assert_array_equal(camber.known, draws)
    assert_allclose(camber.mean, STRUT.camber[0] + _OF_CAMBER * sources.mean(), rtol=1e-9)
    assert_allclose(camber.standard_deviation, _OF_CAMBER * sources.std(ddof=1), rtol=1e-9)
    assert_allclose(camber.highest, STRUT.camber[0] + _OF_CAMBER * sources.max(), rtol=1e-9)


def test_the_same_seed_gives_the_same_and_another_something_else() -> None:
    limits = _COUPE.limits
    assert _COUPE.front.doubt is not None
    first, again, other = (_chances(_COUPE.front, _COUPE.front.doubt, limits, 150, seed) for seed in (7, 7, 8))
    assert first.holding == again.holding
    for asked, spread in first.spread.items():
        assert_array_equal(spread.mean, again.spread[asked].mean, str(asked))
        assert_array_equal(spread.heights, again.spread[asked].heights, str(asked))
    height = ("ride height", "roll_centre_height")
    assert (first.spread[height].mean != other.spread[height].mean).all()  # type: ignore[index]


# Bent by less than the draws leave open: their second-order part is some hundredths of a standard deviation.
_NEARLY_STRAIGHT = ("roll_centre_height", "camber_gain", "bump_steer", "caster", "lower_arm_angle", "camber", "toe")
_BENT = 0.03


def _assert_agrees(assessment: Assessment, keys: tuple[str, ...], draws: int) -> None:
    for asked, first in assessment.first.items():
        if asked[1] not in keys:
            continue
        spread, sigma = _of(assessment).spread[asked], first.standard_deviation
        assert (sigma > 0.0).all()
        size, middle = spread.standard_deviation / sigma, (spread.mean - first.value) / sigma
        assert_allclose(size, 1.0, rtol=0.0, atol=4.0 / math.sqrt(2.0 * draws) + _BENT, err_msg=str(asked))
        assert_allclose(middle, 0.0, rtol=0.0, atol=4.0 / math.sqrt(draws) + _BENT, err_msg=str(asked))
        for end, way in zip(assessment.band(asked), (-1.959964, 1.959964), strict=True):
            most = 4.0 * 2.67 / math.sqrt(draws) + 2.0 * _BENT
            assert_allclose((end - first.value) / sigma, way, rtol=0.0, atol=most, err_msg=str(asked))


@pytest.mark.parametrize("draws", [100, _DRAWS])
def test_first_order_and_monte_carlo_tell_the_same_of_the_demo_car(draws: int) -> None:
    """More draws narrow only what chance leaves open, not the spread itself."""
    _assert_agrees(_coupe(draws), _NEARLY_STRAIGHT, draws)


def test_so_many_cars_lie_in_the_95_percent_band_to_first_order() -> None:
    """Counted in cars drawn anew, with another seed, one number at a time."""
    doubt = _COUPE.front.doubt
    assert doubt is not None
    first = _coupe().first["ride height", "roll_centre_height"]
    cars = perturbed_axles(_COUPE.front, doubt, drawn(["normal"] * len(doubt.sources), _DRAWS, 99, 0))
    found = AT_RIDE_HEIGHT.sweeps(AT_RIDE_HEIGHT.ready(cars))["ride height"]["roll_centre_height"]
    inside = np.abs(found - first.value) <= 1.959964 * first.standard_deviation
    # The band's share changes by some 0.47 times a change of its width (formula), here up to _BENT.
    assert inside.mean() == pytest.approx(0.95, abs=_left_to_chance(0.95) + 0.47 * _BENT)


@pytest.mark.parametrize(
    ("name", "keys"),
    [
        ("five link", ("roll_centre_height", "camber_gain", "bump_steer", "camber", "toe")),
        (
            "live axle with three links",
            ("roll_centre_height", "textbook_roll_centre_height", "roll_steer", "camber", "toe"),
        ),
        ("live axle with triangulated links", ("roll_centre_height", "textbook_roll_centre_height", "camber", "toe")),
        ("double wishbone", ("roll_centre_height", "camber_gain", "bump_steer", "lower_arm_angle", "camber", "toe")),
    ],
)
def test_first_order_and_monte_carlo_tell_the_same_of_other_types(name: str, keys: tuple[str, ...]) -> None:
    measured, draws = typical_axle(SUSPENSIONS[name]), 200
    limits = Limits(by_axle={measured.name: (_ROLL_CENTRE,)})
    found = _assessed(measured, _each_coordinate(measured, 0.5), limits, draws)
    assert set(keys) <= set(found.sweeps["ride height"].values)
    _assert_agrees(found, keys, draws)


def _each_coordinate(measured: Axle, sigma: float) -> Doubt:
    points = [
        Coordinate(key, way, side)
        for key in measured.points
        for side in ([(0, 1)] if key in measured.suspension.single else [(0,), (1,)])
        for way in ("ahead", "out", "up")
    ]
    angles = [Coordinate(angle, "", (side,)) for angle in ("camber", "toe") for side in (0, 1)]
    sizes: Array = np.array([sigma] * len(points) + [1e-3] * len(angles))
    return independent([*points, *angles], sizes.tolist())


def test_without_limits_there_is_nothing_to_hold() -> None:
    """A live axle has no limit unless one is stated."""
    measured = typical_axle(SUSPENSIONS["live axle with three links"])
    assert _chances(measured, _each_coordinate(measured, 0.5), Limits(), 20).holding == {}


def test_an_axle_that_states_no_doubt_is_not_assessed() -> None:
    assert assess(replace(STRUT, doubt=None), AT_RIDE_HEIGHT, Limits(), draws=10) is None


def test_chances_of_each_limit_to_first_order() -> None:
    """Each limit's own chance, by other draws of the cars as they really move: what the table calls least sure."""
    sure = plan_sureness(_COUPE, Plan("as measured"), _COUPE.limits)
    found = assess(_COUPE.front, AT_RIDE_HEIGHT, _COUPE.limits, draws=2000, seed=5)
    assert found is not None
    assert found.chances is not None
    holding = {judged: chance for judged, chance in found.chances.holding.items() if judged != ALL_LIMITS}
    assert {judged[1:] for judged in sure.each} == set(holding)
    for (_, *judged), chance in sure.each.items():
        # Both are counts: of 4000 and of 2000, each with a spread of up to 1.1 %.
        assert chance == pytest.approx(holding[tuple(judged)], abs=0.05), judged
    assert sure.chance is not None
    assert sure.chance <= min(sure.each.values()) + 1e-12
