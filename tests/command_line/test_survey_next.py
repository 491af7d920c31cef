"""`survey --next`: what to measure besides, as a person reads it, held against surveys with these readings in."""

import json
import re
from dataclasses import replace
from itertools import takewhile
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

from kinematics import Limits, Question, assess, fit, read_survey, sweep_bump
from kinematics.car.lengths import INCH, MM
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.demo_cars import demo_text
from kinematics.survey.readings import Survey
from reports.command_line import main
from tests.short_run import at_places
from tests.survey.invented_surveys import truth
from tests.survey.sheet_surveys import as_file, sheet_survey

SURVEY = demo_text("lowered_coupe_survey.toml")
SLOPE = '  { angle = ["lower_pivot_front", "lower_pivot_rear"], reads = SLOPE },\n'


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "160")
    (tmp_path / "survey.toml").write_text(SURVEY, encoding="utf-8")
    return tmp_path


def asked(capsys: pytest.CaptureFixture[str], *words: str, status: int = 0, file: str = "survey.toml") -> str:
    capsys.readouterr()
    assert main(["survey", file, "--next", *words]) == status
    return capsys.readouterr().out


def table(told: str) -> list[list[str]]:
    """The rows of the list: order, number on the sheet or "", reading, good to, before, after."""
    lines = told.splitlines()
    start = next(at for at, line in enumerate(lines) if "read next" in line)
    found = []
    for line in lines[start + 2 :]:
        if not line.strip():
            break
        match = re.fullmatch(r"\s*(\d+)\s+(\d*)\s+(\S.*?)\s{2,}(\S.*?)\s{2,}± (\S+)\s+± (\S+)\s*", line)
        assert match is not None, line
        found.append(list(match.groups()))
    return found


def either_way(text: str, number: str = "roll_centre_height") -> float:
    """The number's 95 % by a fit of its own, in the file's unit: 1.96 standard deviations from SciPy."""
    Path("fitted.toml").write_text(text, encoding="utf-8")
    read = read_survey("fitted.toml")
    found = fit(read.surveys[0])
    study = assess(replace(found.axle, doubt=found.doubt), Question(), Limits())
    scale = study.about(number).dimension.scale(read.car.unit)
    return float(norm.ppf(0.975) * study.first["ride height", number].standard_deviation.max() * scale)


def with_lines(text: str, *lines: str) -> str:
    return text.replace("  { track", f"{''.join(lines)}  {{ track", 1)


def slope_line() -> str:
    """The slope of the lower arm's pivot axis as the fitted points show it."""
    survey = read_survey("survey.toml").surveys[0]
    found = fit(survey)
    front, rear = (found.axle.points[key][0] for key in ("lower_pivot_front", "lower_pivot_rear"))
    way = rear - front
    return SLOPE.replace("SLOPE", f"{np.degrees(np.arctan2(way[2], np.hypot(way[0], way[1]))):.6f}")


def toe_curve() -> str:
    """A gauge's curve of the fitted car's toe, exact, good to 0.02 deg, as it stands in a survey file."""
    survey = read_survey("survey.toml").surveys[0]
    at = np.linspace(-60.0, 60.0, 9)
    toe = np.degrees(sweep_bump(fit(survey).axle, at)["toe"][0])
    values = ", ".join(f"[{travel:g}, {one:.6f}]" for travel, one in zip(at, toe, strict=True))
    return f'\n[[front.curves]]\nof = "toe"\nover = "travel"\nside = "left"\nknown_to = 0.02\ntable = [{values}]\n'


