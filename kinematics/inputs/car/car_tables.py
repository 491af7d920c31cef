"""What a car file may hold: its tables, their keys, and what each entry is."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from kinematics.car.limits import Over
from kinematics.car.on_paper import LONGEST_NAME
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.adjuster_entries import AdjustersTable
from kinematics.inputs.car.fittings_file import BodyTable, JointAngles, SteeringTable, StopsTable
from kinematics.inputs.car.free_linkage_file import LinkageTable
from kinematics.inputs.car.loads_tables import BarTable, DamperTable, SpringTable, TyreTable, WeightsTable
from kinematics.inputs.reading.file_fields import Angle, Length, Number, PositiveLength, Table, several, two_of, within


class PointTable(Table):
    """One measured point, and one standard deviation of its coordinates if not the file's."""

    ahead: Length = Field(description="forward of this axle's wheel centres, negative behind")
    out: Length = Field(description="from the centre plane, positive on both sides")
    up: Length = Field(description="from the ground")
    known_to: PositiveLength | None = None
    on: Annotated[str, Field(min_length=1)] | None = None
    single: bool | None = None


class WheelTable(Table):
    """Alignment as measured and how well it is known [deg], and the loaded radius as a check."""

    camber: Annotated[Angle, within(-15.0, 15.0)] | None = None
    toe_in: Annotated[Angle, within(-10.0, 10.0)] | None = None
    radius: PositiveLength | None = None
    camber_known_to: Annotated[Angle, within(0.0, 5.0, open_low=True)] | None = None
    toe_in_known_to: Annotated[Angle, within(0.0, 5.0, open_low=True)] | None = None


class SideTable(Table):
    """What differs on one side."""

    wheel: WheelTable = WheelTable()
    points: dict[str, PointTable] = Field(default_factory=dict)


class AxleTable(Table):
    """One axle: suspension type, wheels, points, and what differs from side to side."""

    suspension: str = Field(description=", ".join(f'"{name}"' for name in SUSPENSIONS))
    wheel: WheelTable = Field(description="like { camber = -1.8, toe_in = 0.05 }, in degrees, each wheel")
    points: dict[str, PointTable] = Field(default_factory=dict)
    linkage: LinkageTable | None = None
    left: SideTable = SideTable()
    right: SideTable = SideTable()
    adjusters: AdjustersTable = AdjustersTable()
    stops: StopsTable = StopsTable()
    joint_angles: JointAngles = Field(default_factory=dict)
    steering: SteeringTable | None = None
    brakes: Literal["outboard", "inboard"] = "outboard"
    weights: WeightsTable | None = None
    spring: SpringTable | None = None
    bar: BarTable | None = None
    tyre: TyreTable | None = None
    damper: DamperTable | None = None


_EACH_OF = BeforeValidator(several, json_schema_input_type=Over | list[Over])
_Overs = Annotated[tuple[Over, ...], _EACH_OF, Field(min_length=1)]


class LimitTable(Table):
    """A quantity's allowed range, in the file's length unit and degrees."""

    low: Length | None = Field(default=None, alias="from")
    high: Length | None = Field(default=None, alias="to")
    over: _Overs | None = None


Acceleration = Annotated[Number, within(0.0, 3.0, "g", open_low=True)]


class LimitsTable(Table):
    """The working range and the limits of each axle."""

    travel: Annotated[tuple[Length, Length], BeforeValidator(two_of("droop and bump", "[-40, 40]"))] | None = None
    roll: Annotated[Number, within(0.0, 15.0, open_low=True)] | None = None
    cornering: Acceleration | None = None
    braking: Acceleration | None = None
    driving: Acceleration | None = None
    front: dict[str, LimitTable] = Field(default_factory=dict)
    rear: dict[str, LimitTable] = Field(default_factory=dict)


class CarTable(Table):
    """The whole file."""

    name: Annotated[str, Field(min_length=1, max_length=LONGEST_NAME, description="what you call the car")]
    units: Literal["mm", "in"] = Field(description='"mm" or "in"')
    measured_to: PositiveLength | None = None
    doubt: Annotated[str, Field(min_length=1)] | None = None
    front: AxleTable | None = None
    rear: AxleTable | None = None
    body: BodyTable = BodyTable()
    limits: LimitsTable = LimitsTable()
    on_paper: bool = False


class LimitsFileTable(Table):
    """A file of limits alone."""

    units: Literal["mm", "in"] = Field(description='"mm" or "in"')
    limits: LimitsTable = Field(description="a section [limits]")
