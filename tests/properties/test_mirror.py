"""Left and right are alike: a mirror on the centre plane turns every curve into its mirror image."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics import sweep_bump, sweep_grid, sweep_roll
from kinematics.car.suspension_type import SuspensionType
from tests.properties.plausible_cars import ALIKE, FEWER, KINDS, REPEATABLE, ROLLS, TRAVELS, axles, mirrored, named
from tests.properties.same_numbers import assert_same, in_mirror


@pytest.mark.parametrize("kind", ALIKE, ids=named)
@REPEATABLE
@given(st.data())
def test_symmetric_car_leans_left_as_it_leans_right(kind: SuspensionType, data: st.DataObject) -> None:
    axle, heave = data.draw(axles(kind, symmetric=True)), data.draw(st.floats(-30.0, 30.0))
    assert_same(sweep_roll(axle, -ROLLS, heave).values, in_mirror(sweep_roll(axle, ROLLS, heave).values))


@pytest.mark.parametrize("kind", ALIKE, ids=named)
@REPEATABLE
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
