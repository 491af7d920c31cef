"""Tables of a sweep, column by column, against the numbers of sweeps in mm and radians and factors of the test's own.

Each column is read back by its title: the number's key, the side, the unit. Which unit belongs to a number stands in
`kinds`, by hand; an inch is 25.4 mm, half a turn 180 degrees (formula). The car's sides differ, as do its axles, so
that exchanged columns are seen. Both units tell the same car.
"""

import math
from functools import cache

import numpy as np
import pytest

from kinematics import Car, sweep_bump, sweep_grid, sweep_roll
from kinematics.numbers.outer_share import OuterShare
from kinematics.sweeps.body import Sweep
from kinematics.sweeps.rack import sweep_steer
from tests.outputs.conftest import Garage
from tests.outputs.kinds import KIND, OF_ROLL_AXIS
from tests.outputs.read_back import assert_same, assert_unlike, columns, factor, in_title

SHARE = OuterShare(0.65, math.radians(1.5))  # of the option, at the end of the file's working roll
TRAVEL = np.linspace(-60.0, 60.0, 25)  # mm
ROLL = np.linspace(-3.0, 3.0, 13) * np.pi / 180.0
RACK = np.linspace(-62.0, 62.0, 21)  # mm
TABLES = [f"front_{kind}" for kind in ("bump", "roll", "grid", "steer")] + [
    f"rear_{kind}" for kind in ("bump", "roll", "grid")
]


@cache
def swept(garage: Garage, table: str) -> Sweep:
    name, kind = table.split("_")
    axle = garage.car().axle(name)
    if kind == "bump":
        return sweep_bump(axle, TRAVEL, outer_share=SHARE)
    if kind == "roll":
        return sweep_roll(axle, ROLL, 4.0, outer_share=SHARE)
    if kind == "grid":
        return sweep_grid(axle, TRAVEL, ROLL, outer_share=SHARE)
    return sweep_steer(axle, RACK, outer_share=SHARE)


def wanted(garage: Garage, table: str, unit: str) -> dict[str, np.ndarray]:
    found: dict[str, np.ndarray] = {}
    for key, values in swept(garage, table).values.items():
        scaled = values * factor(KIND[key], unit)
        ending = in_title(KIND[key], unit)
        if values.ndim > len(swept(garage, table).shape):
            found[f"{key}_left{ending}"] = scaled[0].reshape(-1)
            found[f"{key}_right{ending}"] = scaled[1].reshape(-1)
        else:
            found[f"{key}{ending}"] = scaled.reshape(-1)
    return found


@pytest.mark.parametrize("table", TABLES)
def test_each_column_is_its_number_in_its_unit(garage: Garage, table: str, unit: str) -> None:
    told, numbers = columns(garage.ran("sweep", unit).folder / f"{table}.csv"), wanted(garage, table, unit)
    assert set(told) == set(numbers)
    for title, column in told.items():
        values = np.where(np.isfinite(numbers[title]), numbers[title], np.nan)
        # Far off, a roll centre has the rounding of its lines times its distance.
        assert_same(column, values, title, 1e-5 if "roll_centre" in title else 1e-6)


@pytest.mark.campaign
@pytest.mark.parametrize("table", TABLES)
def test_exchanged_sides_would_be_seen(garage: Garage, table: str) -> None:
    told = columns(garage.ran("sweep", "mm").folder / f"{table}.csv")
    for key in ("wheel_centre_y", "contact_x", "toe", "jacking_coefficient", "bump_steer", "half_track_change"):
        one = next(title for title in told if title.startswith(f"{key}_left"))
        assert_unlike(told[one], told[one.replace("_left", "_right")])


@pytest.mark.campaign
@pytest.mark.parametrize("table", [*TABLES, "front_steer_in_bump", "front_steer_in_roll"])
def test_both_units_tell_the_same_car(garage: Garage, table: str) -> None:
    metric, inches = (columns(garage.ran("sweep", unit).folder / f"{table}.csv") for unit in ("mm", "in"))
    for (title, values), (twin, others) in zip(metric.items(), inches.items(), strict=True):
        scale = 25.4 if title.endswith("_mm") and not title.endswith("_per_mm") else 1.0
        scale = 1.0 / 25.4 if title.endswith("_per_mm") else scale
        assert twin == (f"{title[:-2]}in" if scale != 1.0 else title)
        assert_same(others * scale, values, title, 1e-5)


