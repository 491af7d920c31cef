"""Where springs, packing and ballast let a car sit: hand calculation, energy, and what must come to the same.

Formulae are worked out beside their tests: a spring carries F = k times how far it is pressed, and the body moves by
the spring's way over the motion ratio.
"""

import tomllib
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.interpolate import CubicSpline
from scipy.optimize import minimize_scalar

from kinematics import Axle, Car, InputFaultError, sweep_bump
from kinematics.car.fittings import Body
from kinematics.car.lengths import MM
from kinematics.car.springs_and_bars import GRAVITY, AxleLoads, Bar, Line
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.demo_cars import demo_car
from kinematics.inputs.plans.plan_file import plans_from
from kinematics.loads.equilibrium import balance
from kinematics.loads.setup import calibrated
from kinematics.motion.moving_axle import moving
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import CHANGES, LOAD_CHANGES, Change
from kinematics.planning.comparison import compare
from kinematics.planning.plans import Plan, carry_out
from kinematics.planning.settling import Rigged, rigged
from reports.words.plans import refusal_words
from tests.loads import invented_loads as invented
from tests.plans.garage import LEFT_ONLY
from tests.short_run import at_places

# A balance is iterated to steps of 1e-8 mm, on wheels that move straight up and down.
BALANCED = 1e-6  # mm
# A hub 330 mm up on a body that pitches by 30 mm over 2560 comes down by its cosine, 0.02 mm, left out by hand.
PITCHED = 0.025  # mm
RATE, RATIO, CORNER, UNSPRUNG, TYRE = 30.0, 0.8, 265.0, 60.0, 200.0  # N/mm, -, kg, kg, N/mm
CARRIED = (CORNER - UNSPRUNG) * GRAVITY / RATIO  # N in each spring at rest
BODY = Body(centre_of_gravity=520.0, behind_front=1280.0, wheelbase=2560.0, front_brakes=0.65, front_drive=0.0)
STRAIGHT = "live axle with triangulated links"  # alike on both sides: in heave its wheels go straight up
SALOON = "rear_drive_saloon.toml"
PLAN = 'units = "mm"\n[[plan]]\nname = "tried"\n'


def by_ratio(tyre: float | None) -> AxleLoads:
    return invented.loads(
        Line(ratio=RATIO), rate=RATE, corner=CORNER, unsprung=UNSPRUNG, bar=Bar(20.0, ratio=0.5), tyre=tyre
    )


def car_of(front: Axle, rear: Axle, **changed: Any) -> Car:
    axles = tuple(replace(axle, name=name, body=BODY) for axle, name in ((front, "front"), (rear, "rear")))
    return replace(demo_car(SALOON), axles=axles, **changed)


@cache
def straight_car(tyre: float | None = None) -> Car:
    axle = replace(invented.symmetric(SUSPENSIONS[STRAIGHT]), loads=by_ratio(tyre))
    return car_of(axle, axle)


def on(axle: str, what: str, by: float, **more: Any) -> Change:
    return Change(axle, what, by=by, **more)


def done(car: Car, *changes: Change) -> dict[str, ChangedAxle]:
    (axles,) = carry_out(car, [Plan("tried", changes)])
    return axles


def rises(car: Car, *changes: Change) -> tuple[float, float]:
    axles = done(car, *changes)
    assert not any(one.refusals for one in axles.values())
    return axles["front"].raised, axles["rear"].raised


def settled(car: Car, *changes: Change) -> Rigged:
    axles = done(car, *changes)
    return rigged(car, axles, changes)


def same_points(one: Axle, other: Axle, within: float) -> None:
    for key, points in one.points.items():
        assert_allclose(points, other.points[key], rtol=0.0, atol=within, err_msg=key)


