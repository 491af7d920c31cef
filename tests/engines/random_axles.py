"""Random axles of every suspension type that could stand in a garage, each made from its type and its number alone.

Further from the blank files than one car's two sides or two examples of a car differ: of another size, on another ride
height, every pivot elsewhere, wheels leaning and pointing as they like, at the front or at the rear.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
import pytest

from kinematics import Axle
from kinematics.car.fittings import Body, Fittings
from kinematics.car.suspension_type import CHASSIS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.motion.moving_axle import moving
from tests.engines.corner_linkages import CORNERS
from tests.engines.invented_axles import SIDES
from tests.engines.linkage import Array, Linkage
from tests.engines.live_axle_linkages import LIVE_AXLES

OF_EACH_TYPE = 12
FEW = 1  # of each type, in a newcomer's run
ELSEWHERE, SIDES_APART = 25.0, 5.0  # mm, each coordinate either way: of both sides together, and of one side more
# A Watt linkage's crank is small and its bolt short, and a rocker soon goes over centre.
SMALL_ELSEWHERE, SMALL_APART = 5.0, 2.0
SMALL_PARTS = ("watt", "rocker", "pushrod")
REACH, SHORTER_REACH = 60.0, {"free linkage": 40.0}  # mm

Build = Callable[[Linkage, dict[str, Array]], None]


@dataclass(frozen=True)
class RandomAxle:
    """A random axle by its type and number, and how an engine is told of it: of one side, or of the whole axle."""

    kind: str
    number: int

    @property
    def name(self) -> str:
        return f"{self.kind.replace(' ', '-')}-{self.number}"

    @property
    def builds(self) -> list[Build]:
        return [build for kind, build in (*CORNERS, *LIVE_AXLES) if kind == self.kind]

    @property
    def build(self) -> Build:
        """Where there are two builders of a type, every other axle has the other one."""
        builds = self.builds
        assert builds, f"no engine is told of a {self.kind}: corner_linkages.py or live_axle_linkages.py"
        return builds[self.number % len(builds)]

    @property
    def whole(self) -> bool:
        return SUSPENSIONS[self.kind].whole_axle

    @property
    def reach(self) -> float:
        """How far the wheels go either way [mm], where nothing locks before."""
        return SHORTER_REACH.get(self.kind, REACH)

    def axle(self) -> Axle:
        """The axle. Its wheelbase, centre of gravity, brakes and drive are as random."""
        suspension = SUSPENSIONS[self.kind]
        rng = np.random.default_rng([self.number, *self.kind.encode()])
        scale, lowered = rng.uniform([0.85, 0.85, 0.85], [1.2, 1.15, 1.15]), rng.uniform(-25.0, 45.0)
        points = {}
        for point in suspension.points:
            small = point.key.startswith(SMALL_PARTS)
            elsewhere, apart = (SMALL_ELSEWHERE, SMALL_APART) if small else (ELSEWHERE, SIDES_APART)
            both = np.array([point.typical, point.other_side or point.typical], dtype=float) * scale
            both += rng.uniform(-elsewhere, elsewhere, 3) + rng.uniform(-apart, apart, (2, 3))
            both[:, 2] -= lowered * (point.carrier == CHASSIS)
            if point.single:
                both[1] = both[0]
            else:
                both[:, 1] *= SIDES
            points[point.key] = both
        leaning, pointing = ((-0.5, 0.5), 0.1) if suspension.whole_axle else ((-4.0, 1.0), 0.5)
        camber, toe = rng.uniform(*leaning, 2), rng.uniform(-pointing, pointing, 2)
        wheelbase = rng.uniform(2100.0, 3000.0)
        body = Body(rng.uniform(350.0, 650.0), 0.5 * wheelbase, wheelbase, rng.uniform(0.5, 0.8), rng.uniform(0.1, 0.9))
        fittings = Fittings(inboard_brakes=bool(rng.integers(2)))
        name = ("front", "rear")[rng.integers(2)]
        camber, toe = np.radians(camber), np.radians(toe)
        return Axle(name, suspension, points, camber, toe, body=body, fittings=fittings)

    def room(self, axle: Axle) -> float:
        """How far the wheels may go either way [mm]: a tenth short of a lock, which test_random_cars.py checks."""
        low, high = moving(axle, -self.reach, self.reach).reach
        nearest = min(-low.max(), high.min())
        return self.reach if nearest == self.reach else float(0.9 * nearest)

    def told(self, engine: Callable[[], Linkage], axle: Axle) -> list[Linkage]:
        """Linkages of the left and the right corner, or the one of the whole axle, in an engine."""
        if self.whole:
            sides = [axle.points]
        else:
            sides = [{key: point[side] for key, point in axle.points.items()} for side in (0, 1)]
        linkages = [engine() for _ in sides]
        for linkage, points in zip(linkages, sides, strict=True):
            self.build(linkage, dict(points))
        return linkages


RANDOM_AXLES = [RandomAxle(kind, number) for kind in SUSPENSIONS for number in range(OF_EACH_TYPE)]


def few(axles: Iterable[RandomAxle], first: int = 0) -> list[object]:
    """What to parametrize a test with: of each type FEW from the `first` number on, and the others in a campaign."""
    return [
        pytest.param(one, id=one.name, marks=() if first <= one.number < first + FEW else pytest.mark.campaign)
        for one in axles
    ]
