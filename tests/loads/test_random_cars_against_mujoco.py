"""Springs of random axles, and whole random cars in a corner, against a general-purpose multibody engine.

Source: MuJoCo, told joints, springs, bar and weights one by one. On two axles of every type (random_axles.py; a short
run has one): spring lengths, motion ratios and, on one of them, wheel rates over the travel, from the engine's tendons
and from the force that its springs put along its own motion. Twelve whole cars, every type in front or behind, of which
a short run has four, uneven weights, on springs, a bar and tyres: at rest as measured, and roll, heave and every
wheel's load in left and right corners, with the body free to pitch.

By hand 200 random axles and 200 whole cars went through the same: springs agreed on all, wheel rates on all but two,
whose differences needed half the step; of the cars 190 agreed and two more but for the last digit asked or too little
load moved to count, and in eight the engine's longest car did not come to rest.

Every car brakes in one of its corners, with brakes outboard or inboard.
"""

from dataclasses import dataclass, replace

import numpy as np
import pytest

from kinematics import Axle
from kinematics.car.fittings import Body
from kinematics.car.springs_and_bars import Attachment, AxleLoads, Bar, BarEnds, Line, Spring
from kinematics.car.suspension_type import CHASSIS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.loads.equilibrium import balance
from kinematics.loads.movements import length_of
from kinematics.loads.rates import axle_roll, rates
from kinematics.loads.setup import AxleSetup, calibrated
from kinematics.loads.whole_car import WholeCar
from tests.engines.corner_linkages import TRAVEL
from tests.engines.linkage import WORLD, Array
from tests.engines.live_axle_linkages import TRAVELS
from tests.engines.mujoco_motion import Moved, MovingLinkage
from tests.engines.random_axles import RANDOM_AXLES, RandomAxle, few
from tests.engines.wheels_by_engine import lowest, spin_axes
from tests.loads.mujoco_car import GRAVITY, MujocoCar, Pushed
from tests.properties.plausible_cars import SHORT_RUN

INWARDS = np.array([[0.0, -1.0, 0.0], [0.0, 1.0, 0.0]])
SPRUNG = [one for one in RANDOM_AXLES if one.number in (1, 2)]
PARTS_OF_REACH = np.array([-0.6, 0.0, 0.7])
# As test_movements_against_engines.py: both solve to about 1e-12 mm.
LENGTH_TO, SLOPE_TO, DIFFERENCES_TO = 1e-6, 1e-9, 1e-8
# Differences of fourth order leave (step / 100 mm)^4 / 30 of a slope, and of lengths to 1e-12 mm and forces to 1e-9 N
# as much over the step.
STEP = 0.5  # mm
STEPS, WEIGHTS = STEP * np.array([-2.0, -1.0, 1.0, 2.0]), np.array([1.0, -8.0, 8.0, -1.0]) / (12.0 * STEP)
FORCE_TO, RATE_TO = 1e-6, 1e-6  # N, N/mm

CORNERS, AHEAD = (-3.0, 0.0, 4.5, 2.5), (0.0, 0.0, 0.0, -4.0)  # m/s^2
FRONT_BRAKES = 0.65
AT_REST = CORNERS.index(0.0)
# Front and rear; the place in this list is what a car is drawn by. A type that is not listed has a strut in front.
LISTED = [
    ("strut", "trailing arm"),
    ("double wishbone", "H-arm"),
    ("strut with toe link", "control blade"),
    ("double wishbone with toe link", "swing axle"),
    ("five link", "live axle with three links"),
    ("semi-trailing arm", "live axle with four links"),
    ("trailing arm", "live axle with triangulated links"),
    ("H-arm", "live axle with A-frame"),
    ("control blade", "live axle with Watt linkage on the axle"),
    ("swing axle", "live axle with Watt linkage on the body"),
    ("live axle with three links", "live axle with torque arm"),
    ("live axle with four links", "free linkage"),
]
ENDS = [*LISTED, *(("strut", kind) for kind in SUSPENSIONS if not any(kind in ends for ends in LISTED))]
WHOLE_CARS = [
    pytest.param(ends, id="-and-".join(ends).replace(" ", "-"), marks=() if place == 4 else pytest.mark.campaign)
    for place, ends in enumerate(ENDS)
]
# Both find balance to about 1e-8 mm, on tyres of 300 N/mm; differences of forces of 1e4 N leave some 1e-6 N.
LOAD_TO, ANGLE_TO, HEAVE_TO = 1e-3, 1e-7, 1e-4  # N, rad, mm


@dataclass(frozen=True)
class Seat:
    """A spring: the engine's body that it stands on, and where both ends are (2, 3)."""

    body: str
    low: Array
    top: Array
    line: Line


