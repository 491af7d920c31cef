"""A set-up in words: what to do in which order, each a box to tick."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kinematics.judging.verdict import Finding
from kinematics.loads.readiness import Lack
from kinematics.numbers.quantity import Dimension
from kinematics.setting.perches import Perches
from kinematics.setting.set_up import CROSS_TOLERANCE, Entry, Measure, SetUp, is_changed
from reports.words.fitted_parts import fitting_steps
from reports.words.lean import lack_words, told_of
from reports.words.numbers import PLUS_MINUS, told
from reports.words.set_up_checks import AT_RIDE_HEIGHT, COMES_DOWN, ON_STANDS, before_driving, lifted
from reports.words.set_up_heights import height_line, moves_the_body, perch_line
from reports.words.set_up_numbers import (
    adjuster_name,
    both_words,
    each_turn_words,
    is_turned,
    number_words,
    over_together,
    over_tyre,
    over_words,
    plain_tolerance,
    target_words,
    toe_together,
    turn_words,
    unit_words,
)
from reports.words.verdict import check_name, short_range, worst_short
from reports.words.wrapped import wrapped

_KEYS = {"toe link": "toe_link_thread", "perch": "perch_thread", "strut bolts": "thread and lever in camber"}


@dataclass(frozen=True)
class Steps:
    """A heading and what to tick off under it. short: lines that need no more than half a page's width each."""

    heading: str
    lines: tuple[str, ...]
    short: bool = False


def headline_words(planned: SetUp) -> list[str]:
    """What a set-up is, in one sentence."""
    steps = sum(len(one.lines) for one in steps_of(planned))
    name = f'"{planned.plan.name}"' if planned.plan.changes or planned.plan.targets else "the car as measured"
    return wrapped(f"{name}: {steps} steps, {len(planned.entries)} numbers to set and to measure after.")


def steps_of(planned: SetUp) -> list[Steps]:
    """All that is to be done, in order."""
    fit = fitting_steps(planned.plan.changes, planned.car.unit)
    worked = bool(fit) or _goes_up_or_down(planned)  # on stands, with bushes loose
    bar = _bar_words(planned) if worked or planned.perches is not None else ""
    heading = "Fit, in this order" if fit else "On stands; nothing is fitted" if worked or bar else "Nothing is fitted."
    return [
        Steps(heading, tuple(lifted(planned.plan, fit, bar, moved=worked)) if worked or bar else ()),
        *([Steps("Still on the stands, before it comes down", ON_STANDS, short=True)] if worked else []),
        Steps("Ride heights and weights", tuple(_heights(planned, worked=worked, barred=bool(bar)))),
        Steps(_align_words(planned), tuple(_alignment(planned))),
        Steps("Before it is driven", tuple(before_driving(planned)), short=True),
    ]


def outside_words(planned: SetUp) -> str:
    """Which limits do not hold with the plan, each where it is worst; empty where all do."""
    worst: dict[tuple[str, str], Finding] = {}
    for one in sorted(planned.outside, key=lambda one: one.margin):
        worst.setdefault((one.axle, one.limit.key), one)
    unit = planned.car.unit
    told_here = [
        f"{one.axle} {check_name(one)} {worst_short(one, unit)} ({short_range(one.limit, unit)} allowed)"
        for one in worst.values()
    ]
    return f"OUTSIDE THE LIMITS with this plan: {'; '.join(told_here)}." if told_here else ""


def _goes_up_or_down(planned: SetUp) -> bool:
    return any(moves_the_body(planned, axle.name) for axle in planned.car.axles)


def _bar_words(planned: SetUp) -> str:
    """What to do about anti-roll bars before heights are set; nothing where the car file says that there is none."""
    if _barred(planned):
        return "Unhook one drop link of each anti-roll bar, so that it holds nothing while heights and weights are set."
    if len(planned.car.axles) == 2 and all(axle.loads is not None for axle in planned.car.axles):
        return ""
    return "Anti-roll bar, where there is one: unhook one drop link, so that it holds nothing while heights are set."


def _barred(planned: SetUp) -> bool:
    return any(axle.loads is not None and axle.loads.bar is not None for axle in planned.car.axles)


