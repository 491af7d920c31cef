"""`--json`: one document a command, with what its tables tell, in stated units, and a reason for whatever is null.

The car in inches must tell what the car in mm tells, number by number, with factors of the tests' own (formula:
definitions of inch, pound and pound force); a sweep's columns must be those of its CSV files.
"""

import json
import re
from collections.abc import Iterator
from contextlib import nullcontext
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from reports.command_menu import PRINT_NUMBERS, menu
from reports.documents.amounts import REASONS
from tests.outputs.conftest import Garage, Run, run
from tests.outputs.read_back import factor, rows, symbol
from tests.outputs.test_found_and_influence import MEANS, WITHIN_REACH
from tests.outputs.two_cars import CAR, SHELF, written
from tests.short_run import leave_undrawn

ROOT = Path(__file__).parents[2]
# The same car with one axle and without springs where commands take long of it.
LIGHT = CAR[: CAR.index("[front.weights]")] + CAR[CAR.index("[limits]") : CAR.index("[limits.rear]")]
LOWER = """
units = "UNIT"
[[plan]]
name = "lower"
[[plan.change]]
axle = "front"
what = "ride height"
by = L(-12)
[[plan]]
name = "joint"
[[plan.change]]
axle = "front"
what = "longer ball joint"
by = L(14)
[[plan.change]]
axle = "front"
what = "inner pivots"
up = L(9)
[[rule]]
words = "Ball joints stay."
changes = "longer ball joint"
at_most = L(10)
"""
SCALES = """
units = "UNIT"
[level]
front_left = M(280)
front_right = M(285)
rear_left = M(235)
rear_right = M(240)
[raised]
end = "rear"
by = L(420)
front_left = M(300)
front_right = M(305)
[[add]]
what = "driver"
mass = M(75)
ahead = L(-1310)
out = L(340)
up = L(470)
"""
WORDS = {
    "show": ["car.toml"],
    "sweep": ["light.toml", "swept", "--step", "1", "--roll-step", "1.5", "--rack", "1.5"],
    "compare": ["light.toml", "lower.toml", "--doubt", "--draws", "100"],
    "find": ["light.toml", "means.toml", "--limits", "reach.toml"],
    "influence": ["car.toml"],
    "travel": ["light.toml", "lower.toml"],
    "setup": ["light.toml", "lower.toml", "--plan", "lower"],
    "weigh": ["scales.toml", "car.toml"],
    "record": ["my_record"],
    "doubt": ["light.toml", "--draws", "100"],
    "lean": ["car.toml", "--braking", "0.6"],
    "shelf": ["car.toml", "shelf.toml"],
    "survey": ["survey.toml"],
}
# What takes longest waits for the whole run.
LONG = ("sweep", "doubt", "lean", "shelf")
ALL_AND_SOME = [pytest.param(one, marks=[pytest.mark.campaign] * (one in LONG)) for one in WORDS]
IN_BOTH = ("show", "weigh", *(pytest.param(one, marks=pytest.mark.campaign) for one in ("lean", "travel")))
REACH = WITHIN_REACH[: WITHIN_REACH.index("[limits.rear]")]
KINDS = ("length", "angle", "angle per length", "ratio", "part", "force", "mass", "rate", "roll stiffness", "frequency")


class Documents:
    """Each command with `--json`, run once when asked for, in a folder of one unit."""

    def __init__(self, folder: Path, garage: Garage) -> None:
        self._folder = folder
        self.garage = garage
        self.told: dict[str, list[str]] = {}  # what is told while a command works
        for unit in ("mm", "in"):
            (folder / unit).mkdir()
            texts = {"car": CAR, "light": LIGHT, "lower": LOWER, "shelf": SHELF, "means": MEANS, "reach": REACH}
            texts["scales"] = SCALES
            for name, text in texts.items():
                (folder / unit / f"{name}.toml").write_text(written(text, unit), encoding="utf-8")
            (folder / unit / "my_record").mkdir()
            for name in ("2026-03-14_as-measured", "2026-04-02_with-other-springs"):
                was, now = ("K(34)", "K(40)") if "springs" in name else ("", "")
                text = written(CAR.replace(was, now) if was else CAR, unit)
                (folder / unit / "my_record" / f"{name}.toml").write_text(text, encoding="utf-8")
            survey = garage.path(unit, "survey.toml").read_text(encoding="utf-8")
            (folder / unit / "survey.toml").write_text(survey, encoding="utf-8")

    @cache  # noqa: B019
    def ran(self, command: str, unit: str) -> Run:
        def tell(what: str) -> nullcontext[None]:
            self.told.setdefault(command, []).append(what)
            return nullcontext()

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("reports.tables.terminal.working", tell)
            leave_undrawn(patch)
            return run([command, *WORDS[command], "--json"], self._folder / unit)

    def of(self, command: str, unit: str = "in") -> Any:
        def refuse(word: str) -> None:
            raise AssertionError(f"{word} is no JSON")

        return json.loads(self.ran(command, unit).out, parse_constant=refuse)


