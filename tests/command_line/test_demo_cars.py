"""The other invented cars of the demo, a live axle and five links at the rear: every file, and what stands in it."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from kinematics import demo_car
from kinematics.inputs.demo_cars import DEMO_CARS
from reports.command_line import main
from tests.command_line.test_demo import files_named

TWO_AXLES = ["rear-drive-saloon", "five-link-tourer"]


# A whole demo each, some ten seconds.
@pytest.fixture(scope="module", params=[pytest.param(name, marks=pytest.mark.campaign) for name in TWO_AXLES])
def demo(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Path, str]:
    """Name of the car, its folder and what was printed."""
    folder = tmp_path_factory.mktemp("demo") / str(request.param)
    with pytest.MonkeyPatch.context() as patch:
        printed: list[str] = []
        patch.setattr("sys.stdout.write", printed.append)
        few = ["--step", "10", "--roll-step", "1", "--all"]
        assert main(["demo", str(folder), "--car", str(request.param), *few]) == 0
    return str(request.param), folder, "".join(printed)


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def test_there_are_two() -> None:
    rears = {demo_car(DEMO_CARS[name]).rear.suspension.name for name in TWO_AXLES}
    assert rears == {"live axle with three links", "five link"}
    assert all("invented" in demo_car(file).name for file in DEMO_CARS.values())


def test_every_file_is_named_and_there(demo: tuple[str, Path, str]) -> None:
    _, folder, said = demo
    assert files_named(said, folder) == sorted(path.name for path in folder.iterdir())
    names = {path.name for path in folder.iterdir()}
    assert {"side_view.png", "roll_axis.csv", "front_steer.png", "front_steer_in_bump.csv", "rear_grid.csv"} < names
    assert said.count("CAUTION") == 1


def test_tables_have_no_holes_without_a_reason(demo: tuple[str, Path, str]) -> None:
    _, folder, _ = demo
    for path in folder.glob("*.csv"):
        for row in rows(path):
            empty = [name for name, value in row.items() if value == "" and name not in ("note", "side", "unit")]
            lacks = [part for part in row["note"].split("; ") if part and not part.startswith("to infinity and back ")]
            assert bool(empty) == bool(lacks), (path.name, row["note"], empty)
            words = {"note", "front_springs", "rear_springs", "front_bar", "rear_bar"}  # the names on the shelf
            words |= {"measurement", "number", "side", "unit"}  # what the doubt comes from, and what it is of
            words |= {"bump_ended_by", "droop_ended_by"}
            assert all(math.isfinite(float(value)) for name, value in row.items() if name not in words and value)


def test_the_roll_axis_joins_what_the_axles_tables_say(demo: tuple[str, Path, str]) -> None:
    """At rest, by plane geometry: the line through both roll centres, and its distance under the centre of gravity."""
    name, folder, _ = demo
    body = demo_car(DEMO_CARS[name]).body
    assert body.wheelbase is not None
    assert body.behind_front is not None
    assert body.centre_of_gravity is not None
    heights = []
    for axle in ("front", "rear"):
        (rest,) = (row for row in rows(folder / f"{axle}_bump.csv") if float(row["travel_left_mm"]) == 0.0)
        heights.append(float(rest["roll_centre_height_mm"]))
    at_rest = next(
        row for row in rows(folder / "roll_axis.csv") if float(row["heave_mm"]) == 0.0 == float(row["roll_deg"])
    )
    front, rear = heights
    assert float(at_rest["front_roll_centre_height_mm"]) == pytest.approx(front, abs=1e-6)
    slope = math.degrees(math.atan((rear - front) / body.wheelbase))
    assert float(at_rest["roll_axis_inclination_deg"]) == pytest.approx(slope, abs=1e-9)
    under = body.centre_of_gravity - np.interp(body.behind_front, [0.0, body.wheelbase], [front, rear])
    assert float(at_rest["roll_axis_under_centre_of_gravity_mm"]) == pytest.approx(under, abs=1e-6)


def test_only_its_first_car_was_hit(demo: tuple[str, Path, str]) -> None:
    """The saloon's right top mount sits 6 mm further back than the left one: more caster there, at a known angle."""
    name, folder, said = demo
    rest = rows(folder / "front_bump.csv")
    cross = {float(row["cross_caster_deg"]) for row in rest if float(row["travel_left_mm"]) == 0.0}
    if name != "rear-drive-saloon":
        assert cross == {0.0}
        return
    front = demo_car(DEMO_CARS[name]).front
    low, top = (front.points[key] for key in ("lower_ball_joint", "strut_top"))
    left, right = np.degrees(np.arctan((low[:, 0] - top[:, 0]) / (top[:, 2] - low[:, 2])))
    assert list(cross) == pytest.approx([left - right], abs=1e-9)
    assert left < right
    assert "cross-caster" in said


def test_show_reads_its_file(demo: tuple[str, Path, str], capsys: pytest.CaptureFixture[str]) -> None:
    name, folder, _ = demo
    assert main(["show", str(folder / DEMO_CARS[name]), "--all"]) == 1
    told = capsys.readouterr()
    assert told.err == ""
    assert "anti-lift" in told.out
    assert "roll steer" in told.out
