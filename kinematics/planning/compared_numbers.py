"""The numbers by which plans are compared: those of an axle at ride height, and those that only a plan has."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.limits import Limits
from kinematics.loads.report import COMPARED_AT, AxleNumbers, LeanNumbers
from kinematics.motion.moving_axle import MovingAxle
from kinematics.numbers.quantity import Dimension, Mirror, ReportedNumber, Where, in_order
from kinematics.numbers.registry import QUANTITIES
from kinematics.numbers.wheel_angles import elevation
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.settling import KeptHeight
from kinematics.planning.stops import TravelLeft
from kinematics.sweeps.body import Sweep, sweep_bump
from solvers.vectors import Array

NEARBY = 1.0  # mm of travel either way for the roll centre's change
_SAMPLES = 33
_ALIKE = 1e-6  # mm, rad: sides closer than this have one value
Values = tuple[float, ...]  # one for the axle, or left and right


@dataclass(frozen=True)
class TriedAxle:
    """An axle after a plan, and what its numbers are read from.

    near: at ride height and a little travel either way; working: over the working travel; left: to the stops;
    sprung: ride and lean of the car, None where it does not tell its springs and weights.
    kept: packing that keeps its ride height, None where its springs decide that.
    """

    measured: Axle
    changed: ChangedAxle
    near: Sweep
    working: Sweep
    left: TravelLeft
    sprung: LeanNumbers | None
    kept: KeptHeight | None

    @property
    def place(self) -> int:
        """Front 0, rear 1, as in arrays over a car's axles."""
        return 0 if self.measured.name == "front" else 1

    @property
    def roll_centre(self) -> Array:
        """Its height (3,), near ride height [mm]."""
        return self.near["roll_centre_height"]


def tried_axle(
    measured: Axle,
    changed: ChangedAxle,
    left: TravelLeft,
    limits: Limits,
    sprung: LeanNumbers | None,
    kept: KeptHeight | None,
    ready: MovingAxle,
) -> TriedAxle:
    """Sweep an axle after a plan as its compared numbers need it.

    ready: the changed axle, ready to move over the working travel and `NEARBY` either way.
    """
    near = sweep_bump(ready, np.array([-NEARBY, 0.0, NEARBY]))
    working = sweep_bump(ready, np.linspace(limits.working.travel_low, limits.working.travel_high, _SAMPLES))
    return TriedAxle(measured, changed, near, working, left, sprung, kept)


@dataclass(frozen=True, kw_only=True, repr=False)
class PlanNumber(ReportedNumber):
    """A number that an axle has by being part of a plan; read: of the axle or of both sides (2,), None where none."""

    read: Callable[[TriedAxle], float | Array | None]


def _gravity_over_roll_centre(tried: TriedAxle) -> float | None:
    gravity = _gravity(tried)
    return None if gravity is None else gravity - float(tried.roll_centre[1])


def _gravity(tried: TriedAxle) -> float | None:
    gravity = tried.changed.axle.body.centre_of_gravity
    return None if gravity is None else float(gravity)


def _pinion_angle(tried: TriedAxle) -> float | None:
    changed = tried.changed
    return float(elevation(changed.rotation[0, :, 0])) if changed.axle.suspension.whole_axle else None


def _moved_back(tried: TriedAxle) -> Array | None:
    if not tried.changed.axle.suspension.whole_axle:
        return None
    before, after = (axle.points["wheel_centre"][:, 0] for axle in (tried.measured, tried.changed.axle))
    return np.asarray(before - after)


def _track(tried: TriedAxle) -> float:
    left, right = tried.near["contact_y"][:, 1]
    return float(left - right)


def _where_known(travel: Array) -> Array | None:
    return travel if np.isfinite(travel).any() else None


def _lowest_point(tried: TriedAxle) -> float:
    points = tried.changed.axle.points
    return min(float(point[..., 2].min()) for key, point in points.items() if key != "wheel_centre")


def _where_sprung(
    read: Callable[[TriedAxle, LeanNumbers], float | Array | None],
) -> Callable[[TriedAxle], float | Array | None]:
    return lambda tried: None if tried.sprung is None else read(tried, tried.sprung)


