"""Roll, wheel loads and grip left over lateral acceleration."""

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from kinematics.car import SIDE_NAMES, Car
from kinematics.loads.report import LeanSheet, in_g
from kinematics.units import Units
from reports.legends import legend_above, legend_height
from reports.style import (
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
from solvers.vectors import Array

_LEFT, _LABEL, _HEIGHT, _BELOW = 0.62, 0.26, 1.7, 0.5  # in
_WIDE = WIDTH - _LEFT - MARGIN  # in
_Line = tuple[str, Array, Style]


def lean_curves(sheet: LeanSheet, car: Car, title: Sheet) -> Figure:
    """Draw the lean in balance, and the textbook's roll beside it, in a left-hand corner."""
    with paper():
        return _draw(sheet, car, title)


def _draw(sheet: LeanSheet, car: Car, title: Sheet) -> Figure:
    found, units = sheet.balance, Units(car.unit)
    g = in_g(found.acceleration)

    def there(values: Array) -> Array:
        return np.where(found.solved, values, np.nan)

    colours = (BLUE, VERMILION)
    textbook = np.degrees(sheet.textbook.gradient) * found.acceleration
    held: list[_Line] = [
        (f"{name} tyres hold", there(in_g(sheet.grip.held[axle])), {"color": colours[axle]})
        for axle, name in enumerate(("front", "rear"))
    ]
    panels: list[tuple[str, list[_Line]]] = [
        (
            "roll of the body [deg] (leaning outwards)",
            [
                ("in balance", there(np.degrees(found.roll)), {"color": BLUE}),
                ("textbook, straight line", textbook, {"color": BLACK, "linestyle": DASHED, "linewidth": 1.2}),
            ],
        ),
        (
            f"wheel loads [{units.force_symbol}]",
            [
                (
                    f"{name} {side_name}",
                    there(found.load[axle, side] / units.force),
                    {"color": colours[axle], "linestyle": (SOLID, DASHED)[side]},
                )
                for axle, name in enumerate(("front", "rear"))
                for side, side_name in enumerate(SIDE_NAMES)
            ],
        ),
        (
            "lateral acceleration that each end's simple tyres could hold [g]",
            [*held, ("asked for", g, {"color": GREY, "linestyle": DOTTED})],
        ),
    ]
    heads = [_LABEL + legend_height([name for name, _, _ in lines], _WIDE) for _, lines in panels]
    notes = ["Left-hand corner: the right wheels are the outer ones. A wheel without load is off the ground.",
             "The simple tyre serves to compare cars; it is no prediction of a lap time."]  # fmt: skip
    if not found.solved.all():
        last = float(g[found.solved].max())
        reason = "what is left on the ground cannot hold the roll, or a linkage ends"
        notes.append(f"Beyond {last:.2f} g no balance was found: {reason}.")
    column = Column(title, car.axles[0], [*(head + _HEIGHT for head in heads), _BELOW], notes, whole_car=True)
    for i, ((label, lines), head) in enumerate(zip(panels, heads, strict=True)):
        axes = column.axes(i, head, _HEIGHT, _LEFT)
        for _, values, style in lines:
            axes.plot(g, values, **style)
        axes.set_xlim(0.0, float(g.max()))
        spread = np.concatenate([values[np.isfinite(values)] for _, values, _ in lines])
        spare = 0.05 * float(np.ptp(spread))
        axes.set_ylim(min(0.0, float(spread.min())), float(spread.max()) + spare)
        legend_above(axes, {name: Line2D([], [], **style) for name, _, style in lines}, _WIDE, _HEIGHT)
        axes.set_ylabel(label, rotation=0, horizontalalignment="left", verticalalignment="bottom")
        axes.yaxis.set_label_coords(0.0, 1.0 + (head - _LABEL + 0.03) / _HEIGHT)
        axes.tick_params(labelbottom=i == len(panels) - 1)
        if i == len(panels) - 1:
            axes.set_xlabel("lateral acceleration [g]")
    return column.figure
