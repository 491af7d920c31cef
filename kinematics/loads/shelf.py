"""What lies on the shelf: every combination of springs and bars in balance, ranked by what is wanted."""

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial
from itertools import product

import numpy as np

from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.limits import Limits
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.loads.equilibrium import balance
from kinematics.loads.lean import degrees_per_g
from kinematics.loads.setup import AxleSetup
from kinematics.loads.whole_car import WholeCar
from kinematics.numbers.named_values import NamedValues
from kinematics.numbers.quantity import Dimension, ReportedNumber
from kinematics.numbers.result import number_of
from kinematics.sweeps.arguments import refuse_no_executor, refuse_no_limits, refuse_other
from kinematics.sweeps.body import sweep_bump
from solvers.executors import in_order
from solvers.read_only import read_only
from solvers.vectors import Array, Column, Flags

AS_FITTED = "as fitted"
_SMALL = 0.01  # m/s^2; for slopes at rest
_BLOCK = 500  # combinations at a time, so that memory stays bounded


@dataclass(frozen=True)
class SpringChoice:
    """A pair of springs: rate [N/mm] and free length [mm]; with no free length, packed to keep the ride height."""

    name: str
    rate: float
    free_length: float | None = None


@dataclass(frozen=True)
class BarChoice:
    """A bar on the same mounts: rate at the arm end [N/mm]."""

    name: str
    rate: float


_Chosen = tuple[SpringChoice, SpringChoice, BarChoice, BarChoice]


@dataclass(frozen=True)
class Want:
    """Ranges wanted, infinite where open: roll gradient [deg/g], front share, and most change of ride height [mm]."""

    gradient: tuple[float, float] = (-np.inf, np.inf)
    front_share: tuple[float, float] = (-np.inf, np.inf)
    height: float = np.inf

    def leans_so(self, gradient: float, front_share: float) -> bool:
        """Whether a lean [deg/g, part of one] is within what is wanted of it."""
        ends = (gradient, self.gradient), (front_share, self.front_share)
        return all(low <= value <= high for value, (low, high) in ends)


@dataclass(frozen=True, repr=False)
class Shelf:
    """Choices for each place; an empty list keeps what is fitted."""

    front_springs: tuple[SpringChoice, ...] = ()
    rear_springs: tuple[SpringChoice, ...] = ()
    front_bars: tuple[BarChoice, ...] = ()
    rear_bars: tuple[BarChoice, ...] = ()
    want: Want = Want()

    def __repr__(self) -> str:
        springs, bars = (
            len(front) + len(rear)
            for front, rear in ((self.front_springs, self.rear_springs), (self.front_bars, self.rear_bars))
        )
        return f"<shelf: {springs} pairs of springs, {bars} bars>"


@dataclass(frozen=True, repr=False)
class Ranking(NamedValues[str]):
    """V combinations, the car as it is first, the rest best first.

    names: of front spring, rear spring, front bar, rear bar. rates: of the same (V, 4) [N/mm]. heave: change of ride
    height at front and rear (2, V) [mm]. Each (V,): gradient [deg/g]; front_share; outside: how far wants are missed,
    in parts of their ranges, zero where all hold; solved: a balance was found; missed: how many limits are missed at
    rest.
    """

    names: tuple[tuple[str, str, str, str], ...]
    rates: Array
    gradient: Array
    front_share: Array
    heave: Array
    outside: Array
    solved: Flags
    missed: Array

    def __repr__(self) -> str:
        return f"<shelf of {len(self.names)} combinations, best after the car as it is; {self.named()}>"

    def about(self, key: str) -> ReportedNumber:
        """What is known of a number: title, meaning, dimension, and which way is positive."""
        return number_of(key, _RANKED)

    def columns(self, unit: LengthUnit = MM) -> dict[str, Column]:
        """One row for each combination: names of its parts, then every number, NaN where no balance was found."""
        parts = zip(_PLACES, np.array(self.names).reshape(-1, len(_PLACES)).T, strict=True)
        return {**dict(parts), **{self.about(key).column(unit): self.in_unit(key, unit) for key in self}}

    def _by_key(self) -> Mapping[str, Array]:
        known = {key: number.read(self) for key, number in _RANKED.items()}
        lost = {key: np.where(self.solved, values, np.nan) for key, values in known.items()}
        return {key: known[key] if key.endswith("_rate") else lost[key] for key in known}


