"""A fitted survey and all that speaks against it: readings and curves to suspect, second places, odd wheel angles."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.car.uncertainty import ANGLES
from kinematics.judging.suspicious import Oddity, suspicious
from kinematics.survey.culprits import culprits
from kinematics.survey.curve_misfit import CurveMisfit
from kinematics.survey.curves_aside import CurvesStanding, curves_standing
from kinematics.survey.explanations import Culprit
from kinematics.survey.fit import SurveyFit
from kinematics.survey.missing import Missing, missing
from kinematics.survey.second_places import SecondPlace, second_places
from kinematics.survey.sheet_numbers import SheetNumbers
from kinematics.sweeps.body import sweep_bump


@dataclass(frozen=True)
class JudgedFit:
    """A fitted survey and what is to be said of it.

    odd: about camber and toe, which no reading checks but all are read with.
    """

    fit: SurveyFit
    culprits: tuple[Culprit, ...]
    curves: CurvesStanding
    places: tuple[SecondPlace, ...]
    missing: Missing
    odd: tuple[Oddity, ...]

    @property
    def misfits(self) -> tuple[CurveMisfit, ...]:
        """Curves that do not agree with the readings, or with those that are not suspect."""
        return self.curves.misfits

    @property
    def suspect(self) -> bool:
        """Whether something does not agree."""
        return bool(self.culprits or self.misfits or self.places)

    @cached_property
    def numbers(self) -> SheetNumbers:
        """Those of the measuring sheet."""
        return SheetNumbers(self.fit.survey)


def judged(found: SurveyFit, unit: LengthUnit) -> JudgedFit:
    """What speaks against a fit. unit: of the instruments."""
    blamed, places = culprits(found, unit), second_places(found)
    odd = tuple(_odd_wheel_angles(found, unit))
    return JudgedFit(found, blamed, curves_standing(found, blamed), places, missing(found), odd)


def odd_angle(oddity: Oddity) -> str:
    """Which of "camber" and "toe" an oddity is of; "" where neither."""
    own = {oddity.number, *(slip.entry for slip in oddity.slips)}
    return next((angle for angle in ANGLES if angle in own), "")


def _odd_wheel_angles(found: SurveyFit, unit: LengthUnit) -> list[Oddity]:
    return [one for one in suspicious(sweep_bump(found.axle, np.zeros(1)), unit) if odd_angle(one)]
