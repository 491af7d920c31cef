"""From readings to an axle: the points that fit best, how far each reading is off, and the doubt of every point."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy.stats import chi2, norm

from kinematics.car.car import Axle
from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.uncertainty import ANGLES, Doubt
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.rows import Rows
from kinematics.numbers.tables import in_columns
from kinematics.survey.curve_agreement import CurvesModel, reaches
from kinematics.survey.curve_fit import CurvesFit, fit_with_curves
from kinematics.survey.readings import ReadingRows, Survey, directly_read, partners, rows, rows_of
from kinematics.survey.unknowns import USELESS, start
from kinematics.sweeps.arguments import refuse_other
from solvers.least_squares import Fit
from solvers.least_squares import fit as least_squares
from solvers.read_only import read_only
from solvers.tangents import STEP, tangent
from solvers.vectors import Array, Column

UNCHECKED = 1e-6  # redundancy number below which no other reading checks a reading
# Doubts that a reading must be off to be found four times in five by a test that one sound reading in a thousand fails
# (W. Baarda, 1968, from memory): 4.13.
DETECTED = float(norm.isf(0.0005) + norm.isf(0.2))
_DISAGREE = 0.01  # chance below which readings do not agree
_UNLIKELY = 1e-4  # chance of so large a chi-square below which other starts are tried
_OTHER_STARTS = 4
_NUDGE = 0.01  # mm, of the start
_FARTHER = 100.0  # mm, how far other starts lie off


@dataclass(frozen=True, repr=False)
class FittedReading:
    """One scalar reading [mm, rad]: its name, what was read, what the fitted points give, and its standard deviation.

    of: index of its reading in the survey. standardised: residual over its own standard deviation, not a number where
    unchecked. redundancy: the part of an error in it that shows in its residual, 0 to 1.
    """

    name: str
    of: int
    read: float
    fitted: float
    doubt: float
    standardised: float
    redundancy: float

    def __repr__(self) -> str:
        off = "unchecked" if self.unchecked else f"off by {self.standardised:+z.1f} of its doubts"
        return f"<{self.name}: {off}>"

    @property
    def residual(self) -> float:
        """Read less fitted."""
        return self.read - self.fitted

    @property
    def detectable(self) -> float:
        """The smallest error that the others reveal in four cases of five [mm, rad]; infinite where unchecked."""
        return np.inf if self.unchecked else float(DETECTED * self.doubt / np.sqrt(self.redundancy))

    @property
    def unchecked(self) -> bool:
        """Whether no other reading would show an error in this one."""
        return self.redundancy < UNCHECKED


@dataclass(frozen=True, repr=False)
class SurveyFit(Rows[FittedReading]):
    """The axle that fits a survey best, and its doubt: hardpoints and wheel angles.

    readings: every scalar reading. probability: of a chi-square at least so large from doubts as stated; 1 where no
    reading is left over. solved: the fit of all parameters, those of helpers too.
    """

    survey: Survey
    rows: ReadingRows
    solved: Fit
    axle: Axle
    doubt: Doubt
    readings: tuple[FittedReading, ...]
    curved: CurvesFit | None = None
    what = "reading"

    def __repr__(self) -> str:
        fits = f"chi-square {self.chi_square:.3g} with {self.freedoms} more than needed"
        return f"<{self.axle.name} {self.axle.suspension.name} out of {len(self.readings)} readings: {fits}>"

    def _records(self) -> tuple[FittedReading, ...]:
        return self.readings

    def keys(self) -> list[str]:
        """Names of all readings."""
        return [one.name for one in self.readings]

    def dimension(self, reading: FittedReading) -> Dimension:
        """What a reading is measured in."""
        return Dimension.ANGLE if self.survey.readings[reading.of].kind == "angle" else Dimension.LENGTH

    def columns(self, unit: LengthUnit = MM) -> dict[str, Column]:
        """One row for each reading: unit, read, fitted, off by, doubt; off by its own doubts; how far it is checked.

        detectable: the smallest error of it that the others would reveal (`FittedReading.detectable`).
        """
        return in_columns(self._row(one, unit) for one in self)

    def _row(self, one: FittedReading, unit: LengthUnit) -> dict[str, Any]:
        scale = self.dimension(one).scale(unit)
        return {
            "reading": one.name,
            "unit": self.dimension(one).unit(unit),
            "read": one.read * scale,
            "fitted": one.fitted * scale,
            "off_by": one.residual * scale,
            "doubt": one.doubt * scale,
            "standardised": one.standardised,
            "checked_by_others": one.redundancy,
            "detectable": one.detectable * scale,
        }

    @property
    def best(self) -> Fit:
        """The fit to all that was read."""
        return self.solved if self.curved is None else self.curved.solved

    @property
    def chi_square(self) -> float:
        """Sum of squares of residuals, each over its doubt."""
        return self.best.chi_square

    @property
    def freedoms(self) -> int:
        """Readings more than are needed."""
        return self.best.freedoms

    @property
    def probability(self) -> float:
        """How likely a chi-square at least so large is, if doubts are as stated and nothing was misread."""
        return float(chi2.sf(self.chi_square, self.freedoms)) if self.freedoms > 0 else 1.0

    @property
    def converged(self) -> bool:
        """Whether the solver says that it found a minimum."""
        return self.best.converged


def fit(survey: Survey) -> SurveyFit:
    """Fit the points of an axle to its readings by weighted least squares."""
    refuse_other(survey, Survey, "fit takes one survey, such as read_survey(...).surveys[0]")
    unknown = survey.unknowns
    every_row = rows(survey)
    first = start(unknown, survey.axle.suspension, partners(survey.readings), *directly_read(every_row))
    # What is typical may lie exactly level or in line, where an angle seen from the front or side has no derivative.
    rng = np.random.default_rng(0)
    first = first + rng.normal(scale=_NUDGE, size=first.size)
    every_row = every_row.from_start(first)
    solved = solve(every_row, first)
    if _improbable(solved):
        # Either something was misread or the start led to a wrong place: a better one would be seen from elsewhere.
        for _ in range(_OTHER_STARTS):
            other = solve(every_row, first + rng.normal(scale=_FARTHER, size=first.size))
            solved = min(solved, other, key=lambda one: one.chi_square)
    return read_only(_told(survey, every_row, solved, _curved(survey, every_row, solved)))


def _curved(survey: Survey, every_row: ReadingRows, solved: Fit) -> CurvesFit | None:
    """The readings fitted together with the curves; None where there is none, or a car that does not reach them."""
    if not survey.curves:
        return None
    model = curves_model(survey, solved.parameters)
    if any(one.size for one in reaches(model, solved.parameters)):
        return None
    return fit_with_curves(every_row, model, solved)


def curves_model(survey: Survey, about: Array) -> CurvesModel:
    """What a survey's curves would show, with the points at parameters (n,) to begin with."""
    points = survey.unknowns.points(about, survey.axle.points)
    return CurvesModel(replace(survey.axle, points=points, doubt=None), survey.unknowns, about, survey.curves)


