"""The verdict: how an axle fares against its limits, in numbers and in plain words."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.car import SIDE_NAMES, Axle
from kinematics.lengths import LengthUnit
from kinematics.limits import Limit, Limits, Over
from kinematics.moving_axle import MovingAxle
from kinematics.quantities import QUANTITIES
from kinematics.quantity import Kind
from kinematics.roll_centre import through_infinity
from kinematics.sweeps import Sweep, sweep_bump, sweep_roll
from kinematics.wording import told
from solvers.vectors import Array, Flags

_RUN_OFF = 5000.0  # mm; a roll centre this high or low is on its way to infinity
_STEPS = 60  # of the working range, for judging; crossings are found between steps
_Teller = Callable[[float], str]


@dataclass(frozen=True)
class Finding:
    """How one limit fares over one part of the working range.

    worst: the value deepest inside or farthest outside, NaN where there is none; at: the travel [mm] or roll
    [rad] where; margin: its distance inside the range, negative outside. leaves: where the range is left,
    going out from ride height, on either side. trouble: why some of the range could not be judged.
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
    trouble: str

    @property
    def holds(self) -> bool:
        """Whether the limit holds all over."""
        return self.margin >= 0.0 and not self.trouble


def judge(axle: Axle, limits: Limits) -> list[Finding]:
    """Hold an axle against its limits, each over each part of the working range that it names."""
    sweeps = _working_sweeps(axle, limits)
    findings = []
    for limit in limits.of(axle):
        for over in limit.over:
            findings += _judge_sides(axle.name, limit, over, sweeps[over])
    return findings


def margins(axle: Axle, limits: Limits, ready: MovingAxle | None = None) -> dict[tuple[str, Over], Array]:
    """Distance inside each limit, worst over its part of the working range and both sides, for variants (...).

    ready: the same axle, where it is ready to move over the working range already.
    """
    sweeps = _working_sweeps(ready or axle, limits)
    found = {}
    for limit in limits.of(axle):
        for over in limit.over:
            inside = limit.shortfall(sweeps[over][limit.key])
            own = inside.ndim - len(axle.batch_shape)
            found[limit.key, over] = inside.min(axis=tuple(range(-own, 0)))
    return found


def _working_sweeps(axle: Axle | MovingAxle, limits: Limits) -> dict[Over, Sweep]:
    working = limits.working
    return {
        "ride height": sweep_bump(axle, np.zeros(1)),
        "travel": sweep_bump(axle, working.travels(_STEPS)),
        "roll": sweep_roll(axle, working.rolls(_STEPS)),
    }


def _judge_sides(axle: str, limit: Limit, over: Over, sweep: Sweep) -> list[Finding]:
    quantity = QUANTITIES[limit.key]
    driver = sweep["roll"] if over == "roll" else sweep["travel"][0]
    trouble = "; ".join(note for note in sweep.problems if "locks" in note or "reaches" in note)
    if not quantity.per_side:
        values = sweep[limit.key]
        if limit.key == "roll_centre_height":
            values = np.where(_through_infinity(sweep), np.inf, values)
        return [_find(axle, limit, over, "", values, driver, trouble)]
    found = [_find(axle, limit, over, name, sweep[limit.key][i], driver, trouble) for i, name in enumerate(SIDE_NAMES)]
    left, right = sweep[limit.key]
    # In roll one side does at plus an angle what the other does at minus it.
    mirrored = right[::-1] if over == "roll" else right
    same = np.allclose(left, mirrored, rtol=0.0, atol=1e-6, equal_nan=True)
    return [replace(found[0], side="")] if same else found


def _through_infinity(sweep: Sweep) -> Flags:
    """Samples before which the roll centre left on one side to come back on the other, its height without bound."""
    offset = sweep["roll_centre_offset"]
    found = np.zeros(offset.shape, dtype=bool)
    if not sweep.reached.any():
        return found
    found[1:] = through_infinity(offset, sweep.track)
    return found


def _find(axle: str, limit: Limit, over: Over, side: str, values: Array, driver: Array, trouble: str) -> Finding:
    margin = limit.shortfall(values)
    known = np.flatnonzero(np.isfinite(values))
    judged = np.arange(values.size) if known.size in (0, values.size) or not trouble else known
    worst = int(judged[np.argmin(margin[judged])])
    finite = values[known]
    span = (float(finite.min()), float(finite.max())) if known.size else (math.nan, math.nan)
    leaves = _crossings(margin, driver) if values.size > 1 else ()
    return Finding(
        axle, limit, over, side, float(values[worst]), float(driver[worst]), float(margin[worst]), span, leaves, trouble
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


def sentence(finding: Finding, unit: LengthUnit) -> str:
    """Say a finding in plain words, in the user's units."""
    quantity = QUANTITIES[finding.limit.key]

    def said(value: float) -> str:
        return told(value, quantity.kind, unit)

    subject = " ".join(part for part in (finding.axle, finding.side, quantity.title) if part)
    where = {"ride height": "at ride height", "travel": "over the working travel", "roll": "over the working roll"}
    head = f"{subject} {where[finding.over]}"
    allowed = f"allowed {range_words(finding.limit, said)}"
    if finding.trouble and not np.isfinite(finding.worst):
        return f"{head}: cannot be judged: {finding.trouble}"
    if finding.over == "ride height":
        value = said(finding.worst) if np.isfinite(finding.worst) else "at infinity"
        tail = "" if finding.margin >= 0.0 else f", {_by(finding, said)}"
        return f"{head}: {value}, {allowed}{tail}"
    spread = f"{said(finding.span[0])} to {said(finding.span[1])}"
    if not np.isfinite(finding.worst):
        spread += " and off to infinity"
    text = f"{head}: {spread}, {allowed}"
    if finding.margin < 0.0:
        text += f", {_by(finding, said)} at {_place(finding.at, finding.over, unit)}"
        text += f", outside {_from(finding, unit)}"
    return text + (f"; {finding.trouble}" if finding.trouble else "")


def _by(finding: Finding, said: _Teller) -> str:
    if not np.isfinite(finding.worst) or (abs(finding.worst) > _RUN_OFF and finding.limit.key.endswith("height")):
        return "running to infinity"
    low = finding.worst < finding.limit.low
    return f"{said(-finding.margin).lstrip('+')} too {'low' if low else 'high'}"


def _from(finding: Finding, unit: LengthUnit) -> str:
    if not finding.leaves:
        return "already at ride height"
    places: Sequence[str] = [_place(place, finding.over, unit) for place in sorted(finding.leaves)]
    return "beyond " + " and ".join(places)


def _place(value: float, over: Over, unit: LengthUnit) -> str:
    if over == "roll":
        return f"{math.degrees(value):+.1f} deg of roll"
    return f"{told(value, Kind.LENGTH, unit)} of travel"


def range_words(limit: Limit, said: Callable[[float], str]) -> str:
    """Say a limit's range; said: writes a value with its unit."""
    if math.isinf(limit.low):
        return f"up to {said(limit.high)}"
    if math.isinf(limit.high):
        return f"{said(limit.low)} or more"
    return f"{said(limit.low)} to {said(limit.high)}"


def summary(findings: Sequence[Finding]) -> str:
    """One line on all findings together."""
    if not findings:
        return "no limits are stated, so there is nothing to judge"
    failed, count = sum(not finding.holds for finding in findings), len(findings)
    if failed:
        return f"OUTSIDE the limits: {failed} of {count} check{'s fail' if count > 1 else ' fails'}"
    return f"within the limits: {f'all {count} checks hold' if count > 1 else 'the one check holds'}"