def _heights(planned: SetUp, *, worked: bool, barred: bool) -> Iterator[str]:
    perches, axles = planned.perches, planned.car.axles
    if worked or barred:
        yield COMES_DOWN
    yield "Floor level, tyres at pressure, fuel and driver (or his weight) aboard, as measured before."
    for axle in axles:
        yield " ".join((height_line(planned, axle.name), *(() if perches is None else perch_line(planned, axle.name))))
    if perches is None:
        yield _BY_HAND
    else:
        heights = [one for one in planned.entries if one.measure is Measure.HEIGHT]
        yield f"Settle the car and measure ride heights no. {_numbers(heights)}; turn again where they are not there."
        yield from _weights(planned, perches)
    if worked:
        yield AT_RIDE_HEIGHT
    if barred:
        yield "Hook the drop links on again, at a length at which they go in without force."


_BY_HAND = (
    "Turn the spring perches, or change packing, links or bars that carry the springs, until it does; roll the car "
    "before each measuring."
)


def _weights(planned: SetUp, perches: Perches) -> Iterator[str]:
    unit = planned.car.unit
    loads = [one for one in planned.entries if one.measure is Measure.LOAD]
    near = f"within {plain_tolerance(Measure.LOAD, unit)} {unit_words(Measure.LOAD, unit)} each"
    cross = f"cross-weight {cross_words(perches.cross)} {CROSS_NEAR}"
    yield f"On level scales: wheel loads no. {_numbers(loads)} of the table ({near}), {cross}."
    if any(is_turned(one.adjuster, unit) for one in loads):
        told_turns = [
            f"{one.axle} {one.side} {turn_words(one.adjuster, unit)}"
            for one in loads
            if one.adjuster is not None and is_turned(one.adjuster, unit)
        ]
        yield f"For that cross-weight, besides, to begin with: perches {'; '.join(told_turns)}."


def cross_words(cross: float) -> str:
    """A cross-weight in per cent."""
    return f"{100.0 * cross:.1f} %"


CROSS_MEANING = "front right and rear left, of all four"
CROSS_NEAR = f"{PLUS_MINUS} {100.0 * CROSS_TOLERANCE:.1f} %"


def _align_words(planned: SetUp) -> str:
    """The heading of what is aligned; camber comes first where both can be set."""
    set_here = {one.measure for one in planned.entries if one.adjuster is not None}
    both = {Measure.CAMBER, Measure.TOE} <= set_here
    what = "Align, camber before toe" if both else "Align"
    return f"{what}: what the gauge shows decides, a length is only where to begin" if set_here & _ADJUSTED else what


_ADJUSTED = {Measure.CAMBER, Measure.TOE}


def _alignment(planned: SetUp) -> Iterator[str]:
    yield from _bump_line(planned)
    for axle in planned.car.axles:
        yield from _not_set(planned, axle.name)
        yield from _expected(planned, axle.name)
    for measure in (Measure.CAMBER, Measure.TOE):
        for axle in planned.car.axles:
            yield from _set_line(planned, measure, axle.name)
    yield "Tighten locknuts, and what holds the camber, to their torque."
    yield from _left_alone(planned)
    yield "With all tight: roll the car back and forth, measure everything once more and write it down below."


def _set_line(planned: SetUp, measure: Measure, axle: str) -> Iterator[str]:
    """What an angle is set to, and where to begin."""
    unit = planned.car.unit
    left, right = planned.of(measure, axle)
    if left.adjuster is None or right.adjuster is None:
        return
    own = planned.car.axle(axle)
    straight = ", steering held straight" if measure is Measure.TOE and own.suspension.rack else ""
    each = "each wheel " if measure is Measure.TOE else ""
    target = f"{_capital(axle)} {measure.value}{straight}: {each}{target_words(left, right, unit)}"
    if measure is Measure.TOE:
        target += f"; {_both_toe(left, right, planned)}"
    turned = both_words(left.adjuster, right.adjuster, unit)
    begin = f"{adjuster_name(left.adjuster, own)} {turned}{each_turn_words(left, unit)}"
    if not any(is_turned(one.adjuster, unit) for one in (left, right)):
        yield f"{target}. {_capital(adjuster_name(left.adjuster, own))}: stays where it is, if the gauge says so."
        return
    yield f"{target}. Begin with {begin}, from where it then is."


