"""Sweeps by command: units, sides measured apart, and what a table says where the linkage ends."""

import csv
from pathlib import Path

import numpy as np
import pytest

from kinematics import read_car, sweep_bump
from reports.command_line import main
from tests.command_line.car_texts import MM_PER_INCH, SOUND_CAR, in_inches, with_tape_points

KINDS = ("bump", "roll", "grid")


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def table(path: Path) -> dict[str, list[str]]:
    with path.open(encoding="utf-8", newline="") as file:
        header, *rows = csv.reader(file, strict=True)
    return {name: [row[i] for row in rows] for i, name in enumerate(header)}


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_a_car_in_inches_moves_like_the_same_car_in_mm(garage: Path) -> None:
    (garage / "mm.toml").write_text(with_tape_points(), encoding="utf-8")
    (garage / "in.toml").write_text(in_inches(), encoding="utf-8")
    # 2 1/2 in is 63.5 mm and 1/8 in 3.175 mm.
    assert main(["sweep", "mm.toml", "mm", "--travel", "-63.5", "63.5", "--step", "3.175", "--heave", "6.35"]) == 1
    assert main(["sweep", "in.toml", "in", "--travel", "-2 1/2", "2.5", "--step", "1/8", "--heave", "1/4"]) == 1
    for kind in KINDS:
        metric, imperial = table(garage / f"mm/front_{kind}.csv"), table(garage / f"in/front_{kind}.csv")
        assert metric.pop("note") == imperial.pop("note")
        for (name, values), (twin, twins) in zip(metric.items(), imperial.items(), strict=True):
            scale = MM_PER_INCH if name.endswith("_mm") and not name.endswith("_per_mm") else 1.0
            scale = 1.0 / MM_PER_INCH if name.endswith("_per_mm") else scale
            assert twin == (name[:-2] + "in" if scale != 1.0 else name)
            # 1e-9 in mm and degrees; relative where a roll centre runs far off and its rounding with it.
            np.testing.assert_allclose(
                np.array(twins, dtype=float) * scale, np.array(values, dtype=float), rtol=1e-9, atol=1e-9, err_msg=name
            )


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_default_travel_of_a_car_in_inches(garage: Path) -> None:
    (garage / "in.toml").write_text(in_inches(), encoding="utf-8")
    assert main(["sweep", "in.toml", "out"]) == 1
    travel = np.array(table(garage / "out/front_bump.csv")["travel_left_in"], dtype=float)
    # -2.5 to 2.5 in by an eighth: 41 values.
    np.testing.assert_allclose(travel, np.arange(-20, 21) / 8.0, rtol=0.0, atol=1e-12)


