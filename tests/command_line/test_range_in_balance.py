"""A working range in balance as a person meets it: where it comes from, where it ends, and what a car lacks for it.

Formula: on level trailing arms of 500 mm, wheels as high as the pivots, the roll centre lies on the ground, and roll =
m a h / (K - m g h) with K the springs' wheel rates times half the track squared; the way of each wheel leans with the
body, by which m a roll lifts it (`tests/loads/test_working_states.py` works this out).
"""

import re
from math import degrees
from pathlib import Path

import pytest

from kinematics.car.lengths import MM
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.blank_file import blank_car_file
from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.command_line.car_texts import filled_in

WEIGHT, UNSPRUNG, RATE = 280.0, 3.0, 60.0  # kg, kg and N/mm at each wheel
TRACK, HEIGHT, HUB = 1440.0, 520.0, 300.0  # mm
WHOLE_HEIGHT = HEIGHT + UNSPRUNG / WEIGHT * (HUB - HEIGHT)  # the hubs lean with the body
AXLE = f"""
[{{axle}}]
suspension = "trailing arm"
wheel = {{{{ camber = 0, toe_in = 0 }}}}
[{{axle}}.points]
wheel_centre = {{{{ ahead = 0, out = {TRACK / 2.0}, up = {HUB} }}}}
pivot_outer = {{{{ ahead = 500, out = 650, up = 300 }}}}
pivot_inner = {{{{ ahead = 500, out = 400, up = 300 }}}}
[{{axle}}.weights]
left = {WEIGHT}
right = {WEIGHT}
unsprung = {UNSPRUNG}
[{{axle}}.spring]
rate = {RATE}
motion_ratio = 1.0
"""
BODY = f"""
name = "by hand"
units = "mm"
[body]
wheelbase = 2560
centre_of_gravity = {{ up = {HEIGHT} }}
"""
BY_HAND = BODY + AXLE.format(axle="front") + AXLE.format(axle="rear")
SALOON = demo_text("rear_drive_saloon.toml")
STATED = "travel = [-25, 25]\nroll = 1.5\n"
ALL = "cornering = 1.0\nbraking = 0.8\ndriving = 0.4\n"
PLANS = """
units = "mm"
[[plan]]
name = "stiff"
[[plan.change]]
what = "spring rate"
rate = 60
"""
MEANS = """
units = "mm"
want = "least change"
[[may]]
what = "ride height"
from = -10
to = 10
step = 5
"""


@pytest.fixture(autouse=True)
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def told(capsys: pytest.CaptureFixture[str], text: str, *command: str, status: tuple[int, ...] = (0, 1)) -> str:
    """What a command prints of a car, in one line, or its faults."""
    Path("car.toml").write_text(text, encoding="utf-8")
    found = main([command[0], "car.toml", *command[1:]])
    printed = capsys.readouterr()
    assert found in status, printed
    return " ".join((printed.err if found == 2 else printed.out).split())


def in_balance(limits: str, text: str = SALOON) -> str:
    assert text.count(STATED) == 1
    return text.replace(STATED, limits)


def test_the_verdict_says_over_what_and_from_where(capsys: pytest.CaptureFixture[str]) -> None:
    """The numbers that are read, against the formula: a tenth of a mm and a hundredth of a degree are printed."""
    lateral, weight = 0.4, 4.0 * WEIGHT * 9.80665
    stiffness = 4.0 * RATE * (TRACK / 2.0) ** 2
    roll = weight * lateral * WHOLE_HEIGHT / (stiffness - weight * WHOLE_HEIGHT * (1.0 - lateral**2))
    lift = weight * lateral * roll / (4.0 * RATE)
    text = told(capsys, f"{BY_HAND}[limits]\ncornering = {lateral}\n", "show")
    said = r"Judged over travel -([0-9.]+) to \+([0-9.]+) mm, roll ([0-9.]+) deg either way \((.+?)\)\."
    found = re.search(said, text)
    assert found is not None, text
    low, high, angle = (float(found[i]) for i in (1, 2, 3))
    side = roll * TRACK / 2.0
    assert (low, high) == pytest.approx((side + lift, side - lift), abs=0.05 + 0.005 * side)
    assert angle == pytest.approx(degrees(roll), abs=0.005 + 0.005 * degrees(roll))
    assert found[4] == "the car as measured in balance at 0.4 g cornering"


