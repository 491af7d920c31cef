"""Adjusters that a plan asks too much of, and what toe and camber they reach at the ends of their ranges."""

import math
from dataclasses import replace

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.fittings import Adjusters
from kinematics.planning.alignment import align, align_camber, with_camber_adjusted, with_toe_link_adjusted
from kinematics.planning.dismantled import AxleParts, put_together
from kinematics.planning.refusal import Cause, Refusal
from solvers.vectors import Array


def beyond_adjusters(
    axle: Axle, side: int, turned: tuple[float, float], parts: AxleParts, wanted: tuple[Array, Array]
) -> list[Refusal]:
    """Adjusters of a corner that would go beyond their ranges.

    turned: by how much the tie rod's and camber's would change [mm, or rad for bolts]; wanted: toe and camber (2,)
    [rad].
    """
    adjusters, (toe, camber) = axle.fittings.adjusters, wanted
    refusals = []
    if not adjusters.toe_link[0] <= turned[0] <= adjusters.toe_link[1]:
        reach = _known(*(_toe_at(parts, adjusters, camber, end, side) for end in adjusters.toe_link))
        refusals.append(
            Refusal(
                Cause.TOE_BEYOND_ADJUSTER,
                axle.name,
                SIDE_NAMES[side],
                ("toe link",),
                float(turned[0]),
                adjusters.toe_link,
                float(toe[side]),
                reach,
            )
        )
    if adjusters.camber_by != "none" and not adjusters.camber_range[0] <= turned[1] <= adjusters.camber_range[1]:
        reach = _known(*(_camber_at(parts, adjusters, toe, end, side) for end in adjusters.camber_range))
        refusals.append(
            Refusal(
                Cause.CAMBER_BEYOND_ADJUSTER,
                axle.name,
                SIDE_NAMES[side],
                (adjusters.camber_by,),
                float(turned[1]),
                adjusters.camber_range,
                float(camber[side]),
                reach,
            )
        )
    return refusals


def _known(*ends: float) -> tuple[float, ...]:
    return tuple(sorted(end for end in ends if math.isfinite(end)))


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
