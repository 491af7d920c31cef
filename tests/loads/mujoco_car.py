"""A whole car in MuJoCo at rest: linkages on a body that heaves, rolls and pitches, springs, bars, tyres, weights.

Body, links, springs, bars and gravity are the engine's. The tyres are forces on the wheel's part, on the ground under
the lowest point of its rigid disc as measured: up by their rate, sideways in proportion to the load, and forwards or
rearwards alike on both wheels of an axle. The lateral forces of each axle are what the engine's centre of mass asks of
it on a bend: with no longitudinal force that is one proportion to the load for all tyres, acceleration over gravity.
A braking or driving torque that goes to the body is one: the force then acts at the wheel's centre.

The body does not move forwards or sideways, nor yaw. Nothing is lost by that: with these tyres no force is left over in
those directions once heave, roll and pitch are in balance; and what braking and driving leave over in yaw, on a car
laden aside, is held by a torque on the body. Rest is where the engine's forces and constraint
Jacobians balance on each other, found by Newton's iteration. Outside lengths are mm, rates N/mm; inside, m and N/m.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as Xml

import mujoco
import numpy as np

from tests.engines.linkage import WORLD, Array, Link, Linkage
from tests.engines.mujoco_linkage import MujocoLinkage

GRAVITY = 9.80665  # m/s^2, standard (ISO 80000-3, from memory)
CHASSIS = "chassis"

_MM = 1e-3
_FAR = 100.0  # m
_LIGHT = 1e-9  # kg and kg m^2, of parts whose weight belongs to the wheel or to the body
_SETTLED = 1e-11  # m and rad
_PROBE = 1e-6  # m and rad
_MOST_STEPS = 30
_STIFF = 1e5  # N/m; makes lengths about as large as forces
_IDLE = 1.0  # N/m and N m/rad: rods may spin about themselves; what holds the car is ten thousand times as stiff
_UNDONE = 1e-8  # singular values below this part of the largest: rods that spin idly, joints said twice


@dataclass(frozen=True)
class Tyre:
    """A tyre's wheel: its part, the part's origin, centre and axis as measured, load at rest [N], rate [N/mm].

    end: 0 in front, 1 behind.
    """

    body: str
    origin: Array
    centre: Array
    axis: Array
    load: float
    rate: float
    end: int

    @property
    def radius(self) -> float:
        """Of the disc [mm], from the centre to the floor as measured."""
        return float(self.centre[2] / np.hypot(self.axis[0], self.axis[1]))


@dataclass(frozen=True)
class Pushed:
    """How a car is braked or driven.

    front: part of the force there; by_body: whether the body takes the torque, in front and behind.
    """

    front: float = 0.5
    by_body: tuple[bool, bool] = (False, False)


@dataclass(frozen=True)
class Rest:
    """A car at rest: height change [mm] of two points of the body, tyre loads [N], and angles [rad].

    roll: left side up; pitch: nose down. left_over: the largest generalised force that nothing balances [N, N m]; gap:
    of the joints [mm]. stable: with everything damped in proportion to its speed, the car goes back there after a push.
    """

    roll: float
    pitch: float
    heave: Array
    load: Array
    left_over: float
    gap: float
    stable: bool


class MujocoCar(MujocoLinkage):
    """Corners and axles told joint by joint as to any linkage, but on a body that is free, and free to travel."""

    def __init__(self) -> None:
        super().__init__()
        self._place = ""
        self._ground = self._bodies[WORLD]
        self._tyres: list[Tyre] = []
        self._acceleration = np.zeros(2)  # forwards, to the left [m/s^2]
        self._pushed = Pushed()
        body = Xml.SubElement(self._ground, "body", name=CHASSIS)
        Xml.SubElement(body, "inertial")
        for name, kind, axis in (("heave", "slide", "0 0 1"), ("pitch", "hinge", "0 1 0"), ("roll", "hinge", "1 0 0")):
            Xml.SubElement(body, "joint", name=name, type=kind, axis=axis)
        # What builders call the world is the body: there the linkages hang.
        self._bodies[WORLD] = body

    def add_linkage(
        self, place: str, build: Callable[[Linkage, Mapping[str, Array]], None], points: Mapping[str, Array]
    ) -> None:
        """A corner or an axle; its parts' names begin with its place."""
        self._place = place
        build(self, points)
        self._place = ""

    def set_mass(self, body: str, mass: float, at: Array) -> None:
        """Mass [kg] of a part, or of the body (WORLD), and its centre."""
        _weigh(self._bodies[body], mass, at - self._at[body])

    def spring(self, name: str, moving: str, low: Array, top: Array, rate: float, free_length: float) -> None:
        """A spring between a part and the body, that pushes only: longer than free it is loose."""
        spatial = Xml.SubElement(
            self._tendons,
            "spatial",
            name=name,
            stiffness=_written(rate / _MM),
            springlength=_written(free_length * _MM, _FAR),
        )
        Xml.SubElement(spatial, "site", site=self._site_on(moving, low))
        Xml.SubElement(spatial, "site", site=self._site_on(WORLD, top))

    def bar(self, rate: float, arms: list[tuple[Array, Array, str, Array]]) -> None:
        """A bar by its arms: where each turns, its end, the part that the drop link goes to, and where there.

        rate: force at one arm's end for each mm of it, the other held [N/mm]: both are twisted against each other.
        """
        twisted = Xml.SubElement(self._tendons, "fixed", name="bar", stiffness=_written(rate / _MM), springlength="0")
        for sign, (pivot, end, to, link_end) in zip((1.0, -1.0), arms, strict=True):
            name = f"bar arm {sign}"
            self.hinged_body(name, pivot, pivot + np.array([0.0, 100.0, 0.0]))
            self.rod(f"drop link {sign}", end, link_end, to=to, on=name)
            lever = float(np.hypot(end[0] - pivot[0], end[2] - pivot[2])) * _MM
            nose = -np.sign(end[0] - pivot[0])  # which way about y the end rises
            Xml.SubElement(twisted, "joint", joint=f"{name} hinge", coef=_written(sign * nose * lever))

    def tyre(self, body: str, centre: Array, axis: Array, load: float, rate: float, *, end: int) -> None:
        """A wheel on a part, its centre and spin axis, and its tyre: load at rest [N] and vertical rate [N/mm].

        end: 0 in front, 1 behind.
        """
        self._tyres.append(Tyre(body, self._at[body], centre, axis, load, rate, end))

    def at_rest(
        self, laterals: Iterable[float], marks: Array, forwards: Sequence[float] = (), pushed: Pushed = Pushed()
    ) -> list[Rest]:
        """Rest at each lateral acceleration in turn [m/s^2], to the left positive, each from where the last one was.

        marks: points of the body whose heave is wanted (M, 3) [mm]. forwards: acceleration forwards with each, braking
        negative; none without.
        """
        model = mujoco.MjModel.from_xml_string(Xml.tostring(self._root, encoding="unicode"))
        data = mujoco.MjData(model)
        self._pushed = pushed
        reaction, rests = np.zeros(len(self._state(model, data)[1])), []
        for place, lateral in enumerate(laterals):
            forward = forwards[place] if forwards else 0.0
            self._acceleration = np.array([forward, lateral])
            model.opt.gravity[:] = -forward, -lateral, -GRAVITY
            reaction, return_rate = self._settle(model, data, reaction)
            forces, jacobian, gaps = self._state(model, data)
            body = data.body(CHASSIS)
            turned = body.xmat.reshape(3, 3)
            now = body.xpos + (marks * _MM) @ turned.T
            rest = Rest(
                # Roll about the body's own axis, then pitch about the level one (ISO 8855).
                roll=float(np.arctan2(turned[2, 1], turned[2, 2])),
                pitch=float(-np.arcsin(turned[2, 0])),
                heave=now[:, 2] / _MM - marks[:, 2],
                load=np.array([_pressed(data, tyre)[0] for tyre in self._tyres]),
                left_over=float(np.abs(forces + jacobian.T @ reaction).max()),
                gap=float(np.abs(gaps).max() / _MM),
                stable=return_rate < _IDLE,
            )
            rests.append(rest)
        return rests

    def _settle(self, model: mujoco.MjModel, data: mujoco.MjData, reaction: Array) -> tuple[Array, float]:
        """Newton's iteration; the constraints' reactions at rest, and how fast a push would grow."""
        square = np.zeros((reaction.size, reaction.size))
        for _ in range(_MOST_STEPS):
            forces, jacobian, gaps = self._state(model, data)
            stiffness = self._stiffness(model, data, reaction)
            whole = np.block([[stiffness, _STIFF * jacobian.T], [_STIFF * jacobian, square]])
            wrong = np.concatenate([forces + jacobian.T @ reaction, _STIFF * gaps])
            step = np.linalg.lstsq(whole, -wrong, rcond=_UNDONE)[0]
            mujoco.mj_integratePos(model, data.qpos, step[: model.nv], 1.0)
            reaction = reaction + _STIFF * step[model.nv :]
            moved = float(np.abs(step[: model.nv]).max())
            if moved < _SETTLED:
                _, sizes, ways = np.linalg.svd(jacobian)
                free = ways[np.sum(sizes > _UNDONE * sizes[0]) :]
                return reaction, float(np.linalg.eigvals(free @ stiffness @ free.T).real.max())
        message = f"the engine's car does not come to rest: the last step was {moved:.1e}"
        raise RuntimeError(message)

    def _state(self, model: mujoco.MjModel, data: mujoco.MjData) -> tuple[Array, Array, Array]:
        """Generalised forces without reactions, constraint Jacobian, and how far the joints are open."""
        data.qvel[:] = 0.0
        mujoco.mj_fwdPosition(model, data)
        mujoco.mj_fwdVelocity(model, data)
        forces = data.qfrc_passive - data.qfrc_bias
        pressed = [_pressed(data, tyre) for tyre in self._tyres]
        ends = np.array([tyre.end for tyre in self._tyres])
        loads, places = np.array([one[0] for one in pressed]), np.array([one[1] for one in pressed])
        sideways = self._sideways(model, data, ends, loads, places)
        for tyre, load, lowest, lateral in zip(self._tyres, loads, places, sideways, strict=True):
            part, chassis = data.body(tyre.body).id, data.body(CHASSIS)
            mates = (loads > 0.0) & (ends == tyre.end)
            share = self._pushed.front if tyre.end == 0 else 1.0 - self._pushed.front
            along = share * float(model.body_mass.sum()) * self._acceleration[0] / max(int(mates.sum()), 1)
            push = np.array([along * (load > 0.0), 0.0, 0.0])
            at = lowest
            if self._pushed.by_body[tyre.end]:
                at = data.body(tyre.body).xpos + _out(data, tyre)
                torque = np.cross(lowest - at, push)
                mujoco.mj_applyFT(model, data, np.zeros(3), torque, chassis.xpos, chassis.id, forces)
            mujoco.mj_applyFT(model, data, push, np.zeros(3), at, part, forces)
            mujoco.mj_applyFT(model, data, np.array([0.0, lateral, load]), np.zeros(3), lowest, part, forces)
            mujoco.mj_applyFT(
                model, data, np.zeros(3), [0.0, 0.0, _yaw(lowest, push[0], lateral)], chassis.xpos, chassis.id, forces
            )
        for mass, place in zip(model.body_mass, data.xipos, strict=True):
            held = np.array([0.0, 0.0, _yaw(place, *(-mass * self._acceleration))])
            mujoco.mj_applyFT(model, data, np.zeros(3), held, data.body(CHASSIS).xpos, data.body(CHASSIS).id, forces)
        rows = data.efc_type == mujoco.mjtConstraint.mjCNSTR_EQUALITY
        return forces, data.efc_J.reshape(-1, model.nv)[rows].copy(), data.efc_pos[rows].copy()

    def _sideways(self, model: mujoco.MjModel, data: mujoco.MjData, ends: Array, loads: Array, places: Array) -> Array:
        """Lateral forces of the tyres [N]: what the centre of mass asks of each end, by load within it."""
        forward, lateral = self._acceleration
        if not forward:
            return np.asarray(loads * lateral / GRAVITY)
        weight = model.body_mass
        middle = float(weight @ data.xipos[:, 0] / weight.sum())
        # Within an end the lateral forces are as the loads, so they act between its wheels where these do.
        front, rear = (float(loads[ends == end] @ places[ends == end, 0] / loads[ends == end].sum()) for end in (0, 1))
        part = (middle - rear) / (front - rear)
        asked = np.where(ends == 0, part, 1.0 - part) * weight.sum() * lateral
        return np.asarray(asked * loads / np.array([loads[ends == end].sum() for end in (0, 1)])[ends])

    def _stiffness(self, model: mujoco.MjModel, data: mujoco.MjData, reaction: Array) -> Array:
        """Change of all forces, the reactions held, with each coordinate (nv, nv)."""
        start, columns = data.qpos.copy(), []
        for coordinate in np.eye(model.nv):
            both = []
            for way in (_PROBE, -_PROBE):
                data.qpos[:] = start
                mujoco.mj_integratePos(model, data.qpos, coordinate, way)
                forces, jacobian, _ = self._state(model, data)
                both.append(forces + jacobian.T @ reaction)
            columns.append((both[0] - both[1]) / (2.0 * _PROBE))
        data.qpos[:] = start
        return np.stack(columns, axis=-1)

    def _add_body(self, name: str, at: Array, on: str = WORLD) -> None:
        super()._add_body(self._named(name), at, self._named(on))
        _weigh(self._bodies[self._named(name)], _LIGHT, np.zeros(3))

    def free_body(self, name: str, at: Array) -> None:
        # The engine wants free bodies in the world, where they are told in the same coordinates.
        body, self._bodies[WORLD] = self._bodies[WORLD], self._ground
        super().free_body(name, at)
        self._bodies[WORLD] = body

    def driven_slide(self, name: str, at: Array, direction: Array) -> None:  # noqa: ARG002
        self._add_body(name, at)  # the steering is held

    def held_height(self, name: str, body: str, at: Array, *, driven: bool) -> None:
        if not driven:
            super().held_height(name, body, at, driven=False)

    def fixed_sum(self, name: str, links: Sequence[Link]) -> None:
        super().fixed_sum(self._named(name), links)

    def _add_joint(self, body: str, name: str, kind: str, axis: Array | None = None) -> None:
        super()._add_joint(self._named(body), self._named(name), kind, axis)

    def _site_on(self, body: str, at: Array) -> str:
        return super()._site_on(self._named(body), at)

    def _named(self, name: str) -> str:
        """A part's full name; the world and full names stay."""
        return name if name == WORLD or not self._place else f"{self._place} {name}"


