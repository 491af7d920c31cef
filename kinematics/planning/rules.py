"""Class rules, in the racer's own words, and what in a plan breaks them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.car.car import Car
from kinematics.car.suspension_type import SuspensionType
from kinematics.planning.changes import CHANGES, Change, parts_shift, points_moved
from kinematics.planning.plan import Plan


@dataclass(frozen=True)
class Rule:
    """One class rule. words: as the racer writes it. changes: the kinds of change it is about, and points by key.

    A rule speaks of parts moved, however a change is written: one about inner pivots is also about a single one of them
    moved as a point. at_most: how far such changes may go [mm], None where they are forbidden altogether. ballast: what
    they cost [kg], with `at_most` infinite where only ballast is asked for.
    """

    words: str
    changes: tuple[str, ...]
    at_most: float | None = None
    ballast: float = 0.0

    def is_about(self, change: Change, suspension: SuspensionType | None) -> bool:
        """Whether a change is of a kind, or moves a part, that this rule names (None: no such axle)."""
        return change.what in self.changes or bool(_moved(change, suspension) & self._points(suspension))

    def _points(self, suspension: SuspensionType | None) -> set[str]:
        """The points it names, and those that the kinds of change it names move."""
        kinds = (what for what in self.changes if what in CHANGES and not CHANGES[what].names_point)
        return set(self.changes).union(*(_moved(Change("", what), suspension) for what in kinds))


def _moved(change: Change, suspension: SuspensionType | None) -> set[str]:
    return set() if suspension is None else set(points_moved(change, suspension))


@dataclass(frozen=True)
class Breach:
    """A change of a plan that breaks a rule, or costs ballast (`allowed` True, `ballast` above zero).

    in_all: how far the part that it moves goes with all other changes that move it too [mm]; None where none does.
    """

    rule: Rule
    change: Change
    allowed: bool
    in_all: float | None = None


def hold_against(plan: Plan, rules: Sequence[Rule], car: Car) -> list[Breach]:
    """Hold a plan's changes against the rules; changes that move the same part of an axle count together."""
    found: list[Breach] = []
    suspensions = {axle.name: axle.suspension for axle in car.axles}
    for change in _together(plan.changes):
        suspension = suspensions.get(change.axle)
        in_all = _in_all(change, plan.changes, suspension)
        for rule in rules:
            # A bar of no rate is a bar taken off.
            nothing = change.size == 0.0 and CHANGES[change.what].takes != "rate"
            if nothing or not rule.is_about(change, suspension):
                continue
            size = change.size if in_all is None else in_all
            allowed = rule.at_most is not None and size <= rule.at_most + 1e-9
            if not allowed or rule.ballast > 0.0:
                found.append(Breach(rule, change, allowed, in_all))
    return found


def _in_all(change: Change, changes: Sequence[Change], suspension: SuspensionType | None) -> float | None:
    """How far the part that a change moves goes in all, on the side where it goes farther [mm]; None if it is alone."""
    others = [
        one
        for one in changes
        if one.axle == change.axle
        and (one.what, one.point) != (change.what, change.point)
        and _moved(one, suspension) & _moved(change, suspension)
    ]
    if not others:
        return None
    own = [one for one in changes if (one.axle, one.what, one.point) == (change.axle, change.what, change.point)]
    by_point = {point: np.zeros((2, 3)) for point in _moved(change, suspension)}
    for one in (*own, *others):
        for point in _moved(one, suspension) & set(by_point):
            by_point[point] = by_point[point] + np.outer(one.sides, parts_shift(one))
    return float(np.linalg.norm(list(by_point.values()), axis=-1).max())


def _together(changes: Sequence[Change]) -> list[Change]:
    """Add up changes of one kind to one point, side by side, and keep the side that goes farther."""
    sums: dict[tuple[str, str, str], list[Change]] = {}
    for change in changes:
        nothing = replace(change, by=0.0, shift=(0.0, 0.0, 0.0))
        both = sums.setdefault((change.axle, change.what, change.point), [nothing, nothing])
        for side, touched in enumerate(change.sides):
            if touched:
                # Rates do not add up: of several the last counts.
                both[side] = change if CHANGES[change.what].takes == "rate" else both[side].and_more(change)
    return [max(both, key=lambda one: one.size) for both in sums.values()]