@pytest.mark.parametrize("random", few(SPRUNG, first=1))
def test_springs_agree(random: RandomAxle) -> None:
    """Lengths, motion ratios and forces, both wheels going together and one by one."""
    setup, seat, travel = _on_springs(random)
    heights = np.stack([travel, 0.6 * travel])
    states = setup.moving.at(heights)
    ours, forces = length_of(seat.line, states), setup.forces(states)
    moved = _moved(random, setup, seat, heights)
    for side in (0, 1):
        engine = moved[side]
        name = f"spring {side}"
        assert np.abs(ours.value[side] - engine.length[name]).max() < LENGTH_TO
        for wheel in (0, 1):
            if random.whole or wheel == side:
                driver = engine.drivers.index(TRAVELS[wheel] if random.whole else TRAVEL)
                assert np.abs(ours.slope[side, wheel] - engine.length_rate[name][driver]).max() < SLOPE_TO
        own = engine.drivers.index(TRAVELS[side] if random.whole else TRAVEL)
        assert np.abs(forces.along_travel[side] - engine.force[own]).max() < FORCE_TO
        assert forces.spring[side].max() > 500.0


@pytest.mark.parametrize(
    "random",
    [
        pytest.param(one, id=one.name, marks=() if one.kind in SHORT_RUN else pytest.mark.campaign)
        for one in SPRUNG
        if one.number == 1
    ],
)
def test_wheel_rates_agree(random: RandomAxle) -> None:
    """What more it takes to hold a wheel a little higher, with the other one as high, or as much lower."""
    setup, seat, travel = _on_springs(random)
    ours = rates(setup, travel)
    height = travel[:, None] + STEPS
    for way, rate, ratio in (
        (1.0, ours.wheel_rate, ours.motion_ratio),
        (-1.0, ours.wheel_rate_in_roll, ours.motion_ratio_in_roll),
    ):
        # Where the left wheel goes up from each travel, the right one goes the way.
        moved = _moved(random, setup, seat, np.stack([height.ravel(), (travel[:, None] + way * STEPS).ravel()]))
        for side, goes in enumerate((1.0, way)):
            load, foot = (values[side].reshape(height.shape) @ WEIGHTS for values in _stood(random, setup, moved))
            harder = load / foot
            shorter = -goes * (moved[side].length[f"spring {side}"].reshape(height.shape) @ WEIGHTS)
            # Where a spring comes loose within the steps there is no one rate.
            taut = np.stack([_taut(setup, moved[which], which).reshape(height.shape) for which in (0, 1)])
            there = (taut.all(axis=-1) | ~taut.any(axis=-1)).all(axis=0)
            assert there[np.argmin(np.abs(travel)) :].all()
            assert np.abs(rate[side] - harder)[there].max() < RATE_TO
            assert np.abs(ratio[side] - shorter).max() < DIFFERENCES_TO
    # Roll stiffness is by definition the rates in roll on half the track (formula).
    track = np.abs(np.diff(_contact(setup.axle)[:, 1]))[0]
    assert axle_roll(setup).springs == pytest.approx(
        float(rates(setup, np.zeros(1)).wheel_rate_in_roll.sum()) * track**2 / 4.0, rel=1e-12
    )


@pytest.mark.campaign
@pytest.mark.parametrize("ends", WHOLE_CARS)
def test_whole_cars_agree(ends: tuple[str, str]) -> None:
    car, randoms, seats = _whole_car(ends)
    ours = balance(car, np.array(CORNERS), forward=np.array(AHEAD))
    assert ours.solved.all()
    marks = np.array([[0.0, 0.0, 0.0], [-car.wheelbase, 0.0, 0.0]])
    pushed = Pushed(
        FRONT_BRAKES, (randoms[0].axle().fittings.inboard_brakes, randoms[1].axle().fittings.inboard_brakes)
    )
    rests = _engine(car, randoms, seats).at_rest(CORNERS, marks, AHEAD, pushed)
    scales = np.concatenate([axle.loads.corner_mass for axle in car.axles])
    assert np.abs(rests[AT_REST].load - scales * GRAVITY).max() < 1e-5
    assert np.abs(rests[AT_REST].heave).max() < 1e-6
    for index, rest in enumerate(rests):
        # Roundings of forces of 1e4 N and levers of 3 m.
        assert rest.left_over < 1e-6
        assert rest.gap < 1e-8
        assert rest.stable
        assert np.abs(ours.load[..., index].ravel() - rest.load).max() < LOAD_TO
        assert np.abs(ours.heave[:, index] - rest.heave).max() < HEAVE_TO
        assert abs(ours.roll[index] - rest.roll) < ANGLE_TO
        assert abs(ours.pitch[index] - rest.pitch) < ANGLE_TO
    assert np.abs(ours.transfer[:, CORNERS.index(4.5)]).min() > 100.0


