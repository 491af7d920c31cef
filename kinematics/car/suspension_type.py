"""What a suspension type is: its named points, the parts that carry them, and the joints between the parts.

A type is data only. The linkage, drawings, car file and plans read it; none of them knows a type by name.
"""

from dataclasses import dataclass
from functools import cached_property

CHASSIS = "chassis"
RACK = "rack"
Pair = tuple[str, str]


@dataclass(frozen=True)
class Point:
    """One measured point: its key in the car file, the part that carries it, and where to find it.

    typical: (ahead, out, up) [mm] on an invented car, shown in the blank file; other_side: the same for the right
    side, if the sides are not built alike. single: there is one for both sides, and `out` counts to the left.
    """

    key: str
    carrier: str
    where: str
    typical: tuple[float, float, float]
    other_side: tuple[float, float, float] | None = None
    single: bool = False


@dataclass(frozen=True)
class Arm:
    """A control arm: its two pivots on the chassis and its ball joint on the upright."""

    title: str
    pivot_front: str
    pivot_rear: str
    joint: str


@dataclass(frozen=True)
class StrutAxis:
    """An axis fixed in the upright, through two measured points, that slides through the top mount."""

    low: str
    top_mount: str


@dataclass(frozen=True)
class Hinge:
    """A part that can only turn about the line through two points of another part."""

    part: str
    on: str
    first: str
    second: str


@dataclass(frozen=True)
class BallJoint:
    """A point that two parts share."""

    part: str
    on: str
    at: str


@dataclass(frozen=True)
class HeightSupport:
    """A point that the chassis holds in height and leaves free to move level."""

    at: str


@dataclass(frozen=True)
class RodAcross:
    """Construction for a live axle held sideways by one rod: the roll centre is where it crosses the centre plane."""

    on_axle: str
    on_chassis: str


@dataclass(frozen=True)
class PivotInMiddle:
    """Construction for a live axle held sideways by a pivot in the middle: the roll centre is the pivot."""

    at: str


@dataclass(frozen=True)
class MeetingLinks:
    """Construction for a live axle held sideways by links that converge.

    Each pair meets in plan view at a point; the roll centre is where the line through both passes over the axle.
    """

    pairs: tuple[Pair, Pair]


AxleDrawing = RodAcross | PivotInMiddle | MeetingLinks


@dataclass(frozen=True)
class SuspensionType:
    """Points and joints that leave each corner one freedom, wheel travel, or a whole axle two.

    arms: the lower arm first; a second one is the upper arm. links: pairs of points besides those of the arms, the
    point on the moving part first. strut: if the corner has one. bushed: upper and lower link, both in `links` and on
    both sides, that would hold the axle once too often: their bushes share what does not fit. whole_axle: one beam
    carries both wheels. steering_axis: lower and upper point, None if the upright has no fixed one. toe_link: the link
    whose length sets toe, if there is one. rack: points that the steering rack moves along y. drawing: a live axle's
    textbook construction. listed: points and joints come from the car file, where each point says what carries it.
    """

    name: str
    title: str
    points: tuple[Point, ...]
    arms: tuple[Arm, ...] = ()
    links: tuple[Pair, ...] = ()
    strut: StrutAxis | None = None
    hinges: tuple[Hinge, ...] = ()
    balls: tuple[BallJoint, ...] = ()
    height_supports: tuple[HeightSupport, ...] = ()
    bushed: tuple[Pair, Pair] | None = None
    whole_axle: bool = False
    steering_axis: Pair | None = None
    toe_link: Pair | None = None
    rack: tuple[str, ...] = ()
    drawing: AxleDrawing | None = None
    listed: bool = False

    @cached_property
    def keys(self) -> tuple[str, ...]:
        """Keys of all points, in the order of measuring."""
        return tuple(point.key for point in self.points)

    @cached_property
    def carriers(self) -> dict[str, str]:
        """The part that carries each point."""
        return {point.key: point.carrier for point in self.points}

    @cached_property
    def single(self) -> frozenset[str]:
        """Keys of the points that both sides share."""
        return frozenset(point.key for point in self.points if point.single)

    @cached_property
    def bodies(self) -> tuple[str, ...]:
        """The moving parts, the one that carries the wheel first."""
        wheel = self.carriers["wheel_centre"]
        jointed = [body for part, on, _ in self.jointed for body in (part, on)]
        moving = dict.fromkeys([wheel, *self.carriers.values(), *jointed])
        return tuple(part for part in moving if part != CHASSIS)

    @property
    def jointed(self) -> list[tuple[str, str, str]]:
        """Each hinge and ball joint: its two parts, and one of its points."""
        hinges = [(hinge.part, hinge.on, hinge.first) for hinge in self.hinges]
        return hinges + [(ball.part, ball.on, ball.at) for ball in self.balls]

    @cached_property
    def on_upright(self) -> frozenset[str]:
        """Keys of the points on the part that carries the wheel."""
        return frozenset(key for key, part in self.carriers.items() if part == self.bodies[0])

    def points_on(self, body: str) -> tuple[str, ...]:
        """Keys of the points that a part carries, and of those in its joints with other parts."""
        joints = [(hinge.part, hinge.on, key) for hinge in self.hinges for key in (hinge.first, hinge.second)]
        joints += [(ball.part, ball.on, ball.at) for ball in self.balls]
        carried = [key for key, carrier in self.carriers.items() if carrier == body]
        return tuple(dict.fromkeys(carried + [key for part, on, key in joints if body in (part, on)]))

    @cached_property
    def all_links(self) -> tuple[Pair, ...]:
        """Every fixed length, the point on the moving part first: two for each arm, then the single links."""
        from_arms = [(arm.joint, pivot) for arm in self.arms for pivot in (arm.pivot_front, arm.pivot_rear)]
        return (*from_arms, *self.links)

    @cached_property
    def links_to_chassis(self) -> tuple[Pair, ...]:
        """Single links from the part that carries the wheel to the chassis."""
        return tuple(link for link in self.links if link[0] in self.on_upright and self.carriers[link[1]] == CHASSIS)

    @property
    def has_steering_axis(self) -> bool:
        """Whether there is a steering axis: a fixed one, or that of an upright held by links alone."""
        held_otherwise = any(self.bodies[0] in (part, on) for part, on, _ in self.jointed)
        return self.steering_axis is not None or (
            self.toe_link is not None and not self.whole_axle and not held_otherwise
        )

    @property
    def freedoms_taken(self) -> int:
        """How many freedoms the joints take from the moving parts; on a whole axle, those of both sides."""

        def times(*keys: str) -> int:
            return 2 if self.whole_axle and not set(keys) <= self.single else 1

        taken = sum(times(*link) for link in self.all_links) - (1 if self.bushed else 0)
        taken += 5 * len(self.hinges) + 3 * sum(times(ball.at) for ball in self.balls)
        taken += sum(times(rest.at) for rest in self.height_supports)
        return taken + (0 if self.strut is None else 2 * times(self.strut.low, self.strut.top_mount))

    @property
    def wheel_hinge(self) -> Hinge | None:
        """The hinge between the part that carries the wheel and the chassis, if there is one."""
        ends = {self.bodies[0], CHASSIS}
        return next((hinge for hinge in self.hinges if {hinge.part, hinge.on} == ends), None)
