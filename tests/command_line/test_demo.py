"""A demo car on one axle from end to end: its files, and what stands in them."""

import csv
import re
import shlex
from pathlib import Path

import numpy as np
import pytest

from kinematics import demo_car, sweep_bump, sweep_grid, sweep_roll
from kinematics.inputs.demo_cars import demo_text
from kinematics.numbers.outer_share import OuterShare
from kinematics.sweeps.asked import made_ready, over_attitudes
from kinematics.sweeps.body import Sweep
from reports.command_line import main
from tests.short_run import leave_undrawn

UNITS = re.compile(r"_(mm|deg|deg_per_mm|percent)$")
# Defaults of the options: -60 to 60 mm by 3, -3 to 3 deg by 0.25, both ends included.
ROWS = {"bump": 41, "roll": 25, "grid": 41 * 25}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo") / "new" / "folder"


@pytest.fixture(scope="module")
def said(folder: Path, campaign: bool) -> str:
    """Run the demo once; what it printed. Figures are drawn in a campaign."""
    with pytest.MonkeyPatch.context() as patch:
        printed: list[str] = []
        patch.setattr("sys.stdout.write", printed.append)
        if not campaign:
            leave_undrawn(patch)
        assert main(["demo", str(folder), "--car", "lowered-coupe"]) == 0
    return "".join(printed)


def files_named(said: str, folder: Path) -> list[str]:
    """The names that a demo tells, in the lines from "Written into" to the next empty one."""
    told = " ".join(said.partition(f"Written into {folder}:")[2].partition("CAUTION")[0].split())
    return sorted(told.removesuffix(".").split(", "))


def rows_of(folder: Path, kind: str) -> list[dict[str, str]]:
    with (folder / f"front_{kind}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


@pytest.mark.usefixtures("said")
def test_its_input_files_are_the_built_in_ones(folder: Path) -> None:
    inputs = {path.name: path.read_text(encoding="utf-8") for path in folder.glob("*.toml")}
    assert "lowered_coupe.toml" in inputs
    assert inputs == {name: demo_text(name) for name in inputs}


def test_the_next_command_names_the_means_file_that_it_wrote(said: str, folder: Path) -> None:
    (told,) = re.findall(r"^Next: (cornersweep find .*)$", said, flags=re.MULTILINE)
    words = shlex.split(told)
    files = [str(folder / name) for name in ("lowered_coupe.toml", "lowered_coupe_means.toml")]
    assert words == ["cornersweep", "find", *files]
    assert all(Path(one).is_file() for one in words[2:])


@pytest.mark.usefixtures("said")
def test_its_car_file_can_be_used_as_anyones(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["show", str(folder / "lowered_coupe.toml")]) == 1
    assert capsys.readouterr().err == ""


def test_every_file_is_named_and_there(said: str, folder: Path) -> None:
    assert files_named(said, folder) == sorted(path.name for path in folder.iterdir())
    assert {f"front_{kind}.csv" for kind in ROWS} < {path.name for path in folder.iterdir()}
    assert all(path.stat().st_size > 0 for path in folder.iterdir())


@pytest.mark.campaign
def test_figures_are_of_the_kind_their_names_say(said: str, folder: Path) -> None:
    figures = [path for path in folder.iterdir() if path.suffix not in (".csv", ".toml")]
    assert len(figures) >= 4, said
    for figure in figures:
        # Signature of a PNG file: ISO/IEC 15948, 5.2 (from memory).
        assert figure.read_bytes().startswith(b"\x89PNG\r\n\x1a\n")


def test_it_says_verdict_and_caution(said: str) -> None:
    assert " OUT  roll-centre height " in said
    assert said.startswith("Front roll centre ")
    assert said.count("CAUTION") == 1
    assert "nan" not in said.lower().split()


@pytest.mark.usefixtures("said")
@pytest.mark.parametrize("kind", ROWS)
def test_tables_say_their_units_and_have_no_holes(kind: str, folder: Path) -> None:
    rows = rows_of(folder, kind)
    assert len(rows) == ROWS[kind]
    names = list(rows[0])
    assert names[-1] == "note"
    assert [name for name in names[:-1] if not UNITS.search(name)] == [
        "jacking_coefficient_left",
        "jacking_coefficient_right",
        "roll_steer",
    ]
    for row in rows:
        assert None not in row
        assert all(np.isfinite(float(row[name])) for name in names[:-1] if row[name])
        lacks = [part for part in row["note"].split("; ") if part and not part.startswith("to infinity and back ")]
        assert bool(lacks) == any(row[name] == "" for name in names[:-1])


@pytest.mark.usefixtures("said")
@pytest.mark.parametrize("kind", ROWS)
def test_tables_hold_the_sweep_to_twelve_digits(kind: str, folder: Path) -> None:
    front = demo_car().front
    # The steps are whole millimetres and quarters of a degree, so this spacing is the only one there is.
    travel = np.concatenate([np.linspace(-60.0, 0.0, 21), np.linspace(0.0, 60.0, 21)[1:]])
    end = np.radians(3.0)
    roll = np.concatenate([np.linspace(-end, 0.0, 13), np.linspace(0.0, end, 13)[1:]])
    # All tables come from one path, as long as the grid needs: where a path ends moves the last digits of a read.
    ready = made_ready(front, over_attitudes(-travel, roll))
    # The outer wheel's share is reached where its limits say that the working roll ends.
    share = OuterShare(0.7, np.radians(1.2))
    sweeps: dict[str, Sweep] = {
        "bump": sweep_bump(ready, travel, outer_share=share),
        "roll": sweep_roll(ready, roll, outer_share=share),
        "grid": sweep_grid(ready, travel, roll, outer_share=share),
    }
    rows = rows_of(folder, kind)
    for name, column in sweeps[kind].columns().items():
        read = [float(row[name]) if row[name] else np.nan for row in rows]
        # Half of the twelfth digit, and nothing at all where there is but rounding.
        np.testing.assert_allclose(read, column, rtol=5.1e-12, atol=1e-12, err_msg=name)
    if kind != "bump":
        assert {row["roll_deg"] for row in rows} == {repr(0.25 * step) for step in range(-12, 13)}


@pytest.mark.campaign
@pytest.mark.usefixtures("said")
def test_the_same_demo_twice(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It makes the same tables and pictures to the last byte, and leaves those that are there alone."""
    before = {path: path.stat().st_mtime_ns for path in folder.iterdir()}
    assert main(["demo", str(folder), "--car", "lowered-coupe"]) == 0
    assert {path: path.stat().st_mtime_ns for path in folder.iterdir()} == before
    assert capsys.readouterr().err == ""


@pytest.mark.campaign
@pytest.mark.usefixtures("said")
def test_another_demo_in_the_same_folder(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Its tables would be others: they are refused by name, and nothing is written."""
    before = {path: path.stat().st_mtime_ns for path in folder.iterdir()}
    assert main(["demo", str(folder), "--car", "lowered-coupe", "--step", "20"]) == 2
    told = capsys.readouterr().err.splitlines()
    assert told[0] == "nothing written: 4 faults"
    assert told[1].startswith(f"  {folder / 'front_bump.csv'}: is there already, with other content; ")
    assert {path: path.stat().st_mtime_ns for path in folder.iterdir()} == before


@pytest.mark.campaign
@pytest.mark.usefixtures("said")
def test_replace_writes_over_it(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = folder / "front_bump.csv"
    first = table.read_bytes()
    table.write_bytes(b"spoilt")
    assert main(["demo", str(folder), "--car", "lowered-coupe", "--replace"]) == 0
    assert table.read_bytes() == first
    assert capsys.readouterr().err == ""
