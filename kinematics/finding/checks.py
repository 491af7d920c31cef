"""Everything that a plan must hold, as numbers with bounds: limits, adjusters' ranges, stops, joint angles, ground."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from kinematics.car.car import LEFT, RIGHT, Axle, Car
from kinematics.car.limits import Limit, Limits
from kinematics.finding.check import Check, CheckKind
from kinematics.finding.means import Amount
from kinematics.finding.spring_checks import SPRING_CHECKS, spring_numbers, springs_of, weight_parts
from kinematics.finding.variants import Variants, on_one_body, variants
from kinematics.judging.verdict import working_sweeps
from kinematics.loads.setup import AxleSetup
from kinematics.motion.ground import Attitude, expected_travel
from kinematics.motion.moving_axle import MovingAxle, moving
from kinematics.numbers.roll_centre import through_infinity
from kinematics.planning.joint_turns import joint_angles_of
from kinematics.planning.plans import ON_GROUND
from kinematics.planning.rake import rake_base
from kinematics.planning.stops import felt_at_stops, stop_room
from solvers.vectors import Array, Flags

EXACT_STEPS = 60  # of the working range, as the verdict takes them
FEW_STEPS = 12  # for learning: between them the curves are smooth
_AT_ONCE = 300  # plans
_HEIGHT, _OFFSET = "roll_centre_height", "roll_centre_offset"
_Felt = tuple[Array | None, Array | None]


@dataclass(frozen=True)
class Checks:
    """All checks of a car and its means; called with amounts (N, k) it gives every checked number (N, columns).

    column: (columns,) which check each belongs to, for a check looks at many states and at both sides. at_stops: what
    each axle's stops feel. same: columns (1, own) of axles whose numbers no amount changes, by name. springs: as
    measured, of a car that tells them; swapped: others than it was measured on.
    """

    car: Car
    limits: Limits
    amounts: tuple[Amount, ...]
    checks: tuple[Check, ...]
    column: Array
    steps: int
    at_stops: Mapping[str, _Felt]
    same: Mapping[str, Array] = field(default_factory=dict)
    springs: Mapping[str, AxleSetup] = field(default_factory=dict)
    swapped: bool = False

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

    def hold(self, numbers: Array) -> Flags:
        """Whether numbers (N, columns) lie within all bounds (N,)."""
        low, high = (np.array([getattr(one, what) for one in self.checks])[self.column] for what in ("low", "high"))
        # What is not a number lies within nothing; infinity may lie within a bound that is none, and is no number.
        return np.asarray(((numbers >= low) & (numbers <= high) & np.isfinite(numbers)).all(axis=1))

    def slack(self, error: Array) -> Array:
        """What errors (columns,) of the numbers leave open of each check's margin (checks,)."""
        scale = np.array([one.scale for one in self.checks])
        starts = np.flatnonzero(np.diff(self.column, prepend=-1))
        return np.maximum.reduceat(error / scale[self.column], starts) if len(starts) else np.zeros(0)

    def on(self, axles: Mapping[str, Axle], values: Array) -> Array:
        """Checked numbers (N, columns) of plans (N, k), each on its own one of axles (N) as they might be, by name."""
        return self._some(values, axles)

    def _some(self, values: Array, might_be: Mapping[str, Axle] | None = None) -> Array:
        axles = {axle.name: axle for axle in self.car.axles} | dict(might_be or {})
        same = {} if might_be else self.same
        moved = {name: axle for name, axle in axles.items() if name not in same}
        base = rake_base(self.car)
        tried = {name: variants(axle, self.amounts, values, base) for name, axle in moved.items()}
        done = on_one_body(self.car, tried, moved)
        parts = weight_parts(self.car, self.springs, done) if done else {}
        columns, fits = [], np.ones(len(values), dtype=bool)
        for name, axle in axles.items():
            if name in same:
                columns.append(np.broadcast_to(same[name], (len(values), same[name].shape[1])))
                continue
            felt = felt_at_stops(axle) if might_be else self.at_stops[name]
            corners = _ready(done[name], self.limits)
            columns += [one for _, one in _numbers(axle, done[name], corners, self.limits, self.steps, felt)]
            if name in self.springs and might_be:
                columns.append(self._by_springs_as_measured(name, values))
            elif name in self.springs:
                own = spring_numbers(self.springs[name], done[name], corners, self.limits.working, parts[name])
                columns += [one for _, one in own]
            fits &= done[name].fits.all(axis=-1)
        found = np.concatenate([np.zeros((len(values), 0)), *columns], axis=1)
        self._exempt(found, values)
        return np.where(fits[:, None], found, np.nan)

    def _of_springs(self, *names: str) -> Flags:
        """Which columns are of the springs of axles."""
        own = [one.kind in SPRING_CHECKS and one.axle in names for one in self.checks]
        return np.asarray(np.array(own, dtype=bool)[self.column])

    def _by_springs_as_measured(self, name: str, values: Array) -> Array:
        """Springs' numbers under plans (N, k) on the car as measured: their room is not doubted."""
        plans, which = np.unique(values, axis=0, return_inverse=True)
        return np.asarray(self(plans)[which.reshape(-1)][:, self._of_springs(name)])

    def _exempt(self, found: Array, values: Array) -> None:
        """Let springs pass where nothing is changed: `compare` does not refuse the car as measured for them either."""
        if self.swapped:
            return
        nothing, springs = ~values.any(axis=1), self._of_springs(*self.springs)
        passing = np.array([one.low + one.scale for one in self.checks])[self.column]
        found[np.ix_(nothing, springs)] = passing[springs]


