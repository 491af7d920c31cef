"""What came out of a set-up in words: how far off, with its doubt, what to read again, and what to turn again."""

import math
from collections.abc import Iterator, Sequence

from kinematics.car.lengths import UNITS, LengthUnit
from kinematics.car.units import Units
from kinematics.inputs.garage.set_up_readings import named
from kinematics.inputs.reading.plain_text import escaped
from kinematics.numbers.quantity import Dimension
from kinematics.setting.came_out import Came, CameOut, OnScales, Outcome
from kinematics.setting.look_again import Slip
from kinematics.setting.set_up import Adjuster, Entry, Measure
from reports.words.numbers import PLUS_MINUS, shown, told
from reports.words.set_up import cross_words
from reports.words.set_up_numbers import (
    DIMENSIONS,
    adjuster_name,
    both_words,
    is_turned,
    measured_in,
    turn_words,
    unit_words,
)
from reports.words.wrapped import wrapped


def came_headline(found: CameOut) -> list[str]:
    """How a set-up came out, in one sentence."""
    came_so = [one.came for one in found.outcomes]
    counts = {came: came_so.count(came) for came in Came}
    parts = [f"{counts[Came.AS_PLANNED]} of {len(found.set_up.entries)} numbers came out as planned"]
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
    if found.look:
        parts.append(f"look at {_numbers([one.entry for one in found.look])} again before anything is turned")
    if found.left_blank:
        parts.append(f"left blank: {_numbers(found.left_blank)}")
    return wrapped("; ".join(parts) + ".")


def _numbers(entries: Sequence[Entry]) -> str:
    """Numbers of the sheet, those that follow one another as a range."""
    runs: list[list[int]] = []
    for number in sorted(one.number for one in entries):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return f"no. {', '.join(_run(one) for one in runs)}"


def _run(numbers: Sequence[int]) -> str:
    return f"{numbers[0]} to {numbers[-1]}" if len(numbers) > 2 else ", ".join(map(str, numbers))


def _far_apart(off: float, found: CameOut) -> str:
    return told(abs(off), Dimension.LENGTH, found.set_up.car.unit, sign=False)


def came_words(outcome: Outcome, unit: LengthUnit) -> str:
    """How far off one entry came out, and its doubt."""
    scale, digits = _scale(outcome.entry.measure, unit)
    either_way = f"{outcome.either_way_95 * scale:.{digits}f} {unit_words(outcome.entry.measure, unit)}"
    return f"{_off_words(outcome, unit)} {PLUS_MINUS} {either_way}"


def _off_words(outcome: Outcome, unit: LengthUnit) -> str:
    """How far off one entry came out, without its unit."""
    scale, digits = _scale(outcome.entry.measure, unit)
    return f"{outcome.off * scale:+z.{digits}f}"


def _scale(measure: Measure, unit: LengthUnit) -> tuple[float, int]:
    """From mm, rad or kg to the owner's unit, and with how many decimals."""
    if measure is Measure.LOAD:
        return 1.0 / Units(unit).mass, 1
    return DIMENSIONS[measure].scale(unit), DIMENSIONS[measure].decimals(unit)


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
    if found.look:
        doubted = {one.entry.measure for one in found.look} & {Measure.HEIGHT, Measure.LOAD}
        waits = "Perches are told once these are sure." if doubted else ""
        first = [f"Look again first, nothing is told to be turned for these: {'; '.join(_looks(found))}.", waits]
        besides = [f"For the rest still to turn: {'; '.join(lines)}. Then measure again."] if lines else []
        return [" ".join(filter(None, first)), *besides]
    return [f"Still to turn: {'; '.join(lines)}. Then measure again."] if lines else []


def _looks(found: CameOut) -> Iterator[str]:
    """Why each such reading is to be looked at again, and what may have slipped."""
    unit = found.set_up.car.unit
    for one in found.look:
        assert one.look is not None  # that is why it is there
        off = f"{_off_words(one, unit)} {unit_words(one.entry.measure, unit)}"
        words = f"read {named(one.entry)} again: it is {off} off"
        if one.look.turned is not None and one.look.reach is not None:
            axle, turned = found.set_up.car.axle(one.entry.axle), one.look.turned
            words += (
                f" and would need the {adjuster_name(turned, axle)} {turn_words(turned, unit)}, "
                f"beyond its range, {_reach_words(one.look.reach, turned, unit)} from where it was measured"
            )
        else:
            words += ", more than a car that was just set comes out"
        yield f"{words}; {_slip_words(one, unit)}"


def _reach_words(reach: tuple[float, float], turned: Adjuster, unit: LengthUnit) -> str:
    kind = measured_in(turned)
    ends = [shown(end, kind, unit, sign=True) if math.isfinite(end) else "any" for end in reach]
    return f"{ends[0]} to {ends[1]} {kind.unit(unit)}"


def _slip_words(outcome: Outcome, unit: LengthUnit) -> str:
    """What to ask about a number that may have been written wrongly."""
    assert outcome.look is not None  # so it is for every one that is asked about
    slip, measure = outcome.look.slip, outcome.entry.measure
    if slip is Slip.SIGN:
        return "is its sign lost?"
    if slip is Slip.A_LENGTH:
        return f"is it in {unit.plural}? Then write the unit behind it, {unit.symbol}"
    if slip is Slip.OTHER_UNIT:
        other = next(one for one in UNITS.values() if one.symbol != unit.symbol)
        return f"is it in {other.plural if measure is Measure.HEIGHT else unit_words(measure, other)}?"
    return "was it read and written at the right wheel, and in the right unit?"


def kept_words(file: str) -> str:
    """What to do with what was read, since no car's points follow from it."""
    return (
        f"Keep {escaped(file)}: `record --add` takes car files, and these readings make none. For the record, measure "
        "the car anew (`cornersweep sheet`, then `survey`)."
    )


_MARKS = {Came.AS_PLANNED: "ok", Came.IN_DOUBT: "in doubt", Came.OFF: "OFF"}
_SAID = {Came.AS_PLANNED: "as planned", Came.IN_DOUBT: "within the doubt", Came.OFF: "OFF"}


def mark_words(outcome: Outcome) -> str:
    """How one entry came out, as short as a table has it."""
    return "LOOK AGAIN" if outcome.look is not None else _MARKS[outcome.came]


def scales_words(scales: OnScales, unit: LengthUnit) -> list[str]:
    """What the four loads come to together."""
    mass = Units(unit)
    total, due = (f"{one / mass.mass:.1f} {mass.mass_symbol}" for one in (scales.total, scales.planned_total))
    off = f"{100.0 * scales.off:+z.1f} {PLUS_MINUS} {100.0 * scales.either_way_95:.1f} %"
    lines = [f"Cross-weight {cross_words(scales.cross)}: {off}, {_SAID[scales.came]}."]
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