@pytest.mark.usefixtures("undrawn")
def test_left_and_right_measured_apart(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    apart = """
[front.left.wheel]
camber = -2.5
[front.right.points]
lower_pivot_front = { ahead = 116, out = 355, up = 143 }
tie_rod_inner = { ahead = -126, out = 333, up = 176, known_to = 8 }
"""
    (garage / "car.toml").write_text(SOUND_CAR.replace("[limits]", f"{apart}\n[limits]", 1), encoding="utf-8")
    (garage / "even.toml").write_text(SOUND_CAR, encoding="utf-8")
    assert main(["sweep", "car.toml", "out", "--all"]) == 1
    told = capsys.readouterr()
    assert told.err == ""
    (head,) = [line for line in told.out.splitlines() if "number" in line and "unit" in line]
    assert "left" in head
    assert "right" in head
    own = table(garage / "out/front_bump.csv")
    at_rest = own["travel_left_mm"].index("0.0")
    even = sweep_bump(read_car(garage / "even.toml").front, np.array(own["travel_left_mm"], dtype=float)).columns()
    assert float(own["camber_left_deg"][at_rest]) == pytest.approx(-2.5, abs=1e-9)
    assert float(own["camber_right_deg"][at_rest]) == pytest.approx(-2.2, abs=1e-9)
    # Nothing but camber differs on the left, so its wheel centre goes as it does on the even car.
    left = np.array(own["wheel_centre_x_left_mm"], dtype=float)
    np.testing.assert_allclose(left, even["wheel_centre_x_left_mm"], rtol=0.0, atol=1e-9)
    right = np.array(own["bump_steer_right_deg_per_mm"], dtype=float)
    assert np.abs(right - even["bump_steer_right_deg_per_mm"]).max() > 1e-4


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_beyond_a_lock_fields_are_empty_and_a_note_says_why(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
    assert main(["sweep", "car.toml", "out", "--travel", "-60", "400", "--step", "20"]) == 1
    assert "note: the front left linkage locks at +" in capsys.readouterr().out
    for kind in ("bump", "grid"):
        content = (garage / f"out/front_{kind}.csv").read_bytes().lower()
        assert b"nan" not in content
        assert b"inf" not in content.replace(b"infinity", b"")
        columns = table(garage / f"out/front_{kind}.csv")
        notes = columns.pop("note")
        empty = [any(column[row] == "" for column in columns.values()) for row in range(len(notes))]
        assert any(empty)
        assert not all(empty)
        # A number that runs to infinity and comes back between two rows is told, and leaves no field empty.
        lacks = [[part for part in note.split("; ") if part and "to infinity and back" not in part] for note in notes]
        assert [bool(parts) for parts in lacks] == empty
        assert any("linkage locks at +" in note for note in notes)


@pytest.mark.campaign
def test_one_wheel_alone(garage: Path) -> None:
    (garage / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
    assert main(["sweep", "car.toml", "out", "--wheels", "right", "--drawing", "svg", "--step", "20"]) == 1
    bump = table(garage / "out/front_bump.csv")
    assert {float(travel) for travel in bump["travel_left_mm"]} == {0.0}
    assert len(set(bump["travel_right_mm"])) == 7
    figures = [path for path in (garage / "out").iterdir() if path.suffix != ".csv"]
    assert {path.suffix for path in figures} == {".svg"}
    assert all(b"<svg" in path.read_bytes()[:2000] for path in figures)


@pytest.mark.campaign
@pytest.mark.parametrize(
    ("option", "values"),
    [("--travel", ["350", "400"]), pytest.param("--heave", ["-400"], marks=pytest.mark.campaign)],
)
def test_a_sweep_of_nothing_that_can_be_reached(
    option: str, values: list[str], garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (garage / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
    assert main(["sweep", "car.toml", "out", option, *values, "--step", "20", "--roll-step", "1.5"]) == 2
    told = capsys.readouterr().err.splitlines()
    assert told[0].startswith("the sweep: ")
    assert told[1].startswith(f"  {option}: nothing of this can be reached: the front ")
    assert all("linkage locks at +" in line for line in told[1:])
    assert not (garage / "out").exists()


@pytest.mark.usefixtures("undrawn")
def test_pitch_is_in_every_table_and_turns_the_caster(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where the wheels do not travel, caster to the ground is less by just the pitch, and to the body what it was."""
    (garage / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
    few = ["--step", "20", "--roll-step", "1.5"]
    assert main(["sweep", "car.toml", "level", *few]) == 1
    assert "pitched" not in capsys.readouterr().out
    assert main(["sweep", "car.toml", "down", "--pitch", "0.75", *few]) == 1
    assert "note: the curves and tables are of the pitched body" in " ".join(capsys.readouterr().out.split())
    level, down = (table(garage / f"{name}/front_bump.csv") for name in ("level", "down"))
    at_rest = [float(one) for one in level["travel_left_mm"]].index(0.0)
    assert {float(one) for one in level["pitch_deg"]} == {0.0}
    for side in ("left", "right"):
        before, after = (float(one[f"caster_{side}_deg"][at_rest]) for one in (level, down))
        assert after == pytest.approx(before - 0.75, abs=1e-9)
        to_body = ([float(angle) for angle in one[f"caster_to_body_{side}_deg"]] for one in (level, down))
        assert next(to_body) == pytest.approx(next(to_body), abs=1e-9)
    for kind in (*KINDS, "steer", "steer_in_bump", "steer_in_roll"):
        pitches = [float(one) for one in table(garage / f"down/front_{kind}.csv")["pitch_deg"] if one]
        assert pitches
        assert pitches == pytest.approx([0.75] * len(pitches), abs=1e-12)
