"""Surveys of invented axles with known points: the fit finds them, and its doubt is what statistics says it is.

Closed forms are labelled where they stand; the rest are properties.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.stats import chi2, kstest

from kinematics.car.car import Axle
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.car.uncertainty import Coordinate
from kinematics.survey.fit import UNCHECKED, fit
from kinematics.survey.readings import Reading, Survey, rows
from tests.survey.invented_surveys import read_off, survey_of, true_parameters, truth

KINDS = [(kind, apart) for kind in SUSPENSIONS for apart in (False, True)]
SOME = ["strut", "double wishbone", "five link", "live axle with three links"]


def farthest(axle: Axle, other: Axle) -> float:
    return max(float(np.abs(axle.points[key] - other.points[key]).max()) for key in axle.points)


def surveyed(
    *readings: Reading, helpers: tuple[str, ...] = (), axle: Axle | None = None, apart: bool = False
) -> Survey:
    return Survey(truth("trailing arm", apart=apart) if axle is None else axle, apart, helpers, readings)


def row(survey: Survey, axle: Axle) -> np.ndarray:
    at = true_parameters(survey, axle)
    return rows(survey).from_start(at).predicted(at)


@pytest.mark.parametrize(("kind", "apart"), KINDS)
def test_exact_readings_give_the_points_back(kind: str, apart: bool) -> None:
    """The type's typical points, from which the fit starts, are up to 15 mm off."""
    axle = truth(kind, 1, apart=apart)
    found = fit(survey_of(axle, apart=apart, seed=None))

    assert found.converged
    assert farthest(found.axle, axle) < 1e-9
    assert found.chi_square < 1e-15
    np.testing.assert_allclose([reading.residual for reading in found.readings], 0.0, atol=1e-9)


@pytest.mark.parametrize("kind", SOME)
def test_a_car_far_from_the_typical_one_is_found(kind: str) -> None:
    """Every hardpoint shifted at random by up to 200 mm either way."""
    for seed in range(5):
        axle = truth(kind, seed)
        rng = np.random.default_rng(seed)
        points = {}
        for key, both in axle.points.items():
            off = rng.uniform(-200.0, 200.0, 3) * [key != "wheel_centre", 1.0, 1.0]
            points[key] = both + off * np.array(
                [[1.0, 1.0, 1.0], [1.0, 1.0 if key in axle.suspension.single else -1.0, 1.0]]
            )
        axle = replace(axle, points=points)
        found = fit(survey_of(axle, seed=None))
        assert farthest(found.axle, axle) < 1e-9


def test_tapes_alone_find_a_point_from_a_start_far_off() -> None:
    """Pivots known by rule, the wheel centre by three tapes and whichever side of them it lies: out, as typical."""
    axle = truth("trailing arm", 2)
    place = axle.points["wheel_centre"][0] + [0.0, 60.0, 40.0]
    axle = replace(axle, points={**axle.points, "wheel_centre": np.array([place, place * [1.0, -1.0, 1.0]])})
    known = [Reading(way, (key,), 0.0, 1.0) for key in ("pivot_outer", "pivot_inner") for way in ("ahead", "out", "up")]
    tapes = [Reading("tape", ("wheel_centre", key), 0.0, 1.0) for key in ("pivot_outer", "pivot_inner")]
    found = fit(read_off(surveyed(*known, *tapes, axle=axle), axle, None))

    assert farthest(found.axle, axle) < 1e-6


