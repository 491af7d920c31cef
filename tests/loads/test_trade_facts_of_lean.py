"""What every workshop knows of springs, bars and lean, and what statics asks of any car in balance.

Facts of the trade are common practice, no source. Formulae are worked out beside their tests.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from kinematics import LEFT, RIGHT, Axle, sweep_bump
from kinematics.car.fittings import Body
from kinematics.car.springs_and_bars import GRAVITY, AxleLoads, Bar, Line
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.loads.equilibrium import Balance, balance
from kinematics.loads.lean import AxleInRoll, Lean, textbook_lean
from kinematics.loads.rates import axle_roll, rates
from kinematics.loads.setup import AxleSetup
from kinematics.loads.whole_car import WholeCar
from kinematics.motion.ground import Attitude
from kinematics.numbers.stance import Stance
from kinematics.planning.dismantled import put_together, take_apart
from solvers.vectors import Array
from tests.loads import invented_loads as invented
from tests.properties.plausible_cars import mirrored

REST = np.zeros(1)
FRONT_BRAKES = 0.7
CORNERS = np.array([1.5, 3.0, 5.0])  # m/s^2, to the left, all wheels on the ground
WHEELBASE = 2560.0  # mm
HEIGHT = 520.0  # mm, of the sprung centre of gravity
NO_MASS = 1e-6  # kg
TYRE = 200.0  # N/mm
BALANCED = 1e-6  # N and N/mm of load; the balance is found to 1e-8 mm on springs of some 1e2 N/mm
FRONT_WEIGHT, REAR_WEIGHT = 290.0, 265.0  # kg on each wheel
WEIGHTS = 2.0 * GRAVITY * np.array([[FRONT_WEIGHT], [REAR_WEIGHT]])  # N on each axle
REARS = ("strut with toe link", "semi-trailing arm", "live axle with three links")


def line_for(axle: Axle) -> Line:
    """Springs where such an axle has them."""
    if axle.suspension.strut is not None:
        return Line()
    on = {"axle": invented.ON_LIVE_AXLE, "arm": invented.ON_SEMI_TRAILING_ARM, "upright": invented.ON_LOWER_ARM}
    return invented.line_from(axle, on[axle.suspension.bodies[0]])


def its_loads(axle: Axle, unsprung: float, tyre: float | None, bar: float) -> AxleLoads:
    rate, corner = (30.0, FRONT_WEIGHT) if axle.name == "front" else (28.0, REAR_WEIGHT)
    return invented.loads(
        line_for(axle), rate=rate, corner=corner, unsprung=unsprung, bar=Bar(bar, ratio=0.6), tyre=tyre
    )


def car_of(
    front: Axle,
    rear: Axle,
    *,
    unsprung: float = 36.0,
    tyre: float | None = None,
    bars: tuple[float, float] = (20.0, 0.0),
    height: float = HEIGHT,
) -> WholeCar:
    """A car symmetric but for what the axles are: front and rear bars [N/mm]."""
    body = Body(height, wheelbase=WHEELBASE, front_brakes=FRONT_BRAKES, front_drive=0.0)
    setups = (
        invented.fitted(replace(axle, body=body), its_loads(axle, unsprung, tyre, bar))
        for axle, bar in zip((front, rear), bars, strict=True)
    )
    return WholeCar(*setups, height, WHEELBASE)


def car(front: str = "strut", rear: str = "strut with toe link", **options: object) -> WholeCar:
    return car_of(*(invented.symmetric(SUSPENSIONS[name]) for name in (front, rear)), **options)  # type: ignore[arg-type]


@cache
def usual(rear: str = "strut with toe link") -> Balance:
    """The car with nothing changed."""
    return balance(car(rear=rear), CORNERS)


def front_share(found: Balance) -> Array:
    """The front axle's part of the load transfer."""
    assert found.solved.all()
    assert not found.lifted.any()
    return np.asarray(found.transfer[0] / found.transfer.sum(axis=0))


