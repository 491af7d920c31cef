"""The command `weigh` as a person meets it: its numbers in both units, the car file it writes, and what it refuses."""

import math
import re
import tomllib
from pathlib import Path

import pytest

from kinematics.inputs.car.car_file import read_car
from kinematics.inputs.demo_cars import demo_text
from kinematics.inputs.garage.scales_file import read_scales
from reports.command_line import main
from tests.outputs.two_cars import KG_PER_POUND, written

CAR = demo_text("rear_drive_saloon.toml")
# The saloon's own weights; raised by 400 mm its front carries 20 kg more.
SCALES = """
units = "UNIT"
aboard = "driver"
known_to = M(0.5)
lengths_known_to = L(3)
[level]
front_left = M(290)
front_right = M(285)
rear_left = M(265)
rear_right = M(260)
[raised]
end = "rear"
by = L(400)
known_to = L(2)
front_left = M(300)
front_right = M(295)
"""


@pytest.fixture(autouse=True)
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "car.toml").write_text(CAR, encoding="utf-8")
    for unit in ("mm", "in"):
        (tmp_path / f"{unit}.toml").write_text(written(SCALES, unit), encoding="utf-8")
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def told(words: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert main(words) == 0
    return " ".join(capsys.readouterr().out.split())


def test_what_it_says(capsys: pytest.CaptureFixture[str]) -> None:
    """By hand: 575 / 1100 in front; 2560 x 525 / 1100 behind; 300 + 2560 x 20 / (1100 tan(asin(400 / 2560))) up."""
    out = told(["weigh", "mm.toml", "car.toml"], capsys)
    # Pads of 0.5 kg either way: sqrt(4) 0.5 x 1.96 of the whole.
    assert out.startswith("1100.0 ± 2.0 kg, 52.3 ± 0.1 % on the front axle; cross-weight 50.0 ± 0.1 %;")
    # The wheelbase is good to 3 mm, of which 525 / 1100 counts, and two pads each way to 0.5 kg.
    pads = 2560 / 1100**2 * math.sqrt(2) * 0.5 * math.hypot(575, 525)
    either_way = 1.96 * math.hypot(3 * 525 / 1100, pads)
    assert f"centre of gravity 1221.8 ± {either_way:.1f} mm behind the front wheels" in out
    # Over the line through hubs at 300 and 302 mm, which is 300 + 2 x 1221.8 / 2560 high there.
    over = 2560 * 20 / (1100 * math.tan(math.asin(400 / 2560)))
    up = re.search(r"([\d.]+) ± [\d.]+ mm up\.", out)
    assert up is not None
    assert float(up[1]) == pytest.approx(300 + 2 * 1221.8 / 2560 + over, abs=0.3)
    assert "weighed with driver" in out
    # 5 kg more on each left wheel; wheels that lean by 2 degrees stand 300 sin(2 deg) farther out on the ground.
    tracks = 2 * (728 + 300 * math.sin(math.radians(2))), 2 * 712
    assert f"left of the middle │ {sum(tracks) * 0.5 * 5 / 1100:+.1f} ±" in out


def test_in_inches_it_says_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    mm, inches = read_scales("mm.toml", read_car("car.toml")), read_scales("in.toml", read_car("car.toml"))
    assert inches.weighing.load == pytest.approx(mm.weighing.load, rel=1e-12)
    assert inches.weighing.known_to == pytest.approx(mm.weighing.known_to, rel=1e-12)
    out = told(["weigh", "in.toml", "car.toml"], capsys)
    assert out.startswith(f"{1100 / KG_PER_POUND:.1f} ± {1.96 / KG_PER_POUND:.1f} lb, 52.3 ± 0.1 %")
    assert "centre of gravity 48.10 ± 0.14 in behind the front wheels" in out


def test_the_car_file_with_it(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scales = written(SCALES, "mm").replace("front_left = 290", "front_left = 293")
    scales += '[[add]]\nwhat = "fuel"\nmass = 20\nahead = -2560\nout = 0\nup = 400\n'
    (garage / "mm.toml").write_text(scales, encoding="utf-8")
    out = told(["weigh", "mm.toml", "car.toml", "--write-car", "weighed.toml"], capsys)
    assert "wrote weighed.toml" in out
    before, after = tomllib.loads(CAR), tomllib.loads((garage / "weighed.toml").read_text(encoding="utf-8"))
    # Fuel right over the rear wheels is shared by them alone.
    assert after["front"]["weights"] == {"left": 293.0, "right": 285.0, "unsprung": 36}
    assert after["rear"]["weights"] == {"left": 275.0, "right": 270.0, "unsprung": 60}
    sprung = after["body"].pop("centre_of_gravity")
    # (1123 x behind the front wheels, which is 2560 x 545, less 120 kg x 2560) over what is sprung, 1123 - 192.
    assert sprung["behind_front"] == pytest.approx(2560 * (545 - 120) / 931, abs=0.05)
    del before["body"]["centre_of_gravity"]
    for content in (before, after):
        for axle in ("front", "rear"):
            del content[axle]["weights"]
    assert after == before
    assert "INVENTED" in (garage / "weighed.toml").read_text(encoding="utf-8")
    read = read_car(garage / "weighed.toml")
    assert read.front.loads is not None
    assert read.front.loads.corner_mass == pytest.approx([293.0, 285.0])


def test_a_blank_file_asks_for_every_pad(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for unit in ("mm", "in"):
        assert main(["new", "scales", f"blank_{unit}.toml", "--units", unit]) == 0
        assert "cornersweep weigh" in capsys.readouterr().out
        assert main(["weigh", f"blank_{unit}.toml"]) == 2
        err = capsys.readouterr().err
        for key in ("wheelbase", "front_track", "rear_track", "level.front_left", "level.rear_right"):
            assert f"{key}: is still blank" in err
        text = (garage / f"blank_{unit}.toml").read_text(encoding="utf-8")
        for was, now in (
            ('wheelbase = "?"', "wheelbase = WB"),
            ('track = "?"', "track = TR"),
            ('_left = "?"', "_left = LD"),
        ):
            text = text.replace(was, now)
        values = ("2500", "1450", "250") if unit == "mm" else ('"98 1/2"', "57", "550")
        for name, value in zip(("WB", "TR", "LD"), values, strict=True):
            text = text.replace(name, value)
        text = text.replace('_right = "?"', f"_right = {values[2]}")
        (garage / "filled.toml").write_text(text, encoding="utf-8")
        assert "50.0 ± " in told(["weigh", "filled.toml"], capsys)


@pytest.mark.parametrize(
    ("was", "now", "says"),
    [
        (
            "rear_right = 260",
            "rear_right = 260\ntotal = 1050",
            "level.total: read 1050 kg, but the four pads show 1100 kg together; the scales do not add up: set ",
        ),
        (
            "front_right = 295",
            "front_right = 295\nrear_left = 200\nrear_right = 200",
            "raised: the four pads show 995 kg together, level they showed 1100 kg; the scales do not add up: is",
        ),
        (
            "front_right = 285",
            'front_right = "heavy"',
            'level.front_right: read "heavy"; a number without quotes is allowed',
        ),
        ("front_right = 285", "front_right = 2850", "level.front_right: read 2850 kg; 20 to 1200 kg is allowed"),
        ("front_right = 285", "", "level.front_right: is missing"),
        (
            "front_right = 295",
            "",
            "raised.front_right: is missing: with the rear raised, what the front pads show tells",
        ),
        ("by = 400", 'by = "high"', "raised.by: 'high' is not a length"),
        ("by = 400", "by = 1200", "raised.by: read 1200 mm; less than 1000 mm is allowed"),
        ("front_right = 295", "front_right = 215", "raised: puts the centre of gravity "),
        ('end = "rear"', 'end = "back"', "raised.end: "),
        ('units = "mm"', 'units = "mm"\nwheelbase = 2360', "wheelbase: read 2360 mm, but the car file makes it 2560"),
        ("[raised]", "[lifted]", "lifted: this key is not known here"),
    ],
)
def test_what_is_refused(was: str, now: str, says: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = written(SCALES, "mm")
    was = f"{was}.0" if f"{was}.0" in text else was
    assert text.count(was) == 1
    (garage / "bad.toml").write_text(text.replace(was, now), encoding="utf-8")
    assert main(["weigh", "bad.toml", "car.toml"]) == 2
    heard = capsys.readouterr()
    assert heard.out == ""
    assert f"  {says}" in heard.err


def test_a_car_file_that_cannot_take_it(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "coupe.toml").write_text(demo_text("lowered_coupe.toml"), encoding="utf-8")
    text = written(SCALES, "mm").replace("[level]", "rear_track = 1424\nrear_radius = 300\n[level]")
    (garage / "mm.toml").write_text(text, encoding="utf-8")
    assert main(["weigh", "mm.toml", "coupe.toml", "--write-car", "new.toml"]) == 2
    assert "four pads need a car file with both axles" in capsys.readouterr().err
    assert main(["weigh", "mm.toml", "--write-car", "new.toml"]) == 2
    assert "car: is missing: name the car file" in capsys.readouterr().err
    (garage / "no_base.toml").write_text(CAR.replace("wheelbase = 2560\n", ""), encoding="utf-8")
    text = written(SCALES, "mm").replace("[level]", "wheelbase = 2560\n[level]")
    (garage / "mm.toml").write_text(text, encoding="utf-8")
    assert main(["weigh", "mm.toml", "no_base.toml", "--write-car", "new.toml"]) == 2
    assert "body.wheelbase: is missing: write it there first" in capsys.readouterr().err
    assert not (garage / "new.toml").exists()


def test_a_car_file_of_one_axle_is_told_its_own_weights(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "coupe.toml").write_text(demo_text("lowered_coupe.toml"), encoding="utf-8")
    text = written(SCALES, "mm").replace("[level]", "rear_track = 1424\nrear_radius = 300\n[level]")
    (garage / "mm.toml").write_text(text, encoding="utf-8")
    out = told(["weigh", "mm.toml", "coupe.toml"], capsys)
    assert "For the car file: [front.weights] left = 290, right = 285 With both axles' `unsprung` and wheelbase" in out
    assert "[rear.weights]" not in out
