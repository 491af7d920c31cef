"""What to read next so that a number's doubt comes down: the shortest list, and the doubt after each reading.

Optimal design on the fit's own covariance: no reading is needed to know how well a number would be known with it, since
only slopes and doubts count. The slopes are exact, at the points as they are fitted.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy.linalg import block_diag

from kinematics.car.given_numbers import count
from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.nearest_names import hint
from kinematics.car.uncertainty import Doubt
from kinematics.doubt.assessment import EXACT, NORMAL_95, perturbed_axles
from kinematics.doubt.question import AT_RIDE_HEIGHT
from kinematics.numbers.quantity import Dimension, ReportedNumber
from kinematics.numbers.registry import quantities_of
from kinematics.numbers.rows import Rows
from kinematics.numbers.tables import in_columns
from kinematics.survey.curves import Curve
from kinematics.survey.expected_doubt import ExpectedDoubt
from kinematics.survey.fit import SurveyFit, curves_model, turned_by_angles
from kinematics.survey.further_readings import FurtherReading, further_readings
from kinematics.survey.gauge_curves import gauge_curves
from kinematics.survey.missing import missing
from kinematics.survey.readings import rows_of
from kinematics.survey.shortest_list import Wanted, shortest
from kinematics.sweeps.arguments import refuse_other
from kinematics.sweeps.asked import made_ready
from kinematics.sweeps.body import sweep_bump
from solvers.read_only import read_only
from solvers.spread import FirstOrder, slopes
from solvers.tangents import derivatives, seeded
from solvers.vectors import Array, Column

MOST = 12  # readings: more is another survey
UNASKED = 6  # of them where no doubt is wanted
# Parts of the variance below which a reading is not worth taking; of the doubt half of that.
_GAIN, _GAIN_UNASKED = 1e-3, 0.02
_ROUNDING = 1e-9


@dataclass(frozen=True)
class NextReading:
    """One reading of the list, and 95 % either way of the number before and after it [mm, rad, rad/mm ...].

    before, after: of the worse side where the number has two.
    """

    name: str
    what: FurtherReading
    before: float
    after: float


@dataclass(frozen=True)
class NextCurve:
    """A curve read with a gauge in place of the list (`alone`) or besides it: the number's 95 % either way then.

    curves: one for each side that is measured by itself.
    """

    curves: tuple[Curve, ...]
    alone: float
    besides: float


@dataclass(frozen=True, repr=False)
class NextReadings(Rows[NextReading]):
    """What to read next for one number, in order, and what a gauge would do.

    now: 95 % either way of the number as it is, of the worse side; not a number where it has no value at ride height.
    within: what is wanted, None where nothing is.
    """

    found: SurveyFit
    number: ReportedNumber
    value: Array
    now: float
    within: float | None
    readings: tuple[NextReading, ...]
    curves: tuple[NextCurve, ...]
    what = "reading"

    def __repr__(self) -> str:
        return f"<{self.number.key}: {len(self.readings)} further readings, {self.now:.3g} to {self.then:.3g} (95 %)>"

    def _records(self) -> tuple[NextReading, ...]:
        return self.readings

    def keys(self) -> list[str]:
        """Names of the readings, in order."""
        return [one.name for one in self.readings]

    @property
    def then(self) -> float:
        """95 % either way after all of them."""
        return self.readings[-1].after if self.readings else self.now

    @property
    def reached(self) -> bool:
        """Whether what is wanted is reached, with the readings of the list or before; True where nothing is wanted."""
        return self.within is None or self.then <= self.within * (1.0 + _ROUNDING)

    def columns(self, unit: LengthUnit = MM) -> dict[str, Column]:
        """One row for each reading: its number on the sheet, one standard deviation, 95 % of the number around it."""
        return in_columns(self._row(place, one, unit) for place, one in enumerate(self, start=1))

    def _row(self, place: int, one: NextReading, unit: LengthUnit) -> dict[str, Any]:
        kind, own = _measured_in(one.what), self.number.dimension
        return {
            "order": place,
            "reading": one.name,
            "sheet_number": "" if one.what.number is None else str(one.what.number),
            "unit": kind.unit(unit),
            "known_to": one.what.doubt * kind.scale(unit),
            "number": self.number.key,
            "number_unit": own.unit(unit),
            "before_95": one.before * own.scale(unit),
            "after_95": one.after * own.scale(unit),
        }


def _measured_in(what: FurtherReading) -> Dimension:
    return Dimension.ANGLE if what.is_angle else Dimension.LENGTH


def next_readings(
    found: SurveyFit, number: str = "roll_centre_height", within: float | None = None, most: int | None = None
) -> NextReadings:
    """What to read next of a fitted survey so that a number at ride height is known better, in few readings.

    number: key of any number of the axle. within: 95 % either way that is wanted [mm, rad, rad/mm ..., as the number is
    told]; None: as low as may be. most: readings in the list at most (12, or 6 where nothing is wanted). It holds for
    readings that agree: mend what `culprits` names first. TypeError or ValueError for what is no such fit, number or
    doubt, and for a survey that leaves points open.
    """
    refuse_other(found, SurveyFit, "next_readings takes a fitted survey, such as fit(survey)")
    quantities = quantities_of(found.axle)
    if not isinstance(number, str) or number not in quantities:
        raise ValueError(f"{number!r} is no number of this axle{hint(str(number), quantities)}")
    wanted = _wanted_doubt(within)
    most = (UNASKED if within is None else MOST) if most is None else count(most, "most")
    if missing(found).open:
        raise ValueError("the readings leave points open: survey them first (kinematics.survey.missing)")
    further, gauges = further_readings(found.survey), gauge_curves(found)
    first = gradient(found, number)
    expected = expected_doubt(found, first, further, [curve for own in gauges for curve in own])
    now = _either_way(expected.variances(np.zeros((1, 0), dtype=int)))[0]
    if not np.isfinite(now):
        told = NextReadings(found, quantities[number], first.value, np.nan, wanted, (), ())
        return read_only(told)
    asked = Wanted(_variance(wanted), len(further), most, _GAIN if wanted else _GAIN_UNASKED)
    chosen = shortest(expected, asked) if now > EXACT else []
    begun = (np.array([chosen[:size]], dtype=int) for size in range(len(chosen) + 1))
    after = [_either_way(expected.variances(sets))[0] for sets in begun]
    readings = tuple(
        NextReading(*named, before, then)
        for named, before, then in zip(_listed(further, chosen), after, after[1:], strict=False)
    )
    curves = tuple(_next_curves(expected, gauges, len(further), chosen))
    return read_only(NextReadings(found, quantities[number], first.value, now, wanted, readings, curves))


def _wanted_doubt(within: object) -> float | None:
    if within is None:
        return None
    if isinstance(within, bool) or not isinstance(within, (int, float, np.number)):
        raise TypeError(f"within is one number, the doubt that is wanted; read {within!r}")
    if not 0.0 < float(within) < np.inf:
        raise ValueError(f"within is the doubt that is wanted, above zero; read {within}")
    return float(within)


def _variance(wanted: float | None) -> float:
    return 0.0 if wanted is None else float(np.square(wanted / NORMAL_95))


def _either_way(variances: Array) -> list[float]:
    """95 % either way of the worse side, of variances (B, S)."""
    return [float(one) for one in NORMAL_95 * np.sqrt(variances.max(axis=1))]


def _listed(further: Sequence[FurtherReading], chosen: Sequence[int]) -> Iterator[tuple[str, FurtherReading]]:
    """Each with a name of its own: what was read before, or stands on the list before, is read again."""
    for place, row in enumerate(chosen):
        times = list(chosen[:place]).count(row) + further[row].again
        what = replace(further[row], again=times > 0)
        yield f"{what} ({times}x)" if times > 1 else str(what), what


def gradient(found: SurveyFit, number: str) -> FirstOrder:
    """A number at ride height (S,), and its slopes by the fit's parameters, then by the wheel angles (n + K, S)."""
    survey = found.survey
    to_points = survey.unknowns.hardpoint_rows
    angles = tuple(coordinate for coordinate, _ in survey.angle_doubts)
    coordinates = (*survey.unknowns.coordinates[: len(to_points)], *angles)
    by_each = block_diag(to_points, np.eye(len(angles)))
    doubt = Doubt(coordinates, by_each, tuple(str(one) for one in range(by_each.shape[1])))
    cars = made_ready(perturbed_axles(found.axle, doubt, seeded(np.zeros(len(doubt.sources)))), *AT_RIDE_HEIGHT.asked)
    told = slopes({number: sweep_bump(cars, np.zeros(1), only=[number])[number]})[number]
    return FirstOrder(told.value.reshape(-1), told.slopes.reshape(by_each.shape[1], -1))


