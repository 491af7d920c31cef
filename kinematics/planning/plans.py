"""Plans: named lists of changes, carried out on a measured car on paper and re-aligned."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle, Car
from kinematics.car.fittings import Adjusters
from kinematics.car.lengths import MM, LengthUnit
from kinematics.judging.wording import once_for_both_sides, told
from kinematics.numbers.quantity import Dimension
from kinematics.planning.alignment import (
    Alignment,
    align,
    align_camber,
    camber_words,
    with_camber_adjusted,
    with_toe_link_adjusted,
)
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import LOAD_CHANGES, Change, apply_change
from kinematics.planning.dismantled import AxleParts, put_together, stacked, take_apart
from kinematics.planning.settling import MeasuredSprings, fits_loads, rigged, settle
from solvers.vectors import Array, Flags


@dataclass(frozen=True)
class Targets:
    """Alignment asked for after a plan [rad], each wheel; None keeps what was measured."""

    camber: float | None = None
    toe: float | None = None

    def or_else(self, base: "Targets") -> "Targets":
        """Fill what is not asked for here from other targets."""
        camber = base.camber if self.camber is None else self.camber
        return Targets(camber, base.toe if self.toe is None else self.toe)


@dataclass(frozen=True)
class Plan:
    """A named list of changes and the alignment wanted after it. why: the owner's own words."""

    name: str
    changes: tuple[Change, ...] = ()
    targets: Mapping[str, Targets] = field(default_factory=dict)
    why: str = ""

    def on_top_of(self, base: "Plan") -> "Plan":
        """Return this plan with another's changes made before its own; its own alignment targets count first."""
        targets = dict(base.targets)
        for axle, own in self.targets.items():
            targets[axle] = own.or_else(targets.get(axle, Targets()))
        return replace(self, changes=base.changes + self.changes, targets=targets)


AS_MEASURED = Plan("as measured")


def carry_out(car: Car, plans: Sequence[Plan], springs: MeasuredSprings | None = None) -> list[dict[str, ChangedAxle]]:
    """Carry out plans on a car: for each plan, its axles by name.

    All are solved together, but that plans with springs first settle, one by one. springs: the car's, where at hand.
    """
    springs = springs or MeasuredSprings(car)
    settled = [_settled(car, plan, springs) for plan in plans]
    where = [one[0] for one in settled]
    changed = [_carry_out_axle(axle, where, car.unit) for axle in car.axles]
    done = [{one.axle.name: one for one in _on_one_body(car, axles)} for axles in zip(*changed, strict=True)]
    for axles, (_, trouble) in zip(done, settled, strict=True):
        for name, one in axles.items() if trouble else ():
            axles[name] = replace(one, refusals=(*one.refusals, trouble))
    return done


def settled(car: Car, plan: Plan) -> Plan:
    """Return a plan with the ride height that its springs give put among its changes; others as they are."""
    return _settled(car, plan, MeasuredSprings(car))[0]


def axle_after(axle: Axle, plan: Plan) -> tuple[Axle, Flags]:
    """Carry out a settled plan on an axle, or on a batch of axles as they might be (...), tangents and all.

    Returned beside it (...): False where its parts do not fit together or toe and camber cannot be set back.
    """
    wanted = plan.targets.get(axle.name, Targets())
    camber, toe = (
        measured if target is None else np.full_like(measured, target)
        for target, measured in ((wanted.camber, axle.camber), (wanted.toe, axle.toe))
    )
    aligned = align(_changed_parts(axle, plan), axle.fittings.adjusters, toe, camber)
    return aligned.assembled.axle, np.asarray(aligned.reached.all(axis=-1))


def _settled(car: Car, plan: Plan, springs: MeasuredSprings) -> tuple[Plan, str]:
    """A plan with the ride height that its springs, packing and ballast give; and why there is none."""
    if not fits_loads(plan.changes):
        return plan, ""
    if any(one.what == "ride height" for one in plan.changes):
        return plan, "the ride height follows from the plan's springs; leave one of the two out"
    geometry = replace(plan, changes=tuple(one for one in plan.changes if one.what not in LOAD_CHANGES))
    (axles,) = carry_out(car, [geometry], springs)
    refused = [text for one in axles.values() for text in one.refusals]
    if refused:
        return plan, refused[0]
    try:
        rises = settle(rigged(car, axles, plan.changes, springs))
    except ValueError as lacking:
        return plan, str(lacking)
    heights = tuple(Change(name, "ride height", rise) for name, rise in zip(("front", "rear"), rises, strict=True))
    return replace(plan, changes=plan.changes + heights), ""


def _on_one_body(car: Car, axles: Sequence[ChangedAxle]) -> list[ChangedAxle]:
    """Give a plan's axles one body: its centre of gravity rises by what each axle is raised, by its distance to it."""
    body = car.body
    raised = axles[0].raised
    if len(axles) == 2:
        behind = 0.5 if body.wheelbase is None or body.behind_front is None else body.behind_front / body.wheelbase
        raised += (axles[1].raised - raised) * behind
    return [replace(one, axle=replace(one.axle, body=body.raised(raised))) for one in axles]


def _carry_out_axle(axle: Axle, plans: Sequence[Plan], unit: LengthUnit) -> list[ChangedAxle]:
    parts = [_changed_parts(axle, plan) for plan in plans]
    wanted = [plan.targets.get(axle.name, Targets()) for plan in plans]
    camber = np.stack([_wanted(one.camber, axle.camber) for one in wanted])
    toe = np.stack([_wanted(one.toe, axle.toe) for one in wanted])
    aligned = align(stacked(parts), axle.fittings.adjusters, toe, camber)
    changed = [_changed(axle, aligned, i, parts[i], (toe[i], camber[i]), unit) for i in range(len(plans))]
    return [_camber_refused(one, target) for one, target in zip(changed, wanted, strict=True)]


