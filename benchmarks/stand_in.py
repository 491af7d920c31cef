"""The compiled stand-in: `stand_in.c`, built by gcc -O3 where there is one, called through ctypes."""

import ctypes
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from kinematics import Axle

Array = NDArray[np.float64]
_DOUBLES = ctypes.POINTER(ctypes.c_double)
MISSING = "no gcc here, so there is no compiled stand-in"


@cache
def library() -> ctypes.CDLL | None:
    """Build and load the stand-in; None without a compiler."""
    compiler = shutil.which("gcc")
    if compiler is None:
        return None
    source = Path(__file__).with_name("stand_in.c")
    # Once loaded it needs its file no more, where the system lets that go.
    with tempfile.TemporaryDirectory(prefix="stand-in-", ignore_cleanup_errors=True) as folder:
        built = Path(folder) / "stand_in.so"
        subprocess.run([compiler, "-O3", "-shared", "-fPIC", "-o", str(built), str(source), "-lm"], check=True)
        return ctypes.CDLL(str(built))


@dataclass(frozen=True)
class CompiledCorner:
    """One corner laid out for the stand-in."""

    arms: Array
    anchors: Array
    lengths: Array
    normals: Array
    offsets: Array
    top: Array
    centre: Array

    def solve(self, travel: Array) -> Array:
        """Poses (S, 7) at wheel travel (S,) [mm], each from the one before; RuntimeError if one is not found."""
        found = library()
        assert found is not None
        pose = np.empty((travel.size, 7))
        count = found.move_corner(
            len(self.lengths), _of(self.arms), _of(self.anchors), _of(self.lengths), len(self.offsets),
            _of(self.normals), _of(self.offsets), _of(self.top), _of(self.centre), travel.size, _of(travel), _of(pose),
        )  # fmt: skip
        if count != travel.size:
            raise RuntimeError(f"the stand-in found {count} of {travel.size} positions")
        return pose


def compiled(axle: Axle, side: int) -> CompiledCorner:
    """One side of an axle whose upright hangs on links, with a strut or without."""
    kind = axle.suspension
    points = {key: point[side] for key, point in axle.points.items()}
    centre = points["wheel_centre"].copy()
    arms = np.array([points[outer] - centre for outer, _ in kind.all_links])
    anchors = np.array([points[inner] for _, inner in kind.all_links])
    lengths = np.linalg.norm(arms + centre - anchors, axis=1)
    if kind.strut is None:
        return CompiledCorner(arms, anchors, lengths, np.zeros((0, 3)), np.zeros(0), np.zeros(3), centre)
    top = points[kind.strut.top_mount].copy()
    axis = top - points[kind.strut.low]
    first = np.cross(axis, [1.0, 0.0, 0.0])
    second = np.cross(axis, first)
    normals = np.array([first / np.linalg.norm(first), second / np.linalg.norm(second)])
    return CompiledCorner(arms, anchors, lengths, normals, normals @ (top - centre), top, centre)


def outwards(travel: Array) -> Array:
    """Travels in the order in which a program that starts from the one before would take them: out from the middle."""
    return np.ascontiguousarray(np.concatenate([np.sort(travel[travel <= 0.0])[::-1], np.sort(travel[travel > 0.0])]))


def _of(values: Array) -> "ctypes._Pointer[ctypes.c_double]":
    assert values.flags.c_contiguous
    return values.ctypes.data_as(_DOUBLES)
