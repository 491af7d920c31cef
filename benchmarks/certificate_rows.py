"""What it costs to certify every state: sweeps with the certificate, and with every certificate taken for granted."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from unittest.mock import patch

import numpy as np

from benchmarks.cars import typical_axle
from benchmarks.timing import Row, best_of
from kinematics import Axle, Sweep, sweep_bump, sweep_grid
from kinematics.car.suspensions import SUSPENSIONS
from solvers import moving, tracing
from solvers.elimination import PivotOrder, solve_many
from solvers.vectors import Array, Flags

_TIMED = ("double wishbone", "live axle with four links")
_TRAVEL: Array = np.linspace(-60.0, 60.0, 41)  # mm
_ROLL: Array = np.radians(np.linspace(-3.0, 3.0, 15))


def rows(quick: bool) -> Iterator[Row]:
    """Bump sweep and grid of an axle with independent corners and of a live one."""
    for name in _TIMED:
        axle = typical_axle(SUSPENSIONS[name])
        for what, sweep in (("bump sweep", _bump), ("grid", _grid)):
            certified, taken = partial(sweep, axle), partial(_taken_for_granted, sweep, axle)
            times = best_of(3 if quick else 60, 1, certified, taken)
            note = f"the certificate takes {100.0 * (1.0 - times[1] / times[0]):.0f} % of the sweep"
            yield Row(f"{name}: {what}, every state certified", *times, note, against="the same without")


def _bump(axle: Axle) -> Sweep:
    return sweep_bump(replace(axle), _TRAVEL)


def _grid(axle: Axle) -> Sweep:
    return sweep_grid(replace(axle), _TRAVEL, _ROLL)


def _taken_for_granted(sweep: Callable[[Axle], Sweep], axle: Axle) -> Sweep:
    with patch.object(tracing, "chain_holds", lambda *_: True), patch.object(moving, "same_branch", _same_sign):
        return sweep(axle)


def _same_sign(jacobian: Array, start: Array, sign: Array, order: PivotOrder | None) -> Flags:
    """Only what was asked before there were certificates."""
    return np.asarray(solve_many(jacobian, start[:, :1], order).sign == sign)
