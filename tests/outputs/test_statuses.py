"""How each command ends: 0 within limits or done, 1 outside or suspect, 2 for the input's fault; and small options."""

import re
import shutil
from pathlib import Path

import numpy as np
import pytest

from kinematics import judge, read_car, sweep_roll
from kinematics.inputs.car.car_file import read_limits
from kinematics.numbers.outer_share import OuterShare, within
from reports.command_line import parsed
from tests.outputs.conftest import Garage, Run, run
from tests.outputs.kinds import KIND
from tests.outputs.read_back import assert_shown, rows
from tests.outputs.test_compared_plans import side_by_side
from tests.outputs.two_cars import CAR, SHELF, written

WIDE = """
units = "mm"
[limits]
travel = [-20, 20]
roll = 1.0
[limits.front]
camber = { from = -9, to = 5 }
force_weighted_height = { from = -9000, to = 9000, over = ["ride height"] }
roll_centre_height = { from = -9000, to = 9000, over = ["ride height"] }
[limits.rear]
roll_centre_height = { from = -9000, to = 9000, over = ["ride height"] }
"""
NARROW = WIDE.replace("from = -9, to = 5", "from = -9, to = -3.5")


@pytest.fixture
def folder(tmp_path: Path, garage: Garage) -> Path:
    for name in ("car.toml", "plans.toml", "shelf.toml", "survey.toml"):
        shutil.copy(garage.path("mm", name), tmp_path)
    (tmp_path / "wide.toml").write_text(WIDE, encoding="utf-8")
    (tmp_path / "narrow.toml").write_text(NARROW, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(("limits", "status"), [("wide", 0), ("narrow", 1)])
@pytest.mark.parametrize("command", [["show"], pytest.param(["doubt", "--draws", "100"], marks=pytest.mark.campaign)])
def test_limits_decide(folder: Path, command: list[str], limits: str, status: int) -> None:
    name, *more = command
    assert run([name, "car.toml", "--limits", f"{limits}.toml", *more], folder).status == status


@pytest.mark.campaign
@pytest.mark.parametrize(("limits", "status"), [("wide", 0), pytest.param("narrow", 1, marks=pytest.mark.campaign)])
def test_a_sweep_ends_as_the_verdict_says(folder: Path, limits: str, status: int) -> None:
    told = ["sweep", "car.toml", "out", "--limits", f"{limits}.toml", "--step", "30", "--roll-step", "3"]
    assert run([*told, "--drawing", "svg"], folder).status == status


FORBIDDEN = """
[[rule]]
words = "Ball joints stay."
changes = "longer ball joint"
"""
PLAN = """
units = "mm"
[[plan]]
name = "joint"
[[plan.change]]
axle = "front"
what = "longer ball joint"
by = 6
"""


@pytest.mark.parametrize(
    ("limits", "rule", "status"),
    [
        pytest.param("wide", "", 0, marks=pytest.mark.campaign),
        pytest.param("narrow", "", 1, marks=pytest.mark.campaign),
        pytest.param("wide", FORBIDDEN, 1, marks=pytest.mark.campaign),
        ("wide", f"{FORBIDDEN}at_most = 5\n", 1),
        ("wide", f"{FORBIDDEN}at_most = 7\n", 0),
    ],
)
def test_a_plan_that_may_be_built_and_holds_all(folder: Path, limits: str, rule: str, status: int) -> None:
    (folder / "own.toml").write_text(PLAN + rule, encoding="utf-8")
    found = run(["compare", "car.toml", "own.toml", "--all", "--limits", f"{limits}.toml"], folder)
    assert found.status == status
    forbidden = status == 1 and bool(rule)
    assert ("breaks a rule: " in found.out) == forbidden
    told = [line.split()[0] for line in found.out.splitlines() if line.startswith(("costs ", "RULE BROKEN"))]
    assert told == (["RULE"] if forbidden else [])
    verdict = " ".join(found.out.partition("Verdict: ")[2].split())
    assert ("No plan can be built." in verdict) == forbidden
    assert ("Best plan that can be built: " in verdict) == (status == 0)
    assert ("No plan that can be built holds all limits" in verdict) == (limits == "narrow")


@pytest.mark.campaign
def test_a_plan_that_leaves_too_little_travel(folder: Path) -> None:
    """45 mm to the bump stop, 30 lower: 15 are left, and 20 are used."""
    told = ["compare", "car.toml", "--all", "--limits", "wide.toml", "--change", "ride height", "-30"]
    found = run(told, folder)
    assert found.status == 1
    assert "cannot be: " in found.out
    assert " of travel left to the bump stop, 20.0 mm is used" in found.out


def test_a_screen_of_checks(folder: Path, garage: Garage) -> None:
    """Ten of thirteen checks are shown, those that fail first, each with where it is worst and what is allowed."""
    keys = ("camber", "toe", "caster", "scrub_radius", "mechanical_trail", "kingpin_inclination", "camber_gain")
    wide = "".join(f'{key} = {{ from = -999, to = 999, over = ["ride height", "travel"] }}\n' for key in keys[1:])
    # The last is never held.
    text = WIDE.split("[limits.front]", maxsplit=1)[0] + f"[limits.front]\n{wide}camber = {{ from = 20, to = 30 }}\n"
    (folder / "many.toml").write_text(text, encoding="utf-8")
    found = run(["show", "car.toml", "--limits", "many.toml"], folder)
    assert found.status == 1
    checks = [line for line in found.out.splitlines() if re.match(r" ?(ok|OUT) ", line)]
    marks = [line.split()[0] for line in checks]
    limits = read_limits(folder / "many.toml")
    fails = sum(not one.holds for axle in garage.car().axles for one in judge(axle, limits))
    assert fails >= 2
    assert marks.count("OUT") == fails
    assert len(marks) == 10
    shape = re.compile(r" (ride height|travel [-+][\d.]+ mm|roll [-+][\d.]+ deg) +(-?[\d.]+ to -?[\d.]+)( \*)? *$")
    assert all(shape.search(line) for line in checks)
    starred = [line for line in checks if line.rstrip().endswith("*")]
    assert bool(starred) == bool(re.search(r"^\* not in the file", found.out, re.MULTILINE))


@pytest.mark.campaign
def test_a_plan_of_one_side(folder: Path) -> None:
    """What is told of a change to the left alone names the left, and only the left wheels' numbers change."""
    plan = PLAN.replace(
        "by = 6", 'by = 6\nside = "left"\n[[plan.change]]\naxle = "front"\nwhat = "tie-rod shim"\nby = 3'
    )
    (folder / "left.toml").write_text(plan, encoding="utf-8")
    found = run(["compare", "car.toml", "left.toml", "--limits", "wide.toml", "--all"], folder)
    table = " ".join(found.out.split("what each change adds")[1].split("Ranking")[0].split())
    assert "left" in table
    assert "right" not in table.split("toe")[0]
    (line,) = (line for line in changes(found) if " front:" in line)
    left, right = re.search(r"lower-arm angle ([-+\d.]+) deg / ([-+\d.]+) deg", line).groups()  # type: ignore[union-attr]
    assert float(left) > 0.3 > abs(float(right))


@pytest.mark.campaign
def test_points_shifted_on_one_side(folder: Path) -> None:
    """The left arm's inner pivots go up by 9 mm: its angle changes, the right one's stays."""
    plan = PLAN.replace("longer ball joint", "inner pivots").replace("by = 6", 'up = 9\nside = "left"')
    (folder / "left.toml").write_text(plan, encoding="utf-8")
    found = run(["compare", "car.toml", "left.toml", "--limits", "wide.toml", "--all"], folder)
    (line,) = (line for line in changes(found) if " front:" in line)
    left, right = re.search(r"lower-arm angle ([-+\d.]+) deg / ([-+\d.]+) deg", line).groups()  # type: ignore[union-attr]
    # 9 mm on an arm some 344 mm long (formula).
    assert float(left) == pytest.approx(np.degrees(9.0 / 344.0), abs=0.1)
    assert abs(float(right)) < 0.1


def test_the_cars_own_commands(garage: Garage, unit: str) -> None:
    statuses = {
        name: garage.ran(name, unit).status for name in ("show", "sweep", "lean", "shelf", "compare", "doubt", "draw")
    }
    assert statuses == {"show": 1, "sweep": 1, "lean": 0, "shelf": 1, "compare": 1, "doubt": 1, "draw": 0}
    assert garage.ran("survey", unit).status == 1


def test_a_survey_that_agrees(folder: Path) -> None:
    text = (folder / "survey.toml").read_text(encoding="utf-8")
    (folder / "sound.toml").write_text(text.replace("651.5", "611.5"), encoding="utf-8")
    found = run(["survey", "sound.toml", "out.toml"], folder)
    assert found.status == 0
    assert "SUSPECT" not in found.out


@pytest.mark.campaign
def test_a_shelf_that_holds_what_is_wanted(folder: Path) -> None:
    text = written(SHELF, "mm").replace("{ from = 1.6, to = 2.2 }", "{ from = 1.0, to = 9.0 }")
    text = text.replace("{ from = 0.50, to = 0.58 }", "{ from = 0.2, to = 0.9 }")
    (folder / "easy.toml").write_text(text, encoding="utf-8")
    found = run(["shelf", "car.toml", "easy.toml", "--limits", "wide.toml"], folder)
    assert found.status == 0
    assert " holds" in found.out


@pytest.mark.parametrize(
    "told",
    [
        ["show", "none.toml"],
        ["sweep", "car.toml", "out", "--travel", "10", "-10"],
        ["compare", "car.toml"],
        ["compare", "car.toml", "--change", "no such change", "3"],
        ["shelf", "car.toml", "none.toml"],
        ["survey", "none.toml"],
        ["draw", "car.toml", "out.svg", "--rack", "400"],
        ["draw", "car.toml", "out.svg", "--axle", "rear", "--rack", "5"],
    ],
)
def test_faults_of_the_input(folder: Path, told: list[str]) -> None:
    found = run(told, folder)
    assert found.status == 2
    assert found.err
    assert not (folder / "out.svg").exists()


@pytest.mark.campaign
def test_the_example_of_the_first_page(folder: Path) -> None:
    """`--change 'longer ball joint' 20 --change 'tie-rod shim' 20` is the plan of both, in the car's unit."""
    (folder / "both.toml").write_text(
        PLAN.replace("by = 6", 'by = 20\n[[plan.change]]\naxle = "front"\nwhat = "tie-rod shim"\nby = 20'),
        encoding="utf-8",
    )
    by_option = run(
        ["compare", "car.toml", "--all", "--change", "longer ball joint", "20", "--change", "tie-rod shim", "20"],
        folder,
    )
    by_file = run(["compare", "car.toml", "both.toml", "--all"], folder)
    assert by_option.status == by_file.status
    told = [line.split(":", 1)[1] for one in (by_option, by_file) for line in changes(one)]
    assert told[: len(told) // 2] == told[len(told) // 2 :]
    assert len(told) == 4
    # The ball joint goes down by 20 mm, and the lower arm's outer end with it (formula, at ride height).
    assert any("lower-arm angle +" in line for line in told)


def changes(one: Run) -> list[str]:
    return [line for line in one.out.splitlines() if line.startswith("changes  ")]


@pytest.mark.campaign
def test_change_in_ways_and_of_the_rear_axle(folder: Path) -> None:
    up = run(["compare", "car.toml", "--all", "--change", "inner pivots", "up=9"], folder)
    (line,) = [line for line in changes(up) if " front:" in line]
    assert "lower-arm angle +1.5" in line
    rear = run(["compare", "car.toml", "--all", "--axle", "rear", "--change", "ride height", "-7"], folder)
    (line,) = [line for line in changes(rear) if " rear:" in line]
    assert "corner raised since measured -7.0 mm" in line


@pytest.mark.campaign
def test_change_in_inches(tmp_path: Path) -> None:
    (tmp_path / "car.toml").write_text(written(CAR, "in"), encoding="utf-8")
    found = run(["compare", "car.toml", "--all", "--change", "ride height", "-1/2"], tmp_path)
    (line,) = [line for line in changes(found) if " front:" in line]
    assert "corner raised since measured -0.50 in" in line


@pytest.mark.campaign
@pytest.mark.parametrize("unit", [pytest.param("mm", marks=pytest.mark.campaign), "in"])
def test_ballast_in_each_unit(tmp_path: Path, unit: str) -> None:
    """Ten kilograms, or as many pounds, over the front axle: half on each wheel, times standard gravity (formula).

    The front that sinks under it takes some of the sprung mass along: what is gained in all is what was added.
    """
    (tmp_path / "car.toml").write_text(written(CAR, unit), encoding="utf-8")
    mass = "10" if unit == "mm" else repr(10 / 0.45359237)
    plan = f'units = "{unit}"\n[[plan]]\nname = "ballast"\n[[plan.change]]\naxle = "front"\nwhat = "ballast"\n'
    (tmp_path / "plan.toml").write_text(f"{plan}mass = {mass}\n", encoding="utf-8")
    found = run(["compare", "car.toml", "plan.toml", "--into", "out", "--step", "2", "--drawing", "svg"], tmp_path)
    gained = {}
    for axle in ("front", "rear"):
        loads = [row for row in rows(tmp_path / f"out/{axle}_plans.csv") if row["number"] == "wheel load at rest"]
        gained[axle] = [float(row["ballast"]) - float(row["as measured"]) for row in loads]
    weight = 10 * 9.80665 if unit == "mm" else 10 / 0.45359237
    assert sum(gained["front"] + gained["rear"]) == pytest.approx(weight, rel=1e-4)
    # A hundredth may move to the other wheel as the body leans, and from behind as it pitches.
    assert gained["front"] == pytest.approx([weight / 2] * 2, rel=0.05)
    assert abs(sum(gained["rear"])) < 0.01 * weight
    assert found.status == 1


@pytest.mark.campaign  # the sweep that all tests here share is of a share asked for
@pytest.mark.parametrize("share", ["0.9", "0.5"])
def test_outer_share(folder: Path, garage: Garage, share: str) -> None:
    """The force-weighted height at the end of the working roll is of the share asked for; at 0.5, the mean line."""
    told = [
        "sweep",
        "car.toml",
        share,
        "--outer-share",
        share,
        "--step",
        "30",
        "--roll-step",
        "1.5",
        "--drawing",
        "svg",
    ]
    run(told, folder)
    state = rows(folder / share / "front_roll.csv")[-1]
    stated = OuterShare(float(share), 1.5 * 0.017453292519943295)
    roll = [float(state["roll_deg"]) * 0.017453292519943295]
    sweep = sweep_roll(garage.car().front, roll, outer_share=stated)  # type: ignore[arg-type]
    assert float(state["force_weighted_height_mm"]) == pytest.approx(float(sweep["force_weighted_height"][0]), rel=1e-6)
    left, right = (float(state[f"jacking_coefficient_{side}"]) for side in ("left", "right"))
    assert left != pytest.approx(right, abs=1e-3)


def test_cells_are_found_by_their_titles(garage: Garage) -> None:
    """The reader of these tests: a table's rows have the titles of the numbers, and as many cells as plans."""
    found = side_by_side(garage.ran("compare", "in").out, "front")
    assert {title for title, _, _ in found} >= {"camber", "track", "wheel rate"}
    assert {len(cells) for _, cells, _ in found} == {4}
    assert_shown("-0.05", -0.05 * 0.017453292519943295, KIND["toe"], "mm")


POINTS = """\
Name,X,Y,Z
wheel_centre,0,742,298
lower_ball_joint,4,690,182
lower_pivot_front,118,352,181
lower_pivot_rear,-196,352,185
strut_top,-22,566,826
strut_low,2,626,420
tie_rod_outer,-128,676,216
tie_rod_inner,-128,330,217
"""


@pytest.mark.parametrize(
    ("angles", "status"),
    [
        (["--camber", "15", "--toe", "10"], 0),
        (["--camber", "-14", "--toe", "-9"], 0),
        (["--camber", "15.1", "--toe", "0"], 2),
        (["--camber", "0", "--toe", "-10.1"], 2),
    ],
)
def test_wheel_angles_of_imported_points(tmp_path: Path, angles: list[str], status: int) -> None:
    """Camber to 15 and toe to 10 degrees either way are taken, and stand in the file as they were given."""
    (tmp_path / "points.csv").write_text(POINTS, encoding="utf-8")
    axes = ["--suspension", "strut", "--forward", "x", "--left", "y", "--unit", "mm", "--ground", "0"]
    told = ["import", "points.csv", "car.toml", *axes]
    assert run([*told, *angles], tmp_path).status == status
    assert (tmp_path / "car.toml").exists() == (status == 0)
    if status == 0:
        axle = read_car(tmp_path / "car.toml").front
        assert np.degrees(axle.camber) == pytest.approx([float(angles[1])] * 2)
        assert np.degrees(axle.toe) == pytest.approx([float(angles[3])] * 2)


@pytest.mark.campaign
def test_a_shelf_with_a_spring_far_too_long(folder: Path) -> None:
    """Its row has the spring's rate, no number besides, and a note; in the terminal it says so too."""
    text = written(SHELF, "mm").replace(
        'name = "stiff"\nrate = 45.0', 'name = "stiff"\nrate = 45.0\nfree_length = 900.0'
    )
    (folder / "long.toml").write_text(text, encoding="utf-8")
    found = run(["shelf", "car.toml", "long.toml", "long.csv", "--limits", "wide.toml"], folder)
    assert found.status == 1
    raised = [row for row in rows(folder / "long.csv") if row["front_springs"] == "stiff"]
    assert len(raised) == 4
    for row in raised:
        assert row["front_springs_N_per_mm"] == "45.0"
        numbers = (
            "roll_gradient_deg_per_g",
            "front_share_percent",
            "heave_front_mm",
            "heave_rear_mm",
            "outside_percent",
        )
        assert {row[title] for title in numbers} == {""}
        assert row["note"].startswith("no balance")
    assert sum("no balance" in line for line in found.out.splitlines()) == 4


@pytest.mark.parametrize(
    ("option", "taken", "refused"),
    [
        ("--draws", ("100", "1000", "1000000"), ("99", "1000001", "1e3", "-100")),
        ("--seed", ("0", "2147483648"), ("-1", "2147483649")),
        ("--roll", ("0.01", "15"), ("0", "15.1", "-1")),
        ("--outer-share", ("0.5", "1"), ("0.49", "1.01")),
        ("--step", ("0.5", "1/8"), ("0", "-1")),
    ],
)
def test_ends_of_options(option: str, taken: tuple[str, ...], refused: tuple[str, ...]) -> None:
    """What the help says is allowed is taken, ends included, and the next beyond is not."""
    for written_so in taken:
        parsed(["compare", "car.toml", f"{option}={written_so}"])
    for written_so in refused:
        with pytest.raises(SystemExit) as ended:
            parsed(["compare", "car.toml", f"{option}={written_so}"])
        assert ended.value.code == 2


@pytest.mark.campaign
def test_what_options_are_when_not_given(garage: Garage) -> None:
    """On the outer wheel what the car's balance gives, and 3 degrees of roll either way."""
    found = rows(garage.ran("right wheel", "mm").folder / "front_roll.csv")
    assert [float(found[i]["roll_deg"]) for i in (0, -1)] == pytest.approx([-3.0, 3.0])
    usual = within(garage.car().limits).of("front")
    sweep = sweep_roll(garage.car().front, np.radians([-3.0, 0.0, 3.0]), outer_share=usual)
    told = [float(row["force_weighted_height_mm"]) for row in found]
    assert told == pytest.approx(list(sweep["force_weighted_height"]), rel=1e-6, abs=1e-6)


@pytest.mark.campaign
def test_how_much_of_a_change_fits(folder: Path) -> None:
    """Of what does not fit, as much as is told does, and a hundredth more does not."""
    words = "the parts do not fit together; about "

    def tried(out: float) -> str:
        return run(["compare", "car.toml", "--change", "inner pivots", f"out={out:g}", "--all"], folder).out

    part = float(tried(150.0).split(words)[1].split(" % of the changes")[0]) / 100.0
    assert 0.1 < part < 0.95
    assert words not in tried(150.0 * (part - 0.01))
    assert words in tried(150.0 * (part + 0.01))


@pytest.mark.campaign
def test_a_sweep_that_is_told_nothing(folder: Path) -> None:
    """60 mm of travel either way by 3 mm, and 3 degrees of roll by a quarter, as the help says."""
    run(["sweep", "car.toml", "out", "--drawing", "svg"], folder)
    bump, roll = (rows(folder / f"out/rear_{kind}.csv") for kind in ("bump", "roll"))
    assert [float(row["travel_left_mm"]) for row in bump] == pytest.approx(list(np.arange(-60.0, 61.0, 3.0)), abs=1e-9)
    assert [float(row["roll_deg"]) for row in roll] == pytest.approx(list(np.arange(-3.0, 3.1, 0.25)), abs=1e-9)
