"""Where a plan takes the ends of springs, dampers and bars: what is on a part goes with it, as measured in it."""

from dataclasses import replace

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.springs_and_bars import Attachment, AxleLoads, BarEnds, Line
from kinematics.car.suspension_type import CHASSIS
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.dismantled import pitched
from solvers.vectors import Array, cross, dot, unit


def loads_after(loads: AxleLoads, before: Axle, after: ChangedAxle) -> AxleLoads:
    """Loads with their attachments where the changed axle's parts have them; what is on the chassis only rises."""
    bar = loads.bar
    if bar is not None and bar.ends is not None:
        axis, arm_end = (_with_body(place, after) for place in (bar.ends.axis, bar.ends.arm_end))
        bar = replace(bar, ends=BarEnds(axis, arm_end, _carried(bar.ends.drop_link, before, after)))
    damper = None if loads.damper is None else (line_after(loads.damper[0], before, after), loads.damper[1])
    spring = replace(loads.spring, line=line_after(loads.spring.line, before, after))
    return replace(loads, spring=spring, bar=bar, damper=damper)


def line_after(line: Line, before: Axle, after: ChangedAxle) -> Line:
    """A line between two ends, where the changed axle's parts have them."""
    if line.moving is None or line.chassis is None:
        return line
    return replace(line, moving=_carried(line.moving, before, after), chassis=_carried(line.chassis, before, after))


def _carried(attachment: Attachment, before: Axle, after: ChangedAxle) -> Attachment:
    return replace(attachment, place=_moved(attachment, before, after))


def _with_body(place: Array, after: ChangedAxle) -> Array:
    """Where a place on the chassis (..., 3) is after a plan [mm]."""
    return np.asarray(pitched(place, np.asarray(after.pitch)) + np.array([0.0, 0.0, after.raised]))


def _moved(attachment: Attachment, before: Axle, after: ChangedAxle) -> Array:
    place = attachment.place
    if attachment.on == CHASSIS:
        return _with_body(place, after)
    arm = next((arm for arm in before.suspension.arms if arm.title == attachment.on), None)
    if arm is None:
        arms = place - before.points["wheel_centre"]
        return np.asarray(after.axle.points["wheel_centre"] + (after.rotation @ arms[..., None])[..., 0])
    frames = []
    for axle in (before, after.axle):
        front, rear, joint = (axle.points[key] for key in (arm.pivot_front, arm.pivot_rear, arm.joint))
        along = unit(rear - front)
        out = unit(joint - front - dot(joint - front, along)[..., None] * along)
        frames.append((front, along, out, cross(along, out)))
    origin, *was = frames[0]
    start, *now = frames[1]
    return np.asarray(start + sum(dot(place - origin, a)[..., None] * b for a, b in zip(was, now, strict=True)))
