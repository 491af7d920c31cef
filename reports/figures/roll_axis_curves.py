"""How the roll axis moves: its slope and its distance under the centre of gravity, in heave and in roll."""

from collections.abc import Mapping

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.sweeps.roll_axis import ROLL_AXIS, RollAxis, RollAxisNumber
from reports.figures.legends import legend_above, legend_height
from reports.figures.style import BLUE, DASHED, GREY, MARGIN, SOLID, VERMILION, WIDTH, Column, Sheet, Style, paper, span
from solvers.vectors import Array

_LEFT, _LABEL, _HEIGHT, _BELOW = 0.62, 0.26, 1.35, 0.5  # in
_WIDE = WIDTH - _LEFT - MARGIN  # in
_WAYS: dict[str, Style] = {
    "roll centres joined": {"color": BLUE, "linestyle": SOLID},
    "force-weighted heights joined": {"color": VERMILION, "linestyle": DASHED},
}
# Both ways of each number that is drawn.
_PAIRS = (
    ("roll_axis_inclination", "force_weighted_axis_inclination"),
    ("roll_axis_under_centre_of_gravity", "force_weighted_axis_under_centre_of_gravity"),
)


def roll_axis_curves(in_heave: RollAxis, in_roll: RollAxis, car: Car, sheet: Sheet) -> Figure:
    """Draw the axis over heave without roll, (B, 1), and over roll at ride height, (1, R)."""
    with paper():
        return _draw(in_heave, in_roll, car, sheet)


def _draw(in_heave: RollAxis, in_roll: RollAxis, car: Car, sheet: Sheet) -> Figure:
    unit = car.unit
    legend: dict[str, Artist] = {words: Line2D([], [], **style) for words, style in _WAYS.items()}
    above = legend_height(list(legend), _WIDE)
    heave, roll = (
        (_scaled(ROLL_AXIS[key], axis, unit).reshape(-1), ROLL_AXIS[key].axis_label(unit))
        for key, axis in (("heave", in_heave), ("roll", in_roll))
    )
    both = ((in_heave, heave), (in_roll, roll))
    parts = [(axis, *along, what) for axis, along in both for what in _numbers(axis, unit)]
    heads = [_LABEL + (above if i == 0 else 0.0) for i in range(len(parts))]
    per_axis = len(parts) // 2
    ends = [i % per_axis == per_axis - 1 for i in range(len(parts))]
    rows = [head + _HEIGHT + (_BELOW if end else 0.0) for head, end in zip(heads, ends, strict=True)]
    notes = [
        "Where an axle's roll centre runs off towards infinity, the solid curve turns steeply or leaves the picture."
    ]
    column = Column(sheet, car.axles[0], rows, notes, whole_car=True)
    for i, (axis, values, label, what) in enumerate(parts):
        axes = column.axes(i, heads[i], _HEIGHT, _LEFT)
        _panel(axes, values, _numbers(axis, unit)[what])
        axes.set_ylabel(what, rotation=0, horizontalalignment="left", verticalalignment="bottom")
        axes.yaxis.set_label_coords(0.0, 1.0 + ((above if i == 0 else 0.0) + 0.03) / _HEIGHT)
        axes.tick_params(labelbottom=ends[i])
        if ends[i]:
            axes.set_xlabel(label)
        if i == 0:
            legend_above(axes, legend, _WIDE, _HEIGHT)
    return column.figure


def _numbers(axis: RollAxis, unit: LengthUnit) -> Mapping[str, tuple[Array, Array]]:
    """Label and both ways of each number, in the units of the paper."""
    pairs = [(ROLL_AXIS[joined], ROLL_AXIS[weighted]) for joined, weighted in _PAIRS]
    return {
        one.axis_label(unit): (_scaled(one, axis, unit), _scaled(other, axis, unit))
        for one, other in pairs
        if one.read(axis) is not None
    }


def _scaled(number: RollAxisNumber, axis: RollAxis, unit: LengthUnit) -> Array:
    values = number.read(axis)
    assert values is not None  # only numbers that are known are drawn
    return values * number.dimension.scale(unit)


def _panel(axes: Axes, along: Array, both: tuple[Array, Array]) -> None:
    for values, style in zip(both, _WAYS.values(), strict=True):
        axes.plot(along, values.reshape(-1), **style)
    # The force-weighted curve stays finite, so it sets the frame; the other may leave it, within reason.
    steady = both[1][np.isfinite(both[1])]
    low, high = float(steady.min()), float(steady.max())
    reach = max(high - low, 0.25 * abs(high + low) / 2.0, 1.0)
    near = both[0][np.isfinite(both[0]) & (np.abs(both[0] - 0.5 * (low + high)) < 1.5 * reach)]
    low, high = min([low, *near.tolist()]), max([high, *near.tolist()])
    spare = max(0.08 * (high - low), 1e-3 * abs(high), 0.05)
    axes.set_ylim(low - spare, high + spare)
    axes.set_xlim(*span(along))
    axes.axvline(0.0, color=GREY, linewidth=0.8)
