"""Scales drawn with a few strokes against Matplotlib's own: every figure's picture is the same to the last dot."""

import io
from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.ticker import AutoMinorLocator
from PIL import Image

from kinematics import demo_car, influence, lean_sheet, sweep_bump, sweep_roll, travel_budgets
from kinematics.sweeps.body import stances
from reports import curves_figure, front_view_figure, influence_figure, lean_figure, travel_figure
from reports.figures.light_axes import lighten
from reports.figures.style import paper
from tests.short_run import at_places

CAR = demo_car("rear_drive_saloon.toml")


def odd_scales() -> Figure:
    """Small and large numbers, none at all, scales turned round, words of another size, and a grid that is off."""
    figure = Figure(figsize=(4.0, 6.0))
    for place, (low, high) in enumerate([(-1e-4, 3e-4), (2e6, -1e6), (1.0, 1.0 + 1e-9)]):
        axes = figure.add_axes((0.25, 0.08 + 0.31 * place, 0.7, 0.2))
        axes.set_xlim(low, high)
        axes.set_ylim(high, low)
        axes.set_xlabel("along")
        axes.set_ylabel("up")
        axes.tick_params(labelsize=5.0 + place, labelbottom=place != 1)
        axes.grid(visible=place != 2, axis="y")
    return figure


def two_scales() -> Figure:
    """What is not plain is left to Matplotlib: marks in between, and words on the other side."""
    figure = Figure(figsize=(4.0, 3.0))
    axes = figure.add_axes((0.2, 0.2, 0.6, 0.6))
    axes.xaxis.set_minor_locator(AutoMinorLocator())
    axes.tick_params(labelright=True, right=True)
    return figure


FIGURES: dict[str, Callable[[], Figure]] = {
    "odd scales": odd_scales,
    "two scales": two_scales,
    "front view": lambda: front_view_figure(stances(CAR.front, np.zeros(1), np.zeros(1)), CAR),
    "bump": lambda: curves_figure(sweep_bump(CAR.rear, np.linspace(-60.0, 60.0, 41)), CAR),
    "roll": lambda: curves_figure(sweep_roll(CAR.front, np.linspace(-0.05, 0.05, 41)), CAR),
    "influence": lambda: influence_figure(influence(CAR.front), CAR),
    "lean": lambda: lean_figure(lean_sheet(CAR), CAR),
    "travel": lambda: travel_figure(travel_budgets(CAR, [], CAR.limits.working), CAR),
}


def dots(figure: Figure) -> np.ndarray:
    file = io.BytesIO()
    figure.savefig(file, format="png")
    return np.asarray(Image.open(file))


@pytest.mark.campaign
@pytest.mark.parametrize("name", at_places(FIGURES, 0, 1, 2))
def test_the_same_dots(name: str) -> None:
    with paper():
        theirs = dots(FIGURES[name]())
        figure = FIGURES[name]()
        lighten(figure)
        ours = dots(figure)
        again = dots(figure)
    np.testing.assert_array_equal(ours, theirs)
    np.testing.assert_array_equal(again, theirs)
    assert 0.01 < (theirs[..., :3] < 128).any(axis=2).mean() < 0.9  # there is something to see
