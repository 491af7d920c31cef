"""How far the page's sliders go."""

import math
from dataclasses import dataclass

from kinematics.car.car import Axle, Car
from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from reports.documents.amounts import Record, plain

_USUAL_RACK = {"mm": 50.0, "in": 2.0}  # to either side, in the owner's unit, where full lock is not stated


@dataclass(frozen=True)
class Reach:
    """How far the body goes either way: heave [mm], roll and pitch [rad]; curves go as far in travel and roll."""

    heave: float
    roll: float = math.radians(3.0)
    pitch: float = math.radians(2.0)


def reach_of(car: Car) -> Reach:
    """As far as a sweep goes unless it is told otherwise."""
    return Reach(car.unit.to_mm(2.5) if car.unit.symbol == "in" else 60.0)


def rack_reach(axle: Axle, unit: LengthUnit) -> float:
    """How far the rack goes either way [mm]; zero where there is none."""
    usual = unit.to_mm(_USUAL_RACK[unit.symbol])
    return (axle.fittings.rack_travel or usual) if axle.suspension.rack else 0.0


def sliders(axle: Axle, reach: Reach, unit: LengthUnit) -> list[Record]:
    """The sliders that move an axle: key, words, range and step in the owner's unit."""
    fine = 1 / 16 if unit.symbol == "in" else 1.0
    told = [
        ("heave", "heave", "up positive", reach.heave, Dimension.LENGTH, fine),
        ("roll", "roll", "left side up positive", reach.roll, Dimension.ANGLE, 0.1),
        ("pitch", "pitch", "nose down positive", reach.pitch, Dimension.ANGLE, 0.1),
        ("rack", "rack travel", "to the left positive", rack_reach(axle, unit), Dimension.LENGTH, fine),
    ]
    return [
        {
            "key": key,
            "title": title,
            "sign": sign,
            "unit": kind.unit(unit),
            "most": plain(most, kind.scale(unit)),
            "step": step,
            "fractions": unit.symbol == "in" and kind is Dimension.LENGTH,
        }
        for key, title, sign, most, kind, step in told
        if most
    ]
