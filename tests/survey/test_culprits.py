"""Blunders planted in seeded surveys of an invented strut axle are found and named; sound surveys raise no alarm.

What others check well enough, formula: a blunder b (rows, each over its doubt) adds b' Q b to chi-square, Q being what
of each error shows in each residual, so that along it the standardised residual is sqrt(b' Q b) on average and scatters
by 1. All of some 60 sound ones stay below 3.8 (Sidak, 1 % over the survey), and 2 more let 98 % of blunders show: only
those above SHOWN are planted. Surveys are those of a careful owner, all doubts two thirds of the invented surveys' own:
or else hardly a reading shows 10 mm so well.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import pytest
from scipy.stats import binom, chi2

from kinematics.car.lengths import INCH, MM
from kinematics.survey.culprits import culprits, unchecked
from kinematics.survey.explanations import Cause, Culprit, Slip
from kinematics.survey.fit import SurveyFit, fit
from kinematics.survey.readings import Reading, ReadingKind, Survey, rows
from kinematics.survey.snooping import LEVEL
from reports.words.survey import culprit_words
from solvers.vectors import Array
from tests.short_run import at_places
from tests.survey.invented_surveys import read_off, survey_of, true_parameters, truth, with_rows

SEEDS, FEWER = range(40), range(20)
SOUND, FEWER_SOUND = 200, 60
CAREFUL = 2.0 / 3.0
SHOWN = 6.0
APART = 8.0  # doubts by which two values that are swapped differ

AXLE = truth("strut", 1)
Planted = Mapping[int, Reading]


def careful(survey: Survey) -> Survey:
    readings = (replace(one, doubt=CAREFUL * one.doubt, drop_doubt=CAREFUL * one.drop_doubt) for one in survey.readings)
    return replace(survey, readings=tuple(readings))


EXACT = careful(survey_of(AXLE, seed=None))


def put(survey: Survey, planted: Planted) -> Survey:
    return replace(survey, readings=tuple(planted.get(at, one) for at, one in enumerate(survey.readings)))


@dataclass(frozen=True)
class Ground:
    """What the exact survey's fit tells of the readings: Q above, and the row of each reading that was read."""

    found: SurveyFit
    spared: Array
    row: Mapping[int, int]

    def shows(self, planted: Planted) -> float:
        """sqrt(b' Q b) of a blunder."""
        every_row = self.found.rows
        blunder = np.zeros(len(every_row.reads))
        for at, new in planted.items():
            # The points stay where they are; it is the reading that is of others, or shows another value.
            alone = rows(replace(EXACT, readings=(new,)))
            true = alone.predicted(self.found.solved.parameters)[-1]
            meant = every_row.reads[self.row[at]]
            blunder[self.row[at]] = (true - meant if new.reads == EXACT.readings[at].reads else _read(new) - meant) / (
                every_row.doubts[self.row[at]]
            )
        return float(np.sqrt(blunder @ self.spared @ blunder))


@pytest.fixture(scope="module")
def ground() -> Ground:
    found = fit(EXACT)
    slopes = found.solved.weighted_jacobian
    spared = np.eye(len(slopes)) - slopes @ np.linalg.pinv(slopes)
    last = {at: int(np.flatnonzero(found.rows.of == at)[-1]) for at in range(len(EXACT.readings))}
    return Ground(found, spared, last)


def _read(reading: Reading) -> float:
    assert reading.reads is not None
    return reading.reads


def off(survey: Survey, at: int, change: Callable[[float], float]) -> Planted:
    return {at: replace(survey.readings[at], reads=change(_read(survey.readings[at])))}


def swapped(survey: Survey, one: int, other: int) -> Planted:
    first, second = survey.readings[one], survey.readings[other]
    return {one: replace(first, reads=second.reads), other: replace(second, reads=first.reads)}


