"""A plan file's text, from plans and rules: what `read_plans` reads back, amounts as their owner writes them."""

import math
from collections.abc import Iterator, Sequence

from tomlkit import item

from kinematics.car.lengths import LengthUnit
from kinematics.car.units import Units
from kinematics.planning.changes import CHANGES, Change
from kinematics.planning.plans import Plan
from kinematics.planning.rules import Rule

_WAYS = ("ahead", "out", "up")
_SIDES = {(1.0, 0.0): "left", (0.0, 1.0): "right"}


def plan_text(plans: Sequence[Plan], rules: Sequence[Rule], unit: LengthUnit, head: Sequence[str] = ()) -> str:
    """Return plans of any change, and class rules, as TOML; head: lines of comment before all."""
    lines = [f"# {line}" for line in head] + ["", f"units = {_text(unit.symbol)}"]
    for plan in plans:
        lines += ["", *plan_lines(plan, unit)]
    for rule in rules:
        lines += ["", "[[rule]]", *_rule(rule, unit)]
    return "\n".join(lines) + "\n"


def plan_lines(plan: Plan, unit: LengthUnit) -> Iterator[str]:
    """The lines of one plan, as they stand in a plan file of that unit."""
    yield from ("[[plan]]", f"name = {_text(plan.name)}", f"why = {_text(plan.why)}")
    for axle, targets in plan.targets.items():
        asked = {"camber": targets.camber, "toe_in": targets.toe}
        angles = ", ".join(f"{name} = {_degrees(one)}" for name, one in asked.items() if one is not None)
        yield f"align.{axle} = {{ {angles} }}"
    for change in plan.changes:
        yield "[[plan.change]]"
        yield from (f"{name} = {value}" for name, value in _change(change, unit))


def _degrees(angle: float) -> str:
    return repr(float(f"{math.degrees(angle):.12g}") + 0.0)


def in_file(value: float, unit: LengthUnit) -> str:
    """A length [mm] in the file's unit, without the last digits that only a computer makes."""
    return _number(unit.from_mm(value))


def _number(value: float) -> str:
    return repr(float(f"{value:.12g}") + 0.0)


def _as_written(value: float, unit: LengthUnit) -> str:
    """A length [mm] as its owner writes such: as a fraction, in quotes, where he does."""
    fraction = unit.as_fraction(value)
    return in_file(value, unit).removesuffix(".0") if fraction is None or "/" not in fraction else _text(fraction)


def _change(change: Change, unit: LengthUnit) -> Iterator[tuple[str, str]]:
    """Keys and values of one change."""
    yield "axle", _text(change.axle)
    yield "what", _text(change.what)
    if change.point:
        yield "point", _text(change.point)
    if change.sides in _SIDES:
        yield "side", _text(_SIDES[change.sides])
    takes, units = CHANGES[change.what].takes, Units(unit)
    scales = {"rate": units.rate, "mass": units.mass, "coils": 1.0}
    if takes == "by":
        yield "by", _as_written(change.by, unit)
    elif takes in scales:
        yield takes, _number(change.by / scales[takes])
    if change.known_to:
        known_to = change.known_to / scales[takes] if takes in scales else None
        yield "known_to", _as_written(change.known_to, unit) if known_to is None else _number(known_to)
    if change.part:
        yield "part", _text(change.part)
    shift = change.place or change.shift
    yield from ((way, _as_written(one, unit)) for way, one in zip(_WAYS, shift, strict=True) if one or change.place)


def _rule(rule: Rule, unit: LengthUnit) -> Iterator[str]:
    yield f"words = {_text(rule.words)}"
    yield f"changes = [{', '.join(map(_text, rule.changes))}]"
    if rule.at_most is not None and math.isfinite(rule.at_most):
        yield f"at_most = {_as_written(rule.at_most, unit)}"
    if rule.ballast:
        yield f"ballast_kg = {rule.ballast!r}"


def _text(value: str) -> str:
    return str(item(value).as_string())
