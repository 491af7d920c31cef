"""What a car's owner knows besides its points: adjusters, travel stops, joint angles, centre of gravity."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from kinematics.car.springs_and_bars import Line
from solvers.vectors import Array

CamberBy = Literal["none", "strut top", "strut bolts", "lower arm", "upper arm"]


@dataclass(frozen=True)
class Adjusters:
    """How the car is aligned, and how far each adjuster goes from where it was measured.

    toe_link: most that the tie rod can be shortened (negative) and lengthened [mm]. camber_by: what sets camber;
    camber_range: its range, outward or longer positive [mm]; for bolts [rad], the strut's top leaning out positive.
    What one turn does, None if unknown: toe_thread: lengthens the tie rod [mm]; camber_turn: moves the camber adjuster
    [mm; for bolts rad]; perch_thread: moves the spring's perch [mm].
    """

    toe_link: tuple[float, float] = (-math.inf, math.inf)
    camber_by: CamberBy = "none"
    camber_range: tuple[float, float] = (-math.inf, math.inf)
    toe_thread: float | None = None
    camber_turn: float | None = None
    perch_thread: float | None = None


@dataclass(frozen=True)
class DamperTravel:
    """How long the dampers of both sides are, closed and open [mm]; None where unknown.

    line: between which ends. length: as measured the same way at the measured ride height, None where it is the
    distance between the line's ends.
    """

    line: Line
    closed: float | None
    opened: float | None
    length: float | None = None


@dataclass(frozen=True)
class Fittings:
    """Fittings of one axle.

    bump_stop, droop_stop: wheel travel from the measured ride height to each stop [mm], both positive, None if
    unknown. joint_angles: the largest angle that a joint may turn from where it was measured [rad], by point.
    inboard_brakes: their torque goes to the body through half-shafts, not to the part that carries the wheel.
    rack_travel: from straight ahead to full lock [mm], None if unknown. joint_middles: how far a joint is from its own
    middle at the measured ride height [rad], by point, positive where bump takes it farther; none: in the middle.
    damper: its lengths. tyre_to_arch: how far the wheel may rise in the body before its tyre touches; clearance: of the
    body's lowest part near this axle over the ground, both as measured [mm], None if unknown.
    """

    adjusters: Adjusters = Adjusters()
    bump_stop: float | None = None
    droop_stop: float | None = None
    joint_angles: Mapping[str, float] = field(default_factory=dict)
    inboard_brakes: bool = False
    rack_travel: float | None = None
    joint_middles: Mapping[str, float] = field(default_factory=dict)
    damper: DamperTravel | None = None
    tyre_to_arch: float | None = None
    clearance: float | None = None


@dataclass(frozen=True)
class Body:
    """The car between its axles, as measured; None where unknown.

    centre_of_gravity: of the sprung mass, height over the ground [mm], a float or one for each variant (...);
    behind_front: how far it lies behind the front wheel centres [mm]. wheelbase: [mm]. front_brakes, front_drive: the
    front axle's part of the braking and of the driving force, 0 to 1. unsprung: part of the whole car's mass that its
    wheels and what moves with them are, and how high they lie [mm]; none where its weights are not known. final_drive:
    turns of the propshaft for one of the wheels of a live axle at the rear. centre_of_gravity_known_to,
    wheelbase_known_to: one standard deviation [mm], None where nobody says. wheelbase_apart: of cars as they might be,
    by how much each one's wheelbase is longer (...) [mm].
    """

    centre_of_gravity: float | Array | None = None
    behind_front: float | None = None
    wheelbase: float | None = None
    front_brakes: float | None = None
    front_drive: float | None = None
    unsprung: tuple[float, float] = (0.0, 0.0)
    final_drive: float | None = None
    centre_of_gravity_known_to: float | None = None
    wheelbase_known_to: float | None = None
    wheelbase_apart: float | Array = 0.0

    @property
    def length(self) -> Array:
        """The wheelbase (...) [mm], of each where there are many cars."""
        assert self.wheelbase is not None  # the numbers that need it exist only where it is known
        return np.asarray(self.wheelbase + np.asarray(self.wheelbase_apart))

    def whole_height(self, heave: Array, pitch: Array | None = None, axle: str = "front") -> Array:
        """Height of the whole car's centre of gravity with the body raised by heave (..., S) [mm], unsprung masses not.

        Where weights are not known the sprung mass's stands in for it. pitch: (S,) [rad], about the place on the ground
        of the axle of that name, whose heave it is.
        """
        assert self.centre_of_gravity is not None  # the numbers that need it exist only where it is known
        part, up = self.unsprung
        height = np.asarray(self.centre_of_gravity)[..., None]
        if pitch is not None:
            height = height * np.cos(pitch) + self._behind(axle)[..., None] * np.sin(pitch)
        return np.asarray((1.0 - part) * (height + heave) + part * up)

    def _behind(self, axle: str) -> Array:
        """How far the centre of gravity lies behind an axle (...) [mm]; midway where that is not known."""
        wheelbase = np.zeros(()) if self.wheelbase is None else self.length
        behind_front = 0.5 * wheelbase if self.behind_front is None else np.asarray(self.behind_front)
        return np.asarray(behind_front if axle == "front" else behind_front - wheelbase)

    def raised(self, by: float | Array) -> "Body":
        """The same body raised by an amount [mm], or by one for each variant (...)."""
        height = self.centre_of_gravity
        return self if height is None else replace(self, centre_of_gravity=height + np.asarray(by))

    def variant(self, index: int | slice) -> "Body":
        """The body of one variant, or of some."""
        height = self.centre_of_gravity
        return replace(
            self,
            centre_of_gravity=None if height is None else chosen_of(height, index),
            wheelbase_apart=chosen_of(self.wheelbase_apart, index),
        )


def chosen_of(values: float | Array, index: int | slice) -> float | Array:
    """What one variant has, or some have, of a number that all may share."""
    if not np.ndim(values):
        return values
    chosen = np.asarray(values)[index]
    return chosen if np.ndim(chosen) else float(chosen)
