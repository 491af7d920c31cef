"""The doubt of springs, weights and body in chances and bands: closed forms, and cars drawn from files by another hand.

The chances take one plan on cars as they might be, shares and settled heights to first order; here each draw is a car
file of its own with other numbers in it, read, settled, balanced and judged as a car that somebody measured so.
"""

import math
import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

from kinematics import Car, judge, sweep_bump, sweep_roll
from kinematics.car.limits import Limit, Limits, WorkingRange
from kinematics.doubt.assessment import ALL_LIMITS, assess, perturbed_axles
from kinematics.doubt.axle_doubt import doubt_of
from kinematics.doubt.differences import plan_doubts
from kinematics.doubt.planned import plan_sureness
from kinematics.doubt.question import Question
from kinematics.doubt.solved_car import measure
from kinematics.finding.chances import tried
from kinematics.finding.checks import FEW_STEPS, checks_of
from kinematics.inputs.car.car_file import car_from
from kinematics.inputs.demo_cars import DEMO_CARS, demo_text
from kinematics.loads.balanced_share import with_balanced_shares
from kinematics.numbers.outer_share import within
from kinematics.planning.plans import Plan, carry_out
from reports.command_line import main
from tests.finding.planted import amount
from tests.plans.garage import change, plan
from tests.short_run import at_places

WAY = 1.959964  # JCGM 100:2008, table G.1, from memory
HARDLY = 'units = "mm"\nmeasured_to = 0.01'  # mm: points as good as exact, so that the rest is seen

# One standard deviation of each, in the demo car's file.
KNOWN = {
    "up": ("up = 520,", "up = {}, up_known_to = 15,", 520.0, 15.0),
    "wheelbase": ("wheelbase = 2560", "wheelbase = {}\nwheelbase_known_to = 8", 2560.0, 8.0),
    "front spring": ("rate = 34 ", "rate_known_to = 1.5\nrate = {} ", 34.0, 1.5),
    "rear spring": ("rate = 27", "rate_known_to = 1.0\nrate = {}", 27.0, 1.0),
    "front tyre": ("rate = 210  ", "rate_known_to = 15\nrate = {}  ", 210.0, 15.0),
}
BARE = demo_text(DEMO_CARS["rear-drive-saloon"])
BARE = re.sub(r"measured_to = 2.5.*", "", BARE).replace(", known_to = 5", "").replace('units = "mm"', HARDLY, 1)


def text_of(off: dict[str, float] | None = None) -> str:
    """The file with each number off by so many of its standard deviations, and how well it is known."""
    text = BARE
    for name, (old, new, value, known_to) in KNOWN.items():
        assert text.count(old) == 1, name
        text = text.replace(old, new.format(value + known_to * (off or {}).get(name, 0.0)))
    return text


def car_of(off: dict[str, float] | None = None) -> Car:
    return car_from(tomllib.loads(text_of(off)), "told")


def drawn_cars(count: int, seed: int) -> list[Car]:
    rng = np.random.default_rng(seed)
    texts = [text_of(dict(zip(KNOWN, rng.normal(size=len(KNOWN)).tolist(), strict=True))) for _ in range(count)]
    # Of these nobody says how well they are known.
    return [car_from(tomllib.loads(re.sub(r"\w*_known_to = [\d.]+,?", "", text)), "drawn") for text in texts]


CAR = car_of()
WORKING = WorkingRange(-20.0, 20.0, math.radians(1.5))
ROLLS = np.array([-WORKING.roll, WORKING.roll])


def test_anti_dive_by_wheelbase_and_height() -> None:
    """It goes as l / h: d ln = dl / l, and -(1 - u) dh / h of the whole car's h, of which a part u is unsprung
    (formula)."""
    study = assess(CAR.front, Question(), Limits(WORKING))
    assert study is not None
    body, first = CAR.body, study.first["ride height", "anti_dive"]
    part, up = body.unsprung
    relative = {
        "wheelbase": 8.0 / 2560.0,
        "centre of gravity's height": -(1.0 - part) * 15.0 / ((1.0 - part) * 520.0 + part * up),
    }
    for name, expected in relative.items():
        slope = first.slopes[study.doubt.sources.index(name)]
        assert slope / first.value == pytest.approx(np.full(first.value.shape, expected), rel=1e-9)
    for key in ("camber", "toe", "roll_centre_height"):
        own = study.first["ride height", key].slopes[len(study.axle.doubt.sources) :]  # type: ignore[union-attr]
        assert not own.any()


