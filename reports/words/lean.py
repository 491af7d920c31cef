"""Springs, weights and lean in words: what a car lacks for them, what to know of them, and what they come to."""

from collections.abc import Sequence

import numpy as np

from kinematics.car.car import LEFT, RIGHT
from kinematics.car.lengths import LengthUnit
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.car.units import Units
from kinematics.loads.balanced_share import squash
from kinematics.loads.lean import degrees_per_g, in_g
from kinematics.loads.notes import Note, Noticed
from kinematics.loads.readiness import Lack, Need
from kinematics.loads.report import LeanSheet
from kinematics.loads.shelf import Ranking
from reports.words.numbers import in_both_units

NO_BALANCE = "no balance was found"
_TOGETHER = 0.003  # g; ends that give up this close do so together
_ENDS = ("front", "rear")


def why_no_balance(*turns: str) -> str:
    """Why a balance ends; turns: those of the body that are asked of it."""
    return f"what is left on the ground cannot hold the {' or the '.join(turns)}, or a linkage ends"


WHY_NO_BALANCE = why_no_balance("roll")


def told_of(lack: Lack) -> str:
    """What a car file has to tell; empty for what is wrong with what it tells."""
    return {
        Need.BOTH_AXLES: "both axles",
        Need.SPRINGS_AND_WEIGHTS: f"[{lack.axle}.spring] and [{lack.axle}.weights]",
        Need.WHEELBASE: "wheelbase in [body]",
        Need.CENTRE_OF_GRAVITY: "centre_of_gravity in [body]",
        Need.FRONT_BRAKES: "front_brakes in [body]",
        Need.FRONT_DRIVE: "front_drive in [body]",
    }.get(lack.need, "")


def lack_words(lacks: Sequence[Lack], what: str = "lean") -> str:
    """Why a car's lean, or what else its springs give, cannot be worked out."""
    not_told = [told_of(one) for one in lacks if told_of(one)]
    return f"{what} needs {', '.join(not_told)}" if not_told else "; ".join(unsound_words(one) for one in lacks)


def unsound_words(lack: Lack) -> str:
    """What is wrong with springs and bars that a car tells."""
    ends = "are its ends, and what carries them, right?"
    return {
        Need.SPRING_MOVED: f"{lack.axle}.spring hardly gets shorter as the wheel goes up; {ends}",
        Need.SPRING_SHORTER_IN_BUMP: f"{lack.axle}.spring gets longer in bump; {ends}",
        Need.SPRING_NOT_SOLID: (
            f"{lack.axle}.spring would be coil bound as the car stands; are its rate, block_length and free_length, "
            "and the weights on the scales, right?"
        ),
        Need.SPRINGS_MOVED_APART: f"{lack.axle}.spring hardly changes its length in roll; {ends}",
        Need.DROP_LINK_IN_REACH: f"{lack.axle}: the bar's drop link does not reach over the working travel",
        Need.ROLL_STIFFNESS: "springs and bars are too soft to hold the body up: it would fall over by itself",
        Need.BALANCE_UNDER_LOAD: (
            "no balance was found even at a twelfth of what is asked; are rates, weights and bump stops right? "
            "`cornersweep lean` shows the car at rest and in a corner"
        ),
    }[lack.need]


def note_words(note: Note, unit: LengthUnit) -> str:
    """Something noticed of springs, stops and tyres, in a sentence."""
    if note.noticed is Noticed.SCALES_AND_FILE_DIFFER:
        scales, file = (in_both_units(place, unit, sign=False) for place in note.amounts)
        return (
            f"the scales put the sprung centre of gravity {scales} behind the front wheel centres, the file {file}; "
            "lean goes by the scales"
        )
    text = _NOTICED[note.noticed]
    if note.amounts:
        text += f" from about {float(in_g(note.amounts[0])):.2f} g on"
    return f"{note.axle}: {text}"


