"""What can end a corner's travel, each as a room that shrinks to zero where the end is reached."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum
from functools import cached_property, partial

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.fittings import DamperTravel
from kinematics.car.springs_and_bars import BarEnds
from kinematics.loads.movements import drop_link_cosine, length_of
from kinematics.loads.setup import REACH, AxleSetup
from kinematics.motion.ground import contact_points
from kinematics.motion.moving_axle import MovingAxle, moving
from kinematics.motion.states import CornerStates
from kinematics.planning.carried_ends import bar_ends_after, line_after
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.dismantled import pitched
from kinematics.planning.joint_turns import joint_turns, middles_of
from kinematics.sweeps.rack import turn_rack
from solvers.vectors import Array

_UP: Array = np.array([0.0, 0.0, 1.0])
LOOK = REACH  # mm of travel either way in which ends are looked for


class EndKind(Enum):
    """What ends a travel. Those of `SOFT` only begin to resist."""

    BUMP_STOP = "bump stop"
    DROOP_STOP = "droop stop"
    STOP_TOUCHED = "bump stop touched"
    SPRING_SOLID = "spring coil bound"
    SPRING_LOOSE = "spring loose"
    DAMPER_CLOSED = "damper closed"
    DAMPER_OPEN = "damper open"
    JOINT = "joint at the end of its angle"
    TYRE_ON_ARCH = "tyre on the arch"
    BODY_ON_GROUND = "body on the ground"
    BAR_LINK = "bar link angle"
    BAR_LINK_NEAR = "bar link near centre"
    BAR_LINK_OVER = "bar link over centre"
    LINKAGE = "linkage locks"


# A drop link near its dead centre turns the bar hardly or violently, and nothing stops the wheel there.
SOFT = (EndKind.STOP_TOUCHED, EndKind.BAR_LINK_NEAR)
USUAL_LINK_ANGLE = math.radians(15.0), math.radians(165.0)  # between drop link and arm; common practice, no source
BUMP, DROOP = 1.0, -1.0
BOTH = (BUMP, DROOP)


@dataclass(frozen=True)
class Room:
    """Room to one end [mm or rad] at wheel travel (2, S) [mm] from the present ride height: (2, S), zero at the end.

    NaN where that travel cannot be reached. ways: in which it is looked for, BUMP, DROOP or both. name: of a joint.
    """

    kind: EndKind
    ways: tuple[float, ...]
    left: Callable[[Array], Array]
    name: str = ""


@dataclass(frozen=True)
class Corner:
    """Both corners of one axle as a plan leaves it, and what they are held against.

    ready: the changed axle, to follow over the travel looked at, from low to high [mm]. setup: on its springs, None
    where they are not known.
    """

    measured: Axle
    changed: ChangedAxle
    ready: MovingAxle
    setup: AxleSetup | None = None
    low: float = -LOOK
    high: float = LOOK

    @cached_property
    def at(self) -> "_States":
        """States at wheel travel (2, S) [mm]."""
        return _remembered(self.ready)

    @cached_property
    def locks(self) -> "_Locks | None":
        """At both locks; None where it is not known how far the rack goes."""
        return _at_locks(self)


@dataclass(frozen=True)
class _Locks:
    """A changed axle at its locks (n,). ready: to follow from there; axle, rotation, raised, pitch: as of a plan."""

    ready: MovingAxle
    rotation: Array
    raised: float
    pitch: float

    @property
    def axle(self) -> Axle:
        return self.ready.axle

    @cached_property
    def at(self) -> "_States":
        """States at wheel travel (2, S) [mm]: (n, 2, S)."""
        found = _remembered(self.ready)
        return lambda travel: found(np.broadcast_to(travel, (*self.axle.batch_shape, *travel.shape)))


_States = Callable[[Array], CornerStates]


def _remembered(ready: MovingAxle) -> _States:
    """States of an axle; every end is asked at the same travels first, and a live axle takes its time to solve."""
    found: dict[bytes, CornerStates] = {}

    def at(travel: Array) -> CornerStates:
        asked = travel.tobytes()
        if asked not in found:
            found[asked] = ready.at(travel)
        return found[asked]

    return at


def rooms(corner: Corner) -> Iterator[Room]:
    """Every end that the car file tells of, but the stops that its owner measured and the linkage's own."""
    fittings = corner.measured.fittings
    if corner.setup is not None:
        yield from _of_springs(corner.setup)
    if fittings.damper is not None:
        yield from _of_dampers(corner, fittings.damper)
    if fittings.tyre_to_arch is not None:
        yield under_arch(corner, fittings.tyre_to_arch)
    if fittings.clearance is not None:
        yield _over_ground(corner, fittings.clearance)
    if fittings.joint_angles:
        yield from _of_joints(corner)
    bar = None if corner.measured.loads is None else corner.measured.loads.bar
    if bar is not None and bar.ends is not None:
        yield from _of_bar_links(corner, bar.ends)