@pytest.mark.parametrize("apart", [False, True])
def test_each_kind_of_reading_is_what_geometry_says(apart: bool) -> None:
    """Predictions against plain vector algebra on the points. Formula, each by the spec's words."""
    axle = truth("strut", 3, apart=apart)
    side = "left " if apart else ""
    low, front, rear = (axle.points[key] for key in ("lower_ball_joint", "lower_pivot_front", "lower_pivot_rear"))
    a, b, c = (f"{side}{key}" for key in ("lower_ball_joint", "lower_pivot_front", "lower_pivot_rear"))
    right = "right lower_ball_joint"
    line = (rear - front)[0]
    to_low = (low - front)[0]
    along = line / np.linalg.norm(line)
    off = to_low - along * (to_low @ along)
    cases: list[tuple[Reading, list[float]]] = [
        (Reading("up", (a,), 0.0, 1.0), [low[0, 2]]),
        (Reading("up", (a, b), 0.0, 1.0), [low[0, 2] - front[0, 2]]),
        (Reading("out", (a,), 0.0, 1.0), [low[0, 1]]),
        (Reading("out", (right,), 0.0, 1.0), [-low[1, 1]]),
        (Reading("out", (right, "right lower_pivot_front"), 0.0, 1.0), [front[1, 1] - low[1, 1]]),
        (Reading("ahead", (right,), 0.0, 1.0), [low[1, 0]]),
        (Reading("tape", (a, right), 0.0, 1.0), [float(np.linalg.norm(low[0] - low[1]))]),
        (Reading("tape", (right, b), 0.0, 1.0), [float(np.linalg.norm(front[0] - low[1]))]),
        (Reading("track", (), 0.0, 1.0), [float(np.linalg.norm(axle.contact[0] - axle.contact[1]))]),
        (Reading("level", (a, b), 0.0, 1.0), [front[0, 2] - low[0, 2]]),
        (Reading("plumb", (a, b), 0.0, 1.0, 1.0), [*(front - low)[0, :2], low[0, 2] - front[0, 2]]),
        (Reading("offset", (a, b), 7.0, 1.0, along="out"), list((front - low)[0])),
        (Reading("offset", (b, a), 7.0, 1.0, along=(b, c)), list(to_low - 7.0 * along)),
        (
            Reading("angle", (b, a), 0.0, 1.0),
            [float(np.arctan2(to_low[2], np.hypot(to_low[0], to_low[1])))],
        ),
        (Reading("angle", (b, a), 0.0, 1.0, seen_from="front"), [float(np.arctan2(to_low[2], abs(to_low[1])))]),
        (Reading("angle", (b, a), 0.0, 1.0, seen_from="side"), [float(np.arctan2(to_low[2], abs(to_low[0])))]),
    ]
    for reading, expected in cases:
        np.testing.assert_allclose(row(surveyed(reading, axle=axle, apart=apart), axle), expected, rtol=1e-12)
    two = row(surveyed(Reading("in_line", (b, a, c), 0.0, 1.0), axle=axle, apart=apart), axle)
    np.testing.assert_allclose(np.linalg.norm(two), np.linalg.norm(off), rtol=1e-12)


def test_derivatives_agree_with_differences() -> None:
    """Central differences over 1e-3 mm, of rows of every form: good to 1e-7 here."""
    axle = truth("strut", 4)
    survey = survey_of(axle)
    names = ("lower_pivot_front", "tie_rod_inner", "lower_pivot_rear")
    more = (
        Reading("in_line", names, 0.0, 2.0),
        Reading("in_line", ("strut_low", "tie_rod_outer", "strut_top"), 0.0, 2.0),
        Reading("offset", names[:2], 30.0, 1.5, along=names[1:]),
        Reading("angle", names[:2], 0.0, 0.01, seen_from="front"),
    )
    survey = replace(survey, readings=(*survey.readings, *more))
    found = fit(survey)
    at = found.solved.parameters
    steps = 1e-3 * np.eye(at.size)
    by_differences = (found.rows.predicted(at + steps) - found.rows.predicted(at - steps)).T / 2e-3
    np.testing.assert_allclose(found.solved.weighted_jacobian * found.rows.doubts[:, None], by_differences, atol=1e-7)


def test_mean_of_several_readings() -> None:
    """Formula: the mean, its standard deviation sigma / sqrt(n), each reading's redundancy 1 - 1/n, and chi-square."""
    reads = np.array([301.0, 298.0, 302.5, 300.5])
    base = [reading for reading in survey_of(truth("trailing arm")).readings if "wheel_centre" not in reading.of]
    own = [Reading("up", ("wheel_centre",), value, 2.0) for value in reads]
    kept = [reading for reading in base if reading.kind in ("ahead", "out", "up")]
    found = fit(surveyed(*kept, Reading("out", ("wheel_centre",), 720.0, 1.0), *own))
    index = found.doubt.coordinates.index(Coordinate("wheel_centre", "up"))
    shown = [reading for reading in found.readings if reading.name.startswith("up wheel_centre")]

    assert abs(found.axle.points["wheel_centre"][0, 2] - reads.mean()) < 1e-9
    assert abs(found.doubt.standard_deviation[index] - 2.0 / np.sqrt(4)) < 1e-12
    np.testing.assert_allclose([reading.redundancy for reading in shown], 0.75, rtol=1e-12)
    expected = (reads - reads.mean()) / (2.0 * np.sqrt(0.75))
    np.testing.assert_allclose([reading.standardised for reading in shown], expected, rtol=1e-9)
    assert [reading.name for reading in shown][1:] == [f"up wheel_centre ({nth})" for nth in ("2nd", "3rd", "4th")]


