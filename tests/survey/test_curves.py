"""Curves read with a gauge, fitted together with a sheet's readings: against the truth, closed forms and planted slips.

The sheets are of invented strut cars; each curve is swept on the true car, with a gauge's errors and a zero of its own.
"""

import csv
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kinematics import read_car
from kinematics.car.car import Axle
from kinematics.car.lengths import INCH, MM
from kinematics.car.limits import Limits
from kinematics.doubt.assessment import assess
from kinematics.doubt.question import AT_RIDE_HEIGHT
from kinematics.inputs.reading.faults import InputFaultError
from kinematics.inputs.survey.survey_file import read_survey
from kinematics.survey.curve_misfit import CurveMisfit
from kinematics.survey.curve_slips import CurveCause, MovedPoint
from kinematics.survey.curves import Curve, CurveOf
from kinematics.survey.fit import SurveyFit, fit
from kinematics.survey.missing import missing
from kinematics.survey.readings import Survey, rows
from kinematics.sweeps.body import sweep_bump
from kinematics.sweeps.rack import sweep_steer
from reports.command_line import main
from reports.figures.survey_curves import survey_curves
from reports.words.survey_curves import misfit_words
from solvers.vectors import Array
from tests.short_run import at_places
from tests.survey.sheet_surveys import as_file, sheet_survey

NINE = np.linspace(-60.0, 60.0, 9)
GAUGE = np.radians(0.02)
SEED = 7


def read_curve(axle: Axle, of: CurveOf = "toe", seed: int = 1, zero: float = 0.01, doubt: float = GAUGE) -> Curve:
    """What a gauge shows on a car, swept here by its public name."""
    column = {"toe": "toe", "camber": "camber", "wheel_out": "wheel_centre_y", "wheel_ahead": "wheel_centre_x"}[of]
    shown = sweep_bump(axle, NINE)[column][0]
    return Curve(of, "travel", 0, NINE, shown + zero + doubt * np.random.default_rng(seed).normal(size=9), doubt)


def careful(seed: int, axle: Axle | None = None) -> Survey:
    """A sheet read more closely: each reading's error, and its doubt, 0.4 of what is usual."""
    exact, usual = (sheet_survey("strut", seed, axle=axle, exact=exact) for exact in (True, False))
    closer = (
        replace(right, reads=right.reads + 0.4 * (read.reads - right.reads), doubt=0.4 * read.doubt)
        for right, read in zip(exact.readings, usual.readings, strict=True)
    )
    return replace(exact, readings=tuple(closer))


def misfits(survey: Survey) -> tuple[CurveMisfit, ...]:
    found = fit(survey)
    assert found.curved is not None
    return found.curved.misfits


def bump_steer(found: SurveyFit) -> tuple[float, float]:
    """At ride height, and one standard deviation of it [rad/mm]."""
    told = assess(replace(found.axle, doubt=found.doubt), AT_RIDE_HEIGHT, Limits())
    assert told is not None
    number = told.first["ride height", "bump_steer"]
    return float(number.value.ravel()[0]), float(number.standard_deviation.ravel()[0])


def truth_of(axle: Axle) -> float:
    return float(sweep_bump(axle, [0.0])["bump_steer"][0, 0])


@pytest.fixture(scope="module")
def sheet() -> Survey:
    return sheet_survey("strut", SEED)


def test_nine_toe_readings_make_bump_steer_five_times_as_sure(sheet: Survey) -> None:
    alone, true = fit(sheet), truth_of(sheet.axle)
    curved = fit(replace(sheet, curves=(read_curve(sheet.axle),)))
    (_, before), (value, after) = bump_steer(alone), bump_steer(curved)
    assert after < before / 5.0
    assert abs(value - true) < 3.0 * after