@pytest.mark.campaign
def test_stated_and_usual_parts_are_told_apart(capsys: pytest.CaptureFixture[str]) -> None:
    text = told(capsys, in_balance("braking = 0.8\n"), "show")
    assert re.search(r"mm \(the car as measured in balance at 0.8 g braking\), roll 2 deg either way \(usual\)", text)
    text = told(capsys, in_balance("roll = 1.5\ncornering = 1\nbraking = 0.8\n"), "show")
    source = r"\(the car as measured in balance at 1 g cornering, 0.8 g braking\)"
    assert re.search(rf"mm {source}, roll 1.5 deg either way \(from the file\)", text)
    text = told(capsys, in_balance("travel = [-20, 20]\ncornering = 1\n"), "show")
    assert re.search(r"travel -20.* to \+20.* mm \(from the file\), roll [0-9.]+ deg either way \(the car as mea", text)


@pytest.mark.campaign
def test_where_balance_ends_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """It falls over at t / (2 h) = 1.38 g at most; the lean takes some of it."""
    text = told(capsys, f"{BY_HAND}[limits]\ncornering = 2.4\n", "show")
    found = re.search(
        r"at 2.4 g cornering; no balance was found beyond ([0-9.]+) g cornering, so it ends there\)", text
    )
    assert found is not None, text
    assert 0.8 < float(found[1]) < TRACK / (2.0 * HEIGHT)


