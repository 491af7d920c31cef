"""All that an axle's numbers are doubtful by: its points, and what the car's owner knows of its body and springs.

These are independent of the points. The body's doubt goes into what is told by its centre of gravity's height or its
wheelbase; that of springs and weights into the outer wheel's share, where a car's balance makes that.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.limits import Limits
from kinematics.car.parts_known import KnownPart, OfTheBody
from kinematics.car.uncertainty import GRAVITY_HEIGHT, OUTER_SHARE, WHEELBASE, Coordinate, Doubt
from solvers.vectors import Array


def doubt_of(axle: Axle, limits: Limits | None = None, also: Sequence[str] = ()) -> Doubt | None:
    """The doubt of an axle's points, then of its body, then of what its outer share in these limits follows from.

    None where the file does not say how well its points were measured. also: further sources of the car by name,
    whether or not anything here follows from them.
    """
    points = axle.doubt
    if points is None:
        return None
    rows = _rows(axle, limits)
    names = list(dict.fromkeys([*(name for _, by in rows for name in by), *also]))
    if not names:
        return points
    count, own = len(points.coordinates), len(points.sources)
    influence = np.zeros((count + len(rows), own + len(names)))
    influence[:count, :own] = points.influence
    for row, (_, by) in enumerate(rows):
        for name, shift in by.items():
            influence[count + row, own + names.index(name)] = shift
    coordinates = (*points.coordinates, *(coordinate for coordinate, _ in rows))
    return replace(points, coordinates=coordinates, influence=influence, sources=(*points.sources, *names))


def of_parts(axle: Axle, doubt: Doubt) -> slice:
    """Which sources of a `doubt_of` are not of the axle's points."""
    return slice(0 if axle.doubt is None else len(axle.doubt.sources), len(doubt.sources))


def share_apart(axle: Axle, limits: Limits, names: Sequence[str], sources: Array) -> Array:
    """By how much an axle's outer share is apart (...) for sources (..., n) [standard deviations] of these names."""
    by = limits.outer_share_known_to.get(axle.name, {})
    return np.asarray(sources @ np.array([by.get(name, 0.0) for name in names]))


def _rows(axle: Axle, limits: Limits | None) -> list[tuple[Coordinate, dict[str, float]]]:
    """What is shifted, and how far by each of the car's sources."""
    body = axle.body
    rows = [
        (Coordinate(of, ""), {str(KnownPart("", what, known_to)): known_to})
        for of, what, known_to in (
            (GRAVITY_HEIGHT, OfTheBody.CENTRE_OF_GRAVITY, body.centre_of_gravity_known_to),
            (WHEELBASE, OfTheBody.WHEELBASE, body.wheelbase_known_to),
        )
        if known_to is not None
    ]
    shares = {} if limits is None else dict(limits.outer_share_known_to.get(axle.name, {}))
    return [*rows, (Coordinate(OUTER_SHARE, ""), shares)] if shares else rows
