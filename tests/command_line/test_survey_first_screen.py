"""The first screen of `survey`: the answer in three lines, plain words, and no more than a screen holds.

Bounds of lines and columns are the house's. What must be said was planted: a slip, or two, or a lost sign.
"""

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from kinematics.car.lengths import INCH, MM, LengthUnit
from kinematics.inputs.demo_cars import demo_text
from kinematics.survey.explanations import Cause
from reports.command_line import main
from tests.survey.planted_slips import Planted, off, planted, put
from tests.survey.sheet_surveys import as_file, sheet_survey
from tests.survey.test_slips_told import sound_ground

MOST = 40
HARD_WORDS = ["chi-square", "standardised", "redundancy", "null space", "residual", "unknowns", "covariance"]


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    (tmp_path / "survey.toml").write_text(demo_text("lowered_coupe_survey.toml"), encoding="utf-8")
    return tmp_path


def told(capsys: pytest.CaptureFixture[str], *words: str, status: int = 0) -> list[str]:
    capsys.readouterr()
    assert main(["survey", *words]) == status
    return [line.rstrip() for line in capsys.readouterr().out.splitlines()]


def fits_one_screen(lines: list[str]) -> None:
    assert len(lines) <= MOST
    assert max(map(len, lines)) <= 80
    for line, after in pairwise(lines):
        assert not (re.search(r"[-+]?\d+\.?\d*$", line) and re.match(r"\s*(mm|in|deg|%)\b|\s*\d+/\d", after)), line
        assert not line.endswith(("no.", "±")), line
    assert any(line.startswith("Next: ") for line in lines[1:3])
    everything = " ".join(lines).lower()
    assert [word for word in HARD_WORDS if word in everything] == []


def by_number(text: str, number: int, old: str, new: str) -> str:
    line = next(one for one in text.splitlines() if one.endswith(f"# no. {number}"))
    assert old in line
    return text.replace(line, line.replace(old, new))


@pytest.mark.parametrize("unit", [MM, INCH], ids=["mm", "in"])
@pytest.mark.parametrize("kind", ["strut", "double wishbone", "trailing arm"])
def test_of_readings_that_agree(kind: str, unit: LengthUnit, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "sheet.toml").write_text(as_file(sheet_survey(kind, 7, unit), unit), encoding="utf-8")
    lines = told(capsys, "sheet.toml", "car.toml")
    fits_one_screen(lines)
    assert lines[0].startswith("The front readings agree.")
    assert "Next: cornersweep show car.toml" in lines[:3]


@pytest.mark.usefixtures("garage")
def test_the_next_command_runs_as_it_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    """First the car file is to be written, then looked at."""
    lines = told(capsys, "survey.toml")
    fits_one_screen(lines)
    (first,) = [line for line in lines if line.startswith("Next: ")]
    words = first.removeprefix("Next: cornersweep survey ").split()
    (then,) = [line for line in told(capsys, *words) if line.startswith("Next: ")]
    assert then == f"Next: cornersweep show {words[1]}"
    assert main(then.split()[2:]) in (0, 1)


@pytest.mark.usefixtures("garage")
def test_what_is_least_checked_is_named_with_what_it_would_do(capsys: pytest.CaptureFixture[str]) -> None:
    """It heads the table of what is weakly checked."""
    lines = told(capsys, "survey.toml")
    head = " ".join(lines[:2])
    row = lines[next(at for at, line in enumerate(lines) if line.startswith("weakly checked")) + 3]
    number, error, moves = re.match(r"\s*(\d+)   .*?  +([\d.]+ deg)  +([\d.]+ mm) ", row).groups()  # type: ignore[union-attr]
    assert f"Least checked: no. {number} (" in head
    assert f"{error} off may not show, and moves the roll centre {moves}." in head


