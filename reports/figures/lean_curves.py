"""Roll, wheel loads and grip left over lateral acceleration."""

from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.units import Units
from kinematics.loads.lean import in_g
from kinematics.loads.report import LeanSheet
from kinematics.loads.sheet_numbers import (
    HELD,
    LATERAL_ACCELERATION,
    MOTION_RATIO,
    ROLL,
    SPRING_FORCE,
    TRAVEL,
    WHEEL_LOAD,
    WHEEL_RATE,
)
from reports.figures.legends import legend_above, legend_height
from reports.figures.style import (
    BLACK,
    BLUE,
    DASHED,
    DOTTED,
    GREY,
    MARGIN,
    SOLID,
    VERMILION,
    WIDTH,
    Column,
    Sheet,
    Style,
    paper,
)
from reports.words.lean import NO_BALANCE, WHY_NO_BALANCE
from solvers.vectors import Array

_LEFT, _LABEL, _HEIGHT, _BELOW = 0.62, 0.26, 1.7, 0.5  # in
_WIDE = WIDTH - _LEFT - MARGIN  # in
# Front and rear differ by colour, by weight and by marker; what is dashed is told beside.
_AXLES: tuple[Style, Style] = (
    {"color": BLUE, "linewidth": 1.4, "marker": "o", "markevery": 4},
    {"color": VERMILION, "linewidth": 2.2, "marker": "s", "markevery": (2, 4)},
)
_Line = tuple[str, Array, Style]
_Panel = tuple[str, list[_Line]]


def lean_curves(sheet: LeanSheet, car: Car, title: Sheet) -> Figure:
    """Draw the lean in balance, and the textbook's roll beside it, in a left-hand corner."""
    with paper():
        return _draw(sheet, car, title)


def _draw(sheet: LeanSheet, car: Car, title: Sheet) -> Figure:
    found, units = sheet.balance, Units(car.unit)
    g = in_g(found.acceleration)

    def there(values: Array) -> Array:
        return np.where(found.solved, values, np.nan)

    textbook = np.degrees(sheet.textbook.gradient) * found.acceleration
    held: list[_Line] = [
        (f"{name} tyres hold", there(in_g(sheet.grip.held[axle])), _AXLES[axle])
        for axle, name in enumerate(("front", "rear"))
    ]
    panels: list[_Panel] = [
        (
            ROLL.axis_label(car.unit),
            [
                ("in balance", there(np.degrees(found.roll)), {"color": BLUE}),
                ("textbook, straight line", textbook, {"color": BLACK, "linestyle": DASHED, "linewidth": 1.2}),
            ],
        ),
        (
            WHEEL_LOAD.axis_label(car.unit),
            [
                (
                    f"{name} {side_name}",
                    there(found.load[axle, side] / units.force),
                    {**_AXLES[axle], "linestyle": (SOLID, DASHED)[side]},
                )
                for axle, name in enumerate(("front", "rear"))
                for side, side_name in enumerate(SIDE_NAMES)
            ],
        ),
        (
            HELD.axis_label(car.unit),
            [*held, ("asked for", g, {"color": GREY, "linestyle": DOTTED})],
        ),
    ]
    notes = ["Left-hand corner: the right wheels are the outer ones. A wheel without load is off the ground.",
             "The simple tyre serves to compare cars; it is no prediction of a lap time."]  # fmt: skip
    if not found.solved.all():
        last = float(g[found.solved].max())
        notes.append(f"Beyond {last:.2f} g {NO_BALANCE}: {WHY_NO_BALANCE}.")
    return _stacked(panels, (g, LATERAL_ACCELERATION.axis_label(car.unit)), notes, car, title)


def _stacked(
    panels: Sequence[_Panel], along: tuple[Array, str], notes: Sequence[str], car: Car, title: Sheet
) -> Figure:
    """Panels above each other over one axis: values and label."""
    x, label_below = along
    heads = [_LABEL + legend_height([name for name, _, _ in lines], _WIDE) for _, lines in panels]
    column = Column(title, car.axles[0], [*(head + _HEIGHT for head in heads), _BELOW], notes, whole_car=True)
    for i, ((label, lines), head) in enumerate(zip(panels, heads, strict=True)):
        axes = column.axes(i, head, _HEIGHT, _LEFT)
        for _, values, style in lines:
            axes.plot(x, values, **style)
        axes.set_xlim(float(x.min()), float(x.max()))
        spread = np.concatenate([values[np.isfinite(values)] for _, values, _ in lines])
        spare = 0.05 * float(np.ptp(spread)) or 0.1
        low, high = float(spread.min()), float(spread.max())
        # Zero is in the picture unless it would flatten the curves.
        axes.set_ylim(min(0.0, low) if low < 0.5 * high else low - spare, high + spare)
        legend_above(axes, {name: Line2D([], [], **style) for name, _, style in lines}, _WIDE, _HEIGHT)
        axes.set_ylabel(label, rotation=0, horizontalalignment="left", verticalalignment="bottom")
        axes.yaxis.set_label_coords(0.0, 1.0 + (head - _LABEL + 0.03) / _HEIGHT)
        axes.tick_params(labelbottom=i == len(panels) - 1)
        if i == len(panels) - 1:
            axes.set_xlabel(label_below)
    return column.figure


def rate_curves(sheet: LeanSheet, car: Car, title: Sheet) -> Figure:
    """Draw wheel rates, motion ratios and spring forces over the working travel, mean of both sides."""
    with paper():
        return _draw_rates(sheet, car, title)


def _draw_rates(sheet: LeanSheet, car: Car, title: Sheet) -> Figure:
    units = Units(car.unit)
    axles = ((sheet.front, "front", _AXLES[0]), (sheet.rear, "rear", _AXLES[1]))
    wheel: list[_Line] = []
    ratio: list[_Line] = []
    force: list[_Line] = []
    for one, name, look in axles:
        found = one.rates
        wheel.append((f"{name}, in bump", found.wheel_rate.mean(axis=0) / units.rate, look))
        in_roll = (found.wheel_rate_in_roll + found.bar_in_roll).mean(axis=0) / units.rate
        wheel.append((f"{name}, in roll with bar", in_roll, {**look, "linestyle": DASHED}))
        ratio.append((name, found.motion_ratio.mean(axis=0), look))
        force.append((name, found.spring_force.mean(axis=0) / units.force, look))
    panels: list[_Panel] = [
        (WHEEL_RATE.axis_label(car.unit), wheel),
        (f"{MOTION_RATIO.title} [{car.unit.symbol}/{car.unit.symbol}]", ratio),
        (SPRING_FORCE.axis_label(car.unit), force),
    ]
    along = (sheet.front.rates.travel / car.unit.in_mm, TRAVEL.axis_label(car.unit))
    return _stacked(panels, along, ["Over the working travel of the limits; mean of left and right."], car, title)
