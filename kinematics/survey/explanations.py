"""What may have gone wrong with readings that do not fit."""

from dataclasses import dataclass
from enum import Enum

from kinematics.survey.readings import ReadingKind

SURE = 0.99  # chance from which readings are said to be wrong; below, they may be


class Cause(Enum):
    """What may have happened when a survey was read and written down."""

    MISREAD = "misread"  # by a step of the instrument: a digit, tens, a whole inch
    DIGITS = "digits"  # two neighbouring ones exchanged
    OTHER_UNIT = "other unit"  # inches for mm, or mm for inches
    HALF_OR_DOUBLE = "half or double"  # to the middle of the car for across it, or the other way round
    WRONG_SIGN = "wrong sign"
    SWAPPED = "swapped"  # two values, each written in the other's line
    OTHER_POINT = "other point"  # taken at another than the one named
    OTHER_HOLE = "other hole"  # all that was read of a point by rule is of another place near it
    EXCHANGED = "exchanged"  # two points, in all readings of some kinds
    UNKNOWN = "unknown"  # off, and nothing here explains by how much
    SCATTER = "scatter"  # all readings, farther than their doubts say


@dataclass(frozen=True)
class Slip:
    """Something that may have gone wrong, and with which readings.

    of: indices of readings in the survey; none for SCATTER. off: what was read less what is true [mm, rad] of a MISREAD
    or UNKNOWN reading or one of WRONG_SIGN or DIGITS. factor: how many times larger what is true is (OTHER_UNIT,
    HALF_OR_DOUBLE), or how many times their doubts the readings scatter (SCATTER). points: the one named and the one
    taken (OTHER_POINT), the one that was taken for another hole (OTHER_HOLE), or the two EXCHANGED in all readings of
    `kinds`.
    """

    cause: Cause
    of: tuple[int, ...] = ()
    off: float = 0.0
    factor: float = 1.0
    points: tuple[str, ...] = ()
    kinds: tuple[ReadingKind, ...] = ()


@dataclass(frozen=True)
class SuspectReading:
    """A scalar reading that an explanation speaks of [mm, rad].

    of: index of its reading in the survey. read: what was read, others: what the other readings make of it, known_to:
    one standard deviation of that; would_read: what it would read if measured again. number: on the measuring sheet,
    None where that does not ask for it. written: as it was written down, "" where that is not known.
    """

    name: str
    of: int
    read: float
    others: float
    known_to: float
    would_read: float
    is_angle: bool
    number: int | None = None
    written: str = ""


@dataclass(frozen=True)
class Explanation:
    """A slip that would explain what does not fit, the readings it speaks of, and its chance among all slips tried.

    chance_of_any: that these readings are wrong in whichever way.
    """

    slip: Slip
    readings: tuple[SuspectReading, ...]
    chance: float
    chance_of_any: float


@dataclass(frozen=True)
class Decides:
    """A reading that, taken again, tells the first explanation from one of other readings.

    first, other: what it would then show [mm, rad] if the one is true, and if the other is. number, written: as of a
    SuspectReading.
    """

    name: str
    first: float
    other: float
    is_angle: bool
    number: int | None = None
    written: str = ""


@dataclass(frozen=True)
class Culprit:
    """What does not fit, and its explanations, the most likely first.

    chi_square, chi_square_after: of the survey before and after the first is put right. chance: that the readings of
    the first explanation are wrong, in whichever way. decides: where those of another may be. If no single reading
    stands out (cause SCATTER), nothing is put right, and there is no reading.
    """

    explanations: tuple[Explanation, ...]
    chi_square: float
    chi_square_after: float
    chance: float
    decides: Decides | None = None

    @property
    def sure(self) -> bool:
        """Whether nothing else explains the survey nearly as well."""
        return self.chance >= SURE

    @property
    def readings(self) -> tuple[int, ...]:
        """Indices of all the survey's readings that explanations speak of, the most likely first."""
        return tuple(dict.fromkeys(index for one in self.explanations for index in one.slip.of))
