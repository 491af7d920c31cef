"""How large an error of a reading may pass unseen, against closed forms, other adjustments, and planted errors.

The level and the power (one in a thousand, four in five) and with them 4.13 doubts are W. Baarda's (1968, from memory).
"""

import csv
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

from kinematics.car.lengths import INCH, MM
from kinematics.survey.fit import SurveyFit, fit
from kinematics.survey.readings import Reading, Survey, rows
from kinematics.survey.reliability import ROLL_CENTRE, reliability
from kinematics.sweeps.body import sweep_bump
from reports.command_line import main
from solvers.tangents import derivatives
from solvers.vectors import Array
from tests.survey.invented_surveys import read_off, truth
from tests.survey.planted_slips import off, put
from tests.survey.sheet_surveys import as_file, sheet_survey

DETECTED = 4.13
SHEET = sheet_survey("strut", 7)


@pytest.fixture(scope="module")
def found() -> SurveyFit:
    return fit(SHEET)


def rule_only(times: int) -> SurveyFit:
    """Each coordinate of a trailing arm read by rule alone, the height of the wheel's centre several times."""
    axle = truth("trailing arm", 1)
    readings = [Reading(way, (key,), 0.0, 1.5) for key in axle.points for way in ("ahead", "out", "up")]
    readings = [one for one in readings if str(one) != "ahead wheel_centre"]
    again = [Reading("up", ("wheel_centre",), 0.0, 1.5)] * (times - 1)
    return fit(read_off(Survey(axle, False, (), (*readings, *again)), axle, 0))


@pytest.mark.parametrize("times", [2, 3, 5])
def test_one_height_read_several_times(times: int) -> None:
    """Formula: of k alike readings each has the redundancy number 1 - 1 / k, so that 4.13 doubts over its root pass."""
    heights = [one for one in rule_only(times).readings if one.name.startswith("up wheel_centre")]
    assert len(heights) == times
    for one in heights:
        assert one.detectable == pytest.approx(DETECTED * 1.5 / np.sqrt(1.0 - 1.0 / times), rel=1e-3)


def test_a_reading_that_nothing_checks_may_be_off_by_anything() -> None:
    told = reliability(rule_only(2))
    alone = [one for one in told.found.readings if not one.name.startswith("up wheel_centre")]
    assert all(one.detectable == np.inf for one in alone)
    # Whatever is not told to move the roll centre is told besides.
    assert {one.reading.name for one in (*told.weak, *told.hardly)} == {one.name for one in alone}


def without(found: SurveyFit, row: int) -> tuple[float, float]:
    """What all other readings make of a row, and its standard deviation: normal equations without it, solved here."""
    slopes = derivatives(found.rows.predicted, found.solved.parameters)
    kept = np.arange(len(slopes)) != row
    own, doubts = slopes[kept] / found.rows.doubts[kept, None], found.rows.doubts
    covariance = np.linalg.inv(own.T @ own)
    step = covariance @ own.T @ (found.rows.residuals(found.solved.parameters)[kept] / doubts[kept])
    predicted = found.rows.predicted(found.solved.parameters)[row] + slopes[row] @ step
    return float(predicted), float(np.sqrt(slopes[row] @ covariance @ slopes[row]))


def test_by_adjustments_without_each_reading(found: SurveyFit) -> None:
    """Formula: a reading and what the others make of it differ by sqrt(doubt^2 + known_to^2), so that 4.13 times that
    is found; its redundancy number does not come in."""
    for row, one in enumerate(found.readings):
        _, known_to = without(found, row)
        assert one.detectable == pytest.approx(DETECTED * np.hypot(one.doubt, known_to), rel=1e-3), one.name