def _of_springs(setup: AxleSetup) -> Iterator[Room]:
    at, spring = _remembered(setup.moving), setup.loads.spring
    room = spring.room
    if room is not None:
        yield Room(EndKind.SPRING_SOLID, (BUMP,), lambda travel: room.reshape(-1, 1) - setup.pressed(at(travel)))
    yield Room(EndKind.SPRING_LOOSE, (DROOP,), lambda travel: setup.pressed(at(travel)))
    if spring.bump_stop is not None:
        shorter = setup.preload / setup.rate
        yield Room(
            EndKind.STOP_TOUCHED,
            (BUMP,),
            lambda travel: setup.stop_gap - (setup.pressed(at(travel)) - shorter[..., None]),
        )


def _of_dampers(corner: Corner, damper: DamperTravel) -> Iterator[Room]:
    long, closed, opened = damper_length(corner, damper), damper.closed, damper.opened
    if closed is not None:
        yield Room(EndKind.DAMPER_CLOSED, (BUMP,), lambda travel: long(travel) - closed)
    if opened is not None:
        yield Room(EndKind.DAMPER_OPEN, (DROOP,), lambda travel: opened - long(travel))


def damper_length(corner: Corner, damper: DamperTravel) -> Callable[[Array], Array]:
    """Length of both dampers at wheel travel (2, S) [mm]: as measured, and changed by as much as their line is."""
    at_rest = moving(corner.measured, -1.0, 1.0).at(np.zeros((2, 1)))
    line = line_after(damper.line, corner.measured, corner.changed)
    beside = 0.0 if damper.length is None else damper.length - length_of(damper.line, at_rest).value
    if line.ratio is not None:
        beside = beside + line.ratio * corner.changed.raised
    return lambda travel: np.asarray(length_of(line, corner.at(travel)).value + beside)


def under_arch(corner: Corner, gap: float) -> Room:
    """Room of a tyre under its arch, a gap [mm] as measured.

    The tyre's top rises in the body; a body that a plan raises takes its arches along.
    """
    at_rest = _tyre_top(moving(corner.measured, -1.0, 1.0).at(np.zeros((2, 1))), 0.0, 0.0)

    def left(travel: Array) -> Array:
        now = _tyre_top(corner.at(travel), corner.changed.raised, corner.changed.pitch)
        return np.asarray(gap - (now - at_rest))

    return Room(EndKind.TYRE_ON_ARCH, (BUMP,), left)


def _tyre_top(states: CornerStates, raised: float, pitch: float) -> Array:
    """Height of the tyre's highest point in the body (..., 2, S) [mm]."""
    centre = pitched(states.wheel_centre - raised * _UP, np.asarray(-pitch))
    upright = np.sqrt(1.0 - states.spin_axis[..., 2] ** 2)
    return np.asarray(centre[..., 2] + states.axle.radius[..., None] * upright)


