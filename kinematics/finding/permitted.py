"""What class rules leave of the means."""

from dataclasses import replace

import numpy as np

from kinematics.car.car import Car
from kinematics.finding.found_plans import Forbidden
from kinematics.finding.means import Amount, Means, Together
from kinematics.planning.plans import Plan
from kinematics.planning.rules import Rule, hold_against


def within_rules(car: Car, means: Means) -> tuple[Means, list[Forbidden]]:
    """The means without the amounts that a rule forbids, and what was taken away by which."""
    kept: list[Amount] = []
    forbidden: list[Forbidden] = []
    for amount in means.amounts:
        allowed = np.ones(len(amount.values), dtype=bool)
        for rule in means.rules:
            breaks = np.array([_breaks(car, rule, amount, float(value)) for value in amount.values], dtype=bool)
            allowed &= ~breaks
            forbidden += [Forbidden(rule, amount, int(breaks.sum()))] if breaks.any() else []
        if allowed.any():
            values = (amount.values[allowed], amount.prices[allowed], amount.hours[allowed])
            kept.append(replace(amount, values=values[0], prices=values[1], hours=values[2]))
    together = tuple(one for rule in means.rules for one in _together(car, rule, kept))
    return replace(means, amounts=tuple(kept), together=together), forbidden


def _breaks(car: Car, rule: Rule, amount: Amount, value: float) -> bool:
    return any(not one.allowed for one in hold_against(Plan("", (amount.made(value),)), [rule], car))


def _together(car: Car, rule: Rule, amounts: list[Amount]) -> list[Together]:
    """Amounts of one kind at one place, such as two ways of one shift, that a rule counts as one change."""
    if rule.at_most is None or not np.isfinite(rule.at_most):
        return []
    groups: dict[tuple[str, str, str], list[int]] = {}
    for i, one in enumerate(amounts):
        if rule.is_about(one.change, car.axle(one.change.axle).suspension):
            groups.setdefault((one.change.axle, one.change.what, one.change.point), []).append(i)
    return [Together(tuple(which), rule.at_most) for which in groups.values() if len(which) > 1]