def _of_axle(read: Callable[[AxleNumbers], float]) -> Callable[[TriedAxle], float | Array | None]:
    return _where_sprung(lambda tried, sprung: read((sprung.front, sprung.rear)[tried.place]))


def _of_car(read: Callable[[LeanNumbers], float]) -> Callable[[TriedAxle], float | Array | None]:
    """Of the whole car, told with the front axle."""
    return _where_sprung(lambda tried, sprung: read(sprung) if tried.place == 0 else None)


def _corner_raised(tried: TriedAxle, sprung: LeanNumbers) -> Array:
    beside = tried.changed.axle.points["wheel_centre"][:, 1]
    return np.asarray(tried.changed.raised + sprung.roll_at_rest * beside)


def _packing(tried: TriedAxle) -> Array | None:
    return None if tried.kept is None else np.asarray(tried.kept.packing[tried.place])


def _raised_if_not_packed(tried: TriedAxle) -> float | None:
    if tried.kept is None or tried.kept.left_alone is None:
        return None
    return tried.changed.raised + tried.kept.left_alone[tried.place]


def _held(tried: TriedAxle, sprung: LeanNumbers) -> float | None:
    held = float(sprung.held[tried.place])
    return held if np.isfinite(held) else None


_OF_PLANS = (
    PlanNumber(
        key="roll_centre_change",
        title="its change per travel",
        dimension=Dimension.RATIO,
        meaning="of the roll-centre height with travel of both wheels",
        sign="rises in bump: positive",
        shown={Where.IN_PLANS: 20},
        read=lambda tried: float(tried.roll_centre[2] - tried.roll_centre[0]) / (2.0 * NEARBY),
    ),
    PlanNumber(
        key="centre_of_gravity",
        title="centre-of-gravity height",
        dimension=Dimension.LENGTH,
        sign="ground at 0, up positive",
        shown={Where.IN_PLANS: 30},
        read=_gravity,
    ),
    PlanNumber(
        key="gravity_over_roll_centre",
        title="centre of gravity over roll centre",
        dimension=Dimension.LENGTH,
        meaning="of the sprung mass, over this axle's own; the roll moment arm is to the roll axis",
        sign="roll centre under it: positive",
        shown={Where.IN_PLANS: 40},
        read=_gravity_over_roll_centre,
    ),
    PlanNumber(
        key="pinion_angle",
        title="pinion angle, nose up",
        dimension=Dimension.ANGLE,
        meaning="turn of the axle in side view since measured",
        sign="nose up positive",
        shown={Where.IN_PLANS: 170},
        read=_pinion_angle,
    ),
    PlanNumber(
        key="wheels_moved_back",
        title="wheels moved back",
        dimension=Dimension.LENGTH,
        meaning="of the wheel centres since measured",
        sign="rearward positive",
        shown={Where.IN_PLANS: 180},
        read=_moved_back,
    ),
    PlanNumber(
        key="toe_change",
        title="toe change, working travel",
        dimension=Dimension.ANGLE,
        meaning="between the most and the least toe over the working travel",
        shown={Where.IN_PLANS: 190},
        read=lambda tried: np.ptp(tried.working["toe"], axis=-1),
    ),
    PlanNumber(
        key="track",
        title="track",
        dimension=Dimension.LENGTH,
        meaning="between the contact points",
        shown={Where.IN_PLANS: 200},
        read=_track,
    ),
    PlanNumber(
        key="travel_to_bump_stop",
        title="travel to bump stop",
        dimension=Dimension.LENGTH,
        shown={Where.IN_PLANS: 210},
        read=lambda tried: _where_known(tried.left.bump),
    ),
    PlanNumber(
        key="travel_to_droop_stop",
        title="travel to droop stop",
        dimension=Dimension.LENGTH,
        shown={Where.IN_PLANS: 220},
        read=lambda tried: _where_known(tried.left.droop),
    ),
    PlanNumber(
        key="lowest_point",
        title="lowest joint over ground",
        dimension=Dimension.LENGTH,
        meaning="of the linkage's measured points, without the wheel centre",
        shown={Where.IN_PLANS: 320},
        read=_lowest_point,
    ),
)

