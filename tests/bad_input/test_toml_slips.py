"""Slips that stop the TOML reader are told in plain words, with the line; numbers with commas or units behind too."""

import re
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.command_line.car_texts import SOUND_CAR

NAMED = 'name = "a"\nunits = "mm"\n'
SLIPS = {
    "a table twice": (
        f"{NAMED}[limits]\nroll = 1\n\n[body]\nwheelbase = 2400\n[limits]\nroll = 2\n",
        "line 8: the table [limits] is there twice, first on line 3; join the two: [limits]",
    ),
    "a table once as one of many": (
        f"{NAMED}[[limits]]\nroll = 1\n[limits]\nroll = 2\n",
        "line 5: [limits] and [[limits]] are both there, the first on line 3; write both alike: [limits]",
    ),
    "a key twice": (
        f"{NAMED}[body]\nname = 1\n[limits]\n{NAMED}roll = 1\nroll = 2 # degrees\n",
        "line 9: roll is there twice, first on line 8; leave one of the two out: roll = 2 # degrees",
    ),
    "a key twice, of several lines": (
        f"{NAMED}[limits]\ntravel = [-40, 40]\ntravel = [\n  -50,\n  50,\n]\n",
        "line 5: travel is there twice, first on line 4; leave one of the two out: travel = [",
    ),
    "a quote open in the middle": ('name = "a\nunits = "mm"\n', 'line 1: a quote is opened and not closed: name = "a'),
    "a quote open at the end": ('units = "mm"\nname = "a', 'line 2: a quote is opened and not closed: name = "a'),
    "nothing behind a key": (
        f"{NAMED}measured_to =    # later\n",
        "line 3: nothing stands behind measured_to =; write its value, or leave the line out: measured_to =    # later",
    ),
    "a word without quotes": ('name = coupe\nunits = "mm"\n', 'line 1: a word must stand in quotes, like "coupe"'),
    "a yes": (f"{NAMED}on_paper = True\n", "line 3: read True; true is how it is written"),
    "a list left open": (
        f"{NAMED}[limits]\ntravel = [-40, 40\nroll = 2\n",
        "line 5: a list is not closed: a ] or a comma is missing, here or above: roll = 2",
    ),
    "a unit": (f"{NAMED}measured_to = 2mm\n", "(leave the unit out: `units` says it for the whole file)"),
    "a unit after a blank": (f"{NAMED}measured_to = 2.5 mm\n", "(leave the unit out: `units` says it for the whole"),
}


@pytest.mark.parametrize("name", SLIPS)
def test_slips(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text, says = SLIPS[name]
    file = tmp_path / "car.toml"
    file.write_text(text, encoding="utf-8")
    assert main(["show", str(file)]) == 2
    first, told = capsys.readouterr().err.splitlines()
    assert first.endswith("car.toml: 1 fault")
    assert told.startswith("  this is not valid TOML: ")
    assert says in told
    assert "('" not in told


def test_the_same_slips_with_line_ends_of_another_system(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "car.toml"
    for text, says in SLIPS.values():
        file.write_bytes(text.replace("\n", "\r\n").encode())
        main(["show", str(file)])
        assert says.split(":")[0] in capsys.readouterr().err


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ('"1,000"', "its comma may part thousands or decimals: write 1000 or 1.000"),
        ('"741 mm"', "leave the unit out: lengths in this file are in mm"),
        ('"74.1cm"', "leave the unit out: lengths in this file are in mm, so write 741"),
    ],
)
def test_lengths_in_quotes(written: str, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "car.toml"
    file.write_text(SOUND_CAR.replace("out = 741,", f"out = {written},"), encoding="utf-8")
    assert main(["show", str(file)]) == 2
    (told,) = capsys.readouterr().err.splitlines()[1:]
    assert told == f"  front.points.wheel_centre.out: {written.replace(chr(34), chr(39))} is not a length; {says}"


def shown(text: str, file: Path, capsys: pytest.CaptureFixture[str], *command: str) -> str:
    file.write_text(text, encoding="utf-8")
    assert main([*command, str(file)]) in (0, 1)
    return capsys.readouterr().out


def test_a_decimal_comma_in_quotes_is_a_decimal_point(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In a car file and in a survey."""
    survey = demo_text("lowered_coupe_survey.toml")
    for text, command, was, with_comma in (
        (SOUND_CAR.replace("out = 741,", "out = 741.0,"), "show", "out = 741.0,", 'out = "741,0",'),
        (survey, "survey", *first_reading(survey)),
    ):
        assert text.count(was) >= 1
        file = tmp_path / "file.toml"
        assert shown(text, file, capsys, command) == shown(text.replace(was, with_comma, 1), file, capsys, command)


def first_reading(survey: str) -> tuple[str, str]:
    """Of a survey's text: the first number with one decimal, and the same with a comma in quotes."""
    found = re.search(r"reads = (\d+)\.(\d)\b", survey)
    assert found is not None
    return found[0], f'reads = "{found[1]},{found[2]}"'
