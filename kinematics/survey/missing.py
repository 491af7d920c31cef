"""What a survey leaves open: coordinates that nothing determines, and what to read besides."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from kinematics.car.uncertainty import WAYS
from kinematics.survey.fit import SurveyFit
from kinematics.survey.readings import Reading, ReadingKind, rows_of
from kinematics.survey.unknowns import WHEEL, Unknowns
from solvers.tangents import derivatives
from solvers.vectors import Array

# Beyond some 35 mm a tape of 300 mm, read to 2 mm, no longer tells in proportion how far its end has moved (the square
# of that over twice the length is 2 mm), so a standard deviation of 100 mm says no more than: somewhere.
OPEN = 100.0  # mm, of one standard deviation: not determined
HARDLY = 25.0  # mm: determined, but far worse than any instrument reads
_ROUNDING = 1e-9  # of a singular value, one over mm
_DOUBTS: dict[ReadingKind, float] = {
    "up": 1.5,
    "out": 1.5,
    "ahead": 1.5,
    "tape": 2.0,
}  # mm, of a reading still to be taken
EASE: dict[ReadingKind, float] = {"up": 1.0, "out": 0.9, "ahead": 0.8, "tape": 0.4}  # on a garage floor (no source)


@dataclass(frozen=True)
class Loose:
    """A hardpoint, the ways in which it is loose, and one standard deviation of each [mm]."""

    name: str
    ways: tuple[str, ...]
    standard_deviations: tuple[float, ...]


@dataclass(frozen=True)
class Missing:
    """What the readings do not tell of the hardpoints; helpers that do not matter are left out.

    open: not determined. hardly: determined, to more than 25 mm. directions: how many independent directions of all
    the hardpoints' coordinates are open. wanted: as many scalar readings, which leave nothing open (seldom one more,
    where the open directions are not free but told too weakly). better: readings that, taken besides, leave nothing
    hardly determined. Both hold where the points were fitted, and `reads` is what is read there: what is open lies
    anywhere, so survey and fit again.
    """

    open: tuple[Loose, ...]
    hardly: tuple[Loose, ...]
    directions: int
    wanted: tuple[Reading, ...]
    better: tuple[Reading, ...]


def missing(found: SurveyFit) -> Missing:
    """What is not determined, hardly determined, and what to read besides."""
    unknown = found.survey.unknowns
    slopes = found.best.weighted_jacobian
    doubts, widths, _ = spread_of(slopes, unknown)
    wanted, better = _wanted(found, slopes) if doubts.max() > HARDLY or widths.max() > OPEN else ((), ())
    return Missing(
        open=_loose(unknown, doubts, (OPEN, np.inf)),
        hardly=_loose(unknown, doubts, (HARDLY, OPEN)),
        directions=int((widths > OPEN).sum()),
        wanted=wanted,
        better=better,
    )


def spread_of(slopes: Array, unknown: Unknowns) -> tuple[Array, Array, Array]:
    """One standard deviation of each hardpoint coordinate, those of independent directions, and these (n, k).

    slopes: weighted Jacobian (m, n). What moving helpers could explain as well is taken out of the rows first, so that
    a helper matters only by what it passes on.
    """
    of_helpers = unknown.of_helpers
    own = slopes[:, ~of_helpers]
    if of_helpers.any():
        taken, strength, _ = np.linalg.svd(slopes[:, of_helpers], full_matrices=False)
        taken = taken[:, strength > _ROUNDING]
        own = own - taken @ (taken.T @ own)
    _, strength, directions = np.linalg.svd(np.vstack([own, np.zeros((own.shape[1], own.shape[1]))]))
    widths = 1.0 / np.maximum(strength, _ROUNDING)
    shifts = unknown.hardpoint_rows[:, ~of_helpers] @ directions.T
    return np.sqrt(((shifts * widths) ** 2).sum(axis=1)), widths, directions.T


def _loose(unknown: Unknowns, doubts: Array, between: tuple[float, float]) -> tuple[Loose, ...]:
    out = []
    for spot, own in zip(unknown.spots, doubts.reshape(-1, 3), strict=False):
        chosen = [(way, float(doubt)) for way, doubt in zip(WAYS, own, strict=True) if between[0] < doubt <= between[1]]
        if chosen:
            ways, deviations = zip(*chosen, strict=True)
            out.append(Loose(spot.name, ways, deviations))
    return tuple(out)


def _wanted(found: SurveyFit, slopes: Array) -> tuple[tuple[Reading, ...], tuple[Reading, ...]]:
    """One reading after another, each chosen for how much of what is still open it sees and how easily it is taken.

    A coordinate that is part of an open direction closes one when read, so no more are told than are needed: first
    those for what is open, then those for what is hardly determined.
    """
    unknown = found.survey.unknowns
    taken = tuple(candidates(unknown))
    at = found.best.parameters
    every_row = rows_of(taken, unknown, found.survey.axle.camber, found.survey.axle.toe)
    shown = every_row.predicted(at)
    seen = derivatives(every_row.predicted, at)
    ease = np.array([EASE[candidate.kind] for candidate in taken])
    own_doubts = np.array([candidate.doubt for candidate in taken])
    wanted: list[Reading] = []
    better: list[Reading] = []
    while len(wanted) + len(better) < unknown.count:
        doubts, widths, directions = spread_of(slopes, unknown)
        is_open = widths.max() > OPEN
        if not is_open and doubts.max() <= HARDLY:
            break
        loose = widths > (OPEN if is_open else HARDLY)
        parts = seen[:, ~unknown.of_helpers] @ directions
        # What a reading tells of a loose direction is blurred by its own doubt and by that of all else it depends on.
        blur = own_doubts**2 + (parts[:, ~loose] ** 2 @ widths[~loose] ** 2)
        score = ease * np.sqrt((parts[:, loose] ** 2).sum(axis=1) / blur)
        best = int(np.argmax(score))
        (wanted if is_open else better).append(replace(taken[best], reads=float(shown[best])))
        slopes = np.vstack([slopes, seen[best] / own_doubts[best]])
    return tuple(wanted), tuple(better)


def candidates(unknown: Unknowns) -> Iterator[Reading]:
    """Readings that could be taken of the hardpoints."""
    hardpoints = [spot for spot in unknown.spots if not spot.helper]
    kinds: tuple[ReadingKind, ...] = ("up", "out", "ahead")
    for spot in hardpoints:
        for kind in kinds:
            if spot.key != WHEEL or kind != "ahead":
                yield Reading(kind, (spot.name,), None, _DOUBTS[kind])
            elif spot.name == f"left {WHEEL}":
                yield Reading(kind, (spot.name, f"right {WHEEL}"), None, _DOUBTS[kind])
    for one, other in combinations(hardpoints, 2):
        yield Reading("tape", (one.name, other.name), None, _DOUBTS["tape"])