def test_one_slip(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = as_file(sheet_survey("strut", 7, INCH), INCH)
    (garage / "slip.toml").write_text(by_number(text, 36, "13 1/4", "14 1/4"), encoding="utf-8")
    lines = told(capsys, "slip.toml", "car.toml", status=1)
    fits_one_screen(lines)
    assert " ".join(lines[:2]) == (
        "The front readings do not agree. Suspect: no. 36 (tape lower_ball_joint to lower_pivot_front), read as "
        "14 1/4 in, probably 13 1/4 in; measure again."
    )
    assert lines.count("Correct the line that was misread; a repeat goes in as a line of its own.") == 1
    assert lines[2] == "Next: put it right, then cornersweep survey slip.toml car.toml --replace"
    # What is told in full comes before any table.
    told_at = next(at for at, line in enumerate(lines) if line.startswith("SUSPECT"))
    assert told_at < next(at for at, line in enumerate(lines) if line.startswith("fitted points"))


@pytest.mark.campaign
def test_two_slips_are_both_in_the_answer(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = by_number(as_file(sheet_survey("strut", 7, INCH), INCH), 36, "13 1/4", "14 1/4")
    (garage / "slips.toml").write_text(by_number(text, 30, "26 3/4", "27 3/4"), encoding="utf-8")
    lines = told(capsys, "slips.toml", status=1)
    fits_one_screen(lines)
    head = " ".join(lines[:2])
    assert head.startswith("The front readings do not agree. Suspect: ")
    assert {"30", "36"} <= set(re.findall(r"no\. (\d+)", head))
    assert head.endswith("Measure these again.")


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
def test_a_slip_of_three_readings_is_told_with_all_three(capsys: pytest.CaptureFixture[str]) -> None:
    """All that was read of the damper's foot is of a place 31 mm higher, 27 mm inboard and 24 mm ahead."""
    survey = sheet_survey("strut", 7)
    away = {"up": 31.0, "out": -27.0, "ahead": 24.0}
    slip: Planted = {}
    for at, one in enumerate(survey.readings):
        if one.of == ("strut_low",) and one.kind in away:
            slip = {**slip, **off(survey, at, lambda value, kind=one.kind: value + away[kind])}
    Path("hole.toml").write_text(as_file(put(survey, slip), MM), encoding="utf-8")
    lines = told(capsys, "hole.toml", status=1)
    fits_one_screen(lines)
    words = " ".join(lines)
    (suspect,) = re.findall(r"SUSPECT +(.*?) WARNING", words)
    read = dict(re.findall(r"no\. \d+ \((\w+) strut_low\) was read as (-?\d+) mm", suspect))
    assert read == {one.kind: f"{one.reads:.0f}" for one in slip.values()}
    then = re.search(r"they would then read about (-?[\d.]+) mm, (-?[\d.]+) mm and (-?[\d.]+) mm", suspect)
    assert then is not None
    meant = [one.reads - away[one.kind] for one in slip.values()]
    assert [float(one) for one in then.groups()] == pytest.approx(meant, abs=6.0)  # four of its doubts


def test_where_two_fit_alike_the_answer_names_both_and_what_decides(
    garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A height read twice, once 30 mm too low, and nothing else that sees it."""
    text = as_file(sheet_survey("trailing arm", 7), MM)
    line = next(one for one in text.splitlines() if 'up = "pivot_outer"' in one)
    value = float(line.split("reads = ")[1].split(" ")[0])
    lines = [one for one in text.splitlines() if "pivot_outer" not in one or one == line or "up =" not in one]
    lines = [one for one in lines if not ("pivot_outer" in one and ("tape" in one or "angle" in one))]
    lines.insert(lines.index(line) + 1, line.replace(f"reads = {value:g}", f"reads = {value - 30:g}").split("#")[0])
    (garage / "twice.toml").write_text("\n".join(lines), encoding="utf-8")
    shown = told(capsys, "twice.toml", status=1)
    fits_one_screen(shown)
    head = " ".join(shown[:2])
    number = line.rpartition("no. ")[2]
    assert f"no. {number} (2nd)" in head or f"(up pivot_outer (2nd)), read as {value - 30:g} mm" in head
    assert head.count(f"no. {number}") >= 3
    assert re.search(r"[Mm]easure no\. \d+( \(2nd\))? again", head)


def test_a_lost_sign_of_camber_comes_first(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (garage / "survey.toml").read_text(encoding="utf-8").replace("camber = -2.2", "camber = 2.2")
    (garage / "sign.toml").write_text(text, encoding="utf-8")
    lines = told(capsys, "sign.toml", status=1)
    fits_one_screen(lines)
    assert "Look first at camber (no. 6 and 7), with which all are fitted." in " ".join(lines[:2])


def test_both_axles_in_one_answer(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    front = by_number(as_file(sheet_survey("strut", 7, INCH), INCH), 36, "13 1/4", "14 1/4")
    rear = as_file(sheet_survey("trailing arm", 7, INCH), INCH).replace("[front", "[rear").partition("[rear]")
    (garage / "both.toml").write_text(f"{front}\n{''.join(rear[1:])}", encoding="utf-8")
    lines = told(capsys, "both.toml", status=1)
    head = " ".join(lines[:2])
    assert head == (
        "The front readings do not agree. Suspect: no. 36, read as 14 1/4 in, probably 13 1/4 in; measure again. "
        "The rear readings agree."
    )
    fits_one_screen(lines)


def test_both_axles_that_agree(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    front = as_file(sheet_survey("strut", 7, INCH), INCH)
    rear = as_file(sheet_survey("trailing arm", 7, INCH), INCH).replace("[front", "[rear").partition("[rear]")
    (garage / "both.toml").write_text(f"{front}\n{''.join(rear[1:])}", encoding="utf-8")
    fits_one_screen(told(capsys, "both.toml"))


@pytest.mark.campaign
def test_one_of_two_axles_scatters(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Errors of 6 mm in readings that say 1.5 and 2."""
    survey, rng = sheet_survey("double wishbone", 9), np.random.default_rng(1)
    off = tuple(
        one if one.kind == "angle" else replace(one, reads=(one.reads or 0.0) + 6.0 * rng.normal())
        for one in survey.readings
    )
    rear = as_file(replace(survey, readings=off), MM).replace("[front", "[rear").partition("[rear]")
    front = as_file(sheet_survey("strut", 7), MM)
    (garage / "both.toml").write_text(f"{front}\n{''.join(rear[1:])}", encoding="utf-8")
    lines = told(capsys, "both.toml", status=1)
    fits_one_screen(lines)
    head = " ".join(lines[:2])
    assert re.match(r"The front readings agree\. The rear readings do not agree\. They scatter [\d.]+ times", head)
    assert head.endswith("none stands out.")


@pytest.mark.campaign
@pytest.mark.parametrize("seed", [11, 12, 13])
def test_two_slips_of_any_kind(seed: int, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What fits worst stands with --all: a named slip pulls sound readings along."""
    ground, rng = sound_ground(seed), np.random.default_rng(2)
    one = planted(Cause.SWAPPED, ground, rng)
    other = planted(Cause.MISREAD, ground, rng)
    (garage / "slips.toml").write_text(as_file(put(ground.read, {**one, **other}), MM), encoding="utf-8")
    lines = told(capsys, "slips.toml", status=1)
    fits_one_screen(lines)
    assert not any(line.startswith("readings that fit worst") for line in lines)
    assert any(line.startswith("readings that fit worst") for line in told(capsys, "slips.toml", "--all", status=1))


@pytest.mark.campaign
def test_readings_that_scatter_more_than_they_say(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Errors of 8 mm in readings that say 1.5 and 2: some four times as much, and no slip."""
    survey = sheet_survey("strut", 7)
    rng = np.random.default_rng(1)
    off = tuple(
        one if one.kind == "angle" else replace(one, reads=(one.reads or 0.0) + 8.0 * rng.normal())
        for one in survey.readings
    )
    (garage / "rough.toml").write_text(as_file(replace(survey, readings=off), MM), encoding="utf-8")
    lines = told(capsys, "rough.toml", status=1)
    fits_one_screen(lines)
    head = re.match(
        r"The front readings do not agree. They scatter ([\d.]+) times as far as their doubts say, and none stands "
        r"out: measure again, or state larger doubts.$",
        " ".join(lines[:2]),
    )
    assert head is not None
    assert 3.0 < float(head[1]) < 6.0


@pytest.mark.usefixtures("garage")
def test_exact_terms_stand_with_all(capsys: pytest.CaptureFixture[str]) -> None:
    first, everything = told(capsys, "survey.toml"), told(capsys, "survey.toml", "--all")
    assert everything[:3] == first[:3]
    text = " ".join(everything)
    assert "chi-square" in text
    assert "standardised residual" in text
    assert len(everything) > len(first)


@pytest.mark.usefixtures("garage")
def test_quiet_is_the_answer(capsys: pytest.CaptureFixture[str]) -> None:
    assert told(capsys, "survey.toml", "--quiet") == told(capsys, "survey.toml")[:3]