def test_travel_and_roll_at_once_are_told_as_what_was_swept(capsys: pytest.CaptureFixture[str]) -> None:
    """Over both the body is lowered by less than the outer wheel goes, and the check in full says so."""
    limit = '[limits.front]\nforce_weighted_height = { from = -1, to = 1, over = "working range" }\n'
    text = told(capsys, in_balance(ALL).replace("[limits.front]\n", limit), "show", "--all")
    pattern = r"the body lowered -([0-9.]+) to \+([0-9.]+) mm with roll [0-9.]+ deg either way, the car as measured"
    lowered = re.search(pattern, text)
    travel = re.search(r"Judged over travel -([0-9.]+) to \+([0-9.]+) mm", text)
    assert lowered is not None, text
    assert travel is not None, text
    assert all(float(lowered[i]) < 0.8 * float(travel[i]) for i in (1, 2))


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_every_command_that_judges_has_it(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same range in all of them; plans are judged over that of the car as measured, also on other springs."""
    (garage / "plans.toml").write_text(PLANS, encoding="utf-8")
    (garage / "means.toml").write_text(MEANS, encoding="utf-8")
    text = in_balance(ALL)
    judged = re.search(r"Judged over travel .*?\)\.", told(capsys, text, "show"))
    assert judged is not None
    assert judged[0] in told(capsys, text, "compare", "plans.toml")
    assert judged[0] in told(capsys, text, "doubt", "--draws", "100")
    low, high = re.findall(r"[-+]([0-9.]+)", judged[0])[:2]
    used = f"the car uses {high} mm of bump and {low} mm of droop (the car as measured in balance at 1 g cornering"
    assert used in told(capsys, text, "travel")
    assert "[limits]" not in told(capsys, text, "find", "means.toml")


def test_a_file_of_limits_may_ask_for_it(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "limits.toml").write_text('units = "mm"\n[limits]\ncornering = 0.9\n', encoding="utf-8")
    assert "in balance at 0.9 g cornering)" in told(capsys, SALOON, "show", "--limits", "limits.toml")


def without(*tables: str) -> str:
    text = in_balance(ALL)
    for name in tables:
        begun = text.index(f"[{name}]")
        text = text[:begun] + text[text.index("\n[", begun) + 1 :]
    return text


REAR = [f"rear.{part}" for part in ("weights", "tyre", "spring", "damper")]
EVERY = "limits.cornering, limits.braking, limits.driving: the working range in balance needs"
FAULTS = {
    "below zero": (in_balance("cornering = -1\n"), ["limits.cornering: read -1; above 0 to 3 g are allowed"]),
    "none": (in_balance("braking = 0\n"), ["limits.braking: read 0; above 0 to 3 g are allowed"]),
    "more than any tyre": (in_balance("driving = 4\n"), ["limits.driving: read 4; above 0 to 3 g are allowed"]),
    "with its unit": (in_balance('cornering = "1 g"\n'), ['limits.cornering: read "1 g"; a number without quotes']),
    "not a number": (in_balance("cornering = nan\n"), ["limits.cornering: read nan"]),
    "travel and roll as well": (
        in_balance(f"{STATED}cornering = 1\n"),
        ["limits.cornering: travel and roll are stated, so this would count for nothing; leave out either those"],
    ),
    "braking beside a stated travel": (
        in_balance("travel = [-25, 25]\nbraking = 1\n"),
        ["limits.braking: travel is stated and no cornering, so this would count for nothing; leave out either"],
    ),
    "one axle without springs": (
        without(*REAR),
        [f"{EVERY} [rear.spring] and [rear.weights] in car.toml; or else leave this out"],
    ),
    "no centre of gravity, no wheelbase": (
        without("body"),
        [f"{EVERY} wheelbase in [body], centre_of_gravity in [body] in car.toml; or else leave this out"],
    ),
    "no part of the braking": (
        in_balance(ALL).replace("front_brakes = 0.68", "#"),
        ["limits.braking: the working range in balance needs front_brakes in [body] in car.toml; or else"],
    ),
    "no part of the driving": (
        in_balance(ALL).replace("front_drive = 0.0", "#"),
        ["limits.driving: the working range in balance needs front_drive in [body] in car.toml; or else"],
    ),
}


@pytest.mark.parametrize("what", FAULTS)
def test_faults(what: str, capsys: pytest.CaptureFixture[str]) -> None:
    text, says = FAULTS[what]
    for command in (["show"], ["travel"], ["sweep", "out"]):
        found = told(capsys, text, *command, status=(2,))
        assert found.startswith(f"car.toml: {len(says)} fault")
        assert all(one in found for one in says), found
    assert not Path("out").exists()


def test_a_car_of_one_axle_has_no_balance(capsys: pytest.CaptureFixture[str]) -> None:
    text = BODY + AXLE.format(axle="front") + "[limits]\ncornering = 1\n"
    found = told(capsys, text, "show", status=(2,))
    assert "limits.cornering: the working range in balance needs both axles in car.toml; or else" in found


@pytest.mark.campaign
def test_a_soft_car_falls_over_by_itself(capsys: pytest.CaptureFixture[str]) -> None:
    """Formula: K under m g h holds nothing up."""
    soft = 0.9 * 4.0 * WEIGHT * 9.80665 * HEIGHT / (4.0 * (TRACK / 2.0) ** 2)
    text = BY_HAND.replace(f"rate = {RATE}", f"rate = {soft}")
    found = told(capsys, f"{text}[limits]\ncornering = 1\n", "show", status=(2,))
    assert "limits.cornering: no balance was found even at a twelfth of what is asked; are rates, weights and" in found
    assert "springs and bars are too soft to hold the body up" in told(capsys, text, "lean", status=(2,))


@pytest.mark.parametrize("kind", ["strut", "live axle with four links"])
def test_the_blank_file_shows_it(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Its lines as they stand, the # taken away, are what a car without springs is told of."""
    blank = filled_in(blank_car_file(SUSPENSIONS[kind], MM), SUSPENSIONS[kind], "mm")
    for line in ("# [limits]", "# cornering = 1.0", "# braking = 0.8", "# driving = 0.4"):
        assert blank.count(f"\n{line}") == 1
        blank = blank.replace(f"\n{line}", f"\n{line[2:]}")
    assert "limits.cornering, limits.braking, limits.driving: the working range" in told(
        capsys, blank, "show", status=(2,)
    )


UNUSED = "so it would count for nothing; leave it out"


def test_a_final_drive_that_turns_nothing_is_a_fault(capsys: pytest.CaptureFixture[str]) -> None:
    independent = BY_HAND.replace("[body]", "[body]\nfinal_drive = 3.9")
    found = told(capsys, independent, "show", status=(2,))
    assert (
        f"body.final_drive: read 3.9; it twists a driven live rear axle, and the rear axle is no live axle, {UNUSED}"
        in (found)
    )
    front = SALOON.replace("front_drive = 0.0", "front_drive = 1.0\nfinal_drive = 3.9")
    assert f"and front_drive = 1 drives no rear axle, {UNUSED}" in told(capsys, front, "show", status=(2,))
    driven = SALOON.replace("front_drive = 0.0", "front_drive = 0.0\nfinal_drive = 3.9")
    assert "final drive 3.9, whose shaft loads the left wheel more" in told(capsys, driven, "show", "--all")


@pytest.mark.campaign
def test_where_balance_ends_in_braking_pitch_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    text = BY_HAND.replace("[body]", "[body]\nfront_brakes = 0.7")
    both = told(capsys, text, "lean", "--cornering", "2.5", "--braking", "3")
    assert "cannot hold the pitch in braking, or a linkage ends" in both
    assert "cannot hold the roll, or a linkage ends" in both
    assert "cannot hold the roll or the pitch in braking, or a linkage ends" in both
