"""What each point does: against central differences of whole plans, and a closed form for the planar strut.

Closed form, formula: a strut's front view under the plan's conditions (arm's length, ride height and camber kept by
the camber plate) differentiated by SymPy; drawn up from the drawing board's construction, not from the code.
"""

import numpy as np
import pytest
import sympy
from numpy.testing import assert_allclose

from kinematics import Axle
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.uncertainty import WAYS
from kinematics.finding.influence import influence
from kinematics.finding.variants import variants
from kinematics.motion.moving_axle import moving
from kinematics.sweeps.body import sweep_bump
from tests.finding.planted import amount, random_axle
from tests.plans.drawing_board import STRUT, whole_car
from tests.properties.plausible_cars import KINDS, named

STEP = 0.25  # mm
# Two steps' central differences joined (Richardson): the error is of the fourth order, some 1e-10 of a slope.
ADJUSTED_TO = 1e-9  # rad per mm: toe and camber are set to 1e-10 rad, and a difference takes six such over a step
# By so much of a number's largest slope differences over one and two steps disagree where it is on its way to infinity:
# what is left of the error after joining is about its square.
RUNS_OFF = 1e-4
RELATIVE = 1e-6
FEW_POINTS = 3


def differences(axle: Axle, point: str, way: str, largest: dict[str, float]) -> dict[str, np.ndarray]:
    """Slopes by differences of plans that move a point by one and two steps either way."""
    one = [amount(axle.name, "point", [1.0], way, point)]
    steps = STEP * np.array([-2.0, -1.0, 1.0, 2.0])
    done = variants(axle, one, steps[:, None])
    sweep = sweep_bump(moving(done.axle, -1.0, 1.0), np.zeros(1))
    found = {}
    for key, values in sweep.values.items():
        far_low, low, high, far_high = np.where(done.fits.all(), values[..., 0], np.nan)
        near, far = (high - low) / (2.0 * STEP), (far_high - far_low) / (4.0 * STEP)
        runs_off = np.abs(near - far) > RUNS_OFF * largest[key] + ADJUSTED_TO
        found[key] = np.where(runs_off, np.nan, (4.0 * near - far) / 3.0)
    return found


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_central_differences(kind: SuspensionType, campaign: bool) -> None:
    axle = random_axle(kind, 11)
    found = influence(axle)
    chosen = found.points if campaign else found.points[:: max(len(found.points) // FEW_POINTS, 1)]
    largest = {key: np.nanmax(np.abs(slopes), initial=0.0) for key, slopes in found.slopes.items()}
    compared = 0
    for point in chosen:
        for j, way in enumerate(WAYS):
            for key, slope in differences(axle, point, way, largest).items():
                exact = found.slopes[key][found.points.index(point), j]
                known = np.isfinite(exact) & np.isfinite(slope)
                compared += int(known.sum())
                assert_allclose(
                    np.where(known, exact, 0.0), np.where(known, slope, 0.0),
                    rtol=0.0, atol=RELATIVE * largest[key] + ADJUSTED_TO, err_msg=f"{point} {way} {key}",
                )  # fmt: skip
    assert compared > 50


@pytest.mark.campaign
def test_inner_pivot_of_a_planar_strut() -> None:
    """Roll-centre height against the pivot's height, the arm's length, ride height and toe kept; camber follows."""
    axle = whole_car(STRUT)
    found = influence(axle)
    heights = found.slopes["roll_centre_height"][:, WAYS.index("up")]
    both = [heights[found.points.index(key)] for key in ("lower_pivot_front", "lower_pivot_rear", "tie_rod_inner")]
    assert_allclose(sum(both), planar_strut_slope(), rtol=1e-9)


def planar_strut_slope() -> float:
    """The whole front view as equations in (pivot's height; hub's place, turn of the upright), differentiated."""
    h, y, z, turn = sympy.symbols("h y z turn", real=True)
    assert STRUT.strut is not None
    pivot = sympy.Matrix([STRUT.pivot[0], STRUT.pivot[1] + h])
    low, top = (sympy.Matrix(one) for one in STRUT.strut)
    hub0, joint0 = sympy.Matrix(STRUT.centre), sympy.Matrix(STRUT.joint)
    turned = sympy.Matrix([[sympy.cos(turn), -sympy.sin(turn)], [sympy.sin(turn), sympy.cos(turn)]])
    hub = sympy.Matrix([y, z])
    joint = hub + turned * (joint0 - hub0)
    strut_low, along = hub + turned * (low - hub0), turned * (top - low)
    lean = turned * sympy.Matrix([sympy.cos(STRUT.camber), -sympy.sin(STRUT.camber)])
    contact = hub - STRUT.radius * sympy.Matrix([-lean[1], lean[0]])
    to_top = top - strut_low
    arm = (joint - pivot).dot(joint - pivot) - float(np.sum((STRUT.joint - STRUT.pivot) ** 2))
    misfits = [arm, along[0] * to_top[1] - along[1] * to_top[0], contact[1]]
    # Instant centre: on the arm's line, and on the perpendicular to the strut through its top.
    a, b = sympy.symbols("a b", real=True)
    arm_at, across = pivot + a * (joint - pivot), top + b * sympy.Matrix([-along[1], along[0]])
    solved = sympy.solve(list(arm_at - across), [a, b], dict=True)[0]
    centre = arm_at.subs(solved)
    height = contact[1] + (centre[1] - contact[1]) * contact[0] / (contact[0] - centre[0])
    unknowns = [y, z, turn]
    here = {h: 0.0, y: STRUT.centre[0], z: STRUT.centre[1], turn: 0.0}
    jacobian = sympy.Matrix(misfits).jacobian(unknowns).subs(here)
    by_pivot = sympy.Matrix(misfits).diff(h).subs(here)
    moved = -jacobian.inv() * by_pivot
    slope = height.diff(h) + sum(height.diff(one) * moved[i] for i, one in enumerate(unknowns))
    return float(slope.subs(here).evalf())