@pytest.mark.usefixtures("garage")
def test_the_first_reading_typed_in_makes_the_number_as_well_known_as_told(capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(capsys)
    first, second, *_ = table(told)
    assert first[:4] == ["1", "54", "lower pivot front to lower pivot rear, slope", "0.2 deg"]
    assert second[:4] == ["2", "50", "lower arm, its slope, again", "0.2 deg"]
    assert float(first[4]) == pytest.approx(either_way(SURVEY), abs=0.051)
    assert first[5] == second[4]
    line = slope_line()
    assert float(first[5]) == pytest.approx(either_way(with_lines(SURVEY, line)), abs=0.051)
    arm = next(each for each in SURVEY.splitlines(keepends=True) if "angle" in each and "lower_ball_joint" in each)
    assert float(second[5]) == pytest.approx(either_way(with_lines(SURVEY, line, arm)), abs=0.06)


@pytest.mark.usefixtures("garage")
def test_the_answer_comes_first_in_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(capsys, "--within", "5")
    answer = " ".join(told.splitlines()[:2])
    rows_told = table(told)
    assert answer.startswith("Two further readings would bring the front axle's roll-centre height from ± 7.5 mm to ")
    assert f"to ± {rows_told[-1][5]} mm, within ± 5 mm." in answer
    assert len(rows_told) == 2
    assert float(rows_told[0][5]) > 5.0
    assert "fitted points" not in told


@pytest.mark.usefixtures("garage")
def test_what_no_reading_reaches_and_a_gauge_does(capsys: pytest.CaptureFixture[str]) -> None:
    """The gauge's curve, exact and of the doubt that is told, is then typed into the survey and all fitted anew."""
    told = " ".join(asked(capsys, "--about", "bump_steer", "--within", "0.002").split())
    answer = re.search(
        r"Not even the best twelve further readings bring the front axle's bump steer within ± 0.002 deg/mm: "
        r"± (\S+) deg/mm is left of ± (\S+) deg/mm. A gauge does: a toe curve over travel makes it ± (\S+) deg/mm.",
        told,
    )
    assert answer is not None
    left, now, gauge = map(float, answer.groups())
    assert gauge < 0.002 < left < now
    assert "read next" not in told  # readings that do not get there are no advice beside it
    assert "read with a gauge at 9 travels up to 60 mm either way, each to 0.02 deg" in told
    assert gauge == pytest.approx(either_way(SURVEY + toe_curve(), "bump_steer"), rel=0.02)


@pytest.mark.usefixtures("garage")
def test_a_gauge_is_told_where_it_takes_the_place_of_a_list(capsys: pytest.CaptureFixture[str]) -> None:
    """Within 0.004 deg/mm two readings do; the toe gauge by itself does better, and is told with both doubts."""
    told = " ".join(asked(capsys, "--about", "bump_steer", "--within", "0.004").split())
    assert told.startswith("Two further readings would bring the front axle's bump steer from ± 0.0092 deg/mm to ")
    gauge = re.search(r"A toe curve read .* would make it ± (\S+) deg/mm by itself, with these readings ± ", told)
    assert gauge is not None
    assert float(gauge[1]) < 0.001
    assert "A camber curve" not in told


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
def test_a_gauge_that_helps_only_with_the_list(capsys: pytest.CaptureFixture[str]) -> None:
    """Twelve readings leave 3.3 mm of the roll centre's doubt; with the toe curve it is 3.1, and by itself that does
    little: as much as the survey with the curve typed in."""
    told = " ".join(asked(capsys, "--within", "3.25").split())
    assert "With a toe curve over travel besides it is ± 3.1 mm." in told
    gauge = re.search(r"A toe curve read .*? would make it ± (\S+) mm by itself, with these readings ± (\S+) mm", told)
    assert gauge is not None
    assert gauge[2] == "3.1"
    assert float(gauge[1]) == pytest.approx(either_way(SURVEY + toe_curve()), abs=0.06)


@pytest.mark.usefixtures("garage")
def test_no_gauge_is_told_where_nothing_need_be_measured(capsys: pytest.CaptureFixture[str]) -> None:
    assert "gauge" not in asked(capsys, "--about", "bump_steer", "--within", "0.02")


@pytest.mark.usefixtures("garage")
def test_a_title_will_do_for_a_key(capsys: pytest.CaptureFixture[str]) -> None:
    assert table(asked(capsys, "--about", "bump steer")) == table(asked(capsys, "--about", "bump_steer"))


@pytest.mark.usefixtures("garage")
def test_a_wheels_angle_read_again(capsys: pytest.CaptureFixture[str]) -> None:
    """Formula: camber known to 0.1 deg (the file's own), read twice in all, is known to 0.1 over the root of two."""
    told = asked(capsys, "--about", "camber")
    first = table(told)[0]
    assert first[1:4] == ["6", "camber, each wheel, again", "0.1 deg"]
    assert float(first[4]) == pytest.approx(norm.ppf(0.975) * 0.1, abs=6e-4)
    assert float(first[5]) == pytest.approx(norm.ppf(0.975) * 0.1 / np.sqrt(2.0), abs=6e-4)
    assert "write the mean" in told


@pytest.mark.usefixtures("garage")
def test_what_is_known_well_enough(capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(capsys, "--within", "9")
    assert "is known to ± 7.5 mm as it is, within ± 9 mm" in " ".join(told.split())
    assert "read next" not in told


def test_slips_are_to_be_cleared_up_first(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "slip.toml").write_text(SURVEY.replace("reads = 611.5", "reads = 651.5"), encoding="utf-8")
    told = asked(capsys, "--within", "4", status=1, file="slip.toml")
    assert "at the front axle is told once its readings agree: first clear up what" in " ".join(told.splitlines()[:2])
    assert "SUSPECT  tape strut_top to lower_ball_joint" in told
    assert "read next" not in told


def test_open_points_come_before_it(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = [line for line in SURVEY.splitlines() if '"tie_rod_inner"' not in line or "up =" in line]
    (garage / "open.toml").write_text("\n".join(lines), encoding="utf-8")
    assert main(["survey", "open.toml", "--next"]) == 2
    assert "read besides" in capsys.readouterr().err


def test_the_car_file_is_written_all_the_same(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(capsys, "car.toml")
    assert (garage / "car.toml").is_file()
    assert "wrote car.toml" in told


@pytest.mark.usefixtures("garage")
def test_quiet_is_the_answer_alone(capsys: pytest.CaptureFixture[str]) -> None:
    quiet = asked(capsys, "--within", "5", "--quiet").splitlines()
    assert quiet == asked(capsys, "--within", "5").splitlines()[: len(quiet)]
    assert len(quiet) <= 3


@pytest.mark.usefixtures("garage")
@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--next", "--about", "cambre"], "--about: this car has no number 'cambre'; did you mean camber?"),
        (["--next", "--about", ""], "--about: this car has no number ''"),
        (["--about", "camber"], "--about: goes with --next alone; add it"),
        (["--within", "3"], "--within: goes with --next alone; add it"),
        *(
            (["--next", f"--within={bad}"], "a doubt above 0 is allowed")
            for bad in ("0", "-3", "nan", "inf", "x", "1/0")
        ),
    ],
)
def test_what_is_refused(words: list[str], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    try:
        status = main(["survey", "survey.toml", *words])
    except SystemExit as ended:
        status = ended.code  # type: ignore[assignment]
    assert status == 2
    said = capsys.readouterr()
    assert told in said.err
    assert said.out == ""


def test_inches_tell_what_millimetres_tell(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same readings and wanted doubt in both units: the same list, doubts by 25.4, fractions as typed."""
    survey = sheet_survey("strut", 7, INCH)
    inches = as_file(survey, INCH).replace("# [instruments]", "[instruments]").replace("# tape = 0.08", 'tape = "1/16"')
    inches = inches.replace("# rule = 0.06", 'rule = "1/16"')
    mm = as_file(survey, MM).replace("# [instruments]", "[instruments]").replace("# tape = 2.0", "tape = 1.5875")
    mm = mm.replace("# rule = 1.5", "rule = 1.5875")
    for name, text in (("in.toml", inches), ("mm.toml", exactly(survey, mm))):
        (garage / name).write_text(text, encoding="utf-8")
    told = asked(capsys, "--within", "5/32", file="in.toml")
    ours, theirs = table(told), table(asked(capsys, "--within", "3.96875", file="mm.toml"))
    assert "within ± 5/32 in" in " ".join(told.split())
    assert [row[:3] for row in ours] == [row[:3] for row in theirs]
    for own, other in zip(ours, theirs, strict=True):
        assert float(own[4]) * 25.4 == pytest.approx(float(other[4]), abs=0.18)
        assert float(own[5]) * 25.4 == pytest.approx(float(other[5]), abs=0.18)
    lengths = {row[3] for row in ours if "deg" not in row[3]} | {"1/16 in"}
    assert lengths == {"1/16 in"}
    documents = []
    for name, within in (("in.toml", "5/32"), ("mm.toml", "3.96875")):
        documents.append(json.loads(asked(capsys, "--within", within, "--json", file=name))["next"][0])
    for one, other in zip(*(each["readings"] for each in documents), strict=True):
        assert one["reading"] == other["reading"]
        assert one["after"]["value"] * 25.4 == pytest.approx(other["after"]["value"], rel=1e-6)
    assert documents[0]["reached"] is True


def exactly(survey: Survey, text: str) -> str:
    """A file in mm whose readings are those of a survey to the last digit, in its order."""
    values = iter(f"{np.degrees(one.reads) if one.kind == 'angle' else one.reads:.9g}" for one in survey.readings)
    text = re.sub(r"(?<=reads = )-?[\d.]+|(?<=track = )-?[\d.]+", lambda _: next(values), text)
    assert next(values, None) is None
    return text


@pytest.mark.usefixtures("garage")
def test_the_document_is_empty_where_nothing_is_asked(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["survey", "survey.toml", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["next"] == []


@pytest.mark.parametrize("kind", ["strut", "live axle with three links"])
def test_a_blank_sheet_is_planned_on_the_typical_car(
    garage: Path, capsys: pytest.CaptureFixture[str], kind: str
) -> None:
    """As it is before any further reading: by a survey of the typical car itself, filled in to a tenth of a mm."""
    assert main(["sheet", kind.replace(" ", "-"), "blank.toml"]) == 0
    told = asked(capsys, file="blank.toml")
    assert "The survey is still blank, so this is of a typical car" in " ".join(told.split())
    known = SUSPENSIONS[kind].points
    points = {one.key: np.array([one.typical, one.other_side or one.typical], dtype=float) for one in known}
    for one in known:
        points[one.key][1, 1] *= 1.0 if one.single else -1.0
    axle = replace(truth(kind), points=points)
    filled = as_file(sheet_survey(kind, 1, axle=axle, exact=True), MM)
    assert float(table(told)[0][4]) == pytest.approx(either_way(filled), rel=0.02, abs=0.051)
    assert sorted(path.name for path in garage.iterdir()) == ["blank.toml", "fitted.toml", "survey.toml"]


def left_out(told: str) -> list[tuple[str, float]]:
    """What could be left out: number on the sheet, and the number's doubt without it and those above."""
    lines = told.splitlines()
    start = next(at for at, line in enumerate(lines) if "could be left out " in line and line.startswith("no."))
    rows = (re.fullmatch(r"\s*(\d+)   \S.*? ± (\S+)\s*", line) for line in lines[start + 2 :])
    return [(row[1], float(row[2])) for row in takewhile(bool, rows) if row]


@pytest.mark.usefixtures("garage")
@pytest.mark.parametrize("kind", at_places(["strut", "double wishbone", "trailing arm"], 0))
@pytest.mark.parametrize("number", ["roll_centre_height", "bump_steer"])
def test_what_could_be_left_out_is_left_out_and_all_fitted_again(
    capsys: pytest.CaptureFixture[str], kind: str, number: str
) -> None:
    """Their lines are taken away one after the other, and a survey of the typical car is fitted without them."""
    assert main(["sheet", kind.replace(" ", "-"), "blank.toml"]) == 0
    told = asked(capsys, "--about", number, file="blank.toml")
    known = SUSPENSIONS[kind].points
    points = {one.key: np.array([one.typical, one.other_side or one.typical], dtype=float) for one in known}
    for one in known:
        points[one.key][1, 1] *= 1.0 if one.single else -1.0
    axle = replace(truth(kind), points=points)
    # Wheels as a blank sheet counts them: upright and straight, read with a level.
    filled = re.sub(
        r"(camber|toe_in) = [-\d.]+", r"\1 = 0.0", as_file(sheet_survey(kind, 1, axle=axle, exact=True), MM)
    )
    whole = either_way(filled, number)
    decimals = [len(one[5].partition(".")[2]) for one in table(told)]
    spared = left_out(told)
    assert spared
    for at, then in spared:
        line = next(one for one in filled.splitlines() if one.endswith(f"# no. {at}"))
        filled = filled.replace(f"{line}\n", "")
        without = either_way(filled, number)
        # The sheet's readings are typed to a tenth of a mm: a hundredth of the doubt besides its last digit.
        assert then == pytest.approx(without, rel=0.01, abs=0.51 * 10.0 ** -max(decimals))
        assert without <= 1.06 * whole


@pytest.mark.usefixtures("garage")
def test_in_what_is_left_a_slip_still_shows(capsys: pytest.CaptureFixture[str]) -> None:
    """Sheet filled in, all of it left out that could be: of no reading that the sheet checks can 25 mm pass unseen."""
    assert main(["sheet", "strut", "blank.toml"]) == 0
    spared = [at for at, _ in left_out(asked(capsys, file="blank.toml"))]
    whole = as_file(sheet_survey("strut", 7), MM)
    fewer = "\n".join(one for one in whole.splitlines() if one.rpartition("# no. ")[2] not in spared)
    unseen = []
    for text in (whole, fewer):
        Path("fitted.toml").write_text(text, encoding="utf-8")
        found = fit(read_survey("fitted.toml").surveys[0])
        unseen.append(
            {one.name for one in found.readings if one.detectable > 25.0 and not one.name.startswith("angle")}
        )
    assert len(fit(read_survey("fitted.toml").surveys[0]).readings) == len(re.findall(r"(?m)^  \{", whole)) - len(
        spared
    )
    assert unseen[1] <= unseen[0]


@pytest.mark.usefixtures("garage")
def test_what_could_be_left_out_is_told_of_a_blank_sheet_alone(capsys: pytest.CaptureFixture[str]) -> None:
    assert "could be left out" not in asked(capsys)
    assert main(["sheet", "strut", "blank.toml"]) == 0
    told = asked(capsys, file="blank.toml")
    (answer,) = json.loads(asked(capsys, "--json", file="blank.toml"))["next"]
    rows = [(str(one["sheet_number"]), one["then"]["value"]) for one in answer["could_be_left_out"]]
    assert [(at, round(then, 1)) for at, then in rows] == left_out(told)


@pytest.mark.usefixtures("garage")
def test_of_a_blank_sheet_there_is_no_car_yet(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sheet", "strut", "blank.toml"]) == 0
    assert main(["survey", "blank.toml", "car.toml", "--next"]) == 2
    assert "still blank, so there is no car to write" in capsys.readouterr().err
    assert not Path("car.toml").exists()
    capsys.readouterr()
    told = json.loads(asked(capsys, "--json", file="blank.toml"))
    assert told["axles"] == []
    assert told["next"][0]["readings"]


@pytest.mark.usefixtures("garage")
def test_what_is_half_filled_in_is_not_guessed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sheet", "strut", "half.toml"]) == 0
    text = Path("half.toml").read_text(encoding="utf-8")
    Path("half.toml").write_text(text.replace('reads = "?"', "reads = 300", 1), encoding="utf-8")
    assert main(["survey", "half.toml", "--next"]) == 2
    assert "is still blank; fill it in, or take the line away (the reading of" in capsys.readouterr().err


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
def test_both_axles_have_a_list_of_their_own(capsys: pytest.CaptureFixture[str]) -> None:
    """A number that only the front axle has is told of it alone."""
    assert main(["sheet", "strut", "both.toml"]) == 0
    assert main(["sheet", "trailing-arm", "rear.toml", "--axle", "rear"]) == 0
    rear = Path("rear.toml").read_text(encoding="utf-8").partition("[rear]")
    with Path("both.toml").open("a", encoding="utf-8") as file:
        file.write("".join(rear[1:]))
    told = asked(capsys, file="both.toml")
    assert [line[:5] for line in told.splitlines() if "95 % of such surveys" in line] == ["front", "rear "]
    assert told.count("No.: of the measuring sheet") == 1
    steered = asked(capsys, "--about", "steer angle", file="both.toml")
    assert "front axle's steer angle" in " ".join(steered.split())
    assert "rear axle" not in steered


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
def test_an_axle_to_be_cleared_up_first_is_named_beside_one_that_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """Two axles from sheets of their own, a height of the front one 60 mm off."""
    front, rear = sheet_survey("strut", 7, MM), sheet_survey("trailing arm", 7, MM)
    off = as_file(front, MM)
    height = re.search(r'up = "lower_ball_joint", reads = ([\d.]+)', off)
    assert height is not None
    off = off.replace(height[0], height[0].replace(height[1], f"{float(height[1]) + 60.0}"))
    behind = as_file(rear, MM).replace("[front", "[rear").partition("[rear]")
    Path("both.toml").write_text(off + "\n" + "".join(behind[1:]), encoding="utf-8")
    told = " ".join(asked(capsys, file="both.toml", status=1).split())
    assert "What to measure next at the front axle is told once its readings agree" in told
    assert "The rear axle's roll-centre height is known to" in told
    assert len(json.loads(asked(capsys, "--json", file="both.toml", status=1))["next"]) == 1
