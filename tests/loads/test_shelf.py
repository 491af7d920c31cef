"""What lies on the shelf: a batch is the same as one car at a time, ranked by what is wanted."""

import itertools
import math
import tomllib
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Car, InputFaultError
from kinematics.car.springs_and_bars import GRAVITY, STEEL_SHEAR, STEEL_YOUNG, Line
from kinematics.inputs.demo_cars import demo_car
from kinematics.inputs.plans.shelf_file import shelf_from
from kinematics.judging.verdict import judge
from kinematics.loads import shelf as shelf_module
from kinematics.loads.lean import degrees_per_g
from kinematics.loads.report import lean_numbers, lean_sheet, whole_car
from kinematics.loads.shelf import AS_FITTED, BarChoice, Ranking, Shelf, SpringChoice, Want, rank
from kinematics.loads.whole_car import WholeCar
from kinematics.planning.changes import Change
from kinematics.planning.plans import Plan, carry_out

SALOON = "rear_drive_saloon.toml"
# Both ways find the same balance by iteration to 1e-8 mm and mrad; a gradient is the difference of two over 1e-3 g,
# some 0.05 mrad: to about 1e-6 of it, were the last steps not far smaller.
SAME = 1e-6
FRONT_SPRINGS = (SpringChoice("stiff", 48.0), SpringChoice("soft and long", 30.0, 470.0))
REAR_SPRINGS = (SpringChoice("stiff", 38.0),)
FRONT_BARS = (BarChoice("none", 0.0), BarChoice("thick", 80.0))
SHELF = Shelf(FRONT_SPRINGS, REAR_SPRINGS, FRONT_BARS)


@cache
def saloon() -> WholeCar:
    return whole_car(demo_car(SALOON))


@cache
def ranked(want: Want | None = None) -> Ranking:
    return rank(saloon(), replace(SHELF, want=want or Want()))


def alone(names: tuple[str, str, str, str]) -> WholeCar:
    """The car with one combination fitted, put together without the shelf."""
    car = saloon()
    axles = {"front": car.front, "rear": car.rear}
    for axle, name, springs in (("front", names[0], FRONT_SPRINGS), ("rear", names[1], REAR_SPRINGS)):
        for spring in springs:
            if spring.name == name:
                setup = axles[axle]
                rate = np.full(2, spring.rate)
                # Packed to keep the ride height: the force is the same, the rate another.
                preload = setup.preload
                if spring.free_length is not None:
                    preload = rate * (spring.free_length - setup.measured)
                axles[axle] = replace(setup, rate=rate, preload=preload)
    for bar in FRONT_BARS:
        if bar.name == names[2]:
            axles["front"] = replace(axles["front"], bar=np.asarray(bar.rate))
    return replace(car, **axles)


def row(ranking: Ranking, *names: str) -> int:
    return ranking.names.index(tuple(names))  # type: ignore[arg-type]


