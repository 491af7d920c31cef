"""Live axles held by other parts that do the same: A-arm and links, bush and hanger, a spare link."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle, Sweep, sweep_bump, sweep_roll
from kinematics.car.suspension_type import CHASSIS, BallJoint, Hinge, Point, SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.car.suspensions.live_axle_parts import LOWER_LINK, LOWER_LINK_POINTS, WHEEL
from kinematics.numbers.registry import QUANTITIES
from tests.equivalences.curves import ROLLS, SAME, TRAVELS, assert_same_curves
from tests.equivalences.rewritten import MIRROR, typical_axle

A_ARM_POINTS = (
    WHEEL,
    *LOWER_LINK_POINTS,
    Point("apex", "axle", "", (-10.0, 15.0, 430.0), single=True),
    Point("pivot_left", "chassis", "", (310.0, 420.0, 412.0), single=True),
    Point("pivot_right", "chassis", "", (290.0, -400.0, 405.0), single=True),
)
ON_TWO_LINKS = SuspensionType(
    name="two links that meet on the axle",
    title="",
    points=A_ARM_POINTS,
    links=(LOWER_LINK, ("apex", "pivot_left"), ("apex", "pivot_right")),
    whole_axle=True,
)
ON_AN_A_ARM = replace(
    ON_TWO_LINKS,
    name="an A-arm on the axle",
    links=(LOWER_LINK,),
    hinges=(Hinge("A-arm", CHASSIS, "pivot_left", "pivot_right"),),
    balls=(BallJoint("A-arm", "axle", "apex"),),
)


def test_a_arm_is_two_links_that_meet() -> None:
    """The apex keeps two distances from the pivots: on a third part with a hinge and a ball joint, or on links."""
    on_links = typical_axle(ON_TWO_LINKS)

    assert_same_curves(on_links, replace(on_links, suspension=ON_AN_A_ARM))


def on_a_hanger(axle: Axle, length: float) -> Axle:
    """A torque arm's front end on an upright hanger of that length [mm] instead of in a bush that slides level."""
    kind = axle.suspension
    key = kind.height_supports[0].at
    top = Point("hanger_top", "chassis", "", (0.0, 0.0, 0.0), single=True)
    hung = replace(kind, points=(*kind.points, top), height_supports=(), links=(*kind.links, (key, top.key)))
    return replace(
        axle, suspension=hung, points={**axle.points, top.key: axle.points[key] + np.array([0.0, 0.0, length])}
    )


def swept(axle: Axle) -> tuple[Sweep, Sweep]:
    return sweep_bump(axle, TRAVELS), sweep_roll(axle, ROLLS)


@pytest.fixture(scope="module")
def torque_arms() -> tuple[tuple[Sweep, Sweep], list[tuple[Sweep, Sweep]]]:
    """Bump and roll with the sliding bush, and on hangers of 1 to 16 m, each twice as long as the one before.

    No longer ones: lengths of a hundred metres are no longer good to the 1e-11 mm that the solver asks for.
    """
    axle = typical_axle("live axle with torque arm")
    return swept(axle), [swept(on_a_hanger(axle, length)) for length in (1e3, 2e3, 4e3, 8e3, 16e3)]


@pytest.mark.parametrize("key", ["pinion_angle_change", "contact_x", "wheel_centre_x"])
def test_hanger_becomes_a_sliding_bush_as_one_over_its_length(
    torque_arms: tuple[tuple[Sweep, Sweep], list[tuple[Sweep, Sweep]]], key: str
) -> None:
    """The arm's end rises by d^2 / 2 R as it swings aside by d (formula, a circle's sagitta)."""
    bush, hung = torque_arms
    off = np.array([np.abs(bump[key] - bush[0][key]).max() for bump, _ in hung])

    # The next term is of the size of d / R squared, and of how far the other d is: millimetres in a metre.
    assert_allclose(off[:-1] / off[1:], 2.0, rtol=0.01)


def test_endless_hanger_is_a_sliding_bush(
    torque_arms: tuple[tuple[Sweep, Sweep], list[tuple[Sweep, Sweep]]],
) -> None:
    """Every number at 4, 8 and 16 m, less what goes as 1/R and as its square (Richardson's extrapolation)."""
    bush, hung = torque_arms
    for sliding, short, middle, long in zip(bush, *hung[-3:], strict=True):
        for key, values in sliding.values.items():
            endless = (8.0 * long[key] - 6.0 * middle[key] + short[key]) / 3.0
            assert_allclose(endless, values, rtol=0.0, atol=SAME[QUANTITIES[key].dimension], err_msg=key)


LOWER_ALONG = (np.array([15.0, 500.0, 235.0]), np.array([510.0, 500.0, 262.0]))

# What follows from both wheels together; how the axle rolls is another matter.
IN_BUMP = [
    "wheel_centre_x",
    "wheel_centre_y",
    "wheel_centre_z",
    "contact_x",
    "contact_y",
    "camber",
    "toe",
    "camber_gain",
    "bump_steer",
    "jacking_coefficient",
    "side_view_centre_x",
    "side_view_centre_z",
    "pinion_angle_change",
    "axle_steer",
    "wheel_centre_recession",
    "anti_lift",
    "anti_squat",
]


def test_fourth_link_is_to_spare_in_bump() -> None:
    """Both wheels alike and links along the car: one upper link in the middle does what two outside do.

    The axle then only shifts across with its Panhard rod, the same at both links. Their bushes have nothing to share.
    """
    four = typical_axle("live axle with four links", lopsided=False)
    on_axle, on_chassis = np.array([0.0, 470.0, 420.0]), np.array([430.0, 470.0, 412.0])
    lower = {key: np.array([at, MIRROR * at]) for key, at in zip(LOWER_LINK, LOWER_ALONG, strict=True)}
    four = replace(
        four,
        points={
            **four.points,
            **lower,
            "upper_link_axle": np.array([on_axle, MIRROR * on_axle]),
            "upper_link_chassis": np.array([on_chassis, MIRROR * on_chassis]),
        },
    )
    middle = {"upper_link_axle": on_axle, "upper_link_chassis": on_chassis}
    single = {key: np.array([at, at]) * np.array([1.0, 0.0, 1.0]) for key, at in middle.items()}
    three = replace(four, suspension=SUSPENSIONS["live axle with three links"], points={**four.points, **single})

    sweeps = [sweep_bump(axle, TRAVELS) for axle in (four, three)]
    for key in IN_BUMP:
        assert_allclose(sweeps[0][key], sweeps[1][key], rtol=0.0, atol=1e-9, err_msg=key)
