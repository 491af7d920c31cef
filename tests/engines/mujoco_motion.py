"""How linkages move in MuJoCo: velocities that its own constraint Jacobian allows, and springs that are its tendons."""

from collections.abc import Mapping
from dataclasses import dataclass
from xml.etree import ElementTree as Xml

import mujoco
import numpy as np

from tests.engines.linkage import WORLD, Array, Poses, driver_values
from tests.engines.mujoco_linkage import MujocoLinkage

_MM = 1e-3  # of the engine's metres
_REDUNDANT = 1e-10  # singular values below this part of the largest are rows said twice
_FAR = 100.0  # m: a spring pushes only


@dataclass(frozen=True)
class Motion:
    """How a body moves: its reference point (..., S, 3), and its turn [rad/mm] likewise, per mm of what drives it."""

    velocity: Array
    spin: Array

    def at(self, arm: Array) -> Array:
        """Motion (..., S, 3) of the body's point that lies so far from its reference point."""
        return np.asarray(self.velocity + np.cross(self.spin, arm))


@dataclass(frozen=True)
class Moved:
    """Poses and motions of all bodies, motions by each driver (drivers, S, 3).

    length, length_rate: of springs (S,) [mm], and their change per mm of each driver (drivers, S). force: of all
    springs together along each driver (drivers, S) [N]. open_by: the largest speed at which the engine's joints would
    part in these motions, over that of the drivers.
    """

    drivers: list[str]
    poses: dict[str, Poses]
    motions: dict[str, Motion]
    length: dict[str, Array]
    length_rate: dict[str, Array]
    force: Array
    open_by: float

    def motion(self, body: str, driver: str) -> Motion:
        """A body's motion (S, 3) by one driver."""
        motion, index = self.motions[body], self.drivers.index(driver)
        return Motion(motion.velocity[index], motion.spin[index])


class MovingLinkage(MujocoLinkage):
    """A linkage in MuJoCo that tells its motion too."""

    def __init__(self) -> None:
        super().__init__()
        self._springs: list[str] = []

    def spring(self, name: str, ends: tuple[tuple[str, Array], tuple[str, Array]], rate: float, free: float) -> None:
        """A spring between points of two bodies, rate [N/mm] and free length [mm]; it pushes only."""
        springlength = f"{float(free * _MM)!r} {_FAR!r}"
        spatial = Xml.SubElement(
            self._tendons, "spatial", name=name, stiffness=repr(float(rate / _MM)), springlength=springlength
        )
        for body, at in ends:
            Xml.SubElement(spatial, "site", site=self._site_on(body, at))
        self._springs.append(name)

    def move(self, driven: Mapping[str, Array]) -> Moved:
        """Solve as `solve` does, and find at each state how everything moves with each driver."""
        targets = driver_values(self._drivers, driven)
        names, count, drivers = [name for name in self._bodies if name != WORLD], len(targets), len(self._drivers)
        places = {name: (np.empty((count, 3)), np.empty((count, 3, 3))) for name in names}
        motions = {name: Motion(*np.empty((2, drivers, count, 3))) for name in names}
        lengths = {name: np.empty(count) for name in self._springs}
        rates = {name: np.empty((drivers, count)) for name in self._springs}
        force, open_by = np.empty((drivers, count)), 0.0
        for state, model, data in self._solved(targets):
            moving, parting = _allowed(model, data, self._drivers)
            open_by = max(open_by, parting)
            linear, angular = np.empty((2, 3, model.nv))
            for name in names:
                body = data.body(name)
                places[name][0][state], places[name][1][state] = body.xpos / _MM, body.xmat.reshape(3, 3)
                mujoco.mj_jacBody(model, data, linear, angular, body.id)
                motions[name].velocity[:, state] = (linear @ moving).T
                motions[name].spin[:, state] = (angular @ moving).T * _MM
            for driver in range(drivers):
                data.qvel[:] = moving[:, driver]
                mujoco.mj_fwdVelocity(model, data)
                force[driver, state] = data.qfrc_passive @ moving[:, driver]  # nothing is damped: the springs'
                for name in self._springs:
                    rates[name][driver, state] = data.tendon(name).velocity[0]
            for name in self._springs:
                lengths[name][state] = data.tendon(name).length[0] / _MM
        poses = {name: Poses(self._at[name], *places[name]) for name in names}
        return Moved(list(self._drivers), poses, motions, lengths, rates, force, open_by)


def _allowed(model: mujoco.MjModel, data: mujoco.MjData, drivers: list[str]) -> tuple[Array, float]:
    """Generalised velocities (nv, drivers) that the equalities allow with one driver at speed 1, the others at rest."""
    rows = data.efc_type == mujoco.mjtConstraint.mjCNSTR_EQUALITY
    jacobian, equality = data.efc_J.reshape(-1, model.nv)[rows], data.efc_id[rows]
    speeds = np.stack([(equality == model.equality(name).id).astype(float) for name in drivers], axis=-1)
    assert (speeds.sum(axis=0) == 1.0).all()
    moving = np.linalg.lstsq(jacobian, speeds, rcond=_REDUNDANT)[0]
    return moving, float(np.abs(jacobian @ moving - speeds).max())
