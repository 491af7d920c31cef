"""The whole car's balance against a general-purpose multibody engine that shares no code with ours.

Source: MuJoCo, told the joints, springs, bar and weights one by one, at rest in corners, braking, driving and both at
once: roll, pitch, heights at both axles and every wheel's load. Braked outboard and inboard, driven through half-shafts
in front and by a live axle behind.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from kinematics import Axle, Car, Limits, with_working_states
from kinematics.car.fittings import Body, Fittings
from kinematics.car.lengths import MM
from kinematics.car.limits import Accelerations
from kinematics.car.springs_and_bars import Attachment, AxleLoads, Bar, BarEnds, BumpStop, Line, Spring
from kinematics.car.suspension_type import CHASSIS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.loads.balanced_share import balanced_shares
from kinematics.loads.equilibrium import Balance, balance
from kinematics.loads.setup import AxleSetup, calibrated
from kinematics.loads.whole_car import WholeCar
from kinematics.loads.working_states import manoeuvres_of
from tests.engines import corner_linkages, live_axle_linkages
from tests.engines.linkage import WORLD, Array
from tests.loads.mujoco_car import GRAVITY, MujocoCar, Pushed, Rest
from tests.short_run import at_places

SIDES = np.array([1.0, -1.0])
WHEELBASE, HEIGHT, TYRE = 2560.0, 520.0, 200.0
FRONT_BRAKES, FRONT_DRIVE = 0.75, 1.0 / 3.0
UNSPRUNG_FRONT, UNSPRUNG_REAR = 36.0, 60.0
REAR_RATE = 28.0
CORNERS = (-4.0, 0.0, 2.0, 4.0, 6.0)  # m/s^2
AT_REST = CORNERS.index(0.0)
STOP_GAP, STOP_RATE = 4.0, 60.0
LIFTING, STIFF_BAR = (3.0, 6.0, 9.0, 10.0, 11.0), 150.0
TAIL_HEAVY = (200.0, 200.0, 320.0, 320.0)


@dataclass(frozen=True)
class Case:
    """An invented car: its front axle, and how it is laden. Orders are front left, front right, rear left, rear right.

    scales: each wheel's mass there [kg]; ballast: more of it, at the height of the centre of gravity [kg];
    inboard: the front brakes' torque goes to the body; stiffer: times the springs' rate, and shorter [mm] than those
    on which it stood on the scales.
    """

    front: str
    scales: tuple[float, ...] = (290.0, 290.0, 260.0, 260.0)
    ballast: tuple[float, ...] = (0.0, 0.0, 0.0, 0.0)
    stiffer: float = 1.0
    shorter: float = 0.0
    stops: bool = False
    bar: float = 25.0
    inboard: bool = False


DRIVER_ASIDE = (310.0, 285.0, 275.0, 250.0)
CASES = [
    pytest.param(Case("double wishbone"), id="double-wishbone"),
    pytest.param(Case("double wishbone", DRIVER_ASIDE), id="double-wishbone,-driver-aside"),
    pytest.param(Case("double wishbone", stops=True), id="double-wishbone,-on-its-stops"),
    pytest.param(Case("strut"), id="strut"),
    pytest.param(Case("strut", DRIVER_ASIDE, ballast=(25.0, 18.0, 22.0, 15.0)), id="strut,-driver-aside,-laden"),
    pytest.param(Case("strut", stiffer=1.4, shorter=40.0), id="strut,-lowered"),
]
# A short run has an uneven one.
LADEN_AND_ALL = at_places(CASES, 4)

# Both find balance to about 1e-8 mm, on tyres of 200 N/mm; differences of forces of 1e4 N leave some 1e-6 N.
LOAD_TO, HEIGHT_TO, ANGLE_TO = 1e-4, 1e-5, 1e-8  # N, mm, rad


@pytest.mark.campaign
@pytest.mark.parametrize("case", at_places([Case("double wishbone"), Case("strut", DRIVER_ASIDE)], 1))
def test_at_rest_the_car_stands_as_measured(case: Case) -> None:
    engine = _engine(case, CORNERS)[AT_REST]
    # The engine's links are not quite without weight: some 1e-8 kg together.
    assert np.abs(engine.heave).max() < 1e-7
    assert abs(engine.roll) < 1e-10
    assert np.abs(engine.load - np.array(case.scales) * GRAVITY).max() < 1e-6


@pytest.mark.campaign
@pytest.mark.parametrize("case", LADEN_AND_ALL)
def test_roll_pitch_and_loads_agree(case: Case) -> None:
    ours, engine = _ours(case, CORNERS), _engine(case, CORNERS)
    assert ours.solved.all()
    _agree(ours, engine)


# Braking on a bend and driving out of it; the last ones straight.
BENDS, AHEAD = (3.0, -4.0, 2.0, 0.0, 0.0), (-4.0, -6.0, 3.0, -7.0, 4.0)  # m/s^2


@pytest.mark.parametrize(
    "case",
    at_places(
        [
            pytest.param(Case("double wishbone"), id="double-wishbone"),
            pytest.param(Case("double wishbone", DRIVER_ASIDE, inboard=True), id="double-wishbone,-inboard-brakes"),
            pytest.param(Case("double wishbone", stops=True), id="double-wishbone,-on-its-stops"),
            pytest.param(Case("strut", DRIVER_ASIDE, ballast=(25.0, 18.0, 22.0, 15.0)), id="strut,-laden"),
        ],
        3,
    ),
)
def test_braking_and_driving_agree(case: Case) -> None:
    """Three quarters of the braking in front; of the driving a third, through half-shafts, the rest by a live axle."""
    ours, engine = _ours(case, BENDS, AHEAD), _engine(case, BENDS, AHEAD)
    assert ours.solved.all()
    assert np.abs(ours.pitch).max() > np.radians(0.5)
    _agree(ours, engine)


@pytest.mark.campaign
@pytest.mark.parametrize("front", at_places(["double wishbone", "strut"], 1))
def test_a_wheel_lifts(front: str) -> None:
    """A stiff bar in front lifts the inner wheel there long before the car would fall over."""
    case = Case(front, TAIL_HEAVY, bar=STIFF_BAR)
    ours, engine = _ours(case, LIFTING), _engine(case, LIFTING)
    _agree(ours, engine)
    assert (ours.lifted[..., -1].ravel() == (engine[-1].load == 0.0)).all()
    assert engine[0].load.min() > 0.0
    assert engine[-1].load.min() == 0.0


def _agree(ours: Balance, engine: list[Rest]) -> None:
    for index, rest in enumerate(engine):
        _is_rest(rest)
        assert np.abs(ours.load[..., index].ravel() - rest.load).max() < LOAD_TO
        assert np.abs(ours.heave[:, index] - rest.heave).max() < HEIGHT_TO
        assert abs(ours.roll[index] - rest.roll) < ANGLE_TO
        assert abs(ours.pitch[index] - rest.pitch) < ANGLE_TO


@pytest.mark.campaign
@pytest.mark.parametrize("case", at_places([Case("double wishbone"), Case("strut")], 0))
def test_outer_share_of_a_lean(case: Case) -> None:
    """The outer wheel's part of an axle's load where its springs lean so far: body's roll less what tyres squash.

    The mean of leaning as far to the left as to the right.
    """
    whole, engine = _car(case), _engine(case, CORNERS)
    ways = [(engine[CORNERS.index(lateral)], np.sign(lateral)) for lateral in (-4.0, 4.0)]
    for index, setup in enumerate(whole.axles):
        contact = _lowest(setup.axle)
        track = float(contact[0, 1] - contact[1, 1])
        loads = [(rest.load.reshape(2, 2)[index], way) for rest, way in ways]
        excess = np.mean([0.5 * way * (right - left) / (left + right) for (left, right), way in loads])
        in_tyres = np.mean([way * (right - left) / (TYRE * track) for (left, right), way in loads])
        leant = float(np.mean([way * rest.roll for rest, way in ways]) - in_tyres)
        found = balanced_shares(whole, leant)[setup.axle.name]
        assert found - 0.5 == pytest.approx(excess, rel=1e-3)


@pytest.mark.campaign
@pytest.mark.parametrize("case", [Case("double wishbone"), Case("strut", DRIVER_ASIDE)])
def test_working_roll_of_stated_accelerations(case: Case) -> None:
    """The most that the body leans over the hubs of either axle, in corners alone and with braking at once."""
    asked = Accelerations(cornering=0.4, braking=0.6)
    ways = [(one.lateral * GRAVITY, one.forward * GRAVITY) for one in manoeuvres_of(asked) if one.lateral]
    corners = tuple(lateral for lateral, forward in ways if not forward)
    both = [way for way in ways if way[1]]
    rests = [*_engine(case, corners), *_engine(case, *map(tuple, zip(*both, strict=True)))]
    whole = _car(case)
    at_rest = _engine(case, CORNERS)[AT_REST].load.reshape(2, 2)
    leant = []
    for index, setup in enumerate(whole.axles):
        contact = _lowest(setup.axle)
        track = float(contact[0, 1] - contact[1, 1])
        moved = [rest.load.reshape(2, 2)[index] - at_rest[index] for rest in rests]
        leant += [
            abs(rest.roll - (right - left) / (TYRE * track)) for rest, (left, right) in zip(rests, moved, strict=True)
        ]
    car = Car("in the engine", MM, tuple(setup.axle for setup in whole.axles), Limits())
    found = with_working_states(Limits(accelerations=asked), car).working
    assert found.roll == pytest.approx(max(leant), abs=ANGLE_TO)


def _is_rest(rest: Rest) -> None:
    # Rounding of forces of 1e4 N, and of lengths of 1 m.
    assert rest.left_over < 1e-7
    assert rest.gap < 1e-9
    assert rest.stable


def _both(x: float, y: float, z: float) -> Array:
    return np.array([[x, y, z], [x, -y, z]])


REAR_SPRING = Line(Attachment(_both(20, 505, 300), "axle"), Attachment(_both(20, 480, 560), CHASSIS))
FRONT_SPRINGS = {
    "double wishbone": Line(Attachment(_both(15, 560, 195), "lower arm"), Attachment(_both(-10, 490, 560), CHASSIS)),
    "strut": Line(),
}
FRONT_RATES = {"double wishbone": 110.0, "strut": 35.0}
FRONT_BARS = {
    "double wishbone": BarEnds(
        _both(-260, 400, 290), _both(-40, 520, 300), Attachment(_both(-35, 545, 190), "lower arm")
    ),
    "strut": BarEnds(_both(-250, 400, 180), _both(-60, 600, 190), Attachment(_both(-20, 625, 400), "upright")),
}
FRONT_BUILDS = {"double wishbone": corner_linkages.double_wishbone, "strut": corner_linkages.strut}


def _axle(name: str, kind: str, loads: AxleLoads, *, inboard: bool = False) -> Axle:
    suspension = SUSPENSIONS[kind]
    points = {}
    for point in suspension.points:
        left = np.array(point.typical, dtype=float)
        points[point.key] = np.stack([left, left if point.single else left * [1.0, -1.0, 1.0]])
    camber = np.zeros(2) if suspension.whole_axle else np.radians([-1.0, -1.0])
    body = Body(HEIGHT, wheelbase=WHEELBASE, front_brakes=FRONT_BRAKES, front_drive=FRONT_DRIVE)
    fittings = Fittings(inboard_brakes=inboard)
    return Axle(name, suspension, points, camber, np.zeros(2), fittings=fittings, body=body, loads=loads)


@cache
def _car(case: Case) -> WholeCar:
    scales = np.array(case.scales).reshape(2, 2)
    stop = BumpStop(STOP_GAP, (0.0, 20.0), (0.0, 20.0 * STOP_RATE)) if case.stops else None
    spring = Spring(FRONT_SPRINGS[case.front], np.full(2, FRONT_RATES[case.front]), bump_stop=stop)
    bar = Bar(case.bar, FRONT_BARS[case.front])
    front = _axle(
        "front", case.front, AxleLoads(scales[0], np.full(2, UNSPRUNG_FRONT), spring, bar, TYRE), inboard=case.inboard
    )
    spring = Spring(REAR_SPRING, np.full(2, REAR_RATE))
    loads = AxleLoads(scales[1], np.full(2, UNSPRUNG_REAR), spring, None, TYRE)
    rear = _axle("rear", "live axle with three links", loads)
    return WholeCar(*(_resprung(calibrated(axle), case) for axle in (front, rear)), HEIGHT, WHEELBASE)


def _resprung(setup: AxleSetup, case: Case) -> AxleSetup:
    return setup.with_springs(setup.rate * case.stiffer, setup.free_length - case.shorter)


@cache
def _ours(case: Case, laterals: tuple[float, ...], ahead: tuple[float, ...] = ()) -> Balance:
    ballast = np.repeat(np.array(case.ballast)[:, None], len(laterals), axis=1)
    forward = np.array(ahead) if ahead else None
    return balance(_car(case), np.array(laterals), ballast=ballast, forward=forward)


@cache
def _engine(case: Case, laterals: tuple[float, ...], ahead: tuple[float, ...] = ()) -> list[Rest]:
    whole, car = _car(case), MujocoCar()
    behind = np.array([-WHEELBASE, 0.0, 0.0])
    front, rear = whole.front.axle, whole.rear.axle
    _add_front(car, case, front, whole.front.free_length)
    rear_points = {key: point + behind for key, point in rear.points.items()}
    _add_rear(car, case, rear_points, behind, whole.rear.free_length)
    # The scales say where the car's weight is; without the wheels' own it is the body's.
    contacts = np.concatenate([_lowest(front), _lowest(rear) + behind])
    hubs = np.concatenate([front.points["wheel_centre"], rear_points["wheel_centre"]])
    masses = np.array(case.scales) + np.array(case.ballast)
    unsprung = np.array([UNSPRUNG_FRONT, UNSPRUNG_FRONT, UNSPRUNG_REAR, UNSPRUNG_REAR])
    sprung = float(masses.sum() - unsprung.sum())
    x, y, _ = (masses @ contacts - unsprung @ hubs) / sprung
    car.set_mass(WORLD, sprung, np.array([x, y, HEIGHT]))
    marks = np.array([[0.0, 0.0, 0.0], behind])
    if not ahead:
        return car.at_rest(laterals, marks)
    rests = []
    for lateral, forward in zip(laterals, ahead, strict=True):
        braking = forward < 0.0
        front = FRONT_BRAKES if braking else FRONT_DRIVE
        by_body = (case.inboard if braking else True, False)
        rests += car.at_rest([lateral], marks, [forward], Pushed(front, by_body))
    return rests


def _add_front(car: MujocoCar, case: Case, axle: Axle, free_length: Array) -> None:
    line, bar, arms = FRONT_SPRINGS[case.front], FRONT_BARS[case.front], []
    for side, place in enumerate(("left", "right")):
        corner = {key: point[side] for key, point in axle.points.items()}
        car.add_linkage(place, FRONT_BUILDS[case.front], corner)
        if line.moving is None:
            low, top, on = corner["strut_low"], corner["strut_top"], "strut tube"
        else:
            low, top, on = line.moving.place[side], line.chassis.place[side], line.moving.on
        rate = FRONT_RATES[case.front] * case.stiffer
        car.spring(f"{place} spring", f"{place} {on}", low, top, rate, free_length[side])
        if case.stops:
            touched = float(np.linalg.norm(low - top)) - STOP_GAP
            car.spring(f"{place} stop", f"{place} {on}", low, top, STOP_RATE, touched)
        link = bar.drop_link
        arms.append((bar.axis[side], bar.arm_end[side], f"{place} {link.on}", link.place[side]))
        centre = corner["wheel_centre"]
        car.set_mass(f"{place} upright", UNSPRUNG_FRONT, centre)
        # Negative camber leans the top inwards: about x, to the right on the left side.
        outwards = Rotation.from_euler("x", -SIDES[side] * axle.camber[side]).apply([0.0, SIDES[side], 0.0])
        car.tyre(f"{place} upright", centre, outwards, case.scales[side] * GRAVITY, TYRE, end=0)
    car.bar(case.bar, arms)


def _add_rear(car: MujocoCar, case: Case, points: dict[str, Array], behind: Array, free_length: Array) -> None:
    car.add_linkage("rear", live_axle_linkages.three_links, points)
    car.set_mass("rear axle", 2.0 * UNSPRUNG_REAR, points["wheel_centre"].mean(axis=0))
    for side, place in enumerate(("left", "right")):
        low, top = (end.place[side] + behind for end in (REAR_SPRING.moving, REAR_SPRING.chassis))
        car.spring(f"rear {place} spring", "rear axle", low, top, REAR_RATE * case.stiffer, free_length[side])
        outwards = np.array([0.0, SIDES[side], 0.0])
        car.tyre(
            "rear axle",
            points["wheel_centre"][side],
            outwards,
            case.scales[2 + side] * GRAVITY,
            TYRE,
            end=1,
        )


def _lowest(axle: Axle) -> Array:
    """Where the wheels stand as measured: upright discs right under their centres, leaning ones a little aside."""
    centre = axle.points["wheel_centre"]
    return np.stack([centre[:, 0], centre[:, 1] - SIDES * np.tan(axle.camber) * centre[:, 2], np.zeros(2)], axis=-1)
