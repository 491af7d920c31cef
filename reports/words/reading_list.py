"""The list of what to read, in words: headings, what and where, and the instruments."""

from kinematics.survey.reading_list import SuggestedReading
from kinematics.survey.reading_tasks import Instrument, Step, Task

_STEPS = {
    Step.SET_UP: "Before anything is measured",
    Step.WHEELS: "Wheels",
    Step.CENTRES: "Wheel centres and track",
    Step.RIGHT_TOO: "The same on the right, as a check",
    Step.LENGTHS: "Lengths, as a check",
    Step.ACROSS: "Across the car, as a check",
    Step.ANGLES: "Angles, as a check",
}
_INSTRUMENTS = {
    Instrument.TAPE: "tape",
    Instrument.RULE: "rule",
    Instrument.PLUMB_BOB: "plumb bob",
    Instrument.DIGITAL_LEVEL: "digital level",
    Instrument.WATER_LEVEL: "water level",
    Instrument.STRING: "string",
    Instrument.GAUGE: "gauge",
    Instrument.SCALES: "scales",
}
# Where what is to be read is the same for all points and parts.
_WHERE = {
    Task.LEVEL_GROUND: (
        "highest less lowest of the four places where tyres stand, after shimming: water level, or a straight bar "
        "with a level on it"
    ),
    Task.TYRE_PRESSURES: "front left, front right, rear left, rear right, with their unit",
    Task.LOAD_ABOARD: "whose weight, in which seat; and the fuel in the tank",
    Task.RIDE_HEIGHT: (
        "from the floor to a mark on the body over the wheel centre that you will find again; roll the car back "
        "and forth and bounce it before"
    ),
    Task.CAMBER: "on the rim's upright diameter, wheels straight ahead; minus: the top leans in",
    Task.TOE_IN: (
        "string beside it along the centre line: 57.3 x (front less rear gap to the rim) / rim's diameter; minus: "
        "toe-out"
    ),
    Task.WHEEL_OUT: (
        "from the centre line on the floor, square to it, to the wheel's centre plane at the height of the hub"
    ),
    Task.AHEAD: "same mark, along the car to the wheel centres' line; minus: behind it",
    Task.TRACK: (
        "middle of one tyre's contact patch to middle of the other's: tread edges, left to left and right to right, "
        "and the mean of both"
    ),
    Task.ARM_LENGTH: "along the arm, centre to centre",
    Task.LINK_LENGTH: "along the link, centre to centre",
    Task.AXIS_LENGTH: "along the pivot axis, centre to centre",
    Task.STRUT_LENGTH: "along the strut",
    Task.ACROSS_TOP: "across the engine bay or the boot",
    Task.ACROSS_UNDERNEATH: "under the car, or between marks on the floor",
}


def point_words(name: str) -> str:
    """A point's name as one would say it."""
    return name.replace("_", " ")


def group_words(entry: SuggestedReading) -> str:
    """The heading over what is done in one go."""
    step, name = entry.group
    if step is not Step.HARDPOINT:
        return _STEPS[step]
    said = point_words(name)
    return f"{said[0].upper()}{said[1:]}"


def what_words(entry: SuggestedReading) -> str:
    """What is to be read."""
    names = [point_words(name) for name in entry.of]
    match entry.task:
        case Task.LEVEL_GROUND:
            return "level ground"
        case Task.TYRE_PRESSURES:
            return "tyre pressures, cold"
        case Task.LOAD_ABOARD:
            return "driver or ballast aboard"
        case Task.RIDE_HEIGHT:
            return f"ride height, {entry.side}"
        case Task.CAMBER | Task.TOE_IN:
            return f"{'camber' if entry.task is Task.CAMBER else 'toe-in'}, {names[0]} wheel"
        case Task.HEIGHT:
            return f"{names[0]}, height"
        case Task.OUT | Task.WHEEL_OUT:
            return f"{names[0]}, out"
        case Task.AHEAD:
            return f"{names[0]}, ahead"
        case Task.TRACK:
            return "track on the ground"
        case Task.ACROSS_TOP | Task.ACROSS_UNDERNEATH:
            return f"{names[0].removeprefix('left ')}, left to right"
        case Task.ARM_SLOPE:
            return f"{entry.part}, its slope"
        case Task.STRUT_SLOPE:
            return f"strut, seen from the {entry.seen_from}"
    between = " to ".join(names)
    return f"{between}, slope" if entry.kind == "angle" else between


def where_words(entry: SuggestedReading) -> str:
    """Where the tape, plumb bob or level is put, and what counts as negative."""
    if entry.task in _WHERE:
        return _WHERE[entry.task]
    if entry.kind == "angle":
        return _slope_words(entry)
    if entry.point is None:
        both = entry.task is Task.BOTH_ON_PART
        return (
            f"straight across, both on the {entry.part}"
            if both
            else (f"straight across the {entry.part}, centre to centre")
        )
    if entry.task is Task.HEIGHT:
        return f"{entry.point.where}; straight up from the floor"
    out = "plumb bob; from its mark on the floor to the centre line, square to it"
    return f"{out}; minus: right of the centre line" if entry.point.single else out


def _slope_words(entry: SuggestedReading) -> str:
    if entry.task is Task.STRUT_SLOPE:
        across = "square to the car's length" if entry.seen_from == "front" else "along the car"
        return f"on the damper tube, the level held {across}; over the horizontal, near 90"
    first, second = (point_words(name) for name in entry.of)
    minus = f"minus: {second} lower"
    if entry.task is Task.ARM_SLOPE:
        return f"level along the arm from {first} to {second}; {minus}"
    if entry.task is Task.LINK_SLOPE:
        return f"level on the link, {first} to {second}; {minus}"
    return f"level or straight bar from {first} to {second}; {minus}"


def instrument_words(entry: SuggestedReading) -> str:
    """What it is read with."""
    return ", ".join(_INSTRUMENTS[one] for one in entry.instruments)