def roll_centre(axle: Axle) -> float:
    return float(sweep_bump(axle, REST)["roll_centre_height"][0])


class TestFactsOfTheTrade:
    """Common practice, no source."""

    @pytest.mark.parametrize("by", [20.0, 40.0])
    def test_a_lowered_strut_car_rolls_more(self, by: float) -> None:
        """The same springs and weights: roll centres fall by more than the centre of gravity does."""
        lowered = []
        for name in ("strut", "strut with toe link"):
            parts = replace(take_apart(invented.symmetric(SUSPENSIONS[name])), heave=np.asarray(-by))
            lowered.append(put_together(parts).axle)
        low = car_of(*lowered, height=HEIGHT - by)
        assert all(
            roll_centre(one.axle) < roll_centre(other.axle) - by
            for one, other in zip(low.axles, car().axles, strict=True)
        )
        found = balance(low, CORNERS)
        assert found.solved.all()
        assert (np.abs(found.roll) > np.abs(usual().roll)).all()
        # All the same the lower centre of gravity moves less load.
        assert (found.transfer.sum(axis=0) < usual().transfer.sum(axis=0)).all()

    @pytest.mark.parametrize("rear", REARS)
    def test_a_stiffer_front_bar_moves_load_transfer_forward(self, rear: str) -> None:
        stiffer = balance(car(rear=rear, bars=(40.0, 0.0)), CORNERS)
        assert (front_share(stiffer) > front_share(usual(rear)) + 0.01).all()
        assert (np.abs(stiffer.roll) < np.abs(usual(rear).roll)).all()

    @pytest.mark.parametrize("rear", REARS)
    def test_a_rear_bar_moves_it_backward(self, rear: str) -> None:
        stiffer = balance(car(rear=rear, bars=(20.0, 20.0)), CORNERS)
        assert (front_share(stiffer) < front_share(usual(rear)) - 0.01).all()
        assert (np.abs(stiffer.roll) < np.abs(usual(rear).roll)).all()

    def test_stiffer_front_springs_move_load_transfer_forward(self) -> None:
        whole = car()
        stiffer = replace(whole, front=whole.front.with_springs(whole.front.rate * 1.2))
        assert (front_share(balance(stiffer, CORNERS)) > front_share(usual()) + 0.005).all()

    def test_a_higher_front_roll_centre_moves_load_transfer_forward(self) -> None:
        """Inner pivots raised by 15 mm lift a strut's roll centre by more than that."""
        front, rear = (invented.symmetric(SUSPENSIONS[name]) for name in ("strut", "strut with toe link"))
        up = {key: front.points[key] + [0.0, 0.0, 15.0] for key in ("lower_pivot_front", "lower_pivot_rear")}
        raised = replace(front, points={**front.points, **up})
        assert roll_centre(raised) > roll_centre(front) + 15.0
        found = balance(car_of(raised, rear), CORNERS)
        assert (front_share(found) > front_share(usual()) + 0.005).all()
        assert (np.abs(found.roll) < np.abs(usual().roll)).all()

    @pytest.mark.parametrize("by", [5.0, 10.0])
    def test_a_spacer_on_a_spring_half_way_out_lifts_by_more_than_itself(self, by: float) -> None:
        """By about its height over the motion ratio; load and spring force stay about as they were."""
        whole = car("double wishbone")
        lifted = replace(whole, front=whole.front.with_springs(whole.front.rate, spacer=by))
        found = balance(lifted, REST)
        ratio = float(rates(whole.front, REST).motion_ratio[LEFT, 0])
        assert ratio < 0.7
        assert found.heave[0, 0] > by
        # The ratio changes by some percent over so much travel.
        assert found.heave[0, 0] == pytest.approx(by / ratio, rel=0.1)
        # The nose goes up by some 10 mm; 520 mm of height over 2560 of wheelbase take under a hundredth of it back.
        assert -0.01 * found.heave[0, 0] < found.heave[1, 0] < 0.0

    def test_a_spacer_under_one_spring_puts_weight_on_that_corner_and_the_one_across(self) -> None:
        whole, by = car(), 10.0
        one = replace(whole, front=whole.front.with_springs(whole.front.rate, spacer=np.array([by, 0.0])))
        change = balance(one, REST).load[..., 0] - balance(whole, REST).load[..., 0]
        assert_allclose(change.sum(), 0.0, atol=BALANCED)
        assert_allclose(change.sum(axis=1), 0.0, atol=5.0)  # half the spacer of nose up: see above
        assert change[0, LEFT] > 25.0
        assert change[1, RIGHT] > 25.0

    @pytest.mark.parametrize("by", [1.0, 5.0])
    def test_a_spacer_under_one_spring_rolls_the_body(self, by: float) -> None:
        """Formula: k MR by more at that wheel, half a track out, against all that holds the body upright."""
        whole = car()
        one = replace(whole, front=whole.front.with_springs(whole.front.rate, spacer=np.array([by, 0.0])))
        ratio, track = float(rates(whole.front, REST).motion_ratio[LEFT, 0]), axle_roll(whole.front).track
        moment = float(whole.front.rate[LEFT]) * ratio * by * track / 2.0
        _, hold = push_and_hold(whole)
        # Rates change by about a percent as the front rises by half the spacer.
        assert balance(one, REST).roll[0] == pytest.approx(moment / hold, rel=0.01)

    def test_softer_springs_sink_and_stiffer_ones_rise(self) -> None:
        whole = car()
        softer, stiffer = (
            balance(replace(whole, rear=whole.rear.with_springs(whole.rear.rate * part)), REST).heave[1, 0]
            for part in (0.9, 1.1)
        )
        assert softer < -5.0
        assert stiffer > 5.0

    def test_ballast_sinks_its_corner(self) -> None:
        more = np.zeros((4, 1))
        more[0] = 20.0  # kg, front left
        found, before = balance(car(), REST, ballast=more), balance(car(), REST)
        assert found.travel[0, LEFT, 0] > before.travel[0, LEFT, 0] + 2.0
        assert found.load.sum() - before.load.sum() == pytest.approx(20.0 * GRAVITY, abs=BALANCED)


