"""Invented springs, bars and weights on the invented axles of the blank files, and their lengths reckoned apart."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from kinematics import Axle
from kinematics.car.springs_and_bars import Attachment, AxleLoads, Bar, BarEnds, BumpStop, Line, Spring
from kinematics.car.suspension_type import CHASSIS, SuspensionType
from kinematics.loads.setup import AxleSetup, calibrated
from kinematics.motion.states import CornerStates
from solvers.vectors import Array
from tests.properties.plausible_cars import MIRROR, typical_axle

SIDES = np.array([1.0, -1.0])
INWARDS = np.array([[0.0, -1.0, 0.0], [0.0, 1.0, 0.0]])
STOP = BumpStop(12.0, (0.0, 8.0, 16.0, 24.0), (0.0, 300.0, 1100.0, 3200.0))  # progressive, force over compression


@dataclass(frozen=True)
class Mixture:
    """A point of a rigid part as a weighted mean of measured points of it, so wherever they go, it is known too."""

    on: str
    weights: Mapping[str, float]

    def of(self, points: Mapping[str, Array]) -> Array:
        """The mean; weights add up to one."""
        assert abs(sum(self.weights.values()) - 1.0) < 1e-12
        return np.asarray(sum(weight * points[key] for key, weight in self.weights.items()))


ON_LOWER_ARM = Mixture("lower arm", {"lower_pivot_front": 0.25, "lower_pivot_rear": 0.15, "lower_ball_joint": 0.6})
ON_STRUT = Mixture("upright", {"strut_low": 0.9, "wheel_centre": 0.4, "lower_ball_joint": -0.3})
ON_LIVE_AXLE = Mixture("axle", {"wheel_centre": 0.7, "lower_link_axle": 0.3})
ON_SEMI_TRAILING_ARM = Mixture("arm", {"wheel_centre": 0.6, "pivot_inner": 0.3, "pivot_outer": 0.1})


def symmetric(kind: SuspensionType) -> Axle:
    """The blank file's axle with upright wheels that point straight ahead."""
    return replace(typical_axle(kind), camber=np.zeros(2), toe=np.zeros(2))


def loads(
    line: Line,
    *,
    rate: float | Array = 30.0,
    corner: float | Array = 290.0,
    unsprung: float | Array = 36.0,
    bar: Bar | None = None,
    tyre: float | None = None,
    stop: BumpStop | None = None,
) -> AxleLoads:
    """Loads of an axle, alike on both sides where one number is given."""
    rate, corner, unsprung = (np.broadcast_to(np.asarray(values, float), 2) for values in (rate, corner, unsprung))
    return AxleLoads(corner, unsprung, Spring(line, rate, bump_stop=stop), bar, tyre)


def fitted(axle: Axle, its: AxleLoads) -> AxleSetup:
    """The axle on its springs."""
    return calibrated(replace(axle, loads=its))


def line_from(axle: Axle, seat: Mixture, top: tuple[float, float, float] = (15.0, 40.0, 260.0)) -> Line:
    """A spring from a seat to a place that lies so far ahead, inwards and up from it."""
    place = seat.of(axle.points)
    ahead, inwards, up = top
    mount = place + np.array([ahead, 0.0, up]) + inwards * INWARDS
    return Line(Attachment(place, seat.on), Attachment(mount, CHASSIS))


def bar_behind(axle: Axle, link: Mixture, rate: float = 25.0) -> Bar:
    """A bar whose arms reach 200 mm ahead to drop links that stand on the arm ends, a little askew."""
    top = link.of(axle.points)
    end = top + np.array([-12.0, 0.0, -150.0]) + 20.0 * INWARDS
    axis = end + np.array([-200.0, 0.0, 15.0])
    return Bar(rate, BarEnds(axis, end, Attachment(top, link.on)))


def spring_length(states: CornerStates, seat: Mixture | None) -> Array:
    """Length of the springs (2, S), from where the measured points have gone; without a seat, of the struts'."""
    if seat is None:
        between = states.point("strut_low") - states.point("strut_top")
    else:
        line = states.axle.loads.spring.line  # type: ignore[union-attr]
        between = seat.of(states.points) - line.chassis.place[:, None]  # type: ignore[union-attr]
    return np.asarray(np.sqrt((between**2).sum(axis=-1)))


def arm_end_movement(states: CornerStates, bar: Bar, link: Mixture) -> Array:
    """How far both arm ends are along their circles (2, S), up positive: the drop link keeps its length."""
    ends = bar.ends
    assert ends is not None
    joint = np.broadcast_to(link.of(states.points), states.wheel_centre.shape)
    moved = np.empty(joint.shape[:-1])
    for side, sample in np.ndindex(*moved.shape):
        reach = np.linalg.norm(ends.drop_link.place[side] - ends.arm_end[side])
        arm = ends.arm_end[side] - ends.axis[side]
        moved[side, sample] = np.hypot(arm[0], arm[2]) * _turn(arm, joint[side, sample] - ends.axis[side], reach)
    return moved


def _turn(arm: Array, joint: Array, reach: float) -> float:
    """Angle by which an arm that points ahead has turned upwards, so that its end is a reach from the joint."""

    def too_far(angle: float) -> float:
        cosine, sine = np.cos(angle), np.sin(angle)
        end = np.array([arm[0] * cosine - arm[2] * sine, arm[1], arm[0] * sine + arm[2] * cosine])
        return float(np.linalg.norm(joint - end) - reach)

    return float(brentq(too_far, -0.6, 0.6, xtol=1e-15, rtol=1e-14))


def stored_energy(setup: AxleSetup, states: CornerStates, seat: Mixture | None, link: Mixture | None) -> Array:
    """Energy in springs, bump stops and bar (S,) [N mm], from lengths reckoned here."""
    rest = spring_length(setup.moving.at(np.zeros((2, 1))), seat)
    shorter = rest - spring_length(states, seat)
    force = np.maximum(setup.preload[:, None] + setup.rate[:, None] * shorter, 0.0)
    energy = (force**2 / (2.0 * setup.rate[:, None])).sum(axis=0)
    stop = setup.loads.spring.bump_stop
    if stop is not None:
        curve = PchipInterpolator(stop.compression, stop.force)
        into, most = np.maximum(shorter - stop.gap, 0.0), stop.compression[-1]
        beyond = np.maximum(into - most, 0.0)  # on it goes, as steeply as the curve ends
        held = stop.force[-1] * beyond + float(curve.derivative()(most)) * beyond**2 / 2.0
        energy = energy + (curve.antiderivative()(np.minimum(into, most)) + held).sum(axis=0)
    if link is not None and setup.loads.bar is not None:
        left, right = arm_end_movement(states, setup.loads.bar, link)
        energy = energy + setup.bar * (left - right) ** 2 / 2.0
    return np.asarray(energy)


def mirrored_loads(its: AxleLoads) -> AxleLoads:
    """The loads as seen in a mirror; for springs on a line of their own, and bars by ratio."""
    spring = its.spring
    ends = (
        None if end is None else replace(end, place=end.place[::-1] * MIRROR)
        for end in (spring.line.moving, spring.line.chassis)
    )
    line = replace(spring.line, **dict(zip(("moving", "chassis"), ends, strict=True)))
    return replace(
        its,
        corner_mass=its.corner_mass[::-1],
        unsprung=its.unsprung[::-1],
        spring=replace(spring, line=line, rate=spring.rate[::-1]),
    )
