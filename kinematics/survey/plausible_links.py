"""How unlikely the links of a car would lie as fitted, beside those of the type's typical car.

Two places of a joint may fit the readings alike, one ahead of the axle and one behind it. A rod that then runs aslant
across the car, where such rods run straight, tells against one of them.
"""

from collections.abc import Iterator, Sequence

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.suspension_type import Pair, SuspensionType
from kinematics.survey.unknowns import Unknowns
from solvers.vectors import Array

# A link's one end as seen from its other differs from the typical car's by so much, with long tails (Student's t, a
# guess: common practice, no source).
_DIFFERS, _TAILS = 85.0, 4.0  # mm; degrees of freedom


def unlikeliness(
    parameters: Array, unknown: Unknowns, suspension: SuspensionType, besides: Sequence[Pair] = ()
) -> Array:
    """-2 log of the density of links that lie so (...), but for a constant; parameters (..., n).

    besides: pairs of points that count as links do. Zero for a type whose owner lists the points: none is typical.
    """
    told = np.zeros(parameters.shape[:-1])
    if suspension.listed:
        return told
    typical = {point.key: (point.typical, point.other_side or point.typical) for point in suspension.points}
    for pair in (*suspension.all_links, *besides):
        for side, names in _named(pair, unknown):
            right = side == "right"
            first, second = (unknown.places[name].linear for name in names)
            usual = np.subtract(typical[pair[1]][right], typical[pair[0]][right]) * [1.0, -1.0 if right else 1.0, 1.0]
            differs = parameters @ (second - first).T - usual
            told += (_TAILS + 3.0) * np.log1p((differs**2).sum(axis=-1) / (_TAILS * _DIFFERS**2))
    return np.asarray(told)


def _named(pair: Pair, unknown: Unknowns) -> Iterator[tuple[str, tuple[str, ...]]]:
    """A link's ends as places are named, once or on each side."""
    if all(key in unknown.places for key in pair):
        yield "", pair
        return
    for side in SIDE_NAMES:
        yield side, tuple(key if key in unknown.places else f"{side} {key}" for key in pair)
