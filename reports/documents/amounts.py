"""Numbers of a document: key, title, unit and value; null with a reason's code where there is none."""

import math
from collections.abc import Mapping

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.motion.reasons import Gap, Reason
from kinematics.numbers.quantity import Dimension, ReportedNumber
from kinematics.sweeps.gaps import Gaps
from reports.outputs.decimals import decimal
from reports.words.gaps import gap_words
from solvers.vectors import Array

Record = dict[str, object]

INFINITE, MISSING, UNREACHED = "runs_to_infinity", "does_not_exist", "not_reached"
NO_BALANCE, NOT_PUT_TOGETHER, NOT_MOVED = "no_balance", "not_put_together", "not_moved_this_way"
UNCHECKED, NOT_TOLD = "not_checked_by_others", "not_told"
REASONS: Mapping[str, str] = {
    **{gap.name.lower(): gap.value for gap in Gap},
    INFINITE: "the number is infinite",
    MISSING: "there is no such number here",
    UNREACHED: "nothing of this range can be reached",
    NO_BALANCE: "springs, weights and tyres find no balance",
    NOT_PUT_TOGETHER: "the parts do not fit together",
    NOT_MOVED: "the point cannot be moved this way",
    UNCHECKED: "no other reading checks this one",
    NOT_TOLD: "the file does not say",
}


def plain(value: float, scale: float = 1.0) -> float | None:
    """A value in the unit at the edge as a decimal number; None where it is not finite."""
    return float(decimal(value * scale)) if math.isfinite(value) else None


def no_value(value: float, reason: str = MISSING) -> str:
    """The code that says why a value is null."""
    return INFINITE if math.isinf(value) else reason


def amount(value: float, kind: Dimension, unit: LengthUnit, reason: str = MISSING) -> Record:
    """A value with its unit, and why it is null where it is."""
    given: Record = {"unit": kind.unit(unit), "value": plain(value, kind.scale(unit))}
    return given if math.isfinite(value) else {**given, "reason": no_value(value, reason)}


def number(known: ReportedNumber, value: float, unit: LengthUnit, reason: str = MISSING, **place: object) -> Record:
    """A reported number; place: axle and side, as far as it has them."""
    return {**place, "key": known.key, "title": known.title, **amount(value, known.dimension, unit, reason)}


def column(known: ReportedNumber, values: Array, unit: LengthUnit, **place: object) -> Record:
    """A reported number over states (S,); null where it is not finite, for which the table has the reasons."""
    head = {**place, "key": known.key, "title": known.title, "unit": known.dimension.unit(unit)}
    return {**head, "values": plain_list(values * known.dimension.scale(unit))}


def plain_list(values: Array) -> list[float | None]:
    """Values (S,) in the unit at the edge, None where they are not finite."""
    told = decimal(values).astype(object)
    told[~np.isfinite(values)] = None
    return list(told.tolist())


def reason(found: Reason) -> Record:
    """Why something is missing: its code and where, and the words for it."""
    return {
        "code": found.gap.name.lower(),
        "axle": found.axle,
        "side": found.side or None,
        "joints": list(found.joints),
        "words": gap_words(found),
    }


def codes(gaps: Gaps) -> list[str | None]:
    """The code of what is missing in each state, None where nothing is."""
    names = [*(one.gap.name.lower() for one in gaps.reasons), None]
    return [names[place] for place in gaps.which.reshape(-1).tolist()]
