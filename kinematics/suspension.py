"""What a suspension type is: its named points, the joints between them, and how to read the front view."""

from dataclasses import dataclass
from typing import Literal

Carrier = Literal["chassis", "upright"]


@dataclass(frozen=True)
class Point:
    """One measured point: its key in the car file, the part that carries it, and where to find it.

    typical: (ahead, out, up) [mm] of an invented car, shown in the blank file.
    """

    key: str
    carrier: Carrier
    where: str
    typical: tuple[float, float, float]


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
class SuspensionType:
    """A corner with one upright. Its links, arms and strut must leave it one freedom: wheel travel.

    links: pairs of (upright point, chassis point), besides those of the arms.
    steering_axis: lower and upper point; either may be on the upright or on the chassis.
    arms: the lower arm first; a second one is the upper arm. strut: given if the corner has one.
    toe_link: the link whose length sets toe.
    """

    name: str
    title: str
    points: tuple[Point, ...]
    arms: tuple[Arm, ...]
    links: tuple[tuple[str, str], ...]
    strut: StrutAxis | None
    steering_axis: tuple[str, str]
    toe_link: tuple[str, str]

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of all points, in the order of measuring."""
        return tuple(point.key for point in self.points)

    @property
    def on_upright(self) -> frozenset[str]:
        """Keys of the points that the upright carries."""
        return frozenset(point.key for point in self.points if point.carrier == "upright")

    @property
    def all_links(self) -> tuple[tuple[str, str], ...]:
        """Every fixed length as (upright point, chassis point): two for each arm, then the single links."""
        from_arms = [(arm.joint, pivot) for arm in self.arms for pivot in (arm.pivot_front, arm.pivot_rear)]
        return (*from_arms, *self.links)
