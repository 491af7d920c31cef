"""Plan files and rules files: what the racer thinks of doing, and what his class lets him do."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field

from kinematics.car.car import Car
from kinematics.car.decimal_commas import with_point
from kinematics.car.lengths import MM, UNITS, LengthUnit, writes_fractions
from kinematics.car.uncertainty import WAYS
from kinematics.car.units import refuse_no_unit
from kinematics.inputs.plans.change_entries import AxleName, ChangeTable, change_from
from kinematics.inputs.plans.cut_coils import cut_faults
from kinematics.inputs.reading.content import refuse_unfit
from kinematics.inputs.reading.faults import ONE_OF_TWO, Fault, InputFaultError, did_you_mean, shown
from kinematics.inputs.reading.file_fields import ONE_OR_MORE_NAMES, Angle, Length, Number, Table, validated, within
from kinematics.inputs.reading.file_kinds import FileKind, refuse_other_kind
from kinematics.inputs.reading.sizes import MOST_CHANGES_CARRIED, MOST_CHANGES_IN_A_PLAN, MOST_PLANS, MOST_RULES
from kinematics.inputs.reading.toml_file import read_toml
from kinematics.numbers.rows import Rows
from kinematics.numbers.tables import in_columns
from kinematics.planning.changes import CHANGES, Change
from kinematics.planning.plans import Plan, Targets
from kinematics.planning.rules import Rule
from kinematics.planning.settling import SET_HEIGHT
from kinematics.sweeps.arguments import refuse_no_car
from solvers.read_only import read_only
from solvers.vectors import Column

_NEXT_KEY = re.compile(r",(?=\s*\w+\s*=)")  # what parts "up=10,out=-5"; in "12,5" it is a decimal comma
_PLAIN = ("rate", "mass", "coils")  # what changes take that is no length


class TargetsTable(Table):
    """Alignment after the plan [deg], each wheel."""

    camber: Annotated[Angle, within(-15.0, 15.0)] | None = None
    toe_in: Annotated[Angle, within(-10.0, 10.0)] | None = None


class PlanTable(Table):
    """One plan."""

    name: Annotated[str, Field(min_length=1, max_length=60, description="what you call the plan")]
    why: str = ""
    on_top_of: str | None = None
    change: tuple[ChangeTable, ...] = ()
    align: dict[AxleName, TargetsTable] = Field(default_factory=dict)


class RuleTable(Table):
    """One class rule."""

    words: Annotated[str, Field(min_length=1, max_length=400, description="the rule in your own words")]
    changes: Annotated[tuple[str, ...], ONE_OR_MORE_NAMES, Field(min_length=1)] = Field(
        description="kinds of change or points that the rule is about"
    )
    at_most: Length | None = None
    ballast_kg: Annotated[Number, Field(gt=0.0)] | None = None


class PlanFileTable(Table):
    """A file of plans, with the class rules if they are kept there."""

    units: Literal["mm", "in"] = Field(description='"mm" or "in"')
    plan: tuple[PlanTable, ...] = ()
    rule: tuple[RuleTable, ...] = ()


@dataclass(frozen=True, repr=False)
class PlanFile(Rows[Plan]):
    """The plans that one file, or several, hold, looked up by name, and the rules.

    fractions: whether a tape reading such as "5/8" stands there.
    """

    plans: tuple[Plan, ...]
    rules: tuple[Rule, ...]
    fractions: bool = False
    what = "plan"

    def __repr__(self) -> str:
        return f"<plan file: {', '.join(self.keys())}; {len(self.rules)} rules>"

    def _records(self) -> tuple[Plan, ...]:
        return self.plans

    def keys(self) -> list[str]:
        """Names of all plans."""
        return [one.name for one in self.plans]

    def columns(self, unit: LengthUnit = MM) -> dict[str, Column]:
        """One row for each change of each plan; what is no length is as in the plan file."""
        refuse_no_unit(unit)
        return in_columns(
            {
                "plan": plan.name,
                "axle": change.axle,
                "change": change.what,
                "point": change.point,
                **{"by": change.by if CHANGES[change.what].takes in _PLAIN else unit.from_mm(change.by)},
                **dict(zip(WAYS, map(unit.from_mm, change.shift), strict=True)),
            }
            for plan in self.plans
            for change in plan.changes
        )


def read_plans(paths: str | Path | Sequence[str | Path], car: Car) -> PlanFile:
    """Read plans and rules for a car from a file, or from several in order.

    A plan may stand on top of one from an earlier file. InputFaultError names every fault of the first file
    that has one.
    """
    refuse_no_car(car, "read_plans")
    plans: dict[str, Plan] = {}
    rules: list[Rule] = []
    fractions = False
    for path in [paths] if isinstance(paths, str | Path) else paths:
        written = read_toml(path)
        rules += _read_one(written, str(path), car, plans)
        _refuse_too_many(str(path), plans, rules)
        fractions |= writes_fractions(written)
    return read_only(PlanFile(tuple(plans.values()), tuple(rules), fractions))


def plans_from(written: Mapping[str, Any], source: str, car: Car) -> PlanFile:
    """Make plans and rules of one file's content."""
    plans: dict[str, Plan] = {}
    rules = _read_one(written, source, car, plans)
    return read_only(PlanFile(tuple(plans.values()), tuple(rules), writes_fractions(written)))