def _weigh(body: Xml.Element, mass: float, centre: Array) -> None:
    """Mass [kg] of a body and its centre from the body's own origin [mm]; inertia does nothing at rest."""
    inertial = body.find("inertial")
    assert inertial is not None
    inertial.set("mass", _written(mass))
    inertial.set("diaginertia", _written(mass, mass, mass))
    inertial.set("pos", _written(*(centre * _MM)))


def _yaw(at: Array, forward: float, lateral: float) -> float:
    """Torque about the vertical that holds a force at a place [N m]."""
    return float(at[1] * forward - at[0] * lateral)


def _out(data: mujoco.MjData, tyre: Tyre) -> Array:
    """From the origin of the wheel's part to the wheel's centre [m]."""
    return np.asarray(data.body(tyre.body).xmat.reshape(3, 3) @ (tyre.centre - tyre.origin) * _MM)


def _pressed(data: mujoco.MjData, tyre: Tyre) -> tuple[float, Array]:
    """Load of a tyre [N] and the place on the ground under its disc's lowest point [m], where its part is now."""
    body = data.body(tyre.body)
    turned = body.xmat.reshape(3, 3)
    axis = turned @ tyre.axis
    downwards = axis * axis[2] - np.array([0.0, 0.0, 1.0])
    centre = body.xpos + _out(data, tyre)
    lowest = centre + tyre.radius * _MM * downwards / np.linalg.norm(downwards)
    load = max(0.0, tyre.load - tyre.rate * float(lowest[2]) / _MM)
    return load, np.array([lowest[0], lowest[1], 0.0])  # a squashed tyre's disc reaches under the ground it stands on


def _written(*numbers: float) -> str:
    """Numbers as XML takes them, to the last bit."""
    return " ".join(repr(float(number)) for number in numbers)
