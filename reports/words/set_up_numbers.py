"""Numbers of a set-up in words: as a tape or a gauge shows them, no finer than they are to be set; how far to turn."""

import math
from collections.abc import Iterable, Sequence
from fractions import Fraction

from kinematics.car.car import Axle
from kinematics.car.lengths import INCH, LengthUnit
from kinematics.car.units import Units
from kinematics.numbers.quantity import Dimension
from kinematics.setting.came_out import USUAL_KNOWN_TO
from kinematics.setting.set_up import TOLERANCE, Adjuster, Entry, Measure, SetUp
from reports.words.numbers import PLUS_MINUS, planned_amount, shown, shows, told
from reports.words.toe_links import toe_link_name

DIMENSIONS = {
    Measure.HEIGHT: Dimension.LENGTH,
    Measure.LOAD: Dimension.MASS,
    Measure.CAMBER: Dimension.ANGLE,
    Measure.TOE: Dimension.ANGLE,
    Measure.BUMP_STEER: Dimension.ANGLE,
}
TOES = (Measure.TOE, Measure.BUMP_STEER)
_PARTS = 32  # of an inch: what a tape shows and an eye still reads
_PARTS_OF_TOE = 64  # of an inch: the finest on a tape
_WAYS = {
    "toe link": ("longer", "shorter"),
    "perch": ("towards the spring", "away from the spring"),
    "strut top": ("outward", "inward"),
    "strut bolts": ("with the strut's top outward", "with the strut's top inward"),
    "lower arm": ("longer", "shorter"),
    "upper arm": ("longer", "shorter"),
}
_ABOUT = "about "
_LEAST_TURN = 0.005
_MOST_LETTERS = 5  # of a travel as it was chosen; a longer one was converted


def number_words(value: float, measure: Measure, unit: LengthUnit) -> str:
    """A number to set, without its unit: heights to the whole mm, or as a tape where the owner writes fractions."""
    if measure is Measure.HEIGHT and unit.symbol != INCH.symbol:
        return shown(value, Dimension.LENGTH, unit, decimals=0)
    return fine_words(value, measure, unit)


def fine_words(value: float, measure: Measure, unit: LengthUnit) -> str:
    """A number as a gauge may show it, finer than it is to be set, without its unit."""
    if measure is Measure.HEIGHT:
        return tape_words(value, unit)
    if measure is Measure.LOAD:
        return f"{value / Units(unit).mass:.1f}"
    rounded = round(value * Dimension.ANGLE.scale(unit), 2) + 0.0
    return f"{rounded:+.2f}" if rounded else "0.00"


def tape_words(value: float, unit: LengthUnit, parts_of_an_inch: int = _PARTS) -> str:
    """A length [mm] in the owner's unit, to the nearest such part of an inch where he writes fractions."""
    if not unit.fractions:
        return shown(value, Dimension.LENGTH, unit)
    parts = round(unit.from_mm(value) * parts_of_an_inch)
    whole, part = divmod(abs(parts), parts_of_an_inch)
    fraction = str(Fraction(part, parts_of_an_inch)) if part else ""
    words = " ".join(filter(None, (str(whole) if whole or not part else "", fraction)))
    return f"-{words}" if parts < 0 else words


def over_words(length: float, unit: LengthUnit) -> str:
    """Toe as a length [mm] over the tyre's diameter, with its sign and without its unit."""
    words = tape_words(length, unit, _PARTS_OF_TOE)
    if not words.strip("-0."):
        return "0"
    return words if words.startswith("-") else f"+{words}"


def over_together(lengths: Sequence[float], unit: LengthUnit) -> str:
    """Toe of both wheels together as such a length: "about" where the rounded ones do not add up to it."""
    finest = 1.0 / _PARTS_OF_TOE if unit.fractions else 10.0 ** -Dimension.LENGTH.decimals(unit)
    return f"{_about([unit.from_mm(one) / finest for one in lengths])}{over_words(sum(lengths), unit)}"


def toe_together(angles: Sequence[float], unit: LengthUnit) -> str:
    """Toe of both wheels together, in the same way."""
    finest = [one * Dimension.ANGLE.scale(unit) * 100.0 for one in angles]
    return f"{_about(finest)}{number_words(sum(angles), Measure.TOE, unit)}"


def _about(finest: Sequence[float]) -> str:
    """What to say before a sum of numbers that are told to the whole, where its parts as told do not add up to it."""
    return "" if round(sum(finest)) == sum(map(round, finest)) else _ABOUT


def over_tyre(entry: Entry, angle: float) -> float:
    """Toe of an angle [rad] as a length over that tyre's diameter [mm]: twice the loaded radius times the sine."""
    assert entry.over is not None  # every toe has it
    return entry.over * math.sin(angle)


