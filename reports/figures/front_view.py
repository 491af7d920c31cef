"""The axle drawn to scale as seen from the front: linkage, instant centres and roll centre of one position."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon, Rectangle

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES, SIDES
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import ROLL_CENTRE, Limit
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.stance import Stance
from reports.figures.front_view_geometry import FrontView, front_view_of
from reports.figures.front_view_look import (
    ARM_ANGLES,
    FINE_DASH,
    GHOST,
    GHOSTLY,
    LOOK,
    PALE,
    front_view_legend,
    roll_centre_words,
)
from reports.figures.labels import Direction, Labels
from reports.figures.legends import legend_above, legend_height
from reports.figures.position_table import position_rows, table_height, write_table
from reports.figures.style import (
    BLACK,
    BLUE,
    GREEN,
    GREY,
    MARGIN,
    PALE_BLUE,
    PALE_GREEN,
    PALE_GREY,
    PURPLE,
    SMALL,
    TEXT,
    VERMILION,
    WIDTH,
    Column,
    Sheet,
    Style,
    number,
    paper,
)
from solvers.vectors import Array

_LEFT, _BELOW = 0.62, 0.58  # in
_WIDE = WIDTH - _LEFT - MARGIN  # in
_STUB = 260.0  # mm, arrow towards an instant centre outside the drawing
_TIP = 60.0  # mm, arrow towards a roll centre outside the drawing
_CHAIN = (0, (8, 2, 1, 2))


def front_view(stance: Stance, unit: LengthUnit, sheet: Sheet, limits: Sequence[Limit] = ()) -> Figure:
    """Draw the first position of one car's stance to scale, its numbers underneath; any suspension type.

    The car's left side is on the right of the picture. Limits of the roll-centre height are shaded.
    """
    view = front_view_of(stance)
    with paper():
        return _draw(view, stance, unit, sheet, limits)


def _draw(view: FrontView, stance: Stance, unit: LengthUnit, sheet: Sheet, limits: Sequence[Limit]) -> Figure:
    left, right, bottom, top = (edge / unit.in_mm for edge in view.frame)
    height = _WIDE * (top - bottom) / (right - left)
    table = position_rows(stance, unit, limits)
    limits = [limit for limit in limits if limit.key == ROLL_CENTRE.key]
    legend = front_view_legend(view, unit, limits)
    head = 0.1 + legend_height(list(legend), _WIDE)
    rows = [head + height, _BELOW, table_height(table)]
    notes = ["Drawn to scale, but for the tyres' width, which is not measured."]
    notes += [ARM_ANGLES] if view.arms else []
    column = Column(sheet, stance.states.axle, rows, notes)
    axes = column.axes(0, head, height, _LEFT)
    axes.set_xlabel(f"sideways from the centre plane [{unit.symbol}] (positive: towards the car's left)")
    axes.set_ylabel(f"height over the ground [{unit.symbol}]", verticalalignment="center")
    axes.yaxis.set_label_coords(-0.5 / _WIDE, 0.5)
    draw_front_view(axes, view, unit, limits)
    legend_above(axes, legend, _WIDE, height)
    write_table(column, 2, table)
    return column.figure


def draw_front_view(
    axes: Axes,
    view: FrontView,
    unit: LengthUnit,
    limits: Sequence[Limit] = (),
    *,
    ghost: FrontView | None = None,
    brief: bool = False,
    seen: bool = True,
    bare: bool = False,
) -> None:
    """Draw a view into axes already placed on paper, to scale and with its labels, in the user's unit.

    ghost: what it is drawn over, pale. brief: without instant centres, for a small drawing. seen:
    whether it says in words from where. bare: without any words.
    """
    left, right, bottom, top = (edge / unit.in_mm for edge in view.frame)
    axes.set_xlim(left, right)
    axes.set_ylim(bottom, top)
    axes.set_aspect("equal")
    pen = _Pen(axes, view, unit)
    if ghost is not None:
        pen.ghost(ghost)
    pen.draw(limits, brief=brief, seen=seen and not brief, bare=bare)


@dataclass(frozen=True)
class _Note:
    """A label still to be placed: its point [mm], words, and directions to try first; must: it may not be left out."""

    point: Array
    words: str
    prefer: tuple[Direction, ...]
    short: str = ""
    colour: str = BLACK
    weight: str = "normal"
    must: bool = True


class _Pen:
    """Draws a view into its axes, in the user's unit, and remembers what labels must not cover."""

    def __init__(self, axes: Axes, view: FrontView, unit: LengthUnit) -> None:
        self._axes, self._view, self._unit = axes, view, unit
        self._labels = Labels(axes)

    def ghost(self, view: FrontView) -> None:
        """The linkage and roll centre of another car, pale and without words."""
        for look, (one, other) in view.stiff:
            for side in (LEFT, RIGHT):
                self._line([one[side], other[side]], {**PALE, "linewidth": LOOK[look][1]["linewidth"]})
        for start, end in view.links:
            self._line([start, end], PALE)
        for corners in (*view.tyre, *view.parts):
            at = self._paper(corners)
            self._axes.add_patch(Polygon(at, linewidth=1.0, facecolor="none", edgecolor=GHOSTLY, zorder=1.0))
        if self._view.shows(view.roll_centre):
            x, y = (float(one) for one in self._paper(view.roll_centre))
            ring: Style = {"color": "none", "markersize": 9.0, "markeredgecolor": GHOSTLY, "markeredgewidth": 2.0}
            self._axes.plot([x], [y], "o", zorder=6.5, label=f"roll centre {GHOST}", **ring)
            self._labels.take_mark((x, y), 6.0)

    def draw(self, limits: Sequence[Limit], *, brief: bool, seen: bool, bare: bool) -> None:
        """Everything, labels last, when all lines are known; brief: without instant centres; seen: from where."""
        self._surroundings(limits)
        if not bare:
            self._sides(brief=brief, seen=seen)
        self._bodies()
        self._linkage()
        rolling = self._roll_centre()
        notes = [] if brief else [rolling]
        for side in (LEFT, RIGHT):
            self._construction(side, brief=brief)
            notes += [] if brief else self._instant_centre(side)
        if self._view.arms and not bare:
            notes += [self._arm_angle(side) for side in (LEFT, RIGHT)]
        for note in notes:
            x, y = self._paper(note.point)
            how = {"short": note.short, "prefer": note.prefer, "color": note.colour, "weight": note.weight}
            self._labels.place((float(x), float(y)), note.words, must=note.must, **how)  # type: ignore[arg-type]

    def _paper(self, points: Array) -> Array:
        return points / self._unit.in_mm

    def _line(self, points: Sequence[Array], style: Style, name: str = "") -> None:
        at = self._paper(np.array(points))
        self._axes.plot(at[:, 0], at[:, 1], label=name, **style)
        self._labels.keep_clear(at)

    def _surroundings(self, limits: Sequence[Limit]) -> None:
        left, right, bottom, top = self._view.frame
        for limit in limits:
            low, high = max(bottom, limit.low), min(top, limit.high)
            (x, y), (x_end, y_end) = (self._paper(np.array(corner)) for corner in ((left, low), (right, high)))
            self._axes.add_patch(Rectangle((x, y), x_end - x, y_end - y, facecolor=PALE_GREEN, zorder=0.3))
            for end in (limit.low, limit.high):
                if bottom < end < top:
                    style: Style = {"color": GREEN, "linewidth": 0.8, "zorder": 0.4}
                    self._line([np.array([left, end]), np.array([right, end])], style)
        ground: Style = {"color": BLACK, "linewidth": 1.4, "zorder": 1.5}
        self._line([np.array([left, 0.0]), np.array([right, 0.0])], ground)

    def _sides(self, *, brief: bool, seen: bool) -> None:
        """Which side of the car is where, and from where it is seen."""
        for x, words, align, weight in (
            (0.012, f"car's {SIDE_NAMES[RIGHT]}", "left", "bold"),
            (0.5, "seen from the front" if seen else "", "center", "normal"),
            (0.988, f"car's {SIDE_NAMES[LEFT]}", "right", "bold"),
        ):
            # There is room under the ground; at the top strut mounts and the body's edge are.
            text = self._axes.text(
                x, 0.025, words, transform=self._axes.transAxes, ha=align, va="bottom",
                fontsize=SMALL if brief else TEXT, fontweight=weight,
            )  # fmt: skip
            self._labels.take(text)

    def _bodies(self) -> None:
        view = self._view
        # Behind a live axle the body would be hidden, so there its edge lies on top.
        over = {"facecolor": "none", "zorder": 2.0} if view.kind.whole_axle else {"facecolor": PALE_GREY, "zorder": 0.5}
        self._outline(view.body, edgecolor=GREY, linestyle=":", **over)
        for side in (LEFT, RIGHT):
            tyre = view.tyre[side]
            self._outline(tyre, facecolor="#FFFFFFA0", edgecolor=GREY, zorder=1.2)
            plane: Style = {"color": GREY, "linewidth": 0.7, "linestyle": _CHAIN, "zorder": 1.3}
            self._line([view.contact[side], 0.5 * (tyre[0] + tyre[1])], plane)
        for part in view.parts:
            self._outline(part, facecolor=PALE_BLUE, edgecolor=BLUE, zorder=1.8)

    def _outline(self, corners: Array, **style: object) -> None:
        at = self._paper(corners)
        self._axes.add_patch(Polygon(at, linewidth=0.9, **style))  # type: ignore[arg-type]
        self._labels.keep_clear(np.concatenate([at, at[:1]]))

    def _linkage(self) -> None:
        view = self._view
        kinds = view.stiff
        for look, (one, other) in kinds:
            for side in (LEFT, RIGHT):
                self._line([one[side], other[side]], LOOK[look][1], f"{SIDE_NAMES[side]} {look}")
        for start, end in view.links:
            side = LEFT if start[0] + end[0] > 0.0 else RIGHT
            self._line([start, end], LOOK["link"][1], f"{SIDE_NAMES[side]} link")
        ends = [end for _, ends in kinds for end in ends]
        ends += [np.array(link) for link in view.links]
        ends += [np.array([at]) for _, _, key in view.kind.jointed for at in view.points[key]]
        joints = self._paper(np.concatenate(ends))
        ring: Style = {"color": BLACK, "markerfacecolor": "white", "markersize": 4.5, "zorder": 4}
        self._axes.plot(joints[:, 0], joints[:, 1], "o", **ring)
        for x, y in joints:
            self._labels.take_mark((float(x), float(y)))

    def _construction(self, side: int, *, brief: bool) -> None:
        """Lines from the contact point to the roll centre and on to the instant centre, and the arm lines."""
        view = self._view
        start, rolling, centre = view.contact[side], view.roll_centre, view.instant_centre[side]
        # Where the roll centre is at infinity both lines go on for ever; then the way inboard is shown.
        aim = rolling if np.isfinite(rolling).all() else start + 1e5 * view.inboard[side]
        self._line([start, view.towards(start, aim)], LOOK["contact"][1], f"{SIDE_NAMES[side]} contact")
        if view.shows(centre) and not view.kind.whole_axle and not brief:
            self._line([rolling if view.shows(rolling) else start, centre], LOOK["onward"][1])
            for at, direction in view.guides:
                along = direction[side] / np.hypot(*direction[side])
                end = at[side] + along * float(along @ (centre - at[side]))
                self._line([at[side], end], LOOK["guide"][1], f"{SIDE_NAMES[side]} guide")
            self._mark(centre, "D", PURPLE, 6.0, f"{SIDE_NAMES[side]} instant centre")

    def _instant_centre(self, side: int) -> list[_Note]:
        """What to write at an instant centre; the arrow towards it where it lies outside."""
        view = self._view
        if view.kind.whole_axle:
            return []  # a live axle turns about its roll centre
        centre, start, name = view.instant_centre[side], view.contact[side], SIDE_NAMES[side]
        outwards = int(SIDES[side])
        prefer: tuple[Direction, ...] = ((0, -1), (-outwards, -1), (outwards, -1), (0, 1))
        if view.shows(centre):
            return [_Note(centre, f"{name} instant centre\n{self._coordinates(centre)}", prefer)]
        way = view.inboard[side]
        if np.isfinite(centre).all() and float(way @ (centre - start)) < 0.0:
            way = -way
        ahead = float(way @ (view.roll_centre - start)) if np.isfinite(view.roll_centre).all() else 0.0
        start = start + way * max(ahead, 0.0)
        if not view.shows(start) or not np.isfinite(view.roll_centre).all():
            return []  # the line to the roll centre leads there already
        tip = view.towards(start, start + _STUB * way)
        if float(np.hypot(*(tip - start))) < 0.35 * _STUB:
            return []  # no room for an arrow; the table has the numbers
        self._arrow(start, tip)
        # Where it is that far out its place tells nothing; the table has the numbers, and the legend what the line is.
        return [_Note(tip, f"to {name} instant centre", prefer, must=False)]

    def _roll_centre(self) -> _Note:
        view = self._view
        rolling = view.roll_centre
        first, second = roll_centre_words(view, self._unit)
        if not np.isfinite(rolling).all():
            return _Note(np.zeros(2), f"{first}:\n{second}", ((0, -1),), weight="bold")
        words = f"{first},\n{second}"
        prefer: tuple[Direction, ...] = ((0, -1), (1, -1), (-1, -1), (0, 1))
        if view.shows(rolling):
            self._mark(rolling, "o", VERMILION, 9.0, "roll centre")
            return _Note(rolling, words, prefer, weight="bold")
        # Both contact lines lead there; the arrow goes on the one that stays longer in the drawing.
        ways = [view.towards(start, rolling) - start for start in view.contact]
        side = int(np.argmax([np.hypot(*way) for way in ways]))
        tip = view.contact[side] + ways[side]
        self._arrow(tip - _TIP * ways[side] / np.hypot(*ways[side]), tip)
        return _Note(tip, f"to the {words}", prefer, weight="bold")

    def _arm_angle(self, side: int) -> _Note:
        """The lower arm's angle, written beside its inner end, with a level line to read it from."""
        inner, outer = (end[side] for end in self._view.arms[0])
        level = {**LOOK["guide"][1], "linewidth": 0.7, "linestyle": ":"}
        self._line([outer, np.array([inner[0], outer[1]])], level)
        angle = float(np.arctan2(inner[1] - outer[1], abs(inner[0] - outer[0])))
        inwards = -int(SIDES[side])
        prefer: tuple[Direction, ...] = ((0, -1), (-inwards, -1), (inwards, -1), (inwards, 0), (0, 1))
        return _Note(
            0.7 * inner + 0.3 * outer,
            f"arm {number(angle, Dimension.ANGLE, self._unit, sign=True)}",
            prefer,
            colour=BLUE,
        )

    def _mark(self, point: Array, marker: str, colour: str, size: float, name: str) -> None:
        x, y = (float(one) for one in self._paper(point))
        look: Style = {"color": colour, "markersize": size, "markeredgecolor": BLACK, "markeredgewidth": 0.8}
        self._axes.plot([x], [y], marker, zorder=7, label=name, **look)
        self._labels.take_mark((x, y), 0.7 * size)

    def _arrow(self, start: Array, tip: Array) -> None:
        look: Style = {"arrowstyle": "-|>", "color": VERMILION, "linewidth": 0.9, "linestyle": FINE_DASH}
        ends = self._paper(np.array([start, tip]))
        self._axes.annotate("", ends[1], ends[0], arrowprops={**look, "shrinkA": 0.0, "shrinkB": 0.0}, zorder=5)
        self._labels.keep_clear(ends)

    def _coordinates(self, point: Array) -> str:
        if not np.isfinite(point).all():
            return "at infinity"
        y, z = (number(float(one), Dimension.LENGTH, self._unit).split()[0] for one in point)
        return f"({y}, {z}) {self._unit.symbol}"
