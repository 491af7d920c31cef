"""Several labelled sweeps in one figure: one colour and marker each, and their legend."""

import textwrap
from collections.abc import Sequence

import numpy as np
from matplotlib.lines import Line2D

from kinematics.car.car import LEFT, RIGHT
from kinematics.sweeps.body import Sweep
from reports.figures.legends import LOOK, columns_in, legend_height
from reports.figures.style import BLACK, BLUE, GREEN, MARGIN, PURPLE, VERMILION, WIDTH, Column, Style
from solvers.vectors import Array

Sweeps = Sequence[tuple[str, Sweep]]

# Line styles are left for telling apart what belongs to one plan.
_LOOKS = ((BLACK, "o"), (BLUE, "s"), (VERMILION, "^"), (GREEN, "D"), (PURPLE, "v"))
_WIDE = WIDTH - 2 * MARGIN  # in
_LONGEST = 90  # characters in a line of a plan's label


def check(sweeps: Sweeps) -> None:
    """Raise ValueError for sweeps that a figure of curves cannot show."""
    if not sweeps:
        raise ValueError("there is no sweep to draw")
    if any(sweep.kind == "grid" for _, sweep in sweeps):
        raise ValueError("a grid of bump and roll has no curves to draw; draw a bump or a roll sweep")
    if any(sweep.axle.batch_shape for _, sweep in sweeps):
        raise ValueError("a figure shows one car per label, not a batch of variants")
    labels = len({label for label, _ in sweeps})
    if labels > len(_LOOKS):
        raise ValueError(f"at most {len(_LOOKS)} plans stay readable in one figure, got {labels}")


def plan_style(index: int, samples: int) -> Style:
    """Colour and marker of a plan; its markers are shifted against those of the others."""
    colour, marker = _LOOKS[index]
    step = max(1, samples // 6)
    return {"color": colour, "marker": marker, "markevery": (index * step // len(_LOOKS), step)}


def plans_height(labels: Sequence[str]) -> float:
    """Height [in] of the legend of these plans; none without labels."""
    return legend_height([_folded(label) for label in labels], _WIDE)


def plan_legend(column: Column, labels: Sequence[str]) -> None:
    """Write the plans' legend into a figure's first row."""
    if not labels:
        return
    marks = [Line2D([], [], color=colour, marker=marker) for colour, marker in _LOOKS[: len(labels)]]
    words = [_folded(label) for label in labels]
    column.figure.legend(
        marks, words, loc="upper left", bbox_to_anchor=(MARGIN / WIDTH, column.top(0, 0.05)),
        ncols=columns_in(words, _WIDE), borderaxespad=0.0, **LOOK,
    )  # fmt: skip


def _folded(label: str) -> str:
    return textwrap.fill(label, _LONGEST)


def driver_of(sweep: Sweep) -> Array:
    """What a sweep runs over (S,): roll [rad], or the travel [mm] of the wheel that moves most."""
    if sweep.kind == "roll":
        return sweep["roll"]
    return np.asarray(sweep["travel"][moving_side(sweep)])


def moving_side(sweep: Sweep) -> int:
    """The side whose wheel travels farther in a bump sweep; left where both move alike."""
    span = np.nanmax(sweep["travel"], axis=-1) - np.nanmin(sweep["travel"], axis=-1)
    return RIGHT if span[RIGHT] > span[LEFT] + 1e-6 else LEFT
