"""Figures for who works in Python: what is drawn is what the result holds, in the car's unit, under the same titles.

Properties, no source: curves are read back with `get_xydata` and held against the results' values.
"""

import inspect

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure

import kinematics as k
import reports
from tests.unit.api_results import COUPE, SALOON, made, means, question

TRAVEL, ROLL = np.linspace(-15.0, 15.0, 13), np.radians(np.linspace(-1.2, 1.2, 9))


def drawn(figure: Figure, wanted: np.ndarray, *, horizontal: bool = False) -> bool:
    """Whether some line of a figure has all these points (S, 2), or these places across."""
    for axes in figure.axes:
        for line in axes.lines:
            points = np.asarray(line.get_xydata())
            if horizontal:
                points = points[:, :1]
            if all(np.isclose(points, one, rtol=1e-6, atol=1e-6).all(axis=1).any() for one in np.atleast_2d(wanted)):
                return True
    return False


def over(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return np.stack([x, y], axis=1)


@pytest.fixture(scope="module")
def bump() -> k.Sweep:
    return k.sweep_bump(COUPE.front, TRAVEL)


@pytest.fixture(scope="module")
def roll() -> k.Sweep:
    return k.sweep_roll(COUPE.front, ROLL)


def test_curves_in_bump_and_in_roll(bump: k.Sweep, roll: k.Sweep) -> None:
    in_bump, in_roll = reports.curves_figure(bump, COUPE), reports.curves_figure(roll, COUPE)
    assert drawn(in_bump, over(TRAVEL, bump["roll_centre_height"]))
    assert drawn(in_bump, over(TRAVEL, np.degrees(bump["toe"][k.LEFT])))
    assert drawn(in_roll, over(np.degrees(ROLL), np.degrees(roll["camber"][k.RIGHT])))
    assert "Roll centre" in in_bump.get_suptitle() + "".join(text.get_text() for text in in_bump.texts)


def test_several_by_name(bump: k.Sweep) -> None:
    after = made("compare")[1].axles["front"].axle
    other = k.sweep_bump(after, TRAVEL)
    figure = reports.curves_figure({"as measured": bump, "shimmed": other}, COUPE)
    for sweep in (bump, other):
        assert drawn(figure, over(TRAVEL, sweep["roll_centre_height"]))


def test_the_path_of_the_roll_centre(bump: k.Sweep, roll: k.Sweep) -> None:
    figure = reports.roll_centre_figure(bump, roll, COUPE)
    assert drawn(figure, over(bump["roll_centre_offset"], bump["roll_centre_height"]))


@pytest.mark.campaign
def test_side_view_and_steering(bump: k.Sweep) -> None:
    figure = reports.side_view_figure(bump, COUPE)
    shown = [key for key in ("anti_dive", "caster_change") if key in bump]
    assert shown
    for key in shown:
        assert drawn(figure, over(TRAVEL, bump.in_unit(key)[k.LEFT]))
    steer = k.sweep_steer(COUPE.front, np.linspace(-20.0, 20.0, 9))
    turned = reports.steering_figure(steer, COUPE)
    assert drawn(turned, over(steer["rack_travel"], np.degrees(steer["steer_angle"][k.LEFT])))


def test_lean_and_wheel_rates() -> None:
    sheet = made("lean_sheet")
    figure = reports.lean_figure(sheet, SALOON)
    known = np.isfinite(sheet["roll"])
    assert drawn(figure, over(sheet["lateral_acceleration"][known], np.degrees(sheet["roll"][known])))
    rates = sheet.wheel_rates
    assert drawn(reports.wheel_rates_figure(sheet, SALOON), over(rates["travel"], rates["wheel_rate"][0].mean(axis=0)))


def test_roll_axis() -> None:
    in_heave, in_roll = k.roll_axis(SALOON, TRAVEL, 0.0), k.roll_axis(SALOON, 0.0, ROLL)
    figure = reports.roll_axis_figure(in_heave, in_roll, SALOON)
    inclination = in_heave.in_unit("force_weighted_axis_inclination").reshape(-1)
    assert drawn(figure, over(-TRAVEL, inclination))


def bars(axes: Axes) -> list[float]:
    return sorted(abs(patch.get_width()) for patch in axes.patches if hasattr(patch, "get_width"))


@pytest.mark.campaign
def test_influence_travel_trade_off_and_doubt() -> None:
    found = made("influence")
    (_, _, largest) = found.ranked("roll_centre_height")[0]
    assert any(abs(largest) == pytest.approx(width, rel=1e-6) for axes in
               reports.influence_figure(found, COUPE).axes for width in bars(axes))  # fmt: skip
    budgets = made("travel_budgets")
    assert len(reports.travel_figure(budgets, COUPE).axes) >= 1
    assert len(reports.trade_off_figure(made("find"), COUPE).axes) == 1
    study = made("assess")
    figure = reports.doubt_figure(study, COUPE)
    curve = study.curves["bump"]
    assert drawn(figure, over(curve["travel"][k.LEFT], curve["roll_centre_height"]))
    assert len(reports.shares_figure(study, COUPE).axes) >= 1


def test_the_axle_from_the_front() -> None:
    stance = k.stances(COUPE.front, 0.0, 0.0)
    figure = reports.front_view_figure(stance, COUPE)
    height = float(stance.roll_centre[0, 1])
    points = np.concatenate([np.asarray(line.get_xydata()) for axes in figure.axes for line in axes.lines])
    assert np.isclose(points, [0.0, height], atol=1e-3).all(axis=1).any()


def test_all_that_is_exported_is_a_figure_that_explains_itself() -> None:
    assert dir(reports) == sorted(reports.__all__)
    for name in reports.__all__:
        function = getattr(reports, name)
        assert function.__doc__
        assert inspect.signature(function).return_annotation == "Figure"
    with pytest.raises(AttributeError, match="no_such_figure"):
        _ = reports.no_such_figure


@pytest.mark.parametrize(
    ("call", "kind", "words"),
    [
        (
            lambda: reports.curves_figure(COUPE.front, COUPE),
            TypeError,
            "or several by name: {name: sweep}; read an axle",
        ),
        (lambda: reports.curves_figure(made("sweep_grid"), COUPE), ValueError, "read a grid sweep"),
        (lambda: reports.curves_figure(made("sweep_bump"), COUPE.front), TypeError, "takes a car, not one axle of it"),
        (
            lambda: reports.roll_centre_figure(made("sweep_roll"), made("sweep_bump"), COUPE),
            ValueError,
            "sweep_bump gi",
        ),
        (lambda: reports.lean_figure(COUPE, COUPE), TypeError, "takes what lean_sheet(car) gives; read a car"),
        (lambda: reports.doubt_figure(None, COUPE), TypeError, "states no doubt; read nothing"),
        (lambda: reports.shares_figure(made("assess"), COUPE, ["cambre"]), KeyError, "did you mean"),
        (lambda: reports.doubt_figure(k.assess(COUPE.front, k.Question(), COUPE.limits), COUPE), ValueError, "neither"),
        (lambda: reports.trade_off_figure(means(), COUPE), TypeError, "takes what find(...) gives"),
        (lambda: reports.influence_figure(question(), COUPE), TypeError, "takes what influence(axle) gives"),
    ],
)
def test_wrong_arguments_are_told(call: object, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind) as caught:
        call()
    assert words in str(caught.value)
