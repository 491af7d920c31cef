"""Other ways to a position of a mechanism with two drivers than the straight one: round the corners of a square.

What two drivers can reach is a region bounded by locks. It may have corners, behind which the straight way from the
start leads through a lock, and cusps, behind which two ways that pass on either side end in different assemblies: there
it is not known in which of them the linkage would be.
"""

from dataclasses import dataclass

import numpy as np

from solvers.equations import equations, start_pose
from solvers.mechanism import Mechanism
from solvers.moving import Reached, follow
from solvers.tangents import without_tangents
from solvers.vectors import Array, Flags

_SAME = 1e-4  # mm, and rad per metre: poses closer than this are one, near a lock too


@dataclass(frozen=True)
class OtherWays:
    """What the ways round both corners lead to, in the batch shape asked for.

    round_a_corner: one of them arrives where the straight way does not. forked: one arrives in another assembly than
    the straight way does.
    """

    round_a_corner: Flags
    forked: Flags


def other_ways(mechanism: Mechanism, values: Array, straight: Reached, chosen: Flags) -> OtherWays:
    """Go to chosen values (..., 2) of two drivers round either corner of the square that has the way there as diagonal.

    straight: what the straight way led to; chosen: (...) of these, the others are not looked at.
    """
    mechanism, values, straight = without_tangents(mechanism), without_tangents(values), without_tangents(straight)
    rows = equations(mechanism).flattened(chosen.shape).take(chosen.ravel())
    asked = values[chosen].T
    start = [part.reshape(*part.shape[:2], -1)[..., chosen.ravel()] for part in start_pose(mechanism, chosen.shape)]
    straightly = (
        np.moveaxis(straight.pose.position[chosen], 0, -1),
        np.moveaxis(straight.pose.quaternion[chosen], 0, -1),
    )
    arrived = straight.arrived[chosen]
    found, forked = np.zeros_like(arrived), np.zeros_like(arrived)
    for way in (1.0, -1.0):
        corner = 0.5 * (asked + way * np.stack([-asked[1], asked[0]]))
        halfway = follow(rows, start[0], start[1], corner)
        end = follow(rows, halfway[0], halfway[1], asked - corner, corner)
        there = (halfway[2] >= 1.0) & (end[2] >= 1.0)
        found |= there & ~arrived
        forked |= there & arrived & ~_same(straightly, end[:2])
    out = np.zeros((2, *chosen.shape), dtype=bool)
    out[:, chosen] = found, forked
    return OtherWays(*out)


def _same(one: tuple[Array, Array], other: tuple[Array, Array]) -> Flags:
    apart = np.abs(one[0] - other[0]).max(axis=(0, 1))
    turned = 2.0 * (1.0 - np.abs((one[1] * other[1]).sum(axis=1))).max(axis=0)
    return np.asarray((apart < _SAME) & (np.sqrt(np.maximum(turned, 0.0)) < 1e-3 * _SAME + 1e-7))
