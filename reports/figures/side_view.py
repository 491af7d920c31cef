"""The car drawn to scale as seen from its left: linkage, side-view instant centres, roll centres and roll axis."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle

from kinematics.car.car import LEFT, Axle, Car
from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension, Where
from kinematics.numbers.registry import QUANTITIES, keys_shown
from kinematics.sweeps.body import Sweep
from kinematics.sweeps.roll_axis import RollAxis
from reports.figures.far_away import is_far
from reports.figures.labels import Direction, Labels
from reports.figures.legends import legend_above, legend_height
from reports.figures.style import (
    BLACK,
    BLUE,
    DASHED,
    GREEN,
    GREY,
    MARGIN,
    PURPLE,
    SOLID,
    VERMILION,
    WIDTH,
    Column,
    Sheet,
    Style,
    number,
    paper,
)
from reports.words.roll_axis import roll_axis_words
from reports.words.side_view import side_view_terms
from solvers.vectors import Array

_LEFT, _BELOW = 0.62, 0.58  # in
_WIDE = WIDTH - _LEFT - MARGIN  # in
_BESIDE, _ABOVE, _UNDER = 120.0, 100.0, 200.0  # mm shown beside the wheels, over them and under the ground
_LEAST = 2200.0  # mm shown along a car of which one axle is known
_LOOK: dict[str, Style] = {
    "link or arm": {"color": BLUE, "linewidth": 1.6, "linestyle": SOLID, "zorder": 3},
    "contact point to side-view instant centre": {
        "color": PURPLE, "linewidth": 1.0, "linestyle": DASHED, "zorder": 2.5,
    },
    "roll axis": {"color": VERMILION, "linewidth": 1.8, "linestyle": SOLID, "zorder": 4},
    "centre of gravity over the roll axis": {
        "color": BLACK, "linewidth": 1.2, "linestyle": (0, (1, 1.2)), "zorder": 3.5,
    },
}  # fmt: skip


_UNIT = re.compile(r"(?<=\d) (?=mm|in|deg|%)")  # the blank between a number and its unit


@dataclass(frozen=True)
class AxleAtRest:
    """One axle at ride height: its sweep of that one state, and how far behind the front wheel centres it is [mm]."""

    axle: Axle
    sweep: Sweep
    behind: float

    def ahead(self, x: float) -> float:
        """Place ahead of the front wheel centres of a point ahead of this axle's."""
        return x - self.behind


def side_view(axles: Sequence[AxleAtRest], axis: RollAxis | None, car: Car, sheet: Sheet) -> Figure:
    """Draw the car's left side at ride height, the car facing left; axis: of that one state, None without one."""
    with paper():
        return _draw(axles, axis, car, sheet)


def _draw(axles: Sequence[AxleAtRest], axis: RollAxis | None, car: Car, sheet: Sheet) -> Figure:
    unit = car.unit
    radius = max(float(one.axle.radius[LEFT]) for one in axles)
    left = max(radius + _BESIDE, _LEAST / 2.0 if len(axles) == 1 else 0.0, *(_ends(one)[1] for one in axles))
    right = min(-axles[-1].behind - radius - _BESIDE, -_LEAST / 2.0, *(_ends(one)[0] for one in axles))
    heights = [2.0 * radius, *(float(point[LEFT, 2]) for one in axles for point in one.axle.points.values())]
    if axis is not None and axis.centre_of_gravity is not None:
        heights.append(_first(axis.centre_of_gravity))
    top = max(heights) + _ABOVE
    height = _WIDE * (top + _UNDER) / (left - right)
    there = ["link or arm", "contact point to side-view instant centre"]
    if axis is not None:
        there.append("roll axis")
        there += ["centre of gravity over the roll axis"] if axis.under_gravity is not None else []
    legend: dict[str, Artist] = {words: Line2D([], [], **_LOOK[words]) for words in there}
    head = 0.1 + legend_height(list(legend), _WIDE)
    notes = ["Drawn to scale, the car's left side, facing left.", *_numbers(axles, axis, unit)]
    column = Column(sheet, axles[0].axle, [head + height, _BELOW], notes, whole_car=True)
    axes = column.axes(0, head, height, _LEFT)
    axes.set_xlim(left / unit.in_mm, right / unit.in_mm)  # ahead is on the left
    axes.set_ylim(-_UNDER / unit.in_mm, top / unit.in_mm)
    axes.set_aspect("equal")
    axes.set_xlabel(f"ahead of the {axles[0].axle.name} wheel centres [{unit.symbol}] (negative: behind)")
    axes.set_ylabel(f"height [{unit.symbol}]", verticalalignment="center")
    axes.yaxis.set_label_coords(-0.5 / _WIDE, 0.5)
    _Pen(axes, unit).draw(axles, axis)
    legend_above(axes, legend, _WIDE, height)
    return column.figure


