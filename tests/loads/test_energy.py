"""What the wheel loads put in along a sweep is what springs, bump stops and bar hold; rates are their slopes.

Energy is kept (formula), so the forces' work over any movement of the wheels is the change of the stored energy, with
lengths found from the measured points alone. And a wheel rate is the second slope of that energy, as the contact points
go up: on an upright wheel that goes straight up k MR^2 + F dMR/dtravel (formula; D. C. Barton and J. D. Fieldhouse,
Automotive Chassis Engineering, 2018, eqs 3.29-3.33, have its first term, seen in source).
"""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.integrate import fixed_quad
from scipy.optimize import brentq

from kinematics.car.springs_and_bars import GRAVITY, BumpStop, Line
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.loads.rates import rates
from kinematics.loads.setup import AxleSetup
from kinematics.motion.states import CornerStates
from solvers.vectors import Array
from tests.loads import invented_loads as invented
from tests.loads.invented_loads import Mixture
from tests.properties.differences import slope_at_zero

LOW, HIGH = -38.0, 42.0  # mm of travel
WAYS = {"together": (1.0, 1.0), "opposite": (1.0, -1.0), "left alone": (1.0, 0.0), "right alone": (0.0, 1.0)}
# Forces are analytic between kinks, and over so little travel thirty nodes of Gauss's rule leave rounding alone.
NODES = 30
ENERGY = 1e-12  # of the energy stored; lengths of some 1e2 mm are known to about 1e-13 of themselves


@dataclass(frozen=True)
class Case:
    """An axle with springs and perhaps a bar."""

    kind: str
    seat: Mixture | None
    link: Mixture | None = None
    stop: BumpStop | None = None
    corner: float = 290.0

    @property
    def setup(self) -> AxleSetup:
        axle = invented.typical_axle(SUSPENSIONS[self.kind])
        line = Line() if self.seat is None else invented.line_from(axle, self.seat)
        bar = None if self.link is None else invented.bar_behind(axle, self.link)
        # The sides differ, so that one taken for the other would show.
        its = invented.loads(
            line,
            rate=np.array([31.0, 28.0]),
            corner=self.corner * np.array([1.0, 0.94]),
            unsprung=38.0,
            bar=bar,
            stop=self.stop,
        )
        return invented.fitted(axle, its)


CASES = {
    "strut": Case("strut", None),
    "strut with a bar": Case("strut", None, invented.ON_STRUT),
    "strut with a bump stop": Case("strut", None, stop=invented.STOP),
    "strut whose springs come loose": Case("strut", None, corner=110.0),
    "spring and bar on the lower arm": Case("double wishbone", invented.ON_LOWER_ARM, invented.ON_LOWER_ARM),
    "spring on a swept arm": Case("semi-trailing arm", invented.ON_SEMI_TRAILING_ARM),
    "live axle": Case("live axle with three links", invented.ON_LIVE_AXLE),
    "live axle with a bar and stops": Case(
        "live axle with three links", invented.ON_LIVE_AXLE, invented.ON_LIVE_AXLE, invented.STOP
    ),
}
CASE = pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())


def kinks(setup: AxleSetup, seat: Mixture | None, way: Array) -> list[float]:
    """Travels at which a spring comes loose or a stop's curve goes into its next piece."""
    stop = setup.loads.spring.bump_stop
    rest = invented.spring_length(setup.moving.at(np.zeros((2, 1))), seat)[:, 0]
    found = []
    for side in (0, 1):
        ends = [] if stop is None else [stop.gap + into for into in stop.compression]
        for shorter in [*ends, -setup.preload[side] / setup.rate[side]]:

            def off(travel: float, side: int = side, shorter: float = shorter) -> float:
                states = setup.moving.at(way[:, None] * travel)
                return float(rest[side] - invented.spring_length(states, seat)[side, 0] - shorter)

            if off(LOW) * off(HIGH) < 0.0:
                found.append(brentq(off, LOW, HIGH, xtol=1e-12))
    return sorted(found)


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS.keys())
@CASE
def test_work_of_the_wheel_loads_is_the_energy_stored(case: Case, way: tuple[float, float]) -> None:
    setup, both = case.setup, np.array(way)

    def force(travel: Array) -> Array:
        along = setup.forces(setup.moving.at(both[:, None] * travel)).along_travel
        return np.asarray(-(both[:, None] * along).sum(axis=0))

    ends = [LOW, *kinks(setup, case.seat, both), HIGH]
    pieces = [fixed_quad(force, low, high, n=NODES)[0] for low, high in pairwise(ends)]
    states = setup.moving.at(both[:, None] * np.array([LOW, HIGH]))
    assert states.reached.all()
    start, end = invented.stored_energy(setup, states, case.seat, case.link)
    scale = max(abs(start), abs(end))
    assert abs(sum(pieces) - (end - start)) < ENERGY * scale


def test_the_cases_do_what_their_names_say() -> None:
    """A stop that is never met or a spring that never comes loose would prove nothing."""
    both = np.ones((2, 1)) * np.array([LOW, HIGH])
    stopped, loose = (CASES[name].setup for name in ("strut with a bump stop", "strut whose springs come loose"))
    assert (stopped.forces(stopped.moving.at(both)).stop[:, 1] > invented.STOP.force[-1]).all()  # beyond its curve
    assert (loose.forces(loose.moving.at(both)).spring[:, 0] == 0.0).all()


