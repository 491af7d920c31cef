"""Readings as they are given back: by the number that the sheet's own file writes behind each line, and as typed.

Read from the outside: the text of the survey file on one side, the terminal, CSV, JSON and page on the other.
"""

import csv
import json
import re
from pathlib import Path

import pytest

from kinematics.car.lengths import INCH, MM, LengthUnit
from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from reports.page.survey_verdict import survey_judged
from reports.page.surveying import Read, survey_form
from tests.survey.sheet_surveys import as_file, sheet_survey

_LINE = re.compile(r"(?m)^  \{ .*?(?:reads|track) = (\"?)([^\",}]+?)\1 .*# no\. (\d+)$")


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "400")
    return tmp_path


def typed(text: str) -> list[tuple[int, str]]:
    """Number on the sheet and what was typed, of each line of a file in order."""
    return [(int(number), value) for _, value, number in _LINE.findall(text)]


def written_rows() -> list[dict[str, str]]:
    with Path("car_readings.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("kind", ["strut", "double wishbone", "trailing arm", "live axle with three links"])
@pytest.mark.parametrize("unit", [MM, INCH], ids=["mm", "in"])
def test_numbers_and_digits_are_those_of_the_file(
    kind: str, unit: LengthUnit, garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = as_file(sheet_survey(kind, 7, unit), unit)
    (garage / "sheet.toml").write_text(text, encoding="utf-8")
    lines = typed(text)
    assert len(lines) == len(re.findall(r"(?m)^  \{", text))
    assert main(["survey", "sheet.toml", "car.toml"]) in (0, 1)
    # Text that begins with a minus has the apostrophe before it that keeps a spreadsheet from reckoning with it.
    told = [(int(row["sheet_number"]), row["as_written"].removeprefix("'")) for row in written_rows()]
    # A number without quotes comes back as short as it can be written.
    as_typed = [(number, value if " " in value or "/" in value else f"{float(value):g}") for number, value in lines]
    assert told == as_typed
    capsys.readouterr()
    main(["survey", "sheet.toml", "--json"])
    (axle,) = json.loads(capsys.readouterr().out)["axles"]
    assert [(one["sheet_number"], one["as_written"]) for one in axle["readings"]] == as_typed
    verdict = survey_judged(garage / "sheet.toml", Read(typed={}))["verdicts"][0]
    assert [one["sheet_number"] for one in verdict["readings"]] == [number for number, _ in lines]
    # In the form every line has the number that stands behind it, the wheels' angles both of theirs.
    (form,) = survey_form(garage / "sheet.toml")["axles"]
    asked = [one["number"] for one in form["rows"] if ".readings." in one["key"]]
    assert asked == [number for number, _ in lines]
    sides = re.findall(r"(?m)^wheel = .*# no\. (\d+) and (\d+)", text)
    angles = {one["key"]: str(one["number"]) for one in form["rows"] if ".readings." not in one["key"]}
    assert [
        (angles[f"front.{side}.wheel.camber"], angles[f"front.{side}.wheel.toe_in"]) for side in ("left", "right")
    ] == sides


def misread(text: str, number: int, by: int) -> tuple[str, str, str]:
    """The file with so many inches too much in a line, and what stood and what stands there."""
    line = next(one for one in text.splitlines() if one.endswith(f"# no. {number}"))
    right = re.search(r'reads = "([^"]+)"', line)
    assert right is not None
    whole, _, part = right[1].partition(" ")
    wrong = f"{int(whole) + by} {part}".strip()
    return text.replace(line, line.replace(right[1], wrong)), right[1], wrong


def test_a_suspect_is_told_by_its_number_in_the_tapes_own_fractions(
    garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text, right, wrong = misread(as_file(sheet_survey("strut", 7, INCH), INCH), 36, 1)
    assert "/" in right
    (garage / "sheet.toml").write_text(text, encoding="utf-8")
    assert main(["survey", "sheet.toml", "--all"]) == 1
    told = capsys.readouterr().out
    head, suspect = (
        " ".join(told.splitlines()[:2]),
        next(line for line in told.splitlines() if line.startswith("SUSPECT")),
    )
    assert f"Suspect: no. 36 (tape lower_ball_joint to lower_pivot_front), read as {wrong} in, probably " in head
    assert f"no. 36 (tape lower_ball_joint to lower_pivot_front) was read as {wrong} in, which" in suspect
    assert f"measure no. 36 again: it would then read about {right} in" in suspect
    row = next(line for line in told.splitlines() if line.split()[:3] == ["36", "tape", "lower"])
    assert f"  {wrong}  " in row
    page = survey_judged(garage / "sheet.toml", Read(typed={}))["verdicts"][0]["suspects"]
    assert f"SUSPECT  {page[0]}" == suspect
    capsys.readouterr()
    main(["survey", "sheet.toml", "--json"])
    (found,) = json.loads(capsys.readouterr().out)["axles"][0]["suspects"]
    assert {one["sheet_number"] for each in found["explanations"] for one in each["readings"]} == {36}


def test_each_reading_in_its_own_notation(garage: Path) -> None:
    """One file, some lines in decimals and some in fractions: each as it was written."""
    text = as_file(sheet_survey("strut", 7, INCH), INCH)
    line = next(one for one in text.splitlines() if one.endswith("# no. 36"))
    assert '"13 1/4"' in line
    (garage / "sheet.toml").write_text(text.replace(line, line.replace('"13 1/4"', "13.2500")), encoding="utf-8")
    assert main(["survey", "sheet.toml", "car.toml"]) == 0
    rows = {row["sheet_number"]: row["as_written"] for row in written_rows()}
    assert rows["36"] == "13.25"
    assert sum("/" in one for one in rows.values()) > 20


def test_what_the_sheet_does_not_ask_for_has_no_number(garage: Path) -> None:
    """A plumb line's three rows: what was read is the drop, and only that was written."""
    (garage / "survey.toml").write_text(demo_text("lowered_coupe_survey.toml"), encoding="utf-8")
    assert main(["survey", "survey.toml", "car.toml"]) == 0
    plumb = {row["reading"].rpartition(" ")[2]: row for row in written_rows() if row["reading"].startswith("plumb")}
    assert {row["sheet_number"] for row in plumb.values()} == {""}
    assert {way: row["as_written"] for way, row in plumb.items()} == {"(ahead)": "", "(out)": "", "(up)": "781.5"}


def test_a_line_that_cannot_be_read_is_told_by_its_number(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In the file's own list it is another: that one is the key."""
    text = as_file(sheet_survey("strut", 7), MM)
    line = next(one for one in text.splitlines() if one.endswith("# no. 36"))
    wrong = re.sub(r"reads = [\d.]+", 'reads = "36?"', line)
    (garage / "sheet.toml").write_text(text.replace(line, wrong), encoding="utf-8")
    assert main(["survey", "sheet.toml"]) == 2
    told = " ".join(capsys.readouterr().err.split())
    at = [number for number, _ in typed(text)].index(36) + 1
    assert f"front.readings {at}.reads: " in told
    assert "no. 36 of the measuring sheet)" in told


def test_what_is_missing_is_told_by_its_number(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = as_file(sheet_survey("strut", 7), MM)
    lines = [one for one in text.splitlines() if '"tie_rod_inner"' not in one or "up =" in one]
    (garage / "sheet.toml").write_text("\n".join(lines), encoding="utf-8")
    assert main(["survey", "sheet.toml"]) == 2
    told = " ".join(capsys.readouterr().err.split())
    besides = told.partition("read besides: ")[2]
    numbered = re.findall(r"no\. (\d+) \((\w+) (\w+)\)", besides)
    assert numbered
    for number, kind, name in numbered:
        assert next(one for one in text.splitlines() if one.endswith(f"# no. {number}")).startswith(
            f'  {{ {kind} = "{name}"'
        )


def test_a_value_that_is_not_allowed_is_told_by_its_number(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An angle over level of more than a right one: each angle that the sheet asks for, by the number printed there."""
    text = as_file(sheet_survey("strut", 7), MM)
    lines = [one for one in text.splitlines() if "{ angle = " in one]
    wrong = text
    for line in lines:
        wrong = wrong.replace(line, re.sub(r"reads = [\d.-]+", "reads = 96.5", line))
    (garage / "sheet.toml").write_text(wrong, encoding="utf-8")
    assert main(["survey", "sheet.toml"]) == 2
    head, *told = capsys.readouterr().err.splitlines()
    assert head == f"sheet.toml: {len(lines)} faults"
    for line, said in zip(lines, told, strict=True):
        assert "reads: read 96.5; -90 to 90 degrees over level are allowed (the reading of angle [" in said
        assert said.endswith(f"{line.rpartition('# ')[2]} of the measuring sheet)")
