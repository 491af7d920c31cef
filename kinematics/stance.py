"""An axle standing over the ground: moved corners and body attitude, and what follows from both.

Arrays are (..., 2, S) or (..., 2, S, 3) for corners and (..., S) for the axle, in the ground frame unless said.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kinematics import roll_centre as rolling
from kinematics import wheel_angles
from kinematics.car import SIDES
from kinematics.corners import CornerStates
from kinematics.ground import Attitude, contact_points
from solvers.vectors import Array

DEFAULT_OUTER_SHARE = 0.7  # of the lateral force on the outer wheel; a round figure, common practice, no source


@dataclass(frozen=True)
class Stance:
    """States of both corners with the body's attitude; every derived value is worked out once, when asked."""

    states: CornerStates
    attitude: Attitude
    outer_share: float = DEFAULT_OUTER_SHARE

    @cached_property
    def contact_on_body(self) -> Array:
        """Contact points in body axes [mm]."""
        return contact_points(self.states, self.attitude.normal)

    @cached_property
    def contact(self) -> Array:
        """Contact points [mm]."""
        return self.attitude.to_ground(self.contact_on_body)

    @cached_property
    def wheel_centre(self) -> Array:
        """Wheel centres [mm]."""
        return self.attitude.to_ground(self.states.wheel_centre)

    @cached_property
    def spin_axis(self) -> Array:
        """Outward unit vectors of the spin axes."""
        return self.attitude.turned(self.states.spin_axis)

    @cached_property
    def spin_axis_rate(self) -> Array:
        """Their change per mm of travel, the body's attitude held."""
        return self.attitude.turned(self.states.spin_axis_rate)

    @cached_property
    def contact_velocity(self) -> Array:
        """Velocity, relative to the body, of the wheel's material point at the contact, per mm of travel."""
        states = self.states
        in_body = rolling.contact_velocity(
            self.contact_on_body, states.wheel_centre, states.wheel_centre_rate, states.turn_rate
        )
        return self.attitude.turned(in_body)

    @cached_property
    def lines(self) -> rolling.ContactLines:
        """The lines whose meeting is the roll centre."""
        return rolling.contact_lines(self.contact, self.contact_velocity)

    @cached_property
    def roll_centre(self) -> Array:
        """Roll centre (y, z) (..., S, 2) [mm]."""
        return rolling.meeting(self.lines)

    @cached_property
    def force_weighted_height(self) -> Array:
        """Height at the centre plane of the resultant of the lateral forces (..., S) [mm]."""
        return rolling.force_weighted_height(self.lines, self.attitude.roll, self.outer_share)

    @cached_property
    def instant_centre(self) -> Array:
        """Front-view instant centres (y, z) (..., 2, S, 2) [mm]."""
        return rolling.instant_centre(self.contact, self.contact_velocity, self.states.turn_rate)

    @cached_property
    def points(self) -> dict[str, Array]:
        """All measured points where they are now [mm]."""
        return {key: self.attitude.to_ground(self.states.point(key)) for key in self.states.axle.suspension.keys}

    @cached_property
    def textbook_lines(self) -> rolling.ContactLines | None:
        """The contact lines by the drawing board, where the suspension type has such a construction."""
        slopes = rolling.textbook_slopes(self.states.axle.suspension, self.states.points, self.contact_on_body)
        if slopes is None:
            return None
        run, rise = self.attitude.turned_in_front_view(np.ones(1), slopes)
        with np.errstate(divide="ignore", invalid="ignore"):
            return rolling.ContactLines(self.contact, rise / run)

    @cached_property
    def textbook_roll_centre(self) -> Array:
        """Roll centre (y, z) by the drawing board (..., S, 2) [mm]; NaN where there is no construction."""
        lines = self.textbook_lines
        return np.full_like(self.roll_centre, np.nan) if lines is None else rolling.meeting(lines)

    @cached_property
    def steering_axis_on_body(self) -> tuple[Array, Array]:
        """Lower and upper point of the steering axes in body axes [mm]."""
        lower, upper = self.states.axle.suspension.steering_axis
        return self.states.point(lower), self.states.point(upper)

    @cached_property
    def scrub_and_trail(self) -> tuple[Array, Array]:
        """Scrub radius and mechanical trail [mm]."""
        lower, upper = self.states.axle.suspension.steering_axis
        low, high = (self.attitude.to_ground(self.states.points[key]) for key in (lower, upper))
        return wheel_angles.scrub_and_trail(low, high, self.contact, self.spin_axis)

    @cached_property
    def lower_arm_angle(self) -> Array:
        """Lower arm against level in front view [rad], positive where it rises towards the centre plane."""
        inner, outer = rolling.arm_in_front_view(self.states.axle.suspension.arms[0], self.states.points)
        across, rise = self.attitude.turned_in_front_view(outer[..., 0] - inner[..., 0], outer[..., 1] - inner[..., 1])
        return np.arctan2(-rise, SIDES[:, None] * across)
