"""The outer wheel's share of the lateral force: one half without lean, more with it, and no jump between."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import demo_car, sweep_roll
from kinematics.car.limits import Limits, WorkingRange
from kinematics.numbers.outer_share import OuterShare, within

AT = math.radians(1.2)


def test_it_is_a_straight_line_from_one_half_through_the_stated_share_to_one() -> None:
    share = OuterShare(0.7, AT)
    roll = AT * np.array([-4.0, -2.5, -1.0, -0.5, 0.0, 0.5, 1.0, 2.0, 2.5, 4.0])
    assert_allclose(share.of_right(roll), [0.0, 0.0, 0.3, 0.4, 0.5, 0.6, 0.7, 0.9, 1.0, 1.0], rtol=0.0, atol=1e-14)


def test_with_one_half_stated_lean_changes_nothing() -> None:
    assert_allclose(OuterShare(0.5, AT).of_right(np.linspace(-0.2, 0.2, 5)), 0.5, rtol=0.0, atol=0.0)


def test_a_tangent_is_carried_on() -> None:
    """The complex step: the slope is 0.2 over the working roll, and none where one wheel carries all."""
    step = 1e-30
    for roll, slope in ((0.0, 0.2 / AT), (0.4 * AT, 0.2 / AT), (-0.4 * AT, 0.2 / AT), (3.0 * AT, 0.0)):
        found = OuterShare(0.7, AT).of_right(np.array([roll + 1j * step]))
        assert found.imag[0] / step == pytest.approx(slope, rel=1e-14)


@pytest.mark.parametrize(
    ("stated", "at"), [(0.4, 0.1), (1.1, 0.1), (0.7, 0.0), (0.7, math.inf), (math.nan, 0.1), (0.7, 2.0)]
)
def test_what_is_no_share_is_refused(stated: float, at: float) -> None:
    with pytest.raises(ValueError, match=r"allowed|in radians"):
        OuterShare(stated, at)


def test_limits_state_it_at_the_end_of_their_working_roll() -> None:
    limits = Limits(WorkingRange(roll=AT), outer_share=0.6, outer_share_by_axle={"rear": 0.8})
    assert within(limits).of("front") == OuterShare(0.6, AT)
    assert within(limits).of("rear") == OuterShare(0.8, AT, balanced=True)


def test_the_force_weighted_height_has_no_jump_at_no_roll() -> None:
    """Along ever shorter steps of roll its change falls at least in proportion; a jump would stay."""
    axle = demo_car().front
    steps = np.radians([1e-2, 1e-3, 1e-4])
    roll = np.concatenate([[0.0], steps, -steps])
    height = sweep_roll(axle, roll, outer_share=OuterShare(0.9, AT))["force_weighted_height"]
    for found in (height[1:4] - height[0], height[4:] - height[0]):
        assert (np.abs(found[1:]) < 0.11 * np.abs(found[:-1])).all()
        assert abs(found[-1]) < 1e-3


def test_at_the_end_of_the_working_roll_the_height_is_that_of_the_stated_share() -> None:
    """By moments of the two lateral forces and the jacking forces that their lines give."""
    sweep = sweep_roll(demo_car().front, np.array([AT]), outer_share=OuterShare(0.7, AT))
    force = np.array([0.3, 0.7])
    out, slope = sweep["contact_y"][:, 0], np.array([-1.0, 1.0]) * sweep["jacking_coefficient"][:, 0]
    # The resultant at the centre plane: its moment about the point at ground level is that of all four forces.
    height = -(force * slope * out).sum() / force.sum()
    assert sweep["force_weighted_height"][0] == pytest.approx(height, abs=1e-9)
