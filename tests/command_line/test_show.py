"""`show`: numbers, verdict and exit status."""

import json
import re
import shlex
import tomllib
from itertools import pairwise, product
from pathlib import Path

import numpy as np
import pytest

from kinematics import demo_car, read_car, sweep_bump
from kinematics.car.lengths import MM, UNITS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.car.suspensions.strut import STRUT
from kinematics.doubt.assessment import ALL_LIMITS, assess
from kinematics.doubt.question import AT_RIDE_HEIGHT
from kinematics.inputs.car.blank_file import blank_car_file
from kinematics.inputs.demo_cars import DEMO_CARS, demo_text
from reports.command_line import main
from tests.command_line.car_texts import SOUND_CAR, filled_in, in_inches
from tests.outputs.two_cars import CAR, written
from tests.short_run import at_places

MEANS = """
units = "mm"
[[may]]
what = "ride height"
from = 0
to = 15
step = 5
"""


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "demo.toml").write_text(demo_text(), encoding="utf-8")
    return tmp_path


def not_lowered() -> str:
    """The blank file's invented strut car."""
    return filled_in(blank_car_file(STRUT, MM), STRUT, "mm")


def in_one_line(told: str) -> str:
    return re.sub(r"\s+", " ", told)


@pytest.mark.usefixtures("garage")
def test_the_demo_car_is_outside(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["show", "demo.toml", "--all"]) == 1
    told = capsys.readouterr()
    assert "Verdict: OUTSIDE the limits" in told.out
    assert "front roll-centre height at ride height: -" in told.out
    assert "allowed -25.4 mm to +76.2 mm" in in_one_line(told.out)
    assert "CAUTION" in told.out
    assert told.err == ""


@pytest.mark.usefixtures("garage")
def test_the_answer_comes_first(capsys: pytest.CaptureFixture[str]) -> None:
    """Its number, what it misses the rule of thumb by, and its doubt, by the axle's own sweep and first order."""
    car = demo_car()
    height = float(sweep_bump(car.front, np.zeros(1))["roll_centre_height"][0])
    found = assess(car.front, AT_RIDE_HEIGHT, car.limits)
    assert found is not None
    around = float(found.half_width_95(("ride height", "roll_centre_height"))[0])
    assert main(["show", "demo.toml"]) == 1
    told = capsys.readouterr().out
    head = told[: told.index("\n \n") if "\n \n" in told else told.index("\n  ")].splitlines()
    assert len(head) <= 3
    assert in_one_line(told).startswith(
        f"Front roll centre {-height:.1f} mm below ground, {-25.4 - height:.1f} mm under the lowest allowed; "
        f"give or take {around:.1f} mm. Also out: front force-weighted height over the working roll. "
        "Next: cornersweep new means my_means.toml "
    )
    assert "Judged over travel -15.0 to +15.0 mm, roll 1.2 deg either way (from the file)." in told


@pytest.mark.usefixtures("garage")
def test_what_it_says_to_do_next_can_be_done(capsys: pytest.CaptureFixture[str]) -> None:
    """`find`, with the means file that goes by the car's name where there is one."""
    Path("demo_means.toml").write_text(MEANS, encoding="utf-8")
    main(["show", "demo.toml"])
    (line,) = [one for one in capsys.readouterr().out.splitlines() if one.startswith("Next: cornersweep ")]
    assert line == "Next: cornersweep find demo.toml demo_means.toml"
    assert main(shlex.split(line)[2:]) in (0, 1)
    assert "Front roll centre 54.4 mm below ground" in in_one_line(capsys.readouterr().out)


