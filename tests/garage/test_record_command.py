"""The command `record` as a person meets it: states put in, compared, told in tables and a timeline; what it refuses.

Numbers are held against a sweep of each state's own car file, with factors of the tests' own.
"""

import csv
import json
import re
import subprocess
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure

from kinematics.inputs.car.car_file import read_car
from kinematics.inputs.demo_cars import demo_text
from kinematics.inputs.garage.record_folder import read_record
from kinematics.record.between import solved_state
from kinematics.sweeps.body import sweep_bump
from reports.command_line import main
from reports.figures.timeline import PANELS, timeline
from tests.outputs.two_cars import CAR, MM_PER_INCH, written

SALOON = demo_text("rear_drive_saloon.toml")
SHIMMED = SALOON.replace("out = 668, up = 214", "out = 668, up = 202").replace("rate = 34 ", "rate = 40 ")


@pytest.fixture(autouse=True)
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "car.toml").write_text(SALOON, encoding="utf-8")
    (tmp_path / "shimmed.toml").write_text(SHIMMED, encoding="utf-8")
    (tmp_path / "noted.txt").write_text("Wet.\nTurns in better.\n", encoding="utf-8")
    monkeypatch.setenv("COLUMNS", "120")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def kept(garage: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A record of two states."""
    assert main(["record", "rec", "--add", "car.toml", "--date", "2026-03-14"]) == 0
    words = ["record", "rec", "--add", "shimmed.toml", "--date", "2026-04-02", "--state", "after a shim"]
    assert main([*words, "--notes", "noted.txt"]) == 0
    capsys.readouterr()
    return garage / "rec"


def told(words: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert main(words) == 0
    return capsys.readouterr().out


def refused(words: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert main(words) == 2
    heard = capsys.readouterr()
    assert heard.out == ""
    return heard.err


def test_a_state_is_an_ordinary_car_file(kept: Path) -> None:
    names = sorted(path.name for path in kept.iterdir())
    assert names == [
        "2026-03-14_as-measured.toml", "2026-03-14_as-measured.txt",
        "2026-04-02_after-a-shim.toml", "2026-04-02_after-a-shim.txt",
    ]  # fmt: skip
    # To the letter, so that version control shows what was changed and nothing else.
    assert (kept / "2026-04-02_after-a-shim.toml").read_text(encoding="utf-8") == SHIMMED
    assert (kept / "2026-04-02_after-a-shim.txt").read_text(encoding="utf-8") == "Wet.\nTurns in better.\n"
    assert main(["show", str(kept / "2026-03-14_as-measured.toml"), "--quiet"]) in (0, 1)


def test_what_changed(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = told(["record", "rec"], capsys)
    assert out.startswith(
        "2 states, 2026-03-14 to 2026-04-02.\nLast change, 2026-03-14 as measured to 2026-04-02 after"
    )
    assert "front spring rate: 34.00 N/mm to 40.00 N/mm" in out
    row = next(line for line in out.splitlines() if "tie rod outer up" in line)
    # 2.5 mm each time, of which 95 % lie within 1.96 sqrt(2) 2.5 mm.
    assert re.sub(" +", " ", row).strip("│ ") == "front tie rod outer up │ 214.0 │ 202.0 │ -12.0 ± 6.9 mm │ yes"
    assert "Readings that both go back to: front 25 of 26, rear 20 of 20." in out
    assert "2026-04-02 after a shim, noted:\n  Wet.\n  Turns in better.\n" in out
    cars = [read_car(path) for path in sorted(kept.glob("*.toml"))]
    steer = [np.degrees(sweep_bump(car.front, np.zeros(1))["bump_steer"]) for car in cars]
    row = next(line for line in out.splitlines() if "front left bump steer" in line)
    cells = [cell.strip() for cell in row.strip("│").split("│")]
    assert cells[1:3] == [f"{float(one[0, 0]):.4f}" for one in steer]


def test_tables_and_timeline(kept: Path, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told(["record", "rec", "--into", "out"], capsys)
    assert sorted(path.name for path in (garage / "out").iterdir()) == ["changes.csv", "states.csv", "timeline.png"]
    record = read_record(kept)
    solved = [solved_state(one) for one in record.states]
    with (garage / "out" / "states.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert {row["state"] for row in rows} == {"2026-03-14_as-measured", "2026-04-02_after-a-shim"}
    heights = [float(row["value"]) for row in rows if (row["axle"], row["number"]) == ("front", "roll_centre_height")]
    expected = [float(sweep_bump(one.car.front, np.zeros(1))["roll_centre_height"][0]) for one in record.states]
    assert heights == pytest.approx(expected, rel=1e-11)
    with (garage / "out" / "changes.csv").open(encoding="utf-8", newline="") as file:
        changes = list(csv.DictReader(file))
    (height,) = [row for row in changes if (row["axle"], row["what"]) == ("front", "roll_centre_height")]
    assert float(height["change"]) == pytest.approx(expected[1] - expected[0], rel=1e-6)
    (spring, _) = [row for row in changes if row["what"] == "spring rate"]
    assert (spring["was"], spring["is"], spring["change"], spring["unit"]) == ("34.0", "40.0", "6.0", "N/mm")
    toe = [row for row in changes if row["what"] == "toe"]
    assert {(row["either_way_95"], row["note"]) for row in toe} == {
        ("", "a car file does not say how well it was measured")
    }
    figure = timeline(record.states, solved, record.states[0].car.unit)
    _check_figure(figure, expected)


def _check_figure(figure: Figure, heights: list[float]) -> None:
    """Points where the states lie, a panel for each number of each axle, dates below, and the finding as its title."""
    titles = [axes.get_title(loc="left") for axes in figure.axes]
    assert len(titles) == 2 * len(PANELS)
    front = figure.axes[titles.index("front: roll-centre height [mm]")]
    drawn = front.lines[0].get_xydata()
    np.testing.assert_allclose(drawn[:, 1], heights, rtol=1e-9)
    low, high = front.get_ylim()
    assert low < min(heights) <= max(heights) < high
    words = [label.get_text() for axes in figure.axes for label in axes.get_xticklabels()]
    assert "2026-03-14\nas measured" in words
    assert " ".join(figure.texts[0].get_text().split()).startswith("2026-03-14 to 2026-04-02: front roll centre")


@pytest.mark.usefixtures("kept")
def test_states_by_name(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["record", "rec", "--add", "car.toml", "--date", "2026-05-01", "--state", "after a test"]
    assert main(words) == 0
    capsys.readouterr()
    out = told(["record", "rec"], capsys)
    rows = [[cell.strip() for cell in line.strip("│").split("│")] for line in out.splitlines() if line.startswith("│")]
    heights = {row[0]: row[1].split()[0] for row in rows if row[0].startswith("2026")}
    cars = [read_car(path) for path in sorted(Path("rec").glob("*.toml"))]
    expected = [float(sweep_bump(car.front, np.zeros(1))["roll_centre_height"][0]) for car in cars]
    assert list(heights) == ["2026-03-14 as measured", "2026-04-02 after a shim", "2026-05-01 after a test"]
    assert list(heights.values()) == [f"{one:.1f}" for one in expected]
    assert "--all prints the changes before that too" in out
    out = told(["record", "rec", "2026-05-01", "2026-03-14_as-measured.toml", "--json"], capsys)
    document = json.loads(out)
    assert [one["key"] for one in document["states"]] == ["2026-03-14_as-measured", "2026-05-01_after-a-test"]
    (found,) = document["compared"]
    assert found["points"] == []
    assert found["parts"] == []
    assert {one["change"]["value"] for one in found["numbers"]} == {0.0}
    err = refused(["record", "rec", "after", "as measured"], capsys)
    assert 'STATE: read "after", which 2 states have: 2026-04-02_after-a-shim, 2026-05-01_after-a-test; name one' in err
    err = refused(["record", "rec", "winter", "as measured"], capsys)
    assert 'STATE: read "winter", which no state has; allowed: 2026-03-14_as-measured' in err
    assert "two states or more are compared" in refused(["record", "rec", "as measured"], capsys)


def test_another_car_is_said_plainly(kept: Path, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "tourer.toml").write_text(demo_text("five_link_tourer.toml"), encoding="utf-8")
    words = ["record", "rec", "--add", "tourer.toml", "--date", "2026-06-01"]
    err = refused(words, capsys)
    assert "its front is a double wishbone, that of 2026-04-02_after-a-shim a strut: another car" in err
    assert not (kept / "2026-06-01_as-measured.toml").exists()
    (kept / "2026-06-01_other.toml").write_text(demo_text("five_link_tourer.toml"), encoding="utf-8")
    assert "2026-06-01_other: its front is a double wishbone" in refused(["record", "rec"], capsys)


def test_another_name_and_another_unit_are_said(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for unit, date in (("mm", "2026-01-01"), ("in", "2026-02-01")):
        (garage / f"{unit}.toml").write_text(
            written(CAR, unit).replace('"two axles"', f'"in {unit}"'), encoding="utf-8"
        )
        assert main(["record", "rec", "--add", f"{unit}.toml", "--date", date]) == 0
    capsys.readouterr()
    out = told(["record", "rec", "--json"], capsys)
    document = json.loads(out)
    (found,) = document["compared"]
    # The same car twice: no number differs by more than rounding in the file, all are in the last state's unit.
    assert document["car"]["unit"] == "in"
    for one in found["numbers"]:
        assert one["change"]["value"] == pytest.approx(0.0, abs=1e-6)
    height = next(one for one in found["numbers"] if one["key"] == "roll_centre_height")
    car = read_car(garage / "mm.toml")
    in_mm = float(sweep_bump(car.front, np.zeros(1))["roll_centre_height"][0])
    assert height["before"] == {"unit": "in", "value": pytest.approx(in_mm / MM_PER_INCH, rel=1e-6)}
    out = " ".join(told(["record", "rec"], capsys).split())
    assert 'These states have different names, "in mm", "in in": make sure that they are one car.' in out
    assert "Not all states are in one unit (2026-02-01 as measured); all are told in inches." in out


def test_a_survey_s_readings_lie_beside_it(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Surveyed twice, one height read anew: all other readings are in common, and the doubt file goes along."""
    text = demo_text("lowered_coupe_survey.toml")
    line = next(one for one in text.splitlines() if 'up = "strut_top"' in one)
    number = re.search(r"reads = ([\d.]+)", line)
    assert number is not None
    anew = text.replace(line, line.replace(number[0], f"reads = {float(number[1]) + 1.0}"))
    for name, content, date in (("one", text, "2026-03-01"), ("two", anew, "2026-03-08")):
        (garage / f"{name}_survey.toml").write_text(content, encoding="utf-8")
        assert main(["survey", f"{name}_survey.toml", f"{name}.toml"]) in (0, 1)
        assert main(["record", "rec", "--add", f"{name}.toml", "--date", date]) == 0
    capsys.readouterr()
    assert (garage / "rec" / "2026-03-08_as-measured_doubt.csv").exists()
    assert 'doubt = "2026-03-08_as-measured_doubt.csv"' in (garage / "rec" / "2026-03-08_as-measured.toml").read_text()
    document = json.loads(told(["record", "rec", "--json"], capsys))
    (shared,) = document["compared"][0]["readings_in_common"]
    assert shared["in_common"] == shared["of"] - 1


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["nowhere"], "nowhere: 1 fault\n  there is no such folder; --add begins a record"),
        (["car.toml"], "is a file; name the folder"),
        (["."], "no state is here"),
        (["rec", "--date", "2026-03-14"], "--date: means nothing without --add; leave it out"),
        (["rec", "--add", "car.toml"], "--date: is missing: the day on which the car stood so, such as 2026-03-14"),
        (["rec", "--add", "car.toml", "--date", "14.3.26"], '--date: read "14.3.26"; year, month and day are allowed'),
        (["rec", "--add", "car.toml", "--date", "2026-02-30"], '--date: read "2026-02-30"; year, month and day'),
        (
            ["rec", "--add", "car.toml", "--date", "2026-03-14", "--state", "a/b"],
            '--state: read "a/b"; letters, digits',
        ),
        (["rec", "--add", "car.toml", "--date", "2026-03-14", "--state", "../x"], '--state: read "../x"; letters'),
        (["rec", "--add", "gone.toml", "--date", "2026-03-14"], "gone.toml: 1 fault\n  there is no such file"),
        (["rec", "--add", "noted.txt", "--date", "2026-03-14"], "noted.txt: 1 fault\n  this is not valid TOML"),
        (["rec", "--add", "car.toml", "--date", "2026-03-14", "--into", "o"], "--into: means nothing beside --add"),
    ],
)
def test_what_is_refused(words: list[str], says: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = sorted(path.name for path in garage.iterdir())
    assert says in refused(["record", *words], capsys)
    assert sorted(path.name for path in garage.iterdir()) == before


def test_a_state_is_not_written_over(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["record", "rec", "--add", "shimmed.toml", "--date", "2026-03-14"]
    assert "is there already; add --replace" in refused(words, capsys)
    assert (kept / "2026-03-14_as-measured.toml").read_text(encoding="utf-8") == SALOON
    assert main([*words, "--replace"]) == 0
    assert (kept / "2026-03-14_as-measured.toml").read_text(encoding="utf-8") == SHIMMED


def test_a_spoiled_state_is_named(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (kept / "2026-04-02_after-a-shim.toml").write_text(SHIMMED.replace("out = 668", "out = ?"), encoding="utf-8")
    assert "2026-04-02_after-a-shim.toml: 1 fault" in refused(["record", "rec"], capsys)
    (kept / "2026-04-02_after-a-shim.toml").unlink()
    (kept / "plans.toml").write_text("x = 1\n", encoding="utf-8")
    out = told(["record", "rec"], capsys)
    assert "1 state, 2026-03-14 to 2026-03-14." in out
    assert "Not a state, whose file would be named like 2026-03-14_as-measured.toml: plans.toml" in " ".join(
        out.split()
    )


def test_a_folder_that_holds_other_files_begins_a_record(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A car file whose name looks a little like a state's is none, and is left alone."""
    (garage / "my_car.toml").write_text(SALOON, encoding="utf-8")
    assert main(["record", ".", "--add", "my_car.toml", "--date", "2026-03-14"]) == 0
    capsys.readouterr()
    assert told(["record", "."], capsys).startswith("1 state, 2026-03-14 to 2026-03-14.")
    assert (garage / "my_car.toml").read_text(encoding="utf-8") == SALOON


def test_no_escape_code_reaches_the_terminal(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """From a file's name it is written out; of notes that hold one it is said, whoever put them there."""
    (kept / "2026-05-01_red\x1b[31m.toml").write_text(SALOON, encoding="utf-8")
    out = told(["record", "rec"], capsys)
    assert "2026-05-01_red\\x1b[31m.toml" in out
    assert "\x1b" not in out
    (kept / "2026-03-14_as-measured.txt").write_text("dry\x1b]0;x\x07\n", encoding="utf-8")
    err = refused(["record", "rec"], capsys)
    assert "2026-03-14_as-measured.txt: 1 fault\n  holds control characters; plain text is allowed" in err


def test_it_suits_version_control(kept: Path) -> None:
    """Two states differ in the lines that were changed, and in no other."""
    ran = subprocess.run(
        ["git", "diff", "--no-index", "--unified=0", "2026-03-14_as-measured.toml", "2026-04-02_after-a-shim.toml"],
        cwd=kept,
        capture_output=True,
        text=True,
        check=False,
    )
    changed = [line for line in ran.stdout.splitlines() if re.match(r"[-+](?![-+])", line)]
    assert len(changed) == 4
