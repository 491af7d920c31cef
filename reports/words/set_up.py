"""A set-up in words: what to do in which order, numbers as a tape or a gauge shows them, and what came out."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from kinematics.car.car import Axle
from kinematics.car.lengths import INCH, LengthUnit
from kinematics.car.units import Units
from kinematics.loads.readiness import Lack
from kinematics.numbers.quantity import Dimension
from kinematics.planning.settling import is_held
from kinematics.setting.came_out import USUAL_KNOWN_TO
from kinematics.setting.perches import Perches
from kinematics.setting.set_up import CROSS_TOLERANCE, TOLERANCE, Adjuster, Entry, Measure, SetUp
from reports.words.fitted_parts import fitting_steps
from reports.words.lean import lack_words, told_of
from reports.words.numbers import PLUS_MINUS, shown, shows, told
from reports.words.plan_cautions import short_cautions
from reports.words.toe_links import toe_link_name
from reports.words.wrapped import wrapped

DIMENSIONS = {
    Measure.HEIGHT: Dimension.LENGTH,
    Measure.LOAD: Dimension.MASS,
    Measure.CAMBER: Dimension.ANGLE,
    Measure.TOE: Dimension.ANGLE,
}
_PARTS = 32  # of an inch: what a tape shows and an eye still reads
_WAYS = {
    "toe link": ("longer", "shorter"),
    "perch": ("towards the spring", "away from the spring"),
    "strut top": ("outward", "inward"),
    "strut bolts": ("with the strut's top outward", "with the strut's top inward"),
    "lower arm": ("longer", "shorter"),
    "upper arm": ("longer", "shorter"),
}
_KEYS = {"toe link": "toe_link_thread", "perch": "perch_thread", "strut bolts": "thread and lever in camber"}
_LEAST_TURN = 0.005
BEFORE_DRIVING = (
    "All bolts tightened to their torque, rubber bushes with the car on its wheels; locknuts tight; wheel nuts tight.",
    "Steering free from lock to lock; no tyre, hose, wire or shaft touches or pulls at full bump, full droop and "
    "either lock; springs stay seated.",
    "Brakes work; lights, plates and ground clearance still legal.",
    "A qualified mechanic has looked at all that was changed. Class rules and local law allow it.",
    "First drive slow and alone, then look at every bolt again.",
)


@dataclass(frozen=True)
class Steps:
    """A heading and what to tick off under it."""

    heading: str
    lines: tuple[str, ...]


def headline_words(planned: SetUp) -> list[str]:
    """What a set-up is, in one sentence."""
    steps = sum(len(one.lines) for one in steps_of(planned))
    name = f'"{planned.plan.name}"' if planned.plan.changes or planned.plan.targets else "the car as measured"
    return wrapped(f"{name}: {steps} steps, {len(planned.entries)} numbers to set and to measure after.")


def number_words(value: float, measure: Measure, unit: LengthUnit) -> str:
    """A number to set, without its unit: heights as a tape shows them where the owner writes fractions."""
    if measure is Measure.HEIGHT:
        return tape_words(value, unit)
    if measure is Measure.LOAD:
        return f"{value / Units(unit).mass:.1f}"
    rounded = round(value * Dimension.ANGLE.scale(unit), 2) + 0.0
    return f"{rounded:+.2f}" if rounded else "0.00"


def tape_words(value: float, unit: LengthUnit) -> str:
    """A length [mm] in the owner's unit, to the nearest 1/32 in where he writes fractions."""
    if not unit.fractions:
        return shown(value, Dimension.LENGTH, unit)
    parts = round(unit.from_mm(value) * _PARTS)
    whole, part = divmod(abs(parts), _PARTS)
    fraction = str(Fraction(part, _PARTS)) if part else ""
    words = " ".join(filter(None, (str(whole) if whole or not part else "", fraction)))
    return f"-{words}" if parts < 0 else words


def unit_words(measure: Measure, unit: LengthUnit) -> str:
    """The unit of a measure."""
    return DIMENSIONS[measure].unit(unit)


def tolerance_words(measure: Measure, unit: LengthUnit) -> str:
    """How near a number should come."""
    return f"{PLUS_MINUS} {_plain(TOLERANCE[measure], measure, unit)}"


def usual_doubt_words(planned: SetUp) -> str:
    """What a reading counts as known to where nothing is written, of what a set-up measures."""
    unit, measured = planned.car.unit, {one.measure for one in planned.entries}
    usual = {one: known_to for one, known_to in USUAL_KNOWN_TO.items() if one in measured}
    words = (f"{_plain(far, one, unit)} {unit_words(one, unit)} ({one.value})" for one, far in usual.items())
    return ", ".join(words)


def _plain(value: float, measure: Measure, unit: LengthUnit) -> str:
    if measure is Measure.LOAD:
        return f"{value / Units(unit).mass:.1f}"
    if measure is Measure.HEIGHT and unit.fractions:
        return tape_words(value, unit)
    scaled = value * DIMENSIONS[measure].scale(unit)
    return f"{scaled:.2f}" if measure is Measure.HEIGHT and unit.symbol == INCH.symbol else f"{scaled:.2g}"


