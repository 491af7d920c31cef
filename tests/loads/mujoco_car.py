"""A whole car in MuJoCo at rest: linkages on a body that heaves, rolls and pitches, springs, bars, tyres, weights.

Body, links, springs, bars and gravity are the engine's. The tyres are forces on the wheel's part, on the ground under
the lowest point of its rigid disc as measured: up by their rate, and sideways in the same proportion to the load as the
acceleration to gravity, so that in a corner all tyres together carry the car sideways, as they do the wheels of each
axle.

The body does not move forwards or sideways, nor yaw. Nothing is lost by that: with these tyres no force is left over in
those directions once heave, roll and pitch are in balance. Rest is where the engine's forces and constraint
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
    """A tyre's wheel: its part, the part's origin, centre and axis as measured, load at rest [N], rate [N/mm]."""

    body: str
    origin: Array
    centre: Array
    axis: Array
    load: float
    rate: float

    @property
    def radius(self) -> float:
        """Of the disc [mm], from the centre to the floor as measured."""
        return float(self.centre[2] / np.hypot(self.axis[0], self.axis[1]))


@dataclass(frozen=True)
class Rest:
    """A car at rest: roll, left side up [rad]; height change [mm] of two points of the body; tyre loads [N].

    left_over: the largest generalised force that nothing balances [N, N m]; gap: of the joints [mm].
    stable: with everything damped in proportion to its speed, the car goes back there after a push.
    """

    roll: float
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
        body = Xml.SubElement(self._ground, "body", name=CHASSIS)
        Xml.SubElement(body, "inertial")
        for name, kind, axis in (("heave", "slide", "0 0 1"), ("roll", "hinge", "1 0 0"), ("pitch", "hinge", "0 1 0")):
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

    def tyre(self, body: str, centre: Array, axis: Array, load: float, rate: float) -> None:
        """A wheel on a part, its centre and spin axis, and its tyre: load at rest [N] and vertical rate [N/mm]."""
        self._tyres.append(Tyre(body, self._at[body], centre, axis, load, rate))

    def at_rest(self, laterals: Iterable[float], marks: Array) -> list[Rest]:
        """Rest at each lateral acceleration in turn [m/s^2], to the left positive, each from where the last one was.

        marks: points of the body whose heave is wanted (M, 3) [mm].
        """
        model = mujoco.MjModel.from_xml_string(Xml.tostring(self._root, encoding="unicode"))
        data = mujoco.MjData(model)
        reaction, rests = np.zeros(len(self._state(model, data, 0.0)[1])), []
        for lateral in laterals:
            model.opt.gravity[:] = 0.0, -lateral, -GRAVITY
            reaction, return_rate = self._settle(model, data, reaction, lateral / GRAVITY)
            forces, jacobian, gaps = self._state(model, data, lateral / GRAVITY)
            body = data.body(CHASSIS)
            now = body.xpos + (marks * _MM) @ body.xmat.reshape(3, 3).T
            rest = Rest(
                roll=float(data.joint("roll").qpos[0]),
                heave=now[:, 2] / _MM - marks[:, 2],
                load=np.array([_pressed(data, tyre)[0] for tyre in self._tyres]),
                left_over=float(np.abs(forces + jacobian.T @ reaction).max()),
                gap=float(np.abs(gaps).max() / _MM),
                stable=return_rate < _IDLE,
            )
            rests.append(rest)
        return rests

    def _settle(
        self, model: mujoco.MjModel, data: mujoco.MjData, reaction: Array, friction: float
    ) -> tuple[Array, float]:
        """Newton's iteration; the constraints' reactions at rest, and how fast a push would grow."""
        square = np.zeros((reaction.size, reaction.size))
        for _ in range(_MOST_STEPS):
            forces, jacobian, gaps = self._state(model, data, friction)
            stiffness = self._stiffness(model, data, reaction, friction)
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

    def _state(self, model: mujoco.MjModel, data: mujoco.MjData, friction: float) -> tuple[Array, Array, Array]:
        """Generalised forces without reactions, constraint Jacobian, and how far the joints are open."""
        data.qvel[:] = 0.0
        mujoco.mj_fwdPosition(model, data)
        mujoco.mj_fwdVelocity(model, data)
        forces = data.qfrc_passive - data.qfrc_bias
        for tyre in self._tyres:
            load, lowest = _pressed(data, tyre)
            push = np.array([0.0, friction * load, load])
            mujoco.mj_applyFT(model, data, push, np.zeros(3), lowest, data.body(tyre.body).id, forces)
        rows = data.efc_type == mujoco.mjtConstraint.mjCNSTR_EQUALITY
        return forces, data.efc_J.reshape(-1, model.nv)[rows].copy(), data.efc_pos[rows].copy()

    def _stiffness(self, model: mujoco.MjModel, data: mujoco.MjData, reaction: Array, friction: float) -> Array:
        """Change of all forces, the reactions held, with each coordinate (nv, nv)."""
        start, columns = data.qpos.copy(), []
        for coordinate in np.eye(model.nv):
            both = []
            for way in (_PROBE, -_PROBE):
                data.qpos[:] = start
                mujoco.mj_integratePos(model, data.qpos, coordinate, way)
                forces, jacobian, _ = self._state(model, data, friction)
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


def _pressed(data: mujoco.MjData, tyre: Tyre) -> tuple[float, Array]:
    """Load of a tyre [N] and the place on the ground under its disc's lowest point [m], where its part is now."""
    body = data.body(tyre.body)
    turned = body.xmat.reshape(3, 3)
    axis = turned @ tyre.axis
    downwards = axis * axis[2] - np.array([0.0, 0.0, 1.0])
    centre = body.xpos + turned @ (tyre.centre - tyre.origin) * _MM
    lowest = centre + tyre.radius * _MM * downwards / np.linalg.norm(downwards)
    load = max(0.0, tyre.load - tyre.rate * float(lowest[2]) / _MM)
    return load, np.array([lowest[0], lowest[1], 0.0])  # a squashed tyre's disc reaches under the ground it stands on


def _written(*numbers: float) -> str:
    """Numbers as XML takes them, to the last bit."""
    return " ".join(repr(float(number)) for number in numbers)
