"""Plans in words: changes, why they cannot be built, rules they break, how they are aligned, how they fare."""

import math
from collections.abc import Sequence
from dataclasses import replace

from kinematics.car.car import Axle, Car
from kinematics.car.lengths import LengthUnit
from kinematics.car.units import Units
from kinematics.inputs.reading.plain_text import escaped, shortened
from kinematics.loads.readiness import Lack, Need
from kinematics.numbers.quantity import Dimension
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import CHANGES, Change
from kinematics.planning.comparison import Comparison, Outcome
from kinematics.planning.plans import Plan
from kinematics.planning.refusal import Cause, Refusal
from kinematics.planning.rules import Breach
from reports.words.both_sides import Told, once_for_both_sides
from reports.words.lean import told_of, unsound_words
from reports.words.numbers import amount, shown, shows, told, told_planned
from reports.words.toe_links import toe_link_name
from reports.words.verdict import summary
from solvers.vectors import Array

_SMALL = 1e-9
_MOST_OF_A_NAME = 80
_CAMBER_SHOWS = math.radians(0.005)
_FAR_OUTSIDE = -10.0  # of a limit's range
_RUN_OFF = 2000.0  # mm of margin; beyond it a roll centre is on its way to infinity
_BOLTS = "strut bolts"
_LONGER = {"strut top": "outward", _BOLTS: "of the strut's top outward"}  # other adjusters get longer


def change_words(change: Change, unit: LengthUnit) -> str:
    """Say a change in few words."""
    side = {(1.0, 0.0): " left", (0.0, 1.0): " right"}.get(change.sides, "")
    what = " ".join(part for part in (f"{change.axle}{side}", change.what, change.point) if part)
    if CHANGES[change.what].takes != "shift":
        by_length = CHANGES[change.what].takes == "by"
        far = told_planned(change.by, unit, sign=True) if by_length else amount_words(change, unit)
        return f"{what} {far}{place_words(change, unit)}{_known_to_words(change, unit)}"
    ways = zip(("ahead", "out", "up"), change.shift, strict=True)
    moved = ", ".join(f"{told_planned(value, unit, sign=True)} {way}" for way, value in ways if value)
    return f"{what} {moved}{_known_to_words(change, unit)}"


def _known_to_words(change: Change, unit: LengthUnit) -> str:
    """How well its amount is known, where the plan says so."""
    if not change.known_to:
        return ""
    if CHANGES[change.what].takes in ("by", "shift"):
        return f" (known to {told_planned(change.known_to, unit)})"
    return f" (known to {amount_words(replace(change, by=change.known_to), unit).removeprefix('by ')})"


def place_words(change: Change, unit: LengthUnit) -> str:
    """Where a mass lies, if it has a place."""
    if change.place is None:
        return ""
    ahead, out, up = change.place
    where = f"{told_planned(abs(ahead), unit)} {'behind' if ahead < 0.0 else 'ahead of'} the {change.axle} wheels"
    aside = f", {told_planned(out, unit)} out" if out else ""
    return f" ({where}{aside}, {told_planned(up, unit)} up)"


def changes_words(plan: Plan, unit: LengthUnit) -> str:
    """Say all changes of a plan, parts as their owner calls them; none of nothing, such as a height that is kept."""
    told_here = [one for one in plan.changes if _changes_anything(one)] or plan.changes
    return ", ".join(f"{change_words(one, unit)}{part_words(one)}" for one in told_here)


def part_words(change: Change) -> str:
    """What the owner calls the part that is fitted, where he says it."""
    return f' ("{shortened(escaped(change.part), _MOST_OF_A_NAME)}")' if change.part else ""


def _changes_anything(change: Change) -> bool:
    """But a length of nothing; a bar rate of nothing takes the bar away."""
    return change.size != 0.0 or CHANGES[change.what].takes not in ("by", "shift")


def amount_words(change: Change, unit: LengthUnit) -> str:
    """How far a change goes, in the owner's units, without a sign."""
    units = Units(unit)
    kind = CHANGES[change.what]
    if kind.takes == "rate":
        return f"{change.by / units.rate:.4g} {units.rate_symbol}"
    if kind.takes == "mass":
        return f"{change.by / units.mass:.4g} {units.mass_symbol}"
    if kind.takes == "coils":
        return f"by {change.by:.4g} coil{'' if change.by == 1.0 else 's'}"
    return told_planned(change.size, unit)


def breach_words(breach: Breach, unit: LengthUnit) -> str:
    """Which change breaks a rule, or costs ballast, and the rule in its owner's words."""
    change, rule = breach.change, breach.rule
    done = " ".join(part for part in (change.axle, change.what, change.point) if part)
    if breach.allowed:
        return f'{done} costs {rule.ballast:g} kg of ballast: "{rule.words}"'
    if rule.at_most is None:
        # What is no length can only be forbidden.
        takes = CHANGES[change.what].takes
        why = ", for the rule states no at_most" if takes in ("by", "shift") else ""
        by = "of" if takes == "rate" else "by"
        return f'{done} {by} {amount_words(change, unit)} is forbidden{why}: "{rule.words}"'
    size, most = _told_apart(change.size if breach.in_all is None else breach.in_all, rule.at_most, unit)
    how = "by" if breach.in_all is None else "and what else moves the same part, in all by"
    return f'{done} {how} {size} is more than {most}: "{rule.words}"'


