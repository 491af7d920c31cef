"""One slip, or two at once, of every kind, planted in sheets filled in for invented cars: the right readings are named,
and hardly ever is a right reading said to be wrong.

Sheets of a strut axle in mm, errors by their doubts, with 22 readings to spare. Planted is what the other readings show
clearly (`planted_slips`); surveys that raise an alarm by themselves, one in a hundred, are left out.
"""

import os
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import binom

from kinematics import read_car
from kinematics.car.lengths import INCH, MM
from kinematics.inputs.survey.survey_file import read_survey
from kinematics.survey.culprits import culprits
from kinematics.survey.explanations import Cause, Culprit
from kinematics.survey.fit import fit
from kinematics.survey.readings import Survey
from kinematics.survey.slips import exchanged_points, misread_values, other_points, read_row
from kinematics.survey.snooping import State
from reports.command_line import main
from reports.words.survey import culprit_words
from tests.short_run import at_places
from tests.survey.invented_surveys import read_off, survey_of, truth
from tests.survey.planted_slips import CAUSES, Ground, Planted, off, planted, put
from tests.survey.sheet_surveys import as_file, sheet_survey

# In the campaign, of each of eight kinds and of any two; by hand `SLIPS=63 DOUBLE_SLIPS=500`: half an hour.
SINGLES, DOUBLES = int(os.environ.get("SLIPS", "8")), int(os.environ.get("DOUBLE_SLIPS", "12"))
NAMED, MANY = 0.95, 100  # share to be named first; so many that the share itself can be asked for


def sound_ground(seed: int) -> Ground:
    """The sheet of a car by this seed, or the next like it that raises no alarm."""
    while True:
        ground = Ground(sheet_survey("strut", seed, exact=True), sheet_survey("strut", seed))
        if not culprits(fit(ground.read)):
            return ground
        seed += 100_000


def told_of(ground: Ground, slip: Planted) -> tuple[Culprit, ...]:
    return culprits(fit(put(ground.read, slip)), MM)


def accused_first(told: tuple[Culprit, ...]) -> set[int]:
    return {at for one in told for at in one.explanations[0].slip.of}


def least_named(count: int) -> float:
    """How many of a count must be named first: of few, what 19 in 20 come to in all but one of a hundred runs."""
    return NAMED * count if count >= MANY else float(binom.ppf(0.01, count, NAMED))


def wrongly_sure(told: tuple[Culprit, ...], slip: Planted) -> bool:
    """Whether a right reading is said to be wrong as a fact."""
    return any(one.sure and not set(one.explanations[0].slip.of) <= set(slip) for one in told)


def two_planted(seed: int) -> tuple[Ground, Planted, Planted]:
    """A sheet, and slips of any two kinds, of different readings, each clear by itself."""
    ground = sound_ground(5000 + seed)
    rng = np.random.default_rng([seed, 4])
    one = planted(CAUSES[rng.integers(len(CAUSES))], ground, rng)
    other: Planted = one
    while set(one) & set(other):
        other = planted(CAUSES[rng.integers(len(CAUSES))], ground, rng)
    return ground, one, other


@pytest.mark.parametrize("cause", at_places(CAUSES, 0, 3), ids=[cause.value for cause in CAUSES])
def test_one_slip_of_each_kind_is_named(cause: Cause) -> None:
    ground = sound_ground(7)
    slip = planted(cause, ground, np.random.default_rng(1))
    told = told_of(ground, slip)
    assert accused_first(told) == set(slip)
    assert not wrongly_sure(told, slip)


@pytest.mark.campaign
@pytest.mark.parametrize("first", [Cause.MISREAD, Cause.WRONG_SIGN, Cause.OTHER_UNIT, Cause.SWAPPED])
def test_two_slips_at_once_are_named(first: Cause) -> None:
    ground = sound_ground(11)
    rng = np.random.default_rng(2)
    slip = planted(first, ground, rng)
    other = planted(Cause.DIGITS, ground, rng)
    told = told_of(ground, {**slip, **other})
    assert accused_first(told) == {*slip, *other}
    assert not wrongly_sure(told, {**slip, **other})


@pytest.mark.campaign
@pytest.mark.parametrize("cause", CAUSES, ids=[cause.value for cause in CAUSES])
def test_single_slips_are_named(cause: Cause) -> None:
    """Found, when run on 25 of each kind: all named first, but 3 of the swaps, before exchanges that do not show were
    left out; no right reading told as a fact."""
    first = wrong = 0
    for seed in range(SINGLES):
        ground = sound_ground(1000 + seed)
        slip = planted(cause, ground, np.random.default_rng([seed, 3]))
        told = told_of(ground, slip)
        first += accused_first(told) == set(slip)
        wrong += wrongly_sure(told, slip)
    assert first >= least_named(SINGLES)
    assert wrong <= 0.01 * SINGLES