class TestAtRest:
    """Formula: the car stands as measured on the springs that calibration gave it."""

    @pytest.mark.parametrize("tyre", [None, TYRE], ids=["rigid tyres", "soft tyres"])
    @pytest.mark.parametrize("rear", REARS)
    def test_stands_as_measured(self, rear: str, tyre: float | None) -> None:
        """Equal springs on a symmetric car leave it level."""
        found = balance(car(rear=rear, tyre=tyre), REST)
        assert found.solved.all()
        assert_allclose(found.roll, 0.0, atol=1e-11)
        assert_allclose(found.heave, 0.0, atol=1e-8)
        assert_allclose(found.travel, 0.0, atol=1e-8)
        each = np.broadcast_to(WEIGHTS[:, None] / 2.0, (2, 2, 1))
        assert_allclose(found.load, each, rtol=0.0, atol=BALANCED)


class TestStatics:
    """Formula: forces and moments on the whole car."""

    @pytest.mark.parametrize("tyre", [None, TYRE], ids=["rigid tyres", "soft tyres"])
    @pytest.mark.parametrize("rear", REARS)
    def test_wheel_loads_add_up_to_the_weights(self, rear: str, tyre: float | None) -> None:
        """And stay on each axle but for what pitch moves, since no force acts along the car."""
        found = balance(car(rear=rear, tyre=tyre), np.array([2.0, 8.0]))
        assert found.solved.all()
        assert_allclose(found.load.sum(axis=(0, 1)), sum(WEIGHTS)[0], rtol=0.0, atol=BALANCED)
        # Pitch of six tenths of a degree takes the centre of gravity no farther than 6 mm of 2560.
        assert np.abs(found.pitch).max() < np.radians(0.6)
        assert_allclose(found.load.sum(axis=1), np.broadcast_to(WEIGHTS, (2, 2)), rtol=5e-3)

    @pytest.mark.parametrize("tyre", [None, TYRE], ids=["rigid tyres", "soft tyres"])
    def test_so_they_do_with_a_wheel_in_the_air(self, tyre: float | None) -> None:
        """A stiff front bar picks up the inner front wheel; the outer one carries all of the axle."""
        found = balance(car(tyre=tyre, bars=(60.0, 0.0)), np.array([11.0]))
        assert found.solved.all()
        assert found.lifted[..., 0].tolist() == [[True, False], [False, False]]
        assert_allclose(found.load.sum(), sum(WEIGHTS)[0], rtol=0.0, atol=BALANCED)
        # Its nose rises by some 50 mm of 2560, and takes the centre of gravity back.
        assert found.load[0, RIGHT, 0] == pytest.approx(WEIGHTS[0, 0], rel=0.02)

    @pytest.mark.parametrize("unsprung", [NO_MASS, 36.0], ids=["no unsprung mass", "unsprung mass"])
    @pytest.mark.parametrize("tyre", [None, TYRE], ids=["rigid tyres", "soft tyres"])
    @pytest.mark.parametrize("rear", REARS)
    def test_moments_about_the_ground(self, rear: str, tyre: float | None, unsprung: float) -> None:
        """Forces of tyres along the ground act on it, so only loads turn the car back: in roll and in pitch."""
        whole = car(rear=rear, tyre=tyre, unsprung=unsprung)
        ahead = np.array([0.0, -4.0, 2.0])
        found = balance(whole, CORNERS, forward=ahead)
        assert found.solved.all()
        turns = Rotation.from_euler("xy", np.stack([found.roll, found.pitch], axis=-1))  # ISO 8855's roll, then pitch
        behind = turns.apply([-WHEELBASE, 0.0, 0.0])
        given = asked = np.zeros((2, CORNERS.size))

        def moments(force: Array, at: Array) -> Array:
            """Of forces along and aside and weight, all on one mass, or of loads [N], at places [mm]."""
            return np.stack([at[..., 1] * force, at[..., 0] * force])

        for index, setup in enumerate(whole.axles):
            attitude = Attitude(found.heave[index], found.roll, found.pitch)
            stance = Stance(setup.moving.at(found.travel[index]), attitude)
            level = index * behind * [1.0, 1.0, 0.0]
            given = given + moments(found.load[index], stance.contact + level).sum(axis=1)
            for place, mass in (
                (
                    turns.apply([0.0, 0.0, HEIGHT]) + [0.0, 0.0, 1.0] * found.heave[index][:, None],
                    setup.loads.sprung_mass,
                ),
                (stance.wheel_centre[LEFT], unsprung),
                (stance.wheel_centre[RIGHT], unsprung),
            ):
                at = place + level
                asked = asked + mass * (moments(np.array(GRAVITY), at) - at[..., 2] * np.stack([CORNERS, ahead]))
        assert_allclose(given, asked, rtol=1e-9, atol=1e-2)

    @pytest.mark.parametrize("tyre", [None, TYRE], ids=["rigid tyres", "soft tyres"])
    @pytest.mark.parametrize("rear", REARS[:2])
    def test_to_the_right_as_to_the_left(self, rear: str, tyre: float | None) -> None:
        """A symmetric car."""
        both = balance(car(rear=rear, tyre=tyre), np.array([4.0, -4.0]))
        assert both.roll[0] == pytest.approx(-both.roll[1], abs=1e-10)
        assert_allclose(both.heave[:, 0], both.heave[:, 1], atol=1e-7)
        assert_allclose(both.load[:, :, 0], both.load[:, ::-1, 1], rtol=0.0, atol=1e-5)
        assert_allclose(both.transfer[:, 0], both.transfer[:, 1], atol=1e-5)

    @pytest.mark.parametrize("rear", REARS)
    def test_in_the_mirror(self, rear: str) -> None:
        """Any car, with sides unlike: the mirrored one at the opposite acceleration is its mirror image."""
        draw = np.random.default_rng(7)
        setups, images = [], []
        for name in ("strut", rear):
            axle = invented.symmetric(SUSPENSIONS[name])
            single = axle.suspension.single
            points = {
                key: p + draw.uniform(-4.0, 4.0, (1 if key in single else 2, 3)) for key, p in axle.points.items()
            }
            axle = replace(axle, points=points, camber=np.radians([-1.5, -0.8]))
            if axle.suspension.whole_axle:
                axle = replace(axle, camber=np.zeros(2))
            its = invented.loads(
                line_for(axle),
                rate=np.array([30.0, 27.0]),
                corner=np.array([290.0, 262.0]),
                unsprung=np.array([36.0, 39.0]),
                bar=Bar(15.0, ratio=0.6),
                tyre=TYRE,
            )
            setups.append(invented.fitted(axle, its))
            images.append(invented.fitted(mirrored(axle), invented.mirrored_loads(its)))
        found = balance(WholeCar(*setups, HEIGHT, WHEELBASE), CORNERS)
        image = balance(WholeCar(*images, HEIGHT, WHEELBASE), -CORNERS)
        assert found.solved.all()
        assert_allclose(image.roll, -found.roll, rtol=0.0, atol=1e-10)
        assert_allclose(image.heave, found.heave, rtol=0.0, atol=1e-7)
        assert_allclose(image.load, found.load[:, ::-1], rtol=0.0, atol=1e-5)