def _taut(setup: AxleSetup, moved: Moved, side: int) -> Array:
    return np.asarray(moved.length[f"spring {side}"] < setup.free_length[side])


def test_every_type_is_on_a_car() -> None:
    assert {kind for ends in ENDS for kind in ends} == set(SUSPENSIONS)


def _seat(random: RandomAxle, axle: Axle, rng: np.random.Generator) -> Seat:
    """A spring where one would be: along the strut, on the rocker, on an arm, or on the part that carries the wheel."""
    suspension, points = axle.suspension, axle.points
    if suspension.strut is not None and random.number % 2:
        return Seat("strut tube", points["strut_low"], points["strut_top"], Line())
    body = suspension.bodies[0]
    centre = points["wheel_centre"]
    low = centre * [1.0, rng.uniform(0.68, 0.82), rng.uniform(0.6, 1.0)] + [rng.uniform(-40.0, 40.0), 0.0, 0.0]
    top = low + [rng.uniform(-30.0, 30.0), 0.0, rng.uniform(200.0, 330.0)] + rng.uniform(20.0, 80.0) * INWARDS
    if suspension.listed:
        body, low = "rocker", points["pushrod_inner"] + rng.uniform(-8.0, 8.0, 3)
        top = low + [rng.uniform(-20.0, 20.0), 0.0, rng.uniform(-30.0, 10.0)] + 240.0 * INWARDS
    elif suspension.arms and "links" not in random.build.__name__:
        body = "lower arm"
    low, top = low + rng.uniform(-6.0, 6.0, (2, 3)), top + rng.uniform(-6.0, 6.0, (2, 3))
    return Seat(body, low, top, Line(Attachment(low, body), Attachment(top, CHASSIS)))


def _on_springs(random: RandomAxle) -> tuple[AxleSetup, Seat, Array]:
    """A random axle on springs that carry it, and travels to ask for."""
    axle = random.axle()
    rng = np.random.default_rng([random.number, 1, *random.kind.encode()])
    seat = _seat(random, axle, rng)
    loads = AxleLoads(
        rng.uniform(230.0, 330.0, 2), rng.uniform(25.0, 45.0, 2), Spring(seat.line, rng.uniform(40, 90, 2))
    )
    return calibrated(replace(axle, loads=loads)), seat, random.room(axle) * PARTS_OF_REACH


def _moved(random: RandomAxle, setup: AxleSetup, seat: Seat, heights: Array) -> list[Moved]:
    """The engine's left and right corner, or the one axle twice, on these springs."""
    linkages = random.told(MovingLinkage, setup.axle)
    for side in (0, 1):
        ends = (seat.body, seat.low[side]), (WORLD, seat.top[side])
        linkages[0 if random.whole else side].spring(
            f"spring {side}", ends, float(setup.rate[side]), float(setup.free_length[side])
        )
    if random.whole:
        return [linkages[0].move(dict(zip(TRAVELS, heights, strict=True)))] * 2
    return [one.move({TRAVEL: height}) for one, height in zip(linkages, heights, strict=True)]


def _stood(random: RandomAxle, setup: AxleSetup, moved: list[Moved]) -> tuple[Array, Array]:
    """Loads that hold the engine's wheels up, and heights of their lowest points, sides first (2, S), body level.

    By the engine's motions: what springs and hubs' weights do along each travel, the loads undo.
    """
    axle = setup.axle
    wheel = axle.suspension.bodies[0]
    work = np.zeros((2, 2, moved[0].force.shape[-1]))  # travel, contact point
    asked, heights = np.zeros((2, work.shape[-1])), []
    for side in (0, 1):
        one = moved[side]
        name = wheel if wheel in one.poses else next(key for key in one.poses if key.endswith(wheel))
        pose, hub = one.poses[name], axle.points["wheel_centre"][side]
        centre, turned = pose.point(hub), pose.rotation @ spin_axes(axle)[side]
        foot = lowest(axle, np.stack([centre, centre]), np.stack([turned, turned]))[side]
        heights.append(foot[..., 2])
        for wheel_travels, by in enumerate(TRAVELS) if random.whole else [(side, TRAVEL)]:
            driver = one.drivers.index(by)
            motion = one.motion(name, one.drivers[driver])
            work[wheel_travels, side] = motion.at(foot - pose.position)[..., 2]
            weight = setup.loads.unsprung[side] * GRAVITY * motion.at(centre - pose.position)[..., 2]
            asked[wheel_travels] += weight
            if not random.whole or side == 0:
                asked[wheel_travels] -= one.force[driver]
    loads = np.linalg.solve(np.moveaxis(work, -1, 0), asked.T[..., None])[..., 0].T
    return loads, np.stack(heights)


