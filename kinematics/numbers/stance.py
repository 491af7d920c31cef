"""An axle standing on the ground: solved corners and the body's attitude, and what follows from both.

Arrays are (..., 2, S) or (..., 2, S, 3) for corners and (..., S) for the axle, in the ground frame unless stated.
Frames, signs, units and shapes: kinematics/GLOSSARY.md.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDES
from kinematics.motion.ground import Attitude, contact_points
from kinematics.motion.states import CornerStates, Motion
from kinematics.numbers import roll_centre as rolling
from kinematics.numbers import textbook, wheel_angles
from kinematics.numbers.outer_share import USUAL, OuterShare
from solvers.tangents import arctan2
from solvers.vectors import Array

GROUND_FRAME = "ground frame: level axes under the body's centre plane"


@dataclass(frozen=True, repr=False)
class Stance:
    """States of both corners with the body's attitude; every derived value is computed once, when first asked for.

    outer_share: the outer wheel's part of the lateral force. straight: steer of both wheels (..., 2, S) [rad]
    at the same attitude with the rack in the middle; None where the rack is not moved.
    """

    states: CornerStates
    attitude: Attitude
    outer_share: OuterShare = USUAL
    straight: Array | None = None

    def __repr__(self) -> str:
        axle = self.states.axle
        return f"<{axle.name} {axle.suspension.name} standing in {self.attitude.roll.size} states>"

    @property
    def rack_travel(self) -> Array:
        """Rack travel at each state (..., S) [mm], to the left positive."""
        return self.states.axle.rack[..., None] + np.zeros_like(self.attitude.roll)

    @cached_property
    def contact_on_body(self) -> Array:
        """Contact points in body axes (..., 2, S, 3) [mm]."""
        return contact_points(self.states, self.attitude.normal)

    @cached_property
    def contact(self) -> Array:
        """Contact points (..., 2, S, 3) [mm]."""
        return self.attitude.to_ground(self.contact_on_body)

    @cached_property
    def wheel_centre(self) -> Array:
        """Wheel centres (..., 2, S, 3) [mm]."""
        return self.attitude.to_ground(self.states.wheel_centre)

    @cached_property
    def spin_axis(self) -> Array:
        """Outward unit vectors of the spin axes (..., 2, S, 3)."""
        return self.attitude.in_ground_axes(self.states.spin_axis)

    @cached_property
    def spin_axis_rate(self) -> Array:
        """Change of the spin axes per mm of travel, the body's attitude held (..., 2, S, 3) [1/mm]."""
        return self.attitude.in_ground_axes(self.states.spin_axis_rate)

    @cached_property
    def contact_velocity(self) -> Array:
        """Velocity in roll of the wheel's material point at the contact, relative to the body (..., 2, S, 3).

        Per mm of travel; the wheel is locked to the part that carries it.
        """
        return self._velocity(self.states.in_roll)

    def _velocity(self, motion: Motion) -> Array:
        return self.attitude.in_ground_axes(motion.at(self.contact_on_body, self.states.wheel_centre))

    @cached_property
    def lines(self) -> rolling.ContactLines:
        """The lines whose meeting is the roll centre."""
        return rolling.contact_lines(self.contact, self.motion_in_roll[0])

    @cached_property
    def motion_in_roll(self) -> tuple[Array, Array]:
        """Velocity of the contact points and turn of the parts (..., 2, S, 3) as the body rolls, relative to it.

        The turn in body axes.
        Of corners per mm of their own travel; of a beam per roll of the body, at fixed heave and with both contact
        points on the ground.
        """
        if self.states.opposite is None:
            return self.contact_velocity, self.states.in_roll.turn
        same, apart = self.with_roll
        both, each = same[..., None, :, None], SIDES[:, None, None] * apart[..., None, :, None]
        velocity = both * self.contact_velocity_together + each * self.contact_velocity
        return velocity, both * self.states.together.turn + each * self.states.in_roll.turn

    @cached_property
    def with_roll(self) -> tuple[Array, Array]:
        """Travel of both wheels together, and of the left up and the right down, per roll of the body (..., S) [mm].

        Of a live axle, whose contact points stay on the ground.
        """
        beside = self.contact[..., 1]
        ways = (self.contact_velocity_together[..., 2], self.contact_velocity[..., 2], beside)
        (up_left, roll_left, y_left), (up_right, roll_right, y_right) = (
            [values[..., side, :] for values in ways] for side in (LEFT, RIGHT)
        )
        size = up_left * roll_right + roll_left * up_right
        return -(y_left * roll_right + y_right * roll_left) / size, (up_left * y_right - up_right * y_left) / size

    @cached_property
    def lines_together(self) -> rolling.ContactLines:
        """The same for both wheels moving together: their slopes say how far a lateral force lifts the body."""
        if self.states.opposite is None:
            return self.lines
        return rolling.contact_lines(self.contact, self.contact_velocity_together)

    @cached_property
    def contact_velocity_together(self) -> Array:
        """The same velocity with both wheels moving together (..., 2, S, 3), per mm of travel."""
        return self.contact_velocity if self.states.opposite is None else self._velocity(self.states.together)

    @cached_property
    def wheel_centre_velocity(self) -> Array:
        """Velocity of the wheel centre with both wheels moving together (..., 2, S, 3), per mm of travel."""
        return self.attitude.in_ground_axes(self.states.wheel_centre_rate)

    @cached_property
    def roll_centre(self) -> Array:
        """Roll centre (y, z) (..., S, 2) [mm]."""
        return rolling.meeting(self.lines)

    @cached_property
    def force_weighted_height(self) -> Array:
        """Height at the centre plane of the resultant of the lateral forces (..., S) [mm]."""
        if self.states.opposite is not None:
            return rolling.rigid_axle_height(self.roll_centre, self.lines_together)
        return rolling.force_weighted_height(self.lines, self._right_share)

    @property
    def _right_share(self) -> Array:
        apart = self.states.axle.outer_share_apart if self.outer_share.balanced else 0.0
        return self.outer_share.of_right(self.attitude.roll, apart)

    @cached_property
    def turn_in_roll(self) -> Array:
        """The turn of `motion_in_roll` in ground axes (..., 2, S, 3)."""
        return self.attitude.in_ground_axes(self.motion_in_roll[1])

    @cached_property
    def turn_together(self) -> Array:
        """The same turn with both wheels moving together (..., 2, S, 3), per mm of travel."""
        if self.states.opposite is None:
            return self.turn_in_roll
        return self.attitude.in_ground_axes(self.states.turn_rate)

    @cached_property
    def instant_centre(self) -> Array:
        """Front-view instant centres (y, z) (..., 2, S, 2) [mm]."""
        return rolling.instant_centre(self.contact, self.motion_in_roll[0], self.turn_in_roll)

    @cached_property
    def side_view_centre(self) -> Array:
        """Side-view instant centres (x, z) (..., 2, S, 2) [mm], both wheels moving together."""
        return rolling.side_view_instant_centre(self.contact, self.contact_velocity_together, self.turn_together)

    @cached_property
    def points(self) -> dict[str, Array]:
        """All measured points where they are now (..., 2, S, 3) [mm]."""
        return {key: self.attitude.to_ground(self.states.point(key)) for key in self.states.axle.suspension.keys}

    @cached_property
    def arms_in_front_view(self) -> tuple[tuple[Array, Array], ...]:
        """Inner and outer end (y, z) of each arm (..., 2, S, 2) [mm]: in body axes, or over the ground in pitch."""
        points = self.states.points if self.attitude.pitch is None else self.points
        return tuple(textbook.arm_in_front_view(arm, points) for arm in self.states.axle.suspension.arms)

    @cached_property
    def textbook_roll_centre(self) -> Array:
        """Textbook roll centre (y, z) (..., S, 2) [mm]; only for types that have such a construction."""
        kind = self.states.axle.suspension
        if kind.whole_axle:
            return np.asarray(textbook.live_axle_roll_centre(kind, self.points)[..., 1:])
        if self.attitude.pitch is not None:
            # The drawing is made across the level car, not across the body that pitches.
            drawn = textbook.contact_line_slopes(kind, self.points, self.arms_in_front_view, self.contact)
            return rolling.meeting(rolling.ContactLines(self.contact, drawn))
        drawn_on = self.states.points, self.arms_in_front_view, self.contact_on_body
        slopes = textbook.contact_line_slopes(kind, *drawn_on)
        run, rise = self.attitude.in_ground_axes_in_front_view(np.ones(1), slopes)
        with np.errstate(divide="ignore", invalid="ignore"):
            return rolling.meeting(rolling.ContactLines(self.contact, rise / run))

    @cached_property
    def steering_axis_on_body(self) -> tuple[Array, Array]:
        """Lower and upper point of each steering axis, body axes (..., 2, S, 3) [mm]; ValueError if there is none."""
        axis = self.states.steering_axis
        if axis is None:
            raise ValueError(f"a {self.states.axle.suspension.name} has no steering axis")
        return axis

    @cached_property
    def steering_axis(self) -> tuple[Array, Array]:
        """The same points over the ground (..., 2, S, 3) [mm]."""
        lower, upper = self.steering_axis_on_body
        return self.attitude.to_ground(lower), self.attitude.to_ground(upper)

    @cached_property
    def camber(self) -> Array:
        """Camber to the ground (..., 2, S) [rad]."""
        return wheel_angles.camber(self.spin_axis)

    @cached_property
    def caster(self) -> Array:
        """Caster to the ground (..., 2, S) [rad]."""
        return wheel_angles.caster(*self.steering_axis)

    @cached_property
    def scrub_and_trail(self) -> tuple[Array, Array]:
        """Scrub radius and mechanical trail (..., 2, S) [mm]."""
        return wheel_angles.scrub_and_trail(*self.steering_axis, self.contact, self.spin_axis)

    @cached_property
    def lower_arm_angle(self) -> Array:
        """Angle of the lower arm to level in front view (..., 2, S) [rad], positive: rises towards the centre plane."""
        inner, outer = self.arms_in_front_view[0]
        across, rise = outer[..., 0] - inner[..., 0], outer[..., 1] - inner[..., 1]
        if self.attitude.pitch is None:
            across, rise = self.attitude.in_ground_axes_in_front_view(across, rise)
        return arctan2(-rise, SIDES[:, None] * across)
