"""Curves that a gauge could read of a fitted car over wheel travel: toe and camber, on each side measured by itself."""

from collections.abc import Mapping

import numpy as np

from kinematics.survey.curves import Curve, CurveOf
from kinematics.survey.fit import SurveyFit

# One standard deviation of a reading (common practice, no source).
_GOOD_TO: Mapping[CurveOf, float] = {"toe": float(np.radians(0.02)), "camber": float(np.radians(0.1))}
_REACHES = (60.0, 45.0, 30.0, 15.0)  # mm either way, as far as the car goes
_TRAVELS = 9


def gauge_curves(found: SurveyFit) -> tuple[tuple[Curve, ...], ...]:
    """What a gauge could read of each number; nothing of a car that hardly moves."""
    sides = (0, 1) if found.survey.apart else (0,)
    told = (_as_far_as_it_goes(found, of, sides) for of in _GOOD_TO)
    return tuple(own for own in told if own)


def _as_far_as_it_goes(found: SurveyFit, of: CurveOf, sides: tuple[int, ...]) -> tuple[Curve, ...]:
    for most in _REACHES:
        at = np.linspace(-most, most, _TRAVELS)
        curves = tuple(Curve(of, "travel", side, at, np.zeros(_TRAVELS), _GOOD_TO[of]) for side in sides)
        if all(np.isfinite(curve.shown(found.axle)).all() for curve in curves):
            return curves
    return ()