def test_trilateration() -> None:
    """Formula: three tapes from exact points, covariance (U' U)^-1 sigma^2 with U the unit vectors along the tapes."""
    axle = truth("double wishbone", 1)
    base = ("lower_pivot_front", "upper_pivot_rear", "tie_rod_inner")
    exact = [
        Reading(way, (key,), 0.0, 1e-6) for key in axle.points for way in ("up", "out") if key != "upper_ball_joint"
    ]
    exact += [
        Reading("ahead", (key,), 0.0, 1e-6) for key in axle.points if key not in ("upper_ball_joint", "wheel_centre")
    ]
    tapes = [Reading("tape", ("upper_ball_joint", key), 0.0, 2.0) for key in base]
    found = fit(read_off(surveyed(*exact, *tapes, axle=axle), axle, None))
    units = np.array([axle.points["upper_ball_joint"][0] - axle.points[key][0] for key in base])
    units /= np.linalg.norm(units, axis=1)[:, None]
    expected = 4.0 * np.linalg.inv(units.T @ units)
    chosen = [index for index, one in enumerate(found.doubt.coordinates) if one.of == "upper_ball_joint"]

    np.testing.assert_allclose(found.doubt.covariance[np.ix_(chosen, chosen)], expected, rtol=1e-4)


def test_both_sides_alike_check_each_other() -> None:
    """A tape across from a point to its mirror image reads twice its `out`: a rule to 2 and this to 2 give, formula,
    a standard deviation of 2 / sqrt(1 + 4)."""
    axle = truth("trailing arm", 1)
    readings = [Reading(way, (key,), 0.0, 2.0) for key in axle.points for way in ("ahead", "out", "up")]
    readings = [reading for reading in readings if str(reading) != "ahead wheel_centre"]
    across = Reading("tape", ("left pivot_inner", "right pivot_inner"), 0.0, 2.0)
    found = fit(read_off(surveyed(*readings, across, axle=axle), axle, None))
    index = found.doubt.coordinates.index(Coordinate("pivot_inner", "out"))

    assert abs(found.doubt.standard_deviation[index] - 2.0 / np.sqrt(5.0)) < 1e-12


@pytest.mark.campaign
@pytest.mark.parametrize(("kind", "apart"), [("strut", False), ("live axle with three links", True)])
def test_covariance_against_repeated_surveys(kind: str, apart: bool) -> None:
    """The scatter of 300 surveys of one axle. Every normed error then has variance 1, 600 times and more of them."""
    axle = truth(kind, 2, apart=apart)
    errors, sums = [], []
    for seed in range(300):
        found = fit(survey_of(axle, apart=apart, seed=seed))
        to_points = found.survey.unknowns.hardpoint_rows
        moving = to_points.any(axis=1)
        shift = to_points @ (found.solved.parameters - true_parameters(found.survey, axle))
        count = len(to_points)
        # The wheel angles are exact here, so what they would pass on is left out.
        influence = found.doubt.influence[:count, : len(found.rows.reads)]
        covariance = influence @ influence.T
        errors.append(shift[moving] / np.sqrt(np.diag(covariance)[moving]))
        kept = found.survey.unknowns.of_helpers
        own = np.linalg.inv(found.solved.covariance[np.ix_(~kept, ~kept)])
        off = (found.solved.parameters - true_parameters(found.survey, axle))[~kept]
        sums.append(off @ own @ off)
    variance = np.var(np.array(errors), axis=0)

    # The variance of a sample variance of 300 is 2/300: 4.5 standard deviations over some 30 to 60 coordinates.
    assert np.abs(variance - 1.0).max() < 4.5 * np.sqrt(2.0 / 300.0)
    assert np.abs(np.mean(errors, axis=0)).max() < 4.5 / np.sqrt(300.0)
    # All coordinates together, correlations too: formula, chi-square with as many freedoms as unknowns.
    assert kstest(sums, chi2(off.size).cdf).pvalue > 0.001


