"""Curves that do not agree with a sheet's readings: what is told of the gauge, and what the points are fitted to.

The sheets are of invented strut cars, each curve is swept on the true car; a gauge's slip or a tape's is then planted.
"""

import json
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from kinematics import read_car
from kinematics.car.lengths import INCH, MM
from kinematics.survey.curve_slips import CurveCause
from kinematics.survey.curves import Curve
from kinematics.survey.curves_aside import curves_standing
from kinematics.survey.explanations import Cause, Culprit, Explanation, Slip
from kinematics.survey.fit import fit, spread_beyond
from kinematics.survey.readings import Survey
from kinematics.sweeps.body import sweep_bump
from reports.command_line import main
from reports.words.survey_curves import misfit_words
from tests.survey.sheet_surveys import sheet_survey
from tests.survey.test_curves import (
    GAUGE,
    NINE,
    SEED,
    bump_steer,
    careful,
    in_rows,
    misfits,
    read_curve,
    truth_of,
    written,
)

RIM = 340.0  # mm between the gauge's ends
# What a column shows that counts in another way, in degrees as the file has it; the factor that puts it right.
OTHERWISE = {
    "both wheels": (
        lambda toe: 2.0 * toe,
        CurveCause.BOTH_WHEELS,
        0.5,
        "every reading halved, as if toe had been read",
    ),
    "mm at the rim": (
        lambda toe: np.radians(RIM * np.sin(toe)),
        CurveCause.LENGTH,
        np.degrees(1.0) / RIM,
        "so toe may be a length at the gauge's plates or the rim, not degrees",
    ),
    "inches at the rim": (
        lambda toe: np.radians(RIM / 25.4 * np.sin(toe)),
        CurveCause.LENGTH,
        np.degrees(25.4) / RIM,
        "so toe may be a length at the gauge's plates or the rim, not degrees",
    ),
}


@cache
def steered(seed: int = SEED, up: float = 12.0) -> Survey:
    """A sheet read closely, of a car whose rack's joint lies so high that toe changes much."""
    axle = careful(seed).axle
    points = {key: place.copy() for key, place in axle.points.items()}
    points["tie_rod_inner"][:, 2] += up
    return careful(seed, replace(axle, points=points))


def counted(survey: Survey, what: str, seed: int = 1) -> Curve:
    """A toe curve whose column counts in another way, with a gauge's errors in what is typed."""
    shown = OTHERWISE[what][0](sweep_bump(survey.axle, NINE)["toe"][0])
    return Curve("toe", "travel", 0, NINE, shown + GAUGE * np.random.default_rng(seed).normal(size=9), GAUGE)


@pytest.mark.parametrize("what", ["both wheels", pytest.param("mm at the rim", marks=pytest.mark.campaign)])
def test_how_a_toe_column_counts_is_told(what: str) -> None:
    """Formula: half of what two wheels show; the angle of a length is its arc sine over where it is read.

    To four standard deviations of what the readings know of the curve's slope (some 2 %): the gauge knows it better.
    """
    _, cause, factor, words = OTHERWISE[what]
    (told,) = misfits(replace(steered(), curves=(counted(steered(), what),)))
    assert told.slips[0].cause is cause
    slope, deviation = bump_steer(fit(steered()))
    assert told.slips[0].factor == pytest.approx(factor, rel=4.0 * deviation / slope)
    assert words in misfit_words(told, MM)


@pytest.mark.campaign
@pytest.mark.parametrize("what", OTHERWISE)
def test_it_is_told_on_other_cars(what: str) -> None:
    """Among what is told, beside a point that would do as well. Found, when run: 20, 20 and 19 of 20."""
    found = 0
    for seed in range(20):
        survey = steered(100 + seed, 20.0)
        slips = [one for each in misfits(replace(survey, curves=(counted(survey, what, seed),))) for one in each.slips]
        found += any(one.cause is OTHERWISE[what][1] for one in slips)
    assert found >= 17


def test_points_are_fitted_without_a_curve_that_the_readings_disprove() -> None:
    """Property: the same points, and the same doubts, as without it. A gauge's slip alone explains it."""
    sheet = steered()
    alone, curved = fit(sheet), fit(replace(sheet, curves=(counted(sheet, "both wheels"),)))
    assert curved.curved is not None
    assert curved.curved.counts == (False,)
    for key, place in alone.axle.points.items():
        np.testing.assert_array_equal(curved.axle.points[key], place)
    np.testing.assert_allclose(curved.doubt.standard_deviation, alone.doubt.standard_deviation)
    assert spread_beyond(curved) == spread_beyond(alone) == 1.0


def test_doubts_grow_where_either_may_be_wrong() -> None:
    """Readings that place the rack's joint 6 mm too low, and a right curve: the true bump steer lies beyond what the
    readings alone are sure of, and within what is told of them."""
    real = steered(up=12.0).axle
    found = fit(replace(steered(up=6.0), curves=(read_curve(real),)))
    assert found.curved is not None
    assert found.curved.counts == (False,)
    assert all(one.disputed for one in found.curved.misfits)
    value, deviation = bump_steer(found)
    off = abs(value - truth_of(real))
    assert off > 1.96 * deviation
    assert off < 1.96 * spread_beyond(found) * deviation


@pytest.mark.campaign
def test_they_grow_enough_on_other_cars() -> None:
    """95 % intervals of bump steer hold the truth, readings being wrong by 6 mm: of 20 all but one."""
    held = 0
    for seed in range(20):
        real = steered(200 + seed, 12.0).axle
        found = fit(replace(steered(200 + seed, 6.0), curves=(read_curve(real, seed=seed),)))
        value, deviation = bump_steer(found)
        held += abs(value - truth_of(real)) < 1.96 * spread_beyond(found) * deviation
    assert held >= 19


