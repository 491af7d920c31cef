"""Stated 95 % intervals against the truth, over many seeded surveys of invented axles whose points are known.

The surveys draw every reading's error from its doubt, those of the gauges for camber and toe too. A share of N surveys
is itself uncertain by sqrt(0.95 x 0.05 / N), formula: 0.7 % for 1,000, so that 93 % to 97 % is 2.9 of those either way;
of fewer surveys, the same number of those is allowed. A short run takes a hundred of each.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy.stats import chi2, kstest

from kinematics.car.car import Axle
from kinematics.car.limits import Limits
from kinematics.car.uncertainty import Coordinate
from kinematics.doubt.assessment import NORMAL_95, assess
from kinematics.doubt.perturbed import perturbed
from kinematics.doubt.question import AT_RIDE_HEIGHT
from kinematics.survey.fit import SurveyFit, fit
from kinematics.survey.readings import Survey
from solvers.tangents import STEP, tangent
from solvers.vectors import Array
from tests.short_run import at_places
from tests.survey.invented_surveys import read_off, survey_of, truth

CASES = {"strut": 1000, "double wishbone": 250}
SHORT = 100  # of fewer, a share does not spread as a normal distribution does
GAUGE = np.radians(0.1)  # one standard deviation of camber and toe, as the invented surveys state
NUMBERS = ("roll_centre_height", "bump_steer", "camber_gain")


@dataclass(frozen=True)
class Surveyed:
    """Surveys of one axle, fitted: coordinates (N, n) and their errors, and numbers at ride height (N,) and theirs."""

    axle: Axle
    fits: list[SurveyFit]
    errors: Array
    number_errors: Mapping[str, Array]
    number_deviations: Mapping[str, Array]

    @property
    def count(self) -> int:
        return len(self.fits)

    @property
    def half_width_95(self) -> float:
        """How far a share may lie from 95 %."""
        return float(0.02 * np.sqrt(1000.0 / self.count))


def gauged(survey: Survey, seed: int) -> Survey:
    """The survey with camber and toe as gauges read them, alike on both sides."""
    camber, toe = GAUGE * np.random.default_rng([seed, 1]).normal(size=2)
    return replace(survey, axle=replace(survey.axle, camber=survey.axle.camber + camber, toe=survey.axle.toe + toe))


def stacked(axles: list[Axle]) -> Axle:
    """Many axles as one, along a leading axis."""
    points = {key: np.stack([axle.points[key] for axle in axles]) for key in axles[0].points}
    angles = {angle: np.stack([getattr(axle, angle) for axle in axles]) for angle in ("camber", "toe")}
    return replace(axles[0], points=points, **angles)


def at_ride_height(axle: Axle) -> dict[str, Array]:
    """The left side's numbers, or the axle's (...)."""
    sweep = AT_RIDE_HEIGHT.sweeps(AT_RIDE_HEIGHT.ready(axle))["ride height"]
    return {key: sweep[key][..., 0] if key == NUMBERS[0] else sweep[key][..., 0, 0] for key in NUMBERS}


def coordinates(axle: Axle, which: tuple[Coordinate, ...]) -> Array:
    """An axle's coordinates as the doubt counts them (n,): the left side's, or the angle."""
    return np.array(
        [
            getattr(axle, one.of)[0] if not one.way else axle.points[one.of][0, ("ahead", "out", "up").index(one.way)]
            for one in which
        ]
    )


@pytest.fixture(scope="module", params=at_places(CASES, 1))
def surveyed(request: pytest.FixtureRequest, campaign: bool) -> Surveyed:
    return surveys_of(request.param, range(CASES[request.param] if campaign else SHORT))


def surveys_of(kind: str, seeds: Iterable[int]) -> Surveyed:
    axle = truth(kind, 1)
    blank = survey_of(axle, seed=None)
    fits = [fit(gauged(read_off(blank, axle, seed), seed)) for seed in seeds]
    which = fits[0].doubt.coordinates
    true = coordinates(axle, which)
    errors = np.array([coordinates(found.axle, which) - true for found in fits])

    # First order for all surveys at once: numbers with tangents along each coordinate, times its doubt.
    cars = stacked([found.axle for found in fits])
    apart = replace(
        cars,
        points={key: point[:, None] for key, point in cars.points.items()},
        camber=cars.camber[:, None],
        toe=cars.toe[:, None],
    )
    values, slopes = at_ride_height(cars), at_ride_height(perturbed(apart, which, 1j * STEP * np.eye(len(which))))
    known = at_ride_height(axle)
    influence = np.stack([found.doubt.influence for found in fits])
    deviations = {
        key: np.linalg.norm(np.einsum("ij,ijk->ik", tangent(slopes[key]), influence), axis=1) for key in NUMBERS
    }
    return Surveyed(axle, fits, errors, {key: values[key] - known[key] for key in NUMBERS}, deviations)


def covered(errors: Array, deviations: Array) -> Array:
    """The share of errors within the stated 95 % either way, along the first axis."""
    return np.asarray((np.abs(errors) <= NORMAL_95 * deviations).mean(axis=0))


def test_intervals_of_every_coordinate_cover_the_truth(surveyed: Surveyed) -> None:
    """`ahead` of the wheel centre is a definition and exact; the wheel angles are the gauges' own."""
    deviations = np.array([found.doubt.standard_deviation for found in surveyed.fits])
    exact = (deviations == 0.0).all(axis=0)
    shares = covered(surveyed.errors, deviations)[~exact]

    assert [str(one) for one, is_exact in zip(surveyed.fits[0].doubt.coordinates, exact, strict=True) if is_exact] == [
        "wheel_centre ahead"
    ]
    assert (surveyed.errors[:, exact] == 0.0).all()
    np.testing.assert_allclose(shares, 0.95, rtol=0.0, atol=surveyed.half_width_95)
    assert abs(shares.mean() - 0.95) < 0.5 * surveyed.half_width_95


