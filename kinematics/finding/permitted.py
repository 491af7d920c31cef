"""What class rules leave of the means."""

from dataclasses import replace

import numpy as np

from kinematics.car.car import Car
from kinematics.finding.found_plans import Forbidden
from kinematics.finding.means import Amount, Means, Together
from kinematics.finding.pieces import Piece
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
    pieces, more = _pieces_within(car, means)
    forbidden += more
    together = tuple(one for rule in means.rules for one in _together(car, rule, kept))
    return replace(means, amounts=tuple(kept), together=together, pieces=pieces), forbidden


def _pieces_within(car: Car, means: Means) -> tuple[tuple[Piece, ...], list[Forbidden]]:
    """Springs and bars that no rule forbids, and what was taken away of each place."""
    forbidden: list[Forbidden] = []
    left = means.pieces
    for rule in means.rules:
        against = [one for one in means.pieces if _piece_breaks(car, rule, one)]
        left = tuple(one for one in left if one not in against)
        for place in dict.fromkeys(one.place for one in against):
            own = [one for one in against if one.place == place]
            told = np.array([(one.change.by, one.price, one.hours) for one in own]).T
            forbidden.append(Forbidden(rule, Amount(replace(own[0].change, by=1.0), *told), len(own)))
    return left, forbidden


def _piece_breaks(car: Car, rule: Rule, piece: Piece) -> bool:
    return any(not one.allowed for one in hold_against(Plan("", (piece.change,)), [rule], car))


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
