"""Linkages in Exudyn, a general-purpose multibody engine: every body free, held by the engine's own constraints.

Outside this module lengths are mm; the engine works in metres.
"""

from collections.abc import Mapping, Sequence

import exudyn
import numpy as np
from exudyn.itemInterface import DistanceConstraint, GenericJoint, MarkerBodyRigid
from exudyn.rigidBodyUtilities import RigidBodyInertia

from tests.engines.linkage import WORLD, Array, Link, Poses, driver_values, walks

_MM = 1e-3  # of the engine's metres
_POSITION, _HEIGHT = [1, 1, 1, 0, 0, 0], [0, 0, 1, 0, 0, 0]  # what a joint holds: along x, y, z, about x, y, z
_HINGE, _SLIDE, _ALL = [1, 1, 1, 1, 1, 0], [1, 1, 0, 1, 1, 1], [1, 1, 1, 1, 1, 1]  # about z, along z


class ExudynLinkage:
    """A linkage in Exudyn."""

    def __init__(self) -> None:
        exudyn.config.suppressWarnings = True
        self._container = exudyn.SystemContainer()  # the system lives only as long as this
        self._system = self._container.AddSystem()
        self._bodies = {WORLD: self._system.CreateGround(referencePosition=[0.0, 0.0, 0.0])}
        self._at = {WORLD: np.zeros(3)}
        self._drivers: dict[str, tuple[int, Array, Array]] = {}

    def free_body(self, name: str, at: Array) -> None:
        inertia = RigidBodyInertia(1.0, np.eye(3))
        self._bodies[name] = self._system.CreateRigidBody(referencePosition=list(at * _MM), inertia=inertia)
        self._at[name] = np.asarray(at, dtype=float)

    def hinged_body(self, name: str, pivot: Array, other_pivot: Array, on: str = WORLD) -> None:
        self.free_body(name, pivot)
        self._join(name, on, pivot, _HINGE, along=other_pivot - pivot)

    def ball_jointed_body(self, name: str, at: Array, on: str = WORLD) -> None:
        self.free_body(name, at)
        self.ball_joint(name, on, at)

    def rod(self, name: str, inner: Array, outer: Array, to: str, on: str = WORLD) -> None:
        # A body could spin, which the static solver does not forgive.
        self.fixed_length(name, to, outer, on, inner)

    def driven_slide(self, name: str, at: Array, direction: Array) -> None:
        self.free_body(name, at)
        self._drivers[name] = (self._join(name, WORLD, at, _ALL), at, direction)

    def sliding_strut(self, name: str, top: Array, low: Array, to: str, on: str = WORLD) -> None:
        self.ball_jointed_body(f"{name} rod", top, on)
        self._join(f"{name} rod", to, low, _SLIDE, along=top - low)

    def ball_joint(self, first: str, second: str, at: Array) -> None:
        self._join(first, second, at, _POSITION)

    def fixed_length(self, name: str, first: str, first_at: Array, second: str, second_at: Array) -> None:
        markers = [self._marker(first, first_at), self._marker(second, second_at)]
        distance = float(np.linalg.norm(first_at - second_at)) * _MM
        self._system.AddObject(DistanceConstraint(name=name, markerNumbers=markers, distance=distance))

    def fixed_sum(self, name: str, links: Sequence[Link]) -> None:
        message = f"no sum of lengths among this engine's constraints for the {name} ({len(links)})"
        raise NotImplementedError(message)

    def held_height(self, name: str, body: str, at: Array, *, driven: bool) -> None:
        marker = self._join(body, WORLD, at, _HEIGHT)
        if driven:
            self._drivers[name] = (marker, at, np.array([0.0, 0.0, 1.0]))

    def solve(self, driven: Mapping[str, Array]) -> dict[str, Poses]:
        system, settings = self._system, _settings()
        system.Assemble()
        targets = driver_values(list(self._drivers), driven)
        names = [name for name in self._bodies if name != WORLD]
        position = {name: np.empty((len(targets), 3)) for name in names}
        rotation = {name: np.empty((len(targets), 3, 3)) for name in names}
        solved = {None: system.systemData.GetSystemState()}
        for walk in walks(targets):
            system.systemData.SetSystemState(solved[walk.from_state], exudyn.ConfigurationType.Initial)
            for values in walk.steps:
                for (marker, at, direction), value in zip(self._drivers.values(), values, strict=True):
                    system.SetMarkerParameter(marker, "localPosition", list((at + value * direction) * _MM))
                system.SolveStatic(settings, updateInitialValues=True)
            solved[walk.state] = system.systemData.GetSystemState()
            for name in names:
                position[name][walk.state] = self._read(name, exudyn.OutputVariableType.Position) / _MM
                rotation[name][walk.state] = self._read(name, exudyn.OutputVariableType.RotationMatrix).reshape(3, 3)
        return {name: Poses(self._at[name], position[name], rotation[name]) for name in names}

    def _join(self, body: str, on: str, at: Array, held: list[int], along: Array | None = None) -> int:
        """Hold a body on another at a point, in axes with z `along`; return the marker on the other."""
        axes = np.eye(3) if along is None else _axes_with_z(along)
        markers = [self._marker(on, at), self._marker(body, at)]
        self._system.AddObject(
            GenericJoint(markerNumbers=markers, constrainedAxes=held, rotationMarker0=axes, rotationMarker1=axes)
        )
        return markers[0]

    def _marker(self, body: str, at: Array) -> int:
        arm = list((at - self._at[body]) * _MM)
        return self._system.AddMarker(MarkerBodyRigid(bodyNumber=self._bodies[body], localPosition=arm))

    def _read(self, body: str, what: "exudyn.OutputVariableType") -> Array:
        return np.asarray(self._system.GetObjectOutputBody(self._bodies[body], what, [0.0, 0.0, 0.0]))


def _settings() -> "exudyn.SimulationSettings":
    """One full Newton solution to rounding."""
    settings = exudyn.SimulationSettings()
    solver = settings.staticSolver
    solver.numberOfLoadSteps = 1
    solver.verboseMode = 0
    solver.newton.relativeTolerance = 1e-13
    solver.newton.absoluteTolerance = 1e-14
    solver.newton.useModifiedNewton = False
    settings.solutionSettings.writeSolutionToFile = False
    settings.linearSolverType = exudyn.LinearSolverType.EXUdense
    return settings


def _axes_with_z(direction: Array) -> Array:
    """A rotation matrix whose third column has that direction."""
    along = direction / np.linalg.norm(direction)
    across = np.cross(along, np.eye(3)[np.argmin(np.abs(along))])
    across /= np.linalg.norm(across)
    return np.stack([across, np.cross(along, across), along], axis=-1)
