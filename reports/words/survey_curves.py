"""What is to be said of curves read with a gauge: how well they agree with the readings, and what would make them."""

from collections.abc import Iterator

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.survey.curve_agreement import reaches
from kinematics.survey.curve_misfit import AGREES, CurveCause, CurveMisfit, MovedPoint, curve_chances
from kinematics.survey.curves import Curve
from kinematics.survey.fit import SurveyFit, curves_model
from reports.words.numbers import told

_HIGHER = {"up": ("higher", "lower"), "out": ("farther out", "farther in"), "ahead": ("farther ahead", "farther back")}
_OVER = {"travel": "wheel travel", "rack": "rack travel"}
_OTHERWISE = {"toe": "toe-in is positive", "camber": "a top that leans in is negative"}


def curve_lines(found: SurveyFit, unit: LengthUnit) -> Iterator[str]:
    """Of each curve, how far it is off the car as fitted, and whether it agrees with what the readings alone make."""
    if found.curved is None:
        return
    for curve, after, chance in zip(found.survey.curves, found.curved.after, curve_chances(found), strict=True):
        off = float(np.sqrt(((curve.reads - after) ** 2).mean()))
        agrees = "agrees" if chance >= AGREES else "does NOT agree"
        without = "" if found.curved.fitted else ", so the points are fitted without it"
        yield (
            f"{curve}: {curve.at.size} readings, off the car as fitted by {_fine(off, curve, unit)} root mean square; "
            f"it {agrees} with the other readings (chance {_per_cent(chance)}){without}"
        )


def unreached_words(found: SurveyFit, unit: LengthUnit) -> Iterator[tuple[str, str]]:
    """Each curve that was read where the car does not reach: its key in the file, and what to do."""
    model = curves_model(found.survey, found.solved.parameters)
    for curve, beyond in zip(found.survey.curves, reaches(model, found.solved.parameters), strict=True):
        if not beyond.size:
            continue
        farthest = float(beyond[np.argmax(np.abs(beyond))])
        yield (
            curve.key,
            f"was read at {told(farthest, Dimension.LENGTH, unit)} of {_OVER[curve.over]}, where the linkage as "
            f"measured does not reach ({beyond.size} of {curve.at.size} readings): is the travel in {unit.symbol}, and "
            "counted from ride height? Leave out what lies beyond, or measure the points again",
        )


def misfit_words(misfit: CurveMisfit, unit: LengthUnit) -> str:
    """Which curve does not agree, and with what it would."""
    names = " and ".join(str(curve) for curve in misfit.curves)
    verb = "do" if len(misfit.curves) > 1 else "does"
    return (
        f"{names} {verb} not agree with the other readings (chance {_per_cent(misfit.chance)}): {_cause(misfit, unit)}"
    )


def _cause(misfit: CurveMisfit, unit: LengthUnit) -> str:
    curve = misfit.curves[0]
    match misfit.cause:
        case CurveCause.TURNED:
            sign = _OTHERWISE.get(curve.of, f"{curve.of.replace('_', ' ')} counts {curve.of.partition('_')[2]}wards")
            return f"it would with every reading's sign turned; {sign}"
        case CurveCause.TRAVEL_TURNED:
            sign = "the rack to the left" if curve.over == "rack" else "bump"
            return f"it would with the sign of every travel turned; {sign} is positive"
        case CurveCause.OTHER_UNIT:
            return f"it would with every reading {_times(misfit.factor)}: is it in another unit?"
        case CurveCause.TRAVEL_UNIT:
            return f"it would with every travel {_times(misfit.factor)}: is it in another unit?"
        case CurveCause.JUMP:
            ends = " and ".join(told(one, Dimension.LENGTH, unit) for one in misfit.between)
            jump = _fine(misfit.jump, curve, unit)
            return f"between {ends} it jumps by {jump}, as if the gauge had moved; read it again, or as two curves"
        case CurveCause.MOVED:
            either = "; or ".join(_moved(one, unit) for one in misfit.moved)
            return f"it would with {either}. Is a part bent, or was it measured at another place? Look there first"
    return "no single slip or point explains it; read it again"


def _moved(one: MovedPoint, unit: LengthUnit) -> str:
    way = _HIGHER[one.coordinate.way][one.by < 0.0]
    amount, known = (told(abs(value), Dimension.LENGTH, unit, sign=False) for value in (one.by, one.known_to))
    return f"{one.coordinate.of} {amount} {way} than the readings make it (known to {known})"


def _times(factor: float) -> str:
    return f"multiplied by {factor:g}" if factor > 1.0 else f"divided by {1.0 / factor:g}"


def _per_cent(chance: float) -> str:
    return f"{100.0 * chance:.0f} %" if chance >= 0.01 else "under 1 %"


def _fine(value: float, curve: Curve, unit: LengthUnit) -> str:
    """A gauge reads finer than a tape."""
    decimals = 3 if curve.dimension is Dimension.ANGLE or unit.symbol == "in" else 2
    return told(value, curve.dimension, unit, sign=False, decimals=decimals)
