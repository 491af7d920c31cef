"""What came out of a set-up in words: how far off, with its doubt, and what to turn again."""

from kinematics.car.lengths import LengthUnit
from kinematics.car.units import Units
from kinematics.inputs.garage.set_up_readings import named
from kinematics.numbers.quantity import Dimension
from kinematics.setting.came_out import Came, CameOut, OnScales, Outcome
from kinematics.setting.set_up import Adjuster, Measure
from reports.words.numbers import PLUS_MINUS, told
from reports.words.set_up import cross_words
from reports.words.set_up_numbers import (
    DIMENSIONS,
    adjuster_name,
    both_words,
    is_turned,
    turn_words,
    unit_words,
)
from reports.words.wrapped import wrapped


def came_headline(found: CameOut) -> list[str]:
    """How a set-up came out, in one sentence."""
    came_so = [one.came for one in found.outcomes]
    counts = {came: came_so.count(came) for came in Came}
    parts = [f"{counts[Came.AS_PLANNED]} of {len(came_so)} numbers came out as planned"]
    if counts[Came.IN_DOUBT]:
        parts.append(f"{counts[Came.IN_DOUBT]} cannot be told from it, as well as they were measured")
    off = [named(one.entry) for one in found.outcomes if one.came is Came.OFF]
    if off:
        parts.append(f"{len(off)} {'is' if len(off) == 1 else 'are'} off: {', '.join(off)}")
    parts += [
        f"{one.axle} ride heights are {_far_apart(one.off, found)} farther apart than planned"
        for one in found.apart
        if one.came is Came.OFF
    ]
    scales = found.scales
    if scales is not None and scales.came is Came.OFF:
        parts.append("the cross-weight is off")
    if scales is not None and not scales.add_up:
        parts.append("the scales do not add up")
    return wrapped("; ".join(parts) + ".")


def _far_apart(off: float, found: CameOut) -> str:
    return told(abs(off), Dimension.LENGTH, found.set_up.car.unit, sign=False)


def came_words(outcome: Outcome, unit: LengthUnit) -> str:
    """How far off one entry came out, and its doubt."""
    measure = outcome.entry.measure
    scale = 1.0 / Units(unit).mass if measure is Measure.LOAD else DIMENSIONS[measure].scale(unit)
    digits = 1 if measure is Measure.LOAD else DIMENSIONS[measure].decimals(unit)
    off = f"{round(outcome.off * scale, digits) + 0.0:+.{digits}f}"
    either_way = f"{outcome.either_way_95 * scale:.{digits}f} {unit_words(measure, unit)}"
    return f"{off} {PLUS_MINUS} {either_way}"


def again_words(found: CameOut) -> list[str]:
    """What is still to be turned, a line for each wheel's adjuster, then the perches."""
    unit = found.set_up.car.unit
    lines = [
        f"{one.entry.axle} {one.entry.side} {one.entry.measure.value}: "
        f"{adjuster_name(one.again, found.set_up.car.axle(one.entry.axle))} {turn_words(one.again, unit)}"
        for one in found.outcomes
        if one.again is not None
    ]
    perches = _perches_again(found)
    lines += [f"perches: {perches}"] if perches else []
    return [f"Still to turn: {'; '.join(lines)}. Then measure again."] if lines else []


MARKS = {Came.AS_PLANNED: "ok", Came.IN_DOUBT: "in doubt", Came.OFF: "OFF"}
SAID = {Came.AS_PLANNED: "as planned", Came.IN_DOUBT: "within the doubt", Came.OFF: "OFF"}


def scales_words(scales: OnScales, unit: LengthUnit) -> list[str]:
    """What the four loads come to together."""
    mass = Units(unit)
    total, due = (f"{one / mass.mass:.1f} {mass.mass_symbol}" for one in (scales.total, scales.planned_total))
    off = f"{100.0 * scales.off:+.1f} {PLUS_MINUS} {100.0 * scales.either_way_95:.1f} %"
    lines = [f"Cross-weight {cross_words(scales.cross)}: {off}, {SAID[scales.came]}."]
    if not scales.add_up:
        lines.append(
            f"The scales do not add up: they show {total}, the plan's car weighs {due}. Is the same aboard, and are "
            "all pads level and set to zero?"
        )
    return lines


def _perches_again(found: CameOut) -> str:
    if found.perches is None:
        return ""
    unit = found.set_up.car.unit
    words = []
    for i, axle in enumerate(found.set_up.car.axles):
        thread = axle.fittings.adjusters.perch_thread
        both = [Adjuster("perch", float(by), thread, 1.0) for by in found.perches[i]]
        if any(is_turned(one, unit) for one in both):
            words.append(f"{axle.name} {both_words(both[0], both[1], unit)}")
    return "; ".join(words)
