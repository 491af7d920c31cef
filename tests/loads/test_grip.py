"""Which end gives up first, by the simple tyre: what follows from its definition, and which way bars push it."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics.car.springs_and_bars import GRAVITY
from kinematics.inputs.demo_cars import demo_car
from kinematics.loads.equilibrium import Balance, balance
from kinematics.loads.grip import GripLeft, Tyre, grip_left
from kinematics.loads.report import whole_car
from kinematics.loads.whole_car import WholeCar

ACCELERATIONS = np.linspace(0.0, 1.2, 25) * GRAVITY  # all wheels on the ground
SYMMETRIC = 1e-6  # of a sum of loads that are balanced to 1e-6 N of some 1e4


@cache
def saloon() -> WholeCar:
    return whole_car(demo_car("rear_drive_saloon.toml"))


def with_front_bar(rate: float) -> WholeCar:
    return replace(saloon(), front=saloon().front.with_bar(np.asarray(rate)))


@cache
def found(bar: float | None = None, *, to_the_right: bool = False) -> Balance:
    car = saloon() if bar is None else with_front_bar(bar)
    return balance(car, -ACCELERATIONS if to_the_right else ACCELERATIONS)


def left(tyre: Tyre, bar: float | None = None, **more: bool) -> GripLeft:
    return grip_left(found(bar, **more), tyre)


class TestByHand:
    @pytest.mark.parametrize("grip", [0.6, 0.95, 1.15])
    def test_no_grip_lost_with_load(self, grip: float) -> None:
        """An axle's loads add up to its weight, whatever moves across: both ends hold the grip coefficient in g."""
        one = left(Tyre(grip, 0.0))
        assert found().solved.all()
        assert_allclose(one.held, grip * GRAVITY, rtol=SYMMETRIC)
        assert_allclose(one.limit, grip * GRAVITY, rtol=SYMMETRIC)

    def test_at_rest_by_hand(self) -> None:
        """Scales of 290, 285, 265 and 260 kg, a mean of 275: each coefficient falls or rises by loss times N / mean."""
        grip, loss = 1.1, 0.2
        for axle, scales in enumerate(([290.0, 285.0], [265.0, 260.0])):
            held = sum(grip * (1.0 - loss * (one / 275.0 - 1.0)) * one for one in scales) / sum(scales)
            assert left(Tyre(grip, loss)).held[axle, 0] == pytest.approx(held * GRAVITY, rel=SYMMETRIC)

    def test_what_load_transfer_costs(self) -> None:
        """Of N + d and N - d on a straight line, together 2 g loss d^2 / mean less is held than of N and N."""
        grip, loss = 1.1, 0.15
        held, moved = left(Tyre(grip, loss)).held, found().load[:, 1] - found().load[:, 0]
        weight = found().load.sum(axis=1)
        mean = 275.0 * GRAVITY
        for axle in range(2):
            half = weight[axle] / 2.0
            # (N + d)^2 + (N - d)^2 = 2 N^2 + 2 d^2, d half of the difference
            square = 2.0 * half**2 + 0.5 * moved[axle] ** 2
            expected = grip * ((1.0 + loss) * weight[axle] - loss * square / mean) / weight[axle]
            assert_allclose(held[axle], expected * GRAVITY, rtol=1e-9)

    def test_a_limit_lies_where_held_is_asked(self) -> None:
        one = left(Tyre())
        for axle in range(2):
            held = np.interp(one.limit[axle], ACCELERATIONS, one.held[axle])
            # On the chord between two looked at, both are straight.
            assert held == pytest.approx(one.limit[axle], rel=1e-9)

    def test_more_grip_than_was_looked_at(self) -> None:
        assert np.isnan(left(Tyre(1.6, 0.0)).limit).all()

    def test_twice_the_grip_holds_twice_as_much(self) -> None:
        assert_allclose(left(Tyre(1.0)).held, 2.0 * left(Tyre(0.5)).held, rtol=1e-12)


class TestFacts:
    """Common practice, no source."""

    @pytest.mark.campaign
    def test_a_stiffer_front_bar_makes_the_front_give_up_earlier(self) -> None:
        bars = [0.0, 20.0, 60.0, 120.0]
        limits = np.array([left(Tyre(), bar).limit for bar in bars])
        assert np.isfinite(limits).all()
        assert (np.diff(limits[:, 0]) < 0.0).all()
        assert (np.diff(limits[:, 0] - limits[:, 1]) < 0.0).all()

    def test_bars_decide_which_end_is_first(self) -> None:
        assert left(Tyre(), 0.0).limit[1] < left(Tyre(), 0.0).limit[0] + 0.3
        stiff = left(Tyre(), 120.0)
        assert stiff.first == 0
        assert stiff.limit[0] < stiff.limit[1]

    def test_more_loss_means_less_held_when_leaning(self) -> None:
        for axle in range(2):
            limits = [left(Tyre(1.1, loss)).limit[axle] for loss in (0.0, 0.1, 0.2)]
            assert limits[0] > limits[1] > limits[2]

    def test_to_the_right_as_to_the_left(self) -> None:
        """But for what its scales and its bent mount differ from side to side, a few parts in a hundred."""
        assert_allclose(left(Tyre(), to_the_right=True).limit, left(Tyre()).limit, rtol=0.02)