@pytest.mark.campaign
@pytest.mark.parametrize("seed", [40, 195, 394, 452])
def test_of_two_slips_the_one_that_explains_less_is_found(seed: int) -> None:
    """Of these pairs another slip seems likelier than either until one of them is put right: found among 500."""
    ground, one, other = two_planted(seed)
    told = told_of(ground, {**one, **other})
    assert accused_first(told) == {*one, *other}
    assert not wrongly_sure(told, {**one, **other})


@pytest.mark.campaign
def test_double_slips_are_named() -> None:
    """Any two kinds, of different readings, each clear by itself.

    Found when run by hand on 500: 488 (98 %); two had a right reading told as a fact. Of 12 missed most name one of the
    two and, not as sure, a reading of the same place for the other, which fits about as well.
    """
    first = wrong = 0
    for seed in range(DOUBLES):
        ground, one, other = two_planted(seed)
        told = told_of(ground, {**one, **other})
        first += accused_first(told) == {*one, *other}
        wrong += wrongly_sure(told, {**one, **other})
    assert first >= least_named(DOUBLES)
    assert wrong <= 0.01 * DOUBLES


def lost_sign() -> Survey:
    """The sheet of a car in inches whose tie-rod end lies 5 1/4 in behind the axle."""
    axle = truth("strut", 3)
    points = {key: place.copy() for key, place in axle.points.items()}
    points["tie_rod_outer"][:, 0] = -5.25 * 25.4
    return sheet_survey("strut", 3, INCH, replace(axle, points=points))


def typed(survey: Survey, reads: str) -> str:
    """Its file with `ahead` of the tie-rod end typed so."""
    at = next(at for at, one in enumerate(survey.readings) if str(one) == "ahead tie_rod_outer")
    text = as_file(put(survey, off(survey, at, lambda _: -5.25 * 25.4)), INCH)
    assert text.count('{ ahead = "tie_rod_outer", reads = "-5 1/4" }') == 1
    return text.replace('reads = "-5 1/4" }', f'reads = "{reads}" }}')


def test_a_lost_sign_is_told_and_no_right_reading_accused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """5 1/4 for -5 1/4 in one line of the sheet. The tape to the damper is as long both ways, so that of all 22
    readings to spare only the tie rod's length speaks against it; that length is right, and is not to be blamed."""
    monkeypatch.chdir(tmp_path)
    survey = lost_sign()
    Path("slip.toml").write_text(typed(survey, "5 1/4"), encoding="utf-8")
    assert main(["survey", "slip.toml", "car.toml"]) == 1
    told = " ".join(capsys.readouterr().out.split())
    (suspect,) = re.findall(r"SUSPECT (.*?) (?:WARNING|CAUTION)", told)

    assert suspect.startswith("no. 31 (ahead tie_rod_outer) was read as 5 1/4 in")
    assert "its sign is wrong" in suspect
    assert re.search(r"measure no\. 31 again: it would then read about -5 1/4 in", suspect)
    names = [str(one) for one in survey.readings if str(one) != "ahead tie_rod_outer"]
    assert [name for name in names if name in suspect] == []

    # Obeyed, the survey agrees, and the joint is where it is.
    Path("mended.toml").write_text(typed(survey, "-5 1/4"), encoding="utf-8")
    assert main(["survey", "mended.toml", "mended_car.toml"]) == 0
    points = read_car("mended_car.toml").front.points["tie_rod_outer"]
    assert np.abs(points[0] - survey.axle.points["tie_rod_outer"][0]).max() < 6.0