def _told_apart(one: float, other: float, unit: LengthUnit) -> tuple[str, str]:
    """Two lengths that differ, in as many digits as show it."""
    if unit.fractions and all("." not in amount(length, unit) for length in (one, other)):
        return told_planned(one, unit), told_planned(other, unit)
    for digits in range(4, 16):
        first, second = (f"{unit.from_mm(length):.{digits}g} {unit.symbol}" for length in (one, other))
        if first != second:
            break
    return first, second


def refusal_words(refusals: Sequence[Refusal], unit: LengthUnit) -> list[str]:
    """Why a plan cannot be built or used, a sentence each; what is so on both sides of an axle is told once."""
    return once_for_both_sides([Told(one.axle, one.side, _refusal(one, unit)) for one in refusals])


def _refusal(one: Refusal, unit: LengthUnit) -> str:
    match one.cause:
        case Cause.DO_NOT_FIT:
            return (
                f"the parts do not fit together; about {100 * one.amount:.0f} % of the changes is possible before the "
                f"linkage locks ({', '.join(one.names)})"
            )
        case Cause.NOT_ALIGNED:
            return "toe and camber cannot be set back by the adjusters"
        case Cause.TOE_BEYOND_ADJUSTER:
            return _beyond_adjuster("toe", one, unit)
        case Cause.CAMBER_BEYOND_ADJUSTER:
            return _beyond_adjuster("camber", one, unit)
        case Cause.NO_CAMBER_ADJUSTER:
            return f"camber {_angle(one.wanted, unit)} is asked for, but the car has no adjuster for camber"
        case Cause.UNDER_GROUND:
            depth = told(one.amount, Dimension.LENGTH, unit, sign=False)
            return f"{one.names[0].replace('_', ' ')} would lie {depth} under the ground"
        case Cause.TRAVEL_GONE:
            left, used = (told(travel, Dimension.LENGTH, unit, sign=False) for travel in (one.amount, one.allowed[0]))
            return f"{left} of travel left to the {one.names[0]} stop, {used} is used"
        case Cause.TRAVEL_ENDS:
            return _travel_ends(one, unit)
        case Cause.JOINT_TURNS_TOO_FAR:
            turned, most = (told(angle, Dimension.ANGLE, unit, sign=False) for angle in (one.amount, one.allowed[1]))
            joint = one.names[0].replace("_", " ")
            return f"the {joint} turns {turned} from where it was measured, {most} is allowed"
        case Cause.HEIGHT_AND_SPRINGS:
            return "the ride height follows from the springs' length and packing; leave one of the two out"
        case Cause.SPRING_SOLID:
            now, block = (told(length, Dimension.LENGTH, unit, sign=False) for length in (one.amount, one.allowed[0]))
            return f"the spring is coil bound within the working travel: {now} of it are left, {block} is solid"
        case Cause.SPRING_LOOSE:
            droop, used = (told(-travel, Dimension.LENGTH, unit, sign=False) for travel in (one.amount, one.allowed[0]))
            return f"the spring is loose beyond {droop} of droop, {used} is used"
        case Cause.CARRIED_BY_STOP:
            return f"the car rests on its bump stop at ride height, with {told(one.amount, Dimension.FORCE, unit)}"
        case Cause.LOADS_NOT_READY:
            return _not_ready(one.lacks)
        case Cause.NO_BALANCE:
            return "the springs of this plan hold the car up nowhere within their travel"


def _travel_ends(one: Refusal, unit: LengthUnit) -> str:
    """What else than a stop or a spring ends a travel before it is used."""
    what, way, *joint = one.names
    by = f"{joint[0].replace('_', ' ')} {what.removeprefix('joint ')}" if joint else what
    used = told(one.allowed[0], Dimension.LENGTH, unit, sign=False)
    after = f"after {told(one.amount, Dimension.LENGTH, unit, sign=False)}"
    return f"{way} ends {after if one.amount > 0.0 else 'already at ride height'} ({by}), {used} is used"


def _not_ready(lacks: Sequence[Lack]) -> str:
    if any(one.need in (Need.BOTH_AXLES, Need.SPRINGS_AND_WEIGHTS) for one in lacks):
        return "springs settle a car only where both axles tell their springs and weights"
    if any(told_of(one) for one in lacks):
        return "springs settle a car only where [body] tells wheelbase and centre of gravity"
    return "; ".join(unsound_words(one) for one in lacks)


def _beyond_adjuster(what: str, one: Refusal, unit: LengthUnit) -> str:
    (adjuster,) = one.names
    kind, way = _adjustment(adjuster)
    return (
        f"{what} {_angle(one.wanted, unit)} needs the {adjuster} {told(one.amount, kind, unit)} {way}, allowed "
        f"{_range(one.allowed, kind, unit)}; reachable {what}: {_reach(one.reach, unit)}"
    )


