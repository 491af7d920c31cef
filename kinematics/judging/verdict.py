"""The verdict: how an axle fares against its limits."""

import math
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.limits import FORCE_WEIGHTED, ROLL_CENTRE, Limit, Limits, Over, WorkingRange
from kinematics.motion.moving_axle import MovingAxle
from kinematics.motion.reasons import Reason
from kinematics.numbers.outer_share import within
from kinematics.numbers.quantity import ReportedNumber
from kinematics.numbers.registry import QUANTITIES
from kinematics.numbers.roll_centre import through_infinity
from kinematics.numbers.rows import Rows
from kinematics.numbers.tables import in_columns
from kinematics.sweeps.arguments import refuse_many_cars, refuse_no_limits
from kinematics.sweeps.asked import made_ready, over_working
from kinematics.sweeps.body import Sweep, sweep_bump, sweep_grid, sweep_roll
from solvers.vectors import Array, Column, Flags

_USUAL_RANGE = WorkingRange()
_NOWHERE = (math.nan, math.nan)
_ALIKE = 1e-9  # mm, rad
_STEPS = 60  # of the working range, for judging; crossings are found between steps
_GRID = 20, 12  # steps of travel and of roll where both are combined


@dataclass(frozen=True, repr=False)
class Finding:
    """How one limit fares over one part of the working range.

    worst: of the values in the states that can be reached, the least far inside or the farthest outside, not finite
    where it runs to infinity; at: the travel [mm] or roll [rad] where, NaN where nothing is reached; over the working
    range the travel by which the body is lowered, and at_roll the roll [rad] with it. margin: its distance inside the
    range, negative outside. span: of the finite values. leaves: where the range is left, going out from ride height, on
    either side; none over the working range. trouble: why some of the range cannot be reached, and so is not judged.
    working: the range that it was judged over.
    """

    axle: str
    limit: Limit
    over: Over
    side: str
    worst: float
    at: float
    margin: float
    span: tuple[float, float]
    leaves: tuple[float, ...]
    trouble: tuple[Reason, ...]
    at_roll: float = math.nan
    working: WorkingRange = _USUAL_RANGE

    @property
    def holds(self) -> bool:
        """Whether the limit holds all over."""
        return self.margin >= 0.0 and not self.trouble

    @property
    def about(self) -> ReportedNumber:
        """What is known of the limited number: title, meaning, dimension, and which way is positive."""
        return QUANTITIES[self.limit.key]

    def __repr__(self) -> str:
        fares = "holds" if self.holds else "does not hold"
        return (
            f"<{self.axle} {_name(self)}: {fares}, worst {self._shown(self.worst)}, margin {self._shown(self.margin)}>"
        )

    def _shown(self, value: float) -> str:
        kind = self.about.dimension
        return f"{value * kind.scale(MM):.4g} {kind.unit(MM)}".rstrip()


@dataclass(frozen=True, repr=False)
class Verdict(Rows[Finding]):
    """How an axle fares: a finding for each limit, part of the working range and side, looked up by these."""

    axle: Axle
    findings: tuple[Finding, ...]
    what = "finding"

    def __repr__(self) -> str:
        holding = sum(finding.holds for finding in self.findings)
        return f"<verdict on a {self.axle.name} {self.axle.suspension.name}: {holding} of {len(self)} findings hold>"

    def _records(self) -> tuple[Finding, ...]:
        return self.findings

    def keys(self) -> list[str]:
        """Names of all findings: number, part of the working range, and side if the sides differ."""
        return list(map(_name, self.findings))

    def columns(self, unit: LengthUnit = MM) -> dict[str, Column]:
        """One row a finding; low, high, worst and margin in the unit of its number, which stands beside them."""
        return in_columns(_row(one, unit) for one in self)


def _row(one: Finding, unit: LengthUnit) -> dict[str, Any]:
    scale = one.about.dimension.scale(unit)
    roll = {"roll": one.at, "working range": one.at_roll}.get(one.over, math.nan)
    return {
        "axle": one.axle,
        "number": one.limit.key,
        "over": one.over,
        "side": one.side,
        "unit": one.about.dimension.unit(unit),
        "low": one.limit.low * scale,
        "high": one.limit.high * scale,
        "worst": one.worst * scale,
        "margin": one.margin * scale,
        f"at_travel_{unit.symbol}": math.nan if one.over == "roll" else unit.from_mm(one.at),
        "at_roll_deg": math.degrees(roll),
        "holds": one.holds,
    }


def _name(finding: Finding) -> str:
    return ", ".join(filter(None, (finding.limit.key, finding.over, finding.side)))


def judge(axle: Axle, limits: Limits, ready: MovingAxle | None = None) -> Verdict:
    """Hold an axle against its limits, such as `car.limits`, over each part of the working range that they name.

    ready: the same axle, where it is ready to move over the working range already.
    """
    refuse_many_cars(axle, "judge")
    refuse_no_limits(limits, "judge")
    asked = limits.of(axle)
    sweeps = working_sweeps(ready or made_ready(axle, *over_working(limits.working)), limits, asked)
    found = (_judge_sides(limit, over, sweeps[over], limits.working) for limit in asked for over in limit.over)
    return Verdict(axle, tuple(finding for findings in found for finding in findings))


