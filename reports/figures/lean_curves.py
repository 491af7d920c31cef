"""Roll, wheel loads and grip left over lateral acceleration."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.units import Units
from kinematics.doubt.assessment import NORMAL_95
from kinematics.doubt.lean_doubt import LeanDoubt
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
    CurveNumber,
)
from reports.figures.curve_panels import BAND_ALPHA
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
BAND = "95 % of such cars"
_HOW = "Bands: from how well the file says the car is known, to first order."


@dataclass(frozen=True)
class _Line:
    """One line of a panel, and how far either way 95 % of such cars lie, in the units of the paper."""

    name: str
    values: Array
    style: Style
    way: Array | None = None


_Panel = tuple[str, list[_Line]]


def lean_curves(sheet: LeanSheet, car: Car, title: Sheet, doubt: LeanDoubt | None = None) -> Figure:
    """Draw the lean in balance, and the textbook's roll beside it, in a left-hand corner; with bands of its doubt."""
    with paper():
        return _draw(sheet, car, title, doubt)


def _draw(sheet: LeanSheet, car: Car, title: Sheet, doubt: LeanDoubt | None) -> Figure:
    found, units = sheet.balance, Units(car.unit)
    g = in_g(found.acceleration)

    def there(values: Array) -> Array:
        return np.where(found.solved, values, np.nan)

    def way(number: CurveNumber, *place: int) -> Array | None:
        if doubt is None:
            return None
        return np.asarray(doubt.half_width_95("lean", number.key)[place] * number.dimension.scale(car.unit))

    textbook = np.degrees(sheet.textbook.gradient) * found.acceleration
    held = [
        _Line(f"{name} tyres hold", there(in_g(sheet.grip.held[axle])), _AXLES[axle], way(HELD, axle))
        for axle, name in enumerate(("front", "rear"))
    ]
    panels: list[_Panel] = [
        (
            ROLL.axis_label(car.unit),
            [
                _Line("in balance", there(np.degrees(found.roll)), {"color": BLUE}, way(ROLL)),
                _Line("textbook, straight line", textbook, {"color": BLACK, "linestyle": DASHED, "linewidth": 1.2}),
            ],
        ),
        (
            WHEEL_LOAD.axis_label(car.unit),
            [
                _Line(
                    f"{name} {side_name}",
                    there(found.load[axle, side] / units.force),
                    {**_AXLES[axle], "linestyle": (SOLID, DASHED)[side]},
                    way(WHEEL_LOAD, axle, side),
                )
                for axle, name in enumerate(("front", "rear"))
                for side, side_name in enumerate(SIDE_NAMES)
            ],
        ),
        (
            HELD.axis_label(car.unit),
            [*held, _Line("asked for", g, {"color": GREY, "linestyle": DOTTED})],
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
    legends = [_legend(lines) for _, lines in panels]
    heads = [_LABEL + legend_height(list(legend), _WIDE) for legend in legends]
    notes = [*notes, *([_HOW] if any(BAND in legend for legend in legends) else [])]
    column = Column(title, car.axles[0], [*(head + _HEIGHT for head in heads), _BELOW], notes, whole_car=True)
    for i, ((label, lines), head) in enumerate(zip(panels, heads, strict=True)):
        axes = column.axes(i, head, _HEIGHT, _LEFT)
        for line in lines:
            axes.plot(x, line.values, **line.style)
            if line.way is not None:
                _, first, second = _ends(line)
                colour = line.style["color"]
                axes.fill_between(x, first, second, color=colour, alpha=BAND_ALPHA, linewidth=0.0, zorder=1.2)
        axes.set_xlim(float(x.min()), float(x.max()))
        drawn = np.concatenate([end for line in lines for end in _ends(line)])
        spread = drawn[np.isfinite(drawn)]
        spare = 0.05 * float(np.ptp(spread)) or 0.1
        low, high = float(spread.min()), float(spread.max())
        # Zero is in the picture unless it would flatten the curves.
        axes.set_ylim(min(0.0, low) if low < 0.5 * high else low - spare, high + spare)
        legend_above(axes, legends[i], _WIDE, _HEIGHT)
        axes.set_ylabel(label, rotation=0, horizontalalignment="left", verticalalignment="bottom")
        axes.yaxis.set_label_coords(0.0, 1.0 + (head - _LABEL + 0.03) / _HEIGHT)
        axes.tick_params(labelbottom=i == len(panels) - 1)
        if i == len(panels) - 1:
            axes.set_xlabel(label_below)
    return column.figure


def _legend(lines: Sequence[_Line]) -> dict[str, Artist]:
    """Marks by words: of each line, and of its band where there is one."""
    marks: dict[str, Artist] = {line.name: Line2D([], [], **line.style) for line in lines}
    banded = {line.style["color"] for line in lines if line.way is not None}
    if not banded:
        return marks
    return {**marks, BAND: Patch(facecolor=banded.pop() if len(banded) == 1 else GREY, alpha=BAND_ALPHA, linewidth=0.0)}


def _ends(line: _Line) -> Iterator[Array]:
    """The line, and the ends of its band."""
    yield line.values
    if line.way is not None:
        yield from (line.values - line.way, line.values + line.way)


def rate_curves(sheet: LeanSheet, car: Car, title: Sheet, doubt: LeanDoubt | None = None) -> Figure:
    """Draw wheel rates, motion ratios and spring forces over the working travel, mean of both sides, with bands."""
    with paper():
        return _draw_rates(sheet, car, title, doubt)


def _draw_rates(sheet: LeanSheet, car: Car, title: Sheet, doubt: LeanDoubt | None) -> Figure:
    units = Units(car.unit)
    axles = ((sheet.front, "front", _AXLES[0]), (sheet.rear, "rear", _AXLES[1]))
    wheel: list[_Line] = []
    ratio: list[_Line] = []
    force: list[_Line] = []
    for i, (one, name, look) in enumerate(axles):
        found = one.rates
        bump = found.wheel_rate.mean(axis=0) / units.rate
        in_roll = (found.wheel_rate_in_roll + found.bar_in_roll).mean(axis=0) / units.rate
        dashed: Style = {**look, "linestyle": DASHED}
        roll_way = _mean_way(doubt, i, units.rate, "wheel_rate_in_roll", "bar_in_roll")
        wheel.append(_Line(f"{name}, in bump", bump, look, _mean_way(doubt, i, units.rate, "wheel_rate")))
        wheel.append(_Line(f"{name}, in roll with bar", in_roll, dashed, roll_way))
        ratio.append(_Line(name, found.motion_ratio.mean(axis=0), look, _mean_way(doubt, i, 1.0, "motion_ratio")))
        forces = found.spring_force.mean(axis=0) / units.force
        force.append(_Line(name, forces, look, _mean_way(doubt, i, units.force, "spring_force")))
    panels: list[_Panel] = [
        (WHEEL_RATE.axis_label(car.unit), wheel),
        (f"{MOTION_RATIO.title} [{car.unit.symbol}/{car.unit.symbol}]", ratio),
        (SPRING_FORCE.axis_label(car.unit), force),
    ]
    along = (sheet.front.rates.travel / car.unit.in_mm, TRAVEL.axis_label(car.unit))
    return _stacked(panels, along, ["Over the working travel of the limits; mean of left and right."], car, title)


def _mean_way(doubt: LeanDoubt | None, axle: int, unit: float, *keys: str) -> Array | None:
    """95 % either way of the mean of both sides (S,) of the sum of numbers over travel, in a unit."""
    if doubt is None:
        return None
    slopes = np.stack([doubt.first["rates", key].slopes[:, axle].mean(axis=1) for key in keys]).sum(axis=0)
    return np.asarray(NORMAL_95 * np.sqrt((slopes**2).sum(axis=0)) / unit)
