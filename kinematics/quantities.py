"""Every number the tool reports: its key, title, kind of unit, sign, and how it is read from a stance."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

import numpy as np

from kinematics import wheel_angles
from kinematics.car import SIDES
from kinematics.lengths import LengthUnit
from kinematics.stance import Stance
from solvers.vectors import Array


class Kind(Enum):
    """What a quantity is measured in."""

    LENGTH = "length"
    ANGLE = "angle"
    ANGLE_PER_LENGTH = "angle per length"
    RATIO = "ratio"

    def unit(self, length: LengthUnit) -> str:
        """Symbol of the unit at the edge ("" for a ratio)."""
        per = f"deg/{length.symbol}"
        return {Kind.LENGTH: length.symbol, Kind.ANGLE: "deg", Kind.ANGLE_PER_LENGTH: per, Kind.RATIO: ""}[self]

    def scale(self, length: LengthUnit) -> float:
        """Factor from mm and radians to the unit at the edge."""
        degrees = 180.0 / np.pi
        scales = {Kind.LENGTH: 1.0 / length.in_mm, Kind.ANGLE: degrees, Kind.RATIO: 1.0}
        return scales.get(self, degrees * length.in_mm)


@dataclass(frozen=True)
class Quantity:
    """One reported number. per_side: read gives (..., 2, S), otherwise (..., S); inside units."""

    key: str
    title: str
    kind: Kind
    per_side: bool
    meaning: str
    read: Callable[[Stance], Array]

    def label(self, length: LengthUnit) -> str:
        """Title with unit, for an axis or a table head."""
        unit = self.kind.unit(length)
        return f"{self.title} [{unit}]" if unit else self.title

    def column(self, length: LengthUnit, side: str = "") -> str:
        """Column name with side and unit, for a CSV file."""
        unit = self.kind.unit(length).replace("/", "_per_")
        return "_".join(part for part in (self.key, side, unit) if part)


def _side(key: str, title: str, kind: Kind, meaning: str, read: Callable[[Stance], Array]) -> Quantity:
    return Quantity(key, title, kind, True, meaning, read)


def _axle(key: str, title: str, kind: Kind, meaning: str, read: Callable[[Stance], Array]) -> Quantity:
    return Quantity(key, title, kind, False, meaning, read)


def _half_track_change(stance: Stance) -> Array:
    measured = stance.states.axle.contact[..., 1]
    return np.asarray(SIDES[:, None] * (stance.contact[..., 1] - measured[..., None]))


def _swing_arm(stance: Stance) -> Array:
    return np.asarray(SIDES[:, None] * (stance.contact[..., 1] - stance.instant_centre[..., 0]))


_GROUND = "ground frame: level axes under the body's centre plane"

QUANTITIES: dict[str, Quantity] = {
    quantity.key: quantity
    for quantity in (
        _axle("heave", "heave", Kind.LENGTH, "height change of the body, up positive", lambda s: s.attitude.heave),
        _axle("roll", "roll", Kind.ANGLE, "roll of the body, left side up positive", lambda s: s.attitude.roll),
        _axle(
            "roll_centre_height",
            "roll-centre height",
            Kind.LENGTH,
            "meeting of the lines square to the contact points' motion; over the ground, up positive",
            lambda s: s.roll_centre[..., 1],
        ),
        _axle(
            "roll_centre_offset",
            "roll-centre offset",
            Kind.LENGTH,
            "the same point sideways from the body's centre-plane point at ground level, left positive",
            lambda s: s.roll_centre[..., 0],
        ),
        _axle(
            "textbook_roll_centre_height",
            "textbook roll-centre height",
            Kind.LENGTH,
            "by the drawing board: arm lines and strut normal in front view",
            lambda s: s.textbook_roll_centre[..., 1],
        ),
        _axle(
            "textbook_roll_centre_offset",
            "textbook roll-centre offset",
            Kind.LENGTH,
            "the drawing-board point sideways, left positive",
            lambda s: s.textbook_roll_centre[..., 0],
        ),
        _axle(
            "force_weighted_height",
            "force-weighted roll-centre height",
            Kind.LENGTH,
            "height at the centre plane of the resultant of both wheels' lateral forces",
            lambda s: s.force_weighted_height,
        ),
        _side("travel", "wheel travel", Kind.LENGTH, "of the wheel centre, bump positive", lambda s: s.states.travel),
        _side("wheel_centre_x", "wheel centre ahead", Kind.LENGTH, _GROUND, lambda s: s.wheel_centre[..., 0]),
        _side("wheel_centre_y", "wheel centre to the left", Kind.LENGTH, _GROUND, lambda s: s.wheel_centre[..., 1]),
        _side("wheel_centre_z", "wheel centre height", Kind.LENGTH, _GROUND, lambda s: s.wheel_centre[..., 2]),
        _side("contact_x", "contact point ahead", Kind.LENGTH, _GROUND, lambda s: s.contact[..., 0]),
        _side("contact_y", "contact point to the left", Kind.LENGTH, _GROUND, lambda s: s.contact[..., 1]),
        _side("contact_z", "contact point height", Kind.LENGTH, _GROUND, lambda s: s.contact[..., 2]),
        _side("half_track_change", "half-track change", Kind.LENGTH, "outward positive", _half_track_change),
        _side(
            "camber",
            "camber",
            Kind.ANGLE,
            "to the ground, negative: top leans in",
            lambda s: wheel_angles.camber(s.spin_axis),
        ),
        _side(
            "camber_to_body",
            "camber to body",
            Kind.ANGLE,
            "to the body, negative: top leans in",
            lambda s: wheel_angles.camber(s.states.spin_axis),
        ),
        _side("toe", "toe", Kind.ANGLE, "one wheel, toe-in positive", lambda s: wheel_angles.toe(s.spin_axis)),
        _side(
            "camber_gain",
            "camber gain",
            Kind.ANGLE_PER_LENGTH,
            "change of camber with travel, body attitude held",
            lambda s: wheel_angles.camber_rate(s.spin_axis, s.spin_axis_rate),
        ),
        _side(
            "bump_steer",
            "bump steer",
            Kind.ANGLE_PER_LENGTH,
            "change of toe with travel, body attitude held; toe-in in bump positive",
            lambda s: wheel_angles.toe_rate(s.spin_axis, s.spin_axis_rate),
        ),
        _side(
            "caster",
            "caster",
            Kind.ANGLE,
            "side view, in body axes, top rearward positive",
            lambda s: wheel_angles.caster(*s.steering_axis_on_body),
        ),
        _side(
            "kingpin_inclination",
            "kingpin inclination",
            Kind.ANGLE,
            "front view, in body axes, top inward positive",
            lambda s: wheel_angles.kingpin_inclination(*s.steering_axis_on_body),
        ),
        _side(
            "scrub_radius",
            "scrub radius",
            Kind.LENGTH,
            "steering axis meets the ground inboard of the contact point: positive",
            lambda s: s.scrub_and_trail[0],
        ),
        _side(
            "mechanical_trail",
            "mechanical trail",
            Kind.LENGTH,
            "steering axis meets the ground ahead of the contact point: positive",
            lambda s: s.scrub_and_trail[1],
        ),
        _side(
            "instant_centre_y", "instant centre to the left", Kind.LENGTH, _GROUND, lambda s: s.instant_centre[..., 0]
        ),
        _side("instant_centre_z", "instant centre height", Kind.LENGTH, _GROUND, lambda s: s.instant_centre[..., 1]),
        _side(
            "swing_arm_length",
            "front-view swing-arm length",
            Kind.LENGTH,
            "sideways from contact point to instant centre, inboard positive",
            _swing_arm,
        ),
        _side(
            "jacking_coefficient",
            "jacking coefficient",
            Kind.RATIO,
            "slope dz/dy of the contact line: vertical force on the body per lateral force at this wheel",
            lambda s: s.lines.slope,
        ),
        _side(
            "lower_arm_angle",
            "lower-arm angle",
            Kind.ANGLE,
            "to level in front view, positive: rises towards the centre plane",
            lambda s: s.lower_arm_angle,
        ),
    )
}
