"""Feet and inches with their marks in files of cars and surveys: read as the same lengths without them.

Formula: 12 inches to the foot. In a file in mm they are told, with the same length in mm: 25.4 mm to the inch, exact by
definition (international yard and pound agreement, 1959, from memory).
"""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kinematics import read_car
from kinematics.car.lengths import INCH, MM
from kinematics.inputs.reading.faults import InputFaultError
from kinematics.inputs.survey.survey_file import read_survey
from kinematics.survey.readings import Survey
from reports.command_line import main
from tests.survey.invented_surveys import truth
from tests.survey.planted_slips import off, put
from tests.survey.sheet_surveys import as_file, sheet_survey

_CAR = """
name = "marked"
units = "{units}"
[front]
suspension = "strut"
wheel = {{ camber = -1, toe_in = 0 }}
[front.points]
wheel_centre = {{ ahead = 0, out = 28.25, up = 11.5 }}
lower_ball_joint = {{ ahead = 0, out = 26.5, up = 7.5 }}
lower_pivot_front = {{ ahead = 0.5, out = 13.625, up = {up} }}
lower_pivot_rear = {{ ahead = -10, out = 13.625, up = 8 }}
strut_top = {{ ahead = -1, out = 21.25, up = 32 }}
strut_low = {{ ahead = 0, out = {out}, up = 16 }}
tie_rod_outer = {{ ahead = -5.25, out = 25.75, up = 9 }}
tie_rod_inner = {{ ahead = -5.25, out = 12.25, up = 9.25 }}
"""


def _written(folder: Path, text: str) -> Path:
    file = folder / "marked.toml"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.mark.parametrize(
    ("out", "inches"),
    [
        ("'23 3/4\"'", 23.75),
        ('"1\' 11 3/4\\""', 23.75),
        ("\"1'-11.75''\"", 23.75),
        ('"2\' 0 1/2\\""', 24.5),
        ('"2\'"', 24.0),
        ('"1\' 11 3/4"', 23.75),
        ('"1\'11 3/4"', 23.75),
        ('"2\u2032 0 \u00bd"', 24.5),
        ('"1\u2032 11 \u00be\u2033"', 23.75),
    ],
)
def test_a_car_file_in_inches(tmp_path: Path, out: str, inches: float) -> None:
    car = read_car(_written(tmp_path, _CAR.format(units="in", up=8, out=out)))
    assert np.abs(car.front.points["strut_low"][:, 1]) == pytest.approx(inches * 25.4, abs=1e-9)
    assert car.unit.fractions is any(one in out for one in ("3/4", "1/2", "\u00be", "\u00bd"))


def test_a_car_file_in_mm_says_what_to_write(tmp_path: Path) -> None:
    with pytest.raises(InputFaultError) as told:
        read_car(_written(tmp_path, _CAR.format(units="mm", up="'8\"'", out='"1\' 11 3/4\\""')))
    words = str(told.value)
    assert "front.points.lower_pivot_front.up" in words
    assert "is marked as inches, but this file is in mm: write 203.2" in words
    assert "front.points.strut_low.out" in words
    assert "write 603.25" in words


@pytest.mark.parametrize(
    "wrong", ['"1\' 3"', '"1\' 13 1/2"', '"1\' 3/4"', '"1\' 3.5"', '"1\' 3 1/0"', '"13 5/8\\" 2"', '"1\' 1/0\\""']
)
def test_what_may_be_mistaken_is_told(tmp_path: Path, wrong: str) -> None:
    with pytest.raises(InputFaultError, match=r"front\.points\.strut_low\.out: .*is not a length"):
        read_car(_written(tmp_path, _CAR.format(units="in", up=8, out=wrong)))


def _marked(survey: Survey) -> str:
    """The survey's file with one of its readings marked."""
    at = next(at for at, one in enumerate(survey.readings) if str(one) == "ahead tie_rod_outer")
    text = as_file(put(survey, off(survey, at, lambda _: -5.25 * 25.4)), INCH)
    assert text.count('{ ahead = "tie_rod_outer", reads = "-5 1/4" }') == 1
    return text.replace('reads = "-5 1/4" }', "reads = '-5 1/4\"' }")


def test_a_survey_in_inches_and_how_it_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Read as without its mark, and given back without it."""
    monkeypatch.chdir(tmp_path)
    points = {key: place.copy() for key, place in truth("strut", 3).points.items()}
    points["tie_rod_outer"][:, 0] = -5.25 * 25.4
    survey = sheet_survey("strut", 3, INCH, replace(truth("strut", 3), points=points))
    Path("survey.toml").write_text(_marked(survey), encoding="utf-8")
    (read,) = read_survey("survey.toml").surveys
    assert next(one.reads for one in read.readings if str(one) == "ahead tie_rod_outer") == pytest.approx(-133.35)
    Path("slip.toml").write_text(_marked(survey).replace("'-5 1/4\"'", "'5 1/4\"'"), encoding="utf-8")
    assert main(["survey", "slip.toml", "car.toml"]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "no. 31 (ahead tie_rod_outer) was read as 5 1/4 in" in told


@pytest.mark.parametrize("count", [2, 3, 20])
def test_a_survey_in_mm_that_is_marked_throughout(
    count: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Told once at its unit, with all that are marked counted; of two, each by itself. With that unit they are read."""
    monkeypatch.chdir(tmp_path)
    lines = as_file(sheet_survey("strut", 3, INCH), INCH).splitlines()
    at = [i for i, line in enumerate(lines) if re.search(r'reads = ("[^"]*"|[\d.-]+) ', line) and "angle" not in line]
    for i in at[:count]:
        lines[i] = re.sub(r'reads = "?([^" ]+(?: [\d/]+)?)"? ', r"""reads = '\1"' """, lines[i])
    text = "\n".join(lines)
    assert text.count("\"'") == count
    Path("inches.toml").write_text(text, encoding="utf-8")
    assert len(read_survey("inches.toml").surveys) == 1
    Path("mm.toml").write_text(text.replace('units = "in"', 'units = "mm"'), encoding="utf-8")
    assert main(["survey", "mm.toml"]) == 2
    head, *told = capsys.readouterr().err.splitlines()
    if count == 2:
        assert (head, len(told)) == ("mm.toml: 2 faults", 2)
        assert all("which is marked as inches, but this file is in mm: write " in line for line in told)
        return
    assert (head, len(told)) == ("mm.toml: 1 fault", 1)
    first = re.search(r"'(.*)\"'", lines[at[0]])
    assert first is not None
    assert told[0].startswith(f'  units: {count} lengths are marked as inches, like "{first[1]}\\"" at front.readings ')
    assert 'Then write units = "in"' in told[0]


def test_a_survey_in_mm_says_what_to_write(tmp_path: Path) -> None:
    survey = sheet_survey("strut", 3, MM)
    lines = as_file(survey, MM).splitlines()
    at = next(i for i, line in enumerate(lines) if "ahead = " in line and "reads" in line)
    lines[at] = '{ ahead = "tie_rod_outer", reads = "-5 1/4\\"" },'
    with pytest.raises(InputFaultError, match=r"is marked as inches, but this file is in mm: write -133\.35"):
        read_survey(_written(tmp_path, "\n".join(lines)))