def on_pitched(front: float, rear: float, rates: tuple[float, float] = (RATE, RATE)) -> tuple[float, float]:
    """What becomes of two rises [mm] as the body pitches: its mass comes forward over the wheels, by statics.

    The sprung mass is 520 mm up and half-way between the axles, the hubs as high as they are over the ground, and fore
    or aft as their links take them.
    """
    hub, sprung, base = float(straight_car().front.points["wheel_centre"][0, 2]), 4.0 * (CORNER - UNSPRUNG), 2560.0
    risen = np.array([front, rear])
    for _ in range(10):
        pitch = (risen[1] - risen[0]) / base
        back = sweep_bump(straight_car().front, -risen)["wheel_centre_recession"].mean(axis=0)
        wheels = np.array([0.0, -base]) + pitch * (hub - risen) - back
        share = (-base / 2.0 + pitch * 520.0 - wheels[1]) / (wheels[0] - wheels[1])
        more = sprung * GRAVITY * (share - 0.5) * np.array([1.0, -1.0])
        risen = np.array([front, rear]) - more / (2.0 * np.array(rates) * RATIO**2)
    return float(risen[0]), float(risen[1])


class TestByHand:
    """Wheels that go straight up and down, springs at a motion ratio of 0.8, tyres rigid."""

    @pytest.mark.parametrize("axle", ["front", "rear"])
    @pytest.mark.parametrize("rate", at_places([24.0, 42.0], 1))
    def test_another_rate_at_the_same_free_length(self, axle: str, rate: float) -> None:
        """The spring is as long as its load lets it be: F / k less than free."""
        risen = (CARRIED / RATE - CARRIED / rate) / RATIO
        if axle == "front":
            expected = on_pitched(risen, 0.0, rates=(rate, RATE))
        else:
            expected = on_pitched(0.0, risen, rates=(RATE, rate))
        assert rises(straight_car(), on(axle, "spring rate", rate)) == pytest.approx(expected, abs=PITCHED)

    @pytest.mark.parametrize("what", ["spring spacer", "spring length"])
    @pytest.mark.parametrize("by", at_places([12.0, -9.0], 1))
    def test_packing_and_longer_springs(self, what: str, by: float) -> None:
        found = rises(straight_car(), on("rear", what, by))
        assert found == pytest.approx(on_pitched(0.0, by / RATIO), abs=PITCHED)

    def test_packing_all_round_lifts_by_its_part_of_the_motion_ratio(self) -> None:
        both = rises(straight_car(), on("front", "spring spacer", 12.0), on("rear", "spring spacer", 12.0))
        assert both == pytest.approx(on_pitched(15.0, 15.0), abs=1e-4)

    @pytest.mark.parametrize("tyre", [None, TYRE])
    def test_ballast(self, tyre: float | None) -> None:
        """Two springs at the wheels' rate k MR^2 each, and two tyres under them."""
        mass = 40.0
        risen = -mass * GRAVITY / (2.0 * RATE * RATIO**2)
        if tyre is not None:
            risen -= mass * GRAVITY / (2.0 * tyre)
        found = rises(straight_car(tyre), on("front", "ballast", mass))
        assert found == pytest.approx(on_pitched(risen, 0.0), abs=PITCHED)

    def test_rate_packing_and_ballast_together(self) -> None:
        rate, packing, mass = 40.0, 7.0, 25.0
        longer = packing + CARRIED / RATE - (CARRIED + mass * GRAVITY / 2.0 / RATIO) / rate
        changes = (
            on("rear", "ballast", mass),
            on("rear", "spring rate", rate),
            on("rear", "spring spacer", packing),
        )
        expected = on_pitched(0.0, longer / RATIO, rates=(RATE, rate))
        assert rises(straight_car(), *changes) == pytest.approx(expected, abs=PITCHED)

    def test_of_several_rates_the_last_is_fitted(self) -> None:
        both = rises(straight_car(), on("front", "spring rate", 60.0), on("front", "spring rate", 24.0))
        assert both == pytest.approx(rises(straight_car(), on("front", "spring rate", 24.0)), abs=BALANCED)

    def test_packing_on_one_side_lifts_the_middle_by_half(self) -> None:
        """Equal springs: the body rises on one side by as much as it would sink on the other, about the middle."""
        one_side = rises(straight_car(), on("rear", "spring spacer", 4.0, sides=LEFT_ONLY))
        # Half of 4 / 0.8, but for the cosine of the lean it leaves (0.2 deg) times some 300 mm.
        assert one_side == pytest.approx(on_pitched(0.0, 2.5), abs=300.0 * 0.0035**2)

    def test_a_spring_on_one_side_is_no_pair_of_springs(self) -> None:
        """By half of what the pair does, about; a plan file either refuses `side` here or means it."""
        text = f'{PLAN}[[plan.change]]\nwhat = "spring rate"\nrate = 34\nside = "left"\n'
        with suppress(InputFaultError):
            plans = plans_from(tomllib.loads(text), "plans.toml", straight_car()).plans
            one = rises(straight_car(), *plans[0].changes)[0]
            pair = rises(straight_car(), on("front", "spring rate", 34.0))[0]
            assert one == pytest.approx(pair / 2.0, rel=0.1)

    @pytest.mark.parametrize("rate", [20.0, 60.0])
    def test_a_bar_lifts_nothing(self, rate: float) -> None:
        assert rises(straight_car(), on("front", "bar rate", rate)) == pytest.approx((0.0, 0.0), abs=BALANCED)