def exchanged(survey: Survey, pair: tuple[str, str], kinds: tuple[ReadingKind, ...]) -> Planted:
    """Two points taken for each other in all readings of some kinds: what was read is then called by the wrong name."""
    names = dict([pair, pair[::-1]])
    names |= {f"{side} {one}": f"{side} {other}" for side in ("left", "right") for one, other in names.items()}
    renamed = {
        at: replace(one, of=tuple(names.get(name, name) for name in one.of))
        for at, one in enumerate(survey.readings)
        if one.kind in kinds
    }
    return {
        at: one
        for at, one in renamed.items()
        if (set(one.of) if one.kind == "tape" else one.of)
        != (set(survey.readings[at].of) if one.kind == "tape" else survey.readings[at].of)
    }


def named(told: Culprit) -> Iterator[tuple[Cause, frozenset[int]]]:
    for one in told.explanations:
        yield one.slip.cause, frozenset(one.slip.of)


def share_named(plan: Callable[[Survey, int], tuple[Cause, Planted]], seeds: range) -> tuple[float, float, float]:
    """Shares of surveys in which the right cause and readings are told, told first, and the first blunder's mean
    number of explanations."""
    right, first, count = 0, 0, 0
    for seed in seeds:
        survey = read_off(EXACT, AXLE, 1000 + seed)
        cause, planted = plan(survey, seed)
        told = culprits(fit(put(survey, planted)))
        wanted = (cause, frozenset(planted))
        right += any(wanted in list(named(one)) for one in told)
        first += bool(told) and next(named(told[0])) == wanted
        count += len(told[0].explanations) if told else 0
    return right / len(seeds), first / len(seeds), count / len(seeds)


@pytest.mark.campaign
def test_sound_surveys_raise_no_alarm(campaign: bool) -> None:
    """At most as many as one in a thousand such runs would have if the alarm went off by chance at LEVEL (binomial).

    Found: 5 of these 300, 3 of 300 others; 24 of 2,900 of several axles.
    """
    sound = SOUND if campaign else FEWER_SOUND
    alarms = sum(bool(culprits(fit(read_off(EXACT, AXLE, seed)))) for seed in range(sound))
    assert alarms <= binom.ppf(0.999, sound, LEVEL)


@pytest.mark.campaign
def test_ten_mm_misread(ground: Ground, campaign: bool) -> None:
    """Found, when run on 200: 199, in 187 as the likeliest; 1.3 explanations told on average."""
    lengths = [at for at, one in enumerate(EXACT.readings) if one.kind != "angle"]
    possible = [at for at in lengths if ground.shows(off(EXACT, at, lambda value: value + 10.0)) > SHOWN]
    assert len(possible) >= 10

    def plan(survey: Survey, seed: int) -> tuple[Cause, Planted]:
        rng = np.random.default_rng([seed, 1])
        step = rng.choice([-10.0, 10.0])
        return Cause.MISREAD, off(survey, int(rng.choice(possible)), lambda value: value + step)

    right, first, count = share_named(plan, SEEDS if campaign else FEWER)
    assert right >= 0.95
    assert first >= 0.8
    assert count <= 2.0


@pytest.mark.campaign
def test_two_values_of_a_kind_swapped(ground: Ground) -> None:
    """Found, when run on 200: all, all as the likeliest."""
    possible = [
        (one, other)
        for one, other in combinations(range(len(EXACT.readings)), 2)
        if EXACT.readings[one].kind == EXACT.readings[other].kind != "angle"
        and abs(_read(EXACT.readings[one]) - _read(EXACT.readings[other]))
        > APART * max(EXACT.readings[at].doubt for at in (one, other))
        and ground.shows(swapped(EXACT, one, other)) > SHOWN
    ]
    assert len(possible) >= 200

    def plan(survey: Survey, seed: int) -> tuple[Cause, Planted]:
        pair = possible[np.random.default_rng([seed, 2]).integers(len(possible))]
        return Cause.SWAPPED, swapped(survey, *pair)

    right, first, count = share_named(plan, SEEDS)
    assert right >= 0.95
    assert first >= 0.9
    assert count <= 1.5


