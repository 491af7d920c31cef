"""Cars with a plan planted in them: limits set closely around the numbers that the planted plan gives."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kinematics import Axle, Car
from kinematics.car.limits import Limit, Limits, WorkingRange
from kinematics.car.suspension_type import SuspensionType
from kinematics.finding.means import Amount, Means
from kinematics.motion.moving_axle import moving
from kinematics.planning.changes import CHANGES, LOAD_CHANGES, Change, can_be_made
from kinematics.planning.plans import carry_out
from kinematics.sweeps.body import sweep_bump
from solvers.vectors import Array
from tests.properties.plausible_cars import APART, typical_axle

CLOSE = 0.02
WORKING = WorkingRange(-12.0, 12.0, np.radians(0.8))


def random_axle(kind: SuspensionType, seed: int) -> Axle:
    """A type's invented car with every point some millimetres off, sides alike."""
    axle, rng = typical_axle(kind), np.random.default_rng(seed)
    size = 0.3 * APART
    points = {}
    for key, point in axle.points.items():
        off = rng.uniform(-size, size, 3) * (0.0 if key.startswith("watt") else 1.0)
        points[key] = point + (off if key in kind.single else off * [[1.0, 1.0, 1.0], [1.0, -1.0, 1.0]])
    return replace(axle, points=points)


def amount(axle: str, what: str, values: Sequence[float], way: str = "", point: str = "", price: float = 0.0) -> Amount:
    """One thing that may be changed; way: of a shift."""
    shift = tuple(float(way == one) for one in ("ahead", "out", "up"))
    change = Change(axle, what, 0.0 if way else 1.0, (shift[0], shift[1], shift[2]), point)
    kept = np.array([value for value in values if value])
    return Amount(change, kept, np.full(len(kept), price), np.zeros(len(kept)))


def limits_around(car: Car, amounts: Sequence[Amount], planted: Array, keys: Sequence[str]) -> Limits:
    """Limits at ride height about the numbers after a plan, as wide as a small part of what a millimetre more does."""
    plans = [planted, *(planted + row for row in np.eye(len(planted)))]
    done = carry_out(car, [means_of(*amounts).plan(values, "planted") for values in plans])
    by_axle: dict[str, tuple[Limit, ...]] = {}
    for axle in car.axles:
        assert not any(one[axle.name].refusals for one in done)
        sweeps = [sweep_bump(moving(one[axle.name].axle, -1.0, 1.0), np.zeros(1)) for one in done]
        made = []
        for key in keys:
            if key in sweeps[0].values:
                here, *more = (sweep[key].reshape(-1) for sweep in sweeps)
                close = CLOSE * max(float(np.abs(one - here).max()) for one in more) + 1e-7
                made.append(Limit(key, float(here.min()) - close, float(here.max()) + close, ("ride height",)))
        # The usual limit of the force-weighted height is not planted: it is out of the way.
        made.append(Limit("force_weighted_height", -1e4, 1e4, ("ride height",)))
        by_axle[axle.name] = tuple(made)
    return Limits(WORKING, by_axle)


def kinds_of_change(kind: SuspensionType) -> list[str]:
    """Every kind of geometric change that a type can take without naming a point."""
    return [
        one.what
        for one in CHANGES.values()
        if one.what not in LOAD_CHANGES and not one.names_point and can_be_made(one, "", kind)
    ]


# What tells the kinds of change apart: each moves one of these at least.
NUMBERS = ("roll_centre_height", "camber_gain", "bump_steer", "contact_y", "wheel_centre_z", "caster", "scrub_radius")


def one_of(car: Car, what: str, values: Array) -> Amount:
    """A kind of change on a car's only axle, upward where it is a shift."""
    return amount(car.axles[0].name, what, list(values), "up" if CHANGES[what].takes == "shift" else "")


def means_of(*amounts: Amount, **more: object) -> Means:
    return Means(tuple(amounts), **more)  # type: ignore[arg-type]