class TestByEnergy:
    """A car on struts, spring along the strut: it sits where springs and weight have least energy together."""

    @pytest.mark.parametrize(
        ("rate", "longer", "ballast"),
        at_places([(None, 10.0, 0.0), (48.0, 0.0, 0.0), (None, 0.0, 60.0), (26.0, 6.0, 30.0)], 3),
    )
    def test_a_strut_car(self, rate: float | None, longer: float, ballast: float) -> None:
        front, rear = (invented.symmetric(SUSPENSIONS[name]) for name in ("strut", "strut with toe link"))
        its = invented.loads(Line(), rate=RATE, corner=290.0, unsprung=36.0)
        car = car_of(*(replace(axle, loads=its) for axle in (front, rear)))
        changes = [on("front", "spring length", longer), on("front", "ballast", ballast)]
        changes += [] if rate is None else [on("front", "spring rate", rate)]
        expected = self.lowest(car.front, RATE if rate is None else rate, longer, ballast)
        found = rises(car, *changes)
        # On a body that pitches the load moves to the lower end, and the raised end springs up by some hundredths more.
        pitch = -expected / 2560.0
        hub = float(car.front.points["wheel_centre"][0, 2]) - expected  # as far over the body's floor
        more = 4.0 * (290.0 - 36.0) * GRAVITY * (520.0 - hub) * pitch / 2560.0
        expected -= more / (2.0 * (RATE if rate is None else rate))
        # The plan re-aligns toe to the measured, the energy is that of the unaligned wheel: its contact, upright to a
        # degree, moves up and down by less than that. Far from the millimetres which the ride height goes.
        assert found[0] == pytest.approx(expected, abs=0.02)
        assert abs(expected) > 4.0
        # The body pitches over the wheelbase; on struts that lean by up to a tenth fore and aft a rear spring then
        # carries its load with so much more or less of its force.
        pitch, load = abs(found[0]) / 2560.0, (290.0 - 36.0) * GRAVITY
        assert found[1] == pytest.approx(more / (2.0 * RATE), abs=0.1 * pitch * load / RATE)

    @staticmethod
    def lowest(axle: Axle, rate: float, longer: float, ballast: float) -> float:
        """Body rise at which the energy of both sides is least, over its spline."""
        travel = np.linspace(-60.0, 60.0, 61)
        states = moving(axle, -60.0, 60.0).at(np.ones((2, 1)) * travel)
        swept = sweep_bump(axle, travel)
        spring = invented.spring_length(states, None)[0]
        at_rest = CubicSpline(travel, spring)
        setup = calibrated(axle)
        free = at_rest(0.0) + setup.preload[0] / RATE + longer
        # The lowest point of an upright disc lies its radius, times the cosine of camber, under its centre.
        radius = axle.points["wheel_centre"][0, 2] / np.cos(axle.camber[0])
        hub = radius * np.cos(swept["camber"][0])  # over the ground
        body = hub - states.wheel_centre[0, :, 2]
        loads = axle.loads
        assert loads is not None
        sprung = loads.corner_mass[0] - loads.unsprung[0] + ballast / 2.0
        energy = 0.5 * rate * np.maximum(free - spring, 0.0) ** 2 + GRAVITY * (sprung * body + loads.unsprung[0] * hub)
        least = minimize_scalar(
            CubicSpline(travel, energy), bounds=(-50.0, 50.0), method="bounded", options={"xatol": 1e-9}
        )
        rest = CubicSpline(travel, body)
        return float(rest(least.x) - rest(0.0))


