"""Where the car sits, leans and pitches, from physics: springs, bars, weights, tyres and moving linkages in balance.

Quasi-static: steady lateral acceleration, to the left positive, and braking or driving. The unknowns are the body's
height at each axle, with which it pitches, its roll, and the travel of every wheel; `virtual_work` says what is in
balance. Each tyre is a vertical spring, or rigid. A wheel that would pull on the ground has left it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kinematics.car.car import LEFT, RIGHT
from kinematics.loads.virtual_work import PER_MILLE, UNKNOWN, Case, Found, evaluate, pitch_of
from kinematics.loads.whole_car import WholeCar
from solvers.vectors import Array, Flags

_PROBE = 1e-3  # mm and mrad
_CLOSE = 1e-8  # mm and mrad: nearer than this the iteration ends
_LEFT_OVER = 1e-6  # mm: a balance that leaves more has to be looked for again
_MOST_STEPS = 30
_LONGEST = 25.0  # mm and mrad in one step
_LEVEL_TO = 1e-6  # mm; a lifted wheel this far under the ground is on it again
_ACCELERATION_STEP = 3.0  # m/s^2
_MOST_LIFTS = 6


@dataclass(frozen=True)
class Balance:
    """N cars in balance.

    acceleration, forward: (N,) [m/s^2], to the left and forwards positive. heave: at front and rear (2, N) [mm]. roll,
    pitch: (N,) [rad], left side up and nose down positive. By axle and side (2, 2, N): travel [mm]; load of the tyre
    [N]; lifted: the wheel is off the ground; loose: its spring carries nothing; stop_force: of its bump stop [N];
    linked: the part of the load that braking or driving puts there through the links [N]. solved: (N,), False where no
    balance was found.
    """

    acceleration: Array
    forward: Array
    heave: Array
    roll: Array
    pitch: Array
    travel: Array
    load: Array
    lifted: Flags
    solved: Flags
    loose: Flags
    stop_force: Array
    linked: Array

    @property
    def transfer(self) -> Array:
        """Load moved to the outer wheel, by axle (2, N) [N]: half of outer less inner."""
        outwards = np.where(self.acceleration >= 0.0, 1.0, -1.0)
        return np.asarray(0.5 * (self.load[:, RIGHT] - self.load[:, LEFT]) * outwards)


def balance(
    car: WholeCar,
    acceleration: Array,
    variants: NDArray[np.intp] | None = None,
    ballast: Array | None = None,
    forward: Array | None = None,
) -> Balance:
    """Find the balance at lateral accelerations (N,) [m/s^2], to the left positive.

    variants: for each one, which of the setups' variants is meant (N,). ballast: mass added on each wheel's scale,
    front left, front right, rear left, rear right (4, N) [kg], at the height of the sprung centre of gravity. forward:
    acceleration forwards, braking negative (N,) [m/s^2]; none where it is None. The axles' parts of the force are
    those of `[body]`.
    """
    count = acceleration.size
    unknown = earlier = np.zeros((UNKNOWN, count))
    lifted = np.zeros((4, count), dtype=bool)
    more = np.zeros((4, count)) if ballast is None else ballast
    ahead = np.zeros(count) if forward is None else forward
    # Accelerations are raised in steps, so that each start is near its solution.
    most = max(np.abs(acceleration).max(initial=0.0), np.abs(ahead).max(initial=0.0))
    steps = max(1, int(np.ceil(most / _ACCELERATION_STEP)))
    lost = np.zeros(count, dtype=bool)  # found no balance on the way: what may lie beyond is not reached from rest
    for step in range(1, steps + 1):
        part = step / steps
        solved, going = ~lost, ~lost
        # On as far as the last step went, then from where it ended.
        starts, earlier = [2.0 * unknown - earlier, unknown] if step > 1 else [unknown], unknown
        for _ in range(_MOST_LIFTS):
            case = Case(car, acceleration * part, ahead * part, variants, more, lifted)
            unknown, found_there = _solved(case, starts, going)
            solved &= found_there | ~going
            found = evaluate(case, unknown)
            changed = np.where(lifted, found.height < -_LEVEL_TO, found.load < 0.0) & solved
            going = changed.any(axis=0) | (solved & (np.abs(found.residual).max(axis=0) > _LEFT_OVER))
            if not going.any():
                break
            lifted = lifted ^ changed
            starts = [unknown]
        lost = ~solved
        solved = solved & ~going
    for index, setup in enumerate(car.axles):
        # Beyond the linkage's reach the nearest position stands in, and that is no balance.
        reached = setup.moving.at(unknown[3 + 2 * index : 5 + 2 * index]).reached
        solved = solved & reached.all(axis=0)

    return _told(Case(car, acceleration, ahead, variants, more, lifted), unknown, found, solved)


@dataclass(frozen=True)
class Answer:
    """How N balances answer cars that differ a little: of each, slopes of what it tells by what is then left over.

    unknown: (N, 7, 7); wheels: of load, bump-stop force and load through links (3, 4, N, 7). Zero without a balance.
    """

    unknown: Array
    wheels: Array


def answer_of(car: WholeCar, known: Balance) -> Answer:
    """How a car's balance answers."""
    case, unknown = _case_of(car, known), _unknown_of(known)
    found, jacobian, wheels = _probed(case, unknown)
    sound = known.solved & np.isfinite(jacobian).all(axis=(-2, -1)) & np.isfinite(found.load).all(axis=0)
    inverse = np.zeros_like(jacobian)
    inverse[sound] = -np.linalg.inv(jacobian[sound])
    return Answer(inverse, np.einsum("kwnj,njl->kwnl", np.where(sound[:, None], wheels, 0.0), inverse))


