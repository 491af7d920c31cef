"""Why an axle cannot stand somewhere, or a number does not exist there: a record, in words only where it is printed."""

from dataclasses import dataclass
from enum import Enum


class Gap(Enum):
    """What is the matter; the value names it in tables."""

    LOCKED = "linkage locked"
    FOLLOWED_NO_FARTHER = "linkage followed no farther"
    ROUND_A_CORNER = "not reachable straight"
    TWO_ASSEMBLIES = "reachable in two assemblies"
    CONTACT_REACHES_NO_FURTHER = "contact point reaches no further"
    REACHES_NO_FURTHER_AT_THIS_RACK = "linkage reaches no further at this rack travel"
    OVER_CENTRE = "steering over centre"
    ROLL_CENTRE_AT_INFINITY = "roll centre at infinity"
    ONE_LEVEL_LINE = "contact lines are one level line"
    NOT_FINITE = "number not finite"
    STRAIGHT_AHEAD = "wheels straight ahead"
    NOT_REACHED = "not reached"  # by one of many cars, of which nothing more is told

    @property
    def unreached(self) -> bool:
        """Whether the axle cannot stand there at all; otherwise it can, but a number does not exist."""
        return self not in _OF_A_NUMBER


_OF_A_NUMBER = {Gap.ROLL_CENTRE_AT_INFINITY, Gap.ONE_LEVEL_LINE, Gap.NOT_FINITE, Gap.STRAIGHT_AHEAD}


@dataclass(frozen=True)
class Reason:
    """A gap and what is known of it.

    side: "left", "right", or "" for the whole axle. low: whether in droop, where that matters. travel: where the
    linkage stopped, of that wheel or of left and right [mm]; rack: rack travel at which it did [mm]. joints: those
    that hold it, the tightest first. number: key of the number that does not exist.
    """

    gap: Gap
    axle: str
    side: str = ""
    low: bool | None = None
    travel: tuple[float, ...] = ()
    rack: float | None = None
    joints: tuple[str, ...] = ()
    number: str = ""


class UnreachedError(ValueError):
    """An axle was asked to stand where it cannot; `reason` says why."""

    def __init__(self, reason: Reason) -> None:
        where = " ".join(part for part in (reason.axle, reason.side) if part)
        super().__init__(f"{where}: {reason.gap.value}")
        self.reason = reason
