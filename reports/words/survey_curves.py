"""What is to be said of curves read with a gauge: how well they agree with the readings, and what would make them."""

from collections.abc import Iterator

import numpy as np

from kinematics.car.lengths import INCH, MM, LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.survey.curve_agreement import reaches
from kinematics.survey.curve_misfit import CurveMisfit
from kinematics.survey.curve_slips import CurveCause, CurveSlip, MovedPoint
from kinematics.survey.curves import Curve
from kinematics.survey.fit import SurveyFit, curves_model
from kinematics.survey.judged import JudgedFit
from reports.words.numbers import told
from reports.words.readings import by_number, in_words

_HIGHER = {"up": ("higher", "lower"), "out": ("farther out", "farther in"), "ahead": ("farther ahead", "farther back")}
_APART = 1001.0  # mm: farther than the ends are between which a length is tried
_OVER = {"travel": "wheel travel", "rack": "rack travel"}
_OTHERWISE = {"toe": "toe-in is positive", "camber": "a top that leans in is negative"}


def curve_lines(judged: JudgedFit, unit: LengthUnit, *, everything: bool = False) -> Iterator[str]:
    """Of each curve, how far it is off the car as fitted, and whether it agrees with the other readings.

    everything: with the chance of that.
    """
    found = judged.fit
    if found.curved is None:
        return
    accused = [curve for misfit in judged.misfits for curve in misfit.curves]
    for curve, after, chance in zip(found.survey.curves, found.curved.after, judged.curves.chances, strict=True):
        off = float(np.sqrt(((curve.reads - after) ** 2).mean()))
        text = f"{curve}: {curve.at.size} readings, typically {_fine(off, curve, unit)} off the fitted car"
        if chance is None:
            told = f"{text}; whether it agrees can be said once the readings do"
        elif any(curve is one for one in accused):
            told = f"{text}, and farther off what {_others(judged)} make of it than all doubts allow: it does NOT agree"
        elif judged.curves.aside:
            told = f"{text}; judged with {_aside(judged)} set aside, it agrees"
        else:
            near = "as near" if off <= curve.doubt else "about as near"
            told = f"{text}, which is {near} as its doubt of {_stated(curve, unit)} allows: it agrees"
        if everything and chance is not None:
            told += f" (of sound curves {_per_cent(chance)} lie as far off or farther)"
        yield told


def left_out(found: SurveyFit) -> str:
    """The curves without which the points are fitted; "" where there are none."""
    if found.curved is None:
        return ""
    counts = zip(found.survey.curves, found.curved.counts, strict=True)
    return in_words(map(str, own)) if (own := [one for one, counted in counts if not counted]) else ""


def _others(judged: JudgedFit) -> str:
    return f"the readings without {_aside(judged)}" if judged.curves.aside else "the other readings"


def _aside(judged: JudgedFit) -> str:
    readings = judged.fit.survey.readings
    named = (readings[index] for index in judged.curves.aside)
    return in_words(dict.fromkeys(by_number(judged.numbers.of(one), str(one)) for one in named))


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
    several = len(misfit.curves) > 1
    head = f"{names} {'do' if several else 'does'} not agree with the other readings"
    first = misfit.slips[0]
    if first.cause is CurveCause.UNKNOWN:
        return f"{head}: no single slip or point explains it; read {'them' if several else 'it'} again"
    either = "; or ".join(_with(one, misfit.curves[0], unit) for one in misfit.slips)
    text = f"{head}: {'they' if several else 'it'} would {either}"
    if not misfit.disputed:
        return text
    asked = "is a part bent, or was a point measured at another place?"
    if any(one.cause is not CurveCause.MOVED for one in misfit.slips):
        return f"{text}. Look at the gauge first; then: {asked}"
    return f"{text}. {asked[0].upper()}{asked[1:]} Look there first"


def _with(slip: CurveSlip, curve: Curve, unit: LengthUnit) -> str:
    """With what a curve would agree, behind "it would"."""
    match slip.cause:
        case CurveCause.TURNED:
            sign = _OTHERWISE.get(curve.of, f"{curve.of.replace('_', ' ')} counts {curve.of.partition('_')[2]}wards")
            return f"with every reading's sign turned ({sign})"
        case CurveCause.TRAVEL_TURNED:
            sign = "the rack to the left" if curve.over == "rack" else "bump"
            return f"with the sign of every travel turned ({sign} is positive)"
        case CurveCause.BOTH_WHEELS:
            return "with every reading halved, as if toe had been read of both wheels together; one wheel's is wanted"
        case CurveCause.OTHER_UNIT if curve.dimension is Dimension.ANGLE and slip.factor < 1.0:
            return f"with every reading {_times(slip.factor)}, as if it were in minutes of arc; degrees are wanted"
        case CurveCause.OTHER_UNIT:
            return f"with every reading {_times(slip.factor)}, as if it were in another unit"
        case CurveCause.TRAVEL_UNIT if (slip.factor < 1.0) == (unit.symbol == "in"):
            other = "mm" if unit.symbol == "in" else "inches"
            return (
                f"with every travel {_times(slip.factor)}, as if it were in {other}; the file counts in {unit.symbol}"
            )
        case CurveCause.TRAVEL_UNIT:
            return f"with every travel {_times(slip.factor)}, as if it were in another unit"
        case CurveCause.LENGTH:
            return (
                f"with every reading {_about_times(slip.factor)}, so toe may be a length at the gauge's plates or the "
                f"rim, not degrees (ends about {_ends_apart(slip.factor, unit)} apart)"
            )
        case CurveCause.JUMP:
            ends = " and ".join(told(one, Dimension.LENGTH, unit) for one in slip.between)
            jump = _fine(slip.jump, curve, unit)
            return (
                f"but for a jump of {jump} between {ends}, as if the gauge had moved; read it again, or as two curves"
            )
    assert slip.moved is not None
    return f"with {_moved(slip.moved, unit)}"


def _ends_apart(factor: float, unit: LengthUnit) -> str:
    """How far apart the ends are between which a length is an angle times such a factor: inches, or else mm."""
    apart = float(np.degrees(1.0)) / factor
    own = INCH if INCH.to_mm(apart) < _APART else MM
    return told(own.to_mm(apart), Dimension.LENGTH, unit, sign=False, decimals=0)


def _stated(curve: Curve, unit: LengthUnit) -> str:
    """A curve's doubt as its owner wrote it."""
    return f"{curve.doubt * curve.dimension.scale(unit):.3g} {curve.dimension.unit(unit)}"


def _moved(one: MovedPoint, unit: LengthUnit) -> str:
    way = _HIGHER[one.coordinate.way][one.by < 0.0]
    amount, known = (told(abs(value), Dimension.LENGTH, unit, sign=False) for value in (one.by, one.known_to))
    return f"{one.coordinate.of} {amount} {way} than the readings make it (known to {known})"


def _times(factor: float) -> str:
    return f"multiplied by {factor:g}" if factor > 1.0 else f"divided by {1.0 / factor:g}"


def _about_times(factor: float) -> str:
    return f"multiplied by about {factor:.2g}" if factor > 1.0 else f"divided by about {1.0 / factor:.2g}"


def _per_cent(chance: float) -> str:
    return f"{100.0 * chance:.0f} %" if chance >= 0.01 else "under 1 %"


def _fine(value: float, curve: Curve, unit: LengthUnit) -> str:
    """A gauge reads finer than a tape."""
    decimals = 3 if curve.dimension is Dimension.ANGLE or unit.symbol == "in" else 2
    return told(value, curve.dimension, unit, sign=False, decimals=decimals)