class TestTheSame:
    """Two ways to the same car."""

    def test_packing_in_and_shorter_springs(self) -> None:
        car = demo_car(SALOON)
        axles = done(car, on("front", "spring spacer", 10.0), on("front", "spring length", -10.0))
        for axle in car.axles:
            assert axles[axle.name].raised == pytest.approx(0.0, abs=BALANCED)
            same_points(axles[axle.name].axle, axle, 1e-5)

    def test_packing_is_as_good_as_a_longer_spring(self) -> None:
        car = demo_car(SALOON)
        packed = done(car, on("rear", "spring spacer", 8.0))
        longer = done(car, on("rear", "spring length", 8.0))
        for name, one in packed.items():
            same_points(one.axle, longer[name].axle, 1e-9)

    @pytest.mark.parametrize(
        "changes",
        [
            [on("front", "spring spacer", 10.0)],
            [on("rear", "spring rate", 33.0), on("front", "ballast", 20.0)],
        ],
    )
    def test_the_geometry_is_that_of_the_ride_height(self, changes: Sequence[Change]) -> None:
        car = demo_car(SALOON)
        found = done(car, *changes)
        by_height = done(car, *(on(name, "ride height", one.raised) for name, one in found.items()))
        assert max(abs(one.raised) for one in found.values()) > 2.0
        for name, one in found.items():
            same_points(one.axle, by_height[name].axle, 1e-9)
            assert one.axle.body == by_height[name].axle.body

    def test_moved_pivots_and_packing(self) -> None:
        """Pivots first and then the height that results: the same as both said outright."""
        car = demo_car(SALOON)
        pivots = Change("front", "inner pivots", shift=(0.0, 0.0, 15.0))
        found = done(car, pivots, on("front", "spring spacer", 10.0))
        front = found["front"].raised
        assert front == pytest.approx(rises(car, on("front", "spring spacer", 10.0))[0], abs=1.0)
        by_height = done(car, pivots, *(on(name, "ride height", one.raised) for name, one in found.items()))
        for name, one in found.items():
            same_points(one.axle, by_height[name].axle, 1e-9)

    def test_moved_pivots_and_packing_of_nothing(self) -> None:
        """Pivots 15 mm up leave the strut as long as it was, or nearly: its spring holds the body where it stood."""
        car = demo_car(SALOON)
        pivots = Change("front", "inner pivots", shift=(0.0, 0.0, 15.0))
        found = rises(car, pivots, on("front", "spring spacer", 0.0))
        # The arm's end comes outward by about a millimetre and the strut leans 9 degrees: 0.2 mm of its length; the
        # motion ratio changes by less than a hundredth, of a spring that is pressed by 75 mm.
        assert abs(found[0]) < 1.0

    @pytest.mark.parametrize("key", ["lower_link_chassis", "upper_link_chassis"])
    def test_moved_link_ends_and_packing_of_nothing(self, key: str) -> None:
        """Link ends on the body 10 mm up turn the axle by a degree or two: its springs stand where they stood.

        The spring seat lies within 100 mm of the wheel centres along the car, so a turn of 10 mm over links or a beam
        of 250 mm and more lifts it by 4 mm at most; that it would be by the whole 10 mm is what must not come out.
        """
        rear = demo_car(SALOON).rear
        assert rear.loads is not None
        seat = rear.loads.spring.line.moving
        assert seat is not None
        assert abs(seat.place[:, 0]).max() < 100.0
        moved = Change("rear", "point", point=key, shift=(0.0, 0.0, 10.0))
        assert abs(rises(demo_car(SALOON), moved, on("rear", "spring spacer", 0.0))[1]) < 4.0

    @pytest.mark.parametrize(
        ("car", "changes", "within"),
        at_places(
            [
                (straight_car(), [on("front", "spring rate", 42.0), on("rear", "spring spacer", 9.0)], 1e-6),
                (straight_car(TYRE), [on("front", "ballast", 30.0), on("rear", "spring length", -11.0)], 1e-6),
                # Its scales differ by 5 kg from side to side and its track changes with height, so a few parts in a
                # thousand of a millimetre are the body's weight a little aside of where it was.
                (demo_car(SALOON), [on("front", "spring spacer", 10.0), on("rear", "spring rate", 31.0)], 5e-3),
            ],
            2,
        ),
    )
    def test_what_has_settled_stays(self, car: Car, changes: Sequence[Change], within: float) -> None:
        """The settled car in balance at rest: it goes nowhere, and its wheels bear its weight and the ballast."""
        found = settled(car, *changes)
        rest = balance(found.car, np.zeros(1), ballast=found.ballast)
        assert rest.solved.all()
        assert_allclose(rest.heave, 0.0, rtol=0.0, atol=within)
        weight = [one.loads.weight for one in found.car.axles] + found.ballast.reshape(2, 2).sum(axis=1) * GRAVITY
        assert_allclose(rest.load.sum(axis=(1, 2)), weight, rtol=0.0, atol=1e-2)
        total = sum(float(axle.loads.corner_mass.sum()) for axle in car.axles if axle.loads is not None)
        assert rest.load.sum() == pytest.approx((total + found.ballast.sum()) * GRAVITY, abs=1e-4)

    def test_the_free_length_survives(self) -> None:
        """Springs are of the measured free length, longer by what the plan says, however high the car now sits."""
        car = demo_car(SALOON)
        found = settled(car, on("front", "spring spacer", 10.0), on("rear", "spring rate", 40.0))
        assert_allclose(found.car.front.free_length, calibrated(car.front).free_length + 10.0, rtol=0.0, atol=1e-9)
        assert_allclose(found.car.rear.free_length, calibrated(car.rear).free_length, rtol=0.0, atol=1e-9)

    def test_a_bump_stop_keeps_its_place_on_the_body(self) -> None:
        """Where the car rises, the stop is as much farther away as the spring is longer."""
        car = demo_car(SALOON)
        found = settled(car, on("front", "spring rate", 40.0))
        longer = found.car.front.measured - calibrated(car.front).measured
        assert longer.min() > 5.0
        assert found.car.front.stop_gap == pytest.approx(32.0 + longer.mean(), abs=1e-9)