def read_rules(path: str | Path, car: Car) -> tuple[Rule, ...]:
    """Read the class rules alone out of any file that has some, a means file included."""
    written = read_toml(path)
    if "rule" not in written:
        text = "is missing: no class rules stand here; a [[rule]] has `words` and `changes`"
        raise InputFaultError(str(path), [Fault("rule", text)])
    return plans_from({key: written[key] for key in ("units", "rule") if key in written}, str(path), car).rules


def quick_plan(changes: Sequence[Sequence[str]], axle: str, car: Car) -> PlanFile:
    """Make a plan of changes given as words: pairs of a kind and how far, "20" or "up=10,out=-5".

    A comma parts what follows only where a key does; any other stands in the number.
    """
    tables = []
    for what, how_far in changes:
        parts = [part.partition("=") for part in _NEXT_KEY.split(how_far)]
        kind = CHANGES.get(what)
        default = kind.takes if kind is not None and kind.takes in _PLAIN else "by"
        amounts: dict[str, Any] = {
            (key.strip() if equals else default): value if equals else key for key, equals, value in parts
        }
        for key in _PLAIN:
            if key in amounts:
                amounts[key] = _plain(amounts[key])
        tables.append({"axle": axle, "what": what, **amounts})
    written = {"units": car.unit.symbol, "plan": [{"name": "this change", "change": tables}]}
    refuse_unfit(written, "--change")
    return plans_from(written, "--change", car)


def _plain(written: str) -> float | str:
    """A number where it is one; what is none is told later."""
    try:
        return float(with_point(written))
    except ValueError:
        return written


def _read_one(written: Mapping[str, Any], source: str, car: Car, plans: dict[str, Plan]) -> list[Rule]:
    refuse_other_kind(written, FileKind.PLANS, source)
    table, faults = validated(PlanFileTable, written)
    if table is None:
        raise InputFaultError(source, faults)
    unit = UNITS[table.units]
    for number, plan in enumerate(table.plan, start=1):
        key = f"plan {number} ({plan.name})"
        changes, more = _changes(plan.change, key, car, unit)
        faults += more
        faults += _plan_faults(plan, key, plans, car)
        targets: dict[str, Targets] = {
            axle: Targets(_radians(one.camber), _radians(one.toe_in)) for axle, one in plan.align.items()
        }
        made = Plan(plan.name, changes, targets, plan.why)
        base = plans.get(plan.on_top_of or "")
        plans[plan.name] = made if base is None else made.on_top_of(base)
        faults += cut_faults(plans[plan.name], key, car)
    rules = []
    for number, rule in enumerate(table.rule, start=1):
        made_rule, more = rule_from(rule, f"rule {number}", car, unit)
        faults += more
        rules.append(made_rule)
    if faults:
        raise InputFaultError(source, faults)
    return rules


