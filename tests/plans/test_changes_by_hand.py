"""Each kind of change against a calculation of its own: the planar drawing board, or arithmetic by hand.

Formula for the roll centre: M. Blundell, D. Harty, The Multibody Systems Approach to Vehicle Dynamics,
eqs 4.33-4.43 and fig. 4.30 ('seen in source'), as closed forms in solvers.planar.
"""

import math
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle, sweep_bump, sweep_roll
from kinematics.planning.changes import CHANGES, LOAD_CHANGES, Change
from tests.plans.drawing_board import VIEWS, Reassembled, reassemble, whole_car
from tests.plans.garage import EVERY_KIND, assembled, change, changed_parts, toe_set_back, typical, uneven

# Lengths are solved to 1e-10 mm on both sides; levers of some 100 mm at most multiply that by ten. The roll centre
# lies where lines at ten degrees and less meet.
PLACES = 1e-8  # mm
TURNS = 1e-10  # rad
ROLL_CENTRE = 1e-6  # mm

# name: the changes in a garage's words (the tie rod changed like the arm, so that the car stays planar), and the same
# for the drawing board.
PLANAR: dict[str, tuple[list[Change], dict[str, Any]]] = {
    "ride height": ([change("ride height", by=-23.0)], {"raised": -23.0}),
    "longer ball joint": (
        [change("longer ball joint", by=18.0), change("tie-rod shim", by=18.0)],
        {"joint": (0.0, -18.0)},
    ),
    "inner pivots": (
        [change("inner pivots", shift=(0.0, -5.0, 21.0)), change("tie-rod inner", shift=(0.0, -5.0, 21.0))],
        {"pivot": (-5.0, 21.0)},
    ),
    "inner pivots and rack": (
        [change("inner pivots", shift=(0.0, 0.0, 21.0)), change("rack raised", by=21.0)],
        {"pivot": (0.0, 21.0)},
    ),
    "strut top": ([change("strut top", shift=(0.0, -9.0, 4.0))], {"top": (-9.0, 4.0)}),
    "wheel spacer": ([change("wheel spacer", by=14.0)], {"spacer": 14.0}),
    "tyre radius": ([change("tyre radius", by=-12.0)], {"radius": -12.0, "raised": -12.0}),
    "points": (
        [change("point", point=key, shift=(0.0, 3.0, -11.0)) for key in ("lower_ball_joint", "tie_rod_outer")],
        {"joint": (3.0, -11.0)},
    ),
    "everything": (
        [
            change("longer ball joint", by=18.0),
            change("tie-rod shim", by=18.0),
            change("inner pivots", shift=(0.0, 0.0, 15.0)),
            change("rack raised", by=15.0),
            change("ride height", by=-31.0),
            change("wheel spacer", by=8.0),
        ],
        {"joint": (0.0, -18.0), "pivot": (0.0, 15.0), "raised": -31.0, "spacer": 8.0},
    ),
}


@pytest.mark.parametrize("kind", VIEWS)
@pytest.mark.parametrize("name", PLANAR)
def test_a_planar_car_on_the_drawing_board(kind: str, name: str) -> None:
    changes, drawn = PLANAR[name]
    if name == "strut top" and kind != "strut":
        pytest.skip("no strut")
    board = reassemble(VIEWS[kind], **drawn)
    found = assembled(whole_car(VIEWS[kind]), *changes)

    assert found.found.arrived.all()
    assert_drawn(found.axle, board)
    # Anticlockwise in (out, up) is a turn about x on the left, the other way round on the right.
    assert_allclose(found.rotation[:, 2, 1], [math.sin(board.turn), -math.sin(board.turn)], rtol=0.0, atol=TURNS)


def assert_drawn(axle: Axle, board: Reassembled) -> None:
    places = {
        "lower_pivot_front": board.view.pivot,
        "lower_ball_joint": board.view.joint,
        "wheel_centre": board.view.centre,
    }
    for key, (out, up) in places.items():
        assert_allclose(axle.points[key][:, 1:], [[out, up], [-out, up]], rtol=0.0, atol=PLACES, err_msg=key)
    assert_allclose(axle.camber, board.view.camber, rtol=0.0, atol=TURNS)
    assert_allclose(axle.toe, 0.0, rtol=0.0, atol=TURNS)
    assert_allclose(axle.contact[:, 1:], [[board.contact[0], 0.0], [-board.contact[0], 0.0]], rtol=0.0, atol=PLACES)
    at_rest = sweep_bump(axle, np.zeros(1))
    for key in ("textbook_roll_centre_height", "roll_centre_height", "force_weighted_height"):
        assert_allclose(at_rest[key][..., 0], board.roll_centre, rtol=0.0, atol=ROLL_CENTRE, err_msg=key)


