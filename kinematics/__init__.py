"""The car: measured points in, what every solved position means out.

Reading: read_car, read_plans, read_means, read_shelf, read_survey, demo_car. Moving: sweep_bump, sweep_roll,
sweep_grid, sweep_steer, roll_axis. Judging and changing: judge, compare, find, influence. Loads: lean_sheet, rank,
with_working_states. Doubt: assess, fit. Millimetres and radians; signs: kinematics/GLOSSARY.md.
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kinematics.car.car import LEFT, RIGHT, Axle, Car
    from kinematics.car.lengths import INCH, MM
    from kinematics.car.limits import Limit, Limits, WorkingRange
    from kinematics.doubt.assessment import assess
    from kinematics.finding.influence import influence
    from kinematics.finding.search import find
    from kinematics.inputs.car.car_file import read_car
    from kinematics.inputs.demo_cars import demo_car
    from kinematics.inputs.plans.means_file import read_means
    from kinematics.inputs.plans.plan_file import read_plans
    from kinematics.inputs.plans.shelf_file import read_shelf
    from kinematics.inputs.reading.faults import InputFaultError
    from kinematics.inputs.survey.survey_file import read_survey
    from kinematics.judging.verdict import judge
    from kinematics.loads.report import lean_sheet, whole_car
    from kinematics.loads.shelf import rank
    from kinematics.loads.working_states import with_working_states
    from kinematics.numbers.registry import QUANTITIES
    from kinematics.planning.changes import Change
    from kinematics.planning.comparison import compare
    from kinematics.planning.plans import Plan, carry_out
    from kinematics.survey.fit import fit
    from kinematics.sweeps.body import Sweep, stances, sweep_bump, sweep_grid, sweep_roll
    from kinematics.sweeps.rack import sweep_steer
    from kinematics.sweeps.roll_axis import roll_axis

__all__ = [
    "INCH",
    "LEFT",
    "MM",
    "QUANTITIES",
    "RIGHT",
    "Axle",
    "Car",
    "Change",
    "InputFaultError",
    "Limit",
    "Limits",
    "Plan",
    "Sweep",
    "WorkingRange",
    "assess",
    "carry_out",
    "compare",
    "demo_car",
    "find",
    "fit",
    "influence",
    "judge",
    "lean_sheet",
    "rank",
    "read_car",
    "read_means",
    "read_plans",
    "read_shelf",
    "read_survey",
    "roll_axis",
    "stances",
    "sweep_bump",
    "sweep_grid",
    "sweep_roll",
    "sweep_steer",
    "whole_car",
    "with_working_states",
]

_HOMES = {
    "car.car": ("Axle", "Car"),
    "car.lengths": ("INCH", "MM"),
    "car.limits": ("Limit", "Limits", "WorkingRange"),
    "car.sides": ("LEFT", "RIGHT"),
    "doubt.assessment": ("assess",),
    "finding.influence": ("influence",),
    "finding.search": ("find",),
    "inputs.car.car_file": ("read_car",),
    "inputs.demo_cars": ("demo_car",),
    "inputs.plans.means_file": ("read_means",),
    "inputs.plans.plan_file": ("read_plans",),
    "inputs.plans.shelf_file": ("read_shelf",),
    "inputs.reading.faults": ("InputFaultError",),
    "inputs.survey.survey_file": ("read_survey",),
    "judging.verdict": ("judge",),
    "loads.report": ("lean_sheet", "whole_car"),
    "loads.shelf": ("rank",),
    "loads.working_states": ("with_working_states",),
    "numbers.registry": ("QUANTITIES",),
    "planning.changes": ("Change",),
    "planning.comparison": ("compare",),
    "planning.plans": ("Plan", "carry_out"),
    "survey.fit": ("fit",),
    "sweeps.body": ("Sweep", "stances", "sweep_bump", "sweep_grid", "sweep_roll"),
    "sweeps.rack": ("sweep_steer",),
    "sweeps.roll_axis": ("roll_axis",),
}


def __getattr__(name: str) -> Any:
    """Import a public name from its module when it is first asked for, so that a start that does no work is quick."""
    for module, names in _HOMES.items():
        if name in names:
            return getattr(importlib.import_module(f"kinematics.{module}"), name)
    raise AttributeError(f"module 'kinematics' has no attribute {name!r}")


def __dir__() -> list[str]:
    return __all__
