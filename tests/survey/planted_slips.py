"""Slips of every kind, planted in a survey by chance, and how well the other readings would show them.

What others check, formula (W. Baarda, 1968, from memory): a slip of b (rows, each over its doubt) adds b' Q b to
chi-square, Q being what of each error shows in each residual. Of that, a reading i that is right could explain
(Q b)_i^2 / Q_ii: the rest tells the two apart (after W. Foerstner, "Reliability and discernability of extended
Gauss-Markov models", 1983, from memory).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations

import numpy as np

from kinematics.survey.explanations import Cause
from kinematics.survey.fit import fit
from kinematics.survey.readings import Reading, ReadingKind, Survey, rows
from solvers.vectors import Array

Planted = Mapping[int, Reading]
SHOWN, TOLD_APART = 6.0**2, 20.0  # of chi-square


@dataclass(frozen=True)
class Ground:
    """The exact survey of a car, and the same as read."""

    exact: Survey
    read: Survey

    @cached_property
    def spared(self) -> Array:
        """Q (m, m)."""
        slopes = fit(self.exact).solved.weighted_jacobian
        return np.asarray(np.eye(len(slopes)) - slopes @ np.linalg.pinv(slopes))

    @cached_property
    def at(self) -> Array:
        """The true parameters (n,)."""
        return fit(self.exact).solved.parameters

    def clear(self, planted: Planted) -> bool:
        """Whether the other readings show a slip, and no single other reading explains it nearly as well."""
        error = np.zeros(len(self.spared))
        for of, new in planted.items():
            if new.of == self.read.readings[of].of:
                off = _value(new) - _value(self.read.readings[of])
            else:
                renamed = rows(replace(self.exact, readings=(new,)))
                off = _value(self.exact.readings[of]) - float(renamed.predicted(self.at)[0])
            error[of] = off / new.doubt
        shown = self.spared @ error
        own = np.diag(self.spared)
        others = [row for row in np.flatnonzero(own > 1e-6) if row not in planted]
        all_of_it = float(error @ shown)
        return all_of_it > SHOWN and all_of_it - max(shown[others] ** 2 / own[others]) > TOLD_APART


def _value(reading: Reading) -> float:
    assert reading.reads is not None
    return reading.reads


def put(survey: Survey, planted: Planted) -> Survey:
    """The survey with readings replaced."""
    return replace(survey, readings=tuple(planted.get(at, one) for at, one in enumerate(survey.readings)))


def off(survey: Survey, at: int, change: Callable[[float], float]) -> Planted:
    """One reading that reads something else."""
    one = survey.readings[at]
    return {at: replace(one, reads=change(_value(one)))}


def planted(cause: Cause, ground: Ground, rng: np.random.Generator) -> Planted:
    """A slip of a kind that the other readings show clearly."""
    for _ in range(500):
        slip = _PLANS[cause](ground, rng)
        if slip and ground.clear(slip):
            return slip
    raise AssertionError(f"no clear slip: {cause}")


def _any(ground: Ground, rng: np.random.Generator, *kinds: ReadingKind) -> int:
    return int(rng.choice([at for at, one in enumerate(ground.read.readings) if one.kind in kinds]))


_LENGTHS: tuple[ReadingKind, ...] = ("up", "out", "ahead", "tape", "track")


def _misread(ground: Ground, rng: np.random.Generator) -> Planted:
    step = float(rng.choice([10.0, 20.0, 50.0, 100.0]) * rng.choice([-1.0, 1.0]))
    return off(ground.read, _any(ground, rng, *_LENGTHS), lambda value: value + step)


def _wrong_sign(ground: Ground, rng: np.random.Generator) -> Planted:
    return off(ground.read, _any(ground, rng, "ahead", "angle"), lambda value: -value)


def _digits(ground: Ground, rng: np.random.Generator) -> Planted:
    at = _any(ground, rng, *_LENGTHS)
    value = _value(ground.read.readings[at])
    digits = list(str(round(abs(value))))
    if len(digits) < 2:
        return {}
    first = int(rng.integers(len(digits) - 1))
    digits[first], digits[first + 1] = digits[first + 1], digits[first]
    return off(ground.read, at, lambda value: float(np.sign(value) * int("".join(digits))))


def _inches(ground: Ground, rng: np.random.Generator) -> Planted:
    return off(ground.read, _any(ground, rng, *_LENGTHS), lambda value: value / 25.4)


def _swapped(ground: Ground, rng: np.random.Generator) -> Planted:
    one = _any(ground, rng, *_LENGTHS)
    other = _any(ground, rng, ground.read.readings[one].kind)
    first, second = (ground.read.readings[at] for at in (one, other))
    if abs(_value(first) - _value(second)) < 8.0 * first.doubt:
        return {}
    return {one: replace(first, reads=second.reads), other: replace(second, reads=first.reads)}


def _other_point(ground: Ground, rng: np.random.Generator) -> Planted:
    at = _any(ground, rng, "up", "out", "ahead", "tape")
    reading, survey = ground.read.readings[at], ground.read
    end = int(rng.integers(len(reading.of)))
    side = reading.of[end].rpartition(" ")[0]
    taken = f"{side} {rng.choice(list(survey.axle.points))}".strip()
    names = tuple(taken if place == end else name for place, name in enumerate(reading.of))
    if taken == reading.of[end] or len({name.rpartition(" ")[2] for name in names}) < len(names):
        return {}
    shown = float(rows(replace(survey, readings=(replace(reading, of=names),))).predicted(ground.at)[0])
    return {at: replace(reading, reads=round(shown + reading.doubt * rng.normal()))}


def _other_hole(ground: Ground, rng: np.random.Generator) -> Planted:
    point = str(rng.choice([key for key in ground.read.axle.points if key != "wheel_centre"]))
    away = dict(zip(("up", "out", "ahead"), rng.uniform(15.0, 40.0, 3) * rng.choice([-1.0, 1.0], 3), strict=True))
    return {
        at: replace(one, reads=_value(one) + float(round(away[one.kind])))
        for at, one in enumerate(ground.read.readings)
        if one.of == (point,) and one.kind in away
    }


def exchanged(survey: Survey, pair: tuple[str, str], kinds: tuple[ReadingKind, ...]) -> Planted:
    """Two points taken for each other in all readings of some kinds: what was read is then called by the wrong name."""
    names = dict([pair, pair[::-1]])
    names |= {f"{side} {one}": f"{side} {other}" for side in ("left", "right") for one, other in names.items()}
    renamed = {
        at: replace(one, of=tuple(names.get(name, name) for name in one.of))
        for at, one in enumerate(survey.readings)
        if one.kind in kinds
    }
    return {
        at: one
        for at, one in renamed.items()
        if (set(one.of) if one.kind == "tape" else one.of)
        != (set(survey.readings[at].of) if one.kind == "tape" else survey.readings[at].of)
    }


def _exchanged(ground: Ground, rng: np.random.Generator) -> Planted:
    pairs = list(combinations(ground.read.axle.points, 2))
    kinds: tuple[tuple[ReadingKind, ...], ...] = (("tape",), ("ahead", "out"))
    slip = exchanged(ground.read, pairs[rng.integers(len(pairs))], kinds[rng.integers(2)])
    return slip if len(slip) >= 3 and all(_changes(ground.read, new) for new in slip.values()) else {}


def _changes(survey: Survey, new: Reading) -> bool:
    """Whether a reading that is renamed differs clearly from the one of that name, if there is one."""
    same = [one for one in survey.readings if one.kind == new.kind and set(one.of) == set(new.of)]
    return all(abs(_value(one) - _value(new)) > 5.0 * new.doubt for one in same)


_PLANS: Mapping[Cause, Callable[[Ground, np.random.Generator], Planted]] = {
    Cause.MISREAD: _misread,
    Cause.WRONG_SIGN: _wrong_sign,
    Cause.DIGITS: _digits,
    Cause.OTHER_UNIT: _inches,
    Cause.SWAPPED: _swapped,
    Cause.OTHER_POINT: _other_point,
    Cause.OTHER_HOLE: _other_hole,
    Cause.EXCHANGED: _exchanged,
}
CAUSES = tuple(_PLANS)
