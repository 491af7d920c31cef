"""One move of the page's sliders: the axle drawn as it then stands, its numbers, and its curves."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limits
from kinematics.motion.moving_axle import MovingAxle
from kinematics.motion.reasons import UnreachedError
from kinematics.numbers.outer_share import OuterShare, within
from kinematics.numbers.quantity import Where
from kinematics.numbers.registry import QUANTITIES, keys_shown
from kinematics.numbers.stance import Stance
from kinematics.planning.plan import Plan
from kinematics.sweeps.body import Sweep, stances_of_a_move, sweep_bump, sweep_roll
from reports.documents.amounts import Record, codes
from reports.page.bench import Bench, OpenCar
from reports.page.beside import MOST_BESIDE, plans_named
from reports.page.plan_store import read_kept
from reports.page.reach import Reach, rack_reach
from reports.page.trial import Asked, axles_after, tried_axles
from reports.page.views import ALL_VIEWS, View, views
from reports.page.whole_side import add_other, other_axle
from reports.words.gaps import gap_words, told_once
from reports.words.numbers import told
from solvers.vectors import Array

SAMPLES = 41  # of a curve
_MORE_DIGITS = 2  # of a curve's numbers than are printed
_ALSO = ("bump_steer",)
_ON_SLIDERS = ("heave", "roll", "pitch", "rack_travel")
CURVES = ("force_weighted_height", "roll_centre_height", "camber", "toe")


class Pose(Asked):
    """Where the sliders stand, in the owner's unit and in degrees, and the changes that are tried."""

    axle: Literal["front", "rear"]
    heave: Annotated[float, Field(allow_inf_nan=False)] = 0.0
    roll: Annotated[float, Field(allow_inf_nan=False)] = 0.0
    pitch: Annotated[float, Field(allow_inf_nan=False)] = 0.0
    rack: Annotated[float, Field(allow_inf_nan=False)] = 0.0
    views: tuple[View, ...] = Field(default=ALL_VIEWS, max_length=len(ALL_VIEWS))
    beside: tuple[str, ...] = Field(default=(), max_length=MOST_BESIDE)


@dataclass(frozen=True)
class Stand:
    """The same inside: heave and rack [mm], roll and pitch [rad], none beyond what the sliders have."""

    heave: float
    roll: float
    pitch: float
    rack: float

    @classmethod
    def of(cls, pose: Pose, reach: Reach, rack: float, unit: LengthUnit) -> "Stand":
        """Of the sliders; rack: how far it goes either way [mm]."""

        def held(value: float, most: float) -> float:
            return min(max(value, -most), most)

        turned = (math.radians(pose.roll), reach.roll), (math.radians(pose.pitch), reach.pitch)
        roll, pitch = (held(*one) for one in turned)
        return cls(held(unit.to_mm(pose.heave), reach.heave), roll, pitch, held(unit.to_mm(pose.rack), rack))


def moved(bench: Bench, opened: OpenCar, pose: Pose) -> Record:
    """What the page shows after a move: the car as tried, and the measured one as a ghost under it."""
    measured = axle_named(opened, pose.axle)
    stand = Stand.of(pose, opened.reach, rack_reach(measured, opened.car.unit), opened.car.unit)
    axles = tried_axles(bench, opened, pose)
    told_of = position(bench, opened, axles, measured.name, stand, pose.views)
    if any(axles[one.name] is not one for one in opened.car.axles):
        told_of["ghost"] = bench.kept(
            opened,
            (measured.name, stand, pose.views),
            lambda: position(bench, opened, as_measured(opened), measured.name, stand, pose.views, numbers=False),
        )
    if pose.beside:
        chosen = plans_named(read_kept(bench.plans, opened.car), pose.beside)
        told_of["plans"] = [_planned(bench, opened, plan, measured.name, stand, pose.views) for plan in chosen]
    return {"version": opened.version, **told_of}


def _planned(bench: Bench, opened: OpenCar, plan: Plan, name: str, stand: Stand, seen: Sequence[View]) -> Record:
    """An axle after a kept plan, in the same pose."""
    after, apart = axles_after(bench, opened, plan)
    told_of = {} if apart else position(bench, opened, after, name, stand, seen, numbers=False)
    return {"name": plan.name, "apart": apart, **told_of}


def as_measured(opened: OpenCar) -> dict[str, Axle]:
    """The car's axles by name."""
    return {axle.name: axle for axle in opened.car.axles}


def axle_named(opened: OpenCar, name: str) -> Axle:
    """The axle as measured; the first where there is none of that name."""
    return next((one for one in opened.car.axles if one.name == name), opened.car.axles[0])