def _ends(one: AxleAtRest) -> tuple[float, float]:
    """Rearmost and foremost measured point on the left, with a little room."""
    ahead = [one.ahead(float(point[LEFT, 0])) for point in one.axle.points.values()]
    return min(ahead) - 0.5 * _BESIDE, max(ahead) + 0.5 * _BESIDE


def _first(values: Array) -> float:
    return float(values.reshape(-1)[0])


def _over_ground(height: float, unit: LengthUnit) -> str:
    return f"{number(abs(height), Dimension.LENGTH, unit)} {'over' if height >= 0.0 else 'under'} the ground"


def _numbers(axles: Sequence[AxleAtRest], axis: RollAxis | None, unit: LengthUnit) -> list[str]:
    """What the drawing shows, in words and numbers."""
    said = []
    for one in axles:
        sweep, name = one.sweep, one.axle.name
        arm = float(sweep["side_view_swing_arm"][LEFT, 0])
        words = [f"roll centre {_over_ground(_first(sweep['roll_centre_height']), unit)}"]
        where = f"{number(abs(arm), Dimension.LENGTH, unit)} {'ahead' if arm > 0.0 else 'behind'}"
        far = "left side-view instant centre at infinity"
        words.append(far if is_far(arm) else f"left side-view swing arm {where}")
        anti = [QUANTITIES[key] for key in keys_shown(Where.UNDER_SIDE_VIEW) if key in sweep.values]
        words += [f"{each.title} {number(float(sweep[each.key][LEFT, 0]), each.dimension, unit)}" for each in anti]
        said.append(f"{name.capitalize()}: {', '.join(words)}.")
        if anti:
            said.append(side_view_terms(one.axle, unit))
    if axis is not None:
        said.append(roll_axis_words(axis, unit))
    # A number stays with its unit where a line ends.
    return [_UNIT.sub("\N{NO-BREAK SPACE}", text) for text in said]