@pytest.mark.campaign
@pytest.mark.parametrize(
    ("table", "column"), [("front_steer_in_bump", "heave_mm"), ("front_steer_in_roll", "roll_deg")]
)
def test_steer_away_from_ride_height(garage: Garage, table: str, column: str) -> None:
    """Each state is that of the steer sweep at its own bump or roll."""
    told = columns(garage.ran("sweep", "mm").folder / f"{table}.csv")
    drivers = np.unique(told[column])
    assert drivers[[0, -1]] == pytest.approx([-60.0, 60.0] if column == "heave_mm" else [-3.0, 3.0], abs=1e-9)
    at = told[column] == drivers[1]
    bump, roll = (-drivers[1], 0.0) if column == "heave_mm" else (0.0, np.radians(drivers[1]))
    alone = sweep_steer(garage.car().front, told["rack_travel_mm"][at], bump, roll, outer_share=SHARE)
    for title, side in (("steer_angle_left_deg", 0), ("steer_angle_right_deg", 1)):
        assert_same(told[title][at], np.degrees(alone["steer_angle"][side]).reshape(-1), title)
    assert_same(told["ackermann_percent"][at], 100.0 * alone["ackermann"].reshape(-1), "ackermann")


def test_one_wheel_alone_and_a_stated_rack(garage: Garage, unit: str) -> None:
    folder = garage.ran("right wheel", unit).folder
    inch = factor("length", unit)
    bump = columns(folder / "front_bump.csv")
    ends = np.array([-60.0, 60.0]) if unit == "mm" else np.array([-2.5, 2.5])
    right, left = (bump[f"travel_{side}{in_title('length', unit)}"] for side in ("right", "left"))
    assert_same(right[[0, -1]], ends, "ends")
    assert_same(left, np.zeros_like(left), "left")
    alone = sweep_bump(garage.car().front, right / inch, "right", outer_share=OuterShare(0.7, math.radians(1.5)))
    assert_same(bump[f"contact_y_right{in_title('length', unit)}"], alone["contact_y"][1] * inch, "right")
    steer = columns(folder / "front_steer.csv")[f"rack_travel{in_title('length', unit)}"]
    assert_same(steer, np.linspace(-30.0, 30.0, 21) * inch, "rack")


def _axis(car: Car) -> dict[str, np.ndarray]:
    """The line through both axles' heights, by hand; the centre of gravity turns with the body about the ground."""
    bump = np.linspace(-60.0, 60.0, 5)
    front, rear = (sweep_grid(axle, bump, ROLL, outer_share=SHARE) for axle in car.axles)
    heave, roll = -bump[:, None] + 0.0 * ROLL, ROLL + 0.0 * bump[:, None]
    found = {"heave": heave, "roll": roll}
    for of, key in (("roll_axis", "roll_centre_height"), ("force_weighted_axis", "force_weighted_height")):
        one, other = front[key], rear[key]
        found |= {
            f"front_{key}": one,
            f"rear_{key}": other,
            f"{of}_inclination": np.arctan((other - one) / 2560.0),
            f"{of}_under_centre_of_gravity": heave + 520.0 * np.cos(roll) - (one + 1142.0 / 2560.0 * (other - one)),
        }
    return found


def test_roll_axis_by_hand_from_both_axles(garage: Garage, unit: str) -> None:
    told = columns(garage.ran("sweep", unit).folder / "roll_axis.csv")
    numbers = _axis(garage.car())
    assert set(told) == {f"{key}{in_title(kind, unit)}" for key, kind in OF_ROLL_AXIS.items()}
    for key, kind in OF_ROLL_AXIS.items():
        values = numbers[key].reshape(-1) * factor(kind, unit)
        assert_same(told[f"{key}{in_title(kind, unit)}"], np.where(np.isfinite(values), values, np.nan), key, 1e-5)
