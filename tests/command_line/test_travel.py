"""The command `travel` as a person meets it: first lines, rows, exit status, table and picture.

The numbers are those written into the car file (stops, arch), which come back as they are while nothing is changed, and
heights added up by hand; what ends a travel is held against hand calculation in `tests/plans/test_travel_budget.py`.
"""

import csv
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from matplotlib.patches import Rectangle

from kinematics import Car
from kinematics.inputs.car.car_file import read_car
from kinematics.inputs.demo_cars import demo_text
from kinematics.inputs.plans.plan_file import read_plans
from kinematics.planning.travel_budget import TravelBudget, travel_budgets
from reports.command_line import main
from reports.figures.style import SKY, VERMILION
from reports.figures.travel_bars import travel_bars
from tests.outputs.two_cars import CAR as TWO_AXLES
from tests.outputs.two_cars import written

STOPS = "[front.stops]\nbump = 41.5\ndroop = 60\ntyre_to_arch = 70\nground_clearance = 95\n[front.steering]"
# The car uses 25 mm either way, so 20 mm lower its bump stop comes too soon.
CAR = demo_text("rear_drive_saloon.toml").replace("[front.steering]", STOPS)
PLANS = """
units = "mm"
[[plan]]
name = "20 lower"
[[plan.change]]
what = "ride height"
by = -20
[[plan.change]]
axle = "rear"
what = "ride height"
by = -20
[[plan]]
name = "does not fit"
[[plan.change]]
what = "inner pivots"
out = 149
[[plan]]
name = "cut"
[[plan.change]]
what = "cut coils"
coils = 0.25
"""
COILS = "wire = 12\nactive_coils = 6\nfree_length = 340\nrate = 34 "


