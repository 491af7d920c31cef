"""A car as a plan leaves it, as a car file: to be swept, drawn, leaned and measured against like any other."""

import math
from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy
from typing import Any

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle, Car
from kinematics.car.lengths import LengthUnit, read_length
from kinematics.car.on_paper import name_on_paper
from kinematics.car.springs_and_bars import AxleLoads
from kinematics.car.uncertainty import WAYS
from kinematics.inputs.car.car_text import car_text
from kinematics.inputs.plans.changed_springs import NEW_SPRINGS, fit_by_rate, fits_springs
from kinematics.motion.moving_axle import moving
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.joint_turns import joint_angles
from kinematics.planning.plans import Plan, carry_out
from kinematics.planning.refusal import Cause
from kinematics.planning.stops import travel_left
from kinematics.planning.travel_ends import Corner, damper_length, under_arch
from solvers.vectors import Array

_DIGITS = {"mm": 3, "in": 4}
_ANGLE_DIGITS = 5
_NOT_THERE = (Cause.DO_NOT_FIT, Cause.NOT_ALIGNED)  # what is beyond adjusters or stops is a car still
_ENDS = "Ends of springs, bars and dampers stand as before the plan: measure them again before you trust lean."
_LEAST = math.radians(0.01)  # that a joint is said to be able to turn


def changed_car_text(
    written: Mapping[str, Any], car: Car, plan: Plan, head: Sequence[str], doubt_file: str | None = None
) -> str:
    """Return the car file of a car after a plan of geometry, springs and bars; `written`: its own file's content.

    Points, wheels, stops, room, adjusters and the centre of gravity are those after the plan; joints may turn by what
    is left to them whichever way they go, or stand so far from their middle; known_to stays what it was. It says, as
    its name does, that it is on paper. doubt_file: what to name in place of the car's own.

    Raises ValueError where the parts do not fit or cannot be aligned.
    """
    (axles,) = carry_out(car, [plan])
    if any(refusal.cause in _NOT_THERE for one in axles.values() for refusal in one.refusals):
        raise ValueError(f'the plan "{plan.name}" cannot be put together')
    content = deepcopy(dict(written))
    content |= {"name": name_on_paper(car, plan.name), "on_paper": True}
    if "doubt" in content and doubt_file is not None:
        content["doubt"] = doubt_file
    for axle in car.axles:
        _drop_places(content[axle.name])
        _change_axle(content[axle.name], axle, axles[axle.name], car.unit)
        fit_by_rate(content[axle.name], axle.name, plan.changes, car.unit)
    height = axles[car.axles[0].name].axle.body.centre_of_gravity
    if height is not None:
        gravity = content["body"]["centre_of_gravity"]
        gravity["up"] = _length(float(height), car.unit)
    if any(_has_ends(axle.loads) for axle in car.axles):
        head = [*head, _ENDS]
    if fits_springs(plan.changes):
        head = [*head, NEW_SPRINGS]
    return car_text(content, {name: one.axle.points for name, one in axles.items()}, head=head)


def _has_ends(loads: AxleLoads | None) -> bool:
    """Whether springs, bars or dampers are told by where they end; such places stay as they were written."""
    if loads is None:
        return False
    lines = [loads.spring.line, *([] if loads.damper is None else [loads.damper[0]])]
    return any(line.moving is not None for line in lines) or (loads.bar is not None and loads.bar.ends is not None)


def _drop_places(table: Mapping[str, Any]) -> None:
    """Forget where points were; what else is said of them stays."""
    for part in (table, *(table.get(side, {}) for side in SIDE_NAMES)):
        for point in part.get("points", {}).values():
            for way in WAYS:
                point.pop(way, None)


def _change_axle(table: dict[str, Any], measured: Axle, changed: ChangedAxle, unit: LengthUnit) -> None:
    _change_wheels(table, changed.axle, unit)
    _change_adjusters(table, changed, unit)
    left = travel_left(measured, changed)
    stops = table.get("stops", {})
    for stop, travel in (("bump", left.bump), ("droop", left.droop)):
        if stop in stops:
            _set_or_drop(stops, stop, _length(float(travel.min()), unit))
    _change_room(table, measured, changed, unit)
    if measured.fittings.joint_angles:
        _change_joints(table["joint_angles"], measured, changed)