def test_the_joint_fit_is_the_least_squares_with_a_zero_written_out(sheet: Survey) -> None:
    """Formula: the zero as one unknown more. Normal equations with it, from slopes by differences, give the same
    covariance, and at the fit no step is left."""
    curve = read_curve(sheet.axle)
    found = fit(replace(sheet, curves=(curve,)))
    assert found.curved is not None
    at, model = found.curved.solved.parameters, found.curved.model
    every_row = rows(found.survey).from_start(at)
    own = np.vstack([_slopes(every_row.predicted, at), _slopes(lambda one: model.shown(one)[0], at)])
    zero = np.concatenate([np.zeros(len(every_row.reads)), np.ones(9)])
    doubts = np.concatenate([every_row.doubts, np.full(9, GAUGE)])
    slopes = np.column_stack([own, zero]) / doubts[:, None]
    shown = model.shown(at)[0]
    off = np.concatenate([every_row.residuals(at), curve.reads - shown - (curve.reads - shown).mean()]) / doubts
    covariance = np.linalg.inv(slopes.T @ slopes)
    step = covariance @ slopes.T @ off
    assert np.abs(step[:-1] / np.sqrt(np.diag(covariance))[:-1]).max() < 1e-4
    np.testing.assert_allclose(found.curved.solved.covariance, covariance[:-1, :-1], rtol=1e-4, atol=1e-6)
    # Readings less unknowns, the zero among them; and what each reading leaves checked.
    assert found.freedoms == len(off) - at.size - 1
    leverage = np.einsum("ij,jk,ik->i", slopes, covariance, slopes)
    np.testing.assert_allclose(found.curved.solved.leverage, leverage, atol=1e-5)


def _slopes(of, at: Array) -> Array:
    steps = 1e-3 * np.eye(at.size)
    return np.stack([(of(at + step) - of(at - step)) / 2e-3 for step in steps], axis=1)


def test_a_point_that_no_tape_reaches() -> None:
    """Nothing tells how high the rack's joint lies but the toe over travel."""
    sheet = sheet_survey("strut", SEED)
    unread = ("up tie_rod_inner", "angle tie_rod_inner to tie_rod_outer")
    readings = tuple(one for one in sheet.readings if str(one) not in unread and "tie_rod_inner" not in str(one)[:5])
    readings = tuple(
        one for one in readings if not (one.kind == "tape" and "tie_rod_inner" in one.of and len({*one.of}) == 2)
    )
    without = replace(sheet, readings=readings)
    assert any(one.name == "tie_rod_inner" and "up" in one.ways for one in missing(fit(without)).open)
    curved = fit(replace(without, curves=(read_curve(sheet.axle),)))
    assert not missing(curved).open
    height = curved.axle.points["tie_rod_inner"][0, 2]
    deviation = next(
        sd
        for one, sd in zip(curved.doubt.coordinates, curved.doubt.standard_deviation, strict=True)
        if (one.of, one.way) == ("tie_rod_inner", "up")
    )
    assert deviation < 5.0
    assert abs(height - sheet.axle.points["tie_rod_inner"][0, 2]) < 4.0 * deviation


def four_mm(seed: int) -> tuple[Survey, tuple[CurveMisfit, ...]]:
    """The sheet of a car whose rack's joint lies 4 mm higher than was read, and what nine toe readings say of it."""
    survey = careful(seed)
    real = raised(survey.axle)
    return survey, misfits(replace(survey, curves=(read_curve(real, seed=seed),)))


def raised(axle: Axle) -> Axle:
    """With the rack's joint 4 mm higher."""
    points = {key: place.copy() for key, place in axle.points.items()}
    points["tie_rod_inner"][:, 2] += 4.0
    return replace(axle, points=points)


def points(misfit: CurveMisfit) -> list[MovedPoint]:
    return [one.moved for one in misfit.slips if one.moved is not None]


def test_a_tie_rod_four_mm_off_is_found() -> None:
    """Of the rod's two ends each would do, one up or the other down."""
    _, (told,) = four_mm(SEED)
    assert told.disputed
    by = {(one.coordinate.of, one.coordinate.way): one for one in points(told)}
    rod = [one for (of, way), one in by.items() if way == "up" and of.startswith("tie_rod")]
    assert rod
    for one in rod:
        up = one.by if one.coordinate.of == "tie_rod_inner" else -one.by
        assert abs(up - 4.0) < 3.0 * one.known_to
        way = "higher" if one.by > 0.0 else "lower"
        assert f"{one.coordinate.of} {abs(one.by):.1f} mm {way} than the readings make it" in misfit_words(told, MM)


