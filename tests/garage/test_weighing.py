"""Where a car's weight is, from scales under its wheels, against point masses whose place is known.

Loads on the pads are worked out by moments of the masses about the ground contacts, the car turned as a rigid body
until its raised wheels stand so high (formula: statics). The textbook's formula for wheels of one radius, height = r +
wheelbase (raised - level) / (mass tan(angle)), is found in books on vehicle dynamics (from memory).
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from kinematics.inputs.demo_cars import DEMO_CARS, demo_car
from kinematics.weighing.centre_of_gravity import (
    FRONT,
    REAR,
    Added,
    Raised,
    Weighing,
    ready_to_race,
    weighed,
)
from kinematics.weighing.for_the_car import sprung_mass

BASE = 2510.0
TRACKS = np.array([1460.0, 1432.0])
# Mass [kg], ahead of the front wheel centres, to the left, up [mm].
MASSES = np.array([[420.0, -180.0, 15.0, 480.0], [330.0, -2050.0, -30.0, 410.0], [140.0, -1300.0, 20.0, 900.0]])
RADII = ((300.0, 300.0), (285.0, 318.0), (312.0, 290.0))


def axle_loads(masses: np.ndarray, radii: tuple[float, float], lift: float, end: int) -> tuple[float, float]:
    """What the front and the rear pads show of masses, one end raised by a lift."""
    front, rear = radii

    def turned(angle: float, x: np.ndarray, z: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return x * math.cos(angle) + z * math.sin(angle), z * math.cos(angle) - x * math.sin(angle)

    def off(angle: float) -> float:
        _, hubs = turned(angle, np.array([0.0, -BASE]), np.array([front, rear]))
        return float((hubs[1] - rear) - (hubs[0] - front)) - (lift if end == REAR else -lift)

    angle = brentq(off, -1.0, 1.0, xtol=1e-14)
    hubs, _ = turned(angle, np.array([0.0, -BASE]), np.array([front, rear]))
    along, _ = turned(angle, masses[:, 1], masses[:, 3])
    on_front = float(masses[:, 0] @ (along - hubs[1])) / float(hubs[0] - hubs[1])
    return on_front, float(masses[:, 0].sum()) - on_front


def weighing(
    masses: np.ndarray = MASSES, radii: tuple[float, float] = RADII[0], lift: float = 400.0, end: int = REAR
) -> Weighing:
    """What the scales show of masses, level and raised; the moment in roll shared by the axles as they are laden."""
    level, raised = axle_loads(masses, radii, 0.0, REAR), axle_loads(masses, radii, lift, end)
    aside = float(masses[:, 0] @ masses[:, 2]) / masses[:, 0].sum()
    loads = np.array([[one * (0.5 + aside / t), one * (0.5 - aside / t)] for one, t in zip(level, TRACKS, strict=True)])
    low = raised[1 - end] * np.array([0.5, 0.5])
    return Weighing(loads, BASE, TRACKS, 0.5, 3.0, Raised(end, lift, low, np.array(radii)))


def middle(masses: np.ndarray) -> np.ndarray:
    return np.asarray(masses[:, 0] @ masses[:, 1:] / masses[:, 0].sum())


@pytest.mark.parametrize("end", [FRONT, REAR], ids=["front raised", "rear raised"])
@pytest.mark.parametrize("radii", RADII)
def test_the_place_of_known_masses(radii: tuple[float, float], end: int) -> None:
    found = weighed(weighing(radii=radii, end=end)).values
    ahead, out, up = middle(MASSES)
    assert found["total"].value == pytest.approx(MASSES[:, 0].sum(), rel=1e-12)
    assert found["behind_front"].value == pytest.approx(-ahead, abs=1e-8)
    assert found["aside"].value == pytest.approx(out, abs=1e-8)
    assert found["up"].value == pytest.approx(up, abs=1e-7)


def test_the_height_by_the_textbook() -> None:
    read = weighing()
    assert read.raised is not None
    total, on_front = read.load.sum(), read.load[FRONT].sum()
    tangent = math.tan(math.asin(read.raised.by / BASE))
    expected = RADII[0][0] + BASE * (read.raised.low.sum() - on_front) / (total * tangent)
    assert weighed(read).values["up"].value == pytest.approx(expected, abs=1e-9)


def test_shares_and_cross_weight_of_level_pads() -> None:
    load = np.array([[290.0, 285.0], [265.0, 260.0]])
    found = weighed(Weighing(load, BASE, TRACKS, 0.5, 3.0)).values
    assert found["front_share"].value == pytest.approx(575.0 / 1100.0)
    assert found["left_share"].value == pytest.approx(555.0 / 1100.0)
    assert found["cross_weight"].value == pytest.approx(550.0 / 1100.0)
    assert found["behind_front"].value == pytest.approx(BASE * 525.0 / 1100.0)
    assert found["aside"].value == pytest.approx((0.5 * TRACKS @ [5.0, 5.0]) / 1100.0)
    assert "up" not in found


def test_doubt_by_drawing_at_random() -> None:
    """Half of the 95 % interval against 20,000 weighings with errors of their own (JCGM 101, the method)."""
    read, draws, random = weighing(), 20_000, np.random.default_rng(5)
    assert read.raised is not None
    found = weighed(read).values
    drawn: dict[str, list[float]] = {key: [] for key in found}
    for _ in range(draws // 10):
        pads, lengths, lift = random.normal(size=6) * 0.5, random.normal(size=3) * 3.0, random.normal(size=3) * 2.0
        raised = replace(
            read.raised, low=read.raised.low + pads[4:], by=read.raised.by + lift[0], radii=read.raised.radii + lift[1:]
        )
        one = replace(
            read,
            load=read.load + pads[:4].reshape(2, 2),
            wheelbase=BASE + lengths[0],
            tracks=TRACKS + lengths[1:],
            raised=raised,
        )
        for key, known in weighed(one).values.items():
            drawn[key].append(known.value)
    for key, known in found.items():
        # A standard deviation of 2,000 draws is itself uncertain by 1.6 % (formula: one over sqrt(2 n)).
        assert known.either_way_95 == pytest.approx(1.96 * np.std(drawn[key]), rel=0.07), key


def test_what_is_added_and_taken_out() -> None:
    """A driver added to the car without him is the car with him, and taken out again the one without."""
    driver = Added("driver", 140.0, -1300.0, 20.0, 900.0)
    without, whole = weighing(MASSES[:2]), weighing()
    racing = ready_to_race(replace(without, added=(driver,)))
    for key in ("total", "front_share", "behind_front", "aside", "up"):
        assert racing.values[key].value == pytest.approx(weighed(whole).values[key].value, rel=1e-9), key
    assert racing.load.sum(axis=1) == pytest.approx(whole.load.sum(axis=1))
    back = ready_to_race(replace(whole, added=(replace(driver, mass=-140.0),)))
    for key, known in weighed(without).values.items():
        if key not in ("left_share", "cross_weight"):  # what wheels share across is a choice
            assert back.values[key].value == pytest.approx(known.value, rel=1e-9), key
    for key in ("left_share", "cross_weight"):
        load = racing.load
        by_hand = {"left_share": load[:, 0].sum(), "cross_weight": load[0, 1] + load[1, 0]}[key] / load.sum()
        assert racing.values[key].value == pytest.approx(by_hand, rel=1e-12)


def test_the_sprung_mass_of_a_car() -> None:
    """Unsprung masses at the hubs and one sprung mass make the whole: taken apart again it is where it was put."""
    car = demo_car(DEMO_CARS["rear-drive-saloon"])
    base = car.body.wheelbase
    assert base is not None
    unsprung = [(2 * 36.0, 0.0, 300.0), (2 * 60.0, -base, 302.0)]  # as its file has them
    rows = np.array([[mass, x, 0.0, z] for mass, x, z in [*unsprung, (908.0, -1100.0, 540.0)]])
    ahead, _, up = middle(rows)
    load = np.full((2, 2), 0.25 * rows[:, 0].sum())
    found = weighed(Weighing(load, base, TRACKS, 0.5, 3.0))
    values = {
        **found.values,
        "behind_front": replace(found.values["behind_front"], value=-ahead),
        "up": replace(found.values["aside"], value=up),
    }
    sprung = sprung_mass(replace(found, values=values), car)
    assert sprung is not None
    assert sprung.behind_front == pytest.approx(1100.0, abs=1e-9)
    assert sprung.up == pytest.approx(540.0, abs=1e-9)