@CASE
def test_wheel_rate_is_the_slope_of_the_loads_that_hold_the_energy(case: Case) -> None:
    """Clear of kinks: what it takes on a contact point for each mm that it goes up, by energy alone.

    The slope of the energy in springs and bar, and of the hubs' weight, as one contact point goes up is the load there.
    Differences of eighth order.
    """
    setup, travel = case.setup, np.array([-9.0, 0.0, 1.5])
    found = rates(setup, travel)
    no_bar = setup.with_bar(np.zeros(()))

    def stored(of: AxleSetup, at: Array) -> tuple[Array, Array]:
        """Energy (S,) and heights of the contact points (2, S) at a travel (2, S)."""
        states = of.moving.at(at)
        link = case.link if of is setup else None
        energy = invented.stored_energy(of, states, case.seat, link)
        weight = of.loads.unsprung[:, None] * GRAVITY * states.wheel_centre[..., 2]
        return energy + weight.sum(axis=0), lowest(states)

    def loads(of: AxleSetup, at: Array) -> tuple[Array, Array]:
        """Loads (2, S) that hold the wheels at a travel (2, S), and the heights."""

        def along(wheel: int) -> tuple[Array, Array]:
            def energy(steps: Array) -> Array:
                moved = np.repeat(at[..., None], steps.size, axis=-1)
                moved[wheel] += steps
                return stored(of, moved.reshape(2, -1))[0].reshape(at.shape[1], -1)

            def height(steps: Array) -> Array:
                moved = np.repeat(at[..., None], steps.size, axis=-1)
                moved[wheel] += steps
                return stored(of, moved.reshape(2, -1))[1].reshape(2, at.shape[1], -1)

            return slope_at_zero(energy, 1.0), slope_at_zero(height, 1.0)

        (e, up_left), (f, up_right) = along(0), along(1)
        # The slope of energy along a wheel's travel is what both loads do as it travels.
        matrix = np.stack([up_left, up_right])  # travelling wheel, contact point, states
        solved = np.linalg.solve(np.moveaxis(matrix, -1, 0), np.stack([e, f], axis=-1)[..., None])[..., 0].T
        return solved, stored(of, at)[1]

    def slope(of: AxleSetup, way: Array) -> Array:
        def read(which: int) -> Array:
            def values(steps: Array) -> Array:
                at = way[:, None, None] * steps + travel[:, None]
                return loads(of, at.reshape(2, -1))[which].reshape(at.shape)

            return np.asarray(slope_at_zero(values, 0.5))

        return read(0) / read(1)

    # Energy of some 1e5 N mm to 1e-12 of itself, differenced twice over millimetres.
    close = {"atol": 3e-5, "rtol": 0.0}
    against = np.array([1.0, -1.0])
    assert_allclose(found.wheel_rate, slope(no_bar, np.ones(2)), **close)
    assert_allclose(found.wheel_rate_in_roll, slope(no_bar, against), **close)
    assert_allclose(found.bar_in_roll, slope(setup, against) - slope(no_bar, against), **close)


def lowest(states: CornerStates) -> Array:
    """Heights of the lowest points of the wheels' discs in the body (2, S)."""
    axis = states.rotation @ states.axle.spin_axis[:, None, :, None]
    radius = states.axle.points["wheel_centre"][:, 2] / np.sqrt(1.0 - states.axle.spin_axis[:, 2] ** 2)
    return np.asarray(states.wheel_centre[..., 2] - radius[:, None] * np.sqrt(1.0 - axis[..., 2, 0] ** 2))


@pytest.mark.parametrize("length", [700.0, 420.0])
def test_wheel_rate_of_a_swing_axle(length: float) -> None:
    """Formula: a spring k right over the wheel's centre plane on a plain swing arm in front view, pivot level with hub.

    Force times the hub's lever, l cos a, is load times the contact point's, l cos a + R sin a, at an angle a: the foot
    goes out as the wheel goes up.
    """
    axle = replace(invented.typical_axle(SUSPENSIONS["swing axle"]), camber=np.zeros(2), toe=np.zeros(2))
    hub = axle.points["wheel_centre"]
    radius = float(hub[0, 2])
    pivots = {key: hub - np.array([[0.0, length, 0.0], [0.0, -length, 0.0]]) for key in axle.points if "pivot" in key}
    ahead = iter((150.0, -150.0))
    pivots = {key: at + np.array([next(ahead), 0.0, 0.0]) for key, at in pivots.items()}
    axle = replace(axle, points={**axle.points, **pivots})
    rate, scale, unsprung = 30.0, 280.0, 1e-6
    setup = invented.fitted(axle, invented.loads(Line(ratio=1.0), rate=rate, corner=scale, unsprung=unsprung))
    # By ratio 1 the spring is pressed as far as the hub goes up: F = F0 + k l sin a, its lever l cos a.
    load = scale * GRAVITY
    # dN/da at a = 0: k l - F R / l, and the contact point goes up by l for each rad.
    assert rates(setup, np.zeros(1)).wheel_rate == pytest.approx(
        np.full((2, 1), rate - load * radius / length**2), rel=1e-6
    )


@CASE
def test_motion_ratio_is_the_slope_of_the_lengths(case: Case) -> None:
    setup, travel = case.setup, np.linspace(-30.0, 35.0, 5)
    found = rates(setup, travel)
    for way, ratio in (((1.0, 1.0), found.motion_ratio), ((1.0, -1.0), found.motion_ratio_in_roll)):
        both = np.array(way)

        def length(steps: Array, both: Array = both) -> Array:
            at = np.broadcast_to(both[:, None, None] * steps, (2, travel.size, steps.size)) + travel[:, None]
            states = setup.moving.at(at.reshape(2, -1))
            return invented.spring_length(states, case.seat).reshape(at.shape)

        # Lengths are good to 1e-11 mm.
        assert_allclose(ratio, -both[:, None] * slope_at_zero(length, 1.0), rtol=0.0, atol=1e-9)
