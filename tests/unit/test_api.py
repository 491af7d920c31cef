"""The library as a notebook uses it."""

import ast
import os
import re
import subprocess
import sys
import tomllib
from fnmatch import fnmatch
from itertools import chain
from pathlib import Path

import numpy as np
import pytest

import kinematics
from tests.command_line.car_texts import SOUND_CAR

README = Path(__file__).parents[2] / "kinematics" / "README.md"
FACE = README.with_name("__init__.py")


def test_three_lines(tmp_path: Path) -> None:
    path = tmp_path / "my_car.toml"
    path.write_text(SOUND_CAR, encoding="utf-8")

    from kinematics import read_car, sweep_bump

    car = read_car(path)
    sweep = sweep_bump(car.front, np.linspace(-60.0, 60.0, 41))

    assert sweep["roll_centre_height"].shape == (41,)
    assert sweep["camber"].shape == (2, 41)
    assert sweep.reached.all()
    # As measured: camber and toe stand in the file.
    assert np.degrees(sweep["camber"][:, 20]) == pytest.approx([-2.2, -2.2], abs=1e-9)
    assert np.degrees(sweep["toe"][:, 20]) == pytest.approx([0.05, 0.05], abs=1e-9)
    assert sweep["travel"][0] == pytest.approx(np.linspace(-60.0, 60.0, 41))


