"""Invented surveys: what a careful owner would read off an axle whose points are known, with seeded errors.

A survey has what is reached with a rule (heights, outs, aheads of most points, the worse reached ones to 4 mm), tapes
between points that see each other, a plumb line from what is high, the slope of an arm and the track. With sides apart,
each side has its own readings, and tapes run across. Scenarios are invented; how well a tape, a rule or a level reads
is common practice, no source.
"""

from dataclasses import replace

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.suspension_type import CHASSIS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.car.uncertainty import Coordinate
from kinematics.survey.readings import Reading, ReadingKind, Survey, rows
from kinematics.survey.unknowns import WHEEL, unknowns
from solvers.tangents import derivatives
from solvers.vectors import Array

TAPE, RULE, PLUMB, STRAIGHT, LEVEL = 2.0, 1.5, 1.5, 2.0, np.radians(0.2)  # mm, rad
BEHIND_THINGS = 4.0  # mm, of a rule where the view is blocked
CHECKED = 0.1  # redundancy number below which a reading is taken twice
HIGH = 600.0  # mm; what lies higher is plumbed down to a mark on the floor


def truth(kind: str, seed: int = 0, *, apart: bool = False) -> Axle:
    """An invented axle of a type: its typical points, each off by up to 15 mm; both sides' own where apart."""
    suspension = SUSPENSIONS[kind]
    rng = np.random.default_rng([seed, *kind.encode()])
    points: dict[str, Array] = {}
    for point in suspension.points:
        both = np.array([point.typical, point.other_side or point.typical], dtype=float)
        off = rng.uniform(-15.0, 15.0, (2, 3))
        if not apart and point.other_side is None:
            off[1] = off[0]
        if point.key == WHEEL:
            # Ahead is counted from the wheel centres, or from the middle between them.
            off[:, 0] = [off[0, 0], -off[0, 0]] if apart else 0.0
            both[:, 0] = 0.0
        both += off
        if point.single:
            both[1] = both[0]
        else:
            both[1, 1] *= -1.0
        points[point.key] = both
    camber, toe = np.radians([-1.4, -1.1] if apart else [-1.4, -1.4]), np.radians([0.1, 0.05] if apart else [0.1, 0.1])
    return Axle("front", suspension, points, camber, toe)


def survey_of(axle: Axle, *, apart: bool = False, seed: int | None = 0, redundant: bool = True) -> Survey:
    """A survey of an axle with known points, errors drawn by each reading's doubt; seed None: read exactly.

    redundant: every reading is checked by others, none with a redundancy number below 0.1; or else most coordinates are
    read by rule alone, and some readings are checked by none.
    """
    helpers: list[str] = []
    readings = _readings(axle, helpers, apart=apart, redundant=redundant)
    doubts = tuple((Coordinate(angle, ""), float(np.radians(0.1))) for angle in ("camber", "toe"))
    blank = Survey(axle, apart, tuple(helpers), tuple(readings), doubts)
    if redundant:
        blank = replace(blank, readings=(*blank.readings, *_read_again(blank, axle)))
    return read_off(blank, axle, seed)


def read_off(survey: Survey, axle: Axle, seed: int | None) -> Survey:
    """A survey with its readings set to what the axle's points give, and errors by their doubts."""
    rng = None if seed is None else np.random.default_rng(seed)
    parameters = true_parameters(survey, axle)
    if rng is not None:
        # A plumb line reads nothing: its error is that the mark does not lie quite under its point.
        off = [PLUMB * rng.normal(size=3) * [1.0, 1.0, 0.0] * spot.helper for spot in survey.unknowns.spots]
        parameters = parameters + survey.unknowns.spread.T @ np.ravel(off)
    every_row = rows(survey).from_start(parameters)
    shown = every_row.predicted(parameters)
    if rng is not None:
        shown = shown + every_row.doubts * rng.normal(size=shown.size)
    return with_rows(survey, shown)


def with_rows(survey: Survey, shown: Array) -> Survey:
    """A survey whose rows read these values (m,), but for those that always read zero."""
    of = rows(survey).of
    values = {index: shown[of == index] for index in range(len(survey.readings))}
    assert all(reading.kind not in ("level", "in_line", "offset") for reading in survey.readings)
    # Of a plumb line, only the drop is read, last.
    readings = (
        reading if reading.reads is None else replace(reading, reads=float(values[index][-1]))
        for index, reading in enumerate(survey.readings)
    )
    return replace(survey, readings=tuple(readings))


def _read_again(survey: Survey, axle: Axle) -> list[Reading]:
    """Readings that the others hardly check, which a careful owner takes twice."""
    every_row = rows(survey)
    slopes = derivatives(every_row.predicted, true_parameters(survey, axle)) / every_row.doubts[:, None]
    orthonormal, _ = np.linalg.qr(slopes)
    weak = every_row.of[1.0 - (orthonormal**2).sum(axis=1) < CHECKED]
    again = [survey.readings[index] for index in dict.fromkeys(weak.tolist())]
    return [reading for reading in again if reading.kind != "plumb"]


