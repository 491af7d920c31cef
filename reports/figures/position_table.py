"""The numbers of one position, as a small table under a drawing: right wheel, axle, left wheel."""

from collections.abc import Sequence

import numpy as np

from kinematics.car.car import LEFT, RIGHT
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import FORCE_WEIGHTED, ROLL_CENTRE, Limit, Over
from kinematics.numbers.quantity import Dimension, Quantity, Where
from kinematics.numbers.registry import QUANTITIES, keys_shown, quantities_of
from kinematics.numbers.stance import Stance
from reports.figures.far_away import is_far
from reports.figures.style import LINE, MARGIN, SMALL, WIDTH, Column, allowed, number

Cell = tuple[str, str]  # title and value
Row = tuple[Cell, Cell, Cell]

_SHOWN = [QUANTITIES[key] for key in keys_shown(Where.BESIDE_DRAWING)]
_HEIGHTS = (ROLL_CENTRE.key, FORCE_WEIGHTED.key)
_LEVEL = 1e-9  # mm, rad
_EDGES = ((MARGIN, 2.26), (2.52, 4.68), (4.94, WIDTH - MARGIN))  # in, of the three columns


def position_rows(stance: Stance, unit: LengthUnit, limits: Sequence[Limit]) -> list[Row]:
    """Numbers of the first position of a stance, in the order in which a view from the front shows the car.

    Under a height that a limit speaks of here, level or in roll, what it allows.
    """
    axle_shown = stance.states.axle
    known = dict(quantities_of(axle_shown))
    if axle_shown.straight_ahead is None:
        known.pop("steer_angle", None)
    else:
        known.pop("toe")

    def told(quantity: Quantity, side: int | None) -> Cell:
        title = quantity.short or quantity.title
        value = quantity.read(stance)
        one = float(value[0] if side is None else value[side, 0])
        if np.isfinite(one) and not (quantity.dimension is Dimension.LENGTH and is_far(one)):
            return title, number(one, quantity.dimension, unit, sign=True)
        one_line = quantity.key == "roll_centre_offset" and bool(np.isfinite(stance.roll_centre[0, 1]))
        return title, "anywhere" if one_line else "at infinity"

    shown = [quantity for quantity in _SHOWN if quantity.key in known]
    axle = []
    for quantity in (one for one in shown if not one.per_side):
        axle.append(told(quantity, None))
        axle += _allowed(quantity, stance, limits, unit)
    right, left = ([told(quantity, side) for quantity in shown if quantity.per_side] for side in (RIGHT, LEFT))
    length = max(len(axle), len(left))
    padded = ([*column, *[("", "")] * (length - len(column))] for column in (right, axle, left))
    return list(zip(*padded, strict=True))


def _allowed(quantity: Quantity, stance: Stance, limits: Sequence[Limit], unit: LengthUnit) -> list[Cell]:
    """What limits say of a height of the axle in the stance's first position."""
    where = _place(stance)
    found = []
    for limit in limits:
        if limit.key == quantity.key in _HEIGHTS and where in limit.over:
            holds = bool(limit.margin(quantity.read(stance)[:1])[0] >= 0.0)
            found.append((allowed(limit, unit), "inside" if holds else "OUTSIDE"))
    return found


def _place(stance: Stance) -> Over:
    """The part of the working range to which the first position belongs."""
    raised, rolled = (abs(float(one[0])) > _LEVEL for one in (stance.attitude.heave, stance.attitude.roll))
    if raised and rolled:
        return "working range"
    return "roll" if rolled else "travel" if raised else "ride height"


def table_height(rows: Sequence[Row]) -> float:
    """Height of the table [in]."""
    return LINE * (len(rows) + 1) + 0.05


def write_table(column: Column, place: int, rows: Sequence[Row]) -> None:
    """Write the table into one row of a figure."""
    figure = column.figure
    top, below = column.top(place), column.top(place, LINE)
    # Line by line, since the lines of one text are not spaced to the inch.
    for k, ((start, end), head) in enumerate(zip(_EDGES, ("right wheel", "axle", "left wheel"), strict=True)):
        figure.text(start / WIDTH, top, head, fontsize=SMALL, fontweight="bold", va="top")
        for i, row in enumerate(rows):
            title, value = row[k]
            at = below - i * (top - below)
            figure.text(start / WIDTH, at, title, fontsize=SMALL, va="top")
            figure.text(end / WIDTH, at, value, fontsize=SMALL, va="top", ha="right")
