"""The document of `setup`: what to set and turn, and what came out."""

from collections.abc import Iterator

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.setting.came_out import CameOut, Outcome
from kinematics.setting.look_again import LookAgain
from kinematics.setting.set_up import Adjuster, Entry, SetUp
from reports.documents.amounts import Record, amount
from reports.documents.checks import checks
from reports.documents.plans import changes
from reports.words.set_up_numbers import DIMENSIONS, measured_in


def set_up_document(planned: SetUp, found: CameOut | None) -> Record:
    """Every entry with what is planned and turned; read: what came out, null where nothing was read back."""
    unit = planned.car.unit
    perches = planned.perches
    return {
        "holds": found is None or found.as_planned,
        "plan": {"plan": planned.plan.name, "changes": changes(planned.plan, unit)},
        "cross_weight": None if perches is None else amount(perches.cross, Dimension.PER_CENT, unit),
        "outside_limits": checks(planned.outside, unit),
        "entries": [_entry(one, unit) for one in planned.entries],
        "read": None if found is None else _read(found),
    }


def _entry(entry: Entry, unit: LengthUnit) -> Record:
    kind = DIMENSIONS[entry.measure]
    return {
        "number": entry.number,
        "measure": entry.measure.value,
        "axle": entry.axle,
        "side": entry.side,
        "point": entry.point or None,
        "planned": amount(entry.planned, kind, unit),
        "as_measured": amount(entry.as_measured, kind, unit),
        "before_turning": None if entry.before_turning is None else amount(entry.before_turning, kind, unit),
        "travel": None if entry.travel is None else amount(entry.travel, Dimension.LENGTH, unit),
        "tyre_diameter": None if entry.over is None else amount(entry.over, Dimension.LENGTH, unit),
        "within": amount(entry.tolerance, kind, unit),
        "turn": None if entry.adjuster is None else _turn(entry.adjuster, unit),
    }


def _turn(adjuster: Adjuster, unit: LengthUnit) -> Record:
    return {"what": adjuster.what, "by": amount(adjuster.by, measured_in(adjuster), unit), "turns": adjuster.turns}


def _read(found: CameOut) -> Record:
    unit, scales = found.set_up.car.unit, found.scales
    together: Record | None = None
    if scales is not None:
        together = {
            "total": amount(scales.total, Dimension.MASS, unit),
            "planned_total": amount(scales.planned_total, Dimension.MASS, unit),
            "add_up": scales.add_up,
            "cross_weight": amount(scales.cross, Dimension.PER_CENT, unit),
            "off": amount(scales.off, Dimension.PER_CENT, unit),
            "either_way_95": amount(scales.either_way_95, Dimension.PER_CENT, unit),
            "came_out": scales.came.name.lower(),
        }
    perches = (
        None
        if found.perches is None
        else [
            {"axle": axle.name, "side": side, "by": amount(float(found.perches[i, j]), Dimension.LENGTH, unit)}
            for i, axle in enumerate(found.set_up.car.axles)
            for j, side in enumerate(("left", "right"))
        ]
    )
    apart = [
        {
            "axle": one.axle,
            "off": amount(one.off, Dimension.LENGTH, unit),
            "either_way_95": amount(one.either_way_95, Dimension.LENGTH, unit),
            "came_out": one.came.name.lower(),
        }
        for one in found.apart
    ]
    return {
        "entries": list(_outcomes(found, unit)),
        "heights_apart": apart,
        "scales": together,
        "perches_again": perches,
    }


def _outcomes(found: CameOut, unit: LengthUnit) -> Iterator[Record]:
    for one in found.outcomes:
        kind = DIMENSIONS[one.entry.measure]
        yield {
            "number": one.entry.number,
            "measured": amount(one.reading.value, kind, unit),
            "off": amount(one.off, kind, unit),
            "either_way_95": amount(one.either_way_95, kind, unit),
            "came_out": _name(one),
            "turn_again": None if one.again is None else _turn(one.again, unit),
            "look_again": None if one.look is None else _look(one.look),
        }


def _look(found: LookAgain) -> Record:
    """Why a reading is to be looked at again; perhaps: what may have slipped, null where nothing would explain it."""
    slip = None if found.slip is None else found.slip.name.lower()
    return {"beyond_adjuster": found.reach is not None, "perhaps": slip}


def _name(outcome: Outcome) -> str:
    return outcome.came.name.lower()
