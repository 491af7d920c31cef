"""The derived numbers worked out anew from an engine's positions and velocities, by plain NumPy.

Each is the definition in words of the glossary and of the number itself, put as directly as it goes: lines meet where
two linear equations say so, points at rest are where a linear equation for the velocity says so. Source: formula. None
of the code under test is used.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.spatial.transform import Rotation

from kinematics import Axle
from kinematics.car.suspension_type import MeetingLinks, PivotInMiddle, RodAcross
from tests.engines.invented_axles import SIDES
from tests.engines.linkage import Array
from tests.engines.mujoco_motion import Motion
from tests.engines.wheels_by_engine import Wheels, lowest, spin_axes

LEFT, RIGHT = 0, 1
SIDE = SIDES[:, None]
ACROSS = 1e-3


@dataclass(frozen=True)
class Standing:
    """Wheels under a body at a heave [mm] and a roll [rad] (S,); numbers are (S,) or (2, S), in the ground's axes.

    pitch: [rad] (S,), nose down, about the level axis across after roll (ISO 8855); none where it is None.
    outer_share: of the lateral force, on the outer wheel at 2 deg of roll. straight: both wheels' steer with the rack
    in the middle.
    """

    wheels: Wheels
    heave: Array
    roll: Array
    outer_share: float
    straight: Array | None = None
    rack: Array | None = None
    pitch: Array | None = None

    # Axes of the ground.

    @cached_property
    def body(self) -> Array:
        """Rotation of the body (S, 3, 3)."""
        return Rotation.from_euler("YX", np.stack([self.pitched, self.roll], axis=-1)).as_matrix()

    @property
    def pitched(self) -> Array:
        return 0.0 * self.roll if self.pitch is None else self.pitch

    def turned(self, vectors: Array) -> Array:
        return np.asarray((self.body @ vectors[..., None])[..., 0])

    def place(self, points: Array) -> Array:
        up = np.stack([0.0 * self.heave, 0.0 * self.heave, self.heave], axis=-1)
        return self.turned(points) + up

    def moves(self, motion: Motion) -> Motion:
        return Motion(self.turned(motion.velocity), self.turned(motion.spin))

    @cached_property
    def centre(self) -> Array:
        return self.place(self.wheels.centre)

    @cached_property
    def axis(self) -> Array:
        return self.turned(self.wheels.spin_axis)

    @cached_property
    def contact(self) -> Array:
        return lowest(self.wheels.axle, self.centre, self.axis)

    @cached_property
    def together(self) -> Motion:
        return self.moves(self.wheels.together)

    @cached_property
    def apart(self) -> Motion:
        return self.moves(self.wheels.apart)

    @cached_property
    def contact_together(self) -> Array:
        """Velocity of the wheel's material point on the ground, the wheel locked to its part."""
        return self.together.at(self.contact - self.centre)

    @cached_property
    def contact_apart(self) -> Array:
        return self.apart.at(self.contact - self.centre)

    # Numbers.

    def numbers(self) -> dict[str, Array]:
        """All that this axle has, by the keys of the numbers under test."""
        found = {**self._pose(), **self._front_view(), **self._side_view(), **self._roll_steer()}
        kind = self.wheels.axle.suspension
        if kind.steering_axis is not None or self.wheels.by_rack is not None:
            found |= self._steering_axis()
        if kind.steering_axis is not None:
            found["caster_change"] = found["caster"] - self._caster_measured()[:, None]
        if kind.arms:
            found["lower_arm_angle"] = self._lower_arm_angle()
        if kind.rack:
            found |= self._steering()
        textbook = self._textbook()
        if textbook is not None:
            found |= {"textbook_roll_centre_offset": textbook[..., 0], "textbook_roll_centre_height": textbook[..., 1]}
        return found

    def _pose(self) -> dict[str, Array]:
        wheels, axle = self.wheels, self.wheels.axle
        body_axis = wheels.spin_axis
        found = {"heave": self.heave, "roll": self.roll, "pitch": self.pitched}
        found["travel"] = wheels.centre[..., 2] - _measured(axle)[..., 2]
        for name, place in (("wheel_centre", self.centre), ("contact", self.contact)):
            found |= {f"{name}_{letter}": place[..., index] for index, letter in enumerate("xyz")}
        on_floor = lowest(axle, axle.points["wheel_centre"], spin_axes(axle))
        found["half_track_change"] = SIDE * (self.contact - on_floor[:, None])[..., 1]
        found["camber"], found["camber_to_body"] = _camber(self.axis), _camber(body_axis)
        found["toe"] = _toe(self.axis)
        found["cross_camber"] = found["camber"][LEFT] - found["camber"][RIGHT]
        turning = np.cross(self.together.spin, self.axis)
        # Angles between the axis and the ground, and of its trace on the ground, as fast as the axis turns.
        level = np.linalg.norm(self.axis[..., :2], axis=-1)
        found["camber_gain"] = -turning[..., 2] / level
        trace = self.axis[..., :2] / level[..., None]
        # To the left of the trace on the left wheel is rearwards, so turning there is toe-out.
        found["bump_steer"] = -SIDE * (trace[..., 0] * turning[..., 1] - trace[..., 1] * turning[..., 0]) / level
        found["wheel_centre_recession"] = _measured(axle)[..., 0] - wheels.centre[..., 0]
        if axle.suspension.whole_axle:
            beam = wheels.turned[LEFT]
            # Nose down about the axis across is the second of three turns, the last about the longitudinal axis itself.
            found["pinion_angle_change"] = -Rotation.from_matrix(self.body @ beam).as_euler("ZYX")[:, 1]
            found["axle_offset"] = (wheels.centre[LEFT, :, 1] + wheels.centre[RIGHT, :, 1]) / 2.0
            # Steer is the first of three turns, the last about the lateral axis itself.
            found["axle_steer"] = Rotation.from_matrix(self.body @ beam).as_euler("ZXY")[:, 0]
        else:
            upright = self.turned(wheels.turned[..., :, 2])
            found["side_view_turn"] = np.arctan2(-upright[..., 0], upright[..., 2])
        return found

    def _front_view(self) -> dict[str, Array]:
        found = {}
        moving, contact = self.contact_apart[..., 1:], self.contact[..., 1:]
        turning, rolling = self.apart.spin[..., 0], moving
        if self.wheels.axle.suspension.whole_axle:
            rolling, turning = self._on_the_ground_in_roll()
        # (P - contact) . velocity = 0 for both wheels.
        centre = _solved(np.moveaxis(rolling, 0, -2), np.moveaxis((rolling * contact).sum(axis=-1), 0, -1))
        found["roll_centre_offset"], found["roll_centre_height"] = centre[..., 0], centre[..., 1]
        slopes = -self.contact_together[..., 1] / self.contact_together[..., 2]
        found["jacking_coefficient"] = -SIDE * slopes  # towards the centre plane
        if self.wheels.axle.suspension.whole_axle:
            slope = slopes.mean(axis=0)
            found["force_weighted_height"] = centre[..., 1] - slope * centre[..., 0]
        else:
            outer = np.where(self.roll > 0.0, RIGHT, LEFT)
            # From one half without roll in proportion to it.
            of_outer = np.minimum(0.5 + (self.outer_share - 0.5) * np.degrees(abs(self.roll)) / 2.0, 1.0)
            lateral = np.where(np.arange(2)[:, None] == outer, of_outer, 1.0 - of_outer)
            upwards = lateral * slopes
            moment = (contact[..., 0] * upwards - contact[..., 1] * lateral).sum(axis=0)
            found["force_weighted_height"] = -moment / lateral.sum(axis=0)
        still = _still(rolling, turning, contact)
        found["instant_centre_y"], found["instant_centre_z"] = still[..., 0], still[..., 1]
        found["swing_arm_length"] = SIDE * (contact[..., 0] - still[..., 0])
        return found

    def _on_the_ground_in_roll(self) -> tuple[Array, Array]:
        """Motion (2, S, 2) across and up, relative to the body, of contact points that stay on the ground as it rolls.

        And the turn about the car's axis (2, S).

        By the travels of the left and of the right wheel that take both there: one rad of roll takes the body's point
        over a contact point y to the left up by y.
        """
        arms = self.contact - self.centre
        by_wheel = self.wheels.by_wheel
        each = np.stack(
            [
                self.turned(by_wheel.velocity[:, wheel]) + np.cross(self.turned(by_wheel.spin[:, wheel]), arms)
                for wheel in (LEFT, RIGHT)
            ]
        )
        up = np.moveaxis(each[..., 2], -1, 0).swapaxes(-1, -2)  # states, contact point, wheel
        travels = np.linalg.solve(up, -self.contact[..., 1].T[..., None])[..., 0].T
        spin = np.stack([self.turned(by_wheel.spin[:, wheel])[..., 0] for wheel in (LEFT, RIGHT)])
        turn = (travels[:, None, :] * spin).sum(axis=0)
        return np.asarray((travels[:, None, :, None] * each).sum(axis=0)[..., 1:]), np.asarray(turn)

    def _side_view(self) -> dict[str, Array]:
        axle, found = self.wheels.axle, {}
        # In the x-z plane a turn about y goes from z to x.
        still = _still(self.contact_together[..., [2, 0]], self.together.spin[..., 1], self.contact[..., [2, 0]])
        found["side_view_centre_z"], found["side_view_centre_x"] = still[..., 0], still[..., 1]
        found["side_view_swing_arm"] = still[..., 1] - self.contact[..., 0]
        body, live = axle.body, axle.suspension.whole_axle
        at_hub, at_ground = self.together.velocity, self.contact_together
        # The whole car's: its unsprung part stays on the ground.
        part, hubs = body.unsprung
        behind = body.wheelbase / 2.0 if body.behind_front is None else body.behind_front
        ahead = -behind if axle.name == "front" else body.wheelbase - behind
        gravity = Rotation.from_rotvec(self.pitched[:, None] * [0.0, 1.0, 0.0]).apply(
            [ahead, 0.0, body.centre_of_gravity]
        )[:, 2]
        height = (1.0 - part) * (gravity + self.heave) + part * hubs
        # A unit force forwards needs so much force upwards at the same place to do no work along the travel.
        braked, driven = (-force[..., 0] / force[..., 2] for force in (
            at_hub if axle.fittings.inboard_brakes else at_ground,
            at_ground if live else at_hub,
        ))  # fmt: skip
        moved = height / body.wheelbase  # load from one axle to the other for each newton ahead
        if axle.name == "front":
            found["anti_dive"] = -body.front_brakes * braked / moved
            found["anti_lift_in_drive"] = -body.front_drive * driven / moved
        else:
            found["anti_lift"] = (1.0 - body.front_brakes) * braked / moved
            found["anti_squat"] = (1.0 - body.front_drive) * driven / moved
        return found

    def _roll_steer(self) -> dict[str, Array]:
        """While the body rolls about x through its point on the ground, the wheels travel so that they stay down."""
        each = self.moves(self.wheels.by_wheel)
        arms = (self.contact - self.centre)[:, None]
        heights = np.moveaxis(each.at(arms)[..., 2], (0, 1), (-2, -1))
        # Rolling about x lifts a point as far as it lies to the left.
        travels = _solved(heights, -np.moveaxis(self.contact[..., 1], 0, -1))
        spin = np.einsum("iwsc,sw->isc", each.spin, travels) + np.array([1.0, 0.0, 0.0])
        turning = np.cross(spin, self.axis)
        level = self.axis[..., :2]
        steer = (level[..., 0] * turning[..., 1] - level[..., 1] * turning[..., 0]) / (level**2).sum(axis=-1)
        return {"roll_steer": steer.mean(axis=0)}

    def _steering_axis(self) -> dict[str, Array]:
        low, high = self._axis_ends()
        found = {}
        for name, along in (("", self.turned(high - low)), ("_to_body", high - low)):
            found[f"caster{name}"] = np.arctan2(-along[..., 0], along[..., 2])
            found[f"kingpin_inclination{name}"] = np.arctan2(-SIDE * along[..., 1], along[..., 2])
        found["cross_caster"] = found["caster"][LEFT] - found["caster"][RIGHT]
        at, way = self.place(low), self.turned(high - low)
        pierced = at - (at[..., 2] / way[..., 2])[..., None] * way
        outwards = self.axis * [1.0, 1.0, 0.0]
        outwards /= np.linalg.norm(outwards, axis=-1)[..., None]
        forwards = SIDE[..., None] * np.cross(outwards, [0.0, 0.0, 1.0])
        inboard = self.contact - pierced
        found["scrub_radius"] = (inboard * outwards).sum(axis=-1)
        found["mechanical_trail"] = -(inboard * forwards).sum(axis=-1)
        return found

    def _axis_ends(self) -> tuple[Array, Array]:
        """Two points of each steering axis in the body's axes; where none is built, of the turn by the rack."""
        ends = self.wheels.axle.suspension.steering_axis
        if ends is not None:
            return self.wheels.points[ends[0]], self.wheels.points[ends[1]]
        motion = self.wheels.by_rack
        along = motion.spin / np.linalg.norm(motion.spin, axis=-1)[..., None]
        along = along * np.sign(along[..., [2]])
        foot = np.cross(motion.spin, motion.velocity) / (motion.spin**2).sum(axis=-1)[..., None]
        return self.wheels.centre + foot, self.wheels.centre + foot + 300.0 * along

    def _caster_measured(self) -> Array:
        low, high = (self.wheels.axle.points[key] for key in self.wheels.axle.suspension.steering_axis)
        return np.arctan2((low - high)[..., 0], (high - low)[..., 2])

    def _lower_arm_angle(self) -> Array:
        inner, outer = self._arm(0)
        along = inner - outer
        return np.arctan2(along[..., 1], -SIDE * along[..., 0])

    def _steering(self) -> dict[str, Array]:
        points, axle = self.wheels.points, self.wheels.axle
        low, high = self._axis_ends()
        outer, inner = (points[key] for key in axle.suspension.toe_link)
        square = np.cross(high - low, outer - inner)
        square /= np.linalg.norm(square, axis=-1)[..., None]
        steer = -SIDE * _toe(self.axis)
        found = {"rack_travel": 0.0 * self.roll, "steer_angle": steer}
        found["tie_rod_lever"] = np.abs(((outer - low) * square).sum(axis=-1))
        if self.straight is None or self.rack is None:
            return found
        found["rack_travel"] = self.rack
        turned, wheelbase = steer - self.straight, axle.body.wheelbase
        x, y = self.contact[..., 0], self.contact[..., 1]
        # A wheel turned to the left rolls about a point on its left, along (-sin, cos) as far as x = -wheelbase.
        centre = y + np.cos(turned) * (wheelbase + x) / np.sin(turned)
        found["turn_radius"] = centre.mean(axis=0)
        to_left = turned.sum(axis=0) > 0.0
        index = np.arange(to_left.size)
        inside, outside = np.where(to_left, LEFT, RIGHT), np.where(to_left, RIGHT, LEFT)
        to_centre = centre[inside, index] - y[outside, index]
        ideal = np.arctan((wheelbase + x[outside, index]) / to_centre)
        found["ackermann"] = (turned[inside, index] - turned[outside, index]) / (turned[inside, index] - ideal)
        return found

    # The drawing board, on the points where the engine has them.

    def _arm(self, index: int) -> tuple[Array, Array]:
        """Ends of an arm in front view, inner and outer: its pivots' axis where the ball joint's plane cuts it.

        Across the level car, in the ground's axes.
        """
        arm = self.wheels.axle.suspension.arms[index]
        front, rear, joint = (
            self.place(self.wheels.points[key]) for key in (arm.pivot_front, arm.pivot_rear, arm.joint)
        )
        return _cut(front, rear, 0, joint[..., 0])[..., 1:], joint[..., 1:]

    def _textbook(self) -> Array | None:
        kind = self.wheels.axle.suspension
        if kind.whole_axle:
            return self._drawn_axle()
        points = {key: self.place(point) for key, point in self.wheels.points.items()}
        if kind.wheel_hinge is not None:
            first, second = points[kind.wheel_hinge.first], points[kind.wheel_hinge.second]
            along = second - first
            # An axis that lies across the car to a thousandth is drawn as one that does.
            across = np.abs(along[..., [0]]) <= ACROSS * np.abs(along).sum(axis=-1)[..., None]
            meeting = np.where(across, self.contact + along, _cut(first, second, 0, self.contact[..., 0]))
        elif kind.arms and (kind.strut is not None or len(kind.arms) == 2):
            lower = self._arm(0)
            if kind.strut is None:
                other, square = self._arm(1), False
            else:
                other, square = (points[kind.strut.top_mount][..., 1:], points[kind.strut.low][..., 1:]), True
            normals, values = [], []
            for (first, second), across in ((lower, False), (other, square)):
                along = second - first
                normal = along if across else np.stack([-along[..., 1], along[..., 0]], axis=-1)
                normal = normal / np.linalg.norm(normal, axis=-1)[..., None]
                normals.append(normal)
                values.append((normal * first).sum(axis=-1))
            pole = _solved(np.stack(normals, axis=-2), np.stack(values, axis=-1))
            meeting = np.concatenate([self.contact[..., :1], pole], axis=-1)
        else:
            return None
        # Two lines, each from a contact point to its pole.
        along = (meeting - self.contact)[..., 1:]
        along /= np.linalg.norm(along, axis=-1)[..., None]
        normal = np.stack([-along[..., 1], along[..., 0]], axis=-1)
        value = (normal * self.contact[..., 1:]).sum(axis=-1)
        return _solved(np.moveaxis(normal, 0, -2), np.moveaxis(value, 0, -1))

    def _drawn_axle(self) -> Array | None:
        drawing = self.wheels.axle.suspension.drawing
        points = {key: self.place(point) for key, point in self.wheels.points.items()}
        if isinstance(drawing, RodAcross):
            on_axle, on_chassis = points[drawing.on_axle][LEFT], points[drawing.on_chassis][LEFT]
            return _cut(on_axle, on_chassis, 1, 0.0 * self.roll)[..., 1:]
        if isinstance(drawing, PivotInMiddle):
            return points[drawing.at][LEFT][..., 1:]
        assert isinstance(drawing, MeetingLinks)
        meetings = []
        for on_axle, on_chassis in drawing.pairs:
            ends = [(points[on_axle][side], points[on_chassis][side]) for side in (LEFT, RIGHT)]
            ways = np.stack([(second - first)[..., :2] for first, second in ends], axis=-1)
            between = (ends[1][0] - ends[0][0])[..., :2]
            parts = _solved(ways * [1.0, -1.0], between)
            meetings.append(
                sum(first + parts[:, [side]] * (second - first) for side, (first, second) in enumerate(ends)) / 2.0
            )
        return _cut(*meetings, 0, points["wheel_centre"][..., 0].mean(axis=0))[..., 1:]


def _measured(axle: Axle) -> Array:
    return axle.points["wheel_centre"][:, None]


def _camber(axis: Array) -> Array:
    return np.arctan2(-axis[..., 2], np.linalg.norm(axis[..., :2], axis=-1))


def _toe(axis: Array) -> Array:
    return np.arctan2(axis[..., 0], SIDE * axis[..., 1])


def _cut(first: Array, second: Array, axis: int, value: Array) -> Array:
    """Where the line through two points has a value of one coordinate."""
    part = (value - first[..., axis]) / (second - first)[..., axis]
    return np.asarray(first + part[..., None] * (second - first))


def _solved(matrix: Array, right: Array) -> Array:
    return np.asarray(np.linalg.solve(matrix, right[..., None])[..., 0])


def _still(velocity: Array, turn: Array, at: Array) -> Array:
    """The place in a plane that stands still, if the point there moves so and all turns from first axis to second."""
    square = np.stack([-velocity[..., 1], velocity[..., 0]], axis=-1)
    return np.asarray(at + square / turn[..., None])
