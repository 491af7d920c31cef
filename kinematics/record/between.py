"""What changed from one state of a car to another: its parts and its numbers, each with the doubt of the change.

Errors of readings that both states go back to cancel; those of readings taken anew do not. To first order.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle, Car
from kinematics.car.springs_and_bars import AxleLoads
from kinematics.car.uncertainty import WAYS
from kinematics.doubt.assessment import NORMAL_95, perturbed_axles
from kinematics.numbers.quantity import Dimension, Where
from kinematics.numbers.registry import QUANTITIES, keys_shown, quantities_of
from kinematics.record.state import State, common_sources, places_out
from kinematics.sweeps.asked import made_ready, over_travel
from kinematics.sweeps.body import sweep_bump
from solvers.spread import slopes
from solvers.tangents import seeded
from solvers.vectors import Array

_REST = np.zeros(1)
_NEARBY = 1.0  # mm: derivatives at ride height need a little travel
_SAME = 1e-9
_NONE = 1e-10  # of any unit inside: rounding
_Named: TypeAlias = tuple[str, str]  # title and side
_Valued: TypeAlias = tuple[Dimension, float]
_Told: TypeAlias = tuple[_Named, _Valued]
TOLD = keys_shown(Where.AT_RIDE_HEIGHT)


@dataclass(frozen=True)
class Difference:
    """One number before and after [mm, rad and so on]. side: "" where it has none; point: of a coordinate.

    either_way_95: half of the 95 % interval of the change, None where the doubt of either state is not told.
    """

    axle: str
    key: str
    side: str
    before: float
    after: float
    either_way_95: float | None = None
    point: str = ""

    @property
    def change(self) -> float:
        """After less before."""
        return self.after - self.before

    @property
    def is_sure(self) -> bool | None:
        """Whether the change is more than its doubt, and than rounding; None where its doubt is not told."""
        return None if self.either_way_95 is None else abs(self.change) > max(self.either_way_95, _NONE)


@dataclass(frozen=True)
class PartChange:
    """What springs, bars, weights and fittings tell otherwise. before, after: None where it is not told."""

    axle: str
    what: str
    dimension: Dimension
    side: str
    before: float | None
    after: float | None


@dataclass(frozen=True)
class Between:
    """Two states and all that differs. numbers: all that both have, also those that did not change.

    shared, sources: of each axle, how many sources of doubt go back to the same readings, and of how many.
    """

    before: State
    after: State
    points: tuple[Difference, ...]
    parts: tuple[PartChange, ...]
    numbers: tuple[Difference, ...]
    shared: Mapping[str, tuple[int, int]]

    @property
    def sure(self) -> tuple[Difference, ...]:
        """Numbers whose change is more than its doubt."""
        return tuple(one for one in self.numbers if one.is_sure)


@dataclass(frozen=True)
class Solved:
    """An axle's numbers at ride height by key ([2,] 1), and their slopes by each source (m, [2,] 1), None without."""

    axle: Axle
    values: Mapping[str, Array]
    slopes: Mapping[str, Array] | None

    def either_way_95(self, key: str) -> Array | None:
        """Half of a number's own 95 % interval ([2,] 1)."""
        return None if self.slopes is None else NORMAL_95 * np.sqrt((self.slopes[key] ** 2).sum(axis=0))


def solved(axle: Axle) -> Solved:
    """Solve an axle at ride height, with the derivative by every source of its doubt."""
    keys = [key for key in TOLD if key in quantities_of(axle)]
    values = sweep_bump(made_ready(axle, over_travel(-_NEARBY, _NEARBY)), _REST)
    told = {key: np.asarray(values[key]) for key in keys}
    if axle.doubt is None:
        return Solved(axle, told, None)
    cars = perturbed_axles(axle, axle.doubt, seeded(np.zeros(len(axle.doubt.sources))))
    found = slopes(sweep_bump(made_ready(cars, over_travel(-_NEARBY, _NEARBY)), _REST).values)
    return Solved(axle, told, {key: found[key].slopes for key in keys})


def solved_state(state: State) -> dict[str, Solved]:
    """All axles of a state."""
    return {axle.name: solved(axle) for axle in state.car.axles}


def _on_the_readings_of(paper: Solved, measured: Solved) -> Solved:
    """An axle that a plan made, as doubtful as the one that was measured: it has that one's readings."""
    own, doubt = paper.axle.doubt, measured.axle.doubt
    if own is None or doubt is None or own.coordinates == doubt.coordinates:
        return paper
    return solved(replace(paper.axle, doubt=doubt))


def between(before: State, after: State, one: Mapping[str, Solved], other: Mapping[str, Solved]) -> Between:
    """Say what changed from one state to another; one, other: both solved."""
    names = [name for name in one if name in other]
    points: list[Difference] = []
    parts = list(_parts("", dict(_body(before.car)), dict(_body(after.car))))
    numbers: list[Difference] = []
    shared = {}
    one, other = dict(one), dict(other)
    for name in names:
        if after.car.on_paper and not before.car.on_paper:
            other[name] = _on_the_readings_of(other[name], one[name])
        elif before.car.on_paper and not after.car.on_paper:
            one[name] = _on_the_readings_of(one[name], other[name])
        pairs = common_sources((before, one[name].axle), (after, other[name].axle))
        points += _points(one[name].axle, other[name].axle, pairs)
        parts += _parts(name, dict(_told(one[name].axle)), dict(_told(other[name].axle)))
        numbers += _numbers(one[name], other[name], pairs)
        doubts = [each.axle.doubt for each in (one[name], other[name])]
        shared[name] = (len(pairs), max((len(each.sources) for each in doubts if each is not None), default=0))
    return Between(before, after, tuple(points), tuple(parts), tuple(numbers), shared)


