"""`lean --braking --driving --cornering`: what it prints and writes, against balances asked for one by one.

The body's roll over the hubs is its roll less what the tyres squash over the track (formula); the links' share of a
small braking is the side view's anti-dive and anti-lift, which are found from the linkage without any spring.
"""

import contextlib
import io
import re
from pathlib import Path

import numpy as np
import pytest

from kinematics import read_car, sweep_bump
from kinematics.loads.equilibrium import Balance, balance
from kinematics.loads.report import whole_car
from kinematics.loads.under_load import manoeuvres, under_load
from reports.command_line import main
from tests.outputs.conftest import run
from tests.outputs.read_back import assert_same, columns, factor, rows
from tests.outputs.two_cars import CAR, STANDARD_GRAVITY, written
from tests.short_run import at_places

ASKED = {"braking 0.7 g": (0.0, -0.7), "driving 0.25 g": (0.0, 0.25), "cornering 0.6 g": (0.6, 0.0),
         "cornering 0.6 g, braking 0.7 g": (0.6, -0.7), "cornering 0.6 g, driving 0.25 g": (0.6, 0.25)}  # fmt: skip
OPTIONS = ["--braking", "0.7", "--driving", "0.25", "--cornering", "0.6"]
AXLES, SIDES = ("front", "rear"), ("left", "right")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("loads")
    for unit in ("mm", "in"):
        (made / f"{unit}.toml").write_text(written(CAR, unit), encoding="utf-8")
    return made


def alone(folder: Path, lateral: float, forward: float) -> Balance:
    car = whole_car(read_car(folder / "mm.toml"))
    lateral, forward = (np.array([part * STANDARD_GRAVITY]) for part in (lateral, forward))
    return balance(car, lateral, forward=forward)


@pytest.mark.campaign
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_the_table(folder: Path, unit: str) -> None:
    told = run(["lean", f"{unit}.toml", "--into", unit, *OPTIONS], folder)
    assert told.status == 0
    found = columns(folder / unit / "under_load.csv")
    names = np.array([row["manoeuvre"] for row in rows(folder / unit / "under_load.csv")])
    length, force = factor("length", unit), factor("force", unit)
    symbol = "N" if unit == "mm" else "lb"
    for name, (lateral, forward) in ASKED.items():
        last = int(np.flatnonzero(names == name)[-1])
        own = alone(folder, lateral, forward)
        assert found["lateral_acceleration_g"][last] == pytest.approx(lateral)
        assert found["forward_acceleration_g"][last] == pytest.approx(forward)
        assert_same(found["pitch_deg"][last], np.degrees(own.pitch[0]), name)
        assert_same(found["roll_deg"][last], np.degrees(own.roll[0]), name)
        for i, axle in enumerate(AXLES):
            assert_same(found[f"heave_{axle}_{unit}"][last], own.heave[i, 0] * length, name)
            for k, side in enumerate(SIDES):
                assert_same(found[f"wheel_load_{axle}_{side}_{symbol}"][last], own.load[i, k, 0] * force, name)
                assert_same(found[f"travel_{axle}_{side}_{unit}"][last], own.travel[i, k, 0] * length, name)
    # Braking goes down by the nose, driving by the tail, and a left-hand corner leans to the right.
    assert found["heave_front_" + unit][np.flatnonzero(names == "braking 0.7 g")[-1]] < 0.0
    assert found["heave_rear_" + unit][np.flatnonzero(names == "driving 0.25 g")[-1]] < 0.0
    assert found["roll_deg"][np.flatnonzero(names == "cornering 0.6 g")[-1]] > 0.0


def test_roll_of_springs_and_of_tyres(folder: Path) -> None:
    car = read_car(folder / "mm.toml")
    found, rest, own = under_load(car, manoeuvres(None, None, 0.6)), alone(folder, 0.0, 0.0), alone(folder, 0.6, 0.0)
    for i, axle in enumerate(car.axles):
        assert axle.loads is not None
        track = float(axle.contact[0, 1] - axle.contact[1, 1])
        right, left = (float(own.load[i, k, 0] - rest.load[i, k, 0]) for k in (1, 0))
        in_tyres = (right - left) / axle.loads.tyre_rate / track if axle.loads.tyre_rate else 0.0
        assert found.in_springs[i, 0, -1] == pytest.approx(float(own.roll[0]) - in_tyres, rel=1e-9)
        assert found.in_springs[i, 0, 0] == pytest.approx(float(rest.roll[0]), abs=1e-9)


def test_links_share_of_a_small_braking(folder: Path) -> None:
    """Per cent of the whole car's load transfer, which its height over the ground makes: M a h / L (formula)."""
    car = read_car(folder / "mm.toml")
    found = under_load(car, manoeuvres(0.01, None, None))
    sprung = sum(axle.loads.sprung_mass for axle in car.axles if axle.loads is not None)
    unsprung = [
        (axle.loads.unsprung, axle.points["wheel_centre"][:, 2]) for axle in car.axles if axle.loads is not None
    ]
    height = float(car.body.centre_of_gravity or 0.0)
    moment = sprung * height + sum(float(mass @ up) for mass, up in unsprung)
    transfer = 0.01 * STANDARD_GRAVITY * moment / (car.body.wheelbase or 1.0)
    for i, key in enumerate(("anti_dive", "anti_lift")):
        share = float(sweep_bump(car.axles[i], np.zeros(1))[key].mean())
        carried = (1.0, -1.0)[i] * found.linked[i, 0, -1] / transfer
        # A hundredth of g pitches the body by some 3e-4 rad, of slopes of about 0.2.
        assert carried == pytest.approx(share, abs=5e-3)


@pytest.mark.campaign
def test_what_comes_first_and_where_balance_ends(folder: Path) -> None:
    out = " ".join(run(["lean", "mm.toml", "--braking", "1.75", "--cornering", "0.91"], folder).out.split())
    told = re.search(
        r"cornering 0.91 g, braking 1.75 g: beyond ([\d.]+) g cornering and ([\d.]+) g braking no balance", out
    )
    assert told is not None
    corner, brake = float(told[1]), float(told[2])
    assert brake / corner == pytest.approx(1.75 / 0.91, rel=0.02)
    assert alone(folder, corner, -brake).solved.all()
    assert not alone(folder, corner + 0.91 / 12.0, -(brake + 1.75 / 12.0)).solved.all()


@pytest.mark.parametrize(
    ("key", "option"), at_places([("front_brakes = 0.68", "--braking"), ("front_drive = 0.0", "--driving")], 0)
)
def test_what_a_car_has_to_tell(folder: Path, key: str, option: str) -> None:
    (folder / "less.toml").write_text(written(CAR, "mm").replace(key, ""), encoding="utf-8")
    told = run(["lean", "less.toml", option, "0.5"], folder)
    assert told.status == 2
    assert f"lean needs {key.split(maxsplit=1)[0]} in [body]" in " ".join(told.err.split())


def test_accelerations_of_no_car(folder: Path) -> None:
    err = io.StringIO()
    with contextlib.redirect_stderr(err), pytest.raises(SystemExit) as left:
        main(["lean", str(folder / "mm.toml"), "--braking", "8"])
    assert left.value.code == 2
    assert "0.01 to 3 g is allowed" in " ".join(err.getvalue().split())
