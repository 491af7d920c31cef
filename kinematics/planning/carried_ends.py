"""Where a plan takes the ends of springs, dampers and bars: what is on a part goes with it, as measured in it."""

from dataclasses import replace
from typing import Protocol

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.springs_and_bars import Attachment, AxleLoads, BarEnds, Line
from kinematics.car.suspension_type import CHASSIS
from kinematics.loads.movements import arm_bearing
from kinematics.planning.dismantled import pitched
from solvers.vectors import Array, cross, dot, unit, vector


class Moved(Protocol):
    """What an axle's attachments move with: a changed axle, or a batch (...) of them, as in `ChangedAxle`."""

    @property
    def axle(self) -> Axle:
        """The axle."""

    @property
    def rotation(self) -> Array:
        """Of each upright since measured (..., 2, 3, 3)."""

    @property
    def raised(self) -> float | Array:
        """The body's rise (...) [mm]."""

    @property
    def pitch(self) -> float | Array:
        """The body's turn, nose down positive (...) [rad]."""


def loads_after(loads: AxleLoads, before: Axle, after: Moved) -> AxleLoads:
    """Loads with their attachments where the changed axle's parts have them; what is on the chassis only rises."""
    bar = loads.bar
    if bar is not None and bar.ends is not None:
        bar = replace(bar, ends=bar_ends_after(bar.ends, before, after))
    damper = None if loads.damper is None else (line_after(loads.damper[0], before, after), loads.damper[1])
    spring = replace(loads.spring, line=line_after(loads.spring.line, before, after))
    return replace(loads, spring=spring, bar=bar, damper=damper)


def bar_ends_after(ends: BarEnds, before: Axle, after: Moved) -> BarEnds:
    """A bar's ends where the changed axle's parts have them: its drop links keep their lengths, so its arms turn.

    An arm whose drop link does not reach any more stays as it is in the body.
    """
    axis, as_was = (_with_body(place, after) for place in (ends.axis, ends.arm_end))
    link = _carried(ends.drop_link, before, after)
    lever = np.hypot(*(ends.arm_end - ends.axis)[..., [0, 2]].T)
    bearing = arm_bearing(ends, axis, link.place[..., None, :])[..., 0]
    turned = axis + lever[..., None] * vector(np.cos(bearing), 0.0 * bearing, np.sin(bearing))
    turned[..., 1] = as_was[..., 1]
    return replace(ends, axis=axis, arm_end=np.where(np.isnan(turned), as_was, turned), drop_link=link)


def line_after(line: Line, before: Axle, after: Moved) -> Line:
    """A line between two ends, where the changed axle's parts have them."""
    if line.moving is None or line.chassis is None:
        return line
    return replace(line, moving=_carried(line.moving, before, after), chassis=_carried(line.chassis, before, after))


def _carried(attachment: Attachment, before: Axle, after: Moved) -> Attachment:
    return replace(attachment, place=_moved(attachment, before, after))


def _with_body(place: Array, after: Moved) -> Array:
    """Where a place on the chassis, of both sides (2, 3), is after a plan, or each of a batch (..., 2, 3) [mm]."""
    turned = pitched(place, np.asarray(after.pitch)[..., None])
    return np.asarray(turned + np.multiply.outer(after.raised, np.array([0.0, 0.0, 1.0]))[..., None, :])


def _moved(attachment: Attachment, before: Axle, after: Moved) -> Array:
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