def _adjustment(adjuster: str) -> tuple[Dimension, str]:
    """What an adjuster's amount is measured in, and the way that is positive."""
    return Dimension.ANGLE if adjuster == _BOLTS else Dimension.LENGTH, _LONGER.get(adjuster, "longer")


def _reach(ends: Sequence[float], unit: LengthUnit) -> str:
    known = [_angle(end, unit) for end in ends]
    if len(known) == 2:
        return f"{known[0]} to {known[1]}"
    return f"{known[0]} at the one end that can be reached" if known else "none at either end"


def _range(limits: tuple[float, float], kind: Dimension, unit: LengthUnit) -> str:
    low, high = (told(end, kind, unit) for end in limits)
    if math.isinf(limits[0]):
        return f"up to {high}"
    return f"{low} or more" if math.isinf(limits[1]) else f"{low} to {high}"


def _angle(value: float, unit: LengthUnit) -> str:
    return told(value, Dimension.ANGLE, unit)


def adjusted_words(measured: Axle, changed: ChangedAxle, unit: LengthUnit) -> str:
    """Say how far the adjusters went, where they went at all."""
    words = []
    if any(shows(float(one), Dimension.LENGTH, unit) for one in changed.toe_link):
        words.append(
            f"{toe_link_name(measured.suspension)} {_both(changed.toe_link, Dimension.LENGTH, unit)} (longer positive)"
        )
    adjusters = measured.fittings.adjusters
    if abs(changed.camber).max() > _SMALL:
        kind, way = _adjustment(adjusters.camber_by)
        words.append(f"{adjusters.camber_by} {_both(changed.camber, kind, unit)} ({way} positive)")
    if adjusters.camber_by == "none" and abs(changed.axle.camber - measured.camber).max() > _CAMBER_SHOWS:
        words.append(f"camber becomes {_both(changed.axle.camber, Dimension.ANGLE, unit)}, for it has no adjuster here")
    return f"{measured.name}: {', '.join(words)}" if words else ""


def aligned_words(car: Car, outcome: Outcome) -> list[str]:
    """How far the adjusters went on each axle that a plan leaves one that fits together."""
    every = (
        adjusted_words(car.axle(one.axle.name), one, car.unit) for one in outcome.axles.values() if not one.refusals
    )
    return [words for words in every if words]


def _both(values: Array, kind: Dimension, unit: LengthUnit) -> str:
    left, right = (told(value, kind, unit) for value in values)
    return left if left == right else f"{left} (left), {right} (right)"


def rank_words(outcome: Outcome) -> str:
    """How a plan fares, in the ranking."""
    state = "" if outcome.buildable else ", not to be built so"
    held = f"{outcome.holding} of {len(outcome.findings)} checks hold" if outcome.findings else "no numbers"
    margin = f", worst margin {_percent(outcome.margin)} of its range" if outcome.findings else ""
    return f"{outcome.plan.name}: {held}{margin}{state}"


def _percent(margin: float) -> str:
    """Write a relative margin; where a number runs off, how far is of no interest."""
    return f"{100 * margin:+z.0f} %" if margin > _FAR_OUTSIDE else f"beyond {100 * _FAR_OUTSIDE:.0f} %"


def none_better_words(comparison: Comparison) -> str:
    """That no plan ranks before the car as measured, and by what."""
    if not any(one.buildable for one in comparison.outcomes[1:]):
        return "No plan can be built."
    measured = comparison.outcomes[0]
    if measured.holding == len(measured.findings):
        return "No plan that can be built leaves more room in its tightest limit."
    return "No plan that can be built holds more limits, or as many with more room."


def verdict_words(comparison: Comparison) -> str:
    """One sentence on the car as measured and one on the best plan."""
    measured, best = comparison.outcomes[0], comparison.ranked[0]
    now = f"the car as measured is {summary(measured.findings)}."
    if best is measured:
        return f"{now} {none_better_words(comparison)}"
    if not best.buildable:
        return f"{now} No plan can be built."
    held = f'"{best.plan.name}" holds {best.holding} of {len(best.findings)} checks'
    if best.holding == len(best.findings):
        return f"{now} Best plan that can be built: {held}."
    return f"{now} No plan that can be built holds all limits; {held}: look at what it spoils before you take it."


def steps(then: Sequence[float], now: Sequence[float]) -> list[float]:
    """What a number of one side or of two changes by, side by side; none where it was not known before or after."""
    sides = max(len(then), len(now)) if then and now else 0
    return [now[side % len(now)] - then[side % len(then)] for side in range(sides)]


def gain_words(gain: float, kind: Dimension, unit: LengthUnit) -> str:
    """What a change adds to a margin, without the unit."""
    if kind is Dimension.LENGTH and abs(gain) > _RUN_OFF:
        return "runs off"
    return shown(gain, kind, unit, sign=True)