def _refuse_too_many(source: str, plans: Mapping[str, Plan], rules: Sequence[Rule]) -> None:
    """Raise InputFaultError where the plans of all files so far, with what they stand on, would take too long."""
    carried = max(plans.values(), key=lambda plan: len(plan.changes), default=None)
    faults = []
    if carried is not None and len(carried.changes) > MOST_CHANGES_IN_A_PLAN:
        text = f"with what it stands on top of it has {len(carried.changes)} changes"
        faults.append(Fault(f"plan {carried.name}", f"{text}; at most {MOST_CHANGES_IN_A_PLAN} are allowed"))
    changes = sum(len(plan.changes) for plan in plans.values())
    for what, count, most in (
        ("plans", len(plans), MOST_PLANS),
        ("rules", len(rules), MOST_RULES),
        ("changes, each counted once more in every plan on top of it", changes, MOST_CHANGES_CARRIED),
    ):
        if count > most:
            faults.append(Fault("", f"read {count} {what}; at most {most} are allowed"))
    if faults:
        raise InputFaultError(source, faults)


def _plan_faults(plan: PlanTable, key: str, plans: Mapping[str, Plan], car: Car) -> list[Fault]:
    faults = []
    if plan.name in plans or plan.name == "as measured":
        faults.append(Fault(f"{key}.name", "there is a plan of that name already; give each its own"))
    if plan.on_top_of is not None and plan.on_top_of not in plans:
        hint = did_you_mean(plan.on_top_of, plans) if plans else "; there is no plan before this one"
        faults.append(Fault(f"{key}.on_top_of", f"read {shown(plan.on_top_of)}{hint}"))
    axles = {axle.name: axle for axle in car.axles}
    for name, targets in plan.align.items():
        if name not in axles:
            faults.append(Fault(f"{key}.align.{name}", f"the car has no {name} axle; it has: {', '.join(axles)}"))
        elif targets.camber is not None and axles[name].fittings.adjusters.camber_by == "none":
            text = f"nothing sets camber on the {name} axle; name what does under [{name}.adjusters] in the car file"
            faults.append(Fault(f"{key}.align.{name}.camber", text))
    sprung = {one.what for one in plan.change} & set(SET_HEIGHT)
    if sprung and any(one.what == "ride height" for one in plan.change):
        text = f'the ride height follows from "{sorted(sprung)[0]}"'
        faults.append(Fault(f"{key}.change", text, ONE_OF_TWO))
    if not plan.change and not plan.align:
        faults.append(
            Fault(f"{key}.change", "is missing: a plan changes something ([[plan.change]]) or sets [plan.align]")
        )
    return faults


def _changes(
    written: Sequence[ChangeTable], key: str, car: Car, unit: LengthUnit
) -> tuple[tuple[Change, ...], list[Fault]]:
    changes, faults = [], []
    for number, table in enumerate(written, start=1):
        change, more = change_from(table, f"{key}, change {number}", car, unit)
        faults += more
        if change is not None:
            changes.append(change)
    return tuple(changes), faults


def rule_from(table: RuleTable, key: str, car: Car, unit: LengthUnit) -> tuple[Rule, list[Fault]]:
    """A rule as written, and what is wrong with it; key: where it stands in the file."""
    points = {point for axle in car.axles for point in axle.suspension.keys}
    faults = []
    for name in table.changes:
        if name not in CHANGES and name not in points:
            hint = did_you_mean(name, [*CHANGES, *sorted(points)])
            faults.append(Fault(f"{key}.changes", f"read {shown(name)}, neither a kind of change nor a point{hint}"))
    other = [name for name in table.changes if name in CHANGES and CHANGES[name].takes in _PLAIN]
    if table.at_most is not None and other:
        text = f'is a length, and "{other[0]}" is none; a rule can only forbid it, or ask ballast for it'
        faults.append(Fault(f"{key}.at_most", text))
    if table.at_most is not None and table.at_most < 0.0:
        faults.append(Fault(f"{key}.at_most", f"read {table.at_most:g}; zero or more is allowed"))
    at_most = None if table.at_most is None else unit.to_mm(table.at_most)
    ballast = table.ballast_kg or 0.0
    if at_most is None and ballast > 0.0:
        at_most = math.inf
    return Rule(table.words, table.changes, at_most, ballast), faults


def _radians(degrees: float | None) -> float | None:
    return None if degrees is None else math.radians(degrees)
