"""How far to trust a car, in words: its roll centre, how likely its limits hold, what to measure again first."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import ROLL_CENTRE
from kinematics.car.uncertainty import Coordinate
from kinematics.doubt.assessment import ALL_LIMITS, EXACT, NORMAL_95, Assessment
from kinematics.doubt.axle_doubt import of_parts
from kinematics.judging.verdict import Finding
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from reports.words.headline import (
    MEND_THE_SURVEY,
    find_line,
    in_two_lines,
    standing_words,
    sure_words,
    sweep_line,
)
from reports.words.numbers import per_cent, told

_LIKELY = 0.9  # that all limits hold: what is left to do is to look at the car
_READINGS = {"up": "height", "out": "distance out", "ahead": "distance ahead"}
_SURE_NOT, _SURE = 0.05, 0.95


@dataclass(frozen=True)
class Source:
    """A measurement, and what it adds to the doubt of one number of an axle at ride height.

    number: its key. share: of the variance; halved: 95 % way either way that is left once it is twice as good.
    coordinate: what was read, where the measurement is one of a point's coordinates or an angle. of_car: it is of the
    car's springs, weights or body, and of no point of the axle.
    """

    axle: str
    measurement: str
    number: str
    share: float
    halved: float
    coordinate: Coordinate | None = None
    of_car: bool = False

    @property
    def dimension(self) -> Dimension:
        """What the number is measured in."""
        return QUANTITIES[self.number].dimension


def doubt_headline(
    assessments: Sequence[Assessment],
    findings: Sequence[Finding],
    unit: LengthUnit,
    files: Sequence[str],
    means: str,
) -> list[str]:
    """Say first how far to trust a car, in at most three lines. findings: as measured."""
    head = in_two_lines(_tries(assessments, findings, unit))
    if any(one.axle.readings_disagree for one in assessments):
        return [*head, MEND_THE_SURVEY]
    if any(not one.holds for one in findings):
        return [*head, find_line(files, means, unit)]
    chance = all_hold(assessments)
    again = next((source for one in assessments for source in weakest_sources(one)), None)
    if again is not None and chance is not None and chance < _LIKELY:
        return [*head, f"Next: measure the {reading_name(again)} again, then ask this once more."]
    return [*head, sweep_line(files)]


def reading_name(source: Source) -> str:
    """Which reading it is: "height of the front lower ball joint", so that nobody moves the joint up for it."""
    read = source.coordinate
    if source.of_car:
        return source.measurement
    if read is None or not read.way:
        return f"{source.axle} {source.measurement}"
    return f"{_READINGS[read.way]} of the {source.axle} {_point(read)}"


def short_reading(source: Source) -> str:
    """The same for a table of one axle: "lower ball joint, height"."""
    read = source.coordinate
    if read is None or not read.way:
        return source.measurement
    return f"{_point(read)}, {_READINGS[read.way].removeprefix('distance ')}"


def _point(coordinate: Coordinate) -> str:
    return str(replace(coordinate, way="")).replace("_", " ")


def all_hold(assessments: Sequence[Assessment]) -> float | None:
    """The chance that all limits of the axles that are assessed hold; None where none is judged."""
    drawn = [one.chances.holding for one in assessments if one.chances is not None]
    judged = [holding[ALL_LIMITS] for holding in drawn if ALL_LIMITS in holding]
    return math.prod(judged) if judged else None


def _tries(assessments: Sequence[Assessment], findings: Sequence[Finding], unit: LengthUnit) -> Iterator[str]:
    first = assessments[0]
    name = first.axle.name
    height = float(first.sweeps["ride height"][ROLL_CENTRE.key].reshape(-1)[0])
    around = float(first.half_width_95(("ride height", ROLL_CENTRE.key)).reshape(-1)[0])
    text = f"{name.capitalize()} {standing_words(height, findings, name, unit)}"
    text += f"; {sure_words(around, unit)}." if np.isfinite(around) else "."
    chance = all_hold(assessments)
    judged = {one.axle for one in findings}
    whose = "all limits hold" if judged <= {one.axle.name for one in assessments} else f"those of the {name} hold"
    held = "" if chance is None else f" Chance that {whose}: {per_cent(chance)}."
    again = next(iter(weakest_sources(first)), None)
    if again is not None and not first.axle.readings_disagree:  # else that survey names what to measure again
        of = "" if again.number == ROLL_CENTRE.key else f"{QUANTITIES[again.number].title} "
        left = told(again.halved, again.dimension, unit, sign=False)
        yield f"{text}{held} Measure first again: {reading_name(again)} (twice as good leaves {of}{left})."
        yield f"{text}{held} Measure first again: {reading_name(again)}."
    yield f"{text}{held}"


def weakest_sources(assessment: Assessment) -> list[Source]:
    """The measurements that most doubt comes from of the limit that they leave most in the open, most first.

    Of the roll-centre height where every limit is as good as sure to hold or not to, or none is stated.
    """
    holding = {} if assessment.chances is None else assessment.chances.holding
    unsure = [(chance, judged[0]) for judged, chance in holding.items() if _SURE_NOT < chance < _SURE]
    known = [key for _, key in sorted(unsure) if ("ride height", key) in assessment.first]
    return sources_of(assessment, next(iter(known), ROLL_CENTRE.key))


def sources_of(assessment: Assessment, key: str) -> list[Source]:
    """The measurements that the doubt of a number at ride height comes from, most first; none where it has none."""
    first = assessment.first["ride height", key]
    if not np.isfinite(first.standard_deviation).all() or float(first.standard_deviation.max()) <= EXACT:
        return []
    count = len(assessment.doubt.sources)
    shares = first.shares.reshape(count, -1)[:, 0]
    halved = NORMAL_95 * first.halved().reshape(count, -1)[:, 0]
    names = assessment.doubt.sources
    # What was measured by itself has its coordinate's name; readings of a survey have their own.
    read = {str(one): one for one in assessment.doubt.coordinates}
    parts = of_parts(assessment.axle, assessment.doubt)
    of_car = range(parts.start, parts.stop)
    return [
        Source(
            assessment.axle.name,
            names[i].replace("_", " "),
            key,
            float(shares[i]),
            float(halved[i]),
            read.get(names[i]),
            i in of_car,
        )
        for i in map(int, np.argsort(-shares))
    ]
