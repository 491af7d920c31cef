"""Lean by the textbook: linear roll about a fixed roll axis, and the load that moves from wheel to wheel.

Roll gradient and load transfer as in D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering, 2018, 3.8
(seen in source), and W. F. Milliken and D. L. Milliken, Race Car Vehicle Dynamics, ch. 18 (from memory).
"""

from dataclasses import dataclass

import numpy as np

from kinematics.car.springs_and_bars import GRAVITY
from kinematics.loads.readiness import Lack, Need, NotReadyError
from solvers.vectors import Array


@dataclass(frozen=True)
class AxleInRoll:
    """One axle: stiffness [N mm/rad], track, roll-centre height, unsprung mass's height [mm], masses [kg]."""

    stiffness: float
    track: float
    roll_centre: float
    sprung: float
    unsprung: float
    unsprung_height: float


@dataclass(frozen=True)
class Transfer:
    """Load moved from the inner to the outer wheel of an axle [N], and its three parts."""

    geometric: float
    elastic: float
    unsprung: float

    @property
    def total(self) -> float:
        """All three together [N]."""
        return self.geometric + self.elastic + self.unsprung


@dataclass(frozen=True)
class Lean:
    """Roll [rad], outward positive, at a lateral acceleration [m/s^2], and the load that it moves."""

    acceleration: float
    roll: float
    front: Transfer
    rear: Transfer

    @property
    def gradient(self) -> float:
        """Roll per lateral acceleration [rad s^2/m]."""
        return self.roll / self.acceleration

    @property
    def front_share(self) -> float:
        """The front axle's part of all load transfer (total lateral load-transfer distribution)."""
        return self.front.total / (self.front.total + self.rear.total)


def textbook_lean(front: AxleInRoll, rear: AxleInRoll, arm: float, acceleration: float, gravity: float) -> Lean:
    """Lean at a lateral acceleration [m/s^2]; arm: height of the sprung centre of gravity over the roll axis [mm].

    phi / a = m d / (k - m g d), lengths in mm. Raises NotReadyError where the springs cannot hold the body
    up: it would fall over by itself.
    """
    mass = front.sprung + rear.sprung
    left = front.stiffness + rear.stiffness - mass * gravity * arm
    if left <= 0.0:
        raise NotReadyError([Lack(Need.ROLL_STIFFNESS)])
    roll = acceleration * mass * arm / left
    return Lean(acceleration, roll, *(_transfer(axle, roll, acceleration) for axle in (front, rear)))


def _transfer(axle: AxleInRoll, roll: float, acceleration: float) -> Transfer:
    return Transfer(
        geometric=axle.sprung * acceleration * axle.roll_centre / axle.track,
        elastic=axle.stiffness * roll / axle.track,
        unsprung=axle.unsprung * acceleration * axle.unsprung_height / axle.track,
    )


def in_g(acceleration: Array | float) -> Array:
    """Accelerations [m/s^2] in g."""
    return np.asarray(acceleration) / GRAVITY


def degrees_per_g(gradient: float, gravity: float) -> float:
    """Roll gradient [deg/g] from one in rad s^2/m; gravity: [m/s^2]."""
    return float(np.degrees(gradient) * gravity)
