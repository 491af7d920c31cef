"""How far to trust a car, in words: its roll centre, how likely its limits hold, what to measure again first."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import ROLL_CENTRE
from kinematics.doubt.assessment import ALL_LIMITS, EXACT, NORMAL_95, Assessment
from kinematics.judging.verdict import Finding
from kinematics.numbers.quantity import Dimension
from reports.words.headline import in_two_lines, next_line, standing_words, sure_words
from reports.words.numbers import per_cent, told

_LIKELY = 0.9  # that all limits hold: what is left to do is to look at the car


@dataclass(frozen=True)
class Source:
    """A measurement, and what it adds to the doubt of an axle's roll-centre height.

    share: of the variance; halved: 95 % way either way that is left once it is twice as good [mm].
    """

    axle: str
    measurement: str
    share: float
    halved: float


def doubt_headline(
    assessments: Sequence[Assessment],
    findings: Sequence[Finding],
    unit: LengthUnit,
    files: Sequence[str],
    means: str,
) -> list[str]:
    """Say first how far to trust a car, in at most three lines. findings: as measured."""
    outside = any(not one.holds for one in findings)
    chance = all_hold(assessments)
    command = next_line("find", files, means) if outside or (chance or 0.0) < _LIKELY else ""
    if not findings:
        command = next_line("sweep", files, "results")
    return [*in_two_lines(_tries(assessments, findings, unit)), command or next_line("sweep", files, "results")]


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
    again = next(iter(roll_centre_sources(first)), None)
    if again is not None:
        left = told(again.halved, Dimension.LENGTH, unit, sign=False)
        yield f"{text}{held} Measure first again: {again.measurement} (twice as good leaves {left})."
        yield f"{text}{held} Measure first again: {again.measurement}."
    yield f"{text}{held}"


def roll_centre_sources(assessment: Assessment) -> list[Source]:
    """The measurements that the doubt of an axle's roll-centre height comes from, most first."""
    first = assessment.first["ride height", ROLL_CENTRE.key]
    if not np.isfinite(first.standard_deviation).all() or float(first.standard_deviation.max()) <= EXACT:
        return []
    count = len(assessment.doubt.sources)
    shares = first.shares.reshape(count, -1)[:, 0]
    halved = NORMAL_95 * first.halved().reshape(count, -1)[:, 0]
    return [
        Source(assessment.axle.name, assessment.doubt.sources[i].replace("_", " "), float(shares[i]), float(halved[i]))
        for i in map(int, np.argsort(-shares))
    ]
