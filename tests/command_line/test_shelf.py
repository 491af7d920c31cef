"""`shelf`: the ranking, its table, exit status, units."""

import csv
import re
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.command_line.test_lean import RATE, in_inches

SALOON = demo_text("rear_drive_saloon.toml")
SHELF = """units = "mm"
[want]
roll_gradient = { from = 1.8, to = 2.5 }
front_share = { to = 0.62 }
[[front_spring]]
name = "45 blue"
rate = 45
[[front_spring]]
name = "60, odd [red] name"
rate = 60
[[rear_spring]]
name = "40 long"
rate = 40
free_length = 300
[[front_bar]]
name = "24 mm"
diameter = 24
length = 900
arm = 210
"""
COUNT = 3 * 2 * 2


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "car.toml").write_text(SALOON, encoding="utf-8")
    (tmp_path / "shelf.toml").write_text(SHELF, encoding="utf-8")
    return tmp_path


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def in_one_line(told: str) -> str:
    return re.sub(r"\s+", " ", told)


@pytest.mark.usefixtures("garage")
def test_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["shelf", "car.toml", "shelf.toml"]) == 0
    told = capsys.readouterr()
    said = in_one_line(told.out)
    assert f"of {COUNT - 1} other combinations hold what is wanted" in said
    assert "[red]" in said  # names are not markup
    assert "CAUTION" in said
    assert "nan" not in said.lower()
    assert told.err == ""


def test_table(garage: Path) -> None:
    assert main(["shelf", "car.toml", "shelf.toml", "ranking.csv"]) == 0
    rows = table(garage / "ranking.csv")
    assert len(rows) == COUNT
    places = ("front_springs", "rear_springs", "front_bar", "rear_bar")
    assert {rows[0][place] for place in places} == {"as fitted"}
    assert len({tuple(row[place] for place in places) for row in rows}) == COUNT
    missed = [float(row["outside_percent"]) for row in rows[1:]]
    assert missed == sorted(missed)
    rates = {"as fitted": 34.0, "45 blue": 45.0, "60, odd [red] name": 60.0}
    for row in rows:
        # Nothing that the saloon's file tells ends its bump.
        assert all(value for key, value in row.items() if key not in ("note", "bump_to_go_mm"))
        assert row["bump_ended_by"] == "nothing known"
        assert float(row["front_springs_N_per_mm"]) == rates[row["front_springs"]]
        holds = 1.8 <= float(row["roll_gradient_deg_per_g"]) <= 2.5 and float(row["front_share_percent"]) <= 62.0
        assert (float(row["outside_percent"]) == 0.0) == holds
        if row["rear_springs"] == "as fitted":
            assert float(row["heave_rear_mm"]) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.campaign