def row_words(left: Entry, right: Entry, unit: LengthUnit) -> str:
    """What is set and measured at both wheels, with what it was; where nothing sets it, that too."""
    words = what_words(left)
    before, after = (
        list(dict.fromkeys(number_words(getattr(one, when), one.measure, unit) for one in (left, right)))
        for when in ("as_measured", "planned")
    )
    if before != after:
        words += f"; was {' / '.join(before)}"
    is_angle = left.measure in (Measure.CAMBER, Measure.TOE)
    return f"{words} (not set, only checked)" if is_angle and left.adjuster is None else words


def what_words(entry: Entry) -> str:
    """What is set and measured, without its side."""
    if entry.measure is Measure.HEIGHT:
        return f"{entry.axle} ride height: floor to {entry.point.replace('_', ' ')}"
    return f"{entry.axle} {entry.measure.value}"


def is_turned(adjuster: Adjuster | None, unit: LengthUnit) -> bool:
    """Whether an adjuster is to be moved by anything that shows."""
    return adjuster is not None and shows(adjuster.by, measured_in(adjuster), unit)


def turn_words(adjuster: Adjuster, unit: LengthUnit) -> str:
    """How far to turn an adjuster, in turns where the car file tells what one goes."""
    if not is_turned(adjuster, unit):
        return "stays"
    way = _WAYS[adjuster.what][adjuster.by < 0.0]
    far = told(abs(adjuster.by), measured_in(adjuster), unit, sign=False)
    turns = adjuster.turns
    if turns is None or abs(turns) < _LEAST_TURN:
        return f"{far} {way}"
    return f"{abs(turns):.2f} turn{'s' if abs(turns) >= 1.005 else ''} {way} ({far})"


def measured_in(adjuster: Adjuster) -> Dimension:
    """What an adjuster's way is measured in."""
    return Dimension.ANGLE if adjuster.what == "strut bolts" else Dimension.LENGTH


def steps_of(planned: SetUp) -> list[Steps]:
    """All that is to be done, in order."""
    unit = planned.car.unit
    fit = fitting_steps(planned.plan.changes, unit)
    return [
        Steps("Fit, in this order", (*fit, _ON_WHEELS) if fit else ("Nothing is fitted.",)),
        Steps("Ride heights and weights", tuple(_heights(planned))),
        Steps(_align_words(planned), tuple(_alignment(planned))),
        Steps("Before it is driven", (*_checks(planned), *BEFORE_DRIVING)),
    ]


_ON_WHEELS = "Lower the car onto its wheels, roll it back and forth, push it down at both ends and let it settle."


def _checks(planned: SetUp) -> Iterator[str]:
    short = short_cautions(planned.plan)
    if short:
        yield f"Look at: {'; '.join(short)}."


def _heights(planned: SetUp) -> Iterator[str]:
    perches = planned.perches
    yield "Floor level, tyres at pressure, fuel and driver (or his weight) aboard, as measured before."
    heights = [one for one in planned.entries if one.measure is Measure.HEIGHT]
    if perches is None:
        for axle in planned.car.axles:
            yield _height_line(planned, axle.name)
        yield _BY_HAND
        return
    if _barred(planned):
        yield "Unhook one drop link of each anti-roll bar, so that it holds nothing meanwhile."
    for axle in planned.car.axles:
        yield from _perch_line(planned, axle.name)
    yield f"Settle the car and measure ride heights no. {_numbers(heights)}; turn again where they are not there."
    yield from _weights(planned, perches)


_BY_HAND = (
    "Turn the spring perches, or change packing, links or bars that carry the springs, until it stands so; roll the "
    "car back and forth before each measuring."
)


def _height_line(planned: SetUp, axle: str) -> str:
    """How far the body goes up or down at an axle, and to which numbers."""
    left, right = planned.of(Measure.HEIGHT, axle)
    by, unit = left.planned - left.as_measured, planned.car.unit
    numbers = f"no. {left.number} and {right.number}"
    if not shows(by, Dimension.LENGTH, unit):
        return f"{_capital(axle)} ride height stays as measured: check {numbers}."
    far = f"{tape_words(abs(by), unit)} {unit.symbol}"
    return f"{_capital(axle)} ride height: {'raise' if by > 0.0 else 'lower'} the body {far}, to {numbers}."


def _perch_line(planned: SetUp, axle: str) -> Iterator[str]:
    """How far an axle's perches go for its height; not where the plan's own packing is what does it."""
    left, right = planned.of(Measure.HEIGHT, axle)
    assert left.adjuster is not None
    assert right.adjuster is not None
    unit = planned.car.unit
    if not is_turned(left.adjuster, unit) and not is_turned(right.adjuster, unit):
        return
    if left.adjuster.a_turn is None and not is_held(planned.plan.changes):
        return
    what = "perches" if left.adjuster.a_turn else "perches, or packing"
    yield f"{_capital(axle)} {what}: {both_words(left.adjuster, right.adjuster, unit)}."


