"""Rows against two general-purpose multibody engines, set up as in the tests: a bump sweep of one car."""

import importlib.util
from collections.abc import Iterator

import numpy as np

from benchmarks.timing import Row, best_of
from kinematics import sweep_bump
from kinematics.car.suspensions import SUSPENSIONS
from tests.engines.corner_linkages import CORNERS, TRAVEL, Build
from tests.engines.invented_axles import invented
from tests.engines.linkage import Poses

_TRAVEL = np.linspace(-60.0, 60.0, 41)  # mm
_TIMED = ("strut", "five link")
_AGREE = 1e-6  # mm


def rows(quick: bool) -> Iterator[Row]:
    """A row for each type and engine that is installed."""
    builds = {kind: build for kind, build in CORNERS if kind in SUSPENSIONS}
    for kind in _TIMED:
        for name in ("mujoco", "exudyn"):
            if importlib.util.find_spec(name) is None:
                text = f"{name} is not installed"
                yield Row(f"{kind}: bump sweep", 1.0, 1.0, text, text, name, needed=False)
            else:
                yield _row(kind, name, builds[kind], 1 if quick else 3)


def _row(kind: str, name: str, build: Build, repeats: int) -> Row:
    axle = invented(kind, "typical")
    if name == "mujoco":
        from tests.engines.mujoco_linkage import MujocoLinkage as Engine
    else:
        from tests.engines.exudyn_linkage import ExudynLinkage as Engine

    def theirs() -> list[dict[str, Poses]]:
        found = []
        for side in (0, 1):
            linkage = Engine()
            build(linkage, {key: point[side] for key, point in axle.points.items()})
            found.append(linkage.solve({TRAVEL: _TRAVEL}))
        return found

    sweep, wheel = sweep_bump(axle, _TRAVEL), axle.suspension.bodies[0]
    ours_y = sweep["wheel_centre_y"]
    apart = max(
        float(np.abs(bodies[wheel].point(axle.points["wheel_centre"][side])[:, 1] - ours_y[side]).max())
        for side, bodies in enumerate(theirs())
    )
    times = best_of(repeats, 5, lambda: sweep_bump(axle, _TRAVEL), theirs)
    void = "" if apart < _AGREE else f"positions differ by {apart:.0e} mm"
    label = f"{kind}: bump sweep, {_TRAVEL.size} positions, both corners"
    return Row(label, *times, f"the engine finds positions alone; within {apart:.0e} mm", void, name)