@pytest.mark.campaign
@pytest.mark.parametrize(("kind", "apart"), [("strut", False), ("double wishbone", True), ("five link", False)])
def test_chi_square_follows_its_law(kind: str, apart: bool) -> None:
    """200 surveys with errors as their doubts say: chi-square's chances are spread evenly, standardised residuals
    are normal with variance 1."""
    founds = [fit(survey_of(truth(kind, seed, apart=apart), apart=apart, seed=1000 + seed)) for seed in range(200)]

    assert all(found.converged for found in founds)
    assert kstest([found.probability for found in founds], "uniform").pvalue > 0.001
    one_each = [found.readings[seed % len(found.readings)].standardised for seed, found in enumerate(founds)]
    assert kstest(one_each, "norm").pvalue > 0.001


@pytest.mark.parametrize(("kind", "apart"), KINDS)
def test_an_invented_survey_is_checked_throughout(kind: str, apart: bool) -> None:
    survey = survey_of(truth(kind, 5, apart=apart), apart=apart, seed=5)
    found = fit(survey)

    assert 1.5 <= len(found.readings) / survey.unknowns.count <= 2.5
    assert min(reading.redundancy for reading in found.readings) > 0.09
    # Formula: redundancy numbers add up to the degrees of freedom.
    assert abs(sum(reading.redundancy for reading in found.readings) - found.freedoms) < 1e-9
    assert len(set(found.doubt.sources)) == len(found.doubt.sources)


def test_influence_is_what_a_misread_reading_does() -> None:
    """One reading shifted by one hundredth of its doubt, and the survey fitted again."""
    axle = truth("double wishbone", 3, apart=True)
    survey = survey_of(axle, apart=True, seed=None)
    found = fit(survey)
    for index in (0, 7, len(found.rows.reads) - 1):
        reading = survey.readings[found.rows.of[index]]
        assert reading.reads is not None
        shifted = replace(reading, reads=reading.reads + 0.01 * reading.doubt)
        again = fit(replace(survey, readings=tuple(shifted if one is reading else one for one in survey.readings)))
        moved = survey.unknowns.hardpoint_rows @ (again.solved.parameters - found.solved.parameters)
        np.testing.assert_allclose(moved / 0.01, found.doubt.influence[: len(moved), index], atol=2e-3)


def test_camber_passes_its_doubt_on_through_the_track() -> None:
    """The camber gauge off by a thousandth of a degree, and the survey fitted again."""
    axle = truth("strut", 3)
    survey = survey_of(axle, seed=None)
    found = fit(survey)
    column = found.doubt.sources.index("camber")
    again = fit(replace(survey, axle=replace(axle, camber=axle.camber + np.radians(0.001))))
    moved = survey.unknowns.hardpoint_rows @ (again.solved.parameters - found.solved.parameters)

    assert np.abs(moved).max() > 1e-4
    np.testing.assert_allclose(moved * 100.0, found.doubt.influence[: len(moved), column], atol=1e-4)


def test_definitions_are_exact() -> None:
    """The wheel centres' `ahead` is 0, or, apart, their middle's: no doubt in the one, opposite shifts in the other."""
    alike = fit(survey_of(truth("strut", 1), seed=1))
    index = alike.doubt.coordinates.index(Coordinate("wheel_centre", "ahead"))
    assert alike.doubt.standard_deviation[index] == 0.0
    assert (alike.axle.points["wheel_centre"][:, 0] == 0.0).all()

    apart = fit(survey_of(truth("strut", 1, apart=True), apart=True, seed=1))
    left, right = (apart.doubt.coordinates.index(Coordinate("wheel_centre", "ahead", (side,))) for side in (0, 1))
    np.testing.assert_allclose(apart.doubt.influence[left], -apart.doubt.influence[right], atol=1e-15)
    assert abs(apart.axle.points["wheel_centre"][:, 0].sum()) < 1e-12


