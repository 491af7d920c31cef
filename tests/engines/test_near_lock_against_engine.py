"""Axles measured just short of a lock, and cars that a fuzz found beside one, against MuJoCo walking in small steps.

Random axles of every type are driven to their lock and measured anew 0.02, 0.2 or 2 mm short of it (near_lock.py); from
there both go away from the lock, every point to 1e-6 mm. The cars of the fuzz stand within 0.01 mm of a lock. Ours must
not tell anything beyond the lock as reached. Source: the engine, told the joints one by one. More than a hundred of
every type that locks were run by hand, 2,349 in all (`python -m tests.engines.near_lock`): two stood out, a strut where
the engine's steps of 4 mm led it to another assembly and a wishbone that it did not close with its first step; in
other steps it agreed to 2e-8 mm.
"""

from pathlib import Path

import numpy as np
import pytest

from kinematics.car.suspension_type import CHASSIS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.car_file import read_car
from kinematics.motion.moving_axle import moving
from tests.engines.agreement import POSITION_TO
from tests.engines.corner_linkages import TRAVEL, control_blade, double_wishbone, free_linkage, strut
from tests.engines.live_axle_linkages import TRAVELS, a_frame, watt_on_axle, watt_on_body
from tests.engines.mujoco_linkage import MujocoLinkage
from tests.engines.near_lock import SETTLED, departures, near_lock

CARS = Path(__file__).parent.parent / "robustness" / "cars"
# A turning part of these goes round and round, or farther than any wheel: no lock within 400 mm.
WITHOUT_LOCKS = ("swing axle", "live axle with torque arm")
OUTWARDS = np.geomspace(1e-6, 30.0, 150)  # mm
COMPARED = OUTWARDS > 0.05
# Left and right wheel, away from the lock.
WALKS = [
    ("a_frame_axle_jumps", a_frame, (-1.0, -1.0)),
    ("a_frame_axle_jumps", a_frame, (-1.0, 0.0)),
    ("watt_on_body_holes", watt_on_body, (-1.0, -1.0)),
    ("watt_on_body_holes", watt_on_body, (-1.0, 0.0)),
    ("watt_on_body_holes", watt_on_body, (0.0, -1.0)),
    ("watt_on_axle_hole_in_roll", watt_on_axle, (1.0, 1.0)),
    ("watt_on_axle_hole_in_roll", watt_on_axle, (-1.0, 1.0)),
    ("watt_on_axle_near_lock", watt_on_axle, (-0.25, -0.25)),
    ("watt_on_axle_near_lock", watt_on_axle, (-1.0, 0.0)),
    ("watt_on_axle_near_lock_2", watt_on_axle, (1.0, 1.0)),
    ("watt_on_axle_near_lock_2", watt_on_axle, (0.0, 1.0)),
    ("strut_near_lock", strut, (1.0, 1.0)),
    ("double_wishbone_coincident", double_wishbone, (-1.0, -1.0)),
    ("control_blade_beyond_lock", control_blade, (-1.0, 1.0)),
    ("free_linkage_coincident_points", free_linkage, (1.0, 1.0)),
]


# Two of each type; a short run has one that locks of some types.
IN_SHORT = ("strut", "five link", "live axle with A-frame")
NEAR_LOCKS = [
    pytest.param(kind, number, marks=() if kind in IN_SHORT and number == 2000 else pytest.mark.campaign)
    for kind in SUSPENSIONS
    if kind not in WITHOUT_LOCKS
    for number in (2000, 2001)
]


@pytest.mark.campaign
@pytest.mark.parametrize(("kind", "number"), NEAR_LOCKS)
def test_away_from_a_lock(kind: str, number: int) -> None:
    near = near_lock(kind, number)
    if near is None:
        pytest.skip("this one does not lock within 400 mm")
    off, beyond = departures(near)
    assert off < POSITION_TO
    assert not beyond


# Above a short run has each type beside a lock; here it walks with one corner and with one whole axle, one wheel of
# which stands still, which tells more than both.
WALKED = [("double_wishbone_coincident", (-1.0, -1.0))]


@pytest.mark.parametrize(
    ("name", "build", "way"),
    [
        pytest.param(name, build, way, id=f"{name},{way}", marks=() if (name, way) in WALKED else pytest.mark.campaign)
        for name, build, way in WALKS
    ],
)
def test_cars_beside_a_lock(name: str, build: object, way: tuple[float, float]) -> None:
    axle = read_car(CARS / f"{name}.toml").axles[0]
    kind = axle.suspension
    travel = np.array(way)[:, None] * OUTWARDS
    states = moving(axle, -30.0, 30.0).at(travel)
    assert states.reached.all()
    for side in (0, 1):
        linkage = MujocoLinkage(SETTLED)
        build(linkage, axle.points if kind.whole_axle else {key: one[side] for key, one in axle.points.items()})
        driven = dict(zip(TRAVELS, travel, strict=True)) if kind.whole_axle else {TRAVEL: travel[side]}
        bodies = linkage.solve(driven)
        for key, part in kind.carriers.items():
            if part != CHASSIS:
                asked = bodies[part].point(axle.points[key][side])
                assert np.abs(states.point(key)[side] - asked)[COMPARED].max() < POSITION_TO
