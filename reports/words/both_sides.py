"""What is told of the left and of the right side alike is told once."""

from collections.abc import Sequence
from typing import NamedTuple


class Told(NamedTuple):
    """What is said of a place: axle, and side or an empty word where it is not about one side."""

    axle: str
    side: str
    text: str


def once_for_both_sides(told: Sequence[Told]) -> list[str]:
    """Sentences with their places before them; what both sides of an axle have alike stands once, without a side."""
    return [f"{place}: {text}" if place else text for place, text in placed_once(told)]


def placed_once(told: Sequence[Told]) -> list[tuple[str, str]]:
    """The same as place, such as "front left" or nothing, and text."""
    sides = {(one.axle, one.text): {each.side for each in told if each[::2] == one[::2]} for one in told}
    both = ({"left", "right"} <= sides[one.axle, one.text] for one in told)
    return list(dict.fromkeys((_place(one, both=alike), one.text) for one, alike in zip(told, both, strict=True)))


def _place(one: Told, *, both: bool) -> str:
    return " ".join(part for part in (one.axle, "" if both else one.side) if part)