@pytest.mark.parametrize("name", at_places(["up", "front spring", "rear spring", "front tyre"], 0))
def test_the_balanced_share_by_files_with_other_numbers(name: str) -> None:
    """Half of what the shares of two cars differ by, each read from its own file and balanced by itself."""
    words = {
        "up": "centre of gravity's height",
        "front spring": "front spring rate",
        "rear spring": "rear spring rate",
        "front tyre": "front tyre rate",
    }
    limits = with_balanced_shares(Limits(WORKING), CAR)
    more, less = (with_balanced_shares(Limits(WORKING), car_of({name: off})) for off in (1.0, -1.0))
    for axle in ("front", "rear"):
        expected = (more.outer_share_by_axle[axle] - less.outer_share_by_axle[axle]) / 2.0
        assert limits.outer_share_known_to[axle].get(words[name], 0.0) == pytest.approx(expected, rel=0.03, abs=2e-5)


def test_the_force_weighted_height_by_the_share() -> None:
    """Both wheels' heights weighed by their parts: the height's slope by the share is what they differ by (formula).

    Read from sweeps with two stated shares; the right wheel is the outer one in positive roll.
    """
    limits = with_balanced_shares(Limits(WORKING), CAR)
    share = within(limits).of("front")
    study = assess(CAR.front, Question(roll=np.array([0.0, WORKING.roll]), outer_share=share), limits)
    assert study is not None
    first = study.first["roll", "force_weighted_height"]
    ends = []
    for stated in (share.stated + 0.01, share.stated - 0.01):
        other = Limits(WORKING, outer_share_by_axle={"front": stated})
        alone = assess(CAR.front, Question(roll=np.array([WORKING.roll]), outer_share=within(other).of("front")), other)
        assert alone is not None
        ends.append(float(alone["roll", "force_weighted_height"][0]))
    by_share = (ends[0] - ends[1]) / 0.02
    for name, known_to in limits.outer_share_known_to["front"].items():
        slope = first.slopes[study.doubt.sources.index(name)]
        assert slope[0] == pytest.approx(0.0, abs=1e-12)
        assert slope[1] == pytest.approx(by_share * known_to, rel=1e-6)


def limited_by(low: float, key: str, over: str) -> Limits:
    """The front axle held by one limit alone; those of usage are out of the way."""
    anywhere = [Limit(one, -1e4, 1e4, ("ride height",)) for one in ("roll_centre_height", "force_weighted_height")]
    own = Limit(key, low, 1e4, (over,))  # type: ignore[arg-type]
    return Limits(WORKING, {"front": (*(one for one in anywhere if one.key != key), own), "rear": ()})


def holds(car: Car, limits: Limits) -> bool:
    return all(one.holds for one in judge(car.front, with_balanced_shares(limits, car)))


@pytest.mark.campaign
def test_the_chance_of_a_height_in_roll(campaign: bool) -> None:
    """As `show`, `doubt` and `find` have it, against 40 cars read from files, or 150; four standard deviations of such
    a share are allowed (formula), and as many of the drawn cars of each."""
    share = with_balanced_shares(Limits(WORKING), CAR)
    study = assess(CAR.front, Question(roll=ROLLS, outer_share=within(share).of("front")), share)
    assert study is not None
    height = float(study["roll", "force_weighted_height"].min())
    bare = limited_by(height - 0.3, "force_weighted_height", "roll")
    limits = with_balanced_shares(bare, CAR)
    count, draws = (150, 600) if campaign else (40, 150)
    held = sum(holds(car, bare) for car in drawn_cars(count, 5)) / count
    assert 0.4 < held < 0.95
    first = measure(CAR, limits).chance
    drawn = assess(CAR.front, Question(), limits, draws=draws, seed=3)
    assert drawn is not None
    assert drawn.chances is not None
    found = tried(checks_of(CAR, limits, [amount("front", "ride height", [0.0])], FEW_STEPS), np.zeros(1), draws, 9)
    for chance, cars in ((first, 4000), (drawn.chances.holding[ALL_LIMITS], draws), (found.chance, draws)):
        assert chance is not None
        assert abs(chance - held) <= 4.0 * math.sqrt(held * (1.0 - held) * (1.0 / count + 1.0 / cars))


