"""The checkers themselves: each finds a fault that is planted for it, and none where there is none."""

import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kinematics import sweep_bump
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.motion.moving_axle import moving
from kinematics.motion.states import CornerStates
from solvers.equations import Equations
from solvers.newton import newton
from solvers.rotations import matrix
from solvers.vectors import Array
from tests.properties.plausible_cars import FREE_TO_MOVE, named, stacked, typical_axle
from tests.robustness import option_words, solved
from tests.robustness.campaign import unexplained
from tests.robustness.continuity import jumps, rows_of, turned_over
from tests.robustness.option_words import everything, misbehaviour
from tests.robustness.solved import CHECKS, HOLDS, Solved
from tests.robustness.time_limits import NoEndError, time_limit

TRAVEL = np.linspace(-40.0, 40.0, 17)
PLANTED = 1e-6  # mm


def swept(kind: SuspensionType) -> tuple[CornerStates, Callable[[Array], CornerStates]]:
    """Two cars of a type in bump, and how to move them further."""
    axle = typical_axle(kind)
    ready = moving(stacked([axle, axle]), TRAVEL[0], TRAVEL[-1])
    return ready.at(np.broadcast_to(TRAVEL, (2, 2, TRAVEL.size))), ready.at


def shifted(own: Solved, key: str, by: Array) -> Solved:
    """A point of the second car's left side moved at the fifth state."""
    place = np.array(own.points[key])
    place[1, 0, 4] += by
    return replace(own, points={**own.points, key: place})


def only_the_second(off: Array) -> bool:
    return bool(off[0] < HOLDS < off[1])


@pytest.mark.parametrize("kind", FREE_TO_MOVE, ids=named)
def test_sound_cars_pass(kind: SuspensionType) -> None:
    states, at = swept(kind)
    own = Solved.of(states)
    assert own.reached.all()
    assert all((check(own) < HOLDS).all() for check in CHECKS.values())
    assert not turned_over(states, own.reached).any()
    jump, gap = jumps(at, np.broadcast_to(TRAVEL, (2, 2, TRAVEL.size)))
    assert not jump.any()
    assert not gap.any()


@pytest.mark.parametrize("kind", FREE_TO_MOVE, ids=named)
def test_a_length_off_by_a_millionth_of_a_millimetre(kind: SuspensionType) -> None:
    own = Solved.of(swept(kind)[0])
    for one, other in kind.all_links:
        along = own.points[one][1, 0, 4] - own.points[other][1, 0, 4]
        wrong = shifted(own, one, PLANTED * along / np.linalg.norm(along))
        assert only_the_second(solved.lengths(wrong))


@pytest.mark.parametrize("kind", FREE_TO_MOVE, ids=named)
def test_travel_off_by_as_much(kind: SuspensionType) -> None:
    wrong = shifted(Solved.of(swept(kind)[0]), "wheel_centre", np.array([0.0, 0.0, PLANTED]))
    assert only_the_second(solved.travel(wrong))


def test_not_a_number_is_infinitely_far_off() -> None:
    wrong = shifted(Solved.of(swept(SUSPENSIONS["strut"])[0]), "wheel_centre", np.array([0.0, 0.0, np.nan]))
    assert solved.travel(wrong)[1] == np.inf


@pytest.mark.parametrize("kind", [kind for kind in FREE_TO_MOVE if kind.hinges or kind.balls], ids=named)
def test_a_hinge_or_ball_joint_that_parts(kind: SuspensionType) -> None:
    own = Solved.of(swept(kind)[0])
    place = np.array(own.place)
    part = (kind.hinges or kind.balls)[0].part
    place[1, 0, 4, kind.bodies.index(part), 1] += PLANTED
    assert only_the_second(solved.joints(replace(own, place=place)))


def test_a_strut_beside_its_top_mount() -> None:
    own = Solved.of(swept(SUSPENSIONS["strut"])[0])
    assert only_the_second(solved.strut(shifted(own, "strut_low", np.array([PLANTED, 0.0, 0.0]))))


def test_a_wheel_off_the_ground() -> None:
    own = Solved.of(swept(SUSPENSIONS["strut"])[0])
    heave = np.zeros(TRAVEL.size)
    lifted = solved.standing(replace(own, reached=own.reached & (TRAVEL == 0.0)), heave + PLANTED, heave)
    np.testing.assert_allclose(lifted, PLANTED, rtol=0.0, atol=1e-9)


