"""Figures of whole cars, of steering, side view and lean; front views of every suspension type: nothing overlaps."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from matplotlib.figure import Figure

from kinematics import demo_car, sweep_bump
from kinematics.car.car import Car
from kinematics.car.lengths import INCH, MM
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.demo_cars import DEMO_CARS
from kinematics.loads.report import LeanSheet, lean_sheet
from kinematics.sweeps.body import stances
from kinematics.sweeps.rack import sweep_steer
from kinematics.sweeps.roll_axis import roll_axis
from reports.figures.front_view import front_view
from reports.figures.lean_curves import lean_curves, rate_curves
from reports.figures.panels import SIDE_VIEW, STEER, along_rack, along_travel, panels
from reports.figures.roll_axis_curves import roll_axis_curves
from reports.figures.side_view import AxleAtRest, side_view
from reports.figures.style import Sheet
from reports.outputs.sweep_files import car_outputs
from tests.properties.plausible_cars import typical_axle
from tests.unit.test_figures import all_can_be_read, fits_a4

SHEET = Sheet("Curves of a car", "garage queen (invented)")
REST, TRAVEL, ROLL = np.zeros(1), np.linspace(-60.0, 60.0, 31), np.radians(np.linspace(-3.0, 3.0, 25))
CARS = {name: demo_car(file) for name, file in DEMO_CARS.items()}
SALOON = CARS["rear-drive-saloon"]


def drawn_from_the_left(car: Car) -> Figure:
    wheelbase = car.body.wheelbase or 0.0
    axles = [AxleAtRest(axle, sweep_bump(axle, REST), wheelbase * i) for i, axle in enumerate(car.axles)]
    axis = roll_axis(car, REST, REST) if len(car.axles) == 2 else None
    return side_view(axles, axis, car, SHEET)


def steering(car: Car) -> Figure:
    sweep = sweep_steer(car.front, np.linspace(-60.0, 60.0, 21))
    return panels(sweep, along_rack(sweep, car.unit), STEER, car.unit, SHEET)


def side_view_curves(car: Car, axle: int) -> Figure:
    sweep = sweep_bump(car.axles[axle], TRAVEL)
    return panels(sweep, along_travel(sweep, car.unit), SIDE_VIEW, car.unit, SHEET)


def axis_curves(car: Car) -> Figure:
    return roll_axis_curves(roll_axis(car, TRAVEL, REST), roll_axis(car, REST, ROLL), car, SHEET)


@cache
def leaned() -> LeanSheet:
    """The saloon's loads, found once."""
    return lean_sheet(SALOON, SALOON.limits.working)


FIGURES = {
    **{f"from the left {name}": lambda car=car: drawn_from_the_left(car) for name, car in CARS.items()},
    "from the left in inches": lambda: drawn_from_the_left(replace(SALOON, unit=INCH)),
    **{f"steering {name}": lambda car=car: steering(car) for name, car in CARS.items()},
    "side view strut": lambda: side_view_curves(CARS["lowered-coupe"], 0),
    "side view live axle": lambda: side_view_curves(SALOON, 1),
    "side view five link in": lambda: side_view_curves(replace(CARS["five-link-tourer"], unit=INCH), 1),
    "roll axis saloon": lambda: axis_curves(SALOON),
    "roll axis tourer in": lambda: axis_curves(replace(CARS["five-link-tourer"], unit=INCH)),
    "lean": lambda: lean_curves(leaned(), SALOON, SHEET),
    "lean in": lambda: lean_curves(leaned(), replace(SALOON, unit=INCH), SHEET),
    "wheel rates": lambda: rate_curves(leaned(), SALOON, SHEET),
    **{
        f"front view {name}": lambda kind=kind: front_view(stances(typical_axle(kind), [20.0], [0.02]), MM, SHEET)
        for name, kind in SUSPENSIONS.items()
    },
}


# A short run draws a few, and the front view of one type.
IN_SHORT = (
    "from the left rear-drive-saloon",
    "steering lowered-coupe",
    "side view live axle",
    "roll axis saloon",
    "lean in",
    "front view five link",
)


@pytest.fixture(
    scope="module",
    params=[
        pytest.param(
            name,
            id=name.replace(" ", "-"),
            marks=() if name in IN_SHORT else pytest.mark.campaign,
        )
        for name in FIGURES
    ],
)
def figure(request: pytest.FixtureRequest) -> Figure:
    return FIGURES[request.param]()


def test_no_text_is_cut_off_or_covers_another(figure: Figure) -> None:
    all_can_be_read(figure)


def test_axes_are_finite_and_say_their_unit(figure: Figure) -> None:
    for axes in figure.axes:
        assert np.isfinite([*axes.get_xlim(), *axes.get_ylim()]).all()
        label = axes.get_ylabel()
        assert any(f"[{unit}" in label for unit in ("mm", "in", "deg", "%", "N", "lb", "g")), label
    assert "[" in figure.axes[-1].get_xlabel()


def test_it_fits_a4_at_full_size(figure: Figure) -> None:
    fits_a4(figure)


def test_the_roll_axis_is_drawn_through_the_roll_centres() -> None:
    axes = drawn_from_the_left(SALOON).axes[0]
    heights = [float(sweep_bump(axle, REST)["roll_centre_height"][0]) for axle in SALOON.axles]
    wheelbase = SALOON.body.wheelbase
    drawn = [line.get_xydata() for line in axes.lines if len(line.get_xydata()) == 2]
    assert any(np.allclose(ends, [[0.0, heights[0]], [-wheelbase, heights[1]]], atol=1e-6) for ends in drawn)


def test_lean_curves_are_the_loads_in_balance() -> None:
    sheet = leaned()
    axes = lean_curves(sheet, SALOON, SHEET).axes[1]
    known = sheet.balance.solved
    loads = sheet.balance.load.reshape(4, -1)
    for line, load in zip(axes.lines, loads, strict=True):
        np.testing.assert_allclose(line.get_ydata()[known], load[known])


@pytest.mark.parametrize("known", [True, False])
def test_a_sweep_draws_the_car_from_its_left_where_its_wheelbase_is_known(known: bool) -> None:
    car = demo_car()
    front = replace(car.front, body=replace(car.body, wheelbase=None))
    own = car if known else replace(car, axles=(front,))
    assert ("side_view.svg" in [one.name for one in car_outputs(own, "svg")]) == known
