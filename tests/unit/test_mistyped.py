"""Entries of a car file mistyped on purpose, on random cars of every type: which are named, and how often wrongly.

Cars are drawn here, and not as the tables of `usual_cars` have it: each coordinate evenly up to 15 mm off the type's
invented car, to the millimetre, both sides alike or each its own. Slips: a sign of `ahead`, two digits exchanged, ten
times or a tenth, inches for millimetres or the reverse. What the reader refuses anyhow is left out.
"""

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy import stats

from kinematics import Axle, sweep_bump
from kinematics.car.lengths import INCH, MM, LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.plausibility import implausible
from kinematics.judging.suspicious import Oddity, suspicious
from kinematics.judging.usual_cars import tailed
from reports.words.suspicious import oddity_words
from solvers.vectors import Array
from tests.properties.plausible_cars import APART, KINDS, MIRROR, typical_axle

WAYS = ("ahead", "out", "up")
SHORT, LONG = 4, 60  # of each type
GROSS = 150.0  # mm


def told(axle: Axle, unit: LengthUnit = MM) -> list[Oddity]:
    return suspicious(sweep_bump(axle, np.zeros(1)), unit)


def drawn(kind: SuspensionType, rng: np.random.Generator, *, alike: bool) -> Axle:
    axle, sides = typical_axle(kind), 1 if alike else 2
    points = {}
    for key, point in axle.points.items():
        size = 4.0 if key.startswith("watt") or kind.listed else APART
        off = rng.uniform(-size, size, (sides, 3))
        points[key] = np.round(point + (off[:1] if key in kind.single else off * np.array([[1.0, 1.0, 1.0], MIRROR])))
    middle, spread = (0.0, 0.5) if kind.whole_axle else (-1.5, 2.5)
    camber = np.round(middle + spread * rng.uniform(-1.0, 1.0, sides), 1) + np.zeros(2)
    toe = np.round(0.5 * rng.uniform(-1.0, 1.0, sides), 2) + np.zeros(2)
    return replace(axle, points=points, camber=np.radians(camber), toe=np.radians(toe))


def _digits(value: float, rng: np.random.Generator) -> float:
    written = f"{abs(value):.0f}"
    place = int(rng.integers(max(len(written) - 1, 1)))
    turned = written[:place] + written[place : place + 2][::-1] + written[place + 2 :]
    return float(np.copysign(float(turned), value))


SLIPS: dict[str, Callable[[float, np.random.Generator], float]] = {
    "sign": lambda value, _: -value,
    "digits": _digits,
    "ten": lambda value, rng: float(value * rng.choice([10.0, 0.1])),
    "inch": lambda value, rng: float(value * rng.choice([INCH.in_mm, 1.0 / INCH.in_mm])),
}


@dataclass(frozen=True)
class Planted:
    axle: Axle
    entry: tuple[str, str]
    by: float


def planted(kind: SuspensionType, slip: str, rng: np.random.Generator) -> Planted | None:
    """A car with one entry mistyped; None where that changes nothing, or the file would be refused."""
    alike = bool(rng.random() < 0.6)
    axle = drawn(kind, rng, alike=alike)
    key, column = str(rng.choice(kind.keys)), 0 if slip == "sign" else int(rng.integers(3))
    place: Array = axle.points[key].copy()
    read = SLIPS[slip](float(place[0, column]), rng)
    by = abs(read - float(place[0, column]))
    place[0, column] = read
    if alike or key in kind.single:
        place[1, column] = read * (1.0 if key in kind.single else MIRROR[column])
    wrong = replace(axle, points={**axle.points, key: place})
    if by < 1.0 or (kind.keys.index(key), column) == (0, 0) or implausible(wrong, MM, (None, None)):
        return None
    return Planted(wrong, (key, WAYS[column]), by)


def outcomes(cars: int, seed: int) -> Iterator[tuple[str, str, float]]:
    """Each planted slip's kind, what became of it, and how far it moves a point [mm]."""
    for number, kind in enumerate(KINDS):
        rng = np.random.default_rng([seed, number])
        for count in range(cars):
            slip = list(SLIPS)[count % len(SLIPS)]
            one = planted(kind, slip, rng)
            if one is not None:
                found = told(one.axle)
                named = [(each.entry, each.way) for each in found[0].slips] if found else []
                fate = "right" if one.entry in named else "wrong" if named else "odd" if found else "nothing"
                yield slip, fate, one.by


def test_what_is_mistyped_is_named_and_hardly_ever_wrongly(campaign: bool) -> None:
    """Of planted slips under 2 % are named wrongly; of those beyond 150 mm seven in eight are told, most by name."""
    every = list(outcomes(LONG if campaign else SHORT, 1))
    fates = Counter(fate for _, fate, _ in every)
    gross = Counter(fate for _, fate, by in every if by > GROSS)
    assert 50 * fates["wrong"] < len(every), fates
    assert 8 * gross["nothing"] < gross.total(), gross
    assert 4 * gross["right"] > 3 * gross.total(), gross
    for slip in SLIPS:
        assert any(fate == "right" for which, fate, _ in every if which == slip), slip


