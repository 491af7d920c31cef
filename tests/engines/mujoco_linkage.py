"""Linkages in MuJoCo, a general-purpose multibody engine: its own joints, constraint residuals and Jacobians.

Bodies hang on each other in a tree of joints; equalities close its loops. Outside this module lengths are mm; the
engine works in metres.
"""

from collections.abc import Iterator, Mapping, Sequence
from xml.etree import ElementTree as Xml

import mujoco
import numpy as np

from tests.engines.linkage import WORLD, Array, Link, Poses, driver_values, walks

_MM = 1e-3  # of the engine's metres
_LEVEL, _UPWARDS = np.eye(3)[:2], np.eye(3)[2]
_SETTLED = 1e-14  # m and rad: the last projection step is rounding only
_REDUNDANT = 1e-10  # singular values below this part of the largest are rows said twice


class MujocoLinkage:
    """A linkage in MuJoCo. settled: size of the last projection step [m, rad]; near a lock rounding leaves more."""

    def __init__(self, settled: float = _SETTLED) -> None:
        self._settled = settled
        self._root = Xml.Element("mujoco")
        Xml.SubElement(self._root, "option", gravity="0 0 0", jacobian="dense")
        self._bodies = {WORLD: Xml.SubElement(self._root, "worldbody")}
        self._at = {WORLD: np.zeros(3)}
        self._tendons = Xml.SubElement(self._root, "tendon")
        self._equalities = Xml.SubElement(self._root, "equality")
        self._sites = 0
        self._drivers: list[str] = []

    def free_body(self, name: str, at: Array) -> None:
        self._add_body(name, at)
        self._add_joint(name, f"{name} free", "free")

    def hinged_body(self, name: str, pivot: Array, other_pivot: Array, on: str = WORLD) -> None:
        self._add_body(name, pivot, on)
        self._add_joint(name, f"{name} hinge", "hinge", other_pivot - pivot)

    def ball_jointed_body(self, name: str, at: Array, on: str = WORLD) -> None:
        self._add_body(name, at, on)
        self._add_joint(name, f"{name} ball", "ball")

    def rod(self, name: str, inner: Array, outer: Array, to: str, on: str = WORLD) -> None:
        self.ball_jointed_body(name, inner, on)
        self.ball_joint(name, to, outer)

    def driven_slide(self, name: str, at: Array, direction: Array) -> None:
        self._add_body(name, at)
        self._add_driver(name, name, direction)

    def sliding_strut(self, name: str, top: Array, low: Array, to: str, on: str = WORLD) -> None:
        self.ball_jointed_body(f"{name} rod", top, on)
        self._add_body(f"{name} tube", low, f"{name} rod")
        self._add_joint(f"{name} tube", f"{name} slide", "slide", top - low)
        # Two points of the axis clamp it; nothing depends on how the tube turns about the axis.
        self.ball_joint(f"{name} tube", to, low)
        self.ball_joint(f"{name} tube", to, low + 0.5 * (top - low))

    def ball_joint(self, first: str, second: str, at: Array) -> None:
        Xml.SubElement(self._equalities, "connect", site1=self._site_on(first, at), site2=self._site_on(second, at))

    def fixed_length(self, name: str, first: str, first_at: Array, second: str, second_at: Array) -> None:
        self.fixed_sum(name, [(first, first_at, second, second_at)])

    def fixed_sum(self, name: str, links: Sequence[Link]) -> None:
        # One tendon whose branches a pulley joins; the engine holds the length that it has at the start.
        spatial = Xml.SubElement(self._tendons, "spatial", name=name)
        for number, (first, first_at, second, second_at) in enumerate(links):
            if number:
                Xml.SubElement(spatial, "pulley", divisor="1")
            Xml.SubElement(spatial, "site", site=self._site_on(first, first_at))
            Xml.SubElement(spatial, "site", site=self._site_on(second, second_at))
        Xml.SubElement(self._equalities, "tendon", tendon1=name)

    def held_height(self, name: str, body: str, at: Array, *, driven: bool) -> None:
        # A carriage that slides level, and up and down if it is driven, takes the point along.
        carriage = f"{name} carriage"
        self._add_body(carriage, at)
        for axis, direction in zip("xy", _LEVEL, strict=True):
            self._add_joint(carriage, f"{carriage} {axis}", "slide", direction)
        if driven:
            self._add_driver(name, carriage, _UPWARDS)
        self.ball_joint(carriage, body, at)

    def solve(self, driven: Mapping[str, Array]) -> dict[str, Poses]:
        targets = driver_values(self._drivers, driven)
        names = [name for name in self._bodies if name != WORLD]
        position = {name: np.empty((len(targets), 3)) for name in names}
        rotation = {name: np.empty((len(targets), 3, 3)) for name in names}
        for state, _, data in self._solved(targets):
            for name in names:
                position[name][state] = data.body(name).xpos / _MM
                rotation[name][state] = data.body(name).xmat.reshape(3, 3)
        return {name: Poses(self._at[name], position[name], rotation[name]) for name in names}

    def _solved(self, targets: Array) -> Iterator[tuple[int, mujoco.MjModel, mujoco.MjData]]:
        """The engine where it stands at each state of driver values (S, drivers), in the order of the walks."""
        model = mujoco.MjModel.from_xml_string(Xml.tostring(self._root, encoding="unicode"))
        solved = {}
        for walk in walks(targets):
            data = mujoco.MjData(model)
            if walk.from_state is not None:
                data.qpos[:] = solved[walk.from_state]
            for values in walk.steps:
                for name, value in zip(self._drivers, values, strict=True):
                    model.equality(name).data[0] = value * _MM
                _project(model, data, self._settled)
            solved[walk.state] = data.qpos.copy()
            yield walk.state, model, data

    def _add_body(self, name: str, at: Array, on: str = WORLD) -> None:
        offset = (at - self._at[on]) * _MM
        body = Xml.SubElement(self._bodies[on], "body", name=name, pos=_written(offset))
        Xml.SubElement(body, "inertial", pos="0 0 0", mass="1", diaginertia="1 1 1")
        self._bodies[name], self._at[name] = body, np.asarray(at, dtype=float)

    def _add_joint(self, body: str, name: str, kind: str, axis: Array | None = None) -> None:
        joint = Xml.Element("joint", name=name, type=kind)
        if axis is not None:
            joint.set("axis", _written(axis))
        self._bodies[body].append(joint)

    def _add_driver(self, name: str, body: str, direction: Array) -> None:
        self._add_joint(body, f"{name} slide", "slide", direction)
        Xml.SubElement(self._equalities, "joint", name=name, joint1=f"{name} slide", polycoef="0 0 0 0 0")
        self._drivers.append(name)

    def _site_on(self, body: str, at: Array) -> str:
        self._sites += 1
        name = f"site {self._sites}"
        Xml.SubElement(self._bodies[body], "site", name=name, pos=_written((at - self._at[body]) * _MM))
        return name


def _project(model: mujoco.MjModel, data: mujoco.MjData, settled: float = _SETTLED) -> None:
    """Newton's steps, least in the square, on the engine's own equality residuals until only rounding is left."""
    for _ in range(40):
        mujoco.mj_fwdPosition(model, data)
        rows = data.efc_type == mujoco.mjtConstraint.mjCNSTR_EQUALITY
        jacobian = data.efc_J.reshape(-1, model.nv)[rows]
        step = np.linalg.lstsq(jacobian, -data.efc_pos[rows], rcond=_REDUNDANT)[0]
        if np.abs(step).max() < settled:
            return
        mujoco.mj_integratePos(model, data.qpos, step, 1.0)
    message = f"the engine's linkage does not close: the last step was {np.abs(step).max():.1e}"
    raise RuntimeError(message)


def _written(numbers: Array) -> str:
    """Numbers as XML takes them, to the last bit."""
    return " ".join(repr(float(number)) for number in numbers)
