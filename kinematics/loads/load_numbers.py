"""The numbers of a car under load: each read for the car (N, P), its axles (2, N, P) or its wheels (2, 2, N, P)."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.loads.lean import in_g
from kinematics.loads.under_load import UnderLoad
from kinematics.numbers.quantity import Dimension, ReportedNumber
from solvers.vectors import Array

_AXLES = ("front", "rear")
_PLACES: dict[int, dict[str, tuple[int, ...]]] = {
    2: {"": ()},
    3: {name: (axle,) for axle, name in enumerate(_AXLES)},
    4: {f"{name} {side}": (i, k) for i, name in enumerate(_AXLES) for k, side in enumerate(SIDE_NAMES)},
}


@dataclass(frozen=True, kw_only=True, repr=False)
class LoadNumber(ReportedNumber):
    """A number of a car under load."""

    read: Callable[[UnderLoad], Array]
    in_table: bool = True

    def by_place(self, found: UnderLoad) -> dict[str, Array]:
        """Its values (N, P) by the place where they are read: "", "front" or "front left"."""
        values = self.read(found)
        return {place: values[index] for place, index in _PLACES[values.ndim].items()}


UNDER_LOAD = (
    LoadNumber(
        key="lateral_acceleration",
        title="lateral acceleration",
        dimension=Dimension.ACCELERATION,
        sign="to the left positive",
        read=lambda one: in_g(one.shaped(one.found.acceleration)),
        in_table=False,
    ),
    LoadNumber(
        key="forward_acceleration",
        title="forward acceleration",
        dimension=Dimension.ACCELERATION,
        sign="braking negative",
        read=lambda one: in_g(one.shaped(one.found.forward)),
        in_table=False,
    ),
    LoadNumber(
        key="heave",
        title="rise of the body",
        dimension=Dimension.LENGTH,
        sign="up positive",
        read=lambda one: one.shaped(one.found.heave),
    ),
    LoadNumber(
        key="pitch",
        title="pitch",
        dimension=Dimension.ANGLE,
        sign="nose down positive",
        read=lambda one: one.shaped(one.found.pitch),
    ),
    LoadNumber(
        key="roll",
        title="roll, tyres included",
        dimension=Dimension.ANGLE,
        sign="left side up positive",
        read=lambda one: one.shaped(one.found.roll),
    ),
    LoadNumber(
        key="roll_of_springs",
        title="roll over the hubs",
        dimension=Dimension.ANGLE,
        sign="left side up positive",
        meaning="what the roll of limits and sweeps is",
        read=lambda one: one.in_springs,
    ),
    LoadNumber(
        key="load_gained",
        title="load gained",
        dimension=Dimension.FORCE,
        meaning="since rest",
        read=lambda one: one.load_gained,
    ),
    LoadNumber(
        key="load_through_links",
        title="of it through the links",
        dimension=Dimension.FORCE,
        meaning="put there by braking or driving without the springs: anti-dive, anti-lift, anti-squat",
        read=lambda one: one.linked,
    ),
    LoadNumber(
        key="links_share",
        title="the links' share",
        dimension=Dimension.PER_CENT,
        read=lambda one: one.linked_share,
    ),
    LoadNumber(
        key="front_share",
        title="front share, outwards",
        meaning="the front axle's part of the load moved to the outer wheels",
        dimension=Dimension.PER_CENT,
        read=lambda one: one.front_share,
    ),
    LoadNumber(
        key="force_weighted_height",
        title="force-weighted height",
        dimension=Dimension.LENGTH,
        meaning="by the wheels' own loads",
        sign="ground at 0, up positive",
        read=lambda one: one.force_weighted_height,
    ),
    LoadNumber(
        key="force_weighted_axis_inclination",
        title="slope of their line",
        dimension=Dimension.ANGLE,
        sign="higher at the rear positive",
        read=lambda one: one.axis_inclination,
    ),
    LoadNumber(
        key="wheel_load",
        title="wheel load",
        dimension=Dimension.FORCE,
        read=lambda one: one.shaped(one.found.load),
    ),
    LoadNumber(
        key="travel",
        title="wheel travel",
        dimension=Dimension.LENGTH,
        sign="bump positive",
        read=lambda one: one.shaped(one.found.travel),
    ),
    LoadNumber(
        key="camber",
        title="camber to the ground",
        dimension=Dimension.ANGLE,
        sign="negative: the top leans in",
        read=lambda one: one.camber,
    ),
    LoadNumber(
        key="toe",
        title="toe",
        dimension=Dimension.ANGLE,
        sign="toe-in positive",
        read=lambda one: one.toe,
        in_table=False,
    ),
    LoadNumber(
        key="bump_stop_force",
        title="bump-stop force",
        dimension=Dimension.FORCE,
        read=lambda one: one.shaped(one.found.stop_force),
        in_table=False,
    ),
)


def load_columns(found: UnderLoad, unit: LengthUnit) -> dict[str, Array]:
    """Every number as a flat column, manoeuvre by manoeuvre, named with place and unit; NaN beyond the last balance."""
    columns: dict[str, Array] = {}
    for number in UNDER_LOAD:
        for place, values in number.by_place(found).items():
            told = np.where(found.solved, values, np.nan) * number.dimension.scale(unit)
            columns[number.column(unit, place.replace(" ", "_"))] = told.reshape(-1)
    return columns
