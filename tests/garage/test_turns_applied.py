"""The turns that a sheet tells, applied to the car in balance, give the loads and the cross-weight that it tells.

Turns are read off the page as a person reads them, to a hundredth of a turn of 2 mm, and put under the springs of the
car as measured, its bar unhooked. A hundredth of a turn is 0.02 mm of a spring of some 30 N/mm, so 0.06 kg at a wheel.
"""

import re
from pathlib import Path

import numpy as np
import pytest

from kinematics.car.car import SIDE_NAMES
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.inputs.car.car_file import read_car
from kinematics.loads.equilibrium import balance
from kinematics.loads.setup import calibrated
from kinematics.loads.whole_car import WholeCar
from reports.command_line import main
from tests.garage.screws import car_text

THREAD = 2.0  # mm, of both axles' perches


def told_turns(text: str) -> np.ndarray:
    """Turns of each perch by axle and side, towards the spring positive."""
    found = np.zeros((2, 2))
    for i, axle in enumerate(("front", "rear")):
        for j, side in enumerate(SIDE_NAMES):
            read = re.search(rf"{axle} {side} ([\d.]+) turns? (towards|away from) the spring", text)
            assert read is not None
            found[i, j] = float(read[1]) * (1.0 if read[2] == "towards" else -1.0)
    return found


def told_loads(text: str) -> np.ndarray:
    """Wheel loads [kg] by axle and side, from the table."""
    rows = [
        re.search(rf"{axle} wheel load │ [\d. /]+ │ +([\d.]+) │ +([\d.]+) │ ± 3.0 kg", text)
        for axle in ("front", "rear")
    ]
    return np.array([[float(one) for one in row.groups()] for row in rows if row is not None])


@pytest.mark.parametrize("cross", [51.5, 48.0])
def test_the_sheets_turns_in_the_balance(
    cross: float, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "120")
    (tmp_path / "car.toml").write_text(car_text("mm"), encoding="utf-8")
    assert main(["setup", "car.toml", "--cross", str(cross)]) == 0
    text = " ".join(capsys.readouterr().out.split())
    car = read_car("car.toml")
    front, rear = (
        setup.with_springs(setup.rate, None, by).with_bar(np.zeros(()))
        for setup, by in zip(map(calibrated, car.axles), THREAD * told_turns(text), strict=True)
    )
    assert car.body.centre_of_gravity is not None
    assert car.body.wheelbase is not None
    rest = balance(WholeCar(front, rear, float(car.body.centre_of_gravity), car.body.wheelbase), np.zeros(1))
    load = rest.load[..., 0] / GRAVITY
    np.testing.assert_allclose(load, told_loads(text), rtol=0.0, atol=0.15)
    assert 100.0 * (load[0, 1] + load[1, 0]) / load.sum() == pytest.approx(cross, abs=0.02)
    assert f"Cross-weight {cross:.1f} % " in text
    np.testing.assert_allclose(rest.heave[:, 0], 0.0, atol=0.02)
