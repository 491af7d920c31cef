"""Everything that a plan must hold, as numbers with bounds: limits, adjusters' ranges, stops and joint angles."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.limits import Limit, Limits, Over
from kinematics.finding.means import Amount
from kinematics.finding.variants import Variants, on_one_body, variants
from kinematics.motion.ground import Attitude, expected_travel
from kinematics.motion.moving_axle import MovingAxle, moving
from kinematics.planning.stops import joint_angles_of, stop_room
from kinematics.sweeps.body import Sweep, sweep_bump, sweep_roll
from solvers.vectors import Array

EXACT_STEPS = 60  # of the working range, as the verdict takes them
FEW_STEPS = 12  # for learning: between them the curves are smooth
_AT_ONCE = 256  # plans


class CheckKind(Enum):
    """What sets a bound."""

    LIMIT = "limit"
    TOE_LINK = "toe link"
    CAMBER = "camber adjuster"
    BUMP_STOP = "bump stop"
    DROOP_STOP = "droop stop"
    JOINT = "joint"


@dataclass(frozen=True)
class Check:
    """One bound to be held: low..high [mm, rad], over which part of the working range, and what counts as all of it.

    key: of the number or the joint. scale: margins are told as parts of it.
    """

    kind: CheckKind
    axle: str
    key: str
    low: float
    high: float
    over: Over = "ride height"

    @property
    def scale(self) -> float:
        """Width of the range, or the size of its one bound."""
        width = self.high - self.low
        return width if np.isfinite(width) else abs(self.low if np.isfinite(self.low) else self.high) or 1.0


@dataclass(frozen=True)
class Checks:
    """All checks of a car and its means; called with amounts (N, k) it gives every checked number (N, columns).

    column: (columns,) which check each belongs to, for a check looks at many states and at both sides.
    """

    car: Car
    limits: Limits
    amounts: tuple[Amount, ...]
    checks: tuple[Check, ...]
    column: Array
    steps: int

    def __call__(self, values: Array) -> Array:
        """Checked numbers (N, columns) of plans (N, k); NaN where a plan's parts do not fit."""
        parts = [self._some(values[i : i + _AT_ONCE]) for i in range(0, len(values), _AT_ONCE)]
        return np.concatenate(parts) if parts else np.zeros((0, len(self.column)))

    def margins(self, numbers: Array) -> Array:
        """Margins (N, checks) inside each check's bounds, as parts of its scale; -inf where there is no number."""
        low, high, scale = (np.array([getattr(one, what) for one in self.checks]) for what in ("low", "high", "scale"))
        with np.errstate(invalid="ignore"):
            inside = np.minimum(numbers - low[self.column], high[self.column] - numbers) / scale[self.column]
        inside = np.where(np.isfinite(numbers), inside, -np.inf)
        starts = np.flatnonzero(np.diff(self.column, prepend=-1))
        return np.minimum.reduceat(inside, starts, axis=1) if len(starts) else np.zeros((len(numbers), 0))

    def slack(self, error: Array) -> Array:
        """What errors (columns,) of the numbers leave open of each check's margin (checks,)."""
        scale = np.array([one.scale for one in self.checks])
        starts = np.flatnonzero(np.diff(self.column, prepend=-1))
        return np.maximum.reduceat(error / scale[self.column], starts) if len(starts) else np.zeros(0)

    def on(self, axles: Mapping[str, Axle], values: Array) -> Array:
        """Checked numbers (N, columns) of plans (N, k), each on its own one of axles (N) as they might be, by name."""
        return self._some(values, axles)

    def _some(self, values: Array, axles: Mapping[str, Axle] | None = None) -> Array:
        own = {axle.name: (axles or {}).get(axle.name, axle) for axle in self.car.axles}
        done = on_one_body(self.car, {name: variants(axle, self.amounts, values) for name, axle in own.items()})
        columns = [_numbers(axle, done[axle.name], self.limits, self.steps)[1] for axle in self.car.axles]
        found = np.concatenate([one for many in columns for one in many], axis=1)
        fits = np.all([one.fits.all(axis=-1) for one in done.values()], axis=0)
        return np.where(fits[:, None], found, np.nan)


def checks_of(car: Car, limits: Limits, amounts: Sequence[Amount], steps: int = EXACT_STEPS) -> Checks:
    """What plans of these amounts must hold on a car."""
    nothing = np.zeros((1, len(amounts)))
    done = on_one_body(car, {axle.name: variants(axle, amounts, nothing) for axle in car.axles})
    checks: list[Check] = []
    column: list[int] = []
    for axle in car.axles:
        own, columns = _numbers(axle, done[axle.name], limits, steps)
        for check, numbers in zip(own, columns, strict=True):
            column += [len(checks)] * numbers.shape[1]
            checks.append(check)
    return Checks(car, limits, tuple(amounts), tuple(checks), np.array(column, dtype=int), steps)


def _numbers(axle: Axle, done: Variants, limits: Limits, steps: int) -> tuple[list[Check], list[Array]]:
    """Checks of an axle and their numbers, each (N, columns)."""
    working = limits.working
    rolls = working.rolls(steps)
    low, high = expected_travel(done.axle, Attitude(np.zeros_like(rolls), rolls))
    corners = moving(done.axle, min(low, working.travel_low), max(high, working.travel_high))
    checks, columns = _limits(axle, corners, limits, steps)
    adjusters = axle.fittings.adjusters
    if axle.suspension.toe_link is not None and np.isfinite(adjusters.toe_link).any():
        checks.append(Check(CheckKind.TOE_LINK, axle.name, "toe", *adjusters.toe_link))
        columns.append(done.toe_link)
    if adjusters.camber_by != "none" and np.isfinite(adjusters.camber_range).any():
        checks.append(Check(CheckKind.CAMBER, axle.name, "camber", *adjusters.camber_range))
        columns.append(done.camber)
    for kind, room in zip(
        (CheckKind.BUMP_STOP, CheckKind.DROOP_STOP), stop_room(axle, corners, done.raised, working), strict=True
    ):
        if room is not None:
            checks.append(Check(kind, axle.name, kind.value, 0.0, np.inf))
            columns.append(room)
    for key, angles in joint_angles_of(axle, corners, done.rotation, working.travels(FEW_STEPS)).items():
        most = axle.fittings.joint_angles.get(key)
        if most is not None:
            checks.append(Check(CheckKind.JOINT, axle.name, key, -np.inf, most))
            columns.append(angles)
    return checks, columns


def _limits(axle: Axle, corners: MovingAxle, limits: Limits, steps: int) -> tuple[list[Check], list[Array]]:
    own: tuple[Limit, ...] = limits.of(axle)
    keys = {limit.key for limit in own}
    working = limits.working
    sweeps: dict[Over, Callable[[], Sweep]] = {
        "ride height": lambda: sweep_bump(corners, np.zeros(1), only=keys),
        "travel": lambda: sweep_bump(corners, working.travels(steps), only=keys),
        "roll": lambda: sweep_roll(corners, working.rolls(steps), only=keys),
    }
    wanted = {over for limit in own for over in limit.over}
    swept = {over: sweep() for over, sweep in sweeps.items() if over in wanted}
    checks, columns = [], []
    for limit in own:
        for over in limit.over:
            numbers = swept[over][limit.key]
            checks.append(Check(CheckKind.LIMIT, axle.name, limit.key, limit.low, limit.high, over))
            columns.append(numbers.reshape(len(numbers), -1))
    return checks, columns
