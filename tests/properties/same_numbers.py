"""Two sweeps' numbers held against each other, each quantity to what its geometry allows."""

from collections.abc import Collection, Mapping

import numpy as np

from kinematics.quantities import QUANTITIES, Kind
from solvers.vectors import Array

# Poses are held to 2e-10 mm in every length. Over levers of 100 mm and more that is 2e-12 rad; a turn rate,
# whose own lever divides once more, is then good to 2e-14 rad/mm. A few times that is allowed.
LENGTH = 1e-9  # mm
ANGLE = 1e-11  # rad
RATE = 1e-13  # rad/mm
SLOPE = 1e-11
_PLAIN = {Kind.LENGTH: LENGTH, Kind.ANGLE: ANGLE, Kind.ANGLE_PER_LENGTH: RATE, Kind.RATIO: SLOPE}

_INSTANT_CENTRE = ("instant_centre_y", "instant_centre_z", "swing_arm_length")
_ODD = (  # change sign in a mirror on the centre plane; everything else keeps it
    "roll",
    "roll_centre_offset",
    "textbook_roll_centre_offset",
    "wheel_centre_y",
    "contact_y",
    "instant_centre_y",
    "jacking_coefficient",
)


def assert_same(actual: Mapping[str, Array], expected: Mapping[str, Array], *, but: Collection[str] = ()) -> None:
    """Every quantity (but some) alike, NaN where the other is NaN; values (2, ...) for corners, (...) for axles."""
    for key in QUANTITIES:
        if key not in but:
            _assert_close(key, actual[key], expected[key], _tolerance(key, expected))


def in_mirror(values: Mapping[str, Array]) -> dict[str, Array]:
    """What the same car's mirror image would show."""
    return {
        key: (-1.0 if key in _ODD else 1.0) * (values[key][::-1] if quantity.per_side else values[key])
        for key, quantity in QUANTITIES.items()
    }


def _assert_close(key: str, actual: Array, expected: Array, tolerance: Array | float) -> None:
    assert actual.shape == expected.shape, key
    finite = np.isfinite(expected)
    with np.errstate(invalid="ignore"):
        # Where the tolerance is that of the number itself, the point is at infinity for all that can be said.
        nowhere = np.broadcast_to(tolerance, expected.shape) > 1.0
        off = ~nowhere & ~np.where(finite, np.abs(actual - expected) <= tolerance, ~np.isfinite(actual))
    assert not off.any(), f"{key}: {actual[off][:3]} instead of {expected[off][:3]}"


def _tolerance(key: str, values: Mapping[str, Array]) -> Array | float:
    if key in _INSTANT_CENTRE:
        # Distance = speed / turn rate, so a turn rate off by RATE moves the point by its distance squared times that.
        away_y = values["contact_y"] - values["instant_centre_y"]
        away_z = values["contact_z"] - values["instant_centre_z"]
        return np.asarray(LENGTH + RATE * (away_y**2 + away_z**2))
    if "roll_centre" in key:
        # Two lines through the contact points, each turned by SLOPE and raised by LENGTH: the meeting moves by as
        # much as they come apart there, over the difference of their slopes (for both constructions alike).
        left, right = values["jacking_coefficient"]
        reach = np.abs(values["contact_y"]).max(axis=0) + np.abs(values[key.replace("height", "offset")])
        with np.errstate(divide="ignore"):
            return np.asarray((LENGTH + SLOPE * reach) / np.abs(left - right))
    if key == "force_weighted_height":
        return np.asarray(LENGTH + SLOPE * np.abs(values["contact_y"]).max(axis=0))
    return _PLAIN[QUANTITIES[key].kind]
