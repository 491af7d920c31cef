"""What a source's doubt is to a number: its share of the variance, and what it would help to measure it better.

Formula: the variance to first order is the sum of squared slopes (JCGM 100:2008, 5.1.2).
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle
from kinematics.car.limits import Limits
from kinematics.car.uncertainty import Coordinate, Doubt, independent
from kinematics.doubt.assessment import Assessment, assess
from kinematics.doubt.question import AT_RIDE_HEIGHT, Question
from kinematics.inputs.demo_cars import LOWERED_COUPE, demo_car
from tests.published.test_roll_centre_of_planar_cars import WISHBONES, axle
from tests.short_run import at_places

COUPE = demo_car(LOWERED_COUPE).front
OVER_ALL = Question(np.array([-15.0, 0.0, 15.0]), np.array([-0.02, 0.0, 0.02]), np.array([-10.0, 0.0, 10.0]))
_ROUNDING = 1e-9  # mm and rad: numbers that stay at zero differ from it by so little


def _first(measured: Axle, doubt: Doubt, question: Question = AT_RIDE_HEIGHT) -> Assessment:
    found = assess(replace(measured, doubt=doubt), question, Limits())
    assert found is not None
    return found


def _doubt() -> Doubt:
    assert COUPE.doubt is not None
    return COUPE.doubt


def _scaled(doubt: Doubt, source: int, factor: float) -> Doubt:
    influence = doubt.influence.copy()
    influence[:, source] *= factor
    return replace(doubt, influence=influence)


def test_shares_sum_to_one() -> None:
    shares_told = 0
    for one in _first(COUPE, _doubt(), OVER_ALL).first.values():
        shares = one.shares
        assert (shares >= 0.0).all()
        doubtful = one.standard_deviation > 0.0
        assert_allclose(shares.sum(axis=0), doubtful.astype(float), rtol=1e-12, atol=0.0)
        shares_told += int(doubtful.sum())
    assert shares_told > 100


@pytest.mark.parametrize("source", at_places(["tie_rod_outer up", "lower_ball_joint up", "strut_top out", "camber"], 0))
def test_halved_is_what_comes_of_half_the_doubt(source: str) -> None:
    doubt = _doubt()
    index = doubt.sources.index(source)
    whole = _first(COUPE, doubt, OVER_ALL)
    anew = _first(COUPE, _scaled(doubt, index, 0.5), OVER_ALL)
    for asked, one in whole.first.items():
        said = one.halved()[index]
        assert_allclose(said, anew.first[asked].standard_deviation, rtol=1e-9, atol=_ROUNDING, err_msg=str(asked))
        # Halving the whole of it can take away half of the standard deviation at the most.
        assert (said >= 0.5 * one.standard_deviation * (1.0 - 1e-12)).all()
        assert (said <= one.standard_deviation * (1.0 + 1e-12)).all()


def test_halved_changes_what_it_should() -> None:
    """Camber comes of the gauge alone: halving its doubt halves that of camber; a point's halved does nothing."""
    doubt = _doubt()
    one = _first(COUPE, doubt).first["ride height", "camber"]
    halved = one.halved()
    gauge = doubt.sources.index("camber")
    assert_allclose(halved[gauge], 0.5 * one.standard_deviation, rtol=1e-9)
    assert_allclose(np.delete(halved, gauge, axis=0), np.broadcast_to(one.standard_deviation, (len(halved) - 1, 2, 1)))


@pytest.mark.parametrize("factor", at_places([2.0, 0.25], 1))
def test_all_doubts_doubled_doubles_every_either_way(factor: float) -> None:
    doubt = _doubt()
    once = _first(COUPE, doubt, OVER_ALL)
    more = _first(COUPE, replace(doubt, influence=factor * doubt.influence), OVER_ALL)
    for asked in once.first:
        expected = factor * once.half_width_95(asked)
        assert_allclose(more.half_width_95(asked), expected, rtol=1e-9, atol=_ROUNDING, err_msg=str(asked))
        finite = np.isfinite(once.first[asked].value)  # the turn radius straight ahead is not
        low, high = (end[finite] for end in once.band(asked))
        assert_allclose(0.5 * (high - low), once.half_width_95(asked)[finite], rtol=1e-9, atol=1e-9)
        assert_allclose(0.5 * (high + low), once.first[asked].value[finite], rtol=1e-9, atol=1e-9)
        assert_allclose(more.first[asked].shares.sum(axis=0), once.first[asked].shares.sum(axis=0), atol=1e-12)


def test_either_way_is_1_96_standard_deviations() -> None:
    found = _first(COUPE, _doubt())
    assert_allclose(found.half_width_95(("ride height", "camber")), 1.959963985 * math.radians(0.1), rtol=1e-6)


def test_the_source_that_counts_most() -> None:
    """A planar lower arm's angle: each end's height counts by how far it turns the arm (formula)."""
    front, rear, ball = (WISHBONES[key] for key in ("lower_pivot_front", "lower_pivot_rear", "lower_ball_joint"))
    part = (ball[0] - rear[0]) / (front[0] - rear[0])
    keys = ("lower_pivot_front", "lower_pivot_rear", "lower_ball_joint")
    sizes = {"lower_pivot_front": 4.0, "lower_pivot_rear": 5.0, "lower_ball_joint": 3.0}
    weights = {"lower_pivot_front": part, "lower_pivot_rear": 1.0 - part, "lower_ball_joint": 1.0}
    doubt = independent([Coordinate(key, "up") for key in keys], [sizes[key] for key in keys])
    shares = _first(axle("double wishbone", WISHBONES), doubt).first["ride height", "lower_arm_angle"].shares
    variances = {key: (sizes[key] * weights[key]) ** 2 for key in keys}
    expected = [variances[key] / sum(variances.values()) for key in keys]
    assert_allclose(shares[:, 0, 0], expected, rtol=1e-9)
    # The rear pivot is the least well known, and yet the ball joint's height is what to measure again.
    ranked = [doubt.sources[index] for index in np.argsort(-shares[:, 0, 0])]
    assert ranked == ["lower_ball_joint up", "lower_pivot_rear up", "lower_pivot_front up"]