def test_a_sound_curve_beside_it_tells_more() -> None:
    """A right camber curve is not accused. It hardly knows of the rod, which is told as without it; but of the ball
    joint, which would do for toe alone, it knows that it lies where it was read."""
    survey, (alone,) = four_mm(SEED)
    curves = (read_curve(raised(survey.axle), seed=SEED), read_curve(survey.axle, "camber"))
    (told,) = misfits(replace(survey, curves=curves))
    assert [one.of for one in told.curves] == ["toe"]
    before, after = ({(one.coordinate.of, one.coordinate.way) for one in points(each)} for each in (alone, told))
    assert ("tie_rod_inner", "up") in before & after
    assert ("lower_ball_joint", "up") in before - after


@pytest.mark.campaign
def test_it_is_found_on_other_cars() -> None:
    """Found, when run: 20 of 20."""
    found = 0
    for seed in range(20):
        _, told = four_mm(100 + seed)
        moved = [one.coordinate for each in told for one in points(each)]
        found += any(one.of.startswith("tie_rod") and one.way == "up" for one in moved)
    assert found >= 18


def test_a_curve_of_the_car_itself_agrees(sheet: Survey) -> None:
    curves = (
        read_curve(sheet.axle),
        read_curve(sheet.axle, "camber", 2),
        read_curve(sheet.axle, "wheel_out", 3, doubt=0.5),
    )
    curved = fit(replace(sheet, curves=curves)).curved
    assert curved is not None
    assert not curved.misfits
    assert min(curved.chances) > 0.01
    assert curved.counts == (True, True, True)


PLANTED = {
    "turned": (
        lambda one: replace(one, reads=-one.reads),
        (CurveCause.TURNED, 1.0),
        "it would with every reading's sign turned (toe-in is positive)",
    ),
    "travel turned": (
        lambda one: replace(one, at=-one.at),
        (CurveCause.TRAVEL_TURNED, 1.0),
        "it would with the sign of every travel turned (bump is positive)",
    ),
    "minutes": (
        lambda one: replace(one, reads=60.0 * one.reads),
        (CurveCause.OTHER_UNIT, 1.0 / 60.0),
        "it would with every reading divided by 60, as if it were in minutes of arc; degrees are wanted",
    ),
    "inches": (
        lambda one: replace(one, at=one.at / 25.4),
        (CurveCause.TRAVEL_UNIT, 25.4),
        "it would with every travel multiplied by 25.4, as if it were in inches; the file counts in mm",
    ),
    "jump": (
        lambda one: replace(one, reads=one.reads + np.where(NINE > 20.0, np.radians(0.3), 0.0)),
        (CurveCause.JUMP, 1.0),
        "it would but for a jump of 0.",
    ),
}


@pytest.mark.parametrize("what", at_places(PLANTED, 0, 3))
def test_what_is_wrong_with_a_curve_is_told(what: str, sheet: Survey) -> None:
    spoil, cause, words = PLANTED[what]
    (told,) = misfits(replace(sheet, curves=(spoil(read_curve(sheet.axle)),)))
    slip = told.slips[0]
    assert (slip.cause, slip.factor) == cause
    said = misfit_words(told, MM)
    assert said.startswith("toe over travel, left does not agree with the other readings: ")
    assert words in said
    if slip.cause is CurveCause.JUMP:
        assert "between +15.0 mm and +30.0 mm, as if the gauge had moved" in said
        assert slip.between == (15.0, 30.0)
        assert np.degrees(slip.jump) == pytest.approx(0.3, abs=0.1)


def written(survey: Survey, table: str, unit=MM) -> str:
    curve = f'[[front.curves]]\nof = "toe"\nknown_to = 0.02\n{table}\n\n# Degrees. camber:'
    return as_file(survey, unit).replace("# Degrees. camber:", curve)


