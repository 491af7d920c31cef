"""The roll axis: front and rear roll centres joined, and how far under the centre of gravity it runs."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.given_numbers import angle, angles, in_a_row, lengths
from kinematics.car.lengths import MM, LengthUnit
from kinematics.motion.moving_axle import MovingAxle
from kinematics.motion.reasons import Reason
from kinematics.numbers.labelled_arrays import States, drivers_of, labelled
from kinematics.numbers.named_values import NamedValues
from kinematics.numbers.outer_share import ALL_USUAL, OuterShares
from kinematics.numbers.quantity import Dimension, Mirror, ReportedNumber
from kinematics.numbers.result import number_of
from kinematics.sweeps.arguments import refuse_no_car, refuse_other
from kinematics.sweeps.body import sweep_grid
from solvers.read_only import read_only
from solvers.vectors import Array, Column, Flags

if TYPE_CHECKING:
    import xarray
    from numpy.typing import ArrayLike

# What is read of each axle; the contact points tell the track.
_READ = ("roll_centre_height", "roll_centre_offset", "force_weighted_height", "contact_y")


@dataclass(frozen=True, repr=False)
class RollAxis(NamedValues[str]):
    """The line through the roll centres of both axles, over bumps (B,) and rolls (R,); arrays (B, R) [mm, rad].

    heave, roll: the body's attitude, heave of its place on the ground midway between the axles; pitch: nose down
    positive, one for all. front, rear: roll-centre heights; front_offset, rear_offset: how far to the left; tracks: of
    both axles; front_weighted, rear_weighted: force-weighted heights, which stay finite in roll. wheelbase: level;
    behind_front: of the centre of gravity, level, with its height as the body stands, None where not known. reached:
    False where an axle cannot go; problems: why, and why numbers of the axles are missing.
    """

    heave: Array
    roll: Array
    front: Array
    rear: Array
    front_offset: Array
    rear_offset: Array
    tracks: tuple[float, float]
    front_weighted: Array
    rear_weighted: Array
    wheelbase: float
    behind_front: Array | None
    centre_of_gravity: Array | None
    pitch: float
    reached: Flags
    problems: tuple[Reason, ...]

    @property
    def inclination(self) -> Array:
        """Slope of the axis in side view [rad], positive: higher at the rear."""
        return np.arctan2(self.rear - self.front, self.wheelbase)

    @property
    def inclination_weighted(self) -> Array:
        """The same of the line through the force-weighted heights."""
        return np.arctan2(self.rear_weighted - self.front_weighted, self.wheelbase)

    @property
    def under_gravity(self) -> Array | None:
        """How far the axis runs under the centre of gravity: the arm of the body's roll moment."""
        return self._under(self.front, self.rear)

    @property
    def under_gravity_weighted(self) -> Array | None:
        """The same of the line through the force-weighted heights."""
        return self._under(self.front_weighted, self.rear_weighted)

    def _under(self, front: Array, rear: Array) -> Array | None:
        if self.behind_front is None or self.centre_of_gravity is None:
            return None
        return np.asarray(self.centre_of_gravity - front - (rear - front) * (self.behind_front / self.wheelbase))

    def __repr__(self) -> str:
        states = " x ".join(map(str, self.heave.shape))
        missing = f", {(~self.reached).sum()} not reached" if not self.reached.all() else ""
        return f"<roll axis of a car: {states} states{missing}; {self.named()}>"

    def about(self, key: str) -> ReportedNumber:
        """What is known of a number: title, meaning, dimension, and which way is positive."""
        return number_of(key, ROLL_AXIS)

    def columns(self, unit: LengthUnit = MM) -> dict[str, Column]:
        """Every number that is known as a flat column, in degrees and the given unit, named with its unit."""
        return {self.about(key).column(unit): self.in_unit(key, unit).reshape(-1) for key in self}

    def to_xarray(self, unit: LengthUnit = MM) -> "xarray.Dataset":
        """Every number over bump and roll, in degrees and the given unit; ImportError says how if xarray is missing."""
        states = States((), self.heave.shape, drivers_of({"bump": -self.heave, "roll": self.roll}))
        numbers = {key: (self.about(key), values) for key, values in self._by_key().items()}
        return labelled(numbers, states, {"reached": self.reached}, unit, {})

    def _by_key(self) -> Mapping[str, Array]:
        known = {key: number.read(self) for key, number in ROLL_AXIS.items()}
        return {key: values for key, values in known.items() if values is not None}

    def _index(self, unit: LengthUnit) -> dict[str, Column]:
        bump, roll = -self.in_unit("heave", unit), self.in_unit("roll", unit)
        return {f"bump_{unit.symbol}": bump.reshape(-1), "roll_deg": roll.reshape(-1)}