def true_parameters(survey: Survey, axle: Axle) -> Array:
    """The parameters (n,) at which hardpoints are an axle's, and each mark lies on the floor under its point."""
    unknown = unknowns(axle.suspension, survey.helpers, apart=survey.apart)
    coordinates = []
    for spot in unknown.spots:
        if spot.helper:
            place = _place(axle, spot.name.partition("mark under ")[2]) * [1.0, 1.0, 0.0]
        else:
            place = axle.points[spot.key][spot.sides[0]] * [1.0, -1.0 if spot.mirrored else 1.0, 1.0]
        coordinates.append(place)
    flat = np.concatenate(coordinates)
    parameters = np.linalg.lstsq(unknown.spread, flat, rcond=None)[0]
    assert np.allclose(unknown.spread @ parameters, flat, atol=1e-9), "the axle is not what the survey can say"
    return np.asarray(parameters)


def _place(axle: Axle, name: str) -> Array:
    side, _, key = name.partition(" ")
    return axle.points[key][SIDE_NAMES.index(side)] if side in SIDE_NAMES else axle.points[name][0]


def _readings(axle: Axle, helpers: list[str], *, apart: bool, redundant: bool) -> list[Reading]:
    suspension = axle.suspension
    unknown = unknowns(suspension, (), apart=apart)
    made: list[Reading] = [Reading("track", (), 0.0, TAPE)]
    ways: tuple[ReadingKind, ...] = ("up", "out", "ahead")
    for spot in unknown.spots:
        name = spot.name
        hidden = spot.key.endswith("inner") or spot.key.endswith("_chassis")
        rule = BEHIND_THINGS if hidden else RULE
        place = _place(axle, name)
        if place[2] > HIGH:
            # Plumbed again to the same mark, a plumb line would only repeat its error.
            for mark in (f"mark under {name}", f"second mark under {name}")[: 2 if redundant else 1]:
                helpers.append(mark)
                made.append(Reading("plumb", (name, mark), 0.0, PLUMB, RULE))
                made += [Reading(way, (mark,), 0.0, RULE) for way in ways]
            nearest = min(
                (other for other in unknown.spots if other.name != name and other.sides == spot.sides),
                key=lambda other: float(np.linalg.norm(_place(axle, other.name) - place)),
            )
            made.append(Reading("up", (name, nearest.name), 0.0, 2.0 * RULE))
        else:
            made += [Reading("up", (name,), 0.0, rule), Reading("out", (name,), 0.0, rule)]
        if spot.key != WHEEL and place[2] <= HIGH:
            made.append(Reading("ahead", (name,), 0.0, rule))
        if spot.key == WHEEL and apart:
            made.append(Reading("ahead", (name,), 0.0, RULE))
    made += _tapes(axle, unknown.spots, redundant=redundant)
    made += _slopes(suspension.all_links, {spot.name for spot in unknown.spots}, apart=apart)
    return made


def _tapes(axle: Axle, spots, *, redundant: bool) -> list[Reading]:
    """From each point to the nearest ones of its side, and to points across, no pair twice."""
    pairs: dict[frozenset[str], tuple[str, str]] = {}
    for index, spot in enumerate(spots):
        each = 4 if redundant else index % 2
        place = _place(axle, spot.name)
        others = [other for other in spots if other.name != spot.name and set(other.sides) & set(spot.sides)]
        others.sort(key=lambda other: float(np.linalg.norm(_place(axle, other.name) - place)))
        for other in others[:each]:
            pairs.setdefault(frozenset((spot.name, other.name)), (spot.name, other.name))
        right = f"right {spot.key}"
        if spot.sides != (1,) and not spot.name.startswith("right") and _across(axle, spot.key):
            left = f"left {spot.key}"
            pairs.setdefault(frozenset((left, right)), (left, right))
    return [Reading("tape", pair, 0.0, TAPE) for pair in pairs.values()]


def _across(axle: Axle, key: str) -> bool:
    """Whether a tape is run across the car between a point's two sides: under the floor, from chassis to chassis."""
    suspension = axle.suspension
    low = axle.points[key][0, 2] < HIGH / 2
    return key not in suspension.single and suspension.carriers[key] == CHASSIS and low


def _slopes(links, names: set[str], *, apart: bool) -> list[Reading]:
    made = []
    for on, at in links[:2]:
        for side in ("left ", "right ") if apart else ("",):
            ends = tuple(end if end in names else f"{side}{end}" for end in (at, on))
            if set(ends) <= names:
                made.append(Reading("angle", ends, 0.0, LEVEL))
    return made
