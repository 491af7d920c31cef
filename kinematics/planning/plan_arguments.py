"""Plans that callers hand over, held against what a car has: told in plain words before anything is solved."""

from collections.abc import Sequence

import numpy as np

from kinematics.car.car import Car
from kinematics.car.given_numbers import angle
from kinematics.car.nearest_names import hint
from kinematics.planning.changes import CHANGES, Change, can_be_made
from kinematics.planning.plan import Plan
from kinematics.planning.rules import Rule
from kinematics.sweeps.arguments import refuse_no_car, refuse_no_list, refuse_other


def refuse_no_plans(car: Car, plans: Sequence[Plan], what: str) -> None:
    """Raise TypeError unless it is a car with a list of plans, ValueError where one changes what the car has not."""
    refuse_no_car(car, what)
    refuse_no_list(plans, Plan, f"{what} takes a list of plans")
    for plan in plans:
        refuse_no_list(plan.changes, Change, f"plan {plan.name!r} takes a list of changes")
        for change in plan.changes:
            _refuse_misfit(car, plan, change)
        for axle, target in plan.targets.items():
            _refuse_no_axle(car, plan, axle)
            for name in ("camber", "toe"):
                if getattr(target, name) is not None:
                    angle(getattr(target, name), f"plan {plan.name!r}: {name} wanted at the {axle}")


def refuse_no_rules(rules: Sequence[Rule], what: str) -> None:
    """Raise TypeError unless it is a list of class rules."""
    refuse_no_list(rules, Rule, f"{what} takes a list of class rules, such as read_plans(...).rules")


def _refuse_no_axle(car: Car, plan: Plan, axle: str) -> None:
    names = [one.name for one in car.axles]
    if axle not in names:
        raise ValueError(f"plan {plan.name!r}: {axle!r} is no axle of this car; it has {' and '.join(names)}")


def _refuse_misfit(car: Car, plan: Plan, change: Change) -> None:
    said, kind = f"plan {plan.name!r}", CHANGES.get(change.what)
    if kind is None:
        raise ValueError(f"{said}: {change.what!r} is no kind of change{hint(change.what, CHANGES)}")
    _refuse_no_axle(car, plan, change.axle)
    suspension = car.axle(change.axle).suspension
    if kind.names_point and change.point not in suspension.keys:
        near = hint(change.point, suspension.keys)
        raise ValueError(f"{said}: {change.point!r} is no point of a {suspension.name}{near}")
    if not can_be_made(kind, change.point, suspension):
        raise ValueError(f"{said}: a {suspension.name} has nothing that {change.what!r} changes")
    for number in (change.by, *change.shift):
        refuse_other(number, (int, float, np.number), f"{said}: {change.what!r} takes numbers")
    if not np.isfinite([change.by, *change.shift]).all():
        raise ValueError(f"{said}: {change.what!r} has a value that is not a finite number")
    if kind.takes == "shift" and change.by:
        raise ValueError(f"{said}: {change.what!r} takes shift=(ahead, out, up), not an amount")
    if kind.takes != "shift" and any(change.shift):
        raise ValueError(f"{said}: {change.what!r} takes an amount, by=..., not a shift")
