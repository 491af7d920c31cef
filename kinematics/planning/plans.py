"""Plans carried out on a measured car on paper, and re-aligned."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES, Axle, Car
from kinematics.loads.readiness import NotReadyError, refuse_unready
from kinematics.planning.alignment import Alignment, align
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import LOAD_CHANGES, Change, apply_change
from kinematics.planning.dismantled import AxleParts, partly, put_together, stacked, take_apart
from kinematics.planning.plan import AS_MEASURED, Plan, Targets
from kinematics.planning.plan_arguments import refuse_no_plans
from kinematics.planning.rake import pitch_after, pitch_of, rake_base
from kinematics.planning.reach import beyond_adjusters
from kinematics.planning.refusal import Cause, Refusal, each_once
from kinematics.planning.settling import MeasuredSprings, fits_loads, is_held, rigged, says_height_twice, settle
from solvers.read_only import read_only
from solvers.vectors import Array, Flags

_AXLES = ("front", "rear")
_LEVEL_TO = 1e-6  # rad; a body that pitches no more than this is where its springs let it sit
_MOST_ROUNDS = 4
ON_GROUND = 1e-6  # mm; a point that lies no deeper is on the ground, but for rounding

Off = Sequence[tuple[Change, Array]]  # changes that are made besides, each to a share (...)

__all__ = ["AS_MEASURED", "Plan", "Targets", "axle_after", "axle_before_aligning", "carry_out", "settled"]


def carry_out(car: Car, plans: Sequence[Plan], springs: MeasuredSprings | None = None) -> list[dict[str, ChangedAxle]]:
    """Carry out plans on a car: for each plan, its axles by name; an axle that a plan leaves alone stays as measured.

    All are solved together, but that plans with springs first settle, one by one. springs: the car's, where at hand.
    """
    refuse_no_plans(car, plans, "carry_out")
    springs = springs or MeasuredSprings(car)
    settled = [_settled(car, plan, springs) for plan in plans]
    where = [one[0] for one in settled]
    changed = [_carry_out_axle(axle, where, rake_base(car)) for axle in car.axles]
    done = [{one.axle.name: one for one in _on_one_body(car, axles)} for axles in zip(*changed, strict=True)]
    for axles, (_, refusals) in zip(done, settled, strict=True):
        for name, one in axles.items():
            axles[name] = replace(one, refusals=each_once((*one.refusals, *refusals)))
    return read_only(done)


def settled(car: Car, plan: Plan, springs: MeasuredSprings | None = None) -> Plan:
    """Return a plan with the ride height that its springs give put among its changes; others as they are."""
    return _settled(car, plan, springs or MeasuredSprings(car))[0]


def axle_after(axle: Axle, plan: Plan, base: float | None, off: Off = ()) -> tuple[Axle, Flags]:
    """Carry out a settled plan on an axle, or on a batch of axles as they might be (...), tangents and all.

    base: of the car, by `rake_base`. off: by how much amounts come out otherwise than the plan says. Returned beside it
    (...): False where its parts do not fit together or toe and camber cannot be set back.
    """
    wanted = plan.targets.get(axle.name, Targets())
    camber, toe = (
        measured if target is None else np.full_like(measured, target)
        for target, measured in ((wanted.camber, axle.camber), (wanted.toe, axle.toe))
    )
    aligned = align(_changed_parts(axle, plan, base, off), axle.fittings.adjusters, toe, camber)
    return aligned.assembled.axle, np.asarray(aligned.reached.all(axis=-1))


def axle_before_aligning(axle: Axle, plan: Plan, base: float | None) -> tuple[Axle, Flags]:
    """Carry out a settled plan on an axle, its adjusters left where they were measured; beside it whether it fits (2,).

    base: of the car, by `rake_base`. What its gauge then shows is where turning the adjusters begins.
    """
    fitted = put_together(_changed_parts(axle, plan, base))
    return fitted.axle, fitted.arrived


def _settled(car: Car, plan: Plan, springs: MeasuredSprings) -> tuple[Plan, tuple[Refusal, ...]]:
    """A plan with the ride height that its springs, packing and ballast give; and why there is none."""
    if says_height_twice(plan.changes):
        return plan, (Refusal(Cause.HEIGHT_AND_SPRINGS),)
    if is_held(plan.changes):
        return plan, _not_ready(springs) if fits_loads(plan.changes) else ()
    geometry = tuple(one for one in plan.changes if one.what not in LOAD_CHANGES)
    raised = np.zeros(2)
    heights: tuple[Change, ...] = ()
    for _ in range(_MOST_ROUNDS):
        (axles,) = carry_out(car, [replace(plan, changes=geometry + heights)], springs)
        refused = tuple(refusal for one in axles.values() for refusal in one.refusals)
        if refused:
            return plan, refused
        try:
            rises = settle(rigged(car, axles, plan.changes, springs))
        except NotReadyError as found:
            return plan, (Refusal(Cause.LOADS_NOT_READY, lacks=found.lacks),)
        if rises is None:
            return plan, (Refusal(Cause.NO_BALANCE),)
        raised = raised + rises
        heights = tuple(Change(name, "ride height", float(by)) for name, by in zip(_AXLES, raised, strict=True))
        # The balance lets the body rise and lean; what its pitch does to the linkages is found by going round again.
        if abs(pitch_of(*rises, rake_base(car))) < _LEVEL_TO:
            break
    return replace(plan, changes=plan.changes + heights), ()


def _not_ready(springs: MeasuredSprings) -> tuple[Refusal, ...]:
    try:
        refuse_unready(springs.car)
        _ = springs.setups
    except NotReadyError as found:
        return (Refusal(Cause.LOADS_NOT_READY, lacks=found.lacks),)
    return ()


def _on_one_body(car: Car, axles: Sequence[ChangedAxle]) -> list[ChangedAxle]:
    """Give a plan's axles one body: its centre of gravity rises by what each axle is raised, by its distance to it."""
    body = car.body
    raised = axles[0].raised
    if len(axles) == 2:
        behind = 0.5 if body.wheelbase is None or body.behind_front is None else body.behind_front / body.wheelbase
        raised += (axles[1].raised - raised) * behind
    return [replace(one, axle=replace(one.axle, body=body.raised(raised))) for one in axles]