@pytest.mark.campaign
def test_inches_written_for_mm(ground: Ground) -> None:
    """Found, when run on 200: all, in 182 as the likeliest."""
    lengths = [at for at, one in enumerate(EXACT.readings) if one.kind != "angle"]
    possible = [at for at in lengths if ground.shows(off(EXACT, at, lambda value: value / 25.4)) > SHOWN]
    assert len(possible) >= 40

    def plan(survey: Survey, seed: int) -> tuple[Cause, Planted]:
        at = int(np.random.default_rng([seed, 3]).choice(possible))
        return Cause.OTHER_UNIT, off(survey, at, lambda value: value / 25.4)

    right, first, count = share_named(plan, FEWER)
    assert right >= 0.95
    assert first >= 0.85
    assert count <= 2.0


@pytest.mark.campaign
def test_two_points_exchanged_in_all_readings_of_a_kind(ground: Ground) -> None:
    """In three readings or more: of two, the values are swapped and no more. Taken for each other in all tapes, or in
    all else, is nearly the same; the readings told must be the right ones. Found, when run on 200: all, in 194 as the
    likeliest."""
    kinds: list[tuple[ReadingKind, ...]] = [("tape",), ("ahead", "out")]
    possible = [
        (pair, of)
        for pair in combinations(AXLE.points, 2)
        for of in kinds
        if len(exchanged(EXACT, pair, of)) >= 3 and ground.shows(exchanged(EXACT, pair, of)) > SHOWN
    ]
    assert len(possible) >= 20

    def plan(survey: Survey, seed: int) -> tuple[Cause, Planted]:
        pair, of = possible[np.random.default_rng([seed, 4]).integers(len(possible))]
        return Cause.EXCHANGED, exchanged(survey, pair, of)

    right, first, count = share_named(plan, FEWER)
    assert right >= 0.95
    assert first >= 0.85
    assert count <= 1.5


@pytest.mark.campaign
def test_two_blunders_at_once(ground: Ground) -> None:
    """Each clear by itself, 30 mm off: both readings are among those named, and of most surveys no other."""
    lengths = [at for at, one in enumerate(EXACT.readings) if one.kind != "angle"]
    possible = [at for at in lengths if ground.shows(off(EXACT, at, lambda value: value + 30.0)) > 2.0 * SHOWN]
    both, only = 0, 0
    for seed in range(20):
        survey = read_off(EXACT, AXLE, 3000 + seed)
        one, other = np.random.default_rng([seed, 5]).choice(possible, 2, replace=False).tolist()
        planted = {**off(survey, one, lambda value: value - 30.0), **off(survey, other, lambda value: value + 30.0)}
        told = culprits(fit(put(survey, planted)))
        both += {one, other} <= {at for culprit in told for at in culprit.readings}
        only += sorted(culprit.readings[:1] for culprit in told) == sorted(((one,), (other,)))
    assert both >= 18
    assert only >= 16


def test_what_the_others_make_of_a_reading() -> None:
    """Four readings of a height, one misread by 20 mm. Formula: the mean of the other three, known to 2 / sqrt(3);
    before, the largest standardised residual squared is (20 - e)^2 / (4 + 4 / 3) of chi-square."""
    axle = truth("trailing arm")
    own = [Reading("up", ("wheel_centre",), value, 2.0) for value in (301.0, 298.0, 302.5, 320.5)]
    base = [one for one in survey_of(axle).readings if one.kind in ("ahead", "out", "up") and one.of != own[0].of]
    base = [one for one in base if one.of != ("wheel_centre",)]
    survey = Survey(axle, False, (), (*base, Reading("out", ("wheel_centre",), 720.0, 1.0), *own))
    sound = fit(put(survey, {len(survey.readings) - 1: replace(own[-1], reads=300.5)}))
    (told,) = culprits(fit(survey))
    (shown,) = told.explanations[0].readings

    assert not culprits(sound)
    assert told.explanations[0].slip == Slip(Cause.MISREAD, (len(survey.readings) - 1,), off=20.0)
    assert told.readings[0] == len(survey.readings) - 1
    assert abs(shown.others - (301.0 + 298.0 + 302.5) / 3.0) < 1e-6
    assert abs(shown.known_to - 2.0 / np.sqrt(3.0)) < 1e-6
    off_by, sigma = 320.5 - shown.others, 4.0 + 4.0 / 3.0
    gained = (off_by**2 - (off_by - 20.0) ** 2) / sigma
    assert abs(told.chi_square - told.chi_square_after - gained) < 1e-6