@pytest.mark.campaign
def test_of_plausible_cars_not_one_in_a_hundred_is_told_anything(campaign: bool) -> None:
    cars = LONG if campaign else SHORT
    said = []
    for number, kind in enumerate(KINDS):
        rng = np.random.default_rng([2, number])
        found = [told(drawn(kind, rng, alike=count % 2 == 0)) for count in range(cars)]
        said += [oddity_words(one, MM) for one in found if one]
    assert 100 * len(said) <= len(KINDS) * cars, said


def test_tails_are_those_of_student() -> None:
    spreads = np.linspace(-12.0, 12.0, 25)
    density = stats.t(df=8.0)
    assert np.allclose(tailed(spreads), density.logpdf(0.0) - density.logpdf(spreads), rtol=1e-12)


def moved(name: str, **ahead_out_up: tuple[float, float, float]) -> Axle:
    """A type's invented car with points of both sides moved [mm]."""
    axle = typical_axle(SUSPENSIONS[name])
    points = {key: axle.points[key] + np.array(by) * [[1.0, 1.0, 1.0], MIRROR] for key, by in ahead_out_up.items()}
    return replace(axle, points={**axle.points, **points})


@pytest.mark.parametrize(
    ("axle", "says"),
    [
        (moved("double wishbone", tie_rod_inner=(0, 0, 100)), "bump steer"),
        (
            moved("double wishbone", lower_pivot_front=(0, 0, 75), lower_pivot_rear=(0, 0, 75)),
            "roll-centre height",
        ),
    ],
)
def test_what_the_whole_linkage_makes_is_told(axle: Axle, says: str) -> None:
    assert says in " ".join(oddity_words(told(axle), MM))


# Invented cars of other builds (common practice, no source): (ahead, out, up) of the points that differ from the type.
BUILDS: dict[str, tuple[str, dict[str, tuple[float, float, float]]]] = {
    "upper arm above the tyre": (
        "double wishbone",
        {
            "upper_ball_joint": (-20, 650, 660),
            "upper_pivot_front": (90, 430, 640),
            "upper_pivot_rear": (-120, 430, 630),
        },
    ),
    "single-seater, steered ahead of the axle": (
        "double wishbone",
        {
            "wheel_centre": (0, 700, 250),
            "lower_ball_joint": (5, 640, 150),
            "lower_pivot_front": (200, 180, 160),
            "lower_pivot_rear": (-200, 180, 158),
            "upper_ball_joint": (-10, 620, 350),
            "upper_pivot_front": (150, 220, 330),
            "upper_pivot_rear": (-180, 220, 325),
            "tie_rod_outer": (110, 640, 200),
            "tie_rod_inner": (110, 180, 202),
        },
    ),
    "tie rods in the middle, high": ("strut", {"tie_rod_outer": (-150, 600, 420), "tie_rod_inner": (-150, 100, 430)}),
    "arm swept back": ("strut", {"lower_pivot_front": (8, 350, 190), "lower_pivot_rear": (-340, 330, 185)}),
    "arm swept ahead": ("strut", {"lower_pivot_front": (330, 350, 190), "lower_pivot_rear": (-10, 330, 185)}),
    "small car": (
        "strut",
        {
            "wheel_centre": (0, 640, 250),
            "lower_ball_joint": (5, 600, 160),
            "lower_pivot_front": (10, 300, 170),
            "lower_pivot_rear": (-250, 310, 170),
            "strut_top": (-25, 500, 700),
            "strut_low": (0, 555, 360),
            "tie_rod_outer": (-110, 590, 200),
            "tie_rod_inner": (-110, 290, 205),
        },
    ),
    "lowered far": (
        "strut",
        {
            "strut_top": (-30, 560, 740),
            "lower_pivot_front": (118, 352, 110),
            "lower_pivot_rear": (-196, 352, 112),
            "tie_rod_inner": (-128, 330, 145),
        },
    ),
    "rod ahead of the axle, tall tyres": (
        "live axle with three links",
        {
            "wheel_centre": (0, 750, 390),
            "lower_link_axle": (0, 430, 330),
            "lower_link_chassis": (900, 400, 420),
            "upper_link_axle": (-10, 100, 560),
            "upper_link_chassis": (700, 100, 560),
            "panhard_axle": (100, 500, 430),
            "panhard_chassis": (100, -420, 450),
        },
    ),
}


@pytest.mark.parametrize("build", BUILDS)
def test_cars_built_otherwise_are_told_nothing(build: str) -> None:
    name, places = BUILDS[build]
    axle = typical_axle(SUSPENSIONS[name])
    points = {
        key: np.array(place) * np.array([[1.0, 1.0, 1.0], np.ones(3) if key in axle.suspension.single else MIRROR])
        for key, place in places.items()
    }
    built = replace(axle, points={**axle.points, **points})
    assert implausible(built, MM, (None, None)) == []
    assert oddity_words(told(built), MM) == []
