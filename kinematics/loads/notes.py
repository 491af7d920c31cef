"""What the owner should know of his springs, stops and tyres before he trusts what they come to."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from kinematics.car.limits import WorkingRange
from kinematics.loads.axle_sheet import AxleSheet
from kinematics.loads.equilibrium import Balance
from kinematics.loads.whole_car import WholeCar

_GRAVITY_TO = 40.0  # mm between the scales' and the file's centre of gravity


class Noticed(Enum):
    """What is noticed of a car on its springs."""

    RIGID_TYRES = "no tyre rate is given"
    SCALES_AND_FILE_DIFFER = "the scales and the file put the centre of gravity apart"
    STOP_CARRIES_TOO_MUCH = "a bump stop alone carries more than the scales show"
    GIVES_WAY = "a wheel moves up under less load: the springs do not hold the car at that height"
    LOOSE_IN_DROOP = "a spring is loose within the working travel"
    COIL_BOUND = "a spring is coil bound within the working travel"
    STOP_TOUCHED = "a bump stop is touched within the working travel"
    LOOSE_IN_LEAN = "the inner spring gets loose"
    STOP_TOUCHED_IN_LEAN = "a bump stop gets touched"


@dataclass(frozen=True)
class Note:
    """Something noticed. axle: on which; empty for the whole car.

    amounts: the centre of gravity behind the front wheel centres by the scales and by the file [mm]; in lean the
    acceleration from which on it is so [m/s^2]; none for others.
    """

    noticed: Noticed
    axle: str = ""
    amounts: tuple[float, ...] = ()


def notes_at_rest(whole: WholeCar, sheets: Sequence[AxleSheet], working: WorkingRange) -> list[Note]:
    """Springs that give way, are loose or coil bound, stops touched, within the working travel; tyres and scales."""
    rigid = [setup.axle.name for setup in whole.axles if setup.loads.tyre_rate is None]
    notes = [Note(Noticed.RIGID_TYRES, name) for name in rigid]
    by_scales, by_file = whole.wheelbase * whole.rear_share, whole.front.axle.body.behind_front
    if by_file is not None and abs(by_scales - by_file) > _GRAVITY_TO:
        notes.append(Note(Noticed.SCALES_AND_FILE_DIFFER, amounts=(by_scales, by_file)))
    return notes + [note for sheet in sheets for note in _of_axle(sheet, working)]


def _of_axle(sheet: AxleSheet, working: WorkingRange) -> list[Note]:
    setup = sheet.setup
    ends = np.array([working.travel_low, working.travel_high])
    forces = setup.forces(setup.moving.at(np.ones((2, 1)) * ends))
    noticed = {
        Noticed.STOP_CARRIES_TOO_MUCH: (setup.preload < 0.0).any(),
        Noticed.GIVES_WAY: sheet.ride.wheel_rate < 0.0,
        Noticed.LOOSE_IN_DROOP: (forces.spring[:, 0] <= 0.0).any(),
        Noticed.COIL_BOUND: (forces.solid[:, 1] > 0.0).any(),
        Noticed.STOP_TOUCHED: (forces.stop[:, 1] > 0.0).any(),
    }
    return [Note(what, setup.axle.name) for what, there in noticed.items() if there]


def notes_in_lean(found: Balance) -> list[Note]:
    """From which acceleration on springs are loose or stops touched, axle by axle."""
    notes = []
    for axle, name in enumerate(("front", "rear")):
        for flags, what in (
            (found.loose[axle], Noticed.LOOSE_IN_LEAN),
            (found.stop_force[axle] > 0.0, Noticed.STOP_TOUCHED_IN_LEAN),
        ):
            states = np.flatnonzero(flags.any(axis=0) & found.solved)
            if states.size and states[0] > 0:
                notes.append(Note(what, name, (float(found.acceleration[states[0]]),)))
    return notes