class TestNumbers:
    def test_every_combination_is_there_once(self) -> None:
        places = [[AS_FITTED, *(one.name for one in choices)] for choices in (FRONT_SPRINGS, REAR_SPRINGS, FRONT_BARS)]
        expected = {(*names, AS_FITTED) for names in itertools.product(*places)}
        assert len(ranked().names) == len(expected) == 3 * 2 * 3
        assert set(ranked().names) == expected
        assert ranked().solved.all()

    @pytest.mark.campaign
    def test_a_batch_is_one_at_a_time(self) -> None:
        ranking = ranked()
        for i, names in list(enumerate(ranking.names))[::3]:
            numbers = lean_numbers(alone(names))
            assert ranking.gradient[i] == pytest.approx(numbers.gradient, rel=SAME), names
            assert ranking.front_share[i] == pytest.approx(numbers.front_share, rel=SAME), names

    @pytest.mark.campaign
    def test_as_fitted_is_the_lean_of_the_car(self) -> None:
        car = demo_car(SALOON)
        sheet = lean_sheet(car, car.limits.working)
        assert ranked().names[0] == (AS_FITTED,) * 4
        assert ranked().gradient[0] == pytest.approx(sheet.gradient, rel=SAME)
        assert ranked().front_share[0] == pytest.approx(sheet.front_share, rel=SAME)
        assert_allclose(ranked().rates[0, :2], [34.0, 27.0], rtol=0.0, atol=0.0)
        # The saloon's bar: 22 mm, 900 mm between arms of 210 mm; torsion and bending in series (formula).
        polar = math.pi * 22.0**4 / 32.0
        soft = 210.0**2 * 900.0 / (STEEL_SHEAR * polar) + 2.0 * 210.0**3 / (3.0 * STEEL_YOUNG * polar / 2.0)
        assert ranked().rates[0, 2] == pytest.approx(1.0 / soft, rel=1e-12)

    def test_packed_springs_keep_the_ride_height(self) -> None:
        ranking = ranked()
        told = [i for i, names in enumerate(ranking.names) if "soft and long" not in names]
        assert_allclose(ranking.heave[:, told], 0.0, rtol=0.0, atol=1e-6)

    def test_a_told_free_length_settles_as_a_plan_does(self) -> None:
        """Rate changed and length changed by the difference: the plan's ride height, to what its re-aligning does."""
        car = demo_car(SALOON)
        free = saloon().front.free_length
        assert np.ptp(free) < 3.0  # its scales differ from side to side, so the springs are not quite alike
        plan = Plan("both", (Change("front", "spring rate", by=30.0), Change("front", "spring length", by=4.0)))
        (done,) = carry_out(car, [plan])
        choice = Shelf(front_springs=(SpringChoice("told", 30.0, float(free.mean()) + 4.0),))
        ranking = rank(saloon(), choice)
        i = row(ranking, "told", AS_FITTED, AS_FITTED, AS_FITTED)
        # The plan keeps two unlike free lengths, the shelf sells a pair alike: the mean is the same but for the
        # motion ratios of left and right, half a hundredth apart, times a millimetre or two.
        assert ranking.heave[0, i] == pytest.approx(done["front"].raised, abs=0.02)
        assert abs(done["front"].raised) > 3.0

    @pytest.mark.campaign
    @pytest.mark.parametrize("block", [1, 5])
    def test_blocks_change_nothing(self, block: int, monkeypatch: pytest.MonkeyPatch) -> None:
        whole = ranked()
        monkeypatch.setattr(shelf_module, "_BLOCK", block)
        parts = rank(saloon(), SHELF)
        for i, names in enumerate(parts.names):
            j = row(whole, *names)
            # Iterations end together in a block, so the last step may be taken or not; each is below 1e-8.
            assert parts.gradient[i] == pytest.approx(whole.gradient[j], rel=SAME)
            assert parts.front_share[i] == pytest.approx(whole.front_share[j], rel=SAME)
            assert_allclose(parts.heave[:, i], whole.heave[:, j], rtol=0.0, atol=1e-7)
            assert_allclose(parts.rates[i], whole.rates[j], rtol=0.0, atol=0.0)

    def test_gradient_is_in_degrees_per_g(self) -> None:
        """A degree of lean at 1 m/s^2 is 9.80665 of them at 1 g (formula)."""
        assert degrees_per_g(math.radians(1.0), GRAVITY) == pytest.approx(9.80665, rel=1e-12)


class TestFacts:
    """Common practice, no source."""

    def test_a_thicker_front_bar_and_stiffer_springs(self) -> None:
        ranking = ranked()
        as_is, no_bar, thick = (
            row(ranking, AS_FITTED, AS_FITTED, bar, AS_FITTED) for bar in (AS_FITTED, "none", "thick")
        )
        assert ranking.gradient[no_bar] > ranking.gradient[as_is] > ranking.gradient[thick]
        assert ranking.front_share[no_bar] < ranking.front_share[as_is] < ranking.front_share[thick]
        rear = row(ranking, AS_FITTED, "stiff", AS_FITTED, AS_FITTED)
        assert ranking.front_share[rear] < ranking.front_share[as_is]
        assert ranking.gradient[rear] < ranking.gradient[as_is]


class TestRanking:
    @pytest.mark.parametrize(
        "want",
        [
            Want(gradient=(2.4, 2.8)),
            Want(front_share=(0.55, 0.58)),
            Want(gradient=(-math.inf, 2.5), front_share=(0.5, 0.62), height=3.0),
            Want(height=0.001),
        ],
    )
    def test_sorted_by_how_far_off(self, want: Want) -> None:
        ranking = ranked(want)
        assert (np.diff(ranking.outside[1:]) >= 0.0).all()
        assert set(ranking.names) == set(ranked().names)
        assert ranking.names[0] == (AS_FITTED,) * 4
        for i in range(len(ranking.names)):
            held = (
                want.gradient[0] <= ranking.gradient[i] <= want.gradient[1]
                and want.front_share[0] <= ranking.front_share[i] <= want.front_share[1]
                and bool((np.abs(ranking.heave[:, i]) <= want.height).all())
            )
            assert (ranking.outside[i] == 0.0) == held
        assert 0 < (ranking.outside == 0.0).sum() < len(ranking.names)

    def test_numbers_stay_with_their_names(self) -> None:
        """Sorting by one thing and by another leaves each combination its numbers."""
        one, other = ranked(Want(gradient=(2.0, 2.1))), ranked(Want(gradient=(3.4, 3.5)))
        assert one.names != other.names
        for i, names in enumerate(one.names):
            j = row(other, *names)
            assert (one.gradient[i], one.front_share[i]) == (other.gradient[j], other.front_share[j])
            assert tuple(one.rates[i]) == tuple(other.rates[j])
            assert tuple(one.heave[:, i]) == tuple(other.heave[:, j])

    def test_missed_by_half_a_range(self) -> None:
        gradient = float(ranked().gradient[0])
        assert ranked(Want(gradient=(gradient + 0.2, gradient + 0.6))).outside[0] == pytest.approx(0.5, rel=1e-9)
        assert ranked(Want(gradient=(gradient - 0.6, gradient - 0.2))).outside[0] == pytest.approx(0.5, rel=1e-9)

    def test_among_those_that_hold_the_middle_comes_first(self) -> None:
        want = Want(gradient=(0.0, 10.0))
        off = np.abs(ranked(want).gradient - 5.0)[1:]
        assert (ranked(want).outside == 0.0).all()
        assert (np.diff(off) >= 0.0).all()

    @pytest.mark.campaign
    def test_what_finds_no_balance_comes_last(self) -> None:
        """A spring shorter than the room between its seats carries nothing: with no stop behind, the body falls."""
        springs = (SpringChoice("too short", 30.0, 150.0), SpringChoice("sound", 30.0))
        ranking = rank(saloon(), Shelf(rear_springs=springs, want=Want(gradient=(0.1, 0.2))))
        assert ranking.names[-1][1] == "too short"
        assert not ranking.solved[-1]
        assert ranking.solved[:-1].all()
        assert np.isinf(ranking.outside[-1])


