"""What a survey leaves open: coordinates that nothing determines, what to read besides, and other places that fit."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from kinematics.doubt.inputs import WAYS
from kinematics.lengths import LengthUnit
from kinematics.survey.fit import SurveyFit, solve
from kinematics.survey.readings import Kind, Reading, Survey, partners, rows_of
from kinematics.survey.unknowns import WHEEL, Unknowns
from solvers.tangents import derivatives
from solvers.vectors import Array, Flags

# Beyond some 35 mm a tape of 300 mm, read to 2 mm, no longer tells in proportion how far its end has moved (the square
# of that over twice the length is 2 mm), so a standard deviation of 100 mm says no more than: somewhere.
OPEN = 100.0  # mm, of one standard deviation: not determined
HARDLY = 25.0  # mm: determined, but far worse than any instrument reads
ELSEWHERE = 10.0  # mm between two places of a hardpoint that count as different
AS_GOOD = 9.0  # of chi-square between two places: the likelihoods are then within 1 to 90
_ROUNDING = 1e-9  # of a singular value, one over mm
_DOUBTS: dict[Kind, float] = {"up": 1.5, "out": 1.5, "ahead": 1.5, "tape": 2.0}  # mm, of a reading still to be taken
_EASE: dict[Kind, float] = {"up": 1.0, "out": 0.9, "ahead": 0.8, "tape": 0.4}  # on a garage floor (no source)
_PERTURBED, _FARTHER = 4, 120.0  # starts, mm
_FLATTEST = 50.0  # mm: neighbours nearer to one line span no plane to mirror in


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

    def sentences(self, unit: LengthUnit) -> list[str]:
        """In words, nothing if nothing is missing."""
        told = [f"{loose.name}: {', '.join(loose.ways)} not determined by the readings" for loose in self.open]
        for loose in self.hardly:
            parts = (
                f"{way} to {unit.from_mm(doubt):.2g} {unit.symbol}"
                for way, doubt in zip(loose.ways, loose.standard_deviations, strict=True)
            )
            told.append(f"{loose.name}: hardly determined ({', '.join(parts)}, one standard deviation)")
        besides = (*self.wanted, *self.better)
        if besides:
            told.append(f"read besides: {'; '.join(str(reading) for reading in besides)}")
        return told


@dataclass(frozen=True)
class SecondPlace:
    """Another set of places that fits the readings about as well.

    moved: the hardpoints that lie elsewhere, each with its (ahead, out, up) here and there [mm]. chi_square: there.
    decides: a reading that tells which it is, and what it would read here and there [mm].
    """

    moved: tuple[tuple[str, Array, Array], ...]
    chi_square: float
    decides: Reading
    here: float
    there: float

    def sentence(self, unit: LengthUnit) -> str:
        """In words: both places, and the reading that decides."""

        def at(place: Array) -> str:
            parts = zip(WAYS, place, strict=True)
            return ", ".join(f"{way} {_length(value, unit)}" for way, value in parts)

        places = "; ".join(f"{name} at {at(here)} or at {at(there)}" for name, here, there in self.moved)
        decides = f"{self.decides} is {_length(self.here, unit)} or {_length(self.there, unit)} {unit.symbol}"
        return f"the readings fit two places: {places} {unit.symbol}; to decide, read whether {decides}"


def missing(found: SurveyFit) -> Missing:
    """What is not determined, hardly determined, and what to read besides."""
    unknown = found.survey.unknowns
    slopes = found.solved.weighted_jacobian
    doubts, widths, _ = _spread_of(slopes, unknown)
    wanted, better = _wanted(found, slopes) if doubts.max() > HARDLY or widths.max() > OPEN else ((), ())
    return Missing(
        open=_loose(unknown, doubts, (OPEN, np.inf)),
        hardly=_loose(unknown, doubts, (HARDLY, OPEN)),
        directions=int((widths > OPEN).sum()),
        wanted=wanted,
        better=better,
    )


def _spread_of(slopes: Array, unknown: Unknowns) -> tuple[Array, Array, Array]:
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
    candidates = tuple(_candidates(unknown))
    at = found.solved.parameters
    every_row = rows_of(candidates, unknown, found.survey.axle.camber, found.survey.axle.toe)
    shown = every_row.predicted(at)
    seen = derivatives(every_row.predicted, at)
    ease = np.array([_EASE[candidate.kind] for candidate in candidates])
    own_doubts = np.array([candidate.doubt for candidate in candidates])
    wanted: list[Reading] = []
    better: list[Reading] = []
    while len(wanted) + len(better) < unknown.count:
        doubts, widths, directions = _spread_of(slopes, unknown)
        is_open = widths.max() > OPEN
        if not is_open and doubts.max() <= HARDLY:
            break
        loose = widths > (OPEN if is_open else HARDLY)
        parts = seen[:, ~unknown.of_helpers] @ directions
        # What a reading tells of a loose direction is blurred by its own doubt and by that of all else it depends on.
        blur = own_doubts**2 + (parts[:, ~loose] ** 2 @ widths[~loose] ** 2)
        score = ease * np.sqrt((parts[:, loose] ** 2).sum(axis=1) / blur)
        best = int(np.argmax(score))
        (wanted if is_open else better).append(replace(candidates[best], reads=float(shown[best])))
        slopes = np.vstack([slopes, seen[best] / own_doubts[best]])
    return tuple(wanted), tuple(better)


def _candidates(unknown: Unknowns) -> Iterator[Reading]:
    """Readings that could be taken of the hardpoints."""
    hardpoints = [spot for spot in unknown.spots if not spot.helper]
    kinds: tuple[Kind, ...] = ("up", "out", "ahead")
    for spot in hardpoints:
        for kind in kinds:
            if spot.key != WHEEL or kind != "ahead":
                yield Reading(kind, (spot.name,), None, _DOUBTS[kind])
            elif spot.name == f"left {WHEEL}":
                yield Reading(kind, (spot.name, f"right {WHEEL}"), None, _DOUBTS[kind])
    for one, other in combinations(hardpoints, 2):
        yield Reading("tape", (one.name, other.name), None, _DOUBTS["tape"])


def second_places(found: SurveyFit) -> tuple[SecondPlace, ...]:
    """Other places that fit about as well, found from mirrored and perturbed starts; none told where some are open."""
    unknown = found.survey.unknowns
    if _spread_of(found.solved.weighted_jacobian, unknown)[0].max() > OPEN:
        return ()
    here = found.solved.parameters
    known = [here]
    told = []
    for begin in _other_starts(found):
        other = solve(found.rows, begin)
        if not other.converged or other.chi_square > found.chi_square + AS_GOOD:
            continue
        if all(_apart(unknown, one, other.parameters).max() > ELSEWHERE for one in known):
            known.append(other.parameters)
            told.append(_second(found.survey, here, other.parameters, other.chi_square))
    return tuple(told)


def _apart(unknown: Unknowns, one: Array, other: Array) -> Array:
    """How far each hardpoint lies from its other place (hardpoints,)."""
    away = (unknown.hardpoint_rows @ (one - other)).reshape(-1, 3)
    return np.asarray(np.linalg.norm(away, axis=1))


def _second(survey: Survey, here: Array, there: Array, chi_square: float) -> SecondPlace:
    unknown = survey.unknowns
    candidates = tuple(_candidates(unknown))
    every_row = rows_of(candidates, unknown, survey.axle.camber, survey.axle.toe)
    shown = every_row.predicted(np.stack([here, there]))
    ease = np.array([_EASE[candidate.kind] for candidate in candidates])
    best = int(np.argmax(ease * np.abs(shown[1] - shown[0])))
    places = [(unknown.hardpoint_rows @ one).reshape(-1, 3) for one in (here, there)]
    moved = tuple(
        (unknown.spots[index].name, places[0][index], places[1][index])
        for index in np.flatnonzero(_apart(unknown, here, there) > ELSEWHERE)
    )
    return SecondPlace(moved, chi_square, candidates[best], float(shown[0, best]), float(shown[1, best]))


def _other_starts(found: SurveyFit) -> Iterator[Array]:
    """Each spot mirrored at those that it is measured with, then all that is not read directly shaken."""
    unknown = found.survey.unknowns
    at = found.solved.parameters
    direct = _directly(found.survey.readings, unknown)
    places = (unknown.spread @ at).reshape(-1, 3)
    back = np.linalg.pinv(unknown.spread)
    for index, neighbours in _neighbours(found.survey.readings, unknown, places).items():
        for normal in _mirrors(neighbours, direct[3 * index : 3 * index + 3]):
            mirrored = places.copy()
            mirrored[index] -= 2.0 * normal * ((places[index] - neighbours.mean(axis=0)) @ normal)
            if np.linalg.norm(mirrored[index] - places[index]) > ELSEWHERE / 2.0:
                yield back @ mirrored.ravel()
    rng = np.random.default_rng(0)
    for _ in range(_PERTURBED):
        yield back @ (places.ravel() + ~direct * rng.normal(scale=_FARTHER, size=direct.size))


def _mirrors(neighbours: Array, direct: Flags) -> Iterator[Array]:
    """Normals of mirrors that tapes to neighbours (k, 3) may not tell apart: along what is not read directly (3,)."""
    if direct.all():
        return
    yield from np.eye(3)[~direct]
    _, lengths, axes = np.linalg.svd(neighbours - neighbours.mean(axis=0))
    if len(neighbours) > 2 and lengths[1] > _FLATTEST:
        yield axes[2]


def _directly(readings: Sequence[Reading], unknown: Unknowns) -> Flags:
    """Which coordinates are read by themselves (3 spots,)."""
    direct = np.zeros(3 * len(unknown.spots), dtype=bool)
    for reading in readings:
        if reading.kind in WAYS and len(reading.of) == 1:
            direct[3 * unknown.names[reading.of[0]][0] + WAYS.index(reading.kind)] = True
    return direct


def _neighbours(readings: Sequence[Reading], unknown: Unknowns, places: Array) -> dict[int, Array]:
    """Where those lie that each spot is measured with, as seen from its own side."""
    found: dict[int, list[Array]] = {}
    for name, others in partners(readings).items():
        spot, sign, _ = unknown.names[name]
        for other in others:
            partner, partner_sign, _ = unknown.names[other]
            if partner != spot:
                found.setdefault(spot, []).append(places[partner] * [1.0, sign * partner_sign, 1.0])
    return {spot: np.array(neighbours) for spot, neighbours in found.items()}


def _length(value: float, unit: LengthUnit) -> str:
    decimals = 0 if unit.symbol == "mm" else 1
    return f"{round(unit.from_mm(value), decimals) + 0.0:.{decimals}f}"