@pytest.mark.usefixtures("garage")
@pytest.mark.parametrize("unit", at_places(["mm", "in"], 1))
@pytest.mark.parametrize("command", at_places(["show", "compare --change 'longer ball joint' 1"], 0))
def test_a_means_file_that_is_not_there_comes_first(
    command: str, unit: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Both commands can be run as they are printed, one after the other, and the file is in the car's unit."""
    Path("car.toml").write_text(written(CAR, unit), encoding="utf-8")
    name, *words = shlex.split(command)
    begun = "cornersweep new means my_means.toml" + (" --units in" if unit == "in" else "")
    for line in (begun, "cornersweep find car.toml my_means.toml"):
        assert main([name, "car.toml", *words]) == 1
        assert f"Next: {line}" in capsys.readouterr().out.splitlines()
        assert main(shlex.split(line)[1:]) in (0, 1)
        capsys.readouterr()
    assert tomllib.loads(Path("my_means.toml").read_text("utf-8"))["units"] == unit


@pytest.mark.parametrize(("front", "rear"), [(1.0, 1.0), (3.0, 1.0), (1.0, 3.0), (2.0, 9.0)])
def test_no_chance_is_told_of_readings_that_disagree(
    front: float, rear: float, garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nor in the document; limits that hold hold if the points are right."""
    text = re.sub(r"measured_to = .*", 'doubt = "x.csv"', demo_text("rear_drive_saloon.toml"), count=1)
    (garage / "car.toml").write_text(text.replace(", known_to = 5", ""), encoding="utf-8")
    table = "axle,of,way,side,unit,tape,readings_scatter\n"
    table += "".join(f"{axle},wheel_centre,up,both,mm,1,{one}\n" for axle, one in (("front", front), ("rear", rear)))
    (garage / "x.csv").write_text(table, encoding="utf-8")
    wide = "".join(f"[limits.{axle}]\ncamber = {{ from = -9, to = 9 }}\n" for axle in ("front", "rear"))
    (garage / "wide.toml").write_text(f'units = "mm"\n{wide}', encoding="utf-8")
    asked = ["show", "car.toml", "--limits", "wide.toml"]
    assert main(asked) == 0
    answer = in_one_line(capsys.readouterr().out)
    assert main([*asked, "--json"]) == 0
    chance = json.loads(capsys.readouterr().out)["chance"]
    if front == rear:
        assert "with a chance of over 99 %. Next: cornersweep doubt car.toml" in answer
        assert chance > 0.99
    else:
        assert "with a chance" not in answer
        assert " hold if the points are right." in answer
        named = " and ".join(axle for axle, one in (("front", front), ("rear", rear)) if one > 1.0)
        assert f" The {named} readings do NOT agree. All " in answer
        assert "Next: measure again what cornersweep survey names, then the survey anew." in answer
        assert chance is None


def test_a_car_that_was_not_lowered_is_within(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "car.toml").write_text(not_lowered(), encoding="utf-8")
    assert main(["show", "car.toml", "--all"]) == 0
    told = capsys.readouterr()
    assert "Verdict: within the limits: both checks hold" in told.out
    assert "OUT" not in told.out
    assert "CAUTION" in told.out
    assert told.err == ""


@pytest.mark.campaign
def test_that_limits_hold_is_told_with_its_chance(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The chance is that of a Monte Carlo of the same doubt, within what first order and 4000 draws may differ."""
    (garage / "car.toml").write_text(not_lowered().replace("measured_to = 2.0", "measured_to = 9.0"), encoding="utf-8")
    assert main(["show", "car.toml"]) == 0
    chance = re.search(r"Both checks hold, with a chance of (\d+) %", in_one_line(capsys.readouterr().out))
    assert chance is not None
    car = read_car(garage / "car.toml")
    found = assess(car.front, AT_RIDE_HEIGHT, car.limits, draws=2000, seed=7)
    assert found is not None
    assert found.chances is not None
    drawn = found.chances.holding[ALL_LIMITS]
    assert 0.1 < drawn < 0.99
    assert int(chance[1]) / 100.0 == pytest.approx(drawn, abs=0.05)


def test_that_limits_hold_is_never_told_alone(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = "".join(line for line in not_lowered().splitlines(keepends=True) if not line.startswith("measured_to"))
    (garage / "car.toml").write_text(text, encoding="utf-8")
    assert main(["show", "car.toml"]) == 0
    told = in_one_line(capsys.readouterr().out)
    assert "within the range allowed; the file does not say how well it was measured. Both checks hold" in told


# Of each type a short run has a front axle in inches and a rear one in mm.
IN_SHORT = (("front", "in"), ("rear", "mm"))
SCREENS = [
    *((name, "", unit) for name, unit in product(DEMO_CARS.values(), ("mm", "in"))),
    *(
        pytest.param(name, axle, unit, marks=() if (axle, unit) in IN_SHORT else pytest.mark.campaign)
        for name, axle, unit in product(SUSPENSIONS, ("front", "rear"), ("mm", "in"))
    ),
]


@pytest.mark.parametrize(("name", "axle", "unit"), SCREENS)
def test_it_fits_one_screen(
    name: str, axle: str, unit: str, garage: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of the demos and of a blank-made car of every type: 30 lines of 80 columns, no number apart from its unit."""
    monkeypatch.setenv("COLUMNS", "80")
    if axle:
        text = filled_in(blank_car_file(SUSPENSIONS[name], UNITS[unit], axle), SUSPENSIONS[name], unit)
    else:
        text = demo_text(name)
    (garage / "car.toml").write_text(text, encoding="utf-8")
    assert main(["show", "car.toml"]) in (0, 1)
    lines = [line.rstrip() for line in capsys.readouterr().out.splitlines()]
    assert len(lines) <= 30
    assert max(map(len, lines)) <= 80
    assert "\N{HORIZONTAL ELLIPSIS}" not in "".join(lines)
    for line, after in pairwise(lines):
        assert not (re.search(r"[-+]?\d+\.?\d*$", line) and re.match(r"\s*(mm|in|deg|%)\b|\s*\d", after)), line
    assert re.match("(Front|Rear) roll centre ", lines[0])
    assert any(line.startswith("Next: cornersweep ") for line in lines[:3])


def test_limits_of_another_file_take_the_place_of_the_cars(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "car.toml").write_text(not_lowered(), encoding="utf-8")
    (garage / "strict.toml").write_text(
        'units = "in"\n[limits.front]\nroll_centre_height = { to = -10, over = "ride height" }\n', encoding="utf-8"
    )
    assert main(["show", "car.toml", "--limits", "strict.toml", "--all"]) == 1
    told = in_one_line(capsys.readouterr().out)
    # 10 in is 254 mm; the verdict is in the car's unit.
    assert "allowed up to -254.0 mm" in told
    # The rule of thumb is still asked of the force-weighted height.
    assert "1 of 2 checks fail" in told


def test_limits_are_taken_out_of_another_car_file(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "car.toml").write_text(not_lowered(), encoding="utf-8")
    main(["show", "car.toml", "--limits", "demo.toml", "--all"])
    told = in_one_line(capsys.readouterr().out)
    assert "over the working travel (-15.0 to +15.0 mm, from the file)" in told
    assert "front camber over the working roll (1.2 deg either way, from the file)" in told


def test_a_car_in_inches_is_told_in_inches(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "inch.toml").write_text(in_inches(), encoding="utf-8")
    for words in ([], ["--all"]):
        assert main(["show", "inch.toml", *words]) == 1
        told = in_one_line(capsys.readouterr().out)
        assert "-1 to 3" in told
        assert " mm" not in told


def test_what_to_look_at_again_stands_before_what_may_come_of_it(
    garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = demo_text("lowered_coupe.toml")
    assert "camber = -2.2," in text
    (garage / "car.toml").write_text(text.replace("camber = -2.2,", "camber = 2.2,"), encoding="utf-8")
    assert main(["show", "car.toml"]) in (0, 1)
    told = capsys.readouterr().out
    assert told.index("Front roll centre") < told.index("LOOK AGAIN") < told.index("allowed  ")


def test_a_name_that_looks_like_markup(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    name = "car [/red] [bold] :smile: 100% {x}"
    text = SOUND_CAR.replace("club coupe (invented)", name)
    (garage / "car.toml").write_text(text, encoding="utf-8")
    assert main(["show", "car.toml", "--all"]) in (0, 1)
    assert name in in_one_line(capsys.readouterr().out)


@pytest.mark.usefixtures("garage")
def test_no_colour_codes_where_no_terminal_is(capsys: pytest.CaptureFixture[str]) -> None:
    main(["show", "demo.toml"])
    assert "\x1b" not in capsys.readouterr().out
