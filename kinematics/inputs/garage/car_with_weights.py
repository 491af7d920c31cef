"""A car file's text with what the scales showed written into it; all else stays as its owner wrote it."""

from collections.abc import Mapping
from typing import Any

import tomlkit

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.units import Units
from kinematics.inputs.reading.faults import Fault
from kinematics.weighing.centre_of_gravity import FRONT, REAR, Weighed
from kinematics.weighing.for_the_car import SprungMass

_DIGITS = {"mm": 1, "in": 2}


def lacking_for_weights(car: Car) -> list[Fault]:
    """What a car file has to tell before weights can stand in it."""
    text = "tells no [{0}.weights]: write them there first, with `unsprung`, and [{0}.spring]"
    lacks = [axle.name for axle in car.axles if axle.loads is None]
    faults = [Fault(f"{name}.weights", text.format(name)) for name in lacks]
    if car.body.wheelbase is None:
        faults.append(Fault("body.wheelbase", "is missing: write it there first"))
    return faults if len(car.axles) == 2 else [Fault("", "four pads need a car file with both axles"), *faults]


def weights_written(car: Car, found: Weighed) -> dict[str, dict[str, float]]:
    """Weights of each axle that the car file has, as it has them, in the owner's unit."""
    mass, on_axles = Units(car.unit).mass, {"front": found.load[FRONT], "rear": found.load[REAR]}
    return {
        axle.name: {
            side: round(float(load) / mass, 1) for side, load in zip(SIDE_NAMES, on_axles[axle.name], strict=True)
        }
        for axle in car.axles
    }


def gravity_written(car: Car, sprung: SprungMass) -> dict[str, float]:
    """Where the sprung mass lies as `centre_of_gravity` has it, in the owner's unit."""
    ways = {"up": sprung.up, "behind_front": sprung.behind_front}
    digits = _DIGITS[car.unit.symbol]
    return {way: round(car.unit.from_mm(one), digits) for way, one in ways.items() if one is not None}


def with_weights(text: str, car: Car, found: Weighed, sprung: SprungMass, doubt: str | None) -> str:
    """Return a car file's text with these weights and this centre of gravity.

    doubt: the doubt file to name in place of its own, None for that.
    """
    content: Any = tomlkit.parse(text)
    for axle, weights in weights_written(car, found).items():
        _set(content[axle]["weights"], weights)
    body = content.setdefault("body", tomlkit.table())
    gravity = body.get("centre_of_gravity")
    if gravity is None:
        gravity = body["centre_of_gravity"] = tomlkit.inline_table()
    _set(gravity, gravity_written(car, sprung))
    if doubt is not None:
        content["doubt"] = doubt
    return str(tomlkit.dumps(content))


def _set(table: Any, values: Mapping[str, float]) -> None:
    for key, value in values.items():
        table[key] = value
