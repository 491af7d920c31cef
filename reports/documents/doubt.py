"""The document of `doubt`: every number at ride height with its doubt, the chances, and where the doubt comes from."""

from collections.abc import Iterator, Sequence

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.lengths import LengthUnit
from kinematics.doubt.assessment import ALL_LIMITS, EXACT, NORMAL_95, Assessment, Chances
from kinematics.doubt.lean_doubt import LeanDoubt
from kinematics.doubt.question import NumberAt
from kinematics.judging.verdict import Finding
from kinematics.numbers.registry import QUANTITIES
from reports.documents.amounts import MISSING, Record, number, plain
from reports.documents.checks import verdict
from reports.documents.loads import lean_document


def doubt_document(
    assessments: Sequence[Assessment], findings: Sequence[Finding], car: Car, leaning: LeanDoubt | None
) -> Record:
    """The verdict as measured, each axle that says how well it was measured, and the document of `lean`.

    leaning: None where the car does not tell its springs and weights.
    """
    unit = car.unit
    lean = None if leaning is None else lean_document(car, leaning.sheet, None, leaning)
    return {**verdict(findings, unit), "axles": [_axle(one, unit) for one in assessments], "lean": lean}


def _axle(assessment: Assessment, unit: LengthUnit) -> Record:
    chances = assessment.chances
    return {
        "axle": assessment.axle.name,
        "drawn_cars": None if chances is None else chances.draws,
        "seed": None if chances is None else chances.seed,
        "all_limits_hold": None if chances is None else chances.holding.get(ALL_LIMITS),
        "limits_hold": [] if chances is None else _held(chances),
        "numbers": list(_numbers(assessment, unit)),
        "sources": list(_sources(assessment, unit)),
    }


def _held(chances: Chances) -> list[Record]:
    """The part of the drawn cars in which each limit holds."""
    held = (one for one in chances.holding.items() if one[0] != ALL_LIMITS)
    return [{"key": key, "title": QUANTITIES[key].title, "over": over, "part": part} for (key, over), part in held]


def _asked(assessment: Assessment) -> Iterator[tuple[str, NumberAt]]:
    return ((key, ("ride height", key)) for key in assessment.sweeps["ride height"].values)


def _numbers(assessment: Assessment, unit: LengthUnit) -> Iterator[Record]:
    """Each number with its 95 % way to first order, and the interval of the drawn cars."""
    rest = assessment.sweeps["ride height"]
    gap = rest.gaps.at(0)
    for key, asked in _asked(assessment):
        known, values = QUANTITIES[key], rest[key].reshape(-1)
        parts = {"either_way_95": assessment.half_width_95(asked)}
        if assessment.chances is not None:
            low, high = assessment.chances.spread[asked].interval()
            parts |= {"drawn_low": low, "drawn_high": high}
        for place, side in enumerate(SIDE_NAMES if known.per_side else (None,)):
            why = MISSING if gap is None else gap.gap.name.lower()
            told = number(known, float(values[place]), unit, why, side=side)
            scale = known.dimension.scale(unit)
            yield told | {name: plain(float(one.reshape(-1)[place]), scale) for name, one in parts.items()}


def _sources(assessment: Assessment, unit: LengthUnit) -> Iterator[Record]:
    """What each measurement has in each number's variance, and what would be left of its way were it halved."""
    for key, asked in _asked(assessment):
        known, first = QUANTITIES[key], assessment.first[asked]
        # Shares of a number that no measurement touches would be rounding over rounding.
        if not float(first.standard_deviation.max()) > EXACT:
            continue
        shape = (len(first.slopes), -1)
        shares, halved = first.shares.reshape(shape), NORMAL_95 * first.halved().reshape(shape)
        for i, source in enumerate(assessment.doubt.sources):
            for place, side in enumerate(SIDE_NAMES if known.per_side else (None,)):
                told: Record = {
                    "measurement": source,
                    "side": side,
                    "key": key,
                    "share": plain(float(shares[i, place])),
                }
                left = plain(float(halved[i, place]), known.dimension.scale(unit))
                yield {**told, "unit": known.dimension.unit(unit), "either_way_95_if_halved": left}