def _carry_out_axle(axle: Axle, plans: Sequence[Plan], base: float | None) -> list[ChangedAxle]:
    concerned = [plan for plan in plans if _concerns(plan, axle, base)]
    changed = iter(_aligned(axle, concerned, base) if concerned else [])
    return [next(changed) if _concerns(plan, axle, base) else _as_measured(axle) for plan in plans]


def _concerns(plan: Plan, axle: Axle, base: float | None) -> bool:
    touched = any(change.axle == axle.name for change in plan.changes) or axle.name in plan.targets
    return touched or bool(pitch_after(plan.changes, base))


def _as_measured(axle: Axle) -> ChangedAxle:
    return ChangedAxle(axle, np.broadcast_to(np.eye(3), (2, 3, 3)), np.zeros(2), np.zeros(2), 0.0, 0.0, ())


def _aligned(axle: Axle, plans: Sequence[Plan], base: float | None) -> list[ChangedAxle]:
    parts = [_changed_parts(axle, plan, base) for plan in plans]
    wanted = [plan.targets.get(axle.name, Targets()) for plan in plans]
    camber = np.stack([_wanted(one.camber, axle.camber) for one in wanted])
    toe = np.stack([_wanted(one.toe, axle.toe) for one in wanted])
    aligned = align(stacked(parts), axle.fittings.adjusters, toe, camber)
    changed = [_changed(axle, aligned, i, parts[i], (toe[i], camber[i])) for i in range(len(plans))]
    return [_camber_refused(one, target) for one, target in zip(changed, wanted, strict=True)]


def _camber_refused(changed: ChangedAxle, target: Targets) -> ChangedAxle:
    """Refuse a camber that is asked for where nothing on the car sets camber."""
    axle = changed.axle
    if target.camber is None or axle.fittings.adjusters.camber_by != "none":
        return changed
    refusal = Refusal(Cause.NO_CAMBER_ADJUSTER, axle.name, wanted=target.camber)
    return replace(changed, refusals=(*changed.refusals, refusal))


def _changed_parts(axle: Axle, plan: Plan, base: float | None, off: Off = ()) -> AxleParts:
    parts = take_apart(axle)
    for change in plan.changes:
        if change.axle == axle.name:
            parts = apply_change(change, parts)
    for change, share in off:
        if change.axle == axle.name:
            parts = partly(parts, apply_change(change, parts), share)
    return replace(parts, pitch=parts.pitch + pitch_after(plan.changes, base, off))


def _wanted(target: float | None, measured: Array) -> Array:
    return measured if target is None else np.full(2, target)


def _changed(axle: Axle, aligned: Alignment, index: int, parts: AxleParts, wanted: tuple[Array, Array]) -> ChangedAxle:
    assembled = aligned.assembled
    refusals = [one for side in (LEFT, RIGHT) for one in _refusals_at(axle, aligned, index, side, parts, wanted)]
    return ChangedAxle(
        assembled.axle.variant(index),
        assembled.rotation[index],
        aligned.toe_link[index],
        aligned.camber[index],
        float(parts.heave),
        float(parts.pitch),
        tuple(refusals),
    )


def _refusals_at(
    axle: Axle, aligned: Alignment, index: int, side: int, parts: AxleParts, wanted: tuple[Array, Array]
) -> list[Refusal]:
    """Why one plan's corner cannot be built."""
    if not aligned.assembled.arrived[index, side]:
        part, joints = aligned.assembled.stuck(index, side)
        return [Refusal(Cause.DO_NOT_FIT, axle.name, SIDE_NAMES[side], tuple(joints), part)]
    if not aligned.reached[index, side]:
        return [Refusal(Cause.NOT_ALIGNED, axle.name, SIDE_NAMES[side])]
    turned = float(aligned.toe_link[index, side]), float(aligned.camber[index, side])
    return [*beyond_adjusters(axle, side, turned, parts, wanted), *_under_ground(axle, aligned, index, side)]


def _under_ground(axle: Axle, aligned: Alignment, index: int, side: int) -> Iterator[Refusal]:
    """The points that a plan puts under the ground, how deep [mm]."""
    for key, point in aligned.assembled.axle.points.items():
        up = float(np.real(point[index, side, 2]))
        if up < -ON_GROUND:
            yield Refusal(Cause.UNDER_GROUND, axle.name, SIDE_NAMES[side], (key,), -up)