@pytest.mark.parametrize("axle", [typical("strut"), uneven("strut"), uneven("double wishbone")])
def test_a_ride_height_is_a_heave(axle: Axle) -> None:
    """Setting the car lower and leaving it alone is the same as pressing it down by as much."""
    set_lower = sweep_roll(assembled(axle, change("ride height", by=-14.0)).axle, np.zeros(1))
    pressed = sweep_roll(axle, np.zeros(1), heave=-14.0)
    since_measured = (
        "travel",
        "heave",
        "half_track_change",
        "wheel_centre_recession",
        "caster_change",
        "side_view_turn",
    )
    assert set(set_lower.values) == set(pressed.values)
    for key in set_lower.values:
        if key not in since_measured:  # told from where each car was measured
            # An instant centre some metres off is the least exact: its turn rate is divided by.
            assert_allclose(set_lower[key], pressed[key], rtol=1e-8, atol=1e-9, err_msg=key)
    for side in (0, 1):
        assert pressed["travel"][side, 0] == pytest.approx(14.0, abs=0.5)


def test_a_shim_under_the_tie_rod_end() -> None:
    """Toe set back, the upright is where it was: the tie rod's new length is that between two known points."""
    axle, by = typical("strut"), 16.0
    aligned = toe_set_back(axle, change("tie-rod shim", by=by))
    outer, inner = axle.points["tie_rod_outer"], axle.points["tie_rod_inner"]
    lowered = outer - [0.0, 0.0, by]
    by_hand = np.linalg.norm(lowered - inner, axis=-1) - np.linalg.norm(outer - inner, axis=-1)
    # Toe is set to 1e-10 rad on a steering arm of some 130 mm.
    assert_allclose(aligned.toe_link, by_hand, rtol=0.0, atol=1e-7)
    assert_allclose(aligned.assembled.axle.points["tie_rod_outer"], lowered, rtol=0.0, atol=1e-7)
    assert_allclose(aligned.assembled.axle.toe, axle.toe, rtol=0.0, atol=1e-9)


@pytest.mark.parametrize("what", ["rack raised", "tie-rod inner"])
def test_the_rack_raised(what: str) -> None:
    axle = uneven("double wishbone")
    how: dict[str, Any] = {"by": 13.0} if what == "rack raised" else {"shift": (0.0, 0.0, 13.0)}
    aligned = toe_set_back(axle, change(what, **how))
    outer, inner = axle.points["tie_rod_outer"], axle.points["tie_rod_inner"]
    by_hand = np.linalg.norm(outer - inner - [0.0, 0.0, 13.0], axis=-1) - np.linalg.norm(outer - inner, axis=-1)
    assert_allclose(aligned.toe_link, by_hand, rtol=0.0, atol=1e-7)
    raised = inner + np.array([0.0, 0.0, 13.0])
    assert_allclose(aligned.assembled.axle.points["tie_rod_inner"], raised, rtol=0.0, atol=1e-12)


@pytest.mark.parametrize("camber", [0.0, -2.0])
def test_a_wheel_spacer(camber: float) -> None:
    """Half-track grows by the spacer times cos(camber) cos(toe); at no camber the upright does not stir."""
    axle = typical("strut", camber)
    after = assembled(axle, change("wheel spacer", by=20.0)).axle
    grown = np.abs(after.contact[:, 1]) - np.abs(axle.contact[:, 1])
    by_hand = 20.0 * math.cos(math.radians(camber)) * math.cos(math.radians(0.05))
    # With camber the hub rises by 20 sin(2 deg) = 0.7 mm on its tilted axis; the corner droops by that much, and a
    # wheel whose contact runs outward by less than 0.3 mm per mm of travel moves less than 0.2 mm sideways.
    assert_allclose(grown, by_hand, rtol=0.0, atol=PLACES if camber == 0.0 else 0.21)
    if camber == 0.0:
        assert_allclose(after.points["lower_ball_joint"], axle.points["lower_ball_joint"], rtol=0.0, atol=PLACES)