def expected_doubt(
    found: SurveyFit, first: FirstOrder, further: Sequence[FurtherReading], curves: Sequence[Curve] = ()
) -> ExpectedDoubt:
    """What a number's doubt becomes with further readings, then with those of curves: rows in that order."""
    survey, solved = found.survey, found.best
    count_of = len(survey.angle_doubts)
    rows, turned, again = _rows(found, further)
    for curve in curves:
        model = curves_model(replace(survey, curves=(curve,)), solved.parameters)
        own = derivatives(model.centred, solved.parameters) / curve.doubt
        rows = np.vstack([rows, own])
        turned, again = (np.vstack([one, np.zeros((len(own), count_of))]) for one in (turned, again))
    taken = turned_by_angles(survey, found.rows, solved.parameters)
    by_angle = solved.gain[:, : len(taken)] @ taken
    seen = solved.covariance @ rows.T
    of_points, of_angles = np.split(first.slopes, [solved.parameters.size])
    return ExpectedDoubt(
        own=((of_points.T @ solved.covariance) * of_points.T).sum(axis=1),
        shown=seen.T @ of_points,
        between=rows @ seen,
        leaning=of_angles.T - of_points.T @ by_angle,
        through=rows @ by_angle - turned,
        known_to=np.array([doubt for _, doubt in survey.angle_doubts]),
        stated_again=again,
    )