def solve(every_row: ReadingRows, begin: Array) -> Fit:
    """Least squares of rows from a start (n,)."""
    return least_squares(every_row.residuals, begin, every_row.doubts, useless=USELESS)


def _improbable(solved: Fit) -> bool:
    if not solved.converged or solved.freedoms <= 0:
        return not solved.converged or solved.chi_square > 1.0
    return float(chi2.sf(solved.chi_square, solved.freedoms)) < _UNLIKELY


def _told(survey: Survey, every_row: ReadingRows, alone: Fit, curved: CurvesFit | None) -> SurveyFit:
    solved = alone if curved is None else curved.solved
    points = survey.unknowns.points(solved.parameters, survey.axle.points)
    return SurveyFit(
        survey=survey,
        rows=every_row,
        solved=alone,
        axle=replace(survey.axle, points=points, doubt=None),
        doubt=_doubt(survey, every_row, solved, curved),
        readings=_readings(every_row, solved),
        curved=curved,
    )


def _readings(every_row: ReadingRows, solved: Fit) -> tuple[FittedReading, ...]:
    count = len(every_row.reads)
    redundancy, residuals = np.clip(1.0 - solved.leverage[:count], 0.0, 1.0), solved.residuals[:count]
    with np.errstate(divide="ignore", invalid="ignore"):
        standardised = np.where(redundancy < UNCHECKED, np.nan, residuals / (every_row.doubts * np.sqrt(redundancy)))
    return tuple(
        FittedReading(name, int(of), *(float(value) for value in values))
        for name, of, *values in zip(
            every_row.names,
            every_row.of,
            every_row.reads,
            every_row.reads - residuals,
            every_row.doubts,
            standardised,
            redundancy,
            strict=True,
        )
    )


