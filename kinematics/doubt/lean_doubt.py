"""How far to trust a car's lean: doubt of points, springs, bars, tyres, weights and body carried to its numbers.

To first order: what each source changes is half of what the car does with it a standard deviation more, and less
(JCGM 100:2008, 5.1.3, note 2, from memory). A car with one source off stands so near the known balance that one step of
Newton's finds its own; that step is wrong by squares, which cancel between both ways.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.limits import WorkingRange
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.doubt.assessment import NORMAL_95
from kinematics.doubt.lean_sources import Counted, both_ways, counted
from kinematics.loads.axle_numbers import AT_RIDE_HEIGHT
from kinematics.loads.axle_sheet import AxleSheet
from kinematics.loads.equilibrium import answer_of, balance, balance_beside
from kinematics.loads.grip import Tyre
from kinematics.loads.lean import degrees_per_g
from kinematics.loads.load_numbers import UNDER_LOAD
from kinematics.loads.readiness import NotReadyError
from kinematics.loads.report import ACCELERATIONS, LeanSheet, axle_sheet, sheet_in_balance
from kinematics.loads.setup import AxleSetup, calibrated
from kinematics.loads.under_load import UnderLoad
from kinematics.loads.whole_car import WholeCar
from solvers.read_only import read_only
from solvers.spread import FirstOrder
from solvers.vectors import Array

TRANSFERS = ("geometric", "elastic", "unsprung", "total")
_CAR, _SPRINGS, _IN_LEAN, _OVER_TRAVEL, _LOAD = "car", "springs", "lean", "rates", "load"


@dataclass(frozen=True, repr=False)
class LeanDoubt:
    """A car's lean, and how far each of its numbers can be trusted.

    first: by where a number stands and its key.
    "car": in balance `gradient` [deg/g] and `front_share`, the same with `textbook_` before it; of the roll axis
    `axis_inclination` [rad], higher at the rear positive, and `arm`, of the sprung mass over it [mm]; load moved at 1 g
    (2,) [N], `moved_geometric` and others by the textbook, and `moved_in_balance`.
    "springs": numbers at ride height (2 axles, 2), of one value twice the same, NaN where it is not known.
    "lean", "rates": what the sheet and its wheel rates have. "load": the numbers under load (..., N, P), where there
    are manoeuvres. A number that a source may take away has no doubt: NaN. Where a wheel lifts, or a stop is reached,
    within the doubt of what brings it there, the first order holds no longer.
    """

    sheet: LeanSheet
    counted: Counted
    first: Mapping[tuple[str, str], FirstOrder]
    loaded: UnderLoad | None = None

    def __repr__(self) -> str:
        return f"<doubt of lean from {len(self.counted.sources)} sources: {len(self.first)} numbers>"

    def half_width_95(self, where: str, key: str) -> Array:
        """How far either way of a number 95 % of such cars lie, to first order, in the shape and unit of the number."""
        return np.asarray(NORMAL_95 * self.first[where, key].standard_deviation)


def lean_doubt(
    car: Car, sheet: LeanSheet, working: WorkingRange, tyre: Tyre | None = None, loaded: UnderLoad | None = None
) -> LeanDoubt | None:
    """How far to trust a car's lean; None where it says of nothing how well it is known.

    sheet: `lean_sheet` of the car, over the working range and with the tyre given here. loaded: the car in manoeuvres,
    where these are to be told too.
    """
    told = counted(car)
    if not told.sources:
        return None
    beside = _Beside(sheet, working, tyre or Tyre(), loaded)
    here = _numbers(sheet, loaded)
    steps = [_half(beside.numbers(more), beside.numbers(less), here) for more, less in both_ways(car)]
    first = {key: FirstOrder(value, np.stack([one[key] for one in steps])) for key, value in here.items()}
    return read_only(LeanDoubt(sheet, told, first, loaded))


class _Beside:
    """Sheets of cars that hardly differ from one."""

    def __init__(self, sheet: LeanSheet, working: WorkingRange, tyre: Tyre, loaded: UnderLoad | None) -> None:
        self._sheet, self._working, self._tyre = sheet, working, tyre
        self._known = balance(sheet.car, ACCELERATIONS)
        self._answer = answer_of(sheet.car, self._known)
        self._loaded = loaded
        self._under_load = None if loaded is None else answer_of(sheet.car, loaded.found)

    def numbers(self, car: Car) -> Mapping[tuple[str, str], Array] | None:
        """Its numbers; None where its springs cannot carry it."""
        try:
            front, rear = (self._axle(axle, own) for axle, own in zip(car.axles, self._own, strict=True))
            body = car.body
            assert body.centre_of_gravity is not None  # a car with a sheet tells them
            assert body.wheelbase is not None
            whole = WholeCar(front.setup, rear.setup, float(body.centre_of_gravity), body.wheelbase)
            found = balance_beside(whole, self._known, self._answer)
            loaded = self._loaded
            if loaded is not None and self._under_load is not None:
                loaded = replace(loaded, car=whole, found=balance_beside(whole, loaded.found, self._under_load))
            return _numbers(sheet_in_balance(whole, (front, rear), found, self._tyre), loaded)
        except NotReadyError:
            return None

    @property
    def _own(self) -> tuple[AxleSheet, AxleSheet]:
        return self._sheet.front, self._sheet.rear

    def _axle(self, axle: Axle, own: AxleSheet) -> AxleSheet:
        same = axle.loads is own.setup.axle.loads and axle.points is own.setup.axle.points
        if same and axle.camber is own.setup.axle.camber and axle.toe is own.setup.axle.toe:
            return own
        setup: AxleSetup = calibrated(axle)
        return axle_sheet(setup, self._working)


def _numbers(sheet: LeanSheet, loaded: UnderLoad | None) -> dict[tuple[str, str], Array]:
    """All numbers of a sheet that a doubt is carried to."""
    textbook, g = sheet.textbook, sheet.balance.acceleration / GRAVITY
    state = int(abs(g - 1.0).argmin())
    moved = sheet.balance.transfer[:, state] - sheet.balance.transfer[:, 0]
    found: dict[tuple[str, str], Array] = {
        (_CAR, "gradient"): np.asarray(sheet.gradient),
        (_CAR, "front_share"): np.asarray(sheet.front_share),
        (_CAR, "textbook_gradient"): np.asarray(degrees_per_g(textbook.gradient, GRAVITY)),
        (_CAR, "textbook_front_share"): np.asarray(textbook.front_share),
        (_CAR, "moved_in_balance"): np.where(sheet.balance.solved[state], moved, np.nan),
    }
    slope = (sheet.rear.roll_centre - sheet.front.roll_centre) / sheet.car.wheelbase
    axis = sheet.front.roll_centre + slope * sheet.car.wheelbase * sheet.car.rear_share
    found[_CAR, "axis_inclination"] = np.asarray(np.arctan(slope))
    found[_CAR, "arm"] = np.asarray(sheet.car.centre_of_gravity - axis)
    for key in TRANSFERS:
        found[_CAR, f"moved_{key}"] = np.array([getattr(one, key) for one in (textbook.front, textbook.rear)])
    for number in AT_RIDE_HEIGHT:
        found[_SPRINGS, number.key] = np.array([_ends(number.read(one)) for one in (sheet.front, sheet.rear)])
    found |= {(_IN_LEAN, key): np.asarray(sheet[key]) for key in sheet}
    found |= {(_OVER_TRAVEL, key): np.asarray(sheet.wheel_rates[key]) for key in sheet.wheel_rates}
    if loaded is not None:
        found |= {(_LOAD, one.key): np.where(loaded.solved, one.read(loaded), np.nan) for one in UNDER_LOAD}
    return found


def _ends(read: tuple[float, ...]) -> tuple[float, float]:
    """A value twice, both ends of a range, or nothing."""
    return (read[0], read[-1]) if read else (np.nan, np.nan)


_Numbers = Mapping[tuple[str, str], Array]


def _half(more: _Numbers | None, less: _Numbers | None, here: _Numbers) -> dict[tuple[str, str], Array]:
    """Half of what both ways differ by."""
    if more is None or less is None:
        return {key: np.full(value.shape, np.nan) for key, value in here.items()}
    return {key: np.asarray((more[key] - less[key]) / 2.0) for key in here}
