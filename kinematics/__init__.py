"""The car: measured points in, what every solved position means out."""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kinematics.car.car import LEFT, RIGHT, Axle, Car
    from kinematics.inputs.car.car_file import read_car
    from kinematics.inputs.demo_cars import demo_car
    from kinematics.inputs.reading.faults import InputFaultError
    from kinematics.judging.verdict import judge
    from kinematics.sweeps.body import Sweep, stances, sweep_bump, sweep_grid, sweep_roll

__all__ = [
    "LEFT",
    "RIGHT",
    "Axle",
    "Car",
    "InputFaultError",
    "Sweep",
    "demo_car",
    "judge",
    "read_car",
    "stances",
    "sweep_bump",
    "sweep_grid",
    "sweep_roll",
]

_HOMES = {
    "car.car": ("Axle", "Car"),
    "car.sides": ("LEFT", "RIGHT"),
    "inputs.car.car_file": ("read_car",),
    "inputs.demo_cars": ("demo_car",),
    "inputs.reading.faults": ("InputFaultError",),
    "judging.verdict": ("judge",),
    "sweeps.body": ("Sweep", "stances", "sweep_bump", "sweep_grid", "sweep_roll"),
}


def __getattr__(name: str) -> Any:
    """Import a public name from its module when it is first asked for, so that a start that does no work is quick."""
    for module, names in _HOMES.items():
        if name in names:
            return getattr(importlib.import_module(f"kinematics.{module}"), name)
    raise AttributeError(f"module 'kinematics' has no attribute {name!r}")