def _doubt(survey: Survey, every_row: ReadingRows, solved: Fit, curved: CurvesFit | None) -> Doubt:
    """Doubt of every hardpoint coordinate and of the wheel angles, from the readings and the angles' own doubt.

    A wheel angle shifts the contact points, and through the track the points, so it is a source for both.
    """
    unknown = survey.unknowns
    to_points = unknown.hardpoint_rows
    coordinates = unknown.coordinates[: len(to_points)]
    angles = tuple(coordinate for coordinate, _ in survey.angle_doubts)
    known_to = np.array([doubt for _, doubt in survey.angle_doubts])
    names = every_row.names if curved is None else (*every_row.names, *curved.names)
    doubts = every_row.doubts if curved is None else np.concatenate([every_row.doubts, curved.doubts])
    from_readings = to_points @ solved.gain * doubts
    turned = turned_by_angles(survey, every_row, solved.parameters)
    through_track = -to_points @ solved.gain[:, : len(turned)] @ turned * known_to
    angles_alone = np.zeros((len(angles), len(doubts)))
    influence = np.block([[from_readings, through_track], [angles_alone, np.diag(known_to)]])
    return Doubt((*coordinates, *angles), influence, (*names, *(str(angle) for angle in angles)))


def turned_by_angles(survey: Survey, every_row: ReadingRows, at: Array) -> Array:
    """How the rows' predictions change with each wheel angle whose doubt is known (m, angles): the track's alone do."""
    tracks = [index for index, reading in enumerate(survey.readings) if reading.kind == "track"]
    change = np.zeros((len(every_row.reads), len(survey.angle_doubts)))
    for column, (angle, _) in enumerate(survey.angle_doubts if tracks else ()):
        chosen = np.zeros(2)
        chosen[list(angle.sides)] = 1.0
        camber, toe = (
            value + 1j * STEP * chosen * (angle.of == name)
            for name, value in zip(ANGLES, (survey.axle.camber, survey.axle.toe), strict=True)
        )
        turned = rows_of([survey.readings[index] for index in tracks], survey.unknowns, camber, toe)
        change[np.isin(every_row.of, tracks), column] = tangent(turned.predicted(at))
    return change


def scattered_beyond(found: SurveyFit) -> float:
    """How many times their doubts what was fitted scatters, where that is no chance any more; 1 where it may be.

    The square root of chi-square over its freedoms (R. T. Birge, 1932, from memory).
    """
    scattered = found.freedoms > 0 and found.probability < _DISAGREE
    return float(np.sqrt(found.chi_square / found.freedoms)) if scattered else 1.0


def spread_beyond(found: SurveyFit) -> float:
    """How many times larger doubts count: as readings scatter; where they do not, as far as curves lie apart from them.

    Curves count where it is not known which is wrong, they or the readings; beside readings that scatter they wait.
    """
    scattered = scattered_beyond(found)
    return found.curved.apart if scattered == 1.0 and found.curved is not None else scattered


def widened(found: SurveyFit) -> Doubt:
    """The doubt of the points, as many times larger as readings do not agree."""
    scatter = spread_beyond(found)
    return replace(found.doubt, influence=scatter * found.doubt.influence, scatter=scatter)
