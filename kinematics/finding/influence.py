"""What each point does: how every number at ride height changes as a point moves in the part that carries it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.uncertainty import WAYS
from kinematics.finding.means import Amount
from kinematics.finding.variants import variants
from kinematics.motion.moving_axle import moving
from kinematics.numbers.named_values import NamedValues
from kinematics.numbers.registry import QUANTITIES
from kinematics.planning.changes import CHANGES, Change, parts_shift, points_moved
from kinematics.planning.plan_arguments import refuse_no_rules
from kinematics.planning.rules import Rule
from kinematics.sweeps.arguments import refuse_many_cars
from kinematics.sweeps.body import sweep_bump
from solvers.read_only import read_only
from solvers.tangents import seeded, tangent
from solvers.vectors import Array, Column

_NONE = np.zeros(0)
_ROUNDING = 1e-15  # per mm; what no point moves comes out far below


@dataclass(frozen=True)
class Reach:
    """A kind of change that moves a point one way. forbidden: whether a class rule forbids it altogether.

    sign: of how it moves the point that way, 0 where it may be either.
    """

    what: str
    forbidden: bool
    sign: int = 0


@dataclass(frozen=True, repr=False)
class Influence(NamedValues[str]):
    """Slopes of every number of an axle at ride height, exact: by key (points, ways, [2]) [per mm].

    Both sides' points move alike, `out` outward on each; links keep their lengths, the ride height is kept, and toe and
    camber are put back by the adjusters that the car has. reached_by: for each point and way the kinds of change that
    move it so; "point" moves any, and is named where no other kind moves that point at all, such as a link's mount.
    NaN where a number, or a way, does not exist.
    """

    axle: Axle
    points: tuple[str, ...]
    slopes: Mapping[str, Array]
    reached_by: Mapping[tuple[str, str], tuple[Reach, ...]]

    def __repr__(self) -> str:
        axle = self.axle
        return f"<influence of {len(self.points)} points of a {axle.name} {axle.suspension.name}; {self.named()}>"

    def columns(self, unit: LengthUnit = MM) -> dict[str, Column]:
        """One row for each point and way it may be moved, with every number's change for each mm or inch of it."""
        out: dict[str, Column] = {}
        for key in self:
            number, slopes = QUANTITIES[key], self.in_unit(key, unit)
            for side, name in enumerate(SIDE_NAMES if number.per_side else ("",)):
                own = slopes[..., side] if name else slopes
                out[f"{number.column(unit, name)}_per_{unit.symbol}"] = own.reshape(-1)
        return out

    def _by_key(self) -> Mapping[str, Array]:
        return self.slopes

    def _index(self, unit: LengthUnit) -> dict[str, Column]:
        del unit
        return {"point": np.repeat(self.points, len(WAYS)), "way": np.tile(WAYS, len(self.points))}

    def _scale(self, key: str, unit: LengthUnit) -> float:
        return self.about(key).dimension.scale(unit) * unit.in_mm

    def _unit(self, key: str, unit: LengthUnit) -> str:
        return f"{self.about(key).dimension.unit(unit)}/{unit.symbol}"

    def ranked(self, key: str, *, all_points: bool = False) -> list[tuple[str, str, float]]:
        """(point, way, slope) of one number, the largest first; of two sides the one that changes more.

        all_points: after those that some kind of change reaches, also the others; these alone where it reaches none.
        """
        slopes = self[key]
        if slopes.ndim == 3:
            larger = np.abs(slopes).argmax(axis=2)[..., None]
            slopes = np.take_along_axis(slopes, larger, axis=2)[..., 0]
        found = [(point, way, float(slopes[i, j])) for i, point in enumerate(self.points) for j, way in enumerate(WAYS)]
        largest_first = sorted((one for one in found if np.isfinite(one[2])), key=lambda one: -abs(one[2]))
        reached = [one for one in largest_first if self.reached_by[one[0], one[1]]]
        others = [one for one in largest_first if not self.reached_by[one[0], one[1]]]
        return [*reached, *others] if all_points or not reached else reached


def influence(axle: Axle, rules: Sequence[Rule] = ()) -> Influence:
    """Move every point of an axle ahead, out and up by an infinitesimal amount, all in one batch.

    rules: of the class, which may forbid what reaches a point.
    """
    refuse_many_cars(axle, "influence")
    refuse_no_rules(rules, "influence")
    points = axle.suspension.keys
    ways = [(point, way) for point in points for way in np.eye(3)]
    amounts = [
        Amount(Change(axle.name, "point", shift=(float(a), float(o), float(u)), point=point), _NONE, _NONE, _NONE)
        for point, (a, o, u) in ways
    ]
    done = variants(axle, amounts, seeded(np.zeros(len(amounts))))
    sweep = sweep_bump(moving(done.axle, -1.0, 1.0), np.zeros(1))
    slopes = {}
    for key, values in sweep.values.items():
        own = tangent(values[..., 0])
        own = np.where(done.fits.all(axis=-1).reshape(-1, *[1] * (own.ndim - 1)), own, np.nan)
        own = np.where(np.abs(own) < _ROUNDING, 0.0, own)
        slopes[key] = own.reshape(len(points), 3, *own.shape[1:])
    return read_only(Influence(axle, tuple(points), slopes, _reached_by(axle.suspension, rules)))


def _reached_by(kind: SuspensionType, rules: Sequence[Rule]) -> dict[tuple[str, str], tuple[Reach, ...]]:
    """Which kinds of change move which point which way."""
    found: dict[tuple[str, str], tuple[Reach, ...]] = {(point, way): () for point in kind.keys for way in WAYS}
    for one in CHANGES.values():
        change = Change("", one.what, by=1.0, shift=(1.0, 1.0, 1.0) if one.takes == "shift" else (0.0, 0.0, 0.0))
        forbidden = any(_forbids(rule, change, kind) for rule in rules)
        ways = [(way, part) for way, part in zip(WAYS, parts_shift(change), strict=True) if part]
        for point in () if one.names_point else points_moved(change, kind):
            for way, part in ways:
                sign = 0 if one.takes == "shift" else 1 if part > 0.0 else -1
                found[point, way] += (Reach(one.what, forbidden, sign),)
    for point in _mounts(kind, found):
        change = Change("", "point", shift=(1.0, 1.0, 1.0), point=point)
        forbidden = any(_forbids(rule, change, kind) for rule in rules)
        found |= {(point, way): (Reach("point", forbidden),) for way in WAYS}
    return found


def _mounts(kind: SuspensionType, reached: Mapping[tuple[str, str], tuple[Reach, ...]]) -> list[str]:
    """Points that only `point` moves, but the one that tells a strut's direction: it is no mount."""
    low = None if kind.strut is None else kind.strut.low
    return [point for point in kind.keys if point != low and not any(reached[point, way] for way in WAYS)]


def _forbids(rule: Rule, change: Change, kind: SuspensionType) -> bool:
    return not rule.at_most and rule.is_about(change, kind)
