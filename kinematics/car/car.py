"""A measured car: axles with their points, wheels and doubts. Millimetres, radians; ISO 8855 axes.

Sides are the last axis before the coordinates: index LEFT = 0, RIGHT = 1. Every array of an axle may carry leading
batch axes, so that many variants of a car move at once. Axes, signs, units and shapes: kinematics/GLOSSARY.md.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from kinematics.car.fittings import Body, Fittings, chosen_of
from kinematics.car.given_points import given_points, refuse_other_cars, refuse_within_pivots
from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.limits import Limits
from kinematics.car.nearest_names import Named
from kinematics.car.sides import LEFT, RIGHT, SIDE_NAMES, SIDES
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.uncertainty import Doubt
from solvers.read_only import ReadOnly
from solvers.tangents import has_tangents
from solvers.vectors import Array, Column, vector

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from kinematics.car.springs_and_bars import AxleLoads

__all__ = ["LEFT", "RIGHT", "SIDES", "SIDE_NAMES", "Axle", "Car"]


class NoAxleError(KeyError, AttributeError):
    """A car has no such axle, whether it was asked for by name or as `car.rear`."""


class Points(Named[Array]):
    """An axle's points by key; they cannot be written to."""

    what = "point"
    instead = "axle.with_points(lower_ball_joint=...) gives the same axle with other points"


@dataclass(frozen=True, repr=False)
class Axle(ReadOnly):
    """Two corners as measured at ride height.

    points: key to coordinates (..., 2, 3) [mm]: x ahead of this axle's wheel centres, y to the left, z over
    the ground. camber: (..., 2) [rad], negative: top leans in. toe: (..., 2) [rad], toe-in positive.
    doubt: how well its coordinates are known, None if the file does not say. body: what the axle carries; loads:
    weights, springs and bar, where known. rack: the rack travel at which it stands (...) [mm], to the left positive;
    straight_ahead: the axle as measured, if this one is steered. outer_share_apart: of cars as they might be, by how
    much each one's share of the lateral force on the outer wheel is apart from that in balance (...). numbers: of many
    cars (cars,), those by which a table names them, None where they are counted from 0.
    """

    name: str
    suspension: SuspensionType
    points: Mapping[str, Array]
    camber: Array
    toe: Array
    doubt: Doubt | None = None
    fittings: Fittings = field(default_factory=Fittings)
    body: Body = field(default_factory=Body)
    loads: "AxleLoads | None" = None
    rack: Array = field(default_factory=lambda: np.zeros(()))
    straight_ahead: "Axle | None" = None
    outer_share_apart: float | Array = 0.0
    numbers: Column | None = None

    def __post_init__(self) -> None:
        if not isinstance(self.points, Points):
            object.__setattr__(self, "points", Points(self.points))
        super().__post_init__()

    def __repr__(self) -> str:
        batch = f"{' x '.join(map(str, self.batch_shape))} cars, " if self.batch_shape else ""
        return f"<{self.name} axle, {self.suspension.name}: {batch}{len(self.points)} points a side>"

    @property
    def readings_disagree(self) -> bool:
        """Whether its points were fitted to readings that do not agree: then no chance counts for much."""
        return self.doubt is not None and self.doubt.readings_disagree

    def with_points(self, **points: "ArrayLike") -> "Axle":
        """The same axle with other points, by key (..., 2, 3) [mm]; leading axes make it many cars, moved at once.

        Raises KeyError for a point that it has not, and ValueError, with point and car, for a shape, a value or a place
        that none can have.
        """
        given = given_points(self.name, self.suspension, points)
        together = {**self.points, **given}
        turned = {"camber": self.camber.shape[:-1], "toe": self.toe.shape[:-1], "rack travel": self.rack.shape}
        height = {"the centre of gravity": np.asarray(self.body.centre_of_gravity).shape}
        own = {key: point.shape[:-2] for key, point in together.items() if key not in given}
        refuse_other_cars(own | turned | height | {key: point.shape[:-2] for key, point in given.items()})
        refuse_within_pivots(self.name, self.suspension, together, given)
        return replace(self, points=together)

    def variant(self, index: int | slice) -> "Axle":
        """One of many cars, or some of them, which keep their numbers: `variant(slice(0, 500))`.

        Raises ValueError where the axle is that of one car.
        """
        if not (self.batch_shape or self.rack.shape or np.ndim(np.asarray(self.body.centre_of_gravity))):
            raise ValueError(f"this {self.name} axle is of one car: it has no variants")

        def chosen(values: Array, own: int) -> Array:
            return values[index] if values.ndim > own else values

        points = {key: chosen(point, 2) for key, point in self.points.items()}
        body = self.body.variant(index)
        camber, toe, rack = chosen(self.camber, 1), chosen(self.toe, 1), chosen(self.rack, 0)
        some = len(self.batch_shape) == 1 and isinstance(index, slice)
        numbers = self.car_numbers[index] if some else None
        apart = chosen_of(self.outer_share_apart, index)
        return replace(
            self, points=points, camber=camber, toe=toe, body=body, rack=rack, outer_share_apart=apart, numbers=numbers
        )

    @property
    def car_numbers(self) -> Column:
        """By which tables name the cars along the first leading axis (cars,): from 0, or as before `variant`."""
        count = self.batch_shape[:1]
        if self.numbers is not None and self.numbers.shape == count:
            return self.numbers
        return np.arange(*count or (0,))

    @cached_property
    def has_tangents(self) -> bool:
        """Whether its points or wheel angles carry tangents (see `solvers.tangents`)."""
        return has_tangents(*self.points.values(), self.camber, self.toe)

    @property
    def batch_shape(self) -> tuple[int, ...]:
        """Shape of the leading axes, without the side axis."""
        shapes = [point.shape[:-2] for point in self.points.values()]
        return np.broadcast_shapes(self.camber.shape[:-1], self.toe.shape[:-1], *shapes)

    @property
    def spin_axis(self) -> Array:
        """Outward unit vector of each wheel's spin axis as measured (..., 2, 3)."""
        flat = np.cos(self.camber)
        return vector(flat * np.sin(self.toe), SIDES * flat * np.cos(self.toe), -np.sin(self.camber))

    @property
    def radius(self) -> Array:
        """Loaded radius (..., 2) [mm]: it puts the contact point on the floor from which the points were measured."""
        if self.straight_ahead is not None:
            return self.straight_ahead.radius
        return np.asarray(self.points["wheel_centre"][..., 2] / np.cos(self.camber))

    @property
    def contact(self) -> Array:
        """Contact points as measured (..., 2, 3) [mm]: the lowest points of the wheel discs, on the floor."""
        axis = self.spin_axis
        down = vector(axis[..., 0] * axis[..., 2], axis[..., 1] * axis[..., 2], axis[..., 2] ** 2 - 1.0)
        return self.points["wheel_centre"] + down * (self.radius / np.cos(self.camber))[..., None]