def test_the_readmes_python_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "my_car.toml").write_text(SOUND_CAR, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    blocks = re.findall(r"^```python\n(.*?)^```", README.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
    assert blocks
    for block in blocks:
        exec(compile(block, str(README), "exec"), {})


@pytest.mark.campaign
def test_the_tutorial_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Block after block, in one script; what it prints is held against the library, its files are there."""
    monkeypatch.chdir(tmp_path)
    text = README.with_name("TUTORIAL.md").read_text(encoding="utf-8")
    blocks = re.findall(r"^```python\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    assert len(blocks) == text.count("```python")
    script = "\n".join(blocks)
    exec(compile(script, "TUTORIAL.md", "exec"), {"__name__": "__main__"})
    said = capsys.readouterr().out
    assert "did you mean 'camber'" in said
    chance = re.search(r"all limits hold in (\d+)% of the cars", said)
    assert chance is not None
    assert (tmp_path / "toe.png").stat().st_size > 0
    car = kinematics.demo_car("lowered_coupe.toml")
    rolled = kinematics.sweep_roll(car.front, np.radians(np.linspace(-2, 2, 9)), heave=-10.0)
    rows = (tmp_path / "rolled.csv").read_text(encoding="utf-8").splitlines()
    assert len(rows) == 1 + rolled.reached.size
    cars = (tmp_path / "cars.csv").read_text(encoding="utf-8").splitlines()
    assert [line.split(",")[0] for line in cars[1:]] == [str(car) for car in range(1000) for _ in range(9)]
    assert "0.975" in said
    assert (tmp_path / "study.csv").stat().st_size > 0


@pytest.mark.parametrize("name", kinematics.__all__)
def test_public_names_are_there_and_explain_themselves(name: str) -> None:
    public = getattr(kinematics, name)
    if callable(public):
        assert public.__doc__


def test_what_is_listed_is_what_is_public() -> None:
    assert dir(kinematics) == sorted(kinematics.__all__)
    assert sorted(chain.from_iterable(kinematics._HOMES.values())) == sorted(kinematics.__all__)


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no_such_thing"):
        _ = kinematics.no_such_thing
    with pytest.raises(AttributeError, match="did you mean 'sweep_bump'"):
        _ = kinematics.sweep_bumb


def test_editors_are_told_of_the_same_names() -> None:
    """What type checkers and editors read stands apart from what is imported when asked for."""
    told = next(node for node in ast.parse(FACE.read_text(encoding="utf-8")).body if isinstance(node, ast.If))
    modules = {node.module: sorted(one.name for one in node.names) for node in told.body}
    assert modules == {f"kinematics.{module}": sorted(names) for module, names in kinematics._HOMES.items()}


USER_SCRIPT = """
import numpy as np

import kinematics as k
from kinematics import LEFT, Sweep, read_car, sweep_bump

car = read_car("my_car.toml")
sweep: Sweep = sweep_bump(car.front, np.linspace(-60, 60, 41))
camber = sweep["camber"][LEFT]
title: str = sweep.about("camber").title
reveal_type(k.judge(car.front, car.limits))
reveal_type(k.compare(car, [k.Plan("p")], car.limits)["p"])
reveal_type(k.sweep_roll(car.front, [0.0])["camber"])
for finding in k.judge(car.front, car.limits):
    print(finding.holds, finding.about.title)
k.sweep_bumb
sweep.tabel()
k.sweep_bump(car, [0.0])
k.sweep_bump(car.front, [0.0], "rear")
"""
TOLD_OF_IT = (
    "kinematics.judging.verdict.Verdict",
    "kinematics.planning.comparison.Outcome",
    "numpy.ndarray",
    'maybe "sweep_bump"',
    'has no attribute "tabel"',
    'incompatible type "Car"; expected "Axle',
    "Literal['rear']",
)


@pytest.mark.campaign
def test_a_type_checker_follows_a_users_script(tmp_path: Path) -> None:
    """A property: mypy knows what each call gives, and finds each of four slips, and nothing else."""
    pytest.importorskip("mypy")
    (tmp_path / "user.py").write_text(USER_SCRIPT, encoding="utf-8")
    command = [sys.executable, "-m", "mypy", "--strict", "--no-incremental", "user.py"]
    root = str(README.parents[1])
    ended = subprocess.run(
        command, cwd=tmp_path, capture_output=True, text=True, env=os.environ | {"MYPYPATH": root}, check=False
    )
    # Of the packages, which lie open here and are installed at a user's, mypy may say that stubs are missing.
    lines = [line for line in ended.stdout.splitlines() if line.startswith("user.py:")]
    assert len(lines) == len(TOLD_OF_IT), ended.stdout
    for line, told in zip(lines, TOLD_OF_IT, strict=True):
        assert told in line


def test_table_has_columns_and_gaps() -> None:
    front = kinematics.demo_car().front
    sweep = kinematics.sweep_bump(front, np.linspace(-10.0, 10.0, 5))
    table = sweep.table()
    assert list(table.columns) == [*sweep.columns(), "gap"]
    assert len(table) == 5
    np.testing.assert_array_equal(table["camber_left_deg"], np.degrees(sweep["camber"][0]))


@pytest.fixture(scope="module")
def sweep() -> kinematics.Sweep:
    return kinematics.sweep_bump(kinematics.demo_car().front, np.linspace(-10.0, 10.0, 5))


class TestResults:
    """What a notebook shows and asks of a sweep, a car and an axle."""

    def test_short_forms(self, sweep: kinematics.Sweep) -> None:
        car = kinematics.demo_car("rear_drive_saloon.toml")
        assert repr(sweep).startswith("<bump sweep of a front strut: 5 states; ")
        assert "points a side" in repr(car.front)
        assert "measured in mm: front strut, rear live axle" in repr(car)
        assert max(len(repr(one)) for one in (sweep, car, car.rear)) < 200

    def test_like_a_mapping(self, sweep: kinematics.Sweep) -> None:
        assert "camber" in sweep
        assert "nothing" not in sweep
        assert list(sweep) == sweep.keys() == list(sweep.values)
        assert len(sweep) == len(sweep.keys())
        assert sweep._ipython_key_completions_() == sweep.keys()
        with pytest.raises(KeyError, match="did you mean 'camber'"):
            sweep["cambre"]

    def test_what_a_number_is_and_in_degrees(self, sweep: kinematics.Sweep) -> None:
        number = sweep.about("toe")
        assert number.meaning
        assert number.sign
        assert number.dimension.unit(kinematics.MM) == "deg"
        np.testing.assert_allclose(sweep.in_unit("toe"), np.degrees(sweep["toe"]), rtol=1e-15)
        inches = sweep.in_unit("roll_centre_height", kinematics.INCH)
        np.testing.assert_allclose(inches, sweep["roll_centre_height"] / 25.4, rtol=1e-15)

    def test_html_holds_every_number(self, sweep: kinematics.Sweep) -> None:
        shown = sweep._repr_html_()
        for key in sweep:
            assert f"<td>{key}</td>" in shown
        assert shown.count("<tr>") == len(sweep) + 1
        assert "<bump" not in shown

    def test_results_cannot_be_written_to(self, sweep: kinematics.Sweep) -> None:
        with pytest.raises(ValueError, match="read-only"):
            sweep["camber"][0, 0] = 1.0

    def test_a_grid_is_indexed_by_bump_and_roll(self) -> None:
        bump, roll = np.array([-10.0, 0.0, 10.0]), np.radians([-1.0, 1.0])
        sweep = kinematics.sweep_grid(kinematics.demo_car().front, bump, roll)
        table = sweep.table(kinematics.MM)
        assert table.index.names == ["bump_mm", "roll_deg"]
        np.testing.assert_allclose(table.index.get_level_values(0), np.repeat(bump, 2), atol=1e-12)
        np.testing.assert_allclose(table.index.get_level_values(1), [-1.0, 1.0] * 3, atol=1e-12)


def test_what_help_points_to_is_installed_with_it() -> None:
    """Of the files that help names, each lies beside the code, and is among those that are put into the package."""
    told = re.findall(r"\b[A-Z]+\.md\b", kinematics.__doc__ or "")
    assert told == ["GLOSSARY.md", "TUTORIAL.md"]
    packed = tomllib.loads((README.parents[1] / "pyproject.toml").read_text(encoding="utf-8"))
    patterns = packed["tool"]["setuptools"]["package-data"]["kinematics"]
    for name in told:
        assert (Path(kinematics.__path__[0]) / name).is_file()
        assert any(fnmatch(name, pattern) for pattern in patterns)
