"""A car's numbers from state to state, with the doubt of each: a panel for each number, a column for each axle."""

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from kinematics.car.car import LEFT, RIGHT
from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.record.between import Solved
from kinematics.record.state import State
from reports.figures.style import BLUE, MARGIN, SMALL, VERMILION, WIDTH, Column, Sheet, paper
from reports.words.record import timeline_title
from solvers.vectors import Array

PANELS = ("roll_centre_height", "camber", "toe", "bump_steer")
# Least that a panel spans [mm, rad, rad/mm], so that rounding does not look like a change.
_LEAST = {Dimension.LENGTH: 4.0, Dimension.ANGLE: np.radians(0.2), Dimension.ANGLE_PER_LENGTH: np.radians(0.004)}
_HEAD, _PANEL, _FOOT = 0.28, 1.25, 0.12  # in: a panel's title, its height, what stands below it
_NAMES = 0.75  # in, below the last row: dates and names of states
_LEFT, _BETWEEN = 0.62, 0.75  # in
_APART = 0.08  # of the way between two states, by which left and right stand aside
_MOST_NAMED = 12  # dates beside one another across the page
_LETTERS = 18  # of a state's name below the panels
_NOTES = (
    "One step for each state, in order of date. Bars: 95 % of such measurements, to first order; no bar where a car "
    "file does not say how well it was measured. Where two states go back to the same readings, a change is surer than "
    "bars that overlap suggest.",
)


def timeline(states: Sequence[State], solved: Sequence[Mapping[str, Solved]], unit: LengthUnit) -> Figure:
    """Draw every state that was solved, by axle."""
    with paper():
        return _draw(states, solved, unit)


def _draw(states: Sequence[State], solved: Sequence[Mapping[str, Solved]], unit: LengthUnit) -> Figure:
    axles = list(dict.fromkeys(name for own in solved for name in own))
    panels = [key for key in PANELS if any(key in one.values for own in solved for one in own.values())]
    rows = [_HEAD + _PANEL + _FOOT for _ in panels]
    rows[-1] += _NAMES
    last = states[-1].car
    column = Column(Sheet(timeline_title(states, solved, unit), last.name), last.axles[0], rows, _NOTES, whole_car=True)
    wide = (WIDTH - _LEFT - MARGIN - _BETWEEN * (len(axles) - 1)) / len(axles)
    for at, name in enumerate(axles):
        left = _LEFT + at * (wide + _BETWEEN)
        for place, key in enumerate(panels):
            axes = column.axes(place, _HEAD, _PANEL, left, WIDTH - left - wide)
            symbol = QUANTITIES[key].dimension.unit(unit)
            axes.set_title(f"{name}: {QUANTITIES[key].title} [{symbol}]", loc="left", fontsize=SMALL + 0.5)
            _panel(axes, key, [own.get(name) for own in solved], unit)
            _below(axes, states, _MOST_NAMED // len(axles), named=place == len(panels) - 1)
    return column.figure


def _panel(axes: Axes, key: str, solved: Sequence[Solved | None], unit: LengthUnit) -> None:
    kind = QUANTITIES[key].dimension
    known = [(place, one) for place, one in enumerate(solved) if one is not None and key in one.values]
    both = QUANTITIES[key].per_side and any(_apart(one, key) for _, one in known)
    ends: list[Array] = []
    for side, colour, marker, label in _lines(both=both):
        at = np.array([place for place, _ in known]) + (0.0 if not both else _APART * (2 * side - 1))
        values = np.array([one.values[key].reshape(-1)[side] for _, one in known]) * kind.scale(unit)
        ways = [one.either_way_95(key) for _, one in known]
        bars = np.array([0.0 if way is None else way.reshape(-1)[side] for way in ways]) * kind.scale(unit)
        ends += [values - bars, values + bars]
        axes.errorbar(
            at, values, bars, color=colour, marker=marker, capsize=2.5, linewidth=1.2, elinewidth=0.9, label=label
        )
    if both:
        axes.legend(loc="best", ncols=2)
    if known:
        _widen(axes, ends, _LEAST[kind] * kind.scale(unit))


def _widen(axes: Axes, ends: Sequence[Array], least: float) -> None:
    """Let a panel span what its bars reach, with room, and no less than is worth showing."""
    low, high = float(np.min(ends)), float(np.max(ends))
    room = max(0.56 * (high - low), 0.5 * least)
    axes.set_ylim(0.5 * (low + high) - room, 0.5 * (low + high) + room)


def _apart(one: Solved, key: str) -> bool:
    left, right = one.values[key].reshape(-1)[[LEFT, RIGHT]]
    return abs(float(left - right)) > 1e-9


def _lines(*, both: bool) -> Sequence[tuple[int, str, str, str]]:
    if not both:
        return [(LEFT, BLUE, "o", "")]
    return [(LEFT, BLUE, "o", "left"), (RIGHT, VERMILION, "s", "right")]


def _below(axes: Axes, states: Sequence[State], most: int, *, named: bool) -> None:
    """Write below an axis when its states were, at most so many of them."""
    axes.set_xlim(-0.5, len(states) - 0.5)
    every = -(-len(states) // most)
    words = [f"{one.date}\n{one.title[:_LETTERS]}" if place % every == 0 else "" for place, one in enumerate(states)]
    axes.set_xticks(range(len(states)), words if named else [""] * len(states))
    if named:
        axes.tick_params(axis="x", rotation=30 if len(states) > 3 else 0)
        for label in axes.get_xticklabels():
            label.set_fontsize(SMALL - 1.0)
            if len(states) > 3:
                label.set_horizontalalignment("right")
                label.set_rotation_mode("anchor")
