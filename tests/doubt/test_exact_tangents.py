"""Derivatives of every reported number with respect to the measured points, against differences of re-measured cars.

The outside number is a difference of whole cars solved anew, by Richardson's central formula of fourth order (formula).
"""

from collections.abc import Callable, Mapping

import numpy as np
import pytest

from kinematics import Axle, sweep_bump, sweep_roll
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.uncertainty import WAYS, Coordinate
from kinematics.doubt.perturbed import perturbed
from kinematics.sweeps.rack import sweep_steer
from solvers.tangents import STEP, tangent
from solvers.vectors import Array
from tests.properties.plausible_cars import FREE_TO_MOVE, named, typical_axle

_DIRECTIONS = 4
_APART = 0.01  # mm, and 1e-3 of it rad for the wheels' angles
_TOO_FAST = 1e3  # mm for each mm
_FAR = 1000.0  # mm, rad, parts of one: as far as a quarter of the circle
_PRECISION = 1e-6  # of the largest slope; the formula misses about (0.01 mm / 1 mm)**4 where a centre runs to infinity
_ROUNDING = 1e-12  # of a value on that scale: poses are good to 1e-11 mm, and a centre some meters off to 1e-9 mm
_Study = Callable[[Axle], Mapping[str, Array]]


def _coordinates(axle: Axle) -> list[Coordinate]:
    sides = {key: ((0, 1),) if key in axle.suspension.single else ((0,), (1,)) for key in axle.suspension.keys}
    points = [Coordinate(key, way, side) for key in axle.suspension.keys for way in WAYS for side in sides[key]]
    return points + [Coordinate(angle, "", (side,)) for angle in ("camber", "toe") for side in (0, 1)]


def _uneven(kind: SuspensionType) -> Axle:
    """A car that is nowhere alike on both sides or square, as made ones are, so that no number sits at infinity."""
    axle = typical_axle(kind)
    coordinates = _coordinates(axle)
    most = [2.0 if one.of.startswith("watt") else 8.0 if one.way else 5e-3 for one in coordinates]
    return perturbed(axle, coordinates, np.array(most) * np.random.default_rng(5).uniform(-1.0, 1.0, len(coordinates)))


def _on_circle(values: Array) -> Array:
    """Values as points of a circle (2, ...), on which a centre far away, at +-infinity even, is as near as any."""
    x = np.nan_to_num(values, posinf=1e12, neginf=-1e12) / _FAR
    return np.stack([2.0 * x, 1.0 - x * x]) / (1.0 + x * x)


def _compare(axle: Axle, study: _Study) -> None:
    coordinates = _coordinates(axle)
    weights = np.array([1.0 if one.way else 1e-3 for one in coordinates])
    directions = weights * np.random.default_rng(11).normal(size=(_DIRECTIONS, len(coordinates)))
    found = study(perturbed(axle, coordinates, 1j * STEP * directions))
    steps = _APART * np.array([-2.0, -1.0, 1.0, 2.0])[:, None, None]
    re_measured = study(perturbed(axle, coordinates, steps * directions))
    for key, values in found.items():
        far_down, down, up, far_up = (_on_circle(one) for one in re_measured[key])
        slope = (8.0 * (up - down) - (far_up - far_down)) / (12.0 * _APART)
        assert np.isfinite(values).all(), key
        exact = tangent(_on_circle(values))
        # A centre on its way to infinity goes so far for each mm that differences are too coarse for it.
        near = np.broadcast_to(np.abs(tangent(values)) < _TOO_FAST, slope.shape)
        most = _PRECISION * np.abs(slope[near]).max(initial=0.0) + _ROUNDING / _APART
        np.testing.assert_allclose(exact[near], slope[near], rtol=0.0, atol=most, err_msg=key)


@pytest.mark.parametrize("kind", FREE_TO_MOVE, ids=named)
def test_bump_and_roll(kind: SuspensionType) -> None:
    axle = _uneven(kind)
    _compare(axle, lambda one: sweep_bump(one, np.array([-30.0, 0.0, 25.0])).values)
    _compare(axle, lambda one: sweep_roll(one, np.radians([-2.0, 0.5]), heave=8.0).values)


@pytest.mark.parametrize("kind", [kind for kind in FREE_TO_MOVE if kind.rack], ids=named)
def test_steer(kind: SuspensionType) -> None:
    rack = np.array([-40.0, 15.0])
    _compare(_uneven(kind), lambda one: sweep_steer(one, rack, bump=10.0, roll=0.01).values)


@pytest.mark.parametrize("kind", FREE_TO_MOVE, ids=named)
def test_a_sweep_with_tangents_has_the_values_of_one_without(kind: SuspensionType) -> None:
    axle = _uneven(kind)
    coordinates = _coordinates(axle)
    with_tangents = perturbed(axle, coordinates, 1j * STEP * np.ones(len(coordinates)))
    for sweep in (lambda one: sweep_bump(one, np.array([-30.0, 25.0])), lambda one: sweep_roll(one, np.array([0.02]))):
        plain, carrying = sweep(axle), sweep(with_tangents)
        for key, values in plain.values.items():
            # A centre far away moves with rounding in the slopes by as much more.
            size = 1.0 + np.nan_to_num(np.abs(values), posinf=0.0) ** 2
            np.testing.assert_allclose(carrying[key].real / size, values / size, rtol=0.0, atol=1e-10, err_msg=key)
