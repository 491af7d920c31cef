"""The reference of the Python interface: one command writes it, from what is exported and its docstrings.

Properties, no source.
"""

import inspect
import re
from pathlib import Path

import pytest

import kinematics
import reports
from reports.reference import reference_text, run


@pytest.fixture(scope="module")
def text() -> str:
    return reference_text()


def test_all_that_is_exported_has_its_place(text: str) -> None:
    heads = set(re.findall(r"^(?:#### |- )`(\w+)`", text, re.MULTILINE))
    assert {*kinematics.__all__, *reports.__all__} <= heads
    for module in (kinematics, reports):
        for name in module.__all__:
            one = getattr(module, name)
            if inspect.isfunction(one) or inspect.isclass(one):
                assert inspect.getdoc(one).splitlines()[0] in text


def test_every_number_and_every_kind_of_change_is_told(text: str) -> None:
    for key, number in kinematics.QUANTITIES.items():
        (row,) = re.findall(rf"^\| `{key}` \|.*$", text, re.MULTILINE)
        assert number.meaning in row
        assert number.sign in row
    for kind in kinematics.CHANGES:
        assert f"\n| {kind} | " in text


def test_signatures_are_short_and_members_are_there(text: str) -> None:
    assert "numpy.ndarray" not in text
    assert "sweep_roll(axle: Axle | MovingAxle, roll: ArrayLike, heave: float=0.0, *, pitch: float=0.0" in text
    sweep = text.split("#### `Sweep`")[1].split("#### ", maxsplit=1)[0]
    for member in ("keys", "in_unit", "about", "columns", "table", "to_xarray", "problems"):
        assert f"- `{member}" in sweep
    assert "shape: tuple[int, ...]" in sweep
    # A member that is said anew stands once, as the class itself says it.
    assert sweep.count("- `table(") == 1


def test_one_command_writes_it(tmp_path: Path, text: str, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "reference.md"
    assert run([str(path)]) == 0
    assert path.read_text(encoding="utf-8") == text
    assert run([str(path)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert run([str(path), "--replace"]) == 0
    assert run([str(tmp_path / "nowhere" / "reference.md")]) == 2
    assert "there is no folder" in capsys.readouterr().err