@dataclass(frozen=True, kw_only=True, repr=False)
class RankedNumber(ReportedNumber):
    """A number of each combination on a shelf; read gives (V,)."""

    read: Callable[[Ranking], Array]


_PLACES = ("front_spring", "rear_spring", "front_bar", "rear_bar")


def _rate(place: int) -> RankedNumber:
    key = f"{_PLACES[place]}_rate"
    title = key.replace("_", " ")
    return RankedNumber(key=key, title=title, dimension=Dimension.RATE, read=lambda found: found.rates[:, place])


_RANKED: Mapping[str, RankedNumber] = {
    number.key: number
    for number in (
        *map(_rate, range(len(_PLACES))),
        RankedNumber(
            key="roll_gradient",
            title="roll gradient, deg/g",
            dimension=Dimension.RATIO,
            meaning="in balance, from rest",
            read=lambda found: found.gradient,
        ),
        RankedNumber(
            key="front_share",
            title="front share of the load moved",
            dimension=Dimension.PER_CENT,
            meaning="in balance, from rest",
            read=lambda found: found.front_share,
        ),
        RankedNumber(
            key="front_heave",
            title="change of ride height at the front",
            dimension=Dimension.LENGTH,
            sign="up positive",
            read=lambda found: found.heave[0],
        ),
        RankedNumber(
            key="rear_heave",
            title="change of ride height at the rear",
            dimension=Dimension.LENGTH,
            sign="up positive",
            read=lambda found: found.heave[1],
        ),
        RankedNumber(
            key="limits_missed",
            title="limits missed at rest",
            dimension=Dimension.RATIO,
            read=lambda found: found.missed.astype(float),
        ),
        RankedNumber(
            key="outside",
            title="how far wants are missed",
            dimension=Dimension.PER_CENT,
            meaning="as a part of their ranges; nothing where all hold",
            read=lambda found: found.outside,
        ),
    )
}


def rank(car: WholeCar, shelf: Shelf, limits: Limits | None = None, *, executor: Executor | None = None) -> Ranking:
    """Find the balance of every combination and rank them.

    limits: those that apply at ride height are checked at the height that each combination gives; each one missed
    counts as a whole range. executor: runs the combinations elsewhere, a block at a time, the same to the last bit.
    """
    refuse_other(car, WholeCar, "rank takes a car on its springs, such as whole_car(car)")
    refuse_other(shelf, Shelf, "rank takes a shelf, such as read_shelf(...) gives")
    if limits is not None:
        refuse_no_limits(limits, "rank")
    refuse_no_executor(executor)
    chosen = list(
        product(
            (_spring_fitted(car.front), *shelf.front_springs),
            (_spring_fitted(car.rear), *shelf.rear_springs),
            (_bar_fitted(car.front), *shelf.front_bars),
            (_bar_fitted(car.rear), *shelf.rear_bars),
        )
    )
    blocks = [chosen[first : first + _BLOCK] for first in range(0, len(chosen), _BLOCK)]
    work = partial(_block, car)
    parts = list(map(work, blocks) if executor is None else in_order(executor, work, blocks))
    gradient, share = (np.concatenate([part[i] for part in parts]) for i in (0, 1))
    solved = np.concatenate([part[3] for part in parts])
    heave = np.concatenate([part[2] for part in parts], axis=1)
    outside = _outside(shelf.want, gradient, share, heave)
    broken = [] if limits is None else _broken(car, limits, heave)
    outside = np.where(solved, outside + sum(broken, np.zeros(len(chosen))), np.inf)
    missed = np.array([int(flags.sum()) for flags in np.array(broken, dtype=bool).reshape(-1, len(chosen)).T])
    middle = _off_middle(shelf.want, gradient, share)
    order = np.lexsort((middle[1:], outside[1:])) + 1
    order = np.concatenate([[0], order])
    names = tuple((one[0].name, one[1].name, one[2].name, one[3].name) for one in chosen)
    rates = np.array([[part.rate for part in one] for one in chosen])
    return read_only(
        Ranking(
            tuple(names[i] for i in order),
            rates[order],
            gradient[order],
            share[order],
            heave[:, order],
            outside[order],
            solved[order],
            missed[order],
        )
    )