def in_rows(curve: Curve, scale: float = 1.0) -> list[tuple[float, float]]:
    return [
        (round(at * scale, 4), round(float(np.degrees(read)), 4))
        for at, read in zip(curve.at, curve.reads, strict=True)
    ]


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
def test_in_a_file_and_back(sheet: Survey, capsys: pytest.CaptureFixture[str]) -> None:
    """In inches, with the curve in a CSV as a spreadsheet of another country writes it; the table that is written has
    the readings, and what the car as written shows when it is swept."""
    curve = read_curve(sheet.axle)
    lines = [f"{at:.4f};{read:.4f}".replace(".", ",") for at, read in in_rows(curve, 1.0 / 25.4)]
    Path("toe.csv").write_text("travel;toe\n" + "\n".join(lines) + "\n", encoding="utf-8")
    Path("survey.toml").write_text(
        written(sheet_survey("strut", SEED, INCH), 'file = "toe.csv"', INCH), encoding="utf-8"
    )
    assert main(["survey", "survey.toml", "car.toml"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "toe over travel, left: 9 readings, typically 0.0" in out
    assert "off the fitted car, which is as near as its doubt of 0.02 deg allows: it agrees" in out
    assert "chance" not in out
    read = read_survey("survey.toml").surveys[0].curves[0]
    np.testing.assert_allclose(read.at, NINE, atol=2e-3)
    np.testing.assert_allclose(read.reads, curve.reads, atol=1e-6)
    table = list(csv.DictReader(Path("car_curves.csv").read_text(encoding="utf-8").splitlines()))
    assert [float(row["at"]) for row in table] == pytest.approx((NINE / 25.4).tolist(), abs=1e-4)
    swept = np.degrees(sweep_bump(read_car("car.toml").front, NINE)["toe"][0])
    fitted = np.array([float(row["fitted"]) for row in table])
    np.testing.assert_allclose(fitted - fitted.mean(), swept - swept.mean(), atol=2e-4)
    told = {(row["axle"], row["curve"], row["over"], row["side"], row["at_unit"], row["unit"]) for row in table}
    assert told == {("front", "toe", "travel", "left", "in", "deg")}
    assert [float(row["doubt"]) for row in table] == pytest.approx([0.02] * 9)
    off_by = np.array([float(row["off_by"]) for row in table])
    np.testing.assert_allclose(off_by, np.degrees(read.reads) - fitted, atol=1e-9)
    assert Path("car_front_curves.svg").read_text(encoding="utf-8").count("as read") >= 1


BAD_TABLES = {
    "bad.csv": "travel,toe\n10,0.1\n20,high\n",
    "first.csv": "-10,o.1\n0,0.2\n10,0.3\n20,0.4\n",  # no line of titles: one has no number at all
    "commas.csv": "travel,toe\n-10,0,1\n0,0,2\n10,0,3\n",
    "far.csv": "travel,toe\n1e300,0.1\n0,0.2\n10,0.3\n",
    "quoted.csv": '"' + "1" * 200_000,  # longer than a field may be
    "bell.csv": "travel,toe\n-10,0.1\x07\n",
}


@pytest.mark.usefixtures("garage")
@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("table = [[0, 0.1]]", "has 1 travel; at least 3 are needed"),
        ("table = [[-500, 0.1], [0, 0.2], [600, 0.3]]", "where the linkage as measured does not reach"),
        ("", "has neither; give `table`"),
        ('table = [[0, 0.1], [1, 0.2], [2, 0.3]]\nfile = "a.csv"', "read both; give `table`"),
        ('file = "none.csv"', "cannot read"),
        ('file = "bad.csv"', 'line 3: read "20,high"; two numbers are allowed'),
        ('file = "first.csv"', 'line 1: read "-10,o.1"; two numbers are allowed'),
        ('file = "commas.csv"', 'line 2: read "-10,0,1"; two numbers are allowed'),
        ('file = "far.csv"', 'line 2: read "1e300,0.1"; two numbers are allowed'),
        ('file = "quoted.csv"', "line 1 is not CSV"),
        ('file = "bell.csv"', "without the control character"),
        ('over = "camber"\ntable = [[-10, 0.1], [0, 0.2], [10, 0.3]]', '"travel" or "rack"'),
        ("table = [[-10, 70.0], [0, 71.0], [10, 72.0]]", "toe is in degrees, -60 to 60 are allowed"),
    ],
)
def test_bad_curves(table: str, told: str, sheet: Survey, capsys: pytest.CaptureFixture[str]) -> None:
    for name, text in BAD_TABLES.items():
        Path(name).write_text(text, encoding="utf-8")
    Path("survey.toml").write_text(written(sheet, table), encoding="utf-8")
    assert main(["survey", "survey.toml", "car.toml"]) == 2
    error = " ".join(capsys.readouterr().err.split())
    assert told in error
    assert "front.curves 1" in error
    assert not Path("car.toml").exists()


