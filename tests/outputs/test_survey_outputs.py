"""What `survey` tells and writes, against the fitted survey in mm and radians and factors of the test's own."""

import io
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from pypdf import PdfReader

from kinematics import read_car
from kinematics.car.lengths import INCH, MM
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.survey.survey_file import read_survey
from kinematics.survey.fit import SurveyFit, fit
from kinematics.survey.judged import judged
from kinematics.survey.reading_list import reading_list
from kinematics.survey.reliability import reliability
from kinematics.survey.second_places import SecondPlace
from reports.sheet.measuring_sheet import measuring_sheet
from reports.tables.survey_table import show_survey
from reports.tables.terminal import console
from reports.words.reading_list import what_words
from reports.words.survey import second_place_words
from tests.outputs.conftest import Garage
from tests.outputs.read_back import assert_shown, decimals, factor, rows, symbol
from tests.survey.invented_surveys import survey_of, truth


@cache
def fitted(garage: Garage) -> SurveyFit:
    return fit(read_survey(garage.path("mm", "survey.toml")).surveys[0])


def kind_of(name: str) -> str:
    return "angle" if name.startswith("angle") else "length"


def test_readings_in_the_file(garage: Garage, unit: str) -> None:
    garage.ran("survey", unit)
    told, found = rows(garage.path(unit, "surveyed_readings.csv")), fitted(garage).readings
    assert [row["reading"] for row in told] == [one.name for one in found]
    assert {row["axle"] for row in told} == {"front"}
    assert {kind_of(row["reading"]) for row in told} == {"angle", "length"}
    for row, one in zip(told, found, strict=True):
        kind = kind_of(one.name)
        assert row["unit"] == symbol(kind, unit)
        for title, value in (
            ("read", one.read),
            ("fitted", one.fitted),
            ("off_by", one.read - one.fitted),
            ("doubt", one.doubt),
        ):
            assert float(row[title]) == pytest.approx(value * factor(kind, unit), rel=1e-5, abs=1e-6), title
        assert bool(row["standardised"]) == np.isfinite(one.standardised)
        if row["standardised"]:
            assert float(row["standardised"]) == pytest.approx(one.standardised, rel=1e-4, abs=1e-5)
        assert float(row["checked_by_others"]) == pytest.approx(one.redundancy, rel=1e-4, abs=1e-6)
    # As written: instruments' doubts, a reading in mm and one in degrees.
    by_name = {row["reading"]: row for row in told}
    level = next(row for name, row in by_name.items() if name.startswith("angle") and "strut_low" in name)
    assert (float(level["read"]), float(level["doubt"])) == pytest.approx((80.1, 0.2))
    wheel = next(row for name, row in by_name.items() if name.startswith("out") and "wheel_centre" in name)
    assert (float(wheel["read"]), float(wheel["doubt"])) == pytest.approx(
        (739.5 * factor("length", unit), 1.5 * factor("length", unit))
    )


def test_points_in_the_terminal(garage: Garage, unit: str) -> None:
    """95 % ways grow by the root of chi-square over freedoms where readings scatter (R. T. Birge, from memory)."""
    found, out = fitted(garage), garage.ran("survey", unit).out
    scatter = np.sqrt(sum(((one.read - one.fitted) / one.doubt) ** 2 for one in found.readings) / found.freedoms)
    assert scatter > 1.5
    lines = out.splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith("fitted points"))
    assert f", {scatter:.1f} times as large" in lines[start]
    deviations = dict(zip(found.doubt.coordinates, np.sqrt((found.doubt.influence**2).sum(axis=1)), strict=True))
    seen = 0
    head = next(i for i in range(start, start + 5) if lines[i].strip().startswith("point"))
    assert lines[head].split() == ["point", "ahead", f"[{unit}]", "out", f"[{unit}]", "up", f"[{unit}]"]
    for line in lines[head + 2 : head + 10]:
        key, *cells = (cell.strip() for cell in line.split("  ") if cell.strip())
        place = found.axle.points[key][0]
        for i, (cell, way) in enumerate(zip(cells, ("ahead", "out", "up"), strict=True)):
            (deviation,) = (each for one, each in deviations.items() if (one.of, one.way) == (key, way))
            told, _, either = cell.partition(" ± ")
            assert_shown(told, float(place[i]), "length", unit)
            assert bool(either) == (deviation > 0.0)
            if either:
                assert_shown(either, 1.959964 * float(deviation * scatter), "length", unit)
            seen += 1
    assert seen == 24


def test_readings_that_fit_worst(garage: Garage, unit: str) -> None:
    lines = garage.ran("survey", unit).out.splitlines()
    title = next(i for i, line in enumerate(lines) if line.startswith("readings that fit worst"))
    start = title + 1
    assert lines[start].split() == ["no.", "reading", "read", "fitted", "off", "by", "times", "usual"]
    by_name = {one.name.replace("_", " "): one for one in fitted(garage).readings}
    sizes = []
    for line in lines[start + 2 : start + 7]:
        told = [cell.strip() for cell in line.split("  ") if cell.strip()]
        name, *cells = told[told[0].isdecimal() :]  # without the number on the sheet, where it has one
        one = by_name[name]
        kind = kind_of(one.name)
        # As its owner wrote it, in six digits.
        assert cells[0] == f"{one.read * factor(kind, unit):.6g}"
        for cell, value in zip(cells[1:], (one.fitted, one.read - one.fitted), strict=False):
            assert_shown(cell, value, kind, unit, decimals(kind, unit))
        assert float(cells[3]) == pytest.approx(one.standardised, abs=0.051)
        assert cells[3][0] in "+-"
        sizes.append(abs(one.standardised))
    assert sizes == sorted(sizes, reverse=True)
    assert "strut top" in lines[start + 2]
    assert "lower ball joint" in lines[start + 2]


