"""Tables in the terminal, cell by cell beside their titles: value, sign, rounding, unit, side and interval.

A value is the library's in mm and radians, scaled by factors of the test's own; 1.959964 standard deviations are 95 %
of a normal distribution (JCGM 100:2008, table G.1, from memory).
"""

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from kinematics import judge, sweep_bump
from kinematics.doubt.agreement import Parting
from kinematics.doubt.assessment import Assessment, assess
from kinematics.doubt.question import Question
from kinematics.numbers.outer_share import within
from kinematics.numbers.registry import QUANTITIES
from reports.tables import doubt_table, terminal
from tests.outputs.conftest import Garage, run
from tests.outputs.kinds import KEY, KIND
from tests.outputs.read_back import assert_shown, lined_table, symbol
from tests.outputs.two_cars import CAR, written

NORMAL_95 = 1.959964
REST = np.zeros(1)


def question(garage: Garage, name: str) -> Question:
    rack = np.linspace(-62.0, 62.0, 9) if name == "front" else np.zeros(0)
    share = within(garage.car().limits).of(name)
    return Question(np.linspace(-60.0, 60.0, 41), np.linspace(-3.0, 3.0, 25) * np.pi / 180.0, rack, share)


@cache
def assessed(garage: Garage, name: str) -> Assessment:
    car = garage.car()
    found = assess(car.axle(name), question(garage, name), car.limits, draws=100, seed=1)
    assert found is not None
    return found


def deviation(assessment: Assessment, key: str) -> np.ndarray:
    """Of independent sources, the root of the squares' sum (formula)."""
    slopes = assessment.first["ride height", key].slopes
    return np.sqrt((slopes**2).sum(axis=0)).reshape(-1)


@pytest.mark.parametrize("command", ["show", "sweep"])
@pytest.mark.parametrize("name", ["front", "rear"])
def test_numbers_at_ride_height_with_their_doubt(garage: Garage, command: str, name: str, unit: str) -> None:
    rest, assessment = sweep_bump(garage.car().axle(name), REST), assessed(garage, name)
    rows = lined_table(garage.ran(command, unit).out, f"two axles: {name} axle at ride height")
    assert {KEY[row["number"]] for row in rows} == (set(KEY.values()) - {"axle_offset"}) & set(rest.values)
    for row in rows:
        key = KEY[row["number"]]
        values, ways = rest[key].reshape(-1), NORMAL_95 * deviation(assessment, key)
        assert row["unit"] == symbol(KIND[key], unit)
        assert bool(row["right"]) == (values.size == 2)
        for cell, value, way in zip((row["left"], row["right"]), values, ways, strict=False):
            told, _, either = cell.partition(" ± ")
            assert_shown(told, value, KIND[key], unit)
            assert_shown(either, way, KIND[key], unit)


@pytest.mark.parametrize("name", ["front", "rear"])
def test_doubt_and_drawn_intervals(garage: Garage, name: str, unit: str) -> None:
    assessment = assessed(garage, name)
    assert assessment.chances is not None
    rows = lined_table(garage.ran("doubt", unit).out, f"two axles: {name} axle at ride height")
    seen = set()
    for row in rows:
        title, _, side = (
            row["number"].rpartition(", ") if row["number"].endswith(("left", "right")) else (row["number"], "", "")
        )
        key = KEY[title]
        place = 1 if side == "right" else 0
        values = assessment.sweeps["ride height"][key].reshape(-1)
        assert_shown(row["as measured"], values[place], KIND[key], unit)
        assert_shown(row["± (95 %)"], NORMAL_95 * deviation(assessment, key)[place], KIND[key], unit)
        low, high = (end.reshape(-1)[place] for end in assessment.chances.spread["ride height", key].interval())
        told = row["95 % of 100 cars"].split(" to ")
        assert_shown(told[0], low, KIND[key], unit)
        assert_shown(told[1], high, KIND[key], unit)
        assert row["unit"] == symbol(KIND[key], unit)
        seen.add((key, side))
    sides = {"left", "right"} & {side for key, side in seen if key == "camber_gain"}
    assert sides == ({"left", "right"} if name == "front" else set())


