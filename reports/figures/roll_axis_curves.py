"""How the roll axis moves: its slope and its distance under the centre of gravity, in heave and in roll."""

from collections.abc import Mapping

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.numbers.roll_centre import through_infinity
from kinematics.sweeps.roll_axis import ROLL_AXIS, RollAxis, RollAxisNumber
from reports.figures import run_off
from reports.figures.legends import legend_above, legend_height
from reports.figures.style import GREY, MARGIN, SKY, SOLID, VERMILION, WIDTH, Column, Sheet, Style, paper, span
from solvers.vectors import Array, Flags

_LEFT, _LABEL, _HEIGHT, _BELOW = 0.62, 0.26, 1.35, 0.5  # in
_WIDE = WIDTH - _LEFT - MARGIN  # in
_WAYS: dict[str, Style] = {
    "force-weighted heights joined": {"color": VERMILION, "linestyle": SOLID, "linewidth": 1.4, "zorder": 2.2},
    "roll centres joined": {"color": SKY, "linestyle": SOLID, "linewidth": 3.4, "alpha": 0.7},
}
_BROKEN = (
    "The pale curve is broken where the roll centre of an axle lies more than a track width off the centre plane, on "
    "its way to infinity."
)
# Both ways of each number that is drawn.
_PAIRS = (
    ("force_weighted_axis_inclination", "roll_axis_inclination"),
    ("force_weighted_axis_under_centre_of_gravity", "roll_axis_under_centre_of_gravity"),
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
    notes: list[str] = []
    if any(_run_off(axis).any() for axis in (in_heave, in_roll)):
        notes.append(_BROKEN)
    column = Column(sheet, car.axles[0], rows, notes, whole_car=True)
    for i, (axis, values, label, what) in enumerate(parts):
        axes = column.axes(i, heads[i], _HEIGHT, _LEFT)
        _panel(axes, values, _numbers(axis, unit)[what], _run_off(axis))
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
    pairs = [(ROLL_AXIS[weighted], ROLL_AXIS[joined]) for weighted, joined in _PAIRS]
    return {
        joined.axis_label(unit): (_scaled(weighted, axis, unit), _scaled(joined, axis, unit))
        for weighted, joined in pairs
        if joined.read(axis) is not None
    }


def _run_off(axis: RollAxis) -> Flags:
    """Where one of the roll centres has run off sideways, or passes infinity before the next state (S,)."""
    off = np.zeros(axis.front.size, dtype=bool)
    for offsets, track in zip((axis.front_offset, axis.rear_offset), axis.tracks, strict=True):
        along = offsets.reshape(-1)
        off |= run_off.aside(along, track) < 0.0
        off[:-1] |= through_infinity(along, track)
    return off


def _scaled(number: RollAxisNumber, axis: RollAxis, unit: LengthUnit) -> Array:
    values = number.read(axis)
    assert values is not None  # only numbers that are known are drawn
    return values * number.dimension.scale(unit)


def _panel(axes: Axes, along: Array, both: tuple[Array, Array], off: Flags) -> None:
    weighted, joined = (values.reshape(-1) for values in both)
    joined = np.where(off, np.nan, joined)
    for values, style in zip((weighted, joined), _WAYS.values(), strict=True):
        axes.plot(along, values, **style)
    # The force-weighted curve stays finite, so it sets the frame; the other may leave it, within reason.
    steady = weighted[np.isfinite(weighted)]
    low, high = float(steady.min()), float(steady.max())
    reach = max(high - low, 0.25 * abs(high + low) / 2.0, 1.0)
    near = joined[np.isfinite(joined) & (np.abs(joined - 0.5 * (low + high)) < 1.5 * reach)]
    low, high = min([low, *near.tolist()]), max([high, *near.tolist()])
    spare = max(0.08 * (high - low), 1e-3 * abs(high), 0.05)
    axes.set_ylim(low - spare, high + spare)
    axes.set_xlim(*span(along))
    axes.axvline(0.0, color=GREY, linewidth=0.8)
