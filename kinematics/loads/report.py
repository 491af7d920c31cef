"""Everything about a car's springs, ride and lean, ready to be shown."""

from dataclasses import dataclass, replace

import numpy as np

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.limits import WorkingRange
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.loads import lean
from kinematics.loads.axle_sheet import AxleSheet
from kinematics.loads.equilibrium import Balance, balance
from kinematics.loads.grip import GripLeft, Tyre, grip_left
from kinematics.loads.lean import in_g
from kinematics.loads.notes import Note, notes_at_rest, notes_in_lean
from kinematics.loads.rates import Ride, axle_roll, rates, ride
from kinematics.loads.readiness import Lack, Need, NotReadyError, refuse_unready
from kinematics.loads.setup import AxleSetup, calibrated
from kinematics.loads.sheet_numbers import InLean, WheelRates
from kinematics.loads.whole_car import WholeCar
from kinematics.sweeps.arguments import refuse_no_car, refuse_no_working, refuse_other
from kinematics.sweeps.body import sweep_bump
from solvers.read_only import read_only
from solvers.vectors import Array

MOST_G = 1.4  # g: the highest lateral acceleration tried
COMPARED_AT = 0.8  # g, at which plans' tyres are compared
_SMALL = 0.01  # m/s^2; for slopes at rest
_STEPS = 29
_RATE_STEPS = 20  # of the working travel, for rates along it
# m/s^2: rest, beside it, and on to the most.
ACCELERATIONS = np.concatenate([[0.0, _SMALL], np.linspace(0.0, MOST_G, _STEPS)[1:] * GRAVITY])


@dataclass(frozen=True)
class Lift:
    """The first wheel to leave the ground: at which lateral acceleration [m/s^2], on which axle and side."""

    acceleration: float
    axle: str
    side: str


@dataclass(frozen=True, repr=False)
class LeanSheet(InLean):
    """A car's lean: by the textbook, and in balance over lateral accelerations (N,), zero first.

    By key the numbers in balance, NaN where none was found: of the car (N,), of its axles (2, N), of its wheels (2
    axles, 2 sides, N).

    gradient: [deg/g], from rest, in balance. lift: acceleration at which the first wheel leaves the ground [m/s^2], and
    which wheel; None if none does. notes: what the owner should know about springs and stops.
    """

    car: WholeCar
    front: AxleSheet
    rear: AxleSheet
    textbook: lean.Lean
    balance: Balance
    gradient: float
    front_share: float
    lift: Lift | None
    grip: GripLeft
    notes: tuple[Note, ...]

    def __repr__(self) -> str:
        most = f"{in_g(self.balance.acceleration.max()):.2g} g"
        return f"<lean of a car up to {most}: {self.gradient:.3g} deg/g; {self.named()}>"

    def _sheet(self) -> "LeanSheet":
        return self

    @property
    def wheel_rates(self) -> WheelRates:
        """Springs, motion ratios and wheel rates over travel, of both axles: a result of numbers of its own."""
        return WheelRates(self)


def whole_car(car: Car) -> WholeCar:
    """Make a car ready for its loads. NotReadyError says what it lacks."""
    refuse_no_car(car, "whole_car")
    refuse_unready(car)
    body = car.body
    assert body.centre_of_gravity is not None  # a car that is ready tells them
    assert body.wheelbase is not None
    made = WholeCar(calibrated(car.front), calibrated(car.rear), float(body.centre_of_gravity), body.wheelbase)
    return read_only(made)


@dataclass(frozen=True)
class AxleNumbers:
    """Ride of one axle, and its springs' travel per mm of wheel travel."""

    ride: Ride
    motion_ratio: float


@dataclass(frozen=True)
class LeanNumbers:
    """The few numbers by which cars are compared: ride by axle, roll gradient [deg/g], front share of the load moved.

    load: of each wheel at rest (2 axles, 2 sides) [N]. roll_at_rest: how the body leans if springs or weights differ
    from side to side [rad], left side up positive. held: lateral acceleration that each axle's simple tyres could hold
    as loaded at COMPARED_AT (2,) [g], NaN without a balance.
    """

    front: AxleNumbers
    rear: AxleNumbers
    gradient: float
    front_share: float
    roll_at_rest: float
    held: Array
    load: Array


def lean_numbers(whole: WholeCar, ballast: Array | None = None) -> LeanNumbers:
    """Compute the few numbers by which cars are compared; ballast: (4, 1) [kg], at the wheels."""
    acceleration = np.array([0.0, _SMALL, COMPARED_AT * GRAVITY])
    found = balance(whole, acceleration, ballast=None if ballast is None else np.repeat(ballast, 3, axis=1))
    held = np.where(found.solved[2], in_g(grip_left(found, Tyre()).held[:, 2]), np.nan)
    gradient, share = _slopes(found)
    front, rear = (
        AxleNumbers(ride(setup), float(rates(setup, np.zeros(1)).motion_ratio.mean())) for setup in whole.axles
    )
    return LeanNumbers(front, rear, gradient, share, float(found.roll[0]), held, found.load[..., 0])