def test_a_part_turned_inside_out() -> None:
    """All its distances are kept: only the volume that four of its points span has another sign."""
    kind = SUSPENSIONS["five link"]
    own = Solved.of(swept(kind)[0])
    points = {}
    for key, place in own.points.items():
        points[key] = np.array(place)
        if key in kind.on_upright:
            points[key][1, 0, 4] = place[1, 0, 4] * [1.0, 1.0, -1.0]
    wrong = replace(own, points=points)
    assert only_the_second(solved.rigid(wrong))
    keys = kind.points_on("upright")
    assert (
        solved._apart(points[keys[0]], points[keys[1]]) - solved._apart(own.points[keys[0]], own.points[keys[1]]) == 0
    ).all()


def test_another_assembly_is_a_jump() -> None:
    """All lengths hold on it, so that only the way there tells."""
    states, at = swept(SUSPENSIONS["double wishbone"])
    other = another_assembly(at)
    own = Solved.of(other(states.travel))
    assert all((check(own) < HOLDS).all() for check in CHECKS.values())
    jump, _ = jumps(other, np.array(states.travel))
    assert jump[0] == 0.0
    assert jump[1] > 10.0


def another_assembly(at: Callable[[Array], CornerStates]) -> Callable[[Array], CornerStates]:
    """The same, but that beyond 22 mm of bump the second car's left corner is in another of its assemblies."""

    def states_at(travel: Array) -> CornerStates:
        states = at(travel)
        pose = states.positions
        place, turned = np.array(pose.position), np.array(pose.quaternion)
        rotation = np.array(pose.rotation)
        for index in np.flatnonzero(travel[1, 0] > 22.0):
            rows = (
                rows_of(states)
                .flattened(pose.reached.shape)
                .take(np.array([np.ravel_multi_index((1, 0, index), pose.reached.shape)]))
            )
            p, q = solved_elsewhere(rows, place[1, 0, index], turned[1, 0, index], travel[1, 0, index])
            place[1, 0, index], turned[1, 0, index] = p, q
            rotation[1, 0, index] = np.moveaxis(matrix(q.T), -1, 0)
        return replace(states, positions=replace(pose, position=place, quaternion=turned, rotation=rotation))

    return states_at


def solved_elsewhere(rows: Equations, place: Array, turned: Array, travel: float) -> tuple[Array, Array]:
    """Newton from random guesses until it comes to rest far from where it is."""
    rng = np.random.default_rng(5)
    for _ in range(2000):
        guess = turned + rng.normal(0.0, 0.7, turned.shape)
        guess = guess / np.linalg.norm(guess, axis=-1, keepdims=True)
        start = (place + rng.normal(0.0, 40.0, place.shape))[..., None]
        with np.errstate(all="ignore"):
            found = newton(rows, start, guess[..., None], np.array([[travel]]))
        p, q = found.position[..., 0], found.quaternion[..., 0]
        if found.converged[0] and np.abs(matrix(q.T) - matrix(turned.T)).max() > 0.1:
            return p, q
    raise AssertionError("found no other assembly")


def test_a_gap_without_a_note() -> None:
    sweep = sweep_bump(typical_axle(SUSPENSIONS["strut"]), TRAVEL)
    assert list(unexplained(sweep)) == []
    camber = np.array(sweep["camber"])
    camber[1, 3] = np.nan
    assert list(unexplained(replace(sweep, values={**sweep.values, "camber": camber}))) == [
        "bump: state 3 has no ['camber'], and nothing is said"
    ]


def endless() -> None:
    while True:
        pass


def test_what_does_not_end() -> None:
    with pytest.raises(NoEndError), time_limit(0.2):
        endless()


def test_waiting_is_no_work() -> None:
    with time_limit(0.02):
        time.sleep(0.1)


def overwrites(_: list[str]) -> int:
    Path("old.txt").write_text("new", encoding="utf-8")
    return 0


def leaves_a_part(_: list[str]) -> int:
    Path(".a.csv.x.part").touch()
    return 0


def refuses_too_late(_: list[str]) -> int:
    Path("folder").mkdir()
    return 2


def fails(_: list[str]) -> int:
    raise ZeroDivisionError


def ends_oddly(_: list[str]) -> int:
    return 3


@pytest.mark.parametrize(
    ("program", "told"),
    [
        (overwrites, "overwritten"),
        (leaves_a_part, "half-written"),
        (refuses_too_late, "refused, but wrote"),
        (fails, "ZeroDivisionError"),
        (ends_oddly, "exit status 3"),
    ],
)
def test_a_command_that_misbehaves(
    program: Callable[[list[str]], int], told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "old.txt").write_text("old", encoding="utf-8")
    monkeypatch.setattr(option_words, "main", program)
    wrong, _ = misbehaviour(["show"], tmp_path, everything(tmp_path))
    assert told in wrong
