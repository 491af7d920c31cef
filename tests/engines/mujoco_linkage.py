"""Linkages in MuJoCo, a general-purpose multibody engine, as an independent reference for solved positions.

Nothing here knows or uses the solver under test: joints are the engine's own, and so are its constraint residuals
and Jacobians. Outside this module lengths are mm; the engine works in metres.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as Xml

import mujoco
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
WORLD = "world"

_MM = 1e-3  # of the engine's metres
_AXES = np.eye(3)
_SETTLED = 1e-14  # m and rad: the last projection step is rounding only
_REDUNDANT = 1e-10  # singular values below this part of the largest are rows said twice


@dataclass(frozen=True)
class Poses:
    """Solved poses of one body: reference points (S, 3) [mm] and rotations from the start (S, 3, 3)."""

    position: Array
    rotation: Array


class Linkage:
    """Bodies and joints, given by points in space [mm] in the start position, all bodies unturned there."""

    def __init__(self) -> None:
        self._root = Xml.Element("mujoco")
        Xml.SubElement(self._root, "option", gravity="0 0 0", jacobian="dense")
        self._bodies = {WORLD: Xml.SubElement(self._root, "worldbody")}
        self._at = {WORLD: np.zeros(3)}
        self._tendons = Xml.SubElement(self._root, "tendon")
        self._equalities = Xml.SubElement(self._root, "equality")
        self._sites = 0

    def free_body(self, name: str, at: Array) -> None:
        """A body free to move and turn, with its reference point there; other joints guide it."""
        self._add_body(name, at)
        for axis, direction in zip("xyz", _AXES, strict=True):
            self._add_joint(name, f"{name} {axis}", "slide", direction)
        self._add_joint(name, f"{name} turn", "ball")

    def hinged_body(self, name: str, pivot: Array, other_pivot: Array, on: str = WORLD) -> None:
        """An arm or rocker that turns about the line through two pivots."""
        self._add_body(name, pivot, on)
        self._add_joint(name, f"{name} hinge", "hinge", other_pivot - pivot)

    def ball_jointed_rod(self, name: str, inner: Array, outer: Array, to: str, on: str = WORLD) -> None:
        """A rod, as a body, with a ball joint at either end; it keeps what it joins at its length."""
        self._add_body(name, inner, on)
        self._add_joint(name, f"{name} ball", "ball")
        self.ball_joint(name, to, outer)

    def sliding_strut(self, name: str, top: Array, low: Array, to: str, on: str = WORLD) -> None:
        """A strut: its rod on a ball joint at the top, its tube sliding on the rod and clamped to a body."""
        self._add_body(f"{name} rod", top, on)
        self._add_joint(f"{name} rod", f"{name} top mount", "ball")
        self._add_body(f"{name} tube", low, f"{name} rod")
        self._add_joint(f"{name} tube", f"{name} slide", "slide", top - low)
        # Two points of the axis clamp it; nothing depends on how the tube turns about the axis.
        self.ball_joint(f"{name} tube", to, low)
        self.ball_joint(f"{name} tube", to, low + 0.5 * (top - low))

    def ball_joint(self, first: str, second: str, at: Array) -> None:
        """A point that two bodies share."""
        Xml.SubElement(self._equalities, "connect", site1=self._site_on(first, at), site2=self._site_on(second, at))

    def fixed_length(self, name: str, first: str, first_at: Array, second: str, second_at: Array) -> None:
        """A link without a body: two points keep their distance."""
        spatial = Xml.SubElement(self._tendons, "spatial", name=name)
        Xml.SubElement(spatial, "site", site=self._site_on(first, first_at))
        Xml.SubElement(spatial, "site", site=self._site_on(second, second_at))
        Xml.SubElement(self._equalities, "tendon", tendon1=name)

    def sweep_height(self, name: str, heights: Array) -> Poses:
        """Poses of a free body with its reference point held at heights (S,) over its start [mm].

        Solved from the start outwards, so neighbouring heights should be 10 mm apart or closer.
        """
        driver = "height"
        if all(equality.get("name") != driver for equality in self._equalities):
            Xml.SubElement(self._equalities, "joint", name=driver, joint1=f"{name} z", polycoef="0 0 0 0 0")
        model = mujoco.MjModel.from_xml_string(Xml.tostring(self._root, encoding="unicode"))
        position, rotation = np.full((len(heights), 3), np.nan), np.full((len(heights), 3, 3), np.nan)
        for outwards in _outwards(heights):
            data = mujoco.MjData(model)
            for state in outwards:
                model.equality(driver).data[0] = heights[state] * _MM
                _project(model, data)
                position[state] = data.body(name).xpos / _MM
                rotation[state] = data.body(name).xmat.reshape(3, 3)
        return Poses(position, rotation)

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

    def _site_on(self, body: str, at: Array) -> str:
        self._sites += 1
        name = f"site {self._sites}"
        Xml.SubElement(self._bodies[body], "site", name=name, pos=_written((at - self._at[body]) * _MM))
        return name


def _outwards(heights: Array) -> Iterable[Sequence[int]]:
    """Indices of the heights up from zero, then of those below it downwards."""
    order = np.argsort(heights)
    return [i for i in order if heights[i] >= 0.0], [i for i in order[::-1] if heights[i] < 0.0]


def _project(model: mujoco.MjModel, data: mujoco.MjData) -> None:
    """Newton's steps, least in the square, on the engine's own equality residuals until only rounding is left."""
    for _ in range(40):
        mujoco.mj_fwdPosition(model, data)
        rows = data.efc_type == mujoco.mjtConstraint.mjCNSTR_EQUALITY
        jacobian = data.efc_J.reshape(-1, model.nv)[rows]
        step = np.linalg.lstsq(jacobian, -data.efc_pos[rows], rcond=_REDUNDANT)[0]
        if np.abs(step).max() < _SETTLED:
            return
        mujoco.mj_integratePos(model, data.qpos, step, 1.0)
    message = f"the engine's linkage does not close: the last step was {np.abs(step).max():.1e}"
    raise RuntimeError(message)


def _written(numbers: Array) -> str:
    """Numbers as XML takes them, to the last bit."""
    return " ".join(repr(float(number)) for number in numbers)