def test_four_in_five_such_errors_are_found(found: SurveyFit) -> None:
    """Drawn errors of all readings, and in one the error that is told: a reading is called wrong where it differs from
    what the others make of it by 3.29 of that difference's standard deviations, as one sound one in a thousand does."""
    rng = np.random.default_rng(0)
    draws = 4000
    slopes = derivatives(found.rows.predicted, found.solved.parameters) / found.rows.doubts[:, None]
    for row in (3, 20, 40):
        kept = np.arange(len(slopes)) != row
        noise = rng.normal(size=(draws, len(slopes)))
        noise[:, row] += found.readings[row].detectable / found.readings[row].doubt
        others = noise[:, kept] @ np.linalg.pinv(slopes[kept]).T @ slopes[row]
        _, known_to = without(found, row)
        differs = (noise[:, row] - others) / np.hypot(1.0, known_to / found.readings[row].doubt)
        share = float((np.abs(differs) > norm.isf(0.0005)).mean())
        # Four standard deviations of a share of 0.8 of so many.
        assert share == pytest.approx(0.8, abs=4.0 * np.sqrt(0.16 / draws))


def roll_centre(survey: Survey) -> float:
    return float(np.ravel(sweep_bump(fit(survey).axle, [0.0])["roll_centre_height"])[0])


def test_what_an_unseen_error_does_to_the_roll_centre() -> None:
    """A small part of it planted in exact readings, and the survey fitted and swept again (differences both ways)."""
    exact = sheet_survey("strut", 7, exact=True)
    found = fit(exact)
    told = reliability(found)
    assert ROLL_CENTRE[1] == "roll_centre_height"
    for row in (4, 20, 40):
        one = found.readings[row]
        part = 1e-3 * one.detectable
        ends = [roll_centre(put(exact, off(exact, row, lambda value, by=by: value + by))) for by in (-part, part)]
        assert told.shifts[row] == pytest.approx(abs(ends[1] - ends[0]) / 2e-3, rel=1e-3, abs=1e-4)


def test_those_that_move_it_by_more_than_its_own_doubt_come_first(found: SurveyFit) -> None:
    """Its own doubt is that of repeated surveys: 1.96 standard deviations of their roll centres, to some 10 %."""
    told = reliability(found)
    assert [one.shifts for one in told.weak] == sorted((one.shifts for one in told.weak), reverse=True)
    assert min(one.shifts for one in told.weak) > told.doubt_95
    named = {one.reading.name for one in told.weak}
    small = [shift for one, shift in zip(found.readings, told.shifts, strict=True) if one.name not in named]
    assert max(small) <= told.doubt_95


def test_the_reading_that_is_told_checks_it() -> None:
    """Without tapes most is weakly checked. Each reading that is told is taken besides and the survey fitted again:
    what could then pass is what was promised."""
    bare = replace(SHEET, readings=tuple(one for one in SHEET.readings if one.kind != "tape"))
    told = reliability(fit(bare))
    assert len(told.weak) + len(told.hardly) >= 6
    for one in [each for each in (*told.weak, *told.hardly) if not each.again][:4]:
        more = fit(replace(bare, readings=(*bare.readings, replace(one.check, reads=shown(bare, one.check)))))
        then = more.readings[told.found.readings.index(one.reading)]
        assert then.detectable == pytest.approx(one.detectable_then, rel=0.05)
        assert then.detectable < 0.9 * one.detectable


def shown(survey: Survey, reading: Reading) -> float:
    """What a further reading reads where the survey's points are fitted."""
    own: Array = rows(replace(survey, readings=(reading,))).predicted(fit(survey).solved.parameters)
    return float(own[0])


def test_a_reading_taken_once_more_is_checked_by_itself() -> None:
    """Formula: alone it has leverage 1; read twice, either has one half, so that 4.13 doubts over its root pass."""
    told = reliability(rule_only(1))
    once = [one for one in (*told.weak, *told.hardly) if one.again]
    assert once
    for one in once:
        assert one.reading.detectable == np.inf
        assert one.detectable_then == pytest.approx(DETECTED * one.reading.doubt / np.sqrt(0.5), rel=1e-3)