class TestFacts:
    """Common practice, no source."""

    @pytest.mark.campaign
    def test_stiffer_springs_raise_and_softer_lower_and_ballast_sinks(self) -> None:
        car = demo_car(SALOON)
        assert rises(car, on("front", "spring rate", 40.0))[0] > 5.0
        assert rises(car, on("front", "spring rate", 30.0))[0] < -5.0
        assert rises(car, on("rear", "ballast", 30.0))[1] < -3.0

    @pytest.mark.campaign
    def test_sides_packed_unlike_are_told(self) -> None:
        """The body leans at rest, and so its corners stand unlike: the comparison shows both sides."""
        car = demo_car(SALOON)
        plans = [
            Plan("one side", (on("front", "spring spacer", 6.0, sides=LEFT_ONLY),)),
            Plan("both", (on("front", "spring spacer", 6.0),)),
        ]
        one_side, both = compare(car, plans, car.limits, ()).outcomes[1:]
        corners = {
            name: outcome.values("front", "corner_raised") for name, outcome in (("one side", one_side), ("both", both))
        }
        left, right = (float(value) for value in np.ravel(corners["one side"]))
        assert left > right + 0.5
        left, right = (float(value) for value in np.ravel(np.broadcast_to(corners["both"], 2)))
        assert left == pytest.approx(right, abs=0.2)


def told(text: str, car: Car) -> str:
    with pytest.raises(InputFaultError) as caught:
        plans_from(tomllib.loads(text), "plans.toml", car)
    return str(caught.value)