@dataclass(frozen=True, repr=False)
class Car:
    """A car: its name, its owner's unit, one or two axles, front first, and its limits.

    on_paper: whether a plan made it, and nobody measured it yet.
    """

    name: str
    unit: LengthUnit = MM
    axles: tuple[Axle, ...] = ()
    limits: Limits = field(default_factory=Limits)
    on_paper: bool = False

    def __repr__(self) -> str:
        axles = ", ".join(f"{axle.name} {axle.suspension.name}" for axle in self.axles)
        return f"<car {self.name!r}, measured in {self.unit.symbol}: {axles}>"

    @property
    def body(self) -> Body:
        """What the axles carry."""
        return self.axles[0].body

    def axle(self, name: str) -> Axle:
        """The axle of that name ("front" or "rear"). Raises NoAxleError, a KeyError, if the car has none."""
        for axle in self.axles:
            if axle.name == name:
                return axle
        raise NoAxleError(
            f"{name!r} is no axle of {self.name!r}; there are {', '.join(axle.name for axle in self.axles)}"
        )

    @property
    def front(self) -> Axle:
        """The front axle."""
        return self.axle("front")

    @property
    def rear(self) -> Axle:
        """The rear axle."""
        return self.axle("rear")


def weighed(axles: Sequence[Axle]) -> tuple[Axle, ...]:
    """Axles whose body knows how much of the car is unsprung, and how high that lies, where all weights are known."""
    loads = [axle.loads for axle in axles if axle.loads is not None]
    if len(loads) < 2:
        return tuple(axles)
    unsprung = float(sum(one.unsprung.sum() for one in loads))
    moment = float(
        sum(one.unsprung @ axle.points["wheel_centre"][:, 2] for one, axle in zip(loads, axles, strict=True))
    )
    part = unsprung / float(sum(one.corner_mass.sum() for one in loads))
    return tuple(replace(axle, body=replace(axle.body, unsprung=(part, moment / unsprung))) for axle in axles)