def test_a_smaller_tyre() -> None:
    """Upright wheels: hub and body come down together, and the linkage stays where it is."""
    axle = typical("strut", camber=0.0)
    after = assembled(axle, change("tyre radius", by=-15.0)).axle
    for key, point in axle.points.items():
        assert_allclose(after.points[key], point - [0.0, 0.0, 15.0], rtol=0.0, atol=PLACES, err_msg=key)
    assert_allclose(after.radius, axle.radius - 15.0, rtol=0.0, atol=PLACES)


@pytest.mark.parametrize("kind", ["strut", "double wishbone"])
def test_a_moved_chassis_point_is_where_it_was_put(kind: str) -> None:
    axle = uneven(kind)
    after = assembled(axle, change("point", point="lower_pivot_rear", shift=(2.0, -3.0, 6.0))).axle
    moved = after.points["lower_pivot_rear"] - axle.points["lower_pivot_rear"]
    assert_allclose(moved, [[2.0, -3.0, 6.0], [2.0, 3.0, 6.0]], rtol=0.0, atol=1e-12)
    for key in axle.suspension.keys:
        if key not in axle.suspension.on_upright and key != "lower_pivot_rear":
            assert_allclose(after.points[key], axle.points[key], rtol=0.0, atol=1e-12, err_msg=key)


ON_UPRIGHT_MOVED = {
    "longer ball joint": "lower_ball_joint",
    "tie-rod shim": "tie_rod_outer",
    "wheel spacer": "wheel_centre",
    "point": "tie_rod_outer",
}


@pytest.mark.parametrize(("what", "how"), EVERY_KIND, ids=[what for what, _ in EVERY_KIND])
def test_parts_stay_as_long_and_stiff_as_they_were(what: str, how: dict[str, Any]) -> None:
    axle = uneven("strut")
    done = assembled(axle, change(what, **how))
    assert done.found.arrived.all()
    after = done.axle
    for on, inner in axle.suspension.all_links:
        before = np.linalg.norm(axle.points[on] - axle.points[inner], axis=-1)
        assert_allclose(np.linalg.norm(after.points[on] - after.points[inner], axis=-1), before, rtol=0.0, atol=1e-9)
    for one, other in combinations(sorted(axle.suspension.on_upright - {ON_UPRIGHT_MOVED.get(what, "")}), 2):
        before = np.linalg.norm(axle.points[one] - axle.points[other], axis=-1)
        assert_allclose(np.linalg.norm(after.points[one] - after.points[other], axis=-1), before, rtol=0.0, atol=1e-9)
    assert_allclose(after.contact[..., 2], 0.0, atol=1e-9)
    # The strut's axis, as fixed in the upright, still passes its top mount.
    before = axle.points["strut_top"] - axle.points["strut_low"]
    carried = np.einsum("sij,sj->si", done.rotation, before)
    assert_allclose(
        np.cross(carried, after.points["strut_top"] - after.points["strut_low"]) / np.linalg.norm(before),
        0.0,
        atol=1e-9 * 500.0,
    )


def test_every_kind_is_tried() -> None:
    # Link lengths are tried in test_every_type.py, springs, bars and ballast in test_settling.py.
    assert {what for what, _ in EVERY_KIND} == set(CHANGES) - {"link length", *LOAD_CHANGES}


def test_a_moved_upright_point_as_seen_by_the_upright() -> None:
    """Turned back, the upright has its other points where they were and the moved one where the change put it."""
    axle = uneven("double wishbone")
    done = assembled(axle, change("point", point="upper_ball_joint", shift=(3.0, -4.0, 8.0)))
    after = done.axle
    for key in axle.suspension.on_upright:
        arm = after.points[key] - after.points["wheel_centre"]
        turned_back = np.einsum("sji,sj->si", done.rotation, arm)
        shift = [[3.0, -4.0, 8.0], [3.0, 4.0, 8.0]] if key == "upper_ball_joint" else 0.0
        expected = axle.points[key] - axle.points["wheel_centre"] + shift
        assert_allclose(turned_back, expected, rtol=0.0, atol=1e-9, err_msg=key)


def test_parts_know_nothing_of_the_order_of_sides() -> None:
    """A shift outward is outward on both sides: a symmetric car stays symmetric."""
    after = assembled(typical("strut"), *(change(what, **how) for what, how in EVERY_KIND)).axle
    for key, (left, right) in after.points.items():
        assert_allclose(left, right * [1.0, -1.0, 1.0], rtol=0.0, atol=1e-8, err_msg=key)
    assert changed_parts(typical("strut")).lengths.shape == (2, 3)
