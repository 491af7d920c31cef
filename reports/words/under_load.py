"""A car under load in words: what a manoeuvre is called, what comes first on the way, and where balance ends."""

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.loads.under_load import Event, FirstTime, Manoeuvre, UnderLoad
from kinematics.numbers.quantity import Dimension
from reports.words.lean import NO_BALANCE, why_no_balance
from reports.words.numbers import told

_ENDS = ("front", "rear")
HOW_UNDER_LOAD = (
    "Under load: steady accelerations on level ground, the corner a left-hand one. Braking and driving act alike on "
    "both wheels of an axle, in the parts that front_brakes and front_drive in [body] say. The links' share counts "
    "the whole car's mass and height. Camber, toe and roll are to the ground; the tyres' squash is in them."
)


def manoeuvre_words(one: Manoeuvre) -> str:
    """What a manoeuvre is called."""
    ahead = f"{'braking' if one.forward < 0.0 else 'driving'} {abs(one.forward):g} g" if one.forward else ""
    corner = f"cornering {abs(one.lateral):g} g" if one.lateral else ""
    return ", ".join(filter(None, (corner, ahead)))


def under_load_title(found: UnderLoad, unit: LengthUnit) -> str:
    """Which wheel carries most, and which least then."""
    loads = np.stack([found.shaped(found.found.load)[..., i, last] for i, last in enumerate(found.last)], axis=-1)
    heaviest, row = divmod(int(np.argmax(loads)), loads.shape[-1])
    lightest = int(np.argmin(loads[..., row]))
    ends = [f"{axle} {side}" for axle in _ENDS for side in SIDE_NAMES]
    carried = told(float(loads.reshape(4, -1)[heaviest, row]), Dimension.FORCE, unit, sign=False)
    light = float(loads.reshape(4, -1)[lightest, row])
    least = f"carries {told(light, Dimension.FORCE, unit, sign=False)}" if light > 0.0 else "is off the ground"
    name = manoeuvre_words(found.manoeuvres[row])
    return (
        f"{name[0].upper()}{name[1:]}: the {ends[heaviest]} wheel carries {carried}, the {ends[lightest]} one {least}"
    )


def under_load_words(found: UnderLoad) -> list[str]:
    """What happens in each manoeuvre on the way to what was asked, and where no balance was found any more."""
    return [text for i in range(len(found.manoeuvres)) for text in _of_one(found, i)]


def _of_one(found: UnderLoad, index: int) -> list[str]:
    asked, name = found.manoeuvres[index], manoeuvre_words(found.manoeuvres[index])
    told = [
        f"{name}: {_event_words(first)} from {g_words(asked, first.part)} on." for first in found.first_times(index)
    ]
    if not found.solved[index, -1]:
        last = float(found.parts[found.last[index]])
        told.append(
            f"{name}: beyond {g_words(asked, last)} {NO_BALANCE}: {_why_none(asked)}. The table has what holds there."
        )
    return told


def _why_none(asked: Manoeuvre) -> str:
    pitch = "pitch in braking" if asked.forward < 0.0 else "pitch in driving"
    return why_no_balance(*(["roll"] if asked.lateral else []), *([pitch] if asked.forward else []))


def _event_words(first: FirstTime) -> str:
    corner = f"{first.axle} {first.side}"
    return {
        Event.LIFTS: f"the {corner} wheel is off the ground",
        Event.ON_STOP: f"the {corner} bump stop carries load",
        Event.LOOSE: f"the {corner} spring is loose",
    }[first.event]


def g_words(asked: Manoeuvre, part: float) -> str:
    """The accelerations at a part of a manoeuvre."""
    ahead = "braking" if asked.forward < 0.0 else "driving"
    told = {"cornering": asked.lateral, ahead: asked.forward}
    return " and ".join(f"{abs(one) * part:.2f} g {what}" for what, one in told.items() if one)


def row_notes(found: UnderLoad) -> list[str]:
    """A note for each row of the table in a file."""
    lifted = found.shaped(found.found.lifted)
    wheels = {f"{axle} {side}": (i, k) for i, axle in enumerate(_ENDS) for k, side in enumerate(SIDE_NAMES)}
    notes = []
    for state in np.ndindex(*found.solved.shape):
        off = [name for name, wheel in wheels.items() if lifted[wheel][state]]
        text = f"off the ground: {', '.join(off)}" if off else ""
        notes.append(text if found.solved[state] else f"{NO_BALANCE} here: {_why_none(found.manoeuvres[state[0]])}")
    return notes