@pytest.fixture(autouse=True)
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "car.toml").write_text(CAR.replace("rate = 34 ", COILS), encoding="utf-8")
    (tmp_path / "plans.toml").write_text(PLANS, encoding="utf-8")
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def told(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    status = main(["travel", *words])
    return status, capsys.readouterr().out


def test_first_lines(capsys: pytest.CaptureFixture[str]) -> None:
    """The front's bump stop leaves 41.5 less 25 used, its droop stop 60 less 25; springs are loose beyond 70."""
    status, out = told(capsys, "car.toml")
    assert status == 0
    first = " ".join(out.split("\n\n")[0].split())
    assert first.startswith("As measured, the front axle has least to spare, in bump: bump stop after 41.5 mm")
    assert "Next: measure" in first
    assert all(len(line) <= 80 for line in out.splitlines())
    assert out.rstrip().endswith("checked before the car is driven.")


def test_a_row_for_each_corner(capsys: pytest.CaptureFixture[str]) -> None:
    _, out = told(capsys, "car.toml")
    rows = [line.split() for line in out.splitlines() if line.strip().startswith(("front left", "front right", "rear"))]
    assert [row[:2] for row in rows] == [[axle, side] for axle in ("front", "rear") for side in ("left", "right")]
    for row in rows[:2]:
        assert row[2:] == ["41.5", "bump", "stop", "60.0", "droop", "stop"]
    assert rows[2][2:5] == ["-", "nothing", "known"]
    assert "Not told of the rear axle, so not looked at: bump stop" in " ".join(out.split())


@pytest.mark.campaign
def test_what_comes_before_the_stop(capsys: pytest.CaptureFixture[str]) -> None:
    """An arch that is nearer than the stop is told, for the stop ought to be first; a wheel that leans is less high."""
    near = Path("car.toml").read_text(encoding="utf-8").replace("tyre_to_arch = 70", "tyre_to_arch = 30")
    Path("near.toml").write_text(near, encoding="utf-8")
    _, out = told(capsys, "near.toml")
    said = "comes before the bump stop at 41.5, which ought to end the bump."
    assert f"Front left: tyre on the arch at 30.1 {said}" in " ".join(out.split())
    assert said not in " ".join(told(capsys, "car.toml")[1].split())


@pytest.mark.campaign
def test_after_plans(capsys: pytest.CaptureFixture[str]) -> None:
    """20 mm lower leave some 21.5 to the bump stop, and 25 are used; the status says so, and what to do."""
    status, out = told(capsys, "car.toml", "plans.toml")
    assert status == 1
    words = " ".join(out.split())
    assert 'With "does not fit": front: the parts do not fit together' in words
    assert "raise the car, or fit a shorter stop if damper and spring leave room for it" in words
    (row,) = [line for line in out.split("20 lower")[-1].splitlines() if "front left" in line][:1]
    assert float(row.split()[2]) == pytest.approx(21.5, abs=0.3)
    assert "Before it is driven, check" in words
    assert "cut coils (no flame, cut end in its seat)" in words
    assert all(len(line) <= 80 for line in out.splitlines())


def test_everything_in_order(capsys: pytest.CaptureFixture[str]) -> None:
    _, out = told(capsys, "car.toml", "--all")
    words = " ".join(out.split())
    begun = words.index("front left, bump: bump stop touched")
    line = words[begun : words.index("front left, droop")]
    places = [line.index(name) for name in ("touched", "bump stop 41.5", "tyre on the arch 70", "body on the ground 9")]
    assert places == sorted(places)


@cache
def budgets_of(car: str, plans: str) -> tuple[Car, list[TravelBudget]]:
    """The car's travel by the library, as measured and after each plan, looked at by two tests."""
    Path("asked.toml").write_text(car, encoding="utf-8")
    Path("asked plans.toml").write_text(plans, encoding="utf-8")
    own = read_car("asked.toml")
    return own, travel_budgets(own, read_plans(["asked plans.toml"], own).plans, own.limits.working)


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_the_table_says_all_that_ends_a_travel(capsys: pytest.CaptureFixture[str]) -> None:
    told(capsys, "car.toml", "plans.toml", "--into", "out")
    with Path("out/travel.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    _, budgets = budgets_of(Path("car.toml").read_text(encoding="utf-8"), PLANS)
    ends = [
        (one.plan.name, corner.axle, corner.side, way, end)
        for one in budgets
        for corner in one.corners
        for way, own in corner.ways()
        for end in own
    ]
    numbered = [row for row in rows if row["order"]]
    assert len(numbered) == len(ends)
    for row, (plan, axle, side, way, end) in zip(numbered, ends, strict=True):
        assert (row["plan"], row["axle"], row["side"], row["way"]) == (plan, axle, side, way)
        assert float(row["travel [mm]"]) == pytest.approx(end.travel)
        assert float(row["spare [mm]"]) == pytest.approx(end.travel - 25.0)
        assert row["ended by"] == end.kind.value
    others = [row for row in rows if not row["order"]]
    assert any(row["plan"] == "does not fit" and "do not fit together" in row["note"] for row in others)
    assert all(row["note"] for row in others)


@pytest.mark.campaign
def test_the_picture_is_drawn(capsys: pytest.CaptureFixture[str]) -> None:
    told(capsys, "car.toml", "plans.toml", "--into", "out")
    assert Path("out/travel.png").stat().st_size > 10_000


def test_files_that_are_there_stay(capsys: pytest.CaptureFixture[str]) -> None:
    Path("out").mkdir()
    Path("out/travel.csv").write_text("mine", encoding="utf-8")
    assert main(["travel", "car.toml", "--into", "out"]) == 2
    assert "travel.csv" in capsys.readouterr().err
    assert Path("out/travel.csv").read_text(encoding="utf-8") == "mine"
    assert not Path("out/travel.png").exists()


def test_in_inches(capsys: pytest.CaptureFixture[str]) -> None:
    """The other car's front stops at 45 and 38 mm, of which 20 and 25 are used: 1.50 in of droop are least to spare."""
    Path("inches.toml").write_text(written(TWO_AXLES, "in"), encoding="utf-8")
    _, out = told(capsys, "inches.toml", "--into", "out")
    assert "the front axle has least to spare, in droop: droop stop after 1.50 in, 0.98 in is used" in " ".join(
        out.split()
    )
    with Path("out/travel.csv").open(encoding="utf-8", newline="") as file:
        first = next(row for row in csv.DictReader(file) if row["ended by"] == "bump stop")
    assert float(first["travel [in]"]) == pytest.approx(45.0 / 25.4, abs=1e-6)
    assert float(first["spare [in]"]) == pytest.approx(25.0 / 25.4, abs=1e-6)


def test_a_car_that_tells_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "car.toml").write_text(demo_text("five_link_tourer.toml"), encoding="utf-8")
    status, out = told(capsys, str(tmp_path / "car.toml"))
    assert status == 0
    assert out.startswith("As measured, nothing that the car file tells ends the travel of any corner.")


def test_the_picture() -> None:
    """Each bar as long as its travel, hatched (for grey prints) and vermilion where that is less than what is used."""
    car, budgets = budgets_of(Path("car.toml").read_text(encoding="utf-8"), PLANS)
    figure = travel_bars(budgets, car, car.limits.working)
    assert not figure.texts[0].get_text().endswith(".")
    drawable = [one for one in budgets if one.corners]
    assert [axes.get_title(loc="left") for axes in figure.axes] == [one.plan.name for one in drawable]
    as_measured, lower = figure.axes[:2]
    bars = [bar for bar in as_measured.patches if isinstance(bar, Rectangle) and bar.get_height() == 0.5]
    widths = [round(float(bar.get_width()), 3) for bar in bars[:4]]
    assert widths == pytest.approx([41.5, -60.0, 41.5, -60.0], abs=1e-3)
    words = [text.get_text() for text in as_measured.texts]
    assert words[:2] == ["bump stop 41.5", "droop stop 60.0"]
    assert _colour(bars[0]) == SKY.lower()
    short = next(bar for bar in lower.patches if isinstance(bar, Rectangle) and bar.get_height() == 0.5)
    assert _colour(short) == VERMILION.lower()
    assert (bars[0].get_hatch(), short.get_hatch()) == (None, "////")
    assert float(short.get_width()) == pytest.approx(21.5, abs=0.3)
    low, high = as_measured.get_xlim()
    assert low < -60.0
    assert high > 41.5


def _colour(bar: Rectangle) -> str:
    red, green, blue, _ = (round(255.0 * float(part)) for part in np.asarray(bar.get_facecolor()))
    return f"#{red:02x}{green:02x}{blue:02x}"


@pytest.mark.campaign
def test_with_a_shelf(capsys: pytest.CaptureFixture[str]) -> None:
    Path("shelf.toml").write_text(demo_text("rear_drive_saloon_shelf.toml"), encoding="utf-8")
    _, out = told(capsys, "car.toml", "--shelf", "shelf.toml", "--all")
    words = " ".join(out.split())
    assert "front 45 N/mm front left" in words
    assert "Springs of the shelf are tried one axle at a time" in words
    assert all(len(line) <= 80 for line in out.splitlines())


def test_a_shelf_for_a_car_without_springs(capsys: pytest.CaptureFixture[str]) -> None:
    Path("other.toml").write_text(demo_text("five_link_tourer.toml"), encoding="utf-8")
    Path("shelf.toml").write_text(demo_text("rear_drive_saloon_shelf.toml").split("[[front_bar]]")[0], encoding="utf-8")
    assert main(["travel", "other.toml", "--shelf", "shelf.toml"]) == 2
    assert "[front.spring] and [front.weights]" in capsys.readouterr().err


def test_a_gap_that_is_met_at_another_travel_is_explained(capsys: pytest.CaptureFixture[str]) -> None:
    """70 mm were written; the tyre's top rises by less than the wheel's centre, since the wheel leans as it rises."""
    main(["travel", "car.toml", "--all"])
    told = " ".join(capsys.readouterr().out.split())
    assert "tyre on the arch 70.0" not in told
    assert "Front tyre to arch (70.0 mm in the file): travel is told of the wheel's centre" in told
    assert "ground clearance (" not in told  # told as it was written
    main(["travel", "car.toml"])
    assert "in the file)" not in capsys.readouterr().out
