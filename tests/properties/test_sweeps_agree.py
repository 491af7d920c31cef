"""The same stance met in different sweeps, or in a batch of variants, has the same numbers."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from kinematics import Axle, Sweep, sweep_bump, sweep_grid, sweep_roll
from kinematics.car.fittings import Fittings
from kinematics.car.suspension_type import SuspensionType
from kinematics.inputs.demo_cars import demo_car
from kinematics.motion.reasons import Gap
from reports.words.gaps import gap_words
from solvers.vectors import Array
from tests.properties.plausible_cars import (
    ALIKE,
    FEWER,
    KINDS,
    ONE_OR_MANY,
    REPEATABLE,
    ROLLS,
    TRAVELS,
    axles,
    named,
    stacked,
    three_and_all,
    typical_axle,
)
from tests.properties.same_numbers import assert_same
from tests.short_run import at_places

BUMPS = np.array([-30.0, 0.0, 20.0, 45.0])
LEVEL = np.zeros(1)


def part(sweep: Sweep, *index: int | slice) -> dict[str, Array]:
    """Some states of a sweep, or one variant of a batch."""
    return {key: values[index] for key, values in sweep.values.items()}


@pytest.mark.parametrize("kind", KINDS, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_no_roll_is_no_bump(kind: SuspensionType, data: st.DataObject) -> None:
    axle = data.draw(axles(kind))
    rolled = sweep_roll(axle, LEVEL)
    assert_same(rolled.values, sweep_bump(axle, LEVEL).values)
    assert_same(rolled.values, sweep_bump(axle, LEVEL, "left").values)


@pytest.mark.parametrize("kind", ALIKE, ids=named)
@REPEATABLE
@given(st.data(), st.floats(-50.0, 50.0))
def test_lowering_the_body_is_bump_of_both_wheels(kind: SuspensionType, data: st.DataObject, bump: float) -> None:
    """On a symmetric car, whose two wheels then travel alike."""
    axle = data.draw(axles(kind, symmetric=True))
    lowered = sweep_roll(axle, LEVEL, -bump)
    assert_allclose(lowered["travel"][0], lowered["travel"][1], rtol=0.0, atol=1e-9)
    assert_same(lowered.values, sweep_bump(axle, lowered["travel"][0]).values)


@pytest.mark.parametrize("kind", KINDS, ids=named)
@FEWER
@given(st.data())
def test_rows_of_the_grid_are_roll_sweeps(kind: SuspensionType, data: st.DataObject) -> None:
    axle = data.draw(axles(kind))
    grid = sweep_grid(axle, BUMPS, ROLLS)
    assert grid.shape == (len(BUMPS), len(ROLLS))
    for row, bump in enumerate(BUMPS):
        assert_same(part(grid, ..., row, slice(None)), sweep_roll(axle, ROLLS, -bump).values)


@pytest.mark.parametrize("kind", three_and_all(KINDS))
@FEWER
@given(st.data())
def test_each_variant_of_a_batch_is_itself(kind: SuspensionType, data: st.DataObject) -> None:
    variants = [replace(data.draw(axles(kind)), fittings=Fittings()) for _ in range(3)]
    assert_variants_alone(stacked(variants), variants)


@pytest.mark.campaign
@pytest.mark.parametrize("kind", three_and_all(KINDS))
@settings(FEWER, max_examples=-(-FEWER.max_examples // 2))
@given(st.data())
def test_variants_may_share_all_but_one_point(kind: SuspensionType, data: st.DataObject) -> None:
    """Batch axes on one point, on the upright or on the body, broadcast with the rest."""
    axle, *others = (data.draw(axles(kind)) for _ in range(3))
    on_wheels_part = [key for key in kind.keys if key in kind.on_upright and key != "wheel_centre"]
    elsewhere = [key for key in kind.keys if key not in kind.on_upright]
    for key in (*on_wheels_part[:1], elsewhere[0], "wheel_centre"):
        choices = [axle.points[key], *(other.points[key] for other in others)]
        batch = replace(axle, points={**axle.points, key: np.stack(choices)})
        assert batch.batch_shape == (3,)
        assert_variants_alone(batch, [replace(axle, points={**axle.points, key: choice}) for choice in choices])


@pytest.mark.parametrize("kind", at_places(KINDS, 4))
def test_variants_may_share_all_but_an_angle(kind: SuspensionType) -> None:
    axle = typical_axle(kind)
    for angle in ("camber", "toe"):
        choices = np.radians([[-1.0, -1.2], [0.5, 0.3], [0.2, -0.1]])
        variants = [replace(axle, **{angle: choice}) for choice in choices]
        assert_variants_alone(replace(axle, **{angle: choices}), variants)


@pytest.mark.parametrize("kind", three_and_all(KINDS))
@FEWER
@given(st.data())
def test_two_batch_axes(kind: SuspensionType, data: st.DataObject) -> None:
    rows = [[replace(data.draw(axles(kind)), fittings=Fittings()) for _ in range(3)] for _ in range(2)]
    batch = stacked([stacked(row) for row in rows])
    assert batch.batch_shape == (2, 3)
    sweep = sweep_roll(batch, ROLLS, -10.0)
    for i, row in enumerate(rows):
        for j, axle in enumerate(row):
            assert_same(part(sweep, i, j), sweep_roll(axle, ROLLS, -10.0).values)


def assert_variants_alone(batch: Axle, variants: list[Axle]) -> None:
    for sweep, alone in (
        (sweep_bump(batch, TRAVELS), [sweep_bump(axle, TRAVELS) for axle in variants]),
        (sweep_roll(batch, ROLLS, 5.0), [sweep_roll(axle, ROLLS, 5.0) for axle in variants]),
        (sweep_grid(batch, BUMPS, ROLLS[:3]), [sweep_grid(axle, BUMPS, ROLLS[:3]) for axle in variants]),
    ):
        assert sweep.reached.shape == (len(variants), *sweep.shape)
        for number, single in enumerate(alone):
            shown = {key: sweep[key][number] for key in single.values if sweep[key].ndim == single[key].ndim + 1}
            assert_same({**single.values, **shown}, single.values)
            # What all variants were asked for alike.
            assert set(single.values) - set(shown) <= {"heave", "roll", "rack_travel"}


@pytest.mark.campaign
def test_a_whole_axle_locks_in_droop_whichever_wheel_hangs() -> None:
    """One wheel alone, far beyond any link's length: the reason says droop, not bump."""
    for wheels in ("left", "right"):
        sweep = sweep_bump(demo_car("rear_drive_saloon.toml").rear, np.array([-900.0, 0.0]), wheels)
        assert sweep.reached.tolist() == [False, True]
        reason = sweep.gaps.at(0)
        assert reason is not None
        assert (reason.gap, reason.low) == (Gap.LOCKED, True)
        assert "locks in droop" in gap_words(reason)


def test_a_sweep_over_nothing_is_empty() -> None:
    nothing = np.array([])
    for axle in (demo_car().front, demo_car("rear_drive_saloon.toml").rear):
        for sweep in (sweep_bump(axle, nothing), sweep_roll(axle, nothing), sweep_grid(axle, nothing, nothing)):
            assert sweep.gaps.which.size == 0
            assert all(values.size == 0 for values in sweep.values.values())


@pytest.mark.campaign
def test_a_body_so_low_that_its_centre_of_gravity_lies_on_the_ground() -> None:
    """510 mm down, anti-dive is over no height: infinite or none there, and no warning of the machine's."""
    axle = demo_car().front
    assert axle.body.centre_of_gravity == 510.0
    sweep = sweep_bump(axle, np.array([0.0, 510.0]))
    assert np.isfinite(sweep["anti_dive"][:, 0]).all()
    assert not np.isfinite(sweep_grid(axle, np.array([510.0]), np.zeros(1))["anti_dive"]).any()