def test_where_two_explain_it_alike_neither_is_a_fact(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A height read twice, once 30 mm too low, and nothing else that sees it: whichever is wrong, all else agrees as
    well. Both are named with even chances, and the reading that decides is one of them; what each would then show is
    what one or the other read, for nothing else tells (formula)."""
    survey = read_survey_text(tmp_path, monkeypatch)
    (told,) = culprits(fit(survey))
    assert not told.sure
    assert told.decides is not None
    assert told.decides.name in ("up wheel_centre", "up wheel_centre (2nd)")
    # To within the doubts of both.
    assert sorted((told.decides.first, told.decides.other)) == pytest.approx([268.0, 298.0], abs=1.0)

    assert main(["survey", "twice.toml"]) == 1
    words = " ".join(capsys.readouterr().out.split())
    assert re.search(r"SUSPECT either no\. \d+ \(up wheel_centre", words)
    assert re.search(r"do not decide, so change none of them yet: measure no\. \d+ \(up wheel_centre", words)
    assert "misread by 30.0 mm" in words
    chances = {one.slip.of: one.chance_of_any for one in told.explanations}
    assert sorted(chances.values()) == pytest.approx([0.5, 0.5], abs=0.05)


def read_survey_text(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Survey:
    monkeypatch.chdir(tmp_path)
    points = truth("trailing arm", 1).points
    lines = [
        f'{{ {way} = "{key}", reads = {place[0, axis]:.1f} }},'
        for key, place in points.items()
        for axis, way in enumerate(("ahead", "out", "up"))
        if key != "wheel_centre"
    ]
    lines += ['{ out = "wheel_centre", reads = 730 },']
    lines += [f'{{ up = "wheel_centre", reads = {value} }},' for value in (298, 268)]
    Path("twice.toml").write_text(
        'name = "twice"\nunits = "mm"\n[rear]\nsuspension = "trailing arm"\nsides = "alike"\n'
        "wheel = { camber = -1.0, toe_in = 0.0 }\nreadings = [\n" + "\n".join(lines) + "\n]\n",
        encoding="utf-8",
    )
    return read_survey("twice.toml").surveys[0]


@pytest.mark.campaign
def test_taken_on_the_wrong_side() -> None:
    """With each side by itself: a tape of the left held to the right."""
    axle = truth("strut", 2, apart=True)
    points = {key: place.copy() for key, place in axle.points.items()}
    points["strut_low"][1, 1] -= 40.0
    axle = replace(axle, points=points)
    survey = read_off(survey_of(axle, apart=True, seed=None), axle, 4)
    at = next(at for at, one in enumerate(survey.readings) if str(one) == "out left strut_low")
    there = float(-axle.points["strut_low"][1, 1])
    told = culprits(fit(put(survey, off(survey, at, lambda _: there))))
    assert accused_first(told) == {at}
    assert "left strut_low" in culprit_words(told[0], MM)


def test_a_sign_lost_on_both_sides_is_one_slip() -> None:
    """The strut's top lies 45 mm behind the axle, its foot 12; who loses the top's minus on the left does so on the
    right. Only the strut's angle seen from the side speaks against it: that is right."""
    axle = truth("strut", 3)
    points = {key: place.copy() for key, place in axle.points.items()}
    points["strut_top"][:, 0], points["strut_low"][:, 0] = -45.0, -12.0
    survey = sheet_survey("strut", 3, axle=replace(axle, points=points))
    lost = {at for at, one in enumerate(survey.readings) if str(one) in ("ahead strut_top", "ahead right strut_top")}
    told = culprits(fit(put(survey, {at: one for of in lost for at, one in off(survey, of, np.negative).items()})))
    assert accused_first(told) == lost
    assert "both of their signs are wrong" in culprit_words(told[0], MM)
    assert [one for one in told if one.sure and not set(one.readings) <= lost] == []


@pytest.mark.campaign
@pytest.mark.parametrize("point", ["lower_ball_joint", "strut_low", "tie_rod_outer"])
def test_a_wrong_hole_read_again_is_still_a_wrong_hole(point: str) -> None:
    """All of a point by rule is of a place 30 mm away each way; `ahead`, read again, is of the same place."""
    survey = sheet_survey("strut", 7)
    own = [at for at, one in enumerate(survey.readings) if one.of == (point,) and one.kind in ("up", "out", "ahead")]
    slip = {at: new for of in own for at, new in off(survey, of, lambda value: value + 30.0).items()}
    wrong = put(survey, slip)
    again = next(one for one in slip.values() if one.kind == "ahead")
    assert again.reads is not None
    wrong = replace(wrong, readings=(*wrong.readings, replace(again, reads=again.reads + 1.0)))
    told = culprits(fit(wrong))
    assert accused_first(told) == {*own, len(survey.readings)}
    assert told[0].explanations[0].slip.cause is Cause.OTHER_HOLE
    # Read a third time it would say nothing new.
    assert all(one.decides is None or one.decides.name.split(" (")[0] != f"ahead {point}" for one in told)


def test_what_nobody_can_have_done_is_no_explanation(tmp_path: Path) -> None:
    """On a strut axle a level lies on the arm, the strut or the tie rod, whichever points are named; and a fraction was
    read off a tape in inches."""
    (tmp_path / "sheet.toml").write_text(as_file(sheet_survey("strut", 7, INCH), INCH), encoding="utf-8")
    found = fit(read_survey(tmp_path / "sheet.toml").surveys[0])
    state = State(found.survey, found.rows, found.solved)
    row_of = {of: row for of in range(len(found.survey.readings)) if (row := read_row(state, of)) >= 0}
    parts = [
        {"lower_ball_joint", "lower_pivot_front", "lower_pivot_rear"},
        {"strut_low", "strut_top"},
        {"tie_rod_outer", "tie_rod_inner"},
    ]
    meant = [new for idea in (*other_points(state, row_of), *exchanged_points(state)) for new in idea.new]
    levels = [{name.rpartition(" ")[2] for name in one.of} for one in meant if one.kind == "angle"]
    assert len(levels) > 2
    assert [ends for ends in levels if not any(ends <= part for part in parts)] == []
    units = [idea for idea in misread_values(state, row_of, INCH) if idea.slip.cause is Cause.OTHER_UNIT]
    in_mm = {idea.of[0] for idea in units if idea.slip.factor < 1.0}
    lengths = {of for of in row_of if found.survey.readings[of].kind != "angle"}
    assert in_mm == {of for of in lengths if "/" not in found.survey.readings[of].written}
    assert 0 < len(in_mm) < len(lengths)