SMALL = 1e-3  # m/s^2


def by_textbook(whole: WholeCar) -> Lean:
    """Lean at a small acceleration with springs, bars and roll centres as they are at rest."""
    axles = []
    for setup in whole.axles:
        roll, mass = axle_roll(setup), setup.loads.sprung_mass
        hub = float(setup.axle.points["wheel_centre"][LEFT, 2])
        unsprung = float(setup.loads.unsprung.sum())
        axles.append(AxleInRoll(roll.stiffness, roll.track, roll_centre(setup.axle), mass, unsprung, hub))
    front, rear = axles
    on_axis = front.roll_centre + (rear.roll_centre - front.roll_centre) * whole.rear_share
    return textbook_lean(front, rear, HEIGHT - on_axis, SMALL, GRAVITY)


def push_and_hold(whole: WholeCar) -> tuple[float, float]:
    """Roll moment for each m/s^2 and what holds against each radian, on rigid tyres, by moments on the ground.

    On upright wheels, with t the track, r the roll centre, h the height of the centre of gravity, R that of the hubs,
    W the sprung weight, U the unsprung one, k the roll stiffness by wheel rates, and g the change of camber per mm that
    the contact point goes up. As the body rolls by p, loads change by their rates over t p / 2 either way: k p in all.
    The contact points stay where they are, so the body's point between them goes r p aside, the centre of gravity
    (h - r) p the other way, and hubs R c p, as wheels of an independent suspension lean by c = 1 + g t / 2 of the
    body's roll; a live axle does not. And weights tilt by p against the body, in which contact points go r p and hubs
    r p + R (c - 1) p aside: the links turn that into W r p - U R (c - 1) p more.
    """
    push = hold = 0.0
    for setup in whole.axles:
        axle, roll = setup.axle, axle_roll(setup)
        hub, r = float(axle.points["wheel_centre"][LEFT, 2]), roll_centre(axle)
        mass, unsprung = setup.loads.sprung_mass, float(setup.loads.unsprung.sum())
        leans = 0.0
        if not axle.suspension.whole_axle:
            swept = sweep_bump(axle, np.array([-0.5, 0.5]))
            lifted = float(np.diff(swept["heave"])[0])
            leans = 1.0 - float(np.diff(swept["camber"][LEFT])[0]) / lifted * roll.track / 2.0
        push += mass * (HEIGHT - r) + unsprung * hub * leans
        hold += roll.stiffness - mass * GRAVITY * (HEIGHT - 2.0 * r) - unsprung * GRAVITY * hub * (2.0 * leans - 1.0)
    return push, hold


