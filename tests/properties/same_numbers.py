"""Two sweeps' numbers held against each other, each quantity to what its geometry allows."""

from collections.abc import Collection, Mapping

import numpy as np

from kinematics.numbers.quantity import Dimension, Mirror, Quantity
from kinematics.numbers.registry import QUANTITIES
from solvers.vectors import Array

# Poses are held to 2e-10 mm in every length. Over levers of 100 mm and more that is 2e-12 rad; a turn rate,
# whose own lever divides once more, is then good to 2e-14 rad/mm. A few times that is allowed.
LENGTH = 1e-9  # mm
ANGLE = 1e-11  # rad
RATE = 1e-13  # rad/mm
SLOPE = 1e-11
# The parts of the load transfer are slopes times wheelbase over height of the centre of gravity, about five.
_PLAIN = {
    Dimension.LENGTH: LENGTH,
    Dimension.ANGLE: ANGLE,
    Dimension.ANGLE_PER_LENGTH: RATE,
    Dimension.RATIO: SLOPE,
    Dimension.PER_CENT: 5.0 * SLOPE,
}

_INFINITY = 1e12

_INSTANT_CENTRE = ("instant_centre_y", "instant_centre_z", "swing_arm_length")
_SIDE_VIEW_CENTRE = ("side_view_centre_x", "side_view_centre_z", "side_view_swing_arm")


def assert_same(actual: Mapping[str, Array], expected: Mapping[str, Array], *, but: Collection[str] = ()) -> None:
    """Every quantity (but some) alike, NaN where the other is NaN; values (2, ...) for corners, (...) for axles."""
    assert set(actual) == set(expected)
    for key in expected:
        if key not in but:
            _assert_close(key, actual[key], expected[key], _tolerance(key, expected))


def in_mirror(values: Mapping[str, Array]) -> dict[str, Array]:
    """What the same car's mirror image would show."""
    return {key: _mirrored(QUANTITIES[key], numbers) for key, numbers in values.items()}


def _mirrored(quantity: Quantity, numbers: Array) -> Array:
    sign = -1.0 if quantity.mirror is Mirror.TURNS else 1.0
    return sign * (numbers[::-1] if quantity.per_side else numbers)


def _assert_close(key: str, actual: Array, expected: Array, tolerance: Array | float) -> None:
    assert actual.shape == expected.shape, key
    # What lies beyond a million kilometres is at infinity, whichever side of the last digit it is on.
    finite, found = np.abs(expected) < _INFINITY, np.abs(actual) < _INFINITY
    with np.errstate(invalid="ignore"):
        # Where the tolerance is that of the number itself, the point is at infinity for all that can be said.
        nowhere = ~(np.broadcast_to(tolerance, expected.shape) <= 1.0)
        off = ~nowhere & ~np.where(finite, np.abs(actual - expected) <= tolerance, ~found)
    assert not off.any(), f"{key}: {actual[off][:3]} instead of {expected[off][:3]}, allowed {tolerance}"


def _tolerance(key: str, values: Mapping[str, Array]) -> Array | float:
    if key in _INSTANT_CENTRE:
        # Distance = speed / turn rate, so a turn rate off by RATE moves the point by its distance squared times that.
        away_y = values["contact_y"] - values["instant_centre_y"]
        away_z = values["contact_z"] - values["instant_centre_z"]
        return np.asarray(LENGTH + RATE * (away_y**2 + away_z**2))
    if key in _SIDE_VIEW_CENTRE:
        away_x = values["side_view_swing_arm"]
        away_z = values["contact_z"] - values["side_view_centre_z"]
        return np.asarray(LENGTH + RATE * (away_x**2 + away_z**2))
    if "roll_centre" in key:
        return _of_roll_centre(key.rsplit("_", 1)[0], values)
    if key == "force_weighted_height":
        return np.asarray(LENGTH + SLOPE * np.abs(values["contact_y"]).max(axis=0))
    if key == "roll_steer":
        # A turn per mm of travel, at as many mm per radian of roll as the contact points are from the middle.
        return np.asarray(RATE * np.abs(values["contact_y"]).max(axis=0))
    return _PLAIN[QUANTITIES[key].dimension]


def _of_roll_centre(name: str, values: Mapping[str, Array]) -> Array:
    """Two lines through the contact points, each turned by SLOPE and raised by LENGTH.

    The meeting moves by as much as they come apart there, over the difference of their slopes (for both
    constructions alike).
    """
    offset, height = values[f"{name}_offset"], values[f"{name}_height"]
    with np.errstate(divide="ignore", invalid="ignore"):
        if "axle_steer" in values:  # a live axle: the wheels' own slopes are those of both together, not in roll
            left, right = (height - values["contact_z"]) / (offset - values["contact_y"])
        else:
            inwards = values["jacking_coefficient"]
            left, right = -inwards[0], inwards[1]
        reach = np.abs(values["contact_y"]).max(axis=0) + np.abs(offset)
        tolerance = np.asarray((LENGTH + SLOPE * reach) / np.abs(left - right))
    # One level line on both sides: nowhere across the car, but as high as the line is.
    return np.where(np.isnan(offset), LENGTH, tolerance)