def test_all_coordinates_together_cover_the_truth(surveyed: Surveyed) -> None:
    """Formula: with the stated covariance C, e' C^-1 e follows chi-square with as many freedoms as coordinates."""
    sums = []
    for found, error in zip(surveyed.fits, surveyed.errors, strict=True):
        moving = found.doubt.standard_deviation > 0.0
        covariance = found.doubt.covariance[np.ix_(moving, moving)]
        sums.append(error[moving] @ np.linalg.solve(covariance, error[moving]))
    law = chi2(int(moving.sum()))

    assert abs((np.array(sums) <= law.ppf(0.95)).mean() - 0.95) < surveyed.half_width_95
    assert kstest(sums, law.cdf).pvalue > 0.001


@pytest.mark.parametrize("key", NUMBERS)
def test_intervals_of_derived_numbers_cover_the_truth(surveyed: Surveyed, key: str) -> None:
    """By first order at the points as fitted, which is where an owner has them."""
    share = covered(surveyed.number_errors[key], surveyed.number_deviations[key])
    normed = surveyed.number_errors[key] / surveyed.number_deviations[key]

    assert abs(share - 0.95) < surveyed.half_width_95
    # Formula: their mean is uncertain by 1 / sqrt(N), their variance by sqrt(2 / N); four of those.
    assert abs(normed.mean()) < 4.0 / np.sqrt(surveyed.count)
    assert abs(normed.var() - 1.0) < 4.0 * np.sqrt(2.0 / surveyed.count)


def test_derived_numbers_together_cover_the_truth(surveyed: Surveyed) -> None:
    shares = [covered(surveyed.number_errors[key], surveyed.number_deviations[key]) for key in NUMBERS]
    assert abs(np.mean(shares) - 0.95) < surveyed.half_width_95


def test_first_order_in_one_batch_is_what_is_reported(surveyed: Surveyed) -> None:
    """The deviations above against those of an assessment, one survey after the other."""
    for index in (0, surveyed.count // 2):
        found = surveyed.fits[index]
        told = assess(replace(found.axle, doubt=found.doubt), AT_RIDE_HEIGHT, Limits())
        assert told is not None
        for key in NUMBERS:
            deviation = told.first["ride height", key].standard_deviation.ravel()[0]
            np.testing.assert_allclose(surveyed.number_deviations[key][index], deviation, rtol=1e-9)


def test_chi_square_follows_its_law(surveyed: Surveyed) -> None:
    """Its mean is the degrees of freedom, uncertain by sqrt(2 f / N), formula; and its chances are spread evenly.

    The gauges' errors come in by the track, whose stated doubt is the tape's alone; the law is off by no more than
    that, some 0.1 of the mean.
    """
    freedoms = surveyed.fits[0].freedoms
    sums = [found.chi_square for found in surveyed.fits]

    assert all(found.converged for found in surveyed.fits)
    assert abs(np.mean(sums) - freedoms) < 4.0 * np.sqrt(2.0 * freedoms / surveyed.count)
    assert kstest([found.probability for found in surveyed.fits], "uniform").pvalue > 0.001