def _camber_refused(changed: ChangedAxle, target: Targets) -> ChangedAxle:
    """Refuse a camber that is asked for where nothing on the car sets camber."""
    axle = changed.axle
    if target.camber is None or axle.fittings.adjusters.camber_by != "none":
        return changed
    text = f"{axle.name}: camber {_degrees(target.camber)} is asked for, but the car has no adjuster for camber"
    return replace(changed, refusals=(*changed.refusals, text))


def _changed_parts(axle: Axle, plan: Plan) -> AxleParts:
    parts = take_apart(axle)
    for change in plan.changes:
        if change.axle == axle.name:
            parts = apply_change(change, parts)
    return parts


def _wanted(target: float | None, measured: Array) -> Array:
    return measured if target is None else np.full(2, target)


def _changed(
    axle: Axle, aligned: Alignment, index: int, parts: AxleParts, wanted: tuple[Array, Array], unit: LengthUnit
) -> ChangedAxle:
    assembled = aligned.assembled
    toe_link, camber = aligned.toe_link[index], aligned.camber[index]
    refusals: list[str] = []
    for side, name in enumerate(SIDE_NAMES):
        where = f"{axle.name} {name}"
        if not assembled.arrived[index, side]:
            part, blamed = assembled.stuck(index, side)
            refusals.append(
                f"{where}: the parts do not fit together; about {100 * part:.0f} % of the changes is possible "
                f"before the linkage locks ({', '.join(blamed)})"
            )
        elif not aligned.reached[index, side]:
            refusals.append(f"{where}: toe and camber cannot be set back by the adjusters")
        else:
            refusals += _out_of_range(axle, side, (toe_link[side], camber[side]), parts, wanted, unit)
    raised = float(parts.heave)
    return ChangedAxle(
        assembled.axle.variant(index),
        assembled.rotation[index],
        toe_link,
        camber,
        raised,
        tuple(once_for_both_sides(refusals)),
    )


def _out_of_range(
    axle: Axle, side: int, turned: tuple[float, float], parts: AxleParts, wanted: tuple[Array, Array], unit: LengthUnit
) -> list[str]:
    """Say which adjuster would have to go beyond its range (turned: tie rod, camber) and what it reaches."""
    adjusters = axle.fittings.adjusters
    where = f"{axle.name} {SIDE_NAMES[side]}"
    refusals = []
    if not adjusters.toe_link[0] <= turned[0] <= adjusters.toe_link[1]:
        said = f"toe {_degrees(wanted[0][side])} needs the toe link {told(turned[0], Dimension.LENGTH, unit)} longer"
        reach = _reach_words(_toe_at(parts, adjusters, wanted[1], end, side) for end in adjusters.toe_link)
        refusals.append(
            f"{where}: {said}, allowed {_range(adjusters.toe_link, Dimension.LENGTH, unit)}; reachable toe: {reach}"
        )
    if adjusters.camber_by != "none" and not adjusters.camber_range[0] <= turned[1] <= adjusters.camber_range[1]:
        kind, way = camber_words(adjusters)
        said = f"camber {_degrees(wanted[1][side])} needs the {adjusters.camber_by} {told(turned[1], kind, unit)} {way}"
        reach = _reach_words(_camber_at(parts, adjusters, wanted[0], end, side) for end in adjusters.camber_range)
        refusals.append(
            f"{where}: {said}, allowed {_range(adjusters.camber_range, kind, unit)}; reachable camber: {reach}"
        )
    return refusals


def _toe_at(parts: AxleParts, adjusters: Adjusters, camber: Array, end: float, side: int) -> float:
    """Toe with the tie rod at one end of its range, camber where it is wanted; NaN where that cannot be."""
    if not math.isfinite(end):
        return math.nan
    turned = with_toe_link_adjusted(parts, np.full(2, end))
    if adjusters.camber_by == "none":
        assembled = put_together(turned)
        return float(assembled.axle.toe[side]) if assembled.arrived[side] else math.nan
    aligned = align_camber(turned, adjusters, camber)
    return float(aligned.assembled.axle.toe[side]) if aligned.reached[side] else math.nan


def _camber_at(parts: AxleParts, adjusters: Adjusters, toe: Array, end: float, side: int) -> float:
    """Camber with its adjuster at one end of its range, toe where it is wanted; NaN where that cannot be."""
    if not math.isfinite(end):
        return math.nan
    turned = with_camber_adjusted(parts, adjusters, np.full(2, end))
    aligned = align(turned, replace(adjusters, camber_by="none"), toe, toe)
    return float(aligned.assembled.axle.camber[side]) if aligned.reached[side] else math.nan


def _reach_words(ends: Iterable[float]) -> str:
    known = sorted(end for end in ends if math.isfinite(end))
    if len(known) == 2:
        return f"{_degrees(known[0])} to {_degrees(known[1])}"
    return f"{_degrees(known[0])} at the one end that can be reached" if known else "none at either end"


def _range(limits: tuple[float, float], kind: Dimension, unit: LengthUnit) -> str:
    low, high = limits
    if math.isinf(low):
        return f"up to {told(high, kind, unit)}"
    return (
        f"{told(low, kind, unit)} or more"
        if math.isinf(high)
        else f"{told(low, kind, unit)} to {told(high, kind, unit)}"
    )


def _degrees(value: float) -> str:
    return told(value, Dimension.ANGLE, MM)