def high(sheet: Survey) -> tuple[Survey, int]:
    """With the tie rod's outer joint read an inch too high, and which reading that is."""
    index = next(i for i, one in enumerate(sheet.readings) if str(one) == "up tie_rod_outer")
    wrong = replace(sheet.readings[index], reads=sheet.readings[index].reads + 25.4)
    return replace(sheet, readings=(*sheet.readings[:index], wrong, *sheet.readings[index + 1 :])), index


def blamed(of: tuple[int, ...], cause: Cause = Cause.MISREAD) -> Culprit:
    return Culprit((Explanation(Slip(cause, of), (), 1.0, 1.0),), 0.0, 0.0, 1.0)


def test_a_right_curve_beside_a_misread_height_is_not_accused() -> None:
    """With the height set aside it agrees; where no reading stands out, it is not judged."""
    sheet, index = high(steered())
    found = fit(replace(sheet, curves=(read_curve(sheet.axle),)))
    assert found.curved is not None
    assert found.curved.misfits
    beside = curves_standing(found, (blamed((index,)),))
    assert beside.aside == (index,)
    assert not beside.misfits
    assert beside.chances[0] > 0.01
    waiting = curves_standing(found, (blamed((), Cause.SCATTER),))
    assert (waiting.chances, waiting.misfits) == ((None,), ())


@pytest.mark.campaign
def test_a_turned_curve_beside_a_misread_height_is_still_told() -> None:
    sheet, index = high(steered())
    right = read_curve(sheet.axle)
    found = fit(replace(sheet, curves=(replace(right, reads=-right.reads),)))
    (told,) = curves_standing(found, (blamed((index,)),)).misfits
    assert told.slips[0].cause is CurveCause.TURNED


@pytest.mark.campaign
def test_few_right_curves_are_left_out() -> None:
    """Of 200 right curves one in a hundred lies so far off by chance: at most 7 (binomial, 99.9 %)."""
    out = 0
    for seed in range(200):
        survey = sheet_survey("strut", 4000 + seed)
        found = fit(replace(survey, curves=(read_curve(survey.axle, seed=seed),)))
        assert found.curved is not None
        out += found.curved.counts != (True,)
    assert out <= 7


def in_file(sheet: Survey, curve: Curve, unit=MM) -> str:
    table = ", ".join(f"[{at:g}, {read:.4f}]" for at, read in in_rows(curve, 1.0 / unit.in_mm))
    return written(sheet, f"table = [{table}]", unit)


@pytest.mark.campaign
def test_on_the_screen_and_at_the_head_of_the_car_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Toe typed in inches at the rim; the curve is left out, and both say so. The points are those without it.

    A point elsewhere would explain it too: until it is known which, doubts grow, and the document says both.
    """
    monkeypatch.chdir(tmp_path)
    sheet = sheet_survey("strut", SEED, INCH, steered(up=25.0).axle)
    Path("rim.toml").write_text(in_file(sheet, counted(sheet, "inches at the rim"), INCH), encoding="utf-8")
    assert main(["survey", "rim.toml", "rim_car.toml"]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "The toe over travel, left curve does NOT agree with them, and is left out." in out
    assert "toe may be a length at the gauge's plates or the rim, not degrees" in out
    assert "WARNING until that is mended, the points are fitted without toe over travel, left" in out
    head = Path("rim_car.toml").read_text(encoding="utf-8").splitlines()
    assert head[1] == (
        "# front: left out, as the other readings do NOT agree with it: toe over travel, left. Mend the survey first."
    )
    (times,) = re.findall(
        "# front: until it is known which is wrong, the readings or the curve, doubts count (.*) times as large.",
        head[2],
    )
    doubt = read_car("rim_car.toml").front.doubt
    assert doubt is not None
    assert float(times) == pytest.approx(doubt.scatter, abs=0.051)
    capsys.readouterr()
    assert main(["survey", "rim.toml", "--json"]) == 1
    (axle,) = json.loads(capsys.readouterr().out)["axles"]
    assert [one["counts"] for one in axle["curves"]] == [False]
    assert [one["codes"] for one in axle["curve_suspects"]] == [["length", "moved"]]
    text = Path("rim.toml").read_text(encoding="utf-8")
    before, _, rest = text.partition("[[front.curves]]")
    Path("none.toml").write_text(before + rest[rest.index("# Degrees. camber:") :], encoding="utf-8")
    assert main(["survey", "none.toml", "none_car.toml"]) == 0
    fitted = [
        Path(name).read_text(encoding="utf-8").split("[front.points]")[1] for name in ("rim_car.toml", "none_car.toml")
    ]
    assert fitted[0].split("[", 1)[0] == fitted[1].split("[", 1)[0]


@pytest.mark.campaign
def test_beside_a_slip_on_the_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A right curve and a height read an inch too high: the height alone is suspect. Chances of curves with --all."""
    monkeypatch.chdir(tmp_path)
    sheet = sheet_survey("strut", SEED, INCH, steered(up=25.0).axle)
    Path("high.toml").write_text(in_file(high(sheet)[0], read_curve(sheet.axle), INCH), encoding="utf-8")
    assert main(["survey", "high.toml", "--all"]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "SUSPECT either no. 29 (up tie_rod_outer)" in out
    assert "SUSPECT toe over travel" not in out
    assert "curve does" not in out
    assert "set aside, it agrees (of sound curves " in out