class TestLimits:
    """Limits that ask for the ride height are held at the one that each combination gives."""

    FREE = Shelf(
        front_springs=(SpringChoice("longer", 34.0, 500.0), SpringChoice("shorter", 34.0, 430.0)),
        rear_springs=(SpringChoice("much longer", 27.0, 350.0),),
    )

    def test_missed_as_the_verdict_on_a_car_of_that_height(self) -> None:
        """The car put at the height by a plan, and judged: as many limits fail at ride height.

        A plan sets toe back, which moves roll centres by less than a millimetre; no limit is that near.
        """
        car = demo_car(SALOON)
        ranking = rank(saloon(), self.FREE, car.limits)
        assert len(set(ranking.missed)) > 1
        for i in range(len(ranking.names)):
            heights = (Change(axle.name, "ride height", by=ranking.heave[j, i]) for j, axle in enumerate(car.axles))
            (done,) = carry_out(car, [Plan("at that height", tuple(heights))])
            findings = [one for axle in car.axles for one in judge(done[axle.name].axle, car.limits)]
            failed = {(one.axle, one.limit.key) for one in findings if one.over == "ride height" and not one.holds}
            assert ranking.missed[i] == len(failed), ranking.names[i]

    def test_each_one_missed_counts_as_a_whole_range(self) -> None:
        car = demo_car(SALOON)
        want = Want(gradient=(2.0, 2.4))
        held = rank(saloon(), replace(self.FREE, want=want), car.limits)
        free = rank(saloon(), replace(self.FREE, want=want))
        assert (free.missed == 0).all()
        assert held.missed.max() > 0
        for i, names in enumerate(held.names):
            assert held.outside[i] - held.missed[i] == pytest.approx(free.outside[row(free, *names)], abs=1e-9)
        assert (np.diff(held.outside[1:]) >= 0.0).all()


SPRING = '[[front_spring]]\nname = "a"\nrate = 40\n'


def read(text: str, car: Car | None = None, units: str = "mm") -> Shelf:
    return shelf_from(tomllib.loads(f'units = "{units}"\n{text}'), "shelf.toml", car or demo_car(SALOON))


def told(text: str, car: Car | None = None) -> str:
    with pytest.raises(InputFaultError) as caught:
        read(text, car)
    said = str(caught.value)
    assert "shelf.toml" in said
    return said


