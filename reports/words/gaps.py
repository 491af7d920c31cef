"""Why something is missing in a sweep, in words: for the note of a table's row, a figure's foot, the terminal."""

from collections.abc import Callable, Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from kinematics.motion.reasons import Gap, Reason
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.body import Sweep
from kinematics.sweeps.run_off import run_off_before
from reports.words.numbers import in_both_units
from solvers.vectors import Flags

RUNS_OFF = "to infinity and back between the state before and this one"
NO_NUMBER_OR_DOUBT = "a number here, or its doubt, is infinite or does not exist"


def gap_words(reason: Reason) -> str:
    """One reason, without a full stop; lengths in mm and inches."""
    return _TOLD[reason.gap](reason)


def told_once(reasons: Iterable[Reason]) -> list[str]:
    """Reasons in words, those that read alike once."""
    return list(dict.fromkeys(map(gap_words, reasons)))


def run_off_notes(sweep: Sweep) -> NDArray[np.object_]:
    """What runs to infinity on the way to each state of a sweep, "" where nothing does."""
    return noted({_named(*one): before for one, before in run_off_before(sweep).items()}, sweep.shape)


def noted(before: Mapping[str, Flags], shape: tuple[int, ...]) -> NDArray[np.object_]:
    """A note for each state of a shape: which numbers, by name, run to infinity on the way to it."""
    notes = np.full(shape, "", dtype=object)
    for state in np.argwhere(np.any(list(before.values()), axis=0)) if before else ():
        names = [name for name, flags in before.items() if flags[tuple(state)]]
        notes[tuple(state)] = f"{RUNS_OFF}: {', '.join(names)}"
    return notes


def _named(key: str, side: str) -> str:
    return f"{side} {QUANTITIES[key].title}".lstrip()


def _locked(reason: Reason) -> str:
    return f"{_linkage(reason)} locks {_way(reason)}at {_place(reason)}{_held(reason)}"


def _followed(reason: Reason) -> str:
    return f"{_linkage(reason)} was followed {_way(reason)}no farther than {_place(reason)}"


def _contact(reason: Reason) -> str:
    return f"the {reason.axle} {reason.side} contact point reaches no further although the linkage still moves"


def _at_this_rack(reason: Reason) -> str:
    return f"at this rack travel {_linkage(reason)} reaches no further"


def _over_centre(reason: Reason) -> str:
    rack = "" if reason.rack is None else f" at {in_both_units(reason.rack)} of rack travel"
    return f"the {reason.axle} {reason.side} steering goes over centre{rack}{_held(reason)}"


def _not_finite(reason: Reason) -> str:
    return f"no finite {QUANTITIES[reason.number].title} here"


_TOLD: dict[Gap, Callable[[Reason], str]] = {
    Gap.LOCKED: _locked,
    Gap.FOLLOWED_NO_FARTHER: _followed,
    Gap.ROUND_A_CORNER: lambda reason: (
        f"the {reason.axle} axle reaches this only round a corner: it is not reachable straight from the measured "
        "position, where the linkage would lock on the way"
    ),
    Gap.TWO_ASSEMBLIES: lambda reason: (
        f"the {reason.axle} axle reaches this in more than one assembly: two ways from the measured position lead to "
        "two, and which one it would be is not known"
    ),
    Gap.CONTACT_REACHES_NO_FURTHER: _contact,
    Gap.REACHES_NO_FURTHER_AT_THIS_RACK: _at_this_rack,
    Gap.OVER_CENTRE: _over_centre,
    Gap.ROLL_CENTRE_AT_INFINITY: lambda _: "contact lines are parallel: the roll centre is at infinity",
    Gap.ONE_LEVEL_LINE: lambda _: (
        "both contact lines are one level line: the roll centre has a height, but no place across the car"
    ),
    Gap.NOT_FINITE: _not_finite,
    Gap.STRAIGHT_AHEAD: lambda _: "wheels straight ahead: no turn, so no Ackermann share and no turn radius",
    Gap.NOT_REACHED: lambda reason: f"{_linkage(reason)} does not reach this",
}


def _linkage(reason: Reason) -> str:
    return f"the {reason.axle} {reason.side} linkage" if reason.side else f"the {reason.axle} axle's linkage"


def _way(reason: Reason) -> str:
    """Of a whole axle, whose wheels may stand either side of ride height, which end of the travel it is."""
    return "" if reason.side else f"in {'droop' if reason.low else 'bump'} "


def _place(reason: Reason) -> str:
    if len(reason.travel) == 1:
        return f"{in_both_units(reason.travel[0])} of travel"
    left, right = reason.travel
    return f"{in_both_units(left)} of travel on the left and {in_both_units(right)} on the right"


def _held(reason: Reason) -> str:
    return f" ({', '.join(reason.joints)})" if reason.joints else ""
