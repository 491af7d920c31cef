"""The library as a notebook uses it."""

import re
from pathlib import Path

import numpy as np
import pytest

import kinematics
from tests.command_line.car_texts import SOUND_CAR

README = Path(__file__).parents[2] / "kinematics" / "README.md"


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


@pytest.mark.parametrize("name", kinematics.__all__)
def test_public_names_are_there_and_explain_themselves(name: str) -> None:
    public = getattr(kinematics, name)
    if callable(public):
        assert public.__doc__


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no_such_thing"):
        _ = kinematics.no_such_thing


def test_table_has_columns_and_gaps() -> None:
    front = kinematics.demo_car().front
    sweep = kinematics.sweep_bump(front, np.linspace(-10.0, 10.0, 5))
    table = sweep.table()
    assert list(table.columns) == [*sweep.columns(), "gap"]
    assert len(table) == 5
    np.testing.assert_array_equal(table["camber_left_deg"], np.degrees(sweep["camber"][0]))