def _weights(planned: SetUp, perches: Perches) -> Iterator[str]:
    unit = planned.car.unit
    loads = [one for one in planned.entries if one.measure is Measure.LOAD]
    yield f"On level scales: wheel loads no. {_numbers(loads)}, cross-weight {cross_words(perches.cross)}."
    if any(is_turned(one.adjuster, unit) for one in loads):
        told_turns = [
            f"{one.axle} {one.side} {turn_words(one.adjuster, unit)}"
            for one in loads
            if one.adjuster is not None and is_turned(one.adjuster, unit)
        ]
        yield f"For that cross-weight, besides: perches {'; '.join(told_turns)}."
    if _barred(planned):
        yield "Hook the drop links on again, at a length at which they go in without force."


def _barred(planned: SetUp) -> bool:
    return any(axle.loads is not None and axle.loads.bar is not None for axle in planned.car.axles)


def cross_words(cross: float) -> str:
    """A cross-weight in per cent."""
    return f"{100.0 * cross:.1f} %"


CROSS_MEANING = "front right and rear left, of all four"
CROSS_NEAR = f"{PLUS_MINUS} {100.0 * CROSS_TOLERANCE:.1f} %"


def _align_words(planned: SetUp) -> str:
    """The heading of what is aligned; camber comes first where both can be set."""
    set_here = {one.measure for one in planned.entries if one.adjuster is not None}
    return "Align, camber before toe" if {Measure.CAMBER, Measure.TOE} <= set_here else "Align"


def _alignment(planned: SetUp) -> Iterator[str]:
    unit = planned.car.unit
    for axle in planned.car.axles:
        yield from _not_set(planned, axle.name)
    for measure in (Measure.CAMBER, Measure.TOE):
        for axle in planned.car.axles:
            left, right = planned.of(measure, axle.name)
            if left.adjuster is None or right.adjuster is None:
                continue
            turned = both_words(left.adjuster, right.adjuster, unit)
            straight = ", steering held straight" if measure is Measure.TOE and axle.suspension.rack else ""
            what = f"{_capital(axle.name)} {measure.value}{straight}"
            numbers = f"set no. {left.number} and {right.number}{_each_turn(left, unit)}"
            yield f"{what}: {adjuster_name(left.adjuster, axle)} {turned}; {numbers}."
    yield "Roll the car back and forth, then measure everything once more and write it down."


def _not_set(planned: SetUp, axle: str) -> Iterator[str]:
    """What of an axle's angles the car file names no adjuster for."""
    pairs = [planned.of(measure, axle) for measure in (Measure.CAMBER, Measure.TOE)]
    loose = [pair for pair in pairs if pair[0].adjuster is None]
    if loose:
        what = " and ".join(pair[0].measure.value for pair in loose)
        numbers = _numbers([one for pair in loose for one in pair])
        yield f"{_capital(axle)} {what}: the car file names no adjuster, so nothing is set; only check no. {numbers}."


def adjuster_name(adjuster: Adjuster, axle: Axle) -> str:
    """What is turned, as its part is called on that axle."""
    return toe_link_name(axle.suspension) if adjuster.what == "toe link" else adjuster.what


def _each_turn(entry: Entry, unit: LengthUnit) -> str:
    """What one turn does, for whoever is not there yet."""
    adjuster = entry.adjuster
    if adjuster is None or adjuster.effect_of_a_turn is None:
        return ""
    way = _WAYS[adjuster.what][0]
    return f" (a turn {way}: {told(adjuster.effect_of_a_turn, Dimension.ANGLE, unit)})"


def both_words(left: Adjuster, right: Adjuster, unit: LengthUnit) -> str:
    """How far to turn the adjusters of both sides."""
    words = [turn_words(one, unit) for one in (left, right)]
    return f"{words[0]}, both sides" if words[0] == words[1] else f"left {words[0]}, right {words[1]}"


def _numbers(entries: Sequence[Entry]) -> str:
    return ", ".join(str(one.number) for one in entries)


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def _why_no_perches(lacks: Sequence[Lack]) -> str:
    """Why perches and wheel loads are not told: what the car file does not tell, or what is wrong with what it does."""
    not_told = ", ".join(filter(None, map(told_of, lacks)))
    if not_told:
        return f"How far each perch goes, and the wheel loads, come from the car file too: it lacks {not_told}."
    return f"How far each perch goes, and the wheel loads, cannot be told ({lack_words(lacks)})."


def keys_for_turns(planned: SetUp) -> str:
    """What the car file would have to hold for turns and perches to be told; empty where nothing is missing."""
    unit = planned.car.unit
    missing = dict.fromkeys(
        f"{_KEYS.get(one.adjuster.what, 'thread in camber')} in [{one.axle}.adjusters]"
        for one in planned.entries
        if one.adjuster is not None and one.adjuster.a_turn is None and is_turned(one.adjuster, unit)
    )
    told_turns = (
        f"Turns instead of lengths and angles come from {', '.join(missing)} of the car file." if missing else ""
    )
    return " ".join(filter(None, (told_turns, _why_no_perches(planned.lacks) if planned.lacks else "")))