@pytest.fixture(scope="module")
def documents(tmp_path_factory: pytest.TempPathFactory, garage: Garage) -> Documents:
    return Documents(tmp_path_factory.mktemp("documents"), garage)


def records(found: Any) -> Iterator[dict[str, Any]]:
    """Every object of a document, from outside in."""
    if isinstance(found, dict):
        yield found
    for one in found.values() if isinstance(found, dict) else found if isinstance(found, list) else ():
        yield from records(one)


def test_every_command_that_prints_numbers_is_tried() -> None:
    assert set(WORDS) == set(PRINT_NUMBERS)
    assert {name for name, parser in menu().commands.items() if "--json" in parser.options} == set(PRINT_NUMBERS)


@pytest.mark.parametrize("command", ALL_AND_SOME)
def test_one_document_and_nothing_else(documents: Documents, command: str) -> None:
    found, ran = documents.of(command), documents.ran(command, "in")
    assert ran.err == ""
    assert ran.out.count("\n") == 1
    assert ran.out.isascii()
    assert (found["format"], found["command"], found["car"]["unit"]) == (1, command, "in")
    assert found["caution"].startswith("CAUTION: suspension work can injure")
    assert documents.told[command]
    assert ran.status == (1 if found.get("holds") is False else 0)


@pytest.mark.parametrize("command", ALL_AND_SOME)
def test_what_is_null_has_a_reason(documents: Documents, command: str) -> None:
    for one in records(documents.of(command)):
        if "value" in one:
            assert one.keys() >= {"unit"}
            assert (one["value"] is None) == ("reason" in one), one
        if "reason" in one:
            assert one["reason"] in REASONS
        if "columns" in one:
            gone = [any(column["values"][i] is None for column in one["columns"]) for i in range(states(one))]
            if "missing" in one:
                assert {*one["missing"]} <= {None, *REASONS}
                assert all(code is not None for code, lacks in zip(one["missing"], gone, strict=True) if lacks)
            else:
                assert not any(gone)


def states(table: dict[str, Any]) -> int:
    (count,) = {len(column["values"]) for column in table["columns"]}
    return int(count)


@pytest.mark.parametrize("command", IN_BOTH)
def test_inches_tell_what_millimetres_tell(documents: Documents, command: str) -> None:
    compared = list(paired(documents.of(command, "in"), documents.of(command, "mm")))
    assert len(compared) > 20
    for key, inches, mm, by in compared:
        assert inches * by == pytest.approx(mm, rel=1e-7, abs=2e-7), key


def paired(one: Any, other: Any, by: float | None = None, key: str = "") -> Iterator[tuple[str, float, float, float]]:
    """Numbers of both documents at the same place, with the factor from the first one's unit to the other's."""
    assert type(one) is type(other) or {type(one), type(other)} <= {int, float}, key
    if isinstance(one, dict):
        assert one.keys() == other.keys(), key
        by = to_metric(one["unit"], other["unit"]) if "unit" in one and "value" not in one.get("car", {}) else by
        for name in one:
            yield from paired(one[name], other[name], by, f"{key}/{one.get('key', '')}/{name}")
    elif isinstance(one, list):
        assert len(one) == len(other), key
        for i, (a, b) in enumerate(zip(one, other, strict=True)):
            yield from paired(a, b, by, f"{key}[{i}]")
    elif isinstance(one, (int, float)) and not isinstance(one, bool):
        yield key, float(one), float(other), 1.0 if by is None else by


def to_metric(inches: str, mm: str) -> float:
    own = (factor(kind, "mm") / factor(kind, "in") for kind in KINDS if is_of(kind, inches, mm))
    return next(own, 1.0)


def is_of(kind: str, inches: str, mm: str) -> bool:
    return (symbol(kind, "in"), symbol(kind, "mm")) == (inches, mm)


def test_a_number_is_told_in_its_unit(documents: Documents) -> None:
    """As the file says: 2.4 degrees of camber at the left front wheel, whose top leans in, and 2.0 at the right."""
    front, _ = documents.of("show")["axles"]
    camber = {one["side"]: one for one in front["numbers"] if one["key"] == "camber"}
    assert {side: (one["value"], one["unit"], one["title"]) for side, one in camber.items()} == {
        "left": (-2.4, "deg", "camber"),
        "right": (-2.0, "deg", "camber"),
    }


