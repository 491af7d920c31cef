"""What may have gone wrong with readings that do not fit, in words."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.car.lengths import LengthUnit

Cause = Literal["misread", "unit", "sign", "swapped", "other point", "exchanged", "unknown", "scatter"]


@dataclass(frozen=True)
class Shown:
    """A scalar reading that an explanation speaks of [mm, rad].

    of: index of its reading in the survey. read: what was read, others: what the other readings make of it, known_to:
    one standard deviation of that; would_read: what it would read if measured again.
    """

    name: str
    of: int
    read: float
    others: float
    known_to: float
    would_read: float
    is_angle: bool


@dataclass(frozen=True)
class Explanation:
    """One thing that may have gone wrong.

    shown: the readings that it speaks of. off: how far the reading is off if misread, of unknown cause or of wrong
    sign [mm, rad]; by which factor what is true is larger, if the unit is wrong. instead: names of the point that was
    taken, or of the points exchanged and the kinds of reading.
    """

    cause: Cause
    shown: tuple[Shown, ...]
    off: float = 0.0
    instead: tuple[str, ...] = ()

    def sentence(self, unit: LengthUnit) -> str:
        """In words, in a unit of length and degrees."""
        read = " and ".join(
            f"{one.name} was read as {_said(one.read, unit, one)}, which the others make "
            f"{_said(one.others, unit, one)} (known to {_said(one.known_to, unit, one)})"
            for one in self.shown[:2]
        )
        again = " and ".join(
            f"{one.name} {'again' if index == 0 else ''}".strip() for index, one in enumerate(self.shown[:2])
        )
        then = " and ".join(_said(one.would_read, unit, one) for one in self.shown[:2])
        return f"{read}: {self._likely(unit)}; measure {again}: it would then read about {then}"

    def _likely(self, unit: LengthUnit) -> str:
        first = self.shown[0]
        match self.cause:
            case "misread":
                return f"misread by {_said(abs(self.off), unit, first)}"
            case "unit" if (self.off > 1.0) == (unit.symbol == "mm"):
                words = ("inches", "mm") if unit.symbol == "mm" else ("mm", "inches")
                return f"written in {words[0]}, where the file counts in {words[1]}"
            case "unit":
                return "changed from inches to mm, or back, once too often"
            case "sign":
                return "its sign is wrong"
            case "swapped":
                return "each written in the other's line"
            case "other point":
                return f"taken at {self.instead[1]}, not at {self.instead[0]}"
            case "exchanged":
                one, other, *kinds = self.instead
                return f"{one} and {other} exchanged in all readings of {' and '.join(kinds)}"
        return f"off by about {_said(abs(self.off), unit, first)}, cause unknown"


@dataclass(frozen=True)
class Culprit:
    """One blunder: its explanations, the most likely first, and chi-square before and after the first is put right.

    If no single reading stands out (cause "scatter"), nothing is shown, and `off` says how many times their doubts the
    readings scatter.
    """

    explanations: tuple[Explanation, ...]
    chi_square: float
    chi_square_after: float

    @property
    def readings(self) -> tuple[int, ...]:
        """Indices of all the survey's readings that explanations speak of, the most likely first."""
        return tuple(dict.fromkeys(one.of for told in self.explanations for one in told.shown))

    def sentence(self, unit: LengthUnit) -> str:
        """In words: every explanation that fits about equally well."""
        first = self.explanations[0]
        if first.cause == "scatter":
            return (
                f"the readings scatter {first.off:.1f} times as far as their doubts say, and no single one stands out: "
                "were they really read so closely? State larger doubts (known_to), or measure again"
            )
        told = [one.sentence(unit) for one in self.explanations]
        return told[0] if len(told) == 1 else f"either {'; or '.join(told)}"


def _said(value: float, unit: LengthUnit, shown: Shown) -> str:
    if shown.is_angle:
        return f"{round(float(np.degrees(value)), 1) + 0.0:.1f} deg"
    decimals = 1 if unit.symbol == "mm" else 2
    return f"{round(unit.from_mm(value), decimals) + 0.0:.{decimals}f} {unit.symbol}"
