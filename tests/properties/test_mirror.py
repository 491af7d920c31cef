"""Left and right are alike: a mirror on the centre plane turns every curve into its mirror image."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from kinematics import sweep_bump, sweep_grid, sweep_roll
from kinematics.car.suspension_type import SuspensionType
from kinematics.sweeps.rack import sweep_steer
from tests.properties.plausible_cars import (
    ALIKE,
    FEWER,
    KINDS,
    ONE_OR_MANY,
    REPEATABLE,
    ROLLS,
    TRAVELS,
    axles,
    mirrored,
    named,
)
from tests.properties.same_numbers import assert_same, in_mirror

_QUOTIENTS = ("ackermann", "turn_radius")  # by small angles, so that they keep fewer digits


@pytest.mark.parametrize("kind", ALIKE, ids=named)
@REPEATABLE
@given(st.data())
def test_symmetric_car_leans_left_as_it_leans_right(kind: SuspensionType, data: st.DataObject) -> None:
    axle, heave = data.draw(axles(kind, symmetric=True)), data.draw(st.floats(-30.0, 30.0))
    assert_same(sweep_roll(axle, -ROLLS, heave).values, in_mirror(sweep_roll(axle, ROLLS, heave).values))


@pytest.mark.parametrize("kind", ALIKE, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_symmetric_car_keeps_its_roll_centre_in_the_middle(kind: SuspensionType, data: st.DataObject) -> None:
    sweep = sweep_bump(data.draw(axles(kind, symmetric=True)), TRAVELS)
    assert_same(sweep.values, in_mirror(sweep.values))


@pytest.mark.parametrize("kind", KINDS, ids=named)
@FEWER
@given(st.data())
def test_car_with_its_sides_swapped(kind: SuspensionType, data: st.DataObject) -> None:
    axle = data.draw(axles(kind))
    swapped = mirrored(axle)
    assert_same(sweep_roll(swapped, -ROLLS, 10.0).values, in_mirror(sweep_roll(axle, ROLLS, 10.0).values))
    assert_same(sweep_bump(swapped, TRAVELS).values, in_mirror(sweep_bump(axle, TRAVELS).values))
    assert_same(sweep_bump(swapped, TRAVELS, "right").values, in_mirror(sweep_bump(axle, TRAVELS, "left").values))
    bumps = np.array([-20.0, 20.0])
    assert_same(sweep_grid(swapped, bumps, -ROLLS).values, in_mirror(sweep_grid(axle, bumps, ROLLS).values))


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind.rack], ids=named)
@FEWER
@given(st.data())
def test_car_with_its_sides_swapped_steers_right_as_it_steered_left(kind: SuspensionType, data: st.DataObject) -> None:
    axle = data.draw(axles(kind))
    rack = np.array([-15.0, -5.0, 0.0, 5.0, 15.0])
    swapped, expected = sweep_steer(mirrored(axle), -rack).values, in_mirror(sweep_steer(axle, rack).values)
    assert_same(swapped, expected, but=_QUOTIENTS)
    for key in _QUOTIENTS:
        assert np.isfinite(expected[key][rack != 0.0]).all()
        assert_allclose(swapped[key], expected[key], rtol=1e-7)