class TestRefused:
    """What cannot settle is refused in words."""

    def test_height_and_springs_at_once(self) -> None:
        text = PLAN + (
            '[[plan.change]]\nwhat = "ride height"\nby = -10\n[[plan.change]]\nwhat = "spring spacer"\nby = 5\n'
        )
        said = told(text, demo_car(SALOON))
        assert "plans.toml" in said
        assert "plan 1 (tried).change" in said
        assert 'the ride height follows from "spring spacer"' in said

    @pytest.mark.parametrize(
        ("what", "amount"),
        [
            ("spring rate", "rate = 50"),
            ("spring length", "by = 5"),
            ("spring spacer", "by = 5"),
            ("cut coils", "coils = 1"),
            ("bar rate", "rate = 5"),
            ("ballast", "mass = 5"),
        ],
    )
    def test_a_car_without_loads(self, what: str, amount: str) -> None:
        said = told(f'{PLAN}[[plan.change]]\nwhat = "{what}"\n{amount}\n', demo_car())
        assert "plan 1 (tried), change 1.what" in said
        assert "the car file has no [front.spring]" in said

    def test_another_bar_where_there_is_none(self) -> None:
        text = f'{PLAN}[[plan.change]]\naxle = "rear"\nwhat = "bar rate"\nrate = 5\n'
        assert "the car file has no [rear.bar]" in told(text, demo_car(SALOON))

    @pytest.mark.parametrize(
        ("what", "amount", "says"),
        [
            ("spring rate", "by = 5", "`rate`, in N/mm"),
            ("spring rate", "rate = -5", ""),
            ("ballast", "rate = 5", "`mass`, in kg"),
            ("spring spacer", "rate = 5", "`by`"),
            ("cut coils", "by = 20", "`coils`, how many"),
            ("cut coils", "coils = 0", ""),
            ("ride height", "mass = 5", "`by`"),
        ],
    )
    def test_amounts_of_the_wrong_kind(self, what: str, amount: str, says: str) -> None:
        said = told(f'{PLAN}[[plan.change]]\nwhat = "{what}"\n{amount}\n', demo_car(SALOON))
        assert "plan 1" in said
        assert says in said

    def test_one_axle_that_tells_nothing_of_its_springs(self) -> None:
        car = demo_car(SALOON)
        without = replace(car, axles=(car.front, replace(car.rear, loads=None)))
        for one in done(without, on("front", "spring spacer", 5.0)).values():
            assert any("both axles tell their springs and weights" in text for text in refusal_words(one.refusals, MM))

    def test_a_body_that_does_not_tell_its_centre_of_gravity(self) -> None:
        car = demo_car(SALOON)
        blank = tuple(replace(axle, body=Body()) for axle in car.axles)
        for one in done(replace(car, axles=blank), on("front", "spring spacer", 5.0)).values():
            assert any("wheelbase and centre of gravity" in text for text in refusal_words(one.refusals, MM))

    def test_springs_that_hold_nothing(self) -> None:
        """At 3 N/mm of the same length the body would have to sink by more than half a metre; no stop is in the way."""
        for one in done(demo_car(SALOON), on("rear", "spring rate", 3.0)).values():
            assert any("hold the car up nowhere" in text for text in refusal_words(one.refusals, MM))

    def test_a_height_beyond_what_the_linkage_is_moved_over(self) -> None:
        """Packing of 200 mm at a ratio of 0.8 asks for a rise of 250 mm, more than an axle is moved for its springs."""
        axle = invented.symmetric(SUSPENSIONS["strut"])
        its = invented.loads(Line(ratio=RATIO), rate=RATE, corner=CORNER, unsprung=UNSPRUNG)
        car = car_of(replace(axle, loads=its), straight_car().rear)
        for one in done(car, on("front", "spring spacer", 200.0)).values():
            assert any("hold the car up nowhere" in text for text in refusal_words(one.refusals, MM)), one.raised

    @pytest.mark.campaign
    def test_one_plan_that_cannot_settle_leaves_the_others_alone(self) -> None:
        car = demo_car(SALOON)
        plans = [Plan(name, (on("rear", "spring rate", rate),)) for name, rate in (("no", 3.0), ("yes", 30.0))]
        hopeless, good = carry_out(car, plans)
        assert all(one.refusals for one in hopeless.values())
        assert not any(one.refusals for one in good.values())
        assert good["rear"].raised == pytest.approx(rises(car, on("rear", "spring rate", 30.0))[1], abs=1e-9)


def test_every_kind_of_load_is_tried() -> None:
    tried = {"spring rate", "spring length", "spring spacer", "cut coils", "bar rate", "ballast"}
    assert tried == set(LOAD_CHANGES)
    assert tried < set(CHANGES)
