"""What people see: the command line, CSV files, figures and drawings.

In Python, figures of results that `kinematics` gives: curves_figure, roll_centre_figure, front_view_figure,
side_view_figure, steering_figure, roll_axis_figure, lean_figure, under_load_figure, wheel_rates_figure, travel_figure,
influence_figure, trade_off_figure, doubt_figure, shares_figure. Each takes a result and its car and returns a
Matplotlib figure.
"""

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reports.result_figures import (
        curves_figure,
        doubt_figure,
        front_view_figure,
        influence_figure,
        lean_figure,
        roll_axis_figure,
        roll_centre_figure,
        shares_figure,
        side_view_figure,
        steering_figure,
        trade_off_figure,
        travel_figure,
        under_load_figure,
        wheel_rates_figure,
    )

__all__ = [
    "curves_figure",
    "doubt_figure",
    "front_view_figure",
    "influence_figure",
    "lean_figure",
    "roll_axis_figure",
    "roll_centre_figure",
    "shares_figure",
    "side_view_figure",
    "steering_figure",
    "trade_off_figure",
    "travel_figure",
    "under_load_figure",
    "wheel_rates_figure",
]

if not TYPE_CHECKING:  # a type checker is to know what is there, and what is not

    def __getattr__(name: str) -> object:
        """Import a figure's function when it is asked for: the command line starts without."""
        if name in __all__:
            return getattr(importlib.import_module("reports.result_figures"), name)
        raise AttributeError(f"module 'reports' has no attribute {name!r}")


def __dir__() -> list[str]:
    return __all__