def _over_ground(corner: Corner, clearance: float) -> Room:
    """The body comes down by as much as the contact points rise in it."""
    at_rest = contact_points(corner.ready.at(np.zeros((2, 1))), _UP)[..., 2]

    def left(travel: Array) -> Array:
        risen = contact_points(corner.at(travel), _UP)[..., 2] - at_rest
        return np.asarray(clearance + corner.changed.raised - risen)

    return Room(EndKind.BODY_ON_GROUND, (BUMP,), left)


def _of_bar_links(corner: Corner, ends: BarEnds) -> Iterator[Room]:
    """Angle between drop link and arm: what the file allows, or what is usual and then dead centre.

    Straight ahead, and at either lock where the rack's travel is known and the upright takes the link's end along.
    """
    locks = corner.locks if ends.drop_link.on in corner.measured.suspension.bodies else None
    told = {EndKind.BAR_LINK_NEAR: USUAL_LINK_ANGLE, EndKind.BAR_LINK_OVER: (0.0, math.pi)}
    now = bar_ends_after(ends, corner.measured, corner.changed)
    at_locks = None if locks is None else bar_ends_after(ends, corner.measured, locks)

    def left(travel: Array, low: float, high: float) -> Array:
        room = _angle_left(ends, now, corner.at(travel), low, high)
        if locks is None or at_locks is None:
            return room
        return np.asarray(np.minimum(room, _angle_left(ends, at_locks, locks.at(travel), low, high).min(axis=0)))

    for kind, (low, high) in (told if ends.link_angle is None else {EndKind.BAR_LINK: ends.link_angle}).items():
        yield Room(kind, BOTH, partial(left, low=low, high=high))


def _angle_left(measured: BarEnds, now: BarEnds, states: CornerStates, low: float, high: float) -> Array:
    """Room between a drop link's angle and two that it may come to (..., 2, S), as a difference of cosines."""
    cosine = np.where(states.reached, drop_link_cosine(measured, now, states), np.nan)
    return np.asarray(np.minimum(math.cos(low) - cosine, cosine - math.cos(high)))


def _of_joints(corner: Corner) -> Iterator[Room]:
    """Joints straight ahead, and at either lock where the rack's travel is known."""
    measured, changed = corner.measured, corner.changed
    pitch, middles = np.asarray(changed.pitch), middles_of(measured)

    def turned(travel: Array) -> dict[str, Array]:
        states = corner.at(travel)
        most = _where_reached(joint_turns(measured, states, changed.rotation, pitch, middles), states)
        if corner.locks is None:
            return most
        steered = corner.locks.at(travel)
        at_lock = _where_reached(joint_turns(measured, steered, corner.locks.rotation, pitch, middles), steered)
        return {key: np.maximum(one, at_lock[key].max(axis=0)) for key, one in most.items()}

    # All joints are asked at the same travels, at first at least.
    found: dict[bytes, dict[str, Array]] = {}

    def left(travel: Array, key: str, most: float) -> Array:
        asked = travel.tobytes()
        if asked not in found:
            found[asked] = turned(travel)
        return np.asarray(most - found[asked][key])

    for key, most in measured.fittings.joint_angles.items():
        yield Room(EndKind.JOINT, BOTH, partial(left, key=key, most=most), key)


def _where_reached(turned: dict[str, Array], states: CornerStates) -> dict[str, Array]:
    return {key: np.where(states.reached, one, np.nan) for key, one in turned.items()}


def _at_locks(corner: Corner) -> _Locks | None:
    """The axle at both locks (2,); None where it is not known to steer.

    A lock that the linkage does not get to is left out.
    """
    axle, most = corner.changed.axle, corner.changed.axle.fittings.rack_travel
    if most is None or not axle.suspension.rack:
        return None
    rack = np.array([-most, most])
    steering = turn_rack(axle, rack)
    if not steering.reached.any():
        return None
    if not steering.reached.all():
        steering = turn_rack(axle, rack[steering.reached])
    ready = moving(steering.axle, corner.low, corner.high)
    return _Locks(ready, steering.rotation @ corner.changed.rotation, corner.changed.raised, corner.changed.pitch)
