"""Springs, bars, dampers, tyres and weights of an axle, as its owner knows them. Newtons, mm, kg, radians."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

import numpy as np

from solvers.vectors import Array

GRAVITY = 9.80665  # m/s^2, standard acceleration of free fall (ISO 80000-3, from memory)
STEEL_YOUNG, STEEL_SHEAR = 206e3, 79.3e3  # N/mm^2, spring steel (handbook values, from memory)


@dataclass(frozen=True)
class Attachment:
    """A point on each side as measured (2, 3) [mm], and the part that carries it.

    The part is "chassis", a moving part of the suspension type, or one of its arms by its title.
    """

    place: Array
    on: str


@dataclass(frozen=True)
class Line:
    """What an element works along: two attachments, a stated motion ratio, or (with neither) the strut.

    ratio: the element's length change per mm of wheel travel, compression in bump positive.
    """

    moving: Attachment | None = None
    chassis: Attachment | None = None
    ratio: float | None = None


@dataclass(frozen=True)
class BumpStop:
    """A stop on the spring's line: gap at the measured ride height [mm], then force [N] against compression [mm]."""

    gap: float
    compression: tuple[float, ...]
    force: tuple[float, ...]


@dataclass(frozen=True)
class Spring:
    """The springs of both sides: line, rate (2,) [N/mm], and the stop on the line.

    free_length, block_length: of the spring by itself, unloaded and coil bound, one or (2,) [mm], None where unknown.
    wire [mm], active_coils: zero where unknown.
    """

    line: Line
    rate: Array
    block_length: float | Array | None = None
    bump_stop: BumpStop | None = None
    free_length: float | Array | None = None
    wire: float = 0.0
    active_coils: float = 0.0

    @property
    def room(self) -> Array | None:
        """How far it can be pressed before it is coil bound, one or (2,) [mm]; None where that is not known."""
        if self.block_length is None or self.free_length is None:
            return None
        return np.asarray(self.free_length) - self.block_length


@dataclass(frozen=True)
class BarEnds:
    """Where a bar turns and what moves it: its axis lies across the car through x and z of `axis` (2, 3) [mm].

    arm_end: end of the bar's arm (2, 3) [mm], where the drop link joins; drop_link: the link's other end. link_angle:
    least and most that the link may stand at to the arm in side view [rad], None where nobody says.
    """

    axis: Array
    arm_end: Array
    drop_link: Attachment
    link_angle: tuple[float, float] | None = None


@dataclass(frozen=True)
class Bar:
    """An anti-roll bar.

    rate: force at one arm end per mm of its movement, the other end held [N/mm]. ends: its geometry; or else ratio, the
    arm end's movement per mm of wheel travel.
    """

    rate: float
    ends: BarEnds | None = None
    ratio: float | None = None
    name: str = ""


class Part(Enum):
    """What an owner may know better or worse of an axle's loads; the springs, bar ends or tyres of both sides alike."""

    LEFT_WEIGHT = "left wheel's weight"
    RIGHT_WEIGHT = "right wheel's weight"
    UNSPRUNG = "unsprung weight"
    SPRING_RATE = "spring rate"
    SPRING_RATIO = "spring's motion ratio"
    BAR_RATE = "bar rate"
    BAR_RATIO = "bar's motion ratio"
    TYRE_RATE = "tyre rate"
    DAMPER_RATE = "damper rate"


@dataclass(frozen=True)
class AxleLoads:
    """Loads of one axle.

    corner_mass: on each wheel's scale at rest (2,) [kg]; unsprung: the part of it that is the wheel and what moves with
    it (2,) [kg]. tyre_rate: vertical [N/mm], None for rigid. damper: its line and its rate at low speed [N s/mm].
    known_to: one standard deviation of what is told to be known so well [kg, N/mm, N s/mm, or a plain ratio].
    """

    corner_mass: Array
    unsprung: Array
    spring: Spring
    bar: Bar | None = None
    tyre_rate: float | None = None
    damper: tuple[Line, float] | None = None
    known_to: Mapping[Part, float] = field(default_factory=dict)

    @property
    def weight(self) -> float:
        """Weight on the axle [N]."""
        return float(self.corner_mass.sum() * GRAVITY)

    @property
    def sprung_mass(self) -> float:
        """Mass that the axle's springs carry [kg]."""
        return float((self.corner_mass - self.unsprung).sum())


def bar_rate(
    diameter: float,
    length: float,
    arm: float,
    *,
    inner: float = 0.0,
    arm_length: float | None = None,
    shear: float = STEEL_SHEAR,
) -> float:
    """Force at one arm end per mm of its movement, the other end held [N/mm].

    Torsion of the straight part, length [mm] between the arms, and bending of both arms, bent from the same bar, in
    series: a force P moves the end by P arm^2 length / (G J) + 2 P arm_length^3 / (3 E I), with J = pi (D^4 - d^4) / 32
    and I half of it. diameter, inner: D and d [mm]. arm: lever from the bar's axis [mm]; arm_length: along the arm
    [mm], if it is not at right angles to the axis. Formulae: torsion of a round bar and deflection of a cantilever
    (W. C. Young, R. G. Budynas, Roark's Formulas for Stress and Strain, from memory). Bending of the straight part is
    left out: with bushes at the bends there is none; bushes 50 mm further in make a typical bar 1 % softer, arms
    splayed by 30 degrees 7 %.
    """
    polar = np.pi * (diameter**4 - inner**4) / 32.0
    along = arm if arm_length is None else arm_length
    twist = arm**2 * length / (shear * polar)
    bend = 2.0 * along**3 / (3.0 * STEEL_YOUNG * polar / 2.0)
    return float(1.0 / (twist + bend))
