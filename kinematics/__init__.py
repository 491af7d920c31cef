"""The car: measured points in, what every solved position means out.

Reading: demo_car, read_car, read_limits, read_plans, read_means, read_shelf, read_survey.
Moving: sweep_bump, sweep_roll, sweep_grid, sweep_steer, roll_axis, stances.
Judging and changing: judge, compare, travel_budgets, find, influence; a Plan of Changes, whose kinds CHANGES lists.
Loads: lean_sheet, rank, with_working_states. Doubt: assess, which is asked a Question; fit, for a survey, and
next_readings, what to measure besides.

Millimetres and radians; LEFT and RIGHT are the places of the sides. What a call gives is looked up by name
(`sweep["camber"]`, `keys()`, `in`), tells what a number is (`about("camber")`) and becomes a pandas table
(`table(car.unit)`). Signs of heave, bump travel and roll: GLOSSARY.md; a tour: TUTORIAL.md;
both lie in the folder `kinematics.__path__[0]`.
"""

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kinematics.car.car import Axle, Car
    from kinematics.car.lengths import INCH, MM
    from kinematics.car.limits import Accelerations, Limit, Limits, WorkingRange
    from kinematics.car.sides import LEFT, RIGHT
    from kinematics.doubt.assessment import ALL_LIMITS, Assessment, assess
    from kinematics.doubt.question import Question
    from kinematics.finding.found_plans import Search
    from kinematics.finding.influence import Influence, influence
    from kinematics.finding.means import Means
    from kinematics.finding.search import find
    from kinematics.inputs.car.car_file import read_car, read_limits
    from kinematics.inputs.demo_cars import demo_car
    from kinematics.inputs.plans.means_file import read_means
    from kinematics.inputs.plans.plan_file import PlanFile, read_plans
    from kinematics.inputs.plans.shelf_file import read_shelf
    from kinematics.inputs.reading.faults import InputFaultError
    from kinematics.inputs.survey.survey_file import SurveyFile, read_survey
    from kinematics.judging.verdict import Finding, Verdict, judge
    from kinematics.loads.readiness import NotReadyError
    from kinematics.loads.report import LeanSheet, lean_sheet, whole_car
    from kinematics.loads.shelf import Ranking, Shelf, rank
    from kinematics.loads.whole_car import WholeCar
    from kinematics.loads.working_states import with_working_states
    from kinematics.motion.reasons import UnreachedError
    from kinematics.numbers.outer_share import OuterShare
    from kinematics.numbers.quantity import Quantity
    from kinematics.numbers.registry import QUANTITIES
    from kinematics.numbers.stance import Stance
    from kinematics.planning.changed_axle import ChangedAxle
    from kinematics.planning.changes import CHANGES, Change
    from kinematics.planning.comparison import Comparison, Outcome, compare
    from kinematics.planning.plans import Plan, Targets, carry_out
    from kinematics.planning.travel_budget import TravelBudgets, travel_budgets
    from kinematics.survey.fit import SurveyFit, fit
    from kinematics.survey.next_readings import NextReadings, next_readings
    from kinematics.sweeps.body import Sweep, stances, sweep_bump, sweep_grid, sweep_roll
    from kinematics.sweeps.rack import sweep_steer
    from kinematics.sweeps.roll_axis import RollAxis, roll_axis

__all__ = [
    "ALL_LIMITS",
    "CHANGES",
    "INCH",
    "LEFT",
    "MM",
    "QUANTITIES",
    "RIGHT",
    "Accelerations",
    "Assessment",
    "Axle",
    "Car",
    "Change",
    "ChangedAxle",
    "Comparison",
    "Finding",
    "Influence",
    "InputFaultError",
    "LeanSheet",
    "Limit",
    "Limits",
    "Means",
    "NextReadings",
    "NotReadyError",
    "Outcome",
    "OuterShare",
    "Plan",
    "PlanFile",
    "Quantity",
    "Question",
    "Ranking",
    "RollAxis",
    "Search",
    "Shelf",
    "Stance",
    "SurveyFile",
    "SurveyFit",
    "Sweep",
    "Targets",
    "TravelBudgets",
    "UnreachedError",
    "Verdict",
    "WholeCar",
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
    "next_readings",
    "rank",
    "read_car",
    "read_limits",
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
    "travel_budgets",
    "whole_car",
    "with_working_states",
]

_HOMES = {
    "car.car": ("Axle", "Car"),
    "car.lengths": ("INCH", "MM"),
    "car.limits": ("Accelerations", "Limit", "Limits", "WorkingRange"),
    "car.sides": ("LEFT", "RIGHT"),
    "doubt.assessment": ("ALL_LIMITS", "Assessment", "assess"),
    "doubt.question": ("Question",),
    "finding.found_plans": ("Search",),
    "finding.influence": ("Influence", "influence"),
    "finding.means": ("Means",),
    "finding.search": ("find",),
    "inputs.car.car_file": ("read_car", "read_limits"),
    "inputs.demo_cars": ("demo_car",),
    "inputs.plans.means_file": ("read_means",),
    "inputs.plans.plan_file": ("PlanFile", "read_plans"),
    "inputs.plans.shelf_file": ("read_shelf",),
    "inputs.reading.faults": ("InputFaultError",),
    "inputs.survey.survey_file": ("SurveyFile", "read_survey"),
    "judging.verdict": ("Finding", "Verdict", "judge"),
    "loads.readiness": ("NotReadyError",),
    "loads.report": ("LeanSheet", "lean_sheet", "whole_car"),
    "loads.shelf": ("Ranking", "Shelf", "rank"),
    "loads.whole_car": ("WholeCar",),
    "loads.working_states": ("with_working_states",),
    "motion.reasons": ("UnreachedError",),
    "numbers.outer_share": ("OuterShare",),
    "numbers.quantity": ("Quantity",),
    "numbers.registry": ("QUANTITIES",),
    "numbers.stance": ("Stance",),
    "planning.changed_axle": ("ChangedAxle",),
    "planning.changes": ("CHANGES", "Change"),
    "planning.comparison": ("Comparison", "Outcome", "compare"),
    "planning.plans": ("Plan", "Targets", "carry_out"),
    "planning.travel_budget": ("TravelBudgets", "travel_budgets"),
    "survey.fit": ("SurveyFit", "fit"),
    "survey.next_readings": ("NextReadings", "next_readings"),
    "sweeps.body": ("Sweep", "stances", "sweep_bump", "sweep_grid", "sweep_roll"),
    "sweeps.rack": ("sweep_steer",),
    "sweeps.roll_axis": ("RollAxis", "roll_axis"),
}

if not TYPE_CHECKING:  # a type checker is to know what is there, and what is not

    def __getattr__(name: str) -> object:
        """Import a public name from its module when it is asked for, so that a start that does no work is quick."""
        for module, names in _HOMES.items():
            if name in names:
                return getattr(importlib.import_module(f"kinematics.{module}"), name)
        raise AttributeError(f"module 'kinematics' has no attribute {name!r}{_nearest(name)}")


def _nearest(name: str) -> str:
    import difflib

    close = difflib.get_close_matches(name, __all__, n=1)
    return f"; did you mean {close[0]!r}?" if close else ""


def __dir__() -> list[str]:
    return __all__