def test_checks_are_those_of_the_screen(documents: Documents) -> None:
    found = documents.of("show")
    said = documents.garage.ran("show", "in").out
    assert found["headline"]
    assert all(line in said for line in found["headline"])
    every = found["checks"] + found["travel_and_roll_at_once"]
    assert sum(line.startswith("OUTSIDE ") for line in said.splitlines()) == sum(
        not one["holds"] for one in found["checks"]
    )
    assert len(every) == len(found["checks"]) + 1
    stated = next(one for one in found["checks"] if one["key"] == "roll_centre_height" and one["axle"] == "front")
    assert (stated["low"], stated["high"], stated["unit"]) == (-1.0, 3.0, "in")


@pytest.mark.campaign
def test_a_sweep_has_the_columns_of_its_tables(documents: Documents) -> None:
    found = documents.of("sweep")
    folder = documents.ran("sweep", "in").folder / "swept"
    assert sorted(Path(path).name for path in found["files"]) == sorted(path.name for path in folder.iterdir())
    for axle in found["sweeps"]:
        for kind, table in axle["tables"].items():
            assert_same_columns(folder / f"{axle['axle']}_{kind}.csv", table)


def assert_same_columns(path: Path, table: dict[str, Any]) -> None:
    read = rows(path)
    assert len(read) == states(table)
    assert len(read[0]) <= 120  # more than a spreadsheet's reader can look through
    for column in table["columns"]:
        unit = column["unit"].replace("/", "_per_").replace("%", "percent")
        name = "_".join(filter(None, (column["key"], column.get("side"), unit)))
        told = [float(row[name]) if row[name] else None for row in read]
        assert told == column["values"], name


def test_plans_with_their_amounts(documents: Documents) -> None:
    """As the plan file says: 12 mm lower; a joint 14 mm longer with pivots 9 mm up, of which a rule allows 10 mm."""
    told = documents.of("compare")
    found = {one["plan"]: one for one in told["plans"]}
    assert list(found) == ["as measured", "lower", "joint"]
    (lower,), (joint, pivots) = (found[name]["changes"] for name in ("lower", "joint"))
    assert (lower["axle"], lower["what"], lower["by"]["unit"]) == ("front", "ride height", "in")
    assert lower["by"]["value"] * 25.4 == pytest.approx(-12.0, rel=1e-11)
    assert joint["by"]["value"] * 25.4 == pytest.approx(14.0, rel=1e-11)
    assert pivots["shift"]["up"]["value"] * 25.4 == pytest.approx(9.0, rel=1e-11)
    assert [one["rule"] for one in found["joint"]["rules"]] == ["Ball joints stay."]
    assert not found["joint"]["buildable"]
    assert [one["plan"] for one in told["doubts"]] == ["lower", "joint"]
    # Errors that both cars have in common cancel in what a plan changes.
    (roll_centre,) = (one for one in told["doubts"][0]["numbers"] if one["key"] == "roll_centre_height")
    assert roll_centre["change_either_way_95"] < roll_centre["either_way_95"]


def test_a_found_plan_holds_and_is_of_the_means(documents: Documents) -> None:
    found = documents.of("find")
    assert found["holds"]
    measured, best, *_ = found["plans"]
    assert (measured["plan"], best["plan"], best["holds"]) == ("as measured", plan_names_of(found)[0], True)
    assert all(one["value"] >= 0.0 for one in best["margins"])
    sizes = {round(one["by"]["value"] * 25.4, 6) for one in best["changes"] if one["what"] == "longer ball joint"}
    assert sizes <= {8.0, 14.0}


def plan_names_of(found: dict[str, Any]) -> list[str]:
    return [one["plan"] for one in found["plans"][1:]]


@pytest.mark.parametrize("command", ["show", "survey"])
def test_a_fault_leaves_standard_output_empty(command: str, tmp_path: Path) -> None:
    (tmp_path / "car.toml").write_text("name = 3", encoding="utf-8")
    ended = run([command, "car.toml", "--json"], tmp_path)
    assert (ended.status, ended.out) == (2, "")
    assert ended.err.startswith("car.toml: ")


def test_quiet_prints_the_headline_alone(documents: Documents) -> None:
    folder = documents.ran("show", "in").folder
    ended = run(["show", "light.toml", "--quiet"], folder)
    assert re.fullmatch(r"Front roll centre .*\n(.*\n)?Next: cornersweep .*\n", ended.out)
    assert (run(["draw", "light.toml", "view.svg", "--quiet"], folder).out, ended.err) == ("", "")


def test_codes_stand_in_the_readme() -> None:
    text = (ROOT / "reports" / "README.md").read_text(encoding="utf-8")
    assert [code for code in REASONS if f"`{code}`" not in text] == []