def _spread(before: Array, after: Array, pairs: Sequence[tuple[int, int]]) -> Array:
    """Half of the 95 % interval of a change, of slopes by source (m, ...) and (n, ...): the common ones subtracted."""
    old, new = before.copy(), after.copy()
    for place, other in pairs:
        new[other] = new[other] - old[place]
        old[place] = 0.0
    return np.asarray(NORMAL_95 * np.sqrt((old**2).sum(axis=0) + (new**2).sum(axis=0)))


def _numbers(one: Solved, other: Solved, pairs: Sequence[tuple[int, int]]) -> Iterator[Difference]:
    for key, value in one.values.items():
        if key not in other.values:
            continue
        own = [way for way in (each.either_way_95(key) for each in (one, other)) if way is not None]
        spread = None
        # What hangs on nothing that has a doubt, such as toe without `toe_in_known_to`, is not exact: nobody told.
        if one.slopes is not None and other.slopes is not None and any((way > _NONE).any() for way in own):
            spread = _spread(one.slopes[key], other.slopes[key], pairs).reshape(-1)
        before, after = value.reshape(-1), other.values[key].reshape(-1)
        for i, side in enumerate(SIDE_NAMES if QUANTITIES[key].per_side else ("",)):
            either_way = None if spread is None else float(spread[i])
            yield Difference(one.axle.name, key, side, float(before[i]), float(after[i]), either_way)


def _points(one: Axle, other: Axle, pairs: Sequence[tuple[int, int]]) -> Iterator[Difference]:
    """Coordinates that are other numbers now; alike on both sides, once."""
    for key in one.points:
        before, after = places_out(one, key), places_out(other, key)
        apart = any(np.ptp(each, axis=0).any() for each in (before, after))
        alike = key in one.suspension.single or not apart
        for i, side in enumerate(("",) if alike else SIDE_NAMES):
            for j, way in enumerate(WAYS):
                if abs(after[i, j] - before[i, j]) > _SAME:
                    spread = _of_coordinate(one, other, (key, way, i), pairs)
                    yield Difference(one.name, way, side, float(before[i, j]), float(after[i, j]), spread, key)


def _of_coordinate(
    one: Axle, other: Axle, which: tuple[str, str, int], pairs: Sequence[tuple[int, int]]
) -> float | None:
    rows = [_influence(each, which) for each in (one, other)]
    return None if rows[0] is None or rows[1] is None else float(_spread(rows[0], rows[1], pairs))


def _influence(axle: Axle, which: tuple[str, str, int]) -> Array | None:
    """How far each source shifts one coordinate (m,); none of one that has no doubt."""
    if axle.doubt is None:
        return None
    key, way, side = which
    for row, one in enumerate(axle.doubt.coordinates):
        if (one.of, one.way) == (key, way) and side in one.sides:
            return np.asarray(axle.doubt.influence[row])
    return np.zeros(len(axle.doubt.sources))


def _body(car: Car) -> "Iterator[_Told]":
    """What a car tells of its body."""
    body = car.body
    up = None if body.centre_of_gravity is None else float(body.centre_of_gravity)
    lengths = {
        "wheelbase": body.wheelbase,
        "centre of gravity, up": up,
        "centre of gravity, behind the front wheels": body.behind_front,
    }
    for title, value in lengths.items():
        if value is not None:
            yield (title, ""), (Dimension.LENGTH, value)


def _parts(axle: str, before: "dict[_Named, _Valued]", after: "dict[_Named, _Valued]") -> Iterator[PartChange]:
    """What is told otherwise."""
    for what in dict.fromkeys((*before, *after)):
        (title, side), kind = what, (before.get(what) or after[what])[0]
        old, new = (told[what][1] if what in told else None for told in (before, after))
        if old is None or new is None or abs(new - old) > _SAME * max(1.0, abs(old)):
            yield PartChange(axle, title, kind, side, old, new)


def _each_side(title: str, kind: Dimension, values: Array | float) -> "Iterator[_Told]":
    for side, value in zip(SIDE_NAMES, np.broadcast_to(values, 2), strict=True):
        yield (title, side), (kind, float(value))


def _told(axle: Axle) -> "Iterator[_Told]":
    """What an axle tells besides its points, by title and side."""
    length, rate, mass = Dimension.LENGTH, Dimension.RATE, Dimension.MASS
    yield from _each_side("loaded radius", length, axle.radius)
    fittings = axle.fittings
    for title, value in (("bump stop", fittings.bump_stop), ("droop stop", fittings.droop_stop)):
        if value is not None:
            yield (title, ""), (length, float(value))
    loads: AxleLoads | None = axle.loads
    if loads is None:
        return
    yield from _each_side("weight on the scale", mass, loads.corner_mass)
    yield from _each_side("unsprung mass", mass, loads.unsprung)
    yield from _each_side("spring rate", rate, loads.spring.rate)
    if loads.spring.free_length is not None:
        yield from _each_side("spring free length", length, loads.spring.free_length)
    if loads.spring.bump_stop is not None:
        yield ("bump stop's gap", ""), (length, loads.spring.bump_stop.gap)
    if loads.bar is not None:
        yield ("anti-roll bar", ""), (rate, loads.bar.rate)
    if loads.tyre_rate is not None:
        yield ("tyre rate", ""), (rate, loads.tyre_rate)
    if loads.damper is not None:
        yield ("damper rate", ""), (rate, loads.damper[1])