_OF_SPRUNG_PLANS = (
    PlanNumber(
        key="corner_raised",
        title="corner raised since measured",
        dimension=Dimension.LENGTH,
        sign="up positive",
        shown={Where.IN_PLANS: 230},
        read=_where_sprung(_corner_raised),
    ),
    PlanNumber(
        key="packing",
        title="packing that keeps this ride height",
        dimension=Dimension.LENGTH,
        meaning="under each spring, along it, more than as measured",
        sign="added positive",
        shown={Where.IN_PLANS: 232},
        read=_packing,
    ),
    PlanNumber(
        key="raised_if_not_packed",
        title="body raised if the springs are left alone",
        dimension=Dimension.LENGTH,
        meaning="at this axle since measured, where that packing is left out",
        sign="up positive",
        shown={Where.IN_PLANS: 234},
        read=_raised_if_not_packed,
    ),
    PlanNumber(
        key="wheel_load",
        title="wheel load at rest",
        dimension=Dimension.FORCE,
        shown={Where.IN_PLANS: 240},
        read=_where_sprung(lambda tried, sprung: sprung.load[tried.place]),
    ),
    PlanNumber(
        key="lean_at_rest",
        title="lean at rest, not in the other numbers",
        dimension=Dimension.ANGLE,
        sign="left side up positive",
        mirror=Mirror.TURNS,
        shown={Where.IN_PLANS: 250},
        read=_where_sprung(lambda _, sprung: sprung.roll_at_rest),
    ),
    PlanNumber(
        key="motion_ratio",
        title="spring travel per wheel travel",
        dimension=Dimension.RATIO,
        shown={Where.IN_PLANS: 260},
        read=_of_axle(lambda one: one.motion_ratio),
    ),
    PlanNumber(
        key="wheel_rate",
        title="wheel rate",
        dimension=Dimension.RATE,
        shown={Where.IN_PLANS: 270},
        read=_of_axle(lambda one: one.ride.wheel_rate),
    ),
    PlanNumber(
        key="ride_frequency",
        title="ride frequency, Hz",
        dimension=Dimension.RATIO,
        shown={Where.IN_PLANS: 280},
        read=_of_axle(lambda one: one.ride.frequency),
    ),
    PlanNumber(
        key="held",
        title=f"simple tyres hold, as loaded at {COMPARED_AT:g} g, g",
        dimension=Dimension.RATIO,
        meaning="lateral acceleration that the axle's tyres could hold",
        shown={Where.IN_PLANS: 290},
        read=_where_sprung(_held),
    ),
    PlanNumber(
        key="roll_gradient",
        title="roll gradient of the car, deg/g",
        dimension=Dimension.RATIO,
        meaning="in balance, from rest",
        shown={Where.IN_PLANS: 300},
        read=_of_car(lambda sprung: sprung.gradient),
    ),
    PlanNumber(
        key="front_share",
        title="front share of the load moved",
        dimension=Dimension.PER_CENT,
        meaning="in balance, from rest",
        shown={Where.IN_PLANS: 310},
        read=_of_car(lambda sprung: sprung.front_share),
    ),
)

COMPARED_NUMBERS: Mapping[str, ReportedNumber] = {
    number.key: number for number in in_order([*QUANTITIES.values(), *_OF_PLANS, *_OF_SPRUNG_PLANS], Where.IN_PLANS)
}


def compared_values(tried: TriedAxle) -> dict[str, Values]:
    """Every compared number that the axle has, by key and in order."""
    found = {key: _read(number, tried) for key, number in COMPARED_NUMBERS.items()}
    return {key: _told(values) for key, values in found.items() if values is not None}


def _read(number: ReportedNumber, tried: TriedAxle) -> float | Array | None:
    if isinstance(number, PlanNumber):
        return number.read(tried)
    return tried.near[number.key][..., 1] if number.key in tried.near.values else None


def _told(values: float | Array) -> Values:
    if np.ndim(values) == 0:
        return (float(values),)
    left, right = (float(value) for value in np.asarray(values))
    return (left,) if abs(left - right) < _ALIKE else (left, right)
