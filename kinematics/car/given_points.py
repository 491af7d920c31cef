"""Points that callers hand over, held against what an axle can have: told in plain words before anything is solved."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kinematics.car.given_numbers import told
from kinematics.car.misplaced import joint_within_pivots, misplaced, missized, within_pivots
from kinematics.car.nearest_names import hint
from kinematics.car.sides import SIDE_NAMES, SIDES
from kinematics.car.suspension_type import SuspensionType
from solvers.vectors import Array, Flags


def given_points(axle: str, kind: SuspensionType, given: Mapping[str, Any]) -> dict[str, Array]:
    """Points by key as arrays (..., 2, 3) [mm]: x ahead, y to the left, z up.

    Raises KeyError where the axle has no such point, TypeError for what is no numbers, ValueError for another shape,
    for what is not finite, and for a place where no car has that point.
    """
    found = {}
    for key, values in given.items():
        if key not in kind.keys:
            raise KeyError(f"{key!r} is no point of a {kind.name}{hint(key, kind.keys)}")
        found[key] = _numbers(key, values)
        for side, name in enumerate(SIDE_NAMES):
            where = f"{axle} {name} {key}"
            _refuse_infinite(where, found[key][..., side, :])
            _refuse_misplaced(where, kind, key, found[key], side)
        if key in kind.single and (found[key][..., 0, :] != found[key][..., 1, :]).any():
            raise ValueError(f"{key} is one point for both sides: its left and its right row must be the same")
    return found


def refuse_within_pivots(
    axle: str, kind: SuspensionType, points: Mapping[str, Array], given: Mapping[str, Any]
) -> None:
    """Raise ValueError where a ball joint, it or its pivots being given, lies no farther out than these."""
    for arm in kind.arms:
        keys = (arm.joint, arm.pivot_front, arm.pivot_rear)
        if not any(key in given for key in keys):
            continue
        for side, name in enumerate(SIDE_NAMES):
            joint, *pivots = np.broadcast_arrays(*(_measured(kind, key, points[key], side) for key in keys))
            wrong = within_pivots(joint, (pivots[0], pivots[1]))
            if wrong.any():
                at = _first(wrong)
                why = joint_within_pivots((pivots[0][at], pivots[1][at]), _mm)
                raise ValueError(f"{axle} {name} {arm.joint}{_of_car(at)}: read out {_mm(joint[at][1])}; {why}")


def refuse_other_cars(shapes: Mapping[str, tuple[int, ...]]) -> None:
    """Raise ValueError where leading axes, by the name of what has them, do not go together like NumPy's."""
    common: tuple[int, ...] = ()
    before = ""
    for name, shape in shapes.items():
        try:
            common, wider = np.broadcast_shapes(common, shape), common
        except ValueError:
            text = f"{name} is of {_cars(shape)}, but {before} of {_cars(common)}"
            raise ValueError(f"{text}: all points of an axle are of as many cars, or of one") from None
        before = name if common != wider else before


def _numbers(key: str, values: Any) -> Array:
    try:
        read = np.asarray(values)
    except ValueError:  # of rows that are not of one length
        read = np.asarray(None)
    if read.dtype.kind not in "iufc":
        raise TypeError(f"{key} is an array of numbers (..., 2, 3); read {told(values)}")
    read = read if read.dtype.kind == "c" else read.astype(float)
    if read.shape[-2:] != (2, 3):
        text = f"{key} is (..., 2, 3): left and right, each x ahead, y to the left and z up [mm]"
        raise ValueError(f"{text}; read shape {read.shape}: np.stack([left, right], axis=-2) joins both sides")
    return read


def _refuse_infinite(where: str, place: Array) -> None:
    wrong = np.asarray(~np.isfinite(place).all(axis=-1))
    if wrong.any():
        at = _first(wrong)
        raise ValueError(f"{where}{_of_car(at)}: {place[at].real.tolist()} has a value that is not a finite number")


def _refuse_misplaced(where: str, kind: SuspensionType, key: str, points: Array, side: int) -> None:
    point = next(one for one in kind.points if one.key == key)
    place = _measured(kind, key, points, side)
    faults = list(missized(place, _mm)) if key == "wheel_centre" else []
    for one in [*faults, *misplaced(kind, point, place, _mm)]:
        if one.wrong.any():
            at = _first(one.wrong)
            read = f"{where}{_of_car(at)}: read {one.way_name} {_mm(place[at][one.way])}"
            signs = "" if key in kind.single or one.way_name != "out" else f" (out is {'-' if side else ''}y here)"
            raise ValueError(f"{read}{signs}; {one.why}")


def _measured(kind: SuspensionType, key: str, points: Array, side: int) -> Array:
    """A point of one side as its owner measures it (..., 3): ahead, out, up."""
    place = points[..., side, :].real
    return place if key in kind.single else place * [1.0, SIDES[side], 1.0]


def _first(wrong: Flags) -> tuple[int, ...]:
    return tuple(int(i) for i in np.argwhere(wrong)[0])


def _of_car(at: tuple[int, ...]) -> str:
    return f" of car {', '.join(map(str, at))}" if at else ""


def _cars(shape: tuple[int, ...]) -> str:
    return f"{' x '.join(map(str, shape))} cars"


def _mm(value: float) -> str:
    return f"{round(value, 1):g} mm"