def _rows(found: SurveyFit, further: Sequence[FurtherReading]) -> tuple[Array, Array, Array]:
    """Slopes of readings over their doubts (R, n), those by wheel angles (R, K), and angles stated again (R, K)."""
    survey, at = found.survey, found.best.parameters
    readings = {row: one.reading for row, one in enumerate(further) if one.reading is not None}
    own = replace(survey, readings=tuple(readings.values()))
    every_row = rows_of(own.readings, own.unknowns, survey.axle.camber, survey.axle.toe)
    doubts = every_row.doubts[:, None]
    places = list(readings)
    slopes_of = np.zeros((len(further), at.size))
    slopes_of[places] = np.nan_to_num(derivatives(every_row.predicted, at)) / doubts
    turned, again = np.zeros((2, len(further), len(survey.angle_doubts)))
    turned[places] = turned_by_angles(own, every_row, at) / doubts
    angles = [coordinate for coordinate, _ in survey.angle_doubts]
    for row, one in enumerate(further):
        if one.wheel_angle is not None:
            again[row, angles.index(one.wheel_angle)] = one.doubt**-2
    return slopes_of, turned, again


def _next_curves(
    expected: ExpectedDoubt, gauges: Sequence[tuple[Curve, ...]], begin: int, chosen: Sequence[int]
) -> "list[NextCurve]":
    told = []
    for own in gauges:
        rows = list(range(begin, begin + sum(curve.at.size for curve in own)))
        begin += len(rows)
        alone, besides = (
            _either_way(expected.variances(np.array([some], dtype=int)))[0] for some in (rows, [*rows, *chosen])
        )
        told.append(NextCurve(own, alone, besides))
    return told