def position(
    bench: Bench, opened: OpenCar, axles: Mapping[str, Axle], name: str, stand: Stand, seen: Sequence[View], *,
    numbers: bool = True,
) -> Record:  # fmt: skip
    """One of a car's axles, measured or changed, as it stands; from the side the other one too.

    unreached: why it cannot stand so, where it cannot; the curves are there all the same where the rack gets there.
    """
    unit, limits, axle = opened.car.unit, opened.limits, axles[name]
    told_of: Record = {}
    try:
        ready = bench.ready(axle, opened.reach, stand.rack)
        told_of["curves"] = _curves(ready, stand, opened.reach, limits, unit)
        stance = stances_of_a_move(ready, [-stand.heave], [stand.roll], stand.pitch)
    except UnreachedError as error:
        return {**told_of, "unreached": gap_words(error.reason)}
    shared = replace(stance, outer_share=within(limits).of(axle.name))
    drawn = views(shared, limits.of(axle), unit, seen)
    other = other_axle(opened.car, axles, name)
    if other is not None and "side" in drawn:
        told_of["beside"] = add_other(drawn["side"], shared, other, bench.ready(other.axle, opened.reach), opened)
    told_of["views"] = {view: shapes.record() for view, shapes in drawn.items()}
    return {**told_of, "numbers": list(_numbers(shared, unit))} if numbers else told_of


def shown_beside(axle: Axle) -> list[str]:
    """Keys of the numbers that stand beside a drawing, but those that the sliders show."""
    keys = (*keys_shown(Where.BESIDE_DRAWING), *_ALSO)
    return [key for key in keys if key not in _ON_SLIDERS and QUANTITIES[key].only.on(axle)]


def _numbers(stance: Stance, unit: LengthUnit) -> Iterator[Record]:
    """What stands beside a drawing, in words: each side's value, or one for both."""
    for key in shown_beside(stance.states.axle):
        known = QUANTITIES[key]
        values = np.asarray(known.read(stance)).reshape(-1)[: len(SIDE_NAMES) if known.per_side else 1]
        yield {"key": key, "words": [told(float(value), known.dimension, unit) for value in values]}


def curves_swept(moving: MovingAxle, stand: Stand, reach: Reach, share: OuterShare) -> dict[str, tuple[Array, Sweep]]:
    """Over wheel travel [mm] without roll, and over roll [rad] at the sliders' heave; both at their pitch and rack."""
    travel, roll = (np.linspace(-most, most, SAMPLES) for most in (reach.heave, reach.roll))
    bump = sweep_bump(moving, travel, pitch=stand.pitch, outer_share=share, only=CURVES)
    rolled = sweep_roll(moving, roll, stand.heave, pitch=stand.pitch, outer_share=share, only=CURVES)
    return {"travel": (travel, bump), "roll": (roll, rolled)}


def drawn_values(key: str, values: Array, unit: LengthUnit) -> list[list[float | None]]:
    """A curve's values (..., S) by side, in the owner's unit and as fine as a screen shows; None where none is."""
    kind = QUANTITIES[key].dimension
    digits = kind.decimals(unit) + _MORE_DIGITS
    scaled = (values * kind.scale(unit)).reshape(-1, values.shape[-1])
    return [[round(one, digits) if math.isfinite(one) else None for one in own] for own in scaled.tolist()]


def sides_of(key: str) -> Sequence[str]:
    """The sides that a number has a curve of, or one without a name."""
    return SIDE_NAMES if QUANTITIES[key].per_side else ("",)


def _curves(ready: MovingAxle, stand: Stand, reach: Reach, limits: Limits, unit: LengthUnit) -> list[Record]:
    swept = curves_swept(ready, stand, reach, within(limits).of(ready.axle.name))
    scales = {"travel": unit.from_mm(1.0), "roll": math.degrees(1.0)}
    return [_table(over, sweep, at * scales[over], unit) for over, (at, sweep) in swept.items()]


def _table(driver: str, sweep: Sweep, at: Array, unit: LengthUnit) -> Record:
    """A sweep's curves, by number and side; null where there is nothing, and why."""
    lines = [
        {"key": key, "side": side, "values": own}
        for key, values in sweep.values.items()
        for side, own in zip(sides_of(key), drawn_values(key, values, unit), strict=True)
    ]
    told_why = told_once(reason for reason in sweep.problems if reason.gap.unreached)
    missing = any(code is not None for code in codes(sweep.gaps))
    return {"over": driver, "at": at.round(4).tolist(), "lines": lines, "missing": told_why if missing else []}