def test_readings_that_check_only_each_other_are_both_told() -> None:
    """One coordinate read twice and by nothing else: whichever is wrong, the two residuals are alike,
    so that the two slips are as likely as each other."""
    axle = truth("trailing arm", 1)
    once = [Reading(way, (key,), 0.0, 1.5) for key in axle.points for way in ("ahead", "out", "up")]
    once = [one for one in once if str(one) != "ahead wheel_centre"]
    blank = Survey(axle, False, (), (*once, *once))
    survey = read_off(blank, axle, None)
    at = next(index for index, one in enumerate(once) if str(one) == "ahead pivot_inner")
    (told,) = culprits(fit(put(survey, off(survey, at, lambda value: value + 50.0))))

    assert set(told.readings) == {at, at + len(once)}
    one, other = (next(each for each in told.explanations if each.slip.of == (of,)) for of in (at, at + len(once)))
    assert {one.slip, other.slip} == {
        Slip(Cause.MISREAD, (at,), off=50.0),
        Slip(Cause.MISREAD, (at + len(once),), off=-50.0),
    }
    assert abs(one.chance - other.chance) < 1e-6
    assert sum(each.chance for each in told.explanations) <= 1.0
    assert culprit_words(told, MM).startswith("either no. 19 (ahead pivot_inner")
    assert "; or no. 19 (ahead pivot_inner" in culprit_words(told, MM)


def test_an_unchecked_reading_is_never_a_culprit() -> None:
    """10 mm off, it moves the points and nothing else, but for what is bent: 10^2 / (2 x 200) = 0.25 mm of a tape."""
    axle = truth("strut", 5)
    survey = survey_of(axle, seed=5, redundant=False)
    found = fit(survey)
    before = culprits(found)
    assert unchecked(found)
    for one in unchecked(found):
        if survey.readings[one.of].kind in ("up", "out", "ahead"):
            wrong = fit(put(survey, off(survey, one.of, lambda value: value + 10.0)))
            assert [told.readings for told in culprits(wrong)] == [told.readings for told in before]


def index(survey: Survey, name: str) -> int:
    return [str(one) for one in survey.readings].index(name)


def test_it_is_told_in_words() -> None:
    """Nothing else is off here, so that the others make of it what it was, to the rounding of the words."""
    at = index(EXACT, "tape strut_low to tie_rod_outer")
    value = _read(EXACT.readings[at])
    (told,) = culprits(fit(put(EXACT, off(EXACT, at, lambda value: value - 20.0))))
    sentence = culprit_words(told, MM)

    assert sentence.startswith(
        f"no. 42 (tape strut_low to tie_rod_outer) was read as {value - 20.0:.1f} mm, which the others make "
        f"{value:.1f} mm"
    )
    assert "misread by 20.0 mm" in sentence
    assert f"measure no. 42 again: it would then read about {value:.1f} mm" in sentence
    in_inches = f"read as {(value - 20.0) / 25.4:.2f} in, which the others make {value / 25.4:.2f} in"
    assert in_inches in culprit_words(told, INCH)


@pytest.mark.campaign
def test_an_inch_on_a_tape_in_inches() -> None:
    at = index(EXACT, "tape strut_low to tie_rod_outer")
    (told,) = culprits(fit(put(EXACT, off(EXACT, at, lambda value: value + 25.4))), INCH)
    assert "misread by 1.00 in" in culprit_words(told, INCH)


@pytest.mark.campaign
def test_mm_written_for_inches() -> None:
    """In a file that counts in inches, a number of mm is 25.4 times too large."""
    at = index(EXACT, "tape strut_low to tie_rod_outer")
    (told,) = culprits(fit(put(EXACT, off(EXACT, at, lambda value: value * 25.4))), INCH)
    assert told.explanations[0].slip.cause is Cause.OTHER_UNIT
    assert "written in mm, where the file counts in in" in culprit_words(told, INCH)


