"""Other places of the points that fit a survey about as well, and the reading that decides between them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.car.uncertainty import WAYS
from kinematics.survey.fit import SurveyFit, solve
from kinematics.survey.missing import EASE, OPEN, candidates, spread_of
from kinematics.survey.plausible_links import unlikeliness
from kinematics.survey.readings import Reading, Survey, partners, rows_of
from kinematics.survey.unknowns import Unknowns
from solvers.vectors import Array, Flags

ELSEWHERE = 10.0  # mm between two places of a hardpoint that count as different
AS_GOOD = 9.0  # of chi-square, with how unlikely a car's links lie so, between two places: within 1 to 90 of each other
_PERTURBED, _FARTHER = 4, 120.0  # starts, mm
_FLATTEST = 50.0  # mm: neighbours nearer to one line span no plane to mirror in


@dataclass(frozen=True)
class SecondPlace:
    """Another set of places that fits the readings about as well, and where a car's points may as well lie.

    moved: the hardpoints that lie elsewhere, each with its (ahead, out, up) here and there [mm]. chi_square: there.
    decides: a reading that tells which it is, and what it would read here and there [mm].
    """

    moved: tuple[tuple[str, Array, Array], ...]
    chi_square: float
    decides: Reading
    here: float
    there: float


def second_places(found: SurveyFit) -> tuple[SecondPlace, ...]:
    """Other places that fit about as well, found from mirrored and perturbed starts; none told where some are open.

    None where no car has its points: how unlikely a car's links lie so counts beside the fit, as among slips.
    """
    unknown = found.survey.unknowns
    if spread_of(found.solved.weighted_jacobian, unknown)[0].max() > OPEN:
        return ()
    here = found.solved.parameters
    most = found.chi_square + _unlikeliness(found, here) + AS_GOOD
    known = [here]
    told = []
    for begin in _other_starts(found):
        other = solve(found.rows, begin)
        if not other.converged or other.chi_square + _unlikeliness(found, other.parameters) > most:
            continue
        if all(_apart(unknown, one, other.parameters).max() > ELSEWHERE for one in known):
            known.append(other.parameters)
            told.append(_second(found.survey, here, other.parameters, other.chi_square))
    return tuple(told)


def _unlikeliness(found: SurveyFit, places: Array) -> float:
    """How unlikely links would lie so, and a strut, which may as well be mirrored at its top."""
    suspension = found.survey.axle.suspension
    strut = () if suspension.strut is None else ((suspension.strut.low, suspension.strut.top_mount),)
    return float(unlikeliness(places, found.survey.unknowns, suspension, strut))


def _apart(unknown: Unknowns, one: Array, other: Array) -> Array:
    """How far each hardpoint lies from its other place (hardpoints,)."""
    away = (unknown.hardpoint_rows @ (one - other)).reshape(-1, 3)
    return np.asarray(np.linalg.norm(away, axis=1))


def _second(survey: Survey, here: Array, there: Array, chi_square: float) -> SecondPlace:
    unknown = survey.unknowns
    taken = tuple(candidates(unknown))
    every_row = rows_of(taken, unknown, survey.axle.camber, survey.axle.toe)
    shown = every_row.predicted(np.stack([here, there]))
    ease = np.array([EASE[candidate.kind] for candidate in taken])
    best = int(np.argmax(ease * np.abs(shown[1] - shown[0])))
    places = [(unknown.hardpoint_rows @ one).reshape(-1, 3) for one in (here, there)]
    moved = tuple(
        (unknown.spots[index].name, places[0][index], places[1][index])
        for index in np.flatnonzero(_apart(unknown, here, there) > ELSEWHERE)
    )
    return SecondPlace(moved, chi_square, taken[best], float(shown[0, best]), float(shown[1, best]))


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