def test_what_is_left_of_the_travel(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each line shows what `travel` says of its springs, and marks what is less than the 25 mm that the car uses.

    A stiff spring that carries the same weight is loose sooner, by the rates' ratio (F / k MR, formula).
    """
    stops = "[front.stops]\nbump = 24\ndroop = 55\n[front.steering]"
    (garage / "car.toml").write_text(SALOON.replace("[front.steering]", stops), encoding="utf-8")
    text = 'units = "mm"\n[[rear_spring]]\nname = "hard"\nrate = 108\n[[front_spring]]\nname = "45"\nrate = 45\n'
    (garage / "shelf.toml").write_text(text, encoding="utf-8")
    assert main(["shelf", "car.toml", "shelf.toml", "ranking.csv"]) == 0
    printed = capsys.readouterr().out
    rows = {(row["front_springs"], row["rear_springs"]): row for row in table(garage / "ranking.csv")}
    for (_, rear), row in rows.items():
        assert float(row["bump_to_go_mm"]) == pytest.approx(24.0)
        assert row["bump_ended_by"] in ("front left: bump stop", "front right: bump stop")
        by = "front left: droop stop" if rear == "as fitted" else "rear right: spring loose"
        assert row["droop_ended_by"] == by
    hard = float(rows["as fitted", "hard"]["droop_to_go_mm"])
    assert main(["travel", "car.toml", "--shelf", "shelf.toml", "--into", "out"]) == 1
    ends = table(garage / "out/travel.csv")
    loose = {
        row["plan"]: float(row["travel [mm]"])
        for row in ends
        if (row["axle"], row["side"], row["ended by"]) == ("rear", "right", "spring loose")
    }
    assert hard == pytest.approx(loose["rear hard"])
    # The spring leans a little, so its lever is not quite the same after 19 and after 74 mm.
    assert hard == pytest.approx(loose["as measured"] * 27.0 / 108.0, rel=0.02)
    told = [line for line in printed.splitlines() if "24.0!" in line]
    assert len(told) == 4
    assert sum(f"{hard:.1f}!" in line for line in told) == 2
    assert "(! where less remains)" in in_one_line(printed)


def test_what_holds_is_counted(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["shelf", "car.toml", "shelf.toml", "ranking.csv"]) == 0
    holding = sum(float(row["outside_percent"]) == 0.0 for row in table(garage / "ranking.csv")[1:])
    assert f"{holding} of {COUNT - 1} other combinations" in in_one_line(capsys.readouterr().out)


@pytest.mark.campaign
def test_nothing_that_is_wanted_is_there(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = SHELF.replace("from = 1.8, to = 2.5", "from = 0.1, to = 0.2")
    (garage / "shelf.toml").write_text(text, encoding="utf-8")
    assert main(["shelf", "car.toml", "shelf.toml"]) == 1
    told = capsys.readouterr()
    assert f"0 of {COUNT - 1} other combinations hold" in in_one_line(told.out)
    assert told.err == ""


@pytest.mark.campaign
def test_more_than_are_shown(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """19 springs are three more than the fifteen shown and the fitted one; said once, and of a file if there is one."""
    springs = "".join(f'[[front_spring]]\nname = "{rate}"\nrate = {rate}\n' for rate in range(30, 49))
    (garage / "shelf.toml").write_text('units = "mm"\n' + springs, encoding="utf-8")
    assert main(["shelf", "car.toml", "shelf.toml", "ranking.csv"]) == 0
    assert in_one_line(capsys.readouterr().out).count("4 more") == 1
    assert len(table(garage / "ranking.csv")) == 20
    assert main(["shelf", "car.toml", "shelf.toml"]) == 0
    assert "are in the file" not in in_one_line(capsys.readouterr().out)


@pytest.mark.campaign
def test_a_combination_without_balance_is_noted(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A spring shorter than the room between its seats holds nothing up."""
    text = 'units = "mm"\n[[rear_spring]]\nname = "too short"\nrate = 40\nfree_length = 150\n'
    (garage / "shelf.toml").write_text(text, encoding="utf-8")
    assert main(["shelf", "car.toml", "shelf.toml", "ranking.csv"]) == 0
    assert "no balance" in in_one_line(capsys.readouterr().out)
    row = table(garage / "ranking.csv")[1]
    assert row["note"] == "no balance was found"
    assert row["roll_gradient_deg_per_g"] == row["outside_percent"] == ""
    assert float(row["rear_springs_N_per_mm"]) == 40.0


@pytest.mark.campaign
def test_nothing_is_overwritten_unasked(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "ranking.csv").write_text("mine", encoding="utf-8")
    assert main(["shelf", "car.toml", "shelf.toml", "ranking.csv"]) == 2
    told = capsys.readouterr()
    assert "ranking.csv" in told.err
    assert told.out == ""
    assert (garage / "ranking.csv").read_text(encoding="utf-8") == "mine"
    assert main(["shelf", "car.toml", "shelf.toml", "ranking.csv", "--replace"]) == 0
    assert len(table(garage / "ranking.csv")) == COUNT


@pytest.mark.campaign
def test_in_inches(garage: Path) -> None:
    """A car in inches and a shelf in lb/in: the same ranking."""
    (garage / "inch.toml").write_text(in_inches(), encoding="utf-8")
    text = re.sub(r"^rate = ([0-9.]+)", lambda read: f"rate = {float(read[1]) / RATE!r}", SHELF, flags=re.MULTILINE)
    text = re.sub(
        r"^(free_length|diameter|length|arm) = ([0-9.]+)",
        lambda read: f"{read[1]} = {float(read[2]) / 25.4!r}",
        text,
        flags=re.MULTILINE,
    )
    (garage / "inch_shelf.toml").write_text(text.replace('"mm"', '"in"'), encoding="utf-8")
    assert main(["shelf", "car.toml", "shelf.toml", "mm.csv"]) == 0
    assert main(["shelf", "inch.toml", "inch_shelf.toml", "in.csv"]) == 0
    # A shelf in mm for a car in inches is told in the car's units.
    assert main(["shelf", "inch.toml", "shelf.toml", "mixed.csv"]) == 0
    for name in ("in.csv", "mixed.csv"):
        for one, other in zip(table(garage / "mm.csv"), table(garage / name), strict=True):
            assert [one[key] for key in ("front_springs", "rear_springs", "front_bar")] == [
                other[key] for key in ("front_springs", "rear_springs", "front_bar")
            ]
            for key in ("roll_gradient_deg_per_g", "front_share_percent", "outside_percent"):
                assert float(other[key]) == pytest.approx(float(one[key]), rel=1e-6, abs=1e-6)
            assert float(other["heave_rear_in"]) * 25.4 == pytest.approx(float(one["heave_rear_mm"]), abs=1e-6)
            assert float(other["front_bar_lb_per_in"]) * RATE == pytest.approx(float(one["front_bar_N_per_mm"]))


@pytest.mark.parametrize(
    ("was", "now", "says"),
    [
        (SHELF, 'units = "mm"\n', ["shelf.toml: 1 fault", "nothing on the shelf"]),
        ("diameter = 24\n", "", ["shelf.toml: 1 fault", "front_bar 1: ", "missing: diameter"]),
        ('units = "mm"', 'units = "cm"', ["shelf.toml: 1 fault", "units", "cm"]),
        ("rate = 45", "rate = 4,5", ["shelf.toml", "not valid TOML"]),
    ],
)
def test_faulty_shelves(was: str, now: str, says: list[str], garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "shelf.toml").write_text(SHELF.replace(was, now), encoding="utf-8")
    assert main(["shelf", "car.toml", "shelf.toml", "ranking.csv"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    for words in says:
        assert words in told.err
    assert not (garage / "ranking.csv").exists()


def test_a_car_without_springs(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "car.toml").write_text(demo_text(), encoding="utf-8")
    (garage / "shelf.toml").write_text('units = "mm"\n[[front_spring]]\nname = "a"\nrate = 40\n', encoding="utf-8")
    assert main(["shelf", "car.toml", "shelf.toml"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "car.toml" in told.err


def test_a_shelf_that_is_not_there(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "shelf.toml").unlink()
    assert main(["shelf", "car.toml", "shelf.toml"]) == 2
    assert "shelf.toml" in capsys.readouterr().err
