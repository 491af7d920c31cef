"""Class rules, in the racer's own words, and what in a plan breaks them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from kinematics.car.car import Car
from kinematics.car.suspension_type import SuspensionType
from kinematics.planning.changes import CHANGES, Change, points_moved
from kinematics.planning.plans import Plan


@dataclass(frozen=True)
class Rule:
    """One class rule. words: as the racer writes it. changes: the kinds of change it is about, and points by key.

    at_most: how far such changes may go [mm], None where they are forbidden altogether. ballast: what they
    cost [kg], with `at_most` infinite where only ballast is asked for.
    """

    words: str
    changes: tuple[str, ...]
    at_most: float | None = None
    ballast: float = 0.0

    def is_about(self, change: Change, suspension: SuspensionType | None) -> bool:
        """Whether a change is of a kind, or moves a point, that this rule names (None: no such axle)."""
        moved = () if suspension is None else points_moved(change, suspension)
        return change.what in self.changes or any(point in self.changes for point in moved)


@dataclass(frozen=True)
class Breach:
    """A change of a plan that breaks a rule, or costs ballast (`allowed` True, `ballast` above zero)."""

    rule: Rule
    change: Change
    allowed: bool


def hold_against(plan: Plan, rules: Sequence[Rule], car: Car) -> list[Breach]:
    """Hold a plan's changes against the rules; changes of one kind on one axle count together."""
    found = []
    suspensions = {axle.name: axle.suspension for axle in car.axles}
    for change in _together(plan.changes):
        for rule in rules:
            if not rule.is_about(change, suspensions.get(change.axle)) or change.size == 0.0:
                continue
            allowed = rule.at_most is not None and change.size <= rule.at_most + 1e-9
            if not allowed or rule.ballast > 0.0:
                found.append(Breach(rule, change, allowed))
    return found


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