def test_chances_and_what_each_limit_allows(garage: Garage, unit: str) -> None:
    chances = assessed(garage, "front").chances
    assert chances is not None
    out = garage.ran("doubt", unit).out
    ends = ("-25.4 mm to +76.2 mm", "-0.0060 deg/mm to +0.0060 deg/mm")
    if unit == "in":
        ends = ("-1.00 in to +3.00 in", "-0.152 deg/in to +0.152 deg/in")
    travel = "(-25.0 to +20.0 mm, from the file)" if unit == "mm" else "(-0.98 to +0.79 in, from the file)"
    for key, over, words in (
        ("roll_centre_height", "ride height", f"roll-centre height at ride height, allowed {ends[0]}"),
        ("roll_centre_height", "travel", f"roll-centre height over the working travel {travel}, allowed {ends[0]}"),
        ("bump_steer", "ride height", f"bump steer at ride height, allowed {ends[1]}"),
        ("bump_steer", "travel", f"bump steer over the working travel {travel}, allowed {ends[1]}"),
    ):
        line = next(line for line in out.splitlines() if line.rstrip().endswith(f"front {words}"))
        part = chances.holding[key, over]  # type: ignore[index]
        told = line.split(" %")[0]
        assert float(told.removeprefix("under ").removeprefix("over ")) == pytest.approx(
            1.0 if part == 0.0 else 99.0 if part == 1.0 else 100.0 * part, abs=0.51
        )
        assert told.startswith("under") == (part == 0.0)


@pytest.mark.parametrize(
    ("title", "key"), [("roll-centre height", "roll_centre_height"), ("camber gain", "camber_gain")]
)
def test_what_to_measure_again(garage: Garage, title: str, key: str, unit: str) -> None:
    """Shares of the variance, largest first; with one doubt halved, three quarters of its share go (formula)."""
    assessment = assessed(garage, "front")
    lines = garage.ran("doubt", unit).out.splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith(title) and line.rstrip().endswith("to do again"))
    slopes = assessment.first["ride height", key].slopes.reshape(len(assessment.doubt.sources), -1)
    side = int(np.argmax((slopes**2).sum(axis=0)))
    variances = slopes[:, side] ** 2
    total = variances.sum()
    assert f"± {_told(NORMAL_95 * np.sqrt(total), key, unit)}" in lines[start]
    if slopes.shape[1] == 2:
        assert f", {('left', 'right')[side]} (" in lines[start]
    rows = lines[start + 4 : start + 7]
    for line, source in zip(rows, np.argsort(-variances), strict=False):
        assert line.strip().startswith(assessment.doubt.sources[source].replace("_", " "))
        halved = np.sqrt(total - 0.75 * variances[source])
        assert f" {100.0 * variances[source] / total:.0f} % " in line
        assert line.rstrip().endswith(f" {_told(NORMAL_95 * halved, key, unit)}")


def _told(value: float, key: str, unit: str) -> str:
    if KIND[key] == "length":
        return f"{value:.1f} mm" if unit == "mm" else f"{value / 25.4:.2f} in"
    return f"{np.degrees(value):.4f} deg/mm" if unit == "mm" else f"{np.degrees(value) * 25.4:.3f} deg/in"


def test_roll_axis_in_words(garage: Garage, unit: str) -> None:
    """Slope and arm at ride height from both roll-centre heights (formula)."""
    front, rear = (float(sweep_bump(axle, REST)["roll_centre_height"][0]) for axle in garage.car().axles)
    line = next(line for line in garage.ran("show", unit).out.splitlines() if line.startswith("Roll axis: "))
    slope = np.degrees(np.arctan((rear - front) / 2560.0))
    arm = 520.0 - (front + (rear - front) * 1142.0 / 2560.0)
    assert slope > 0.0
    assert f"{slope:.2f} deg up towards the rear" in line
    told = f"{arm:.1f} mm" if unit == "mm" else f"{arm / 25.4:.2f} in"
    assert f"{told} under the centre of gravity" in line