def _contact(axle: Axle) -> Array:
    return lowest(axle, axle.points["wheel_centre"], spin_axes(axle))


def _whole_car(ends: tuple[str, str]) -> tuple[WholeCar, list[RandomAxle], list[Seat]]:
    number = LISTED.index(ends) if ends in LISTED else len(LISTED)
    rng = np.random.default_rng([number, 2])
    randoms = [RandomAxle(kind, 100 + number) for kind in ends]
    wheelbase, height = rng.uniform(2200.0, 2900.0), rng.uniform(420.0, 580.0)
    barred = int(rng.integers(2))
    setups, seats = [], []
    for place, random in enumerate(randoms):
        body = Body(wheelbase=wheelbase, front_brakes=FRONT_BRAKES)
        axle = replace(random.axle(), name=("front", "rear")[place], body=body)
        seat = _seat(random, axle, rng)
        loads = AxleLoads(
            corner_mass=rng.uniform(240.0, 320.0) * rng.uniform(0.95, 1.05, 2),
            unsprung=np.full(2, rng.uniform(25.0, 50.0)),
            spring=Spring(seat.line, rng.uniform(45.0, 90.0) * rng.uniform(0.97, 1.03, 2)),
            bar=_bar(axle, rng) if place == barred else None,
            tyre_rate=rng.uniform(170.0, 280.0),
        )
        setups.append(calibrated(replace(axle, loads=loads)))
        seats.append(seat)
    return WholeCar(setups[0], setups[1], height, wheelbase), randoms, seats


def _bar(axle: Axle, rng: np.random.Generator) -> Bar:
    """Arms that reach back to drop links on the part that carries the wheel."""
    link = axle.points["wheel_centre"] + [-40.0, 0.0, 60.0] + 120.0 * INWARDS
    end = link + [rng.uniform(-15.0, 15.0), 0.0, -150.0] + 20.0 * INWARDS
    axis = end + np.array([200.0, 0.0, 10.0])
    return Bar(rng.uniform(8.0, 25.0), BarEnds(axis, end, Attachment(link, axle.suspension.bodies[0])))


def _engine(whole: WholeCar, randoms: list[RandomAxle], seats: list[Seat]) -> MujocoCar:
    car, weights, hubs, contacts = MujocoCar(), [], [], []
    for place, (setup, random, seat) in enumerate(zip(whole.axles, randoms, seats, strict=True)):
        behind = np.array([-whole.wheelbase * place, 0.0, 0.0])
        axle, loads, end = setup.axle, setup.loads, ("front", "rear")[place]
        points = {key: point + behind for key, point in axle.points.items()}
        contact, axes, wheel = _contact(axle) + behind, spin_axes(axle), axle.suspension.bodies[0]
        prefixes = [end, end] if random.whole else [f"{end} left", f"{end} right"]
        if random.whole:
            car.add_linkage(end, random.build, points)
            car.set_mass(f"{end} {wheel}", float(loads.unsprung.sum()), points["wheel_centre"].mean(axis=0))
        arms = []
        for side, prefix in enumerate(prefixes):
            hub = points["wheel_centre"][side]
            if not random.whole:
                car.add_linkage(prefix, random.build, {key: point[side] for key, point in points.items()})
                car.set_mass(f"{prefix} {wheel}", float(loads.unsprung[side]), hub)
            low, top = seat.low[side] + behind, seat.top[side] + behind
            rate, free = float(setup.rate[side]), float(setup.free_length[side])
            car.spring(f"{end} spring {side}", f"{prefix} {seat.body}", low, top, rate, free)
            car.tyre(
                f"{prefix} {wheel}", hub, axes[side], loads.corner_mass[side] * GRAVITY, loads.tyre_rate, end=place
            )
            if loads.bar is not None:
                ends = loads.bar.ends
                link = ends.drop_link.place[side] + behind
                arms.append((ends.axis[side] + behind, ends.arm_end[side] + behind, f"{prefix} {wheel}", link))
        if loads.bar is not None:
            car.bar(loads.bar.rate, arms)
        weights.append(np.stack([loads.corner_mass, loads.unsprung]))
        hubs.append(points["wheel_centre"])
        contacts.append(contact)
    # The scales say where the car's weight is; without the wheels' own it is the body's.
    scales, unsprung = np.concatenate(weights, axis=1)
    sprung = float(scales.sum() - unsprung.sum())
    x, y, _ = (scales @ np.concatenate(contacts) - unsprung @ np.concatenate(hubs)) / sprung
    car.set_mass(WORLD, sprung, np.array([x, y, whole.centre_of_gravity]))
    return car
