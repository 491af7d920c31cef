"""The class rules that hold on the page: those of the plan file, and those of the means file, each once."""

from pathlib import Path

from kinematics.car.car import Car
from kinematics.inputs.plans.plan_file import PlanFile, read_rules
from kinematics.inputs.reading.toml_file import read_toml
from kinematics.planning.rules import Rule


def rules_held(plans: PlanFile, means_file: Path, car: Car) -> tuple[Rule, ...]:
    """Rules of both files; InputFaultError where those of the means file cannot be read."""
    if not means_file.exists() or "rule" not in read_toml(means_file):
        return plans.rules
    more = read_rules(means_file, car)
    return (*plans.rules, *(one for one in more if one not in plans.rules))