def _both_toe(left: Entry, right: Entry, planned: SetUp) -> str:
    """Toe of both wheels together, and what toe plates show over the tyre's diameter."""
    unit = planned.car.unit
    together = toe_together([left.planned, right.planned], unit)
    lengths = [over_tyre(one, one.planned) for one in (left, right)]
    words = [over_words(one, unit) for one in lengths]
    each = f"{words[0]} {unit.symbol} each" if words[0] == words[1] else f"{words[0]} and {words[1]} {unit.symbol}"
    near = over_words(over_tyre(left, left.tolerance), unit).lstrip("+")
    over = number_words(left.over or 0.0, Measure.HEIGHT, unit)
    together_over = over_together(lengths, unit)
    # As short as that without "about": a line more may be a page more.
    both = f"both {together_over}" if together_over.startswith("about") else f"{together_over} {unit.symbol} together"
    return (
        f"both together {together} deg. Over the tyre's diameter, {over} {unit.symbol}: {each} (within {near}), {both}"
    )


def _expected(planned: SetUp, axle: str) -> Iterator[str]:
    """What the gauge should show before any adjuster is turned, where one is turned."""
    unit = planned.car.unit
    told_here = []
    for measure in (Measure.CAMBER, Measure.TOE):
        pair = planned.of(measure, axle)
        if not any(is_turned(one.adjuster, unit) for one in pair):
            continue
        shown = [number_words(one.before_turning, measure, unit) for one in pair if one.before_turning is not None]
        if len(shown) == len(pair):
            each = " each wheel" if measure is Measure.TOE else ""
            both = f"{shown[0]} deg{each}" if shown[0] == shown[1] else f"{shown[0]} deg left, {shown[1]} right"
            told_here.append(f"{measure.value} {both}")
    if told_here:
        yield (
            f"{_capital(axle)}, before anything is turned: the gauge should show {' and '.join(told_here)}, moved by "
            "what was done above. If it is half a degree off, look for the reason first."
        )


def _bump_line(planned: SetUp) -> Iterator[str]:
    """Bump steer to be checked with a gauge, and how well it is foretold."""
    numbers, sure = [], []
    for axle in planned.car.axles:
        entries = planned.of(Measure.BUMP_STEER, axle.name)
        if not entries:
            continue
        numbers.append(f"{axle.name} no. {entries[0].number} to {entries[-1].number}")
        known = [one.known_to for one in entries if one.known_to is not None]
        if len(known) == len(entries):
            sure.append(f"{axle.name} {told(max(known), Dimension.ANGLE, planned.car.unit, sign=False)}")
    if not numbers:
        return
    foretold = f" Foretold to {', '.join(sure)}, two times in three; twice as far off: ask before driving."
    yield (
        f"Bump steer with a gauge ({', '.join(numbers)}): body on stands at ride height, springs out (compressor made "
        "for them), bar off, steering locked straight: toe's change as the wheel goes from there; then all back, "
        f"heights as above.{foretold if sure else ''}"
    )


def _left_alone(planned: SetUp) -> Iterator[str]:
    """What this plan does not change, which is to be looked at again all the same."""
    if len(planned.car.axles) == 1:
        other = "rear" if planned.car.axles[0].name == "front" else "front"
        yield (
            f"{_capital(other)} axle: left alone here, as the car file does not have it; look at its ride height, "
            "camber and toe again."
        )
        return
    if not planned.plan.changes and not planned.plan.targets:
        return
    for axle in planned.car.axles:
        if not is_changed(planned.plan, planned.axles[axle.name]):
            yield f"{_capital(axle.name)} axle: this plan leaves it alone; look at its numbers again."


def _not_set(planned: SetUp, axle: str) -> Iterator[str]:
    """What of an axle's angles the car file names no adjuster for."""
    pairs = [planned.of(measure, axle) for measure in (Measure.CAMBER, Measure.TOE)]
    loose = [pair for pair in pairs if pair[0].adjuster is None]
    if loose:
        what = " and ".join(pair[0].measure.value for pair in loose)
        numbers = _numbers([one for pair in loose for one in pair])
        yield f"{_capital(axle)} {what}: the car file names no adjuster, so nothing is set; only check no. {numbers}."


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
