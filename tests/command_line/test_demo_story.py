"""The demo's story: what is printed, and that the plans it finds are what it says.

Heights are sweeps of the axle before and after each plan. Chances are those of another Monte Carlo, of other cars and
another seed, within what so many draws leave open (binomial, three standard deviations of both).
"""

import re
from pathlib import Path

import numpy as np
import pytest

from kinematics import Axle, demo_car, read_car, sweep_bump
from kinematics.doubt.assessment import ALL_LIMITS
from kinematics.doubt.differences import plan_doubts
from kinematics.inputs.demo_cars import DEMO_CARS, DEMO_MEANS, DEMO_PLANS, HATCHBACK, demo_text
from kinematics.inputs.plans.plan_file import read_plans
from kinematics.planning.changes import Change
from kinematics.planning.plans import Plan, carry_out
from reports.command_line import main
from tests.short_run import leave_undrawn

CAR = demo_car(DEMO_CARS[HATCHBACK])
NOW, PARTS, PLANNED = "lowest as it is", "lowest with parts", "40 mm lower"
CHANCE, DRAWS = 0.8, 300
OPEN = 3.0 * np.sqrt(2.0 * CHANCE * (1.0 - CHANCE) / DRAWS)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo") / "folder"


@pytest.fixture(scope="module")
def lines(folder: Path) -> list[str]:
    printed: list[str] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COLUMNS", "80")
        patch.setattr("sys.stdout.write", printed.append)
        leave_undrawn(patch)
        assert main(["demo", str(folder), "--step", "10", "--roll-step", "1"]) == 0
    return [line.rstrip() for line in "".join(printed).splitlines()]


def height(axle: Axle) -> float:
    return float(sweep_bump(axle, np.zeros(1))["roll_centre_height"][0])


def lower(by: float) -> Plan:
    return Plan("lower", (Change("front", "ride height", -by),))


def after(plan: Plan) -> Axle:
    return carry_out(CAR, [plan])[0]["front"].axle


def chances(plans: list[Plan]) -> list[float]:
    found = plan_doubts(CAR, CAR.front, plans, CAR.limits, draws=DRAWS, seed=77)
    return [one.holding[ALL_LIMITS] for one in found[1:]]


def found_plans(folder: Path) -> dict[str, Plan]:
    return {one.name: one for one in read_plans([folder / "found_plans.toml"], CAR).plans}


def lowered(plan: Plan) -> float:
    return -sum(one.by for one in plan.changes if one.what == "ride height")


def test_it_fits_and_says_that_it_is_invented(lines: list[str], folder: Path) -> None:
    assert len(lines) <= 60
    # Names of files are not broken, however long the path of their folder is.
    assert all(len(line) <= 80 or str(folder) in line for line in lines)
    assert any("The car is invented" in line for line in lines)
    for name in (DEMO_CARS[HATCHBACK], DEMO_MEANS[HATCHBACK], DEMO_PLANS[HATCHBACK], "found_plans.toml"):
        assert "INVENTED" in (folder / name).read_text(encoding="utf-8").splitlines()[0]
    assert sum("CAUTION" in line for line in lines) == 1


def test_the_answer_comes_first(lines: list[str], folder: Path) -> None:
    plans = found_plans(folder)
    before, planned = height(CAR.front), height(after(lower(40.0)))
    assert before > 0.0 > planned
    assert planned < -25.4  # the rule of thumb's lowest: what he has in mind puts it out of range
    assert " ".join(lines[:2]) == (
        f"Front roll centre {before:.1f} mm above ground; 40 mm lower it is {-planned:.1f} mm below ground, "
        f"out of range. All limits hold {lowered(plans[NOW]):g} mm lower as it is, "
        f"{lowered(plans[PARTS]):g} mm lower with parts."
    )
    assert lines[2].startswith("Next: cornersweep sheet strut ")
    rows = {line[1:17].strip(): line for line in lines}
    for name, axle in ((NOW, after(plans[NOW])), (PLANNED, after(lower(40.0)))):
        assert f" {-height(axle):.1f} mm below " in rows[name]
    assert " 5 of 5 " in rows[NOW]
    assert re.search(r" [0-4] of 5 ", rows[PLANNED])


@pytest.mark.usefixtures("lines")
def test_parts_let_it_go_lower_than_height_alone(folder: Path) -> None:
    plans = found_plans(folder)
    assert {one.what for one in plans[NOW].changes} == {"ride height"}
    assert {one.what for one in plans[PARTS].changes} > {"ride height"}
    assert lowered(plans[PARTS]) > lowered(plans[NOW]) > 0.0


@pytest.mark.campaign
@pytest.mark.usefixtures("lines")
def test_what_is_found_is_as_likely_as_asked_and_the_next_step_is_not(folder: Path) -> None:
    plans = found_plans(folder)
    # The means go down in steps of 2 mm.
    *found, next_step, further = chances([*plans.values(), *(lower(lowered(plans[NOW]) + by) for by in (2.0, 6.0))])
    assert len(found) == len(plans) > 0
    assert min(found) > CHANCE - OPEN
    assert next_step < CHANCE + OPEN
    assert further < CHANCE


@pytest.mark.usefixtures("lines")
def test_the_written_car_stands_as_the_plan_says(folder: Path) -> None:
    """Its points are written to 0.001 mm, and nothing of the front follows them more than some ten times."""
    written, planned = read_car(folder / "lowest_with_parts.toml"), after(found_plans(folder)[PARTS])
    assert height(written.front) == pytest.approx(height(planned), abs=0.02)
    assert main(["show", str(folder / "lowest_with_parts.toml")]) == 0


@pytest.mark.campaign
@pytest.mark.usefixtures("lines")
def test_files_can_be_used_as_anyones(folder: Path) -> None:
    names = {path.name for path in folder.iterdir()}
    assert {"front_plans.csv", "front_plans_bump.png", DEMO_MEANS[HATCHBACK]} < names
    for name in (DEMO_CARS[HATCHBACK], DEMO_MEANS[HATCHBACK], DEMO_PLANS[HATCHBACK]):
        assert (folder / name).read_text(encoding="utf-8") == demo_text(name)
    assert main(["compare", str(folder / DEMO_CARS[HATCHBACK]), str(folder / "found_plans.toml")]) == 0
    assert main(["compare", str(folder / DEMO_CARS[HATCHBACK]), str(folder / DEMO_PLANS[HATCHBACK])]) == 1


@pytest.mark.usefixtures("lines")
def test_a_demo_does_not_overwrite_what_was_changed(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    means = folder / DEMO_MEANS[HATCHBACK]
    own = demo_text(DEMO_MEANS[HATCHBACK]) + "# my own\n"
    means.write_text(own, encoding="utf-8")
    assert main(["demo", str(folder)]) == 2
    assert capsys.readouterr().err == (
        f"nothing written: 1 fault\n  {means}: is there already, with other content; name another folder, move it "
        "away, or add --replace to write over it\n"
    )
    assert means.read_text(encoding="utf-8") == own
    means.write_text(demo_text(DEMO_MEANS[HATCHBACK]), encoding="utf-8")
