"""The steps of the work on the garage floor, what is to be read in them, and with which instruments."""

from collections.abc import Mapping
from enum import Enum
from types import MappingProxyType


class Step(Enum):
    """What is done in one go, in the order of the work."""

    SET_UP = "set up"  # before anything is measured
    WHEELS = "wheels"
    CENTRES = "centres"  # of the wheels, and the track
    HARDPOINT = "hardpoint"  # one after the other, its coordinates
    RIGHT_TOO = "right too"  # coordinates that nothing else checks, once more on the right
    LENGTHS = "lengths"
    ACROSS = "across"
    ANGLES = "angles"


class Instrument(Enum):
    """What a reading is taken with."""

    TAPE = "tape"
    RULE = "rule"
    PLUMB_BOB = "plumb bob"
    DIGITAL_LEVEL = "digital level"
    WATER_LEVEL = "water level"
    STRING = "string"
    GAUGE = "gauge"
    SCALES = "scales"


class Task(Enum):
    """What is to be read, and between what the instrument is put."""

    LEVEL_GROUND = "level ground"
    TYRE_PRESSURES = "tyre pressures"
    LOAD_ABOARD = "load aboard"  # driver or ballast
    RIDE_HEIGHT = "ride height"
    CAMBER = "camber"
    TOE_IN = "toe-in"
    HEIGHT = "height"
    WHEEL_OUT = "wheel out"  # to its centre plane
    OUT = "out"
    AHEAD = "ahead"
    TRACK = "track"
    ARM_LENGTH = "arm length"
    LINK_LENGTH = "link length"
    AXIS_LENGTH = "axis length"  # of pivots
    STRUT_LENGTH = "strut length"
    BOTH_ON_PART = "both on part"  # between two points that one part carries
    ACROSS_PART = "across part"  # between two of its joints
    ACROSS_TOP = "across top"  # between top mounts
    ACROSS_UNDERNEATH = "across underneath"
    ARM_SLOPE = "arm slope"
    STRUT_SLOPE = "strut slope"
    LINK_SLOPE = "link slope"
    AXIS_SLOPE = "axis slope"


_TAPED = (
    Task.TRACK,
    Task.ARM_LENGTH,
    Task.LINK_LENGTH,
    Task.AXIS_LENGTH,
    Task.STRUT_LENGTH,
    Task.BOTH_ON_PART,
    Task.ACROSS_PART,
    Task.ACROSS_TOP,
    Task.ACROSS_UNDERNEATH,
)
_LEVELLED = (Task.CAMBER, Task.ARM_SLOPE, Task.STRUT_SLOPE, Task.LINK_SLOPE, Task.AXIS_SLOPE)

INSTRUMENTS: Mapping[Task, tuple[Instrument, ...]] = MappingProxyType(
    {
        **dict.fromkeys(_TAPED, (Instrument.TAPE,)),
        **dict.fromkeys(_LEVELLED, (Instrument.DIGITAL_LEVEL,)),
        **dict.fromkeys((Task.RIDE_HEIGHT, Task.HEIGHT, Task.WHEEL_OUT), (Instrument.RULE,)),
        **dict.fromkeys((Task.OUT, Task.AHEAD), (Instrument.PLUMB_BOB, Instrument.RULE)),
        Task.TOE_IN: (Instrument.STRING, Instrument.RULE),
        Task.LEVEL_GROUND: (Instrument.WATER_LEVEL,),
        Task.TYRE_PRESSURES: (Instrument.GAUGE,),
        Task.LOAD_ABOARD: (Instrument.SCALES,),
    }
)
