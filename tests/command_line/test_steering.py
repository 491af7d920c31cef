"""Steer sweeps from the command line: how far the rack goes, and what is said where the steering goes over centre."""

import csv
from pathlib import Path

import pytest

from reports.command_line import main
from tests.command_line.car_texts import SOUND_CAR

QUICK = ["--step", "30", "--roll-step", "3"]


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def with_rack(travel: float, wheelbase: str = "wheelbase = 2500") -> str:
    head, tail = SOUND_CAR.split("[limits]", 1)
    assert "[body]" not in head
    return f"{head}[front.steering]\nrack_travel = {travel}\n[body]\n{wheelbase}\n[limits]{tail}"


def table(path: Path) -> dict[str, list[str]]:
    with path.open(encoding="utf-8", newline="") as file:
        read = list(csv.DictReader(file, strict=True))
    return {name: [row[name] for row in read] for name in read[0]}


@pytest.mark.usefixtures("undrawn")
def test_the_rack_goes_to_full_lock_and_turns_both_wheels_alike_signed(garage: Path) -> None:
    (garage / "car.toml").write_text(with_rack(40.0), encoding="utf-8")
    assert main(["sweep", "car.toml", "out", *QUICK]) == 1
    steer = table(garage / "out/front_steer.csv")
    rack = [float(one) for one in steer["rack_travel_mm"]]
    assert (rack[0], rack[-1], rack[len(rack) // 2]) == (-40.0, 40.0, 0.0)
    # Tie rods behind the axle: the rack to the left turns the wheels to the right.
    for side in ("left", "right"):
        angles = [float(one) for one in steer[f"steer_angle_{side}_deg"]]
        assert angles == sorted(angles, reverse=True)
        assert angles[0] > 10.0
    straight = [bool(note) for note in steer["note"]]
    assert straight == [travel == 0.0 for travel in rack]
    assert steer["ackermann_percent"][rack.index(0.0)] == ""
    combined = table(garage / "out/front_steer_in_bump.csv")
    assert {float(one) for one in combined["heave_mm"]} == {-60.0, -30.0, 0.0, 30.0, 60.0}
    assert len(set(combined["rack_travel_mm"])) == len(rack)


@pytest.mark.usefixtures("undrawn")
def test_over_centre_is_said_and_its_rows_left_blank(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "car.toml").write_text(with_rack(40.0), encoding="utf-8")
    assert main(["sweep", "car.toml", "out", "--rack", "140", *QUICK]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "the front left steering goes over centre at -" in said
    assert "the front right steering goes over centre at +" in said
    steer = table(garage / "out/front_steer.csv")
    lost = [note for note in steer["note"] if "over centre" in note]
    assert 2 <= len(lost) < len(steer["note"])
    for note, camber, rack in zip(steer["note"], steer["camber_left_deg"], steer["rack_travel_mm"], strict=True):
        assert ("over centre" in note) == (camber == "")
        assert rack  # what was asked for is known


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_without_a_wheelbase_there_is_no_ackermann_share(garage: Path) -> None:
    (garage / "car.toml").write_text(with_rack(40.0, "front_brakes = 0.7"), encoding="utf-8")
    assert main(["sweep", "car.toml", "out", *QUICK]) == 1
    steer = table(garage / "out/front_steer.csv")
    assert not {"ackermann_percent", "turn_radius_mm"} & set(steer)
    assert set(steer["note"]) == {""}