class TestFile:
    def test_read_in_mm(self) -> None:
        text = "[want]\nroll_gradient = { to = 2.2 }\nride_height = 6\n" + SPRING
        text += '[[rear_spring]]\nname = "b"\nrate = 30\nfree_length = 320\n[[front_bar]]\nname = "c"\nrate = 55\n'
        found = read(text)
        assert found.front_springs == (SpringChoice("a", 40.0),)
        assert found.rear_springs == (SpringChoice("b", 30.0, 320.0),)
        assert found.front_bars == (BarChoice("c", 55.0),)
        assert found.rear_bars == ()
        assert found.want == Want((-math.inf, 2.2), height=6.0)

    def test_read_in_inches(self) -> None:
        """1 lb/in is 0.45359237 kg times 9.80665 m/s^2 over 25.4 mm (formula, exact by definition)."""
        text = '[[front_spring]]\nname = "a"\nrate = 250\nfree_length = 16\n[[front_bar]]\nname = "c"\nrate = 300\n'
        found = read("[want]\nride_height = 0.25\n" + text, units="in")
        per_inch = 0.45359237 * 9.80665 / 25.4
        assert found.front_springs[0].rate == pytest.approx(250.0 * per_inch, rel=1e-12)
        assert found.front_springs[0].free_length == pytest.approx(406.4, rel=1e-12)
        assert found.front_bars[0].rate == pytest.approx(300.0 * per_inch, rel=1e-12)
        assert found.want.height == pytest.approx(6.35, rel=1e-12)

    def test_a_bar_by_its_sizes(self) -> None:
        """Torsion alone is stiffer than torsion and bending; a tube is as the difference of two solid bars."""
        sizes = "diameter = 24\nlength = 900\narm = 210\n"
        solid, tube = (
            read(f'[[front_bar]]\nname = "c"\n{sizes}{inner}').front_bars[0].rate
            for inner in ("", "inner_diameter = 16\n")
        )
        torsion = STEEL_SHEAR * math.pi * 24.0**4 / 32.0 / (210.0**2 * 900.0)
        assert 0.7 * torsion < solid < torsion
        assert tube / solid == pytest.approx(1.0 - (16.0 / 24.0) ** 4, rel=1e-12)

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ("", ["nothing on the shelf", "[[front_spring]]"]),
            ("[want]\nride_height = 5\n", ["nothing on the shelf"]),
            ('[[front_bar]]\nname = "c"\n', ["front_bar 1", "missing: diameter, length, arm"]),
            ('[[front_bar]]\nname = "c"\ndiameter = 20\narm = 200\n', ["front_bar 1", "missing: length"]),
            (
                '[[front_bar]]\nname = "c"\ndiameter = 20\narm = 200\nlength = 900\ninner_diameter = 20\n',
                ["front_bar 1.inner_diameter", "read 20", "less than the diameter 20"],
            ),
            ('[[rear_bar]]\nname = "c"\nrate = 20\n', ["rear_bar 1", "the car has no [rear.bar]"]),
            ('[[front_spring]]\nname = "a"\nrate = -40\n', ["front_spring 1", "rate", "read -40", "above 0"]),
            ('[[front_spring]]\nname = "a"\n', ["front_spring 1", "rate"]),
            ("[[front_spring]]\nrate = 40\n", ["front_spring 1", "name"]),
            ('[[front_spring]]\nname = "a"\nrate = "stiff"\n', ["front_spring 1", "rate", "stiff"]),
            ('[[front_springs]]\nname = "a"\nrate = 40\n', ["front_springs", "did you mean front_spring"]),
            ("[want]\nroll_gradient = { from = 3, to = 2 }\n" + SPRING, ["want.roll_gradient", "from 3 to 2"]),
            ("[want]\nfront_share = { from = 0.5, too = 0.6 }\n" + SPRING, ["want.front_share.too", "not known"]),
            ("[want]\nride_height = -3\n" + SPRING, ["want.ride_height", "-3"]),
        ],
    )
    def test_faults(self, text: str, says: list[str]) -> None:
        said = told(text)
        for words in says:
            assert words in said

    def test_too_many_combinations(self) -> None:
        """27 springs a side and 27 bars, with what is fitted 28 of each: 28 cubed is 21952."""
        shelves = ("front_spring", "rear_spring", "front_bar")
        text = "".join(f'[[{shelf}]]\nname = "{i}"\nrate = {20 + i}\n' for shelf in shelves for i in range(27))
        assert "21952 combinations; at most 20000 are allowed" in told(text)

    def test_a_name_that_means_what_is_fitted(self) -> None:
        """Such a spring would be taken for the fitted one, whatever its rate."""
        assert "name" in told(f'[[front_spring]]\nname = "{AS_FITTED}"\nrate = 90\n')

    def test_a_car_of_one_axle(self) -> None:
        car = demo_car(SALOON)
        one: Any = replace(car, axles=car.axles[:1])
        with pytest.raises((InputFaultError, ValueError), match="both axles"):
            self.ranked_for(one)

    @staticmethod
    def ranked_for(car: Car) -> Ranking:
        shelf = read(SPRING, car)
        return rank(whole_car(car), shelf)

    def test_a_free_length_means_nothing_beside_a_motion_ratio(self) -> None:
        """The car does not tell how long its springs are: refused, or settled from how far they are pressed."""
        car = demo_car(SALOON)
        loads = car.front.loads
        assert loads is not None
        by_ratio = replace(loads, spring=replace(loads.spring, line=Line(ratio=0.97)))
        axles = (replace(car.front, loads=by_ratio), car.rear)
        text = '[[front_spring]]\nname = "a"\nrate = 34\nfree_length = 400\n'
        with pytest.raises(InputFaultError, match="free_length"):
            read(text, replace(car, axles=axles))
