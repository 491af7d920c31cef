"""Whether two axles have the same curves: every number that both report, over bump and over roll."""

from collections.abc import Collection

import numpy as np
from numpy.testing import assert_allclose

from kinematics import Axle, Sweep, sweep_bump, sweep_roll
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from solvers.vectors import Array

TRAVELS = np.linspace(-60.0, 60.0, 25)  # mm
ROLLS = np.radians(np.linspace(-3.0, 3.0, 13))

# A millionth of a millimetre and of a degree: no gauge reads it, and rounding in lengths of a metre stays well below.
SAME = {
    Dimension.LENGTH: 1e-6,
    Dimension.ANGLE: np.radians(1e-6),
    Dimension.ANGLE_PER_LENGTH: np.radians(1e-6),
    Dimension.RATIO: 1e-6,
    Dimension.PER_CENT: 1e-6,
}

# Where two lines meet under a small angle, and at infinity where they are parallel.
_MEETINGS = frozenset(
    {
        "instant_centre_y",
        "instant_centre_z",
        "swing_arm_length",
        "side_view_centre_x",
        "side_view_centre_z",
        "side_view_swing_arm",
    }
)
_FAR = 1e3  # mm

# An axis through two ball joints in the one, the instantaneous axis of single links in the other: not the same.
OF_THE_STEERING_AXIS = frozenset(
    {
        "caster",
        "caster_to_body",
        "kingpin_inclination",
        "kingpin_inclination_to_body",
        "scrub_radius",
        "mechanical_trail",
        "cross_caster",
        "caster_change",
    }
)


def sweeps_of(axle: Axle) -> tuple[Sweep, Sweep]:
    """Bump and roll; every state must be reached."""
    both = sweep_bump(axle, TRAVELS), sweep_roll(axle, ROLLS)
    for sweep in both:
        assert sweep.reached.all()
    return both


def apart(ours: Array, theirs: Array) -> Array:
    """How far meeting points of two lines lie apart, seen from a metre's distance [mm].

    Near by it is their difference; far away that grows as the distance squared, and both infinities are one place.
    """
    # What is at infinity is no number in a sweep.
    ours, theirs = (np.where(np.isnan(one), np.inf, one) for one in (ours, theirs))
    return _FAR * np.sin(np.arctan(ours / _FAR) - np.arctan(theirs / _FAR))


def assert_same_curves(axle: Axle, other: Axle, besides: Collection[str] = (), only: str = "") -> None:
    """Every number that both axles report, but those named; only: "bump" or "roll"."""
    for one, two in zip(sweeps_of(axle), sweeps_of(other), strict=True):
        if only and one.kind != only:
            continue
        keys = [key for key in one.values if key in two.values and key not in besides]
        assert {"camber", "toe", "contact_y", "bump_steer", "wheel_centre_recession"} <= set(keys)
        for key in keys:
            ours, theirs = one[key], two[key]
            if key in _MEETINGS:
                ours, theirs = apart(ours, theirs), np.zeros_like(ours)
            tolerance = SAME[QUANTITIES[key].dimension]
            assert_allclose(ours, theirs, rtol=0.0, atol=tolerance, err_msg=f"{key} in {one.kind}")