def unit_words(measure: Measure, unit: LengthUnit) -> str:
    """The unit of a measure."""
    return DIMENSIONS[measure].unit(unit)


def tolerance_words(measure: Measure, unit: LengthUnit) -> str:
    """How near a number should come, with its unit."""
    return f"{PLUS_MINUS} {plain_tolerance(measure, unit)} {unit_words(measure, unit)}"


def plain_tolerance(measure: Measure, unit: LengthUnit) -> str:
    """The same as a bare number."""
    return _plain(TOLERANCE[measure], measure, unit)


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


def row_words(left: Entry, right: Entry, planned: SetUp) -> str:
    """What is set and measured at both wheels; where nothing sets it, that too."""
    words = what_words(left, planned)
    if left.measure in TOES:
        words += f" ({_over_row(left, right, planned.car.unit)})"
    is_angle = left.measure in (Measure.CAMBER, Measure.TOE)
    return f"{words} (not set, only checked)" if is_angle and left.adjuster is None else words


def _over_row(left: Entry, right: Entry, unit: LengthUnit) -> str:
    each = [over_tyre(one, one.planned) for one in (left, right)]
    words = f"{_sides(over_words(one, unit) for one in each)} {unit.symbol}"
    both = over_together(each, unit)
    # A line has no room for more words; the step has those that do not add up.
    together = f"; together {both}" if left.measure is Measure.TOE and not both.startswith(_ABOUT) else ""
    return f"{words} over the tyre{together}"


def was_words(left: Entry, right: Entry, unit: LengthUnit) -> str:
    """What a number was, both wheels' where they show otherwise."""
    return _sides(number_words(one.as_measured, one.measure, unit) for one in (left, right))


def _sides(words: Iterable[str]) -> str:
    return " / ".join(dict.fromkeys(words))


def what_words(entry: Entry, planned: SetUp) -> str:
    """What is set and measured, without its side; a height with the point's own description."""
    if entry.measure is Measure.HEIGHT:
        point = entry.point.replace("_", " ")
        return f"{entry.axle} ride height: floor to {point}{_where(entry, planned)}"
    if entry.travel is not None:
        return f"{entry.axle} toe change, wheel {travel_words(entry.travel, planned.car.unit)}"
    return f"{entry.axle} {entry.measure.value}"


def _where(entry: Entry, planned: SetUp) -> str:
    points = planned.car.axle(entry.axle).suspension.points
    where = next((one.where for one in points if one.key == entry.point), "")
    return f" ({where})" if where else ""


def travel_words(travel: float, unit: LengthUnit) -> str:
    """A wheel travel from ride height."""
    words = planned_amount(abs(travel), unit)
    plain = words if len(words) <= _MOST_LETTERS else tape_words(abs(travel), unit)
    return f"{plain} {unit.symbol} {'up' if travel > 0.0 else 'down'}"


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


def each_turn_words(entry: Entry, unit: LengthUnit) -> str:
    """What one turn does, for whoever is not there yet; nothing where the car file does not tell it."""
    adjuster = entry.adjuster
    if adjuster is None or adjuster.effect_of_a_turn is None:
        return ""
    way = _WAYS[adjuster.what][0]
    return f" (a turn {way}: {told(adjuster.effect_of_a_turn, Dimension.ANGLE, unit)})"


def measured_in(adjuster: Adjuster) -> Dimension:
    """What an adjuster's way is measured in."""
    return Dimension.ANGLE if adjuster.what == "strut bolts" else Dimension.LENGTH


def adjuster_name(adjuster: Adjuster, axle: Axle) -> str:
    """What is turned, as its part is called on that axle."""
    return toe_link_name(axle.suspension) if adjuster.what == "toe link" else adjuster.what


def both_words(left: Adjuster, right: Adjuster, unit: LengthUnit) -> str:
    """How far to turn the adjusters of both sides."""
    words = [turn_words(one, unit) for one in (left, right)]
    return f"{words[0]}, both sides" if words[0] == words[1] else f"left {words[0]}, right {words[1]}"


def target_words(left: Entry, right: Entry, unit: LengthUnit) -> str:
    """What both wheels are set to, how near, and which numbers of the table that is."""
    measure = left.measure
    symbol, near = unit_words(measure, unit), plain_tolerance(measure, unit)
    values = [number_words(one.planned, measure, unit) for one in (left, right)]
    if values[0] == values[1]:
        return f"{values[0]} {symbol} (within {near}), no. {left.number} left, no. {right.number} right"
    return f"{values[0]} {symbol} left (no. {left.number}), {values[1]} right (no. {right.number}), within {near}"