def _change_room(table: dict[str, Any], measured: Axle, changed: ChangedAxle, unit: LengthUnit) -> None:
    """Room to the arch and over the ground, and the damper's length, as the car stands after the plan."""
    fittings, stops = measured.fittings, table.get("stops", {})
    corner = Corner(measured, changed, moving(changed.axle, -1.0, 1.0))
    rest = np.zeros((2, 1))
    if fittings.tyre_to_arch is not None:
        _set_or_drop(
            stops, "tyre_to_arch", _length(float(under_arch(corner, fittings.tyre_to_arch).left(rest).min()), unit)
        )
    if fittings.clearance is not None:
        _set_or_drop(stops, "ground_clearance", _length(fittings.clearance + changed.raised, unit))
    if fittings.damper is not None and fittings.damper.length is not None:
        table["damper"]["length"] = _length(float(damper_length(corner, fittings.damper)(rest).mean()), unit)


def _change_joints(table: dict[str, Any], measured: Axle, changed: ChangedAxle) -> None:
    """What is left to each joint, or how far it is from the middle that the file tells."""
    now, up, down = (joint_angles(measured, changed, np.array([travel])) for travel in (0.0, 1.0, -1.0))
    for key, most in measured.fittings.joint_angles.items():
        turned = float(now[key].max())
        if isinstance(table[key], Mapping):
            side = int(now[key].argmax())
            away = math.copysign(turned, float(up[key][side] - down[key][side]))
            table[key]["at_ride_height"] = round(math.degrees(away), _ANGLE_DIGITS)
        else:
            table[key] = round(math.degrees(max(most - turned, _LEAST)), _ANGLE_DIGITS)


def _set_or_drop(table: dict[str, Any], key: str, value: float) -> None:
    """A stop that is not reached any more, or is reached already, is no entry of a car file."""
    if math.isfinite(value) and value > 0.0:
        table[key] = value
    else:
        del table[key]


def _change_wheels(table: dict[str, Any], axle: Axle, unit: LengthUnit) -> None:
    for key, values, said in (
        ("camber", np.degrees(axle.camber), _angle),
        ("toe_in", np.degrees(axle.toe), _angle),
        ("radius", axle.radius, lambda value: _length(value, unit)),
    ):
        own = [table.get(side, {}).get("wheel", {}) for side in SIDE_NAMES]
        if any(key in one for one in (table["wheel"], *own)):
            _one_or_both(table, key, [said(float(value)) for value in np.broadcast_to(values, 2)])


def _one_or_both(table: dict[str, Any], key: str, values: Sequence[float]) -> None:
    for side in SIDE_NAMES:
        table.get(side, {}).get("wheel", {}).pop(key, None)
    if values[0] == values[1]:
        table["wheel"][key] = values[0]
        return
    table["wheel"].pop(key, None)
    for side, value in zip(SIDE_NAMES, values, strict=True):
        table.setdefault(side, {}).setdefault("wheel", {})[key] = value


def _change_adjusters(table: dict[str, Any], changed: ChangedAxle, unit: LengthUnit) -> None:
    adjusters = table.get("adjusters", {})
    if "toe_link" in adjusters:
        adjusters["toe_link"] = _left(adjusters["toe_link"], changed.toe_link, unit, lambda one: _length(one, unit))
    camber = adjusters.get("camber", {})
    if "range" in camber:
        in_degrees = camber["by"] == "strut bolts"
        said = (lambda one: _angle(math.degrees(one))) if in_degrees else (lambda one: _length(one, unit))
        camber["range"] = _left(camber["range"], changed.camber, unit, said)


def _left(ends: Sequence[Any], turned: Array, unit: LengthUnit, said: Callable[[float], float]) -> list[float]:
    """What is left of an adjuster's range either way, on the side that has used more of it."""
    low, high = (read_length(end, unit) for end in ends)
    used = [said(float(one)) for one in turned]
    return [min(round(low - min(used), 6), 0.0) + 0.0, max(round(high - max(used), 6), 0.0) + 0.0]


def _length(value: float, unit: LengthUnit) -> float:
    return round(unit.from_mm(value), _DIGITS[unit.symbol]) + 0.0


def _angle(value: float) -> float:
    return round(value, _ANGLE_DIGITS) + 0.0
