"""The car: measured points in, what every solved position means out."""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kinematics.car import LEFT, RIGHT, Axle, Car
    from kinematics.cars import demo_car
    from kinematics.files.car_file import read_car
    from kinematics.files.faults import InputFaultError
    from kinematics.sweeps import Sweep, stances, sweep_bump, sweep_grid, sweep_roll
    from kinematics.verdict import judge, sentence, summary

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
    "sentence",
    "stances",
    "summary",
    "sweep_bump",
    "sweep_grid",
    "sweep_roll",
]

_HOMES = {
    "car": ("LEFT", "RIGHT", "Axle", "Car"),
    "files.car_file": ("read_car",),
    "cars": ("demo_car",),
    "files.faults": ("InputFaultError",),
    "sweeps": ("Sweep", "stances", "sweep_bump", "sweep_grid", "sweep_roll"),
    "verdict": ("judge", "sentence", "summary"),
}


def __getattr__(name: str) -> Any:
    """Import a public name from its module when it is first asked for, so that a start that does no work is quick."""
    for module, names in _HOMES.items():
        if name in names:
            return getattr(importlib.import_module(f"kinematics.{module}"), name)
    raise AttributeError(f"module 'kinematics' has no attribute {name!r}")
