"""The other side: one corner's positions, one `scipy.optimize.root` call each, as one would write it by hand.

It shares no code with the solvers. Unknowns are absolute and of one size: the wheel centre in metres and the
upright's rotation from where it was measured as a Rodrigues vector g, tangent of half the angle along the axis.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root

Array = NDArray[np.float64]

_METRE = 1000.0  # mm
_WORST_RESIDUAL = 1e-6  # mm


@dataclass(frozen=True)
class Solved:
    """Unknowns and residuals of S calls (S, 6), and whether SciPy says that all succeeded."""

    unknowns: Array
    residual: Array
    succeeded: bool

    @property
    def centre(self) -> Array:
        """Wheel centres (S, 3) [mm]."""
        return self.unknowns[:, :3] * _METRE

    def turned(self, direction: Array) -> Array:
        """A direction of the upright (3,) as measured, where it has turned to: (S, 3)."""
        return np.array([_turned(unknowns[3:])[0] @ direction for unknowns in self.unknowns])


class PlainCorner:
    """One corner held by links, and by a strut if it has one.

    points: key to (3,) [mm]; links: (upright point, chassis point); strut: (lower point, top mount) or None.
    """

    def __init__(
        self, points: Mapping[str, Array], links: Iterable[tuple[str, str]], strut: tuple[str, str] | None
    ) -> None:
        metres = {key: point / _METRE for key, point in points.items()}
        self.centre = metres["wheel_centre"]
        outer, self.inner = (np.array([metres[key] for key in keys]) for keys in zip(*links, strict=True))
        self.arms = outer - self.centre
        between = outer - self.inner
        self.squares = np.einsum("ij,ij->i", between, between)
        self.lengths = np.sqrt(self.squares)
        self.links = len(self.arms)
        self.strut = strut is not None
        if strut is not None:
            low, self.top = (metres[key] for key in strut)
            axis = self.top - low
            first = np.cross(axis, [1.0, 0.0, 0.0])
            second = np.cross(axis, first)
            self.normals = np.array([first / np.linalg.norm(first), second / np.linalg.norm(second)])
            self.offsets = self.normals @ (low - self.centre)

    def solve(self, travel: Array) -> Solved:
        """Positions at wheel travel (S,) [mm], each started from the one before."""
        unknowns = np.concatenate([self.centre, np.zeros(3)])
        found, left = np.empty((travel.size, 6)), np.empty((travel.size, 6))
        succeeded = True
        for i, height in enumerate((self.centre[2] + travel / _METRE).tolist()):
            result = root(self.residual, unknowns, args=(height,), jac=self.jacobian, method="hybr")
            found[i] = unknowns = result.x
            left[i] = result.fun
            succeeded = succeeded and result.success
        return Solved(found, left, succeeded)

    def holds(self, solved: Solved) -> bool:
        """Whether every call succeeded and left every length right to 1e-6 mm."""
        sizes = np.ones(6)
        sizes[: self.links] = self.lengths
        return solved.succeeded and bool((np.abs(solved.residual) * _METRE / sizes < _WORST_RESIDUAL).all())

    def residual(self, unknowns: Array, height: float) -> Array:
        """Half the links' squares less what they should be, the strut's two offsets, the wheel centre's height."""
        rotation, _ = _turned(unknowns[3:])
        centre = unknowns[:3]
        out = np.empty(6)
        between = self.arms @ rotation.T
        between += centre - self.inner
        out[: self.links] = 0.5 * (np.einsum("ij,ij->i", between, between) - self.squares)
        if self.strut:
            out[3:5] = self.normals @ (rotation.T @ (self.top - centre)) - self.offsets
        out[5] = centre[2] - height
        return out

    def jacobian(self, unknowns: Array, _: float) -> Array:
        """Derivatives of the residual: forces and their moments, these per change of the Rodrigues vector."""
        rotation, scale = _turned(unknowns[3:])
        centre = unknowns[:3]
        out = np.zeros((6, 6))
        arms = self.arms @ rotation.T
        out[: self.links, :3] = arms + (centre - self.inner)
        if self.strut:
            out[3:5, :3] = -(self.normals @ rotation.T)
            arms = np.vstack([arms, self.top - centre, self.top - centre])
        force = out[:5, :3]
        moment = np.empty((5, 3))
        moment[:, 0] = arms[:, 1] * force[:, 2] - arms[:, 2] * force[:, 1]
        moment[:, 1] = arms[:, 2] * force[:, 0] - arms[:, 0] * force[:, 2]
        moment[:, 2] = arms[:, 0] * force[:, 1] - arms[:, 1] * force[:, 0]
        a, b, c = unknowns[3:].tolist()
        out[:5, 3:] = moment @ (scale * np.array([[1.0, -c, b], [c, 1.0, -a], [-b, a, 1.0]]))
        out[5, 2] = 1.0
        return out


def _turned(rodrigues: Array) -> tuple[Array, float]:
    """Rotation matrix of a Rodrigues vector g, and 2 / (1 + g g)."""
    a, b, c = rodrigues.tolist()
    scale = 2.0 / (1.0 + a * a + b * b + c * c)
    matrix = [
        [1.0 - scale * (b * b + c * c), scale * (a * b - c), scale * (a * c + b)],
        [scale * (a * b + c), 1.0 - scale * (a * a + c * c), scale * (b * c - a)],
        [scale * (a * c - b), scale * (b * c + a), 1.0 - scale * (a * a + b * b)],
    ]
    return np.array(matrix), scale