@pytest.mark.usefixtures("garage")
@pytest.mark.parametrize("known_to", ["0", "-0.1", None])
def test_a_doubt_of_zero_or_none(known_to: str | None, sheet: Survey) -> None:
    text = written(sheet, "table = [[-10, 0.1], [0, 0.2], [10, 0.3]]")
    line = "" if known_to is None else f"known_to = {known_to}"
    Path("survey.toml").write_text(text.replace("known_to = 0.02", line), encoding="utf-8")
    with pytest.raises(InputFaultError, match="known_to"):
        read_survey("survey.toml")


def test_a_type_without_a_rack(garage: Path) -> None:
    text = as_file(sheet_survey("trailing arm", 3), MM).replace("[front", "[rear")
    curve = '[[rear.curves]]\nof = "toe"\nover = "rack"\nknown_to = 0.02\ntable = [[-5, 0.1], [0, 0.2], [5, 0.3]]\n'
    (garage / "survey.toml").write_text(f"{text}\n{curve}", encoding="utf-8")
    with pytest.raises(InputFaultError, match="a trailing arm has no rack"):
        read_survey("survey.toml")


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
def test_the_right_wheel_over_the_rack(sheet: Survey, capsys: pytest.CaptureFixture[str]) -> None:
    """Read off the true car here by its public name; in the document under its own names."""
    rack = np.linspace(-20.0, 20.0, 5)
    toe = np.degrees(sweep_steer(sheet.axle, rack)["toe"][1]) + 0.3
    table = ", ".join(f"[{at:g}, {read:.3f}]" for at, read in zip(rack, toe, strict=True))
    text = written(sheet, f'over = "rack"\nside = "right"\ntable = [{table}]')
    Path("survey.toml").write_text(text, encoding="utf-8")
    assert main(["survey", "survey.toml", "--json"]) == 0
    (axle,) = json.loads(capsys.readouterr().out)["axles"]
    (told,) = axle["curves"]
    assert (told["curve"], told["over"], told["side"], told["unit"]) == ("toe", "rack", "right", "deg")
    assert axle["curve_suspects"] == []
    assert told["chance"] > 0.01
    assert told["at"] == rack.tolist()
    assert told["read"] == pytest.approx(toe, abs=5e-4)
    swept = np.degrees(sweep_steer(fit(read_survey("survey.toml").surveys[0]).axle, rack)["toe"][1])
    fitted = np.array(told["fitted"])
    np.testing.assert_allclose(fitted - fitted.mean(), swept - swept.mean(), atol=1e-6)


def test_a_turned_curve_in_words(
    sheet: Survey, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    table = ", ".join(f"[{at:g}, {-read:.4f}]" for at, read in in_rows(read_curve(sheet.axle)))
    Path("survey.toml").write_text(written(sheet, f"table = [{table}]"), encoding="utf-8")
    assert main(["survey", "survey.toml"]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "SUSPECT toe over travel, left does not agree with the other readings: " in told
    assert "it would with every reading's sign turned (toe-in is positive)" in told


def test_the_figure_shows_readings_and_both_cars(sheet: Survey) -> None:
    curve = read_curve(sheet.axle)
    found = fit(replace(sheet, curves=(curve,)))
    assert found.curved is not None
    (axes,) = survey_curves(found, "my car", INCH).axes
    dots, fitted, alone = axes.lines[0], axes.lines[-2], axes.lines[-1]
    np.testing.assert_allclose(dots.get_xdata(), NINE / 25.4)
    np.testing.assert_allclose(dots.get_ydata(), np.degrees(curve.reads))
    np.testing.assert_allclose(fitted.get_ydata(), np.degrees(found.curved.after[0]))
    np.testing.assert_allclose(alone.get_ydata(), np.degrees(found.curved.before[0]))
    assert axes.get_xlabel() == "wheel travel [in]"
    assert axes.get_ylabel() == "toe [deg]"


@pytest.mark.campaign
def test_intervals_cover_the_truth_with_curves() -> None:
    """Of 400 surveys with a toe curve, 95 % intervals of bump steer: 93 to 97 % hold the truth. Found, when run on 200:
    190."""
    count, held = 400, 0
    for seed in range(count):
        survey = sheet_survey("strut", 2000 + seed)
        value, deviation = bump_steer(fit(replace(survey, curves=(read_curve(survey.axle, seed=seed),))))
        held += abs(value - truth_of(survey.axle)) < 1.96 * deviation
    assert 0.93 <= held / count <= 0.97