def balance_beside(car: WholeCar, known: Balance, answer: Answer) -> Balance:
    """The balance of a car that differs little from the one whose balance is known: one step of Newton's away.

    Wrong by the square of what the cars differ by. The same wheels are off the ground, the same springs loose.
    """
    case, start = _case_of(car, known), _unknown_of(known)
    found = evaluate(case, start)
    unknown = start + np.einsum("nij,jn->in", answer.unknown, found.residual)
    load, stop, linked = np.einsum("kwnj,jn->kwn", answer.wheels, found.residual)
    found = replace(found, load=found.load + load, stop=found.stop + stop, linked=found.linked + linked)
    return _told(case, unknown, found, known.solved & np.isfinite(unknown).all(axis=0))


def _case_of(car: WholeCar, known: Balance) -> Case:
    count = known.acceleration.size
    lifted = known.lifted.reshape(4, count)
    return Case(car, known.acceleration, known.forward, None, np.zeros((4, count)), lifted)


def _unknown_of(known: Balance) -> Array:
    return np.concatenate([known.heave, known.roll[None] / PER_MILLE, known.travel.reshape(4, -1)])


def _told(case: Case, unknown: Array, found: Found, solved: Flags) -> Balance:
    """What a position (7, N) is told as."""
    lifted = case.lifted

    def by_axle(values: Array) -> Array:
        return values.reshape(2, 2, -1)

    return Balance(
        acceleration=case.lateral,
        forward=case.forward,
        heave=unknown[:2],
        roll=unknown[2] * PER_MILLE,
        pitch=pitch_of(case.car, unknown[:2]),
        travel=by_axle(unknown[3:]),
        load=by_axle(np.where(lifted, 0.0, found.load)),
        lifted=lifted.reshape(2, 2, -1),
        solved=solved,
        loose=(found.spring <= 0.0).reshape(2, 2, -1),
        stop_force=by_axle(found.stop),
        linked=by_axle(np.where(lifted, 0.0, found.linked)),
    )


def _solved(case: Case, starts: Sequence[Array], going: Flags) -> tuple[Array, Flags]:
    """Newton's iteration for those that go on (N,), from each of the starts (7, N) until one leads to a balance.

    Also which cars converged (N,); the others stay where the last start has them.
    """
    unknown, solved = starts[-1].copy(), np.zeros(going.size, dtype=bool)
    for start in starts:
        left = np.flatnonzero(going & ~solved)
        if left.size:
            found, there = _iterated(case.only(left), start[:, left])
            solved[left[there]] = True
            unknown[:, left[there]] = found[:, there]
    return unknown, solved


def _iterated(case: Case, start: Array) -> tuple[Array, Flags]:
    """Newton's iteration from a start (7, N), with derivatives from probes; also which converged (N,)."""
    count = start.shape[1]
    unknown, solved, left, before = start.copy(), np.zeros(count, dtype=bool), np.arange(count), np.zeros(count)
    for _ in range(_MOST_STEPS):
        if not left.size:
            break
        at, jacobian, _ = _probed(case.only(left), unknown[:, left])
        here = at.residual
        sound = np.asarray(np.isfinite(jacobian).all(axis=(-2, -1)) & np.isfinite(here).all(axis=0))
        # Nothing holds a wheel that hangs on a loose spring.
        sound &= np.linalg.slogdet(np.where(sound[:, None, None], jacobian, 0.0))[0] != 0.0
        step = np.zeros((left.size, UNKNOWN))
        step[sound] = _steps(jacobian[sound], here.T[sound])
        most = np.abs(step).max(axis=1, initial=0.0)
        unknown[:, left] += (step * np.minimum(1.0, _LONGEST / np.maximum(most, _LONGEST))[:, None]).T
        # Where a step is so much shorter than the one before, the next would be shorter by as much again.
        shrunk = np.divide(most, before, out=np.ones_like(most), where=before > most)
        close = sound & (most * shrunk < _CLOSE)
        solved[left[close]] = True
        on = sound & ~close  # without a sound step it would stand still
        left, before = left[on], most[on]
    return unknown, solved


def _probed(case: Case, unknown: Array) -> tuple[Found, Array, Array]:
    """What positions (7, N) come to, and slopes by the unknowns, from probes.

    Slopes of what is left over (N, 7, 7), and of load, bump-stop force and load through links (3, 4, N, 7).
    """
    probes = np.concatenate([np.zeros((UNKNOWN, 1)), _PROBE * np.eye(UNKNOWN)], axis=1)
    tried = (unknown[:, None] + probes[:, :, None]).reshape(UNKNOWN, -1)
    many = evaluate(case.repeated(UNKNOWN + 1), tried)

    def parted(values: Array) -> Array:
        return values.reshape(len(values), UNKNOWN + 1, -1)

    here = Found(**{name: parted(getattr(many, name))[:, 0] for name in Found.__dataclass_fields__})
    left, *wheels = (
        np.moveaxis(parted(one)[:, 1:] - parted(one)[:, :1], 1, -1) / _PROBE
        for one in (many.residual, many.load, many.stop, many.linked)
    )
    return here, np.moveaxis(left, 0, 1), np.stack(wheels)


def _steps(jacobian: Array, residual: Array) -> Array:
    return -np.asarray(np.linalg.solve(jacobian, residual[..., None]))[..., 0]
