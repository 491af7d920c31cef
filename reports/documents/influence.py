"""The document of `influence`: how every number at ride height changes as each point moves."""

from collections.abc import Iterator, Sequence

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.car.uncertainty import WAYS
from kinematics.finding.influence import Influence
from kinematics.numbers.registry import QUANTITIES
from reports.documents.amounts import NOT_MOVED, Record, number
from reports.words.influence import step_of


def influence_document(found: Sequence[Influence], unit: LengthUnit) -> Record:
    """Every number, point and way. per: the step that a change is told for."""
    axles = [{"axle": one.axle.name, "per": step_of(unit).words, "changes": list(_changes(one, unit))} for one in found]
    return {"axles": axles}


def _changes(found: Influence, unit: LengthUnit) -> Iterator[Record]:
    step = step_of(unit).size
    for i, point in enumerate(found.points):
        for j, way in enumerate(WAYS):
            reach: Record = {"point": point, "way": way, "reached_by": _reached_by(found, point, way)}
            for key, slopes in found.slopes.items():
                known, own = QUANTITIES[key], np.asarray(slopes)[i, j].reshape(-1) * step
                for side, value in zip(SIDE_NAMES if known.per_side else (None,), own, strict=True):
                    yield {**reach, **number(known, float(value), unit, NOT_MOVED, side=side)}


def _reached_by(found: Influence, point: str, way: str) -> list[Record]:
    return [{"what": one.what, "forbidden": one.forbidden} for one in found.reached_by[point, way]]