def small_lean(whole: WholeCar) -> Balance:
    found = balance(whole, np.array([SMALL]))
    assert found.solved.all()
    return found


class TestAgainstTheTextbook:
    """The textbook's straight lines against the whole car, where the textbook's picture holds and where not."""

    @pytest.mark.parametrize("rear", REARS)
    def test_agree_with_rigid_tyres_and_no_unsprung_mass(self, rear: str) -> None:
        """But for the weight that tilts against the links (see `push_and_hold`): one to three percent of what holds."""
        whole = car(rear=rear, unsprung=NO_MASS)
        full, book = small_lean(whole), by_textbook(whole)
        _, hold = push_and_hold(whole)
        tilted = sum(one.loads.sprung_mass * GRAVITY * roll_centre(one.axle) for one in whole.axles)
        assert tilted < 0.03 * hold
        close = 1e-4 if rear.startswith("live axle") else 1e-6
        assert book.roll * (1.0 - tilted / hold) == pytest.approx(abs(full.roll[0]), rel=close)
        # The same tilt moves load through the links of each axle.
        for index, setup in enumerate(whole.axles):
            roll, r, mass = axle_roll(setup), roll_centre(setup.axle), setup.loads.sprung_mass
            moment = mass * SMALL * r + (roll.stiffness + mass * GRAVITY * r) * abs(full.roll[0])
            assert full.transfer[index, 0] == pytest.approx(moment / roll.track, rel=2e-4)
            part = (book.front, book.rear)[index]
            assert part.total == pytest.approx((mass * SMALL * r + roll.stiffness * book.roll) / roll.track, rel=1e-7)

    @pytest.mark.parametrize("unsprung", [NO_MASS, 36.0], ids=["no unsprung mass", "unsprung mass"])
    @pytest.mark.parametrize("rear", REARS)
    def test_what_the_textbook_leaves_out(self, rear: str, unsprung: float) -> None:
        """Formula, see `push_and_hold`. Left over are terms of SMALL squared, and on the live axle what its one rod
        across the car makes unlike to left and right."""
        whole = car(rear=rear, unsprung=unsprung)
        push, hold = push_and_hold(whole)
        close = 1e-4 if rear.startswith("live axle") else 1e-6
        assert SMALL * push / hold == pytest.approx(abs(small_lean(whole).roll[0]), rel=close)

    def test_unsprung_masses_of_independent_suspensions_roll_the_body(self) -> None:
        """Their couple goes through the links, wherefore the car leans more than the textbook says."""
        whole = car()
        full, book = abs(small_lean(whole).roll[0]), by_textbook(whole).roll
        assert 1.04 < full / book < 1.12

    def test_tyres_squash_under_all_of_the_load_transfer(self) -> None:
        """The textbook's tyres, in series with the springs, know of the elastic part alone."""
        rigid, soft = (car(unsprung=NO_MASS, tyre=tyre) for tyre in (None, TYRE))
        more = abs(small_lean(soft).roll[0]) - abs(small_lean(rigid).roll[0])
        assert more > by_textbook(soft).roll - by_textbook(rigid).roll


def test_setup_of_a_spacer_is_a_longer_spring() -> None:
    """Formula: packing by so much is a free length longer by so much."""
    front: AxleSetup = car().front
    packed, longer = front.with_springs(front.rate, spacer=7.0), front.with_springs(front.rate, front.free_length + 7.0)
    assert_allclose(packed.preload, longer.preload, rtol=1e-14)
    assert_allclose(packed.preload, front.preload + 7.0 * front.rate, rtol=1e-14)
