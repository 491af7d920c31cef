"""One move of the page's sliders: the axle drawn as it then stands, its numbers, and its curves."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limits
from kinematics.motion.moving_axle import MovingAxle
from kinematics.motion.reasons import UnreachedError
from kinematics.numbers.outer_share import within
from kinematics.numbers.quantity import Where
from kinematics.numbers.registry import QUANTITIES, keys_shown
from kinematics.numbers.stance import Stance
from kinematics.sweeps.body import Sweep, stances, sweep_bump, sweep_roll
from reports.documents.amounts import Record, codes, plain
from reports.page.bench import Bench, OpenCar
from reports.page.reach import Reach, rack_reach
from reports.page.trial import Asked, tried_axle
from reports.page.views import ALL_VIEWS, View, views
from reports.words.gaps import gap_words, told_once
from reports.words.numbers import told
from solvers.vectors import Array

_SAMPLES = 41  # of a curve
_MORE_DIGITS = 2  # of a curve's numbers than are printed
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
    """What the page shows after a move: the axle as tried, and the measured one as a ghost under it."""
    measured = next((one for one in opened.car.axles if one.name == pose.axle), opened.car.axles[0])
    stand = Stand.of(pose, opened.reach, rack_reach(measured), opened.car.unit)
    axle, apart = tried_axle(bench, opened, pose, measured)
    told_of = position(bench, opened, axle, stand, pose.views)
    if axle is not measured:
        told_of["ghost"] = bench.once(
            (measured.name, stand, pose.views),
            lambda: position(bench, opened, measured, stand, pose.views, numbers=False),
        )
    return {"version": opened.version, "apart": apart, **told_of}


def position(
    bench: Bench, opened: OpenCar, axle: Axle, stand: Stand, seen: Sequence[View], *, numbers: bool = True
) -> Record:
    """An axle, measured or changed, as it stands.

    unreached: why it cannot stand so, where it cannot; the curves are there all the same where the rack gets there.
    """
    unit, limits = opened.car.unit, opened.limits
    told_of: Record = {}
    try:
        ready = bench.ready(axle, opened.reach, stand.rack)
        told_of["curves"] = _curves(ready, stand, opened.reach, limits, unit)
        stance = stances(ready, [-stand.heave], [stand.roll], stand.pitch)
    except UnreachedError as error:
        return {**told_of, "unreached": gap_words(error.reason)}
    shared = replace(stance, outer_share=within(limits).of(axle.name))
    told_of["views"] = views(shared, limits.of(axle), unit, seen)
    return {**told_of, "numbers": list(_numbers(shared, unit))} if numbers else told_of


def shown_beside(axle: Axle) -> list[str]:
    """Keys of the numbers that stand beside a drawing, but those that the sliders show."""
    keys = keys_shown(Where.BESIDE_DRAWING)
    return [key for key in keys if key not in _ON_SLIDERS and QUANTITIES[key].only.on(axle)]


def _numbers(stance: Stance, unit: LengthUnit) -> Iterator[Record]:
    """What stands beside a drawing: each side's value, printed and as it is."""
    axle = stance.states.axle
    for key in shown_beside(axle):
        known = QUANTITIES[key]
        values = np.asarray(known.read(stance)).reshape(-1)
        sides = SIDE_NAMES if known.per_side else ("",)
        amounts = [
            {
                "side": side,
                "words": told(float(value), known.dimension, unit),
                "value": plain(float(value), known.dimension.scale(unit)),
            }
            for side, value in zip(sides, values, strict=True)
        ]
        yield {"key": key, "amounts": amounts}


def _curves(ready: MovingAxle, stand: Stand, reach: Reach, limits: Limits, unit: LengthUnit) -> list[Record]:
    """Over wheel travel without roll, and over roll at the sliders' heave; both at their pitch and rack."""
    share = within(limits).of(ready.axle.name)
    travel = np.linspace(-reach.heave, reach.heave, _SAMPLES)
    roll = np.linspace(-reach.roll, reach.roll, _SAMPLES)
    bump = sweep_bump(ready, travel, pitch=stand.pitch, outer_share=share, only=CURVES)
    in_roll = sweep_roll(ready, roll, stand.heave, pitch=stand.pitch, outer_share=share, only=CURVES)
    return [
        _table("travel", bump, travel * unit.from_mm(1.0), unit),
        _table("roll", in_roll, np.degrees(roll), unit),
    ]


def _table(driver: str, sweep: Sweep, at: Array, unit: LengthUnit) -> Record:
    """A sweep's curves, by number and side; null where there is nothing, and why."""
    lines = []
    for key, values in sweep.values.items():
        known = QUANTITIES[key]
        digits = known.dimension.decimals(unit) + _MORE_DIGITS
        scaled = (values * known.dimension.scale(unit)).reshape(-1, at.size)
        for side, own in zip(SIDE_NAMES if known.per_side else ("",), scaled, strict=True):
            rounded = [round(one, digits) if math.isfinite(one) else None for one in own.tolist()]
            lines.append({"key": key, "side": side, "values": rounded})
    told_why = told_once(reason for reason in sweep.problems if reason.gap.unreached)
    missing = any(code is not None for code in codes(sweep.gaps))
    return {"over": driver, "at": at.round(4).tolist(), "lines": lines, "missing": told_why if missing else []}