STIFFER = plan(change("spring rate", by=42.0), change("spring length", by=-12.0))


def settled_height(car: Car, one: Plan) -> float:
    (done,) = carry_out(car, [one])
    return float(sweep_bump(done["front"].axle, np.zeros(1))["roll_centre_height"][0])


@pytest.mark.campaign
def test_the_doubt_of_a_height_that_springs_set() -> None:
    """A stiffer spring lets the body sit where the scales and both rates say: the measured one's doubt moves it. By
    cars settled anew from their own files: the standard deviation of 60 is known to one part in the root of 120
    (formula), four of these are allowed; and the chance that the height stays over its middle value less 1 mm."""
    count = 60
    heights = np.array([settled_height(car, STIFFER) for car in drawn_cars(count, 8)])
    middle = settled_height(CAR, STIFFER)
    limits = limited_by(middle - 1.0, "roll_centre_height", "ride height")
    (_, found) = plan_doubts(CAR, CAR.front, [STIFFER], limits, draws=400, seed=2)
    first = float(found.value["roll_centre_height"].standard_deviation.reshape(-1)[0])
    assert first > 0.5
    assert first == pytest.approx(heights.std(ddof=1), rel=4.0 / math.sqrt(2 * count))
    held = float((heights >= middle - 1.0).mean())
    sure = plan_sureness(CAR, STIFFER, limits)
    assert sure.half_width["front"]["roll_centre_height"].reshape(-1)[0] == pytest.approx(WAY * first, rel=1e-6)
    for chance, cars in ((sure.chance, 4000), (found.holding[ALL_LIMITS], 400)):
        assert chance is not None
        assert abs(chance - held) <= 4.0 * math.sqrt(held * (1.0 - held) * (1.0 / count + 1.0 / cars))


@pytest.mark.campaign
def test_a_spring_that_is_taken_out_has_no_doubt_in_the_share() -> None:
    limits = with_balanced_shares(Limits(WORKING), CAR)
    assert "front spring rate" in limits.outer_share_known_to["front"]
    held = plan(change("spring rate", by=42.0), change("ride height", by=0.0))
    (_, kept) = plan_doubts(CAR, CAR.front, [held], limits, draws=2, seed=1)
    (_, settles) = plan_doubts(CAR, CAR.front, [STIFFER], limits, draws=2, seed=1)
    wide, narrow = (float(one.value["roll_centre_height"].standard_deviation.max()) for one in (settles, kept))
    assert wide > 3.0 * narrow  # a height that is held does not follow from springs


def test_one_and_some_of_many_cars_as_they_might_be() -> None:
    """Swept alone, or a few at once, a drawn car has the numbers that it has among all."""
    limits = with_balanced_shares(Limits(WORKING), CAR)
    doubt = doubt_of(CAR.front, limits)
    assert doubt is not None
    share = within(limits).of("front")
    cars = perturbed_axles(CAR.front, doubt, np.random.default_rng(4).normal(size=(5, len(doubt.sources))))
    together = sweep_roll(cars, ROLLS, outer_share=share)
    some, one = (sweep_roll(cars.variant(which), ROLLS, outer_share=share) for which in (slice(1, 4), 2))
    for key in ("anti_dive", "force_weighted_height"):
        assert np.ptp(together[key], axis=0).min() > 1e-6
        np.testing.assert_allclose(some[key], together[key][1:4], rtol=0.0, atol=1e-9)
        np.testing.assert_allclose(one[key], together[key][2], rtol=0.0, atol=1e-9)


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_what_is_counted_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("car.toml").write_text(text_of(), encoding="utf-8")
    line = (
        "Counted besides the points: how well centre of gravity's height, wheelbase, front spring rate, front tyre "
        "rate, rear spring rate are known"
    )
    main(["doubt", "car.toml", "--draws", "100"])
    assert line in " ".join(capsys.readouterr().out.split())
    main(["compare", "car.toml", "--change", "ride height", "-5", "--doubt", "--draws", "100"])
    assert line in " ".join(capsys.readouterr().out.split())
    main(["doubt", "car.toml", "--draws", "100", "--about", "anti_dive"])
    told = " ".join(capsys.readouterr().out.split())
    assert "centre of gravity's height" in told.partition("anti-dive")[2]
