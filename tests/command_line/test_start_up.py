"""What is loaded before any work is done: nothing that is slow to load, and nothing that the command does not need."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.command_line.car_texts import SOUND_CAR

ROOT = Path(__file__).parents[2]  # what is tested is this tree, whatever is installed
SLOW = {"matplotlib", "sympy", "scipy", "pandas"}
RUN = """
import sys
from reports.command_line import main
try:
    status = main()
except SystemExit as ended:
    status = ended.code
print(status, *sorted({name.partition(".")[0] for name in sys.modules}), file=sys.stderr)
"""


def loaded(program: str, folder: Path, *arguments: str) -> list[str]:
    """Run a program and return what it printed last on standard error, in words."""
    ended = subprocess.run(
        [sys.executable, "-c", program, *arguments],
        capture_output=True,
        text=True,
        check=True,
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    return ended.stderr.splitlines()[-1].split()


@pytest.mark.parametrize("arguments", [("--help",), ("sweep", "--help")])
def test_help_loads_no_numerics_at_all(arguments: tuple[str, ...], tmp_path: Path) -> None:
    status, *names = loaded(RUN, tmp_path, *arguments)
    assert status == "0"
    assert "reports" in names
    assert set(names) & (SLOW | {"numpy", "pydantic", "rich"}) == set()


@pytest.mark.campaign
def test_a_faulty_file_is_told_without_them(tmp_path: Path) -> None:
    (tmp_path / "car.toml").write_text(SOUND_CAR.replace("out = 741", "out = true"), encoding="utf-8")
    status, *names = loaded(RUN, tmp_path, "show", "car.toml")
    assert status == "2"
    assert "kinematics" in names
    assert set(names) & (SLOW | {"rich"}) == set()


def test_a_verdict_draws_nothing(tmp_path: Path) -> None:
    (tmp_path / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
    status, *names = loaded(RUN, tmp_path, "show", "car.toml")
    assert status == "1"
    # SymPy is let through: the textbook roll centre's closed forms come from it.
    assert set(names) & SLOW <= {"sympy"}


@pytest.mark.parametrize(
    "program", ["import kinematics", "from kinematics import demo_car, read_car, sweep_bump, judge", "import solvers"]
)
def test_importing_the_library(program: str, tmp_path: Path) -> None:
    tell = "import sys; print(*sorted({name.partition('.')[0] for name in sys.modules}), file=sys.stderr)"
    assert set(loaded(f"{program}\n{tell}", tmp_path)) & (SLOW | {"rich"}) == set()