class _Pen:
    """Draws into axes in the user's unit and remembers what labels must not cover."""

    def __init__(self, axes: Axes, unit: LengthUnit) -> None:
        self._axes, self._unit = axes, unit
        self._labels = Labels(axes)

    def draw(self, axles: Sequence[AxleAtRest], axis: RollAxis | None) -> None:
        """Everything, labels last."""
        right, left = sorted(self._axes.get_xlim())
        self._line(
            [(left * self._unit.in_mm, 0.0), (right * self._unit.in_mm, 0.0)], {"color": BLACK, "linewidth": 1.4}
        )
        notes: list[tuple[tuple[float, float], str, tuple[Direction, ...]]] = []
        for one in axles:
            self._wheel(one)
            self._linkage(one)
            notes += self._instant_centre(one)
        if axis is not None:
            front, rear = (0.0, _first(axis.front)), (-axis.wheelbase, _first(axis.rear))
            self._line([front, rear], _LOOK["roll axis"])
            for place, name in ((front, "front"), (rear, "rear")):
                self._mark(place, "o", VERMILION, 8.0)
                notes.append((place, f"{name} roll centre", ((0, -1), (1, -1), (-1, -1), (0, 1))))
            notes += self._gravity(axis)
        for (x, y), words, prefer in notes:
            place = (x / self._unit.in_mm, y / self._unit.in_mm)
            self._labels.place(place, words, must=True, prefer=prefer, color=BLACK)

    def _line(self, points: Sequence[tuple[float, float]], style: Style) -> None:
        at = np.array(points) / self._unit.in_mm
        self._axes.plot(at[:, 0], at[:, 1], **style)
        self._labels.keep_clear(at)

    def _mark(self, place: tuple[float, float], marker: str, colour: str, size: float) -> None:
        x, y = (value / self._unit.in_mm for value in place)
        look: Style = {"color": colour, "markersize": size, "markeredgecolor": BLACK, "markeredgewidth": 0.8}
        self._axes.plot([x], [y], marker, zorder=7, **look)
        self._labels.take_mark((x, y), 0.7 * size)

    def _wheel(self, one: AxleAtRest) -> None:
        centre = one.axle.points["wheel_centre"][LEFT]
        x, z, radius = (value / self._unit.in_mm for value in (one.ahead(centre[0]), centre[2], one.axle.radius[LEFT]))
        self._axes.add_patch(Circle((x, z), radius, facecolor="#F6F6F6", edgecolor=GREY, linewidth=1.2, zorder=0.8))
        turn = np.linspace(0.0, 2.0 * np.pi, 73)
        self._labels.keep_clear(np.stack([x + radius * np.cos(turn), z + radius * np.sin(turn)], axis=-1))

    def _linkage(self, one: AxleAtRest) -> None:
        kind = one.axle.suspension
        pairs = list(kind.all_links) + ([] if kind.strut is None else [(kind.strut.low, kind.strut.top_mount)])
        hinged = {hinge.part: (hinge.first, hinge.second) for hinge in kind.hinges}
        for part, ends in hinged.items():
            pairs += [(key, end) for key in kind.points_on(part) if key not in ends for end in ends]
        pairs += [(ball.at, "wheel_centre") for ball in kind.balls if kind.bodies[0] in (ball.part, ball.on)]
        pairs += [(rest.at, "wheel_centre") for rest in kind.height_supports]
        joints = set()
        for pair in pairs:
            places = [(one.ahead(float(at[0])), float(at[2])) for at in (one.axle.points[key][LEFT] for key in pair)]
            self._line(places, _LOOK["link or arm"])
            joints |= {(x / self._unit.in_mm, z / self._unit.in_mm) for x, z in places}
        ring: Style = {"color": BLACK, "markerfacecolor": "white", "markersize": 3.6, "zorder": 4}
        self._axes.plot([x for x, _ in joints], [y for _, y in joints], "o", **ring)

    def _instant_centre(self, one: AxleAtRest) -> list[tuple[tuple[float, float], str, tuple[Direction, ...]]]:
        """The line from the left contact point to its instant centre, or to the frame where it lies outside."""
        sweep = one.sweep
        start = np.array([one.ahead(float(sweep["contact_x"][LEFT, 0])), 0.0])
        centre = np.array(
            [one.ahead(float(sweep["side_view_centre_x"][LEFT, 0])), float(sweep["side_view_centre_z"][LEFT, 0])]
        )
        if not np.isfinite(centre).all():
            return []
        right, left = (value * self._unit.in_mm for value in sorted(self._axes.get_xlim()))
        bottom, top = (value * self._unit.in_mm for value in self._axes.get_ylim())
        way = centre - start
        ends = np.where(way > 0.0, [left, top], [right, bottom])
        with np.errstate(divide="ignore", invalid="ignore"):
            parts = np.where(way == 0.0, np.inf, (ends - start) / way)
        part = float(parts.min())
        end = start + min(1.0, 0.98 * part) * way
        self._line([(float(start[0]), float(start[1])), (float(end[0]), float(end[1]))],
                   _LOOK["contact point to side-view instant centre"])  # fmt: skip
        if part < 1.0:
            at = (float(end[0]), float(end[1]))
            return [(at, f"to {one.axle.name} instant centre", ((0, 1), (1, 1), (-1, 1), (0, -1)))]
        self._mark((float(centre[0]), float(centre[1])), "D", PURPLE, 6.0)
        place = (float(centre[0]), float(centre[1]))
        return [(place, f"{one.axle.name} side-view\ninstant centre", ((0, 1), (1, 1), (-1, 1), (0, -1)))]

    def _gravity(self, axis: RollAxis) -> list[tuple[tuple[float, float], str, tuple[Direction, ...]]]:
        under = axis.under_gravity
        if under is None or axis.behind_front is None or axis.centre_of_gravity is None:
            return []
        place = (-_first(axis.behind_front), _first(axis.centre_of_gravity))
        foot = (place[0], place[1] - _first(under))
        self._line([place, foot], _LOOK["centre of gravity over the roll axis"])
        self._mark(place, "P", GREEN, 9.0)
        arm = number(_first(under), Dimension.LENGTH, self._unit)
        return [
            (place, "centre of gravity", ((0, 1), (1, 1), (-1, 1))),
            ((place[0], 0.5 * (place[1] + foot[1])), arm, ((1, 0), (-1, 0))),
        ]
