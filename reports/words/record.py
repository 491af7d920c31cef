"""A car's record in words: what changed, whether that is more than the doubt, and what to be wary of."""

from collections.abc import Mapping, Sequence

from kinematics.car.lengths import LengthUnit
from kinematics.inputs.reading.plain_text import escaped
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.record.between import Between, Difference, PartChange, Solved
from kinematics.record.state import State
from reports.words.numbers import PLUS_MINUS, shown, shows, told
from reports.words.wrapped import wrapped

HOW_SURE = (
    f"{PLUS_MINUS}: 95 % of such measurements, to first order, from how well the car files say they were measured. "
    "Errors of readings that both states go back to cancel; those of readings taken anew do not. Springs, bars and "
    "weights count as exact."
)
_MOST_NOTE_LINES = 4


def state_words(state: State) -> str:
    """A state's date and name."""
    return f"{state.date} {state.title}"


def between_title(found: Between) -> str:
    """Which states are compared."""
    return f"{state_words(found.before)} to {state_words(found.after)}"


def change_words(one: Difference, unit: LengthUnit) -> str:
    """How far a number or a coordinate changed, with its doubt."""
    kind = dimension_of(one)
    text = told(one.change, kind, unit)
    if one.either_way_95 is None:
        return text
    number, _, symbol = text.partition(" ")
    return f"{number} {PLUS_MINUS} {shown(one.either_way_95, kind, unit)} {symbol}".rstrip()


def dimension_of(one: Difference) -> Dimension:
    """What a difference is measured in."""
    return Dimension.LENGTH if one.point else QUANTITIES[one.key].dimension


def title_of(one: Difference) -> str:
    """A number's title, or a point with its way."""
    return f"{one.point.replace('_', ' ')} {one.key}" if one.point else QUANTITIES[one.key].title


def is_shown(one: Difference, unit: LengthUnit) -> bool:
    """Whether a change is written as anything but zero."""
    return shows(one.change, dimension_of(one), unit)


def sure_words(one: Difference, unit: LengthUnit) -> str:
    """Whether a change is more than its doubt; what shows as nothing is none, however well it is known."""
    if one.is_sure is None:
        return "doubt not told"
    if not is_shown(one, unit):
        return "no"
    return "yes" if one.is_sure else "no"


def part_words(one: PartChange, unit: LengthUnit) -> str:
    """What a part was and is."""
    before, after = (
        "not told" if value is None else told(value, one.dimension, unit, sign=False, decimals=_digits(one, unit))
        for value in (one.before, one.after)
    )
    what = " ".join(filter(None, (one.axle, one.side, one.what)))
    return f"{what}: {before} to {after}"


def _digits(one: PartChange, unit: LengthUnit) -> int | None:
    return 1 if one.dimension is Dimension.MASS else one.dimension.decimals(unit)


def parts_words(parts: Sequence[PartChange], unit: LengthUnit) -> list[str]:
    """What changed besides points; what is so on both sides of an axle once."""
    said = {(one.axle, one.what, one.before, one.after): one for one in parts}
    both = {key: len([one for one in parts if (one.axle, one.what, one.before, one.after) == key]) for key in said}
    lines = []
    for key, one in said.items():
        text = part_words(one, unit)
        lines.append(text.replace(f"{one.axle} {one.side} ", f"{one.axle} ") if both[key] == 2 and one.side else text)
    return lines


def headline_words(compared: Sequence[Between], states: Sequence[State], unit: LengthUnit) -> list[str]:
    """How many states there are, and what the last change came to."""
    lines = [f"{len(states)} state{'s' if len(states) > 1 else ''}, {states[0].date} to {states[-1].date}."]
    if not compared:
        return lines
    last = compared[-1]
    lines += wrapped(f"Last change, {between_title(last)}: {_came_to(last, unit)}")
    return lines


def _came_to(found: Between, unit: LengthUnit) -> str:
    key = "roll_centre_height"
    heights = [one for one in found.numbers if one.key == key]
    said = [f"{one.axle} roll centre {change_words(one, unit)}" for one in heights]
    doubtful = any(one.is_sure is not None for one in found.numbers)
    count = len({(one.axle, one.key) for one in found.sure if is_shown(one, unit)})
    sure = (
        f"{count} number{'s' if count != 1 else ''} changed by more than the doubt of measuring"
        if doubtful
        else _NO_DOUBT
    )
    return f"{'; '.join([*said, sure])}."


_NO_DOUBT = "the car files do not say how well they were measured, so no change can be told from chance"


def warnings_of(states: Sequence[State]) -> list[str]:
    """What to be wary of before states are compared."""
    first = states[0]
    lines = []
    names = list(dict.fromkeys(one.car.name for one in states if not one.car.on_paper))
    if len(names) > 1:
        told_names = ", ".join(f'"{name}"' for name in names)
        lines.append(f"These states have different names, {told_names}: make sure that they are one car.")
    other = [one for one in states if one.car.unit.symbol != first.car.unit.symbol]
    if other:
        keys = ", ".join(state_words(one) for one in other)
        unit = "inches" if states[-1].car.unit.symbol == "in" else "mm"
        lines.append(f"Not all states are in one unit ({keys}); all are told in {unit}.")
    paper = [state_words(one) for one in states if one.car.on_paper]
    if paper:
        lines.append(f"On paper, not measured: {', '.join(paper)}.")
    axles = {tuple(axle.name for axle in one.car.axles) for one in states}
    if len(axles) > 1:
        lines.append("Not all states have both axles; an axle is compared where both have it.")
    return lines


def not_a_state_words(name: str) -> list[str]:
    """Why a file of a record's folder is none of its states."""
    return wrapped(f"Not a state, whose file would be named like 2026-03-14_as-measured.toml: {escaped(name)}")


def shared_words(found: Between) -> str:
    """How much of the doubt is common to both states."""
    said = [f"{axle} {shared} of {count}" for axle, (shared, count) in found.shared.items() if count]
    return f"Readings that both go back to: {', '.join(said)}." if said else ""


def notes_words(state: State, *, everything: bool) -> list[str]:
    """What the driver noted, its first lines or all of it."""
    lines = [line.rstrip() for line in state.notes.splitlines()]
    lines = [line for line in lines if line and not line.endswith(":") and line != f"{state.date}, {state.title}"]
    if not lines:
        return []
    kept = lines if everything else lines[:_MOST_NOTE_LINES]
    more = ["..."] if len(kept) < len(lines) else []
    return [f"{state_words(state)}, noted:", *(f"  {line}" for line in (*kept, *more))]


def timeline_title(states: Sequence[State], solved: Sequence[Mapping[str, Solved]], unit: LengthUnit) -> str:
    """Where the roll centre of each axle went over the record."""
    parts = []
    for axle in dict.fromkeys(name for own in solved for name in own):
        known = [own[axle].values["roll_centre_height"] for own in solved if axle in own]
        ends = [told(float(one.reshape(-1)[0]), Dimension.LENGTH, unit) for one in (known[0], known[-1])]
        parts.append(f"{axle} roll centre from {ends[0]} to {ends[1]}")
    return f"{states[0].date} to {states[-1].date}: {', '.join(parts)}"