@dataclass(frozen=True, kw_only=True, repr=False)
class RollAxisNumber(ReportedNumber):
    """A number of a roll axis; read gives (B, R), None where it is not known."""

    read: Callable[[RollAxis], Array | None]


_OVER_GROUND, _SLOPE = "ground at 0, up positive", "higher at the rear: positive"
_NUMBERS = (
    RollAxisNumber(
        key="heave",
        title="heave of the body",
        dimension=Dimension.LENGTH,
        sign="up positive",
        read=lambda axis: axis.heave,
    ),
    RollAxisNumber(
        key="roll",
        title="roll of the body",
        dimension=Dimension.ANGLE,
        sign="left side up positive",
        mirror=Mirror.TURNS,
        read=lambda axis: axis.roll,
    ),
    RollAxisNumber(
        key="pitch",
        title="pitch of the body",
        dimension=Dimension.ANGLE,
        meaning="about the place on the ground midway between the axles, whose heave is told",
        sign="nose down positive",
        read=lambda axis: np.full_like(axis.roll, axis.pitch) if axis.pitch else None,
    ),
    RollAxisNumber(
        key="front_roll_centre_height",
        title="front roll-centre height",
        dimension=Dimension.LENGTH,
        sign=_OVER_GROUND,
        read=lambda axis: axis.front,
    ),
    RollAxisNumber(
        key="rear_roll_centre_height",
        title="rear roll-centre height",
        dimension=Dimension.LENGTH,
        sign=_OVER_GROUND,
        read=lambda axis: axis.rear,
    ),
    RollAxisNumber(
        key="roll_axis_inclination",
        title="inclination of the roll axis",
        dimension=Dimension.ANGLE,
        meaning="slope in side view of the line through both roll centres",
        sign=_SLOPE,
        read=lambda axis: axis.inclination,
    ),
    RollAxisNumber(
        key="roll_axis_under_centre_of_gravity",
        title="roll axis under the centre of gravity",
        dimension=Dimension.LENGTH,
        meaning="arm of the body's roll moment; positive: the axis runs under it",
        read=lambda axis: axis.under_gravity,
    ),
    RollAxisNumber(
        key="front_force_weighted_height",
        title="front force-weighted height",
        dimension=Dimension.LENGTH,
        sign=_OVER_GROUND,
        read=lambda axis: axis.front_weighted,
    ),
    RollAxisNumber(
        key="rear_force_weighted_height",
        title="rear force-weighted height",
        dimension=Dimension.LENGTH,
        sign=_OVER_GROUND,
        read=lambda axis: axis.rear_weighted,
    ),
    RollAxisNumber(
        key="force_weighted_axis_inclination",
        title="inclination of the force-weighted axis",
        dimension=Dimension.ANGLE,
        meaning="slope in side view of the line through the force-weighted heights",
        sign=_SLOPE,
        read=lambda axis: axis.inclination_weighted,
    ),
    RollAxisNumber(
        key="force_weighted_axis_under_centre_of_gravity",
        title="force-weighted axis under the centre of gravity",
        dimension=Dimension.LENGTH,
        meaning="positive: the axis runs under it",
        read=lambda axis: axis.under_gravity_weighted,
    ),
)
ROLL_AXIS: Mapping[str, RollAxisNumber] = {number.key: number for number in _NUMBERS}