_NOTICED = {
    Noticed.RIGID_TYRES: "no tyre rate is given, so its tyres count as rigid",
    Noticed.STOP_CARRIES_TOO_MUCH: "at rest the bump stop alone carries more than the scales show",
    Noticed.GIVES_WAY: "the wheel rate is below zero: the springs would not hold the car so; look at where they stand",
    Noticed.LOOSE_IN_DROOP: "a spring is loose at the droop end of the working travel",
    Noticed.COIL_BOUND: "a spring is coil bound at the bump end of the working travel",
    Noticed.STOP_TOUCHED: "a bump stop is touched inside the working travel",
    Noticed.LOOSE_IN_LEAN: "the inner spring is loose",
    Noticed.STOP_TOUCHED_IN_LEAN: "a bump stop is touched",
}


def lean_words(sheet: LeanSheet, units: Units) -> list[str]:
    """The lean in sentences: gradients, which end takes what, wheel lift, which end gives up first."""
    return [*_gradient(sheet), *_at_one_g(sheet, units), _lift(sheet), *_gives_up(sheet)]


def _gradient(sheet: LeanSheet) -> list[str]:
    textbook = degrees_per_g(sheet.textbook.gradient, GRAVITY)
    return [
        f"Roll gradient: {sheet.gradient:.2f} deg per g in balance, from rest; {textbook:.2f} by the textbook. They "
        "part where the unsprung masses' pull goes through the links and the tyres squash under all of the load moved.",
        f"Front share of the load moved: {100.0 * sheet.front_share:.1f} % in balance, from rest; "
        f"{100.0 * sheet.textbook.front_share:.1f} % by the textbook.",
    ]


def _at_one_g(sheet: LeanSheet, units: Units) -> list[str]:
    found, unit = sheet.balance, units.length
    state = int(abs(in_g(found.acceleration) - 1.0).argmin())
    if not found.solved[state]:
        return []
    rise = [f"{name} {unit.from_mm(float(found.heave[i, state])):+z.1f} {unit.symbol}" for i, name in enumerate(_ENDS)]
    roll = np.degrees(found.roll[state])
    load = found.load[..., state] - found.load[..., 0]
    over_hubs = [
        f"{roll - np.degrees(float(squash(setup, load[i, RIGHT] - load[i, LEFT]))):.2f} deg at the {_ENDS[i]}"
        for i, setup in enumerate(sheet.car.axles)
    ]
    return [
        f"At 1 g the body rolls {roll:.2f} deg over the ground, tyres included, and rises at the "
        f"{', at the '.join(rise)}. Over the hubs, which is what roll means in sweeps and limits, it rolls "
        f"{' and '.join(over_hubs)}.",
    ]


def _lift(sheet: LeanSheet) -> str:
    lift, found = sheet.lift, sheet.balance
    if lift is not None:
        at = float(in_g(lift.acceleration))
        return f"The {lift.axle} {lift.side} wheel leaves the ground at about {at:.2f} g (left-hand corner)."
    last = float(in_g(found.acceleration[found.solved][-1]))
    beyond = "" if found.solved.all() else f"; beyond it {NO_BALANCE}"
    return f"No wheel leaves the ground up to {last:.2f} g{beyond}."


def _gives_up(sheet: LeanSheet) -> list[str]:
    limit = sheet.grip.limit
    ends = [f"{name} at {float(in_g(at)):.2f} g" for name, at in zip(_ENDS, limit, strict=True) if at == at]
    if len(ends) == 2 and abs(float(in_g(limit[0] - limit[1]))) < _TOGETHER:
        return [f"With the simple tyre both ends give up together ({', '.join(ends)})."]
    if not ends:
        return []
    return [
        f"With the simple tyre the {_ENDS[sheet.grip.first]} gives up first ({', '.join(ends)}). Compare cars by this, "
        "not with a clock: it is no prediction of a lap time."
    ]


def shelf_words(ranking: Ranking, shown: int, *, in_file: bool) -> str:
    """How many combinations of a shelf hold what is wanted, and where those beyond the first `shown` are."""
    holding, others = int((ranking.outside[1:] <= 0.0).sum()), len(ranking.names) - 1
    text = f"{holding} of {others} other combinations hold what is wanted"
    if others > shown:
        text += f"; {others - shown} more are {'in the file' if in_file else 'not shown: name a file for all of them'}"
    return f"{text}. Heights: change at rest, up positive."
