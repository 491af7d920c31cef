"""Which slips, together, explain a survey best: none, one, or two or three at once.

Sets grow by one slip from the likeliest smaller ones, and pairs of values are also tried together, since of two errors
each may hide the other. A slip that by itself explains far less than another may still be one of two: so many sets
grow, and of the best of a size each slip is looked for again with the others put right. A set is large enough once what
is left raises no alarm.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.survey.hypotheses import (
    ANOTHER,
    Guess,
    Hypothesis,
    different,
    fitted,
    fitted_as_whole,
    tried,
)
from kinematics.survey.snooping import State
from kinematics.survey.two_at_once import two_at_once
from kinematics.survey.weighing import Weighed, weighed

MOST = 3  # slips at once
_CLEAR = 3.0  # standard deviations that a slip takes away
_GROW = 4  # sets that grow
_LOOKS = 3  # times that each slip of a set is looked for again before it is left as it is
_BETTER = 0.01  # of -2 log chance: below, what was found again is what was there


@dataclass(frozen=True)
class Anew:
    """A survey with all slips of a set but one put right, and every slip weighed there, the likeliest first."""

    others: Hypothesis
    every: Sequence[Weighed]

    def guesses(self) -> Iterator[Guess]:
        """The others and each slip."""
        before = sum(idea.extra + ANOTHER for idea in self.others.ideas)
        for one in self.every:
            yield Guess((*self.others.ideas, one.idea), one.score + before, one.place)


@dataclass(frozen=True)
class OfOneSize:
    """Sets of as many slips: the likeliest, fitted; and all, as weighed, the likeliest first.

    anew: each slip of the likeliest looked for anew, by its place there; none where it is one alone.
    """

    best: Hypothesis
    guesses: Sequence[Guess]
    anew: Mapping[int, Anew]


def explained(first: State, unit: LengthUnit) -> list[OfOneSize]:
    """No slips, and sets of one, two, three, until what is left raises no alarm or one more does not help."""
    none = fitted(first, (), first.solved.parameters)
    sizes = [OfOneSize(none, (), {})]
    likeliest, others = [none], list[Hypothesis]()
    for count in range(1, MOST + 1):
        larger = _larger(likeliest, unit)
        if count == 2:
            larger += [Guess(ideas, score + ANOTHER, place) for ideas, score, place in two_at_once(first, unit)]
        found = _of_one_size(first, larger, unit)
        if others and (found is None or found.best.after.alarm):
            found = _either(found, _of_one_size(first, _larger(others, unit), unit))
        if found is None or not _helps(sizes[-1].best, found.best):
            break
        sizes.append(found)
        if not found.best.after.alarm:
            break
        likeliest, others = _to_grow(first, found)
    return sizes


def _larger(sets: Sequence[Hypothesis], unit: LengthUnit) -> list[Guess]:
    """Sets and one slip more."""
    return [guess for one in sets for guess in Anew(one, weighed(one.after, unit)).guesses()]


def _of_one_size(first: State, guesses: Sequence[Guess], unit: LengthUnit) -> OfOneSize | None:
    """The likeliest of some guesses, looked for again; None where none can be fitted."""
    tried_out, every = fitted_as_whole(first, guesses)
    if not tried_out:
        return None
    found = OfOneSize(tried_out[0], every, {})
    return found if len(found.best.ideas) == 1 else _looked_for_again(first, found, unit)


def _either(one: OfOneSize | None, other: OfOneSize | None) -> OfOneSize | None:
    """The likelier of two, among the guesses of both."""
    if one is None or other is None:
        return one or other
    better = min(one, other, key=lambda each: each.best.score)
    return replace(better, guesses=different([*one.guesses, *other.guesses]))


def _looked_for_again(first: State, found: OfOneSize, unit: LengthUnit) -> OfOneSize:
    """Until none of the likeliest set's slips can be told better with the others put right."""
    best, seen = found.best, list(found.guesses)
    count = len(best.ideas)
    anew: dict[int, Anew] = {}
    looks = 0
    while len(anew) < count:
        at = next(at for at in range(count) if at not in anew)
        others = (*best.ideas[:at], *best.ideas[at + 1 :])
        without_it = fitted(first, others, best.after.solved.parameters)
        anew[at] = Anew(without_it, weighed(without_it.after, unit))
        tried_out, guesses = fitted_as_whole(first, list(anew[at].guesses()))
        seen += guesses
        looks += 1
        if tried_out and tried_out[0].score < best.score - _BETTER and looks <= _LOOKS * count:
            # What was found now stands last, and only it has been looked for beside these others.
            best, anew = tried_out[0], {count - 1: anew[at]}
    return OfOneSize(best, different(seen), anew)


def _helps(smaller: Hypothesis, larger: Hypothesis) -> bool:
    """Whether one slip more takes away more of chi-square than chance lets one reading add."""
    return smaller.after.chi_square - larger.after.chi_square > _CLEAR**2


def _to_grow(first: State, found: OfOneSize) -> tuple[list[Hypothesis], list[Hypothesis]]:
    """The likeliest of different readings, and the likeliest of each further kind of slip."""
    likeliest, others = [found.best], list[Hypothesis]()
    kinds = {found.best.ideas[-1].slip.cause}
    accused = {found.best.accused}
    for guess in found.guesses:
        kind = guess.ideas[-1].slip.cause
        if guess.accused in accused or (len(likeliest) == _GROW and kind in kinds):
            continue
        one = tried(first, guess)
        if np.isfinite(one.score):
            (likeliest if len(likeliest) < _GROW else others).append(one)
            kinds.add(kind)
            accused.add(guess.accused)
    return likeliest, others