def checks_of(
    car: Car, limits: Limits, amounts: Sequence[Amount], steps: int = EXACT_STEPS, *, swapped: bool = False
) -> Checks:
    """What plans of these amounts must hold on a car; swapped: it stands on other springs than it was measured on."""
    nothing = np.zeros((1, len(amounts)))
    done = {axle.name: variants(axle, amounts, nothing, rake_base(car)) for axle in car.axles}
    at_stops = {axle.name: felt_at_stops(axle) for axle in car.axles}
    checks: list[Check] = []
    column: list[int] = []
    same: dict[str, Array] = {}
    springs = springs_of(car)
    for axle in car.axles:
        corners = _ready(done[axle.name], limits)
        own = list(_numbers(axle, done[axle.name], corners, limits, steps, at_stops[axle.name]))
        if axle.name in springs:
            own += spring_numbers(springs[axle.name], done[axle.name], corners, limits.working, np.ones(1))
        for check, numbers in own:
            column += [len(checks)] * numbers.shape[1]
            checks.append(check)
        # A body that is raised at one axle pitches, and the other feels that.
        if not any(one.change.axle == axle.name or one.made(1.0).raises for one in amounts):
            same[axle.name] = _beside(one for _, one in own)
    by_check = np.array(column, dtype=int)
    return Checks(car, limits, tuple(amounts), tuple(checks), by_check, steps, at_stops, same, springs, swapped)


def _beside(columns: Iterable[Array]) -> Array:
    return np.concatenate([np.zeros((1, 0)), *columns], axis=1)


def _ready(done: Variants, limits: Limits) -> MovingAxle:
    """An axle under plans, ready to move over the working range."""
    working = limits.working
    rolls = working.rolls(FEW_STEPS)
    low, high = expected_travel(done.axle, Attitude(np.zeros_like(rolls), rolls))
    return moving(done.axle, min(low, working.travel_low), max(high, working.travel_high))


def _numbers(
    axle: Axle, done: Variants, corners: MovingAxle, limits: Limits, steps: int, at_stops: _Felt
) -> Iterator[tuple[Check, Array]]:
    """Checks of an axle and their numbers (N, columns)."""
    working = limits.working
    yield from _limits(axle, corners, limits, steps)
    adjusters = axle.fittings.adjusters
    if axle.suspension.toe_link is not None and np.isfinite(adjusters.toe_link).any():
        yield Check(CheckKind.TOE_LINK, axle.name, "toe", *adjusters.toe_link), done.toe_link
    if adjusters.camber_by != "none" and np.isfinite(adjusters.camber_range).any():
        yield Check(CheckKind.CAMBER, axle.name, adjusters.camber_by, *adjusters.camber_range), done.camber
    travelled = working.travel_high - working.travel_low
    room = stop_room(corners, done.raised, done.pitch, working, at_stops)
    heights = np.stack([point[..., 2] for point in done.axle.points.values()], axis=-1)
    ground = Check(CheckKind.GROUND, axle.name, "ground", -ON_GROUND, np.inf, whole=travelled)
    yield ground, heights.reshape(len(heights), -1)
    for kind, left in zip((CheckKind.BUMP_STOP, CheckKind.DROOP_STOP), room, strict=True):
        if left is not None:
            yield Check(kind, axle.name, kind.value, 0.0, np.inf, whole=travelled), left
    angles = joint_angles_of(axle, corners, done.rotation, done.pitch, working.travels(FEW_STEPS))
    for key, most in axle.fittings.joint_angles.items():
        if key in angles:
            yield Check(CheckKind.JOINT, axle.name, key, -np.inf, most), angles[key]


def _limits(axle: Axle, corners: MovingAxle, limits: Limits, steps: int) -> Iterator[tuple[Check, Array]]:
    own: tuple[Limit, ...] = limits.of(axle)
    keys = {limit.key for limit in own} | ({_OFFSET} if any(limit.key == _HEIGHT for limit in own) else set())
    swept = working_sweeps(corners, limits, own, steps, only=keys)
    for limit in own:
        for over in limit.over:
            numbers = swept[over][limit.key]
            if limit.key == _HEIGHT:
                numbers = _with_run_off(numbers, swept[over][_OFFSET], axle)
            yield (
                Check(CheckKind.LIMIT, axle.name, limit.key, limit.low, limit.high, over),
                numbers.reshape(len(numbers), -1),
            )


def _with_run_off(heights: Array, offset: Array, axle: Axle) -> Array:
    """Heights (N, S), infinite where the roll centre left on one side to come back on the other, as in the verdict."""
    contact = axle.contact[..., 1]
    away = through_infinity(np.moveaxis(offset, -1, 0), float((contact[..., LEFT] - contact[..., RIGHT]).mean()))
    out = heights.copy()
    out[..., 1:][np.moveaxis(away, 0, -1)] = np.inf
    return out