def has_roll_axis(car: Car) -> bool:
    """Whether enough is known of a car for its roll axis."""
    return len(car.axles) == 2 and car.body.wheelbase is not None


def roll_axis(
    car: Car,
    bump: "ArrayLike",
    roll: "ArrayLike",
    ready: Sequence[MovingAxle] = (),
    *,
    pitch: float = 0.0,
    outer_shares: OuterShares = ALL_USUAL,
) -> RollAxis:
    """The roll axis with the body lowered by bump (B,) [mm] and rolled by roll (R,) [rad] at both axles.

    pitch: [rad], nose down positive, about the place on the ground midway between the axles, whose heave bump is then:
    the front comes down by half the wheelbase times its sine, the rear goes up by that.
    ready: front and rear axle, where they are ready to move so far already. Raises ValueError where the car has one
    axle only or its wheelbase is not known.
    """
    refuse_no_car(car, "roll_axis")
    refuse_other(outer_shares, OuterShares, "roll_axis takes OuterShares as outer_shares")
    wheelbase = car.body.wheelbase
    if wheelbase is None or len(car.axles) < 2:
        lacks = "both axles" if wheelbase is not None else "wheelbase in [body]"
        raise ValueError(f"a roll axis needs {lacks}")
    as_asked: Sequence[Axle | MovingAxle] = ready or car.axles
    turned, middle = angle(pitch, "pitch"), in_a_row(lengths(bump, "bump"), "bump")
    down = half_wheelbase_down(car, turned)
    front, rear = (
        sweep_grid(moving, middle + lower, roll, pitch=turned, outer_share=outer_shares.of(axle.name), only=_READ)
        for axle, moving, lower in zip(car.axles, as_asked, (down, -down), strict=True)
    )
    lowered, rolled = np.meshgrid(middle, in_a_row(angles(roll, "roll"), "roll"), indexing="ij")
    behind_front, height = _centre_of_gravity(car, turned, rolled)
    return read_only(
        RollAxis(
            heave=-lowered,
            roll=rolled,
            front=front["roll_centre_height"],
            rear=rear["roll_centre_height"],
            front_offset=front["roll_centre_offset"],
            rear_offset=rear["roll_centre_offset"],
            tracks=(front.track, rear.track),
            front_weighted=front["force_weighted_height"],
            rear_weighted=rear["force_weighted_height"],
            wheelbase=wheelbase * float(np.cos(turned)),
            behind_front=behind_front,
            centre_of_gravity=None if height is None else height - lowered,
            pitch=turned,
            reached=front.reached & rear.reached,
            problems=tuple(dict.fromkeys(front.problems + rear.problems)),
        )
    )


def half_wheelbase_down(car: Car, pitch: float) -> float:
    """How far pitch about the middle between the axles takes the front down and the rear up [mm]."""
    return 0.5 * (car.body.wheelbase or 0.0) * float(np.sin(pitch))


def _centre_of_gravity(car: Car, pitch: float, roll: Array) -> tuple[Array | None, Array | None]:
    """How far it lies behind the front place on the ground, level, and how high without heave [mm]; each as `roll`.

    The body turns about its place on the ground: what stands over that comes down as it rolls, ahead as it pitches.
    """
    up, behind = car.body.centre_of_gravity, car.body.behind_front
    if up is None:
        return None if behind is None else np.full_like(roll, behind * np.cos(pitch)), None
    standing = float(up) * np.cos(roll)
    if behind is None:
        return None, None if pitch else standing
    from_middle = behind - 0.5 * (car.body.wheelbase or 0.0)
    level = np.full_like(roll, behind * np.cos(pitch)) - standing * np.sin(pitch)
    return level, standing * np.cos(pitch) + from_middle * np.sin(pitch)
