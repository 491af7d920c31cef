"""A drop link on the upright, steered to either lock: SciPy turns the upright, a triangle gives the angle.

The upright is held by its lower arm, its strut's axis through the top mount, its tie rod (inner end gone with the rack)
and by its wheel centre's height: four equations for the arm's angle and the upright's turn, solved by `scipy.optimize`
from link lengths alone (formula). The bar's arm is then turned until the drop link has its length again.
"""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import brentq, fsolve
from scipy.spatial.transform import Rotation

from kinematics import Axle, read_car
from kinematics.inputs.demo_cars import demo_text
from kinematics.motion.moving_axle import moving
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.plans import Plan, carry_out
from kinematics.planning.travel_ends import Corner, EndKind, rooms
from reports.command_line import main

SALOON = demo_text("rear_drive_saloon.toml")
ON_ARM = 'drop_link_end = { ahead = 40, out = 600, up = 186, on = "lower arm" }'
ON_UPRIGHT = 'drop_link_end = { ahead = 55, out = 630, up = 430, on = "upright" }'
LOCK = 62.0  # mm of rack travel, as in that file
ALLOWED = math.radians(20.0), math.radians(150.0)


@pytest.fixture(autouse=True)
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path


def written(rack: bool = True, angles: str = "[20, 150]") -> Path:
    text = SALOON.replace(ON_ARM, ON_UPRIGHT).replace("arm = 210  ", f"link_angle = {angles}\narm = 210  ")
    assert ON_UPRIGHT in text
    if not rack:
        text = text.replace("[front.steering]\nrack_travel = 62", "")
    path = Path("car.toml")
    path.write_text(text, encoding="utf-8")
    return path


def upright_at(axle: Axle, side: int, rack: float) -> tuple[np.ndarray, np.ndarray]:
    """Ball joint and turn (a rotation vector) of the upright at ride height, the rack gone to the left by so much."""
    points = {key: both[side] for key, both in axle.points.items()}
    front, rear, ball = (points[key] for key in ("lower_pivot_front", "lower_pivot_rear", "lower_ball_joint"))
    hinge = (rear - front) / np.linalg.norm(rear - front)
    inner = points["tie_rod_inner"] + [0.0, rack, 0.0]
    rod = np.linalg.norm(points["tie_rod_outer"] - points["tie_rod_inner"])
    axis = points["strut_top"] - points["strut_low"]

    def joint(swing: float) -> np.ndarray:
        return front + Rotation.from_rotvec(swing * hinge).apply(ball - front)

    def off(unknown: np.ndarray) -> np.ndarray:
        now, turn = joint(unknown[0]), Rotation.from_rotvec(unknown[1:])
        low, outer, hub = (
            now + turn.apply(points[key] - ball) for key in ("strut_low", "tie_rod_outer", "wheel_centre")
        )
        beside = np.cross(turn.apply(axis), points["strut_top"] - low)[[0, 1]] / np.linalg.norm(axis)
        return np.array([*beside, np.linalg.norm(outer - inner) - rod, hub[2] - points["wheel_centre"][2]])

    unknown = np.zeros(4)
    for part in np.linspace(0.0, 1.0, 9)[1:]:  # in steps, so that it stays on the assembly that the car has
        inner = points["tie_rod_inner"] + [0.0, part * rack, 0.0]
        unknown = fsolve(off, unknown, xtol=1e-12)
    assert np.abs(off(unknown)).max() < 1e-9
    return joint(unknown[0]), unknown[1:]


def angle_at(axle: Axle, side: int, rack: float) -> float:
    """Angle between drop link and arm seen from the side, at ride height."""
    assert axle.loads is not None
    assert axle.loads.bar is not None
    ends = axle.loads.bar.ends
    assert ends is not None
    ball, turn = upright_at(axle, side, rack)
    before, end, axis = ends.drop_link.place[side], ends.arm_end[side], ends.axis[side]
    far = ball + Rotation.from_rotvec(turn).apply(before - axle.points["lower_ball_joint"][side])
    arm = end - axis

    def turned(by: float) -> np.ndarray:
        ahead, up = arm[0], arm[2]
        c, s = math.cos(by), math.sin(by)
        return np.array([axis[0] + c * ahead - s * up, end[1], axis[2] + s * ahead + c * up])

    long = np.linalg.norm(before - end)
    by = brentq(lambda by: np.linalg.norm(far - turned(by)) - long, -0.4, 0.4, xtol=1e-14)
    now = turned(by)
    to_axis, to_far = (axis - now)[[0, 2]], (far - now)[[0, 2]]
    return abs(math.atan2(to_axis[0] * to_far[1] - to_axis[1] * to_far[0], to_axis @ to_far))


def room_of(axle: Axle, plan_axle: ChangedAxle) -> np.ndarray:
    """Room left to the angles allowed, both sides, at ride height."""
    corner = Corner(axle, plan_axle, moving(plan_axle.axle, -40.0, 40.0), None, -40.0, 40.0)
    (one,) = [room for room in rooms(corner) if room.kind is EndKind.BAR_LINK]
    return one.left(np.zeros((2, 1)))[:, 0]


@pytest.mark.parametrize("rack", [True, False], ids=["lock to lock", "straight ahead"])
def test_room_of_a_drop_link_on_the_upright(rack: bool) -> None:
    car = read_car(written(rack))
    (axles,) = carry_out(car, [Plan("as measured", ())])
    found = room_of(car.front, axles["front"])
    low, high = (math.cos(one) for one in ALLOWED)
    for side in range(2):
        angles = [angle_at(car.front, side, at) for at in ((-LOCK, 0.0, LOCK) if rack else (0.0,))]
        cosines = [math.cos(one) for one in angles]
        assert not rack or max(angles) - min(angles) > math.radians(5.0)  # steering does something here
        assert_allclose(found[side], min(low - max(cosines), min(cosines) - high), atol=1e-9)


def test_in_the_table_steering_ends_it_sooner(capsys: pytest.CaptureFixture[str]) -> None:
    """The angle is allowed straight ahead and not at full lock: what the travel table tells depends on the rack."""
    ended = {}
    for rack in (True, False):
        car = read_car(written(rack))
        widest = max(angle_at(car.front, side, at) for side in range(2) for at in (-LOCK, LOCK))
        ahead = max(angle_at(car.front, side, 0.0) for side in range(2))
        allowed = math.degrees(ahead + 0.6 * (widest - ahead))
        written(rack, f"[10, {allowed:.3f}]")
        main(["travel", "car.toml", "--into", str(rack)])
        with Path(str(rack), "travel.csv").open(encoding="utf-8", newline="") as file:
            ended[rack] = [
                float(row["travel [mm]"]) for row in csv.DictReader(file) if row["ended by"] == "bar link angle"
            ]
    capsys.readouterr()
    assert min(ended[True]) <= 1e-9
    assert min(ended[False], default=math.inf) > 1.0
