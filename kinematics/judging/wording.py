"""Numbers and sides in plain words, as tables, verdicts and reasons have them."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension

if TYPE_CHECKING:
    from kinematics.sweeps.roll_axis import RollAxis

PLUS_MINUS = "\N{PLUS-MINUS SIGN}"
HOW_HALF_WIDTH_95 = (
    f"{PLUS_MINUS}: 95 % of such measurements, to first order, from how well the car file says it was measured."
)


def shown(value: float, kind: Dimension, unit: LengthUnit, *, sign: bool = False, decimals: int | None = None) -> str:
    """Write a value [mm, rad] in the owner's unit, without the unit. decimals: where not those of its kind."""
    if not np.isfinite(value):
        return "at infinity" if kind is Dimension.LENGTH else "none"
    decimals = kind.decimals(unit) if decimals is None else decimals
    # Rounding first keeps a tiny negative number from showing as -0.
    rounded = round(value * kind.scale(unit), decimals) + 0.0
    return f"{rounded:{'+' if sign else ''}.{decimals}f}"


def shows(value: float, kind: Dimension, unit: LengthUnit) -> bool:
    """Whether a value is written as anything but zero."""
    return float(round(value * kind.scale(unit), kind.decimals(unit))) != 0.0


def told(value: float, kind: Dimension, unit: LengthUnit, *, sign: bool = True) -> str:
    """Write a value [mm, rad] in the owner's unit, with the unit."""
    text = shown(value, kind, unit, sign=sign)
    return f"{text} {kind.unit(unit)}".rstrip() if np.isfinite(value) else text


def side_view_terms(axle: Axle, unit: LengthUnit) -> str:
    """What an axle's anti-dive, anti-lift and anti-squat are reckoned with, in one sentence; empty where not known."""
    body = axle.body
    if body.wheelbase is None or body.centre_of_gravity is None:
        return ""
    height = told(float(body.centre_of_gravity), Dimension.LENGTH, unit, sign=False)
    said = [f"wheelbase {told(body.wheelbase, Dimension.LENGTH, unit, sign=False)}", f"centre of gravity {height} up"]
    for share, what in ((body.front_brakes, "braking"), (body.front_drive, "driving force")):
        part = 0.0 if share is None else share if axle.name == "front" else 1.0 - share
        if part > 0.0:
            said.append(f"{100.0 * part:.0f} % of the {what} on this axle")
    said.append("brakes inboard" if axle.fittings.inboard_brakes else "brakes outboard")
    if "driving force" in said[-2]:
        said.append("driven as a live axle" if axle.suspension.whole_axle else "driven by half-shafts")
    return f"Side view with {', '.join(said)}."


def roll_axis_words(axis: "RollAxis", unit: LengthUnit) -> str:
    """A roll axis of one state in a sentence."""
    slope = float(axis.inclination.reshape(-1)[0])
    way = "up" if slope >= 0.0 else "down"
    text = f"Roll axis: {told(abs(slope), Dimension.ANGLE, unit, sign=False)} {way} towards the rear"
    if axis.under_gravity is not None:
        arm = float(axis.under_gravity.reshape(-1)[0])
        where = "under" if arm >= 0.0 else "over"
        text += f", {told(abs(arm), Dimension.LENGTH, unit, sign=False)} {where} the centre of gravity"
    return f"{text}."


def once_for_both_sides(texts: Sequence[str]) -> list[str]:
    """Sentences that start 'front left: ' and 'front right: ' and are alike become one, 'front: '."""
    common = [text.replace(" left:", ":", 1).replace(" right:", ":", 1) for text in texts]
    return list(dict.fromkeys(one if common.count(one) == 2 else text for one, text in zip(common, texts, strict=True)))
