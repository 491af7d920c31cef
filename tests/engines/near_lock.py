"""Axles measured just short of a lock, held against MuJoCo walking away from there: python -m tests.engines.near_lock.

Each is a random axle driven to where its linkage locks, and measured anew a little short of that. Another assembly is
then so near that lengths alone do not tell one from the other; an engine that walks in small steps stays on its own;
where the two part it walks again in smaller ones.
`--cars 100` tries so many of every type; what does not lock within reach is counted and left out.
"""

import argparse
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from kinematics import Axle
from kinematics.car.suspension_type import CHASSIS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.motion.moving_axle import moving
from tests.engines.agreement import POSITION_TO
from tests.engines.corner_linkages import TRAVEL
from tests.engines.linkage import Array
from tests.engines.live_axle_linkages import TRAVELS
from tests.engines.mujoco_linkage import MujocoLinkage
from tests.engines.random_axles import RandomAxle

FAR = 400.0  # mm; looked for a lock so far either way
AWAY = np.geomspace(1e-3, 25.0, 45)  # mm from where it is measured, each step a quarter more than the one before
FINELY = np.union1d(AWAY, np.linspace(1.0, 25.0, 1000))  # where an engine's longest steps may lead it astray
COMPARED = slice(8, None)  # nearer, lengths to rounding leave poses less well known than what is asked for
SETTLED = 1e-10  # m and rad: near a lock rounding leaves no much smaller last step
BEYOND = 0.05  # mm past the lock


@dataclass(frozen=True)
class NearLock:
    """A random axle measured anew short of a lock by so much [mm]; way: 1 where it locks in bump, -1 in droop."""

    random: RandomAxle
    axle: Axle
    short: float
    way: float


def near_lock(kind: str, number: int) -> NearLock | None:
    """The random axle of that type and number at its nearest lock, both wheels together; None where it has none."""
    random = RandomAxle(kind, number)
    axle = random.axle()
    far = moving(axle, -FAR, FAR)
    low, high = far.reach
    way = 1.0 if high.max() < -low.min() else -1.0
    lock = high if way > 0.0 else low
    if np.abs(lock).max() >= FAR - 1.0:
        return None
    short = float(np.random.default_rng(number).choice([0.02, 0.2, 2.0]))
    states = far.at((lock - way * short)[:, None])
    if not states.reached.all():
        return None
    points = {key: states.point(key)[:, 0] for key in axle.suspension.keys}
    return NearLock(random, replace(axle, points=points), short, way)


def departures(near: NearLock, away: Array = AWAY) -> tuple[float, bool]:
    """How far ours departs from the engine on the way from the lock [mm], infinite where ours does not get there.

    Also whether ours tells anything beyond the lock as reached.
    """
    axle, kind = near.axle, near.axle.suspension
    travel = np.stack([-near.way * away] * 2)
    ready = moving(axle, -30.0, 30.0)
    states = ready.at(travel)
    beyond = ready.at(np.full((2, 1), near.way * (near.short + BEYOND)))
    if not states.reached.all():
        return np.inf, bool(beyond.reached.any())
    linkages = near.random.told(lambda: MujocoLinkage(SETTLED), axle)
    if kind.whole_axle:
        solved = [linkages[0].solve(dict(zip(TRAVELS, travel, strict=True)))] * 2
    else:
        solved = [one.solve({TRAVEL: heights}) for one, heights in zip(linkages, travel, strict=True)]
    off = 0.0
    for side in (0, 1):
        for key, part in kind.carriers.items():
            if part != CHASSIS:
                asked: Array = solved[side][part].point(axle.points[key][side])
                off = max(off, float(np.abs(states.point(key)[side] - asked)[COMPARED].max()))
    return off, bool(beyond.reached.any())


def findings(kind: str, numbers: range) -> Iterator[tuple[int, str]]:
    """Of axles of one type with these numbers: what is wrong, and "no lock" for those that have none."""
    for number in numbers:
        near = near_lock(kind, number)
        if near is None:
            yield number, "no lock"
            continue
        try:
            off, past = departures(near)
            if not off < POSITION_TO:
                off, past = departures(near, FINELY)
        except RuntimeError as error:
            yield number, str(error)
            continue
        if not off < POSITION_TO:
            yield number, f"departs by {off:.2g} mm"
        if past:
            yield number, "reached beyond the lock"


def main() -> None:
    """Try many axles of every type and print what is wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cars", type=int, default=100)
    asked = parser.parse_args()
    for kind in SUSPENSIONS:
        found = list(findings(kind, range(1000, 1000 + asked.cars)))
        without = sum(what == "no lock" for _, what in found)
        wrong = [one for one in found if one[1] != "no lock"]
        told = f"{kind}: {asked.cars - without} near a lock, {len(wrong)} findings {wrong or ''}"
        print(told, flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