def test_the_blunder_is_named_and_sized(garage: Garage, unit: str) -> None:
    """The tape from strut top to ball joint was written 40 mm long."""
    run = garage.ran("survey", unit)
    assert run.status == 1
    (line,) = (line for line in run.out.splitlines() if line.startswith("SUSPECT"))
    # As it was written down, to the six digits that anyone reads: 651.5 / 25.4 is 25.6496.
    read, fits = ("651.5 mm", (610.2,)) if unit == "mm" else ("25.6496 in", (24.02,))
    assert f"tape strut_top to lower_ball_joint was read as {read}, which the others make {fits[0]} {unit}" in line


def test_the_car_that_is_written(garage: Garage, unit: str) -> None:
    garage.ran("survey", unit)
    car = read_car(garage.path(unit, "surveyed.toml"))
    assert car.unit.symbol == unit
    for key, places in fitted(garage).axle.points.items():
        np.testing.assert_allclose(car.front.points[key], places, atol=0.02)
    # The doubts that are written are those that were told: wider as far as the readings scatter.
    found = fitted(garage)
    scatter = np.sqrt(sum(((one.read - one.fitted) / one.doubt) ** 2 for one in found.readings) / found.freedoms)
    assert car.front.doubt is not None
    own = dict(zip(car.front.doubt.coordinates, car.front.doubt.standard_deviation, strict=True))
    for one, deviation in zip(found.doubt.coordinates, found.doubt.standard_deviation, strict=True):
        assert own[one] == pytest.approx(scatter * deviation, rel=1e-3, abs=1e-6)


def test_sides_surveyed_apart_are_told_outward(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a right-hand point, out is positive too, and is minus the coordinate to the left (formula)."""
    monkeypatch.setenv("COLUMNS", "200")
    found = fit(survey_of(truth("strut", apart=True), apart=True))
    show_survey(console(), judged(found, MM), reliability(found), MM)
    told = {
        match[1]: float(match[2])
        for match in re.finditer(
            r"^ *((?:left|right) [a-z_]+) +\S+ ± \S+ +(\S+) ± \S+ +\S+ ± \S+ *$", capsys.readouterr().out, re.MULTILINE
        )
    }
    for side, outward in (("left", 1.0), ("right", -1.0)):
        places = {key: at[("left", "right").index(side)] for key, at in found.axle.points.items()}
        for key in ("lower_ball_joint", "strut_top"):
            assert told[f"{side} {key}"] == pytest.approx(outward * places[key][1], abs=0.051)
            assert told[f"{side} {key}"] > 300.0


def test_a_plumb_line_has_a_doubt_of_its_own_for_its_drop() -> None:
    """Where the mark lies is known as well as the reading says, how far below as well as the drop's own doubt says."""
    survey = survey_of(truth("strut"))
    plumbed = tuple(
        replace(one, doubt=1.25, drop_doubt=4.5) if one.kind == "plumb" and one.reads is not None else one
        for one in survey.readings
    )
    found = fit(replace(survey, readings=plumbed)).readings
    kinds = [(plumbed[one.of], one) for one in found if plumbed[one.of].drop_doubt == 4.5]
    assert kinds
    for _, one in kinds:
        assert one.doubt == pytest.approx(4.5 if one.name.endswith("(up)") else 1.25)
    assert {one.name.rpartition("(")[2] for _, one in kinds} == {"ahead)", "out)", "up)"}


def test_wheel_angles_on_the_sheet_have_their_names() -> None:
    """The blank for camber says camber, the one for toe-in toe-in, each with its wheel."""
    told = {
        (one.kind, one.of[0]): what_words(one) for one in reading_list(SUSPENSIONS["strut"]) if one.measure == "angle"
    }
    for side in ("left", "right"):
        assert told["camber", side] == f"camber, {side} wheel"
        assert told["toe_in", side] == f"toe-in, {side} wheel"


def test_both_places_and_what_decides() -> None:
    """The reading would be 310 mm in the one place and 342 in the other (by hand)."""
    moved = (("strut_top", np.array([10.0, 520.0, 800.0]), np.array([12.0, 560.0, 790.0])),)
    words = second_place_words(SecondPlace(moved, 3.0, survey_of(truth("strut")).readings[0], 310.0, 342.0), MM)
    assert words.endswith(" is 310 or 342 mm")
    assert "strut_top at ahead 10, out 520, up 800 or at ahead 12, out 560, up 790 mm" in words


def test_units_on_the_sheet(unit: str) -> None:
    """Each reading's row ends with its unit: degrees for angles and slopes, the owner's for lengths, none for words."""
    kind = SUSPENSIONS["strut"]
    content = measuring_sheet(kind, MM if unit == "mm" else INCH, "front", "a4")
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)
    count = {what: sum(one.measure == what for one in reading_list(kind)) for what in ("angle", "length")}
    assert count["angle"] != count["length"]
    assert len(re.findall(r"(?m)^deg$", text)) == count["angle"]
    assert len(re.findall(rf"(?m)^{unit}$", text)) == count["length"]