def test_a_reading_in_part_checked_is_better_checked_taken_once_more(found: SurveyFit) -> None:
    """Against a fit in which it was read twice alike."""
    (one,) = [each for each in reliability(found).weak if each.again]
    assert 0.2 < one.reading.redundancy < 0.6
    twice = fit(replace(SHEET, readings=(*SHEET.readings, SHEET.readings[one.reading.of])))
    then = twice.readings[found.readings.index(one.reading)]
    assert then.detectable == pytest.approx(one.detectable_then, rel=0.03)


def test_an_inch_that_nothing_sees_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the tapes left out, an inch in `ahead` of the tie rod's end passes: the reading is named, and a tape."""
    monkeypatch.chdir(tmp_path)
    survey = sheet_survey("strut", 7, INCH)
    at = next(at for at, one in enumerate(survey.readings) if str(one) == "ahead tie_rod_outer")
    text = as_file(put(survey, off(survey, at, lambda value: value + 25.4)), INCH)
    lines = [line for line in text.splitlines() if "tape = [" not in line]
    Path("bare.toml").write_text("\n".join(lines), encoding="utf-8")
    monkeypatch.setenv("COLUMNS", "160")
    assert main(["survey", "bare.toml", "car.toml", "--all"]) == 0
    told = capsys.readouterr().out
    (line,) = [line for line in told.splitlines() if line.split()[1:5] == ["ahead", "tie", "rod", "outer"]]
    number, _, error, moved, check = (cell.strip() for cell in line.split("  ") if cell.strip())
    assert number == "31"
    assert error == "any"
    assert check.startswith("tape ")
    assert "tie rod outer" in check
    assert float(moved.removesuffix(" in")) > 0.0
    # 100 mm in inches, the most that is counted of an error of any size.
    assert "Of any size: then moved by an error of 3.94 in." in told
    with Path("car_readings.csv").open(encoding="utf-8") as file:
        table = {row["reading"]: row for row in csv.DictReader(file)}
    assert table["ahead tie_rod_outer"]["detectable"] == ""
    assert table["ahead tie_rod_outer"]["note"] == "no other reading checks this one"
    # Of what is checked, the number in inches is that in mm over 25.4.
    found = fit(survey_read("bare.toml"))
    for one in found.readings:
        if one.name.startswith("up "):
            assert float(table[one.name]["detectable"]) == pytest.approx(one.detectable / 25.4, rel=1e-4)


def survey_read(path: str) -> Survey:
    from kinematics.inputs.survey.survey_file import read_survey

    return read_survey(path).surveys[0]


def test_the_table_in_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The first line of the table names the reading that could move the roll centre farthest, both amounts in mm."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    Path("sheet.toml").write_text(as_file(SHEET, MM), encoding="utf-8")
    assert main(["survey", "sheet.toml", "--all"]) == 0
    lines = capsys.readouterr().out.splitlines()
    start = next(at for at, line in enumerate(lines) if line.startswith("weakly checked"))
    told = reliability(fit(survey_read("sheet.toml"))).weak
    # As the file says behind each of its readings, in its order.
    text = Path("sheet.toml").read_text(encoding="utf-8")
    said = [int(one) for one in re.findall(r"(?m)^  \{ .*# no\. (\d+)$", text)]
    numbers = dict(zip([str(one) for one in SHEET.readings], said, strict=True))
    for line, one in zip(lines[start + 3 :], told, strict=False):
        number, name, error, moved, check = (cell.strip() for cell in line.split("  ") if cell.strip())
        assert name == one.reading.name.replace("_", " ")
        assert int(number) == numbers[one.reading.name]
        amount, symbol = error.split()
        assert symbol == ("deg" if name.startswith("angle") else "mm")
        size = np.degrees(one.detectable) if symbol == "deg" else one.detectable
        assert float(amount) == pytest.approx(size, abs=0.051)
        assert float(moved.removesuffix(" mm")) == pytest.approx(one.shifts, abs=0.051)
        assert check == ("it again, afresh" if one.again else str(one.check).replace("_", " "))