def worst_combined(axle: Axle, limits: Limits, ready: MovingAxle | None = None) -> Finding | None:
    """The limited height of the front axle where it is worst over travel and roll at once, asked for or not.

    Of the force-weighted height, or else of the roll centre's; None where neither is limited, or of a rear axle.
    ready: the same axle, where it is ready to move over the working range already.
    """
    by_key = {limit.key: limit for limit in limits.of(axle)} if axle.name == "front" else {}
    limit = by_key.get(FORCE_WEIGHTED.key) or by_key.get(ROLL_CENTRE.key)
    if limit is None:
        return None
    everywhere = [replace(limit, over=("working range",))]
    sweeps = working_sweeps(ready or made_ready(axle, *over_working(limits.working)), limits, everywhere)
    (found,) = _judge_sides(limit, "working range", sweeps["working range"], limits.working)
    return found


def margins(axle: Axle, limits: Limits, ready: MovingAxle | None = None) -> dict[tuple[str, Over], Array]:
    """Distance inside each limit, worst over its part of the working range and both sides, for variants (...).

    ready: the same axle, where it is ready to move over the working range already.
    """
    asked = limits.of(axle)
    sweeps = working_sweeps(ready or made_ready(axle, *over_working(limits.working)), limits, asked)
    found = {}
    for limit in asked:
        for over in limit.over:
            inside = limit.margin(sweeps[over][limit.key])
            own = inside.ndim - len(axle.batch_shape)
            found[limit.key, over] = inside.min(axis=tuple(range(-own, 0)))
    return found


def working_sweeps(
    ready: MovingAxle,
    limits: Limits,
    asked: Iterable[Limit],
    steps: int = _STEPS,
    grid: tuple[int, int] = _GRID,
    only: Collection[str] | None = None,
) -> Mapping[Over, Sweep]:
    """The sweeps over which the limits asked must hold; steps: of travel and of roll, grid: of both combined; even.

    only: the numbers wanted, by key; all where it is None.
    """
    if limits.accelerations.said and limits.working.in_balance is None:
        raise ValueError("these limits name accelerations: judge by with_working_states(limits, car)")
    working, share = limits.working, within(limits).of(ready.axle.name)
    sweeps: dict[Over, Callable[[], Sweep]] = {
        "ride height": lambda: sweep_bump(ready, np.zeros(1), outer_share=share, only=only),
        "travel": lambda: sweep_bump(ready, working.travels(steps), outer_share=share, only=only),
        "roll": lambda: sweep_roll(ready, working.rolls(steps), outer_share=share, only=only),
        "working range": lambda: sweep_grid(
            ready, working.lowered(grid[0]), working.rolls(grid[1]), outer_share=share, only=only
        ),
    }
    wanted = {over for limit in asked for over in limit.over}
    return {over: sweep() for over, sweep in sweeps.items() if over in wanted}


def _judge_sides(limit: Limit, over: Over, sweep: Sweep, working: WorkingRange) -> list[Finding]:
    values = sweep[limit.key]
    if not QUANTITIES[limit.key].per_side:
        if limit.key == "roll_centre_height":
            values = np.where(_through_infinity(sweep), np.inf, values)
        return [_find(limit, over, "", values, sweep, working)]
    found = [_find(limit, over, name, values[i], sweep, working) for i, name in enumerate(SIDE_NAMES)]
    left, right = values
    # In roll one side does at plus an angle what the other does at minus it.
    mirrored = right[..., ::-1] if over in ("roll", "working range") else right
    same = np.allclose(left, mirrored, rtol=0.0, atol=1e-6, equal_nan=True)
    return [replace(found[0], side="")] if same else found


def _through_infinity(sweep: Sweep) -> Flags:
    """Samples before which the roll centre left on one side to come back on the other, its height without bound."""
    offset = sweep["roll_centre_offset"]
    found = np.zeros(offset.shape, dtype=bool)
    if not sweep.reached.any():
        return found
    found[1:] = through_infinity(offset, sweep.track)
    if offset.ndim > 1:
        found[:, 1:] |= through_infinity(offset.T, sweep.track).T
    return found


def _find(limit: Limit, over: Over, side: str, values: Array, sweep: Sweep, working: WorkingRange) -> Finding:
    trouble = tuple(reason for reason in sweep.problems if reason.gap.unreached)
    finding = Finding(
        sweep.axle.name, limit, over, side, math.nan, math.nan, -math.inf, _NOWHERE, (), trouble, working=working
    )
    if not sweep.reached.any():
        return finding
    grid = over == "working range"
    driver = (-sweep["heave"] if grid else sweep["roll"] if over == "roll" else sweep["travel"][0])[sweep.reached]
    values = values[sweep.reached]
    margin, finite = limit.margin(values), values[np.isfinite(values)]
    # Of states that are alike, as both ways of roll on a symmetric car, the first: rounding is not to choose.
    worst = int(np.flatnonzero(margin <= margin.min() + _ALIKE)[0])
    return replace(
        finding,
        worst=float(values[worst]),
        at=float(driver[worst]),
        margin=float(margin[worst]),
        span=(float(finite.min()), float(finite.max())) if finite.size else _NOWHERE,
        leaves=_crossings(margin, driver) if values.size > 1 and not grid else (),
        at_roll=float(sweep["roll"][sweep.reached][worst]) if grid else math.nan,
    )


def _crossings(margin: Array, driver: Array) -> tuple[float, ...]:
    """Where a margin turns negative, going outwards from a driver of zero on either side."""
    centre = int(np.argmin(np.abs(driver)))
    if margin[centre] < 0.0:
        return ()
    found = []
    for outwards in (range(centre, 0, -1), range(centre, len(driver) - 1)):
        step = -1 if outwards.step == -1 else 1
        for here in outwards:
            there = here + step
            if margin[there] < 0.0:
                part = margin[here] / (margin[here] - margin[there]) if np.isfinite(margin[there]) else 0.0
                found.append(float(driver[here] + part * (driver[there] - driver[here])))
                break
    return tuple(found)
