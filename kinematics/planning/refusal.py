"""Why a plan cannot be built or used, as a record."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from kinematics.loads.readiness import Lack


class Cause(Enum):
    """What is in a plan's way. Beside each: what a refusal's `names` and `amount` are."""

    DO_NOT_FIT = "the parts do not fit together"  # joints that lock; part of the changes that is possible
    NOT_ALIGNED = "toe and camber cannot be set back"
    TOE_BEYOND_ADJUSTER = "toe needs more than its adjuster has"  # the adjuster; its change [mm]
    CAMBER_BEYOND_ADJUSTER = "camber needs more than its adjuster has"  # the adjuster; its change [mm, bolts: rad]
    NO_CAMBER_ADJUSTER = "camber is asked for, but nothing sets it"
    UNDER_GROUND = "a point would lie under the ground"  # its key; how deep [mm]
    TRAVEL_GONE = "too little travel is left"  # "bump" or "droop"; travel left to that stop [mm]
    TRAVEL_ENDS = "something else ends the travel first"  # `EndKind` in words, "bump" or "droop", a joint; travel [mm]
    JOINT_TURNS_TOO_FAR = "a joint turns too far"  # its key; angle from where it was measured [rad]
    SPRING_SOLID = "a spring is coil bound within the working travel"  # its length at the bump end [mm]
    SPRING_LOOSE = "a spring is loose within the working travel"  # the travel from which on it is [mm]
    CARRIED_BY_STOP = "the car rests on a bump stop"  # its force [N]
    HEIGHT_AND_SPRINGS = "ride height and springs are both given"
    LOADS_NOT_READY = "springs and weights cannot be reckoned with"
    NO_BALANCE = "the springs hold the car up nowhere"


@dataclass(frozen=True)
class Refusal:
    """One reason why a plan cannot be built or used.

    axle: empty for the whole car; side: "left" or "right", empty where it is not about one side. names, amount: see
    `Cause`. allowed: what the amount must lie within. wanted: toe or camber asked for [rad]; reach: from where to where
    its adjuster gets it [rad], fewer than two where it is not known at an end. lacks: of the car's loads.
    """

    cause: Cause
    axle: str = ""
    side: str = ""
    names: tuple[str, ...] = ()
    amount: float = 0.0
    allowed: tuple[float, float] = (0.0, 0.0)
    wanted: float = 0.0
    reach: tuple[float, ...] = ()
    lacks: tuple[Lack, ...] = ()


def each_once(refusals: Iterable[Refusal]) -> tuple[Refusal, ...]:
    """Refusals in order, of those with one cause and place the first."""
    found: dict[tuple[Cause, str, str, tuple[str, ...]], Refusal] = {}
    for one in refusals:
        found.setdefault((one.cause, one.axle, one.side, one.names), one)
    return tuple(found.values())