def _slopes(found: Balance) -> tuple[float, float]:
    """Roll gradient [deg/g] and front share of the load moved, between rest and a small acceleration."""
    slope = float(found.roll[1] - found.roll[0]) / _SMALL
    moved = found.transfer[:, 1] - found.transfer[:, 0]
    return lean.degrees_per_g(slope, GRAVITY), float(moved[0] / moved.sum())


def lean_sheet(car: Car, working: WorkingRange | None = None, tyre: Tyre | None = None) -> LeanSheet:
    """Work out everything about a car's lean. NotReadyError says what it lacks.

    working: the travel that it uses, its own limits' where it is None. tyre: its grip, a usual one where it is None.
    """
    refuse_no_car(car, "lean_sheet")
    working = working or car.limits.working
    refuse_no_working(working, "lean_sheet")
    refuse_other(tyre, (Tyre, type(None)), "lean_sheet takes a Tyre, or none for a usual one")
    whole = whole_car(car)
    for setup in whole.axles:
        ends = np.array([working.travel_low, working.travel_high])
        if not np.isfinite(setup.forces(setup.moving.at(np.ones((2, 1)) * ends)).bar).all():
            raise NotReadyError([Lack(Need.DROP_LINK_IN_REACH, setup.axle.name)])
    sheet = sheet_in_balance(whole, axle_sheets(whole, working), balance(whole, ACCELERATIONS), tyre or Tyre())
    notes = (*notes_at_rest(whole, (sheet.front, sheet.rear), working), *notes_in_lean(sheet.balance))
    return read_only(replace(sheet, notes=notes))


def sheet_in_balance(whole: WholeCar, axles: tuple[AxleSheet, AxleSheet], found: Balance, tyre: Tyre) -> LeanSheet:
    """The sheet, without notes, of a car whose balance at ACCELERATIONS is found."""
    gradient, share = _slopes(found)
    curve = _without(found, 1)
    textbook, lift = textbook_of(whole, *axles), _first_lift(curve)
    return LeanSheet(whole, *axles, textbook, curve, gradient, share, lift, grip_left(curve, tyre), ())


def axle_sheets(whole: WholeCar, working: WorkingRange) -> tuple[AxleSheet, AxleSheet]:
    """Rates, ride and roll of both axles."""
    front, rear = (axle_sheet(setup, working) for setup in whole.axles)
    return front, rear


def textbook_of(whole: WholeCar, front: AxleSheet, rear: AxleSheet) -> lean.Lean:
    """The textbook's lean at 1 g."""
    axis = front.roll_centre + (rear.roll_centre - front.roll_centre) * whole.rear_share
    axles = [
        lean.AxleInRoll(
            sheet.roll.stiffness,
            sheet.roll.track,
            sheet.roll_centre,
            sheet.setup.loads.sprung_mass,
            float(sheet.setup.loads.unsprung.sum()),
            float(sheet.setup.axle.points["wheel_centre"][:, 2].mean()),
        )
        for sheet in (front, rear)
    ]
    return lean.textbook_lean(axles[0], axles[1], whole.centre_of_gravity - axis, GRAVITY, GRAVITY)


def axle_sheet(setup: AxleSetup, working: WorkingRange) -> AxleSheet:
    """Rates over the working travel, ride and roll of one axle."""
    travel = working.travels(_RATE_STEPS)
    height = float(sweep_bump(setup.moving, np.zeros(1))["roll_centre_height"][0])
    at_rest = rates(setup, np.zeros(1))
    return AxleSheet(setup, rates(setup, travel), ride(setup, at_rest), axle_roll(setup, at_rest), height)


def _without(found: Balance, state: int) -> Balance:
    keep = np.arange(found.acceleration.size) != state
    arrays = {name: getattr(found, name)[..., keep] for name in found.__dataclass_fields__}
    return replace(found, **arrays)


def _first_lift(found: Balance) -> Lift | None:
    """Where the first wheel's load vanishes; None where none does.

    Loads are nearly straight lines, so the last two states before it say where, even if no balance follows.
    """
    off = (found.lifted & found.solved).any(axis=(0, 1))
    known = np.flatnonzero(found.solved & ~np.logical_or.accumulate(off))
    if known.size < 2:
        return None
    last, before = int(known[-1]), int(known[-2])
    step = float(found.acceleration[last] - found.acceleration[before])
    with np.errstate(divide="ignore"):
        more = found.load[..., last] * step / np.maximum(found.load[..., before] - found.load[..., last], 1e-9)
    axle, side = np.unravel_index(int(np.argmin(more)), more.shape)
    if last == found.acceleration.size - 1 or more[axle, side] > step:
        return None
    at = float(found.acceleration[last] + more[axle, side])
    return Lift(at, ("front", "rear")[axle], SIDE_NAMES[side])