@pytest.mark.parametrize("apart", [False, True])
def test_without_more_readings_than_needed_some_go_unchecked(apart: bool) -> None:
    """Such a reading fits, whatever was read, so that its residual tells nothing."""
    survey = survey_of(truth("strut", 5, apart=apart), apart=apart, seed=5, redundant=False)
    found = fit(survey)
    unchecked = [reading for reading in found.readings if reading.unchecked]

    assert found.solved.null_space.shape[1] == 0
    assert unchecked
    # Formula: a residual's standard deviation is the reading's times the root of its redundancy number; four of those.
    assert all(abs(reading.residual) < 4.0 * reading.doubt * np.sqrt(UNCHECKED) for reading in unchecked)
    assert np.isnan([reading.standardised for reading in unchecked]).all()


def test_a_slope_seen_end_on_does_not_upset_the_fit() -> None:
    """The tie rod seen from the side, its ends level and equally far ahead: an angle that nothing defines."""
    ends = ("tie_rod_inner", "tie_rod_outer")
    read = [Reading("up", (end,), 200.0, 1.5) for end in ends] + [Reading("ahead", (end,), -128.0, 1.5) for end in ends]
    survey = surveyed(*read, Reading("angle", ends, 0.02, 0.004, seen_from="side"), axle=truth("strut"))
    found = fit(survey)

    assert found.converged
    for end in ends:
        np.testing.assert_allclose(found.axle.points[end][0, [0, 2]], [-128.0, 200.0], atol=1e-3)


def by_hand(survey: Survey, axle: Axle, flat: np.ndarray) -> np.ndarray:
    """Weighted residuals of a survey with sides alike, written out by vector algebra; flat: points, then helpers."""
    names = [*axle.points, *survey.helpers]
    places = dict(zip(names, np.insert(flat, 0, 0.0).reshape(-1, 3), strict=True))
    for name, place in list(places.items()):
        places[f"left {name}"], places[f"right {name}"] = place, place * [1.0, -1.0, 1.0]
    camber, toe = axle.camber[0], axle.toe[0]
    residuals = []
    for reading in survey.readings:
        at = [places[name] for name in reading.of]
        away = at[1] - at[0] if len(at) == 2 else np.zeros(3)
        if reading.kind in ("up", "out", "ahead"):
            way = ("ahead", "out", "up").index(reading.kind)
            shown = -away[way] if len(at) == 2 else at[0][way]
        elif reading.kind == "tape":
            shown = np.linalg.norm(away)
        elif reading.kind == "angle":
            shown = np.arctan2(away[2], np.hypot(away[0], away[1]))
        elif reading.kind == "track":
            # From the wheel centre straight down in the wheel's plane to the floor.
            spin = [np.cos(camber) * np.sin(toe), np.cos(camber) * np.cos(toe), -np.sin(camber)]
            down = np.array([0.0, 0.0, -1.0]) - np.multiply(spin, -spin[2])
            centre = places["wheel_centre"]
            shown = 2.0 * (centre - down * centre[2] / down[2])[1]
        else:
            assert reading.kind == "plumb"
            residuals += list(-away[:2] / reading.doubt)
            residuals.append((reading.reads + away[2]) / reading.drop_doubt)
            continue
        residuals.append((reading.reads - shown) / reading.doubt)
    return np.array(residuals)


@pytest.mark.parametrize("kind", ["strut", "double wishbone", "five link"])
def test_scipy_finds_the_same_from_formulas_written_out(kind: str) -> None:
    """SciPy's trust-region method with differences, on the formulas above: places to 1e-5 mm, chi-square to 1e-9, and
    standard deviations to 1e-5 of them, as good as differences over some 1e-8 of a coordinate let them be."""
    axle = truth(kind, 7)
    survey = survey_of(axle, seed=7)
    found = fit(survey)
    begin = true_parameters(survey, axle) + np.random.default_rng(0).normal(scale=20.0, size=survey.unknowns.count)
    tight = {"ftol": 1e-15, "xtol": 1e-15, "gtol": 1e-12}
    other = least_squares(lambda flat: by_hand(survey, axle, flat), begin, **tight)

    np.testing.assert_allclose(found.solved.parameters, other.x, atol=1e-5)
    assert abs(found.chi_square - 2.0 * other.cost) < 1e-9
    deviations = np.sqrt(np.diag(np.linalg.inv(other.jac.T @ other.jac)))
    np.testing.assert_allclose(found.solved.standard_deviation, deviations, rtol=1e-5)