@pytest.mark.parametrize(
    ("name", "factor", "says"),
    at_places(
        [
            ("track", 0.5, "the half of it was written for the whole"),
            ("out wheel_centre", 2.0, "the whole of it was written for the half"),
        ],
        0,
    ),
)
def test_half_a_width_read_for_the_whole(name: str, factor: float, says: str) -> None:
    """The track is twice how far out the wheels stand, and either may be written for the other."""
    at = index(EXACT, name)
    (told, *_) = culprits(fit(put(EXACT, off(EXACT, at, lambda value: value * factor))))
    assert (told.explanations[0].slip.cause, told.readings[0]) == (Cause.HALF_OR_DOUBLE, at)
    assert says in culprit_words(told, MM)


@pytest.mark.campaign
def test_an_angle_misread_by_five_degrees() -> None:
    at = index(EXACT, "angle lower_pivot_rear to lower_ball_joint")
    (told,) = culprits(fit(put(EXACT, off(EXACT, at, lambda value: value - np.radians(5.0)))))
    assert (told.explanations[0].slip.cause, told.readings[0]) == (Cause.MISREAD, at)
    assert "misread by 5.0 deg" in culprit_words(told, MM)


@pytest.mark.parametrize("name", at_places(["ahead lower_pivot_rear", "up strut_top over strut_low"], 1))
def test_a_wrong_sign(name: str) -> None:
    at = index(EXACT, name)
    told = culprits(fit(put(EXACT, off(EXACT, at, lambda value: -value))))
    assert told[0].readings[0] == at
    assert Cause.WRONG_SIGN in [one.slip.cause for one in told[0].explanations]
    assert "its sign is wrong" in culprit_words(told[0], MM)


@pytest.mark.campaign
def test_taken_at_another_point() -> None:
    """A tape held to the rear pivot, not the front one."""
    at = index(EXACT, "tape wheel_centre to lower_pivot_front")
    centre, rear = (AXLE.points[key][0] for key in ("wheel_centre", "lower_pivot_rear"))
    (told,) = culprits(fit(put(EXACT, off(EXACT, at, lambda _: float(np.linalg.norm(centre - rear))))))
    assert told.readings[0] == at
    assert "taken at lower_pivot_rear, not at lower_pivot_front" in culprit_words(told, MM)


@pytest.mark.campaign
def test_doubts_stated_too_small_are_no_blunder() -> None:
    """All readings three times as far off as their doubts say: no reading is named."""
    for seed in (0, 3, 8, 9):  # 9: three slips would leave no alarm
        survey = read_off(EXACT, AXLE, 500 + seed)
        readings = (replace(one, doubt=one.doubt / 3.0, drop_doubt=one.drop_doubt / 3.0) for one in survey.readings)
        told = culprits(fit(replace(survey, readings=tuple(readings))))
        assert [one.explanations[0].slip.cause for one in told] == [Cause.SCATTER]
        assert told[0].readings == ()
        assert "no single one stands out" in culprit_words(told[0], MM)


@pytest.mark.campaign
def test_what_no_single_reading_explains_is_laid_on_none() -> None:
    """All readings off by as much, one way or the other: just enough for an alarm by chi-square, and none stands out.

    Formula (W. Baarda, from memory): to leave a reading out takes its standardised residual squared from chi-square,
    so below three none takes the nine that chance lets one reading add. Chi-square grows as the errors squared.
    """
    exact = rows(EXACT).from_start(true_parameters(EXACT, AXLE))
    right = exact.predicted(true_parameters(EXACT, AXLE))
    tried = scattered = 0
    for seed in range(12):
        errors = exact.doubts * np.random.default_rng(seed).choice([-1.0, 1.0], right.size)
        once = fit(with_rows(EXACT, right + errors))
        size = np.sqrt(chi2.isf(0.0015, once.freedoms) / once.chi_square)
        found = fit(with_rows(EXACT, right + size * errors))
        assert found.probability == pytest.approx(0.0015, rel=0.1)
        if max(abs(one.standardised) for one in found.readings) > 3.0:
            continue
        tried += 1
        blamed = [one.explanations[0].slip for one in culprits(found)]
        assert not any(len(slip.of) == 1 for slip in blamed), (seed, blamed)
        scattered += any(slip.cause is Cause.SCATTER for slip in blamed)
    # Two that were swapped may explain it, and now and then they do.
    assert scattered > 0.5 * tried > 1