def _broken(car: WholeCar, limits: Limits, heave: Array) -> list[Array]:
    """For each limit that applies at ride height: 1 for the combinations that miss it, else 0 (V,)."""
    found = []
    for index, setup in enumerate(car.axles):
        asked = [limit for limit in limits.of(setup.axle) if "ride height" in limit.over]
        if not asked:
            continue
        # The body that sits higher has its wheels in droop.
        sweep = sweep_bump(setup.moving, -heave[index])
        for limit in asked:
            inside = limit.margin(sweep[limit.key])
            worst = inside.min(axis=0) if inside.ndim > 1 else inside
            found.append(np.where(worst < 0.0, 1.0, 0.0))
    return found


def _spring_fitted(setup: AxleSetup) -> SpringChoice:
    return SpringChoice(AS_FITTED, float(setup.rate.mean()))


def _bar_fitted(setup: AxleSetup) -> BarChoice:
    return BarChoice(AS_FITTED, float(setup.bar))


def _block(car: WholeCar, chosen: Sequence[_Chosen]) -> tuple[Array, Array, Array, Flags]:
    """Gradient, front share, heave and solved, for some combinations."""
    front = _varied(car.front, [one[0] for one in chosen], [one[2] for one in chosen])
    rear = _varied(car.rear, [one[1] for one in chosen], [one[3] for one in chosen])
    whole = replace(car, front=front, rear=rear)
    count = len(chosen)
    variants = np.tile(np.arange(count), 2)
    found = balance(whole, np.repeat([0.0, _SMALL], count), variants)
    roll = found.roll.reshape(2, count)
    moved = found.transfer.reshape(2, 2, count)
    moved = moved[:, 1] - moved[:, 0]
    slope = (roll[1] - roll[0]) / _SMALL
    gradient = np.array([degrees_per_g(one, GRAVITY) for one in slope])
    solved = np.asarray(found.solved.reshape(2, count).all(axis=0))
    return gradient, moved[0] / moved.sum(axis=0), found.heave.reshape(2, 2, count)[:, 0], solved


def _varied(setup: AxleSetup, springs: Sequence[SpringChoice], bars: Sequence[BarChoice]) -> AxleSetup:
    """One axle with each combination's parts as a variant."""
    rate = np.array([[spring.rate] * 2 if spring.name != AS_FITTED else setup.rate for spring in springs])
    packed = setup.measured + setup.preload / rate
    told = np.array([np.nan if spring.free_length is None else spring.free_length for spring in springs])[:, None]
    free = np.where(np.isnan(told), packed, told)
    return setup.with_springs(rate, free).with_bar(np.array([bar.rate for bar in bars]))


def _outside(want: Want, gradient: Array, share: Array, heave: Array) -> Array:
    missed = _beyond(gradient, want.gradient) + _beyond(share, want.front_share)
    worst = np.abs(heave).max(axis=0)
    if np.isfinite(want.height):
        missed = missed + np.maximum(worst - want.height, 0.0) / max(want.height, 1.0)
    return np.asarray(missed)


def _beyond(values: Array, wanted: tuple[float, float]) -> Array:
    low, high = wanted
    ends = [abs(end) for end in wanted if np.isfinite(end)]
    # For a range open at one end, the size of the other end stands in for its width.
    width = high - low if len(ends) == 2 else max([*ends, 1e-9])
    return np.asarray(np.maximum(np.maximum(low - values, values - high), 0.0) / (width if ends else 1.0))


def _off_middle(want: Want, gradient: Array, share: Array) -> Array:
    """Distance from the middles of what is wanted, in parts of the ranges; it breaks ties."""
    off = np.zeros_like(gradient)
    for values, (low, high) in ((gradient, want.gradient), (share, want.front_share)):
        if np.isfinite(low) and np.isfinite(high):
            off = off + np.abs(values - 0.5 * (low + high)) / max(high - low, 1e-9)
    return off