def test_side_view_terms(garage: Garage, unit: str) -> None:
    out = garage.ran("show", unit).out
    base, up = ("2560.0 mm", "520.0 mm") if unit == "mm" else ("100.79 in", "20.47 in")
    words = f"Side view with wheelbase {base}, centre of gravity {up} up,"
    front, rear = out.split("two axles: front axle at ride height")[1].split("two axles: rear axle at ride height")
    assert f"{words} 68 % of the braking on this axle" in front
    assert f"{words} 32 % of the braking on this axle, 100 % of the driving force on this axle" in rear


def test_each_check_is_marked(garage: Garage, unit: str) -> None:
    """What holds is marked ok, what does not OUTSIDE, in the order of the limits, and all are counted."""
    car = garage.car()
    found = [one for axle in car.axles for one in judge(axle, car.limits)]
    out = garage.ran("show", unit).out
    marked = re.findall(r"^ *(ok|OUTSIDE) +((?:front|rear) .*)$", out, re.MULTILINE)
    holds = [one.margin >= 0.0 and not one.trouble for one in found]
    assert [mark == "ok" for mark, _ in marked] == holds
    assert {True, False} == set(holds)
    for (_, words), one in zip(marked, found, strict=True):
        assert words.startswith(" ".join(filter(None, (one.axle, one.side))))
        assert QUANTITIES[one.limit.key].title in words
    (verdict,) = re.findall(r"^Verdict: OUTSIDE the limits: (\d+) of (\d+) checks", out, re.MULTILINE)
    assert verdict == (str(holds.count(False)), str(len(holds)))


def doubt_told(garage: Garage, capsys: pytest.CaptureFixture[str]) -> str:
    """What is printed of the front axle's doubt."""
    car = garage.car()
    doubt_table.show_doubt(terminal.console(), car, assessed(garage, "front"), car.limits)
    return " ".join(capsys.readouterr().out.split())


def test_cars_in_which_a_number_is_lost(
    garage: Garage, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """In 34 of a thousand cars it does not exist: 3.4 %; to first order 10 to 20 mm, drawn 12 to 31 mm (formula)."""
    parting = Parting("roll_centre_height", None, (10.0, 20.0), (12.0, 31.0), flat=False, lost=0.034)
    monkeypatch.setattr(doubt_table, "partings", lambda _: [parting])
    told = doubt_told(garage, capsys)
    assert "roll-centre height: first order says 10.0 to 20.0 mm, the drawn cars 12.0 to 31.0 mm" in told
    assert re.search(r"In 3\.4 % of the cars", told)


def test_states_where_first_order_does_not_hold(
    garage: Garage, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three of the 41 states of the bump sweep, on one side or the other (formula)."""

    def parted(_: Assessment, asked: tuple[str, str]) -> np.ndarray:
        flags = np.zeros((2, 41 if asked[0] == "bump" else 25), dtype=bool)
        flags[0, [0, 1]] = flags[1, [1, 2]] = asked == ("bump", "camber")
        return flags

    monkeypatch.setattr(doubt_table, "parted_states", parted)
    assert re.findall(r"camber in bump: \D*(\d+) of (\d+) states", doubt_told(garage, capsys)) == [("3", "41")]


def test_what_counts_as_exact(garage: Garage, tmp_path: Path, unit: str) -> None:
    """Told of a car whose file gives a doubt for one point alone; never of one that was measured to 2 mm all round."""
    assert "aken as exact" not in " ".join(garage.ran("doubt", unit).out.split("rear axle at ride height")[0].split())
    text = written(CAR, unit).split("[rear]")[0] + "[limits]\n"
    text = re.sub(r"measured_to = .*\n", "", text)
    (tmp_path / "car.toml").write_text(text, encoding="utf-8")
    told = " ".join(run(["doubt", "car.toml", "--draws", "100", "--all"], tmp_path).out.split())
    listed = re.search(r"Taken as exact[^:]*: ([a-z_, ]+)\.", told)
    assert listed is not None
    points = set(garage.car().front.suspension.keys)
    assert set(listed[1].split(", ")) == points - {"lower_pivot_rear"}
